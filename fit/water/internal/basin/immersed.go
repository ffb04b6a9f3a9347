// Package basin fills a tank that baffles divide: how much water a level means,
// and at which levels a volume comes to rest or flows.
//
// Numbers are bare float64 in mm, mm³ and mm³/s, places in the frame of the
// scene. Height is measured against gravity: in a tank that is out of level it
// is not z. See Tank.Height.
package basin

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A column is a convex body whose volume below a level surface is known.
type column interface {
	// below returns the volume of the part lower than height h.
	below(h float64) float64
	// kinks returns the heights at which below is not smooth, in any order.
	kinks() []float64
}

// columnOf returns the part of s within box, where up·p is the height of p; nil
// where nothing of s is in it.
//
// Polyhedra are exact, and so are cylinders that stay within the sides of the
// box or run square to those they pass. Of another round body that passes a side
// the polyhedron it is drawn with counts, brought to its volume.
func columnOf(s solid.Solid, box r3.Box, up r3.Vec) column {
	b := s.Bounds()
	if b.Max.X <= box.Min.X || b.Min.X >= box.Max.X || b.Max.Y <= box.Min.Y || b.Min.Y >= box.Max.Y ||
		b.Max.Z <= box.Min.Z || b.Min.Z >= box.Max.Z {
		return nil
	}
	switch s := s.(type) {
	case *solid.Cylinder:
		if c, ok := cut(s, box); ok {
			return cylinder(c, up)
		}
	case *solid.Ball:
		if within(b, box) {
			return &ball{s.Radius, r3.Dot(up, s.Centre), r3.Norm(up)}
		}
	}
	scale := 1.0
	p, flat := s.(*solid.Polyhedron)
	if !flat {
		h, err := solid.Hull(pointsOf(s))
		if err != nil {
			return nil // no volume
		}
		p, scale = h, s.Volume()/h.Volume()
	}
	if p.Volume() >= (1-rounding)*volumeOf(b) { // a box along the axes
		p = solid.Box(common(b, box))
	}
	for _, side := range sidesOf(box) {
		cut, ok := p.Clip(side)
		if !ok {
			return nil
		}
		p = cut
	}
	return prismatic(&polyhedron{faces: p.Faces(), up: up, scale: scale})
}

// rounding is what a share or a length in mm may be off and still be the same.
const rounding = 1e-9

func pointsOf(s solid.Solid) []r3.Vec {
	var ps []r3.Vec
	for _, f := range s.Faces() {
		ps = append(ps, f...)
	}
	return ps
}

func volumeOf(b r3.Box) float64 {
	return (b.Max.X - b.Min.X) * (b.Max.Y - b.Min.Y) * (b.Max.Z - b.Min.Z)
}

func common(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)},
	}
}

// within tells whether b lies within box.
func within(b, box r3.Box) bool {
	return b.Min.X >= box.Min.X && b.Max.X <= box.Max.X && b.Min.Y >= box.Min.Y && b.Max.Y <= box.Max.Y &&
		b.Min.Z >= box.Min.Z && b.Max.Z <= box.Max.Z
}

// cut shortens a cylinder along an axis to what is within box. It fails where a
// side of the box would cut the cylinder other than square to its axis.
func cut(c *solid.Cylinder, box r3.Box) (*solid.Cylinder, bool) {
	a, b := c.A, c.B
	if a.X > b.X || a.Y > b.Y || a.Z > b.Z {
		a, b = b, a
	}
	switch d := r3.Sub(b, a); {
	case d.Y == 0 && d.Z == 0:
		a.X, b.X = max(a.X, box.Min.X), min(b.X, box.Max.X)
	case d.X == 0 && d.Z == 0:
		a.Y, b.Y = max(a.Y, box.Min.Y), min(b.Y, box.Max.Y)
	case d.X == 0 && d.Y == 0:
		a.Z, b.Z = max(a.Z, box.Min.Z), min(b.Z, box.Max.Z)
	}
	if a == b {
		return nil, false
	}
	short := &solid.Cylinder{A: a, B: b, Radius: c.Radius}
	// Rounding in the bounds of a round body must not count as passing a side.
	loose := r3.Box{
		Min: r3.Sub(box.Min, r3.Vec{X: rounding, Y: rounding, Z: rounding}),
		Max: r3.Add(box.Max, r3.Vec{X: rounding, Y: rounding, Z: rounding}),
	}
	return short, within(short.Bounds(), loose)
}

