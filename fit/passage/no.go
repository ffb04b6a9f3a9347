package passage

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/space"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// bounds is what surely bounds the way in through the opening's side, in the
// frame: the panel with its holes, the inside behind it, boxes that stand about.
// It leaves out what the plan does not give.
type bounds struct {
	thick float64      // of the panel
	holes []space.Rect // of all openings in this side
	own   int          // the one this job goes through
	// inside is what bounds the room behind the panel; infinite where a side has
	// a hole or nobody measured it.
	inside space.Rect
	// closed tells that no other side has a hole, so that what is inside came
	// through this side, and reaches out of it through this side only.
	closed bool
	// apart tells that no two holes of this side touch: what is in the panel is
	// then within one of them.
	apart       bool
	first, last float64
	floor       float64 // lowest z anywhere; −Inf where it does not bound z
	boxes       []r3.Box
	owners      []string // of each box the thing or fixture it is of, as owner says
	// around is by how much all of this is thicker: what keeps so much room from it
	// all along goes through a room like that.
	around float64
}

// sides next to the opening's side, and across from it, in the frame.
type neighbours struct{ left, right, down, up, across scene.Face }

func neighboursOf(side scene.Face) neighbours {
	switch side {
	case scene.Front:
		return neighbours{scene.Left, scene.Right, scene.Bottom, scene.Top, scene.Back}
	case scene.Back:
		return neighbours{scene.Right, scene.Left, scene.Bottom, scene.Top, scene.Front}
	case scene.Left:
		return neighbours{scene.Back, scene.Front, scene.Bottom, scene.Top, scene.Right}
	case scene.Right:
		return neighbours{scene.Front, scene.Back, scene.Bottom, scene.Top, scene.Left}
	case scene.Top:
		return neighbours{scene.Left, scene.Right, scene.Front, scene.Back, scene.Bottom}
	case scene.Bottom:
	}
	return neighbours{}
}

// holed tells whether a side of the cabinet is not closed.
func holed(c *scene.Cabinet, side scene.Face) bool {
	if side == scene.Bottom {
		return false // the room floor closes it
	}
	if c.Wall(side).Open {
		return true
	}
	for i := range c.Openings {
		if c.Openings[i].Side == side {
			return true
		}
	}
	return false
}

// inFrame returns the box b in the frame.
func (p *posed) inFrame(b r3.Box) r3.Box { return solid.Box(b).Moved(p.frame).Bounds() }

// bounds gathers what surely bounds the way.
func (p *posed) bounds() bounds {
	c := p.Cabinet
	n := neighboursOf(p.Opening.Side)
	inf := math.Inf(1)
	out := bounds{inside: space.Everywhere, closed: true, apart: true, first: -inf, last: inf, floor: -inf}
	for _, side := range []scene.Face{n.left, n.right, n.down, n.up, n.across} {
		if holed(c, side) {
			out.closed = false
		}
	}
	if w := c.Wall(p.Opening.Side); !w.Open && !p.Opening.OpenFace {
		out.thick = w.Thickness.MM()
		if w.Assumed {
			out.thick = verdict.Contact.MM()
		}
	}
	for i := range c.Openings {
		o := &c.Openings[i]
		if o.Side != p.Opening.Side {
			continue
		}
		if o.Name == p.Opening.Name {
			out.own = len(out.holes)
		}
		b := p.inFrame(o.Hole)
		for _, h := range out.holes {
			out.apart = out.apart && !h.Touches(space.Rect{X0: b.Min.X, X1: b.Max.X, Z0: b.Min.Z, Z1: b.Max.Z})
		}
		out.holes = append(out.holes, space.Rect{X0: b.Min.X, X1: b.Max.X, Z0: b.Min.Z, Z1: b.Max.Z})
	}
	// Each wall without a hole bounds the inside by the innermost face that is sure.
	for _, w := range p.sureWalls() {
		b := w.solid.Bounds()
		if w.side == n.left {
			out.inside.X0 = max(out.inside.X0, b.Max.X)
		}
		if w.side == n.right {
			out.inside.X1 = min(out.inside.X1, b.Min.X)
		}
		if w.side == n.down {
			out.inside.Z0 = max(out.inside.Z0, b.Max.Z)
		}
		if w.side == n.up {
			out.inside.Z1 = min(out.inside.Z1, b.Min.Z)
		}
		if w.side == n.across {
			out.last = min(out.last, b.Min.Y)
		}
	}
	if p.Opening.PlaceAssumed {
		// What is beside the hole may be anywhere.
		out.inside.X0, out.inside.X1 = -inf, inf
	}
	if !out.closed {
		// It may reach out through another side, and go on beside the cabinet.
		out.last = inf
	}
	if p.Opening.Side == scene.Top {
		out.last = min(out.last, c.Height.MM())
	} else {
		out.floor = 0
	}
	if p.roomKnown() {
		out.first = -p.roomBefore()
	}
	for _, o := range p.Others {
		inTheWay := o.Role == scene.RoleLeaf || o.Role == scene.RoleHinge || o.Role == scene.RoleFixture ||
			o.Role == scene.RoleEquipment || o.Role == scene.RoleGlass || o.Role == scene.RoleBaffle ||
			o.Role == scene.RoleTrim
		if o.Sure == nil || !inTheWay || p.Opening.PlaceAssumed {
			continue
		}
		for _, b := range innerBoxes(o.Sure.Moved(p.frame)) {
			// What only touches the border of a hole and of a leaf beside it must not
			// slip through between the two.
			for _, b := range sliced(grown(b, verdict.Contact.MM())) {
				out.boxes, out.owners = append(out.boxes, b), append(out.owners, owner(o))
			}
		}
	}
	return out
}

