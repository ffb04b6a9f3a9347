package plan

import (
	"fmt"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawSump is what a plan says about the sump.
type rawSump struct {
	tank    rawTank
	rim     val[*rawTrim]
	foot    val[*rawTrim]
	braces  val[[]val[*rawBrace]]
	empty   val[unit.Mass]
	at      val[*rawAt]
	inlet   val[scene.Face]
	flow    val[unit.Flow]
	baffles val[[]val[*rawBaffle]]
	level   val[unit.Length]
	under   val[unit.Length]
	within  val[unit.Length]
}

type rawTrim struct {
	height, out, in, beyond val[unit.Length]
	none                    bool
}

type rawBrace struct{ at, width, thickness val[unit.Length] }

type rawBaffle struct{ at, top, gap, thickness val[unit.Length] }

var (
	trimHeight = key("height", func(t *rawTrim) *val[unit.Length] { return &t.height }, size,
		"How much of the glass it covers.").needed("write height: 1, how much of the glass it covers")
	trimOut = key("out", func(t *rawTrim) *val[unit.Length] { return &t.out }, distance,
		"How far it reaches past the glass outside.").needed("write out: 1/8, how far it reaches past the glass outside")
	trimIn = key("in", func(t *rawTrim) *val[unit.Length] { return &t.in }, distance,
		"How far it reaches past the glass inside.").needed("write in: 1/4, how far it reaches past the glass inside")
	trimAbove = key("above", func(t *rawTrim) *val[unit.Length] { return &t.beyond }, distance,
		"How far it reaches above the glass top; default 0.")
	trimBelow = key("below", func(t *rawTrim) *val[unit.Length] { return &t.beyond }, distance,
		"How far it reaches below the glass; default 0.")
)

// trimShape is a trim, or none on a tank that is sold with one.
func trimShape(fields ...field[rawTrim]) shape[*rawTrim] {
	return either("a trim, or none",
		only("none", "a trim", &rawTrim{none: true}, "write none, or {height: 1, out: 1/8}"),
		object("a trim", fields...))
}

var sumpShape = object("the sump", append(
	within(func(s *rawSump) *rawTank { return &s.tank }, tankKeys),
	key("rim", func(s *rawSump) *val[*rawTrim] { return &s.rim }, trimShape(trimHeight, trimOut, trimIn, trimAbove),
		"Trim round the top; none: a trade size without it."),
	key("foot", func(s *rawSump) *val[*rawTrim] { return &s.foot }, trimShape(trimHeight, trimOut, trimBelow),
		"Trim round the bottom; none: a trade size without it."),
	key("braces", func(s *rawSump) *val[[]val[*rawBrace]] { return &s.braces }, listOf("a list of braces", 0, braceShape),
		"Braces across the top, across the flow."),
	key("empty", func(s *rawSump) *val[unit.Mass] { return &s.empty }, mass,
		"Mass without water; left out: computed."),
	key("at", func(s *rawSump) *val[*rawAt] { return &s.at }, atShape,
		"Where it stands in the cabinet, by the nearest faces of the box round it, rim and foot included."),
	key("inlet", func(s *rawSump) *val[scene.Face] { return &s.inlet }, choice("an end of the sump",
		option[scene.Face]{"left", scene.Left}, option[scene.Face]{"right", scene.Right},
		option[scene.Face]{"front", scene.Front}, option[scene.Face]{"back", scene.Back}),
		"The end where the water arrives: left, right, front or back."),
	key("flow", func(s *rawSump) *val[unit.Flow] { return &s.flow }, flow, "What arrives while the pump runs."),
	key("baffles", func(s *rawSump) *val[[]val[*rawBaffle]] { return &s.baffles }, listOf("a list of baffles", 0, baffleShape),
		"Panes across the flow, from the inlet on."),
	key("level", func(s *rawSump) *val[unit.Length] { return &s.level }, distance,
		"Water kept in the last chamber while the pump runs, above the inside bottom."),
	key("under", func(s *rawSump) *val[unit.Length] { return &s.under }, distance,
		"Thickness of a mat under it: without up or down it stands that much higher."),
	key("within", func(s *rawSump) *val[unit.Length] { return &s.within }, distance,
		"How far its measures may be off, where it is not the plan's tape."),
)...)

var braceShape = object("a brace",
	key("at", func(b *rawBrace) *val[unit.Length] { return &b.at }, distance,
		"Its near edge from the inside of the inlet end.").needed("write at: 13, its near edge from the inside of the inlet end"),
	key("width", func(b *rawBrace) *val[unit.Length] { return &b.width }, size,
		"Its width along the flow.").needed("write width: 2"),
	key("thickness", func(b *rawBrace) *val[unit.Length] { return &b.thickness }, size,
		"Thickness; default that of the sump's glass."),
)

var baffleShape = object("a baffle",
	key("at", func(b *rawBaffle) *val[unit.Length] { return &b.at }, distance,
		"Its near face from the inside of the inlet end.").needed("write at: 16, its near face from the inside of the inlet end"),
	key("top", func(b *rawBaffle) *val[unit.Length] { return &b.top }, size,
		"Its top edge above the inside bottom.").needed("write top: 9 1/2, its top edge above the inside bottom"),
	key("gap", func(b *rawBaffle) *val[unit.Length] { return &b.gap }, distance,
		"Free height under a raised baffle."),
	key("thickness", func(b *rawBaffle) *val[unit.Length] { return &b.thickness }, size,
		"Thickness; default that of the sump's glass."),
)

const defaultSumpGlass = unit.Inch / 4

// sump fills in the sump.
func (b *builder) sump() {
	if !b.raw.sump.ok {
		return
	}
	raw, at := b.raw.sump.v, b.raw.sump.at
	s := &scene.Sump{
		Empty: raw.empty.pointer(), Inlet: raw.inlet.or(scene.Left), Flow: raw.flow.pointer(),
		Level: raw.level.pointer(), Tape: raw.within.or(b.s.Tape),
	}
	b.s.Sump = s
	if !raw.inlet.given && len(raw.baffles.v) > 0 {
		b.fail(where{at.pos, join(at.path, "inlet")}, "missing", "write inlet: left, right, front or back: baffles count from there")
	}
	width, depth, height, size, sized := b.tankSize(&raw.tank, at, "write size: [28, 13, 15 1/2], outside glass: width, depth, height")
	s.Glass, s.GlassAssumed = b.tankGlass(&raw.tank, at, "sump", defaultSumpGlass)
	b.trims(s, raw)
	if !sized || !raw.tank.glass.usable() || !b.thinEnough(&raw.tank, "sump", s.Glass, width, depth, height, size) {
		b.across(s, raw)
		return
	}
	s.From = raw.at.or(&rawAt{}).faces()
	s.Assumed = !b.s.Cabinet.Fixed(s.From)
	glass := r3.Vec{X: width.MM(), Y: depth.MM(), Z: height.MM()}
	low, high := r3.Vec{}, r3.Vec{} // how far the trim reaches past the glass
	for _, t := range []*scene.Trim{s.Rim, s.Foot} {
		if t != nil {
			low.X, low.Y = max(low.X, t.Out.MM()), max(low.Y, (t.Out+t.More).MM())
		}
	}
	high.X, high.Y = low.X, low.Y
	if s.Rim != nil {
		high.Z = s.Rim.Beyond.MM()
	}
	if s.Foot != nil {
		low.Z = s.Foot.Beyond.MM()
	}
	corner := raw.at.or(&rawAt{}).place(b.s.Cabinet.Inside(), rounded(r3.Add(low, r3.Add(glass, high))))
	s.Under = raw.under.v
	corner = onMat(corner, raw.at.or(&rawAt{}), s.Under)
	s.Box = boxAt(r3.Add(corner, low), glass)
	b.across(s, raw)
	if raw.inlet.usable() {
		b.insideSump(s, raw, size)
	}
}

const (
	// What is taken of the trim of a trade size that cannot be measured yet:
	// common practice, no source.
	stockTrimHeight = 3 * unit.Inch / 4
	stockTrimIn     = unit.Inch / 4
)

// trims fills in rim and foot: what the plan gives, or those of a trade size.
func (b *builder) trims(s *scene.Sump, raw *rawSump) {
	trim := func(v val[*rawTrim]) *scene.Trim {
		if !v.ok || v.v.none {
			return nil
		}
		return &scene.Trim{Height: v.v.height.v, Out: v.v.out.v, In: v.v.in.v, Beyond: v.v.beyond.v}
	}
	s.Rim, s.Foot = trim(raw.rim), trim(raw.foot)
	t := raw.tank.stock.v
	if !raw.tank.stock.ok || t.TrimHigh <= t.GlassHigh || raw.rim.given && raw.foot.given {
		return
	}
	x, y := (t.TrimLong-t.GlassLong)/2, (t.TrimAcross-t.GlassAcross)/2
	if raw.tank.long.v == frontBack {
		x, y = y, x
	}
	sold := scene.Trim{
		Height: stockTrimHeight, In: stockTrimIn, Assumed: true,
		Out: toNanometre(x), More: toNanometre(y - x),
		Beyond: toNanometre((t.TrimHigh - t.GlassHigh) / 2),
	}
	if !raw.rim.given {
		rim := sold
		s.Rim = &rim
	}
	if !raw.foot.given {
		foot := sold
		foot.In = 0
		s.Foot = &foot
	}
	b.assume("sump.rim", "%s with its trim is %s, the trim %s high and %s wide inside: %s", t.Name,
		b.sys.Size(t.TrimLong, t.TrimAcross, t.TrimHigh), b.sys.Fine(stockTrimHeight), b.sys.Fine(stockTrimIn), t.Source)
}

// across fills in baffles and braces.
func (b *builder) across(s *scene.Sump, raw *rawSump) {
	path := b.raw.sump.at.path
	for i, v := range raw.baffles.v {
		if !v.ok {
			continue
		}
		f := scene.Baffle{At: v.v.at.v, Top: v.v.top.v, Gap: v.v.gap.v, Thickness: v.v.thickness.or(s.Glass), Assumed: !v.v.thickness.ok}
		if f.Assumed {
			b.assume(join(item(join(path, "baffles"), i), "thickness"), "baffle %d as thick as the sump's glass, %s", i+1, b.sys.Fine(s.Glass))
		}
		s.Baffles = append(s.Baffles, f)
	}
	for i, v := range raw.braces.v {
		if !v.ok {
			continue
		}
		f := scene.Brace{At: v.v.at.v, Width: v.v.width.v, Thickness: v.v.thickness.or(s.Glass), Assumed: !v.v.thickness.ok}
		if f.Assumed {
			b.assume(join(item(join(path, "braces"), i), "thickness"), "brace %d as thick as the sump's glass, %s", i+1, b.sys.Fine(s.Glass))
		}
		s.Braces = append(s.Braces, f)
	}
}

// insideSump checks that what is in the sump is within it and in order.
func (b *builder) insideSump(s *scene.Sump, raw *rawSump, size where) {
	in := s.Inside()
	high, long := toNanometre(unit.Length(in.Max.Z-in.Min.Z)), s.Length()
	if raw.level.ok && raw.level.v > high {
		b.fail(raw.level.at, fmt.Sprintf("the water is kept at %s in a sump that is %s deep inside", b.sys.Fine(raw.level.v), b.sys.Fine(high)),
			"measure from the inside bottom", size)
	}
	if raw.rim.ok && !raw.rim.v.none {
		t := raw.rim.v
		if t.height.ok && t.height.v > high+s.Glass {
			b.fail(t.height.at, fmt.Sprintf("a rim of %s is higher than the sump", b.sys.Fine(t.height.v)), "height is how much of the glass it covers", size)
		}
		if t.in.ok && 2*t.in.v.MM() >= min(in.Max.X-in.Min.X, in.Max.Y-in.Min.Y) {
			b.fail(t.in.at, fmt.Sprintf("a rim that reaches %s inside closes the sump", b.sys.Fine(t.in.v)), "measure from the glass inside", size)
		}
	}
	if raw.foot.ok && raw.foot.v.height.ok && raw.foot.v.height.v > high+s.Glass {
		b.fail(raw.foot.v.height.at, fmt.Sprintf("a foot of %s is higher than the sump", b.sys.Fine(raw.foot.v.height.v)),
			"height is how much of the glass it covers", size)
	}
	for i, v := range raw.braces.v {
		if v.ok && v.v.at.ok && v.v.width.ok && toNanometre(v.v.at.v+v.v.width.v-long) > 0 {
			b.fail(v.v.at.at, fmt.Sprintf("brace %d ends at %s, beyond the sump, which is %s long inside", i+1,
				b.sys.Fine(v.v.at.v+v.v.width.v), b.sys.Fine(long)), "at counts from the inside of the inlet end", size)
		}
	}
	var last *rawBaffle
	for i, v := range raw.baffles.v {
		if !v.ok || !v.v.at.ok || !v.v.thickness.usable() {
			last = nil
			continue
		}
		f := v.v
		what, end := "baffle "+strconv.Itoa(i+1), f.at.v+f.thickness.or(s.Glass)
		if toNanometre(end-long) > 0 {
			b.fail(f.at.at, fmt.Sprintf("%s ends at %s, beyond the sump, which is %s long inside", what, b.sys.Fine(end), b.sys.Fine(long)),
				"at counts from the inside of the inlet end", size)
		}
		if f.top.ok && f.top.v > high {
			b.fail(f.top.at, fmt.Sprintf("%s is %s high in a sump that is %s deep inside", what, b.sys.Fine(f.top.v), b.sys.Fine(high)),
				"top counts from the inside bottom", size)
		}
		if f.top.ok && f.gap.ok && f.gap.v >= f.top.v {
			b.fail(f.gap.at, fmt.Sprintf("%s begins at %s and ends at %s", what, b.sys.Fine(f.gap.v), b.sys.Fine(f.top.v)),
				"gap is the free height under it, top its upper edge: both from the inside bottom", f.top.at)
		}
		if last != nil {
			before := last.at.v + last.thickness.or(s.Glass)
			switch {
			case f.at.v < last.at.v:
				b.fail(f.at.at, fmt.Sprintf("%s at %s comes before the one above it at %s", what, b.sys.Fine(f.at.v), b.sys.Fine(last.at.v)),
					"give baffles in the order the water meets them, from the inlet", last.at.at)
			case toNanometre(f.at.v-before) < 0:
				b.fail(f.at.at, fmt.Sprintf("%s at %s stands in the one before, which ends at %s", what, b.sys.Fine(f.at.v), b.sys.Fine(before)),
					"at counts to the near face", last.at.at)
			}
		}
		last = f
	}
}

// sumpKnown reports whether the sump's chambers can be told: whether nothing
// that makes them is wrong.
func (b *builder) sumpKnown() bool {
	if !b.raw.sump.ok || b.s.Sump == nil || b.s.Sump.Box == (r3.Box{}) {
		return false
	}
	raw := b.raw.sump.v
	ok := raw.inlet.usable() && raw.baffles.usable() && (raw.inlet.given || len(raw.baffles.v) == 0)
	for _, f := range raw.baffles.v {
		ok = ok && f.ok && f.v.at.ok && f.v.gap.usable() && f.v.thickness.usable()
	}
	return ok
}
