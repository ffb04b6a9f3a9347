package wood

import (
	"fmt"
	"math"

	"undercroft/fit/internal/beam"
	"undercroft/fit/verdict"
)

// A Ratio of what is to what is allowed: at least Low and at most High. The two
// differ where the plan leaves something open, as the grade, or where the
// standard permits to count in the wood's favour what is not sure to be there.
type Ratio struct{ Low, High float64 }

// Worse returns the ratio of two things that must both hold.
func (r Ratio) Worse(s Ratio) Ratio { return Ratio{max(r.Low, s.Low), max(r.High, s.High)} }

// Judge returns the verdict: no only where the lowest it may be is too much, ok
// only where the highest is not.
func (r Ratio) Judge() verdict.Verdict {
	switch {
	case r.High <= 1:
		return verdict.JudgeRatio(r.High)
	case r.Low > 1:
		return verdict.No
	}
	return verdict.Unsure
}

// Percent prints a ratio, rounded up so that it never promises more than it is.
func Percent(ratio float64) string {
	if math.IsNaN(ratio) || ratio >= 100 {
		return "far more than 100 %"
	}
	return fmt.Sprintf("%.0f %%", math.Ceil(100*ratio-1e-9))
}

// Loads on a beam, each as it is (without factors).
type Loads struct {
	Dead  []beam.Load // what was there before the tank: own weight, the floor
	Added []beam.Load // the tank and all that comes with it, permanent
	Live  []beam.Load // the ordinary load beside it
}

// combined returns all loads of a combination.
func (l Loads) combined(dead, added, live float64) []beam.Load {
	var out []beam.Load
	for _, g := range []struct {
		loads  []beam.Load
		factor float64
	}{{l.Dead, dead}, {l.Added, added}, {l.Live, live}} {
		if g.factor == 0 {
			continue
		}
		for _, b := range g.loads {
			out = append(out, b.Scaled(g.factor))
		}
	}
	return out
}

// A Seat is where a beam lies on something: its length along the beam, its
// width across, and how far it is from the beam's nearer end. A seat of no
// length is not judged.
type Seat struct{ Length, Width, Gap float64 }

// A BeamUse is a beam in its place.
type BeamUse struct {
	Section  Section
	Length   float64
	Supports []float64
	Seats    []Seat // one a support
	// Unheld is how long a piece of the compressed edge is free to move
	// sideways; 0: it is held along the whole.
	Unheld float64
	Damp   bool
}

// Limits on deflection, as a share of the span.
type Limits struct {
	Now     float64 // what the tank and the ordinary load add at once
	Lasting float64 // everything, with creep
	Source  string
}

// DeflectionLimits returns the limits of a code: IRC R301.7, L/360 for the live
// load of floors, applied to what the tank adds, and L/240 with everything
// (from memory); for EN 338 classes the Dutch annex to EN 1990, 0.003 L added
// and 0.004 L in all.
func DeflectionLimits(c Code) Limits {
	if c == Eurocode {
		return Limits{0.003, 0.004, "NEN-EN 1990, national annex: deflection"}
	}
	return Limits{1. / 360, 1. / 240, "IRC R301.7 (L/240 from memory)"}
}

// quasi is ψ2 of EN 1990 for category A, from memory: the share of the live load
// that creeps. The NDS counts the live load as short.
func quasi(c Code) float64 {
	if c == Eurocode {
		return 0.3
	}
	return 0
}

// The names of what may govern.
const (
	Bending     = "bending"
	Shear       = "shear"
	Bearing     = "bearing"
	Deflection  = "deflection"
	Compression = "compression"
)

// A BeamResult is what a beam has to bear against what it may.
type BeamResult struct {
	Bending, Shear, Bearing, Deflection Ratio
	Overall                             Ratio
	Governs                             string // of Overall.High
	// Sag is what the tank and the ordinary load add at once, and SagAt where;
	// Lasting is everything with creep; of the weakest timber that it may be.
	Sag, SagAt, Lasting float64
	// Reactions are those of the permanent loads alone and with the ordinary
	// load, without factors.
	Permanent, Reactions []float64
	Moment               float64 // the largest, permanent and ordinary load, without factors
}

