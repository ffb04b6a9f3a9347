package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

// A Paper is a size of paper.
type Paper int

// The sizes of paper: 210 by 297 mm, and 8 1/2 by 11 in.
const (
	A4 Paper = iota
	Letter
)

// ParsePaper reads the name of a size of paper.
func ParsePaper(name string) (Paper, error) {
	switch strings.ToLower(name) {
	case "a4":
		return A4, nil
	case "letter":
		return Letter, nil
	}
	return 0, fmt.Errorf("paper %q: write a4 or letter", name)
}

// String names the paper for people.
func (p Paper) String() string { return [...]string{"A4", "Letter"}[p] }

// size returns width and height in mm.
func (p Paper) size() (wide, high float64) {
	return []float64{210, 215.9}[p], []float64{297, 279.4}[p]
}

// PDF returns drawings as one file, one to a page, true to scale and in the
// middle of the paper. The same drawings give the same bytes.
func PDF(title string, drawings []Drawing, paper Paper) ([]byte, error) {
	if len(drawings) == 0 {
		return nil, errors.New("there is nothing to draw")
	}
	wide, high := paper.size()
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: wide, Ht: high}})
	w := &pdfWriter{f: f, x: (wide - pageWidth) / 2, y: (high - pageHeight) / 2}
	// A file tells nothing of when it was made.
	epoch := time.Unix(0, 0).UTC()
	f.SetCreationDate(epoch)
	f.SetModificationDate(epoch)
	f.SetCatalogSort(true)
	f.SetProducer("undercroft", true)
	f.SetTitle(printable(title), true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AddUTF8FontFromBytes(face, "", goregular.TTF)
	f.AddUTF8FontFromBytes(face, "B", gobold.TTF)
	f.SetLineCapStyle("butt")
	f.SetLineJoinStyle("round")
	f.SetDrawColor(0, 0, 0)
	f.SetTextColor(0, 0, 0)
	for _, d := range drawings {
		f.AddPage()
		f.Bookmark(printable(d.Title), 0, 0)
		for _, fig := range d.page.Figures {
			for _, i := range fig.Items {
				if err := w.item(i); err != nil {
					return nil, err
				}
			}
		}
	}
	var out bytes.Buffer
	err := f.Output(&out)
	return out.Bytes(), err
}

// face is the name of the face that texts are set in.
const face = "go"

// A pdfWriter writes items of a page whose corner is at (x, y) on the paper.
type pdfWriter struct {
	f    *fpdf.Fpdf
	x, y float64
}

func (w *pdfWriter) item(i item) error {
	if i.D == "" {
		return w.write(i)
	}
	lines, err := outlines(i.D)
	if err != nil {
		return err
	}
	look := strokes[i.Style]
	mode := ""
	switch look.fill {
	case ink:
		w.f.SetFillColor(0, 0, 0)
		mode = "F"
	case white:
		w.f.SetFillColor(255, 255, 255)
		mode = "F"
	}
	if look.width > 0 {
		w.f.SetLineWidth(look.width)
		w.f.SetDashPattern(look.dashes, 0)
		mode += "D"
	}
	closed := strings.HasSuffix(i.D, "Z")
	for _, l := range lines {
		w.f.MoveTo(w.x+l[0].x, w.y+l[0].y)
		for _, q := range l[1:] {
			w.f.LineTo(w.x+q.x, w.y+q.y)
		}
		if closed {
			w.f.ClosePath()
		}
	}
	w.f.DrawPath(mode)
	return nil
}

func (w *pdfWriter) write(i item) error {
	var v [3]float64
	for k, t := range []string{i.X, i.Y, i.Size} {
		var err error
		if v[k], err = strconv.ParseFloat(t, 64); err != nil {
			return err
		}
	}
	weight, parse := "", regularFont
	if i.Weight != "" {
		weight, parse = "B", boldFont
	}
	font, err := parse()
	if err != nil {
		return err
	}
	text := inFont(font, i.Text)
	w.f.SetFont(face, weight, 0)
	w.f.SetFontUnitSize(v[2])
	x, y := w.x+v[0], w.y+v[1]
	shift := map[string]float64{string(centre): 0.5, string(right): 1}[i.Anchor] * w.f.GetStringWidth(text)
	if i.Turn == "" {
		w.f.Text(x-shift, y, text)
		return nil
	}
	w.f.TransformBegin()
	w.f.TransformRotate(90, x, y)
	w.f.Text(x-shift, y, text)
	w.f.TransformEnd()
	return nil
}

// inFont replaces letters that the face does not have, which are those of far
// scripts, by a box.
func inFont(f *opentype.Font, text string) string {
	var b sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if k, err := f.GlyphIndex(&b, r); err != nil || k == 0 || r > math.MaxUint16 {
			return '□'
		}
		return r
	}, text)
}
