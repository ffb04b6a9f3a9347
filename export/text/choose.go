package text

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"undercroft/fit/choose"
	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// ChoosePage is what the terminal says about the sizes that were tried.
type ChoosePage struct {
	Plan  string // what the user called the plan; "" for none
	Table choose.Table
	Next  []Command
}

// Columns of the table of sizes.
const (
	nameColumn   = 12
	longColumn   = 10
	volumeColumn = 9
	bestNamed    = 3
)

// Choose writes which sizes fit, as text for a person.
func Choose(w io.Writer, p ChoosePage, st Style) error {
	return written(w, st, "table of sizes", func(t *table) {
		t.title(p.Table.Title, p.Plan)
		t.heading("What would fit as the sump")
		for _, l := range choiceHead(&p.Table) {
			t.line(2, 2, l)
		}
		t.heading("All sizes, by the water they can hold in use")
		for i := range p.Table.Rows {
			t.size(&p.Table, &p.Table.Rows[i])
		}
		t.writeInto(&p.Table)
		t.list("Assumed", p.Table.Assumed)
		t.list("Mind", p.Table.Cautions)
		t.next(p.Next)
	})
}

// choiceHead says in a few lines what the table comes to.
func choiceHead(t *choose.Table) []string {
	var fit []string
	counts := map[verdict.Verdict]int{}
	for i := range t.Rows {
		r := &t.Rows[i]
		counts[r.Verdict]++
		if (r.Verdict == verdict.OK || r.Verdict == verdict.Tight) && len(fit) < bestNamed {
			fit = append(fit, r.Size.Name+" ("+r.Long.String()+")")
		}
	}
	n := counts[verdict.OK] + counts[verdict.Tight]
	var out []string
	switch {
	case len(t.Rows) == 0:
		out = append(out, "No size was given.")
	case n == 0 && counts[verdict.Unsure] > 0:
		out = append(out, "None of these is shown to fit with all that the plan puts into it; some are not decided.")
	case n == 0:
		out = append(out, "None of these fits with all that the plan puts into it.")
	case n == 1:
		out = append(out, "The one that fits is "+fit[0]+".")
	default:
		out = append(out, fmt.Sprintf("%d of %d ways to put one in fit. The largest: %s.", n, len(t.Rows), strings.Join(fit, ", ")))
	}
	if len(t.With) > 0 {
		out = append(out, "Each was tried beside "+strings.Join(t.With, ", ")+", where the plan has it.")
	}
	out = append(out, "Holds in use: the water inside up to 1 in below the glass top, less what drains down when the pump stops"+drained(t)+".")
	if t.Stopped {
		out = append(out, "Stopped before everything was looked at: what was not is unsure.")
	}
	return out
}

func drained(t *choose.Table) string {
	if t.Drained == nil {
		return " (which the plan does not tell, so nothing is taken off)"
	}
	return " (" + t.Units.Volume(*t.Drained) + ")"
}

// size writes one row.
func (t *table) size(tab *choose.Table, r *choose.Row) {
	volume := "-"
	if r.Usable > 0 {
		volume = tab.Units.Volume(r.Usable)
	}
	head := pad(clean(r.Size.Name), nameColumn) + "  " + pad(r.Long.String(), longColumn) + "  " + pad(volume, volumeColumn) + "  "
	indent := verdictWidth + 4
	text := rowText(tab.Units, r)
	hang := indent + length(head)
	const least = 30 // columns for the words, or they go below
	if t.Width-hang < least {
		t.raw("  " + t.colour(r.Verdict, pad(r.Verdict.String(), verdictWidth)) + "  " + head)
		t.line(indent, indent, text)
		return
	}
	for i, l := range wrap(text, t.Width-hang) {
		if i == 0 {
			t.raw("  " + t.colour(r.Verdict, pad(r.Verdict.String(), verdictWidth)) + "  " + head + l)
			continue
		}
		t.raw(strings.Repeat(" ", hang) + l)
	}
}

// rowText says why a size got its verdict: the worst answer, or how it goes in.
func rowText(u unit.System, r *choose.Row) string {
	var parts []string
	for _, a := range []struct {
		what   string
		answer *choose.Answer
	}{{"does not stand inside: ", r.Stands}, {"", r.Goes}, {"", r.Water}, {"", r.Equipment}} {
		switch {
		case a.answer == nil || a.answer.Text == "":
		case a.answer == r.Goes && r.Verdict != verdict.No:
			parts = append(parts, a.answer.Text)
		case a.answer.Verdict == r.Verdict && r.Verdict != verdict.OK:
			if r.Verdict != verdict.No {
				a.what = ""
			}
			parts = append(parts, a.what+a.answer.Text)
		}
	}
	if r.Running != nil && r.Verdict != verdict.No {
		text := u.Volume(*r.Running) + " in it with the plan's level"
		if r.PumpOff != nil {
			text += ", " + u.Volume(*r.PumpOff) + " with the pump off"
		}
		parts = append(parts, text)
	}
	if r.Size.Price != "" {
		parts = append(parts, "price "+r.Size.Price)
	}
	return strings.Join(parts, "; ")
}