// sliced cuts a box before the opening's plane into slabs that get thinner toward
// it. What goes through the opening is there as high as the opening at most; only
// of a thin slab is that enough to show that it cannot reach over or under the box.
func sliced(b r3.Box) []r3.Box {
	var out []r3.Box
	for _, y := range []float64{-3, -12, -40, -120} {
		if b.Max.Y > y && b.Min.Y < y && b.Max.Y <= 2*verdict.Contact.MM() {
			near := b
			near.Min.Y, b.Max.Y = y, y
			out = append(out, near)
		}
	}
	return append(out, b)
}

// roomKnown tells whether the plan gives what stands opposite the opening.
func (p *posed) roomKnown() bool {
	switch p.Opening.Side {
	case scene.Front:
		return p.Room.Front != nil
	case scene.Back:
		return p.Room.Back != nil
	case scene.Left:
		return p.Room.Left != nil
	case scene.Right:
		return p.Room.Right != nil
	case scene.Top:
		return p.Room.Ceiling != nil
	case scene.Bottom:
	}
	return false
}

type sureWall struct {
	side  scene.Face
	solid solid.Solid // in the frame
}

// sureWalls returns what is sure of the cabinet's walls that have no hole, and of
// its inside bottom.
func (p *posed) sureWalls() []sureWall {
	c := p.Cabinet
	var out []sureWall
	add := func(side scene.Face, b r3.Box) {
		out = append(out, sureWall{side, solid.Box(p.inFrame(b))})
	}
	w, d, h := c.Width.MM(), c.Depth.MM(), c.Height.MM()
	whole := r3.Box{Max: r3.Vec{X: w, Y: d, Z: h}}
	for _, side := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Top} {
		wall := c.Wall(side)
		if holed(c, side) {
			continue
		}
		t := wall.Thickness.MM()
		if wall.Assumed {
			t = verdict.Contact.MM()
		}
		b := whole
		switch side {
		case scene.Front:
			b.Max.Y = t
		case scene.Back:
			b.Min.Y = d - t
		case scene.Left:
			b.Max.X = t
		case scene.Right:
			b.Min.X = w - t
		case scene.Top:
			b.Min.Z = h - t
		case scene.Bottom:
		}
		add(side, b)
	}
	if c.Bottom != nil {
		b := whole
		up := c.Bottom.Up.MM()
		b.Min.Z, b.Max.Z = up-verdict.Contact.MM(), up
		add(scene.Bottom, b)
	}
	return out
}

