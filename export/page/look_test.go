package page_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// place returns three numbers that the picture tells of its eye, in mm.
func (b *tab) place(which string) r3.Vec {
	b.t.Helper()
	fields := strings.Fields(eval[string](b, `document.getElementById("view").dataset.`+which))
	if len(fields) != 3 {
		b.t.Fatalf("the picture says %q of its eye", fields)
	}
	var v [3]float64
	for i, f := range fields {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil {
			b.t.Fatal(err)
		}
		v[i] = x
	}
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}
}

// settled waits until what was asked for is drawn.
func (b *tab) settled() {
	b.t.Helper()
	eval[bool](b, `new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(() => r(true))))`)
}

// choose takes an option of a list, or sets a slider, as a person does.
func (b *tab) choose(id, value string) {
	b.t.Helper()
	eval[bool](b, `(() => { const e = document.getElementById(`+strconv.Quote(id)+`); e.value = `+strconv.Quote(value)+`;
		for (const n of ["input", "change"]) e.dispatchEvent(new Event(n, { bubbles: true })); return true; })()`)
	b.settled()
}

func (b *tab) click(selector string) {
	b.t.Helper()
	eval[bool](b, `(document.querySelector(`+strconv.Quote(selector)+`).click(), true)`)
	b.settled()
}

// text returns what an element says.
func (b *tab) text(id string) string {
	b.t.Helper()
	return eval[string](b, `document.getElementById(`+strconv.Quote(id)+`).textContent`)
}

func TestPlacesBringTheEyeThere(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	r := m.report
	b := open(t, m.html, 1000, 640, media{still: true})
	b.ready()
	b.keep("all of it")
	n := 0
	for i, f := range r.Checks {
		if f.Verdict == verdict.OK || len(f.Marks) == 0 {
			continue
		}
		n++
		b.click(fmt.Sprintf("#finding-%d a[data-place]", i+1))
		b.keep(fmt.Sprintf("place %d", n))
		said := b.text("caption")
		if !strings.Contains(said, f.Summary) {
			t.Errorf("the picture says %q, the finding %q", said, f.Summary)
		}
		lo, hi := f.Marks[0].From, f.Marks[0].From
		for _, m := range f.Marks {
			for _, p := range []r3.Vec{m.From, m.To} {
				lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
				hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
			}
		}
		want := r3.Scale(0.5, r3.Add(lo, hi))
		// The picture tells its eye to the millimetre.
		if d := r3.Norm(r3.Sub(b.place("at"), want)); d > 1 {
			t.Errorf("%s: the eye looks %.1f mm off the place", f.ID, d)
		}
		if d := r3.Norm(r3.Sub(b.place("from"), want)); d > 8*r3.Norm(r3.Sub(hi, lo))+850 {
			t.Errorf("%s: the eye is %.0f mm away", f.ID, d)
		}
	}
	if n < 2 {
		t.Fatalf("only %d places were tried", n)
	}
}

func TestDistancesAreThoseOfThePlan(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	s := m.scene
	b := open(t, m.html, 800, 560, media{still: true})
	b.ready()
	listed := eval[[]string](b, `[...document.getElementById("one").options].map((o) => o.text)`)
	parts := map[string]scene.Part{}
	for _, p := range s.AtRest() {
		parts[p.Name] = p
	}
	for _, f := range m.report.Checks {
		for _, p := range f.Shapes {
			parts[p.Name] = p
		}
	}
	for name, p := range parts {
		if p.Role != scene.RoleRoom && !slices.Contains(listed, strings.Replace(name, "/", ", ", 1)) {
			t.Errorf("the list of parts has no %q", name)
		}
	}
	for _, tt := range [][2]string{
		{"sump/front pane", "cabinet/back"}, {"skimmer/body", "heater"}, {"skimmer/cup", "drain stub"}, {"heater", "sump/baffle 2"}, {"return pump", "display/left pane"},
	} {
		for i, id := range []string{"one", "other"} {
			option := strings.Replace(tt[i], "/", ", ", 1)
			b.choose(id, eval[string](b, `[...document.getElementById("`+id+`").options].find((o) => o.text === `+strconv.Quote(option)+`).value`))
		}
		a, z := parts[tt[0]], parts[tt[1]]
		if a.Solid == nil || z.Solid == nil {
			t.Fatalf("the plan has no %v", tt)
		}
		want := unit.Length(solid.Distance(a.Solid, z.Solid).Dist)
		got := b.text("apart")
		// Round things have flat sides in the model: two lengths may be right.
		if near := s.Units.Length(want); !strings.HasSuffix(got, ": "+near) && !strings.HasSuffix(got, ": "+s.Units.Length(want+0.5)) {
			t.Errorf("the picture says %q, the plan %s", got, near)
		}
	}
	b.click("#forget")
	if got := b.text("apart"); got != "" {
		t.Errorf("after forgetting both the picture says %q", got)
	}
	// And by touching them: what is in the middle, then what is behind it.
	eval[bool](b, `(() => { const v = document.getElementById("view"); v.scrollIntoView(); const r = v.getBoundingClientRect();
		for (const i of [0, 1]) v.dispatchEvent(new MouseEvent("click", { bubbles: true, clientX: r.left + r.width * (0.45 + 0.1 * i), clientY: r.top + r.height * 0.6 })); return true; })()`)
	if got := b.text("apart"); got == "" {
		t.Error("touching parts picks none")
	}
}

