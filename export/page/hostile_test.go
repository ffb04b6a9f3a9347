package page_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit"
	"undercroft/fit/gap"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// nook is a plan in which every text is a person's own: title, opening, fixture,
// things and a part.
func nook(t *testing.T, title string, name func(string) string) []byte {
	t.Helper()
	quoted := func(s string) string {
		b, err := json.Marshal(s) // YAML reads JSON strings
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	n := func(s string) string { return quoted(name(s)) }
	return []byte(`format: 1
title: ` + quoted(title) + `
units: cm
room: {front: 100}
cabinet:
  size: [90, 43, 79]
  bottom: {up: 10}
  openings: [{name: ` + n("door") + `, side: front, at: {left: 15, sill: 2.5}, size: [61, 56]}]
  fixtures: [{name: ` + n("strip") + `, size: [23, 5, 5], at: {right: 0, up: 50}}]
display: {size: [88, 41, 46], glass: 1, water: {below-top: 2.5}, drops: 2.5}
sump: {size: [51, 25, 28], glass: 0.6, at: {front: 7.6}, inlet: left, flow: 900 L/h, level: 13, baffles: [{at: 23, top: 18}]}
equipment:
  - {name: ` + n("pump") + `, kind: pump, in: sump 2, at: {left: 0.3, front: 5}, size: [7.5, 7.5, 7.5], order: 1}
  - name: ` + n("jug") + `
    kind: reservoir
    at: {right: 2.5, front: 5}
    order: 2
    parts:
      - {name: ` + n("body") + `, size: [10, 23, 23], at: {left: 0, front: 0, up: 0}}
      - {name: ` + n("cap") + `, size: [5, 5, 2.5], at: {left: 2.5, front: 7.5, up: 23}, apart: yes}
`)
}

// soon makes a report without searching: what is found at once, and a way in of
// each thing as if it had been found.
func soon(s *scene.Scene) fit.Report {
	r := fit.Report{Title: s.Title, Verdict: verdict.Tight}
	r.Cautions = fit.Cautions(s)
	for _, t := range s.Things() {
		f := verdict.Finding{ID: "passage/" + t.Name, Verdict: verdict.OK, Summary: t.Name + " goes in", Room: math.NaN()}
		for _, g := range t.Groups {
			m := scene.Motion{
				Thing: t.Name, Through: s.Cabinet.Openings[0].Name, Moves: []string{"slide " + g.Name + " in"}, MoveOf: []int{0},
				Path: solid.Path{Poses: []solid.Pose{{Turn: solid.Rest.Turn, Shift: r3.Vec{Y: -700}}, solid.Rest}},
			}
			for _, p := range g.Parts {
				m.Parts = append(m.Parts, p.Name)
			}
			f.Motions = append(f.Motions, m)
		}
		r.Checks = append(r.Checks, f)
	}
	r.Add(gap.Check(s))
	r.Add(water.Check(s))
	return r
}

// attacks are texts that would do something if they were not just text. Names
// hold no slash; the title does.
var attacks = []string{
	`<img src=x onerror="window.pwned=1">`,
	`"><svg onload=window.pwned=1>`,
	`'; window.pwned=1; '`,
	"${window.pwned=1}`",
	"\u2028window.pwned=1\u2029",
	`<!--<script>`,
	`&lt;a href=javascript:pwned&gt;`,
	"\u202eright\u2066 to left",
	`{{.Title}}\u003cscript\u003e`,
	`]]><a href="javascript:window.pwned=1">`,
}

const attack = `</title></style></script></template><script>window.pwned=1</script><a href="javascript:window.pwned=1">x</a><!-- " ' ` + "`\u2028"

// shape is every element of the page with the names of its attributes, and the
// targets of its links and pictures as far as they are no text. Drawings are
// laid out round their texts: of them it is what they are made of.
const shape = `[...new Set([...document.querySelectorAll(".drawing *")].map((e) => e.tagName)), ...document.querySelectorAll("*:not(.drawing *)")].map((e) => e.tagName ? e : document.createElement(e)).map((e) => e.tagName + "(" + e.getAttributeNames().join() + ")" +
	(e.getAttribute("href") ?? "") + (e.getAttribute("src") ?? "").slice(0, 15)).join("\n")`

func TestTextOfAPlanIsText(t *testing.T) {
	t.Parallel()
	used := 0
	plain := nook(t, "Reading nook", func(s string) string { return s })
	hostile := nook(t, attack, func(s string) string {
		used++
		return s + " " + attacks[used%len(attacks)] + attacks[(used+len(attacks)/2)%len(attacks)]
	})
	var shapes [2]string
	for i, text := range [][]byte{plain, hostile} {
		m, err := makePage("nook.yaml", text, soon)
		if err != nil {
			t.Fatal(err)
		}
		html := m.html
		for _, r := range []string{"\u2028", "\u2029", "\u202e", "\u2066"} {
			if strings.Contains(string(html), r) {
				t.Errorf("the page holds %q", r)
			}
		}
		b := open(t, html, 800, 600, media{still: true})
		b.ready()
		if eval[bool](b, `"pwned" in window`) {
			t.Error("text of the plan ran as script")
		}
		shapes[i] = eval[string](b, shape)
		if i == 1 {
			if got := eval[string](b, `document.querySelector("h1").textContent`); !strings.HasPrefix(got, "</title></style></script>") {
				t.Errorf("the title is %q", got)
			}
			if got := eval[int](b, `[...document.querySelectorAll("#parts label")].filter((l) => l.textContent.includes("onerror=")).length`); got == 0 {
				t.Error("no part is called as the plan calls it")
			}
		}
	}
	if shapes[0] != shapes[1] {
		t.Errorf("the texts of a plan change the page:\n%s", firstDifference(shapes[0], shapes[1]))
	}
}

// firstDifference returns where two texts first differ, by lines.
func firstDifference(a, b string) string {
	as, bs := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(as), len(bs)) {
		if as[i] != bs[i] {
			return fmt.Sprintf("line %d: %q and %q", i+1, as[i], bs[i])
		}
	}
	return fmt.Sprintf("%d and %d lines", len(as), len(bs))
}
