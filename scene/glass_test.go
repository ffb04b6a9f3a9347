package scene_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/unit"
)

func TestPanesAreOutsideLessInside(t *testing.T) {
	t.Parallel()
	s := landing()
	for name, tt := range map[string]struct {
		panes           []scene.Part
		outside, inside r3.Box
	}{
		"display": {s.Display.Panes(), s.Display.Box, s.Display.Inside()},
		"sump":    {(&scene.Sump{Box: s.Sump.Box, Glass: s.Sump.Glass}).Panes(), s.Sump.Box, s.Sump.Inside()},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if len(tt.panes) != 5 {
				t.Errorf("%d panes, want 5", len(tt.panes))
			}
			if got, want := volume(tt.panes), boxVolume(tt.outside)-boxVolume(tt.inside); !near(got, want) {
				t.Errorf("glass of %v mm³, want %v", got, want)
			}
			if a, b, bad := overlapping(tt.panes); bad {
				t.Errorf("%s and %s overlap", a, b)
			}
		})
	}
}

func TestInsideOfTanks(t *testing.T) {
	t.Parallel()
	s := landing()
	if got, want := s.Display.Inside(), in(0.5, 0.625, 32.375, 41.75, 17.875, 52); !sameBox(got, want, 1e-9) {
		t.Errorf("display inside %v, want %v", got, want)
	}
	want := s.Sump.Box
	want.Min = r3.Add(want.Min, r3.Vec{X: 6, Y: 6, Z: 6})
	want.Max = r3.Sub(want.Max, r3.Vec{X: 6, Y: 6})
	if got := s.Sump.Inside(); !sameBox(got, want, 1e-6) {
		t.Errorf("sump inside %v, want %v", got, want)
	}
}

func TestContents(t *testing.T) {
	t.Parallel()
	parts := landing().Display.Contents()
	for name, want := range map[string]r3.Box{
		"display/sand":  in(0.5, 0.625, 32.375, 41.75, 17.875, 33.875),
		"display/water": in(0.5, 0.625, 33.875, 41.75, 17.875, 50.5),
	} {
		if p, ok := find(parts, name); !ok || !sameBox(p.Solid.Bounds(), want, 1e-9) {
			t.Errorf("%s = %v, want %v", name, p.Solid, want)
		}
	}
	empty := &scene.Display{Box: in(0, 0, 0, 10, 10, 10), Glass: 6}
	if got := empty.Contents(); got != nil {
		t.Errorf("an empty display holds %v", got)
	}
}

// sumps draws a sump with baffles, braces, rim and foot, water coming in at any
// end; lengths in mm.
func sumps(t *rapid.T) *scene.Sump {
	mm := func(lo, hi int, name string) unit.Length {
		return unit.Length(rapid.IntRange(lo, hi).Draw(t, name))
	}
	s := &scene.Sump{
		Glass:        mm(3, 12, "glass"),
		Inlet:        rapid.SampledFrom([]scene.Face{scene.Left, scene.Right, scene.Front, scene.Back}).Draw(t, "inlet"),
		GlassAssumed: rapid.Bool().Draw(t, "glass assumed"),
		Assumed:      rapid.Bool().Draw(t, "place assumed"),
	}
	s.Box.Min = r3.Vec{X: mm(0, 300, "x").MM(), Y: mm(0, 300, "y").MM(), Z: mm(0, 150, "z").MM()}
	s.Box.Max = r3.Add(s.Box.Min, r3.Vec{X: mm(200, 900, "width").MM(), Y: mm(200, 500, "depth").MM(), Z: mm(250, 500, "height").MM()})
	at := unit.Length(0)
	for range rapid.IntRange(0, 4).Draw(t, "baffles") {
		f := scene.Baffle{At: at + mm(10, 120, "at"), Top: mm(100, 220, "top"), Thickness: mm(3, 10, "thickness"), Assumed: rapid.Bool().Draw(t, "assumed")}
		if rapid.Bool().Draw(t, "raised") {
			f.Gap = mm(5, 50, "gap")
		}
		at = f.At + f.Thickness
		if at >= s.Length() {
			break
		}
		s.Baffles = append(s.Baffles, f)
	}
	if rapid.Bool().Draw(t, "has brace") {
		at := mm(0, 60, "brace at")
		s.Braces = []scene.Brace{{At: at, Width: mm(20, 80, "brace wide"), Thickness: mm(3, 10, "brace thick"), Assumed: rapid.Bool().Draw(t, "assumed")}}
	}
	if rapid.Bool().Draw(t, "has rim") {
		s.Rim = &scene.Trim{Height: mm(5, 40, "rim"), Out: mm(0, 5, "out"), In: mm(0, 10, "in"), Beyond: mm(0, 15, "above"), Assumed: rapid.Bool().Draw(t, "assumed")}
	}
	if rapid.Bool().Draw(t, "has foot") {
		s.Foot = &scene.Trim{Height: mm(5, 40, "foot"), Out: mm(0, 5, "foot out"), Beyond: mm(0, 15, "below"), Assumed: rapid.Bool().Draw(t, "assumed")}
	}
	return s
}

