package proof

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// turned is what is known of a part over all turns of a cell, about the
// reference point. What takes long to find is found once it is asked for; what it is
// written to is kept from cell to cell.
type turned struct {
	part         *part
	swing        *swing
	room         *Room
	middle, play r3.Vec
	corners      []corner
	most         [directions]float64 // how far these go from the middle, at the middle of the cell
	owns         [2][]float64        // how far off each is about the middle of its part, along x and z
	// low and high are depths that it surely has: those of corners, and once there is a core,
	// those of that. The cell's middle has none below least or above greatest.
	low, high, least, greatest float64

	// The core, about the middle, is the hull of points, which are in the part at every turn.
	cored    bool
	points   []r3.Vec
	normals  []r3.Vec
	smallest float64 // by what the corners are scaled at least to be in it
	deeper   order
	lines    [directions]chain // its borders
	rim      []r3.Vec          // what border returns
	outline  [directions]chain // of a hull that holds the part at every turn
	passed   [directions]passed
	gated    gated
}

// corner is a corner of the part at the middle of the cell.
type corner struct {
	at   r3.Vec
	rise float64 // how far off its depth may be
	// out tells that it may be outside, by a gate, but with the reference point no deeper
	// than before, or at least as deep as behind.
	out            bool
	before, behind float64
}

// set makes t what is known of p, and surely is inside of the gates of a room, if it has some.
func (t *turned) set(p *part, s *swing, room *Room) {
	t.part, t.swing, t.room, t.cored = p, s, room, false
	t.middle = s.turn(p.middle)
	t.play = s.play(t.middle)
	t.corners, t.rim = t.corners[:0], t.rim[:0]
	for _, v := range p.verts {
		at := s.turn(v)
		t.corners = append(t.corners, corner{at: at, rise: s.sway(at, r3.Vec{Y: 1})})
	}
	for axis := range t.owns {
		t.owns[axis] = t.owns[axis][:0]
	}
	for d := range directions {
		t.lines[d], t.outline[d], t.passed[d].known = t.lines[d][:0], t.outline[d][:0], false
	}
	if len(room.Gates) > 0 { // which tell by the core what corners are out
		t.addCore()
		room.outside(t)
	}
	t.low, t.high, t.least, t.greatest = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	t.most = [directions]float64{}
	for i := range t.corners {
		k := &t.corners[i]
		for d, e := range along(r3.Sub(k.at, t.middle)) {
			t.most[d] = max(t.most[d], e)
		}
		t.least, t.greatest = min(t.least, k.at.Y), max(t.greatest, k.at.Y)
		if !k.out {
			t.low, t.high = min(t.low, k.at.Y+k.rise), max(t.high, k.at.Y-k.rise)
		}
	}
	if t.cored {
		t.span()
	}
}

// past tells whether the part surely goes past a depth, about the reference point.
func (t *turned) past(y float64) bool {
	if t.high <= y && t.greatest > y {
		t.core()
	}
	return t.high > y
}

// before tells whether the part surely has less than a depth.
func (t *turned) before(y float64) bool {
	if t.low >= y && t.least < y {
		t.core()
	}
	return t.low < y
}

// core finds the core, if it is not yet known.
func (t *turned) core() {
	if !t.cored {
		t.addCore()
		t.span()
	}
}

// span adds the depths that the core has.
func (t *turned) span() {
	for _, v := range t.points {
		t.low = min(t.low, v.Y+t.middle.Y+t.play.Y)
		t.high = max(t.high, v.Y+t.middle.Y-t.play.Y)
	}
}

