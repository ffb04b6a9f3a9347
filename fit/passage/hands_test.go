package passage_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// long is a cabinet 1400 mm wide with a hole in its right side, through which a sump of
// some length goes in to 100 mm from the left side: with its leading end farther inside
// than an arm is long.
func long(length float64) *scene.Scene {
	s := &scene.Scene{Units: unit.Millimetres, Carry: 6, Fingers: 19}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = 1400, 450, 800
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = 18
	}
	c.Bottom = &scene.InsideBottom{Up: 100, Thickness: 18}
	c.Openings = []scene.Opening{{Name: "end hole", Side: scene.Right, Hole: box(1382, 25, 101, 1400, 425, 600)}}
	s.Sump = &scene.Sump{Box: box(118, 75, 100, 118+length, 375, 400), Glass: 6}
	return s
}

// besides is another opening of the long cabinet.
func besides(o scene.Opening) func(*scene.Scene) {
	return func(s *scene.Scene) { s.Cabinet.Openings = append(s.Cabinet.Openings, o) }
}

// front is a hole in the front from x0 to x1, and so high.
func front(name string, x0, x1, high float64) scene.Opening {
	return scene.Opening{Name: name, Side: scene.Front, Hole: box(x0, 0, 150, x1, 18, 150+high)}
}

// hands returns where the hands are as the sump goes in through the end hole: from before
// the cabinet's right side, so far over the bottom, turned by so many degrees until it is in.
// First it goes in by part of its way, is lifted by 5 mm, and goes on.
func hands(t *testing.T, s *scene.Scene, over, turned float64) []string {
	t.Helper()
	b := s.Sump.Box
	c := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	out := 1500 - b.Min.X
	at := func(x, y, z, degrees float64) solid.Pose {
		p := solid.About(c, solid.Turned(r3.Vec{Z: 1}, degrees*math.Pi/180))
		p.Shift = r3.Add(p.Shift, r3.Vec{X: x, Y: y, Z: z})
		return p
	}
	part := 100 + 0.4*(b.Max.X-b.Min.X)
	path := solid.Path{Ref: c, Poses: []solid.Pose{
		at(out, -500, over, turned), at(out, 0, over, turned), at(out-part, 0, over, turned), at(out-part, 0, over+5, turned),
		at(0, 0, over+5, turned), at(0, 0, over+5, 0), solid.Rest,
	}}
	w := sumpJob(s).Along(path, false)
	if !w.Going() {
		t.Fatalf("the way does not keep clear")
	}
	return passage.Hands(s, &w)
}

