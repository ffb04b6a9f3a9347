package proof

import (
	"cmp"
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
	profiles := c.profiles()
	choices, err := c.choices()
	if err != nil {
		return err
	}
	y := l.lo[3]
	for _, b := range l.bands {
		if !(b.To > y && b.To <= l.hi[3]) {
			return errors.New("bands are out of order")
		}
		switch b.Label {
		case Shut:
			if !c.closed(profiles, choices, y, b.To) {
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
	layers []Layer
	parts  []turned
	made   []*chain
	boxes  []*chain // of the main part, in the depths of boxes
}

func (c *checker) profiles() *profiles {
	return &profiles{
		c.room.Layers, c.now,
		make([]*chain, len(c.room.Layers)*len(c.now)*directions), make([]*chain, len(c.room.Boxes)*directions),
	}
}

// past returns the profile of the main part in the depths of box i.
func (p *profiles) past(b *r3.Box, i, direction int) *chain {
	at := &p.boxes[i*directions+direction]
	if *at == nil {
		made := p.parts[0].profile(direction, b.Min.Y-give, b.Max.Y+give)
		*at = &made
	}
	return *at
}

// of returns the profile of a part in a layer.
func (p *profiles) of(layer, part, direction int) *chain {
	at := &p.made[(layer*len(p.parts)+part)*directions+direction]
	if *at == nil {
		l := &p.layers[layer]
		made := p.parts[part].profile(direction, l.Y0-give, l.Y1+give)
		*at = &made
	}
	return *at
}

// profile returns how far from its middle the part surely goes in a direction within
// the slab from l0 to l1, at every turn of the cell, over the depth of the reference
// point. How far a convex part goes within a slab is concave over its depth, as long
// as any of it is in the slab: so what holds at some depths holds between them on
// straight lines.
func (t *turned) profile(direction int, l0, l1 float64) chain {
	const beyond = 2 * Greatest
	l0, l1 = max(l0, -beyond), min(l1, beyond)
	line := t.core[direction]
	spots := make([]place, 0, 1+2*(len(line)+len(t.corners)+2*len(t.part.edges)))
	add := func(y, e float64) {
		if !math.IsInf(e, -1) {
			spots = append(spots, place{y, e})
		}
	}
	top := 0
	for i := range line {
		if line[i].e > line[top].e {
			top = i
		}
	}
	// While the slab begins at a corner before the farthest, and while it ends at one
	// behind, that corner is how far it goes; wherever the middle is, within its play,
	// the less of both ends of the play holds.
	room := l1 - l0
	early := func(y float64) float64 { // the middle is as far before as it may be
		from := l0 - y - t.middle.Y + t.play.Y
		return line.farthest(from, from+room)
	}
	late := func(y float64) float64 {
		to := l1 - y - t.middle.Y - t.play.Y
		return line.farthest(to-room, to)
	}
	type step struct{ y, early, late float64 }
	steps := make([]step, 0, len(line)+1)
	for i, p := range line {
		if y := l0 - p.y - t.middle.Y + t.play.Y; i >= top {
			steps = append(steps, step{y, p.e, late(y)})
		}
		if y := l1 - p.y - t.middle.Y - t.play.Y; i <= top {
			steps = append(steps, step{y, early(y), p.e})
		}
	}
	slices.SortFunc(steps, func(a, b step) int { return cmp.Compare(a.y, b.y) })
	for i, b := range steps {
		if i > 0 {
			// From one step to the next both are straight, the one rising, the other
			// falling: the most that surely holds is where they come to the same.
			a := steps[i-1]
			if p, q := a.late-a.early, b.early-b.late; p > 0 && q > 0 && !math.IsInf(p+q, 1) {
				add(a.y+(b.y-a.y)*(p/(p+q)), a.early+(b.early-a.early)*(p/(p+q)))
			}
		}
		add(b.y, min(b.early, b.late))
	}
	for i := range t.corners {
		k := &t.corners[i]
		first, last := l0-k.at.Y+k.play.Y, l1-k.at.Y-k.play.Y
		if k.out || first > last {
			continue
		}
		e := k.goes(t, direction)
		add(first, e)
		add(last, e)
	}
	for _, g := range t.passing(direction) {
		for _, l := range [2]float64{l0, l1} {
			add(l-g.from, g.slope*g.from+g.least)
			add(l-g.past, g.slope*g.past+g.least)
		}
	}
	slices.SortFunc(spots, func(a, b place) int { return cmp.Compare(a.y, b.y) })
	var out chain
	for _, s := range spots {
		out = out.with(s)
	}
	return out
}

// passes is what an edge keeps to that passes every plane across the depth from one
// depth to another, about the reference point, at every turn: there it goes slope for
// each of depth and least in a direction, from the middle of its part.
type passes struct{ from, past, slope, least float64 }

// passing returns what edges of the part pass. An edge goes at least as far as the line
// through what both its ends keep to, whatever slope that has.
func (t *turned) passing(direction int) []passes {
	if t.passed[direction] != nil {
		return t.passed[direction]
	}
	to := towards[direction]
	out := make([]passes, 0, len(t.part.edges))
	for _, e := range t.part.edges {
		a, b := &t.corners[e[0]], &t.corners[e[1]]
		if a.at.Y > b.at.Y {
			a, b = b, a
		}
		g := passes{from: a.at.Y + a.play.Y, past: b.at.Y - b.play.Y}
		if a.out || b.out || g.from >= g.past {
			continue
		}
		g.slope = dot(r3.Sub(b.at, a.at), to) / (b.at.Y - a.at.Y)
		g.least = min(
			t.swing.leans(r3.Sub(a.at, t.middle), a.at, to, g.slope),
			t.swing.leans(r3.Sub(b.at, t.middle), b.at, to, g.slope),
		)
		out = append(out, g)
	}
	t.passed[direction] = out
	return out
}

// choices returns the ways to choose a hole in each layer.
func (c *checker) choices() ([][]Rect, error) {
	out := [][]Rect{nil}
	for i := range c.room.Layers {
		var next [][]Rect
		for _, choice := range out {
			for _, h := range c.room.Layers[i].Holes {
				next = append(next, append(slices.Clone(choice), h))
			}
		}
		if out = next; len(out) > mostChoices {
			return nil, errors.New("too many ways to choose holes")
		}
	}
	return out, nil
}

// closed tells whether nothing is free at any turn of the leaf looked at and any depth
// from y0 to y1: a part is too deep, or too far before, or for every choice of holes
// two of its borders are too far apart for the two sides that hold them. That they
// are at both ends is enough, for what they come to together is concave between.
func (c *checker) closed(profiles *profiles, choices [][]Rect, y0, y1 float64) bool {
	counts := func(i int) bool { return i == 0 || y0+c.past[i] >= -give }
	for i := range c.now {
		if t := &c.now[i]; counts(i) && (y0+t.high > c.room.Last-give || y1+t.low < c.room.First+give) {
			return true
		}
	}
	holds := func(i, layer int) bool { return counts(i) && (i == 0 || len(c.room.Layers[layer].Holes) == 1) }
	// far returns how far from its middle part i goes at least at both depths, in a layer.
	far := func(layer, i, direction int) (a, b float64) {
		if !holds(i, layer) {
			return math.Inf(-1), math.Inf(-1)
		}
		line, alone := profiles.of(layer, i, direction), c.held(i, layer, direction, y0, y1)
		return max(alone, line.farthest(y0, y0)), max(alone, line.farthest(y1, y1))
	}
	wider := func(l, n, up, down int, width float64) bool {
		if math.IsInf(width, 1) {
			return false
		}
		for i := range c.now {
			for j := range c.now {
				if !c.mayGo(i, j, up, down, width) {
					continue
				}
				a, b := far(l, i, up)
				p, q := far(n, j, down)
				least := width + give - c.offset(i, j, up)
				if a+p >= least && b+q >= least {
					return true
				}
				if holds(i, l) && holds(j, n) && c.spread(i, j, up, l, n, y0, y1) >= width+give {
					return true
				}
			}
		}
		return false
	}
	return !slices.ContainsFunc(choices, func(holes []Rect) bool {
		for l, a := range holes {
			for n, b := range holes {
				if wider(l, n, 0, 1, a.X1-b.X0) || wider(l, n, 2, 3, a.Z1-b.Z0) {
					return false
				}
			}
		}
		return !c.beside(profiles, holes, y0, y1)
	})
}

// mayGo tells whether part i goes farther to one side than part j to the other by more than
// width at the middle of the leaf looked at, in whatever layer: else they do not at every
// turn.
func (c *checker) mayGo(i, j, up, down int, width float64) bool {
	a, b := &c.now[i], &c.now[j]
	return a.most[up]+b.most[down]+along(r3.Sub(a.middle, b.middle))[up] >= width
}

// within tells whether the corner is in a layer at all depths of the reference point from
// y0 to y1.
func (k *corner) within(l *Layer, y0, y1 float64) bool {
	return y0+k.at.Y-k.play.Y >= l.Y0-give && y1+k.at.Y+k.play.Y <= l.Y1+give
}

// held returns how far from its middle the corners of part i go in a direction, within a
// layer at every depth from y0 to y1, that may be outside at others; −Inf where none do.
// With what is inside of the gates all between is inside.
func (c *checker) held(i, layer, direction int, y0, y1 float64) float64 {
	most, t := math.Inf(-1), &c.now[i]
	for n := range t.corners {
		if k := &t.corners[n]; k.out && k.inside(y0, y1) && k.within(&c.room.Layers[layer], y0, y1) {
			most = max(most, k.goes(t, direction))
		}
	}
	return most
}

// goes returns how far from the middle of its part a corner goes in a direction, at least.
func (k *corner) goes(t *turned, direction int) float64 {
	return along(r3.Sub(k.at, t.middle))[direction] - [directions]float64{k.own.X, k.own.X, k.own.Z, k.own.Z}[direction]
}

// spread returns how far apart, in a direction, a corner of part i in layer l and one of
// part j in layer n are at least, at every turn of the leaf looked at and every depth from
// y0 to y1; −Inf where none are in these layers. Turned as one they are so by less
// than what the turn takes each of them.
func (c *checker) spread(i, j, direction, l, n int, y0, y1 float64) float64 {
	within := func(k *corner, layer int) bool {
		return k.inside(y0, y1) && k.within(&c.room.Layers[layer], y0, y1)
	}
	most := math.Inf(-1)
	for a := range c.now[i].corners {
		k := &c.now[i].corners[a]
		if !within(k, l) {
			continue
		}
		for b := range c.now[j].corners {
			if m := &c.now[j].corners[b]; within(m, n) {
				between := r3.Sub(k.at, m.at)
				if dot(between, towards[direction]) > most {
					most = max(most, c.now[i].swing.leans(between, r3.Vec{}, towards[direction], 0))
				}
			}
		}
	}
	return most
}

// offset returns by how much the middle of part i is at least farther in a direction
// than that of part j.
func (c *checker) offset(i, j, direction int) float64 {
	if i == j {
		return 0
	}
	a, b := &c.now[i], &c.now[j]
	play := r3.Add(a.play, b.play)
	return along(r3.Sub(a.middle, b.middle))[direction] - [directions]float64{play.X, play.X, play.Z, play.Z}[direction]
}
