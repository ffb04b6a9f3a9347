package reach_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"undercroft/assets"
	"undercroft/fit/reach"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
)

func read(tb testing.TB, text string) *scene.Scene {
	tb.Helper()
	s, err := plan.Read("test.yaml", []byte(text))
	if err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return s
}

// shaft is a plan of a cabinet 900 mm deep with a square hole in its front,
// round the middle, and a place straight behind the middle of the hole.
func shaft(hole, depth float64, tape float64, task, more string) string {
	return fmt.Sprintf(`
format: 1
units: mm
tape: %g
room: {front: 1800}
cabinet:
  size: [400, 900, 400]
  wall: 10
  bottom: {up: 40, thickness: 18}
  openings: [{name: hatch, side: front, at: {left: %g, up: %g}, size: [%g, %g]}]
equipment: [{name: stone, size: [10, 10, 10], at: {left: 2, back: 2}}]
reach: [{name: knob, at: {left: 190, front: %g, up: 160}, task: %s}]
%s`, tape, 200-hole/2, 200-hole/2, hole, hole, depth-10, task, more)
}

func only(tb testing.TB, s *scene.Scene) reach.Result {
	tb.Helper()
	return reach.Decide(tb.Context(), s, s.Reach[0])
}

// percentile is one figure of ANSUR II.
func percentile(tb testing.TB, dimension, who string) assets.BodySize {
	tb.Helper()
	b, ok := assets.Body(dimension, who)
	if !ok {
		tb.Fatalf("no %s of a %s", dimension, who)
	}
	return b
}

// The arm there is follows from percentiles of ANSUR II (public data, read;
// percentiles computed from it): a woman's of the 5th. To the fingertip hand 165,
// forearm 218 and upper arm 283; to what the hand holds, as much less as elbow to
// grip, 290, is less than elbow to fingertip, 404.
func TestArmOfAnyone(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		dimension string
		p5        float64
	}{
		{"hand length", 165},
		{"radiale-stylion length", 218},
		{"acromion-radiale length", 283},
		{"forearm-hand length", 404},
		{"forearm-centre of grip length", 290},
	} {
		if got := percentile(t, c.dimension, "woman").P5.MM(); got != c.p5 {
			t.Errorf("%s: %v, want %v", c.dimension, got, c.p5)
		}
	}
	for task, want := range map[string]float64{
		scene.TaskPress: 165 + 218 + 283,
		scene.TaskTurn:  165 + 218 + 283 - (404 - 290),
	} {
		if got := only(t, read(t, shaft(300, 200, 0, task, ""))).Arm.MM(); got != want {
			t.Errorf("%s: an arm of %v mm, want %v", task, got, want)
		}
	}
}

// A person's own measures: twice as long an arm as a 5th percentile woman's
// reaches twice as far.
func TestArmOfYou(t *testing.T) {
	t.Parallel()
	s := read(t, shaft(300, 200, 0, "press", "hand: {knuckles: 60, elbow: 606}\n"))
	if got, want := only(t, s).Arm.MM(), 1.5*(165+218+283); math.Abs(got-want) > 1e-9 {
		t.Errorf("an arm of %v mm, want %v", got, want)
	}
	// A hatch of 70 lets a hand half as broad through, and not anyone's arm.
	s = read(t, shaft(70, 330, 0, "press", "hand: {knuckles: 60}\n"))
	fs := reach.Check(t.Context(), s).Checks
	i := slices.IndexFunc(fs, func(f verdict.Finding) bool { return f.ID == "reach/knob" })
	if f := fs[i]; f.Verdict != verdict.OK || !strings.Contains(f.Summary, "for anyone: no") {
		t.Errorf("%v: %s", f.Verdict, f.Summary)
	}
}

// Straight through a wide hatch the arm is as long as the place is deep: just
// inside is ok, just beyond is proved to be too far: by its length where the bound of
// that tells, else because forearm and upper arm do not come out.
func TestArmsLength(t *testing.T) {
	t.Parallel()
	const arm = 666
	for _, c := range []struct {
		name  string
		depth float64
		tape  float64
		want  verdict.Verdict
	}{
		{"well inside", 500, 0, verdict.OK},
		{"just inside", arm - 0.5, 0, verdict.OK},
		{"exactly", arm, 0, verdict.OK},
		{"less than the tape's error inside", arm - 1, 2, verdict.Tight},
		{"just beyond, less than the bound tells", arm + 3, 0, verdict.No},
		{"beyond", arm + 90, 0, verdict.No},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := only(t, read(t, shaft(300, c.depth, c.tape, "press", "")))
			if r.Verdict != c.want {
				t.Errorf("%v, want %v: %+v", r.Verdict, c.want, r)
			}
			if used := r.ArmUsed.MM(); c.want == verdict.OK && math.Abs(used-c.depth) > 15 {
				t.Errorf("%v mm of arm used for a place %v deep", used, c.depth)
			}
			if c.want == verdict.No && c.depth > arm+10 && !(r.ArmUsed > r.Arm && r.ArmUsed.MM() <= c.depth) {
				t.Errorf("shown to be at least %v away, it is %v", r.ArmUsed, c.depth)
			}
		})
	}
}

