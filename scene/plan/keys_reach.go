package plan

import (
	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawHand is the measures of the person who reaches.
type rawHand struct{ knuckles, elbow val[unit.Length] }

// Hands and arms beyond these are slips of the tape, not people.
const (
	leastKnuckles, mostKnuckles = 2 * unit.Inch, 6 * unit.Inch
	leastElbow, mostElbow       = 10 * unit.Inch, 28 * unit.Inch
)

var handShape = object("a hand and forearm, as {knuckles: 3 1/2, elbow: 17}",
	key("knuckles", func(h *rawHand) *val[unit.Length] { return &h.knuckles }, size,
		"Across the knuckles with the thumb laid beside the palm."),
	key("elbow", func(h *rawHand) *val[unit.Length] { return &h.elbow }, size,
		"From the back of the bent elbow to the fingertip."),
)

// handKey is the key of this file at the top of a plan.
var handKey = key("hand", func(p *rawPlan) *val[*rawHand] { return &p.hand }, handShape,
	"Your own hand and forearm: places are then judged for you, with the answer for anyone beside it.")

// swingKey belongs to a place a hand must get to.
var swingKey = key("swing", func(p *rawReach) *val[unit.Length] { return &p.swing }, distance,
	"How far a handle goes round the point, where the hand turns one.")

// hand fills in the measures of the person who reaches.
func (b *builder) hand() {
	h := b.raw.hand
	if !h.ok {
		return
	}
	given := func(v val[unit.Length], least, most unit.Length, what string) *unit.Length {
		if v.ok && (v.v < least || v.v > most) {
			b.fail(v.at, b.sys.Fine(v.v)+" "+what, "measure again: between "+b.sys.Fine(least)+" and "+b.sys.Fine(most))
			return nil
		}
		return v.pointer()
	}
	b.s.Hand = scene.Hand{
		Knuckles: given(h.v.knuckles, leastKnuckles, mostKnuckles, "is no hand's breadth"),
		Elbow:    given(h.v.elbow, leastElbow, mostElbow, "is no forearm with its hand"),
	}
}
