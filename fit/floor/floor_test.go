package floor_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/assets"
	"undercroft/fit/floor"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

const inch = 25.4

// base is a cabinet 48 by 18 in on four small feet, 32 in apart from left to
// right and 14 in from front to back, with the sump to the left and front.
const base = `
format: 1
cabinet: {size: [48, 18, 32], wall: 3/4, back: 3/4, bottom: {up: 4, thickness: 3/4}}
display: {size: [48, 18, 20], glass: 3/8, water: {below-top: 1 1/2}, drops: 1}
sump: {size: [28, 13, 15 1/2], glass: 6 mm, at: {left: 1, front: 1/2}, inlet: left, flow: 300, level: 7}
stand:
  feet:
    - {name: left front foot, size: [1/2, 1/2], at: {left: 7 3/4, front: 1 3/4}}
    - {name: right front foot, size: [1/2, 1/2], at: {right: 7 3/4, front: 1 3/4}}
    - {name: left back foot, size: [1/2, 1/2], at: {left: 7 3/4, back: 1 3/4}}
    - {name: right back foot, size: [1/2, 1/2], at: {right: 7 3/4, back: 1 3/4}}
`

func read(tb testing.TB, text string) *scene.Scene {
	tb.Helper()
	s, err := plan.Read("plan.yaml", []byte(text))
	if err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return s
}

// on puts the base on a floor.
func on(joists, more string) string {
	return base + "floor:\n  joists: {" + joists + "}\n" + more
}

func check(tb testing.TB, text string) verdict.Finding {
	tb.Helper()
	f := floor.Check(read(tb, text))
	if len(f.Checks) != 1 {
		tb.Fatalf("%d findings, left out %v", len(f.Checks), f.LeftOut)
	}
	return f.Checks[0]
}

func value(tb testing.TB, f verdict.Finding, key string) any {
	tb.Helper()
	for _, m := range f.Measures {
		if m.Key == key {
			return m.Value
		}
	}
	tb.Fatalf("%s has no %s: %v", f.ID, key, f.Measures)
	return nil
}

func number(tb testing.TB, f verdict.Finding, key string) float64 {
	tb.Helper()
	v, ok := value(tb, f, key).(float64)
	if !ok {
		tb.Fatalf("%s: %s is %v: %s", f.ID, key, value(tb, f, key), f.Summary)
	}
	return v
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, within)
	}
}

// TestPointLoads checks joists under feet that stand right over them against the
// published formulas for point loads: two joists, each with two feet.
func TestPointLoads(t *testing.T) {
	t.Parallel()
	// Feet at 8 and 40 in from the left: joists at 8 in and every 16 in.
	const joists = "size: 2x10, species: hem-fir, grade: 2, spacing: 16, span: 12 ft, run: front-back, support: 20, offset: 8, bearing: 3"
	text := on(joists, "  ordinary: 0 psf\n  dead: 0 psf\n")
	s := read(t, text)
	f := check(t, text)
	m, at, _ := weight.Compute(s).Total(weight.Running)
	w := m.Weight().N()
	right := (at.X - 8*inch) / (32 * inch) // share of the right feet
	share := map[float64]float64{1: 1 - right, 3: right}
	loads, _ := value(t, f, "joist_load_n").([]float64)
	numbers, _ := value(t, f, "joists").([]float64)
	// The foot is 1/2 in wide, so 1/8 in of 16 in on either side goes next door.
	sum := 0.0
	for i, n := range numbers {
		sum += loads[i]
		if s, ok := share[n]; ok {
			near(t, fmt.Sprintf("joist %v", n), loads[i], s*w, 0.01*w)
		} else if loads[i] > 0.01*w {
			t.Errorf("joist %v carries %v of %v", n, loads[i], w)
		}
	}
	near(t, "all joists", sum, w, 1e-9*w)

	const psi = 4.4482216152605 / (inch * inch)
	l := 144 * inch
	// From the support behind: back feet at 20 + 2 in, front feet at 20 + 16 in.
	a, b := 22*inch, 36*inch
	front := (16*inch - at.Y) / (14 * inch) // share of the front feet
	heavier := max(right, 1-right)
	pa, pb := w*heavier*(1-front), w*heavier*front
	left := (pa*(l-a) + pb*(l-b)) / l
	moment := max(left*a, left*b-pa*(b-a))
	modulus := 1.5 * 9.25 * 9.25 / 6 * inch * inch * inch
	want := moment / modulus / (850 * psi * 1.1 * 1.15 * 0.9)
	near(t, "bending", number(t, f, "bending_ratio"), want, 0.01*want)
	want = 1.5 * left / (1.5 * 9.25 * inch * inch) / (150 * psi * 0.9)
	near(t, "shear", number(t, f, "shear_ratio"), want, 0.01*want)
	want = left / (3 * 1.5 * inch * inch) / (405 * psi)
	near(t, "bearing", number(t, f, "bearing_ratio"), want, 0.01*want)
	// Deflection of a point load P at c from the left, at x beyond it:
	// P·c·(l−x)(2lx−x²−c²)/6lEI, by Maxwell the same the other way round.
	ei := 1.3e6 * psi * 1.5 * 9.25 * 9.25 * 9.25 / 12 * inch * inch * inch * inch
	sag := 0.0
	for x := b; x < 80*inch; x++ {
		y := 0.0
		for _, p := range [][2]float64{{pa, a}, {pb, b}} {
			y += p[0] * p[1] * (l - x) * (2*l*x - x*x - p[1]*p[1]) / (6 * l * ei)
		}
		sag = max(sag, y)
	}
	near(t, "deflection", number(t, f, "deflection_mm"), sag, 0.01*sag)
	near(t, "lasting", number(t, f, "lasting_mm"), 1.5*sag, 0.015*sag)
	near(t, "deflection ratio", number(t, f, "deflection_ratio"), max(sag*360/l, 1.5*sag*240/l), 0.01)
}

