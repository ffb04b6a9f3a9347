package reach

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// contact is how near 0 room counts as touching, in mm.
const contact = 1e-3

// Room to spare is measured up to this, in mm; above it nobody needs to know more.
const plenty = 25.0

// Search for a posture: a grid of points of the opening to aim at, then ever
// smaller steps from the best few.
const (
	aimsAcross, aimsUp = 9, 7
	rolls              = 4
	eased              = 4
	firstStep          = 0.12 // of the hole
	lastStep           = 0.01
)

// A posture is an arm that was found and what was shown of it.
type posture struct {
	arm
	world *world
	path  solid.Path // of hand and forearm, to where they are
	room  room
	bent  bool // the elbow is bent
	over  bool // it came in along one line and turned down to the place
	kneel bool
	other *posture // of the other hand; nil for one hand
}

// better reports whether p is a better answer than q.
func (p *posture) better(q *posture) bool {
	return q == nil || min(p.room.beyond, plenty) > min(q.room.beyond, plenty)
}

// A seeker looks for a posture at one place through one opening.
type seeker struct {
	*world
	person *person
	place  scene.Place
	grasp  grasp
	point  r3.Vec
	// more are solids that are there besides: the other arm.
	more []solid.Solid
}

func (k *seeker) touched(p scene.Part) bool { return on(k.place, p) }

func (k *seeker) untouched(p scene.Part) bool { return !on(k.place, p) }

// A seek looks for the best verified posture of one hand; nil where it finds none.
type seek func(*seeker, context.Context) *posture

// straightIn looks for a posture into which hand and forearm come along their
// own axis.
func (k *seeker) straightIn(ctx context.Context) *posture {
	var best *posture
	found := k.aims(k.point, aimsAcross, aimsUp, eased)
	for i := 0; i < len(found) && ctx.Err() == nil; i++ {
		h := k.ease(found[i])
		if h.room.free < -contact {
			continue
		}
		if p := k.complete(h); p != nil && p.better(best) {
			best = p
		}
		if best != nil && best.room.beyond >= plenty {
			break
		}
	}
	return best
}

// A held is hand and forearm on a straight way in.
type held struct {
	arm
	aim  [2]float64 // the point of the hole the axis goes through, 0 to 1 each way
	room room
}

// aims returns so many of the straight ways to a point that aim at a grid of points
// of the hole, the best first.
func (k *seeker) aims(point r3.Vec, across, up, most int) []held {
	var out []held
	worst := -2 * plenty // nothing below this is worth easing
	for i := range across {
		for j := range up {
			aim := [2]float64{(float64(i) + 0.5) / float64(across), (float64(j) + 0.5) / float64(up)}
			h, ok := k.hold(point, aim, -1, worst)
			if !ok {
				continue
			}
			at, _ := slices.BinarySearchFunc(out, h, func(a, b held) int {
				if a.room.beyond >= b.room.beyond {
					return -1 // the first of equals stays the first
				}
				return 1
			})
			out = slices.Insert(out, at, h)
			if len(out) > most {
				out = out[:most]
			}
			if len(out) == most {
				worst = out[most-1].room.beyond
			}
		}
	}
	return out
}

// hold returns the straight way through an aim, with the best roll of the hand
// where roll is negative; false where it has less room than enough.
func (k *seeker) hold(point r3.Vec, aim [2]float64, roll, enough float64) (held, bool) {
	axis := r3.Sub(k.target(aim), point)
	if l := r3.Norm(axis); l > 1e-6 {
		axis = r3.Scale(1/l, axis)
	} else {
		axis = k.out
	}
	if r3.Dot(axis, k.out) < 0.05 {
		return held{}, false
	}
	best, ok := held{}, false
	n := rolls
	if k.grasp.round || roll >= 0 {
		n = 1
	}
	for i := range n {
		turn := max(roll, float64(i)*math.Pi/rolls)
		a := k.person.hold(k.grasp, point, axis, turn, k.travel(point, axis))
		least := enough
		if ok {
			least = best.room.beyond
		}
		r := k.straight(&a, least)
		if r.beyond >= least && (!ok || r.beyond > best.room.beyond) {
			best, ok = held{a, aim, r}, true
			enough = max(enough, r.beyond)
		}
	}
	return best, ok
}

