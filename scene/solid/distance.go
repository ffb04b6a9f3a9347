package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Gap is what lies between two solids a and b.
//
// OnB − OnA = Dist·Normal, apart as well as overlapping. Moving b by more than
// −Dist along Normal separates solids that overlap.
type Gap struct {
	// Dist is the distance of solids that are apart; of solids that overlap it
	// is minus the depth, the length of the smallest move that separates them.
	Dist float64
	// Low and High hold the true signed distance between them, rounding of the
	// last place aside. Low is Separation along Normal.
	Low, High float64
	// OnA and OnB are the witness points, on the surfaces of a and b.
	OnA, OnB r3.Vec
	// Normal is of unit length and points from a to b.
	Normal r3.Vec
}

// swapped returns the gap between b and a.
func (g Gap) swapped() Gap {
	g.OnA, g.OnB = g.OnB, g.OnA
	g.Normal = r3.Scale(-1, g.Normal)
	return g
}

// Separation returns the gap between a and b along the direction d of unit
// length, from support functions alone: the least of b along d minus the
// greatest of a. The signed distance of a and b is its greatest value over all
// directions, so that any direction gives a lower bound.
func Separation(a, b Solid, d r3.Vec) float64 {
	return r3.Dot(r3.Sub(b.Support(r3.Scale(-1, d)), a.Support(d)), d)
}

// Lower returns a cheap lower bound of the signed distance of a and b.
func Lower(a, b Solid) float64 {
	p, q := a.Bounds(), b.Bounds()
	d := r3.Vec{
		X: max(q.Min.X-p.Max.X, p.Min.X-q.Max.X),
		Y: max(q.Min.Y-p.Max.Y, p.Min.Y-q.Max.Y),
		Z: max(q.Min.Z-p.Max.Z, p.Min.Z-q.Max.Z),
	}
	if m := max(d.X, d.Y, d.Z); m <= 0 {
		return m
	}
	return math.Sqrt(sq(max(d.X, 0)) + sq(max(d.Y, 0)) + sq(max(d.Z, 0)))
}

func sq(x float64) float64 { return x * x }

// Distance returns the gap between a and b. It allocates nothing.
func Distance(a, b Solid) Gap {
	g, apart := closest(a, b)
	if !apart {
		g = deepest(a, b)
	}
	return g
}