// TestOrdinaryFloor holds that the ordinary load beside the cabinet counts: at the
// span of the code table a floor is near its limit by that alone.
func TestOrdinaryFloor(t *testing.T) {
	t.Parallel()
	// IRC Table R502.3.1(2): spruce-pine-fir No. 2, 2x10 at 16 in: 15-5.
	text := on("size: 2x10, species: spruce-pine-fir, grade: 2, spacing: 16, span: 15 ft 5 in, run: front-back, support: 0, offset: 8, bearing: 3",
		"  ordinary: 40 psf\n  dead: 10 psf\n")
	f := check(t, text)
	near(t, "code span", number(t, f, "code_span_mm"), 185*inch, 1e-6)
	// At the span of the table the ordinary floor is at its limit by itself.
	if r := number(t, f, "bending_ratio"); r < 0.85 {
		t.Errorf("bending %v: the ordinary load beside the cabinet is not counted", r)
	}
	bare := check(t, strings.Replace(text, "ordinary: 40 psf", "ordinary: 0 psf", 1))
	if b := number(t, bare, "bending_ratio"); b >= number(t, f, "bending_ratio") {
		t.Errorf("without the ordinary load %v, with it %v", b, number(t, f, "bending_ratio"))
	}
}

// TestNothingIsLost holds for any place of joists that all of the weight arrives
// on them, whichever way they run.
func TestNothingIsLost(t *testing.T) {
	t.Parallel()
	s := read(t, on("size: 2x10, species: hem-fir, grade: 2, spacing: 16, span: 14 ft, run: front-back, support: 20", ""))
	feet := s.Stand.Feet
	rapid.Check(t, func(t *rapid.T) {
		p, j := *s, *s.Floor.Joists
		fl := *s.Floor
		p.Floor, fl.Joists = &fl, &j
		st := scene.Stand{}
		if rapid.Bool().Draw(t, "on feet") {
			st.Feet = feet
		} else {
			st.Board = "plywood" // along its two sides
		}
		p.Stand = &st
		j.LeftRight = rapid.Bool().Draw(t, "left to right")
		j.Spacing = inches(rapid.Float64Range(8, 30).Draw(t, "spacing"))
		j.Offset = inches(rapid.Float64Range(-30, 40).Draw(t, "offset"))
		j.Support = inches(rapid.Float64Range(0, 60).Draw(t, "support"))
		f := floor.Check(&p).Checks[0]
		for _, m := range f.Measures {
			if m.Key != "joist_load_n" {
				continue
			}
			loads, _ := m.Value.([]float64)
			sum := 0.0
			for _, l := range loads {
				sum += l
			}
			w, _, _ := weight.Compute(&p).Total(weight.Running)
			if all := w.Weight().N(); math.Abs(sum-all) > 1e-6*all {
				t.Fatalf("joists carry %v of %v", sum, all)
			}
			return
		}
		t.Fatalf("%s: %s", f.ID, f.Summary)
	})
}

