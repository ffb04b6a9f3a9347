package passage_test

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// cabinet is 1000 x 450 x 800 mm outside with 18 mm walls and one opening in the
// middle of its front, 12 mm over the inside bottom at 100 mm.
func cabinet(holeWidth, holeHeight float64) *scene.Scene {
	s := &scene.Scene{Units: unit.Millimetres, Carry: 6}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = 1000, 450, 800
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = 18
	}
	c.Bottom = &scene.InsideBottom{Up: 100, Thickness: 18}
	x := (1000 - holeWidth) / 2
	c.Openings = []scene.Opening{{Name: "doors", Side: scene.Front, Hole: box(x, 0, 112, x+holeWidth, 18, 112+holeHeight)}}
	return s
}

// with stands a sump of this size in the middle of the inside.
func with(s *scene.Scene, x, y, z float64) *scene.Scene {
	c := s.Cabinet.Inside()
	mx, my := (c.Min.X+c.Max.X)/2, (c.Min.Y+c.Max.Y)/2
	s.Sump = &scene.Sump{Box: box(mx-x/2, my-y/2, c.Min.Z, mx+x/2, my+y/2, c.Min.Z+z), Glass: 6}
	return s
}

func sumpJob(s *scene.Scene) *passage.Job {
	t := s.Things()[0]
	return passage.JobOf(s, t, t.Groups[0], &s.Cabinet.Openings[0])
}

func TestDecide(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		scene *scene.Scene
		want  verdict.Verdict
		low   float64 // least and, where it is tight, greatest room to be shown
	}{
		{"pushed straight", with(cabinet(700, 500), 600, 300, 400), verdict.OK, 6},
		{"pushed straight with 5 mm on either side", with(cabinet(610, 410), 600, 400, 400), verdict.Tight, 5},
		{"fits exactly, high and deep", with(cabinet(700, 400), 600, 414, 400), verdict.Tight, 0},
		{"tipped over, stood up inside", with(cabinet(700, 330), 600, 300, 400), verdict.OK, 6},
		{"too wide and too high however turned", with(cabinet(330, 550), 400, 350, 340), verdict.No, 0},
		{"does not stand inside", with(cabinet(900, 600), 970, 300, 400), verdict.No, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := sumpJob(c.scene).Decide(t.Context())
			if w.Verdict != c.want {
				t.Fatalf("%v (%v, %q), want %v", w.Verdict, w.Margin, w.Reason, c.want)
			}
			if c.want == verdict.OK && w.Margin.Lo.MM() < c.low-0.011 {
				t.Errorf("shown clear by %v, want at least %v", w.Margin.Lo, c.low)
			}
			if c.want == verdict.Tight && math.Abs(w.Margin.Lo.MM()-c.low) > 0.3 {
				t.Errorf("shown clear by %v, want %v", w.Margin.Lo, c.low)
			}
		})
	}
}

// A way keeps what is wanted also where that is more than anybody looks into.
func TestMuchWanted(t *testing.T) {
	t.Parallel()
	s := with(cabinet(700, 500), 300, 150, 200)
	for _, c := range []struct {
		wanted unit.Length
		want   verdict.Verdict
	}{{40, verdict.OK}, {140, verdict.Tight}} {
		s.Carry = c.wanted
		if w := sumpJob(s).Decide(t.Context()); w.Verdict != c.want {
			t.Errorf("%v mm wanted: %v with %v, want %v", c.wanted.MM(), w.Verdict, w.Margin, c.want)
		}
	}
}

// A rectangle of length l and width w gets round a corner from a corridor x wide
// into one y wide if and only if l is at most the least of
// (x sin θ + y cos θ − w)/(sin θ cos θ): contest problem 2438, Hangzhou Dianzi
// University, "Turn the corner" (Asia regional contest, Harbin, 2008).
func TestRoundTheCorner(t *testing.T) {
	t.Parallel()
	const x, y, w = 500.0, 300.0, 200.0
	longest := math.Inf(1)
	for i := 1; i < 9000; i++ {
		sin, cos := math.Sincos(float64(i) * math.Pi / 18000)
		longest = min(longest, (x*sin+y*cos-w)/(sin*cos))
	}
	decide := func(length float64) passage.Way {
		// The corridors: a front panel as thick as the box is long, and the inside.
		s := &scene.Scene{Units: unit.Millimetres}
		c := &s.Cabinet
		thick := 2 * longest
		c.Width, c.Depth, c.Height = 3018, unit.Length(thick+y+18), 436
		for _, p := range []*scene.Panel{&c.Back, &c.Left, &c.Right, &c.Lid} {
			p.Thickness = 18
		}
		c.Front.Thickness = unit.Length(thick)
		far := thick + 3000.0
		room := unit.Length(far)
		s.Room.Front = &room
		c.Openings = []scene.Opening{{Name: "corridor", Side: scene.Front, Hole: box(18, 0, 0, 18+x, thick, 418)}}
		// As high as the corridors, so that it can only turn about the vertical.
		at := 3000 - length - 40
		s.Sump = &scene.Sump{Box: box(at, thick+y/2-w/2, 0, at+length, thick+y/2+w/2, 416), Glass: 6}
		return sumpJob(s).Decide(t.Context())
	}
	if got := decide(longest * 0.97); !got.Going() {
		t.Errorf("a box of %.0f mm was not found to go round the corner, %.0f do: %v %q", longest*0.97, longest, got.Verdict, got.Reason)
	}
	if got := decide(longest * 1.01); got.Going() {
		t.Errorf("a box of %.0f mm was found to go round the corner, %.0f is the most", longest*1.01, longest)
	}
}

