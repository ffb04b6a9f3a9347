// Package arrange finds places for bodies made of boxes along the axes, so that
// the least room between them is largest, or shows that there are none.
//
// Two boxes are apart where one is beyond the other along some axis; a choice of
// axis and side for each pair leaves differences of coordinates that must not be
// too small, and whether those can be had together is decided exactly, in whole
// nanometres, by longest paths: a cycle that gains is the proof that they cannot
// (R. Bellman, Quarterly of Applied Mathematics 16, 1958; from memory). So a search through the
// choices that ends empty shows that there are no places. Where two boxes may be
// apart across a corner, the choice is an interval of directions, halved until it
// is narrow.
//
// The room to spare counts as the distance, not along an axis. What is found keeps
// the room that it tells; that nothing keeps more is not shown where the search
// ended for its steps.
package arrange

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Fixed stands for what does not move, as a body.
const Fixed = -1

// A Box is a box along the axes, in nanometres.
type Box struct{ Min, Max [3]int64 }

// A Pair is two boxes that must keep apart. The box of a body counts from the
// place of the body, one of what is Fixed from the origin.
type Pair struct {
	A, B       int // A is a body
	BoxA, BoxB Box
	// Room is how far they must be apart; where it is negative they may overlap so
	// far along some axis.
	Room int64
	// Counts tells that the room beyond Room is to be large, and may be negative as
	// long as they do not overlap. Room is not negative then.
	Counts bool
}

// A Bound is that a body's place along an axis is at least so far beyond that of
// another.
type Bound struct {
	Axis     int
	From, To int
	Least    int64
}

// A Clause is bounds of which one must hold.
type Clause []Bound

// A Problem asks for the places of bodies. Its bounds must hold every body within
// some distance of what is Fixed on every axis, if by way of others.
type Problem struct {
	Bodies  int
	Pairs   []Pair
	Bounds  []Bound
	Clauses []Clause
}

// Unlimited is the Beyond of places among which nothing counts.
const Unlimited int64 = 1e11

// An Answer is one way to place the bodies of a problem.
type Answer struct {
	Problem int
	At      [][3]int64 // the places
	// Beyond is the least room beyond what is wanted of the pairs that count.
	Beyond int64

	node     *node
	critical []int
}

// A State is how a search ended.
type State int

// The states.
const (
	Spent State = iota // the steps are used up, or the context ended
	Found              // an answer is at hand
	None               // shown: there is no other
)

// A Search looks for the best answer to one of several problems.
type Search struct {
	problems []*Problem
	steps    int
	// least is how much room beyond what is wanted is looked for.
	least int64
	// corners tells that boxes apart across a corner are looked for, too. Without
	// them the room that is found may be less.
	corners bool
	work    scratch
}

// NewSearch returns a search that takes at most so many steps, the first answers more
// of them than later ones.
func NewSearch(problems []*Problem, steps int) *Search {
	return &Search{problems: problems, steps: steps, least: math.MinInt64}
}

// Steps returns how many steps are left.
func (s *Search) Steps() int { return s.steps }

// Avoid adds a clause to a problem: answers found from now on satisfy it.
func (s *Search) Avoid(problem int, c Clause) {
	p := *s.problems[problem]
	p.Clauses = append(slices.Clip(p.Clauses), c)
	s.problems[problem] = &p
}

// Next returns the best answer. It is Found, or there is None, or the steps are Spent
// before one was found.
//
// It dives for a first answer to each problem, and then goes through the problems, the
// one with the best first answer first, for better ones.
func (s *Search) Next(ctx context.Context) (Answer, State) {
	limit := s.steps / answers
	var best Answer
	found := false
	dives := make([]Answer, 0, len(s.problems))
	for i := range s.problems {
		a, state := s.dive(ctx, i, max(leastDive, limit/(4*len(s.problems))), s.least, false)
		switch state {
		case Found:
			dives = append(dives, a)
			if !found || a.Beyond > best.Beyond {
				best, found = a, true
			}
		case Spent:
			dives = append(dives, Answer{Problem: i, Beyond: math.MinInt64})
		case None:
		}
	}
	if len(dives) == 0 {
		return Answer{}, None
	}
	limit = max(limit-limit/4, 0)
	slices.SortStableFunc(dives, func(a, b Answer) int { return cmp.Compare(b.Beyond, a.Beyond) })
	all := true
	for _, d := range dives {
		least := s.least
		if found {
			least = best.Beyond + alike
		}
		if found && limit == 0 {
			break
		}
		had := s.steps
		// Half of what is left for the first, and so on.
		a, state := s.dive(ctx, d.Problem, max(leastDive, limit/2), least, true)
		limit = max(0, limit-(had-s.steps))
		if state == Found {
			best, found = a, true
		}
		all = all && state != Spent
	}
	switch {
	case found:
		return best, Found
	case all:
		return Answer{}, None
	}
	return Answer{}, Spent
}

