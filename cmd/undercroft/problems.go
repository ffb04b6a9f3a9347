package main

import (
	"fmt"
	"io"
	"strings"

	"undercroft/scene/plan"
)

// problems is everything that is wrong with the plans of a run.
type problems struct {
	errs  plan.Errors
	lines map[string][]string // of each file, to show where
}

func (p *problems) Error() string { return p.errs.Error() }

// add takes up what is wrong with one file.
func (p *problems) add(file string, text []byte, errs plan.Errors) {
	if p.lines == nil {
		p.lines = map[string][]string{}
	}
	p.lines[file] = strings.Split(string(text), "\n")
	p.errs = append(p.errs, errs...)
}

// write tells every problem with the line it stands on, a caret under the
// place, the other places that take part and a hint.
func (p *problems) write(w io.Writer, colour bool) {
	var b strings.Builder
	for _, e := range p.errs {
		head := fmt.Sprintf("%s:%d:%d: ", e.File, e.Line, e.Column)
		if e.Key != "" {
			head += e.Key + ": "
		}
		b.WriteString(bold(printable(head), colour) + printable(e.Message) + "\n")
		p.excerpt(&b, e.File, e.Place)
		for _, also := range e.Also {
			fmt.Fprintf(&b, "  see %s:%d:%d: %s\n", printable(e.File), also.Line, also.Column, printable(also.Key))
			p.excerpt(&b, e.File, also)
		}
		if e.Hint != "" {
			b.WriteString("  hint: " + printable(e.Hint) + "\n")
		}
	}
	files := ""
	if len(p.lines) > 1 {
		files = fmt.Sprintf(" in %d files", len(p.lines))
	}
	if len(p.errs) > 1 || files != "" {
		fmt.Fprintf(&b, "%d errors%s; nothing was checked\n", len(p.errs), files)
	}
	_, _ = io.WriteString(w, b.String()) // nowhere is left to say that stderr is gone
}

// longest is how much of a line an excerpt shows.
const longest = 100

// excerpt shows the line of a place, with a caret under its column.
func (p *problems) excerpt(b *strings.Builder, file string, at plan.Place) {
	lines := p.lines[file]
	if at.Line < 1 || at.Line > len(lines) {
		return
	}
	line := []rune(strings.ReplaceAll(printable(strings.TrimSuffix(lines[at.Line-1], "\r")), "\t", " "))
	column := max(at.Column-1, 0)
	if column > len(line) || strings.TrimSpace(string(line)) == "" {
		return
	}
	if column > longest { // show the place, not the beginning
		cut := column - longest/2
		line, column = line[cut:], column-cut
	}
	number := fmt.Sprintf("%6d | ", at.Line)
	b.WriteString(number + strings.TrimRight(string(line[:min(len(line), longest)]), " ") + "\n")
	b.WriteString(strings.Repeat(" ", len(number)-2) + "| " + strings.Repeat(" ", column) + "^\n")
}

func bold(s string, colour bool) string {
	if !colour {
		return s
	}
	return "\x1b[1m" + s + "\x1b[0m"
}
