package sheet

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// scales are the reductions of ISO 5455.
var scales = []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000}

// scaleFor returns the least reduction at which a thing fits.
func scaleFor(wide, high, roomWide, roomHigh float64) float64 {
	for _, s := range scales {
		if wide/s <= roomWide && high/s <= roomHigh {
			return s
		}
	}
	return scales[len(scales)-1]
}

// Section returns a page with the sump cut along the flow: its panes, the things
// in it, the levels with the pump running and off, the pen marks, and a table of
// them. The figures are those of the scene. Without a sump there is no page.
func Section(s *scene.Scene, w water.Figures) ([]byte, error) {
	pg, err := sectionPage(s, w)
	if err != nil {
		return nil, err
	}
	return pg.svg()
}

// SectionPNG returns the same page as a picture, at a number of pixels to the
// millimetre.
func SectionPNG(s *scene.Scene, w water.Figures, perMM float64) ([]byte, error) {
	pg, err := sectionPage(s, w)
	if err != nil {
		return nil, err
	}
	return pg.png(perMM)
}

func sectionPage(s *scene.Scene, w water.Figures) (*page, error) {
	if s.Sump == nil || len(w.Spaces) == 0 {
		return nil, errNoSump
	}
	c := &cutaway{s: s, w: w}
	return c.page(), nil
}

// errNoSump says that there is no sump to draw.
var errNoSump = errors.New("the plan has no sump to draw")

// A cutaway is a sump cut along the flow, on paper: along runs to the right as
// it stands, heights upward from the inside bottom.
type cutaway struct {
	s     *scene.Scene
	w     water.Figures
	p     pen
	scale float64
	foot  float64   // y of the inside bottom on paper
	start float64   // x of the left inside end
	names [][]point // what names of things cover
}

func (c *cutaway) length() float64 { return c.s.Sump.Length().MM() }
func (c *cutaway) height() float64 { return c.w.Brim.MM() }

// x returns where a distance from the inlet end is on paper.
func (c *cutaway) x(from float64) float64 {
	if c.s.Sump.Inlet == scene.Right {
		from = c.length() - from
	}
	return c.start + from/c.scale
}

// y returns where a height over the inside bottom is on paper.
func (c *cutaway) y(up float64) float64 { return c.foot - up/c.scale }

func (c *cutaway) page() *page {
	pg := &page{Title: "Water levels in the sump, cut along the flow", About: c.describe()}
	head := pg.draw("", border, border)
	head.bold(0, 4, large, left, "Water in the sump")
	glass := c.s.Sump.Glass.MM()
	const roomWide, roomHigh = bodyWidth - 40, 100
	c.scale = scaleFor(c.length()+2*glass, c.height()+glass, roomWide, roomHigh)
	pg.scale = "1 : " + number(c.scale)
	const top = bodyTop + 16
	c.p = pg.draw(c.describe(), 0, 0)
	c.start = border + (bodyWidth-(c.length()+2*glass)/c.scale)/2 + glass/c.scale - 8*c.outward()
	c.foot = top + c.height()/c.scale
	c.things()
	c.water()
	c.glass()
	c.marks()
	c.dimensions()
	c.p.text(border, c.y(-glass)+30, small, left, "Scale 1 : "+number(c.scale)+", "+c.view()+". Heights are from the inside bottom.")
	c.tables(pg, c.y(-glass)+35)
	c.end(pg)
	return pg
}

// describe is the drawing's twin in words.
func (c *cutaway) describe() string {
	var t strings.Builder
	t.WriteString("The sump in section along the flow.")
	for i, sp := range c.w.Spaces {
		if sp.Number == 0 || c.w.Running == nil {
			continue
		}
		fmt.Fprintf(&t, " Chamber %d: %s running", sp.Number, c.say(c.w.Running.Depth[i]))
		if c.w.PumpOff != nil {
			fmt.Fprintf(&t, ", %s with the pump off", c.say(c.w.PumpOff.Depth[i]))
		}
		t.WriteString(".")
	}
	return t.String()
}

func (c *cutaway) say(l unit.Length) string { return c.s.Units.Length(l) }

