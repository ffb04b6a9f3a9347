package space

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A profile bounds from below how far a convex part goes to one side within a slab of
// depths, at every turn of a cell, over the depth y of the reference point: a
// concave line by its corners in ascending y. Before the first and past the last
// nothing is known. How far a convex part goes within a slab is concave over y as
// long as it is in the slab at all; so what is known of some depths holds for all
// between them, on the straight line from one to the next.
type profile struct {
	line []point
	peak float64 // its greatest value, −Inf where nothing is known
}

// profileOf returns the profile along a line.
func profileOf(line []point) profile {
	p := profile{line, math.Inf(-1)}
	for _, q := range line {
		p.peak = max(p.peak, q.e)
	}
	return p
}

// peakOf returns the greatest value of a concave line.
func peakOf(line []point) float64 { return profileOf(line).peak }

// far stands for infinite depths.
const far = 1e6

// Sides to which a part goes.
const (
	sideX0, sideX1, sideZ0, sideZ1 = 0, 1, 2, 3
	sides                          = 4
)

// directions are those of the sides.
var directions = [sides]r3.Vec{sideX0: {X: -1}, sideX1: {X: 1}, sideZ0: {Z: -1}, sideZ1: {Z: 1}}

// upper returns the upper border of the convex hull of points that are in ascending y.
func upper(ps []point) []point {
	h := ps[:0]
	for _, p := range ps {
		if n := len(h); n > 0 && h[n-1].y == p.y {
			if p.e <= h[n-1].e {
				continue
			}
			h = h[:n-1]
		}
		for len(h) >= 2 {
			a, b := h[len(h)-2], h[len(h)-1]
			if (b.e-a.e)*(p.y-a.y) > (p.e-a.e)*(b.y-a.y) {
				break
			}
			h = h[:len(h)-1]
		}
		h = append(h, p)
	}
	return h
}

// value returns the value of a concave line at y; ok is false where it has none.
func value(line []point, y float64) (e float64, ok bool) {
	n := len(line)
	if n == 0 || y < line[0].y || y > line[n-1].y {
		return 0, false
	}
	for i := 1; i < n; i++ {
		if y <= line[i].y {
			p, q := line[i-1], line[i]
			return p.e + (q.e-p.e)*((y-p.y)/(q.y-p.y)), true
		}
	}
	return line[n-1].e, true
}

// at returns the value of a concave line at y, −Inf where it has none.
func at(line []point, y float64) float64 {
	if e, ok := value(line, y); ok {
		return e
	}
	return math.Inf(-1)
}

// bothEnds is how far a part goes at a depth with its middle at either end of its play.
type bothEnds struct{ y, rising, falling float64 }

// seen is a part of a turned body with its borders.
type seen struct {
	*turnedPart
	borders [sides][]point // about middle, of the core
	peaks   [sides]float64 // how far the part goes from its middle, at most
	edges   [sides]edges

	points []point // room for the borders
}

// edges are what edges reach to a side, once asked for.
type edges struct {
	lines []line
	known bool
}

// see makes s a part, in place of what it was.
func (s *seen) see(p *turnedPart) {
	s.turnedPart = p
	n := len(p.core)
	s.points = resized(s.points, sides*n)
	for side := range sides {
		line := s.points[side*n:][:n]
		most := math.Inf(-1)
		for i, v := range p.core {
			line[i] = point{v.Y, outward(side, v.X, v.Z)}
			most = max(most, line[i].e)
		}
		s.borders[side] = upper(line)
		for i := range p.corners {
			c := &p.corners[i]
			most = max(most, outward(side, c.at.X-p.middle.X, c.at.Z-p.middle.Z))
		}
		s.peaks[side] = most
		s.edges[side].known = false
	}
}

// A line is what is surely reached by an edge of the part that goes through a plane
// across the depth: from lo to hi about the reference point it does, at every turn, and
// then goes e and slope for each of depth to the side, from the middle of the part.
type line struct{ lo, hi, slope, e float64 }

// lines returns what edges reach to a side.
func (s *seen) lines(side int) []line {
	if s.edges[side].known {
		return s.edges[side].lines
	}
	d := directions[side]
	out := s.edges[side].lines[:0]
	between := s.part.edges
	if len(s.corners) == 0 {
		between = nil // of whose ends nothing is known
	}
	for _, ends := range between {
		v, w := &s.corners[ends[0]], &s.corners[ends[1]]
		if v.at.Y > w.at.Y {
			v, w = w, v
		}
		g := line{lo: v.at.Y + v.play.Y, hi: w.at.Y - w.play.Y}
		if v.out || w.out || g.lo >= g.hi {
			continue
		}
		// What an end goes beyond a line of this slope the edge goes in proportion.
		g.slope = r3.Dot(r3.Sub(w.at, v.at), d) / (w.at.Y - v.at.Y)
		g.e = min(s.swing.least(v.at, s.middle, d, g.slope), s.swing.least(w.at, s.middle, d, g.slope))
		out = append(out, g)
	}
	s.edges[side] = edges{out, true}
	return out
}

// outward returns the coordinate of a vector to a side, with its sign.
func outward(side int, x, z float64) float64 {
	switch side {
	case sideX0:
		return -x
	case sideX1:
		return x
	case sideZ0:
		return -z
	}
	return z
}

// across returns the coordinate of a vector that a side is about.
func across(side int, v r3.Vec) float64 {
	if side == sideZ0 || side == sideZ1 {
		return v.Z
	}
	return v.X
}

