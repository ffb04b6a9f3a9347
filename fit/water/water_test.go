package water_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// paper is a system that can be worked out on paper: no tape, a display with
// 1000 x 400 inside, a sump with 600 x 300 x 400 inside, no flow and one baffle
// 10 thick and 250 high that leaves 340 and 250.
func paper() *scene.Scene {
	wall := scene.Panel{Thickness: 20}
	return &scene.Scene{
		Units:   unit.Millimetres,
		Cabinet: scene.Cabinet{Width: 1100, Depth: 500, Height: 800, Front: wall, Back: wall, Left: wall, Right: wall, Lid: wall},
		Brine:   scene.Brine{Salinity: 35, Temperature: 25},
		Display: &scene.Display{
			Box:   r3.Box{Min: r3.Vec{X: 40, Y: 40, Z: 800}, Max: r3.Vec{X: 1060, Y: 460, Z: 1310}},
			Glass: 10, Water: new(unit.Length(470)), Drops: new(unit.Length(20)),
		},
		Sump: &scene.Sump{
			Box:   r3.Box{Min: r3.Vec{X: 100, Y: 90, Z: 0}, Max: r3.Vec{X: 720, Y: 410, Z: 410}},
			Glass: 10, Inlet: scene.Left, Level: new(unit.Length(150)), Flow: new(unit.Flow(0)),
			Baffles: []scene.Baffle{{At: 340, Top: 250, Thickness: 10}},
		},
		Water: scene.Water{Pipes: new(unit.Volume(0))},
	}
}

// reef is a system with everything in it, in inches.
func reef() *scene.Scene {
	const in = unit.Inch
	wall := scene.Panel{Thickness: 0.75 * in}
	box := func(x, y, z, w, d, h float64) solid.Solid {
		lo := r3.Scale(25.4, r3.Vec{X: x, Y: y, Z: z})
		return solid.Box(r3.Box{Min: lo, Max: r3.Add(lo, r3.Scale(25.4, r3.Vec{X: w, Y: d, Z: h}))})
	}
	round := func(x, y, z, r, h float64) solid.Solid {
		return &solid.Cylinder{A: r3.Scale(25.4, r3.Vec{X: x, Y: y, Z: z}), B: r3.Scale(25.4, r3.Vec{X: x, Y: y, Z: z + h}), Radius: r * 25.4}
	}
	return &scene.Scene{
		Units: unit.Inches, Tape: in / 16,
		Cabinet: scene.Cabinet{
			Width: 42 * in, Depth: 18 * in, Height: 32 * in, Front: wall, Back: wall, Left: wall, Right: wall, Lid: wall,
			Bottom: &scene.InsideBottom{Up: 4 * in, Thickness: 0.75 * in},
		},
		Brine: scene.Brine{Salinity: 35, Temperature: 25},
		Display: &scene.Display{
			Box:   r3.Box{Min: r3.Vec{Z: 32 * 25.4}, Max: r3.Scale(25.4, r3.Vec{X: 42, Y: 18, Z: 52})},
			Glass: in * 3 / 8, Water: new(18 * in), Drops: new(in * 9 / 8), Sand: 1.5 * in, Rock: 35 * unit.Pound,
		},
		Sump: &scene.Sump{
			Box:   r3.Box{Min: r3.Scale(25.4, r3.Vec{X: 5, Y: 2.5, Z: 4}), Max: r3.Scale(25.4, r3.Vec{X: 33, Y: 15.5, Z: 19.5})},
			Glass: 6, Inlet: scene.Left, Level: new(7 * in), Flow: new(300 * unit.GallonPerHour), Tape: in / 16,
			Baffles: []scene.Baffle{
				{At: 16 * in, Top: 9.5 * in, Thickness: 6},
				{At: 17.5 * in, Top: 12 * in, Gap: 1.25 * in, Thickness: 6},
				{At: 19 * in, Top: 8.25 * in, Thickness: 6},
			},
		},
		Equipment: []scene.Equipment{
			{Name: "skimmer", Kind: "skimmer", Chamber: 1, Bodies: []scene.Body{{Solid: round(16, 9, 4.25, 2.5, 11)}}, StandsIn: &[2]unit.Length{9 * in, 10.5 * in}},
			{Name: "heater", Kind: "heater", Chamber: 1, Bodies: []scene.Body{{Solid: round(8, 5, 4.5, 0.6, 7)}}},
			{Name: "pump", Kind: "pump", Chamber: 2, Bodies: []scene.Body{{Solid: box(27, 7, 4.25, 4, 3, 4)}}},
			{Name: "reservoir", Kind: "reservoir", Bodies: []scene.Body{{Solid: box(35, 4, 4, 5, 10, 10)}}, Holds: new(1.5 * unit.USGallon), Outlet: new(18 * in)},
		},
	}
}

func finding(tb testing.TB, s *scene.Scene, id string) verdict.Finding {
	tb.Helper()
	f := water.Check(s)
	for _, c := range f.Checks {
		if c.ID == id {
			return c
		}
	}
	tb.Fatalf("no %s; left out: %v", id, f.LeftOut)
	return verdict.Finding{}
}

