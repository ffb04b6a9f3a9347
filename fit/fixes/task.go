package fixes

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"undercroft/fit"
	"undercroft/fit/gap"
	"undercroft/fit/passage"
	"undercroft/fit/reach"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

const sump = "sump"

// What else than taking out its family judges, as the names in ids begin.
const (
	cord  = "cord"
	hose  = "hose"
	strip = "strip"
)

// A task is one check that is to come out better.
type task struct {
	*finder
	found  *verdict.Finding
	id     string
	family string
	about  []string // the names in the id: things, fixtures, places, timbers
	kind   string   // of a check of the family that judges taking out: cord, hose or strip; "" for what is taken out
	was    verdict.Verdict
	fixes  []Fix
	bears  []string
	judged map[string]verdict.Verdict // plans with a change, looked at quickly
	levers []lever                    // what was tried
}

func (f *finder) task(c *verdict.Finding) *task {
	names, kind := strings.Split(c.ID, "/"), ""
	if names[0] == fit.Service {
		for _, what := range []string{cord, hose, strip} {
			if n, ok := strings.CutPrefix(names[1], what+" "); ok {
				names[1], kind = n, what
			}
		}
	}
	return &task{finder: f, found: c, id: c.ID, family: names[0], about: names[1:], kind: kind, was: c.Verdict, judged: map[string]verdict.Verdict{}}
}

// in tells whether the check is of one of some families.
func (t *task) in(families ...string) bool { return slices.Contains(families, t.family) }

// judge returns what the check says of a plan with a change, looked at quickly:
// only what it hangs on, and without the longest searches. What it cannot tell is
// Unsure.
func (t *task) judge(s *scene.Scene) verdict.Verdict {
	ctx := passage.WaysOnly(t.ctx)
	var fs verdict.Findings
	switch t.family {
	case fit.Passage:
		return t.goes(ctx, s)
	case fit.Reach:
		for _, p := range s.Places() {
			if p.Name == t.about[0] {
				return reach.Decide(ctx, s, p).Verdict
			}
		}
	}
	for _, f := range fit.Families() {
		// The stand judges the feet, too, which are told of with the weight.
		if f.ID == t.family || f.ID == fit.Stand && t.family == fit.Weight {
			fs.Add(f.Check(ctx, s, nil))
		}
	}
	if c := byID(fs.Checks)[t.id]; c != nil {
		return c.Verdict
	}
	if t.family == fit.Gap {
		return verdict.OK // not near enough to each other to be told
	}
	return verdict.Unsure
}

// goes decides whether the thing goes in: the worst of what travels by itself,
// each by its best opening.
func (t *task) goes(ctx context.Context, s *scene.Scene) verdict.Verdict {
	thing, ok := s.Thing(t.about[0])
	if !ok {
		return verdict.Unsure
	}
	worst := verdict.OK
	for _, g := range thing.Groups {
		best := verdict.No
		for i := range s.Cabinet.Openings {
			o := &s.Cabinet.Openings[i]
			if o.BeforeDisplay && s.Display != nil && s.Display.Standing != scene.NotYet {
				continue
			}
			w := passage.JobOf(s, thing, g, o).Decide(ctx)
			if w.Verdict.Rank() < best.Rank() {
				best = w.Verdict
			}
			if best == verdict.OK {
				break
			}
		}
		if worst = verdict.Worst(worst, best); worst == verdict.No {
			break
		}
	}
	return worst
}

// reaches tells whether a change makes the check come out at least as well as
// wanted, looked at quickly.
func (t *task) reaches(wanted verdict.Verdict, edits []plan.Edit) bool {
	if t.ctx.Err() != nil {
		return false
	}
	v, known := t.judged[keyOf(edits)]
	if !known {
		v = verdict.No // a plan that says something impossible
		if s := t.read(edits); s != nil {
			v = t.judge(s)
		}
		t.judged[keyOf(edits)] = v
	}
	return v.Rank() <= wanted.Rank()
}

// promising tells whether a change is worth a whole check: the check comes out
// better, and what is soon told does not come out as one of some verdicts that it was
// not: nothing is in the way of something at rest, and levels and weights are right.
func (t *task) promising(edits []plan.Edit, not ...verdict.Verdict) bool {
	s := t.read(edits)
	if s == nil {
		return false
	}
	for _, soon := range []func(*scene.Scene) verdict.Findings{gap.Check, water.Check, weight.Check} {
		if t.spoiled(soon(s).Checks, not...) {
			return false
		}
	}
	return t.reaches(t.enough(), edits)
}

