package proof_test

import (
	"testing"

	"undercroft/fit/internal/faulty"
)

// A fault in the checker does not go unseen: each of these would make it accept what is
// not so.
func TestFaultsAreSeen(t *testing.T) {
	t.Parallel()
	const (
		bands  = "TestShutHoldsNothingFree|TestRejectsBands|TestRejectsChangedBands"
		free   = "TestBoundHoldsWhatIsFree|TestRejectsProofs|TestRejectsChangedLeaves|TestRejectsOther"
		trees  = "TestRejectsChangedTrees|TestRejectsAcrossCubes|TestAcross|TestRejectsWay|TestRejectsChangedLeaves"
		gates  = "TestGatesHoldNothingFree|TestRejectsWay"
		pocket = "TestPocket"
	)
	faulty.Planted(t, 4, []faulty.Fault{
		{
			What: "a part may reach as far as at the cell's middle", File: "bound.go",
			Was:  "return 2*s.most(cross(v, axis)) + s.second*norm(v) + rounding",
			Is:   "return 0",
			Seen: free + "|" + bands,
		},
		{
			What: "turns are taken to be half as far", File: "bound.go",
			Was:  "return dot(p, d) - slope*q.Y - 2*s.most(first) - s.second*size",
			Is:   "return dot(p, d) - slope*q.Y - s.most(first) - s.second*size",
			Seen: "TestLeans|TestCornersTurnAsOne|" + bands,
		},
		{
			What: "the core is as large as the part", File: "turned.go",
			Was:  "h/scale); b*scale > h {",
			Is:   "h/scale); b*scale > 2*h {",
			Seen: free,
		},
		{
			What: "the middle of a part is where it is at the cell's middle", File: "turned.go",
			Was:  "min(c.farthest(l0-first, l1-first), c.farthest(l0-last, l1-last)) - by",
			Is:   "min(c.farthest(l0-first, l1-first), c.farthest(l0-last, l1-last)) - 0*by",
			Seen: free,
		},
		{
			What: "only the nearest depth of a slab counts", File: "turned.go",
			Was:  "min(c.farthest(l0-first, l1-first), c.farthest(l0-last, l1-last))",
			Is:   "max(c.farthest(l0-first, l1-first), c.farthest(l0-last, l1-last))",
			Seen: free,
		},
		{
			What: "what a part has behind the end of a band counts", File: "turned.go",
			Was:  "first, last := l0-k.at.Y+k.rise, l1-k.at.Y-k.rise",
			Is:   "first, last := l0-k.at.Y-k.rise, l1-k.at.Y+k.rise",
			Seen: bands,
		},
		{
			What: "one end of a band is enough", File: "bands.go",
			Was:  "max(a, p.at(y0))+max(b, q.at(y0)) >= least && max(a, p.at(y1))+max(b, q.at(y1)) >= least",
			Is:   "max(a, p.at(y0))+max(b, q.at(y0)) >= least",
			Seen: bands,
		},
		{
			What: "two corners need not be in their layers", File: "bands.go",
			Was:  "dot(between, to) >= size && within(m, w.other) &&",
			Is:   "dot(between, to) >= size &&",
			Seen: bands + "|TestCornersTurnAsOne",
		},
		{
			What: "bands need not fill the depths", File: "bands.go",
			Was:  "if y != l.hi[3] {",
			Is:   "if y > l.hi[3] {",
			Seen: bands,
		},
		{
			What: "for some choice of holes it is shut", File: "bands.go",
			Was:  "return !slices.ContainsFunc(c.choices, func(holes []Rect) bool { return !c.full(holes, y0, y1) })",
			Is:   "return slices.ContainsFunc(c.choices, func(holes []Rect) bool { return c.full(holes, y0, y1) })",
			Seen: bands,
		},
		{
			What: "a box is passed on one side or on neither", File: "beside.go",
			Was:  "return a.noLess && b.noMore &&",
			Is:   "return (a.noLess || b.noMore) &&",
			Seen: bands + "|TestCornersBelowBoxes",
		},
		{
			What: "corners above a box are beside it", File: "beside.go",
			Was:  "if at-off < low || at+off > high {",
			Is:   "if at-off < low {",
			Seen: bands + "|TestCornersBelowBoxes",
		},
		{
			What: "the end may be outside", File: "check.go",
			Was:  "case p.Outside && c.ends(l, p):",
			Is:   "case p.Outside && c.ends(l, p) && l.cube > 0:",
			Seen: free + "|" + trees,
		},
		{
			What: "cells that share a facet need not agree", File: "check.go",
			Was:  "if flat > 1 {",
			Is:   "if flat > 0 {",
			Seen: trees,
		},
		{
			What: "cubes are joined to others", File: "check.go",
			Was:  "	if k >= cube {\n		other++\n	}",
			Is:   "	if k > cube {\n		other++\n	}",
			Seen: trees,
		},
		{
			What: "a way passes every depth up to the end", File: "check.go",
			Was:  "if !(-c.inner <= y && y <= c.room.End.Min.Y+give && y <= Greatest) {",
			Is:   "if !(y <= c.room.End.Min.Y+give && y <= Greatest) {",
			Seen: "TestRejectsOtherSlices|" + trees,
		},
		{
			What: "a box is larger than it is", File: "check.go",
			Was:  "{b.Min.X - far[0], b.Max.X + far[1],",
			Is:   "{b.Min.X - far[0] - 5, b.Max.X + far[1] + 5,",
			Seen: free + "|TestFreeBesideABox",
		},
		{
			What: "holes to a side are smaller than they are", File: "gate.go",
			Was:  "g.Deep-2*give",
			Is:   "0.9*g.Deep",
			Seen: gates + "|TestReachesOut",
		},
		{
			What: "corners by a hole are inside wherever they are", File: "gate.go",
			Was:  "return !k.out || y0+k.at.Y-k.rise >= 0 && (y1 <= k.before || y0 >= k.behind)",
			Is:   "return !k.out || y0+k.at.Y-k.rise >= 0",
			Seen: gates,
		},
		{
			What: "a ball is larger than it is", File: "pocket.go",
			Was:  "reach := p.Radius + give",
			Is:   "reach := p.Radius + 10",
			Seen: pocket,
		},
		{
			What: "cubes at the border of the grid are shut", File: "pocket.go",
			Was:  "if !held && !c.shut(p, beside) {",
			Is:   "if !held && inGrid && !c.shut(p, beside) {",
			Seen: pocket,
		},
		{
			What: "the end need not be in the pocket", File: "pocket.go",
			Was:  "!has(at) && !c.shut(p, at)",
			Is:   "!has(at) && !c.shut(p, at) && x > last[0]",
			Seen: pocket,
		},
	})
}
