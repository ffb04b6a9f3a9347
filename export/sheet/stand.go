package sheet

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
)

// errNoStand says that there is no stand to draw.
var errNoStand = errors.New("the plan does not describe the stand")

// Stand returns a page with the members of the stand in a slanted view, each with
// what it has to bear beside it. The findings are those of the scene. Where the
// plan describes no timbers or boards there is no page.
func Stand(s *scene.Scene, found verdict.Findings) ([]byte, error) {
	d, err := newStandDrawing(s, found)
	if err != nil {
		return nil, err
	}
	return d.page().svg()
}

// StandPNG returns the same page as a picture, at a number of pixels to the
// millimetre.
func StandPNG(s *scene.Scene, found verdict.Findings, perMM float64) ([]byte, error) {
	d, err := newStandDrawing(s, found)
	if err != nil {
		return nil, err
	}
	return d.page().png(perMM)
}

// A standDrawing shows boxes in a cabinet projection: the front true to scale,
// what runs back slanted to the upper right and shortened.
type standDrawing struct {
	carrying
	bars   []bar
	p      pen
	origin point
}

// A bar is one timber or board.
type bar struct {
	name    string
	box     r3.Box
	ratio   float64 // the largest it may be
	low     float64
	governs string
	verdict verdict.Verdict
	judged  bool
	through bool      // other boxes reach through it: only its outline is drawn
	drawn   [][]point // its faces on paper
}

// The slant of what runs back, on paper for each mm.
const (
	slantX = 0.45
	slantY = 0.32
)

func newStandDrawing(s *scene.Scene, found verdict.Findings) (*standDrawing, error) {
	d := &standDrawing{carrying: carrying{s: s, found: found}}
	if s.Stand == nil {
		return nil, errNoStand
	}
	for _, m := range s.Stand.Members {
		d.add(m.Name, m.Box)
	}
	for _, b := range slices.Concat(s.Stand.Dividers, s.Stand.Plinth) {
		d.add(b.Name, b.Box)
	}
	if len(s.Stand.Members) == 0 && s.Stand.Board != "" {
		d.walls()
	}
	d.bottom()
	if len(d.bars) == 0 {
		return nil, errNoStand
	}
	d.sort()
	return d, nil
}

// add adds a box; its numbers are those of the finding that is named after it.
func (d *standDrawing) add(name string, box r3.Box) {
	b := bar{name: name, box: box, ratio: math.NaN()}
	if f, ok := finding(d.found, "stand/"+name); ok {
		b.judged, b.verdict, b.ratio = true, f.Verdict, measure(f, "ratio")
		b.low = measure(f, "ratio_low")
		for _, m := range f.Measures {
			if g, ok := m.Value.(string); ok && m.Key == "governs" {
				b.governs = g
			}
		}
	}
	d.bars = append(d.bars, b)
}

// bottom adds the inside bottom where it was judged.
func (d *standDrawing) bottom() {
	const name = "inside bottom"
	b := d.s.Cabinet.Bottom
	if _, ok := finding(d.found, "stand/"+name); !ok || b == nil {
		return
	}
	box := d.s.Cabinet.Inside()
	box.Min.Z, box.Max.Z = (b.Up - b.Thickness).MM(), b.Up.MM()
	d.add(name, box)
	d.bars[len(d.bars)-1].through = len(d.s.Stand.Members) > 0
}

// walls adds the boards of a cabinet that carry: sides, back and what is left
// over the openings of the front. Top and front are left away.
func (d *standDrawing) walls() {
	c := &d.s.Cabinet
	w, dp, h := c.Width.MM(), c.Depth.MM(), (c.Height - c.Lid.Thickness).MM()
	front, back := c.Front.Thickness.MM(), c.Back.Thickness.MM()
	d.add("left side", r3.Box{Min: r3.Vec{Y: front}, Max: r3.Vec{X: c.Left.Thickness.MM(), Y: dp - back, Z: h}})
	d.add("right side", r3.Box{Min: r3.Vec{X: w - c.Right.Thickness.MM(), Y: front}, Max: r3.Vec{X: w, Y: dp - back, Z: h}})
	if back > 0 {
		d.add("back", r3.Box{Min: r3.Vec{Y: dp - back}, Max: r3.Vec{X: w, Y: dp, Z: h}})
	}
	for _, o := range c.Openings {
		if o.Side == scene.Front && !o.OpenFace && o.Hole.Max.Z < h {
			d.add("rail over "+o.Name, r3.Box{
				Min: r3.Vec{X: o.Hole.Min.X, Z: o.Hole.Max.Z}, Max: r3.Vec{X: o.Hole.Max.X, Y: front, Z: h},
			})
		}
	}
}

