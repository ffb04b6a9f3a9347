package main

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"undercroft/export/text"
	"undercroft/fit"
	"undercroft/fit/verdict"
)

func (a *app) checkCommand() *cobra.Command {
	var asJSON bool
	var demo, proofs string
	cmd := &cobra.Command{
		Use:   "check [PLAN...]",
		Short: "Does it all go in, and is there room?",
		Long: `Check reads plans, says how it read them, and tells of everything in them
whether it goes in, fits, and with how much room to spare. Without a plan it
checks a demo plan in which everything fits; - is a plan in YAML on standard
input.

  ok      it fits, with the room you want, even if the tape was a little off
  tight   it goes, with less room than you want
  no      it does not go: shown impossible, not just not found
  unsure  not decided, and why; often one measurement settles it

Exit codes: 0 ok or tight, 1 no, 3 unsure, 2 the plan is wrong; the worst of
several plans counts.`,
		Example: `  undercroft check
  undercroft check my-cabinet.yaml
  undercroft check --json *.yaml > verdicts.json
  undercroft check --demo fails
  undercroft check my-cabinet.yaml --proofs shown
  undercroft check --inside 35x17x25 --opening 14.25x22 --sill 1/2 --sump 24x12x16`,
		Args: cobra.ArbitraryArgs,
	}
	flags := cmd.Flags()
	flags.BoolVar(&asJSON, "json", false, "write the verdict file instead of text")
	flags.StringVar(&proofs, "proofs", "", "folder to keep ways and proofs in, for undercroft verify; made where it is not there")
	flags.Bool("all", false, "list every ok, also where there are many")
	flags.Int("jobs", 0, "how many plans to check at once (default: one for each processor)")
	flags.Duration("time", 0, "stop the search for each finding after so long, as 20s; what is then open is unsure")
	flags.Duration("total", 0, "stop the search for all of them after so long (default 30s)")
	planFlags(cmd, &demo)
	sizes := sizeFlags(cmd)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		plans, err := a.asked(cmd.Context(), args, demo, sizes)
		if err != nil {
			return err
		}
		if proofs != "" && len(plans) > 1 {
			return wrong(errors.New("proofs of several plans in one folder: check one plan at a time"))
		}
		reports, err := a.checkAll(cmd.Context(), plans)
		if err != nil {
			return err
		}
		if proofs != "" {
			if err := a.keep(cmd.Context(), proofs, reports[0]); err != nil {
				return err
			}
		}
		a.code = exitCode(reports)
		if asJSON {
			return text.JSON(a.stdout, reports...)
		}
		for i, p := range plans {
			if i > 0 {
				a.printf("\n--------\n\n")
			}
			page := text.Page{Plan: p.name, Read: p.scene.Describe(), Report: reports[i]}
			if i == len(plans)-1 {
				page.Next = next(p, reports[i])
			}
			if err := text.Write(a.stdout, page, a.style()); err != nil {
				return err
			}
		}
		return nil
	})
	return cmd
}

// asked returns what the command line asks to be checked: plans, sizes typed in
// place of a plan, or, where it says nothing, the demo plan.
func (a *app) asked(ctx context.Context, files []string, demo string, sizes *sizes) ([]source, error) {
	if !sizes.given() {
		if len(files) == 0 && demo == "" {
			demo = demoFits
		}
		return a.load(ctx, files, demo)
	}
	if len(files) > 0 || demo != "" {
		return nil, wrong(errors.New("sizes on the command line and a plan at once: leave out one of them"))
	}
	return sizes.load()
}

// checkAll checks plans side by side, as many at once as the settings say.
func (a *app) checkAll(ctx context.Context, plans []source) ([]fit.Report, error) {
	p := a.newProgress()
	defer p.end()
	reports := make([]fit.Report, len(plans))
	var finished atomic.Int64
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(a.set.Jobs)
	for i, plan := range plans {
		g.Go(func() error {
			return guard(func() error {
				if err := ctx.Err(); err != nil {
					return err
				}
				reports[i] = fit.Check(ctx, plan.scene, fit.Options{
					Time: a.set.Time, Total: a.set.Total,
					Progress: func(family string) {
						if len(plans) == 1 {
							p.at(family)
						} else {
							p.at(fmt.Sprintf("%d of %d plans checked", finished.Load(), len(plans)))
						}
					},
				})
				finished.Add(1)
				return ctx.Err() // what an interrupt left undone is not a report
			})
		})
	}
	return reports, g.Wait()
}

// checked reads one plan and checks it.
func (a *app) checked(ctx context.Context, args []string, demo string) (source, fit.Report, error) {
	p, err := a.one(ctx, args, demo)
	if err != nil {
		return p, fit.Report{}, err
	}
	reports, err := a.checkAll(ctx, []source{p})
	if err != nil {
		return p, fit.Report{}, err
	}
	return p, reports[0], nil
}

func (a *app) style() text.Style {
	return text.Style{Width: a.out.width, Colour: a.out.colour, All: a.set.All}
}

// exitCode returns the code of the worst report.
func exitCode(reports []fit.Report) int {
	worst := verdict.OK
	for _, r := range reports {
		worst = verdict.Worst(worst, r.Verdict)
	}
	switch worst {
	case verdict.No:
		return exitNo
	case verdict.Unsure:
		return exitUnsure
	case verdict.OK, verdict.Tight:
	}
	return exitOK
}

// next suggests what to type after a check.
func next(p source, r fit.Report) []text.Command {
	own := text.Command{Line: "undercroft new my-cabinet.yaml", For: "start a plan of your own"}
	if p.typed == "" {
		return []text.Command{own}
	}
	pictures := "see it drawn"
	if r.Verdict != verdict.OK {
		pictures = "see where, each place drawn close up"
	}
	views := text.Command{Line: "undercroft views " + p.typed + " -o pictures", For: pictures}
	switch p.demo {
	case "":
		after := []text.Command{views, {Line: "undercroft model " + p.typed + " -o model.glb", For: "walk round it in 3D"}}
		if r.Verdict == verdict.No || r.Verdict == verdict.Tight {
			after = append([]text.Command{{Line: "undercroft fixes " + p.typed, For: "what would help, the least effort first"}}, after...)
		}
		return after
	case demoFits:
		return []text.Command{{Line: "undercroft check --demo fails", For: "a plan that fails on purpose"}, own}
	}
	return []text.Command{views, own}
}
