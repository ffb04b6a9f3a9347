package sheet

import (
	"cmp"
	"math"
	"slices"
)

// A trace gathers the lines of a view on paper and draws each place once: where
// lines coincide, the one that ISO 128-2 lets go before the others.
type trace struct{ segments []segment }

// A segment is a straight piece of line on paper.
type segment struct {
	rank int // in precedence
	a, b point
}

// precedence is the order in which lines that coincide give way: what is seen,
// what is hidden, centre lines, what stands in front or moves.
var precedence = []style{outline, hidden, chain, phantom, narrow}

func (t *trace) add(s style, a, b point) {
	if math.Hypot(b.x-a.x, b.y-a.y) < 0.01 {
		return
	}
	if cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) > 0 {
		a, b = b, a
	}
	t.segments = append(t.segments, segment{slices.Index(precedence, s), a, b})
}

// alike is how near in mm of paper two lines are one: half a narrow line.
const alike = narrowLine / 2

// draw draws the lines with a pen.
func (t *trace) draw(p pen) {
	byRank := make([][]segment, len(precedence))
	for _, l := range lanes(t.segments) {
		var drawn []interval // of those that go before
		for rank := range precedence {
			var here []interval
			for _, s := range l.segments {
				if s.rank == rank {
					here = append(here, interval{l.along(s.a), l.along(s.b)})
				}
			}
			for _, i := range without(merged(here), drawn) {
				if i.to-i.from > 0.02 {
					byRank[rank] = append(byRank[rank], segment{rank, l.at(i.from), l.at(i.to)})
				}
			}
			drawn = merged(append(drawn, here...))
		}
	}
	for rank, s := range byRank {
		for _, run := range joined(s, rank != 0) {
			p.lines(precedence[rank], run...)
		}
	}
}

// A lane is the segments on one straight line.
type lane struct {
	origin, way point
	segments    []segment
}

func (l lane) along(q point) float64 { return (q.x-l.origin.x)*l.way.x + (q.y-l.origin.y)*l.way.y }

func (l lane) at(t float64) point { return point{l.origin.x + t*l.way.x, l.origin.y + t*l.way.y} }

// lanes sorts segments by the straight lines that they are on, in the order of
// their first ones.
func lanes(segments []segment) []lane {
	var all []lane
	for _, s := range segments {
		n := math.Hypot(s.b.x-s.a.x, s.b.y-s.a.y)
		way := point{(s.b.x - s.a.x) / n, (s.b.y - s.a.y) / n}
		k := slices.IndexFunc(all, func(l lane) bool {
			off := func(q point) float64 { return math.Abs((q.x-l.origin.x)*l.way.y - (q.y-l.origin.y)*l.way.x) }
			return off(s.a) < alike/2 && off(s.b) < alike/2 && math.Abs(way.x*l.way.y-way.y*l.way.x) < 0.02
		})
		if k < 0 {
			k = len(all)
			all = append(all, lane{origin: s.a, way: way})
		}
		all[k].segments = append(all[k].segments, s)
	}
	return all
}

// merged returns the union of intervals, in order; those that all but touch
// become one.
func merged(all []interval) []interval {
	all = slices.SortedFunc(slices.Values(all), func(a, b interval) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	var out []interval
	for _, i := range all {
		if n := len(out); n > 0 && i.from <= out[n-1].to+0.01 {
			out[n-1].to = max(out[n-1].to, i.to)
			continue
		}
		out = append(out, i)
	}
	return out
}

// without returns what of a is not in b; both are in order and do not overlap.
func without(a, b []interval) []interval {
	var out []interval
	for _, i := range a {
		for _, j := range b {
			if j.to <= i.from || j.from >= i.to {
				continue
			}
			if j.from > i.from {
				out = append(out, interval{i.from, j.from})
			}
			i.from = max(i.from, j.to)
		}
		if i.to > i.from {
			out = append(out, i)
		}
	}
	return out
}

// joined links segments end to end into runs, straight on where there is a
// choice. Dashed lines go on only where they do not turn a corner, so that
// corners are drawn.
func joined(segments []segment, smooth bool) [][]point {
	used := make([]bool, len(segments))
	same := func(p, q point) bool { return math.Abs(p.x-q.x) < 0.02 && math.Abs(p.y-q.y) < 0.02 }
	next := func(from, at point) (point, bool) {
		best, bend, to := -1, -2.0, point{}
		if smooth {
			bend = math.Cos(15 * math.Pi / 180)
		}
		for i, s := range segments {
			if used[i] {
				continue
			}
			for _, way := range [][2]point{{s.a, s.b}, {s.b, s.a}} {
				if !same(way[0], at) {
					continue
				}
				if c := cosine(point{at.x - from.x, at.y - from.y}, point{way[1].x - at.x, way[1].y - at.y}); c > bend {
					best, bend, to = i, c, way[1]
				}
			}
		}
		if best < 0 {
			return point{}, false
		}
		used[best] = true
		return to, true
	}
	var out [][]point
	for i, s := range segments {
		if used[i] {
			continue
		}
		used[i] = true
		run := []point{s.a, s.b}
		for range 2 {
			for {
				q, ok := next(run[len(run)-2], run[len(run)-1])
				if !ok {
					break
				}
				run = append(run, q)
			}
			slices.Reverse(run)
		}
		out = append(out, run)
	}
	return out
}

func cosine(u, v point) float64 {
	return (u.x*v.x + u.y*v.y) / (math.Hypot(u.x, u.y) * math.Hypot(v.x, v.y))
}
