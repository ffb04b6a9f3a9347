package view

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// Close draws one place from where it can be seen, cutting away what hides it,
// with its marks as dimensions, the parts they are about emphasised, and where
// in the whole the place is.
//
// Door leaves are left out unless a mark is about them.
func Close(s Subject, p Place, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	parts := s.Parts
	if p.Open {
		parts = s.doorsOpen(parts)
	}
	return s.close(shapesOf(parts), p, o)
}

// Narrowest draws the moment t (0 to 1) of a leg of a way in as a close view,
// the door open that the way leads through.
func Narrowest(s Subject, m scene.Motion, leg int, t float64, p Place, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	if leg < 0 || leg > len(m.Path.Poses)-2 || !(t >= 0 && t <= 1) {
		return Picture{}, fmt.Errorf("the way of %s has no moment %g of leg %d", m.Thing, t, leg)
	}
	still, moving := s.parted(m)
	shapes := shapesOf(still)
	for _, part := range moving {
		part.Solid = part.Solid.Moved(m.Path.At(leg, t))
		shapes = append(shapes, shapeOf(part, lookOf(part)))
	}
	return s.close(shapes, p, o)
}

// named reports whether a mark's name is that of the part or of what it
// belongs to.
func isNamed(p scene.Part, name string) bool { return p.Name == name || p.Of == name }

// close draws the picture of a place among shapes.
func (s Subject) close(shapes []shape, p Place, o Options) (Picture, error) {
	if len(p.Marks) == 0 {
		return Picture{}, fmt.Errorf("close view %q: no mark to show", p.Title)
	}
	for _, m := range p.Marks {
		if n := r3.Norm(m.From) + r3.Norm(m.To); math.IsNaN(n) || n > 1e7 {
			return Picture{}, fmt.Errorf("close view %q: a mark is out of range", p.Title)
		}
	}
	about := focuses(shapes, p.Marks)
	shapes = staged(shapes, about)
	eye := viewpoint(shapes, about, p.Marks)
	b := s.block(p.Title, fromWords(eye))
	sh := newSheet(o)
	area := sh.room(b)
	column := math.Round(430 * sh.unit)
	frame := rect{area.x0, area.y0, area.x1 - column, area.y1}
	side := rect{frame.x1, area.y0, area.x1, area.y1}

	cam := lookFrom(eye)
	cam.frame, cam.at = frame, middleOf(p.Marks)
	cam.scale = min(frame.w(), frame.h()) / 2 / reach(shapes, about, p.Marks)
	shown, cut := opened(shapes, about, p.Marks, cam)
	if cut {
		b.note += "; what hides the place is cut away"
	}
	b.scale = cam.scale
	sh.lay(render(shown, cam, o.Supersample), frame)
	pl := &placer{area: frame.grow(-10 * sh.unit)}
	marked := sh.marks(cam, p, pl)
	var names []tag
	for _, g := range about {
		names = append(names, nameIn(cam, shown, marked, words(g.name), mix(g.tone, ink, 0.55), g.has)...)
	}
	// Other things only where they stand near: farther back they would be taken
	// for neighbours of the place.
	depth, within := r3.Dot(cam.at, cam.eye), min(frame.w(), frame.h())/2/cam.scale
	for _, g := range groups(shown) {
		if back := foremost(g.shapes, cam.eye); back < depth-within {
			continue
		}
		if !slices.ContainsFunc(about, func(a focus) bool {
			return isNamed(g.shapes[0].part, a.name) || slices.ContainsFunc(g.shapes, func(f shape) bool { return a.has(f.part) })
		}) {
			names = append(names, nameIn(cam, shown, marked, g.of, soft, func(p scene.Part) bool { return p.Of == g.of && p.Role != scene.RoleWater })...)
		}
	}
	for _, f := range shown {
		for _, e := range f.edges(cam.eye) {
			pl.avoid(cam.px(e.a), cam.px(e.b))
		}
	}
	sh.write(pl, names)
	sh.line(point{side.x0, side.y0 - 4*sh.unit}, point{side.x0, side.y1 + 4*sh.unit}, 0.9, ink)
	sh.column(side, shapes, about, p, o)
	sh.foot(b)
	name := p.Name
	if name == "" {
		name = fileName(p.Title)
	}
	return sh.finish(name, p.Title)
}

