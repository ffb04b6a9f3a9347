package space

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Cell is a box of turns in one cube and an interval of depths y of the
// reference point: coordinates 0 to 2 and 3.
type Cell struct {
	Cube   int
	Lo, Hi [4]float64
}

func (c Cell) turns() (lo, hi [3]float64) {
	return [3]float64(c.Lo[:3]), [3]float64(c.Hi[:3])
}

// middle returns the turn in the middle of c.
func (c Cell) middle() (a [3]float64) {
	for i := range a {
		a[i] = (c.Lo[i] + c.Hi[i]) / 2
	}
	return a
}

// Glue says how the turns at the border of a cube go on.
type Glue int

// The four cubes of all turns, or one cube whose faces are joined as half a turn
// of a box joins them.
const (
	FourCubes Glue = iota
	BoxCube
)

// touch tells whether two cells have a facet in common, along the way g joins the
// cubes. Cells that meet in less need no joint: a body that has a way with ever so
// little room to spare has one that crosses facets only, and proofs are made for
// a body that is smaller by more than that.
func (g Glue) touch(c, d Cell) bool {
	y := side(c.Lo[3], c.Hi[3], d.Lo[3], d.Hi[3])
	if y == apart {
		return false
	}
	if c.Cube == d.Cube && facet([3]float64(c.Lo[:3]), [3]float64(c.Hi[:3]), d, y) {
		return true
	}
	if y == abut {
		return false
	}
	for k := range 3 {
		for _, end := range [2]float64{-1, 1} {
			if (end < 0 && c.Lo[k] != -1) || (end > 0 && c.Hi[k] != 1) {
				continue
			}
			lo, hi, cube := g.beyond(c, k, end)
			if cube == d.Cube && facet(lo, hi, d, y) {
				return true
			}
		}
	}
	return false
}

// How two intervals lie to each other.
const (
	apart = iota
	abut
	overlap
)

func side(a0, a1, b0, b1 float64) int {
	switch lo, hi := max(a0, b0), min(a1, b1); {
	case lo < hi:
		return overlap
	case lo == hi:
		return abut
	}
	return apart
}

// facet tells whether the box of turns from lo to hi, which may be flat in one
// coordinate, meets d in all coordinates but one with more than a point; y says
// how their depths meet.
func facet(lo, hi [3]float64, d Cell, y int) bool {
	abuts := 0
	if y == abut {
		abuts++
	}
	for i := range lo {
		switch side(lo[i], hi[i], d.Lo[i], d.Hi[i]) {
		case apart:
			return false
		case abut:
			abuts++
		}
	}
	return abuts <= 1
}

// beyond returns the face of c at coordinate k = end (±1) as it lies in the cube
// on its other side. All steps are changes of sign and place, and exact.
func (g Glue) beyond(c Cell, k int, end float64) (lo, hi [3]float64, cube int) {
	flo, fhi := [3]float64(c.Lo[:3]), [3]float64(c.Hi[:3])
	flo[k], fhi[k] = end, end
	component := k
	if k >= c.Cube {
		component++
	}
	ql, qh := quaternion(c.Cube, flo), quaternion(c.Cube, fhi)
	cube = component
	if g == BoxCube { // c.Cube is 0
		ql, qh = halfTurned(ql, component), halfTurned(qh, component)
		cube = 0
	}
	a, b := coordinates(cube, ql), coordinates(cube, qh)
	for i := range a {
		lo[i], hi[i] = min(a[i], b[i]), max(a[i], b[i])
	}
	return lo, hi, cube
}

// A Piece holds places of a cell, at depths from Y0 to Y1.
type Piece struct {
	Rect
	Y0, Y1 float64
}

// joins tells whether a body gets from p to q, which are of one cell or of two with
// a facet in common.
func (p *Piece) joins(q *Piece) bool {
	return p.Y0 <= q.Y1 && q.Y0 <= p.Y1 && p.Overlaps(q.Rect)
}

// leaf is a cell that is looked at whole.
type leaf struct {
	cell        Cell
	first, past int32   // its places: those known to be free, then those that may be
	bands, end  int32   // of which they are, where cells are of turns
	axis        int     // of the coordinate that matters most, across which it is split
	size        float64 // how far that moves the body
	split       bool
	halves      [2]int32 // leaves it is split into
	final       bool     // too small to be split
}

// Outcome is how a search ended.
type Outcome int

