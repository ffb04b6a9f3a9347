package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// flatFaced tells whether the core of b has flat faces only, or none.
func (b *body) flatFaced() bool {
	switch b.form {
	case point, stick, oblong, cornered:
		return true
	case discs, foreign:
	}
	return false
}

// span returns the least and the greatest of a flat-faced core along d.
func (b *body) span(d r3.Vec) (lo, hi float64) {
	switch b.form {
	case point:
		lo = r3.Dot(b.a, d)
		return lo, lo
	case stick:
		lo, hi = r3.Dot(b.a, d), r3.Dot(b.b, d)
		return min(lo, hi), max(lo, hi)
	case oblong:
		m := r3.Dot(b.a, d)
		var h float64
		for _, e := range b.half {
			h += math.Abs(r3.Dot(e, d))
		}
		return m - h, m + h
	case cornered:
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, v := range b.polytope.verts {
			x := r3.Dot(v, d)
			lo, hi = min(lo, x), max(hi, x)
		}
		return lo, hi
	case discs, foreign:
	}
	return math.NaN(), math.NaN()
}

// normal returns a normal of the i-th kind of parallel faces, of unit length.
func (b *body) normal(i int) (n r3.Vec, ok bool) {
	if b.polytope == nil || i >= len(b.polytope.normals) {
		return n, false
	}
	return r3.Unit(across3(b.polytope.verts, b.polytope.normals[i])), true
}

// edge returns the direction of the i-th kind of parallel edges.
func (b *body) edge(i int) (e r3.Vec, ok bool) {
	if b.form == stick && i == 0 {
		return r3.Unit(r3.Sub(b.b, b.a)), true
	}
	if b.polytope == nil || i >= len(b.polytope.edges) {
		return e, false
	}
	k := b.polytope.edges[i]
	return r3.Unit(r3.Sub(b.polytope.verts[k[1]], b.polytope.verts[k[0]])), true
}

// byAxes finds the gap between flat-faced cores that touch or overlap: each
// face of the difference of two polytopes is across a face of one of them or
// along an edge of each.
func byAxes(a, b *body) Gap {
	g := Gap{Low: math.Inf(-1)}
	try := func(n r3.Vec) {
		la, ha := a.span(n)
		lb, hb := b.span(n)
		if d := lb - ha; d > g.Low {
			g.Low, g.Normal = d, n
		}
		if d := la - hb; d > g.Low {
			g.Low, g.Normal = d, r3.Scale(-1, n)
		}
	}
	for _, s := range [2]*body{a, b} {
		for i := 0; ; i++ {
			n, ok := s.normal(i)
			if !ok {
				break
			}
			try(n)
		}
	}
	for i := 0; ; i++ {
		e, ok := a.edge(i)
		if !ok {
			break
		}
		for j := 0; ; j++ {
			f, ok := b.edge(j)
			if !ok {
				break
			}
			n := r3.Cross(e, f)
			if l := r3.Norm(n); l > parallel {
				try(r3.Scale(1/l, n))
			}
		}
	}
	g.High = g.Low
	return g.settled(a, b)
}

// settled finds the witness points of a gap whose Normal is that of a face of
// the difference b − a: b is moved along it until it is apart, and the way
// between the nearest points is then the normal again. With a round solid, or
// another normal near by, it is one that is no worse, and the search goes on
// with it until they agree.
func (g Gap) settled(a, b *body) Gap {
	const steps, agree = 100, 1e-10
	away := (absSum(a.support(g.Normal)) + absSum(b.middle())) / 1024
	for range steps {
		shift := r3.Scale(away-g.Low, g.Normal)
		h, apart := closest(a, b, shift, g.Normal)
		if !apart {
			break
		}
		g.OnA, g.OnB = h.OnA, r3.Sub(h.OnB, shift)
		low := separation(a, b, h.Normal)
		if low < g.Low || r3.Norm2(r3.Sub(h.Normal, g.Normal)) <= agree*agree {
			break
		}
		g.Low, g.Normal = low, h.Normal
	}
	g.Dist = g.Low
	g.High = max(g.High, g.Low)
	return g
}
