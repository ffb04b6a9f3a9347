package sheet_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"undercroft/export/sheet"
	"undercroft/fit/floor"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// carried is a frame of timber on joists, with a name that would be markup.
const carried = `
format: 1
title: Study reef
cabinet: {size: [42 1/4, 18 1/2, 32], wall: 3/4, bottom: {up: 4, thickness: 3/4}}
display: {size: [42, 18, 20], glass: 3/8, water: {below-top: 1 1/2}, drops: 1}
sump: {size: [28, 13, 15 1/2], glass: 6 mm, inlet: left, flow: 300, level: 7}
stand:
  bears: rim
  species: spruce-pine-fir
  grade: 2
  members:
    - {name: front <b>rail, size: 2x4, run: left-right, at: {front: 0, down: 3/4}, length: 42 1/4}
    - {name: back rail, size: 2x4, run: left-right, at: {back: 0, down: 3/4}, length: 42 1/4}
    - {name: left front leg, size: 4x4, run: up, at: {left: 0, front: 0}, length: 27 3/4}
    - {name: right front leg, size: 4x4, run: up, at: {right: 0, front: 0}, length: 27 3/4}
    - {name: left back leg, size: 4x4, run: up, at: {left: 0, back: 0}, length: 27 3/4}
    - {name: right back leg, size: 4x4, run: up, at: {right: 0, back: 0}, length: 27 3/4}
floor:
  joists: {size: 2x10, species: hem-fir, grade: 2, spacing: 16, span: 12 ft, run: RUN, support: 8, offset: 4}
`

func onJoists(tb testing.TB, run string) (*scene.Scene, verdict.Findings) {
	tb.Helper()
	s := readPlan(tb, "carried.yaml", strings.Replace(carried, "RUN", run, 1))
	f := stand.Check(s)
	f.Add(floor.Check(s))
	return s, f
}

func measured(tb testing.TB, f verdict.Findings, id, key string) any {
	tb.Helper()
	for _, c := range f.Checks {
		for _, m := range c.Measures {
			if c.ID == id && m.Key == key {
				return m.Value
			}
		}
	}
	tb.Fatalf("no %s of %s", key, id)
	return nil
}

// TestFloorPlan holds that every joist under the tank stands on the page with its
// number, that the plan's own measures are dimensioned, and the cautions are
// there.
func TestFloorPlan(t *testing.T) {
	t.Parallel()
	for _, run := range []string{"front-back", "left-right"} {
		t.Run(run, func(t *testing.T) {
			t.Parallel()
			s, f := onJoists(t, run)
			svg, err := sheet.FloorPlan(s, f)
			if err != nil {
				t.Fatal(err)
			}
			d := read(t, svg)
			ratios, _ := measured(t, f, "floor/joists", "joist_ratio").([]float64)
			if len(ratios) < 2 {
				t.Fatalf("joists %v", ratios)
			}
			want := []string{"16 in", "144 in", "8 in", "4 in", "Study reef", "1 : 20"}
			if all := said(d); !strings.Contains(all, "left away") {
				t.Errorf("nothing tells of the break: %s", all)
			}
			for i, n := range measured(t, f, "floor/joists", "joists").([]float64) {
				want = append(want, fmt.Sprint(n), fmt.Sprintf("%.0f %%", 100*ratios[i]+0.5))
			}
			for _, w := range want {
				if !d.has(w) {
					t.Errorf("%q is not on the page", w)
				}
			}
			for _, c := range f.Cautions {
				if !strings.Contains(said(d), strings.Fields(c)[0]) {
					t.Errorf("caution %q is not on the page", c)
				}
			}
		})
	}
}

// TestStandDrawing holds that every member stands on the page with its number,
// that a name is text and no markup, and the same bytes come each time.
func TestStandDrawing(t *testing.T) {
	t.Parallel()
	s, f := onJoists(t, "front-back")
	svg, err := sheet.Stand(s, f)
	if err != nil {
		t.Fatal(err)
	}
	d := read(t, svg)
	for _, m := range s.Stand.Members {
		ratio, _ := measured(t, f, "stand/"+m.Name, "ratio").(float64)
		governs, _ := measured(t, f, "stand/"+m.Name, "governs").(string)
		if !d.has(m.Name) {
			t.Errorf("%s is not on the page", m.Name)
		}
		if w := fmt.Sprintf("%.0f %% (%s)", 100*ratio+0.5, governs); !d.has(w) {
			t.Errorf("%s: %q is not on the page", m.Name, w)
		}
	}
	if bytes.Contains(svg, []byte("<b>")) {
		t.Error("a name became markup")
	}
	again, err := sheet.Stand(s, f)
	if err != nil || !bytes.Equal(svg, again) {
		t.Error("the same plan gives another page")
	}
}

// TestHatchingTellsTheRatio holds that a member that works harder is hatched
// denser: more lines on the same drawing.
func TestHatchingTellsTheRatio(t *testing.T) {
	t.Parallel()
	s, f := onJoists(t, "front-back")
	lines := func(ratio float64) int {
		g := verdict.Findings{Cautions: f.Cautions}
		for _, c := range f.Checks {
			c.Measures = append(verdict.Measures{{Key: "ratio", Value: ratio}}, c.Measures...)
			g.Checks = append(g.Checks, c)
		}
		svg, err := sheet.Stand(s, g)
		if err != nil {
			t.Fatal(err)
		}
		return bytes.Count(svg, []byte(`fill="none" stroke-width="0.18" d=`))
	}
	few, some, many := lines(0.2), lines(0.6), lines(1)
	if few >= some || some >= many {
		t.Errorf("%d lines at 0.2, %d at 0.6, %d at 1", few, some, many)
	}
}

func TestNothingCarriedToDraw(t *testing.T) {
	t.Parallel()
	s := &scene.Scene{}
	if _, err := sheet.Stand(s, verdict.Findings{}); err == nil {
		t.Error("a plan without a stand has a drawing of it")
	}
	if _, err := sheet.FloorPlan(s, verdict.Findings{}); err == nil {
		t.Error("a plan without joists has a floor plan")
	}
	// Without findings the drawing stands without numbers.
	s, _ = onJoists(t, "front-back")
	for name, draw := range map[string]func(*scene.Scene, verdict.Findings) ([]byte, error){"stand": sheet.Stand, "floor": sheet.FloorPlan} {
		if _, err := draw(s, verdict.Findings{}); err != nil {
			t.Errorf("%s without findings: %v", name, err)
		}
	}
}

func BenchmarkFloorPlan(b *testing.B) {
	s, f := onJoists(b, "front-back")
	for b.Loop() {
		if _, err := sheet.FloorPlan(s, f); err != nil {
			b.Fatal(err)
		}
	}
}
