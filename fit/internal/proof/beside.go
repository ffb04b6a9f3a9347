package proof

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A heading is a direction across the depth with the one against it, and the two of the
// other axis.
type heading struct {
	more, less, over, under int
}

var headings = [2]heading{{0, 1, 2, 3}, {2, 3, 0, 1}}

// side returns where r ends in a direction.
func (r Rect) side(direction int) float64 {
	return [directions]float64{r.X1, r.X0, r.Z1, r.Z0}[direction]
}

// rectOf returns where b is across the depth.
func rectOf(b *r3.Box) Rect { return Rect{b.Min.X, b.Max.X, b.Min.Z, b.Max.Z} }

// standing is a box that the main part has to pass on one side: how far that goes there
// in both directions at least, at both ends of a band, and on which side there is no
// room.
type standing struct {
	known          bool
	from, to       float64
	more, less     reaches
	noMore, noLess bool
}

// passages are bands past the boxes along both headings.
type passages [len(headings)]passage

// passage is a band past the boxes along a heading, in holes; what of it takes long is found
// once it is asked for.
type passage struct {
	*checker
	known   bool
	bounded bool // else nothing bounds the heights
	holes   []Rect
	y0, y1  float64
	h       heading

	// low and high are the least and the greatest height of the part's middle.
	low, high float64
	// border is how far the part goes to both sides in each layer.
	border [][2]reaches
	// levels are of what surely is of the part between two heights about its middle; boxes
	// of one thing are often as high. whole and part are the boxes to the whole part and to
	// what is of it at their height.
	levels      []leveled
	whole, part []standing
	seen        [2]places // past a box, of what is at a level
}

// reaches is how far something goes at both ends of a band.
type reaches [2]float64

// leveled is what is of the part between two heights about its middle, if any is.
type leveled struct {
	low, high float64
	turned    turned
	any       bool
}

// passage returns the band along a heading.
func (c *checker) passage(heading int, holes []Rect, y0, y1 float64) *passage {
	p := &c.past[heading]
	if p.known {
		return p
	}
	h := headings[heading]
	*p = passage{
		checker: c, known: true, holes: holes, y0: y0, y1: y1, h: h, low: math.Inf(-1), high: math.Inf(1),
		border: p.border[:0], levels: p.levels[:0], whole: p.whole, part: p.part, seen: p.seen,
	}
	for l, hole := range holes {
		if z := hole.side(h.under); !math.IsInf(z, 0) {
			e := p.ends(l, h.under)
			p.low = max(p.low, z+min(e[0], e[1]))
		}
		if z := hole.side(h.over); !math.IsInf(z, 0) {
			e := p.ends(l, h.over)
			p.high = min(p.high, z-min(e[0], e[1]))
		}
	}
	p.bounded = !math.IsInf(p.low, 0) && !math.IsInf(p.high, 0)
	if !p.bounded {
		return p
	}
	for l := range holes {
		p.border = append(p.border, [2]reaches{p.ends(l, h.more), p.ends(l, h.less)})
	}
	if p.whole == nil {
		p.whole, p.part = make([]standing, len(c.room.Boxes)), make([]standing, len(c.room.Boxes))
	}
	for i := range p.whole {
		p.whole[i].known, p.part[i].known = false, false
	}
	return p
}

// ends returns how far the main part goes in a direction in a layer.
func (p *passage) ends(layer, direction int) reaches {
	return p.at(p.profiles.of(layer, 0, direction))
}

func (p *passage) at(line interface{ at(y float64) float64 }) reaches {
	return reaches{line.at(p.y0), line.at(p.y1)}
}

// heights returns between which heights about the middle all is at the height of box i.
func (p *passage) heights(i int) (low, high float64) {
	r := rectOf(&p.room.Boxes[i])
	return r.side(p.h.under) - p.low - give, r.side(p.h.over) - p.high + give
}

// stand makes s what box i is to a part that goes so far past it.
func (p *passage) stand(s *standing, i int, more, less reaches) {
	r := rectOf(&p.room.Boxes[i])
	s.from, s.to = r.side(p.h.less), r.side(p.h.more)
	s.more, s.less = more, less
	for l, hole := range p.holes {
		s.noLess = s.noLess || meet(p.border[l][1], s.more, s.from-hole.side(p.h.less))
		s.noMore = s.noMore || meet(s.less, p.border[l][0], hole.side(p.h.more)-s.to)
	}
}

// toWhole returns what box i is to the whole part, nothing where no point of that is sure
// to be at its height.
func (p *passage) toWhole(i int) *standing {
	s := &p.whole[i]
	if !s.known {
		*s = standing{known: true}
		if low, high := p.heights(i); low < high {
			p.stand(s, i, p.at(p.profiles.past(i, p.h.more)), p.at(p.profiles.past(i, p.h.less)))
		}
	}
	return s
}

