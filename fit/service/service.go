// Package service decides whether each thing can be taken out again, what has to
// come out before it, in which order everything can be brought in, and whether
// cords and hoses reach and pass their holes.
//
// A way out is a way in backward, verified move by move; that something stays
// locked in rests on proofs of what stands in its way. Fewer things in the way
// never hurt, so taking out whatever can be taken out, one after the other,
// decides the order completely: what is then left blocks itself. Numbers of the
// unexported functions are bare float64 in mm.
package service

import (
	"context"

	"undercroft/fit/verdict"
	"undercroft/scene"
)

// Check decides for each thing that is not fixed and does not bend whether it
// comes out, the order in which all go in, and cords, hoses and power strips.
//
// Known are the findings of the families that ran before: the verified ways in
// are tried first as ways out, and what holds a thing (`held-by`) is looked up
// among the places that a hand gets to. Nothing of them is trusted: each way is
// verified again among what is there. A context that ends leaves the rest unsure.
func Check(ctx context.Context, s *scene.Scene, known []verdict.Finding) verdict.Findings {
	var out verdict.Findings
	out.Add(TakingOut(ctx, s, known))
	out.Add(Cords(s))
	return out
}
