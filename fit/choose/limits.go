package choose

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"

	"golang.org/x/sync/errgroup"

	"undercroft/fit"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Limit is the size below which a sump is shown to go in and stand inside by the
// plan's measures, as large as it can be: nothing larger in any one direction was
// found to.
type Limit struct {
	// Width, Depth and Height are its outside as it stands. A sump smaller by Hair is
	// shown to go; one just as large may touch on both sides.
	Width, Depth, Height unit.Length
	Way                  string         // the opening
	Spare                verdict.Margin // on the way
	// Beyond is, for each direction, the least size that is shown impossible by the
	// plan's measures, the other two as they are: a step more, or further where what
	// lies between is not decided; 0 where none was found.
	Beyond [3]unit.Length
	// Into names, where a step more is not shown impossible, the fixtures of which one
	// at least would reach into it wherever it stands: shown impossible is only that it
	// stands as a closed box.
	Into [3][]string
	// Card is what is left of it when a sump that turns out larger by the tape's
	// error shall go in as well; Easy when the room wanted is to be left, too.
	Card, Easy [3]unit.Length

	steps [3]int
}

// Hair is by how much less than a limit a sump is shown to go: no tape tells it from
// nothing. So what just fits between two walls counts as fitting, and what does not is
// too large by a whole step.
const Hair unit.Length = 0.1

// Volume returns the outside volume.
func (l *Limit) Volume() unit.Volume {
	return unit.Volume(l.Width.MM() * l.Depth.MM() * l.Height.MM())
}

// A Tallest is how large a thing of the plan can be.
type Tallest struct {
	Thing, Kind string
	// What says what was made larger: tall, long or large.
	What string
	// Is is its size in the plan, Most the largest that is shown to go in and come
	// out over the sump's wall by the plan's measures, and Next the least that is
	// shown not to; 0 where none was found. All are the extents of the box round it:
	// width, depth, height.
	Is, Most, Next [3]unit.Length
	// Lifts is how far a part of it must rise to come off, with room for it.
	Lifts unit.Length
	// Nearest tells that Next is a step more than Most; what lies between them
	// otherwise is not decided.
	Nearest bool
	Why     string // why there is none; else ""
}

// LimitsTable is what was found about how large things may be.
type LimitsTable struct {
	Title  string
	Units  unit.System
	Step   unit.Length
	Tape   unit.Length
	Wanted unit.Length // the larger of carry, the tape and the room at rest
	// Sumps are on the frontier, the largest volume first. Other sumps on it are
	// between them; one that is no larger than one of these in all directions fits.
	Sumps    []Limit
	Things   []Tallest
	With     []string
	Stopped  bool
	Assumed  []string
	Cautions []string
}

// Step is to what limits are told: a quarter inch, or 5 mm.
func Step(u unit.System) unit.Length {
	if u == unit.Inches {
		return unit.Inch / 4
	}
	return 5 * unit.Millimetre
}

// Limits looks for the largest sumps that go in and stand inside, closed boxes
// without a rim, and for the largest things. A context that ends leaves out what
// was not found by then; the table says so.
func (b *Base) Limits(ctx context.Context, o Options) (LimitsTable, error) {
	s := b.scene
	t := LimitsTable{
		Title: s.Title, Units: s.Units, Step: Step(s.Units), Tape: max(s.Tape, s.Sump.Tape), With: b.beside(),
		Wanted: max(s.Carry, s.Tape, s.Gaps.For("sump", "")), Assumed: b.assumed(nil),
		Cautions: append(slices.Clone(fit.Cautions(s)), cautionTrade),
	}
	b = b.asMeasured()
	in := s.Cabinet.Inside()
	f := &frontier{base: b, step: t.Step.MM(), asked: map[[3]int]asked{}}
	f.most = [3]int{
		int(math.Floor((in.Max.X-in.Min.X)/f.step + tiny)),
		int(math.Floor((in.Max.Y-in.Min.Y)/f.step + tiny)),
		int(math.Floor((in.Max.Z-in.Min.Z)/f.step + tiny)),
	}
	track := &tracker{progress: o.Progress, what: "limits", of: heights + len(s.Equipment)}
	var g errgroup.Group
	g.SetLimit(o.workers())
	g.Go(func() error {
		t.Sumps = f.limits(ctx, f.walk(ctx, track), o, track)
		return nil
	})
	g.Go(func() error {
		t.Things = b.tallest(ctx, t.Step, o, track)
		return nil
	})
	err := g.Wait()
	for i := range t.Sumps {
		l := &t.Sumps[i]
		for k, d := range [3]unit.Length{l.Width, l.Depth, l.Height} {
			l.Card[k] = floorTo(d-max(2*t.Tape, Hair), t.Step)
			l.Easy[k] = floorTo(d-max(2*t.Wanted, 2*t.Tape, Hair), t.Step)
		}
	}
	t.Stopped = ctx.Err() != nil
	return t, err
}

