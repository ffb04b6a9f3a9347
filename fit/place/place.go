package place

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strings"

	"undercroft/fit"
	"undercroft/fit/gap"
	"undercroft/fit/internal/arrange"
	"undercroft/fit/passage"
	"undercroft/fit/reach"
	"undercroft/fit/service"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// A Result is what was found for a plan.
type Result struct {
	Title string
	Units unit.System
	// Placed are the things that were given places, in the order of the plan, the
	// sump first; Left are those for which none is looked for.
	Placed []Placed
	Left   []Left
	// Text is the completed plan; nil where there is nothing to write: places that
	// go were not found, or nothing lacks one. Kept tells that it is the file as it
	// was with what was added; else it is written anew, as YAML without comments.
	Text []byte
	Kept bool
	// Scene is the plan with the places, Report what the checks say of it; nil where
	// no places were found.
	Scene  *scene.Scene
	Report *fit.Report
	// Verdict is the worst of the checks that hang on the places, Open those of them
	// that are not ok.
	Verdict verdict.Verdict
	Open    []verdict.Finding
	// Apart are things that cannot be had together.
	Apart []Set
	// Tried is of how many places ways and hands were looked at.
	Tried    int
	Cautions []string
	Stopped  bool // not everything was looked at
}

// Found tells whether there is a completed plan.
func (r *Result) Found() bool { return r.Text != nil }

// Options are how the search is run. The zero value is the default.
type Options struct {
	// Progress, where it is set, is told how much of the work is done; of 0 where that
	// is not known.
	Progress func(what string, done, of int)
}

func (o Options) tell(what string, done, of int) {
	if o.Progress != nil {
		o.Progress(what, done, of)
	}
}

const (
	// tries is for how many places ways and hands are looked at.
	tries = 10
	// patience is after how many tries without a better one the best is taken, but
	// for one that is a no.
	patience = 4
	// searchSteps is how many steps the search for places takes at most.
	searchSteps = 120_000
)

// Find looks for places. The name of the file tells its format. A context that ends
// stops the search; what was found so far is returned. The error is that of reading
// the plan.
func Find(ctx context.Context, name string, data []byte, o Options) (*Result, error) {
	d, err := plan.NewDraft(name, data)
	if err != nil {
		return nil, err
	}
	s, err := d.Read()
	if err != nil {
		return nil, err
	}
	r := &Result{Title: s.Title, Units: s.Units, Verdict: verdict.Unsure, Cautions: fit.Cautions(s)}
	movers, left := without(d, s)
	r.Left = left
	if len(movers) == 0 {
		return r, nil
	}
	o.tell("looking for places", 0, 0)
	base, err := stand(d, movers)
	if err != nil {
		return nil, err
	}
	f := &finder{world: newWorld(base, movers), draft: d, options: o, blamed: make([]int, len(movers))}
	best := f.search(ctx, trial{inside: true})
	if best == nil {
		best = f.search(ctx, trial{}) // in a doorway, then
	}
	r.Tried = f.tried
	if (best == nil || best.crowded()) && ctx.Err() == nil {
		r.Apart = f.apart(ctx, best != nil)
	}
	if best != nil {
		o.tell("checking the plan with its places", 0, 0)
		if err := f.finish(ctx, r, best, name, data); err != nil {
			return nil, err
		}
	}
	r.Stopped = ctx.Err() != nil
	return r, nil
}

// A finder looks for the places of one plan.
type finder struct {
	*world
	draft   *plan.Draft
	options Options
	tried   int
	blamed  []int                      // how often a mover was to stand elsewhere
	before  map[string]verdict.Verdict // the checks without the movers
	known   bool                       // before was looked at
}

// A candidate is a set of places with what the checks say of it.
type candidate struct {
	placed []Placed
	edits  []plan.Edit
	beyond int64
	stage  int // how many stages of checks it went through
	open   []verdict.Finding
	blamed []int // movers that are to stand elsewhere
	wet    []int // movers that are to stand higher or lower
}

// crowded tells whether there is less room somewhere than is wanted.
func (c *candidate) crowded() bool {
	return slices.ContainsFunc(c.open, func(f verdict.Finding) bool { return strings.HasPrefix(f.ID, "gap/") })
}

// worst returns the worst verdict of what is open, and how often it is.
func (c *candidate) worst() (v verdict.Verdict, times int) {
	v = verdict.OK
	for i := range c.open {
		v = verdict.Worst(v, c.open[i].Verdict)
	}
	for i := range c.open {
		if c.open[i].Verdict == v {
			times++
		}
	}
	return v, times
}

// better tells whether c is a better candidate than o, which was found before.
func (c *candidate) better(o *candidate) bool {
	if o == nil {
		return true
	}
	a, n := c.worst()
	b, m := o.worst()
	return cmp.Or(cmp.Compare(o.stage, c.stage), cmp.Compare(a.Rank(), b.Rank()), cmp.Compare(n, m)) < 0
}

