package service_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/service"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// holed is a cabinet with one hole in its back and a thing whose cord is led
// through it.
func holed(h scene.Hole, c scene.Cord) *scene.Scene {
	e := thing("pump", inside(100, 100, 2, 200, 200, 100))
	h.Name, h.Side = "hole", scene.Back
	c.Through = []string{"hole"}
	e.Cord = &c
	s := cabinet(e)
	s.Cabinet.Holes = []scene.Hole{h}
	return s
}

func rectangular(w, h float64) scene.Hole {
	return scene.Hole{Box: box(300, thick+400, 300, 300+w, 2*thick+400, 300+h)}
}

func round(d float64) scene.Hole {
	h := rectangular(d, d)
	h.Round = true
	return h
}

func plug(a, b, c unit.Length) scene.Cord { return scene.Cord{Plug: &[3]unit.Length{a, b, c}} }

func TestPlugThroughHole(t *testing.T) {
	t.Parallel()
	barb, hose := unit.Length(30), unit.Length(30)
	for _, c := range []struct {
		name string
		hole scene.Hole
		cord scene.Cord
		want verdict.Verdict
		low  float64 // room on every side; NaN: not asked
	}{
		{"with 2 mm to spare", rectangular(44, 34), plug(30, 40, 60), verdict.OK, 2},
		{"the smallest side counts, whichever it is", rectangular(44, 34), plug(60, 30, 40), verdict.OK, 2},
		{"exactly as large", rectangular(40, 30), plug(30, 40, 60), verdict.Tight, 0},
		{"too thick for the hole", rectangular(44, 28), plug(30, 40, 60), verdict.No, math.NaN()},
		{"too large across", rectangular(31, 31), plug(30, 40, 60), verdict.No, math.NaN()},
		{"corner to corner through a round hole", round(54), plug(30, 40, 60), verdict.OK, 2},
		{"a round hole that the corners do not pass", round(47), plug(30, 40, 60), verdict.No, math.NaN()},
		// 102 by 4 lies askew in 100 by 30: Carver's condition.
		{"askew in a hole that is shorter", rectangular(100, 30), plug(4, 102, 200), verdict.Tight, math.NaN()},
		{"neither straight nor shown impossible", rectangular(100, 30), plug(25, 102, 200), verdict.Unsure, math.NaN()},
		{"a barb with 1 mm to spare", round(32), scene.Cord{Hose: true, Barb: &barb}, verdict.OK, 1},
		{"a barb larger than the hole", round(28), scene.Cord{Hose: true, Barb: &barb}, verdict.No, math.NaN()},
		{"a barb, perhaps flat, through a slit", rectangular(60, 20), scene.Cord{Hose: true, Barb: &barb}, verdict.Unsure, math.NaN()},
		{"a hose through a slit that is too narrow", rectangular(60, 20), scene.Cord{Hose: true, Round: &hose}, verdict.No, math.NaN()},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			id := "service/cord pump/hole"
			if c.cord.Hose {
				id = "service/hose pump/hole"
			}
			f := finding(t, service.Check(t.Context(), holed(c.hole, c.cord), nil), id)
			if low := measure[float64](t, f, "spare_low_mm"); f.Verdict != c.want || !math.IsNaN(c.low) && math.Abs(low-c.low) > 1e-6 {
				t.Errorf("%v with %.3f to spare, want %v with %.3f: %s", f.Verdict, low, c.want, c.low, f.Summary)
			}
		})
	}
}

// A rectangle lies in another where one of its turns does: its extents then are
// p cos θ + q sin θ and p sin θ + q cos θ.
func TestRectanglesInRectangles(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(19, 57))
	askew := 0
	for range 400 {
		a, b := 40+60*r.Float64(), 20+40*r.Float64()
		p, q := 20+110*r.Float64(), 5+50*r.Float64()
		best := math.Inf(-1) // largest room of any turn
		for i := range 9001 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 18000)
			best = max(best, min(a-p*cos-q*sin, b-p*sin-q*cos), min(b-p*cos-q*sin, a-p*sin-q*cos))
		}
		if math.Abs(best) < 0.05 {
			continue // the turns tried are too few to tell
		}
		s := holed(rectangular(a, b), plug(unit.Length(p), unit.Length(q), 500))
		s.Tape = 0
		f := finding(t, service.Check(t.Context(), s, nil), "service/cord pump/hole")
		if fits := f.Verdict == verdict.OK || f.Verdict == verdict.Tight; fits != (best > 0) {
			t.Errorf("%.2f by %.2f in %.2f by %.2f: %v, the best turn has %.2f to spare: %s", p, q, a, b, f.Verdict, best, f.Summary)
		}
		if best > 0 && max(p, q) > max(a, b) {
			askew++
		}
	}
	if askew == 0 {
		t.Error("no rectangle fits only askew")
	}
}

// corded is a sump scene with a strip on the right wall, and a pump in the cabinet
// whose cord ends there.
func corded(length unit.Length, strip float64) *scene.Scene {
	s := sumpScene()
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "power strip", Bodies: thing("", inside(570, 100, strip, 600, 300, strip+50)).Bodies}}
	pump := thing("pump", inside(480, 180, 2, 520, 220, 100))
	pump.Cord = &scene.Cord{Length: &length, To: "power strip"}
	s.Equipment = append(s.Equipment, pump)
	return s
}

