package proof

// Across is across.
var Across = across

// Free returns the places that the checker takes to be maybe free in a cell.
func Free(room *Room, body *Body, cube int, lo, hi [4]float64) ([]Rect, error) {
	c, err := newChecker(room, body)
	if err != nil {
		return nil, err
	}
	l := &cell{cube: cube, lo: lo, hi: hi}
	c.look(l)
	return append([]Rect(nil), c.uncovered(l)...), nil
}
