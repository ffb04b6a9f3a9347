package passage

import (
	"context"
	"math"

	"undercroft/fit/verdict"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Rounds is into how many rounds the search for a way, however narrow, and that for a
// proof that there is none are divided, each dearer than the one before: for who asks
// about many sizes and wants to know of the easy ones first.
const Rounds = 3

// barest returns the searches of a round for a way, however narrow.
func barest(round int) []sweep {
	two, fine, three := twoCoarse, oneFine, anyCoarse
	two.most /= 2
	fine.most /= 2
	three.most /= 4
	switch round {
	case 0:
		return []sweep{oneCoarse, oneMedium}
	case 1:
		return []sweep{two}
	}
	return []sweep{fine, three} // what was looked through before is not again
}

// Barely looks in one round for a way that keeps clear at all, with the opening's door
// as it is or, where that comes off, without it, and for nothing else: not for a roomier
// one, and not for a proof that there is none.
func (j *Job) Barely(ctx context.Context, round int) Way {
	w := j.barely(ctx, round)
	if off, ok := j.doorOff(); ok && !w.Going() {
		if v := off.barely(ctx, round); v.Going() {
			v.DoorOff = true
			return v
		}
	}
	return w
}

func (j *Job) barely(ctx context.Context, round int) Way {
	unknown := unit.Length(math.Inf(1))
	w := Way{Opening: j.Opening.Name, job: j, Margin: verdict.Margin{Lo: -unknown, Hi: unknown}}
	if depth, _ := j.overlap(false); depth > verdict.Contact.MM() {
		return w.judged()
	}
	p := j.pose()
	for _, s := range barest(round) {
		if f, ok := p.search(ctx, sliver, s); ok {
			w.take(f)
			return w.judged()
		}
	}
	if round == 0 {
		if f, ok := p.touching(ctx); ok {
			w.take(f)
		}
	}
	return w.judged()
}

// Like looks for a way, however narrow, that is as one that is known of another thing or
// place.
func (j *Job) Like(path solid.Path, doorOff bool) Way {
	unknown := unit.Length(math.Inf(1))
	w := Way{Opening: j.Opening.Name, job: j, DoorOff: doorOff, Margin: verdict.Margin{Lo: -unknown, Hi: unknown}}
	if doorOff {
		w.job = j.leafless()
	}
	// Of a way that was found with no more than a sliver rounding took some.
	if f, ok := w.job.pose().like(path, sliver/2); ok {
		w.take(f)
	}
	return w.judged()
}

// doorOff returns the job without the opening's own door, where that comes off.
func (j *Job) doorOff() (*Job, bool) {
	if !j.hasLeaves() || !j.Opening.Door.LiftsOff {
		return nil, false
	}
	return j.leafless(), true
}

// A Denial looks for a proof that a thing goes in to none of its places, with the
// opening's door off where that comes off. What a round does not bring to an end the
// next one goes on with.
type Denial struct {
	p      *posed
	rounds int // that were run
	shown  bool
}

// Deny returns a denial of which no round was run yet.
func (j *Job) Deny() *Denial {
	if off, ok := j.doorOff(); ok {
		j = off
	}
	p := j.pose()
	p.anyhow = true
	return &Denial{p: p}
}

// Shown tells whether so many rounds, of which some may have been run before, show that
// there is no way. One more than Rounds is for who asks about few sizes.
func (d *Denial) Shown(ctx context.Context, rounds int) bool {
	budgets := [Rounds + 1]budget{cheapProof, {cells: briefProof.cells}, {cells: patientProof.cells, boxed: 5000}, {cells: patientProof.cells, boxed: 12_000}}
	for ; !d.shown && d.rounds < min(rounds, len(budgets)) && ctx.Err() == nil; d.rounds++ {
		var w Way
		d.shown = d.p.refuted(ctx, &w, budgets[d.rounds])
	}
	return d.shown
}