const (
	// answers is the share of the steps left that is taken for one answer.
	answers = 3
	// leastDive is how many steps are taken at least for one problem.
	leastDive = 100
)

// dive looks for an answer to one problem with at least so much room, in depth, and
// goes on for better ones where it is asked to. It is None where there is none, and
// Found or Spent where the steps ended.
func (s *Search) dive(ctx context.Context, problem, steps int, least int64, on bool) (best Answer, state State) {
	p := s.problems[problem]
	end := max(0, s.steps-steps)
	root := &node{problem: problem, beyond: Unlimited}
	edges := root.edgesOf(p)
	var open []*node
	if s.settled(root, &edges, least) {
		open = append(open, root)
	}
	state = None
	for len(open) > 0 {
		if s.steps <= end || ctx.Err() != nil {
			if state != Found {
				state = Spent
			}
			return best, state
		}
		n := open[len(open)-1]
		open = open[:len(open)-1]
		if n.beyond < least {
			continue
		}
		next, answer := s.look(n, least)
		if !answer {
			open = append(open, next...)
			continue
		}
		best, state = Answer{problem, n.at, n.beyond, n, n.critical}, Found
		if !on {
			break
		}
		least = n.beyond + alike
	}
	return best, state
}

// A node is a set of choices.
type node struct {
	parent  *node
	problem int
	choice  choice
	beyond  int64 // nothing that goes by these choices keeps more
	at      [][3]int64
	// critical are the pairs that beyond hangs on.
	critical []int
}

// A choice is on which side of each other the boxes of a pair are, or which bound
// of a clause holds.
type choice struct {
	pair   int
	sector sector
	bound  *Bound
}

// A sector is an interval of directions from box A to box B.
type sector struct {
	kind  sectorKind
	axis  int // B is beyond A along this one
	sign  int // or before it, where negative
	other int // axis across, and its sign, of a corner
	cross int
	// lo and hi are the angles of a corner from the axis toward other, in degrees.
	lo, hi float64
}

type sectorKind int

const (
	unchosen sectorKind = iota
	coarse              // within 45 degrees of the axis
	straight            // along the axis
	corner              // across a corner, the angle between lo and hi
	narrow              // across a corner at the angle lo
)

// part is the unit of shares of room.
const part = 1_000_000

// narrowest is how narrow a sector has to be, in degrees, to be taken for one
// direction.
const narrowest = 1

// An edge is that one place lies beyond another by a least length and a share of
// the room t beyond what is wanted.
type edge struct {
	from, to int
	least    int64
	share    int64
	pair     int
}

// settled finds the room that a node leaves, which asks for some edges; false where
// its choices cannot be had together with so much.
func (s *Search) settled(n *node, edges *[3][]edge, least int64) bool {
	s.steps--
	// With less room than none boxes would overlap.
	p := s.problems[n.problem]
	return n.settle(edges, p.Bodies, &s.work) && n.beyond >= max(least, -p.mostRoom())
}

// A branch is a node that is refined.
type branch struct {
	*node
	edges [3][]edge
	// first and last are between which places the bodies are at the least room.
	least       int64
	first, last [3][]int64
}

// branch returns a node to refine, for so much room.
func (s *Search) branch(n *node, least int64) *branch {
	p := s.problems[n.problem]
	b := &branch{node: n, edges: n.edgesOf(p), least: max(least, -p.mostRoom())}
	for axis := range 3 {
		s.work.extremes(b.edges[axis], p.Bodies, b.least)
		b.first[axis], b.last[axis] = slices.Clone(s.work.first), slices.Clone(s.work.last)
	}
	return b
}

