// Package fixes turns a no or a tight round: it tells the smallest changes of a
// plan after which a check comes out better.
//
// Each change is made to the plan itself, and the plan is then read and checked
// from scratch: the verdict that is promised is the one that check gives. A change
// that turns another check into a no is not offered; one that makes another worse
// says so. How large a change has to be is found by halving, to 1/16 in or 1 mm, for
// what moves and for hands to 1/4 in or 5 mm: with one step less the check was not
// found to come out so well.
//
// What holds the tank up is different. Nothing of it is changed while a filled
// display stands on it; whatever does change it, the stand is judged again with
// the change, and it is unsure where the plan does not describe the stand.
package fixes

import (
	"context"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"undercroft/fit"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// An Effort is how much a change asks for. Fixes are sorted by it, the least
// first: what is done by hand and undone again, then what stays changed, then what
// costs a tank or wood. That order is common practice, no source.
type Effort int

// The efforts, from the least to the greatest.
const (
	DoorOff    Effort = iota // a door is lifted off its hinges for the move
	DoorAngle                // a door opens farther, or less far
	Sooner                   // a thing goes in before others
	DisplayOff               // things go in before the display stands, or once it is off again
	LiftOut                  // a fixture is lifted out
	Turn                     // a thing is turned where it stands
	Move                     // a thing stands elsewhere
	Longer                   // a longer cord or hose
	Level                    // the water is kept at another level
	Unscrew                  // a fixture is screwed off
	Pieces                   // a part of a thing travels by itself
	Drop                     // less drains down from the display
	Elsewhere                // the whole stand stands elsewhere in the room
	RimOff                   // the sump's rim is taken off
	Baffle                   // a baffle is made lower or higher
	OtherTank                // another trade size is the sump
	LowerWall                // the sump is made lower
	Thicker                  // thicker glass
	Timber                   // a timber of the stand is replaced
	Cut                      // an opening of the cabinet is cut larger
)

// String returns e as it stands in the file for programs.
func (e Effort) String() string {
	return [...]string{
		"door off", "door angle", "sooner", "display off", "lift out", "turn", "move", "longer", "level", "unscrew", "pieces",
		"drop", "elsewhere", "rim off", "baffle", "other tank", "lower wall", "thicker", "timber", "cut",
	}[e]
}

// MarshalText implements encoding.TextMarshaler.
func (e Effort) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// bears tells whether a change of that kind changes what holds the tank up.
func (e Effort) bears() bool { return e == Timber || e == Cut }

// CautionBears goes with every change of what holds the tank up.
const CautionBears = "This holds up the tank: ask a licensed professional before anything is cut or replaced, and empty the display first."

// A Fix is one change of a plan, or a few, after which a check comes out better.
type Fix struct {
	Effort Effort
	Text   string      // what to do
	Edits  []plan.Edit // the change of the plan
	// Changes is how many changes it is, made together; 0 counts as one. Effort is
	// that of the greatest.
	Changes int
	Bears   bool // it changes what holds the tank up
	// After is what the check then says at least, and Summary how it says so; ""
	// where it has nothing to say any more. A longer search may find still more
	// room on a way.
	After   verdict.Verdict
	Summary string
	// Better and Worse are the other checks that then say otherwise.
	Better, Worse []Change
	Caution       string // what to mind; "" for nothing
	// Stand is, for a change of what holds the tank up, how the stand comes out
	// with it; nil for any other change.
	Stand *verdict.Verdict
}

// A Change is a check that says otherwise after a fix.
type Change struct {
	ID            string
	Before, After verdict.Verdict
	Summary       string // after it
}

// An Answer is one check that came out as no or tight, with what would help.
type Answer struct {
	Finding verdict.Finding
	Fixes   []Fix // the least effort first
	// Bears names fixtures that come out, and of which the plan does not say that
	// they hold up nothing: taking one out is not offered.
	Bears []string
	// Stopped tells that not everything was tried.
	Stopped bool
}

// A List is what would help a plan.
type List struct {
	Title   string
	Verdict verdict.Verdict // of the plan as it is
	Answers []Answer        // in the order of the report, each no before each tight
	// Unsure is how many checks are not decided: they ask for a measurement, not
	// for a change.
	Unsure   int
	Cautions []string
	Stopped  bool // not everything was looked at
}

// Options are how the search is run. The zero value is the default.
type Options struct {
	// Workers is how many checks are looked at side by side; 0 is one for each
	// processor. What is found does not depend on it.
	Workers int
	// Progress, where it is set, is told how much of the work is done.
	Progress func(what string, done, of int)
}

// Offered is how many changes are offered for a check at most that make it ok.
const Offered = 2

// Find looks for what would help a plan. A context that ends stops the search;
// what was found so far is returned. The error is that of reading the plan.
func Find(ctx context.Context, d *plan.Draft, o Options) (List, error) {
	s, err := d.Read()
	if err != nil {
		return List{}, err
	}
	ctx = passage.Remembering(ctx, &passage.Memory{})
	f := &finder{ctx: ctx, draft: d, scene: s, trials: map[string]*trial{}}
	f.base = fit.Check(ctx, s, fit.Options{})
	f.before = byID(f.base.Checks)
	l := List{Title: s.Title, Verdict: f.base.Verdict, Cautions: f.base.Cautions}
	for _, v := range []verdict.Verdict{verdict.No, verdict.Tight} {
		for _, c := range f.base.Checks {
			if c.Verdict == v {
				l.Answers = append(l.Answers, Answer{Finding: c})
			}
		}
	}
	for _, c := range f.base.Checks {
		if c.Verdict == verdict.Unsure {
			l.Unsure++
		}
	}
	f.all(&l, o) //nolint:contextcheck // the finder carries it through one search
	l.Stopped = ctx.Err() != nil
	return l, nil
}

// all fills in the answers. What does not even go in cannot come out, nor be brought
// in with the rest: there only what helps it in is tried, once that is known.
func (f *finder) all(l *List, o Options) {
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var mu sync.Mutex
	done := 0
	// What needs no search for ways comes first: it is known soon, also where the
	// search is stopped.
	soon := make([]*Answer, len(l.Answers))
	for i := range l.Answers {
		soon[i] = &l.Answers[i]
	}
	searched := func(a *Answer) int {
		if f.task(&a.Finding).dear() {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(soon, func(a, b *Answer) int { return searched(a) - searched(b) })
	round := func(late bool, help func(*Answer)) {
		var g errgroup.Group
		g.SetLimit(workers)
		for _, a := range soon {
			if f.late(a) != late {
				continue
			}
			g.Go(func() error {
				help(a)
				mu.Lock()
				defer mu.Unlock()
				done++
				if o.Progress != nil {
					o.Progress("what would help", done, len(l.Answers))
				}
				return nil
			})
		}
		_ = g.Wait() // they return no errors
	}
	round(false, f.help)
	var known []Fix // that help something in
	for i := range l.Answers {
		if a := &l.Answers[i]; strings.HasPrefix(a.Finding.ID, fit.Passage+"/") {
			known = append(known, a.Fixes...)
		}
	}
	slices.SortStableFunc(known, byEffort)
	round(true, func(a *Answer) { f.follow(a, known) })
}

// late tells whether a check about coming out waits for what goes in.
func (f *finder) late(a *Answer) bool {
	what, service := strings.CutPrefix(a.Finding.ID, fit.Service+"/")
	if !service || a.Finding.Verdict != verdict.No {
		return false
	}
	for id, c := range f.before {
		thing, way := strings.CutPrefix(id, fit.Passage+"/")
		if way && c.Verdict == verdict.No && (thing == what || what == "order") {
			return true
		}
	}
	return false
}

// follow tries on one check what helps others.
func (f *finder) follow(a *Answer, known []Fix) {
	t := f.task(&a.Finding)
	var tried []string
	for i := range known {
		x := Fix{Effort: known[i].Effort, Text: known[i].Text, Edits: known[i].Edits, Changes: known[i].Changes, Bears: known[i].Bears, Caution: strings.TrimSpace(strings.TrimPrefix(known[i].Caution, CautionBears))}
		if slices.Contains(tried, x.Text) {
			continue
		}
		tried = append(tried, x.Text)
		t.offer(x)
	}
	a.Fixes, a.Stopped = t.fixes, f.ctx.Err() != nil
}

func byEffort(x, y Fix) int { return int(x.Effort) - int(y.Effort) }

// A finder looks for changes of one plan.
type finder struct {
	ctx    context.Context
	draft  *plan.Draft
	scene  *scene.Scene
	base   fit.Report
	before map[string]*verdict.Finding

	mu     sync.Mutex
	trials map[string]*trial
}

// A trial is the plan with a change, checked once.
type trial struct {
	once   sync.Once
	report *fit.Report // nil: it cannot be read
}

func byID(fs []verdict.Finding) map[string]*verdict.Finding {
	out := make(map[string]*verdict.Finding, len(fs))
	for i := range fs {
		out[fs[i].ID] = &fs[i]
	}
	return out
}

// read returns the plan with a change; nil where it cannot be read so.
func (f *finder) read(edits []plan.Edit) *scene.Scene {
	d, err := f.draft.With(edits...)
	if err != nil {
		return nil
	}
	s, err := d.Read()
	if err != nil {
		return nil // a plan with that change says something impossible
	}
	return s
}

// known tells whether the plan with a change was checked already.
func (f *finder) known(edits []plan.Edit) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.trials[keyOf(edits)+briefly] != nil
}

func keyOf(edits []plan.Edit) string {
	var key strings.Builder
	for _, e := range edits {
		key.WriteString(e.Key + "\x00" + e.Value + "\x00")
	}
	return key.String()
}

// briefly marks a trial with brief searches.
const briefly = "briefly"

// check checks the plan with a change from scratch, with brief searches or all; nil
// where it cannot be read.
func (f *finder) check(edits []plan.Edit, brief bool) *fit.Report {
	key, ctx := keyOf(edits), f.ctx
	if brief {
		key, ctx = key+briefly, passage.AtLeast(passage.Briefly(ctx))
	}
	f.mu.Lock()
	t := f.trials[key]
	if t == nil {
		t = &trial{}
		f.trials[key] = t
	}
	f.mu.Unlock()
	t.once.Do(func() {
		if s := f.read(edits); s != nil {
			r := fit.Check(ctx, s, fit.Options{})
			t.report = &r
		}
	})
	return t.report
}

// help fills in what would help one check.
func (f *finder) help(a *Answer) {
	t := f.task(&a.Finding)
	for _, m := range makers {
		if f.ctx.Err() != nil {
			break
		}
		m(t)
		if t.good() >= Offered {
			break
		}
	}
	if len(t.fixes) == 0 && f.ctx.Err() == nil {
		t.together()
	}
	a.Fixes, a.Bears = t.fixes, t.bears
	a.Stopped = f.ctx.Err() != nil
	slices.SortStableFunc(a.Fixes, byEffort)
}

// good counts the fixes that make the check ok.
func (t *task) good() int {
	n := 0
	for _, x := range t.fixes {
		if x.After == verdict.OK {
			n++
		}
	}
	return n
}

// offer checks the plan with a change, and offers it where the check comes out
// better and no other one as no. It tells whether it does.
func (t *task) offer(x Fix) bool {
	f := t.finder
	x.Bears = x.Bears || x.Effort.bears()
	if x.Bears && t.full() {
		return false
	}
	if f.ctx.Err() != nil || !f.known(x.Edits) && !t.promising(x.Edits, verdict.No) {
		return false
	}
	// Brief searches first: what they find and show stands. Only another check that
	// they leave worse than it was asks for the long ones.
	r := f.check(x.Edits, true)
	if !t.better(&x, r) {
		return false
	}
	if t.blurred(r) {
		if r = f.check(x.Edits, false); !t.better(&x, r) {
			return false
		}
	}
	if f.ctx.Err() != nil {
		return false
	}
	for i := range r.Checks {
		c := &r.Checks[i]
		was := verdict.OK
		if b := f.before[c.ID]; b != nil {
			was = b.Verdict
		}
		change := Change{c.ID, was, c.Verdict, c.Summary}
		switch {
		case c.ID == t.id || c.Verdict == was:
		case c.Verdict.Rank() > was.Rank():
			x.Worse = append(x.Worse, change)
		case c.Verdict != verdict.Unsure:
			x.Better = append(x.Better, change)
		}
	}
	if x.Bears {
		v := standing(r)
		if v == verdict.No {
			return false
		}
		x.Stand, x.Caution = &v, strings.TrimSpace(CautionBears+" "+x.Caution)
	}
	t.fixes = append(t.fixes, x)
	return true
}

// better notes what the check says of a plan with a change, and tells whether that
// is better and no other check comes out as no that did not, or lacks data.
func (t *task) better(x *Fix, r *fit.Report) bool {
	if r == nil || t.ctx.Err() != nil || len(newlyLeftOut(t.base.LeftOut, r.LeftOut)) > 0 {
		return false
	}
	if t.spoiled(r.Checks, verdict.No) {
		return false
	}
	switch c := byID(r.Checks)[t.id]; {
	case c != nil:
		x.After, x.Summary = c.Verdict, c.Summary
	case t.family == fit.Gap: // no longer near each other
		x.After, x.Summary = verdict.OK, ""
	default:
		return false
	}
	return x.After == verdict.OK || x.After == verdict.Tight && t.was == verdict.No
}

// blurred tells whether something about another check comes out worse than it was,
// which longer searches may clear up.
func (t *task) blurred(r *fit.Report) bool {
	for i := range r.Checks {
		c := &r.Checks[i]
		was := verdict.OK
		if b := t.before[c.ID]; b != nil {
			was = b.Verdict
		}
		family, _, _ := strings.Cut(c.ID, "/")
		moving := family == fit.Passage || family == fit.Service
		if moving && c.ID != t.id && c.Verdict.Rank() > was.Rank() {
			return true
		}
	}
	return false
}

// standing returns how the stand comes out; unsure where nothing was judged of it.
func standing(r *fit.Report) verdict.Verdict {
	v, judged := verdict.OK, false
	for i := range r.Checks {
		if strings.HasPrefix(r.Checks[i].ID, "stand/") {
			v, judged = verdict.Worst(v, r.Checks[i].Verdict), true
		}
	}
	if !judged {
		return verdict.Unsure
	}
	return v
}

// newlyLeftOut returns the checks that lack data after a change and did not
// before: nothing is promised where a check falls away.
func newlyLeftOut(before, after []verdict.LeftOut) []string {
	var out []string
	for _, l := range after {
		if !slices.Contains(before, l) {
			out = append(out, l.ID)
		}
	}
	return out
}

// full tells whether a filled display stands on the cabinet.
func (t *task) full() bool {
	d := t.scene.Display
	return d != nil && d.Standing == scene.Full
}

// grid is the step of a change: what a tape tells.
func grid(u unit.System) unit.Length {
	if u == unit.Inches {
		return unit.Inch / 16
	}
	return unit.Millimetre
}
