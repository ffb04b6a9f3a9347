package choose

import (
	"context"
	"math"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/fit/internal/verify"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// What a thing is made larger in.
const (
	tall  = "tall"
	long  = "long"
	large = "large"
)

const (
	kindSkimmer = "skimmer"
	kindHeater  = "heater"
)

// tallest looks for the largest of each kind of thing in the plan: skimmers
// taller, heaters longer, all others larger all over, with a hand on them.
func (b *Base) tallest(ctx context.Context, step unit.Length, o Options, track *tracker) []Tallest {
	var first []int // of each kind
	done := map[string]bool{}
	for i := range b.scene.Equipment {
		e := &b.scene.Equipment[i]
		if b.own && !e.Soft && !e.Fixed && !done[e.Kind] && len(b.scene.Cabinet.Openings) > 0 {
			done[e.Kind] = true
			first = append(first, i)
		}
	}
	out := make([]Tallest, len(first))
	var g errgroup.Group
	g.SetLimit(o.workers())
	for k, i := range first {
		g.Go(func() error {
			defer track.step()
			if ctx.Err() == nil {
				out[k] = b.tallestOf(ctx, i, step)
			}
			return nil
		})
	}
	_ = g.Wait() // they return no errors
	return slices.DeleteFunc(out, func(t Tallest) bool { return t.Thing == "" })
}

// mostSteps bounds how many steps larger than in the plan a thing is tried.
const mostSteps = 128

// tallestOf looks for the largest that thing i of the plan can be.
func (b *Base) tallestOf(ctx context.Context, i int, step unit.Length) Tallest {
	e := &b.scene.Equipment[i]
	t := Tallest{Thing: e.Name, Kind: e.Kind, What: large}
	switch e.Kind {
	case kindSkimmer:
		t.What = tall
	case kindHeater:
		t.What = long
	}
	for _, body := range e.Bodies {
		t.Lifts = max(t.Lifts, body.Lifts)
	}
	t.Is = extents(e.Bodies)
	grown := func(n int) ([]scene.Body, bool) { return larger(e.Bodies, t.What, float64(n)*step.MM()) }
	trials := map[int]*trial{}
	of := func(n int) *trial {
		if trials[n] == nil {
			trials[n] = &trial{atRest: verdict.Unsure}
			if bodies, ok := grown(n); ok {
				trials[n] = b.try(i, bodies, t.What == large)
			}
		}
		return trials[n]
	}
	// A cheap proof saves dearer searches, where there would be any.
	easily := func(n int) bool {
		t := of(n)
		return t.goes(ctx, 1) || t.atRest == verdict.OK && !t.shut(ctx, 1) && t.goes(ctx, 2)
	}
	// Down where it does not go as it is, else up.
	lo := 0
	if easily(0) {
		lo = climb(ctx, 0, mostSteps, easily)
	} else {
		lo = -1
		for _, left := grown(lo); left; _, left = grown(lo) {
			lo--
		}
		lo = bisect(ctx, lo, 0, easily)
	}
	if _, ok := grown(lo); !ok {
		t.Why = "none is shown to go in and come out"
		return t
	}
	// A step more is looked at for longer, the cheaper proofs first.
	longer := func(n int) bool {
		t := of(n)
		return t.atRest == verdict.OK && !t.shut(ctx, passage.Rounds-1) && t.goes(ctx, passage.Rounds)
	}
	for lo+1 < mostSteps && longer(lo+1) {
		lo = climb(ctx, lo+1, mostSteps, longer)
	}
	sizes := func(n int) [3]unit.Length {
		bodies, _ := grown(n)
		return extents(bodies)
	}
	t.Most = sizes(lo)
	shut := func(more, rounds int) bool { return of(lo+more).shut(ctx, rounds) && ctx.Err() == nil }
	if shut(1, 2) {
		t.Next, t.Nearest = sizes(lo+1), true
		return t
	}
	const farthest = 16
	for more := 2; more <= farthest; more *= 2 {
		if shut(more, 1) {
			// What lies between may be shown, too.
			less := bisect(ctx, 0, more/2, func(less int) bool { return shut(more-less, 1) })
			t.Next = sizes(lo + more - less)
			break
		}
	}
	return t
}

func extents(bodies []scene.Body) [3]unit.Length {
	solids := make([]solid.Solid, len(bodies))
	for i, b := range bodies {
		solids[i] = b.Solid
	}
	d := solid.BoundsOf(solids...)
	return [3]unit.Length{unit.Length(d.Max.X - d.Min.X), unit.Length(d.Max.Y - d.Min.Y), unit.Length(d.Max.Z - d.Min.Z)}
}

// larger returns bodies made larger by some mm, each round or box by itself: taller
// with what is above moved up; longer along their longest side; or larger in all
// directions about the middle of their foot. It is false where nothing is left.
func larger(bodies []scene.Body, what string, by float64) ([]scene.Body, bool) {
	all := make([]solid.Solid, len(bodies))
	for i, b := range bodies {
		all[i] = b.Solid
	}
	box := solid.BoundsOf(all...)
	d := r3.Sub(box.Max, box.Min)
	axis, scale := 2, r3.Vec{X: 1, Y: 1, Z: 1}
	if what == long {
		if d.X > d.Z && d.X >= d.Y {
			axis = 0
		} else if d.Y > d.Z {
			axis = 1
		}
	}
	foot := r3.Vec{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2, Z: box.Min.Z}
	switch what {
	case large:
		f := 1 + by/max(d.X, d.Y, d.Z)
		scale = r3.Vec{X: f, Y: f, Z: f}
	default:
		f := 1 + by/[3]float64{d.X, d.Y, d.Z}[axis]
		switch axis {
		case 0:
			scale.X = f
		case 1:
			scale.Y = f
		case 2:
			scale.Z = f
		}
	}
	if min(scale.X, scale.Y, scale.Z) <= 0.05 {
		return nil, false
	}
	out := slices.Clone(bodies)
	for i, b := range bodies {
		s, ok := scaled(b.Solid, foot, scale)
		if !ok {
			return nil, false
		}
		out[i].Solid = s
	}
	return out, true
}

// scaled returns a solid scaled along the axes about a point.
func scaled(s solid.Solid, about, by r3.Vec) (solid.Solid, bool) {
	at := func(p r3.Vec) r3.Vec {
		d := r3.Sub(p, about)
		return r3.Add(about, r3.Vec{X: d.X * by.X, Y: d.Y * by.Y, Z: d.Z * by.Z})
	}
	if c, ok := s.(*solid.Cylinder); ok {
		axis := r3.Sub(c.B, c.A)
		across := by.X
		if math.Abs(axis.X) > math.Abs(axis.Z) {
			across = by.Z
		}
		return &solid.Cylinder{A: at(c.A), B: at(c.B), Radius: c.Radius * across}, true
	}
	p, ok := s.(*solid.Polyhedron)
	if !ok {
		return nil, false
	}
	vs := slices.Clone(p.Vertices())
	for i := range vs {
		vs[i] = at(vs[i])
	}
	if h, err := solid.Hull(vs); err == nil {
		return h, true
	}
	return nil, false
}

// A trial is what is known of a thing of the plan with other bodies: whether it is in
// anything's way at rest, has room over it for what must rise to come off, and goes in
// past the sump.
type trial struct {
	atRest verdict.Verdict
	groups []*bringing // what travels by itself
}

// bringing is how a group comes in, by any of the openings.
type bringing struct {
	jobs    []*passage.Job
	rounds  int // of searches that were made
	goes    bool
	denials []*passage.Denial // one for each job, once one is asked for
}

// try returns the trial of thing i of the plan with other bodies, with a hand laid on it
// where that is asked for.
func (b *Base) try(i int, bodies []scene.Body, byHand bool) *trial {
	s := *b.scene
	s.Equipment = slices.Clone(s.Equipment)
	s.Equipment[i].Bodies = bodies
	t, ok := s.Thing(s.Equipment[i].Name)
	if !ok {
		return &trial{atRest: verdict.Unsure}
	}
	others := b.others(&s, t.Name)
	out := &trial{atRest: verdict.OK}
	for _, p := range t.Parts {
		for _, q := range others {
			if !s.Touches(t, q) {
				out.atRest = verdict.Worst(out.atRest, apart(p, q, max(s.Tape, t.Tape)))
			}
		}
	}
	for _, g := range t.Groups {
		out.atRest = verdict.Worst(out.atRest, b.risen(t, g, others, max(s.Tape, t.Tape)))
		if byHand {
			if hand, found := handOn(g); found {
				g.Parts = append(slices.Clone(g.Parts), hand)
			}
		}
		in := &bringing{}
		for k := range s.Cabinet.Openings {
			o := &s.Cabinet.Openings[k]
			if !o.BeforeDisplay || s.Display == nil || s.Display.Standing == scene.NotYet {
				in.jobs = append(in.jobs, passage.JobOf(&s, t, g, o))
			}
		}
		out.groups = append(out.groups, in)
	}
	return out
}

// goes tells whether it is known to go in and come out, by so many rounds of searches.
func (t *trial) goes(ctx context.Context, rounds int) bool {
	if t.atRest != verdict.OK {
		return false
	}
	return !slices.ContainsFunc(t.groups, func(g *bringing) bool { return !g.found(ctx, rounds) })
}

func (g *bringing) found(ctx context.Context, rounds int) bool {
	for ; !g.goes && g.rounds < rounds; g.rounds++ {
		g.goes = slices.ContainsFunc(g.jobs, func(j *passage.Job) bool {
			w := j.Barely(ctx, g.rounds)
			return w.Going()
		})
	}
	return g.goes
}

// shut tells whether it is shown that it does not stand there or does not go in, by so
// many rounds.
func (t *trial) shut(ctx context.Context, rounds int) bool {
	return t.atRest == verdict.No || slices.ContainsFunc(t.groups, func(g *bringing) bool { return g.shut(ctx, rounds) })
}

func (g *bringing) shut(ctx context.Context, rounds int) bool {
	if g.goes {
		return false
	}
	if g.denials == nil {
		for _, j := range g.jobs {
			g.denials = append(g.denials, j.Deny())
		}
	}
	return !slices.ContainsFunc(g.denials, func(d *passage.Denial) bool { return !d.Shown(ctx, rounds) })
}

// others returns what a thing must not overlap at rest.
func (b *Base) others(s *scene.Scene, name string) []scene.Part {
	return slices.DeleteFunc(s.AtRest(), func(p scene.Part) bool {
		return p.Of == name || p.Role == scene.RoleWater || p.Role == scene.RoleSand
	})
}

// apart tells whether two parts are clear of each other where they stand: No where
// they overlap by more than the tape's error.
func apart(p, q scene.Part, tape unit.Length) verdict.Verdict {
	if solid.Lower(p.Solid, q.Solid) > 0 {
		return verdict.OK
	}
	switch d := unit.Length(solid.Distance(p.Solid, q.Solid).Dist); {
	case d >= -verdict.Contact:
		return verdict.OK
	case d < -tape-verdict.Contact && p.Sure != nil && q.Sure != nil &&
		unit.Length(solid.Distance(p.Solid, q.Sure).Dist) < -tape-verdict.Contact:
		return verdict.No
	}
	return verdict.Unsure
}

// risen tells whether a group has room to rise as far as it must to come off.
func (b *Base) risen(t scene.Thing, g scene.Group, others []scene.Part, tape unit.Length) verdict.Verdict {
	if g.Lifts <= 0 {
		return verdict.OK
	}
	up := solid.Rest
	up.Shift.Z = g.Lifts.MM()
	path := solid.Path{Ref: middle(boundsOf(g.Parts)), Poses: []solid.Pose{solid.Rest, up}}
	var moving, still []solid.Solid
	for _, p := range g.Parts {
		moving = append(moving, p.Solid)
	}
	for _, q := range others {
		still = append(still, q.Solid)
	}
	if verify.Keeps(moving, path, still, -verdict.Contact.MM()) == nil {
		return verdict.OK
	}
	// At the top of its rise it overlaps something: there is no other way up.
	worst := verdict.Unsure
	for _, p := range g.Parts {
		p.Solid = p.Solid.Moved(up)
		for _, q := range others {
			if apart(p, q, max(tape, t.Tape)) == verdict.No {
				worst = verdict.No
			}
		}
	}
	return worst
}

// handOn returns a hand laid flat on a group, as broad and thick as those of nearly
// everybody.
func handOn(g scene.Group) (scene.Part, bool) {
	broad, ok := assets.Body("hand breadth with thumb", "anyone")
	thick, also := assets.Body("hand thickness at thumb", "anyone")
	if !ok || !also {
		return scene.Part{}, false
	}
	box := boundsOf(g.Parts)
	m, half := middle(box), broad.P95.MM()/2
	hand := solid.Box(r3.Box{
		Min: r3.Vec{X: m.X - half, Y: m.Y - half, Z: box.Max.Z},
		Max: r3.Vec{X: m.X + half, Y: m.Y + half, Z: box.Max.Z + thick.P95.MM()},
	})
	// Nobody's hand was measured: it proves no no.
	return scene.Part{Name: "hand", Of: "hand", Role: scene.RoleArm, Solid: hand}, true
}
