package plan_test

import (
	"math"
	"strings"
	"testing"

	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

const wetPlan = `
format: 1
units: in
cabinet: {size: [42 1/4, 18 1/2, 32], bottom: {up: 4}}
display: {size: [42, 18, 20], water: {below-top: 1 1/2}, drops: 1 1/8, mouth: 2}
sump: {size: [28, 13, 15 1/2], glass: 1/4, under: 1/4, level: 7}
equipment:
  - {name: jug, kind: reservoir, size: [5, 8, 8], at: {right: 1, front: 2}, holds: 1 gal, outlet: 12}
slope: {left-right: 1/8, front-back: -1/16}
plumbing: {holds: 1 L, check-valve: yes}
evaporation: 2 L
glass: {allowance: 3/16, shops: [{name: corner, area: 10, piece: 4, seam: 1}, {name: mill, total: 50}]}
prices: {currency: USD, list: [{name: silicone, count: 2, price: 9.5}, {name: clamps, price: 3}]}
`

func TestKeysOfWater(t *testing.T) {
	t.Parallel()
	s, err := plan.Read("wet.yaml", []byte(wetPlan))
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("%s = %v; want %v", what, got, want)
		}
	}
	near("mouth", s.Display.Mouth.In(), 2)
	// A mat lifts what stands on it.
	near("foot of the sump", unit.Length(s.Sump.Box.Min.Z).In(), 4.25)
	near("slope to the right", s.Water.Slope.LeftRight.In(), 0.125)
	near("slope to the back", s.Water.Slope.FrontBack.In(), -0.0625)
	near("pipes", s.Water.Pipes.Litres(), 1)
	near("evaporation", s.Water.Evaporation.Litres(), 2)
	near("reservoir", s.Equipment[0].Holds.Gallons(), 1)
	near("its hose", s.Equipment[0].Outlet.In(), 16)
	near("allowance", s.Shop.Allowance.In(), 0.1875)
	if !s.Water.CheckValve || s.Shop.Currency != "USD" || len(s.Shop.Goods) != 2 || s.Shop.Goods[1].Count != 1 {
		t.Errorf("check valve %v, shop %+v", s.Water.CheckValve, s.Shop)
	}
	// Rates for a square foot and a foot become rates for metres.
	near("rate by area", s.Shop.Quotes[0].Area*0.3048*0.3048, 10)
	near("rate by edge", s.Shop.Quotes[0].Seam*0.3048, 1)
	near("total", *s.Shop.Quotes[1].Total, 50)
}

func TestWrongKeysOfWater(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, from, to, want string }{
		{"a total and rates", "total: 50", "total: 50, piece: 2", "a total and rates are both given"},
		{"no price", "total: 50", "", "a quote without a price"},
		{"no name", "name: mill, ", "", "write name: with the shop"},
		{"misspelt", "check-valve", "check-valf", "did you mean check-valve?"},
		{"a price in words", "price: 3", "price: three", "price"},
	} {
		_, err := plan.Read("wet.yaml", []byte(strings.Replace(wetPlan, c.from, c.to, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
}

func TestMatUnderASumpPlacedFromBelow(t *testing.T) {
	t.Parallel()
	text := strings.Replace(wetPlan, "under: 1/4,", "under: 1/4, at: {up: 1},", 1)
	s, err := plan.Read("wet.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if got := unit.Length(s.Sump.Box.Min.Z).In(); math.Abs(got-5) > 1e-9 {
		t.Errorf("a sump placed 1 in up stands at %v in; want 5", got)
	}
}
