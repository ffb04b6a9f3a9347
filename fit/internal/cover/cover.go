// Package cover shows that none of the places near one is open to come to it from: each
// is barred by something that stands there. Check trusts nothing of what Find found. All
// numbers are in mm.
package cover

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Space is the places of a box that are no farther than Within from the place From.
type Space struct {
	Box    r3.Box
	From   r3.Vec
	Within float64
	Bars   []Bar
}

// A Bar bars all places within By of a box, or where it is Hiding those that are not to be
// seen from the space's place past the box: no straight move leads there.
type Bar struct {
	r3.Box
	By     float64
	Hiding bool
}

// A Node parts a box in two across an axis, 0 to 2, at a coordinate, or tells, where
// the axis is −1, by which of the bars all of it is barred: the number after the last
// where all of it is too far. The nodes of the lower part follow it, then those of the upper.
type Node struct {
	Axis int     `json:"axis"`
	At   float64 `json:"at,omitempty"`
	In   int     `json:"in,omitempty"`
}

// Most bounds how many nodes are looked at.
const Most = 20_000

// Check returns nil where nodes show that no place of s is open, and else what is wrong.
func (s *Space) Check(nodes []Node) error {
	if len(nodes) > Most {
		return fmt.Errorf("more than %d parts", Most)
	}
	rest, err := s.check(s.Box, nodes)
	if err == nil && len(rest) > 0 {
		err = fmt.Errorf("%d nodes too many", len(rest))
	}
	return err
}

func (s *Space) check(b r3.Box, nodes []Node) (rest []Node, err error) {
	if len(nodes) == 0 {
		return nil, errors.New("a part is not told of")
	}
	n := nodes[0]
	if n.Axis == -1 {
		if n.In < 0 || n.In > len(s.Bars) {
			return nil, fmt.Errorf("there is no bar %d", n.In)
		}
		if !s.barred(b, n.In) {
			return nil, fmt.Errorf("a part is not barred by %d", n.In)
		}
		return nodes[1:], nil
	}
	lower, upper, ok := parted(b, n.Axis, n.At)
	if !ok {
		return nil, fmt.Errorf("nothing is parted at %g across axis %d", n.At, n.Axis)
	}
	if rest, err = s.check(lower, nodes[1:]); err != nil {
		return nil, err
	}
	return s.check(upper, rest)
}

// barred tells whether all of b is barred by bar i, or too far where there is none.
func (s *Space) barred(b r3.Box, i int) bool {
	if i == len(s.Bars) {
		return norm(beyond(b, r3.Box{Min: s.From, Max: s.From})) > s.Within
	}
	bar := &s.Bars[i]
	if !bar.Hiding {
		return norm(sticksOut(b, bar.Box)) <= bar.By
	}
	// What a box hides is convex: all of b is where its corners are.
	for k := range 8 {
		if !bar.hides(solid.Corner(b, k), s.From) {
			return false
		}
	}
	return true
}

// beyond returns how far all of a is beside b along each axis.
func beyond(a, b r3.Box) [3]float64 {
	return each(a, b, func(a0, a1, b0, b1 float64) float64 { return max(0, a0-b1, b0-a1) })
}

// sticksOut returns how far a sticks out of b along each axis.
func sticksOut(a, b r3.Box) [3]float64 {
	return each(a, b, func(a0, a1, b0, b1 float64) float64 { return max(0, a1-b1, b0-a0) })
}

func each(a, b r3.Box, f func(a0, a1, b0, b1 float64) float64) [3]float64 {
	return [3]float64{
		f(a.Min.X, a.Max.X, b.Min.X, b.Max.X),
		f(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y),
		f(a.Min.Z, a.Max.Z, b.Min.Z, b.Max.Z),
	}
}

func norm(v [3]float64) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }

// hides tells whether the straight line between two places goes through the box.
func (b *Bar) hides(to, from r3.Vec) bool {
	first, last := 0.0, 1.0
	in := func(a, d, lo, hi float64) {
		switch {
		case d > 0:
			first, last = max(first, (lo-a)/d), min(last, (hi-a)/d)
		case d < 0:
			first, last = max(first, (hi-a)/d), min(last, (lo-a)/d)
		case !(a > lo && a < hi):
			last = -1
		}
	}
	d := r3.Sub(to, from)
	in(from.X, d.X, b.Min.X, b.Max.X)
	in(from.Y, d.Y, b.Min.Y, b.Max.Y)
	in(from.Z, d.Z, b.Min.Z, b.Max.Z)
	return first < last
}

// parted returns the parts of b below and above a coordinate inside of it.
func parted(b r3.Box, axis int, at float64) (lower, upper r3.Box, ok bool) {
	lower, upper = b, b
	switch axis {
	case 0:
		ok = at > b.Min.X && at < b.Max.X
		lower.Max.X, upper.Min.X = at, at
	case 1:
		ok = at > b.Min.Y && at < b.Max.Y
		lower.Max.Y, upper.Min.Y = at, at
	case 2:
		ok = at > b.Min.Z && at < b.Max.Z
		lower.Max.Z, upper.Min.Z = at, at
	}
	return lower, upper, ok
}
