package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// The three views of the cabinet: from the front with its doors away, from above
// and from the side cut through an opening. What stands in the cabinet is not
// cut; what is behind glass is seen, as ISO 128-3 has it for general arrangements.

// A thing of a view is what a number in a ring stands for.
type listed struct {
	name  string
	parts []solid.Solid
}

// A view is one of them, in the making.
type view struct {
	s     *scene.Scene
	side  scene.Face
	f     frame
	cut   float64 // toward the eye, what is nearer is away; +Inf: nothing is cut
	given *given

	title string
	edges []edge // of what hides and of what does not
	cover []cover
	front []edge   // what stands nearer than the cut or moves
	mid   []edge   // centre lines
	sawn  []r3.Box // what is cut, at the cut
	doors []swing
	wants []want
	all   []listed

	scale  float64
	origin point
}

// A want is a dimension in the frame, before it is on paper.
type want struct {
	what    string
	a, b    r3.Vec
	upright bool
	far     bool
	kind    source
}

// A source tells where a distance is from.
type source int

const (
	fromPlan source = iota
	follows         // from others: in parentheses, as ISO 129-1 has auxiliary dimensions
	assumed         // the plan does not give it: with a question mark
)

// ifAssumed tells where a distance is from that a plan may leave out.
func ifAssumed(yes bool) source {
	if yes {
		return assumed
	}
	return fromPlan
}

// A swing is how the edge of a door leaf travels, about an axis along the line of
// sight.
type swing struct {
	name     string
	at, from r3.Vec  // the axis, and the edge while the door is closed
	angle    float64 // counter-clockwise on paper
	label    string
}

// given holds the distances that were given already: along which axis of the
// cabinet, from where to where.
type given struct{ list []distance }

type distance struct {
	axis     int
	from, to float64
}

// first tells that a distance is given for the first time.
func (g *given) first(axis int, from, to float64) bool {
	d := distance{axis, min(from, to), max(from, to)}
	if slices.ContainsFunc(g.list, func(o distance) bool {
		return o.axis == d.axis && math.Abs(o.from-d.from) < grazing && math.Abs(o.to-d.to) < grazing
	}) {
		return false
	}
	g.list = append(g.list, d)
	return true
}

// cabinetViews returns the pages of the three views, each as large as its page
// allows.
func cabinetViews(s *scene.Scene) []*page {
	g := &given{}
	views := []*view{newFront(s, g), newTop(s, g), newSide(s, g)}
	pages := make([]*page, len(views))
	for i, v := range views {
		pages[i] = v.page()
	}
	return pages
}

// outsideOf returns the cabinet's outside.
func outsideOf(c *scene.Cabinet) r3.Box {
	return r3.Box{Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM(), Z: c.Height.MM()}}
}

func newView(s *scene.Scene, side scene.Face, cut float64, title string, g *given) *view {
	v := &view{s: s, side: side, f: frameOf(side), cut: cut, title: title, given: g}
	v.panels()
	for _, p := range s.StandParts() {
		v.sawable(boxesOf(v.f, p))
	}
	for i := range s.Cabinet.Openings {
		for _, p := range s.Hinges(&s.Cabinet.Openings[i]) {
			v.sawable(boxesOf(v.f, p))
		}
	}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		v.opaque(f.Parts())
		v.list(f.Name, f.Parts())
	}
	for _, t := range s.Things() {
		if t.Item == nil {
			v.sump()
			continue
		}
		v.opaque(t.Parts)
		v.list(t.Name, t.Parts)
	}
	return v
}

func (v *view) list(name string, parts []scene.Part) {
	l := listed{name: name}
	for _, p := range parts {
		l.parts = append(l.parts, p.Solid)
	}
	v.all = append(v.all, l)
}

func boxesOf(f frame, parts ...scene.Part) []r3.Box {
	out := make([]r3.Box, len(parts))
	for i, p := range parts {
		out[i] = f.box(p.Solid.Bounds())
	}
	return out
}

// panels adds the cabinet's walls, each in one piece round its holes.
func (v *view) panels() {
	var name string
	var wall []r3.Box
	for _, p := range v.s.Cabinet.Panels() {
		// Pieces are named after their wall, then after what they lie beside.
		of, _, _ := strings.Cut(strings.TrimPrefix(p.Name, "cabinet/"), " ")
		if of != name {
			v.sawable(wall)
			name, wall = of, nil
		}
		wall = append(wall, v.f.box(p.Solid.Bounds()))
	}
	v.sawable(wall)
}

// sawable adds an object made of boxes that the cut goes through.
func (v *view) sawable(boxes []r3.Box) {
	var rest []r3.Box
	for _, b := range boxes {
		if b.Min.Z >= v.cut-grazing {
			continue
		}
		if b.Max.Z > v.cut {
			b.Max.Z = v.cut
			v.sawn = append(v.sawn, b)
		}
		rest = append(rest, b)
		v.cover = append(v.cover, coverOf(boxFaces(b)))
	}
	v.edges = append(v.edges, boxEdges(rest)...)
}

// boxFaces returns the faces of a box that is in the frame already.
func boxFaces(b r3.Box) [][]r3.Vec { return solid.Box(b).Faces() }

