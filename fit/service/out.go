package service

import (
	"context"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

type verdictKey struct{}

// VerdictOnly returns a context for who asks whether all comes out and not what is the
// least that has to come out before: what comes out after other things is tight, so
// that of ways past those only such are looked for that would be better.
func VerdictOnly(ctx context.Context) context.Context {
	return context.WithValue(ctx, verdictKey{}, true)
}

func verdictOnly(ctx context.Context) bool { return ctx.Value(verdictKey{}) != nil }

// TakingOut is the part of Check that looks for ways: it judges each thing that is not
// fixed, and the order of all.
func TakingOut(ctx context.Context, s *scene.Scene, known []verdict.Finding) verdict.Findings {
	var out verdict.Findings
	var things []scene.Thing
	for _, t := range s.Things() {
		if !t.Soft {
			things = append(things, t)
		}
	}
	if len(things) == 0 {
		return out
	}
	if len(s.Cabinet.Openings) == 0 {
		for _, t := range things {
			if !t.Fixed {
				out.LeftOut = append(out.LeftOut, verdict.LeftOut{ID: "service/" + t.Name, Add: "cabinet.openings"})
			}
		}
		return out
	}
	var ways []scene.Motion
	for _, f := range known {
		ways = append(ways, f.Motions...)
	}
	var g *graph
	ask := func(job *passage.Job, long bool) passage.Way {
		switch {
		case g.amply && verdictOnly(ctx):
			return job.Decide(passage.Amply(ctx))
		case long:
			return job.Decide(ctx)
		}
		return job.Decide(passage.Briefly(ctx))
	}
	g = newGraph(s, asTakenOut, ways, ask, newHand(ctx, s))
	g.known = known
	display := s.Display != nil
	some := g.peel(peeling{out: g.none()}, g.removable(false), g.indices(), display, false)
	hope := g.peel(peeling{out: g.none()}, g.removable(true), g.indices(), display, true)
	for _, t := range things {
		if !t.Fixed {
			out.Checks = append(out.Checks, g.finding(t, some, hope))
		}
	}
	out.Checks = append(out.Checks, g.bringing().order())
	out.Cautions = []string{caution}
	return out
}

// caution goes with taking out: common practice, no source.
const caution = "Before anything is taken out: pump and heater unplugged, valves shut, what holds water emptied where it stands."

// finding says whether and how a thing comes out.
func (g *graph) finding(t scene.Thing, some, hope peeling) verdict.Finding {
	goal := g.of(t.Name)
	f := verdict.Finding{
		ID: "service/" + t.Name, Room: math.NaN(), Assumed: assumed(g.s),
		Source: []string{"verified way out, or proof of none, computed here"},
	}
	switch {
	case goal.within(some.out):
		p := g.smallest(goal, g.removable(false), some)
		g.comesOut(&f, t, goal, p)
	case goal.within(hope.out):
		f.Verdict = verdict.Unsure
		f.Summary = "not decided: " + g.openQuestion(goal, some)
		f.Measures = g.measures(unbounded(), g.s.Carry, nil)
		f.Again = "measure again where it stands, and what stands round it"
	default:
		g.staysIn(&f, goal, hope)
	}
	g.hardPipe(&f, t)
	return f
}

// comesOut fills in what is known of a thing that comes out.
func (g *graph) comesOut(f *verdict.Finding, t scene.Thing, goal set, p plan) {
	out := g.none()
	verdicts := []verdict.Verdict{verdict.OK}
	margin := verdict.Exactly(unit.Length(math.Inf(1)))
	var worst answer
	var moves []string
	for _, i := range p.order {
		if goal[i] {
			a := g.best(i, out, g.s.Display != nil)
			q := &g.pieces[i]
			verdicts = append(verdicts, a.verdict)
			if worst.way == nil || a.margin.Lo < worst.margin.Lo {
				worst = a
			}
			margin.Lo, margin.Hi = min(margin.Lo, a.margin.Lo), min(margin.Hi, a.margin.Hi)
			m := a.way.Taken(g.s.Units, q.thing, q.Group, q.Lifts)
			m.Absent = g.absent(i, out, a.way)
			f.Motions = append(f.Motions, m)
			for _, move := range m.Moves {
				if part, ok := strings.CutPrefix(q.Name, t.Name+"/"); ok {
					move = part + ": " + move
				}
				moves = append(moves, move)
			}
		}
		out[i] = true
	}
	f.Verdict = verdict.Worst(verdicts...)
	first, own := g.firstOf(t, p)
	if len(first) > len(own) {
		f.Verdict = verdict.Worst(f.Verdict, verdict.Tight)
	}
	f.Measures = append(g.measures(margin, worst.wanted, first),
		verdict.Measure{Key: "fewest_shown", Value: p.smallest},
		verdict.Measure{Key: "way", Value: worst.way.Opening},
		verdict.Measure{Key: "moves", Value: moves})
	f.Summary = "comes out through " + worst.way.Opening
	if worst.way.DoorOff {
		f.Summary += " with its door off"
	}
	if len(own) > 0 {
		f.Summary += " after " + list(own) + ", which " + is(len(own)) + " in it"
	}
	if others := except(first, own); len(others) > 0 {
		f.Summary += " once " + list(others) + " " + is(len(others)) + " out"
		if p.smallest {
			f.Summary += " (shown: not with fewer out)"
		} else {
			f.Summary += " (whether fewer would do is not shown)"
		}
		f.Marks = g.between(goal, others[0])
	}
	f.Summary += ", " + manner(worst.way, goal, g) + "; " + spare(g.s, &worst)
	if f.Verdict != verdict.OK && len(f.Marks) == 0 {
		if m, ok := worst.way.Narrowest(); ok {
			m.Label = shown(g.s, &worst)
			f.Marks = []scene.Mark{m}
			f.Again = "measure again where it is narrowest: " + passage.Readable(m.Parts[0]) + " to " + passage.Readable(m.Parts[1])
		}
	}
	f.Room = math.Abs(margin.Lo.MM() - max(worst.wanted, g.s.Tape).MM())
}

// spare says how much room there is to spare, on the lift or on the way.
func spare(s *scene.Scene, a *answer) string {
	if a.margin.Lo < a.way.Margin.Lo {
		return shown(s, a) + " to spare above where it is lifted off"
	}
	return a.way.Spare(s)
}

// shown is the room to spare that was shown, in sentences and on pictures alike.
func shown(s *scene.Scene, a *answer) string {
	if a.margin.Lo < a.way.Margin.Lo {
		return "at least " + s.Units.AtLeast(a.margin.Lo)
	}
	return a.way.Shown(s)
}

// manner says how a thing comes out.
func manner(w *passage.Way, goal set, g *graph) string {
	how := "pulled straight"
	if w.Manner() != "pushed straight" {
		how = "tilted or turned on the way"
	}
	for i, in := range goal {
		if in && g.pieces[i].Lifts > 0 {
			return "its " + strings.TrimPrefix(g.pieces[i].Name, g.pieces[i].thing.Name+"/") + " lifted off first, " + how
		}
	}
	return how
}

// firstOf returns the names of what comes out before t, in the order in which it
// does, and those of them that stand in t or on it.
func (g *graph) firstOf(t scene.Thing, p plan) (first, own []string) {
	first = []string{}
	for _, i := range p.order {
		q := &g.pieces[i]
		if !p.first[i] {
			continue
		}
		// A whole thing goes by its own name, once; a part alone by the part's.
		name := q.Name
		if g.of(q.thing.Name).within(p.first) {
			name = q.thing.Name
		}
		if slices.Contains(first, name) {
			continue
		}
		first = append(first, name)
		if t.Item == nil && (standsIn(q.thing) || hangsOn(q.thing)) {
			own = append(own, name)
		}
	}
	return first, own
}

func except(all, some []string) []string {
	var out []string
	for _, n := range all {
		if !slices.Contains(some, n) {
			out = append(out, n)
		}
	}
	return out
}

// measures are those that other programs rely on.
func (g *graph) measures(m verdict.Margin, wanted unit.Length, first []string) verdict.Measures {
	if first == nil {
		first = []string{}
	}
	return verdict.Measures{
		{Key: "spare_low_mm", Value: m.Lo.MM()},
		{Key: "spare_high_mm", Value: m.Hi.MM()},
		{Key: "wanted_mm", Value: wanted.MM()},
		{Key: "first", Value: first},
	}
}

// absent names what is not there while piece i comes out.
func (g *graph) absent(i int, out set, w *passage.Way) []string {
	var names []string
	for j := range g.pieces {
		q := &g.pieces[j]
		if !out[j] || i == j {
			continue
		}
		name := q.Name
		if q.thing.Name != g.pieces[i].thing.Name && g.of(q.thing.Name).within(out) {
			name = q.thing.Name
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if w.DoorOff {
		names = append(names, w.Opening)
	}
	return names
}

// between marks the place where a thing and what must come out before it come
// nearest.
func (g *graph) between(goal set, other string) []scene.Mark {
	nearest := solid.Gap{Dist: math.Inf(1)}
	mark := scene.Mark{Label: "first"}
	for i, in := range goal {
		if !in {
			continue
		}
		for j := range g.pieces {
			q := &g.pieces[j]
			if q.thing.Name != other && q.Name != other {
				continue
			}
			for _, a := range g.pieces[i].rests {
				for _, b := range q.rests {
					if d := solid.Distance(a.Solid, b.Solid); d.Dist < nearest.Dist {
						nearest = d
						mark.From, mark.To, mark.Parts = d.OnA, d.OnB, []string{a.Name, b.Name}
					}
				}
			}
		}
	}
	if mark.Parts == nil {
		return nil
	}
	return []scene.Mark{mark}
}

// staysIn fills in the proof that a thing does not come out.
func (g *graph) staysIn(f *verdict.Finding, goal set, hope peeling) {
	f.Verdict = verdict.No
	margin := unbounded()
	by := []string{} // what is in the way
	whatever := true // nothing that comes out before it helps
	reason := ""
	for i, in := range goal {
		if !in || hope.out[i] {
			continue
		}
		a, free := g.stuck(i, hope.out, g.s.Display != nil)
		if !free {
			for j, needed := range g.pieces[i].needs {
				if n := g.pieces[j].thing.Name; needed && !hope.out[j] && !goal[j] && !slices.Contains(by, n) {
					by, reason = append(by, n), "it cannot be moved before "+list(append(slices.Clone(by), n))+", which "+stays(len(by)+1)+" in it"
					whatever = false
				}
			}
			continue
		}
		margin.Hi = min(margin.Hi, a.margin.Hi)
		reason = a.reason
		whatever = whatever && a.used.count() == 0
		for _, n := range a.with {
			if !slices.Contains(by, n) {
				by = append(by, n)
			}
		}
	}
	lock := g.loop(goal, hope.out, g.s.Display != nil)
	f.Measures = append(g.measures(margin, g.s.Carry, nil),
		verdict.Measure{Key: "locked_by", Value: by},
		verdict.Measure{Key: "lock_each_other", Value: lock})
	f.Summary = "does not come out: "
	switch {
	case reason != "":
		f.Summary += reason
	case whatever && len(by) == 0:
		f.Summary += "shown impossible, whatever else is taken out first"
	case whatever:
		f.Summary += "shown impossible past " + list(by) + ", whatever else is taken out first"
	default:
		f.Summary += "shown impossible past " + list(by)
	}
	if len(lock) > 1 {
		f.Summary += "; " + list(lock) + " lock each other in"
	}
	f.Again = "measure again where it stands, and the free width and height of the opening"
	// What does not come out as it does not go in is held where that is.
	in := "passage/" + strings.TrimPrefix(f.ID, "service/")
	i := slices.IndexFunc(g.known, func(k verdict.Finding) bool { return k.ID == in && k.Verdict == verdict.No })
	if i >= 0 && strings.HasSuffix(g.known[i].Summary, reason) && len(g.known[i].Marks) > 0 {
		f.Marks = g.known[i].Marks
		return
	}
	for _, n := range by {
		if m := g.between(goal, n); m != nil {
			m[0].Label = "in the way"
			f.Marks = m
			return
		}
	}
	for i, in := range goal {
		if in {
			p := g.pieces[i].rests[0]
			m := middle(p.Solid.Bounds())
			f.Marks = []scene.Mark{{From: m, To: m, Label: "stays in", Parts: []string{p.Name}}}
			return
		}
	}
}

// stuck returns why piece i does not come out when those of out are. Where
// something must be out before it that is not, it is asked as if all were: what
// then holds it, holds it anyhow; else it is not free to be asked.
func (g *graph) stuck(i int, out set, display bool) (a answer, free bool) {
	if g.pieces[i].needs.within(out) {
		return g.decide(i, out, display), true
	}
	a = g.decide(i, union(out, g.freest(i)), display)
	return a, a.verdict == verdict.No
}

// loop returns the things of those left that keep each other in, beginning with
// these pieces: what is left rests on what is left.
func (g *graph) loop(from, out set, display bool) []string {
	seen := slices.Clone(from)
	for again := true; again; {
		again = false
		for i := range g.pieces {
			if !seen[i] || out[i] {
				continue
			}
			by := without(g.pieces[i].needs, out)
			if a, free := g.stuck(i, out, display); free {
				by = a.used
			}
			for j, in := range by {
				if in && !out[j] && !seen[j] {
					seen[j], again = true, true
				}
			}
		}
	}
	var names []string
	for i, in := range seen {
		if n := g.pieces[i].thing.Name; in && !out[i] && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return names
}

// openQuestion says what was not decided.
func (g *graph) openQuestion(goal set, some peeling) string {
	for i, in := range goal {
		if !in || some.out[i] {
			continue
		}
		for j, needed := range g.pieces[i].needs {
			if needed && !some.out[j] && !goal[j] {
				return "whether " + g.pieces[j].thing.Name + ", which is in it, comes out"
			}
		}
		a := g.decide(i, some.out, g.s.Display != nil)
		if a.verdict == verdict.Unsure {
			return a.reason
		}
		var by []string
		for j, u := range a.used {
			if n := g.pieces[j].thing.Name; u && !some.out[j] && !slices.Contains(by, n) {
				by = append(by, n)
			}
		}
		if len(by) > 0 {
			return "it does not come out past " + list(by) + ", and whether " + they(len(by)) + " not known"
		}
	}
	return "no way found within the budget, and not shown impossible"
}

// assumed lists what the plan does not give and takes part in ways.
func assumed(s *scene.Scene) []string {
	var out []string
	for _, a := range s.Assumed {
		if slices.ContainsFunc([]string{"carry", "tape", "room", "cabinet", "sump.glass"}, func(p string) bool { return strings.HasPrefix(a.Key, p) }) {
			out = append(out, a.Text)
		}
	}
	return out
}

// list joins names in words: a, b and c.
func list(names []string) string {
	names = slices.Clone(names)
	for i, n := range names {
		names[i] = passage.Readable(n)
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

func is(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

func stand(n int) string {
	if n == 1 {
		return "stands"
	}
	return "stand"
}

func stays(n int) string {
	if n == 1 {
		return "stays"
	}
	return "stay"
}

func they(n int) string {
	if n == 1 {
		return "that comes out is"
	}
	return "those come out is"
}

// middle returns the middle of b.
func middle(b r3.Box) r3.Vec { return r3.Scale(0.5, r3.Add(b.Min, b.Max)) }
