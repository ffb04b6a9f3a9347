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
// goes in. A context that ends leaves the rest unsure.
func Check(ctx context.Context, s *scene.Scene) verdict.Findings {
	var out verdict.Findings
	for _, t := range s.Things() {
		if t.Soft {
			continue
		}
		id := "passage/" + t.Name
		if len(s.Cabinet.Openings) == 0 {
			out.LeftOut = append(out.LeftOut, verdict.LeftOut{ID: id, Add: "cabinet.openings"})
			continue
		}
		out.Checks = append(out.Checks, find(ctx, s, t, id))
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
	Proof string // the kind of proof of a no
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
	job                  *Job
}

// Going reports whether a way in was found.
func (w *Way) Going() bool { return len(w.Path.Poses) > 0 }

// find gathers what is known about one thing: for each group that travels by
// itself the best opening, and of the groups the worst.
func find(ctx context.Context, s *scene.Scene, t scene.Thing, id string) verdict.Finding {
	var worst []Way
	var name string
	motions := []scene.Motion{}
	var evidence []verdict.Evidence
	for _, g := range t.Groups {
		ways := waysOf(ctx, s, t, g)
		for i := range ways {
			if ways[i].Proved() {
				evidence = append(evidence, &ways[i])
			}
		}
		if ways[0].Going() {
			motions = append(motions, motionOf(s, t, g, &ways[0]))
		}
		if worst == nil || order(&ways[0], &worst[0]) > 0 {
			worst, name = ways, g.Name
		}
	}
	f := describe(s, t, name, worst)
	f.ID, f.Motions, f.Evidence = id, motions, evidence
	return f
}

// order compares two ways: negative where a is the better one.
func order(a, b *Way) int {
	if d := a.Verdict.Rank() - b.Verdict.Rank(); d != 0 {
		return d
	}
	switch lo := a.Margin.Lo - b.Margin.Lo; {
	case lo > 0:
		return -1
	case lo < 0:
		return 1
	}
	return 0
}

// waysOf decides every opening for a group, the best first.
func waysOf(ctx context.Context, s *scene.Scene, t scene.Thing, g scene.Group) []Way {
	var ways []Way
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		if o.BeforeDisplay && s.Display != nil && s.Display.Standing != scene.NotYet {
			ways = append(ways, Way{
				Opening: o.Name, Margin: verdict.Margin{Lo: unit.Length(math.Inf(-1)), Hi: unit.Length(math.Inf(1))},
				Verdict: verdict.No, Reason: "a way only before the display stands",
			})
			continue
		}
		ways = append(ways, JobOf(s, t, g, o).Decide(ctx))
	}
	slices.SortStableFunc(ways, func(a, b Way) int { return order(&a, &b) })
	return ways
}

