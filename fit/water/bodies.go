package water

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// Bodies returns the water of display and sump as convex parts while the pump
// runs, for pictures and models; nothing where a level is not known. Things that
// stand in the water are not cut out of it.
func Bodies(s *scene.Scene) []scene.Part {
	var parts []scene.Part
	if s.Display != nil {
		for _, p := range s.Display.Contents() {
			if p.Role == scene.RoleWater {
				parts = append(parts, p)
			}
		}
	}
	if s.Sump == nil {
		return parts
	}
	f := Compute(s)
	if f.Running == nil {
		return parts
	}
	return append(parts, f.Bodies(f.Running)...)
}

// Bodies returns the sump's water at some levels as convex parts: one for each
// space, and one for each gap under a raised baffle.
func (f *Figures) Bodies(l *Levels) []scene.Part {
	var parts []scene.Part
	traps := 0
	for i, sp := range f.Spaces {
		name := fmt.Sprintf("sump/water %d", sp.Number)
		if sp.Number == 0 {
			traps++
			name = fmt.Sprintf("sump/water in trap %d", traps)
		}
		parts = appendWater(parts, name, sp.Box.Min.Z, l.Depth[i].MM(), sp)
		if sp.In != nil && sp.In.Gap > 0 {
			between := sp
			between.Box = gapBox(f.Spaces[i-1], sp)
			depth := min(sp.In.Gap.MM(), l.Depth[i].MM())
			parts = appendWater(parts, strings.Replace(name, "water", "water before", 1), sp.Box.Min.Z, depth, between)
		}
	}
	return parts
}

// appendWater adds a box of water of a depth in a space, where it has one.
func appendWater(parts []scene.Part, name string, floor, depth float64, sp scene.Space) []scene.Part {
	const film = 0.1 // mm; less is no body of water
	if depth < film {
		return parts
	}
	b := sp.Box
	b.Min.Z, b.Max.Z = floor, floor+depth
	s := solid.Box(b)
	return append(parts, scene.Part{Name: name, Of: "sump", Role: scene.RoleWater, Solid: s, Sure: s})
}

// gapBox returns the room between two spaces, from floor to brim.
func gapBox(a, b scene.Space) r3.Box {
	out := r3.Box{Min: a.Box.Min, Max: a.Box.Max}
	switch {
	case a.Box.Max.X <= b.Box.Min.X:
		out.Min.X, out.Max.X = a.Box.Max.X, b.Box.Min.X
	case b.Box.Max.X <= a.Box.Min.X:
		out.Min.X, out.Max.X = b.Box.Max.X, a.Box.Min.X
	case a.Box.Max.Y <= b.Box.Min.Y:
		out.Min.Y, out.Max.Y = a.Box.Max.Y, b.Box.Min.Y
	default:
		out.Min.Y, out.Max.Y = b.Box.Max.Y, a.Box.Min.Y
	}
	return out
}
