package sheet_test

import (
	"bytes"
	"compress/zlib"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"pgregory.net/rapid"

	"undercroft/assets"
	"undercroft/export/sheet"
	"undercroft/fit/floor"
	"undercroft/fit/glass"
	"undercroft/fit/stand"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// hatches is a plan with openings in every side but the front face: a hatch on the
// left, a flap, a hole at the back, no top, things that are turned and slanted.
const hatches = `
format: 1
title: Four ways in
units: mm
tape: 1
room: {front: 900, left: 700, right: 30}
cabinet:
  size: [1200, 500, 800]
  wall: 18
  top: open
  bottom: {up: 100, thickness: 18}
  openings:
    - {name: hatch, side: left, at: {left: 60, sill: 20}, size: [380, 500], door: {hinge: right, mount: overlay, overlap: 12, thickness: 18, opens: 120}}
    - {name: flap, side: front, at: {left: 300, sill: 40}, size: [500, 300], door: {hinge: top, mount: inset, thickness: 18, opens: 85}}
    - {name: hole, side: back, at: {left: 200, up: 200}, size: [300, 200]}
  fixtures:
    - {name: pipe across, round: 40, from: {left: 50, front: 100, up: 600}, to: {left: 900, front: 400, up: 550}}
    - {name: lying pipe, round: 60, height: 400, along: front-back, at: {right: 100, front: 10, up: 300}}
display: {size: [1220, 520, 500], glass: 12, water: {below-top: 40}, drops: 20}
sump:
  size: [700, 350, 400]
  glass: 6
  rim: {height: 25, out: 3, in: 6}
  at: {left: 40, back: 30}
  inlet: right
  flow: 1500 L/h
  baffles: [{at: 300, top: 250}, {at: 340, top: 300, gap: 30}, {at: 380, top: 220}]
  level: 180
equipment:
  - {name: turned box, kind: box, at: {right: 60, front: 40}, size: [150, 220, 300], turn: 30}
  - {name: reactor, kind: reactor, in: sump 1, at: {left: 30, front: 60}, round: 120, height: 450}
`

// plans are the demo plans, those of testdata, and hatches. They are read once.
func plans(tb testing.TB) map[string]*scene.Scene {
	tb.Helper()
	all, err := readOnce()
	if err != nil {
		tb.Fatal(err)
	}
	return all
}

var readOnce = sync.OnceValues(func() (map[string]*scene.Scene, error) {
	texts := map[string][]byte{"hatches.yaml": []byte(hatches)}
	for _, name := range assets.Demos() {
		texts[name], _ = assets.Demo(name)
	}
	files, err := filepath.Glob("../../testdata/plans/*.yaml")
	if err != nil || len(files) == 0 {
		return nil, fmt.Errorf("no plans in testdata: %w", err)
	}
	for _, f := range files {
		if texts[filepath.Base(f)], err = os.ReadFile(f); err != nil {
			return nil, err
		}
	}
	all := map[string]*scene.Scene{}
	for name, text := range texts {
		if all[name], err = plan.Read(strings.TrimSuffix(name, ".yaml")+".yaml", text); err != nil {
			return nil, err
		}
	}
	return all, nil
})

// drawings returns the drawings of a scene, which are made once.
func drawings(tb testing.TB, s *scene.Scene) []sheet.Drawing {
	tb.Helper()
	once, _ := made.LoadOrStore(s, sync.OnceValues(func() ([]sheet.Drawing, error) {
		return sheet.Drawings(s, sheet.Figures{Water: water.Compute(s), Stand: stand.Check(s), Floor: floor.Check(s), Glass: glass.Cut(s)})
	}))
	ds, err := once.(func() ([]sheet.Drawing, error))()
	if err != nil {
		tb.Fatal(err)
	}
	return ds
}

var made sync.Map // drawings of a *scene.Scene

func svgOf(tb testing.TB, d sheet.Drawing) []byte {
	tb.Helper()
	svg, err := d.SVG()
	if err != nil {
		tb.Fatal(err)
	}
	return svg
}

// A group is one g of a drawing: what its title says, and what is in it.
type group struct {
	title string
	drawn
}

// groups reads a drawing group by group.
func groups(tb testing.TB, svg []byte) []group {
	tb.Helper()
	var g []struct {
		Title string `xml:"title"`
		Inner string `xml:",innerxml"`
	}
	var file struct {
		G []struct {
			Title string `xml:"title"`
			Inner string `xml:",innerxml"`
		} `xml:"g"`
	}
	if err := xml.Unmarshal(svg, &file); err != nil {
		tb.Fatal(err)
	}
	g = file.G
	out := make([]group, len(g))
	for i, x := range g {
		out[i] = group{x.Title, read(tb, []byte("<svg>"+x.Inner+"</svg>"))}
	}
	return out
}

// A given is one dimension as it is drawn: what it says, and how long it is on
// paper.
type given struct {
	what, text   string
	x1, y1, x2   float64
	y2           float64
	onPaper      float64
	upright      bool
	numberPlaced text
}

// dimensionsOf finds the dimensions of a drawing by their arrowheads.
func dimensionsOf(tb testing.TB, svg []byte) []given {
	tb.Helper()
	var out []given
	for _, g := range groups(tb, svg) {
		what, says, ok := strings.Cut(g.title, ": ")
		if !ok || len(g.texts) != 1 || g.texts[0].s != says || strings.Contains(says, "°") {
			continue
		}
		var tips [][2]float64
		for _, p := range g.paths {
			if p.class == "solidly" && len(p.x) == 3 {
				tips = append(tips, [2]float64{p.x[0], p.y[0]})
			}
		}
		if len(tips) != 2 {
			tb.Errorf("%s has %d arrowheads", g.title, len(tips))
			continue
		}
		d := given{what: what, text: says, x1: tips[0][0], y1: tips[0][1], x2: tips[1][0], y2: tips[1][1], numberPlaced: g.texts[0]}
		d.onPaper = math.Hypot(d.x2-d.x1, d.y2-d.y1)
		d.upright = d.x1 == d.x2
		if !d.upright && d.y1 != d.y2 {
			tb.Errorf("%s is neither level nor upright", g.title)
		}
		out = append(out, d)
	}
	return out
}

// reduction reads a scale.
func reduction(tb testing.TB, d sheet.Drawing) float64 {
	tb.Helper()
	v, err := strconv.ParseFloat(strings.TrimPrefix(d.Scale, "1 : "), 64)
	if err != nil {
		tb.Fatalf("%s: scale %q", d.Name, d.Scale)
	}
	return v
}

var views = []string{"front", "top", "side"}

// What a dimension says is how long it is on paper, times the scale: within half
// of what a tape reads and a hundredth of a millimetre on paper at either end.
func TestDimensionsAreTrueToScale(t *testing.T) {
	t.Parallel()
	for name, s := range plans(t) {
		half := 0.25
		if s.Units == unit.Inches {
			half = 25.4 / 32
		}
		count := 0
		for _, d := range drawings(t, s) {
			if !slices.Contains(views, d.Name) {
				continue
			}
			scale := reduction(t, d)
			for _, g := range dimensionsOf(t, svgOf(t, d)) {
				count++
				l, err := unit.ParseLength(strings.Trim(g.text, "()?"), s.Units)
				if err != nil {
					t.Fatalf("%s: %s says %q: %v", name, g.what, g.text, err)
				}
				if diff := math.Abs(g.onPaper*scale - l.MM()); diff > half+0.02*scale {
					t.Errorf("%s, %s: %s says %s, and measures %.2f mm on paper at 1 : %v", name, d.Name, g.what, g.text, g.onPaper, scale)
				}
			}
		}
		if count < 5 {
			t.Errorf("%s has %d dimensions", name, count)
		}
	}
}

// The measures of the plan are there, each once, in the plan's own words.
func TestDimensionsOfThePlan(t *testing.T) {
	t.Parallel()
	s := demo(t, "fits")
	found := map[string]string{}
	for _, d := range drawings(t, s) {
		if slices.Contains(views, d.Name) {
			for _, g := range dimensionsOf(t, svgOf(t, d)) {
				found[g.what] = g.text
			}
		}
	}
	for what, want := range map[string]string{
		"width of the cabinet": "38", "depth of the cabinet": "17", "height of the cabinet": "32",
		"from the left edge to doors": "2", "width of doors": "34", "height of doors": "25", "lower edge of doors": "1/4",
		"height of the cabinet bottom": "3 1/2", "inside width": "(36 1/2)", "thickness of the back": "1/2",
		"width of the sump's glass": "25", "depth of the sump's glass": "10 1/2", "height of the sump's glass": "10",
		"from the left wall to the sump": "4", "from the front to the sump": "3",
		"width of the display": "37", "depth of the display": "16", "height of the display": "18",
	} {
		if found[what] != want {
			t.Errorf("%s is %q, not %q", what, found[what], want)
		}
	}
}

func TestNoDimensionTwice(t *testing.T) {
	t.Parallel()
	for name, s := range plans(t) {
		whats := map[string]string{}
		for _, d := range drawings(t, s) {
			if !slices.Contains(views, d.Name) {
				continue
			}
			type place struct {
				upright  bool
				from, to float64
			}
			seen := map[place]string{}
			for _, g := range dimensionsOf(t, svgOf(t, d)) {
				p := place{g.upright, min(g.x1, g.x2), max(g.x1, g.x2)}
				if g.upright {
					p.from, p.to = min(g.y1, g.y2), max(g.y1, g.y2)
				}
				if other, ok := seen[p]; ok {
					t.Errorf("%s, %s: %s and %s are the same distance", name, d.Name, other, g.what)
				}
				seen[p] = g.what
				if other, ok := whats[g.what]; ok {
					t.Errorf("%s: %s is given in %s and in %s", name, g.what, other, d.Name)
				}
				whats[g.what] = d.Name
			}
		}
	}
}

// A glyph is the ink and the width of a letter of 100 mm.
type glyph struct{ x1, y1, x2, y2, advance float64 }

// glyphs measures letters by the metrics of a face of the usual width.
var glyphs = func() func(r rune, bold bool) glyph {
	type letter struct {
		r    rune
		bold bool
	}
	var lock sync.Mutex
	known := map[letter]glyph{}
	open := map[bool]font.Face{}
	for bold, ttf := range map[bool][]byte{false: goregular.TTF, true: gobold.TTF} {
		f, err := opentype.Parse(ttf)
		if err != nil {
			panic(err)
		}
		if open[bold], err = opentype.NewFace(f, &opentype.FaceOptions{Size: 100, DPI: 72}); err != nil {
			panic(err)
		}
	}
	return func(r rune, bold bool) glyph {
		lock.Lock()
		defer lock.Unlock()
		g, ok := known[letter{r, bold}]
		if !ok {
			b, a, _ := open[bold].GlyphBounds(r)
			g = glyph{float64(b.Min.X) / 64, float64(b.Min.Y) / 64, float64(b.Max.X) / 64, float64(b.Max.Y) / 64, float64(a) / 64}
			known[letter{r, bold}] = g
		}
		return g
	}
}()

// A box is what ink of a text covers.
type inkBox struct {
	s              string
	x1, y1, x2, y2 float64
}

// inked returns what the texts of a drawing cover.
func inked(tb testing.TB, svg []byte) []inkBox {
	tb.Helper()
	var out []inkBox
	d := xml.NewDecoder(bytes.NewReader(svg))
	var at map[string]string
	for {
		tok, err := d.Token()
		if err == io.EOF { //nolint:errorlint // io.EOF is returned as it is
			return out
		}
		if err != nil {
			tb.Fatal(err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			at = nil
			if e.Name.Local == "text" {
				at = attributes(e)
			}
		case xml.CharData:
			if at == nil {
				continue
			}
			size := number(tb, at["font-size"])
			wide := 0.0
			b := inkBox{s: string(e), x1: math.Inf(1), y1: math.Inf(1), x2: math.Inf(-1), y2: math.Inf(-1)}
			for _, r := range b.s {
				g := glyphs(r, at["font-weight"] != "")
				b.x1, b.x2 = min(b.x1, wide+g.x1*size/100), max(b.x2, wide+g.x2*size/100)
				b.y1, b.y2 = min(b.y1, g.y1*size/100), max(b.y2, g.y2*size/100)
				wide += g.advance * size / 100
			}
			shift := map[string]float64{"start": 0, "middle": wide / 2, "end": wide}[at["text-anchor"]]
			b.x1, b.x2 = b.x1-shift, b.x2-shift
			if at["transform"] != "" { // a quarter turn to the left
				b.x1, b.y1, b.x2, b.y2 = b.y1, -b.x2, b.y2, -b.x1
			}
			x, y := number(tb, at["x"]), number(tb, at["y"])
			out = append(out, inkBox{b.s, x + b.x1, y + b.y1, x + b.x2, y + b.y2})
			at = nil
		}
	}
}

// overlaps returns pairs of texts that cover each other, and texts beyond the
// paper's border.
func overlaps(tb testing.TB, d sheet.Drawing) []string {
	tb.Helper()
	var out []string
	all := inked(tb, svgOf(tb, d))
	for i, a := range all {
		if a.x1 < 5 || a.x2 > 205 || a.y1 < 5 || a.y2 > 274 {
			out = append(out, fmt.Sprintf("%s: %q is off the page", d.Name, a.s))
		}
		for _, b := range all[:i] {
			if a.x1 < b.x2 && b.x1 < a.x2 && a.y1 < b.y2 && b.y1 < a.y2 {
				out = append(out, fmt.Sprintf("%s: %q lies on %q", d.Name, a.s, b.s))
			}
		}
	}
	return out
}

func TestNoTextLiesOnAnother(t *testing.T) {
	t.Parallel()
	for name, s := range plans(t) {
		for _, d := range slices.Concat(drawings(t, s), sheet.Templates(s)) {
			for _, o := range overlaps(t, d) {
				t.Errorf("%s: %s", name, o)
			}
		}
	}
}

// anyPlan makes a plan of any shape that people build.
func anyPlan(t *rapid.T) *scene.Scene {
	var b strings.Builder
	units := rapid.SampledFrom([]string{"in", "mm"}).Draw(t, "units")
	// Lengths are drawn in sixteenths of an inch or in millimetres.
	length := func(lo, hi float64, what string) string { // inches
		if units == "in" {
			return strconv.FormatFloat(float64(rapid.IntRange(int(lo*16), int(hi*16)).Draw(t, what))/16, 'f', -1, 64)
		}
		return strconv.Itoa(rapid.IntRange(int(lo*25.4)+1, int(hi*25.4)).Draw(t, what))
	}
	fmt.Fprintf(&b, "format: 1\ntitle: any\nunits: %s\n", units)
	if rapid.Bool().Draw(t, "room") {
		fmt.Fprintf(&b, "room: {left: %s, back: %s}\n", length(0.1, 8, "left wall"), length(0.1, 8, "back wall"))
	}
	fmt.Fprintf(&b, "cabinet:\n  size: [%s, %s, %s]\n", length(20, 80, "width"), length(15, 40, "depth"), length(24, 50, "height"))
	if rapid.Bool().Draw(t, "thick") {
		fmt.Fprintf(&b, "  wall: %s\n", length(0.2, 1.5, "wall"))
	}
	if rapid.Bool().Draw(t, "open") {
		fmt.Fprintf(&b, "  %s: open\n", rapid.SampledFrom([]string{"top", "back"}).Draw(t, "open face"))
	}
	if rapid.Bool().Draw(t, "bottom") {
		fmt.Fprintf(&b, "  bottom: {up: %s}\n", length(2, 6, "up"))
	}
	b.WriteString("  openings:\n")
	for i := range rapid.IntRange(1, 3).Draw(t, "openings") {
		side := []string{"front", "left", "right"}[i]
		hinge := rapid.SampledFrom([]string{"left", "right", "top", "bottom", "pair"}).Draw(t, "hinge")
		fmt.Fprintf(&b, "    - {name: way %d, side: %s, at: {left: %s, up: %s}, size: [%s, %s], door: {hinge: %s, mount: inset, thickness: %s, opens: %d}}\n",
			i, side, length(1.6, 3, "left"), length(6.2, 8, "up"), length(8, 10, "hole width"), length(8, 14, "hole height"),
			hinge, length(0.2, 1, "leaf"), rapid.IntRange(70, 175).Draw(t, "opens"))
	}
	if rapid.Bool().Draw(t, "display") {
		fmt.Fprintf(&b, "display: {size: [%s, %s, %s], glass: %s}\n", length(18, 84, "display"), length(12, 40, "depth"), length(10, 30, "high"), length(0.3, 0.7, "glass"))
	}
	fmt.Fprintf(&b, "sump:\n  size: [%s, %s, %s]\n  glass: %s\n  inlet: %s\n",
		length(14, 17, "sump"), length(9, 11, "sump depth"), length(8, 14, "sump height"), length(0.2, 0.4, "sump glass"),
		rapid.SampledFrom([]string{"left", "right", "front", "back"}).Draw(t, "inlet"))
	if rapid.Bool().Draw(t, "placed") {
		fmt.Fprintf(&b, "  at: {left: %s, back: %s}\n", length(0.1, 1, "sump left"), length(0.1, 1, "sump back"))
	}
	fmt.Fprintf(&b, "  flow: 300 gal/h\n  level: %s\n  baffles:\n    - {at: %s, top: %s}\n", length(2, 4, "level"), length(4, 5, "at"), length(4, 7, "top"))
	if rapid.Bool().Draw(t, "trap") {
		fmt.Fprintf(&b, "    - {at: %s, top: %s, gap: %s}\n", length(5.8, 6.2, "second"), length(5, 7.5, "second top"), length(0.5, 1, "gap"))
	}
	if n := rapid.IntRange(0, 9).Draw(t, "things"); n > 0 {
		b.WriteString("equipment:\n")
		for i := range n {
			form := fmt.Sprintf("size: [%s, %s, %s]", length(1, 5, "thing"), length(1, 4, "thing"), length(1, 8, "thing"))
			if rapid.Bool().Draw(t, "round") {
				form = fmt.Sprintf("round: %s, height: %s", length(1, 4, "round"), length(1, 8, "high"))
			}
			fmt.Fprintf(&b, "  - {name: thing %d, kind: box, at: {left: %s, front: %s}, %s}\n", i, length(0.1, 10, "x"), length(0.1, 6, "y"), form)
		}
	}
	s, err := plan.Read("any.yaml", []byte(b.String()))
	if err != nil {
		t.Fatalf("%v in\n%s", err, b.String())
	}
	return s
}

func TestNoTextLiesOnAnotherInAnyPlan(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		s := anyPlan(rt)
		for _, d := range drawings(t, s) {
			if !slices.Contains(views, d.Name) {
				continue
			}
			for _, o := range overlaps(t, d) {
				rt.Error(o)
			}
		}
	})
}

