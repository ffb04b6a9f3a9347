package scene

import (
	"undercroft/scene/unit"
)

// Water is what a plan says about the water beside display and sump. Nil is not
// given.
type Water struct {
	// Slope is how much lower the right (or back) edge of the cabinet lies than
	// the left (or front) edge; negative where it lies higher.
	Slope Slope
	// Pipes is what pipes and hoses hold above the sump while the pump runs and
	// let down when it stops.
	Pipes *unit.Volume
	// CheckValve tells that the return has one. Nothing trusts it.
	CheckValve bool
	// Evaporation is what the system loses in a day.
	Evaporation *unit.Volume
}

// Slope is how far the cabinet is out of level across its width and depth.
type Slope struct{ LeftRight, FrontBack unit.Length }

// Shop is what a plan says about the glass shop and about prices.
type Shop struct {
	// Allowance is what is taken off the inside width for a baffle, both sides
	// together; nil: not given.
	Allowance *unit.Length
	Currency  string
	Quotes    []Quote
	Goods     []Good
}

// A Quote is what one glass shop asks.
type Quote struct {
	Shop  string
	Total *float64 // for the whole list; nil: from the rates
	Area  float64  // for a square metre
	Piece float64  // for each piece
	Seam  float64  // for a metre of seamed edge
}

// A Good is another thing on the shopping list.
type Good struct {
	Name  string
	Count int
	Price float64 // each
}