// target is the point of the hole at fractions of its width and height, in the
// cabinet's outside face.
func (k *seeker) target(aim [2]float64) r3.Vec {
	h := solid.Box(k.opening.Hole)
	c := h.Centroid()
	across, up, deep := solid.Extent(h, k.right), solid.Extent(h, k.up), solid.Extent(h, k.out)
	return r3.Add(c, r3.Add(r3.Scale((aim[0]-0.5)*across, k.right),
		r3.Add(r3.Scale((aim[1]-0.5)*up, k.up), r3.Scale(deep/2, k.out))))
}

// travel returns how far a hand at the point comes along the axis from outside.
func (w *world) travel(point, axis r3.Vec) float64 {
	const far = 1e4
	return far * leaves(w.zone, point, r3.Add(point, r3.Scale(far, axis)))
}

// straight returns the room about hand and forearm where they are and along the
// straight way there: it is what the hand leaves behind it, since the forearm
// grows thicker from the wrist on.
func (k *seeker) straight(a *arm, enough float64) room {
	r := k.still(a, enough)
	if r.beyond < enough {
		return r
	}
	return r.and(k.behind(a, enough))
}

// behind returns the room along the straight way there.
func (k *seeker) behind(a *arm, enough float64) room {
	r := allFree
	for _, s := range a.comes {
		if r = r.and(k.about(s, enough, nil)); r.beyond < enough {
			break
		}
	}
	return r
}

// still returns the room about hand and forearm where they are.
func (k *seeker) still(a *arm, enough float64) room {
	r := allFree
	for _, s := range a.hand {
		if r = r.and(k.about(s, enough, k.touched)); r.beyond < enough {
			return r
		}
	}
	for _, s := range a.fore {
		if r.beyond < enough {
			return r
		}
		r = r.and(k.about(s, enough, nil))
	}
	if r.beyond < enough {
		return r
	}
	r = r.and(k.about(a.palm, enough, k.untouched))
	for _, m := range k.more {
		for _, s := range a.lower() {
			d := solid.Distance(s, m).Low
			r = r.and(room{d, d, nil})
		}
	}
	return r
}

// ease moves the aim and the roll in ever smaller steps to where there is more
// room.
func (k *seeker) ease(h held) held { return k.easeTo(h, plenty) }

// easeTo is ease that stops where there is enough.
func (k *seeker) easeTo(h held, enough float64) held {
	for step := firstStep; step >= lastStep && h.room.beyond < enough; {
		moved := false
		for _, d := range [6][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
			if d[2] != 0 && k.grasp.round {
				continue
			}
			aim := [2]float64{h.aim[0] + step*d[0], h.aim[1] + step*d[1]}
			roll := math.Mod(h.roll+2*step*d[2]+math.Pi, math.Pi)
			if n, ok := k.hold(h.point, aim, roll, h.room.beyond+1e-6); ok {
				h, moved = n, true
				break
			}
		}
		if !moved {
			step /= 2
		}
	}
	return h
}

// complete adds the upper arm and the person, and verifies the whole.
func (k *seeker) complete(h held) *posture {
	path := solid.Path{Ref: h.point, Poses: []solid.Pose{
		{Turn: solid.Rest.Turn, Shift: r3.Scale(k.travel(h.point, h.axis)+h.lead, h.axis)}, solid.Rest,
	}}
	return k.finish(h.arm, path, h.room)
}

// finish adds to hand and forearm, that come along path and have at most so
// much room, an upper arm and a person outside, and verifies all of it.
func (k *seeker) finish(a arm, path solid.Path, most room) *posture {
	return k.finishWith(k.uppers(a, most), &a, path, most)
}

// uppers returns an arm with each upper arm that has room where it is, and a person
// outside. Where the elbow is outside, and bends as it likes, that is as many as it
// takes for one that is not what there is least room for, if the rest has as much as
// most.
func (k *seeker) uppers(a arm, most room) []posture {
	var out []posture
	face := r3.Dot(k.target([2]float64{0.5, 0.5}), k.out)
	inside := holds(k.outside, a.elbow)
	for i, toward := range k.directions(a.along) {
		b := k.person.raise(a, toward)
		if r3.Dot(b.shoulder, k.out) < face-contact {
			continue
		}
		r := k.upperRoom(&b, 0)
		if r.free < -contact {
			continue
		}
		kneel, fits := k.stands(&b)
		if !fits {
			continue
		}
		out = append(out, posture{arm: b, world: k.world, room: r, bent: i > 0, kneel: kneel})
		if !inside && min(r.beyond, plenty) >= min(most.beyond, plenty) {
			break
		}
	}
	return out
}

