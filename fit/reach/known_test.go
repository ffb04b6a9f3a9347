package reach

import (
	"testing"

	"undercroft/scene/plan"
)

// A hand across, with the wrist bent, that is drawn out along the forearm until its tip is
// outside is not all outside yet: a way that is known begins there no more than any other.
func TestKnownWayWithTheWristBentBeginsOutside(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("bent.yaml", []byte(`
format: 1
units: mm
tape: 1
room: {front: 1300}
cabinet:
  size: [1000, 470, 820]
  wall: 19
  bottom: {up: 100, thickness: 19}
  openings: [{name: doors, side: front, at: {left: 50, up: 110}, size: [900, 600], door: none}]
sump: {size: [610, 300, 500], glass: 5, at: {left: 100, front: 40}, inlet: left}
equipment: [{name: skimmer, in: sump 1, size: [120, 120, 420], at: {left: 200, front: 40}}]
reach: [{name: cup, on: skimmer, at: {left: 365, front: 150, up: 415}, task: lift}]
`))
	if err != nil {
		t.Fatal(err)
	}
	at, who := s.Reach[0], anyone()
	q := asked{s: s, worlds: worldsOf(s, nil)}
	p := q.wristBent(t.Context(), at, &who, who.grasps(at))
	if p == nil {
		t.Fatal("no hand gets there")
	}
	k := seeker{world: p.world, person: &who, place: at, grasp: p.grasp, point: at.At}
	whole := lesson{p.point, p.axis, p.roll, p.path, p.over}
	if k.like(&whole) == nil {
		t.Error("a way that is known is not found again")
	}
	if !k.begins(&p.arm, p.path.Poses[0]) {
		t.Error("its own way begins inside")
	}
	if drawn := k.drawnOut(&p.arm, p.path.Poses[1]); k.begins(&p.arm, drawn) {
		t.Error("with a part of the hand in the opening it is taken to begin outside")
	}
}
