package space

import "context"

// A Node of a tree of cells is split in two halves across a coordinate, or is
// a leaf where Axis is −1. Of a node at index i the lower half is at i+1, the
// upper half at Upper.
type Node struct {
	Axis  int
	Upper int
	// Rects hold every place of a leaf that is free at any of its turns and
	// depths, Outside tells which of them are joined to the outside.
	Rects   []Rect
	Outside []bool
	// Bands are what a leaf of turns only has in their place.
	Bands []Band
}

// Cover tells whether nothing at all is free in rooms at any turn of the roots at
// depth y, and returns a tree of cells for each root that shows it. It gives up
// where the middle of a cell is free, the budget of cells is spent, or what is left would
// take far more than that at the pace so far.
func Cover(ctx context.Context, b *Body, g Glue, rooms *Hull, y float64, budget int) (trees [][]Node, cells int, ok bool) {
	c := cover{search: Search{Body: b, Rooms: rooms}, budget: budget}
	roots := Roots(g, y, y)
	for _, root := range roots {
		c.nodes, c.whole = nil, float64(len(roots))*volume(root)
		if !c.visit(ctx, root) {
			return nil, c.cells, false
		}
		trees = append(trees, c.nodes)
	}
	return trees, c.cells, true
}

// finest is the size in mm below which a cell is not split.
const finest = 1e-3

type cover struct {
	search Search
	budget int
	cells  int
	nodes  []Node
	// whole is the volume of all turns, shut that of those at which nothing is free so far.
	whole, shut float64
}

// volume returns the volume of the turns of a cell, in coordinates of its cube.
func volume(c Cell) float64 {
	v := 1.0
	for k := range 3 {
		v *= c.Hi[k] - c.Lo[k]
	}
	return v
}

// late tells whether less than half is shut of what should be by now, after a quarter of the
// budget: the pace hardly changes.
func (c *cover) late() bool {
	spent := float64(c.cells) / float64(c.budget)
	return spent > 0.25 && c.shut < spent/2*c.whole
}

func (c *cover) visit(ctx context.Context, cell Cell) bool {
	if c.cells++; c.cells > c.budget || c.late() || ctx.Err() != nil {
		return false
	}
	y := cell.Lo[3]
	at := len(c.nodes)
	c.nodes = append(c.nodes, Node{Axis: -1})
	if len(c.search.Rooms.superset(c.search.turned(cell), y, y)) == 0 {
		c.shut += volume(cell)
		return true
	}
	if len(c.search.Rooms.superset(c.search.middle(cell), y, y)) > 0 {
		return false
	}
	axis, size := c.search.Body.widest(cell, c.search.axes())
	if size <= finest {
		return false
	}
	lower, upper := cell.halved(axis)
	c.nodes[at].Axis = axis
	if !c.visit(ctx, lower) {
		return false
	}
	c.nodes[at].Upper = len(c.nodes)
	return c.visit(ctx, upper)
}
