package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Cylinder is the set of points within Radius of the axis from A to B,
// between the planes through A and B across it.
type Cylinder struct {
	A, B   r3.Vec
	Radius float64
}

// Support implements Solid.
func (c *Cylinder) Support(dir r3.Vec) r3.Vec {
	axis := r3.Unit(r3.Sub(c.B, c.A))
	end := c.A
	along := r3.Dot(dir, axis)
	if along > 0 {
		end = c.B
	}
	side := r3.Sub(dir, r3.Scale(along, axis))
	if n := r3.Norm(side); n > 0 {
		end = r3.Add(end, r3.Scale(c.Radius/n, side))
	}
	return end
}

// Bounds implements Solid.
func (c *Cylinder) Bounds() r3.Box { return supportBounds(c) }

// Moved implements Solid.
func (c *Cylinder) Moved(p Pose) Solid {
	return &Cylinder{A: p.Apply(c.A), B: p.Apply(c.B), Radius: c.Radius}
}

// Volume implements Solid.
func (c *Cylinder) Volume() float64 {
	return math.Pi * c.Radius * c.Radius * r3.Norm(r3.Sub(c.B, c.A))
}

// Centroid implements Solid.
func (c *Cylinder) Centroid() r3.Vec { return r3.Scale(0.5, r3.Add(c.A, c.B)) }

// sides is the number of sides with which round solids are drawn.
const sides = 64

// Faces implements Solid with an inscribed prism of 64 sides.
func (c *Cylinder) Faces() [][]r3.Vec {
	axis := r3.Unit(r3.Sub(c.B, c.A))
	u, v := across(axis)
	ring := func(end r3.Vec) []r3.Vec {
		out := make([]r3.Vec, sides)
		for i := range out {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
			out[i] = r3.Add(end, r3.Scale(c.Radius, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))
		}
		return out
	}
	a, b := ring(c.A), ring(c.B)
	faces := make([][]r3.Vec, 0, sides+2)
	for i := range sides {
		j := (i + 1) % sides
		faces = append(faces, []r3.Vec{a[i], a[j], b[j], b[i]})
	}
	bottom := make([]r3.Vec, sides)
	for i := range bottom {
		bottom[i] = a[sides-1-i]
	}
	return append(faces, bottom, b)
}

// A Ball is the set of points within Radius of Centre.
type Ball struct {
	Centre r3.Vec
	Radius float64
}

// Support implements Solid.
func (b *Ball) Support(dir r3.Vec) r3.Vec {
	n := r3.Norm(dir)
	if n == 0 {
		return b.Centre
	}
	return r3.Add(b.Centre, r3.Scale(b.Radius/n, dir))
}

// Bounds implements Solid.
func (b *Ball) Bounds() r3.Box { return supportBounds(b) }

// Moved implements Solid.
func (b *Ball) Moved(p Pose) Solid { return &Ball{Centre: p.Apply(b.Centre), Radius: b.Radius} }

// Volume implements Solid.
func (b *Ball) Volume() float64 { return 4 * math.Pi / 3 * b.Radius * b.Radius * b.Radius }

// Centroid implements Solid.
func (b *Ball) Centroid() r3.Vec { return b.Centre }

// Faces implements Solid with an inscribed polyhedron along circles of latitude.
func (b *Ball) Faces() [][]r3.Vec {
	const belts = sides / 4
	at := func(belt, i int) r3.Vec {
		lat := math.Pi * (float64(belt)/belts - 0.5)
		lon := 2 * math.Pi * float64(i) / (sides / 2)
		return r3.Add(b.Centre, r3.Scale(b.Radius, r3.Vec{
			X: math.Cos(lat) * math.Cos(lon), Y: math.Cos(lat) * math.Sin(lon), Z: math.Sin(lat),
		}))
	}
	var faces [][]r3.Vec
	for belt := range belts {
		for i := range sides / 2 {
			f := []r3.Vec{at(belt, i), at(belt, i+1), at(belt+1, i+1), at(belt+1, i)}
			switch belt {
			case 0:
				f = f[1:]
				f[0] = at(0, 0)
				f = []r3.Vec{f[0], f[1], f[2]}
			case belts - 1:
				f = []r3.Vec{f[0], f[1], at(belts, 0)}
			}
			faces = append(faces, f)
		}
	}
	return faces
}

// supportBounds returns the box round a solid from its support points.
func supportBounds(s Solid) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: s.Support(r3.Vec{X: -1}).X, Y: s.Support(r3.Vec{Y: -1}).Y, Z: s.Support(r3.Vec{Z: -1}).Z},
		Max: r3.Vec{X: s.Support(r3.Vec{X: 1}).X, Y: s.Support(r3.Vec{Y: 1}).Y, Z: s.Support(r3.Vec{Z: 1}).Z},
	}
}

// across returns two unit vectors that make a right-handed frame u, v, axis.
func across(axis r3.Vec) (u, v r3.Vec) {
	helper := r3.Vec{X: 1}
	if math.Abs(axis.X) > 0.9 {
		helper = r3.Vec{Y: 1}
	}
	u = r3.Unit(r3.Cross(helper, axis))
	return u, r3.Cross(axis, u)
}
