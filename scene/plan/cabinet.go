package plan

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawCabinet is what a plan says about the cabinet.
type rawCabinet struct {
	size        val[[]unit.Length]
	wall, sides val[unit.Length]
	front       val[unit.Length]
	back, top   val[rawWall]
	bottom      val[*rawBottom]
	openings    val[[]val[*rawOpening]]
	fixtures    val[[]val[*rawFixture]]
	holes       val[[]val[*rawHole]]
}

// rawWall is a wall with a thickness, or none at all.
type rawWall struct {
	thickness unit.Length
	open      bool
}

type rawBottom struct{ up, thickness val[unit.Length] }

type rawOpening struct {
	name   val[string]
	side   val[scene.Face]
	at     val[*rawOpeningAt]
	size   val[[]unit.Length]
	door   val[*rawDoor]
	before val[bool]
	within val[unit.Length]
}

type rawOpeningAt struct {
	rawAt
	sill val[unit.Length]
}

type rawDoor struct {
	hinge     val[scene.Hinge]
	overlay   val[bool]
	overlap   val[unit.Length]
	thickness val[unit.Length]
	opens     val[unit.Angle]
	clear     val[unit.Length]
	hinges    val[*rawHinges]
	lifts     val[bool]
	none      bool
}

type rawHinges struct {
	kind           val[string]
	up             val[[]val[unit.Length]]
	tall, sticksIn val[unit.Length]
}

var wallOrOpen = wordOr("open", rawWall{open: true},
	mapped(size, func(l unit.Length) rawWall { return rawWall{thickness: l} }))

// closedWall is the thickness of a wall that cannot be left out.
var closedWall = shape[unit.Length]{
	what: size.what, kind: size.kind, describe: size.describe,
	read: func(r *reader, n *node, at where) (unit.Length, bool) {
		if strings.EqualFold(n.text, "open") {
			r.fail(at, "only back and top can be open", "write the thickness; a hole without a door is an opening")
			return 0, false
		}
		return size.read(r, n, at)
	},
}

var cabinetShape = object("the cabinet",
	key("size", func(c *rawCabinet) *val[[]unit.Length] { return &c.size }, boxSize,
		"Outside: width, depth, height from the house floor to the surface the display stands on.").
		needed("write size: [42 1/4, 18 1/2, 32], outside: width, depth, height"),
	key("wall", func(c *rawCabinet) *val[unit.Length] { return &c.wall }, size,
		"Thickness of sides, top, front and back; default 3/4 in."),
	key("sides", func(c *rawCabinet) *val[unit.Length] { return &c.sides }, closedWall,
		"Thickness of the left and right side."),
	key("front", func(c *rawCabinet) *val[unit.Length] { return &c.front }, closedWall,
		"Thickness of the front, or of the frame round its doors."),
	key("back", func(c *rawCabinet) *val[rawWall] { return &c.back }, wallOrOpen,
		"Thickness of the back; open where there is none."),
	key("top", func(c *rawCabinet) *val[rawWall] { return &c.top }, wallOrOpen,
		"Thickness of the top; open where there is none."),
	key("bottom", func(c *rawCabinet) *val[*rawBottom] { return &c.bottom }, bottomShape,
		"The board inside on which things stand; left out: they stand on the house floor."),
	key("openings", func(c *rawCabinet) *val[[]val[*rawOpening]] { return &c.openings },
		listOf("a list of openings", 0, openingShape), "Ways in for things."),
	key("fixtures", func(c *rawCabinet) *val[[]val[*rawFixture]] { return &c.fixtures },
		listOf("a list of fixtures", 0, fixtureShape), "Solid things that are there from the start: braces, pipe stubs, shelves."),
	key("holes", func(c *rawCabinet) *val[[]val[*rawHole]] { return &c.holes },
		listOf("a list of holes", 0, holeShape), "Holes for cords and hoses alone; for everything else they count as closed."),
)

var bottomShape = object("the cabinet bottom",
	key("up", func(b *rawBottom) *val[unit.Length] { return &b.up }, size,
		"Its upper face above the house floor.").needed("write up: 4, its upper face above the house floor"),
	key("thickness", func(b *rawBottom) *val[unit.Length] { return &b.thickness }, size,
		"Thickness; default 3/4 in."),
)