// sort puts what stands behind first. Of two boxes that a plane parts across one
// axis, the one farther along the view is behind; where planes across two axes
// say otherwise, the view parts them too and the order does not matter.
func (d *standDrawing) sort() {
	const touch = 0.5
	behind := func(a, b r3.Box) bool {
		far := a.Min.Y >= b.Max.Y-touch || a.Max.X <= b.Min.X+touch || a.Max.Z <= b.Min.Z+touch
		near := a.Max.Y <= b.Min.Y+touch || a.Min.X >= b.Max.X-touch || a.Min.Z >= b.Max.Z-touch
		return far && !near
	}
	left := slices.Clone(d.bars)
	d.bars = d.bars[:0:0]
	for len(left) > 0 {
		next := 0
		for i, b := range left {
			if !slices.ContainsFunc(left, func(o bar) bool { return o.name != b.name && behind(o.box, b.box) }) {
				next = i
				break
			}
		}
		d.bars = append(d.bars, left[next])
		left = slices.Delete(left, next, next+1)
	}
}

// at returns where a point is on paper.
func (d *standDrawing) at(v r3.Vec) point {
	return point{
		d.origin.x + (v.X+slantX*v.Y)/d.scale,
		d.origin.y - (v.Z+slantY*v.Y)/d.scale,
	}
}

// faces returns the three faces of a box that are seen: front, top and right.
func (d *standDrawing) faces(b r3.Box) [][]point {
	at := func(x, y, z float64) point { return d.at(r3.Vec{X: x, Y: y, Z: z}) }
	lo, hi := b.Min, b.Max
	return [][]point{
		{at(lo.X, lo.Y, lo.Z), at(hi.X, lo.Y, lo.Z), at(hi.X, lo.Y, hi.Z), at(lo.X, lo.Y, hi.Z)},
		{at(lo.X, lo.Y, hi.Z), at(hi.X, lo.Y, hi.Z), at(hi.X, hi.Y, hi.Z), at(lo.X, hi.Y, hi.Z)},
		{at(hi.X, lo.Y, lo.Z), at(hi.X, hi.Y, lo.Z), at(hi.X, hi.Y, hi.Z), at(hi.X, lo.Y, hi.Z)},
	}
}

func (d *standDrawing) page() *page {
	pg := &page{Title: "What carries the display", About: d.describe()}
	pg.draw("", border, border).bold(0, 4, large, left, "What carries the display")
	c := &d.s.Cabinet
	wide, high := c.Width.MM()+slantX*c.Depth.MM(), c.Height.MM()+slantY*c.Depth.MM()
	const roomWide, roomHigh = bodyWidth - 84, 112.0
	d.scale = scaleFor(wide, high, roomWide, roomHigh)
	pg.scale = "1 : " + number(d.scale)
	d.p = pg.draw(d.describe(), 0, 0)
	d.origin = point{border + (bodyWidth-wide/d.scale)/2, bodyTop + 6 + high/d.scale}
	d.p.line(narrow, d.origin.x-4, d.origin.y, d.at(r3.Vec{X: c.Width.MM()}).x+4, d.origin.y)
	for i := range d.bars {
		b := &d.bars[i]
		b.drawn = d.faces(b.box)
		for _, face := range b.drawn {
			if b.through {
				d.p.area(hidden, face...)
				continue
			}
			d.p.area(paper, face...)
			if apart := hatching(b.ratio); b.judged && apart > 0 {
				d.p.hatch(apart, face...)
			}
			d.p.area(outline, face...)
		}
	}
	if d.s.Display != nil {
		b := d.s.Display.Box
		b.Max.Z = b.Min.Z
		d.p.area(phantom, d.faces(b)[1]...)
	}
	d.labels()
	y := d.origin.y + 7
	d.p.text(border, y, small, left, "The front is true to scale 1 : "+number(d.scale)+"; what runs back is shortened. Dash and two dots: the bottom of the display.")
	var about []verdict.Finding
	for _, f := range d.found.Checks {
		if strings.HasPrefix(f.ID, "stand/") || f.ID == "weight/feet" {
			about = append(about, f)
		}
	}
	// The worst first: the page may not hold all.
	slices.SortStableFunc(about, func(a, b verdict.Finding) int {
		switch {
		case a.Verdict == b.Verdict:
			return 0
		case verdict.Worst(a.Verdict, b.Verdict) == a.Verdict:
			return -1
		}
		return 1
	})
	d.foot(pg, y+3, "Stand", "What carries the display", "1 : "+number(d.scale), about)
	return pg
}

