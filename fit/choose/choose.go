package choose

import (
	"cmp"
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"undercroft/fit"
	"undercroft/fit/gap"
	"undercroft/fit/passage"
	"undercroft/fit/reach"
	"undercroft/fit/service"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// An Answer is one answer about a sump.
type Answer struct {
	Verdict verdict.Verdict
	// Text says why, with its numbers; "" where there is nothing to say.
	Text string
}

// A Row is what was found about one size in one direction.
type Row struct {
	Size Size
	Long Direction
	// Verdict is the worst of the answers.
	Verdict verdict.Verdict
	// Stands tells whether it stands in the cabinet with the room wanted, Goes
	// whether it goes in to there, Water whether what drains down stays in it, and
	// Equipment whether what the plan puts into it fits, comes in and out, and is
	// reached. An answer that was not looked for, because of another before it, is
	// nil.
	Stands, Goes, Water, Equipment *Answer
	// Way and Spare tell by which opening it goes, and with how much to spare; ""
	// and NaN where no way is known.
	Way   string
	Spare verdict.Margin
	// Usable is the most water it can hold while the pump runs and still take what
	// drains down with freeboard to spare; negative where it cannot take that.
	Usable unit.Volume
	// Running and PumpOff are the water in it with the plan's baffles and level;
	// nil where the plan does not tell.
	Running, PumpOff *unit.Volume
	// Scene is the plan with it, where it stands in it; Report what was found of
	// that. Both are nil where it does not come so far.
	Scene  *scene.Scene
	Report *fit.Report
	// At is how far it stands from the cabinet's inside faces on the left and in
	// front, trim included.
	At [2]unit.Length

	way passage.Way
	bad bool // the plan's baffles cannot be in it
}

// Along returns how long the glass is from left to right and from front to back.
func (r *Row) Along() (x, y unit.Length) { return r.Size.along(r.Long) }

// A Table is what was found about all sizes.
type Table struct {
	Title string
	Units unit.System
	// Rows are sorted by usable volume, the largest first.
	Rows []Row
	// Stopped tells that not everything was looked at.
	Stopped bool
	// Drained is what comes down when the pump stops; nil where the plan does not
	// tell.
	Drained *unit.Volume
	// With names the things in the cabinet that every size was tried beside.
	With     []string
	Assumed  []string
	Cautions []string
}

// Options are how a search is run. The zero value is the default.
type Options struct {
	// Workers is how many sizes are looked at side by side; 0 is one for each
	// processor. What is found does not depend on it.
	Workers int
	// Progress, where it is set, is told how much of the work is done; it may be
	// called from several goroutines at once.
	Progress func(what string, done, of int)
}

func (o Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// A tracker counts what is done.
type tracker struct {
	mu       sync.Mutex
	progress func(string, int, int)
	what     string
	done, of int
}

func (t *tracker) step() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.done++
	if t.progress != nil {
		t.progress(t.what, t.done, t.of)
	}
}

// more counts more that is to be done.
func (t *tracker) more(n int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.of += n
}

// Choose tries each size as the sump, its long side from left to right and from
// front to back. A context that ends leaves the rest unsure; the table says so.
func (b *Base) Choose(ctx context.Context, sizes []Size, o Options) (Table, error) {
	t := Table{
		Title: b.scene.Title, Units: b.scene.Units, With: b.beside(), Assumed: b.assumed(sizes),
		Cautions: append(slices.Clone(fit.Cautions(b.scene)), cautionTrade),
	}
	if d := water.Compute(b.scene).Drained; d != nil {
		t.Drained = d
	}
	var rows []Row
	for _, z := range sizes {
		rows = append(rows, Row{Size: z, Long: LeftRight})
		if z.Across != z.Long {
			rows = append(rows, Row{Size: z, Long: FrontBack})
		}
	}
	track := &tracker{progress: o.Progress, what: "sizes", of: 2 * len(rows)}
	var ways passage.Memory
	ctx = passage.Remembering(ctx, &ways)
	entries := b.goingIn(ctx, rows, o, track)
	err := b.judge(ctx, rows, entries, &ways, o, track)
	for i := range rows {
		rows[i].Usable = b.usable(&rows[i], t.Drained)
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(b.Usable, a.Usable) })
	t.Rows, t.Stopped = rows, ctx.Err() != nil
	return t, err
}

