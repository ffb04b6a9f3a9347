package reach_test

import (
	"os"
	"path/filepath"
	"testing"

	"undercroft/fit/reach"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
)

// scenes reads the set of scenes that how often an answer is unsure is told by.
func scenes(tb testing.TB) (names []string, all []*scene.Scene) {
	tb.Helper()
	files, err := filepath.Glob("../../testdata/reach/*.yaml")
	if err != nil || len(files) < 60 {
		tb.Fatalf("%d scenes: %v", len(files), err)
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			tb.Fatal(err)
		}
		s, err := plan.Read(f, text)
		if err != nil {
			tb.Fatal(err)
		}
		names, all = append(names, filepath.Base(f)), append(all, s)
	}
	return names, all
}

// BenchmarkScenes answers for every scene of the set and reports the share of
// unsure among them.
func BenchmarkScenes(b *testing.B) {
	names, all := scenes(b)
	unsure := 0
	for b.Loop() {
		unsure = 0
		for i, s := range all {
			for _, p := range s.Places() {
				r := reach.Decide(b.Context(), s, p)
				if r.Verdict == verdict.Unsure {
					unsure++
				}
				if testing.Verbose() {
					b.Logf("%s: %v %.1f %.0f %s%s %v", names[i], r.Verdict, r.Spare.MM(), r.ArmUsed.MM(), r.Way, r.Reason, r.Blocks)
				}
			}
		}
	}
	b.ReportMetric(100*float64(unsure)/float64(len(all)), "%unsure")
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N)/float64(len(all)), "ms/scene")
}
