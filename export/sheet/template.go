package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Templates are patterns in full size, to be cut from paper and tried on the
// cabinet. What is larger than a page is printed in tiles that overlap: crosses
// in the overlap fall on each other, and each tile has two bars that tell whether
// the print is true to scale.

// The tiles of a pattern, in mm.
const (
	tileWide = bodyWidth
	tileHigh = 216.0
	overlap  = 10.0 // of a tile with the next
	stepWide = tileWide - overlap
	stepHigh = tileHigh - overlap
	tileTop  = border + 7.0
	spareRim = 5.0 // round the pattern, so that its outline is not the edge of a tile
)

// A pattern is what a template shows, from its left upper corner to the right and
// down.
type pattern struct {
	name, title string
	note        string // how to use it
	wide, high  float64
	lines       []patternLine
	labels      []label
}

type patternLine struct {
	s   style
	pts []point
}

// A label is a text about a point.
type label struct {
	at   point
	text string
}

// Templates returns the full-size patterns of a scene in tiles, each after a key
// to its tiles: the sump's footprint and every opening.
func Templates(s *scene.Scene) []Drawing {
	var patterns []pattern
	if s.Sump != nil {
		patterns = append(patterns, footprint(s))
	}
	for i := range s.Cabinet.Openings {
		patterns = append(patterns, holePattern(s, i))
	}
	var out []Drawing
	for i := range patterns {
		out = append(out, patterns[i].tiled(s)...)
	}
	return out
}

// footprint is what the sump covers, from above with its front below.
func footprint(s *scene.Scene) pattern {
	round := solid.BoundsOf(solids(s.Sump.Carried())...)
	p := pattern{
		name: "sump-footprint", title: "Footprint of the sump",
		note: "Cut along the wide line and lay it where the sump is to stand, its front to the front.",
		wide: round.Max.X - round.Min.X, high: round.Max.Y - round.Min.Y,
	}
	at := func(x, y float64) point { return point{x - round.Min.X, round.Max.Y - y} }
	p.frame([4]string{"back", "front", "left", "right"}, "sump, from above")
	for _, part := range s.Sump.Panes() {
		if part.Role == scene.RoleBaffle {
			b := part.Solid.Bounds()
			lo, hi := at(b.Min.X, b.Max.Y), at(b.Max.X, b.Min.Y)
			p.box(narrow, lo, hi)
		}
	}
	if b := s.Sump.Box; b.Min != round.Min || b.Max.X != round.Max.X || b.Max.Y != round.Max.Y {
		p.box(narrow, at(b.Min.X, b.Max.Y), at(b.Max.X, b.Min.Y))
	}
	in := s.Sump.Inside()
	p.box(narrow, at(in.Min.X, in.Max.Y), at(in.Max.X, in.Min.Y))
	return p
}

// holePattern is an opening as someone sees it who stands before it.
func holePattern(s *scene.Scene, i int) pattern {
	o := &s.Cabinet.Openings[i]
	f := frameOf(o.Side)
	h := f.box(o.Hole)
	p := pattern{
		name: fmt.Sprintf("opening-%d", i+1), title: "Opening: " + o.Name,
		note: "Cut along the wide line and hold it to the cabinet: it is the bare hole, seen from outside. Dashes: hinges.",
		wide: h.Max.X - h.Min.X, high: h.Max.Y - h.Min.Y,
	}
	at := func(x, y float64) point { return point{x - h.Min.X, h.Max.Y - y} }
	sides := [4]string{"top", "bottom", "left", "right"}
	if o.Side == scene.Top {
		sides = [4]string{"back", "front", "left", "right"}
	}
	p.frame(sides, o.Name)
	for _, part := range s.Hinges(o) {
		b := f.box(part.Solid.Bounds())
		p.box(hidden, at(b.Min.X, b.Max.Y), at(b.Max.X, b.Min.Y))
	}
	mx, my := p.wide/2, p.high/2
	p.lines = append(
		p.lines,
		patternLine{chain, []point{{mx, 0}, {mx, p.high}}},
		patternLine{chain, []point{{0, my}, {p.wide, my}}},
	)
	return p
}

