package passage

import "undercroft/scene/unit"

// Near is how far from rest, along each axis, the places are that a passage
// counts as being there, turned as at rest. A no that rests on a proof holds for
// every such place.
const Near unit.Length = near
