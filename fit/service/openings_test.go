package service_test

import (
	"context"
	"testing"

	"undercroft/fit/passage"
	"undercroft/fit/service"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// A counted context is one that ends when it was looked at so often.
type counted struct {
	context.Context
	looks *int
}

func (c counted) Err() error {
	if *c.looks--; *c.looks < 0 {
		return context.DeadlineExceeded
	}
	return nil
}

// Where the way in of a thing is not free, what stands in it comes out first: nobody
// looks long for a way out through an opening by which the thing did not come in.
func TestOtherOpenings(t *testing.T) {
	t.Parallel()
	s := cabinet(
		thing("strip", inside(560, 60, 350, 600, 360, 400), inside(470, 180, 350, 560, 240, 400)),
		thing("box", inside(10, 5, 5, 590, 50, 480)),
	)
	hatch := inside(600, 100, 150, 600+thick, 200, 230)
	s.Cabinet.Openings = append([]scene.Opening{{Name: "hatch", Side: scene.Right, Hole: hatch}}, s.Cabinet.Openings...)
	looks := 1 << 30
	known := passage.Check(t.Context(), s).Checks
	fs := service.Check(counted{service.VerdictOnly(t.Context()), &looks}, s, known).Checks
	const most = 2000 // it takes some hundred; by the hatch, 35,000
	if n := 1<<30 - looks; n > most {
		t.Errorf("%d looks, want at most %d", n, most)
	}
	if fs[0].Verdict != verdict.Tight {
		t.Errorf("%s: %v, want tight: %s", fs[0].ID, fs[0].Verdict, fs[0].Summary)
	}
}
