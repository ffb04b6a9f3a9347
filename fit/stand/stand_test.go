package stand_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/assets"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/plan"
)

// base is a cabinet with a display and a sump; stand and other keys follow.
const base = `
format: 1
cabinet:
  size: [42 1/4, 18 1/2, 32]
  wall: 3/4
  back: 3/4
  bottom: {up: 4, thickness: 3/4}
  openings:
    - {name: doors, side: front, at: {left: 2 1/4, sill: 1/2}, size: [37 3/4, 20], door: none}
display:
  size: [42, 18, 20]
  glass: 3/8
  water: {below-top: 1 1/2}
  drops: 1 1/8
  rock: 35
sump: {size: [28, 13, 15 1/2], glass: 6 mm, inlet: left, flow: 300, level: 7}
`

// frame is a stand of four rails on four legs; rails and legs are the size of
// each, more what else stands at stand.
func frame(rail, leg, more string) string {
	return base + fmt.Sprintf(`
stand:
  bears: rim
  %[3]s
  members:
    - {name: front rail, size: %[1]s, run: left-right, at: {front: 0, down: 3/4}, length: 42 1/4}
    - {name: back rail, size: %[1]s, run: left-right, at: {back: 0, down: 3/4}, length: 42 1/4}
    - {name: left rail, size: %[1]s, run: front-back, at: {left: 0, down: 3/4}, length: 15 1/2}
    - {name: right rail, size: %[1]s, run: front-back, at: {right: 0, down: 3/4}, length: 15 1/2}
    - {name: left front leg, size: %[2]s, run: up, at: {left: 0, front: 0}, length: HIGH}
    - {name: right front leg, size: %[2]s, run: up, at: {right: 0, front: 0}, length: HIGH}
    - {name: left back leg, size: %[2]s, run: up, at: {left: 0, back: 0}, length: HIGH}
    - {name: right back leg, size: %[2]s, run: up, at: {right: 0, back: 0}, length: HIGH}
`, rail, leg, more)
}

// tall fills in the height of the legs under rails of the given depth in inches.
func tall(text string, rail float64) string {
	return strings.ReplaceAll(text, "HIGH", fmt.Sprintf("%v", 32-0.75-rail))
}

const spf2 = "species: spruce-pine-fir\n  grade: 2"

func read(tb testing.TB, text string) *scene.Scene {
	tb.Helper()
	s, err := plan.Read("plan.yaml", []byte(text))
	if err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return s
}

func check(tb testing.TB, text string) verdict.Findings {
	tb.Helper()
	return stand.Check(read(tb, text))
}

func find(tb testing.TB, f verdict.Findings, id string) verdict.Finding {
	tb.Helper()
	for _, c := range f.Checks {
		if c.ID == id {
			return c
		}
	}
	tb.Fatalf("no finding %s among %d, left out %v", id, len(f.Checks), f.LeftOut)
	return verdict.Finding{}
}

func number(tb testing.TB, f verdict.Finding, key string) float64 {
	tb.Helper()
	for _, m := range f.Measures {
		if m.Key == key {
			if v, ok := m.Value.(float64); ok {
				return v
			}
			tb.Fatalf("%s: %s is %v", f.ID, key, m.Value)
		}
	}
	tb.Fatalf("%s has no %s: %v", f.ID, key, f.Measures)
	return 0
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, within)
	}
}

