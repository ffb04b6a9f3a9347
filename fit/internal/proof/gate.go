package proof

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Gate is what holes a wall of the inside has to a side, as one hole that is as
// large as each at least; they do not touch each other, and reach to no edge of the wall.
// In a room with gates a way is what comes after the reference point is in the plane of
// the opening for the last time; then it stays in the cabinet.
//
// Let a point of a convex body be outside to a side, in the depths from the opening's
// plane on. The line to it from the reference point is in these depths too, and leaves
// the cabinet through a hole of a wall. So the body meets the inner face of that wall in
// the hole, and with all that it has in the face's plane: from one point of the hole to
// another beside it the line would pass the wall. The plane is nearer to the reference
// point than the point outside, and at most Beyond behind it. Hence, where what the body
// has at each level from there up to some other is larger than the hole, what it has up
// to that level is inside. As it is convex, the two ends tell.
//
// Let an edge lead from there to a corner that is beyond. If the corner were outside, the
// edge would meet the face's plane, and in the hole: so it is inside where both ends of
// the edge are deeper than all the holes go, or both less deep than they begin.
type Gate struct {
	Out          r3.Vec  // the side: ±X or ±Z
	Deep, Across float64 // sizes of the hole; infinite where there is no wall
	Beyond       float64 // from the inner face to where the cabinet ends
	Y0, Y1       float64 // the depths of the holes, from the first to the last
}

// gates checks what the gates of the room ask for.
func (c *checker) gates() error {
	if !c.room.Inward {
		if len(c.room.Gates) > 0 {
			return errors.New("gates in a room that nothing goes into")
		}
		return nil
	}
	const same = 1e-9
	if len(c.parts) != 1 || r3.Norm(c.parts[0].middle) > same {
		return errors.New("a body that is not one part round its reference point, and may reach out")
	}
	for _, g := range c.room.Gates {
		if r3.Norm(g.Out) != 1 || math.Abs(g.Out.X)+math.Abs(g.Out.Z) != 1 || !(g.Deep >= 0 && g.Across >= 0 && g.Beyond >= 0 && g.Beyond <= Greatest) {
			return errors.New("room: a gate")
		}
	}
	return nil
}

// gated is what a cut of a core at the gates is found with.
type gated struct {
	levels    []float64 // up to what level to each side what is in the core is inside
	past      []bool    // which corners may be beyond it
	out       []order   // of points, to the side of each gate
	up, down  chain
	cut       [2][]r3.Vec
	crossings []r3.Vec
}

// inside returns of the points, in whose hull all of them are in the body at every turn,
// those of the hull that are inside of the gates, and notes up to what level to each side.
func (m *Room) inside(t *turned) []r3.Vec {
	w := &t.gated
	w.levels = w.levels[:0]
	if len(w.out) != len(m.Gates) {
		w.out = make([]order, len(m.Gates))
	}
	for i := range m.Gates {
		g := &m.Gates[i]
		far := w.out[i].sort(t.points, g.Out)
		w.levels = append(w.levels, max(
			-g.Beyond-give,
			w.wide(t.points, far, g.Out, r3.Vec{Y: 1}, g.Deep-2*give, -g.Beyond-give),
			w.wide(t.points, far, g.Out, r3.Vec{X: g.Out.Z, Z: g.Out.X}, g.Across-2*give, -g.Beyond-give),
		))
	}
	points := t.points
	for i := range m.Gates {
		points = w.upTo(points, m.Gates[i].Out, w.levels[i], w.cut[i%2][:0])
		w.cut[i%2] = points
	}
	return append(t.points[:0], points...)
}

// upTo adds to out points whose hull holds what the hull of points has up to a level along
// n: those up to it, and where lines from these to others pass it.
func (w *gated) upTo(points []r3.Vec, n r3.Vec, level float64, out []r3.Vec) []r3.Vec {
	for _, p := range points {
		if dot(p, n) <= level {
			out = append(out, p)
		}
	}
	if len(out) == len(points) {
		return out
	}
	w.crossings = w.crossings[:0]
	for _, q := range points {
		b := dot(q, n)
		if b <= level {
			continue
		}
		for _, p := range out {
			t := (level - dot(p, n)) / (b - dot(p, n))
			w.crossings = append(w.crossings, r3.Add(r3.Scale(1-t, p), r3.Scale(t, q)))
		}
	}
	return outermost(w.crossings, n, out)
}

