package passage_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// leftOpen adds a hatch, a hole in the left side.
func leftOpen(s *scene.Scene, wide, high float64) *scene.Scene {
	s.Cabinet.Openings = append(s.Cabinet.Openings, scene.Opening{
		Name: "hatch", Side: scene.Left, Hole: box(0, 40, 101, 18, 40+wide, 101+high),
	})
	return s
}

// topOpen adds a hole in the top with a door that lifts off, which is a way before the
// display stands only, as it does.
func topOpen(s *scene.Scene) *scene.Scene {
	s.Cabinet.Openings = append(s.Cabinet.Openings, scene.Opening{
		Name: "top hole", Side: scene.Top, Hole: box(100, 50, 782, 900, 450, 800), BeforeDisplay: true,
		Door: &scene.Door{Hinge: scene.HingeLeft, Thickness: 19, LiftsOff: true},
	})
	s.Display = &scene.Display{Box: box(0, 0, 800, 1000, 450, 1300), Glass: 10, Standing: scene.Full}
	return s
}

// Of each opening is said what was shown of that one, with its own door, and of one
// that is no way any longer nothing else; whichever stands first in the plan.
func TestEachOpeningIsToldOfByItself(t *testing.T) {
	t.Parallel()
	const later = "no way through top hole once the display stands"
	for _, c := range []struct {
		name  string
		scene func() *scene.Scene
		want  []string // the clauses
	}{
		{
			"shown impossible, and a way before the display only",
			func() *scene.Scene { return topOpen(with(cabinet(500, 250), 600, 300, 400)) },
			[]string{"shown impossible through doors, as a closed box", later},
		},
		{
			"no other",
			func() *scene.Scene {
				s := topOpen(with(cabinet(500, 250), 600, 300, 400))
				s.Cabinet.Openings = s.Cabinet.Openings[1:]
				return s
			},
			[]string{later},
		},
		{
			"something where it stands",
			func() *scene.Scene {
				s := leftOpen(with(cabinet(700, 500), 600, 300, 400), 320, 420)
				s.Cabinet.Fixtures = []scene.Fixture{{Name: "bar", Bodies: []scene.Body{{Solid: solid.Box(box(180, 200, 100, 230, 240, 700))}}}}
				return s
			},
			[]string{"where it is to stand it overlaps bar"},
		},
		{
			"one of them with a door",
			func() *scene.Scene {
				return leftOpen(doored(with(cabinet(500, 250), 600, 300, 400), 19), 280, 260)
			},
			[]string{
				"shown impossible through doors, as a closed box, even with its door off",
				"shown impossible through hatch, as a closed box",
			},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var all [2]string
			for i := range all {
				s := c.scene()
				if i > 0 {
					slices.Reverse(s.Cabinet.Openings)
				}
				f := told(t, s)
				all[i] = f.Summary
				if f.Verdict != verdict.No {
					t.Fatalf("%v (%s), want no", f.Verdict, f.Summary)
				}
				clauses := strings.Split(f.Summary, "; ")
				if len(clauses) != len(c.want) {
					t.Errorf("%q, want %d clauses", f.Summary, len(c.want))
				}
				for _, want := range c.want {
					if !slices.ContainsFunc(clauses, func(clause string) bool {
						return strings.HasPrefix(clause, want) && strings.Contains(clause, "its door") == strings.Contains(want, "its door")
					}) {
						t.Errorf("%q does not say %q", f.Summary, want)
					}
				}
			}
			a, b := strings.Split(all[0], "; "), strings.Split(all[1], "; ")
			slices.Sort(a)
			slices.Sort(b)
			if !slices.Equal(a, b) {
				t.Errorf("in the other order of the plan it says %q, not %q", all[1], all[0])
			}
		})
	}
}

// What the time allowed was too short for says so, and that more of it is what helps;
// of a way that a tape may settle it says that, and not what reads as if it went through
// the tape.
func TestUnsureSaysWhy(t *testing.T) {
	t.Parallel()
	ended, end := context.WithCancel(t.Context())
	end()
	tape := with(cabinet(300, 300), 301, 301, 301)
	tape.Tape = 2
	stopped := leftOpen(with(cabinet(700, 500), 600, 300, 400), 280, 260)
	gone := topOpen(with(cabinet(700, 500), 600, 300, 400))
	// In the hole of the doors: that of the hatch leaves them shut.
	sticking := leftOpen(doored(silled(with(cabinet(700, 500), 600, 300, 400), -12), 19), 320, 420)
	sticking.Sump.Box.Min.Y, sticking.Sump.Box.Max.Y = 10, 310
	for _, c := range []struct {
		name        string
		ctx         context.Context
		scene       *scene.Scene
		says, again string
	}{
		{
			"stopped", ended, stopped,
			"the time allowed ran out before a way was found or shown impossible through doors or hatch", "allow more time (--total, or --time where that is set)",
		},
		{
			"stopped, and none any longer", ended, gone,
			"the time allowed ran out before a way was found or shown impossible through doors; no way through top hole once the display stands", "allow more time (--total, or --time where that is set)",
		},
		{
			"stopped, and in the way of another's door", ended, sticking,
			"the time allowed ran out before a way was found or shown impossible through doors; where it is to stand it overlaps doors's leaf, with only hatch open",
			"allow more time (--total, or --time where that is set)",
		},
		{
			"for want of a closer tape", t.Context(), tape,
			"as measured it does not go in through doors, but it might where the tape is off", "measure the free width and height of doors again",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := passage.Check(c.ctx, c.scene).Checks[0]
			if f.Verdict != verdict.Unsure || f.Summary != c.says || f.Again != c.again {
				t.Errorf("%v: %q; %q, want %q; %q", f.Verdict, f.Summary, f.Again, c.says, c.again)
			}
		})
	}
}
