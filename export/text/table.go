package text

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"undercroft/fit"
	"undercroft/fit/verdict"
)

// A Page is what the terminal's table says about one plan.
type Page struct {
	// Plan is what the user called the plan, as a file's name; "" for none.
	Plan string
	// Read is how the plan was understood, a line each.
	Read   []string
	Report fit.Report
	// Next are the commands worth typing next.
	Next []Command
}

// A Command is a line to type and what it is for.
type Command struct{ Line, For string }

// Style is how a table is laid out.
type Style struct {
	Width  int  // columns; 0 stands for 88, and 40 is the least
	Colour bool // colour the verdicts; their words stand there all the same
	All    bool // list every ok, also where there are many
}

// Layout of the table, in columns and lines.
const (
	defaultWidth = 88
	leastWidth   = 40
	verdictWidth = 6  // the longest verdict
	labelWidth   = 26 // a longer label gets a line of its own
	fewOK        = 6  // so many pairs of things that are ok are listed one by one
	namedInHead  = 3  // so many checks are named in the first sentence
)

// manyOK is the family whose ok are many and alike: pairs of things with room
// between them. All others say something of their own.
const manyOK = "gap"

// groups are the families' headings. A family that is not here is headed by
// its own name.
var groups = map[string]string{
	"passage": "Going in",
	"gap":     "Standing inside",
	"service": "Taking out",
	"reach":   "A hand to it",
	"water":   "Water",
	"glass":   "Glass",
	"weight":  "Weight",
	"stand":   "Stand",
	"floor":   "House floor",
}

// Write writes p as text for a person: how the plan was read, the verdict in
// one sentence, the findings by family with the worst first, what was left out
// and what to add, the cautions and the next commands.
//
// Characters that steer a terminal are replaced, wherever they come from.
func Write(w io.Writer, p Page, st Style) error {
	return written(w, st, "table", func(t *table) {
		t.title(p.Report.Title, p.Plan)
		t.read(p.Read)
		t.head(p.Report)
		for _, fs := range ByFamily(p.Report.Checks) {
			t.group(fs)
		}
		t.leastSure(p.Report.Checks)
		t.leftOut(p.Report.LeftOut)
		t.assumed(p.Report.Checks)
		t.list("Mind", p.Report.Cautions)
		t.next(p.Next)
	})
}

// table gathers lines.
type table struct {
	strings.Builder
	Style
}

// written writes the lines that fill gathers; what names them in an error.
func written(w io.Writer, st Style, what string, fill func(*table)) error {
	t := &table{Style: st}
	t.settle()
	fill(t)
	if _, err := io.WriteString(w, t.String()); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}

// settle fills in what the style leaves open.
func (t *table) settle() {
	if t.Width == 0 {
		t.Width = defaultWidth
	}
	t.Width = max(t.Width, leastWidth)
}

// line writes text after an indent, wrapped to the width, further lines
// indented by hang.
func (t *table) line(indent, hang int, text string) {
	for i, l := range wrap(text, t.Width-max(indent, hang)) {
		if i == 0 {
			t.raw(strings.Repeat(" ", indent) + l)
		} else {
			t.raw(strings.Repeat(" ", hang) + l)
		}
	}
}

func (t *table) raw(line string) {
	t.WriteString(strings.TrimRight(line, " "))
	t.WriteByte('\n')
}

func (t *table) heading(text string) {
	t.raw("")
	t.raw(t.bold(text))
}

// title writes what a page is about: the plan's title, and what the user called
// the plan, "" for nothing.
func (t *table) title(title, plan string) {
	title = clean(title)
	if title == "" {
		title = "Untitled plan"
	}
	if plan != "" {
		title += " (" + clean(plan) + ")"
	}
	t.raw(t.bold(title))
}

func (t *table) read(lines []string) {
	t.list("I read", lines)
}

// head writes the verdict in one sentence.
func (t *table) head(r fit.Report) {
	t.heading("Verdict")
	text := Headline(r)
	word := r.Verdict.String()
	lines := wrap(text, t.Width-verdictWidth-4)
	for i, l := range lines {
		if i == 0 {
			t.raw("  " + t.colour(r.Verdict, pad(word, verdictWidth)) + "  " + l)
		} else {
			t.raw(strings.Repeat(" ", verdictWidth+4) + l)
		}
	}
}

