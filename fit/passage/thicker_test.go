package passage_test

import (
	"testing"

	"undercroft/fit/passage"
)

// throughThicker counts the rooms of proofs that a way leads through, thicker by shares of
// what it keeps. It is to overlap nothing there.
func (d drawn) throughThicker(t *testing.T, w *passage.Way) (ways int) {
	t.Helper()
	for _, part := range []float64{0, 0.5, 0.999} {
		overlapped, ok := passage.Thicker(w, part)
		if overlapped != "" {
			t.Errorf("%s: a way that keeps %v mm overlaps %s, thicker by %v of that", d.name, w.Clear.Low, overlapped, part)
		}
		if ok {
			ways++
		}
	}
	return ways
}

// What is in the way in a proof of the upper end of the room to spare is no thicker than what
// keeps so much room from it: on a way that keeps more a thing overlaps none of it.
func TestThickerKeepsOffWays(t *testing.T) {
	t.Parallel()
	ctx := passage.AtLeast(t.Context())
	ways := 0
	var drawns []drawn
	for _, i := range []int{9, 10, 19, 20, 30, 31, 44, 59} {
		drawns = append(drawns, plain(i))
	}
	for _, i := range []int{2, 7, 13, 16, 18, 19, 40, 47, 48, 54, 56} {
		drawns = append(drawns, crowded(i))
	}
	for _, d := range drawns {
		w := d.job(t).Decide(ctx)
		w.Narrow(ctx, 20_000)
		ways += d.throughThicker(t, &w)
	}
	if ways < 50 {
		t.Errorf("only %d ways through what is thicker", ways)
	}
}

// The same holds of holes to a side, which it reaches out of on its way.
func TestThickerHolesLetOut(t *testing.T) {
	t.Parallel()
	ways := 0
	for i := range 45 {
		d, path := reachingOut(t, i)
		w := d.job(t).Along(path, false)
		if !w.Going() || w.Clear.Low < 0.1 {
			continue
		}
		ways += d.throughThicker(t, &w)
	}
	if ways < 15 {
		t.Errorf("only %d ways through what is thicker", ways)
	}
}
