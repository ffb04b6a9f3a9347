package text_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"undercroft/export/text"
	"undercroft/fit"
	"undercroft/fit/verdict"
	"undercroft/scene/plan"
)

var update = flag.Bool("update", false, "write the golden files anew")

// report has one of everything: each verdict, many ok, a number that was not
// shown, moves, defaults, a check left out.
func report() fit.Report {
	r := fit.Report{Title: "Loft reef", Verdict: verdict.No}
	r.Checks = []verdict.Finding{
		{
			ID: "passage/sump", Verdict: verdict.Tight, Summary: "goes in through doors, pushed straight; between 3/16 and 1/4 in to spare at the left leaf",
			Measures: verdict.Measures{
				{Key: "spare_low_mm", Value: 4.8},
				{Key: "spare_high_mm", Value: math.Inf(1)},
				{Key: "way", Value: "doors"},
				{Key: "moves", Value: []string{"lift 1 in", "slide 14 in in", "set down"}},
			},
			Assumed: []string{"room before the cabinet 48 in"}, Again: "measure again the width between the open doors: 1/16 in more makes it ok", Room: 1.5,
		},
		{
			ID: "passage/skimmer", Verdict: verdict.No, Summary: "shown impossible: 7 in between the sump's rim and the cabinet's top, 7 1/2 in at its thinnest",
			Measures: verdict.Measures{{Key: "spare_low_mm", Value: nil}, {Key: "spare_high_mm", Value: -6.35}},
			Again:    "measure again the sump's height: 1/2 in less makes it tight", Room: 6.35, Source: []string{"proof by the inner ball"},
		},
		{ID: "weight/system", Verdict: verdict.OK, Summary: "1210 lb running", Room: math.NaN(), Measures: verdict.Measures{{Key: "running_kg", Value: 548.8462129}}},
		{ID: "floor/joists", Verdict: verdict.Unsure, Summary: "not decided: the species is unknown", Again: "the grade stamp on a joist", Room: math.NaN(), Assumed: []string{"room before the cabinet 48 in"}},
	}
	for i := range 8 {
		name := string(rune('a' + i))
		r.Checks = append(r.Checks, verdict.Finding{
			ID: "gap/sump/" + name, Verdict: verdict.OK, Summary: "clear of " + name, Room: 10 - float64(i)/2, Again: "measure again the place of " + name,
		})
	}
	r.LeftOut = []verdict.LeftOut{{ID: "water/levels", Add: "sump.flow"}, {ID: "water/levels", Add: "sump.level"}}
	r.Cautions = []string{fit.CautionPlanning}
	return r
}

func page() text.Page {
	return text.Page{
		Plan: "loft.yaml", Read: []string{"Cabinet 40 x 18 x 30 in outside.", "I read 2 chambers."}, Report: report(),
		Next: []text.Command{{Line: "undercroft views loft.yaml -o pictures", For: "see where"}},
	}
}

// golden compares got with a file under testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
	}
}

