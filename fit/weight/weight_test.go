package weight_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// plain is a system that can be worked out on paper: a cabinet of 10 mm
// plywood, 1000 x 500 x 800, a display of 10 mm glass, 900 x 400 x 500, a sump
// of 10 mm glass, 520 x 320 x 410 with one baffle, fresh water at 4 °C.
func plain() *scene.Scene {
	board := scene.Panel{Thickness: 10}
	return &scene.Scene{
		Units: unit.Millimetres,
		Cabinet: scene.Cabinet{
			Width: 1000, Depth: 500, Height: 800,
			Front: board, Back: board, Left: board, Right: board, Lid: board,
			Bottom: &scene.InsideBottom{Up: 110, Thickness: 10},
		},
		Stand: &scene.Stand{Board: "plywood"},
		Brine: scene.Brine{Salinity: 0, Temperature: 4},
		Display: &scene.Display{
			Box:   r3.Box{Min: r3.Vec{X: 50, Y: 50, Z: 800}, Max: r3.Vec{X: 950, Y: 450, Z: 1300}},
			Glass: 10, Water: new(unit.Length(440)), Drops: new(unit.Length(20)),
		},
		Sump: &scene.Sump{
			Box:   r3.Box{Min: r3.Vec{X: 100, Y: 100, Z: 110}, Max: r3.Vec{X: 620, Y: 420, Z: 520}},
			Glass: 10, Inlet: scene.Left, Level: new(unit.Length(200)), Flow: new(unit.Flow(0)),
			Baffles: []scene.Baffle{{At: 290, Top: 250, Thickness: 10}},
		},
		Equipment: []scene.Equipment{{
			Name: "box", Kind: "box", Mass: new(unit.Mass(5)),
			Bodies: []scene.Body{{Solid: solid.Box(r3.Box{Min: r3.Vec{X: 700, Y: 100, Z: 110}, Max: r3.Vec{X: 900, Y: 300, Z: 310}})}},
		}},
	}
}

func measure(t *testing.T, f verdict.Findings, key string) any {
	t.Helper()
	const id = "weight/system"
	for _, c := range f.Checks {
		if c.ID != id {
			continue
		}
		for _, m := range c.Measures {
			if m.Key == key {
				return m.Value
			}
		}
	}
	t.Fatalf("no measure %s of %s", key, id)
	return nil
}

func TestSystemByHand(t *testing.T) {
	t.Parallel()
	f := weight.Check(plain())
	const glass, water, ply = 2500e-9, 999.9750e-9, 577e-9 // kg/mm³
	displayGlass := glass * (900*400*500 - 880*380*490)
	displayWater := water * 880 * 380 * 440
	sumpGlass := glass * (520*320*410 - 500*300*400 + 10*300*250)
	sumpWater := water * 300 * (290*250 + 200*200)
	cabinet := ply * (1000*500*790 - 980*480*790 + 1000*500*10 + 980*480*10)
	drained := water * 880 * 380 * 20
	for _, c := range []struct {
		key  string
		want float64
	}{
		{"display_glass_kg", displayGlass},
		{"display_water_kg", displayWater},
		{"sump_glass_kg", sumpGlass},
		{"sump_water_kg", sumpWater},
		{"cabinet_kg", cabinet},
		{"equipment_kg", 5},
		{"empty_kg", displayGlass + sumpGlass + cabinet + 5},
		{"filling_kg", displayGlass + sumpGlass + cabinet + 5 + displayWater - drained},
		{"running_kg", displayGlass + sumpGlass + cabinet + 5 + displayWater + sumpWater},
		{"pump_off_kg", displayGlass + sumpGlass + cabinet + 5 + displayWater + sumpWater},
		{"brim_full_kg", displayGlass + sumpGlass + cabinet + 5 + water*(880*380*490+500*300*400-10*300*250)},
	} {
		got, _ := measure(t, f, c.key).(float64)
		// 1 g: the water's density is taken to 1e-7 of itself.
		if math.Abs(got-c.want) > 1e-3 {
			t.Errorf("%s = %.4f; want %.4f", c.key, got, c.want)
		}
	}
}

// TestSharesByHand works out what the weight is made of as TestSystemByHand does.
func TestSharesByHand(t *testing.T) {
	t.Parallel()
	s := plain()
	s.Display.Rock = 20
	s.Equipment[0].Name = "water changer" // a name is no water
	s.Equipment[0].Mass = new(unit.Mass(9))
	glass := 2500e-9 * (900*400*500 - 880*380*490 + 520*320*410 - 500*300*400 + 10*300*250)
	water := 999.975e-9 * (880*380*440 - 20/2945.0*1e9 + 300*(290*250+200*200))
	ply := 577e-9 * (1000*500*790 - 980*480*790 + 1000*500*10 + 980*480*10)
	all := glass + water + ply + 20 + 9
	want := fmt.Sprintf("%.0f %% water, %.0f %% glass, %.0f %% sand and rock, %.0f %% cabinet, %.0f %% equipment",
		100*water/all, 100*glass/all, 100*20/all, 100*ply/all, 100*9/all)
	if got := weight.Check(s).Checks[0].Summary; !strings.HasSuffix(got, want) {
		t.Errorf("%q; want %q at its end", got, want)
	}
}