func TestWaysPlay(t *testing.T) {
	t.Parallel()
	m := demo(t, "fits")
	moves := m.report.Checks[0].Motions[0].Moves
	b := open(t, m.html, 1000, 640, media{})
	b.ready()
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("look").scrollIntoView()`))
	b.choose("way", "0")
	b.until(`document.getElementById("move").textContent === "outside"`)
	eval[bool](b, `new Promise((r) => setTimeout(() => r(true), 600))`) // the eye flies there
	pictures := [][]byte{b.keep("outside")}
	for i, m := range moves {
		b.click("#on")
		want := strconv.Itoa(i+2) + " of " + strconv.Itoa(len(moves)) + ": "
		if i == len(moves)-1 {
			want = "at its place"
		} else {
			want += moves[i+1]
		}
		if got := b.text("move"); got != want {
			t.Errorf("after %q the picture says %q, want %q", m, got, want)
		}
		if i == 0 {
			pictures = append(pictures, b.keep("on the way"))
		}
	}
	if bytes.Equal(pictures[0], pictures[1]) {
		t.Error("a move leaves the picture as it was")
	}
	b.choose("moment", "0")
	b.click("#play")
	b.until(`document.getElementById("moment").value > 20`)
	b.click("#play")
	at := eval[float64](b, `Number(document.getElementById("moment").value)`)
	b.settled()
	if now := eval[float64](b, `Number(document.getElementById("moment").value)`); now != at || b.text("play") != "Play" {
		t.Errorf("paused at %v, then at %v", at, now)
	}
	b.choose("way", "")
	if got := b.text("move"); got != "" {
		t.Errorf("without a way the picture says %q", got)
	}
}

func TestLessMotionMeansSteps(t *testing.T) {
	t.Parallel()
	b := open(t, demo(t, "fits").html, 800, 560, media{still: true})
	b.ready()
	b.choose("way", "0")
	b.click("#play")
	if got := b.text("move"); !strings.HasPrefix(got, "2 of ") {
		t.Errorf("one press plays to %q, want the end of the first move", got)
	}
	at := eval[string](b, `document.getElementById("moment").value`)
	eval[bool](b, `new Promise((r) => setTimeout(() => r(true), 200))`)
	if now := eval[string](b, `document.getElementById("moment").value`); now != at {
		t.Errorf("it moves by itself from %s to %s", at, now)
	}
}

func TestPartsAndCuts(t *testing.T) {
	t.Parallel()
	b := open(t, demo(t, "fails").html, 800, 560, media{still: true})
	b.ready()
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("look").scrollIntoView()`))
	whole := b.keep("whole")
	b.click(`#parts input`)
	without := b.keep("without the cabinet")
	if bytes.Equal(whole, without) {
		t.Error("a part that is off is still seen")
	}
	b.click(`#parts input`)
	b.choose("cut", "front")
	if cut := b.keep("cut"); bytes.Equal(whole, cut) {
		t.Error("a cut leaves the picture as it was")
	}
	// 14 in of the 28 in deep cabinet and its doors, which stand open before it.
	said := b.text("deep")
	b.choose("depth", "80")
	if further := b.text("deep"); further == said || !strings.HasSuffix(further, " from the front") {
		t.Errorf("the cut says %q, then %q", said, further)
	}
}

func TestKeysDoAll(t *testing.T) {
	t.Parallel()
	b := open(t, demo(t, "fails").html, 1000, 640, media{still: true})
	b.ready()
	// Through the page by tabs: all that can be done is come by.
	focused := `(document.activeElement.id || document.activeElement.className || document.activeElement.tagName)`
	seen := map[string]bool{}
	eval[bool](b, `(document.activeElement.blur(), true)`)
	for range 60 {
		b.do(chromedp.KeyEvent(kb.Tab))
		seen[eval[string](b, focused)] = true
	}
	for _, want := range []string{"view", "pin no", "pin tight", "nearer", "way", "cut", "one", "other", "forget"} {
		if !seen[want] {
			t.Errorf("tabs do not come by %q: %v", want, seen)
		}
	}
	eval[bool](b, `(document.getElementById("view").focus(), true)`)
	before := b.place("from")
	for _, tt := range []struct {
		keys string
		mods []chromedp.KeyOption
		what string
	}{
		{keys: kb.ArrowLeft, what: "turns"},
		{keys: kb.ArrowUp, what: "turns"},
		{keys: kb.ArrowRight, mods: []chromedp.KeyOption{chromedp.KeyModifiers(chromedp.ModifierShift)}, what: "moves"},
		{keys: "+", what: "comes nearer"},
		{keys: "-", what: "goes farther"},
	} {
		b.do(chromedp.KeyEvent(tt.keys, tt.mods...))
		b.settled()
		if now := b.place("from"); now == before {
			t.Errorf("%q: the eye %s not", tt.keys, tt.what)
		} else {
			before = now
		}
	}
	b.do(chromedp.KeyEvent(kb.Home))
	b.settled()
	home := b.place("from")
	eval[bool](b, `(document.querySelector(".pin").focus(), true)`)
	b.do(chromedp.KeyEvent(kb.Enter))
	b.settled()
	if b.place("from") == home || b.text("caption") == "" {
		t.Error("Enter on a place does not show it")
	}
}

