package passage

import (
	"context"
	"maps"
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
	// inside is what bounds the room behind the panel, down to the depth back; infinite
	// where nobody measured it.
	inside space.Rect
	back   float64
	ends   bool // back is a wall without a hole, or the bottom
	// closed tells that no other side has a hole, so that what is inside came
	// through this side, and reaches out of it through this side only.
	closed bool
	// gates are the holes of the sides next to this one; rear are those of the side
	// across from it, from back to its outside.
	gates []space.Gate
	rear  *space.Layer
	// inward tells that the holes of other sides are reckoned with: of what the thing
	// does while its middle is in the cabinet, having come in by this side.
	inward bool
	// apart tells that no two holes of this side touch: what is in the panel is
	// then within one of them.
	apart       bool
	first, last float64 // what bounds all depths: the room before and after it
	floor       float64 // lowest z anywhere; −Inf where it does not bound z
	// around is by how much all of this is thicker: what keeps so much room from it
	// all along goes through a room like that. The boxes are so already.
	around float64
	boxes  []r3.Box
	owners []string // of each box the thing or fixture it is of, as owner says
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

// inFrame returns the box b in the frame.
func (p *posed) inFrame(b r3.Box) r3.Box { return solid.Box(b).Moved(p.frame).Bounds() }

// bounds gathers what surely bounds the way, thicker by around.
func (p *posed) bounds(around float64) bounds {
	c := p.Cabinet
	n := neighboursOf(p.Opening.Side)
	inf := math.Inf(1)
	out := bounds{inside: space.Everywhere, back: inf, closed: true, apart: true, first: -inf, last: inf, floor: -inf, around: around}
	if w := c.Wall(p.Opening.Side); !w.Open && !p.Opening.OpenFace {
		out.thick = w.Thickness.MM()
		if w.Assumed {
			out.thick = verdict.Contact.MM()
		}
	}
	outer := p.inFrame(outerBox(c))
	for i := range c.Openings {
		o := &c.Openings[i]
		if o.Side != p.Opening.Side {
			continue
		}
		if o.Name == p.Opening.Name {
			out.own = len(out.holes)
		}
		hole := rectOf(p.inFrame(o.Hole))
		out.apart = out.apart && !slices.ContainsFunc(out.holes, narrowed(hole, -seam).Touches)
		out.holes = append(out.holes, notched(hole, rectOf(outer)))
	}
	// Each wall bounds the inside by the innermost face that is sure.
	for _, w := range p.walls() {
		out.closed = out.closed && !w.holed()
		out.bound(&w, n)
	}
	if p.Opening.PlaceAssumed {
		// What is beside the hole may be anywhere.
		out.inside.X0, out.inside.X1 = -inf, inf
	}
	out.cut(p)
	rest := r3.Box{Min: p.ref, Max: p.ref}
	if p.Places != nil {
		rest = p.ends()
	}
	out.inward = out.inward && !out.closed && !p.Opening.PlaceAssumed && aboutMiddle(p.moving()[0], p.ref) &&
		inside(outer, rest.Min) && inside(outer, rest.Max)
	if p.Opening.Side == scene.Top {
		out.last = c.Height.MM()
	} else {
		out.floor = 0
	}
	if p.roomKnown() {
		out.first = -p.roomBefore()
	}
	for _, o := range p.Others {
		if o.Sure == nil || !standsAbout(o) || p.Opening.PlaceAssumed {
			continue
		}
		for _, b := range rounded(o.Sure.Moved(p.frame), around) {
			// What only touches the border of a hole and of a leaf beside it must not
			// slip through between the two.
			for _, b := range sliced(grown(b, verdict.Contact.MM()), around) {
				out.boxes, out.owners = append(out.boxes, b), append(out.owners, owner(o))
			}
		}
	}
	return out
}

// standsAbout tells whether a part is of what stands about, beside the cabinet's sides.
func standsAbout(p scene.Part) bool {
	switch p.Role {
	case scene.RoleLeaf, scene.RoleHinge, scene.RoleFixture, scene.RoleEquipment, scene.RoleGlass, scene.RoleBaffle, scene.RoleTrim:
		return true
	case scene.RolePanel, scene.RoleRoom, scene.RoleWater, scene.RoleSand, scene.RoleArm:
	}
	return false
}

// sliced cuts a box before the opening's plane into slabs that get thinner toward
// it. What goes through the opening is there as high as the opening at most; only
// of a thin slab is that enough to show that it cannot reach over or under the box. One
// that is thicker by around goes on into the opening.
func sliced(b r3.Box, around float64) []r3.Box {
	var out []r3.Box
	cuts := []float64{-3, -12, -40, -120}
	if around > 0 {
		cuts = []float64{0, -3, -12, -40, -120}
	}
	for _, y := range cuts {
		if b.Max.Y > y && b.Min.Y < y && b.Max.Y <= around+2*verdict.Contact.MM() {
			near := b
			near.Min.Y, b.Max.Y = y, y
			out = append(out, near)
		}
	}
	return append(out, b)
}

// rectOf returns where b is across the depth.
func rectOf(b r3.Box) space.Rect {
	return space.Rect{X0: b.Min.X, X1: b.Max.X, Z0: b.Min.Z, Z1: b.Max.Z}
}

// seam is what a hole may lack to the edge of a wall, in mm, and still reach it.
const seam = 1e-6

// notched returns a hole of a panel, without end where nothing of the panel is left
// beside it.
func notched(hole, panel space.Rect) space.Rect {
	inf := math.Inf(1)
	if hole.X0 < panel.X0+seam {
		hole.X0 = -inf
	}
	if hole.X1 > panel.X1-seam {
		hole.X1 = inf
	}
	if hole.Z0 < panel.Z0+seam {
		hole.Z0 = -inf
	}
	if hole.Z1 > panel.Z1-seam {
		hole.Z1 = inf
	}
	return hole
}

// cut looks at holes that leave less of other walls than is reckoned with: those that
// reach into them. Where they reach into the panel that the thing goes through, nothing
// is shown with that; where into other walls, or to the edge of a wall that has no other
// beside it, nothing of what reaches out.
func (b *bounds) cut(p *posed) {
	b.inward = true
	if p.Cabinet.Wall(p.Opening.Side).Assumed {
		for _, h := range b.holes { // which may go on behind the face that was measured
			was := b.inside
			if h.X0 < b.inside.X0 {
				b.inside.X0 = math.Inf(-1)
			}
			if h.X1 > b.inside.X1 {
				b.inside.X1 = math.Inf(1)
			}
			if h.Z0 < b.inside.Z0 {
				b.inside.Z0 = math.Inf(-1)
			}
			if h.Z1 > b.inside.Z1 {
				b.inside.Z1 = math.Inf(1)
			}
			b.inward = b.inward && b.inside == was
		}
	}
	inf := math.Inf(1)
	for _, h := range b.holes {
		// Before the floor nothing gets past a lower edge.
		low := math.IsInf(h.Z0, -1) && p.Opening.Side == scene.Top
		b.inward = b.inward && (b.thick == 0 || h.X0 > -inf && h.X1 < inf && h.Z1 < inf && !low)
	}
	in := grown(r3.Box{Min: r3.Vec{X: b.inside.X0, Y: b.thick, Z: b.inside.Z0}, Max: r3.Vec{X: b.inside.X1, Y: b.back, Z: b.inside.Z1}}, seam)
	if b.thick == 0 {
		in.Min.Y += 2 * seam
	}
	walls := p.walls()
	for i := range walls {
		if walls[i].open {
			in = shortOf(in, walls[i].box)
		}
	}
	for _, w := range walls {
		if w.open {
			continue
		}
		for _, h := range w.holes {
			b.apart = b.apart && h.Min.Y >= b.thick-seam
			switch size := w.box.Size(); min(size.X, size.Y, size.Z) { // across its own wall it is as it is
			case size.X:
				h.Min.X, h.Max.X = in.Min.X, in.Max.X
			case size.Y:
				h.Min.Y, h.Max.Y = in.Min.Y, in.Max.Y
			case size.Z:
				h.Min.Z, h.Max.Z = in.Min.Z, in.Max.Z
			}
			b.inward = b.inward && inside(in, h.Min) && inside(in, h.Max)
		}
	}
}

// shortOf returns a box that ends short of a flat one beside it.
func shortOf(in, face r3.Box) r3.Box {
	short := func(lo, hi *float64, at float64) {
		if at > *hi-2*seam {
			*hi = min(*hi, at-seam)
		} else {
			*lo = max(*lo, at+seam)
		}
	}
	switch size := face.Size(); min(size.X, size.Y, size.Z) {
	case size.X:
		short(&in.Min.X, &in.Max.X, face.Min.X)
	case size.Y:
		short(&in.Min.Y, &in.Max.Y, face.Min.Y)
	case size.Z:
		short(&in.Min.Z, &in.Max.Z, face.Min.Z)
	}
	return in
}

// aboutMiddle tells whether what is sure of a part lies round a point.
func aboutMiddle(s solid.Solid, at r3.Vec) bool {
	q := solid.Within(s, sidesInner)
	return q != nil && r3.Norm(r3.Sub(q.Centroid(), at)) < 1e-9
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

// wall is what is sure of a side of the cabinet, or of its inside bottom, in the
// frame.
type wall struct {
	side  scene.Face
	box   r3.Box   // with its holes
	holes []r3.Box // but those that something closes
	open  bool     // there is no wall, and box is its outside face
}

func (w *wall) holed() bool { return w.open || len(w.holes) > 0 }

// walls returns the sides other than the opening's, and the inside bottom.
func (p *posed) walls() []wall {
	c := p.Cabinet
	var out []wall
	w, d, h := c.Width.MM(), c.Depth.MM(), c.Height.MM()
	whole := r3.Box{Max: r3.Vec{X: w, Y: d, Z: h}}
	for _, side := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Top} {
		if side == p.Opening.Side {
			continue
		}
		panel := c.Wall(side)
		t := panel.Thickness.MM()
		x := wall{side: side, open: panel.Open}
		for i := range c.Openings {
			if o := &c.Openings[i]; o.Side == side {
				x.holes, x.open = append(x.holes, p.inFrame(o.Hole)), x.open || o.OpenFace
			}
		}
		switch {
		case x.open:
			t = 0
		case panel.Assumed:
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
		x.box = p.inFrame(b)
		out = append(out, x)
	}
	if c.Bottom != nil {
		b := whole
		up := c.Bottom.Up.MM()
		b.Min.Z, b.Max.Z = up-verdict.Contact.MM(), up
		out = append(out, wall{side: scene.Bottom, box: p.inFrame(b)})
	}
	return out
}

// bound notes what a wall leaves of the inside.
func (b *bounds) bound(w *wall, n neighbours) {
	if w.side == n.left {
		b.inside.X0 = max(b.inside.X0, w.box.Max.X)
		b.gate(w, r3.Vec{X: -1})
	}
	if w.side == n.right {
		b.inside.X1 = min(b.inside.X1, w.box.Min.X)
		b.gate(w, r3.Vec{X: 1})
	}
	if w.side == n.down {
		b.inside.Z0 = max(b.inside.Z0, w.box.Max.Z)
		b.gate(w, r3.Vec{Z: -1})
	}
	if w.side == n.up {
		b.inside.Z1 = min(b.inside.Z1, w.box.Min.Z)
		b.gate(w, r3.Vec{Z: 1})
	}
	if w.side == n.across {
		b.back = min(b.back, w.box.Min.Y)
		b.ends = !w.holed()
		b.rear = w.layer()
	}
}

// gate notes the holes of a wall to a side as one that is at least as large as each.
func (b *bounds) gate(w *wall, out r3.Vec) {
	if !w.holed() {
		return
	}
	size := w.box.Size()
	inf := math.Inf(1)
	g := space.Gate{Out: out, Deep: inf, Across: inf, Beyond: math.Abs(r3.Dot(size, out)), Y0: -inf, Y1: inf}
	if !w.open {
		g.Deep, g.Across, g.Y0, g.Y1 = 0, 0, inf, -inf
		for _, h := range parted(w.holes) {
			size := h.Size()
			g.Deep, g.Across = max(g.Deep, size.Y), max(g.Across, math.Abs(size.X*out.Z+size.Z*out.X))
			g.Y0, g.Y1 = min(g.Y0, h.Min.Y), max(g.Y1, h.Max.Y)
		}
	}
	b.gates = append(b.gates, g)
}

// parted returns boxes that hold the holes of a wall and do not touch: holes with nothing
// between them are as one.
func parted(holes []r3.Box) []r3.Box {
	out := slices.Clone(holes)
	for i := 0; i < len(out); {
		h := grown(out[i], seam)
		j := slices.IndexFunc(out[i+1:], func(o r3.Box) bool {
			return max(h.Min.X, o.Min.X) <= min(h.Max.X, o.Max.X) && max(h.Min.Y, o.Min.Y) <= min(h.Max.Y, o.Max.Y) && max(h.Min.Z, o.Min.Z) <= min(h.Max.Z, o.Max.Z)
		})
		if j < 0 {
			i++
			continue
		}
		out[i] = solid.BoundsOf(solid.Box(out[i]), solid.Box(out[i+1+j]))
		out = slices.Delete(out, i+1+j, i+2+j)
		i = 0 // what was apart may touch both
	}
	return out
}

// layer returns a wall as a layer, nil where it is none that parts its holes.
func (w *wall) layer() *space.Layer {
	l := space.Layer{Y0: w.box.Min.Y, Y1: w.box.Max.Y}
	for _, h := range w.holes {
		r := rectOf(h)
		if slices.ContainsFunc(l.Holes, narrowed(r, -seam).Touches) {
			return nil
		}
		l.Holes = append(l.Holes, r)
	}
	if !w.holed() || w.open {
		return nil
	}
	return &l
}

// hull returns the room for a proof, in the panel with these holes. What is thicker
// by around is rounded there, and larger than what stands for it here.
func (b *bounds) hull(holes []space.Rect) space.Hull {
	h := space.Hull{First: b.first + b.around, Last: b.last - b.around}
	if b.bounded() && b.ends {
		h.Last = min(b.last, b.back) - b.around
	}
	h.Boxes = slices.Clone(b.boxes)
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
	if b.bounded() {
		l := space.Layer{Y0: b.thick, Y1: min(b.back, h.Last), Holes: []space.Rect{narrowed(b.inside, b.around)}}
		for _, g := range b.gates {
			// What is held by the wall round a hole, in the thick of it, is inside.
			switch g.Out {
			case r3.Vec{X: -1}:
				l.Holes[0].X0 = b.inside.X0
			case r3.Vec{X: 1}:
				l.Holes[0].X1 = b.inside.X1
			case r3.Vec{Z: -1}:
				l.Holes[0].Z0 = b.inside.Z0
			case r3.Vec{Z: 1}:
				l.Holes[0].Z1 = b.inside.Z1
			}
			g.Deep, g.Across = max(0, g.Deep-2*b.around), max(0, g.Across-2*b.around)
			h.Gates = append(h.Gates, g)
		}
		h.Layers = append(h.Layers, l)
		h.Inward = b.inward
	}
	if b.inward && b.rear != nil {
		l := space.Layer{Y0: b.rear.Y0, Y1: b.rear.Y1}
		for _, hole := range b.rear.Holes {
			l.Holes = append(l.Holes, narrowed(hole, b.around))
		}
		h.Layers = append(h.Layers, l)
	}
	if !math.IsInf(b.floor, 0) {
		floor := space.Everywhere
		floor.Z0 = b.floor + b.around
		h.Layers = append(h.Layers, space.Layer{Y0: math.Inf(-1), Y1: math.Inf(1), Holes: []space.Rect{floor}})
	}
	return h
}

// bounded tells whether the inside bounds what is in it.
func (b *bounds) bounded() bool { return b.closed || b.inward }

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

// refutation is a proof that there is no way.
type refutation struct {
	kind  string // as the proof's
	cells int    // looked at
	used  []string
	proof *proof.Proof // the one that the checker accepted
	// layers tells that it is of panels, holes and walls, and nothing that stands about.
	layers bool
}

// refute looks for a proof that the thing, smaller by e on every side, does not
// go in past all that is there, thicker by around. It counts once the checker
// accepts it.
func (p *posed) refute(ctx context.Context, e, around float64, most budget) (refutation, bool) {
	solids := p.eroded(e)
	bounds := p.bounds(around)
	if solids == nil || !bounds.apart {
		return refutation{}, false
	}
	// What a ball gets through it gets through where there is more room, too.
	if leaks, known := p.leaks[e]; !known || around > leaks {
		if r, ok := p.ball(solids, e, around); ok {
			return r, true
		}
		p.leaks[e] = around
	}
	total := 0
	found := func(cells int, ok bool, q *question) (refutation, bool) {
		p.steps += q.costs() * cells
		if total += cells; !ok {
			return refutation{cells: total}, false
		}
		layers := len(q.hull.Boxes) == 0 || q.boxes == asLayers && len(spanning(q.hull.Layers, q.hull.Boxes)) == 0
		var used []string
		if !layers && around == 0 { // nobody asks of how much room there is
			used = q.used(&bounds)
		}
		return refutation{string(q.proof.Kind), total, used, q.proof, layers}, true
	}
	slice := func(y float64, most int) (refutation, bool) {
		q, ok := p.across(&bounds, solids, e, y)
		if !ok {
			return refutation{cells: total}, false
		}
		cells, ok := q.slice(ctx, y, most)
		return found(cells, ok, &q)
	}
	q, bounded := p.throughout(&bounds, solids, e)
	layers := bounded && len(q.hull.Boxes) == 0
	ys := p.slices(&bounds)
	// sliced looks for slices of so many cells each, at most.
	sliced := func(most int) (refutation, bool) {
		at := walls{e, around}
		if most <= p.sliced[at] {
			return refutation{}, false // as before
		}
		p.sliced[at] = most
		for _, y := range ys {
			cells := most
			if y > bounds.thick && bounded {
				cells /= 4
			}
			if r, ok := slice(y, cells); ok {
				return r, true
			}
		}
		return refutation{}, false
	}
	// Bands show whatever slices do where there are only layers, and often more than
	// they do elsewhere; but a slice, where it is to be had, is cheaper.
	first := most.slice
	if bounded {
		first = min(first, firstSlice)
	}
	if r, ok := sliced(first); ok || !bounded {
		return r, ok
	}
	q.boxes = asLayers
	turns := most.cells
	if layers { // where nothing else is looked at
		turns += 2 * most.placed
	}
	cells, ok := q.search(ctx, proof.Bands, turns)
	if q.led && !layers && !p.anyhow && !p.wayless { // else nobody tries a way
		q.boxes = asSides
		past, _ := q.search(ctx, proof.Bands, most.cells)
		if cells += past; q.led && past > 0 && most.placed == 0 { // to be tried first
			p.steps += q.costs() * cells
			return refutation{}, false
		}
	}
	if r, ok := found(cells, ok, &q); ok || layers {
		return r, ok
	}
	q.boxes = asBoxes
	cells, ok = q.search(ctx, proof.Bands, most.boxed)
	if r, ok := found(cells, ok, &q); ok {
		return r, true
	}
	if most.placed == 0 {
		return refutation{cells: total}, false
	}
	if r, ok := sliced(most.slice); ok {
		return r, true
	}
	cells, ok = q.search(ctx, proof.Cells, most.placed)
	return found(cells, ok, &q)
}

// walls is by how much a thing is smaller, and what is in its way thicker.
type walls struct{ erosion, around float64 }

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
		// Then what is in the panel is joined to the middle in the panel, whatever else
		// reaches out elsewhere.
		in := *b
		in.inward = false
		b = &in
	}
	hull := b.hull(holes)
	hull.End = p.ends()
	if hull.Inward {
		solids = solids[:1]
	}
	q := question{posed: p, erosion: e, solids: solids, hull: &hull}
	return q, b.apart && (inPanel || y > b.thick && b.bounded() && !p.RestAssumed)
}