// writeInto shows what to write into the plan for the best size.
func (t *table) writeInto(tab *choose.Table) {
	for i := range tab.Rows {
		r := &tab.Rows[i]
		if r.Verdict != verdict.OK && r.Verdict != verdict.Tight {
			continue
		}
		u := tab.Units
		t.heading("For the largest that fits, write into the plan")
		if r.Size.Stock {
			t.raw("  sump:")
			t.raw("    stock: " + r.Size.Name)
			t.raw("    long: " + r.Long.String())
		} else {
			t.raw("  sump:")
			x, y := r.Along()
			t.raw("    size: [" + strings.Join([]string{u.Length(x), u.Length(y), u.Length(r.Size.High)}, ", ") + "]")
		}
		t.raw("    at: {left: " + u.Fine(r.At[0]) + ", front: " + u.Fine(r.At[1]) + "}")
		return
	}
}

// ChooseCSV writes the table of sizes as CSV, one line for each size and
// direction. A number that is not known is left empty.
func ChooseCSV(w io.Writer, t choose.Table) error {
	out := csv.NewWriter(w)
	records := [][]string{{
		"name", "long", "verdict", "usable_l", "running_l", "pump_off_l", "width_mm", "depth_mm", "height_mm", "glass_mm",
		"way", "spare_low_mm", "spare_high_mm", "left_mm", "front_mm", "stands", "goes", "water", "equipment", "why", "price", "mass_kg", "source",
	}}
	for i := range t.Rows {
		r := &t.Rows[i]
		x, y := r.Along()
		word := func(a *choose.Answer) string {
			if a == nil {
				return ""
			}
			return a.Verdict.String()
		}
		volume := func(v *unit.Volume) string {
			if v == nil {
				return ""
			}
			return number(v.Litres())
		}
		mass := ""
		if r.Size.Mass != nil {
			mass = number(r.Size.Mass.KG())
		}
		records = append(records, []string{
			harmless(r.Size.Name), r.Long.String(), r.Verdict.String(), number(r.Usable.Litres()), volume(r.Running), volume(r.PumpOff),
			number(x.MM()), number(y.MM()), number(r.Size.High.MM()), number(r.Size.Glass.MM()),
			harmless(r.Way), number(r.Spare.Lo.MM()), number(r.Spare.Hi.MM()), number(r.At[0].MM()), number(r.At[1].MM()),
			word(r.Stands), word(r.Goes), word(r.Water), word(r.Equipment), harmless(rowText(t.Units, r)), harmless(r.Size.Price), mass, harmless(r.Size.Source),
		})
	}
	// The cautions go with every output.
	for _, c := range t.Cautions {
		records = append(records, []string{"# " + c})
	}
	if err := out.WriteAll(records); err != nil {
		return fmt.Errorf("table of sizes: %w", err)
	}
	return nil
}

// harmless keeps a spreadsheet from taking text of a plan or a list for a formula.
func harmless(s string) string {
	s = clean(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

// number writes a number rounded to a thousandth; nothing where there is none.
func number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(math.Round(x*1e3)/1e3+0, 'f', -1, 64)
}

// ChooseJSON writes the table of sizes for programs.
func ChooseJSON(w io.Writer, t choose.Table) error {
	sizes := make([]verdict.Measures, len(t.Rows))
	for i := range t.Rows {
		sizes[i] = sizeMeasures(&t.Rows[i])
	}
	return encode(w, verdict.Measures{
		{Key: "format", Value: format},
		{Key: "title", Value: t.Title},
		{Key: "stopped", Value: t.Stopped},
		{Key: "drained_l", Value: litres(t.Drained)},
		{Key: "beside", Value: list(t.With)},
		{Key: "sizes", Value: sizes},
		{Key: "assumed", Value: list(t.Assumed)},
		{Key: "cautions", Value: list(t.Cautions)},
	})
}

func sizeMeasures(r *choose.Row) verdict.Measures {
	x, y := r.Along()
	answer := func(a *choose.Answer) any {
		if a == nil {
			return nil
		}
		return verdict.Measures{{Key: "verdict", Value: a.Verdict}, {Key: "text", Value: a.Text}}
	}
	var mass any
	if r.Size.Mass != nil {
		mass = r.Size.Mass.KG()
	}
	return verdict.Measures{
		{Key: "name", Value: r.Size.Name},
		{Key: "long", Value: r.Long},
		{Key: "verdict", Value: r.Verdict},
		{Key: "usable_l", Value: r.Usable.Litres()},
		{Key: "running_l", Value: litres(r.Running)},
		{Key: "pump_off_l", Value: litres(r.PumpOff)},
		{Key: "size_mm", Value: []float64{x.MM(), y.MM(), r.Size.High.MM()}},
		{Key: "glass_mm", Value: r.Size.Glass.MM()},
		{Key: "at_mm", Value: []float64{r.At[0].MM(), r.At[1].MM()}},
		{Key: "way", Value: r.Way},
		{Key: "spare_low_mm", Value: r.Spare.Lo.MM()},
		{Key: "spare_high_mm", Value: r.Spare.Hi.MM()},
		{Key: "stands", Value: answer(r.Stands)},
		{Key: "goes", Value: answer(r.Goes)},
		{Key: "water", Value: answer(r.Water)},
		{Key: "equipment", Value: answer(r.Equipment)},
		{Key: "price", Value: r.Size.Price},
		{Key: "mass_kg", Value: mass},
		{Key: "source", Value: r.Size.Source},
	}
}

func litres(v *unit.Volume) any {
	if v == nil {
		return nil
	}
	return v.Litres()
}

// encode writes one object for programs.
func encode(w io.Writer, what verdict.Measures) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(what); err != nil {
		return fmt.Errorf("for programs: %w", err)
	}
	return nil
}