var openingShape = object("an opening",
	key("name", func(o *rawOpening) *val[string] { return &o.name }, name,
		"What the opening is called.").needed("write name: doors"),
	key("side", func(o *rawOpening) *val[scene.Face] { return &o.side }, choice("a side of the cabinet",
		option[scene.Face]{"front", scene.Front}, option[scene.Face]{"back", scene.Back},
		option[scene.Face]{"left", scene.Left}, option[scene.Face]{"right", scene.Right},
		option[scene.Face]{"top", scene.Top}),
		"The side it is in.").needed("write side: front"),
	key("at", func(o *rawOpening) *val[*rawOpeningAt] { return &o.at }, openingAtShape,
		"From the cabinet's outside edges as you stand facing that side, up from the house floor or sill from the cabinet bottom."),
	key("size", func(o *rawOpening) *val[[]unit.Length] { return &o.size }, holeSize,
		"The hole without its door: width and height; of the top: width and depth.").
		needed("write size: [37 3/4, 24 1/2], width and height of the hole without its door"),
	key("door", func(o *rawOpening) *val[*rawDoor] { return &o.door }, doorShape,
		"What closes the opening; none where nothing does."),
	key("when", func(o *rawOpening) *val[bool] { return &o.before }, choice("a time",
		option[bool]{"always", false}, option[bool]{"before display", true}),
		"Always (default), or before display: only while the display is not yet on the cabinet."),
	key("within", func(o *rawOpening) *val[unit.Length] { return &o.within }, distance,
		"How far its measures may be off, where it is not the plan's tape."),
)

var openingAtShape = object("a place in the side, as {left: 2, sill: 1/2}", append(
	within(func(a *rawOpeningAt) *rawAt { return &a.rawAt }, []field[rawAt]{leftKey, rightKey, frontKey, backKey, upKey}),
	key("sill", func(a *rawOpeningAt) *val[unit.Length] { return &a.sill }, offset,
		"From the cabinet bottom."))...,
).checked(func(r *reader, a *rawOpeningAt, at where) bool {
	ok := oneFacePerAxis(r, &a.rawAt, at)
	if a.sill.given && a.up.given {
		r.fail(a.sill.at, "up and sill are both given", "keep the one you measured", a.up.at)
		ok = false
	}
	return ok
}).described(func(s *schema) {
	apart(s)
	s.AllOf = append(s.AllOf, &schema{Not: has("up", "sill")})
})

var doorShape = either("a door, or none",
	only("none", "a door", &rawDoor{none: true}, "write none, or {hinge: left, mount: inset}"),
	object("a door",
		key("hinge", func(d *rawDoor) *val[scene.Hinge] { return &d.hinge }, choice("a hinge side",
			option[scene.Hinge]{"left", scene.HingeLeft}, option[scene.Hinge]{"right", scene.HingeRight},
			option[scene.Hinge]{"top", scene.HingeTop}, option[scene.Hinge]{"bottom", scene.HingeBottom},
			option[scene.Hinge]{"pair", scene.HingePair}),
			"Where it turns: left, right, top, bottom, or pair for two leaves of half the width.").
			needed("write hinge: left, right, top, bottom or pair (two leaves)"),
		key("mount", func(d *rawDoor) *val[bool] { return &d.overlay }, choice("a mount",
			option[bool]{"inset", false}, option[bool]{"overlay", true}),
			"Inset (in the hole) or overlay (before the frame).").
			needed("write mount: inset (the leaf is in the hole) or overlay (before the frame)"),
		key("overlap", func(d *rawDoor) *val[unit.Length] { return &d.overlap }, distance,
			"How far an overlay leaf reaches past the hole on every side."),
		key("thickness", func(d *rawDoor) *val[unit.Length] { return &d.thickness }, size,
			"Thickness of the leaf; default 3/4 in."),
		key("opens", func(d *rawDoor) *val[unit.Angle] { return &d.opens }, opening,
			"How far it opens, in degrees; default 90."),
		key("clear", func(d *rawDoor) *val[unit.Length] { return &d.clear }, size,
			"Narrowest width measured with the doors open as far as they go; counts instead of opens."),
		key("hinges", func(d *rawDoor) *val[*rawHinges] { return &d.hinges }, hingesShape,
			"What sticks into the opening at the hinges."),
		key("lifts-off", func(d *rawDoor) *val[bool] { return &d.lifts }, yesNo,
			"Whether the leaf comes off for the move."),
	),
)