// TestFrame checks a frame against statics done by hand: the legs carry the tank
// and the cabinet, a quarter each, and the front rail the larger moment of an
// even load along its edge and of the 45° share of the bottom.
func TestFrame(t *testing.T) {
	t.Parallel()
	s := read(t, tall(frame("2x4", "4x4", spf2), 3.5))
	f := stand.Check(s)
	l := weight.Compute(s)
	top, _, _ := l.On(weight.OnTop, weight.Running)
	own, _, _ := l.On(weight.OfItself, weight.Running)
	legs := 0.0
	for _, name := range []string{"left front leg", "right front leg", "left back leg", "right back leg"} {
		leg := find(t, f, "stand/"+name)
		legs += number(t, leg, "load_n")
		if leg.Verdict != verdict.OK {
			t.Errorf("%s: %s %s", name, leg.Verdict, leg.Summary)
		}
	}
	near(t, "load on the legs", legs, (top + own).Weight().N(), 1e-6*legs)

	const inch = 25.4
	length := 42.25 * inch
	span := length - 3.5*inch // between the middles of the legs
	dead := own.Weight().N() / ((2*42.25 + 2*15.5) * inch)
	force := top.Weight().N()
	pressure := force / (42 * 18 * inch * inch)
	// The largest moment in the middle, by summing the load of the rail's left half
	// against the reaction of the leg; what the side rails bring is over the legs.
	moment := func(edge func(x float64) float64) float64 {
		const n = 20000
		var react, inner float64
		for i := range n {
			dx := length / 2 / n
			x := (float64(i) + 0.5) * dx
			q := dead + edge(x-0.125*inch)
			react += q * dx
			inner += q * dx * (length/2 - x)
		}
		return react*span/2 - inner
	}
	even := moment(func(x float64) float64 {
		if x < 0 {
			return 0
		}
		return force / (2 * (42 + 18) * inch)
	})
	shared := moment(func(x float64) float64 { return pressure * min(max(x, 0), 9*inch) })
	const psi = 4.4482216152605 / (inch * inch)
	section := 1.5 * 3.5 * 3.5 / 6 * inch * inch * inch
	// NDS: Fb 875 psi, CF 1.5, CD 0.9, and CL of 3.3.3 for an edge that nothing holds.
	fb := 875 * psi * 1.5 * 0.9
	le := 1.63*span + 3*3.5*inch
	fbe := 1.2 * 510e3 * psi * (1.5 * inch) * (1.5 * inch) / (le * 3.5 * inch)
	x := (1 + fbe/fb) / 1.9
	cl := x - math.Sqrt(x*x-fbe/fb/0.95)
	want := max(even, shared) / section / (fb * cl)
	side := find(t, f, "stand/left rail")
	near(t, "load on the left rail", number(t, side, "load_n"), force/(2*(42+18))*15.5, 1e-6*force)
	rail := find(t, f, "stand/front rail")
	near(t, "bending of the front rail", number(t, rail, "bending_ratio"), want, 0.003*want)
	if rail.Verdict != verdict.OK {
		t.Errorf("front rail: %s %s", rail.Verdict, rail.Summary)
	}
	if !slices.Contains(f.Cautions, stand.CautionCarry) || !slices.Contains(f.Cautions, stand.CautionLook) {
		t.Errorf("cautions %q", f.Cautions)
	}
}

// TestNothingIsLost holds that all of the tank arrives at the legs, also where an
// edge of it spans between members across it, off the middle.
func TestNothingIsLost(t *testing.T) {
	t.Parallel()
	text := base + `
stand:
  bears: rim
  species: hem-fir
  grade: 2
  members:
    - {name: left rail, size: 2x6, run: front-back, at: {left: 0, down: 3/4}, length: 18 1/2}
    - {name: middle rail, size: 2x6, run: front-back, at: {left: 26, down: 3/4}, length: 18 1/2}
    - {name: right rail, size: 2x6, run: front-back, at: {right: 0, down: 3/4}, length: 18 1/2}
    - {name: leg 1, size: 2x4, run: up, at: {left: 0, front: 0}, length: 25 3/4, wide: front-back}
    - {name: leg 2, size: 2x4, run: up, at: {left: 0, back: 0}, length: 25 3/4, wide: front-back}
    - {name: leg 3, size: 2x4, run: up, at: {left: 26, front: 0}, length: 25 3/4, wide: front-back}
    - {name: leg 4, size: 2x4, run: up, at: {left: 26, back: 0}, length: 25 3/4, wide: front-back}
    - {name: leg 5, size: 2x4, run: up, at: {right: 0, front: 0}, length: 25 3/4, wide: front-back}
    - {name: leg 6, size: 2x4, run: up, at: {right: 0, back: 0}, length: 25 3/4, wide: front-back}
`
	s := read(t, text)
	f := stand.Check(s)
	l := weight.Compute(s)
	top, _, _ := l.On(weight.OnTop, weight.Running)
	own, _, _ := l.On(weight.OfItself, weight.Running)
	all := (top + own).Weight().N()
	sum := func(f verdict.Findings) float64 {
		sum := 0.0
		for i := 1; i <= 6; i++ {
			sum += number(t, find(t, f, fmt.Sprintf("stand/leg %d", i)), "load_n")
		}
		return sum
	}
	mat := stand.Check(read(t, strings.Replace(text, "bears: rim", "bears: mat", 1)))
	near(t, "on a mat, all legs", sum(mat), all, 1e-6*all)
	// On the rim each leg shows the larger of two ways of bearing.
	if rim := sum(f); rim < all*(1-1e-9) || rim > 1.2*all {
		t.Errorf("on the rim, all legs carry %v of %v", rim, all)
	}
	const w, d = 42.0, 18.0
	areaLong := 0.5 - d*d/4/(w*d) // share of the bottom that is nearest to the front edge
	middle := number(t, find(t, f, "stand/leg 3"), "load_n")
	// The middle rail carries what is nearer to it than to its neighbours: by the
	// lever half of the gaps of 25 and 14 in.
	third := own.Weight().N()/6 + top.Weight().N()*areaLong*peakShare(w, d)
	near(t, "middle leg", middle, third, 0.02*third)
}