// Where a browser shows no 3D, the page has a still picture and no dead control.
func TestWithoutWebGL(t *testing.T) {
	t.Parallel()
	b := open(t, []byte("<!DOCTYPE html><title>none</title>"), 1000, 800, media{})
	if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: `HTMLCanvasElement.prototype.getContext = () => null`,
	}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, demo(t, "fits").html, 0o600); err != nil {
		t.Fatal(err)
	}
	b.allow("file://" + file)
	b.do(chromedp.Navigate("file://" + file))
	shown := func(selector string) bool {
		return eval[bool](b, `document.querySelector(`+strconv.Quote(selector)+`).checkVisibility()`)
	}
	if !shown(".still") {
		t.Error("there is no still picture")
	}
	for _, dead := range []string{"#view", "#way", "#parts", "#keys"} {
		if shown(dead) {
			t.Errorf("%s is there and does nothing", dead)
		}
	}
}

func TestEveryPictureIsThere(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	r := m.report
	b := open(t, m.html, 1000, 640, media{})
	b.ready()
	bad := eval[[]string](b, `(async () => { const bad = []; for (const i of document.images) { await i.decode().catch(() => {}); if (!(i.naturalWidth > 0) || !i.alt) bad.push(i.alt || "no alt"); } return bad; })()`)
	for _, alt := range bad {
		t.Errorf("picture %q does not show, or has no words", alt)
	}
	want := 2 // all of it, and as it was read
	for _, f := range r.Checks {
		if f.Verdict != verdict.OK && len(f.Marks) > 0 {
			want++
		}
		for _, m := range f.Motions {
			if !m.Out {
				want++
			}
		}
	}
	if got := eval[int](b, `document.images.length`); got != want {
		t.Errorf("%d pictures, want %d", got, want)
	}
	for _, name := range []string{"front", "top", "side", "levels", "glass-1"} {
		if !eval[bool](b, `(document.getElementById("drawing-`+name+`")?.querySelector("svg")?.getBoundingClientRect().width ?? 0) > 100`) {
			t.Errorf("there is no drawing %q", name)
		}
	}
	if wide := eval[float64](b, `document.documentElement.scrollWidth`); wide > 1280 {
		t.Errorf("the page is %v wide, wider than its window", wide)
	}
}

func TestNarrowPagesDoNotScrollSideways(t *testing.T) {
	t.Parallel()
	b := open(t, demo(t, "fits").html, 360, 700, media{dark: true})
	b.ready()
	b.keep("narrow")
	if wide := eval[float64](b, `document.documentElement.scrollWidth`); math.Abs(wide-360) > 0.5 {
		t.Errorf("the page is %v wide in a window of 360", wide)
	}
}

// An axeReport is what axe found.
type axeReport struct {
	Passes int      `json:"passes"`
	Found  []string `json:"found"`
}

// axe judges the page as the programs do that people with no sight, no mouse or
// weak eyes use.
func TestAxeFindsNothing(t *testing.T) {
	t.Parallel()
	const axe = "../../.ci/node_modules/axe-core/axe.min.js"
	script, err := os.ReadFile(axe)
	if err != nil {
		if os.Getenv("UNDERCROFT_CI") == "1" {
			t.Fatal("UNDERCROFT_CI is set, and axe is not there: run npm ci --prefix .ci")
		}
		t.Skip("needs the tools of .ci: run npm ci --prefix .ci")
	}
	for name, tt := range map[string]struct {
		wide int64
		m    media
	}{"light": {1280, media{}}, "dark and narrow": {420, media{dark: true}}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := open(t, demo(t, "fails").html, tt.wide, 900, tt.m)
			b.ready()
			b.click(".pin")
			b.do(chromedp.Evaluate[chromedp.Void](string(script)))
			report := eval[axeReport](b, `axe.run().then((r) => ({ passes: r.passes.length, found: r.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + v.help + ": " + n.html.slice(0, 200))) }))`)
			for _, f := range report.Found {
				t.Error(f)
			}
			if report.Passes < 20 {
				t.Errorf("axe looked at %d things only", report.Passes)
			}
		})
	}
}
