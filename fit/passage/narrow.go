package passage

import (
	"context"
	"math"

	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// closed is how near the two ends of the room to spare are brought together, in
// mm: below what a tape tells.
const closed = 0.25

// narrowProof is the budget of one proof that no way keeps more.
var narrowProof = budget{slice: 1000, cells: 1500, near: true}

type leastKey struct{}

// AtLeast returns a context in which Check tells how much room to spare a way keeps
// at least, and looks for no proof that none keeps more: for one of many plans that
// are tried.
func AtLeast(ctx context.Context) context.Context { return context.WithValue(ctx, leastKey{}, true) }

func atLeast(ctx context.Context) bool { return ctx.Value(leastKey{}) != nil }

// Narrow brings the ends of the room to spare of a way closer together: first it
// looks for ways that keep more, of one that is ok only for others that are as
// easy, then for proofs that none keeps much more. Room
// of more than an inch need not be known closer. What the verdict hangs on is
// decided before. It takes about as many steps as most, and returns how many; a
// step is one turn and depth of a search, and a cell of a proof costs as much as
// twelve or more.
func (w *Way) Narrow(ctx context.Context, most int) (steps int) {
	if !w.Going() || w.job == nil || w.Margin.Lo.MM() >= measured || asFound(ctx) {
		return 0
	}
	p := w.job.pose()
	p.most = most
	room := unit.Length(p.roomInPlace())
	p.raise(ctx, w, min(w.Margin.Hi, room).MM())
	if !atLeast(ctx) {
		w.Margin.Hi = min(w.Margin.Hi, room)
		p.cap(ctx, w)
	}
	w.judged()
	return p.steps
}

// raise looks for a way that keeps more, where none keeps more than most: of one
// that is ok only among those that are as easy.
func (p *posed) raise(ctx context.Context, w *Way, most float64) {
	sweeps := []sweep{oneCoarse, oneMedium.about(w.axes), twoCoarse}
	if w.Verdict == verdict.OK {
		sweeps = []sweep{oneCoarse.about(w.axes), oneMedium.about(w.axes)}
	}
	for _, s := range sweeps {
		lo, hi := w.Margin.Lo.MM(), min(most, measured+2*closed)
		// Most ways have either plenty of room or hardly more than was asked for.
		for try := hi - closed/2; hi-lo > closed && ctx.Err() == nil && p.steps < p.most; try = (lo + hi) / 2 {
			f, ok := p.search(ctx, try, s)
			if !ok || w.Verdict == verdict.OK && len(f.path.Poses) > len(w.Path.Poses) {
				hi = try
				continue
			}
			if f.clear.Low > w.Margin.Lo.MM() {
				w.take(f)
			}
			lo = max(try, f.clear.Low)
		}
	}
}

// cap looks for the least room that surely no way keeps.
func (p *posed) cap(ctx context.Context, w *Way) {
	// As for a no, contacts pay for what only touches and for grown boxes.
	const contacts = 3 * verdict.Contact
	lo, hi := w.Margin.Lo.MM(), w.Margin.Hi.MM()
	if lo >= measured {
		return
	}
	for try := lo + closed; hi-try > closed/2 && ctx.Err() == nil && p.steps < p.most; {
		if _, ok := p.refute(ctx, contacts.MM(), try, narrowProof); ok {
			hi = try
		} else {
			lo = try
		}
		if math.IsInf(hi, 0) {
			if try >= measured {
				break
			}
			try = min(measured, 4*try+1)
			continue
		}
		if hi-lo <= closed {
			break
		}
		try = (lo + hi) / 2
	}
	w.Margin.Hi = min(w.Margin.Hi, unit.Length(hi)+contacts)
}

// roomInPlace returns what no way can keep, in mm, because the main part has no
// more between the cabinet's walls where it ends: turned as at rest, not far from
// there. Infinite where nothing sure bounds it on both sides.
func (p *posed) roomInPlace() float64 {
	b := p.bounds()
	m := p.moving()[0].Bounds()
	room := math.Inf(1)
	// Somewhere past the panel it is as wide and high there as it is anywhere.
	past := m.Min.Y-near >= b.thick || isBox(p.moving()[0]) && m.Max.Y-near > b.thick
	if p.RestAssumed || !b.closed || !past {
		return room
	}
	for _, e := range [...]struct{ wall0, wall1, lo, hi float64 }{
		{b.inside.X0, b.inside.X1, m.Min.X, m.Max.X},
		{b.inside.Z0, b.inside.Z1, m.Min.Z, m.Max.Z},
	} {
		// What is longer than it may be moved about stays between the walls: it would
		// have to be in one of them on the way past it.
		if e.hi-e.lo > 2*near && e.wall0 <= e.lo && e.hi <= e.wall1 {
			room = min(room, ((e.wall1-e.wall0)-(e.hi-e.lo))/2)
		}
	}
	return room
}