// Headline says in one sentence what a report comes to.
func Headline(r fit.Report) string {
	var of [4][]verdict.Finding
	for _, c := range r.Checks {
		of[c.Verdict] = append(of[c.Verdict], c)
	}
	total := count(len(r.Checks), "check")
	switch r.Verdict {
	case verdict.OK:
		return fmt.Sprintf("By your measurements it fits: %s, all ok.", total)
	case verdict.Tight:
		return fmt.Sprintf("By your measurements it goes, but tight in %d of %s: %s.",
			len(of[verdict.Tight]), total, named(of[verdict.Tight]))
	case verdict.No:
		return fmt.Sprintf("Not as planned: no in %d of %s: %s.",
			len(of[verdict.No]), total, named(of[verdict.No]))
	case verdict.Unsure:
		if len(r.Checks) == 0 {
			return "Nothing could be checked; what to add is listed below."
		}
		return fmt.Sprintf("Not decided: %d of %s could not be settled: %s.",
			len(of[verdict.Unsure]), total, named(of[verdict.Unsure]))
	}
	return ""
}

// named names the first few of fs.
func named(fs []verdict.Finding) string {
	var names []string
	for _, f := range fs[:min(len(fs), namedInHead)] {
		names = append(names, About(f.ID))
	}
	if more := len(fs) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}

// About says in plain words what the finding of an id is about, as
// "sump – heater (standing inside)".
func About(id string) string {
	family, _ := split(id)
	return fmt.Sprintf("%s (%s)", Label(id), strings.ToLower(Heading(family)))
}

// group writes the findings of one family, the worst first. Of many pairs that
// are ok only the least sure is told.
func (t *table) group(fs []verdict.Finding) {
	fam, _ := split(fs[0].ID)
	t.heading(Heading(fam))
	for _, v := range []verdict.Verdict{verdict.No, verdict.Unsure, verdict.Tight} {
		for _, f := range fs {
			if f.Verdict == v {
				t.finding(f)
			}
		}
	}
	var ok []verdict.Finding
	for _, f := range fs {
		if f.Verdict == verdict.OK {
			ok = append(ok, f)
		}
	}
	if fam == manyOK && !t.All && len(ok) > fewOK {
		least, sure := LeastSure(ok)
		if sure {
			many := fmt.Sprintf("%d more", len(ok))
			if len(ok) == len(fs) {
				many = fmt.Sprintf("all %d", len(ok))
			}
			t.row(verdict.OK, many, "least sure of these: "+Label(least.ID)+": "+least.Summary)
			return
		}
	}
	for _, f := range ok {
		t.finding(f)
	}
}

// finding writes one finding with what helps a person to act on it.
func (t *table) finding(f verdict.Finding) {
	t.row(f.Verdict, Label(f.ID), f.Summary)
	in := t.textColumn()
	if f.Verdict == verdict.OK || f.Verdict == verdict.Tight {
		for i, m := range moves(f) {
			t.line(in, in+3, fmt.Sprintf("%d. %s", i+1, m))
		}
	}
	if f.Verdict != verdict.OK { // the least sure ok is named once, at the end
		t.again(f, in)
	}
}

// again writes the measurement worth taking again, and what it would turn.
func (t *table) again(f verdict.Finding, indent int) {
	if f.Again != "" {
		t.line(indent, indent+2, "→ "+Advice(f))
	}
}

// Advice is what to measure again, or else to do, to settle a finding, as a sentence.
func Advice(f verdict.Finding) string {
	for _, verb := range []string{"measure ", "allow "} {
		if strings.HasPrefix(f.Again, verb) {
			return strings.ToUpper(verb[:1]) + f.Again[1:]
		}
	}
	return "Measure again: " + f.Again
}

// textColumn is where the sentences of findings begin.
func (t *table) textColumn() int {
	if t.Width < defaultWidth {
		return verdictWidth + 4
	}
	return verdictWidth + 4 + labelWidth
}

// row writes verdict, label and sentence, in columns where they fit.
func (t *table) row(v verdict.Verdict, label, text string) {
	head := "  " + t.colour(v, pad(v.String(), verdictWidth)) + "  "
	label = clean(label)
	in := t.textColumn()
	room := in - verdictWidth - 4
	if length(label)+2 > room {
		t.raw(head + label)
		t.line(in, in, text)
		return
	}
	for i, l := range wrap(text, t.Width-in) {
		if i == 0 {
			t.raw(head + pad(label, room) + l)
		} else {
			t.raw(strings.Repeat(" ", in) + l)
		}
	}
}

