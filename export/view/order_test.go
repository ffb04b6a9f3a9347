package view

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// Boxes that come from halving one box again and again never hide each other in
// a ring. What a ray meets first must be laid last.
func TestClearShapesBackToFront(t *testing.T) {
	t.Parallel()
	crossed := 0
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		boxes := []r3.Box{{Max: r3.Vec{X: 300, Y: 300, Z: 300}}}
		for range rapid.IntRange(1, 20).Draw(t, "cuts") {
			i := rapid.IntRange(0, len(boxes)-1).Draw(t, "which")
			a, b, at := boxes[i], boxes[i], num("at", 0.1, 0.9)
			switch rapid.IntRange(0, 2).Draw(t, "across") {
			case 0:
				a.Max.X = a.Min.X + at*(a.Max.X-a.Min.X)
				b.Min.X = a.Max.X
			case 1:
				a.Max.Y = a.Min.Y + at*(a.Max.Y-a.Min.Y)
				b.Min.Y = a.Max.Y
			default:
				a.Max.Z = a.Min.Z + at*(a.Max.Z-a.Min.Z)
				b.Min.Z = a.Max.Z
			}
			boxes[i] = a
			boxes = append(boxes, b)
		}
		shapes := make([]shape, len(boxes))
		for i, b := range boxes {
			shapes[i] = shapeOf(scene.Part{Solid: solid.Box(b)}, look{})
		}
		eye := r3.Unit(r3.Vec{X: num("ex", -1, 1), Y: num("ey", -1, 1), Z: num("ez", 0.05, 1)})
		place := make([]int, len(shapes))
		order := backToFront(shapes, eye)
		if len(order) != len(shapes) {
			t.Fatalf("%d of %d shapes in the order", len(order), len(shapes))
		}
		for i, k := range order {
			place[k] = i
		}
		for range 20 {
			p := r3.Vec{X: num("px", 0, 300), Y: num("py", 0, 300), Z: num("pz", 0, 300)}
			for i := range shapes {
				for j := range shapes {
					in, out := shapes[i].pierced(p, eye)
					in2, out2 := shapes[j].pierced(p, eye)
					if in >= out || in2 >= out2 || out > in2+1e-6 {
						continue
					}
					crossed++
					if place[i] > place[j] {
						t.Fatalf("shape %d is behind %d on a ray through %v, but laid after it", i, j, p)
					}
				}
			}
		}
	})
	if crossed == 0 {
		t.Error("no ray met two shapes")
	}
}
