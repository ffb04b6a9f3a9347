package gap_test

import (
	"math"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/gap"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// draw makes a scene of a sump with things in it and beside it. Whole
// millimetres make contacts frequent, but not overlaps of just the tape; where things are to stand on nothing,
// each is a tenth higher than the one before.
func draw(t *rapid.T, stand bool) *scene.Scene {
	mm := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
	const tape = 1.3
	s := empty()
	s.Tape = tape
	sumped(s)
	if rapid.Bool().Draw(t, "open back") {
		s.Cabinet.Back = scene.Panel{Open: true}
	}
	s.Cabinet.Left.Assumed = rapid.Bool().Draw(t, "left wall assumed")
	s.Cabinet.Right.Assumed = s.Cabinet.Left.Assumed
	x := mm(15, 480, "sump x")
	s.Sump.Box.Min.X, s.Sump.Box.Max.X = x, x+500
	if rapid.Bool().Draw(t, "rim") {
		s.Sump.Rim = &scene.Trim{Height: 20, Out: 4, In: 5}
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "things") {
		at := vec(mm(10, 900, "x"), mm(10, 450, "y"), mm(95, 400, "z"))
		if !stand {
			at.Z += 0.1 * float64(i+1)
		}
		size := vec(mm(1, 200, "width"), mm(1, 200, "depth"), mm(1, 300, "height"))
		var body solid.Solid = solid.Box(r3.Box{Min: at, Max: r3.Add(at, size)})
		switch rapid.IntRange(0, 2).Draw(t, "body") {
		case 1:
			body = round(at.X, at.Y, at.Z, size.X/2, size.Z)
		case 2:
			body = &solid.Cylinder{A: at, B: r3.Add(at, size), Radius: 10}
		}
		s.Equipment = append(s.Equipment, scene.Equipment{
			Name: strconv.Itoa(i), Kind: rapid.SampledFrom([]string{"pump", "heater", "hose"}).Draw(t, "kind"),
			Chamber: rapid.IntRange(0, 2).Draw(t, "chamber"), Tape: tape, Bodies: []scene.Body{{Solid: body}},
		})
	}
	s.Cabinet.Openings = []scene.Opening{{
		Name: "doors", Side: scene.Front, Hole: extent(100, 0, 110, 900, 20, 700), Tape: tape,
		Door: &scene.Door{Hinge: rapid.SampledFrom([]scene.Hinge{scene.HingeLeft, scene.HingePair, scene.HingeTop}).Draw(t, "hinge"), Thickness: 20, Opens: 120 * unit.Degree},
	}}
	s.Room = scene.Room{Left: new(unit.Length(mm(100, 800, "left"))), Front: new(unit.Length(mm(300, 900, "front")))}
	return s
}

// mirrored returns s with left and right changed.
func mirrored(s *scene.Scene) *scene.Scene {
	m := *s
	w := s.Cabinet.Width.MM()
	flip := func(v r3.Vec) r3.Vec { return r3.Vec{X: w - v.X, Y: v.Y, Z: v.Z} }
	box := func(b r3.Box) r3.Box {
		b.Min.X, b.Max.X = w-b.Max.X, w-b.Min.X
		return b
	}
	m.Cabinet.Left, m.Cabinet.Right = s.Cabinet.Right, s.Cabinet.Left
	m.Room.Left, m.Room.Right = s.Room.Right, s.Room.Left
	sump := *s.Sump
	sump.Box, sump.Inlet = box(sump.Box), scene.Right
	m.Sump = &sump
	m.Equipment = nil
	for _, e := range s.Equipment {
		bodies := make([]scene.Body, len(e.Bodies))
		for i, b := range e.Bodies {
			switch body := b.Solid.(type) {
			case *solid.Cylinder:
				b.Solid = &solid.Cylinder{A: flip(body.A), B: flip(body.B), Radius: body.Radius}
			case *solid.Polyhedron:
				b.Solid = solid.Box(box(body.Bounds()))
			}
			bodies[i] = b
		}
		e.Bodies = bodies
		m.Equipment = append(m.Equipment, e)
	}
	m.Cabinet.Openings = nil
	for _, o := range s.Cabinet.Openings {
		o.Hole = box(o.Hole)
		door := *o.Door
		if door.Hinge == scene.HingeLeft {
			door.Hinge = scene.HingeRight
		}
		o.Door = &door
		m.Cabinet.Openings = append(m.Cabinet.Openings, o)
	}
	return &m
}

func TestMirrorImage(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := draw(t, true)
		got, want := gap.Check(mirrored(s)), gap.Check(s)
		for _, pair := range [][2]verdict.Findings{{got, want}, {want, got}} {
			for _, f := range pair[0].Checks {
				d := f.Measures[0].Value.(float64)
				g, ok := find(pair[1], f.ID)
				if limit := f.Measures[1].Value.(float64) + gap.Shown.MM(); !ok && d > limit-0.01 {
					continue // rounding decides whether it is shown
				}
				if !ok || f.Verdict != g.Verdict || math.Abs(d-g.Measures[0].Value.(float64)) > 1e-6 {
					t.Errorf("%s is %v, %v in the mirror", f.ID, f, g)
				}
			}
		}
	})
}

