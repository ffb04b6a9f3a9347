package text

import (
	"fmt"
	"io"
	"strings"

	"undercroft/fit/fixes"
	"undercroft/fit/verdict"
)

// FixesPage is what the terminal says about what would help a plan.
type FixesPage struct {
	Plan string // what the user called the plan; "" for none
	List fixes.List
	Next []Command
}

// bearsNothing is what is said of a fixture that may hold up the tank.
const bearsNothing = "comes out, and without it this comes out better, but the plan does not say whether it holds up the tank: write bears: no where it does not, and taking it out is offered."

// Fixes writes what would help each check that came out as no or tight, as text for
// a person: the least effort first.
func Fixes(w io.Writer, p FixesPage, st Style) error {
	return written(w, st, "what would help", func(t *table) {
		t.title(p.List.Title, p.Plan)
		t.heading("What would help")
		for _, l := range fixesHead(&p.List) {
			t.line(2, 2, l)
		}
		for i := range p.List.Answers {
			t.helped(&p.List.Answers[i])
		}
		t.list("Mind", p.List.Cautions)
		t.next(p.Next)
	})
}

// fixesHead says in a few lines what the list comes to.
func fixesHead(l *fixes.List) []string {
	helped := 0
	for i := range l.Answers {
		if len(l.Answers[i].Fixes) > 0 {
			helped++
		}
	}
	var out []string
	switch n := len(l.Answers); {
	case n == 0:
		out = append(out, "No check came out as no or tight: there is nothing to change.")
	case helped == 0:
		out = append(out, fmt.Sprintf("%d checks came out as no or tight, and no small change was found that helps.", n))
	default:
		out = append(out, fmt.Sprintf("For %d of %d checks that came out as no or tight a change was found that helps, or a few together where none does by itself. Each was made to the plan and the plan checked from scratch; the least effort comes first.", helped, n))
	}
	if l.Unsure > 0 {
		out = append(out, fmt.Sprintf("Not decided: %d. There a measurement is what helps; undercroft check says which.", l.Unsure))
	}
	if l.Stopped {
		out = append(out, "Stopped before everything was tried: there may be more.")
	}
	return out
}

// helped writes one check and what would help it.
func (t *table) helped(a *fixes.Answer) {
	t.raw("")
	const indent = verdictWidth + 4
	f := &a.Finding
	name := clean(titled(f.ID))
	for i, l := range wrap(name+": "+f.Summary, t.Width-indent) {
		if i == 0 {
			t.raw("  " + t.colour(f.Verdict, pad(f.Verdict.String(), verdictWidth)) + "  " + l)
		} else {
			t.raw(strings.Repeat(" ", indent) + l)
		}
	}
	for i := range a.Fixes {
		x := &a.Fixes[i]
		t.line(indent, indent+2, "• "+x.Text)
		then := "then " + x.After.String()
		if x.Summary != "" {
			then += ": " + x.Summary
		}
		t.line(indent+2, indent+2, then)
		if len(x.Better) > 0 {
			t.line(indent+2, indent+2, "also better: "+changes(x.Better))
		}
		if len(x.Worse) > 0 {
			t.line(indent+2, indent+2, "but worse: "+changes(x.Worse))
		}
		if x.Stand != nil {
			t.line(indent+2, indent+2, "the stand with it: "+x.Stand.String())
		}
		if x.Caution != "" {
			t.line(indent+2, indent+2, x.Caution)
		}
		var edits []string
		for _, e := range x.Edits {
			edits = append(edits, planLine(e.Key, e.Value))
		}
		t.line(indent+2, indent+4, "in the plan: "+strings.Join(edits, "; "))
	}
	if len(a.Fixes) == 0 {
		none := "No small change was found that helps, nor a few together."
		if a.Stopped {
			none = "Stopped before everything was tried: nothing was found by then."
		}
		t.line(indent, indent, none)
	}
	for _, b := range a.Bears {
		t.line(indent, indent, b+" "+bearsNothing)
	}
}

