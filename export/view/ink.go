package view

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// A sheet is a picture in the making: final pixels, on which rasters are laid
// and lines and text are drawn.
type sheet struct {
	img   *image.RGBA
	unit  float64 // 1 for the default size; text and lines grow with the picture
	faces map[typeface]font.Face
	ras   vector.Rasterizer
}

// A typeface is a font in one size.
type typeface struct {
	medium bool
	size   float64
}

// Sizes of text in px on a picture of the default size.
const (
	sizeLabel = 23.0
	sizeSmall = 20.0
	sizeText  = 25.0
	sizeTitle = 31.0
)

// Go Regular and Go Medium, Bigelow & Holmes; the licence is that of Go.
var (
	regular = sync.OnceValues(func() (*opentype.Font, error) { return opentype.Parse(goregular.TTF) })
	medium  = sync.OnceValues(func() (*opentype.Font, error) { return opentype.Parse(gomedium.TTF) })
)

func newSheet(o Options) *sheet {
	s := &sheet{
		img:   image.NewRGBA(image.Rect(0, 0, o.Width, o.Height)),
		unit:  min(float64(o.Width)/1600, float64(o.Height)/1200),
		faces: map[typeface]font.Face{},
	}
	draw.Draw(s.img, s.img.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	return s
}

// all returns the whole sheet.
func (s *sheet) all() rect {
	b := s.img.Bounds()
	return rect{0, 0, float64(b.Dx()), float64(b.Dy())}
}

// lay puts a raster where frame is.
func (s *sheet) lay(img *image.RGBA, frame rect) {
	at := image.Pt(int(math.Round(frame.x0)), int(math.Round(frame.y0)))
	draw.Draw(s.img, img.Bounds().Add(at), img, image.Point{}, draw.Src)
}

// face returns the font for text of a size given for the default picture.
func (s *sheet) face(t typeface) font.Face {
	if f, ok := s.faces[t]; ok {
		return f
	}
	parsed := regular
	if t.medium {
		parsed = medium
	}
	fnt, err := parsed()
	if err != nil {
		panic("the font built in is broken: " + err.Error())
	}
	f, err := opentype.NewFace(fnt, &opentype.FaceOptions{Size: t.size * s.unit, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("the font built in is broken: " + err.Error())
	}
	s.faces[t] = f
	return f
}

// clean makes one line of any text: what is no sign becomes a space.
func clean(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }), " ")
}

// width returns how wide text is.
func (s *sheet) width(text string, t typeface) float64 {
	return float64(font.MeasureString(s.face(t), clean(text))) / 64
}

// height returns the height of a line of text from its highest to its lowest
// sign; capital returns that of a capital letter, near enough.
func (s *sheet) height(t typeface) float64  { return t.size * s.unit * 1.0 }
func (s *sheet) capital(t typeface) float64 { return t.size * s.unit * 0.72 }

// text writes a line whose baseline starts at p.
func (s *sheet) text(p point, text string, t typeface, c color.RGBA) {
	d := font.Drawer{
		Dst: s.img, Src: image.NewUniform(c), Face: s.face(t),
		Dot: fixed.Point26_6{X: fixed.Int26_6(math.Round(p.x * 64)), Y: fixed.Int26_6(math.Round(p.y * 64))},
	}
	d.DrawString(clean(text))
}

// textIn writes a line of text in the middle of r.
func (s *sheet) textIn(r rect, text string, t typeface, c color.RGBA) {
	m := r.middle()
	s.text(point{m.x - s.width(text, t)/2, m.y + s.capital(t)/2}, text, t, c)
}

// upright writes a line in the middle of r, a quarter turn to the left: it is
// read from the right.
func (s *sheet) upright(r rect, text string, t typeface, c color.RGBA) {
	text = clean(text)
	w, h := int(math.Ceil(s.width(text, t)))+4, int(math.Ceil(t.size*s.unit*1.5))
	flat := image.NewAlpha(image.Rect(0, 0, w, h))
	base := math.Round(float64(h)/2 + s.capital(t)/2)
	d := font.Drawer{
		Dst: flat, Src: image.Opaque, Face: s.face(t),
		Dot: fixed.Point26_6{X: fixed.I(2), Y: fixed.Int26_6(base * 64)},
	}
	d.DrawString(text)
	turned := image.NewAlpha(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			turned.SetAlpha(y, w-1-x, flat.AlphaAt(x, y))
		}
	}
	m := r.middle()
	at := image.Pt(int(math.Round(m.x-float64(h)/2)), int(math.Round(m.y-float64(w)/2)))
	draw.DrawMask(s.img, turned.Bounds().Add(at), image.NewUniform(c), image.Point{}, turned, image.Point{}, draw.Over)
}