// can tells whether a distance between the places of two bodies is possible.
func (b *branch) can(axis, from, to int, least int64) bool {
	bodies := len(b.at)
	return b.first[axis][index(from, bodies)]+least <= b.last[axis][index(to, bodies)]
}

// refine returns the node with one choice more; nil where that cannot be.
func (s *Search) refine(b *branch, c choice) *node {
	p := s.problems[b.problem]
	var more [3][]edge
	c.edges(p, &more)
	for axis := range more {
		for _, e := range more[axis] {
			if !b.can(axis, e.from, e.to, e.weight(b.least)) {
				s.steps--
				return nil
			}
		}
		more[axis] = append(slices.Clip(b.edges[axis]), more[axis]...)
	}
	child := &node{parent: b.node, problem: b.problem, choice: c, beyond: b.beyond, critical: b.critical}
	if !s.settled(child, &more, b.least) {
		return nil
	}
	return child
}

// look tells whether a node is an answer, or returns its refinements, the most
// promising last.
func (s *Search) look(n *node, least int64) (next []*node, answer bool) {
	p := s.problems[n.problem]
	var choices []choice
	b := s.branch(n, least)
	for _, c := range p.Clauses {
		if slices.ContainsFunc(c, func(b Bound) bool { return difference(n.at, b) >= b.Least }) {
			continue
		}
		for i := range c {
			choices = append(choices, choice{pair: -1, bound: &c[i]})
		}
		break
	}
	if choices == nil {
		pair := s.pick(b)
		if pair < 0 {
			return nil, true
		}
		for _, c := range p.Pairs[pair].refined(n.sectorOf(pair), s.corners) {
			choices = append(choices, choice{pair: pair, sector: c})
		}
	}
	for _, c := range choices {
		if child := s.refine(b, c); child != nil {
			next = append(next, child)
		}
	}
	slices.SortStableFunc(next, func(a, b *node) int { return cmp.Compare(a.beyond, b.beyond) })
	return next, false
}

// pick returns the pair to choose about: of those that are too near each other the
// one that can be apart in the fewest ways, then the one that is nearest; -1 for none.
func (s *Search) pick(b *branch) int {
	p := s.problems[b.problem]
	pair, ways, by := -1, 0, 0.0
	for i := range p.Pairs {
		q := &p.Pairs[i]
		d := q.wanted(b.beyond) - q.distance(b.at)
		if d <= slack {
			continue
		}
		if n := q.ways(b); pair < 0 || n < ways || n == ways && d > by {
			pair, ways, by = i, n, d
		}
	}
	return pair
}

// ways counts along which axes and to which sides a pair can be apart at all.
func (q *Pair) ways(b *branch) int {
	room := q.Room
	if q.Counts {
		room = max(0, q.Room+b.least)
	}
	n := 0
	for k := range 3 {
		if b.can(k, q.A, q.B, q.BoxA.Max[k]-q.BoxB.Min[k]+min(0, room)) {
			n++
		}
		if b.can(k, q.B, q.A, q.BoxB.Max[k]-q.BoxA.Min[k]+min(0, room)) {
			n++
		}
	}
	return n
}

// slack is by how much rounding may let boxes be nearer, in nanometres.
const slack = 8.0

// sectorOf returns what was chosen last for a pair.
func (n *node) sectorOf(pair int) sector {
	for ; n.parent != nil; n = n.parent {
		if n.choice.bound == nil && n.choice.pair == pair {
			return n.choice.sector
		}
	}
	return sector{}
}

func difference(at [][3]int64, b Bound) int64 {
	return coordinate(at, b.To, b.Axis) - coordinate(at, b.From, b.Axis)
}

func coordinate(at [][3]int64, body, axis int) int64 {
	if body == Fixed {
		return 0
	}
	return at[body][axis]
}

// wanted returns the room that the pair must keep if t is that beyond what is
// wanted.
func (q *Pair) wanted(t int64) float64 {
	if q.Counts {
		return float64(max(0, q.Room+t))
	}
	return float64(q.Room)
}

// distance returns how far the boxes are apart; negative where they overlap.
func (q *Pair) distance(at [][3]int64) float64 {
	squares, most := 0.0, math.Inf(-1)
	for k := range 3 {
		a, b := coordinate(at, q.A, k), coordinate(at, q.B, k)
		d := float64(max(b+q.BoxB.Min[k]-a-q.BoxA.Max[k], a+q.BoxA.Min[k]-b-q.BoxB.Max[k]))
		most = max(most, d)
		if d > 0 {
			squares += d * d
		}
	}
	if most <= 0 {
		return most
	}
	return math.Sqrt(squares)
}

