package view

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// parted returns what stands still during m, with the door open that the way leads
// through and without what is absent, and what moves, where it is at rest.
func (s Subject) parted(m scene.Motion) (still, moving []scene.Part) {
	byName := slices.ContainsFunc(s.Parts, func(p scene.Part) bool { return slices.Contains(m.Parts, p.Name) })
	for _, p := range s.doorOpen(s.Parts, m.Through) {
		moves := slices.Contains(m.Parts, p.Name)
		if !byName { // carried closed: its parts have other names
			moves = p.Of == m.Thing
		}
		switch {
		case p.Role == scene.RoleWater && p.Of == m.Thing: // it is carried empty
		case moves:
			moving = append(moving, p)
		case !slices.ContainsFunc(m.Absent, func(n string) bool { return isNamed(p, n) }):
			still = append(still, p)
		}
	}
	return still, moving
}

// During returns what is there while a thing moves: no water or sand, and
// nothing that is absent.
func (s Subject) During(m scene.Motion) Subject {
	away := func(p scene.Part) bool {
		return p.Role == scene.RoleWater || p.Role == scene.RoleSand ||
			slices.Contains(m.Absent, p.Of) || slices.Contains(m.Absent, p.Name)
	}
	s.Parts = slices.DeleteFunc(slices.Clone(s.Parts), away)
	s.Open = slices.DeleteFunc(slices.Clone(s.Open), away)
	return s
}

// A step is one panel of a strip: the thing at a moment of the way, counted in
// legs from the start.
type step struct {
	at    float64
	text  string
	hands string // where they are, where that is said
}

// steps divides a way into 4, 6 or 8 steps, which fill two rows: the start and
// the end of each move. Of fewer the longest move is halved; of more the shortest
// are joined.
func steps(m scene.Motion) []step {
	legs := len(m.Path.Poses) - 1
	move := func(leg int) int {
		if leg < len(m.MoveOf) {
			return m.MoveOf[leg]
		}
		return leg
	}
	text := func(leg int) string {
		if i := move(leg); i >= 0 && i < len(m.Moves) {
			return m.Moves[i]
		}
		return ""
	}
	start := cmp.Or(m.Begins(), "start outside")
	if m.Out {
		start = "where it stands"
	}
	hands := func(leg int) string {
		if i := move(leg); i >= 0 && i < len(m.Hands) {
			return m.Hands[i].Short
		}
		return ""
	}
	out := []step{{at: 0, text: start}}
	if m.Begins() != "" && len(m.Hands) > 0 {
		out[0].hands = m.Hands[0].Short
	}
	for leg := range legs {
		if leg == legs-1 || move(leg+1) != move(leg) {
			out = append(out, step{float64(leg + 1), text(leg), hands(leg)})
		}
	}
	const fewest, most = 4, 8
	for len(out) > most {
		i := 1 // the end of the first of the two that make the shortest whole
		for j := 1; j+1 < len(out); j++ {
			if travel(m, out[j-1].at, out[j+1].at) < travel(m, out[i-1].at, out[i+1].at) {
				i = j
			}
		}
		out[i+1].text = out[i].text + ", then " + out[i+1].text
		if out[i+1].hands == "" || out[i].hands == "" {
			out[i+1].hands += out[i].hands
		} else {
			out[i+1].hands = out[i].hands + ", then " + out[i+1].hands
		}
		out = slices.Delete(out, i, i+1)
	}
	for len(out) < fewest || len(out)%2 == 1 {
		i := 1
		for j := 2; j < len(out); j++ {
			if travel(m, out[j-1].at, out[j].at) > travel(m, out[i-1].at, out[i].at)+1e-9 {
				i = j
			}
		}
		half := step{halfway(m, out[i-1].at, out[i].at), out[i].text + ": on the way", ""}
		out = slices.Insert(out, i, half)
	}
	return out
}

