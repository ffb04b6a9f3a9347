package sheet

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// errNoJoists says that there is no floor to draw.
var errNoJoists = errors.New("the plan has no joists to draw")

// FloorPlan returns a page with the house floor from above: its joists from
// support to support with what each has to bear, the cabinet on them, and where
// that touches the floor. The findings are those of the scene. Without joists
// there is no page.
func FloorPlan(s *scene.Scene, found verdict.Findings) ([]byte, error) {
	f, err := newFloorPlan(s, found)
	if err != nil {
		return nil, err
	}
	return f.page().svg()
}

// FloorPlanPNG returns the same page as a picture, at a number of pixels to the
// millimetre.
func FloorPlanPNG(s *scene.Scene, found verdict.Findings, perMM float64) ([]byte, error) {
	f, err := newFloorPlan(s, found)
	if err != nil {
		return nil, err
	}
	return f.page().png(perMM)
}

// A floorPlan is the floor from above, on paper: the front is below.
type floorPlan struct {
	carrying
	joists  *scene.Joists
	finding verdict.Finding
	p       pen
	origin  point // of the cabinet's front left corner
	first   int   // number of the first joist drawn
	last    int
	load    map[int]float64 // N by number
	ratio   map[int]float64
	// cut is the stretch of the joists that is left away, along them; none where
	// its ends are the same.
	cut [2]float64
}

func newFloorPlan(s *scene.Scene, found verdict.Findings) (*floorPlan, error) {
	if s.Floor == nil || s.Floor.Joists == nil {
		return nil, errNoJoists
	}
	f := &floorPlan{
		carrying: carrying{s: s, found: found}, joists: s.Floor.Joists,
		load: map[int]float64{}, ratio: map[int]float64{},
	}
	f.finding, _ = finding(found, "floor/joists")
	loads, ratios := numbers(f.finding, "joist_load_n"), numbers(f.finding, "joist_ratio")
	for i, n := range numbers(f.finding, "joists") {
		f.load[int(n)], f.ratio[int(n)] = loads[i], ratios[i]
	}
	// All joists under the cabinet and one more on either side.
	wide := s.Cabinet.Width
	if f.joists.LeftRight {
		wide = s.Cabinet.Depth
	}
	number := func(t unit.Length) float64 { return float64((t - f.joists.Offset) / f.joists.Spacing) }
	f.first = int(math.Ceil(number(0))) // the one before that
	f.last = int(math.Floor(number(wide))) + 2
	f.shorten()
	return f, nil
}

// What is left away of long joists, in mm of the room: kept is how much of them
// stays on either side, broken how wide the break is drawn.
const (
	kept   = 400.0
	broken = 80.0
)

// shorten leaves away most of the longer free stretch of the joists, so that the
// cabinet is drawn larger.
func (f *floorPlan) shorten() {
	from, to := f.joists.Line(&f.s.Cabinet, f.first)
	cabinet := [2]float64{0, f.s.Cabinet.Depth.MM()}
	ends := [2]float64{min(from.Y, to.Y), max(from.Y, to.Y)}
	if f.joists.LeftRight {
		cabinet[1] = f.s.Cabinet.Width.MM()
		ends = [2]float64{min(from.X, to.X), max(from.X, to.X)}
	}
	free := [2]float64{ends[0], cabinet[0]}
	if ends[1]-cabinet[1] > cabinet[0]-ends[0] {
		free = [2]float64{cabinet[1], ends[1]}
	}
	if free[1]-free[0] > 2*kept+2*broken {
		f.cut = [2]float64{free[0] + kept, free[1] - kept}
	}
}

// fold returns where a place along the joists is drawn: past the break as much
// nearer as it leaves away.
func (f *floorPlan) fold(v float64) float64 {
	lo, hi := f.cut[0], f.cut[1]
	switch {
	case hi <= lo || v <= lo:
		return v
	case v >= hi:
		return v - (hi - lo) + broken
	}
	return lo + (v-lo)*broken/(hi-lo)
}

// drawn returns where a point of the room is drawn, still in mm of the room and
// from the cabinet's front left corner.
func (f *floorPlan) drawn(x, y float64) (float64, float64) {
	if f.joists.LeftRight {
		return f.fold(x) - f.fold(0), y
	}
	return x, f.fold(y) - f.fold(0)
}

