package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undercroft/fit/sensitivity"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// MeasureAgain returns the measuring sheet of a plan with what an error of the
// tape costs: the blanks that decide a verdict have a wide frame, and further
// pages list how much room each measurement loses for a step of error, and what
// to measure again. The table and the findings are those of the scene; about
// names a finding in plain words.
func MeasureAgain(s *scene.Scene, t *sensitivity.Table, found []verdict.Finding, about func(id string) string) ([][]byte, error) {
	m := measuring{s: s, sys: s.Units, decides: map[blankKey]bool{}}
	for i := range t.Measurements {
		if k, ok := keyOf(t.Measurements[i].Key); ok && decides(t, &t.Measurements[i]) {
			m.decides[k] = true
		}
	}
	f := m.form()
	f.newPage("5  What an error of the tape costs")
	c := costs{m, t, found, about}
	c.explain(f)
	f.add(c.again())
	f.add(c.losses())
	if len(t.Unknown) > 0 {
		f.add(c.unknown())
	}
	if len(t.Stopped()) > 0 {
		f.add(c.untried())
	}
	return f.finish()
}

// decides tells whether a blank has a wide frame: an error of its measurement turns
// a verdict, or has a part in one that is not ok.
func decides(t *sensitivity.Table, m *sensitivity.Measurement) bool {
	return m.Decides() || slices.ContainsFunc(m.Effects, func(e sensitivity.Effect) bool {
		return e.Is != verdict.OK && e.Lost >= t.Step/4
	})
}

// costs fills in the pages about errors.
type costs struct {
	measuring
	t     *sensitivity.Table
	found []verdict.Finding
	about func(id string) string
}

func (c costs) step() string { return c.sys.Length(c.t.Step) }

// explain says how to read the pages.
func (c costs) explain(f *form) {
	p := f.page().draw("How to read this page", border, f.y)
	y := 3.0
	texts := []string{
		"Each length of the plan was taken " + c.step() + " longer and " + c.step() + " shorter, with all that hangs on it, and what changed was judged again. “Turns” is the verdict that a step changes. On the sheets before, a wide frame is round each blank that turns a verdict, or has a part in one that is not ok: measure those again first.",
		"For a way in, the way that was found was measured again, and another one looked for where that lost room: no more than this is lost, a further search may lose less. Room beyond what is wanted on the way is not counted.",
	}
	if n := len(c.t.Stopped()); n > 0 {
		texts = slices.Insert(texts, 0, fmt.Sprintf("Stopped before all of it was looked at: this is what was known by then. For %d of %d measurements it is not known what an error costs.", n, len(c.t.Measurements)))
	}
	for _, text := range texts {
		for _, line := range wrap(text, normal, bodyWidth) {
			p.text(0, y, normal, left, line)
			y += 3.9
		}
	}
	f.y += y + 1
}

// again lists what to measure again, the least sure first.
func (c costs) again() section {
	t := table{high: 8.6, columns: []column{{"verdict", 14}, {"of", 52}, {head: "measure again"}}}
	for _, v := range []verdict.Verdict{verdict.Unsure, verdict.No, verdict.Tight} {
		for _, f := range c.found {
			if f.Verdict != v || f.Again == "" && v != verdict.Unsure {
				continue
			}
			again := f.Again
			if again == "" {
				again = "no measurement is known to settle it: " + f.Summary
			}
			t.rows = append(t.rows, row{named(v.String()), c.lines(c.about(f.ID), 52), c.lines(again, bodyWidth-66)})
		}
	}
	if len(t.rows) == 0 {
		t.rows = append(t.rows, row{named(""), says("nothing"), says("every verdict is ok, or none of a measurement’s making")})
	}
	return section{title: "What to measure again", note: "unsure first, then no and tight", table: t}
}

// lines returns a cell of a text on no more than two lines.
func (c costs) lines(text string, wide float64) cell {
	const size = small + 0.1
	lines := wrap(text, size, wide-pad)
	if len(lines) > 2 {
		lines[1] = fit(lines[1]+" "+lines[2], size, wide-pad)
		lines = lines[:2]
	}
	for i := range lines {
		lines[i] = fit(lines[i], size, wide-pad)
	}
	return says(strings.Join(lines, " "))
}

// leastShown is the part of a step below which a loss is not listed.
const leastShown = 0.1

