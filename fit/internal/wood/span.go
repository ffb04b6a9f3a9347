package wood

import (
	"math"
	"strconv"

	"undercroft/assets"
	"undercroft/scene"
)

// CodeSpan returns the span in mm, to the inch, that the code table allows a
// floor joist for ordinary rooms: live and dead load in N/mm², spacing in mm.
// ok is false where the table has no such joist.
//
// Method: the deflection under the live load is L/360, 5wL⁴/384EI, and the
// bending stress under both is Fb·CF·Cr with CD = 1; the smaller span, to the
// nearest inch. It gives every cell of IRC Table R502.3.1(2) that was at hand.
// Range: dimension lumber of a known species and grade 2 in thick, spaced up to
// 24 in.
func CodeSpan(t scene.Timber, thickness, depth, spacing, live, dead float64) (float64, bool) {
	const inch = 25.4
	if t.Class != "" || spacing > 24*inch+measured || spacing <= 0 || live <= 0 {
		return 0, false
	}
	sec := Section{Width: thickness, Height: depth, Plies: 1}
	timber, err := Look(t, sec, Service{Shared: true})
	if err != nil {
		return 0, false
	}
	v := timber.Weak
	stiff := math.Cbrt(384 * v.E * sec.Inertia() / (5 * 360 * live * spacing))
	strong := math.Sqrt(8 * v.Bending * sec.Modulus() / ((live + dead) * spacing))
	return math.Round(min(stiff, strong)/inch) * inch, true
}

// A Size is a timber as it is sold, in mm as dressed.
type Size struct {
	Nominal          string // as "2x6"; "" where it is sold by its measures
	Thickness, Depth float64
}

// Sizes returns the sizes sold of a timber, by thickness and then by depth:
// dimension lumber of even widths from PS 20; for an EN 338 class sizes that are
// common practice (no source).
func Sizes(t scene.Timber) []Size {
	var out []Size
	if t.Class != "" {
		for _, thick := range []float64{45, 70, 95} {
			for _, depth := range []float64{70, 95, 120, 145, 170, 195, 220, 245} {
				if depth >= thick {
					out = append(out, Size{"", thick, depth})
				}
			}
		}
		return out
	}
	for _, thick := range []string{"2", "4"} {
		for _, f := range assets.SizeFactors() {
			if f.Width < 4 || f.Width%2 == 1 {
				continue
			}
			nominal := thick + "x" + strconv.Itoa(f.Width)
			if a, b, ok := assets.DressedLumber(nominal); ok {
				out = append(out, Size{nominal, a.MM(), b.MM()})
			}
		}
	}
	return out
}