// frame draws the outline to cut along and names its sides: upper, lower, left,
// right, and the whole.
func (p *pattern) frame(sides [4]string, whole string) {
	p.box(outline, point{}, point{p.wide, p.high})
	const in = 22.0 // clear of glass and hinges
	p.labels = []label{
		{point{p.wide / 2, in}, sides[0]},
		{point{p.wide / 2, p.high - in}, sides[1]},
		{point{in, p.high / 2}, sides[2]},
		{point{p.wide - in, p.high / 2}, sides[3]},
		{point{p.wide/2 - in, p.high/2 + in}, whole},
	}
}

func (p *pattern) box(s style, lo, hi point) {
	r := rectangle(lo.x, lo.y, hi.x, hi.y)
	p.lines = append(p.lines, patternLine{s, append(r, r[0])})
}

// turned returns the pattern with its upper side to the left.
func (p *pattern) turned() *pattern {
	turn := func(q point) point { return point{q.y, p.wide - q.x} }
	t := *p
	t.wide, t.high = p.high, p.wide
	t.lines, t.labels = nil, nil
	for _, l := range p.lines {
		var pts []point
		for _, q := range l.pts {
			pts = append(pts, turn(q))
		}
		t.lines = append(t.lines, patternLine{l.s, pts})
	}
	for _, l := range p.labels {
		t.labels = append(t.labels, label{turn(l.at), l.text})
	}
	return &t
}

// grid returns how many tiles a pattern takes side by side and one under the
// other.
func (p *pattern) grid() (columns, rows int) {
	count := func(length, step float64) int {
		return max(1, int(math.Ceil((length+2*spareRim-overlap)/step-1e-9)))
	}
	return count(p.wide, stepWide), count(p.high, stepHigh)
}

// tileName names a tile by column and row: A1 is at the upper left.
func tileName(column, row int) string {
	name := ""
	for n := column; n >= 0; n = n/26 - 1 {
		name = string(rune('A'+n%26)) + name
	}
	return fmt.Sprint(name, row+1)
}

// tiled returns the key and the tiles.
func (p *pattern) tiled(s *scene.Scene) []Drawing {
	columns, rows := p.grid()
	turned := p.turned()
	if c, r := turned.grid(); c*r < columns*rows {
		p, columns, rows = turned, c, r
	}
	t := tiling{pattern: *p, s: s, columns: columns, rows: rows}
	out := []Drawing{{Name: p.name + "-key", Title: p.title + ", key to its tiles", page: t.key()}}
	for r := range rows {
		for c := range columns {
			out = append(out, Drawing{
				Name:  p.name + "-" + strings.ToLower(tileName(c, r)),
				Title: p.title + ", tile " + tileName(c, r), Scale: "1 : 1", page: t.tile(c, r),
			})
		}
	}
	for i := range out {
		out[i].page.Title = out[i].Title
	}
	return out
}

// A tiling is a pattern on its tiles.
type tiling struct {
	pattern
	s             *scene.Scene
	columns, rows int
}

// foot draws the two bars and the title block.
func (t *tiling) foot(pg *page, title, scale string, sheet int) {
	p := pg.draw("", border, tileTop+tileHigh)
	p.moved(0, 6).bar()
	p.moved(0, 12).inchBar()
	p.text(105, 5.4, small, left, "This bar must measure 100 mm,")
	p.text(105, 11.4, small, left, "and this one 4 in. Print at 100 %, not “fit to page”.")
	pg.draw("", border, pageHeight-border-titleHeight).titleBlock(
		field{"Document", "Template", 30},
		field{"Title", title, 74},
		field{"Plan", t.s.Title, 46},
		field{"Scale", scale, 18},
		field{"Sheet", fmt.Sprintf("%d / %d", sheet, t.columns*t.rows+1), 18},
	)
}

