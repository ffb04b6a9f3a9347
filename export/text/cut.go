package text

import (
	"fmt"
	"io"
	"strings"

	"undercroft/fit/glass"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// Cut writes the list for the glass shop: each pane with its size and where it
// goes, what all of it weighs, what shops ask for it where the plan says so,
// how each is brought in past rim and braces (glass.Ways), and what to mind.
func Cut(w io.Writer, s *scene.Scene, ways verdict.Findings, st Style) error {
	return written(w, st, "cut list", func(t *table) {
		l := glass.Cut(s)
		t.raw(t.bold(clean(s.Title)))
		t.heading(fmt.Sprintf("For the glass shop: %s", count(len(l.Pieces), "pane")))
		rows := [][]string{{"", "width", "height", "thick", "from the inlet", "lower edge"}}
		for _, p := range l.Pieces {
			up := "on the bottom"
			if p.Raised {
				up = s.Units.Length(p.Up) + " above the bottom"
			}
			rows = append(rows, []string{
				p.Name, s.Units.Length(p.Width), s.Units.Length(p.Height), glass.Name(s.Units, p.Thickness), s.Units.Length(p.At), up,
			})
		}
		t.columns(rows)
		t.raw("")
		t.line(2, 4, fmt.Sprintf("%s of glass, %.2g m² (%.2g sq ft), %.2g m (%.2g ft) of edge to seam; %s off the inside width of %s for the silicone.",
			s.Units.Mass(l.Mass), l.Area, l.Area/squareFoot, l.Edge, l.Edge/foot, s.Units.Length(l.Allowance), s.Units.Length(l.Inside)))
		if prices, _ := glass.Prices(s); len(prices) > 0 {
			head := "What shops ask"
			if s.Shop.Currency != "" {
				head += ", in " + s.Shop.Currency
			}
			t.heading(head)
			rows := [][]string{{"", "glass", "with the rest of the list"}}
			for _, p := range prices {
				rows = append(rows, []string{p.Shop, fmt.Sprintf("%.2f", p.Glass), fmt.Sprintf("%.2f", p.All)})
			}
			t.columns(rows)
		}
		if len(ways.Checks) > 0 {
			t.heading("Bringing them in, glued from the inlet on")
			for _, f := range ways.Checks {
				t.line(2, 4, strings.TrimPrefix(f.ID, "glass/way/")+" ("+f.Verdict.String()+"): "+f.Summary)
			}
		}
		t.list("Assumed, because the plan does not say", l.Assumed)
		t.list("Mind", l.Notes)
	})
}

// In metres.
const (
	foot       = 0.3048
	squareFoot = foot * foot
)

// columns writes rows with each column as wide as its widest cell.
func (t *table) columns(rows [][]string) {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], length(clean(cell)))
		}
	}
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = pad(clean(cell), widths[i])
		}
		t.raw("  " + strings.Join(cells, "  "))
	}
}
