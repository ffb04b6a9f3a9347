package passage_test

import (
	"slices"
	"strings"
	"testing"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// told returns what is found about the one thing of a scene.
func told(t *testing.T, s *scene.Scene) verdict.Finding {
	t.Helper()
	f := passage.Check(t.Context(), s)
	if len(f.Checks) != 1 {
		t.Fatalf("%d findings, want 1", len(f.Checks))
	}
	return f.Checks[0]
}

// A thing that goes in as several pieces is told of with all of them.
func TestAllPiecesAreToldOf(t *testing.T) {
	t.Parallel()
	skimmer := func(s *scene.Scene, body, cup float64) *scene.Scene {
		s.Equipment = []scene.Equipment{{Name: "skimmer", Kind: "skimmer", Bodies: []scene.Body{
			{Name: "body", Solid: solid.Box(box(400, 150, 100, 600, 300, 100+body))},
			{Name: "cup", Solid: solid.Box(box(500-cup, 100, 100+body, 500+cup, 350, 400+body)), Apart: true},
		}}}
		return s
	}
	for _, c := range []struct {
		name    string
		scene   *scene.Scene
		want    verdict.Verdict
		summary []string
		moves   []string // of which pieces there are moves, in order
	}{
		{
			"alike", skimmer(cabinet(700, 560), 200, 100), verdict.OK,
			[]string{"its body and its cup go in one by one through doors, pushed straight; "},
			[]string{"body", "cup"},
		},
		{
			"one of them tipped", skimmer(cabinet(700, 280), 200, 100), verdict.OK,
			[]string{"its cup goes in through doors, tilted or turned on the way; ", "; its body goes in through doors, pushed straight, with "},
			[]string{"body", "cup"},
		},
		{
			"one of them not", skimmer(cabinet(240, 560), 200, 150), verdict.No,
			[]string{"its cup: shown impossible through doors: 240 mm free, and it is 250 mm at its thinnest; its body goes in through doors, pushed straight, with "},
			nil,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := told(t, c.scene)
			if f.Verdict != c.want {
				t.Errorf("%v, want %v", f.Verdict, c.want)
			}
			for _, part := range c.summary {
				if !strings.Contains(f.Summary, part) {
					t.Errorf("%q does not say %q", f.Summary, part)
				}
			}
			var pieces []string
			hands := 0
			for _, m := range f.Measures {
				switch lines, _ := m.Value.([]string); m.Key {
				case "moves":
					for _, l := range lines {
						name, _, _ := strings.Cut(l, ": ")
						pieces = append(pieces, name)
					}
				case "hands":
					hands = len(lines)
				}
			}
			if hands != len(pieces) {
				t.Errorf("%d moves and hands for %d", len(pieces), hands)
			}
			if got := slices.Compact(pieces); !slices.Equal(got, c.moves) {
				t.Errorf("moves of %q, want %q", got, c.moves)
			}
		})
	}
}

// The picture of the narrowest moment has the number of the sentence.
func TestLabelSaysWhatTheSentenceSays(t *testing.T) {
	t.Parallel()
	for _, sys := range []unit.System{unit.Inches, unit.Millimetres} {
		s := with(cabinet(613.3, 500), 600, 300, 400)
		s.Units = sys
		f := told(t, s)
		if len(f.Marks) != 1 || len(f.Motions) != 1 || f.Motions[0].Closest == nil {
			t.Fatalf("%v: %d marks, %d ways", sys, len(f.Marks), len(f.Motions))
		}
		for _, label := range []string{f.Marks[0].Label, f.Motions[0].Closest.Mark.Label} {
			if !strings.Contains(f.Summary, "; "+label+" to spare") {
				t.Errorf("labelled %q: %q", label, f.Summary)
			}
		}
	}
}

// Where leaves narrow the opening the mark is about them, and where something
// stands in the way of a no it is about that.
func TestMarkOfANo(t *testing.T) {
	t.Parallel()
	leaves := with(cabinet(400, 560), 380, 380, 380)
	o := &leaves.Cabinet.Openings[0]
	o.Door = &scene.Door{Hinge: scene.HingePair, Thickness: 18, Opens: 90 * unit.Degree}
	f := told(t, leaves)
	if f.Verdict != verdict.No || len(f.Marks) != 1 {
		t.Fatalf("%v: %s", f.Verdict, f.Summary)
	}
	if got, want := f.Marks[0].Parts, []string{"sump/outside", "doors/left leaf", "doors/right leaf"}; !slices.Equal(got, want) {
		t.Errorf("the mark is about %q, want %q", got, want)
	}
	if f.Marks[0].Label != "364 mm" {
		t.Errorf("labelled %q, want 364 mm", f.Marks[0].Label)
	}

	shelf := with(cabinet(700, 500), 500, 300, 400)
	in := shelf.Cabinet.Inside()
	shelf.Cabinet.Fixtures = []scene.Fixture{{Name: "bar", Bodies: []scene.Body{
		{Solid: solid.Box(box(in.Min.X, 30, in.Min.Z, in.Max.X, 40, in.Max.Z))},
	}}}
	f = told(t, shelf)
	if f.Verdict != verdict.No || !strings.Contains(f.Summary, ", past bar") || len(f.Marks) != 1 || !slices.Contains(f.Marks[0].Parts, "bar") {
		t.Errorf("%v: %s\n%+v", f.Verdict, f.Summary, f.Marks)
	}
}

// While a piece goes in, those that are put onto it later are not there.
func TestLaterPiecesAreAbsent(t *testing.T) {
	t.Parallel()
	s := cabinet(240, 560)
	s.Equipment = []scene.Equipment{{Name: "skimmer", Kind: "skimmer", Bodies: []scene.Body{
		{Name: "body", Solid: solid.Box(box(400, 150, 100, 600, 300, 300))},
		{Name: "pump", Solid: solid.Box(box(400, 300, 100, 600, 320, 150))},
		{Name: "cup", Solid: solid.Box(box(350, 100, 300, 650, 350, 600)), Apart: true},
	}}}
	f := told(t, s)
	if want := "its body and pump go in through doors"; !strings.Contains(f.Summary, want) {
		t.Errorf("%q does not say %q", f.Summary, want)
	}
	if len(f.Motions) != 1 || !slices.Equal(f.Motions[0].Absent, []string{"skimmer/cup"}) {
		t.Errorf("%+v, want the way of body and pump, without the cup", f.Motions)
	}
}

// Where a thing overlaps something at rest is marked.
func TestOverlapIsMarked(t *testing.T) {
	t.Parallel()
	s := cabinet(700, 560)
	s.Equipment = []scene.Equipment{
		{Name: "jug", Kind: "box", Bodies: []scene.Body{{Solid: solid.Box(box(400, 150, 100, 600, 300, 300))}}},
		{Name: "box", Kind: "box", Bodies: []scene.Body{{Solid: solid.Box(box(590, 150, 100, 700, 300, 200))}}},
	}
	f := passage.Check(t.Context(), s).Checks[1]
	if f.Verdict != verdict.No || len(f.Marks) != 1 {
		t.Fatalf("%v with %d marks: %s", f.Verdict, len(f.Marks), f.Summary)
	}
	m := f.Marks[0]
	if m.Label != "overlap 10 mm" || !slices.Equal(m.Parts, []string{"box", "jug"}) || m.From.X < 589 || m.From.X > 601 {
		t.Errorf("%+v", m)
	}
	if want := "measure again where box is to stand, and where jug is"; f.Again != want {
		t.Errorf("%q, want %q", f.Again, want)
	}
}