// planLine says what to write into the plan.
func planLine(key, value string) string {
	if value == "" {
		return "take " + key + " out"
	}
	return key + ": " + value
}

// titled says what a check is about, and of which family it is.
func titled(id string) string {
	family, rest, _ := strings.Cut(id, "/")
	rest = strings.ReplaceAll(rest, "/", " – ")
	if g, ok := groups[family]; ok {
		return rest + " (" + strings.ToLower(g) + ")"
	}
	return rest
}

// changes lists checks that say otherwise.
func changes(cs []fixes.Change) string {
	out := make([]string, len(cs))
	for i, c := range cs {
		out[i] = titled(c.ID) + " " + c.Before.String() + " → " + c.After.String()
	}
	return strings.Join(out, ", ")
}

// FixesJSON writes what would help for programs.
func FixesJSON(w io.Writer, l fixes.List) error {
	answers := make([]verdict.Measures, len(l.Answers))
	for i := range l.Answers {
		a := &l.Answers[i]
		offered := make([]verdict.Measures, len(a.Fixes))
		for k := range a.Fixes {
			offered[k] = fixMeasures(&a.Fixes[k])
		}
		answers[i] = verdict.Measures{
			{Key: "id", Value: a.Finding.ID},
			{Key: "verdict", Value: a.Finding.Verdict},
			{Key: "summary", Value: a.Finding.Summary},
			{Key: "fixes", Value: offered},
			{Key: "may_bear", Value: list(a.Bears)},
			{Key: "stopped", Value: a.Stopped},
		}
	}
	return encode(w, verdict.Measures{
		{Key: "format", Value: format},
		{Key: "title", Value: l.Title},
		{Key: "verdict", Value: l.Verdict},
		{Key: "stopped", Value: l.Stopped},
		{Key: "unsure", Value: l.Unsure},
		{Key: "checks", Value: answers},
		{Key: "cautions", Value: list(l.Cautions)},
	})
}

func fixMeasures(x *fixes.Fix) verdict.Measures {
	edits := make([]verdict.Measures, len(x.Edits))
	for i, e := range x.Edits {
		var value any // null takes the key out
		if e.Value != "" {
			value = e.Value
		}
		edits[i] = verdict.Measures{{Key: "key", Value: e.Key}, {Key: "value", Value: value}}
	}
	listed := func(cs []fixes.Change) []verdict.Measures {
		out := make([]verdict.Measures, len(cs))
		for i, c := range cs {
			out[i] = verdict.Measures{
				{Key: "id", Value: c.ID},
				{Key: "before", Value: c.Before},
				{Key: "after", Value: c.After},
				{Key: "summary", Value: c.Summary},
			}
		}
		return out
	}
	var stand any
	if x.Stand != nil {
		stand = *x.Stand
	}
	return verdict.Measures{
		{Key: "effort", Value: x.Effort},
		{Key: "changes", Value: max(1, x.Changes)},
		{Key: "text", Value: x.Text},
		{Key: "edits", Value: edits},
		{Key: "verdict", Value: x.After},
		{Key: "summary", Value: x.Summary},
		{Key: "better", Value: listed(x.Better)},
		{Key: "worse", Value: listed(x.Worse)},
		{Key: "stand", Value: stand},
		{Key: "caution", Value: x.Caution},
	}
}

// Fix says in one sentence what a change is, and what comes of it.
func Fix(x *fixes.Fix) string {
	out := clean(x.Text) + ": then " + x.After.String()
	if len(x.Better) > 0 {
		out += "; also better: " + clean(changes(x.Better))
	}
	if len(x.Worse) > 0 {
		out += "; but worse: " + clean(changes(x.Worse))
	}
	if x.Stand != nil {
		out += "; the stand with it: " + x.Stand.String()
	}
	if x.Caution != "" {
		out += ". " + x.Caution
	}
	return out
}
