// Package glass lists the panes to cut for the sump and judges how they bend
// under water.
package glass

import (
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Piece is one pane for the glass shop.
type Piece struct {
	Name      string // as "baffle 1"
	Width     unit.Length
	Height    unit.Length
	Thickness unit.Length
	Area      float64 // m²
	Mass      unit.Mass
	Raised    bool // water passes under it
}

// A List is what goes to the glass shop.
type List struct {
	Pieces    []Piece
	Allowance unit.Length // taken off the inside width, in total
	Assumed   []string
}

// Cut returns the panes to cut for the sump's baffles, from the inlet on.
func Cut(s *scene.Scene) List {
	_ = s
	return List{}
}

// Check reports the bending of each baffle and of the sump's long pane.
func Check(s *scene.Scene) verdict.Findings {
	_ = s
	return verdict.Findings{}
}
