package glass

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/assets"
	"undercroft/fit/glass/internal/pane"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// The design stress of annealed float glass that water bends for years.
//
// Source: EN 16612:2019, from memory: characteristic strength 45 N/mm² (EN
// 572-1), factor for a load of 50 years 0.29, for seamed edges 0.8, partial
// factor of the material 1.8. Short-time values are several times higher and
// mean nothing here.
const (
	characteristic = 45 * unit.MegaPascal
	permanent      = 0.29
	seamed         = 0.8
	material       = 1.8
	// action is the partial factor of a permanent load: EN 1990, from memory.
	action = 1.35

	sourceStress   = "design stress of annealed float glass under permanent load, seamed edges, EN 16612:2019, from memory; water as a permanent load with the factor 1.35 of EN 1990, from memory"
	sourceDuration = "load duration of glass: EN 16612:2019, kmod = 0.663 t^(-1/16), from memory"
	sourceBending  = "pane held at its foot and sides, free at its top: series of M. Lévy, Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells"
	sourceGlass    = "E 70 000 N/mm², Poisson's ratio 0.2: EN 572-1, as quoted in a second text"
)

// DesignStress is what annealed float glass with seamed edges may bear for
// years.
const DesignStress = unit.Pressure(float64(characteristic) * permanent * seamed / material)

// stopped is how long the pump is taken to stand still in all of the fifty years
// that the permanent stress is for: common practice, no source.
const stopped = 365 * 24 // hours

// Duration is the share of its short-time strength that annealed glass keeps
// under a load of so many hours in all; fifty years give the 0.29 of a permanent
// load.
//
// Source: EN 16612:2019, kmod = 0.663 t^(−1/16), from memory. Range: from a day
// to fifty years.
func Duration(hours float64) float64 { return 0.663 * math.Pow(hours, -1./16) }

// Check reports the cut list, the bending of each baffle and that of the sump's
// long pane.
func Check(s *scene.Scene) verdict.Findings {
	var f verdict.Findings
	if s.Sump == nil {
		f.LeftOut = append(f.LeftOut, verdict.LeftOut{ID: "glass/cut list", Add: "sump"})
		return f
	}
	l := Cut(s)
	if len(l.Pieces) == 0 {
		f.LeftOut = append(f.LeftOut, verdict.LeftOut{ID: "glass/cut list", Add: "sump.baffles"})
	} else {
		f.Checks = append(f.Checks, list(s, l))
		f.Cautions = append(f.Cautions, "Glass: let silicone cure 48 hours, then leak-test the sump full on the bench for 24 hours before it goes in.")
	}
	w := water.Compute(s)
	for i, p := range l.Pieces {
		f.Checks = append(f.Checks, baffle(s, w, l, i, p))
	}
	f.Checks = append(f.Checks, long(s, w))
	return f
}

func list(s *scene.Scene, l List) verdict.Finding {
	f := verdict.Finding{ID: "glass/cut list", Verdict: verdict.OK, Room: math.NaN(), Assumed: l.Assumed}
	var names []string
	var width, height, thick, mass []float64
	texts := make([]string, 0, len(l.Pieces))
	for _, p := range l.Pieces {
		names = append(names, p.Name)
		width, height = append(width, p.Width.MM()), append(height, p.Height.MM())
		thick, mass = append(thick, p.Thickness.MM()), append(mass, p.Mass.KG())
		texts = append(texts, s.Units.Size(p.Width, p.Height))
	}
	f.Measures = verdict.Measures{
		{Key: "piece", Value: names},
		{Key: "width_mm", Value: width},
		{Key: "height_mm", Value: height},
		{Key: "thickness_mm", Value: thick},
		{Key: "piece_kg", Value: mass},
		{Key: "area_m2", Value: l.Area},
		{Key: "mass_kg", Value: l.Mass.KG()},
		{Key: "allowance_mm", Value: l.Allowance.MM()},
	}
	f.Source = []string{"allowance for silicone: common practice, no source"}
	f.Summary = fmt.Sprintf("for the glass shop: %s; %s of glass in all", strings.Join(texts, ", "), s.Units.Mass(l.Mass))
	return f
}

// A pressed pane has water against one face.
type pressed struct {
	pane.Pane
	thick unit.Length
	load  pane.Load
}

// press returns a pane that stands on the bottom with water of a depth in mm
// before it.
func press(width, height, thick unit.Length, depth float64, density unit.Density) pressed {
	// Pressure grows by the weight of a mm of water: kg/m³ · m/s² · 1e-9 = N/mm³.
	grows := float64(density) * unit.StandardGravity * 1e-9
	glass, _ := assets.Material("glass")
	return pressed{
		Pane: pane.Pane{Width: width.MM(), Height: height.MM(), Poisson: glass.Poisson}, thick: thick,
		load: pane.Load{Foot: grows * depth, Depth: depth},
	}
}

