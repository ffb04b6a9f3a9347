package space

import (
	"cmp"
	"math"
	"slices"
)

// A point of an outline: depth y and one coordinate e across it, x or z.
type point struct{ y, e float64 }

// An outline is a convex polygon, in order.
type outline []point

// few is how many items are sorted fastest one after the other.
const few = 48

// inOrder puts points in the order of their depths, and those of one depth across.
func inOrder(ps []point) {
	if len(ps) > few {
		slices.SortFunc(ps, func(a, b point) int { return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.e, b.e)) })
		return
	}
	for i := 1; i < len(ps); i++ {
		p, j := ps[i], i
		for ; j > 0 && (p.y < ps[j-1].y || p.y == ps[j-1].y && p.e < ps[j-1].e); j-- {
			ps[j] = ps[j-1]
		}
		ps[j] = p
	}
}

// outer keeps those points that may be corners of their hull, in their order: not those
// within the corners that are farthest out in eight directions.
func outer(ps []point) []point {
	if len(ps) < 16 {
		return ps
	}
	var far [8]point
	var most [8]float64
	for k := range most {
		most[k] = math.Inf(-1)
	}
	for _, p := range ps {
		u, v := p.y+p.e, p.y-p.e
		for k, d := range [8]float64{-p.y, -u, -p.e, v, p.y, u, p.e, -v} { // round and round
			if d > most[k] {
				most[k], far[k] = d, p
			}
		}
	}
	kept := ps[:0]
	for _, p := range ps {
		for k := range far {
			a, b := far[k], far[(k+1)%8]
			if a != b && (b.y-a.y)*(p.e-a.e)-(b.e-a.e)*(p.y-a.y) <= 0 {
				kept = append(kept, p)
				break
			}
		}
	}
	if len(kept) == 0 { // all are one
		return ps[:1]
	}
	return kept
}

// hullOf returns the convex outline round ps, which it reorders.
func hullOf(ps []point) outline {
	ps = outer(ps)
	inOrder(ps)
	if len(ps) < 2 {
		return slices.Clone(ps)
	}
	h := make(outline, 0, len(ps)+1)
	for _, p := range ps {
		h = h.turn(0, p)
	}
	h = h[:len(h)-1]
	base := len(h)
	for _, p := range slices.Backward(ps) {
		h = h.turn(base, p)
	}
	return h[:len(h)-1]
}

// turn goes on to p, and leaves out corners from base on that would bend the outline in.
func (o outline) turn(base int, p point) outline {
	for n := len(o); n-base >= 2; n-- {
		a, b := o[n-2], o[n-1]
		if (b.y-a.y)*(p.e-a.e)-(b.e-a.e)*(p.y-a.y) > 0 {
			break
		}
		o = o[:n-1]
	}
	return append(o, p)
}

// span is an interval; it is empty where lo > hi.
type span struct{ lo, hi float64 }

var noSpan = span{math.Inf(1), math.Inf(-1)}

func (s span) empty() bool { return !(s.lo <= s.hi) }

func (s span) with(e float64) span { return span{min(s.lo, e), max(s.hi, e)} }

// meet returns what two spans have in common.
func (s span) meet(t span) span { return span{max(s.lo, t.lo), min(s.hi, t.hi)} }

// longer returns the longer of two spans.
func (s span) longer(t span) span {
	if t.hi-t.lo > s.hi-s.lo {
		return t
	}
	return s
}

// across returns the extent of e over the part of o with y between y0 and y1.
func (o outline) across(y0, y1 float64) span {
	s := noSpan
	if len(o) == 0 {
		return s
	}
	p := o[len(o)-1]
	for _, q := range o {
		if q.y >= y0 && q.y <= y1 {
			s = s.with(q.e)
		}
		if (p.y < y0) != (q.y < y0) {
			s = s.with(p.e + (q.e-p.e)*(y0-p.y)/(q.y-p.y))
		}
		if (p.y < y1) != (q.y < y1) {
			s = s.with(p.e + (q.e-p.e)*(y1-p.y)/(q.y-p.y))
		}
		p = q
	}
	return s
}

// depth returns the extent of o in y.
func (o outline) depth() span {
	s := noSpan
	for _, p := range o {
		s = s.with(p.y)
	}
	return s
}

// width returns the extent of o in e.
func (o outline) width() span {
	s := noSpan
	for _, p := range o {
		s = s.with(p.e)
	}
	return s
}
