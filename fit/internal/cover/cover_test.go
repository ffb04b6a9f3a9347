package cover_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/internal/cover"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// bars are boxes with all within by.
func bars(by float64, boxes ...r3.Box) []cover.Bar {
	var out []cover.Bar
	for _, b := range boxes {
		out = append(out, cover.Bar{Box: b, By: by})
	}
	return out
}

func TestCover(t *testing.T) {
	t.Parallel()
	whole := box(0, 0, 0, 10, 10, 10)
	hiding := func(b r3.Box) []cover.Bar { return []cover.Bar{{Box: b, Hiding: true}} }
	corner := math.Sqrt(3 * 25)
	for _, c := range []struct {
		name   string
		bars   []cover.Bar
		within float64 // of the middle
		want   bool
	}{
		{"one round all", bars(0, box(-1, -1, -1, 11, 11, 11)), 20, true},
		{"two halves", bars(0, box(0, 0, 0, 5, 10, 10), box(5, 0, 0, 10, 10, 10)), 20, true},
		{"a gap between two", bars(0, box(0, 0, 0, 5, 10, 10), box(5.001, 0, 0, 10, 10, 10)), 20, false},
		{"a corner missing", bars(0, box(0, 0, 0, 9, 10, 10), box(0, 0, 0, 10, 9, 10), box(0, 0, 0, 10, 10, 9)), 20, false},
		{"three that cross", bars(0, box(0, 0, 0, 9, 10, 10), box(0, 0, 0, 10, 9, 10), box(0, 0, 0, 10, 10, 9), box(8, 8, 8, 10, 10, 10)), 20, true},
		{"beside it", bars(0, box(20, 0, 0, 30, 10, 10)), 20, false},
		{"none", nil, 20, false},
		{"within so much of its middle", bars(corner+0.01, box(5, 5, 5, 5, 5, 5)), 20, true},
		{"not quite", bars(corner-0.01, box(5, 5, 5, 5, 5, 5)), 20, false},
		{"no farther than that", bars(corner-0.01, box(5, 5, 5, 5, 5, 5)), 8.6, true},
		{"within so much of both ends", bars(7.11, box(0, 0, 0, 0, 10, 0), box(10, 0, 0, 10, 10, 0), box(0, 0, 10, 0, 10, 10), box(10, 0, 10, 10, 10, 10)), 20, true},
		{"not the line midway", bars(7.06, box(0, 0, 0, 0, 10, 0), box(10, 0, 0, 10, 10, 0), box(0, 0, 10, 0, 10, 10), box(10, 0, 10, 10, 10, 10)), 20, false},
		{"hidden but for what is near", append(hiding(box(6, -1, -1, 7, 11, 11)), bars(0, box(0, 0, 0, 6.1, 10, 10))...), 20, true},
		{"seen past its edge", append(hiding(box(6, -1, -1, 7, 9, 11)), bars(0, box(0, 0, 0, 6.1, 10, 10))...), 20, false},
	} {
		s := cover.Space{Box: whole, From: r3.Vec{X: 5, Y: 5, Z: 5}, Within: c.within, Bars: c.bars}
		nodes, open, ok := s.Find()
		if ok != c.want {
			t.Errorf("%s: none open: %v; %v", c.name, ok, open)
		}
		if err := s.Check(nodes); ok != (err == nil) {
			t.Errorf("%s: found: %v, checked: %v", c.name, ok, err)
		}
	}
}

