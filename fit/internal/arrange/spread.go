package arrange

import (
	"context"
	"math"
	"slices"
)

// Best returns the next answer of a search, improved: first by places across corners
// that leave more room, then in rounds: the pairs that the least room hangs on keep
// that, and among all ways to place the bodies the least room of the others is
// largest. Within the last it is so for all.
func (s *Search) Best(ctx context.Context) (Answer, State) {
	a, state := s.Next(ctx)
	if state != Found {
		return a, state
	}
	corners := false
	improve := func(problems []*Problem, least int64) (Answer, bool) {
		share := s.steps / shares
		if share == 0 {
			return Answer{}, false
		}
		again := &Search{problems: problems, steps: share, least: least, corners: corners}
		b, state := again.Next(ctx)
		s.steps -= share - max(0, again.steps)
		return b, state == Found
	}
	corners = true
	if b, ok := improve(s.problems, a.Beyond+alike); ok && a.Beyond < Unlimited {
		a = b
	} else {
		corners = false
	}
	best, p := a, s.problems[a.Problem]
	for round := 1; round < rounds && best.Beyond < Unlimited; round++ {
		held := p.holding(best)
		next, ok := improve([]*Problem{held}, best.Beyond-10*int64(slack))
		if !ok {
			break
		}
		next.Problem = a.Problem
		best, p = next, held
	}
	best.node = best.node.whole(p)
	best.At = best.node.spread(p)
	best.Beyond = a.Beyond
	return best, Found
}

const (
	// rounds is how often the least room of the others is made largest.
	rounds = 6
	// shares is the share of its steps that a search takes to improve an answer once.
	shares = 12
)

// whole returns a node with all chosen that its places leave open: each pair is to
// stay apart in the direction in which it is, each clause to hold as it does.
func (n *node) whole(p *Problem) *node {
	out := n
	for _, c := range p.Clauses {
		if i := slices.IndexFunc(c, func(b Bound) bool { return difference(n.at, b) >= b.Least }); i >= 0 {
			out = &node{parent: out, problem: n.problem, choice: choice{pair: -1, bound: &c[i]}, beyond: n.beyond, at: n.at}
		}
	}
	for i := range p.Pairs {
		q := &p.Pairs[i]
		if k := n.sectorOf(i).kind; k != straight && k != narrow {
			c := q.direction(n.at, q.wanted(n.beyond))
			out = &node{parent: out, problem: n.problem, choice: choice{pair: i, sector: c}, beyond: n.beyond, at: n.at}
		}
	}
	return out
}

// direction returns a sector in which a pair that is so far apart stays so.
func (q *Pair) direction(at [][3]int64, wanted float64) sector {
	var along [3]float64
	var sign [3]int
	most := 0
	for k := range 3 {
		a, b := coordinate(at, q.A, k), coordinate(at, q.B, k)
		after, before := b+q.BoxB.Min[k]-a-q.BoxA.Max[k], a+q.BoxA.Min[k]-b-q.BoxB.Max[k]
		along[k], sign[k] = float64(max(after, before)), 1
		if before > after {
			sign[k] = -1
		}
		if along[k] > along[most] {
			most = k
		}
	}
	if other := 1 - most; most < 2 && along[most] < wanted && along[other] > 0 {
		angle := math.Atan2(along[other], along[most]) * 180 / math.Pi
		return sector{kind: narrow, axis: most, sign: sign[most], other: other, cross: sign[other], lo: angle, hi: angle}
	}
	return sector{kind: straight, axis: most, sign: sign[most]}
}

// holding returns the problem in which the pairs that an answer hangs on keep what
// they do there, and count no more.
func (p *Problem) holding(a Answer) *Problem {
	q := *p
	q.Pairs = slices.Clone(p.Pairs)
	for _, i := range a.critical {
		// A little less, so that rounding does not count as less room.
		q.Pairs[i].Room, q.Pairs[i].Counts = max(0, q.Pairs[i].Room+a.Beyond-10*int64(slack)), false
	}
	return &q
}

