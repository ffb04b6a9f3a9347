package sheet_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/export/sheet"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A drawn page is what is on one page of a sheet.
type drawn struct {
	width, height, viewBox string
	texts                  []text
	paths                  []path
	elements               []xml.StartElement
}

type text struct {
	s    string
	x, y float64
	size float64
	bold bool
}

type path struct {
	class string
	x, y  []float64
}

// read reads a page strictly, as an XML file.
func read(tb testing.TB, page []byte) drawn {
	tb.Helper()
	var out drawn
	d := xml.NewDecoder(bytes.NewReader(page))
	var open []string
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			tb.Fatalf("the page is no XML file: %v", err)
		}
		switch t := tok.(type) {
		case xml.StartElement:
			open = append(open, t.Name.Local)
			out.elements = append(out.elements, t.Copy())
			at := attributes(t)
			switch t.Name.Local {
			case "svg":
				out.width, out.height, out.viewBox = at["width"], at["height"], at["viewBox"]
			case "text":
				out.texts = append(out.texts, text{
					x: number(tb, at["x"]), y: number(tb, at["y"]), size: number(tb, at["font-size"]), bold: at["font-weight"] == "bold",
				})
			case "path":
				p := path{class: lineType(tb, at)}
				if !strings.ContainsAny(at["d"], "AHV") { // circles and the page itself
					for _, xy := range regexp.MustCompile(`[ML]([-.\d]+) ([-.\d]+)`).FindAllStringSubmatch(at["d"], -1) {
						p.x, p.y = append(p.x, number(tb, xy[1])), append(p.y, number(tb, xy[2]))
					}
					out.paths = append(out.paths, p)
				}
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 && open[len(open)-1] == "text" {
				out.texts[len(out.texts)-1].s += string(t)
			}
		}
	}
}

// lineType names what a path is drawn with: the lines of ISO 128-2 in the group
// 0.35, dashes 12, long dashes 24, gaps 3 and dots 0.5 times as long as the line
// is wide (from memory), and areas of ink or paper.
func lineType(tb testing.TB, at map[string]string) string {
	tb.Helper()
	look := strings.Join([]string{at["fill"], at["stroke"], at["stroke-width"], at["stroke-dasharray"]}, "|")
	name, ok := map[string]string{
		"none||0.35|":                              "outline",
		"none||0.18|":                              "narrow",
		"none||0.18|2.16 0.54":                     "hidden",
		"none||0.18|4.32 0.54 0.09 0.54":           "chain",
		"none||0.18|4.32 0.54 0.09 0.54 0.09 0.54": "phantom",
		"#000|none||":                              "solidly",
		"#fff||0.18|":                              "paper",
		"#fff|none||":                              "bare",
	}[look]
	if !ok {
		tb.Errorf("no line of ISO 128-2: fill, stroke, width, dashes are %s", look)
	}
	return name
}

func attributes(t xml.StartElement) map[string]string {
	m := map[string]string{}
	for _, a := range t.Attr {
		m[a.Name.Local] = a.Value
	}
	return m
}

func number(tb testing.TB, s string) float64 {
	tb.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		tb.Fatal(err)
	}
	return v
}

func measure(tb testing.TB, s *scene.Scene, sys unit.System) []drawn {
	tb.Helper()
	pages, err := sheet.Measure(s, sys)
	if err != nil {
		tb.Fatalf("Measure: %v", err)
	}
	out := make([]drawn, len(pages))
	for i, p := range pages {
		out[i] = read(tb, p)
	}
	return out
}