// CheckBeam judges a beam that lies on its supports.
//
// Bending: M/S against Fb′ = Fb·CD·CM·CL·CF·Cfu·Cr (NDS 3.3; 4.3). Shear:
// 1.5 V/A against Fv′ (3.4.2); the high ratio counts V at the support, the low
// one leaves out what stands nearer to it than the depth, as 3.4.3.1 permits.
// Bearing: R/A against Fc⊥′ (3.10.2). EN 1995-1-1, from memory: 6.1.6, 6.3.3,
// 6.1.7, 6.1.5 (kc,90 from 1 to 1.5). Deflection: Euler and Bernoulli; on spans
// under ten depths the high ratio adds that of shear, as of a uniform load, with
// E/G = 16 (AWC; EN 338).
//
// Range: that of the design values; slenderness RB up to 50 (3.3.3.7). Outside
// the error is ErrRange.
func CheckBeam(t Timber, u BeamUse, l Loads, limits Limits) (BeamResult, error) {
	var out BeamResult
	b := beam.Beam{Length: u.Length, Supports: u.Supports, Stiffness: t.Weak.E * u.Section.Inertia()}
	solve := func(dead, added, live float64) (*beam.Solution, error) {
		return b.Rest(l.combined(dead, added, live))
	}
	for _, c := range Combinations(t.Weak.Code, u.Damp) {
		if c.Live > 0 && len(l.Live) == 0 {
			continue
		}
		s, err := solve(c.Permanent, c.Permanent, c.Live)
		if err != nil {
			return out, err
		}
		up, down := s.Moments()
		stress := max(up.Value, -down.Value) / u.Section.Modulus()
		high, err := bendingStrength(t.Weak, u.Section, u.Unheld, c)
		if err != nil {
			return out, err
		}
		out.Bending = out.Bending.Worse(Ratio{stress / (t.Strong.Bending * c.Strength), stress / high})
		shear := func(skip float64) float64 { return 1.5 * math.Abs(s.MaxShear(skip).Value) / u.Section.Area() }
		out.Shear = out.Shear.Worse(Ratio{
			shear(u.Section.Height) / (t.Strong.Shear * c.Strength),
			shear(0) / (t.Weak.Shear * c.Strength),
		})
		for i, seat := range u.Seats {
			out.Bearing = out.Bearing.Worse(BearingRatio(t, seat, s.Reactions[i], c))
		}
	}
	if err := out.sag(t, u, limits, solve); err != nil {
		return out, err
	}
	permanent, err := solve(1, 1, 0)
	if err != nil {
		return out, err
	}
	all, err := solve(1, 1, 1)
	if err != nil {
		return out, err
	}
	out.Permanent, out.Reactions = permanent.Reactions, all.Reactions
	up, down := all.Moments()
	out.Moment = max(up.Value, -down.Value)
	for _, r := range []struct {
		name  string
		ratio Ratio
	}{{Bending, out.Bending}, {Shear, out.Shear}, {Bearing, out.Bearing}, {Deflection, out.Deflection}} {
		if out.Governs == "" || r.ratio.High > out.Overall.High {
			out.Governs = r.name
		}
		out.Overall = out.Overall.Worse(r.ratio)
	}
	return out, nil
}

// bendingStrength returns the bending strength with sideways buckling.
func bendingStrength(v Values, s Section, unheld float64, c Combination) (float64, error) {
	full := v.Bending * c.Strength
	switch v.Code {
	case NDS:
		cl, ok := BeamStability(full, v.Emin, unheld, s.Width, s.Height)
		if !ok {
			return 0, fmt.Errorf("too slender against tilting, RB over 50 (NDS 3.3.3.7): %w", ErrRange)
		}
		return full * cl, nil
	case Eurocode:
		return full * tiltFactor(v.BendingRef, v.Emin, unheld, s.Width, s.Height), nil
	}
	return full, nil
}

// BearingRatio judges a force on a seat across the grain.
func BearingRatio(t Timber, seat Seat, force float64, c Combination) Ratio {
	area := seat.Length * seat.Width
	if area <= 0 || force <= 0 {
		return Ratio{}
	}
	stress := force / area
	if t.Weak.Code == Eurocode {
		// kc,90 is 1 to 1.5, and the area counts 30 mm more at each side.
		return Ratio{
			stress * seat.Length / (seat.Length + 60) / (1.5 * t.Strong.Across * c.Across),
			stress / (t.Weak.Across * c.Across),
		}
	}
	return Ratio{
		stress / (t.Strong.Across * c.Across * BearingFactor(seat.Length, math.Inf(1))),
		stress / (t.Weak.Across * c.Across * BearingFactor(seat.Length, seat.Gap)),
	}
}

