// Package passage decides whether each thing can be brought from outside the
// cabinet to where it stands, by which opening and how turned, and with how much
// room to spare on the way.
//
// A yes is a way that was verified all along against the solids of the scene. A
// no is a proof that there is none. What neither was found for is unsure. All
// that stands in a frame of this package is in mm and radians.
package passage

import (
	"context"
	"math"
	"slices"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/verify"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Check decides for each thing that is carried in and does not bend whether it
// goes in. A context that ends leaves the rest unsure. How much room the ways keep is
// looked into once all is decided.
func Check(ctx context.Context, s *scene.Scene) verdict.Findings {
	var out verdict.Findings
	var all []thing
	for _, t := range s.Things() {
		if t.Soft {
			continue
		}
		id := "passage/" + t.Name
		if len(s.Cabinet.Openings) == 0 {
			out.LeftOut = append(out.LeftOut, verdict.LeftOut{ID: id, Add: "cabinet.openings"})
			continue
		}
		all = append(all, decided(ctx, s, t))
	}
	ctx, done := narrowing(ctx)
	defer done()
	purse := allNarrowSteps
	for i := range all {
		all[i].narrow(ctx, &purse)
		out.Checks = append(out.Checks, all[i].finding(s))
	}
	return out
}

// A Way is what was found about one opening.
type Way struct {
	Opening string
	Margin  verdict.Margin
	Verdict verdict.Verdict
	Reason  string // why it is unsure or no
	// Path is the verified way in, where one was found; its last leg is the move
	// to rest.
	Path  solid.Path
	Clear verify.Clear
	// Wanted is the room the verdict was judged by: more where the thing is lifted
	// or turned with less than is wanted for that.
	Wanted unit.Length
	Proof  string // the kind of proof of a no
	// Proven is the proof of a no that the checker accepted; nil where it rests on
	// an overlap at rest.
	Proven *proof.Proof
	// Used names the things and fixtures without which the proof of a no does
	// not hold: it stands as long as these are there. It is nil where room,
	// cabinet, stand, doors and hinges are enough.
	Used []string
	// DoorOff tells that the way is with the door off, EvenDoorOff that a no
	// holds then, too.
	DoorOff, EvenDoorOff bool
	// Wider is a verified way that keeps more than one that is ok but is harder to carry
	// out; nil where none was found.
	Wider *Way
	// Most is the proof that no way keeps more than the upper end of the room to spare;
	// nil where it is open.
	Most   *Most
	job    *Job
	axes   []int // about which it is turned, for a search
	layers bool  // the proof is of panels, holes and walls, and nothing that stands about
	// overlaps tells that the reason is something where the thing is to stand, stopped that
	// the time allowed ran out.
	overlaps, stopped bool
}

// Going reports whether a way in was found.
func (w *Way) Going() bool { return len(w.Path.Poses) > 0 }

// narrowSteps is how many steps are taken to know the room to spare of one way
// more closely, allNarrowSteps of all ways of a plan.
const narrowSteps, allNarrowSteps = 500_000, 1_000_000

// order compares two ways: negative where a is the better one.
func order(a, b *Way) int {
	if d := a.Verdict.Rank() - b.Verdict.Rank(); d != 0 {
		return d
	}
	switch lo := a.Room().Lo - b.Room().Lo; {
	case lo > 0:
		return -1
	case lo < 0:
		return 1
	}
	// What was looked into says more than what is no way at all.
	switch {
	case a.job != nil && b.job == nil:
		return -1
	case a.job == nil && b.job != nil:
		return 1
	}
	return 0
}

// waysOf decides every opening for a group, the best first. Where it soon turns out to
// go in by one with all the room that is wanted, the others are not looked into any
// longer: they change nothing.
func waysOf(ctx context.Context, s *scene.Scene, t scene.Thing, g scene.Group) []Way {
	var ways []Way
	var jobs []*Job // nil where the opening is no way
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		w := Way{Opening: o.Name}
		if o.BeforeDisplay && s.Display != nil && s.Display.Standing != scene.NotYet {
			w.Margin = verdict.Margin{Lo: unit.Length(math.Inf(-1)), Hi: unit.Length(math.Inf(1))}
			w.Verdict, w.Reason = verdict.No, "a way only before the display stands"
			jobs = append(jobs, nil)
		} else {
			jobs = append(jobs, JobOf(s, t, g, o))
		}
		ways = append(ways, w)
	}
	each := func(decide func(*Job) Way) {
		for i, j := range jobs {
			if j != nil {
				ways[i] = decide(j)
			}
		}
	}
	if len(jobs) > 1 {
		each(func(j *Job) Way { return j.Decide(Amply(ctx)) })
	}
	if slices.ContainsFunc(ways, func(w Way) bool { return w.Verdict == verdict.OK }) {
		for i := range ways {
			ways[i].aside(ctx)
		}
	} else {
		each(func(j *Job) Way { return j.Decide(ctx) })
	}
	slices.SortStableFunc(ways, func(a, b Way) int {
		if a.Verdict == verdict.OK && b.Verdict == verdict.OK {
			// Either keeps what is wanted: the easier one, then the first of the plan.
			switch {
			case a.turns() == b.turns():
				return 0
			case b.turns():
				return -1
			}
			return 1
		}
		return order(&a, &b)
	})
	return ways
}

// asideProof is what a proof may cost that changes nothing.
var asideProof = budget{slice: 250, cells: 250}

