package choose

import "context"

// LargestThings looks for the largest things alone.
func (b *Base) LargestThings(ctx context.Context) []Tallest {
	return b.asMeasured().tallest(ctx, Step(b.scene.Units), &tracker{})
}
