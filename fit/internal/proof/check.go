package proof

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// Check returns nil where proof shows that body has no way in room, in the sense
// of the package comment, and else what is wrong with it.
func Check(room *Room, body *Body, proof *Proof) error {
	if err := room.check(); err != nil {
		return err
	}
	if !(proof.Erosion >= Slack) {
		return fmt.Errorf("the body is eroded by %g mm, less than %g", proof.Erosion, Slack)
	}
	c, err := newChecker(room, body)
	if err != nil {
		return err
	}
	if err := c.gates(); err != nil {
		return err
	}
	if proof.Kind == Ball {
		return c.pocket(proof.Pocket)
	}
	n := 4
	if proof.Quotient {
		if !body.isBox() {
			return errors.New("half turns are joined, but the body is no box round its reference point")
		}
		n = 1
	}
	if len(proof.Trees) != n {
		return fmt.Errorf("%d trees, not %d", len(proof.Trees), n)
	}
	y0, y1 := proof.Y0, proof.Y1
	err = fmt.Errorf("no kind of proof: %q", proof.Kind)
	switch proof.Kind {
	case Slice:
		y0, y1 = proof.Y, proof.Y
		err = c.passed(proof.Y)
	case Cells, Bands:
		if err = c.spanned(y0, y1); err == nil && proof.Kind == Bands {
			err = c.choose()
		}
	case Ball: // done above
	}
	if err != nil {
		return err
	}
	roots := make([]*cell, n)
	for cube, nodes := range proof.Trees {
		root, rest, err := grow(nodes, cell{cube: cube, lo: [4]float64{-1, -1, -1, y0}, hi: [4]float64{1, 1, 1, y1}})
		if err == nil && len(rest) > 0 {
			err = fmt.Errorf("%d nodes too many", len(rest))
		}
		if err == nil {
			err = c.leaves(root, proof.Kind)
		}
		if err != nil {
			return fmt.Errorf("cube %d: %w", cube, err)
		}
		roots[cube] = root
	}
	if proof.Kind == Slice {
		return nil
	}
	if err := c.beyond(roots, y1); err != nil {
		return err
	}
	for _, r := range roots {
		if err := within(r); err != nil {
			return err
		}
	}
	return joined(roots, proof.Quotient)
}

// check tells whether the room is one the claim speaks of.
func (m *Room) check() error {
	good := func(least, greatest float64) bool {
		return least <= greatest && least <= Greatest && greatest >= -Greatest &&
			(least >= -Greatest || math.IsInf(least, -1)) && (greatest <= Greatest || math.IsInf(greatest, 1))
	}
	if !good(m.First, m.Last) {
		return errors.New("room: first and last depth")
	}
	for _, b := range append([]r3.Box{m.End}, m.Boxes...) {
		if !good(b.Min.X, b.Max.X) || !good(b.Min.Y, b.Max.Y) || !good(b.Min.Z, b.Max.Z) {
			return errors.New("room: a box is turned over or too large")
		}
	}
	for i, l := range m.Layers {
		if !good(l.Y0, l.Y1) {
			return fmt.Errorf("room: depths of layer %d", i)
		}
		if len(l.Holes) == 0 {
			return fmt.Errorf("room: layer %d has no hole", i)
		}
		for j, h := range l.Holes {
			if !good(h.X0, h.X1) || !good(h.Z0, h.Z1) {
				return fmt.Errorf("room: layer %d, hole %d is turned over or too large", i, j)
			}
			for _, g := range l.Holes[:j] {
				if !g.meet(h).empty() {
					return fmt.Errorf("room: layer %d has holes that touch", i)
				}
			}
		}
	}
	return nil
}

// isBox tells whether half a turn of b about any axis through the reference point
// changes nothing, but for far less than give.
func (b *Body) isBox() bool {
	const same = 1e-9
	if len(b.Parts) != 1 {
		return false
	}
	box := b.Parts[0].Bounds()
	middle := r3.Scale(0.5, r3.Add(box.Min, box.Max))
	return r3.Norm(r3.Sub(middle, b.Ref)) <= same && alongAxes(b.Parts[0], same)
}

