package gap_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/gap"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func extent(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: vec(x0, y0, z0), Max: vec(x1, y1, z1)}
}

func box(x0, y0, z0, x1, y1, z1 float64) solid.Solid {
	return solid.Box(extent(x0, y0, z0, x1, y1, z1))
}

// round is an upright round with its lower end's middle at x, y, z.
func round(x, y, z, radius, height float64) solid.Solid {
	return &solid.Cylinder{A: vec(x, y, z), B: vec(x, y, z+height), Radius: radius}
}

// empty is a closed cabinet, 1000 x 500 x 800 mm outside with walls of 20 mm and
// its bottom 100 mm up: 960 x 460 x 680 mm inside. 6 mm are wanted, 25 round a
// heater, and the tape is good to 1 mm.
func empty() *scene.Scene {
	wall := scene.Panel{Thickness: 20}
	return &scene.Scene{
		Units: unit.Millimetres,
		Tape:  1,
		Cabinet: scene.Cabinet{
			Width: 1000, Depth: 500, Height: 800,
			Front: wall, Back: wall, Left: wall, Right: wall, Lid: wall,
			Bottom: &scene.InsideBottom{Up: 100, Thickness: 20},
		},
		Gaps: scene.Gaps{Default: 6, ByKind: map[string]unit.Length{"heater": 25}},
	}
}

// with puts things of one body each into s.
func with(s *scene.Scene, kind string, bodies ...solid.Solid) *scene.Scene {
	for _, b := range bodies {
		name := string(rune('a' + len(s.Equipment)))
		s.Equipment = append(s.Equipment, scene.Equipment{Name: name, Kind: kind, Tape: s.Tape, Bodies: []scene.Body{{Solid: b}}})
	}
	return s
}

// sumped puts a sump of two chambers into s: 500 x 300 x 400 mm of 10 mm glass
// from x 100, y 100, its baffle 10 mm thick, 210 mm high and 240 mm from the
// left inside, so that its chambers are 240 and 230 mm long.
func sumped(s *scene.Scene) *scene.Scene {
	s.Sump = &scene.Sump{
		Box: extent(100, 100, 100, 600, 400, 500), Glass: 10, Inlet: scene.Left, Tape: s.Tape,
		Baffles: []scene.Baffle{{At: 240, Top: 210, Thickness: 10}},
	}
	return s
}

// inChamber puts a thing into a chamber of s.
func inChamber(s *scene.Scene, number int, kind string, body solid.Solid) *scene.Scene {
	with(s, kind, body)
	s.Equipment[len(s.Equipment)-1].Chamber = number
	return s
}

// find returns the finding of that id.
func find(fs verdict.Findings, id string) (verdict.Finding, bool) {
	for _, f := range fs.Checks {
		if f.ID == id {
			return f, true
		}
	}
	return verdict.Finding{}, false
}

// spare returns the first measure of a finding.
func spare(t *testing.T, f verdict.Finding) float64 {
	t.Helper()
	if len(f.Measures) < 2 || f.Measures[0].Key != "spare_mm" || f.Measures[1].Key != "wanted_mm" {
		t.Fatalf("%s: measures %v", f.ID, f.Measures)
	}
	v, ok := f.Measures[0].Value.(float64)
	if !ok {
		t.Fatalf("%s: spare is a %T", f.ID, f.Measures[0].Value)
	}
	return v
}

