package cover

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Find returns nodes that show that no place of s is open. Where it finds none, ok is
// false, and there is a place that is open, or as good as that, as far as it knows.
func (s *Space) Find() (nodes []Node, open r3.Vec, ok bool) {
	f := finder{Space: s}
	ok = f.part(s.Box)
	return f.nodes, f.at, ok
}

type finder struct {
	*Space
	nodes []Node
	at    r3.Vec // looked at last
}

// part appends the nodes of one part: where no bar has all of it, it is cut so that one
// that has its middle has more of one half.
func (f *finder) part(b r3.Box) bool {
	f.at = r3.Scale(0.5, r3.Add(b.Min, b.Max))
	if len(f.nodes) >= Most {
		return false
	}
	for i := range len(f.Bars) + 1 {
		if f.barred(b, i) {
			f.nodes = append(f.nodes, Node{Axis: -1, In: i})
			return true
		}
	}
	middle := r3.Box{Min: f.at, Max: f.at}
	best, least := -1, math.Inf(1)
	for i := range len(f.Bars) + 1 {
		if !f.barred(middle, i) {
			continue
		}
		lacks := math.MaxFloat64 // what hides, and what is far, where there is nothing else
		if i < len(f.Bars) && !f.Bars[i].Hiding {
			lacks = norm(sticksOut(b, f.Bars[i].Box)) - f.Bars[i].By
		}
		if lacks < least {
			best, least = i, lacks
		}
	}
	if best < 0 {
		return false
	}
	axis, at := f.cut(b, best)
	lower, upper, ok := parted(b, axis, at)
	if !ok {
		return false
	}
	f.nodes = append(f.nodes, Node{Axis: axis, At: at})
	return f.part(lower) && f.part(upper)
}

// cut returns where to cut b, of which a bar has the middle.
func (f *finder) cut(b r3.Box, i int) (axis int, at float64) {
	lo, hi := [3]float64{b.Min.X, b.Min.Y, b.Min.Z}, [3]float64{b.Max.X, b.Max.Y, b.Max.Z}
	if i == len(f.Bars) || f.Bars[i].Hiding {
		for k := range lo {
			if hi[k]-lo[k] > hi[axis]-lo[axis] {
				axis = k
			}
		}
		return axis, (lo[axis] + hi[axis]) / 2
	}
	bar := &f.Bars[i]
	out := sticksOut(b, bar.Box)
	from, to := [3]float64{bar.Min.X, bar.Min.Y, bar.Min.Z}, [3]float64{bar.Max.X, bar.Max.Y, bar.Max.Z}
	for k := range out {
		if out[k] > out[axis] {
			axis = k
		}
	}
	// As far out as the bar reaches there, or where that is nowhere near.
	rest := out
	rest[axis] = 0
	by := math.Sqrt(max(0, bar.By*bar.By-norm(rest)*norm(rest))) * (1 - 1e-12)
	if norm(rest) >= bar.By {
		by = min(bar.By/math.Sqrt2, out[axis]/2)
	}
	at = from[axis] - by
	if hi[axis]-to[axis] >= from[axis]-lo[axis] {
		at = to[axis] + by
	}
	if at > lo[axis] && at < hi[axis] {
		return axis, at
	}
	most := -1.0 // by how much less one half sticks out
	for k := range out {
		middle := (lo[k] + hi[k]) / 2
		half := max(0, middle-to[k], from[k]-middle)
		if gain := out[k]*out[k] - half*half; gain > most {
			axis, at, most = k, middle, gain
		}
	}
	return axis, at
}
