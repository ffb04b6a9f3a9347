package main

import (
	"io"
	"os"
	"strings"
	"unicode"

	"golang.org/x/term"
)

// terminal is what the program knows of one of its streams.
type terminal struct {
	is     bool
	colour bool // a terminal that shows colours, of a user who wants them
	width  int  // columns; 0 where it is no terminal
}

// widest is how wide text grows on a wide terminal: longer lines read badly.
const widest = 110

// newTerminal looks at w, each stream by itself. NO_COLOR and TERM=dumb turn
// colours off, whatever the settings say.
func newTerminal(w io.Writer) terminal {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return terminal{}
	}
	t := terminal{is: true, colour: os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil {
		t.width = min(width, widest)
	}
	return t
}

// printable replaces control characters, which would steer the terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' {
			return unicode.ReplacementChar
		}
		return r
	}, s)
}
