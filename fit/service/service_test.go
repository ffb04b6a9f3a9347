package service_test

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/fit/passage"
	"undercroft/fit/service"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// cabinet is 600 x 400 x 500 mm inside, its whole front open.
func cabinet(things ...scene.Equipment) *scene.Scene {
	s := &scene.Scene{Units: unit.Millimetres, Tape: 0.5, Equipment: things}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = 600+2*thick, 400+2*thick, 500+thick
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = thick
	}
	c.Openings = []scene.Opening{{Name: "front", Side: scene.Front, Hole: inside(0, -thick, 0, 600, 0, 500)}}
	return s
}

// inside is a box from the cabinet's inside lower left front corner.
func inside(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return box(thick+x0, thick+y0, z0, thick+x1, thick+y1, z1)
}

func thing(name string, bodies ...r3.Box) scene.Equipment {
	e := scene.Equipment{Name: name, Kind: "box"}
	for _, b := range bodies {
		e.Bodies = append(e.Bodies, scene.Body{Solid: solid.Box(b)})
	}
	return e
}

func check(tb testing.TB, s *scene.Scene) verdict.Findings {
	tb.Helper()
	return service.Check(tb.Context(), s, passage.Check(tb.Context(), s).Checks)
}

// Two things hooked into each other, each with one part before the other's: neither
// comes out first, and neither goes in last.
func TestTwoThatLockEachOtherIn(t *testing.T) {
	t.Parallel()
	hooked := []scene.Equipment{
		thing("left", inside(4, 4, 4, 300, 196, 496), inside(304, 204, 4, 596, 396, 496)),
		thing("right", inside(304, 4, 4, 596, 196, 496), inside(4, 204, 4, 300, 396, 496)),
	}
	fs := check(t, cabinet(hooked...))
	for _, id := range []string{"service/left", "service/right", "service/order"} {
		f := finding(t, fs, id)
		if f.Verdict != verdict.No {
			t.Errorf("%s: %v, want no: %s", id, f.Verdict, f.Summary)
		}
		if got := measure[[]string](t, f, "lock_each_other"); !slices.Contains(got, "left") || !slices.Contains(got, "right") || len(got) != 2 {
			t.Errorf("%s: %q lock each other, want both", id, got)
		}
	}
	// Each alone comes out.
	for _, e := range hooked {
		if f := finding(t, check(t, cabinet(e)), "service/"+e.Name); f.Verdict != verdict.OK {
			t.Errorf("%s alone: %v, want ok: %s", e.Name, f.Verdict, f.Summary)
		}
	}
}

// A cup that must rise by lifts under a shelf: what it has to spare is the room above
// it less what it must rise.
func TestLift(t *testing.T) {
	t.Parallel()
	const top, rise = 300.0, 60.0
	scene := func(shelf, carry float64) *scene.Scene {
		e := thing("skimmer", inside(200, 100, 2, 300, 200, 200), inside(190, 90, 200, 310, 210, top))
		e.Bodies[0].Name, e.Bodies[1].Name = "body", "cup"
		e.Bodies[1].Lifts, e.Bodies[1].Apart = rise, true
		s := cabinet(e)
		s.Carry = unit.Length(carry)
		s.Cabinet.Fixtures = []scene.Fixture{{
			Name:   "shelf",
			Bodies: []scene.Body{{Solid: solid.Box(inside(100, 50, shelf, 400, 250, shelf+10))}},
		}}
		return s
	}
	for _, c := range []struct {
		name  string
		above float64 // room above the cup
		carry float64 // wanted
		want  verdict.Verdict
		low   float64
	}{
		{"room enough", rise + 20, 5, verdict.OK, 5},
		{"less than wanted", rise + 3, 5, verdict.Tight, 3},
		{"much wanted, and less there", rise + 30, 40, verdict.Tight, 30},
		{"not enough", rise - 2, 5, verdict.No, math.Inf(-1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := finding(t, check(t, scene(top+c.above, c.carry)), "service/skimmer")
			low := measure[float64](t, f, "spare_low_mm")
			if f.Verdict != c.want || c.want != verdict.OK && math.Abs(low-c.low) > 0.02 || low < c.low-0.02 {
				t.Errorf("%v with %.3f to spare, want %v with %.3f: %s", f.Verdict, low, c.want, c.low, f.Summary)
			}
			if c.want == verdict.No && !strings.Contains(f.Summary, "shelf") {
				t.Errorf("what is in the way is not told: %s", f.Summary)
			}
			if c.want == verdict.OK {
				m := f.Motions[0]
				if m.Parts[0] != "skimmer/cup" || m.Path.Poses[1].Shift != (r3.Vec{Z: rise}) {
					t.Errorf("the cup does not rise %v mm straight up first: %v", rise, m.Path.Poses[:2])
				}
			}
		})
	}
}