func write(t *testing.T, p text.Page, st text.Style) string {
	t.Helper()
	var b strings.Builder
	if err := text.Write(&b, p, st); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTable(t *testing.T) {
	t.Parallel()
	golden(t, "table.txt", write(t, page(), text.Style{}))
	golden(t, "narrow.txt", write(t, page(), text.Style{Width: 50}))
	golden(t, "all.txt", write(t, page(), text.Style{All: true}))
}

// TestVerdictFirst holds what a person must find without searching.
func TestVerdictFirst(t *testing.T) {
	t.Parallel()
	out := write(t, page(), text.Style{})
	order := []string{"I read 2 chambers", "Not as planned: no in 1 of 12 checks", "shown impossible", "pushed straight", "Planning figures", "undercroft views"}
	at := 0
	for _, want := range order {
		i := strings.Index(out[at:], want)
		if i < 0 {
			t.Fatalf("%q does not follow %q in\n%s", want, out[:at], out)
		}
		at += i
	}
	folded := strings.Join(strings.Fields(out), " ")
	for _, want := range []string{
		"→ Measure again the sump's height: 1/2 in less makes it tight", // each no
		"2. slide 14 in in",                   // how it goes
		"→ Measure again the place of h",      // the least sure ok
		"room before the cabinet 48 in",       // what was assumed, once
		"water/levels sump.flow, sump.level",  // what to add
		"all 8 least sure of these: sump – h", // not a page of what is ok
	} {
		if n := strings.Count(folded, want); n != 1 {
			t.Errorf("%q stands there %d times, want once, in\n%s", want, n, out)
		}
	}
}

func TestHeadlines(t *testing.T) {
	t.Parallel()
	finding := func(v verdict.Verdict) verdict.Finding {
		return verdict.Finding{ID: "gap/sump/heater", Verdict: v, Summary: "s", Room: math.NaN()}
	}
	for _, c := range []struct {
		name string
		r    fit.Report
		want string
	}{
		{"ok", fit.Report{Verdict: verdict.OK, Findings: verdict.Findings{Checks: []verdict.Finding{finding(verdict.OK)}}}, "By your measurements it fits: 1 check, all ok."},
		{"tight", fit.Report{Verdict: verdict.Tight, Findings: verdict.Findings{Checks: []verdict.Finding{finding(verdict.Tight), finding(verdict.OK)}}}, "but tight in 1 of 2 checks"},
		{"unsure", fit.Report{Verdict: verdict.Unsure, Findings: verdict.Findings{Checks: []verdict.Finding{finding(verdict.Unsure)}}}, "Not decided: 1 of 1 check could not be settled"},
		{"nothing", fit.Report{Verdict: verdict.Unsure}, "Nothing could be checked"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			out := strings.Join(strings.Fields(write(t, text.Page{Report: c.r}, text.Style{})), " ")
			if !strings.Contains(out, c.want) {
				t.Errorf("got\n%s\nwant %q in it", out, c.want)
			}
		})
	}
}

// TestColourIsNeverAlone: taking the colours away leaves the plain text.
func TestColourIsNeverAlone(t *testing.T) {
	t.Parallel()
	plain, coloured := write(t, page(), text.Style{}), write(t, page(), text.Style{Colour: true})
	if plain == coloured {
		t.Fatal("no colour was asked for and none came: the test shows nothing")
	}
	for {
		i := strings.Index(coloured, "\x1b[")
		if i < 0 {
			break
		}
		j := strings.Index(coloured[i:], "m")
		coloured = coloured[:i] + coloured[i+j+1:]
	}
	if coloured != plain {
		t.Errorf("without colours it reads\n%s\nwant\n%s", coloured, plain)
	}
}

// TestNothingSteersTheTerminal: names and titles come from files of strangers.
func TestNothingSteersTheTerminal(t *testing.T) {
	t.Parallel()
	const evil = "a\x1b[2J\u009b1m\u202eb\r\n\x00"
	p := text.Page{Plan: evil, Read: []string{evil}, Next: nil}
	p.Report = fit.Report{Title: evil, Findings: verdict.Findings{
		Checks:   []verdict.Finding{{ID: "gap/" + evil + "/x", Summary: evil, Again: evil, Assumed: []string{evil}, Measures: verdict.Measures{{Key: "moves", Value: []string{evil}}}, Verdict: verdict.Tight}},
		LeftOut:  []verdict.LeftOut{{ID: evil, Add: evil}},
		Cautions: []string{evil},
	}}
	out := write(t, p, text.Style{})
	for _, bad := range "\x1b\u009b\u202e\r\x00" {
		if strings.ContainsRune(out, bad) {
			t.Errorf("%q got through in %q", bad, out)
		}
	}
}

