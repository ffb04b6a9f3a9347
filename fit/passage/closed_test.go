package passage_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// want fails where an answer is not the one that a closed form gives.
func want(t *testing.T, name string, w *passage.Way, goes bool) {
	t.Helper()
	switch {
	case goes && !w.Going():
		t.Errorf("%s: goes, and is %v (%v, %q)", name, w.Verdict, w.Margin, w.Reason)
	case !goes && w.Verdict != verdict.No:
		t.Errorf("%s: does not go, and is %v (%v, %q)", name, w.Verdict, w.Margin, w.Reason)
	}
}

// A ladder gets round a corner from a corridor a wide into one b wide where it is
// no longer than (a^⅔ + b^⅔)^(3⁄2): the moving ladder problem, as in Stewart,
// Calculus, section 4.7; for 9 and 6 ft that is 21.07 ft.
func TestLadder(t *testing.T) {
	t.Parallel()
	longest := func(a, b float64) float64 { return math.Pow(math.Cbrt(a*a)+math.Cbrt(b*b), 1.5) }
	if l := longest(9, 6); math.Abs(l-21.07) > 0.005 {
		t.Fatalf("21.07 ft are the most for 9 and 6 ft, not %v", l)
	}
	const a, b, thin = 300, 200, 2.0
	decide := func(length float64) passage.Way {
		s := &scene.Scene{Units: unit.Millimetres}
		c := &s.Cabinet
		// The first corridor is a thick front, the second the inside.
		const thick = 1200
		c.Width, c.Depth, c.Height = 1236, thick+b+18, 218
		for _, p := range []*scene.Panel{&c.Back, &c.Left, &c.Right, &c.Lid} {
			p.Thickness = 18
		}
		c.Front.Thickness = thick
		room := unit.Length(1500)
		s.Room.Front = &room
		c.Openings = []scene.Opening{{Name: "corridor", Side: scene.Front, Hole: box(18, 0, 0, 18+a, thick, 200)}}
		// As high as the corridors, so that it turns about the vertical only.
		at := 1218 - length - 20
		s.Sump = &scene.Sump{Box: box(at, thick+b/2, 0, at+length, thick+b/2+thin, 199), Glass: 0.5}
		return sumpJob(s).Decide(t.Context())
	}
	l := longest(a, b)
	w := decide(l * 0.95)
	want(t, "a shorter ladder", &w, true)
	// Being thin only, not a line, takes from the length; so this is too long.
	if w := decide(l * 1.005); w.Going() {
		t.Errorf("a ladder of %v goes round where %v is the most", l*1.005, l)
	}
}

// A convex body passes a slot between two long edges if and only if it slides
// through, which it does where it is as thin as the slot is wide: D. Halperin,
// M. Sharir and I. Yehuda, "Convex bodies passing through windows",
// arXiv 2102.04262.
func TestSlot(t *testing.T) {
	t.Parallel()
	const slot = 120.0
	for i, c := range []struct {
		name string
		off  float64 // of the slot's width; rounds are as prisms when looked for
		body func(thin float64) solid.Solid
	}{
		{"a box on its side", 0.5, func(thin float64) solid.Solid { return solid.Box(box(800, 100, 118, 1100, 100+thin, 518)) }},
		{"a box that lies", 0.5, func(thin float64) solid.Solid { return solid.Box(box(800, 100, 118, 1100, 400, 118+thin)) }},
		{"a box on end", 0.5, func(thin float64) solid.Solid { return solid.Box(box(800, 200, 118, 800+thin, 400, 518)) }},
		{"a round one", 3, func(thin float64) solid.Solid {
			return &solid.Cylinder{A: vec(900, 300, 118), B: vec(900, 300, 518), Radius: thin / 2}
		}},
	} {
		if i%2 == 1 && !all() {
			continue
		}
		for _, off := range []float64{-c.off, c.off} {
			s := cabinet(1900, slot)
			s.Carry = 0
			s.Cabinet.Width, s.Cabinet.Depth = 2000, 700
			s.Cabinet.Bottom.Up = 118
			s.Cabinet.Openings[0].Hole = box(19, 0, 300, 1981, 18, 300+slot)
			far := unit.Length(1500)
			s.Room.Front = &far
			s.Equipment = []scene.Equipment{{Name: "thing", Kind: "box", Bodies: []scene.Body{{Solid: c.body(slot + off)}}}}
			th := s.Things()[0]
			w := passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[0]).Decide(t.Context())
			want(t, c.name, &w, off < 0)
			if most := -off / 2; off < 0 && w.Margin.Lo.MM() > most+1e-6 {
				t.Errorf("%s: %v to spare in a slot that leaves %v", c.name, w.Margin.Lo, most)
			}
		}
	}
}