// peakShare returns the share of a long edge, loaded by the areas nearest to it,
// that the lever gives a rail at 26 to 27 1/2 in of 42 1/4 between rails at the
// ends, 1 1/2 in wide.
func peakShare(w, d float64) float64 {
	share, all := 0.0, 0.0
	const n = 100000
	for i := range n {
		x := (float64(i) + 0.5) * w / n
		q := min(x, w-x, d/2)
		at := x + 0.125
		s := 0.0
		switch {
		case at <= 1.5 || at >= 40.75:
		case at < 26:
			s = (at - 1.5) / 24.5
		case at <= 27.5:
			s = 1
		default:
			s = (40.75 - at) / 13.25
		}
		share += q * s
		all += q
	}
	return share / all
}

// TestNextSizeDoes holds that the size a failing member is told to get would do.
func TestNextSizeDoes(t *testing.T) {
	t.Parallel()
	weak := strings.NewReplacer("size: [42 1/4, 18 1/2, 32]", "size: [90 1/4, 18 1/2, 32]", "size: [42, 18, 20]", "size: [90, 18, 24]",
		"42 1/4}", "90 1/4}", "37 3/4", "80").Replace(tall(frame("2x4", "4x4", spf2), 3.5))
	f := check(t, weak)
	rail := find(t, f, "stand/front rail")
	if rail.Verdict != verdict.No {
		t.Fatalf("a 2x4 over 87 in: %s %s", rail.Verdict, rail.Summary)
	}
	next := ""
	for _, m := range rail.Measures {
		if m.Key == "next_size" {
			next, _ = m.Value.(string)
		}
	}
	if next == "" || !strings.Contains(rail.Summary, next) {
		t.Fatalf("next size %q: %s", next, rail.Summary)
	}
	_, deep, _ := assets.DressedLumber(next)
	strong := strings.NewReplacer("size: 2x4", "size: "+next, "length: 27.75", fmt.Sprintf("length: %v", 32-0.75-deep.In())).Replace(weak)
	if rail = find(t, check(t, strong), "stand/front rail"); rail.Verdict != verdict.OK {
		t.Errorf("with %s: %s %s", next, rail.Verdict, rail.Summary)
	}
}