// Open: budget or resolution ended the search. Found: there is a way through what
// is known to be free, in this room. None: there is none even through all that
// may be free.
const (
	Open Outcome = iota
	Found
	None
)

// A Search shows that no way leads from outside to the end, by splitting cells
// until what may be free falls apart between them.
type Search struct {
	Body  *Body
	Glue  Glue
	Rooms *Hull
	// Bands tells that cells are of turns only, and what is told apart of the room
	// are depths.
	Bands bool
	// Finest is the size below which a cell is not split, in mm of what it
	// moves the body.
	Finest float64
	// Steps is the budget: cells looked at. Used counts them.
	Steps, Used int

	leaves []leaf
	facets links  // between leaves that touch
	bands  []band // of all leaves
	roots  int
	near   bool // what was split last
	ways   ways

	barrier barrier
	grades  []grade // of all places
	network network

	whole, exact turned // the body over a cell, and in the middle of one
}

// Run searches in the cells roots. Where it ended Open it goes on when it is run again
// with more steps.
func (s *Search) Run(ctx context.Context, roots []Cell) Outcome {
	if s.roots == 0 {
		s.begin(roots)
	}
	for s.Used < s.Steps && ctx.Err() == nil {
		end, cost, ok := s.ways.best()
		if !ok {
			for i := range s.leaves {
				if l := &s.leaves[i]; !l.split && l.final {
					return Open // cut off by what was too small to look at
				}
			}
			return None
		}
		if cost == 0 {
			return Found
		}
		s.refine(s.unknown(end))
	}
	return Open
}

// begin sets up the graph of the cells roots.
func (s *Search) begin(roots []Cell) {
	s.roots = len(roots)
	for _, c := range roots {
		s.add(c, s.turned(c))
	}
	for i := range s.leaves {
		for j := range i {
			if s.Glue.touch(s.leaves[i].cell, s.leaves[j].cell) {
				s.join(int32(i), int32(j))
			}
		}
	}
	var all []int32
	for n := range s.ways.places {
		all = append(all, int32(n))
	}
	s.ways.mend(all)
}

// unknown returns the leaves to split of the way to end, of those not known to be free,
// or if there are such of the unlikely ones: by turns the few nearest to the end, which
// is quick where the thing is locked in at its place, and the largest, down to half of
// that, for where what stops it is far from there.
func (s *Search) unknown(end int32) []int32 {
	places, tolls := s.ways.places, s.ways.tolls
	least := int32(1)
	for n := end; n != noPlace; n = tolls[n].prev {
		least = max(least, tolls[n].own)
	}
	if least == unlikelyCost {
		if ids := s.atBarrier(end); len(ids) > 0 {
			return ids
		}
	}
	var ids []int32
	most := 0.0
	for n := end; n != noPlace; n = tolls[n].prev {
		if leaf := places[n].leaf; tolls[n].own >= least {
			ids = append(ids, leaf)
			most = max(most, s.leaves[leaf].size)
		}
	}
	if s.near = !s.near; s.near {
		const few, smaller = 8, 8
		ids = slices.DeleteFunc(ids, func(i int32) bool { return s.leaves[i].size < most/smaller })
		return ids[:min(len(ids), few)]
	}
	return slices.DeleteFunc(ids, func(i int32) bool { return s.leaves[i].size < most/2 })
}

// axes returns how many coordinates cells are split across.
func (s *Search) axes() int {
	if s.Bands {
		return 3
	}
	return 4
}

// widest returns the coordinate of c that moves the body most, of the first axes
// ones, and how far.
func (b *Body) widest(c Cell, axes int) (axis int, most float64) {
	for k := range axes {
		if e := b.effect(c, k); e > most {
			axis, most = k, e
		}
	}
	return axis, most
}

// refine splits leaves and finds the ways through what comes of them.
func (s *Search) refine(ids []int32) {
	slices.Sort(ids)
	ids = slices.Compact(ids)
	var old, fresh []int32
	for _, i := range ids {
		for n := s.leaves[i].first; n < s.leaves[i].past; n++ {
			old = append(old, n)
		}
	}
	s.ways.remove(old)
	for _, i := range ids {
		fresh = s.split(i, fresh)
	}
	s.ways.mend(fresh)
}