// ends returns a box that holds every place of the reference point that counts as
// being there. Where nobody measured the place it may be anywhere in the cabinet.
func (p *posed) ends() r3.Box {
	if p.Places != nil {
		// Smaller by the tape's error it may stand lower by as much.
		at, less := p.reference(), (p.Tape + 3*verdict.Contact).MM()
		return p.inFrame(grown(r3.Box{Min: r3.Add(at, p.Places.Min), Max: r3.Add(at, p.Places.Max)}, less))
	}
	end := grown(r3.Box{Min: p.ref, Max: p.ref}, near+verdict.Contact.MM())
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
	if hull.Inward {
		solids = solids[:1]
	}
	return question{posed: p, erosion: e, around: b.around, solids: solids, hull: &hull}, b.apart && b.bounded()
}

// question is what a proof is looked for.
type question struct {
	*posed
	erosion float64
	around  float64 // by how much what is in the way is thicker
	solids  []*solid.Polyhedron
	hull    *space.Hull
	boxes   boxesAs
	led     bool         // a search came upon a way
	proof   *proof.Proof // the one that the checker accepted
}

// boxesAs tells how boxes count.
type boxesAs int

// Boxes are boxes; or those that can be layers are such, and there are no others; or each
// is the layer of the one side of it where the hole is: what is free then is known, and
// may lead to a way, but nothing is proved.
const (
	asBoxes boxesAs = iota
	asLayers
	asSides
)