// travel returns how far the thing goes from moment a to b, in mm; a turn counts
// as the way of a point 200 mm off.
func travel(m scene.Motion, a, b float64) float64 {
	sum := 0.0
	for leg := int(a); float64(leg) < b; leg++ {
		share := min(b, float64(leg+1)) - max(a, float64(leg))
		p, q := m.Path.Poses[leg].Apply(m.Path.Ref), m.Path.Poses[leg+1].Apply(m.Path.Ref)
		sum += share * (r3.Norm(r3.Sub(q, p)) + 200*m.Path.Angle(leg))
	}
	return sum
}

// halfway returns the moment at which half of the way from a to b is done.
func halfway(m scene.Motion, a, b float64) float64 {
	lo, hi, half := a, b, travel(m, a, b)/2
	for range 40 {
		c := (lo + hi) / 2
		if travel(m, a, c) < half {
			lo = c
		} else {
			hi = c
		}
	}
	return (lo + hi) / 2
}

// eyes are from where a way through an opening on each side is seen.
var eyes = map[scene.Face]r3.Vec{
	scene.Front:  {X: 0.55, Y: -0.75, Z: 0.42},
	scene.Back:   {X: -0.55, Y: 0.75, Z: 0.42},
	scene.Left:   {X: -0.75, Y: -0.55, Z: 0.42},
	scene.Right:  {X: 0.75, Y: -0.55, Z: 0.42},
	scene.Top:    {X: 0.55, Y: -0.75, Z: 0.55},
	scene.Bottom: {X: 0.55, Y: -0.75, Z: 0.42},
}

