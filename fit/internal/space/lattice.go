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

	half   int       // steps either way about an axis
	size   int       // turns: all combinations of angles
	turned []*turned // by turn
	depths []float64
	cells  map[int][]latticePiece // by turn, then depth; absent: not looked at
}

type latticePiece struct {
	rect Rect
	seen bool
}

// visited is a piece in the order it was reached.
type visited struct {
	cell, piece int
	next        int
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
	l.turned = make([]*turned, l.size)
	// Depths run through the first end, which is where rest is.
	origin := l.Rooms.Ends[0].Y
	for y := origin - math.Floor((origin-l.Near)/l.Stride)*l.Stride; y <= l.Far; y += l.Stride {
		l.depths = append(l.depths, y)
	}
	l.cells = map[int][]latticePiece{}
	var order []visited
	rest := l.turn([3]int{l.half, l.half, l.half})
	for _, e := range l.Rooms.Ends {
		j := int(math.Round((e.Y - l.depths[0]) / l.Stride))
		if j < 0 || j >= len(l.depths) {
			continue
		}
		c := rest*len(l.depths) + j
		pieces := l.look(c)
		for k := range pieces {
			p := &pieces[k]
			// The end itself is left by a straight move; here it is enough to be near.
			if !p.seen && p.rect.Has(e.X, e.Z) {
				p.seen = true
				order = append(order, visited{c, k, -1})
			}
		}
	}
	for head := 0; head < len(order) && (l.Most == 0 || l.Used < l.Most); head++ {
		v := order[head]
		i, j := v.cell/len(l.depths), v.cell%len(l.depths)
		if l.depths[j]+l.turned[i].depth().hi <= l.Rooms.Outside {
			return l.way(order, head)
		}
		r := l.cells[v.cell][v.piece].rect
		for c := range l.around(i, j) {
			pieces := l.look(c)
			for k := range pieces {
				if p := &pieces[k]; !p.seen && p.rect.Touches(r) {
					p.seen = true
					order = append(order, visited{c, k, head})
				}
			}
		}
	}
	return nil
}

// around yields the cells next to turn i at depth j, and the cell itself, whose
// rectangles may touch: those toward the outside first.
func (l *Lattice) around(i, j int) func(yield func(int) bool) {
	return func(yield func(int) bool) {
		at := func(turn, depth int) bool {
			return depth < 0 || depth >= len(l.depths) || yield(turn*len(l.depths)+depth)
		}
		if !at(i, j-1) || !at(i, j+1) {
			return
		}
		s := l.steps(i)
		for _, dj := range [...]int{0, -1, 1} {
			for k := range l.Axes {
				for _, d := range [2]int{-1, 1} {
					t := s
					if t[k] += d; t[k] < 0 || t[k] > 2*l.half {
						continue
					}
					if !at(l.turn(t), j+dj) {
						return
					}
				}
			}
		}
		at(i, j)
	}
}

// look returns the pieces of a cell.
func (l *Lattice) look(c int) []latticePiece {
	if pieces, ok := l.cells[c]; ok {
		return pieces
	}
	i, j := c/len(l.depths), c%len(l.depths)
	if l.turned[i] == nil {
		l.turned[i] = l.Body.to(l.Pose(l.angles(i)))
	}
	var pieces []latticePiece
	for _, r := range l.Rooms.free(l.turned[i], l.depths[j]) {
		pieces = append(pieces, latticePiece{rect: r})
	}
	l.Used += 1 + len(pieces)/4
	l.cells[c] = pieces
	return pieces
}

func (l *Lattice) way(order []visited, last int) []Cross {
	var way []Cross
	for v := last; v >= 0; v = order[v].next {
		c := order[v].cell
		way = append(way, Cross{
			l.Pose(l.angles(c / len(l.depths))), l.depths[c%len(l.depths)],
			l.cells[c][order[v].piece].rect,
		})
	}
	return slices.Clip(way)
}

// depth returns the extent of the body in depth.
func (t *turned) depth() span {
	s := noSpan
	for i := range t.parts {
		s = span{min(s.lo, t.parts[i].out().depth.lo), max(s.hi, t.parts[i].out().depth.hi)}
	}
	return s
}
