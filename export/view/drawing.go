package view

import (
	"bytes"
	"errors"
	"fmt"
	"image/png"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// finish makes the picture of a sheet.
func (s *sheet) finish(name, title string) (Picture, error) {
	var b bytes.Buffer
	if err := png.Encode(&b, s.img); err != nil {
		return Picture{}, fmt.Errorf("picture %s: %w", name, err)
	}
	return Picture{Name: name, Title: title, PNG: b.Bytes()}, nil
}

// prepare resolves o and refuses a subject without parts or with places that
// are no numbers.
func (s Subject) prepare(o Options) (Options, error) {
	o, err := o.resolve()
	if err != nil {
		return o, err
	}
	if len(s.drawn()) == 0 {
		return o, errors.New("nothing to draw")
	}
	for _, p := range slices.Concat(s.Parts, s.Open) {
		b := p.Solid.Bounds()
		for _, v := range []float64{b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z} {
			if math.IsNaN(v) || math.Abs(v) > 1e6 {
				return o, fmt.Errorf("part %q reaches to %g mm", p.Name, v)
			}
		}
	}
	return o, nil
}

// drawn returns the parts that pictures show: all but the room's, which are
// walls and a floor far larger than what stands in it.
func (s Subject) drawn() []scene.Part {
	return slices.DeleteFunc(slices.Clone(s.Parts), func(p scene.Part) bool { return p.Role == scene.RoleRoom })
}

// block returns the foot of a picture of s.
func (s Subject) block(name, note string) block {
	return block{title: s.Title, name: name, note: note, caution: s.Caution, units: s.Units}
}

// shapesOf returns parts as shapes with the looks of their roles.
func shapesOf(parts []scene.Part) []shape {
	out := make([]shape, len(parts))
	for i, p := range parts {
		out[i] = shapeOf(p, lookOf(p))
	}
	return out
}

// section returns what of shapes lies where n·p ≤ d. Equipment and hinges are
// not cut, as is the practice for bodies whose inside is not drawn: what the
// plane meets stays whole.
func section(shapes []shape, n r3.Vec, d float64) []shape {
	var out []shape
	for _, s := range shapes {
		whole := s.part.Role == scene.RoleEquipment || s.part.Role == scene.RoleHinge
		c, ok := s.cut(n, d)
		switch {
		case !ok:
		case whole:
			out = append(out, s)
		default:
			out = append(out, c)
		}
	}
	return out
}

// corner points of shapes.
func pointsOf(shapes []shape) []r3.Vec {
	var out []r3.Vec
	for _, s := range shapes {
		for _, f := range s.facets {
			out = append(out, f.pts...)
		}
	}
	return out
}

// boundsOf returns the box round shapes.
func boundsOf(shapes []shape) r3.Box {
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, p := range pointsOf(shapes) {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	return r3.Box{Min: lo, Max: hi}
}

// named is the parts of one thing, fixture or tank that a label names.
type named struct {
	of     string
	shapes []shape
}

// groups gathers shapes by what they belong to, in the order of the first part
// of each, without the cabinet, its doors, water and sand.
func groups(shapes []shape) []named {
	var out []named
	for _, s := range shapes {
		switch s.part.Role {
		case scene.RolePanel, scene.RoleLeaf, scene.RoleHinge, scene.RoleRoom, scene.RoleWater, scene.RoleSand:
			continue
		case scene.RoleFixture, scene.RoleGlass, scene.RoleBaffle, scene.RoleTrim, scene.RoleEquipment, scene.RoleArm:
		}
		if s.part.Of == "cabinet" { // members of the stand
			continue
		}
		i := slices.IndexFunc(out, func(n named) bool { return n.of == s.part.Of })
		if i < 0 {
			i = len(out)
			out = append(out, named{of: s.part.Of})
		}
		out[i].shapes = append(out[i].shapes, s)
	}
	return out
}

// tags returns the names of things in view, each at a place of it that no
// opaque part hides; what is hidden altogether gets none. It asks p to keep
// labels off the edges.
func tags(p *placer, cam camera, shapes []shape) []tag {
	var out []tag
	for _, g := range groups(shapes) {
		at, ok := visible(cam, g.shapes, shapes, p.taken)
		if !ok {
			continue
		}
		in := cam.extent(pointsOf(g.shapes))
		if len(g.shapes) > 1 && g.shapes[0].look.alpha < 1 {
			in = rect{at.x, at.y, at.x, at.y} // a tank is full of other things: name it from outside
		}
		out = append(out, tag{text: g.of, at: at, in: in, tone: ink, shown: func(q point) bool { return seen(cam, g.shapes, shapes, q) }})
	}
	for _, s := range shapes {
		for _, e := range s.edges(cam.eye) {
			p.avoid(cam.px(e.a), cam.px(e.b))
		}
	}
	slices.SortStableFunc(out, func(a, b tag) int {
		return int(math.Copysign(1, a.in.w()*a.in.h()-b.in.w()*b.in.h()))
	})
	return out
}

// visible returns where on paper something of shapes can be pointed at: of the
// places in the frame that no opaque shape hides and no rectangle of not covers
// the one nearest to its middle.
func visible(cam camera, of, all []shape, not []rect) (point, bool) {
	extent := cam.extent(pointsOf(of)).clip(cam.frame)
	middle := extent.middle()
	best, cost := point{}, math.Inf(1)
	const steps = 10
	for i := -steps; i <= steps; i++ {
		for j := -steps; j <= steps; j++ {
			const most = 0.96 / 2 // off the very border
			q := point{middle.x + most*extent.w()*float64(i)/steps, middle.y + most*extent.h()*float64(j)/steps}
			d := q.dist(middle)
			if d >= cost || slices.ContainsFunc(not, func(r rect) bool { return r.has(q) }) {
				continue
			}
			if seen(cam, of, all, q) {
				best, cost = q, d
			}
		}
	}
	return best, !math.IsInf(cost, 1)
}

// seen reports whether one of shapes is what is seen at q, or behind clear
// shapes only.
func seen(cam camera, of, all []shape, q point) bool {
	p := cam.scene(q)
	depth := math.Inf(-1)
	for _, s := range of {
		if in, out := s.pierced(p, cam.eye); in < out {
			depth = max(depth, out)
		}
	}
	return !math.IsInf(depth, -1) && !slices.ContainsFunc(all, func(s shape) bool {
		if s.look.alpha < 1 {
			return false
		}
		in, out := s.pierced(p, cam.eye)
		return in < out && out > depth+0.5
	})
}

// Understood draws the plan as it was read: a section from above, laid under
// the highest head of an opening, with the plan's own dimensions.
func Understood(s Subject, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	sh := newSheet(o)
	shapes := shapesOf(s.drawn())
	up := r3.Vec{Z: 1}
	height := s.cutHeight(shapes)
	below := section(shapes, up, height)
	if len(below) == 0 {
		below = shapes
	}
	overhead := slices.DeleteFunc(slices.Clone(shapes), func(f shape) bool {
		return f.part.Of == "cabinet" || boundsOf([]shape{f}).Min.Z < height
	})
	b := s.block("Your plan as it was read, from above", "seen from above, cut below the top; the front is at the bottom")
	area := sh.room(b)
	pts := append(pointsOf(below), pointsOf(overhead)...)
	cam, ms, left := sh.dimensioned(lookFrom(up), pts, area, s.Dimensions)
	if left > 0 {
		b.note += fmt.Sprintf("; %d more lengths have no room here", left)
	}
	b.scale = cam.scale
	sh.lay(render(below, cam, o.Supersample), cam.frame)
	sh.foot(b)
	p := &placer{area: area.grow(-8 * sh.unit)}
	outline := cam.extent(pts)
	sh.dimensions(cam, ms, outline, p)
	names := tags(p, cam, below)
	for _, g := range groups(overhead) {
		above := sh.phantom(cam, g.of+" (above)", pointsOf(g.shapes), p)
		if !slices.ContainsFunc(below, func(f shape) bool { return f.part.Of == g.of }) {
			names = append(names, above)
		}
	}
	for _, op := range s.Openings {
		h := op.Hole
		rim := []r3.Vec{h.Min, {X: h.Max.X, Y: h.Min.Y}, h.Max, {X: h.Min.X, Y: h.Max.Y}}
		r := cam.extent(rim)
		switch {
		case op.Side == scene.Top:
			names = append(names, sh.phantom(cam, op.Name+" (above)", rim, p))
		case h.Max.Z <= height:
			names = append(names, sh.phantom(cam, op.Name+" (below)", rim, p))
		default:
			names = append(names, tag{text: op.Name, at: r.middle(), in: r, tone: soft})
		}
	}
	sh.write(p, names)
	return sh.finish("understood", b.name)
}

// phantom draws the outline of what lies before the plane of a section, as a
// line of dashes and double dots, and returns its label.
func (s *sheet) phantom(cam camera, name string, of []r3.Vec, p *placer) tag {
	pts := make([]point, len(of))
	for i, v := range of {
		pts[i] = cam.px(v)
	}
	h := hull(pts)
	s.dashed(h, 1.1, soft, 22, 5, 3, 5, 3, 5)
	for i, a := range h {
		p.avoid(a, h[(i+1)%len(h)])
	}
	e := cam.extent(of)
	at := point{e.x1 - e.w()*0.25, e.y0}
	return tag{text: name, at: at, in: rect{at.x, at.y, at.x, at.y}, tone: soft}
}

// hull returns the convex outline round pts, to a millionth.
func hull(pts []point) []point {
	pts = slices.Clone(pts)
	// Points one above the other must not seem to stand apart by rounding: the
	// sorting below takes them from the lowest to the highest.
	for i, p := range pts {
		pts[i] = point{math.Round(p.x*1e6) / 1e6, math.Round(p.y*1e6) / 1e6}
	}
	slices.SortFunc(pts, func(a, b point) int {
		switch {
		case a.x < b.x || a.x == b.x && a.y < b.y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	turn := func(o, a, b point) float64 { return (a.x-o.x)*(b.y-o.y) - (a.y-o.y)*(b.x-o.x) }
	chain := func() (out []point) {
		for _, p := range pts {
			for len(out) > 1 && turn(out[len(out)-2], out[len(out)-1], p) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out
	}
	lower := chain()
	slices.Reverse(pts)
	upper := chain()
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

// cutHeight returns where the section from above is laid: just under the highest
// head of the side openings, so that what stands inside is mostly below, else
// just under the cabinet's top.
func (s Subject) cutHeight(shapes []shape) float64 {
	z := math.Inf(-1)
	for _, op := range s.Openings {
		if op.Side != scene.Top && !op.OpenFace {
			z = max(z, op.Hole.Max.Z)
		}
	}
	if math.IsInf(z, -1) {
		z = boundsOf(shapes).Max.Z
		for _, f := range shapes {
			if side(f.part, "top") {
				z = min(z, boundsOf([]shape{f}).Min.Z)
			}
		}
	}
	return z - 1
}

// Front draws the cabinet from the front with the doors away.
func Front(s Subject, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	sh := newSheet(o)
	shapes := slices.DeleteFunc(shapesOf(s.drawn()), func(f shape) bool { return f.part.Role == scene.RoleLeaf })
	b := s.block("From the front, doors away", "faint lines are hidden edges")
	area := sh.room(b)
	marks := slices.DeleteFunc(slices.Clone(s.Dimensions), s.inner)
	cam, ms, _ := sh.dimensioned(lookFrom(r3.Vec{Y: -1}), pointsOf(shapes), area, marks)
	b.scale = cam.scale
	sh.lay(render(shapes, cam, o.Supersample), cam.frame)
	sh.foot(b)
	p := &placer{area: area.grow(-8 * sh.unit)}
	sh.dimensions(cam, ms, cam.extent(pointsOf(shapes)), p)
	sh.write(p, tags(p, cam, shapes))
	return sh.finish("front", b.name)
}

// Side draws a section through the sump, seen from the right, and beside it one
// along it, seen from the front, both to one scale.
func Side(s Subject, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	sh := newSheet(o)
	shapes := shapesOf(s.drawn())
	sump := boundsOf(slices.DeleteFunc(slices.Clone(shapes), func(f shape) bool { return f.part.Of != "sump" }))
	if math.IsInf(sump.Min.X, 1) {
		sump = boundsOf(shapes)
	}
	x, y := r3.Vec{X: 1}, r3.Vec{Y: -1}
	across := section(shapes, x, clearOf(shapes, x, sump))
	along := section(shapes, y, clearOf(shapes, y, sump))
	b := s.block("Cut through the sump", "left: across, seen from the right, the front is at the left; right: seen from the front")
	area := sh.room(b)
	box := boundsOf(shapes)
	width := [2]float64{box.Max.Y - box.Min.Y, box.Max.X - box.Min.X}
	views := [2][]shape{across, along}
	cams := [2]camera{lookFrom(x), lookFrom(y)}
	var all [2][]r3.Vec
	var ms [2][]measure
	for i := range cams {
		all[i] = append(pointsOf(views[i]), box.Min, box.Max)
	}
	marks := s.uprights()
	// Each drawing gets the room that its width and its lines of measure ask
	// for, both at one scale; how many lines there are depends on the scale.
	lines := [2]float64{0.16 * area.w(), 0.16 * area.w()}
	var frames [2]rect
	for range 3 {
		share := math.Round(lines[0] + (area.w()-lines[0]-lines[1])*width[0]/(width[0]+width[1]))
		frames[0] = rect{area.x0, area.y0, area.x0 + share, area.y1}
		frames[1] = rect{area.x0 + share, area.y0, area.x1, area.y1}
		for i := range cams {
			cams[i].limit = 0
			cams[i], ms[i], _ = sh.dimensioned(cams[i], all[i], frames[i], marks[i])
			lines[i] = frames[i].w() - cams[i].room.w()
		}
		for i := range cams {
			cams[i].limit = min(cams[0].scale, cams[1].scale)
		}
	}
	for i := range cams {
		cams[i], ms[i], _ = sh.dimensioned(cams[i], all[i], frames[i], marks[i])
	}
	b.scale = cams[0].scale
	for i := range cams {
		sh.lay(render(views[i], cams[i], o.Supersample), cams[i].frame)
	}
	sh.foot(b)
	for i := range cams {
		p := &placer{area: frames[i].grow(-8 * sh.unit)}
		sh.dimensions(cams[i], ms[i], cams[i].extent(all[i]), p)
		sh.write(p, tags(p, cams[i], views[i]))
	}
	return sh.finish("side", b.name)
}

// uprights parts the vertical marks: those of cabinet, openings and display,
// and those of what is inside.
func (s Subject) uprights() (out [2][]scene.Mark) {
	for _, m := range s.Dimensions {
		d := r3.Sub(m.To, m.From)
		switch {
		case math.Abs(d.Z) < 0.999*r3.Norm(d):
		case s.inner(m):
			out[1] = append(out[1], m)
		default:
			out[0] = append(out[0], m)
		}
	}
	return out
}

// inner reports whether m is about something that stands in the cabinet.
func (s Subject) inner(m scene.Mark) bool {
	return slices.ContainsFunc(m.Parts, func(name string) bool {
		of, _, _ := strings.Cut(name, "/")
		return of != "cabinet" && of != "display" &&
			!slices.ContainsFunc(s.Openings, func(o scene.Opening) bool { return o.Name == of })
	})
}

// clearOf returns how far along n a plane is laid through the middle of box,
// moved where it would run within a pane or baffle.
func clearOf(shapes []shape, n r3.Vec, box r3.Box) float64 {
	a, b := r3.Dot(n, box.Min), r3.Dot(n, box.Max)
	a, b = min(a, b), max(a, b)
	const tries = 9
	for i := range tries {
		// The middle, then to both sides of it in turn.
		t := 0.5 + 0.045*float64((i+1)/2)*float64(1-2*(i%2))
		d := a + t*(b-a)
		thin := slices.ContainsFunc(shapes, func(s shape) bool {
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, p := range pointsOf([]shape{s}) {
				lo, hi = min(lo, r3.Dot(n, p)), max(hi, r3.Dot(n, p))
			}
			return s.look.alpha < 1 && hi-lo < 0.2*(b-a) && lo-1 < d && d < hi+1
		})
		if !thin {
			return d
		}
	}
	return (a + b) / 2
}

// ThreeQuarter draws everything from the front right corner, the doors open,
// the near side and glass and water clear.
func ThreeQuarter(s Subject, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	sh := newSheet(o)
	shapes := s.opened()
	for i, f := range shapes {
		switch l := &shapes[i].look; {
		case side(f.part, "right"):
			*l = l.clear(0.12)
		case f.part.Role == scene.RoleLeaf: // of a pair one is before the inside
			l.alpha = 0.4
		case f.part.Role == scene.RoleFixture: // would seem to stand in the display
			l.hidden = false
		}
	}
	b := s.block("All of it, doors open", "seen from the front right and above; the right side is drawn clear")
	area := sh.room(b)
	m := 40 * sh.unit
	cam := lookFrom(threeQuarter).fit(pointsOf(shapes), area, m, m, m, m)
	sh.lay(render(shapes, cam, o.Supersample), cam.frame)
	sh.foot(b)
	p := &placer{area: area.grow(-8 * sh.unit)}
	sh.write(p, tags(p, cam, shapes))
	return sh.finish("three-quarter", b.name)
}

// threeQuarter is where the eye is for views from a corner.
var threeQuarter = r3.Vec{X: 0.52, Y: -0.78, Z: 0.36}

// opened returns the shapes of s with the doors open.
func (s Subject) opened() []shape { return shapesOf(s.doorsOpen(s.drawn())) }

// doorsOpen returns parts of s with its leaves open.
func (s Subject) doorsOpen(parts []scene.Part) []scene.Part {
	parts = slices.DeleteFunc(slices.Clone(parts), func(p scene.Part) bool { return p.Role == scene.RoleLeaf })
	return append(parts, s.Open...)
}

// doorOpen returns parts of s with the leaves of one opening open, the others closed.
func (s Subject) doorOpen(parts []scene.Part, of string) []scene.Part {
	parts = slices.DeleteFunc(slices.Clone(parts), func(p scene.Part) bool { return p.Role == scene.RoleLeaf && p.Of == of })
	for _, l := range s.Open {
		if l.Of == of {
			parts = append(parts, l)
		}
	}
	return parts
}

// side reports whether p is of the cabinet's wall on that side.
func side(p scene.Part, name string) bool {
	return p.Role == scene.RolePanel && (p.Name == "cabinet/"+name || strings.HasPrefix(p.Name, "cabinet/"+name+" "))
}
