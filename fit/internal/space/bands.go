package space

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// In a room of layers alone what is free of places (x, z) is, at each turn and depth
// of the reference point, a rectangle, or none. So ways are told apart by turns and
// depths alone; and as what is shut at a turn is shut over whole intervals of
// depths, cells need to be of turns only. Each has its depths in bands. What boxes part
// is taken to be one there.

// A band is an interval of depths of a cell of turns.
type band struct {
	y0, y1 float64
	kind   bandKind
	grades []grade // of one that is unlikely
}

type bandKind int

const (
	shut  bandKind = iota // nothing is free at any turn of the cell
	known                 // something is free at every turn
	maybe
	unlikely // maybe, but not at the turn in the middle
)

// piece returns the band as places.
func (b band) piece() Piece { return Piece{Everywhere, b.y0, b.y1} }

// unlikelyCost is the cost of a place that is not free in the middle of its cell, that of
// others that may be free being 1. A way through few of them is the way to look at more
// closely, and they what to look at.
const unlikelyCost = 8

// cost returns the cost of a place that is not known to be free.
func (b band) cost() int32 {
	if b.kind == unlikely {
		return unlikelyCost
	}
	return 1
}

// A Band of a leaf reaches from where the last one ends down to the depth To.
type Band struct {
	To float64
	// Shut tells that nothing is free there, Outside that what is may be joined to the
	// outside.
	Shut, Outside bool
}

// labels returns the bands of a leaf as a proof has them.
func (s *Search) labels(l *leaf) []Band {
	var out []Band
	bands := s.bands[l.bands:l.end]
	sure, perhaps := l.first, l.first
	for _, b := range bands {
		if b.kind == known { // whose places come first
			perhaps++
		}
	}
	for _, b := range bands {
		band := Band{To: b.y1}
		switch b.kind {
		case known:
			band.Outside = s.outside(sure)
			sure++
		case maybe, unlikely:
			band.Outside = s.outside(perhaps)
			perhaps++
		case shut:
			band.Shut = true
		}
		if n := len(out); n > 0 && !band.Shut && !out[n-1].Shut {
			out[n-1] = band // which are joined, and have one label
			continue
		}
		out = append(out, band)
	}
	return out
}

// margin is by how much more than a hole a part has to be for a band to be shut, in
// mm: above all rounding, here and in whatever checks it.
const margin = 1e-6

// mostChoices bounds the ways to choose a hole in each layer that are told apart.
const mostChoices = 16

// bands divides the depths y0 to y1 at the turns of t, which are about those of middle and
// move the body by size. What it returns holds until it is called again.
func (m *Hull) bands(t, middle *turned, y0, y1, size float64) []band {
	choices := m.choices()
	exact, sure, wide := &m.seen[0], &m.seen[1], &m.seen[2]
	exact.of(m, middle.parts, middle)
	there, tight := exact.blocking(choices, exact.pairs(choices))
	// What fits at the middle fits at some turn.
	sure.of(m, t.parts, t)
	surely, _ := sure.blocking(choices, tight)
	all := band{y0: y0, y1: y1, kind: maybe}
	out := all.split(m.room[0][:0], surely, shut)
	if perhaps(out) && m.besides(surely, sure, choices, out, toShow) {
		out = all.split(out[:0], surely, shut)
	}
	m.room[0] = out
	if !perhaps(out) {
		return out
	}
	exact.beside = exact.beside[:0]
	for _, list := range there {
		exact.beside = append(exact.beside, len(list))
	}
	m.besides(there, exact, choices, out, toTell)
	out = m.each(1, out, [][]span{m.before(t)}, known)
	out = m.each(0, out, there, unlikely)
	exact.grade(out, there, tight, size)
	if !perhaps(out) {
		return out
	}
	wide.of(m, t.outlines(), nil)
	blocked, _ := wide.blocking(choices, wide.pairs(choices))
	for k := range blocked {
		for i := range wide.parts { // beside a box nothing is known
			for _, b := range m.Boxes {
				blocked[k] = append(blocked[k], span{b.Min.Y - wide.parts[i].coreDepth.hi, b.Max.Y - wide.parts[i].coreDepth.lo})
			}
		}
	}
	var free []span // for some choice
	for _, list := range blocked {
		free = append(free, gaps(list)...)
	}
	return m.each(1, out, [][]span{free}, known)
}

