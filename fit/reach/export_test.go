package reach

import (
	"context"

	"undercroft/scene"
)

// Known reports whether a posture that is known holds at a place.
func Known(ctx context.Context, s *scene.Scene, at scene.Place) bool {
	p := anyone()
	for _, w := range worldsOf(s, nil) {
		for i, g := range p.grasps(at) {
			k := seeker{world: w, person: &p, place: at, grasp: g, point: at.At}
			if k.known(ctx, i) != nil {
				return true
			}
		}
	}
	return false
}