func number(tb testing.TB, f verdict.Finding, key string) float64 {
	tb.Helper()
	for _, m := range f.Measures {
		if m.Key == key {
			v, _ := m.Value.(float64)
			return v
		}
	}
	tb.Fatalf("no %s in %s", key, f.ID)
	return 0
}

func list(tb testing.TB, f verdict.Finding, key string) []float64 {
	tb.Helper()
	for _, m := range f.Measures {
		if m.Key == key {
			v, _ := m.Value.([]float64)
			return v
		}
	}
	tb.Fatalf("no %s in %s", key, f.ID)
	return nil
}

func near(tb testing.TB, what string, got, want, tol float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tol) {
		tb.Errorf("%s = %.9g; want %.9g", what, got, want)
	}
}

func TestLevelsByHand(t *testing.T) {
	t.Parallel()
	f := finding(t, paper(), "water/levels")
	if f.Verdict != verdict.OK {
		t.Errorf("verdict %v", f.Verdict)
	}
	near(t, "density", number(t, f, "density_kg_m3"), 1023.343, 5e-3)
	l, v := list(t, f, "chamber_level_mm"), list(t, f, "chamber_l")
	near(t, "level 1", l[0], 250, 1e-9)
	near(t, "level 2", l[1], 150, 1e-9)
	near(t, "volume 1", v[0], 340*300*250/1e6, 1e-9)
	near(t, "volume 2", v[1], 250*300*150/1e6, 1e-9)
}

func TestPumpOffByHand(t *testing.T) {
	t.Parallel()
	// 8 L come down: 250 x 300 x 100 = 7.5 L fill the last chamber to the baffle,
	// 0.5 L stand over all of it.
	f := finding(t, paper(), "water/pump off")
	near(t, "drained", number(t, f, "drained_l"), 8, 1e-9)
	want := 250 + 0.5e6/(600*300)
	for _, l := range list(t, f, "chamber_level_mm") {
		near(t, "level", l, want, 1e-8)
	}
	near(t, "spare", number(t, f, "spare_to_brim_mm"), 400-want, 1e-8)
	near(t, "spilled", number(t, f, "spilled_l"), 0, 0)
	if f.Verdict != verdict.OK {
		t.Errorf("verdict %v; want ok", f.Verdict)
	}
	// Room for 8 + 26.5 L; 40 L spill 5.5.
	s := paper()
	s.Display.Drops = new(unit.Length(100))
	f = finding(t, s, "water/pump off")
	near(t, "spilled", number(t, f, "spilled_l"), 40-7.5-600*300*150/1e6, 1e-9)
	if f.Verdict != verdict.No {
		t.Errorf("verdict %v; want no", f.Verdict)
	}
	if !strings.Contains(f.Summary, "5.5 L") {
		t.Errorf("summary %q does not tell how much", f.Summary)
	}
	// The mouth of the return lies deeper than the drain, and pipes hold 2 L.
	s = paper()
	s.Display.Mouth, s.Water.Pipes = new(unit.Length(60)), new(2*unit.Litre)
	near(t, "drained to the mouth", number(t, finding(t, s, "water/pump off"), "drained_l"), 26, 1e-9)
}

func TestVerdictsAtTheBrim(t *testing.T) {
	t.Parallel()
	// Without a tape nothing is left open: a drop to spare is tight, a drop too
	// much is no, an inch is ok. 34.5 L fill the sump.
	for _, c := range []struct {
		name  string
		drops float64
		tape  float64
		want  verdict.Verdict
	}{
		{"an inch to spare", (34.5 - 4.6) / 0.4, 0, verdict.OK},
		{"a drop to spare", 34.49 / 0.4, 0, verdict.Tight},
		{"a drop too much", 34.51 / 0.4, 0, verdict.No},
		{"a drop to spare by tape", 34.49 / 0.4, 1.5, verdict.Unsure},
		{"a drop too much by tape", 34.51 / 0.4, 1.5, verdict.Unsure},
		{"far too much by tape", 130, 1.5, verdict.No},
	} {
		s := paper()
		s.Display.Drops, s.Tape, s.Sump.Tape = new(unit.Length(c.drops)), unit.Length(c.tape), unit.Length(c.tape)
		if f := finding(t, s, "water/pump off"); f.Verdict != c.want {
			t.Errorf("%s: %v (%s); want %v", c.name, f.Verdict, f.Summary, c.want)
		}
	}
}

func TestFillLineByHand(t *testing.T) {
	t.Parallel()
	// The sump takes 600 x 300 x 400 less the baffle's 10 x 300 x 250, of which
	// the first chamber has 25.5 L and 8 L come down.
	f := finding(t, paper(), "water/fill line")
	want := (600*300*400 - 10*300*250 - 340*300*250 - 8e6) / (250 * 300)
	// So much is above the baffle: then the first chamber stands as high.
	if want <= 250 {
		t.Fatal("wrong example")
	}
	over := (600*300*400 - 10*300*250 - 8e6 - 590*300*250) / (600 * 300.0)
	near(t, "level", number(t, f, "level_mm"), 250+over, 1e-4)
	s := paper()
	s.Display.Drops = new(unit.Length(80))
	f = finding(t, s, "water/fill line")
	near(t, "level below the baffle", number(t, f, "level_mm"), (600*300*400-10*300*250-340*300*250-32e6)/(250*300), 1e-4)
	// Freeboard lowers the brim by an inch over the whole of it.
	near(t, "safe level", number(t, f, "level_safe_mm"), (600*300*(400-25.4)-10*300*250-340*300*250-32e6)/(250*300), 1e-4)
	s.Display.Drops = new(unit.Length(140))
	if f = finding(t, s, "water/fill line"); f.Verdict != verdict.No {
		t.Errorf("56 L never fit: %v", f.Verdict)
	}
}

