package wood

import "math"

// ColumnStability returns the factor CP by which buckling lowers the strength
// fcStar (all factors but CP) of a column of effective length le and depth d in
// the direction it buckles, and the Euler stress FcE. ok is false where le/d is
// over 50.
//
// Source: NDS 2018, 3.7.1: FcE = 0.822 Emin′/(le/d)², c = 0.8 for sawn lumber.
func ColumnStability(fcStar, emin, le, d float64) (cp, fce float64, ok bool) {
	slender := le / d
	if !(slender <= 50) {
		return 0, 0, false
	}
	if slender <= 0 {
		return 1, math.Inf(1), true
	}
	const c = 0.8
	fce = 0.822 * emin / (slender * slender)
	r := fce / fcStar
	x := (1 + r) / (2 * c)
	return x - math.Sqrt(x*x-r/c), fce, true
}

// builtUp is Kf of a nailed column of several plies that buckles across them.
//
// Source: NDS 2018, 15.3.
const builtUp = 0.6

// BeamStability returns the factor CL by which sideways buckling lowers the
// strength fbStar (all factors but CL) of a beam of width b and depth d whose
// compressed edge is held at points lu apart. ok is false where the slenderness
// RB is over 50.
//
// Source: NDS 2018, 3.3.3: le = 2.06 lu for lu/d < 7, else 1.63 lu + 3 d (uniform
// load); FbE = 1.20 Emin′/RB². CL = 1 where d ≤ 2 b, if nominal (4.4.1, from
// memory).
func BeamStability(fbStar, emin, lu, b, d float64) (cl float64, ok bool) {
	if d <= b || lu <= 0 {
		return 1, true
	}
	le := 1.63*lu + 3*d
	if lu/d < 7 {
		le = 2.06 * lu
	}
	rb := math.Sqrt(le * d / (b * b))
	if !(rb <= 50) {
		return 0, false
	}
	r := 1.20 * emin / (rb * rb) / fbStar
	x := (1 + r) / 1.9
	return x - math.Sqrt(x*x-r/0.95), true
}

// BearingFactor returns the factor Cb by which a bearing of length lb along the
// grain, whose nearer edge is gap from the end of the member, is stronger than
// a long one.
//
// Source: NDS 2018, 3.10.4: (lb + 3/8 in)/lb for lb under 6 in and at least 3 in
// from the end (those two limits from memory); otherwise 1.
func BearingFactor(lb, gap float64) float64 {
	const inch = 25.4
	if lb < 6*inch-measured && lb > 0 && gap >= 3*inch {
		return (lb + 0.375*inch) / lb
	}
	return 1
}

// columnFactor returns kc of EN 1995-1-1, 6.3.2 (from memory), for solid timber:
// βc = 0.2.
func columnFactor(fc, e05, le, d float64) float64 {
	lambda := le / (d / math.Sqrt(12))
	rel := lambda / math.Pi * math.Sqrt(fc/e05)
	if rel <= 0.3 {
		return 1
	}
	k := 0.5 * (1 + 0.2*(rel-0.3) + rel*rel)
	return 1 / (k + math.Sqrt(k*k-rel*rel))
}

// tiltFactor returns kcrit of EN 1995-1-1, 6.3.3 (from memory), for softwood
// under a uniform load on its upper edge: lef = 0.9 l + 2 h.
func tiltFactor(fm, e05, lu, b, h float64) float64 {
	if h <= b || lu <= 0 {
		return 1
	}
	crit := 0.78 * b * b * e05 / (h * (0.9*lu + 2*h))
	switch rel := math.Sqrt(fm / crit); {
	case rel <= 0.75:
		return 1
	case rel <= 1.4:
		return 1.56 - 0.75*rel
	default:
		return 1 / (rel * rel)
	}
}

// slenderest is the largest slenderness ratio le/d for which a column of an EN
// 338 class is judged; EN 1995-1-1 names no limit, the NDS does.
const slenderest = 50
