package basin_test

import (
	"math"
	"testing"

	"undercroft/fit/water/internal/basin"
	"undercroft/scene/unit"
)

func TestWeirWorkedExamples(t *testing.T) {
	t.Parallel()
	// Blevins (1984) as worked in an open library of fluid formulas: crest 0.4 m
	// above the floor, 2 m wide, head 0.3 m. Rehbock's result as printed there;
	// Kindsvater and Carter's from memory of the same text.
	c := basin.Crest{Width: 2000, Height: 400, Thickness: 1}
	for _, w := range []struct {
		name string
		by   basin.Formula
		want float64 // m³/s
	}{
		{"Rehbock", basin.Rehbock, 0.6486856330601333},
		{"Kindsvater and Carter", basin.KindsvaterCarter, 0.641560300081563},
	} {
		// The example takes g = 9.80665 m/s² as we do; 1e-9 is rounding.
		if got := c.Flow(300, w.by) / 1e9; math.Abs(got-w.want) > 1e-9*w.want {
			t.Errorf("%s: %.12f m³/s; want %.12f", w.name, got, w.want)
		}
	}
	// Low heads, crest 0.2 m high, for each 100 mm of a crest so wide that its
	// ends do not count: computed by hand from the printed formulas, to 1 L/h.
	wide := basin.Crest{Width: 1e6, Height: 200, Thickness: 1}
	for _, w := range []struct{ head, kc, rehbock float64 }{{10, 735, 769}, {15, 1294, 1339}, {20, 1952, 2010}} {
		per := func(by basin.Formula) float64 {
			return unit.Flow(wide.Flow(w.head, by) / 1e4).LPH()
		}
		// Kindsvater and Carter of a 100 mm crest lose 1 mm of it: 1 %.
		if kc := per(basin.KindsvaterCarter); math.Abs(kc*0.99-w.kc) > 1.5 {
			t.Errorf("Kindsvater and Carter at %v mm: %.1f L/h; want %v", w.head, kc*0.99, w.kc)
		}
		if re := per(basin.Rehbock); math.Abs(re-w.rehbock) > 1.5 {
			t.Errorf("Rehbock at %v mm: %.1f L/h; want %v", w.head, re, w.rehbock)
		}
	}
}

func TestRangeOfWeirFormula(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		crest basin.Crest
		head  float64
		want  bool
	}{
		{"laboratory weir", basin.Crest{Width: 600, Height: 300, Thickness: 2}, 60, true},
		{"low head of a sump", basin.Crest{Width: 330, Height: 240, Thickness: 6}, 12, false},
		{"narrow", basin.Crest{Width: 140, Height: 300, Thickness: 2}, 60, false},
		{"low crest", basin.Crest{Width: 600, Height: 90, Thickness: 2}, 60, false},
		{"thick edge", basin.Crest{Width: 600, Height: 300, Thickness: 40}, 60, false},
	} {
		if got := c.crest.InRange(c.head); got != c.want {
			t.Errorf("%s: InRange(%v) = %v; want %v", c.name, c.head, got, c.want)
		}
	}
}

func TestHeadInvertsFlow(t *testing.T) {
	t.Parallel()
	c := basin.Crest{Width: 318, Height: 240, Thickness: 6}
	for _, by := range []basin.Formula{basin.Clinging, basin.Rehbock, basin.KindsvaterCarter, basin.BroadCrested} {
		last := 0.0
		for _, lph := range []float64{200, 1000, 3000, 8000} {
			q := float64(unit.Flow(lph) * unit.LitrePerHour)
			h := c.Head(q, -50, by)
			if back := c.Flow(h, by); math.Abs(back-q) > 1e-9*q {
				t.Errorf("formula %v: head %v carries %v; want %v", by, h, back, q)
			}
			if h <= last {
				t.Errorf("formula %v: head %v at %v L/h is not above %v", by, h, lph, last)
			}
			last = h
			drowned := c.Head(q, h/2, by)
			if drowned <= h {
				t.Errorf("formula %v: drowned head %v is not above the free one %v", by, drowned, h)
			}
			// Far under water the two levels are nearly one.
			if deep := c.Head(q, 200, by); deep < 200 || deep > 202 {
				t.Errorf("formula %v at %v L/h: head %v under 200 mm of water", by, lph, deep)
			}
		}
	}
}

func TestFormulasAreOrdered(t *testing.T) {
	t.Parallel()
	c := basin.Crest{Width: 318, Height: 240, Thickness: 6}
	for h := 4.0; h < 60; h += 4 {
		last := math.Inf(1)
		for by := basin.Clinging; by <= basin.BroadCrested; by++ {
			q := c.Flow(h, by)
			if q >= last {
				t.Errorf("at %v mm formula %v passes %v, not less than the one before", h, by, q)
			}
			last = q
		}
	}
}

func TestGapLoss(t *testing.T) {
	t.Parallel()
	// Torricelli: 1 m/s through the contracted area means v²/2g = 50.986 mm.
	if got := basin.Loss(0.61*1000*1000, 1000, 0.61); math.Abs(got-50.9858) > 1e-3 {
		t.Errorf("Loss = %v mm; want 50.986", got)
	}
	// Critical depth of 1 m³/s on 1 m: (1/9.80665)^(1/3) = 0.46719 m.
	if got := basin.Critical(1e9, 1000); math.Abs(got-467.19) > 0.01 {
		t.Errorf("Critical = %v mm; want 467.19", got)
	}
}

func TestCoefficientAgainstTheManual(t *testing.T) {
	t.Parallel()
	// USBR, Water Measurement Manual (2001), as in the SWMM reference manual,
	// table 6-2, for a crest as wide as the channel: C = 0.4000 h/P + 3.220 in
	// ft^½/s, to four digits.
	for _, ratio := range []float64{0.1, 0.5, 1, 1.9} {
		const p = 500.0
		c := basin.Crest{Width: 1e7, Height: p, Thickness: 1}
		h := ratio * p
		// The head that counts is 1 mm more, the width 1 mm less.
		got := c.Flow(h, basin.KindsvaterCarter) / (1e7 * math.Pow(h+1, 1.5)) / math.Sqrt(304.8)
		if want := 0.4*ratio + 3.220; math.Abs(got-want) > 2e-3 {
			t.Errorf("h/P = %v: C = %.4f; want %.4f", ratio, got, want)
		}
	}
}

// TestDrownedByHand: with the water behind at half of the head 1 − 0.5^1.5 to the
// power of 0.385, 0.8454, of the free flow passes (Villemonte).
func TestDrownedByHand(t *testing.T) {
	t.Parallel()
	c := basin.Crest{Width: 318, Height: 240, Thickness: 6}
	for _, v := range []struct{ share, passes float64 }{{0.5, 0.8454}, {0.9, 0.4770}, {0, 1}} {
		const head = 60.0
		q := v.passes * c.Flow(head, basin.KindsvaterCarter)
		if got := c.Head(q, v.share*head, basin.KindsvaterCarter); math.Abs(got-head) > 0.01 {
			t.Errorf("water behind at %v of the head: %.4f mm; want %v", v.share, got, head)
		}
	}
}