func demo(tb testing.TB, name string) *scene.Scene {
	tb.Helper()
	data, ok := assets.Demo(name)
	if !ok {
		tb.Fatalf("no demo plan %s", name)
	}
	s, err := plan.Read(name+".yaml", data)
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

func (d drawn) has(s string) bool {
	return slices.ContainsFunc(d.texts, func(t text) bool { return t.s == s })
}

func texts(pages []drawn) []string {
	var all []string
	for _, p := range pages {
		for _, t := range p.texts {
			all = append(all, t.s)
		}
	}
	return all
}

// A sheet that prints whole on A4 and on Letter is at most 210 x 279.4 mm, and
// nothing on it is nearer to the edge than printers reach. One unit is one
// millimetre, and the bar that says it measures 100 mm does.
func TestPrintsTrueOnA4AndLetter(t *testing.T) {
	t.Parallel()
	for _, s := range []*scene.Scene{nil, demo(t, "fits"), demo(t, "fails-metric"), crowded()} {
		for i, p := range measure(t, s, unit.Inches) {
			if p.width != "210mm" || p.height != "279mm" || p.viewBox != "0 0 210 279" {
				t.Errorf("page %d is %s x %s, view box %s", i+1, p.width, p.height, p.viewBox)
			}
			const edge = 11
			inside := func(x, y float64) bool { return x >= edge && x <= 210-edge && y >= edge && y <= 279-edge }
			bar := false
			for _, q := range p.paths {
				for k := range q.x {
					if !inside(q.x[k], q.y[k]) {
						t.Fatalf("page %d: a %s line at (%v, %v) mm, where some printers do not reach", i+1, q.class, q.x[k], q.y[k])
					}
				}
				if len(q.x) == 2 && q.x[1]-q.x[0] == 100 && q.y[0] == q.y[1] && q.class == "outline" {
					bar = true
				}
			}
			for _, q := range p.texts {
				if !inside(q.x, q.y) {
					t.Errorf("page %d: %q at (%v, %v) mm", i+1, q.s, q.x, q.y)
				}
				if q.size < 2 {
					t.Errorf("page %d: %q is %v mm high", i+1, q.s, q.size)
				}
			}
			if !bar {
				t.Errorf("page %d has no bar of 100 mm", i+1)
			}
			if !strings.Contains(strings.Join(texts([]drawn{p}), "\n"), "this bar must measure 100 mm") {
				t.Errorf("page %d does not say what the bar must measure", i+1)
			}
		}
	}
}

var keyForm = regexp.MustCompile(`^[A-HJ]\d{1,2}\b`)

// Every key in a drawing has its line in a table of the same page, and every
// line that is measured with a tape has its key in a drawing of that page.
func TestDrawingsAndTablesBelongTogether(t *testing.T) {
	t.Parallel()
	// What is a word and no length, and what a drawing only tells in text.
	words := []string{"C1", "C2", "C7", "C12", "C16", "E8", "F10", "G6", "H2", "J3", "J6"}
	seen := map[string]bool{}
	for i, p := range measure(t, nil, unit.Inches) {
		// A key of a drawing is bold and small, one of a table bold and larger,
		// or the start of a column's head.
		drawing, table := map[string]bool{}, map[string]bool{}
		for _, q := range p.texts {
			k := keyForm.FindString(q.s)
			switch {
			case k == "":
			case k == q.s && q.bold && q.size <= 2.5:
				drawing[k] = true
			default:
				table[k] = true
			}
		}
		for k := range drawing {
			seen[k] = true
			if !table[k] {
				t.Errorf("page %d: %s is drawn and nothing says what it is", i+1, k)
			}
		}
		for k := range table {
			seen[k] = true
			if !drawing[k] && !slices.Contains(words, k) {
				t.Errorf("page %d: %s is asked for and not drawn", i+1, k)
			}
		}
	}
	for k, n := range map[string]int{"A": 10, "B": 5, "C": 16, "D": 6, "E": 8, "F": 15, "G": 7, "H": 3, "J": 9} {
		for i := 1; i <= n; i++ {
			if key := fmt.Sprint(k, i); !seen[key] {
				t.Errorf("%s is nowhere", key)
			}
		}
		if seen[fmt.Sprint(k, n+1)] {
			t.Errorf("%s%d is more than this test knows", k, n+1)
		}
	}
}

// value returns the texts in the boxes right of a row's key, in reading order.
func value(p drawn, key string) []string {
	var at text
	for _, q := range p.texts {
		if q.s == key && q.bold && q.size > 2.5 {
			at = q
		}
	}
	var found []text
	for _, q := range p.texts {
		if at.s != "" && q.size == 2.3 && q.x > at.x && q.y > at.y-4 && q.y < at.y+3 {
			found = append(found, q)
		}
	}
	slices.SortStableFunc(found, func(a, b text) int { return int(a.x - b.x) })
	var out []string
	for _, q := range found {
		out = append(out, q.s)
	}
	return out
}

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// shelf is a cabinet with holes in three sides, whose measures are easy to tell
// apart.
func shelf() *scene.Scene {
	return &scene.Scene{
		Title: "Shelf reef", Units: unit.Millimetres,
		Room: scene.Room{Front: new(unit.Length(900)), Ceiling: new(unit.Length(2400))},
		Cabinet: scene.Cabinet{
			Width: 1000, Depth: 500, Height: 800,
			Front: scene.Panel{Thickness: 18}, Back: scene.Panel{Open: true},
			Left: scene.Panel{Thickness: 20}, Right: scene.Panel{Thickness: 20}, Lid: scene.Panel{Thickness: 19, Assumed: true},
			Bottom: &scene.InsideBottom{Up: 100, Thickness: 16},
			Openings: []scene.Opening{
				{Name: "doors", Side: scene.Front, Hole: box(60, 0, 112, 930, 18, 700), Door: &scene.Door{
					Hinge: scene.HingePair, Overlay: true, Overlap: 12, Thickness: 22, Clear: new(unit.Length(810)), LiftsOff: true,
					Hinges: &scene.HingeHardware{Up: []unit.Length{80, 510}, Tall: 61, SticksIn: 17},
				}},
				{Name: "hatch", Side: scene.Left, Hole: box(0, 150, 205, 20, 390, 505), Door: &scene.Door{
					Hinge: scene.HingeTop, Thickness: 15, AssumedThickness: true, Opens: 95 * unit.Degree, AssumedOpens: true,
				}},
				{Name: "lid", Side: scene.Top, Hole: box(300, 120, 781, 640, 420, 800), BeforeDisplay: true},
			},
			Fixtures: []scene.Fixture{
				{Name: "stub", Bodies: []scene.Body{{Solid: &solid.Cylinder{A: r3.Vec{X: 220, Y: 420, Z: 700}, B: r3.Vec{X: 220, Y: 420, Z: 781}, Radius: 25}}}},
				{Name: "rail", Bodies: []scene.Body{{Solid: &solid.Cylinder{A: r3.Vec{X: 20, Y: 100, Z: 700}, B: r3.Vec{X: 980, Y: 100, Z: 700}, Radius: 8}}}},
			},
		},
		Display: &scene.Display{Box: box(0, 0, 800, 990, 490, 1300), Glass: 10, Water: new(unit.Length(455)), Sand: 30, Standing: scene.Full},
		Sump: &scene.Sump{
			Box: box(123, 65, 100, 823, 415, 500), Glass: 6, Inlet: scene.Right, Level: new(unit.Length(171)),
			Rim:     &scene.Trim{Height: 25, Out: 3, In: 7},
			Baffles: []scene.Baffle{{At: 401, Top: 241, Thickness: 5}, {At: 450, Top: 302, Gap: 31, Thickness: 5}},
		},
		Floor: &scene.Floor{Joists: &scene.Joists{
			Thickness: 45, Depth: 220, Class: "C24", Spacing: 410, Span: 3650, LeftRight: true, Support: 201, Offset: 77,
		}},
	}
}

func TestFilledFromThePlan(t *testing.T) {
	t.Parallel()
	pages := measure(t, shelf(), unit.Millimetres)
	for _, tc := range []struct {
		page int
		key  string
		want []string
	}{
		{1, "A1", []string{"1000"}},
		{1, "A2", []string{"500"}},
		{1, "A4", []string{"20"}},
		{1, "A5", []string{"open"}},
		{1, "A6", []string{"19?"}},
		{1, "A8", []string{"100"}},
		{1, "A10", []string{"960"}},
		{1, "B1", []string{"900"}},
		{1, "B2", nil},
		{1, "B5", []string{"2400"}},
		{2, "C1", []string{"doors", "hatch", "lid"}},
		{2, "C2", []string{"front", "left", "top"}},
		// From the left edge as one faces the side: of the left side that is
		// the back, 500 − 390 mm away.
		{2, "C3", []string{"60", "110", "300"}},
		{2, "C4", []string{"12", "105", "front 120"}},
		{2, "C5", []string{"870", "240", "340"}},
		{2, "C6", []string{"588", "300", "300"}},
		{2, "C7", []string{"pair", "top", "no door"}},
		{2, "C8", []string{"overlay 12", "inset"}},
		{2, "C9", []string{"22", "15?"}},
		{2, "C10", []string{"95°?"}},
		{2, "C11", []string{"810"}},
		{2, "C12", []string{"2"}},
		{2, "C13", []string{"17"}},
		{2, "C14", []string{"61"}},
		{2, "C15", []string{"80, 510"}},
		{2, "C16", []string{"lifts off", "before display"}},
		{3, "E2", []string{"490"}},
		{3, "E5", []string{"35"}}, // 500 high, 10 of glass, 455 of water
		{3, "E6", nil},
		{3, "E8", []string{"full"}},
		{3, "F1", []string{"700"}},
		{3, "F6", []string{"3"}},
		{3, "F8", []string{"100"}}, // 123 less the wall's 20 and the rim's 3
		{3, "F9", []string{"44"}},
		{3, "F10", []string{"right"}},
		{3, "F11", []string{"171"}},
		{3, "baffle 2", []string{"450", "302", "31", "5"}},
		{4, "J1", []string{"45"}},
		{4, "J3", []string{"C24"}},
		{4, "J6", []string{"left to right"}},
		{4, "J8", []string{"77"}},
	} {
		if got := value(pages[tc.page-1], tc.key); !slices.Equal(got, tc.want) {
			t.Errorf("%s says %q, want %q", tc.key, got, tc.want)
		}
	}
	if got := fixture(pages[1], "stub"); !slices.Equal(got, []string{"ø 50", "round", "81", "175", "377", "600"}) {
		t.Errorf("the stub is %q", got)
	}
	if got := fixture(pages[1], "rail"); !slices.Equal(got, []string{"960", "ø 16", "lying", "0", "74", "592"}) {
		t.Errorf("the rail is %q", got)
	}
}

// fixture returns the texts of a list's row by its name.
func fixture(p drawn, name string) []string {
	var out []string
	for i, q := range p.texts {
		if q.s == name {
			for _, r := range p.texts[i+1:] {
				if r.y != q.y {
					break
				}
				out = append(out, r.s)
			}
		}
	}
	return out
}

func TestUnits(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		sys      unit.System
		width    string
		sentence string
	}{
		{unit.Inches, "39 3/8", "inches and fractions, as 20 1/4"},
		{unit.Millimetres, "1000", "millimetres, as 514"},
		{unit.Centimetres, "100", "centimetres, as 51.4"},
	} {
		first := measure(t, shelf(), tc.sys)[0]
		if got := value(first, "A1"); !slices.Equal(got, []string{tc.width}) {
			t.Errorf("%v: A1 says %q, want %s", tc.sys, got, tc.width)
		}
		if said := strings.Join(texts([]drawn{first}), " "); !strings.Contains(said, tc.sentence) {
			t.Errorf("%v: the sheet does not say %q", tc.sys, tc.sentence)
		}
		if !first.has(tc.sys.String()) {
			t.Errorf("%v: the title block does not name the unit", tc.sys)
		}
	}
}

