package sheet

import (
	"fmt"
	"strings"
)

// A form is a sheet of sections on as many pages as they need.
type form struct {
	name  string // what it is, for the title block
	about string // the plan's title
	units string
	pages []*page
	heads []string // title of each page
	y     float64  // where the next section goes
}

// What a page keeps free, in mm: borders that every printer reaches, the title
// line above, and the scale bar and title block below.
const (
	border    = 12
	bodyWidth = pageWidth - 2*border
	bodyTop   = border + 8
	bodyEnd   = pageHeight - border - 23
)

// Measures of tables in mm.
const (
	figureWidth = 64 // of drawings left of a table
	gutter      = 4
	headHigh    = 5.5 // of a section's head
	columnsHigh = 5
	pad         = 1.2
)

// A section is one part of the form: drawings, and the table of their keys
// beside or under them.
type section struct {
	title string
	note  string // which of two measures to use
	// drawings are one under the other left of the table, or side by side
	// above it.
	drawings []drawing
	above    bool
	table    table
}

// A drawing is made with its origin at the top left.
type drawing struct {
	title string // for who cannot see it
	high  float64
	make  func(pen)
}

// A table has a key column, columns of text and columns to write in.
type table struct {
	columns []column
	rows    []row
	high    float64 // of a row
}

// A column without a fixed width shares what is left.
type column struct {
	head  string
	width float64
}

// A row is one line of a table, cell by cell.
type row []cell

// A cell is text, or a box to write in with what the plan says small in its
// corner.
type cell struct {
	text string
	bold bool
	box  bool
	wide bool // a box whose frame is wide: what is in it decides
}

func says(s string) cell  { return cell{text: s} }
func named(s string) cell { return cell{text: s, bold: true} }
func blank(s string) cell { return cell{text: s, box: true} }

// newPage starts a page.
func (f *form) newPage(title string) {
	pg := &page{}
	f.pages = append(f.pages, pg)
	f.heads = append(f.heads, title)
	p := pg.draw("", border, border)
	p.bold(0, 4, large, left, title)
	f.y = bodyTop
}

func (f *form) page() *page { return f.pages[len(f.pages)-1] }

// add puts a section on the page, or what does not fit on further ones.
func (f *form) add(s section) {
	tableX, tableY := 0.0, headHigh+1.0
	drawn := 0.0
	if len(s.drawings) > 0 {
		for _, d := range s.drawings {
			if s.above {
				drawn = max(drawn, d.high)
			} else {
				drawn += d.high
			}
		}
		if s.above {
			tableY += drawn + 1
		} else {
			tableX = figureWidth + gutter
		}
	}
	// At least the drawings and three rows go together.
	need := tableY + columnsHigh + float64(min(3, len(s.table.rows)))*s.table.high
	if !s.above {
		need = max(need, headHigh+1+drawn)
	}
	if f.y+need > bodyEnd {
		f.newPage(f.heads[len(f.heads)-1])
	}
	f.head(s.title, s.note)
	top := f.y
	x, y := 0.0, top+headHigh+1
	for _, d := range s.drawings {
		d.make(f.page().draw(d.title, border+x, y))
		if s.above {
			x += bodyWidth / float64(len(s.drawings))
		} else {
			y += d.high
		}
	}
	rows := f.rows(s.table, s.table.rows, tableX, top+tableY)
	end := max(f.y, y)
	for len(rows) > 0 { // the rest over the whole width
		f.newPage(f.heads[len(f.heads)-1])
		f.head(s.title+" (continued)", s.note)
		rows = f.rows(s.table, rows, 0, f.y+headHigh+1)
		end = f.y
	}
	f.y = end + gutter
}

// head draws the head of a section.
func (f *form) head(title, note string) {
	p := f.page().draw("", border, f.y)
	p.bold(0, 3.6, 3.5, left, title)
	p.text(bodyWidth, 3.6, normal, right, note)
	p.line(outline, 0, headHigh-0.6, bodyWidth, headHigh-0.6)
}