// view tells from where the sump is seen.
func (c *cutaway) view() string {
	switch c.s.Sump.Inlet {
	case scene.Front:
		return "the front of the sump is at the left"
	case scene.Back:
		return "the back of the sump is at the left"
	case scene.Left, scene.Right, scene.Top, scene.Bottom:
	}
	return "seen from the front"
}

// glass draws the panes, which are cut.
func (c *cutaway) glass() {
	g, l, h := c.s.Sump.Glass.MM(), c.length(), c.height()
	box := func(x0, x1, z0, z1 float64) {
		a, b := c.x(x0), c.x(x1)
		c.p.hatched(rectangle(min(a, b), c.y(z1), max(a, b), c.y(z0))...)
	}
	box(-g, l+g, -g, 0)
	box(-g, 0, 0, h)
	box(l, l+g, 0, h)
	for _, sp := range c.w.Spaces {
		if b := sp.In; b != nil {
			box(b.At.MM(), (b.At + b.Thickness).MM(), b.Gap.MM(), b.Top.MM())
		}
	}
	c.p.ground(min(c.x(0), c.x(l))-g/c.scale-6, max(c.x(0), c.x(l))+g/c.scale+6, c.y(-g))
	dx := c.outward()
	x, y := c.x(0)-5*dx, c.y(h)-5
	c.p.line(outline, x-9*dx, y, x, y)
	c.p.arrow(x+2.2*dx, y, dx, 0)
	a := right
	if dx < 0 {
		a = left
	}
	c.p.text(x-1*dx, y-1.2, small, a, "water in")
}

// things draws what stands in the sump, behind the panes.
func (c *cutaway) things() {
	in := c.s.Sump.Inside()
	for _, e := range c.s.Equipment {
		if e.Chamber == 0 {
			continue
		}
		named := false
		for _, b := range e.Bodies {
			x := b.Solid.Bounds()
			from, to := c.along(x)
			y0, y1 := c.y(x.Min.Z-in.Min.Z), c.y(x.Max.Z-in.Min.Z)
			// What stands up past the page is broken off over the brim.
			y1 = max(y1, c.y(c.height())-12)
			c.p.box(phantom, from, y1, to, y0)
			if named {
				continue
			}
			named = true
			mid, half := (from+to)/2, width(e.Name, small)/2
			switch {
			case 2*half <= to-from+4: // a little over is read as well
				c.p.text(mid, y0-2, small, centre, e.Name)
				c.names = append(c.names, rectangle(mid-half, y0-4.4, mid+half, y0-1.4))
			case 2*half+3 <= y0-y1: // upward, also where it is wider than the thing
				c.p.upward(mid+0.9, y0-2, small, left, e.Name)
				c.names = append(c.names, rectangle(mid-1.5, y0-3-2*half, mid+1.5, y0-1.4))
			case to-from > 8:
				name := fit(e.Name, small, to-from-1)
				half = width(name, small) / 2
				c.p.text(mid, y0-2, small, centre, name)
				c.names = append(c.names, rectangle(mid-half, y0-4.4, mid+half, y0-1.4))
			}
		}
	}
}

// along returns the extent of a box on paper.
func (c *cutaway) along(b r3.Box) (from, to float64) {
	in := c.s.Sump.Inside()
	var lo, hi float64
	switch c.s.Sump.Inlet {
	case scene.Left, scene.Right:
		lo, hi = b.Min.X-in.Min.X, b.Max.X-in.Min.X
		return c.start + lo/c.scale, c.start + hi/c.scale
	case scene.Front:
		lo, hi = b.Min.Y-in.Min.Y, b.Max.Y-in.Min.Y
	case scene.Back, scene.Top, scene.Bottom:
		lo, hi = in.Max.Y-b.Max.Y, in.Max.Y-b.Min.Y
	}
	return c.start + lo/c.scale, c.start + hi/c.scale
}

// A state is one moment with the line that its level is drawn with.
type state struct {
	name, key string
	levels    *water.Levels
	line      style
}

// states are the moments that are known beside the pump running.
func (c *cutaway) states() []state {
	var out []state
	for _, s := range []state{
		{"pump off", "Dashed: pump off.", c.w.PumpOff, hidden},
		{"reservoir in it too", "Dash and two dots: pump off with the reservoir in it too.", c.w.ToppedOff, phantom},
		{"drain blocked", "Dash and dot: what the pump leaves with the drain blocked.", c.w.Blocked, chain},
	} {
		if s.levels != nil {
			out = append(out, s)
		}
	}
	return out
}

