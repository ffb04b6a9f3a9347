package passage

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

// led looks for a way on which everything keeps at least spare, in mm, along those that
// searches for proofs came upon since: in rooms that leave out some of what is there, or
// through what was not known yet to be free.
func (p *posed) led(spare float64) (found, bool) {
	stays := p.stays
	p.stays = nil
	if len(stays) == 0 {
		return found{}, false
	}
	rooms := p.rooms(spare)
	rooms.Ends = p.endsIn(rooms)
	if len(rooms.Ends) == 0 {
		e, ok := p.lifter(spare, nil).endRoomy()
		if !ok {
			return found{}, false
		}
		rooms.Ends = []r3.Vec{e.Apply(p.ref)}
	}
	for _, s := range slices.Backward(stays) {
		if len(s) == 0 {
			continue
		}
		route := p.route(rooms.Ends[0], s)
		f, ok := p.free(rooms, route, spare)
		if !ok {
			f, ok = p.freed(rooms.Ends[0], route, spare)
		}
		if ok {
			f.axes = anyTurns[0]
			return f, true
		}
	}
	return found{}, false
}

// route returns the turns and depths of stays from an end back to outside: what joins
// them across is known at the end. Where a spot is across is still open, and not the same
// at all depths: one deep move is several.
func (p *posed) route(end r3.Vec, stays []space.Stay) []spot {
	const step = 40 // mm
	out := []spot{{solid.Rest.Turn, end}}
	to := func(s spot) {
		last := out[len(out)-1]
		n := 1.0
		if last.turn == s.turn {
			n = max(1, math.Ceil(math.Abs(s.at.Y-last.at.Y)/step))
		}
		for k := 1.0; k <= n; k++ {
			out = append(out, spot{s.turn, r3.Vec{Y: last.at.Y + (s.at.Y-last.at.Y)*(k/n)}})
		}
	}
	for _, s := range slices.Backward(stays) {
		to(spot{s.Turn, r3.Vec{Y: s.Out}})
		if s.In != s.Out {
			to(spot{s.Turn, r3.Vec{Y: s.In}})
		}
	}
	first := stays[0]
	at := p.ref
	at.Y = first.In
	if by := p.outside - solid.BoundsOf(moved(p.moving(), p.placed(at, first.Turn))...).Max.Y; by < 0 {
		to(spot{first.Turn, r3.Vec{Y: first.In + by}})
	}
	return out
}

// free looks for a way through what is free at the spots of a route.
func (p *posed) free(rooms *space.Blocks, route []spot, spare float64) (found, bool) {
	var way []space.Cross
	for _, s := range route {
		var best space.Rect
		joined := false
		for _, r := range rooms.At(&p.body, s.turn, s.at.Y) {
			touches := len(way) > 0 && r.Touches(way[len(way)-1].Rect)
			if touches && !joined || touches == joined && r.Size() > best.Size() {
				best, joined = r, touches
			}
		}
		if best.Size() > 0 {
			way = append(way, space.Cross{Turn: s.turn, Y: s.at.Y, Rect: best})
		}
	}
	slices.Reverse(way)
	if len(way) < 2 {
		return found{}, false
	}
	e := p.easer(spare - rounding)
	return p.verified(e, p.straightened(e, rooms, way, near), spare)
}

// freed looks for a way near by a route that is not free everywhere: each of its spots is
// moved to where least overlaps, and uphill from there.
func (p *posed) freed(end r3.Vec, route []spot, spare float64) (found, bool) {
	var rooms []*space.Blocks
	for _, less := range []float64{0, 1, 4, 16, 64} { // mm
		rooms = append(rooms, p.rooms(spare-less))
	}
	poses := []solid.Pose{p.placed(end, solid.Rest.Turn)}
	x, z := end.X, end.Z
	for _, s := range route[1:] {
		for _, room := range rooms {
			least := math.Inf(1)
			toX, toZ := x, z
			for _, r := range room.At(&p.body, s.turn, s.at.Y) {
				u, v := r.Inset(1).Near(x, z)
				if d := math.Hypot(u-x, v-z); d < least {
					least, toX, toZ = d, u, v
				}
			}
			if x, z = toX, toZ; !math.IsInf(least, 1) {
				break
			}
		}
		poses = append(poses, p.placed(r3.Vec{X: x, Y: s.at.Y, Z: z}, s.turn))
	}
	slices.Reverse(poses)
	return p.cleared(poses, spare)
}