// rows draws as many rows as the page has room for, and returns the rest. It
// leaves f.y below them.
func (f *form) rows(t table, rows []row, x, y float64) []row {
	if len(rows) == 0 {
		f.y = y
		return nil
	}
	room := bodyWidth - x
	fixed, shared := 0.0, 0
	for _, c := range t.columns {
		if c.width == 0 {
			shared++
		}
		fixed += c.width
	}
	widths := make([]float64, len(t.columns))
	for i, c := range t.columns {
		widths[i] = c.width
		if c.width == 0 {
			widths[i] = (room - fixed) / float64(shared)
		}
	}
	p := f.page().draw("", border+x, y)
	at := 0.0
	for i, c := range t.columns {
		p.text(at+pad/2, columnsHigh-1.6, small, left, fit(c.head, small, widths[i]))
		at += widths[i]
	}
	at = columnsHigh
	for i, r := range rows {
		if y+at+t.high > bodyEnd {
			f.y = y + at
			return rows[i:]
		}
		f.row(p, r, widths, at, t.high)
		at += t.high
	}
	f.y = y + at
	return nil
}

func (f *form) row(p pen, r row, widths []float64, y, high float64) {
	x := 0.0
	for i, c := range r {
		switch w := widths[i]; {
		case c.box:
			p.box(paper, x+pad/2, y+0.4, x+w-pad/2, y+high-0.4)
			if c.wide {
				p.box(outline, x+pad/2, y+0.4, x+w-pad/2, y+high-0.4)
				x, y := x+w-pad/2, y+0.4
				p.area(solidly, point{x, y}, point{x, y + 1.8}, point{x - 1.8, y})
			}
			f.filled(p, c.text, x+pad, y+0.4, w-2*pad)
		case c.bold:
			p.bold(x+pad/2, y+high/2+1, normal, left, fit(c.text, normal*boldness, w))
		default:
			lines := wrap(c.text, small+0.1, w-pad)
			const apart = 3
			foot := y + high/2 + 0.9 - apart*float64(len(lines)-1)/2
			for _, line := range lines {
				p.text(x+pad/2, foot, small+0.1, left, line)
				foot += apart
			}
		}
		x += widths[i]
	}
}

// filled writes what the plan says small into the top of a box, on two lines
// where one is too short.
func (f *form) filled(p pen, text string, x, y, wide float64) {
	const size, apart = 2.3, 2.6
	lines := wrap(text, size, wide)
	if len(lines) > 2 {
		lines = []string{lines[0], strings.Join(lines[1:], " ")}
	}
	for i, line := range lines {
		p.text(x, y+2.5+apart*float64(i), size, left, fit(line, size, wide))
	}
}

// finish writes the foot of every page.
func (f *form) finish() ([][]byte, error) {
	files := make([][]byte, len(f.pages))
	for i, pg := range f.pages {
		pg.Title = fmt.Sprintf("%s, page %d of %d: %s", f.name, i+1, len(f.pages), f.heads[i])
		p := pg.draw("", border, pageHeight-border-18)
		p.bar()
		p.text(104, -1.6, small, left, "Print at 100 %, not “fit to page”: this bar must measure 100 mm.")
		p.text(104, 1.4, small, left, "Then it also serves as a ruler: one stroke is 10 mm.")
		p.moved(0, 6).titleBlock(
			field{"Document", f.name, 31},
			field{"Title", strings.TrimLeft(f.heads[i], "0123456789 "), 60},
			field{"Plan", f.about, 36},
			field{"Measured by", "", 22},
			field{"Date", "", 14},
			field{"Units", f.units, 9},
			field{"Sheet", fmt.Sprintf("%d / %d", i+1, len(f.pages)), 14},
		)
		var err error
		if files[i], err = pg.svg(); err != nil {
			return nil, err
		}
	}
	return files, nil
}
