package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A corner is a point of the difference b − a, with the points it is made of.
type corner struct{ w, a, b r3.Vec }

// A simplex is up to four corners and the weights of its point nearest the
// origin.
type simplex struct {
	c [4]corner
	k [4]float64
	n int
}

// corner returns the point of b − a least along d.
func cornerOf(a, b Solid, d r3.Vec) corner {
	p, q := a.Support(d), b.Support(r3.Scale(-1, d))
	return corner{w: r3.Sub(q, p), a: p, b: q}
}

func (s *simplex) witness() (onA, onB r3.Vec) {
	for i := range s.n {
		onA = r3.Add(onA, r3.Scale(s.k[i], s.c[i].a))
		onB = r3.Add(onB, r3.Scale(s.k[i], s.c[i].b))
	}
	return onA, onB
}

// closest finds the gap of solids that are apart by the algorithm of Gilbert,
// Johnson and Keerthi; apart is false if they touch or overlap.
func closest(a, b Solid) (g Gap, apart bool) {
	const steps = 128
	v := r3.Sub(b.Centroid(), a.Centroid())
	if v == (r3.Vec{}) {
		return g, false
	}
	g.Low, g.High = math.Inf(-1), math.Inf(1)
	var s simplex
	for range steps {
		n := r3.Norm(v)
		d := r3.Scale(1/n, v)
		c := cornerOf(a, b, d)
		if low := r3.Dot(c.w, d); low > g.Low {
			g.Low, g.Normal = low, d
		}
		if g.High-g.Low <= 1e-12*(1+g.High) {
			break
		}
		t := s
		t.c[t.n], t.n = c, t.n+1
		inside := t.nearest()
		if inside {
			return g, false
		}
		var u r3.Vec
		for i := range t.n {
			u = r3.Add(u, r3.Scale(t.k[i], t.c[i].w))
		}
		m := r3.Norm(u)
		if m < 1e-11 {
			return g, false
		}
		if m >= g.High {
			break
		}
		s, v, g.High = t, u, m
	}
	g.OnA, g.OnB = s.witness()
	g.Dist = g.High
	g.Normal = r3.Unit(r3.Sub(g.OnB, g.OnA))
	return g, true
}

// nearest reduces s to the corners that carry its point nearest the origin;
// inside is true if the origin lies in a tetrahedron.
func (s *simplex) nearest() (inside bool) {
	switch s.n {
	case 1:
		s.k[0] = 1
	case 2:
		*s = segment(s.c[0], s.c[1])
	case 3:
		*s = triangle(s.c[0], s.c[1], s.c[2])
	case 4:
		return s.tetrahedron()
	}
	return false
}

func (s *simplex) point() r3.Vec {
	var u r3.Vec
	for i := range s.n {
		u = r3.Add(u, r3.Scale(s.k[i], s.c[i].w))
	}
	return u
}

func segment(a, b corner) simplex {
	ab := r3.Sub(b.w, a.w)
	l := r3.Norm2(ab)
	t := 0.0
	if l > 0 {
		t = -r3.Dot(a.w, ab) / l
	}
	switch {
	case t <= 0:
		return simplex{c: [4]corner{a}, k: [4]float64{1}, n: 1}
	case t >= 1:
		return simplex{c: [4]corner{b}, k: [4]float64{1}, n: 1}
	}
	return simplex{c: [4]corner{a, b}, k: [4]float64{1 - t, t}, n: 2}
}

func triangle(a, b, c corner) simplex {
	ab, ac := r3.Sub(b.w, a.w), r3.Sub(c.w, a.w)
	n := r3.Cross(ab, ac)
	nn := r3.Norm2(n)
	ao := r3.Scale(-1, a.w)
	v, w := r3.Dot(n, r3.Cross(ao, ac)), r3.Dot(n, r3.Cross(ab, ao))
	u := nn - v - w
	if u > 0 && v > 0 && w > 0 {
		return simplex{c: [4]corner{a, b, c}, k: [4]float64{u / nn, v / nn, w / nn}, n: 3}
	}
	var best simplex
	far := math.Inf(1)
	try := func(s simplex) {
		if d := r3.Norm2(s.point()); d < far {
			best, far = s, d
		}
	}
	if u <= 0 {
		try(segment(b, c))
	}
	if v <= 0 {
		try(segment(a, c))
	}
	if w <= 0 {
		try(segment(a, b))
	}
	return best
}

func (s *simplex) tetrahedron() (inside bool) {
	c := s.c
	var best simplex
	far := math.Inf(1)
	inside = true
	for _, f := range [4][4]int{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}} {
		a, b, d, o := c[f[0]], c[f[1]], c[f[2]], c[f[3]]
		n := r3.Cross(r3.Sub(b.w, a.w), r3.Sub(d.w, a.w))
		side, in := -r3.Dot(n, a.w), r3.Dot(n, r3.Sub(o.w, a.w))
		if side*in > 0 {
			continue
		}
		inside = false
		t := triangle(a, b, d)
		if d := r3.Norm2(t.point()); d < far {
			best, far = t, d
		}
	}
	if !inside {
		*s = best
	}
	return inside
}
