package main

import (
	"context"
	"errors"

	"undercroft/assets"
	"undercroft/scene/plan"
)

// whole takes a plan in which all is said that a check needs.
func whole(d *plan.Draft) error {
	_, err := d.Read()
	return err
}

// draft reads the plan of a command that changes it. What take finds wrong with it
// is told as what is wrong with a plan.
func (a *app) draft(ctx context.Context, files []string, demo string, take func(*plan.Draft) error) (source, *plan.Draft, error) {
	p := source{name: "demo plan " + demo, typed: "--demo " + demo, demo: demo}
	name := demo + ".yaml"
	var data []byte
	switch {
	case len(files) > 0 && demo != "":
		return p, nil, wrong(errors.New("a demo plan and a file at once: leave out one of them"))
	case len(files) == 0 && demo == "":
		return p, nil, wrong(errors.New("which plan? name a file, or take a demo plan with --demo fails"))
	case demo != "":
		var ok bool
		if data, ok = assets.Demo(demo); !ok {
			return p, nil, noDemo(demo)
		}
	default:
		p = source{name: files[0], typed: quote(files[0])}
		if name = files[0]; name == fromStdin {
			name = stdinName
			p = source{name: stdinName}
		}
		var err error
		if data, err = a.readFile(ctx, files[0], mostPlan); err != nil {
			return p, nil, err
		}
	}
	d, err := plan.NewDraft(name, data)
	if err == nil {
		err = take(d)
	}
	var errs plan.Errors
	switch {
	case errors.As(err, &errs):
		all := &problems{}
		all.add(name, data, errs)
		return p, nil, all
	case err != nil:
		return p, nil, err
	}
	return p, d, nil
}