// A thin board leaning out of a well of width w, its foot at the far wall and its side
// on the near rim: by similar triangles it stands y/w steep, y being how deep its foot
// is, and its top is L sin θ − w tan θ above the rim. The highest that gets, at
// cos³ θ = w/L, is (L^⅔ − w^⅔)^{3/2}: lower than that under a ceiling it stays in.
func TestOutOfAWell(t *testing.T) {
	t.Parallel()
	const length, width, depth = 380.0, 120.0, 300.0
	least := math.Pow(math.Pow(length, 2./3)-math.Pow(width, 2./3), 1.5)
	const board = 4.0
	well := func(room float64) *scene.Scene {
		// The well is as deep from front to back as the cabinet, and so is the board.
		s := &scene.Scene{Units: unit.Millimetres, Tape: 0.5}
		c := &s.Cabinet
		c.Width, c.Depth, c.Height = 700+2*thick, 300+2*thick, unit.Length(depth+room+thick)
		for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
			p.Thickness = thick
		}
		c.Openings = []scene.Opening{{Name: "right", Side: scene.Right, Hole: box(thick+700, thick, depth, 2*thick+700, thick+300, depth+room)}}
		c.Fixtures = []scene.Fixture{{Name: "step", Bodies: []scene.Body{
			{Solid: solid.Box(inside(width, 0, 0, 700, 300, depth))},
		}}}
		s.Equipment = []scene.Equipment{thing("board", inside(1, 3, 1, 1+board, 297, length))}
		return s
	}
	if start := length - depth; start > least {
		t.Fatalf("it stands out %.0f mm, more than the %.0f it needs", start, least)
	}
	if f := finding(t, service.Check(t.Context(), well(least+20), nil), "service/board"); f.Verdict != verdict.OK && f.Verdict != verdict.Tight {
		t.Errorf("with %.0f mm of room, %.0f needed: %v, want a way: %s", least+20, least, f.Verdict, f.Summary)
	}
	if os.Getenv("UNDERCROFT_SCENES") != "all" {
		return // that there is none is a long search
	}
	if f := finding(t, service.Check(t.Context(), well(least-10), nil), "service/board"); f.Verdict == verdict.OK || f.Verdict == verdict.Tight {
		t.Errorf("with %.0f mm of room, %.0f needed: %v: %s", least-10, least, f.Verdict, f.Summary)
	}
}

// sumpScene has a sump with a skimmer and a heater in it.
func sumpScene() *scene.Scene {
	s := cabinet()
	s.Sump = &scene.Sump{Box: inside(50, 50, 0, 450, 350, 200), Glass: 6, Baffles: []scene.Baffle{{At: 250, Top: 150, Thickness: 6}}}
	skimmer, heater := thing("skimmer", inside(80, 80, 8, 180, 180, 180)), thing("heater", inside(80, 220, 8, 110, 250, 180))
	skimmer.Chamber, heater.Chamber = 1, 1
	s.Equipment = []scene.Equipment{skimmer, heater}
	return s
}

