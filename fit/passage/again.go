package passage

import (
	"context"

	"undercroft/scene/unit"
)

// Near is how far from rest, along each axis, the places are that a passage
// counts as being there, turned as at rest. A no that rests on a proof holds for
// every such place.
const Near unit.Length = near

// Ample is the room to spare above which nobody needs to know more, unless more is
// wanted.
const Ample unit.Length = measured

type briefKey struct{}

// Briefly returns a context in which jobs are decided without the longest
// searches and proofs, and without looking for the widest way: for one of many
// plans that are tried. What is found is as sure as ever; more is left unsure, or
// tight with less to spare than there might be.
func Briefly(ctx context.Context) context.Context { return context.WithValue(ctx, briefKey{}, true) }

func brief(ctx context.Context) bool { return ctx.Value(briefKey{}) != nil }