// alongAxes tells whether p is a box along the axes.
func alongAxes(p *solid.Polyhedron, same float64) bool {
	b := p.Bounds()
	off := func(v, lo, hi float64) bool { return min(math.Abs(v-lo), math.Abs(v-hi)) > same }
	for _, v := range p.Vertices() {
		if off(v.X, b.Min.X, b.Max.X) || off(v.Y, b.Min.Y, b.Max.Y) || off(v.Z, b.Min.Z, b.Max.Z) {
			return false
		}
	}
	return len(p.Vertices()) == 8
}

// checker has what the leaves of a proof have in common.
type checker struct {
	room  *Room
	ref   r3.Vec
	parts []part
	// shared[i] is what part i shares with the main one; nil where that is not known.
	shared []*part
	// inner is a depth that the main part reaches at every turn, about the
	// reference point, radius how far it goes from there.
	inner, radius float64

	swing    swing    // at the leaf looked at
	now      []turned // of parts, there
	common   []turned // of what these share with the main one
	profiles profiles

	choices      [][]Rect // of a hole in each layer
	widths       recent[width]
	pairs        recent[pair]
	past         passages
	pieces, next []Rect
}

func newChecker(room *Room, body *Body) (*checker, error) {
	if len(body.Parts) == 0 {
		return nil, errors.New("no body")
	}
	c := &checker{room: room, ref: body.Ref, now: make([]turned, len(body.Parts)), common: make([]turned, len(body.Parts))}
	c.profiles = newProfiles(room, c.now)
	for i, s := range body.Parts {
		p, err := newPart(s, body.Ref)
		if err != nil {
			return nil, err
		}
		for _, v := range p.verts {
			if !(r3.Norm(v) <= Farthest) {
				return nil, errors.New("too large a body")
			}
		}
		var shared *part
		if i > 0 {
			if b, ok := sharedBox(body.Parts[0], s); ok {
				q, err := newPart(solid.Box(b), body.Ref)
				if err != nil {
					return nil, err
				}
				shared = &q
			}
		}
		c.parts, c.shared = append(c.parts, p), append(c.shared, shared)
	}
	main := &c.parts[0]
	c.inner = math.Inf(1)
	for _, v := range main.verts {
		c.radius = max(c.radius, r3.Norm(v))
	}
	for _, f := range main.faces {
		c.inner = min(c.inner, f.h+dot(f.n, main.middle))
	}
	if c.inner < 0 { // the reference point is not in it
		c.inner = -c.radius
	}
	return c, nil
}

// sharedBox returns what two boxes along the axes have in common. It errs by far
// less than give where they are boxes by so little.
func sharedBox(p, q *solid.Polyhedron) (r3.Box, bool) {
	const same = 1e-9
	a, b := p.Bounds(), q.Bounds()
	m := r3.Box{
		Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)},
	}
	solid := m.Min.X < m.Max.X && m.Min.Y < m.Max.Y && m.Min.Z < m.Max.Z
	return m, solid && alongAxes(p, same) && alongAxes(q, same)
}

// passed tells whether every way passes depth y: outside, the main part is before
// 0, and the reference point before it by inner.
func (c *checker) passed(y float64) error {
	if c.room.Inward && !(y >= 0 && y <= c.room.Deepest) {
		return fmt.Errorf("a way need not pass depth %g inside", y)
	}
	if !(-c.inner <= y && y <= c.room.End.Min.Y+give && y <= Greatest) {
		return fmt.Errorf("a way need not pass depth %g", y)
	}
	return nil
}

// spanned tells whether the cells from y0 to y1 begin outside: before y0 there is
// no pose but such. What is beyond y1 is looked at later.
func (c *checker) spanned(y0, y1 float64) error {
	first := -c.radius
	if c.room.Inward {
		first = 0
	}
	if !(-Greatest <= y0 && y0 < y1 && y1 <= Greatest) || y0 > first || c.room.End.Min.Y < y0 {
		return fmt.Errorf("depths from %g to %g do not hold what they have to", y0, y1)
	}
	return nil
}

