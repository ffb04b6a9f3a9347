package proof

import "gonum.org/v1/gonum/spatial/r3"

// Across is across.
var Across = across

// A Looker looks at one leaf after the other, as Check does.
type Looker struct{ c *checker }

// NewLooker returns a checker of a body in a room.
func NewLooker(room *Room, body *Body) (Looker, error) {
	c, err := newChecker(room, body)
	return Looker{c}, err
}

// Free returns the places that the checker takes to be maybe free in a cell.
func (k Looker) Free(cube int, lo, hi [4]float64) []Rect {
	l := &cell{cube: cube, lo: lo, hi: hi}
	k.c.look(l)
	return append([]Rect(nil), k.c.uncovered(l)...)
}

// Closed tells of each two of some depths, of which each is more than the one before,
// whether the checker takes a cell of turns to be shut between them.
func (k Looker) Closed(cube int, lo, hi [3]float64, ys ...float64) ([]bool, error) {
	k.c.look(&cell{cube: cube, lo: [4]float64{lo[0], lo[1], lo[2], ys[0]}, hi: [4]float64{hi[0], hi[1], hi[2], ys[len(ys)-1]}})
	if err := k.c.choose(); err != nil {
		return nil, err
	}
	var out []bool
	for i := range len(ys) - 1 {
		out = append(out, k.c.closed(ys[i], ys[i+1]))
	}
	return out, nil
}

// Free returns the places that the checker takes to be maybe free in a cell.
func Free(room *Room, body *Body, cube int, lo, hi [4]float64) ([]Rect, error) {
	k, err := NewLooker(room, body)
	if err != nil {
		return nil, err
	}
	return k.Free(cube, lo, hi), nil
}

// Closed tells whether the checker takes a cell of turns to be shut at all depths from
// y0 to y1.
func Closed(room *Room, body *Body, cube int, lo, hi [3]float64, y0, y1 float64) (bool, error) {
	k, err := NewLooker(room, body)
	if err != nil {
		return false, err
	}
	closed, err := k.Closed(cube, lo, hi, y0, y1)
	return err == nil && closed[0], err
}

// Leans bounds from below how far, at any turn of a cell, d·p − slope·q.Y goes, for p and
// q as at rest.
func Leans(cube int, lo, hi [3]float64, p, q, d r3.Vec, slope float64) float64 {
	s := newSwing(cube, lo, hi)
	return s.leans(s.turn(p), s.turn(q), d, slope)
}
