package scene

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A sliver is how much of a part is left where only one of its faces was
// measured: a thousandth of a millimetre, so that it is still a solid.
const sliver = 1e-3

// nanometre rounds a coordinate in mm to whole nanometres, as the lengths of a
// plan are. So 42 1/4 in less 3/4 in is the very number that 41 1/2 in is.
func nanometre(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }

// boxOf returns the box between two corners, rounded to whole nanometres.
func boxOf(x0, y0, z0, x1, y1, z1 unit.Length) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: nanometre(x0.MM()), Y: nanometre(y0.MM()), Z: nanometre(z0.MM())},
		Max: r3.Vec{X: nanometre(x1.MM()), Y: nanometre(y1.MM()), Z: nanometre(z1.MM())},
	}
}

// rounded returns b with its corners rounded to whole nanometres.
func rounded(b r3.Box) r3.Box {
	return boxOf(unit.Length(b.Min.X), unit.Length(b.Min.Y), unit.Length(b.Min.Z),
		unit.Length(b.Max.X), unit.Length(b.Max.Y), unit.Length(b.Max.Z))
}

// solidOf returns b as a solid, or false where b has no inside.
func solidOf(b r3.Box) (solid.Solid, bool) {
	if b.Max.X <= b.Min.X || b.Max.Y <= b.Min.Y || b.Max.Z <= b.Min.Z {
		return nil, false
	}
	return solid.Box(b), true
}

// A gathering collects box-shaped parts of one owner.
type gathering struct {
	of    string
	parts []Part
}

// add appends the part between the corners of box, of which sure is certain;
// nothing where box has no inside, and nothing sure where sure has none.
func (g *gathering) add(name string, role Role, box, sure r3.Box) {
	whole, ok := solidOf(box)
	if !ok {
		return
	}
	p := Part{Name: g.of + "/" + name, Of: g.of, Role: role, Solid: whole, Sure: whole}
	if sure != box {
		p.Sure, _ = solidOf(sure)
	}
	g.parts = append(g.parts, p)
}

// face returns what is left of b when only its face f is known.
func face(b r3.Box, f Face) r3.Box {
	switch f {
	case Left:
		b.Max.X = min(b.Max.X, b.Min.X+sliver)
	case Right:
		b.Min.X = max(b.Min.X, b.Max.X-sliver)
	case Front:
		b.Max.Y = min(b.Max.Y, b.Min.Y+sliver)
	case Back:
		b.Min.Y = max(b.Min.Y, b.Max.Y-sliver)
	case Bottom:
		b.Max.Z = min(b.Max.Z, b.Min.Z+sliver)
	case Top:
		b.Min.Z = max(b.Min.Z, b.Max.Z-sliver)
	}
	return b
}

// overlap reports whether a and b share more than a face.
func overlap(a, b r3.Box) bool {
	return min(a.Max.X, b.Max.X) > max(a.Min.X, b.Min.X) &&
		min(a.Max.Y, b.Max.Y) > max(a.Min.Y, b.Min.Y) &&
		min(a.Max.Z, b.Max.Z) > max(a.Min.Z, b.Min.Z)
}

// common returns what a and b share.
func common(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)},
	}
}

// A region is a box with a name.
type region struct {
	name string
	box  r3.Box
}

// without cuts each of holes out of r and returns the rest as boxes that do not
// overlap, each named after r and the holes it lies beside. The cuts run along
// x first, then y, then z: what stands beside a hole keeps its whole height.
func (r region) without(holes ...region) []region {
	rest := []region{r}
	for _, h := range holes {
		var next []region
		for _, p := range rest {
			next = append(next, p.cut(h)...)
		}
		rest = next
	}
	return rest
}

// cut returns what is left of r round one hole; r itself where they do not
// overlap.
func (r region) cut(h region) []region {
	b, hole := r.box, h.box
	if !overlap(b, hole) {
		return []region{r}
	}
	var out []region
	keep := func(where string, part r3.Box) {
		out = append(out, region{r.name + " " + where + " " + h.name, part})
	}
	if b.Min.X < hole.Min.X {
		part := b
		part.Max.X, b.Min.X = hole.Min.X, hole.Min.X
		keep("left of", part)
	}
	if hole.Max.X < b.Max.X {
		part := b
		part.Min.X, b.Max.X = hole.Max.X, hole.Max.X
		keep("right of", part)
	}
	if b.Min.Y < hole.Min.Y {
		part := b
		part.Max.Y, b.Min.Y = hole.Min.Y, hole.Min.Y
		keep("before", part)
	}
	if hole.Max.Y < b.Max.Y {
		part := b
		part.Min.Y, b.Max.Y = hole.Max.Y, hole.Max.Y
		keep("behind", part)
	}
	if b.Min.Z < hole.Min.Z {
		part := b
		part.Max.Z, b.Min.Z = hole.Min.Z, hole.Min.Z
		keep("below", part)
	}
	if hole.Max.Z < b.Max.Z {
		part := b
		part.Min.Z = hole.Max.Z
		keep("above", part)
	}
	return out
}