// No two parts of a sump overlap, none leaves what is carried, every part has
// a name of its own, and what is sure of it is within it.
func TestSumpParts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := sumps(rt)
		parts := s.Panes()
		if a, b, bad := overlapping(parts); bad {
			rt.Fatalf("%s and %s overlap", a, b)
		}
		names := map[string]bool{}
		for _, p := range append(parts, s.Carried()...) {
			if names[p.Name] {
				rt.Fatalf("%s stands twice", p.Name)
			}
			names[p.Name] = true
			if p.Of != "sump" {
				rt.Fatalf("%s is of %q", p.Name, p.Of)
			}
			if p.Sure != nil && !holds(p.Solid, p.Sure) {
				rt.Fatalf("%s: more is sure than there is", p.Name)
			}
			if t := trimOf(s, p); t != nil && t.Assumed && p.Sure != nil && p.Sure.Volume() > 1.01e-3*p.Solid.Volume()/t.Height.MM() {
				// Of an assumed trim a face at most is sure: a sliver of its height.
				rt.Fatalf("%s: %v mm³ sure of a trim that is assumed", p.Name, p.Sure.Volume())
			}
			if s.Assumed && p.Sure != nil {
				rt.Fatalf("%s is sure at a place that is assumed", p.Name)
			}
			kept := false
			for _, c := range s.Carried() {
				kept = kept || holds(c.Solid, p.Solid)
			}
			if !kept {
				rt.Fatalf("%s reaches out of what is carried", p.Name)
			}
		}
	})
}

// trimOf returns the trim that p is a piece of, or nil.
func trimOf(s *scene.Sump, p scene.Part) *scene.Trim {
	switch {
	case strings.HasPrefix(p.Name, "sump/rim"):
		return s.Rim
	case strings.HasPrefix(p.Name, "sump/foot"):
		return s.Foot
	}
	return nil
}

// What the rim adds is a ring outside and one inside the glass, less what
// braces and baffles take of it.
func TestRimVolume(t *testing.T) {
	t.Parallel()
	s := landing().Sump
	plain := volume(s.Panes())
	bare := *s
	bare.Rim = nil
	b, i, h := s.Box, s.Inside(), 25.4
	w, d := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
	iw, id := i.Max.X-i.Min.X, i.Max.Y-i.Min.Y
	const out, in = 25.4 / 8, 25.4 / 4
	want := h * ((w+2*out)*(d+2*out) - w*d + iw*id - (iw-2*in)*(id-2*in))
	if got := plain - volume(bare.Panes()); !near(got, want) {
		t.Errorf("the rim has %v mm³, want %v", got, want)
	}
	// Above the glass the rim is one ring from its outer to its inner edge; a
	// foot lies round and under the panes.
	over := *s
	over.Rim = new(*s.Rim)
	over.Rim.Beyond = 5
	over.Foot = &scene.Trim{Height: 20, Out: 3, Beyond: 2}
	want = 5*((w+2*out)*(d+2*out)-(iw-2*in)*(id-2*in)) + 22*(w+6)*(d+6) - 20*w*d - 2*iw*id
	if got := volume(over.Panes()) - plain; !near(got, want) {
		t.Errorf("the rim above the glass and the foot have %v mm³, want %v", got, want)
	}
	// A brace as wide as 2 in and thinner than the rim takes its ends from the
	// rim inside.
	s.Braces = []scene.Brace{{At: 5 * unit.Inch, Width: 2 * unit.Inch, Thickness: 6}}
	want = 2 * 25.4 * 6 * (id - 2*in)
	if got := volume(s.Panes()) - plain; !near(got, want) {
		t.Errorf("a brace adds %v mm³, want %v", got, want)
	}
}

