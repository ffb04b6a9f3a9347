package passage

import (
	"context"

	"undercroft/fit/internal/proof"
	"undercroft/fit/verdict"
	"undercroft/scene/solid"
)

// ByCells answers a job by a proof over all depths, also where a slice would do.
func ByCells(ctx context.Context, j *Job) Way {
	const most = 60_000
	w := Way{Opening: j.Opening.Name, job: j}
	p := j.pose()
	e := (j.Tape + 3*verdict.Contact).MM()
	b := p.bounds(0)
	if q, ok := p.throughout(&b, p.eroded(e), e); ok {
		if _, ok := q.search(ctx, proof.Cells, most); ok {
			w.Verdict, w.Proof, w.Proven = verdict.No, string(q.proof.Kind), q.proof
		}
	}
	return w
}

// Refuted looks for a proof that there is no way, whether there is one or not, and
// returns its kind; "" where it finds none.
func Refuted(ctx context.Context, j *Job) string {
	var w Way
	w.job = j
	j.pose().refuted(ctx, &w, quickProof)
	return w.Proof
}

// Straight tells whether a way without any turning is found that keeps spare, in mm.
func Straight(ctx context.Context, j *Job, spare float64) bool {
	_, ok := j.pose().search(ctx, spare, oneMedium.about(nil))
	return ok
}

// Shown tells whether a search by so many cells ends with a proof that the checker accepts,
// and whether with one that it refuses.
func Shown(ctx context.Context, j *Job, cells int) (shown, refused bool) {
	p := j.pose()
	e := (j.Tape + 3*verdict.Contact).MM()
	b := p.bounds(0)
	q, ok := p.throughout(&b, p.eroded(e), e)
	if !ok {
		return false, false
	}
	q.boxes = asLayers
	_, ok = q.search(ctx, proof.Bands, cells)
	return ok, q.proof != nil && !ok
}

// Led returns a way that the search for a proof that the thing as measured does not go in
// comes upon, and whether it holds; with past one past what stands about, on the side of it
// where the hole is.
func Led(ctx context.Context, j *Job, cells int, past bool) (way solid.Path, holds bool) {
	p := j.pose()
	e := (3 * verdict.Contact).MM()
	b := p.bounds(0)
	q, ok := p.throughout(&b, p.eroded(e), e)
	if !ok {
		return solid.Path{}, false
	}
	if q.boxes = asLayers; past {
		q.boxes = asSides
	}
	q.search(ctx, proof.Bands, cells)
	f, holds := p.led(sliver)
	return f.path, holds
}
