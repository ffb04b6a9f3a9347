package proof

import "gonum.org/v1/gonum/spatial/r3"

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

// Closed tells whether the checker takes a cell of turns to be shut at all depths from
// y0 to y1.
func Closed(room *Room, body *Body, cube int, lo, hi [3]float64, y0, y1 float64) (bool, error) {
	c, err := newChecker(room, body)
	if err != nil {
		return false, err
	}
	c.look(&cell{cube: cube, lo: [4]float64{lo[0], lo[1], lo[2], y0}, hi: [4]float64{hi[0], hi[1], hi[2], y1}})
	err = c.choose()
	return err == nil && c.closed(y0, y1), err
}

// Leans bounds from below how far, at any turn of a cell, d·p − slope·q.Y goes, for p and
// q as at rest.
func Leans(cube int, lo, hi [3]float64, p, q, d r3.Vec, slope float64) float64 {
	s := newSwing(cube, lo, hi)
	return s.leans(s.turn(p), s.turn(q), d, slope)
}