// A blank sheet has blanks, and nothing from a plan in them.
func TestBlank(t *testing.T) {
	t.Parallel()
	pages := measure(t, nil, unit.Inches)
	if len(pages) != 4 {
		t.Errorf("the blank sheet has %d pages, want 4", len(pages))
	}
	boxes := 0
	for i, p := range pages {
		for _, q := range p.texts {
			if q.size == 2.3 {
				t.Errorf("page %d: a blank says %q", i+1, q.s)
			}
		}
		for _, q := range p.paths {
			if q.class == "paper" {
				boxes++
			}
		}
	}
	if boxes < 150 {
		t.Errorf("%d blanks, want room for at least 150 numbers", boxes)
	}
}

// crowded is a plan with more of everything than a page holds.
func crowded() *scene.Scene {
	s := shelf()
	for i := range 8 {
		o := s.Cabinet.Openings[0]
		o.Name = fmt.Sprintf("hole %d", i)
		s.Cabinet.Openings = append(s.Cabinet.Openings, o)
	}
	for i := range 40 {
		f := s.Cabinet.Fixtures[0]
		f.Name = fmt.Sprintf("pipe %d", i)
		s.Cabinet.Fixtures = append(s.Cabinet.Fixtures, f)
		s.Equipment = append(s.Equipment, scene.Equipment{
			Name: fmt.Sprintf("thing %d", i), Kind: "bottle", Mass: new(unit.Mass(2)), Chamber: i % 4,
			Bodies: []scene.Body{{Name: "cap", Lifts: 20, Solid: solid.Box(box(200, 100, 106, 300, 180, 250))}},
		})
		s.Sump.Baffles = append(s.Sump.Baffles, scene.Baffle{At: unit.Length(500 + i), Top: 100, Thickness: 1})
		s.Reach = append(s.Reach, scene.Place{Name: fmt.Sprintf("valve %d", i), Task: "turn", At: r3.Vec{X: 100, Y: 100, Z: 300}})
	}
	return s
}

