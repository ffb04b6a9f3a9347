package scene

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/unit"
)

// A Group is what travels as one rigid body.
type Group struct {
	Name  string      // the thing's name, or "thing/part" for a part that travels apart
	Parts []Part      // as carried, where they stand at rest
	Lifts unit.Length // must rise this far to come off; 0 for a thing's main body
}

// A Thing is what is carried in: the sump or an item of equipment.
type Thing struct {
	Name   string
	Kind   string  // "sump", or the kind of the equipment
	Parts  []Part  // as it stands at rest
	Groups []Group // as it travels, in the order the groups go in; the main body first
	Order  int     // goes in after lower numbers, equal numbers as they come; the sump before everything
	Fixed  bool    // never comes out
	Soft   bool    // bends aside on the way, counts at rest
	Tape   unit.Length
	On     []string   // touches these on purpose
	Item   *Equipment // nil for the sump
}

// Things returns what is carried in: the sump first, then the equipment in the
// order of the plan.
func (s *Scene) Things() []Thing {
	var things []Thing
	if s.Sump != nil {
		things = append(things, Thing{
			Name: "sump", Kind: "sump", Parts: s.Sump.Panes(), Tape: s.Sump.Tape,
			Groups: []Group{{Name: "sump", Parts: s.Sump.Carried()}},
		})
	}
	for i := range s.Equipment {
		e := &s.Equipment[i]
		t := Thing{
			Name: e.Name, Kind: e.Kind, Parts: partsOf(e.Name, e.Bodies, RoleEquipment),
			Order: e.Order, Fixed: e.Fixed, Soft: e.Soft, Tape: e.Tape, On: e.On, Item: e,
		}
		main := Group{Name: e.Name}
		var apart []Group
		for j, p := range t.Parts {
			if b := e.Bodies[j]; b.Apart {
				apart = append(apart, Group{Name: p.Name, Parts: []Part{p}, Lifts: b.Lifts})
			} else {
				main.Parts = append(main.Parts, p)
			}
		}
		if len(main.Parts) > 0 {
			t.Groups = append(t.Groups, main)
		}
		t.Groups = append(t.Groups, apart...)
		things = append(things, t)
	}
	return things
}

// partsOf returns the bodies of a thing or fixture as parts, one for one.
func partsOf(name string, bodies []Body, role Role) []Part {
	parts := make([]Part, len(bodies))
	for i, b := range bodies {
		p := Part{Name: name, Of: name, Role: role, Solid: b.Solid, Sure: b.Solid}
		if b.Assumed {
			p.Sure = nil
		}
		switch {
		case b.Name != "":
			p.Name += "/" + b.Name
		case len(bodies) > 1:
			p.Name += "/part " + strconv.Itoa(i+1)
		}
		parts[i] = p
	}
	return parts
}

// Thing returns the thing of that name.
func (s *Scene) Thing(name string) (Thing, bool) {
	for _, t := range s.Things() {
		if t.Name == name {
			return t, true
		}
	}
	return Thing{}, false
}

// Parts returns the fixture's bodies as parts.
func (f *Fixture) Parts() []Part { return partsOf(f.Name, f.Bodies, RoleFixture) }

// Fixtures returns the parts of all fixtures of the cabinet.
func (s *Scene) Fixtures() []Part {
	var parts []Part
	for i := range s.Cabinet.Fixtures {
		parts = append(parts, s.Cabinet.Fixtures[i].Parts()...)
	}
	return parts
}

// AtRest returns everything where it stands with the doors closed: room,
// cabinet, stand, doors, hinges, fixtures, display and things.
func (s *Scene) AtRest() []Part {
	parts := append(s.RoomParts(), s.Cabinet.Panels()...)
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		parts = append(parts, s.Leaves(o, 0)...)
		parts = append(parts, s.Hinges(o)...)
	}
	parts = append(parts, s.StandParts()...)
	parts = append(parts, s.Fixtures()...)
	if s.Display != nil {
		parts = append(parts, s.Display.Panes()...)
	}
	for _, t := range s.Things() {
		parts = append(parts, t.Parts...)
	}
	return parts
}

// AssumedFront is the distance from the cabinet's face to what stands opposite
// where the plan does not give it: common practice, no source.
const AssumedFront = 48 * unit.Inch

const (
	// roomReach is how far the room goes on where the plan gives no wall.
	roomReach = 10 * unit.Metre
	// wallThickness makes walls and floor solids that nothing is beyond.
	wallThickness = 1 * unit.Metre
)

// RoomParts returns the room's floor and those of its walls and its ceiling that
// the plan gives, as thick boxes, and the wall before the cabinet in any case:
// where the plan does not give it, at AssumedFront, with nothing of it sure.
func (s *Scene) RoomParts() []Part {
	or := func(l *unit.Length, otherwise unit.Length) unit.Length {
		if l != nil {
			return *l
		}
		return otherwise
	}
	r, c := s.Room, &s.Cabinet
	x0, x1 := -or(r.Left, roomReach), c.Width+or(r.Right, roomReach)
	y0, y1 := -or(r.Front, AssumedFront), c.Depth+or(r.Back, roomReach)
	z1 := or(r.Ceiling, c.Height+roomReach)
	const t = wallThickness
	g := gathering{of: "room"}
	add := func(name string, given bool, box r3.Box) {
		if given {
			g.add(name, RoleRoom, box, box)
		}
	}
	add("floor", true, boxOf(x0-t, y0-t, -t, x1+t, y1+t, 0))
	front := boxOf(x0-t, y0-t, 0, x1+t, y0, z1)
	if r.Front == nil {
		g.add("front wall", RoleRoom, front, r3.Box{})
	}
	add("front wall", r.Front != nil, front)
	add("back wall", r.Back != nil, boxOf(x0-t, y1, 0, x1+t, y1+t, z1))
	add("left wall", r.Left != nil, boxOf(x0-t, y0, 0, x0, y1, z1))
	add("right wall", r.Right != nil, boxOf(x1, y0, 0, x1+t, y1, z1))
	add("ceiling", r.Ceiling != nil, boxOf(x0-t, y0-t, z1, x1+t, y1+t, z1+t))
	return g.parts
}