// add evaluates a cell, with the body at its turns.
func (s *Search) add(c Cell, t *turned) int32 {
	s.Used++
	id := int32(len(s.leaves))
	l := leaf{cell: c, first: int32(len(s.ways.places))}
	l.axis, l.size = s.Body.widest(c, s.axes())
	if s.Bands {
		bands := s.Rooms.bands(t, s.middle(c), c.Lo[3], c.Hi[3], l.size)
		l.bands = int32(len(s.bands))
		s.bands = append(s.bands, bands...)
		l.end = int32(len(s.bands))
		for _, b := range bands {
			if b.kind == known {
				s.place(id, c, b.piece(), 0, t)
			}
		}
		for _, b := range bands {
			if b.kind == maybe || b.kind == unlikely {
				s.place(id, c, b.piece(), b.cost(), t)
				p := &s.ways.places[len(s.ways.places)-1]
				p.grade, p.grades = int32(len(s.grades)), int32(len(b.grades))
				s.grades = append(s.grades, b.grades...)
			}
		}
	} else {
		known, maybe := s.Rooms.pieces(c, t)
		for _, p := range known {
			s.place(id, c, p, 0, t)
		}
		for _, p := range maybe {
			s.place(id, c, p, 1, t)
		}
	}
	l.past = int32(len(s.ways.places))
	for a := l.first; a < l.past; a++ {
		for b := l.first; b < a; b++ {
			s.ways.link(a, b)
		}
	}
	s.leaves = append(s.leaves, l)
	return id
}

// place adds a piece of a leaf to the graph. Ways come from outside: what is split is
// more often near to the end, and the less hangs on it.
func (s *Search) place(leaf int32, c Cell, p Piece, own int32, t *turned) {
	start := p.Y0+t.parts[0].depth().hi <= 0 // at some pose the main part is before the plane
	if s.Rooms.Inward {
		start = p.Y0 <= 0
	}
	goal := s.Rooms.there(c, &p)
	s.ways.add(place{Piece: p, leaf: leaf}, toll{own: own, from: start, to: goal})
}

// turned returns the body over the turns of a cell, until it is asked for the next one.
func (s *Search) turned(c Cell) *turned {
	lo, hi := c.turns()
	s.whole.set(s.Body, c.Cube, lo, hi)
	return &s.whole
}

// middle returns the body at the turn in the middle of a cell, until it is asked for the
// next one.
func (s *Search) middle(c Cell) *turned {
	a := c.middle()
	s.exact.set(s.Body, c.Cube, a, a)
	return &s.exact
}

func (s *Search) join(i, j int32) {
	s.facets.join(i, j)
	for a := s.leaves[i].first; a < s.leaves[i].past; a++ {
		for b := s.leaves[j].first; b < s.leaves[j].past; b++ {
			s.ways.link(a, b)
		}
	}
}

// effect returns how far a change of coordinate k across the cell moves the corners
// of the main part, at most.
func (b *Body) effect(c Cell, k int) float64 {
	w := c.Hi[k] - c.Lo[k]
	if k == 3 {
		return w
	}
	q := quaternion(c.Cube, c.middle())
	var d [3]float64
	d[k] = w
	by := quaternion(c.Cube, d)
	by[c.Cube] = 0
	square := q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3]
	turn := quat.Number{Real: q[0], Imag: q[1], Jmag: q[2], Kmag: q[3]}
	u := quat.Scale(2/square, quat.Mul(quat.Number{Real: by[0], Imag: by[1], Jmag: by[2], Kmag: by[3]}, quat.Conj(turn)))
	m := solid.Pose{Turn: quat.Scale(1/math.Sqrt(square), turn)}
	axis := r3.Vec{X: u.Imag, Y: u.Jmag, Z: u.Kmag}
	most := 0.0
	p := &b.parts[0]
	for _, v := range p.verts {
		most = max(most, norm(r3.Cross(axis, m.Rotate(r3.Add(v, p.middle)))))
	}
	return most
}

// halved returns the two halves of c across coordinate k.
func (c Cell) halved(k int) (lower, upper Cell) {
	lower, upper = c, c
	m := (c.Lo[k] + c.Hi[k]) / 2
	lower.Hi[k], upper.Lo[k] = m, m
	return lower, upper
}