// TestWidth: every line keeps to the width unless a single word is longer, and
// no word is lost.
func TestWidth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-z0-9/]{1,12}`), 1, 40).Draw(t, "words")
		width := rapid.IntRange(40, 120).Draw(t, "width")
		summary := strings.Join(words, " ")
		r := fit.Report{Findings: verdict.Findings{Checks: []verdict.Finding{{ID: "gap/a/b", Verdict: verdict.No, Summary: summary, Room: math.NaN()}}}}
		var b strings.Builder
		if err := text.Write(&b, text.Page{Report: r}, text.Style{Width: width}); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(b.String()) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > width {
				t.Errorf("%d columns, want %d at most: %q", n, width, line)
			}
		}
		got := strings.Fields(b.String())
		for _, w := range words {
			i := slices.Index(got, w)
			if i < 0 {
				t.Fatalf("%q is lost in\n%s", w, b.String())
			}
			got = got[i+1:]
		}
	})
}

func TestNumbersKeepTheirUnits(t *testing.T) {
	t.Parallel()
	for width := 40; width < 90; width++ {
		r := fit.Report{Findings: verdict.Findings{Checks: []verdict.Finding{{ID: "gap/a/b", Summary: strings.Repeat("at 20 1/4 in or so, ", 9)}}}}
		for line := range strings.Lines(write(t, text.Page{Report: r}, text.Style{Width: width})) {
			if strings.Count(line, "20") != strings.Count(line, "1/4 in") {
				t.Fatalf("width %d: a number is torn from its unit: %q", width, line)
			}
		}
	}
}

func jsonOf(t *testing.T, rs ...fit.Report) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := text.JSON(&b, rs...); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestJSON(t *testing.T) {
	t.Parallel()
	golden(t, "verdict.json", string(jsonOf(t, report())))
	if !bytes.Equal(jsonOf(t, report()), jsonOf(t, report())) {
		t.Error("the same report gave other bytes")
	}
}

// TestJSONShape reads the file back the way another program does.
func TestJSONShape(t *testing.T) {
	t.Parallel()
	var one map[string]any
	if err := json.Unmarshal(jsonOf(t, fit.Report{Title: `<"ü`}), &one); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]any{"format": 1.0, "title": `<"ü`, "verdict": "unsure"} {
		if one[key] != want {
			t.Errorf("%s is %v, want %v", key, one[key], want)
		}
	}
	for _, key := range []string{"checks", "left_out", "cautions"} {
		if l, ok := one[key].([]any); !ok || len(l) != 0 {
			t.Errorf("%s is %v, want an empty list", key, one[key])
		}
	}
	var many []map[string]any
	a, b := report(), report()
	b.Title = "Second"
	if err := json.Unmarshal(jsonOf(t, a, b), &many); err != nil {
		t.Fatal(err)
	}
	if len(many) != 2 || many[0]["title"] != a.Title || many[1]["title"] != b.Title {
		t.Errorf("several plans gave %v, want both in their order", many)
	}
}

const sump = `format: 1
title: "Loft \u001b[2J reef"
cabinet: {size: [40, 18, 30]}
sump:
  size: [30, 12, 14]
  glass: 1/4
  inlet: right
  baffles: [{at: 15, top: 10, gap: 1 1/4}, {at: 17, top: 8}]
`

func TestCut(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("loft.yaml", []byte(sump))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := text.Cut(&b, s, verdict.Findings{}, text.Style{}); err != nil {
		t.Fatal(err)
	}
	golden(t, "cut.txt", b.String())
	if strings.ContainsRune(b.String(), '\x1b') {
		t.Error("the plan's title steers the terminal")
	}
	if err := text.Cut(full{}, s, verdict.Findings{}, text.Style{}); !errors.Is(err, errFull) {
		t.Errorf("Cut to a full disk: %v", err)
	}
}

type full struct{}

var errFull = errors.New("no space left")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestFullDisk(t *testing.T) {
	t.Parallel()
	if err := text.Write(full{}, page(), text.Style{}); !errors.Is(err, errFull) {
		t.Errorf("Write to a full disk: %v", err)
	}
	if err := text.JSON(full{}, report()); !errors.Is(err, errFull) {
		t.Errorf("JSON to a full disk: %v", err)
	}
}

// What helps is said with its own verb: a search that was stopped is not measured again.
func TestAdvice(t *testing.T) {
	t.Parallel()
	for again, want := range map[string]string{
		"measure again where it stands": "Measure again where it stands",
		"allow more time (--time)":      "Allow more time (--time)",
		"width of the door":             "Measure again: width of the door",
	} {
		if got := text.Advice(verdict.Finding{Again: again}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