func inches(in float64) unit.Length { return unit.Length(in) * unit.Inch }

// TestTurned holds that turning the cabinet, as computed, is what a plan with
// the joists running the other way gives.
func TestTurned(t *testing.T) {
	t.Parallel()
	// Turned a quarter, the cabinet's back is to the right; in a plan with joists
	// from left to right the joists count from the back. So that is the same floor
	// in a mirror, and the sump goes to the other side.
	a := on("size: 2x8, species: hem-fir, grade: 2, spacing: 16, span: 10 ft, run: front-back, support: 20, offset: 8, bearing: 3", "  ordinary: 0 psf\n  dead: 0 psf\n")
	b := strings.NewReplacer("run: front-back", "run: left-right", "offset: 8", "offset: 9", "front: 1/2}", "back: 1/2}").Replace(a)
	turned, straight := number(t, check(t, a), "turned_ratio"), number(t, check(t, b), "ratio")
	near(t, "turned", turned, straight, 0.01*straight)
	start := number(t, check(t, a), "ratio")
	if math.Abs(turned-start) < 0.05*start {
		t.Errorf("turning changes %v to %v: the case shows nothing", start, turned)
	}
}

// TestChanges holds what each change does when it is made in the plan itself.
func TestChanges(t *testing.T) {
	t.Parallel()
	weak := on("size: 2x8, species: hem-fir, grade: 3, spacing: 16, span: 13 ft, run: front-back, support: 60, offset: 0, bearing: 3", "  ordinary: 40 psf\n  dead: 10 psf\n")
	f := check(t, weak)
	if f.Verdict != verdict.No {
		t.Fatalf("%s %s", f.Verdict, f.Summary)
	}
	moved := check(t, strings.Replace(weak, "support: 60", "support: 0", 1))
	near(t, "moved", number(t, f, "moved_ratio"), number(t, moved, "ratio"), 1e-9)
	more := check(t, strings.Replace(weak, "spacing: 16", "spacing: 8", 1))
	near(t, "a joist in each bay", number(t, f, "joists_added_ratio"), number(t, more, "ratio"), 0.15*number(t, more, "ratio"))
	doubled := check(t, strings.Replace(weak, "offset: 0", "offset: 0, doubled: [0, 1, 2, 3, 4, 5]", 1))
	near(t, "doubled", number(t, f, "joists_doubled_ratio"), number(t, doubled, "ratio"), 1e-9)
	if p := number(t, f, "post_ratio"); p >= number(t, f, "ratio")/2 {
		t.Errorf("posts leave %v of %v", p, number(t, f, "ratio"))
	}
	for _, words := range []string{"moved 60 in", "one more joist", "doubled", "posts"} {
		if !strings.Contains(f.Summary, words) {
			t.Errorf("%q does not say %q", f.Summary, words)
		}
	}
	// The wall behind the cabinet bounds how far it can be moved.
	walled := check(t, weak+"room: {back: 12}\n")
	near12 := check(t, strings.Replace(weak, "support: 60", "support: 48", 1))
	near(t, "moved to the wall", number(t, walled, "moved_ratio"), number(t, near12, "ratio"), 1e-9)
}

