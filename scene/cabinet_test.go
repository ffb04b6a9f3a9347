package scene_test

import (
	"fmt"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/unit"
)

func TestInside(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		change func(*scene.Cabinet)
		want   r3.Box
	}{
		"all walls":           {func(*scene.Cabinet) {}, in(0.75, 0.75, 4, 41.5, 18.25, 31.25)},
		"no inside bottom":    {func(c *scene.Cabinet) { c.Bottom = nil }, in(0.75, 0.75, 0, 41.5, 18.25, 31.25)},
		"open back and top":   {func(c *scene.Cabinet) { c.Back, c.Lid = scene.Panel{Open: true}, scene.Panel{Open: true} }, in(0.75, 0.75, 4, 41.5, 18.5, 32)},
		"different side wall": {func(c *scene.Cabinet) { c.Right.Thickness = 1.25 * unit.Inch }, in(0.75, 0.75, 4, 41, 18.25, 31.25)},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := landing().Cabinet
			tt.change(&c)
			if got := c.Inside(); !sameBox(got, tt.want, 1e-9) {
				t.Errorf("Inside() = %v, want %v", got, tt.want)
			}
		})
	}
}

// A derived length is the very number that the same length typed in is: 42 1/4
// less two walls of 3/4 is 40 3/4, to the last bit.
func TestInsideIsClean(t *testing.T) {
	t.Parallel()
	b := landing().Cabinet.Inside()
	for _, tt := range []struct {
		got, want float64
	}{{b.Max.X, 1054.1}, {b.Max.Y, 463.55}, {b.Max.Z, 793.75}, {b.Min.Z, 101.6}} {
		if tt.got != tt.want {
			t.Errorf("inside face at %.17g, want %.17g", tt.got, tt.want)
		}
	}
}

func TestPanelsOfOneOpening(t *testing.T) {
	t.Parallel()
	c := landing().Cabinet
	parts := c.Panels()
	want := map[string]r3.Box{
		"cabinet/front left of doors":  in(0, 0, 0, 2.25, 0.75, 31.25),
		"cabinet/front right of doors": in(40, 0, 0, 42.25, 0.75, 31.25),
		"cabinet/front below doors":    in(2.25, 0, 0, 40, 0.75, 4.5),
		"cabinet/front above doors":    in(2.25, 0, 29, 40, 0.75, 31.25),
		"cabinet/back":                 in(0, 18.25, 0, 42.25, 18.5, 31.25),
		"cabinet/left":                 in(0, 0.75, 0, 0.75, 18.25, 31.25),
		"cabinet/right":                in(41.5, 0.75, 0, 42.25, 18.25, 31.25),
		"cabinet/top":                  in(0, 0, 31.25, 42.25, 18.5, 32),
		"cabinet/inside bottom":        in(0.75, 0.75, 3.25, 41.5, 18.25, 4),
	}
	if len(parts) != len(want) {
		t.Errorf("%d panels, want %d", len(parts), len(want))
	}
	for name, box := range want {
		p, ok := find(parts, name)
		switch {
		case !ok:
			t.Errorf("no part %q", name)
		case !sameBox(p.Solid.Bounds(), box, 1e-9):
			t.Errorf("%s = %v, want %v", name, p.Solid.Bounds(), box)
		case p.Sure != p.Solid:
			t.Errorf("%s was measured but is not sure", name)
		}
	}
	outside, hollow := in(0, 0, 0, 42.25, 18.5, 32), c.Inside()
	below := in(0.75, 0.75, 0, 41.5, 18.25, 3.25)
	if got, want := volume(parts), boxVolume(outside)-boxVolume(hollow)-boxVolume(below)-boxVolume(c.Openings[0].Hole); !near(got, want) {
		t.Errorf("panels have %v mm³, want %v: walls less the hole", got, want)
	}
}

