package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Within returns a polyhedron in s: s itself where it is one, of a round one with so many
// sides; nil for any other solid, and for none.
func Within(s Solid, sides int) *Polyhedron {
	switch s := s.(type) {
	case *Polyhedron:
		return s
	case *Cylinder:
		return s.Inner(sides)
	}
	return nil
}

// Inscribed returns a box along the axes inside s, in mm: s itself where it is one,
// and of an upright round the largest with a square base. It is false for any other
// solid.
func Inscribed(s Solid) (r3.Box, bool) {
	if s == nil {
		return r3.Box{}, false
	}
	b := s.Bounds()
	d := r3.Sub(b.Max, b.Min)
	switch s := s.(type) {
	case *Polyhedron:
		const rounding = 1e-9
		return b, math.Abs(s.Volume()-d.X*d.Y*d.Z) <= rounding*d.X*d.Y*d.Z
	case *Cylinder:
		if s.A.X != s.B.X || s.A.Y != s.B.Y {
			return r3.Box{}, false
		}
		const less = 1 - 1e-6 // for rounding
		h := s.Radius * math.Sqrt2 / 2 * less
		return r3.Box{
			Min: r3.Vec{X: s.A.X - h, Y: s.A.Y - h, Z: b.Min.Z}, Max: r3.Vec{X: s.A.X + h, Y: s.A.Y + h, Z: b.Max.Z},
		}, true
	}
	return r3.Box{}, false
}
