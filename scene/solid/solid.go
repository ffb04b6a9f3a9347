// Package solid holds convex solids, rigid poses and the motions between them.
//
// Numbers are bare float64 in millimetres and radians; x runs to the right,
// y from front to back, z up. A solid is described in the frame it stands in:
// moving one gives another.
package solid

import "gonum.org/v1/gonum/spatial/r3"

// A Solid is a closed, bounded, convex set of points with non-empty interior.
// Box-like ones are *Polyhedron; round ones (*Cylinder, *Ball, …) are exact in
// every query, only their Faces are an approximation.
//
// Solids are immutable; all methods are safe for concurrent use.
type Solid interface {
	// Support returns a point of the solid farthest along dir, which need not
	// be of unit length. For the zero vector it returns any point of the solid.
	Support(dir r3.Vec) r3.Vec
	// Bounds returns the tightest box along the axes that contains the solid.
	Bounds() r3.Box
	// Moved returns the solid after p.
	Moved(p Pose) Solid
	// Volume returns the volume in mm³.
	Volume() float64
	// Centroid returns the centre of volume.
	Centroid() r3.Vec
	// Faces returns outward polygons (counter-clockwise seen from outside)
	// that close the solid: itself for a *Polyhedron, for a round solid an
	// inscribed approximation for pictures and models. Not for proofs.
	Faces() [][]r3.Vec
}

// Extent returns the length of s along the direction dir of unit length.
func Extent(s Solid, dir r3.Vec) float64 {
	return r3.Dot(s.Support(dir), dir) - r3.Dot(s.Support(r3.Scale(-1, dir)), dir)
}

// BoundsOf returns the box round all of solids; the empty box for none.
func BoundsOf(solids ...Solid) r3.Box {
	if len(solids) == 0 {
		return r3.Box{}
	}
	b := solids[0].Bounds()
	for _, s := range solids[1:] {
		c := s.Bounds()
		b.Min = r3.Vec{X: min(b.Min.X, c.Min.X), Y: min(b.Min.Y, c.Min.Y), Z: min(b.Min.Z, c.Min.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, c.Max.X), Y: max(b.Max.Y, c.Max.Y), Z: max(b.Max.Z, c.Max.Z)}
	}
	return b
}
