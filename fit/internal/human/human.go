// Package human has the figures of a hand and an arm that more than one check judges
// by, in mm: of someone as large as a man of the 95th percentile, who reaches as far
// as a woman of the 5th, which is the rule of EN 547.
package human

import (
	"math"

	"undercroft/assets"
)

// A clenched hand to the wrist: MIL-STD-1472, arm and hand access, from memory.
const (
	FistBreadth   = 125
	FistThickness = 95
)

// Depth is what a person takes up before the cabinet: common practice, no source.
const Depth = 500

// Large returns a dimension of the table of body sizes of who is large, which has it: a
// test says so.
func Large(dimension string) float64 { return size(dimension, "man").P95.MM() }

// Short returns a dimension of who is short.
func Short(dimension string) float64 { return size(dimension, "woman").P5.MM() }

// Either returns a dimension that the table has of no one in particular.
func Either(dimension string) float64 { return size(dimension, "anyone").P95.MM() }

func size(dimension, who string) assets.BodySize {
	b, _ := assets.Body(dimension, who)
	return b
}

// Round returns the radius of a round limb of that girth of who is large.
func Round(girth string) float64 { return Large(girth) / (2 * math.Pi) }

// Hand returns the length of a hand of who is short, from the wrist to the fingertip.
func Hand() float64 { return Short("hand length") }

// Grip returns how far the middle of what that hand holds is from the wrist.
func Grip() float64 {
	return Hand() - (Short("forearm-hand length") - Short("forearm-centre of grip length"))
}

// Fore returns the length from that wrist to the elbow.
func Fore() float64 { return Short("radiale-stylion length") }

// Upper returns the length from that elbow to the shoulder.
func Upper() float64 { return Short("acromion-radiale length") }
