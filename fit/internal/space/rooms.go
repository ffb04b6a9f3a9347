package space

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// holdsRest tells whether the turn at rest is one of the cell's.
func (c Cell) holdsRest() bool {
	if c.Cube != 0 {
		return false
	}
	for i := range 3 {
		if c.Lo[i] > 0 || c.Hi[i] < 0 {
			return false
		}
	}
	return true
}

// A Layer is a slab of depths that is free only within holes. A convex part
// that goes through lies with all it has in the slab within one of them.
type Layer struct {
	Y0, Y1 float64
	Holes  []Rect
}

// Hull is a room bounded by layers, in which boxes stand. What it leaves out of
// the real room only makes it larger: where it has no way, there is none.
type Hull struct {
	Layers []Layer
	Boxes  []r3.Box
	// First and Last bound the depth of every point of the body; infinite where
	// nothing bounds it.
	First, Last float64
	// Inward tells that ways begin with the reference point in the plane of the
	// opening, which it does not come before again.
	Inward bool
	// Gates are the holes by which what is inside may reach out.
	Gates []Gate
	// End holds every place at which the thing counts as being there, turned as
	// at rest.
	End r3.Box

	chosen [][]Rect    // the ways to choose holes, once asked for
	seen   [3]profiles // of the body at the middle of a cell, of what surely is in it, and of what it is in
	room   [2][]band   // for what a cell comes to
	// telling counts how often each box shut something, looks the others that were looked at.
	telling      map[*r3.Box]int
	looks        int
	leveled      leveled
	points, left []point // for what goes past boxes, and what is left of it
}

// pieces returns what is known to be free in a cell and what may be. What it knows
// to be free keeps a search from looking closer where nothing is to be shown.
func (m *Hull) pieces(c Cell, t *turned) (free, perhaps []Piece) {
	most := m.superset(t, c.Lo[3], c.Hi[3])
	if len(most) == 0 {
		return nil, nil
	}
	least := largest(m.subset(t, c.Lo[3], c.Hi[3]))
	for _, r := range least {
		free = append(free, Piece{Rect: r, Y0: c.Lo[3], Y1: c.Hi[3]})
	}
	for _, r := range merged(most) {
		if !slices.ContainsFunc(least, func(q Rect) bool { return q.Holds(r) }) {
			perhaps = append(perhaps, Piece{Rect: r, Y0: c.Lo[3], Y1: c.Hi[3]})
		}
	}
	return free, perhaps
}

// fewest is how many rectangles of a cell are told apart: among many boxes there
// are many, and a search compares each with each.
const fewest = 6

// largest keeps the largest of rs.
func largest(rs []Rect) []Rect {
	if len(rs) <= fewest {
		return rs
	}
	slices.SortStableFunc(rs, func(a, b Rect) int { return cmp.Compare(b.Size(), a.Size()) })
	return rs[:fewest]
}

// merged joins rectangles to ones round several, those first that grow least.
func merged(rs []Rect) []Rect {
	for len(rs) > fewest {
		least, at, of := math.Inf(1), 0, 1
		for i := range rs {
			for j := range i {
				if d := rs[i].round(rs[j]).Size() - rs[i].Size() - rs[j].Size(); d < least {
					least, at, of = d, i, j
				}
			}
		}
		both := rs[at].round(rs[of])
		rs = slices.Delete(rs, at, at+1)
		rs[of] = both
		rs = maximal(rs)
	}
	return rs
}

// subset returns rectangles that are free in the room at every turn of t and
// every depth y0 to y1.
func (m *Hull) subset(t *turned, y0, y1 float64) []Rect {
	free := []Rect{Everywhere}
	for i := range t.parts {
		p := &t.parts[i]
		if y1+p.out().depth.hi > m.Last || y0+p.out().depth.lo < m.First {
			return nil
		}
	}
	for i := range m.Layers {
		l := &m.Layers[i]
		x, z := noSpan, noSpan
		for j := range t.parts {
			p := &t.parts[j]
			if a := p.out().x.across(l.Y0-y1, l.Y1-y0); !a.empty() {
				x = x.with(a.lo).with(a.hi)
			}
			if a := p.out().z.across(l.Y0-y1, l.Y1-y0); !a.empty() {
				z = z.with(a.lo).with(a.hi)
			}
		}
		if x.empty() || z.empty() {
			continue
		}
		var next []Rect
		for _, h := range l.Holes {
			b := Rect{h.X0 - x.lo, h.X1 - x.hi, h.Z0 - z.lo, h.Z1 - z.hi}
			for _, r := range free {
				if r = r.Meet(b); !r.Empty() {
					next = append(next, r)
				}
			}
		}
		if free = maximal(next); len(free) == 0 {
			return nil
		}
	}
	for i := range m.Boxes {
		free = t.clearOf(free, m.Boxes[i], 0, len(t.parts), y0, y1)
	}
	return free
}

