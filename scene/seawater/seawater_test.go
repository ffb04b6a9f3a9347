package seawater_test

import (
	"math"
	"testing"

	"undercroft/scene/seawater"
	"undercroft/scene/unit"
)

// t90 turns a temperature on the scale of 1968 into one on that of 1990.
func t90(t68 float64) unit.Temperature { return unit.Temperature(t68 / 1.00024) }

func TestDensityCheckValues(t *testing.T) {
	t.Parallel()
	// UNESCO Technical Papers in Marine Science 44 (1983), check values at one
	// atmosphere, temperatures on IPTS-68. The two at 5 °C as printed in copies of
	// the text; those at 25 °C from memory, and they come out of the printed
	// coefficients to all digits.
	for _, c := range []struct{ s, t68, want float64 }{
		{0, 5, 999.96675},
		{35, 5, 1027.67547},
		{0, 25, 997.04796},
		{35, 25, 1023.34306},
	} {
		got, ok := seawater.Density(c.s, t90(c.t68))
		if math.Abs(float64(got)-c.want) > 1e-5 || !ok {
			t.Errorf("Density(%v, %v °C) = %.5f, %v; want %.5f, true", c.s, c.t68, float64(got), ok, c.want)
		}
	}
}

func TestPureWaterAgreesWithMetrology(t *testing.T) {
	t.Parallel()
	// Tanaka et al., Metrologia 38 (2001) 301, ITS-90, 0 to 40 °C: an equation of
	// other form from other measurements. 20 and 25 °C also in printed tables.
	tanaka := func(c float64) float64 {
		return 999.974950 * (1 - (c-3.983035)*(c-3.983035)*(c+301.797)/(522528.9*(c+69.34881)))
	}
	if got := tanaka(25); math.Abs(got-997.0470) > 1e-4 {
		t.Fatalf("the reference itself gives %.4f at 25 °C; want 997.0470", got)
	}
	for c := 0.0; c <= 40; c++ {
		got, _ := seawater.Density(0, unit.Temperature(c))
		// 5 g/m³: what the older and the newer measurements differ by.
		if math.Abs(float64(got)-tanaka(c)) > 5e-3 {
			t.Errorf("Density(0, %v °C) = %.4f; Tanaka et al. %.4f", c, float64(got), tanaka(c))
		}
	}
}

func TestDensityRange(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		s, t float64
		want bool
	}{
		{"reef", 35, 25, true},
		{"fresh", 0, 20, true},
		{"brine", 43, 25, false},
		{"hot", 35, 41, false},
		{"no number", math.NaN(), 25, false},
	} {
		if _, ok := seawater.Density(c.s, unit.Temperature(c.t)); ok != c.want {
			t.Errorf("%s: Density(%v, %v) in range = %v; want %v", c.name, c.s, c.t, ok, c.want)
		}
	}
}

func TestSalinityInvertsDensity(t *testing.T) {
	t.Parallel()
	for _, s := range []float64{0, 5, 20, 33.3, 35, 41.9} {
		for _, c := range []unit.Temperature{15, 25, 30} {
			d, _ := seawater.Density(s, c)
			fresh, _ := seawater.Density(0, c)
			got, ok := seawater.Salinity(float64(d/fresh), c)
			if !ok || math.Abs(got-s) > 1e-6 {
				t.Errorf("Salinity of water of salinity %v at %v °C = %v, %v", s, c, got, ok)
			}
		}
	}
	for _, g := range []float64{0.99, 1.05, math.NaN()} {
		if got, ok := seawater.Salinity(g, 25); ok {
			t.Errorf("Salinity(%v) = %v; want none", g, got)
		}
	}
}
