package main_test

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A block is a fenced block of the README.
type block struct {
	language, text string
	line           int
}

func blocks(text string) []block {
	var out []block
	inside := false
	for i, line := range strings.Split(text, "\n") {
		fence, is := strings.CutPrefix(line, "```")
		switch {
		case is && !inside:
			out = append(out, block{language: fence, line: i + 1})
			inside = true
		case is:
			inside = false
		case inside:
			out[len(out)-1].text += line + "\n"
		}
	}
	return out
}

// TestReadme does what the README says from top to bottom, in a fresh folder.
// Blocks of sh are commands; those of console are commands after a $ with what
// they print, where a line of … stands for any lines; a block of yaml that
// begins with "# FILE" is a plan of that name.
func TestReadme(t *testing.T) {
	t.Parallel()
	readme := content(t, filepath.Join("..", "..", "README.md"))
	bin, dir := t.TempDir(), t.TempDir()
	install := exec.CommandContext(t.Context(), "go", "install", "./cmd/undercroft")
	install.Dir, install.Env = filepath.Join("..", ".."), append(os.Environ(), "GOBIN="+bin)
	if out, err := install.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", install, err, out)
	}
	env := append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"), "HOME="+dir, "XDG_CONFIG_HOME="+dir,
		"UNDERCROFT_WIDTH=400", "UNDERCROFT_HEIGHT=320", "UNDERCROFT_FINE=1") // small pictures are soon drawn
	commands := 0
	do := func(line string, codes ...int) string {
		commands++
		cmd := exec.CommandContext(t.Context(), "sh", "-c", line)
		cmd.Dir, cmd.Env = dir, env
		out, err := cmd.CombinedOutput()
		var exit *exec.ExitError
		if errors.As(err, &exit) && slices.Contains(codes, exit.ExitCode()) {
			err = nil
		}
		if err != nil {
			t.Errorf("%s: %v\n%s", line, err, out)
		}
		return string(out)
	}
	for _, b := range blocks(readme) {
		switch b.language {
		case "sh":
			for line := range strings.Lines(b.text) {
				// From the folder of the sources it is the same program; the tests run here.
				if args, ok := strings.CutPrefix(line, "go run ./cmd/undercroft "); ok {
					line = "undercroft " + args
				}
				if strings.HasPrefix(line, "undercroft ") {
					do(line, 1, 3) // verdicts
				}
			}
		case "console":
			for _, part := range strings.Split("\n"+b.text, "\n$ ")[1:] {
				line, want, _ := strings.Cut(part, "\n")
				if got := do(line, 1, 2, 3); !same(got, want) {
					t.Errorf("README.md:%d: %s prints\n%s\nand the README shows\n%s", b.line, line, got, want)
				}
			}
		case "yaml":
			if name, is := strings.CutPrefix(b.text, "# "); is {
				name, _, _ = strings.Cut(name, "\n")
				if err := os.WriteFile(filepath.Join(dir, name), []byte(b.text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		case "text": // a drawing
		default:
			t.Errorf("README.md:%d: a block of %q is neither run nor read", b.line, b.language)
		}
	}
	if commands < 5 {
		t.Errorf("the README has %d commands: is it read right?", commands)
	}
}

// same reports whether got is what the README shows.
func same(got, want string) bool {
	pattern := regexp.QuoteMeta(strings.TrimRight(want, "\n"))
	pattern = regexp.MustCompile(`(?m)^ *…$`).ReplaceAllString(pattern, `(?s:.*)`)
	return regexp.MustCompile(`^` + pattern + `\n*$`).MatchString(got)
}

// TestSame: the comparison of the README tells what differs.
func TestSame(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		got, want string
		same      bool
	}{
		{"a\nb\nc\n", "a\n…\nc\n", true},
		{"a\nb\nc\n", "a\nb\nc\n", true},
		{"a\nb\nc\n", "a\nb\n", false},
		{"a\nb\nc\n", "…\nb (x)\n…\n", false},
		{"1/2 in.\n", "1/2 inx\n", false},
	} {
		if same(c.got, c.want) != c.same {
			t.Errorf("same(%q, %q) is %v", c.got, c.want, !c.same)
		}
	}
}
