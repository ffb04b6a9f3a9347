package scene

import (
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Hand is the measures of the person who reaches; nil is not given.
type Hand struct {
	Knuckles *unit.Length // across the knuckles with the thumb
	Elbow    *unit.Length // elbow to fingertip
}

// The tasks of a hand.
const (
	TaskPress = "press"
	TaskTurn  = "turn"
	TaskGrip  = "grip"
	TaskPlug  = "plug"
	TaskLift  = "lift"
)

// Places returns where a hand must get to: the places of the plan in its order,
// then those that things of their kind have, unless the plan gives one on the
// same thing of the same name or for the same task.
//
// Where on its thing a derived place is was not measured: Zone is the box round
// the part it is on, and At the likely point of it.
func (s *Scene) Places() []Place {
	places := slices.Clone(s.Reach)
	for i := range s.Equipment {
		e := &s.Equipment[i]
		for _, p := range append(e.places(), s.holds(e)...) {
			places = with(places, p)
		}
	}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		if isStrip(f.Name) && len(f.Bodies) > 0 {
			places = with(places, s.plugs(f.Name, f.Bodies[0].Solid.Bounds()))
		}
	}
	for i := range s.Equipment {
		if e := &s.Equipment[i]; e.Kind == "power" && len(e.Bodies) > 0 {
			places = with(places, s.plugs(e.Name, e.Bodies[0].Solid.Bounds()))
		}
	}
	return places
}

// Holds returns the place at which each name of e's HeldBy is undone, in that
// order; nil for what no hand gets to by a place, as an opening.
func (s *Scene) Holds(e *Equipment) []*Place {
	all := s.Places()
	out := make([]*Place, len(e.HeldBy))
	for i, name := range e.HeldBy {
		derived, ok := s.hold(e, name)
		for j := range all {
			p := &all[j]
			if p.Name == name || ok && (p.Name == derived.Name && p.On == derived.On || p.overrides(derived)) {
				out[i] = p
				break
			}
		}
	}
	return out
}

// with appends p unless a place that is there stands for it.
func with(places []Place, p Place) []Place {
	for _, have := range places {
		if have.overrides(p) || have.Name == p.Name && have.On == p.On {
			return places
		}
	}
	named := func(have Place) bool { return have.Name == p.Name }
	if slices.ContainsFunc(places, named) {
		p.Name += " of " + strings.ReplaceAll(p.On, "/", " ")
	}
	return append(places, p)
}

// overrides reports whether a place that the plan gives stands for a derived one.
func (p *Place) overrides(derived Place) bool {
	thing, _, _ := strings.Cut(derived.On, "/")
	return p.For == "" && (p.On == derived.On || p.On == thing) && (p.Name == derived.Name || p.Task == derived.Task)
}

// places returns the places of e by its kind.
func (e *Equipment) places() []Place {
	if len(e.Bodies) == 0 {
		return nil
	}
	one := func(part, suffix, task, purpose string) Place {
		return topOf(strings.TrimSpace(e.Name+" "+suffix), e.Name, e.part(part), task, purpose)
	}
	switch e.Kind {
	case "valve":
		p := one("handle", "handle", TaskTurn, "its handle")
		p.Swing = unit.Length(max(p.Zone.Max.X-p.Zone.Min.X, p.Zone.Max.Y-p.Zone.Min.Y) / 2)
		return []Place{p}
	case "skimmer":
		return []Place{one("cup", "cup", TaskLift, "emptying its cup")}
	case "sock":
		return []Place{one("", "", TaskLift, "changing it")}
	case "heater":
		dial, cable := one("dial", "dial", TaskTurn, "setting it"), one("cable", "cable", TaskGrip, "its cable")
		dial.Size, cable.Size = dialSize, cableSize
		return []Place{dial, cable}
	case "pump":
		if len(e.HeldBy) == 0 {
			return []Place{one("union", "union", TaskTurn, "its union")}
		}
	}
	return nil
}

