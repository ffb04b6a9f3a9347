package passage

import (
	"fmt"
	"math"
	"slices"

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
	if !ok || q.hull.Inward || p.fromSide {
		return "", false
	}
	q.proof = &proof.Proof{Kind: proof.Bands}
	room := q.room(q.hull.Boxes)
	poses := p.inFrameAll(w.Path.Poses)
	path := solid.Path{Ref: p.ref, Poses: poses[:len(poses)-1]}
	const pieces = 8
	for leg := range len(path.Poses) - 1 {
		for k := range pieces + 1 {
			pose := path.At(leg, float64(k)/pieces)
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
	}
	return "", true
}