// beyond tells whether what is beyond y1 can be left out: nothing is free there, or
// all that leads there is of one label, which all that is there then has too.
func (c *checker) beyond(roots []*cell, y1 float64) error {
	if y1+c.inner > c.room.Last-give && !c.room.Inward || c.room.Inward && y1 >= c.room.Deepest {
		return nil
	}
	outside, inside := false, false
	for _, r := range roots {
		r.each(func(l *cell) {
			for _, p := range l.pieces {
				outside = outside || p.y1 == y1 && p.Outside
				inside = inside || p.y1 == y1 && !p.Outside
			}
		})
	}
	// A way may end there, and one may begin there.
	outside = outside || y1+c.inner <= 0
	inside = inside || c.room.End.Max.Y > y1
	if outside && inside {
		return fmt.Errorf("ways lead beyond depth %g", y1)
	}
	return nil
}

// cell is a node of a tree with where it is.
type cell struct {
	cube         int
	lo, hi       [4]float64
	lower, upper *cell // nil for a leaf
	pieces       []Piece
	bands        []Band
}

var errTorn = errors.New("a tree ends before its cells are covered")

// grow reads the tree of cell c from nodes, and returns what nodes it leaves. So
// the leaves of a tree cover its cell whatever the nodes are.
func grow(nodes []Node, c cell) (*cell, []Node, error) {
	if len(nodes) == 0 {
		return nil, nil, errTorn
	}
	n := nodes[0]
	nodes = nodes[1:]
	if n.Axis == -1 {
		c.pieces, c.bands = slices.Clone(n.Pieces), n.Bands
		for i := range c.pieces {
			c.pieces[i].y0, c.pieces[i].y1 = c.lo[3], c.hi[3]
		}
		return &c, nodes, nil
	}
	if n.Axis < 0 || n.Axis > 3 || len(n.Pieces) > 0 || len(n.Bands) > 0 {
		return nil, nil, fmt.Errorf("a node halves coordinate %d", n.Axis)
	}
	middle := (c.lo[n.Axis] + c.hi[n.Axis]) / 2
	if !(c.lo[n.Axis] < middle && middle < c.hi[n.Axis]) {
		return nil, nil, errors.New("a cell cannot be halved")
	}
	a, b := c, c
	a.hi[n.Axis], b.lo[n.Axis] = middle, middle
	var err error
	if c.lower, nodes, err = grow(nodes, a); err != nil {
		return nil, nil, err
	}
	if c.upper, nodes, err = grow(nodes, b); err != nil {
		return nil, nil, err
	}
	return &c, nodes, nil
}

// each calls f for every leaf.
func (c *cell) each(f func(*cell)) {
	if c.lower == nil {
		f(c)
		return
	}
	c.lower.each(f)
	c.upper.each(f)
}

// leaves checks each leaf by itself.
func (c *checker) leaves(root *cell, kind Kind) error {
	var err error
	root.each(func(l *cell) {
		if err == nil {
			err = c.leaf(l, kind)
		}
	})
	return err
}

func (c *checker) leaf(l *cell, kind Kind) error {
	if (kind == Bands) != (len(l.bands) > 0) || kind != Cells && len(l.pieces) > 0 {
		return fmt.Errorf("a leaf that is none of a proof by %q", kind)
	}
	if kind == Bands {
		return c.bands(l)
	}
	c.look(l)
	if left := c.uncovered(l); len(left) > 0 {
		return fmt.Errorf("turns %v to %v, depths %g to %g: (%g … %g, %g … %g) may be free but is not listed",
			l.lo[:3], l.hi[:3], l.lo[3], l.hi[3], left[0].X0, left[0].X1, left[0].Z0, left[0].Z1)
	}
	for i := range l.pieces {
		if err := c.labelled(l, &l.pieces[i]); err != nil {
			return err
		}
	}
	return nil
}

// labelled checks the label of a piece of the leaf looked at against where ways
// begin and end.
func (c *checker) labelled(l *cell, p *Piece) error {
	begins := !c.now[0].past(-give - p.y0)
	if c.room.Inward {
		begins = p.y0 <= 0
	}
	switch {
	case !p.Outside && begins:
		return fmt.Errorf("turns %v to %v, depths %g to %g: may be outside but is not labelled so", l.lo[:3], l.hi[:3], p.y0, p.y1)
	case p.Outside && c.ends(l, p):
		return errors.New("a way may lead to its end")
	}
	return nil
}