// cautionTrade goes with every list of sizes.
const cautionTrade = "Trade sizes differ from maker to maker by up to an inch: measure the tank before you buy it, rim and foot too."

// beside names what stands in the cabinet whatever the sump is.
func (b *Base) beside() []string {
	var out []string
	for i := range b.bare.Equipment {
		out = append(out, b.bare.Equipment[i].Name)
	}
	return out
}

// assumed lists what was taken for granted of the sizes.
func (b *Base) assumed(sizes []Size) []string {
	var out []string
	if slices.ContainsFunc(sizes, func(z Size) bool { return z.Rim != nil && z.Rim.Assumed }) {
		out = append(out, "trim of trade sizes "+b.scene.Units.Fine(trimHeight)+" high and "+b.scene.Units.Fine(trimIn)+" wide inside: common practice, no source")
	}
	if slices.ContainsFunc(sizes, func(z Size) bool { return z.Glass == 0 }) {
		out = append(out, "glass "+b.scene.Units.Fine(assumedGlass)+" thick where the list does not say")
	}
	if b.own && len(b.scene.Sump.Baffles) > 0 {
		out = append(out, "the plan's baffles, their chambers as long in proportion to the sump, edges and level lower in a lower one")
	}
	for _, a := range b.scene.Assumed {
		for _, key := range []string{"carry", "tape", "gaps", "room", "cabinet", "display"} {
			if a.Key == key || strings.HasPrefix(a.Key, key+".") || strings.HasPrefix(a.Key, key+"[") {
				out = append(out, a.Text)
				break
			}
		}
	}
	return out
}

// goingIn decides for each row whether it stands and goes in. What one size proves
// helps to decide larger ones of the same direction, so each direction is one line
// of work, smallest first.
func (b *Base) goingIn(ctx context.Context, rows []Row, o Options, track *tracker) []entry {
	entries := make([]entry, len(rows))
	var g errgroup.Group
	g.SetLimit(o.workers())
	for _, d := range []Direction{LeftRight, FrontBack} {
		var line []int
		for i := range rows {
			if rows[i].Long == d {
				line = append(line, i)
			}
		}
		volume := func(i int) float64 {
			z := rows[i].Size
			return z.Long.MM() * z.Across.MM() * z.High.MM()
		}
		slices.SortStableFunc(line, func(i, j int) int { return cmp.Compare(volume(i), volume(j)) })
		g.Go(func() error {
			var known ledger
			for _, i := range line {
				if ctx.Err() == nil {
					entries[i] = b.tryIn(passage.Briefly(ctx), b.sump(&rows[i].Size, d), &known)
					known.note(entries[i])
				}
				track.step()
			}
			// What is still open then is looked into longer, the smallest first: what is
			// shown of one may decide others.
			for _, i := range line {
				if entries[i].open() && ctx.Err() == nil {
					entries[i] = b.longer(ctx, b.sump(&rows[i].Size, d), &known, entries[i])
					known.note(entries[i])
				}
			}
			return nil
		})
	}
	_ = g.Wait() // they return no errors
	return entries
}

// judge fills in the rows: what stands and goes in is checked with all that the
// plan puts into it. The lowest come first, and what is found of some is tried on the
// next: one size, then two, then four, so that it does not depend on the workers which
// knows of which.
func (b *Base) judge(ctx context.Context, rows []Row, entries []entry, ways *passage.Memory, o Options, track *tracker) error {
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(rows[i].Size.High, rows[j].Size.High), cmp.Compare(entries[i].reach(), entries[j].reach()))
	})
	var postures reach.Memory
	ctx = reach.Remembering(ctx, &postures)
	for next, many := 0, 1; next < len(order); {
		var g errgroup.Group
		g.SetLimit(o.workers())
		for looked := 0; looked < many && next < len(order); next++ {
			i := order[next]
			if entries[i].going() {
				looked++
			}
			g.Go(func() error {
				defer track.step()
				return b.row(ctx, &rows[i], &entries[i])
			})
		}
		if err := g.Wait(); err != nil {
			return err
		}
		ways.Learn()
		postures.Learn()
		many *= 2
	}
	return nil
}

