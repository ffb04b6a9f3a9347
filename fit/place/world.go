package place

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/arrange"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A world is a plan with things that are to be given places, as boxes: what is
// there, and what is to be placed.
type world struct {
	scene  *scene.Scene // the movers in a corner
	movers []mover
	fixed  []body
}

// A body is what moves as one with a mover, or does not move.
type body struct {
	of     int // the mover; arrange.Fixed for none
	name   string
	kind   string
	tape   unit.Length
	thing  *scene.Thing // nil for what is no thing
	parts  []scene.Part // with the mover's corner at the origin, or in place
	closed []scene.Part // of the sump: as a closed box, toward what is not in it
	z      float64      // of the corner; NaN where it hangs at any height
	stands bool         // what is below it is in no way
	home   bool         // it is a sump
}

func newWorld(s *scene.Scene, movers []mover) *world {
	w := &world{scene: s, movers: movers}
	add := func(b body) {
		b.of = arrange.Fixed
		w.fixed = append(w.fixed, b)
	}
	for _, t := range s.Things() {
		if slices.ContainsFunc(movers, func(m mover) bool { return m.name == t.Name }) {
			continue
		}
		b := body{name: t.Name, kind: t.Kind, tape: t.Tape, thing: &t, parts: t.Parts}
		if t.Item == nil {
			b.closed, b.home = t.Groups[0].Parts, true
		}
		add(b)
	}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		add(body{name: f.Name, parts: f.Parts(), tape: f.Tape})
	}
	add(body{name: "cabinet", parts: append(s.Cabinet.Panels(), s.StandParts()...), tape: s.Tape})
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		add(body{name: o.Name, parts: append(s.Leaves(o, 0), s.Hinges(o)...), tape: o.Tape})
	}
	if s.Display != nil {
		add(body{name: "display", parts: s.Display.Panes(), tape: s.Tape})
	}
	return w
}

// home returns the mover that is the sump; arrange.Fixed where its place is known.
func (w *world) home() int {
	return slices.IndexFunc(w.movers, func(m mover) bool { return m.index < 0 })
}

// A trial is one choice of stances for some of the movers.
type trial struct {
	*world
	who     []int // the movers, by their index in the problem
	stances []*stance
	// inside keeps things behind the inside faces, out of the doorways.
	inside bool
	proof  bool
}

// combinations is how many trials are made at most.
const combinations = 512

// trials returns a trial like one for each choice of stances of some movers. Where
// there would be too many, the last stances of those that have the most are left out;
// all is false then, and where it is not known how one of the movers stands.
func (w *world) trials(who []int, like trial) (out []*trial, all bool) {
	like.world = w
	out, all = []*trial{&like}, true
	take, product := make([]int, len(who)), 1.0
	for k, i := range who {
		take[k] = len(w.movers[i].stances)
		product *= float64(take[k])
		all = all && take[k] > 0
	}
	for product > combinations {
		most := slices.Index(take, slices.Max(take))
		product *= float64(take[most]-1) / float64(take[most])
		take[most]--
		all = false
	}
	for k, i := range who {
		var next []*trial
		for _, t := range out {
			for n := range take[k] {
				u := *t
				u.who, u.stances = append(slices.Clip(t.who), i), append(slices.Clip(t.stances), &w.movers[i].stances[n])
				next = append(next, &u)
			}
		}
		out = next
	}
	return out, all
}

// nm returns whole nanometres.
func nm(mm float64) int64 { return int64(math.Round(mm * 1e6)) }

func mm(nm int64) float64 { return float64(nm) / 1e6 }

// at returns the index in the problem of a mover; arrange.Fixed where it is not one
// of the trial's.
func (t *trial) at(mover int) int { return slices.Index(t.who, mover) }

