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
// thin board that stands at an angle to y one for each slab and more at its corners.
func innerBoxes(s solid.Solid) []r3.Box {
	if isBox(s) {
		return []r3.Box{s.Bounds()}
	}
	p := solid.Within(s, sidesInner)
	if p == nil {
		return nil
	}
	b := p.Bounds()
	return inscribedBoxes(p, b.Min.Y, b.Max.Y)
}

// inscribedBoxes returns boxes that lie in p: one for each slab from the depth first to
// last, cut at the corners, too, where p is widest between two; and others there.
func inscribedBoxes(p *solid.Polyhedron, first, last float64) []r3.Box {
	const least = 0.5 // mm of a slab
	n := min(mostSlabs, max(1, int(math.Ceil((last-first)/slab))))
	var cuts []float64
	for i := range n + 1 {
		cuts = append(cuts, first+(last-first)*float64(i)/float64(n))
	}
	for _, y := range corners(p) {
		if y > first+least && y < last-least {
			cuts = append(cuts, y)
		}
	}
	slices.Sort(cuts)
	cuts = slices.CompactFunc(cuts, func(a, b float64) bool { return b-a < least })
	var out []r3.Box
	for i := range len(cuts) - 1 {
		if box, ok := inscribed(p, cuts[i], cuts[i+1]); ok {
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

// rounded returns boxes that lie within by of s, near the sides of what is as thick: with
// edges that are rounded across the way in. Of a board that stands upright or lies there
// is one for each slab, as of s itself.
func rounded(s solid.Solid, by float64) []r3.Box {
	if by == 0 {
		return innerBoxes(s)
	}
	if isBox(s) {
		return roundedBox(s.Bounds(), by)
	}
	if p := solid.Within(s, sidesInner); p != nil {
		for _, along := range [2]r3.Vec{{Z: 1}, {X: 1}} {
			if !prismatic(p, along) {
				continue
			}
			if q, err := solid.Hull(rolled(p, along, by)); err == nil {
				b := p.Bounds()
				return inscribedBoxes(q, b.Min.Y, b.Max.Y)
			}
		}
	}
	var out []r3.Box
	for _, b := range innerBoxes(s) {
		out = append(out, thickened(b, by)...)
	}
	return out
}

// roundedBox returns boxes that lie within by of b: it is grown to one side or another by
// as much, and to two at once at angles between.
func roundedBox(b r3.Box, by float64) []r3.Box {
	const angles = 4 // from across the way in to along it
	out := []r3.Box{}
	for i := range angles + 1 {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / angles)
		grow := []r3.Vec{{X: cos * by, Y: sin * by}, {Y: sin * by, Z: cos * by}}
		if i == angles {
			grow = []r3.Vec{{Y: by}}
		}
		for _, d := range grow {
			out = append(out, r3.Box{Min: r3.Sub(b.Min, d), Max: r3.Add(b.Max, d)})
		}
	}
	return out
}

// prismatic tells whether each face of p is along an axis or across it.
func prismatic(p *solid.Polyhedron, along r3.Vec) bool {
	const zero = 1e-9
	for _, f := range p.Faces() {
		n := r3.Unit(r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0])))
		if e := math.Abs(r3.Dot(n, along)); e > zero && e < 1-zero {
			return false
		}
	}
	return true
}

// rolled returns points round each corner of p, at right angles to an axis and as far as
// by; some of them straight before each of two faces at right angles.
func rolled(p *solid.Polyhedron, along r3.Vec, by float64) []r3.Vec {
	const sides = 16
	d := r3.Vec{}
	for _, f := range p.Faces() {
		n := r3.Unit(r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0])))
		if math.Abs(r3.Dot(n, along)) < 0.5 {
			d = r3.Scale(by*(1-1e-9), n) // less for rounding
			break
		}
	}
	var out []r3.Vec
	for i := range sides {
		turn := solid.Pose{Turn: solid.Turned(along, 2*math.Pi*float64(i)/sides)}
		for _, v := range p.Vertices() {
			out = append(out, r3.Add(v, turn.Rotate(d)))
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
