package service

import (
	"math"
	"slices"

	"undercroft/fit/verdict"
)

// A peeling is what comes out when everything that can be taken out is, one after
// the other.
type peeling struct {
	out   set
	order []int
}

// peel goes on from what is out already and takes out whatever of may can be
// taken out, in the order of preference where there is a choice. With hope, what
// is not decided counts as coming out: what is then left is shown to block itself.
func (g *graph) peel(from peeling, may set, prefer []int, display, hope bool) peeling {
	p := peeling{slices.Clone(from.out), slices.Clone(from.order)}
	one := func() bool {
		for _, i := range prefer {
			if p.out[i] || !may[i] || !g.pieces[i].needs.within(p.out) {
				continue
			}
			if a := g.decide(i, p.out, display); a.going() || hope && a.verdict == verdict.Unsure {
				p.out[i] = true
				p.order = append(p.order, i)
				return true
			}
		}
		return false
	}
	for {
		// First with what is known, then, where that is stuck, by looking again at
		// all that is left.
		g.questions, g.long = 0, false
		if one() {
			continue
		}
		g.questions, g.long = math.MaxInt, !hope
		if !one() {
			g.questions, g.long = 0, false
			return p
		}
	}
}

// removable returns the pieces that can come out at all; with hope also those of
// which the plan does not say whether they may.
func (g *graph) removable(hope bool) set {
	out := g.none()
	for i := range g.pieces {
		p := &g.pieces[i]
		out[i] = !p.stays && (hope || !p.doubtful)
	}
	return out
}

// indices returns all pieces in order.
func (g *graph) indices() []int {
	out := make([]int, len(g.pieces))
	for i := range out {
		out[i] = i
	}
	return out
}

// A plan tells how a thing is taken out.
type plan struct {
	first set   // what comes out before it, without its own parts
	order []int // all pieces in the order in which they come out, its own last
	// smallest tells that no smaller set of others was left undecided.
	smallest bool
}

const (
	// mostTries bounds how many sets of others are tried for one thing.
	mostTries = 400
	// eachQuestions and allQuestions bound how many ways are looked for to find a
	// smaller set: for one thing, and in all. What is then found is not called the
	// smallest.
	eachQuestions = 4
	allQuestions  = 16
	// plainly is how many pieces a way may run into before a plainer one is looked
	// for.
	plainly = 2
	// While longWhile questions are left, ways are looked for thoroughly.
	longWhile = 12
)

// A search looks for the smallest set of other things that must come out before
// those of goal: a set that meets every proof of a no on the way. Proofs are
// asked for only where they count.
type search struct {
	*graph
	goal  set
	may   set // what can come out
	tried map[string]bool
	left  int  // tries
	doubt bool // something was not decided
}

// smallest returns the smallest plan for goal that was found; there is one, as the
// peeling tells.
func (g *graph) smallest(goal, may set, enough peeling) plan {
	q := &search{graph: g, goal: goal, may: may, left: mostTries}
	base := g.none()
	for i, in := range goal {
		if in {
			base = union(base, g.closure(i))
		}
	}
	base = without(base, goal)
	g.questions = 0
	known := q.byWays(base, enough)
	if slices.Equal(known.first, base) {
		known.smallest = true
		return known
	}
	allowed := min(eachQuestions, g.allowed)
	defer func() {
		g.allowed -= allowed - g.questions
		g.questions, g.long, g.amply = 0, false, false
	}()
	g.amply = true
	g.questions = allowed
	known = q.fewer(known)
	g.long = g.allowed >= longWhile
	q.doubt = false // what was left open on the way to here is asked again
	for most := q.things(base); most < q.things(known.first); most++ {
		q.tried = map[string]bool{}
		if first, order, ok := q.within(base, most); ok {
			return plan{first: first, order: order, smallest: !q.doubt}
		}
		g.long = false
		if q.left == 0 || g.questions == 0 && q.doubt {
			return known
		}
	}
	known.smallest = !q.doubt
	return known
}

// fewer leaves out of a plan what can stay in, as far as half of the questions go:
// what comes out last is tried first.
func (q *search) fewer(p plan) plan {
	keep := q.questions / 2
	for _, i := range slices.Backward(p.order) {
		if !p.first[i] || q.questions <= keep {
			continue
		}
		first := slices.Clone(p.first)
		first[i] = false
		if order, _, ok := q.run(first); ok {
			p = plan{first: first, order: order}
		}
	}
	return p
}