// split halves a leaf, or marks it final, and appends the places that are to be reached
// anew.
func (s *Search) split(i int32, fresh []int32) []int32 {
	l := s.leaves[i]
	if l.size <= s.Finest {
		s.leaves[i].final = true
		return fresh
	}
	lower, upper := l.cell.halved(l.axis)
	t := s.turned(lower)
	na := s.add(lower, t)
	if l.axis < 3 { // else both have the same turns
		t = s.turned(upper)
	}
	nb := s.add(upper, t)
	s.inherit(i, s.leaves[na].first, s.leaves[nb].past)
	l.split, l.halves = true, [2]int32{na, nb}
	s.leaves[i] = l
	for _, n := range s.facets.of(i) {
		if s.leaves[n].split {
			continue
		}
		for _, child := range [2]int32{na, nb} {
			if s.Glue.touch(s.leaves[child].cell, s.leaves[n].cell) {
				s.join(child, n)
			}
		}
	}
	s.facets.leave(i)
	s.join(na, nb)
	for n := s.leaves[na].first; n < s.leaves[nb].past; n++ {
		fresh = append(fresh, n)
	}
	return fresh
}

// A Stay is a turn on a way through what may be free, and the depths at which the body
// comes to it and leaves it.
type Stay struct {
	Turn    quat.Number
	In, Out float64
}

// Way returns turns of the cells that the way leads through of which least is not known to
// be free, from outside to the end, in the middle of each and between it and the next: all
// of it is free where the search Found one.
func (s *Search) Way() []Stay {
	end, _, ok := s.ways.best()
	if !ok {
		return nil
	}
	var out []Stay
	turn := solid.Rest.Turn
	places, tolls := s.ways.places, s.ways.tolls
	at := 0.0 // the depth at which the way leaves what comes next
	for n := end; n != noPlace; n = tolls[n].prev {
		p := &places[n]
		c := s.leaves[p.leaf].cell
		turn = s.nearest(c, c.middle(), turn)
		prev := tolls[n].prev
		stay := Stay{Turn: turn, In: at, Out: at}
		if prev != noPlace {
			q := &places[prev]
			stay.In = (max(p.Y0, q.Y0) + min(p.Y1, q.Y1)) / 2
		}
		if n == end {
			if prev == noPlace {
				stay.In = (p.Y0 + p.Y1) / 2
			}
			stay.Out = stay.In
		}
		out = append(out, stay)
		if at = stay.In; prev == noPlace {
			break
		}
		if between, ok := c.between(s.leaves[places[prev].leaf].cell); ok {
			turn = s.nearest(c, between, turn)
			out = append(out, Stay{turn, at, at})
		}
	}
	slices.Reverse(out)
	return out
}

// between returns the turn in the middle of what two cells of a cube have in common; ok is
// false where that is nothing, or one of them.
func (c Cell) between(d Cell) (a [3]float64, ok bool) {
	ok = c != d && c.Cube == d.Cube
	for i := range a {
		lo, hi := max(c.Lo[i], d.Lo[i]), min(c.Hi[i], d.Hi[i])
		a[i], ok = (lo+hi)/2, ok && lo <= hi
	}
	return a, ok
}

// nearest returns the turn at coordinates a of a cell; of those that half turns of a box make
// of it, where such make no difference, the one nearest to another.
func (s *Search) nearest(c Cell, a [3]float64, to quat.Number) quat.Number {
	turn := Turn(c.Cube, a)
	best := turn
	if s.Glue == BoxCube {
		for _, half := range []quat.Number{{Imag: 1}, {Jmag: 1}, {Kmag: 1}} {
			if q := quat.Mul(turn, half); solid.AngleBetween(q, to) < solid.AngleBetween(best, to) {
				best = q
			}
		}
	}
	return best
}

// Trees returns the cells of a search that ended with None as a tree for each
// root: what is joined to the outside, and the rest.
func (s *Search) Trees() [][]Node {
	out := make([][]Node, s.roots)
	for root := range out {
		out[root] = s.tree(nil, int32(root))
	}
	return out
}

func (s *Search) tree(nodes []Node, i int32) []Node {
	l := &s.leaves[i]
	at := len(nodes)
	nodes = append(nodes, Node{Axis: -1})
	if l.split {
		nodes = s.tree(nodes, l.halves[0])
		nodes[at].Axis, nodes[at].Upper = l.axis, len(nodes)
		return s.tree(nodes, l.halves[1])
	}
	if s.Bands {
		nodes[at].Bands = s.labels(l)
		return nodes
	}
	for n := l.first; n < l.past; n++ {
		nodes[at].Rects = append(nodes[at].Rects, s.ways.places[n].Rect)
		nodes[at].Outside = append(nodes[at].Outside, s.outside(n))
	}
	return nodes
}

// outside tells whether a place is joined to the outside.
func (s *Search) outside(n int32) bool { return s.ways.tolls[n].cost != unreached }