var hingesShape = object("the hinges",
	key("kind", func(h *rawHinges) *val[string] { return &h.kind }, text, "What they are, as cup or butt."),
	key("up", func(h *rawHinges) *val[[]val[unit.Length]] { return &h.up }, listOf("a list of heights, as [3, 20]", 1, distance),
		"Middle of each above the hole's lower edge; of top and bottom hinges from its left edge.").
		needed("write up: [3, 20], the middle of each above the hole's lower edge"),
	key("tall", func(h *rawHinges) *val[unit.Length] { return &h.tall }, size, "How tall each is.").
		needed("write tall: 2 1/2, how tall each is"),
	key("sticks-in", func(h *rawHinges) *val[unit.Length] { return &h.sticksIn }, size, "How far each reaches into the hole.").
		needed("write sticks-in: 3/4, how far each reaches into the hole"),
)

const defaultWall = 3 * unit.Inch / 4

// cabinet fills in the cabinet and checks it in itself.
func (b *builder) cabinet(raw *rawCabinet) {
	c := &b.s.Cabinet
	if raw.size.ok {
		c.Width, c.Depth, c.Height = raw.size.v[0], raw.size.v[1], raw.size.v[2]
	}
	b.walls(c, raw)
	b.bottom(c, raw)
	if raw.size.ok {
		b.fitsInto(c, raw)
	}
	var holes []where // of c.Openings
	for _, o := range raw.openings.v {
		if !o.ok {
			continue
		}
		out := b.opening(c, raw, o.v)
		for i, other := range c.Openings {
			if other.Side == out.Side && overlap(other.Hole, out.Hole) {
				b.fail(o.v.size.at, fmt.Sprintf("the hole overlaps that of %s", unit.Quote(other.Name)),
					"two openings have something solid between them, or are one", holes[i])
			}
		}
		c.Openings, holes = append(c.Openings, out), append(holes, o.v.size.at)
	}
	b.holes(c, raw)
	b.openFaces(c)
	for _, f := range raw.fixtures.v {
		if f.ok {
			b.fixture(f.v, f.at)
		}
	}
}

// walls fills in the thicknesses.
func (b *builder) walls(c *scene.Cabinet, raw *rawCabinet) {
	var assumed []string
	wall := func(own val[rawWall], names ...string) scene.Panel {
		switch {
		case own.ok && own.v.open:
			return scene.Panel{Open: true}
		case own.ok:
			return scene.Panel{Thickness: own.v.thickness}
		case raw.wall.ok:
			return scene.Panel{Thickness: raw.wall.v}
		}
		assumed = append(assumed, names...)
		return scene.Panel{Thickness: defaultWall, Assumed: true}
	}
	solid := func(v val[unit.Length]) val[rawWall] {
		return val[rawWall]{v: rawWall{thickness: v.v}, ok: v.ok, given: v.given, at: v.at}
	}
	c.Left = wall(solid(raw.sides), "sides")
	c.Right = c.Left
	c.Lid = wall(raw.top, "top")
	c.Front = wall(solid(raw.front), "front")
	c.Back = wall(raw.back, "back")
	if len(assumed) > 0 {
		last := len(assumed) - 1
		list := assumed[last]
		if last > 0 {
			list = strings.Join(assumed[:last], ", ") + " and " + list
		}
		b.assume("cabinet.wall", "cabinet %s %s thick", list, b.sys.Fine(defaultWall))
	}
}

// bottom fills in the cabinet bottom.
func (b *builder) bottom(c *scene.Cabinet, raw *rawCabinet) {
	if !raw.bottom.ok || !raw.bottom.v.up.ok {
		return
	}
	up, thickness := raw.bottom.v.up, raw.bottom.v.thickness
	bottom := &scene.InsideBottom{Up: up.v, Thickness: thickness.v}
	if !thickness.ok {
		bottom.Thickness = min(defaultWall, up.v)
		bottom.Assumed = true
		b.assume("cabinet.bottom.thickness", "cabinet bottom %s thick", b.sys.Fine(bottom.Thickness))
	} else if thickness.v > up.v {
		b.fail(thickness.at, fmt.Sprintf("%s thick, but its upper face is only %s above the house floor",
			b.sys.Fine(thickness.v), b.sys.Fine(up.v)), "up is measured from the house floor to the upper face", up.at)
	}
	c.Bottom = bottom
}

