package service

import (
	"cmp"
	"math"
	"slices"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// The steps before anything goes in: common practice, no source.
const (
	stepGlue = "on the bench: glue the baffles into the sump and let the silicone cure 48 hours"
	stepTest = "on the bench: fill the sump to the brim for 24 hours and look for leaks, then empty it"
)

// bringing returns the graph for bringing things in: what never comes out again
// has to go in, too, and what lifts off goes in with the rest unless it travels
// apart.
func (g *graph) bringing() *graph {
	in := newGraph(g.s, asCarried, g.ways, g.ask, g.hand)
	same := len(in.pieces) == len(g.pieces)
	for i := range in.pieces {
		p := &in.pieces[i]
		same = same && p.Name == g.pieces[i].Name && p.Lifts == g.pieces[i].Lifts && (p.fixture || !p.stays)
		p.stays = p.stays && p.fixture
	}
	if same { // what is known of one is known of the other
		return g
	}
	for i := range in.pieces {
		in.pieces[i].needs = in.needs(i)
	}
	return in
}

// planned returns the pieces in the order in which the plan brings them in; what
// may be taken out to make room comes last.
func (g *graph) planned() []int {
	order := g.indices()
	rank := func(p *piece) int {
		switch {
		case p.fixture:
			return math.MaxInt
		case p.thing.Item == nil:
			return -1
		}
		return p.thing.Order
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rank(&g.pieces[a]), rank(&g.pieces[b])) })
	return order
}

// A sequence is an order in which things come out: the first of them while the
// display stands, the rest once it is off, too.
type sequence struct {
	peeling
	under int // so many come out while the display stands
}

// takeAll takes out everything that can be, the last of the plan first.
func (g *graph) takeAll(hope bool) sequence {
	prefer := g.planned()
	slices.Reverse(prefer)
	// What may be taken out to make room is taken out last of all.
	slices.SortStableFunc(prefer, func(a, b int) int {
		switch p, q := g.pieces[a].fixture, g.pieces[b].fixture; {
		case p == q:
			return 0
		case p:
			return 1
		}
		return -1
	})
	may := g.removable(hope)
	display := g.s.Display != nil
	p := g.peel(peeling{out: g.none()}, may, prefer, display, hope)
	q := sequence{p, len(p.order)}
	if g.displayLater() && !g.all(p.out) {
		q.peeling = g.peel(p, may, prefer, false, hope)
	}
	return q
}

// displayLater tells whether the display is still to come.
func (g *graph) displayLater() bool {
	return g.s.Display != nil && g.s.Display.Standing == scene.NotYet
}

// all tells whether everything that goes in is out.
func (g *graph) all(out set) bool {
	for i := range g.pieces {
		if !out[i] && !g.pieces[i].fixture {
			return false
		}
	}
	return true
}

// order finds an order in which everything goes in, as the reverse of one in which
// everything comes out, or shows that there is none.
//
// What goes in last comes out first, and with fewer things there nothing is ever
// harder to take out: so if taking out whatever can be taken out gets stuck, every
// order does.
func (g *graph) order() verdict.Finding {
	f := verdict.Finding{
		ID: "service/order", Room: math.NaN(), Assumed: assumed(g.s),
		Source: []string{"each step a verified way in, or a proof of none, computed here", "silicone cured and the sump tested on the bench: common practice, no source"},
	}
	q := g.takeAll(false)
	if !g.all(q.out) {
		g.noOrder(&f, q)
		return f
	}
	l := g.listed(q)
	var planned []string
	for _, i := range g.planned() {
		if p := &g.pieces[i]; !p.fixture {
			planned = append(planned, p.Name)
		}
	}
	asPlanned := slices.Equal(l.names, planned)
	f.Verdict = l.verdict
	f.Measures = verdict.Measures{
		{Key: "spare_low_mm", Value: l.margin.Lo.MM()},
		{Key: "spare_high_mm", Value: l.margin.Hi.MM()},
		{Key: "order", Value: l.steps},
		{Key: "goes_in", Value: l.names},
		{Key: "as_planned", Value: asPlanned},
	}
	f.Summary = "everything goes in, one after the other in the order of the plan"
	if !asPlanned {
		f.Summary = "everything goes in, though not shown in the order of the plan, but " + list(l.spoken)
	}
	return f
}