// opaque adds parts that are not cut and hide what is behind them.
func (v *view) opaque(parts []scene.Part) {
	for _, p := range parts {
		faces := facesOf(p.Solid, v.f)
		v.edges = append(v.edges, edgesOf(faces)...)
		v.cover = append(v.cover, coverOf(faces))
		if c, ok := p.Solid.(*solid.Cylinder); ok {
			v.centre(c)
		}
	}
}

// centre adds the centre lines of a round thing: a cross where it is seen along
// its axis, else the axis.
func (v *view) centre(c *solid.Cylinder) {
	a, b := v.f.of(c.A), v.f.of(c.B)
	d := r3.Sub(b, a)
	switch across := math.Hypot(d.X, d.Y); {
	case across < grazing:
		r := c.Radius
		v.mid = append(v.mid,
			edge{r3.Vec{X: a.X - r, Y: a.Y}, r3.Vec{X: a.X + r, Y: a.Y}},
			edge{r3.Vec{X: a.X, Y: a.Y - r}, r3.Vec{X: a.X, Y: a.Y + r}})
	default:
		v.mid = append(v.mid, edge{r3.Vec{X: a.X, Y: a.Y}, r3.Vec{X: b.X, Y: b.Y}})
	}
}

// sump adds the sump: glass with what is glued into it, and its trim.
func (v *view) sump() {
	s := v.s.Sump
	v.edges = append(v.edges, boxEdges(boxesOf(v.f, s.Carried()...))...)
	for _, p := range s.Panes() {
		switch p.Role {
		case scene.RoleBaffle:
			v.edges = append(v.edges, boxEdges(boxesOf(v.f, p))...)
		case scene.RoleTrim:
			v.cover = append(v.cover, coverOf(facesOf(p.Solid, v.f)))
		case scene.RolePanel, scene.RoleLeaf, scene.RoleHinge, scene.RoleFixture, scene.RoleGlass,
			scene.RoleEquipment, scene.RoleRoom, scene.RoleWater, scene.RoleSand, scene.RoleArm:
		}
	}
	v.list("sump", s.Carried())
}

// display adds the display: seen where the view shows it, else its outline.
func (v *view) display(seen bool) {
	d := v.s.Display
	if d == nil {
		return
	}
	b := v.f.box(d.Box)
	if !seen {
		v.outlineOf(b)
		return
	}
	v.edges = append(v.edges, boxEdges([]r3.Box{b})...)
	v.all = append(v.all, listed{"display", []solid.Solid{solid.Box(d.Box)}})
}

// outlineOf adds the outline of what stands nearer than the cut.
func (v *view) outlineOf(b r3.Box) {
	for i, q := range []point{{b.Min.X, b.Min.Y}, {b.Max.X, b.Min.Y}, {b.Max.X, b.Max.Y}, {b.Min.X, b.Max.Y}} {
		r := []point{{b.Max.X, b.Min.Y}, {b.Max.X, b.Max.Y}, {b.Min.X, b.Max.Y}, {b.Min.X, b.Min.Y}}[i]
		v.front = append(v.front, edge{r3.Vec{X: q.x, Y: q.y}, r3.Vec{X: r.x, Y: r.y}})
	}
}

// dim asks for the distance between two points of the scene, along one axis of
// the cabinet, where no view gives it yet.
func (v *view) dim(what string, a, b r3.Vec, axis int, far bool, kind source) {
	if math.Abs(coordinate(a, axis)-coordinate(b, axis)) < 0.05 || !v.given.first(axis, coordinate(a, axis), coordinate(b, axis)) {
		return
	}
	unitAxis := []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[axis]
	v.wants = append(v.wants, want{
		what: what, a: v.f.of(a), b: v.f.of(b), upright: r3.Dot(unitAxis, v.f.up) != 0, far: far, kind: kind,
	})
}

// The axes of the cabinet.
const (
	alongX = iota
	alongY
	alongZ
)

// mainOpening returns the opening that a view is cut through: the first that is
// seen from the front or the back, or else the first in a side.
func mainOpening(c *scene.Cabinet) *scene.Opening {
	for _, sides := range [][]scene.Face{{scene.Front}, {scene.Left, scene.Right}, {scene.Back}} {
		for i := range c.Openings {
			if slices.Contains(sides, c.Openings[i].Side) {
				return &c.Openings[i]
			}
		}
	}
	return nil
}