// fitsInto checks that the walls leave room between them.
func (b *builder) fitsInto(c *scene.Cabinet, raw *rawCabinet) {
	w := func(v val[rawWall]) where {
		if v.ok {
			return v.at
		}
		return raw.wall.at
	}
	sides := raw.sides.at
	if !raw.sides.ok {
		sides = raw.wall.at
	}
	front := raw.front.at
	if !raw.front.ok {
		front = raw.wall.at
	}
	if c.Left.Thickness+c.Right.Thickness >= c.Width {
		b.fail(raw.size.at, fmt.Sprintf("two sides of %s fill the width of %s", b.sys.Fine(c.Left.Thickness), b.sys.Fine(c.Width)),
			"size is outside: width, depth, height", sides)
	}
	if c.Front.Thickness+c.Back.Thickness >= c.Depth {
		b.fail(raw.size.at, fmt.Sprintf("front and back of %s and %s fill the depth of %s",
			b.sys.Fine(c.Front.Thickness), b.sys.Fine(c.Back.Thickness), b.sys.Fine(c.Depth)),
			"size is outside: width, depth, height", front, w(raw.back))
	}
	up, at := unit.Length(0), where{}
	if c.Bottom != nil {
		up, at = c.Bottom.Up, raw.bottom.v.up.at
	}
	if up+c.Lid.Thickness >= c.Height {
		b.fail(raw.size.at, fmt.Sprintf("cabinet bottom and top leave nothing of the height of %s", b.sys.Fine(c.Height)),
			"size is outside: width, depth, height", at, w(raw.top))
	}
}

// openFaces makes an opening of each side that has no wall.
func (b *builder) openFaces(c *scene.Cabinet) {
	in := c.Inside()
	if c.Back.Open {
		hole := in
		hole.Min.Y = hole.Max.Y
		c.Openings = append(c.Openings, scene.Opening{Name: "open back", Side: scene.Back, Hole: hole, OpenFace: true, Tape: b.s.Tape})
	}
	if c.Lid.Open {
		hole := in
		hole.Min.Z = hole.Max.Z
		c.Openings = append(c.Openings, scene.Opening{
			Name: "open top", Side: scene.Top, Hole: hole, OpenFace: true, Tape: b.s.Tape,
			BeforeDisplay: b.raw.display.given, // which stands on it
		})
	}
}

// opening returns one opening; its hole is left out where it is not known.
func (b *builder) opening(c *scene.Cabinet, raw *rawCabinet, o *rawOpening) scene.Opening {
	out := scene.Opening{
		Name: o.name.v, Side: o.side.v, BeforeDisplay: o.before.v, Tape: o.within.or(b.s.Tape),
	}
	if o.door.ok && !o.door.v.none {
		out.Door = b.door(o.door, o)
	}
	at := o.at.or(&rawOpeningAt{})
	if o.side.ok {
		b.openingAt(o, at)
	}
	if !o.side.ok || !o.size.ok || !raw.size.ok || !o.at.usable() {
		return out
	}
	panel, wall := b.wallOf(c, raw, o.side.v)
	if panel.Open {
		b.fail(o.side.at, fmt.Sprintf("there is no wall at the %s to have an opening", o.side.v),
			"an open face is an opening by itself: take this one out", wall)
		return out
	}
	// Width and height of the side, as seen from before it; of the top its depth
	// is the height.
	wide, high := c.Width, c.Height
	switch o.side.v {
	case scene.Left, scene.Right:
		wide = c.Depth
	case scene.Top:
		high = c.Depth
	case scene.Front, scene.Back, scene.Bottom:
	}
	w, h := o.size.v[0], o.size.v[1]
	x := b.start(at.left, at.right, wide, w)
	var z unit.Length
	switch {
	case o.side.v == scene.Top:
		z = b.start(at.front, at.back, high, h)
	case at.sill.ok:
		z = at.sill.v
		if c.Bottom != nil {
			z += c.Bottom.Up
		}
	default:
		z = at.up.v
	}
	x, z = toNanometre(x), toNanometre(z)
	b.beyondSide(o, extent{"wide", "its left edge", "measure left from the cabinet's outside edge as you stand facing that side"}, x, w, wide, raw.size.at)
	if o.side.v == scene.Top {
		b.beyondSide(o, extent{"deep", "its front edge", "measure from the cabinet's outside front edge"}, z, h, high, raw.size.at)
	} else {
		b.beyondSide(o, extent{"high", "the house floor", "measure up from the house floor, or sill from the cabinet bottom"}, z, h, high, raw.size.at)
	}
	out.Hole = hole(c, o.side.v, panel.Thickness, r3.Box{
		Min: r3.Vec{X: x.MM(), Z: z.MM()}, Max: r3.Vec{X: (x + w).MM(), Z: (z + h).MM()},
	})
	return out
}

