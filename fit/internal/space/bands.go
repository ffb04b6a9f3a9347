package space

import (
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
}

type bandKind int

const (
	shut  bandKind = iota // nothing is free at any turn of the cell
	known                 // something is free at every turn
	maybe
	unlikely // maybe, but not at the turn in the middle
)

// pieces returns the bands that are known to be free and those that may be.
func pieces(bands []band) (free, perhaps []Piece) {
	for _, b := range bands {
		p := Piece{Rect: Everywhere, Y0: b.y0, Y1: b.y1}
		switch b.kind {
		case known:
			free = append(free, p)
		case maybe:
			perhaps = append(perhaps, p)
		case unlikely:
			p.Unlikely = true
			perhaps = append(perhaps, p)
		case shut:
		}
	}
	return free, perhaps
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
	free, _ := pieces(l.bands)
	sure, perhaps := l.first, l.first+int32(len(free))
	for _, b := range l.bands {
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

// bands divides the depths y0 to y1 at the turns of t, which are about those of middle.
func (m *Hull) bands(t, middle *turned, y0, y1 float64) []band {
	choices := m.choices()
	exact := m.profiles(0, middle.cores(), middle)
	there, tight := exact.blocking(choices, exact.pairs(choices))
	// What fits at the middle fits at some turn.
	sure := m.profiles(1, t.cores(), t)
	surely, _ := sure.blocking(choices, tight)
	out := split(band{y0, y1, maybe}, surely, shut)
	if !perhaps(out) {
		return out
	}
	if m.besides(surely, sure, choices, out, toShow) {
		out = split(band{y0, y1, maybe}, surely, shut)
	}
	if !perhaps(out) {
		return out
	}
	m.besides(there, exact, choices, out, toTell)
	var all []band
	for _, b := range m.before(t, out) {
		if b.kind == maybe {
			all = append(all, split(b, there, unlikely)...)
		} else {
			all = append(all, b)
		}
	}
	if !perhaps(all) {
		return all
	}
	wide := m.profiles(0, t.outlines(), nil)
	blocked, _ := wide.blocking(choices, wide.pairs(choices))
	for k := range blocked {
		for i := range wide.parts { // beside a box nothing is known
			for _, b := range m.Boxes {
				blocked[k] = append(blocked[k], span{b.Min.Y - wide.parts[i].coreDepth.hi, b.Max.Y - wide.parts[i].coreDepth.lo})
			}
		}
	}
	return divide(all, blocked)
}

// before returns bands with what is known to be free because all of the body is before
// whatever bounds it to two sides.
func (m *Hull) before(t *turned, bands []band) []band {
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
		return bands
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
		return bands
	}
	var out []band
	for _, b := range bands {
		if b.kind == maybe {
			out = append(out, split(b, [][]span{{free}}, known)...)
		} else {
			out = append(out, b)
		}
	}
	return out
}

// perhaps tells whether something may be free, and is not unlikely to be.
func perhaps(bands []band) bool {
	return slices.ContainsFunc(bands, func(b band) bool { return b.kind == maybe })
}

// split divides a band into what every list has an interval for, which is of the given
// kind, and the rest.
func split(b band, lists [][]span, kind bandKind) []band {
	var out []band
	for y := b.y0; y < b.y1; {
		if to := together(lists, y); to > y {
			out = append(out, band{y, min(to, b.y1), kind})
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
		out = append(out, band{y, next, b.kind})
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

// divide tells what is known to be free in the bands that may be: where for some
// choice nothing may be blocked.
func divide(bands []band, perhaps [][]span) []band {
	var out []band
	for _, b := range bands {
		if b.kind != maybe {
			out = append(out, b)
			continue
		}
		cuts := []float64{b.y0, b.y1}
		for _, list := range perhaps {
			for _, s := range list {
				for _, y := range [2]float64{s.lo, s.hi} {
					if y > b.y0 && y < b.y1 {
						cuts = append(cuts, y)
					}
				}
			}
		}
		slices.Sort(cuts)
		for i := 1; i < len(cuts); i++ {
			piece := band{cuts[i-1], cuts[i], maybe}
			for _, list := range perhaps {
				if !slices.ContainsFunc(list, func(s span) bool { return s.lo < piece.y1 && s.hi > piece.y0 }) {
					piece.kind = known
				}
			}
			if n := len(out); n > 0 && out[n-1].kind == piece.kind && i > 1 {
				out[n-1].y1 = piece.y1
			} else {
				out = append(out, piece)
			}
		}
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

// cores returns the parts with what is in them at every turn.
func (t *turned) cores() []seen {
	out := make([]seen, len(t.parts))
	for i := range t.parts {
		out[i] = t.parts[i].seen()
	}
	return out
}

// outlines returns the parts as what they are in at every turn.
func (t *turned) outlines() []seen {
	out := make([]seen, len(t.parts))
	for i := range t.parts {
		p := &t.parts[i]
		var ps []r3.Vec
		for _, v := range p.part.verts {
			c := p.swing.middle.Rotate(r3.Add(v, p.part.middle))
			d := p.swing.shift(c)
			for _, by := range [4]r3.Vec{d, {X: -d.X, Y: d.Y, Z: -d.Z}, {X: d.X, Y: -d.Y, Z: d.Z}, r3.Scale(-1, d)} {
				ps = append(ps, r3.Add(c, by))
			}
		}
		wide := &turnedPart{part: p.part}
		wide.core, wide.coreDepth = byDepths(ps)
		out[i] = wide.seen()
	}
	return out
}

// profiles are how far the parts go within each layer, each found when it is first asked
// for.
type profiles struct {
	room  *Hull
	parts []seen
	t     *turned // what is to count; nil where everything is
	of    [][sides]*profile
	made  []profile
	left  []point // where they are kept
}

// profiles returns those of parts, which hold until it is called again with the same number,
// 0 or 1. With t only what t says to count does.
func (m *Hull) profiles(number int, parts []seen, t *turned) *profiles {
	n := 0
	for i := range parts {
		n += parts[i].most()
	}
	if n *= len(m.Layers); n > len(m.room[number]) {
		m.room[number] = make([]point, n)
	}
	each := len(parts) * len(m.Layers)
	return &profiles{m, parts, t, make([][sides]*profile, each), make([]profile, 0, sides*each), m.room[number]}
}

// in returns how far part i goes to a side within layer l.
func (p *profiles) in(l, i, side int) profile {
	at := &p.of[l*len(p.parts)+i][side]
	if *at == nil {
		layer := &p.room.Layers[l]
		var made profile
		if (p.t == nil || p.t.holds(i, layer)) && layer.bounds(side) {
			made, p.left = p.parts[i].profile(side, layer.Y0, layer.Y1, p.left)
		}
		p.made = append(p.made, made)
		*at = &p.made[len(p.made)-1]
	}
	return **at
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
	out := make([][]pair, len(choices))
	for k, choice := range choices {
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
							if a.peak(x.less)+b.peak(x.more)+apartTo(x.less, a, b) > width {
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

// peak returns how far the part goes to a side from its middle, at most.
func (s *seen) peak(side int) float64 {
	most := profile(s.borders[side]).peak()
	for i := range s.corners {
		c := &s.corners[i]
		most = max(most, outward(side, c.at.X-s.middle.X, c.at.Z-s.middle.Z))
	}
	return most
}

// blocking returns for each choice of holes the depths at which the parts do not go in
// them, each interval by one of the choice's pairs, and the pairs that come to any.
func (p *profiles) blocking(choices [][]Rect, pairs [][]pair) (blocked [][]span, by [][]pair) {
	parts := p.parts
	var depths []span
	from := make([]float64, len(parts)) // where what a part is held to begins to count
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
	blocked, by = make([][]span, len(choices)), make([][]pair, len(choices))
	known := map[pair][]span{} // most choices have most pairs in common
	for k := range choices {
		blocked[k] = slices.Clone(depths)
		for _, q := range pairs[k] {
			spans, ok := known[q]
			if !ok {
				spans = p.tooWide(q, max(from[q.i], from[q.j]))
				if k+1 < len(choices) {
					known[q] = spans
				}
			}
			if len(spans) > 0 {
				blocked[k], by[k] = append(blocked[k], spans...), append(by[k], q)
			}
		}
	}
	return blocked, by
}

// tooWide returns depths from one on at which a pair does not go between its borders.
func (p *profiles) tooWide(q pair, from float64) []span {
	a, b := &p.parts[q.i], &p.parts[q.j]
	var out []span
	if s := over(p.in(q.l, q.i, q.less), p.in(q.n, q.j, q.more), q.width+margin-apartTo(q.less, a, b)); s.lo < s.hi {
		out = append(out, s)
	}
	l, n := &p.room.Layers[q.l], &p.room.Layers[q.n]
	if p.t != nil && p.t.holds(q.i, l) && p.t.holds(q.j, n) {
		out = p.aside(spread(out, b.turnedPart, a.turnedPart, q.more, n, l, q.width), q)
	}
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
					alone := profile{{h.lo, e}, {h.hi, e}}
					if s := over(alone, p.in(x.n, x.j, x.other), q.width+margin-apartTo(q.less, &p.parts[q.i], &p.parts[q.j])); s.lo < s.hi {
						out = append(out, s)
					}
				}
			}
		}
	}
	return out
}
