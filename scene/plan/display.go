package plan

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/seawater"
	"undercroft/scene/unit"
)

// rawDisplay is what a plan says about the display and the water of the system.
type rawDisplay struct {
	tank        rawTank
	at          val[*rawAt]
	water       val[*rawWater]
	drops       val[unit.Length]
	drainsTo    val[unit.Length]
	mouth       val[unit.Length]
	sand        val[*rawSand]
	rock        val[unit.Mass]
	salinity    val[float64]
	gravity     val[float64]
	temperature val[unit.Temperature]
	standing    val[scene.Standing]
}

// rawWater is how high the water stands: a depth, or a distance from the top.
type rawWater struct {
	depth    unit.Length
	belowTop val[unit.Length]
}

type rawSand struct{ depth val[unit.Length] }

var displayShape = object("the display", append(
	within(func(d *rawDisplay) *rawTank { return &d.tank }, tankKeys),
	key("at", func(d *rawDisplay) *val[*rawAt] { return &d.at }, topAtShape,
		"From the cabinet's outside faces; left out: centred."),
	key("water", func(d *rawDisplay) *val[*rawWater] { return &d.water }, either("a depth, or {below-top: 1 1/2}",
		mapped(size, func(l unit.Length) *rawWater { return &rawWater{depth: l} }),
		object("a water level",
			key("below-top", func(w *rawWater) *val[unit.Length] { return &w.belowTop }, distance,
				"From the glass top down to the water.").needed("write below-top: 1 1/2")),
	), "Depth of water above the inside bottom, or {below-top: ...}."),
	key("drops", func(d *rawDisplay) *val[unit.Length] { return &d.drops }, distance,
		"How far the water falls when the pump stops."),
	key("drains-to", func(d *rawDisplay) *val[unit.Length] { return &d.drainsTo }, distance,
		"Depth it falls to when the pump stops, above the inside bottom; instead of drops."),
	key("mouth", func(d *rawDisplay) *val[unit.Length] { return &d.mouth }, distance,
		"How far the lowest mouth of the return is below the running water: when the pump stops the display siphons down to it."),
	key("sand", func(d *rawDisplay) *val[*rawSand] { return &d.sand }, object("a bed of sand",
		key("depth", func(s *rawSand) *val[unit.Length] { return &s.depth }, distance,
			"Depth of the sand.").needed("write depth: 1 1/2")), "The sand."),
	key("rock", func(d *rawDisplay) *val[unit.Mass] { return &d.rock }, mass, "Mass of the rock."),
	key("salinity", func(d *rawDisplay) *val[float64] { return &d.salinity }, number,
		"Practical salinity; 0 is fresh; default 35."),
	key("specific-gravity", func(d *rawDisplay) *val[float64] { return &d.gravity }, number,
		"What a hydrometer reads, as 1.026; instead of salinity."),
	key("temperature", func(d *rawDisplay) *val[unit.Temperature] { return &d.temperature }, temperature,
		"Of the water; default 77 F."),
	key("standing", func(d *rawDisplay) *val[scene.Standing] { return &d.standing }, choice("a state of the display",
		option[scene.Standing]{"not yet", scene.NotYet}, option[scene.Standing]{"dry", scene.Dry},
		option[scene.Standing]{"full", scene.Full}),
		"Whether it stands on the cabinet already: full, dry or not yet (default)."),
)...)

const (
	defaultDisplayGlass = 3 * unit.Inch / 8
	defaultSalinity     = 35
	defaultTemperature  = unit.Temperature(25)
	saltiest            = 42 // up to which densities of sea water are published
)

// display fills in the display and the water.
func (b *builder) display() {
	raw := b.raw.display.or(&rawDisplay{})
	b.brine(raw)
	if !b.raw.display.ok {
		return
	}
	at := b.raw.display.at
	d := &scene.Display{Rock: raw.rock.v, Standing: raw.standing.v, Drops: raw.drops.pointer(), Mouth: raw.mouth.pointer()}
	b.s.Display = d
	w, dp, h, size, sized := b.tankSize(&raw.tank, at, "write size: [42, 18, 20], outside glass: width, depth, height")
	glass := raw.tank.glass.usable()
	d.Glass, d.GlassAssumed = b.tankGlass(&raw.tank, at, "display", defaultDisplayGlass)
	if raw.sand.ok {
		d.Sand = raw.sand.v.depth.v
	}
	if !sized || !glass || !b.thinEnough(&raw.tank, "display", d.Glass, w, dp, h, size) {
		return
	}
	c := &b.s.Cabinet
	top := r3.Box{Min: r3.Vec{Z: c.Height.MM()}, Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM(), Z: c.Height.MM()}}
	box := r3.Vec{X: w.MM(), Y: dp.MM(), Z: h.MM()}
	d.Box = boxAt(raw.at.or(&rawAt{}).place(top, box), box)
	b.levels(d, raw, toNanometre(h-d.Glass), size)
}