// asMeasured returns b as if the tape had no error.
func (b *Base) asMeasured() *Base {
	exact := func(s *scene.Scene) *scene.Scene {
		out, sump := *s, *s.Sump
		out.Tape, sump.Tape = 0, 0
		out.Sump = &sump
		out.Cabinet.Openings = slices.Clone(s.Cabinet.Openings)
		for i := range out.Cabinet.Openings {
			out.Cabinet.Openings[i].Tape = 0
		}
		out.Equipment = slices.Clone(s.Equipment)
		for i := range out.Equipment {
			out.Equipment[i].Tape = 0
		}
		return &out
	}
	out := *b
	out.scene, out.bare = exact(b.scene), exact(b.bare)
	return &out
}

// floorTo rounds down to whole steps, not below 0.
func floorTo(l, step unit.Length) unit.Length {
	return max(0, unit.Length(math.Floor(float64(l/step)+tiny))*step)
}

// A frontier finds the largest boxes on a grid of steps: width, depth, height.
type frontier struct {
	base  *Base
	step  float64
	most  [3]int
	known ledger
	asked map[[3]int]asked
}

// asked is what is known of a box after some rounds of searches.
type asked struct {
	entry
	rounds int
}

// least is the smallest size of a sump that anybody asks for, in steps: 6 in or
// 120 mm. No trade size is narrower.
const least = 24

// heights is from how many heights the walk begins, spread over what there is: from
// the cabinet's down to the least.
const heights = 3

// goes tells whether a box of n steps is found to stand inside and go in, by so many
// rounds of searches. One that a box is no smaller than of which that was not found is
// not looked for.
func (f *frontier) goes(ctx context.Context, n [3]int, rounds int) bool {
	a := f.asked[n]
	if a.going() || a.rounds >= rounds {
		return a.going()
	}
	for m, b := range f.asked {
		if !b.going() && b.rounds >= rounds && within(m, n) {
			return false
		}
	}
	a.entry = f.base.hardly(ctx, f.sump(n, Hair), &f.known, a.rounds, rounds)
	a.rounds = rounds
	f.known.note(a.entry)
	f.asked[n] = a
	return a.going()
}

// sump returns the box of n steps, or that much less in each direction, as a sump:
// hollow where it stands, with a thin wall.
func (f *frontier) sump(n [3]int, less unit.Length) *scene.Sump {
	z := &Size{Long: f.size(n[0]) - less, Across: f.size(n[1]) - less, High: f.size(n[2]) - less, Glass: assumedGlass}
	return f.base.sump(z, LeftRight)
}

// deny returns a denial of a box of n steps.
func (f *frontier) deny(n [3]int) *denial { return f.base.deny(f.sump(n, 0), f.sump(n, Hair)) }

func (f *frontier) size(n int) unit.Length { return unit.Length(float64(n) * f.step) }

