package scene_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// flap is a cabinet of 40 x 20 x 30 in with walls of 3/4 in and one opening
// with a door of 3/4 in: in the front and back from 4 to 34 in, in the sides
// from 4 to 14 in, each from 6 to 24 in up; in the top from 4 to 34 in and from
// 6 to 16 in.
func flap(side scene.Face, hinge scene.Hinge) (*scene.Scene, *scene.Opening) {
	const inch = unit.Inch
	wall := scene.Panel{Thickness: 0.75 * inch}
	hole := map[scene.Face]r3.Box{
		scene.Front: in(4, 0, 6, 34, 0.75, 24),
		scene.Back:  in(4, 19.25, 6, 34, 20, 24),
		scene.Left:  in(0, 4, 6, 0.75, 14, 24),
		scene.Right: in(39.25, 4, 6, 40, 14, 24),
		scene.Top:   in(4, 6, 29.25, 34, 16, 30),
	}[side]
	s := &scene.Scene{Cabinet: scene.Cabinet{
		Width: 40 * inch, Depth: 20 * inch, Height: 30 * inch,
		Front: wall, Back: wall, Left: wall, Right: wall, Lid: wall,
		Openings: []scene.Opening{{Name: "flap", Side: side, Hole: hole, Door: &scene.Door{Hinge: hinge, Thickness: 0.75 * inch, Opens: 90 * unit.Degree}}},
	}}
	return s, &s.Cabinet.Openings[0]
}

