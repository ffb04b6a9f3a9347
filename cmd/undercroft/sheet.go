package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	htmlpage "undercroft/export/page"
	"undercroft/export/view"
	"undercroft/fit/choose"
)

func (a *app) sheetCommand() *cobra.Command {
	var file, demo string
	var limits, help bool
	cmd := &cobra.Command{
		Use:   "sheet PLAN -o FILE.html",
		Short: "Write all of it as one page to open, print and send",
		Long: `Sheet writes one HTML page that needs nothing else and opens without a network:
the verdict first, how the plan was read, what was found with its pictures, the
3D model to turn, cut open and measure in, each way as it was proved, drawings
that print true to scale, water and weight, and the list for the glass shop.`,
		Example: `  undercroft sheet my-cabinet.yaml -o my-cabinet.html
  undercroft sheet --demo fails -o fails.html`,
		Args: cobra.MaximumNArgs(1),
	}
	cmd.Flags().StringVarP(&file, "out", "o", "", "file to write; - for standard output")
	cmd.Flags().Int("width", 0, "most width of its pictures in pixels (default and limit 1200)")
	cmd.Flags().Int("height", 0, "most height of its pictures in pixels (default and limit 900)")
	cmd.Flags().Int("fine", 0, "draw so many times finer and average down, 1 to 4 (default 2)")
	cmd.Flags().BoolVar(&limits, "limits", false, "work out too how large the sump and what stands in it may be, which takes minutes")
	cmd.Flags().BoolVar(&help, "fixes", false, "work out too what would help where it does not fit, which takes its time")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if err := goodName(file, "the sheet is HTML", ".html", ".htm"); err != nil {
			return err
		}
		if (limits || help) && len(args) > 0 && args[0] == fromStdin {
			return wrong(errors.New("--limits and --fixes read the plan twice: name a file"))
		}
		p, report, err := a.checked(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		content := htmlpage.Content{Plan: p.name, Scene: p.scene, Report: report}
		if limits {
			_, base, err := a.base(cmd.Context(), args, demo)
			if err != nil {
				return err
			}
			t, err := tracked(a, func(o choose.Options) (choose.LimitsTable, error) { return base.Limits(cmd.Context(), o) })
			if err != nil {
				return err
			}
			content.Limits = &t
		}
		if help {
			_, d, err := a.draft(cmd.Context(), args, demo, whole)
			if err != nil {
				return err
			}
			l, err := a.help(cmd.Context(), d)
			if err != nil {
				return err
			}
			content.Fixes = &l
		}
		html, err := a.page(cmd.Context(), content)
		if err != nil {
			return err
		}
		if file == fromStdin {
			_, err := a.stdout.Write(html)
			return err
		}
		out := output{file, html, "all of it on one page, to open in a browser"}
		if err := writeWhole(cmd.Context(), out); err != nil {
			return err
		}
		a.written(out)
		return nil
	})
	return cmd
}

// page writes a page, and tells how far it is.
func (a *app) page(ctx context.Context, c htmlpage.Content) ([]byte, error) {
	progress := a.newProgress()
	defer progress.end()
	var html bytes.Buffer
	err := guard(func() error {
		return htmlpage.Write(ctx, &html, c, htmlpage.Options{
			Pictures: view.Options{Width: a.set.Width, Height: a.set.Height, Supersample: a.set.Fine},
			Progress: func(done, of int) { progress.at(fmt.Sprintf("drawing %d of %d", done, of)) },
		})
	})
	return html.Bytes(), err
}
