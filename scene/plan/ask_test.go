package plan_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// answer gives the answers in turn and fails on a question more or less.
func answer(t *testing.T, answers ...string) *plan.Interview {
	t.Helper()
	var v plan.Interview
	for _, a := range answers {
		q, ok := v.Next()
		if !ok {
			t.Fatalf("no question for the answer %q", a)
		}
		if err := v.Answer(a); err != nil {
			t.Fatalf("%s %q: %v", q.Ask, a, err)
		}
	}
	if q, ok := v.Next(); ok {
		t.Fatalf("one more question: %s", q.Ask)
	}
	return &v
}

func interviewed(t *testing.T, v *plan.Interview) *scene.Scene {
	t.Helper()
	text, err := v.Plan()
	if err != nil {
		t.Fatal(err)
	}
	s, err := plan.Read("plan.yaml", text)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return s
}

// Enter, all the way down, gives a plan in each system.
func TestInterviewByDefaults(t *testing.T) {
	t.Parallel()
	for _, sys := range unit.Systems() {
		var v plan.Interview
		asked := 0
		for q, ok := v.Next(); ok; q, ok = v.Next() {
			asked++
			text := ""
			if q.ID == "units" {
				text = sys.String()
			}
			if err := v.Answer(text); err != nil {
				t.Fatalf("%v: %s %q: %v", sys, q.Ask, q.Default, err)
			}
			if q.Ask == "" || q.Help == "" || !strings.HasSuffix(q.Ask, "?") {
				t.Errorf("no question: %+v", q)
			}
		}
		s := interviewed(t, &v)
		if asked < 12 || asked > 14 || s.Sump == nil || s.Display == nil || len(s.Cabinet.Openings) != 1 || s.Units != sys {
			t.Errorf("%v: %d questions, and the plan reads\n%s", sys, asked, strings.Join(s.Describe(), "\n"))
		}
		if err := v.Answer(""); err == nil {
			t.Error("an answer to no question is taken")
		}
	}
}

func TestInterviewAnswers(t *testing.T) {
	t.Parallel()
	s := interviewed(t, answer(t,
		"IN", `Reef "No 2": the alcove`, `3' x 18 1/2" x 30 in`, `3/4"`, "4 in", "30 x 20", `2 1/4"`, "1/2", "left", "1/2 in", "40", "36x18x18", "24 × 12 * 14 in", "5 x 16",
	))
	c := s.Cabinet
	if s.Title != `Reef "No 2": the alcove` || c.Width != 914.4 || c.Depth != 469.9 || c.Bottom.Up != 101.6 || c.Front.Assumed {
		t.Errorf("title %q, cabinet %v x %v mm, bottom %v", s.Title, c.Width, c.Depth, c.Bottom)
	}
	if o := c.Openings[0]; o.Hole != box(57.15, 0, 114.3, 819.15, 19.05, 622.3) || o.Door.Hinge != scene.HingeLeft || !o.Door.Overlay || o.Door.Overlap != 12.7 {
		t.Errorf("opening %+v, door %+v", o, *o.Door)
	}
	if *s.Room.Front != 1016 || s.Equipment[0].Name != "skimmer" || s.Equipment[0].Chamber != 1 {
		t.Errorf("room %v, equipment %+v", *s.Room.Front, s.Equipment)
	}
	none := interviewed(t, answer(t, "mm", "null", "900x450x760", "19", "none", "none", "none", "none", "600 x 300 x 360", "none"))
	if len(none.Cabinet.Openings) > 0 || none.Display != nil || none.Cabinet.Bottom != nil || len(none.Equipment) > 0 || none.Room.Front != nil || none.Title != "null" {
		t.Errorf("what was answered with none is there:\n%s", strings.Join(none.Describe(), "\n"))
	}
	open := interviewed(t, answer(t, "cm", "", "", "", "0", "", "middle", "0", "none", "none", "", "", ""))
	if open.Cabinet.Openings[0].Door != nil || open.Cabinet.Bottom != nil {
		t.Errorf("a door or a bottom that there is not: %+v", open.Cabinet)
	}
}

