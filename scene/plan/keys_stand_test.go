package plan_test

import (
	"math"
	"slices"
	"testing"

	"undercroft/scene"
	"undercroft/scene/plan"
)

const builtPlan = `
format: 1
units: in
tape: 1/16
cabinet: {size: [48, 18, 32], sides: 3/4, top: 3/4, front: 3/4, back: open, bottom: {up: 4, thickness: 3/4}}
display: {size: [48, 18, 20]}
sump: {size: [28, 13, 15 1/2], level: 7}
stand:
  bears: mat
  damp: yes
  uneven: 1/16
  species: hem-fir
  board: plywood
  members:
    - {name: front rail, size: 2x6, run: left-right, at: {front: 0, down: 3/4}}
    - {name: shelf rail, size: 2x4, run: front-back, at: {left: 10, up: 2}, length: 15, flat: yes, class: C24}
    - {name: leg, size: 2x4, run: up, at: {right: 0, back: 0}, length: 25 3/4, wide: front-back, plies: 2, grade: stud}
    - {name: post, size: [40 mm, 60 mm], run: up, at: {left: 0, front: 0}, length: 20}
  dividers: [{name: divider, at: {left: 20}, thickness: 1/2}]
  plinth: {thickness: 3/4, front: 2}
floor:
  joists: {size: 2x10, spacing: 16, span: 12 ft, run: front-back, support: 8, doubled: [2, 3], bearing: 3, damp: yes}
`

func TestKeysOfStand(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("built.yaml", []byte(builtPlan))
	if err != nil {
		t.Fatal(err)
	}
	st := s.Stand
	if st.Bears != scene.BearsMat || !st.Damp || st.Uneven.In() != 1./16 || st.Board != "plywood" {
		t.Errorf("stand %+v", st)
	}
	const inch = 25.4
	for i, want := range []struct {
		box              [6]float64 // in
		species, grade   string
		class            string
		plies            int
		flat, assumedLen bool
	}{
		{[6]float64{0, 0, 25.75, 48, 1.5, 31.25}, "hem-fir", "unknown", "", 1, false, true},
		{[6]float64{10, 1.5, 2, 13.5, 16.5, 3.5}, "", "", "C24", 1, true, false},
		{[6]float64{45, 14.5, 0, 48, 18, 25.75}, "hem-fir", "stud", "", 2, false, false},
		{[6]float64{0, 0, 0, 60 / inch, 40 / inch, 20}, "hem-fir", "unknown", "", 1, false, false},
	} {
		m := st.Members[i]
		got := [6]float64{m.Box.Min.X, m.Box.Min.Y, m.Box.Min.Z, m.Box.Max.X, m.Box.Max.Y, m.Box.Max.Z}
		for k := range got {
			if math.Abs(got[k]-want.box[k]*inch) > 1e-5 {
				t.Errorf("%s stands at %v mm, want %v in", m.Name, got, want.box)
				break
			}
		}
		if m.Species != want.species || m.Grade != want.grade || m.Class != want.class || m.Plies != want.plies || m.Flat != want.flat || m.AssumedLength != want.assumedLen {
			t.Errorf("%s: %+v, want %+v", m.Name, m, want)
		}
	}
	if d := st.Dividers[0].Box; math.Abs(d.Min.X-20.75*inch) > 1e-5 || math.Abs(d.Max.X-21.25*inch) > 1e-5 || math.Abs(d.Max.Z-31.25*inch) > 1e-5 {
		t.Errorf("divider %v", d)
	}
	if p := st.Plinth[0].Box; len(st.Plinth) != 2 || math.Abs(p.Min.Y-2*inch) > 1e-5 || math.Abs(p.Max.Z-3.25*inch) > 1e-5 {
		t.Errorf("plinth %v", st.Plinth)
	}
	j := s.Floor.Joists
	if !slices.Equal(j.Doubled, []int{2, 3}) || math.Abs(j.Bearing.In()-3) > 1e-9 || !j.Damp {
		t.Errorf("joists %+v", j)
	}
	// What is typed once stands in the way of things too.
	parts := s.StandParts()
	if len(parts) != 7 {
		t.Fatalf("%d parts of the stand", len(parts))
	}
	if parts[0].Name != "stand/front rail" || parts[0].Sure != nil || parts[1].Sure == nil {
		t.Errorf("the front rail's length is assumed, the shelf rail's measured: %+v, %+v", parts[0], parts[1])
	}
	names := map[string]bool{}
	for _, p := range s.AtRest() {
		if names[p.Name] {
			t.Errorf("two parts are called %s", p.Name)
		}
		names[p.Name] = true
	}
	for _, p := range parts {
		if !names[p.Name] {
			t.Errorf("%s is not in the scene", p.Name)
		}
	}
}

func TestFeetOfStand(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("feet.yaml", []byte(`
format: 1
cabinet: {size: [48, 18, 32]}
sump: {size: [28, 13, 15 1/2]}
stand:
  feet:
    - {name: a, round: 2, at: {left: 1, front: 1}, height: 3}
    - {name: b, size: [3, 2], at: {right: 1, back: 1}}
`))
	if err != nil {
		t.Fatal(err)
	}
	contacts, described := s.Contacts()
	if len(contacts) != 2 || !described {
		t.Fatalf("contacts %v, described %v", contacts, described)
	}
	disc := contacts[0].Box
	area := (disc.Max.X - disc.Min.X) * (disc.Max.Y - disc.Min.Y)
	if want := math.Pi * 25.4 * 25.4; math.Abs(area-want) > 1e-3 {
		t.Errorf("a disc of 2 in touches %v mm², want %v", area, want)
	}
	if parts := s.StandParts(); len(parts) != 1 || parts[0].Name != "stand/a" {
		t.Errorf("feet of a height stand in the way, others do not: %v", parts)
	}
}
