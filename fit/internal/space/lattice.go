package space

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// Angles are turns about the axes of a lattice, one after the other; those past
// its axes are 0.
type Angles [3]float64

// A Cross is one place on a way: turned by Turn, the reference point at
// depth Y and anywhere in Rect.
type Cross struct {
	Turn quat.Number
	Y    float64
	Rect Rect
}

// A Lattice looks for ways on which the body turns about the axes x, y and z of
// the frame, as far as it names them, one after the other.
// At each pair of a turn and a depth what is free is known exactly, as
// rectangles; ways lead between neighbouring pairs whose rectangles meet. What
// lies between pairs is not looked at: a way it finds has to be verified.
type Lattice struct {
	Body   *Body
	Rooms  *Blocks
	Axes   []int   // 0 to 2: the body is turned about the first, then about the second, …
	Turn   float64 // most it turns either way about each, radians
	Step   float64 // between angles, radians
	Near   float64 // least depth
	Far    float64 // greatest depth
	Stride float64 // between depths, mm
	Most   int     // pairs to look at, the budget; 0: all
	Used   int     // pairs looked at; one with many rectangles counts as several

	half   int           // steps either way about an axis
	size   int           // turns: all combinations of angles
	turned []latticeTurn // by turn
	depths []float64
	pieces []latticePiece // of all cells
	order  []visited      // pieces as they were reached
}

// latticeTurn is the body at one turn, once it is looked at.
type latticeTurn struct {
	still
	deepest float64
	cells   []latticeCell // by depth
}

// latticeCell tells which of the pieces are of a cell, once it is looked at, and how many of
// them no way has come to yet.
type latticeCell struct {
	looked            bool
	first, past, left int32
}

type latticePiece struct {
	rect Rect
	seen bool
}

// visited is a piece of a cell in the order it was reached.
type visited struct {
	turn, depth, piece int
	next               int
}

// Pose returns the turn by angles about the lattice's axes.
func (l *Lattice) Pose(a Angles) quat.Number {
	q := solid.Rest.Turn
	for i, axis := range l.Axes {
		if a[i] != 0 {
			q = quat.Mul(solid.Turned(unitAxes[axis], a[i]), q)
		}
	}
	return q
}

var unitAxes = [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}

// angles returns the angles of turn i; steps are its steps about each axis.
func (l *Lattice) angles(i int) (a Angles) {
	s := l.steps(i)
	for k := range l.Axes {
		a[k] = float64(s[k]-l.half) * l.Step
	}
	return a
}

func (l *Lattice) steps(i int) (s [3]int) {
	n := 2*l.half + 1
	for k := range l.Axes {
		s[k] = i % n
		i /= n
	}
	return s
}

// turn returns the number of a turn by its steps.
func (l *Lattice) turn(s [3]int) int {
	n, i := 2*l.half+1, 0
	for k := range slices.Backward(l.Axes) {
		i = i*n + s[k]
	}
	return i
}

// Find looks for a way from outside to one of the rooms' ends, and returns it in
// that order; nil where there is none on this lattice, or the budget is spent.
func (l *Lattice) Find() []Cross {
	l.half = int(math.Round(l.Turn / l.Step))
	l.size = 1
	for range l.Axes {
		l.size *= 2*l.half + 1
	}
	l.turned = make([]latticeTurn, l.size)
	w := l.Rooms.Scratch
	l.pieces, l.order = w.pieces[:0], w.order[:0]
	defer func() { w.pieces, w.order = l.pieces, l.order }()
	// Depths run through the first end, which is where rest is.
	origin := l.Rooms.Ends[0].Y
	for y := origin - math.Floor((origin-l.Near)/l.Stride)*l.Stride; y <= l.Far; y += l.Stride {
		l.depths = append(l.depths, y)
	}
	rest := l.turn([3]int{l.half, l.half, l.half})
	for _, e := range l.Rooms.Ends {
		j := int(math.Round((e.Y - l.depths[0]) / l.Stride))
		if j < 0 || j >= len(l.depths) {
			continue
		}
		// The end itself is left by a straight move; here it is enough to be near.
		l.reach(rest, j, -1, func(r Rect) bool { return r.Has(e.X, e.Z) })
	}
	for head := 0; head < len(l.order) && (l.Most == 0 || l.Used < l.Most); head++ {
		v := l.order[head]
		if l.depths[v.depth]+l.turned[v.turn].deepest <= l.Rooms.Outside {
			return l.way(head)
		}
		r := l.pieces[v.piece].rect
		for i, j := range l.around(v.turn, v.depth) {
			l.reach(i, j, head, r.Touches)
		}
	}
	return nil
}

// reach notes those pieces of turn i at depth j as visited that no way has come to yet and
// that are near.
func (l *Lattice) reach(i, j, from int, near func(Rect) bool) {
	cell := l.look(i, j)
	if cell.left == 0 {
		return
	}
	for k := cell.first; k < cell.past; k++ {
		if p := &l.pieces[k]; !p.seen && near(p.rect) {
			p.seen = true
			cell.left--
			l.order = append(l.order, visited{i, j, int(k), from})
		}
	}
}

// around yields the cells next to turn i at depth j, and the cell itself, whose
// rectangles may touch: those toward the outside first.
func (l *Lattice) around(i, j int) func(yield func(turn, depth int) bool) {
	return func(yield func(turn, depth int) bool) {
		at := func(turn, depth int) bool {
			return depth < 0 || depth >= len(l.depths) || yield(turn, depth)
		}
		if !at(i, j-1) || !at(i, j+1) {
			return
		}
		s := l.steps(i)
		for _, dj := range [...]int{0, -1, 1} {
			stride := 1 // between turns that differ by one step about an axis
			for k := range l.Axes {
				for _, d := range [2]int{-1, 1} {
					if to := s[k] + d; to >= 0 && to <= 2*l.half && !at(i+d*stride, j+dj) {
						return
					}
				}
				stride *= 2*l.half + 1
			}
		}
		at(i, j)
	}
}

// look returns the cell of turn i at depth j.
func (l *Lattice) look(i, j int) *latticeCell {
	t := &l.turned[i]
	if t.still == nil {
		t.still = l.Body.still(l.Pose(l.angles(i)))
		t.deepest, t.cells = t.still.deepest(), make([]latticeCell, len(l.depths))
	}
	cell := &t.cells[j]
	if !cell.looked {
		n := len(l.pieces)
		for _, r := range l.Rooms.free(t.still, l.depths[j]) {
			l.pieces = append(l.pieces, latticePiece{rect: r})
		}
		*cell = latticeCell{true, int32(n), int32(len(l.pieces)), int32(len(l.pieces) - n)}
		l.Used += 1 + (len(l.pieces)-n)/4
	}
	return cell
}

func (l *Lattice) way(last int) []Cross {
	var way []Cross
	for v := last; v >= 0; v = l.order[v].next {
		o := &l.order[v]
		way = append(way, Cross{l.Pose(l.angles(o.turn)), l.depths[o.depth], l.pieces[o.piece].rect})
	}
	return slices.Clip(way)
}
