// Package proof checks proofs that a thing cannot come into a room. It trusts
// nothing of the search that found them, and has its own geometry and bounds.
// All numbers are in mm.
//
// # What is claimed
//
// A body is some convex parts, held together, that move as one. A pose of it is a
// turn, and a place of its reference point. A room tells which poses are free:
//
//   - A convex part lies, with all it has in the slab of a layer, in one of the
//     layer's holes.
//   - All of it has depths y from First to Last.
//   - It does not overlap a box: no inner point of it is in one, which may be flat.
//
// The first part is the main one, and held to all of this. Another part is always
// held to the boxes; to First, Last and the layers with one hole while what it
// shares with the main part reaches y ≥ 0, for before that it may be beside
// the cabinet; to layers with several holes never, for it may go its own way.
//
// Where the room has gates, or else is told to be gone into, only what is inside of
// them is held to all of this but the boxes.
//
// A way begins outside, where the main part is wholly before y = 0, or, in a room that
// is gone into, with the reference point at y = 0, and ends with
// the turn at rest (none) and the reference point in End. Where Check accepts a
// proof there is no way for any body that holds the parts grown by Slack on
// every side. So rounding does no harm, and neither do ways that exist in
// contact only, or meet edges of cells: a way of the grown body may be moved a
// little, and crosses facets of cells only. That the thing in question does
// hold the grown parts is the caller's to see to; it says by how much in
// Proof.Erosion, which must be Slack or more.
package proof

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// Slack is by how much less than the thing the body of a proof must be. It is far
// above all rounding, and far below what a tape can tell.
const Slack = 1e-6

// Greatest is the greatest finite coordinate of a room, Farthest how far a body may
// go from its reference point: below them the errors of rounding stay as small as
// the checks want them.
const (
	Greatest = 1 << 14
	Farthest = 1 << 12
)

// A Rect is a closed rectangle of x and z; its sides may be infinite.
type Rect struct{ X0, X1, Z0, Z1 float64 }

// A Layer is a slab of depths from Y0 to Y1, either of which may be infinite,
// that is free within holes only. No two holes touch.
type Layer struct {
	Y0, Y1 float64
	Holes  []Rect
}

// A Room is what bounds the free poses.
type Room struct {
	Layers      []Layer
	Boxes       []r3.Box
	First, Last float64 // of all depths; infinite where nothing bounds them
	// Inward tells that a way is only what comes after the reference point is in the
	// plane of the opening, at depth 0, for the last time. It gets as deep as Deepest
	// at most, which is where the cabinet ends.
	Inward  bool
	Deepest float64
	Gates   []Gate
	// End holds the places of the reference point that count as being there.
	End r3.Box
}

// A Body is what moves, as it is at rest; the first part is the main one.
type Body struct {
	Ref   r3.Vec
	Parts []*solid.Polyhedron
}

// Kind is how a proof goes.
type Kind string

// A slice shows that at one depth, which every way has to pass, nothing is free
// at any turn. Cells divide turns and depths, and tell what is joined to the
// outside from what is not. Bands do so by cells of turns only, of which each has its
// depths in bands: what is free of places is taken to be joined there, also where a box
// parts it. A ball within a part does not come in among the boxes, however it goes.
const (
	Slice Kind = "slice"
	Cells Kind = "cells"
	Bands Kind = "bands"
	Ball  Kind = "ball"
)

// A Proof covers all turns with cells, unless it is by a ball. A turn is a quaternion up to sign and size.
// Those whose component c is of greatest size are cube c: that component scaled
// to 1, the other three, in order, are coordinates from −1 to 1. Coordinate 3 is
// the depth.
type Proof struct {
	Thing   string  `json:"thing"`
	Opening string  `json:"opening"`
	Erosion float64 `json:"erosion"` // how far the body's faces lie inside the thing's
	Kind    Kind    `json:"kind"`
	Y       float64 `json:"y"` // of a slice
	// Y0 and Y1 are the depths that cells and bands reach over.
	Y0 float64 `json:"y0"`
	Y1 float64 `json:"y1"`
	// Quotient tells that the body is a box round its reference point, on which
	// half a turn about an axis changes nothing: so there is cube 0 only, whose
	// faces are joined as these half turns join them. Else there are four cubes.
	Quotient bool `json:"quotient"`
	// Trees has the cells of each cube.
	Trees [][]Node `json:"trees"`
	// Pocket is what a proof by a ball has in place of trees.
	Pocket *Pocket `json:"pocket,omitempty"`
}

// A Node of a tree halves its cell across coordinate Axis, or is a leaf, where
// that is −1. The nodes of the lower half follow it, then those of the upper.
type Node struct {
	Axis   int
	Pieces []Piece // of a leaf
	Bands  []Band  // of a leaf, in a proof by bands
}

// A Piece holds places of a leaf that may be free.
type Piece struct {
	Rect
	// Outside tells that what is free in it may be joined to the outside; what is
	// not outside surely is not.
	Outside bool
	// y0 and y1 are its depths, of the cell or the band that it is of.
	y0, y1 float64
}

var everywhere = Rect{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1)}

func (r Rect) empty() bool { return !(r.X0 <= r.X1 && r.Z0 <= r.Z1) }

func (r Rect) meet(q Rect) Rect {
	return Rect{max(r.X0, q.X0), min(r.X1, q.X1), max(r.Z0, q.Z0), min(r.Z1, q.Z1)}
}

// overlaps tells whether r and q have inner points in common.
func (r Rect) overlaps(q Rect) bool {
	m := r.meet(q)
	return m.X0 < m.X1 && m.Z0 < m.Z1
}

// grown returns r with by more on every side.
func (r Rect) grown(by float64) Rect { return Rect{r.X0 - by, r.X1 + by, r.Z0 - by, r.Z1 + by} }

// minus appends to out rectangles that hold r without q.
func (r Rect) minus(q Rect, out []Rect) []Rect {
	if r.meet(q).empty() {
		return append(out, r)
	}
	if r.X0 < q.X0 {
		out = append(out, Rect{r.X0, q.X0, r.Z0, r.Z1})
		r.X0 = q.X0
	}
	if r.X1 > q.X1 {
		out = append(out, Rect{q.X1, r.X1, r.Z0, r.Z1})
		r.X1 = q.X1
	}
	if r.Z0 < q.Z0 {
		out = append(out, Rect{r.X0, r.X1, r.Z0, q.Z0})
	}
	if r.Z1 > q.Z1 {
		out = append(out, Rect{r.X0, r.X1, q.Z1, r.Z1})
	}
	return out
}
