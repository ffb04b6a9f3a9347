package service

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func unbounded() verdict.Margin {
	return verdict.Margin{Lo: unit.Length(math.Inf(-1)), Hi: unit.Length(math.Inf(1))}
}

// decide answers whether piece i can be taken out while those of out are, with the
// display standing or not. Where there are no more questions to ask, something that
// was not decided with more in the way stays so, unless what the known way ran into
// is out by now.
func (g *graph) decide(i int, out set, display bool) answer {
	p := &g.pieces[i]
	for _, f := range p.facts {
		if f.going() && f.out.within(out) && (f.display || !display) {
			return f.answer // fewer things in the way never hurt
		}
	}
	for _, f := range slices.Backward(p.facts) { // what was looked for thoroughly came later
		if f.display != display {
			continue
		}
		switch f.verdict {
		case verdict.No:
			// All that the proof rests on is there.
			if out.within(f.out) || !f.used.meets(out) {
				return f.answer
			}
		case verdict.Unsure:
			if slices.Equal(out, f.out) && (f.long || !g.long) ||
				g.questions == 0 && f.out.within(out) && f.try.count() > 0 && !f.try.within(out) {
				return f.answer
			}
		case verdict.OK, verdict.Tight:
		}
	}
	a := g.answer(i, out, display)
	if !a.unasked {
		p.facts = append(p.facts, fact{slices.Clone(out), display, g.long, a})
	}
	return a
}

// best is decide for a way that is to be told of: where all that is known is a way
// that was found with more in the way, and it is tight, it looks again.
func (g *graph) best(i int, out set, display bool) answer {
	a := g.decide(i, out, display)
	if a.verdict != verdict.Tight {
		return a
	}
	p := &g.pieces[i]
	for _, f := range p.facts {
		if f.going() && f.display == display && slices.Equal(f.out, out) {
			return f.answer
		}
	}
	if b := g.throughAny(i, out, display); b.going() && better(&b, &a) {
		a = b
	}
	p.facts = append(p.facts, fact{slices.Clone(out), display, g.long, a})
	return a
}

// answer finds out: first whether a hand gets to what holds the piece, then past
// each opening in turn.
func (g *graph) answer(i int, out set, display bool) answer {
	p := &g.pieces[i]
	if a, held := g.held(i, out); held {
		return a
	}
	a := g.throughAny(i, out, display)
	if a.verdict != verdict.Unsure {
		return a
	}
	// A proof against all the others out holds with them there, too; a way past
	// none of them tells which are in the way.
	if most := g.freest(i); !most.within(out) && !a.unasked {
		if b := g.decide(i, most, display); b.verdict == verdict.No {
			return b
		}
	}
	a.try = g.runsInto(p, out)
	return a
}

// freest returns every piece that can be out while piece i is in: all but it, what
// needs it to be out first, and what stays.
func (g *graph) freest(i int) set {
	out := g.none()
	for j := range g.pieces {
		out[j] = j != i && !g.pieces[j].stays && !g.closure(j)[i]
	}
	return out
}

// closure returns piece i and all that must be out before it.
func (g *graph) closure(i int) set {
	all := g.none()
	var add func(i int)
	add = func(i int) {
		if all[i] {
			return
		}
		all[i] = true
		for j, needed := range g.pieces[i].needs {
			if needed {
				add(j)
			}
		}
	}
	add(i)
	return all
}

// throughAny looks for a way out through each opening; the best one counts.
func (g *graph) throughAny(i int, out set, display bool) answer {
	p := &g.pieces[i]
	there := g.present(i, out, display)
	group := raised(p.Group, p.Lifts)
	best := answer{verdict: verdict.No, margin: unbounded(), used: g.none()}
	undecided := answer{}
	var later []string // openings that are none once the display stands
	for k := range g.s.Cabinet.Openings {
		o := &g.s.Cabinet.Openings[k]
		if display && o.BeforeDisplay {
			later = append(later, o.Name)
			continue
		}
		job := passage.JobAmong(g.s, p.thing, group, o, there)
		a := g.through(p, out, job)
		switch {
		case a.going():
			if !best.going() || better(&a, &best) {
				best = a
			}
		case best.going():
		case a.verdict == verdict.No:
			for j := range a.used {
				a.used[j] = a.used[j] || best.used[j]
			}
			a.with = append(best.with, a.with...)
			best = a
		default:
			a.unasked = a.unasked || undecided.unasked
			undecided = a
		}
		if best.verdict == verdict.OK {
			break
		}
	}
	if !best.going() && undecided.reason != "" {
		return undecided
	}
	if n := len(later); n > 0 && n == len(g.s.Cabinet.Openings) {
		best.reason = "there is no way through " + list(later) + " once the display stands"
	}
	return best
}