// water draws the levels: running as water is drawn, the others as lines.
func (c *cutaway) water() {
	ends := func(sp scene.Space) (float64, float64) {
		a, b := c.x(sp.From.MM()), c.x(sp.To.MM())
		return min(a, b), max(a, b)
	}
	for i, sp := range c.w.Spaces {
		a, b := ends(sp)
		if l := c.w.Running; l != nil && l.Depth[i] > 0 {
			y := c.y(l.Depth[i].MM())
			c.p.level(a, b, y)
			c.liquid(a, b, y, c.y(0))
		}
		for _, s := range c.states() {
			// Half a millimetre from the level with the pump running no line is told
			// from its own.
			at := s.levels.Depth[i].MM()
			if l := c.w.Running; at > 0 && (l == nil || math.Abs(at-l.Depth[i].MM()) > 0.5*c.scale) {
				c.p.line(s.line, a, c.y(at), b, c.y(at))
			}
		}
	}
}

// liquid fills with the short lines that stand for water, wider apart and
// shorter the deeper.
func (c *cutaway) liquid(x0, x1, y0, y1 float64) {
	row := 0
	for y := y0 + 2.4; y < y1-0.5; y += 2.4 + 0.5*float64(row) {
		row++
		shift := 3.5 * float64(row%2)
		for x := x0 + 1.5 + shift; x+2.5 < x1; x += 7 {
			if !c.named(x, x+2.5, y) {
				c.p.line(narrow, x, y, x+2.5, y)
			}
		}
	}
}

// named tells whether a level line would strike through a name.
func (c *cutaway) named(x0, x1, y float64) bool {
	for _, n := range c.names {
		if x1 >= n[0].x && x0 <= n[2].x && y >= n[0].y && y <= n[2].y {
			return true
		}
	}
	return false
}

// outward is which way is away from the sump at its last end: 1 to the right.
func (c *cutaway) outward() float64 {
	if c.s.Sump.Inlet == scene.Right {
		return -1
	}
	return 1
}

// marks draws the two pen marks on the last chamber's end.
func (c *cutaway) marks() {
	l, g := c.length(), c.s.Sump.Glass.MM()
	out := c.outward()
	x := c.x(l) + out*(g/c.scale+1)
	type mark struct {
		name string
		at   *unit.Length
	}
	list := []mark{{"mark: pump off", c.w.SafeOff}, {"mark: pump running", c.w.SafeMark}}
	last := math.Inf(-1)
	for _, m := range list {
		if m.at == nil {
			continue
		}
		y := c.y(m.at.MM())
		c.p.line(outline, x-out*(g/c.scale+5), y, x+out*2, y)
		// Texts keep apart where marks are close.
		ty := max(y, last+6.2)
		last = ty
		a := left
		if out < 0 {
			a = right
		}
		c.p.line(narrow, x+out*2, y, x+out*4, ty-1)
		c.p.text(x+out*4.6, ty-0.2, small, a, m.name)
		c.p.text(x+out*4.6, ty+2.8, small, a, c.say(*m.at))
	}
}

// dimensions draws the height of the sump, the places of the baffles and their
// tops.
func (c *cutaway) dimensions() {
	g := c.s.Sump.Glass.MM()
	side := c.x(0) - c.outward()*g/c.scale
	c.p.up(point{side, c.y(c.height())}, point{side, c.y(0)}, side-7*c.outward(), tag{text: c.say(c.w.Brim)})
	// Places along the flow, each from the inlet end, one line below the other.
	y := c.y(-g) + 6
	n := 0
	for _, sp := range c.w.Spaces {
		b := sp.In
		if b == nil {
			continue
		}
		n++
		c.p.across(point{c.x(0), c.y(-g) + 1}, point{c.x(b.At.MM()), c.y(-g) + 1}, y, tag{text: c.say(b.At)})
		y += 5
		// The top edge, over the pane.
		mid, top := c.x((b.At + b.Thickness/2).MM()), c.y(b.Top.MM())
		c.p.area(bare, rectangle(mid-0.9, top-3.1, mid+0.9, top-0.5)...)
		c.p.text(mid, top-1, small, centre, strconv.Itoa(n))
	}
}

