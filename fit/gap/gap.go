// Package gap judges how things stand at rest: whether they overlap, and whether
// they leave each other and what is round them the room that is wanted.
//
// A finding `gap/A/B` is about a thing A and what it is near: a later thing, a
// fixture, `cabinet`, an opening by name (its closed door with the hinges) or
// `display`. Things come in the order of the plan, the sump first. Not looked at
// is what a thing stands on, by way of others too, what it is `on`, and panels
// and doors beyond the glass for a thing in the sump. The sump is its panes, rim,
// foot, braces and baffles, so that room in it is room.
//
// A thing must also be where the plan says: one in a chamber between the walls
// of that chamber as far as they go up, part of `gap/sump/THING`, and every one
// within the outside of the cabinet, part of `gap/THING/cabinet`. Pipes and hoses
// lead on to elsewhere, also through the display's glass, and are excepted, and what is `on: rim of sump` may hang
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
	c := check{s: s, under: stacked(s)}
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
			if b.name != display || !leads(a.thing) {
				pair(a, b)
			}
		}
	}
	for i := range s.Cabinet.Openings {
		out.Checks = append(out.Checks, c.swings(i)...)
	}
	return out
}

// A check is one run over a scene.
type check struct {
	s     *scene.Scene
	under map[string]map[string]bool
}

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
		out = append(out, side{name: display, parts: s.Display.Panes(), tape: s.Tape})
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
	q := question{
		id: "gap/" + a.name + "/" + b.name, wanted: c.s.Gaps.For(a.kind, b.kind), tape: max(a.tape, b.tape),
	}
	f = c.finding(sp, q)
	return f, f.Verdict != verdict.OK || sp.Dist < (q.wanted+Shown).MM()
}

// The names of what is not named by the plan.
const (
	sump    = "sump"
	cabinet = "cabinet"
	display = "display"
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
			if lower >= sp.Lo && (!sure || lower >= sp.Hi) || c.passes(a, p, b, q) || c.passes(b, q, a, p) {
				continue
			}
			sp = sp.and(p, q, solid.Distance(p.Solid, q.Solid))
		}
	}
	return sp
}

// and returns sp with the gap g between p and q taken in.
func (sp spare) and(p, q scene.Part, g solid.Gap) spare {
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
	return sp
}

// passes tells whether part p of a need not keep clear of part q of b: because a
// is a thing that touches it on purpose, stands on it, or is in the sump, whose
// glass is between them.
func (c check) passes(a side, p scene.Part, b side, q scene.Part) bool {
	if a.thing == nil {
		return false
	}
	return c.s.Touches(*a.thing, q) || c.under[a.name][q.Name] && above(p, q) >= -verdict.Contact ||
		b.thing == nil && (q.Role == scene.RolePanel || q.Role == scene.RoleLeaf || q.Role == scene.RoleHinge) && c.behindGlass(a.thing, p, q)
}

// above returns how far all of p is above all of q.
func above(p, q scene.Part) unit.Length {
	return unit.Length(p.Solid.Bounds().Min.Z - q.Solid.Bounds().Max.Z)
}

// behindGlass tells whether a pane of the sump is between a part of a thing in
// it and a part of what is round it.
func (c check) behindGlass(t *scene.Thing, p, q scene.Part) bool {
	if t.Item == nil || t.Item.Chamber == 0 || c.s.Sump == nil {
		return false
	}
	in, out := c.s.Sump.Inside(), c.s.Sump.Box
	for _, f := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Bottom} {
		inner, outer := p.Solid.Bounds(), q.Solid.Bounds()
		if f != scene.Bottom && inner.Max.Z > in.Max.Z {
			continue
		}
		if outward(f)*(coordinate(in, f)-coordinate(inner, f)) >= 0 && outward(f)*(coordinate(outer, opposite(f))-coordinate(out, f)) >= 0 {
			return true
		}
	}
	return false
}

// apart tells whether two lengths are more than contact apart.
func apart(a, b unit.Length) bool { return math.Abs((a - b).MM()) > verdict.Contact.MM() }

