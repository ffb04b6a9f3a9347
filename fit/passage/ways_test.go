package passage_test

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
)

// A counted context is one a that ends when it was looked at so often.
type counted struct {
	context.Context
	looks *int
}

func (p counted) Err() error {
	if *p.looks--; *p.looks < 0 {
		return context.DeadlineExceeded
	}
	return nil
}

// TestOtherOpenings: where a thing goes in by one opening with all the room that is
// wanted, no long searches are spent on the others, whichever comes first in the plan.
// And what need not be turned by one opening is not turned through another.
func TestOtherOpenings(t *testing.T) {
	t.Parallel()
	const (
		doors = "{name: doors, side: front, at: {left: 40, up: 120}, size: [840, 640]}"
		hatch = "{name: service hatch, side: right, at: {left: 100, sill: 200}, size: [200, 150]}"
	)
	for name, openings := range map[string]string{"doors first": doors + ", " + hatch, "hatch first": hatch + ", " + doors} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, err := plan.Read("strip.yaml", []byte(`
format: 1
units: mm
tape: 1
cabinet: {size: [920, 460, 820], wall: 19, bottom: {up: 90}, openings: [`+openings+`]}
sump: {size: [600, 320, 360], glass: 6, at: {right: 30, front: 40}, inlet: right}
equipment:
  - {name: strip, kind: power, size: [40, 300, 50], at: {right: 0, front: 60, up: 500}, on: right wall}
carry: 5
`))
			if err != nil {
				t.Fatal(err)
			}
			looks := 1 << 30
			f := passage.Check(counted{t.Context(), &looks}, s).Checks[1]
			const most = 2000 // twice what it takes; the long searches take 95,000
			if n := 1<<30 - looks; n > most {
				t.Errorf("%d looks, want at most %d", n, most)
			}
			if want := "goes in through doors, pushed straight"; f.Verdict != verdict.OK || !strings.HasPrefix(f.Summary, want) {
				t.Errorf("%v, want ok: %s, want %s", f.Verdict, f.Summary, want)
			}
		})
	}
}

// What decides is looked for whatever time is allowed for how much room there is.
func TestNarrowingHasATimeOfItsOwn(t *testing.T) {
	t.Parallel()
	s := cabinet(700, 560)
	s.Equipment = []scene.Equipment{{Name: "box", Kind: "box", Bodies: []scene.Body{{Solid: solid.Box(box(300, 150, 100, 600, 400, 400))}}}}
	f := passage.Check(passage.Narrowing(t.Context(), time.Nanosecond), s).Checks[0]
	if f.Verdict != verdict.OK {
		t.Errorf("%v, want ok: %s", f.Verdict, f.Summary)
	}
	for _, m := range f.Measures {
		if hi, _ := m.Value.(float64); m.Key == "spare_high_mm" && !math.IsInf(hi, 1) {
			t.Errorf("no way keeps more than %v mm, which nobody had the time to show", hi)
		}
	}
	if passage.Check(t.Context(), s).Checks[0].Summary == f.Summary {
		t.Error("with all the time there is no more is known of the room: the scene is too plain for this test")
	}
}