func (t *turned) addCore() {
	p, s := t.part, t.swing
	t.cored = true
	t.normals = t.normals[:0]
	for i := range p.faces {
		t.normals = append(t.normals, s.turn(p.faces[i].n))
	}
	t.points, t.smallest = t.points[:0], 1
	for i := range p.rays {
		r := &p.rays[i]
		v := s.turn(r.to)
		scale := 1.0
		// The point at scale is in the part at every turn where every reverse of
		// one, from the middle, leaves it behind every face.
		for _, f := range r.facing {
			h := p.faces[f.face].h
			if b := s.toward(t.normals[f.face], v, f, r.length, h/scale); b*scale > h {
				scale = h / b
			}
		}
		t.points = append(t.points, r3.Scale(scale, v))
		if i < len(p.verts) { // a corner
			t.smallest = min(t.smallest, scale)
		}
	}
	for _, v := range p.ball {
		if t.sticksOut(v) {
			t.points = append(t.points, v)
		}
	}
	if len(t.room.Gates) > 0 {
		t.points = t.room.inside(t)
		t.smallest = 0 // corners may be beyond
	}
}

// sticksOut tells whether a point lies outside the part made smaller by as much as its
// corners are at most: else it lies between what is left of the corners.
func (t *turned) sticksOut(v r3.Vec) bool {
	const all = 1 - 1e-9 // of the corners, whatever rounding does
	for i, n := range t.normals {
		if dot(n, v) >= all*t.smallest*t.part.faces[i].h {
			return true
		}
	}
	return false
}

// line returns the border of the core in a direction, about the middle.
func (t *turned) line(direction int) chain {
	t.core()
	c := &t.lines[direction]
	if len(*c) == 0 {
		for _, i := range t.deeper.sort(t.points, r3.Vec{Y: 1}) {
			*c = c.with(place{t.points[i].Y, dot(t.points[i], towards[direction])})
		}
	}
	return *c
}

// outer returns the border of a hull that holds the part at every turn.
func (t *turned) outer(direction int) chain {
	c := &t.outline[direction]
	if len(*c) == 0 {
		axis := towards[direction&^1]
		var spots places
		for i := range t.corners {
			k := &t.corners[i]
			e := dot(k.at, towards[direction]) + t.swing.sway(k.at, axis)
			spots = spots.with(k.at.Y-k.rise, e)
			spots = spots.with(k.at.Y+k.rise, e)
		}
		spots.sort()
		for _, s := range spots {
			*c = c.with(s)
		}
	}
	return *c
}

// own returns how far off corners may be about the middle of the part in a direction.
func (t *turned) own(direction int) []float64 {
	o := &t.owns[direction/2]
	if len(*o) == 0 {
		for i := range t.corners {
			*o = append(*o, t.swing.sway(r3.Sub(t.corners[i].at, t.middle), towards[direction&^1]))
		}
	}
	return *o
}

// goes returns how far from the middle of the part a corner goes in a direction, at least.
func (t *turned) goes(n, direction int) float64 {
	return dot(r3.Sub(t.corners[n].at, t.middle), towards[direction]) - t.own(direction)[n]
}

// reach returns how far from the reference point, in each direction, the part
// surely goes within the slab from l0 to l1, at every turn of the cell and every
// depth from y0 to y1. Seen from its middle the slab takes a range of places, and
// how far a concave border goes within a window is concave in where the window
// is: so the first and the last place decide.
func (t *turned) reach(l0, l1, y0, y1 float64) [directions]float64 {
	first, last := y1+t.middle.Y+t.play.Y, y0+t.middle.Y-t.play.Y
	far := along(t.middle)
	for d, by := range [directions]float64{t.play.X, t.play.X, t.play.Z, t.play.Z} {
		c := t.line(d)
		far[d] += min(c.farthest(l0-first, l1-first), c.farthest(l0-last, l1-last)) - by
	}
	for i := range t.corners {
		k := &t.corners[i]
		if k.out || y0+k.at.Y-k.rise < l0 || y1+k.at.Y+k.rise > l1 {
			continue
		}
		x, z := t.swing.sway(k.at, r3.Vec{X: 1}), t.swing.sway(k.at, r3.Vec{Z: 1})
		far[0] = max(far[0], k.at.X-x)
		far[1] = max(far[1], -k.at.X-x)
		far[2] = max(far[2], k.at.Z-z)
		far[3] = max(far[3], -k.at.Z-z)
	}
	return far
}

