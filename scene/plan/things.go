package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undercroft/scene"
	"undercroft/scene/unit"
)

type rawFixture struct {
	rawItem
	bears    val[scene.Answer]
	comesOut val[scene.ComesOut]
}

type rawEquipment struct {
	rawItem
	kind     val[string]
	in       val[rawIn]
	mass     val[unit.Mass]
	holds    val[unit.Volume]
	outlet   val[unit.Length]
	standsIn val[[]unit.Length]
	order    val[int]
	fixed    val[bool]
	soft     val[bool]
	on       val[[]val[string]]
	heldBy   val[[]val[string]]
	cords    rawCords
}

// rawIn is where a thing stands: in the cabinet, in a chamber of the sump, or in
// its last one.
type rawIn struct {
	sump    bool
	chamber int // 0: the last
}

var fixtureShape = object("a fixture", append(
	within(func(f *rawFixture) *rawItem { return &f.rawItem }, itemKeys),
	key("bears", func(f *rawFixture) *val[scene.Answer] { return &f.bears }, choice("yes, no or unknown",
		option[scene.Answer]{"yes", scene.Yes}, option[scene.Answer]{"no", scene.No},
		option[scene.Answer]{"unknown", scene.Unknown}),
		"Whether it holds up the display; default unknown."),
	key("comes-out", func(f *rawFixture) *val[scene.ComesOut] { return &f.comesOut }, choice("a way to come out",
		option[scene.ComesOut]{"no", scene.ComesOutNo}, option[scene.ComesOut]{"screws", scene.ComesOutScrews},
		option[scene.ComesOut]{"lifts", scene.ComesOutLifts}),
		"How it can be taken out: no, screws or lifts."),
)...).described(embodiedInParts)

// embodiedInParts tells that a thing is one body or parts.
func embodiedInParts(s *schema) {
	embodied(s)
	s.AnyOf = append(s.AnyOf, has("parts"))
}

// nameList is one name or several.
var nameList = either("a name or a list of names",
	mapped(text, func(s string) []val[string] { return []val[string]{{v: s, ok: true, given: true}} }).placed(),
	listOf("a list of names", 1, text))

// placed gives a single name the place where it stands.
func (s shape[T]) placed() shape[T] {
	read := s.read
	s.read = func(r *reader, n *node, at where) (T, bool) {
		v, ok := read(r, n, at)
		if names, is := any(v).([]val[string]); is {
			for i := range names {
				names[i].at = at
			}
		}
		return v, ok
	}
	return s
}

var equipmentShape = object("a thing", append(append(
	within(func(e *rawEquipment) *rawItem { return &e.rawItem }, itemKeys),
	key("kind", func(e *rawEquipment) *val[string] { return &e.kind }, words("a kind of equipment", kinds...),
		"What it is; default box."),
	key("in", func(e *rawEquipment) *val[rawIn] { return &e.in }, inShape,
		"Where it stands: cabinet (default), sump 1, sump 2 and so on from the inlet, or sump last."),
	key("mass", func(e *rawEquipment) *val[unit.Mass] { return &e.mass }, mass, "Its mass without water."),
	key("holds", func(e *rawEquipment) *val[unit.Volume] { return &e.holds }, volume,
		"What a reservoir holds; default as much as its outside."),
	key("outlet", func(e *rawEquipment) *val[unit.Length] { return &e.outlet }, offset,
		"Where the end of a reservoir's hose is, above the cabinet's inside bottom."),
	key("stands-in", func(e *rawEquipment) *val[[]unit.Length] { return &e.standsIn },
		fixed(distance, "[9, 10 1/2]", "least", "greatest depth"),
		"Depth of water it works in: least and greatest."),
	key("order", func(e *rawEquipment) *val[int] { return &e.order }, whole(0, 1000),
		"It goes in after lower numbers."),
	key("fixed", func(e *rawEquipment) *val[bool] { return &e.fixed }, yesNo, "Whether it never comes out."),
	key("soft", func(e *rawEquipment) *val[bool] { return &e.soft }, yesNo,
		"Whether it bends aside on the way (hose, cord); at rest it counts."),
	key("on", func(e *rawEquipment) *val[[]val[string]] { return &e.on }, nameList,
		"What it touches on purpose: a wall as left wall, rim of sump, baffle 1, a thing or a fixture."),
	key("held-by", func(e *rawEquipment) *val[[]val[string]] { return &e.heldBy }, nameList,
		"What must be undone before it comes out: parts, things or fixtures."),
), within(func(e *rawEquipment) *rawCords { return &e.cords }, cordKeys)...)...).described(embodiedInParts)

