package reach

import (
	"context"
	"fmt"

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

// CupOfASkimmer returns a plan in which a hand is to lift the cup of a skimmer, in a sump so
// high behind a hole so high.
func CupOfASkimmer(hole, high int) string {
	return fmt.Sprintf(`
format: 1
units: mm
tape: 1
room: {front: 1300}
cabinet:
  size: [1000, 470, 820]
  wall: 19
  bottom: {up: 100, thickness: 19}
  openings: [{name: doors, side: front, at: {left: 50, up: 110}, size: [900, %d], door: none}]
sump: {size: [610, 300, %d], glass: 5, at: {left: 100, front: 40}, inlet: left}
equipment: [{name: skimmer, in: sump 1, size: [120, 120, 420], at: {left: 200, front: 40}}]
reach: [{name: cup, on: skimmer, at: {left: 365, front: 150, up: 415}, task: lift}]
`, hole, high)
}
