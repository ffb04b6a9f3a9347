package plan_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
)

// The inside of this cabinet is x 20 to 980, y 20 to 480, z 100 to 780 mm. The
// sump's glass is x 70 to 670, y 60 to 360, z 100 to 500, its inside 10 mm less;
// chamber 1 is x 80 to 380, chamber 2 x 390 to 660.
const ground = `format: 1
units: mm
cabinet:
  size: [1000, 500, 800]
  wall: 20
  bottom: {up: 100, thickness: 20}
  openings: [OPENINGS]
  fixtures: [FIXTURES]
sump:
  size: [600, 300, 400]
  glass: 10
  at: {left: 50, front: 40}
  inlet: INLET
  baffles: [{at: 300, top: 200, thickness: 10}]
equipment: [THINGS]
reach: [REACH]
`

func readGround(t *testing.T, blanks ...string) *scene.Scene {
	t.Helper()
	blanks = append(blanks, "OPENINGS", "", "FIXTURES", "", "THINGS", "", "REACH", "", "INLET", "left")
	s, err := plan.Read("plan.yaml", []byte(strings.NewReplacer(blanks...).Replace(ground)))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// bounds returns the box round the bodies of a thing.
func bounds(bodies []scene.Body) r3.Box {
	all := make([]solid.Solid, len(bodies))
	for i, b := range bodies {
		all[i] = b.Solid
	}
	return solid.BoundsOf(all...)
}

func near(a, b r3.Box, within float64) bool {
	return r3.Norm(r3.Sub(a.Min, b.Min)) <= within && r3.Norm(r3.Sub(a.Max, b.Max)) <= within
}

func TestPlaces(t *testing.T) {
	t.Parallel()
	half := 100 * math.Sqrt2 / 2 // of the diagonal of a square of 100
	tests := []struct {
		name, thing string
		want        r3.Box
		// within is 0 where the place is exact; that of a thing turned by other than
		// quarters is rounded to a nanometre.
		within float64
	}{
		{"left out: in the middle, on the bottom", "size: [100, 50, 30]", box(450, 225, 100, 550, 275, 130), 0},
		{"from left, front, below", "size: [100, 50, 30], at: {left: 5, front: 7, up: 9}", box(25, 27, 109, 125, 77, 139), 0},
		{"from right, back, above", "size: [100, 50, 30], at: {right: 5, back: 7, down: 9}", box(875, 423, 741, 975, 473, 771), 0},
		{"into the frame", "size: [100, 50, 30], at: {left: -20, front: -30, up: -100}", box(0, -10, 0, 100, 40, 30), 0},
		{"in inches and fractions", "size: [1 in, 1/2 in, 1/4 in], at: {left: 20 1/4 in, front: 0}", box(534.35, 20, 100, 559.75, 32.7, 106.35), 0},
		{"a round, standing", "round: 40, height: 90, at: {left: 0, front: 0}", box(20, 20, 100, 60, 60, 190), 0},
		{"a round, lying left to right", "round: 40, height: 90, along: left-right, at: {left: 0, front: 0}", box(20, 20, 100, 110, 60, 140), 0},
		{"a round, lying front to back", "round: 40, height: 90, along: front-back, at: {left: 0, front: 0}", box(20, 20, 100, 60, 110, 140), 0},
		{"a pipe of a trade size", "round: 25 mm pipe, height: 90, at: {left: 0, front: 0}", box(20, 20, 100, 45, 45, 190), 0},
		{"a pipe from point to point", "round: 40, from: {left: 100, front: 50, up: 0}, to: {left: 100, front: 50, down: 80}", box(100, 50, 100, 140, 90, 700), 0},
		{"a pipe across", "round: 40, from: {left: 0, back: 50, up: 60}, to: {right: 0, back: 50, up: 60}", box(20, 410, 140, 980, 450, 180), 1e-9},
		{"turned by a quarter", "size: [100, 50, 30], turn: 90, at: {left: 0, front: 0}", box(20, 20, 100, 70, 120, 130), 0},
		{"turned by a quarter the other way", "size: [100, 50, 30], turn: -90, at: {left: 0, front: 0}", box(20, 20, 100, 70, 120, 130), 0},
		{"turned by three quarters", "size: [100, 50, 30], turn: 270, at: {right: 0, back: 0}", box(930, 380, 100, 980, 480, 130), 0},
		{"turned by an eighth, by the box round it", "size: [100, 100, 30], turn: 45, at: {left: 0, front: 0}", box(20, 20, 100, 20+2*half, 20+2*half, 130), 2e-6},
		{"turned, in the middle", "size: [100, 100, 30], turn: 45", box(500-half, 250-half, 100, 500+half, 250+half, 130), 2e-6},
		{"parts make the box", "at: {left: 0, front: 0}, parts: [{name: a, round: 40, height: 50, at: {left: 5, front: 5}}, {name: b, size: [10, 10, 10], at: {left: 60, front: 20, up: 50}}]", box(20, 20, 100, 85, 60, 160), 0},
		{"parts in a box of their own", "size: [100, 80, 200], at: {right: 0, back: 0}, parts: [{name: a, size: [10, 20, 30], at: {right: 0, front: 0, down: 0}}]", box(970, 400, 270, 980, 420, 300), 0},
		{"a part in the middle", "size: [100, 80, 200], at: {left: 0, front: 0}, parts: [{name: a, size: [10, 20, 30]}]", box(65, 50, 100, 75, 70, 130), 0},
		{"a pipe as part", "size: [100, 80, 200], at: {left: 0, front: 0}, parts: [{name: a, round: 20, from: {left: 50, front: 40, up: 0}, to: {left: 50, front: 40, down: 50}}]", box(60, 50, 100, 80, 70, 250), 0},
		{"parts turned: right becomes back, front becomes right", "size: [200, 100, 50], turn: 90, at: {left: 0, front: 0}, parts: [{name: a, size: [20, 10, 50], at: {right: 0, front: 0}}]", box(110, 200, 100, 120, 220, 150), 0},
		{"parts without a box, turned", "turn: 180, at: {left: 0, front: 0}, parts: [{name: a, size: [100, 10, 10], at: {left: 0, front: 0}}, {name: b, size: [10, 50, 10], at: {left: 0, front: 10}}]", box(20, 20, 100, 120, 80, 110), 0},
		{"in the first chamber", "in: sump 1, size: [100, 50, 30], at: {left: 8, front: 2}", box(88, 72, 110, 188, 122, 140), 0},
		{"in the last chamber, from its far side", "in: sump last, size: [100, 50, 30], at: {right: 8, back: 2, up: 5}", box(552, 298, 115, 652, 348, 145), 0},
		{"in the second chamber, against the baffle", "in: sump 2, size: [100, 50, 30], at: {left: 0}", box(390, 185, 110, 490, 235, 140), 0},
		{"in the middle of a chamber", "in: Sump 1, size: [100, 50, 30]", box(180, 185, 110, 280, 235, 140), 0},
		{"hung from the sump's brim", "in: sump 1, size: [100, 50, 30], at: {left: 0, down: -10}", box(80, 185, 480, 180, 235, 510), 0},
	}
	for _, tt := range tests {
		s := readGround(t, "THINGS", "{name: thing, "+tt.thing+"}")
		if got := bounds(s.Equipment[0].Bodies); !near(got, tt.want, tt.within) {
			t.Errorf("%s: {%s} stands at\n%v, want\n%v", tt.name, tt.thing, got, tt.want)
		}
		if strings.Contains(tt.thing, "in:") {
			continue
		}
		f := readGround(t, "FIXTURES", "{name: thing, "+tt.thing+"}")
		if got := bounds(f.Cabinet.Fixtures[0].Bodies); !near(got, tt.want, tt.within) {
			t.Errorf("%s: as a fixture it stands at\n%v, want\n%v", tt.name, got, tt.want)
		}
	}
}

// A thing turned and measured keeps its volume, wherever it stands.
func TestTurnedThingIsRigid(t *testing.T) {
	t.Parallel()
	const parts = "parts: [{name: a, round: 40, height: 50, at: {left: 5, front: 5}}, {name: b, size: [10, 30, 10], at: {left: 60, front: 20, up: 50}}]"
	still := readGround(t, "THINGS", "{name: thing, "+parts+"}").Equipment[0].Bodies
	apart := r3.Sub(still[0].Solid.Centroid(), still[1].Solid.Centroid())
	for _, turn := range []string{"1", "30", "-45", "90", "123.4", "180", "359"} {
		got := readGround(t, "THINGS", "{name: thing, at: {left: 7, back: 9}, turn: "+turn+", "+parts+"}").Equipment[0].Bodies
		for i := range got {
			if a, b := got[i].Solid.Volume(), still[i].Solid.Volume(); math.Abs(a-b) > 1e-9*b {
				t.Errorf("turned by %s the part %s has %v mm³ instead of %v", turn, got[i].Name, a, b)
			}
		}
		now := r3.Sub(got[0].Solid.Centroid(), got[1].Solid.Centroid())
		if math.Abs(r3.Norm(now)-r3.Norm(apart)) > 1e-9 {
			t.Errorf("turned by %s the parts are %v mm apart instead of %v", turn, r3.Norm(now), r3.Norm(apart))
		}
		// Counter-clockwise seen from above: x turns toward y.
		angle := math.Atan2(now.Y, now.X) - math.Atan2(apart.Y, apart.X)
		var want float64
		if _, err := fmt.Sscan(turn, &want); err != nil {
			t.Fatal(err)
		}
		if off := math.Remainder(angle-want*math.Pi/180, 2*math.Pi); math.Abs(off) > 1e-9 {
			t.Errorf("turned by %s the parts lie %v degrees off", turn, off*180/math.Pi)
		}
		b := bounds(got)
		if math.Abs(b.Min.X-27) > 2e-6 || math.Abs(b.Max.Y-471) > 2e-6 {
			t.Errorf("turned by %s it stands at %v, want 7 mm from the left and 9 mm from the back", turn, b)
		}
	}
}

// Chambers count from the inlet, whichever end it is at.
func TestChambersFromTheInlet(t *testing.T) {
	t.Parallel()
	const thing = "{name: thing, size: [50, 50, 30], in: sump 1, at: {left: 0, front: 0}}"
	for inlet, want := range map[string]r3.Box{
		"left":  box(80, 70, 110, 130, 120, 140),
		"right": box(360, 70, 110, 410, 120, 140), // 660 − 300 is where the baffle begins
	} {
		s := readGround(t, "INLET", inlet, "THINGS", thing)
		if got := bounds(s.Equipment[0].Bodies); got != want {
			t.Errorf("inlet at the %s: chamber 1 begins at %v, want %v", inlet, got, want)
		}
		if s.Equipment[0].Chamber != 1 {
			t.Errorf("inlet at the %s: chamber %d", inlet, s.Equipment[0].Chamber)
		}
	}
	last := readGround(t, "THINGS", "{name: thing, size: [50, 50, 30], in: sump last}")
	if got := last.Equipment[0].Chamber; got != 2 {
		t.Errorf("the last chamber is %d, want 2", got)
	}
}

func TestOpeningPlaces(t *testing.T) {
	t.Parallel()
	tests := []struct {
		opening string
		want    r3.Box
	}{
		{"side: front, at: {left: 30, sill: 40}, size: [200, 300]", box(30, 0, 140, 230, 20, 440)},
		{"side: front, at: {right: 30, up: 40}, size: [200, 300]", box(770, 0, 40, 970, 20, 340)},
		{"side: front, size: [200, 300]", box(400, 0, 0, 600, 20, 300)},
		// Standing behind the cabinet its right is on the left.
		{"side: back, at: {left: 30, up: 40}, size: [200, 300]", box(770, 480, 40, 970, 500, 340)},
		// Before the left side the back is on the left, before the right side the front.
		{"side: left, at: {left: 30, up: 40}, size: [200, 300]", box(0, 270, 40, 20, 470, 340)},
		{"side: right, at: {left: 30, up: 40}, size: [200, 300]", box(980, 30, 40, 1000, 230, 340)},
		{"side: top, at: {left: 30, front: 40}, size: [200, 300]", box(30, 40, 780, 230, 340, 800)},
		{"side: top, at: {right: 30, back: 40}, size: [200, 300]", box(770, 160, 780, 970, 460, 800)},
	}
	for _, tt := range tests {
		s := readGround(t, "OPENINGS", "{name: hole, "+tt.opening+"}")
		if got := s.Cabinet.Openings[0].Hole; got != tt.want {
			t.Errorf("{%s}: the hole is\n%v, want\n%v", tt.opening, got, tt.want)
		}
	}
}

func TestOpenFaces(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("plan.yaml", []byte(`format: 1
units: mm
cabinet: {size: [1000, 500, 800], wall: 20, back: open, top: open, bottom: {up: 100}}
display: {size: [1000, 500, 500]}
sump: {size: [600, 300, 400]}
`))
	if err != nil {
		t.Fatal(err)
	}
	want := []scene.Opening{
		{Name: "open back", Side: scene.Back, Hole: box(20, 500, 100, 980, 500, 800), OpenFace: true, Tape: s.Tape},
		{Name: "open top", Side: scene.Top, Hole: box(20, 20, 800, 980, 500, 800), OpenFace: true, Tape: s.Tape, BeforeDisplay: true},
	}
	for i, o := range s.Cabinet.Openings {
		if o != want[i] {
			t.Errorf("got %+v, want %+v", o, want[i])
		}
	}
	if len(s.Cabinet.Openings) != 2 {
		t.Errorf("%d openings, want 2", len(s.Cabinet.Openings))
	}
}

// The sump is placed by the box round it, rim and foot included; the display by
// the cabinet's outside faces.
func TestTankPlaces(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, sump string
		want       r3.Box
	}{
		{"bare", "size: [600, 300, 400], at: {left: 50, front: 40}", box(70, 60, 100, 670, 360, 500)},
		{"with a rim", "size: [600, 300, 400], rim: {height: 20, out: 3, in: 5}, at: {left: 50, front: 40}", box(73, 63, 100, 673, 363, 500)},
		{"with a foot wider than the rim", "size: [600, 300, 400], rim: {height: 20, out: 3, in: 5}, foot: {height: 9, out: 4}, at: {right: 50, back: 40}", box(326, 136, 100, 926, 436, 500)},
		{"raised by its foot", "size: [600, 300, 400], rim: {height: 20, out: 3, in: 5, above: 8}, foot: {height: 9, out: 4, below: 6}, at: {left: 0, front: 0}", box(24, 24, 106, 624, 324, 506)},
		{"hung under the top", "size: [600, 300, 400], rim: {height: 20, out: 3, in: 5, above: 8}, at: {down: 0}", box(200, 100, 372, 800, 400, 772)},
		{"too large for the cabinet", "size: [1200, 600, 900], at: {left: 0, front: 0}", box(20, 20, 100, 1220, 620, 1000)},
		// Glass 20 x 10 in, trim 1/4 in and 1/2 in more, 9/16 in higher.
		{"of a trade size", "stock: 10, long: front-back, at: {left: 0, front: 0}", box(26.35, 23.175, 107.14375, 280.35, 531.175, 411.94375)},
		{"of a trade size without its trim", "stock: 10, long: left-right, rim: none, foot: none, at: {left: 0, front: 0}", box(20, 20, 100, 528, 274, 404.8)},
	}
	for _, tt := range tests {
		text := "format: 1\nunits: mm\ncabinet: {size: [1000, 500, 800], wall: 20, bottom: {up: 100}}\nsump: {glass: 10, " + tt.sump + "}\n" +
			"display: {size: [900, 450, 500], at: {left: -10, back: 5}}\n"
		s, err := plan.Read("plan.yaml", []byte(text))
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if !near(s.Sump.Box, tt.want, 1e-5) {
			t.Errorf("%s: the sump's glass stands at\n%v, want\n%v", tt.name, s.Sump.Box, tt.want)
		}
		if want := box(-10, 45, 800, 890, 495, 1300); s.Display.Box != want {
			t.Errorf("the display stands at %v, want %v", s.Display.Box, want)
		}
	}
}