// sag fills in the deflections.
func (r *BeamResult) sag(t Timber, u BeamUse, limits Limits, solve func(dead, added, live float64) (*beam.Solution, error)) error {
	now, err := solve(0, 1, 1)
	if err != nil {
		return err
	}
	creep := t.Weak.Creep
	lasting, err := solve(creep, creep, 1+quasi(t.Weak.Code)*(creep-1))
	if err != nil {
		return err
	}
	stiffer := t.Weak.E / t.Strong.E
	share := func(s *beam.Solution, limit float64) (e beam.Extreme, r Ratio) {
		down, up := s.Deflections()
		e = down
		if -up.Value > down.Value {
			e = up
		}
		span := spanAt(u.Supports, u.Length, e.X)
		plain := math.Abs(e.Value) / (limit * span)
		high := plain
		if slender := span / u.Section.Height; slender < 10 {
			// 1.2 wL²/8GA over 5wL⁴/384EI
			high *= 1 + 0.96*16/(slender*slender)
		}
		return e, Ratio{plain * stiffer, high}
	}
	e, quick := share(now, limits.Now)
	r.Sag, r.SagAt = math.Abs(e.Value), e.X
	e, slow := share(lasting, limits.Lasting)
	r.Lasting = math.Abs(e.Value)
	r.Deflection = quick.Worse(slow)
	return nil
}

// spanAt returns the span that holds x; for an overhang twice its length, as
// limits for cantilevers are usually read.
func spanAt(supports []float64, length, x float64) float64 {
	last := len(supports) - 1
	if x < supports[0] {
		return 2 * supports[0]
	}
	if x > supports[last] {
		return 2 * (length - supports[last])
	}
	for i := 1; i <= last; i++ {
		if x <= supports[i] {
			return supports[i] - supports[i-1]
		}
	}
	return supports[last] - supports[0]
}

// A ColumnUse is an upright timber in its place. Section.Width counts plies.
type ColumnUse struct {
	Section Section
	Length  float64 // between what holds its ends
	Damp    bool
}

// CheckColumn judges a column under a permanent force and an ordinary one,
// pressed in its middle: the low ratio with both ends held against turning and
// the strongest timber it may be, the high one with both ends free to turn.
//
// Source: NDS 2018, 3.6 and 3.7; 15.3 for several plies (nailed). EN 1995-1-1,
// 6.3.2, from memory. Range: le/d up to 50.
func CheckColumn(t Timber, u ColumnUse, permanent, live float64) (Ratio, error) {
	var out Ratio
	for _, c := range Combinations(t.Weak.Code, u.Damp) {
		if c.Live > 0 && live == 0 {
			continue
		}
		stress := (c.Permanent*permanent + c.Live*live) / u.Section.Area()
		high, ok := columnStrength(t.Weak, u.Section, u.Length, c, builtUp)
		if !ok {
			return out, fmt.Errorf("a leg of %.0f mm is over 50 times as long as thin: %w", u.Length, ErrRange)
		}
		low, ok := columnStrength(t.Strong, u.Section, u.Length/2, c, 1)
		if !ok {
			low = high
		}
		out = out.Worse(Ratio{stress / low, stress / high})
	}
	return out, nil
}

// columnStrength returns the strength along the grain with buckling in the
// weaker of the two directions; plies takes the place of Kf where a column of
// several plies buckles across them.
func columnStrength(v Values, s Section, length float64, c Combination, plies float64) (float64, bool) {
	full := v.Along * c.Strength
	worst := full
	for _, side := range []struct {
		depth  float64
		across bool // of the plies
	}{{s.Width, s.Plies > 1}, {s.Height, false}} {
		factor := 1.0
		switch v.Code {
		case NDS:
			cp, _, ok := ColumnStability(full, v.Emin, length, side.depth)
			if !ok {
				return 0, false
			}
			factor = cp
		case Eurocode:
			if length/side.depth > slenderest {
				return 0, false
			}
			factor = columnFactor(v.AlongRef, v.Emin, length, side.depth)
		}
		if side.across {
			factor *= plies
		}
		worst = min(worst, full*factor)
	}
	return worst, true
}
