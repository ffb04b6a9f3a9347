package plan_test

import (
	"math"
	"strings"
	"testing"

	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// corded is a plan with two holes, a pump with a cord and a hose.
const corded = `format: 1
units: in
cabinet:
  size: [40, 18, 30]
  wall: 3/4
  bottom: {up: 4}
  openings:
    - {name: doors, side: front, at: {left: 2, sill: 1}, size: [36, 22]}
  fixtures:
    - {name: strip, size: [1, 9, 2], at: {right: 0, up: 20}}
  holes:
    - {name: back hole, side: back, at: {left: 4, sill: 18}, round: 2}
    - {name: slot, side: top, at: {left: 6, front: 1}, size: [3, 1 1/2]}
equipment:
  - name: pump
    kind: pump
    size: [4, 3, 4]
    cord: {length: 6 ft, plug: [1 1/4, 1, 1 1/2], through: [slot, back hole], to: strip}
  - name: drain hose
    kind: hose
    round: 1
    from: {left: 5, back: 2, up: 1}
    to: {left: 5, back: 2, up: 20}
    soft: yes
    hose: {barb: 1 1/4, round: 1, through: back hole}
`

func TestHolesAndCords(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("corded.yaml", []byte(corded))
	if err != nil {
		t.Fatal(err)
	}
	inches := func(got unit.Length, want float64) bool { return math.Abs(got.In()-want) < 1e-6 }
	at := func(mm, want float64) bool { return inches(unit.Length(mm), want) }
	h, ok := s.Cabinet.Hole("back hole")
	// Seen from behind, left is the cabinet's right; the sill is above the bottom.
	if w, tall := h.Size(); !ok || !h.Round || !inches(w, 2) || !inches(tall, 2) ||
		!at(h.Box.Min.X, 34) || !at(h.Box.Min.Z, 22) || !at(h.Box.Max.Y, 18) || !at(h.Box.Min.Y, 17.25) {
		t.Errorf("back hole %+v", h)
	}
	h, _ = s.Cabinet.Hole("slot")
	if w, deep := h.Size(); h.Round || !inches(w, 3) || !inches(deep, 1.5) || h.Side != scene.Top || !at(h.Box.Max.Z, 30) {
		t.Errorf("slot %+v", h)
	}
	pump, hose := s.Equipment[0].Cord, s.Equipment[1].Cord
	if pump == nil || pump.Hose || !inches(*pump.Length, 72) || !inches(pump.Plug[1], 1) || strings.Join(pump.Through, ",") != "slot,back hole" || pump.To != "strip" {
		t.Errorf("cord %+v", pump)
	}
	if hose == nil || !hose.Hose || !inches(*hose.Barb, 1.25) || !inches(*hose.Round, 1) || hose.Length != nil || len(hose.Through) != 1 {
		t.Errorf("hose %+v", hose)
	}
}

func TestWrongHolesAndCords(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ from, to, says string }{
		"round and rectangular":       {"round: 2}", "round: 2, size: [2, 2]}", "round and size are both given"},
		"neither":                     {", round: 2}", "}", "write round: 2, or size"},
		"beyond the side":             {"left: 4, sill: 18", "left: 39, sill: 18", "the cabinet's back ends at"},
		"a name given twice":          {"name: slot", "name: doors", "given twice"},
		"through what is no hole":     {"[slot, back hole]", "[slot, front hole]", "is no hole of this plan"},
		"to what is nothing":          {"to: strip", "to: stripe", "did you mean strip?"},
		"a plug of two sizes":         {"[1 1/4, 1, 1 1/2]", "[1 1/4, 1]", "not of 3"},
		"a cord and a hose in one":    {"hose: {barb", "cord: {length: 3 ft}\n    hose: {barb", "a cord and a hose are both given"},
		"an unknown key with a guess": {"barb: 1 1/4", "bard: 1 1/4", "did you mean barb?"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text := strings.Replace(corded, c.from, c.to, 1)
			if text == corded {
				t.Fatal("nothing was changed")
			}
			_, err := plan.Read("corded.yaml", []byte(text))
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v, want one that says %q", err, c.says)
			}
		})
	}
}
