// Package water tells where the water stands: while the pump runs, when it
// stops, and when something goes wrong.
//
// Kernels use bare float64 in mm, mm³ and mm³/s; heights are above the sump's
// inside bottom.
package water

import (
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// Check reports levels, floods, pen marks, depths and volumes. What the plan
// does not give is left out with the key to add.
func Check(s *scene.Scene) verdict.Findings {
	_ = s
	return verdict.Findings{}
}

// Bodies returns the water of display and sump as convex parts while the pump
// runs, for pictures and models; nothing where a level is not known.
func Bodies(s *scene.Scene) []scene.Part {
	_ = s
	return nil
}