// hull returns the room for a proof, in the panel with these holes. What is thicker
// by around is rounded there, and larger than what stands for it here.
func (b *bounds) hull(holes []space.Rect) space.Hull {
	h := space.Hull{First: b.first + b.around, Last: b.last - b.around}
	for _, box := range b.boxes {
		h.Boxes = append(h.Boxes, thickened(box, b.around)...)
	}
	if b.thick > 0 {
		for _, angle := range bends(b.around) {
			sin, cos := math.Sincos(angle)
			l := space.Layer{Y0: -sin * b.around, Y1: b.thick + sin*b.around}
			for _, hole := range holes {
				l.Holes = append(l.Holes, narrowed(hole, cos*b.around))
			}
			h.Layers = append(h.Layers, l)
		}
	}
	if b.closed {
		h.Layers = append(h.Layers, space.Layer{Y0: b.thick, Y1: h.Last, Holes: []space.Rect{narrowed(b.inside, b.around)}})
	}
	if !math.IsInf(b.floor, 0) {
		floor := space.Everywhere
		floor.Z0 = b.floor + b.around
		h.Layers = append(h.Layers, space.Layer{Y0: math.Inf(-1), Y1: math.Inf(1), Holes: []space.Rect{floor}})
	}
	return h
}

// bends returns the angles round the edge of a panel at which a layer stands for
// its rounding.
func bends(around float64) []float64 {
	if around == 0 {
		return []float64{0}
	}
	return []float64{0, math.Pi / 8, math.Pi / 4}
}

// narrowed returns r without a border of this width; it is empty where nothing is
// left.
func narrowed(r space.Rect, by float64) space.Rect {
	return space.Rect{X0: r.X0 + by, X1: r.X1 - by, Z0: r.Z0 + by, Z1: r.Z1 - by}
}

// thickened returns boxes that lie within by of b.
func thickened(b r3.Box, by float64) []r3.Box {
	if by == 0 {
		return []r3.Box{b}
	}
	corner := by / math.Sqrt(3)
	var out []r3.Box
	for _, d := range [...]r3.Vec{{X: by}, {Y: by}, {Z: by}, {X: corner, Y: corner, Z: corner}} {
		out = append(out, r3.Box{Min: r3.Sub(b.Min, d), Max: r3.Add(b.Max, d)})
	}
	return out
}

// eroded returns the solids of the thing with their faces moved in by e: what is
// left is in a thing that is smaller by e on every side. It is nil where nothing
// is left of the main part.
func (p *posed) eroded(e float64) []*solid.Polyhedron {
	var solids []*solid.Polyhedron
	for i, s := range p.moving() {
		q := innerPolyhedron(s)
		ok := q != nil
		if ok {
			q, ok = inset(q, e)
		}
		if ok {
			solids = append(solids, q)
		} else if i == 0 {
			return nil
		}
	}
	return solids
}

// inset returns p with its faces moved in by e.
func inset(p *solid.Polyhedron, e float64) (*solid.Polyhedron, bool) {
	out := p
	for _, f := range p.Faces() {
		n := r3.Vec{}
		for i := 2; i < len(f); i++ {
			n = r3.Add(n, r3.Cross(r3.Sub(f[i-1], f[0]), r3.Sub(f[i], f[0])))
		}
		n = r3.Unit(n)
		cut, ok := out.Clip(solid.Plane{Normal: n, Offset: r3.Dot(n, f[0]) - e})
		if !ok {
			return nil, false
		}
		out = cut
	}
	return out, true
}

// refutation is a proof that there is no way.
type refutation struct {
	kind  string // as the proof's
	cells int    // looked at
	used  []string
	proof *proof.Proof // the one that the checker accepted
}