// search tries places of trials like one, those with the most room first, and returns
// the best; nil where nothing stands.
func (f *finder) search(ctx context.Context, like trial) *candidate {
	who := make([]int, len(f.movers))
	for i := range who {
		who[i] = i
	}
	trials, _ := f.trials(who, like)
	problems := make([]*arrange.Problem, len(trials))
	for i, t := range trials {
		problems[i] = t.problem()
	}
	search := arrange.NewSearch(problems, searchSteps)
	var best *candidate
	for since := 0; f.tried < tries && since < patience; {
		a, state := search.Best(ctx)
		if state != arrange.Found {
			break
		}
		t := trials[a.Problem]
		c := f.candidate(ctx, t, search, a)
		if c != nil && ctx.Err() != nil && best != nil {
			break // what an interrupt left undone is no better
		}
		f.tried++
		f.options.tell("trying places", f.tried, tries)
		blamed, wet := who, []int(nil)
		if c != nil {
			if blamed, wet = c.blamed, c.wet; len(blamed)+len(wet) == 0 {
				blamed = who
			}
			since++
			if c.better(best) {
				best, since = c, 0
			}
			v, _ := best.worst()
			if v == verdict.OK {
				break
			}
			if v == verdict.No {
				since = 0
			}
		}
		f.avoid(search, trials, t, a, blamed, wet)
	}
	return best
}

// avoid asks for other places than those of an answer: at least one of the things
// that were blamed is to stand elsewhere, the farther away the more often that did
// not help.
func (f *finder) avoid(search *arrange.Search, trials []*trial, t *trial, a arrange.Answer, blamed, wet []int) {
	var c arrange.Clause
	for _, who := range blamed {
		away := unit.Inch
		if f.movers[who].chamber > 0 {
			away = unit.Inch / 2
		}
		i, by := t.at(who), nm(away.MM())<<min(f.blamed[who], 5)
		f.blamed[who]++
		for axis := range 3 {
			if axis == 2 && !t.stances[i].hangs {
				continue
			}
			x := a.At[i][axis]
			c = append(c,
				arrange.Bound{Axis: axis, From: arrange.Fixed, To: i, Least: x + by},
				arrange.Bound{Axis: axis, From: i, To: arrange.Fixed, Least: by - x})
		}
	}
	for _, who := range wet {
		i, by := t.at(who), nm(step(f.scene.Units).MM())
		z := a.At[i][2]
		c = append(c,
			arrange.Bound{Axis: 2, From: arrange.Fixed, To: i, Least: z + by},
			arrange.Bound{Axis: 2, From: i, To: arrange.Fixed, Least: by - z})
	}
	for k, u := range trials {
		if !slices.ContainsFunc(blamed, func(who int) bool { return u.stances[u.at(who)] != t.stances[t.at(who)] }) {
			search.Avoid(k, c)
		}
	}
}

