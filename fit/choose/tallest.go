package choose

import (
	"context"
	"math"
	"slices"

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
func (b *Base) tallest(ctx context.Context, step unit.Length, track *tracker) []Tallest {
	var out []Tallest
	done := map[string]bool{}
	for i := range b.scene.Equipment {
		e := &b.scene.Equipment[i]
		if b.own && !e.Soft && !e.Fixed && !done[e.Kind] && ctx.Err() == nil && len(b.scene.Cabinet.Openings) > 0 {
			done[e.Kind] = true
			out = append(out, b.tallestOf(ctx, i, step))
		}
		track.step()
	}
	return out
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
	goes := func(n int) bool {
		bodies, ok := grown(n)
		return ok && b.holds(ctx, i, bodies, t.What == large, false) == verdict.OK
	}
	shut := func(n int) bool {
		bodies, ok := grown(n)
		return ok && b.holds(ctx, i, bodies, t.What == large, true) == verdict.No && ctx.Err() == nil
	}
	sizes := func(n int) [3]unit.Length {
		bodies, _ := grown(n)
		return extents(bodies)
	}
	// Down where it does not go as it is, else up in ever longer strides.
	lo, hi := 0, mostSteps
	if goes(0) {
		for stride := 1; lo+stride < mostSteps; stride *= 2 {
			if !goes(lo + stride) {
				hi = lo + stride
				break
			}
			lo += stride
		}
	} else {
		hi, lo = 0, -1
		for _, left := grown(lo); left; _, left = grown(lo) {
			lo--
		}
	}
	for hi-lo > 1 && ctx.Err() == nil {
		if mid := (lo + hi) / 2; goes(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	if _, ok := grown(lo); !ok {
		t.Why = "none is shown to go in and come out"
		return t
	}
	t.Most = sizes(lo)
	const farthest = 16
	for more := 1; more <= farthest; more *= 2 {
		if !shut(lo + more) {
			continue
		}
		// What lies between may be shown, too.
		open, shown := more/2, more
		for shown-open > 1 {
			if mid := (open + shown) / 2; shut(lo + mid) {
				shown = mid
			} else {
				open = mid
			}
		}
		t.Next, t.Nearest = sizes(lo+shown), shown == 1
		break
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

// holds tells whether thing i of the plan with other bodies goes in past the sump,
// is not in anything's way at rest, and has room over it for what must rise to come
// off; with a hand laid on it where that is asked for. OK is shown, No shown
// impossible, which is looked for only where prove is set.
func (b *Base) holds(ctx context.Context, i int, bodies []scene.Body, byHand, prove bool) verdict.Verdict {
	s := *b.scene
	s.Equipment = slices.Clone(s.Equipment)
	s.Equipment[i].Bodies = bodies
	t, ok := s.Thing(s.Equipment[i].Name)
	if !ok {
		return verdict.Unsure
	}
	others := b.others(&s, t.Name)
	worst := verdict.OK
	for _, p := range t.Parts {
		for _, q := range others {
			if !s.Touches(t, q) {
				worst = verdict.Worst(worst, apart(p, q, max(s.Tape, t.Tape)))
			}
		}
	}
	for _, g := range t.Groups {
		worst = verdict.Worst(worst, b.risen(t, g, others, max(s.Tape, t.Tape)))
		if worst == verdict.No || worst == verdict.Unsure && !prove {
			return worst
		}
		if byHand {
			if hand, found := handOn(g); found {
				g.Parts = append(slices.Clone(g.Parts), hand)
			}
		}
		worst = verdict.Worst(worst, b.comesIn(ctx, &s, t, g, prove))
	}
	return worst
}

// comesIn tells whether a group of a thing of s goes in: OK is shown, No shown
// impossible, which is looked for only where prove is set.
func (b *Base) comesIn(ctx context.Context, s *scene.Scene, t scene.Thing, g scene.Group, prove bool) verdict.Verdict {
	best := verdict.No
	for k := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[k]
		if o.BeforeDisplay && s.Display != nil && s.Display.Standing != scene.NotYet {
			continue
		}
		j := passage.JobOf(s, t, g, o)
		if !prove {
			if w := j.Barely(ctx); w.Going() {
				return verdict.OK
			}
		}
		if !prove || !j.Nowhere(passage.Briefly(ctx)) {
			best = verdict.Unsure
		}
	}
	return best
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
	case d < -tape-verdict.Contact && p.Sure != nil && q.Sure == q.Solid:
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