func TestCheck(t *testing.T) {
	t.Parallel()
	const none = -12345 // no such finding is wanted
	openBack := func(s *scene.Scene) *scene.Scene {
		s.Cabinet.Back = scene.Panel{Open: true}
		return s
	}
	door := func(s *scene.Scene) *scene.Scene {
		s.Cabinet.Openings = []scene.Opening{{
			Name: "doors", Side: scene.Front, Hole: extent(100, 0, 110, 900, 20, 700), Tape: 1,
			Door: &scene.Door{
				Hinge: scene.HingePair, Thickness: 20, Opens: 90 * unit.Degree,
				Hinges: &scene.HingeHardware{Kind: "cup", Up: []unit.Length{100}, Tall: 60, SticksIn: 15},
			},
		}}
		return s
	}
	edit := func(s *scene.Scene, change func(s *scene.Scene)) *scene.Scene {
		change(s)
		return s
	}
	for name, c := range map[string]struct {
		scene  *scene.Scene
		id     string
		want   verdict.Verdict
		spare  float64
		wanted float64
	}{
		// Things among themselves.
		"two boxes": {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(310, 200, 100, 400, 300, 200)), "gap/a/b", verdict.OK, 10, 6},
		"corner to corner": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(303, 304, 100, 400, 400, 200)), "gap/a/b", verdict.Tight, 5, 6,
		},
		"two rounds": {with(empty(), "pump", round(200, 200, 100, 40, 90), round(260, 280, 100, 30, 50)), "gap/a/b", verdict.OK, 30, 6},
		"round beside a box, leaning away": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 400), &solid.Cylinder{A: vec(350, 250, 120), B: vec(450, 250, 220), Radius: 10 * math.Sqrt2}),
			"gap/a/b", verdict.OK, 40, 6,
		},
		"more wanted round a heater": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(320, 200, 100, 400, 300, 200)), func(s *scene.Scene) {
				s.Equipment[1].Kind = "heater"
			}), "gap/a/b", verdict.Tight, 20, 25,
		},
		"just what is wanted":  {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(306, 200, 100, 400, 300, 200)), "gap/a/b", verdict.OK, 6, 6},
		"a tenth too little":   {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(305.9, 200, 100, 400, 300, 200)), "gap/a/b", verdict.Tight, 5.9, 6},
		"touching":             {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(300, 200, 100, 400, 300, 200)), "gap/a/b", verdict.Tight, 0, 6},
		"overlap in the tape":  {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(299, 200, 100, 400, 300, 200)), "gap/a/b", verdict.Unsure, -1, 6},
		"overlap over it":      {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(298.9, 200, 100, 400, 300, 200)), "gap/a/b", verdict.No, -1.1, 6},
		"one inside the other": {with(empty(), "box", box(200, 200, 100, 300, 300, 200), round(250, 250, 120, 20, 100)), "gap/a/b", verdict.No, -70, 6},
		"the worse tape of two": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(297, 200, 100, 400, 300, 200)), func(s *scene.Scene) {
				s.Equipment[1].Tape = 4
			}), "gap/a/b", verdict.Unsure, -3, 6,
		},
		"a tape worse than what is wanted": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(307, 200, 100, 400, 300, 200)), func(s *scene.Scene) {
				s.Equipment[0].Tape = 8
			}), "gap/a/b", verdict.Tight, 7, 6,
		},
		"nothing wanted and a perfect tape, touching": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(300, 200, 100, 400, 300, 200)), func(s *scene.Scene) {
				s.Gaps.Default, s.Tape, s.Equipment[0].Tape, s.Equipment[1].Tape = 0, 0, 0, 0
			}), "gap/a/b", verdict.OK, 0, 0,
		},
		"far apart":               {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(357, 200, 100, 400, 300, 200)), "gap/a/b", verdict.OK, none, 6},
		"near enough to say so":   {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(355, 200, 100, 400, 300, 200)), "gap/a/b", verdict.OK, 55, 6},
		"one on the other":        {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(250, 200, 200, 400, 300, 250)), "gap/a/b", verdict.OK, none, 6},
		"one sunk into the other": {with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(250, 200, 195, 400, 300, 250)), "gap/a/b", verdict.No, -5, 6},
		"touching but for rounding": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(299.9999, 200, 100, 400, 300, 200)), "gap/a/b", verdict.Tight, 0, 6,
		},
		"one at the other's height, beside it": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(303, 200, 200, 400, 300, 250)), "gap/a/b", verdict.Tight, 3, 6,
		},
		"standing on the other and sunk into it": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(200, 200, 200, 250, 300, 250)), func(s *scene.Scene) {
				s.Equipment[1].Bodies = append(s.Equipment[1].Bodies, scene.Body{Name: "foot", Solid: box(250, 200, 190, 300, 300, 250)})
			}), "gap/a/b", verdict.No, -10, 6,
		},
		"more overlap by a default than is sure": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(250, 200, 100, 400, 300, 200)), func(s *scene.Scene) {
				s.Equipment[1].Bodies[0].Assumed = true
				s.Equipment[1].Bodies = append(s.Equipment[1].Bodies, scene.Body{Name: "foot", Solid: box(290, 200, 100, 400, 300, 200)})
			}), "gap/a/b", verdict.No, -50, 6,
		},
		"touching on purpose":              {edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(300, 200, 100, 400, 300, 200)), func(s *scene.Scene) { s.Equipment[1].On = []string{"a"} }), "gap/a/b", verdict.OK, none, 6},
		"touched on purpose":               {edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(300, 200, 100, 400, 300, 200)), func(s *scene.Scene) { s.Equipment[0].On = []string{"b"} }), "gap/a/b", verdict.OK, none, 6},
		"a place that hangs on a default":  {edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(250, 200, 100, 400, 300, 200)), func(s *scene.Scene) { s.Equipment[1].Bodies[0].Assumed = true }), "gap/a/b", verdict.Unsure, -50, 6},
		"well apart, hanging on a default": {edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(320, 200, 100, 400, 300, 200)), func(s *scene.Scene) { s.Equipment[1].Bodies[0].Assumed = true }), "gap/a/b", verdict.OK, 20, 6},

		// The cabinet.
		"beside a wall":  {with(empty(), "box", box(30, 200, 100, 300, 300, 200)), "gap/a/cabinet", verdict.OK, 10, 6},
		"near a wall":    {with(empty(), "box", box(200, 477, 100, 300, 479, 200)), "gap/a/cabinet", verdict.Tight, 1, 6},
		"into a wall":    {with(empty(), "box", box(200, 200, 100, 990, 300, 200)), "gap/a/cabinet", verdict.No, -10, 6},
		"under the top":  {with(empty(), "box", box(200, 200, 100, 300, 300, 775)), "gap/a/cabinet", verdict.Tight, 5, 6},
		"too tall":       {with(empty(), "box", box(200, 200, 100, 300, 300, 782)), "gap/a/cabinet", verdict.No, -2, 6},
		"in the bottom":  {with(empty(), "box", box(200, 200, 98, 300, 300, 200)), "gap/a/cabinet", verdict.No, -2, 6},
		"held off a bit": {with(empty(), "box", box(200, 200, 104, 300, 300, 200)), "gap/a/cabinet", verdict.Tight, 4, 6},
		"on a thing that stands near the bottom": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 103), box(200, 200, 103, 300, 300, 200)), "gap/b/cabinet", verdict.OK, none, 6,
		},
		"on the house floor": {
			edit(with(empty(), "box", box(200, 200, 0, 300, 300, 200)), func(s *scene.Scene) { s.Cabinet.Bottom = nil }),
			"gap/a/cabinet", verdict.OK, none, 6,
		},
		"in the house floor": {
			edit(with(empty(), "box", box(200, 200, -3, 300, 300, 200)), func(s *scene.Scene) { s.Cabinet.Bottom = nil }),
			"gap/a/cabinet", verdict.No, -3, 6,
		},
		"on a wall on purpose": {
			edit(with(empty(), "power", box(20, 200, 300, 60, 300, 500)), func(s *scene.Scene) { s.Equipment[0].On = []string{"left wall"} }),
			"gap/a/cabinet", verdict.OK, none, 6,
		},
		"into a wall of assumed thickness": {
			edit(with(empty(), "box", box(200, 200, 100, 990, 300, 200)), func(s *scene.Scene) { s.Cabinet.Right.Assumed = true }),
			"gap/a/cabinet", verdict.Unsure, -10, 6,
		},
		"through a wall of assumed thickness": {
			edit(with(empty(), "box", box(200, 200, 100, 1005, 300, 200)), func(s *scene.Scene) { s.Cabinet.Right.Assumed = true }),
			"gap/a/cabinet", verdict.No, -25, 6,
		},
		"out of an open back":        {openBack(with(empty(), "box", box(200, 300, 100, 300, 512, 200))), "gap/a/cabinet", verdict.No, -12, 6},
		"out of it within the tape":  {openBack(with(empty(), "box", box(200, 300, 100, 300, 501, 200))), "gap/a/cabinet", verdict.Unsure, -1, 6},
		"up to the end of it":        {openBack(with(empty(), "box", box(200, 300, 100, 300, 500, 200))), "gap/a/cabinet", verdict.OK, none, 6},
		"beside the cabinet":         {with(empty(), "box", box(1200, 200, 100, 1300, 300, 200)), "gap/a/cabinet", verdict.No, -300, 6},
		"a pipe out of an open back": {openBack(with(empty(), "pipe", &solid.Cylinder{A: vec(500, 300, 300), B: vec(500, 900, 300), Radius: 16})), "gap/a/cabinet", verdict.OK, none, 6},

		// Fixtures, doors, display.
		"beside a fixture": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 200)), func(s *scene.Scene) {
				s.Cabinet.Fixtures = []scene.Fixture{{Name: "stub", Tape: 1, Bodies: []scene.Body{{Solid: round(330, 250, 150, 20, 300)}}}}
			}), "gap/a/stub", verdict.OK, 10, 6,
		},
		"on a shelf": {
			edit(with(empty(), "box", box(200, 200, 150, 300, 300, 200)), func(s *scene.Scene) {
				s.Cabinet.Fixtures = []scene.Fixture{{Name: "shelf", Tape: 1, Bodies: []scene.Body{{Solid: box(100, 100, 140, 500, 400, 150)}}}}
			}), "gap/a/shelf", verdict.OK, none, 6,
		},
		"in a shelf measured badly": {
			edit(with(empty(), "box", box(200, 200, 147, 300, 300, 200)), func(s *scene.Scene) {
				s.Cabinet.Fixtures = []scene.Fixture{{Name: "shelf", Tape: 5, Bodies: []scene.Body{{Solid: box(100, 100, 140, 500, 400, 150)}}}}
			}), "gap/a/shelf", verdict.Unsure, -3, 6,
		},
		"behind the closed door":     {door(with(empty(), "box", box(200, 24, 130, 300, 300, 200))), "gap/a/doors", verdict.Tight, 4, 6},
		"door cannot close":          {door(with(empty(), "box", box(200, 15, 130, 300, 300, 200))), "gap/a/doors", verdict.No, -5, 6},
		"beside a hinge in the hole": {door(with(empty(), "box", box(118, 15, 190, 300, 300, 230))), "gap/a/doors", verdict.No, -5, 6},
		"through an open top": {
			edit(with(empty(), "box", box(200, 200, 100, 300, 300, 797)), func(s *scene.Scene) {
				s.Cabinet.Lid = scene.Panel{Open: true}
				s.Display = &scene.Display{Box: extent(0, 0, 800, 1000, 500, 1300), Glass: 10}
			}), "gap/a/display", verdict.Tight, 3, 6,
		},

		"a pipe through the display's bottom": {
			edit(with(empty(), "pipe", round(500, 250, 100, 16, 750)), func(s *scene.Scene) {
				s.Cabinet.Lid = scene.Panel{Open: true}
				s.Display = &scene.Display{Box: extent(0, 0, 800, 1000, 500, 1300), Glass: 10}
			}), "gap/a/display", verdict.OK, none, 6,
		},

		// The sump.
		"sump near a wall":        {edit(sumped(empty()), func(s *scene.Scene) { s.Sump.Box.Min.X = 24 }), "gap/sump/cabinet", verdict.Tight, 4, 6},
		"sump larger than inside": {edit(sumped(empty()), func(s *scene.Scene) { s.Sump.Box = extent(20, 100, 100, 983, 400, 500) }), "gap/sump/cabinet", verdict.No, -3, 6},
		"sump with its rim in a wall": {
			edit(sumped(empty()), func(s *scene.Scene) {
				s.Sump.Box.Min.X, s.Sump.Rim = 22, &scene.Trim{Height: 20, Out: 5, In: 5}
			}), "gap/sump/cabinet", verdict.No, -3, 6,
		},
		"sump on a mat":   {edit(sumped(empty()), func(s *scene.Scene) { s.Sump.Under, s.Sump.Box.Min.Z = 5, 105 }), "gap/sump/cabinet", verdict.OK, none, 6},
		"sump on nothing": {edit(sumped(empty()), func(s *scene.Scene) { s.Sump.Box.Min.Z = 105 }), "gap/sump/cabinet", verdict.Tight, 5, 6},
		"sump at an assumed place": {
			edit(sumped(empty()), func(s *scene.Scene) { s.Sump.Box, s.Sump.Assumed = extent(20, 100, 100, 983, 400, 500), true }),
			"gap/sump/cabinet", verdict.Unsure, -3, 6,
		},
		"thing beside the sump": {with(sumped(empty()), "box", box(608, 100, 100, 700, 200, 300)), "gap/sump/a", verdict.OK, 8, 6},
		"thing in a chamber":    {inChamber(sumped(empty()), 1, "pump", round(200, 250, 110, 80, 100)), "gap/sump/a", verdict.OK, 10, 6},
		"thing near the baffle": {inChamber(sumped(empty()), 1, "heater", round(329, 250, 110, 10, 100)), "gap/sump/a", verdict.Tight, 11, 25},
		"thing in the baffle":   {inChamber(sumped(empty()), 1, "pump", box(200, 200, 110, 355, 300, 300)), "gap/sump/a", verdict.No, -5, 6},
		"thing over the baffle": {inChamber(sumped(empty()), 1, "skimmer", box(200, 200, 320, 500, 300, 600)), "gap/sump/a", verdict.OK, none, 6},
		"thing close over it":   {inChamber(sumped(empty()), 1, "skimmer", box(200, 200, 324, 500, 300, 600)), "gap/sump/a", verdict.Tight, 4, 6},
		"thing in the next chamber": {
			inChamber(sumped(empty()), 1, "pump", box(400, 200, 110, 500, 300, 200)), "gap/sump/a", verdict.No, -150, 6,
		},
		"thing beside the sump it belongs in": {
			inChamber(sumped(empty()), 2, "pump", box(650, 200, 110, 700, 300, 200)), "gap/sump/a", verdict.No, -110, 6,
		},
		"a default between it and its chamber": {
			edit(inChamber(sumped(empty()), 1, "pump", box(400, 200, 110, 500, 300, 200)), func(s *scene.Scene) { s.Sump.GlassAssumed = true }),
			"gap/sump/a", verdict.Unsure, -150, 6,
		},
		"behind a baffle of assumed thickness": {
			edit(inChamber(sumped(empty()), 2, "pump", box(355, 200, 110, 500, 300, 200)), func(s *scene.Scene) { s.Sump.Baffles[0].Assumed = true }),
			"gap/sump/a", verdict.Unsure, -5, 6,
		},
		"hanging on the rim": {
			edit(inChamber(sumped(empty()), 1, "holder", box(90, 200, 400, 200, 300, 550)), func(s *scene.Scene) { s.Equipment[0].On = []string{"rim of sump"} }),
			"gap/sump/a", verdict.OK, none, 6,
		},
		"a hose out of the sump": {inChamber(sumped(empty()), 1, "hose", &solid.Cylinder{A: vec(450, 250, 200), B: vec(470, 250, 760), Radius: 10}), "gap/sump/a", verdict.OK, none, 6},
		"thing in the sump, its glass near the wall": {
			edit(inChamber(sumped(empty()), 1, "heater", box(34, 200, 110, 50, 300, 200)), func(s *scene.Scene) { s.Sump.Box.Min.X = 22 }),
			"gap/a/cabinet", verdict.OK, none, 25,
		},
		"thing in the sump, taller than its glass": {
			edit(inChamber(sumped(empty()), 1, "heater", box(34, 200, 110, 50, 300, 600)), func(s *scene.Scene) { s.Sump.Box.Min.X = 22 }),
			"gap/a/cabinet", verdict.Tight, 14, 25,
		},
		"two chambers apart, through the baffle": {
			inChamber(inChamber(sumped(empty()), 1, "pump", box(200, 200, 110, 340, 300, 200)), 2, "pump", box(370, 200, 110, 400, 300, 200)),
			"gap/a/b", verdict.OK, 30, 6,
		},
		"brace over a thing": {
			edit(inChamber(sumped(empty()), 1, "pump", box(200, 200, 110, 300, 300, 485)), func(s *scene.Scene) {
				s.Sump.Braces = []scene.Brace{{At: 100, Width: 50, Thickness: 10}}
			}), "gap/sump/a", verdict.Tight, 5, 6,
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := gap.Check(c.scene)
			f, ok := find(got, c.id)
			if !ok {
				if c.spare != none {
					t.Fatalf("no %s among %v", c.id, got.Checks)
				}
				return
			}
			if c.spare == none {
				t.Fatalf("needless finding: %s", f.Summary)
			}
			if d := spare(t, f); math.Abs(d-c.spare) > 1e-6 {
				t.Errorf("spare %v, want %v: %s", d, c.spare, f.Summary)
			}
			if w := f.Measures[1].Value; w != c.wanted {
				t.Errorf("wanted %v, want %v", w, c.wanted)
			}
			if f.Verdict != c.want {
				t.Errorf("verdict %v, want %v: %s", f.Verdict, c.want, f.Summary)
			}
			if len(f.Marks) != 1 || len(f.Marks[0].Parts) != 2 || f.Marks[0].Label == "" {
				t.Fatalf("marks %+v", f.Marks)
			}
			if m := f.Marks[0]; math.Abs(r3.Norm(r3.Sub(m.To, m.From))-math.Abs(c.spare)) > verdict.Contact.MM() {
				t.Errorf("mark from %v to %v is not %v long", m.From, m.To, c.spare)
			}
			if f.Summary == "" || f.Again == "" || math.IsNaN(f.Room) || f.Room < 0 {
				t.Errorf("summary %q, again %q, room %v", f.Summary, f.Again, f.Room)
			}
		})
	}
}

