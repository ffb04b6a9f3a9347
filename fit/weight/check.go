package weight

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/seawater"
	"undercroft/scene/unit"
)

// idSystem is the check of what everything weighs.
const idSystem = "weight/system"

// Check reports the weight of the system (weight/system), its centre of gravity
// by state (weight/centre) and the empty sump in the hands (weight/lift).
func Check(s *scene.Scene) verdict.Findings {
	var f verdict.Findings
	l := Compute(s)
	if s.Display == nil && s.Sump == nil {
		f.LeftOut = append(f.LeftOut, verdict.LeftOut{ID: idSystem, Add: "display"})
		return f
	}
	f.LeftOut = append(f.LeftOut, l.LeftOut...)
	f.Checks = append(f.Checks, system(s, l), centre(s, l))
	if s.Sump != nil {
		f.Checks = append(f.Checks, lift(s, l))
		f.Cautions = append(f.Cautions, "Lift the sump empty, two people, from under its bottom.")
	}
	return f
}

var sources = []string{
	"density of water: EOS-80, UNESCO Technical Papers in Marine Science 44 (1983)",
	"density of glass 2500 kg/m³: EN 572-1",
}

// total returns the mass in a state, NaN where not all of it is known.
func total(l Loads, st State) float64 {
	m, _, known := l.Total(st)
	return ifKnown(m, known)
}

func ifKnown(m unit.Mass, known bool) float64 {
	if !known {
		return math.NaN()
	}
	return m.KG()
}

// item returns the mass of the rows that match while the pump runs, NaN where
// not known.
func item(l Loads, match func(Item) bool) float64 {
	m, _, known := l.sum(Running, match)
	return ifKnown(m, known)
}

// water tells the rows that are water.
func isWater(i Item) bool { return i.Name == "display water" || i.Name == "sump water" }

func dry(of string) func(Item) bool {
	return func(i Item) bool { return i.Of == of && !isWater(i) }
}

func wet(of string) func(Item) bool {
	return func(i Item) bool { return i.Of == of && isWater(i) }
}

// bare tells the glass and trim of display or sump.
func bare(of string) func(Item) bool {
	return func(i Item) bool {
		return i.Of == of && !isWater(i) && i.Name != "display sand" && i.Name != "display rock"
	}
}

func system(s *scene.Scene, l Loads) verdict.Finding {
	f := verdict.Finding{
		ID: idSystem, Verdict: verdict.OK, Assumed: l.Assumed, Room: math.NaN(), Source: slices.Clone(sources),
	}
	var names []string
	var masses, shares []float64
	all := total(l, Running)
	for _, i := range l.Items {
		names = append(names, i.Name)
		m := ifKnown(i.Mass[Running], i.Known[Running])
		masses = append(masses, m)
		shares = append(shares, m/all)
	}
	f.Measures = verdict.Measures{
		{Key: "empty_kg", Value: total(l, Empty)},
		{Key: "filling_kg", Value: total(l, Filling)},
		{Key: "running_kg", Value: all},
		{Key: "pump_off_kg", Value: total(l, PumpOff)},
		{Key: "brim_full_kg", Value: total(l, BrimFull)},
	}
	if s.Display != nil {
		f.Measures = append(f.Measures,
			verdict.Measure{Key: "display_glass_kg", Value: item(l, bare("display"))},
			verdict.Measure{Key: "display_water_kg", Value: item(l, wet("display"))})
		if m := item(l, func(i Item) bool { return i.Name == "display sand" }); m > 0 {
			f.Measures = append(f.Measures, verdict.Measure{Key: "sand_kg", Value: m})
		}
		if m := item(l, func(i Item) bool { return i.Name == "display rock" }); m > 0 {
			f.Measures = append(f.Measures, verdict.Measure{Key: "rock_kg", Value: m})
		}
	}
	if s.Sump != nil {
		f.Measures = append(f.Measures,
			verdict.Measure{Key: "sump_glass_kg", Value: item(l, bare("sump"))},
			verdict.Measure{Key: "sump_water_kg", Value: item(l, wet("sump"))})
	}
	f.Measures = append(f.Measures,
		verdict.Measure{Key: "cabinet_kg", Value: item(l, func(i Item) bool { return i.Of == "cabinet" && i.Name != pipeWater })},
		verdict.Measure{Key: "equipment_kg", Value: item(l, func(i Item) bool {
			return i.Of != "cabinet" && i.Of != "display" && i.Of != "sump"
		})},
		verdict.Measure{Key: "part", Value: names},
		verdict.Measure{Key: "part_kg", Value: masses},
		verdict.Measure{Key: "part_share", Value: shares})
	empty, _, _ := l.Total(Empty)
	full, _, known := l.Total(Running)
	switch {
	case known:
		f.Summary = fmt.Sprintf("%s filled and running, %s of it empty", s.Units.Mass(full), s.Units.Mass(empty))
		if top, _, ok := l.On(OnTop, Running); ok && s.Display != nil {
			f.Summary += fmt.Sprintf("; %s of it stand on the cabinet's top", s.Units.Mass(top))
		}
		f.Summary += "; " + shared(l, full)
	default:
		brim, _, _ := l.Total(BrimFull)
		f.Summary = fmt.Sprintf("%s empty, %s full to the brim", s.Units.Mass(empty), s.Units.Mass(brim))
	}
	if _, known := seawater.Density(s.Brine.Salinity, s.Brine.Temperature); !known {
		f.Verdict = verdict.Unsure
		f.Summary += "; salinity or temperature is outside of the range in which the density of water is known"
	}
	return f
}