// What stands in the sump comes out before it and does not make that tight; it goes
// in after it, and the sump after its test on the bench.
func TestSumpAndItsContents(t *testing.T) {
	t.Parallel()
	fs := check(t, sumpScene())
	sump := finding(t, fs, "service/sump")
	if got := measure[[]string](t, sump, "first"); sump.Verdict != verdict.OK || !slices.Equal(got, []string{"skimmer", "heater"}) {
		t.Errorf("sump: %v after %q, want ok after skimmer and heater: %s", sump.Verdict, got, sump.Summary)
	}
	order := finding(t, fs, "service/order")
	if got := measure[[]string](t, order, "goes_in"); !slices.Equal(got, []string{"sump", "skimmer", "heater"}) {
		t.Errorf("goes in in the order %q", got)
	}
	steps := measure[[]string](t, order, "order")
	for i, want := range []string{"glue", "leaks", "sump", "skimmer", "heater"} {
		if !strings.Contains(steps[i], want) {
			t.Errorf("step %d is %q, want one about %s", i+1, steps[i], want)
		}
	}
	// With a bottle before it, that has to come out, too, and that is tight.
	s := sumpScene()
	s.Equipment = append(s.Equipment, thing("bottle", inside(40, 4, 2, 560, 44, 480)))
	sump = finding(t, check(t, s), "service/sump")
	if got := measure[[]string](t, sump, "first"); sump.Verdict != verdict.Tight || len(got) != 3 || !slices.Contains(got, "bottle") {
		t.Errorf("sump behind a bottle: %v after %q, want tight after all three: %s", sump.Verdict, got, sump.Summary)
	}
	// What hangs on its rim comes off first, even where it is in nobody's way.
	s = sumpScene()
	holder := thing("holder", inside(450, 100, 150, 470, 140, 210))
	holder.On = []string{"rim of sump"}
	s.Equipment = append(s.Equipment, holder)
	if got := measure[[]string](t, finding(t, check(t, s), "service/sump"), "first"); !slices.Contains(got, "holder") {
		t.Errorf("sump with a holder on its rim comes out after %q, want the holder among them", got)
	}
	// What is fixed in the sump goes with it.
	s = sumpScene()
	s.Equipment[0].Fixed = true
	fs = check(t, s)
	sump = finding(t, fs, "service/sump")
	if got := measure[[]string](t, sump, "first"); sump.Verdict != verdict.OK || !slices.Equal(got, []string{"heater"}) {
		t.Errorf("sump with a skimmer fixed in it: %v after %q: %s", sump.Verdict, got, sump.Summary)
	}
	for _, f := range fs.Checks {
		if f.ID == "service/skimmer" {
			t.Error("what is fixed is judged")
		}
	}
}

// What was planned in an order that does not do goes in in another.
func TestAnotherOrder(t *testing.T) {
	t.Parallel()
	s := grid{"b", "a"}.scene()
	s.Equipment[0].Order = 2 // the one at the back last
	f := finding(t, check(t, s), "service/order")
	if got := measure[[]string](t, f, "goes_in"); f.Verdict == verdict.No || !slices.Equal(got, []string{"a", "b"}) || measure[bool](t, f, "as_planned") {
		t.Errorf("%v in the order %q, want a, then b, and that the plan's order does not do: %s", f.Verdict, got, f.Summary)
	}
}

// A display that stands closes the top for good; before it stands things go in there.
func TestBeforeTheDisplayStands(t *testing.T) {
	t.Parallel()
	stood := func(standing scene.Standing) *scene.Scene {
		s := cabinet(thing("box", inside(100, 100, 2, 300, 300, 300)))
		s.Cabinet.Lid = scene.Panel{Open: true}
		s.Cabinet.Openings = []scene.Opening{{Name: "open top", Side: scene.Top, Hole: inside(0, 0, 518, 600, 400, 518), OpenFace: true, BeforeDisplay: true}}
		s.Display = &scene.Display{Box: box(0, 0, 518, 636, 436, 918), Glass: 8, Standing: standing}
		return s
	}
	fs := check(t, stood(notYet))
	if f := finding(t, fs, "service/box"); f.Verdict != verdict.No || !strings.Contains(f.Summary, "display") {
		t.Errorf("%v: %s", f.Verdict, f.Summary)
	}
	order := finding(t, fs, "service/order")
	steps := measure[[]string](t, order, "order")
	if order.Verdict != verdict.OK || len(steps) != 2 || !strings.Contains(steps[1], "display") {
		t.Errorf("%v, steps %q, want the box and then the display", order.Verdict, steps)
	}
	standing := stood(full)
	fs = check(t, standing)
	if f := finding(t, fs, "service/order"); f.Verdict != verdict.No {
		t.Errorf("with the display standing: %v, want no: %s", f.Verdict, f.Summary)
	}
	const none = "does not come out: there is no way through open top once the display stands"
	if f := finding(t, fs, "service/box"); f.Summary != none {
		t.Errorf("%q, want %q", f.Summary, none)
	}
	// Nor does it through another hole, of which that is shown, wherever it is in the plan.
	small := standing.Cabinet
	small.Openings = append(slices.Clone(small.Openings), scene.Opening{Name: "slot", Side: scene.Front, Hole: inside(100, -18, 2, 250, 0, 152)})
	for range 2 {
		slices.Reverse(small.Openings)
		standing.Cabinet = small
		if f := finding(t, check(t, standing), "service/box"); f.Verdict != verdict.No || !strings.HasPrefix(f.Summary, "does not come out: shown impossible") {
			t.Errorf("with a slot: %v: %s", f.Verdict, f.Summary)
		}
	}
}