// refute looks for a proof that the thing, smaller by e on every side, does not
// go in past all that is there, thicker by around. It counts once the checker
// accepts it.
func (p *posed) refute(ctx context.Context, e, around float64, most budget) (refutation, bool) {
	solids := p.eroded(e)
	bounds := p.bounds()
	bounds.around = around
	if solids == nil || !bounds.apart {
		return refutation{}, false
	}
	if r, ok := p.ball(solids, e, around); ok {
		return r, true
	}
	total := 0
	defer func() {
		// A cell costs as much as so many steps of a search, more among many boxes.
		costs := 12 + len(bounds.boxes)*len(thickened(r3.Box{}, around))/4
		p.steps += costs * total
	}()
	found := func(cells int, ok bool, q *question) (refutation, bool) {
		if total += cells; !ok {
			return refutation{cells: total}, false
		}
		return refutation{string(q.proof.Kind), total, q.used(&bounds), q.proof}, true
	}
	slice := func(y float64, most int) (refutation, bool) {
		q, ok := p.across(&bounds, solids, e, y)
		if !ok {
			return refutation{cells: total}, false
		}
		cells, ok := q.slice(ctx, y, most)
		return found(cells, ok, &q)
	}
	q, closed := p.throughout(&bounds, solids, e)
	layers := closed && len(q.hull.Boxes) == 0
	ys := p.slices(&bounds)
	// Bands show whatever slices do where there are only layers, and often more than
	// they do elsewhere; but a slice, where it is to be had, is cheaper.
	for _, y := range ys {
		cells := most.slice
		if closed {
			cells = min(cells, firstSlice)
		}
		if y > bounds.thick && closed {
			cells /= 4
		}
		if r, ok := slice(y, cells); ok {
			return r, true
		}
	}
	if !closed {
		return refutation{cells: total}, false
	}
	q.layered = true
	cells, ok := q.search(ctx, proof.Bands, most)
	if r, ok := found(cells, ok, &q); ok || layers || around > 0 {
		return r, ok // boxes that are rounded are four each: few cells show little of them
	}
	for _, y := range ys {
		if most.slice <= firstSlice {
			break
		}
		if r, ok := slice(y, most.slice); ok {
			return r, true
		}
	}
	q.layered = false
	cells, ok = q.search(ctx, proof.Cells, most)
	return found(cells, ok, &q)
}

// firstSlice is how many cells of a slice in the panel are looked at before bands.
const firstSlice = 1000

// across returns the question at depth y: in the panel, which every way has to
// pass, or behind it, where the inside is closed but for the holes of this side.
func (p *posed) across(b *bounds, solids []*solid.Polyhedron, e, y float64) (question, bool) {
	holes := b.holes
	inPanel := y >= 0 && y <= b.thick
	if inPanel && b.thick > 0 {
		// The middle is in this opening, and so is all of the main part that is in
		// the panel; the others may stand beside it, or in another opening.
		holes = holes[b.own : b.own+1]
		if len(b.holes) > 1 || !b.closed {
			solids = solids[:1]
		}
	}
	hull := b.hull(holes)
	hull.End = p.ends()
	q := question{posed: p, erosion: e, solids: solids, hull: &hull}
	return q, b.apart && (inPanel || y > b.thick && b.closed && !p.RestAssumed)
}

// ends returns a box that holds every place of the reference point that counts as
// being there. Where nobody measured the place it may be anywhere in the cabinet.
func (p *posed) ends() r3.Box {
	if p.Places != nil {
		// Smaller by the tape's error it may stand lower by as much.
		at, less := p.reference(), (p.Tape + 3*verdict.Contact).MM()
		return p.inFrame(grown(r3.Box{Min: r3.Add(at, p.Places.Min), Max: r3.Add(at, p.Places.Max)}, less))
	}
	end := grown(r3.Box{Min: p.ref, Max: p.ref}, near)
	if !p.RestAssumed {
		return end
	}
	c := p.inFrame(outerBox(p.Cabinet))
	m := p.moving()[0].Bounds()
	anywhere := r3.Box{
		Min: r3.Add(p.ref, r3.Sub(c.Min, m.Min)),
		Max: r3.Add(p.ref, r3.Sub(c.Max, m.Max)),
	}
	return r3.Box{
		Min: r3.Vec{X: min(end.Min.X, anywhere.Min.X), Y: min(end.Min.Y, anywhere.Min.Y), Z: min(end.Min.Z, anywhere.Min.Z)},
		Max: r3.Vec{X: max(end.Max.X, anywhere.Max.X), Y: max(end.Max.Y, anywhere.Max.Y), Z: max(end.Max.Z, anywhere.Max.Z)},
	}
}