// largest returns the greatest n of an axis, up to most, at which the box is found to
// go by so many rounds of searches, the other two sizes as they are; less than least
// where it is not even there.
func (f *frontier) largest(ctx context.Context, n [3]int, axis, most, rounds int) int {
	at := func(v int) bool {
		n[axis] = v
		return f.goes(ctx, n, rounds)
	}
	// What goes already, in what is as large otherwise.
	known := least - 1
	for m, a := range f.asked {
		larger := a.going()
		for k := range m {
			larger = larger && (k == axis || m[k] >= n[k])
		}
		if larger {
			known = max(known, min(most, m[axis]))
		}
	}
	switch {
	case known >= most:
		return known
	case known >= least: // it is seldom much larger
		return climb(ctx, known, most+1, at)
	case !at(least):
		return known
	case at(most):
		return most
	}
	return bisect(ctx, least, most, at)
}

// climb returns the greatest number from lo on and below hi at which something holds
// that does at lo, up in ever longer strides.
func climb(ctx context.Context, lo, hi int, at func(int) bool) int {
	for stride := 1; lo+stride < hi && ctx.Err() == nil; stride *= 2 {
		if !at(lo + stride) {
			hi = lo + stride
			break
		}
		lo += stride
	}
	return bisect(ctx, lo, hi, at)
}