// fileName makes a file's name of a title: words of letters and digits joined
// by hyphens.
func fileName(title string) string {
	f := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	})
	if len(f) == 0 {
		return "place"
	}
	return strings.Join(f, "-")
}

// words writes a part's name for people.
func words(name string) string {
	of, part, _ := strings.Cut(name, "/")
	switch {
	case part == "":
		return of
	case name == "room/floor":
		return "house floor"
	case name == "cabinet/inside bottom":
		return "cabinet bottom"
	case strings.Contains(part, "leaf hinge"):
		return "hinge"
	case part == "leaf":
		return of
	case part == "left leaf":
		return "left door"
	case part == "right leaf":
		return "right door"
	case of == "cabinet": // a piece of a wall is named after the holes it lies beside
		for _, beside := range []string{" left of ", " right of ", " before ", " behind ", " below ", " above "} {
			part, _, _ = strings.Cut(part, beside)
		}
		if part != "top" {
			part += " wall"
		}
		return of + " " + part
	case of == "sump" || of == "display" || of == "stand" || of == "room":
		return of + " " + part
	}
	return of + " (" + part + ")"
}

// foremost returns how far toward an eye the nearest point of shapes lies.
func foremost(shapes []shape, eye r3.Vec) float64 {
	near := math.Inf(-1)
	for _, p := range pointsOf(shapes) {
		near = max(near, r3.Dot(p, eye))
	}
	return near
}

// nameIn returns the label of the parts that of picks, at a place of them in
// view and not under a mark; none where they are not in view.
func nameIn(cam camera, shapes []shape, marked []rect, text string, tone color.RGBA, of func(scene.Part) bool) []tag {
	picked := slices.DeleteFunc(slices.Clone(shapes), func(f shape) bool { return !of(f.part) })
	at, ok := visible(cam, picked, shapes, marked)
	if !ok {
		return nil
	}
	in := cam.extent(pointsOf(picked)).clip(cam.frame)
	if len(picked) > 1 {
		in = rect{at.x, at.y, at.x, at.y}
	}
	return []tag{{
		text: text, at: at, in: in, tone: tone, bold: tone != soft,
		shown: func(q point) bool { return seen(cam, picked, shapes, q) },
	}}
}

// A focus is what a mark names: a part, or all parts of a thing; with the
// colour they are given.
type focus struct {
	name string
	tone color.RGBA
}

func (f focus) has(p scene.Part) bool { return isNamed(p, f.name) }

// focuses returns what marks are about. A part that is not among shapes, as the
// closed box a sump is carried as, stands for its whole thing.
func focuses(shapes []shape, marks []scene.Mark) []focus {
	tones := []color.RGBA{blue, purple, bluishGreen}
	var out []focus
	for _, m := range marks {
		for _, name := range m.Parts {
			there := func(n string) bool {
				return slices.ContainsFunc(shapes, func(f shape) bool { return isNamed(f.part, n) })
			}
			if !there(name) {
				name, _, _ = strings.Cut(name, "/")
			}
			if there(name) && !slices.ContainsFunc(out, func(f focus) bool { return f.name == name }) {
				out = append(out, focus{name, tones[len(out)%len(tones)]})
			}
		}
	}
	return out
}

// staged prepares shapes for a close view: leaves and room are taken out where
// no mark is about them, what the marks are about is tinted, all else made pale.
func staged(shapes []shape, about []focus) []shape {
	around := boundsOf(slices.DeleteFunc(slices.Clone(shapes), func(f shape) bool { return f.part.Role == scene.RoleRoom }))
	var out []shape
	for _, f := range shapes {
		i := slices.IndexFunc(about, func(a focus) bool { return a.has(f.part) })
		switch {
		case f.part.Role == scene.RoleWater || f.part.Role == scene.RoleSand:
			f.look = f.look.pale()
		case f.part.Role == scene.RoleArm:
			// As it is: soft before all that is hard.
		case i >= 0:
			f.look = f.look.tinted(about[i].tone)
		case f.part.Role == scene.RoleLeaf || f.part.Role == scene.RoleRoom:
			continue
		default:
			f.look = f.look.pale()
		}
		if f.part.Role == scene.RoleRoom {
			var ok bool
			if f, ok = f.trimmed(around, 400); !ok {
				continue
			}
		}
		out = append(out, f)
	}
	return out
}

