package passage

import (
	"context"
	"math"

	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// barest returns the searches for a way, however narrow, each dearer than the one before.
func barest() []sweep {
	two, fine, three := twoCoarse, oneFine, anyCoarse
	two.most /= 4
	fine.most /= 2
	three.most /= 16
	return []sweep{oneCoarse, oneMedium, two, fine, three}
}

// Barely looks for a way that keeps clear at all, with the opening's door as it is
// or, where that comes off, without it, and for nothing else: not for a roomier one,
// and not for a proof that there is none.
func (j *Job) Barely(ctx context.Context) Way {
	w := j.barely(ctx)
	if off, ok := j.doorOff(); ok && !w.Going() {
		if v := off.barely(ctx); v.Going() {
			v.DoorOff = true
			return v
		}
	}
	return w
}

func (j *Job) barely(ctx context.Context) Way {
	unknown := unit.Length(math.Inf(1))
	w := Way{Opening: j.Opening.Name, job: j, Margin: verdict.Margin{Lo: -unknown, Hi: unknown}}
	if depth, _ := j.overlap(false); depth > verdict.Contact.MM() {
		return w.judged()
	}
	p := j.pose()
	for _, s := range barest() {
		if f, ok := p.search(ctx, sliver, s); ok {
			w.take(f)
			break
		}
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
