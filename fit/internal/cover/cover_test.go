package cover_test

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/internal/cover"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

func TestCover(t *testing.T) {
	t.Parallel()
	whole := box(0, 0, 0, 10, 10, 10)
	for _, c := range []struct {
		name  string
		boxes []r3.Box
		want  bool
	}{
		{"one round all", []r3.Box{box(-1, -1, -1, 11, 11, 11)}, true},
		{"two halves", []r3.Box{box(0, 0, 0, 5, 10, 10), box(5, 0, 0, 10, 10, 10)}, true},
		{"a gap between two", []r3.Box{box(0, 0, 0, 5, 10, 10), box(5.001, 0, 0, 10, 10, 10)}, false},
		{"a corner missing", []r3.Box{box(0, 0, 0, 9, 10, 10), box(0, 0, 0, 10, 9, 10), box(0, 0, 0, 10, 10, 9)}, false},
		{"three that cross", []r3.Box{box(0, 0, 0, 9, 10, 10), box(0, 0, 0, 10, 9, 10), box(0, 0, 0, 10, 10, 9), box(8, 8, 8, 10, 10, 10)}, true},
		{"beside it", []r3.Box{box(20, 0, 0, 30, 10, 10)}, false},
		{"none", nil, false},
	} {
		nodes, ok := cover.Find(whole, c.boxes)
		if ok != c.want {
			t.Errorf("%s: covered: %v", c.name, ok)
		}
		if err := cover.Check(whole, c.boxes, nodes); ok != (err == nil) {
			t.Errorf("%s: found: %v, checked: %v", c.name, ok, err)
		}
	}
}

// What does not show it is refused.
func TestCheckRefuses(t *testing.T) {
	t.Parallel()
	whole := box(0, 0, 0, 10, 10, 10)
	halves := []r3.Box{box(0, 0, 0, 5, 10, 10), box(5, 0, 0, 10, 10, 10)}
	for name, nodes := range map[string][]cover.Node{
		"nothing":             nil,
		"half of it":          {{Axis: 0, At: 5}, {Axis: -1}},
		"a part twice":        {{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 1}, {Axis: -1, In: 1}},
		"the wrong half":      {{Axis: 0, At: 5}, {Axis: -1, In: 1}, {Axis: -1, In: 0}},
		"a cut elsewhere":     {{Axis: 0, At: 5.1}, {Axis: -1}, {Axis: -1, In: 1}},
		"a cut beside it":     {{Axis: 0, At: -3}, {Axis: -1}, {Axis: -1, In: 1}},
		"a cut at its side":   {{Axis: 0, At: 10}, {Axis: -1}, {Axis: -1, In: 1}},
		"no such axis":        {{Axis: 3, At: 5}, {Axis: -1}, {Axis: -1, In: 1}},
		"no such box":         {{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 2}},
		"a box before all":    {{Axis: 0, At: 5}, {Axis: -1, In: -1}, {Axis: -1, In: 1}},
		"one box for it all":  {{Axis: -1}},
		"cut across the seam": {{Axis: 1, At: 5}, {Axis: -1}, {Axis: -1, In: 1}},
	} {
		if err := cover.Check(whole, halves, nodes); err == nil {
			t.Errorf("%s: taken for a cover", name)
		}
	}
	if err := cover.Check(whole, halves, []cover.Node{{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 1}}); err != nil {
		t.Errorf("the two halves: %v", err)
	}
}

// A point that is in none of the boxes is never covered, and what is found is accepted.
func TestCoverOfPoints(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		whole := box(0, 0, 0, 6, 6, 6)
		var boxes []r3.Box
		for range rapid.IntRange(0, 12).Draw(t, "boxes") {
			var lo, hi [3]float64
			for k := range lo {
				lo[k] = float64(rapid.IntRange(-2, 5).Draw(t, "from"))
				hi[k] = lo[k] + float64(rapid.IntRange(1, 9).Draw(t, "size"))
			}
			boxes = append(boxes, box(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]))
		}
		open := false // a middle of a unit cube in none of them
		for i := range 216 {
			p := r3.Vec{X: float64(i%6) + 0.5, Y: float64(i/6%6) + 0.5, Z: float64(i/36) + 0.5}
			open = open || !slices.ContainsFunc(boxes, func(b r3.Box) bool {
				return p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y && p.Z > b.Min.Z && p.Z < b.Max.Z
			})
		}
		nodes, ok := cover.Find(whole, boxes)
		if ok == open {
			t.Fatalf("covered: %v, a point is free: %v", ok, open)
		}
		if err := cover.Check(whole, boxes, nodes); ok != (err == nil) {
			t.Fatalf("found: %v, checked: %v", ok, err)
		}
	})
}
