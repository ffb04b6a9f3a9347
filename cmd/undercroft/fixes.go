package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"undercroft/export/text"
	"undercroft/fit/fixes"
	"undercroft/scene/plan"
)

func (a *app) fixesCommand() *cobra.Command {
	var asJSON bool
	var demo string
	cmd := &cobra.Command{
		Use:   "fixes [PLAN]",
		Short: "What would help where it does not fit?",
		Long: `Fixes looks for small changes that make each check which came out as no or tight
come out better, or for a few together where none does by itself: a door off its
hinges or opened farther, a thing brought in sooner, turned, moved or taken to
pieces, a fixture taken out, a longer cord, another level, baffle or trade size, a
lower sump, thicker glass. Each is made to the plan and the plan checked from
scratch; what is printed is what that check says at least. The least effort comes
first. A change that makes another check come out as no is left out; one that makes
another worse says so.

What holds up the tank is not changed while a filled display stands on it. Where
else it is, the stand is judged again with the change. Have that looked at by a
licensed professional.

The plan itself is not written to. Exit codes: 0 all of it was looked at, whatever
was found, 2 the plan is wrong, 130 stopped by Ctrl-C, after what is known so far.`,
		Example: `  undercroft fixes my-cabinet.yaml
  undercroft fixes --demo fails`,
		Args: cobra.MaximumNArgs(1),
	}
	flags := cmd.Flags()
	flags.BoolVar(&asJSON, "json", false, "write the list for programs")
	flags.Int("jobs", 0, "how many checks to look at side by side (default: one for each processor)")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		p, d, err := a.draft(cmd.Context(), args, demo, whole)
		if err != nil {
			return err
		}
		l, err := a.help(cmd.Context(), d)
		if err != nil {
			return err
		}
		if asJSON {
			err = text.FixesJSON(a.stdout, l)
		} else {
			err = text.Fixes(a.stdout, text.FixesPage{Plan: p.name, List: l, Next: nextAfterFixes(p)}, a.style())
		}
		if err != nil {
			return err
		}
		return cmd.Context().Err() // what is known so far is printed
	})
	return cmd
}

// help looks for what would help, and says on a terminal how far it is.
func (a *app) help(ctx context.Context, d *plan.Draft) (fixes.List, error) {
	p := a.newProgress()
	defer p.end()
	p.at("checking the plan as it is")
	return fixes.Find(ctx, d, fixes.Options{Workers: a.set.Jobs, Progress: func(what string, done, of int) {
		p.share(fmt.Sprintf("%s: %d of %d checks", what, done, of), float64(done)/float64(of))
	}})
}

func nextAfterFixes(p source) []text.Command {
	if p.typed == "" {
		return nil
	}
	return []text.Command{{Line: "undercroft check " + p.typed, For: "all checks of the plan as it is"}}
}