// shifted returns b moved by d.
func shifted(b r3.Box, d r3.Vec) r3.Box { return r3.Box{Min: r3.Add(b.Min, d), Max: r3.Add(b.Max, d)} }

// throughout returns the question over all depths.
func (p *posed) throughout(b *bounds, solids []*solid.Polyhedron, e float64) (question, bool) {
	hull := b.hull(b.holes)
	hull.End = p.ends()
	return question{posed: p, erosion: e, solids: solids, hull: &hull}, b.apart && b.closed
}

// question is what a proof is looked for.
type question struct {
	*posed
	erosion float64
	solids  []*solid.Polyhedron
	hull    *space.Hull
	layered bool         // the proof is by bands, for which boxes count as layers where they can
	proof   *proof.Proof // the one that the checker accepted
}

// start returns the body and how its turns are split.
func (q *question) start() (space.Body, space.Glue) {
	body := space.NewBody(q.ref, q.solids)
	if body.IsBox() {
		return body, space.BoxCube
	}
	return body, space.FourCubes
}

// slice looks for a proof that nothing is free at depth y, and has it checked.
func (q *question) slice(ctx context.Context, y float64, most int) (cells int, ok bool) {
	body, glue := q.start()
	trees, cells, ok := space.Cover(ctx, &body, glue, q.hull, y, most)
	return cells, ok && q.check(&proof.Proof{Kind: proof.Slice, Y: y, Quotient: glue == space.BoxCube}, trees)
}

// cells looks for a proof that what is outside and what is there are apart, and
// has it checked.
func (q *question) cells(ctx context.Context, most budget) (cells int, ok bool) {
	return q.search(ctx, proof.Cells, most)
}

func (q *question) search(ctx context.Context, kind proof.Kind, most budget) (cells int, ok bool) {
	const finest = 1e-3 // mm
	body, glue := q.start()
	y0, y1 := -body.Radius()-1, q.far
	hull := *q.hull
	if q.layered {
		hull.Layers, hull.Boxes = slices.Concat(hull.Layers, spanning(hull.Layers, hull.Boxes)), nil
	}
	s := space.Search{
		Body: &body, Glue: glue, Rooms: &hull, Bands: kind == proof.Bands,
		Finest: finest, Near: most.near, Steps: most.cells,
	}
	if most.cells == 0 || s.Run(ctx, space.Roots(glue, y0, y1)) != space.None {
		return s.Used, false
	}
	return s.Used, q.check(&proof.Proof{Kind: kind, Y0: y0, Y1: y1, Quotient: glue == space.BoxCube}, s.Trees())
}

// check hands a proof to the checker, which shares nothing with the search.
func (q *question) check(pr *proof.Proof, trees [][]space.Node) bool {
	pr.Thing, pr.Opening, pr.Erosion = q.Thing, q.Opening.Name, q.erosion
	for _, tree := range trees {
		nodes := make([]proof.Node, len(tree))
		for i, n := range tree {
			nodes[i].Axis = n.Axis
			for _, b := range n.Bands {
				label := proof.Inside
				switch {
				case b.Shut:
					label = proof.Shut
				case b.Outside:
					label = proof.Outside
				}
				nodes[i].Bands = append(nodes[i].Bands, proof.Band{To: b.To, Label: label})
			}
			for k, r := range n.Rects {
				nodes[i].Pieces = append(nodes[i].Pieces, proof.Piece{Rect: proof.Rect(r), Outside: n.Outside[k]})
			}
		}
		pr.Trees = append(pr.Trees, nodes)
	}
	q.proof = pr
	return q.holds(q.hull.Boxes)
}

// holds tells whether the checker accepts the proof where only these boxes stand
// in the room.
func (q *question) holds(boxes []r3.Box) bool {
	return proof.Check(q.room(boxes), &proof.Body{Ref: q.ref, Parts: q.solids}, q.proof) == nil
}

