package proof

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Label tells what a band of depths is.
type Label string

// Of what is shut nothing is free; what is outside may be joined to the outside, and
// what is inside is not.
const (
	Shut    Label = "shut"
	Outside Label = "outside"
	Inside  Label = "inside"
)

// A Band is an interval of the depths of a cell of turns, from where the last one
// ends.
type Band struct {
	To float64
	Label
}

// mostChoices bounds the ways to choose a hole in each layer that are looked at.
const mostChoices = 64

// bands checks the bands of a leaf by themselves, and turns those that are not shut
// into pieces.
func (c *checker) bands(l *cell) error {
	c.look(l)
	y := l.lo[3]
	for _, b := range l.bands {
		if !(b.To > y && b.To <= l.hi[3]) {
			return errors.New("bands are out of order")
		}
		switch b.Label {
		case Shut:
			if !c.closed(y, b.To) {
				return fmt.Errorf("turns %v to %v, depths %g to %g: may be free but is labelled shut", l.lo[:3], l.hi[:3], y, b.To)
			}
		case Outside, Inside:
			p := Piece{Rect: everywhere, Outside: b.Label == Outside, y0: y, y1: b.To}
			if err := c.labelled(l, &p); err != nil {
				return err
			}
			l.pieces = append(l.pieces, p)
		default:
			return fmt.Errorf("no label: %q", b.Label)
		}
		y = b.To
	}
	if y != l.hi[3] {
		return errors.New("bands end before the depths do")
	}
	return nil
}

// profiles are, for each layer and part of a leaf, how far from its middle that surely
// goes in each direction within the slab, at every turn, over the depth of the reference
// point: each made when it is first asked for.
type profiles struct {
	room  *Room
	parts []turned
	made  []profile
	boxes []profile // of the main part, in the depths of boxes
}

// profile is how far something goes over the depth, once it is known.
type profile struct {
	known bool
	line  places
	asked []place // how far it goes at depths that it was asked for
}

func newProfiles(room *Room, parts []turned) profiles {
	return profiles{room, parts, make([]profile, len(room.Layers)*len(parts)*directions), make([]profile, len(room.Boxes)*directions)}
}

// forget is for the parts turned anew.
func (p *profiles) forget() {
	for i := range p.made {
		p.made[i].known = false
	}
	for i := range p.boxes {
		p.boxes[i].known = false
	}
}

// find makes p what part t has within a slab in a direction.
func (p *profile) find(t *turned, direction int, l0, l1 float64) *profile {
	if !p.known {
		p.known, p.asked = true, p.asked[:0]
		p.line = t.profile(direction, l0-give, l1+give, p.line[:0])
	}
	return p
}

// at returns how far it goes at a depth: bands that end there ask again.
func (p *profile) at(y float64) float64 {
	for _, a := range p.asked {
		if a.y == y {
			return a.e
		}
	}
	e := p.line.at(y)
	p.asked = append(p.asked, place{y, e})
	return e
}

// past returns the profile of the main part in the depths of box i.
func (p *profiles) past(i, direction int) *profile {
	b := &p.room.Boxes[i]
	return p.boxes[i*directions+direction].find(&p.parts[0], direction, b.Min.Y, b.Max.Y)
}

// of returns the profile of a part in a layer.
func (p *profiles) of(layer, part, direction int) *profile {
	l := &p.room.Layers[layer]
	return p.made[(layer*len(p.parts)+part)*directions+direction].find(&p.parts[part], direction, l.Y0, l.Y1)
}

// choose finds the ways to choose a hole in each layer.
func (c *checker) choose() error {
	c.choices = [][]Rect{nil}
	for i := range c.room.Layers {
		var next [][]Rect
		for _, choice := range c.choices {
			for _, h := range c.room.Layers[i].Holes {
				next = append(next, append(slices.Clone(choice), h))
			}
		}
		if c.choices = next; len(next) > mostChoices {
			return errors.New("too many ways to choose holes")
		}
	}
	return nil
}

// closed tells whether nothing is free at any turn of the leaf looked at and any depth
// from y0 to y1: a part is too deep, or too far before, or for every choice of holes
// two of its borders are too far apart for the two sides that hold them.
func (c *checker) closed(y0, y1 float64) bool {
	for i := range c.now {
		if t := &c.now[i]; c.held(i, y0) && (t.past(c.room.Last-give-y0) || t.before(c.room.First+give-y1)) {
			return true
		}
	}
	return !slices.ContainsFunc(c.choices, func(holes []Rect) bool { return !c.full(holes, y0, y1) })
}

// full tells whether a width or boxes leave nothing free in holes. What shut a band last is looked
// at first: it is much the same from band to band.
func (c *checker) full(holes []Rect, y0, y1 float64) bool {
	for k := range c.past {
		c.past[k].known = false
	}
	return c.widths.again(func(w width) bool { return c.wider(w, holes, y0, y1) }) ||
		c.pairs.again(func(q pair) bool { return c.blocked(q, holes, y0, y1) }) ||
		c.parted(holes, y0, y1) || c.beside(holes, y0, y1)
}

// recent are some of what shut a band, the last of them first.
type recent[T any] []T

// mostRecent is how many are kept.
const mostRecent = 16