// An extent says how a hole is measured along one axis of its side.
type extent struct{ how, edge, hint string }

// beyondSide checks that a hole of a length from a place on is within the
// cabinet's side.
func (b *builder) beyondSide(o *rawOpening, e extent, from, length, whole unit.Length, size where) {
	side := sideName(o.side.v)
	switch {
	case length > whole:
		b.fail(o.size.at, fmt.Sprintf("the hole is %s %s, the cabinet's %s only %s",
			b.sys.Fine(length), e.how, side, b.sys.Fine(whole)), "size is the hole without its door: width, height", size)
	case from < 0:
		b.fail(o.at.at, fmt.Sprintf("the hole in the cabinet's %s begins %s before %s", side, b.sys.Fine(-from), e.edge), e.hint, size)
	case toNanometre(from+length-whole) > 0:
		b.fail(o.size.at, fmt.Sprintf("the hole is %s %s from %s on, and the cabinet's %s ends at %s",
			b.sys.Fine(length), e.how, b.sys.Fine(from), side, b.sys.Fine(whole)), e.hint, size)
	}
}

// sideName names a side of the cabinet in a sentence.
func sideName(f scene.Face) string {
	if f == scene.Left || f == scene.Right {
		return f.String() + " side"
	}
	return f.String()
}

// openingAt checks that an opening is placed along the axes of its side.
func (b *builder) openingAt(o *rawOpening, at *rawOpeningAt) {
	type given struct {
		name string
		v    val[unit.Length]
	}
	wrong, hint := []given{{"front", at.front}, {"back", at.back}}, "an opening in a side takes left, and up or sill"
	if o.side.v == scene.Top {
		wrong, hint = []given{{"up", at.up}, {"sill", at.sill}}, "an opening in the top takes left and front"
	}
	for _, g := range wrong {
		if g.v.given {
			b.fail(g.v.at, fmt.Sprintf("%s does not place an opening in the %s", g.name, sideName(o.side.v)), hint, o.side.at)
		}
	}
}

// start returns where something of the given length starts between 0 and whole.
func (b *builder) start(low, high val[unit.Length], whole, length unit.Length) unit.Length {
	switch {
	case low.ok:
		return low.v
	case high.ok:
		return whole - high.v - length
	}
	return (whole - length) / 2
}

// wallOf returns the wall on a side and where the plan gives its thickness.
func (b *builder) wallOf(c *scene.Cabinet, raw *rawCabinet, side scene.Face) (scene.Panel, where) {
	switch side {
	case scene.Front:
		return c.Front, raw.front.at
	case scene.Back:
		return c.Back, raw.back.at
	case scene.Left, scene.Right:
		return c.Left, raw.sides.at
	case scene.Top:
		return c.Lid, raw.top.at
	case scene.Bottom:
	}
	return scene.Panel{}, where{}
}

// hole returns the hole in a side whose extent, as seen from before it, is from
// X and Z of b.Min to X and Z of b.Max.
func hole(c *scene.Cabinet, side scene.Face, thickness unit.Length, b r3.Box) r3.Box {
	w, d, h, t := c.Width.MM(), c.Depth.MM(), c.Height.MM(), thickness.MM()
	out := b
	switch side {
	case scene.Front:
		out.Min.Y, out.Max.Y = 0, t
	case scene.Back: // seen from behind: left is the cabinet's right
		out.Min.X, out.Max.X = w-b.Max.X, w-b.Min.X
		out.Min.Y, out.Max.Y = d-t, d
	case scene.Left: // left is the back
		out.Min.X, out.Max.X = 0, t
		out.Min.Y, out.Max.Y = d-b.Max.X, d-b.Min.X
	case scene.Right: // left is the front
		out.Min.X, out.Max.X = w-t, w
		out.Min.Y, out.Max.Y = b.Min.X, b.Max.X
	case scene.Top:
		out.Min.Y, out.Max.Y = b.Min.Z, b.Max.Z
		out.Min.Z, out.Max.Z = h-t, h
	case scene.Bottom:
	}
	return r3.Box{Min: rounded(out.Min), Max: rounded(out.Max)}
}

