package passage

import (
	"context"

	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

// What may overlap on a way near by which one is looked for that is clear, in mm: a sweep
// between whose turns a narrow way is lost sees that.
const slight, deep = 4.0, 16.0

// nearly looks for a way on which everything keeps at least spare, in mm, near by one on
// which it may overlap: by as much more than spare.
func (p *posed) nearly(ctx context.Context, spare, overlap float64, s sweep) (found, bool) {
	ends := p.endsIn(p.rooms(spare))
	if len(ends) == 0 {
		return found{}, false
	}
	rooms := p.rooms(spare - overlap)
	rooms.Ends = ends
	return p.swept(ctx, rooms, s, func(axes []int, way []space.Cross, by float64) (found, bool) {
		var poses []solid.Pose
		for _, t := range p.stops(rooms, way, by) {
			poses = append(poses, p.poseAt(t.spot))
		}
		f, ok := p.cleared(poses[p.lastOutside(poses):], spare)
		f.axes, f.swept = anyTurns[0], axes
		return f, ok
	})
}

// cleared looks for a way near by one that is not clear: uphill from each of its poses.
func (p *posed) cleared(poses []solid.Pose, spare float64) (found, bool) {
	l := p.lifter(spare, anyTurns[0])
	way, ok := l.lift(poses)
	if !ok {
		return found{}, false
	}
	return p.verified(p.easer(spare-rounding), solid.Path{Ref: p.ref, Poses: l.shortened(way)}, spare)
}
