// Package verify proves that a rigid body keeps clear of solids all along a
// path, between the poses as well as at them.
//
// It trusts nothing of a search. A leg is split into pieces, and each piece of
// each pair of solids rests on one fixed direction that separates them: along
// it the gap is computed from support functions alone, which needs no distance
// query. Where such a direction came from does not matter; a bad one proves
// less, never something false. Millimetres and radians.
package verify

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Clear is what was proved of a path.
type Clear struct {
	// Low is proved: all along the path every solid of the body keeps at least
	// this distance from every other. It is negative where they may overlap by
	// as much, and +Inf where there is nothing else.
	Low float64
	// Leg and T tell where on the path the body came nearest of all places
	// looked at, Body and Other which solids did; -1 where there is nothing.
	Leg         int
	T           float64
	Body, Other int
}

// resolution is how near Low comes to the truth where nothing else stops it:
// half of what a tape could ever tell.
const resolution = 0.005

// deepest bounds how often a piece of a leg is halved.
const deepest = 40

// unitTolerance is how far from length one a quaternion may be. Poses further
// off are not rigid, and nothing is proved of them.
const unitTolerance = 1e-9

// Measure proves how clear the body stays of others along path. Values above
// enough need not be told apart: a Low of enough or more is not narrowed.
func Measure(body []solid.Solid, path solid.Path, others []solid.Solid, enough float64) (Clear, error) {
	return measure(body, path, others, enough, math.Inf(-1))
}

// Keeps returns nil if it proved that the body keeps at least need from others
// all along path. Overlapping by up to −need counts as kept where need is
// negative. It stops at the first place where less is kept.
func Keeps(body []solid.Solid, path solid.Path, others []solid.Solid, need float64) error {
	c, err := measure(body, path, others, need, need)
	if err != nil {
		return err
	}
	if !(c.Low >= need) {
		return fmt.Errorf("leg %d: solid %d comes nearer to solid %d than %.4f mm", c.Leg, c.Body, c.Other, need)
	}
	return nil
}

// measure is Measure; it gives up with a Low of −Inf where less than stop is seen.
func measure(body []solid.Solid, path solid.Path, others []solid.Solid, enough, stop float64) (Clear, error) {
	m := measurer{
		body: body, path: path, others: others, enough: enough, stop: stop,
		clear: Clear{Low: math.Inf(1), Leg: -1, Body: -1, Other: -1}, seen: math.Inf(1),
	}
	if err := sound(path); err != nil {
		return Clear{}, err
	}
	m.reach = make([]float64, len(body))
	for i, s := range body {
		m.reach[i] = farthestCorner(s.Bounds(), path.Ref)
	}
	for leg := range len(path.Poses) - 1 {
		for i := range body {
			for j := range others {
				m.piece(leg, i, j, 0, 1, 0, r3.Vec{})
				if m.seen < stop {
					m.clear.Low = math.Inf(-1)
					return m.clear, nil
				}
			}
		}
	}
	return m.clear, nil
}

// sound tells whether path is a motion of a rigid body at all.
func sound(path solid.Path) error {
	if len(path.Poses) < 2 {
		return errors.New("a path needs two poses")
	}
	for i, p := range path.Poses {
		if !(math.Abs(quat.Abs(p.Turn)-1) <= unitTolerance) {
			return fmt.Errorf("pose %d: the turn is no unit quaternion", i)
		}
		if !(r3.Norm(p.Shift) < 1e6) {
			return fmt.Errorf("pose %d: the shift is not finite", i)
		}
		if i > 0 && path.Angle(i-1) > math.Pi-1e-6 {
			return fmt.Errorf("leg %d: half a turn has no short way", i-1)
		}
	}
	return nil
}

