// Package floor judges the house floor under the cabinet: timber joists
// (floor/joists) or a slab (floor/slab).
package floor

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/fit/internal/ground"
	"undercroft/fit/internal/wood"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/unit"
)

const (
	idJoists = "floor/joists"
	idSlab   = "floor/slab"
)

// Check judges the house floor under the heavier of running and pump off.
func Check(s *scene.Scene) verdict.Findings {
	var out verdict.Findings
	if s.Floor == nil || s.Floor.Joists == nil && !s.Floor.Slab {
		out.LeftOut = []verdict.LeftOut{{ID: idJoists, Add: "floor.joists"}}
		return out
	}
	id := idJoists
	if s.Floor.Slab {
		id = idSlab
	}
	l := weight.Compute(s)
	st, known, err := stand.Stand(s, l)
	if !known {
		for _, m := range l.LeftOut {
			if lo := (verdict.LeftOut{ID: id, Add: m.Add}); !slices.Contains(out.LeftOut, lo) {
				out.LeftOut = append(out.LeftOut, lo)
			}
		}
		if len(out.LeftOut) == 0 {
			out.LeftOut = []verdict.LeftOut{{ID: id, Add: "display"}}
		}
		return out
	}
	f := verdict.Finding{ID: id, Room: math.NaN(), Assumed: slices.Concat(st.Assumed, l.Assumed)}
	out.Cautions = []string{stand.CautionCarry}
	if !s.Floor.Slab {
		out.Cautions = append(out.Cautions, stand.CautionLook)
	}
	switch {
	case err != nil:
		f.Summary = "not shown: " + err.Error()
		f.Measures = blank()
	case s.Floor.Slab:
		slab(s, st, &f)
	default:
		judgeJoists(s, st, &f)
	}
	out.Checks = []verdict.Finding{f}
	return out
}

// blank are the measures of joists that were not shown.
func blank() verdict.Measures {
	var out verdict.Measures
	for _, k := range []string{"code_span_mm", "bending_ratio", "shear_ratio", "bearing_ratio", "deflection_mm", "deflection_ratio", "governs"} {
		out = append(out, verdict.Measure{Key: k})
	}
	return out
}

// concrete is the least strength of a house's slab (IRC R402.2), the share of it
// that may press on the whole, and how many times more may on a small place with
// concrete all round it, all three from memory.
const (
	concrete       = 2500 * unit.PSI
	concreteShare  = 0.3
	concreteAround = 2
)

// slab reports the pressure on a slab that lies on the ground.
func slab(s *scene.Scene, st stand.Stance, f *verdict.Finding) {
	worst, where := 0.0, ""
	for _, c := range st.Contacts {
		if p := st.Bed.Peak(ground.Of(c)); p > worst {
			worst, where = p, c.Name
		}
	}
	high := worst / (concreteShare * concrete.MPa())
	r := wood.Ratio{Low: high / concreteAround, High: high}
	f.Verdict = r.Judge()
	f.Measures = verdict.Measures{
		{Key: "pressure_kpa", Value: unit.Pressure(worst).KPa()},
		{Key: "ratio", Value: r.High},
		{Key: "ratio_low", Value: r.Low},
		{Key: "governs", Value: wood.Bearing},
	}
	f.Source = []string{"IRC R402.2: concrete of 2500 psi (from memory); 0.3 of it may press on it, up to twice as much on a small place (from memory)"}
	f.Summary = fmt.Sprintf("%s presses on the slab with %s, %s of what plain concrete may; this is a slab on the ground: one over a cellar needs an engineer", where, stand.PressureText(s, worst), wood.Percent(r.High))
	if r.High > 0.9 {
		f.Summary += "; put a plate of wood or steel under each foot"
	}
}