func TestLongListsGoOnOverPages(t *testing.T) {
	t.Parallel()
	s := crowded()
	pages := measure(t, s, unit.Millimetres)
	said := texts(pages)
	count := func(want string) (n int) {
		for _, got := range said {
			if got == want {
				n++
			}
		}
		return n
	}
	for i := range 40 {
		for _, name := range []string{fmt.Sprintf("pipe %d", i), fmt.Sprintf("thing %d: cap", i), fmt.Sprintf("valve %d", i), fmt.Sprintf("baffle %d", i+3)} {
			if n := count(name); n != 1 {
				t.Errorf("%q stands %d times on the sheet", name, n)
			}
		}
	}
	for i := range 8 {
		if n := count(fmt.Sprintf("hole %d", i)); n != 1 {
			t.Errorf("opening %d stands %d times on the sheet", i, n)
		}
	}
	for i := range pages {
		if n := count(fmt.Sprintf("%d / %d", i+1, len(pages))); n != 1 {
			t.Errorf("page %d of %d is numbered %d times", i+1, len(pages), n)
		}
	}
}

// Whatever a plan calls its things, the sheet is text and lines: no element, no
// attribute and no style comes from a name.
func TestNamesInjectNothing(t *testing.T) {
	t.Parallel()
	for _, evil := range []string{
		`<script>alert(1)</script>`,
		`</text></g><image href="x" onerror="alert(1)"/>`,
		`"><a xlink:href="javascript:alert(1)">x</a>`,
		`]]><!--`,
		`</style><style>@import url(x)`,
		`{{.Title}}&#60;b&#62;&lt;i&gt;`,
		"\x00\x01\x1f\ufffe\xff a",
	} {
		s := shelf()
		s.Title = evil
		s.Cabinet.Openings[0].Name = evil
		s.Cabinet.Fixtures[0].Name = evil
		s.Floor.Joists.Species, s.Floor.Joists.Grade = evil, evil
		s.Equipment = []scene.Equipment{{Name: evil, Kind: evil, Bodies: []scene.Body{{Name: evil, Solid: solid.Box(box(1, 1, 1, 2, 2, 2))}}}}
		s.Reach = []scene.Place{{Name: evil, Task: evil}}
		for i, p := range measure(t, s, unit.Inches) {
			for _, e := range p.elements {
				if !slices.Contains([]string{"svg", "title", "desc", "style", "g", "path", "text"}, e.Name.Local) {
					t.Errorf("%q made an element %s on page %d", evil, e.Name.Local, i+1)
				}
				for _, a := range e.Attr {
					if !slices.Contains([]string{
						"xmlns", "width", "height", "viewBox", "role", "aria-label", "font-family", "d",
						"fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "x", "y", "font-size", "text-anchor", "font-weight", "transform",
					}, a.Name.Local) {
						t.Errorf("%q made an attribute %s on page %d", evil, a.Name.Local, i+1)
					}
				}
			}
		}
	}
	// And what fits arrives as it was written.
	s := shelf()
	s.Reach = []scene.Place{{Name: `<b> & "cup" 1/2″`, Task: "lift"}}
	if last := measure(t, s, unit.Inches)[3]; !last.has(`<b> & "cup" 1/2″`) {
		t.Error("a name with signs of markup does not arrive")
	}
}

func TestSameBytes(t *testing.T) {
	t.Parallel()
	first, err := sheet.Measure(crowded(), unit.Inches)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		again, err := sheet.Measure(crowded(), unit.Inches)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.EqualFunc(first, again, bytes.Equal) {
			t.Fatal("the same plan gives another sheet")
		}
	}
}

func BenchmarkMeasure(b *testing.B) {
	s := demo(b, "fits")
	for b.Loop() {
		if _, err := sheet.Measure(s, unit.Inches); err != nil {
			b.Fatal(err)
		}
	}
}