// What does not show it is refused.
func TestCheckRefuses(t *testing.T) {
	t.Parallel()
	halves := func(by float64, hiding bool) cover.Space {
		s := cover.Space{Box: box(0, 0, 0, 10, 10, 10), From: r3.Vec{X: 5, Y: 5, Z: 5}, Within: 20}
		s.Bars = bars(by, box(0-by, 0-by, 0-by, 5-by, 10+by, 10+by), box(5+by, 0-by, 0-by, 10+by, 10+by, 10+by))
		for i := range s.Bars {
			s.Bars[i].Hiding = hiding
		}
		return s
	}
	exact, thick, hidden := halves(0, false), halves(2, false), halves(0, true)
	for name, nodes := range map[string][]cover.Node{
		"nothing":             nil,
		"half of it":          {{Axis: 0, At: 5}, {Axis: -1}},
		"a part twice":        {{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 1}, {Axis: -1, In: 1}},
		"the wrong half":      {{Axis: 0, At: 5}, {Axis: -1, In: 1}, {Axis: -1, In: 0}},
		"a cut elsewhere":     {{Axis: 0, At: 5.1}, {Axis: -1}, {Axis: -1, In: 1}},
		"a cut beside it":     {{Axis: 0, At: -3}, {Axis: -1}, {Axis: -1, In: 1}},
		"a cut at its side":   {{Axis: 0, At: 10}, {Axis: -1}, {Axis: -1, In: 1}},
		"no such axis":        {{Axis: 3, At: 5}, {Axis: -1}, {Axis: -1, In: 1}},
		"no such box":         {{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 3}},
		"too far, and is not": {{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 2}},
		"a box before all":    {{Axis: 0, At: 5}, {Axis: -1, In: -1}, {Axis: -1, In: 1}},
		"one box for it all":  {{Axis: -1}},
		"cut across the seam": {{Axis: 1, At: 5}, {Axis: -1}, {Axis: -1, In: 1}},
	} {
		for _, s := range []cover.Space{exact, thick} {
			if err := s.Check(nodes); err == nil {
				t.Errorf("%s: taken for a cover", name)
			}
		}
	}
	right := []cover.Node{{Axis: 0, At: 5}, {Axis: -1}, {Axis: -1, In: 1}}
	for _, s := range []cover.Space{exact, thick} {
		if err := s.Check(right); err != nil {
			t.Errorf("the two halves: %v", err)
		}
	}
	if err := hidden.Check([]cover.Node{{Axis: 0, At: 6}, {Axis: -1}, {Axis: -1, In: 1}}); err == nil {
		t.Error("what is beside a box is taken to be hidden by it")
	}
}

// A place that is in none of the boxes, nor within so much of one, nor hidden by one, is
// never covered, and what is found is accepted.
func TestCoverOfPoints(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		const size = 6
		s := cover.Space{Box: box(0, 0, 0, size, size, size), From: r3.Vec{X: 2.5, Y: 2.5, Z: 2.5}}
		s.Within = rapid.Float64Range(1, 8).Draw(t, "within")
		for range rapid.IntRange(0, 12).Draw(t, "boxes") {
			var lo, hi [3]float64
			for k := range lo {
				lo[k] = float64(rapid.IntRange(-2, 5).Draw(t, "from"))
				hi[k] = lo[k] + float64(rapid.IntRange(1, 9).Draw(t, "size"))
			}
			b := cover.Bar{Box: box(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2])}
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				b.By = rapid.Float64Range(0.1, 2).Draw(t, "by")
			case 1:
				b.Hiding = true
			}
			s.Bars = append(s.Bars, b)
		}
		barred := func(p r3.Vec) bool {
			if r3.Norm(r3.Sub(p, s.From)) > s.Within-1e-9 {
				return true
			}
			for _, b := range s.Bars {
				if b.Hiding {
					const n = 500 // points of the line
					for i := range n + 1 {
						q := r3.Add(s.From, r3.Scale(float64(i)/n, r3.Sub(p, s.From)))
						if off(q, b.Box) <= 0.02 { // more than half as far as they are apart
							return true
						}
					}
					continue
				}
				if off(p, b.Box) <= b.By+1e-9 {
					return true
				}
			}
			return false
		}
		nodes, open, ok := s.Find()
		for i := range size * size * size {
			p := r3.Vec{X: float64(i%size) + 0.5, Y: float64(i/size%size) + 0.5, Z: float64(i/size/size) + 0.5}
			if near := r3.Add(p, r3.Vec{X: 0.013, Y: -0.007, Z: 0.003}); ok && !barred(near) {
				t.Fatalf("covered, and %v is open", near)
			}
		}
		if !ok && off(open, s.Box) > 0 {
			t.Fatalf("%v is said to be open", open)
		}
		if err := s.Check(nodes); ok != (err == nil) {
			t.Fatalf("found: %v, checked: %v", ok, err)
		}
	})
}

// off returns how far a place is from a box.
func off(p r3.Vec, b r3.Box) float64 {
	return r3.Norm(r3.Vec{
		X: max(0, p.X-b.Max.X, b.Min.X-p.X), Y: max(0, p.Y-b.Max.Y, b.Min.Y-p.Y), Z: max(0, p.Z-b.Max.Z, b.Min.Z-p.Z),
	})
}