func TestCarried(t *testing.T) {
	t.Parallel()
	s := landing().Sump
	s.Foot = &scene.Trim{Height: 0.75 * unit.Inch, Out: 0.25 * unit.Inch}
	s.GlassAssumed = true
	for name, want := range map[string]r3.Box{
		"sump/outside": in(4.875, 2.375, 4, 32.875, 15.375, 19.5),
		"sump/rim":     in(4.75, 2.25, 18.5, 33, 15.5, 19.5),
		"sump/foot":    in(4.625, 2.125, 4, 33.125, 15.625, 4.75),
	} {
		p, ok := find(s.Carried(), name)
		if !ok || !sameBox(p.Solid.Bounds(), want, 1e-6) {
			t.Errorf("%s = %v, want %v", name, p.Solid, want)
		}
		if p.Sure != p.Solid {
			t.Errorf("%s: its outside was measured but is not sure", name)
		}
	}
}

func TestSureGlass(t *testing.T) {
	t.Parallel()
	s := landing().Sump
	s.Baffles[1].Assumed = true
	const s3 = 1e-3
	p, _ := find(s.Panes(), "sump/baffle 2")
	if got, b := p.Sure.Bounds(), p.Solid.Bounds(); math.Abs(got.Min.X-b.Min.X) > 1e-9 || math.Abs(got.Max.X-b.Min.X-s3) > 1e-9 {
		t.Errorf("baffle of assumed thickness: %v sure of %v, want the face toward the inlet", got, b)
	}
	s.GlassAssumed = true
	for _, p := range s.Panes() {
		switch p.Role {
		case scene.RoleGlass:
			if v, area := p.Sure.Volume(), p.Solid.Volume()/6; math.Abs(v-s3*area) > 1e-6*v {
				t.Errorf("%s of assumed thickness: %v mm³ sure, want its outside face", p.Name, v)
			}
			if out := s.Box; !within(out, p.Solid.Centroid()) || within(r3.Box{Min: r3.Add(out.Min, r3.Vec{X: 1, Y: 1, Z: 1}), Max: r3.Sub(out.Max, r3.Vec{X: 1, Y: 1, Z: -1})}, p.Sure.Centroid()) {
				t.Errorf("%s: what is sure is not its outside face", p.Name)
			}
		case scene.RoleBaffle:
			if p.Sure != nil {
				t.Errorf("%s is sure, measured from glass of assumed thickness", p.Name)
			}
		case scene.RoleTrim, scene.RolePanel, scene.RoleLeaf, scene.RoleHinge, scene.RoleFixture,
			scene.RoleEquipment, scene.RoleRoom, scene.RoleWater, scene.RoleSand, scene.RoleArm:
		}
	}
}