func newFront(s *scene.Scene, g *given) *view {
	v := newView(s, scene.Front, math.Inf(1), "Cabinet from the front, doors away", g)
	v.display(true)
	c := &s.Cabinet
	out := outsideOf(c)
	bottom := 0.0
	if c.Bottom != nil {
		bottom = c.Bottom.Up.MM()
		v.dim("height of the cabinet bottom", r3.Vec{}, r3.Vec{X: c.Left.Thickness.MM(), Z: bottom}, alongZ, false, fromPlan)
	}
	for i := range c.Openings {
		o := &c.Openings[i]
		if o.Side != scene.Front {
			continue
		}
		h := o.Hole
		if !o.OpenFace {
			v.dim("from the left edge to "+o.Name, r3.Vec{}, h.Min, alongX, true, ifAssumed(o.PlaceAssumed))
			v.dim("lower edge of "+o.Name, r3.Vec{X: h.Min.X, Z: bottom}, h.Min, alongZ, false, fromPlan)
		}
		v.dim("width of "+o.Name, h.Min, r3.Vec{X: h.Max.X, Z: h.Min.Z}, alongX, true, fromPlan)
		v.dim("height of "+o.Name, h.Min, r3.Vec{X: h.Min.X, Z: h.Max.Z}, alongZ, false, fromPlan)
		v.leaves(o)
	}
	v.dim("width of the cabinet", r3.Vec{}, r3.Vec{X: out.Max.X}, alongX, true, fromPlan)
	v.dim("height of the cabinet", r3.Vec{}, r3.Vec{Z: out.Max.Z}, alongZ, false, fromPlan)
	if d := s.Display; d != nil {
		top := r3.Vec{X: d.Box.Min.X, Z: d.Box.Max.Z}
		v.dim("width of the display", top, d.Box.Max, alongX, false, fromPlan)
		v.dim("height of the display", d.Box.Min, top, alongZ, false, fromPlan)
		if d.Box.Min.X > 0 {
			v.dim("from the cabinet's left edge to the display", r3.Vec{Z: out.Max.Z}, top, alongX, false, fromPlan)
		}
	}
	return v
}

func newTop(s *scene.Scene, g *given) *view {
	c := &s.Cabinet
	out, in := outsideOf(c), c.Inside()
	cut, title := in.Max.Z, "Cabinet from above, cut under its top"
	if o := mainOpening(c); o != nil {
		cut = (o.Hole.Min.Z + o.Hole.Max.Z) / 2
		title = "Cabinet from above, cut through " + o.Name
	}
	v := newView(s, scene.Top, cut, title, g)
	v.display(false)
	v.room()
	for i := range c.Openings {
		o := &c.Openings[i]
		h := o.Hole
		switch o.Side {
		case scene.Front:
			v.leaves(o)
			continue
		case scene.Top:
			v.outlineOf(v.f.box(h))
			if !o.OpenFace {
				v.dim("from the left edge to "+o.Name, r3.Vec{Y: h.Max.Y}, r3.Vec{X: h.Min.X, Y: h.Max.Y}, alongX, false, fromPlan)
				v.dim("from the front edge to "+o.Name, r3.Vec{}, h.Min, alongY, false, fromPlan)
			}
			v.dim("width of "+o.Name, r3.Vec{X: h.Min.X, Y: h.Max.Y}, h.Max, alongX, false, fromPlan)
			v.dim("depth of "+o.Name, h.Min, r3.Vec{X: h.Min.X, Y: h.Max.Y}, alongY, false, fromPlan)
			continue
		case scene.Back:
			if !o.OpenFace {
				v.dim("from the edge on the left of who stands behind to "+o.Name, r3.Vec{X: out.Max.X, Y: out.Max.Y}, h.Max, alongX, false, fromPlan)
			}
			v.dim("width of "+o.Name, r3.Vec{X: h.Min.X, Y: h.Max.Y}, h.Max, alongX, false, fromPlan)
		case scene.Left:
			if !o.OpenFace {
				v.dim("from the back edge to "+o.Name, r3.Vec{Y: out.Max.Y}, r3.Vec{Y: h.Max.Y}, alongY, false, fromPlan)
			}
			v.dim("width of "+o.Name, r3.Vec{Y: h.Min.Y}, r3.Vec{Y: h.Max.Y}, alongY, false, fromPlan)
		case scene.Right:
			if !o.OpenFace {
				v.dim("from the front edge to "+o.Name, r3.Vec{X: out.Max.X}, r3.Vec{X: out.Max.X, Y: h.Min.Y}, alongY, true, fromPlan)
			}
			v.dim("width of "+o.Name, r3.Vec{X: out.Max.X, Y: h.Min.Y}, r3.Vec{X: out.Max.X, Y: h.Max.Y}, alongY, true, fromPlan)
		case scene.Bottom:
			continue
		}
		v.leaves(o)
	}
	back := func(x float64) r3.Vec { return r3.Vec{X: x, Y: out.Max.Y} }
	v.dim("thickness of the left wall", back(0), back(in.Min.X), alongX, false, ifAssumed(c.Left.Assumed))
	if c.Right.Thickness != c.Left.Thickness {
		v.dim("thickness of the right wall", back(in.Max.X), back(out.Max.X), alongX, false, ifAssumed(c.Right.Assumed))
	}
	v.dim("inside width", back(in.Min.X), back(in.Max.X), alongX, false, follows)
	v.dim("thickness of the front", r3.Vec{}, r3.Vec{Y: in.Min.Y}, alongY, false, ifAssumed(c.Front.Assumed))
	v.dim("thickness of the back", r3.Vec{Y: in.Max.Y}, r3.Vec{Y: out.Max.Y}, alongY, false, ifAssumed(c.Back.Assumed))
	v.dim("inside depth", r3.Vec{Y: in.Min.Y}, r3.Vec{Y: in.Max.Y}, alongY, false, follows)
	v.dim("depth of the cabinet", r3.Vec{}, r3.Vec{Y: out.Max.Y}, alongY, false, fromPlan)
	if p := s.Sump; p != nil {
		b := p.Box
		round := solid.BoundsOf(solids(p.Carried())...)
		v.dim("width of the sump's glass", r3.Vec{X: b.Min.X, Y: b.Max.Y}, b.Max, alongX, false, fromPlan)
		v.dim("depth of the sump's glass", b.Min, r3.Vec{X: b.Min.X, Y: b.Max.Y}, alongY, false, fromPlan)
		at := r3.Vec{X: round.Min.X, Y: round.Max.Y}
		measuredFrom := func(a, b scene.Face) source {
			if slices.Contains(p.From, a) || slices.Contains(p.From, b) {
				return fromPlan
			}
			return follows // it is in the middle
		}
		if kind := measuredFrom(scene.Left, scene.Right); slices.Contains(p.From, scene.Right) {
			v.dim("from the right wall to the sump", round.Max, back(in.Max.X), alongX, false, kind)
		} else {
			v.dim("from the left wall to the sump", back(in.Min.X), at, alongX, false, kind)
		}
		if kind := measuredFrom(scene.Front, scene.Back); slices.Contains(p.From, scene.Back) {
			v.dim("from the back to the sump", at, r3.Vec{X: in.Min.X, Y: in.Max.Y}, alongY, false, kind)
		} else {
			v.dim("from the front to the sump", r3.Vec{X: in.Min.X, Y: in.Min.Y}, round.Min, alongY, false, kind)
		}
	}
	return v
}

