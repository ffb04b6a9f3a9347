package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"undercroft/export/sheet"
	"undercroft/export/text"
	"undercroft/fit/sensitivity"
	"undercroft/fit/verdict"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

func (a *app) measureCommand() *cobra.Command {
	var file, demo string
	var metric bool
	cmd := &cobra.Command{
		Use:   "measure [PLAN] -o FILE.svg",
		Short: "Write the sheet to take along with the tape measure",
		Long: `Measure writes the measuring sheet: what to measure, in which order, with
lettered drawings and blanks to fill in. Further pages go to FILE-2.svg and so on.
Any browser shows and prints them.

With a plan the blanks show what the plan says, with room to measure again. Those
where an error of 1/16 in (or 1 mm) turns a verdict have a wide frame, and further
pages list how much room each such error costs, and what to measure again. Ctrl-C
while that is looked for writes the sheet with what is known so far.`,
		Example: `  undercroft measure -o sheet.svg
  undercroft measure --metric -o sheet.svg
  undercroft measure my-cabinet.yaml -o sheet.svg`,
		Args: cobra.MaximumNArgs(1),
	}
	cmd.Flags().StringVarP(&file, "out", "o", "", "file to write")
	cmd.Flags().BoolVar(&metric, "metric", false, "blanks in millimetres; a plan brings its own unit")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if err := goodName(file, "the measuring sheet is SVG", ".svg"); err != nil {
			return err
		}
		system := unit.Inches
		if metric {
			system = unit.Millimetres
		}
		ctx := cmd.Context()
		var pages [][]byte
		var err error
		if len(args) > 0 || demo != "" {
			pages, err = a.measureAgain(ctx, args, demo)
			ctx = context.WithoutCancel(ctx) // what is known by then is written
		} else {
			pages, err = sheet.Measure(nil, system)
		}
		if err != nil {
			return err
		}
		files := make([]output, len(pages))
		for i, page := range pages {
			files[i] = output{numbered(file, i+1), page, fmt.Sprintf("measuring sheet, page %d of %d", i+1, len(pages))}
		}
		if err := writeWhole(ctx, files...); err != nil {
			return err
		}
		a.written(files...)
		return cmd.Context().Err()
	})
	return cmd
}

// measureAgain returns the measuring sheet of a plan, with what errors cost, as far as
// that is known when the context ends.
func (a *app) measureAgain(ctx context.Context, args []string, demo string) ([][]byte, error) {
	p, err := a.one(ctx, args, demo)
	if err != nil {
		return nil, err
	}
	reports, err := a.checkAll(ctx, []source{p})
	if err != nil && !errors.Is(err, context.Canceled) {
		return nil, err
	}
	found := reports[0].Checks
	if err != nil { // what is unsure may be so because it was stopped
		found = slices.DeleteFunc(found, func(f verdict.Finding) bool { return f.Verdict == verdict.Unsure })
	}
	d, err := plan.NewDraft(p.file, p.text)
	if err != nil {
		return nil, err
	}
	progress := a.newProgress()
	defer progress.end()
	progress.at("trying errors of the tape")
	t, err := sensitivity.Of(ctx, d, p.scene, found)
	if err != nil {
		return nil, err
	}
	return sheet.MeasureAgain(p.scene, t, found, text.About)
}

// numbered names page n of a file: the first keeps the name.
func numbered(file string, n int) string {
	if n == 1 {
		return file
	}
	ext := filepath.Ext(file)
	return fmt.Sprintf("%s-%d%s", strings.TrimSuffix(file, ext), n, ext)
}