// refined returns sectors that together hold all directions of one in which the
// pair can be apart; those across corners only where they are asked for.
func (q *Pair) refined(c sector, corners bool) []sector {
	switch c.kind {
	case unchosen:
		kind := coarse
		if !corners || !q.Counts && q.Room <= 0 {
			kind = straight // to be apart at all is exactly to be so along an axis
		}
		var out []sector
		for axis := range 3 {
			k := kind
			if axis == 2 {
				k = straight
			}
			out = append(out, sector{kind: k, axis: axis, sign: 1}, sector{kind: k, axis: axis, sign: -1})
		}
		return out
	case coarse:
		out := []sector{{kind: straight, axis: c.axis, sign: c.sign}}
		for _, cross := range []int{1, -1} {
			out = append(out, sector{kind: corner, axis: c.axis, sign: c.sign, other: 1 - c.axis, cross: cross, hi: 45})
		}
		return out
	case corner:
		mid := (c.lo + c.hi) / 2
		if c.hi-c.lo <= narrowest {
			c.kind, c.lo, c.hi = narrow, mid, mid
			return []sector{c}
		}
		low, high := c, c
		low.hi, high.lo = mid, mid
		return []sector{low, high}
	case straight, narrow:
	}
	return nil // it keeps apart, up to rounding
}

// edges appends what a sector asks of the places, by axis.
func (q *Pair) edges(c sector, pair int, out *[3][]edge) {
	along := func(axis, sign int, share int64) {
		from, to, least := q.A, q.B, q.BoxA.Max[axis]-q.BoxB.Min[axis]
		if sign < 0 {
			from, to, least = q.B, q.A, q.BoxB.Max[axis]-q.BoxA.Min[axis]
		}
		if !q.Counts {
			out[axis] = append(out[axis], edge{from, to, least + shareOf(share, q.Room), 0, pair})
			return
		}
		out[axis] = append(out[axis], edge{from, to, least, 0, pair})
		if share > 0 {
			out[axis] = append(out[axis], edge{from, to, least + shareOf(share, q.Room), share, pair})
		}
	}
	sin, cos := shareAt(c.lo), shareAt(90-c.hi)
	switch c.kind {
	case unchosen:
	case coarse:
		along(c.axis, c.sign, shareAt(45))
	case straight:
		along(c.axis, c.sign, part)
	case corner:
		along(c.axis, c.sign, cos)
		along(c.other, c.cross, sin)
	case narrow: // what is asked for is enough: rounded up
		along(c.axis, c.sign, cos+1)
		along(c.other, c.cross, sin+1)
	}
}

// shareAt returns the share of a distance that is along an axis at an angle from the
// one across, in degrees, rounded down.
func shareAt(deg float64) int64 { return int64(part * math.Sin(deg*math.Pi/180)) }