// What is behind a wall is dashed, what is seen through its opening is not: with
// the opening as large as the sump, every line of its outline changes.
func TestHiddenAndSeen(t *testing.T) {
	t.Parallel()
	const closet = `
format: 1
units: mm
cabinet:
  size: [1000, 400, 800]
  wall: 20
%s
sump: {size: [600, 300, 300], glass: 6, inlet: left, at: {left: 180, front: 30}}
`
	for _, tc := range []struct {
		name, openings   string
		seen, behind, of int // lengths of the sump's upper edge on paper, mm
	}{
		{"no opening", "", 0, 60, 60},
		{"an opening", "  openings: [{name: hole, side: front, at: {left: 100, up: 0}, size: [800, 700]}]", 60, 0, 60},
		{"half of it", "  openings: [{name: hole, side: front, at: {left: 500, up: 0}, size: [400, 700]}]", 30, 30, 60},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d := drawings(t, readPlan(t, "closet.yaml", fmt.Sprintf(closet, tc.openings)))[0]
			if d.Name != "front" || d.Scale != "1 : 10" {
				t.Fatalf("%s at %s", d.Name, d.Scale)
			}
			p := read(t, svgOf(t, d))
			// The house floor is the lowest wide line over the title block; the sump's
			// upper edge is 30 mm above it.
			var ground float64
			for _, q := range p.paths {
				if q.class == "outline" && len(q.y) == 2 && q.y[0] == q.y[1] && q.y[0] < 250 {
					ground = max(ground, q.y[0])
				}
			}
			got := map[string]float64{}
			for _, q := range p.paths {
				for i := 1; i < len(q.x); i++ {
					if math.Abs(q.y[i]-(ground-30)) < 0.02 && math.Abs(q.y[i-1]-q.y[i]) < 0.001 {
						got[q.class] += math.Abs(q.x[i] - q.x[i-1])
					}
				}
			}
			if math.Abs(got["outline"]-float64(tc.seen)) > 0.05 || math.Abs(got["hidden"]-float64(tc.behind)) > 0.05 {
				t.Errorf("of the sump's upper edge %v mm are seen and %v hidden, want %v and %v", got["outline"], got["hidden"], tc.seen, tc.behind)
			}
		})
	}
}