func TestLeafPositions(t *testing.T) {
	t.Parallel()
	const overlap = 0.5
	tests := []struct {
		name    string
		side    scene.Face
		hinge   scene.Hinge
		overlay bool
		deg     float64
		want    map[string]r3.Box // box round each leaf, inches
	}{
		{"inset left closed", scene.Front, scene.HingeLeft, false, 0, map[string]r3.Box{"leaf": in(4, 0, 6, 34, 0.75, 24)}},
		{"inset left at 90 eats its thickness", scene.Front, scene.HingeLeft, false, 90, map[string]r3.Box{"leaf": in(4, -30, 6, 4.75, 0, 24)}},
		{"inset left at 180 lies on the face", scene.Front, scene.HingeLeft, false, 180, map[string]r3.Box{"leaf": in(-26, -0.75, 6, 4, 0, 24)}},
		{"inset right at 90", scene.Front, scene.HingeRight, false, 90, map[string]r3.Box{"leaf": in(33.25, -30, 6, 34, 0, 24)}},
		{"inset top at 90", scene.Front, scene.HingeTop, false, 90, map[string]r3.Box{"leaf": in(4, -18, 23.25, 34, 0, 24)}},
		{"inset bottom at 90", scene.Front, scene.HingeBottom, false, 90, map[string]r3.Box{"leaf": in(4, -18, 6, 34, 0, 6.75)}},
		{"inset bottom at 180", scene.Front, scene.HingeBottom, false, 180, map[string]r3.Box{"leaf": in(4, -0.75, -12, 34, 0, 6)}},
		{"inset pair closed", scene.Front, scene.HingePair, false, 0, map[string]r3.Box{
			"left leaf": in(4, 0, 6, 19, 0.75, 24), "right leaf": in(19, 0, 6, 34, 0.75, 24),
		}},
		{"inset pair at 90", scene.Front, scene.HingePair, false, 90, map[string]r3.Box{
			"left leaf": in(4, -15, 6, 4.75, 0, 24), "right leaf": in(33.25, -15, 6, 34, 0, 24),
		}},
		// Opened 10° beyond square, the back of the leaf at its hinge
		// edge still stands 3/4·cos 10° in the way.
		{"inset left at 100", scene.Front, scene.HingeLeft, false, 100, map[string]r3.Box{"leaf": in(
			4-30*math.Sin(10*math.Pi/180), -30*math.Cos(10*math.Pi/180)-0.75*math.Sin(10*math.Pi/180), 6,
			4+0.75*math.Cos(10*math.Pi/180), 0, 24)}},
		{"overlay left closed", scene.Front, scene.HingeLeft, true, 0, map[string]r3.Box{"leaf": in(4-overlap, -0.75, 6-overlap, 34+overlap, 0, 24+overlap)}},
		{"overlay left at 90", scene.Front, scene.HingeLeft, true, 90, map[string]r3.Box{"leaf": in(3.5, -31.75, 5.5, 4.25, -0.75, 24.5)}},
		{"overlay right at 90", scene.Front, scene.HingeRight, true, 90, map[string]r3.Box{"leaf": in(33.75, -31.75, 5.5, 34.5, -0.75, 24.5)}},
		{"overlay left at 180", scene.Front, scene.HingeLeft, true, 180, map[string]r3.Box{"leaf": in(3.5-31, -1.5, 5.5, 3.5, -0.75, 24.5)}},
		{"overlay pair at 90", scene.Front, scene.HingePair, true, 90, map[string]r3.Box{
			"left leaf": in(3.5, -16.25, 5.5, 4.25, -0.75, 24.5), "right leaf": in(33.75, -16.25, 5.5, 34.5, -0.75, 24.5),
		}},
		// Left and right are those of a person who stands before that side.
		{"back, hinged at its left", scene.Back, scene.HingeLeft, false, 90, map[string]r3.Box{"leaf": in(33.25, 20, 6, 34, 50, 24)}},
		{"back, hinged at its right", scene.Back, scene.HingeRight, false, 90, map[string]r3.Box{"leaf": in(4, 20, 6, 4.75, 50, 24)}},
		{"left side, hinged at its left", scene.Left, scene.HingeLeft, false, 90, map[string]r3.Box{"leaf": in(-10, 13.25, 6, 0, 14, 24)}},
		{"right side, hinged at its left", scene.Right, scene.HingeLeft, false, 90, map[string]r3.Box{"leaf": in(40, 4, 6, 50, 4.75, 24)}},
		{"right side overlay, closed", scene.Right, scene.HingeLeft, true, 0, map[string]r3.Box{"leaf": in(40, 3.5, 5.5, 40.75, 14.5, 24.5)}},
		{"lid, hinged at the back", scene.Top, scene.HingeTop, false, 90, map[string]r3.Box{"leaf": in(4, 15.25, 30, 34, 16, 40)}},
		{"lid, hinged at the left", scene.Top, scene.HingeLeft, false, 90, map[string]r3.Box{"leaf": in(4, 6, 30, 4.75, 16, 60)}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s, o := flap(tt.side, tt.hinge)
			o.Door.Overlay = tt.overlay
			if tt.overlay {
				o.Door.Overlap = overlap * unit.Inch
			}
			leaves := s.Leaves(o, unit.Angle(tt.deg)*unit.Degree)
			if len(leaves) != len(tt.want) {
				t.Errorf("%d leaves, want %d", len(leaves), len(tt.want))
			}
			for name, want := range tt.want {
				p, ok := find(leaves, "flap/"+name)
				if !ok {
					t.Errorf("no part flap/%s", name)
					continue
				}
				// A turn rounds at about 1e-13 of half a metre.
				if got := p.Solid.Bounds(); !sameBox(got, want, 1e-9) {
					t.Errorf("%s = %v, want %v", name, got, want)
				}
				if p.Sure == nil || !sameBox(p.Sure.Bounds(), p.Solid.Bounds(), 0) {
					t.Errorf("%s: everything was measured but %v is sure", name, p.Sure)
				}
			}
		})
	}
}

func TestNoDoorNoLeaves(t *testing.T) {
	t.Parallel()
	s, o := flap(scene.Front, scene.HingeLeft)
	o.Door = nil
	if l, h, a := s.Leaves(o, 1), s.Hinges(o), s.DoorAngle(o); l != nil || h != nil || a != 0 {
		t.Errorf("without a door: leaves %v, hinges %v, angle %v", l, h, a)
	}
}

// free returns the narrowest free width of an opening in the front between its
// leaves, from the solids themselves.
func free(s *scene.Scene, o *scene.Opening, at unit.Angle) unit.Length {
	lo, hi := o.Hole.Min.X, o.Hole.Max.X
	for _, p := range s.Leaves(o, at) {
		b := p.Solid.Bounds()
		if o.Door.Hinge == scene.HingeRight || p.Name == o.Name+"/right leaf" {
			hi = min(hi, b.Min.X)
		} else {
			lo = max(lo, b.Max.X)
		}
	}
	return unit.Length(hi - lo)
}

