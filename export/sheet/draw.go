package sheet

import (
	"bytes"
	"html/template"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Sheets are drawn in millimetres of paper, x to the right, y down. Lines are
// those of ISO 128-2, dimensions are made as in ISO 129-1: narrow lines, closed
// arrowheads, the text over the line, readable from below or from the right.

// A style is how a line is drawn or an area filled.
type style string

// The styles.
const (
	outline style = "outline" // continuous, wide: edges that are seen
	narrow  style = "narrow"  // continuous, narrow: dimensions, hatching, frames of tables
	hidden  style = "hidden"  // dashed, narrow: edges behind something
	chain   style = "chain"   // long dash and dot, narrow: centre lines
	phantom style = "phantom" // long dash and two dots, narrow: what moves, or what stands beside
	solidly style = "solidly" // filled with ink: arrowheads
	paper   style = "paper"   // filled with paper, narrow outline: boxes to write in
	bare    style = "bare"    // filled with paper, no outline
)

// A stroke is how the lines of a style look on paper.
type stroke struct {
	width  float64   // mm; 0: no line
	dashes []float64 // mm of line and gap in turn; none: continuous
	fill   string    // "none", ink or paper
}

// The widths of the line group 0.35 of ISO 128-2, in mm, and the lengths of what
// its lines are made of, in widths of the line.
const (
	wideLine, narrowLine = 0.35, 0.18

	longDash = 24 * narrowLine
	dash     = 12 * narrowLine
	gap      = 3 * narrowLine
	dot      = 0.5 * narrowLine
)

// The colours of a sheet.
const (
	ink   = "#000"
	white = "#fff"
)

// strokes is how each style is drawn, in files and in pictures.
var strokes = map[style]stroke{
	outline: {width: wideLine, fill: "none"},
	narrow:  {width: narrowLine, fill: "none"},
	hidden:  {narrowLine, []float64{dash, gap}, "none"},
	chain:   {narrowLine, []float64{longDash, gap, dot, gap}, "none"},
	phantom: {narrowLine, []float64{longDash, gap, dot, gap, dot, gap}, "none"},
	solidly: {fill: ink},
	paper:   {width: narrowLine, fill: white},
	bare:    {fill: white},
}

// The heights of letters, as font sizes in mm.
const (
	small  = 2.5
	normal = 2.9
	large  = 4.2
)

// A point is a place on paper.
type point struct{ x, y float64 }

// A figure is a drawing with a text twin for who cannot see it.
type figure struct {
	Title string
	Items []item
}

// An item is one path or one line of text.
type item struct {
	Style style
	D     string // path data; "" for text

	Text   string
	X, Y   string
	Size   string
	Anchor string
	Weight string
	Turn   string // transform, "" for none
}

// A pen draws into a figure, with its own origin.
type pen struct {
	to   *figure
	x, y float64
}

// moved returns a pen whose origin is at (x, y) of p.
func (p pen) moved(x, y float64) pen { return pen{p.to, p.x + x, p.y + y} }

// number prints a coordinate to a hundredth of a millimetre.
func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64)
}

// lines draws a line through points.
func (p pen) lines(s style, pts ...point) { p.path(s, pts, "") }

// area draws a closed outline.
func (p pen) area(s style, pts ...point) { p.path(s, pts, "Z") }

func (p pen) path(s style, pts []point, end string) {
	var d strings.Builder
	for i, pt := range pts {
		d.WriteByte("ML"[min(i, 1)])
		d.WriteString(number(p.x+pt.x) + " " + number(p.y+pt.y))
	}
	p.to.Items = append(p.to.Items, item{Style: s, D: d.String() + end})
}

// line draws one line.
func (p pen) line(s style, x1, y1, x2, y2 float64) { p.lines(s, point{x1, y1}, point{x2, y2}) }

// box draws a rectangle from corner to corner.
func (p pen) box(s style, x1, y1, x2, y2 float64) { p.area(s, rectangle(x1, y1, x2, y2)...) }

func rectangle(x1, y1, x2, y2 float64) []point {
	return []point{{x1, y1}, {x2, y1}, {x2, y2}, {x1, y2}}
}

// circle draws a circle.
func (p pen) circle(s style, x, y, r float64) {
	half := func(to float64) string {
		return "A" + number(r) + " " + number(r) + " 0 0 1 " + number(p.x+to) + " " + number(p.y+y)
	}
	start := "M" + number(p.x+x-r) + " " + number(p.y+y)
	p.to.Items = append(p.to.Items, item{Style: s, D: start + half(x+r) + half(x-r) + "Z"})
}