// Tiles laid on each other cross on cross give the pattern back, true to size.
func TestTemplatesReassemble(t *testing.T) {
	t.Parallel()
	for name, s := range plans(t) {
		sizes := map[string][2]float64{}
		if s.Sump != nil {
			var lo, hi [2]float64
			for i, p := range s.Sump.Carried() {
				b := p.Solid.Bounds()
				if i == 0 {
					lo, hi = [2]float64{b.Min.X, b.Min.Y}, [2]float64{b.Max.X, b.Max.Y}
				}
				lo = [2]float64{min(lo[0], b.Min.X), min(lo[1], b.Min.Y)}
				hi = [2]float64{max(hi[0], b.Max.X), max(hi[1], b.Max.Y)}
			}
			sizes["sump-footprint"] = [2]float64{hi[0] - lo[0], hi[1] - lo[1]}
		}
		for i, o := range s.Cabinet.Openings {
			w, d, h := o.Hole.Max.X-o.Hole.Min.X, o.Hole.Max.Y-o.Hole.Min.Y, o.Hole.Max.Z-o.Hole.Min.Z
			size := [2]float64{w, h}
			switch o.Side {
			case scene.Left, scene.Right:
				size[0] = d
			case scene.Top:
				size[1] = d
			case scene.Front, scene.Back, scene.Bottom:
			}
			sizes[fmt.Sprintf("opening-%d", i+1)] = size
		}
		tiles := map[string][]sheet.Drawing{}
		for _, d := range sheet.Templates(s) {
			k := strings.LastIndexByte(d.Name, '-')
			if d.Name[k+1:] != "key" {
				tiles[d.Name[:k]] = append(tiles[d.Name[:k]], d)
			}
		}
		if len(tiles) != len(sizes) {
			t.Errorf("%s: %d patterns, want %d", name, len(tiles), len(sizes))
		}
		for pattern, size := range sizes {
			wide, high := reassembled(t, name+", "+pattern, tiles[pattern])
			if wide > high != (size[0] > size[1]) { // it may be turned
				wide, high = high, wide
			}
			if math.Abs(wide-size[0]) > 0.021 || math.Abs(high-size[1]) > 0.021 {
				t.Errorf("%s, %s: the tiles give %.2f by %.2f mm, not %.2f by %.2f", name, pattern, wide, high, size[0], size[1])
			}
		}
	}
}