// TestUnknownTimber holds that an unknown species and grade gives the ratio of
// the weakest there is, says so, and proves no no.
func TestUnknownTimber(t *testing.T) {
	t.Parallel()
	ratio := func(species, grade string) float64 {
		return number(t, find(t, check(t, tall(frame("2x4", "4x4", "species: "+species+"\n  grade: "+grade), 3.5)), "stand/front rail"), "bending_ratio")
	}
	worst := 0.0
	for _, sp := range assets.LumberSpecies() {
		for _, g := range assets.LumberGrades() {
			worst = max(worst, ratio(sp, g))
		}
	}
	got := ratio("unknown", "unknown")
	if got < worst-1e-9 || got > 1.2*worst {
		t.Errorf("unknown %v, the weakest of all %v", got, worst)
	}
	rail := find(t, check(t, tall(frame("2x4", "4x4", ""), 3.5)), "stand/front rail")
	if !slices.ContainsFunc(rail.Assumed, func(a string) bool { return strings.Contains(a, "weakest") }) {
		t.Errorf("assumed %q does not say that the weakest counts", rail.Assumed)
	}
	// Rails that only the weakest timber fails are unsure, not impossible.
	long := strings.NewReplacer("size: [42 1/4, 18 1/2, 32]", "size: [66 1/4, 18 1/2, 32]", "size: [42, 18, 20]", "size: [66, 18, 20]",
		"42 1/4}", "66 1/4}", "37 3/4", "60").Replace(tall(frame("2x4", "4x4", ""), 3.5))
	rail = find(t, check(t, long), "stand/front rail")
	if high, low := number(t, rail, "ratio"), number(t, rail, "ratio_low"); high <= 1 || low > 1 || rail.Verdict != verdict.Unsure {
		t.Errorf("between %v and %v: %s %s", low, high, rail.Verdict, rail.Summary)
	}
}

// TestBraceThatCarriesNothing holds that a timber between rails which bears only
// its share of the cabinet is no open question, though screws hold it.
func TestBraceThatCarriesNothing(t *testing.T) {
	t.Parallel()
	f := check(t, tall(frame("2x4", "4x4", spf2), 3.5)+
		"    - {name: brace, size: 2x4, run: front-back, at: {left: 20, down: 3/4, front: 1 1/2}, length: 15 1/2}\n")
	b := find(t, f, "stand/brace")
	if b.Verdict != verdict.OK || !strings.Contains(b.Summary, "carries nothing of the tank") {
		t.Errorf("%s: %s", b.Verdict, b.Summary)
	}
	if l := find(t, f, "stand/level"); l.Verdict != verdict.OK {
		t.Errorf("%s: %s", l.Verdict, l.Summary)
	}
}

// TestBeamUnderAWholeBottom holds that one beam across the middle of two rails
// takes the half of an even pressure that is nearer to it than to the ends, each
// rail the half of all, and that without rails the beams take all of it.
func TestBeamUnderAWholeBottom(t *testing.T) {
	t.Parallel()
	text := strings.Replace(tall(frame("2x6", "4x4", spf2), 5.5), "bears: rim", "bears: bottom", 1)
	for _, rail := range []string{"left rail", "right rail"} { // the beam is the only one across
		text = strings.Replace(text, "{name: "+rail+", size: 2x6, run: front-back", "{name: "+rail+", size: 2x4, run: front-back", 1)
		text = strings.Replace(text, "down: 3/4}, length: 15 1/2}", "up: 5}, length: 15 1/2}", 1)
	}
	text += "    - {name: beam, size: 2x6, run: front-back, at: {down: 3/4, front: 1 1/2}, length: 15 1/2}\n"
	s := read(t, text)
	top, _, _ := weight.Compute(s).On(weight.OnTop, weight.Running)
	w := top.Weight().N()
	f := stand.Check(s)
	near(t, "beam", number(t, find(t, f, "stand/beam"), "load_n"), w/2, 0.01*w)
	near(t, "front rail", number(t, find(t, f, "stand/front rail"), "load_n"), w/2, 0.02*w)
}