// inchBar is the bar of 4 in.
func (p pen) inchBar() {
	const inch = 25.4
	for i := range 9 {
		high := 1.2
		if i%2 == 0 {
			high = 2.4
		}
		p.line(narrow, float64(i)*inch/2, 0, float64(i)*inch/2, -high)
	}
	p.line(outline, 0, 0, 4*inch, 0)
}

// key draws the whole pattern small, with its tiles.
func (t *tiling) key() *page {
	pg := &page{scale: ""}
	pg.draw("", border, border).bold(0, 4, large, left, fit(t.title+", in full size on tiles", large*boldness, bodyWidth))
	wide := stepWide*float64(t.columns) + overlap
	high := stepHigh*float64(t.rows) + overlap
	scale := scaleFor(wide, high, bodyWidth-24, 150)
	pg.scale = "1 : " + number(scale)
	pg.About = fmt.Sprintf("%s: %s wide, %s high, on %d columns and %d rows of tiles.", t.title,
		t.s.Units.Length(unit.Length(t.wide)), t.s.Units.Length(unit.Length(t.high)), t.columns, t.rows)
	const x0, y0 = border + 20.0, bodyTop + 16.0
	p := pg.draw(pg.About, x0, y0)
	at := func(q point) point { return point{(q.x + spareRim) / scale, (q.y + spareRim) / scale} }
	for _, l := range t.lines {
		var pts []point
		for _, q := range l.pts {
			pts = append(pts, at(q))
		}
		if l.s == outline {
			p.lines(l.s, pts...)
		}
	}
	for r := range t.rows {
		for c := range t.columns {
			x, y := stepWide*float64(c)/scale, stepHigh*float64(r)/scale
			p.box(hidden, x, y, x+tileWide/scale, y+tileHigh/scale)
			// On paper of its own: an edge of the pattern may run through the middle.
			mid, half := point{x + tileWide/scale/2, y + tileHigh/scale/2}, width(tileName(c, r), normal)/2+0.6
			p.area(bare, rectangle(mid.x-half, mid.y-2.6, mid.x+half, mid.y+0.8)...)
			p.bold(mid.x, mid.y, normal, centre, tileName(c, r))
		}
	}
	a, b, c := at(point{}), at(point{t.wide, 0}), at(point{0, t.high})
	p.across(a, b, -7, tag{text: t.s.Units.Length(unit.Length(t.wide))})
	p.up(a, c, -9, tag{text: t.s.Units.Length(unit.Length(t.high))})
	y := high/scale + 8
	for _, text := range []string{
		t.note,
		"Print every tile at 100 % and measure its bars first: 100 mm, and 4 in.",
		"Cut each tile along its frame at the left and above, and lay it with these edges on the dashes of the tiles before it: they overlap by 10 mm. Held to the light, the crosses fall on each other. Tape them.",
		"Then measure the whole: the wide line must be as long as the numbers above say.",
	} {
		for _, line := range wrap(text, normal, bodyWidth) {
			p.text(-20, y, normal, left, line)
			y += 4.4
		}
	}
	t.foot(pg, t.title+", key", pg.scale, 1)
	return pg
}

