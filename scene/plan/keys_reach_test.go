package plan_test

import (
	"strings"
	"testing"

	"undercroft/scene/plan"
)

const reachPlan = `
format: 1
units: in
cabinet: {size: [30, 18, 30], wall: 3/4, bottom: {up: 3, thickness: 3/4}, openings: [{name: doors, side: front, at: {left: 2, sill: 1}, size: [26, 20]}]}
equipment: [{name: drain valve, kind: valve, size: [3, 2, 2], at: {left: 4, front: 5, up: 6}}]
`

func TestKeysOfReach(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("hand.yaml", []byte(reachPlan+`
hand: {knuckles: 3 1/2, elbow: 17}
reach: [{name: lever, on: drain valve, at: {left: 5, front: 6, up: 8}, task: turn, swing: 2}]
`))
	if err != nil {
		t.Fatal(err)
	}
	if s.Hand.Knuckles == nil || s.Hand.Knuckles.MM() != 88.9 || s.Hand.Elbow == nil || s.Hand.Elbow.MM() != 431.8 {
		t.Errorf("hand %v, %v, want 3 1/2 in and 17 in", s.Hand.Knuckles, s.Hand.Elbow)
	}
	if s.Reach[0].Swing.MM() != 50.8 {
		t.Errorf("swing %v mm, want 2 in", s.Reach[0].Swing.MM())
	}
}

func TestWrongHands(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ keys, want string }{
		"a foot for a hand":  {"hand: {knuckles: 12}", "hand.knuckles"},
		"no forearm":         {"hand: {elbow: 40 in}", "hand.elbow"},
		"an unknown measure": {"hand: {knuckle: 3}", "did you mean knuckles"},
		"nothing said":       {"hand:", "hand"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := plan.Read("hand.yaml", []byte(reachPlan+c.keys+"\n"))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
		})
	}
}
