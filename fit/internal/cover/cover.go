// Package cover shows that boxes cover a box: that none of its points is in none of
// them. Check trusts nothing of what Find found. All numbers are in mm.
package cover

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Node parts a box in two across an axis, 0 to 2, at a coordinate, or tells, where
// the axis is −1, in which box it lies. The nodes of the lower part follow it, then
// those of the upper.
type Node struct {
	Axis int     `json:"axis"`
	At   float64 `json:"at,omitempty"`
	In   int     `json:"in,omitempty"`
}

// Most bounds how many nodes are looked at.
const Most = 20_000

// Check returns nil where nodes show that boxes cover whole, and else what is wrong.
func Check(whole r3.Box, boxes []r3.Box, nodes []Node) error {
	if len(nodes) > Most {
		return fmt.Errorf("more than %d parts", Most)
	}
	rest, err := check(whole, boxes, nodes)
	if err == nil && len(rest) > 0 {
		err = fmt.Errorf("%d nodes too many", len(rest))
	}
	return err
}

func check(b r3.Box, boxes []r3.Box, nodes []Node) (rest []Node, err error) {
	if len(nodes) == 0 {
		return nil, errors.New("a part is not told of")
	}
	n := nodes[0]
	if n.Axis == -1 {
		if n.In < 0 || n.In >= len(boxes) {
			return nil, fmt.Errorf("there is no box %d", n.In)
		}
		if !within(b, boxes[n.In]) {
			return nil, fmt.Errorf("a part is not in box %d", n.In)
		}
		return nodes[1:], nil
	}
	lower, upper, ok := parted(b, n.Axis, n.At)
	if !ok {
		return nil, fmt.Errorf("nothing is parted at %g across axis %d", n.At, n.Axis)
	}
	if rest, err = check(lower, boxes, nodes[1:]); err != nil {
		return nil, err
	}
	return check(upper, boxes, rest)
}

// within tells whether a lies in b.
func within(a, b r3.Box) bool {
	return a.Min.X >= b.Min.X && a.Min.Y >= b.Min.Y && a.Min.Z >= b.Min.Z &&
		a.Max.X <= b.Max.X && a.Max.Y <= b.Max.Y && a.Max.Z <= b.Max.Z
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
