package solid

import (
	"math"
	"slices"

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
	return supportDiscs(c.A, c.B, r3.Unit(r3.Sub(c.B, c.A)), c.Radius, c.Radius, dir)
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

// Faces implements Solid with an inscribed prism of 64 sides.
func (c *Cylinder) Faces() [][]r3.Vec {
	l := r3.Norm(r3.Sub(c.B, c.A))
	return turned(c.A, c.B, sides, []ring{{0, c.Radius}, {l, c.Radius}})
}

// A Cone is the convex hull of two discs across the segment from A to B: a
// cone where one radius is 0, a frustum where neither is.
type Cone struct {
	A, B             r3.Vec
	RadiusA, RadiusB float64
}

// Support implements Solid.
func (c *Cone) Support(dir r3.Vec) r3.Vec {
	return supportDiscs(c.A, c.B, r3.Unit(r3.Sub(c.B, c.A)), c.RadiusA, c.RadiusB, dir)
}

// Bounds implements Solid.
func (c *Cone) Bounds() r3.Box { return supportBounds(c) }

// Moved implements Solid.
func (c *Cone) Moved(p Pose) Solid {
	return &Cone{A: p.Apply(c.A), B: p.Apply(c.B), RadiusA: c.RadiusA, RadiusB: c.RadiusB}
}

// Volume implements Solid.
func (c *Cone) Volume() float64 {
	a, b := c.RadiusA, c.RadiusB
	return math.Pi / 3 * (a*a + a*b + b*b) * r3.Norm(r3.Sub(c.B, c.A))
}

// Centroid implements Solid.
func (c *Cone) Centroid() r3.Vec {
	a, b := c.RadiusA, c.RadiusB
	t := (a*a + 2*a*b + 3*b*b) / (4 * (a*a + a*b + b*b))
	return r3.Add(r3.Scale(1-t, c.A), r3.Scale(t, c.B))
}

// Faces implements Solid with an inscribed frustum of 64 sides.
func (c *Cone) Faces() [][]r3.Vec {
	l := r3.Norm(r3.Sub(c.B, c.A))
	return turned(c.A, c.B, sides, []ring{{0, c.RadiusA}, {l, c.RadiusB}})
}

// A Capsule is the set of points within Radius of the segment from A to B.
type Capsule struct {
	A, B   r3.Vec
	Radius float64
}

// Support implements Solid.
func (c *Capsule) Support(dir r3.Vec) r3.Vec {
	end := c.A
	if r3.Dot(dir, r3.Sub(c.B, c.A)) > 0 {
		end = c.B
	}
	return supportBall(end, c.Radius, dir)
}

// Bounds implements Solid.
func (c *Capsule) Bounds() r3.Box { return supportBounds(c) }

// Moved implements Solid.
func (c *Capsule) Moved(p Pose) Solid {
	return &Capsule{A: p.Apply(c.A), B: p.Apply(c.B), Radius: c.Radius}
}

// Volume implements Solid.
func (c *Capsule) Volume() float64 {
	return math.Pi * c.Radius * c.Radius * (r3.Norm(r3.Sub(c.B, c.A)) + 4*c.Radius/3)
}

// Centroid implements Solid.
func (c *Capsule) Centroid() r3.Vec { return r3.Scale(0.5, r3.Add(c.A, c.B)) }

// Faces implements Solid with an inscribed polyhedron along circles of latitude.
func (c *Capsule) Faces() [][]r3.Vec {
	l := r3.Norm(r3.Sub(c.B, c.A))
	half := dome(c.Radius)
	rings := make([]ring, 0, 2*len(half))
	for _, r := range half {
		rings = append(rings, ring{-r.along, r.radius})
	}
	for _, r := range slices.Backward(half) {
		rings = append(rings, ring{l + r.along, r.radius})
	}
	return turned(c.A, c.B, sides/2, rings)
}

// A Ball is the set of points within Radius of Centre.
type Ball struct {
	Centre r3.Vec
	Radius float64
}

// Support implements Solid.
func (b *Ball) Support(dir r3.Vec) r3.Vec { return supportBall(b.Centre, b.Radius, dir) }

// Bounds implements Solid.
func (b *Ball) Bounds() r3.Box {
	r := r3.Vec{X: b.Radius, Y: b.Radius, Z: b.Radius}
	return r3.Box{Min: r3.Sub(b.Centre, r), Max: r3.Add(b.Centre, r)}
}

// Moved implements Solid.
func (b *Ball) Moved(p Pose) Solid { return &Ball{Centre: p.Apply(b.Centre), Radius: b.Radius} }

// Volume implements Solid.
func (b *Ball) Volume() float64 { return 4 * math.Pi / 3 * b.Radius * b.Radius * b.Radius }

// Centroid implements Solid.
func (b *Ball) Centroid() r3.Vec { return b.Centre }

// Faces implements Solid with an inscribed polyhedron along circles of latitude.
func (b *Ball) Faces() [][]r3.Vec {
	half := dome(b.Radius)
	rings := make([]ring, 0, 2*len(half)-1)
	for _, r := range half {
		rings = append(rings, ring{-r.along, r.radius})
	}
	for _, r := range slices.Backward(half[:len(half)-1]) {
		rings = append(rings, r)
	}
	return turned(b.Centre, r3.Add(b.Centre, r3.Vec{Z: 1}), sides/2, rings)
}

// sides is the number of sides with which round solids are drawn.
const sides = 64

// A ring is a circle round an axis, or a point on it where radius is 0.
type ring struct{ along, radius float64 }

// dome returns the circles of latitude of a half ball from its pole down to its
// equator, an eighth of sides apart.
func dome(radius float64) []ring {
	const belts = sides / 8
	rings := make([]ring, belts+1)
	for i := range rings {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / belts)
		rings[i] = ring{radius * cos, radius * sin}
	}
	rings[0].radius = 0
	return rings
}