func TestDrainBlockedByHand(t *testing.T) {
	t.Parallel()
	// The last chamber's 11.25 L against 1000 x 400 x 30.
	f := finding(t, paper(), "water/drain blocked")
	near(t, "pumped", number(t, f, "pumped_l"), 11.25, 1e-9)
	near(t, "room", number(t, f, "display_room_l"), 12, 1e-9)
	near(t, "spare", number(t, f, "spare_to_brim_mm"), 0.75/0.4, 1e-9)
	near(t, "level in the display", number(t, f, "display_level_mm"), 470+11.25/0.4, 1e-9)
	near(t, "level before the baffle", list(t, f, "chamber_level_mm")[0], 250, 1e-9)
	near(t, "level in the last chamber", list(t, f, "chamber_level_mm")[1], 0, 1e-9)
	if f.Verdict != verdict.Tight && f.Verdict != verdict.OK {
		t.Errorf("verdict %v", f.Verdict)
	}
	s := paper()
	s.Display.Water = new(unit.Length(480))
	f = finding(t, s, "water/drain blocked")
	near(t, "spilled", number(t, f, "spilled_l"), 3.25, 1e-9)
	// How much a pump leaves that is not drawn nobody knows: no proof of a flood.
	if f.Verdict != verdict.Unsure {
		t.Errorf("verdict %v; want unsure", f.Verdict)
	}
	pump := func(up float64) []scene.Equipment {
		box := r3.Box{Min: r3.Vec{X: 500, Y: 200, Z: 10 + up}, Max: r3.Vec{X: 600, Y: 300, Z: 60 + up}}
		return []scene.Equipment{{Name: "pump", Kind: "pump", Chamber: 2, Bodies: []scene.Body{{Solid: solid.Box(box)}}}}
	}
	s.Equipment = pump(0)
	s.Display.Water = new(unit.Length(495))
	if f = finding(t, s, "water/drain blocked"); f.Verdict != verdict.No {
		t.Errorf("verdict %v; want no", f.Verdict)
	}
	// A pump that stands on 50 mm leaves those.
	s.Display.Water = new(unit.Length(480))
	s.Equipment = pump(50)
	near(t, "left", list(t, finding(t, s, "water/drain blocked"), "chamber_level_mm")[1], 50, 1e-9)
	near(t, "pumped to the intake", number(t, finding(t, s, "water/drain blocked"), "pumped_l"),
		(250*300*100-100*100*50)/1e6, 1e-6)
	// A heater beside it that reaches higher than those looks out.
	heater := func(tall float64) scene.Equipment {
		box := r3.Box{Min: r3.Vec{X: 650, Y: 200, Z: 10}, Max: r3.Vec{X: 670, Y: 220, Z: 10 + tall}}
		return scene.Equipment{Name: "heater", Kind: "heater", Chamber: 2, Bodies: []scene.Body{{Solid: solid.Box(box)}}}
	}
	for tall, dry := range map[float64]bool{45: false, 100: true} {
		s.Equipment = append(pump(50), heater(tall))
		if f = finding(t, s, "water/drain blocked"); strings.Contains(f.Summary, "heater then stands dry") != dry {
			t.Errorf("a heater %v mm tall: %s", tall, f.Summary)
		}
	}
}

// TestGuessesProveNoFlood: what floods for certain does not when the glass is a
// guess, or rock may take up the place of what is said to come down.
func TestGuessesProveNoFlood(t *testing.T) {
	t.Parallel()
	// 34.5 L are free; 34.8 L come down.
	spills := func() *scene.Scene {
		s := paper()
		s.Display.Drops = new(unit.Length(87))
		return s
	}
	for _, c := range []struct {
		name   string
		change func(*scene.Scene)
		want   verdict.Verdict
	}{
		{"all measured", func(*scene.Scene) {}, verdict.No},
		{"the sump's glass assumed", func(s *scene.Scene) { s.Sump.GlassAssumed = true }, verdict.Unsure},
		{"the display's glass assumed", func(s *scene.Scene) { s.Display.GlassAssumed = true }, verdict.Unsure},
		// 7.8 L of grains, 87/470 of them where the water falls.
		{"rock up to the surface", func(s *scene.Scene) { s.Display.Rock = 23 }, verdict.Unsure},
		{"a flood no guess helps", func(s *scene.Scene) {
			s.Sump.GlassAssumed, s.Display.GlassAssumed, s.Display.Rock = true, true, 23
			s.Display.Drops = new(unit.Length(140))
		}, verdict.No},
	} {
		s := spills()
		c.change(s)
		if f := finding(t, s, "water/pump off"); f.Verdict != c.want {
			t.Errorf("%s: %v (%s); want %v", c.name, f.Verdict, f.Summary, c.want)
		}
	}
}