// The angle found from a clear width leaves that width, and is the angle that
// made it.
func TestDoorAngleFromClearWidth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		hinge := rapid.SampledFrom([]scene.Hinge{scene.HingeLeft, scene.HingeRight, scene.HingePair}).Draw(t, "hinge")
		s, o := flap(scene.Front, hinge)
		d := o.Door
		d.Thickness = unit.Length(rapid.IntRange(1, 8).Draw(t, "thickness")) * unit.Inch / 8
		d.Overlay = rapid.Bool().Draw(t, "overlay")
		if d.Overlay {
			d.Overlap = unit.Length(rapid.IntRange(0, 8).Draw(t, "overlap")) * unit.Inch / 8
		}
		made := unit.Angle(rapid.Float64Range(10, 180).Draw(t, "angle")) * unit.Degree
		width := free(s, o, made)
		d.Clear = &width
		found := s.DoorAngle(o)
		// A nanometre of width at the arc's flattest is 1e-4 rad.
		if got := free(s, o, found); math.Abs((got - width).MM()) > 1e-6 {
			t.Fatalf("at %v are %v mm clear, want %v", found, got, width)
		}
		if whole := unit.Length(o.Hole.Max.X - o.Hole.Min.X); width < whole && math.Abs(float64(found-made)) > 1e-4 {
			t.Fatalf("%v mm clear: found %v, made at %v", width, found, made)
		} else if found > made+1e-4 {
			t.Fatalf("%v is not the smallest angle with %v mm clear: so is %v", found, width, made)
		}
	})
}

// A flap hinged at its top leaves its clear height.
func TestDoorAngleOfAFlap(t *testing.T) {
	t.Parallel()
	for _, hinge := range []scene.Hinge{scene.HingeTop, scene.HingeBottom} {
		s, o := flap(scene.Front, hinge)
		const height = 17 * unit.Inch // of 18
		o.Door.Clear = new(height)
		b := s.Leaves(o, s.DoorAngle(o))[0].Solid.Bounds()
		got := b.Min.Z - o.Hole.Min.Z
		if hinge == scene.HingeBottom {
			got = o.Hole.Max.Z - b.Max.Z
		}
		if math.Abs(got-height.MM()) > 1e-9 {
			t.Errorf("hinge %v: %v mm clear, want %v", hinge, got, height)
		}
	}
}

func TestSureLeaves(t *testing.T) {
	t.Parallel()
	inch := unit.Inch
	tests := map[string]struct {
		change func(*scene.Door)
		at     unit.Angle
		sure   bool
		volume float64 // in³, of what is sure
	}{
		"all measured, closed":                  {func(*scene.Door) {}, 0, true, 30 * 18 * 0.75},
		"all measured, open":                    {func(*scene.Door) {}, 90 * unit.Degree, true, 30 * 18 * 0.75},
		"opening angle assumed, closed":         {func(d *scene.Door) { d.AssumedOpens = true }, 0, true, 30 * 18 * 0.75},
		"opening angle assumed, open":           {func(d *scene.Door) { d.AssumedOpens = true }, 90 * unit.Degree, false, 0},
		"thickness assumed, closed":             {func(d *scene.Door) { d.AssumedThickness = true }, 0, true, 30 * 18 * 1e-3 / 25.4},
		"thickness assumed, open":               {func(d *scene.Door) { d.AssumedThickness = true }, 90 * unit.Degree, true, 30 * 18 * 1e-3 / 25.4},
		"overlay thickness assumed, closed":     {func(d *scene.Door) { d.AssumedThickness, d.Overlay = true, true }, 0, true, 30 * 18 * 1e-3 / 25.4},
		"overlay thickness assumed, open":       {func(d *scene.Door) { d.AssumedThickness, d.Overlay = true, true }, 90 * unit.Degree, false, 0},
		"clear width":                           {func(d *scene.Door) { d.Clear = new(29 * inch) }, 1.5, true, 30 * 18 * 0.75},
		"clear width, opens assumed":            {func(d *scene.Door) { d.Clear, d.AssumedOpens = new(29*inch), true }, 1.5, true, 30 * 18 * 0.75},
		"clear width, thickness assumed":        {func(d *scene.Door) { d.Clear, d.AssumedThickness = new(29*inch), true }, 1.5, false, 0},
		"clear width that the hinges may make":  {func(d *scene.Door) { d.Clear, d.Hinges = new(29*inch), &scene.HingeHardware{SticksIn: 1 * inch} }, 1.5, false, 0},
		"clear width narrower than the hinges":  {func(d *scene.Door) { d.Clear, d.Hinges = new(29*inch), &scene.HingeHardware{SticksIn: 0.5 * inch} }, 1.5, true, 30 * 18 * 0.75},
		"overlay out of the way, angle unknown": {func(d *scene.Door) { d.Clear, d.Overlay = new(30*inch), true }, 1.5, false, 0},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, o := flap(scene.Front, scene.HingeLeft)
			tt.change(o.Door)
			p := s.Leaves(o, tt.at)[0]
			if (p.Sure != nil) != tt.sure {
				t.Fatalf("sure is %v, want something: %v", p.Sure, tt.sure)
			}
			if p.Sure == nil {
				return
			}
			// A sliver's volume is off by the rounding of a micrometre at a metre.
			if got := p.Sure.Volume() / (25.4 * 25.4 * 25.4); math.Abs(got-tt.volume) > 1e-6*tt.volume {
				t.Errorf("%v in³ are sure, want %v", got, tt.volume)
			}
			if !holds(p.Solid, p.Sure) {
				t.Error("what is sure is not within the leaf")
			}
		})
	}
}

