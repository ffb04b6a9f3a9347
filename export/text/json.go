// Package text writes reports as text: the terminal's table for people, the
// verdict file for programs.
package text

import (
	"encoding/json"
	"fmt"
	"io"

	"undercroft/fit"
	"undercroft/fit/verdict"
)

// format is the version of the verdict file.
const format = 1

// file is the verdict file; fields are written in this order.
type file struct {
	Format   int               `json:"format"`
	Title    string            `json:"title"`
	Verdict  verdict.Verdict   `json:"verdict"`
	Checks   []check           `json:"checks"`
	LeftOut  []verdict.LeftOut `json:"left_out"`
	Cautions []string          `json:"cautions"`
}

type check struct {
	ID       string           `json:"id"`
	Verdict  verdict.Verdict  `json:"verdict"`
	Summary  string           `json:"summary"`
	Measures verdict.Measures `json:"measures"`
	Assumed  []string         `json:"assumed"`
	Source   []string         `json:"source"`
}

// JSON writes the verdict file: one object for one report, an array in the
// order given for several. Lists are never null; a number that was not shown
// is. The same reports give the same bytes.
func JSON(w io.Writer, reports ...fit.Report) error {
	files := make([]file, len(reports))
	for i, r := range reports {
		files[i] = newFile(r)
	}
	var out any = files
	if len(files) == 1 {
		out = files[0]
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(out); err != nil {
		return fmt.Errorf("verdict file: %w", err)
	}
	return nil
}

func newFile(r fit.Report) file {
	f := file{
		Format:   format,
		Title:    r.Title,
		Verdict:  r.Verdict,
		Checks:   make([]check, len(r.Checks)),
		LeftOut:  list(r.LeftOut),
		Cautions: list(r.Cautions),
	}
	for i, c := range r.Checks {
		f.Checks[i] = check{c.ID, c.Verdict, c.Summary, c.Measures, list(c.Assumed), list(c.Source)}
	}
	return f
}

// list returns s, and an empty list for none.
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}
