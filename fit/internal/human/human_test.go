package human_test

import (
	"testing"

	"undercroft/fit/internal/human"
)

// Each figure is in the table, and within what people are like.
func TestFigures(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]struct{ mm, least, most float64 }{
		"hand":              {human.Hand(), 150, 200},
		"grip":              {human.Grip(), 30, 80},
		"forearm":           {human.Fore(), 200, 260},
		"upper arm":         {human.Upper(), 250, 320},
		"radius of forearm": {human.Round("forearm circumference, flexed"), 50, 65},
		"thickness":         {human.Either("hand thickness at palm"), 25, 40},
		"breadth":           {human.Large("hand breadth"), 90, 110},
	} {
		if !(f.mm >= f.least && f.mm <= f.most) {
			t.Errorf("%s: %g mm, want %g to %g", name, f.mm, f.least, f.most)
		}
	}
}
