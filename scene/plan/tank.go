package plan

import (
	"fmt"

	"undercroft/assets"
	"undercroft/scene/unit"
)

// rawTank is what a plan says about the glass of display and sump alike.
type rawTank struct {
	size  val[[]unit.Length]
	stock val[assets.TankSize]
	long  val[axis]
	glass val[unit.Length]
}

var tankKeys = []field[rawTank]{
	key("size", func(t *rawTank) *val[[]unit.Length] { return &t.size }, boxSize,
		"Outside glass, as it stands: width, depth, height."),
	key("stock", func(t *rawTank) *val[assets.TankSize] { return &t.stock }, stockShape,
		"A trade size instead of size, as 20 high."),
	key("long", func(t *rawTank) *val[axis] { return &t.long }, choice("a direction",
		option[axis]{"left-right", leftRight}, option[axis]{"front-back", frontBack}),
		"How the long side of a trade size runs; default left-right."),
	key("glass", func(t *rawTank) *val[unit.Length] { return &t.glass }, size,
		"Thickness of the glass."),
}

// stockShape is the name of a trade size.
var stockShape = shape[assets.TankSize]{
	what: "a trade size", kind: scalar, describe: textSchema,
	read: func(r *reader, n *node, at where) (assets.TankSize, bool) {
		t, ok := assets.Tank(n.text)
		if !ok {
			var names []string
			for _, t := range assets.Tanks() {
				names = append(names, t.Name)
			}
			hint := "write size: instead, or " + oneOf(names)
			if near := nearest(n.text, names); near != "" {
				hint = fmt.Sprintf("did you mean %s? Or write size: with what you measured", near)
			}
			r.fail(at, n.quote()+" is no trade size of the tables", hint)
		}
		return t, ok
	},
}

// tankSize returns the outside size of the glass as it stands and where it is
// given; false where it is not known, after noting why.
func (b *builder) tankSize(raw *rawTank, at where, example string) (width, depth, height unit.Length, given where, ok bool) {
	switch {
	case raw.size.given && raw.stock.given:
		b.fail(raw.stock.at, "size and stock are both given", "keep size if you measured it", raw.size.at)
		return 0, 0, 0, raw.size.at, false
	case raw.long.given && !raw.stock.given:
		b.fail(raw.long.at, "long turns a trade size, and there is none", "size is given as it stands: take long out", raw.size.at)
	}
	switch {
	case raw.size.ok:
		return raw.size.v[0], raw.size.v[1], raw.size.v[2], raw.size.at, true
	case raw.stock.ok:
		t := raw.stock.v
		width, depth, height = toNanometre(t.GlassLong), toNanometre(t.GlassAcross), toNanometre(t.GlassHigh)
		if raw.long.v == frontBack {
			width, depth = depth, width
		}
		if !raw.long.given {
			b.assume(join(at.path, "long"), "%s runs left to right", raw.stock.v.Name)
		}
		b.assume(join(at.path, "stock"), "%s is %s, outside glass: %s", t.Name, b.sys.Size(width, depth, height), t.Source)
		return width, depth, height, raw.stock.at, raw.long.usable()
	case !raw.size.given && !raw.stock.given:
		b.fail(where{at.pos, join(at.path, "size")}, "missing", example)
	}
	return 0, 0, 0, where{}, false
}

// tankGlass returns the thickness of the glass and whether it is assumed.
func (b *builder) tankGlass(raw *rawTank, at where, what string, otherwise unit.Length) (unit.Length, bool) {
	switch {
	case raw.glass.ok:
		return raw.glass.v, false
	case raw.stock.ok:
		b.assume(join(at.path, "glass"), "%s of %s glass: %s", what, b.sys.Fine(raw.stock.v.Pane), raw.stock.v.Source)
		return toNanometre(raw.stock.v.Pane), true
	}
	b.assume(join(at.path, "glass"), "%s of %s glass", what, b.sys.Fine(otherwise))
	return otherwise, true
}

// thinEnough checks that the panes leave room between them.
func (b *builder) thinEnough(raw *rawTank, what string, glass, width, depth, height unit.Length, size where) bool {
	if 2*glass < width && 2*glass < depth && glass < height {
		return true
	}
	b.fail(size, fmt.Sprintf("panes of %s leave nothing between them in a %s of %s", b.sys.Fine(glass), what, b.sys.Size(width, depth, height)),
		"size is outside: width, depth, height", raw.glass.at)
	return false
}
