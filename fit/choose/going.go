package choose

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// An entry is what is known about one sump: where it stands and how it goes in.
type entry struct {
	at *scene.Sump // where it stands, or would; the last place that was tried
	// unplaced tells that no place was found, and none shown impossible.
	unplaced bool
	// stands tells that it stands, and that there are no ways to ask about.
	stands bool
	no     why         // why there is no place or no way, where that is shown
	way    passage.Way // the best way to where it stands
	// gone names the fixtures that may reach into it where it stands: no proof
	// that it goes in nowhere rests on them.
	gone []string
}

// A why says what a no is shown of.
type why int

const (
	notShown  why = iota
	noPlace       // it stands nowhere in the cabinet
	noPassage     // it goes in to no place in the cabinet
)

// going reports whether a place and a way to it are known; where the plan has no
// openings, a place.
func (e *entry) going() bool { return e.stands || e.no == notShown && e.way.Going() }

// reach returns how far from left to right and from front to back a sump is, together,
// in mm.
func (e *entry) reach() float64 {
	if e.at == nil {
		return 0
	}
	d := r3.Sub(e.at.Box.Max, e.at.Box.Min)
	return d.X + d.Y
}

// tryIn looks for a place where a sump stands, and for a way to it, as far as one place
// tells. Known are entries of other sumps that what is known of may help to decide.
func (b *Base) tryIn(ctx context.Context, s *scene.Sump, known *ledger) entry {
	e, q := b.placed(s)
	if !e.open() {
		return e
	}
	e.gone = b.fixturesIn(b.swept(q))
	if known.shownImpossible(q.sump, e.gone) {
		e.no = noPassage
		return e
	}
	// Where nothing may reach into it anywhere, one proof speaks of all places.
	var shown bool
	where := b.within(q)
	var all *rect
	if len(e.gone) == 0 {
		all = &where
	}
	if e.way, shown = b.best(ctx, e.at, all); e.way.Going() {
		return e
	}
	if shown && (all != nil || b.nowhere(ctx, e.at, where, e.gone)) {
		e.no = noPassage
		return e
	}
	// What a larger one does may still be a way.
	if at, w, ok := known.follows(b, q); ok && !e.way.Going() {
		e.at, e.way = at, w
	}
	return e
}

// longer goes on with a sump of which tryIn did not find out: with what others taught
// since, then with searches, for a way to any of a few places, and a proof that there is
// none to any, in turn, each round longer than the one before.
func (b *Base) longer(ctx context.Context, s *scene.Sump, known *ledger, e entry) entry {
	_, q := b.placed(s)
	if known.shownImpossible(q.sump, e.gone) {
		e.no = noPassage
		return e
	}
	if at, w, ok := known.follows(b, q); ok {
		e.at, e.way = at, w
		return e
	}
	at := []*scene.Sump{e.at}
	for _, other := range b.corners(q) {
		at = append(at, q.at(other))
	}
	d := b.deny(s, s)
	for rounds := 1; rounds <= passage.Rounds && ctx.Err() == nil; rounds++ {
		if rounds == passage.Rounds {
			at = at[:1] // for all of them that would take long
		}
		for _, at := range at {
			for _, j := range b.jobs(at, nil) {
				if w := j.Barely(ctx, rounds-1); w.Going() {
					e.at, e.way = at, w
					return e
				}
			}
		}
		if d.by(ctx, rounds) {
			e.no = noPassage
			return e
		}
	}
	if known.vain < mostVain {
		if d.by(ctx, passage.Rounds+1) {
			e.no = noPassage
			return e
		}
		known.vain++
	}
	if ctx.Err() == nil && !(e.way.Margin.Hi < 0) { // else what is known already says more
		e.way.Reason = "no way found, and not shown impossible to every place"
	}
	return e
}

// placed looks for a place where a sump stands, the best one there is.
func (b *Base) placed(s *scene.Sump) (entry, *standing) {
	wanted := b.wanted(s)
	q := b.stands(s, wanted.Z)
	here, found := q.place(spot{wanted.X, wanted.Y})
	e := entry{at: q.at(here)}
	switch {
	case !found && q.nowhere(b.within(q)):
		e.at, e.no = q.at(spot{wanted.X, wanted.Y}), noPlace
	case !found:
		e.at, e.unplaced = q.at(spot{wanted.X, wanted.Y}), true
	case len(b.scene.Cabinet.Openings) == 0:
		e.stands = true
	}
	return e, q
}

