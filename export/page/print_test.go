package page_test

import (
	"bytes"
	"compress/zlib"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// point is a point of a printed page in inches: 72 to the inch in the file.
const point = 72.0

// A printed is one page of a PDF file: its size and the boxes that are filled on
// it, in points.
type printed struct {
	wide, high float64
	boxes      [][4]float64 // left, lower, right, upper
	pictures   int
	text       bool
}

var (
	object   = regexp.MustCompile(`(?s)(\d+) 0 obj\n(.*?)\nendobj`)
	stream   = regexp.MustCompile(`(?s)stream\r?\n(.*)\r?\nendstream`)
	sizeOf   = regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`)
	contents = regexp.MustCompile(`/Contents (\d+) 0 R`)
	kids     = regexp.MustCompile(`(?s)/Type /Pages.*?/Kids \[([^\]]*)\]`)
)

// read reads the pages of a PDF file as browsers write it.
func read(t *testing.T, pdf []byte) []printed {
	t.Helper()
	objects := map[string]string{}
	for _, m := range object.FindAllSubmatch(pdf, -1) {
		objects[string(m[1])] = string(m[2])
	}
	var pages []printed
	var visit func(list string)
	visit = func(list string) {
		for _, id := range regexp.MustCompile(`(\d+) 0 R`).FindAllStringSubmatch(list, -1) {
			o := objects[id[1]]
			if m := kids.FindStringSubmatch(o); m != nil {
				visit(m[1])
				continue
			}
			size, body := sizeOf.FindStringSubmatch(o), contents.FindStringSubmatch(o)
			if size == nil || body == nil {
				continue
			}
			s := stream.FindStringSubmatch(objects[body[1]])
			if s == nil {
				t.Fatalf("page %s has no content", id[1])
			}
			z, err := zlib.NewReader(strings.NewReader(s[1]))
			if err != nil {
				t.Fatal(err)
			}
			code, err := io.ReadAll(z)
			if err != nil {
				t.Fatal(err)
			}
			p := interpret(string(code))
			p.wide, p.high = number(size[1]), number(size[2])
			pages = append(pages, p)
		}
	}
	root := regexp.MustCompile(`/Type /Catalog[^>]*?/Pages (\d+) 0 R`).FindSubmatch(pdf)
	if root == nil {
		t.Fatal("the file has no catalogue")
	}
	visit(kids.FindStringSubmatch(objects[string(root[1])])[1])
	return pages
}

func number(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// interpret follows the operators that move the frame and fill paths.
//
// Source: ISO 32000-1:2008, 8.3.4 (matrices) and 8.5 (paths).
func interpret(code string) printed {
	type matrix [6]float64
	var p printed
	m, stack := matrix{1, 0, 0, 1, 0, 0}, []matrix(nil)
	var args []float64
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	empty := box
	add := func(x, y float64) {
		x, y = m[0]*x+m[2]*y+m[4], m[1]*x+m[3]*y+m[5]
		box = [4]float64{min(box[0], x), min(box[1], y), max(box[2], x), max(box[3], y)}
	}
	for word := range strings.FieldsSeq(code) {
		if x, err := strconv.ParseFloat(word, 64); err == nil {
			args = append(args, x)
			continue
		}
		n := len(args)
		switch word {
		case "q":
			stack = append(stack, m)
		case "Q":
			if len(stack) > 0 {
				m, stack = stack[len(stack)-1], stack[:len(stack)-1]
			}
		case "cm":
			a := args[n-6:]
			m = matrix{
				a[0]*m[0] + a[1]*m[2], a[0]*m[1] + a[1]*m[3], a[2]*m[0] + a[3]*m[2], a[2]*m[1] + a[3]*m[3],
				a[4]*m[0] + a[5]*m[2] + m[4], a[4]*m[1] + a[5]*m[3] + m[5],
			}
		case "re":
			a := args[n-4:]
			add(a[0], a[1])
			add(a[0]+a[2], a[1]+a[3])
		case "m", "l":
			add(args[n-2], args[n-1])
		case "f", "f*":
			p.boxes = append(p.boxes, box)
			box = empty
		case "n", "S", "s", "B", "W":
			if word != "W" {
				box = empty
			}
		case "Do":
			p.pictures++
		case "Tj", "TJ":
			p.text = true
		}
		args = args[:0]
	}
	return p
}

func TestPrintsTrueToScale(t *testing.T) {
	t.Parallel()
	metric, err := makePage("nook.yaml", nook(t, "Nook", func(s string) string { return s }), soon)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name       string
		made       made
		wide, high float64 // of the paper, in inches
		bar        float64 // mm
	}{
		{"Letter", demo(t, "fails"), 8.5, 11, 4 * 25.4},
		{"A4", metric, 210 / 25.4, 297 / 25.4, 100},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			b := open(t, tt.made.html, 800, 560, media{dark: true}) // paper stays white
			b.ready()
			pdf := run(b, chromedp.PrintToPDF(func(p *page.PrintToPDFParams) { p.PaperWidth, p.PaperHeight = tt.wide, tt.high }))
			if err := os.WriteFile(filepath.Join(t.ArtifactDir(), tt.name+".pdf"), pdf, 0o600); err != nil {
				t.Fatal(err)
			}
			pages := read(t, pdf)
			if n := bytes.Count(pdf, []byte("/Type /Page\n")); n != len(pages) {
				t.Fatalf("%d pages were read, the file has %d", len(pages), n)
			}
			bars, whole := 0, 0
			for i, p := range pages {
				if math.Abs(p.wide-tt.wide*point) > 1 || math.Abs(p.high-tt.high*point) > 1 {
					t.Errorf("page %d is %.0f by %.0f points", i+1, p.wide, p.high)
				}
				if !p.text && p.pictures == 0 {
					t.Errorf("page %d of %d is empty", i+1, len(pages))
				}
				drawing := false
				for _, box := range p.boxes {
					w, h := (box[2]-box[0])/point*25.4, (box[3]-box[1])/point*25.4
					if i == 0 && math.Abs(h-3) < 0.05 && math.Abs(w-tt.bar) < 0.2 {
						bars++
					}
					// The paper of a drawing, as wide as A4 and as high as Letter.
					drawing = drawing || math.Abs(w-210) < 0.2 && math.Abs(h-279) < 0.5
				}
				if drawing {
					whole++
				}
			}
			if bars != 1 {
				t.Errorf("page 1 has %d bars of %v mm", bars, tt.bar)
			}
			drawings := bytes.Count(tt.made.html, []byte(`<figure class="drawing"`))
			if whole != drawings || drawings < 3 {
				t.Errorf("%d pages hold a whole drawing in true size, there are %d drawings", whole, drawings)
			}
			// The rest of a plan of this size: neither a page for each line nor
			// all of it squeezed together.
			if rest := len(pages) - drawings; rest < 6 || rest > 18 {
				t.Errorf("%d pages besides the drawings", rest)
			}
		})
	}
}
