package page

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undercroft/export/text"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// A place is where a finding is, for the picture that turns.
type place struct {
	Number  int             `json:"number"`
	Title   string          `json:"title"`
	Verdict verdict.Verdict `json:"verdict"`
	Summary string          `json:"summary"`
	Marks   []mark          `json:"marks"`
	Shapes  []string        `json:"shapes"` // names of what is shown with it alone
}

// A mark is a sign of a place: two points in mm in the cabinet's frame.
type mark struct {
	From  [3]float64 `json:"from"`
	To    [3]float64 `json:"to"`
	Parts []string   `json:"parts"`
}

// facts are the data of the page's script.
type facts struct {
	Units  string  `json:"units"`
	Places []place `json:"places"`
}

func (b *builder) facts() facts {
	return facts{b.Scene.Units.String(), append([]place{}, b.places...)}
}

// number gives a number to each place worth looking at: those of findings that
// are not ok, in the order of the report, of the ok that is least sure, and
// where an arm reaches.
func (b *builder) number() {
	b.numberOf = map[int]int{}
	least, sure := text.LeastSure(b.Report.Checks)
	for i, f := range b.Report.Checks {
		worth := f.Verdict != verdict.OK || len(f.Shapes) > 0 || sure && f.ID == least.ID
		if len(f.Marks) == 0 || !worth {
			continue
		}
		p := place{Number: len(b.places) + 1, Title: text.About(f.ID), Verdict: f.Verdict, Summary: f.Summary, Shapes: []string{}}
		for _, part := range f.Shapes {
			p.Shapes = append(p.Shapes, part.Name)
		}
		for _, m := range f.Marks {
			p.Marks = append(p.Marks, mark{
				[3]float64{m.From.X, m.From.Y, m.From.Z}, [3]float64{m.To.X, m.To.Y, m.To.Z}, append([]string{}, m.Parts...),
			})
		}
		b.numberOf[i] = p.Number
		b.places = append(b.places, p)
	}
}

// headline is the verdict in one sentence.
func (b *builder) headline() string { return text.Headline(b.Report) }

// A family is the findings under one heading, the worst first.
type family struct {
	Heading  string
	Findings []finding
}

// A finding is one conclusion on the page.
type finding struct {
	ID      string // in the document
	Verdict verdict.Verdict
	Label   string
	Summary string
	Place   int // its number in the picture that turns; 0 for none
	Again   string
	Helps   []string // changes of the plan that would help
	Figure  *figure
}

func (b *builder) families() []family {
	index := map[string]int{}
	for i, f := range b.Report.Checks {
		index[f.ID] = i
	}
	least, sure := text.LeastSure(b.Report.Checks)
	var out []family
	for _, fs := range text.ByFamily(b.Report.Checks) {
		name, _, _ := strings.Cut(fs[0].ID, "/")
		fam := family{Heading: text.Heading(name)}
		slices.SortStableFunc(fs, func(x, y verdict.Finding) int { return cmp.Compare(y.Verdict.Rank(), x.Verdict.Rank()) })
		for _, f := range fs {
			i := index[f.ID]
			one := finding{
				ID: fmt.Sprintf("finding-%d", i+1), Verdict: f.Verdict, Label: text.Label(f.ID), Summary: f.Summary,
				Place: b.numberOf[i], Figure: b.figures[pictureOf(i)],
			}
			if f.Verdict != verdict.OK || sure && f.ID == least.ID {
				one.Again = again(f)
			}
			one.Helps = b.helps(f.ID)
			fam.Findings = append(fam.Findings, one)
		}
		out = append(out, fam)
	}
	return out
}

// noFixes stands for what would help.
const noFixes = "What would help is not worked out for this page: undercroft sheet does it with --fixes, undercroft fixes by itself."

// helps lists the changes that would help a finding, where that was worked out.
func (b *builder) helps(id string) []string {
	if b.Fixes == nil {
		return nil
	}
	var out []string
	for i := range b.Fixes.Answers {
		a := &b.Fixes.Answers[i]
		if a.Finding.ID != id {
			continue
		}
		for j := range a.Fixes {
			out = append(out, text.Fix(&a.Fixes[j]))
		}
	}
	return out
}

// again says which measurement is worth taking again.
func again(f verdict.Finding) string {
	if f.Again == "" {
		return ""
	}
	return text.Advice(f)
}