// ends tells whether a way may end in a piece of a cell. The turn of rest is in
// cube 0 only, also where half turns are joined.
func (c *checker) ends(l *cell, p *Piece) bool {
	if l.cube != 0 {
		return false
	}
	for k := range 3 {
		if l.lo[k] > 0 || l.hi[k] < 0 {
			return false
		}
	}
	e := c.room.End
	return p.y0 <= e.Max.Y && e.Min.Y <= p.y1 && !p.meet(Rect{e.Min.X, e.Max.X, e.Min.Z, e.Max.Z}).empty()
}

// look bounds the body over the turns of a leaf.
func (c *checker) look(l *cell) {
	c.swing = newSwing(l.cube, [3]float64(l.lo[:3]), [3]float64(l.hi[:3]))
	for i := range c.parts {
		c.now[i].set(&c.parts[i], &c.swing, c.room)
		if c.shared[i] != nil {
			c.common[i].set(c.shared[i], &c.swing, c.room)
		}
	}
	c.profiles.forget()
}

// uncovered returns what the pieces of a leaf leave of the places that may be free
// at its turns and depths. A place that is free for the grown body must lie within a
// piece, not at its border, so that ways from piece to piece pass where both
// overlap: so pieces count without a border as wide as half of what give has taken.
func (c *checker) uncovered(l *cell) []Rect {
	inf := math.Inf(1)
	y0, y1 := l.lo[3], l.hi[3]
	for i := range c.now {
		if t := &c.now[i]; c.held(i, y0) && (t.past(c.room.Last-give-y0) || t.before(c.room.First+give-y1)) {
			return nil
		}
	}
	left := c.pieces[:0]
	left = append(left, Rect{-inf, inf, -inf, inf})
	next := c.next[:0]
	for i := range c.room.Layers {
		layer := &c.room.Layers[i]
		var far [directions]float64
		for d := range far {
			far[d] = -inf
		}
		for j := range c.now {
			if !c.held(j, y0) || j > 0 && len(layer.Holes) > 1 {
				continue
			}
			for d, e := range c.now[j].reach(layer.Y0-give, layer.Y1+give, y0, y1) {
				far[d] = max(far[d], e)
			}
		}
		next = next[:0]
		for _, hole := range layer.Holes {
			h := hole.grown(-give)
			h = Rect{h.X0 + far[1], h.X1 - far[0], h.Z0 + far[3], h.Z1 - far[2]}
			for _, r := range left {
				if r = r.meet(h); !r.empty() {
					next = append(next, r)
				}
			}
		}
		left, next = next, left
	}
	take := func(q Rect) {
		if q.empty() {
			return
		}
		next = next[:0]
		for _, r := range left {
			next = r.minus(q, next)
		}
		left, next = next, left
	}
	for _, p := range l.pieces {
		take(p.grown(-give / 2))
	}
	for i := range c.room.Boxes {
		for j := range c.now {
			if len(left) > 0 {
				for _, q := range c.now[j].hits(&c.room.Boxes[i], y0, y1) {
					take(q.grown(give))
				}
			}
		}
	}
	c.pieces, c.next = left, next
	return left
}

// hits returns rectangles of places at which the part surely overlaps box b.
//
// In the depths of b the part has points as far to the right and to the left as it
// reaches there, and all of it lies between a lowest and a highest. Where these are
// between bottom and top of b, the straight line between those two points is, and
// cannot pass b between them. The same goes for up and down.
func (t *turned) hits(b *r3.Box, y0, y1 float64) [2]Rect {
	far := t.reach(b.Min.Y, b.Max.Y, y0, y1)
	var most [directions]float64
	for d := range most {
		most[d] = t.outer(d).farthest(b.Min.Y-y1-rounding, b.Max.Y-y0+rounding)
		if math.IsInf(most[d], -1) {
			far = [directions]float64{most[d], most[d], most[d], most[d]} // not in those depths
		}
	}
	return [2]Rect{
		{b.Min.X - far[0], b.Max.X + far[1], b.Min.Z + most[3], b.Max.Z - most[2]},
		{b.Min.X + most[1], b.Max.X - most[0], b.Min.Z - far[2], b.Max.Z + far[3]},
	}
}