func solids(parts []scene.Part) []solid.Solid {
	out := make([]solid.Solid, len(parts))
	for i, p := range parts {
		out[i] = p.Solid
	}
	return out
}

func newSide(s *scene.Scene, g *given) *view {
	c := &s.Cabinet
	out, in := outsideOf(c), c.Inside()
	side, name := scene.Right, "the right"
	sees := func(f scene.Face) bool {
		return slices.ContainsFunc(c.Openings, func(o scene.Opening) bool { return o.Side == f })
	}
	if sees(scene.Left) && !sees(scene.Right) {
		side, name = scene.Left, "the left"
	}
	at, through := (in.Min.X+in.Max.X)/2, "the middle"
	if o := mainOpening(c); o != nil && (o.Side == scene.Front || o.Side == scene.Back) {
		at, through = (o.Hole.Min.X+o.Hole.Max.X)/2, o.Name
		if o.Door != nil && o.Door.Hinge == scene.HingePair {
			at = o.Hole.Min.X + (o.Hole.Max.X-o.Hole.Min.X)/4 // not between the leaves
		}
	}
	f := frameOf(side)
	v := newView(s, side, r3.Dot(r3.Vec{X: at}, f.out), "Cabinet from "+name+", cut through "+through, g)
	v.display(true)
	for i := range c.Openings {
		o := &c.Openings[i]
		h := o.Hole
		if o.Side == side {
			v.outlineOf(v.f.box(h))
		}
		bottom := 0.0
		if c.Bottom != nil {
			bottom = c.Bottom.Up.MM()
		}
		switch o.Side {
		case scene.Left, scene.Right, scene.Back:
			edge := r3.Vec{Y: h.Max.Y}
			if !o.OpenFace {
				v.dim("lower edge of "+o.Name, r3.Vec{Y: edge.Y, Z: bottom}, r3.Vec{Y: edge.Y, Z: h.Min.Z}, alongZ, side == scene.Right, fromPlan)
			}
			v.dim("height of "+o.Name, r3.Vec{Y: edge.Y, Z: h.Min.Z}, r3.Vec{Y: edge.Y, Z: h.Max.Z}, alongZ, side == scene.Right, fromPlan)
		case scene.Front, scene.Top, scene.Bottom:
		}
		v.leaves(o)
	}
	// Heights stand before the front, or behind the back where that is on the left.
	edge := r3.Vec{}
	if side == scene.Left {
		edge.Y = out.Max.Y
	}
	up := func(z float64) r3.Vec { return r3.Vec{Y: edge.Y, Z: z} }
	if b := c.Bottom; b != nil {
		v.dim("thickness of the cabinet bottom", up((b.Up - b.Thickness).MM()), up(b.Up.MM()), alongZ, false, ifAssumed(b.Assumed))
	}
	v.dim("thickness of the top", up(in.Max.Z), up(out.Max.Z), alongZ, false, ifAssumed(c.Lid.Assumed))
	v.dim("inside height", up(in.Min.Z), up(in.Max.Z), alongZ, false, follows)
	if p := s.Sump; p != nil {
		b := p.Box
		z := r3.Vec{Y: b.Min.Y, Z: b.Min.Z}
		if side == scene.Left {
			z.Y = b.Max.Y
		}
		v.dim("height of the sump's glass", z, r3.Vec{Y: z.Y, Z: b.Max.Z}, alongZ, false, fromPlan)
	}
	if d := s.Display; d != nil {
		top := r3.Vec{Y: d.Box.Min.Y, Z: d.Box.Max.Z}
		v.dim("depth of the display", top, d.Box.Max, alongY, false, fromPlan)
		if d.Box.Min.Y > 0 {
			v.dim("from the cabinet's front to the display", r3.Vec{Z: out.Max.Z}, top, alongY, false, fromPlan)
		}
	}
	return v
}