func TestTopOffByHand(t *testing.T) {
	t.Parallel()
	s := paper()
	box := solid.Box(r3.Box{Min: r3.Vec{X: 800, Y: 100, Z: 0}, Max: r3.Vec{X: 1000, Y: 300, Z: 300}})
	s.Equipment = []scene.Equipment{{Name: "reserve", Kind: "reservoir", Holds: new(6 * unit.Litre), Bodies: []scene.Body{{Solid: box}}}}
	f := finding(t, s, "water/top-off")
	near(t, "running level", list(t, f, "chamber_level_mm")[1], 150+6e6/(250*300), 1e-6)
	near(t, "level after the pump", list(t, f, "pump_off_level_mm")[0], 250+6.5e6/(600*300), 1e-6)
	s.Equipment[0].Holds = new(40 * unit.Litre)
	f = finding(t, s, "water/top-off")
	near(t, "spilled", number(t, f, "spilled_l"), 40+8-34.5, 1e-6)
	if f.Verdict != verdict.No {
		t.Errorf("verdict %v; want no", f.Verdict)
	}
	// What it holds is not given: its outside bounds it, which proves nothing against it.
	s.Equipment[0].Holds = nil
	s.Display.Drops = new(unit.Length(85))
	if f = finding(t, s, "water/top-off"); f.Verdict != verdict.Unsure {
		t.Errorf("verdict %v; want unsure", f.Verdict)
	}
}

func TestThingsTakeUpRoom(t *testing.T) {
	t.Parallel()
	s := paper()
	s.Equipment = []scene.Equipment{{Name: "block", Kind: "box", Chamber: 2, Bodies: []scene.Body{{
		Solid: solid.Box(r3.Box{Min: r3.Vec{X: 500, Y: 110, Z: 10}, Max: r3.Vec{X: 600, Y: 210, Z: 310}}),
	}}}}
	f := finding(t, s, "water/levels")
	near(t, "volume beside the block", list(t, f, "chamber_l")[1], (250*300-100*100)*150/1e6, 1e-9)
	near(t, "level", list(t, finding(t, s, "water/pump off"), "chamber_level_mm")[0],
		250+(8e6-(250*300-100*100)*100)/(600*300-100*100), 1e-6)
}

func TestDepthOfThings(t *testing.T) {
	t.Parallel()
	at := func(z, h float64) []scene.Body {
		return []scene.Body{{Solid: solid.Box(r3.Box{Min: r3.Vec{X: 200, Y: 200, Z: z}, Max: r3.Vec{X: 250, Y: 250, Z: z + h}})}}
	}
	between := func(a, b float64) *[2]unit.Length { return &[2]unit.Length{unit.Length(a), unit.Length(b)} }
	for _, c := range []struct {
		name   string
		kind   string
		up     float64 // above the inside bottom
		tall   float64
		within *[2]unit.Length
		tape   float64
		depth  float64
		want   verdict.Verdict
	}{
		{"well inside", "skimmer", 0, 300, between(200, 300), 1, 250, verdict.OK},
		{"at the edge", "skimmer", 0, 300, between(249.5, 300), 1, 250, verdict.Tight},
		{"raised into it", "skimmer", 50, 300, between(150, 220), 1, 200, verdict.OK},
		{"too deep", "skimmer", 0, 300, between(150, 220), 1, 250, verdict.No},
		{"a hair too deep", "skimmer", 0, 300, between(150, 249.5), 1, 250, verdict.Unsure},
		{"too shallow", "skimmer", 0, 300, between(280, 320), 1, 250, verdict.No},
		{"covered heater", "heater", 10, 200, nil, 1, 240, verdict.OK},
		{"heater that looks out", "heater", 10, 300, nil, 1, 240, verdict.Unsure},
	} {
		s := paper()
		s.Sump.Tape = unit.Length(c.tape)
		s.Equipment = []scene.Equipment{{Name: "it", Kind: c.kind, Chamber: 1, Bodies: at(10+c.up, c.tall), StandsIn: c.within}}
		f := finding(t, s, "water/depth/it")
		near(t, c.name+": depth", number(t, f, "depth_mm"), c.depth, 1e-9)
		if f.Verdict != c.want {
			t.Errorf("%s: %v (%s); want %v", c.name, f.Verdict, f.Summary, c.want)
		}
	}
	// A skimmer that the water coming down drowns.
	s := paper()
	s.Display.Drops = new(unit.Length(60))
	s.Equipment = []scene.Equipment{{Name: "it", Kind: "skimmer", Chamber: 1, Bodies: at(10, 300), StandsIn: between(200, 300)}}
	f := finding(t, s, "water/depth/it")
	if f.Verdict != verdict.Tight || !strings.Contains(f.Summary, "foam") {
		t.Errorf("drowned skimmer: %v, %q", f.Verdict, f.Summary)
	}
}

