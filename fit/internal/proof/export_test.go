package proof

// Free tells whether the checker's bound leaves place (x, z) for a cell, and how
// much of any place it leaves.
func Free(room *Room, body *Body, cube int, lo, hi [4]float64) ([]Rect, error) {
	c, err := newChecker(room, body)
	if err != nil {
		return nil, err
	}
	l := &cell{cube: cube, lo: lo, hi: hi}
	c.look(l)
	return append([]Rect(nil), c.uncovered(l)...), nil
}