// trimmed returns what of s lies within b grown by d mm.
func (s shape) trimmed(b r3.Box, d float64) (shape, bool) {
	ok := true
	for _, c := range []struct {
		n   r3.Vec
		off float64
	}{
		{r3.Vec{X: 1}, b.Max.X + d},
		{r3.Vec{X: -1}, d - b.Min.X},
		{r3.Vec{Y: 1}, b.Max.Y + d},
		{r3.Vec{Y: -1}, d - b.Min.Y},
		{r3.Vec{Z: 1}, b.Max.Z + d},
		{r3.Vec{Z: -1}, d - b.Min.Z},
	} {
		if ok {
			s, ok = s.cut(c.n, c.off)
		}
	}
	return s, ok
}

// middleOf returns the middle of all marks.
func middleOf(marks []scene.Mark) r3.Vec {
	var c r3.Vec
	for _, m := range marks {
		c = r3.Add(c, r3.Scale(0.5/float64(len(marks)), r3.Add(m.From, m.To)))
	}
	return c
}

// reach returns how much a close view shows on every side of its middle in mm:
// enough to know the parts again and to see the place.
func reach(shapes []shape, about []focus, marks []scene.Mark) float64 {
	gap, far := 0.0, 0.0
	c := middleOf(marks)
	for _, m := range marks {
		gap = max(gap, r3.Norm(r3.Sub(m.To, m.From)))
		far = max(far, r3.Norm(r3.Sub(m.From, c)), r3.Norm(r3.Sub(m.To, c)))
	}
	least := math.Inf(1)
	for _, f := range shapes {
		if f.part.Role == scene.RoleArm {
			return max(armShown, 1.35*far)
		}
		if slices.ContainsFunc(about, func(a focus) bool { return a.has(f.part) }) {
			b := boundsOf([]shape{f})
			d := r3.Sub(b.Max, b.Min)
			least = min(least, max(d.X, d.Y, d.Z))
		}
	}
	if math.IsInf(least, 1) {
		least = 200
	}
	return max(110, 1.35*far, min(7*gap, 150), min(0.7*least, 280))
}

// armShown is how far round a place is drawn to which an arm reaches, in mm: the
// hand and most of the forearm.
const armShown = 300

// viewpoints are the directions a place may be seen from, the plainest first.
var viewpoints = []struct {
	eye   r3.Vec
	words string
}{
	{r3.Vec{Y: -1}, "seen from the front"},
	{r3.Vec{Z: 1}, "seen from above; the front is at the bottom"},
	{r3.Vec{X: 1}, "seen from the right; the front is to the left"},
	{r3.Vec{X: -1}, "seen from the left; the front is to the right"},
	{r3.Vec{X: 0.52, Y: -0.78, Z: 0.36}, "seen from the front right and above"},
	{r3.Vec{X: -0.52, Y: -0.78, Z: 0.36}, "seen from the front left and above"},
	{r3.Vec{Y: 1}, "seen from the back; right and left change places"},
	{r3.Vec{X: 0.52, Y: 0.78, Z: 0.36}, "seen from the back right and above"},
	{r3.Vec{X: -0.52, Y: 0.78, Z: 0.36}, "seen from the back left and above"},
	{r3.Vec{Z: -1}, "seen from below; the front is at the top"},
}

// fromWords tells a viewpoint in words.
func fromWords(eye r3.Vec) string {
	i := slices.IndexFunc(viewpoints, func(v struct {
		eye   r3.Vec
		words string
	},
	) bool {
		return v.eye == eye
	})
	return viewpoints[i].words
}

// aslant is what it counts against a view from a corner that a dimension is not
// seen there square, and what is cut is cut aslant.
const aslant = 1.5

// viewpoint chooses from where the marks are seen best: in true length, with
// the fewest opaque parts before them, and both parts in view.
func viewpoint(shapes []shape, about []focus, marks []scene.Mark) r3.Vec {
	best, cost := viewpoints[0].eye, math.Inf(1)
	for i, v := range viewpoints {
		eye := r3.Unit(v.eye)
		c := 0.12 * float64(i)
		for _, m := range marks {
			if d, ok := across(shapes, about, m); ok {
				along := r3.Dot(d, eye)
				c += 4 * along * along // a dimension seen along its length says nothing
				if max(math.Abs(eye.X), math.Abs(eye.Y), math.Abs(eye.Z)) < 1 {
					c += aslant
				}
			}
			for _, f := range shapes {
				switch {
				case f.look.alpha < 1 || !slices.ContainsFunc(samples(m), func(p r3.Vec) bool { return f.chord(p, eye) > 0.5 }):
				case slices.ContainsFunc(about, func(a focus) bool { return a.has(f.part) }):
					c += 1.2 // cutting what it is about is worse than cutting what is not
				default:
					c += 0.7
				}
			}
		}
		if c < cost-1e-9 {
			best, cost = v.eye, c
		}
	}
	return best
}

