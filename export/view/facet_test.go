package view

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// anySolid draws a box or a cylinder, turned at will.
func anySolid(t *rapid.T) solid.Solid {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	var s solid.Solid = solid.Box(r3.Box{Max: r3.Vec{X: num("w", 1, 500), Y: num("d", 1, 500), Z: num("h", 1, 500)}})
	if rapid.Bool().Draw(t, "round") {
		s = &solid.Cylinder{B: r3.Vec{Z: num("h", 1, 500)}, Radius: num("r", 1, 200)}
	}
	axis := r3.Vec{X: num("ax", -1, 1), Y: num("ay", -1, 1), Z: num("az", 0.1, 1)}
	return s.Moved(solid.About(r3.Vec{}, solid.Turned(axis, num("turn", 0, 6))))
}

// bulk returns the volume within facets and the sum of their areas as vectors,
// which is zero for a closed surface.
func bulk(facets []facet) (volume float64, open r3.Vec) {
	for _, f := range facets {
		var a r3.Vec
		for i := 2; i < len(f.pts); i++ {
			a = r3.Add(a, r3.Scale(0.5, r3.Cross(r3.Sub(f.pts[i-1], f.pts[0]), r3.Sub(f.pts[i], f.pts[0]))))
		}
		volume += r3.Dot(a, f.pts[0]) / 3
		open = r3.Add(open, a)
	}
	return volume, open
}

func TestCutClosesBothHalves(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := shapeOf(scene.Part{Solid: anySolid(t)}, look{})
		num := func(name string) float64 { return rapid.Float64Range(-1, 1).Draw(t, name) }
		n := r3.Unit(r3.Vec{X: num("nx"), Y: num("ny"), Z: num("nz") + 1.5})
		b := s.part.Solid.Bounds()
		d := r3.Dot(n, r3.Add(b.Min, r3.Scale(rapid.Float64Range(0.05, 0.95).Draw(t, "at"), r3.Sub(b.Max, b.Min))))
		whole, _ := bulk(s.facets)
		sum := 0.0
		for _, side := range []float64{1, -1} {
			half, ok := s.cut(r3.Scale(side, n), side*d)
			if !ok {
				continue
			}
			v, open := bulk(half.facets)
			// Points within 1e-5 mm count as one, on faces of up to 1e6 mm².
			if r3.Norm(open) > 0.1 {
				t.Fatalf("the half n·p ≤ %g is open: its areas add up to %v mm²", side*d, open)
			}
			for _, f := range half.facets {
				for _, p := range f.pts {
					if side*(r3.Dot(n, p)-d) > 1e-4 {
						t.Fatalf("%v is beyond the plane", p)
					}
				}
			}
			sum += v
		}
		if math.Abs(sum-whole) > 1e-6*whole+1 {
			t.Fatalf("halves of %g and whole of %g mm³", sum, whole)
		}
	})
}

func TestEdgesSeen(t *testing.T) {
	t.Parallel()
	front := r3.Vec{Y: -1}
	for _, c := range []struct {
		name string
		s    solid.Solid
		eye  r3.Vec
		want int
	}{
		{"box from the front", solid.Box(r3.Box{Max: r3.Vec{X: 1, Y: 2, Z: 3}}), front, 12},
		{"box from a corner", solid.Box(r3.Box{Max: r3.Vec{X: 1, Y: 2, Z: 3}}), threeQuarter, 12},
		// Two rings of 64 and, as the outline, two lines along it.
		{"cylinder from the front", &solid.Cylinder{B: r3.Vec{Z: 100}, Radius: 30}, r3.Vec{X: 0.01, Y: -1}, 130},
		{"cylinder from above", &solid.Cylinder{B: r3.Vec{Z: 100}, Radius: 30}, r3.Vec{Z: 1}, 128},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := len(shapeOf(scene.Part{Solid: c.s}, look{}).edges(r3.Unit(c.eye))); got != c.want {
				t.Errorf("%d edges, want %d", got, c.want)
			}
		})
	}
}

// A wall with a hole comes as four boxes; no line may part them.
func TestWallHasNoSeams(t *testing.T) {
	t.Parallel()
	cab := scene.Cabinet{
		Width: 1000, Depth: 500, Height: 800, Front: scene.Panel{Thickness: 20}, Left: scene.Panel{Thickness: 20}, Lid: scene.Panel{Thickness: 20},
		Openings: []scene.Opening{{Name: "door", Side: scene.Front, Hole: r3.Box{Min: r3.Vec{X: 100, Z: 100}, Max: r3.Vec{X: 900, Y: 20, Z: 700}}}},
	}
	shapes := shapesOf(cab.Panels())
	on := func(p r3.Vec) bool {
		for i := range shapes {
			for _, e := range seamless(shapes, i, shapes[i].edges(r3.Vec{Y: -1})) {
				d := r3.Sub(e.b, e.a)
				along := r3.Dot(r3.Sub(p, e.a), d) / r3.Dot(d, d)
				if along >= 0 && along <= 1 && r3.Norm(r3.Sub(p, r3.Add(e.a, r3.Scale(along, d)))) < 0.1 {
					return true
				}
			}
		}
		return false
	}
	for _, c := range []struct {
		name string
		at   r3.Vec
		want bool
	}{
		{"left edge of the hole", r3.Vec{X: 100, Z: 400}, true},
		{"head of the hole", r3.Vec{X: 500, Z: 700}, true},
		{"above the hole's left edge", r3.Vec{X: 100, Z: 740}, false},
		{"below the hole's right edge", r3.Vec{X: 900, Z: 50}, false},
		{"joint of front and top", r3.Vec{X: 500, Z: 780}, true},
		{"outer corner", r3.Vec{X: 0, Z: 400}, true},
	} {
		if got := on(c.at); got != c.want {
			t.Errorf("%s: a line is drawn: %t, want %t", c.name, got, c.want)
		}
	}
}
