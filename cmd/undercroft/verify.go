package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"undercroft/fit"
	"undercroft/fit/passage"
)

func (a *app) verifyCommand() *cobra.Command {
	var demo string
	cmd := &cobra.Command{
		Use:   "verify PLAN PROOF...",
		Short: "Check again what was shown about a plan",
		Long: `Verify takes files that check --proofs wrote, and checks each of them against
the plan: a way in is followed all along, a proof that there is none is gone
through step by step. It searches nothing, and takes nothing from a file but the
way or the proof itself. A plan that was changed since may bear it out, or not.

Exit codes: 0 all hold, 1 one does not hold, 2 a file or the plan is wrong.`,
		Example: `  undercroft check my-cabinet.yaml --proofs shown
  undercroft verify my-cabinet.yaml shown/*.json
  undercroft verify --demo fails shown/*.json`,
		Args: cobra.ArbitraryArgs,
	}
	planFlags(cmd, &demo)
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		var plans []string
		if demo == "" && len(args) > 0 {
			plans, args = args[:1], args[1:]
		}
		p, err := a.one(cmd.Context(), plans, demo)
		if err != nil {
			return err
		}
		if len(args) == 0 {
			return wrong(errors.New("which proofs? name files that undercroft check --proofs FOLDER wrote"))
		}
		for _, name := range args {
			data, err := a.readFile(cmd.Context(), name, mostProof)
			if err != nil {
				return err
			}
			claim, err := p.recheck(data)
			var fault *faultError
			switch {
			case errors.As(err, &fault):
				return err
			case errors.Is(err, passage.ErrFile):
				a.say(name + ": " + err.Error())
				a.code = exitWrong
			case err != nil:
				a.printf("%s  does not hold: %s\n  %s\n", printable(name), printable(claim), printable(err.Error()))
				a.code = max(a.code, exitNo)
			default:
				a.printf("%s  holds: %s\n", printable(name), printable(claim))
			}
		}
		return nil
	})
	return cmd
}

// mostProof is how much of a proof file is read: a little more than is ever taken
// for one, so that a longer file is told from a torn one.
const mostProof = passage.MostFile + 1

// recheck checks a proof file against the plan; a panic in it comes back as an error.
func (p source) recheck(data []byte) (claim string, err error) {
	if fault := guard(func() error { claim, err = passage.Recheck(p.scene, data); return nil }); fault != nil {
		return "", fault
	}
	return claim, err
}

// keep writes what a report rests on into a folder, each way and each proof as a
// file of its own.
func (a *app) keep(ctx context.Context, dir string, r fit.Report) error {
	var files []output
	for _, f := range r.Checks {
		for _, e := range f.Evidence {
			data, err := e.File()
			if err != nil {
				return err
			}
			name := fmt.Sprintf("%02d-%s.json", len(files)+1, fileName(e.Title()))
			files = append(files, output{filepath.Join(dir, name), data, e.Title()})
		}
	}
	if err := writeFolder(ctx, dir, files); err != nil {
		return err
	}
	a.stale(dir, ".json", files)
	return nil
}
