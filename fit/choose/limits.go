package choose

import (
	"cmp"
	"context"
	"math"
	"slices"

	"golang.org/x/sync/errgroup"

	"undercroft/fit"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Limit is a sump that goes in and stands inside, as large as it can be: made
// larger in any one direction it is shown impossible.
type Limit struct {
	// Width, Depth and Height are its outside as it stands.
	Width, Depth, Height unit.Length
	Way                  string         // the opening
	Spare                verdict.Margin // on the way
	// Beyond is, for each direction, the least size that is shown impossible, the
	// other two as they are: a step more, or further where what lies between is not
	// decided; 0 where none was found.
	Beyond [3]unit.Length
	// Card is what is left of it when a sump that turns out larger by the tape's
	// error shall go in as well; Easy when the room wanted is to be left, too.
	Card, Easy [3]unit.Length
}

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
	// out over the sump's wall, and Next the least that is shown not to; 0 where
	// none was found. Both are the extents of the box round it: width, depth,
	// height.
	Is, Most, Next [3]unit.Length
	// Lifts is how far a part of it must rise to come off, with room for it.
	Lifts unit.Length
	Why   string // what was not decided, or why there is none; may be ""
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
	in := s.Cabinet.Inside()
	ctx = passage.Remembering(ctx, &passage.Memory{})
	f := &frontier{base: b, step: t.Step.MM(), asked: map[[3]int]*entry{}}
	f.most = [3]int{
		int(math.Floor((in.Max.X-in.Min.X)/f.step + tiny)),
		int(math.Floor((in.Max.Y-in.Min.Y)/f.step + tiny)),
		int(math.Floor((in.Max.Z-in.Min.Z)/f.step + tiny)),
	}
	seeds := f.seeds()
	track := &tracker{progress: o.Progress, what: "limits", of: len(seeds) + len(s.Equipment)}
	var g errgroup.Group
	g.SetLimit(o.workers())
	var corners [][3]int
	g.Go(func() error {
		corners = f.walk(ctx, seeds, track)
		return nil
	})
	g.Go(func() error {
		t.Things = b.tallest(ctx, t.Step, track)
		return nil
	})
	err := g.Wait()
	t.Sumps = f.limits(ctx, corners, o, track)
	for i := range t.Sumps {
		l := &t.Sumps[i]
		for k, d := range [3]unit.Length{l.Width, l.Depth, l.Height} {
			l.Card[k] = floorTo(d-2*t.Tape, t.Step)
			l.Easy[k] = floorTo(d-2*max(t.Wanted, t.Tape), t.Step)
		}
	}
	t.Stopped = ctx.Err() != nil
	return t, err
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
	asked map[[3]int]*entry
}

// least is the smallest size of a sump that anybody asks for, in steps.
const least = 8

// seeds are the heights at which the walk begins, in steps, the greatest first:
// spread over what there is.
func (f *frontier) seeds() []int {
	const heights = 4
	var out []int
	for i := heights; i >= 1; i-- {
		h := least + (f.most[2]-least)*i/heights
		if h >= least && !slices.Contains(out, h) {
			out = append(out, h)
		}
	}
	return out
}

// goes tells whether a box of n steps is found to stand inside and go in. One that a
// box is no smaller than of which that was not found is not looked for.
func (f *frontier) goes(ctx context.Context, n [3]int) bool {
	if e, ok := f.asked[n]; ok {
		return e.going()
	}
	for m, e := range f.asked {
		if !e.going() && m[0] <= n[0] && m[1] <= n[1] && m[2] <= n[2] {
			return false
		}
	}
	e := f.base.tryIn(passage.WaysOnly(ctx), f.sump(n), &f.known, askWay)
	f.known.note(e)
	f.asked[n] = &e
	return e.going()
}

// sump returns the box of n steps as a sump: hollow where it stands, with a thin
// wall.
func (f *frontier) sump(n [3]int) *scene.Sump {
	z := &Size{Long: f.size(n[0]), Across: f.size(n[1]), High: f.size(n[2]), Glass: assumedGlass}
	return f.base.sump(z, LeftRight)
}

