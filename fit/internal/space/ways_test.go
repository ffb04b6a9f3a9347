package space

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// cheapest returns the least cost of a way through the places there are, found anew by
// letting everything improve on everything next to it for as long as anything does.
func cheapest(w *ways) (int32, bool) {
	cost := make([]int32, len(w.places))
	for n := range cost {
		if cost[n] = unreached; w.tolls[n].from && !w.tolls[n].gone {
			cost[n] = w.tolls[n].own
		}
	}
	for again := true; again; {
		again = false
		for n := range cost {
			for _, m := range w.joints.of(int32(n)) {
				if w.tolls[n].gone || w.tolls[m].gone || cost[m] == unreached {
					continue
				}
				if c := cost[m] + w.tolls[n].own; c < cost[n] {
					cost[n], again = c, true
				}
			}
		}
	}
	least := int32(unreached)
	for n := range cost {
		if w.tolls[n].to && !w.tolls[n].gone {
			least = min(least, cost[n])
		}
	}
	return least, least != unreached
}

// astray returns a place that is not in the list of those after the one before it, or in
// another one, or is gone and yet in a list; noPlace where there is none.
func astray(w *ways) int32 {
	before := make([]int32, len(w.places))
	for n := range before {
		before[n] = noPlace
	}
	for n := range w.tolls {
		last := noPlace
		for m := w.tolls[n].after; m != noPlace; m = w.tolls[m].next {
			if before[m] != noPlace || w.tolls[m].last != last || w.tolls[m].gone {
				return m
			}
			before[m], last = int32(n), m
		}
	}
	for n := range before {
		if before[n] != w.tolls[n].prev {
			return int32(n)
		}
	}
	return noPlace
}

// Whatever comes and goes, the way that is kept is a way, and none is cheaper.
func TestWaysAreTheCheapest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var w ways
		var there []int32
		for range rapid.IntRange(1, 12).Draw(t, "rounds") {
			var gone []int32
			for _, n := range there {
				if rapid.IntRange(0, 3).Draw(t, "goes") == 0 {
					gone = append(gone, n)
				}
			}
			w.remove(gone)
			there = slices.DeleteFunc(there, func(n int32) bool { return slices.Contains(gone, n) })
			var fresh []int32
			for range rapid.IntRange(1, 5).Draw(t, "come") {
				n := int32(len(w.places))
				own := rapid.SampledFrom([]int32{0, 1, unlikelyCost}).Draw(t, "own")
				w.add(place{Piece: Piece{Everywhere, 0, 1}}, toll{
					own: own, from: rapid.IntRange(0, 4).Draw(t, "from") == 0, to: rapid.IntRange(0, 4).Draw(t, "to") == 0,
				})
				for _, m := range there {
					if rapid.IntRange(0, 2).Draw(t, "joined") == 0 {
						w.link(n, m)
					}
				}
				there, fresh = append(there, n), append(fresh, n)
			}
			w.mend(fresh)
			if n := astray(&w); n != noPlace {
				t.Fatalf("place %d is astray", n)
			}

			want, some := cheapest(&w)
			end, got, ok := w.best()
			if ok != some || ok && got != want {
				t.Fatalf("the cheapest way costs %d (there is one: %v), and %d (%v) is kept", want, some, got, ok)
			}
			if !ok {
				continue
			}
			for n := end; ; n = w.tolls[n].prev {
				q := &w.tolls[n]
				if q.gone {
					t.Fatal("it leads by a place that is gone")
				}
				got -= q.own
				if q.prev == noPlace {
					if !q.from || got != 0 {
						t.Fatalf("it begins inside, or costs %d more than its places", got)
					}
					break
				}
				if !slices.Contains(w.joints.of(n), q.prev) {
					t.Fatal("it leads by places that are not joined")
				}
			}
		}
	})
}
