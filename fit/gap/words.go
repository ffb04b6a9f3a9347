package gap

import (
	"fmt"
	"math"
	"strings"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A question is what is asked of a spare.
type question struct {
	id           string
	wanted, tape unit.Length
}

// finding judges the room between two parts.
func (c check) finding(sp spare, q question) verdict.Finding {
	v := sp.Judge(q.wanted, q.tape)
	d := unit.Length(sp.Dist)
	if math.Abs(sp.Dist) <= verdict.Contact.MM() {
		d = 0
	}
	f := verdict.Finding{
		ID: q.id, Verdict: v,
		Measures: verdict.Measures{{Key: "spare_mm", Value: d.MM()}, {Key: "wanted_mm", Value: q.wanted.MM()}},
		Marks: []scene.Mark{{
			From: sp.OnA, To: sp.OnB, Label: c.label(d), Parts: []string{sp.a.Name, sp.b.Name},
		}},
	}
	f.Summary = c.summary(sp, d, q, v)
	f.Again, f.Room = c.again(sp, d, q, v)
	return f
}

// label is what stands at the mark of a gap.
func (c check) label(d unit.Length) string {
	if d < 0 {
		return "overlap " + c.s.Units.Fine(-d)
	}
	return c.s.Units.AtLeast(d)
}

// summary says in a sentence how a and b stand to each other.
func (c check) summary(sp spare, d unit.Length, q question, v verdict.Verdict) string {
	u := c.s.Units
	a, b := c.words(sp.a), c.words(sp.b)
	var text string
	switch {
	case math.IsNaN(sp.Dist):
		return fmt.Sprintf("the room between %s and %s could not be measured", a, b)
	case sp.out != "":
		inside := a
		if sp.a.Of == sump && sp.b.Of != cabinet {
			inside = b
		}
		text = fmt.Sprintf("%s sticks out of %s by %s", inside, sp.out, u.Fine(-d))
	case d < 0:
		text = fmt.Sprintf("%s and %s overlap by %s", a, b, u.Fine(-d))
	case d == 0:
		text = fmt.Sprintf("%s and %s touch, %s wanted", a, b, u.Length(q.wanted))
	default:
		text = fmt.Sprintf("%s between %s and %s, %s wanted", u.AtLeast(d), a, b, u.Length(q.wanted))
	}
	switch {
	case v == verdict.Unsure && sp.Hi > -q.tape && sp.Hi > sp.Lo+verdict.Resolution:
		text += ", unless what was assumed is different"
	case v == verdict.Unsure:
		text += fmt.Sprintf(", no more than a measurement may be off (%s)", u.Fine(q.tape))
	case v == verdict.Tight && q.tape > q.wanted:
		text += fmt.Sprintf("; a measurement may be off by %s", u.Fine(q.tape))
	}
	return text
}

// again says what to measure again and by how much it would turn the verdict,
// and how far that is.
func (c check) again(sp spare, d unit.Length, q question, v verdict.Verdict) (text string, room float64) {
	u := c.s.Units
	need := max(q.wanted, q.tape)
	turn := func(by unit.Length, text string) (string, float64) {
		return fmt.Sprintf("measure again %s between %s and %s: %s "+text, c.way(sp), c.words(sp.a), c.words(sp.b), u.AtMost(by)), by.MM()
	}
	switch v {
	case verdict.OK:
		return turn(max(0, d-need), "less is no longer ok")
	case verdict.Tight:
		text, room = turn(max(0, need-d), "more makes it ok")
		return text, min(room, max(0, d.MM()))
	case verdict.No:
		text, _ = turn(-d, "more makes it go")
		return text, (-d - q.tape).MM()
	case verdict.Unsure:
		text, _ = turn(-d, "more makes it go")
		return text, min(-d, max(0, d+q.tape)).MM()
	}
	return "", math.NaN()
}

// way says along which direction two parts are nearest.
func (c check) way(sp spare) string {
	n := sp.Normal
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch max(x, y, z) {
	case z:
		return "up and down"
	case y:
		return "front to back"
	}
	return "left to right"
}

// words names a part for people.
func (c check) words(p scene.Part) string {
	_, part, named := strings.Cut(p.Name, "/")
	switch {
	case p.Of == "room":
		return "the " + part
	case p.Of == cabinet && p.Role == scene.RolePanel:
		// Pieces of a wall are named after it and the openings they are beside.
		if strings.HasPrefix(part, "inside bottom") {
			return "the cabinet bottom"
		}
		face, _, _ := strings.Cut(part, " ")
		return "the cabinet's " + face
	case p.Role == scene.RoleLeaf:
		return fmt.Sprintf("the door of %q", p.Of)
	case p.Role == scene.RoleHinge:
		return fmt.Sprintf("a hinge of %q", p.Of)
	case p.Role == scene.RoleTrim:
		kind, _, _ := strings.Cut(part, " ")
		return "the sump's " + kind
	case p.Of == sump, p.Of == "display", p.Of == cabinet:
		return "the " + p.Of + "'s " + part
	case named:
		return p.Of + " (" + part + ")"
	}
	return p.Of
}

// assumed lists what the plan does not give and took part in the room between
// two sides.
func (c check) assumed(sp spare, a, b side) []string {
	var keys []string
	for _, kind := range []string{a.kind, b.kind} {
		if _, given := c.s.Gaps.ByKind[kind]; !given {
			keys = append(keys, "gaps.default")
		}
	}
	if max(a.tape, b.tape) == c.s.Tape {
		keys = append(keys, "tape")
	}
	for _, p := range []scene.Part{sp.a, sp.b} {
		if p.Sure == p.Solid {
			continue
		}
		keys = append(keys, c.behind(p)...)
	}
	return c.texts(keys)
}

// behind returns the keys on which the solid of a part that is not all sure may
// hang.
func (c check) behind(p scene.Part) []string {
	walls := []string{"cabinet.wall", "cabinet.front", "cabinet.back", "cabinet.left", "cabinet.right", "cabinet.top"}
	switch p.Role {
	case scene.RoleLeaf, scene.RoleHinge:
		for i := range c.s.Cabinet.Openings {
			if c.s.Cabinet.Openings[i].Name == p.Of {
				return append(walls, fmt.Sprintf("cabinet.openings[%d].door", i))
			}
		}
	case scene.RolePanel:
		if strings.HasPrefix(p.Name, cabinet+"/inside bottom") {
			return []string{"cabinet.bottom"}
		}
		return walls
	case scene.RoleGlass, scene.RoleBaffle, scene.RoleTrim:
		if p.Of == "display" {
			return []string{"display"}
		}
		return append(walls, "sump")
	case scene.RoleEquipment:
		return append(walls, "cabinet.bottom", "sump")
	case scene.RoleFixture:
		return append(walls, "cabinet.bottom", "stand")
	case scene.RoleRoom:
		return []string{"room"}
	case scene.RoleWater, scene.RoleSand:
	}
	return nil
}

// texts returns the assumptions of the scene under any of keys, in its order.
func (c check) texts(keys []string) []string {
	var out []string
	for _, as := range c.s.Assumed {
		for _, k := range keys {
			if as.Key == k || strings.HasPrefix(as.Key, k+".") || strings.HasPrefix(as.Key, k+"[") {
				out = append(out, as.Text)
				break
			}
		}
	}
	return out
}