// arc draws an arc from one angle to another, in degrees clockwise from the
// right.
func (p pen) arc(s style, x, y, r, from, to float64) {
	n := max(2, int(math.Ceil(math.Abs(to-from)/5)))
	pts := make([]point, n+1)
	for i := range pts {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		pts[i] = point{x + r*cos, y + r*sin}
	}
	p.lines(s, pts...)
}

// An anchor says which end of a text is at its place.
type anchor string

// The anchors.
const (
	left   anchor = "start"
	centre anchor = "middle"
	right  anchor = "end"
)

// text writes one line with its foot at (x, y).
func (p pen) text(x, y, size float64, a anchor, s string) { p.write(x, y, size, a, s, "", "") }

// bold writes one line in bold.
func (p pen) bold(x, y, size float64, a anchor, s string) { p.write(x, y, size, a, s, "bold", "") }

// upward writes one line that is read from the right.
func (p pen) upward(x, y, size float64, a anchor, s string) {
	p.write(x, y, size, a, s, "", "rotate(-90 "+number(p.x+x)+" "+number(p.y+y)+")")
}

func (p pen) write(x, y, size float64, a anchor, s, weight, turn string) {
	if s = printable(s); s == "" {
		return
	}
	p.to.Items = append(p.to.Items, item{
		Text: s, X: number(p.x + x), Y: number(p.y + y), Size: number(size), Anchor: string(a), Weight: weight, Turn: turn,
	})
}

// hatched draws an area that is cut: its outline, and narrow lines at 45° as in
// ISO 128-3.
func (p pen) hatched(pts ...point) {
	p.hatch(1.2, pts...)
	p.area(outline, pts...)
}

// hatch fills a convex area with lines at 45° that rise to the right, a
// distance apart. The lines of touching areas meet.
func (p pen) hatch(apart float64, pts ...point) {
	step := apart * math.Sqrt2
	along := func(q point) float64 { return p.x + q.x + p.y + q.y } // constant on a line
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range pts {
		lo, hi = min(lo, along(q)), max(hi, along(q))
	}
	for c := math.Ceil(lo/step) * step; c < hi; c += step {
		var ends []point
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			u, v := along(a)-c, along(b)-c
			if (u < 0) == (v < 0) {
				continue
			}
			t := u / (u - v)
			ends = append(ends, point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)})
		}
		if len(ends) == 2 && math.Hypot(ends[0].x-ends[1].x, ends[0].y-ends[1].y) > 0.2 {
			p.lines(narrow, ends...)
		}
	}
}

// arrow draws a closed arrowhead whose tip is at (x, y) and which points along
// (dx, dy): three times as long as it is wide.
func (p pen) arrow(x, y, dx, dy float64) {
	const long, half = 2.4, 0.4
	n := math.Hypot(dx, dy)
	dx, dy = dx/n, dy/n
	bx, by := x-long*dx, y-long*dy
	p.area(solidly, point{x, y}, point{bx - half*dy, by + half*dx}, point{bx + half*dy, by - half*dx})
}

// A tag is what stands at a dimension: a number as text over the line, or the
// key of a table in a ring on it.
type tag struct {
	text string
	ring bool
}

// key is the tag of a row of a table.
func key(s string) tag { return tag{s, true} }

// ringSize is the radius of a ring.
const ringSize = 2.5

// put draws t about the middle of a dimension line.
func (p pen) put(x, y float64, t tag, upright bool) {
	switch {
	case t.ring:
		p.circle(paper, x, y, ringSize)
		p.bold(x, y+0.9, small, centre, t.text)
	case upright:
		p.upward(x-0.8, y, normal, centre, t.text)
	default:
		p.text(x, y-0.8, normal, centre, t.text)
	}
}

const (
	past   = 1.4 // how far extension lines go past a dimension line: 8 line widths
	lead   = 4   // how far an outside arrow's line goes on
	inside = 10  // the shortest dimension with its arrows and tag inside
)

// across draws the dimension from a to b in x, on a line at height y.
func (p pen) across(a, b point, y float64, t tag) {
	if a.x > b.x {
		a, b = b, a
	}
	p.extension(a, point{a.x, y})
	p.extension(b, point{b.x, y})
	if b.x-a.x >= inside {
		p.line(narrow, a.x, y, b.x, y)
		p.arrow(a.x, y, -1, 0)
		p.arrow(b.x, y, 1, 0)
		p.put((a.x+b.x)/2, y, t, false)
		return
	}
	p.line(narrow, a.x-lead, y, b.x+lead, y)
	p.arrow(a.x, y, 1, 0)
	p.arrow(b.x, y, -1, 0)
	p.put(b.x+lead+ringSize, y, t, false)
}