// From the middle of its top the cord goes up to the strip's middle and over to it;
// it comes from below, so the drip loop is there already. Slack is 6 in.
func TestLengthOfCords(t *testing.T) {
	t.Parallel()
	const strip = 300.0
	// Over 85 mm, up from 100 to 325 mm.
	along := 85.0 + 225.0
	straight := math.Hypot(570-520, strip-100)
	const slack = 152.4
	for _, c := range []struct {
		name   string
		length float64
		want   verdict.Verdict
	}{
		{"with slack", along + slack + 1, verdict.OK},
		{"with little slack", along + 20, verdict.Tight},
		{"only pulled straight", straight + 20, verdict.Unsure},
		{"shorter than straight", straight - 2, verdict.No},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := finding(t, service.Check(t.Context(), corded(unit.Length(c.length), strip), nil), "service/cord pump")
			if f.Verdict != c.want {
				t.Errorf("%v, want %v: %s", f.Verdict, c.want, f.Summary)
			}
			if got := measure[float64](t, f, "shortest_mm"); math.Abs(got-straight) > 1e-6 {
				t.Errorf("shortest %.3f mm, want %.3f", got, straight)
			}
			if got := measure[float64](t, f, "way_mm"); math.Abs(got-along) > 1e-6 {
				t.Errorf("led along %.3f mm, want %.3f", got, along)
			}
		})
	}
}

// A hose that ends in the sump is led over its wall, and from there down to its middle.
func TestHoseIntoTheSump(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("hose.yaml", []byte(`format: 1
units: mm
cabinet: {size: [900, 450, 700], bottom: {up: 100}, openings: [{name: front, side: front, at: {left: 20, sill: 10}, size: [800, 500]}]}
sump: {size: [500, 300, 280], glass: 6, at: {left: 10, front: 50}, inlet: left}
equipment:
  - {name: jug, kind: reservoir, size: [100, 100, 200], at: {right: 50, front: 150}, hose: {length: 2000, round: 8, to: sump}}
`))
	if err != nil {
		t.Fatal(err)
	}
	f := finding(t, service.Check(t.Context(), s, nil), "service/hose jug")
	if want := "the hose of jug (2000 mm) reaches the sump, led over and along"; f.Verdict != verdict.OK || !strings.HasPrefix(f.Summary, want) {
		t.Errorf("%v: %s; want ok: %s", f.Verdict, f.Summary, want)
	}
	jug, sump := s.Equipment[0].Bodies[0].Solid.Bounds(), s.Sump.Box
	across := (jug.Min.X+jug.Max.X)/2 - (sump.Min.X+sump.Max.X)/2
	want := (280.0 - 200) + across + 280.0/2 // both stand in line: up, over, down
	if got := measure[float64](t, f, "way_mm"); math.Abs(got-want) > 1e-6 {
		t.Errorf("led along %.3f mm, want %.3f", got, want)
	}
}

func TestStrips(t *testing.T) {
	t.Parallel()
	const rim = 200.0
	judge := func(s *scene.Scene) verdict.Finding {
		return finding(t, service.Check(t.Context(), s, nil), "service/strip power strip")
	}
	if f := judge(corded(2000, rim+10)); f.Verdict != verdict.OK {
		t.Errorf("above the rim and beside the sump: %v: %s", f.Verdict, f.Summary)
	}
	if f := judge(corded(2000, rim-10)); f.Verdict != verdict.No || !strings.Contains(f.Summary, "below the sump's rim") {
		t.Errorf("below the rim: %v: %s", f.Verdict, f.Summary)
	}
	s := corded(2000, rim+10)
	s.Cabinet.Fixtures[0].Bodies = thing("", inside(400, 100, rim+50, 440, 300, rim+80)).Bodies
	if f := judge(s); f.Verdict != verdict.No || !strings.Contains(f.Summary, "over its open water") {
		t.Errorf("over the water: %v: %s", f.Verdict, f.Summary)
	}
}

// A pump that is glued to its pipe is told to get a union, and where.
func TestUnion(t *testing.T) {
	t.Parallel()
	s := sumpScene()
	pump := thing("pump", inside(300, 150, 8, 380, 230, 90))
	pump.Kind, pump.Chamber = "pump", 2
	pipe := pipeUp("riser", 340, 190, 90, 480)
	s.Equipment = append(s.Equipment, pump, pipe)
	f := finding(t, service.Check(t.Context(), s, nil), "service/pump")
	at := measure[[]float64](t, f, "union_mm")
	if want := []float64{thick + 340, thick + 190, 200 + 50.8}; !slices.EqualFunc(at, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-6 }) {
		t.Errorf("the union goes at %v, want %v, 2 in above the rim", at, want)
	}
	if f.Verdict == verdict.OK || !strings.Contains(f.Summary, "union") {
		t.Errorf("%v: %s", f.Verdict, f.Summary)
	}
}

// pipeUp is a pipe that stands at x, y from z0 to z1.
func pipeUp(name string, x, y, z0, z1 float64) scene.Equipment {
	return scene.Equipment{Name: name, Kind: "pipe", Bodies: []scene.Body{{Solid: &solid.Cylinder{
		A: r3.Vec{X: thick + x, Y: thick + y, Z: z0}, B: r3.Vec{X: thick + x, Y: thick + y, Z: z1}, Radius: 12,
	}}}}
}