// room adds the walls that stand near the cabinet.
func (v *view) room() {
	c := &v.s.Cabinet
	const near = 150.0 // mm; farther ones are told in words
	out := outsideOf(c)
	wall := func(l *unit.Length, a, b, from r3.Vec, axis int, far bool, what string) {
		if l == nil || l.MM() > near {
			return
		}
		p, q := v.f.of(a), v.f.of(b)
		v.front = append(v.front, edge{p, q})
		v.dim(what, from, a, axis, far, fromPlan)
	}
	r := v.s.Room
	if r.Left != nil {
		x := -r.Left.MM()
		wall(r.Left, r3.Vec{X: x, Y: out.Max.Y}, r3.Vec{X: x}, r3.Vec{Y: out.Max.Y}, alongX, false, "from the cabinet to the wall on its left")
	}
	if r.Right != nil {
		x := out.Max.X + r.Right.MM()
		wall(r.Right, r3.Vec{X: x, Y: out.Max.Y}, r3.Vec{X: x}, out.Max, alongX, false, "from the cabinet to the wall on its right")
	}
	if r.Back != nil {
		y := out.Max.Y + r.Back.MM()
		wall(r.Back, r3.Vec{Y: y}, r3.Vec{X: out.Max.X, Y: y}, r3.Vec{Y: out.Max.Y}, alongY, false, "from the cabinet to the wall behind")
	}
}

// leaves adds the door of an opening: closed where the view faces it, else open,
// with the way of its edge where that is seen as an arc.
func (v *view) leaves(o *scene.Opening) {
	if o.Door == nil {
		return
	}
	closed := v.s.Leaves(o, 0)
	if o.Side == v.side {
		for i, p := range closed {
			b := v.f.box(p.Solid.Bounds())
			v.outlineOf(b)
			v.signs(o, i, b)
		}
		return
	}
	angle := v.s.DoorAngle(o)
	for i, p := range v.s.Leaves(o, angle) {
		if !v.arc(o, i, closed[i], angle) && v.side != scene.Top {
			continue // the open leaf hides more than it tells
		}
		for _, e := range edgesOf(facesOf(p.Solid, v.f)) {
			v.front = append(v.front, edge{r3.Vec{X: e.a.X, Y: e.a.Y}, r3.Vec{X: e.b.X, Y: e.b.Y}})
		}
	}
}

// hingeOf returns the side at which leaf i of a door turns.
func hingeOf(d *scene.Door, i int) scene.Hinge {
	if d.Hinge != scene.HingePair {
		return d.Hinge
	}
	return []scene.Hinge{scene.HingeLeft, scene.HingeRight}[i]
}

// signs draws the sign of a leaf that turns, on the leaf as it is faced: two
// lines that meet at its hinges.
func (v *view) signs(o *scene.Opening, i int, b r3.Box) {
	mid := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	var at, p, q r3.Vec
	switch hingeOf(o.Door, i) {
	case scene.HingeLeft:
		at, p, q = r3.Vec{X: b.Min.X, Y: mid.Y}, r3.Vec{X: b.Max.X, Y: b.Min.Y}, b.Max
	case scene.HingeRight:
		at, p, q = r3.Vec{X: b.Max.X, Y: mid.Y}, b.Min, r3.Vec{X: b.Min.X, Y: b.Max.Y}
	case scene.HingeTop:
		at, p, q = r3.Vec{X: mid.X, Y: b.Max.Y}, b.Min, r3.Vec{X: b.Max.X, Y: b.Min.Y}
	case scene.HingeBottom:
		at, p, q = r3.Vec{X: mid.X, Y: b.Min.Y}, r3.Vec{X: b.Min.X, Y: b.Max.Y}, b.Max
	case scene.HingePair:
		return
	}
	v.front = append(v.front, edge{at, p}, edge{at, q})
}

// arc adds the way of a leaf's edge where the leaf turns about the line of sight,
// and tells whether it does.
func (v *view) arc(o *scene.Opening, i int, closed scene.Part, angle unit.Angle) bool {
	own := frameOf(o.Side)
	b := own.box(closed.Solid.Bounds())
	var at, tip, axis r3.Vec
	switch hingeOf(o.Door, i) {
	case scene.HingeLeft:
		at, tip, axis = r3.Vec{X: b.Min.X, Z: b.Max.Z}, r3.Vec{X: b.Max.X, Z: b.Max.Z}, r3.Scale(-1, own.up)
	case scene.HingeRight:
		at, tip, axis = r3.Vec{X: b.Max.X, Z: b.Max.Z}, r3.Vec{X: b.Min.X, Z: b.Max.Z}, own.up
	case scene.HingeTop:
		at, tip, axis = r3.Vec{Y: b.Max.Y, Z: b.Max.Z}, r3.Vec{Y: b.Min.Y, Z: b.Max.Z}, r3.Scale(-1, own.right)
	case scene.HingeBottom:
		at, tip, axis = r3.Vec{Y: b.Min.Y, Z: b.Max.Z}, r3.Vec{Y: b.Max.Y, Z: b.Max.Z}, own.right
	case scene.HingePair:
		return false
	}
	turn := r3.Dot(axis, v.f.out)
	if turn == 0 {
		return false
	}
	back := func(q r3.Vec) r3.Vec {
		return v.f.of(r3.Add(r3.Scale(q.X, own.right), r3.Add(r3.Scale(q.Y, own.up), r3.Scale(q.Z, own.out))))
	}
	label := angle.String()
	if o.Door.AssumedOpens && o.Door.Clear == nil {
		label += "?"
	}
	v.doors = append(v.doors, swing{
		name: closed.Name, at: back(at), from: back(tip), angle: turn * float64(angle), label: label,
	})
	return true
}

