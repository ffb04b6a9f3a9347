package wood

import (
	"fmt"
	"math"
	"slices"

	"undercroft/assets"
	"undercroft/fit/internal/beam"
	"undercroft/fit/internal/plate"
)

// A Sheet is what is known of a board's material: the same in Weak and Strong
// where the plan names it, the ends of what it may be where it does not.
type Sheet struct {
	Weak, Strong SheetValues
	Sources      []string
	Assumed      string
}

// SheetValues are what a board may bear under a permanent load, as design
// values: characteristic ones times kmod over γM. Its loads count 1.35 times.
//
// Source: EN 1995-1-1 and the standards that the table of boards names, from
// memory where it says so.
type SheetValues struct {
	Bending, Compression, ShearEdge, ShearFlat float64
	CompressionRef                             float64 // characteristic
	E                                          float64
	Creep                                      float64
}

// gammaG is the factor on permanent loads, EN 1990, from memory.
const gammaG = 1.35

// LookSheet returns the values of a board material; unknown takes the weakest
// of all. Damp rooms rule out materials that must not get wet, with ErrRange.
func LookSheet(name string, damp bool) (Sheet, error) {
	name = normal(name)
	var out Sheet
	found := false
	for _, p := range assets.Panels() {
		if name != Unknown && p.Name != name {
			continue
		}
		kmod, kdef := p.KMod, p.KDef
		if damp {
			kmod, kdef = p.KModDamp, p.KDefDamp
		}
		if kmod == 0 {
			if name != Unknown {
				return out, fmt.Errorf("%s where it stays damp: %w", name, ErrRange)
			}
			continue
		}
		k := kmod / p.GammaM
		v := SheetValues{
			Bending:     p.Bending.MPa() * k,
			Compression: p.Compression.MPa() * k,
			ShearEdge:   p.ShearEdge.MPa() * k,
			ShearFlat:   p.ShearFlat.MPa() * k,
			E:           p.E.MPa(),
			Creep:       1 + kdef,

			CompressionRef: p.Compression.MPa(),
		}
		if !found {
			out.Weak, out.Strong, found = v, v, true
		} else {
			out.Weak = out.Weak.with(v, math.Min)
			out.Strong = out.Strong.with(v, math.Max)
		}
		if !slices.Contains(out.Sources, p.Source) {
			out.Sources = append(out.Sources, p.Source)
		}
	}
	if !found {
		return out, fmt.Errorf("board %s: %w", name, ErrRange)
	}
	if name == Unknown {
		out.Assumed = "board unknown: the weakest counts"
	}
	return out, nil
}

// with combines by pick; creep goes the other way, as less of it is better.
func (v SheetValues) with(w SheetValues, pick func(a, b float64) float64) SheetValues {
	return SheetValues{
		Bending:     pick(v.Bending, w.Bending),
		Compression: pick(v.Compression, w.Compression),
		ShearEdge:   pick(v.ShearEdge, w.ShearEdge),
		ShearFlat:   pick(v.ShearFlat, w.ShearFlat),
		E:           pick(v.E, w.E),
		Creep:       -pick(-v.Creep, -w.Creep),

		// A stronger board buckles at a smaller share of its strength.
		CompressionRef: -pick(-v.CompressionRef, -w.CompressionRef),
	}
}

// A SheetResult is what a board has to bear against what it may.
type SheetResult struct {
	Ratios       map[string]Ratio
	Sag, Lasting float64 // of the weakest it may be
}

// Overall returns the worst ratio and what governs its high end.
func (r SheetResult) Overall() (Ratio, string) {
	var worst Ratio
	governs := ""
	for _, name := range []string{Bending, Shear, Deflection, Compression} {
		q, ok := r.Ratios[name]
		if !ok {
			continue
		}
		if governs == "" || q.High > worst.High {
			governs = name
		}
		worst = worst.Worse(q)
	}
	return worst, governs
}

// Better returns of two judgements that each err on the safe side the one with
// the smaller high ratio; the low ends must both hold.
func (r SheetResult) Better(s SheetResult) SheetResult {
	a, _ := r.Overall()
	b, _ := s.Overall()
	if b.High < a.High {
		r, s = s, r
	}
	out := SheetResult{Ratios: map[string]Ratio{}, Sag: r.Sag, Lasting: r.Lasting}
	for name, q := range r.Ratios {
		if other, ok := s.Ratios[name]; ok {
			q.Low = min(q.Low, other.Low)
		}
		out.Ratios[name] = q
	}
	return out
}

