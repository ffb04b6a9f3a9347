package space

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Boxes count in bands where the layers leave so little play in height that the body
// cannot but have something at the height of the box, whatever its place: what it has
// there passes the box on its one side or the other. Where the layers leave no room on
// the one, the box is a border to the other. The same goes for boxes above and below,
// by play to the sides.

// An axis is a direction across the depth: its sides, and those of the other one.
type axis struct{ less, more, under, over int }

var axes = [2]axis{{sideX0, sideX1, sideZ0, sideZ1}, {sideZ0, sideZ1, sideX0, sideX1}}

// border returns the coordinate of a rectangle's side.
func (r Rect) border(side int) float64 {
	return [sides]float64{sideX0: r.X0, sideX1: r.X1, sideZ0: r.Z0, sideZ1: r.Z1}[side]
}

// A reach is how far a part surely goes past a box to both sides, over depth.
type reach struct {
	box        *r3.Box
	from, to   float64 // of the box, along the axis
	less, more profile
}

// reaches returns how far the part goes past boxes that may leave no room beside them:
// none where there are none of these on one side, or on the other.
func (m *Hull) reaches(p *seen, profiles *profiles, choices [][]Rect, bands []band, x axis) []reach {
	// The places of the part's middle beside the holes' borders, where it goes farthest.
	first, last := math.Inf(-1), math.Inf(1)
	for _, choice := range choices {
		for l := range choice {
			if h := choice[l].border(x.less); !math.IsInf(h, 0) {
				first = max(first, h+profiles.in(l, 0, x.less).peak)
			}
			if h := choice[l].border(x.more); !math.IsInf(h, 0) {
				last = min(last, h-profiles.in(l, 0, x.more).peak)
			}
		}
	}
	less, more := peakOf(p.borders[x.less]), peakOf(p.borders[x.more])
	plays := p.plays(profiles, choices, x)
	d := span{p.coreDepth.lo + p.middle.Y + p.play.Y, p.coreDepth.hi + p.middle.Y - p.play.Y}
	var near []*r3.Box
	noLess, noMore := false, false
	for i := range m.Boxes {
		b := &m.Boxes[i]
		at := rectOf(b)
		before, behind := at.border(x.less)-more <= first, at.border(x.more)+less >= last
		if !before && !behind || !p.abreast(plays, at, x) ||
			!slices.ContainsFunc(bands, func(a band) bool {
				return a.kind == maybe && a.y0 < b.Max.Y-d.lo && a.y1 > b.Min.Y-d.hi
			}) {
			continue
		}
		noLess, noMore = noLess || before, noMore || behind
		near = append(near, b)
	}
	if !noLess || !noMore {
		return nil
	}
	near = m.some(near)
	var out []reach
	for _, b := range near {
		if r := m.reachOf(p, b, x); len(r.less.line) > 0 && len(r.more.line) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// How many of the boxes past which no way may lead are looked at: those that shut most
// so far, and some of the others in turn. Of a leaf at an angle there are many, of which
// those at its edge do nearly all.
const (
	mostTelling = 6
	mostOthers  = 2
)

// some returns those of the boxes near that are looked at.
func (m *Hull) some(near []*r3.Box) []*r3.Box {
	if len(near) <= mostTelling+mostOthers {
		return near
	}
	slices.SortStableFunc(near, func(a, b *r3.Box) int { return cmp.Compare(m.telling[b], m.telling[a]) })
	others := near[mostTelling:]
	for i := range mostOthers {
		j := i + m.looks%(len(others)-i)
		others[i], others[j] = others[j], others[i]
		m.looks++
	}
	return near[:mostTelling+mostOthers]
}

// shuts notes that boxes left nothing free.
func (m *Hull) shuts(boxes ...*r3.Box) {
	if m.telling == nil {
		m.telling = map[*r3.Box]int{}
	}
	for _, b := range boxes {
		m.telling[b]++
	}
}

// plays returns for each choice of holes the heights that it leaves the part's middle
// where it leaves least.
func (s *seen) plays(profiles *profiles, choices [][]Rect, x axis) []span {
	out := make([]span, len(choices))
	for k, choice := range choices {
		out[k] = span{math.Inf(-1), math.Inf(1)}
		for l := range choice {
			if z := choice[l].border(x.under); !math.IsInf(z, 0) {
				out[k].lo = max(out[k].lo, z+profiles.in(l, 0, x.under).peak)
			}
			if z := choice[l].border(x.over); !math.IsInf(z, 0) {
				out[k].hi = min(out[k].hi, z-profiles.in(l, 0, x.over).peak)
			}
		}
	}
	return out
}

// abreast tells whether for one of these plays something of the part is at the height of
// a box wherever in it the part's middle is.
func (s *seen) abreast(plays []span, box Rect, x axis) bool {
	top, bottom := peakOf(s.borders[x.over]), -peakOf(s.borders[x.under])
	return slices.ContainsFunc(plays, func(play span) bool {
		low, high := box.border(x.under)-play.lo, box.border(x.over)-play.hi
		return low < high && low < top && high > bottom
	})
}

// rectOf returns where b is across the depth.
func rectOf(b *r3.Box) Rect { return Rect{b.Min.X, b.Max.X, b.Min.Z, b.Max.Z} }

// reachOf returns how far the part goes past b. It takes what room it needs of the hull's.
func (m *Hull) reachOf(p *seen, b *r3.Box, x axis) reach {
	at := rectOf(b)
	r := reach{box: b, from: at.border(x.less), to: at.border(x.more)}
	if n := p.most(); cap(m.left) < n {
		m.points = make([]point, 32*n)
		m.left = m.points
	}
	r.less, m.left = p.profile(x.less, b.Min.Y, b.Max.Y, m.left)
	r.more, m.left = p.profile(x.more, b.Min.Y, b.Max.Y, m.left)
	return r
}

// An aside is a box past which no way leads on one side or the other at some depths,
// between borders of holes: noLess and noMore are the depths at which there is no room.
type aside struct {
	reach
	noLess, noMore span
}

// past returns the depths at which a choice of holes leaves no room beside a box to a side.
func (r *reach) past(profiles *profiles, choice []Rect, side int) span {
	no := noSpan
	for l := range choice {
		h := choice[l].border(side)
		switch own := profiles.in(l, 0, side); {
		case math.IsInf(h, 0):
		case side == sideX0 || side == sideZ0:
			no = no.longer(over(own, r.more, r.from-h+margin))
		default:
			no = no.longer(over(r.less, own, h-r.to+margin))
		}
	}
	return no
}

// between returns the depths at which there is no room for the part that cannot pass a
// on the side of less nor b on that of more.
func between(a, b *aside) span {
	s := a.noLess.meet(b.noMore)
	if s.lo < s.hi && a.box != b.box {
		s = s.meet(over(a.less, b.more, b.from-a.to+margin))
	}
	return s
}

// besides adds to each choice's list the depths of bands that may be at which boxes leave
// nothing free for the main part, looked for in so many pieces of depths, and tells whether
// there are such.
func (m *Hull) besides(lists [][]span, profiles *profiles, choices [][]Rect, bands []band, pieces int) (some bool) {
	if len(m.Boxes) == 0 {
		return false
	}
	p := &profiles.parts[0]
	m.left = m.points
	for _, x := range axes {
		reaches := m.reaches(p, profiles, choices, bands, x)
		for k := range choices {
			more := m.beside(p, profiles, choices[k], bands, reaches, x, pieces)
			lists[k], some = append(lists[k], more...), some || len(more) > 0
		}
	}
	return some
}

// How many boxes are looked at that leave no room on a side, and how many pairs of them.
const (
	mostAsides = 4
	mostPairs  = 6
)

// Into how many pieces the depths of a pair are divided, at each of which the part's
// middle has less play in height than at all of them: for what is to be shown, and for
// what only tells where to look more closely.
const (
	toShow = 4
	toTell = 1
)

// beside returns depths of bands at which boxes and a choice of holes leave nothing free.
func (m *Hull) beside(p *seen, profiles *profiles, choice []Rect, bands []band, reaches []reach, x axis, pieces int) []span {
	all := make([]aside, len(reaches))
	var less, more []longest
	for i, r := range reaches {
		all[i] = aside{r, r.past(profiles, choice, x.less), r.past(profiles, choice, x.more)}
		less, more = append(less, longest{&all[i], nil, all[i].noLess}), append(more, longest{nil, &all[i], all[i].noMore})
	}
	var pairs []longest
	for i := range all {
		pairs = append(pairs, longest{&all[i], &all[i], between(&all[i], &all[i])})
	}
	less, more = first(less, mostAsides), first(more, mostAsides)
	for _, l := range less {
		for _, m := range more {
			if l.a != m.b {
				pairs = append(pairs, longest{l.a, m.b, between(l.a, m.b)})
			}
		}
	}
	shut := func(q longest, s span, of func([]float64) float64) span {
		left := m.left
		out := m.surely(q.a, q.b, p, profiles, choice, x, profiles.play(choice, x, s, of), s)
		m.left = left
		return out
	}
	var out []span
	looked := 0
	for _, q := range first(pairs, len(pairs)) {
		for _, d := range bands {
			s := q.meet(span{d.y0, d.y1})
			if d.kind != maybe || !(s.lo < s.hi) || together([][]span{out}, s.lo) >= s.hi {
				continue
			}
			if looked++; looked > mostPairs {
				return out
			}
			known := len(out)
			if pieces > 1 {
				if shut(q, s, slices.Max).empty() { // not even with the least play
					continue
				}
				if free := shut(q, s, slices.Min); free == s { // even with the most
					out = append(out, free)
					m.shuts(q.a.box, q.b.box)
					continue
				}
			}
			from := s.lo
			for i := range pieces {
				to := s.hi
				if i < pieces-1 {
					to = s.lo + (s.hi-s.lo)*float64(i+1)/float64(pieces)
				}
				if free := shut(q, span{from, to}, slices.Min); free.lo < free.hi {
					out = append(out, free)
				}
				from = to
			}
			if len(out) > known {
				m.shuts(q.a.box, q.b.box)
			}
		}
	}
	return out
}

// longest is one aside or two, by the depths at which they may matter.
type longest struct {
	a, b *aside
	span
}

// first returns the most that have the longest depths, if any.
func first(items []longest, most int) []longest {
	items = slices.DeleteFunc(items, func(p longest) bool { return !(p.lo < p.hi) })
	slices.SortStableFunc(items, func(a, b longest) int { return cmp.Compare(b.hi-b.lo, a.hi-a.lo) })
	return items[:min(len(items), most)]
}

// play returns the heights that a choice of holes leaves the main part's middle at depths
// s. Of what a profile comes to there it reckons with the least, for play that is nowhere
// more, or with the most, for play that is nowhere less.
func (p *profiles) play(choice []Rect, x axis, s span, of func([]float64) float64) span {
	out := span{math.Inf(-1), math.Inf(1)}
	goes := func(l, side int) float64 {
		line := p.in(l, 0, side).line
		p.goes = append(p.goes[:0], at(line, s.lo), at(line, s.hi))
		for _, q := range line {
			if s.lo < q.y && q.y < s.hi {
				p.goes = append(p.goes, q.e)
			}
		}
		return of(p.goes)
	}
	for l := range choice {
		if z := choice[l].border(x.under); !math.IsInf(z, 0) {
			out.lo = max(out.lo, z+goes(l, x.under))
		}
		if z := choice[l].border(x.over); !math.IsInf(z, 0) {
			out.hi = min(out.hi, z-goes(l, x.over))
		}
	}
	return out
}

// surely returns of depths s, at which there is no room between the asides a and b, some
// at which that holds wherever in this play the part is.
func (m *Hull) surely(a, b *aside, p *seen, profiles *profiles, choice []Rect, x axis, play, s span) span {
	heights := func(b *r3.Box) (from, to float64) {
		at := rectOf(b)
		return at.border(x.under) - play.lo + margin, at.border(x.over) - play.hi - margin
	}
	from, to := heights(a.box)
	part, ok := m.level(p.turnedPart, x, from, to)
	if !ok {
		return noSpan
	}
	c := aside{reach: m.reachOf(part, a.box, x)}
	if c.noLess = c.past(profiles, choice, x.less); b == a {
		c.noMore = c.past(profiles, choice, x.more)
		return between(&c, &c).meet(s)
	}
	if before := c.noLess.meet(s); !(before.lo < before.hi) {
		return noSpan
	}
	if f, t := heights(b.box); f != from || t != to { // leaves of a door are as tall
		if part, ok = m.level(p.turnedPart, x, f, t); !ok {
			return noSpan
		}
	}
	d := aside{reach: m.reachOf(part, b.box, x)}
	d.noMore = d.past(profiles, choice, x.more)
	return between(&c, &d).meet(s)
}

// leveled is what surely is of a part between two heights, with room for the next one.
type leveled struct {
	part    turnedPart
	seen    seen
	heights []float64
	points  [2][]point
}

// level returns what surely is of a part between two heights, about its middle, or
// between two places to the sides, across axis x. It holds until it is called again.
func (m *Hull) level(p *turnedPart, x axis, low, high float64) (*seen, bool) {
	if !(low < high) {
		return nil, false
	}
	v := &m.leveled
	z := func(p r3.Vec) float64 { return outward(x.over, p.X, p.Z) }
	core := p.border()
	heights := resized(v.heights, len(core))
	for i, c := range core {
		heights[i] = z(c)
	}
	ps := v.points[0][:0]
	add := func(p r3.Vec) { ps = append(ps, point{p.Y, outward(x.more, p.X, p.Z)}) }
	for i, c := range core {
		to := low
		switch {
		case heights[i] > high:
			to = high
		case heights[i] >= low:
			add(c)
			continue
		}
		for k, w := range core { // the line to what is on the other side
			if (heights[k] < to) != (heights[i] < to) && heights[k] != heights[i] {
				add(r3.Add(c, r3.Scale((to-heights[i])/(heights[k]-heights[i]), r3.Sub(w, c))))
			}
		}
	}
	v.heights, v.points[0] = heights, ps
	if len(ps) == 0 {
		return nil, false
	}
	v.part = turnedPart{part: p.part, swing: p.swing, middle: p.middle, play: p.play, corners: append(v.part.corners[:0], p.corners...)}
	for i := range v.part.corners {
		c := &v.part.corners[i]
		at, off := z(r3.Sub(c.at, p.middle)), outward(x.over, c.own.X, c.own.Z)
		if at-off < low || at+off > high {
			c.out, c.in = true, [2]span{noSpan, noSpan}
		}
	}
	inOrder(ps)
	v.points[1] = append(v.points[1][:0], ps...)
	s := &v.seen
	s.turnedPart = &v.part
	for side := range s.edges {
		s.edges[side].known = false
	}
	s.borders[x.more] = upper(v.points[1])
	for i := range ps {
		ps[i].e = -ps[i].e
	}
	s.borders[x.less] = upper(ps)
	return s, true
}

// border returns those points of the core that are at the corners of one of its outlines.
func (p *turnedPart) border() []r3.Vec {
	if p.rim == nil {
		x, z := p.outlines()
		for _, v := range p.core {
			if slices.Contains(x, point{v.Y, v.X}) || slices.Contains(z, point{v.Y, v.Z}) {
				p.rim = append(p.rim, v)
			}
		}
	}
	return p.rim
}
