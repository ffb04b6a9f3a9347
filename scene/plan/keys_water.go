package plan

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// What a plan says about water beside the display's and the sump's own keys:
// how far the cabinet is out of level, what the pipes hold, what evaporates, and
// what the glass shop asks.

// rawExtras are the keys of this file at the top of a plan.
type rawExtras struct {
	slope       val[*rawSlope]
	plumbing    val[*rawPlumbing]
	evaporation val[unit.Volume]
	glass       val[*rawGlass]
	prices      val[*rawPrices]
}

type rawSlope struct{ leftRight, frontBack val[unit.Length] }

type rawPlumbing struct {
	holds      val[unit.Volume]
	checkValve val[bool]
}

type rawGlass struct {
	allowance val[unit.Length]
	shops     val[[]val[*rawShop]]
}

type rawShop struct {
	name                    val[string]
	total, area, piece, run val[float64]
}

type rawPrices struct {
	currency val[string]
	goods    val[[]val[*rawGood]]
}

type rawGood struct {
	name  val[string]
	count val[int]
	price val[float64]
}

// extraKeys are the keys of this file at the top of a plan.
var extraKeys = []field[rawExtras]{
	key("slope", func(p *rawExtras) *val[*rawSlope] { return &p.slope }, object("how far the cabinet is out of level",
		key("left-right", func(s *rawSlope) *val[unit.Length] { return &s.leftRight }, offset,
			"How much lower the cabinet's right edge is than its left one; negative where it is higher."),
		key("front-back", func(s *rawSlope) *val[unit.Length] { return &s.frontBack }, offset,
			"How much lower the cabinet's back edge is than its front one; negative where it is higher."),
	), "How far the cabinet is out of level, by a spirit level on its top."),
	key("plumbing", func(p *rawExtras) *val[*rawPlumbing] { return &p.plumbing }, object("pipes and hoses",
		key("holds", func(s *rawPlumbing) *val[unit.Volume] { return &s.holds }, volume,
			"What pipes and hoses hold above the sump while the pump runs, and let down when it stops."),
		key("check-valve", func(s *rawPlumbing) *val[bool] { return &s.checkValve }, yesNo,
			"Whether the return has one; nothing is counted on it."),
	), "Pipes and hoses between display and sump."),
	key("evaporation", func(p *rawExtras) *val[unit.Volume] { return &p.evaporation }, volume,
		"What the system loses in a day."),
	key("glass", func(p *rawExtras) *val[*rawGlass] { return &p.glass }, object("the glass shop",
		key("allowance", func(g *rawGlass) *val[unit.Length] { return &g.allowance }, distance,
			"What is taken off the inside width for a baffle, both sides together; default 1/8 in."),
		key("shops", func(g *rawGlass) *val[[]val[*rawShop]] { return &g.shops }, listOf("a list of shops", 1, object("a shop's quote",
			key("name", func(s *rawShop) *val[string] { return &s.name }, text, "The shop.").needed("write name: with the shop"),
			key("total", func(s *rawShop) *val[float64] { return &s.total }, number, "For the whole list."),
			key("area", func(s *rawShop) *val[float64] { return &s.area }, number, "For a square foot (units: in) or a square metre."),
			key("piece", func(s *rawShop) *val[float64] { return &s.piece }, number, "For each piece."),
			key("seam", func(s *rawShop) *val[float64] { return &s.run }, number, "For a foot (units: in) or a metre of seamed edge."),
		)), "What glass shops ask."),
	), "What is cut at the glass shop."),
	key("prices", func(p *rawExtras) *val[*rawPrices] { return &p.prices }, object("prices",
		key("currency", func(s *rawPrices) *val[string] { return &s.currency }, text, "What prices are in."),
		key("list", func(s *rawPrices) *val[[]val[*rawGood]] { return &s.goods }, listOf("a shopping list", 1, object("a thing to buy",
			key("name", func(g *rawGood) *val[string] { return &g.name }, text, "What it is.").needed("write name: with what it is"),
			key("count", func(g *rawGood) *val[int] { return &g.count }, whole(1, 10000), "How many; default 1."),
			key("price", func(g *rawGood) *val[float64] { return &g.price }, number, "Of one.").needed("write price: of one"),
		)), "What else is on the shopping list."),
	), "Prices of the rest of the shopping list."),
}

// extras fills in what the keys of this file say.
func (b *builder) extras(p *rawExtras) {
	w := &b.s.Water
	if s := p.slope; s.ok {
		w.Slope = scene.Slope{LeftRight: s.v.leftRight.v, FrontBack: s.v.frontBack.v}
	}
	if l := p.plumbing; l.ok {
		w.Pipes, w.CheckValve = l.v.holds.pointer(), l.v.checkValve.v
	}
	w.Evaporation = p.evaporation.pointer()
	shop := &b.s.Shop
	if p.prices.ok {
		shop.Currency = p.prices.v.currency.v
		for _, g := range p.prices.v.goods.v {
			if g.ok {
				shop.Goods = append(shop.Goods, scene.Good{Name: g.v.name.v, Count: g.v.count.or(1), Price: g.v.price.v})
			}
		}
	}
	if !p.glass.ok {
		return
	}
	shop.Allowance = p.glass.v.allowance.pointer()
	// Rates are for feet in a plan in inches, else for metres.
	metre := 1.0
	if b.sys == unit.Inches {
		metre = float64(unit.Metre / unit.Foot)
	}
	for _, q := range p.glass.v.shops.v {
		if !q.ok {
			continue
		}
		if s := q.v; s.total.given && (s.area.given || s.piece.given || s.run.given) {
			b.fail(s.total.at, "a total and rates are both given", "write the total, or the rates it comes from", s.area.at, s.piece.at, s.run.at)
		} else if !s.total.given && !s.area.given && !s.piece.given && !s.run.given {
			b.fail(q.at, "a quote without a price", "write total: for the whole list, or area:, piece: and seam:")
		}
		shop.Quotes = append(shop.Quotes, scene.Quote{
			Shop: q.v.name.v, Total: q.v.total.pointer(),
			Area: q.v.area.v * metre * metre, Piece: q.v.piece.v, Seam: q.v.run.v * metre,
		})
	}
}

// outlet returns the z of the end of a reservoir's hose.
func (b *builder) outlet(v val[unit.Length]) *unit.Length {
	if !v.ok {
		return nil
	}
	z := toNanometre(unit.Length(b.s.Cabinet.Inside().Min.Z) + v.v)
	return &z
}

// onMat returns the corner of a sump that stands on a mat; one that is placed
// from above or from below stays where it is.
func onMat(corner r3.Vec, at *rawAt, mat unit.Length) r3.Vec {
	if !at.up.given && !at.down.given {
		corner.Z += mat.MM()
	}
	return corner
}