// profile adds to out how far from its middle the part surely goes in a direction within
// the slab from l0 to l1, at every turn of the cell, over the depth of the reference
// point. How far a convex part goes within a slab is concave over its depth, as long
// as any of it is in the slab: so what holds at some depths holds between them on
// straight lines.
func (t *turned) profile(direction int, l0, l1 float64, out places) places {
	const beyond = 2 * Greatest
	l0, l1 = max(l0, -beyond), min(l1, beyond)
	line := t.line(direction)
	top := line.top()
	// While the slab begins at a corner of the border before the farthest, and while it ends
	// at one behind, that corner is how far it goes; wherever the middle is, within its play,
	// the less of both ends of the play holds. From one such depth to the next both are
	// straight, the one rising, the other falling: the most that surely holds is where
	// they come to the same.
	room := l1 - l0
	type step struct{ y, early, late float64 } // the middle as far before as it may be, or behind
	var last step
	begins, ends := len(line)-1, min(top, len(line)-1) // the corners to come, which are less and less deep
	for first := true; begins >= top || ends >= 0; first = false {
		const none = math.MaxFloat64
		b, e := none, none
		if begins >= top {
			b = l0 - line[begins].y - t.middle.Y + t.play.Y
		}
		if ends >= 0 {
			e = l1 - line[ends].y - t.middle.Y - t.play.Y
		}
		var s step
		if b <= e {
			to := l1 - b - t.middle.Y - t.play.Y
			s = step{b, line[begins].e, line.within(to-room, to, top)}
			begins--
		} else {
			from := l0 - e - t.middle.Y + t.play.Y
			s = step{e, line.within(from, from+room, top), line[ends].e}
			ends--
		}
		if p, q := last.late-last.early, s.early-s.late; !first && p > 0 && q > 0 && !math.IsInf(p+q, 1) {
			out = out.with(last.y+(s.y-last.y)*(p/(p+q)), last.early+(s.early-last.early)*(p/(p+q)))
		}
		out = out.with(s.y, min(s.early, s.late))
		last = s
	}
	for i := range t.corners {
		k := &t.corners[i]
		first, last := l0-k.at.Y+k.rise, l1-k.at.Y-k.rise
		if k.out || first > last {
			continue
		}
		e := t.goes(i, direction)
		out = out.with(first, e)
		out = out.with(last, e)
	}
	for _, g := range t.passing(direction) {
		for _, l := range [2]float64{l0, l1} {
			out = out.with(l-g.from, g.slope*g.from+g.least)
			out = out.with(l-g.past, g.slope*g.past+g.least)
		}
	}
	return out
}

// passes is what an edge keeps to that passes every plane across the depth from one
// depth to another, about the reference point, at every turn: there it goes slope for
// each of depth and least in a direction, from the middle of its part.
type passes struct{ from, past, slope, least float64 }

// passed is what edges pass in a direction, once it is known.
type passed struct {
	known bool
	edges []passes
}

// passing returns what edges of the part pass. An edge goes at least as far as the line
// through what both its ends keep to, whatever slope that has.
func (t *turned) passing(direction int) []passes {
	out := &t.passed[direction]
	if out.known {
		return out.edges
	}
	to := towards[direction]
	out.known, out.edges = true, out.edges[:0]
	for _, e := range t.part.edges {
		a, b := &t.corners[e[0]], &t.corners[e[1]]
		if a.at.Y > b.at.Y {
			a, b = b, a
		}
		g := passes{from: a.at.Y + a.rise, past: b.at.Y - b.rise}
		if a.out || b.out || g.from >= g.past {
			continue
		}
		g.slope = dot(r3.Sub(b.at, a.at), to) / (b.at.Y - a.at.Y)
		g.least = min(
			t.swing.leans(r3.Sub(a.at, t.middle), a.at, to, g.slope),
			t.swing.leans(r3.Sub(b.at, t.middle), b.at, to, g.slope),
		)
		out.edges = append(out.edges, g)
	}
	return out.edges
}