// costs returns how many steps of a search a cell costs as much as.
func (q *question) costs() int {
	costs := 12 * len(q.solids) * len(q.solids)
	if q.hull.Inward {
		costs *= 4
	}
	if q.boxes == asBoxes && len(q.hull.Boxes) > 0 {
		costs = 3*costs + len(q.hull.Boxes)
	}
	return costs
}

// start returns the body and how its turns are split.
func (q *question) start() (space.Body, space.Glue) {
	body := space.NewBody(q.ref, q.solids)
	body.Gates = q.hull.Gates
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

// search looks for a proof that what is outside and what is there are apart, and has it
// checked.
func (q *question) search(ctx context.Context, kind proof.Kind, most int) (cells int, ok bool) {
	if most == 0 {
		return 0, false
	}
	body, glue := q.start()
	y0, y1 := -body.Radius()-1, q.far
	if q.hull.Inward {
		y0 = 0
	}
	hull := *q.hull
	if kind == proof.Bands {
		hull.Layers = slices.Concat(hull.Layers, spanning(hull.Layers, hull.Boxes))
	}
	switch q.boxes {
	case asLayers:
		hull.Boxes = nil
	case asSides:
		hull.Layers, hull.Boxes = slices.Concat(q.hull.Layers, q.sides()), nil
	case asBoxes:
	}
	of := begun{kind, q.boxes, walls{q.erosion, q.around}}
	s := q.searches[of]
	if s == nil {
		s = &space.Search{Body: &body, Glue: glue, Rooms: &hull, Bands: kind == proof.Bands, Finest: finest}
		// Of how thick the walls may be only the last is asked for again.
		maps.DeleteFunc(q.searches, func(b begun, _ *space.Search) bool { return b.around > 0 && b.around != q.around })
		q.searches[of] = s
	}
	used := s.Used
	s.Steps = most
	outcome := s.Run(ctx, space.Roots(glue, y0, y1))
	cells, q.led = s.Used-used, outcome == space.Found
	if q.boxes == asSides && outcome == space.None {
		return cells, false
	}
	if outcome != space.None { // with more steps it goes on, unless it found a way
		if cells > 0 {
			q.stays = append(q.stays, s.Way())
		}
		return cells, false
	}
	delete(q.searches, of)
	return cells, q.check(&proof.Proof{Kind: kind, Y0: y0, Y1: y1, Quotient: glue == space.BoxCube}, s.Trees())
}

// finest is the size below which searches for proofs do not halve a cell, in mm.
const finest = 1e-3

// begun is what tells searches of one job apart that began and did not come to an end.
type begun struct {
	kind  proof.Kind
	boxes boxesAs
	walls
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
	room := &proof.Room{Boxes: boxes, First: q.hull.First, Last: q.hull.Last, End: q.hull.End, Inward: q.hull.Inward, Deepest: q.far}
	for _, g := range q.hull.Gates {
		room.Gates = append(room.Gates, proof.Gate(g))
	}
	layers := q.hull.Layers
	if q.proof.Kind == proof.Bands {
		layers = slices.Concat(layers, spanning(layers, boxes))
	}
	if q.boxes == asLayers {
		room.Boxes = nil
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
			// What leaves all but a contact of the hole only touches its border.
			if len(sides) > 1 || len(sides) == 1 && !sides[0].Holds(narrowed(h, 2*verdict.Contact.MM())) {
				out = append(out, space.Layer{Y0: y0, Y1: y1, Holes: sides})
			}
		}
	}
	return out
}

