package plan

import (
	"fmt"

	"undercroft/assets"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawFloor is what a plan says about the house floor.
type rawFloor struct {
	slab      bool
	joists    val[*rawJoists]
	sheathing val[unit.Length]
	ordinary  val[unit.Pressure]
	dead      val[unit.Pressure]
}

type rawJoists struct {
	size    val[rawJoistSize]
	species val[string]
	grade   val[string]
	class   val[string]
	spacing val[unit.Length]
	span    val[unit.Length]
	run     val[axis]
	support val[unit.Length]
	offset  val[unit.Length]
	doubled val[[]val[int]]
	bearing val[unit.Length]
	damp    val[bool]
}

// rawJoistSize is a joist's section as dressed.
type rawJoistSize struct {
	nominal          string // "" where measured
	thickness, depth unit.Length
}

var floorShape = either("slab, or joists and what lies on them",
	only("slab", "a floor", &rawFloor{slab: true}, "write floor: slab, or floor: with joists: below it"),
	object("the floor",
		key("joists", func(f *rawFloor) *val[*rawJoists] { return &f.joists }, joistsShape,
			"The joists under the cabinet.").needed("write joists: with their size, spacing and span; or floor: slab"),
		key("sheathing", func(f *rawFloor) *val[unit.Length] { return &f.sheathing }, size,
			"Thickness of the boards on the joists."),
		key("ordinary", func(f *rawFloor) *val[unit.Pressure] { return &f.ordinary }, pressure,
			"Live load beside the cabinet; default 40 psf."),
		key("dead", func(f *rawFloor) *val[unit.Pressure] { return &f.dead }, pressure,
			"What the floor itself weighs; default 10 psf."),
	),
)

var joistsShape = object("joists",
	key("size", func(j *rawJoists) *val[rawJoistSize] { return &j.size }, joistSize,
		"Nominal, as 2x10, or measured thickness and depth, as [45 mm, 220 mm].").
		needed("write size: 2x10, or [45 mm, 220 mm]"),
	key("species", func(j *rawJoists) *val[string] { return &j.species },
		words("a species of the tables", append(assets.LumberSpecies(), "unknown")...),
		"Species; default unknown: the weakest counts."),
	key("grade", func(j *rawJoists) *val[string] { return &j.grade },
		words("a grade of the tables", append(assets.LumberGrades(), "unknown")...),
		"Grade; default unknown: the weakest counts."),
	key("class", func(j *rawJoists) *val[string] { return &j.class }, strengthClass,
		"Strength class of EN 338, as C24, instead of species and grade."),
	key("spacing", func(j *rawJoists) *val[unit.Length] { return &j.spacing }, size,
		"From the middle of one to the middle of the next.").needed("write spacing: 16, from middle to middle"),
	key("span", func(j *rawJoists) *val[unit.Length] { return &j.span }, size,
		"Free length between supports.").needed("write span: 12 ft, between supports"),
	key("run", func(j *rawJoists) *val[axis] { return &j.run }, choice("a direction",
		option[axis]{"front-back", frontBack}, option[axis]{"left-right", leftRight}),
		"The way they run as you stand before the cabinet: front-back or left-right.").
		needed("write run: front-back or left-right"),
	key("support", func(j *rawJoists) *val[unit.Length] { return &j.support }, distance,
		"From their near support to the cabinet: behind it, or left of it.").
		needed("write support: 8, from the support behind (or left of) the cabinet to the cabinet"),
	key("offset", func(j *rawJoists) *val[unit.Length] { return &j.offset }, offset,
		"From the cabinet's left edge (front-back) or back edge (left-right) to the middle of the first joist under it; default 0."),
	key("doubled", func(j *rawJoists) *val[[]val[int]] { return &j.doubled }, listOf("a list of joists, as [2, 3]", 1, whole(-20, 100)),
		"Joists that are two side by side: 1 is the first under the cabinet, then to the right (or to the front)."),
	key("bearing", func(j *rawJoists) *val[unit.Length] { return &j.bearing }, size,
		"How much of a joist lies on its support; default 1 1/2 in."),
	key("damp", func(j *rawJoists) *val[bool] { return &j.damp }, yesNo,
		"Whether the joists stay wet; then lower values hold."),
)

var joistSize = either("a nominal size as 2x10, or [thickness, depth]",
	shape[rawJoistSize]{
		what: "a nominal size, as 2x10", kind: scalar,
		read: func(r *reader, n *node, at where) (rawJoistSize, bool) {
			t, d, ok := assets.DressedLumber(n.text)
			if !ok {
				r.fail(at, n.quote()+" is no nominal size of timber", "write a nominal size, as 2x4, 4x4 or 2x10, or measured: [45 mm, 220 mm]")
			}
			return rawJoistSize{n.text, toNanometre(t), toNanometre(d)}, ok
		},
		describe: func() *schema { return &schema{Type: "string", Pattern: `^\s*[0-9]+\s*[xX]\s*[0-9]+\s*$`} },
	},
	mapped(fixed(size, "[45 mm, 220 mm]", "thickness", "depth"), func(l []unit.Length) rawJoistSize {
		if len(l) != 2 {
			return rawJoistSize{}
		}
		return rawJoistSize{thickness: l[0], depth: l[1]}
	}),
)

// strengthClass is a class of EN 338.
var strengthClass = choice("a strength class of the tables", classes()...)

func classes() []option[string] {
	var out []option[string]
	for _, c := range assets.TimberClasses() {
		out = append(out, option[string]{c.Name, c.Name})
	}
	return out
}

const (
	defaultOrdinary = 40 * unit.PSF
	defaultDead     = 10 * unit.PSF
)

// floor fills in the house floor.
func (b *builder) floor() {
	if !b.raw.floor.ok {
		return
	}
	raw, path := b.raw.floor.v, b.raw.floor.at.path
	f := &scene.Floor{
		Slab: raw.slab, Sheathing: raw.sheathing.pointer(),
		Ordinary: raw.ordinary.or(defaultOrdinary), Dead: raw.dead.or(defaultDead),
	}
	b.s.Floor = f
	if raw.slab || !raw.joists.ok {
		return
	}
	if !raw.ordinary.ok {
		b.assume(join(path, "ordinary"), "%s beside the cabinet", b.sys.Pressure(defaultOrdinary))
	}
	if !raw.dead.ok {
		b.assume(join(path, "dead"), "the floor itself %s", b.sys.Pressure(defaultDead))
	}
	j := raw.joists.v
	f.Joists = &scene.Joists{
		Thickness: j.size.v.thickness, Depth: j.size.v.depth, Nominal: j.size.v.nominal,
		Class: j.class.v, Spacing: j.spacing.v, Span: j.span.v, LeftRight: j.run.v == leftRight,
		Support: j.support.v, Offset: j.offset.v, Bearing: j.bearing.pointer(), Damp: j.damp.v,
	}
	for _, d := range j.doubled.v {
		if d.ok {
			f.Joists.Doubled = append(f.Joists.Doubled, d.v)
		}
	}
	path = raw.joists.at.path
	if !j.offset.ok {
		b.assume(join(path, "offset"), "the first joist in line with the cabinet's edge")
	}
	if !j.class.given {
		f.Joists.Species, f.Joists.Grade = j.species.or("unknown"), j.grade.or("unknown")
		if !j.species.ok {
			b.assume(join(path, "species"), "joists of the weakest species")
		}
		if !j.grade.ok {
			b.assume(join(path, "grade"), "joists of the weakest grade")
		}
	}
	b.joists(j)
}

// joists checks what is said about joists.
func (b *builder) joists(j *rawJoists) {
	for _, v := range []struct {
		name string
		v    val[string]
	}{{"species", j.species}, {"grade", j.grade}} {
		if j.class.given && v.v.given {
			b.fail(v.v.at, "class and "+v.name+" are both given", "a class is instead of species and grade", j.class.at)
		}
	}
	if j.size.ok && j.size.v.thickness > j.size.v.depth {
		b.fail(j.size.at, fmt.Sprintf("joists %s thick and only %s deep", b.sys.Fine(j.size.v.thickness), b.sys.Fine(j.size.v.depth)),
			"write [thickness, depth]: joists stand on edge")
	}
	if j.size.ok && j.spacing.ok && j.spacing.v <= j.size.v.thickness {
		b.fail(j.spacing.at, fmt.Sprintf("joists %s thick cannot stand %s apart", b.sys.Fine(j.size.v.thickness), b.sys.Fine(j.spacing.v)),
			"spacing is from the middle of one to the middle of the next", j.size.at)
	}
	if j.support.ok && j.span.ok && j.support.v >= j.span.v {
		b.fail(j.support.at, fmt.Sprintf("the cabinet would stand %s from the support of joists that span %s", b.sys.Fine(j.support.v), b.sys.Fine(j.span.v)),
			"support is from the near support to the cabinet", j.span.at)
	}
}