// hardly looks for a place where a sump stands, and for a way to it, however narrow:
// along those that are known of larger ones first, then as the one that was found last
// goes, then in the rounds of searches after some that were made before.
func (b *Base) hardly(ctx context.Context, s *scene.Sump, known *ledger, before, rounds int) entry {
	e, q := b.placed(s)
	if !e.open() {
		return e
	}
	if at, w, ok := known.follows(b, q); ok {
		e.at, e.way = at, w
		return e
	}
	if n := len(known.yes); n > 0 && before == 0 {
		last := &known.yes[n-1].way
		for _, j := range b.jobs(e.at, nil) {
			if j.Opening.Name != last.Opening {
				continue
			}
			if e.way = j.Like(last.Path, last.DoorOff); e.way.Going() {
				return e
			}
		}
	}
	for round := before; round < rounds; round++ {
		for _, j := range b.jobs(e.at, nil) {
			if e.way = j.Barely(ctx, round); e.way.Going() {
				return e
			}
		}
	}
	return e
}

// closely looks for a place where a sump stands, and for a way to it by what a check
// looks for, briefly.
func (b *Base) closely(ctx context.Context, s *scene.Sump) entry {
	e, _ := b.placed(s)
	if !e.open() {
		return e
	}
	for _, j := range b.jobs(e.at, nil) {
		if e.way = j.Decide(passage.Briefly(ctx)); e.way.Going() {
			break
		}
	}
	return e
}

// best decides every opening for a sump where it stands and returns the best
// answer, and whether all are shown impossible: for every place near, or for all of
// where it may be.
func (b *Base) best(ctx context.Context, at *scene.Sump, where *rect) (best passage.Way, shown bool) {
	shown = true
	for _, j := range b.jobs(at, nil) {
		if where != nil {
			j.Places = places(at, *where)
		}
		w := j.Decide(ctx)
		shown = shown && w.Verdict == verdict.No && w.Proof != ""
		if best.Opening == "" || better(&w, &best) {
			best = w
		}
	}
	if best.Opening == "" {
		best = passage.Way{Verdict: verdict.No, Reason: "its ways are ways only before the display stands"}
	}
	return best, shown
}

// jobs returns the question for each opening that is a way, without the fixtures
// named in gone.
func (b *Base) jobs(at *scene.Sump, gone []string) []*passage.Job {
	s := b.with(at)
	t := s.Things()[0]
	var out []*passage.Job
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		if o.BeforeDisplay && s.Display != nil && s.Display.Standing != scene.NotYet {
			continue
		}
		there := passage.Present{Display: s.Display != nil && !o.BeforeDisplay, Gone: gone}
		out = append(out, passage.JobAmong(s, t, t.Groups[0], o, there))
	}
	return out
}

// places returns the shifts that take a sump to every spot of where.
func places(at *scene.Sump, where rect) *r3.Box {
	is := round(at).Min
	return &r3.Box{Min: r3.Vec{X: where.x0 - is.X, Y: where.y0 - is.Y}, Max: r3.Vec{X: where.x1 - is.X, Y: where.y1 - is.Y}}
}

// nowhere tells whether it is shown that a sump goes in to no spot of where, with
// none of the fixtures in gone.
func (b *Base) nowhere(ctx context.Context, at *scene.Sump, where rect, gone []string) bool {
	for _, j := range b.jobs(at, gone) {
		j.Places = places(at, where)
		if !j.Nowhere(ctx) {
			return false
		}
	}
	return true
}

func better(a, b *passage.Way) bool {
	if a.Verdict != b.Verdict {
		return a.Verdict.Rank() < b.Verdict.Rank()
	}
	return a.Margin.Lo > b.Margin.Lo
}

// A denial looks for a proof that a sump stands nowhere in the cabinet or goes in to no
// place in it.
type denial struct {
	base  *Base
	less  *scene.Sump // hardly smaller
	shown bool
	of    []*passage.Denial // one for each opening
	// gone names the fixtures that may reach into it, on which no proof rests.
	gone  []string
	tried bool // whether it goes in without these
	vain  bool // it does
	// where it is to be shown not to stand, as what
	q     *standing
	where rect
}