// TestWhatIsNotShown holds that a stand of which the statics are not to be seen
// is unsure, with words, and never a number without one.
func TestWhatIsNotShown(t *testing.T) {
	t.Parallel()
	whole := tall(frame("2x4", "4x4", spf2), 3.5)
	cut := func(name string) string {
		var keep []string
		for line := range strings.SplitSeq(whole, "\n") {
			if !strings.Contains(line, "name: "+name+",") {
				keep = append(keep, line)
			}
		}
		return strings.Join(keep, "\n")
	}
	for _, c := range []struct {
		name, plan, id, says string
	}{
		{"a leg is missing", cut("left front leg"), "stand/front rail", "needs two"},
		{
			"a leg ends in nothing", strings.Replace(whole, "at: {left: 0, front: 0}, length: 27.75", "at: {left: 0, front: 0, up: 5}, length: 22.75", 1),
			"stand/left front leg", "nothing is seen under its foot",
		},
		{"rails too thin for the tables", strings.ReplaceAll(whole, "size: 2x4", "size: [20 mm, 88.9 mm]"), "stand/front rail", "outside the tables"},
		{"legs beside the rails", strings.NewReplacer("{left: 0, front: 0}, length: 27.75", "{left: 5, front: 1 1/2}, length: 31 1/4",
			"{right: 0, front: 0}, length: 27.75", "{right: 5, front: 1 1/2}, length: 31 1/4").Replace(whole), "stand/front rail", "hangs on screws"},
		{
			"legs too short for their rails", strings.ReplaceAll(whole, "27.75", "25"),
			"stand/front rail", "the length of the legs",
		},
		{
			"a leg while it is not seen where a rail's load goes", strings.Replace(whole, "front: 0}, length: 27.75", "front: 0}, length: 25", 1),
			"stand/left back leg", "where the load of front rail goes",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := find(t, check(t, c.plan), c.id)
			if f.Verdict != verdict.Unsure || !strings.Contains(f.Summary, c.says) {
				t.Errorf("%s: %s %s", c.id, f.Verdict, f.Summary)
			}
		})
	}
}

// TestEdges holds the warning for a display whose edge is not over wood.
func TestEdges(t *testing.T) {
	t.Parallel()
	whole := tall(frame("2x4", "4x4", spf2), 3.5)
	if f := find(t, check(t, whole), "stand/edges"); f.Verdict != verdict.OK {
		t.Errorf("all over rails: %s %s", f.Verdict, f.Summary)
	}
	for name, text := range map[string]string{
		"too wide for the cabinet": strings.Replace(whole, "size: [42, 18, 20]", "size: [44, 18, 20]", 1),
		"behind the front rail":    strings.Replace(whole, "size: [42, 18, 20]", "size: [42, 11, 20]", 1),
	} {
		f := find(t, check(t, text), "stand/edges")
		if f.Verdict == verdict.OK || !strings.Contains(f.Summary, "not over wood") {
			t.Errorf("%s: %s %s", name, f.Verdict, f.Summary)
		}
	}
}

// TestBearsDifferently holds that a display on its whole bottom loads rails by
// the area between them, that nothing is lost, and that not knowing how it bears
// is no better than either.
func TestBearsDifferently(t *testing.T) {
	t.Parallel()
	rim := tall(frame("2x6", "4x4", spf2), 5.5)
	ratio := func(text string) float64 { return number(t, find(t, check(t, text), "stand/front rail"), "ratio") }
	mat := strings.Replace(rim, "bears: rim", "bears: mat", 1)
	unknown := strings.Replace(rim, "bears: rim", "bears: unknown", 1)
	f := check(t, mat)
	s := read(t, mat)
	top, _, _ := weight.Compute(s).On(weight.OnTop, weight.Running)
	rails := number(t, find(t, f, "stand/front rail"), "load_n") + number(t, find(t, f, "stand/back rail"), "load_n")
	// Where the side rails carry all of it, the long rails get it at the legs.
	near(t, "load on front and back rail", rails, top.Weight().N(), 0.01*rails)
	if u := ratio(unknown); u < ratio(mat)-1e-9 || u < ratio(rim)-1e-9 {
		t.Errorf("unknown %v, mat %v, rim %v", u, ratio(mat), ratio(rim))
	}
	damp := strings.Replace(rim, "bears: rim", "bears: rim\n  damp: yes", 1)
	if d := ratio(damp); d <= ratio(rim) {
		t.Errorf("damp %v, dry %v", d, ratio(rim))
	}
}