// tables writes what the drawing shows as numbers.
func (c *cutaway) tables(pg *page, y float64) {
	y += 5 * max(0, float64(len(c.s.Sump.Baffles)-4))
	p := pg.draw("", border, y)
	states := c.states()
	columns := []float64{34, 30, 30, 33, 30, 29}
	row := func(y float64, bold bool, cells ...string) { p.row(y, 1.6, columns, bold, cells...) }
	spaces, known := c.w.Spaces, c.w.Running != nil || len(states) > 0
	at := 4.0
	if !known {
		spaces = nil
	} else {
		head := []string{"Depth of water", "pump running"}
		for _, s := range states {
			head = append(head, s.name)
		}
		row(at, true, append(head, "holds, running")...)
		at += 5.5
	}
	of := func(l *water.Levels, i int) string {
		if l == nil {
			return ""
		}
		return c.say(l.Depth[i])
	}
	trap := 0
	for i, sp := range spaces {
		name := fmt.Sprintf("Chamber %d", sp.Number)
		if sp.Number == 0 {
			trap++
			name = fmt.Sprintf("Bubble trap %d", trap)
		}
		holds := ""
		if c.w.Running != nil {
			holds = c.s.Units.Volume(c.w.Running.Volume[i])
		}
		cells := []string{name, of(c.w.Running, i)}
		for _, s := range states {
			cells = append(cells, of(s.levels, i))
		}
		row(at, false, append(cells, holds)...)
		at += 5.5
	}
	at += 2
	write := func(bold bool, text string) { at = p.paragraph(at, 4.2, bold, text) }
	for i, sp := range c.w.Spaces {
		if b := sp.In; b != nil {
			t := fmt.Sprintf("Baffle %d: top %s", i, c.say(b.Top))
			if b.Gap > 0 {
				t += fmt.Sprintf(", the water passes under it, gap %s", c.say(b.Gap))
			}
			write(false, t+".")
		}
	}
	if c.w.Drained != nil {
		write(false, fmt.Sprintf("When the pump stops %s come down.", c.s.Units.Volume(*c.w.Drained)))
	}
	if c.w.PumpOff != nil && c.w.PumpOff.Spilled > 0 {
		write(true, fmt.Sprintf("%s of it run over the brim.", c.s.Units.Volume(c.w.PumpOff.Spilled)))
	}
	switch {
	case c.w.SafeMark != nil:
		write(true, fmt.Sprintf("Pen marks on the last chamber: pump running %s, pump off %s. They keep %s of freeboard; over %s running it spills.",
			c.say(*c.w.SafeMark), c.say(*c.w.SafeOff), c.say(water.Freeboard), c.say(*c.w.Mark)))
	case c.w.Mark != nil:
		write(true, fmt.Sprintf("Over %s running it spills; no level keeps %s of freeboard.", c.say(*c.w.Mark), c.say(water.Freeboard)))
	}
	var key []string
	if c.w.Running != nil {
		key = append(key, "Full line with its sign: pump running.")
	}
	for _, s := range states {
		key = append(key, s.key)
	}
	if !known {
		key = append(key, "No level is known: what undercroft check lists as left out under water tells what to add to the plan.")
	}
	write(false, strings.Join(key, " "))
	if c.s.Water.Slope != (scene.Slope{}) {
		write(false, "The cabinet is out of level: depths and marks are those in the middle of each chamber.")
	}
	write(false, "Before you trust the marks: cut the pump’s power on purpose and stay to watch where the water stops.")
	write(false, "Planning figures. Local codes and licensed professionals decide.")
}

// end draws the foot of the page.
func (c *cutaway) end(pg *page) {
	p := pg.draw("", border, pageHeight-border-titleHeight)
	p.titleBlock(
		field{"Document", "Water levels", 36},
		field{"Title", "Sump, cut along the flow", 62},
		field{"Plan", c.s.Title, 56},
		field{"Scale", "1 : " + number(c.scale), 18},
		field{"Units", c.s.Units.String(), 14},
	)
}
