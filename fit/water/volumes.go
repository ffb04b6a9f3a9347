package water

import (
	"fmt"
	"math"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// volumes reports how much water there is, how fast it turns over and how long
// it lasts.
func (c *checker) volumes() {
	if lacks := c.lacking(keyLevel, keyFlow); len(lacks) > 0 {
		c.lack(idVolumes, lacks...)
		return
	}
	f := verdict.Finding{ID: idVolumes, Verdict: verdict.OK, Room: math.NaN(), Assumed: c.assumed("sump.glass", "display.glass")}
	sump := c.Running.Total
	display, system := math.NaN(), math.NaN()
	if v := c.Display.Running; v != nil {
		display = v.Litres()
		system = (*v + sump + c.Pipes).Litres()
	}
	f.Measures = verdict.Measures{
		{Key: "display_l", Value: display},
		{Key: "sump_l", Value: sump.Litres()},
		{Key: "chamber_l", Value: c.chambers(litres(c.Running.Volume))},
		{Key: "system_l", Value: system},
	}
	f.Summary = fmt.Sprintf("%s in the sump", c.say.Volume(sump))
	if c.Display.Running == nil {
		c.lack(idVolumes, c.lacking(keyDisplay, keyWater)...)
	} else {
		f.Summary = fmt.Sprintf("%s in all, %s of it in the sump", c.say.Volume(unit.Volume(system)*unit.Litre), c.say.Volume(sump))
		if c.nom.flow > 0 {
			turnover := unit.Flow(c.nom.flow).LPH() / system
			f.Measures = append(f.Measures, verdict.Measure{Key: "turnover_per_h", Value: turnover})
			f.Summary += fmt.Sprintf(", turned over %.1f times an hour", turnover)
		}
	}
	c.trap(&f)
	c.lasting(&f)
	c.muddled(&f)
	c.add(f)
}

// trap adds how fast the water goes up and down between the panes of a bubble
// trap.
func (c *checker) trap(f *verdict.Finding) {
	fastest := 0.0
	for _, sp := range c.Spaces {
		if sp.Number == 0 {
			fastest = max(fastest, c.nom.flow/((sp.To-sp.From).MM()*c.gapWidth()))
		}
	}
	if fastest == 0 {
		return
	}
	f.Measures = append(f.Measures, verdict.Measure{Key: "trap_speed_mm_s", Value: fastest})
	// In clean water a bubble of 1 mm rises at some 250 mm/s, one of 0.2 mm at
	// some 20 mm/s.
	f.Source = append(f.Source, "rise of bubbles: Clift, Grace and Weber, Bubbles, Drops, and Particles (1978), from memory")
	speed := c.say.Length(unit.Length(fastest))
	if fastest < 20 {
		f.Summary += fmt.Sprintf("; down the bubble trap it moves at %s a second: bubbles that can be seen rise faster", speed)
	} else {
		f.Summary += fmt.Sprintf("; down the bubble trap it moves at %s a second: fine bubbles (under 1/4 mm) are carried along", speed)
	}
}

// lasting adds how long the water lasts without topping off.
func (c *checker) lasting(f *verdict.Finding) {
	if c.Display.Running == nil {
		return
	}
	loss, how := c.evaporation()
	f.Assumed = append(f.Assumed, how.assumed...)
	f.Source = append(f.Source, how.source...)
	n := len(c.Spaces) - 1
	level := c.running.nom.Heights[n]
	// The pump draws bubbles from its top down.
	dry := min(level, c.nom.height(n, c.intake(-1)))
	left := c.nom.tank.Pool(n, level) - c.nom.tank.Pool(n, dry)
	days := outcome{lo: left / float64(loss.hi), hi: left / float64(loss.lo)}
	f.Measures = append(f.Measures,
		verdict.Measure{Key: "evaporation_low_l", Value: loss.lo.Litres()},
		verdict.Measure{Key: "evaporation_high_l", Value: loss.hi.Litres()},
		verdict.Measure{Key: "days_low", Value: days.lo},
		verdict.Measure{Key: "days_high", Value: days.hi})
	f.Summary += fmt.Sprintf("; without topping off the pump runs dry after %s", spell(days.lo, days.hi))
	if holds, _, found := reserve(c.scene); found {
		lo, hi := holds/float64(loss.hi), holds/float64(loss.lo)
		f.Measures = append(f.Measures, verdict.Measure{Key: "reservoir_days_low", Value: lo}, verdict.Measure{Key: "reservoir_days_high", Value: hi})
		f.Summary += fmt.Sprintf(", the reservoir lasts %s", spell(lo, hi))
	}
}

// spell prints an interval of days.
func spell(lo, hi float64) string {
	a, b := fmt.Sprintf("%.1f", lo), fmt.Sprintf("%.1f", hi)
	if lo >= 10 {
		a, b = fmt.Sprintf("%.0f", lo), fmt.Sprintf("%.0f", hi)
	}
	if a == b {
		return a + " days"
	}
	return a + " to " + b + " days"
}

// A rate is a volume a day.
type rate struct{ lo, hi unit.Volume }

type basis struct{ assumed, source []string }

// evaporation returns what the system loses in a day: what the plan says, or a
// band from the published formula and the hobby's rule of 1 % of the system.
func (c *checker) evaporation() (rate, basis) {
	if v := c.scene.Water.Evaporation; v != nil && *v > 0 {
		return rate{*v, *v}, basis{}
	}
	system := *c.Display.Running + c.Running.Total + c.Pipes
	rule := system / 100
	area := (displayArea(c.scene.Display, 0) + c.nom.area) / 1e6
	lo, hi := Evaporation(area, c.scene.Brine.Temperature, roomTemperature, roomHumidity)
	return rate{min(rule, lo), max(rule, hi)}, basis{
		assumed: []string{fmt.Sprintf("room air at %s and 50 %% humidity, still", c.say.Temperature(roomTemperature))},
		source: []string{
			"evaporation: Carrier's formula, ASHRAE Transactions 104 (1998), with the measured 74 % of it over still water as the lower end",
			"1 % of the system a day: common practice, no source",
		},
	}
}

// The room where the plan says nothing of it.
const (
	roomTemperature unit.Temperature = 24
	roomHumidity    float64          = 0.5
)

// Evaporation returns the water that a calm surface of some m² loses in a day to
// still air of a relative humidity from 0 to 1, by Carrier's formula (high) and
// by the 74 % of it that was measured over still, unoccupied pools (low). It is
// not less than 0: below that water condenses.
//
// Source: W = (95 + 0.425 v)(pw − pa)/Y in lb/(h ft²), v in ft/min, pressures in
// inHg, latent heat Y in Btu/lb; measured share: ASHRAE Transactions 104 (1998),
// part 1A. Vapour pressures: Magnus formula with the constants of Alduchov and
// Eskridge (1996), from memory; latent heat 2501 − 2.37 t kJ/kg, from memory.
func Evaporation(area float64, water, air unit.Temperature, humidity float64) (low, high unit.Volume) {
	const (
		inHg     = 3386.389 // Pa
		btuPerLb = 2.326    // kJ/kg
		foot2    = 0.09290304
	)
	latent := (2501 - 2.37*water.Celsius()) / btuPerLb
	pw := vapour(water) / inHg
	pa := humidity * vapour(air) / inHg
	perHour := 95 * max(0, pw-pa) / latent * area / foot2 // lb
	mass := unit.Mass(perHour*24) * unit.Pound
	v := unit.Volume(mass.KG()) * unit.Litre // fresh water leaves, 1 kg to the litre
	return 0.74 * v, v
}

// vapour returns the saturation pressure over water in Pa.
func vapour(t unit.Temperature) float64 {
	return 610.94 * math.Exp(17.625*t.Celsius()/(t.Celsius()+243.04))
}

// siphons reports reservoirs whose hose ends below the water in them.
func (c *checker) siphons() {
	for i := range c.scene.Equipment {
		e := &c.scene.Equipment[i]
		if e.Kind != "reservoir" || len(e.Bodies) == 0 {
			continue
		}
		id := idSiphon + e.Name
		if e.Outlet == nil {
			c.lack(id, fmt.Sprintf("outlet of %s", e.Name))
			continue
		}
		c.add(c.siphon(id, e))
	}
}

func (c *checker) siphon(id string, e *scene.Equipment) verdict.Finding {
	above := e.Outlet.MM() - head(e)
	tape := e.Tape.MM()
	f := verdict.Finding{ID: id, Measures: verdict.Measures{{Key: "above_water_mm", Value: above}}}
	f.Assumed = []string{fmt.Sprintf("%s is full to its top", e.Name)}
	switch o := (outcome{above, above - tape, above + tape}); {
	case o.lo >= 0:
		f.Verdict, f.Room = verdict.OK, o.lo
		f.Summary = fmt.Sprintf("its hose ends %s above its water: it does not siphon", c.say.Length(unit.Length(above)))
	default:
		f.Verdict, f.Room = verdict.Tight, math.Abs(above)
		f.Summary = fmt.Sprintf("its hose ends %s below its water: once it runs it siphons on; end it higher, or let air in at its highest point",
			c.say.Length(unit.Length(-above)))
	}
	if c.running != nil {
		level := c.scene.Sump.Inside().Min.Z + c.Running.Depth[len(c.Spaces)-1].MM()
		if e.Outlet.MM() <= level {
			f.Verdict = verdict.Worst(f.Verdict, verdict.Tight)
			f.Summary += "; it ends in the sump's water, so salt water can come back"
		}
	}
	return f
}