// clearOf takes from free what may be blocked by a box for the parts first up to
// past.
func (t *turned) clearOf(free []Rect, o r3.Box, first, past int, y0, y1 float64) []Rect {
	for j := first; j < past && len(free) > 0; j++ {
		p := &t.parts[j]
		l0, l1 := o.Min.Y-y1, o.Max.Y-y0
		if p.out().depth.lo >= l1 || p.out().depth.hi <= l0 {
			continue
		}
		x, z := p.out().x.across(l0, l1), p.out().z.across(l0, l1)
		if x.empty() || z.empty() {
			continue
		}
		free = without(free, Rect{o.Min.X - x.hi, o.Max.X - x.lo, o.Min.Z - z.hi, o.Max.Z - z.lo})
	}
	return free
}

// counts tells whether what part i is held to counts at depth y and beyond: the
// main part always does, another one while what both share is past the plane of
// the opening.
func (t *turned) counts(i int, y float64) bool { return i == 0 || y+t.meets[i].hi >= 0 }

// superset returns rectangles that hold every free place at the turns of t and
// depths y0 to y1.
func (m *Hull) superset(t *turned, y0, y1 float64) []Rect {
	for i := range t.parts {
		p := &t.parts[i]
		if !t.counts(i, y0) {
			continue
		}
		if d := p.depth(); y0+d.hi > m.Last || y1+d.lo < m.First {
			return nil
		}
	}
	free := []Rect{Everywhere}
	for i := range m.Layers {
		l := &m.Layers[i]
		bound := func(hole Rect, parts int) Rect {
			r := hole
			free := Everywhere
			for j := range parts {
				p := &t.parts[j]
				if !t.counts(j, y0) {
					continue
				}
				// A span that is not known is empty the wrong way round, and bounds nothing.
				x, z := p.reach(l.Y0, l.Y1, y0, y1)
				free.X0, free.X1 = max(free.X0, r.X0-x.lo), min(free.X1, r.X1-x.hi)
				free.Z0, free.Z1 = max(free.Z0, r.Z0-z.lo), min(free.Z1, r.Z1-z.hi)
			}
			return free
		}
		// Through several holes each part may go its own way: only the main one
		// is held to any.
		parts := len(t.parts)
		if len(l.Holes) > 1 {
			parts = 1
		}
		var next []Rect
		for _, hole := range l.Holes {
			b := bound(hole, parts)
			for _, r := range free {
				if r = r.Meet(b); !r.Empty() {
					next = append(next, r)
				}
			}
		}
		if free = maximal(next); len(free) == 0 {
			return nil
		}
	}
	for i := range m.Boxes {
		for j := range t.parts {
			for _, f := range t.parts[j].blocked(m.Boxes[i], y0, y1) {
				free = without(free, f)
			}
		}
		if len(free) == 0 {
			return nil
		}
	}
	return free
}

// blocked returns rectangles of places at which the part surely overlaps the
// box, at every turn of the cell and every depth y0 to y1.
func (p *turnedPart) blocked(o r3.Box, y0, y1 float64) []Rect {
	var out []Rect
	// The part has, in the slab of the box, points as far to either side as its
	// core; the straight line between them stays within its height there. So a
	// box taller than that height is hit from side to side, and the same upright.
	l0, l1 := o.Min.Y-y1, o.Max.Y-y0
	x, z := p.reach(o.Min.Y, o.Max.Y, y0, y1)
	if a := p.out().z.across(l0, l1); !x.empty() && !a.empty() {
		out = append(out, Rect{o.Min.X - x.hi, o.Max.X - x.lo, o.Min.Z - a.lo, o.Max.Z - a.hi})
	}
	if a := p.out().x.across(l0, l1); !z.empty() && !a.empty() {
		out = append(out, Rect{o.Min.X - a.lo, o.Max.X - a.hi, o.Min.Z - z.hi, o.Max.Z - z.lo})
	}
	kept := out[:0]
	for _, r := range out {
		if r.X0 < r.X1 && r.Z0 < r.Z1 {
			kept = append(kept, r)
		}
	}
	return kept
}

// there tells whether some pose of a piece of the cell counts as being there.
func (m *Hull) there(c Cell, p *Piece) bool {
	b := m.End
	return c.holdsRest() && p.Y0 <= b.Max.Y && b.Min.Y <= p.Y1 &&
		p.Touches(Rect{b.Min.X, b.Max.X, b.Min.Z, b.Max.Z})
}

// Roots returns the cells to start a search from: all turns of one cube or of
// four, at depths from y0 to y1.
func Roots(g Glue, y0, y1 float64) []Cell {
	n := 1
	if g == FourCubes {
		n = cubes
	}
	var out []Cell
	for cube := range n {
		out = append(out, Cell{cube, [4]float64{-1, -1, -1, y0}, [4]float64{1, 1, 1, y1}})
	}
	return out
}
