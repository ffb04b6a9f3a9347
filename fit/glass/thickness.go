package glass

import (
	"fmt"
	"math"

	"undercroft/scene/unit"
)

// A ply is float glass as it is sold: by its name it is a little thicker than it
// may turn out.
type ply struct{ name, least unit.Length }

// The thicknesses sold, thinnest first.
//
// Source: EN 572-2 (in mm) and ASTM C1036 (in inches), both from memory.
var (
	metric = []ply{
		{3, 2.8}, {4, 3.8}, {5, 4.8}, {6, 5.8}, {8, 7.7}, {10, 9.7}, {12, 11.7}, {15, 14.5}, {19, 18}, {25, 24},
	}
	inches = []ply{
		{unit.Inch / 8, 2.92},
		{unit.Inch * 3 / 16, 4.57},
		{unit.Inch / 4, 5.56},
		{unit.Inch * 5 / 16, 7.42},
		{unit.Inch * 3 / 8, 9.02},
		{unit.Inch / 2, 11.91},
		{unit.Inch * 5 / 8, 15.09},
		{unit.Inch * 3 / 4, 18.26},
		{unit.Inch, 24.61},
	}
)

const sourcePlies = "least thickness of glass of a size sold: EN 572-2 and ASTM C1036, from memory"

func plies(u unit.System) []ply {
	if u == unit.Inches {
		return inches
	}
	return metric
}

// same is how far a thickness may be from a size sold and still mean it: more
// than rounding in a plan, less than from 1/4 in to 6 mm.
const same unit.Length = 0.03

// sold returns the size sold that a thickness names.
func sold(t unit.Length) (p ply, inch, ok bool) {
	for _, list := range [][]ply{metric, inches} {
		for _, p := range list {
			if math.Abs((p.name - t).MM()) <= same.MM() {
				return p, &list[0] == &inches[0], true
			}
		}
	}
	return ply{}, false, false
}

// Thicknesses returns the thicknesses sold where people measure in a system,
// thinnest first.
func Thicknesses(u unit.System) []unit.Length {
	var out []unit.Length
	for _, p := range plies(u) {
		out = append(out, p.name)
	}
	return out
}

// Least returns how thin glass of a thickness may be: what the standard allows
// where that is the name of a size sold, else the thickness itself, as measured.
func Least(t unit.Length) unit.Length {
	if p, _, ok := sold(t); ok {
		return p.least
	}
	return t
}

// Name calls a thickness as a glass shop does: 6 mm stays 6 mm for people who
// measure in inches.
func Name(u unit.System, t unit.Length) string {
	if _, inch, ok := sold(t); ok && !inch {
		return fmt.Sprintf("%g mm", math.Round(t.MM()))
	}
	return u.Fine(t)
}