// Strip draws a way in or out as 4, 6 or 8 steps with the moves in words, and where the
// hands are: in each panel
// the thing at the end of its move, and faintly where the step before left it.
// What is absent during the motion, the water and, unless the way leads through
// the top, the display are left out; walls are clear.
func Strip(s Subject, m scene.Motion, o Options) (Picture, error) {
	o, err := s.prepare(o)
	if err != nil {
		return Picture{}, err
	}
	if len(m.Path.Poses) < 2 {
		return Picture{}, fmt.Errorf("the way of %s has no leg", m.Thing)
	}
	through := scene.Front
	for _, op := range s.Openings {
		if op.Name == m.Through {
			through = op.Side
		}
	}
	still, moving := s.parted(m)
	if len(moving) == 0 {
		return Picture{}, fmt.Errorf("the way of %s: nothing of that name to move", m.Thing)
	}
	var around []shape
	for _, p := range still {
		if p.Role == scene.RoleRoom || p.Role == scene.RoleWater || p.Of == "display" && through != scene.Top {
			continue
		}
		l := lookOf(p)
		switch p.Role {
		case scene.RolePanel:
			if p.Name != "cabinet/inside bottom" {
				l = l.clear(0.1)
				l.line = soft
			}
		case scene.RoleLeaf:
			l = l.clear(0.25)
			l.line = soft
		case scene.RoleHinge, scene.RoleFixture, scene.RoleGlass, scene.RoleBaffle, scene.RoleTrim,
			scene.RoleEquipment, scene.RoleRoom, scene.RoleWater, scene.RoleSand, scene.RoleArm:
			l = l.pale()
			l.hidden = false
		}
		around = append(around, shapeOf(p, l))
	}
	all := steps(m)
	poses := make([][]shape, len(all))
	for i, st := range all {
		leg := min(int(st.at), len(m.Path.Poses)-2)
		pose := m.Path.At(leg, st.at-float64(leg))
		for _, p := range moving {
			p.Solid = p.Solid.Moved(pose)
			poses[i] = append(poses[i], shapeOf(p, carried(p)))
		}
	}
	pts := pointsOf(around)
	for _, f := range poses {
		pts = append(pts, pointsOf(f)...)
	}

	who := m.Thing
	if len(moving) == 1 { // one of several parts that travel apart
		who = words(moving[0].Name)
	}
	way := "way in"
	if m.Out {
		way = "way out"
	}
	title := "The " + way + ": " + who
	if m.Through != "" {
		title += " through " + m.Through
	}
	b := s.block(title, "each picture shows where a move ends; faint: where it began; walls are drawn clear")
	sh := newSheet(o)
	area := sh.room(b)
	columns := (len(all) + 1) / 2
	const rows = 2
	// As many lines of text as the longest move takes, within reason.
	face := typeface{false, sizeLabel}
	texts, hands := make([][]string, len(all)), make([][]string, len(all))
	const fewLines, mostLines = 2, 6
	lines := fewLines
	for i, st := range all {
		texts[i] = sh.wrap(st.text, face, area.w()/float64(columns)-78*sh.unit)
		if st.hands != "" {
			hands[i] = sh.wrap(st.hands, face, area.w()/float64(columns)-78*sh.unit)
		}
		lines = max(lines, min(len(texts[i])+len(hands[i]), mostLines))
	}
	caption := (24 + 27*float64(lines)) * sh.unit
	eye := eyes[through]
	for i := range all {
		x, y := float64(i%columns), float64(i/columns)
		cell := rect{
			math.Round(area.x0 + area.w()*x/float64(columns)), math.Round(area.y0 + area.h()*y/rows),
			math.Round(area.x0 + area.w()*(x+1)/float64(columns)), math.Round(area.y0 + area.h()*(y+1)/rows),
		}
		frame := rect{cell.x0, cell.y0, cell.x1, math.Round(cell.y1 - caption)}
		g := 14 * sh.unit
		cam := lookFrom(eye).fit(pts, frame, g, g, g, g)
		shapes := slices.Clone(around)
		if i > 0 {
			for _, f := range poses[i-1] {
				f.look.alpha, f.look.hidden, f.look.width = 0.05, false, 1
				f.look.line = mix(blue, paper, 0.6)
				shapes = append(shapes, f)
			}
		}
		shapes = append(shapes, poses[i]...) // its lines over those of the step before
		sh.lay(render(shapes, cam, o.Supersample), cam.frame)
		if i > 0 {
			sh.way(cam, poses[i-1], poses[i])
		}
		if i%columns > 0 {
			sh.line(point{cell.x0, cell.y0}, point{cell.x0, cell.y1}, 0.9, faint)
		}
		if i >= columns {
			sh.line(point{cell.x0, cell.y0}, point{cell.x1, cell.y0}, 0.9, faint)
		}
		n := point{cell.x0 + 34*sh.unit, frame.y1 + 26*sh.unit}
		sh.fill(ink, 1, circle(n, 17*sh.unit))
		sh.textIn(rect{n.x - 1, n.y - 1, n.x + 1, n.y + 1}, fmt.Sprint(i+1), typeface{true, sizeLabel}, paper)
		text := texts[i]
		if n := max(1, lines-len(hands[i])); len(text) > n {
			text = append(text[:n-1:n-1], sh.fitted(strings.Join(text[n-1:], " "), face, cell.w()-78*sh.unit))
		}
		for j, l := range slices.Concat(text, hands[i]) {
			tone := ink
			if j >= len(text) {
				tone = soft
			}
			sh.text(point{cell.x0 + 62*sh.unit, frame.y1 + (33+27*float64(j))*sh.unit}, l, face, tone)
		}
	}
	sh.foot(b)
	return sh.finish(fileName(way+" "+who), title)
}

// carried is the look of what is carried in.
func carried(p scene.Part) look {
	l := lookOf(p).tinted(blue)
	l.width, l.hidden = 1.8, true
	if p.Role == scene.RoleGlass {
		l.alpha = 0.34
	}
	return l
}

// way draws an arrow from where a thing was to where it is.
func (s *sheet) way(cam camera, from, to []shape) {
	a, b := boundsOf(from), boundsOf(to)
	p, q := cam.px(r3.Scale(0.5, r3.Add(a.Min, a.Max))), cam.px(r3.Scale(0.5, r3.Add(b.Min, b.Max)))
	if p.dist(q) < 26*s.unit {
		return
	}
	s.line(p, q, 6, paper)
	s.line(p, q, 2.4, vermillion)
	d := q.sub(p).unit()
	s.fill(vermillion, 1, []point{
		q.add(d.scale(4 * s.unit)),
		q.sub(d.scale(16 * s.unit)).add(d.left().scale(8 * s.unit)),
		q.sub(d.scale(16 * s.unit)).sub(d.left().scale(8 * s.unit)),
	})
}