// A way that was found is verified again here, and no scene has both a way and a
// proof that there is none.
func TestNeverBoth(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 14))
	ways, proofs := 0, 0
	scenes := 12
	if all() {
		scenes = 400
	}
	for i := range scenes {
		s := with(cabinet(250+650*r.Float64(), 200+460*r.Float64()), 150+700*r.Float64(), 120+280*r.Float64(), 150+400*r.Float64())
		j := sumpJob(s)
		found, refuted := passage.Both(t.Context(), j)
		if found && refuted {
			t.Errorf("scene %d: a way in and a proof that there is none", i)
		}
		if found {
			ways++
			w := j.Decide(t.Context())
			checkWay(t, j, &w)
		}
		if refuted {
			proofs++
		}
	}
	t.Logf("%d ways and %d proofs in %d scenes", ways, proofs, scenes)
	if ways < scenes/4 || proofs == 0 {
		t.Error("the scenes are lopsided")
	}
}

// checkWay measures a way anew: it starts outside, ends at rest, and keeps what
// it says.
func checkWay(t *testing.T, j *passage.Job, w *passage.Way) {
	t.Helper()
	n := len(w.Path.Poses)
	if w.Path.Poses[n-1] != solid.Rest {
		t.Errorf("the way ends at %v, not at rest", w.Path.Poses[n-1])
	}
	var body, others []solid.Solid
	for _, p := range j.Parts {
		body = append(body, p.Solid)
		if b := p.Solid.Moved(w.Path.Poses[0]).Bounds(); b.Max.Y > 0 {
			t.Errorf("the way starts with %s %v mm in the cabinet", p.Name, b.Max.Y)
		}
	}
	for _, p := range j.Others {
		others = append(others, p.Solid)
	}
	way := solid.Path{Ref: w.Path.Ref, Poses: w.Path.Poses[:n-1]}
	if err := verify.Keeps(body, way, others, w.Margin.Lo.MM()-0.01); err != nil {
		t.Errorf("%v are to be kept: %v", w.Margin.Lo, err)
	}
}

// Shrinking a thing, at the same place, never loses a yes for it.
func TestSmallerGoesToo(t *testing.T) {
	t.Parallel()
	for _, hole := range [][2]float64{{700, 500}, {700, 330}, {550, 610}} {
		big := sumpJob(with(cabinet(hole[0], hole[1]), 600, 300, 400)).Decide(t.Context())
		small := sumpJob(with(cabinet(hole[0], hole[1]), 590, 290, 390)).Decide(t.Context())
		if big.Verdict == verdict.OK && small.Verdict != verdict.OK {
			t.Errorf("through %v: %v, and %v for a smaller sump", hole, big.Verdict, small.Verdict)
		}
	}
}

func TestDoors(t *testing.T) {
	t.Parallel()
	// 940 mm of hole, of which an inset pair at 90° takes 2 x 18; no room to turn.
	s := with(cabinet(940, 410), 930, 400, 400)
	door := &scene.Door{Hinge: scene.HingePair, Thickness: 18, Opens: 90 * unit.Degree}
	s.Cabinet.Openings[0].Door = door
	if w := sumpJob(s).Decide(t.Context()); w.Going() {
		t.Errorf("930 mm went through 904 between the leaves: %v", w.Margin)
	}
	door.LiftsOff = true
	w := sumpJob(s).Decide(t.Context())
	if !w.Going() || !w.DoorOff {
		t.Errorf("with the door off 930 mm go through 940: %v, door off %v", w.Verdict, w.DoorOff)
	}
	door.Opens, door.LiftsOff = 180*unit.Degree, false
	if w := sumpJob(s).Decide(t.Context()); w.Verdict != verdict.Tight {
		t.Errorf("with the leaves right round 930 mm go through 940 with 5 to spare: %v", w.Verdict)
	}
}

