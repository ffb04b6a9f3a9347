package passage

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// slabs are cut no finer than this and into no more than mostSlabs, in mm along
// the way in: enough for a door leaf at an angle, few enough to search quickly.
const (
	slab      = 12.0
	mostSlabs = 32
	// sides of the prisms that stand for round solids: round them when looking for
	// a way, in them when looking for a proof. More would be sharper and slower.
	sidesOuter = 24
	sidesInner = 16
)

// outerBoxes returns boxes that cover s: one for a box, otherwise one for each
// slab across y.
func outerBoxes(s solid.Solid) []r3.Box {
	b := s.Bounds()
	if isBox(s) {
		return []r3.Box{b}
	}
	p := outerPolyhedron(s)
	n := min(mostSlabs, max(1, int(math.Ceil((b.Max.Y-b.Min.Y)/slab))))
	var out []r3.Box
	for i := range n {
		y0 := b.Min.Y + (b.Max.Y-b.Min.Y)*float64(i)/float64(n)
		y1 := b.Min.Y + (b.Max.Y-b.Min.Y)*float64(i+1)/float64(n)
		if piece, ok := between(p, y0, y1); ok {
			out = append(out, piece.Bounds())
		}
	}
	return out
}

// between returns the part of p with y from y0 to y1.
func between(p *solid.Polyhedron, y0, y1 float64) (*solid.Polyhedron, bool) {
	up := r3.Vec{Y: 1}
	p, ok := p.Clip(solid.Plane{Normal: up, Offset: y1})
	if !ok {
		return nil, false
	}
	return p.Clip(solid.Plane{Normal: r3.Scale(-1, up), Offset: -y0})
}

// outerPolyhedron returns a polyhedron that s lies in.
func outerPolyhedron(s solid.Solid) *solid.Polyhedron {
	switch s := s.(type) {
	case *solid.Polyhedron:
		return s
	case *solid.Cylinder:
		return s.Outer(sidesOuter)
	}
	return solid.Box(s.Bounds())
}

// innerBoxes returns boxes that lie in s, near its sides: itself for a box; of a
// thin board that stands at an angle to y one for each slab.
func innerBoxes(s solid.Solid) []r3.Box {
	if isBox(s) {
		return []r3.Box{s.Bounds()}
	}
	p := solid.Within(s, sidesInner)
	if p == nil {
		return nil
	}
	b := p.Bounds()
	n := min(mostSlabs, max(1, int(math.Ceil((b.Max.Y-b.Min.Y)/slab))))
	var out []r3.Box
	for i := range n {
		y0 := b.Min.Y + (b.Max.Y-b.Min.Y)*float64(i)/float64(n)
		y1 := b.Min.Y + (b.Max.Y-b.Min.Y)*float64(i+1)/float64(n)
		if box, ok := inscribed(p, y0, y1); ok {
			out = append(out, box)
		}
	}
	// Of a board at an angle the corners stick out beyond all of these.
	for _, y := range corners(p) {
		if box, ok := inscribed(p, y, y); ok {
			out = append(out, box)
		}
	}
	return out
}

// corners returns the depths of the corners of p.
func corners(p *solid.Polyhedron) []float64 {
	var ys []float64
	for _, v := range p.Vertices() {
		ys = append(ys, v.Y)
	}
	slices.Sort(ys)
	const same = 1e-6 // mm
	return slices.CompactFunc(ys, func(a, b float64) bool { return math.Abs(b-a) < same })
}

// inscribed returns a box from y0 to y1 that lies in p. A convex solid holds what
// two of its cross-sections have in common all the way between them.
func inscribed(p *solid.Polyhedron, y0, y1 float64) (r3.Box, bool) {
	a, b := section(p, y0), section(p, y1)
	whole := r3.Box{
		Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: y0, Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: y1, Z: min(a.Max.Z, b.Max.Z)},
	}
	// Where the section is round the largest square in it is smaller. Whichever
	// box is tried, its corners decide.
	c := middle(whole)
	half := r3.Scale(math.Sqrt2/4, r3.Sub(whole.Max, whole.Min))
	smaller := whole
	smaller.Min.X, smaller.Max.X = c.X-half.X, c.X+half.X
	smaller.Min.Z, smaller.Max.Z = c.Z-half.Z, c.Z+half.Z
	for _, box := range []r3.Box{whole, smaller} {
		if box.Min.X <= box.Max.X && box.Min.Z <= box.Max.Z && holds(p, box) {
			return box, true
		}
	}
	return r3.Box{}, false
}

// section returns the bounds of p's cross-section at y; p reaches y.
func section(p *solid.Polyhedron, y float64) r3.Box {
	b := r3.Box{
		Min: r3.Vec{X: math.Inf(1), Z: math.Inf(1)},
		Max: r3.Vec{X: math.Inf(-1), Z: math.Inf(-1)},
	}
	add := func(v r3.Vec) {
		b.Min.X, b.Max.X = min(b.Min.X, v.X), max(b.Max.X, v.X)
		b.Min.Z, b.Max.Z = min(b.Min.Z, v.Z), max(b.Max.Z, v.Z)
	}
	for _, f := range p.Faces() {
		for i, v := range f {
			w := f[(i+1)%len(f)]
			switch {
			case math.Abs(v.Y-y) < 1e-9:
				add(v)
			case (v.Y < y) != (w.Y < y):
				add(r3.Add(v, r3.Scale((y-v.Y)/(w.Y-v.Y), r3.Sub(w, v))))
			}
		}
	}
	return b
}

// holds tells whether the box lies in p, to a millionth of a millimetre.
func holds(p *solid.Polyhedron, box r3.Box) bool {
	for _, v := range solid.Box(box).Vertices() {
		if !within(p, v) {
			return false
		}
	}
	return true
}

// within tells whether v lies in p, rounding aside.
func within(p *solid.Polyhedron, v r3.Vec) bool {
	for _, f := range p.Faces() {
		n := r3.Unit(r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0])))
		if r3.Dot(n, r3.Sub(v, f[0])) > 1e-6 {
			return false
		}
	}
	return true
}