func TestRaisedBaffle(t *testing.T) {
	t.Parallel()
	with := func(top, gap, level float64, flow unit.Flow) verdict.Finding {
		s := paper()
		s.Sump.Baffles = []scene.Baffle{{At: 340, Top: unit.Length(top), Gap: unit.Length(gap), Thickness: 10}}
		s.Sump.Level, s.Sump.Flow = new(unit.Length(level)), &flow
		return finding(t, s, "water/baffle 1")
	}
	for _, c := range []struct {
		name            string
		top, gap, level float64
		flow            unit.Flow
		want            verdict.Verdict
		says            string
	}{
		{"as it should be", 250, 30, 200, 1000 * unit.LitrePerHour, verdict.OK, "above the water before it"},
		{"low top", 210, 30, 200, 1000 * unit.LitrePerHour, verdict.Tight, "above the water before it"},
		{"overtopped", 190, 30, 200, 1000 * unit.LitrePerHour, verdict.No, "goes over it"},
		{"out of the water", 250, 210, 200, 1000 * unit.LitrePerHour, verdict.Tight, "bubbles pass"},
		{"strangled", 390, 3, 200, 3000 * unit.LitrePerHour, verdict.Tight, "too small"},
	} {
		f := with(c.top, c.gap, c.level, c.flow)
		if f.Verdict != c.want || !strings.Contains(f.Summary, c.says) {
			t.Errorf("%s: %v, %q; want %v with %q", c.name, f.Verdict, f.Summary, c.want, c.says)
		}
	}
}

func TestEvaporation(t *testing.T) {
	t.Parallel()
	// Carrier's formula at v = 0 with water at 80 °F, air at 75 °F and 50 %,
	// worked with vapour pressures of 1.032 and 0.438 inHg from memory: 0.0538
	// lb/(h ft²), and 0.040 over still water. 1 %: the vapour pressures' digits.
	f := func(t float64) unit.Temperature { return unit.Temperature((t - 32) / 1.8) }
	low, high := water.Evaporation(0.09290304, f(80), f(75), 0.5)
	perHour := (unit.Mass(high.Litres()) / 24).Lb()
	near(t, "Carrier", perHour, 0.0538, 0.01*0.0538)
	near(t, "still water", (unit.Mass(low.Litres()) / 24).Lb(), 0.040, 0.01*0.040)
	if low, high := water.Evaporation(1, 10, 30, 1); low != 0 || high != 0 {
		t.Errorf("cold water in wet air loses %v to %v", low, high)
	}
}

// TestVolumesByHand works the volumes of the paper system: 1000 x 400 x 470 in the
// display, 25.5 and 11.25 L in the sump.
func TestVolumesByHand(t *testing.T) {
	t.Parallel()
	s := paper()
	s.Sump.Baffles = nil
	s.Water.Evaporation = new(2 * unit.Litre)
	s.Sump.Flow = new(1000 * unit.LitrePerHour)
	box := solid.Box(r3.Box{Min: r3.Vec{X: 800, Y: 100, Z: 0}, Max: r3.Vec{X: 1000, Y: 300, Z: 300}})
	pump := solid.Box(r3.Box{Min: r3.Vec{X: 500, Y: 200, Z: 10}, Max: r3.Vec{X: 600, Y: 300, Z: 60}})
	s.Equipment = []scene.Equipment{
		{Name: "jug", Kind: "reservoir", Holds: new(5 * unit.Litre), Outlet: new(unit.Length(330)), Bodies: []scene.Body{{Solid: box}}},
		{Name: "pump", Kind: "pump", Chamber: 1, Bodies: []scene.Body{{Solid: pump}}},
	}
	f := finding(t, s, "water/volumes")
	sump := (600*300*150 - 100*100*50) / 1e6
	for key, want := range map[string]float64{
		"display_l": 188, "sump_l": sump, "system_l": 188 + sump, "turnover_per_h": 1000 / (188 + sump),
		// From 150 mm down to the pump's top at 50: 18 L at 2 a day.
		"days_low": 9, "days_high": 9, "reservoir_days_low": 2.5, "reservoir_days_high": 2.5,
	} {
		near(t, key, number(t, f, key), want, 1e-6*want)
	}
	near(t, "above the jug's water", number(t, finding(t, s, "water/siphon/jug"), "above_water_mm"), 30, 1e-9)
	// Without a measured loss the hobby's 1 % and Carrier's band: the shorter time
	// by the larger loss.
	s.Water.Evaporation = nil
	f = finding(t, s, "water/volumes")
	low, high := water.Evaporation((1000*400+600*300)/1e6, 25, 24, 0.5)
	rule := (188 + sump) / 100
	near(t, "least a day", number(t, f, "evaporation_low_l"), min(rule, low.Litres()), 1e-9)
	near(t, "most a day", number(t, f, "evaporation_high_l"), max(rule, high.Litres()), 1e-9)
	near(t, "days at most", number(t, f, "days_high"), 18/min(rule, low.Litres()), 1e-6)
	near(t, "days at least", number(t, f, "days_low"), 18/max(rule, high.Litres()), 1e-6)
}

// TestBubbleTrapSpeed: 1000 L/h through a slot of 30 by 300 mm is 30.9 mm/s.
func TestBubbleTrapSpeed(t *testing.T) {
	t.Parallel()
	s := paper()
	s.Sump.Flow = new(1000 * unit.LitrePerHour)
	s.Sump.Baffles = []scene.Baffle{
		{At: 300, Top: 250, Thickness: 10}, {At: 340, Top: 330, Gap: 40, Thickness: 10}, {At: 380, Top: 200, Thickness: 10},
	}
	near(t, "speed", number(t, finding(t, s, "water/volumes"), "trap_speed_mm_s"), 1e9/3600/(30*300), 1e-6)
}

