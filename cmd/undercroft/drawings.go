package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"undercroft/export/sheet"
	"undercroft/fit/floor"
	"undercroft/fit/glass"
	"undercroft/fit/stand"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/unit"
)

func (a *app) drawingsCommand() *cobra.Command {
	var dir, demo, paper string
	cmd := &cobra.Command{
		Use:   "drawings PLAN -o FOLDER",
		Short: "Write drawings to scale, and templates in full size",
		Long: `Drawings writes into a folder what a workshop wants on paper. drawings.pdf has
the cabinet from the front, from above and from the side with its dimensions,
the sump cut along the flow, and, where the plan tells of them, the stand, the
house floor and the panes for the glass shop. templates.pdf has the sump's
footprint and each opening in full size, on tiles to tape together, cut out and
try on the cabinet. Each drawing of the first is there as SVG too.

Print at 100 %, not "fit to page", and measure the bars on the templates first.`,
		Example: `  undercroft drawings my-cabinet.yaml -o drawings
  undercroft drawings my-cabinet.yaml -o drawings --paper a4
  undercroft drawings --demo fits -o drawings`,
		Args: cobra.MaximumNArgs(1),
	}
	flags := cmd.Flags()
	flags.StringVarP(&dir, "out", "o", "", "folder to write to; made where it is not there")
	flags.StringVar(&paper, "paper", "", "paper of the PDF files: a4 or letter (default letter for plans in inches, else a4)")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if dir == "" {
			return wrong(errors.New("which folder? say -o FOLDER"))
		}
		var size sheet.Paper
		if paper != "" {
			var err error
			if size, err = sheet.ParsePaper(paper); err != nil {
				return wrong(err)
			}
		}
		p, err := a.one(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		if paper == "" && p.scene.Units == unit.Inches {
			size = sheet.Letter
		}
		return a.writeDrawings(cmd.Context(), dir, p.scene, size)
	})
	return cmd
}

// figuresOf computes what the drawings of a scene show besides it.
func figuresOf(s *scene.Scene) sheet.Figures {
	return sheet.Figures{Water: water.Compute(s), Stand: stand.Check(s), Floor: floor.Check(s), Glass: glass.Cut(s)}
}

func (a *app) writeDrawings(ctx context.Context, dir string, s *scene.Scene, paper sheet.Paper) error {
	drawings, err := sheet.Drawings(s, figuresOf(s))
	if err != nil {
		return err
	}
	var files []output
	for _, d := range drawings {
		svg, err := d.SVG()
		if err != nil {
			return err
		}
		files = append(files, output{filepath.Join(dir, d.Name+".svg"), svg, d.Title})
	}
	for _, set := range []struct {
		name, title string
		drawings    []sheet.Drawing
	}{
		{"drawings.pdf", "all of these on %s", drawings},
		{"templates.pdf", "templates in full size on %s", sheet.Templates(s)},
	} {
		if len(set.drawings) == 0 {
			continue
		}
		pdf, err := sheet.PDF(s.Title, set.drawings, paper)
		if err != nil {
			return err
		}
		files = append(files, output{filepath.Join(dir, set.name), pdf, fmt.Sprintf(set.title, counted(len(set.drawings), paper))})
	}
	if err := writeFolder(ctx, dir, files); err != nil {
		return err
	}
	a.written(files...)
	return nil
}

// counted says how many sheets of a paper there are.
func counted(n int, paper sheet.Paper) string {
	if n == 1 {
		return "a sheet of " + paper.String()
	}
	return fmt.Sprintf("%d sheets of %s", n, paper)
}