// spoiled tells whether a check comes out as one of some verdicts that it did not
// come out as before.
func (t *task) spoiled(checks []verdict.Finding, as ...verdict.Verdict) bool {
	return slices.ContainsFunc(checks, func(c verdict.Finding) bool {
		b := t.before[c.ID]
		return slices.Contains(as, c.Verdict) && (b == nil || b.Verdict != c.Verdict)
	})
}

// size returns how far a lever has to be pulled for the check to come out at least as
// well as wanted: the least that was found to do, 0 for none.
func (t *task) size(l *lever, wanted verdict.Verdict) int {
	stride := doubling
	if !t.dear() && !l.steady {
		stride = finely
	}
	return least(l.first, l.most, stride, func(n int) bool {
		e := l.edits(n)
		return n > l.vain && e != nil && t.reaches(wanted, e)
	})
}

// Strides as a share of the way so far, one over it: what more does not undo is looked
// for in long ones, what helps only within bounds in short ones.
const doubling, finely = 1, 5

// least returns the least n up to most for which good holds while it does not for
// the one before, looked for in ever longer strides from first on and then by
// halving; 0 where none is found.
func least(first, most, stride int, good func(n int) bool) int {
	lo, hi := 0, 0
	for n := min(first, most); n > 0; n = min(n+max(1, n/stride), most) {
		if good(n) {
			hi = n
			break
		}
		if lo = n; n == most {
			return 0
		}
	}
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; good(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// item returns the equipment of that name and its key in the plan.
func (t *task) item(name string) (*scene.Equipment, string, bool) {
	for i := range t.scene.Equipment {
		if e := &t.scene.Equipment[i]; e.Name == name {
			return e, key("equipment", i), true
		}
	}
	return nil, "", false
}

func key(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }

// given tells whether the plan gives a key.
func (t *task) given(key string) bool {
	_, ok := t.draft.Value(key)
	return ok
}

// length returns the length that the plan gives under a key.
func (t *task) length(key string) (unit.Length, bool) {
	text, ok := t.draft.Value(key)
	if !ok {
		return 0, false
	}
	l, err := unit.ParseLength(unquoted(text), t.scene.Units)
	return l, err == nil
}

// unquoted returns a scalar of YAML without its quotes.
func unquoted(text string) string {
	if n := len(text); n > 1 && text[0] == '\'' && text[n-1] == '\'' {
		return strings.ReplaceAll(text[1:n-1], "''", "'")
	}
	if plain, err := strconv.Unquote(text); err == nil {
		return plain
	}
	return text
}

// written returns a length as it is written into a plan: as a tape reads where
// that is exact.
func (t *task) written(l unit.Length) string {
	l = unit.Length(math.Round(l.MM()*1e6) / 1e6) // whole nanometres, as lengths are read
	text := t.scene.Units.Fine(l)
	if back, err := unit.ParseLength(text, t.scene.Units); err == nil && back == l {
		return text
	}
	return strconv.FormatFloat(l.MM(), 'f', -1, 64) + " mm"
}

// said returns a length in a sentence.
func (t *task) said(l unit.Length) string { return t.scene.Units.Fine(l) }

// dear tells whether the check takes a search.
func (t *task) dear() bool { return t.moves() || t.in(fit.Reach) }

// grain is the step of a change for this check: coarser where each is dear to judge.
func (t *task) grain() unit.Length {
	g := grid(t.scene.Units)
	switch {
	case !t.dear():
		return g
	case t.scene.Units == unit.Inches:
		return 4 * g
	}
	return 5 * g
}

// step returns n steps.
func (t *task) step(n int) unit.Length { return unit.Length(n) * t.grain() }

// inches returns so many steps as make up about that many inches, at least one.
func (t *task) inches(n float64) int {
	return max(1, int(unit.Length(n)*unit.Inch/t.grain()))
}

// sumps tells whether the check may hang on the size of the sump.
func (t *task) sumps() bool {
	if t.scene.Sump == nil {
		return false
	}
	if t.in(fit.Water, fit.Reach) || t.in(fit.Service) && t.kind != cord && t.kind != hose || t.id == "weight/lift" {
		return true
	}
	for _, n := range t.about {
		if n == sump {
			return true
		}
		if e, _, ok := t.item(n); ok && e.Chamber > 0 && t.in(fit.Passage) {
			return true
		}
	}
	return false
}
