package service

import (
	"context"
	"slices"
	"strings"

	"undercroft/fit/reach"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// A hand tells whether somebody gets to what holds a thing.
type hand struct {
	decide func(p scene.Place, gone []string) reach.Result
	know   map[string]reach.Result // by place and what is gone
}

func newHand(ctx context.Context, s *scene.Scene) *hand {
	return &hand{
		know:   map[string]reach.Result{},
		decide: func(p scene.Place, gone []string) reach.Result { return reach.Decide(ctx, s, p, gone...) },
	}
}

// gets answers for one place, with these things and fixtures gone.
func (h *hand) gets(p scene.Place, gone []string) reach.Result {
	key := p.Name + "\x00" + strings.Join(gone, "\x00")
	if r, ok := h.know[key]; ok {
		return r
	}
	r := h.decide(p, gone)
	h.know[key] = r
	return r
}

// held answers for a piece whose thing is held by something that no hand is shown
// to get to: then it does not come out, whatever its way. Parts that travel apart
// are not held.
func (g *graph) held(i int, out set) (answer, bool) {
	p := &g.pieces[i]
	if p.thing.Item == nil || p.Name != p.thing.Name {
		return answer{}, false
	}
	gone := g.names(out)
	if len(p.thing.Item.HeldBy) == 0 {
		return answer{}, false
	}
	for k, place := range g.s.Holds(p.thing.Item) {
		name := p.thing.Item.HeldBy[k]
		if place == nil || slices.Contains(gone, name) {
			continue
		}
		r := g.hand.gets(*place, gone)
		if r.Verdict == verdict.OK || r.Verdict == verdict.Tight {
			continue
		}
		a := answer{
			verdict: r.Verdict, margin: unbounded(), used: g.freest(i),
			reason: "no hand is shown to get to " + name + ", which holds it",
		}
		switch {
		case r.Verdict != verdict.No:
		case g.partly(out):
			// The hand was asked about whole things: some of one is out, which may
			// be what it needs.
			a.verdict = verdict.Unsure
		default:
			a.reason = "no hand gets to " + name + ", which holds it"
		}
		if r.Reason != "" {
			a.reason += ": " + r.Reason
		}
		var owners []string
		for _, b := range r.Blocks {
			of, _, _ := strings.Cut(b, "/")
			owners = append(owners, of)
		}
		a.try, a.with = g.owners(p, owners)
		return a, true
	}
	return answer{}, false
}

// partly tells whether of some thing a part is out and another is not.
func (g *graph) partly(out set) bool {
	for i := range g.pieces {
		if out[i] && !g.of(g.pieces[i].thing.Name).within(out) {
			return true
		}
	}
	return false
}

// names returns the things and fixtures all of whose pieces are out, in order.
func (g *graph) names(out set) []string {
	var names []string
	for i := range g.pieces {
		n := g.pieces[i].thing.Name
		if out[i] && !slices.Contains(names, n) && g.of(n).within(out) {
			names = append(names, n)
		}
	}
	return names
}
