package sheet

import (
	"fmt"
	"math"
	"slices"

	"undercroft/fit/verdict"
	"undercroft/scene"
)

// Drawings of what carries the tank share one way to show how hard a member
// works: the number beside it, and hatching that gets denser with it, one line
// every dense mm where it is at its limit. No colour: the number says it.
const (
	dense   = 0.7
	densest = 0.4
	sparse  = 5.0
)

// load returns the distance of hatching for a ratio, 0 for none.
func hatching(ratio float64) float64 {
	if math.IsNaN(ratio) || ratio <= 0 {
		return 0
	}
	return min(max(dense/ratio, densest), sparse)
}

// percent prints a ratio, rounded up so that it never promises more than it is.
func percent(ratio float64) string {
	switch {
	case math.IsNaN(ratio):
		return "not shown"
	case ratio >= 10:
		return "over 999 %"
	}
	return fmt.Sprintf("%.0f %%", math.Ceil(100*ratio-1e-9))
}

// finding returns the finding of that id.
func finding(found verdict.Findings, id string) (verdict.Finding, bool) {
	i := slices.IndexFunc(found.Checks, func(f verdict.Finding) bool { return f.ID == id })
	if i < 0 {
		return verdict.Finding{}, false
	}
	return found.Checks[i], true
}

// measure returns a number of a finding, NaN where it was not shown.
func measure(f verdict.Finding, key string) float64 {
	for _, m := range f.Measures {
		if v, ok := m.Value.(float64); ok && m.Key == key {
			return v
		}
	}
	return math.NaN()
}

// numbers returns a list of numbers of a finding.
func numbers(f verdict.Finding, key string) []float64 {
	for _, m := range f.Measures {
		if v, ok := m.Value.([]float64); ok && m.Key == key {
			return v
		}
	}
	return nil
}

// A carrying is a page about what carries the tank.
type carrying struct {
	s     *scene.Scene
	found verdict.Findings
	scale float64
}

// foot writes the sentences of findings, the key and the cautions, and the title
// block.
func (c *carrying) foot(pg *page, y float64, what, title string, scale string, about []verdict.Finding) {
	p := pg.draw("", border, y)
	at := 4.0
	const last = pageHeight - 2*border - 16
	write := func(bold bool, text string) {
		for _, line := range wrap(text, normal*boldness, bodyWidth) {
			if y+at > border+last {
				return
			}
			if bold {
				p.bold(0, at, normal, left, line)
			} else {
				p.text(0, at, normal, left, line)
			}
			at += 4
		}
	}
	write(false, "The number is what a part has to bear against what it may: up to 90 % ok, up to 100 % tight, over that no. The denser the hatching, the more of it is used.")
	for _, caution := range c.found.Cautions {
		write(true, caution)
	}
	for _, f := range about {
		write(false, f.Verdict.String()+": "+f.Summary)
	}
	block := pg.draw("", border, pageHeight-border-titleHeight)
	block.titleBlock(
		field{"Document", what, 36},
		field{"Title", title, 62},
		field{"Plan", c.s.Title, 56},
		field{"Scale", scale, 18},
		field{"Units", c.s.Units.String(), 14},
	)
}
