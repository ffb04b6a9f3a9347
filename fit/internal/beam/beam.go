// Package beam solves straight beams on any number of level supports exactly:
// reactions, shear, moment and deflection as piecewise polynomials, with their
// true extremes.
//
// Numbers are bare float64 in one consistent set of units (here N and mm, with
// moments in N·mm and stresses in N/mm²). Loads and deflections are positive
// downward, moments positive where they stretch the lower side, reactions
// positive upward.
//
// Theory: Euler and Bernoulli, small deflections, one bending stiffness for the
// whole beam, supports that neither sink nor hold the beam against turning.
// Solve has them pull down too where the loads would lift the beam off one;
// Rest lets it lift.
package beam

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A Load acts on the beam between From and To with an intensity (N/mm) that
// changes in a straight line from Start to End. Where From equals To it is a
// point load of Start (N) and End does not count.
type Load struct{ From, To, Start, End float64 }

// Point returns a point load of p at x.
func Point(x, p float64) Load { return Load{From: x, To: x, Start: p} }

// Uniform returns a load of q per length between from and to.
func Uniform(from, to, q float64) Load { return Load{from, to, q, q} }

// Total returns the sum of the load.
func (l Load) Total() float64 {
	if l.From == l.To {
		return l.Start
	}
	return (l.Start + l.End) / 2 * (l.To - l.From)
}

// Scaled returns the load times k.
func (l Load) Scaled(k float64) Load { return Load{l.From, l.To, l.Start * k, l.End * k} }

// A Beam runs from 0 to Length.
type Beam struct {
	Length    float64
	Supports  []float64 // ascending, at least two, from 0 to Length
	Stiffness float64   // EI, N·mm²
}

// check tells what is wrong with b and loads.
func (b Beam) check(loads []Load) error {
	if !(b.Length > 0) || !(b.Stiffness > 0) || math.IsInf(b.Length, 0) || math.IsInf(b.Stiffness, 0) {
		return fmt.Errorf("length %v and stiffness %v must be positive", b.Length, b.Stiffness)
	}
	if len(b.Supports) < 2 {
		return errors.New("a beam needs two supports")
	}
	for i, s := range b.Supports {
		if !(s >= 0 && s <= b.Length) || i > 0 && !(s > b.Supports[i-1]) {
			return fmt.Errorf("supports %v must rise from 0 to %v", b.Supports, b.Length)
		}
	}
	for _, l := range loads {
		if !(l.From >= 0 && l.To >= l.From && l.To <= b.Length) {
			return fmt.Errorf("load from %v to %v is not on the beam of %v", l.From, l.To, b.Length)
		}
		if math.IsNaN(l.Start+l.End) || math.IsInf(l.Start+l.End, 0) {
			return fmt.Errorf("load %v to %v is no number", l.Start, l.End)
		}
	}
	return nil
}

// A Solution describes the beam under its loads.
type Solution struct {
	Reactions []float64 // one a support, upward
	segments  []segment
	supports  []float64
}

// A segment holds the polynomials between two neighbouring breakpoints in the
// local coordinate x − from.
type segment struct {
	from, to           float64
	shear, moment, sag poly // sag is the deflection
}