// tile draws one tile in full size.
func (t *tiling) tile(column, row int) *page {
	name := tileName(column, row)
	pg := &page{scale: "1 : 1", About: fmt.Sprintf("%s in full size: column %d of %d, row %d of %d.", t.title, column+1, t.columns, row+1, t.rows)}
	pg.draw("", border, border).bold(0, 4, large, left, fit(t.title+", tile "+name, large*boldness, bodyWidth))
	p := pg.draw("", border, tileTop)
	p.box(narrow, 0, 0, tileWide, tileHigh)
	var drawn [][]point // what texts keep off
	if column+1 < t.columns {
		drawn = append(drawn, []point{{stepWide, 0}, {stepWide, tileHigh}})
	}
	if row+1 < t.rows {
		drawn = append(drawn, []point{{0, stepHigh}, {tileWide, stepHigh}})
	}
	for _, l := range drawn {
		p.lines(hidden, l...)
	}
	for _, x := range []float64{overlap / 2, tileWide - overlap/2} {
		for _, y := range []float64{overlap / 2, tileHigh - overlap/2} {
			const arm = 4
			p.line(narrow, x-arm, y, x+arm, y)
			p.line(narrow, x, y-arm, x, y+arm)
			p.circle(narrow, x, y, 2)
		}
	}
	t.neighbours(p, column, row)

	q := pg.draw(t.title, border, tileTop)
	x0, y0 := stepWide*float64(column)-spareRim, stepHigh*float64(row)-spareRim
	for _, l := range t.lines {
		for _, run := range within(l.pts, x0, y0, x0+tileWide, y0+tileHigh) {
			for i := range run {
				run[i] = point{run[i].x - x0, run[i].y - y0}
			}
			q.lines(l.s, run...)
			drawn = append(drawn, run)
		}
	}
	at := beside(drawn, point{overlap + 10, overlap + 9}, name, 6)
	q.bold(at.x, at.y, 6, centre, name)
	for _, l := range t.labels {
		// Each is on one tile alone, and whole.
		x, y := l.at.x-x0, l.at.y-y0
		half := width(l.text, normal) / 2
		if half > tileWide/2-2*overlap || !owns(x, column, t.columns, stepWide, tileWide) || !owns(y, row, t.rows, stepHigh, tileHigh) {
			continue
		}
		x = min(max(x, overlap+half+1), tileWide-overlap-half-1)
		y = min(max(y, overlap+14), tileHigh-overlap-6)
		at := beside(drawn, point{x, y}, l.text, normal)
		q.text(at.x, at.y, normal, centre, l.text)
	}
	t.foot(pg, t.title+", tile "+name, "1 : 1", 2+row*t.columns+column)
	return pg
}

// beside returns a place near another where a text about it lies on no line.
func beside(lines [][]point, at point, text string, size float64) point {
	const step = 5.0
	for _, d := range []point{{}, {step, 0}, {-step, 0}, {2 * step, step}, {-2 * step, -step}, {4 * step, step}, {-4 * step, -step}, {step, 2 * step}} {
		q := point{at.x + d.x, at.y + d.y}
		b := textBlock(q.x, q.y, size*boldness, centre, text)
		if b.x1 < 1 || b.x2 > tileWide-1 || b.y1 < 1 || b.y2 > tileHigh-1 {
			continue
		}
		if !slices.ContainsFunc(lines, func(l []point) bool { return len(within(l, b.x1-1, b.y1-1, b.x2+1, b.y2+1)) > 0 }) {
			return q
		}
	}
	return at
}

// owns tells that a tile is the one that a place is written on: of two that
// overlap, the first.
func owns(at float64, k, of int, step, size float64) bool {
	from := overlap
	if k == 0 {
		from = 0
	}
	to := step + overlap
	if k == of-1 {
		to = size
	}
	return at >= from && at < to
}

// neighbours names the tiles that come next.
func (t *tiling) neighbours(p pen, column, row int) {
	const foot = 1
	if column+1 < t.columns {
		p.upward(tileWide-overlap/2+foot, tileHigh/2, small, centre, tileName(column+1, row)+" goes here")
	}
	if row+1 < t.rows {
		p.text(tileWide/2, tileHigh-overlap/2+foot, small, centre, tileName(column, row+1)+" goes here")
	}
}

// within returns the pieces of a line that are in a rectangle.
func within(pts []point, x1, y1, x2, y2 float64) [][]point {
	var out [][]point
	for k := 1; k < len(pts); k++ {
		a, b := pts[k-1], pts[k]
		i := inBlock(a, b, block{x1, y1, x2, y2})
		if i.to <= i.from {
			continue
		}
		p, q := between(a, b, i.from), between(a, b, i.to)
		if n := len(out); n > 0 && i.from == 0 && out[n-1][len(out[n-1])-1] == p {
			out[n-1] = append(out[n-1], q)
			continue
		}
		out = append(out, []point{p, q})
	}
	return out
}