// toLevel returns what box i is to what is surely of the part at its height.
func (p *passage) toLevel(i int) *standing {
	s := &p.part[i]
	if !s.known {
		*s = standing{known: true}
		if at := p.level(p.heights(i)); at.any {
			b := &p.room.Boxes[i]
			l0, l1 := b.Min.Y-give, b.Max.Y+give
			p.seen[0] = at.turned.profile(p.h.more, l0, l1, p.seen[0][:0])
			p.seen[1] = at.turned.profile(p.h.less, l0, l1, p.seen[1][:0])
			p.stand(s, i, p.at(p.seen[0]), p.at(p.seen[1]))
		}
	}
	return s
}

// level returns what is of the part between two heights about its middle.
func (p *passage) level(low, high float64) *leveled {
	for i := range p.levels {
		if l := &p.levels[i]; l.low == low && l.high == high {
			return l
		}
	}
	if len(p.levels) < cap(p.levels) {
		p.levels = p.levels[:len(p.levels)+1] // with what it was written to
	} else {
		p.levels = append(p.levels, leveled{})
	}
	l := &p.levels[len(p.levels)-1]
	l.low, l.high = low, high
	l.any = p.now[0].level(&l.turned, p.h.over, low, high)
	return l
}

// shut tells whether no way leads before box i and past box j.
func (p *passage) shut(i, j int) bool {
	apart := func(a, b *standing) bool {
		return a.noLess && b.noMore && (i == j || meet(a.less, b.more, b.from-a.to))
	}
	// What more of the part does not show a piece of it does not.
	return p.bounded && apart(p.toWhole(i), p.toWhole(j)) && apart(p.toLevel(i), p.toLevel(j))
}

// A pair is two boxes, or one twice, past which no way led along a heading.
type pair struct{ heading, i, j int }

// beside tells whether boxes leave nothing free for the main part in holes, at any turn
// of the leaf looked at and any depth from y0 to y1.
//
// The holes leave the part's middle a range of heights. A point of the part that is
// above its middle by less than the box's top is above the highest of them, and by more
// than its bottom above the lowest, is at the height of the box wherever the middle is.
// All that the part has there, in the depths of the box, is convex: so it is either
// before the box, to the one side, or past it. Each way that ends in a border too near
// is none. What is at both ends of the band is in between, as all of it is concave.
func (c *checker) beside(holes []Rect, y0, y1 float64) bool {
	for k := range headings {
		for i := range c.room.Boxes {
			for j := range c.room.Boxes {
				if q := (pair{k, i, j}); c.blocked(q, holes, y0, y1) {
					c.pairs = c.pairs.with(q)
					return true
				}
			}
		}
	}
	return false
}

// blocked tells whether a pair leaves nothing free.
func (c *checker) blocked(q pair, holes []Rect, y0, y1 float64) bool {
	return c.passage(q.heading, holes, y0, y1).shut(q.i, q.j)
}

// meet tells whether what goes so far in one direction and so far in the other has no
// room within a width, at both ends of a band. Where there is nothing it goes −Inf.
func meet(a, b reaches, width float64) bool {
	return !math.IsInf(width, 0) && a[0]+b[0] >= width+give && a[1]+b[1] >= width+give
}

// level makes out what surely is of the part between two heights in a direction, about its
// middle, and tells whether anything is.
func (t *turned) level(out *turned, over int, low, high float64) bool {
	if !(low < high) {
		return false
	}
	t.core()
	w, up := &out.gated, towards[over]
	w.cut[0] = w.upTo(t.border(), up, high, w.cut[0][:0])
	out.points = w.upTo(w.cut[0], r3.Scale(-1, up), -low, out.points[:0])
	out.part, out.swing, out.middle, out.play, out.cored = t.part, t.swing, t.middle, t.play, true
	for d := range directions {
		out.lines[d], out.passed[d].known = out.lines[d][:0], false
	}
	for axis := range out.owns {
		out.owns[axis] = append(out.owns[axis][:0], t.own(2*axis)...)
	}
	out.corners = out.corners[:0]
	for n, k := range t.corners {
		at, off := dot(r3.Sub(k.at, t.middle), up), t.own(over)[n]
		if at-off < low || at+off > high {
			k.out, k.before, k.behind = true, math.Inf(-1), math.Inf(1)
		}
		out.corners = append(out.corners, k)
	}
	return len(out.points) > 0
}

// border returns those of the points that the others do not lie between as far as is known.
func (t *turned) border() []r3.Vec {
	if len(t.rim) == 0 {
		for _, v := range t.points {
			if t.sticksOut(v) {
				t.rim = append(t.rim, v)
			}
		}
	}
	return t.rim
}
