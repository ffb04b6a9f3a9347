package view

import (
	"image/color"
	"math"
	"slices"
)

// A placer finds room for labels.
type placer struct {
	area  rect
	taken []rect     // no label may touch these
	lines [][2]point // a label should keep off these
	named []rect     // and rather not lie over what another label names
}

// take reserves a rectangle.
func (p *placer) take(r rect) { p.taken = append(p.taken, r) }

// avoid asks labels to keep off a line.
func (p *placer) avoid(a, b point) { p.lines = append(p.lines, [2]point{a, b}) }

// free reports whether r lies in the area and touches nothing taken.
func (p *placer) free(r rect) bool {
	if !p.area.holds(r) {
		return false
	}
	for _, t := range p.taken {
		if t.meets(r) {
			return false
		}
	}
	return true
}

// crossed counts the lines that run through r.
func (p *placer) crossed(r rect) int {
	n := 0
	for _, l := range p.lines {
		if clips(r, l[0], l[1]) {
			n++
		}
	}
	return n
}

// near finds a free place for a label of w by h close to where t points, but no
// closer than gap; false if the area is full. Rather than on lines or on what it
// names it goes a little farther.
func (p *placer) near(t tag, w, h, gap float64) (rect, bool) {
	at := t.at
	best, cost := rect{}, math.Inf(1)
	const turns = 24
	reach := math.Hypot(p.area.w(), p.area.h())
	for step := range 60 {
		d := gap + float64(step)*h*0.4
		if d > reach || d > cost {
			break
		}
		for i := range turns {
			// From the upper right on, where a reader looks first.
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 2.5) / turns)
			m := point{at.x + cos*(d+w/2*math.Abs(cos)), at.y - sin*(d+h/2*math.Abs(sin))}
			r := rect{m.x - w/2, m.y - h/2, m.x + w/2, m.y + h/2}
			if !p.free(r) || r.has(at) {
				continue
			}
			q := nearest(r, at)
			c := q.dist(at) + 9*float64(p.crossed(r))
			for _, n := range p.named {
				if n.meets(r) {
					c += 40
				}
			}
			for _, o := range p.taken {
				if clips(o, q, at) && !o.has(at) { // the leader would run through another label
					c += 200
				}
			}
			for _, l := range p.lines {
				if cross(q, at, l[0], l[1]) {
					c += 5
				}
			}
			if c < cost {
				best, cost = r, c
			}
		}
	}
	return best, !math.IsInf(cost, 1)
}

// nearest returns the point of r nearest to p.
func nearest(r rect, p point) point {
	return point{min(max(p.x, r.x0), r.x1), min(max(p.y, r.y0), r.y1)}
}

// clips reports whether the line from a to b runs through r.
func clips(r rect, a, b point) bool {
	lo, hi := 0.0, 1.0
	d := b.sub(a)
	for _, s := range [][2]float64{{-d.x, a.x - r.x0}, {d.x, r.x1 - a.x}, {-d.y, a.y - r.y0}, {d.y, r.y1 - a.y}} {
		switch {
		case s[0] < 0:
			lo = max(lo, s[1]/s[0])
		case s[0] > 0:
			hi = min(hi, s[1]/s[0])
		case s[1] < 0:
			return false
		}
	}
	return lo < hi
}

// cross reports whether the lines a–b and c–d cross.
func cross(a, b, c, d point) bool {
	turn := func(p, q, r point) bool { return (q.x-p.x)*(r.y-p.y)-(q.y-p.y)*(r.x-p.x) > 0 }
	return turn(a, b, c) != turn(a, b, d) && turn(c, d, a) != turn(c, d, b)
}

// A tag is a name to be written at what it names.
type tag struct {
	text string
	at   point // where a leader would end
	in   rect  // extent of what is named
	// shown reports whether it is what is seen at a point.
	shown func(point) bool
	tone  color.RGBA
	bold  bool
}

// write places tags, the smallest things first, inside what they name where
// there is room and beside it with a leader otherwise. One without any room is
// left out.
func (s *sheet) write(p *placer, tags []tag) {
	dots := len(p.taken)
	for _, t := range tags {
		p.take(rect{t.at.x, t.at.y, t.at.x, t.at.y}.grow(5 * s.unit))
		p.named = append(p.named, t.in)
	}
	for i, t := range tags {
		face := typeface{t.bold, sizeLabel}
		w, h := s.width(t.text, face)+10*s.unit, s.height(face)+4*s.unit
		p.taken[dots+i] = rect{} // its own place it may cover
		if r, ok := p.inside(t, w, h); ok {
			s.plate(r)
			s.textIn(r, t.text, face, t.tone)
			p.take(r)
			continue
		}
		p.taken[dots+i] = rect{t.at.x, t.at.y, t.at.x, t.at.y}.grow(5 * s.unit)
		r, ok := p.near(t, w, h, 26*s.unit)
		if !ok {
			continue
		}
		end := nearest(r, t.at)
		s.line(end, t.at, 4, paper)
		s.line(end, t.at, 1.1, t.tone)
		s.fill(t.tone, 1, circle(t.at, 3.2*s.unit))
		s.plate(r)
		s.textIn(r, t.text, face, t.tone)
		p.take(r)
		p.avoid(end, t.at)
	}
}

// inside finds room for a label within what it names.
func (p *placer) inside(t tag, w, h float64) (rect, bool) {
	const margin = 6
	if t.in.w() < w+2*margin || t.in.h() < h+2*margin {
		return rect{}, false
	}
	m := t.in.middle()
	best, cost := rect{}, math.Inf(1)
	const steps = 8
	for i := -steps; i <= steps; i++ {
		for j := -steps; j <= steps; j++ {
			x := m.x + float64(i)/steps*(t.in.w()-w-2*margin)/2
			y := m.y + float64(j)/steps*(t.in.h()-h-2*margin)/2
			r := rect{x - w/2, y - h/2, x + w/2, y + h/2}
			c := m.dist(point{x, y}) + 30*float64(p.crossed(r))
			seen := func(q point) bool { return t.shown == nil || t.shown(q) }
			if c < cost && p.free(r) && seen(r.middle()) && !slices.ContainsFunc(corners(r), func(q point) bool { return !seen(q) }) {
				best, cost = r, c
			}
		}
	}
	return best, cost < 110
}

// plate lays paper under a label.
func (s *sheet) plate(r rect) { s.fill(paper, 0.82, corners(r)) }
