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
	"undercroft/scene/unit"
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

// A thing that does not stand clear before an open door, for what is opposite, comes from
// beside it: here a reactor a little higher than the opening, which goes in on its back.
// So it does once the way is made easier, and where the way is known of another room.
func TestComesFromBesideTheDoor(t *testing.T) {
	t.Parallel()
	front := unit.Length(709)
	s := cabinet(377, 493)
	c := &s.Cabinet
	c.Width, c.Depth, c.Height, c.Front.Thickness, c.Bottom = 474, 498, 856, 10, nil
	door := &scene.Door{Hinge: scene.HingeRight, Overlay: true, Overlap: 16, Thickness: 21, Opens: unit.Angle(92.5 * math.Pi / 180)}
	c.Openings = []scene.Opening{{Name: "doors", Side: scene.Front, Hole: box(56, 0, 97, 433, 10, 590), Door: door}}
	s.Room.Front, s.Tape = &front, 1.5
	s.Equipment = []scene.Equipment{{Name: "reactor", Kind: "reactor", Bodies: []scene.Body{
		{Solid: solid.Box(box(38, 19, 0, 185, 476, 494))}, {Solid: solid.Box(box(185, 19, 0, 393, 476, 168))},
	}}}
	th := s.Things()[0]
	w := passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[0]).Decide(t.Context())
	if !w.Going() {
		t.Fatalf("%v: %s", w.Verdict, w.Reason)
	}
	beside := func(w *passage.Way) {
		t.Helper()
		var at []solid.Solid
		for _, b := range s.Equipment[0].Bodies {
			at = append(at, b.Solid.Moved(w.Path.Poses[0]))
		}
		if b := solid.BoundsOf(at...); b.Min.X < 474-1e-3 && b.Max.X > 1e-3 && b.Min.Z < 856-1e-3 {
			t.Errorf("it begins before the cabinet, at %v", b)
		}
	}
	beside(&w)
	w.Narrow(t.Context(), 2000)
	beside(&w)
	c.Openings[0].Door, s.Room.Front = nil, nil
	off := passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[0]).Decide(t.Context())
	c.Openings[0].Door, s.Room.Front = door, &front
	like := passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[0]).Like(off.Path, false)
	if !off.Going() || !like.Going() {
		t.Fatalf("without the door %v, then with it %v", off.Verdict, like.Verdict)
	}
	beside(&like)
}

// A way past the leaves of a door, and a pipe behind, is come upon where each leaves the
// side of it that the hole is on.
func TestLedPastWhatStandsAbout(t *testing.T) {
	t.Parallel()
	for name, hinge := range map[string]scene.Hinge{
		"left": scene.HingeLeft, "right": scene.HingeRight, "top": scene.HingeTop, "bottom": scene.HingeBottom, "pair": scene.HingePair,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := with(cabinet(700, 500), 560, 300, 420)
			s.Cabinet.Openings[0].Door = &scene.Door{Hinge: hinge, Thickness: 19, Opens: unit.Angle(math.Pi / 2)}
			s.Cabinet.Fixtures = []scene.Fixture{{Name: "pipe", Bodies: []scene.Body{{Solid: solid.Box(box(800, 100, 100, 840, 140, 700))}}}}
			if _, holds := passage.Led(t.Context(), sumpJob(s), 1000, true); !holds {
				t.Error("no way holds")
			}
		})
	}
}

// What touches on its way has nothing to spare, and not less than that, however closely
// that is looked into.
func TestTouching(t *testing.T) {
	t.Parallel()
	job := sumpJob(with(cabinet(700, 400), 600, 414, 400))
	w := job.Decide(t.Context())
	along := job.Along(w.Path, false)
	w.Narrow(t.Context(), 2000)
	for name, w := range map[string]*passage.Way{"narrowed": &w, "known": &along} {
		if w.Verdict != verdict.Tight || w.Margin.Lo != 0 {
			t.Errorf("%s: %v, %v", name, w.Verdict, w.Margin)
		}
	}
}