// losses lists what a step of error costs: what decides first, then the greatest
// losses.
func (c costs) losses() section {
	t := table{high: 6.2, columns: []column{
		{width: 9}, {head: "measurement"}, {"plan", 16}, {"if it is", 14}, {"room lost", 24}, {"of", 50}, {"turns", 33},
	}}
	type loss struct {
		m *sensitivity.Measurement
		e sensitivity.Effect
	}
	var all []loss
	for i := range c.t.Measurements {
		for _, e := range c.t.Measurements[i].Effects {
			if e.Lost >= leastShown*c.t.Step || e.Turned != e.Is {
				all = append(all, loss{&c.t.Measurements[i], e})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b loss) int {
		turns := func(l loss) int {
			if l.e.Turned != l.e.Is {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(turns(a), turns(b)), cmp.Compare(b.e.Lost, a.e.Lost))
	})
	for _, l := range all {
		letter := ""
		if k, ok := keyOf(l.m.Key); ok {
			letter = k.key
		}
		way, lost := comparative(l.e.Larger), c.sys.AtMost(l.e.Lost)
		switch {
		case l.e.Lost == 0:
			way, lost = "", "none"
			if l.e.Turned.Rank() > l.e.Is.Rank() {
				lost = "not known"
			}
		case l.e.AtMost:
			lost = "up to " + lost
		}
		turns := ""
		if l.e.Turned != l.e.Is {
			turns = l.e.Is.String() + " to " + l.e.Turned.String() + " if " + comparative(l.e.TurnedLarger)
		}
		t.rows = append(t.rows, row{
			named(letter), says(fit(c.name(l.m.Key), small+0.1, 40)), says(c.length(l.m.Value)), says(way), says(lost),
			says(fit(c.about(l.e.ID), small+0.1, 48)), says(turns),
		})
	}
	if len(t.rows) == 0 {
		t.rows = append(t.rows, row{named(""), says("no length has a part"), says(""), says(""), says(""), says(""), says("")})
	}
	return section{title: "Room lost by an error of " + c.step(), note: "what turns a verdict first, then the greatest losses", table: t}
}

func comparative(larger bool) string {
	if larger {
		return "larger"
	}
	return "smaller"
}

// unknown lists the findings for which it is not known.
func (c costs) unknown() section {
	t := table{high: 6.2, columns: []column{{"of", 70}, {head: "why"}}}
	for _, u := range c.t.Unknown {
		t.rows = append(t.rows, row{says(fit(c.about(u.ID), small+0.1, 68)), says(u.Why)})
	}
	return section{title: "Not known: what an error costs here", table: t}
}

// untried lists the measurements that were not looked at when it was stopped.
func (c costs) untried() section {
	t := table{high: 6.2, columns: []column{{width: 9}, {"measurement", 80}, {head: "plan"}}}
	for _, m := range c.t.Stopped() {
		letter := ""
		if k, ok := keyOf(m.Key); ok {
			letter = k.key
		}
		t.rows = append(t.rows, row{named(letter), says(fit(c.name(m.Key), small+0.1, 78)), says(c.length(m.Value))})
	}
	return section{title: "Not looked at: it was stopped before", table: t}
}

// sides of things, by how a plan lists them.
var sizeNames = []string{"width", "depth", "height"}

// name puts a key path into words, with the name of what it is about.
func (c costs) name(key string) string {
	path := strings.Split(key, ".")
	of := path[0]
	path = path[1:]
	index := func(s string) (string, int) {
		name, rest, ok := strings.Cut(s, "[")
		if !ok {
			return s, -1
		}
		i, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
		if err != nil {
			return s, -1
		}
		return name, i
	}
	bodies := func(list []scene.Body) {
		if len(path) > 0 {
			if name, j := index(path[0]); name == "parts" && j >= 0 && j < len(list) {
				of = bodyName(of, list[j])
				path = path[1:]
			}
		}
	}
	faced := false
	if name, i := index(of); name == "equipment" && i >= 0 && i < len(c.s.Equipment) {
		of = c.s.Equipment[i].Name
		bodies(c.s.Equipment[i].Bodies)
	} else if of == "cabinet" && len(path) > 1 {
		switch name, i := index(path[0]); {
		case name == "openings" && i >= 0 && i < len(c.s.Cabinet.Openings):
			of, path = c.s.Cabinet.Openings[i].Name, path[1:]
			faced = c.s.Cabinet.Openings[i].Side != scene.Top
		case name == "fixtures" && i >= 0 && i < len(c.s.Cabinet.Fixtures):
			of, path = c.s.Cabinet.Fixtures[i].Name, path[1:]
			bodies(c.s.Cabinet.Fixtures[i].Bodies)
		}
	} else if of == "sump" && len(path) > 1 {
		if name, i := index(path[0]); name == "baffles" && i >= 0 {
			of, path = fmt.Sprintf("baffle %d", i+1), path[1:]
		}
	}
	var words []string
	for _, p := range path {
		name, i := index(p)
		switch {
		case name == "size" && i == 1 && faced:
			name = "height"
		case name == "size" && i >= 0 && i < len(sizeNames):
			name = sizeNames[i]
		case name == "at" && len(path) > 1:
			name = "from"
		case i >= 0:
			name = fmt.Sprintf("%s %d", name, i+1)
		}
		words = append(words, name)
	}
	return of + ": " + strings.Join(words, " ")
}

// keyOf returns the blank of the sheet that a key path of a plan fills.
func keyOf(path string) (blankKey, bool) {
	// Indices are taken out: the first is that of the thing, where there are several,
	// the next that of its part; that of a size or a list of heights stays.
	var k blankKey
	plain := path
	for _, list := range []struct {
		name string
		to   *int
	}{
		{"cabinet.openings", &k.item},
		{"cabinet.fixtures", &k.item},
		{"equipment", &k.item},
		{"sump.baffles", &k.item},
		{".parts", &k.part},
	} {
		before, rest, ok := strings.Cut(plain, list.name+"[")
		if !ok {
			continue
		}
		number, after, _ := strings.Cut(rest, "]")
		i, err := strconv.Atoi(number)
		if err != nil {
			return k, false
		}
		*list.to = i
		if list.name == ".parts" {
			plain = before + after
		} else {
			plain = before + list.name + after
		}
	}
	name, ok := blanks[plain]
	k.key = name
	return k, ok
}

// blanks are the keys of the sheet's blanks by the key paths of a plan.
var blanks = map[string]string{
	"cabinet.size[0]": "A1", "cabinet.size[1]": "A2", "cabinet.size[2]": "A3", "cabinet.wall": "A4", "cabinet.sides": "A4",
	"cabinet.back": "A5", "cabinet.top": "A6", "cabinet.front": "A7", "cabinet.bottom.up": "A8", "cabinet.bottom.thickness": "A9",

	"room.front": "B1", "room.left": "B2", "room.right": "B3", "room.back": "B4", "room.ceiling": "B5",

	"cabinet.openings.at.left": "C3", "cabinet.openings.at.sill": "C4", "cabinet.openings.at.up": "C4", "cabinet.openings.at.front": "C4",
	"cabinet.openings.size[0]": "C5", "cabinet.openings.size[1]": "C6", "cabinet.openings.door.overlap": "C8",
	"cabinet.openings.door.thickness": "C9", "cabinet.openings.door.clear": "C11", "cabinet.openings.door.hinges.sticks-in": "C13",
	"cabinet.openings.door.hinges.tall": "C14", "cabinet.openings.door.hinges.up[0]": "C15", "cabinet.openings.door.hinges.up[1]": "C15",

	"cabinet.fixtures.size[0]": "D1", "cabinet.fixtures.round": "D1", "cabinet.fixtures.size[1]": "D2", "cabinet.fixtures.size[2]": "D3",
	"cabinet.fixtures.height": "D3", "cabinet.fixtures.at.left": "D4", "cabinet.fixtures.at.right": "D4", "cabinet.fixtures.at.front": "D5",
	"cabinet.fixtures.at.back": "D5", "cabinet.fixtures.at.up": "D6", "cabinet.fixtures.at.down": "D6",

	"display.size[0]": "E1", "display.size[1]": "E2", "display.size[2]": "E3", "display.glass": "E4", "display.water": "E5",
	"display.water.below-top": "E5", "display.drops": "E6", "display.drains-to": "E6", "display.sand.depth": "E7",

	"sump.size[0]": "F1", "sump.size[1]": "F2", "sump.size[2]": "F3", "sump.glass": "F4", "sump.rim.height": "F5", "sump.rim.out": "F6",
	"sump.rim.in": "F7", "sump.at.left": "F8", "sump.at.right": "F8", "sump.at.front": "F9", "sump.at.back": "F9", "sump.level": "F11",
	"sump.baffles.at": "F12", "sump.baffles.top": "F13", "sump.baffles.gap": "F14", "sump.baffles.thickness": "F15",

	"equipment.size[0]": "G1", "equipment.round": "G1", "equipment.size[1]": "G2", "equipment.size[2]": "G3", "equipment.height": "G3",
	"equipment.at.left": "G4", "equipment.at.right": "G4", "equipment.at.front": "G5", "equipment.at.back": "G5", "equipment.at.up": "G6",
	"equipment.at.down": "G6", "equipment.lifts": "G7",
}
