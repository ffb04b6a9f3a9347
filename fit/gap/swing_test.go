package gap_test

import (
	"math"
	"strings"
	"testing"

	"undercroft/fit/gap"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// doored is an empty cabinet with an opening at the front, 400 mm wide from
// x 100, and a door of one leaf, 20 mm thick.
func doored(hinge scene.Hinge, opens unit.Angle) *scene.Scene {
	s := empty()
	s.Cabinet.Openings = []scene.Opening{{
		Name: "doors", Side: scene.Front, Hole: extent(100, 0, 110, 500, 20, 710), Tape: s.Tape,
		Door: &scene.Door{Hinge: hinge, Thickness: 20, Opens: opens},
	}}
	return s
}

func TestSwing(t *testing.T) {
	t.Parallel()
	const none = -12345
	overlay := func(s *scene.Scene) *scene.Scene {
		s.Cabinet.Openings[0].Door.Overlay, s.Cabinet.Openings[0].Door.Overlap = true, 15
		return s
	}
	fixture := func(s *scene.Scene, body solid.Solid) *scene.Scene {
		s.Cabinet.Fixtures = []scene.Fixture{{Name: "pipe", Tape: s.Tape, Bodies: []scene.Body{{Solid: body}}}}
		return s
	}
	room := func(s *scene.Scene, r scene.Room) *scene.Scene {
		s.Room = r
		return s
	}
	edit := func(s *scene.Scene, change func(d *scene.Door)) *scene.Scene {
		change(s.Cabinet.Openings[0].Door)
		return s
	}
	// The back of the free edge is the farthest point from the hinge; it comes
	// that far out a little after 90°.
	diagonal, half := math.Hypot(400, 20), math.Hypot(200, 20)
	for name, c := range map[string]struct {
		scene   *scene.Scene
		id      string
		want    verdict.Verdict
		spare   float64
		summary string // part of it
	}{
		"nothing near": {doored(scene.HingeLeft, 90*unit.Degree), "gap/doors door/room", verdict.OK, none, ""},
		"the wall opposite, nearest on the way": {
			room(doored(scene.HingeLeft, 140*unit.Degree), scene.Room{Front: new(unit.Length(430 + diagonal - 400))}),
			"gap/doors door/room", verdict.OK, 30, "opens to 140° with 30 mm to spare from the front wall",
		},
		"the wall opposite, in the way": {
			room(doored(scene.HingeLeft, 140*unit.Degree), scene.Room{Front: new(unit.Length(200))}),
			"gap/doors door/room", verdict.No, 200 - diagonal, "cannot open to 140°: it meets the front wall at 30°",
		},
		"the wall opposite, just missed":    {room(doored(scene.HingeLeft, 140*unit.Degree), scene.Room{Front: new(unit.Length(diagonal + 0.5))}), "gap/doors door/room", verdict.Tight, 0.5, "0.5 mm to spare"},
		"the wall opposite, in the tape":    {room(doored(scene.HingeLeft, 140*unit.Degree), scene.Room{Front: new(unit.Length(diagonal - 0.5))}), "gap/doors door/room", verdict.Unsure, -0.5, "may meet the front wall"},
		"the wall opposite, just touched":   {room(doored(scene.HingeLeft, 140*unit.Degree), scene.Room{Front: new(unit.Length(diagonal))}), "gap/doors door/room", verdict.Tight, 0, "0 mm to spare"},
		"the wall beside, open all the way": {room(doored(scene.HingeLeft, 180*unit.Degree), scene.Room{Left: new(unit.Length(320))}), "gap/doors door/room", verdict.OK, 20, "opens to 180°"},
		"the wall beside, in the way": {
			room(doored(scene.HingeLeft, 180*unit.Degree), scene.Room{Left: new(unit.Length(100))}),
			"gap/doors door/room", verdict.No, -200, "meets the left wall at 120°",
		},
		"the wall beside, not opened that far": {room(doored(scene.HingeLeft, 110*unit.Degree), scene.Room{Left: new(unit.Length(100))}), "gap/doors door/room", verdict.OK, none, ""},
		"the wall beside, hinged away from it": {room(doored(scene.HingeRight, 180*unit.Degree), scene.Room{Left: new(unit.Length(10))}), "gap/doors door/room", verdict.OK, none, ""},
		"a pair, half as wide each":            {room(doored(scene.HingePair, 140*unit.Degree), scene.Room{Front: new(unit.Length(230))}), "gap/doors door/room", verdict.OK, 230 - half, ""},
		"an opening angle that is assumed": {
			edit(room(doored(scene.HingeLeft, 140*unit.Degree), scene.Room{Front: new(unit.Length(200))}), func(d *scene.Door) { d.AssumedOpens = true }),
			"gap/doors door/room", verdict.Unsure, 200 - diagonal, "unless what was assumed is different",
		},
		"a leaf down to the house floor": {
			edit(room(doored(scene.HingeBottom, 90*unit.Degree), scene.Room{}), func(d *scene.Door) { d.Thickness = 100 }),
			"gap/doors door/room", verdict.OK, none, "",
		},
		"an overlay leaf by the house floor, all of the way": {
			edit(overlay(doored(scene.HingeLeft, 90*unit.Degree)), func(d *scene.Door) { d.Overlap = 80 }),
			"gap/doors door/room", verdict.OK, 30, "from the floor",
		},
		"hinged at the bottom": {
			// Let down by 180° it would hang 110 − 600 below the floor; it meets it
			// where its free edge has come down by 110 below the hinge.
			doored(scene.HingeBottom, 180*unit.Degree), "gap/doors door/room", verdict.No, -490, "it meets the floor at 101°",
		},
		"hinged at the top, under a ceiling": {
			room(doored(scene.HingeTop, 170*unit.Degree), scene.Room{Ceiling: new(unit.Length(1320))}),
			"gap/doors door/room", verdict.OK, 1320 - 710 - (600 * math.Cos(10*math.Pi/180)), "from the ceiling",
		},
		"a pipe on the way": {
			// 45° out from the hinge, 300 away; the leaf's front comes by there.
			fixture(doored(scene.HingeLeft, 90*unit.Degree), round(100+300*math.Sqrt2/2, -300*math.Sqrt2/2, 0, 10, 900)),
			"gap/doors door/pipe", verdict.No, none + 1, "cannot open to 90°: it meets pipe",
		},
		"a pipe beyond its reach": {
			fixture(doored(scene.HingeLeft, 90*unit.Degree), round(100+450*math.Sqrt2/2, -450*math.Sqrt2/2, 0, 10, 900)),
			"gap/doors door/pipe", verdict.OK, 440 - diagonal, "",
		},
		"a stile the door closes against": {fixture(doored(scene.HingeLeft, 90*unit.Degree), box(480, 20, 100, 520, 60, 780)), "gap/doors door/pipe", verdict.OK, none, ""},
		"a stile in the hole":             {fixture(doored(scene.HingeLeft, 90*unit.Degree), box(480, 5, 100, 520, 60, 780)), "gap/doors door/pipe", verdict.No, none + 1, "meets pipe at 0°"},
		"an overlay leaf, its reach":      {overlay(room(doored(scene.HingeLeft, 120*unit.Degree), scene.Room{Front: new(unit.Length(500))})), "gap/doors door/room", verdict.OK, none + 1, ""},
		"a slanting view of the pipe": {
			fixture(doored(scene.HingeLeft, 60*unit.Degree), &solid.Ball{Centre: vec(100, -300, 400), Radius: 20}),
			"gap/doors door/pipe", verdict.OK, none, "",
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f, ok := find(gap.Check(c.scene), c.id)
			if !ok {
				if c.spare != none {
					t.Fatalf("no %s", c.id)
				}
				return
			}
			if c.spare == none {
				t.Fatalf("needless finding: %s", f.Summary)
			}
			// Proved to a hundredth of a millimetre.
			if d := spare(t, f); c.spare != none+1 && math.Abs(d-c.spare) > 0.011 {
				t.Errorf("spare %v, want %v: %s", d, c.spare, f.Summary)
			}
			if f.Verdict != c.want {
				t.Errorf("verdict %v, want %v: %s", f.Verdict, c.want, f.Summary)
			}
			if !strings.Contains(f.Summary, c.summary) {
				t.Errorf("summary %q lacks %q", f.Summary, c.summary)
			}
		})
	}
}

