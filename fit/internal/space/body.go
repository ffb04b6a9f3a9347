package space

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Body is what moves, relative to its reference point, turned as at rest.
type Body struct {
	parts []part
	// box tells that half a turn about any axis through the reference point
	// changes nothing.
	box    bool
	radius float64 // how far the body goes from its reference point
	// meets[i] is what part i shares with part 0 (nil for part 0 itself). What
	// part i is held to counts in a proof only while that has passed the plane of
	// the opening: until then the part could be beside the cabinet.
	meets []*part
	// Gates are the holes that the body, of one part round its reference point, may
	// reach out by. What is taken to be surely in a part is then inside of them.
	Gates []Gate
}

// part is a convex polyhedron by its faces and corners, round its own middle.
type part struct {
	middle  r3.Vec // from the reference point
	verts   []r3.Vec
	edges   [][2]int // between which of verts
	faces   []plane
	rays    []r3.Vec // directions in which the core is taken, to the surface: first to the corners
	corners int      // how many of the rays lead to corners
	// symmetric tells that the part is its own mirror image in its middle; then
	// faces and rays hold one of each two opposite ones.
	symmetric bool
	// ball are points of the ball round the middle that touches the nearest face: they
	// are in the part however it is turned.
	ball []r3.Vec
}

// plane is the half-space n·p ≤ h, n of unit length.
type plane struct {
	n r3.Vec
	h float64
}

// NewBody returns the body made of convex polyhedra with its reference point at
// ref; the first is its main part.
func NewBody(ref r3.Vec, solids []*solid.Polyhedron) Body {
	b := Body{box: len(solids) == 1 && isBoxRound(solids[0], ref)}
	for i, s := range solids {
		p := newPart(s, ref)
		b.parts = append(b.parts, p)
		for _, v := range p.verts {
			b.radius = max(b.radius, r3.Norm(r3.Add(v, p.middle)))
		}
		var common *part
		if i > 0 {
			common = shared(solids[0], s, ref)
		}
		b.meets = append(b.meets, common)
	}
	return b
}

// Radius returns how far the body goes from its reference point.
func (b *Body) Radius() float64 { return b.radius }

// Parts returns the number of parts.
func (b *Body) Parts() int { return len(b.parts) }

// Ball returns a ball that lies in part i, round the part's middle: where that is
// from the reference point at rest, and its radius.
func (b *Body) Ball(i int) (at r3.Vec, radius float64) {
	p := &b.parts[i]
	radius = math.Inf(1)
	for _, f := range p.faces {
		radius = min(radius, f.h)
	}
	return p.middle, radius
}

// IsBox tells whether half a turn about any axis of the body changes nothing.
func (b *Body) IsBox() bool { return b.box }

func newPart(s *solid.Polyhedron, ref r3.Vec) part {
	c := s.Centroid()
	p := part{middle: r3.Sub(c, ref)}
	for _, v := range s.Vertices() {
		p.verts = append(p.verts, r3.Sub(v, c))
	}
	p.rays, p.corners = append(p.rays, p.verts...), len(p.verts)
	for _, f := range s.Faces() {
		n := r3.Vec{}
		for i := 2; i < len(f); i++ {
			n = r3.Add(n, r3.Cross(r3.Sub(f[i-1], f[0]), r3.Sub(f[i], f[0])))
		}
		n = r3.Unit(n)
		h := math.Inf(-1)
		for _, v := range p.verts {
			h = max(h, r3.Dot(n, v))
		}
		p.faces = append(p.faces, plane{n, h})
		p.rays = append(p.rays, r3.Scale(h, n)) // the foot, where the core loses nothing
		for i, v := range f {
			w := f[(i+1)%len(f)]
			if less(v, w) { // each edge once
				p.rays = append(p.rays, r3.Sub(r3.Scale(0.5, r3.Add(v, w)), c))
			}
		}
	}
	corner := map[r3.Vec]int{}
	for i, v := range s.Vertices() {
		corner[v] = i
	}
	for _, f := range s.Faces() {
		for i, v := range f {
			if w := f[(i+1)%len(f)]; less(v, w) { // each once
				p.edges = append(p.edges, [2]int{corner[v], corner[w]})
			}
		}
	}
	radius := math.Inf(1)
	for _, f := range p.faces {
		radius = min(radius, f.h)
	}
	p.ball = pointsOf(radius)
	if isBoxRound(s, c) {
		p.symmetric = true
		p.faces = oneOfTwo(p.faces, func(f plane) r3.Vec { return f.n })
		p.rays, p.corners = oneOfTwo(p.rays, func(v r3.Vec) r3.Vec { return v }), len(p.verts)/2
	}
	return p
}