// cabinets draws a cabinet in quarters of an inch, with up to three openings
// anywhere in its walls; they may cross each other and the neighbouring walls.
func cabinets(t *rapid.T) scene.Cabinet {
	quarter := func(lo, hi int, name string) unit.Length {
		return unit.Length(rapid.IntRange(lo, hi).Draw(t, name)) * unit.Inch / 4
	}
	wall := func(name string, mayOpen bool) scene.Panel {
		if mayOpen && rapid.Bool().Draw(t, name+" open") {
			return scene.Panel{Open: true}
		}
		return scene.Panel{Thickness: quarter(1, 6, name), Assumed: rapid.Bool().Draw(t, name+" assumed")}
	}
	c := scene.Cabinet{
		Width: quarter(40, 200, "width"), Depth: quarter(40, 100, "depth"), Height: quarter(60, 140, "height"),
		Front: wall("front", false), Back: wall("back", true), Left: wall("left", false), Right: wall("right", false), Lid: wall("lid", true),
	}
	if rapid.Bool().Draw(t, "has bottom") {
		c.Bottom = &scene.InsideBottom{Up: quarter(6, 24, "up"), Thickness: quarter(1, 6, "bottom"), Assumed: rapid.Bool().Draw(t, "bottom assumed")}
	}
	size := [3]float64{c.Width.MM(), c.Depth.MM(), c.Height.MM()}
	for i := range rapid.IntRange(0, 3).Draw(t, "openings") {
		side := rapid.SampledFrom([]scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Top}).Draw(t, "side")
		span := func(axis int) (lo, hi float64) {
			n := int(size[axis] / 6.35)
			a := rapid.IntRange(0, n-1).Draw(t, "from")
			return float64(a) * 6.35, float64(rapid.IntRange(a+1, n).Draw(t, "to")) * 6.35
		}
		var h r3.Box
		h.Min.X, h.Max.X = span(0)
		h.Min.Y, h.Max.Y = span(1)
		h.Min.Z, h.Max.Z = span(2)
		h = through(&c, side, h)
		if h.Min == h.Max {
			continue
		}
		c.Openings = append(c.Openings, scene.Opening{Name: fmt.Sprint("hole ", i), Side: side, Hole: h})
	}
	return c
}

// through returns h with the depth of the wall on side.
func through(c *scene.Cabinet, side scene.Face, h r3.Box) r3.Box {
	switch side {
	case scene.Front:
		h.Min.Y, h.Max.Y = 0, c.Front.Thickness.MM()
	case scene.Back:
		h.Min.Y, h.Max.Y = (c.Depth - c.Back.Thickness).MM(), c.Depth.MM()
	case scene.Left:
		h.Min.X, h.Max.X = 0, c.Left.Thickness.MM()
	case scene.Right:
		h.Min.X, h.Max.X = (c.Width - c.Right.Thickness).MM(), c.Width.MM()
	case scene.Top:
		h.Min.Z, h.Max.Z = (c.Height - c.Lid.Thickness).MM(), c.Height.MM()
	case scene.Bottom:
	}
	return h
}

// material reports whether v is wood by the plain description of a cabinet.
func material(c *scene.Cabinet, v r3.Vec) bool {
	for _, o := range c.Openings {
		if within(o.Hole, v) {
			return false
		}
	}
	x, y, z := unit.Length(v.X), unit.Length(v.Y), unit.Length(v.Z)
	if x < c.Left.Thickness || x > c.Width-c.Right.Thickness || y < c.Front.Thickness || y > c.Depth-c.Back.Thickness || z > c.Height-c.Lid.Thickness {
		return true
	}
	return c.Bottom != nil && z < c.Bottom.Up && z > c.Bottom.Up-c.Bottom.Thickness
}

func within(b r3.Box, v r3.Vec) bool {
	return b.Min.X < v.X && v.X < b.Max.X && b.Min.Y < v.Y && v.Y < b.Max.Y && b.Min.Z < v.Z && v.Z < b.Max.Z
}

// everyPlace calls f with the middle of every cell that the faces of boxes cut
// space into: what holds there holds everywhere.
func everyPlace(boxes []r3.Box, f func(r3.Vec)) {
	var x, y, z []float64
	for _, b := range boxes {
		x, y, z = append(x, b.Min.X, b.Max.X), append(y, b.Min.Y, b.Max.Y), append(z, b.Min.Z, b.Max.Z)
	}
	middles := func(v []float64) []float64 {
		slices.Sort(v)
		var m []float64
		for i := range len(v) - 1 {
			if v[i+1]-v[i] > 1e-6 {
				m = append(m, (v[i]+v[i+1])/2)
			}
		}
		return m
	}
	x, y, z = middles(x), middles(y), middles(z)
	for _, a := range x {
		for _, b := range y {
			for _, c := range z {
				f(r3.Vec{X: a, Y: b, Z: c})
			}
		}
	}
}

func boundsOf(parts []scene.Part) []r3.Box {
	out := make([]r3.Box, len(parts))
	for i, p := range parts {
		out[i] = p.Solid.Bounds()
	}
	return out
}

// Panels and holes tile the walls: each place of a wall is in one panel or in a
// hole, and no other place is in any.
func TestPanelsTileTheWalls(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := cabinets(t)
		parts := c.Panels()
		panels := boundsOf(parts)
		all := append(slices.Clone(panels), c.Inside(), r3.Box{Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM(), Z: c.Height.MM()}})
		for _, o := range c.Openings {
			all = append(all, o.Hole)
		}
		everyPlace(all, func(v r3.Vec) {
			in := 0
			for _, b := range panels {
				if within(b, v) {
					in++
				}
			}
			want := 0
			if material(&c, v) {
				want = 1
			}
			if in != want {
				t.Fatalf("%v is in %d panels, want %d", v, in, want)
			}
		})
		names := map[string]bool{}
		for _, p := range parts {
			if names[p.Name] {
				t.Fatalf("%s stands twice", p.Name)
			}
			names[p.Name] = true
		}
	})
}