// across returns the direction, of unit length, that a mark measures along; for
// two parts that touch, that of the face between them, and for two that stand
// apart and no arm that reaches between them that from one to the other; false
// where there is none.
func across(shapes []shape, about []focus, m scene.Mark) (r3.Vec, bool) {
	if d := r3.Sub(m.To, m.From); r3.Norm(d) > near {
		return r3.Unit(d), true
	}
	if len(about) < 2 {
		return r3.Vec{}, false
	}
	const touch = 0.01 // mm
	for i, f := range about[:2] {
		beyond := pointsOf(picked(shapes, about[1-i]))
		for _, s := range shapes {
			if !f.has(s.part) {
				continue
			}
			for _, g := range s.facets {
				if math.Abs(r3.Dot(g.normal, m.From)-g.off) < touch &&
					!slices.ContainsFunc(beyond, func(p r3.Vec) bool { return r3.Dot(g.normal, p)-g.off < -touch }) {
					return g.normal, true
				}
			}
		}
	}
	if slices.ContainsFunc(shapes, func(s shape) bool { return s.part.Role == scene.RoleArm }) {
		return r3.Vec{}, false
	}
	p, q := boundsOf(picked(shapes, about[0])), boundsOf(picked(shapes, about[1]))
	d, widest := r3.Vec{}, near
	for _, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		if gap := max(r3.Dot(axis, r3.Sub(q.Min, p.Max)), r3.Dot(axis, r3.Sub(p.Min, q.Max))); gap > widest {
			d, widest = axis, gap
		}
	}
	return d, widest > near
}

// picked returns those of shapes that a focus is on.
func picked(shapes []shape, f focus) []shape {
	return slices.DeleteFunc(slices.Clone(shapes), func(s shape) bool { return !f.has(s.part) })
}

// samples returns the points of a mark that are to be seen.
func samples(m scene.Mark) []r3.Vec {
	mid := r3.Scale(0.5, r3.Add(m.From, m.To))
	return []r3.Vec{mid, r3.Add(r3.Scale(0.9, m.From), r3.Scale(0.1, mid)), r3.Add(r3.Scale(0.9, m.To), r3.Scale(0.1, mid))}
}

// opened cuts away what is nearer to the eye than a mark: of opaque shapes those
// that hide it, of clear ones all but what the marks are about, whose tint would
// only lie over everything. It reports whether anything opaque was cut.
func opened(shapes []shape, about []focus, marks []scene.Mark, cam camera) (out []shape, cut bool) {
	for _, f := range shapes {
		meant := slices.ContainsFunc(about, func(a focus) bool { return a.has(f.part) })
		sheer := f.look.alpha < 1
		if sheer && meant {
			out = append(out, f)
			continue
		}
		keep := true
		for _, m := range marks {
			pts := samples(m)
			if !meant { // room round the place as well, for ring and dimension
				for _, d := range []point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					r := 28 / cam.scale
					pts = append(pts, r3.Add(pts[0], r3.Add(r3.Scale(d.x*r, cam.right), r3.Scale(d.y*r, cam.up))))
				}
			}
			if !sheer && !slices.ContainsFunc(pts, func(p r3.Vec) bool { return f.chord(p, cam.eye) > 0.5 }) {
				continue
			}
			g, ok := f.cut(cam.eye, r3.Dot(cam.eye, pts[0]))
			cut = cut || !sheer
			if keep = ok; !ok {
				break
			}
			f = g
		}
		if keep {
			out = append(out, f)
		}
	}
	return out, cut
}