// helps returns the pieces of which one has to be out for the answer to be another:
// as a proof tells, or else as the way that is known does.
func (a *answer) helps() (pieces set, shown bool) {
	if a.verdict == verdict.No && a.try == nil {
		return a.used, true
	}
	return a.try, false
}

// better tells whether a is the better way of two.
func better(a, b *answer) bool {
	if d := a.verdict.Rank() - b.verdict.Rank(); d != 0 {
		return d < 0
	}
	return a.margin.Lo > b.margin.Lo
}

// through answers one job, the lift of the piece included.
func (g *graph) through(p *piece, out set, job *passage.Job) answer {
	up := g.lift(p, job)
	if up.verdict == verdict.No {
		used, with := g.owners(p, []string{up.by})
		return answer{verdict: verdict.No, margin: up.margin, reason: up.reason, used: used, with: with}
	}
	w, asked := g.wayOf(p, out, job)
	switch {
	case !asked:
		return answer{margin: unbounded(), reason: "the way that is known is not free", unasked: true}
	case w.Going() && up.verdict != verdict.Unsure:
		a := answer{way: &w, margin: w.Margin, wanted: w.Wanted, verdict: verdict.Worst(w.Verdict, up.verdict)}
		if up.margin.Lo < a.margin.Lo {
			a.wanted = max(job.Wanted, job.WantedTurned)
		}
		a.margin.Lo = min(a.margin.Lo, up.margin.Lo)
		a.margin.Hi = min(a.margin.Hi, up.margin.Hi)
		return a
	case w.Verdict == verdict.No:
		used, with := g.owners(p, w.Used)
		return answer{verdict: verdict.No, margin: w.Margin, reason: w.Reason, used: used, with: with}
	case up.verdict == verdict.Unsure:
		return answer{margin: unbounded(), reason: up.reason}
	}
	return answer{margin: unbounded(), reason: w.Reason}
}

// owners returns the pieces of the things and fixtures of these names, without
// piece p's own thing, and the names of those that stay.
func (g *graph) owners(p *piece, names []string) (used set, with []string) {
	used = g.none()
	for _, name := range names {
		if name == "" || name == p.thing.Name {
			continue
		}
		with = append(with, name)
		for j := range g.pieces {
			q := &g.pieces[j]
			if !q.stays && slices.ContainsFunc(q.rests, func(r scene.Part) bool { return r.Of == name }) {
				used[j] = true
			}
		}
	}
	return used, with
}

// wayOf looks for a way in for a job: the ways that are known first. Where there are
// no more questions to ask and a way is known, whichever opening it is by, but none by
// this one is free, it leaves it at that.
func (g *graph) wayOf(p *piece, out set, job *passage.Job) (way passage.Way, asked bool) {
	var best passage.Way
	for k := range p.paths {
		have := &p.paths[k]
		if have.opening != job.Opening.Name {
			continue
		}
		w := job.Along(have.path, have.doorOff)
		if !w.Going() {
			continue
		}
		if !best.Going() || w.Margin.Lo > best.Margin.Lo {
			best = w
		}
		if best.Verdict == verdict.OK {
			return best, true
		}
		// The search that found it, past no more than is there now, found none better.
		if out.within(have.out) && w.Margin.Lo >= have.low(g.s, p, job)-verdict.Resolution {
			return best, true
		}
	}
	if len(p.paths) > 0 && g.questions == 0 {
		return best, best.Going()
	}
	g.questions = max(0, g.questions-1)
	w := g.ask(job, g.long)
	if w.Going() {
		p.paths = append(p.paths, knownWay{job.Opening.Name, w.Path, w.DoorOff, slices.Clone(out), &w.Margin.Lo})
	}
	if best.Going() && (!w.Going() || best.Margin.Lo > w.Margin.Lo) {
		return best, true
	}
	return w, true
}

// low returns what a way keeps clear where it was found.
func (k *knownWay) low(s *scene.Scene, p *piece, job *passage.Job) unit.Length {
	if k.clear == nil {
		w := passage.JobOf(s, p.thing, p.Group, job.Opening).Along(k.path, k.doorOff)
		k.clear = &w.Margin.Lo
	}
	return *k.clear
}

// plainWay looks for a way of piece i past nothing that can be out: it is likely to
// run into little.
func (g *graph) plainWay(i int) {
	p := &g.pieces[i]
	display := g.s.Display != nil
	out := g.freest(i)
	there := g.present(i, out, display)
	for k := range g.s.Cabinet.Openings {
		o := &g.s.Cabinet.Openings[k]
		if display && o.BeforeDisplay {
			continue
		}
		w := g.ask(passage.JobAmong(g.s, p.thing, raised(p.Group, p.Lifts), o, there), false)
		if w.Going() {
			p.paths = append(p.paths, knownWay{o.Name, w.Path, w.DoorOff, out, &w.Margin.Lo})
		}
	}
}

