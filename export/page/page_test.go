package page_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"html"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"undercroft/assets"
	"undercroft/export/page"
	"undercroft/export/text"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/fit/choose"
	"undercroft/fit/fixes"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// small is how pictures are in tests: as small as they can be drawn.
var small = view.Options{Width: 432, Height: 324, Supersample: 1}

// A made page is a page with what it was made of.
type made struct {
	scene  *scene.Scene
	report fit.Report
	html   []byte
}

// demo returns the page of a demo plan, made once for all tests.
func demo(t *testing.T, name string) made {
	t.Helper()
	m, err := demos[name]()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

var demos = func() map[string]func() (made, error) {
	all := map[string]func() (made, error){}
	for _, name := range assets.Demos() {
		all[name] = sync.OnceValues(func() (made, error) {
			text, _ := assets.Demo(name)
			return makePage(name+".yaml", text, func(s *scene.Scene) fit.Report { return fit.Check(background, s, fit.Options{}) })
		})
	}
	return all
}()

// makePage makes the page of a plan.
func makePage(name string, text []byte, check func(*scene.Scene) fit.Report) (made, error) {
	s, err := plan.Read(name, text)
	if err != nil {
		return made{}, err
	}
	m := made{scene: s, report: check(s)}
	var out bytes.Buffer
	err = page.Write(background, &out, page.Content{Plan: name, Scene: s, Report: m.report}, page.Options{Pictures: small})
	m.html = out.Bytes()
	return m, err
}

var background = context.Background()

func TestSamePageTwice(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	var again bytes.Buffer
	if err := page.Write(t.Context(), &again, page.Content{Plan: "fails.yaml", Scene: m.scene, Report: m.report}, page.Options{Pictures: small}); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(m.html, again.Bytes()) {
		t.Error("the same plan gives another page")
	}
}

// All that was found stands on the page, and what was left out with what to add.
func TestAllIsSaid(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	told := html.UnescapeString(string(m.html))
	said := func(what, text string) {
		if !strings.Contains(told, text) {
			t.Errorf("the page does not tell the %s %q", what, text)
		}
	}
	said("title", "<h1>"+m.scene.Title+"</h1>")
	said("verdict", text.Headline(m.report))
	for _, line := range m.scene.Describe() {
		said("reading", line)
	}
	for _, f := range m.report.Checks {
		said("finding", f.Summary)
		for _, a := range f.Assumed {
			said("assumption", a)
		}
		for _, s := range f.Source {
			said("source", s)
		}
		for _, w := range f.Motions {
			if !w.Out {
				for i, move := range w.Moves {
					if hands := w.Hands[i].Text; hands != "" {
						move += " (" + hands + ")"
					}
					said("move", "<li>"+move+"</li>")
				}
			}
		}
	}
	for _, l := range m.report.LeftOut {
		said("missing key", l.Add)
	}
	for _, c := range m.report.Cautions {
		said("caution", c)
	}
	// The verdict comes before all else.
	if strings.Index(told, text.Headline(m.report)) > strings.Index(told, "<main>") {
		t.Error("the verdict is not first")
	}
}

// How large things may be stands on the first part of the page and on the card,
// where it was worked out.
func TestLimitsAreTold(t *testing.T) {
	t.Parallel()
	m, err := makePage("nook.yaml", nook(t, "Nook", func(s string) string { return s }), soon)
	if err != nil {
		t.Fatal(err)
	}
	limits := &choose.LimitsTable{Units: m.scene.Units, Tape: 2, Wanted: 5, Sumps: []choose.Limit{{
		Width: 560, Depth: 300, Height: 410, Card: [3]unit.Length{555, 295, 405},
	}}}
	var with bytes.Buffer
	if err := page.Write(t.Context(), &with, page.Content{Scene: m.scene, Report: m.report, Limits: limits}, page.Options{Pictures: small}); err != nil {
		t.Fatal(err)
	}
	for _, want := range append(text.Card(limits), "Largest sump, outside: 56 x 30 x 41 cm") {
		if !strings.Contains(html.UnescapeString(with.String()), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if none := "--limits"; !bytes.Contains(m.html, []byte(none)) || strings.Contains(with.String(), none) {
		t.Error("where to have the limits from is told at the wrong time")
	}
}

// What would help stands with what was found, where it was worked out.
func TestFixesAreTold(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	i := slices.IndexFunc(m.report.Checks, func(f verdict.Finding) bool { return f.ID == "passage/sump" })
	list := &fixes.List{Answers: []fixes.Answer{{Finding: m.report.Checks[i], Fixes: []fixes.Fix{{
		Effort: fixes.DoorOff, Text: "Lift the doors off <b>their</b> hinges", After: verdict.Tight, Caution: fixes.CautionBears,
		Worse: []fixes.Change{{ID: "gap/sump/heater", Before: verdict.OK, After: verdict.Tight}},
	}}}}}
	var with bytes.Buffer
	if err := page.Write(t.Context(), &with, page.Content{Scene: m.scene, Report: m.report, Fixes: list}, page.Options{Pictures: small}); err != nil {
		t.Fatal(err)
	}
	want := text.Fix(&list.Answers[0].Fixes[0])
	if !strings.Contains(html.UnescapeString(with.String()), "<li>"+want+"</li>") {
		t.Errorf("the page does not say %q", want)
	}
	if strings.Contains(with.String(), "<b>their</b>") {
		t.Error("a fix brings markup into the page")
	}
	if none := "--fixes"; !bytes.Contains(m.html, []byte(none)) || strings.Contains(with.String(), none) {
		t.Error("where to have the fixes from is told at the wrong time")
	}
}

// The page runs its own script and takes its own style, and nothing else.
func TestPolicyIsThatOfThePage(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	policy := html.UnescapeString(string(regexp.MustCompile(`Content-Security-Policy" content="([^"]*)"`).FindSubmatch(m.html)[1]))
	for tag, directive := range map[string]string{"script": "script-src", "style": "style-src"} {
		blocks := regexp.MustCompile(`(?s)<`+tag+`>(.*?)</`+tag+`>`).FindAllSubmatch(m.html, -1)
		if len(blocks) != 1 {
			t.Fatalf("the page has %d elements <%s>", len(blocks), tag)
		}
		sum := sha256.Sum256(blocks[0][1])
		if want := directive + " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.Contains(policy, want+";") {
			t.Errorf("the policy %q has no %s", policy, want)
		}
	}
	if !strings.HasPrefix(policy, "default-src 'none';") {
		t.Errorf("the policy is %q", policy)
	}
	for _, link := range regexp.MustCompile(` (?:href|src)="([^"]{0,40})`).FindAllSubmatch(m.html, -1) {
		if l := string(link[1]); !strings.HasPrefix(l, "#") && !strings.HasPrefix(l, "data:") {
			t.Errorf("the page points to %q", l)
		}
	}
}

// What ends a script element inside it would end the page's script.
func TestViewerStandsInAPage(t *testing.T) {
	t.Parallel()
	for _, bad := range []string{"</script", "<!--", "<script"} {
		if strings.Contains(strings.ToLower(assets.Viewer), bad) {
			t.Errorf("the viewer holds %q", bad)
		}
	}
	if !strings.Contains(assets.Viewer, "Permission is hereby granted") {
		t.Error("the viewer lost the licence of three")
	}
}

// Where there is no order none is told, and what does not come out is said so.
func TestOrderOfWhatDoesNotFit(t *testing.T) {
	t.Parallel()
	m := demo(t, "fails")
	_, rest, ok := strings.Cut(string(m.html), "In which order?")
	order, rest, also := strings.Cut(rest, "What comes out before what?")
	first, _, too := strings.Cut(rest, "What does the glass shop cut?")
	if !ok || !also || !too {
		t.Fatal("a question is missing")
	}
	if strings.Contains(order, ", then ") || !strings.Contains(order, "in no order") {
		t.Errorf("an order is told where there is none: %s", order)
	}
	for _, want := range []string{"sump does not come out", "skimmer does not come out"} {
		if !strings.Contains(first, want) {
			t.Errorf("no %q in %s", want, first)
		}
	}
}