// marks draws the marks of a place: the line of measure, its label, and the
// place ringed in the colour of the verdict, or the line underlaid with it where
// it is long enough to be seen by itself. It returns where labels and lines of
// measure are.
func (s *sheet) marks(cam camera, p Place, pl *placer) (at []rect) {
	tone := verdictColour(p.Verdict)
	face := typeface{true, sizeTitle}
	const long = 150
	var labels []tag
	for _, m := range p.Marks {
		a, b := cam.px(m.From), cam.px(m.To)
		c, r := mid(a, b), 0.0
		switch {
		case a.dist(b) > long*s.unit:
			s.line(a, b, 15, paper)
			s.line(a, b, 9, mix(tone, paper, 0.4))
			pl.take(rect{min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)}.grow(9 * s.unit))
		default:
			r = max(a.dist(b)/2+34*s.unit, 52*s.unit)
			s.outline(circle(c, r), 8, paper)
			s.outline(circle(c, r), 4.5, tone)
			pl.take(rect{c.x - r, c.y - r, c.x + r, c.y + r})
		}
		if a.dist(b) > 1.5 {
			d := b.sub(a).unit().left().scale(15 * s.unit)
			for _, end := range []point{a, b} { // where the measure ends
				s.line(end.sub(d), end.add(d), 4, paper)
				s.line(end.sub(d), end.add(d), 1.4, ink)
			}
			s.measured(a, b)
			at = append(at, rect{min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)}.grow(14*s.unit))
		} else {
			s.fill(paper, 1, circle(c, 7*s.unit))
			s.fill(ink, 1, circle(c, 4.5*s.unit))
		}
		if m.Label != "" {
			labels = append(labels, tag{text: m.Label, at: c, in: rect{c.x - r, c.y - r, c.x + r, c.y + r}, tone: ink})
		}
	}
	for _, t := range labels {
		w, h := s.width(t.text, face)+22*s.unit, s.height(face)+14*s.unit
		r, ok := pl.near(t, w, h, t.in.w()/2+18*s.unit)
		if !ok {
			continue
		}
		q := nearest(r, t.at)
		on := t.at.add(q.sub(t.at).unit().scale(t.in.w() / 2))
		s.line(on, q, 2.2, tone)
		s.fill(paper, 1, corners(r))
		s.box(r, 2.2, tone)
		s.textIn(r, t.text, face, ink)
		pl.take(r)
		at = append(at, r)
	}
	return at
}

// column writes verdict and summary beside a close view and shows where in the
// whole the place is.
func (s *sheet) column(r rect, shapes []shape, about []focus, p Place, o Options) {
	u := s.unit
	pad := 24 * u
	y := r.y0 + pad
	if p.Verdict != "" {
		s.glyph(point{r.x0 + pad + 30*u, y + 34*u}, 28*u, p.Verdict)
		s.text(point{r.x0 + pad + 80*u, y + 47*u}, p.Verdict, typeface{true, 38}, ink)
		y += 92 * u
	}
	low := r.y1 - min(0.42*r.h(), 400*u)
	text := typeface{false, sizeText}
	for _, l := range s.wrap(p.Summary, text, r.w()-2*pad) {
		if y+34*u > low {
			break
		}
		y += 33 * u
		s.text(point{r.x0 + pad, y}, l, text, ink)
	}
	frame := rect{r.x0 + 2, math.Round(low), r.x1, r.y1}
	small := slices.Clone(shapes)
	for i, f := range small {
		if f.part.Role == scene.RolePanel {
			small[i].look = lookOf(f.part).clear(0.1)
			small[i].look.line = soft
		}
		small[i].look.width *= 0.7
		small[i].look.hidden = false
	}
	display := slices.ContainsFunc(about, func(a focus) bool { return strings.HasPrefix(a.name, "display") })
	small = slices.DeleteFunc(small, func(f shape) bool {
		return f.part.Role == scene.RoleRoom || f.part.Role == scene.RoleWater || f.part.Of == "display" && !display
	})
	m := 24 * u
	cam := lookFrom(threeQuarter).fit(pointsOf(small), frame, m, 44*u, m, m)
	s.lay(render(small, cam, o.Supersample), cam.frame)
	s.line(point{frame.x0, frame.y0}, point{frame.x1, frame.y0}, 0.9, ink)
	s.text(point{r.x0 + pad, frame.y0 + 34*u}, "where it is", typeface{false, sizeSmall}, soft)
	for _, k := range p.Marks {
		c := mid(cam.px(k.From), cam.px(k.To))
		s.outline(circle(c, 19*u), 7, paper)
		s.outline(circle(c, 19*u), 4, verdictColour(p.Verdict))
	}
}
