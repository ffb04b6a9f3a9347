package passage_test

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// A cup that is put on its body inside has to come in over that body: with 10 mm
// above it where it stands, it keeps no more than half of that.
func TestOwnBodyIsInPlace(t *testing.T) {
	t.Parallel()
	s := cabinet(700, 560)
	const top = 782.0 // the underside of the cabinet's top
	s.Equipment = []scene.Equipment{{Name: "skimmer", Kind: "skimmer", Bodies: []scene.Body{
		{Name: "body", Solid: solid.Box(box(300, 150, 100, 700, 350, top-110))},
		{Name: "cup", Solid: solid.Box(box(300, 150, top-110, 700, 350, top-10)), Apart: true},
	}}}
	skimmer := s.Things()[0]
	w := passage.JobOf(s, skimmer, skimmer.Groups[1], &s.Cabinet.Openings[0]).Decide(t.Context())
	if w.Going() && w.Margin.Lo.MM() > 5.01 || w.Verdict == verdict.OK {
		t.Errorf("%v with %v mm to spare; there are 10 mm between the body and the top", w.Verdict, w.Margin.Lo.MM())
	}
	alone := passage.JobAmong(s, skimmer, skimmer.Groups[1], &s.Cabinet.Openings[0], passage.Present{}).Decide(t.Context())
	if alone.Verdict != verdict.OK {
		t.Errorf("%v without its body, which leaves room below it", alone.Verdict)
	}
}

// Both ends of the room to spare come near to what is known: a box that goes
// through the opening with one of its faces ahead only keeps half of what the hole
// is higher than that.
func TestNarrow(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ high, spare float64 }{{410, 5}, {418, 9}, {403, 1.5}} {
		s := cabinet(660, c.high)
		s.Cabinet.Depth = 1000
		s = with(s, 600, 580, 400)
		w := sumpJob(s).Decide(t.Context())
		w.Narrow(t.Context(), 1_000_000)
		lo, hi := w.Margin.Lo.MM(), w.Margin.Hi.MM()
		if lo > c.spare+0.01 || hi < c.spare-0.01 {
			t.Errorf("%v mm high: between %.2f and %.2f mm, %.2f are right", c.high, lo, hi, c.spare)
		}
		if hi-lo > 0.5 {
			t.Errorf("%v mm high: between %.2f and %.2f mm, too wide apart", c.high, lo, hi)
		}
	}
}

// A turned way is ok only with more room than a straight one needs.
func TestMoreRoomWhereTurned(t *testing.T) {
	t.Parallel()
	s := with(cabinet(700, 330), 600, 300, 400)
	before := sumpJob(s).Decide(t.Context())
	if before.Verdict != verdict.OK || before.Margin.Lo < 6-verdict.Contact {
		t.Fatalf("%v %v", before.Verdict, before.Margin)
	}
	s.CarryTurned = 60
	after := sumpJob(s).Decide(t.Context())
	if after.Verdict != verdict.Tight || after.Wanted.MM() != 60 {
		t.Errorf("%v, judged by %v mm; with 60 wanted where it is turned it is tight", after.Verdict, after.Wanted.MM())
	}
}

// Where nobody measured the place of a thing, its way in may still be shown
// impossible: wherever in the cabinet it is to stand.
func TestNoWithoutAPlace(t *testing.T) {
	t.Parallel()
	s := with(cabinet(330, 550), 400, 350, 340)
	s.Sump.Assumed = true
	if w := sumpJob(s).Decide(t.Context()); w.Verdict != verdict.No {
		t.Errorf("%v %q, a box that is too wide and too high however turned", w.Verdict, w.Reason)
	}
	// What does not get to one place may get to another.
	s = with(cabinet(700, 500), 600, 300, 400)
	s.Sump.Box = s.Sump.Box.Add(r3.Vec{X: 160})
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "board", Bodies: []scene.Body{{Solid: solid.Box(box(350, 20, 100, 368, 430, 780))}}}}
	s.Sump.Assumed = true
	if w := sumpJob(s).Decide(t.Context()); w.Verdict == verdict.No {
		t.Errorf("no by %s, though nobody measured where it stands", w.Proof)
	}
}
