package sheet_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"undercroft/export/sheet"
	"undercroft/fit/sensitivity"
	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

func about(id string) string { return "about " + id }

// wideFrames counts the blanks of a page that have a wide frame, by the mark in
// their corner.
func wideFrames(d drawn) int {
	n := 0
	for _, p := range d.paths {
		if p.class == "solidly" && len(p.x) == 3 && p.x[0] == p.x[1] && p.y[0] == p.y[2] {
			n++
		}
	}
	return n
}

func TestMeasureAgain(t *testing.T) {
	t.Parallel()
	s := demo(t, "fits")
	tab := &sensitivity.Table{Step: unit.Inch / 16, Measurements: []sensitivity.Measurement{
		{Key: "cabinet.openings[0].size[0]", Value: 34 * unit.Inch, Effects: []sensitivity.Effect{
			{ID: "passage/sump", Is: verdict.OK, Turned: verdict.Tight, Lost: unit.Inch / 16, AtMost: true},
		}},
		{Key: "equipment[1].at.back", Value: 2 * unit.Inch, Effects: []sensitivity.Effect{
			{ID: "gap/sump/heater", Is: verdict.Tight, Turned: verdict.Tight, Lost: unit.Inch / 16, Larger: true},
		}},
		{Key: "sump.size[2]", Value: 10 * unit.Inch, Effects: []sensitivity.Effect{
			{ID: "water/pump off", Is: verdict.OK, Turned: verdict.OK, Lost: unit.Inch / 32},
		}},
		{Key: "display.sand.depth", Value: unit.Inch, Effects: []sensitivity.Effect{
			{ID: "water/levels", Is: verdict.OK, Turned: verdict.OK, Lost: 0.05},
		}},
	}, Unknown: []sensitivity.Unknown{{ID: "reach/cup", Why: "searched anew"}}}
	found := []verdict.Finding{
		{ID: "passage/a", Verdict: verdict.Tight, Again: "the door"},
		{ID: "passage/b", Verdict: verdict.Unsure, Summary: "the search ran out"},
		{ID: "passage/c", Verdict: verdict.Unsure, Again: "the hole"},
		{ID: "passage/d", Verdict: verdict.OK, Again: "nothing that matters"},
	}
	pages, err := sheet.MeasureAgain(s, tab, found, about)
	if err != nil {
		t.Fatal(err)
	}
	var read1 []drawn
	for _, p := range pages {
		read1 = append(read1, read(t, p))
	}
	// The opening's width turns a verdict, the heater's place has a part in one that
	// is tight; the sump's height does neither.
	frames := 0
	for _, p := range read1[:len(read1)-1] {
		frames += wideFrames(p)
	}
	if frames != 2 {
		t.Errorf("%d blanks have a wide frame, want 2", frames)
	}
	last := said(read1[len(read1)-1])
	for _, want := range []string{
		"C5", "doors: width", "34", "smaller", "up to 1/16 in", "about passage/sump", "ok to tight if smaller",
		"G5", "heater: from back", "larger", "about gap/sump/heater",
		"F3", "sump: height", "1/32 in", "the door", "the hole", "no measurement is known to settle it: the search ran out",
		"about reach/cup", "searched anew",
	} {
		if !strings.Contains(last, want) {
			t.Errorf("the last page does not say %q:\n%s", want, last)
		}
	}
	for _, not := range []string{"nothing that matters", "display: sand depth"} {
		if strings.Contains(last, not) {
			t.Errorf("the last page says %q", not)
		}
	}
	if hole, door := strings.Index(last, "the hole"), strings.Index(last, "the door"); hole > door {
		t.Error("what is unsure does not come first")
	}
	again, err := sheet.MeasureAgain(s, tab, found, about)
	if err != nil || !slices.EqualFunc(pages, again, bytes.Equal) {
		t.Error("the same plan gives another sheet", err)
	}
}

// Each blank of the sheet that a plan can fill is found by its key.
func TestEveryKeyHasItsBlank(t *testing.T) {
	t.Parallel()
	s := demo(t, "fits")
	for _, key := range []string{
		"cabinet.size[0]", "cabinet.wall", "cabinet.bottom.up", "room.front", "cabinet.openings[0].at.sill", "cabinet.openings[0].door.overlap",
		"cabinet.fixtures[1].at.right", "cabinet.fixtures[2].size[2]", "display.size[2]", "display.drops", "sump.glass", "sump.level",
		"sump.baffles[1].top", "equipment[0].parts[1].height", "equipment[0].parts[1].lifts", "equipment[1].round", "equipment[2].size[1]",
	} {
		tab := &sensitivity.Table{Step: unit.Inch / 16, Measurements: []sensitivity.Measurement{{
			Key: key, Effects: []sensitivity.Effect{{ID: "gap/a/b", Is: verdict.OK, Turned: verdict.Tight}},
		}}}
		pages, err := sheet.MeasureAgain(s, tab, nil, about)
		if err != nil {
			t.Fatal(err)
		}
		frames := 0
		for _, p := range pages {
			frames += wideFrames(read(t, p))
		}
		if frames != 1 {
			t.Errorf("%s: %d blanks have a wide frame", key, frames)
		}
	}
}

func TestNoErrorCosts(t *testing.T) {
	t.Parallel()
	pages, err := sheet.MeasureAgain(shelf(), &sensitivity.Table{Step: 1}, nil, about)
	if err != nil {
		t.Fatal(err)
	}
	if last := said(read(t, pages[len(pages)-1])); !strings.Contains(last, "no length has a part") || !strings.Contains(last, "nothing") {
		t.Error(last)
	}
}