// TestClass checks the metric twin: C24 rails judged by EN 1995-1-1.
func TestClass(t *testing.T) {
	t.Parallel()
	f := find(t, check(t, tall(frame("[45 mm, 145 mm]", "[95 mm, 95 mm]", "class: C24"), 145/25.4)), "stand/front rail")
	if f.Verdict != verdict.OK {
		t.Errorf("%s %s", f.Verdict, f.Summary)
	}
	if !slices.ContainsFunc(f.Source, func(s string) bool { return strings.Contains(s, "EN 1995-1-1 (from memory)") }) {
		t.Errorf("sources %q", f.Source)
	}
}

// TestBoards holds what a cabinet of boards gets: sides in compression, a rail
// over the doors, and words where a material must not get wet.
func TestBoards(t *testing.T) {
	t.Parallel()
	text := base + "stand: {bears: rim, board: plywood}\n"
	s := read(t, text)
	f := stand.Check(s)
	for _, id := range []string{"stand/left side", "stand/right side", "stand/back", "stand/rail over doors", "stand/inside bottom", "stand/edges", "stand/level", "weight/feet"} {
		find(t, f, id)
	}
	l := weight.Compute(s)
	top, _, _ := l.On(weight.OnTop, weight.Running)
	own, _, _ := l.On(weight.OfItself, weight.Running)
	// In the even case the left side has 18/120 of the rim and half of front, back
	// and the cabinet itself; by the nearest edge less of its own and more of those.
	w := top.Weight().N()
	want := max(w*18/120+w*84/120/2, w/2) + own.Weight().N()/2
	near(t, "load on the left side", number(t, find(t, f, "stand/left side"), "load_n"), want, 1e-6*want)
	damp := find(t, check(t, base+"stand: {bears: rim, board: mdf, damp: yes}\n"), "stand/boards")
	if damp.Verdict != verdict.Unsure {
		t.Errorf("damp MDF: %s %s", damp.Verdict, damp.Summary)
	}
	// A rail of a hand's breadth carries what one of two fingers does not.
	ratio := func(height string) float64 {
		return number(t, find(t, check(t, strings.Replace(text, "[37 3/4, 20]", "[37 3/4, "+height+"]", 1)), "stand/rail over doors"), "ratio")
	}
	if low, high := ratio("25"), ratio("20"); high >= low/4 {
		t.Errorf("rail of 1 3/4 in: %v, of 6 3/4 in: %v", low, high)
	}
}

// TestFeet checks the feet against statics done by hand.
func TestFeet(t *testing.T) {
	t.Parallel()
	text := base + `
stand:
  feet:
    - {name: left front foot, round: 2, at: {left: 1, front: 1}}
    - {name: right front foot, round: 2, at: {right: 1, front: 1}}
    - {name: left back foot, round: 2, at: {left: 1, back: 1}}
    - {name: right back foot, round: 2, at: {right: 1, back: 1}}
`
	s := read(t, text)
	f := find(t, stand.Check(s), "weight/feet")
	l := weight.Compute(s)
	m, at, _ := l.Total(weight.Running)
	const inch = 25.4
	// Four equal springs: W/4 (1 ± 2ex/a ± 2ey/b).
	a, b := (42.25-4)*inch, (18.5-4)*inch
	ex, ey := math.Abs(at.X-42.25/2*inch), math.Abs(at.Y-18.5/2*inch)
	want := m.Weight().N() / 4 * (1 + 2*ex/a + 2*ey/b)
	near(t, "largest", number(t, f, "largest_n"), want, 0.01*want)
	near(t, "pressure", number(t, f, "pressure_kpa"), want/(math.Pi*inch*inch)*1000, 0.03*want/(math.Pi*inch*inch)*1000)
	sum, names := 0.0, 0
	for _, x := range f.Measures {
		switch v := x.Value.(type) {
		case []float64:
			for i := range v {
				if x.Key == "foot_n" {
					sum += v[i]
				} else if v[i] > number(t, f, "pressure_kpa") {
					t.Errorf("%s of foot %d is more than the largest", x.Key, i)
				}
			}
		case []string:
			names = len(v)
		}
	}
	near(t, "all feet together", sum, m.Weight().N(), 1e-6*sum)
	if names != 4 {
		t.Errorf("%d feet have a name", names)
	}
	near(t, "one foot off", number(t, f, "largest_one_off_n"), m.Weight().N()/2, 0.06*m.Weight().N())
	// Tipping over the line through the outer corners of the feet (squares of the
	// same area as the discs).
	half := math.Sqrt(math.Pi) / 2 * inch
	d := min(at.Y-(2*inch-half), (18.5-2)*inch+half-at.Y)
	near(t, "lean", number(t, f, "tip_running_deg"), math.Atan2(d, at.Z)*180/math.Pi, 1e-6)
	near(t, "push", number(t, f, "push_running_n"), m.Weight().N()*d/(52*inch), 1e-6*m.Weight().N())
	if tip := number(t, f, "tip_deg"); tip > number(t, f, "tip_running_deg") || tip > number(t, f, "tip_empty_deg") {
		t.Errorf("tip_deg %v is not the least", tip)
	}
}

