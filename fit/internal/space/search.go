package space

import (
	"context"
	"math"
	"slices"
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

// leaf is a cell that is looked at whole.
type leaf struct {
	cell         Cell
	known, maybe []Rect
	start, goal  []bool // of each piece
	neighbours   []int32
	split        bool
	axis         int      // across which it is split
	halves       [2]int32 // leaves it is split into
	final        bool     // too small to be split
	// cost is the fewest unknown rectangles on a way from outside to and with each
	// piece, prev the piece before on such a way.
	cost []int32
	prev []node
}

// node is a rectangle of a leaf: of known, then of maybe.
type node struct{ leaf, piece int32 }

var noNode = node{-1, -1}

func (l *leaf) rect(piece int32) Rect {
	if int(piece) < len(l.known) {
		return l.known[piece]
	}
	return l.maybe[int(piece)-len(l.known)]
}

func (l *leaf) isKnown(piece int32) bool { return int(piece) < len(l.known) }

func (l *leaf) pieces() int32 { return int32(len(l.known) + len(l.maybe)) }

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
	// Finest is the size below which a cell is not split, in mm of what it
	// moves the body.
	Finest float64
	// Near splits cells near the end first. It is quick where the thing is locked in
	// at its place, and slow where what stops it is far from there.
	Near bool
	// Steps is the budget: cells looked at. Used counts them.
	Steps, Used int

	leaves  []leaf
	roots   int
	goals   []int32 // leaves with a goal piece, split ones among them
	queue   queue
	stack   []node
	orphans []node
	fresh   []int32
}

const unreached = math.MaxInt32

// Run searches in the cells roots.
func (s *Search) Run(ctx context.Context, roots []Cell) Outcome {
	s.roots = len(roots)
	for _, c := range roots {
		s.add(half{c, s.turned(c)})
	}
	for i := range s.leaves {
		for j := range i {
			if s.Glue.touch(s.leaves[i].cell, s.leaves[j].cell) {
				s.join(int32(i), int32(j))
			}
		}
	}
	for i := range s.leaves {
		s.enter(int32(i))
	}
	s.settle()
	for s.Used < s.Steps && ctx.Err() == nil {
		end, ok := s.best()
		if !ok {
			for i := range s.leaves {
				if l := &s.leaves[i]; !l.split && l.final {
					return Open // cut off by what was too small to look at
				}
			}
			return None
		}
		if s.leaves[end.leaf].cost[end.piece] == 0 {
			return Found
		}
		s.refine(s.unknown(end))
	}
	return Open
}

// unknown returns the leaves to split of the way to end: of those not known to be
// free the largest, down to half of that; or the few nearest to end.
func (s *Search) unknown(end node) []int32 {
	var ids []int32
	most := 0.0
	for n := end; n != noNode; {
		l := &s.leaves[n.leaf]
		if !l.isKnown(n.piece) {
			ids = append(ids, n.leaf)
			most = max(most, s.size(l.cell))
		}
		n = l.prev[n.piece]
	}
	if s.Near {
		const few, smaller = 8, 8
		ids = slices.DeleteFunc(ids, func(i int32) bool { return s.size(s.leaves[i].cell) < most/smaller })
		return ids[:min(len(ids), few)]
	}
	return slices.DeleteFunc(ids, func(i int32) bool { return s.size(s.leaves[i].cell) < most/2 })
}

// size returns how far the coordinate that matters most moves the body across c.
func (s *Search) size(c Cell) float64 {
	_, most := s.Body.widest(c)
	return most
}

