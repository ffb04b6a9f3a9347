package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"undercroft/assets"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

func (a *app) newCommand() *cobra.Command {
	var force, ask, metric bool
	var demo string
	cmd := &cobra.Command{
		Use:   "new FILE",
		Short: "Start a plan of your own",
		Long: `New writes a plan to fill in, with a note on each line of what to measure. With
--ask it asks for the few measures that matter most and writes the plan from
the answers. The plan is YAML; a plan in TOML or JSON has the same keys. It never
takes the place of a file without --force.`,
		Example: `  undercroft new my-cabinet.yaml
  undercroft new --ask my-cabinet.yaml
  undercroft new --metric my-cabinet.yaml
  undercroft new --demo fails failing.yaml`,
		Args: cobra.ExactArgs(1),
	}
	flags := cmd.Flags()
	flags.BoolVar(&force, "force", false, "take the place of a file that is there")
	flags.BoolVar(&ask, "ask", false, "ask for the measures and write the plan from the answers")
	flags.BoolVar(&metric, "metric", false, "a plan in millimetres")
	planFlags(cmd, &demo)
	cmd.MarkFlagsMutuallyExclusive("ask", "metric", "demo")
	cmd.RunE = a.runs(func(cmd *cobra.Command, args []string) error {
		ctx, file := cmd.Context(), args[0]
		if _, err := os.Lstat(file); err == nil && !force {
			return wrong(fmt.Errorf("%s is there already; --force takes its place", file))
		}
		if ext := strings.ToLower(filepath.Ext(file)); ext == ".toml" || ext == ".json" {
			return wrong(fmt.Errorf("a new plan is YAML, with notes: call it %s", printable(strings.TrimSuffix(file, filepath.Ext(file))+".yaml")))
		}
		text, err := a.newPlan(ctx, ask, metric, demo)
		if err != nil {
			return err
		}
		if err := writeWhole(ctx, output{path: file, data: text}); err != nil {
			return err
		}
		if a.set.Quiet {
			return nil
		}
		a.printf("%s is written. Change its numbers to yours in any editor, then:\n\n  undercroft check %s\n", printable(file), quote(file))
		return nil
	})
	return cmd
}

// newPlan returns the text of a new plan.
func (a *app) newPlan(ctx context.Context, ask, metric bool, demo string) ([]byte, error) {
	switch {
	case ask:
		return a.interview(ctx)
	case demo != "":
		text, ok := assets.Demo(demo)
		if !ok {
			return nil, noDemo(demo)
		}
		return text, nil
	case metric:
		return plan.Starter(unit.Millimetres), nil
	}
	return plan.Starter(unit.Inches), nil
}

// interview asks for a plan on the terminal. Every answer is checked as it is
// given; an empty one takes what stands in brackets.
func (a *app) interview(ctx context.Context) ([]byte, error) {
	answers := a.lines(ctx)
	a.printf("Enter alone takes what stands in brackets; Ctrl-C stops and writes nothing.\n")
	var v plan.Interview
	for {
		q, more := v.Next()
		if !more {
			a.printf("\n")
			return v.Plan()
		}
		a.printf("\n%s\n  %s\n[%s] ", q.Ask, q.Help, q.Default)
		if err := a.stdout.Flush(); err != nil {
			return nil, err
		}
		text, err := answers()
		if err != nil {
			return nil, err
		}
		if err := v.Answer(text); err != nil {
			a.printf("  That will not do: %s\n", printable(err.Error()))
		}
	}
}

// lines returns a function that reads standard input line by line and stops
// waiting when ctx ends.
func (a *app) lines(ctx context.Context) func() (string, error) {
	type line struct {
		text string
		err  error
	}
	in := make(chan line)
	go func() {
		s := bufio.NewScanner(a.stdin)
		for {
			l := line{err: io.ErrUnexpectedEOF}
			more := s.Scan()
			switch {
			case more:
				l = line{text: s.Text()}
			case s.Err() != nil:
				l.err = s.Err()
			}
			select {
			case in <- l:
			case <-ctx.Done():
				return
			}
			if !more {
				return
			}
		}
	}()
	return func() (string, error) {
		select {
		case <-ctx.Done():
			return "", ctx.Err()
		case l := <-in:
			if errors.Is(l.err, io.ErrUnexpectedEOF) {
				return "", wrong(errors.New("the answers ended before the questions did; nothing is written"))
			}
			return l.text, l.err
		}
	}
}