// shared says what the running system's weight is made of, the most first.
func shared(l Loads, all unit.Mass) string {
	type group struct {
		name string
		mass unit.Mass
	}
	groups := []group{{name: "water"}, {name: "glass"}, {name: "sand and rock"}, {name: "cabinet"}, {name: "equipment"}}
	for _, i := range l.Items {
		k := 4
		switch {
		case i.Name == i.Of+" water" || i.Name == pipeWater:
			k = 0
		case i.Name == "display sand" || i.Name == "display rock":
			k = 2
		case i.Of == "display" || i.Of == "sump":
			k = 1
		case i.Of == "cabinet":
			k = 3
		}
		groups[k].mass += i.Mass[Running]
	}
	slices.SortStableFunc(groups, func(a, b group) int { return cmp.Compare(b.mass, a.mass) })
	var parts []string
	for _, g := range groups {
		if percent := math.Round(100 * g.mass.KG() / all.KG()); percent >= 1 {
			parts = append(parts, fmt.Sprintf("%.0f %% %s", percent, g.name))
		}
	}
	return strings.Join(parts, ", ")
}

func centre(s *scene.Scene, l Loads) verdict.Finding {
	f := verdict.Finding{ID: "weight/centre", Verdict: verdict.OK, Room: math.NaN(), Assumed: l.Assumed, Source: slices.Clone(sources)}
	var names []string
	var mass, x, y, z []float64
	highest, at := Empty, math.Inf(-1)
	for _, st := range States {
		m, p, known := l.Total(st)
		names = append(names, st.String())
		if !known {
			mass, x, y, z = append(mass, math.NaN()), append(x, math.NaN()), append(y, math.NaN()), append(z, math.NaN())
			continue
		}
		mass, x, y, z = append(mass, m.KG()), append(x, p.X), append(y, p.Y), append(z, p.Z)
		if p.Z > at {
			highest, at = st, p.Z
		}
	}
	f.Measures = verdict.Measures{
		{Key: "state", Value: names},
		{Key: "mass_kg", Value: mass},
		{Key: "x_mm", Value: x},
		{Key: "y_mm", Value: y},
		{Key: "z_mm", Value: z},
	}
	f.Summary = fmt.Sprintf("the weight is centred at most %s above the house floor (%s)", s.Units.Length(unit.Length(at)), highest)
	return f
}

// What hands can hold: common practice, no source.
const (
	onePerson = 20 * unit.Pound // at arm's length
	twoPeople = 50 * unit.Pound
)

// Sump returns the mass of the sump without water: what is carried in.
func (l Loads) Sump() unit.Mass {
	m, _, _ := l.sum(Empty, dry("sump"))
	return m
}