// bodies returns what moves: each mover, and with the sump what stands in it and has
// its place there.
func (t *trial) bodies() (moving, fixed []body) {
	for i, who := range t.who {
		m, s := &t.movers[who], t.stances[i]
		thing := m.thing
		if s.adds {
			thing.On = append(slices.Clip(thing.On), s.walls[0].String()+" wall")
		}
		b := body{of: i, name: m.name, kind: m.kind, tape: thing.Tape, thing: &thing, parts: s.parts, z: s.z, stands: !s.hangs}
		if s.hangs {
			b.z = math.NaN()
		}
		if m.index < 0 {
			b.home = true
			b.closed = moved(thing.Groups[0].Parts, r3.Scale(-1, t.corner(who)))
		}
		moving = append(moving, b)
	}
	home := t.home()
	for _, b := range t.fixed {
		if home < 0 || b.thing == nil || b.thing.Item == nil || b.thing.Item.Chamber == 0 {
			fixed = append(fixed, b)
			continue
		}
		if i := t.at(home); i >= 0 {
			b.of, b.z, b.stands = i, t.corner(home).Z, true
			b.parts = moved(b.parts, r3.Scale(-1, t.corner(home)))
			moving = append(moving, b)
		}
	}
	return moving, fixed
}

// corner returns where the corner of a mover is in the scene as it was read.
func (t *trial) corner(mover int) r3.Vec {
	m := &t.movers[mover]
	return r3.Vec{X: m.room.Min.X, Y: m.room.Min.Y, Z: m.ground()}
}

// problem returns what the trial asks for.
func (t *trial) problem() *arrange.Problem {
	p := &arrange.Problem{Bodies: len(t.who)}
	moving, fixed := t.bodies()
	for i := range moving {
		for k := range moving[:i] {
			if moving[i].of != moving[k].of {
				p.Pairs = append(p.Pairs, t.between(&moving[k], &moving[i])...)
			}
		}
		for k := range fixed {
			p.Pairs = append(p.Pairs, t.between(&moving[i], &fixed[k])...)
		}
	}
	for i := range t.who {
		t.bound(p, i)
	}
	return p
}

// shapes returns the parts of a body toward another.
func (b *body) shapes(other *body, proof bool) []scene.Part {
	inSump := other.thing != nil && other.thing.Item != nil && other.thing.Item.Chamber > 0
	if b.home && !proof && other.thing != nil && !inSump {
		return b.closed
	}
	return b.parts
}

// between returns the pairs of parts of two bodies that have to keep apart.
func (t *trial) between(a, b *body) []arrange.Pair {
	var out []arrange.Pair
	tape := max(a.tape, b.tape)
	room := max(t.scene.Gaps.For(a.kind, b.kind), tape)
	if t.proof {
		room = -tape - verdict.Contact
	}
	for _, p := range a.shapes(b, t.proof) {
		for _, q := range b.shapes(a, t.proof) {
			if t.touching(a, &p, b, &q) || t.touching(b, &q, a, &p) {
				continue
			}
			x, okX := t.box(a, &p)
			y, okY := t.box(b, &q)
			if !okX || !okY {
				continue
			}
			if apart := math.Max(b.above(y.Min.Z)-a.above(x.Max.Z), a.above(x.Min.Z)-b.above(y.Max.Z)); apart >= room.MM() {
				continue // whatever their places
			}
			if a.stands && b.above(y.Max.Z) <= a.z+verdict.Contact.MM() || b.of != arrange.Fixed && b.stands && a.above(x.Max.Z) <= b.z+verdict.Contact.MM() {
				continue // what is below it
			}
			out = append(out, arrange.Pair{A: a.of, B: b.of, BoxA: box(x), BoxB: box(y), Room: nm(room.MM()), Counts: !t.proof})
		}
	}
	return append(out, t.overWater(a, b)...)
}

// above returns the height of what is that high above the corner of a body; NaN
// where the body hangs at any height.
func (b *body) above(z float64) float64 {
	if b.of == arrange.Fixed {
		return z
	}
	return b.z + z
}

// box returns the box of a part: round it, or for a proof inside what is sure of it.
// What has no place yet is sure to be as large as measured.
func (t *trial) box(b *body, p *scene.Part) (r3.Box, bool) {
	if !t.proof {
		return p.Solid.Bounds(), true
	}
	s := p.Sure
	if b.of != arrange.Fixed && b.thing.Item != nil && t.movers[t.who[b.of]].name == b.name {
		s = p.Solid
		if b.thing.Item.Chamber > 0 && t.scene.Sump.GlassAssumed {
			return r3.Box{}, false // nobody knows how high it stands
		}
	}
	return solid.Inscribed(s)
}

func box(b r3.Box) arrange.Box {
	return arrange.Box{Min: [3]int64{nm(b.Min.X), nm(b.Min.Y), nm(b.Min.Z)}, Max: [3]int64{nm(b.Max.X), nm(b.Max.Y), nm(b.Max.Z)}}
}

