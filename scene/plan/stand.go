package plan

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawStand is what a plan says about the stand.
type rawStand struct {
	bears    val[scene.Bears]
	damp     val[bool]
	uneven   val[unit.Length]
	timber   rawTimber
	members  val[[]val[*rawMember]]
	board    val[string]
	dividers val[[]val[*rawDivider]]
	plinth   val[*rawPlinth]
	feet     val[[]val[*rawFoot]]
}

// rawTimber is the kind of a timber.
type rawTimber struct{ species, grade, class val[string] }

type rawMember struct {
	name   val[string]
	size   val[rawJoistSize]
	run    val[run]
	at     val[*rawAt]
	length val[unit.Length]
	flat   val[bool]
	wide   val[axis]
	plies  val[int]
	timber rawTimber
}

// run is the way a member runs; its zero value is left to right.
type run = scene.Axis

type rawDivider struct {
	name      val[string]
	at        val[*rawAt]
	thickness val[unit.Length]
}

type rawPlinth struct {
	thickness val[unit.Length]
	front     val[unit.Length]
}

type rawFoot struct {
	name   val[string]
	at     val[*rawAt]
	size   val[[]unit.Length]
	round  val[unit.Length]
	height val[unit.Length]
}

var timberKeys = []field[rawTimber]{
	key("species", func(t *rawTimber) *val[string] { return &t.species },
		words("a species of the tables", append(assets.LumberSpecies(), "unknown")...),
		"Species of the timber; default unknown: the weakest counts."),
	key("grade", func(t *rawTimber) *val[string] { return &t.grade },
		words("a grade of the tables", append(assets.LumberGrades(), "unknown")...),
		"Grade of the timber; default unknown: the weakest counts."),
	key("class", func(t *rawTimber) *val[string] { return &t.class }, strengthClass,
		"Strength class of EN 338, as C24, instead of species and grade."),
}

var standShape = object("what carries the display", append([]field[rawStand]{
	key("bears", func(s *rawStand) *val[scene.Bears] { return &s.bears }, choice("a way to bear",
		option[scene.Bears]{"rim", scene.BearsRim}, option[scene.Bears]{"bottom", scene.BearsBottom},
		option[scene.Bears]{"mat", scene.BearsMat}, option[scene.Bears]{"unknown", scene.BearsUnknown}),
		"How the display stands: on its rim, on its whole bottom, or that on a soft mat; default unknown: the worst counts."),
	key("damp", func(s *rawStand) *val[bool] { return &s.damp }, yesNo,
		"Whether the wood stays wet; then lower values hold."),
	key("uneven", func(s *rawStand) *val[unit.Length] { return &s.uneven }, distance,
		"The widest gap under a foot while the stand is empty."),
	key("members", func(s *rawStand) *val[[]val[*rawMember]] { return &s.members }, listOf("a list of timbers", 1, memberShape),
		"The timbers of a frame."),
	key("board", func(s *rawStand) *val[string] { return &s.board }, words("a board of the tables", append(boards(), "unknown")...),
		"What the cabinet's panels are made of, where they carry the display."),
	key("dividers", func(s *rawStand) *val[[]val[*rawDivider]] { return &s.dividers }, listOf("a list of dividers", 1, dividerShape),
		"Upright boards between the sides, from front to back."),
	key("plinth", func(s *rawStand) *val[*rawPlinth] { return &s.plinth }, plinthShape,
		"Boards on the house floor under the inside bottom, front and back."),
	key("feet", func(s *rawStand) *val[[]val[*rawFoot]] { return &s.feet }, listOf("a list of feet", 1, footShape),
		"What touches the house floor; left out: timbers, sides and plinth do."),
}, within(func(s *rawStand) *rawTimber { return &s.timber }, timberKeys)...)...)

