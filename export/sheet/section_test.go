package sheet_test

import (
	"bytes"
	"image/png"
	"math"
	"strings"
	"testing"

	"undercroft/assets"
	"undercroft/export/sheet"
	"undercroft/fit/glass"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// trap is a plan with a bubble trap, a reservoir and prices.
const trap = `
format: 1
title: Trap & <marks>
units: in
cabinet: {size: [42 1/4, 18 1/2, 32], bottom: {up: 4}}
display: {size: [42, 18, 20], water: {below-top: 1 1/2}, drops: 1 1/8}
sump:
  size: [28, 13, 15 1/2]
  glass: 1/4
  inlet: left
  flow: 300
  level: 7
  baffles:
    - {at: 16, top: 9 1/2}
    - {at: 17 1/2, top: 12, gap: 1 1/4}
    - {at: 19, top: 8 1/4}
equipment:
  - {name: jug, kind: reservoir, size: [5, 8, 8], at: {right: 1, front: 2}, holds: 1 gal, outlet: 12}
  - {name: return pump, kind: pump, in: sump last, size: [4, 3, 4], at: {right: 1, front: 3}}
glass: {shops: [{name: corner, area: 12, piece: 4, seam: 1}, {name: mill, total: 50}]}
prices: {currency: USD, list: [{name: silicone, count: 2, price: 9.5}]}
`

func readPlan(tb testing.TB, name, text string) *scene.Scene {
	tb.Helper()
	s, err := plan.Read(name, []byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

func said(d drawn) string {
	var all []string
	for _, t := range d.texts {
		all = append(all, t.s)
	}
	return strings.Join(all, "\n")
}

// Where no level is known, none is spoken of.
func TestSectionWithoutLevels(t *testing.T) {
	t.Parallel()
	s := readPlan(t, "bare.yaml", "format: 1\ncabinet: {size: [36, 18, 30]}\nsump: {size: [20, 10, 12], glass: 1/4, inlet: left}\n")
	svg, err := sheet.Section(s, water.Compute(s))
	if err != nil {
		t.Fatal(err)
	}
	text := said(read(t, svg))
	for _, none := range []string{"pump running", "Depth of water", "Chamber 1"} {
		if strings.Contains(text, none) {
			t.Errorf("%q, though no level is known", none)
		}
	}
	if !strings.Contains(text, "No level is known") {
		t.Error("it does not say that no level is known")
	}
}

func TestSectionShowsLevelsAndMarks(t *testing.T) {
	t.Parallel()
	s := readPlan(t, "trap.yaml", trap)
	w := water.Compute(s)
	b, err := sheet.Section(s, w)
	if err != nil {
		t.Fatal(err)
	}
	page := read(t, b)
	all := said(page)
	say := s.Units.Length
	for _, want := range []string{
		"Chamber 1", "Bubble trap 2", "return pump", say(w.Running.Depth[0]), say(w.PumpOff.Depth[3]), say(*w.SafeMark), say(*w.SafeOff),
		"Trap & <marks>", "1 : 5", "Local codes and licensed professionals decide",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	// The levels are true to scale: of the running level and the pump-off level
	// in the last chamber, at 1 : 5.
	levels := map[string][]float64{}
	for _, p := range page.paths {
		if len(p.y) == 2 && p.y[0] == p.y[1] {
			levels[p.class] = append(levels[p.class], p.y[0])
		}
	}
	want := (w.PumpOff.Depth[3] - w.Running.Depth[3]).MM() / 5
	found := false
	for _, off := range levels["hidden"] {
		for _, run := range levels["narrow"] {
			found = found || math.Abs(run-off-want) < 0.02
		}
	}
	if !found {
		t.Errorf("no two levels are %.2f mm apart on paper", want)
	}
	again, err := sheet.Section(s, w)
	if err != nil || !bytes.Equal(b, again) {
		t.Error("the same plan gives other bytes")
	}
}

// TestSectionTellsOnlyOfWhatIsKnown holds that a column and its key are there for
// each moment whose levels are known, and no other.
func TestSectionTellsOnlyOfWhatIsKnown(t *testing.T) {
	t.Parallel()
	const reservoir, off, blocked = "Dash and two dots: pump off with", "Dashed: pump off", "Dash and dot: what the pump"
	for _, c := range []struct {
		name, plan string
		want, not  []string
	}{
		{"all", trap, []string{reservoir, "reservoir in it too", off, blocked, "drain blocked"}, []string{"out of level"}},
		{"no reservoir", strings.NewReplacer("kind: reservoir", "kind: box", ", holds: 1 gal, outlet: 12", "").Replace(trap), []string{off, blocked}, []string{reservoir, "reservoir in it too"}},
		{"no display", strings.ReplaceAll(trap, "display:", "#"), []string{blocked}, []string{off, reservoir}},
		{"out of level", trap + "slope: {left-right: 1/8}\n", []string{"out of level", off}, nil},
	} {
		s := readPlan(t, "trap.yaml", c.plan)
		b, err := sheet.Section(s, water.Compute(s))
		if err != nil {
			t.Fatal(err)
		}
		all := strings.ReplaceAll(said(read(t, b)), "\n", " ")
		for _, w := range c.want {
			if !strings.Contains(all, w) {
				t.Errorf("%s: the page does not say %q", c.name, w)
			}
		}
		for _, w := range c.not {
			if strings.Contains(all, w) {
				t.Errorf("%s: the page says %q", c.name, w)
			}
		}
	}
}

func TestSectionOfDemos(t *testing.T) {
	t.Parallel()
	for _, d := range assets.Demos() {
		data, ok := assets.Demo(d)
		if !ok {
			t.Fatal(d)
		}
		s := readPlan(t, d+".yaml", string(data))
		b, err := sheet.Section(s, water.Compute(s))
		if err != nil {
			t.Errorf("%s: %v", d, err)
			continue
		}
		for _, x := range read(t, b).texts {
			if x.x < 5 || x.x > 205 || x.y < 5 || x.y > 274 {
				t.Errorf("%s: %q is off the page at %v, %v", d, x.s, x.x, x.y)
			}
		}
	}
}

func TestSectionMirrored(t *testing.T) {
	t.Parallel()
	for _, inlet := range []string{"right", "front", "back"} {
		text := strings.Replace(trap, "inlet: left", "inlet: "+inlet, 1)
		if inlet != "right" {
			text = strings.Replace(text, "size: [28, 13, 15 1/2]", "size: [13, 28, 15 1/2]", 1)
			text = strings.Replace(text, "size: [42 1/4, 18 1/2, 32]", "size: [42 1/4, 32, 32]", 1)
			text = strings.Replace(text, "display: {size: [42, 18, 20]", "display: {size: [42, 30, 20]", 1)
		}
		s := readPlan(t, "trap.yaml", text)
		b, err := sheet.Section(s, water.Compute(s))
		if err != nil {
			t.Fatal(err)
		}
		page := read(t, b)
		var in, mark float64
		for _, x := range page.texts {
			switch x.s {
			case "water in":
				in = x.x
			case "mark: pump running":
				mark = x.x
			}
		}
		if (inlet == "right") != (in > mark) {
			t.Errorf("inlet %s: water comes in at %v, the mark is at %v", inlet, in, mark)
		}
	}
}

func TestSectionPicture(t *testing.T) {
	t.Parallel()
	s := readPlan(t, "trap.yaml", trap)
	w := water.Compute(s)
	a, err := sheet.SectionPNG(s, w, 4)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	if got := img.Bounds().Size(); got.X != 840 || got.Y != 1116 {
		t.Errorf("the picture is %v pixels; want 840 x 1116", got)
	}
	dark := 0
	for y := range 1116 {
		for x := range 840 {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				dark++
			}
		}
	}
	// Ink on a page of lines and text: some of it, not much.
	if share := float64(dark) / (840 * 1116); share < 0.005 || share > 0.2 {
		t.Errorf("%.1f %% of the picture is ink", 100*share)
	}
	b, err := sheet.SectionPNG(s, w, 4)
	if err != nil || !bytes.Equal(a, b) {
		t.Error("the same plan gives another picture")
	}
	for _, per := range []float64{0, -1, 41, math.NaN()} {
		if _, err := sheet.SectionPNG(s, w, per); err == nil {
			t.Errorf("%v pixels to the millimetre are accepted", per)
		}
	}
}

func TestNothingToDraw(t *testing.T) {
	t.Parallel()
	s := &scene.Scene{Units: unit.Inches}
	if _, err := sheet.Section(s, water.Compute(s)); err == nil {
		t.Error("a plan without a sump has a section")
	}
	if _, err := sheet.Cut(s, glass.Cut(s)); err == nil {
		t.Error("a plan without a sump has glass to cut")
	}
}

func TestCutSheets(t *testing.T) {
	t.Parallel()
	s := readPlan(t, "trap.yaml", trap)
	pages, err := sheet.Cut(s, glass.Cut(s))
	if err != nil {
		t.Fatal(err)
	}
	if len(pages) != 3 {
		t.Fatalf("%d pages; want the list, the panes and the strips", len(pages))
	}
	list := said(read(t, pages[0]))
	for _, want := range []string{"baffle 3", "12 3/8 in", "10 3/4 in", "annealed float glass", "corner", "69.00", "USD", "Two people"} {
		if !strings.Contains(list, want) {
			t.Errorf("the list does not say %q", want)
		}
	}
	// The strips are in full size: the near faces of the first and the last
	// baffle are 3 in apart on paper.
	strips := read(t, pages[2])
	at := map[string]float64{}
	for _, x := range strips.texts {
		if i := strings.Index(x.s, ": "); i == 1 {
			at[x.s[:1]] = x.x
		}
	}
	if d := at["3"] - at["1"]; math.Abs(d-76.2) > 0.02 {
		t.Errorf("baffles 1 and 3 are %.2f mm apart on the strip; want 76.2", d)
	}
	for _, b := range pages {
		for _, x := range read(t, b).texts {
			if x.x < 5 || x.x > 205 || x.y < 5 || x.y > 274 {
				t.Errorf("%q is off the page at %v, %v", x.s, x.x, x.y)
			}
		}
	}
}

func BenchmarkSection(b *testing.B) {
	s := readPlan(b, "trap.yaml", trap)
	w := water.Compute(s)
	for b.Loop() {
		if _, err := sheet.Section(s, w); err != nil {
			b.Fatal(err)
		}
	}
}
