// Package fit judges a scene: it runs every family of checks and gathers what
// they found into one report.
package fit

import (
	"context"
	"time"

	"undercroft/fit/floor"
	"undercroft/fit/gap"
	"undercroft/fit/glass"
	"undercroft/fit/passage"
	"undercroft/fit/reach"
	"undercroft/fit/service"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/fit/weight"
	"undercroft/scene"
)

// A Report is everything that was found about one plan.
type Report struct {
	Title   string
	Verdict verdict.Verdict // the worst of Checks; unsure where there are none
	verdict.Findings
}

// Options are how a check is run. The zero value is the default.
type Options struct {
	// Progress, where it is set, is told each family by its name in plain
	// words before the family starts.
	Progress func(family string)
	// Time stops the search for each finding, Total that for all of them; 0 is no
	// limit. What is then not decided stays unsure, so the report depends on the
	// machine.
	Time, Total time.Duration
}

// A family is one group of checks; it is given what was found so far.
type family struct {
	name  string // for people
	check func(context.Context, *scene.Scene, []verdict.Finding) verdict.Findings
}

// families stand in the order of the report: first what decides whether things
// go in, then what is true once they stand.
var families = []family{
	{"ways in", search(passage.Check)},
	{"taking out", service.Check},
	{"room at rest", ofScene(gap.Check)},
	{"a hand to each place", search(reach.Check)},
	{"levels and volumes", ofScene(water.Check)},
	{"glass", ofScene(glass.Check)},
	{"weight", ofScene(weight.Check)},
	{"stand", ofScene(stand.Check)},
	{"house floor", ofScene(floor.Check)},
}

// search makes a family of a check that looks for ways.
func search(check func(context.Context, *scene.Scene) verdict.Findings) func(context.Context, *scene.Scene, []verdict.Finding) verdict.Findings {
	return func(ctx context.Context, s *scene.Scene, _ []verdict.Finding) verdict.Findings { return check(ctx, s) }
}

// ofScene makes a family of a check that needs nothing but the scene.
func ofScene(check func(*scene.Scene) verdict.Findings) func(context.Context, *scene.Scene, []verdict.Finding) verdict.Findings {
	return func(_ context.Context, s *scene.Scene, _ []verdict.Finding) verdict.Findings {
		return check(s)
	}
}

// Check runs all families on s. A context that ends stops the search for ways;
// what is then not decided stays unsure.
func Check(ctx context.Context, s *scene.Scene, opts Options) Report {
	r := Report{Title: s.Title}
	r.Cautions = Cautions(s)
	ctx = verdict.WithLimit(ctx, opts.Time)
	if opts.Total > 0 {
		var done context.CancelFunc
		ctx, done = context.WithTimeout(ctx, opts.Total)
		defer done()
	}
	for _, f := range families {
		if opts.Progress != nil {
			opts.Progress(f.name)
		}
		r.Add(f.check(ctx, s, r.Checks))
	}
	r.Verdict = worst(r.Checks)
	return r
}

// worst returns the worst verdict of fs. Nothing checked is nothing shown.
func worst(fs []verdict.Finding) verdict.Verdict {
	if len(fs) == 0 {
		return verdict.Unsure
	}
	w := verdict.OK
	for _, f := range fs {
		w = verdict.Worst(w, f.Verdict)
	}
	return w
}
