package text

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"undercroft/fit/verdict"
)

// clean replaces what would steer a terminal instead of showing: control
// characters and those that turn the direction of writing.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r),
			r >= '\u202a' && r <= '\u202e',
			r >= '\u2066' && r <= '\u2069':
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

// wrap breaks s into lines of at most width columns at its spaces, and keeps
// a number, its fraction and its unit together. A longer word stands alone.
func wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, w := range words(clean(s)) {
		switch {
		case line == "":
			line = w
		case length(line)+1+length(w) <= width:
			line += " " + w
		default:
			lines = append(lines, line)
			line = w
		}
	}
	return append(lines, line)
}

// glued are the units that stay with the number before them.
var glued = map[string]bool{
	"in": true, "ft": true, "mm": true, "cm": true, "m": true, "lb": true, "kg": true,
	"gal": true, "L": true, "N": true, "kPa": true, "psi": true, "psf": true, "gal/h": true, "L/h": true,
}

// longestNumber bounds what is kept together: no number with its unit is longer.
const longestNumber = 20

// words splits s at its spaces, but not inside "20 1/4 in".
func words(s string) []string {
	var out []string
	for w := range strings.FieldsSeq(s) {
		if n := len(out); n > 0 && isDigit(out[n-1][len(out[n-1])-1]) && len(out[n-1])+1+len(w) <= longestNumber &&
			(isDigit(w[0]) && strings.Contains(w, "/") || glued[strings.TrimRight(w, ".,;:)")]) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// length is how many columns s takes; wide scripts count as one.
func length(s string) int { return utf8.RuneCountInString(s) }

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-length(s)))
}

// Colours of verdicts, from the terminal's own palette, so that its theme
// keeps them readable: blue, yellow, red, magenta. Blue instead of green keeps
// ok and no apart for those who see no red.
var colours = map[verdict.Verdict]string{
	verdict.OK:     "\x1b[34m",
	verdict.Tight:  "\x1b[33m",
	verdict.No:     "\x1b[1;31m",
	verdict.Unsure: "\x1b[35m",
}

const reset = "\x1b[0m"

func (t *table) colour(v verdict.Verdict, s string) string {
	if !t.Colour {
		return s
	}
	return colours[v] + s + reset
}

func (t *table) bold(s string) string {
	if !t.Colour {
		return s
	}
	return "\x1b[1m" + s + reset
}