// TestUnknownJoists holds that joists nobody could read a stamp on count as the
// weakest, that it is said, and that a guess proves no no.
func TestUnknownJoists(t *testing.T) {
	t.Parallel()
	const rest = "size: 2x8, spacing: 16, span: 10 ft, run: front-back, support: 40, offset: 0, bearing: 3"
	ratio := func(kind string) verdict.Finding {
		return check(t, on(rest+kind, "  ordinary: 40 psf\n  dead: 10 psf\n"))
	}
	unknown := ratio("")
	worst := 0.0
	for _, sp := range assets.LumberSpecies() {
		for _, g := range []string{"ss", "1", "2", "3"} {
			worst = max(worst, number(t, ratio(", species: "+sp+", grade: "+g), "ratio"))
		}
	}
	if u := number(t, unknown, "ratio"); u < worst-1e-9 || u > 1.2*worst {
		t.Errorf("unknown %v, the weakest %v", u, worst)
	}
	if unknown.Verdict != verdict.Unsure {
		t.Errorf("%s: %s", unknown.Verdict, unknown.Summary)
	}
	if !slices.ContainsFunc(unknown.Assumed, func(a string) bool { return strings.Contains(a, "weakest") }) {
		t.Errorf("assumed %q", unknown.Assumed)
	}
	if unknown.Again == "" {
		t.Error("nothing says what to look at again")
	}
}

// TestGuessesProveNoNo holds that a floor which fails by defaults alone is
// unsure, and the same floor by measured figures a no.
func TestGuessesProveNoNo(t *testing.T) {
	t.Parallel()
	const joists = "size: 2x8, species: hem-fir, grade: 2, spacing: 16, span: 14 ft, run: front-back, support: 0, offset: 0, bearing: 3"
	guessed := check(t, on(joists, ""))
	measured := check(t, on(joists, "  ordinary: 40 psf\n  dead: 10 psf\n"))
	if guessed.Verdict != verdict.Unsure || measured.Verdict != verdict.No {
		t.Errorf("by defaults %s (%s), as measured %s (%s)", guessed.Verdict, guessed.Summary, measured.Verdict, measured.Summary)
	}
	near(t, "ratio", number(t, guessed, "ratio"), number(t, measured, "ratio"), 1e-9)
}

// TestGuessedBearing holds the same for the length of a joist on its support.
func TestGuessedBearing(t *testing.T) {
	t.Parallel()
	const joists = "size: 2x12, species: douglas fir-larch, grade: ss, spacing: 40, span: 8 ft, run: front-back, support: 0, offset: 8"
	const loads = "  ordinary: 120 psf\n  dead: 10 psf\n"
	guessed, measured := check(t, on(joists, loads)), check(t, on(joists+", bearing: 1 1/2", loads))
	if value(t, guessed, "governs") != "bearing" || number(t, guessed, "bending_ratio") > 0.9 {
		t.Fatalf("the case shows nothing: %s", guessed.Summary)
	}
	if guessed.Verdict != verdict.Unsure || measured.Verdict != verdict.No {
		t.Errorf("by default %s (%s), as measured %s (%s)", guessed.Verdict, guessed.Summary, measured.Verdict, measured.Summary)
	}
}

// TestOutOfRange holds that a floor outside of tables and statics is unsure.
func TestOutOfRange(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, joists, says string }{
		{"the cabinet reaches beyond the span", "size: 2x10, species: hem-fir, grade: 2, spacing: 16, span: 4 ft, run: front-back, support: 40", "beyond the span"},
		{"joists of boards", "size: [19 mm, 235 mm], species: hem-fir, grade: 2, spacing: 16, span: 12 ft, run: front-back, support: 8", "outside the tables"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := check(t, on(c.joists, ""))
			if f.Verdict != verdict.Unsure || !strings.Contains(f.Summary, c.says) {
				t.Errorf("%s: %s", f.Verdict, f.Summary)
			}
			if v := value(t, f, "bending_ratio"); v != nil {
				t.Errorf("a number without a word: %v", v)
			}
		})
	}
}

// TestMetricTwin checks C24 joists against EN 1995-1-1 done by hand: permanent
// load alone, γG 1.35, kmod 0.6, γM 1.3, ksys 1.1.
func TestMetricTwin(t *testing.T) {
	t.Parallel()
	text := on("size: [45 mm, 220 mm], class: C24, spacing: 16, span: 12 ft, run: front-back, support: 20, offset: 8, bearing: 3", "  ordinary: 0 kPa\n  dead: 0 kPa\n")
	f := check(t, text)
	s := read(t, text)
	m, at, _ := weight.Compute(s).Total(weight.Running)
	w := m.Weight().N()
	l, a, b := 144*inch, 22*inch, 36*inch
	front := (16*inch - at.Y) / (14 * inch)
	right := (at.X - 8*inch) / (32 * inch)
	heavier := max(right, 1-right)
	pa, pb := w*heavier*(1-front), w*heavier*front
	left := (pa*(l-a) + pb*(l-b)) / l
	want := 1.35 * max(left*a, left*b-pa*(b-a)) / (45 * 220 * 220 / 6) / (24 * 1.1 * 0.6 / 1.3)
	near(t, "bending", number(t, f, "bending_ratio"), want, 0.01*want)
	if c := value(t, f, "code_span_mm"); !math.IsNaN(c.(float64)) {
		t.Errorf("the code table has no C24, and gives %v", c)
	}
}

