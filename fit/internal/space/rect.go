package space

import (
	"math"
	"slices"
)

// A Rect is a closed rectangle of places (x, z) of the reference point.
type Rect struct{ X0, X1, Z0, Z1 float64 }

// Everywhere is the rectangle without bounds.
var Everywhere = Rect{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1)}

// Empty tells whether r has no point.
func (r Rect) Empty() bool { return !(r.X0 <= r.X1 && r.Z0 <= r.Z1) }

// Meet returns the common part of r and q.
func (r Rect) Meet(q Rect) Rect {
	return Rect{max(r.X0, q.X0), min(r.X1, q.X1), max(r.Z0, q.Z0), min(r.Z1, q.Z1)}
}

// Touches tells whether r and q have a common point.
func (r Rect) Touches(q Rect) bool { return !r.Meet(q).Empty() }

// Overlaps tells whether r and q have more than a border in common.
func (r Rect) Overlaps(q Rect) bool {
	return max(r.X0, q.X0) < min(r.X1, q.X1) && max(r.Z0, q.Z0) < min(r.Z1, q.Z1)
}

// Holds tells whether q lies in r.
func (r Rect) Holds(q Rect) bool {
	return r.X0 <= q.X0 && q.X1 <= r.X1 && r.Z0 <= q.Z0 && q.Z1 <= r.Z1
}

// Has tells whether the place (x, z) lies in r.
func (r Rect) Has(x, z float64) bool { return r.X0 <= x && x <= r.X1 && r.Z0 <= z && z <= r.Z1 }

// Size is the sum of r's sides, up to what tells nothing more.
func (r Rect) Size() float64 {
	const most = 1e5
	return min(r.X1-r.X0, most) + min(r.Z1-r.Z0, most)
}

// round returns the rectangle round r and q.
func (r Rect) round(q Rect) Rect {
	return Rect{min(r.X0, q.X0), max(r.X1, q.X1), min(r.Z0, q.Z0), max(r.Z1, q.Z1)}
}

// Near returns the place of r nearest to (x, z).
func (r Rect) Near(x, z float64) (float64, float64) {
	return min(max(x, r.X0), r.X1), min(max(z, r.Z0), r.Z1)
}

// Inset returns r with a little less on each side, as far as there is.
func (r Rect) Inset(by float64) Rect {
	shrink := func(lo, hi float64) (float64, float64) {
		d := min(by, (hi-lo)/4)
		if math.IsInf(hi-lo, 0) {
			d = by
		}
		return lo + d, hi - d
	}
	r.X0, r.X1 = shrink(r.X0, r.X1)
	r.Z0, r.Z1 = shrink(r.Z0, r.Z1)
	return r
}

// hits tells whether the open rectangle f has a point in common with the inside of one of free.
func hits(free []Rect, f Rect) bool {
	if !(f.X0 < f.X1 && f.Z0 < f.Z1) {
		return false
	}
	for _, r := range free {
		if r.X0 < f.X1 && f.X0 < r.X1 && r.Z0 < f.Z1 && f.Z0 < r.Z1 {
			return true
		}
	}
	return false
}

// without removes the open rectangle f from the union of free, which it keeps
// as closed rectangles, each as large as it can be on the four sides of f.
func without(free []Rect, f Rect) []Rect {
	if !hits(free, f) {
		return free
	}
	return slices.Clip(carved(free, f, make([]Rect, 0, len(free)+3)))
}

// carved appends to out what is left of free without the open rectangle f, which hits it.
// Of free, and of what it returns, no rectangle lies in another.
func carved(free []Rect, f Rect, out []Rect) []Rect {
	var pieces uint64 // which of out are pieces: nothing else can come to lie in another
	piece := func(r Rect) {
		pieces |= 1 << len(out)
		out = append(out, r)
	}
	for _, r := range free {
		if r.X0 >= f.X1 || f.X0 >= r.X1 || r.Z0 >= f.Z1 || f.Z0 >= r.Z1 {
			out = append(out, r)
			continue
		}
		if r.X0 <= f.X0 {
			piece(Rect{r.X0, f.X0, r.Z0, r.Z1})
		}
		if r.X1 >= f.X1 {
			piece(Rect{f.X1, r.X1, r.Z0, r.Z1})
		}
		if r.Z0 <= f.Z0 {
			piece(Rect{r.X0, r.X1, r.Z0, f.Z0})
		}
		if r.Z1 >= f.Z1 {
			piece(Rect{r.X0, r.X1, f.Z1, r.Z1})
		}
	}
	if len(out) > 64 {
		return maximal(out)
	}
	keep := out[:0]
	for i, r := range out {
		if pieces>>i&1 == 0 || !covered(out, i, r) {
			keep = append(keep, r)
		}
	}
	return keep
}

// maximal drops rectangles that lie in others.
func maximal(rs []Rect) []Rect {
	keep := rs[:0]
	for i, r := range rs {
		if !covered(rs, i, r) {
			keep = append(keep, r)
		}
	}
	return keep
}

// covered tells whether r, of rs the one at i, lies in another: of equal ones the first does not.
func covered(rs []Rect, i int, r Rect) bool {
	for j, q := range rs {
		if i != j && q.Holds(r) && (j < i || !r.Holds(q)) {
			return true
		}
	}
	return false
}
