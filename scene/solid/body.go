package solid

import "gonum.org/v1/gonum/spatial/r3"

// A form is a kind of core, the simple ones first.
type form int

const (
	point    form = iota // a
	stick                // the segment from a to b
	discs                // the hull of two discs across the segment from a to b
	oblong               // a box with its middle at a
	cornered             // the hull of the corners
	foreign              // a solid of another package
)

// A body is a solid as the distance query sees it: all within round of a core.
type body struct {
	form     form
	round    float64
	a, b     r3.Vec
	ra, rb   float64   // discs
	axis     r3.Vec    // discs: from a to b, of unit length
	half     [3]r3.Vec // oblong: half its edges
	polytope *Polyhedron
	solid    Solid
}

func bodyOf(s Solid) body {
	switch s := s.(type) {
	case *Ball:
		return body{form: point, a: s.Centre, round: s.Radius}
	case *Capsule:
		if s.A == s.B {
			return body{form: point, a: s.A, round: s.Radius}
		}
		return body{form: stick, a: s.A, b: s.B, round: s.Radius}
	case *Cylinder:
		return body{form: discs, a: s.A, b: s.B, ra: s.Radius, rb: s.Radius, axis: r3.Unit(r3.Sub(s.B, s.A))}
	case *Cone:
		return body{form: discs, a: s.A, b: s.B, ra: s.RadiusA, rb: s.RadiusB, axis: r3.Unit(r3.Sub(s.B, s.A))}
	case *Polyhedron:
		if !s.brick {
			return body{form: cornered, polytope: s}
		}
		v := s.verts
		b := body{form: oblong, polytope: s, a: r3.Scale(0.5, r3.Add(v[0], v[7]))}
		for i := range 3 {
			b.half[i] = r3.Scale(0.5, r3.Sub(v[1<<i], v[0]))
		}
		return b
	}
	return body{form: foreign, solid: s}
}

// middle returns a point of the core.
func (b *body) middle() r3.Vec {
	switch b.form {
	case point, oblong:
		return b.a
	case stick, discs:
		return r3.Scale(0.5, r3.Add(b.a, b.b))
	case cornered:
		v := b.polytope.verts
		return r3.Scale(0.5, r3.Add(v[0], v[len(v)/2]))
	case foreign:
	}
	return b.solid.Centroid()
}

// support returns a point of the core farthest along d.
func (b *body) support(d r3.Vec) r3.Vec {
	switch b.form {
	case point:
		return b.a
	case stick:
		if r3.Dot(d, b.b) > r3.Dot(d, b.a) {
			return b.b
		}
		return b.a
	case discs:
		return supportDiscs(b.a, b.b, b.axis, b.ra, b.rb, d)
	case oblong:
		p := b.a
		for i := range b.half {
			h := &b.half[i]
			if h.X*d.X+h.Y*d.Y+h.Z*d.Z >= 0 {
				p.X, p.Y, p.Z = p.X+h.X, p.Y+h.Y, p.Z+h.Z
			} else {
				p.X, p.Y, p.Z = p.X-h.X, p.Y-h.Y, p.Z-h.Z
			}
		}
		return p
	case cornered:
		return b.polytope.Support(d)
	case foreign:
	}
	return b.solid.Support(d)
}

// separation is Separation of two cores.
func separation(a, b *body, d r3.Vec) float64 {
	return r3.Dot(r3.Sub(b.support(r3.Scale(-1, d)), a.support(d)), d)
}
