package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Gap is what lies between two solids a and b.
//
// OnB − OnA = Dist·Normal, apart as well as overlapping, as far as Low and High
// have met. Moving b by −Low along Normal separates solids that overlap.
type Gap struct {
	// Dist is the distance of solids that are apart; of solids that overlap it
	// is minus the depth, the length of the shortest move that separates them.
	Dist float64
	// Low and High hold the true signed distance between them, but for the
	// rounding of coordinates. Low is the Separation along Normal.
	Low, High float64
	// OnA and OnB are the witness points, on the surfaces of a and b.
	OnA, OnB r3.Vec
	// Normal is of unit length and points from a to b.
	Normal r3.Vec
}

// swapped returns the gap as seen from b.
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

// Lower returns a cheap lower bound of the signed distance of a and b, that of
// the boxes round them.
func Lower(a, b Solid) float64 {
	p, q := a.Bounds(), b.Bounds()
	x := max(q.Min.X-p.Max.X, p.Min.X-q.Max.X)
	y := max(q.Min.Y-p.Max.Y, p.Min.Y-q.Max.Y)
	z := max(q.Min.Z-p.Max.Z, p.Min.Z-q.Max.Z)
	if m := max(x, y, z); m <= 0 {
		return m
	}
	x, y, z = max(x, 0), max(y, 0), max(z, 0)
	return math.Sqrt(x*x + y*y + z*z)
}

// Distance returns the gap between a and b. It allocates nothing.
//
// Closed forms serve balls, capsules with one another, and upright cylinders
// among themselves and with boxes. Other pairs iterate until Low and High meet:
// between flat-faced solids to about 1e-12 of their size, with cylinders and
// cones to about 1e-10 of it. Only where a round solid overlaps another just as
// deep in a whole circle of directions is High looser, by up to 1e-3 of the depth.
func Distance(a, b Solid) Gap {
	p, q := bodyOf(a), bodyOf(b)
	g := core(&p, &q)
	if p.round > 0 || q.round > 0 {
		// Both are a core and all within a radius of it.
		g.OnA = r3.Add(g.OnA, r3.Scale(p.round, g.Normal))
		g.OnB = r3.Sub(g.OnB, r3.Scale(q.round, g.Normal))
		r := p.round + q.round
		g.Dist, g.Low, g.High = g.Dist-r, g.Low-r, g.High-r
	}
	return g
}

// core returns the gap between the cores of a and b.
func core(a, b *body) Gap {
	if a.form > b.form {
		return core(b, a).swapped()
	}
	switch a.form {
	case point:
		if g, ok := fromPoint(a.a, b); ok {
			return g
		}
	case stick:
		if b.form == stick {
			return sticks(a, b)
		}
	case discs:
		if g, ok := upright(a, b); ok {
			return g
		}
	case oblong, cornered, foreign:
	}
	flat := a.flatFaced() && b.flatFaced()
	g, apart := closest(a, b, r3.Vec{}, r3.Sub(b.middle(), a.middle()))
	enough := max(1e-10, 1e-11*g.High)
	if !flat {
		enough = max(1e-8, 1e-9*g.High)
	}
	if apart && g.High-g.Low <= enough {
		return g
	}
	// They overlap, or are so near to contact that the way between the nearest
	// points says little about the normal; the faces of the difference do.
	var h Gap
	if flat {
		h = byAxes(a, b)
	} else {
		h = expand(a, b)
	}
	if apart && (g.Low > 0 || h.High >= 0) {
		return g.narrowed(h)
	}
	// They overlap, also where closest has them apart and no plane between them:
	// to it a solid of a metre beside one of a micrometre is a sliver, in which
	// rounding is far longer than the smaller solid.
	if h.Low > 0 {
		// Rounding hid that they are apart.
		if g, apart = closest(a, b, r3.Vec{}, h.Normal); apart {
			return g.narrowed(h)
		}
	}
	return h
}

// narrowed returns what two answers say together of solids that are apart, or in
// contact.
func (g Gap) narrowed(h Gap) Gap {
	if h.Low > g.Low {
		g.Low, g.Normal = h.Low, h.Normal
	}
	if d := r3.Norm(r3.Sub(h.OnB, h.OnA)); d < g.High && h.Low > -rounding*absSum(h.OnA) {
		g.High, g.Dist, g.OnA, g.OnB = d, d, h.OnA, h.OnB
	}
	return g
}