// Solve returns the exact solution for the loads, which may overlap.
//
// Equilibrium and the supports' zero deflections are as many equations as there
// are unknowns: the reactions and the two constants of the twice integrated
// moment. The load's own deflection is that of Macaulay's brackets (W. H.
// Macaulay, "Note on the deflection of beams", Messenger of Mathematics 48,
// 1919).
func (b Beam) Solve(loads []Load) (*Solution, error) {
	if err := b.check(loads); err != nil {
		return nil, err
	}
	// All lengths are divided by the beam's, so that the matrix is of one size.
	n := len(b.Supports)
	a := mat.NewDense(n+2, n+2, nil)
	rhs := mat.NewVecDense(n+2, nil)
	l := b.Length
	for j, s := range b.Supports {
		a.Set(0, j, 1)
		a.Set(1, j, s/l)
		x := s / l
		for i := range j {
			a.Set(2+j, i, -cube(x-b.Supports[i]/l)/6)
		}
		a.Set(2+j, n, x)
		a.Set(2+j, n+1, 1)
		for _, load := range loads {
			rhs.SetVec(2+j, rhs.AtVec(2+j)-load.bracket(s)/(l*l*l))
		}
	}
	for _, load := range loads {
		total, moment := load.resultant()
		rhs.SetVec(0, rhs.AtVec(0)+total)
		rhs.SetVec(1, rhs.AtVec(1)+moment/l)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, rhs); err != nil {
		return nil, fmt.Errorf("supports %v: %w", b.Supports, err)
	}
	sol := &Solution{Reactions: make([]float64, n), supports: slices.Clone(b.Supports)}
	for i := range n {
		sol.Reactions[i] = x.AtVec(i)
	}
	sol.march(b, loads, x.AtVec(n)*l*l, x.AtVec(n+1)*l*l*l)
	return sol, nil
}

func cube(x float64) float64 { return x * x * x }

// resultant returns the load's sum and its moment about 0.
func (l Load) resultant() (total, moment float64) {
	if l.From == l.To {
		return l.Start, l.Start * l.From
	}
	w := l.To - l.From
	total = (l.Start + l.End) / 2 * w
	return total, total*l.From + (l.Start+2*l.End)/6*w*w
}

// bracket returns EI times the deflection at x of the load alone on a beam held
// rigidly at 0 and free beyond: the four times integrated load.
func (l Load) bracket(x float64) float64 {
	if x <= l.From {
		return 0
	}
	if l.From == l.To {
		return l.Start * cube(x-l.From) / 6
	}
	slope := (l.End - l.Start) / (l.To - l.From)
	w := l.Start*math.Pow(x-l.From, 4)/24 + slope*math.Pow(x-l.From, 5)/120
	if x > l.To {
		w -= l.End*math.Pow(x-l.To, 4)/24 + slope*math.Pow(x-l.To, 5)/120
	}
	return w
}