// levels fills in the water; deep is the display's depth inside.
func (b *builder) levels(d *scene.Display, raw *rawDisplay, deep unit.Length, size where) {
	if raw.sand.ok && raw.sand.v.depth.ok && raw.sand.v.depth.v > deep {
		b.fail(raw.sand.v.depth.at, fmt.Sprintf("sand %s deep is more than the display's depth inside of %s",
			b.sys.Fine(raw.sand.v.depth.v), b.sys.Fine(deep)), "measure from the inside bottom", size)
	}
	if raw.drops.given && raw.drainsTo.given {
		b.fail(raw.drainsTo.at, "drops and drains-to are both given", "keep the one you measured", raw.drops.at)
		return
	}
	if !raw.water.ok || raw.water.v.belowTop.given && !raw.water.v.belowTop.ok {
		if raw.drainsTo.ok && !raw.water.given {
			b.fail(raw.drainsTo.at, "drains-to without water", "write water: with its depth, or drops: instead")
		}
		return
	}
	water, at := raw.water.v.depth, raw.water.at
	if raw.water.v.belowTop.ok {
		water, at = deep-raw.water.v.belowTop.v, raw.water.v.belowTop.at
	}
	water = toNanometre(water)
	if water <= 0 || water > deep {
		b.fail(at, fmt.Sprintf("the water is %s deep in a display that is %s deep inside", b.sys.Fine(water), b.sys.Fine(deep)),
			"a depth counts from the inside bottom; below-top from the glass top", size)
		return
	}
	d.Water = &water
	switch {
	case raw.drops.ok && raw.drops.v > water:
		b.fail(raw.drops.at, fmt.Sprintf("the water falls %s and is only %s deep", b.sys.Fine(raw.drops.v), b.sys.Fine(water)),
			"drops is how far it falls when the pump stops", at)
	case raw.drainsTo.ok && raw.drainsTo.v > water:
		b.fail(raw.drainsTo.at, fmt.Sprintf("the water drains to %s and is only %s deep", b.sys.Fine(raw.drainsTo.v), b.sys.Fine(water)),
			"drains-to is the depth it falls to when the pump stops", at)
	case raw.drainsTo.ok:
		drops := toNanometre(water - raw.drainsTo.v)
		d.Drops = &drops
	}
}

// brine fills in the water of the system.
func (b *builder) brine(raw *rawDisplay) {
	w := &b.s.Brine
	if !b.raw.display.given && !b.raw.sump.given {
		*w = scene.Brine{Salinity: defaultSalinity, Temperature: defaultTemperature, Assumed: true}
		return // there is no water
	}
	w.Assumed = !raw.salinity.ok && !raw.gravity.ok && !raw.temperature.ok
	w.Temperature = raw.temperature.or(defaultTemperature)
	if !raw.temperature.ok {
		b.assume("display.temperature", "water at %s", b.sys.Temperature(w.Temperature))
	}
	switch {
	case raw.salinity.given && raw.gravity.given:
		b.fail(raw.gravity.at, "salinity and specific-gravity are both given", "keep the one you measured", raw.salinity.at)
	case raw.salinity.ok:
		w.Salinity = raw.salinity.v
		if w.Salinity > saltiest {
			b.fail(raw.salinity.at, fmt.Sprintf("a salinity of %g is out of range", w.Salinity),
				"write 0 for fresh water, about 35 for sea water, at most 42")
		}
	case raw.gravity.ok:
		s, found := seawater.Salinity(raw.gravity.v, w.Temperature)
		if !found {
			b.fail(raw.gravity.at, fmt.Sprintf("a specific gravity of %g is out of range", raw.gravity.v),
				"write 1 for fresh water, about 1.026 for sea water", first(raw.temperature.at))
		}
		w.Salinity = s
	default:
		w.Salinity = defaultSalinity
		b.assume("display.salinity", "salinity %d", defaultSalinity)
	}
}