// touching tells whether part p of a need not keep clear of part q of b: because a
// touches it on purpose, or stands in the sump, whose glass is between them.
func (t *trial) touching(a *body, p *scene.Part, b *body, q *scene.Part) bool {
	if a.thing == nil {
		return false
	}
	// The part as it was read tells which wall it is.
	there := *q
	if b.of != arrange.Fixed {
		there = moved([]scene.Part{*q}, t.corner(t.who[b.of]))[0]
	}
	if t.scene.Touches(*a.thing, there) {
		return true
	}
	switch q.Role {
	case scene.RolePanel, scene.RoleLeaf, scene.RoleHinge:
		in := a.thing.Item
		return in != nil && in.Chamber > 0 && a.above(p.Solid.Bounds().Max.Z) <= t.scene.Sump.Inside().Max.Z
	case scene.RoleFixture, scene.RoleGlass, scene.RoleBaffle, scene.RoleTrim, scene.RoleEquipment,
		scene.RoleRoom, scene.RoleWater, scene.RoleSand, scene.RoleArm:
	}
	return false
}

// overWater returns the pairs that keep what plugs are in beside the water of the
// sump.
func (t *trial) overWater(a, b *body) []arrange.Pair {
	if b.home {
		a, b = b, a
	}
	if t.proof || !a.home || !strips(t.scene, b.kind, b.name) {
		return nil
	}
	water := t.scene.Sump.Inside()
	if a.of != arrange.Fixed {
		c := t.corner(t.who[a.of])
		water = r3.Box{Min: r3.Sub(water.Min, c), Max: r3.Sub(water.Max, c)}
	}
	const everywhere = 1e4
	water.Min.Z, water.Max.Z = -everywhere, everywhere
	room := nm((max(t.scene.Tape, t.scene.Sump.Tape) + verdict.Contact).MM())
	var out []arrange.Pair
	for _, p := range b.parts {
		q := arrange.Pair{A: b.of, B: a.of, BoxA: box(p.Solid.Bounds()), BoxB: box(water), Room: room}
		if b.of == arrange.Fixed {
			q.A, q.B, q.BoxA, q.BoxB = q.B, q.A, q.BoxB, q.BoxA
		}
		out = append(out, q)
	}
	return out
}

// bound says within what a mover must stay.
func (t *trial) bound(p *arrange.Problem, i int) {
	m, s := &t.movers[t.who[i]], t.stances[i]
	give := 0.0
	if t.proof {
		give = (max(t.scene.Tape, m.thing.Tape) + verdict.Contact).MM()
	}
	size := [3]float64{s.size.X, s.size.Y, s.size.Z}
	// within keeps the span from lo to hi of the mover between two places along an
	// axis, of what another mover's corner is at the origin of.
	within := func(axis, of int, lo, hi, from, to float64) {
		p.Bounds = append(p.Bounds,
			arrange.Bound{Axis: axis, From: of, To: i, Least: nm(from - lo - give)},
			arrange.Bound{Axis: axis, From: i, To: of, Least: -nm(to - hi + give)})
	}
	c := &t.scene.Cabinet
	outside := [3]float64{c.Width.MM(), c.Depth.MM(), c.Height.MM()}
	from, to := [2]float64{}, [2]float64{outside[0], outside[1]}
	if t.inside {
		in := c.Inside()
		from, to = [2]float64{in.Min.X, in.Min.Y}, [2]float64{in.Max.X, in.Max.Y}
	}
	round := solid.BoundsOf(solidsOf(s.parts)...)
	lo, hi := [3]float64{round.Min.X, round.Min.Y, round.Min.Z}, [3]float64{round.Max.X, round.Max.Y, round.Max.Z}
	for axis := range 2 {
		within(axis, arrange.Fixed, lo[axis], hi[axis], from[axis], to[axis])
	}
	room := m.room
	of := arrange.Fixed
	if home := t.home(); m.chamber > 0 && home >= 0 {
		of = t.at(home)
		corner := t.corner(home)
		room = r3.Box{Min: r3.Sub(room.Min, corner), Max: r3.Sub(room.Max, corner)}
	}
	switch {
	case s.hangs:
		top := c.Inside().Max.Z
		if t.proof {
			s := c.Inside()
			within(2, arrange.Fixed, 0, size[2], min(s.Min.Z, 0), outside[2])
		} else {
			within(2, arrange.Fixed, 0, size[2], s.z, top)
		}
	default:
		p.Bounds = append(p.Bounds, arrange.Bound{Axis: 2, From: arrange.Fixed, To: i, Least: nm(s.z)}, arrange.Bound{Axis: 2, From: i, To: arrange.Fixed, Least: -nm(s.z)})
	}
	if m.chamber > 0 {
		t.inChamber(i, room, within, of)
	}
	if !t.proof {
		for _, f := range s.walls {
			switch f {
			case scene.Left:
				within(0, of, 0, 0, room.Min.X, room.Min.X)
			case scene.Right:
				within(0, of, size[0], size[0], room.Max.X, room.Max.X)
			case scene.Front:
				within(1, of, 0, 0, room.Min.Y, room.Min.Y)
			case scene.Back:
				within(1, of, size[1], size[1], room.Max.Y, room.Max.Y)
			case scene.Top, scene.Bottom:
			}
		}
	}
	if s.on != "" {
		t.onTop(i, within)
	}
}