// A bad answer is asked again, with the reason in words of the question.
func TestInterviewRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct {
		before []string
		text   string
		want   string
	}{
		{nil, "inches", `"inches" is not a system of units; write in, mm or cm`},
		{[]string{"in", ""}, "36 x 18", `"36 x 18" is not width x depth x height`},
		{[]string{"in", ""}, "36 x 18 x tall", `"tall" is not a length: it does not start with a number`},
		{[]string{"in", ""}, "36 x 0 x 30", `"0" is not more than 0: write width x depth x height`},
		{[]string{"in", "", "36 x 18 x 30"}, "20", "two sides of 20 in fill the width of 36 in"},
		{[]string{"in", "", "36 x 18 x 30"}, "3/", "the fraction has nothing under the line"},
		{[]string{"in", "", "36 x 18 x 30", ""}, "31", "leave nothing of the height of 30 in"},
		{[]string{"in", "", "36 x 18 x 30", "", ""}, "38 x 20", "the hole is 38 in wide, the cabinet's front only 36 in"},
		{[]string{"in", "", "36 x 18 x 30", "", "", "30 x 20"}, "8", "the hole is 30 in wide from 8 in on"},
		{[]string{"in", "", "36 x 18 x 30", "", "", "30 x 20", ""}, "8", "the hole is 20 in high from 12 in on"},
		{[]string{"in", "", "36 x 18 x 30", "", "", "30 x 20", "", "1"}, "french", `"french" is not a hinge side`},
		{[]string{"in", "", "36 x 18 x 30", "", "", "30 x 20", "", "1", "pair"}, "a bit", `"a bit" is not a length`},
	}
	for _, tt := range tests {
		var v plan.Interview
		for _, a := range tt.before {
			if err := v.Answer(a); err != nil {
				t.Fatal(err)
			}
		}
		before, _ := v.Next()
		err := v.Answer(tt.text)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s %q: got %v, want %q", before.Ask, tt.text, err, tt.want)
		}
		if after, _ := v.Next(); after != before {
			t.Errorf("after a bad answer to %q comes %q", before.ID, after.ID)
		}
	}
}

// Whatever is answered, the plan reads without an error once all is answered.
func TestInterviewAlwaysReads(t *testing.T) {
	t.Parallel()
	finished := 0
	rapid.Check(t, func(rt *rapid.T) {
		var v plan.Interview
		for refused := 0; refused < 40; {
			q, ok := v.Next()
			if !ok {
				break
			}
			text := rapid.OneOf(
				rapid.SampledFrom([]string{"", "", "none", "middle", "inset", "left", "1", "2 1/2", "20 x 10", "12 x 9 x 8 in", "300x200x100 mm", "0", "-1", "yes", "[", "#", "a: b"}),
				rapid.String(),
			).Draw(rt, q.ID)
			if v.Answer(text) != nil {
				refused++
			}
		}
		if _, more := v.Next(); more {
			return // nothing that was drawn would do
		}
		finished++
		text, err := v.Plan()
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := plan.Read("plan.yaml", text); err != nil {
			rt.Fatalf("%v\n%s", err, text)
		}
	})
	if finished == 0 {
		t.Error("no interview came to its end")
	}
}

func TestStarter(t *testing.T) {
	t.Parallel()
	for _, sys := range unit.Systems() {
		text := plan.Starter(sys)
		s, err := plan.Read("starter.yaml", text)
		if err != nil {
			t.Errorf("%v: %v", sys, err)
			continue
		}
		if s.Units != sys || s.Sump == nil || len(s.Equipment) < 2 || bytes.ContainsAny(text, "<>|\t") {
			t.Errorf("%v: the starter reads\n%s\nfrom\n%s", sys, strings.Join(s.Describe(), "\n"), text)
		}
		// The keys that stand as notes are keys: without their # the plan reads too.
		uncommented := uncomment(string(text))
		if _, err := plan.Read("starter.yaml", []byte(uncommented)); err != nil {
			t.Errorf("%v: with its notes as keys: %v\n%s", sys, err, uncommented)
		}
	}
}

// uncomment makes keys of the notes that are keys.
func uncomment(text string) string {
	lines := strings.Split(text, "\n")
	inPlan := false
	for i, line := range lines {
		inPlan = inPlan || strings.HasPrefix(line, "format:")
		indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
		key, isNote := strings.CutPrefix(strings.TrimLeft(line, " "), "# ")
		if !inPlan || !isNote || strings.HasPrefix(key, "hinge:") || strings.HasPrefix(key, "clear:") {
			continue
		}
		lines[i] = indent + key
	}
	return strings.Join(lines, "\n")
}