// JobOf returns the question whether group g of t goes in through o, past all
// that is there by then: what goes in before it, the other doors closed.
func JobOf(s *scene.Scene, t scene.Thing, g scene.Group, o *scene.Opening) *Job {
	there := Present{Display: s.Display != nil && !o.BeforeDisplay}
	for _, q := range before(s, t) {
		there.Parts = append(there.Parts, q.Parts...)
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
		Wanted: s.Carry, Tape: max(s.Tape, t.Tape, o.Tape), group: g.Name, there: there,
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

// Decide answers the job: the thresholds of the verdict first, the cheapest
// searches and proofs before the dear ones. Where the door comes off and more is
// possible without it, that is the answer.
func (j *Job) Decide(ctx context.Context) Way {
	w := j.decide(ctx)
	if w.Verdict == verdict.OK || !j.hasLeaves() {
		return w
	}
	off := *j
	off.Others = slices.DeleteFunc(slices.Clone(j.Others), j.isLeaf)
	if j.Opening.Door.LiftsOff {
		if v := off.decide(ctx); order(&v, &w) < 0 {
			v.DoorOff = true
			return v
		}
	}
	if w.Verdict == verdict.No && w.Proof != "" {
		var v Way
		p := off.pose()
		w.EvenDoorOff = p.refuted(ctx, &v, quickProof)
	}
	return w
}

// isLeaf tells whether a part is a leaf of the opening's own door.
func (j *Job) isLeaf(p scene.Part) bool { return p.Role == scene.RoleLeaf && p.Of == j.Opening.Name }

func (j *Job) hasLeaves() bool { return slices.ContainsFunc(j.Others, j.isLeaf) }

// decide answers the job with the door as it is.
func (j *Job) decide(ctx context.Context) Way {
	unknown := unit.Length(math.Inf(1))
	w := Way{Opening: j.Opening.Name, job: j, Margin: verdict.Margin{Lo: -unknown, Hi: unknown}}
	if depth, with := j.overlap(); depth > verdict.Contact.MM() {
		w.Reason = "where it is to stand it overlaps " + readable(with.Name)
		if j.RestAssumed {
			w.Reason = "where it is assumed to stand it overlaps " + readable(with.Name)
			return w
		}
		w.Margin = verdict.Exactly(unit.Length(-depth))
		if o := owner(with); o != "" {
			w.Used = []string{o}
		}
		return w.judged()
	}
	p := j.pose()
	target := max(j.Wanted, j.Tape).MM()
	for _, m := range []mesh{coarse, medium} {
		if f, ok := p.search(ctx, target, m); ok {
			w.take(f)
			return w.judged()
		}
	}
	for _, m := range []mesh{coarse, medium, fine} {
		if m == fine && brief(ctx) {
			w.Reason = "no way found by a brief search, and not shown impossible"
			return w.judged()
		}
		if f, ok := p.search(ctx, sliver, m); ok {
			if !brief(ctx) {
				f = p.widened(ctx, f, target)
			}
			w.take(f)
			return w.judged()
		}
		if m == coarse && p.refuted(ctx, &w, quickProof) {
			return w.judged()
		}
	}
	p.refuted(ctx, &w, longProof)
	return w.judged()
}

// widened looks between the room a way keeps and what is wanted for a way that
// keeps more.
func (p *posed) widened(ctx context.Context, best found, wanted float64) found {
	if f, ok := p.search(ctx, wanted, fine); ok {
		return f
	}
	const enough = 0.25 // mm
	for lo, hi := best.clear.Low, wanted; hi-lo > enough && ctx.Err() == nil; {
		mid := (lo + hi) / 2
		f, ok := p.search(ctx, mid, medium)
		if !ok {
			hi = mid
			continue
		}
		if f.clear.Low > best.clear.Low {
			best = f
		}
		lo = max(mid, f.clear.Low)
	}
	return best
}

// sliver is the least room a way is looked for with: enough not to be lost in
// rounding, too little for a tape to tell from nothing.
const sliver = 0.02

// A budget is how many cells a proof may look at: in each slice, and in all
// when the way is to be cut anywhere.
type budget struct{ slice, cells int }

var (
	quickProof = budget{slice: 1000, cells: 1500}
	longProof  = budget{slice: 4000, cells: 5000}
)

// refuted looks for a proof that there is no way, and notes it in w.
func (p *posed) refuted(ctx context.Context, w *Way, b budget) bool {
	// One contact more than the tape makes a thing that touches clear; another
	// pays for boxes that are grown by one, corners and all.
	less := p.Tape + 3*verdict.Contact
	r, ok := p.refute(ctx, less.MM(), b)
	if !ok {
		return false
	}
	w.Proof, w.Used, w.Proven = r.kind, r.used, r.proof
	w.Margin.Hi = -less
	return true
}

// take notes a way that was found and verified.
func (w *Way) take(f found) {
	w.Path, w.Clear = f.path, f.clear
	w.Margin.Lo = unit.Length(f.clear.Low)
}

func (w *Way) judged() Way {
	w.Verdict = w.Margin.Judge(w.job.Wanted, w.job.Tape)
	if w.Verdict == verdict.Unsure && w.Reason == "" {
		w.Reason = "no way found within the budget, and not shown impossible"
	}
	return *w
}

// overlap returns by how much the thing overlaps something where it stands, and
// with what: only what the plan gives counts.
func (j *Job) overlap() (depth float64, with scene.Part) {
	look := func(parts, others []scene.Part) {
		for _, a := range parts {
			for _, b := range others {
				if b.Sure == nil || solid.Lower(a.Solid, b.Sure) > 0 {
					continue
				}
				if g := solid.Distance(a.Solid, b.Sure); -g.Dist > depth {
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