func TestSlab(t *testing.T) {
	t.Parallel()
	s := read(t, base)
	m, _, _ := weight.Compute(s).Total(weight.Running)
	for _, c := range []struct {
		size    string
		area    float64 // in²
		verdict verdict.Verdict
	}{{"[4, 4]", 16, verdict.OK}, {"[1/2, 1/2]", 0.25, verdict.Unsure}, {"[1/4, 1/4]", 0.0625, verdict.No}} {
		f := check(t, strings.ReplaceAll(base, "size: [1/2, 1/2]", "size: "+c.size)+"floor: slab\n")
		if f.ID != "floor/slab" || f.Verdict != c.verdict {
			t.Errorf("feet of %s: %s %s: %s", c.size, f.ID, f.Verdict, f.Summary)
		}
		even := m.Weight().N() / 4 / (c.area * inch * inch) * 1000
		if p := number(t, f, "pressure_kpa"); p < even*(1-1e-9) || p > 1.3*even {
			t.Errorf("feet of %s: pressure %v, evenly %v", c.size, p, even)
		}
	}
}

func TestLeftOut(t *testing.T) {
	t.Parallel()
	f := floor.Check(read(t, base))
	if !slices.Contains(f.LeftOut, verdict.LeftOut{ID: "floor/joists", Add: "floor.joists"}) || len(f.Checks) > 0 {
		t.Errorf("left out %v, found %v", f.LeftOut, f.Checks)
	}
	f = floor.Check(read(t, on("size: 2x10, spacing: 16, span: 12 ft, run: front-back, support: 8", "")))
	if !slices.Contains(f.Cautions, stand.CautionCarry) || !slices.Contains(f.Cautions, stand.CautionLook) {
		t.Errorf("cautions %q", f.Cautions)
	}
}

func BenchmarkCheck(b *testing.B) {
	s := read(b, on("size: 2x8, spacing: 12, span: 14 ft, run: front-back, support: 40", ""))
	for b.Loop() {
		floor.Check(s)
	}
}

// TestDefaultsOfTheFloor holds two of them: the help of neighbours, Cr = 1.15, ends
// where joists are more than 24 in apart (NDS 4.3.9), and beside a cabinet on C24
// joists lie 2 kPa where the plan says nothing (EN 1991-1-1, from memory).
func TestDefaultsOfTheFloor(t *testing.T) {
	t.Parallel()
	// Nothing but the tank, and one joist under a foot each side: the spacing
	// changes nothing else.
	const lone = "size: 2x10, species: hem-fir, grade: 2, span: 12 ft, run: front-back, support: 20, bearing: 3, "
	const bare = "  ordinary: 0 psf\n  dead: 0 psf\n"
	bending := func(place string) float64 { return number(t, check(t, on(lone+place, bare)), "bending_ratio") }
	near(t, "32 to 16 in", bending("spacing: 32, offset: 8")/bending("spacing: 16, offset: 8"), 1.15, 0.01) // a foot is 1/2 in wide

	const c24 = "size: [45 mm, 220 mm], class: C24, spacing: 16, span: 12 ft, run: front-back, support: 8, offset: 8, bearing: 3"
	left, given, half := check(t, on(c24, "")), check(t, on(c24, "  ordinary: 2 kPa\n")), check(t, on(c24, "  ordinary: 1 kPa\n"))
	near(t, "left out", number(t, left, "ratio"), number(t, given, "ratio"), 1e-9)
	if number(t, half, "deflection_ratio") >= number(t, given, "deflection_ratio") {
		t.Error("the load beside the cabinet counts for nothing: the test looks at nothing")
	}
}
