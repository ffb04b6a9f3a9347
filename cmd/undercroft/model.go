package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"undercroft/export/model"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
)

func (a *app) modelCommand() *cobra.Command {
	var file, demo string
	cmd := &cobra.Command{
		Use:   "model PLAN -o FILE.glb",
		Short: "Write a 3D model with each way in and out as an animation",
		Long: `Model writes the plan as a GLB file (binary glTF 2.0), which most programs that
show 3D can open. Each way in and each way out that was verified is an animation
in it, and each place that came out as no or tight is marked.`,
		Example: `  undercroft model my-cabinet.yaml -o model.glb
  undercroft model --demo fits -o demo.glb`,
		Args: cobra.MaximumNArgs(1),
	}
	cmd.Flags().StringVarP(&file, "out", "o", "", "file to write; - for standard output")
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		if err := goodName(file, "the model is GLB", ".glb"); err != nil {
			return err
		}
		p, report, err := a.checked(cmd.Context(), args, demo)
		if err != nil {
			return err
		}
		opts := model.Options{Water: water.Bodies(p.scene)}
		for _, f := range report.Checks {
			opts.Motions = append(opts.Motions, f.Motions...)
			opts.Shapes = append(opts.Shapes, f.Shapes...)
			if f.Verdict != verdict.OK {
				opts.Marks = append(opts.Marks, f.Marks...)
			}
		}
		var glb bytes.Buffer
		if err := model.Write(&glb, p.scene, opts); err != nil {
			return err
		}
		if file == fromStdin {
			if a.out.is {
				return wrong(errors.New("a model is no text for a terminal: name a file"))
			}
			_, err := a.stdout.Write(glb.Bytes())
			return err
		}
		out := output{file, glb.Bytes(), fmt.Sprintf("3D model, %d ways in and out as animations", len(opts.Motions))}
		if err := writeWhole(cmd.Context(), out); err != nil {
			return err
		}
		a.written(out)
		return nil
	})
	return cmd
}