// widest returns the coordinate of c that moves the body most, and how far.
func (b *Body) widest(c Cell) (axis int, most float64) {
	for k := range 4 {
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
	orphans := s.leave(ids)
	fresh := s.fresh[:0]
	for _, i := range ids {
		fresh = s.split(i, fresh)
	}
	s.fresh = fresh
	for _, n := range orphans {
		if !s.leaves[n.leaf].split {
			s.reach(n)
		}
	}
	for _, i := range fresh {
		if !s.leaves[i].split {
			s.enter(i)
		}
	}
	s.settle()
}

// best returns the goal piece with the fewest unknown rectangles before it.
func (s *Search) best() (end node, ok bool) {
	least := int32(unreached)
	live := s.goals[:0]
	for _, i := range s.goals {
		l := &s.leaves[i]
		if l.split {
			continue
		}
		live = append(live, i)
		for k := range l.pieces() {
			if l.goal[k] && l.cost[k] < least {
				end, least, ok = node{i, k}, l.cost[k], true
			}
		}
	}
	s.goals = live
	return end, ok
}

// add evaluates a cell.
func (s *Search) add(h half) int32 {
	s.Used++
	c, t := h.cell, h.turned
	l := leaf{cell: c}
	l.known, l.maybe = s.Rooms.pieces(c, t)
	l.maybe = slices.DeleteFunc(l.maybe, func(r Rect) bool {
		return slices.ContainsFunc(l.known, func(q Rect) bool { return q.Holds(r) })
	})
	n := l.pieces()
	l.cost, l.prev, l.start, l.goal = make([]int32, n), make([]node, n), make([]bool, n), make([]bool, n)
	outside, isGoal := s.Rooms.outside(c, t), false
	for k := range n {
		l.cost[k], l.prev[k] = unreached, noNode
		l.start[k] = outside
		l.goal[k] = s.Rooms.there(c, l.rect(k))
		isGoal = isGoal || l.goal[k]
	}
	id := int32(len(s.leaves))
	s.leaves = append(s.leaves, l)
	if isGoal {
		s.goals = append(s.goals, id)
	}
	return id
}

func (s *Search) turned(c Cell) *turned {
	lo, hi := c.turns()
	return s.Body.at(c.Cube, lo, hi)
}

func (s *Search) join(i, j int32) {
	s.leaves[i].neighbours = append(s.leaves[i].neighbours, j)
	s.leaves[j].neighbours = append(s.leaves[j].neighbours, i)
}

// effect returns how far a change of coordinate k across the cell moves the body.
func (b *Body) effect(c Cell, k int) float64 {
	w := c.Hi[k] - c.Lo[k]
	if k == 3 {
		return w
	}
	a := c.middle()
	return 2 * w * b.radius / (1 + a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
}

// half is one half of a cell, with the body at its turns.
type half struct {
	cell   Cell
	turned *turned
}

// halves returns the two halves of c across the coordinate that matters most; ok
// is false where c is too small.
func (s *Search) halves(c Cell) (halves [2]half, axis int, ok bool) {
	k, most := s.Body.widest(c)
	if most <= s.Finest {
		return halves, 0, false
	}
	a, b := c, c
	m := (c.Lo[k] + c.Hi[k]) / 2
	a.Hi[k], b.Lo[k] = m, m
	if k == 3 {
		whole := s.turned(c)
		return [2]half{{a, whole}, {b, whole}}, k, true
	}
	return [2]half{{a, s.turned(a)}, {b, s.turned(b)}}, k, true
}

// split halves a leaf, or marks it final, and appends the leaves that are to be
// entered anew.
func (s *Search) split(i int32, fresh []int32) []int32 {
	c := s.leaves[i].cell
	h, axis, ok := s.halves(c)
	if !ok {
		l := &s.leaves[i]
		n := len(l.known)
		l.final, l.maybe = true, nil
		l.cost, l.prev, l.start, l.goal = l.cost[:n], l.prev[:n], l.start[:n], l.goal[:n]
		return append(fresh, i)
	}
	na, nb := s.add(h[0]), s.add(h[1])
	neighbours := s.leaves[i].neighbours
	s.leaves[i] = leaf{cell: c, split: true, axis: axis, halves: [2]int32{na, nb}}
	for _, n := range neighbours {
		if s.leaves[n].split {
			continue
		}
		for _, child := range [2]int32{na, nb} {
			if s.Glue.touch(s.leaves[child].cell, s.leaves[n].cell) {
				s.join(child, n)
			}
		}
	}
	s.join(na, nb)
	return append(fresh, na, nb)
}

// each calls f for every piece next to n.
func (s *Search) each(n node, f func(node)) {
	r := s.leaves[n.leaf].rect(n.piece)
	visit := func(m int32) {
		q := &s.leaves[m]
		for k := range q.pieces() {
			if (m != n.leaf || k != n.piece) && q.rect(k).Overlaps(r) {
				f(node{m, k})
			}
		}
	}
	visit(n.leaf)
	live := s.leaves[n.leaf].neighbours[:0]
	for _, m := range s.leaves[n.leaf].neighbours {
		if !s.leaves[m].split {
			live = append(live, m)
		}
	}
	s.leaves[n.leaf].neighbours = live
	for _, m := range live {
		visit(m)
	}
}

// leave takes the pieces of leaves off all ways, and returns what was reached
// through them and is to be reached anew.
func (s *Search) leave(ids []int32) []node {
	stack, orphans := s.stack[:0], s.orphans[:0]
	for _, i := range ids {
		l := &s.leaves[i]
		for k := range l.pieces() {
			stack = append(stack, node{i, k})
			l.cost[k] = unreached
		}
	}
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		s.leaves[n.leaf].prev[n.piece] = noNode
		s.each(n, func(m node) {
			if q := &s.leaves[m.leaf]; q.cost[m.piece] != unreached && q.prev[m.piece] == n {
				q.cost[m.piece] = unreached
				stack = append(stack, m)
				orphans = append(orphans, m)
			}
		})
	}
	s.stack, s.orphans = stack, orphans
	return orphans
}

// enter lets ways go through a leaf's pieces.
func (s *Search) enter(i int32) {
	for k := range s.leaves[i].pieces() {
		s.reach(node{i, k})
	}
}

// reach finds the best of what is next to n for a way to n.
func (s *Search) reach(n node) {
	l := &s.leaves[n.leaf]
	own := int32(1)
	if l.isKnown(n.piece) {
		own = 0
	}
	if l.start[n.piece] {
		s.improve(n, own, noNode)
	}
	s.each(n, func(m node) {
		if q := &s.leaves[m.leaf]; !q.split && q.cost[m.piece] != unreached {
			s.improve(n, q.cost[m.piece]+own, m)
		}
	})
}

func (s *Search) improve(n node, cost int32, from node) {
	l := &s.leaves[n.leaf]
	if cost < l.cost[n.piece] {
		l.cost[n.piece], l.prev[n.piece] = cost, from
		s.queue.push(n, cost)
	}
}

// settle passes on what was improved until nothing is left to improve.
func (s *Search) settle() {
	for {
		n, cost, ok := s.queue.pop()
		if !ok {
			return
		}
		l := &s.leaves[n.leaf]
		if l.split || int(n.piece) >= len(l.cost) || cost != l.cost[n.piece] {
			continue
		}
		s.each(n, func(m node) {
			own := int32(1)
			if s.leaves[m.leaf].isKnown(m.piece) {
				own = 0
			}
			s.improve(m, cost+own, n)
		})
	}
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
	for k := range l.pieces() {
		nodes[at].Rects = append(nodes[at].Rects, l.rect(k))
		nodes[at].Outside = append(nodes[at].Outside, l.cost[k] != unreached)
	}
	return nodes
}

// queue hands out nodes in the order of their cost, and of equal cost in the
// order they came. A node that was improved since is handed out again, with the
// cost it came with.
type queue struct {
	levels []level
	now    int
}

type level struct {
	nodes []node
	next  int
}

func (q *queue) push(n node, cost int32) {
	for int(cost) >= len(q.levels) {
		q.levels = append(q.levels, level{})
	}
	q.levels[cost].nodes = append(q.levels[cost].nodes, n)
	q.now = min(q.now, int(cost))
}

func (q *queue) pop() (node, int32, bool) {
	for q.now < len(q.levels) {
		l := &q.levels[q.now]
		if l.next < len(l.nodes) {
			l.next++
			return l.nodes[l.next-1], int32(q.now), true
		}
		l.nodes, l.next = l.nodes[:0], 0
		q.now++
	}
	return noNode, 0, false
}
