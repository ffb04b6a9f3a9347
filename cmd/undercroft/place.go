package main

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"undercroft/export/text"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/fit/place"
	"undercroft/fit/water"
)

func (a *app) placeCommand() *cobra.Command {
	var asJSON, force bool
	var demo, file, picture string
	cmd := &cobra.Command{
		Use:   "place PLAN [-o FILE.yaml]",
		Short: "Where can things stand that have no place yet?",
		Long: `Place looks for places for the sump and the equipment that have none: no at, nor
from and to. What has a place keeps it. The places are such that all checks come
out as ok, where that can be had, and the least room to spare is largest, to
1/16 in or 1 mm. Things stand along the walls, turned by quarters, on the
cabinet bottom, on shelves or in their chamber; a power strip hangs on a wall,
above the sump's rim and beside its water.

With -o the completed plan is written to a new file: the plan with the places
put in, the rest as it was. What is promised is what the checks say of that file.
Where no places go, nothing is written, and it says what cannot be had together:
shown impossible, or not found.

Exit codes: as for check, of the completed plan; without places 1 where they are
shown impossible, 3 where they were not found.`,
		Example: `  undercroft place my-cabinet.yaml
  undercroft place my-cabinet.yaml -o complete.yaml
  undercroft place my-cabinet.yaml -o complete.yaml --picture complete.png`,
		Args: cobra.MaximumNArgs(1),
	}
	flags := cmd.Flags()
	flags.BoolVar(&asJSON, "json", false, "write the places for programs")
	flags.StringVarP(&file, "out", "o", "", "write the completed plan to this file")
	flags.StringVar(&picture, "picture", "", "draw it from above into this PNG file")
	flags.BoolVar(&force, "force", false, "take the place of a file that is there")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if err := free(file, force); err != nil {
			return err
		}
		p, err := a.one(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		return a.place(cmd.Context(), p, file, picture, asJSON)
	})
	return cmd
}

// free tells whether a completed plan may be written to a file.
func free(file string, force bool) error {
	if file == "" {
		return nil
	}
	if err := goodName(file, "the completed plan is YAML", ".yaml", ".yml"); err != nil {
		return err
	}
	if _, err := os.Lstat(file); err == nil && !force {
		return wrong(fmt.Errorf("%s is there already; --force takes its place", file))
	}
	return nil
}

// place finds places, tells them and writes the completed plan.
func (a *app) place(ctx context.Context, p source, file, picture string, asJSON bool) error {
	r, err := a.places(ctx, p)
	if err != nil {
		return err
	}
	if asJSON {
		err = text.PlaceJSON(a.stdout, r)
	} else {
		err = text.Place(a.stdout, text.PlacePage{Plan: p.name, Result: r, Next: nextAfterPlace(p, r, file)}, a.style())
	}
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		return ctx.Err() // what is known so far is printed
	}
	a.code = placeCode(r)
	var files []output
	if file != "" && r.Found() {
		files = append(files, output{file, r.Text, "the completed plan"})
	}
	if picture != "" && r.Scene != nil {
		subject := view.Of(r.Scene, fit.CautionPlanning, water.Bodies(r.Scene))
		pic, err := view.Understood(subject, view.Options{Width: a.set.Width, Height: a.set.Height, Supersample: a.set.Fine})
		if err != nil {
			return err
		}
		files = append(files, output{picture, pic.PNG, pic.Title})
	}
	if err := writeWhole(ctx, files...); err != nil {
		return err
	}
	if !asJSON {
		a.written(files...)
	}
	return nil
}

// places looks for places, and says on a terminal how far it is.
func (a *app) places(ctx context.Context, p source) (*place.Result, error) {
	bar := a.newProgress()
	defer bar.end()
	return place.Find(ctx, p.file, p.text, place.Options{Progress: func(what string, done, of int) {
		if of == 0 {
			bar.at(what)
			return
		}
		bar.share(fmt.Sprintf("%s: %d of %d", what, done, of), float64(done)/float64(of))
	}})
}

// placeCode returns the exit code of places: that of the completed plan, or why
// there is none.
func placeCode(r *place.Result) int {
	if r.Found() {
		return exitCode([]fit.Report{*r.Report})
	}
	if len(r.Placed) == 0 && r.Tried == 0 && len(r.Apart) == 0 {
		return exitOK // nothing lacks a place
	}
	for _, s := range r.Apart {
		if s.Shown {
			return exitNo
		}
	}
	return exitUnsure
}

func nextAfterPlace(p source, r *place.Result, file string) []text.Command {
	switch {
	case p.typed == "" || r.Stopped:
		return nil
	case r.Found() && file != "":
		return []text.Command{
			{Line: "undercroft check " + quote(file), For: "all checks of the completed plan"},
			{Line: "undercroft views " + quote(file) + " -o pictures", For: "see it drawn"},
		}
	case r.Found():
		return []text.Command{{Line: "undercroft place " + p.typed + " -o complete.yaml", For: "write the completed plan"}}
	}
	return []text.Command{
		{Line: "undercroft limits " + p.typed, For: "how large things may be"},
		{Line: "undercroft fixes " + p.typed, For: "what would help the plan as it is"},
	}
}