// candidate writes an answer into the plan and looks what the checks say, the quick
// ones first; nil where it cannot be written.
func (f *finder) candidate(ctx context.Context, t *trial, search *arrange.Search, a arrange.Answer) *candidate {
	placed, ok := t.onTape(search, a)
	if !ok {
		return nil
	}
	c := &candidate{placed: placed, beyond: a.Beyond}
	for i := range placed {
		c.edits = append(c.edits, placed[i].Edits...)
	}
	s, err := read(f.draft, c.edits)
	if err != nil {
		return nil
	}
	brief := passage.Briefly(ctx)
	var found verdict.Findings
	for _, stage := range []func() verdict.Findings{
		func() verdict.Findings { return gap.Check(s) },
		func() verdict.Findings { return water.Check(s) },
		func() verdict.Findings { return passage.Check(brief, s) },
		func() verdict.Findings { return service.Check(brief, s, found.Checks) },
		func() verdict.Findings { return reach.Check(brief, s) },
	} {
		fs := stage()
		found.Add(fs)
		bad := false
		for i := range fs.Checks {
			if v := &fs.Checks[i]; f.hangs(ctx, v) {
				c.open = append(c.open, *v)
				bad = bad || v.Verdict == verdict.No
				c.blame(f, v)
			}
		}
		if bad {
			break
		}
		c.stage++
	}
	for _, list := range []*[]int{&c.blamed, &c.wet} {
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	return c
}

// blame notes the movers that a finding is about; all of them where it names none.
// What is about water hangs on how high things are.
func (c *candidate) blame(f *finder, v *verdict.Finding) {
	names := named(v)
	var about []int
	for i := range f.movers {
		if slices.Contains(names, f.movers[i].name) {
			about = append(about, i)
		}
	}
	if len(about) == 0 {
		for i := range f.movers {
			about = append(about, i)
		}
	}
	if strings.HasPrefix(v.ID, "water/") {
		c.wet = append(c.wet, about...)
	} else {
		c.blamed = append(c.blamed, about...)
	}
}

// named returns the names that a finding is about.
func named(v *verdict.Finding) []string {
	names := strings.FieldsFunc(v.ID, func(r rune) bool { return r == '/' })
	if len(names) > 1 {
		names = append(names, strings.TrimPrefix(names[1], "strip "), strings.TrimPrefix(names[1], "cord "))
	}
	for _, m := range v.Measures {
		if first, ok := m.Value.([]string); ok && m.Key == "first" {
			names = append(names, first...)
		}
	}
	return names
}

// hangs tells whether a finding that is not ok hangs on the places: it is about one
// of the movers, or comes out worse than without them.
func (f *finder) hangs(ctx context.Context, v *verdict.Finding) bool {
	if v.Verdict == verdict.OK {
		return false
	}
	family, _, _ := strings.Cut(v.ID, "/")
	switch family {
	case "gap", "passage", "service", "reach", "water":
	default:
		return false
	}
	if strings.HasPrefix(v.ID, "service/cord ") && strings.Count(v.ID, "/") > 1 {
		return false // a plug through a hole, wherever the thing stands
	}
	names := named(v)
	if slices.ContainsFunc(f.movers, func(m mover) bool { return slices.Contains(names, m.name) }) {
		return true
	}
	if f.home() >= 0 {
		return family != "water" // nothing is as it was without the sump
	}
	if !f.known {
		f.before, f.known = f.bare(ctx), true
	}
	was, there := f.before[v.ID]
	return !there || v.Verdict.Rank() > was.Rank()
}

// bare returns what the checks say of the plan without the movers.
func (f *finder) bare(ctx context.Context) map[string]verdict.Verdict {
	s := *f.scene
	gone := func(name string) bool {
		return slices.ContainsFunc(f.movers, func(m mover) bool { return m.name == name })
	}
	s.Equipment = slices.DeleteFunc(slices.Clone(s.Equipment), func(e scene.Equipment) bool { return gone(e.Name) })
	for i := range s.Equipment {
		e := &s.Equipment[i]
		e.HeldBy = slices.DeleteFunc(slices.Clone(e.HeldBy), gone)
		if e.Cord != nil && gone(e.Cord.To) {
			e.Cord = nil
		}
	}
	s.Reach = slices.DeleteFunc(slices.Clone(s.Reach), func(p scene.Place) bool { return gone(p.On) })
	brief := passage.Briefly(ctx)
	var found verdict.Findings
	found.Add(gap.Check(&s))
	found.Add(water.Check(&s))
	found.Add(passage.Check(brief, &s))
	found.Add(service.Check(brief, &s, found.Checks))
	found.Add(reach.Check(brief, &s))
	out := map[string]verdict.Verdict{}
	for i := range found.Checks {
		out[found.Checks[i].ID] = found.Checks[i].Verdict
	}
	return out
}

// finish writes the plan and checks it from scratch: what counts is what is written.
func (f *finder) finish(ctx context.Context, r *Result, c *candidate, name string, data []byte) error {
	text, kept, err := plan.Rewrite(name, data, c.edits...)
	if err != nil {
		return err
	}
	file := name
	if !kept {
		file = "plan.yaml"
	}
	s, err := plan.Read(file, text)
	if err != nil {
		return err
	}
	report := fit.Check(ctx, s, fit.Options{})
	r.Scene, r.Report, r.Placed = s, &report, c.placed
	r.Verdict = verdict.OK
	for i := range report.Checks {
		if v := &report.Checks[i]; f.hangs(ctx, v) {
			r.Verdict = verdict.Worst(r.Verdict, v.Verdict)
			r.Open = append(r.Open, *v)
		}
	}
	for i := range r.Placed {
		r.Placed[i].roomIn(report.Checks)
	}
	if r.Verdict != verdict.No && ctx.Err() == nil {
		r.Text, r.Kept = text, kept
	}
	return nil
}

// roomIn fills in the least room round a thing: NaN where nothing is near.
func (p *Placed) roomIn(fs []verdict.Finding) {
	p.Spare = unit.Length(math.NaN())
	for i := range fs {
		family, rest, _ := strings.Cut(fs[i].ID, "/")
		a, b, _ := strings.Cut(rest, "/")
		if family != "gap" || a != p.Name && b != p.Name {
			continue
		}
		for _, m := range fs[i].Measures {
			if d, ok := m.Value.(float64); ok && m.Key == "spare_mm" && !(d >= p.Spare.MM()) {
				p.Spare, p.Near = unit.Length(d), a
				if a == p.Name {
					p.Near = b
				}
			}
		}
	}
}