// What the plan does not give proves no no.
func TestAssumedProvesNothing(t *testing.T) {
	t.Parallel()
	s := with(cabinet(330, 550), 400, 350, 340)
	if w := sumpJob(s).Decide(t.Context()); w.Verdict != verdict.No {
		t.Fatalf("the measured scene is %v", w.Verdict)
	}
	s = with(cabinet(940, 410), 930, 400, 400)
	s.Cabinet.Openings[0].Door = &scene.Door{
		Hinge: scene.HingePair, Thickness: 18, Opens: 90 * unit.Degree, AssumedThickness: true, AssumedOpens: true,
	}
	if w := sumpJob(s).Decide(t.Context()); w.Verdict != verdict.Unsure {
		t.Errorf("a door nobody measured makes it %v", w.Verdict)
	}
	s = with(cabinet(900, 600), 970, 300, 400)
	s.Sump.Assumed = true
	if w := sumpJob(s).Decide(t.Context()); w.Verdict != verdict.Unsure {
		t.Errorf("a place nobody measured makes it %v", w.Verdict)
	}
}

func TestCheck(t *testing.T) {
	t.Parallel()
	s := with(cabinet(700, 500), 600, 300, 400)
	s.Display = &scene.Display{Box: box(0, 0, 800, 1000, 450, 1300), Glass: 10, Standing: scene.Full}
	s.Equipment = []scene.Equipment{
		{Name: "pump", Kind: "pump", Chamber: 1, Bodies: []scene.Body{{Solid: solid.Box(box(300, 200, 106, 380, 260, 190))}}},
		{Name: "hose", Kind: "hose", Soft: true, Bodies: []scene.Body{{Solid: solid.Box(box(900, 200, 106, 910, 260, 190))}}},
	}
	got := passage.Check(t.Context(), s)
	if len(got.Checks) != 2 || got.Checks[0].ID != "passage/sump" || got.Checks[1].ID != "passage/pump" {
		t.Fatalf("findings %v, want one for the sump and one for the pump; what bends has none", got.Checks)
	}
	for _, f := range got.Checks {
		if f.Verdict != verdict.OK || !strings.Contains(f.Summary, "goes in through doors") || len(f.Motions) != 1 {
			t.Errorf("%s: %v %q", f.ID, f.Verdict, f.Summary)
		}
	}
	if m := got.Checks[0].Motions[0]; len(m.Absent) != 2 {
		t.Errorf("while the sump goes in, what goes in later is away: %v", m.Absent)
	}
	s.Cabinet.Openings[0].BeforeDisplay = true
	got = passage.Check(t.Context(), s)
	if v := got.Checks[0].Verdict; v != verdict.No {
		t.Errorf("a way before the display, and the display stands full: %v", v)
	}
	s.Cabinet.Openings = nil
	got = passage.Check(t.Context(), s)
	if len(got.Checks) != 0 || len(got.LeftOut) != 2 || got.LeftOut[0].Add != "cabinet.openings" {
		t.Errorf("without an opening: %v, left out %v", got.Checks, got.LeftOut)
	}
}

// The same scene seen through an opening in each side gives the same answer.
func TestEverySide(t *testing.T) {
	t.Parallel()
	for _, side := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Top} {
		s := &scene.Scene{Units: unit.Millimetres, Carry: 6}
		c := &s.Cabinet
		c.Width, c.Depth, c.Height = 600, 600, 600
		for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
			p.Thickness = 18
		}
		holes := map[scene.Face]r3.Box{
			scene.Front: box(100, 0, 100, 500, 18, 500), scene.Back: box(100, 582, 100, 500, 600, 500),
			scene.Left: box(0, 100, 100, 18, 500, 500), scene.Right: box(582, 100, 100, 600, 500, 500),
			scene.Top: box(100, 100, 582, 500, 500, 600),
		}
		c.Openings = []scene.Opening{{Name: "hole", Side: side, Hole: holes[side]}}
		with(s, 300, 300, 300)
		j := sumpJob(s)
		w := j.Decide(t.Context())
		if w.Verdict != verdict.OK {
			t.Errorf("%v: 300 mm through 400 is %v %q", side, w.Verdict, w.Reason)
		}
		with(s, 410, 410, 410)
		if w := sumpJob(s).Decide(t.Context()); w.Verdict != verdict.No || w.Proof == "" {
			t.Errorf("%v: a cube of 410 mm through 400 is %v %q", side, w.Verdict, w.Reason)
		}
	}
}

func BenchmarkStraightPush(b *testing.B) {
	j := sumpJob(with(cabinet(700, 500), 600, 300, 400))
	for b.Loop() {
		j.Decide(context.Background())
	}
}

func BenchmarkOneTurn(b *testing.B) {
	j := sumpJob(with(cabinet(700, 330), 600, 300, 400))
	for b.Loop() {
		j.Decide(context.Background())
	}
}

func BenchmarkShownImpossible(b *testing.B) {
	j := sumpJob(with(cabinet(330, 550), 400, 350, 340))
	for b.Loop() {
		j.Decide(context.Background())
	}
}