// describe is the drawing's twin in words.
func (d *standDrawing) describe() string {
	var t strings.Builder
	t.WriteString("The stand in a slanted view.")
	for _, b := range d.bars {
		if b.judged {
			fmt.Fprintf(&t, " %s: %s.", b.name, b.says())
		}
	}
	return t.String()
}

// says is what stands beside a bar.
func (b *bar) says() string {
	text := percent(b.ratio)
	if b.ratio > 1 && b.low <= 1 {
		return strings.TrimSuffix(percent(b.low), " %") + " to " + text + ", " + b.verdict.String()
	}
	if b.governs != "" {
		text += " (" + b.governs + ")"
	}
	if b.verdict != verdict.OK {
		text += ", " + b.verdict.String()
	}
	return text
}

// labels writes name and number of each bar at the side it is nearer to, in the
// order of height, with a line to a place where it is seen.
func (d *standDrawing) labels() {
	type label struct {
		b  *bar
		to point
	}
	var sides [2][]label
	middle := d.at(r3.Scale(0.5, r3.Vec{X: d.s.Cabinet.Width.MM(), Y: d.s.Cabinet.Depth.MM()})).x
	for i := range d.bars {
		b := &d.bars[i]
		if !b.judged {
			continue
		}
		to := d.seen(i)
		side := 0
		if to.x > middle {
			side = 1
		}
		sides[side] = append(sides[side], label{b, to})
	}
	const apart = 8.5
	for side, all := range sides {
		slices.SortStableFunc(all, func(a, b label) int {
			switch {
			case a.to.y < b.to.y:
				return -1
			case a.to.y > b.to.y:
				return 1
			}
			return 0
		})
		x, a, end := float64(border), left, float64(border+40)
		if side == 1 {
			x, a, end = pageWidth-border, right, pageWidth-border-40
		}
		y := bodyTop + 2.0
		for i, l := range all {
			// As high as what it names, but below the one before and with room left for
			// those after.
			last := d.origin.y - apart*float64(len(all)-1-i)
			y = max(y, min(l.to.y, last))
			d.p.bold(x, y, small, a, fit(l.b.name, small*boldness, 38))
			d.p.text(x, y+3.2, small, a, fit(l.b.says(), small, 38))
			d.p.line(narrow, end, y-0.8, l.to.x, l.to.y)
			d.p.circle(solidly, l.to.x, l.to.y, 0.5)
			y += apart
		}
	}
}

// seen returns a place on paper where bar i is not hidden by those drawn after
// it: nearest to the middle of one of its faces, the largest first.
func (d *standDrawing) seen(i int) point {
	const steps = 9
	faces := slices.Clone(d.bars[i].drawn)
	slices.SortStableFunc(faces, func(a, b []point) int {
		switch u, v := area(a), area(b); {
		case u > v:
			return -1
		case u < v:
			return 1
		}
		return 0
	})
	for _, face := range faces {
		for k := range steps {
			// From the middle outward along the longer side.
			t := 0.5 + float64((k+1)/2)*(1-2*float64(k%2))/(steps+1)
			for _, along := range []bool{true, false} {
				u, v := t, 0.5
				if !along {
					u, v = 0.5, t
				}
				q := inFace(face, u, v)
				if !slices.ContainsFunc(d.bars[i+1:], func(o bar) bool {
					return !o.through && slices.ContainsFunc(o.drawn, func(f []point) bool { return holds(f, q) })
				}) {
					return q
				}
			}
		}
	}
	return inFace(faces[0], 0.5, 0.5)
}

// area returns the area of a parallelogram.
func area(f []point) float64 {
	return math.Abs((f[1].x-f[0].x)*(f[3].y-f[0].y) - (f[3].x-f[0].x)*(f[1].y-f[0].y))
}

// inFace returns the place at shares u and v of the sides of a parallelogram.
func inFace(f []point, u, v float64) point {
	return point{
		f[0].x + u*(f[1].x-f[0].x) + v*(f[3].x-f[0].x),
		f[0].y + u*(f[1].y-f[0].y) + v*(f[3].y-f[0].y),
	}
}

// holds tells whether a convex outline holds a place.
func holds(f []point, q point) bool {
	sign := 0.0
	for i, a := range f {
		b := f[(i+1)%len(f)]
		c := (b.x-a.x)*(q.y-a.y) - (b.y-a.y)*(q.x-a.x)
		if c*sign < 0 {
			return false
		}
		if c != 0 {
			sign = c
		}
	}
	return true
}