// A result is what a pressed pane comes to, as thin as glass of its size may be.
type result struct {
	stress unit.Pressure
	sag    unit.Length
	ratio  float64
	low    float64 // with the thickness that the plan says
	thin   bool    // the sag is small enough for the theory of thin plates
	do     unit.Length
	have   unit.Length
	units  unit.System
}

// bend returns stress and sag, and the thinnest size sold that does against what
// the glass may bear.
func (p pressed) bend(u unit.System, may unit.Pressure) result {
	b := p.Bend(p.load)
	glass, _ := assets.Material("glass")
	t := Least(p.thick).MM()
	rigid := glass.E.MPa() * t * t * t / (12 * (1 - glass.Poisson*glass.Poisson))
	return judged(u, b.Moment, p.thick, unit.Length(b.Sag/rigid), may)
}

// judged gathers what a moment per length and a sag come to.
func judged(u unit.System, moment float64, thick, sag unit.Length, may unit.Pressure) result {
	at := func(t unit.Length) (unit.Pressure, float64) {
		stress := unit.Pressure(6 * moment / (t.MM() * t.MM()))
		return stress, action * float64(stress) / float64(may)
	}
	r := result{sag: sag, have: thick, units: u, do: unit.Length(math.NaN())}
	r.stress, r.ratio = at(Least(thick))
	_, r.low = at(thick)
	// Beyond half its thickness a plate stiffens as a skin; what the theory says
	// is then too much.
	r.thin = sag <= thick/2
	sizes := plies(u)
	if i := slices.IndexFunc(sizes, func(p ply) bool { _, ratio := at(p.least); return ratio <= enough }); i >= 0 {
		r.do = sizes[i].name
	}
	return r
}

// enough is the largest ratio that is ok.
const enough = 0.9

func (r result) measures() verdict.Measures {
	return verdict.Measures{
		{Key: "stress_mpa", Value: r.stress.MPa()},
		{Key: "design_stress_mpa", Value: DesignStress.MPa()},
		{Key: "ratio", Value: r.ratio},
		{Key: "sag_mm", Value: r.sag.MM()},
		{Key: "thickness_that_does_mm", Value: r.do.MM()},
		{Key: "least_thickness_mm", Value: Least(r.have).MM()},
	}
}

// judge judges the ratio; where the theory gives too much, or glass as thick as
// it is called would do, no comes of it.
func (r result) judge() verdict.Verdict {
	v := verdict.JudgeRatio(r.ratio)
	if v == verdict.No && !(r.thin && r.low > 1) {
		return verdict.Unsure
	}
	return v
}

// does tells which thickness would do where this one is not ok.
func (r result) does() string {
	switch {
	case r.ratio <= enough:
		return ""
	case math.IsNaN(r.do.MM()):
		return "; no thickness that is sold does"
	}
	return fmt.Sprintf("; %s glass does", Name(r.units, r.do))
}

// plied says of what thickness a pane was reckoned.
func plied(s *scene.Scene, thick unit.Length) []string {
	if least := Least(thick); least < thick {
		return []string{fmt.Sprintf("%s glass may be as thin as %.4g mm", Name(s.Units, thick), least.MM())}
	}
	return nil
}

func baffle(s *scene.Scene, w water.Figures, l List, i int, p Piece) verdict.Finding {
	f := verdict.Finding{
		ID: "glass/" + p.Name, Room: math.NaN(), Assumed: slices.Concat(l.Assumed, plied(s, p.Thickness)),
		Source: []string{sourceStress, sourceBending, sourceGlass, sourcePlies},
	}
	r := press(l.Inside, p.Height, p.Thickness, p.Height.MM(), w.Density).bend(s.Units, DesignStress)
	load := "with water to its top on one side only"
	if p.Raised {
		r = strip(s.Units, l.Inside, p.Thickness, w.Density)
		load = fmt.Sprintf("with the water %s higher on one side (it passes under)", s.Units.Length(step))
		f.Source[1] = "raised pane, held at its sides only: a beam on two supports"
	}
	f.Verdict = r.judge()
	f.Measures = append(verdict.Measures{
		{Key: "width_mm", Value: p.Width.MM()}, {Key: "height_mm", Value: p.Height.MM()}, {Key: "thickness_mm", Value: p.Thickness.MM()},
	}, r.measures()...)
	f.Summary = fmt.Sprintf("%s, %s thick; %s it bends to %.2f of what it may bear for years%s",
		s.Units.Size(p.Width, p.Height), Name(s.Units, p.Thickness), load, r.ratio, r.does())
	if f.Verdict != verdict.OK {
		f.Again = fmt.Sprintf("thickness of baffle %d", i+1)
	}
	return f
}

// step is the difference in level that a raised pane is judged for. Water passes
// under it, so one side never stands dry: what its gap costs is some mm at most.
const step = 2 * unit.Inch

