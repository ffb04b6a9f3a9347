package space

import (
	"math"
	"slices"
)

// A Cross is one pair on a lattice way: turned by Angle about the lattice's axis,
// the reference point at depth Y and anywhere in Rect.
type Cross struct {
	Angle, Y float64
	Rect     Rect
}

// A Lattice looks for ways on which the body turns about one axis only. At each
// pair of an angle and a depth what is free is known exactly, as rectangles; ways
// lead between neighbouring pairs whose rectangles meet. What lies between pairs
// is not looked at: a way it finds has to be verified.
type Lattice struct {
	Body   *Body
	Rooms  *Blocks
	Axis   int     // 0 to 2
	Turn   float64 // most it turns either way, radians; 0: it does not turn
	Step   float64 // between angles, radians
	Near   float64 // least depth
	Far    float64 // greatest depth
	Stride float64 // between depths, mm

	angles []float64
	turned []*turned
	depths []float64
	cells  [][]latticePiece // by angle, then depth; nil: not looked at
	looked []bool
	Used   int // pairs looked at
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

// at returns the body turned by an angle about the lattice's axis.
func (l *Lattice) at(angle float64) *turned {
	var a [3]float64
	a[l.Axis] = math.Tan(angle / 2)
	return l.Body.at(0, a, a, false)
}

// Free returns what is free at an angle and depth.
func (l *Lattice) Free(angle, y float64) []Rect { return l.Rooms.free(l.at(angle), y) }

// Find looks for a way from outside to one of the rooms' ends, and returns it in
// that order; nil where there is none on this lattice.
func (l *Lattice) Find() []Cross {
	n := int(math.Round(l.Turn / l.Step))
	for i := -n; i <= n; i++ {
		l.angles = append(l.angles, float64(i)*l.Step)
	}
	l.turned = make([]*turned, len(l.angles))
	// Depths run through the first end, which is where rest is.
	origin := l.Rooms.Ends[0].Y
	for y := origin - math.Floor((origin-l.Near)/l.Stride)*l.Stride; y <= l.Far; y += l.Stride {
		l.depths = append(l.depths, y)
	}
	l.cells = make([][]latticePiece, len(l.angles)*len(l.depths))
	l.looked = make([]bool, len(l.cells))
	var order []visited
	rest := n
	for _, e := range l.Rooms.Ends {
		j := int(math.Round((e.Y - l.depths[0]) / l.Stride))
		if j < 0 || j >= len(l.depths) {
			continue
		}
		c := rest*len(l.depths) + j
		for k := range l.look(c) {
			p := &l.cells[c][k]
			// The end itself is left by a straight move; here it is enough to be near.
			if !p.seen && p.rect.Has(e.X, e.Z) {
				p.seen = true
				order = append(order, visited{c, k, -1})
			}
		}
	}
	for head := 0; head < len(order); head++ {
		v := order[head]
		i, j := v.cell/len(l.depths), v.cell%len(l.depths)
		if l.depths[j]+l.turned[i].depth().hi <= l.Rooms.Outside {
			return l.way(order, head)
		}
		for _, d := range [...][2]int{{0, -1}, {0, 1}, {-1, 0}, {1, 0}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}, {0, 0}} {
			ni, nj := i+d[0], j+d[1]
			if ni < 0 || ni >= len(l.angles) || nj < 0 || nj >= len(l.depths) {
				continue
			}
			c := ni*len(l.depths) + nj
			r := l.cells[v.cell][v.piece].rect
			for k := range l.look(c) {
				if p := &l.cells[c][k]; !p.seen && p.rect.Touches(r) {
					p.seen = true
					order = append(order, visited{c, k, head})
				}
			}
		}
	}
	return nil
}

// look returns the pieces of a cell.
func (l *Lattice) look(c int) []latticePiece {
	if l.looked[c] {
		return l.cells[c]
	}
	l.looked[c] = true
	l.Used++
	i, j := c/len(l.depths), c%len(l.depths)
	if l.turned[i] == nil {
		l.turned[i] = l.at(l.angles[i])
	}
	for _, r := range l.Rooms.free(l.turned[i], l.depths[j]) {
		l.cells[c] = append(l.cells[c], latticePiece{rect: r})
	}
	return l.cells[c]
}

func (l *Lattice) way(order []visited, last int) []Cross {
	var way []Cross
	for v := last; v >= 0; v = order[v].next {
		c := order[v].cell
		way = append(way, Cross{
			l.angles[c/len(l.depths)], l.depths[c%len(l.depths)],
			l.cells[c][order[v].piece].rect,
		})
	}
	return slices.Clip(way)
}

// depth returns the extent of the body in depth.
func (t *turned) depth() span {
	s := noSpan
	for i := range t.parts {
		s = span{min(s.lo, t.parts[i].outDepth.lo), max(s.hi, t.parts[i].outDepth.hi)}
	}
	return s
}
