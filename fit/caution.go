package fit

import (
	"strings"

	"undercroft/scene"
)

// The cautions that go with every report, in one place: families add their own
// only for what they alone know.
const (
	// CautionPlanning stands on every report, picture and sheet.
	CautionPlanning = "Planning figures. Local codes and licensed professionals decide."

	cautionOK     = "ok means: fits by your measurements. It does not mean safe."
	cautionLift   = "Glass is lifted by two people, with gloves where an edge is cut."
	cautionMove   = "Never move a sump with water in it, and never lift it by its rim."
	cautionPower  = "Power off and plugs out before a hand goes into the water."
	cautionHeater = "Switch the heater off, and let it cool, before the level falls below it."
	cautionGround = "Plug everything into an outlet with ground-fault protection (GFCI or RCD), and give every cord a drip loop."
	cautionTrial  = "Before you trust the levels: cut the pump's power on purpose and stay to watch where the water stops."
	kindHeater    = "heater"
)

// Cautions returns what a person has to mind with s, whatever the checks find.
func Cautions(s *scene.Scene) []string {
	cs := []string{CautionPlanning, cautionOK}
	if s.Sump != nil || s.Display != nil {
		cs = append(cs, cautionLift)
	}
	if s.Sump != nil {
		cs = append(cs, cautionMove)
	}
	cs = append(cs, cautionPower)
	for _, e := range s.Equipment {
		if e.Kind == kindHeater {
			cs = append(cs, cautionHeater)
			break
		}
	}
	cs = append(cs, cautionGround)
	if s.Sump != nil {
		cs = append(cs, cautionTrial)
	}
	return cs
}

// CautionAt returns what stands on a picture of a finding: what stands on every
// one, and what there is to mind at that place.
func CautionAt(id string) string {
	mind := ""
	switch family, about, _ := strings.Cut(id, "/"); {
	case about == "sump" && (family == Passage || family == Service):
		mind = " " + cautionLift + " " + cautionMove
	case family == Reach || family == Service:
		mind = " " + cautionPower
	case family == Water:
		mind = " " + cautionTrial
	}
	return CautionPlanning + mind
}