func farthestCorner(b r3.Box, from r3.Vec) float64 {
	d := r3.Vec{
		X: max(math.Abs(b.Min.X-from.X), math.Abs(b.Max.X-from.X)),
		Y: max(math.Abs(b.Min.Y-from.Y), math.Abs(b.Max.Y-from.Y)),
		Z: max(math.Abs(b.Min.Z-from.Z), math.Abs(b.Max.Z-from.Z)),
	}
	return r3.Norm(d)
}

type measurer struct {
	body, others []solid.Solid
	reach        []float64 // farthest a solid of the body goes from the reference point
	path         solid.Path
	enough, stop float64
	clear        Clear
	seen         float64 // least distance seen at any pose
}

// piece proves a lower bound for one pair on the part t0 to t1 of a leg, and
// splits it where the bound is worse than what was seen.
func (m *measurer) piece(leg, i, j int, t0, t1 float64, depth int, hint r3.Vec) {
	a, b := m.body[i], m.others[j]
	p0, p1 := m.path.At(leg, t0), m.path.At(leg, t1)
	a0, a1 := moved{a, p0}, moved{a, p1}
	half := m.path.Angle(leg) * (t1 - t0) / 2
	sag := m.reach[i] * (1 - math.Cos(half))
	// bound is the least gap along d on the whole piece: for every point of the
	// body it is a straight move plus an arc, and an arc stays within its sag of
	// the chord.
	bound := func(d r3.Vec) float64 {
		return min(separation(a0, b, d), separation(a1, b, d)) - sag
	}
	need := min(m.enough, m.seen-resolution)
	low, dir := math.Inf(-1), hint
	try := func(d r3.Vec) bool {
		n := r3.Norm(d)
		if !(n > 0) {
			return false
		}
		d = r3.Scale(1/n, d)
		if v := bound(d); v > low {
			low, dir = v, d
		}
		return low >= need
	}
	if !try(hint) && !m.tryAxes(a0, a1, b, try) {
		mid := m.path.At(leg, (t0+t1)/2)
		g := solid.Distance(a.Moved(mid), b)
		if g.Dist < m.seen {
			m.seen = g.Dist
			m.clear.Leg, m.clear.T, m.clear.Body, m.clear.Other = leg, (t0+t1)/2, i, j
			need = min(m.enough, m.seen-resolution)
		}
		try(g.Normal)
		for _, p := range []solid.Pose{p0, p1} {
			if low >= need {
				break
			}
			g := solid.Distance(a.Moved(p), b)
			if g.Dist < m.seen {
				m.seen = g.Dist
				m.clear.Leg, m.clear.Body, m.clear.Other = leg, i, j
				m.clear.T = t0
				if p == p1 {
					m.clear.T = t1
				}
				need = min(m.enough, m.seen-resolution)
			}
			try(g.Normal)
		}
	}
	if low < need && depth < deepest && m.seen >= m.stop {
		mid := (t0 + t1) / 2
		m.piece(leg, i, j, t0, mid, depth+1, dir)
		m.piece(leg, i, j, mid, t1, depth+1, dir)
		return
	}
	m.clear.Low = min(m.clear.Low, low)
}

// tryAxes tries the directions along the axes, which separate most pairs in a
// cabinet, best first.
func (m *measurer) tryAxes(a0, a1 moved, b solid.Solid, try func(r3.Vec) bool) bool {
	for _, d := range axes {
		// A cheap look first: support at one end only.
		if separation(a0, b, d) < 0 {
			continue
		}
		if separation(a1, b, d) >= 0 && try(d) {
			return true
		}
	}
	return false
}

var axes = [...]r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}

// moved is a solid in a pose, by its support function alone.
type moved struct {
	s solid.Solid
	p solid.Pose
}

func (m moved) support(d r3.Vec) r3.Vec { return m.p.Apply(m.s.Support(m.p.Unrotate(d))) }

// separation returns the gap between a and b along d of unit length.
func separation(a moved, b solid.Solid, d r3.Vec) float64 {
	return r3.Dot(r3.Sub(b.Support(r3.Scale(-1, d)), a.support(d)), d)
}
