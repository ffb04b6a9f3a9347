package choose_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/assets"
	"undercroft/fit"
	"undercroft/fit/choose"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// hall is a cabinet 600 x 400 x 500 mm inside with one hole in its front and
// nothing in it.
func hall(holeWidth, holeHeight float64, more string) string {
	return fmt.Sprintf(`
format: 1
units: mm
tape: 0
carry: 0
gaps: {default: 0}
room: {front: 2000}
cabinet:
  size: [640, 440, 540]
  wall: 20
  bottom: {up: 20, thickness: 20}
  openings:
    - {name: hole, side: front, at: {sill: 0}, size: [%g, %g], door: none}
%s`, holeWidth, holeHeight, more)
}

// closed is such a cabinet without a hole: nobody asks how things get in.
func closed(more string) string {
	text := hall(1, 1, more)
	from := strings.Index(text, "  openings:")
	to := from + strings.Index(text[from:], "door: none}") + len("door: none}")
	return text[:from] + text[to:]
}

func baseOf(t *testing.T, text string) *choose.Base {
	t.Helper()
	d, err := plan.NewDraft("test.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	b, err := choose.NewBase(d)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func box(name string, long, across, high float64) choose.Size {
	return choose.Size{
		Name: name, Long: unit.Length(max(long, across)), Across: unit.Length(min(long, across)), High: unit.Length(high), Glass: 5,
	}
}

func chosen(t *testing.T, b *choose.Base, sizes ...choose.Size) map[string]choose.Row {
	t.Helper()
	table, err := b.Choose(t.Context(), sizes, choose.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]choose.Row{}
	for _, r := range table.Rows {
		rows[r.Size.Name+" "+r.Long.String()] = r
	}
	return rows
}

func TestChooseBySizes(t *testing.T) {
	t.Parallel()
	b := baseOf(t, hall(300, 300, ""))
	rows := chosen(t, b,
		box("small", 250, 200, 200), box("wide", 610, 200, 200), box("sofa", 590, 390, 290), box("fat", 350, 350, 350),
	)
	for name, want := range map[string]struct {
		verdict verdict.Verdict
		stands  verdict.Verdict
		goes    bool // a way was looked for
	}{
		"small left-right": {verdict.OK, verdict.OK, true},
		"small front-back": {verdict.OK, verdict.OK, true},
		"wide left-right":  {verdict.No, verdict.No, false}, // wider than the inside
		"fat left-right":   {verdict.No, verdict.OK, true},  // thicker than the hole
		"sofa left-right":  {verdict.No, verdict.OK, true},  // too long to be turned in
		"sofa front-back":  {verdict.No, verdict.No, false}, // deeper than the inside
	} {
		r, ok := rows[name]
		if !ok {
			t.Fatalf("no row %s", name)
		}
		if r.Verdict != want.verdict || r.Stands.Verdict != want.stands || (r.Goes != nil) != want.goes {
			t.Errorf("%s: %v, stands %v, goes %v, want %v, %v, %v", name, r.Verdict, r.Stands, r.Goes, want.verdict, want.stands, want.goes)
		}
	}
}

// Every row agrees with a check of the plan that says the same.
func TestChooseAgreesWithTheLimitsOfTheHole(t *testing.T) {
	t.Parallel()
	b := baseOf(t, hall(310, 310, ""))
	for _, side := range []float64{290, 305, 330} {
		// A cube turned in a square hole of its own width gains nothing.
		r := chosen(t, b, box("cube", side, side, side))["cube left-right"]
		want := verdict.OK
		if side > 310 {
			want = verdict.No
		}
		if r.Verdict != want {
			t.Errorf("a cube of %g in a hole of 310: %v (%+v), want %v", side, r.Verdict, r.Goes, want)
		}
	}
}

// carver tells whether a face p x q with p >= q passes a hole a x b with a >= b,
// however it is turned in the plane of the hole.
//
// Source: Carver, "Solution to problem E1225", American Mathematical Monthly 64
// (1957), as restated by Wetzel, "Rectangles in rectangles", Mathematics Magazine 73
// (2000); from memory.
func carver(p, q, a, b float64) bool {
	return q <= b && (p <= a || b >= (2*p*q*a+(p*p-q*q)*math.Sqrt(p*p+q*q-a*a))/(p*p+q*q))
}

// A flat sump goes through a hole as its smallest face does, turned across it where
// it is longer than the hole is wide.
func TestChooseAgreesWithCarver(t *testing.T) {
	t.Parallel()
	const wide, high = 300, 280
	b := baseOf(t, hall(wide, high, ""))
	for _, thick := range []float64{60, 200} {
		want := carver(340, thick, wide, high)
		if want == (thick > 80) {
			t.Fatalf("the formula says %v for %g: not the case meant", want, thick)
		}
		r := chosen(t, b, box("flat", 390, 340, thick))["flat left-right"]
		if goes := r.Verdict == verdict.OK || r.Verdict == verdict.Tight; goes != want || r.Verdict == verdict.Unsure {
			t.Errorf("a face of 340 x %g through %d x %d: %v (%+v), want goes %v", thick, wide, high, r.Verdict, r.Goes, want)
		}
	}
}

// What is larger in every direction is never said to go where the smaller is shown
// not to, and what is found does not depend on the workers or on what else is asked.
func TestChooseIsConsistent(t *testing.T) {
	t.Parallel()
	b := baseOf(t, hall(300, 250, ""))
	var sizes []choose.Size
	for _, n := range [][3]float64{{240, 150, 200}, {290, 160, 210}, {520, 150, 200}, {390, 380, 290}, {395, 385, 295}} {
		sizes = append(sizes, box(fmt.Sprintf("%g x %g x %g", n[0], n[1], n[2]), n[0], n[1], n[2]))
	}
	one, err := b.Choose(t.Context(), sizes, choose.Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	two, err := b.Choose(t.Context(), sizes, choose.Options{Workers: 4})
	if err != nil {
		t.Fatal(err)
	}
	if len(one.Rows) != len(two.Rows) {
		t.Fatalf("%d rows and %d", len(one.Rows), len(two.Rows))
	}
	unsure := 0
	for i := range one.Rows {
		a, c := &one.Rows[i], &two.Rows[i]
		if a.Size.Name != c.Size.Name || a.Verdict != c.Verdict || !reflect.DeepEqual(a.Goes, c.Goes) || a.At != c.At {
			t.Errorf("%s %v: %v with one worker, %s %v: %v with four", a.Size.Name, a.Long, a.Verdict, c.Size.Name, c.Long, c.Verdict)
		}
		if a.Verdict == verdict.Unsure {
			unsure++
			t.Logf("unsure: %s %v: %+v", a.Size.Name, a.Long, a.Goes)
		}
		// Asked for alone it is the same, as far as both are decided.
		for j := range one.Rows {
			s, l := &one.Rows[j], a
			x, y := s.Along()
			u, v := l.Along()
			if x <= u && y <= v && s.Size.High <= l.Size.High && s.Verdict == verdict.No && (l.Verdict == verdict.OK || l.Verdict == verdict.Tight) {
				t.Errorf("%s %v goes, and the smaller %s %v is said not to", l.Size.Name, l.Long, s.Size.Name, s.Long)
			}
		}
	}
	if share := float64(unsure) / float64(len(one.Rows)); share > 0.02 {
		t.Errorf("%.0f %% of %d rows are unsure", 100*share, len(one.Rows))
	}
	for _, i := range []int{0, len(sizes) - 1} {
		for name, r := range chosen(t, b, sizes[i]) {
			for j := range one.Rows {
				if o := &one.Rows[j]; o.Size.Name+" "+o.Long.String() == name && o.Verdict != r.Verdict {
					t.Errorf("%s: %v among others, %v alone", name, o.Verdict, r.Verdict)
				}
			}
		}
	}
}

// What a tape cannot tell is told with the side that it is about: a sump smaller by the
// tape's error all round might stand.
func TestTooCloseToCall(t *testing.T) {
	t.Parallel()
	b := baseOf(t, strings.Replace(closed(""), "tape: 0", "tape: 1", 1))
	for _, c := range []struct {
		wide, deep float64
		want       verdict.Verdict
		text       string
	}{
		{600, 300, verdict.Tight, ""}, // it touches
		{601, 300, verdict.Unsure, "1 mm too wide by the measurements"},
		{601, 401.5, verdict.Unsure, "1 mm too wide, 1.5 mm too deep by the measurements"},
		{603, 300, verdict.No, "3 mm too wide"},
	} {
		r := chosen(t, b, box("x", c.wide, c.deep, 100))["x left-right"]
		if r.Stands.Verdict != c.want || !strings.HasPrefix(r.Stands.Text, c.text) {
			t.Errorf("%g x %g: stands %+v, want %v, %q", c.wide, c.deep, *r.Stands, c.want, c.text)
		}
	}
}

// Brute force: a box that stands somewhere beside what is there is found to, and one
// that does not is shown not to.
func TestPlaceAgainstBruteForce(t *testing.T) {
	t.Parallel()
	const beside = `equipment:
  - {name: jug, size: [200, 150, 300], at: {left: %d, front: %d}}
`
	for _, c := range []struct{ left, front int }{{0, 0}, {200, 125}, {400, 250}, {150, 0}} {
		b := baseOf(t, closed(fmt.Sprintf(beside, c.left, c.front)))
		for _, size := range [][2]float64{{390, 200}, {590, 240}, {410, 260}, {250, 390}, {595, 395}} {
			w, d := size[0], size[1]
			want := false
			for x := 0.0; x <= 600-w && !want; x++ {
				for y := 0.0; y <= 400-d && !want; y++ {
					jx, jy := float64(c.left), float64(c.front)
					want = x+w <= jx || x >= jx+200 || y+d <= jy || y >= jy+150
				}
			}
			long := choose.LeftRight
			if d > w {
				long = choose.FrontBack
			}
			r := chosen(t, b, box("x", w, d, 100))["x "+long.String()]
			if got := r.Stands.Verdict != verdict.No; got != want || r.Stands.Verdict == verdict.Unsure {
				t.Errorf("jug at %v, sump %g x %g: stands %+v, want %v", c, w, d, *r.Stands, want)
			}
		}
	}
}

// Among what is slanted, turned or lies across it is found where a sump stands, and shown
// where it does not; and wherever it is said to stand nowhere, no place of a fine grid
// leaves its glass clear of what is there.
func TestPlaceAmongSlantedAndTurned(t *testing.T) {
	t.Parallel()
	const (
		lying   = "  fixtures: [{name: line, round: 25, height: 300, along: front-back, at: {left: 20, back: 0, up: 300}}]\n"
		slanted = "  fixtures: [{name: drain, round: 40, from: {left: 30, front: 30, up: 30}, to: {right: 30, back: 30, up: 100}}]\n"
		turned  = "equipment: [{name: crate, size: [300, 60, 200], turn: 45, at: {left: 172, front: 72}}]\n"
	)
	for _, c := range []struct {
		name, plan       string
		wide, deep, high float64
		stands           verdict.Verdict
	}{
		{"its top above a lying pipe", lying, 590, 200, 310, verdict.No},
		{"below a lying pipe", lying, 590, 200, 290, verdict.OK},
		{"beside a lying pipe", lying, 540, 200, 310, verdict.OK},
		{"across a slanted pipe", slanted, 330, 300, 200, verdict.No},
		{"beside a slanted pipe", slanted, 250, 160, 200, verdict.OK},
		{"all round a turned crate", turned, 590, 390, 250, verdict.No},
		{"beside a turned crate", turned, 250, 130, 250, verdict.OK},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b := baseOf(t, closed(c.plan))
			r := chosen(t, b, box("x", c.wide, c.deep, c.high))["x left-right"]
			if r.Stands.Verdict != c.stands {
				t.Fatalf("stands %+v, want %v", *r.Stands, c.stands)
			}
			if c.stands != verdict.No {
				return
			}
			var others []scene.Part
			others = append(others, b.Scene().Fixtures()...)
			for _, thing := range b.Scene().Things() {
				if thing.Name != "sump" {
					others = append(others, thing.Parts...)
				}
			}
			for x := 20.0; x <= 620-c.wide; x += 5 {
				for y := 20.0; y <= 420-c.deep; y += 5 {
					s := scene.Sump{Glass: 5, Box: r3.Box{Min: r3.Vec{X: x, Y: y, Z: 40}, Max: r3.Vec{X: x + c.wide, Y: y + c.deep, Z: 40 + c.high}}}
					if keepsClear(s.Panes(), others) {
						t.Fatalf("it stands at %g, %g", x, y)
					}
				}
			}
		})
	}
}

