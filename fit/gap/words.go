package gap

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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
	f.Assumed = c.assumed(sp, q, v)
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
	a, b := c.words(sp.a, sp.b), c.words(sp.b, sp.a)
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
		return fmt.Sprintf("measure again %s between %s and %s: %s "+text, c.way(sp), c.words(sp.a, sp.b), c.words(sp.b, sp.a), u.AtMost(by)), by.MM()
	}
	switch v {
	case verdict.OK:
		if d-need < verdict.Resolution {
			text, _ = turn(0, "")
			return strings.TrimSuffix(text, u.AtMost(0)+" ") + "any less is no longer ok", max(0, d-need).MM()
		}
		return turn(d-need, "less is no longer ok")
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

// words names a part for people. From outside the panes of the sump are one.
func (c check) words(p, other scene.Part) string {
	_, part, named := strings.Cut(p.Name, "/")
	switch {
	case p.Of == sump && p.Role == scene.RoleGlass && !c.inSump(other):
		return "the sump"
	case p.Of == "room":
		return "the " + part
	case p.Of == cabinet && p.Role == scene.RolePanel:
		// Pieces of a wall are named after it and the openings they are beside.
		if strings.HasPrefix(part, "inside bottom") {
			return "the cabinet bottom"
		}
		face, _, _ := strings.Cut(part, " ")
		if face == scene.Top.String() {
			return "the cabinet's top"
		}
		return "the cabinet's " + face + " wall"
	case p.Role == scene.RoleLeaf:
		return fmt.Sprintf("the door of %q", p.Of)
	case p.Role == scene.RoleHinge:
		return fmt.Sprintf("a hinge of %q", p.Of)
	case p.Role == scene.RoleTrim:
		kind, _, _ := strings.Cut(part, " ")
		return "the sump's " + kind
	case p.Of == sump, p.Of == display, p.Of == cabinet:
		return "the " + p.Of + "'s " + part
	case named:
		return p.Of + " (" + part + ")"
	}
	return p.Of
}

// inSump tells whether p belongs to a thing in the sump.
func (c check) inSump(p scene.Part) bool {
	t, ok := c.s.Thing(p.Of)
	return ok && t.Item != nil && t.Item.Chamber > 0
}

// assumed lists what the plan does not give and took part in a verdict.
func (c check) assumed(sp spare, q question, v verdict.Verdict) []string {
	var keys []string
	if q.wanted == c.s.Gaps.Default && q.wanted > 0 {
		keys = append(keys, "gaps.default")
	}
	if q.tape == c.s.Tape && (q.tape > q.wanted || v == verdict.No || v == verdict.Unsure) {
		keys = append(keys, "tape")
	}
	for _, p := range []scene.Part{sp.a, sp.b} {
		if p.Sure != p.Solid {
			keys = append(keys, c.behind(p)...)
		}
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
	case scene.RoleBaffle:
		return append(walls, "sump.glass", fmt.Sprintf("sump.baffles[%d]", c.baffle(p)))
	case scene.RoleGlass, scene.RoleTrim:
		if p.Of == display {
			return []string{display}
		}
		return append(walls, "sump.glass", "sump.at", "sump.rim", "sump.foot", "sump.braces")
	case scene.RoleEquipment:
		return append(walls, "cabinet.bottom", "sump")
	case scene.RoleFixture:
		return append(walls, "cabinet.bottom", "stand")
	case scene.RoleRoom:
		return []string{"room"}
	case scene.RoleWater, scene.RoleSand, scene.RoleArm:
	}
	return nil
}

// baffle returns the place in the plan of a baffle, which is named by where the
// water meets it.
func (c check) baffle(p scene.Part) int {
	number := 0
	if _, err := fmt.Sscanf(p.Name, sump+"/baffle %d", &number); err != nil {
		return -1
	}
	order := make([]int, len(c.s.Sump.Baffles))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(c.s.Sump.Baffles[i].At, c.s.Sump.Baffles[j].At)
	})
	if number < 1 || number > len(order) {
		return -1
	}
	return order[number-1]
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