func TestFromSizes(t *testing.T) {
	t.Parallel()
	s, text, err := plan.FromSizes(plan.Sizes{Inside: "35x17x25", Opening: "14.25x22", Sill: "1/2", Sump: "24x12x16"})
	if err != nil {
		t.Fatal(err)
	}
	in := func(x float64) float64 { return x * 25.4 }
	inside := s.Cabinet.Inside()
	if got := box(0, 0, 0, inside.Max.X-inside.Min.X, inside.Max.Y-inside.Min.Y, inside.Max.Z-inside.Min.Z); !near(got, box(0, 0, 0, in(35), in(17), in(25)), 1e-6) {
		t.Errorf("inside %v", got)
	}
	hole := s.Cabinet.Openings[0].Hole
	if !near(hole, box(in(0.75+17.5-14.25/2), 0, in(0.5), in(0.75+17.5+14.25/2), in(0.75), in(22.5)), 1e-6) || s.Cabinet.Openings[0].Door != nil {
		t.Errorf("opening %v", hole)
	}
	if b := s.Sump.Box; !near(b, box(in(0.75+5.5), in(0.75+2.5), 0, in(0.75+29.5), in(0.75+14.5), in(16)), 1e-6) || !s.Sump.Assumed || !s.Cabinet.Openings[0].PlaceAssumed {
		t.Errorf("sump %v, its place assumed: %v", b, s.Sump.Assumed)
	}
	if !s.Cabinet.Front.Assumed || s.Cabinet.Left.Assumed || s.Cabinet.Back.Assumed {
		t.Error("of the walls the front alone has a thickness that is assumed")
	}
	assumed := map[string]bool{}
	for _, a := range s.Assumed {
		assumed[a.Key] = a.Text != ""
	}
	for _, key := range []string{"tape", "cabinet.wall", "cabinet.openings[0].at.left", "cabinet.openings[0].door", "sump.at", "sump.rim", "sump.glass", "carry"} {
		if !assumed[key] {
			t.Errorf("%s is not among what is assumed: %v", key, s.Assumed)
		}
	}
	if again, err := plan.Read("sizes.yaml", text); err != nil || again.Sump.Box != s.Sump.Box {
		t.Errorf("the text does not read as the scene: %v", err)
	}
	mm, _, err := plan.FromSizes(plan.Sizes{Units: unit.Millimetres, Inside: "35x17x25 in", Sump: `24"x12"x16"`})
	if err != nil || mm.Sump.Box != s.Sump.Box || len(mm.Cabinet.Openings) != 0 {
		t.Errorf("with the unit behind: %v, %v", mm, err)
	}
}

func TestFromSizesRefuses(t *testing.T) {
	t.Parallel()
	good := plan.Sizes{Inside: "35x17x25", Opening: "14.25x22", Sill: "1/2", Sump: "24x12x16"}
	tests := []struct {
		change func(*plan.Sizes)
		name   string
		want   string
	}{
		{func(z *plan.Sizes) { z.Inside = "" }, "inside", `"" is not width x depth x height`},
		{func(z *plan.Sizes) { z.Inside = "35x17" }, "inside", `"35x17" is not width x depth x height`},
		{func(z *plan.Sizes) { z.Inside = "35x17x25x3" }, "inside", "is not width x depth x height"},
		{func(z *plan.Sizes) { z.Inside = "99 m x 99.99 m x 99 m" }, "inside", "more than 100 m"},
		{func(z *plan.Sizes) { z.Opening = "44x22" }, "opening", "the hole is 44 in wide, the cabinet's front only 36 1/2 in"},
		{func(z *plan.Sizes) { z.Opening = "14x" }, "opening", "it is empty"},
		{func(z *plan.Sizes) { z.Sill = "5" }, "opening", "the hole is 22 in high from 5 in on"},
		{func(z *plan.Sizes) { z.Sill = "low" }, "sill", "it does not start with a number"},
		{func(z *plan.Sizes) { z.Opening = "" }, "sill", "there is no opening to have one"},
		{func(z *plan.Sizes) { z.Sump = "24x12" }, "sump", "is not width x depth x height"},
		{func(z *plan.Sizes) { z.Sump = "24x-12x16" }, "sump", "is not more than 0"},
		{func(z *plan.Sizes) { z.Sump = "24x1/4x16" }, "sump", "panes of 1/4 in leave nothing between them"},
	}
	for _, tt := range tests {
		z := good
		tt.change(&z)
		s, _, err := plan.FromSizes(z)
		var bad *plan.SizeError
		if s != nil || !errors.As(err, &bad) || bad.Name != tt.name || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: got %v, want %s: …%s…", z, err, tt.name, tt.want)
		}
	}
}