// bounds returns the box in plan round everything drawn, as it is drawn.
func (f *floorPlan) bounds() r3.Box {
	c := &f.s.Cabinet
	b := r3.Box{Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM()}}
	for _, n := range []int{f.first, f.last} {
		from, to := f.joists.Line(c, n)
		for _, v := range []r3.Vec{from, to} {
			b.Min = r3.Vec{X: min(b.Min.X, v.X), Y: min(b.Min.Y, v.Y)}
			b.Max = r3.Vec{X: max(b.Max.X, v.X), Y: max(b.Max.Y, v.Y)}
		}
	}
	b.Min.X, b.Min.Y = f.drawn(b.Min.X, b.Min.Y)
	b.Max.X, b.Max.Y = f.drawn(b.Max.X, b.Max.Y)
	return b
}

// at returns where a point of the room is on paper.
func (f *floorPlan) at(x, y float64) point {
	x, y = f.drawn(x, y)
	return point{f.origin.x + x/f.scale, f.origin.y - y/f.scale}
}

// box returns a rectangle of the room on paper.
func (f *floorPlan) box(b r3.Box) []point {
	lo, hi := f.at(b.Min.X, b.Max.Y), f.at(b.Max.X, b.Min.Y)
	return rectangle(lo.x, lo.y, hi.x, hi.y)
}

func (f *floorPlan) page() *page {
	pg := &page{Title: "House floor under the cabinet, from above", About: f.describe()}
	pg.draw("", border, border).bold(0, 4, large, left, "House floor under the cabinet")
	b := f.bounds()
	const roomWide, roomHigh, room = bodyWidth - 44, 112.0, 26.0
	f.scale = scaleFor(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, roomWide, roomHigh)
	pg.scale = "1 : " + number(f.scale)
	f.p = pg.draw(f.describe(), 0, 0)
	f.origin = point{
		border + (bodyWidth-(b.Max.X-b.Min.X)/f.scale)/2 - b.Min.X/f.scale,
		bodyTop + room + b.Max.Y/f.scale,
	}
	low := f.origin.y - b.Min.Y/f.scale
	f.timbers()
	f.supports()
	f.breaks()
	f.cabinet()
	f.dimensions(b)
	y := low + 17
	f.p.text(border, y, small, left, "Scale 1 : "+number(f.scale)+", from above; the front of the cabinet is below. Dash and two dots: the cabinet; crosses: where it touches the floor.")
	y += 3.6
	rings := "In rings: the numbers of the joists, from the one that the plan measures to, which is 1."
	if f.cut[1] > f.cut[0] {
		rings += " Between the zigzags a piece of the joists is left away."
	}
	f.p.text(border, y, small, left, rings)
	y = f.table(pg, y+3)
	about := []verdict.Finding{}
	if f.finding.ID != "" {
		about = append(about, f.finding)
	}
	f.foot(pg, y, "House floor", "Joists under the cabinet", "1 : "+number(f.scale), about)
	return pg
}

// describe is the drawing's twin in words.
func (f *floorPlan) describe() string {
	var t strings.Builder
	fmt.Fprintf(&t, "Joists from above, every %s, spanning %s.", f.s.Units.Length(f.joists.Spacing), f.s.Units.Length(f.joists.Span))
	for n := f.first; n <= f.last; n++ {
		if _, ok := f.ratio[n]; ok {
			fmt.Fprintf(&t, " Joist %d carries %s of the tank, %s of what it may in all.", n, f.mass(f.load[n]), percent(f.ratio[n]))
		}
	}
	return t.String()
}

func (f *floorPlan) mass(force float64) string {
	return f.s.Units.Mass(unit.Mass(force / unit.StandardGravity))
}

