// Package sheet draws sheets for printing: SVG pages to scale, one unit of the
// viewBox to the millimetre of paper.
package sheet

import (
	"errors"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// Measure returns the measuring sheet, one SVG page after the other: what to
// measure, in which order, with lettered drawings and blanks in the units of
// sys. Each page prints whole on A4 and on Letter. With a plan (s not nil) the
// blanks are filled from it and room is left to measure again.
func Measure(s *scene.Scene, sys unit.System) ([][]byte, error) {
	_, _ = s, sys
	return nil, errors.New("not written yet")
}
