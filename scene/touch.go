package scene

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Touches reports whether the plan says that t touches p on purpose: whether
// one of t's `on` names p.
//
// A name is that of a thing, a fixture or a part; `rim of sump`; `baffle 1`; or
// a wall, as `left wall`: of the cabinet, and for a thing in the sump the pane
// or the baffle that bounds its chamber on that side.
func (s *Scene) Touches(t Thing, p Part) bool {
	for _, on := range t.On {
		if on == p.Of || on == p.Name || p.Of == "sump" && "sump/"+on == p.Name {
			return true
		}
		if on == "rim of sump" && s.isRim(p) {
			return true
		}
		for _, f := range []Face{Front, Back, Left, Right} {
			if on == f.String()+" wall" && s.isWall(t, f, p) {
				return true
			}
		}
	}
	return false
}

// isRim reports whether p is the upper edge of the sump: its rim, or the panes
// of a sump that has none.
func (s *Scene) isRim(p Part) bool {
	if p.Of != "sump" || s.Sump == nil {
		return false
	}
	if s.Sump.Rim == nil {
		return p.Role == RoleGlass && p.Name != "sump/bottom pane"
	}
	return strings.HasPrefix(p.Name, "sump/rim ")
}

// isWall reports whether p is the wall on side f of where t stands.
func (s *Scene) isWall(t Thing, f Face, p Part) bool {
	if t.Item == nil || t.Item.Chamber == 0 || s.Sump == nil {
		return p.Role == RolePanel && (p.Name == "cabinet/"+f.String() || strings.HasPrefix(p.Name, "cabinet/"+f.String()+" "))
	}
	sp, ok := s.Sump.Chamber(t.Item.Chamber)
	if !ok || p.Of != "sump" || p.Role != RoleGlass && p.Role != RoleBaffle {
		return false
	}
	return math.Abs(outer(p.Solid.Bounds(), opposite(f))-outer(sp.Box, f)) < 1e-6
}

// outer returns where the face f of b lies.
func outer(b r3.Box, f Face) float64 {
	switch f {
	case Front:
		return b.Min.Y
	case Back:
		return b.Max.Y
	case Left:
		return b.Min.X
	case Right:
		return b.Max.X
	case Top:
		return b.Max.Z
	case Bottom:
		return b.Min.Z
	}
	return math.NaN()
}

// opposite returns the face across from f.
func opposite(f Face) Face {
	return [...]Face{Front: Back, Back: Front, Left: Right, Right: Left, Top: Bottom, Bottom: Top}[f]
}

// nearer returns from which of two opposite faces of in the box b is told to
// stand: the one it was measured from, else the nearer, else the first.
func nearer(low, high Face, b, in r3.Box, from []Face) Face {
	switch {
	case slices.Contains(from, low):
		return low
	case slices.Contains(from, high):
		return high
	case away(high, b, in) < away(low, b, in)-verySame:
		return high
	}
	return low
}

// away returns how far the face f of b is inside of that face of in.
func away(f Face, b, in r3.Box) float64 {
	d := outer(b, f) - outer(in, f)
	if f == Left || f == Front || f == Bottom {
		return d
	}
	return -d
}