// timbers draws the joists with their ratios and rings.
func (f *floorPlan) timbers() {
	for n := f.first; n <= f.last; n++ {
		from, to := f.joists.Line(&f.s.Cabinet, n)
		half := f.joists.Thickness.MM() / 2
		for _, d := range f.joists.Doubled {
			if d == n {
				half *= 2
			}
		}
		b := r3.Box{
			Min: r3.Vec{X: min(from.X, to.X), Y: min(from.Y, to.Y)},
			Max: r3.Vec{X: max(from.X, to.X), Y: max(from.Y, to.Y)},
		}
		if f.joists.LeftRight {
			b.Min.Y, b.Max.Y = b.Min.Y-half, b.Max.Y+half
		} else {
			b.Min.X, b.Max.X = b.Min.X-half, b.Max.X+half
		}
		pts := f.box(b)
		ratio, known := f.ratio[n]
		if known {
			if apart := hatching(ratio); apart > 0 {
				f.p.hatch(apart, pts...)
			}
		}
		f.p.area(outline, pts...)
		near, far := f.at(from.X, from.Y), f.at(to.X, to.Y)
		ring := far
		if f.joists.LeftRight {
			ring.x += deep/f.scale + 1.5 + ringSize
		} else {
			ring.y += deep/f.scale + 1.5 + ringSize
		}
		f.p.put(ring.x, ring.y, key(fmt.Sprint(n)), false)
		if !known {
			continue
		}
		// The number stands past the cabinet, on the longer free piece of the joist.
		const aside = 1.2
		if f.joists.LeftRight {
			f.p.text(f.beside(near.x, far.x).x, near.y-half/f.scale-aside, normal, centre, percent(ratio))
			continue
		}
		f.p.upward(near.x-half/f.scale-aside, f.beside(near.y, far.y).y, normal, centre, percent(ratio))
	}
}

// beside returns a place on paper past the cabinet on the longer free piece of the
// joists, between it and the break where there is one; near and far are the ends
// of the joists on paper, along them.
func (f *floorPlan) beside(near, far float64) point {
	c := &f.s.Cabinet
	lo, hi := 0.0, c.Depth.MM()
	if f.joists.LeftRight {
		hi = c.Width.MM()
	}
	if f.cut[1] > f.cut[0] {
		at := lo - kept/2
		if f.cut[0] > hi {
			at = hi + kept/2
		}
		return f.at(at, at)
	}
	a, b := f.at(lo, lo), f.at(hi, hi)
	if f.joists.LeftRight {
		if x := (b.x + far) / 2; far-b.x > a.x-near {
			return point{x, 0}
		}
		return point{(near + a.x) / 2, 0}
	}
	if y := (a.y + far) / 2; far-a.y > b.y-near {
		return point{0, y}
	}
	return point{0, (near + b.y) / 2}
}

// breaks draws the two zigzag lines of ISO 128-3 where a piece of the joists is
// left away.
func (f *floorPlan) breaks() {
	if f.cut[1] <= f.cut[0] {
		return
	}
	a, _ := f.joists.Line(&f.s.Cabinet, f.first)
	b, _ := f.joists.Line(&f.s.Cabinet, f.last)
	const past, tooth = 2.5, 1.2 // mm on paper
	at := func(v float64) point { return f.at(v, v) }
	p, q := at(f.cut[0]), at(f.cut[1])
	first, last := f.at(a.X, a.Y), f.at(b.X, b.Y)
	half := f.joists.Spacing.MM() / 2 / f.scale // the teeth stand between two joists
	zigzag := func(along bool, v, lo, hi float64) {
		mid := lo + past + half
		pts := []point{{lo, v}, {mid - tooth, v}, {mid - tooth/3, v - 2*tooth}, {mid + tooth/3, v + 2*tooth}, {mid + tooth, v}, {hi, v}}
		if !along {
			for i := range pts {
				pts[i].x, pts[i].y = pts[i].y, pts[i].x
			}
		}
		f.p.lines(narrow, pts...)
	}
	if f.joists.LeftRight {
		lo, hi := min(first.y, last.y)-past, max(first.y, last.y)+past
		f.p.area(bare, rectangle(min(p.x, q.x), lo, max(p.x, q.x), hi)...)
		zigzag(false, p.x, lo, hi)
		zigzag(false, q.x, lo, hi)
		return
	}
	lo, hi := min(first.x, last.x)-past, max(first.x, last.x)+past
	f.p.area(bare, rectangle(lo, min(p.y, q.y), hi, max(p.y, q.y))...)
	zigzag(true, p.y, lo, hi)
	zigzag(true, q.y, lo, hi)
}

// deep is how wide what the joists lie on is drawn, in mm of the room.
const deep = 90.0