func TestReachPlace(t *testing.T) {
	t.Parallel()
	s := readGround(t, "REACH", "{name: valve, at: {left: 15, back: 6, up: 17}, task: turn, hands: 2, size: 40}")
	p := s.Reach[0]
	if want := (r3.Vec{X: 35, Y: 474, Z: 117}); p.At != want || p.Hands != 2 || p.Size != 40 || p.On != "" {
		t.Errorf("got %+v, want it at %v", p, want)
	}
}

// A place that hangs on what the plan does not give is marked, another is not.
func TestAssumedPlaces(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, text string
		want       bool
	}{
		{"from a wall that was measured", "cabinet: {size: [1000, 500, 800], sides: 20}\nequipment: [{name: x, size: [9, 9, 9], at: {left: 1, up: 0}}]", true}, // front to back it is centred between assumed walls
		{"from walls that were measured", "cabinet: {size: [1000, 500, 800], wall: 20}\nequipment: [{name: x, size: [9, 9, 9], at: {left: 1}}]", false},
		{"from a wall that was not", "cabinet: {size: [1000, 500, 800], front: 20, back: 20}\nequipment: [{name: x, size: [9, 9, 9], at: {left: 1, front: 1}}]", true},
		{"in a sump of measured glass", "cabinet: {size: [1000, 500, 800], wall: 20}\nsump: {size: [600, 300, 400], glass: 6}\nequipment: [{name: x, in: sump 1, size: [9, 9, 9]}]", false},
		{"in a sump of some glass", "cabinet: {size: [1000, 500, 800], wall: 20}\nsump: {size: [600, 300, 400]}\nequipment: [{name: x, in: sump 1, size: [9, 9, 9]}]", true},
		{"before a baffle of some thickness", "cabinet: {size: [1000, 500, 800], wall: 20}\nsump: {size: [600, 300, 400], glass: 6, inlet: left, baffles: [{at: 300, top: 200}]}\nequipment: [{name: x, in: sump 1, size: [9, 9, 9]}]", false},
		{"behind a baffle of some thickness", "cabinet: {size: [1000, 500, 800], wall: 20}\nsump: {size: [600, 300, 400], glass: 6, inlet: left, baffles: [{at: 300, top: 200}]}\nequipment: [{name: x, in: sump 2, size: [9, 9, 9], at: {left: 0}}]", true},
		{"behind it, from the other end", "cabinet: {size: [1000, 500, 800], wall: 20}\nsump: {size: [600, 300, 400], glass: 6, inlet: left, baffles: [{at: 300, top: 200}]}\nequipment: [{name: x, in: sump 2, size: [9, 9, 9], at: {right: 0}}]", false},
		{"a pipe from a wall that was not", "cabinet: {size: [1000, 500, 800], sides: 20}\nequipment: [{name: x, round: 9, from: {left: 9, front: 9, up: 0}, to: {left: 9, front: 9, up: 9}}]", true},
	}
	for _, tt := range tests {
		s, err := plan.Read("plan.yaml", []byte("format: 1\nunits: mm\n"+tt.text+"\n"))
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if got := s.Equipment[0].Bodies[0].Assumed; got != tt.want {
			t.Errorf("%s: assumed %v, want %v", tt.name, got, tt.want)
		}
	}
}
