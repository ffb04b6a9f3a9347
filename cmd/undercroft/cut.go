package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"undercroft/export/sheet"
	"undercroft/export/text"
	"undercroft/fit/glass"
)

func (a *app) cutCommand() *cobra.Command {
	var dir, demo string
	cmd := &cobra.Command{
		Use:   "cut PLAN",
		Short: "List the panes to have cut for the sump",
		Long: `Cut prints the list for the glass shop: the size of each baffle, where it goes,
what all of it weighs, and how each is brought in past the rim and what is glued
in before it. Where the plan tells what shops ask, it compares them.
With -o it also writes sheets to print: the list, a drawing of each pane, and a
full-size strip that shows where each baffle goes.`,
		Example: `  undercroft cut my-cabinet.yaml
  undercroft cut my-cabinet.yaml -o glass
  undercroft cut --demo fits-metric`,
		Args: cobra.MaximumNArgs(1),
	}
	cmd.Flags().StringVarP(&dir, "out", "o", "", "folder to write sheets to, as SVG")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		p, err := a.one(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		if p.scene.Sump == nil || len(p.scene.Sump.Baffles) == 0 {
			return wrong(errors.New("the plan has no panes to cut: add sump.baffles"))
		}
		ctx := cmd.Context()
		if a.set.Total > 0 { // 0: as long as it takes
			var done context.CancelFunc
			ctx, done = context.WithTimeout(ctx, a.set.Total)
			defer done()
		}
		ways := glass.Ways(ctx, p.scene)
		if err := cmd.Context().Err(); err != nil {
			return err
		}
		if err := text.Cut(a.stdout, p.scene, ways, a.style()); err != nil || dir == "" {
			return err
		}
		pages, err := sheet.Cut(p.scene, glass.Cut(p.scene))
		if err != nil {
			return err
		}
		files := make([]output, len(pages))
		for i, page := range pages {
			files[i] = output{filepath.Join(dir, fmt.Sprintf("glass-%d.svg", i+1)), page, fmt.Sprintf("sheet %d of %d", i+1, len(pages))}
		}
		if err := writeFolder(cmd.Context(), dir, files); err != nil {
			return err
		}
		a.printf("\n")
		a.written(files...)
		return nil
	})
	return cmd
}
