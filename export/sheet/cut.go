package sheet

import (
	"errors"
	"fmt"
	"math"

	"undercroft/fit/glass"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// Cut returns the sheets for the glass shop and for the bench, one SVG page
// after the other: the list with its notes and prices, a drawing of each pane,
// and a full-size setting-out strip that shows where each baffle goes. There is
// no page where there is nothing to cut.
func Cut(s *scene.Scene, l glass.List) ([][]byte, error) {
	pages, err := cutPages(s, l)
	if err != nil {
		return nil, err
	}
	out := make([][]byte, len(pages))
	for i, pg := range pages {
		if out[i], err = pg.svg(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// errNoBaffles says that there is nothing to cut.
var errNoBaffles = errors.New("the plan has no baffles to cut")

func cutPages(s *scene.Scene, l glass.List) ([]*page, error) {
	if len(l.Pieces) == 0 {
		return nil, errNoBaffles
	}
	c := &cutting{s: s, l: l}
	c.list()
	c.drawings()
	c.strips()
	for i, pg := range c.pages {
		pg.Title = fmt.Sprintf("Glass to cut, page %d of %d: %s", i+1, len(c.pages), c.heads[i])
		p := pg.draw("", border, pageHeight-border-18)
		p.bar()
		p.text(104, -1.6, small, left, "Print at 100 %, not “fit to page”: this bar must measure 100 mm.")
		p.moved(0, 6).titleBlock(
			field{"Document", "Glass to cut", 36},
			field{"Title", c.heads[i], 62},
			field{"Plan", s.Title, 56},
			field{"Units", s.Units.String(), 16},
			field{"Sheet", fmt.Sprintf("%d / %d", i+1, len(c.pages)), 16},
		)
	}
	return c.pages, nil
}

type cutting struct {
	s     *scene.Scene
	l     glass.List
	pages []*page
	heads []string
}

func (c *cutting) newPage(head string) *page {
	pg := &page{}
	c.pages, c.heads = append(c.pages, pg), append(c.heads, head)
	pg.draw("", border, border).bold(0, 4, large, left, head)
	return pg
}

func (c *cutting) say(l unit.Length) string { return c.s.Units.Length(l) }

// edges is what is done to a pane.
func edges(p glass.Piece) string {
	if p.Raised {
		return "all seamed; water passes under it"
	}
	return "all seamed"
}

func (c *cutting) list() {
	pg := c.newPage("List for the glass shop")
	p := pg.draw("The list of panes.", border, bodyTop)
	columns := []float64{26, 26, 26, 24, 62, 22}
	row := func(y float64, bold bool, cells ...string) { p.row(y, 1.8, columns, bold, cells...) }
	row(4, true, "Piece", "Width", "Height", "Thickness", "Edges", "Mass")
	y := 10.0
	for _, x := range c.l.Pieces {
		row(y, false, x.Name, c.say(x.Width), c.say(x.Height), glass.Name(c.s.Units, x.Thickness), edges(x), c.s.Units.Mass(x.Mass))
		y += 6
	}
	area := fmt.Sprintf("%.2f m²", c.l.Area)
	if c.s.Units == unit.Inches {
		area = fmt.Sprintf("%.2f ft²", c.l.Area/math.Pow(float64(unit.Foot/unit.Metre), 2))
	}
	row(y, true, "all", area, "", "", "annealed float glass", c.s.Units.Mass(c.l.Mass))
	y += 9
	write := func(bold bool, text string) { y = p.paragraph(y, 4.3, bold, text) }
	write(false, fmt.Sprintf("The sump is %s wide inside; %s is taken off for silicone, both sides together.", c.say(c.l.Inside), c.say(c.l.Allowance)))
	for _, a := range c.l.Assumed {
		write(false, "Assumed: "+a+".")
	}
	for _, n := range c.l.Notes {
		write(false, "• "+n)
	}
	y += 3
	if prices, rest := glass.Prices(c.s); len(prices) > 0 || rest > 0 {
		y = c.prices(p, y, prices)
	}
	p.text(0, y+3, normal, left, "Planning figures. Local codes and licensed professionals decide.")
}

// prices writes the shops side by side, with the rest of the shopping list.
func (c *cutting) prices(p pen, y float64, prices []glass.Price) float64 {
	money := func(v float64) string { return fmt.Sprintf("%.2f", v) }
	head := "Prices"
	if c.s.Shop.Currency != "" {
		head += " in " + c.s.Shop.Currency
	}
	const first = 62.0
	wide := (bodyWidth - first) / math.Max(1, float64(len(prices)))
	row := func(bold bool, name string, cell func(i int) string) {
		write := p.text
		if bold {
			write = p.bold
		}
		write(pad/2, y, normal, left, fit(name, normal*boldness, first-pad))
		for i := range max(1, len(prices)) {
			write(first+wide*float64(i+1)-pad, y, normal, right, fit(cell(i), normal*boldness, wide-pad))
		}
		p.line(narrow, 0, y+1.8, bodyWidth, y+1.8)
		y += 6
	}
	row(true, head, func(i int) string {
		if i < len(prices) {
			return prices[i].Shop
		}
		return ""
	})
	if len(prices) > 0 {
		row(false, "glass", func(i int) string { return money(prices[i].Glass) })
	}
	sum := 0.0
	for _, g := range c.s.Shop.Goods {
		price := float64(g.Count) * g.Price
		sum += price
		name := g.Name
		if g.Count > 1 {
			name = fmt.Sprintf("%d x %s", g.Count, g.Name)
		}
		row(false, name, func(int) string { return money(price) })
	}
	row(true, "together", func(i int) string {
		if i < len(prices) {
			return money(prices[i].All)
		}
		return money(sum)
	})
	return y
}

// drawings draws each pane with its measures, two beside each other.
func (c *cutting) drawings() {
	const cellWide, cellHigh = bodyWidth / 2.0, 74.0
	var pg *page
	for i, x := range c.l.Pieces {
		at := i % 6
		if at == 0 {
			pg = c.newPage("Panes")
		}
		col, row := float64(at%2), float64(at/2)
		p := pg.draw(fmt.Sprintf("%s: %s wide, %s high, %s thick.", x.Name, c.say(x.Width), c.say(x.Height), glass.Name(c.s.Units, x.Thickness)),
			border+col*cellWide, bodyTop+row*cellHigh)
		scale := scaleFor(x.Width.MM(), x.Height.MM(), cellWide-26, cellHigh-26)
		w, h := x.Width.MM()/scale, x.Height.MM()/scale
		const x0, y0 = 14.0, 8.0
		p.bold(0, 3.6, 3.5, left, x.Name)
		p.text(22, 3.6, small, left, fmt.Sprintf("%s thick, %s, 1 : %s", glass.Name(c.s.Units, x.Thickness), c.s.Units.Mass(x.Mass), number(scale)))
		p.box(outline, x0, y0, x0+w, y0+h)
		p.across(point{x0, y0 + h}, point{x0 + w, y0 + h}, y0+h+7, tag{text: c.say(x.Width)})
		p.up(point{x0, y0}, point{x0, y0 + h}, x0-5, tag{text: c.say(x.Height)})
		for k, line := range wrap(edges(x), small, w-2) {
			p.text(x0+w/2, y0+h/2+3.2*float64(k), small, centre, line)
		}
		p.text(x0+w/2, y0+h-1.6, small, centre, fit("foot", small, w-2))
	}
}

// strips draws the setting-out strip in full size: the inside of the sump along
// the flow, from the inlet end, in lengths that a page holds, to be cut out and
// taped together at their crosses.
func (c *cutting) strips() {
	const (
		stripHigh = 44.0
		wide      = 176.0 // mm of the sump on one strip
		perPage   = 4
	)
	length := c.l.Length.MM()
	n := int(math.Ceil(length / wide))
	var pg *page
	for i := range n {
		if i%perPage == 0 {
			pg = c.newPage("Where the baffles go, full size")
			pg.draw("", border, border).text(0, 8.6, small, left,
				"Cut out the strips, tape them together cross on cross, lay them on the inside bottom with 0 against the inlet end.")
		}
		from, to := wide*float64(i), math.Min(length, wide*float64(i+1))
		p := pg.draw(fmt.Sprintf("Strip %d of %d, from %s to %s from the inlet end.", i+1, n, c.say(unit.Length(from)), c.say(unit.Length(to))),
			border+4, bodyTop+8+stripHigh*float64(i%perPage))
		c.strip(p, from, to, i+1, n)
	}
}

func (c *cutting) strip(p pen, from, to float64, k, n int) {
	const foot = 26.0
	x := func(at float64) float64 { return at - from }
	p.line(outline, 0, foot, x(to), foot)
	p.line(narrow, 0, 4, x(to), 4)
	for _, end := range []float64{0, x(to)} {
		p.line(narrow, end-3, foot, end+3, foot)
		p.line(narrow, end, 0, end, foot+3)
		p.line(narrow, end-3, 4, end+3, 4)
	}
	if from == 0 {
		p.line(outline, 0, 0, 0, foot)
		p.upward(-3.4, foot, small, left, "inlet end: 0")
	}
	if to == c.l.Length.MM() {
		p.line(outline, x(to), 0, x(to), foot)
		p.upward(x(to)+5.6, foot, small, left, "far end: "+c.say(c.l.Length))
	}
	c.ruler(p, from, to, foot)
	for i, b := range c.l.Pieces {
		lo, hi := b.At.MM(), (b.At + b.Thickness).MM()
		if hi <= from || lo >= to {
			continue
		}
		p.hatched(rectangle(x(max(lo, from)), 8, x(min(hi, to)), foot)...)
		if lo < from {
			continue
		}
		// Beside the pane and within the strip, so that nobody cuts it off and the
		// next pane's does not run into it.
		lines := []string{fmt.Sprintf("%d: %s", i+1, c.say(b.At))}
		if b.Raised {
			lines = append(lines, "up "+c.say(b.Up))
		}
		const line = 3.2
		at := x(hi) + 3
		if at+line > x(to) {
			at = x(lo) - 1 - line*float64(len(lines)-1)
		}
		for k, text := range lines {
			p.upward(at+line*float64(k), foot-1, small, left, text)
		}
	}
	p.text(x(to)/2, foot+9, small, centre, fmt.Sprintf("strip %d of %d", k, n))
}

// ruler draws the strokes of a tape under a strip.
func (c *cutting) ruler(p pen, from, to, foot float64) {
	step, every, unitOf := 10.0, 5, 1.0 // 10 mm, a long one each 50 mm
	if c.s.Units == unit.Inches {
		step, every, unitOf = unit.Inch.MM()/4, 4, unit.Inch.MM()
	}
	if c.s.Units == unit.Centimetres {
		unitOf = unit.Centimetre.MM()
	}
	for i := int(math.Ceil(from/step - 1e-9)); float64(i)*step <= to+1e-9; i++ {
		at := float64(i)*step - from
		high := 1.4
		if i%every == 0 {
			high = 2.8
			p.text(at, foot+5.4, small, centre, number(float64(i)*step/unitOf))
		}
		p.line(narrow, at, foot, at, foot+high)
	}
}