// TestStartByHand: the last chamber falls from the level with the pump off to the
// running level, over what the pump needs by its foot and stands-in.
func TestStartByHand(t *testing.T) {
	t.Parallel()
	s := paper()
	pump := solid.Box(r3.Box{Min: r3.Vec{X: 500, Y: 200, Z: 30}, Max: r3.Vec{X: 600, Y: 300, Z: 80}})
	s.Equipment = []scene.Equipment{{Name: "pump", Kind: "pump", Chamber: 2, Bodies: []scene.Body{{Solid: pump}}}}
	off := 250 + (8e6-250*300*100+100*100*0)/(600*300.0) // the pump lies under water either way
	f := finding(t, s, "water/start")
	near(t, "dip", number(t, f, "dip_mm"), off-150, 1e-6)
	near(t, "over its top", number(t, f, "cover_mm"), 150-70, 1e-9)
	for _, c := range []struct {
		least unit.Length
		tape  unit.Length
		want  verdict.Verdict
	}{{100, 1, verdict.OK}, {129.5, 1, verdict.Unsure}, {140, 1, verdict.No}} {
		s.Equipment[0].StandsIn, s.Sump.Tape = &[2]unit.Length{c.least, 300}, c.tape
		f := finding(t, s, "water/start")
		near(t, "over what it needs", number(t, f, "cover_mm"), 130-c.least.MM(), 1e-9)
		if f.Verdict != c.want {
			t.Errorf("a pump that needs %v mm: %v (%s); want %v", c.least, f.Verdict, f.Summary, c.want)
		}
	}
}

// TestSafeMarkByHand: freeboard and slope lower the brim, and the tape is taken off
// in the lengths, from the brim and where the pen goes.
func TestSafeMarkByHand(t *testing.T) {
	t.Parallel()
	s := paper()
	s.Sump.Baffles = nil
	s.Tape, s.Sump.Tape = 1.5, 1.5
	const e = 1.5
	drained, area := (1000+e)*(400+e)*(20+e), (600-e)*(300-e)
	want := 400 - e - 25.4 - drained/area - e
	near(t, "with the tape", number(t, finding(t, s, "water/fill line"), "level_safe_mm"), want, 1e-4)

	// A hundredth out of level: the sump's 620 mm are 6.2 mm lower at one end.
	s.Tape, s.Sump.Tape = 0, 0
	s.Water.Slope = scene.Slope{LeftRight: 11}
	safe := number(t, finding(t, s, "water/fill line"), "level_safe_mm")
	s.Sump.Box.Max.Z -= 25.4 + 6.2
	near(t, "out of level", safe, number(t, finding(t, s, "water/fill line"), "level_mm"), 1e-4)
}

func TestWhatThePlanLacks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		drop func(*scene.Scene)
		id   string
		add  string
	}{
		{"no sump", func(s *scene.Scene) { s.Sump = nil }, "water/levels", "sump"},
		{"no level", func(s *scene.Scene) { s.Sump.Level = nil }, "water/levels", "sump.level"},
		{"no flow", func(s *scene.Scene) { s.Sump.Flow = nil }, "water/levels", "sump.flow"},
		{"no flow for the mark", func(s *scene.Scene) { s.Sump.Flow = nil }, "water/fill line", "sump.flow"},
		{"no display", func(s *scene.Scene) { s.Display = nil }, "water/pump off", "display"},
		{"no drop", func(s *scene.Scene) { s.Display.Drops = nil }, "water/pump off", "display.drops"},
		{"no water in the display", func(s *scene.Scene) { s.Display.Water = nil }, "water/drain blocked", "display.water"},
		{"no reservoir", func(*scene.Scene) {}, "water/top-off", "equipment: an item of kind reservoir"},
	} {
		s := paper()
		c.drop(s)
		f := water.Check(s)
		found := false
		for _, l := range f.LeftOut {
			found = found || l.ID == c.id && l.Add == c.add
		}
		if !found {
			t.Errorf("%s: left out %v; want %s for lack of %s", c.name, f.LeftOut, c.id, c.add)
		}
		for _, k := range f.Checks {
			if k.ID == c.id {
				t.Errorf("%s: %s is there all the same: %s", c.name, c.id, k.Summary)
			}
		}
	}
	// Without baffles no flow is needed.
	s := paper()
	s.Sump.Baffles, s.Sump.Flow = nil, nil
	near(t, "level of a plain tank", list(t, finding(t, s, "water/levels"), "chamber_level_mm")[0], 150, 1e-9)
}

func TestWholeReef(t *testing.T) {
	t.Parallel()
	f := water.Check(reef())
	for _, c := range f.Checks {
		t.Logf("%-22s %-6v %s", c.ID, c.Verdict, c.Summary)
	}
	for _, l := range f.LeftOut {
		t.Errorf("left out: %v", l)
	}
	l := finding(t, reef(), "water/levels")
	low, nom, high := list(t, l, "chamber_level_low_mm"), list(t, l, "chamber_level_mm"), list(t, l, "chamber_level_high_mm")
	for i := range nom {
		if !(low[i] < nom[i] && nom[i] < high[i]) {
			t.Errorf("chamber %d: %v is not between %v and %v", i+1, nom[i], low[i], high[i])
		}
	}
	if !strings.Contains(strings.Join(l.Source, "; "), "from memory") {
		t.Errorf("sources %q do not tell of the extrapolation", l.Source)
	}
}

