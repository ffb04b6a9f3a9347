package plan

import (
	"fmt"
	"maps"
	"slices"
	"sync"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawPlan is what a plan says, key by key.
type rawPlan struct {
	format    val[int]
	title     val[string]
	units     val[unit.System]
	tape      val[unit.Length]
	room      val[*rawRoom]
	cabinet   val[*rawCabinet]
	display   val[*rawDisplay]
	sump      val[*rawSump]
	equipment val[[]val[*rawEquipment]]
	reach     val[[]val[*rawReach]]
	hand      val[*rawHand]
	carry     val[unit.Length]
	turned    val[unit.Length]
	fingers   val[unit.Length]
	gaps      val[map[string]unit.Length]
	floor     val[*rawFloor]
	stand     val[*rawStand]
	extras    rawExtras
}

// planKeys are the keys at the top of a plan.
var planKeys = append([]field[rawPlan]{
	key("format", func(p *rawPlan) *val[int] { return &p.format }, formatNumber,
		"The format of the plan file: 1.").needed("write format: 1"),
	key("title", func(p *rawPlan) *val[string] { return &p.title }, text,
		"What the drawings and the report are called."),
	key("units", func(p *rawPlan) *val[unit.System] { return &p.units }, systems,
		"The unit of numbers without one: in (default), mm or cm."),
	key("tape", func(p *rawPlan) *val[unit.Length] { return &p.tape }, distance,
		"Every measured length may be off by this much either way; default 1/16 in."),
	key("room", func(p *rawPlan) *val[*rawRoom] { return &p.room }, roomShape,
		"Distances from the cabinet to the walls round it."),
	key("cabinet", func(p *rawPlan) *val[*rawCabinet] { return &p.cabinet }, cabinetShape,
		"The cabinet under the display.").needed("write cabinet: with its size below it"),
	key("display", func(p *rawPlan) *val[*rawDisplay] { return &p.display }, displayShape,
		"The tank on top of the cabinet."),
	key("sump", func(p *rawPlan) *val[*rawSump] { return &p.sump }, sumpShape,
		"The glass tank in the cabinet."),
	key("equipment", func(p *rawPlan) *val[[]val[*rawEquipment]] { return &p.equipment },
		listOf("a list of things", 0, equipmentShape), "What else goes in: skimmer, pump, heater and so on."),
	key("reach", func(p *rawPlan) *val[[]val[*rawReach]] { return &p.reach },
		listOf("a list of places", 0, reachShape), "Places a hand must get to."),
	handKey,
	key("carry", func(p *rawPlan) *val[unit.Length] { return &p.carry }, distance,
		"Room wanted on every side of a thing on its way in; default 1/4 in."),
	key("carry-turned", func(p *rawPlan) *val[unit.Length] { return &p.turned }, distance,
		"Room wanted on every side where the thing is lifted or turned on its way in; default twice carry."),
	key("fingers", func(p *rawPlan) *val[unit.Length] { return &p.fingers }, distance,
		"Room for fingers wanted at two opposite sides where a thing is let down; default 3/4 in."),
	key("gaps", func(p *rawPlan) *val[map[string]unit.Length] { return &p.gaps }, gapsShape,
		"Room wanted between things at rest, by kind; of two kinds the larger counts."),
	key("floor", func(p *rawPlan) *val[*rawFloor] { return &p.floor }, floorShape,
		"The house floor: slab, or its joists."),
	key("stand", func(p *rawPlan) *val[*rawStand] { return &p.stand }, standShape,
		"What carries the display: the timbers of a frame, or the boards of the cabinet."),
}, within(func(p *rawPlan) *rawExtras { return &p.extras }, extraKeys)...)

// planShape is a whole plan.
var planShape = object("a plan", planKeys...)

// formatNumber is the number of the plan format.
var formatNumber = shape[int]{
	what: "the number 1", kind: scalar,
	read: func(r *reader, n *node, at where) (int, bool) {
		if n.text != "1" {
			r.fail(at, fmt.Sprintf("format %s is not known", n.quote()), "this program reads format 1")
			return 0, false
		}
		return 1, true
	},
	describe: func() *schema { return &schema{Const: 1} },
}

var systems = choice("a system of units", systemOptions()...)

func systemOptions() []option[unit.System] {
	var out []option[unit.System]
	for _, s := range unit.Systems() {
		out = append(out, option[unit.System]{s.String(), s})
	}
	return out
}

// Read reads a plan file into a scene. The name tells the format (.yaml, .yml,
// .toml or .json) and stands in messages. An error is of type Errors and holds
// everything that is wrong with the plan; then there is no scene.
//
// A plan that says something impossible is wrong: two things of one name, a
// baffle beyond the sump. A plan in which something does not fit is not: that is
// for the checks to find.
func Read(name string, data []byte) (*scene.Scene, error) { return read(name, data, false) }

// read reads a plan; one that is begun need not have anything that goes in.
func read(name string, data []byte, begun bool) (*scene.Scene, error) {
	r := newReader(name)
	return r.scene(r.parse(data), begun)
}

// newReader returns a reader of the plan file of that name.
func newReader(name string) *reader {
	keys := sync.OnceValue(planShape.describe)
	return &reader{file: name, homes: func(key string) []string { return homesOf(keys(), key) }}
}

// scene turns the tree of a plan into a scene; nil is a plan that could not be
// parsed.
func (r *reader) scene(root *node, begun bool) (*scene.Scene, error) {
	b := &builder{reader: r, s: &scene.Scene{}}
	if root != nil {
		// Bare numbers need the units first, wherever in the plan they stand.
		if u := root.value("units"); u != nil && u.kind == scalar {
			if s, err := unit.ParseSystem(u.text); err == nil {
				r.sys = s
			}
		}
		b.raw, _ = planShape.value(r, root, where{pos: root.pos})
		b.begun = begun || root.partly
		b.build()
	}
	if len(r.errs) > 0 {
		return nil, r.errs.sorted(r.lost)
	}
	return b.s, nil
}

// A builder turns what a plan says into a scene and checks what its parts say
// together.
type builder struct {
	*reader
	begun bool // the plan is begun, or could not be read whole: much may be missing
	raw   *rawPlan
	s     *scene.Scene
	named map[string]where // things, fixtures and openings, where their names stand
	// spaces are those of the sump, once something stands in one.
	spaces []scene.Space
}

// assume notes that a default took the place of a missing key.
func (b *builder) assume(key, format string, args ...any) {
	b.s.Assumed = append(b.s.Assumed, scene.Assumption{Key: key, Text: fmt.Sprintf(format, args...)})
}

// orAssume returns the length of a key, or a default, which it notes. The text
// says what the length is, with %s for it.
func (b *builder) orAssume(v val[unit.Length], otherwise unit.Length, key, format string) unit.Length {
	if v.ok {
		return v.v
	}
	b.assume(key, format, b.sys.Fine(otherwise))
	return otherwise
}

const (
	defaultTape  = unit.Inch / 16
	defaultCarry = unit.Inch / 4
	defaultGap   = unit.Inch / 4
	// common practice, no source
	defaultFingers = 3 * unit.Inch / 4
)

// build fills the scene.
func (b *builder) build() {
	p, s := b.raw, b.s
	s.Title = p.title.v
	s.Units = b.sys
	s.Tape = b.orAssume(p.tape, defaultTape, "tape", "measured lengths within %s")
	if !b.begun && !p.sump.given && (!p.equipment.given || p.equipment.ok && len(p.equipment.v) == 0) {
		b.fail(where{pos: pos{1, 1}, path: "sump"}, "missing: the plan has nothing that goes in",
			"describe a sump, or a thing under equipment")
	}
	b.names()
	b.cabinet(p.cabinet.or(&rawCabinet{}))
	b.room(p.room.or(&rawRoom{}))
	b.display()
	b.sump()
	b.equipment()
	b.reach()
	b.hand()
	s.Carry = b.orAssume(p.carry, defaultCarry, "carry", "%s wanted on every side of a thing on its way in, twice that where it is lifted or turned")
	s.CarryTurned = p.turned.or(2 * s.Carry)
	s.Fingers = p.fingers.or(defaultFingers)
	b.gaps()
	b.floor()
	b.stand()
	b.extras(&p.extras)
}

// names gathers the names of things, fixtures and openings; no two may be alike.
func (b *builder) names() {
	b.named = map[string]where{}
	c := b.raw.cabinet.or(&rawCabinet{})
	if c.back.v.open {
		b.named["open back"] = c.back.at
	}
	if c.top.v.open {
		b.named["open top"] = c.top.at
	}
	for _, o := range c.openings.v {
		if o.ok {
			b.unique(b.named, o.v.name)
		}
	}
	for _, f := range c.fixtures.v {
		if f.ok {
			b.unique(b.named, f.v.name)
		}
	}
	for _, e := range b.raw.equipment.v {
		if e.ok {
			b.unique(b.named, e.v.name)
		}
	}
}

// unique adds a name to those there are; one that is there already is an error.
func (b *builder) unique(have map[string]where, name val[string]) {
	if !name.ok {
		return
	}
	if first, taken := have[name.v]; taken {
		b.fail(name.at, fmt.Sprintf("the name %s is given twice", unit.Quote(name.v)), "give each its own name", first)
		return
	}
	have[name.v] = name.at
}

// known notes an error if a name is not among those that can stand here.
func (b *builder) known(name val[string], what string, among []string) {
	if !name.ok || slices.Contains(among, name.v) {
		return
	}
	hint := "here can stand " + oneOf(among)
	if len(among) == 0 {
		hint = "the plan has none so far: describe it, and give it this name"
	}
	if near := nearest(name.v, among); near != "" {
		hint = fmt.Sprintf("did you mean %s?", near)
	}
	b.fail(name.at, fmt.Sprintf("%s is no %s of this plan", unit.Quote(name.v), what), hint)
}

// rawRoom is what a plan says about the room.
type rawRoom struct{ front, left, right, back, ceiling val[unit.Length] }

var roomShape = object("distances to walls",
	key("front", func(r *rawRoom) *val[unit.Length] { return &r.front }, distance,
		"From the cabinet's face to what stands opposite."),
	key("left", func(r *rawRoom) *val[unit.Length] { return &r.left }, distance,
		"From the cabinet's left side to the wall."),
	key("right", func(r *rawRoom) *val[unit.Length] { return &r.right }, distance,
		"From the cabinet's right side to the wall."),
	key("back", func(r *rawRoom) *val[unit.Length] { return &r.back }, distance,
		"From the cabinet's back to the wall."),
	key("ceiling", func(r *rawRoom) *val[unit.Length] { return &r.ceiling }, size,
		"The ceiling above the house floor."),
)

func (b *builder) room(raw *rawRoom) {
	b.s.Room = scene.Room{
		Front: raw.front.pointer(), Left: raw.left.pointer(), Right: raw.right.pointer(),
		Back: raw.back.pointer(), Ceiling: raw.ceiling.pointer(),
	}
	if size := b.raw.cabinet.or(&rawCabinet{}).size; size.ok && raw.ceiling.ok && raw.ceiling.v < size.v[2] {
		b.fail(raw.ceiling.at, fmt.Sprintf("the ceiling at %s is lower than the cabinet's top at %s",
			b.sys.Fine(raw.ceiling.v), b.sys.Fine(size.v[2])), "measure both from the house floor", size.at)
	}
}

// kinds are the kinds of equipment.
var kinds = []string{
	"skimmer", "pump", "heater", "sock", "holder", "reservoir", "reactor", "pipe",
	"hose", "valve", "sensor", "light", "power", "bottle", "box",
}

// gapsShape is a length for `default` and for kinds of equipment.
var gapsShape = shape[map[string]unit.Length]{
	what: "room by kind", kind: table,
	read: func(r *reader, n *node, at where) (map[string]unit.Length, bool) {
		out, known := map[string]unit.Length{}, append([]string{"default"}, kinds...)
		for _, e := range n.entries {
			at := where{e.value.pos, join(at.path, e.key)}
			if !slices.Contains(known, e.key) {
				at.pos = e.pos
				r.unknownKey(at, e.key, known)
				continue
			}
			if e.value.null {
				at.pos = e.pos
			}
			if v, ok := distance.value(r, e.value, at); ok {
				out[e.key] = v
			}
		}
		return out, true
	},
	describe: func() *schema {
		s := &schema{Type: "object", AdditionalProperties: new(bool)}
		for _, k := range append([]string{"default"}, kinds...) {
			s.Properties = append(s.Properties, property{k, distance.describe()})
		}
		return s
	},
}

func (b *builder) gaps() {
	g := &b.s.Gaps
	g.ByKind = maps.Clone(b.raw.gaps.v)
	d, given := g.ByKind["default"]
	delete(g.ByKind, "default")
	g.Default, g.DefaultAssumed = d, !given
	if !given {
		g.Default = defaultGap
		b.assume("gaps.default", "%s wanted between things at rest", b.sys.Fine(defaultGap))
	}
}
