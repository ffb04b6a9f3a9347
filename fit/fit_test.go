package fit_test

import (
	"slices"
	"strings"
	"testing"

	"undercroft/assets"
	"undercroft/fit"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
)

// demo reads a demo plan.
func demo(tb testing.TB, name string) *scene.Scene {
	tb.Helper()
	text, ok := assets.Demo(name)
	if !ok {
		tb.Fatalf("there is no demo plan %q", name)
	}
	return read(tb, string(text))
}

func read(tb testing.TB, text string) *scene.Scene {
	tb.Helper()
	s, err := plan.Read("test.yaml", []byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

// TestDemos holds what the demo plans promise: everything fits, or it fails for
// the reasons that they are there to show.
func TestDemos(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]struct {
		verdict verdict.Verdict
		because map[string]verdict.Verdict // the findings that are not ok
	}{
		"fits":         {verdict.OK, nil},
		"fits-metric":  {verdict.OK, nil},
		"fails":        {verdict.No, failing},
		"fails-metric": {verdict.No, failing},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := fit.Check(t.Context(), demo(t, name), fit.Options{})
			if r.Verdict != want.verdict {
				t.Errorf("verdict %v, want %v", r.Verdict, want.verdict)
			}
			for _, f := range r.Checks {
				wanted := want.because[f.ID] // the zero value is unsure
				if _, listed := want.because[f.ID]; !listed {
					wanted = verdict.OK
				}
				if f.Verdict != wanted {
					t.Errorf("%s: %v, want %v: %s", f.ID, f.Verdict, wanted, f.Summary)
				}
			}
			for id := range want.because {
				if !slices.ContainsFunc(r.Checks, func(f verdict.Finding) bool { return f.ID == id }) {
					t.Errorf("%s was not checked", id)
				}
			}
		})
	}
}

// failing are the findings of the failing demos that are not ok: the leaves eat
// the opening, the skimmer does not go over the sump's wall, the heater stands
// too near, two must lift the sump, and no hand gets behind it.
var failing = map[string]verdict.Verdict{
	"passage/sump":    verdict.No,
	"passage/skimmer": verdict.No,
	"service/sump":    verdict.No,
	"service/skimmer": verdict.No,
	"service/order":   verdict.No,
	"gap/sump/heater": verdict.Tight,
	"weight/lift":     verdict.Tight,

	"reach/drain shut-off": verdict.No,
}

func TestReport(t *testing.T) {
	t.Parallel()
	var told []string
	s := demo(t, "fails")
	r := fit.Check(t.Context(), s, fit.Options{Progress: func(family string) { told = append(told, family) }})
	if r.Title != s.Title {
		t.Errorf("title %q, want the plan's %q", r.Title, s.Title)
	}
	worst := verdict.OK
	seen := map[string]bool{}
	for _, f := range r.Checks {
		worst = verdict.Worst(worst, f.Verdict)
		if seen[f.ID] {
			t.Errorf("%s is there twice", f.ID)
		}
		seen[f.ID] = true
		if f.Summary == "" || !strings.Contains(f.ID, "/") {
			t.Errorf("a finding without a family or a sentence: %+v", f)
		}
	}
	if r.Verdict != worst {
		t.Errorf("verdict %v, want the worst of all, %v", r.Verdict, worst)
	}
	if len(told) == 0 || slices.Contains(told, "") {
		t.Errorf("progress told %q, want each family", told)
	}
}

// TestNothingCheckedIsNotOK: a plan that lacks what every check needs gets no
// verdict.
func TestNothingCheckedIsNotOK(t *testing.T) {
	t.Parallel()
	r := fit.Check(t.Context(), &scene.Scene{}, fit.Options{})
	if len(r.Checks) == 0 && r.Verdict != verdict.Unsure {
		t.Errorf("nothing checked and %v, want unsure", r.Verdict)
	}
}

// promised are the measures that other programs rely on, by the head of the
// finding's id: a released key stays.
var promised = []struct {
	id   string
	keys []string
}{
	{"gap/", []string{"spare_mm", "wanted_mm"}},
	{"passage/", []string{"spare_low_mm", "spare_high_mm", "wanted_mm", "way", "moves", "ways"}},
	{"service/sump", []string{"spare_low_mm", "spare_high_mm", "wanted_mm", "first"}},
	{"service/order", []string{"order"}},
	{"reach/skimmer cup", []string{"spare_mm", "arm_used_mm", "arm_mm", "way", "seen"}},
	{"water/levels", []string{"density_kg_m3", "chamber_level_mm", "chamber_l"}},
	{"water/pump off", []string{"drained_l", "chamber_level_mm", "spare_to_brim_mm", "spilled_l"}},
	{"water/fill line", []string{"level_mm", "level_safe_mm"}},
	{"weight/system", []string{
		"empty_kg", "running_kg", "pump_off_kg", "display_glass_kg", "display_water_kg", "sump_glass_kg", "sump_water_kg", "cabinet_kg",
	}},
	{"weight/feet", []string{"largest_n", "pressure_kpa", "tip_deg"}},
	{"floor/joists", []string{
		"code_span_mm", "bending_ratio", "shear_ratio", "bearing_ratio", "deflection_mm", "deflection_ratio", "governs",
	}},
}

func TestPromisedMeasures(t *testing.T) {
	t.Parallel()
	r := fit.Check(t.Context(), demo(t, "fits"), fit.Options{})
	for _, p := range promised {
		found := false
		for _, f := range r.Checks {
			if !strings.HasPrefix(f.ID, p.id) || strings.Contains(f.ID, " door/") {
				continue
			}
			found = true
			for _, key := range p.keys {
				if !slices.ContainsFunc(f.Measures, func(m verdict.Measure) bool { return m.Key == key }) {
					t.Errorf("%s has no measure %q", f.ID, key)
				}
			}
		}
		if !found {
			t.Errorf("the demo has no finding %s", p.id)
		}
	}
}

func TestCautions(t *testing.T) {
	t.Parallel()
	const heater, move, trial = "Switch the heater off", "Never move a sump with water in it", "cut the pump's power"
	for _, c := range []struct {
		name, plan    string
		has, has2, no string
	}{
		{"heater", "format: 1\ncabinet: {size: [40, 20, 30]}\nequipment: [{name: h, kind: heater, round: 1, height: 6}]", heater, "Power off", move},
		{"sump", "format: 1\ncabinet: {size: [40, 20, 30]}\nsump: {size: [20, 12, 12]}", move, trial, heater},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := fit.Check(t.Context(), read(t, c.plan), fit.Options{})
			if len(r.Cautions) == 0 || r.Cautions[0] != fit.CautionPlanning {
				t.Fatalf("cautions %q, want %q first", r.Cautions, fit.CautionPlanning)
			}
			all := strings.Join(r.Cautions, "\n")
			for _, want := range []string{c.has, c.has2, "It does not mean safe", "ground-fault"} {
				if !strings.Contains(all, want) {
					t.Errorf("no %q in\n%s", want, all)
				}
			}
			if strings.Contains(all, c.no) {
				t.Errorf("%q is about something that is not there, in\n%s", c.no, all)
			}
		})
	}
}

// BenchmarkCheck: the demo plan is to be checked in less than a second.
func BenchmarkCheck(b *testing.B) {
	for _, name := range assets.Demos() {
		s := demo(b, name)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				fit.Check(b.Context(), s, fit.Options{})
			}
		})
	}
}
