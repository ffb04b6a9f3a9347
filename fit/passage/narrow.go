package passage

import (
	"context"
	"math"
	"time"

	"undercroft/fit/verdict"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// How near the two ends of the room to spare are brought together, in mm: as near as
// is enough to know, and where that is not much dearer below what a tape tells.
const narrow, closed = 0.5, 0.25

type leastKey struct{}

// AtLeast returns a context in which Check tells how much room to spare a way keeps
// at least, and looks for no proof that none keeps more, nor for harder ways that do:
// for one of many plans that are tried.
func AtLeast(ctx context.Context) context.Context { return context.WithValue(ctx, leastKey{}, true) }

func atLeast(ctx context.Context) bool { return ctx.Value(leastKey{}) != nil }

type narrowingKey struct{}

// Narrowing returns a context in which Check looks for as long as d into how much room
// ways keep: that decides nothing. What it does not get to is known less closely.
func Narrowing(ctx context.Context, d time.Duration) context.Context {
	return context.WithValue(ctx, narrowingKey{}, d)
}

// narrowing returns the context in which Check does that.
func narrowing(ctx context.Context) (context.Context, context.CancelFunc) {
	if d, ok := ctx.Value(narrowingKey{}).(time.Duration); ok {
		return context.WithTimeout(ctx, d)
	}
	return ctx, func() {}
}

// Narrow brings the ends of the room to spare of a way closer together: it looks for
// ways that keep more, and for proofs that none keeps much more, in turn, the cheapest
// of both first. A way that is ok stays the way; what keeps more but is harder to carry
// out is its Wider. Room of more than an inch need not be known closer. What the verdict
// hangs on is decided before. Of a way to one of many places nothing more is known: a way
// to another may keep more. It takes about as many steps as most, and returns how
// many; a step is one turn and depth of a search, some microseconds, and a cell of a proof
// costs as much as twelve or more.
func (w *Way) Narrow(ctx context.Context, most int) (steps int) {
	if !w.Going() || w.job == nil || w.job.Places != nil || w.Margin.Lo.MM() >= measured || asFound(ctx) {
		return 0
	}
	n := &narrower{posed: w.job.pose(), way: w}
	n.most = most
	n.top = w.Margin.Hi.MM()
	if rest, ok := n.atRest(); ok && rest.most < n.top {
		rest.doorOff = w.DoorOff
		n.top, w.Most = rest.most, rest
	}
	n.roomy = n.roomiest(n.wanted())
	w.take(n.easier(w.found()))
	n.keep(n.raised(ctx, w.found(), n.wanted(), w.axes))
	if atLeast(ctx) {
		n.raise(ctx, oneMedium.about(w.axes))
		w.judged()
		return n.steps
	}
	n.turned(ctx)
	hard := len(w.axes) > 1 // and so the first that was found, seldom the widest
	if hard {
		n.nearer(ctx, slight/2, twoCoarse)
	}
	n.cap(ctx, budget{slice: 250, cells: 250})
	if !hard {
		n.raise(ctx, oneMedium.about(w.axes))
	}
	n.raise(ctx, oneCoarse)
	n.cap(ctx, budget{slice: 1000, cells: 1000, boxed: 1000})
	if !hard {
		n.nearer(ctx, slight/2, twoCoarse)
	}
	if n.wide() {
		n.nearer(ctx, deep/2, twoCoarse)
	}
	n.cap(ctx, budget{slice: 1000, cells: 4000, boxed: 4000})
	if n.wide() {
		n.raise(ctx, twoCoarse)
		n.cap(ctx, budget{slice: 4000, cells: 16_000, boxed: 8000})
	}
	// Where hardly more than a way is free, fine searches soon come to their end.
	if n.wide() {
		n.raise(ctx, twoClose)
		n.raise(ctx, anyCoarse)
		n.between(ctx, budget{slice: 1000, cells: 4000, boxed: 1000})
		n.cap(ctx, budget{slice: 16_000, cells: 64_000, boxed: 16_000})
	}
	w.Margin.Hi = unit.Length(n.top)
	if w.judged(); w.Wider != nil {
		w.Wider.Margin.Hi = w.Margin.Hi
	}
	return n.steps
}

// Room returns how much room there is on the best of all ways: what the widest one that
// was found keeps, and what surely none does.
func (w *Way) Room() verdict.Margin {
	m := w.Margin
	if w.Wider != nil {
		m.Lo = w.Wider.Margin.Lo
	}
	return m
}

// narrower brings the ends of the room to spare of one way together.
type narrower struct {
	*posed
	way *Way
	top float64 // mm, which surely no way keeps more than
	// alone are parts of the thing each by itself, which is easier to show something of.
	alone []*posed
}

// low is the most room, in mm, that a way was found with.
func (n *narrower) low() float64 { return n.way.Room().Lo.MM() }

// open tells whether there is more to know, and steps are left.
func (n *narrower) open(ctx context.Context) bool {
	return n.top-n.low() > closed+verdict.Resolution.MM() && n.low() < measured && ctx.Err() == nil && n.steps < n.most
}

// wide tells whether the ends are so far apart that not even enough is known.
func (n *narrower) wide() bool { return n.top-n.low() > narrow }

// wanted is the most room, in mm, that a way is looked for with: enough for it to be
// more than anybody needs to know.
func (n *narrower) wanted() float64 { return min(n.top, measured+closed) }

// keep takes a way that keeps more than what there is: as the way, unless that is ok
// and easier to carry out by more than one move.
func (n *narrower) keep(f found) {
	w := n.way
	if f.clear.Low <= n.low() {
		return
	}
	f = n.easier(f)
	v := Way{Opening: w.Opening, DoorOff: w.DoorOff, Margin: w.Margin, job: w.job}
	v.take(f)
	v.judged()
	moves, _ := movesOf(unit.Millimetres, &v)
	fewest, _ := movesOf(unit.Millimetres, w)
	if w.judged().Verdict == verdict.OK && (len(v.axes) > len(w.axes) || len(moves) > len(fewest)+1) {
		w.Wider = &v
		return
	}
	w.take(f)
	w.Wider = nil
}

// easier returns a way made as easy to carry out as can be without keeping less.
func (p *posed) easier(f found) found {
	if f.clear.Low <= 0 {
		return f // it touches: there is no room to choose from
	}
	e := p.easer(f.clear.Low - rounding)
	poses := p.inFrameAll(f.path.Poses[:len(f.path.Poses)-1])
	way, ok := p.brought(e, e.easier(solid.Path{Ref: p.ref, Poses: poses}))
	if !ok {
		return f
	}
	g, ok := p.proved(way, f.clear.Low)
	if !ok {
		return f
	}
	g.axes = f.axes
	return g
}

// raise looks for other ways that keep more.
func (n *narrower) raise(ctx context.Context, s sweep) {
	for _, axes := range s.axes {
		for n.open(ctx) {
			f, ok := n.search(ctx, n.low()+closed, s.about(axes))
			if !ok {
				break
			}
			n.keep(n.raised(ctx, f, n.wanted(), axes))
		}
	}
}

// nearer looks for ways that keep more near such as overlap a little.
func (n *narrower) nearer(ctx context.Context, overlap float64, s sweep) {
	for _, axes := range s.axes {
		for n.open(ctx) {
			f, ok := n.nearly(ctx, n.low()+closed, overlap, s.about(axes))
			if !ok {
				break
			}
			n.keep(n.raised(ctx, f, n.wanted(), anyTurns[0]))
		}
	}
}

// turned looks for a way near by that keeps more where the thing may be turned about any
// axis: it is to be worth the harder moves.
func (n *narrower) turned(ctx context.Context) {
	w := n.way
	if len(w.axes) > 1 || !n.open(ctx) {
		return
	}
	if f := n.raised(ctx, w.found(), n.wanted(), anyTurns[0]); f.clear.Low >= n.low()+closed {
		n.keep(f)
	}
}

// cap looks for a proof that no way keeps much more than what was found: first such that
// enough is known, and if there is one a closer one, where that is not dear. Where that
// leads to a way that keeps more, it looks again.
func (n *narrower) cap(ctx context.Context, most budget) {
	const less, dear = 0.005, 1000 // less pays for contacts
	for n.open(ctx) && n.wide() {
		low := n.low()
		if !n.bound(ctx, low+narrow-less, most) && n.low() < low+closed {
			return
		}
	}
	if n.open(ctx) && most.cells <= dear {
		n.bound(ctx, n.low()+closed, most)
	}
}

// between looks for the least room that surely no way keeps.
func (n *narrower) between(ctx context.Context, most budget) {
	lo := n.low() + closed
	for n.open(ctx) && n.top-lo > closed && lo < measured {
		try := (lo + n.top) / 2
		if math.IsInf(try, 0) {
			try = min(measured, 2*lo+1)
		}
		if !n.bound(ctx, try, most) {
			lo = try
		}
	}
}

// bound looks for a proof that no way keeps so much room, in mm, a part of the cells at a
// time, and tries what that comes upon until it leads to a way that keeps more.
func (n *narrower) bound(ctx context.Context, room float64, most budget) bool {
	const parts = 8
	low := n.low()
	for i := 1; i <= parts && n.open(ctx); i++ {
		part := budget{slice: most.slice, cells: most.cells * i / parts, boxed: most.boxed * i / parts}
		for again := true; again && n.open(ctx); {
			m, ok := n.refuted(ctx, room, part)
			if ok && m.most < n.top {
				n.top, n.way.Most = m.most, m
			}
			if ok {
				return true
			}
			again = len(n.stays) > 0
			if f, ok := n.led(min(low+closed, room)); ok {
				n.keep(n.raised(ctx, f, n.wanted(), f.axes))
			}
			if n.low() > low {
				return false
			}
		}
	}
	return false
}

// fewLayers is how many cells of a room of layers alone are looked at where there are boxes.
const fewLayers = 1000

// refuted looks for a proof that the thing, or a part of it alone, does not go in
// keeping so much room.
func (n *narrower) refuted(ctx context.Context, room float64, most budget) (*Most, bool) {
	const cheapest, boxes = 12, 40 // steps of a cell, and of one with boxes
	left := max(0, n.most-n.steps)
	most.cells, most.boxed = min(most.cells, left/cheapest), min(most.boxed, left/boxes)
	if b := n.bounds(0); b.bounded() {
		if most.cells > firstSlice {
			most.slice = 0 // where there are bands, slices were tried with as many cells
		}
		if len(b.boxes) > 0 {
			most.cells = min(most.cells, fewLayers) // boxes show more in hardly more time
		}
	}
	m := &Most{job: n.Job, doorOff: n.way.DoorOff, most: room + contacts.MM(), around: room}
	for _, q := range n.parts() {
		q.steps = 0
		few := most // what is shown of a part alone is shown soon
		few.cells, few.boxed = min(few.cells, fewLayers), 0
		r, ok := q.refute(ctx, contacts.MM(), room, few)
		if n.steps += q.steps; ok {
			m.part, m.proof = q.Parts[0].Name, r.proof
			return m, true
		}
	}
	r, ok := n.refute(ctx, contacts.MM(), room, most)
	m.proof = r.proof
	return m, ok
}

// parts returns the parts of a thing of several that have to go through the opening
// by themselves, too.
func (n *narrower) parts() []*posed {
	if n.alone != nil || len(n.Parts) == 1 {
		return n.alone
	}
	for i := range n.Parts {
		if j, ok := n.part(i); ok {
			n.alone = append(n.alone, j.pose())
		}
	}
	return n.alone
}

// part returns the job of a part alone, where it has to go through the opening by itself,
// too: the main one does, and all do where there is no other hole.
func (p *posed) part(i int) (*Job, bool) {
	b := p.bounds(0)
	if i > 0 && (!b.closed || len(b.holes) != 1) {
		return nil, false
	}
	j := *p.Job
	j.Parts, j.Open, j.Reaching = p.Parts[i:i+1], nil, nil
	return &j, true
}
