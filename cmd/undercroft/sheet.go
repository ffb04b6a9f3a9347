package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	htmlpage "undercroft/export/page"
	"undercroft/export/view"
	"undercroft/fit"
)

func (a *app) sheetCommand() *cobra.Command {
	var file, demo string
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
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if file == "" {
			return wrong(errors.New("which file? say -o FILE.html"))
		}
		p, err := a.one(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		reports, err := a.checkAll(cmd.Context(), []source{p})
		if err != nil {
			return err
		}
		html, err := a.page(cmd.Context(), p, reports[0])
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

// page writes the page of a plan and its report.
func (a *app) page(ctx context.Context, p source, r fit.Report) ([]byte, error) {
	progress := a.newProgress()
	defer progress.end()
	var html bytes.Buffer
	err := guard(func() error {
		return htmlpage.Write(ctx, &html, htmlpage.Content{Plan: p.name, Scene: p.scene, Report: r}, htmlpage.Options{
			Pictures: view.Options{Width: a.set.Width, Height: a.set.Height, Supersample: a.set.Fine},
			Progress: func(done, of int) { progress.at(fmt.Sprintf("drawing %d of %d", done, of)) },
		})
	})
	return html.Bytes(), err
}