// finishWith is finish with upper arms that have room where hand and forearm end.
func (k *seeker) finishWith(uppers []posture, a *arm, path solid.Path, most room) *posture {
	if len(uppers) == 0 {
		return nil
	}
	shown, ok := k.verified(a, path, most.free)
	if !ok {
		return nil
	}
	shown = shown.and(most)
	if shown.free < -contact {
		return nil
	}
	uppers = slices.Clone(uppers)
	slices.SortStableFunc(uppers, func(a, b posture) int {
		return cmp.Compare(min(b.room.beyond, shown.beyond), min(a.room.beyond, shown.beyond))
	})
	var best *posture
	for i := range uppers {
		p := &uppers[i]
		p.path = path
		// Outside the elbow bends as it likes.
		if holds(k.outside, p.elbow) {
			p.room = p.room.and(k.follows(&p.arm, path))
		}
		p.room = p.room.and(shown)
		if p.room.free >= -contact && p.better(best) {
			best = p
		}
		if best != nil && best.room.beyond >= min(0, shown.beyond) {
			break
		}
	}
	return best
}

// directions returns where the upper arm may go from the elbow: straight on
// first, then round the way out.
func (k *seeker) directions(axis r3.Vec) []r3.Vec {
	const sharpest = 140 * math.Pi / 180 // an elbow bends no further: from memory
	out := []r3.Vec{axis}
	for _, tilt := range []float64{0, 12.5, 25, 37.5, 50, 62.5, 75} {
		for turn := 0.0; turn < 360; turn += 45 {
			st, ct := math.Sincos(tilt * math.Pi / 180)
			sa, ca := math.Sincos(turn * math.Pi / 180)
			d := r3.Add(r3.Scale(ct, k.out), r3.Add(r3.Scale(st*ca, k.up), r3.Scale(st*sa, k.right)))
			if r3.Dot(d, axis) >= math.Cos(sharpest) {
				out = append(out, d)
			}
			if tilt == 0 {
				break
			}
		}
	}
	return out
}

// upperRoom returns the room about the upper arm.
func (k *seeker) upperRoom(a *arm, enough float64) room {
	r := allFree
	for _, s := range a.upper {
		r = r.and(k.about(s, min(enough, -contact), nil))
		if r.free < -contact {
			return r
		}
		for _, m := range k.more {
			d := solid.Distance(s, m).Low
			r = r.and(room{d, d, nil})
		}
	}
	return r
}

// verified proves how much room hand and forearm keep along the path; more than
// enough is not told apart.
func (k *seeker) verified(a *arm, path solid.Path, enough float64) (room, bool) {
	var all, others, touched []solid.Solid
	var tapes, touchedTapes float64
	tapes = math.Inf(-1)
	touchedTapes = math.Inf(-1)
	for i := range k.obstacles {
		o := &k.obstacles[i]
		all = append(all, o.Solid)
		if k.touched(o.Part) {
			touched, touchedTapes = append(touched, o.Solid), max(touchedTapes, o.tape)
		} else {
			others = append(others, o.Solid)
		}
		tapes = max(tapes, o.tape)
	}
	all, others = append(all, k.more...), append(others, k.more...)
	r := allFree
	shut, open := a.split(path)
	for _, c := range []struct {
		body   []solid.Solid
		path   *solid.Path
		others []solid.Solid
		tape   float64
	}{
		{a.shut, shut, others, tapes},
		{a.hand, open, others, tapes},
		{a.fore, &path, all, tapes},
		{[]solid.Solid{a.palm}, &path, touched, touchedTapes},
	} {
		if c.path == nil {
			continue
		}
		m, err := verify.Measure(c.body, *c.path, c.others, min(enough, plenty)+c.tape)
		if err != nil {
			return r, false
		}
		if len(c.others) > 0 {
			r = r.and(room{m.Low - c.tape, m.Low, nil})
		}
	}
	return r, true
}