// TestSwingAgainstManyAngles compares the proved room, known to a hundredth of
// a millimetre, with that at many angles.
func TestSwingAgainstManyAngles(t *testing.T) {
	t.Parallel()
	const n = 500
	for i := range 40 {
		hinge := []scene.Hinge{scene.HingeLeft, scene.HingeRight, scene.HingePair, scene.HingeTop, scene.HingeBottom}[i%5]
		s := doored(hinge, unit.Angle(100+i)*unit.Degree)
		s.Cabinet.Openings[0].Door.Overlay, s.Cabinet.Openings[0].Door.Overlap = i%2 == 1, 15
		at := vec(100+float64(i*37%500), -150-float64(i*53%300), 100+float64(i*91%700))
		body := solid.Solid(&solid.Ball{Centre: at, Radius: 20})
		if i%3 == 0 {
			body = box(at.X, at.Y, at.Z, at.X+30, at.Y+60, at.Z+90)
		}
		s.Cabinet.Fixtures = []scene.Fixture{{Name: "pipe", Tape: 1, Bodies: []scene.Body{{Solid: body}}}}
		o := &s.Cabinet.Openings[0]
		least := math.Inf(1)
		for k := range n + 1 {
			for _, leaf := range s.Leaves(o, o.Door.Opens*unit.Angle(k)/n) {
				least = min(least, solid.Distance(leaf.Solid, body).Dist)
			}
		}
		f, ok := find(gap.Check(s), "gap/doors door/pipe")
		if !ok {
			if least < 49.9 {
				t.Errorf("door %d: no finding, but %v mm", i, least)
			}
			continue
		}
		// Its picture shows the leaf where that is so.
		if len(f.Instead) != 1 || math.Abs(solid.Distance(f.Instead[0].Solid, body).Dist-spare(t, f)) > 0.01 {
			t.Errorf("door %d: drawn with %v, spare %v", i, f.Instead, spare(t, f))
		}
		// Between two of the angles the leaf moves by at most 700 mm times half of
		// their difference.
		if d := spare(t, f); d > least+0.01 || d < least-700*float64(o.Door.Opens)/n/2-0.01 {
			t.Errorf("door %d: spare %v, at the worst angle %v", i, d, least)
		}
	}
}
