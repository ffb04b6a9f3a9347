package choose

import (
	"context"

	"undercroft/scene"
)

// LargestThings looks for the largest things alone.
func (b *Base) LargestThings(ctx context.Context) []Tallest {
	return b.asMeasured().tallest(ctx, Step(b.scene.Units), Options{}, &tracker{})
}

// ShownBy tells whether a sump is shown not to go in where another is.
func ShownBy(small, large *scene.Sump) bool {
	l := ledger{no: []entry{{at: small}}}
	return l.shownImpossible(large, nil)
}
