package model

import (
	"fmt"
	"slices"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// A group is one thing of the tree, with its parts.
type group struct {
	branch string // the branch of the tree that it is in
	name   string // "" where the group is the branch itself
	role   string
	parts  []scene.Part
	shut   []solid.Pose // of a door: what closes each part
}

// title returns what the group is called.
func (g group) title() string {
	if g.name == "" {
		return g.branch
	}
	return g.name
}

// contents returns what the model shows, in the order of the tree. Groups
// without parts are left out.
func contents(s *scene.Scene, o Options) []group {
	var groups []group
	add := func(g group) {
		if len(g.parts) > 0 {
			groups = append(groups, g)
		}
	}
	add(group{branch: "cabinet", role: "cabinet", parts: append(s.Cabinet.Panels(), s.StandParts()...)})
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		add(group{branch: "cabinet", name: f.Name, role: "fixture", parts: f.Parts()})
	}
	for i := range s.Cabinet.Openings {
		d := &s.Cabinet.Openings[i]
		at := s.DoorAngle(d)
		door := group{branch: "doors", name: d.Name, role: "door", parts: append(s.Leaves(d, at), s.Hinges(d)...)}
		for _, p := range door.parts {
			door.shut = append(door.shut, d.Swing(p.Name, -at))
		}
		add(door)
	}
	if s.Display != nil {
		display := group{branch: "display", role: "display", parts: s.Display.Panes()}
		for _, p := range s.Display.Contents() {
			if p.Role != scene.RoleWater {
				display.parts = append(display.parts, p)
			}
		}
		add(display)
	}
	for _, t := range s.Things() {
		g := group{branch: "equipment", name: t.Name, role: "thing", parts: t.Parts}
		if t.Item == nil {
			g.branch, g.name = "sump", ""
		}
		add(g)
	}
	add(group{branch: "water", role: "water", parts: o.Water})
	for _, p := range o.Shapes {
		if last := len(groups) - 1; last >= 0 && groups[last].branch == "arms" && groups[last].name == p.Of {
			groups[last].parts = append(groups[last].parts, p)
			continue
		}
		add(group{branch: "arms", name: p.Of, role: "arm", parts: []scene.Part{p}})
	}
	return groups
}

// at is one part: the index of its group and of the part in it.
type at struct{ group, part int }

// A way is a motion with its names looked up.
type way struct {
	scene.Motion
	moves  []at
	absent []at
}

// resolve looks up what moves and what is away in every motion. Water moves
// with nothing: that of a tank that is carried, or not there, is away.
func resolve(s *scene.Scene, groups []group, motions []scene.Motion) ([]way, error) {
	ways := make([]way, len(motions))
	for i, m := range motions {
		w := way{Motion: m}
		gone := map[string]bool{}
		for _, name := range m.Parts {
			found := lookup(s, groups, name)
			if len(found) == 0 {
				return nil, fmt.Errorf("way of %q through %q: there is no part %q to move", m.Thing, m.Through, name)
			}
			w.moves = include(w.moves, found)
			gone[groups[found[0].group].title()] = true
		}
		for _, name := range m.Absent {
			found := lookup(s, groups, name)
			if len(found) == 0 {
				return nil, fmt.Errorf("way of %q through %q: there is no %q to be away", m.Thing, m.Through, name)
			}
			w.absent = include(w.absent, found)
			gone[groups[found[0].group].title()] = true
		}
		for j, g := range groups {
			for k, p := range g.parts {
				if p.Role == scene.RoleWater && gone[p.Of] {
					w.absent = include(w.absent, []at{{j, k}})
				}
			}
		}
		ways[i] = w
	}
	return ways, nil
}

// lookup returns the parts that a name stands for: a whole group, one part, or
// the sump by the name of a part of it as carried.
func lookup(s *scene.Scene, groups []group, name string) []at {
	if s.Sump != nil {
		for _, p := range s.Sump.Carried() {
			if p.Name == name {
				name = p.Of
			}
		}
	}
	for i, g := range groups {
		var found []at
		for j, p := range g.parts {
			if g.title() == name || p.Name == name {
				found = append(found, at{i, j})
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

// include appends what is not yet in list.
func include(list, more []at) []at {
	for _, m := range more {
		if !slices.Contains(list, m) {
			list = append(list, m)
		}
	}
	return list
}