// bisect returns the greatest number from lo on and below hi at which something holds
// that does at lo and does not at hi.
func bisect(ctx context.Context, lo, hi int, at func(int) bool) int {
	for hi-lo > 1 && ctx.Err() == nil {
		if mid := (lo + hi) / 2; at(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// inWalk is by how many rounds of searches a way is looked for on the walk.
const inWalk = 2

// walk goes down the staircase of widths and depths at a few heights, and makes each
// corner as large in each direction as it can be.
func (f *frontier) walk(ctx context.Context, track *tracker) [][3]int {
	var corners [][3]int
	for i := range heights {
		h := f.most[2] - (f.most[2]-least)*i/(heights-1)
		if h < least {
			break // there is no room for any
		}
		// From the greatest depth on: the greatest width there, then the greatest
		// depth at which it is wider, and so on.
		const mostCorners = 3
		width, depth := least-f.stride(), f.most[1]
		for range mostCorners {
			wider := width + f.stride()
			if wider > f.most[0] || depth < least || ctx.Err() != nil {
				break
			}
			d := f.largest(ctx, [3]int{wider, 0, h}, 1, depth, inWalk)
			if d < least {
				break
			}
			n := [3]int{wider, d, h}
			for _, axis := range []int{0, 1, 2} {
				n[axis] = f.largest(ctx, n, axis, f.most[axis], inWalk)
			}
			if !slices.Contains(corners, n) {
				corners = append(corners, n)
			}
			width, depth = n[0], n[1]-1
		}
		track.step()
	}
	return corners
}

// stride is by how many steps two corners of the staircase are apart at least.
func (f *frontier) stride() int { return max(1, f.most[0]/12) }

// limits tells of corners what they are and what is shown impossible beyond them, once
// longer searches made them as large as they can be. Each is looked at with what was
// known after the walk, so that what is found does not depend on the number of workers.
func (f *frontier) limits(ctx context.Context, corners [][3]int, o Options, track *tracker) []Limit {
	var g errgroup.Group
	g.SetLimit(o.workers())
	track.more(len(corners))
	ways := make([]passage.Way, len(corners))
	for i := range corners {
		own := f.own()
		g.Go(func() error {
			corners[i] = own.grown(ctx, corners[i])
			ways[i] = own.asked[corners[i]].way
			track.step()
			return nil
		})
	}
	_ = g.Wait() // they return no errors
	var out []Limit
	for i, n := range corners {
		out = append(out, f.limit(n, &ways[i]))
	}
	out = outermost(out)
	track.more(3 * len(out))
	larger := make([][3]*entry, len(out))
	for i := range out {
		for k := range out[i].Beyond {
			g.Go(func() error {
				larger[i][k] = f.beyond(ctx, &out[i], k)
				track.step()
				return nil
			})
		}
	}
	_ = g.Wait()
	for i := range out {
		f.settle(ctx, &out[i], larger[i], o)
	}
	out = outermost(out)
	slices.SortStableFunc(out, func(a, b Limit) int { return cmp.Compare(b.Volume(), a.Volume()) })
	return out
}

// limit returns the limit of n steps, which a sump goes in by a way.
func (f *frontier) limit(n [3]int, way *passage.Way) Limit {
	return Limit{Width: f.size(n[0]), Depth: f.size(n[1]), Height: f.size(n[2]), Way: way.Opening, Spare: way.Margin, steps: n}
}

// outermost returns limits, each once, without those that another is larger than.
func outermost(limits []Limit) []Limit {
	var out []Limit
	for i := range limits {
		n := limits[i].steps
		if !slices.ContainsFunc(limits[:i], func(l Limit) bool { return l.steps == n }) &&
			!slices.ContainsFunc(limits, func(l Limit) bool { return l.steps != n && within(n, l.steps) }) {
			out = append(out, limits[i])
		}
	}
	return out
}

// settle makes a limit larger where a step more was found to go after all, and tells of
// the steps from there.
func (f *frontier) settle(ctx context.Context, l *Limit, larger [3]*entry, o Options) {
	for axis := 0; axis < len(larger) && ctx.Err() == nil; axis++ {
		if larger[axis] == nil {
			continue
		}
		next := l.steps
		next[axis]++
		own := f.own()
		own.known.note(*larger[axis])
		own.asked[next] = asked{*larger[axis], passage.Rounds}
		n := own.grown(ctx, next)
		way := own.asked[n].way
		*l = f.limit(n, &way)
		var g errgroup.Group
		g.SetLimit(o.workers())
		for k := range larger {
			g.Go(func() error {
				larger[k] = f.beyond(ctx, l, k)
				return nil
			})
		}
		_ = g.Wait()
		axis = -1
	}
}

// own returns f with a memory of its own.
func (f *frontier) own() *frontier {
	out := *f
	out.asked, out.known.yes = maps.Clone(f.asked), slices.Clone(f.known.yes)
	return &out
}

// within tells whether a box is no larger than another in any direction.
func within(n, m [3]int) bool { return n[0] <= m[0] && n[1] <= m[1] && n[2] <= m[2] }

// grown makes a corner as large in each direction as the longest searches find that it
// can be.
func (f *frontier) grown(ctx context.Context, n [3]int) [3]int {
	for axis := 0; axis < len(n) && ctx.Err() == nil; axis++ {
		more := n
		if more[axis]++; more[axis] <= f.most[axis] && f.goes(ctx, more, passage.Rounds) {
			n[axis] = f.largest(ctx, n, axis, f.most[axis], passage.Rounds)
			axis = -1 // of what is larger now there are other ways
		}
	}
	return n
}

// beyond notes the least size along an axis that is shown impossible, the next one or else
// one not much farther, and what would reach into the next one where nothing is shown of
// it but that. Where the next one goes after all, looked at more closely, it returns that.
func (f *frontier) beyond(ctx context.Context, l *Limit, axis int) *entry {
	more := func(by int) [3]int {
		m := l.steps
		m[axis] += by
		return m
	}
	shown := func(d *denial, by, rounds int) bool {
		if !d.by(ctx, rounds) || ctx.Err() != nil {
			return false
		}
		l.Beyond[axis] = f.size(more(by)[axis])
		return true
	}
	next := f.deny(more(1))
	if shown(next, 1, passage.Rounds-1) {
		return nil
	}
	if e := f.base.closely(ctx, f.sump(more(1), Hair)); e.going() {
		return &e
	}
	if shown(next, 1, passage.Rounds) {
		return nil
	}
	l.Into[axis] = next.only()
	const farthest = 8
	if !shown(f.deny(more(farthest)), farthest, 1) {
		return nil
	}
	for lo, hi := 1, farthest; hi-lo > 1; { // what is nearer is harder to show
		if mid := (lo + hi) / 2; shown(f.deny(more(mid)), mid, 1) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return nil
}