// excess returns by how much pairs that are too wide are so at a depth, for the choice of
// holes for which that is least; 0 where nothing tells how much what is in the way is. Near
// the end of the depths at which it counts it counts for no more than how near.
func (p *profiles) excess(blocked [][]span, tight [][]pair, y float64) float64 {
	least := math.Inf(1)
	for k, pairs := range tight {
		most := 0.0
		for _, s := range blocked[k][p.beside[k]:] {
			const share = 0.25 // of how near: how much boxes are in the way is not known
			most = max(most, share*min(y-s.lo, s.hi-y))
		}
		for i := range p.parts {
			d := p.parts[i].depth()
			most = max(most, y+d.hi-p.room.Last, p.room.First-y-d.lo)
		}
		for _, q := range pairs {
			a, b := p.in(q.l, q.i, q.less), p.in(q.n, q.j, q.more)
			wide := apartTo(q.less, &p.parts[q.i], &p.parts[q.j]) - q.width
			if a.peak+b.peak+wide <= most {
				continue
			}
			less, more := a.line, b.line
			e, ok := value(less, y)
			f, too := value(more, y)
			if !ok || !too {
				continue
			}
			from := max(p.from[q.i], p.from[q.j], less[0].y, more[0].y)
			to := min(less[len(less)-1].y, more[len(more)-1].y)
			most = max(most, min(e+f+wide, y-from, to-y))
		}
		least = min(least, most)
	}
	return least
}

// each splits those of bands that may be by what every list has an interval for. It keeps
// them in the room of that number, which is not theirs.
func (m *Hull) each(number int, bands []band, lists [][]span, kind bandKind) []band {
	out := m.room[number][:0]
	for _, b := range bands {
		if b.kind == maybe {
			out = b.split(out, lists, kind)
		} else {
			out = append(out, b)
		}
	}
	m.room[number] = out
	return out
}

// before returns the depths at which all of the body is before whatever bounds it to two
// sides, where something then is known to be free.
func (m *Hull) before(t *turned) []span {
	first, always := math.Inf(1), Everywhere
	for i := range m.Layers {
		if l := &m.Layers[i]; math.IsInf(l.Y0, -1) && len(l.Holes) == 1 {
			always = always.Meet(l.Holes[0])
		} else {
			first = min(first, l.Y0)
		}
	}
	for i := range m.Boxes {
		first = min(first, m.Boxes[i].Min.Y)
	}
	if !math.IsInf(always.X1-always.X0, 1) || !math.IsInf(always.Z1-always.Z0, 1) {
		return nil
	}
	d := noSpan
	for i := range t.parts {
		p := &t.parts[i]
		for k := range p.corners {
			c := &p.corners[k]
			d = d.with(c.at.Y - c.play.Y).with(c.at.Y + c.play.Y)
		}
	}
	free := span{m.First - d.lo, first - d.hi}
	if d.empty() || !(free.lo < free.hi) {
		return nil
	}
	return []span{free}
}

// perhaps tells whether something may be free, and is not unlikely to be.
func perhaps(bands []band) bool {
	return slices.ContainsFunc(bands, func(b band) bool { return b.kind == maybe })
}

// split appends what b is divided into: what every list has an interval for, which is of
// the given kind, and the rest.
func (b band) split(out []band, lists [][]span, kind bandKind) []band {
	for y := b.y0; y < b.y1; {
		if to := together(lists, y); to > y {
			out = append(out, band{y0: y, y1: min(to, b.y1), kind: kind})
			y = to
			continue
		}
		next := b.y1
		for _, list := range lists {
			for _, s := range list {
				if s.lo > y && s.lo < next && together(lists, s.lo) > s.lo {
					next = s.lo
				}
			}
		}
		out = append(out, band{y0: y, y1: next, kind: b.kind})
		y = next
	}
	return out
}

// together returns how far all of the lists have an interval each from y on; y where
// one has none.
func together(lists [][]span, y float64) float64 {
	to := math.Inf(1)
	for _, list := range lists {
		end := y
		for _, s := range list {
			if s.lo <= y {
				end = max(end, s.hi)
			}
		}
		to = min(to, end)
	}
	return to
}

// gaps returns the depths between those of a list, which it puts in order.
func gaps(list []span) (out []span) {
	slices.SortFunc(list, func(a, b span) int { return cmp.Compare(a.lo, b.lo) })
	to := math.Inf(-1)
	for _, s := range list {
		if to < s.lo {
			out = append(out, span{to, s.lo})
		}
		to = max(to, s.hi)
	}
	if to < math.Inf(1) {
		out = append(out, span{to, math.Inf(1)})
	}
	return out
}