func keepsClear(parts, others []scene.Part) bool {
	for _, p := range parts {
		for _, o := range others {
			if solid.Distance(p.Solid, o.Solid).Low < 0 {
				return false
			}
		}
	}
	return true
}

const filled = `
display: {size: [600, 400, 300], glass: 8, water: {below-top: 30}, drops: 20}
sump:
  size: [400, 250, 300]
  glass: 5
  at: {left: 50, front: 50}
  inlet: left
  flow: 1000
  baffles:
    - {at: 200, top: 200, gap: 30}
    - {at: 230, top: 150}
  level: 120
equipment:
  - {name: skimmer, kind: skimmer, in: sump 1, at: {left: 20, front: 30}, round: 100, height: 200, order: 1}
  - {name: pump, kind: pump, in: sump last, at: {right: 10, front: 20}, size: [60, 50, 60], order: 2}
reach:
  - {name: top of it, on: skimmer, at: {left: 125, front: 135, up: 205}, task: press}
`

// What is found of one size is tried on the next, equipment and hands too: that must
// not depend on how many are looked at side by side, and each way and each hand that is
// told of holds when the plan with that sump is checked by itself.
func TestChooseOfFilledIsConsistent(t *testing.T) {
	t.Parallel()
	b := baseOf(t, hall(580, 480, strings.Replace(filled, "flow: 1000", "flow: 300", 1)))
	var sizes []choose.Size
	for _, n := range [][3]float64{{420, 250, 220}, {430, 250, 260}, {450, 260, 320}} {
		sizes = append(sizes, box(fmt.Sprintf("%g x %g x %g", n[0], n[1], n[2]), n[0], n[1], n[2]))
	}
	one, err := b.Choose(t.Context(), sizes, choose.Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	three, err := b.Choose(t.Context(), sizes, choose.Options{Workers: 3})
	if err != nil {
		t.Fatal(err)
	}
	looked := 0
	for i := range one.Rows {
		a, c := &one.Rows[i], &three.Rows[i]
		if a.Verdict != c.Verdict || !reflect.DeepEqual(a.Stands, c.Stands) || !reflect.DeepEqual(a.Goes, c.Goes) ||
			!reflect.DeepEqual(a.Water, c.Water) || !reflect.DeepEqual(a.Equipment, c.Equipment) {
			t.Errorf("%s %v: %v %+v with one worker, %v %+v with three", a.Size.Name, a.Long, a.Verdict, a.Equipment, c.Verdict, c.Equipment)
		}
		if a.Report == nil {
			continue
		}
		alone := map[string]verdict.Verdict{}
		for _, f := range fit.Check(t.Context(), a.Scene, fit.Options{}).Checks {
			alone[f.ID] = f.Verdict
		}
		for _, f := range a.Report.Checks {
			family, _, _ := strings.Cut(f.ID, "/")
			if family != fit.Passage && family != fit.Reach {
				continue
			}
			looked++
			shown := f.Verdict == verdict.OK || f.Verdict == verdict.Tight
			if shown && alone[f.ID] == verdict.No || f.Verdict == verdict.No && (alone[f.ID] == verdict.OK || alone[f.ID] == verdict.Tight) {
				t.Errorf("%s %v: %s is %v, and %v checked by itself", a.Size.Name, a.Long, f.ID, f.Verdict, alone[f.ID])
			}
		}
	}
	if looked < 9 {
		t.Errorf("only %d ways and hands were looked at", looked)
	}
}

// A sump that stands beside something stands there when it is smaller, and what a
// tape cannot tell from touching is never a no.
func TestStandsIsMonotone(t *testing.T) {
	t.Parallel()
	b := baseOf(t, closed("equipment:\n  - {name: jug, size: [200, 150, 300], at: {left: 150, front: 100}}\n"))
	rapid.Check(t, func(t *rapid.T) {
		size := func(name string, lo, hi [3]int) [3]int {
			var out [3]int
			for i := range out {
				out[i] = rapid.IntRange(lo[i], hi[i]).Draw(t, name)
			}
			return out
		}
		l := size("large", [3]int{100, 100, 100}, [3]int{620, 420, 520})
		s := size("small", [3]int{50, 50, 50}, l)
		var stands [2]verdict.Verdict
		for i, n := range [][3]int{l, s} {
			z := choose.Size{Name: "x", Long: unit.Length(n[0]), Across: unit.Length(n[1]), High: unit.Length(n[2]), Glass: 5}
			table, err := b.Choose(context.Background(), []choose.Size{z}, choose.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range table.Rows {
				if r.Long == choose.LeftRight {
					stands[i] = r.Stands.Verdict
				}
			}
		}
		if stands[0] != verdict.No && stands[1] == verdict.No {
			t.Fatalf("%v stands (%v), and the smaller %v does not", l, stands[0], s)
		}
	})
}

// In an empty cabinet the largest sump is as large as the inside, to the step, and
// one more is shown impossible.
func TestLimitsOfAnEmptyCabinet(t *testing.T) {
	t.Parallel()
	b := baseOf(t, closed(""))
	got, err := b.Limits(t.Context(), choose.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Sumps) != 1 {
		t.Fatalf("%d sumps, want one: %+v", len(got.Sumps), got.Sumps)
	}
	l := got.Sumps[0]
	if l.Width != 600 || l.Depth != 400 || l.Height != 500 {
		t.Errorf("%v x %v x %v, want 600 x 400 x 500", l.Width, l.Depth, l.Height)
	}
	if want := [3]unit.Length{605, 405, 505}; l.Beyond != want {
		t.Errorf("shown impossible from %v, want %v", l.Beyond, want)
	}
	for _, n := range []int{1, 4} {
		if other, err := b.Limits(t.Context(), choose.Options{Workers: n}); err != nil || !reflect.DeepEqual(other, got) {
			t.Errorf("%d workers find %+v, %v", n, other.Sumps, err)
		}
	}
	// The tape's error is off the card.
	tape := baseOf(t, strings.Replace(closed(""), "tape: 0", "tape: 2", 1))
	got, err = tape.Limits(t.Context(), choose.Options{})
	if err != nil || len(got.Sumps) != 1 {
		t.Fatalf("%v, %d sumps", err, len(got.Sumps))
	}
	if want := [3]unit.Length{595, 395, 495}; got.Sumps[0].Card != want {
		t.Errorf("card %v, want %v", got.Sumps[0].Card, want)
	}
}

// What the plan puts into the sump comes along: as far from the walls of its
// chamber, turned with it.
func TestEquipmentComesAlong(t *testing.T) {
	t.Parallel()
	b := baseOf(t, closed(filled))
	rows := chosen(t, b, box("long", 500, 250, 300), box("cube", 350, 350, 300), box("flat", 400, 250, 120), box("tiny", 150, 120, 300), box("deep", 390, 300, 300))
	r := rows["long left-right"]
	if r.Verdict == verdict.No || r.Scene == nil {
		t.Fatalf("long: %v %+v", r.Verdict, r.Equipment)
	}
	in := r.Scene.Sump.Inside()
	s := r.Scene.Equipment[0].Bodies[0].Solid.Bounds()
	if math.Abs(s.Min.X-in.Min.X-20) > 1e-6 || math.Abs(s.Min.Y-in.Min.Y-30) > 1e-6 {
		t.Errorf("the skimmer is at %v in %v, want 20 from the left and 30 from the front", s.Min, in.Min)
	}
	// The first chamber is longer in proportion, the slot of the trap as it was.
	f := r.Scene.Sump.Baffles
	if slot := f[1].At - f[0].At - f[0].Thickness; math.Abs(slot.MM()-25) > 1e-6 {
		t.Errorf("the slot of the trap is %v long, want 25", slot)
	}
	if k := f[0].At / 200; k <= 1.2 || k >= 1.35 {
		t.Errorf("the first baffle is at %v, want it stretched with the sump", f[0].At)
	}
	if p := r.Scene.Reach[0].At; math.Abs(p.X-(s.Min.X+s.Max.X)/2) > 15 || p.Z < s.Max.Z-1e-6 {
		t.Errorf("the place to press is at %v, and the skimmer %v", p, s)
	}
	turned := rows["deep front-back"]
	if turned.Scene == nil {
		t.Fatalf("deep front-back: %v, stands %+v", turned.Verdict, turned.Stands)
	}
	if got := turned.Scene.Sump.Inlet.String(); got != "back" {
		t.Errorf("turned, the inlet is %s, want back", got)
	}
	in, s = turned.Scene.Sump.Inside(), turned.Scene.Equipment[0].Bodies[0].Solid.Bounds()
	if math.Abs(in.Max.Y-s.Max.Y-20) > 1e-6 || math.Abs(s.Min.X-in.Min.X-30) > 1e-6 {
		t.Errorf("turned, the skimmer is at %v in %v, want 20 from the back and 30 from the left", s, in)
	}
	if r := rows["tiny left-right"]; r.Verdict != verdict.No || r.Equipment == nil || r.Equipment.Verdict != verdict.No {
		t.Errorf("tiny: %v, equipment %+v, want no for want of room", r.Verdict, r.Equipment)
	}
	if r := rows["flat left-right"]; r.Usable >= rows["long left-right"].Usable {
		t.Errorf("a flat sump holds %v, a long one %v", r.Usable, rows["long left-right"].Usable)
	}
}

// A search that is stopped says so and promises nothing.
func TestChooseStopped(t *testing.T) {
	t.Parallel()
	b := baseOf(t, hall(300, 300, ""))
	ctx, stop := context.WithCancel(t.Context())
	stop()
	table, err := b.Choose(ctx, choose.TradeSizes(), choose.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !table.Stopped || len(table.Rows) == 0 {
		t.Errorf("stopped %v with %d rows", table.Stopped, len(table.Rows))
	}
	for i := range table.Rows {
		if v := table.Rows[i].Verdict; v != verdict.Unsure {
			t.Errorf("%s: %v, want unsure", table.Rows[i].Size.Name, v)
		}
	}
	limits, err := b.Limits(ctx, choose.Options{})
	if err != nil || !limits.Stopped || len(limits.Sumps) > 0 {
		t.Errorf("limits: %v, stopped %v, %d sumps", err, limits.Stopped, len(limits.Sumps))
	}
}

func TestReadList(t *testing.T) {
	t.Parallel()
	sizes, err := choose.ReadList("shop.csv", []byte("name,size,rim,glass,price,mass\n# ours\nA,24 x 12 x 14,1 x 1/8,1/4,80,22 lb\n\"B, new\",12x24x14 in,,,,\n"), unit.Inches)
	if err != nil || len(sizes) != 2 {
		t.Fatalf("%v, %d sizes", err, len(sizes))
	}
	a, b := sizes[0], sizes[1]
	if math.Abs((a.Long-24*unit.Inch).MM()) > 1e-9 || math.Abs((a.Across-12*unit.Inch).MM()) > 1e-9 || a.Glass != unit.Inch/4 ||
		a.Rim == nil || a.Rim.Height != unit.Inch || math.Abs((a.Rim.OutLong-unit.Inch/8).MM()) > 1e-9 || a.Price != "80" || a.Mass == nil {
		t.Errorf("A: %+v", a)
	}
	if b.Name != "B, new" || b.Long != a.Long || b.Glass != 0 || b.Rim != nil || b.Mass != nil {
		t.Errorf("B: %+v", b)
	}
	for name, c := range map[string]struct{ text, want string }{
		"empty":           {"", "shop.csv:1:1: "},
		"no size":         {"name\nA\n", "shop.csv:1:1: "},
		"unknown column":  {"name,size,colour\n", "shop.csv:1:11: "},
		"twice":           {"name,size,name\n", "shop.csv:1:11: "},
		"two lengths":     {"name,size\nA,24 x 12\n", "shop.csv:2:3: "},
		"no length":       {"name,size\nÄÄ,24 x 12 x apples\n", "shop.csv:2:4: "},
		"negative":        {"name,size\nA,24 x 12 x -1\n", "shop.csv:2:3: "},
		"same name":       {"name,size\nA,24 x 12 x 14\nA,24 x 12 x 14\n", "shop.csv:3:1: "},
		"no name":         {"name,size\n,24 x 12 x 14\n", "shop.csv:2:1: "},
		"columns":         {"name,size\nA\n", "shop.csv:2:1: "},
		"thick":           {"name,size,glass\nA,24 x 12 x 14,6\n", "shop.csv:2:3: "},
		"rim":             {"name,size,rim\nA,24 x 12 x 14,20 x 1\n", "shop.csv:2:16: "},
		"mass":            {"name,size,mass\nA,24 x 12 x 14,heavy\n", "shop.csv:2:16: "},
		"quote":           {"name,size\n\"A,24 x 12 x 14\n", "shop.csv:"},
		"no tank":         {"name,size\n", "shop.csv:1:1: "},
		"bytes, not text": {"name,size\nA\xff,1x1x1\n", "shop.csv:1:1: "},
	} {
		_, err := choose.ReadList("shop.csv", []byte(c.text), unit.Inches)
		var bad *choose.ListError
		if err == nil || !errors.As(err, &bad) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, want it to begin %q", name, err, c.want)
		}
	}
}

func FuzzReadList(f *testing.F) {
	f.Add("name,size,rim,glass,price,mass\nA,24 x 12 x 14,1 x 1/8,1/4,80,22 lb\n")
	f.Add("name,size\n\"A\n")
	f.Fuzz(func(t *testing.T, text string) {
		sizes, err := choose.ReadList("x.csv", []byte(text), unit.Millimetres)
		if err != nil {
			return
		}
		for _, z := range sizes {
			if !(z.Long >= z.Across && z.Across > 0 && z.High > 0) {
				t.Errorf("%+v", z)
			}
		}
	})
}

func TestTradeSizes(t *testing.T) {
	t.Parallel()
	sizes := choose.TradeSizes()
	if len(sizes) != len(assets.Tanks()) {
		t.Fatalf("%d sizes of %d", len(sizes), len(assets.Tanks()))
	}
	for _, z := range sizes {
		if z.Long < z.Across || z.Rim == nil || z.Foot == nil || z.Rim.OutLong <= 0 {
			t.Errorf("%+v", z)
		}
	}
}