var memberShape = object("a timber", append([]field[rawMember]{
	key("name", func(m *rawMember) *val[string] { return &m.name }, name, "What it is called.").
		needed("write name: as front rail"),
	key("size", func(m *rawMember) *val[rawJoistSize] { return &m.size }, joistSize,
		"Nominal, as 2x6, or measured thickness and depth, as [45 mm, 145 mm].").
		needed("write size: 2x6, or [45 mm, 145 mm]"),
	key("run", func(m *rawMember) *val[run] { return &m.run }, choice("a direction",
		option[run]{"left-right", scene.AlongX}, option[run]{"front-back", scene.AlongY}, option[run]{"up", scene.AlongZ}),
		"The way it runs: left-right, front-back or up.").needed("write run: left-right, front-back or up"),
	key("at", func(m *rawMember) *val[*rawAt] { return &m.at }, atShape,
		"Where it is, from the cabinet's outside faces, the house floor and the surface under the display."),
	key("length", func(m *rawMember) *val[unit.Length] { return &m.length }, size,
		"How long it is; a level one left out: as long as the cabinet."),
	key("flat", func(m *rawMember) *val[bool] { return &m.flat }, yesNo,
		"Whether a level one lies on its wide face; default no: it stands on edge."),
	key("wide", func(m *rawMember) *val[axis] { return &m.wide }, choice("a direction",
		option[axis]{"left-right", leftRight}, option[axis]{"front-back", frontBack}),
		"The way the wide face of an upright one goes; default left-right."),
	key("plies", func(m *rawMember) *val[int] { return &m.plies }, whole(1, 4),
		"How many are nailed together, side by side; default 1."),
}, within(func(m *rawMember) *rawTimber { return &m.timber }, timberKeys)...)...)

var dividerShape = object("a divider",
	key("name", func(d *rawDivider) *val[string] { return &d.name }, name, "What it is called.").needed("write name: as divider"),
	key("at", func(d *rawDivider) *val[*rawAt] { return &d.at }, sideAtShape,
		"From the inside of the left or right wall; left out: in the middle."),
	key("thickness", func(d *rawDivider) *val[unit.Length] { return &d.thickness }, size,
		"How thick it is; left out: as the left wall."),
)

// sideAtShape places something between the sides.
var sideAtShape = object("a place as {left: 20}", leftKey, rightKey).checked(oneFacePerAxis)

var plinthShape = object("a plinth",
	key("thickness", func(p *rawPlinth) *val[unit.Length] { return &p.thickness }, size,
		"How thick its boards are.").needed("write thickness: 3/4"),
	key("front", func(p *rawPlinth) *val[unit.Length] { return &p.front }, distance,
		"How far its front board is behind the cabinet's face; default 0."),
)

var footShape = object("a foot",
	key("name", func(f *rawFoot) *val[string] { return &f.name }, name, "What it is called.").needed("write name: as left front foot"),
	key("at", func(f *rawFoot) *val[*rawAt] { return &f.at }, topAtShape,
		"Where it is, from the cabinet's outside faces.").needed("write at: {left: 1, front: 1}"),
	key("size", func(f *rawFoot) *val[[]unit.Length] { return &f.size }, fixed(size, "[2, 2]", "width", "depth"),
		"Width and depth on the house floor."),
	key("round", func(f *rawFoot) *val[unit.Length] { return &f.round }, size,
		"Its diameter, where it is round."),
	key("height", func(f *rawFoot) *val[unit.Length] { return &f.height }, size,
		"How tall it is, where something could stand against it."),
)

// standChecks are the names of checks of the stand beside those of its members.
var standChecks = []string{"edges", "level", "top", "inside bottom", "boards"}

func boards() []string {
	var out []string
	for _, p := range assets.Panels() {
		out = append(out, p.Name)
	}
	return out
}