var inShape = shape[rawIn]{
	what: "a place, as cabinet or sump 1", kind: scalar,
	read: func(r *reader, n *node, at where) (rawIn, bool) {
		words := strings.Fields(strings.ToLower(n.text))
		switch {
		case len(words) == 1 && words[0] == "cabinet":
			return rawIn{}, true
		case len(words) == 2 && words[0] == "sump" && words[1] == "last":
			return rawIn{sump: true}, true
		case len(words) == 2 && words[0] == "sump":
			if c, err := strconv.Atoi(words[1]); err == nil && c > 0 {
				return rawIn{sump: true, chamber: c}, true
			}
		}
		r.fail(at, n.quote()+" is no place for a thing",
			"write cabinet, sump last, or sump with the number of the chamber from the inlet, as sump 1")
		return rawIn{}, false
	},
	describe: func() *schema {
		return &schema{Type: "string", Pattern: `^\s*([Cc]abinet|[Ss]ump\s+([Ll]ast|0*[1-9][0-9]*))\s*$`}
	},
}

// fixture fills in one fixture.
func (b *builder) fixture(raw *rawFixture, at where) {
	bodies, ok := b.bodies(&raw.rawItem, at, b.insideCabinet())
	if !ok {
		return
	}
	b.s.Cabinet.Fixtures = append(b.s.Cabinet.Fixtures, scene.Fixture{
		Name: raw.name.v, Bodies: bodies, From: raw.faces(), Bears: raw.bears.v, ComesOut: raw.comesOut.v,
		Tape: raw.within.or(b.s.Tape),
	})
}

// equipment fills in what goes into cabinet and sump.
func (b *builder) equipment() {
	for _, v := range b.raw.equipment.v {
		if !v.ok {
			continue
		}
		raw := v.v
		e := scene.Equipment{
			Name: raw.name.v, Kind: raw.kind.or("box"), Mass: raw.mass.pointer(), Holds: raw.holds.pointer(), Outlet: b.outlet(raw.outlet), Order: raw.order.v,
			Fixed: raw.fixed.v, Soft: raw.soft.v, Tape: raw.within.or(b.s.Tape), From: raw.faces(),
		}
		room, known := b.insideCabinet(), raw.in.usable()
		if raw.in.v.sump {
			e.Chamber, room, known = b.chamber(raw.in)
		}
		if raw.standsIn.ok {
			e.StandsIn = (*[2]unit.Length)(raw.standsIn.v)
			if raw.standsIn.v[0] > raw.standsIn.v[1] {
				b.fail(raw.standsIn.at, fmt.Sprintf("the least depth, %s, is more than the greatest, %s",
					b.sys.Fine(raw.standsIn.v[0]), b.sys.Fine(raw.standsIn.v[1])), "write [least, greatest]")
			}
			if known && !raw.in.v.sump {
				b.fail(raw.standsIn.at, fmt.Sprintf("%s stands in the cabinet, not in water", unit.Quote(e.Name)),
					"write in: sump 1, or take stands-in out", raw.in.at)
			}
		}
		// A thing in a chamber that is not there has its error; so has its body.
		bodies, ok := b.bodies(&raw.rawItem, v.at, room)
		e.On, e.HeldBy, e.Cord = b.on(raw), b.heldBy(raw), b.cord(raw)
		if ok && known {
			e.Bodies = bodies
			b.s.Equipment = append(b.s.Equipment, e)
		}
	}
}