// inChamber keeps a thing between the walls of its chamber, as far up as they go.
func (t *trial) inChamber(i int, room r3.Box, within func(axis, of int, lo, hi, from, to float64), of int) {
	s := t.stances[i]
	// Where nobody measured the glass, or where the sump is, this proves nothing.
	if t.proof && (t.scene.Sump.GlassAssumed || of == arrange.Fixed && t.scene.Sump.Assumed) {
		return
	}
	sp, ok := t.scene.Sump.Chamber(t.movers[t.who[i]].chamber)
	if !ok {
		return
	}
	bottom := t.scene.Sump.Inside().Min.Z
	top := func(f scene.Face) float64 {
		inlet := t.scene.Sump.Inlet
		edge := (*scene.Baffle)(nil)
		switch f {
		case inlet:
			edge = sp.In
		case across(inlet):
			edge = sp.Out
		case scene.Front, scene.Back, scene.Left, scene.Right, scene.Top, scene.Bottom:
		}
		switch {
		case edge == nil:
			return t.scene.Sump.Box.Max.Z
		case t.proof && edge.Assumed:
			return math.Inf(-1)
		}
		return bottom + edge.Top.MM()
	}
	const far = 1e5
	for axis, f := range [][2]scene.Face{{scene.Left, scene.Right}, {scene.Front, scene.Back}} {
		lo, hi := far, -far
		for _, p := range s.parts {
			b := p.Solid.Bounds()
			from, to := b.Min.X, b.Max.X
			if axis == 1 {
				from, to = b.Min.Y, b.Max.Y
			}
			if s.z+b.Min.Z < top(f[0]) {
				lo = min(lo, from)
			}
			if s.z+b.Min.Z < top(f[1]) {
				hi = max(hi, to)
			}
		}
		from, to := room.Min.X, room.Max.X
		if axis == 1 {
			from, to = room.Min.Y, room.Max.Y
		}
		within(axis, of, lo, hi, from, to)
	}
}

// across returns the face across from f.
func across(f scene.Face) scene.Face {
	return [...]scene.Face{
		scene.Front: scene.Back, scene.Back: scene.Front, scene.Left: scene.Right,
		scene.Right: scene.Left, scene.Top: scene.Bottom, scene.Bottom: scene.Top,
	}[f]
}

// onTop keeps a thing on what it stands on.
func (t *trial) onTop(i int, within func(axis, of int, lo, hi, from, to float64)) {
	s := t.stances[i]
	of := slices.IndexFunc(t.movers, func(m mover) bool { return m.name == s.on })
	if of >= 0 {
		k := t.at(of)
		if k < 0 {
			return
		}
		within(0, k, 0, s.size.X, 0, t.stances[k].size.X)
		within(1, k, 0, s.size.Y, 0, t.stances[k].size.Y)
		return
	}
	if b, ok := boxOf(t.scene, s.on); ok && (!t.proof || !t.vague(s.on)) {
		within(0, arrange.Fixed, 0, s.size.X, b.Min.X, b.Max.X)
		within(1, arrange.Fixed, 0, s.size.Y, b.Min.Y, b.Max.Y)
	}
}

// vague tells whether something of a name stands where nobody measured.
func (t *trial) vague(name string) bool {
	return slices.ContainsFunc(t.scene.AtRest(), func(p scene.Part) bool { return p.Of == name && p.Sure == nil })
}