// stand fills in what carries the display.
func (b *builder) stand() {
	if !b.raw.stand.ok {
		return
	}
	raw, path := b.raw.stand.v, b.raw.stand.at.path
	s := &scene.Stand{Bears: raw.bears.v, Damp: raw.damp.v, Uneven: raw.uneven.pointer(), Board: raw.board.v}
	b.s.Stand = s
	c := &b.s.Cabinet
	outside := r3.Box{Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM(), Z: c.Height.MM()}}
	have := map[string]where{}
	b.classed(raw.timber)
	for _, v := range raw.members.v {
		if v.ok {
			b.unique(have, v.v.name)
			b.member(v.v, v.at, raw.timber, outside)
		}
	}
	for i, v := range raw.dividers.v {
		if v.ok {
			b.unique(have, v.v.name)
			b.divider(v.v, fmt.Sprintf("%s.dividers[%d]", path, i))
		}
	}
	if p := raw.plinth; p.ok {
		b.plinth(p.v, p.at)
	}
	for _, v := range raw.feet.v {
		if v.ok {
			b.unique(have, v.v.name)
			b.foot(v.v, v.at, outside)
		}
	}
	if (len(s.Dividers) > 0 || len(s.Plinth) > 0) && !raw.board.given {
		b.fail(where{b.raw.stand.at.pos, join(path, "board")}, "missing",
			"write board: with what dividers and plinth are made of: "+oneOf(append(boards(), "unknown")))
	}
	if s.Bears == scene.BearsUnknown && (len(s.Members) > 0 || s.Board != "") {
		b.assume(join(path, "bears"), "the display bears on its rim or on its whole bottom, the worse counts")
	}
}

// classed checks that a timber has a class or a species and grade, not both.
func (b *builder) classed(t rawTimber) {
	for _, v := range []struct {
		name string
		v    val[string]
	}{{"species", t.species}, {"grade", t.grade}} {
		if t.class.given && v.v.given {
			b.fail(v.v.at, "class and "+v.name+" are both given", "a class is instead of species and grade", t.class.at)
		}
	}
}

// kindOf returns the timber of a member, or of the whole stand where the member
// says nothing of its own.
func kindOf(own, all rawTimber) scene.Timber {
	switch {
	case own.class.ok:
		return scene.Timber{Class: own.class.v}
	case own.species.ok || own.grade.ok:
		return scene.Timber{
			Species: own.species.or(all.species.or("unknown")),
			Grade:   own.grade.or(all.grade.or("unknown")),
		}
	case all.class.ok:
		return scene.Timber{Class: all.class.v}
	}
	return scene.Timber{Species: all.species.or("unknown"), Grade: all.grade.or("unknown")}
}

func (b *builder) member(raw *rawMember, at where, all rawTimber, outside r3.Box) {
	b.classed(raw.timber)
	if slices.Contains(standChecks, raw.name.v) {
		b.fail(raw.name.at, unit.Quote(raw.name.v)+" is taken", "a check of the stand is called that: choose another name, as front rail")
		return
	}
	if !raw.name.ok || !raw.size.ok || !raw.run.ok || !raw.at.usable() || !raw.length.usable() {
		return
	}
	m := scene.Member{
		Name: raw.name.v, Run: raw.run.v, Nominal: raw.size.v.nominal,
		Thickness: min(raw.size.v.thickness, raw.size.v.depth), Depth: max(raw.size.v.thickness, raw.size.v.depth),
		Flat: raw.flat.v, Plies: raw.plies.or(1), Timber: kindOf(raw.timber, all),
	}
	thick, deep := m.Thickness.MM()*float64(m.Plies), m.Depth.MM()
	if m.Flat {
		thick, deep = m.Depth.MM()*float64(m.Plies), m.Thickness.MM()
	}
	extent := r3.Sub(outside.Max, outside.Min)
	switch m.Run {
	case scene.AlongX:
		m.AssumedLength = !raw.length.ok
		extent = r3.Vec{X: raw.length.or(unit.Length(extent.X)).MM(), Y: thick, Z: deep}
	case scene.AlongY:
		m.AssumedLength = !raw.length.ok
		extent = r3.Vec{X: thick, Y: raw.length.or(unit.Length(extent.Y)).MM(), Z: deep}
	case scene.AlongZ:
		if !raw.length.ok {
			b.fail(where{at.pos, join(at.path, "length")}, "missing", "write length: how tall it is")
			return
		}
		extent = r3.Vec{X: deep, Y: thick, Z: raw.length.v.MM()}
		if raw.wide.v == frontBack {
			extent.X, extent.Y = extent.Y, extent.X
		}
	}
	if raw.flat.given && m.Run == scene.AlongZ {
		b.fail(raw.flat.at, "flat is for level timbers", "write wide: left-right or front-back")
	}
	if raw.wide.given && m.Run != scene.AlongZ {
		b.fail(raw.wide.at, "wide is for upright timbers", "write flat: yes where a level one lies on its wide face")
	}
	if m.AssumedLength {
		b.assume(join(at.path, "length"), "%s as long as the cabinet", m.Name)
	}
	m.Box = boxAt(raw.at.or(&rawAt{}).place(outside, extent), extent)
	if m.Box.Min.Z < -beyond {
		b.fail(at, fmt.Sprintf("%s reaches %s below the house floor", unit.Quote(m.Name), b.sys.Fine(unit.Length(-m.Box.Min.Z))),
			"up is from the house floor, down from the surface under the display")
		return
	}
	b.s.Stand.Members = append(b.s.Stand.Members, m)
}

