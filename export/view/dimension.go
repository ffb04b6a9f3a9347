package view

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// A side of a drawing, where lines of measure are lined up.
type sideOf int

const (
	above sideOf = iota
	below
	leftOf
	rightOf
)

// upright reports whether lines of measure on this side run up and down.
func (d sideOf) upright() bool { return d == leftOf || d == rightOf }

// A measure is a dimension of a drawing along its horizontal or vertical.
type measure struct {
	mark scene.Mark
	side sideOf
	// level counts the lines outward from the drawing, from 0.
	level int
}

// measures picks the marks that a drawing seen by cam shows in true length along
// one of its axes, and gives each the side of the drawing it is nearer to.
// Marks that say the same of the same points are kept once.
func measures(cam camera, marks []scene.Mark, outline rect) []measure {
	var out []measure
	seen := map[[5]int64]bool{}
	for _, m := range marks {
		a, b := cam.px(m.From), cam.px(m.To)
		d := b.sub(a)
		true3 := r3.Norm(r3.Sub(m.To, m.From)) * cam.scale
		if !(true3 > 0) {
			continue
		}
		var side sideOf
		c := mid(a, b)
		var key [5]int64
		grain := func(v float64) int64 { return int64(math.Round(v / cam.scale * 100)) }
		switch {
		case math.Abs(d.x) > 0.999*true3:
			side = above
			if outline.y1-c.y < c.y-outline.y0 {
				side = below
			}
			key = [5]int64{int64(side), grain(min(a.x, b.x)), grain(max(a.x, b.x))}
		case math.Abs(d.y) > 0.999*true3:
			side = leftOf
			if outline.x1-c.x < c.x-outline.x0 {
				side = rightOf
			}
			key = [5]int64{int64(side), grain(min(a.y, b.y)), grain(max(a.y, b.y))}
		default:
			continue
		}
		if !seen[key] {
			seen[key] = true
			out = append(out, measure{mark: m, side: side})
		}
	}
	return out
}

// A span is what a line of measure takes up along its level, text included.
type span struct{ a, b, lo, hi, text float64 }

// span returns what m takes up under cam: a to b between its ends, text the
// middle of its text. Text without room between the ends goes to the right or
// above, or to the other side where it would leave outline, at whose corners
// the lines of two sides meet.
func (s *sheet) span(cam camera, m measure, outline rect) span {
	p, q := cam.px(m.mark.From), cam.px(m.mark.To)
	a, b, lo, hi := p.x, q.x, outline.x0, outline.x1
	if m.side.upright() {
		a, b, lo, hi = p.y, q.y, outline.y0, outline.y1
	}
	a, b = min(a, b), max(a, b)
	w, tail := s.width(m.mark.Label, typeface{false, sizeLabel})+10*s.unit, 34*s.unit
	before := span{a, b, a - tail - w, b + tail, a - tail - w/2}
	after := span{a, b, a - tail, b + tail + w, b + tail + w/2}
	switch first, second := after.hi <= hi, before.lo >= lo; {
	case b-a >= w+8*s.unit:
		return span{a, b, a, b, (a + b) / 2}
	case m.side.upright() && (second || !first):
		return before
	case m.side.upright() || first || !second:
		return after
	}
	return before
}

// levels puts every measure on the nearest level with room for it, the short
// ones inside, and returns how many levels each side has.
func (s *sheet) levels(cam camera, ms []measure, outline rect) (n [4]int) {
	order := make([]int, len(ms))
	spans := make([]span, len(ms))
	for i := range ms {
		order[i] = i
		spans[i] = s.span(cam, ms[i], outline)
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Or(
			cmp.Compare(math.Round(spans[i].b-spans[i].a), math.Round(spans[j].b-spans[j].a)),
			cmp.Compare(spans[i].a, spans[j].a))
	})
	gap := 6 * s.unit
	used := map[[2]int][]span{}
	for _, i := range order {
		for level := 0; ; level++ {
			k := [2]int{int(ms[i].side), level}
			room := !slices.ContainsFunc(used[k], func(o span) bool {
				return spans[i].lo < o.hi+gap && o.lo < spans[i].hi+gap
			})
			// What it encloses lies nearer to the drawing.
			for above := level; room && above < n[ms[i].side]; above++ {
				room = !slices.ContainsFunc(used[[2]int{int(ms[i].side), above}], func(o span) bool {
					return o.a >= spans[i].a && o.b <= spans[i].b && o.b-o.a < spans[i].b-spans[i].a-1
				})
			}
			if room {
				ms[i].level = level
				used[k] = append(used[k], spans[i])
				n[ms[i].side] = max(n[ms[i].side], level+1)
				break
			}
		}
	}
	return n
}

// apart is how far one level is from the next, first how far the first is from
// the drawing, in px for the default picture.
const (
	apart = 37.0
	first = 44.0
)

// margin returns the room that n levels take.
func (s *sheet) margin(n int) float64 {
	if n == 0 {
		return 30 * s.unit
	}
	return (first + apart*float64(n-1) + 34) * s.unit
}