func sidesOf(b r3.Box) []solid.Plane {
	return []solid.Plane{
		{Normal: r3.Vec{X: -1}, Offset: -b.Min.X},
		{Normal: r3.Vec{X: 1}, Offset: b.Max.X},
		{Normal: r3.Vec{Y: -1}, Offset: -b.Min.Y},
		{Normal: r3.Vec{Y: 1}, Offset: b.Max.Y},
		{Normal: r3.Vec{Z: -1}, Offset: -b.Min.Z},
		{Normal: r3.Vec{Z: 1}, Offset: b.Max.Z},
	}
}

// clipFace returns the part of a convex polygon within the half space of s.
func clipFace(f []r3.Vec, s solid.Plane) []r3.Vec {
	var out []r3.Vec
	for i, p := range f {
		q := f[(i+1)%len(f)]
		dp, dq := s.Offset-r3.Dot(s.Normal, p), s.Offset-r3.Dot(s.Normal, q)
		if dp >= 0 {
			out = append(out, p)
		}
		if (dp > 0 && dq < 0) || (dp < 0 && dq > 0) {
			out = append(out, r3.Add(p, r3.Scale(dp/(dp-dq), r3.Sub(q, p))))
		}
	}
	return out
}

// pyramid returns the volume of the pyramid over a face from o: negative where
// o is outside of the face.
func pyramid(f []r3.Vec, o r3.Vec) float64 {
	v := 0.0
	a := r3.Sub(f[0], o)
	for i := 2; i < len(f); i++ {
		v += r3.Dot(a, r3.Cross(r3.Sub(f[i-1], o), r3.Sub(f[i], o))) / 6
	}
	return v
}

// A polyhedron is a convex body by its outward faces; scale corrects its volume
// where the faces stand in for a round body.
type polyhedron struct {
	faces [][]r3.Vec
	up    r3.Vec
	scale float64
}

// below clips every face at the height h. Pyramids from a point at that height
// need no face to close the cut: its own would have no volume.
func (p *polyhedron) below(h float64) float64 {
	// A point right under or over the body keeps the terms small.
	o := p.faces[0][0]
	o.Z += (h - r3.Dot(p.up, o)) / p.up.Z
	s := solid.Plane{Normal: p.up, Offset: h}
	v := 0.0
	for _, f := range p.faces {
		if g := clipFace(f, s); len(g) >= 3 {
			v += pyramid(g, o)
		}
	}
	return max(0, p.scale*v)
}

func (p *polyhedron) kinks() []float64 {
	var ks []float64
	for _, f := range p.faces {
		for _, v := range f {
			ks = append(ks, r3.Dot(p.up, v))
		}
	}
	return ks
}

// An upright is a body with upright sides: between the heights of its lower end
// and those of its upper end its volume below h is linear in h.
type upright struct {
	whole      column
	lo1, lo2   float64 // lowest and highest height of the lower end
	hi1, hi2   float64
	v1, v2     float64 // volume below lo2 and below hi1
	area       float64
	everything float64
}

func newUpright(whole column, lo1, lo2, hi1, hi2 float64) column {
	if lo2 >= hi1 {
		return whole
	}
	u := &upright{
		whole: whole, lo1: lo1, lo2: lo2, hi1: hi1, hi2: hi2,
		v1: whole.below(lo2), v2: whole.below(hi1), everything: whole.below(hi2),
	}
	u.area = (u.v2 - u.v1) / (hi1 - lo2)
	return u
}

func (u *upright) below(h float64) float64 {
	switch {
	case h <= u.lo1:
		return 0
	case h >= u.hi2:
		return u.everything
	case h >= u.lo2 && h <= u.hi1:
		return u.v1 + u.area*(h-u.lo2)
	}
	return u.whole.below(h)
}

func (u *upright) kinks() []float64 { return []float64{u.lo1, u.lo2, u.hi1, u.hi2} }