// choices returns the ways to choose a hole in each layer.
func (m *Hull) choices() [][]Rect {
	if m.chosen != nil {
		return m.chosen
	}
	out := [][]Rect{nil}
	for i := range m.Layers {
		var next [][]Rect
		for _, c := range out {
			for _, h := range m.Layers[i].Holes {
				next = append(next, append(slices.Clone(c), h))
			}
		}
		if len(next) > mostChoices {
			next = next[:0]
			for _, c := range out {
				next = append(next, append(slices.Clone(c), Everywhere))
			}
		}
		out = next
	}
	m.chosen = out
	return out
}

// outlines returns the parts as what they are in at every turn, until t is set anew.
func (t *turned) outlines() []turnedPart {
	if len(t.round) != len(t.parts) {
		t.round = make([]turnedPart, len(t.parts))
	}
	for i := range t.parts {
		p, wide := &t.parts[i], &t.round[i]
		ps := wide.core[:0]
		for _, v := range p.part.verts {
			c := p.swing.middle.Rotate(r3.Add(v, p.part.middle))
			d := p.swing.shift(c)
			for _, by := range [4]r3.Vec{d, {X: -d.X, Y: d.Y, Z: -d.Z}, {X: d.X, Y: -d.Y, Z: d.Z}, r3.Scale(-1, d)} {
				ps = append(ps, r3.Add(c, by))
			}
		}
		*wide = turnedPart{part: p.part, core: ps, coreDepth: byDepths(ps)}
	}
	return t.round
}

// profiles are how far parts go within each layer of a room, each found when it is first
// asked for.
type profiles struct {
	room  *Hull
	parts []seen
	t     *turned // what is to count; nil where everything is
	made  [][sides]struct {
		profile
		known bool
	}
	points, left []point // where they are kept, and what is left of that

	// Room for what is asked of them:
	depths, found []span
	blocked       [][]span
	tight, by     [][]pair
	grades        []grade
	beside        []int // from where on boxes have blocked
	goes          []float64
	from          []float64
	known         map[pair][]span
}

// of makes p the profiles of parts in a room, in place of what it was. With t only what t
// says to count does.
func (p *profiles) of(m *Hull, parts []turnedPart, t *turned) {
	p.room, p.t = m, t
	if len(p.parts) != len(parts) {
		p.parts = make([]seen, len(parts))
	}
	n := 0
	for i := range parts {
		p.parts[i].see(&parts[i])
		n += p.parts[i].most()
	}
	if n *= len(m.Layers); n > len(p.points) {
		p.points = make([]point, n)
	}
	p.left = p.points
	p.made = resized(p.made, len(parts)*len(m.Layers))
	clear(p.made)
}

// resized returns a slice of n items, the same if it has room for them.
func resized[T any](items []T, n int) []T {
	if n > cap(items) {
		return make([]T, n)
	}
	return items[:n]
}

// in returns how far part i goes to a side within layer l.
func (p *profiles) in(l, i, side int) profile {
	made := &p.made[l*len(p.parts)+i][side]
	if !made.known {
		made.known, made.profile = true, profileOf(nil)
		layer := &p.room.Layers[l]
		if (p.t == nil || p.t.holds(i, layer)) && layer.bounds(side) {
			made.profile, p.left = p.parts[i].profile(side, layer.Y0, layer.Y1, p.left)
		}
	}
	return made.profile
}

// holds tells whether part i is held to the holes of a layer. Through several holes each
// part may go its own way: only the main one is held to any.
func (t *turned) holds(i int, l *Layer) bool { return i == 0 || len(l.Holes) == 1 }

// bounds tells whether the layer bounds what is in it to a side.
func (l *Layer) bounds(side int) bool {
	return slices.ContainsFunc(l.Holes, func(h Rect) bool {
		return !math.IsInf([sides]float64{sideX0: h.X0, sideX1: h.X1, sideZ0: h.Z0, sideZ1: h.Z1}[side], 0)
	})
}

// A pair is two parts, or one, and the borders of two layers, or of one, between which
// they are: part i at the border of layer l to the side less, part j at that of layer n to
// the side more.
type pair struct {
	less, more, l, n, i, j int
	width                  float64 // from the one border to the other
}