// sides returns for each of what stands about the layer of the side of it where the
// opening's hole is.
func (q *question) sides() []space.Layer {
	hole := rectOf(q.inFrame(q.Opening.Hole))
	x, z := (hole.X0+hole.X1)/2, (hole.Z0+hole.Z1)/2
	wide, high := hole.X1-hole.X0, hole.Z1-hole.Z0
	var out []space.Layer
	for _, o := range q.Others {
		if !standsAbout(o) {
			continue
		}
		b := o.Solid.Moved(q.frame).Bounds()
		off := [...]float64{(x - b.Max.X) / wide, (b.Min.X - x) / wide, (z - b.Max.Z) / high, (b.Min.Z - z) / high}
		side := space.Everywhere
		switch slices.Max(off[:]) {
		case off[0]:
			side.X0 = b.Max.X
		case off[1]:
			side.X1 = b.Min.X
		case off[2]:
			side.Z0 = b.Max.Z
		case off[3]:
			side.Z1 = b.Min.Z
		}
		out = append(out, space.Layer{Y0: b.Min.Y, Y1: b.Max.Y, Holes: []space.Rect{side}})
	}
	return out
}

// used returns the owners without whose boxes the proof does not hold.
func (q *question) used(b *bounds) []string {
	if q.anyhow {
		return nil
	}
	return needed(q.hull.Boxes, b.owners, q.holds)
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
		domain, end, _, radius := p.ballOf(solids, i)
		for _, h := range edges {
			if space.Leaks(domain, end, boxes, radius, h, mostCubes) {
				break
			}
			if pr, ok := p.pocket(solids, i, e, h, boxes); ok {
				used := needed(boxes, owners, func(fewer []r3.Box) bool {
					_, ok := p.pocket(solids, i, e, h, fewer)
					return ok
				})
				return refutation{kind: "ball", used: used, proof: pr}, true
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
	if b.bounded() && !p.RestAssumed {
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
