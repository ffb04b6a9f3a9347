// Package faulty plants faults in code, and tells whether tests see them: what nothing
// but a small checker vouches for is worth as much as the tests of that.
package faulty

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A Fault is a mistake that might be made.
type Fault struct {
	What    string // in words
	File    string // of the package that is tested
	Was, Is string // what is written there, once, and what is in its place
	Seen    string // the tests that are to fail, as go test -run takes them
}

// Planted plants each fault in the package whose tests run, and fails where its tests do
// not. It takes one of so many, or all where the environment asks for whole sets.
func Planted(t *testing.T, oneOf int, faults []Fault) {
	t.Helper()
	for i, f := range faults {
		if i%oneOf > 0 && os.Getenv("UNDERCROFT_SCENES") != "all" {
			continue
		}
		t.Run(f.What, func(t *testing.T) {
			out, failed := f.run(t)
			switch {
			case !failed:
				t.Errorf("nobody sees it:\n%s", out)
			case strings.Contains(out, "[build failed]") || !strings.Contains(out, "--- FAIL") && !strings.Contains(out, "panic:"):
				t.Errorf("not run:\n%s", out)
			}
		})
	}
}

// run runs the tests that are to see a fault, in place of the code without it.
func (f *Fault) run(t *testing.T) (out string, failed bool) {
	t.Helper()
	path, err := filepath.Abs(f.File)
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(source), f.Was); n != 1 {
		t.Fatalf("%s has %q %d times", f.File, f.Was, n)
	}
	dir := t.TempDir()
	planted, overlay := filepath.Join(dir, "planted.go"), filepath.Join(dir, "overlay.json")
	replace, err := json.Marshal(map[string]map[string]string{"Replace": {path: planted}})
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string]string{planted: strings.Replace(string(source), f.Was, f.Is, 1), overlay: string(replace)} {
		if err := os.WriteFile(name, []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.CommandContext(t.Context(), "go", "test", "-overlay", overlay, "-vet=off", "-failfast", "-timeout=3m", "-run", f.Seen, ".")
	b, err := cmd.CombinedOutput()
	return string(b), err != nil
}