func TestWaterRunsToTheLowSide(t *testing.T) {
	t.Parallel()
	// The cabinet's right edge, 1100 mm away, lies 11 mm lower, its back edge,
	// 500 mm away, 5 mm: a hundredth each way. The middles of the two chambers
	// are 305 mm apart, or 155 mm with the water running to the back.
	s := paper()
	s.Water.Slope = scene.Slope{LeftRight: 11}
	f := water.Compute(s)
	near(t, "deeper on the right by", (f.PumpOff.Depth[1] - f.PumpOff.Depth[0]).MM(), 3.05, 1e-6)
	s.Water.Slope = scene.Slope{FrontBack: 5}
	s.Sump.Inlet = scene.Front
	s.Sump.Baffles = []scene.Baffle{{At: 140, Top: 200, Thickness: 10}}
	f = water.Compute(s)
	near(t, "deeper at the back by", (f.PumpOff.Depth[1] - f.PumpOff.Depth[0]).MM(), 1.55, 1e-6)
}

func TestMarksForPictures(t *testing.T) {
	t.Parallel()
	s := reef()
	in := s.Sump.Inside()
	for _, c := range []struct {
		id       string
		from, to float64 // above the inside bottom
	}{
		{"water/pump off", list(t, finding(t, s, "water/pump off"), "chamber_level_mm")[1], in.Max.Z - in.Min.Z},
		{"water/fill line", 0, number(t, finding(t, s, "water/fill line"), "level_safe_mm")},
		{"water/depth/pump", 0, 7 * 25.4},
		{"water/baffle 2", 12*25.4 - number(t, finding(t, s, "water/baffle 2"), "spare_to_top_mm"), 12 * 25.4},
	} {
		m := finding(t, s, c.id).Marks
		if len(m) == 0 {
			t.Errorf("%s has no mark", c.id)
			continue
		}
		near(t, c.id+": from", m[0].From.Z-in.Min.Z, c.from, 0.5)
		near(t, c.id+": to", m[0].To.Z-in.Min.Z, c.to, 0.5)
	}
}

func TestSlopeTakesRoom(t *testing.T) {
	t.Parallel()
	level := finding(t, reef(), "water/fill line")
	s := reef()
	s.Water.Slope = scene.Slope{LeftRight: unit.Inch / 2}
	tilted := finding(t, s, "water/fill line")
	if !(number(t, tilted, "level_safe_mm") < number(t, level, "level_safe_mm")) {
		t.Errorf("safe mark %v out of level, %v in level", number(t, tilted, "level_safe_mm"), number(t, level, "level_safe_mm"))
	}
	off, flat := finding(t, s, "water/pump off"), finding(t, reef(), "water/pump off")
	if !(number(t, off, "spare_to_brim_mm") < number(t, flat, "spare_to_brim_mm")) {
		t.Error("a sump out of level has as much room as one in level")
	}
}

// sumps draws a system with random baffles, things, level and flow.
func sumps(t *rapid.T) *scene.Scene {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	s := paper()
	s.Sump.Box.Max.Z = f(250, 600, "height")
	s.Display.Drops = new(unit.Length(f(1, 80, "drops")))
	s.Sump.Flow = new(unit.Flow(f(0, 4000, "flow")) * unit.LitrePerHour)
	s.Sump.Level = new(unit.Length(f(0, 300, "level")))
	s.Sump.Inlet = rapid.SampledFrom([]scene.Face{scene.Left, scene.Right}).Draw(t, "inlet")
	s.Tape = unit.Length(f(0, 3, "tape"))
	s.Sump.Tape = s.Tape
	s.Sump.Baffles = nil
	n := rapid.IntRange(0, 4).Draw(t, "baffles")
	for i := range n {
		b := scene.Baffle{At: unit.Length(600 / (n + 1) * (i + 1)), Thickness: 6, Top: unit.Length(f(30, 500, "top"))}
		if rapid.Bool().Draw(t, "raised") {
			b.Gap = b.Top * unit.Length(f(0.05, 0.8, "gap"))
		}
		s.Sump.Baffles = append(s.Sump.Baffles, b)
	}
	if rapid.Bool().Draw(t, "thing") {
		x := f(120, 600, "x")
		s.Equipment = []scene.Equipment{{Name: "it", Kind: "box", Chamber: 1, Bodies: []scene.Body{{
			Solid: solid.Box(r3.Box{Min: r3.Vec{X: x, Y: 200, Z: 10}, Max: r3.Vec{X: x + 60, Y: 300, Z: f(60, 400, "tall")}}),
		}}}}
	}
	if rapid.Bool().Draw(t, "out of level") {
		s.Water.Slope = scene.Slope{LeftRight: unit.Length(f(-10, 10, "slope")), FrontBack: unit.Length(f(-5, 5, "slope back"))}
	}
	return s
}

