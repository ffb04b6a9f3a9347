package plan_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"undercroft/assets"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

const plansDir = "../../testdata/plans"

// goodPlans returns the plans that read without an error, by file name: those of
// testdata, the demos and the starters.
func goodPlans(tb testing.TB) map[string][]byte {
	tb.Helper()
	out := map[string][]byte{}
	files, err := filepath.Glob(plansDir + "/*")
	if err != nil || len(files) < 6 {
		tb.Fatalf("plans in %s: %d, %v", plansDir, len(files), err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			tb.Fatal(err)
		}
		out[filepath.Base(f)] = data
	}
	for _, d := range assets.Demos() {
		data, _ := assets.Demo(d)
		out["demo "+d+".yaml"] = data
	}
	for _, s := range unit.Systems() {
		out["starter "+s.String()+".yaml"] = plan.Starter(s)
	}
	return out
}

func TestReadGoodPlans(t *testing.T) {
	t.Parallel()
	for name, data := range goodPlans(t) {
		s, err := plan.Read(name, data)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if len(s.Describe()) < 5 {
			t.Errorf("%s: little was understood: %q", name, s.Describe())
		}
	}
}

// The three formats hold the same keys: one plan, three files, one scene.
func TestFormatsAgree(t *testing.T) {
	t.Parallel()
	read := func(name string) *scene.Scene {
		t.Helper()
		data, err := os.ReadFile(filepath.Join(plansDir, name))
		if err != nil {
			t.Fatal(err)
		}
		s, err := plan.Read(name, data)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	yaml := read("landing.yaml")
	for _, other := range []string{"landing.toml", "landing.json"} {
		if s := read(other); !reflect.DeepEqual(s, yaml) {
			t.Errorf("%s reads as\n%s\nand landing.yaml as\n%s", other,
				strings.Join(s.Describe(), "\n"), strings.Join(yaml.Describe(), "\n"))
		}
	}
}

// One mistake in the three formats is found at the same place and told alike.
func TestFormatsFailAlike(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct{ text, line string }{
		"plan.yaml": {"format: 1\ncabinet:\n  size: [36, 18, 30]\nsump:\n  size: [24, 12, 14]\n  glas_: 7\n", "6:3"},
		"plan.yml":  {"format: 1\ncabinet:\n  size: [36, 18, 30]\nsump:\n  size: [24, 12, 14]\n  glas_: 7\n", "6:3"},
		"plan.toml": {"format = 1\ncabinet.size = [36, 18, 30]\n[sump]\nsize = [24, 12, 14]\n  glas_ = 7\n", "5:3"},
		"plan.json": {"{\"format\": 1,\n\"cabinet\": {\"size\": [36, 18, 30]},\n\"sump\": {\"size\": [24, 12, 14],\n  \"glas_\": 7}}", "4:3"},
		"PLAN.JSON": {"\xef\xbb\xbf{\"format\": 1,\n\"cabinet\": {\"size\": [36, 18, 30]},\n\"sump\": {\"size\": [24, 12, 14],\n  \"glas_\": 7}}", "4:3"},
	} {
		_, err := plan.Read(name, []byte(tt.text))
		want := name + ":" + tt.line + ": sump.glas_: unknown key\n\thint: did you mean glass?"
		if err == nil || err.Error() != want {
			t.Errorf("%s: got\n%v\nwant\n%s", name, err, want)
		}
	}
}

// What the example plan says, key by key.
func TestReadLanding(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile(plansDir + "/landing.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := plan.Read("landing.yaml", data)
	if err != nil {
		t.Fatal(err)
	}
	in := func(x float64) unit.Length { return unit.Length(float64(int64(x*25.4*1e6+0.5)) / 1e6) }
	check := func(what string, got, want any) {
		t.Helper()
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %v, want %v", what, got, want)
		}
	}
	pointer := func(l unit.Length) *unit.Length { return &l }
	check("title", s.Title, "Landing reef")
	check("tape", s.Tape, in(1.0/16))
	check("room", s.Room, scene.Room{
		Front: pointer(in(52)), Left: pointer(in(4)), Right: pointer(in(30)), Back: pointer(in(1)), Ceiling: pointer(in(96)),
	})
	check("back", s.Cabinet.Back, scene.Panel{Thickness: in(0.25)})
	check("sides", s.Cabinet.Left, scene.Panel{Thickness: in(0.75)})
	check("bottom", *s.Cabinet.Bottom, scene.InsideBottom{Up: in(4), Thickness: in(0.75)})
	d := s.Cabinet.Openings[0].Door
	check("door", []any{d.Hinge, d.Overlay, d.Thickness, d.Opens.String(), d.AssumedOpens, d.AssumedThickness},
		[]any{scene.HingePair, false, in(0.75), "100°", false, false})
	brace := s.Cabinet.Fixtures[1]
	check("brace", []any{brace.Name, brace.Bears, brace.ComesOut}, []any{"top brace", scene.Yes, scene.ComesOutNo})
	check("water", *s.Display.Water, in(20-0.375-1.5))
	check("drops", *s.Display.Drops, in(1.125))
	pounds := func(what string, got unit.Mass, want float64) {
		t.Helper()
		if math.Abs(got.Lb()-want) > 1e-12*want {
			t.Errorf("%s: got %v lb, want %v", what, got.Lb(), want)
		}
	}
	check("sand", s.Display.Sand, in(1.5))
	pounds("rock", s.Display.Rock, 35)
	check("brine", s.Brine, scene.Brine{Salinity: 35, Temperature: 25})
	check("sump's glass", s.Sump.Glass, 6*unit.Millimetre)
	check("rim", *s.Sump.Rim, scene.Trim{Height: in(1), Out: in(0.125), In: in(0.25)})
	pounds("empty", *s.Sump.Empty, 22)
	check("raised baffle", s.Sump.Baffles[1], scene.Baffle{At: in(17.5), Top: in(12), Gap: in(1.25), Thickness: 6, Assumed: true})
	check("level", *s.Sump.Level, in(7))
	if got := s.Sump.Flow.GPH(); got < 299.999 || got > 300.001 {
		t.Errorf("flow: got %v gal/h, want 300", got)
	}
	e := s.Equipment[0]
	check("skimmer", []any{e.Name, e.Kind, e.Chamber, e.Order, *e.StandsIn},
		[]any{"skimmer", "skimmer", 1, 2, [2]unit.Length{in(9), in(10.5)}})
	pounds("skimmer", *e.Mass, 6)
	check("cup", []any{e.Bodies[1].Name, e.Bodies[1].Lifts, e.Bodies[1].Apart}, []any{"cup", in(3), true})
	check("reach", []any{s.Reach[0].Name, s.Reach[0].On, s.Reach[0].Task, s.Reach[0].Hands}, []any{"cup", "skimmer", "lift", 1})
	check("gaps", s.Gaps, scene.Gaps{Default: in(0.25), ByKind: map[string]unit.Length{"heater": in(1)}})
	j := s.Floor.Joists
	check("joists", []any{j.Nominal, j.Thickness, j.Depth, j.Species, j.Grade, j.Spacing, j.Span, j.LeftRight, j.Support, j.Offset},
		[]any{"2x10", in(1.5), in(9.25), "hem-fir", "2", in(16), in(144), false, in(8), in(4)})
	check("assumed", len(s.Assumed), 3) // the baffles' thickness, nothing else
}

// readFile reads a plan of testdata.
func readFile(t *testing.T, name string) *scene.Scene {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(plansDir, name))
	if err != nil {
		t.Fatal(err)
	}
	s, err := plan.Read(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Keys that the example does not have, in millimetres and centimetres.
func TestReadOtherKeys(t *testing.T) {
	t.Parallel()
	check := func(what string, got, want any) {
		t.Helper()
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %v, want %v", what, got, want)
		}
	}
	h := readFile(t, "hallway.yaml")
	d := h.Cabinet.Openings[0].Door
	check("doors", []any{d.Hinge, d.Overlay, d.Overlap, *d.Clear, d.LiftsOff, d.AssumedOpens},
		[]any{scene.HingePair, true, 15 * unit.Millimetre, 805 * unit.Millimetre, true, false})
	check("hinges", *d.Hinges, scene.HingeHardware{Kind: "cup", Up: []unit.Length{80, 560}, Tall: 55, SticksIn: 12})
	check("open back", h.Cabinet.Back, scene.Panel{Open: true})
	check("top", h.Cabinet.Lid, scene.Panel{Thickness: 25})
	check("shelf", h.Cabinet.Fixtures[0].ComesOut, scene.ComesOutLifts)
	check("water", []any{*h.Display.Water, *h.Display.Drops, h.Display.Standing}, []any{460 * unit.Millimetre, 25 * unit.Millimetre, scene.Dry})
	// Sea water of salinity 35 has a specific gravity of 1.0264 at 25 °C
	// (EOS-80: 1023.34 over 997.05 kg/m³).
	if b := h.Brine; b.Salinity < 34.2 || b.Salinity > 35 || b.Temperature != 25 || b.Assumed {
		t.Errorf("brine of specific gravity 1.026: %+v", b)
	}
	check("foot", *h.Sump.Foot, scene.Trim{Height: 18, Out: 4})
	check("brace", h.Sump.Braces, []scene.Brace{{At: 280, Width: 50, Thickness: 6, Assumed: true}})
	check("inlet", h.Sump.Inlet, scene.Right)
	check("flow", math.Round(h.Sump.Flow.LPH()), 1400.0)
	heater, pump, strip := h.Equipment[1], h.Equipment[2], h.Equipment[3]
	check("heater", []any{heater.On, heater.HeldBy, heater.Chamber}, []any{[]string{"back wall"}, []string{"drain line"}, 2})
	check("pump", []any{pump.On, pump.Order}, []any{[]string{"left wall", "heater"}, 0})
	check("strip", []any{strip.Chamber, strip.Fixed, strip.Soft, strip.From}, []any{0, true, false, []scene.Face{scene.Right, scene.Front, scene.Bottom}})
	check("plug", []any{h.Reach[0].Task, h.Reach[0].Size}, []any{"plug", 45 * unit.Millimetre})
	check("gap by kind", []any{h.Gaps.For("heater", "pump"), h.Gaps.For("power", "heater"), h.Gaps.For("", "pump")},
		[]any{25 * unit.Millimetre, 40 * unit.Millimetre, 6 * unit.Millimetre})
	check("floor", *h.Floor, scene.Floor{Slab: true, Ordinary: h.Floor.Ordinary, Dead: h.Floor.Dead})

	a := readFile(t, "attic.yaml")
	hatch, side := a.Cabinet.Openings[0], a.Cabinet.Openings[1]
	check("hatch", []any{hatch.Side, hatch.BeforeDisplay, hatch.Door.Hinge, hatch.Door.Opens.String()}, []any{scene.Top, true, scene.HingeLeft, "110°"})
	check("side door", []any{side.Side, side.BeforeDisplay, side.Door.Hinge}, []any{scene.Left, false, scene.HingeTop})
	check("joists", []any{a.Floor.Joists.Class, a.Floor.Joists.Species, a.Floor.Joists.LeftRight, a.Floor.Joists.Depth}, []any{"C24", "", true, 200 * unit.Millimetre})
	check("fresh water", []any{a.Brine.Salinity, a.Brine.Assumed}, []any{0.0, false})
	check("hose", []any{a.Equipment[2].Soft, a.Equipment[2].From}, []any{true, []scene.Face{scene.Left, scene.Back, scene.Bottom, scene.Top}})

	c := readFile(t, "closet.yaml")
	check("order", []any{c.Equipment[0].Order, c.Equipment[1].Order}, []any{1, 2})
	check("no sump", c.Sump == nil, true)
	check("zeros", []unit.Length{c.Tape, c.Carry, c.Gaps.Default}, []unit.Length{0, 0, 0})
}

func TestDefaults(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("plan.yaml", []byte(`format: 1
cabinet:
  size: [36, 18, 30]
  bottom: {up: 1/2}
  openings:
    - {name: left, side: front, at: {left: 2, up: 2}, size: [14, 20], door: {hinge: left, mount: inset}}
    - {name: right, side: front, at: {right: 2, up: 2}, size: [14, 20], door: {hinge: right, mount: inset, thickness: 1/2, clear: 13}}
display: {size: [36, 18, 18]}
sump: {size: [24, 12, 14], inlet: right, baffles: [{at: 10, top: 6}], braces: [{at: 11, width: 1}]}
equipment: [{name: pump, size: [4, 4, 4], in: sump last}]
floor: {joists: {size: 2x10, spacing: 16, span: 12 ft, run: front-back, support: 8}}
`))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, a := range s.Assumed {
		got = append(got, a.Key+": "+a.Text)
	}
	want := []string{
		"tape: measured lengths within 1/16 in",
		"cabinet.wall: cabinet sides, top, front and back 3/4 in thick",
		"cabinet.bottom.thickness: cabinet bottom 1/2 in thick",
		"cabinet.openings[0].door.thickness: door of left 3/4 in thick",
		"cabinet.openings[0].door.opens: door of left opens 90°",
		"display.temperature: water at 77 F",
		"display.salinity: salinity 35",
		"display.glass: display of 3/8 in glass",
		"sump.glass: sump of 1/4 in glass",
		"sump.baffles[0].thickness: baffle 1 as thick as the sump's glass, 1/4 in",
		"sump.braces[0].thickness: brace 1 as thick as the sump's glass, 1/4 in",
		"carry: 1/4 in wanted on every side of a thing on its way in, twice that where it is lifted or turned",
		"gaps.default: 1/4 in wanted between things at rest",
		"floor.ordinary: 40 psf beside the cabinet",
		"floor.dead: the floor itself 10 psf",
		"floor.joists.offset: the first joist in line with the cabinet's edge",
		"floor.joists.species: joists of the weakest species",
		"floor.joists.grade: joists of the weakest grade",
	}
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Errorf("assumed:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			break
		}
	}
	c := s.Cabinet
	for name, flag := range map[string]bool{
		"wall": c.Left.Assumed && c.Front.Assumed && c.Lid.Assumed && c.Back.Assumed, "bottom": c.Bottom.Assumed,
		"leaf":            c.Openings[0].Door.AssumedThickness && c.Openings[0].Door.AssumedOpens,
		"leaf with clear": !c.Openings[1].Door.AssumedThickness && !c.Openings[1].Door.AssumedOpens,
		"display":         s.Display.GlassAssumed, "sump": s.Sump.GlassAssumed && s.Sump.Assumed,
		"baffle": s.Sump.Baffles[0].Assumed && s.Sump.Braces[0].Assumed, "brine": s.Brine.Assumed,
		"gaps": s.Gaps.DefaultAssumed, "place of the pump": s.Equipment[0].Bodies[0].Assumed,
	} {
		if !flag {
			t.Errorf("%s: the scene does not say that it is assumed", name)
		}
	}
}

