package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// png returns the page as a picture, black on white. The same page gives the
// same bytes.
func (pg *page) png(perMM float64) ([]byte, error) {
	if !(perMM > 0 && perMM <= 40) {
		return nil, fmt.Errorf("%v pixels to the millimetre: write more than 0 and at most 40", perMM)
	}
	r := &raster{perMM: perMM}
	r.img = image.NewRGBA(image.Rect(0, 0, int(math.Ceil(pageWidth*perMM)), int(math.Ceil(pageHeight*perMM))))
	draw.Draw(r.img, r.img.Bounds(), image.White, image.Point{}, draw.Src)
	for _, f := range pg.Figures {
		for _, i := range f.Items {
			if err := r.item(i); err != nil {
				return nil, err
			}
		}
	}
	var out bytes.Buffer
	err := png.Encode(&out, r.img)
	return out.Bytes(), err
}

// A raster is a page in pixels.
type raster struct {
	img   *image.RGBA
	perMM float64
}

func (r *raster) item(i item) error {
	if i.D == "" {
		return r.write(i)
	}
	lines, err := outlines(i.D)
	if err != nil {
		return err
	}
	look := strokes[i.Style]
	switch look.fill {
	case ink:
		r.fill(lines, color.Black)
	case white:
		r.fill(lines, color.White)
	}
	if look.width == 0 {
		return nil
	}
	for _, l := range lines {
		r.stroke(l, look.width, look.dashes)
	}
	return nil
}

// outlines reads path data: the commands that pen writes.
func outlines(d string) ([][]point, error) {
	var all [][]point
	var now []point
	for _, part := range commands(d) {
		args := strings.Fields(part[1:])
		v := make([]float64, len(args))
		for i, a := range args {
			f, err := strconv.ParseFloat(a, 64)
			if err != nil {
				return nil, fmt.Errorf("path %q: %w", d, err)
			}
			v[i] = f
		}
		switch {
		case part[0] == 'M' && len(v) == 2:
			if len(now) > 1 {
				all = append(all, now)
			}
			now = []point{{v[0], v[1]}}
		case part[0] == 'L' && len(v) == 2:
			now = append(now, point{v[0], v[1]})
		case part[0] == 'A' && len(v) == 7 && len(now) > 0: // half a circle
			from, to := now[len(now)-1], point{v[5], v[6]}
			mid := point{(from.x + to.x) / 2, (from.y + to.y) / 2}
			start := math.Atan2(from.y-mid.y, from.x-mid.x)
			const steps = 24
			for k := 1; k <= steps; k++ {
				sin, cos := math.Sincos(start + math.Pi*float64(k)/steps)
				now = append(now, point{mid.x + v[0]*cos, mid.y + v[0]*sin})
			}
		case part[0] == 'Z' && len(now) > 0:
			now = append(now, now[0])
		default:
			return nil, fmt.Errorf("path %q: %q is not understood", d, part)
		}
	}
	return append(all, now), nil
}

// commands splits path data before its letters.
func commands(d string) []string {
	var out []string
	from := 0
	for i := 1; i <= len(d); i++ {
		if i == len(d) || d[i] >= 'A' && d[i] <= 'Z' {
			out = append(out, d[from:i])
			from = i
		}
	}
	return out
}

func (r *raster) fill(lines [][]point, c color.Color) {
	z := vector.NewRasterizer(r.img.Bounds().Dx(), r.img.Bounds().Dy())
	for _, l := range lines {
		r.trace(z, l)
	}
	z.Draw(r.img, r.img.Bounds(), image.NewUniform(c), image.Point{})
}

func (r *raster) trace(z *vector.Rasterizer, l []point) {
	for k, p := range l {
		x, y := float32(p.x*r.perMM), float32(p.y*r.perMM)
		if k == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
}

// stroke draws a line of a width, at least most of a pixel, in dashes where it
// has any.
func (r *raster) stroke(l []point, width float64, dashes []float64) {
	half := max(width*r.perMM, 0.8) / 2 / r.perMM
	phase, k := 0.0, 0
	for i := 1; i < len(l); i++ {
		a, b := l[i-1], l[i]
		n := math.Hypot(b.x-a.x, b.y-a.y)
		if n == 0 {
			continue
		}
		if len(dashes) == 0 {
			r.bar(a, b, half, half)
			continue
		}
		for at := 0.0; at < n; {
			step := min(dashes[k]-phase, n-at)
			if k%2 == 0 {
				r.bar(between(a, b, at/n), between(a, b, (at+step)/n), half, 0)
			}
			at += step
			if phase += step; phase >= dashes[k]-1e-9 {
				phase, k = 0, (k+1)%len(dashes)
			}
		}
	}
}

func between(a, b point, t float64) point { return point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)} }

