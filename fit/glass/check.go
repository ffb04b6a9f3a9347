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

	sourceStress  = "design stress of annealed float glass under permanent load, seamed edges, EN 16612:2019, from memory; water as a permanent load with the factor 1.35 of EN 1990, from memory"
	sourceBending = "pane held at its foot and sides, free at its top: series of M. Lévy, Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells"
	sourceGlass   = "E 70 000 N/mm², Poisson's ratio 0.2: EN 572-1, as quoted in a second text"
)

// DesignStress is what annealed float glass with seamed edges may bear for
// years.
const DesignStress = unit.Pressure(float64(characteristic) * permanent * seamed / material)

// Thicknesses are the standard thicknesses of float glass of EN 572-2, thinnest
// first.
var Thicknesses = []unit.Length{3, 4, 5, 6, 8, 10, 12, 15, 19, 25}

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

// A result is what a pressed pane comes to.
type result struct {
	stress unit.Pressure
	sag    unit.Length
	ratio  float64
	thin   bool // the sag is small enough for the theory of thin plates
	do     unit.Length
}

// bend returns stress and sag, and the thinnest standard thickness that does.
func (p pressed) bend() result {
	b := p.Bend(p.load)
	glass, _ := assets.Material("glass")
	at := func(t unit.Length) (unit.Pressure, float64) {
		stress := unit.Pressure(6 * b.Moment / (t.MM() * t.MM()))
		return stress, action * float64(stress) / float64(DesignStress)
	}
	t := p.thick.MM()
	rigid := glass.E.MPa() * t * t * t / (12 * (1 - glass.Poisson*glass.Poisson))
	return judged(at, p.thick, unit.Length(b.Sag/rigid))
}

// judged gathers what a thickness and a sag come to.
func judged(at func(unit.Length) (unit.Pressure, float64), thick, sag unit.Length) result {
	r := result{sag: sag, do: unit.Length(math.NaN())}
	r.stress, r.ratio = at(thick)
	// Beyond half its thickness a plate stiffens as a skin; what the theory says
	// is then too much.
	r.thin = sag <= thick/2
	if i := slices.IndexFunc(Thicknesses, func(t unit.Length) bool { _, ratio := at(t); return ratio <= 0.9 }); i >= 0 {
		r.do = Thicknesses[i]
	}
	return r
}

func (r result) measures() verdict.Measures {
	return verdict.Measures{
		{Key: "stress_mpa", Value: r.stress.MPa()},
		{Key: "design_stress_mpa", Value: DesignStress.MPa()},
		{Key: "ratio", Value: r.ratio},
		{Key: "sag_mm", Value: r.sag.MM()},
		{Key: "thickness_that_does_mm", Value: r.do.MM()},
	}
}

// judge judges the ratio; where the theory gives too much no comes of it.
func (r result) judge() verdict.Verdict {
	v := verdict.JudgeRatio(r.ratio)
	if v == verdict.No && !r.thin {
		return verdict.Unsure
	}
	return v
}

// does tells which thickness would do.
func (r result) does(have unit.Length) string {
	switch {
	case math.IsNaN(r.do.MM()):
		return "; no standard thickness does"
	case r.do > have:
		return fmt.Sprintf("; %g mm glass does", r.do.MM())
	}
	return ""
}

