package passage

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

// Thicker tells which of what is in the way in a proof, thicker by a part of the room that
// a way keeps, its thing overlaps on the way: "" where none. ok is false where proofs bound
// no such way.
func Thicker(w *Way, part float64) (overlapped string, ok bool) {
	p := w.job.pose()
	around := part * w.Clear.Low
	solids := p.eroded(contacts.MM())
	b := p.bounds(around)
	q, ok := p.throughout(&b, solids, contacts.MM())
	if !ok || p.fromSide {
		return "", false
	}
	q.proof = &proof.Proof{Kind: proof.Bands}
	room := q.room(q.hull.Boxes)
	poses := p.inFrameAll(w.Path.Poses)
	path := solid.Path{Ref: p.ref, Poses: poses[:len(poses)-1]}
	const pieces = 8
	var at []solid.Pose
	for leg := range len(path.Poses) - 1 {
		for k := range pieces + 1 {
			pose := path.At(leg, float64(k)/pieces)
			if at = append(at, pose); room.Inward && pose.Apply(p.ref).Y < 0 {
				at = nil // it goes in after this
			}
		}
	}
	for _, pose := range at {
		for i, s := range solids {
			s := s.Moved(pose).(*solid.Polyhedron)
			for _, box := range room.Boxes {
				if solid.Lower(s, solid.Box(box)) <= 0 && solid.Distance(s, solid.Box(box)).Dist <= 0 {
					return fmt.Sprintf("the box %v", box), true
				}
			}
			if i > 0 {
				continue
			}
			if len(room.Gates) > 0 {
				var out string
				if s, out = b.within(s, room.Gates); out != "" {
					return out, true
				}
			}
			if y := s.Bounds(); !(y.Min.Y > room.First && y.Max.Y < room.Last) {
				return fmt.Sprintf("what is before %v and behind %v", room.First, room.Last), true
			}
			for _, l := range room.Layers {
				piece, ok := between(s, max(l.Y0, -math.MaxInt16), min(l.Y1, math.MaxInt16))
				if ok && !slices.ContainsFunc(l.Holes, func(h proof.Rect) bool { return space.Rect(h).Holds(rectOf(piece.Bounds())) }) {
					return fmt.Sprintf("the layer %v", l), true
				}
			}
		}
	}
	return "", true
}

// within returns what of s is within the inner faces of walls with holes to a side, and which
// of the holes it is larger than, if any.
func (b *bounds) within(s *solid.Polyhedron, gates []proof.Gate) (in *solid.Polyhedron, larger string) {
	const thin = 1e-6 // far above rounding
	in = s
	for _, g := range gates {
		at := map[r3.Vec]float64{{X: -1}: -b.inside.X0, {X: 1}: b.inside.X1, {Z: -1}: -b.inside.Z0, {Z: 1}: b.inside.Z1}[g.Out]
		if behind, ok := s.Clip(solid.Plane{Normal: r3.Vec{Y: -1}}); ok {
			face, ok := behind.Clip(solid.Plane{Normal: g.Out, Offset: at + thin})
			if ok {
				face, ok = face.Clip(solid.Plane{Normal: r3.Scale(-1, g.Out), Offset: thin - at})
			}
			if ok {
				if size := face.Bounds().Size(); !(size.Y <= g.Deep && math.Abs(size.X*g.Out.Z+size.Z*g.Out.X) <= g.Across) {
					return in, fmt.Sprintf("a hole of a wall, in the gate %v", g)
				}
			}
		}
		if piece, ok := in.Clip(solid.Plane{Normal: g.Out, Offset: at - thin}); ok {
			in = piece
		}
	}
	return in, ""
}
