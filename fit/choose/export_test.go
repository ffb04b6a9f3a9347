package choose

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
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

// Footprints returns boxes that a solid is in the way of, Pieces boxes that hold it.
func Footprints(s solid.Solid, lo, hi float64) []r3.Box { return footprints(s, lo, hi) }

func Pieces(s solid.Solid) []r3.Box { return pieces(s) }

// Covered tells whether open rectangles, each from x0 to x1 and y0 to y1, leave no point
// of a closed one.
func Covered(domain [4]float64, by [][4]float64) bool {
	var rects []rect
	for _, r := range by {
		rects = append(rects, rect{r[0], r[1], r[2], r[3]})
	}
	return arrange(rect{domain[0], domain[1], domain[2], domain[3]}, rects).none()
}

// Closely tells whether a box is found to go in by the closest look at it.
func (b *Base) Closely(ctx context.Context, width, depth, height unit.Length) bool {
	b = b.asMeasured()
	z := &Size{Long: width - Hair, Across: depth - Hair, High: height - Hair, Glass: assumedGlass}
	e := b.closely(ctx, b.sump(z, LeftRight))
	return e.going()
}