// The same sump is read alike from whichever end the water comes.
func TestSpaces(t *testing.T) {
	t.Parallel()
	const inch = unit.Inch
	type space struct {
		number   int
		from, to float64 // mm
	}
	half := (28*inch - 12).MM() // inside length
	tests := map[string]struct {
		baffles []scene.Baffle
		want    []space
	}{
		"no baffles": {nil, []space{{1, 0, half}}},
		"bubble trap": {landing().Sump.Baffles, []space{
			{1, 0, 406.4}, {0, 412.4, 444.5}, {0, 450.5, 482.6}, {2, 488.6, half},
		}},
		"given out of order": {[]scene.Baffle{landing().Sump.Baffles[2], landing().Sump.Baffles[0], landing().Sump.Baffles[1]}, []space{
			{1, 0, 406.4}, {0, 412.4, 444.5}, {0, 450.5, 482.6}, {2, 488.6, half},
		}},
		"narrow but between standing baffles": {[]scene.Baffle{{At: 300, Top: 200, Thickness: 6}, {At: 340, Top: 190, Thickness: 6}}, []space{
			{1, 0, 300}, {2, 306, 340}, {3, 346, half},
		}},
		"75 mm beside a raised baffle": {[]scene.Baffle{{At: 300, Top: 200, Thickness: 6}, {At: 381, Top: 250, Gap: 30, Thickness: 6}}, []space{
			{1, 0, 300}, {2, 306, 381}, {3, 387, half},
		}},
		"74 mm beside a raised baffle": {[]scene.Baffle{{At: 300, Top: 200, Thickness: 6}, {At: 380, Top: 250, Gap: 30, Thickness: 6}}, []space{
			{1, 0, 300}, {0, 306, 380}, {2, 386, half},
		}},
	}
	for name, tt := range tests {
		for _, inlet := range []scene.Face{scene.Left, scene.Right, scene.Front, scene.Back} {
			t.Run(fmt.Sprint(name, " from the ", inlet), func(t *testing.T) {
				t.Parallel()
				s := landing().Sump
				if inlet == scene.Front || inlet == scene.Back {
					s.Box = in(0, 0, 0, 13, 28, 15.5)
				}
				s.Inlet, s.Baffles = inlet, tt.baffles
				got := s.Spaces()
				if len(got) != len(tt.want) {
					t.Fatalf("%d spaces, want %d", len(got), len(tt.want))
				}
				inside := s.Inside()
				for i, w := range tt.want {
					sp := got[i]
					if sp.Number != w.number || !near(sp.From.MM(), w.from) || !near(sp.To.MM(), w.to) {
						t.Errorf("space %d: number %d from %v to %v, want %+v", i, sp.Number, sp.From, sp.To, w)
					}
					box := inside
					switch inlet {
					case scene.Left:
						box.Min.X, box.Max.X = inside.Min.X+w.from, inside.Min.X+w.to
					case scene.Right:
						box.Min.X, box.Max.X = inside.Max.X-w.to, inside.Max.X-w.from
					case scene.Front:
						box.Min.Y, box.Max.Y = inside.Min.Y+w.from, inside.Min.Y+w.to
					case scene.Back:
						box.Min.Y, box.Max.Y = inside.Max.Y-w.to, inside.Max.Y-w.from
					case scene.Top, scene.Bottom:
					}
					if !sameBox(sp.Box, box, 1e-6) {
						t.Errorf("space %d = %v, want %v", i, sp.Box, box)
					}
					if (sp.In == nil) != (i == 0) || (sp.Out == nil) != (i == len(got)-1) {
						t.Errorf("space %d: baffles %v and %v at its ends", i, sp.In, sp.Out)
					}
					if w.number > 0 {
						if c, ok := s.Chamber(w.number); !ok || c.Box != sp.Box {
							t.Errorf("Chamber(%d) = %v, %v", w.number, c.Box, ok)
						}
					}
				}
			})
		}
	}
}

func TestNoSuchChamber(t *testing.T) {
	t.Parallel()
	for _, n := range []int{-1, 0, 3} {
		if c, ok := landing().Sump.Chamber(n); ok {
			t.Errorf("Chamber(%d) = %v, want none: the sump has two", n, c)
		}
	}
}

// Baffles stand where they were measured: from the inside of the inlet end.
func TestBaffles(t *testing.T) {
	t.Parallel()
	s := landing().Sump
	s.Inlet = scene.Right
	p, ok := find(s.Panes(), "sump/baffle 2")
	in := s.Inside()
	want := in
	want.Max.X = in.Max.X - 444.5
	want.Min.X = want.Max.X - 6
	want.Min.Z, want.Max.Z = in.Min.Z+31.75, in.Min.Z+304.8
	if !ok || !sameBox(p.Solid.Bounds(), want, 1e-6) {
		t.Errorf("baffle 2 = %v, want %v", p.Solid, want)
	}
	if p.Role != scene.RoleBaffle {
		t.Errorf("baffle 2 has role %v", p.Role)
	}
}