// deny returns a denial of a sump, of which no round was run yet; less is one that is
// hardly smaller.
func (b *Base) deny(s, less *scene.Sump) *denial {
	q := b.stands(s, b.wanted(s).Z)
	where := b.within(q)
	d := &denial{base: b, less: less, shown: q.nowhere(where), gone: b.fixturesIn(b.swept(q)), q: q, where: where}
	if d.shown {
		return d
	}
	at := q.at(spot{(where.x0 + where.x1) / 2, (where.y0 + where.y1) / 2})
	for _, j := range b.jobs(at, d.gone) {
		j.Places = places(at, where)
		d.of = append(d.of, j.Deny())
	}
	d.shown = len(d.of) == 0 && len(b.scene.Cabinet.Openings) > 0 // ways only before the display stands
	return d
}

// by tells whether it is shown by so many rounds.
func (d *denial) by(ctx context.Context, rounds int) bool {
	if d.shown || len(d.of) == 0 || rounds > 1 && d.inVain(ctx) {
		return d.shown
	}
	for _, o := range d.of {
		if !o.Shown(ctx, rounds) {
			return false
		}
	}
	d.shown = true
	return true
}

// inVain tells whether it goes in easily but for what reaches into it: nothing shows
// then that it does not.
func (d *denial) inVain(ctx context.Context) bool {
	if !d.tried && len(d.gone) > 0 {
		e, _ := d.base.placed(d.less)
		d.vain = !e.unplaced && slices.ContainsFunc(d.base.jobs(e.at, d.gone), func(j *passage.Job) bool {
			w := j.Barely(ctx, 0)
			return w.Going()
		})
	}
	d.tried = true
	return d.vain
}

// only returns the fixtures, as few as leaving out one after the other comes to, of which
// one at least is shown to reach into it wherever it stands: none where that is not so.
func (d *denial) only() []string {
	var left []string
	shut := d.q.shut()
	if !shut.nowhere(d.where) {
		return nil
	}
	for i, name := range d.gone {
		others := append(slices.Clone(left), d.gone[i+1:]...)
		gone := slices.DeleteFunc(slices.Clone(d.gone), func(n string) bool { return slices.Contains(others, n) })
		if !shut.without(gone).nowhere(d.where) {
			left = append(left, name)
		}
	}
	return left
}

// swept returns a box that holds the box round the sump wherever it may stand.
func (b *Base) swept(q *standing) r3.Box {
	where, out := b.within(q), round(q.sump)
	out.Min = r3.Add(out.Min, r3.Vec{X: where.x0, Y: where.y0})
	out.Max = r3.Add(out.Max, r3.Vec{X: where.x1, Y: where.y1})
	return out
}

// within returns the spots at which a sump smaller by the tape's error may be at
// all: what is sure of its outside within the walls as far as they are sure.
func (b *Base) within(q *standing) rect {
	c := &b.scene.Cabinet
	e := q.sump.Tape.MM()
	// Of assumed trim the outside is known.
	var known []solid.Solid
	for _, p := range q.sump.Carried() {
		if p.Sure != nil {
			known = append(known, p.Sure)
		}
	}
	box, sure := round(q.sump), solid.BoundsOf(known...)
	thick := func(f scene.Face) float64 {
		if w := c.Wall(f); !w.Assumed && !w.Open {
			return w.Thickness.MM()
		}
		return 0
	}
	return rect{
		box.Min.X - sure.Min.X + thick(scene.Left) - e,
		box.Min.X - sure.Max.X + c.Width.MM() - thick(scene.Right) + e,
		box.Min.Y - sure.Min.Y + thick(scene.Front) - e,
		box.Min.Y - sure.Max.Y + c.Depth.MM() - thick(scene.Back) + e,
	}
}

// fixturesIn returns the names of the fixtures that reach into a box.
func (b *Base) fixturesIn(box r3.Box) []string {
	if box.Max.X <= box.Min.X || box.Max.Y <= box.Min.Y {
		return nil
	}
	var names []string
	s := solid.Box(box)
	for _, p := range b.bare.Fixtures() {
		if solid.Lower(p.Solid, s) < 0 && !slices.Contains(names, p.Of) && solid.Distance(p.Solid, s).Dist < -verdict.Contact.MM() {
			names = append(names, p.Of)
		}
	}
	return names
}

// open tells whether a sump stands, and neither a way to it is known nor that there
// is none.
func (e *entry) open() bool {
	return e.at != nil && !e.unplaced && !e.going() && e.no == notShown
}