func (f *frontier) size(n int) unit.Length { return unit.Length(float64(n) * f.step) }

// largest returns the greatest n of an axis, from what is known to go up to most, at
// which the box goes, the other two sizes as they are. Below least nobody asks.
func (f *frontier) largest(ctx context.Context, n [3]int, axis, known, most int) int {
	at := func(v int) bool {
		n[axis] = v
		return f.goes(ctx, n)
	}
	if at(most) {
		return most
	}
	lo, hi := known, most
	for hi-lo > 1 && ctx.Err() == nil {
		if mid := (lo + hi) / 2; at(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// walk goes down the staircase of widths and depths at each height of the seeds,
// and makes each corner as deep and as high as it can be.
func (f *frontier) walk(ctx context.Context, seeds []int, track *tracker) [][3]int {
	var corners [][3]int
	for _, h := range seeds {
		// From the greatest depth on: the greatest width there, then the greatest
		// depth at which it is wider, and so on.
		const mostCorners = 3
		width, depth := 0, f.most[1]
		for range mostCorners {
			if width >= f.most[0] || depth < least || ctx.Err() != nil {
				break
			}
			d := f.largest(ctx, [3]int{max(width+f.stride(), least), 0, h}, 1, least-1, depth)
			if d < least {
				break
			}
			w := f.largest(ctx, [3]int{0, d, h}, 0, max(width+f.stride(), least), f.most[0])
			n := [3]int{w, d, h}
			for _, axis := range []int{1, 2} {
				n[axis] = f.largest(ctx, n, axis, n[axis], f.most[axis])
			}
			if !slices.Contains(corners, n) {
				corners = append(corners, n)
			}
			width, depth = w, d-1
		}
		track.step()
	}
	// A corner that another is larger than is none.
	return slices.DeleteFunc(slices.Clone(corners), func(n [3]int) bool {
		return slices.ContainsFunc(corners, func(m [3]int) bool {
			return m != n && m[0] >= n[0] && m[1] >= n[1] && m[2] >= n[2]
		})
	})
}

// stride is by how many steps two corners of the staircase are apart at least.
func (f *frontier) stride() int { return max(1, f.most[0]/12) }

// limits tells of corners what they are and what is shown impossible beyond them.
// All rests on what was known after the walk, so that it does not depend on the
// number of workers.
func (f *frontier) limits(ctx context.Context, corners [][3]int, o Options, track *tracker) []Limit {
	out := make([]Limit, len(corners))
	track.what, track.done, track.of = "what is impossible", 0, 3*len(corners)
	var g errgroup.Group
	g.SetLimit(o.workers())
	for i, n := range corners {
		e := f.asked[n]
		out[i] = Limit{Width: f.size(n[0]), Depth: f.size(n[1]), Height: f.size(n[2]), Way: e.way.Opening, Spare: e.way.Margin}
		for k := range out[i].Beyond {
			g.Go(func() error {
				out[i].Beyond[k] = f.beyond(ctx, n, k)
				track.step()
				return nil
			})
		}
	}
	_ = g.Wait() // they return no errors
	slices.SortStableFunc(out, func(a, b Limit) int { return cmp.Compare(b.Volume(), a.Volume()) })
	return out
}

// beyond returns the least size along an axis that is shown impossible, the next
// one or else one not much farther; 0 where none is.
func (f *frontier) beyond(ctx context.Context, n [3]int, axis int) unit.Length {
	shown := func(more int) bool {
		m := n
		m[axis] += more
		e := f.base.tryIn(passage.Briefly(ctx), f.sump(m), &f.known, askNo)
		return ctx.Err() == nil && e.no != notShown
	}
	const farthest = 8
	lo, hi := 1, farthest
	switch {
	case shown(lo):
		return f.size(n[axis] + lo)
	case !shown(hi): // what is nearer is harder to show
		return 0
	}
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; shown(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return f.size(n[axis] + hi)
}