// Nothing is assumed that the plan gives, a zero included.
func TestZeroIsGiven(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("plan.yaml", []byte(`format: 1
tape: 0
carry: 0
gaps: {default: 0}
cabinet: {size: [36, 18, 30], wall: 3/4}
display: {size: [36, 18, 18], glass: 3/8, salinity: 0, temperature: 25 C}
sump: {size: [24, 12, 14], glass: 1/4}
`))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Assumed) > 0 || s.Tape != 0 || s.Carry != 0 || s.Gaps.Default != 0 || s.Gaps.DefaultAssumed || s.Brine.Assumed || s.Sump.Assumed {
		t.Errorf("assumed %v; tape %v, carry %v, gaps %v", s.Assumed, s.Tape, s.Carry, s.Gaps)
	}
}

// `within` replaces the tape of one thing.
func TestWithin(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile(plansDir + "/hallway.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := plan.Read("hallway.yaml", data)
	if err != nil {
		t.Fatal(err)
	}
	if o := s.Cabinet.Openings; o[0].Tape != 0.5 || o[1].Tape != 1 {
		t.Errorf("tape of the openings: %v and %v mm, want 0.5 and 1", o[0].Tape, o[1].Tape)
	}
	if e := s.Equipment; e[2].Tape != 2 || e[1].Tape != 1 || s.Sump.Tape != 1 {
		t.Errorf("tape of pump, heater, sump: %v, %v, %v mm, want 2, 1, 1", e[2].Tape, e[1].Tape, s.Sump.Tape)
	}
}

func TestErrorsAreErrors(t *testing.T) {
	t.Parallel()
	_, err := plan.Read("plan.yaml", []byte("format: 1\ncabinet: {size: [36, 18]}\nsump: {size: [24, 12, 14], level: 20}\n"))
	var all plan.Errors
	if !errors.As(err, &all) || len(all) != 2 {
		t.Fatalf("got %v, want two errors", err)
	}
	if e := all[1]; e.Line != 3 || e.Column != 35 || e.Key != "sump.level" || e.File != "plan.yaml" ||
		len(e.Also) != 1 || e.Also[0].Key != "sump.size" || e.Also[0].Line != 3 || e.Also[0].Column != 14 {
		t.Errorf("got %+v", e)
	}
}

// Of very many errors the first hundred are told, and how many more there are.
func TestManyErrors(t *testing.T) {
	t.Parallel()
	_, err := plan.Read("plan.yaml", []byte("format: 1\ncabinet: {size: [36, 18, 30]}\nsump: {size: [24, 12, 14]}\nroom:\n"+
		strings.Repeat("  front: x\n", 500)))
	var all plan.Errors
	if !errors.As(err, &all) || len(all) != 101 || !strings.Contains(all[100].Message, "and 400 more errors") {
		t.Errorf("%d errors, the last: %v", len(all), all[len(all)-1])
	}
}

func TestTooLarge(t *testing.T) {
	t.Parallel()
	for name, data := range map[string]string{
		"large.yaml":  "format: 1\n" + strings.Repeat("#", 1<<20),
		"deep.yaml":   strings.Repeat("[", 5000) + strings.Repeat("]", 5000),
		"deep.json":   strings.Repeat("[", 5000) + strings.Repeat("]", 5000),
		"deep.toml":   "a = " + strings.Repeat("[", 400_000) + strings.Repeat("]", 400_000),
		"wide.toml":   "a" + strings.Repeat(".a", 5000) + " = 1",
		"keys.toml":   repeated("k%d = 1\n"),
		"tables.toml": repeated("[k%d]\n"),
		"dotted.toml": repeated("a.b.k%d = 1\n"),
		"keys.yaml":   repeated("k%d: 1\n"),
		"keys.json":   "{" + repeated("\"k%d\": 1,\n") + "\"k\": 1}",
		"lines.json":  "[" + repeated("%d,") + "1]",
		"bomb.yaml":   "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
		"loop.yaml":   "a: &a [*a]\n",
		"latin.yaml":  "format: 1\ntitle: caf\xe9\n",
		"noname":      "format: 1",
	} {
		s, err := plan.Read(name, []byte(data))
		var all plan.Errors
		if s != nil || !errors.As(err, &all) || all[0].Line < 1 || all[0].Column < 1 {
			t.Errorf("%s: got %v, %v; want an error with its place", name, s, err)
		}
	}
}

// repeated fills nearly the largest plan with lines that hold a number each.
func repeated(line string) string {
	var b strings.Builder
	for i := 0; b.Len() < 1_000_000; i++ {
		fmt.Fprintf(&b, line, i)
	}
	return b.String()
}

// Reading takes well under 5 ms: here of the largest plan of testdata.
func BenchmarkRead(b *testing.B) {
	for _, name := range []string{"landing.yaml", "landing.toml", "landing.json", "hallway.yaml"} {
		data, err := os.ReadFile(filepath.Join(plansDir, name))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := plan.Read(name, data); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSchema(b *testing.B) {
	for b.Loop() {
		plan.Schema()
	}
}

func sorted(names []string) []string {
	slices.Sort(names)
	return names
}
