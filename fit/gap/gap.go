// Package gap judges how things stand at rest: whether they overlap, and whether
// they leave each other and what is round them the room that is wanted.
//
// A finding `gap/A/B` is about a thing A and what it is near: a later thing, a
// fixture, `cabinet`, an opening by name (its closed door with the hinges) or
// `display`. Things come in the order of the plan, the sump first. Not looked at
// is what a thing stands on or is `on`. The sump is its panes, rim, foot, braces
// and baffles, so that room in it is room.
//
// A thing must also be where the plan says: one in a chamber between the walls
// of that chamber as far as they go up, part of `gap/sump/THING`, and every one
// within the outside of the cabinet, part of `gap/THING/cabinet`. Pipes and hoses
// lead on to elsewhere and are excepted, and what is `on: rim of sump` may hang
// over the glass.
//
// A finding `gap/OPENING door/B` is about a door on its way to where it stands
// open, and a fixture or the `room`. It is proved for the whole turn: no leaf
// moves faster than its farthest point, so the room at two angles bounds the room
// between them.
package gap

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Shown is how far beyond what is wanted things may be apart and still make a
// finding that says so.
const Shown = 50 * unit.Millimetre

// Check judges what stands in s at rest, with the doors closed, and the doors
// opening.
func Check(s *scene.Scene) verdict.Findings {
	c := check{s}
	var out verdict.Findings
	pair := func(a, b side) {
		if f, show := c.pair(a, b); show {
			out.Checks = append(out.Checks, f)
		}
	}
	things := s.Things()
	sides := make([]side, len(things))
	for i := range things {
		t := &things[i]
		sides[i] = side{name: t.Name, kind: t.Kind, parts: t.Parts, tape: t.Tape, thing: t}
	}
	others := c.others()
	for i, a := range sides {
		for _, b := range sides[i+1:] {
			pair(a, b)
		}
		for _, b := range others {
			pair(a, b)
		}
	}
	for i := range s.Cabinet.Openings {
		out.Checks = append(out.Checks, c.swings(i)...)
	}
	return out
}

// A check is one run over a scene.
type check struct{ s *scene.Scene }

// A side is one of the two that a gap is between.
type side struct {
	name  string // in the finding's id
	kind  string // of a thing
	parts []scene.Part
	tape  unit.Length
	thing *scene.Thing // nil for what is not a thing
}

// others returns what a thing may be near besides things, in the order of the
// findings.
func (c check) others() []side {
	s := c.s
	var out []side
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		out = append(out, side{name: f.Name, parts: f.Parts(), tape: f.Tape})
	}
	out = append(out, side{name: cabinet, parts: append(s.Cabinet.Panels(), s.StandParts()...), tape: s.Tape})
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		out = append(out, side{name: o.Name, parts: append(s.Leaves(o, 0), s.Hinges(o)...), tape: o.Tape})
	}
	if s.Display != nil {
		out = append(out, side{name: "display", parts: s.Display.Panes(), tape: s.Tape})
	}
	return out
}

// A spare is the room between two sides.
type spare struct {
	verdict.Margin // Lo from all that may be there, Hi from what is sure to be
	solid.Gap      // of the nearest two parts
	a, b           scene.Part
	// out is what a thing sticks out of; "" where two parts are near each other.
	out string
}

// nothing is the spare between sides of which one is empty.
func nothing() spare {
	inf := unit.Length(math.Inf(1))
	return spare{Margin: verdict.Margin{Lo: inf, Hi: inf}, Gap: solid.Gap{Dist: math.Inf(1)}}
}

// pair judges the room between a thing a and what it is near; show is false
// where that is neither near nor in the way.
func (c check) pair(a, b side) (f verdict.Finding, show bool) {
	sp := c.between(a, b)
	switch {
	case b.thing != nil && a.name == sump:
		sp = sp.or(c.outOfChamber(b))
	case b.name == cabinet:
		sp = sp.or(c.outOfCabinet(a))
	}
	f = c.finding(sp, question{
		id: "gap/" + a.name + "/" + b.name, wanted: c.s.Gaps.For(a.kind, b.kind), tape: max(a.tape, b.tape),
	})
	f.Assumed = c.assumed(sp, a, b)
	return f, f.Verdict != verdict.OK || sp.Dist < (c.s.Gaps.For(a.kind, b.kind)+Shown).MM()
}

// The names of what is not named by the plan.
const (
	sump    = "sump"
	cabinet = "cabinet"
)

// or returns the lesser of two spares, or both: sticking out of where it belongs
// is told only where it is worse than being in something's way.
func (sp spare) or(out spare) spare {
	if !(out.Dist < -verdict.Contact.MM()) && !math.IsNaN(out.Dist) {
		return sp
	}
	m := verdict.Margin{Lo: min(sp.Lo, out.Lo), Hi: min(sp.Hi, out.Hi)}
	if !(sp.Dist <= out.Dist) {
		sp = out
	}
	sp.Margin = m
	return sp
}

// between measures the room between the parts of two sides.
func (c check) between(a, b side) spare {
	sp := nothing()
	for _, p := range a.parts {
		for _, q := range b.parts {
			lower := unit.Length(solid.Lower(p.Solid, q.Solid))
			sure := p.Sure != nil && q.Sure != nil
			if lower >= sp.Lo && (!sure || lower >= sp.Hi) || c.touches(a, p, b, q) {
				continue
			}
			g := solid.Distance(p.Solid, q.Solid)
			if c.stands(a, p, b, q, g) {
				continue
			}
			sp.add(p, q, g)
		}
	}
	return sp
}

