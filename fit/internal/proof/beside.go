package proof

import (
	"math"

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
	t := &c.now[0]
	for _, h := range headings {
		ends := func(layer, direction int) [2]float64 {
			line := profiles.of(layer, 0, direction)
			return [2]float64{line.farthest(y0, y0), line.farthest(y1, y1)}
		}
		low, high := math.Inf(-1), math.Inf(1) // of the middle
		for l, hole := range holes {
			if z := hole.side(h.under); !math.IsInf(z, 0) {
				e := ends(l, h.under)
				low = max(low, z+min(e[0], e[1]))
			}
			if z := hole.side(h.over); !math.IsInf(z, 0) {
				e := ends(l, h.over)
				high = min(high, z-min(e[0], e[1]))
			}
		}
		if math.IsInf(low, 0) || math.IsInf(high, 0) {
			continue
		}
		// past returns what box i is to a part that goes so far past it.
		past := func(i int, more, less *chain) standing {
			b := &c.room.Boxes[i]
			r := rectOf(b)
			s := standing{from: r.side(h.less), to: r.side(h.more)}
			s.more = [2]float64{more.farthest(y0, y0), more.farthest(y1, y1)}
			s.less = [2]float64{less.farthest(y0, y0), less.farthest(y1, y1)}
			for l, hole := range holes {
				s.noLess = s.noLess || meet(ends(l, h.less), s.more, s.from-hole.side(h.less))
				s.noMore = s.noMore || meet(s.less, ends(l, h.more), hole.side(h.more)-s.to)
			}
			return s
		}
		// apart tells whether no way leads before a and past b.
		apart := func(a, b *standing) bool {
			return a.noLess && b.noMore && (a == b || meet(a.less, b.more, b.from-a.to))
		}
		// The heights about the middle at which all is at the height of box i.
		heights := func(i int) [2]float64 {
			r := rectOf(&c.room.Boxes[i])
			return [2]float64{r.side(h.under) - low - give, r.side(h.over) - high + give}
		}
		var at []int // boxes that anything can be at the height of
		for i := range c.room.Boxes {
			if z := heights(i); z[0] < z[1] {
				at = append(at, i)
			}
		}
		whole, held := make([]standing, len(at)), make([]*standing, len(at))
		for k, i := range at {
			b := &c.room.Boxes[i]
			whole[k] = past(i, profiles.past(b, i, h.more), profiles.past(b, i, h.less))
		}
		levels := map[[2]float64]*turned{} // boxes of one thing are often as high
		hold := func(k int) *standing {
			if held[k] == nil {
				held[k] = &standing{}
				z := heights(at[k])
				p, known := levels[z]
				if !known {
					if q, ok := t.level(h.up, z[0], z[1]); ok {
						p = &q
					}
					levels[z] = p
				}
				if p != nil {
					b := &c.room.Boxes[at[k]]
					more, less := p.profile(h.more, b.Min.Y-give, b.Max.Y+give), p.profile(h.less, b.Min.Y-give, b.Max.Y+give)
					*held[k] = past(at[k], &more, &less)
				}
			}
			return held[k]
		}
		for i := range whole {
			for j := range whole {
				// What more of the part does not show a piece of it does not.
				if apart(&whole[i], &whole[j]) && apart(hold(i), hold(j)) {
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
		k.out = k.out || at-off < low || at+off > high
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
