package plan

import (
	_ "embed"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"undercroft/scene/unit"
)

// starter is the plan to fill in: <for inches|for millimetres>, <UNIT>,
// <UNITS>, and a tab before the note at the end of a line.
//
//go:embed starter.yaml
var starter string

var (
	starterBlank  = regexp.MustCompile(`<([^|<>]*)\|([^<>]*)>`)
	starterNumber = regexp.MustCompile(`[0-9]+(\.[0-9]+)?( L/h)?`)
)

// noteColumn is where the notes of the starter plan stand.
const noteColumn = 32

// Starter returns a plan to fill in, with notes on what to measure and how, in
// the given units. It is YAML and reads without an error as it is.
func Starter(sys unit.System) []byte {
	text := strings.NewReplacer("<UNIT>", sys.String(), "<UNITS>", map[unit.System]string{
		unit.Inches: "inches", unit.Millimetres: "millimeters", unit.Centimetres: "centimeters",
	}[sys]).Replace(starter)
	text = starterBlank.ReplaceAllStringFunc(text, func(blank string) string {
		m := starterBlank.FindStringSubmatch(blank)
		switch sys {
		case unit.Inches:
			return m[1]
		case unit.Centimetres:
			return starterNumber.ReplaceAllStringFunc(m[2], inCentimetres)
		case unit.Millimetres:
		}
		return m[2]
	})
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if text, note, found := strings.Cut(line, "\t"); found {
			lines[i] = fmt.Sprintf("%-*s %s", noteColumn-1, text, note)
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// inCentimetres turns a number of millimetres into centimetres; what is no
// length stays.
func inCentimetres(text string) string {
	mm, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return strconv.FormatFloat(mm/10, 'f', -1, 64)
}