// extent returns what the view covers in the frame, with doors and their arcs.
func (v *view) extent() block {
	b := block{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	add := func(q r3.Vec) { b = block{min(b.x1, q.X), min(b.y1, q.Y), max(b.x2, q.X), max(b.y2, q.Y)} }
	for _, list := range [][]edge{v.edges, v.front} {
		for _, e := range list {
			add(e.a)
			add(e.b)
		}
	}
	for _, d := range v.doors {
		for _, q := range d.points() {
			add(q)
		}
	}
	return b
}

// points returns the way of a leaf's edge.
func (d swing) points() []r3.Vec {
	const step = 4 * math.Pi / 180
	n := max(2, int(math.Ceil(math.Abs(d.angle)/step)))
	out := make([]r3.Vec, n+1)
	rx, ry := d.from.X-d.at.X, d.from.Y-d.at.Y
	for i := range out {
		sin, cos := math.Sincos(d.angle * float64(i) / float64(n))
		out[i] = r3.Vec{X: d.at.X + rx*cos - ry*sin, Y: d.at.Y + rx*sin + ry*cos}
	}
	return out
}

const (
	listRow     = 4.2 // height of a row of names
	listColumns = 4   // in how many columns names are listed
	ringsAside  = 9.0 // from what stands beside a view to its rings
	ringColumn  = 30  // most rings in one column
)

// rows is how many rows the names of things take.
func (v *view) rows() int { return (len(v.all) + listColumns - 1) / listColumns }

// low is how far down the page the view may reach.
func (v *view) low() float64 {
	return pageHeight - border - titleHeight - 20 - listRow*float64(v.rows())
}

// A layout is where a view and what stands beside it are on paper.
type layout struct {
	covered block // by the view itself
	dims    []placedDimension
	rings   float64 // x of the first column of rings
	whole   block
}

// laidOut lays the view out at its scale and origin.
func (v *view) laidOut() layout {
	b := v.extent()
	lo, hi := v.on(r3.Vec{X: b.x1, Y: b.y2}), v.on(r3.Vec{X: b.x2, Y: b.y1})
	l := layout{covered: block{lo.x, lo.y, hi.x, hi.y}}
	l.dims = v.dimensions(l.covered)
	l.whole = l.covered
	if len(v.doors) > 0 { // the numbers of their angles
		const beside = 6
		l.whole = block{lo.x - beside, lo.y - beside, hi.x + beside, hi.y + beside}
	}
	for _, d := range l.dims {
		l.whole = l.whole.with(d.number)
		from, to := point{d.lineFrom, d.at}, point{d.lineTo, d.at + past}
		if d.upright {
			from, to = point{d.at, d.lineFrom}, point{d.at + past, d.lineTo}
		}
		l.whole = l.whole.with(block{from.x, from.y, to.x, to.y})
	}
	l.rings = l.whole.x2 + ringsAside
	l.whole.x2 = l.rings + ringSize + 7*float64((len(v.all)-1)/ringColumn)
	return l
}

// with returns the least block that holds both.
func (b block) with(o block) block {
	return block{min(b.x1, o.x1), min(b.y1, o.y1), max(b.x2, o.x2), max(b.y2, o.y2)}
}

// scaled takes the least reduction at which the view fits its page, and puts it
// in the middle.
func (v *view) scaled() layout {
	var l layout
	for _, v.scale = range scales {
		v.origin = point{}
		l = v.laidOut()
		if l.whole.x2-l.whole.x1 <= bodyWidth && l.whole.y2-l.whole.y1 <= v.low()-bodyTop {
			break
		}
	}
	v.origin = point{
		pageWidth/2.0 - (l.whole.x1+l.whole.x2)/2,
		(bodyTop+v.low())/2 - (l.whole.y1+l.whole.y2)/2,
	}
	return v.laidOut()
}

// on returns where a point of the frame is on paper.
func (v *view) on(q r3.Vec) point {
	return point{v.origin.x + q.X/v.scale, v.origin.y - q.Y/v.scale}
}

func (v *view) page() *page {
	l := v.scaled()
	pg := &page{Title: v.title, About: v.describe(), scale: "1 : " + number(v.scale)}
	pg.draw("", border, border).bold(0, 4, large, left, fit(v.title, large*boldness, bodyWidth))
	dims := l.dims
	var numbers []block
	for _, d := range dims {
		numbers = append(numbers, d.number)
	}
	p := pg.draw("", 0, 0)
	for _, c := range v.sawn {
		lo, hi := v.on(r3.Vec{X: c.Min.X, Y: c.Max.Y}), v.on(r3.Vec{X: c.Max.X, Y: c.Min.Y})
		p.hatch(1.2, rectangle(lo.x, lo.y, hi.x, hi.y)...)
	}
	v.trace(p)
	if v.side != scene.Top {
		floor := v.on(r3.Vec{}).y
		p.ground(l.covered.x1-5, l.covered.x2+5, floor)
	}
	v.water(p)
	angles := v.swings(pg, numbers)
	numbers = append(numbers, angles...)
	for _, d := range dims {
		d.draw(pg.draw(d.what+": "+d.text, 0, 0), numbers)
	}
	v.rings(pg.draw("", 0, 0), l.rings, numbers)
	v.names(pg)
	v.foot(pg)
	return pg
}

// trace draws the lines of the view.
func (v *view) trace(p pen) {
	var t trace
	flat := func(s style, list []edge) {
		for _, e := range list {
			t.add(s, v.on(e.a), v.on(e.b))
		}
	}
	for _, e := range v.edges {
		seen, behind := e.parts(v.cover)
		flat(outline, seen)
		flat(hidden, behind)
	}
	flat(phantom, v.front)
	for _, e := range v.mid {
		a, b := v.on(e.a), v.on(e.b)
		n := math.Hypot(b.x-a.x, b.y-a.y)
		if n < 2 {
			continue
		}
		const past = 2
		d := point{(b.x - a.x) / n * past, (b.y - a.y) / n * past}
		t.add(chain, point{a.x - d.x, a.y - d.y}, point{b.x + d.x, b.y + d.y})
	}
	t.draw(p)
}

// water draws the level in the display.
func (v *view) water(p pen) {
	d := v.s.Display
	if d == nil || d.Water == nil || v.side == scene.Top {
		return
	}
	in := v.f.box(d.Inside())
	in.Max.Y = in.Min.Y + d.Water.MM()
	a, b := v.on(r3.Vec{X: in.Min.X, Y: in.Max.Y}), v.on(in.Max)
	p.level(a.x, b.x, a.y)
}

// swings draws the arcs of doors as dimensions of their angle, and returns what
// their numbers cover.
func (v *view) swings(pg *page, taken []block) []block {
	var out []block
	for _, d := range v.doors {
		p := pg.draw(d.name+" opens: "+d.label, 0, 0)
		pts := d.points()
		way := make([]point, len(pts))
		for i, q := range pts {
			way[i] = v.on(q)
		}
		p.lines(narrow, way...)
		n := len(way)
		for _, end := range [][2]point{{way[1], way[0]}, {way[n-2], way[n-1]}} {
			p.arrow(end[1].x, end[1].y, end[1].x-end[0].x, end[1].y-end[0].y)
		}
		// The number stands outside the arc, near its middle.
		at := v.on(d.at)
		for _, k := range outward(n) {
			dx, dy := way[k].x-at.x, way[k].y-at.y
			r := math.Hypot(dx, dy)
			off := 1 + width(d.label, normal)/2*math.Abs(dx)/r + 1.2*math.Abs(dy)/r
			x, y := way[k].x+dx/r*off, way[k].y+dy/r*off+1
			b := textBlock(x, y, normal, centre, d.label)
			if !slices.ContainsFunc(slices.Concat(taken, out), b.meets) {
				p.text(x, y, normal, centre, d.label)
				out = append(out, b)
				break
			}
		}
	}
	return out
}

// outward lists n places from the middle to both ends.
func outward(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(abs(2*a-n), abs(2*b-n)) })
	return out
}