// apartTo returns by how much the middle of a is farther to a side than that of b, at
// least.
func apartTo(side int, a, b *seen) float64 {
	if a.turnedPart == b.turnedPart {
		return 0
	}
	return outward(side, a.middle.X-b.middle.X, a.middle.Z-b.middle.Z) - across(side, a.play) - across(side, b.play)
}

// profile returns how far the part goes to a side from its middle, within the slab from
// l0 to l1. It takes its place from room, and returns what is left of that.
func (s *seen) profile(side int, l0, l1 float64, room []point) (p profile, left []point) {
	l0, l1 = max(l0, -far), min(l1, far)
	line := s.borders[side]
	out := room[:0]
	top := 0
	for i := range line {
		if line[i].e > line[top].e {
			top = i
		}
	}
	// As the slab comes over the part it ends at one corner after the other up to the
	// farthest, and begins at those behind it as it leaves. The middle of the part may be
	// off by play: then the less of what it is at either end holds, of which the one rises
	// with depth and the other falls.
	rising := func(y float64) float64 { return at(line[top:], max(line[top].y, l0-y-s.middle.Y+s.play.Y)) }
	falling := func(y float64) float64 { return at(line[:top+1], min(line[top].y, l1-y-s.middle.Y-s.play.Y)) }
	var corners [32]bothEnds
	both := corners[:0]
	for _, p := range slices.Backward(line[min(top, len(line)):]) {
		y := l0 - p.y - s.middle.Y + s.play.Y
		both = append(both, bothEnds{y, p.e, falling(y)})
	}
	for _, p := range slices.Backward(line[:min(top+1, len(line))]) {
		y := l1 - p.y - s.middle.Y - s.play.Y
		both = append(both, bothEnds{y, rising(y), p.e})
	}
	if s.play.Y != 0 {
		for i := 1; i < len(both); i++ {
			b, j := both[i], i
			for ; j > 0 && b.y < both[j-1].y; j-- {
				both[j] = both[j-1]
			}
			both[j] = b
		}
	}
	for i, b := range both {
		if math.IsInf(min(b.rising, b.falling), -1) {
			continue
		}
		if n := len(out); n > 0 {
			a := both[i-1]
			if d, e := a.falling-a.rising, b.rising-b.falling; d > 0 && e > 0 { // they cross
				t := d / (d + e)
				out = append(out, point{a.y + t*(b.y-a.y), a.rising + t*(b.rising-a.rising)})
			}
		}
		out = append(out, point{b.y, min(b.rising, b.falling)})
	}
	out = upper(out)
	known, lowest := 0, 0.0
	settled := func() {
		if known = len(out); known > 0 {
			lowest = min(out[0].e, out[known-1].e) // between its ends
		}
	}
	settled()
	add := func(y, e float64) { // what is not below what is known
		if known > 0 && e <= lowest && y >= out[0].y && y <= out[known-1].y {
			return
		}
		if v, ok := value(out[:known], y); !ok || v < e {
			out = append(out, point{y, e})
		}
	}
	settle := func() {
		if len(out) > known {
			inOrder(out)
			out = upper(out)
			settled()
		}
	}
	for i := range s.corners {
		c := &s.corners[i]
		first, last := l0-c.at.Y+c.play.Y, l1-c.at.Y-c.play.Y
		if c.out || first > last {
			continue
		}
		e := outward(side, c.at.X-s.middle.X, c.at.Z-s.middle.Z) - across(side, c.own)
		add(first, e)
		add(last, e)
	}
	settle() // most edges are below that
	for _, g := range s.lines(side) {
		for _, l := range [2]float64{l0, l1} { // where it meets the slab's ends
			add(l-g.lo, g.slope*g.lo+g.e)
			add(l-g.hi, g.slope*g.hi+g.e)
		}
	}
	settle()
	return profileOf(slices.Clip(out)), out[len(out):]
}

// most returns how many corners profiles of the part to all sides have at most.
func (s *seen) most() int {
	n := 0
	for _, line := range s.borders {
		n += 2*len(line) + 1 + 2*len(s.corners) + 4*len(s.part.edges)
	}
	return n
}

// over returns the depths at which two profiles together surely come to more than
// width.
func over(a, b profile, width float64) span {
	if a.peak+b.peak <= width {
		return noSpan
	}
	p, q := a.line, b.line
	out := noSpan
	// Up to where they end a checker with other rounding might not have them.
	lo, hi := max(p[0].y, q[0].y)+margin, min(p[len(p)-1].y, q[len(q)-1].y)-margin
	if lo > hi {
		return noSpan
	}
	// Both are straight between corners of either.
	i, j, y := 0, 0, lo
	pass := func() { // the corners that y has come to
		for i < len(p) && p[i].y <= y {
			i++
		}
		for j < len(q) && q[j].y <= y {
			j++
		}
	}
	sum := func(y float64) float64 { return end(p[:i+1], y) + end(q[:j+1], y) - width }
	pass()
	last := sum(y)
	if last > 0 {
		out = out.with(y)
	}
	for y < hi {
		next := min(hi, p[i].y, q[j].y) // neither ends before hi
		now := sum(next)
		if (last > 0) != (now > 0) {
			out = out.with(y + (next-y)*(last/(last-now)))
		}
		if now > 0 {
			out = out.with(next)
		} else if !out.empty() || now < last {
			break // concave: it does not come back
		}
		y, last = next, now
		pass()
	}
	return out
}

// end returns the value at y, on the line through the last two corners.
func end(line []point, y float64) float64 {
	a, b := line[len(line)-2], line[len(line)-1]
	return a.e + (b.e-a.e)*((y-a.y)/(b.y-a.y))
}