func TestHands(t *testing.T) {
	t.Parallel()
	const (
		outside = "hands at both ends, outside"
		held    = "hold it by its right end, outside"
		until   = "hold it by its right end until that is in, then both hands inside"
		strap   = "; no way was found for a hand to the leading end: hang it in a strap"
		fingers = "both hands inside"
	)
	helper := func(name string) string { return "; needs a helper at " + name + ", who holds the leading end" }
	wide := front("front hole", 50, 700, 500)
	left := scene.Opening{Name: "left hole", Side: scene.Left, Hole: box(0, 25, 101, 18, 425, 600)}
	door := func(opens float64) scene.Opening {
		o := front("door", 50, 1350, 500)
		o.Door = &scene.Door{Hinge: scene.HingeRight, Thickness: 18, Opens: unit.Degree * unit.Angle(opens)}
		return o
	}
	display := func(s *scene.Scene) {
		s.Display = &scene.Display{Box: box(0, 0, 800, 1400, 450, 1300), Glass: 10, Standing: scene.Full}
	}
	hatch := func(s *scene.Scene) {
		o := wide
		o.BeforeDisplay = true
		besides(o)(s)
	}
	room := func(mm unit.Length) func(*scene.Scene) {
		return func(s *scene.Scene) { s.Room.Front = &mm }
	}
	const lifted, rests = 100, 8
	// within makes the sump short, and its place within an arm's length of the end hole,
	// which is so high.
	within := func(high float64) func(*scene.Scene) {
		return func(s *scene.Scene) {
			s.Sump.Box.Min.X, s.Sump.Box.Max.X = 870, 1350
			s.Cabinet.Openings[0].Hole.Max.Z = s.Cabinet.Openings[0].Hole.Min.Z + high
		}
	}
	thick := func(s *scene.Scene) { s.Fingers = 150 }
	for _, c := range []struct {
		name   string
		length float64
		over   float64 // the bottom, that it is carried
		with   []func(*scene.Scene)
		want   []string // of: slide back, slide in by part, lift, slide in, lower
	}{
		{"what a hand goes round", 140, lifted, nil, []string{outside, held, "", fingers, ""}},
		{"a hand in over it", 480, lifted, []func(*scene.Scene){within(640)}, []string{outside, held, "", "hold it by its right end, one hand in beside it at the leading end, until that is in, then both hands inside", fingers}},
		{"no room for a hand over it", 480, lifted, []func(*scene.Scene){within(500)}, []string{outside, held, "", until + strap, fingers}},
		{"no room to let go of it", 1000, rests, []func(*scene.Scene){thick}, []string{outside, held, "", until, "no room for fingers at two opposite sides: let it down with straps, or slide it the last bit"}},

		{"slid along the bottom", 1000, rests, nil, []string{outside, held, "", until, fingers}},
		{"carried, with nobody to help", 1000, lifted, nil, []string{outside, held, "", until + strap, fingers + strap}},
		{"carried, with a hole beside the leading end", 1000, lifted, []func(*scene.Scene){besides(wide)}, []string{outside, held, "", until + helper("front hole"), fingers + helper("front hole")}},
		{"carried, with a hole too far from it", 1000, lifted, []func(*scene.Scene){besides(front("front hole", 1150, 1300, 500))}, []string{outside, held, "", until + strap, fingers + strap}},
		{"carried, with too small a hole", 1000, lifted, []func(*scene.Scene){besides(front("front hole", 50, 700, 120))}, []string{outside, held, "", until + strap, fingers + strap}},
		{"carried, with a hole that the leading end comes near later", 1000, lifted, []func(*scene.Scene){besides(left)}, []string{outside, held, "", until + strap, fingers + helper("left hole")}},
		{"a door that a wall keeps from opening", 1000, lifted, []func(*scene.Scene){besides(door(90)), room(1200)}, []string{outside, held, "", until + strap, fingers + strap}},
		{"the nearer of two holes", 1000, lifted, []func(*scene.Scene){besides(front("low hole", 500, 1000, 500)), besides(wide)}, []string{outside, held, "", until + helper("front hole"), fingers + helper("front hole")}},
		{"no room to stand before it", 1000, lifted, []func(*scene.Scene){besides(wide), room(450)}, []string{outside, held, "", until + strap, fingers + strap}},
		{"room to stand before it", 1000, lifted, []func(*scene.Scene){besides(wide), room(1200)}, []string{outside, held, "", until + helper("front hole"), fingers + helper("front hole")}},
		{"a way only before the display", 1000, lifted, []func(*scene.Scene){hatch, display}, []string{outside, held, "", until + strap, fingers + strap}},
		{"such a way, and no display", 1000, lifted, []func(*scene.Scene){hatch}, []string{outside, held, "", until + helper("front hole"), fingers + helper("front hole")}},
		{"a door that is open meanwhile", 1000, lifted, []func(*scene.Scene){besides(door(90)), room(2000)}, []string{outside, held, "", until + helper("door"), fingers + helper("door")}},
		{"a door that open is in the way", 1000, lifted, []func(*scene.Scene){besides(door(180)), room(2000)}, []string{outside, held, "", until + strap, fingers + strap}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := long(c.length)
			for _, change := range c.with {
				change(s)
			}
			if got := hands(t, s, c.over, 0); !slices.Equal(got, c.want) {
				t.Errorf("hands\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

// Of what is turned on its way it is said which end that will be.
func TestEndsOfWhatIsTurned(t *testing.T) {
	t.Parallel()
	got := hands(t, long(1000), 8, 2)
	if want := "hold it by what will be its right end, outside"; got[1] != want {
		t.Errorf("%q, want %q", got[1], want)
	}
	s := long(280)
	s.Sump.Box.Min.Y, s.Sump.Box.Max.Y = 97, 353
	got = hands(t, s, 8, -90)
	if want := "hold it by what will be its back, outside"; got[1] != want {
		t.Errorf("%q, want %q", got[1], want)
	}
}

// What is let down through the top hangs from the hands above it, as far as these reach.
func TestHandsFromAbove(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		high unit.Length // of the cabinet
		want string
	}{
		{800, "hold it by its top until that is in, then both hands inside"},
		{1300, "hold it by its top until that is in, then both hands inside; no way was found for a hand to the leading end: hang it in a strap"},
	} {
		s := long(400)
		s.Cabinet.Height = c.high
		top := c.high.MM()
		s.Cabinet.Openings[0] = scene.Opening{Name: "top", Side: scene.Top, Hole: box(50, 30, top-18, 700, 420, top)}
		at := func(x, z float64) solid.Pose { return solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Vec{X: x, Z: z}} }
		b := s.Sump.Box
		path := solid.Path{Ref: r3.Scale(0.5, r3.Add(b.Min, b.Max)), Poses: []solid.Pose{at(20, top), at(20, 10), at(0, 10), solid.Rest}}
		w := sumpJob(s).Along(path, false)
		if !w.Going() {
			t.Fatal("the way does not keep clear")
		}
		if got := passage.Hands(s, &w); got[0] != c.want {
			t.Errorf("%v: %q, want %q", c.high, got[0], c.want)
		}
	}
}

// The pictures tell of hands as the sentences do, in few words.
func TestHandsOnPictures(t *testing.T) {
	t.Parallel()
	s := long(1000)
	s.Cabinet.Openings = append(s.Cabinet.Openings, front("front hole", 50, 700, 500))
	f := passage.Check(t.Context(), s)
	if len(f.Checks) != 1 || len(f.Checks[0].Motions) != 1 {
		t.Fatal("no way in")
	}
	m := f.Checks[0].Motions[0]
	if len(m.Hands) != len(m.Moves) {
		t.Fatalf("hands for %d of %d moves", len(m.Hands), len(m.Moves))
	}
	var full []string
	for _, h := range m.Hands {
		full = append(full, h.Text)
	}
	for _, measure := range f.Checks[0].Measures {
		if measure.Key == "hands" && !slices.Equal(measure.Value.([]string), full) {
			t.Errorf("the report says %q, the pictures %q", measure.Value, full)
		}
	}
	// It slides in, and is let down.
	if len(m.Hands) != 2 || m.Hands[0].Short != "both hands inside, helper at front hole" || m.Hands[1].Short != "" {
		t.Errorf("in few words %+v of %q", m.Hands, m.Moves)
	}
}