// leastSure names, where all is not ok already by a wide margin, which ok
// hangs on the least.
func (t *table) leastSure(fs []verdict.Finding) {
	f, sure := LeastSure(fs)
	if !sure {
		return
	}
	t.heading("Least sure of what is ok")
	t.line(2, 2, About(f.ID)+": "+f.Summary)
	t.again(f, 2)
}

// LeastSure returns the ok finding that is nearest to another verdict.
func LeastSure(fs []verdict.Finding) (verdict.Finding, bool) {
	var least verdict.Finding
	found := false
	for _, f := range fs {
		if f.Verdict != verdict.OK || math.IsNaN(f.Room) {
			continue
		}
		if !found || f.Room < least.Room {
			least, found = f, true
		}
	}
	return least, found
}

// leftOut lists the checks that lack data, each once with all that it lacks.
func (t *table) leftOut(ls []verdict.LeftOut) {
	if len(ls) == 0 {
		return
	}
	t.heading("Left out, and what to add to the plan")
	var ids []string
	add := map[string][]string{}
	width := 0
	for _, l := range ls {
		id := clean(l.ID)
		if add[id] == nil {
			ids = append(ids, id)
			width = max(width, length(id))
		}
		add[id] = append(add[id], l.Add)
	}
	for _, id := range ids {
		lines := wrap(strings.Join(add[id], ", "), t.Width-width-4)
		t.raw("  " + pad(id, width) + "  " + lines[0])
		for _, more := range lines[1:] {
			t.raw(strings.Repeat(" ", width+4) + more)
		}
	}
}

// assumed lists every default that took part in a verdict, once.
func (t *table) assumed(fs []verdict.Finding) {
	var all []string
	for _, f := range fs {
		for _, a := range f.Assumed {
			if !slices.Contains(all, a) {
				all = append(all, a)
			}
		}
	}
	t.list("Assumed, because the plan does not say", all)
}

func (t *table) list(heading string, lines []string) {
	if len(lines) == 0 {
		return
	}
	t.heading(heading)
	for _, l := range lines {
		t.line(2, 4, l)
	}
}

func (t *table) next(cs []Command) {
	if len(cs) == 0 {
		return
	}
	t.heading("Next")
	width := 0
	for _, c := range cs {
		width = max(width, length(c.Line))
	}
	for _, c := range cs {
		if width+4+length(c.For) <= t.Width {
			t.raw("  " + pad(c.Line, width) + "  " + c.For)
			continue
		}
		t.raw("  " + c.Line)
		t.line(6, 6, c.For)
	}
}

// ByFamily splits findings into families, in the order in which each first
// appears.
func ByFamily(fs []verdict.Finding) [][]verdict.Finding {
	at := map[string]int{}
	var out [][]verdict.Finding
	for _, f := range fs {
		fam, _ := split(f.ID)
		i, ok := at[fam]
		if !ok {
			i = len(out)
			at[fam] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], f)
	}
	return out
}

func split(id string) (family, rest string) {
	family, rest, _ = strings.Cut(id, "/")
	return family, cmp.Or(rest, family)
}

// Heading returns what a family of checks is called above its findings.
func Heading(family string) string {
	if g, ok := groups[family]; ok {
		return g
	}
	return family
}

// Label is what a finding is about: names hold no slash, so one separates two.
func Label(id string) string {
	_, rest := split(id)
	return clean(strings.ReplaceAll(rest, "/", " – "))
}

// moves are the steps of a finding: the moves of a way, with where the hands are,
// or an order.
func moves(f verdict.Finding) []string {
	var out, hands []string
	for _, m := range f.Measures {
		ms, ok := m.Value.([]string)
		switch {
		case ok && (m.Key == "moves" || m.Key == "order"):
			out = slices.Clone(ms)
		case ok && m.Key == "hands":
			hands = ms
		}
	}
	for i := range out {
		if i < len(hands) && hands[i] != "" {
			out[i] += " (" + hands[i] + ")"
		}
	}
	return out
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
