package main_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	main "undercroft/cmd/undercroft"
)

// result is what one run of the program left.
type result struct {
	code           int
	stdout, stderr string
}

func runWith(ctx context.Context, stdin io.Reader, args ...string) result {
	var out, err bytes.Buffer
	code := main.Run(ctx, args, stdin, &out, &err)
	return result{code, out.String(), err.String()}
}

func TestAsk(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "mine.yaml")

	// A wrong answer is told and asked again; an empty one takes the default.
	r := runWith(t.Context(), strings.NewReader("in\nCrypt reef\n20 furlongs\n36x18x30\n"+strings.Repeat("\n", 30)), "new", "--ask", file)
	if r.code != 0 || !strings.Contains(r.stdout, "That will not do") {
		t.Fatalf("new --ask: %+v, want a plan after one refused answer", r)
	}
	if text := content(t, file); !strings.Contains(text, "Crypt reef") {
		t.Errorf("the plan says %q, want the title that was given", text)
	}
	if r := runWith(t.Context(), nil, "check", file); r.code == 2 || r.code == 70 {
		t.Errorf("check of the plan: %+v, want a verdict", r)
	}

	// Answers that end too soon write nothing.
	none := filepath.Join(dir, "none.yaml")
	r = runWith(t.Context(), strings.NewReader("in\n"), "new", "--ask", none)
	if r.code != 2 || !strings.Contains(r.stderr, "nothing is written") {
		t.Errorf("answers that end: %+v, want exit code 2", r)
	}
	if got := names(t, dir); len(got) != 1 {
		t.Errorf("the folder holds %v, want the first plan alone", got)
	}
}

func TestSizes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		args []string
		code int
		want string // in either stream
	}{
		{"goes in", []string{"--inside", "35x17x25", "--opening", "30x22", "--sill", "1/2", "--sump", "20x10x11"}, 0, "the sump stands in the middle"},
		{"metric", []string{"--metric", "--inside", "800x400x600", "--opening", "700x500", "--sump", "500x250x300"}, 0, "500 x 250 x 300 mm"},
		{"not a size", []string{"--inside", "35x17", "--sump", "24x12x16"}, 2, "--inside: "},
		{"not a sill", []string{"--inside", "35x17x25", "--opening", "14x22", "--sill", "low", "--sump", "24x12x16"}, 2, "--sill: "},
		{"no sump", []string{"--inside", "35x17x25"}, 2, "needs at least --inside and --sump"},
		{"and a plan", []string{"--inside", "35x17x25", "--sump", "24x12x16", "plan.yaml"}, 2, "leave out one of them"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := runWith(t.Context(), nil, append([]string{"check"}, c.args...)...)
			if r.code != c.code || !strings.Contains(r.stdout+r.stderr, c.want) {
				t.Errorf("check %v: %+v, want code %d and %q", c.args, r, c.code, c.want)
			}
		})
	}
}

// TestManyPlans checks more plans than are checked at once: reports come in the
// order of the plans, the same bytes each time.
func TestManyPlans(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	args := []string{"check", "--json", "--jobs", "3"}
	first := filepath.Join(dir, "first.yaml") // takes longer than the others
	if r := runWith(t.Context(), nil, "new", "--demo", "fits", first); r.code != 0 {
		t.Fatal(r)
	}
	args = append(args, first)
	for _, name := range []string{"second", "third", "fourth"} {
		file := filepath.Join(dir, name+".yaml")
		if err := os.WriteFile(file, bytes.ReplaceAll(quick, []byte("Porch"), []byte(name)), 0o666); err != nil {
			t.Fatal(err)
		}
		args = append(args, file)
	}
	all := runWith(t.Context(), nil, args...)
	if again := runWith(t.Context(), nil, args...); again != all {
		t.Error("the same plans gave other bytes")
	}
	at := 0
	for _, title := range []string{"Hall", "second", "third", "fourth"} {
		i := strings.Index(all.stdout[at:], `"title": "`+title)
		if i < 0 {
			t.Fatalf("no report on the %s plan after byte %d", title, at)
		}
		at += i + 1
	}
}

// TestStopped runs commands in a context that has ended, as an interrupt ends
// it: they say so and write nothing.
func TestStopped(t *testing.T) {
	t.Parallel()
	for _, command := range []string{
		"check", "check --json --demo fits", "check -", "views --demo fits -o OUT", "model --demo fits -o OUT",
		"measure -o OUT", "new OUT", "new --ask OUT",
	} {
		t.Run(command, func(t *testing.T) {
			t.Parallel()
			ctx, stop := context.WithCancel(t.Context())
			stop()
			dir := t.TempDir()
			never, w := io.Pipe() // a terminal at which nobody types
			defer w.Close()       //nolint:errcheck // a pipe in memory
			args := strings.Fields(strings.ReplaceAll(command, "OUT", filepath.Join(dir, "out")))
			r := runWith(ctx, never, args...)
			if r.code != 130 || !strings.Contains(r.stderr, "stopped") || strings.Contains(r.stdout, "{") {
				t.Errorf("%s: %+v, want it stopped with code 130", command, r)
			}
			if got := names(t, dir); len(got) > 0 {
				t.Errorf("%s left %v", command, got)
			}
		})
	}
}

