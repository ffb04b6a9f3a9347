package reach_test

import (
	"testing"

	"undercroft/fit/reach"
	"undercroft/fit/verdict"
)

// A posture that was found is tried at a place of the same name, once it was learned,
// and counts only where it holds there.
func TestLearned(t *testing.T) {
	t.Parallel()
	var m reach.Memory
	ctx := reach.Remembering(t.Context(), &m)
	found := read(t, shaft(300, 400, 0, "press", ""))
	if r := reach.Decide(ctx, found, found.Reach[0]); r.Verdict != verdict.OK {
		t.Fatal(r)
	}
	farther := read(t, shaft(300, 430, 0, "press", ""))
	if reach.Known(ctx, farther, farther.Reach[0]) {
		t.Error("a posture is known before it was learned")
	}
	m.Learn()
	for name, c := range map[string]struct {
		plan string
		want bool
	}{
		"30 mm farther":       {shaft(300, 430, 0, "press", ""), true},
		"farther than an arm": {shaft(300, 690, 0, "press", ""), false},
		"through a slit":      {shaft(40, 430, 0, "press", ""), false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := read(t, c.plan)
			if got := reach.Known(ctx, s, s.Reach[0]); got != c.want {
				t.Errorf("a known posture holds: %v, want %v", got, c.want)
			}
		})
	}
}

// A posture of a shallow place does not help at a deep one behind a hole that the forearm
// goes through and the hand does not.
func TestLearnedFromOutside(t *testing.T) {
	t.Parallel()
	var m reach.Memory
	ctx := reach.Remembering(t.Context(), &m)
	shallow := read(t, shaft(300, 60, 0, "turn", ""))
	if r := reach.Decide(ctx, shallow, shallow.Reach[0]); r.Verdict != verdict.OK {
		t.Fatal(r)
	}
	m.Learn()
	deep := read(t, shaft(116, 260, 0, "turn", ""))
	if r := reach.Decide(t.Context(), deep, deep.Reach[0]); r.Verdict == verdict.OK || r.Verdict == verdict.Tight {
		t.Fatal("a hand of 125 goes through a hole of 116")
	}
	if reach.Known(ctx, deep, deep.Reach[0]) {
		t.Error("a known posture holds where the hand does not come in")
	}
}

// A hand that holds something large comes shut: it goes through a hole that it does
// not go through open, and has to have room for opening where it holds.
func TestOpens(t *testing.T) {
	t.Parallel()
	grip := func(hole float64) verdict.Verdict {
		// What it holds is 100 wide, with a hand round it 190.
		s := read(t, shaft(hole, 330, 0, "grip", ""))
		s.Reach[0].Size = 100
		return only(t, s).Verdict
	}
	if v := grip(210); v != verdict.OK {
		t.Errorf("through a hole wider than the open hand: %v", v)
	}
	if v := grip(170); v != verdict.OK {
		t.Errorf("through a hole wider than the shut hand: %v", v)
	}
	if v := grip(90); v == verdict.OK || v == verdict.Tight {
		t.Errorf("through a hole narrower than the shut hand: %v", v)
	}
}
