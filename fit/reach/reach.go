// Package reach says whether a hand gets to the places it must get to.
//
// An ok or tight rests on one posture of hand, forearm and upper arm, the
// shoulder outside, that keeps clear of everything, and on the way of that arm
// into it, both verified; trunk and head have room outside. The wrist is straight;
// where nothing is found so, and no proof that there is nothing, it is bent. A no rests on one of
// four proofs: the hand alone has no room at the place; every way out of the
// cabinet is longer than the arm; balls inside hand and arm, growing from the
// palm on, get nowhere; forearm and upper arm, each straight, cannot lie so that the
// shoulder is outside. All else is unsure.
//
// Unless the plan gives a hand, "anyone" is asked for: what passes is as large as
// a man's of the 95th percentile, what reaches as short as a woman's of the 5th.
package reach

import (
	"context"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A Result is the answer for one place.
type Result struct {
	Verdict verdict.Verdict
	// Spare is the room all round hand and arm, on their way and where they end
	// up, as far as it was shown; for a no because of room it is what is missing,
	// negative. NaN: not shown.
	Spare unit.Length
	// ArmUsed is how much of the arm is inside the cabinet, from the point the
	// hand closes on; for a no because of length the least that would be. NaN:
	// not shown. Arm is how much there is.
	ArmUsed, Arm unit.Length
	Opening      string // the way in; "" where none was shown
	Way          string // in words, as "through the doors, over the sump wall, elbow bent"
	Seen         *bool  // whether the eye sees the place; nil: not shown
	// Blocks names the parts in the way of a no, or the one nearest to the arm.
	Blocks []string
	Reason string // of a no or an unsure: what is in the way, or what was not shown
	Shapes []scene.Part

	bend bool // the wrist is bent
}

// Decide answers for one place and for whoever the plan is for; gone names
// things and fixtures that are not there meanwhile.
func Decide(ctx context.Context, s *scene.Scene, p scene.Place, gone ...string) Result {
	q := asked{s: s, gone: gone, worlds: worldsOf(s, gone)}
	return q.decide(ctx, p, q.person())
}

// An asked is a scene that is asked about places.
type asked struct {
	s      *scene.Scene
	gone   []string
	worlds []*world
	noOnly bool // ways are not looked for
}

// own reports whether the plan gives measures of a person.
func (q *asked) own() bool { return q.s.Hand.Knuckles != nil || q.s.Hand.Elbow != nil }

func (q *asked) person() person {
	p := anyone()
	if q.own() {
		return p.of(q.s.Hand)
	}
	return p
}

// decide answers for one place and person.
func (q *asked) decide(ctx context.Context, at scene.Place, p person) Result {
	gs := p.grasps(at)
	if in := q.within(at); in != "" {
		return Result{
			Spare: never, ArmUsed: never, Arm: mm(p.length(&gs[0])), Blocks: []string{in},
			Reason: "the place is inside of " + q.words(in) + ": say on: what the hand may touch",
		}
	}
	r := Result{Spare: never, ArmUsed: never, Arm: mm(p.length(&gs[0])), Seen: seen(q.s, q.worlds, q.gone, at)}
	if best := q.best(ctx, at, &p, gs); best != nil {
		q.tell(&r, best, &p, at)
		return r
	}
	denied := r
	q.deny(&denied, at, &p, gs)
	if denied.Verdict == verdict.Unsure {
		if best := q.wristBent(ctx, at, &p, gs); best != nil {
			q.tell(&r, best, &p, at)
			return r
		}
	}
	return denied
}

// within returns the part that a place is inside of by more than a tape tells,
// and is not on; "" for none.
func (q *asked) within(at scene.Place) string {
	if len(q.worlds) == 0 {
		return ""
	}
	w := q.worlds[0] // they differ in their doors only
	for i := range w.obstacles {
		o := &w.obstacles[i]
		if o.Role != scene.RoleLeaf && !on(at, o.Part) && apart(r3.Box{Min: at.At, Max: at.At}, o.box) <= 0 &&
			solid.Distance(&solid.Ball{Centre: at.At}, o.Solid).High < -o.tape-contact {
			return o.Name
		}
	}
	return ""
}

// best returns the best posture through any opening, straight in or else with a
// turn on the way; nil for none.
func (q *asked) best(ctx context.Context, at scene.Place, p *person, gs []grasp) *posture {
	if q.noOnly {
		return nil
	}
	l := looker{asked: q, person: p, place: at}
	// Known ones with the wrist bent are numbered on from those with it straight.
	if l.look(append(slices.Clone(gs), bent(gs)...), func(k *seeker, grasp int) *posture { return k.known(ctx, grasp) }) {
		return l.best
	}
	for _, way := range []seek{(*seeker).straightIn, (*seeker).turned} {
		if l.look(gs, noting(ctx, way, 0)) {
			break
		}
	}
	return l.best
}

// wristBent returns the best posture with the wrist bent; nil for none.
func (q *asked) wristBent(ctx context.Context, at scene.Place, p *person, gs []grasp) *posture {
	l := looker{asked: q, person: p, place: at}
	if !q.noOnly && at.Hands < 2 {
		l.look(bent(gs), noting(ctx, (*seeker).turned, len(gs)))
	}
	return l.best
}

// noting returns how to look for a posture that is then kept for others, under the
// number of its hand from the first on.
func noting(ctx context.Context, way seek, first int) func(k *seeker, grasp int) *posture {
	return func(k *seeker, grasp int) *posture {
		found := k.hands(ctx, way)
		if found != nil {
			k.note(ctx, first+grasp, found)
		}
		return found
	}
}

// A looker keeps the best posture of those it comes upon.
type looker struct {
	*asked
	person *person
	place  scene.Place
	best   *posture
}

// look looks through every opening with each of some hands, until what is found is ok; it
// reports whether it is.
func (l *looker) look(gs []grasp, how func(k *seeker, grasp int) *posture) bool {
	for _, w := range l.worlds {
		for i, g := range gs {
			k := seeker{world: w, person: l.person, place: l.place, grasp: g, point: l.place.At}
			if found := how(&k, i); found != nil && found.better(l.best) {
				l.best = found
			}
			if l.best != nil && l.judge(l.best, l.person) == verdict.OK {
				return true
			}
		}
	}
	return false
}

// judge says how good a posture is.
func (q *asked) judge(p *posture, who *person) verdict.Verdict {
	left := who.length(&p.grasp) - p.used(p.world.outside)
	if p.room.beyond >= -verdict.Contact.MM() && left >= q.s.Tape.MM()-verdict.Contact.MM() {
		return verdict.OK
	}
	return verdict.Tight
}

// tell fills in what a posture shows.
func (q *asked) tell(r *Result, p *posture, who *person, at scene.Place) {
	r.Verdict = q.judge(p, who)
	r.Spare = max(0, mm(p.room.free))
	r.ArmUsed, r.Arm = mm(p.used(p.world.outside)), mm(who.length(&p.grasp))
	r.Opening, r.bend = p.world.opening.Name, p.bend != 0
	r.Way = q.way(p, at)
	if p.room.nearest != nil {
		r.Blocks = []string{p.room.nearest.Name}
	}
	r.Shapes = p.shapes(at.Name, "")
	if p.other != nil {
		r.Shapes = append(p.shapes(at.Name, "left "), p.other.shapes(at.Name, "right ")...)
	}
}

// deny fills in what is shown where no posture was found: a no where every hand
// that does the task is refused, for the reason of the one that gets farthest.
func (q *asked) deny(r *Result, at scene.Place, p *person, gs []grasp) {
	var last refusal
	var length float64
	for i := range gs {
		g := &gs[i]
		f := refuse(q.s, q.gone, at, p, g)
		if !f.no(p.length(g) + q.s.Tape.MM()) {
			r.Verdict = verdict.Unsure
			r.Reason = "no way for the arm was found, and none shown to be impossible"
			if q.noOnly {
				r.Reason = "not shown to be impossible, and no way was looked for"
			}
			return
		}
		if i == 0 || f.beyond(last) {
			last, length = f, p.length(g)
		}
	}
	r.Verdict, r.Blocks, r.Arm = verdict.No, last.blocks, mm(length)
	switch {
	case !last.room:
		r.Spare = mm(-last.short)
		r.Reason = "the hand has no room there"
	case last.stiff:
		r.Reason = "forearm and upper arm do not come through to it, however wrist and elbow bend"
	case !math.IsInf(last.least, 1):
		r.ArmUsed, r.Blocks = mm(last.least), nil
		r.Reason = "it is farther away than an arm is long"
	case len(last.blocks) == 0:
		r.Reason = "no opening lets hand and arm through to it"
	default:
		r.Spare = mm(-last.short)
		r.Reason = "hand and arm do not come through to it"
	}
}

// hands looks for a posture of as many hands as the place needs.
func (k *seeker) hands(ctx context.Context, look seek) *posture {
	if k.place.Hands < 2 {
		return look(k, ctx)
	}
	var best *posture
	for _, along := range []r3.Vec{k.right, k.out} {
		if along.Z != 0 {
			along = r3.Vec{Y: 1}
		}
		if p := k.pair(ctx, look, along); p != nil && p.better(best) {
			best = p
		}
		if best != nil && best.room.beyond >= 0 {
			break
		}
	}
	return best
}

// mostApart is how far the shoulders of one person may be apart, in mm: less
// than the breadth over the shoulders of a woman of the 5th percentile.
const mostApart = 400

// pair looks for two hands on opposite sides of what is held.
func (k *seeker) pair(ctx context.Context, look seek, along r3.Vec) *posture {
	place := k.place
	place.Size = 0
	g := k.person.grasps(place)[0]
	half := max(k.place.Size.MM()/2, g.breadth/2+1)
	one, two := *k, *k
	one.grasp, two.grasp = g, g
	one.point = r3.Sub(k.point, r3.Scale(half, along))
	two.point = r3.Add(k.point, r3.Scale(half, along))
	a := look(&one, ctx)
	if a == nil {
		return nil
	}
	two.more = slices.Concat(a.lower(), a.comes, a.upper[:])
	b := look(&two, ctx)
	if b == nil || r3.Norm(r3.Sub(a.shoulder, b.shoulder)) > mostApart {
		return nil
	}
	a.other = b
	a.room = a.room.and(b.room)
	a.bent = a.bent || b.bent
	return a
}

// shapes returns the arm as parts of a picture, the hand with its corners off:
// what is shown is inside of what was looked at.
func (p *posture) shapes(place, which string) []scene.Part {
	of := "arm at " + place
	var parts []scene.Part
	add := func(name string, solids ...solid.Solid) {
		for i, s := range solids {
			n := of + "/" + which + name
			if len(solids) > 1 {
				n += " " + strconv.Itoa(i+1)
			}
			parts = append(parts, scene.Part{Name: n, Of: of, Role: scene.RoleArm, Solid: s, Sure: s})
		}
	}
	if p.fingers > 0 {
		add("finger", p.rounded(-p.lead, p.fingers+p.thickness/2, p.tip, min(p.tip, p.thickness)/2)...)
		add("palm", p.rounded(p.fingers, p.wrist, p.breadth, p.thickness)...)
	} else {
		add("hand", p.rounded(-p.lead, p.wrist, p.breadth, p.thickness)...)
	}
	add("wrist", append(p.fore[:1:1], p.fore[2:]...)...)
	add("forearm", p.fore[1])
	add("elbow", p.upper[0])
	add("upper arm", p.upper[1])
	return parts
}

// rounded fills a section of the hand with capsules side by side along it, or
// with one across it where it is short.
func (p *posture) rounded(from, to, breadth, thickness float64) []solid.Solid {
	pose := solid.Pose{Turn: quat.Mul(solid.Turned(p.axis, p.roll), upright(p.axis)), Shift: p.point}
	if p.round {
		thickness = breadth
	}
	thickness = min(thickness, to-from)
	r := thickness / 2
	low, high := from+r, to-r
	if n := int(breadth / thickness); n > 1 {
		var out []solid.Solid
		for i := range n {
			x := (float64(i)/float64(n-1) - 0.5) * (breadth - thickness)
			out = append(out, &solid.Capsule{
				A: pose.Apply(r3.Vec{X: x, Z: low}), B: pose.Apply(r3.Vec{X: x, Z: high + 1e-3}), Radius: r,
			})
		}
		return out
	}
	if x := breadth/2 - r; x > high-low {
		m := (low + high) / 2
		return []solid.Solid{&solid.Capsule{A: pose.Apply(r3.Vec{X: -x, Z: m}), B: pose.Apply(r3.Vec{X: x, Z: m}), Radius: r}}
	}
	return []solid.Solid{&solid.Capsule{A: pose.Apply(r3.Vec{Z: low}), B: pose.Apply(r3.Vec{Z: high + 1e-3}), Radius: r}}
}