// shareOf returns a share of a length, rounded down: what is asked of the places is
// never more than it should be, but for what is whole.
func shareOf(share, length int64) int64 {
	if share == part {
		return length
	}
	return floorDiv(share*length, part)
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// edges appends what a choice asks of the places, by axis.
func (c *choice) edges(p *Problem, out *[3][]edge) {
	if b := c.bound; b != nil {
		out[b.Axis] = append(out[b.Axis], edge{b.From, b.To, b.Least, 0, -1})
		return
	}
	p.Pairs[c.pair].edges(c.sector, c.pair, out)
}

// edgesOf returns what the bounds and all choices of a node ask of the places, but for
// what others ask anyway.
func (n *node) edgesOf(p *Problem) [3][]edge {
	var out [3][]edge
	for _, b := range p.Bounds {
		out[b.Axis] = append(out[b.Axis], edge{b.From, b.To, b.Least, 0, -1})
	}
	for m := n; m.parent != nil; m = m.parent {
		m.choice.edges(p, &out)
	}
	most := p.mostRoom()
	for axis := range out {
		kept := out[axis][:0]
		for _, e := range out[axis] {
			if slices.ContainsFunc(kept, func(o edge) bool { return o.covers(e, most) }) {
				continue
			}
			kept = slices.DeleteFunc(kept, func(o edge) bool { return e.covers(o, most) })
			kept = append(kept, e)
		}
		out[axis] = kept
	}
	return out
}

// mostRoom returns the most room that is wanted: room beyond that is never less than
// so much.
func (p *Problem) mostRoom() int64 {
	most := int64(0)
	for i := range p.Pairs {
		if q := &p.Pairs[i]; q.Counts {
			most = max(most, q.Room)
		}
	}
	return most
}

// covers tells whether an edge asks for no less than another, whatever the room beyond
// what is wanted, down to so much less.
func (e edge) covers(o edge, most int64) bool {
	return e.from == o.from && e.to == o.to && e.share >= o.share && e.weight(-most) >= o.weight(-most)
}

// settle finds the most room that edges leave, and places that keep it; false where
// they cannot be had together.
func (n *node) settle(edges *[3][]edge, bodies int, w *scratch) bool {
	for axis := range 3 {
		for {
			cycle, gains := w.gaining(edges[axis], bodies, n.beyond)
			if !gains {
				break
			}
			least, share := int64(0), int64(0)
			n.critical = nil
			for _, e := range cycle {
				least, share = least+e.least, share+e.share
				if e.share > 0 && !slices.Contains(n.critical, e.pair) {
					n.critical = append(n.critical, e.pair)
				}
			}
			if share == 0 {
				return false
			}
			n.beyond = floorDiv(-least*part, share)
		}
	}
	n.at = w.middles(edges, bodies, n.beyond)
	return true
}

// A scratch is memory that is used again and again.
type scratch struct {
	at, first, last []int64
	by              []int
	cycle           []edge
}

// weight returns what an edge asks for at the room t.
func (e edge) weight(t int64) int64 { return e.least + shareOf(e.share, t) }

// index returns the index of a body; what is fixed has the last.
func index(body, bodies int) int {
	if body == Fixed {
		return bodies
	}
	return body
}

// sized returns a slice of n values, in the memory of s where it has room.
func sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// gaining returns a cycle of edges along which more is asked for than can be. It is
// good until the next call.
func (w *scratch) gaining(edges []edge, bodies int, t int64) ([]edge, bool) {
	w.at, w.by = sized(w.at, bodies+1), sized(w.by, bodies+1)
	for i := range w.by {
		w.at[i], w.by[i] = 0, -1
	}
	last := -1
	for range bodies + 2 {
		last = -1
		for i, e := range edges {
			to := index(e.to, bodies)
			if d := w.at[index(e.from, bodies)] + e.weight(t); d > w.at[to] {
				w.at[to], w.by[to], last = d, i, to
			}
		}
		if last < 0 {
			return nil, false
		}
	}
	// So many rounds and still more: going back along the edges leads into a cycle.
	for range bodies + 1 {
		last = index(edges[w.by[last]].from, bodies)
	}
	w.cycle = w.cycle[:0]
	for v := last; ; {
		e := edges[w.by[v]]
		w.cycle = append(w.cycle, e)
		if v = index(e.from, bodies); v == last {
			return w.cycle, true
		}
	}
}

// middles returns the places in the middle between the first and the last possible
// ones. Whole numbers halved downward keep their differences.
func (w *scratch) middles(edges *[3][]edge, bodies int, t int64) [][3]int64 {
	at := make([][3]int64, bodies)
	for axis := range 3 {
		w.extremes(edges[axis], bodies, t)
		for i := range at {
			at[i][axis] = floorDiv(w.first[i]+w.last[i], 2)
		}
	}
	return at
}

// extremes finds the least and the greatest place of each body; no cycle of the edges
// may gain.
func (w *scratch) extremes(edges []edge, bodies int, t int64) {
	w.first, w.last = sized(w.first, bodies+1), sized(w.last, bodies+1)
	for i := range bodies {
		w.first[i], w.last[i] = -4*Unlimited, 4*Unlimited
	}
	w.first[bodies], w.last[bodies] = 0, 0
	for range bodies + 1 {
		for _, e := range edges {
			from, to, d := index(e.from, bodies), index(e.to, bodies), e.weight(t)
			w.first[to] = max(w.first[to], w.first[from]+d)
			w.last[from] = min(w.last[from], w.last[to]-d)
		}
	}
}

// alike is how near room has to be to count as the same, in nanometres.
const alike = 250_000