const (
	notYet = scene.NotYet
	full   = scene.Full
)

// A way out starts at rest, ends outside, and keeps clear of all that is there what
// it is said to.
func TestWaysOutAreVerified(t *testing.T) {
	t.Parallel()
	s := sumpScene()
	fs := check(t, s)
	ways := 0
	for _, f := range fs.Checks {
		for _, m := range f.Motions {
			ways++
			if !m.Out || m.Path.Poses[0] != solid.Rest && m.Path.Poses[0].Shift != (r3.Vec{}) {
				t.Errorf("%s: does not start at rest", f.ID)
			}
			var body, others []solid.Solid
			thing, _ := s.Thing(m.Thing)
			for _, p := range thing.Groups[0].Parts {
				body = append(body, p.Solid)
			}
			last := m.Path.Poses[len(m.Path.Poses)-1]
			for _, b := range body {
				if out := b.Moved(last).Bounds(); out.Max.Y > 1e-6 {
					t.Errorf("%s: ends %.1f mm inside", f.ID, out.Max.Y)
				}
			}
			for _, p := range s.AtRest() {
				if p.Of != m.Thing && !slices.Contains(m.Absent, p.Of) {
					others = append(others, p.Solid)
				}
			}
			if err := verify.Keeps(body, m.Path, others, -1e-3); err != nil {
				t.Errorf("%s: %v", f.ID, err)
			}
			if len(m.Moves) == 0 || len(m.MoveOf) != len(m.Path.Poses)-1 {
				t.Errorf("%s: %d legs in %d moves %q", f.ID, len(m.Path.Poses)-1, len(m.Moves), m.Moves)
			}
		}
	}
	if ways != 3 {
		t.Errorf("%d ways out, want 3", ways)
	}
}

// Taking something away never locks anything in.
func TestFewerThingsNeverHurt(t *testing.T) {
	t.Parallel()
	scenes := 3
	if os.Getenv("UNDERCROFT_SCENES") == "all" {
		scenes = 100
	}
	r := rand.New(rand.NewPCG(16, 18))
	for i := range scenes {
		between := func(lo, hi float64) float64 { return lo + r.Float64()*(hi-lo) }
		var things []scene.Equipment
		for j, name := range []string{"a", "b", "c"} {
			w, d, h := between(60, 550), between(60, 120), between(60, 480)
			x, y := between(2, 598-w), between(2, 5)+130*float64(j)
			things = append(things, thing(name, inside(x, y, 2, x+w, y+d, 2+h)))
		}
		out := r.IntN(len(things))
		more := service.Check(t.Context(), cabinet(things...), nil)
		less := service.Check(t.Context(), cabinet(slices.Delete(slices.Clone(things), out, out+1)...), nil)
		for _, f := range less.Checks {
			for _, g := range more.Checks {
				if f.ID == g.ID && f.Verdict == verdict.No && (g.Verdict == verdict.OK || g.Verdict == verdict.Tight) {
					t.Errorf("scene %d: %s: %v, and without %s %v: %s", i, f.ID, g.Verdict, things[out].Name, f.Verdict, f.Summary)
				}
			}
		}
	}
}

