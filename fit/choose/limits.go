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
	f := &frontier{base: b, step: t.Step.MM(), answers: map[[3]int]*entry{}}
	f.most = [3]int{
		int(math.Floor((in.Max.X-in.Min.X)/f.step + tiny)),
		int(math.Floor((in.Max.Y-in.Min.Y)/f.step + tiny)),
		int(math.Floor((in.Max.Z-in.Min.Z)/f.step + tiny)),
	}
	seeds := f.seeds()
	track := &tracker{progress: o.Progress, what: "limits", of: len(seeds) + len(s.Equipment)}
	var g errgroup.Group
	g.SetLimit(o.workers())
	g.Go(func() error {
		t.Sumps = f.walk(ctx, seeds, track)
		return nil
	})
	g.Go(func() error {
		t.Things = b.tallest(ctx, t.Step, track)
		return nil
	})
	err := g.Wait()
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
	base    *Base
	step    float64
	most    [3]int
	known   ledger
	answers map[[3]int]*entry
}

// least is the smallest size of a sump that anybody asks for, in steps.
const least = 8

// seeds are the boxes from which the walk begins: heights spread over what there
// is, each as high as that and as large as the cabinet otherwise.
func (f *frontier) seeds() [][3]int {
	const heights = 4
	var out [][3]int
	for i := heights; i >= 1; i-- {
		h := least + (f.most[2]-least)*i/heights
		if h >= least && !slices.Contains(out, [3]int{0, 0, h}) {
			out = append(out, [3]int{0, 0, h})
		}
	}
	return out
}

// ask decides a box of n steps.
func (f *frontier) ask(ctx context.Context, n [3]int) *entry {
	if e, ok := f.answers[n]; ok {
		return e
	}
	s := f.sump(n)
	q := f.base.stands(s, f.base.wanted(s).Z)
	var e entry
	if at, w, ok := f.known.follows(f.base, q); ok {
		e = entry{at: at, way: w}
	} else {
		e = f.base.tryIn(passage.Briefly(ctx), s, &f.known, false)
		f.known.note(e)
	}
	f.answers[n] = &e
	return &e
}

// sump returns the box of n steps as a sump: hollow where it stands, with a thin
// wall.
func (f *frontier) sump(n [3]int) *scene.Sump {
	z := &Size{
		Long: unit.Length(float64(n[0]) * f.step), Across: unit.Length(float64(n[1]) * f.step),
		High: unit.Length(float64(n[2]) * f.step), Glass: assumedGlass,
	}
	return f.base.sump(z, LeftRight)
}

// largest returns the greatest n of an axis, up to most, at which the box goes, the
// other two sizes as they are; 0 where none is found to.
func (f *frontier) largest(ctx context.Context, n [3]int, axis, most int) int {
	n[axis] = most
	if f.ask(ctx, n).going() {
		return most
	}
	lo, hi := least-1, most // goes, or is less than anybody asks for; is not found to go
	for hi-lo > 1 && ctx.Err() == nil {
		n[axis] = (lo + hi) / 2
		if f.ask(ctx, n).going() {
			lo = n[axis]
		} else {
			hi = n[axis]
		}
	}
	if lo < least {
		return 0
	}
	return lo
}

// walk goes down the staircase of widths and depths at each height of the seeds,
// and makes each corner as high as it can be.
func (f *frontier) walk(ctx context.Context, seeds [][3]int, track *tracker) []Limit {
	var corners [][3]int
	for _, seed := range seeds {
		h := seed[2]
		// From the greatest depth on: the greatest width there, then the greatest
		// depth at which it is wider, and so on.
		const mostCorners = 3
		width, depth := 0, f.most[1]
		for range mostCorners {
			if width >= f.most[0] || depth < least || ctx.Err() != nil {
				break
			}
			d := f.largest(ctx, [3]int{max(width+f.stride(), least), 0, h}, 1, depth)
			if d == 0 {
				break
			}
			w := f.largest(ctx, [3]int{0, d, h}, 0, f.most[0])
			if w == 0 {
				break
			}
			n := [3]int{w, d, h}
			n[1] = f.grown(ctx, n, 1)
			n[2] = f.grown(ctx, n, 2)
			if !slices.Contains(corners, n) {
				corners = append(corners, n)
			}
			width, depth = w, d-1
		}
		track.step()
	}
	// A corner that another is larger than is none.
	corners = slices.DeleteFunc(slices.Clone(corners), func(n [3]int) bool {
		return slices.ContainsFunc(corners, func(m [3]int) bool {
			return m != n && m[0] >= n[0] && m[1] >= n[1] && m[2] >= n[2]
		})
	})
	var out []Limit
	for _, n := range corners {
		e := f.ask(ctx, n)
		if !e.going() {
			continue
		}
		size := func(k int) unit.Length { return unit.Length(float64(n[k]) * f.step) }
		l := Limit{Width: size(0), Depth: size(1), Height: size(2), Way: e.way.Opening, Spare: e.way.Margin}
		for k := range l.Beyond {
			l.Beyond[k] = f.beyond(ctx, n, k)
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b Limit) int { return cmp.Compare(b.Volume(), a.Volume()) })
	return out
}

// stride is by how many steps two corners of the staircase are apart at least.
func (f *frontier) stride() int { return max(1, f.most[0]/12) }

// grown returns how large a box that goes can be along an axis.
func (f *frontier) grown(ctx context.Context, n [3]int, axis int) int {
	return max(n[axis], f.largestFrom(ctx, n, axis))
}

// largestFrom is largest for a box that goes as it is.
func (f *frontier) largestFrom(ctx context.Context, n [3]int, axis int) int {
	lo, hi := n[axis], f.most[axis]+1
	for stride := 1; lo+stride < hi && ctx.Err() == nil; stride *= 2 {
		m := n
		m[axis] = lo + stride
		if !f.ask(ctx, m).going() {
			hi = m[axis]
			break
		}
		lo = m[axis]
	}
	for hi-lo > 1 && ctx.Err() == nil {
		m := n
		m[axis] = (lo + hi) / 2
		if f.ask(ctx, m).going() {
			lo = m[axis]
		} else {
			hi = m[axis]
		}
	}
	return lo
}

// beyond returns the least size along an axis that is shown impossible, as far as a
// few steps tell; 0 where none is.
func (f *frontier) beyond(ctx context.Context, n [3]int, axis int) unit.Length {
	const farthest = 8
	for more := 1; more <= farthest && ctx.Err() == nil; more *= 2 {
		m := n
		m[axis] += more
		if f.ask(ctx, m).no != notShown {
			return unit.Length(float64(m[axis]) * f.step)
		}
	}
	return 0
}
