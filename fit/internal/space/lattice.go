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
}

// latticeTurn is the body at one turn, once it is looked at.
type latticeTurn struct {
	still
	deepest float64
	cells   []latticeCell // by depth
}

// latticeCell tells which of the pieces are of a cell, once it is looked at.
type latticeCell struct {
	looked      bool
	first, past int32
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
	l.turned, l.pieces = make([]latticeTurn, l.size), nil
	// Depths run through the first end, which is where rest is.
	origin := l.Rooms.Ends[0].Y
	for y := origin - math.Floor((origin-l.Near)/l.Stride)*l.Stride; y <= l.Far; y += l.Stride {
		l.depths = append(l.depths, y)
	}
	var order []visited
	rest := l.turn([3]int{l.half, l.half, l.half})
	for _, e := range l.Rooms.Ends {
		j := int(math.Round((e.Y - l.depths[0]) / l.Stride))
		if j < 0 || j >= len(l.depths) {
			continue
		}
		first, past := l.look(rest, j)
		for k := first; k < past; k++ {
			p := &l.pieces[k]
			// The end itself is left by a straight move; here it is enough to be near.
			if !p.seen && p.rect.Has(e.X, e.Z) {
				p.seen = true
				order = append(order, visited{rest, j, k, -1})
			}
		}
	}
	for head := 0; head < len(order) && (l.Most == 0 || l.Used < l.Most); head++ {
		v := order[head]
		if l.depths[v.depth]+l.turned[v.turn].deepest <= l.Rooms.Outside {
			return l.way(order, head)
		}
		r := l.pieces[v.piece].rect
		for i, j := range l.around(v.turn, v.depth) {
			first, past := l.look(i, j)
			for k := first; k < past; k++ {
				if p := &l.pieces[k]; !p.seen && p.rect.Touches(r) {
					p.seen = true
					order = append(order, visited{i, j, k, head})
				}
			}
		}
	}
	return nil
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

// look returns which of the pieces are of turn i at depth j, from the first up to, not
// including, past.
func (l *Lattice) look(i, j int) (first, past int) {
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
		*cell = latticeCell{true, int32(n), int32(len(l.pieces))}
		l.Used += 1 + (len(l.pieces)-n)/4
	}
	return int(cell.first), int(cell.past)
}

func (l *Lattice) way(order []visited, last int) []Cross {
	var way []Cross
	for v := last; v >= 0; v = order[v].next {
		o := &order[v]
		way = append(way, Cross{l.Pose(l.angles(o.turn)), l.depths[o.depth], l.pieces[o.piece].rect})
	}
	return slices.Clip(way)
}
