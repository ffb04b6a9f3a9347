package passage

import (
	"context"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Rounded returns boxes within by of s, for proofs.
func Rounded(s solid.Solid, by float64) []r3.Box { return rounded(s, by) }

// Both looks for a way that keeps ever so little room, and for a proof that the
// thing does not go in by as much: never may both succeed.
func Both(ctx context.Context, j *Job) (found, refuted bool) {
	const little = 0.05
	p := j.pose()
	for _, s := range []sweep{oneCoarse, oneMedium, twoCoarse} {
		if _, found = p.search(ctx, little, s); found {
			break
		}
	}
	_, refuted = p.refute(ctx, little, 0, quickProof)
	return found, refuted
}

// Known returns the way that is known of a like job and goes here, too.
func (j *Job) Known(ctx context.Context) (Way, bool) {
	w := Way{Opening: j.Opening.Name, job: j}
	f, ok := j.pose().known(ctx, 0)
	if ok {
		w.take(f)
	}
	return w, ok
}

// PastGates tells whether proofs reckon with holes of other sides.
func PastGates(j *Job) bool {
	b := j.pose().bounds(0)
	return b.inward && b.apart
}

// Nearly looks for a way, however narrow, by a coarse sweep; and for one near by those of
// the sweep that overlap a little.
func Nearly(ctx context.Context, j *Job) (swept bool, w Way) {
	w = Way{Opening: j.Opening.Name, job: j}
	p := j.pose()
	_, swept = p.search(ctx, sliver, oneCoarse)
	if f, ok := p.nearly(ctx, sliver, slight, oneCoarse); ok {
		w.take(f)
	}
	return swept, w
}

// Slight and Deep are what may overlap on a way near by which wider ones are looked for.
const Slight, Deep = slight / 2, deep / 2

// Nearer looks for ways near such as overlap that keep more than the one found.
func Nearer(ctx context.Context, w *Way, overlap float64) {
	n := &narrower{posed: w.job.pose(), way: w, top: w.Margin.Hi.MM()}
	n.most = 1 << 40
	n.nearer(ctx, overlap, twoCoarse)
}

// BeginText says how a thing is turned where its way through a side begins.
func BeginText(side scene.Face, turn quat.Number) string {
	return beginText(solid.Pose{Turn: turn}, frameOf(&scene.Cabinet{}, side), side)
}

// Moves tells a way in, in millimetres.
func Moves(w *Way) []string {
	moves, _ := w.moves(unit.Millimetres)
	return moves
}

// Hands returns where the hands are on each move of a way, one text for each, "" where
// that is as for the move before.
func Hands(s *scene.Scene, w *Way) []string {
	moves, of := movesOf(s.Units, w)
	return sentences(handsOf(s, w, len(moves), of))
}