func TestMarkNeverSpillsAndOneMillimetreMoreDoes(t *testing.T) {
	t.Parallel()
	marks := 0
	rapid.Check(t, func(t *rapid.T) {
		s := sumps(t)
		f := water.Compute(s)
		if f.Mark == nil {
			return
		}
		marks++
		s.Sump.Level = f.Mark
		at := water.Compute(s)
		if at.PumpOff.Spilled > 0 {
			t.Fatalf("at the mark %v mm %v L spill", f.Mark.MM(), at.PumpOff.Spilled.Litres())
		}
		s.Sump.Level = new(*f.Mark + 1)
		more := water.Compute(s)
		n := len(more.Spaces) - 1
		// Over the brim it spills while the pump runs.
		if more.PumpOff.Spilled == 0 && more.Running.Depth[n]+unit.Length(slopeDrop(s)) < more.Brim {
			t.Fatalf("a millimetre over the mark %v mm nothing spills", f.Mark.MM())
		}
		if f.SafeMark != nil && *f.SafeMark > *f.Mark {
			t.Fatalf("the safe mark %v is above the mark %v", *f.SafeMark, *f.Mark)
		}
	})
	if marks < 20 {
		t.Errorf("only %d sumps had a mark: the test looks at nothing", marks)
	}
}

func slopeDrop(s *scene.Scene) float64 {
	return math.Abs(s.Water.Slope.LeftRight.MM()) + math.Abs(s.Water.Slope.FrontBack.MM())
}

func TestReadingsBoundEachOther(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		for _, c := range water.Check(sumps(t)).Checks {
			switch c.ID {
			case "water/levels":
				lo, nom, hi := list2(c, "chamber_level_low_mm"), list2(c, "chamber_level_mm"), list2(c, "chamber_level_high_mm")
				for i := range nom {
					if !(lo[i] <= nom[i]+1e-6 && nom[i] <= hi[i]+1e-6) {
						t.Fatalf("level %v not in %v to %v", nom[i], lo[i], hi[i])
					}
				}
			case "water/pump off":
				lo, nom, hi := number2(c, "spare_low_mm"), number2(c, "spare_to_brim_mm"), number2(c, "spare_high_mm")
				if !(lo <= nom+1e-6 && nom <= hi+1e-6) {
					t.Fatalf("spare %v not in %v to %v", nom, lo, hi)
				}
			}
		}
	})
}

func list2(f verdict.Finding, key string) []float64 {
	for _, m := range f.Measures {
		if v, ok := m.Value.([]float64); ok && m.Key == key {
			return v
		}
	}
	return nil
}

func number2(f verdict.Finding, key string) float64 {
	for _, m := range f.Measures {
		if v, ok := m.Value.(float64); ok && m.Key == key {
			return v
		}
	}
	return math.NaN()
}

func TestMirroredSumpHasTheSameLevels(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := sumps(t)
		s.Equipment = nil
		a := water.Compute(s)
		m := *s
		sump := *s.Sump
		sump.Inlet = map[scene.Face]scene.Face{scene.Left: scene.Right, scene.Right: scene.Left}[sump.Inlet]
		m.Sump = &sump
		m.Water.Slope.LeftRight = -m.Water.Slope.LeftRight
		// The sump must lie in the middle for the slope to be its mirror image too.
		b := water.Compute(&m)
		for i := range a.Running.Depth {
			if math.Abs((a.Running.Depth[i]-b.Running.Depth[i]).MM()) > 1e-6 || math.Abs((a.PumpOff.Depth[i]-b.PumpOff.Depth[i]).MM()) > 1e-6 {
				t.Fatalf("space %d: %v and %v running, %v and %v at rest", i, a.Running.Depth[i], b.Running.Depth[i], a.PumpOff.Depth[i], b.PumpOff.Depth[i])
			}
		}
	})
}

func TestBodiesOfWater(t *testing.T) {
	t.Parallel()
	s := reef()
	f := water.Compute(s)
	sum, names := 0.0, map[string]bool{}
	for _, p := range water.Bodies(s) {
		if p.Role != scene.RoleWater || names[p.Name] {
			t.Errorf("%s: role %v, or there twice", p.Name, p.Role)
		}
		names[p.Name] = true
		if p.Of == "sump" {
			sum += p.Solid.Volume()
		}
	}
	if !names["display/water"] || !names["sump/water 1"] || !names["sump/water 2"] {
		t.Errorf("bodies %v", names)
	}
	// They hold the water and the things in it: between one and one and a half
	// times the water here.
	if v := float64(f.Running.Total); sum < v || sum > 1.5*v {
		t.Errorf("bodies of %v L for %v L of water", unit.Volume(sum).Litres(), f.Running.Total.Litres())
	}
	s.Sump.Level = nil
	for _, p := range water.Bodies(s) {
		if p.Of == "sump" {
			t.Errorf("%s although no level is given", p.Name)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	s := reef()
	for b.Loop() {
		water.Check(s)
	}
}

func BenchmarkCheckOutOfLevel(b *testing.B) {
	s := reef()
	s.Water.Slope = scene.Slope{LeftRight: 3, FrontBack: 2}
	for b.Loop() {
		water.Check(s)
	}
}