// row fills in one row.
func (b *Base) row(ctx context.Context, r *Row, e *entry) error {
	r.Spare = verdict.Margin{Lo: unit.Length(math.NaN()), Hi: unit.Length(math.NaN())}
	if e.at == nil {
		r.Verdict = verdict.Unsure
		r.Stands = &Answer{verdict.Unsure, "not looked at"}
		return nil
	}
	in, box := b.scene.Cabinet.Inside(), round(e.at)
	r.At = [2]unit.Length{unit.Length(box.Min.X - in.Min.X), unit.Length(box.Min.Y - in.Min.Y)}
	hasWays := len(b.scene.Cabinet.Openings) > 0
	switch {
	case e.no == noPlace:
		r.Stands = &Answer{verdict.No, b.tooLarge(e.at)}
	case e.unplaced:
		r.Stands = &Answer{verdict.Unsure, b.tooClose(e.at)}
	case e.no == noPassage:
		r.Goes = &Answer{verdict.No, "shown impossible to any place, as a closed box"}
	case hasWays && !e.way.Going():
		reason := e.way.Reason
		if reason == "" {
			reason = "no way found, and not shown impossible to every place"
		}
		r.Goes = &Answer{verdict.Unsure, reason}
	}
	if r.Stands == nil {
		a := standsAnswer(b.with(e.at))
		r.Stands = &a
	}
	if e.unplaced || r.Stands.Verdict == verdict.No || hasWays && !e.way.Going() {
		r.Verdict = worst(r)
		return nil
	}
	s, err := b.whole(&r.Size, r.Long, e.at)
	if err != nil {
		bad, ok := errors.AsType[*layoutError](err)
		if !ok {
			return err
		}
		r.Equipment, r.bad = &Answer{verdict.No, bad.why}, true
		s = b.with(e.at) // what is true without them
	}
	report := b.check(ctx, s)
	r.Scene, r.Report, r.way = s, &report, e.way
	b.read(r)
	r.Verdict = worst(r)
	return nil
}

// check checks a plan with another sump: what is cheap first. Where that is no,
// nobody asks for the rest.
func (b *Base) check(ctx context.Context, s *scene.Scene) fit.Report {
	var r fit.Report
	ctx = passage.AsFound(passage.Briefly(ctx))
	for _, look := range []func(){
		func() { r.Add(gap.Check(s)); r.Add(water.Check(s)); r.Add(service.Cords(s)) },
		func() { r.Add(passage.Check(ctx, s)) },
		func() { r.Add(reach.Check(reach.WorstOnly(ctx), s)) },
		func() { r.Add(service.TakingOut(service.VerdictOnly(passage.WaysOnly(ctx)), s, r.Checks)) },
	} {
		if slices.ContainsFunc(r.Checks, func(f verdict.Finding) bool { return f.Verdict == verdict.No }) {
			break
		}
		look()
	}
	return r
}

// worst returns the worst of the answers of a row.
func worst(r *Row) verdict.Verdict {
	w := verdict.OK
	for _, a := range []*Answer{r.Stands, r.Goes, r.Water, r.Equipment} {
		if a != nil {
			w = verdict.Worst(w, a.Verdict)
		}
	}
	return w
}

// usable returns the water that a size can hold while the pump runs: its inside up
// to the freeboard, less what drains down.
func (b *Base) usable(r *Row, drained *unit.Volume) unit.Volume {
	z, g := &r.Size, r.Size.glass()
	v := unit.Volume((z.Long - 2*g).MM() * (z.Across - 2*g).MM() * (z.High - g - water.Freeboard).MM())
	if drained != nil {
		v -= *drained
	}
	return v
}