func TestCentreByHand(t *testing.T) {
	t.Parallel()
	l := weight.Compute(plain())
	m, at, known := l.On(weight.OnTop, weight.Running)
	if !known {
		t.Fatal("not known")
	}
	const glass, water = 2500e-9, 999.9750e-9
	// The glass as the outer block less the inner one, heights above its foot.
	g := glass * (900*400*500.0*250 - 880*380*490.0*255)
	w := water * 880 * 380 * 440 * (10 + 220)
	want := 800 + (g+w)/m.KG()
	if math.Abs(at.Z-want) > 1e-3 || math.Abs(at.X-500) > 1e-6 || math.Abs(at.Y-250) > 1e-6 {
		t.Errorf("centre of the display at %v; want 500, 250, %.3f", at, want)
	}
	// Rock is heaped from the sand to half of what is left: 490 mm over 10 mm of
	// glass, of which 50 are sand.
	s := plain()
	s.Display.Sand, s.Display.Rock = 50, 20
	for _, i := range weight.Compute(s).Items {
		if i.Name == "display rock" && math.Abs(i.At[weight.Running].Z-(800+10+50+110)) > 1e-6 {
			t.Errorf("the rock's centre is %v high", i.At[weight.Running].Z)
		}
	}
	// Of all states filling has the highest centre: water above, none below.
	_, filling, _ := l.Total(weight.Filling)
	for _, st := range weight.States {
		if _, p, _ := l.Total(st); p.Z > filling.Z {
			t.Errorf("%v has its centre at %.1f, above filling at %.1f", st, p.Z, filling.Z)
		}
	}
}

func TestStoppingThePumpMovesWaterButLosesNone(t *testing.T) {
	t.Parallel()
	s := plain()
	s.Sump.Flow = new(1500 * unit.LitrePerHour)
	s.Water.Pipes = new(2 * unit.Litre)
	l := weight.Compute(s)
	running, up, _ := l.Total(weight.Running)
	off, down, _ := l.Total(weight.PumpOff)
	if math.Abs((running - off).KG()) > 1e-6 {
		t.Errorf("running %v kg, pump off %v kg", running, off)
	}
	if !(down.Z < up.Z) {
		t.Errorf("the centre rises from %.2f to %.2f when water comes down", up.Z, down.Z)
	}
}

func TestSandAndRockHoldWater(t *testing.T) {
	t.Parallel()
	s := plain()
	s.Display.Sand, s.Display.Rock = 50, 20
	f := weight.Check(s)
	sand, _ := measure(t, f, "sand_kg").(float64)
	if want := 1650e-9 * 880 * 380 * 50; math.Abs(sand-want) > 1e-6 {
		t.Errorf("sand %.3f kg; want %.3f", sand, want)
	}
	water, _ := measure(t, f, "display_water_kg").(float64)
	// Grains of quartz (2650) and aragonite (2945) take the water's place.
	want := 999.9750e-9 * (880*380*440 - 880*380*50*1650.0/2650 - 20/2945.0*1e9)
	if math.Abs(water-want) > 1e-3 {
		t.Errorf("water %.3f kg; want %.3f", water, want)
	}
	// Wet sand as the load standard has it, 2000 kg/m³, to the 2 % that sands
	// differ by (NEN-EN 1991 Annex A).
	wet := (sand + 999.9750e-9*880*380*50*(1-1650.0/2650)) / (880 * 380 * 50e-9)
	if math.Abs(wet-2000) > 40 {
		t.Errorf("wet sand weighs %.0f kg/m³; want about 2000", wet)
	}
}

func TestWhatThePlanLacks(t *testing.T) {
	t.Parallel()
	s := plain()
	s.Display.Water, s.Sump.Level, s.Equipment[0].Mass = nil, nil, nil
	f := weight.Check(s)
	if v, _ := measure(t, f, "running_kg").(float64); !math.IsNaN(v) {
		t.Errorf("running_kg = %v although the levels are not known", v)
	}
	if v, _ := measure(t, f, "brim_full_kg").(float64); math.IsNaN(v) {
		t.Error("brim_full_kg needs no level")
	}
	var keys []string
	for _, l := range f.LeftOut {
		keys = append(keys, l.Add)
	}
	if got := strings.Join(keys, " "); got != "display.water sump.level" {
		t.Errorf("left out for lack of %q; want display.water and sump.level", got)
	}
	assumed := strings.Join(f.Checks[0].Assumed, "; ")
	if !strings.Contains(assumed, "box: mass not given") {
		t.Errorf("assumed %q does not tell of the box", assumed)
	}
}

