package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"undercroft/export/sheet"
	"undercroft/export/text"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/fit/floor"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
)

func (a *app) viewsCommand() *cobra.Command {
	var dir, demo string
	cmd := &cobra.Command{
		Use:   "views PLAN -o FOLDER",
		Short: "Draw pictures of the plan and of each tight place",
		Long: `Views writes PNG pictures into a folder: from above with the plan's own
dimensions, from the front with the doors away, cut from the side, from a
corner; then one close view of each place that came out as no or tight, and the
steps of each way in and out. The pictures appear all together or not at all.`,
		Example: `  undercroft views my-cabinet.yaml -o pictures
  undercroft views --demo fails -o pictures
  undercroft views my-cabinet.yaml -o pictures --width 2400 --height 1800 --fine 3`,
		Args: cobra.MaximumNArgs(1),
	}
	flags := cmd.Flags()
	flags.StringVarP(&dir, "out", "o", "", "folder to write to; made where it is not there")
	flags.Int("width", 0, "width of each picture in pixels (default 1600)")
	flags.Int("height", 0, "height of each picture in pixels (default 1200)")
	flags.Int("fine", 0, "draw so many times finer and average down, 1 to 4 (default 2)")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if dir == "" {
			return wrong(errors.New("which folder? say -o FOLDER"))
		}
		p, report, err := a.checked(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		pictures, err := a.draw(cmd.Context(), p.scene, report)
		if err != nil {
			return err
		}
		return a.writePictures(cmd.Context(), dir, pictures)
	})
	return cmd
}

// A drawing makes one picture.
type drawing func(view.Options) (view.Picture, error)

// draw draws all pictures, as many at once as there are processors.
func (a *app) draw(ctx context.Context, s *scene.Scene, r fit.Report) ([]view.Picture, error) {
	p := a.newProgress()
	defer p.end()
	drawings := drawingsOf(s, r)
	opts := view.Options{Width: a.set.Width, Height: a.set.Height, Supersample: a.set.Fine}
	pictures := make([]view.Picture, len(drawings))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, d := range drawings {
		g.Go(func() error {
			return guard(func() error {
				if err := ctx.Err(); err != nil {
					return err
				}
				p.at(fmt.Sprintf("drawing %d of %d", i+1, len(drawings)))
				var err error
				pictures[i], err = d(opts)
				return err
			})
		})
	}
	return pictures, g.Wait()
}

// drawingsOf lists what to draw: the plan as it was read, then the places to
// look at, then the ways in.
func drawingsOf(s *scene.Scene, r fit.Report) []drawing {
	subject := view.Of(s, fit.CautionPlanning, water.Bodies(s))
	var ds []drawing
	for _, whole := range []func(view.Subject, view.Options) (view.Picture, error){
		view.Understood, view.Front, view.Side, view.ThreeQuarter,
	} {
		ds = append(ds, func(o view.Options) (view.Picture, error) { return whole(subject, o) })
	}
	for _, p := range sheetsOf(s) {
		ds = append(ds, func(o view.Options) (view.Picture, error) {
			png, err := p.png(float64(o.Height) / sheetHeight)
			return view.Picture{Name: p.name, Title: p.title, PNG: png}, err
		})
	}
	for _, f := range r.Checks {
		onWay := slices.ContainsFunc(f.Motions, func(m scene.Motion) bool { return m.Closest != nil })
		if len(f.Marks) == 0 || onWay || f.Verdict == verdict.OK && len(f.Shapes) == 0 {
			continue
		}
		place := view.Place{Name: fileName(f.ID), Title: text.About(f.ID), Verdict: f.Verdict.String(), Summary: f.Summary, Marks: f.Marks, Open: !f.AtRest()}
		there := subject.With(slices.Concat(f.Shapes, f.Instead)...)
		there.Caution = fit.CautionAt(f.ID)
		ds = append(ds, func(o view.Options) (view.Picture, error) { return view.Close(there, place, o) })
	}
	for _, f := range r.Checks {
		for _, m := range f.Motions {
			there := subject.During(m)
			there.Caution = fit.CautionAt(f.ID)
			ds = append(ds, func(o view.Options) (view.Picture, error) { return view.Strip(there, m, o) })
			if c := m.Closest; c != nil {
				place := view.Place{
					Name: fileName(f.ID + " narrowest"), Title: text.About(f.ID) + ", the narrowest moment",
					Verdict: f.Verdict.String(), Summary: f.Summary, Marks: []scene.Mark{c.Mark},
				}
				ds = append(ds, func(o view.Options) (view.Picture, error) {
					return view.Narrowest(there, m, c.Leg, c.T, place, o)
				})
			}
		}
	}
	return ds
}

// A page is a printed sheet as a picture.
type page struct {
	name, title string
	png         func(perMM float64) ([]byte, error)
}

// sheetHeight is the height of a printed sheet in mm.
const sheetHeight = 279

// sheetsOf lists the sheets for which the plan has data.
func sheetsOf(s *scene.Scene) []page {
	var pages []page
	if w := water.Compute(s); s.Sump != nil && len(w.Spaces) > 0 {
		pages = append(pages, page{
			"levels", "The sump cut along the flow, with levels and pen marks",
			func(perMM float64) ([]byte, error) { return sheet.SectionPNG(s, w, perMM) },
		})
	}
	if s.Stand != nil && (len(s.Stand.Members) > 0 || s.Stand.Board != "") {
		pages = append(pages, page{
			"stand", "The stand, with what each member bears",
			func(perMM float64) ([]byte, error) { return sheet.StandPNG(s, stand.Check(s), perMM) },
		})
	}
	if s.Floor != nil && s.Floor.Joists != nil {
		pages = append(pages, page{
			"house-floor", "The house floor from above, with its joists",
			func(perMM float64) ([]byte, error) { return sheet.FloorPlanPNG(s, floor.Check(s), perMM) },
		})
	}
	return pages
}

// writePictures writes the pictures into a folder, numbered in their order.
func (a *app) writePictures(ctx context.Context, dir string, pictures []view.Picture) error {
	files := make([]output, len(pictures))
	for i, p := range pictures {
		files[i] = output{filepath.Join(dir, fmt.Sprintf("%02d-%s.png", i+1, fileName(p.Name))), p.PNG, p.Title}
	}
	if err := writeFolder(ctx, dir, files); err != nil {
		return err
	}
	a.written(files...)
	a.stale(dir, ".png", files)
	return nil
}

// stale warns of files of another run, numbered as these are: they show what may
// no longer be so.
func (a *app) stale(dir, ext string, files []output) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // it was written to; that it cannot be listed loses a warning only
	}
	for _, e := range entries {
		ours, err := path.Match("[0-9][0-9]-*"+ext, e.Name())
		now := slices.ContainsFunc(files, func(f output) bool { return filepath.Base(f.path) == e.Name() })
		if err == nil && ours && !now {
			a.say(filepath.Join(dir, e.Name()) + " is from another run")
		}
	}
}

// longestName keeps file names within what every file system takes.
const longestName = 60

// fileName makes part of a file's name of any title: letters and digits, joined
// by hyphens.
func fileName(title string) string {
	parts := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	name := []rune(strings.Join(parts, "-"))
	return strings.Trim(string(name[:min(len(name), longestName)]), "-")
}