// room returns the room of the question as the checker sees it, with these boxes.
func (q *question) room(boxes []r3.Box) *proof.Room {
	room := &proof.Room{Boxes: boxes, First: q.hull.First, Last: q.hull.Last, End: q.hull.End}
	layers := q.hull.Layers
	if q.layered {
		layers, room.Boxes = slices.Concat(layers, spanning(layers, boxes)), nil
	}
	for _, l := range layers {
		layer := proof.Layer{Y0: l.Y0, Y1: l.Y1}
		for _, h := range l.Holes {
			layer.Holes = append(layer.Holes, proof.Rect(h))
		}
		room.Layers = append(room.Layers, layer)
	}
	return room
}

// mostSpanning bounds the boxes that count as layers: each doubles the ways past them.
const mostSpanning = 4

// spanning returns layers for boxes that reach from side to side of the hole of a
// layer, or from its bottom to its top: a stile in an opening, a brace under the
// lid. What is in the depths of both is on one side of the box or on the other.
func spanning(layers []space.Layer, boxes []r3.Box) []space.Layer {
	var out []space.Layer
	for _, b := range boxes {
		for _, l := range layers {
			y0, y1 := max(l.Y0, b.Min.Y), min(l.Y1, b.Max.Y)
			if len(l.Holes) != 1 || y0 >= y1 || len(out) == mostSpanning {
				continue
			}
			h := l.Holes[0]
			var sides []space.Rect
			switch {
			case b.Min.Z <= h.Z0 && b.Max.Z >= h.Z1:
				sides = []space.Rect{{X0: h.X0, X1: min(h.X1, b.Min.X), Z0: h.Z0, Z1: h.Z1}, {X0: max(h.X0, b.Max.X), X1: h.X1, Z0: h.Z0, Z1: h.Z1}}
			case b.Min.X <= h.X0 && b.Max.X >= h.X1:
				sides = []space.Rect{{X0: h.X0, X1: h.X1, Z0: h.Z0, Z1: min(h.Z1, b.Min.Z)}, {X0: h.X0, X1: h.X1, Z0: max(h.Z0, b.Max.Z), Z1: h.Z1}}
			default:
				continue
			}
			sides = slices.DeleteFunc(sides, func(r space.Rect) bool { return !(r.X0 < r.X1 && r.Z0 < r.Z1) })
			if len(sides) > 0 {
				out = append(out, space.Layer{Y0: y0, Y1: y1, Holes: sides})
			}
		}
	}
	return out
}

// used returns the owners without whose boxes the proof does not hold.
func (q *question) used(b *bounds) []string {
	var owners []string
	each := len(thickened(r3.Box{}, b.around))
	for _, o := range b.owners {
		owners = append(owners, slices.Repeat([]string{o}, each)...)
	}
	return needed(q.hull.Boxes, owners, q.holds)
}

// owner returns the name of the thing or fixture that a part is of and that can
// be taken away; "" for what is always there.
func owner(p scene.Part) string {
	switch p.Role {
	case scene.RoleFixture, scene.RoleEquipment, scene.RoleGlass, scene.RoleBaffle, scene.RoleTrim:
		return p.Of
	case scene.RolePanel, scene.RoleLeaf, scene.RoleHinge, scene.RoleRoom, scene.RoleWater, scene.RoleSand, scene.RoleArm:
	}
	return ""
}

// needed returns owners, as few as leaving out one after the other comes to, with
// whose boxes, and those of nobody, something still holds.
func needed(boxes []r3.Box, owners []string, holds func([]r3.Box) bool) []string {
	var left []string
	for _, o := range owners {
		if o != "" && !slices.Contains(left, o) {
			left = append(left, o)
		}
	}
	of := func(keep []string) []r3.Box {
		var out []r3.Box
		for i, b := range boxes {
			if owners[i] == "" || slices.Contains(keep, owners[i]) {
				out = append(out, b)
			}
		}
		return out
	}
	if len(left) == 0 || holds(of(nil)) {
		return nil
	}
	for i := 0; i < len(left); {
		fewer := slices.Delete(slices.Clone(left), i, i+1)
		if holds(of(fewer)) {
			left = fewer
		} else {
			i++
		}
	}
	return left
}