// chamber returns the number and the inside of the chamber that a thing stands
// in.
func (b *builder) chamber(in val[rawIn]) (number int, room surrounding, known bool) {
	room = b.insideCabinet() // until it is known better
	if !b.raw.sump.given {
		b.fail(in.at, "the plan has no sump", "describe the sump, or write in: cabinet")
		return 0, room, false
	}
	if !b.sumpKnown() {
		return 0, room, false
	}
	if b.spaces == nil {
		b.spaces = b.s.Sump.Spaces()
	}
	chambers := 0
	for _, sp := range b.spaces {
		chambers = max(chambers, sp.Number)
	}
	number = in.v.chamber
	if number == 0 {
		number = chambers
	}
	i := slices.IndexFunc(b.spaces, func(sp scene.Space) bool { return number > 0 && sp.Number == number })
	if i < 0 {
		also := b.raw.sump.at
		if b.raw.sump.v.baffles.given {
			also = b.raw.sump.v.baffles.at
		}
		have := fmt.Sprintf("the sump has %d chambers", chambers)
		if chambers == 1 {
			have = "the sump has one chamber"
		}
		b.fail(in.at, fmt.Sprintf("there is no chamber %d: %s", number, have),
			"chambers count from the inlet; spaces under 3 in long beside a raised baffle do not count", also)
		return number, room, false
	}
	sp := b.spaces[i]
	return number, surrounding{sp.Box, func(from []scene.Face) bool { return b.fixedIn(sp, from) }}, true
}

// fixedIn reports whether a place measured from these inside faces of a chamber
// is known. They lie where sump and glass say; the face toward the inlet also
// where the baffle there ends.
func (b *builder) fixedIn(sp scene.Space, from []scene.Face) bool {
	s := b.s.Sump
	if s.Assumed || s.GlassAssumed {
		return false
	}
	if sp.In == nil || !sp.In.Assumed {
		return true
	}
	across := map[scene.Face]scene.Face{
		scene.Left: scene.Right, scene.Right: scene.Left, scene.Front: scene.Back, scene.Back: scene.Front,
	}[s.Inlet]
	return slices.Contains(from, across) && !slices.Contains(from, s.Inlet)
}

// insideCabinet is what stands in the cabinet stands in.
func (b *builder) insideCabinet() surrounding {
	return surrounding{b.s.Cabinet.Inside(), b.s.Cabinet.Fixed}
}

// walls and rimOfSump are what a thing can touch beside things and fixtures.
var walls = []string{"left wall", "right wall", "front wall", "back wall"}

const rimOfSump = "rim of sump"

// on returns what a thing touches on purpose.
func (b *builder) on(raw *rawEquipment) []string {
	if !raw.on.given {
		return nil
	}
	among := append(append([]string{}, walls...), "cabinet")
	if b.raw.sump.given {
		among = append(among, rimOfSump, "sump")
		for i := range b.raw.sump.or(&rawSump{}).baffles.v {
			among = append(among, "baffle "+strconv.Itoa(i+1))
		}
	}
	among = append(among, b.things(raw.name.v)...)
	return b.list(raw.on, raw.name, "wall, thing or fixture", among)
}

// heldBy returns what must be undone before a thing comes out.
func (b *builder) heldBy(raw *rawEquipment) []string {
	if !raw.heldBy.given {
		return nil
	}
	among := b.things(raw.name.v)
	for _, p := range raw.parts.v {
		if p.ok && p.v.name.ok {
			among = append(among, p.v.name.v)
		}
	}
	for _, p := range b.raw.reach.v {
		if p.ok && p.v.name.ok {
			among = append(among, p.v.name.v)
		}
	}
	return b.list(raw.heldBy, raw.name, "part, thing, fixture or place", among)
}

// things returns the names of things, fixtures and openings, and of parts as
// "thing/part", all but those of the thing of that name.
func (b *builder) things(but string) []string {
	var out []string
	add := func(item *rawItem) {
		if !item.name.ok || item.name.v == but {
			return
		}
		out = append(out, item.name.v)
		for _, p := range item.parts.v {
			if p.ok && p.v.name.ok {
				out = append(out, item.name.v+"/"+p.v.name.v)
			}
		}
	}
	c := b.raw.cabinet.or(&rawCabinet{})
	for _, o := range c.openings.v {
		if o.ok && o.v.name.ok {
			out = append(out, o.v.name.v)
		}
	}
	for _, f := range c.fixtures.v {
		if f.ok {
			add(&f.v.rawItem)
		}
	}
	for _, e := range b.raw.equipment.v {
		if e.ok {
			add(&e.v.rawItem)
		}
	}
	return out
}

// list returns names that must be among others; own is the name of the thing
// that lists them.
func (b *builder) list(v val[[]val[string]], own val[string], what string, among []string) []string {
	var out []string
	for _, n := range v.v {
		if n.ok && own.ok && n.v == own.v {
			b.fail(n.at, unit.Quote(n.v)+" is this thing itself", "name another", own.at)
			continue
		}
		b.known(n, what, among)
		out = append(out, n.v)
	}
	return out
}
