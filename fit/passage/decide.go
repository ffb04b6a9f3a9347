package passage

import (
	"context"
	"math"
	"slices"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// sliver is the least room a way is looked for with, in mm: enough not to be lost
// in rounding, too little for a tape to tell from nothing.
const sliver = 0.02

// touch is the room a way is looked for with that may touch on every side, in mm: what
// counts as contact, with something left for rounding.
const touch = -float64(verdict.Contact) / 2

// A budget is how many cells a proof may look at: in each slice; of turns, in a room of
// layers alone; of turns with boxes beside the way, which cost several times as much; and
// of turns and depths that tell places apart, which seldom show what the others do not.
// All but slices go on where they ended with less.
type budget struct{ slice, cells, boxed, placed int }

var (
	cheapProof   = budget{slice: 1000, cells: 1500}
	quickProof   = budget{slice: 1000, cells: 3000}
	briefProof   = budget{slice: 1000, cells: 4000}
	longProof    = budget{slice: 1000, cells: 10_000, boxed: 2000}
	patientProof = budget{slice: 20_000, cells: 30_000, boxed: 10_000, placed: 30_000}
)

// proofs returns the budgets of the first proof that is looked for, and of that after
// cheap searches.
func proofs(ctx context.Context) (quick, long budget) {
	if brief(ctx) {
		return cheapProof, briefProof
	}
	return quickProof, longProof
}

// Decide answers the job: the thresholds of the verdict first, the cheapest
// searches and proofs before the dear ones. Where the door comes off and more is
// possible without it, that is the answer.
func (j *Job) Decide(ctx context.Context) Way { return j.remembered(ctx, false, j.byDoor) }

// byDoor answers the job with the door as it is, or off.
func (j *Job) byDoor(ctx context.Context) Way {
	w := j.decide(ctx)
	if w.Verdict == verdict.OK || !j.hasLeaves() {
		return w
	}
	off := j.leafless()
	if j.Opening.Door.LiftsOff {
		if v := off.decide(ctx); order(&v, &w) < 0 {
			v.DoorOff = true
			return v
		}
	}
	if w.Verdict == verdict.No && w.Proof != "" {
		var v Way
		p := off.pose()
		w.EvenDoorOff = w.layers || p.refuted(ctx, &v, asideProof)
	}
	return w
}

// isLeaf tells whether a part is a leaf of the opening's own door.
func (j *Job) isLeaf(p scene.Part) bool { return p.Role == scene.RoleLeaf && p.Of == j.Opening.Name }

// leafless returns the job without the leaves of the opening's own door.
func (j *Job) leafless() *Job {
	off := *j
	off.Others = slices.DeleteFunc(slices.Clone(j.Others), j.isLeaf)
	return &off
}

func (j *Job) hasLeaves() bool { return slices.ContainsFunc(j.Others, j.isLeaf) }

// decide answers the job with the door as it is.
func (j *Job) decide(ctx context.Context) Way {
	unknown := unit.Length(math.Inf(1))
	w := Way{Opening: j.Opening.Name, job: j, Margin: verdict.Margin{Lo: -unknown, Hi: unknown}}
	if depth, with := j.overlap(false); depth > verdict.Contact.MM() {
		w.Reason, w.overlaps = "where it is to stand it overlaps "+readable(with.Name), true
		if j.RestAssumed {
			w.Reason = "where it is assumed to stand it overlaps " + readable(with.Name)
			return w
		}
		w.Margin = verdict.Exactly(unit.Length(-depth))
		if least, _ := j.overlap(true); least < depth {
			w.Margin.Hi = unknown
			if least > 0 {
				w.Margin.Hi = unit.Length(-least)
			}
		}
		if o := owner(with); o != "" {
			w.Used = []string{o}
		}
		return w.judged()
	}
	if ctx.Err() != nil { // not even what a search is prepared with
		w.stopped = true
		return w.judged()
	}
	p := j.pose()
	straight, turned := max(j.Wanted, j.Tape).MM(), max(j.Wanted, j.WantedTurned, j.Tape).MM()
	wanted := func(s sweep) bool {
		f, ok := p.search(ctx, turned, s)
		if ok {
			w.take(f)
		}
		return ok
	}
	// Where the thing is only slid, less room is enough.
	slid := func() bool {
		f, ok := p.search(ctx, straight, oneMedium.about(nil))
		if ok = ok && j.keepsTurned(f.path); ok {
			w.take(f)
		}
		return ok
	}
	// narrowly takes a way that keeps at all, or a wider one near by.
	narrowly := func(look func() (found, bool)) bool {
		if w.tooLarge() {
			return false
		}
		f, ok := look()
		if ok && !brief(ctx) {
			f = p.widened(ctx, f, straight, turned)
		}
		if ok {
			w.take(f)
		}
		return ok
	}
	barely := func(s sweep) bool {
		return narrowly(func() (found, bool) { return p.search(ctx, sliver, s) })
	}
	nearly := func(overlap float64, s sweep) bool {
		return narrowly(func() (found, bool) { return p.nearly(ctx, sliver, overlap, s) })
	}
	// led tries what searches for proofs came upon.
	led := func() bool { return narrowly(func() (found, bool) { return p.led(sliver) }) }
	// touching takes a way on which the thing is only slid and may touch.
	touching := func() bool { return narrowly(func() (found, bool) { return p.touching(ctx) }) }
	// known tries ways of like jobs.
	known := func(spare float64) bool {
		f, ok := p.known(ctx, spare)
		if ok {
			w.take(f)
		}
		return ok
	}
	two := twoCoarse
	if brief(ctx) {
		two.most /= 5
	}
	few := two
	few.most /= 5
	quick, long := proofs(ctx)
	// Each step is dearer than the one before.
	short := wanted(oneCoarse) || known(turned) || slid() || wanted(oneMedium) || known(0)
	if !short && amply(ctx) {
		w.Reason = "no way found that keeps what is wanted, and no other was looked for"
		return w.judged()
	}
	short = short || barely(oneCoarse) || p.refuted(ctx, &w, cheapProof) || led()
	if !short && p.measured(ctx, &w, asideProof) {
		return w.judged()
	}
	short = short || nearly(slight, oneCoarse) || nearly(deep, oneCoarse) || barely(oneMedium) || wanted(few) || nearly(slight, few) ||
		p.refuted(ctx, &w, quick) || led()
	if !short && p.measured(ctx, &w, cheapProof) {
		return w.judged()
	}
	short = short || led() || barely(two) || touching() || !waysOnly(ctx) && p.refuted(ctx, &w, long) || led()
	if !short && brief(ctx) {
		w.Reason, w.stopped = "no way found by a brief search, and not shown impossible", ctx.Err() != nil
		return w.judged()
	}
	if !short && p.measured(ctx, &w, long) {
		return w.judged()
	}
	decided := short || led() || barely(oneFine) || nearly(deep, two) || barely(anyCoarse) || barely(twoMedium) || !w.tooLarge() && p.refuted(ctx, &w, patientProof) || led()
	w.stopped = !decided && ctx.Err() != nil
	return w.judged()
}

// What is said of a way that is unsure because there was no time to look for one, or for
// a proof; and what helps.
const (
	outOfTime = "the time allowed ran out before a way was found or shown impossible"
	tooShort  = "as measured it does not go in, and the time allowed ran out before it was known whether it might where the tape is off"
	moreTime  = "allow more time (--total, or --time where that is set)"
)

// widened looks for a way that keeps more than the one that was found: uphill from that,
// then about the same axes, with the room wanted where it is turned, or else with that
// where it is slid.
func (p *posed) widened(ctx context.Context, best found, straight, turned float64) found {
	p.most = p.steps + climbing
	if best = p.raised(ctx, best, turned, best.axes); best.clear.Low >= turned-rounding {
		return best
	}
	axes := best.axes
	if best.swept != nil {
		axes = best.swept
	}
	steps := oneMedium
	switch len(axes) {
	case 2:
		steps = twoCoarse
	case 3:
		steps = anyCoarse
		steps.most /= 4
	}
	for _, wanted := range slices.Compact([]float64{turned, straight}) {
		if best.clear.Low >= wanted-rounding || ctx.Err() != nil {
			break
		}
		if f, ok := p.search(ctx, wanted, steps.about(axes)); ok {
			return f
		}
	}
	return best
}

// climbing is how many steps are taken uphill from a way that was found.
const climbing = 4000

// touching looks for a way on which the thing is only slid, for one that just fits between
// two sides: it may touch them all along.
func (p *posed) touching(ctx context.Context) (found, bool) {
	f, ok := p.search(ctx, touch, oneCoarse.about(nil))
	ok = ok && f.clear.Low >= -verdict.Contact.MM()
	f.clear.Low = max(f.clear.Low, 0) // contact
	return f, ok
}

// refuted looks for a proof that there is no way, and notes it in w.
func (p *posed) refuted(ctx context.Context, w *Way, b budget) bool {
	// One contact more than the tape makes a thing that touches clear; another
	// pays for boxes that are grown by one, corners and all.
	less := p.Tape + 3*verdict.Contact
	r, ok := p.refute(ctx, less.MM(), 0, b)
	if !ok {
		return false
	}
	w.Proof, w.Used, w.Proven, w.layers = r.kind, r.used, r.proof, r.layers
	w.Margin.Hi = -less
	return true
}

// measured looks for a proof that there is no way for the thing as it was measured,
// where none was found for one that is smaller by what the tape may be off. It tells
// whether that is all that can be known, for the smaller one does go in.
func (p *posed) measured(ctx context.Context, w *Way, b budget) bool {
	if p.Tape == 0 || w.tooLarge() {
		return false
	}
	less := 3 * verdict.Contact
	if _, ok := p.refute(ctx, less.MM(), 0, b); !ok {
		return false
	}
	w.Margin.Hi, p.wayless = -less, true
	j, ok := p.smaller((p.Tape + less).MM())
	if !ok {
		return false
	}
	small := j.pose()
	for _, s := range []sweep{oneCoarse, oneMedium, twoCoarse} {
		if _, ok := small.search(ctx, sliver, s); ok {
			return true
		}
	}
	return false
}

// smaller returns the job of a thing with its faces moved in by e, as carried; ok is
// false where nothing is left of it.
func (j *Job) smaller(e float64) (out *Job, ok bool) {
	less := *j
	less.Parts, less.Open, less.Reaching = nil, nil, nil
	for _, part := range j.Parts {
		if part.Solid, ok = inset(outerPolyhedron(part.Solid), e); !ok {
			return nil, false
		}
		less.Parts = append(less.Parts, part)
	}
	return &less, true
}

// tooLarge tells whether the thing as measured was shown not to go in.
func (w *Way) tooLarge() bool { return w.Margin.Hi < 0 }

// take notes a way that was found and verified.
func (w *Way) take(f found) {
	w.Path, w.Clear, w.axes = f.path, f.clear, f.axes
	w.Margin.Lo = unit.Length(f.clear.Low)
}

// found returns the way that was taken.
func (w *Way) found() found { return found{path: w.Path, clear: w.Clear, axes: w.axes} }

// judged returns w with its verdict. A way on which the thing is lifted or turned
// is ok where it keeps what is wanted for that meanwhile.
func (w *Way) judged() Way {
	j := w.job
	w.Wanted = j.Wanted
	if w.Going() && w.Margin.Lo < max(j.WantedTurned, j.Tape)-verdict.Contact && !j.keepsTurned(w.Path) {
		w.Wanted = max(j.Wanted, j.WantedTurned)
	}
	w.Verdict = w.Margin.Judge(w.Wanted, j.Tape)
	switch {
	case w.Verdict != verdict.Unsure:
	case w.tooLarge() && w.stopped:
		w.Reason = tooShort
	case w.tooLarge():
		w.Reason = "as measured it does not go in, but it might where the tape is off"
	case w.stopped:
		w.Reason = outOfTime
	case w.Reason == "":
		w.Reason = "no way found within the budget, and not shown impossible"
		if j.RestAssumed {
			w.Reason += " (how thick the cabinet's walls are would help)"
		}
	}
	return *w
}