// wrap breaks text into lines no wider than width; a single word that is wider
// is broken anywhere.
func (s *sheet) wrap(text string, t typeface, width float64) []string {
	var lines []string
	line := ""
	put := func(w string) {
		for s.width(w, t) > width {
			n := len([]rune(w))
			for n > 1 && s.width(string([]rune(w)[:n]), t) > width {
				n--
			}
			lines = append(lines, string([]rune(w)[:n]))
			w = string([]rune(w)[n:])
			if w == "" {
				return
			}
		}
		line = w
	}
	for w := range strings.SplitSeq(clean(text), " ") {
		switch {
		case line == "":
			put(w)
		case s.width(line+" "+w, t) <= width:
			line += " " + w
		default:
			lines = append(lines, line)
			line = ""
			put(w)
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitted returns text cut to width, with an ellipsis where something is lost.
func (s *sheet) fitted(text string, t typeface, width float64) string {
	text = clean(text)
	if s.width(text, t) <= width {
		return text
	}
	r := []rune(text)
	for len(r) > 0 && s.width(strings.TrimRight(string(r), " ")+"…", t) > width {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ") + "…"
}

// fill fills polygons; where they overlap they are one.
func (s *sheet) fill(c color.RGBA, alpha float64, polygons ...[]point) {
	b := rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, pts := range polygons {
		for _, p := range pts {
			b = b.join(rect{p.x, p.y, p.x, p.y})
		}
	}
	all := s.all()
	b = rect{max(b.x0-1, 0), max(b.y0-1, 0), min(b.x1+1, all.x1), min(b.y1+1, all.y1)}
	box := image.Rect(int(math.Floor(b.x0)), int(math.Floor(b.y0)), int(math.Ceil(b.x1)), int(math.Ceil(b.y1)))
	if box.Empty() {
		return
	}
	o := point{float64(box.Min.X), float64(box.Min.Y)}
	s.ras.Reset(box.Dx(), box.Dy())
	for _, pts := range polygons {
		area := 0.0
		for i, p := range pts {
			q := pts[(i+1)%len(pts)]
			area += p.x*q.y - q.x*p.y
		}
		for i := range pts {
			p := pts[i]
			if area < 0 { // one sense for all, so that overlaps add up
				p = pts[len(pts)-1-i]
			}
			p = p.sub(o)
			if i == 0 {
				s.ras.MoveTo(float32(p.x), float32(p.y))
			} else {
				s.ras.LineTo(float32(p.x), float32(p.y))
			}
		}
		s.ras.ClosePath()
	}
	a := uint8(math.Round(255 * alpha))
	src := image.NewUniform(color.NRGBA{c.R, c.G, c.B, a})
	s.ras.Draw(s.img, box, src, image.Point{})
}

// bar returns the outline of a line from p to q of a width in px.
func bar(p, q point, width float64) []point {
	if p == q {
		return nil
	}
	n := q.sub(p).unit().left().scale(width / 2)
	return []point{p.add(n), q.add(n), q.sub(n), p.sub(n)}
}

// line draws a line; width is for the default picture.
func (s *sheet) line(p, q point, width float64, c color.RGBA) {
	if b := bar(p, q, s.pen(width)); b != nil {
		s.fill(c, 1, b)
	}
}

// pen returns the width in px of a line, never so thin that it breaks up.
func (s *sheet) pen(width float64) float64 { return max(width*s.unit, 0.8) }

// dashed draws a closed line of dashes and gaps, lengths for the default picture.
func (s *sheet) dashed(pts []point, width float64, c color.RGBA, pattern ...float64) {
	var bars [][]point
	k, left := 0, pattern[0]*s.unit // of the dash or gap the pen is in
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		length := p.dist(q)
		for at := 0.0; at < length; {
			step := min(left, length-at)
			if k%2 == 0 {
				if b := bar(along(p, q, at/length), along(p, q, (at+step)/length), s.pen(width)); b != nil {
					bars = append(bars, b)
				}
			}
			at += step
			if left -= step; left <= 0 {
				k = (k + 1) % len(pattern)
				left = pattern[k] * s.unit
			}
		}
	}
	s.fill(c, 1, bars...)
}

// circle returns a circle's outline.
func circle(c point, radius float64) []point {
	const n = 72
	out := make([]point, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = point{c.x + radius*cos, c.y + radius*sin}
	}
	return out
}

// outline draws a closed line.
func (s *sheet) outline(pts []point, width float64, c color.RGBA) {
	var bars [][]point
	w := s.pen(width)
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		if b := bar(p, q, w); b != nil {
			bars = append(bars, b)
		}
		if len(pts) < 12 { // the corners of a round outline are too blunt to show
			bars = append(bars, circle(p, w/2))
		}
	}
	s.fill(c, 1, bars...)
}

// box draws the outline of a rectangle.
func (s *sheet) box(r rect, width float64, c color.RGBA) { s.outline(corners(r), width, c) }

func corners(r rect) []point {
	return []point{{r.x0, r.y0}, {r.x1, r.y0}, {r.x1, r.y1}, {r.x0, r.y1}}
}

// arrow draws an arrow head with its tip at p, pointing along dir (unit).
func (s *sheet) arrow(p, dir point, c color.RGBA) {
	const length, half = 15, 3.4
	back := p.sub(dir.scale(length * s.unit))
	n := dir.left().scale(half * s.unit)
	s.fill(c, 1, []point{p, back.add(n), back.sub(n)})
}
