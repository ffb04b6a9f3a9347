package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"undercroft/export/sheet"
	"undercroft/export/text"
	"undercroft/fit/choose"
)

func (a *app) limitsCommand() *cobra.Command {
	var asJSON bool
	var demo, file string
	cmd := &cobra.Command{
		Use:   "limits [PLAN]",
		Short: "How large may the sump be, and what stands in it?",
		Long: `Limits looks for the largest sumps that go in and stand inside, to a quarter
inch or 5 mm: each is shown possible, and what is larger in one direction shown
impossible, from the next step on where that can be shown; what is not decided is
said. Where a pipe of the plan would reach into what is larger, it is shown for a
sump into which it does not, and said what is shown with it. All of that is by the
plan's measures as they are; on the card for the shop the tape's error is taken off.
Then for the tallest skimmer, with what must rise to come off, for the longest
heater, and for the largest thing of every other kind in the plan with a hand on it:
with the plan's sump in place.
With -o it writes the card to take to the shop.

Exit codes: 0 a sump was found, 1 none, 2 the plan is wrong.`,
		Example: `  undercroft limits my-cabinet.yaml
  undercroft limits my-cabinet.yaml -o card.svg
  undercroft limits --demo fits --json`,
		Args: cobra.MaximumNArgs(1),
	}
	flags := cmd.Flags()
	flags.BoolVar(&asJSON, "json", false, "write the limits for programs")
	flags.StringVarP(&file, "out", "o", "", "write the card for the shop to this SVG file")
	flags.Int("jobs", 0, "how much to look at side by side (default: one for each processor)")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		ctx := cmd.Context()
		p, base, err := a.base(ctx, args, demo)
		if err != nil {
			return err
		}
		t, err := tracked(a, func(o choose.Options) (choose.LimitsTable, error) { return base.Limits(ctx, o) })
		if err != nil {
			return err
		}
		if asJSON {
			err = text.LimitsJSON(a.stdout, t)
		} else {
			page := text.LimitsPage{Plan: p.name, Table: t}
			if p.typed != "" {
				page.Next = []text.Command{
					{Line: "undercroft limits " + p.typed + " -o card.svg", For: "the card for the shop"},
					{Line: "undercroft choose " + p.typed, For: "which trade sizes fit"},
				}
			}
			err = text.Limits(a.stdout, page, a.style())
		}
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if len(t.Sumps) == 0 {
			a.code = exitNo
		}
		if file == "" {
			return nil
		}
		svg, err := sheet.Card(&t)
		if err != nil {
			return fmt.Errorf("card: %w", err)
		}
		out := output{file, svg, "card for the shop"}
		if err := writeWhole(ctx, out); err != nil {
			return err
		}
		if !asJSON {
			a.written(out)
		}
		return nil
	})
	return cmd
}