// pairs returns for each choice of holes the pairs that may be too wide for where they are.
func (p *profiles) pairs(choices [][]Rect) [][]pair {
	out := resized(p.tight, len(choices))
	p.tight = out
	for k, choice := range choices {
		out[k] = out[k][:0]
		for _, x := range axes {
			for l := range choice {
				for n := range choice {
					width := choice[n].border(x.more) - choice[l].border(x.less)
					if math.IsInf(width, 1) {
						continue
					}
					for i := range p.parts {
						for j := range p.parts {
							a, b := &p.parts[i], &p.parts[j]
							if a.peaks[x.less]+b.peaks[x.more]+apartTo(x.less, a, b) > width {
								out[k] = append(out[k], pair{x.less, x.more, l, n, i, j, width})
							}
						}
					}
				}
			}
		}
	}
	return out
}

// blocking returns for each choice of holes the depths at which the parts do not go in
// them, each interval by one of the choice's pairs, and the pairs that come to any.
func (p *profiles) blocking(choices [][]Rect, pairs [][]pair) (blocked [][]span, by [][]pair) {
	parts := p.parts
	depths := p.depths[:0]
	from := resized(p.from, len(parts)) // where what a part is held to begins to count
	for i := range parts {
		from[i] = math.Inf(-1)
		if p.t != nil && i > 0 {
			from[i] = -p.t.meets[i].hi
			if p.t.meets[i].empty() {
				from[i] = math.Inf(1)
			}
		}
		d := parts[i].depth()
		if d.empty() {
			continue
		}
		depths = append(depths, span{max(p.room.Last-d.hi+margin, from[i]), math.Inf(1)})
		if i == 0 || math.IsInf(from[i], -1) {
			depths = append(depths, span{math.Inf(-1), p.room.First - d.lo - margin})
		}
	}
	p.depths, p.from = depths, from
	blocked, by = resized(p.blocked, len(choices)), resized(p.by, len(choices))
	p.blocked, p.by = blocked, by
	if len(choices) > 1 && p.known == nil {
		p.known = map[pair][]span{}
	}
	clear(p.known)
	for k := range choices {
		blocked[k], by[k] = append(blocked[k][:0], depths...), by[k][:0]
		for _, q := range pairs[k] {
			spans, ok := p.known[q] // most choices have most pairs in common
			if !ok {
				spans = p.tooWide(q, max(from[q.i], from[q.j]))
				if len(choices) > 1 {
					p.known[q] = slices.Clone(spans)
				}
			}
			if len(spans) > 0 {
				blocked[k], by[k] = append(blocked[k], spans...), append(by[k], q)
			}
		}
	}
	return blocked, by
}

// tooWide returns depths from one on at which a pair does not go between its borders, until
// it is called again.
func (p *profiles) tooWide(q pair, from float64) []span {
	a, b := &p.parts[q.i], &p.parts[q.j]
	out := p.found[:0]
	if s := over(p.in(q.l, q.i, q.less), p.in(q.n, q.j, q.more), q.width+margin-apartTo(q.less, a, b)); s.lo < s.hi {
		out = append(out, s)
	}
	l, n := &p.room.Layers[q.l], &p.room.Layers[q.n]
	if p.t != nil && p.t.holds(q.i, l) && p.t.holds(q.j, n) {
		out = p.aside(spread(out, b.turnedPart, a.turnedPart, q.more, n, l, q.width), q)
	}
	p.found = out
	kept := out[:0]
	for _, s := range out {
		if s.lo = max(s.lo, from); s.lo < s.hi {
			kept = append(kept, s)
		}
	}
	return kept
}

// aside appends the depths at which a corner of a pair's one part, that may be out by a gate
// elsewhere, and the other part are farther apart than the pair's borders.
func (p *profiles) aside(out []span, q pair) []span {
	for _, x := range [2]struct{ side, l, i, other, n, j int }{
		{q.less, q.l, q.i, q.more, q.n, q.j}, {q.more, q.n, q.j, q.less, q.l, q.i},
	} {
		part, layer := &p.parts[x.i], &p.room.Layers[x.l]
		for k := range part.corners {
			c := &part.corners[k]
			if !c.out {
				continue
			}
			e := outward(x.side, c.at.X-part.middle.X, c.at.Z-part.middle.Z) - across(x.side, c.own)
			for _, h := range c.held() {
				if h = h.meet(span{layer.Y0 - c.at.Y + c.play.Y, layer.Y1 - c.at.Y - c.play.Y}); h.lo < h.hi {
					alone := profile{[]point{{h.lo, e}, {h.hi, e}}, e}
					if s := over(alone, p.in(x.n, x.j, x.other), q.width+margin-apartTo(q.less, &p.parts[q.i], &p.parts[q.j])); s.lo < s.hi {
						out = append(out, s)
					}
				}
			}
		}
	}
	return out
}
