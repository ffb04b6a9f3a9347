package choose_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/fit/choose"
	"undercroft/fit/verdict"
	"undercroft/scene/plan"
)

// mostUnsure is the share of rows that may stay unsure over the whole set.
const mostUnsure = 0.02

// All trade sizes in every plan there is: few rows stay unsure, and no size is
// said to go in where a smaller one is shown not to. It takes minutes.
func TestSet(t *testing.T) {
	t.Parallel()
	if os.Getenv("UNDERCROFT_SCENES") != "all" {
		t.Skip("set UNDERCROFT_SCENES=all for all trade sizes in all plans")
	}
	var files []string
	for _, of := range []string{"../../testdata/choose", "../../testdata/plans", "../../assets/demo"} {
		more, err := filepath.Glob(of + "/*.yaml")
		if err != nil || len(more) == 0 {
			t.Fatal(of, err)
		}
		files = append(files, more...)
	}
	rows, unsure := 0, 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d, err := plan.NewDraft(file, text)
		if err != nil {
			t.Fatal(err)
		}
		b, err := choose.NewBase(d)
		if err != nil {
			t.Fatal(err)
		}
		table, err := b.Choose(t.Context(), choose.TradeSizes(), choose.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range table.Rows {
			r := &table.Rows[i]
			rows++
			if r.Verdict == verdict.Unsure {
				unsure++
				t.Logf("%s: %s %v is unsure: stands %v, goes %v, water %v, equipment %v", strings.TrimSuffix(filepath.Base(file), ".yaml"),
					r.Size.Name, r.Long, r.Stands, r.Goes, r.Water, r.Equipment)
			}
			for j := range table.Rows {
				s := &table.Rows[j]
				sx, sy := s.Along()
				rx, ry := r.Along()
				trims := s.Size.Rim != nil && r.Size.Rim != nil && s.Size.Rim.OutLong <= r.Size.Rim.OutLong && s.Size.Rim.OutCross <= r.Size.Rim.OutCross
				if shownNot(s) && goes(r) && trims && s.Long == r.Long && sx <= rx && sy <= ry && s.Size.High <= r.Size.High {
					t.Errorf("%s: %s %v goes in, and the smaller %s %v is said not to", file, r.Size.Name, r.Long, s.Size.Name, s.Long)
				}
			}
		}
	}
	t.Logf("%d of %d rows are unsure", unsure, rows)
	if float64(unsure) > mostUnsure*float64(rows) {
		t.Errorf("%d of %d rows are unsure", unsure, rows)
	}
}

func goes(r *choose.Row) bool {
	return r.Goes != nil && (r.Goes.Verdict == verdict.OK || r.Goes.Verdict == verdict.Tight)
}

func shownNot(r *choose.Row) bool { return r.Goes != nil && r.Goes.Verdict == verdict.No }
