package solid_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// TestInscribed: a box is itself, an upright round has the square in it, of what lies
// across or is turned nothing is told.
func TestInscribed(t *testing.T) {
	t.Parallel()
	b := r3.Box{Max: r3.Vec{X: 30, Y: 20, Z: 10}}
	turned := solid.About(r3.Vec{}, quat.Number{Real: math.Cos(0.3), Kmag: math.Sin(0.3)})
	for _, c := range []struct {
		name string
		s    solid.Solid
		size r3.Vec // zero where there is none
	}{
		{"a box", solid.Box(b), b.Max},
		{"a turned box", solid.Box(b).Moved(turned), r3.Vec{}},
		{"an upright round", &solid.Cylinder{B: r3.Vec{Z: 10}, Radius: 10}, r3.Vec{X: 20 / math.Sqrt2, Y: 20 / math.Sqrt2, Z: 10}},
		{"a lying round", &solid.Cylinder{B: r3.Vec{X: 10}, Radius: 10}, r3.Vec{}},
		{"nothing", nil, r3.Vec{}},
	} {
		in, ok := solid.Inscribed(c.s)
		if ok != (c.size != r3.Vec{}) || ok && r3.Norm(r3.Sub(r3.Sub(in.Max, in.Min), c.size)) > 1e-4 {
			t.Errorf("%s: %v, %v, want %v", c.name, in, ok, c.size)
		}
		if !ok {
			continue
		}
		for _, p := range []r3.Vec{in.Min, in.Max, {X: in.Min.X, Y: in.Max.Y, Z: in.Min.Z}} {
			point := solid.Box(r3.Box{Min: p, Max: r3.Add(p, r3.Vec{X: 1e-7, Y: 1e-7, Z: 1e-7})})
			if d := solid.Distance(c.s, point).Dist; d > 1e-6 {
				t.Errorf("%s: the corner %v is %v outside", c.name, p, d)
			}
		}
	}
}
