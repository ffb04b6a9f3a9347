package choose_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/choose"
	"undercroft/scene/solid"
)

// oddSolid draws a round between two points, or a box turned in any way.
func oddSolid(t *rapid.T) solid.Solid {
	in := rapid.Float64Range(-200, 200)
	point := func() r3.Vec { return r3.Vec{X: in.Draw(t, "x"), Y: in.Draw(t, "y"), Z: in.Draw(t, "z")} }
	if rapid.Bool().Draw(t, "round") {
		a, by := point(), point()
		if r3.Norm(by) < 1 {
			by.X += 10
		}
		return &solid.Cylinder{A: a, B: r3.Add(a, by), Radius: rapid.Float64Range(3, 80).Draw(t, "radius")}
	}
	size := rapid.Float64Range(5, 150)
	b := solid.Box(r3.Box{Max: r3.Vec{X: size.Draw(t, "wide"), Y: size.Draw(t, "deep"), Z: size.Draw(t, "high")}})
	turn := func(axis r3.Vec) quat.Number {
		return solid.Turned(axis, rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "turn"))
	}
	return b.Moved(solid.Pose{Turn: quat.Mul(turn(r3.Vec{Z: 1}), turn(r3.Vec{X: 1})), Shift: point()})
}

// Every upright line through a footprint comes to the solid, between the heights asked
// for, and every point of the solid is in one of its pieces.
func TestFootprintsAndPieces(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := oddSolid(t)
		share := rapid.Float64Range(0, 1)
		in := func(b r3.Box) r3.Vec {
			d := r3.Sub(b.Max, b.Min)
			return r3.Add(b.Min, r3.Vec{X: share.Draw(t, "along") * d.X, Y: share.Draw(t, "across") * d.Y})
		}
		lo := rapid.Float64Range(-250, 250).Draw(t, "lo")
		hi := lo + rapid.Float64Range(0.1, 300).Draw(t, "high")
		for _, b := range choose.Footprints(s, lo, hi) {
			at := in(b)
			line := &solid.Capsule{A: r3.Vec{X: at.X, Y: at.Y, Z: lo}, B: r3.Vec{X: at.X, Y: at.Y, Z: hi}}
			if d := solid.Distance(line, s).Low; d > 0 {
				t.Fatalf("the line up from %v to %g misses %+v by %g", line.A, hi, s, d)
			}
		}
		dir := r3.Vec{X: share.Draw(t, "dx") - 0.5, Y: share.Draw(t, "dy") - 0.5, Z: share.Draw(t, "dz") - 0.5}
		p := r3.Add(r3.Scale(0.5, s.Support(dir)), r3.Scale(0.5, s.Support(r3.Vec{X: dir.Z, Y: dir.X, Z: dir.Y})))
		held := false
		for _, b := range choose.Pieces(s) {
			const contact = 1e-6
			held = held || p.X >= b.Min.X-contact && p.X <= b.Max.X+contact && p.Y >= b.Min.Y-contact && p.Y <= b.Max.Y+contact &&
				p.Z >= b.Min.Z-contact && p.Z <= b.Max.Z+contact
		}
		if !held {
			t.Fatalf("%v of %+v is in none of its pieces", p, s)
		}
	})
}

// Whether rectangles leave anything of another is what trying every corner, side and
// middle of a grid says.
func TestCoveredAgainstBruteForce(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.IntRange(0, 4)
		draw := func() [4]float64 {
			x, y := whole.Draw(t, "x"), whole.Draw(t, "y")
			return [4]float64{float64(x), float64(x + whole.Draw(t, "wide")), float64(y), float64(y + whole.Draw(t, "deep"))}
		}
		domain := draw()
		by := make([][4]float64, rapid.IntRange(0, 8).Draw(t, "many"))
		for i := range by {
			by[i] = draw()
			by[i][0], by[i][2] = by[i][0]-0.5, by[i][2]-0.5
		}
		want := true
		for x := domain[0]; x <= domain[1]; x += 0.25 {
			for y := domain[2]; y <= domain[3]; y += 0.25 {
				in := false
				for _, r := range by {
					in = in || x > r[0] && x < r[1] && y > r[2] && y < r[3]
				}
				want = want && in
			}
		}
		if got := choose.Covered(domain, by); got != want {
			t.Fatalf("%v by %v: %v, want %v", domain, by, got, want)
		}
	})
}