// ball looks for a proof with the largest ball round the middle of a part alone:
// it has to get from outside the cabinet to where it is at rest, among everything
// that is sure.
func (p *posed) ball(solids []*solid.Polyhedron, e, around float64) (refutation, bool) {
	if p.Opening.PlaceAssumed {
		return refutation{}, false
	}
	edges := [...]float64{24, 12, 6, 3} // of cubes, in mm
	boxes, owners := p.sureBoxes(around)
	for i := range solids {
		for n, h := range edges {
			if pr, ok := p.pocket(solids, i, e, h, boxes); ok {
				used := needed(boxes, owners, func(fewer []r3.Box) bool {
					_, ok := p.pocket(solids, i, e, h, fewer)
					return ok
				})
				return refutation{kind: "ball", used: used, proof: pr}, true
			}
			domain, end, _, radius := p.ballOf(solids, i)
			if n < len(edges)-1 && space.Leaks(domain, end, boxes, radius, h, mostCubes) {
				break
			}
		}
	}
	return refutation{}, false
}

// mostCubes bounds the places that are looked at for a ball.
const mostCubes = 200000

// ballOf returns the ball of part i of the body, where it moves and where it may
// end.
func (p *posed) ballOf(solids []*solid.Polyhedron, i int) (domain, end r3.Box, at r3.Vec, radius float64) {
	body := space.NewBody(p.ref, solids)
	at, radius = body.Ball(i)
	at = r3.Add(at, p.ref)
	domain = p.inFrame(outerBox(p.Cabinet))
	return domain, shifted(p.ends(), r3.Sub(at, p.ref)), at, radius
}

// sureBoxes returns boxes that lie in what is sure of all that stands about,
// thicker by around, and whose they are.
func (p *posed) sureBoxes(around float64) (boxes []r3.Box, owners []string) {
	for _, o := range p.Others {
		if o.Sure == nil {
			continue
		}
		for _, b := range innerBoxes(o.Sure.Moved(p.frame)) {
			for _, b := range thickened(b, around) {
				boxes, owners = append(boxes, b), append(owners, owner(o))
			}
		}
	}
	return boxes, owners
}

// pocket looks for a proof with a ball in part i of the body on a grid of edges h,
// and has it checked.
func (p *posed) pocket(solids []*solid.Polyhedron, i int, e, h float64, boxes []r3.Box) (*proof.Proof, bool) {
	domain, end, at, radius := p.ballOf(solids, i)
	cubes, ok := space.Flood(domain, end, boxes, radius, h, mostCubes)
	if !ok {
		return nil, false
	}
	pr := &proof.Proof{Thing: p.Thing, Opening: p.Opening.Name, Erosion: e, Kind: proof.Ball, Pocket: &proof.Pocket{
		Part: i, Middle: [3]float64{at.X, at.Y, at.Z}, Radius: radius,
		From: [3]float64{domain.Min.X, domain.Min.Y, domain.Min.Z}, Edge: h,
	}}
	pr.Pocket.Hold(cubes)
	return pr, proof.Check(p.open(boxes), &proof.Body{Ref: p.ref, Parts: solids}, pr) == nil
}

// open returns a room with nothing but boxes in it.
func (p *posed) open(boxes []r3.Box) *proof.Room {
	return &proof.Room{Boxes: boxes, First: math.Inf(-1), Last: math.Inf(1), End: p.ends()}
}

// slices returns depths that the middle of the thing passes on every way in: in
// the panel, and where the sides next to it are closed on to rest.
func (p *posed) slices(b *bounds) []float64 {
	ys := []float64{b.thick / 2}
	if b.thick > 0 {
		ys = append(ys, b.thick, 0)
	}
	if b.closed && !p.RestAssumed {
		const n = 8
		end := p.ends().Min.Y
		for i := 1; i <= n; i++ {
			if y := b.thick + (end-b.thick)*float64(i)/n; y > b.thick {
				ys = append(ys, y)
			}
		}
	}
	return ys
}
