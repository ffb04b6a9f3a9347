package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"undercroft/export/text"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/fit/choose"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
)

func (a *app) chooseCommand() *cobra.Command {
	var asJSON, asCSV bool
	var dir, demo, file string
	cmd := &cobra.Command{
		Use:   "choose [PLAN]",
		Short: "Which tank would fit as the sump?",
		Long: `Choose tries tanks as the plan's sump, each with its long side from left to
right and from front to back: does it stand inside with the room the plan wants,
does it go in, by which way and with how much to spare, does it take what drains
down, and does what the plan puts into it still fit, come out and get reached?
All common trade sizes are tried, or those of a list in CSV:

  name,size,rim,glass,price,mass
  glass shop 24,24 x 12 x 14,,1/4,80,
  with rim,24 x 12 x 16,1 x 1/8,,,22 lb

size is outside glass, length x width x height; rim its height x how far it
reaches past the glass. The plan need not have a sump. With -o the best three are
drawn.

Exit codes: 0 one fits at least, 1 none does, 3 none is shown to, 2 the plan or
the list is wrong.`,
		Example: `  undercroft choose my-cabinet.yaml
  undercroft choose my-cabinet.yaml --list shop.csv --csv > fits.csv
  undercroft choose --demo fits -o pictures`,
		Args: cobra.MaximumNArgs(1),
	}
	flags := cmd.Flags()
	flags.BoolVar(&asJSON, "json", false, "write the table for programs")
	flags.BoolVar(&asCSV, "csv", false, "write the table as CSV")
	flags.StringVar(&file, "list", "", "try the tanks of this CSV file in place of the trade sizes")
	flags.StringVarP(&dir, "out", "o", "", "folder to draw the best three in")
	flags.Int("jobs", 0, "how many sizes to look at side by side (default: one for each processor)")
	flags.Int("width", 0, "width of each picture in pixels (default 1600)")
	flags.Int("height", 0, "height of each picture in pixels (default 1200)")
	flags.Int("fine", 0, "draw so many times finer and average down, 1 to 4 (default 2)")
	planFlags(cmd, &demo)
	cmd.MarkFlagsMutuallyExclusive("json", "csv")
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		p, base, err := a.base(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		sizes := choose.TradeSizes()
		if file != "" {
			if sizes, err = a.list(cmd.Context(), file, base.Scene()); err != nil {
				return err
			}
		}
		t, err := tracked(a, func(o choose.Options) (choose.Table, error) {
			return base.Choose(cmd.Context(), sizes, o)
		})
		if err != nil {
			return err
		}
		return a.chosen(cmd.Context(), p, t, func() error {
			switch {
			case asJSON:
				return text.ChooseJSON(a.stdout, t)
			case asCSV:
				return text.ChooseCSV(a.stdout, t)
			}
			return text.Choose(a.stdout, text.ChoosePage{Plan: p.name, Table: t, Next: nextAfterChoose(p)}, a.style())
		}, dir)
	})
	return cmd
}

// chosen prints what was found about sizes and draws the best of them. When the
// search was stopped it prints what is known so far.
func (a *app) chosen(ctx context.Context, p source, t choose.Table, show func() error, dir string) error {
	if err := show(); err != nil {
		return err
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	a.code = chosenCode(t)
	if dir == "" {
		return nil
	}
	pictures, err := a.drawBest(ctx, t)
	if err != nil {
		return err
	}
	if len(pictures) == 0 {
		a.say("none of these fits: nothing is drawn (" + p.name + ")")
		return nil
	}
	return a.writePictures(ctx, dir, pictures)
}

// tracked runs work that tells how far it is, with the time left on a terminal.
func tracked[T any](a *app, work func(choose.Options) (T, error)) (T, error) {
	p := a.newProgress()
	defer p.end()
	return work(choose.Options{Workers: a.set.Jobs, Progress: func(what string, done, of int) {
		p.share(fmt.Sprintf("%s: %d of %d", what, done, of), float64(done)/float64(of))
	}})
}

// chosenCode returns the exit code of a table.
func chosenCode(t choose.Table) int {
	code := exitNo
	for i := range t.Rows {
		switch t.Rows[i].Verdict {
		case verdict.OK, verdict.Tight:
			return exitOK
		case verdict.Unsure:
			code = exitUnsure
		case verdict.No:
		}
	}
	return code
}

func nextAfterChoose(p source) []text.Command {
	if p.typed == "" {
		return nil
	}
	return []text.Command{
		{Line: "undercroft choose " + p.typed + " -o pictures", For: "draw the best three"},
		{Line: "undercroft limits " + p.typed, For: "how large a sump can be"},
	}
}

// base reads the plan of a command that changes its sump. It need not have one.
func (a *app) base(ctx context.Context, files []string, demo string) (source, *choose.Base, error) {
	var base *choose.Base
	p, _, err := a.draft(ctx, files, demo, func(d *plan.Draft) (err error) {
		base, err = choose.NewBase(d)
		return err
	})
	if err == nil {
		p.scene = base.Scene()
	}
	return p, base, err
}

// list reads a list of tanks.
func (a *app) list(ctx context.Context, file string, s *scene.Scene) ([]choose.Size, error) {
	data, err := a.readFile(ctx, file, mostPlan)
	if err != nil {
		return nil, err
	}
	sizes, err := choose.ReadList(file, data, s.Units)
	if err != nil {
		return nil, wrong(err)
	}
	return sizes, nil
}

// best is how many sizes are drawn.
const best = 3

// drawBest draws the best sizes: how each stands, and its way in.
func (a *app) drawBest(ctx context.Context, t choose.Table) ([]view.Picture, error) {
	opts := view.Options{Width: a.set.Width, Height: a.set.Height, Supersample: a.set.Fine}
	var out []view.Picture
	for i, drawn := 0, 0; i < len(t.Rows) && drawn < best; i++ {
		r := &t.Rows[i]
		if r.Scene == nil || r.Verdict != verdict.OK && r.Verdict != verdict.Tight {
			continue
		}
		drawn++
		name := r.Size.Name + ", " + r.Long.String()
		s := *r.Scene
		s.Title = strings.TrimPrefix(s.Title+" with "+name, " with ")
		subject := view.Of(&s, fit.CautionPlanning, water.Bodies(&s))
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		pic, err := view.ThreeQuarter(subject, opts)
		if err != nil {
			return nil, err
		}
		pic.Name, pic.Title = "sump "+name, "The cabinet with "+name
		out = append(out, pic)
		for _, f := range r.Report.Checks {
			if f.ID != "passage/sump" || len(f.Motions) == 0 {
				continue
			}
			m := f.Motions[0]
			if pic, err = view.Strip(subject.During(m), m, opts); err != nil {
				return nil, err
			}
			pic.Name, pic.Title = "way in of "+name, "How "+name+" goes in"
			out = append(out, pic)
		}
	}
	return out, nil
}