// pointsOf returns points of a ball, to each side and half way between depth and
// these.
func pointsOf(radius float64) []r3.Vec {
	var out []r3.Vec
	half := radius / math.Sqrt2
	for _, v := range []r3.Vec{{X: radius}, {Y: radius}, {Z: radius}, {X: half, Y: half}, {X: half, Y: -half}, {Y: half, Z: half}, {Y: half, Z: -half}} {
		out = append(out, v, r3.Scale(-1, v))
	}
	return out
}

// oneOfTwo keeps of each two opposite items the one on the positive side.
func oneOfTwo[T any](items []T, dir func(T) r3.Vec) []T {
	const zero = 1e-9
	var out []T
	for _, t := range items {
		d := dir(t)
		if d.X > zero || math.Abs(d.X) <= zero && (d.Y > zero || math.Abs(d.Y) <= zero && d.Z > 0) {
			out = append(out, t)
		}
	}
	return out
}

func less(a, b r3.Vec) bool {
	if a.X != b.X {
		return a.X < b.X
	}
	if a.Y != b.Y {
		return a.Y < b.Y
	}
	return a.Z < b.Z
}

// isBoxRound tells whether s is a box along the axes with its middle at ref.
func isBoxRound(s *solid.Polyhedron, ref r3.Vec) bool {
	v := s.Vertices()
	if len(v) != 8 {
		return false
	}
	b := s.Bounds()
	const same = 1e-9
	if r3.Norm(r3.Sub(r3.Scale(0.5, r3.Add(b.Min, b.Max)), ref)) > same {
		return false
	}
	for _, p := range v {
		if min(math.Abs(p.X-b.Min.X), math.Abs(p.X-b.Max.X)) > same ||
			min(math.Abs(p.Y-b.Min.Y), math.Abs(p.Y-b.Max.Y)) > same ||
			min(math.Abs(p.Z-b.Min.Z), math.Abs(p.Z-b.Max.Z)) > same {
			return false
		}
	}
	return true
}

// shared returns the box that two boxes along the axes have in common, as a
// part; nil where they are no boxes or have none.
func shared(a, b *solid.Polyhedron, ref r3.Vec) *part {
	p, q := a.Bounds(), b.Bounds()
	if !isBoxRound(a, r3.Scale(0.5, r3.Add(p.Min, p.Max))) || !isBoxRound(b, r3.Scale(0.5, r3.Add(q.Min, q.Max))) {
		return nil
	}
	m := r3.Box{
		Min: r3.Vec{X: max(p.Min.X, q.Min.X), Y: max(p.Min.Y, q.Min.Y), Z: max(p.Min.Z, q.Min.Z)},
		Max: r3.Vec{X: min(p.Max.X, q.Max.X), Y: min(p.Max.Y, q.Max.Y), Z: min(p.Max.Z, q.Max.Z)},
	}
	if m.Min.X >= m.Max.X || m.Min.Y >= m.Max.Y || m.Min.Z >= m.Max.Z {
		return nil
	}
	s := newPart(solid.Box(m), ref)
	return &s
}

// turned is a body at the turns of a cell: outlines that lie in every one, and
// outlines in which every one lies. How far the middle of a part may be off is
// kept apart as play.
type turned struct {
	swing swing
	parts []turnedPart
	meets []span // depth that the part shared with the main one surely has, as meets

	// Room to work in:
	faces []plane
	core  []r3.Vec
	round []turnedPart
}

type turnedPart struct {
	middle, play r3.Vec   // where the part's middle is, and how far off it may be
	core         []r3.Vec // about middle, in ascending depth
	coreDepth    span
	corners      []corner

	part  *part
	swing *swing
	// Computed where they are asked for:
	coreX, coreZ outline  // of the core: y against x and z
	rim          []r3.Vec // the core's points at the corners of these
	wide         *wide
}

// outlines returns the outlines of the core.
func (p *turnedPart) outlines() (x, z outline) {
	if p.coreX == nil && len(p.core) > 0 {
		p.coreX, p.coreZ = outlines(p.core)
	}
	return p.coreX, p.coreZ
}

