package choose

import (
	"context"

	"undercroft/scene"
	"undercroft/scene/unit"
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

// OnlyWith names the fixtures of which one at least is shown to reach into a sump
// wherever it stands.
func (b *Base) OnlyWith(width, depth, height unit.Length) []string {
	s := b.sump(&Size{Long: width, Across: depth, High: height, Glass: assumedGlass}, LeftRight)
	return b.deny(s, s).only()
}