// runsInto returns the pieces that are not out and that a known way of p runs
// into: of the way that runs into the fewest.
func (g *graph) runsInto(p *piece, out set) set {
	var best set
	group := raised(p.Group, p.Lifts)
	body := make([]solid.Solid, len(group.Parts))
	for i, q := range group.Parts {
		body[i] = q.Solid
	}
	for _, known := range p.paths {
		way := known.path
		way.Poses = way.Poses[:len(way.Poses)-1]
		hit := g.none()
		for j := range g.pieces {
			q := &g.pieces[j]
			if out[j] || q.stays || q.thing.Name == p.thing.Name {
				continue
			}
			for _, r := range q.rests {
				hit[j] = hit[j] || verify.Keeps(body, way, []solid.Solid{r.Solid}, 0) != nil
			}
		}
		if best == nil || hit.count() < best.count() {
			best = hit
		}
	}
	if best == nil {
		return g.none()
	}
	return best
}

// A rise is what is known about lifting a piece straight up before it moves
// otherwise.
type rise struct {
	verdict verdict.Verdict
	margin  verdict.Margin
	by      string // owner of what it is lifted into
	reason  string
}

// lift answers whether a piece can be lifted straight up as far as it must: what
// it keeps clear of above, while it may touch beside and below what it touches at
// rest. The other parts of its own thing are made for it.
func (g *graph) lift(p *piece, job *passage.Job) rise {
	if p.Lifts == 0 {
		return rise{verdict: verdict.OK, margin: verdict.Exactly(unit.Length(math.Inf(1)))}
	}
	var body, others []solid.Solid
	for _, q := range p.Parts {
		body = append(body, q.Solid)
	}
	var around []scene.Part
	for _, q := range job.Others {
		if q.Of != p.thing.Name {
			around, others = append(around, q), append(others, q.Solid)
		}
	}
	free := func(more unit.Length) bool {
		path := solid.Path{Poses: []solid.Pose{solid.Rest, {Turn: solid.Rest.Turn, Shift: raise(p.Lifts + more)}}}
		return verify.Keeps(body, path, others, -verdict.Contact.MM()) == nil
	}
	wanted := max(job.Wanted, job.WantedTurned)
	want := max(wanted, job.Tape)
	ample := max(passage.Ample, want)
	switch {
	case free(ample):
		return rise{verdict: verdict.OK, margin: verdict.Margin{Lo: ample, Hi: unit.Length(math.Inf(1))}}
	case free(0):
		lo, hi := unit.Length(0), ample
		if free(want) {
			lo = want
		}
		for hi-lo > verdict.Resolution {
			if mid := (lo + hi) / 2; free(mid) {
				lo = mid
			} else {
				hi = mid
			}
		}
		m := verdict.Margin{Lo: lo, Hi: unit.Length(math.Inf(1))}
		return rise{verdict: m.Judge(wanted, job.Tape), margin: m}
	case job.RestAssumed:
		return rise{reason: "lifted from where it is assumed to stand it overlaps something"}
	}
	// Two contacts more than the tape, so that what touches is no proof.
	less := job.Tape + 2*verdict.Contact
	for _, q := range around {
		if q.Sure == nil {
			continue
		}
		for _, b := range body {
			if d := deepest(b, q.Sure, p.Lifts); d < -less.MM() {
				return rise{
					verdict: verdict.No, margin: verdict.Exactly(unit.Length(d)), by: q.Of,
					reason: "it must rise " + g.s.Units.Length(p.Lifts) + " to come off, and " + passage.Readable(q.Name) + " is in the way",
				}
			}
		}
	}
	return rise{reason: "whether it can rise as far as it must is too close to call"}
}

// deepest returns the least distance between a that rises by up to h and b. Along
// a straight move the distance of two convex solids, overlap counted negative, is
// a convex function: three-part search finds its least.
func deepest(a, b solid.Solid, h unit.Length) float64 {
	at := func(z unit.Length) float64 {
		return solid.Distance(a.Moved(solid.Pose{Turn: solid.Rest.Turn, Shift: raise(z)}), b).Dist
	}
	lo, hi := unit.Length(0), h
	for hi-lo > verdict.Resolution {
		third := (hi - lo) / 3
		if at(lo+third) < at(hi-third) {
			hi -= third
		} else {
			lo += third
		}
	}
	return at((lo + hi) / 2)
}

// raise is the move straight up by l.
func raise(l unit.Length) r3.Vec { return r3.Vec{Z: l.MM()} }
