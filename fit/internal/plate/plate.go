// Package plate bends rectangular plates that lie on supports along all four
// edges.
//
// Numbers are bare float64 in N and mm; x runs along A and y along B from one
// corner. Theory: Kirchhoff and Navier's double sine series (S. Timoshenko and
// S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd edition, articles 27 to
// 30): thin plates, deflections small against the thickness, edges that neither
// sink nor hold the plate against turning. The series is cut where the next
// terms no longer change the fourth digit.
package plate

import "math"

// A Plate is A long and B wide, of one material alike in all directions.
type Plate struct{ A, B, Thickness, E, Nu float64 }

// terms is the number of half waves along each side.
const terms = 161

// A Bend is what a load does at one place: the deflection, and the moments per
// length that bend the plate along A and along B.
type Bend struct{ Sag, AlongA, AlongB float64 }

// Rigidity returns D.
func (p Plate) Rigidity() float64 {
	return p.E * p.Thickness * p.Thickness * p.Thickness / (12 * (1 - p.Nu*p.Nu))
}

// Uniform returns the bending in the middle under a pressure q on the whole
// plate, where deflection and moments are largest.
func (p Plate) Uniform(q float64) Bend {
	return p.Patch(q, 0, p.A, 0, p.B, p.A/2, p.B/2)
}

// Patch returns the bending at (x, y) under a pressure q on the rectangle from
// x0 to x1 and y0 to y1.
func (p Plate) Patch(q, x0, x1, y0, y1, x, y float64) Bend {
	alongA := waves(x0, x1, x, p.A)
	alongB := waves(y0, y1, y, p.B)
	var out Bend
	for m := range terms {
		ka := float64(m+1) * math.Pi / p.A
		for n := range terms {
			kb := float64(n+1) * math.Pi / p.B
			k := ka*ka + kb*kb
			w := q * alongA[m] * alongB[n] / (k * k) // times 1/D
			out.Sag += w
			out.AlongA += w * (ka*ka + p.Nu*kb*kb)
			out.AlongB += w * (kb*kb + p.Nu*ka*ka)
		}
	}
	out.Sag /= p.Rigidity()
	return out
}

// waves returns, for each half wave along a side of length l, the coefficient of
// a unit load from a to b times the wave's height at x.
func waves(a, b, x, l float64) [terms]float64 {
	var out [terms]float64
	for i := range out {
		k := float64(i+1) * math.Pi / l
		out[i] = 2 / l * (math.Cos(k*a) - math.Cos(k*b)) / k * math.Sin(k*x)
	}
	return out
}