// TestNoStand holds that a cabinet nobody described bears along its two sides,
// and that the output says so.
func TestNoStand(t *testing.T) {
	t.Parallel()
	f := check(t, base)
	feet := find(t, f, "weight/feet")
	if !slices.ContainsFunc(feet.Assumed, func(a string) bool { return strings.Contains(a, "along its two sides") }) {
		t.Errorf("assumed %q", feet.Assumed)
	}
	if !slices.Contains(f.LeftOut, verdict.LeftOut{ID: "stand", Add: "stand"}) {
		t.Errorf("left out %v", f.LeftOut)
	}
	if len(f.Cautions) == 0 {
		t.Error("no caution")
	}
}

// TestLevel holds the note on how flat the top is, with its number.
func TestLevel(t *testing.T) {
	t.Parallel()
	f := check(t, tall(frame("2x6", "4x4", spf2+"\n  uneven: 1/16"), 5.5))
	l := find(t, f, "stand/level")
	sag := number(t, find(t, f, "stand/front rail"), "lasting_mm")
	near(t, "out of plane", number(t, l, "out_of_plane_mm"), sag+25.4/16, 1e-9)
	if !strings.Contains(l.Source[0], "no source") {
		t.Errorf("source %q", l.Source)
	}
}

// TestTipsByItself: what does not stay on its feet in every state is not ok.
func TestTipsByItself(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		back string // of the hind feet
		want verdict.Verdict
		says string
	}{
		"on four feet":         {"back: 1", verdict.OK, "it tips"},
		"on the edge, empty":   {"back: 8 3/4", verdict.Unsure, "empty, its weight is over the edge of the feet: a touch tips it backward"},
		"over it, empty":       {"back: 8.9", verdict.Unsure, "outside of the feet: it tips backward by itself"}, // the cabinet's wood is assumed
		"on two feet in front": {"back: 14 1/2", verdict.No, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := read(t, base+`
stand:
  feet:
    - {name: left front foot, size: [2, 2], at: {left: 1, front: 1}}
    - {name: right front foot, size: [2, 2], at: {right: 1, front: 1}}
    - {name: left back foot, size: [2, 2], at: {left: 1, `+c.back+`}}
    - {name: right back foot, size: [2, 2], at: {right: 1, `+c.back+`}}
`)
			if f := find(t, stand.Check(s), "weight/feet"); f.Verdict != c.want || !strings.Contains(f.Summary, c.says) {
				t.Errorf("%v: %s; want %v: %s", f.Verdict, f.Summary, c.want, c.says)
			}
		})
	}
}

// TestFeetUnderFrame holds that legs on feet of a given height stand on the house
// floor.
func TestFeetUnderFrame(t *testing.T) {
	t.Parallel()
	text := tall(frame("2x4", "4x4", spf2), 3.5)
	for _, leg := range []string{"left: 0, front: 0", "right: 0, front: 0", "left: 0, back: 0", "right: 0, back: 0"} {
		text = strings.Replace(text, "{"+leg+"}, length: 27.75", "{"+leg+", up: 2}, length: 25.75", 1)
		text += "    - {name: foot " + strings.NewReplacer(": 0", "", ",", "").Replace(leg) + ", size: [3, 3], height: 2, at: {" + leg + "}}\n"
	}
	text = strings.Replace(text, "    - {name: foot", "  feet:\n    - {name: foot", 1)
	f := check(t, text)
	if leg := find(t, f, "stand/left front leg"); leg.Verdict != verdict.OK {
		t.Errorf("%s %s", leg.Verdict, leg.Summary)
	}
}