// turned returns the outward faces of what rings, in rising order along the
// axis from a to b, enclose with n sides. The first and the last are closed.
func turned(a, b r3.Vec, n int, rings []ring) [][]r3.Vec {
	axis := r3.Unit(r3.Sub(b, a))
	u, v := across(axis)
	circle := func(r ring) []r3.Vec {
		c := r3.Add(a, r3.Scale(r.along, axis))
		if r.radius == 0 {
			return []r3.Vec{c}
		}
		out := make([]r3.Vec, n)
		for i := range out {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			out[i] = r3.Add(c, r3.Scale(r.radius, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))
		}
		return out
	}
	var faces [][]r3.Vec
	low := circle(rings[0])
	if len(low) > 1 {
		bottom := make([]r3.Vec, n)
		for i, p := range low {
			bottom[n-1-i] = p
		}
		faces = append(faces, bottom)
	}
	for _, r := range rings[1:] {
		high := circle(r)
		for i := range n {
			j := (i + 1) % n
			switch {
			case len(low) == 1:
				faces = append(faces, []r3.Vec{low[0], high[j], high[i]})
			case len(high) == 1:
				faces = append(faces, []r3.Vec{low[i], low[j], high[0]})
			default:
				faces = append(faces, []r3.Vec{low[i], low[j], high[j], high[i]})
			}
		}
		low = high
	}
	if len(low) > 1 {
		faces = append(faces, low)
	}
	return faces
}

// supportDiscs returns the point farthest along dir of the hull of two discs
// across the segment from a to b, whose direction of unit length is axis.
func supportDiscs(a, b, axis r3.Vec, radiusA, radiusB float64, dir r3.Vec) r3.Vec {
	side := acrossPart(dir, axis)
	n := math.Sqrt(r3.Norm2(side))
	end, radius := a, radiusA
	if r3.Dot(dir, b)+radiusB*n > r3.Dot(dir, a)+radiusA*n {
		end, radius = b, radiusB
	}
	if n <= 1e-15*absSum(dir) {
		return end // only rounding leads away from the axis
	}
	radius /= n
	return r3.Vec{X: end.X + radius*side.X, Y: end.Y + radius*side.Y, Z: end.Z + radius*side.Z}
}

// acrossPart returns the part of v across the unit vector axis. Where little of
// v is, it takes away twice: what rounding left along the axis the first time
// is as long as v's last place.
func acrossPart(v, axis r3.Vec) r3.Vec {
	for range 2 {
		along := r3.Dot(v, axis)
		v.X, v.Y, v.Z = v.X-along*axis.X, v.Y-along*axis.Y, v.Z-along*axis.Z
	}
	return v
}

// supportBall returns the point of a ball farthest along dir.
func supportBall(centre r3.Vec, radius float64, dir r3.Vec) r3.Vec {
	n := r3.Norm(dir)
	if n == 0 {
		return centre
	}
	return r3.Add(centre, r3.Scale(radius/n, dir))
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