// up draws the dimension from a to b in y, on a line at x.
func (p pen) up(a, b point, x float64, t tag) {
	if a.y > b.y {
		a, b = b, a
	}
	p.extension(a, point{x, a.y})
	p.extension(b, point{x, b.y})
	if b.y-a.y >= inside {
		p.line(narrow, x, a.y, x, b.y)
		p.arrow(x, a.y, 0, -1)
		p.arrow(x, b.y, 0, 1)
		p.put(x, (a.y+b.y)/2, t, true)
		return
	}
	p.line(narrow, x, a.y-lead, x, b.y+lead)
	p.arrow(x, a.y, 0, 1)
	p.arrow(x, b.y, 0, -1)
	p.put(x, a.y-lead-ringSize, t, true)
}

// angle draws the dimension of an angle at a corner, from one direction to
// another, in degrees clockwise from the right.
func (p pen) angle(at point, r, from, to float64, t tag) {
	p.arc(narrow, at.x, at.y, r, from, to)
	on := func(deg float64) (x, y, alongX, alongY float64) {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		return at.x + r*cos, at.y + r*sin, -sin, cos
	}
	x, y, dx, dy := on(from)
	p.arrow(x, y, -dx, -dy)
	x, y, dx, dy = on(to)
	p.arrow(x, y, dx, dy)
	x, y, _, _ = on((from + to) / 2)
	p.put(x, y, t, false)
}

// extension draws the extension line from a point of the object to its
// dimension line.
func (p pen) extension(from, to point) {
	d := point{to.x - from.x, to.y - from.y}
	n := math.Hypot(d.x, d.y)
	if n < 0.01 {
		return
	}
	p.line(narrow, from.x, from.y, to.x+d.x/n*past, to.y+d.y/n*past)
}

// leader draws a line from a thing at (x, y) to the ring of its key.
func (p pen) leader(x, y, toX, toY float64, t tag) {
	p.line(narrow, x, y, toX, toY)
	p.circle(solidly, x, y, 0.5)
	p.put(toX, toY, t, false)
}

// ground draws what a thing stands on: a line with strokes below.
func (p pen) ground(x1, x2, y float64) {
	p.line(outline, x1, y, x2, y)
	for x := x1 + 1; x < x2; x += 2 {
		p.line(narrow, x, y, x-1.4, y+1.4)
	}
}

// level draws the surface of water from x1 to x2, with the usual sign.
func (p pen) level(x1, x2, y float64) {
	p.line(narrow, x1, y, x2, y)
	x := x1 + min(4, (x2-x1)/2)
	p.area(narrow, point{x, y}, point{x - 1, y - 1.7}, point{x + 1, y - 1.7})
	p.line(narrow, x-0.9, y+0.7, x+0.9, y+0.7)
	p.line(narrow, x-0.45, y+1.3, x+0.45, y+1.3)
}

// bar draws the line that tells whether a print is true to scale.
func (p pen) bar() {
	for i := range 11 {
		high := 1.2
		if i%5 == 0 {
			high = 2.4
		}
		p.line(narrow, float64(10*i), 0, float64(10*i), -high)
	}
	p.line(outline, 0, 0, 100, 0)
}

// A field is one entry of a title block.
type field struct {
	Name, Value string
	Width       float64
}

// titleHeight is how high a title block is, mm.
const titleHeight = 12

// titleBlock draws the entries of ISO 7200 that a sheet of this kind has, side
// by side: what it is, of what, by whom, when, which sheet of how many.
func (p pen) titleBlock(fields ...field) {
	x := 0.0
	for _, f := range fields {
		p.box(narrow, x, 0, x+f.Width, titleHeight)
		p.text(x+1.2, 3, 2.1, left, f.Name)
		p.bold(x+1.2, titleHeight-2, normal, left, fit(f.Value, normal*boldness, f.Width-2.4))
		x += f.Width
	}
	p.box(outline, 0, 0, x, titleHeight)
}

// boldness is how much wider bold letters are.
const boldness = 1.1

// printable replaces what an XML 1.0 file must not hold.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r < 0x20 || r == 0xFFFE || r == 0xFFFF:
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(s, string(utf8.RuneError)))
}

// width returns about how wide a line of text is in a sans-serif face, on the
// safe side: by the widest of the faces that browsers take for "sans-serif".
func width(s string, size float64) float64 {
	w := 0.0
	for _, r := range s {
		switch {
		case strings.ContainsRune("iljI.,:;'|!()[] /’", r):
			w += 0.32
		case strings.ContainsRune("tfr-“”", r):
			w += 0.41
		case strings.ContainsRune("mwMW%@", r):
			w += 0.95
		case r >= 'A' && r <= 'Z':
			w += 0.72
		case r < 0x1100:
			w += 0.6
		default: // scripts whose letters are as wide as high
			w += 1.1
		}
	}
	return w * size
}