// outermost adds to out those of points in a plane across n that the others lie between,
// and puts them in an order of its own.
func outermost(points []r3.Vec, n r3.Vec, out []r3.Vec) []r3.Vec {
	a, b := r3.Vec{X: n.Y, Y: n.Z, Z: n.X}, r3.Vec{X: n.Z, Y: n.X, Z: n.Y} // n is along an axis
	points = offMiddle(points, a, b)
	slices.SortFunc(points, func(p, q r3.Vec) int {
		return cmp.Or(cmp.Compare(dot(p, a), dot(q, a)), cmp.Compare(dot(p, b), dot(q, b)))
	})
	for _, turn := range [2]float64{1, -1} { // one border, then the other
		border := len(out)
		for _, p := range points {
			for len(out)-border >= 2 {
				u, v := r3.Sub(out[len(out)-1], out[len(out)-2]), r3.Sub(p, out[len(out)-1])
				if turn*(dot(u, a)*dot(v, b)-dot(u, b)*dot(v, a)) > 0 {
					break
				}
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
	}
	return out
}

// offMiddle returns points of a plane without those between the farthest four along a and b,
// which leaves few of many.
func offMiddle(points []r3.Vec, a, b r3.Vec) []r3.Vec {
	var far [4]r3.Vec // anticlockwise
	for k, to := range [4]r3.Vec{a, b, r3.Scale(-1, a), r3.Scale(-1, b)} {
		for i, p := range points {
			if i == 0 || dot(p, to) > dot(far[k], to) {
				far[k] = p
			}
		}
	}
	return slices.DeleteFunc(points, func(p r3.Vec) bool {
		for k, q := range far {
			u, v := r3.Sub(far[(k+1)%4], q), r3.Sub(p, q)
			if dot(u, a)*dot(v, b)-dot(u, b)*dot(v, a) <= 0 {
				return false
			}
		}
		return true
	})
}

// wide returns up to what level along out the hull of points, which are in this order,
// surely has a size in direction to, from a level on; −Inf where it has not. It is less
// than it might be by less than give.
func (w *gated) wide(points []r3.Vec, order []int, out, to r3.Vec, size, from float64) float64 {
	if math.IsInf(size, 1) {
		return math.Inf(-1)
	}
	w.up, w.down = w.up[:0], w.down[:0]
	for _, i := range order {
		h, e := dot(points[i], out), dot(points[i], to)
		w.up, w.down = w.up.with(place{h, e}), w.down.with(place{h, -e})
	}
	up, down := w.up.top(), w.down.top()
	lacks := func(level float64) float64 {
		return size - w.up.within(level, level, up) - w.down.within(level, level, down)
	}
	if !(lacks(from) <= 0) {
		return math.Inf(-1)
	}
	// It is concave: where two levels have the size all between them have, and it is
	// straight from one corner to the next.
	yes, no := from, math.Inf(1)
	for _, c := range [2]chain{w.up, w.down} {
		for _, p := range c {
			switch {
			case p.y <= yes || p.y >= no:
			case lacks(p.y) <= 0:
				yes = p.y
			default:
				no = p.y
			}
		}
	}
	if math.IsInf(no, 1) {
		return yes
	}
	has, lack := -lacks(yes), lacks(no)
	return max(yes, yes+(no-yes)*(has/(has+lack))-give/2)
}

// beyond tells whether a corner may be past a level to the gate's side.
func (t *turned) beyond(g *Gate, n int, level float64) bool {
	at := t.corners[n].at
	return dot(at, g.Out)+t.swing.sway(at, g.Out) > level
}

// outside notes which corners may be outside, where what is inside goes up to these levels,
// and with the reference point at what depths.
func (m *Room) outside(t *turned) {
	for at := range t.corners {
		t.corners[at].before, t.corners[at].behind = math.Inf(1), math.Inf(-1)
	}
	for i, level := range t.gated.levels {
		g := &m.Gates[i]
		w := &t.gated
		w.past = w.past[:0]
		for at := range t.corners {
			w.past = append(w.past, t.beyond(g, at, level))
		}
		for at := range t.corners {
			if !w.past[at] {
				continue
			}
			k := &t.corners[at]
			k.out = true
			before, behind := math.Inf(-1), math.Inf(1) // by the best of its edges
			for _, e := range t.part.edges {
				other := e[0]
				switch at {
				case e[0]:
					other = e[1]
				case e[1]:
				default:
					continue
				}
				if v := &t.corners[other]; !w.past[other] {
					before = max(before, g.Y0+give-max(k.at.Y+k.rise, v.at.Y+v.rise))
					behind = min(behind, g.Y1-give-min(k.at.Y-k.rise, v.at.Y-v.rise))
				}
			}
			k.before, k.behind = min(k.before, before), max(k.behind, behind)
		}
	}
}

// inside tells whether the corner surely is inside with the reference point at all depths
// from y0 to y1.
func (k *corner) inside(y0, y1 float64) bool {
	return !k.out || y0+k.at.Y-k.rise >= 0 && (y1 <= k.before || y0 >= k.behind)
}
