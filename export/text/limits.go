package text

import (
	"io"
	"strings"

	"undercroft/fit/choose"
	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// LimitsPage is what the terminal says about how large things may be.
type LimitsPage struct {
	Plan  string // what the user called the plan; "" for none
	Table choose.LimitsTable
	Next  []Command
}

// Limits writes how large a sump and what is with it may be, as text for a person,
// with the card to take to the shop.
func Limits(w io.Writer, p LimitsPage, st Style) error {
	return written(w, st, "limits", func(t *table) {
		tab := &p.Table
		u := tab.Units
		t.title(tab.Title, p.Plan)
		t.heading("Largest sumps that go in and stand inside")
		t.line(2, 2, "Outside, rim included: width x depth x height as it stands, to "+u.Fine(tab.Step)+", by the plan's measures as they are. What is a hair smaller is shown to go in and stand, with nothing to spare. After each what is shown impossible: larger in that direction alone.")
		if len(tab.With) > 0 {
			t.line(2, 2, "Beside "+strings.Join(tab.With, ", ")+", where the plan has it.")
		}
		for i := range tab.Sumps {
			t.limit(u, tab.Step, &tab.Sumps[i])
		}
		if len(tab.Sumps) == 0 {
			t.line(2, 2, "None was found.")
		}
		if len(tab.Things) > 0 {
			t.heading("Largest things, with the sump of the plan in place")
			for i := range tab.Things {
				t.line(2, 4, ThingLimit(u, &tab.Things[i]))
			}
		}
		t.heading("Card for the shop")
		for _, l := range Card(tab) {
			t.line(2, 4, l)
		}
		if tab.Stopped {
			t.heading("Stopped before everything was looked at: there may be larger ones.")
		}
		t.list("Assumed", tab.Assumed)
		t.list("Mind", tab.Cautions)
		t.next(p.Next)
	})
}

// limit writes one sump of the frontier.
func (t *table) limit(u unit.System, step unit.Length, l *choose.Limit) {
	text := u.Size(l.Width, l.Depth, l.Height)
	if l.Way != "" {
		text += "  through " + l.Way
	}
	var shown, open []string
	for k, is := range []unit.Length{l.Width, l.Depth, l.Height} {
		what := []string{"wide", "deep", "high"}[k]
		switch next, b := is+step, l.Beyond[k]; {
		case len(l.Into[k]) > 0:
			with := "not decided"
			if b > 0 {
				with = u.Length(b)
			}
			shown = append(shown, u.Length(next)+" "+what+" without "+strings.Join(l.Into[k], " or ")+" reaching into it (with it "+with+")")
		case b == 0:
			open = append(open, []string{"wider", "deeper", "higher"}[k])
		case b < next+step/2:
			shown = append(shown, u.Length(b)+" "+what)
		default:
			shown = append(shown, u.Length(b)+" "+what+" ("+u.Length(next)+" is not decided)")
		}
	}
	if len(shown) > 0 {
		text += "; shown impossible: " + strings.Join(shown, ", ")
	}
	if len(open) > 0 {
		text += "; not shown impossible: " + strings.Join(open, ", ")
	}
	t.line(2, 4, text)
}

// ThingLimit says how large a thing may be, in a line.
func ThingLimit(u unit.System, l *choose.Tallest) string {
	if l.Most == ([3]unit.Length{}) {
		return l.Kind + " (" + l.Thing + "): " + l.Why
	}
	text := "Largest " + l.Kind
	switch l.What {
	case "tall":
		text = "Tallest " + l.Kind
	case "long":
		text = "Longest " + l.Kind
	}
	if l.What == "large" {
		text += ", with a hand on it,"
	}
	text += " of the shape of " + l.Thing + ": " + u.Size(l.Most[0], l.Most[1], l.Most[2])
	if l.Lifts > 0 {
		text += ", of which a part rises " + u.Fine(l.Lifts) + " to come off"
	}
	switch {
	case l.Next == ([3]unit.Length{}):
		text += "; larger is not shown impossible"
	case l.Nearest:
		text += "; " + u.Size(l.Next[0], l.Next[1], l.Next[2]) + " is shown impossible"
	default:
		text += "; " + u.Size(l.Next[0], l.Next[1], l.Next[2]) + " is shown impossible, what lies between is not decided"
	}
	return text + " (it is " + u.Size(l.Is[0], l.Is[1], l.Is[2]) + ")"
}

// cardSumps is how many sumps are on the card for the shop.
const cardSumps = 6

// Card returns the lines of the card for the shop.
func Card(t *choose.LimitsTable) []string {
	u := t.Units
	out := []string{"At most, outside with rim and foot, width x depth x height as it stands; the tape's error (" + u.Fine(t.Tape) + " on each side) is taken off:"}
	for i := range t.Sumps[:min(len(t.Sumps), cardSumps)] {
		l := &t.Sumps[i]
		line := u.Size(l.Card[0], l.Card[1], l.Card[2])
		if l.Easy[0] > 0 && l.Easy[1] > 0 && l.Easy[2] > 0 {
			line += "; " + u.Size(l.Easy[0], l.Easy[1], l.Easy[2]) + " leaves the " + u.Fine(t.Wanted) + " you want on each side"
		}
		out = append(out, line)
	}
	if len(t.Sumps) == 0 {
		out = append(out, "none found")
	}
	return append(out, "A tank that is no larger than one of these in each direction goes in. Measure it in the shop.")
}

// LimitsJSON writes the limits for programs.
func LimitsJSON(w io.Writer, t choose.LimitsTable) error {
	mm := func(ls [3]unit.Length) any {
		if ls == ([3]unit.Length{}) {
			return nil
		}
		return []float64{ls[0].MM(), ls[1].MM(), ls[2].MM()}
	}
	sumps := make([]verdict.Measures, len(t.Sumps))
	for i := range t.Sumps {
		l := &t.Sumps[i]
		beyond, into := make([]any, len(l.Beyond)), make([]any, len(l.Into))
		for k, d := range l.Beyond {
			if d > 0 {
				beyond[k] = d.MM()
			}
			if names := l.Into[k]; len(names) > 0 {
				into[k] = names
			}
		}
		sumps[i] = verdict.Measures{
			{Key: "size_mm", Value: mm([3]unit.Length{l.Width, l.Depth, l.Height})},
			{Key: "way", Value: l.Way},
			{Key: "spare_low_mm", Value: l.Spare.Lo.MM()},
			{Key: "impossible_mm", Value: beyond},
			{Key: "next_only_with", Value: into},
			{Key: "card_mm", Value: mm(l.Card)},
			{Key: "easy_mm", Value: mm(l.Easy)},
		}
	}
	things := make([]verdict.Measures, len(t.Things))
	for i := range t.Things {
		l := &t.Things[i]
		things[i] = verdict.Measures{
			{Key: "thing", Value: l.Thing},
			{Key: "kind", Value: l.Kind},
			{Key: "what", Value: l.What},
			{Key: "size_mm", Value: mm(l.Is)},
			{Key: "most_mm", Value: mm(l.Most)},
			{Key: "impossible_mm", Value: mm(l.Next)},
			{Key: "lifts_mm", Value: l.Lifts.MM()},
			{Key: "why", Value: l.Why},
		}
	}
	return encode(w, verdict.Measures{
		{Key: "format", Value: format},
		{Key: "title", Value: t.Title},
		{Key: "stopped", Value: t.Stopped},
		{Key: "step_mm", Value: t.Step.MM()},
		{Key: "tape_mm", Value: t.Tape.MM()},
		{Key: "wanted_mm", Value: t.Wanted.MM()},
		{Key: "beside", Value: list(t.With)},
		{Key: "sumps", Value: sumps},
		{Key: "things", Value: things},
		{Key: "assumed", Value: list(t.Assumed)},
		{Key: "cautions", Value: list(t.Cautions)},
	})
}