// corners returns a few places apart from each other where the sump stands with
// the room wanted: in the middle, and as far as it can be to the left, the right,
// the front and the back.
func (b *Base) corners(q *standing) []spot {
	d := q.domain
	mx, my := (d.x0+d.x1)/2, (d.y0+d.y1)/2
	var out []spot
	for _, want := range []spot{{mx, my}, {d.x0, my}, {d.x1, my}, {mx, d.y0}, {mx, d.y1}} {
		if s, ok := arrange(d, q.forbidden(1), want).nearest(want); ok && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// A ledger keeps what was found about sumps, for others.
type ledger struct {
	yes  []entry
	no   []entry // that go in to no place
	vain int     // how many the longest proof was looked for of in vain
}

// mostVain is of how many sizes in a line the longest proof is looked for in vain.
const mostVain = 1

// note keeps what is known about a sump.
func (l *ledger) note(e entry) {
	switch {
	case e.going():
		l.yes = append(l.yes, e)
	case e.no == noPassage:
		l.no = append(l.no, e)
	}
}

// shownImpossible tells whether a sump that lies in s, part by part, is shown to
// go in to no place. What reaches into s at rest must not take part in that proof:
// s is not closed to it.
func (l *ledger) shownImpossible(s *scene.Sump, reaching []string) bool {
	return slices.ContainsFunc(l.no, func(small entry) bool {
		for _, name := range reaching {
			if !slices.Contains(small.gone, name) {
				return false
			}
		}
		at, ok := lies(small.at, s)
		// It is shown of places as high as its own.
		return ok && math.Abs(at.Z-round(small.at).Min.Z) <= tiny && partsIn(known(put(small.at, at).Carried()), known(s.Carried()))
	})
}

// known returns the parts that nothing of is assumed: what a no rests on.
func known(parts []scene.Part) []scene.Part {
	return slices.DeleteFunc(parts, func(p scene.Part) bool { return p.Sure != p.Solid })
}

// follows returns a place and a way for a sump that lies in one that goes in: it
// can go the same way. The way is verified anew for the smaller.
func (l *ledger) follows(b *Base, q *standing) (*scene.Sump, passage.Way, bool) {
	for _, e := range l.yes {
		place, ok := lies(q.sump, e.at)
		if !ok {
			continue
		}
		if !arrange(q.domain, q.forbidden(0)).free(spot{place.X, place.Y}) {
			continue // something reaches into the larger one here
		}
		at := put(q.sump, place)
		s := b.with(at)
		t := s.Things()[0]
		o, found := s.Cabinet.Opening(e.way.Opening)
		if !found {
			continue
		}
		j := passage.JobAmong(s, t, t.Groups[0], o, passage.Present{Display: s.Display != nil && !o.BeforeDisplay})
		if w := j.Along(e.way.Path, e.way.DoorOff); w.Going() {
			return at, w, true
		}
	}
	return nil, passage.Way{}, false
}

// lies tells whether every part of the small sump, as it is carried, lies in a
// part of the large one where the boxes round both have a corner of their bottoms
// in common, or the middle, and where the corner of the small one is then.
func lies(small, large *scene.Sump) (r3.Vec, bool) {
	s, l := round(small), round(large)
	d := r3.Sub(r3.Sub(l.Max, l.Min), r3.Sub(s.Max, s.Min))
	if min(d.X, d.Y, d.Z) < -tiny {
		return r3.Vec{}, false
	}
	for _, share := range []spot{{0, 0}, {1, 0}, {0, 1}, {1, 1}, {0.5, 0.5}} {
		at := r3.Add(l.Min, r3.Vec{X: d.X * share.x, Y: d.Y * share.y})
		if partsIn(put(small, at).Carried(), large.Carried()) {
			return at, true
		}
	}
	return r3.Vec{}, false
}

// partsIn tells whether each of some boxes lies in one of others.
func partsIn(small, large []scene.Part) bool {
	for _, p := range small {
		a := p.Solid.Bounds()
		if !slices.ContainsFunc(large, func(q scene.Part) bool {
			b := q.Solid.Bounds()
			return a.Min.X >= b.Min.X-tiny && a.Min.Y >= b.Min.Y-tiny && a.Min.Z >= b.Min.Z-tiny &&
				a.Max.X <= b.Max.X+tiny && a.Max.Y <= b.Max.Y+tiny && a.Max.Z <= b.Max.Z+tiny
		}) {
			return false
		}
	}
	return true
}