// supports draws what the joists lie on.
func (f *floorPlan) supports() {
	const past = 90.0 // mm of the room
	a, _ := f.joists.Line(&f.s.Cabinet, f.first)
	b, _ := f.joists.Line(&f.s.Cabinet, f.last)
	_, c := f.joists.Line(&f.s.Cabinet, f.first)
	for _, at := range []r3.Vec{a, c} {
		if f.joists.LeftRight {
			outward := deep
			if at == a {
				outward = -deep
			}
			f.p.area(outline, f.box(r3.Box{
				Min: r3.Vec{X: min(at.X, at.X+outward), Y: min(a.Y, b.Y) - past},
				Max: r3.Vec{X: max(at.X, at.X+outward), Y: max(a.Y, b.Y) + past},
			})...)
			continue
		}
		outward := -deep
		if at == a {
			outward = deep
		}
		f.p.area(outline, f.box(r3.Box{
			Min: r3.Vec{X: min(a.X, b.X) - past, Y: min(at.Y, at.Y+outward)},
			Max: r3.Vec{X: max(a.X, b.X) + past, Y: max(at.Y, at.Y+outward)},
		})...)
	}
}

// cabinet draws its outline and where it touches the floor.
func (f *floorPlan) cabinet() {
	c := &f.s.Cabinet
	f.p.area(phantom, f.box(r3.Box{Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM()}})...)
	contacts, _ := f.s.Contacts()
	for _, contact := range contacts {
		pts := f.box(contact.Box)
		f.p.area(outline, pts...)
		f.p.lines(narrow, pts[0], pts[2])
		f.p.lines(narrow, pts[1], pts[3])
	}
}

// dimensions draws span, spacing, and where the cabinet is on the joists.
func (f *floorPlan) dimensions(b r3.Box) {
	say := func(l unit.Length) tag { return tag{text: f.s.Units.Length(l)} }
	from, to := f.joists.Line(&f.s.Cabinet, f.first)
	next, _ := f.joists.Line(&f.s.Cabinet, f.first+1)
	one, _ := f.joists.Line(&f.s.Cabinet, 1)
	a, z := f.at(from.X, from.Y), f.at(to.X, to.Y)
	o := f.at(one.X, one.Y)
	lo := point{f.origin.x + b.Min.X/f.scale, f.origin.y - b.Max.Y/f.scale}
	back := f.at(0, f.s.Cabinet.Depth.MM())
	if f.joists.LeftRight {
		top := lo.y - 12
		f.p.across(a, z, top-6, say(f.joists.Span))
		if f.joists.Support > 0 {
			f.p.across(a, back, top, say(f.joists.Support))
		}
		f.p.up(a, f.at(next.X, next.Y), lo.x-10, say(f.joists.Spacing))
		if f.joists.Offset != 0 {
			f.p.up(back, o, lo.x-17, say(max(f.joists.Offset, -f.joists.Offset)))
		}
		return
	}
	f.p.up(a, z, lo.x-17, say(f.joists.Span))
	if f.joists.Support > 0 {
		f.p.up(point{a.x, a.y}, point{a.x, back.y}, lo.x-10, say(f.joists.Support))
	}
	top := lo.y - 10
	// At the right, where no line goes up from the cabinet's edge.
	before, _ := f.joists.Line(&f.s.Cabinet, f.last-1)
	last, _ := f.joists.Line(&f.s.Cabinet, f.last)
	f.p.across(f.at(before.X, before.Y), f.at(last.X, last.Y), top, say(f.joists.Spacing))
	if f.joists.Offset != 0 {
		f.p.across(back, o, top-7, say(max(f.joists.Offset, -f.joists.Offset)))
	}
}

// table writes what the drawing shows as numbers, where there are some, and returns
// where it ends.
func (f *floorPlan) table(pg *page, y float64) float64 {
	if len(f.ratio) == 0 {
		return y
	}
	p := pg.draw("", border, y)
	columns := []float64{24, 46, 46, 70}
	at := 4.0
	row := func(bold bool, cells ...string) {
		p.row(at, 1.4, columns, bold, cells...)
		at += 5
	}
	row(true, "Joist", "carries of the tank", "bears of what it may", "")
	for n := f.first; n <= f.last; n++ {
		if ratio, ok := f.ratio[n]; ok {
			row(false, fmt.Sprint(n), f.mass(f.load[n]), percent(ratio), "")
		}
	}
	return y + at
}