// TestWhatIsNotLookedAt has fixtures in each other and in the walls, and a
// display in the top: no affair of things at rest.
func TestWhatIsNotLookedAt(t *testing.T) {
	t.Parallel()
	s := empty()
	s.Cabinet.Fixtures = []scene.Fixture{
		{Name: "stile", Bodies: []scene.Body{{Solid: box(480, -5, 50, 520, 40, 790)}}},
		{Name: "rail", Bodies: []scene.Body{{Solid: box(0, 20, 400, 1000, 60, 440)}}},
	}
	s.Display = &scene.Display{Box: extent(0, 0, 790, 1000, 500, 1300), Glass: 10}
	if got := gap.Check(s); len(got.Checks) != 0 {
		t.Errorf("findings about nothing that was asked: %v", got.Checks)
	}
}

// TestOrder holds the order of findings: things as in the plan, the sump first,
// each with what it is near.
func TestOrder(t *testing.T) {
	t.Parallel()
	s := sumped(with(empty(), "box", box(608, 100, 100, 700, 200, 300), box(708, 100, 100, 960, 200, 300)))
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "stub", Bodies: []scene.Body{{Solid: box(600, 210, 200, 720, 230, 300)}}}}
	s.Cabinet.Openings = []scene.Opening{{
		Name: "hatch", Side: scene.Right, Hole: extent(980, 50, 110, 1000, 450, 700),
		Door: &scene.Door{Hinge: scene.HingeLeft, Thickness: 20, Opens: 90 * unit.Degree},
	}}
	s.Room.Right = new(unit.Length(430))
	var ids []string
	for _, f := range gap.Check(s).Checks {
		ids = append(ids, f.ID)
	}
	want := []string{
		"gap/sump/a", "gap/sump/stub", "gap/a/b", "gap/a/stub", "gap/b/stub", "gap/b/cabinet", "gap/b/hatch", "gap/hatch door/room",
	}
	if !slices.Equal(ids, want) {
		t.Errorf("got  %q\nwant %q", ids, want)
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	inch := func(s *scene.Scene) *scene.Scene {
		s.Units = unit.Inches
		return s
	}
	assuming := func(s *scene.Scene) *scene.Scene {
		s.Cabinet.Right.Assumed, s.Gaps.DefaultAssumed = true, true
		s.Assumed = []scene.Assumption{
			{Key: "cabinet.wall", Text: "cabinet right 20 mm thick"},
			{Key: "gaps.default", Text: "6 mm wanted between things at rest"},
			{Key: "carry", Text: "6 mm wanted on the way"},
		}
		return s
	}
	guessing := func(s *scene.Scene) *scene.Scene {
		s.Gaps.DefaultAssumed = true
		s.Assumed = []scene.Assumption{{Key: "tape", Text: "measured within 1 mm"}, {Key: "gaps.default", Text: "6 mm wanted"}}
		return s
	}
	parts := with(empty(), "skimmer", box(200, 200, 100, 300, 300, 200))
	parts.Equipment[0].Bodies = append(parts.Equipment[0].Bodies, scene.Body{Name: "cup", Solid: box(180, 200, 200, 320, 300, 300)})
	with(parts, "box", box(325, 200, 100, 400, 300, 300))
	for name, c := range map[string]struct {
		scene              *scene.Scene
		id, summary, again string
		room               float64
		assumed            []string
	}{
		"ok": {
			inch(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(312.7, 200, 100, 400, 300, 200))),
			"gap/a/b", "1/2 in between a and b, 1/4 in wanted",
			"measure again left to right between a and b: 17/64 in less is no longer ok", 6.7, nil,
		},
		"tight": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(200, 302, 100, 400, 400, 200)),
			"gap/a/b", "2 mm between a and b, 6 mm wanted",
			"measure again front to back between a and b: 4 mm more makes it ok", 2, nil,
		},
		"touching": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(300, 200, 100, 400, 300, 200)),
			"gap/a/b", "a and b touch, 6 mm wanted",
			"measure again left to right between a and b: 6 mm more makes it ok", 0, nil,
		},
		"no": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 790)),
			"gap/a/cabinet", "a and the cabinet's top overlap by 10 mm",
			"measure again up and down between a and the cabinet's top: 10 mm more makes it go", 9, nil,
		},
		"unsure by the tape": {
			with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(299.5, 200, 100, 400, 300, 200)),
			"gap/a/b", "a and b overlap by 0.5 mm, no more than a measurement may be off (1 mm)",
			"measure again left to right between a and b: 0.5 mm more makes it go", 0.5, nil,
		},
		"unsure by a default": {
			assuming(with(empty(), "box", box(200, 200, 100, 985, 300, 200))),
			"gap/a/cabinet", "a and the cabinet's right wall overlap by 5 mm, unless what was assumed is different",
			"measure again left to right between a and the cabinet's right wall: 5 mm more makes it go", 0,
			[]string{"cabinet right 20 mm thick", "6 mm wanted between things at rest"},
		},
		"ok by a default": {
			guessing(with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(306, 200, 100, 400, 300, 200))),
			"gap/a/b", "6 mm between a and b, 6 mm wanted",
			"measure again left to right between a and b: any less is no longer ok", 0,
			[]string{"6 mm wanted"},
		},
		"tight by what is asked for": {
			guessing(with(empty(), "heater", box(200, 200, 100, 300, 300, 200), box(310, 200, 100, 400, 300, 200))),
			"gap/a/b", "10 mm between a and b, 25 mm wanted",
			"measure again left to right between a and b: 15 mm more makes it ok", 10, nil,
		},
		"no with a tape that is assumed": {
			guessing(with(empty(), "heater", box(200, 200, 100, 300, 300, 200), box(290, 200, 100, 400, 300, 200))),
			"gap/a/b", "a and b overlap by 10 mm",
			"measure again left to right between a and b: 10 mm more makes it go", 9,
			[]string{"measured within 1 mm"},
		},
		"a part by its name": {
			parts, "gap/a/b", "5 mm between a (cup) and b, 6 mm wanted",
			"measure again left to right between a (cup) and b: 1 mm more makes it ok", 1, nil,
		},
		"out of the chamber": {
			inChamber(sumped(empty()), 1, "pump", box(400, 200, 110, 500, 300, 200)),
			"gap/sump/a", "a sticks out of chamber 1 by 150 mm",
			"measure again left to right between the sump's baffle 1 and a: 150 mm more makes it go", 149, nil,
		},
		"out of the cabinet": {
			with(empty(), "box", box(1200, 200, 100, 1300, 300, 200)),
			"gap/a/cabinet", "a sticks out of the cabinet by 300 mm",
			"measure again left to right between a and the cabinet's right wall: 300 mm more makes it go", 299, nil,
		},
		"sump from outside": {
			with(sumped(empty()), "box", box(603, 100, 100, 700, 200, 300)),
			"gap/sump/a", "3 mm between the sump and a, 6 mm wanted",
			"measure again left to right between the sump and a: 3 mm more makes it ok", 3, nil,
		},
		"a tape worse than what is wanted": {
			func() *scene.Scene {
				s := with(empty(), "box", box(200, 200, 100, 300, 300, 200), box(307, 200, 100, 400, 300, 200))
				s.Equipment[0].Tape = 8
				return s
			}(), "gap/a/b", "7 mm between a and b, 6 mm wanted; a measurement may be off by 8 mm",
			"measure again left to right between a and b: 1 mm more makes it ok", 1, nil,
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f, ok := find(gap.Check(c.scene), c.id)
			if !ok {
				t.Fatalf("no %s", c.id)
			}
			if f.Summary != c.summary {
				t.Errorf("summary\n     %s\nwant %s", f.Summary, c.summary)
			}
			if f.Again != c.again {
				t.Errorf("again\n     %s\nwant %s", f.Again, c.again)
			}
			if math.Abs(f.Room-c.room) > 1e-6 {
				t.Errorf("room %v, want %v", f.Room, c.room)
			}
			if !slices.Equal(f.Assumed, c.assumed) {
				t.Errorf("assumed %q, want %q", f.Assumed, c.assumed)
			}
			for _, word := range []string{"leaf", "bracket", "pose", "certificate", " air"} {
				if strings.Contains(f.Summary+f.Again, word) {
					t.Errorf("a hobbyist reads %q in %q, %q", word, f.Summary, f.Again)
				}
			}
		})
	}
}