var tileEnd = regexp.MustCompile(`-([a-z]+)(\d+)$`)

// reassembled lays tiles on each other by their crosses and returns the size of
// the outline, whose four sides must be whole.
func reassembled(tb testing.TB, name string, tiles []sheet.Drawing) (wide, high float64) {
	tb.Helper()
	type span struct{ from, to float64 }
	level, upright := map[float64][]span{}, map[float64][]span{}
	round := func(v float64) float64 { return math.Round(v*10) / 10 }
	for _, d := range tiles {
		m := tileEnd.FindStringSubmatch(d.Name)
		if m == nil || len(m[1]) != 1 {
			tb.Fatalf("%s is no tile", d.Name)
		}
		column, row := float64(m[1][0]-'a'), number(tb, m[2])-1
		all := groups(tb, svgOf(tb, d))
		// The crosses: level lines of 8 mm, their middles.
		var xs, ys []float64
		bars := map[float64]int{}
		for _, g := range all {
			for _, p := range g.paths {
				if len(p.x) != 2 || p.y[0] != p.y[1] {
					continue
				}
				if p.class == "narrow" && math.Abs(p.x[1]-p.x[0]-8) < 1e-9 {
					xs, ys = append(xs, (p.x[0]+p.x[1])/2), append(ys, p.y[0])
				}
				if p.class == "outline" {
					bars[round(p.x[1]-p.x[0])]++
				}
			}
		}
		if len(xs) != 4 {
			tb.Fatalf("%s: %s has %d crosses", name, d.Name, len(xs))
		}
		if bars[100] == 0 || bars[101.6] == 0 {
			tb.Errorf("%s: %s has no bars of 100 mm and 4 in", name, d.Name)
		}
		// Cross on cross: the left ones of a tile are the right ones of the tile before.
		dx := column*(slices.Max(xs)-slices.Min(xs)) - slices.Min(xs)
		dy := row*(slices.Max(ys)-slices.Min(ys)) - slices.Min(ys)
		pattern, _, _ := strings.Cut(d.Title, ", tile ")
		for _, g := range all {
			if g.title != pattern {
				continue
			}
			for _, p := range g.paths {
				for i := 1; i < len(p.x) && p.class == "outline"; i++ {
					x1, y1, x2, y2 := p.x[i-1]+dx, p.y[i-1]+dy, p.x[i]+dx, p.y[i]+dy
					switch {
					case y1 == y2:
						level[round(y1)] = append(level[round(y1)], span{min(x1, x2), max(x1, x2)})
					case x1 == x2:
						upright[round(x1)] = append(upright[round(x1)], span{min(y1, y2), max(y1, y2)})
					default:
						tb.Errorf("%s: %s has a slanted outline", name, d.Name)
					}
				}
			}
		}
	}
	whole := func(what string, lines map[float64][]span) float64 {
		if len(lines) != 2 {
			tb.Fatalf("%s: the outline has %d %s sides", name, len(lines), what)
		}
		length := 0.0
		for at, spans := range lines {
			slices.SortFunc(spans, func(a, b span) int {
				if a.from < b.from {
					return -1
				}
				return 1
			})
			end := spans[0].to
			for _, s := range spans[1:] {
				if s.from > end+0.001 {
					tb.Errorf("%s: the %s side at %v mm has a gap of %.2f mm", name, what, at, s.from-end)
				}
				if end-s.from < min(9.9, s.to-s.from-0.05) {
					tb.Errorf("%s: the %s side at %v mm overlaps by %.2f mm only", name, what, at, end-s.from)
				}
				end = max(end, s.to)
			}
			length = end - spans[0].from
		}
		return length
	}
	return whole("level", level), whole("upright", upright)
}