// crowded is a wide cabinet with a sump, six things in it, and rows of bottles and
// boxes before and beside it: thirty things in all.
func crowded() *scene.Scene {
	s := &scene.Scene{Units: unit.Millimetres, Tape: 1, Carry: 5}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = 1600+2*thick, 600+2*thick, 700+thick
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = thick
	}
	c.Openings = []scene.Opening{{Name: "doors", Side: scene.Front, Hole: inside(20, -thick, 10, 1580, 0, 680)}}
	s.Sump = &scene.Sump{Box: inside(100, 180, 2, 900, 580, 350), Glass: 8}
	add := func(in int, b r3.Box) {
		e := thing("thing "+strconv.Itoa(len(s.Equipment)+2), b)
		e.Chamber = in
		s.Equipment = append(s.Equipment, e)
	}
	for i := range 6 {
		x := 120 + 125*float64(i)
		add(1, inside(x, 220, 12, x+100, 340, 240))
	}
	for i := range 8 { // before the sump
		x := 40 + 110*float64(i)
		add(0, inside(x, 30, 3, x+90, 120, 560))
	}
	for row := range 3 { // beside it
		for i := range 5 {
			x, y := 940+125*float64(i), 30+185*float64(row)
			add(0, inside(x, y, 3, x+100, y+150, 580))
		}
	}
	return s
}

func BenchmarkThirtyThings(b *testing.B) {
	s := crowded()
	ways := passage.Check(b.Context(), s).Checks
	for b.Loop() {
		fs := service.Check(b.Context(), s, ways)
		unsure := 0
		for _, f := range fs.Checks {
			if f.Verdict == verdict.Unsure {
				unsure++
			}
		}
		b.ReportMetric(float64(unsure), "unsure")
		b.ReportMetric(float64(len(fs.Checks)), "findings")
	}
}

// What holds a thing has to be undone first: where a hand gets to it, the thing comes
// out; where it is walled in, it does not.
func TestHeldBy(t *testing.T) {
	t.Parallel()
	scene := func(walledIn bool) *scene.Scene {
		pump := thing("pump", inside(250, 100, 2, 350, 200, 100))
		pump.HeldBy = []string{"clip"}
		s := cabinet(pump)
		at := inside(290, 40, 150, 310, 60, 180)
		s.Cabinet.Fixtures = []fixture{{Name: "clip", Bodies: thing("", at).Bodies}}
		if walledIn {
			s.Cabinet.Fixtures = append(s.Cabinet.Fixtures, fixture{Name: "cover", Bodies: thing("",
				inside(270, 30, 140, 330, 34, 190), inside(270, 66, 140, 330, 70, 190), inside(270, 34, 140, 274, 66, 190),
				inside(326, 34, 140, 330, 66, 190), inside(270, 30, 190, 330, 70, 194), inside(270, 30, 136, 330, 70, 140)).Bodies})
		}
		return s
	}
	if f := finding(t, check(t, scene(false)), "service/pump"); f.Verdict != verdict.OK {
		t.Errorf("held by a clip before it: %v, want ok: %s", f.Verdict, f.Summary)
	}
	if f := finding(t, check(t, scene(true)), "service/pump"); f.Verdict == verdict.OK || f.Verdict == verdict.Tight || !strings.Contains(f.Summary, "clip") {
		t.Errorf("held by a clip under a cover: %v, want no or unsure because of the clip: %s", f.Verdict, f.Summary)
	}
}

// A partition that lifts out is taken out to make room for what stands behind it, and
// is counted among what comes out first; one that stays keeps it in.
func TestPartitionThatComesOut(t *testing.T) {
	t.Parallel()
	scene := func(out scene.ComesOut) *scene.Scene {
		s := cabinet(thing("box", inside(20, 220, 2, 580, 390, 490)))
		s.Cabinet.Fixtures = []fixture{{Name: "partition", Bodies: thing("", inside(10, 100, 5, 590, 115, 495)).Bodies, ComesOut: out}}
		return s
	}
	f := finding(t, check(t, scene(lifts)), "service/box")
	if got := measure[[]string](t, f, "first"); f.Verdict != verdict.Tight || !slices.Equal(got, []string{"partition"}) {
		t.Errorf("behind a partition that lifts out: %v after %q, want tight after it: %s", f.Verdict, got, f.Summary)
	}
	if f := finding(t, check(t, scene(never)), "service/box"); f.Verdict != verdict.No {
		t.Errorf("behind a partition that stays: %v, want no: %s", f.Verdict, f.Summary)
	}
}

type fixture = scene.Fixture

const (
	lifts = scene.ComesOutLifts
	never = scene.ComesOutNo
)
