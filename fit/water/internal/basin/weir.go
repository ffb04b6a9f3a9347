package basin

import "math"

// gravity is the standard acceleration of gravity in mm/s².
const gravity = 9806.65

// A Formula is a way to get from a flow over a crest to the head.
type Formula int

// The formulas, from the one that passes most water at a head to the one that
// passes least.
const (
	// Clinging: the nappe clings to the pane and pulls more water over: 1.3
	// times Rehbock's flow, the most that is reported. Source: Bos, Discharge
	// Measurement Structures (1989), from memory.
	Clinging Formula = iota
	// Rehbock: (2/3)√2 (0.602 + 0.0832 h/P) b √g (h + 1.25 mm)^1.5. Source:
	// Rehbock (1929) as in Blevins, Applied Fluid Dynamics Handbook (1984).
	Rehbock
	// KindsvaterCarter, suppressed: (2/3)√2 (0.602 + 0.075 h/P) (b - 1 mm) √g
	// (h + 1 mm)^1.5, given for h > 30 mm, b > 150 mm, P > 100 mm, h/P < 2.
	// Source: Kindsvater and Carter, Trans. ASCE 124 (1959) 772, as in Blevins.
	KindsvaterCarter
	// BroadCrested: the top edge is wide against the head, so that the flow is
	// the critical one, (2/3)^1.5 √g b h^1.5, times 0.85. Source: Bos (1989),
	// from memory.
	BroadCrested
)

// The range in which the sharp-crested formulas are given.
const (
	leastHead  = 30  // mm
	leastWidth = 150 // mm
	leastCrest = 100 // mm, crest above the floor before it
	mostRatio  = 2   // head to crest height
	// sharpFrom is the ratio of head to thickness of the top edge above which
	// the edge acts as a sharp one. Source: Bos (1989), from memory.
	sharpFrom = 1.8
)

// A Crest is a straight edge over which water falls.
type Crest struct {
	Width     float64 // mm
	Height    float64 // above the floor before it
	Thickness float64 // of the top edge along the flow
}

// InRange tells whether head h lies where the sharp-crested formulas are given
// and the edge acts as a sharp one.
func (c Crest) InRange(h float64) bool {
	return h > leastHead && c.Width > leastWidth && c.Height > leastCrest && h < mostRatio*c.Height &&
		h > sharpFrom*c.Thickness
}

// Flow returns the free flow in mm³/s over c at head h in mm. Beyond h/P = 2
// the coefficient stays what it is there.
func (c Crest) Flow(h float64, by Formula) float64 {
	if h <= 0 || c.Width <= 0 {
		return 0
	}
	ratio := float64(mostRatio)
	if h < mostRatio*c.Height {
		ratio = h / c.Height
	}
	free := 2.0 / 3 * math.Sqrt(2*gravity)
	switch by {
	case Clinging:
		return 1.3 * c.Flow(h, Rehbock)
	case Rehbock:
		return free * (0.602 + 0.0832*ratio) * c.Width * math.Pow(h+1.25, 1.5)
	case KindsvaterCarter:
		// A crest narrower than 10 mm is no crest; the width lost to the sides
		// is kept from eating it up.
		return free * (0.602 + 0.075*ratio) * max(c.Width-1, 0.9*c.Width) * math.Pow(h+1, 1.5)
	case BroadCrested:
		return 0.85 * math.Pow(2.0/3, 1.5) * math.Sqrt(gravity) * c.Width * math.Pow(h, 1.5)
	}
	return math.NaN()
}

// drowned returns the share of the free flow that passes when the water behind
// the crest stands below mm above it and the water before it h.
//
// Source: Villemonte, Engineering News-Record 139 (1947) 866, for sharp-crested
// weirs, from memory.
func drowned(h, below float64) float64 {
	if below <= 0 {
		return 1
	}
	if h <= below {
		return 0
	}
	return math.Pow(1-math.Pow(below/h, 1.5), 0.385)
}

// Head returns the head in mm at which the flow q in mm³/s passes over c while
// the water behind it stands below mm above the crest (negative: free fall).
func (c Crest) Head(q, below float64, by Formula) float64 {
	if q <= 0 {
		return max(0, below)
	}
	lo := max(0, below)
	hi := lo + 1
	for c.Flow(hi, by)*drowned(hi, below) < q {
		if hi > 1e9 {
			return math.Inf(1) // no width to pass through
		}
		hi = lo + 2*(hi-lo)
	}
	return root(lo, hi, 1e-12*q, func(h float64) float64 { return c.Flow(h, by)*drowned(h, below) - q })
}

// Contraction is the share of a gap's area that the water fills right after it:
// 0.61 where it comes from all sides, as for a sharp-edged orifice; along floor
// and sides less is lost. Source: USBR, Water Measurement Manual (2001), chapter
// 9, from memory.
const (
	Contraction     = 0.61
	leastContracted = 0.85 // the most that passes: only the upper edge contracts
)

// Loss returns the difference in level in mm that drives the flow q through a
// gap of that area in mm² with water on both sides.
func Loss(q, area, contraction float64) float64 {
	if q <= 0 {
		return 0
	}
	v := q / (contraction * area)
	return v * v / (2 * gravity)
}

// Critical returns the depth at which the flow q through a channel of that
// width passes with the least energy.
func Critical(q, width float64) float64 {
	return math.Cbrt(q * q / (gravity * width * width))
}

// fine is how closely a height is found, in mm.
const fine = 1e-10

// root returns x between lo and hi at which the increasing function f is 0, or
// the nearer end where there is none: with f within tol of 0, or to fine. It
// narrows the interval by secants (Illinois) and halves it where they stall.
func root(lo, hi, tol float64, f func(float64) float64) float64 {
	flo, fhi := f(lo), f(hi)
	if !(flo < 0) {
		return lo
	}
	if !(fhi > 0) {
		return hi
	}
	last := 0
	for i := range 200 {
		x := lo + (hi-lo)*(-flo/(fhi-flo))
		if i%4 == 3 || !(x > lo && x < hi) {
			x = lo + (hi-lo)/2
			if hi-lo <= fine || !(x > lo && x < hi) {
				break
			}
		}
		fx := f(x)
		switch {
		case math.Abs(fx) <= tol:
			return x
		case fx < 0:
			lo, flo = x, fx
			if last < 0 {
				fhi /= 2
			}
			last = -1
		case fx > 0:
			hi, fhi = x, fx
			if last > 0 {
				flo /= 2
			}
			last = 1
		default: // NaN
			return math.NaN()
		}
	}
	return lo + (hi-lo)/2
}