// TestShrinking makes one thing smaller within itself: no room may get less.
// Things stand on nothing, since what is smaller may no longer reach it.
func TestShrinking(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := draw(t, false)
		before := gap.Check(s)
		e := &s.Equipment[rapid.IntRange(0, len(s.Equipment)-1).Draw(t, "which")]
		k := rapid.Float64Range(0.1, 1).Draw(t, "to")
		switch body := e.Bodies[0].Solid.(type) {
		case *solid.Cylinder:
			e.Bodies[0].Solid = &solid.Cylinder{A: body.A, B: body.B, Radius: k * body.Radius}
		case *solid.Polyhedron:
			b := body.Bounds()
			b.Max = r3.Add(b.Min, r3.Scale(k, b.Size()))
			e.Bodies[0].Solid = solid.Box(b)
		}
		after := gap.Check(s)
		for _, f := range after.Checks {
			now := f.Measures[0].Value.(float64)
			was := f.Measures[1].Value.(float64) + gap.Shown.MM()
			if g, ok := find(before, f.ID); ok {
				was = g.Measures[0].Value.(float64)
				if worse(f.Verdict, g.Verdict) {
					t.Errorf("%s: with %s smaller it is %v, before %v", f.ID, e.Name, f.Verdict, g.Verdict)
				}
			}
			if now < was-1e-6 {
				t.Errorf("%s: with %s smaller there are %v mm, before %v", f.ID, e.Name, now, was)
			}
		}
	})
}

func worse(a, b verdict.Verdict) bool { return a != b && verdict.Worst(a, b) == a }

func BenchmarkCheck(b *testing.B) {
	s := sumped(empty())
	s.Sump.Rim = &scene.Trim{Height: 20, Out: 4, In: 5}
	inChamber(s, 1, "skimmer", round(220, 250, 110, 70, 300))
	inChamber(s, 1, "heater", round(320, 150, 150, 12, 250))
	inChamber(s, 2, "pump", box(400, 200, 110, 500, 300, 200))
	with(s, "reservoir", box(650, 100, 100, 900, 400, 500))
	with(s, "power", box(930, 100, 500, 980, 300, 600))
	with(s, "pipe", &solid.Cylinder{A: vec(450, 250, 210), B: vec(700, 450, 760), Radius: 16})
	s.Cabinet.Openings = []scene.Opening{{
		Name: "doors", Side: scene.Front, Hole: extent(100, 0, 110, 900, 20, 700), Tape: 1,
		Door: &scene.Door{Hinge: scene.HingePair, Thickness: 20, Opens: 120 * unit.Degree},
	}}
	s.Room = scene.Room{Left: new(unit.Length(130)), Front: new(unit.Length(420))}
	b.ReportAllocs()
	for b.Loop() {
		gap.Check(s)
	}
}