// again tells whether one of r holds.
func (r recent[T]) again(holds func(T) bool) bool {
	for n, v := range r {
		if holds(v) {
			copy(r[1:n+1], r[:n])
			r[0] = v
			return true
		}
	}
	return false
}

// with returns what is kept once v shut a band.
func (r recent[T]) with(v T) recent[T] {
	r = slices.Insert(r, 0, v)
	return r[:min(len(r), mostRecent)]
}

// held tells whether part i is held to what the main one is held to, with the reference
// point at depth y or more.
func (c *checker) held(i int, y float64) bool {
	return i == 0 || c.shared[i] != nil && c.common[i].past(-give-y)
}

// A width is of what part i goes to on one side in a layer, and part j on the other in
// another: side is the direction of the first.
type width struct{ side, layer, other, i, j int }

// parted tells whether one width or another is too much for holes.
func (c *checker) parted(holes []Rect, y0, y1 float64) bool {
	for _, side := range [2]int{0, 2} {
		for l := range holes {
			for n := range holes {
				for i := range c.now {
					for j := range c.now {
						if w := (width{side, l, n, i, j}); c.wider(w, holes, y0, y1) {
							c.widths = c.widths.with(w)
							return true
						}
					}
				}
			}
		}
	}
	return false
}

// wider tells whether a width is more than holes leave for it, at every turn of the leaf
// looked at and any depth from y0 to y1. That it is at both ends is enough, for what the
// borders come to together is concave between.
func (c *checker) wider(w width, holes []Rect, y0, y1 float64) bool {
	up, down := w.side, w.side+1
	size := holes[w.layer].side(up) - holes[w.other].side(down)
	if math.IsInf(size, 1) || !c.mayGo(w.i, w.j, up, size) {
		return false
	}
	holds := func(i, layer int) bool {
		return c.held(i, y0) && (i == 0 || len(c.room.Layers[layer].Holes) == 1)
	}
	if !holds(w.i, w.layer) || !holds(w.j, w.other) {
		return false
	}
	if c.spread(&w, size+give, y0, y1) {
		return true
	}
	least := size + give - c.offset(w.i, w.j, up)
	// What corners keep to that may be outside, at all depths of the band, holds at both ends.
	a, b := c.alone(w.i, w.layer, up, y0, y1), c.alone(w.j, w.other, down, y0, y1)
	p, q := c.profiles.of(w.layer, w.i, up), c.profiles.of(w.other, w.j, down)
	return max(a, p.at(y0))+max(b, q.at(y0)) >= least && max(a, p.at(y1))+max(b, q.at(y1)) >= least
}

// mayGo tells whether part i goes farther to one side than part j to the other by more than
// width at the middle of the leaf looked at, in whatever layer: else they do not at every
// turn.
func (c *checker) mayGo(i, j, up int, width float64) bool {
	a, b := &c.now[i], &c.now[j]
	return a.most[up]+b.most[up+1]+dot(r3.Sub(a.middle, b.middle), towards[up]) >= width
}

// within tells whether the corner is in a layer at all depths of the reference point from
// y0 to y1.
func (k *corner) within(l *Layer, y0, y1 float64) bool {
	return y0+k.at.Y-k.rise >= l.Y0-give && y1+k.at.Y+k.rise <= l.Y1+give
}

// alone returns how far from its middle the corners of part i go in a direction, within a
// layer at every depth from y0 to y1, that may be outside at others; −Inf where none do.
// With what is inside of the gates all between is inside.
func (c *checker) alone(i, layer, direction int, y0, y1 float64) float64 {
	most, t := math.Inf(-1), &c.now[i]
	for n := range t.corners {
		if k := &t.corners[n]; k.out && k.inside(y0, y1) && k.within(&c.room.Layers[layer], y0, y1) {
			most = max(most, t.goes(n, direction))
		}
	}
	return most
}

// spread tells whether a corner on the one side and one on the other, both in the layers of
// a width, are as far apart as size at least, at every turn of the leaf looked at and every
// depth from y0 to y1. Turned as one they are so by less than what the turn takes each
// of them.
func (c *checker) spread(w *width, size, y0, y1 float64) bool {
	within := func(k *corner, layer int) bool {
		return k.inside(y0, y1) && k.within(&c.room.Layers[layer], y0, y1)
	}
	t, to := &c.now[w.i], towards[w.side]
	for a := range t.corners {
		k := &t.corners[a]
		if !within(k, w.layer) {
			continue
		}
		for b := range c.now[w.j].corners {
			m := &c.now[w.j].corners[b]
			between := r3.Sub(k.at, m.at)
			// At the middle of the leaf they are at least as far apart as at every turn.
			if dot(between, to) >= size && within(m, w.other) && t.swing.leans(between, r3.Vec{}, to, 0) >= size {
				return true
			}
		}
	}
	return false
}

// offset returns by how much the middle of part i is at least farther in a direction
// than that of part j.
func (c *checker) offset(i, j, direction int) float64 {
	if i == j {
		return 0
	}
	a, b := &c.now[i], &c.now[j]
	play := along(r3.Add(a.play, b.play))[direction&^1]
	return dot(r3.Sub(a.middle, b.middle), towards[direction]) - play
}