// byWays returns a plan in which all comes out first that the ways that are known
// run into; where that does not do, what is left of a peeling.
func (q *search) byWays(base set, enough peeling) plan {
	first := base
	for i, in := range q.goal {
		if in && q.runsInto(&q.pieces[i], base).count() > plainly {
			q.plainWay(i)
		}
	}
	for range q.pieces {
		order, _, ok := q.run(first)
		if ok {
			return plan{first: first, order: order}
		}
		more := slices.Clone(first)
		for i := range q.pieces {
			if !q.goal[i] && !first[i] {
				continue
			}
			for j, hit := range q.runsInto(&q.pieces[i], first) {
				if with := q.closure(j); hit && q.may[j] && !with.meets(q.goal) && with.within(q.may) {
					more = union(more, with)
				}
			}
		}
		if slices.Equal(more, first) {
			break
		}
		first = more
	}
	return q.thinned(enough)
}

// thinned returns the plan that is left of a peeling without what the goal does not
// need out.
func (q *search) thinned(enough peeling) plan {
	first := q.none()
	for _, i := range enough.order {
		if q.goal[i] {
			break
		}
		first[i] = true
	}
	order, _, _ := q.run(first)
	return q.fewer(plan{first: first, order: order})
}

// within looks for a set of at most so many things that contains first.
func (q *search) within(first set, most int) (set, []int, bool) {
	if q.things(first) > most || q.left == 0 {
		return nil, nil, false
	}
	key := first.key()
	if q.tried[key] {
		return nil, nil, false
	}
	q.tried[key] = true
	q.left--
	order, more, ok := q.run(first)
	if ok {
		return first, order, true
	}
	for i, helps := range more {
		if !helps || first[i] || !q.may[i] {
			continue
		}
		with := q.closure(i)
		if with.meets(q.goal) || !with.within(q.may) {
			continue
		}
		if first, order, ok := q.within(union(first, with), most); ok {
			return first, order, true
		}
	}
	return nil, nil, false
}

// run takes out first and then goal, in whatever order they come. Where that gets
// stuck, every set that holds first and works holds one of more: the first of those
// stuck that comes out needs something else out, of what its proof rests on.
func (q *search) run(first set) (order []int, more set, ok bool) {
	out, all := q.none(), union(first, q.goal)
	take := func(which set) bool {
		for i, in := range which {
			if !in || out[i] || !q.pieces[i].needs.within(out) {
				continue
			}
			if a := q.decide(i, out, q.s.Display != nil); a.going() {
				out[i] = true
				order = append(order, i)
				return true
			}
		}
		return false
	}
	// That the goal is free once all of first are out is the cheaper question, and
	// decides most sets.
	more = q.none()
	if stuck := q.blocked(first); stuck != nil {
		return nil, stuck, false
	}
	for take(first) || take(q.goal) {
	}
	if all.within(out) {
		return order, nil, true
	}
	for i, in := range all {
		if !in || out[i] || !q.pieces[i].needs.within(out) {
			continue
		}
		a := q.decide(i, out, q.s.Display != nil)
		helps, shown := a.helps()
		q.doubt = q.doubt || !shown
		more = union(more, helps)
	}
	return nil, without(more, all), false
}

// blocked takes out goal where first is out; where that gets stuck it returns the
// pieces of which one helps.
func (q *search) blocked(first set) set {
	out := slices.Clone(first)
	for again := true; again; {
		again = false
		for i, in := range q.goal {
			if in && !out[i] && q.pieces[i].needs.within(out) {
				if a := q.decide(i, out, q.s.Display != nil); a.going() {
					out[i], again = true, true
				}
			}
		}
	}
	if q.goal.within(out) {
		return nil
	}
	more := q.none()
	for i, in := range q.goal {
		if in && !out[i] && q.pieces[i].needs.within(out) {
			a := q.decide(i, out, q.s.Display != nil)
			helps, shown := a.helps()
			q.doubt = q.doubt || !shown
			more = union(more, helps)
		}
	}
	return without(without(more, q.goal), first)
}

// things counts the things and fixtures that pieces are of.
func (g *graph) things(pieces set) int {
	var names []string
	for i, in := range pieces {
		if n := g.pieces[i].thing.Name; in && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return len(names)
}

func union(a, b set) set {
	out := slices.Clone(a)
	for i := range b { // b may be nil
		out[i] = out[i] || b[i]
	}
	return out
}

func without(a, b set) set {
	out := slices.Clone(a)
	for i := range b {
		out[i] = out[i] && !b[i]
	}
	return out
}

func (a set) key() string {
	b := make([]byte, len(a))
	for i, in := range a {
		b[i] = '0'
		if in {
			b[i] = '1'
		}
	}
	return string(b)
}
