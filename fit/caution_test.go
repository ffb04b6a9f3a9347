package fit_test

import (
	"strings"
	"testing"

	"undercroft/fit"
	"undercroft/scene"
)

// A picture says what there is to mind at its place, in the words of the report.
func TestCautionsOfPictures(t *testing.T) {
	t.Parallel()
	report := strings.Join(fit.Cautions(&scene.Scene{Sump: &scene.Sump{}}), "\n")
	for id, want := range map[string]string{
		"passage/sump":      "lifted by two people",
		"service/sump":      "never lift it by its rim",
		"service/skimmer":   "plugs out",
		"reach/heater dial": "plugs out",
		"water/pump off":    "cut the pump's power on purpose",
		"gap/sump/heater":   "",
		"passage/skimmer":   "",
	} {
		got := fit.CautionAt(id)
		rest, found := strings.CutPrefix(got, fit.CautionPlanning)
		if !found || !strings.Contains(got, want) || want == "" && rest != "" {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
		for s := range strings.SplitSeq(strings.TrimSpace(rest), ". ") {
			if !strings.Contains(report, s) {
				t.Errorf("%s: %q is not in the report", id, s)
			}
		}
	}
}
