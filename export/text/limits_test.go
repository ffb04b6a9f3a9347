package text_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"undercroft/export/text"
	"undercroft/fit/choose"
	"undercroft/scene/unit"
)

// What is shown impossible beyond a limit is said for what was shown: of the next step,
// of one farther on, or only of a sump into which nothing reaches.
func TestLimitsSayWhatIsShown(t *testing.T) {
	t.Parallel()
	pipes := []string{"drain", "return"}
	for _, c := range []struct {
		name   string
		beyond unit.Length
		into   []string
		want   string
		reach  []any
	}{
		{"the next step", 505, nil, "shown impossible: 505 mm high", nil},
		{"farther on", 520, nil, "520 mm high (505 mm is not decided)", nil},
		{"nothing", 0, nil, "not shown impossible: wider, deeper, higher", nil},
		{"closed", 0, pipes, "505 mm high without drain or return reaching into it (with it not decided)", []any{"drain", "return"}},
		{"closed, and farther on", 520, pipes[:1], "505 mm high without drain reaching into it (with it 520 mm)", []any{"drain"}},
	} {
		l := choose.Limit{Width: 600, Depth: 400, Height: 500}
		l.Beyond[2], l.Into[2] = c.beyond, c.into
		table := choose.LimitsTable{Units: unit.Millimetres, Step: 5, Sumps: []choose.Limit{l}}
		var out bytes.Buffer
		if err := text.Limits(&out, text.LimitsPage{Table: table}, text.Style{}); err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(strings.Fields(out.String()), " "); !strings.Contains(got, c.want) {
			t.Errorf("%s: want %q in %s", c.name, c.want, got)
		}
		out.Reset()
		if err := text.LimitsJSON(&out, table); err != nil {
			t.Fatal(err)
		}
		var doc struct {
			Sumps []struct {
				With [3]any `json:"next_only_with"`
			} `json:"sumps"`
		}
		if err := json.Unmarshal(out.Bytes(), &doc); err != nil || len(doc.Sumps) != 1 {
			t.Fatal(err, out.String())
		}
		got, _ := doc.Sumps[0].With[2].([]any)
		if len(got) != len(c.reach) || len(got) > 0 && got[0] != c.reach[0] {
			t.Errorf("%s: JSON says %v", c.name, doc.Sumps[0].With)
		}
	}
}