// inflated returns the content of a PDF's pages.
func inflated(tb testing.TB, pdf []byte) []string {
	tb.Helper()
	var out []string
	for _, m := range regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`).FindAllSubmatch(pdf, -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue
		}
		text, err := io.ReadAll(r)
		if err != nil {
			continue
		}
		if bytes.Contains(text, []byte(" l\n")) && bytes.Contains(text, []byte("BT /F")) {
			out = append(out, string(text))
		}
	}
	return out
}

// On paper of either size a bar of 100 mm is 283.46 points long, and the outline
// of the cabinet as long as the scale says.
func TestPDFIsTrueToScale(t *testing.T) {
	t.Parallel()
	s := demo(t, "fits")
	const point = 25.4 / 72
	for paper, media := range map[sheet.Paper]string{sheet.A4: "595.28 841.89", sheet.Letter: "612.00 792.00"} {
		front := drawings(t, s)[:1]
		pdf, err := sheet.PDF("x", append(front, sheet.Templates(s)[:2]...), paper)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(pdf, []byte("/MediaBox [0 0 "+media+"]")) {
			t.Errorf("%v: not %s points", paper, media)
		}
		pages := inflated(t, pdf)
		if len(pages) != 3 {
			t.Fatalf("%v: %d pages", paper, len(pages))
		}
		longest := func(page string, length float64) bool {
			for _, m := range regexp.MustCompile(`([\d.]+) ([\d.]+) m\s+([\d.]+) ([\d.]+) l`).FindAllStringSubmatch(page, -1) {
				dx, dy := number(t, m[3])-number(t, m[1]), number(t, m[4])-number(t, m[2])
				if math.Abs(math.Hypot(dx, dy)*point-length) < 0.02 {
					return true
				}
			}
			return false
		}
		for i, lengths := range [][]float64{{38 * 25.4 / reduction(t, front[0])}, {100, 101.6}, {100, 101.6}} {
			for _, l := range lengths {
				if !longest(pages[i], l) {
					t.Errorf("%v, page %d: no line of %.1f mm", paper, i+1, l)
				}
			}
		}
	}
}

func TestSameDrawings(t *testing.T) {
	t.Parallel()
	s := demo(t, "fits")
	first := drawings(t, s)
	pdf, err := sheet.PDF(s.Title, slices.Concat(first, sheet.Templates(s)), sheet.A4)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		again := drawings(t, demo(t, "fits"))
		for i, d := range again {
			if !bytes.Equal(svgOf(t, d), svgOf(t, first[i])) {
				t.Errorf("%s differs from run to run", d.Name)
			}
		}
		other, err := sheet.PDF(s.Title, slices.Concat(again, sheet.Templates(s)), sheet.A4)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(pdf, other) {
			t.Error("the PDF differs from run to run")
		}
	}
}

// Drawings stand beside each other in one document: nothing in them has an id, a
// class or a style sheet, and each says what it is.
func TestInline(t *testing.T) {
	t.Parallel()
	for _, d := range drawings(t, demo(t, "fits")) {
		svg, err := d.Inline()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range read(t, svg).elements {
			if e.Name.Local == "style" {
				t.Errorf("%s has a style sheet", d.Name)
			}
			for _, a := range e.Attr {
				if slices.Contains([]string{"id", "class", "style", "href"}, a.Name.Local) {
					t.Errorf("%s has %s=%q", d.Name, a.Name.Local, a.Value)
				}
			}
		}
		if !bytes.Contains(svg, []byte("<title>")) || d.Title == "" || !regexp.MustCompile(`^[a-z0-9-]+$`).MatchString(d.Name) {
			t.Errorf("%q, %q", d.Name, d.Title)
		}
	}
}

func TestNamesInjectNothingIntoDrawings(t *testing.T) {
	t.Parallel()
	evil := []string{
		`<script>alert(1)</script>`,
		`</text></g></svg><image href="x" onerror="alert(1)"/>`,
		`"><a xlink:href="javascript:alert(1)">x</a>`,
		`]]><!-- {{.Title}} </title>`,
		`) Tj ET /URI (https://example.org) \`,
		"\x00\x01\ufffe\xff 水槽 𝔸",
	}
	s := demo(t, "fits")
	next := 0
	name := func() string { next++; return evil[next%len(evil)] }
	for i := range s.Cabinet.Openings {
		s.Cabinet.Openings[i].Name = name()
	}
	for i := range s.Cabinet.Fixtures {
		s.Cabinet.Fixtures[i].Name = name()
	}
	for i := range s.Equipment {
		s.Equipment[i].Name = name()
	}
	for _, s.Title = range evil {
		s.Cabinet.Openings[0].Name = s.Title
		all := append(drawings(t, s), sheet.Templates(s)[:2]...)
		for _, d := range all {
			for _, e := range read(t, svgOf(t, d)).elements {
				if !slices.Contains([]string{"svg", "title", "desc", "style", "g", "path", "text"}, e.Name.Local) {
					t.Errorf("%q made an element %s in %s", s.Title, e.Name.Local, d.Name)
				}
			}
		}
		pdf, err := sheet.PDF(s.Title, all, sheet.A4)
		if err != nil {
			t.Fatal(err)
		}
		pages := inflated(t, pdf)
		if len(pages) != len(all) {
			t.Errorf("%q: %d pages of %d", s.Title, len(pages), len(all))
		}
		for _, page := range append(pages, string(pdf)) {
			if strings.Contains(page, "/URI") || strings.Contains(page, "/JavaScript") {
				t.Errorf("%q made a link or a script in the PDF", s.Title)
			}
		}
	}
}

func TestNoPaper(t *testing.T) {
	t.Parallel()
	if _, err := sheet.PDF("x", nil, sheet.A4); err == nil {
		t.Error("a PDF without pages")
	}
	if _, err := sheet.ParsePaper("napkin"); err == nil {
		t.Error("a napkin is paper")
	}
	for _, name := range []string{"a4", "A4", "letter"} {
		if _, err := sheet.ParsePaper(name); err != nil {
			t.Error(err)
		}
	}
}

func BenchmarkDrawings(b *testing.B) {
	s := demo(b, "fits")
	for b.Loop() {
		for _, d := range drawings(b, s) {
			svgOf(b, d)
		}
	}
}