func baffle(s *scene.Scene, w water.Figures, l List, i int, p Piece) verdict.Finding {
	f := verdict.Finding{
		ID: "glass/" + p.Name, Room: math.NaN(), Assumed: l.Assumed,
		Source: []string{sourceStress, sourceBending, sourceGlass},
	}
	r := press(l.Inside, p.Height, p.Thickness, p.Height.MM(), w.Density).bend()
	load := "with water to its top on one side only"
	if p.Raised {
		r = strip(l.Inside, p.Thickness, w.Density)
		load = fmt.Sprintf("with the water %s higher on one side (it passes under)", s.Units.Length(step))
		f.Source[1] = "raised pane, held at its sides only: a beam on two supports"
	}
	f.Verdict = r.judge()
	f.Measures = append(verdict.Measures{
		{Key: "width_mm", Value: p.Width.MM()}, {Key: "height_mm", Value: p.Height.MM()}, {Key: "thickness_mm", Value: p.Thickness.MM()},
	}, r.measures()...)
	f.Summary = fmt.Sprintf("%s; %s it bends to %.2f of what it may bear for years%s",
		s.Units.Size(p.Width, p.Height, p.Thickness), load, r.ratio, r.does(p.Thickness))
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
func strip(width, thick unit.Length, density unit.Density) result {
	glass, _ := assets.Material("glass")
	q := float64(density) * unit.StandardGravity * 1e-9 * step.MM()
	moment := q * width.MM() * width.MM() / 8
	at := func(t unit.Length) (unit.Pressure, float64) {
		stress := unit.Pressure(6 * moment / (t.MM() * t.MM()))
		return stress, action * float64(stress) / float64(DesignStress)
	}
	t := thick.MM()
	return judged(at, thick, unit.Length(5*q*math.Pow(width.MM(), 4)/(384*glass.E.MPa()*t*t*t/12)))
}

// long judges the longer upright pane of the sump: for years under the higher of
// its levels with the pump running and off, or full to the brim where they are
// not known.
func long(s *scene.Scene, w water.Figures) verdict.Finding {
	in := s.Sump.Inside()
	width, height := unit.Length(max(in.Max.X-in.Min.X, in.Max.Y-in.Min.Y)), unit.Length(in.Max.Z-in.Min.Z)
	f := verdict.Finding{ID: "glass/long pane", Room: math.NaN(), Source: []string{sourceStress, sourceBending, sourceGlass}}
	for _, a := range s.Assumed {
		if a.Key == "sump.glass" {
			f.Assumed = append(f.Assumed, a.Text)
		}
	}
	at := func(l *water.Levels) float64 {
		deep := 0.0
		for _, d := range l.Depth {
			deep = max(deep, d.MM())
		}
		return min(deep, height.MM())
	}
	press := func(depth float64) result { return press(width, height, s.Sump.Glass, depth, w.Density).bend() }
	full := press(height.MM())
	r, load, running := full, "full to the brim", math.NaN()
	if w.Running != nil {
		running = press(at(w.Running)).ratio
	}
	if w.Running != nil && w.PumpOff != nil {
		depth := max(at(w.Running), at(w.PumpOff))
		r, load = press(depth), fmt.Sprintf("with %s of water", s.Units.Length(unit.Length(depth)))
	}
	f.Verdict = r.judge()
	held := s.Sump.Rim != nil || len(s.Sump.Braces) > 0
	// What holds its top, or its maker's own reckoning, may carry it where three
	// edges do not; nor does a thickness that was assumed prove a no.
	if f.Verdict == verdict.No && (held || s.Sump.GlassAssumed || !(running > 1)) {
		f.Verdict = verdict.Unsure
	}
	f.Measures = append(verdict.Measures{{Key: "width_mm", Value: width.MM()}, {Key: "height_mm", Value: height.MM()}}, r.measures()...)
	f.Measures = append(f.Measures, verdict.Measure{Key: "running_ratio", Value: running}, verdict.Measure{Key: "brim_full_ratio", Value: full.ratio})
	f.Summary = fmt.Sprintf("%s it bends to %.2f of what it may bear for years, with nothing to hold its top%s", load, r.ratio, r.does(s.Sump.Glass))
	if r != full && full.ratio > 1 {
		f.Summary += fmt.Sprintf("; full to the brim to %.2f: for the leak test only", full.ratio)
	}
	switch {
	case f.Verdict == verdict.Unsure && held:
		f.Summary += "; its rim or braces help, by how much is not known"
	case f.Verdict == verdict.Unsure:
		f.Summary += "; ask the maker of the tank"
	}
	if f.Verdict != verdict.OK {
		f.Again = "thickness of the sump's glass (sump.glass)"
	}
	return f
}
