package passage_test

import (
	"strings"
	"testing"

	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// A cube that is too wide for the hole by less than the tape may be off: as measured it
// does not go in, and nobody can say more.
func TestTooLargeAsMeasured(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name       string
		tape, over float64
		want       verdict.Verdict
		shown      bool // not to go in as measured
	}{
		{"within the tape", 2, 1, verdict.Unsure, true},
		{"by more than the tape", 2, 5, verdict.No, true},
		{"no tape", 0, 1, verdict.No, true},
		{"smaller than the hole", 2, -1, verdict.Tight, false},
	} {
		s := with(cabinet(300, 300), 300+c.over, 300+c.over, 300+c.over)
		s.Tape = unit.Length(c.tape)
		w := sumpJob(s).Decide(t.Context())
		if w.Verdict != c.want || (w.Margin.Hi < 0) != c.shown {
			t.Errorf("%s: %v, %v (%s)", c.name, w.Verdict, w.Margin, w.Reason)
		}
		if told := strings.Contains(w.Reason, "as measured"); told != (c.want == verdict.Unsure) {
			t.Errorf("%s: said %q", c.name, w.Reason)
		}
	}
}