// wide are outlines about the reference point.
type wide struct {
	x, z  outline
	depth span
}

// out returns the outlines in which the part lies at every turn.
func (p *turnedPart) out() *wide {
	if p.wide == nil {
		x, z := p.part.out(p.swing)
		p.wide = &wide{x, z, x.depth()}
	}
	return p.wide
}

// corner is where a corner of a part is at the middle of a cell, about the
// reference point, and how far off it may be at its other turns. Near the end of
// a reach across the body a corner tells more than the core.
type corner struct {
	at, play r3.Vec
	own      r3.Vec // how far off about the middle of its part
	// out tells that it may be outside, by a gate, and tells nothing but in depths of the
	// reference point at which it surely is in.
	out bool
	in  [2]span
}

// at bounds the body over the turns of a box in a cube.
func (b *Body) at(cube int, lo, hi [3]float64) *turned {
	t := &turned{}
	t.set(b, cube, lo, hi)
	return t
}

// set makes t what bounds the body over the turns of a box in a cube.
func (t *turned) set(b *Body, cube int, lo, hi [3]float64) {
	t.swing.set(cube, lo, hi)
	t.place(b)
	for i := range b.parts {
		p, q := &b.parts[i], &t.parts[i]
		core := p.core(t, q.core[:0])
		q.corners = q.corners[:0]
		if t.swing.ends != nil || len(b.Gates) > 0 { // else the core has them all
			q.corners = p.cornersOf(&t.swing, q.corners)
		}
		if len(b.Gates) > 0 {
			var levels []float64
			core, levels = within(core, b.Gates)
			p.leave(q.corners, b.Gates, levels)
		}
		q.core, q.coreDepth = core, byDepths(core)
	}
	if len(b.parts) == 1 {
		return
	}
	t.meets = t.meets[:0]
	for _, m := range b.meets {
		meets := noSpan
		if m != nil {
			mid := t.swing.middle.Rotate(m.middle)
			play := t.swing.shift(mid).Y
			t.core = m.core(t, t.core[:0])
			d := byDepths(t.core)
			meets = span{d.lo + mid.Y + play, d.hi + mid.Y - play}
		}
		t.meets = append(t.meets, meets)
	}
}

// place puts the parts of the body where they are at the middle of the cell.
func (t *turned) place(b *Body) {
	if len(t.parts) != len(b.parts) {
		t.parts = make([]turnedPart, len(b.parts))
	}
	for i := range b.parts {
		q := &t.parts[i]
		*q = turnedPart{part: &b.parts[i], swing: &t.swing, core: q.core, corners: q.corners}
		q.middle = t.swing.middle.Rotate(q.part.middle)
		q.play = t.swing.shift(q.middle)
	}
}

// core appends points, about the middle of the part, that lie in it at every turn.
func (p *part) core(t *turned, out []r3.Vec) []r3.Vec {
	s := &t.swing
	if s.ends == nil {
		for _, v := range p.verts {
			out = append(out, s.middle.Rotate(v))
		}
		return out
	}
	faces := t.faces[:0]
	for _, f := range p.faces {
		faces = append(faces, plane{s.middle.Rotate(f.n), f.h})
	}
	t.faces = faces
	least := 1.0 // of corners
	for k, ray := range p.rays {
		d := s.middle.Rotate(ray)
		length := norm(d)
		scale := 1.0
		for i := range faces {
			f := &faces[i]
			n := f.n
			// Of two opposite faces the one the ray points to decides.
			if p.symmetric && n.X*d.X+n.Y*d.Y+n.Z*d.Z < 0 {
				n = r3.Vec{X: -n.X, Y: -n.Y, Z: -n.Z}
			}
			if a := s.along(n, d, length); a*scale > f.h {
				scale = f.h / a
			}
		}
		if k < p.corners {
			least = min(least, scale)
		}
		if !(scale > 0) {
			continue
		}
		scale *= 1 - 1e-12 // rounding stays on the side of the core
		d = r3.Scale(scale, d)
		out = append(out, d)
		if p.symmetric {
			out = append(out, r3.Scale(-1, d))
		}
	}
	for _, b := range p.ball {
		// Within a box between the corners, of which each is there, it tells nothing.
		if !p.symmetric || slices.ContainsFunc(faces, func(f plane) bool { return math.Abs(r3.Dot(f.n, b)) > least*f.h }) {
			out = append(out, b)
		}
	}
	return out
}