// TestAnyStand holds for random members that no check fails, that a no rests on
// the low end of its ratio, and an ok on the high end.
func TestAnyStand(t *testing.T) {
	t.Parallel()
	plain := read(t, tall(frame("2x4", "4x4", spf2), 3.5))
	rapid.Check(t, func(t *rapid.T) {
		s := *plain
		st := scene.Stand{
			Bears: rapid.SampledFrom([]scene.Bears{scene.BearsUnknown, scene.BearsRim, scene.BearsBottom, scene.BearsMat}).Draw(t, "bears"),
			Damp:  rapid.Bool().Draw(t, "damp"),
			Board: rapid.SampledFrom([]string{"", "plywood", "mdf", "unknown"}).Draw(t, "board"),
		}
		s.Stand = &st
		step := rapid.IntRange(-1, 24)
		for i := range rapid.IntRange(0, 8).Draw(t, "members") {
			run := rapid.SampledFrom([]scene.Axis{scene.AlongX, scene.AlongY, scene.AlongZ}).Draw(t, "run")
			m := scene.Member{
				Name: fmt.Sprint("m", i), Run: run, Thickness: 38.1, Depth: 88.9, Plies: rapid.IntRange(1, 2).Draw(t, "plies"),
				Timber: scene.Timber{Species: "unknown", Grade: "2"},
			}
			// On a grid of 2 in, so that members often touch.
			at := r3.Vec{X: float64(step.Draw(t, "x")) * 50.8, Y: float64(step.Draw(t, "y")%10) * 50.8, Z: float64(step.Draw(t, "z")%16) * 50.8}
			size := r3.Vec{X: 50.8, Y: 50.8, Z: 50.8}
			long := float64(rapid.IntRange(1, 24).Draw(t, "length")) * 50.8
			switch run {
			case scene.AlongX:
				size.X = long
			case scene.AlongY:
				size.Y = long
			case scene.AlongZ:
				size.Z = long
			}
			if rapid.Bool().Draw(t, "under the top") && run != scene.AlongZ {
				at.Z = 793.75 - 50.8
			}
			m.Box = r3.Box{Min: at, Max: r3.Add(at, size)}
			st.Members = append(st.Members, m)
		}
		for i := range rapid.IntRange(0, 2).Draw(t, "dividers") {
			x := float64(step.Draw(t, "divider")) * 50.8
			st.Dividers = append(st.Dividers, scene.Board{Name: fmt.Sprint("d", i), Box: r3.Box{Min: r3.Vec{X: x, Y: 19, Z: 101}, Max: r3.Vec{X: x + 19, Y: 450, Z: 790}}})
		}
		for _, f := range stand.Check(&s).Checks {
			var high, low float64
			for _, m := range f.Measures {
				v, _ := m.Value.(float64)
				switch m.Key {
				case "ratio":
					high = v
				case "ratio_low":
					low = v
				}
			}
			if low > high || f.Verdict == verdict.No && low <= 1 && f.ID != "weight/feet" || f.Verdict == verdict.OK && high > 0.9 {
				t.Fatalf("%s: %s between %v and %v: %s", f.ID, f.Verdict, low, high, f.Summary)
			}
			if f.Summary == "" {
				t.Fatalf("%s says nothing", f.ID)
			}
		}
	})
}

func BenchmarkCheck(b *testing.B) {
	for name, text := range map[string]string{
		"frame":     tall(frame("2x4", "4x4", ""), 3.5),
		"weak":      strings.Replace(tall(frame("2x4", "2x4", ""), 3.5), "bears: rim", "bears: unknown", 1),
		"boards":    base + "stand: {board: unknown}\n",
		"feet only": base,
	} {
		b.Run(name, func(b *testing.B) {
			s := read(b, text)
			for b.Loop() {
				stand.Check(s)
			}
		})
	}
}