// add takes the gap g between p and q in.
func (sp *spare) add(p, q scene.Part, g solid.Gap) {
	sp.Lo = min(sp.Lo, unit.Length(g.Low))
	if p.Sure != nil && q.Sure != nil {
		high := g.High
		if p.Sure != p.Solid || q.Sure != q.Solid {
			high = solid.Distance(p.Sure, q.Sure).High
		}
		sp.Hi = min(sp.Hi, unit.Length(high))
	}
	if !(g.Dist >= sp.Dist) {
		sp.Gap, sp.a, sp.b = g, p, q
	}
}

// touches tells whether one of the two touches the other on purpose.
func (c check) touches(a side, p scene.Part, b side, q scene.Part) bool {
	return a.thing != nil && c.s.Touches(*a.thing, q) || b.thing != nil && c.s.Touches(*b.thing, p)
}

// stands tells whether of two parts with gap g one stands on the other. Only
// things stand on something.
func (c check) stands(a side, p scene.Part, b side, q scene.Part, g solid.Gap) bool {
	on := func(t *scene.Thing, upper, lower scene.Part) bool {
		if t == nil {
			return false
		}
		high := unit.Length(upper.Solid.Bounds().Min.Z - lower.Solid.Bounds().Max.Z)
		mat := unit.Length(0)
		if t.Name == sump && lower.Role == scene.RolePanel {
			mat = c.s.Sump.Under
		}
		return math.Abs((high-mat).MM()) <= verdict.Contact.MM() && math.Abs(g.Dist-mat.MM()) <= verdict.Contact.MM()
	}
	return on(a.thing, p, q) || on(b.thing, q, p)
}

// leads tells whether a thing leads on to elsewhere.
func leads(t *scene.Thing) bool { return t.Kind == "pipe" || t.Kind == "hose" }

// outOfCabinet measures how far a thing sticks out of the cabinet's outside.
func (c check) outOfCabinet(t side) spare {
	if leads(t.thing) {
		return nothing()
	}
	k := &c.s.Cabinet
	outside := r3.Box{Max: r3.Vec{X: k.Width.MM(), Y: k.Depth.MM(), Z: k.Height.MM()}}
	sp := nothing()
	for _, f := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Top, scene.Bottom} {
		w := solid.Box(beyond(f, coordinate(outside, f), far))
		wall := scene.Part{Name: cabinet + "/" + f.String(), Of: cabinet, Role: scene.RolePanel, Solid: w, Sure: w}
		for _, p := range t.parts {
			sp.add(p, wall, solid.Distance(p.Solid, w))
		}
	}
	sp.out = "the cabinet"
	return sp
}

// outOfChamber measures how far a thing sticks out of its chamber: beyond the
// inner face of one of its walls and below the upper edge of that wall.
func (c check) outOfChamber(t side) spare {
	sp := nothing()
	if t.thing.Item == nil || leads(t.thing) {
		return sp
	}
	space, ok := c.s.Sump.Chamber(t.thing.Item.Chamber)
	if !ok {
		return sp
	}
	hangs := slices.Contains(t.thing.On, "rim of sump")
	for _, f := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right} {
		for _, wall := range c.s.Sump.Panes() {
			if !bounds(wall, space.Box, f) || wall.Role == scene.RoleGlass && hangs {
				continue
			}
			inner := opposite(f)
			outside := func(s solid.Solid) solid.Solid {
				b := s.Bounds()
				return solid.Box(beyond(f, coordinate(b, inner), b.Max.Z))
			}
			wall.Solid = outside(wall.Solid)
			if wall.Sure != nil {
				wall.Sure = outside(wall.Sure)
			}
			for _, p := range t.parts {
				sp.add(wall, p, solid.Distance(wall.Solid, p.Solid))
			}
		}
	}
	sp.out = "chamber " + strconv.Itoa(space.Number)
	return sp
}

// bounds tells whether a part of the sump is the wall of the space b on side f.
func bounds(p scene.Part, b r3.Box, f scene.Face) bool {
	const nanometre = 1e-6
	return (p.Role == scene.RoleGlass || p.Role == scene.RoleBaffle) &&
		math.Abs(coordinate(p.Solid.Bounds(), opposite(f))-coordinate(b, f)) < nanometre
}

// far is larger than anything in a scene, which is at most 100 m.
const far = 1e6

// beyond returns what lies beyond a face f at a coordinate and below a height.
func beyond(f scene.Face, at, top float64) r3.Box {
	b := r3.Box{Min: r3.Vec{X: -far, Y: -far, Z: -far}, Max: r3.Vec{X: far, Y: far, Z: top}}
	switch f {
	case scene.Left:
		b.Max.X = at
	case scene.Right:
		b.Min.X = at
	case scene.Front:
		b.Max.Y = at
	case scene.Back:
		b.Min.Y = at
	case scene.Bottom:
		b.Max.Z = at
	case scene.Top:
		b.Min.Z = at
	}
	return b
}

// coordinate returns where the face f of b lies.
func coordinate(b r3.Box, f scene.Face) float64 {
	switch f {
	case scene.Left:
		return b.Min.X
	case scene.Right:
		return b.Max.X
	case scene.Front:
		return b.Min.Y
	case scene.Back:
		return b.Max.Y
	case scene.Bottom:
		return b.Min.Z
	case scene.Top:
		return b.Max.Z
	}
	return math.NaN()
}

// opposite returns the face across from f.
func opposite(f scene.Face) scene.Face {
	return [...]scene.Face{
		scene.Front: scene.Back, scene.Back: scene.Front, scene.Left: scene.Right,
		scene.Right: scene.Left, scene.Top: scene.Bottom, scene.Bottom: scene.Top,
	}[f]
}