// measure returns what a finding holds under a key; nil for nothing.
func measure(f verdict.Finding, key string) any {
	for _, m := range f.Measures {
		if m.Key == key {
			return m.Value
		}
	}
	return nil
}

func moves(f verdict.Finding) []string {
	ms, _ := measure(f, "moves").([]string)
	return ms
}

// of returns the findings whose id starts with a family's name.
func (b *builder) of(family string) []verdict.Finding {
	var fs []verdict.Finding
	for _, f := range b.Report.Checks {
		if strings.HasPrefix(f.ID, family+"/") {
			fs = append(fs, f)
		}
	}
	return fs
}

// find returns the finding of an id.
func (b *builder) find(id string) (verdict.Finding, bool) {
	for _, f := range b.Report.Checks {
		if f.ID == id {
			return f, true
		}
	}
	return verdict.Finding{}, false
}

// A leftOut is a check that lacks data, with all that it lacks.
type leftOut struct {
	What string
	Add  []string
}

// gather lists each check that lacks data once.
func gather(ls []verdict.LeftOut) []leftOut {
	var out []leftOut
	for _, l := range ls {
		what := text.About(l.ID)
		i := slices.IndexFunc(out, func(o leftOut) bool { return o.What == what })
		if i < 0 {
			i = len(out)
			out = append(out, leftOut{What: what})
		}
		out[i].Add = include(out[i].Add, []string{l.Add})
	}
	return out
}

// missing says what to add for the checks of a family, or of one id, to be done.
func (b *builder) missing(id string) string {
	var add []string
	for _, l := range b.Report.LeftOut {
		if l.ID == id || strings.HasPrefix(l.ID, id+"/") {
			add = include(add, []string{l.Add})
		}
	}
	if len(add) == 0 {
		return "Not checked for this plan."
	}
	return "Not checked. Add to the plan: " + strings.Join(add, ", ") + "."
}

// An entry is one thing in the order in which all goes in.
type entry struct {
	Name string
	Ways []way
	Note string
}

// A way is how one piece goes in.
type way struct {
	Piece  string // "" where the thing is one piece
	Moves  []string
	Figure *figure
}

// order lists the things as they go in: in the order that was found to work
// where that was checked, else in that of the plan.
func (b *builder) order() []entry {
	things := b.Scene.Things()
	slices.SortStableFunc(things, func(x, y scene.Thing) int {
		switch {
		case x.Item == nil && y.Item != nil: // the sump first
			return -1
		case x.Item != nil && y.Item == nil:
			return 1
		}
		return cmp.Compare(x.Order, y.Order)
	})
	if names := b.foundOrder(); names != nil {
		at := func(t scene.Thing) int {
			for i, n := range names {
				if n == t.Name || strings.HasPrefix(n, t.Name+"/") {
					return i
				}
			}
			return len(names)
		}
		slices.SortStableFunc(things, func(x, y scene.Thing) int { return cmp.Compare(at(x), at(y)) })
	}
	var out []entry
	for _, t := range things {
		e := entry{Name: t.Name}
		f, checked := b.find("passage/" + t.Name)
		switch {
		case !checked && t.Soft:
			e.Note = "Bends aside: its way in is not checked."
		case !checked:
			e.Note = b.missing("passage")
		case f.Verdict == verdict.No || f.Verdict == verdict.Unsure:
			e.Note = f.Summary
		}
		for _, m := range f.Motions {
			if m.Out {
				continue
			}
			w := way{Moves: withHands(m), Figure: b.figures[stripOf(m)]}
			if len(t.Groups) > 1 {
				w.Piece = piece(t, m)
			}
			e.Ways = append(e.Ways, w)
		}
		out = append(out, e)
	}
	return out
}

// withHands returns the moves of a way, with where the hands are.
func withHands(m scene.Motion) []string {
	moves := slices.Clone(m.Moves)
	for i, h := range m.Hands {
		if h.Text != "" {
			moves[i] += " (" + h.Text + ")"
		}
	}
	return moves
}

// piece names what a motion moves of a thing that goes in as several pieces.
func piece(t scene.Thing, m scene.Motion) string {
	names := make([]string, len(m.Parts))
	for i, p := range m.Parts {
		names[i] = strings.TrimPrefix(p, t.Name+"/")
	}
	return strings.Join(names, " and ")
}

// foundOrder returns the order of installation that was checked; nil for none.
func (b *builder) foundOrder() []string {
	f, ok := b.find("service/order")
	if !ok {
		return nil
	}
	names, _ := measure(f, "order").([]string)
	return names
}