// holds reports whether every corner of b lies within a, both polyhedra with
// flat faces, to a millionth of a millimetre.
func holds(a, b solid.Solid) bool {
	for _, f := range a.Faces() {
		n := r3.Unit(r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0])))
		if r3.Dot(n, r3.Sub(b.Support(n), f[0])) > 1e-6 {
			return false
		}
	}
	return true
}

func TestHinges(t *testing.T) {
	t.Parallel()
	inch := unit.Inch
	cup := &scene.HingeHardware{Kind: "cup", Up: []unit.Length{3 * inch, 15 * inch}, Tall: 2 * inch, SticksIn: 0.5 * inch}
	tests := map[string]struct {
		side  scene.Face
		hinge scene.Hinge
		want  map[string]r3.Box
	}{
		"left": {scene.Front, scene.HingeLeft, map[string]r3.Box{
			"leaf hinge 1": in(4, 0, 8, 4.5, 0.75, 10), "leaf hinge 2": in(4, 0, 20, 4.5, 0.75, 22),
		}},
		"top": {scene.Front, scene.HingeTop, map[string]r3.Box{
			"leaf hinge 1": in(6, 0, 23.5, 8, 0.75, 24), "leaf hinge 2": in(18, 0, 23.5, 20, 0.75, 24),
		}},
		"bottom, on the back": {scene.Back, scene.HingeBottom, map[string]r3.Box{
			"leaf hinge 1": in(30, 19.25, 6, 32, 20, 6.5), "leaf hinge 2": in(18, 19.25, 6, 20, 20, 6.5),
		}},
		"pair": {scene.Front, scene.HingePair, map[string]r3.Box{
			"left leaf hinge 1": in(4, 0, 8, 4.5, 0.75, 10), "left leaf hinge 2": in(4, 0, 20, 4.5, 0.75, 22),
			"right leaf hinge 1": in(33.5, 0, 8, 34, 0.75, 10), "right leaf hinge 2": in(33.5, 0, 20, 34, 0.75, 22),
		}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, o := flap(tt.side, tt.hinge)
			o.Door.Hinges = cup
			got := s.Hinges(o)
			if len(got) != len(tt.want) {
				t.Errorf("%d hinges, want %d", len(got), len(tt.want))
			}
			for name, want := range tt.want {
				p, ok := find(got, "flap/"+name)
				if !ok || !sameBox(p.Solid.Bounds(), want, 1e-9) {
					t.Errorf("%s: %v, want %v", name, p.Solid, want)
				}
				if p.Role != scene.RoleHinge || p.Of != "flap" || p.Sure == nil {
					t.Errorf("%s: role %v of %q, sure %v", name, p.Role, p.Of, p.Sure)
				}
			}
		})
	}
}