// strip bends a raised pane, which is held at its sides only, under a step in
// level: a beam across the flow.
func strip(u unit.System, width, thick unit.Length, density unit.Density) result {
	glass, _ := assets.Material("glass")
	q := float64(density) * unit.StandardGravity * 1e-9 * step.MM()
	t := Least(thick).MM()
	sag := 5 * q * math.Pow(width.MM(), 4) / (384 * glass.E.MPa() * t * t * t / 12)
	return judged(u, q*width.MM()*width.MM()/8, thick, unit.Length(sag), DesignStress)
}

// long judges the longer upright pane of the sump: for years under the level with
// the pump running, and for the time that the pump stands still under the level
// then; full to the brim where one of them is not known.
func long(s *scene.Scene, w water.Figures) verdict.Finding {
	in := s.Sump.Inside()
	width, height := unit.Length(max(in.Max.X-in.Min.X, in.Max.Y-in.Min.Y)), unit.Length(in.Max.Z-in.Min.Z)
	f := verdict.Finding{ID: "glass/long pane", Room: math.NaN(), Source: []string{sourceStress, sourceBending, sourceGlass, sourcePlies}, Assumed: plied(s, s.Sump.Glass)}
	for _, a := range s.Assumed {
		if a.Key == "sump.glass" {
			f.Assumed = append(f.Assumed, a.Text)
		}
	}
	depth := func(l *water.Levels) float64 {
		deep := 0.0
		for _, d := range l.Depth {
			deep = max(deep, d.MM())
		}
		return min(deep, height.MM())
	}
	press := func(depth float64, may unit.Pressure) result {
		return press(width, height, s.Sump.Glass, depth, w.Density).bend(s.Units, may)
	}
	full := press(height.MM(), DesignStress)
	worst, running, off := full, math.NaN(), math.NaN()
	held := s.Sump.Rim != nil || len(s.Sump.Braces) > 0
	if w.Running == nil {
		f.Verdict = full.judge()
		if f.Verdict == verdict.No { // nobody says that it stands so full for years
			f.Verdict = verdict.Unsure
		}
		f.Summary = fmt.Sprintf("full to the brim it bends to %.2f of what it may bear for years", full.ratio)
	} else {
		at := depth(w.Running)
		years := press(at, DesignStress)
		running, f.Verdict = years.ratio, years.judge()
		// What holds its top, or its maker's own reckoning, may carry it where three
		// edges do not; nor does a thickness that was assumed prove a no.
		if f.Verdict == verdict.No && (held || s.Sump.GlassAssumed) {
			f.Verdict = verdict.Unsure
		}
		after, state := height.MM(), "full to the brim"
		if w.PumpOff != nil {
			after = depth(w.PumpOff)
			state = fmt.Sprintf("with %s while the pump is off", s.Units.Length(unit.Length(after)))
		}
		still := press(max(at, after), DesignStress*unit.Pressure(Duration(stopped)/permanent))
		off = still.ratio
		v := still.judge()
		if v == verdict.No { // the pump may stand still for less
			v = verdict.Unsure
		}
		f.Verdict = verdict.Worst(f.Verdict, v)
		f.Assumed = append(f.Assumed, "the pump stands still for a year in all of fifty at most")
		f.Source = append(f.Source, sourceDuration)
		worst = years
		if still.ratio > years.ratio {
			worst = still
		}
		worst.do = max(years.do, still.do) // none where one of them has none
		f.Summary = fmt.Sprintf("with %s of water for years it bends to %.2f of what it may bear, %s to %.2f",
			s.Units.Length(unit.Length(at)), running, state, off)
	}
	f.Measures = append(verdict.Measures{{Key: "width_mm", Value: width.MM()}, {Key: "height_mm", Value: height.MM()}}, worst.measures()...)
	f.Measures = append(f.Measures,
		verdict.Measure{Key: "running_ratio", Value: running}, verdict.Measure{Key: "pump_off_ratio", Value: off},
		verdict.Measure{Key: "brim_full_ratio", Value: full.ratio})
	f.Summary += ", with nothing to hold its top" + worst.does()
	if full.ratio > 1 {
		most := deepest(height.MM(), func(depth float64) float64 { return press(depth, DesignStress).ratio })
		f.Measures = append(f.Measures, verdict.Measure{Key: "depth_for_years_mm", Value: most})
		f.Summary += fmt.Sprintf("; no more than %s for years; to the brim (%.2f) for the leak test only",
			s.Units.Length(unit.Length(most)), full.ratio)
	}
	switch {
	case f.Verdict != verdict.Unsure:
	case held:
		f.Summary += "; its rim or braces help, by how much is not known: keep the water lower, or ask its maker"
	default:
		f.Summary += "; keep the water lower, or ask the maker of the tank"
	}
	if f.Verdict != verdict.OK {
		f.Again = "thickness of the sump's glass (sump.glass)"
	}
	return f
}

// deepest returns the largest depth up to a height at which a growing ratio is
// at most 1.
func deepest(height float64, ratio func(depth float64) float64) float64 {
	lo, hi := 0.0, height
	for hi-lo > 0.1 {
		if mid := (lo + hi) / 2; ratio(mid) <= 1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
