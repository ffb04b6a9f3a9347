package beam

import (
	"math"
	"slices"
)

// A poly is a polynomial, lowest power first.
type poly []float64

func (p poly) at(x float64) float64 {
	v := 0.0
	for _, c := range slices.Backward(p) {
		v = v*x + c
	}
	return v
}

func (p poly) scaled(k float64) poly {
	out := make(poly, len(p))
	for i, c := range p {
		out[i] = k * c
	}
	return out
}

// integral returns the integral of p that is c at 0.
func (p poly) integral(c float64) poly {
	out := make(poly, len(p)+1)
	out[0] = c
	for i, a := range p {
		out[i+1] = a / float64(i+1)
	}
	return out
}

func (p poly) derivative() poly {
	if len(p) < 2 {
		return nil
	}
	out := make(poly, len(p)-1)
	for i := range out {
		out[i] = p[i+1] * float64(i+1)
	}
	return out
}

// halvings of an interval leave less of it than float64 can resolve.
const halvings = 60

// turns returns, in ascending order, a, b and every place between them where p
// can have an extreme: the zeros of its derivative at which the sign changes.
func (p poly) turns(a, b float64) []float64 {
	out := []float64{a}
	out = append(out, p.derivative().zeros(a, b)...)
	return append(out, b)
}

// zeros returns the places in (a, b) where p changes its sign, ascending.
// Between two neighbouring turns p is monotone, so each sign change there is
// one zero and bisection finds it as well as float64 can tell places apart.
func (p poly) zeros(a, b float64) []float64 {
	if len(p) < 2 {
		return nil
	}
	var out []float64
	turns := p.turns(a, b)
	for i := 1; i < len(turns); i++ {
		lo, hi := turns[i-1], turns[i]
		if math.Signbit(p.at(lo)) == math.Signbit(p.at(hi)) {
			continue
		}
		rising := p.at(hi) > p.at(lo)
		for range halvings {
			mid := lo + (hi-lo)/2
			if p.at(mid) < 0 == rising {
				lo = mid
			} else {
				hi = mid
			}
		}
		if lo > a {
			out = append(out, lo)
		}
	}
	return out
}
