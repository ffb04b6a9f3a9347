package space

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Block is a box in the way of some parts of the body: those from First up to,
// not including, Past.
type Block struct {
	Box         r3.Box
	First, Past int
}

// Blocks is a room given by the boxes that stand in it: what is free of all of
// them is free. It finds ways; what it calls not free proves nothing.
type Blocks struct {
	Blocks []Block
	// Domain is where ways are looked for: before the front for the reference point
	// of the body; in the front, down to Thick, it is to be in Hole, and behind it in
	// Inside, so that a way leads through this hole and no other.
	Domain, Hole, Inside Rect
	Thick                float64
	Ends                 []r3.Vec // places to end at, turned as at rest
	// Outside is the depth before which the whole body counts as outside.
	Outside float64

	// Scratch is needed; it may be of other rooms, too, of which one at a time is looked at.
	Scratch *Scratch
}

// Scratch is what is written to while blocks are looked at, used again.
type Scratch struct {
	left, next []Rect
	pieces     []latticePiece
	order      []visited
}

// still is the body at one turn, part by part.
type still []outlined

// outlined is a part at one turn, about the reference point: its outlines, and how far these
// go in all.
type outlined struct {
	wide
	across, up span
	last       slice
}

// slice is how far a part goes between two depths.
type slice struct {
	l0, l1     float64
	across, up span
}

// still returns the body at one turn.
func (b *Body) still(turn quat.Number) still {
	pose := solid.Pose{Turn: turn}
	out := make(still, len(b.parts))
	var xs, zs []point
	for i := range b.parts {
		p := &b.parts[i]
		xs, zs = xs[:0], zs[:0]
		for _, v := range p.verts {
			at := pose.Rotate(r3.Add(v, p.middle))
			xs, zs = append(xs, point{at.Y, at.X}), append(zs, point{at.Y, at.Z})
		}
		x, z := hullOf(xs), hullOf(zs)
		out[i] = outlined{wide{x, z, x.depth()}, x.width(), z.width(), slice{l0: math.NaN()}}
	}
	return out
}

// between returns how far the part goes from one depth to another, which often are those
// that were asked for last: what stands side by side begins and ends as deep.
func (p *outlined) between(l0, l1 float64) (across, up span) {
	if p.depth.lo >= l0 && p.depth.hi <= l1 {
		return p.across, p.up
	}
	if p.last.l0 != l0 || p.last.l1 != l1 {
		p.last = slice{l0, l1, p.x.across(l0, l1), p.z.across(l0, l1)}
	}
	return p.last.across, p.last.up
}

// deepest returns the greatest depth that the body has.
func (s still) deepest() float64 {
	deepest := s[0].depth.hi
	for _, p := range s[1:] {
		deepest = max(deepest, p.depth.hi)
	}
	return deepest
}

// At returns the rectangles that are free of all blocks for the body at a turn and depth.
func (m *Blocks) At(b *Body, turn quat.Number, y float64) []Rect {
	return slices.Clone(m.free(b.still(turn), y))
}

// free returns what is free of all blocks at a turn and depth y, until it is asked again.
func (m *Blocks) free(s still, y float64) []Rect {
	w := m.Scratch
	w.left = append(w.left[:0], m.domain(y))
	for i := range m.Blocks {
		b := &m.Blocks[i]
		o := &b.Box
		for j := b.First; j < b.Past; j++ {
			p := &s[j]
			l0, l1 := o.Min.Y-y, o.Max.Y-y
			if p.depth.lo >= l1 || p.depth.hi <= l0 {
				continue
			}
			// Most blocks are beside all that is left even of the whole part.
			if !hits(w.left, shadow(o, p.across, p.up)) {
				continue
			}
			x, z := p.between(l0, l1)
			f := shadow(o, x, z)
			if x.empty() || z.empty() || !hits(w.left, f) {
				continue
			}
			w.next = carved(w.left, f, w.next[:0])
			w.left, w.next = w.next, w.left
			if len(w.left) == 0 {
				return nil
			}
		}
	}
	return w.left
}

// shadow returns the places of the reference point at which what goes so far across and up
// meets a box.
func shadow(o *r3.Box, x, z span) Rect {
	return Rect{o.Min.X - x.hi, o.Max.X - x.lo, o.Min.Z - z.hi, o.Max.Z - z.lo}
}

// domain returns where the reference point may be at depth y.
func (m *Blocks) domain(y float64) Rect {
	switch {
	case y < 0:
		return m.Domain
	case y <= m.Thick:
		return m.Hole
	}
	return m.Inside
}