// judgeJoists fills in the finding on joists.
//
// Statics: each contact of the stand gives its load to the nearest two joists by
// the lever rule, each joist is a simple span solved exactly, the ordinary load
// lies on everything but the cabinet, the floor's own weight everywhere.
// Strength: NDS 2018 or EN 1995-1-1, see package wood; a tank that stays full is
// a permanent load.
func judgeJoists(s *scene.Scene, st stand.Stance, f *verdict.Finding) {
	g, err := newGrid(s, st)
	if err != nil {
		f.Summary, f.Measures = "not shown: "+err.Error(), blank()
		return
	}
	all, timber, err := g.judge(true, true)
	if err != nil {
		f.Summary, f.Measures = "not shown: "+wood.Plain(err), blank()
		return
	}
	f.Source = slices.Concat(timber.Sources, []string{wood.DeflectionLimits(timber.Weak.Code).Source, "lever rule between joists"})
	f.Assumed = append(f.Assumed, floorAssumed(s, timber)...)
	low := all
	guessed := s.Floor.Joists.Bearing == nil
	if assumed(s, "floor.ordinary") || assumed(s, "floor.dead") {
		if low, _, err = g.judge(!assumed(s, "floor.ordinary"), !assumed(s, "floor.dead")); err != nil {
			f.Summary, f.Measures = "not shown: "+wood.Plain(err), blank()
			return
		}
	}
	var sum summary
	for i, j := range all {
		if j.carries > 0 {
			sum.note(g.number[i], j, low[i], guessed)
		}
	}
	f.Verdict = sum.ratio.Judge()
	code, hasCode := codeSpan(s, 40)
	sleeping, _ := codeSpan(s, 30)
	f.Measures = verdict.Measures{
		{Key: "code_span_mm", Value: number(code, hasCode)},
		{Key: "bending_ratio", Value: sum.bending},
		{Key: "shear_ratio", Value: sum.shear},
		{Key: "bearing_ratio", Value: sum.bearing},
		{Key: "deflection_mm", Value: sum.sag},
		{Key: "deflection_ratio", Value: sum.deflection},
		{Key: "governs", Value: sum.governs},
		{Key: "ratio", Value: sum.ratio.High},
		{Key: "ratio_low", Value: sum.ratio.Low},
		{Key: "lasting_mm", Value: sum.lasting},
		{Key: "code_span_sleeping_mm", Value: number(sleeping, hasCode)},
		{Key: "joists", Value: sum.numbers},
		{Key: "joist_load_n", Value: sum.loads},
		{Key: "joist_ratio", Value: sum.ratios},
	}
	f.Summary = fmt.Sprintf("joist %d of %s carries the most: %s of what it may (%s); %d joists share the %s",
		sum.worst, size(s), wood.Percent(sum.ratio.High), sum.governs, len(sum.numbers), s.Units.Mass(unit.Mass(st.Force.N()/unit.StandardGravity)))
	if sum.ratio.High > 1 && sum.ratio.Low <= 1 {
		f.Summary += fmt.Sprintf("; no less than %s", wood.Percent(sum.ratio.Low))
	}
	f.Summary += fmt.Sprintf("; the tank and the room press it down %s, everything in the long run %s", s.Units.Fine(unit.Length(sum.sag)), s.Units.Fine(unit.Length(sum.lasting)))
	if hasCode {
		f.Summary += fmt.Sprintf("; the code table allows such joists %s for ordinary rooms, yours span %s", long(s, unit.Length(code)), long(s, s.Floor.Joists.Span))
	}
	var helps []string
	for _, c := range g.changes(s) {
		f.Measures = append(f.Measures, verdict.Measure{Key: c.key + "_ratio", Value: c.ratio})
		if sum.ratio.High > 0.9 && c.ratio < sum.ratio.High {
			helps = append(helps, c.text+" "+wood.Percent(c.ratio))
		}
	}
	switch {
	case len(helps) > 0:
		f.Summary += "; with " + strings.Join(helps, "; with ")
	case sum.ratio.High > 0.9:
		f.Summary += "; none of turning, moving, more joists or a post helps"
	}
	if f.Verdict == verdict.Unsure && timber.Assumed != "" {
		f.Again = "floor.joists: read the stamp on a joist for species and grade"
	} else {
		f.Again = "floor.joists.span"
	}
}