// bar fills the rectangle round a piece of a line, past its ends by some.
func (r *raster) bar(a, b point, half, past float64) {
	n := math.Hypot(b.x-a.x, b.y-a.y)
	if n == 0 {
		return
	}
	dx, dy := (b.x-a.x)/n, (b.y-a.y)/n
	a, b = point{a.x - past*dx, a.y - past*dy}, point{b.x + past*dx, b.y + past*dy}
	corners := []point{
		{a.x - half*dy, a.y + half*dx},
		{b.x - half*dy, b.y + half*dx},
		{b.x + half*dy, b.y - half*dx},
		{a.x + half*dy, a.y - half*dx},
	}
	// Only as much of the picture as the bar covers.
	lo, hi := corners[0], corners[0]
	for _, c := range corners[1:] {
		lo, hi = point{min(lo.x, c.x), min(lo.y, c.y)}, point{max(hi.x, c.x), max(hi.y, c.y)}
	}
	box := image.Rect(
		int(math.Floor(lo.x*r.perMM)), int(math.Floor(lo.y*r.perMM)), int(math.Ceil(hi.x*r.perMM))+1, int(math.Ceil(hi.y*r.perMM))+1,
	).Intersect(r.img.Bounds())
	if box.Empty() {
		return
	}
	z := vector.NewRasterizer(box.Dx(), box.Dy())
	for k, c := range corners {
		x, y := float32(c.x*r.perMM-float64(box.Min.X)), float32(c.y*r.perMM-float64(box.Min.Y))
		if k == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(r.img, box, image.Black, image.Point{})
}

var (
	regularFont = sync.OnceValues(func() (*opentype.Font, error) { return opentype.Parse(goregular.TTF) })
	boldFont    = sync.OnceValues(func() (*opentype.Font, error) { return opentype.Parse(gobold.TTF) })
)

func (r *raster) write(i item) error {
	parse := regularFont
	if i.Weight != "" {
		parse = boldFont
	}
	f, err := parse()
	if err != nil {
		return err
	}
	var v [3]float64
	for k, t := range []string{i.X, i.Y, i.Size} {
		if v[k], err = strconv.ParseFloat(t, 64); err != nil {
			return err
		}
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: v[2] * r.perMM, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return err
	}
	defer face.Close() //nolint:errcheck // opentype's Close does nothing
	d := font.Drawer{Dst: r.img, Src: image.Black, Face: face}
	wide := float64(d.MeasureString(i.Text)) / 64
	shift := map[string]float64{string(centre): wide / 2, string(right): wide}[i.Anchor]
	x, y := v[0]*r.perMM, v[1]*r.perMM
	if i.Turn == "" {
		d.Dot = fixed.Point26_6{X: fixed.Int26_6(64 * (x - shift)), Y: fixed.Int26_6(64 * y)}
		d.DrawString(i.Text)
		return nil
	}
	// Text that is read from the right: drawn level on a slip, then turned.
	m := face.Metrics()
	high := (m.Ascent + m.Descent).Ceil()
	slip := image.NewAlpha(image.Rect(0, 0, int(wide)+2, high))
	s := font.Drawer{Dst: slip, Src: image.Opaque, Face: face, Dot: fixed.Point26_6{X: 64, Y: m.Ascent}}
	s.DrawString(i.Text)
	for sy := range slip.Bounds().Dy() {
		for sx := range slip.Bounds().Dx() {
			a := slip.AlphaAt(sx, sy).A
			if a == 0 {
				continue
			}
			at := image.Pt(int(math.Round(x))+sy-m.Ascent.Round(), int(math.Round(y+shift))-sx)
			draw.DrawMask(r.img, image.Rectangle{at, at.Add(image.Pt(1, 1))}, image.Black, image.Point{},
				image.NewUniform(color.Alpha{a}), image.Point{}, draw.Over)
		}
	}
	return nil
}