// Holes a hand or an arm needs. In MIL-STD-1472 (from memory) an arm passes to
// the elbow through 115 mm, to the shoulder through 125 mm; of ANSUR II a man's
// forearm of the 95th percentile is 348/π = 110.8 mm across, his upper arm 133.
func TestHoles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name        string
		hole, depth float64
		want        verdict.Verdict
	}{
		{"to the elbow", 115, 330, verdict.OK},
		{"to the shoulder, as wide as the arm", 136, 560, verdict.OK},
		{"to the elbow, narrower than the forearm may be", 85, 450, verdict.No},
		{"a flat hand alone, through a slot", 75, 100, verdict.Unsure},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if r := only(t, read(t, shaft(c.hole, c.depth, 0, "press", ""))); r.Verdict != c.want {
				t.Errorf("%v, want %v: %+v", r.Verdict, c.want, r)
			}
		})
	}
}

// Between two slabs a flat hand needs its own thickness, 30 mm (EN 547-3, from
// memory), with the tape's error twice beyond.
func TestGapAsWideAsTheHand(t *testing.T) {
	t.Parallel()
	between := func(gap, tape float64) string {
		return strings.Replace(shaft(300, 400, tape, "press", ""), "equipment: [", fmt.Sprintf(
			"equipment: [{name: lower, size: [360, 500, %g], at: {left: 10, front: 100, up: 0}}, {name: upper, size: [360, 500, 100], at: {left: 10, front: 100, up: %g}}, ",
			160-gap/2, 160+gap/2), 1)
	}
	for _, c := range []struct {
		name      string
		gap, tape float64
		want      verdict.Verdict
	}{
		{"exactly the hand", 30, 0, verdict.OK},
		{"the hand and less than the tape's error", 31, 2, verdict.Tight},
		{"narrower by less than the tape's error", 28.5, 2, verdict.Unsure},
		{"narrower", 27, 0, verdict.No},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			// Only the hand gets in so far, the arm is in front of the slabs.
			front := "front: 250,"
			if c.want == verdict.No {
				front = "front: 150," // a whole hand must be between them
			}
			s := read(t, strings.ReplaceAll(between(c.gap, c.tape), "front: 100,", front))
			r := only(t, s)
			if r.Verdict != c.want {
				t.Errorf("%v, want %v: %+v", r.Verdict, c.want, r)
			}
			if c.want == verdict.No && !slices.ContainsFunc(r.Blocks, func(b string) bool { return b == "lower" || b == "upper" }) {
				t.Errorf("in the way is said to be %v", r.Blocks)
			}
		})
	}
}

// A slab set in the way turns an ok into something else, and names itself.
func TestPlantedFault(t *testing.T) {
	t.Parallel()
	good := shaft(200, 400, 1, "grip", "")
	if r := only(t, read(t, good)); r.Verdict != verdict.OK {
		t.Fatalf("%+v", r)
	}
	bad := strings.Replace(good, "equipment: [", "equipment: [{name: slab, size: [360, 20, 345], at: {left: 10, front: 100, up: 0}}, ", 1)
	s := read(t, bad)
	if r := only(t, s); r.Verdict != verdict.No || !slices.Contains(r.Blocks, "slab") {
		t.Errorf("%+v", r)
	}
	if r := reach.Decide(t.Context(), s, s.Reach[0], "slab"); r.Verdict != verdict.OK {
		t.Errorf("with the slab gone: %+v", r)
	}
	// What bends aside is in nobody's way.
	soft := strings.Replace(bad, "{name: slab,", "{name: slab, soft: yes,", 1)
	if r := only(t, read(t, soft)); r.Verdict != verdict.OK {
		t.Errorf("a soft slab: %+v", r)
	}
	// A wall of assumed thickness proves nothing, nor does a wall across the room.
	near := strings.Replace(good, "front: 1800", "front: 250", 1)
	if r := only(t, read(t, near)); r.Verdict != verdict.Unsure {
		t.Errorf("with no room for a person: %+v", r)
	}
}

// What the plan leaves out never proves a no.
func TestDefaultsProveNothing(t *testing.T) {
	t.Parallel()
	text := strings.Replace(shaft(300, 400, 1, "grip", ""), "equipment: [", "equipment: [{name: slab, size: [360, 20, 345], at: {left: 10, front: 100, up: 0}}, ", 1)
	if r := only(t, read(t, text)); r.Verdict != verdict.No {
		t.Fatalf("%+v", r)
	}
	if r := only(t, read(t, strings.Replace(text, "  wall: 10\n", "", 1))); r.Verdict == verdict.No {
		t.Errorf("with walls of assumed thickness, from which the slab was measured: %+v", r)
	}
}

