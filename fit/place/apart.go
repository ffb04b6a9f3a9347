package place

import (
	"context"
	"math/bits"
	"slices"

	"undercroft/fit/internal/arrange"
)

// A Set is things that cannot be had together. With any of them left out, places
// for the others are found, unless it is Loose.
type Set struct {
	Names []string
	// Shown tells that they are shown to stand nowhere together, turned by quarters;
	// else places for them were not found.
	Shown bool
	// Tight tells that they stand together, with less room than is wanted.
	Tight bool
	// Loose tells that it was not looked whether the others find places with one of
	// them left out.
	Loose bool
}

const (
	// setSteps is how many steps are taken for one set, allSteps for all.
	setSteps, allSteps = 20_000, 400_000
)

// apart returns the smallest sets of movers that find no places together; or, where
// all of them stand, that do not find room as wanted. Where the steps do not reach to
// go through all sets, it returns those it found, or the set of all movers.
func (f *finder) apart(ctx context.Context, stand bool) []Set {
	var out []Set
	var bad []uint64
	n, steps := len(f.movers), allSteps
	for size := 1; size <= n; size++ {
		for _, set := range subsets(n, size) {
			if slices.ContainsFunc(bad, func(b uint64) bool { return b&set == b }) || !f.closed(set) {
				continue
			}
			if ctx.Err() != nil {
				return out
			}
			if steps <= 0 {
				return f.orAll(out, stand)
			}
			f.options.tell("what cannot be had together", allSteps-steps, allSteps)
			s, fine := f.together(ctx, members(set), stand, &steps)
			if fine || ctx.Err() != nil {
				continue
			}
			bad = append(bad, set)
			out = append(out, s)
		}
	}
	return f.orAll(out, stand)
}

// orAll returns sets, or, where there are none, that of all movers.
func (f *finder) orAll(sets []Set, stand bool) []Set {
	if len(sets) > 0 {
		return sets
	}
	all := Set{Tight: stand, Loose: true}
	for i := range f.movers {
		all.Names = append(all.Names, f.movers[i].name)
	}
	return []Set{all}
}

// subsets returns the sets of so many of n, in order; none where n is too large to
// go through them.
func subsets(n, size int) []uint64 {
	const most = 16
	if n > most {
		return nil
	}
	var out []uint64
	for s := uint64(1); s < 1<<n; s++ {
		if bits.OnesCount64(s) == size {
			out = append(out, s)
		}
	}
	return out
}

// members returns the movers of a set.
func members(set uint64) []int {
	var out []int
	for ; set != 0; set &= set - 1 {
		out = append(out, bits.TrailingZeros64(set))
	}
	return out
}

// closed tells whether with each thing of a set there is what it stands in or on.
func (f *finder) closed(set uint64) bool {
	home := f.home()
	for _, i := range members(set) {
		m := &f.movers[i]
		if m.chamber > 0 && home >= 0 && set&(1<<home) == 0 {
			return false
		}
		on := slices.IndexFunc(f.movers, func(o mover) bool { return slices.Contains(m.thing.On, o.name) })
		if on >= 0 && set&(1<<on) == 0 {
			return false
		}
	}
	return true
}

// together looks for places of some movers, with room as wanted or any; fine tells
// that there are.
func (f *finder) together(ctx context.Context, who []int, wanted bool, steps *int) (s Set, fine bool) {
	for _, i := range who {
		s.Names = append(s.Names, f.movers[i].name)
	}
	search := func(proof bool) (arrange.Answer, arrange.State) {
		trials, all := f.trials(who, trial{proof: proof})
		problems := make([]*arrange.Problem, len(trials))
		for i, t := range trials {
			problems[i] = t.problem()
		}
		search := arrange.NewSearch(problems, setSteps)
		a, state := search.Next(ctx)
		*steps -= setSteps - search.Steps()
		if state == arrange.None && !all {
			state = arrange.Spent
		}
		return a, state
	}
	if a, state := search(false); state == arrange.Found {
		s.Tight = true
		return s, a.Beyond >= 0 || !wanted
	}
	_, state := search(true)
	s.Shown = state == arrange.None
	return s, false
}
