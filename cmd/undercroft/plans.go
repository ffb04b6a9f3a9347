package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"undercroft/assets"
	"undercroft/scene"
	"undercroft/scene/plan"
)

// mostPlan is how much of a plan file is read: the reader refuses sooner.
const mostPlan = 8 << 20

// A source is a plan that was asked for.
type source struct {
	name  string // for messages and headings
	typed string // how the next command names it; "" where it cannot
	demo  string // the demo plan that it is; "" for none
	scene *scene.Scene
	file  string // that it was read from, for its format
	text  []byte
}

// demoFits is the demo plan that is checked when nothing is asked for.
const demoFits = "fits"

// A plan that comes in on standard input, as YAML, is called fromStdin on the
// command line and stdinName in messages.
const (
	fromStdin = "-"
	stdinName = "stdin.yaml"
)

// load reads plans by file name, or the demo plan where one is asked for. All
// errors of all plans come back together; with any of them, nothing is checked.
func (a *app) load(ctx context.Context, files []string, demo string) ([]source, error) {
	if demo != "" {
		if len(files) > 0 {
			return nil, wrong(errors.New("a demo plan and a file at once: leave out one of them"))
		}
		text, ok := assets.Demo(demo)
		if !ok {
			return nil, noDemo(demo)
		}
		s, err := plan.Read(demo+".yaml", text)
		if err != nil {
			return nil, err // the program's own plan: a fault
		}
		return []source{{name: "demo plan " + demo, typed: "--demo " + demo, demo: demo, scene: s, file: demo + ".yaml", text: text}}, nil
	}
	sources := make([]source, len(files))
	var all problems
	for i, file := range files {
		name, typed := file, quote(file)
		if file == fromStdin {
			name, typed = stdinName, ""
		}
		text, err := a.readFile(ctx, file, mostPlan)
		if err != nil {
			return nil, err
		}
		s, err := plan.Read(name, text)
		var errs plan.Errors
		switch {
		case errors.As(err, &errs):
			all.add(name, text, errs)
		case err != nil:
			return nil, err
		}
		sources[i] = source{name: name, typed: typed, scene: s, file: name, text: text}
	}
	if len(all.errs) > 0 {
		return nil, &all
	}
	return sources, nil
}

func noDemo(name string) error {
	return wrong(fmt.Errorf("there is no demo plan %q: there are %s", name, words(assets.Demos())))
}

// one reads the single plan of a command that takes one.
func (a *app) one(ctx context.Context, files []string, demo string) (source, error) {
	if len(files) == 0 && demo == "" {
		return source{}, wrong(errors.New("which plan? name a file, or take a demo plan with --demo fits"))
	}
	ss, err := a.load(ctx, files, demo)
	if err != nil {
		return source{}, err
	}
	return ss[0], nil
}

// readFile reads a file as far as most, or standard input; it stops waiting when
// ctx ends.
func (a *app) readFile(ctx context.Context, file string, most int64) ([]byte, error) {
	type result struct {
		text []byte
		err  error
	}
	done := make(chan result, 1)
	go func() {
		var r result
		r.text, r.err = a.slurp(file, most)
		done <- r
	}()
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case r := <-done:
		if r.err != nil {
			return nil, wrong(fmt.Errorf("%s cannot be read: %w", file, cause(r.err)))
		}
		return r.text, nil
	}
}

func (a *app) slurp(file string, most int64) (text []byte, err error) {
	r := a.stdin
	if file != fromStdin {
		f, err := os.Open(file)
		if err != nil {
			return nil, err
		}
		defer func() {
			if cerr := f.Close(); err == nil {
				err = cerr
			}
		}()
		r = f
	}
	return io.ReadAll(io.LimitReader(r, most))
}
