package text

import (
	"fmt"
	"io"
	"math"
	"strings"

	"undercroft/fit/place"
	"undercroft/fit/verdict"
)

// PlacePage is what the terminal says about the places that were found.
type PlacePage struct {
	Plan   string // what the user called the plan; "" for none
	Result *place.Result
	Next   []Command
}

// Place writes the places that were found for things that had none, and what cannot
// be had together, as text for a person.
func Place(w io.Writer, p PlacePage, st Style) error {
	return written(w, st, "places", func(t *table) {
		r := p.Result
		t.title(r.Title, p.Plan)
		t.heading("Places")
		for _, l := range placeHead(r) {
			t.line(2, 2, l)
		}
		for i := range r.Placed {
			t.line(2, 4, PlaceLine(r, &r.Placed[i]))
		}
		for _, l := range r.Left {
			t.line(2, 4, l.Name+": no place is looked for, "+l.Why+"; where the plan reads it, it stays")
		}
		if len(r.Apart) > 0 {
			t.heading("What cannot be had together")
			for i := range r.Apart {
				t.line(2, 4, ApartLine(&r.Apart[i]))
			}
		}
		if r.Report != nil {
			t.head(*r.Report)
			for _, f := range r.Open {
				t.line(verdictWidth+4, verdictWidth+6, f.Verdict.String()+": "+About(f.ID)+": "+f.Summary)
			}
		}
		t.list("Mind", r.Cautions)
		t.next(p.Next)
	})
}

// placeHead says in a few lines what was found.
func placeHead(r *place.Result) []string {
	var out []string
	switch {
	case len(r.Placed) == 0 && len(r.Apart) == 0 && !r.Stopped && r.Tried == 0:
		out = append(out, "Everything in the plan that can be given a place has one.")
	case r.Report == nil && r.Stopped:
		out = append(out, "Stopped before places were found. Nothing is written.")
	case r.Report == nil:
		out = append(out, "No places were found for all things that have none. Nothing is written.")
	case r.Stopped:
		out = append(out, "Stopped: the best places so far, of which not everything was looked at. Nothing is written.")
	case !r.Found():
		out = append(out, fmt.Sprintf("Of %s that were tried none came out well, and nothing is written; the best:", count(r.Tried, "place")))
	case r.Verdict == verdict.OK:
		out = append(out, "All checks that hang on these places are ok:")
	default:
		out = append(out, fmt.Sprintf("The best that was found; of the checks that hang on these places the worst is %s:", r.Verdict))
	}
	if r.Found() && !r.Kept {
		out = append(out, "The plan is written anew as YAML: its comments are not kept.")
	}
	return out
}

// PlaceLine says in a line where a thing is to stand.
func PlaceLine(r *place.Result, p *place.Placed) string {
	text := p.Name + ": " + p.At
	if p.Turn != 0 {
		text += fmt.Sprintf(", turned by %d°", p.Turn)
	}
	switch {
	case p.Wall != "":
		text += ", on the " + p.Wall
	case p.On != "":
		text += ", on " + p.On
	case p.Stand > 0:
		text += ", on a stand of " + r.Units.Fine(p.Stand)
	}
	if !math.IsNaN(p.Spare.MM()) {
		text += "; " + r.Units.AtLeast(p.Spare) + " to spare at " + p.Near
	}
	return text
}

// ApartLine says in a line what cannot be had together.
func ApartLine(s *place.Set) string {
	names, one := and(s.Names), len(s.Names) == 1
	var text string
	switch {
	case s.Tight:
		text = names + ": with the room that is wanted, no places were found"
	case s.Shown:
		text = names + ": shown impossible, turned by quarters, each on what it stands on"
	default:
		text = names + ": no places were found"
	}
	if !one && !s.Loose {
		text += "; with any of them left out, the others find places"
	}
	return text
}

// and joins names as people do.
func and(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// PlaceJSON writes the places for programs.
func PlaceJSON(w io.Writer, r *place.Result) error {
	placed := make([]verdict.Measures, len(r.Placed))
	for i := range r.Placed {
		p := &r.Placed[i]
		edits := make([]verdict.Measures, len(p.Edits))
		for k, e := range p.Edits {
			edits[k] = verdict.Measures{{Key: "key", Value: e.Key}, {Key: "value", Value: e.Value}}
		}
		placed[i] = verdict.Measures{
			{Key: "name", Value: p.Name},
			{Key: "edits", Value: edits},
			{Key: "spare_mm", Value: p.Spare.MM()},
			{Key: "near", Value: p.Near},
		}
	}
	left := make([]verdict.Measures, len(r.Left))
	for i, l := range r.Left {
		left[i] = verdict.Measures{{Key: "name", Value: l.Name}, {Key: "why", Value: l.Why}}
	}
	apart := make([]verdict.Measures, len(r.Apart))
	for i, s := range r.Apart {
		apart[i] = verdict.Measures{{Key: "names", Value: s.Names}, {Key: "shown", Value: s.Shown}, {Key: "tight", Value: s.Tight}, {Key: "smallest", Value: !s.Loose}}
	}
	open := make([]verdict.Measures, len(r.Open))
	for i, f := range r.Open {
		open[i] = verdict.Measures{{Key: "id", Value: f.ID}, {Key: "verdict", Value: f.Verdict}, {Key: "summary", Value: f.Summary}}
	}
	var whole any // no places, no verdict
	if r.Report != nil {
		whole = r.Report.Verdict
	}
	return encode(w, verdict.Measures{
		{Key: "format", Value: format},
		{Key: "title", Value: r.Title},
		{Key: "found", Value: r.Found()},
		{Key: "verdict", Value: whole},
		{Key: "places", Value: placed},
		{Key: "left", Value: left},
		{Key: "apart", Value: apart},
		{Key: "open", Value: open},
		{Key: "comments_kept", Value: r.Kept},
		{Key: "tried", Value: r.Tried},
		{Key: "stopped", Value: r.Stopped},
		{Key: "cautions", Value: list(r.Cautions)},
	})
}