var errLabels = errors.New("places that are joined have different labels")

// disagree tells whether two pieces that overlap have different labels. Depths at
// which bands end count too.
func disagree(p, q Piece) bool {
	return p.Outside != q.Outside && p.y0 <= q.y1 && q.y0 <= p.y1 && p.overlaps(q.Rect)
}

// within checks the labels of what lies in one cell.
func within(c *cell) error {
	if c.lower == nil {
		for i, p := range c.pieces {
			for _, q := range c.pieces[:i] {
				if disagree(p, q) {
					return errLabels
				}
			}
		}
		return nil
	}
	if err := within(c.lower); err != nil {
		return err
	}
	if err := within(c.upper); err != nil {
		return err
	}
	return between(c.lower, c.upper, same)
}

// A seam tells how cells are joined.
type seam func(c *cell) (lo, hi [3]float64, ok bool)

// same is the seam of cells of one cube.
func same(c *cell) (lo, hi [3]float64, ok bool) {
	return [3]float64(c.lo[:3]), [3]float64(c.hi[:3]), true
}

// between checks the labels of the leaves of a against those of b, as far as they
// share a facet: three of the four coordinates with more than a point, the
// fourth with a point at least. Turns, depths and places of a body are a manifold,
// in which what cells share besides is of two dimensions less than the whole, and
// separates nothing: a way that can be moved a little can be moved off it.
func between(a, b *cell, s seam) error {
	lo, hi, ok := s(a)
	if !ok {
		return nil
	}
	flat := 0
	for k := range 4 {
		l, h := a.lo[3], a.hi[3]
		if k < 3 {
			l, h = lo[k], hi[k]
		}
		switch l, h = max(l, b.lo[k]), min(h, b.hi[k]); {
		case l > h:
			return nil
		case l == h:
			flat++
		}
	}
	if flat > 1 {
		return nil
	}
	if a.lower != nil {
		if err := between(a.lower, b, s); err != nil {
			return err
		}
		return between(a.upper, b, s)
	}
	if b.lower != nil {
		if err := between(a, b.lower, s); err != nil {
			return err
		}
		return between(a, b.upper, s)
	}
	for _, p := range a.pieces {
		for _, q := range b.pieces {
			if disagree(p, q) {
				return errLabels
			}
		}
	}
	return nil
}

// joined checks labels across the borders of cubes.
func joined(roots []*cell, quotient bool) error {
	for _, root := range roots {
		for k := range 3 {
			other, over := across(root.cube, k, quotient)
			for _, end := range [2]float64{-1, 1} {
				cross := func(c *cell) (lo, hi [3]float64, ok bool) {
					p, q := [3]float64(c.lo[:3]), [3]float64(c.hi[:3])
					if p[k] != end && q[k] != end {
						return lo, hi, false
					}
					p[k], q[k] = end, end
					p, q = over(p), over(q)
					for i := range p {
						lo[i], hi[i] = min(p[i], q[i]), max(p[i], q[i])
					}
					return lo, hi, true
				}
				if err := between(root, roots[other], cross); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// across returns where a cube goes on where its coordinate k is ±1: the other cube,
// and the coordinates there. That component is as great as the cube's own, and
// the turns beyond lie in its cube; or in cube 0 again after half a turn about axis
// k of the body. Both are steps of signs and places only, and exact.
func across(cube, k int, quotient bool) (other int, over func([3]float64) [3]float64) {
	other = k // the component of coordinate k
	if k >= cube {
		other++
	}
	half := quaternion{1}
	if quotient {
		half = quaternion{}
		half[other] = -1 // brings this component to component 0
		other = 0
	}
	return other, func(a [3]float64) [3]float64 {
		q := inCube(cube, a).times(half)
		var out [3]float64
		i := 0
		for j, v := range q {
			if j != other {
				out[i] = v / q[other]
				i++
			}
		}
		return out
	}
}
