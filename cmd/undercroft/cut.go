package main

import (
	"errors"

	"github.com/spf13/cobra"

	"undercroft/export/text"
)

func (a *app) cutCommand() *cobra.Command {
	var demo string
	cmd := &cobra.Command{
		Use:   "cut PLAN",
		Short: "List the panes to have cut for the sump",
		Long: `Cut prints the list for the glass shop: the size of each baffle, where it goes,
and what all of it weighs. Where the plan tells what shops ask, it compares them.`,
		Example: `  undercroft cut my-cabinet.yaml
  undercroft cut --demo fits-metric`,
		Args: cobra.MaximumNArgs(1),
	}
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		p, err := a.one(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		if p.scene.Sump == nil || len(p.scene.Sump.Baffles) == 0 {
			return wrong(errors.New("the plan has no panes to cut: add sump.baffles"))
		}
		return text.Cut(a.stdout, p.scene, a.style())
	})
	return cmd
}
