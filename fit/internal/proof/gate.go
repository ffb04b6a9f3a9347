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

// inside returns of points, in whose hull all of them are in the body at every turn,
// those of the hull that are inside of the gates, and up to what level to each side.
func (m *Room) inside(points []r3.Vec) (in []r3.Vec, levels []float64) {
	levels = make([]float64, len(m.Gates))
	for i := range m.Gates {
		g := &m.Gates[i]
		levels[i] = max(
			-g.Beyond-give,
			wide(points, g.Out, r3.Vec{Y: 1}, g.Deep-2*give, -g.Beyond-give),
			wide(points, g.Out, r3.Vec{X: g.Out.Z, Z: g.Out.X}, g.Across-2*give, -g.Beyond-give),
		)
	}
	for i := range m.Gates {
		points = upTo(points, m.Gates[i].Out, levels[i])
	}
	return points, levels
}

// upTo returns points whose hull holds what the hull of points has up to a level along
// n: those up to it, and where lines from these to others pass it.
func upTo(points []r3.Vec, n r3.Vec, level float64) []r3.Vec {
	var out, passing []r3.Vec
	for _, p := range points {
		if dot(p, n) <= level {
			out = append(out, p)
		}
	}
	for _, p := range out {
		for _, q := range points {
			if a, b := dot(p, n), dot(q, n); b > level {
				t := (level - a) / (b - a)
				passing = append(passing, r3.Add(r3.Scale(1-t, p), r3.Scale(t, q)))
			}
		}
	}
	return append(out, outermost(passing, n)...)
}

// outermost returns those of points in a plane across n that the others lie between.
func outermost(points []r3.Vec, n r3.Vec) []r3.Vec {
	a, b := r3.Vec{X: n.Y, Y: n.Z, Z: n.X}, r3.Vec{X: n.Z, Y: n.X, Z: n.Y} // n is along an axis
	slices.SortFunc(points, func(p, q r3.Vec) int {
		return cmp.Or(cmp.Compare(dot(p, a), dot(q, a)), cmp.Compare(dot(p, b), dot(q, b)))
	})
	var out []r3.Vec
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

// wide returns up to what level along out the hull of points has a size in direction
// to, from a level on; −Inf where it has not.
func wide(points []r3.Vec, out, to r3.Vec, size, from float64) float64 {
	spots := make([]spot, len(points))
	most := math.Inf(-1)
	for i, p := range points {
		h, e := dot(p, out), dot(p, to)
		spots[i] = spot{y: h, far: [directions]float64{e, -e}}
		most = max(most, h)
	}
	slices.SortFunc(spots, func(a, b spot) int { return cmp.Compare(a.y, b.y) })
	var up, down chain
	up.set(spots, 0)
	down.set(spots, 1)
	has := func(level float64) bool { return up.farthest(level, level)+down.farthest(level, level) >= size }
	if !has(from) {
		return math.Inf(-1)
	}
	// It is concave: where two levels have the size all between them have.
	yes, no := from, most
	if has(most) {
		return most
	}
	for no-yes > give {
		if m := (yes + no) / 2; has(m) {
			yes = m
		} else {
			no = m
		}
	}
	return yes
}

// beyond tells whether a corner may be past a level to the gate's side.
func (g *Gate) beyond(k *corner, level float64) bool {
	return dot(k.at, g.Out)+math.Abs(dot(k.play, g.Out)) > level
}

// outside notes which corners may be outside, where what is inside goes up to these levels,
// and with the reference point at what depths.
func (m *Room) outside(t *turned, levels []float64) {
	for at := range t.corners {
		k := &t.corners[at]
		k.before, k.behind = math.Inf(1), math.Inf(-1)
		for i, level := range levels {
			g := &m.Gates[i]
			if !g.beyond(k, level) {
				continue
			}
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
				if w := &t.corners[other]; !g.beyond(w, level) {
					before = max(before, g.Y0+give-max(k.at.Y+k.play.Y, w.at.Y+w.play.Y))
					behind = min(behind, g.Y1-give-min(k.at.Y-k.play.Y, w.at.Y-w.play.Y))
				}
			}
			k.before, k.behind = min(k.before, before), max(k.behind, behind)
		}
	}
}

// inside tells whether the corner surely is inside with the reference point at all depths
// from y0 to y1.
func (k *corner) inside(y0, y1 float64) bool {
	return !k.out || y0+k.at.Y-k.play.Y >= 0 && (y1 <= k.before || y0 >= k.behind)
}