// byDepths puts points in the order of their depths, and returns the extent of these.
func byDepths(ps []r3.Vec) span {
	if len(ps) == 0 {
		return noSpan
	}
	for i := 1; i < len(ps); i++ { // few: nothing is faster
		p, j := ps[i], i
		for ; j > 0 && p.Y < ps[j-1].Y; j-- {
			ps[j] = ps[j-1]
		}
		ps[j] = p
	}
	return span{ps[0].Y, ps[len(ps)-1].Y}
}

// outlines returns the outlines of points.
func outlines(ps []r3.Vec) (x, z outline) {
	xs, zs := make([]point, len(ps)), make([]point, len(ps))
	for i, p := range ps {
		xs[i], zs[i] = point{p.Y, p.X}, point{p.Y, p.Z}
	}
	return hullOf(xs), hullOf(zs)
}

// cornersOf appends where the corners of the part are.
func (p *part) cornersOf(s *swing, out []corner) []corner {
	for _, v := range p.verts {
		c := s.middle.Rotate(r3.Add(v, p.middle))
		out = append(out, corner{at: c, play: s.shift(c), own: s.shift(s.middle.Rotate(v))})
	}
	return out
}

// reach returns extents in x and z, about the reference point, that the part
// surely has inside the layer from l0 to l1, at every turn of the cell and every
// depth y0 to y1.
func (p *turnedPart) reach(l0, l1, y0, y1 float64) (x, z span) {
	x, z = noSpan, noSpan
	outX, outZ := p.outlines()
	if a := surely(outX, p.middle.Y, p.play.Y, l0, l1, y0, y1); !a.empty() {
		x = span{a.lo + p.middle.X + p.play.X, a.hi + p.middle.X - p.play.X}
	}
	if a := surely(outZ, p.middle.Y, p.play.Y, l0, l1, y0, y1); !a.empty() {
		z = span{a.lo + p.middle.Z + p.play.Z, a.hi + p.middle.Z - p.play.Z}
	}
	for _, c := range p.corners {
		if c.out || y0+c.at.Y-c.play.Y < l0 || y1+c.at.Y+c.play.Y > l1 {
			continue
		}
		x.lo, x.hi = min(x.lo, c.at.X+c.play.X), max(x.hi, c.at.X-c.play.X)
		z.lo, z.hi = min(z.lo, c.at.Z+c.play.Z), max(z.hi, c.at.Z-c.play.Z)
	}
	return x, z
}

// depth returns the extent in depth that the part surely has about the reference
// point.
func (p *turnedPart) depth() span {
	d := span{p.coreDepth.lo + p.middle.Y + p.play.Y, p.coreDepth.hi + p.middle.Y - p.play.Y}
	for _, c := range p.corners {
		if c.out {
			continue
		}
		d.lo, d.hi = min(d.lo, c.at.Y+c.play.Y), max(d.hi, c.at.Y-c.play.Y)
	}
	return d
}

// out returns the outlines in which the part lies at every turn, about the
// reference point.
func (p *part) out(s *swing) (x, z outline) {
	xs, zs := make([]point, 0, 4*len(p.verts)), make([]point, 0, 4*len(p.verts))
	for _, v := range p.verts {
		c := s.middle.Rotate(r3.Add(v, p.middle))
		d := s.shift(c)
		if d == (r3.Vec{}) {
			xs = append(xs, point{c.Y, c.X})
			zs = append(zs, point{c.Y, c.Z})
			continue
		}
		for _, y := range [2]float64{c.Y - d.Y, c.Y + d.Y} {
			xs = append(xs, point{y, c.X - d.X}, point{y, c.X + d.X})
			zs = append(zs, point{y, c.Z - d.Z}, point{y, c.Z + d.Z})
		}
	}
	return hullOf(xs), hullOf(zs)
}

// surely returns an extent in e that part p surely has inside the layer from
// l0 to l1, at every turn and every depth y0 to y1 of the reference point,
// relative to where its own middle's e is. The extent over a window that slides
// along a convex outline is concave, so that its ends decide.
func surely(o outline, middle, play, l0, l1, y0, y1 float64) span {
	a := o.across(l0-(y0+middle-play), l1-(y0+middle-play))
	b := o.across(l0-(y1+middle+play), l1-(y1+middle+play))
	if a.empty() || b.empty() {
		return noSpan
	}
	return span{max(a.lo, b.lo), min(a.hi, b.hi)}
}
