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
}

// Cover tells whether nothing at all is free in rooms at any turn of the roots at
// depth y, and returns a tree of cells for each root that shows it. It gives up
// where the middle of a cell is free or the budget of cells is spent.
func Cover(ctx context.Context, b *Body, g Glue, rooms *Hull, y float64, budget int) (trees [][]Node, cells int, ok bool) {
	c := cover{body: b, rooms: rooms, budget: budget}
	for _, root := range Roots(g, y, y) {
		c.nodes = nil
		if ctx.Err() != nil || !c.visit(ctx, root) {
			return nil, c.cells, false
		}
		trees = append(trees, c.nodes)
	}
	return trees, c.cells, true
}

type cover struct {
	body   *Body
	rooms  *Hull
	budget int
	cells  int
	nodes  []Node
}

func (c *cover) visit(ctx context.Context, cell Cell) bool {
	if c.cells++; c.cells > c.budget || ctx.Err() != nil {
		return false
	}
	lo, hi := cell.turns()
	y := cell.Lo[3]
	at := len(c.nodes)
	c.nodes = append(c.nodes, Node{Axis: -1})
	if len(c.rooms.superset(c.body.at(cell.Cube, lo, hi, true), y, y)) == 0 {
		return true
	}
	a := cell.middle()
	if len(c.rooms.superset(c.body.at(cell.Cube, a, a, true), y, y)) > 0 {
		return false
	}
	axis, most := 0, 0.0
	for k := range 3 {
		if e := c.body.effect(cell, k); e > most {
			axis, most = k, e
		}
	}
	lower, upper := cell, cell
	m := (cell.Lo[axis] + cell.Hi[axis]) / 2
	lower.Hi[axis], upper.Lo[axis] = m, m
	c.nodes[at].Axis = axis
	if !c.visit(ctx, lower) {
		return false
	}
	c.nodes[at].Upper = len(c.nodes)
	return c.visit(ctx, upper)
}
