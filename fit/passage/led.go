package passage

import (
	"slices"

	"gonum.org/v1/gonum/num/quat"

	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

// led looks for a way on which everything keeps at least spare, in mm, along one that a
// search for a proof came upon, in a room that leaves out some of what is there.
func (p *posed) led(spare float64, stays []space.Stay) (found, bool) {
	rooms := p.rooms(spare)
	rooms.Ends = p.endsIn(rooms)
	if len(rooms.Ends) == 0 || len(stays) == 0 {
		return found{}, false
	}
	var way []space.Cross
	come := func(turn quat.Number, y float64) {
		var best space.Rect
		joined := false
		for _, r := range rooms.At(&p.body, turn, y) {
			touches := len(way) > 0 && r.Touches(way[len(way)-1].Rect)
			if touches && !joined || touches == joined && r.Size() > best.Size() {
				best, joined = r, touches
			}
		}
		if best.Size() > 0 {
			way = append(way, space.Cross{Turn: turn, Y: y, Rect: best})
		}
	}
	// From the end back: what joins it is known there.
	come(solid.Rest.Turn, rooms.Ends[0].Y)
	for _, s := range slices.Backward(stays) {
		come(s.Turn, s.Out)
		if s.In != s.Out {
			come(s.Turn, s.In)
		}
	}
	first := stays[0]
	at := p.ref
	at.Y = first.In
	if out := p.outside - solid.BoundsOf(moved(p.moving(), p.placed(at, first.Turn))...).Max.Y; out < 0 {
		come(first.Turn, first.In+out)
	}
	slices.Reverse(way)
	if len(way) < 2 {
		return found{}, false
	}
	e := p.easer(spare - rounding)
	f, ok := p.verified(e, p.straightened(e, rooms, way, near), spare)
	f.axes = []int{0, 1, 2}
	return f, ok
}
