package main_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"

	main "undercroft/cmd/undercroft"
)

// names lists what is in a folder, hidden files too.
func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func content(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestWholeFilesAppearTogether(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	if err := main.WriteWhole(t.Context(), "new", a, b); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"a", "b"}) || content(t, a) != "new" {
		t.Errorf("the folder holds %v, a says %q", got, content(t, a))
	}
}

// TestNothingAppearsWhereOneFails: what was there stays, and nothing half-made
// is left beside it.
func TestNothingAppearsWhereOneFails(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		bad  func(dir string) string
	}{
		{"no such folder", func(dir string) string { return filepath.Join(dir, "none", "x") }},
		{"a folder in its place", func(dir string) string { return dir }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
			if err := os.WriteFile(a, []byte("old"), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := main.WriteWhole(t.Context(), "new", a, b, c.bad(dir)); err == nil {
				t.Fatal("no error where a file cannot be written")
			}
			if got := names(t, dir); !slices.Equal(got, []string{"a"}) || content(t, a) != "old" {
				t.Errorf("the folder holds %v, a says %q; want it as it was", got, content(t, a))
			}
		})
	}
}

func TestAnInterruptWritesNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := main.WriteWhole(ctx, "new", filepath.Join(dir, "a")); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want it stopped", err)
	}
	if got := names(t, dir); len(got) > 0 {
		t.Errorf("the folder holds %v, want nothing", got)
	}
}

func TestQuote(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"my-plan.yaml": "my-plan.yaml",
		"a b.yaml":     "'a b.yaml'",
		"-o":           "'-o'",
		"it's":         `'it'\''s'`,
		"$(x)":         "'$(x)'",
		"":             "''",
	} {
		if got := main.Quote(in); got != want {
			t.Errorf("quote(%q) = %s, want %s", in, got, want)
		}
	}
}

// TestFileName: names of things hold any character, names of files do not.
func TestFileName(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"gap/sump/Drain Stub": "gap-sump-drain-stub",
		`a\b:c*d?"<|>`:        "a-b-c-d",
		"../../etc":           "etc",
		"Übung 1/2":           "übung-1-2",
		"\x00\n":              "",
	} {
		if got := main.FileName(in); got != want {
			t.Errorf("fileName(%q) = %q, want %q", in, got, want)
		}
	}
}