// fit shortens a text to a width.
func fit(s string, size, room float64) string {
	if s = printable(s); width(s, size) <= room {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && width(string(runes)+"…", size) > room {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// wrap breaks a text into lines of a width.
func wrap(s string, size, room float64) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(printable(s)) {
		if line != "" && width(line+" "+word, size) > room {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// A page is one sheet of paper.
type page struct {
	Title   string
	About   string // what it shows, in words
	scale   string // as "1 : 10"; "" where there are several
	Figures []*figure
}

// The size of a page in mm: as wide as A4 and as high as Letter, so that it
// prints whole on both.
const (
	pageWidth  = 210
	pageHeight = 279
)

// paragraph writes a text from y on, wrapped to the page, its lines so far apart, in mm,
// and returns where the next one goes.
func (p pen) paragraph(y, apart float64, bold bool, text string) float64 {
	write, size := p.text, normal
	if bold {
		write, size = p.bold, normal*boldness
	}
	for _, line := range wrap(text, size, bodyWidth) {
		write(0, y, normal, left, line)
		y += apart
	}
	return y
}

// row writes a row of a table, each cell at the left of its column, and rules a line so
// far below, in mm; a head is bold.
func (p pen) row(y, below float64, columns []float64, bold bool, cells ...string) {
	write := p.text
	if bold {
		write = p.bold
	}
	x := 0.0
	for i, t := range cells {
		write(x+pad/2, y, normal, left, fit(t, normal*boldness, columns[i]-pad))
		x += columns[i]
	}
	p.line(narrow, 0, y+below, bodyWidth, y+below)
}

// draw adds a figure and returns a pen at its origin.
func (pg *page) draw(title string, x, y float64) pen {
	f := &figure{Title: printable(title)}
	pg.Figures = append(pg.Figures, f)
	return pen{f, x, y}
}

// pageTemplate writes a page with the look of its lines as attributes: no style
// sheet and no ids, so that several can stand in one document. A file of its own
// says besides that a browser prints it to the edge of the paper, true to scale.
var pageTemplate = template.Must(template.New("page").Parse(
	`<svg xmlns="http://www.w3.org/2000/svg" width="{{.W}}mm" height="{{.H}}mm" viewBox="0 0 {{.W}} {{.H}}" role="img" aria-label="{{.Title}}" stroke="#000" stroke-linejoin="round" font-family="Arial,Helvetica,Liberation Sans,Nimbus Sans,sans-serif">
<title>{{.Title}}</title>
{{with .About}}<desc>{{.}}</desc>
{{end}}{{if .File}}<style>@page{margin:0}</style>
{{end}}<path stroke="none" fill="#fff" d="M0 0H{{.W}}V{{.H}}H0Z"/>
{{range .Figures}}<g>{{with .Title}}<title>{{.}}</title>{{end}}
{{range .Items}}{{if .D}}<path {{.Look}} d="{{.D}}"/>{{else -}}
<text x="{{.X}}" y="{{.Y}}" font-size="{{.Size}}" text-anchor="{{.Anchor}}"{{with .Weight}} font-weight="{{.}}"{{end}}{{with .Turn}} transform="{{.}}"{{end}} stroke="none">{{.Text}}</text>{{end}}
{{end}}</g>
{{end}}</svg>
`))

// looks are the attributes of each style.
var looks = func() map[style]template.HTMLAttr {
	m := map[style]template.HTMLAttr{}
	for s, l := range strokes {
		a := `fill="` + l.fill + `"`
		if l.width == 0 {
			a += ` stroke="none"`
		} else {
			a += ` stroke-width="` + thousandth(l.width) + `"`
		}
		if len(l.dashes) > 0 {
			var d []string
			for _, v := range l.dashes {
				d = append(d, thousandth(v))
			}
			a += ` stroke-dasharray="` + strings.Join(d, " ") + `"`
		}
		m[s] = template.HTMLAttr(a) //nolint:gosec // from the table above alone
	}
	return m
}()

func thousandth(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

// Look returns the attributes of a path.
func (i item) Look() template.HTMLAttr { return looks[i.Style] }

// svg returns the page as a file.
func (pg *page) svg() ([]byte, error) { return pg.write(true) }

// inline returns the page as an element of another document.
func (pg *page) inline() ([]byte, error) { return pg.write(false) }

func (pg *page) write(file bool) ([]byte, error) {
	var b bytes.Buffer
	err := pageTemplate.Execute(&b, map[string]any{
		"W": pageWidth, "H": pageHeight, "Title": printable(pg.Title), "About": printable(pg.About), "File": file, "Figures": pg.Figures,
	})
	return b.Bytes(), err
}