// number is NaN, which is written as null, where there is none.
func number(v float64, ok bool) float64 {
	if !ok {
		return math.NaN()
	}
	return v
}

// size names the joists.
func size(s *scene.Scene) string {
	j := s.Floor.Joists
	text := j.Nominal
	if text == "" {
		text = s.Units.Size(j.Thickness, j.Depth)
	}
	if j.Class != "" {
		return text + " " + j.Class
	}
	return text + " " + j.Species
}

// long prints a span as code tables do: in feet and inches where the plan is in
// inches.
func long(s *scene.Scene, l unit.Length) string {
	if s.Units != unit.Inches {
		return s.Units.Length(l)
	}
	feet := math.Floor((l + unit.Inch/32).In() / 12)
	rest := l - unit.Length(feet)*unit.Foot
	if rest < unit.Inch/32 {
		return fmt.Sprintf("%.0f ft", feet)
	}
	return fmt.Sprintf("%.0f ft %s", feet, s.Units.Length(rest))
}

// codeSpan returns what the code table gives for rooms of a live load in psf and
// 10 psf dead.
func codeSpan(s *scene.Scene, live float64) (float64, bool) {
	j := s.Floor.Joists
	return wood.CodeSpan(scene.Timber{Species: j.Species, Grade: j.Grade, Class: j.Class},
		j.Thickness.MM(), j.Depth.MM(), j.Spacing.MM(), live*unit.PSF.MPa(), 10*unit.PSF.MPa())
}

// floorAssumed lists what took part and was not given.
func floorAssumed(s *scene.Scene, t wood.Timber) []string {
	var out []string
	if t.Assumed != "" {
		out = append(out, "joists: "+t.Assumed)
	}
	if s.Floor.Joists.Bearing == nil {
		out = append(out, "joists lie on their supports over "+s.Units.Length(assumedBearing)+" (IRC R502.6)")
	}
	for _, a := range s.Assumed {
		switch {
		case a.Key == "floor.ordinary" && s.Floor.Joists.Class != "":
			out = append(out, "live load beside the cabinet 2 kPa (EN 1991-1-1, category A, from memory)")
		case strings.HasPrefix(a.Key, "floor."):
			out = append(out, a.Text)
		}
	}
	return out
}

// A summary gathers the joists under the tank.
type summary struct {
	ratio                               wood.Ratio
	worst                               int
	governs                             string
	bending, shear, bearing, deflection float64
	sag, lasting                        float64
	numbers, loads, ratios              []float64
}

// note takes in a joist: j with everything, low with only what the plan gives.
// A length of bearing that is a guess cannot prove a no.
func (s *summary) note(number int, j, low judged, guessed bool) {
	r := j.result
	s.numbers = append(s.numbers, float64(number))
	s.loads = append(s.loads, j.carries)
	s.ratios = append(s.ratios, r.Overall.High)
	s.bending = max(s.bending, r.Bending.High)
	s.shear = max(s.shear, r.Shear.High)
	s.bearing = max(s.bearing, r.Bearing.High)
	s.deflection = max(s.deflection, r.Deflection.High)
	s.sag = max(s.sag, r.Sag)
	s.lasting = max(s.lasting, r.Lasting)
	l := low.result
	least := max(l.Bending.Low, l.Shear.Low, l.Deflection.Low)
	if !guessed {
		least = max(least, l.Bearing.Low)
	}
	s.ratio.Low = max(s.ratio.Low, least)
	if r.Overall.High > s.ratio.High {
		s.ratio.High, s.worst, s.governs = r.Overall.High, number, r.Governs
	}
}
