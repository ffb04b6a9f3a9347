package reach

import (
	"testing"

	"undercroft/scene/plan"
)

// A hand across, with the wrist bent, that is drawn out along the forearm until its tip is
// outside is not all outside yet: a way that is known begins there no more than any other.
func TestKnownWayWithTheWristBentBeginsOutside(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("bent.yaml", []byte(CupOfASkimmer(600, 500)))
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