// spread returns places by the choices of a node: with the most room, then, that
// kept, the most of what is left, until nothing counts any more.
func (n *node) spread(p *Problem) [][3]int64 {
	edges := n.edgesOf(p)
	at := slices.Clone(n.at)
	var w scratch
	for axis := range 3 {
		for t := n.beyond; ; {
			var tightest []edge
			for {
				cycle, gains := w.gaining(edges[axis], p.Bodies, t)
				if !gains {
					break
				}
				least, share := int64(0), int64(0)
				for _, e := range cycle {
					least, share = least+e.least, share+e.share
				}
				if share == 0 {
					return n.at // rounding alone: what is known stays
				}
				t, tightest = floorDiv(-least*part, share), slices.Clone(cycle)
			}
			if len(tightest) == 0 {
				if t < Unlimited {
					t = Unlimited
					continue
				}
				break
			}
			for i := range edges[axis] {
				if e := &edges[axis][i]; slices.Contains(tightest, *e) {
					e.least, e.share = e.weight(t), 0
				}
			}
			t = Unlimited
		}
		w.extremes(edges[axis], p.Bodies, 0)
		for i := range at {
			at[i][axis] = floorDiv(w.first[i]+w.last[i], 2)
		}
	}
	return at
}

// OnGrid returns the places of an answer moved to whole steps from given offsets:
// to the nearest where all room wanted is kept so, else wherever by the same choices
// the least room is largest. It is false where no such places keep clear.
func (s *Search) OnGrid(a Answer, step int64, offset [][3]int64) ([][3]int64, bool) {
	p := s.problems[a.Problem]
	near := make([][3]int64, len(a.At))
	for i := range near {
		for k := range 3 {
			o := offset[i][k]
			near[i][k] = o + floorDiv(2*(a.At[i][k]-o)+step, 2*step)*step
		}
	}
	if p.keeps(near, min(0, a.Beyond)) {
		return near, true
	}
	edges := a.node.edgesOf(p)
	var w scratch
	solve := func(t int64) ([][3]int64, bool) {
		at := make([][3]int64, p.Bodies)
		for axis := range 3 {
			whole := make([]edge, len(edges[axis]))
			o := func(body int) int64 {
				if body == Fixed {
					return 0
				}
				return offset[body][axis]
			}
			for i, e := range edges[axis] {
				whole[i] = edge{e.from, e.to, -floorDiv(o(e.to)-o(e.from)-e.weight(t), step), 0, -1}
			}
			if _, gains := w.gaining(whole, p.Bodies, 0); gains {
				return nil, false
			}
			w.extremes(whole, p.Bodies, 0)
			for i := range at {
				at[i][axis] = o(i) + floorDiv(w.first[i]+w.last[i], 2)*step
			}
		}
		return at, true
	}
	lo, hi := -p.mostRoom(), a.Beyond
	best, ok := solve(lo)
	if !ok {
		return nil, false
	}
	const fine = 10_000 // nm
	for hi-lo > fine {
		mid := floorDiv(lo+hi, 2)
		if at, ok := solve(mid); ok {
			lo, best = mid, at
		} else {
			hi = mid
		}
	}
	return best, true
}

// keeps tells whether places hold all bounds and keep all room with t beyond what is
// wanted.
func (p *Problem) keeps(at [][3]int64, t int64) bool {
	for _, b := range p.Bounds {
		if difference(at, b) < b.Least {
			return false
		}
	}
	for _, c := range p.Clauses {
		if !slices.ContainsFunc(c, func(b Bound) bool { return difference(at, b) >= b.Least }) {
			return false
		}
	}
	return !slices.ContainsFunc(p.Pairs, func(q Pair) bool { return q.distance(at) < q.wanted(t)-slack })
}

// Room returns the least room beyond what is wanted that places keep, of the pairs
// that count, and which pair keeps no more; Unlimited and -1 where none counts.
func (p *Problem) Room(at [][3]int64) (beyond int64, pair int) {
	beyond, pair = Unlimited, -1
	for i := range p.Pairs {
		q := &p.Pairs[i]
		if d := int64(q.distance(at)) - q.Room; q.Counts && d < beyond {
			beyond, pair = d, i
		}
	}
	return beyond, pair
}