// ending is a context that ends when it was asked for its error so many times, as an
// interrupt in the middle of work ends it.
type ending struct {
	context.Context

	left atomic.Int64
	done chan struct{}
}

func (e *ending) Done() <-chan struct{} { return e.done }

func (e *ending) Err() error {
	switch left := e.left.Add(-1); {
	case left == -1:
		close(e.done)
		return context.Canceled
	case left < 0:
		return context.Canceled
	}
	return nil
}

// TestStoppedMidway stops long work in the middle: what is known by then is told, and
// that it is not all.
func TestStoppedMidway(t *testing.T) {
	t.Parallel()
	for command, told := range map[string]string{
		"measure --demo fails -o OUT/sheet.svg": "Stopped before all of it was looked at",
		"place PLAN -o OUT/complete.yaml":       "Stopped",
		"fixes --demo fails":                    "Stopped",
		"choose --demo fits":                    "Stopped",
		"limits --demo fits":                    "Stopped",
	} {
		t.Run(command, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			file := filepath.Join(dir, "plan.yaml")
			if err := os.WriteFile(file, []byte(unplaced), 0o666); err != nil {
				t.Fatal(err)
			}
			out := filepath.Join(dir, "out")
			if err := os.Mkdir(out, 0o777); err != nil {
				t.Fatal(err)
			}
			ctx := &ending{Context: t.Context(), done: make(chan struct{})}
			ctx.left.Store(40)
			r := runWith(ctx, nil, strings.Fields(strings.NewReplacer("OUT", out, "PLAN", file).Replace(command))...)
			text := r.stdout
			for _, name := range names(t, out) {
				text += content(t, filepath.Join(out, name))
			}
			if r.code != 130 || !strings.Contains(r.stderr, "stopped") || !strings.Contains(text, told) {
				t.Errorf("%s: %+v, want what is known so far, and code 130", command, r)
			}
		})
	}
}

// unplaced is a plan of things without a place.
const unplaced = `
format: 1
units: in
cabinet:
  size: [30, 18, 30]
  wall: 3/4
  openings: [{name: doors, side: front, at: {left: 1, sill: 1/2}, size: [28, 22]}]
sump: {size: [16, 10, 11], glass: 1/4, inlet: left}
equipment:
  - {name: jug, size: [6, 6, 10]}
`

// TestInterrupt sends the signal of Ctrl-C to a process that waits for an
// answer.
func TestInterrupt(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such signal to send")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	program := filepath.Join(dir, "undercroft") // the test binary is the program under this name
	if err := os.Symlink(exe, program); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "out")
	if err := os.Mkdir(out, 0o777); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), program, "new", "--ask", filepath.Join(out, "plan.yaml"))
	stdin, err := cmd.StdinPipe() // stays open: the program waits
	if err != nil {
		t.Fatal(err)
	}
	defer stdin.Close() //nolint:errcheck // Wait closes it too
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := stdout.Read(make([]byte, 1)); err != nil { // it asks, so it listens for signals
		t.Fatal(err)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	late := time.AfterFunc(20*time.Second, func() { cmd.Process.Kill() }) //nolint:errcheck // it may have ended
	defer late.Stop()
	if _, err := io.Copy(io.Discard, stdout); err != nil {
		t.Fatal(err)
	}
	var exit *exec.ExitError
	if err := cmd.Wait(); !errors.As(err, &exit) || exit.ExitCode() != 130 {
		t.Errorf("after Ctrl-C: %v, want exit code 130", err)
	}
	if got := names(t, out); len(got) > 0 {
		t.Errorf("after Ctrl-C the folder holds %v", got)
	}
}

type faulty struct{}

func (faulty) Write([]byte) (int, error) { panic("a planted fault") }

// TestFault: a panic is a fault of the program, told as such, and no verdict.
func TestFault(t *testing.T) {
	t.Parallel()
	var stderr bytes.Buffer
	code := main.Run(t.Context(), []string{"check", filepath.Join("testdata", "quick.yaml")}, nil, faulty{}, &stderr)
	if code != 70 || !strings.Contains(stderr.String(), "a fault in the program: a planted fault") {
		t.Errorf("code %d, %q; want 70 and what happened", code, stderr.String())
	}
}