// dimensioned fits pts into frame with room for the measures of marks and
// returns camera and measures. Lines of measure take at most about a third of
// the frame on each side. A mark without room on the side it is nearer to goes to
// the other; where that is full as well it is left out and counted. The first
// marks have the first choice.
func (s *sheet) dimensioned(cam camera, pts []r3.Vec, frame rect, marks []scene.Mark) (camera, []measure, int) {
	cam = cam.fit(pts, frame, 0, 0, 0, 0)
	all := measures(cam, marks, cam.extent(pts))
	most := [4]int{}
	for side := range most {
		room := frame.h()
		if sideOf(side).upright() {
			room = frame.w()
		}
		most[side] = max(4, int((0.3*room/s.unit-first-34)/apart)+1)
	}
	other := [4]sideOf{above: below, below: above, leftOf: rightOf, rightOf: leftOf}
	var ms []measure
	// Text takes a share of the line that depends on the scale, and the scale
	// depends on how many lines there are.
	for range 4 {
		ms = nil
		var n [4]int
		for _, m := range all {
			for _, side := range []sideOf{m.side, other[m.side]} {
				m.side = side
				more := append(slices.Clone(ms), m)
				if k := s.levels(cam, more, cam.extent(pts)); k[side] <= most[side] {
					ms, n = more, k
					break
				}
			}
		}
		cam = cam.fit(pts, frame, s.margin(n[leftOf]), s.margin(n[above]), s.margin(n[rightOf]), s.margin(n[below]))
	}
	// At the scale that came out.
	s.levels(cam, ms, cam.extent(pts))
	return cam, ms, len(all) - len(ms)
}

// dimensions draws measures round outline and reserves their room.
func (s *sheet) dimensions(cam camera, ms []measure, outline rect, p *placer) {
	face := typeface{false, sizeLabel}
	type written struct {
		r    rect
		m    measure
		turn bool
	}
	var texts []written
	for _, m := range ms {
		sp := s.span(cam, m, outline)
		off := (first + apart*float64(m.level)) * s.unit
		// at maps a place along the line and one out from the drawing to paper.
		var at func(u, v float64) point
		var foot func(q point) float64 // how far out a point already lies
		switch m.side {
		case above:
			at = func(u, v float64) point { return point{u, outline.y0 - v} }
			foot = func(q point) float64 { return outline.y0 - q.y }
		case below:
			at = func(u, v float64) point { return point{u, outline.y1 + v} }
			foot = func(q point) float64 { return q.y - outline.y1 }
		case leftOf:
			at = func(u, v float64) point { return point{outline.x0 - v, u} }
			foot = func(q point) float64 { return outline.x0 - q.x }
		case rightOf:
			at = func(u, v float64) point { return point{outline.x1 + v, u} }
			foot = func(q point) float64 { return q.x - outline.x1 }
		}
		for _, end := range []r3.Vec{m.mark.From, m.mark.To} {
			q := cam.px(end)
			u := q.x
			if m.side.upright() {
				u = q.y
			}
			s.line(at(u, foot(q)+4*s.unit), at(u, off+7*s.unit), 0.8, soft)
		}
		s.measured(at(sp.a, off), at(sp.b, off))
		if sp.text < sp.a || sp.text > sp.b {
			// The line goes on under its text.
			far := sp.hi
			from := sp.b
			if sp.text < sp.a {
				far, from = sp.lo, sp.a
			}
			s.line(at(from, off), at(far, off), 1.1, ink)
		}
		w, h := s.width(m.mark.Label, face)+6*s.unit, s.height(face)
		c := at(sp.text, off)
		if m.side.upright() {
			texts = append(texts, written{rect{c.x - h - 1*s.unit, c.y - w/2, c.x - 1*s.unit, c.y + w/2}, m, true})
		} else {
			texts = append(texts, written{rect{c.x - w/2, c.y - h - 1*s.unit, c.x + w/2, c.y - 1*s.unit}, m, false})
		}
		p.take(rect{
			min(at(sp.lo, off).x, at(sp.hi, off).x), min(at(sp.lo, off).y, at(sp.hi, off).y),
			max(at(sp.lo, off).x, at(sp.hi, off).x), max(at(sp.lo, off).y, at(sp.hi, off).y),
		}.grow(3 * s.unit))
	}
	for _, t := range texts {
		s.fill(paper, 0.9, corners(t.r))
		if t.turn {
			s.upright(t.r, t.m.mark.Label, face, ink)
		} else {
			s.textIn(t.r, t.m.mark.Label, face, ink)
		}
		p.take(t.r)
	}
}

// measured draws a line of measure with its arrows, inside where there is room
// and pointing in from outside where there is not.
func (s *sheet) measured(a, b point) {
	d := b.sub(a)
	if d.norm() < 1e-9 {
		return
	}
	dir := d.unit()
	if d.norm() >= 44*s.unit {
		s.line(a, b, 1.1, ink)
		s.arrow(a, dir.scale(-1), ink)
		s.arrow(b, dir, ink)
		return
	}
	tail := dir.scale(30 * s.unit)
	s.line(a.sub(tail), a, 1.1, ink)
	s.line(b, b.add(tail), 1.1, ink)
	s.line(a, b, 1.1, ink)
	s.arrow(a, dir, ink)
	s.arrow(b, dir.scale(-1), ink)
}
