package page

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undercroft/export/text"
	"undercroft/fit/glass"
	"undercroft/fit/verdict"
)

// An answer is a question that a person comes with, and what was found.
type answer struct {
	Question string
	Verdict  string // its sign; "" for none
	Lines    []string
}

// answers are the questions of the first part of the page.
func (b *builder) answers() []answer {
	var as []answer
	add := func(question, sign string, lines ...string) {
		as = append(as, answer{question, sign, lines})
	}
	b.goesIn(add)
	b.goesAtMost(add)
	if f, ok := b.find("water/fill line"); ok {
		add("Where do the pen marks go?", f.Verdict.String(), f.Summary)
	} else {
		add("Where do the pen marks go?", "", b.missing("water"))
	}
	b.goesWhen(add)
	if l := glass.Cut(b.Scene); len(l.Pieces) > 0 {
		lines := make([]string, len(l.Pieces))
		for i, p := range l.Pieces {
			lines[i] = fmt.Sprintf("%s: %s, %s thick", p.Name, b.Scene.Units.Size(p.Width, p.Height), glass.Name(b.Scene.Units, p.Thickness))
		}
		add("What does the glass shop cut?", "", lines...)
	} else {
		add("What does the glass shop cut?", "", "Nothing: the plan has no baffles. Add sump.baffles for a cut list.")
	}
	b.settles(add)
	return as
}

// goesIn answers for the sump, and for all else that is carried in.
func (b *builder) goesIn(add func(question, sign string, lines ...string)) {
	ways := b.of("passage")
	if len(ways) == 0 {
		add("Does it go in?", "", b.missing("passage"))
		return
	}
	fine := map[verdict.Verdict][]string{}
	for _, f := range ways {
		name := strings.TrimPrefix(f.ID, "passage/")
		switch {
		case name == "sump":
			lines := []string{f.Summary}
			if f.Verdict == verdict.OK || f.Verdict == verdict.Tight {
				if ms := moves(f); len(ms) > 0 {
					lines = append(lines, strings.Join(ms, ", then "))
				}
			}
			add("Does the sump go in?", f.Verdict.String(), lines...)
		case f.Verdict == verdict.OK || f.Verdict == verdict.Tight:
			fine[f.Verdict] = append(fine[f.Verdict], name)
		default:
			add("And "+name+"?", f.Verdict.String(), f.Summary)
		}
	}
	for _, v := range []verdict.Verdict{verdict.OK, verdict.Tight} {
		if len(fine[v]) > 0 {
			add("And the rest?", v.String(), strings.Join(fine[v], ", ")+map[verdict.Verdict]string{
				verdict.OK: ": with the room you want", verdict.Tight: ": with less room than you want",
			}[v])
		}
	}
}

// notWorkedOut stands for how large things may be.
const notWorkedOut = "Not worked out for this page: undercroft sheet does it with --limits, undercroft limits by itself."

// goesAtMost answers how large the sump and what stands in it may be.
func (b *builder) goesAtMost(add func(question, sign string, lines ...string)) {
	const question = "How large may they be?"
	if b.Limits == nil {
		add(question, "", notWorkedOut)
		return
	}
	u := b.Limits.Units
	lines := []string{"No sump was found that goes in."}
	if len(b.Limits.Sumps) > 0 {
		l := &b.Limits.Sumps[0]
		lines[0] = "Largest sump, outside: " + u.Size(l.Width, l.Depth, l.Height)
	}
	for i := range b.Limits.Things {
		lines = append(lines, text.ThingLimit(u, &b.Limits.Things[i]))
	}
	add(question, "", lines...)
}

// goesWhen answers in which order things go in, and what comes out before what.
func (b *builder) goesWhen(add func(question, sign string, lines ...string)) {
	entries := b.order()
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name
	}
	sign, lines := "", []string{strings.Join(names, ", then "), "as the plan says"}
	if f, ok := b.find("service/order"); ok {
		sign, lines[1] = f.Verdict.String(), f.Summary
		if f.Verdict == verdict.No {
			lines = lines[1:] // there is none
		}
	}
	add("In which order?", sign, lines...)

	// Cords and hoses are judged with what comes out, and come out before nothing.
	out := slices.DeleteFunc(b.of("service"), func(f verdict.Finding) bool { return measure(f, "first") == nil })
	if len(out) == 0 {
		add("What comes out before what?", "", b.missing("service"))
		return
	}
	lines = nil
	worst := verdict.OK
	for _, f := range out {
		first, _ := measure(f, "first").([]string)
		switch name := text.Label(f.ID); {
		case f.Verdict == verdict.No:
			lines = append(lines, name+" does not come out")
		case f.Verdict == verdict.Unsure:
			lines = append(lines, "whether "+name+" comes out is not decided")
		case len(first) > 0:
			lines = append(lines, strings.Join(first, ", ")+" before "+name)
		}
		worst = verdict.Worst(worst, f.Verdict)
	}
	if len(lines) == 0 {
		lines = []string{"Nothing has to come out first for anything else."}
	}
	add("What comes out before what?", worst.String(), lines...)
}

// settles answers what to do next: the measurement worth taking again for each
// of the worst findings, or for the least sure where all is ok.
func (b *builder) settles(add func(question, sign string, lines ...string)) {
	bad := slices.DeleteFunc(slices.Clone(b.Report.Checks), func(f verdict.Finding) bool { return f.Verdict == verdict.OK })
	slices.SortStableFunc(bad, func(x, y verdict.Finding) int { return cmp.Compare(y.Verdict.Rank(), x.Verdict.Rank()) })
	const few = 3
	var lines []string
	for _, f := range bad {
		if a := again(f); a != "" && len(lines) < few {
			lines = append(lines, text.About(f.ID)+": "+a)
		}
	}
	switch {
	case len(lines) > 0:
		add("What would settle it?", "", lines...)
	case len(bad) > 0:
		add("What would settle it?", "", "No single measurement: see what was found.")
	default:
		if f, ok := text.LeastSure(b.Report.Checks); ok && f.Again != "" {
			add("What is least sure?", "", text.About(f.ID)+": "+again(f))
		}
	}
}