// overlap reports whether two boxes share more than a face.
func overlap(a, b r3.Box) bool {
	return min(a.Max.X, b.Max.X) > max(a.Min.X, b.Min.X) &&
		min(a.Max.Y, b.Max.Y) > max(a.Min.Y, b.Min.Y) &&
		min(a.Max.Z, b.Max.Z) > max(a.Min.Z, b.Min.Z)
}

const (
	defaultLeaf  = 3 * unit.Inch / 4
	defaultOpens = 90 * unit.Degree
	widestOpens  = 270 * unit.Degree // a leaf laid back against the side of the cabinet
)

// door fills in the door of an opening.
func (b *builder) door(v val[*rawDoor], o *rawOpening) *scene.Door {
	d := v.v
	out := &scene.Door{
		Hinge: d.hinge.v, Overlay: d.overlay.v, Overlap: d.overlap.v,
		Thickness: d.thickness.or(defaultLeaf), AssumedThickness: !d.thickness.ok,
		Opens: d.opens.or(defaultOpens), AssumedOpens: !d.opens.ok && !d.clear.ok,
		Clear: d.clear.pointer(), LiftsOff: d.lifts.v,
	}
	if out.AssumedThickness {
		b.assume(join(v.at.path, "thickness"), "door of %s %s thick", o.name.v, b.sys.Fine(defaultLeaf))
	}
	if out.AssumedOpens {
		b.assume(join(v.at.path, "opens"), "door of %s opens %s", o.name.v, defaultOpens)
	}
	if d.opens.ok && d.opens.v > widestOpens {
		b.fail(d.opens.at, fmt.Sprintf("a door opens no %s", d.opens.v), "write degrees from closed, up to 270")
	}
	switch {
	case d.overlay.ok && d.overlay.v && !d.overlap.given:
		b.fail(where{d.overlay.at.pos, join(v.at.path, "overlap")}, "missing",
			"an overlay leaf reaches past the hole: write overlap: 1/2")
	case d.overlay.ok && !d.overlay.v && d.overlap.given:
		b.fail(d.overlap.at, "an inset leaf has no overlap", "write mount: overlay, or take overlap out", d.overlay.at)
	}
	b.clear(d, o)
	if d.hinges.ok {
		out.Hinges = b.hinges(d, o)
	}
	return out
}

// clear checks the clear width of a door.
func (b *builder) clear(d *rawDoor, o *rawOpening) {
	if !d.clear.ok || !d.hinge.ok {
		return
	}
	if d.hinge.v == scene.HingeTop || d.hinge.v == scene.HingeBottom {
		b.fail(d.clear.at, "clear is a width: a leaf that turns up or down does not narrow it", "write opens: 90 instead", d.hinge.at)
		return
	}
	if o.size.ok && d.clear.v > o.size.v[0] {
		b.fail(d.clear.at, fmt.Sprintf("%s clear is more than the hole's width of %s", b.sys.Fine(d.clear.v), b.sys.Fine(o.size.v[0])),
			"clear is the narrowest width between the open doors", o.size.at)
	}
}

// hinges fills in what sticks into the opening.
func (b *builder) hinges(d *rawDoor, o *rawOpening) *scene.HingeHardware {
	h := d.hinges.v
	out := &scene.HingeHardware{Kind: h.kind.v, Tall: h.tall.v, SticksIn: h.sticksIn.v}
	for _, u := range h.up.v {
		out.Up = append(out.Up, u.v)
	}
	if !o.size.ok || !d.hinge.ok {
		return out
	}
	along, across := o.size.v[1], o.size.v[0]
	if d.hinge.v == scene.HingeTop || d.hinge.v == scene.HingeBottom {
		along, across = across, along
	}
	for _, u := range h.up.v {
		if u.ok && u.v > along {
			b.fail(u.at, fmt.Sprintf("a hinge at %s is beyond the hole, which ends at %s", b.sys.Fine(u.v), b.sys.Fine(along)),
				"measure from the hole's lower edge", o.size.at)
		}
	}
	if d.hinge.v == scene.HingePair {
		across /= 2
	}
	if h.sticksIn.ok && h.sticksIn.v >= across {
		b.fail(h.sticksIn.at, fmt.Sprintf("hinges that stick in %s close the hole", b.sys.Fine(h.sticksIn.v)),
			"sticks-in is how far each reaches into the hole", o.size.at)
	}
	return out
}
