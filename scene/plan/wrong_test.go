package plan_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"undercroft/scene/plan"
)

var update = flag.Bool("update", false, "write what is said now into testdata; read it before it is kept")

const wrongDir = "../../testdata/wrong"

// A wrongPlan is a plan with a mistake and what is to be said about it.
type wrongPlan struct{ name, text, want string }

// wrongPlans returns the plans of one archive of testdata/wrong: each file is
// followed by one of the name "want NAME".
func wrongPlans(tb testing.TB, archive string) []wrongPlan {
	tb.Helper()
	a, err := txtar.ParseFile(archive)
	if err != nil {
		tb.Fatal(err)
	}
	var out []wrongPlan
	for i := 0; i+1 < len(a.Files); i += 2 {
		f, want := a.Files[i], a.Files[i+1]
		if want.Name != "want "+f.Name {
			tb.Fatalf("%s: after %q stands %q", archive, f.Name, want.Name)
		}
		out = append(out, wrongPlan{f.Name, string(f.Data), string(want.Data)})
	}
	return out
}

func archives(tb testing.TB) []string {
	tb.Helper()
	all, err := filepath.Glob(wrongDir + "/*.txtar")
	if err != nil || len(all) == 0 {
		tb.Fatalf("no archives in %s: %v", wrongDir, err)
	}
	return all
}

// What is wrong with a plan is told where it stands, in words that say what
// would be right.
func TestWrongPlans(t *testing.T) {
	t.Parallel()
	total := 0
	for _, archive := range archives(t) {
		plans := wrongPlans(t, archive)
		total += len(plans)
		for i, p := range plans {
			s, err := plan.Read(p.name, []byte(p.text))
			if err == nil || s != nil {
				t.Errorf("%s reads without an error:\n%s", p.name, p.text)
				continue
			}
			got := err.Error() + "\n"
			if got != p.want && !*update {
				t.Errorf("%s:\n%s\ngot\n%s\nwant\n%s", filepath.Base(archive), p.text, got, p.want)
			}
			plans[i].want = got
			// Every message says what would be right, and no place is beyond the file.
			for line := range strings.Lines(got) {
				if strings.HasPrefix(line, p.name) && strings.Contains(line, ":0:") {
					t.Errorf("%s: no place: %s", p.name, line)
				}
			}
		}
		if *update {
			write(t, archive, plans)
		}
	}
	if total < 100 {
		t.Errorf("%d wrong plans, want at least 100", total)
	}
}

func write(t *testing.T, archive string, plans []wrongPlan) {
	t.Helper()
	a, err := txtar.ParseFile(archive)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range plans {
		a.Files[2*i+1].Data = []byte(p.want)
	}
	if err := os.WriteFile(archive, txtar.Format(a), 0o644); err != nil {
		t.Fatal(err)
	}
}
