package passage

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Along judges a way in that is known already: in the scene's frame, its last
// pose at rest, with the opening's own door off where doorOff is set. What was
// verified among more that stands in the way holds among less, but nothing is
// taken for granted here: the way is verified anew. A way that does not keep
// clear is not going.
func (j *Job) Along(path solid.Path, doorOff bool) Way {
	unknown := unit.Length(math.Inf(1))
	w := Way{Opening: j.Opening.Name, job: j, DoorOff: doorOff, Margin: verdict.Margin{Lo: -unknown, Hi: unknown}}
	if doorOff {
		w.job = j.leafless()
	}
	if len(path.Poses) < 3 {
		return w
	}
	c, err := w.job.prove(path)
	if err != nil || !(c.Low >= -verdict.Contact.MM()) {
		return w
	}
	c.Low = max(c.Low, 0) // contact
	w.take(found{path: path, clear: c})
	return w.judged()
}

// Taken returns the motion that takes group g of t out by the way w of the group
// lifted straight up by rise; t and g are as they stand at rest, and what is
// absent is listed by the caller.
func (w *Way) Taken(sys unit.System, t scene.Thing, g scene.Group, rise unit.Length) scene.Motion {
	m := scene.Motion{Thing: t.Name, Out: true, Through: w.Opening}
	for _, p := range g.Parts {
		m.Parts = append(m.Parts, p.Name)
	}
	up := r3.Vec{Z: rise.MM()}
	m.Path.Ref = r3.Sub(w.Path.Ref, up)
	if rise > 0 {
		m.Path.Poses = append(m.Path.Poses, solid.Rest)
	}
	for _, q := range slices.Backward(w.Path.Poses) {
		q.Shift = r3.Add(q.Shift, q.Rotate(up))
		m.Path.Poses = append(m.Path.Poses, q)
	}
	m.Moves, m.MoveOf = outWords(sys, m.Path, frameOf(w.job.Cabinet, w.job.Opening.Side), w.job.Opening.Side)
	return m
}

// outWords puts the legs of a way out into words, as movesOf does for a way in.
func outWords(sys unit.System, path solid.Path, frame solid.Pose, side scene.Face) (moves []string, of []int) {
	legs := len(path.Poses) - 1
	of = make([]int, legs)
	for i := 0; i < legs; {
		past := i + 1
		for past < legs && sameLine(path, i, past) {
			past++
		}
		if text := legDoes(sys, path.Poses[i], path.Poses[past], path.Ref, frame, side).text(); text != "" {
			moves = append(moves, text)
		}
		for ; i < past; i++ {
			of[i] = max(0, len(moves)-1)
		}
	}
	if len(moves) == 0 {
		moves = []string{"take it out"}
	}
	return asSeen(moves, side), of
}

// Spare says in words how much room there is to spare on the way, and where.
func (w *Way) Spare(s *scene.Scene) string { return spareText(s, w) }

// Manner says in a word how the thing is moved.
func (w *Way) Manner() string { return manner(w) }

// Narrowest marks where the way is narrowest, where anything comes near.
func (w *Way) Narrowest() (mark scene.Mark, ok bool) { return w.narrowest() }

// Readable turns the name of a part into words.
func Readable(part string) string { return readable(part) }

// Nowhere tells whether it is shown that the thing goes in to none of its places.
// Ways are not looked for.
func (j *Job) Nowhere(ctx context.Context) bool {
	off := j
	if o, ok := j.doorOff(); ok {
		off = o
	}
	w := off.remembered(ctx, true, func(ctx context.Context) Way {
		w := Way{Opening: j.Opening.Name, job: off, Reason: "no way was looked for"}
		p := off.pose()
		quick, long := proofs(ctx)
		if p.refuted(ctx, &w, quick) || !waysOnly(ctx) && p.refuted(ctx, &w, long) {
			w.Verdict = verdict.No
		}
		return w
	})
	return w.Verdict == verdict.No
}
