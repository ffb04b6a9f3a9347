package service

import (
	"math"
	"slices"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A fit is what is known of something that is to pass a hole.
type fit struct {
	// spare is what it keeps on every side, where it passes pushed straight; where
	// not, by how much smaller on every side it is shown not to pass either,
	// however it is moved.
	spare  verdict.Margin
	turned bool // it passes only askew to the sides of the hole
}

// boxThrough tells how a box passes a hole: pushed straight it needs its smallest
// cross-section.
//
// However it is moved, at some time its middle is in the plane of the hole, and
// then all of its section there lies in the hole. Of such a section, of a box with
// sides a ≤ b ≤ c, it is known: it holds a disc a across, as the box holds such a
// ball; its area is at least ab (J. D. Vaaler, "A geometric inequality with
// applications to linear forms", Pacific Journal of Mathematics 83, 1979, for the
// cube, and by stretching that); and, a polygon with its corners on edges of the
// box, it reaches √(a²+b²)/2 from the middle at least, as every point of every edge
// does. The section is its own mirror image in the middle, so a round hole that
// holds it holds it centred: there the last is exact.
func boxThrough(size [3]unit.Length, h *scene.Hole) fit {
	s := size
	slices.Sort(s[:])
	a, b := s[0], s[1]
	w, ht := h.Size()
	least := min(w, ht)
	shut := func(a, b unit.Length) bool {
		if h.Round {
			return math.Hypot(a.MM(), b.MM()) > w.MM()
		}
		return a > least || a.MM()*b.MM() > w.MM()*ht.MM() || math.Hypot(a.MM(), b.MM()) > math.Hypot(w.MM(), ht.MM())
	}
	passes := func(a, b unit.Length) bool {
		if h.Round {
			return !shut(a, b)
		}
		return rectangleIn(a.MM(), b.MM(), w.MM(), ht.MM())
	}
	f := fit{turned: !h.Round && !upright(a.MM(), b.MM(), w.MM(), ht.MM())}
	f.spare = verdict.Margin{Lo: unit.Length(math.Inf(-1)), Hi: unit.Length(math.Inf(1))}
	switch {
	case passes(a, b) && h.Round:
		// From the corners to the hole's edge.
		f.spare.Lo = (w - unit.Length(math.Hypot(a.MM(), b.MM()))) / 2
		f.spare.Hi = f.spare.Lo
	case passes(a, b):
		f.spare.Lo = largest(max(w, ht), func(e unit.Length) bool { return passes(a+2*e, b+2*e) })
	case shut(a, b):
		f.spare.Hi = -largest(a/2, func(e unit.Length) bool { return shut(a-2*e, b-2*e) })
	}
	return f
}

// roundThrough tells how something round passes a hole, pushed along its axis. A
// flat disc has a chord d across in every plane through its middle; what is longer
// than it is thick holds a ball.
func roundThrough(d unit.Length, long bool, h *scene.Hole) fit {
	w, ht := h.Size()
	least := min(w, ht)
	f := fit{spare: verdict.Exactly((least - d) / 2)}
	if !h.Round && !long && d > least {
		f.spare.Lo = unit.Length(math.Inf(-1))
		f.spare.Hi = min(0, unit.Length(math.Hypot(w.MM(), ht.MM()))-d) / 2
		if f.spare.Hi == 0 {
			f.spare.Hi = unit.Length(math.Inf(1))
		}
	}
	return f
}

// largest returns the largest e up to most for which something holds that holds
// for 0 and for everything below what it holds for.
func largest(most unit.Length, holds func(unit.Length) bool) unit.Length {
	lo, hi := unit.Length(0), most
	for range 60 {
		if mid := (lo + hi) / 2; holds(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// upright tells whether a rectangle with sides p and q lies in one with sides a and
// b, sides along sides.
func upright(p, q, a, b float64) bool { return max(p, q) <= max(a, b) && min(p, q) <= min(a, b) }

// rectangleIn tells whether a rectangle with sides p and q lies in one with sides a
// and b, turned as it likes. W. B. Carver, American Mathematical Monthly 64 (1957),
// problem E 1225 and its solution; from memory.
func rectangleIn(p, q, a, b float64) bool {
	if p < q {
		p, q = q, p
	}
	if a < b {
		a, b = b, a
	}
	if p <= a && q <= b {
		return true
	}
	if p <= a || q > b {
		return false
	}
	x, y := (a+b)/(p+q), (a-b)/(p-q)
	return x*x+y*y >= 2
}