// Without turning, a convex body goes through a window if and only if it slides
// through as it is turned; a box at rest where its front fits the window: Halperin,
// Sharir and Yehuda, as above.
func TestWindowsWithoutTurning(t *testing.T) {
	t.Parallel()
	const spare, off = 0.5, 0.02
	ways := 0
	for i := range 60 {
		d := diceOf("window", i)
		s := d.cabinetOf(scene.Front)
		hole := s.Cabinet.Openings[0].Hole.Size()
		in := s.Cabinet.Inside().Size()
		// About as large as the window, less what is wanted on either side.
		fits := i%3 > 0
		size := r3.Vec{X: hole.X - 2*spare - off, Y: d.between(30, in.Y-4), Z: hole.Z - 2*spare - off}
		switch i % 3 {
		case 0:
			size.X += 2 * off
		case 1:
			size.Z -= d.between(0, hole.Z/2)
		}
		if i%6 == 0 {
			size.X, size.Z = size.X-2*off, size.Z+2*off
		}
		s.Sump = &scene.Sump{Box: d.place(s, size), Glass: 3}
		b := &s.Sump.Box // off the walls, so that the last move can be made
		y := s.Cabinet.Inside().Min.Y + 2
		b.Max.Y, b.Min.Y = y+size.Y, y
		got := passage.Straight(t.Context(), sumpJob(s), spare)
		if got {
			ways++
		}
		if got != fits {
			t.Errorf("window %d: %v through %v: found %v, want %v", i, size, hole, got, fits)
		}
	}
	if ways == 0 {
		t.Error("no way is found")
	}
}

// carver tells whether a rectangle p × q lies in one a × b: W. B. Carver's
// condition of 1957, as in J. E. Wetzel, "Rectangles in rectangles", Mathematics
// Magazine 73 (2000). It is often given without q ≤ b, and accepts 10 × 10 in
// 8 × 8 then.
func carver(p, q, a, b float64) bool {
	if p <= a {
		return q <= b
	}
	return q <= b && b*(p*p+q*q) >= 2*p*q*a+(p*p-q*q)*math.Sqrt(p*p+q*q-a*a)
}

// A long bar goes through a tunnel where its section lies in that of the tunnel. (A cube
// passes a hole in one of its own size, Prince Rupert's passage, along a diagonal only, and
// holes of a plan lie along the axes: of that nothing can be asked.)
func TestBarsThroughTunnels(t *testing.T) {
	t.Parallel()
	if carver(10, 10, 8, 8) || carver(9, 4, 8, 6) || !carver(10, 1, 8, 8) {
		t.Fatal("Carver's condition is not what it was")
	}
	most := func(p, a, b float64) float64 {
		lo, hi := 0.0, b
		for range 60 {
			if q := (lo + hi) / 2; carver(p, q, a, b) {
				lo = q
			} else {
				hi = q
			}
		}
		return lo
	}
	const a, b = 300.0, 200.0
	for i, c := range []struct {
		name string
		p, q float64
	}{
		{"straight", 299, 199},
		{"too wide by little, and too thick to tilt", 303, 199},
		{"tilted", 320, most(320, a, b) - 1},
		{"tilted, too thick", 320, most(320, a, b) + 3},
		{"along the diagonal", 345, most(345, a, b) - 1},
		{"longer than the diagonal", 362, 2},
		{"square, as large as the condition without its second half takes", 250, 250},
	} {
		if i%2 == 1 && !all() {
			continue
		}
		s := &scene.Scene{Units: unit.Millimetres}
		k := &s.Cabinet
		const thick, long = 500, 420
		k.Width, k.Depth, k.Height = 900, thick+600, 900
		for _, p := range []*scene.Panel{&k.Back, &k.Left, &k.Right, &k.Lid} {
			p.Thickness = 18
		}
		k.Front.Thickness = thick
		far := unit.Length(1200)
		s.Room.Front = &far
		k.Openings = []scene.Opening{{Name: "tunnel", Side: scene.Front, Hole: box(300, 0, 300, 300+a, thick, 300+b)}}
		s.Sump = &scene.Sump{Box: box(450-c.p/2, thick+90, 0, 450+c.p/2, thick+90+long, c.q), Glass: 1}
		w := sumpJob(s).Decide(t.Context())
		want(t, c.name, &w, carver(c.p, c.q, a, b))
	}
}

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// What the hole lets through and the leaves of its door do not is shown impossible, whatever
// else stands about at other heights.
func TestLeavesAlone(t *testing.T) {
	t.Parallel()
	read := func(door string) *scene.Scene {
		s, err := plan.Read("leaves.yaml", []byte(`
format: 1
units: mm
tape: 0
room: {front: 1400, ceiling: 2450}
cabinet:
  size: [900, 420, 800]
  wall: 18
  bottom: {up: 90, thickness: 18}
  openings:
    - {name: doors, side: front, at: {left: 18, sill: 0}, size: [864, 674], door: `+door+`}
  fixtures:
    - {name: stub, round: 40, height: 60, at: {left: 90, back: 40, down: 0}}
    - {name: another, round: 32, height: 60, at: {right: 200, back: 40, down: 0}}
display: {size: [900, 400, 450], glass: 10, standing: dry}
sump: {size: [855, 380, 630], glass: 6, at: {left: 4.5, front: 2}, inlet: left}
`))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	// 830 mm are left between the leaves.
	w := sumpJob(read("{hinge: pair, mount: inset, thickness: 18, opens: 110}")).Decide(t.Context())
	if w.Verdict != verdict.No || w.Proof != "bands" || w.EvenDoorOff {
		t.Errorf("%v by %q, even without the door %v (%v), want a no by bands with it alone", w.Verdict, w.Proof, w.EvenDoorOff, w.Margin)
	}
	if w := sumpJob(read("none")).Decide(t.Context()); w.Verdict != verdict.OK && w.Verdict != verdict.Tight {
		t.Errorf("without a door %v (%v)", w.Verdict, w.Margin)
	}
}