// stacked returns, for each thing and fixture that stands on something, the names
// of the parts it stands on, by way of others too.
func stacked(s *scene.Scene) map[string]map[string]bool {
	things := s.Things()
	parts := append(s.Cabinet.Panels(), s.StandParts()...)
	parts = append(parts, s.Fixtures()...)
	for _, t := range things {
		parts = append(parts, t.Parts...)
	}
	on := map[string][]scene.Part{}
	find := func(name string, own []scene.Part, mat unit.Length) {
		for _, p := range own {
			for _, q := range parts {
				between := unit.Length(0)
				if q.Role == scene.RolePanel {
					between = mat
				}
				if q.Of == name || apart(above(p, q), between) {
					continue
				}
				if !apart(unit.Length(solid.Distance(p.Solid, q.Solid).Dist), between) {
					on[name] = append(on[name], q)
				}
			}
		}
	}
	for i := range s.Cabinet.Fixtures {
		find(s.Cabinet.Fixtures[i].Name, s.Cabinet.Fixtures[i].Parts(), 0)
	}
	for _, t := range things {
		mat := unit.Length(0)
		if t.Name == sump {
			mat = s.Sump.Under
		}
		find(t.Name, t.Parts, mat)
	}
	under := map[string]map[string]bool{}
	for name := range on {
		under[name] = map[string]bool{}
		for todo := []string{name}; len(todo) > 0; todo = todo[1:] {
			for _, q := range on[todo[0]] {
				if !under[name][q.Name] {
					under[name][q.Name] = true
					todo = append(todo, q.Of)
				}
			}
		}
	}
	return under
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
	all := wide(t, outside)
	sp := nothing()
	for _, f := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right, scene.Top, scene.Bottom} {
		w := solid.Box(beyond(all, f, coordinate(outside, f)))
		wall := scene.Part{Name: cabinet + "/" + f.String(), Of: cabinet, Role: scene.RolePanel, Solid: w, Sure: w}
		for _, p := range t.parts {
			sp = sp.and(p, wall, solid.Distance(p.Solid, w))
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
	all := wide(t, c.s.Sump.Box)
	for _, f := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right} {
		for _, wall := range c.s.Sump.Panes() {
			if !bounds(wall, space.Box, f) || wall.Role == scene.RoleGlass && hangs {
				continue
			}
			inner := opposite(f)
			outside := func(s solid.Solid) solid.Solid {
				b := s.Bounds()
				out := beyond(all, f, coordinate(b, inner))
				out.Max.Z = b.Max.Z
				return solid.Box(out)
			}
			wall.Solid = outside(wall.Solid)
			if wall.Sure != nil {
				wall.Sure = outside(wall.Sure)
			}
			for _, p := range t.parts {
				sp = sp.and(wall, p, solid.Distance(wall.Solid, p.Solid))
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

// wide returns a box so far round t and a place it belongs in that the nearest
// way out of what is beyond a side of the place is back over that side.
func wide(t side, place r3.Box) r3.Box {
	low, high := place.Min, place.Max
	for _, p := range t.parts {
		b := p.Solid.Bounds()
		low = r3.Vec{X: min(low.X, b.Min.X), Y: min(low.Y, b.Min.Y), Z: min(low.Z, b.Min.Z)}
		high = r3.Vec{X: max(high.X, b.Max.X), Y: max(high.Y, b.Max.Y), Z: max(high.Z, b.Max.Z)}
	}
	d := 2 * r3.Norm(r3.Sub(high, low))
	away := r3.Vec{X: d, Y: d, Z: d}
	return r3.Box{Min: r3.Sub(low, away), Max: r3.Add(high, away)}
}

// beyond returns the part of b beyond a coordinate toward f.
func beyond(b r3.Box, f scene.Face, at float64) r3.Box {
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

// outward returns the sign of the direction of f along its axis.
func outward(f scene.Face) float64 {
	if f == scene.Right || f == scene.Back || f == scene.Top {
		return 1
	}
	return -1
}

// opposite returns the face across from f.
func opposite(f scene.Face) scene.Face {
	return [...]scene.Face{
		scene.Front: scene.Back, scene.Back: scene.Front, scene.Left: scene.Right,
		scene.Right: scene.Left, scene.Top: scene.Bottom, scene.Bottom: scene.Top,
	}[f]
}