// A listing is an order in words.
type listing struct {
	steps, spoken []string
	names         []string // of the pieces alone
	margin        verdict.Margin
	verdict       verdict.Verdict
}

// listed puts the reverse of a sequence into words.
func (g *graph) listed(q sequence) listing {
	l := listing{margin: verdict.Exactly(unit.Length(math.Inf(1))), verdict: verdict.OK}
	add := func(step, spoken string) {
		l.steps, l.spoken = append(l.steps, step), append(l.spoken, spoken)
	}
	if g.s.Sump != nil {
		if len(g.s.Sump.Baffles) > 0 {
			l.steps = append(l.steps, stepGlue)
		}
		l.steps = append(l.steps, stepTest)
	}
	display := g.s.Display != nil
	const onto = "set the display onto the cabinet"
	out := slices.Clone(q.out)
	for k, i := range slices.Backward(q.order) {
		if k == q.under-1 && q.under < len(q.order) {
			add(onto, "the display onto the cabinet")
		}
		out[i] = false
		a := g.best(i, out, display && k < q.under)
		p := &g.pieces[i]
		if p.fixture {
			add("put "+p.Name+" back, which was taken out to make room", "then "+p.Name+" back in its place")
			continue
		}
		through := a.way.Opening
		if a.way.DoorOff {
			through += " with its door off"
		}
		add("bring in "+passage.Readable(p.Name)+" through "+through, passage.Readable(p.Name))
		l.names = append(l.names, p.Name)
		l.verdict = verdict.Worst(l.verdict, a.verdict)
		l.margin.Lo, l.margin.Hi = min(l.margin.Lo, a.margin.Lo), min(l.margin.Hi, a.margin.Hi)
	}
	if q.under == 0 && g.displayLater() {
		add(onto, "the display onto the cabinet")
	}
	for _, t := range g.s.Things() {
		if t.Soft {
			add("lead in "+t.Name+", which bends", t.Name)
		}
	}
	return l
}

// noOrder fills in that no order was found: the proof that there is none, where
// what nobody decided would not help either.
func (g *graph) noOrder(f *verdict.Finding, some sequence) {
	hope := g.takeAll(true)
	stuck := some
	if !g.all(hope.out) {
		stuck = hope
	}
	display := g.s.Display != nil && !g.displayLater()
	left := g.core(stuck.out, display)
	f.Measures = verdict.Measures{
		{Key: "spare_low_mm", Value: math.Inf(-1)},
		{Key: "spare_high_mm", Value: math.Inf(1)},
		{Key: "order", Value: []string{}},
		{Key: "lock_each_other", Value: left},
	}
	f.Again = "measure again where " + list(left) + " " + stand(len(left)) + ", and the free width and height of the opening"
	if g.all(hope.out) {
		f.Verdict = verdict.Unsure
		f.Summary = "no order was found, and none shown impossible: " + list(left) + " " + is(len(left)) + " left over"
		return
	}
	f.Verdict = verdict.No
	f.Summary = "shown: in no order does everything go in; "
	if len(left) == 1 {
		f.Summary += left[0] + " does not go in even by itself"
	} else {
		f.Summary += list(left) + " lock each other out, whichever goes in first"
	}
}

// core returns the things of the smallest set among those left that keep each
// other in.
func (g *graph) core(out set, display bool) []string {
	var best []string
	for i := range g.pieces {
		if out[i] || g.pieces[i].fixture {
			continue
		}
		only := g.none()
		only[i] = true
		if names := g.loop(only, out, display); best == nil || len(names) < len(best) {
			best = names
		}
	}
	return best
}
