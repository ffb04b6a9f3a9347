// Package weight computes what the filled system weighs: by part, by state,
// and where its centre of gravity lies.
package weight

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// A State is a moment in the life of the system.
type State int

// The states. In every one of them cabinet, glass and equipment are in place.
const (
	Empty    State = iota // no water, no sand, no rock
	Filling               // the display filled to where it falls when the pump stops, the sump still dry: the highest centre of gravity
	Running               // display and sump at their levels
	PumpOff               // what drains has come down into the sump
	BrimFull              // display and sump full to the brim: more cannot be in it
	states
)

// States lists the states in order.
var States = [...]State{Empty, Filling, Running, PumpOff, BrimFull}

// String returns the state in plain words.
func (st State) String() string {
	return [...]string{"empty", "filling", "running", "pump off", "brim-full"}[st]
}

// A Place is where the weight of an item goes first.
type Place int

// The places.
const (
	OnTop    Place = iota // on the cabinet's top: the display and what is in it
	OnBottom              // on the inside bottom, or on the house floor where there is none
	OfItself              // the cabinet itself
)

// An Item is one row of the table: a part of the system with its mass and its
// centre of gravity in every state.
type Item struct {
	Name string // as "display glass", "sump water", "skimmer"
	Of   string // what it belongs to, as in scene.Part.Of
	On   Place
	// Mass and At are indexed by State. Where a mass is 0 the place is that of
	// the item as it would be.
	Mass [states]unit.Mass
	At   [states]r3.Vec
	// Known tells in which states the plan gives all that the mass needs.
	Known [states]bool
}

// Loads are the masses of a system in all states.
type Loads struct {
	Items   []Item
	Assumed []string          // what the plan does not give and took part
	LeftOut []verdict.LeftOut // keys that would make an unknown mass known
}

// Total returns mass and centre of gravity of everything in a state, and
// whether all of it is known. What is not known counts as nothing.
func (l Loads) Total(st State) (mass unit.Mass, at r3.Vec, known bool) {
	return l.sum(st, func(Item) bool { return true })
}

// On returns mass and centre of gravity of what bears on one place.
func (l Loads) On(p Place, st State) (mass unit.Mass, at r3.Vec, known bool) {
	return l.sum(st, func(i Item) bool { return i.On == p })
}

// Of returns mass and centre of gravity of what belongs to a thing, or to
// "cabinet", "display" or "sump".
func (l Loads) Of(name string, st State) (mass unit.Mass, at r3.Vec, known bool) {
	return l.sum(st, func(i Item) bool { return i.Of == name })
}

func (l Loads) sum(st State, in func(Item) bool) (mass unit.Mass, at r3.Vec, known bool) {
	known = true
	var first r3.Vec
	for _, i := range l.Items {
		if !in(i) {
			continue
		}
		known = known && i.Known[st]
		mass += i.Mass[st]
		first = r3.Add(first, r3.Scale(i.Mass[st].KG(), i.At[st]))
	}
	if mass > 0 {
		at = r3.Scale(1/mass.KG(), first)
	}
	return mass, at, known
}