// What is sure of a cabinet with walls of assumed thickness is there in every
// cabinet with the same measures, however thick its walls are.
func TestSurePanelsAreThereWhateverTheThickness(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := cabinets(t)
		truth := c
		truth.Openings = slices.Clone(c.Openings)
		for _, w := range []*scene.Panel{&truth.Front, &truth.Back, &truth.Left, &truth.Right, &truth.Lid} {
			if w.Assumed {
				w.Thickness = unit.Length(rapid.IntRange(1, 40).Draw(t, "true thickness")) * unit.Millimetre
			}
		}
		if c.Bottom != nil && c.Bottom.Assumed {
			b := *c.Bottom
			b.Thickness = unit.Length(rapid.IntRange(1, 38).Draw(t, "true bottom")) * unit.Millimetre
			truth.Bottom = &b
		}
		var all []r3.Box
		for i := range truth.Openings {
			o := &truth.Openings[i]
			o.Hole = through(&truth, o.Side, o.Hole)
			all = append(all, o.Hole)
		}
		all = append(all, truth.Inside())
		var sure []r3.Box
		for _, p := range c.Panels() {
			if p.Sure != nil {
				sure = append(sure, p.Sure.Bounds())
			}
		}
		all = append(all, sure...)
		everyPlace(append(all, boundsOf(truth.Panels())...), func(v r3.Vec) {
			for _, b := range sure {
				if within(b, v) && !material(&truth, v) {
					t.Fatalf("%v is sure to be wood but is none", v)
				}
			}
		})
	})
}

func TestSureFaceOfAnAssumedWall(t *testing.T) {
	t.Parallel()
	c := landing().Cabinet
	c.Front.Assumed, c.Back.Assumed, c.Right.Assumed, c.Bottom.Assumed = true, true, true, true
	const s = 1e-3 / 25.4
	for name, want := range map[string]r3.Box{
		"cabinet/front above doors": in(2.25, 0, 29, 40, s, 31.25),
		"cabinet/back":              in(0, 18.5-s, 0, 42.25, 18.5, 31.25),
		"cabinet/right":             in(42.25-s, 0.75, 0, 42.25, 18.25, 31.25),
		"cabinet/inside bottom":     in(0.75, 0.75, 4-s, 41.5, 18.25, 4),
		"cabinet/left":              in(0, 0.75, 0, 0.75, 18.25, 31.25),
	} {
		p, ok := find(c.Panels(), name)
		if !ok || p.Sure == nil {
			t.Errorf("%s: nothing sure", name)
			continue
		}
		if got := p.Sure.Bounds(); !sameBox(got, want, 1e-9) {
			t.Errorf("%s: sure is %v, want %v", name, got, want)
		}
	}
}

// A place hangs on the walls it was measured from.
func TestFixedPlaces(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		assumed []scene.Face
		from    []scene.Face
		want    bool
	}{
		"all measured":                      {nil, []scene.Face{scene.Left, scene.Front}, true},
		"from a measured wall":              {[]scene.Face{scene.Right}, []scene.Face{scene.Left, scene.Front}, true},
		"from an assumed wall":              {[]scene.Face{scene.Right}, []scene.Face{scene.Right, scene.Front}, false},
		"centred between":                   {[]scene.Face{scene.Right}, []scene.Face{scene.Front}, false},
		"centred front to back":             {[]scene.Face{scene.Back}, []scene.Face{scene.Left}, false},
		"from the top":                      {[]scene.Face{scene.Top}, []scene.Face{scene.Left, scene.Front, scene.Top}, false},
		"from the ground":                   {[]scene.Face{scene.Top}, []scene.Face{scene.Left, scene.Front, scene.Bottom}, true},
		"on the ground, which was measured": {[]scene.Face{scene.Top}, []scene.Face{scene.Left, scene.Front}, true},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := landing().Cabinet
			for _, f := range tt.assumed {
				map[scene.Face]*scene.Panel{
					scene.Right: &c.Right, scene.Back: &c.Back, scene.Top: &c.Lid,
				}[f].Assumed = true
			}
			if got := c.Fixed(tt.from); got != tt.want {
				t.Errorf("Fixed(%v) = %v, want %v", tt.from, got, tt.want)
			}
		})
	}
}
