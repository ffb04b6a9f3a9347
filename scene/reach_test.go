package scene_test

import (
	"testing"

	"undercroft/scene"
	"undercroft/scene/plan"
)

const livedWith = `
format: 1
units: in
cabinet:
  size: [40, 20, 32]
  wall: 3/4
  bottom: {up: 4, thickness: 3/4}
  openings: [{name: doors, side: front, at: {left: 2, sill: 1}, size: [36, 22]}]
  fixtures:
    - {name: outlet strip, size: [1 1/2, 9, 2], at: {right: 0, back: 2, up: 18}}
    - {name: hard pipe, round: 1, height: 10, at: {left: 20, back: 1, up: 10}}
sump: {size: [26, 12, 14], glass: 1/4, at: {left: 3, front: 2}, inlet: left}
equipment:
  - name: skimmer
    kind: skimmer
    in: sump 1
    at: {left: 2, front: 2}
    parts:
      - {name: body, round: 5, height: 10, at: {left: 0, front: 0, up: 0}}
      - {name: cup, round: 5, height: 4, at: {left: 0, front: 0, up: 10}, lifts: 2}
  - {name: heater, kind: heater, in: sump 1, round: 1, height: 8, at: {left: 10, back: 1}}
  - name: pump
    kind: pump
    in: sump 1
    at: {right: 2, front: 2}
    held-by: [union, hard pipe, shut-off]
    parts:
      - {name: motor, size: [4, 3, 4], at: {left: 0, front: 0, up: 0}}
      - {name: union, round: 2, height: 2, at: {left: 1, front: 1/2, up: 4}}
  - {name: spare pump, kind: pump, in: sump 1, at: {right: 8, front: 2}, size: [3, 3, 3]}
  - {name: drain valve, kind: valve, size: [4, 2, 2], at: {left: 30, back: 2, up: 14}}
reach:
  - {name: shut-off, on: hard pipe, at: {left: 20, back: 2, up: 14}, task: turn}
  - {name: my dial, on: heater, at: {left: 14, front: 10, up: 9}, task: turn}
`

func TestPlaces(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("lived.yaml", []byte(livedWith))
	if err != nil {
		t.Fatal(err)
	}
	type place struct{ name, on, task string }
	var got []place
	for _, p := range s.Places() {
		got = append(got, place{p.Name, p.On, p.Task})
		if p.For == "" {
			continue
		}
		z := p.Zone
		if p.At.X < z.Min.X || p.At.X > z.Max.X || p.At.Y < z.Min.Y || p.At.Y > z.Max.Y || p.At.Z < z.Min.Z || p.At.Z > z.Max.Z {
			t.Errorf("%s: at %v, not in %v", p.Name, p.At, z)
		}
	}
	want := []place{
		{"shut-off", "hard pipe", "turn"},
		{"my dial", "heater", "turn"}, // instead of the heater's dial
		{"skimmer cup", "skimmer", "lift"},
		{"heater cable", "heater", "grip"},
		{"pump union", "pump/union", "turn"},
		// hard pipe, which holds the pump, is undone at shut-off; so is shut-off.
		{"spare pump union", "spare pump", "turn"},
		{"drain valve handle", "drain valve", "turn"},
		{"outlet strip plugs", "outlet strip", "plug"},
	}
	if len(got) != len(want) {
		t.Fatalf("places %v\nwant   %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("place %d: %v, want %v", i, got[i], want[i])
		}
	}
}

// What holds a thing is undone at a place, derived or of the plan.
func TestHolds(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("lived.yaml", []byte(livedWith))
	if err != nil {
		t.Fatal(err)
	}
	var pump *scene.Equipment
	for i := range s.Equipment {
		if s.Equipment[i].Name == "pump" {
			pump = &s.Equipment[i]
		}
	}
	for i, want := range []string{"pump union", "shut-off", "shut-off"} {
		if got := s.Holds(pump)[i]; got == nil || got.Name != want {
			t.Errorf("%s is undone at %v, want %s", pump.HeldBy[i], got, want)
		}
	}
}