// march writes the polynomials from left to right; slope and rise are EI times
// slope and deflection at 0.
func (s *Solution) march(b Beam, loads []Load, slope, rise float64) {
	cuts := []float64{0, b.Length}
	cuts = append(cuts, b.Supports...)
	for _, l := range loads {
		cuts = append(cuts, l.From, l.To)
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	var shear, moment float64
	for i := 1; i < len(cuts); i++ {
		from, to := cuts[i-1], cuts[i]
		for j, x := range b.Supports {
			if x == from {
				shear += s.Reactions[j]
			}
		}
		var q0, q1 float64 // load at from, and its rise per length
		for _, l := range loads {
			switch {
			case l.From == l.To:
				if l.From == from {
					shear -= l.Start
				}
			case l.From <= from && l.To >= to:
				k := (l.End - l.Start) / (l.To - l.From)
				q0 += l.Start + k*(from-l.From)
				q1 += k
			}
		}
		g := segment{from: from, to: to}
		g.shear = poly{shear, -q0, -q1 / 2}
		g.moment = g.shear.integral(moment)
		// EI·w″ = −M
		turn := g.moment.scaled(-1).integral(slope)
		sag := turn.integral(rise)
		g.sag = sag.scaled(1 / b.Stiffness)
		s.segments = append(s.segments, g)
		h := to - from
		shear, moment, slope, rise = g.shear.at(h), g.moment.at(h), turn.at(h), sag.at(h)
	}
}

// segmentAt returns the segment that holds x, the left one at a breakpoint.
func (s *Solution) segmentAt(x float64) segment {
	for _, g := range s.segments {
		if x <= g.to {
			return g
		}
	}
	return s.segments[len(s.segments)-1]
}

// Moment returns the bending moment at x.
func (s *Solution) Moment(x float64) float64 {
	g := s.segmentAt(x)
	return g.moment.at(x - g.from)
}

// Shear returns the shear force just left of x.
func (s *Solution) Shear(x float64) float64 {
	g := s.segmentAt(x)
	return g.shear.at(x - g.from)
}

// Deflection returns the deflection at x.
func (s *Solution) Deflection(x float64) float64 {
	g := s.segmentAt(x)
	return g.sag.at(x - g.from)
}

// An Extreme is the largest or smallest value of a quantity and where it is.
type Extreme struct{ X, Value float64 }

// Moments returns the largest (sagging) and the smallest (hogging) moment.
func (s *Solution) Moments() (largest, smallest Extreme) {
	return s.extremes(func(g segment) poly { return g.moment })
}

// Deflections returns the largest downward and the largest upward deflection,
// the latter as the smallest value.
func (s *Solution) Deflections() (down, up Extreme) {
	return s.extremes(func(g segment) poly { return g.sag })
}

// MaxShear returns the shear force of the largest size anywhere except nearer
// than skip to a support.
func (s *Solution) MaxShear(skip float64) Extreme {
	best := Extreme{}
	for _, g := range s.segments {
		for _, w := range s.clear(g.from, g.to, skip) {
			for _, x := range g.shear.turns(w[0]-g.from, w[1]-g.from) {
				if v := g.shear.at(x); math.Abs(v) > math.Abs(best.Value) {
					best = Extreme{g.from + x, v}
				}
			}
		}
	}
	return best
}

// clear returns what is left of the interval from a to b outside of skip round
// every support.
func (s *Solution) clear(a, b, skip float64) [][2]float64 {
	var out [][2]float64
	for _, x := range s.supports {
		if end := min(b, x-skip); end >= a && skip > 0 {
			out = append(out, [2]float64{a, end})
		}
		if skip > 0 {
			a = max(a, x+skip)
		}
	}
	if a <= b {
		out = append(out, [2]float64{a, b})
	}
	return out
}

// Rest returns the exact solution for a beam that only lies on its supports:
// where the loads lift it off one, that support carries nothing. An error says
// that the beam would tip, or that no set of supports was found that all carry.
func (b Beam) Rest(loads []Load) (*Solution, error) {
	total := 0.0
	for _, l := range loads {
		total += math.Abs(l.Total())
	}
	kept := slices.Clone(b.Supports)
	for {
		s, err := Beam{b.Length, kept, b.Stiffness}.Solve(loads)
		if err != nil {
			return nil, err
		}
		worst := slices.Index(s.Reactions, slices.Min(s.Reactions))
		if s.Reactions[worst] >= -slack*total {
			return b.settled(s, kept)
		}
		kept = slices.Delete(slices.Clone(kept), worst, worst+1)
	}
}

// slack is the share of the load that rounding may leave where nothing is.
const slack = 1e-9

// settled gives the supports that were left out a reaction of nothing, after
// seeing that the beam is above each.
func (b Beam) settled(s *Solution, kept []float64) (*Solution, error) {
	down, up := s.Deflections()
	size := max(down.Value, -up.Value)
	reactions := make([]float64, len(b.Supports))
	for i, x := range b.Supports {
		if j := slices.Index(kept, x); j >= 0 {
			reactions[i] = s.Reactions[j]
		} else if s.Deflection(x) > slack*size {
			return nil, fmt.Errorf("the support at %v neither carries nor is free", x)
		}
	}
	s.Reactions = reactions
	return s, nil
}

func (s *Solution) extremes(of func(segment) poly) (largest, smallest Extreme) {
	largest.Value, smallest.Value = math.Inf(-1), math.Inf(1)
	for _, g := range s.segments {
		p := of(g)
		for _, x := range p.turns(0, g.to-g.from) {
			v := p.at(x)
			if v > largest.Value {
				largest = Extreme{g.from + x, v}
			}
			if v < smallest.Value {
				smallest = Extreme{g.from + x, v}
			}
		}
	}
	return largest, smallest
}