func abs(n int) int { return max(n, -n) }

// dimensions returns the dimensions of the view, placed.
func (v *view) dimensions(covered block) []placedDimension {
	var all []measured
	for _, w := range v.wants {
		d := w.b.X - w.a.X
		if w.upright {
			d = w.b.Y - w.a.Y
		}
		text := bareLength(v.s.Units, unit.Length(math.Abs(d)))
		switch w.kind {
		case fromPlan:
		case follows:
			text = "(" + text + ")"
		case assumed:
			text += "?"
		}
		all = append(all, measured{what: w.what, a: v.on(w.a), b: v.on(w.b), upright: w.upright, text: text, far: w.far})
	}
	return arranged(all, covered)
}

// bareLength prints a length without its unit, which the title block names.
func bareLength(u unit.System, l unit.Length) string {
	return strings.TrimSuffix(u.Length(l), " "+u.String())
}

// A ring numbers a thing: it stands beside the view, with a line to the thing.
type ring struct {
	number int
	to     point
	y      float64
}

// rings numbers the things of the view, in rings beside it.
func (v *view) rings(p pen, x float64, taken []block) {
	var all []ring
	for i := range v.all {
		all = append(all, ring{number: i + 1, to: v.on(v.spot(i))})
	}
	slices.SortStableFunc(all, func(a, b ring) int { return cmp.Compare(a.to.y, b.to.y) })
	columns := max(1, (len(all)+ringColumn-1)/ringColumn)
	for c := range columns {
		var column []ring
		for i := c; i < len(all); i += columns {
			column = append(column, all[i])
		}
		x := x + 7*float64(c)
		columned(column, x, v.low())
		for _, r := range column {
			d := point{x - r.to.x, r.y - r.to.y}
			n := math.Hypot(d.x, d.y)
			end := point{x - d.x/n*ringSize, r.y - d.y/n*ringSize}
			for _, piece := range offBlocks(r.to, end, taken) {
				p.lines(narrow, piece[0], piece[1])
			}
			p.circle(solidly, r.to.x, r.to.y, 0.5)
			p.put(x, r.y, key(strconv.Itoa(r.number)), false)
		}
	}
}