// At the bottom of a deep sump hand and forearm end below its wall, and the upper arm is
// to come over it and out below the lintel. A hand near the wall does not go through the
// glass either, wherever on the pump it is.
func TestNearTheWallOfADeepSump(t *testing.T) {
	t.Parallel()
	const text = `
format: 1
units: mm
tape: 1
room: {front: 1800}
cabinet:
  size: [700, 500, 800]
  wall: 18
  bottom: {up: 100, thickness: 18}
  openings: [{name: hatch, side: front, at: {left: 50, sill: 10}, size: [600, 560], door: none}]
sump: {size: [500, 300, %d], glass: 5, at: {left: 80, front: 30}, inlet: left}
equipment: [{name: pump, kind: pump, in: sump 1, size: [60, 60, 80], at: {left: 60, front: 10}}]
`
	for high, want := range map[int]verdict.Verdict{470: verdict.No, 200: verdict.OK} {
		s := read(t, fmt.Sprintf(text, high))
		p := s.Places()[0]
		if high == 200 {
			p.At.Y += 30 // where the hand has room beside the wall
		}
		if r := reach.Decide(t.Context(), s, p); r.Verdict != want {
			t.Errorf("%s in a sump %d high: %v (%s), want %v", p.Name, high, r.Verdict, r.Reason, want)
		}
	}
}

// Between the rim of a high sump and the lintel a forearm comes through level, not
// slanted: a hand gets to what is below the rim with the wrist bent, as long as there is
// more than the forearm is thick.
func TestWristBent(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		high, hole int
		want       verdict.Verdict
		bent       bool // the wrist is
	}{
		{430, 600, verdict.OK, false},
		{500, 600, verdict.OK, true},
		{500, 560, verdict.Unsure, false},
	} {
		r := only(t, read(t, reach.CupOfASkimmer(c.hole, c.high)))
		if r.Verdict != c.want || strings.Contains(r.Way, "wrist") != c.bent {
			t.Errorf("a hole %d high, a sump %d: %v (%s%s), want %v (wrist bent %v)", c.hole, c.high, r.Verdict, r.Way, r.Reason, c.want, c.bent)
		}
		if c.want == verdict.OK && r.ArmUsed >= r.Arm {
			t.Errorf("a hole %d high, a sump %d: %v of %v of arm inside", c.hole, c.high, r.ArmUsed, r.Arm)
		}
	}
}

func TestSeen(t *testing.T) {
	t.Parallel()
	seen := func(r reach.Result) string {
		if r.Seen == nil {
			return "unknown"
		}
		return fmt.Sprint(*r.Seen)
	}
	good := shaft(300, 300, 1, "grip", "")
	if got := seen(only(t, read(t, good))); got != "true" {
		t.Errorf("an open view: %s", got)
	}
	bad := strings.Replace(good, "equipment: [", "equipment: [{name: slab, size: [376, 20, 345], at: {left: 2, front: 100, up: 0}}, ", 1)
	if got := seen(only(t, read(t, bad))); got != "false" {
		t.Errorf("behind a slab: %s", got)
	}
}

// Two hands need room on both sides of what they hold.
func TestTwoHands(t *testing.T) {
	t.Parallel()
	two := func(hole float64) string {
		return strings.Replace(shaft(hole, 250, 0, "lift", ""), "task: lift", "task: lift, hands: 2, size: 150", 1)
	}
	if r := only(t, read(t, two(318))); r.Verdict != verdict.OK || len(r.Shapes) < 10 {
		t.Errorf("through a wide hatch: %+v", r)
	}
	if r := only(t, read(t, two(150))); r.Verdict == verdict.OK || r.Verdict == verdict.Tight {
		t.Errorf("through a hatch for one: %+v", r)
	}
}

// The room above the sump is marked where what bounds it is.
func TestRoomAboveTheSumpIsMarkedThere(t *testing.T) {
	t.Parallel()
	s := read(t, `format: 1
units: mm
cabinet: {size: [920, 460, 820], fixtures: [{name: shelf, size: [100, 300, 18], at: {right: 0, up: 420}}]}
sump: {size: [600, 320, 360], glass: 6, at: {right: 30}, inlet: right}
`)
	fs := reach.Check(t.Context(), s).Checks
	f := fs[len(fs)-1]
	if len(f.Marks) != 1 {
		t.Fatalf("%s: %d marks, want 1: %s", f.ID, len(f.Marks), f.Summary)
	}
	shelf := s.Fixtures()[0].Solid.Bounds()
	if m := f.Marks[0]; m.To.X < shelf.Min.X || m.To.X > shelf.Max.X || m.To.Z != shelf.Min.Z {
		t.Errorf("up to %v, want to the shelf at %v", m.To, shelf)
	}
}