// Strip judges a piece of board as a beam over one span, on edge (a rail over a
// door) or flat (a shelf): width across the load, height along it. The high
// ratio has ends free to turn; the low one ends held fast, which under a uniform
// load bend two thirds and sag a fifth as much.
//
// Source: Euler and Bernoulli; limits on deflection L/360 and with creep L/240:
// common practice, no source.
func (t Sheet) Strip(width, height, span float64, onEdge bool, loads []beam.Load) (SheetResult, error) {
	sec := Section{Width: width, Height: height}
	s, err := beam.Beam{Length: span, Supports: []float64{0, span}, Stiffness: t.Weak.E * sec.Inertia()}.Solve(loads)
	if err != nil {
		return SheetResult{}, err
	}
	moment, _ := s.Moments()
	sag, _ := s.Deflections()
	stress := gammaG * moment.Value / sec.Modulus()
	shear := gammaG * 1.5 * math.Abs(s.MaxShear(0).Value) / sec.Area()
	strong, weak := t.Strong.ShearFlat, t.Weak.ShearFlat
	if onEdge {
		strong, weak = t.Strong.ShearEdge, t.Weak.ShearEdge
	}
	return SheetResult{
		Ratios: map[string]Ratio{
			Bending:    {stress / t.Strong.Bending * 2 / 3, stress / t.Weak.Bending},
			Shear:      {shear / strong, shear / weak},
			Deflection: t.deflection(sag.Value, span, 1./5),
		},
		Sag: sag.Value, Lasting: sag.Value * t.Weak.Creep,
	}, nil
}

// deflection judges a sag of the weakest board; least is the share of it that
// would be left if the edges were held fast.
func (t Sheet) deflection(sag, span, least float64) Ratio {
	ratio := func(creep float64) float64 { return max(sag*360/span, sag*creep*240/span) }
	return Ratio{ratio(t.Strong.Creep) * least * t.Weak.E / t.Strong.E, ratio(t.Weak.Creep)}
}

// poisson is Poisson's ratio of boards, common practice.
const poisson = 0.3

// Slab judges a board that lies on all four edges, a by b, with a pressure on
// the rectangle from x0 to x1 and y0 to y1. The high ratio counts the pressure
// on the whole board; the low one takes the bending in the middle of the
// rectangle as it is, and the sag as if the edges were held fast.
//
// Source: Kirchhoff plate, see package plate; the board as alike in all
// directions with its weaker direction's values. Clamped edges bend no less than
// half as much and sag no less than a quarter: Timoshenko and Woinowsky-Krieger,
// table 35, from memory.
func (t Sheet) Slab(a, b, thickness, pressure, x0, x1, y0, y1 float64) SheetResult {
	p := plate.Plate{A: a, B: b, Thickness: thickness, E: t.Weak.E, Nu: poisson}
	modulus := thickness * thickness / 6
	whole := p.Uniform(pressure)
	part := p.Patch(pressure, x0, x1, y0, y1, (x0+x1)/2, (y0+y1)/2)
	stress := func(m plate.Bend) float64 { return gammaG * max(m.AlongA, m.AlongB) / modulus }
	// The largest pull on an edge is under half of the load on the shorter strip.
	shear := gammaG * 1.5 * pressure * min(a, b) / 2 / thickness
	short := min(a, b)
	return SheetResult{
		Ratios: map[string]Ratio{
			Bending:    {stress(part) / t.Strong.Bending / 2, stress(whole) / t.Weak.Bending},
			Shear:      {0, shear / t.Weak.ShearFlat},
			Deflection: {t.deflection(part.Sag, short, 1./4).Low, t.deflection(whole.Sag, short, 1).High},
		},
		Sag: whole.Sag, Lasting: whole.Sag * t.Weak.Creep,
	}
}

// Wall judges an upright board under a force that presses evenly along a length
// of its upper edge: the high ratio as a row of columns with ends free to turn,
// held by nothing at its upright edges; the low one as a long plate held along
// them, whose critical stress is 4 π² E/12(1 − ν²)·(t/width)².
//
// Source: EN 1995-1-1, 6.3.2, with E0.05 = 0.8 E, from memory; Timoshenko and
// Gere, Theory of Elastic Stability, article 9.2, from memory.
func (t Sheet) Wall(thickness, length, height, force float64) SheetResult {
	stress := gammaG * force / (thickness * length)
	strength := t.Weak.Compression * columnFactor(t.Weak.CompressionRef, eFive*t.Weak.E, height, thickness)
	critical := 4 * math.Pi * math.Pi * t.Strong.E / (12 * (1 - poisson*poisson)) * (thickness / length) * (thickness / length)
	return SheetResult{Ratios: map[string]Ratio{
		Compression: {stress / min(t.Strong.Compression, critical), stress / strength},
	}}
}

// eFive is the share of the mean stiffness that 95 boards in 100 reach.
const eFive = 0.8
