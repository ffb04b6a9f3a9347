package gap

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// swings judges the turn of each leaf of an opening's door, from closed to where
// it stands open, past the fixtures and the room.
//
// Not looked at are the cabinet and the other leaf, past which a real leaf is
// fitted with a gap that no plan gives, and what is behind the back of the
// closed leaf: it turns about an edge of its front, by no more than half a turn,
// so that none of its points ever goes deeper than that.
func (c check) swings(opening int) (out []verdict.Finding) {
	s := c.s
	o := &s.Cabinet.Openings[opening]
	open := s.DoorAngle(o)
	if o.Door == nil || open <= 0 {
		return nil
	}
	obstacles := []side{{name: "room", parts: s.RoomParts(), tape: s.Tape}}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		obstacles = append(obstacles, side{name: f.Name, parts: f.Parts(), tape: f.Tape})
	}
	for _, b := range obstacles {
		worst, at := nothing(), unit.Angle(0)
		for leaf := range s.Leaves(o, 0) {
			for _, p := range b.parts {
				w := newSwing(s, o, leaf, p)
				if w.behind() {
					continue
				}
				sp, angle := w.nearest()
				if !(sp.Dist >= worst.Dist) {
					at = angle
					worst.Gap, worst.a, worst.b = sp.Gap, sp.a, sp.b
				}
				worst.Lo, worst.Hi = min(worst.Lo, sp.Lo), min(worst.Hi, sp.Hi)
			}
		}
		if worst.Dist >= Shown.MM() {
			continue
		}
		f := c.finding(worst, question{id: "gap/" + o.Name + " door/" + b.name, tape: max(o.Tape, b.tape)})
		f.Summary = c.swung(worst, open, at, f)
		for _, p := range []scene.Part{worst.a, worst.b} {
			if p.Role == scene.RoleLeaf {
				f.Instead = []scene.Part{p}
			}
		}
		out = append(out, f)
	}
	return out
}

// swung says how a leaf gets past an obstacle.
func (c check) swung(sp spare, open, at unit.Angle, f verdict.Finding) string {
	door, what := c.words(sp.a, sp.b), c.words(sp.b, sp.a)
	switch f.Verdict {
	case verdict.No:
		return fmt.Sprintf("%s cannot open to %s: it meets %s at %s", door, open, what, at)
	case verdict.Unsure:
		return fmt.Sprintf("%s may meet %s at %s on its way to %s: %s", door, what, at, open, f.Summary)
	case verdict.OK, verdict.Tight:
	}
	return fmt.Sprintf("%s opens to %s with %s to spare from %s", door, open, c.s.Units.AtLeast(unit.Length(max(0, sp.Dist))), what)
}

// A swing is the turn of one leaf past one obstacle.
type swing struct {
	s        *scene.Scene
	o        *scene.Opening
	leaf     int
	open     unit.Angle
	obstacle scene.Part
	// reach is how far the farthest point of the leaf is from the hinge edge.
	reach float64
}

func newSwing(s *scene.Scene, o *scene.Opening, leaf int, obstacle scene.Part) swing {
	w := swing{s: s, o: o, leaf: leaf, open: s.DoorAngle(o), obstacle: obstacle}
	// A point as far as r away from the edge moves by 2r·sin(θ/2).
	const turn = unit.Angle(1)
	from, to := w.at(0).Solid.Faces(), w.at(turn).Solid.Faces()
	for i, face := range from {
		for j, p := range face {
			w.reach = max(w.reach, r3.Norm(r3.Sub(to[i][j], p))/(2*math.Sin(float64(turn)/2)))
		}
	}
	return w
}

// at returns the leaf opened by an angle.
func (w *swing) at(angle unit.Angle) scene.Part { return w.s.Leaves(w.o, angle)[w.leaf] }

// behind tells whether all of the obstacle is behind the back of the closed leaf.
func (w *swing) behind() bool {
	n := map[scene.Face]r3.Vec{
		scene.Front: {Y: 1}, scene.Back: {Y: -1}, scene.Left: {X: 1}, scene.Right: {X: -1}, scene.Top: {Z: -1}, scene.Bottom: {Z: 1},
	}[w.o.Side]
	return w.open <= math.Pi && solid.Separation(w.at(0).Solid, w.obstacle.Solid, n) >= -verdict.Contact.MM()
}

// A stop is the leaf at one angle.
type stop struct {
	angle unit.Angle
	leaf  scene.Part
	solid.Gap
}

func (w *swing) stop(angle unit.Angle) stop {
	p := w.at(angle)
	return stop{angle, p, solid.Distance(p.Solid, w.obstacle.Solid)}
}

// An arc is the turn between two stops, with a lower bound of the room on it.
type arc struct {
	a, b stop
	low  float64
}

// arc bounds the room between two stops: it changes by no more than the leaf's
// farthest point moves; and along one direction a point of the leaf is nearer
// than at both ends by no more than its arc is off its chord, r(1 − cos(θ/2)).
func (w *swing) arc(a, b stop) arc {
	turn := float64(b.angle - a.angle)
	low := (a.Low + b.Low - w.reach*turn) / 2
	for _, n := range []r3.Vec{a.Normal, b.Normal} {
		ends := min(solid.Separation(a.leaf.Solid, w.obstacle.Solid, n), solid.Separation(b.leaf.Solid, w.obstacle.Solid, n))
		low = max(low, ends-w.reach*(1-math.Cos(turn/2)))
	}
	return arc{a, b, low}
}

// nearest returns the least room on the whole turn, and the angle at which the
// leaf meets the obstacle, or else is nearest.
func (w *swing) nearest() (spare, unit.Angle) {
	const arcs = 5000
	sp := nothing()
	var angle unit.Angle
	look := func(t stop) stop {
		if !(t.Dist >= sp.Dist) {
			angle = t.angle
		}
		sp = sp.and(t.leaf, w.obstacle, t.Gap)
		return t
	}
	all := []arc{w.arc(look(w.stop(0)), look(w.stop(w.open)))}
	least := 0
	for len(all) < arcs {
		for i := range all {
			if !(all[i].low >= all[least].low) {
				least = i
			}
		}
		enough := verdict.Resolution.MM()
		if math.Abs(sp.Dist) <= 2*enough {
			enough = verdict.Contact.MM() / 2 // to tell contact
		}
		if worst := all[least]; worst.low >= min(Shown.MM(), sp.Dist-enough) || math.IsNaN(worst.low) {
			break
		}
		a, b := all[least].a, all[least].b
		m := look(w.stop((a.angle + b.angle) / 2))
		all[least] = w.arc(a, m)
		all = append(all, w.arc(m, b))
	}
	for i := range all {
		sp.Lo = min(sp.Lo, unit.Length(all[i].low))
	}
	if sp.Dist < 0 {
		angle = w.meets()
	}
	return sp, angle
}

// meets returns the angle at which a leaf that does not get past the obstacle
// first comes to it: it may turn on as far as it has room.
func (w *swing) meets() unit.Angle {
	const steps = 1000
	var angle unit.Angle
	for range steps {
		room := w.stop(angle).Dist
		if room <= verdict.Contact.MM() || angle >= w.open {
			break
		}
		angle += unit.Angle(room / w.reach)
	}
	return min(angle, w.open)
}
