// Package fit judges a scene: it runs every family of checks and gathers what
// they found into one report.
package fit

import (
	"context"
	"slices"
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
	// Time stops the search for each finding, and the one for how much room there is
	// on its ways, Total that for all of them; 0 is no limit. What is then not decided
	// stays unsure, so the report depends on the machine.
	Time, Total time.Duration
}

// The families of checks, as the ids of their findings begin.
const (
	Passage = "passage"
	Service = "service"
	Gap     = "gap"
	Reach   = "reach"
	Water   = "water"
	Glass   = "glass"
	Weight  = "weight" // of which stand judges the feet
	Stand   = "stand"
	Floor   = "floor"
)

// A Family is one group of checks.
type Family struct {
	ID   string // as the ids of its findings begin
	Name string // for people
	// Check judges a scene. Known is what the families before it found: what it is
	// tried with first, and never trusted. A context that ends stops the search for
	// ways; what is then not decided stays unsure.
	Check func(ctx context.Context, s *scene.Scene, known []verdict.Finding) verdict.Findings
}

// families stand in the order of the report: first what decides whether things
// go in, then what is true once they stand.
var families = []Family{
	{Passage, "ways in", search(passage.Check)},
	{Service, "taking out", service.Check},
	{Gap, "room at rest", ofScene(gap.Check)},
	{Reach, "a hand to each place", search(reach.Check)},
	{Water, "levels and volumes", ofScene(water.Check)},
	{Glass, "glass", ofScene(glass.Check)},
	{Weight, "weight", ofScene(weight.Check)},
	{Stand, "stand", ofScene(stand.Check)},
	{Floor, "house floor", ofScene(floor.Check)},
}

// Families returns the families in the order of the report.
func Families() []Family { return slices.Clone(families) }

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

// narrowingShare is the part of the time allowed for all searches that may go into how
// much room ways in keep that are found: one over it.
const narrowingShare = 2

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
		ctx = passage.Narrowing(ctx, opts.Total/narrowingShare)
	}
	for _, f := range families {
		if opts.Progress != nil {
			opts.Progress(f.Name)
		}
		r.Add(f.Check(ctx, s, r.Checks))
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
