package passage_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/passage"
	"undercroft/scene/solid"
)

// leaf draws a board that stands at an angle, upright or lying, along the axes or not.
func leaf(t *rapid.T) solid.Solid {
	size := func(name string, most float64) float64 { return rapid.Float64Range(2, most).Draw(t, name) }
	b := solid.Box(r3.Box{Max: r3.Vec{X: size("wide", 30), Y: size("deep", 400), Z: size("high", 500)}})
	axis := rapid.SampledFrom([]r3.Vec{{Z: 1}, {X: 1}, {Y: 1}, {X: 1, Z: 2}}).Draw(t, "hinge")
	angle := rapid.SampledFrom([]float64{0, 1, 30, 45, 88, 90, 137, 169}).Draw(t, "angle")
	return b.Moved(solid.About(r3.Vec{X: 3, Y: -7, Z: 11}, solid.Turned(axis, angle*math.Pi/180)))
}

// What stands for a thicker thing in a proof is nowhere farther from it than it is thicker.
func TestRoundedIsWithin(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := leaf(t)
		by := rapid.Float64Range(0, 25).Draw(t, "by")
		boxes := passage.Rounded(s, by)
		for _, b := range boxes {
			for k := range 8 { // of a convex thing the corners are farthest
				v := solid.Corner(b, k)
				if d := solid.Distance(s, solid.Box(r3.Box{Min: v, Max: v})).Dist; d > by+2e-6 {
					t.Fatalf("%v is %v from it, %v thicker", v, d, by)
				}
			}
		}
	})
}

// And of a leaf of a door little is lost: at its edges it is nearly as thick as it may be.
func TestRoundedIsThick(t *testing.T) {
	t.Parallel()
	const by, lost = 10.0, 0.3
	board := solid.Box(box(0, 0, 0, 18, 400, 500))
	for _, angle := range []float64{0, 2, 10, 45, 79, 88, 90} {
		for name, axis := range map[string]r3.Vec{"upright": {Z: 1}, "lying": {X: 1}} {
			s := board
			if name == "lying" {
				s = solid.Box(box(0, 0, 0, 500, 400, 18))
			}
			turned := s.Moved(solid.About(r3.Vec{}, solid.Turned(axis, angle*math.Pi/180)))
			boxes := passage.Rounded(turned, by)
			around := turned.Bounds()
			at := solid.BoundsOf(asSolids(boxes)...)
			for side, less := range map[string]float64{
				"out":   at.Min.Y - (around.Min.Y - by),
				"in":    around.Max.Y + by - at.Max.Y,
				"left":  at.Min.X - (around.Min.X - by),
				"right": around.Max.X + by - at.Max.X,
				"down":  at.Min.Z - (around.Min.Z - by),
				"up":    around.Max.Z + by - at.Max.Z,
			} {
				along := name == "upright" && (side == "down" || side == "up") || name == "lying" && (side == "left" || side == "right")
				if less > lost && !along {
					t.Errorf("%s at %v degrees: %v lost %s", name, angle, less, side)
				}
			}
		}
	}
}

func asSolids(boxes []r3.Box) []solid.Solid {
	var out []solid.Solid
	for _, b := range boxes {
		out = append(out, solid.Box(b))
	}
	return out
}