// prismatic returns p as an upright where all of its corners are on a lower and
// an upper end straight above one another, p itself otherwise.
func prismatic(p *polyhedron) column {
	b := p.faces[0][0]
	lo, hi := b.Z, b.Z
	for _, f := range p.faces {
		for _, v := range f {
			lo, hi = min(lo, v.Z), max(hi, v.Z)
		}
	}
	lo1, lo2, hi1, hi2 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, f := range p.faces {
		for _, v := range f {
			h := r3.Dot(p.up, v)
			switch {
			case v.Z-lo <= rounding:
				lo1, lo2 = min(lo1, h), max(lo2, h)
			case hi-v.Z <= rounding:
				hi1, hi2 = min(hi1, h), max(hi2, h)
			default:
				return p
			}
		}
		n := normal(f)
		if flat := math.Hypot(n.X, n.Y); flat > rounding*r3.Norm(n) && math.Abs(n.Z) > rounding*r3.Norm(n) {
			return p // a slanted side
		}
	}
	return newUpright(p, lo1, lo2, hi1, hi2)
}

// normal returns a vector square to a polygon, as long as twice its area. Points
// that coincide do no harm.
func normal(f []r3.Vec) r3.Vec {
	var n r3.Vec
	for i := 2; i < len(f); i++ {
		n = r3.Add(n, r3.Cross(r3.Sub(f[i-1], f[0]), r3.Sub(f[i], f[0])))
	}
	return n
}

// cylinder returns c as a column.
func cylinder(c *solid.Cylinder, up r3.Vec) column {
	length := r3.Norm(r3.Sub(c.B, c.A))
	axis := r3.Scale(1/length, r3.Sub(c.B, c.A))
	along := r3.Dot(up, axis)
	t := &tube{
		radius: c.Radius, length: length, start: r3.Dot(up, c.A), along: along,
		across: r3.Norm(r3.Sub(up, r3.Scale(along, axis))),
	}
	if axis.X == 0 && axis.Y == 0 {
		lo := min(t.start, t.start+along*length)
		hi, half := lo+math.Abs(along)*length, t.across*t.radius
		return newUpright(t, lo-half, lo+half, hi-half, hi+half)
	}
	return t
}

// A tube is a cylinder: the height of a point is start + along·t + across·x, t
// along the axis from one end, x across it toward above.
type tube struct{ radius, length, start, along, across float64 }

func (t *tube) below(h float64) float64 {
	full := math.Pi * t.radius * t.radius
	rise := t.along * t.length
	if t.across*t.radius <= 1e-9*math.Abs(rise) { // upright to the last digits
		return full * min(max((h-min(t.start, t.start+rise))/math.Abs(t.along), 0), t.length)
	}
	// x below which the end discs are under water.
	a, b := (h-t.start)/t.across, (h-t.start-rise)/t.across
	if math.Abs(a-b) <= 1e-5*t.radius { // level to the last digits: the middle disc stands for all
		return t.length * discBelow(t.radius, (a+b)/2)
	}
	return t.length * (discBelowSum(t.radius, a) - discBelowSum(t.radius, b)) / (a - b)
}

func (t *tube) kinks() []float64 {
	half, rise := t.across*t.radius, t.along*t.length
	return []float64{t.start - half, t.start + half, t.start + rise - half, t.start + rise + half}
}

// discBelow returns the area of the part x ≤ c of a disc about the origin.
func discBelow(r, c float64) float64 {
	c = min(max(c, -r), r)
	return r*r*(math.Pi/2+math.Asin(c/r)) + c*math.Sqrt(r*r-c*c)
}

// discBelowSum returns the integral of discBelow from -∞ to c.
func discBelowSum(r, c float64) float64 {
	in := min(max(c, -r), r)
	root := math.Sqrt(r*r - in*in)
	// ∫ asin(x/r) dx = x asin(x/r) + √(r²-x²); ∫ x √(r²-x²) dx = -(r²-x²)^(3/2)/3.
	sum := r*r*(math.Pi/2*(in+r)+in*math.Asin(in/r)+root-math.Pi/2*r) - root*root*root/3
	return sum + math.Pi*r*r*max(0, c-r)
}

// A ball is a ball; norm is the length of the vector that gives heights.
type ball struct{ radius, centre, norm float64 }

func (b *ball) below(h float64) float64 {
	d := min(max((h-b.centre)/b.norm+b.radius, 0), 2*b.radius) // depth of the cap
	return math.Pi * d * d * (b.radius - d/3)
}

func (b *ball) kinks() []float64 {
	return []float64{b.centre - b.radius*b.norm, b.centre + b.radius*b.norm}
}
