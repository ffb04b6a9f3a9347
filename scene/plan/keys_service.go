package plan

import (
	"slices"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// What a plan says about cords and hoses: the holes they are led through, and
// what is on their ends.

// rawHole is a hole for cords and hoses.
type rawHole struct {
	name   val[string]
	side   val[scene.Face]
	at     val[*rawOpeningAt]
	round  val[rawRound]
	size   val[[]unit.Length]
	within val[unit.Length]
}

var holeShape = object("a hole",
	key("name", func(h *rawHole) *val[string] { return &h.name }, name,
		"What the hole is called.").needed("write name: with a word of your own"),
	key("side", func(h *rawHole) *val[scene.Face] { return &h.side }, choice("a side of the cabinet",
		option[scene.Face]{"back", scene.Back}, option[scene.Face]{"top", scene.Top},
		option[scene.Face]{"left", scene.Left}, option[scene.Face]{"right", scene.Right},
		option[scene.Face]{"front", scene.Front}),
		"The side it is in.").needed("write side: back"),
	key("at", func(h *rawHole) *val[*rawOpeningAt] { return &h.at }, openingAtShape,
		"Its edges, from the cabinet's outside edges as you stand facing that side, up from the house floor or sill from the cabinet bottom."),
	key("round", func(h *rawHole) *val[rawRound] { return &h.round }, roundShape,
		"Of a round hole: its diameter."),
	key("size", func(h *rawHole) *val[[]unit.Length] { return &h.size }, holeSize,
		"Of a rectangular hole: width and height; of the top: width and depth."),
	key("within", func(h *rawHole) *val[unit.Length] { return &h.within }, distance,
		"How far its measures may be off, where it is not the plan's tape."),
).described(func(s *schema) { s.AnyOf = append(s.AnyOf, has("size"), has("round")) })

// rawCords are the keys of this file under a thing.
type rawCords struct {
	cord val[*rawCord]
	hose val[*rawCord]
}

type rawCord struct {
	length      val[unit.Length]
	plug, brick val[[]unit.Length]
	barb, round val[rawRound]
	through     val[[]val[string]]
	to          val[string]
}

var (
	lengthKey = key("length", func(c *rawCord) *val[unit.Length] { return &c.length }, size,
		"How long it is.")
	throughKey = key("through", func(c *rawCord) *val[[]val[string]] { return &c.through }, nameList,
		"The hole it is led through, or several in their order from the thing on.")
	endKey = func(at string) field[rawCord] {
		return key("to", func(c *rawCord) *val[string] { return &c.to }, text, at+" that it ends at; left out: it goes on outside.")
	}

	cordKeys = []field[rawCords]{
		key("cord", func(c *rawCords) *val[*rawCord] { return &c.cord }, object("a cord", lengthKey,
			key("plug", func(c *rawCord) *val[[]unit.Length] { return &c.plug }, boxSize,
				"The box round its plug: three sizes, in any order."),
			key("brick", func(c *rawCord) *val[[]unit.Length] { return &c.brick }, boxSize,
				"The box round the transformer in it: three sizes, in any order."),
			throughKey, endKey("The thing or fixture")), "Its cord."),
		key("hose", func(c *rawCords) *val[*rawCord] { return &c.hose }, object("a hose", lengthKey,
			key("round", func(c *rawCord) *val[rawRound] { return &c.round }, roundShape,
				"The hose's outside diameter."),
			key("barb", func(c *rawCord) *val[rawRound] { return &c.barb }, roundShape,
				"The widest diameter of its end: the barb, or a nut on it."),
			throughKey, endKey("The thing or fixture, or sump,")), "Its hose."),
	}
)

// holes fills in the holes for cords and hoses.
func (b *builder) holes(c *scene.Cabinet, raw *rawCabinet) {
	for _, v := range raw.holes.v {
		if !v.ok {
			continue
		}
		h := v.v
		b.unique(b.named, h.name)
		size := h.size
		switch {
		case h.round.given && h.size.given:
			b.fail(h.size.at, "round and size are both given", "keep round for a round hole, size for a rectangular one", h.round.at)
			continue
		case h.round.ok:
			d := h.round.v.diameter
			size = val[[]unit.Length]{v: []unit.Length{d, d}, at: h.round.at, given: true, ok: true}
		case !h.round.given && !h.size.given:
			b.fail(where{v.at.pos, join(v.at.path, "size")}, "missing", "write round: 2, or size: [2, 1 1/2]")
			continue
		}
		// A hole lies in its side as an opening does.
		o := b.opening(c, raw, &rawOpening{name: h.name, side: h.side, at: h.at, size: size, within: h.within})
		if !size.ok || !h.side.ok || o.Hole.Min == o.Hole.Max {
			continue
		}
		c.Holes = append(c.Holes, scene.Hole{Name: o.Name, Side: o.Side, Box: o.Hole, Round: h.round.ok, Tape: o.Tape})
	}
}

// cord returns what a plan says of the cord or hose of a thing.
func (b *builder) cord(raw *rawEquipment) *scene.Cord {
	v, hose := raw.cords.cord, false
	if raw.cords.hose.given {
		if v.given {
			b.fail(raw.cords.hose.at, "a cord and a hose are both given", "describe the hose as a thing of its own, of kind hose", v.at)
			return nil
		}
		v, hose = raw.cords.hose, true
	}
	if !v.ok {
		return nil
	}
	c := v.v
	out := &scene.Cord{Hose: hose, Length: c.length.pointer(), To: c.to.v}
	box := func(v val[[]unit.Length]) *[3]unit.Length {
		if !v.ok {
			return nil
		}
		return (*[3]unit.Length)(v.v)
	}
	across := func(v val[rawRound]) *unit.Length {
		if !v.ok {
			return nil
		}
		return &v.v.diameter
	}
	out.Plug, out.Brick, out.Barb, out.Round = box(c.plug), box(c.brick), across(c.barb), across(c.round)
	holes := b.holeNames()
	for _, n := range c.through.v {
		b.known(n, "hole", holes)
		if n.ok && slices.Contains(holes, n.v) {
			out.Through = append(out.Through, n.v)
		}
	}
	ends := b.things(raw.name.v)
	if hose && b.raw.sump.given {
		ends = append(ends, "sump")
	}
	b.known(c.to, "thing or fixture", ends)
	return out
}

// holeNames returns the names of the plan's holes.
func (b *builder) holeNames() []string {
	var out []string
	for _, h := range b.raw.cabinet.or(&rawCabinet{}).holes.v {
		if h.ok && h.v.name.ok {
			out = append(out, h.v.name.v)
		}
	}
	return out
}
