package proof

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A heading is a direction across the depth with the one against it, and the two of the
// other axis.
type heading struct {
	more, less, over, under int
	up                      r3.Vec // toward over
}

var headings = [2]heading{{0, 1, 2, 3, r3.Vec{Z: 1}}, {2, 3, 0, 1, r3.Vec{X: 1}}}

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
	from, to       float64
	more, less     [2]float64
	noMore, noLess bool
}

// passage is a band past the boxes along a heading, in holes.
type passage struct {
	*checker
	profiles *profiles
	holes    []Rect
	y0, y1   float64
	h        heading

	// low and high are the least and the greatest height of the part's middle.
	low, high float64
	// levels are of what surely is of the part between two heights about its middle; boxes
	// of one thing are often as high. whole and held are the boxes to the whole part and to
	// what is of it at their height: each once asked for.
	levels      map[[2]float64]*turned
	whole, held []*standing
}

// newPassage returns the band along a heading; ok is false where nothing bounds the
// heights.
func (c *checker) newPassage(profiles *profiles, holes []Rect, y0, y1 float64, h heading) (p passage, ok bool) {
	p = passage{checker: c, profiles: profiles, holes: holes, y0: y0, y1: y1, h: h, low: math.Inf(-1), high: math.Inf(1)}
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
	p.levels = map[[2]float64]*turned{}
	p.whole, p.held = make([]*standing, len(c.room.Boxes)), make([]*standing, len(c.room.Boxes))
	return p, !math.IsInf(p.low, 0) && !math.IsInf(p.high, 0)
}

// ends returns how far the main part goes in a direction in a layer, at both ends of the
// band.
func (p *passage) ends(layer, direction int) [2]float64 {
	line := p.profiles.of(layer, 0, direction)
	return [2]float64{line.farthest(p.y0, p.y0), line.farthest(p.y1, p.y1)}
}

// heights returns between which heights about the middle all is at the height of box i.
func (p *passage) heights(i int) [2]float64 {
	r := rectOf(&p.room.Boxes[i])
	return [2]float64{r.side(p.h.under) - p.low - give, r.side(p.h.over) - p.high + give}
}

// past returns what box i is to a part that goes so far past it.
func (p *passage) past(i int, more, less *chain) *standing {
	r := rectOf(&p.room.Boxes[i])
	s := &standing{from: r.side(p.h.less), to: r.side(p.h.more)}
	s.more = [2]float64{more.farthest(p.y0, p.y0), more.farthest(p.y1, p.y1)}
	s.less = [2]float64{less.farthest(p.y0, p.y0), less.farthest(p.y1, p.y1)}
	for l, hole := range p.holes {
		s.noLess = s.noLess || meet(p.ends(l, p.h.less), s.more, s.from-hole.side(p.h.less))
		s.noMore = s.noMore || meet(s.less, p.ends(l, p.h.more), hole.side(p.h.more)-s.to)
	}
	return s
}

// toWhole returns what box i is to the whole part, nothing where no point of that is sure
// to be at its height.
func (p *passage) toWhole(i int) *standing {
	if p.whole[i] == nil {
		p.whole[i] = &standing{}
		if z := p.heights(i); z[0] < z[1] {
			b := &p.room.Boxes[i]
			p.whole[i] = p.past(i, p.profiles.past(b, i, p.h.more), p.profiles.past(b, i, p.h.less))
		}
	}
	return p.whole[i]
}

// toLevel returns what box i is to what is surely of the part at its height.
func (p *passage) toLevel(i int) *standing {
	if p.held[i] == nil {
		p.held[i] = &standing{}
		z := p.heights(i)
		at, known := p.levels[z]
		if !known {
			if q, ok := p.now[0].level(p.h.up, z[0], z[1]); ok {
				at = &q
			}
			p.levels[z] = at
		}
		if at != nil {
			b := &p.room.Boxes[i]
			more, less := at.profile(p.h.more, b.Min.Y-give, b.Max.Y+give), at.profile(p.h.less, b.Min.Y-give, b.Max.Y+give)
			p.held[i] = p.past(i, &more, &less)
		}
	}
	return p.held[i]
}