// divider stands between the sides, from front to back and from what things
// stand on up to the top.
func (b *builder) divider(raw *rawDivider, path string) {
	if !raw.name.ok || !raw.at.usable() || !raw.thickness.usable() {
		return
	}
	room := b.s.Cabinet.Inside()
	thick := b.orAssume(raw.thickness, b.s.Cabinet.Left.Thickness, join(path, "thickness"), "a divider %s thick")
	extent := r3.Sub(room.Max, room.Min)
	extent.X = thick.MM()
	b.s.Stand.Dividers = append(b.s.Stand.Dividers, scene.Board{
		Name: raw.name.v, Box: boxAt(raw.at.or(&rawAt{}).place(room, extent), extent),
	})
}

// plinth puts its front and back board between the sides, under the inside
// bottom.
func (b *builder) plinth(raw *rawPlinth, at where) {
	if !raw.thickness.ok || !raw.front.usable() {
		return
	}
	c := &b.s.Cabinet
	if c.Bottom == nil || c.Bottom.Up <= c.Bottom.Thickness {
		b.fail(at, "a plinth, and no inside bottom over it", "write cabinet.bottom: with up: how high it is")
		return
	}
	room := c.Inside()
	up := (c.Bottom.Up - c.Bottom.Thickness).MM()
	thick := raw.thickness.v.MM()
	board := func(name string, y float64) {
		b.s.Stand.Plinth = append(b.s.Stand.Plinth, scene.Board{
			Name: name, Box: boxAt(r3.Vec{X: room.Min.X, Y: y}, r3.Vec{X: room.Max.X - room.Min.X, Y: thick, Z: up}),
		})
	}
	board("plinth front", max(raw.front.v.MM(), c.Front.Thickness.MM()))
	board("plinth back", room.Max.Y-thick)
}

func (b *builder) foot(raw *rawFoot, at where, outside r3.Box) {
	if raw.size.given == raw.round.given {
		if raw.size.given {
			b.fail(raw.round.at, "size and round are both given", "a foot is one of the two", raw.size.at)
		} else {
			b.fail(where{at.pos, join(at.path, "size")}, "missing", "write size: [2, 2], or round: 2")
		}
		return
	}
	if !raw.name.ok || !raw.at.ok || !raw.size.usable() || !raw.round.usable() {
		return
	}
	d := raw.round.v.MM()
	extent := r3.Vec{X: d, Y: d, Z: raw.height.v.MM()}
	if raw.size.ok {
		extent.X, extent.Y = raw.size.v[0].MM(), raw.size.v[1].MM()
	}
	b.s.Stand.Feet = append(b.s.Stand.Feet, scene.Foot{
		Name: raw.name.v, Round: raw.round.ok, Box: boxAt(raw.at.v.place(outside, extent), extent),
	})
}