func lift(s *scene.Scene, l Loads) verdict.Finding {
	m := l.Sump()
	f := verdict.Finding{ID: "weight/lift", Room: math.NaN(), Assumed: nil}
	for _, a := range s.Assumed {
		if a.Key == "sump.glass" {
			f.Assumed = append(f.Assumed, a.Text)
		}
	}
	f.Source = []string{"20 lb at arm's length for one, 50 lb for two: common practice, no source"}
	people := 1.0
	if m > onePerson {
		people = 2
	}
	share := unit.Mass(m.KG() / people)
	f.Measures = verdict.Measures{{Key: "mass_kg", Value: m.KG()}, {Key: "people", Value: people}, {Key: "share_kg", Value: share.KG()}}
	f.Summary = fmt.Sprintf("the empty sump weighs %s", s.Units.Mass(m))
	// It is glass: two people carry it whatever it weighs, so what two may hold is
	// what is wanted.
	f.Verdict = verdict.OK
	switch {
	case m <= onePerson:
	case m <= twoPeople:
		f.Summary += fmt.Sprintf(": warning, over %s it takes two people, with %s each", s.Units.Mass(onePerson), s.Units.Mass(share))
	default:
		f.Verdict = verdict.Tight
		f.Summary += fmt.Sprintf(": warning, more than the %s two people should hold at arm's length; take out what comes out, or let a third one help", s.Units.Mass(twoPeople))
	}
	// Set down in its place through the front: the hands are before the ankles
	// by the depth to the sump's middle and half a shoe.
	b := s.Sump.Box
	reach := unit.Length((b.Min.Y+b.Max.Y)/2) + ankle
	limit, ok := Lifting(reach, unit.Length(b.Min.Z), table-unit.Length(b.Min.Z))
	if !ok {
		f.Measures = append(f.Measures, verdict.Measure{Key: "recommended_kg", Value: math.NaN()})
		f.Summary += "; the reach is beyond what the lifting equation speaks of"
		return f
	}
	f.Measures = append(f.Measures, verdict.Measure{Key: "recommended_kg", Value: limit.KG()})
	f.Source = append(f.Source, sourceLifting)
	f.Summary += fmt.Sprintf("; the lifting equation recommends %s a person at this reach", s.Units.Mass(limit))
	if share > limit {
		f.Verdict = verdict.Tight
		if people == 1 {
			f.Summary += ": let a second one help"
		}
	}
	return f
}

const (
	// ankle is from the cabinet's face to the middle of the ankles of someone
	// who stands before it: from memory.
	ankle = 150 * unit.Millimetre
	// table is the height from which the sump is taken.
	table = 750 * unit.Millimetre

	sourceLifting = "revised NIOSH lifting equation, Waters, Putz-Anderson, Garg and Fine, Ergonomics 36 (1993) 749, from memory; for one person"
)

// Lifting returns the recommended weight limit for one person who lifts now and
// then, without twisting, glass that has no handles: horizontal is from the
// ankles' middle to the hands, up the height of the hands above the floor where
// the load is set down, travel how far it goes up or down. ok is false outside
// of the equation's range: a reach over 63 cm, a height over 175 cm or below 0.
//
// Source: Waters, Putz-Anderson, Garg and Fine, Ergonomics 36 (1993) 749, the
// revised NIOSH lifting equation, from memory: 23 kg · 25/H · (1 − 0.003 |V − 75|)
// · (0.82 + 4.5/D) · 0.90, in cm.
func Lifting(horizontal, up, travel unit.Length) (limit unit.Mass, ok bool) {
	h, v, d := float64(horizontal/unit.Centimetre), float64(up/unit.Centimetre), math.Abs(float64(travel/unit.Centimetre))
	if !(h <= 63 && v >= 0 && v <= 175 && d <= 175) {
		return 0, false
	}
	const (
		constant = 23.0
		poorHold = 0.90
	)
	return unit.Mass(constant * 25 / max(h, 25) * (1 - 0.003*math.Abs(v-75)) * min(1, 0.82+4.5/max(d, 25)) * poorHold), true
}