// shut tells whether no way leads before box i and past box j.
func (p *passage) shut(i, j int) bool {
	apart := func(a, b *standing) bool {
		return a.noLess && b.noMore && (i == j || meet(a.less, b.more, b.from-a.to))
	}
	// What more of the part does not show a piece of it does not.
	return apart(p.toWhole(i), p.toWhole(j)) && apart(p.toLevel(i), p.toLevel(j))
}

// A pair is two boxes, or one twice, past which no way led along a heading.
type pair struct{ heading, i, j int }

// mostPairs is how many pairs that shut a band are kept, to be looked at first: they are
// much the same from band to band.
const mostPairs = 16

// beside tells whether boxes leave nothing free for the main part in holes, at any turn
// of the leaf looked at and any depth from y0 to y1.
//
// The holes leave the part's middle a range of heights. A point of the part that is
// above its middle by less than the box's top is above the highest of them, and by more
// than its bottom above the lowest, is at the height of the box wherever the middle is.
// All that the part has there, in the depths of the box, is convex: so it is either
// before the box, to the one side, or past it. Each way that ends in a border too near
// is none. What is at both ends of the band is in between, as all of it is concave.
func (c *checker) beside(profiles *profiles, holes []Rect, y0, y1 float64) bool {
	if len(c.room.Boxes) == 0 {
		return false
	}
	var ps [len(headings)]passage
	var bounded [len(headings)]bool
	for k, h := range headings {
		ps[k], bounded[k] = c.newPassage(profiles, holes, y0, y1, h)
	}
	for n, q := range c.pairs {
		if bounded[q.heading] && ps[q.heading].shut(q.i, q.j) {
			copy(c.pairs[1:n+1], c.pairs[:n])
			c.pairs[0] = q
			return true
		}
	}
	for k := range headings {
		for i := range c.room.Boxes {
			for j := range c.room.Boxes {
				if bounded[k] && ps[k].shut(i, j) {
					c.pairs = slices.Insert(c.pairs, 0, pair{k, i, j})
					c.pairs = c.pairs[:min(len(c.pairs), mostPairs)]
					return true
				}
			}
		}
	}
	return false
}

// meet tells whether what goes so far in one direction and so far in the other has no
// room within a width, at both ends of a band. Where there is nothing it goes −Inf.
func meet(a, b [2]float64, width float64) bool {
	return !math.IsInf(width, 0) && a[0]+b[0] >= width+give && a[1]+b[1] >= width+give
}

// level returns what surely is of the part between two heights along up, about its
// middle.
func (t *turned) level(up r3.Vec, low, high float64) (out turned, ok bool) {
	if !(low < high) {
		return out, false
	}
	ps := upTo(upTo(t.border(), up, high), r3.Scale(-1, up), -low)
	out = turned{middle: t.middle, play: t.play, part: t.part, swing: t.swing}
	for _, k := range t.corners {
		at, off := dot(r3.Sub(k.at, t.middle), up), math.Abs(dot(k.own, up))
		if at-off < low || at+off > high {
			k.out, k.before, k.behind = true, math.Inf(-1), math.Inf(1)
		}
		out.corners = append(out.corners, k)
	}
	for _, v := range ps {
		out.spots = append(out.spots, spot{v.Y, along(v)})
	}
	out.chains(&out.core)
	return out, len(ps) > 0
}

// border returns those of the points that lie outside the part made smaller by as much as
// its corners are at most: all else lies between what is left of the corners.
func (t *turned) border() []r3.Vec {
	if t.rim != nil {
		return t.rim
	}
	const all = 1 - 1e-9 // of the corners, whatever rounding does
	for _, v := range t.points {
		for i, n := range t.normals {
			if dot(n, v) >= all*t.smallest*t.part.faces[i].h {
				t.rim = append(t.rim, v)
				break
			}
		}
	}
	return t.rim
}