// part returns the box round the body a hand goes to: the one whose name has
// that word in it, else one that lifts off, else the highest.
func (e *Equipment) part(word string) r3.Box {
	best, bestRank := 0, -1
	for i := range e.Bodies {
		b := &e.Bodies[i]
		rank := 0
		switch {
		case word != "" && strings.Contains(strings.ToLower(b.Name), word):
			rank = 2
		case b.Lifts > 0:
			rank = 1
		}
		higher := b.Solid.Bounds().Max.Z > e.Bodies[best].Solid.Bounds().Max.Z
		if rank > bestRank || rank == bestRank && higher {
			best, bestRank = i, rank
		}
	}
	return e.Bodies[best].Solid.Bounds()
}

// topOf returns the place at the middle of the top of b.
func topOf(name, on string, b r3.Box, task, purpose string) Place {
	at := solid.Box(b).Centroid()
	at.Z = b.Max.Z
	return Place{Name: name, On: on, At: at, Zone: b, Task: task, Hands: 1, For: purpose}
}

// holds returns the places where what holds e is undone, as far as the plan
// gives none.
func (s *Scene) holds(e *Equipment) []Place {
	var out []Place
	for _, name := range e.HeldBy {
		if p, ok := s.hold(e, name); ok {
			out = append(out, p)
		}
	}
	return out
}

// hold returns the place where one thing that holds e is undone; false where
// name is a place of the plan or an opening.
func (s *Scene) hold(e *Equipment, name string) (Place, bool) {
	undone := func(called, on string, b r3.Box) (Place, bool) {
		p := topOf(called, on, b, TaskTurn, "undoing "+e.Name)
		p.At = solid.Box(b).Centroid()
		return p, true
	}
	if slices.ContainsFunc(s.Reach, func(p Place) bool { return p.Name == name }) {
		return Place{}, false
	}
	for _, b := range e.Bodies {
		if b.Name == name {
			return undone(e.Name+" "+name, e.Name+"/"+name, b.Solid.Bounds())
		}
	}
	owner, part, _ := strings.Cut(name, "/")
	bodies := func(of string, all []Body) (Place, bool) {
		if of != owner || len(all) == 0 {
			return Place{}, false
		}
		solids := make([]solid.Solid, 0, len(all))
		for _, b := range all {
			if part == "" || b.Name == part {
				solids = append(solids, b.Solid)
			}
		}
		if len(solids) == 0 {
			return Place{}, false
		}
		return undone(strings.ReplaceAll(name, "/", " "), name, solid.BoundsOf(solids...))
	}
	for i := range s.Equipment {
		if p, ok := bodies(s.Equipment[i].Name, s.Equipment[i].Bodies); ok {
			return p, true
		}
	}
	for i := range s.Cabinet.Fixtures {
		if p, ok := bodies(s.Cabinet.Fixtures[i].Name, s.Cabinet.Fixtures[i].Bodies); ok {
			return p, true
		}
	}
	return Place{}, false
}

// isStrip reports whether a fixture of that name is where things are plugged in.
func isStrip(name string) bool {
	name = strings.ToLower(name)
	return strings.Contains(name, "strip") || strings.Contains(name, "outlet") || strings.Contains(name, "socket")
}

// What a hand closes round at a plug, at a heater's dial and at its cable: from
// memory, measure yours.
const (
	plugSize  = 30 * unit.Millimetre
	dialSize  = 20 * unit.Millimetre
	cableSize = 8 * unit.Millimetre
)

// plugs returns the place of the plugs at an outlet strip: in the middle of the
// largest of its upright faces that looks into the cabinet.
func (s *Scene) plugs(name string, b r3.Box) Place {
	p := topOf(name+" plugs", name, b, TaskPlug, "its plugs")
	in := s.Cabinet.Inside()
	p.At = solid.Box(b).Centroid()
	p.Size = plugSize
	w, d, h := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Max.Z-b.Min.Z
	if d >= w || d*h >= w*h {
		p.At.X = b.Min.X
		if b.Min.X-in.Min.X < in.Max.X-b.Max.X {
			p.At.X = b.Max.X
		}
		return p
	}
	p.At.Y = b.Min.Y // a strip along the back looks to the front
	return p
}