// columned places rings, in the order of their things, in a column at x that ends
// over low: each near its thing, apart from the others, and so that their lines
// do not cross.
func columned(all []ring, x, low float64) {
	const apart = 2*ringSize + 1
	n := len(all)
	down, up := make([]float64, n), make([]float64, n)
	for i, r := range all {
		down[i] = r.to.y
		if i > 0 {
			down[i] = max(down[i], down[i-1]+apart)
		}
	}
	for i := n - 1; i >= 0; i-- {
		up[i] = min(all[i].to.y, low)
		if i < n-1 {
			up[i] = min(up[i], up[i+1]-apart)
		}
	}
	for i := range all {
		all[i].y = min((down[i]+up[i])/2, low-apart*float64(n-1-i))
	}
	// Of two lines that cross, the two that end at each other's rings are shorter:
	// it ends.
	for swapped := true; swapped; {
		swapped = false
		for i := range all {
			for k := range i {
				a, b := &all[i], &all[k]
				far := func(r *ring, y float64) float64 { return math.Hypot(x-r.to.x, y-r.to.y) }
				if far(a, b.y)+far(b, a.y) < far(a, a.y)+far(b, b.y)-1e-6 {
					a.y, b.y = b.y, a.y
					swapped = true
				}
			}
		}
	}
}

// spot returns a point of thing i that as few others as may be cover on paper.
func (v *view) spot(i int) r3.Vec {
	boxes := func(l listed) []r3.Box {
		var out []r3.Box
		for _, s := range l.parts {
			out = append(out, v.f.box(s.Bounds()))
		}
		return out
	}
	others := make([][]r3.Box, 0, len(v.all))
	for k, l := range v.all {
		if k != i {
			others = append(others, boxes(l))
		}
	}
	best, least := r3.Vec{}, math.Inf(1)
	for _, b := range boxes(v.all[i]) {
		const steps = 8
		for ix := 1; ix < steps; ix++ {
			for iy := 1; iy < steps; iy++ {
				fx, fy := float64(ix)/steps, float64(iy)/steps
				q := r3.Vec{X: b.Min.X + fx*(b.Max.X-b.Min.X), Y: b.Min.Y + fy*(b.Max.Y-b.Min.Y)}
				cost := math.Hypot(fx-0.5, fy-0.5)
				for _, o := range others {
					if slices.ContainsFunc(o, func(c r3.Box) bool {
						return q.X > c.Min.X && q.X < c.Max.X && q.Y > c.Min.Y && q.Y < c.Max.Y
					}) {
						cost++
					}
				}
				if cost < least {
					best, least = q, cost
				}
			}
		}
	}
	return best
}

// names writes what the numbers stand for.
func (v *view) names(pg *page) {
	top := pageHeight - border - titleHeight - 12 - listRow*float64(v.rows())
	p := pg.draw("", border, top)
	const wide = bodyWidth / float64(listColumns)
	for i, l := range v.all {
		x, y := wide*float64(i/max(1, v.rows())), listRow*float64(i%max(1, v.rows()))
		p.bold(x, y, small, left, strconv.Itoa(i+1))
		p.text(x+5, y, small, left, fit(l.name, small, wide-7))
	}
	legend := "Dashes: hidden. Dash and dot: centre lines. Dash and two dots: doors, and what is nearer than the cut. In parentheses: follows from the others. Question mark: assumed."
	y := listRow * float64(v.rows())
	for _, line := range wrap(legend, small, bodyWidth) {
		p.text(0, y+1, small, left, line)
		y += 3.4
	}
}

// describe says in words what the view shows.
func (v *view) describe() string {
	var t strings.Builder
	t.WriteString(v.title + ".")
	for _, w := range v.wants {
		d := w.b.X - w.a.X
		if w.upright {
			d = w.b.Y - w.a.Y
		}
		fmt.Fprintf(&t, " %s: %s.", w.what, v.s.Units.Length(unit.Length(math.Abs(d))))
	}
	return t.String()
}

// foot draws the title block, as in ISO 7200.
func (v *view) foot(pg *page) {
	p := pg.draw("", border, pageHeight-border-titleHeight)
	p.titleBlock(
		field{"Document", "Cabinet", 22},
		field{"Title", v.title, 80},
		field{"Plan", v.s.Title, 52},
		field{"Scale", "1 : " + number(v.scale), 18},
		field{"Units", v.s.Units.String(), 14},
	)
}