func TestWeighedSumpCountsAsWeighed(t *testing.T) {
	t.Parallel()
	s := plain()
	s.Sump.Empty = new(22 * unit.Pound)
	f := weight.Check(s)
	if got, _ := measure(t, f, "sump_glass_kg").(float64); math.Abs(got-9.97903214) > 1e-9 {
		t.Errorf("sump_glass_kg = %v; want 22 lb", got)
	}
}

// TestSumpInTheHands: over 20 lb at arm's length takes two people, over 50 lb is
// too much for two (common practice, no source); and each has to hold no more
// than the lifting equation recommends, 20 lb here: 23 kg · 25/41 · 0.808 ·
// 0.89 · 0.9 with the hands 41 cm out and 11 cm up, over 64 cm.
func TestSumpInTheHands(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		lb   float64
		back float64 // how much farther back the sump stands, mm
		want verdict.Verdict
		says string
	}{
		{"one person", 19, 0, verdict.OK, "recommends 20 lb"},
		{"two people", 22, 0, verdict.OK, "two people, with 11 lb each"},
		{"two people's share is too much", 46, 0, verdict.Tight, "two people, with 23 lb each"},
		{"one person, far in", 19, 150, verdict.Tight, "let a second one help"},
		{"too much for two", 60, 0, verdict.Tight, "a third one"},
		{"out of the equation's reach", 22, 400, verdict.OK, "beyond"},
	} {
		s := plain()
		s.Units = unit.Inches
		s.Sump.Empty = new(unit.Mass(c.lb) * unit.Pound)
		s.Sump.Box.Min.Y, s.Sump.Box.Max.Y = s.Sump.Box.Min.Y+c.back, s.Sump.Box.Max.Y+c.back
		for _, f := range weight.Check(s).Checks {
			if f.ID == "weight/lift" && (f.Verdict != c.want || !strings.Contains(f.Summary, c.says)) {
				t.Errorf("%s: %v (%s); want %v and %q", c.name, f.Verdict, f.Summary, c.want, c.says)
			}
		}
	}
}

func TestLiftingEquation(t *testing.T) {
	t.Parallel()
	// At its best the equation allows 23 kg, with a poor hold 20.7. The worked
	// example of its manual (stock lifted at 23 in reach, 15 in height, over 48 in)
	// gives 16.3 lb with a fair hold, 0.95, from memory; its table of multipliers
	// rounds each to two digits and takes 10 in for 25 cm: 4 %.
	if got, ok := weight.Lifting(250, 750, 0); !ok || math.Abs(got.KG()-20.7) > 1e-9 {
		t.Errorf("best case: %v, %v; want 20.7", got, ok)
	}
	if got, _ := weight.Lifting(500, 250, 500); math.Abs(got.KG()-20.7*0.5*0.85*0.91) > 1e-9 {
		t.Errorf("half the reach's worth, 50 cm down, over 50 cm: %v", got)
	}
	got, ok := weight.Lifting(23*unit.Inch, 15*unit.Inch, 48*unit.Inch)
	if want := 16.3 / 0.95 * 0.90; !ok || math.Abs(got.Lb()-want) > 0.04*want {
		t.Errorf("worked example: %.2f lb, %v; want %.2f", got.Lb(), ok, want)
	}
	for _, c := range []struct {
		name       string
		reach, up  unit.Length
		travel     unit.Length
		wantInside bool
	}{
		{"arm's length", 640, 100, 0, false},
		{"overhead", 300, 1760, 0, false},
		{"below the floor", 300, -1, 0, false},
		{"near", 300, 100, 600, true},
	} {
		if _, ok := weight.Lifting(c.reach, c.up, c.travel); ok != c.wantInside {
			t.Errorf("%s: within the range = %v", c.name, ok)
		}
	}
}

func TestWaterOutOfRange(t *testing.T) {
	t.Parallel()
	s := plain()
	s.Brine = scene.Brine{Salinity: 60, Temperature: 25}
	if f := weight.Check(s).Checks[0]; f.Verdict != verdict.Unsure || !strings.Contains(f.Summary, "outside of the range") {
		t.Errorf("brine of salinity 60: %v, %q", f.Verdict, f.Summary)
	}
}

func BenchmarkCheck(b *testing.B) {
	s := plain()
	for b.Loop() {
		weight.Check(s)
	}
}