// aside looks for a cheap proof that there is no way through an opening that is not
// needed.
func (w *Way) aside(ctx context.Context) {
	if w.Verdict != verdict.Unsure {
		return
	}
	if off, ok := w.job.doorOff(); ok {
		var v Way
		if !off.pose().refuted(ctx, &v, asideProof) {
			return
		}
	}
	if w.job.pose().refuted(ctx, w, asideProof) {
		w.judged()
	}
}

// JobOf returns the question whether group g of t goes in through o, past all
// that is there by then: what goes in before it, the other doors closed.
func JobOf(s *scene.Scene, t scene.Thing, g scene.Group, o *scene.Opening) *Job {
	there := Present{Display: s.Display != nil && !o.BeforeDisplay}
	for _, q := range before(s, t) {
		there.Parts = append(there.Parts, q.Parts...)
	}
	// What travels apart is put together inside.
	for _, own := range t.Groups {
		if own.Name == g.Name {
			break
		}
		there.Parts = append(there.Parts, own.Parts...)
	}
	return JobAmong(s, t, g, o, there)
}

// Present is what stands in the cabinet and on it while a thing moves, next to
// room, cabinet, stand, doors and hinges, which are there always.
type Present struct {
	Display bool
	// Parts are those of the things that are in place.
	Parts []scene.Part
	// Gone names fixtures that were taken out.
	Gone []string
}

// JobAmong returns the question whether group g of t moves between outside and
// its place through o, among what is present; the other doors are closed. The way
// out is the way in, backward.
func JobAmong(s *scene.Scene, t scene.Thing, g scene.Group, o *scene.Opening, there Present) *Job {
	j := &Job{
		Thing: t.Name, Parts: g.Parts, Cabinet: &s.Cabinet, Opening: o, Room: &s.Room,
		Wanted: s.Carry, WantedTurned: s.CarryTurned, Tape: max(s.Tape, t.Tape, o.Tape), group: g.Name, there: there,
	}
	j.Others = append(s.RoomParts(), s.Cabinet.Panels()...)
	j.Others = append(j.Others, s.StandParts()...)
	for i := range s.Cabinet.Openings {
		q := &s.Cabinet.Openings[i]
		at := unit.Angle(0)
		if q.Name == o.Name {
			at = s.DoorAngle(q)
		}
		j.Others = append(j.Others, s.Leaves(q, at)...)
		j.Others = append(j.Others, s.Hinges(q)...)
	}
	if s.Display != nil && there.Display {
		j.Others = append(j.Others, s.Display.Panes()...)
	}
	if t.Name == "sump" {
		j.Open = t.Parts
		j.RestAssumed = s.Sump.Assumed
	}
	if t.Item != nil {
		j.RestAssumed = slices.ContainsFunc(t.Item.Bodies, func(b scene.Body) bool { return b.Assumed })
	}
	for _, p := range s.Fixtures() {
		switch {
		case slices.Contains(there.Gone, p.Of):
		case t.Name == "sump" && reachesInto(p, g.Parts):
			j.Reaching = append(j.Reaching, p)
		default:
			j.Others = append(j.Others, p)
		}
	}
	j.Others = append(j.Others, there.Parts...)
	return j
}

// reachesInto tells whether p overlaps the closed body at rest.
func reachesInto(p scene.Part, closed []scene.Part) bool {
	for _, c := range closed {
		if solid.Distance(p.Solid, c.Solid).Dist < -verdict.Contact.MM() {
			return true
		}
	}
	return false
}

// before returns the things that are in place when t goes in: the sump, and
// equipment of a lower order or earlier in the plan. What bends is out of the way.
func before(s *scene.Scene, t scene.Thing) []scene.Thing {
	var out []scene.Thing
	passed := false
	for _, q := range s.Things() {
		switch {
		case q.Name == t.Name:
			passed = true
		case q.Soft || t.Name == "sump":
		case q.Name == "sump" || q.Order < t.Order || q.Order == t.Order && !passed:
			out = append(out, q)
		}
	}
	return out
}

// overlap returns by how much the thing overlaps something where it stands, and
// with what: only what the plan gives of that counts, and where sure is set of the
// thing, too.
func (j *Job) overlap(sure bool) (depth float64, with scene.Part) {
	look := func(parts, others []scene.Part) {
		for _, a := range parts {
			body := a.Solid
			if sure {
				body = shape(&a)
			}
			for _, b := range others {
				if body == nil || b.Sure == nil || solid.Lower(body, b.Sure) > 0 {
					continue
				}
				if g := solid.Distance(body, b.Sure); -g.Dist > depth {
					depth, with = -g.Dist, b
				}
			}
		}
	}
	look(j.Parts, j.Others)
	look(j.Open, j.Reaching)
	return depth, with
}

// narrowest returns the solids that come nearest on the way, where they do, and
// the names of their parts.
func (w *Way) narrowest() (mark scene.Mark, ok bool) {
	c := w.Clear
	if c.Body < 0 {
		return scene.Mark{}, false
	}
	parts, others := slices.Concat(w.job.Parts, w.job.Open), slices.Concat(w.job.Others, w.job.Reaching)
	a, b := parts[c.Body], others[c.Other]
	g := solid.Distance(a.Solid.Moved(w.Path.At(c.Leg, c.T)), b.Solid)
	return scene.Mark{From: g.OnA, To: g.OnB, Parts: []string{a.Name, b.Name}}, true
}
