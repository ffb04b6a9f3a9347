package unit_test

import (
	"math"
	"testing"

	"undercroft/scene/unit"
)

// Factors between units, from NIST Handbook 44 (2017), appendix C, General
// Tables of Units of Measurement; those it calls exact are held to the last
// place, the others to the places it prints.
func TestFactors(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name      string
		got, want float64
		places    float64 // how far off the printed number may be
	}{
		{"1 in in mm, exact", unit.Inch.MM(), 25.4, 0},
		{"1 ft in m, exact", unit.Foot.M(), 0.3048, 1e-16},
		{"1 m in in", unit.Metre.In(), 39.370_08, 5e-6},
		{"1 lb in kg, exact", unit.Pound.KG(), 0.453_592_37, 0},
		{"1 kg in lb", unit.Kilogram.Lb(), 2.204_623, 5e-7},
		{"1 US gal in L, exact", unit.USGallon.Litres(), 3.785_411_784, 1e-15},
		{"1 US gal in in³, exact", float64(unit.USGallon) / (25.4 * 25.4 * 25.4), 231, 1e-13},
		{"1 L in US gal", unit.Litre.Gallons(), 0.264_172, 5e-7},
		{"1 ft³ in L", unit.Volume(math.Pow(unit.Foot.MM(), 3)).Litres(), 28.316_847, 5e-7},
		// HUD, Residential Structural Design Guide, appendix B.
		{"1 psi in Pa", unit.PSI.MPa() * 1e6, 6894.757, 5e-4},
		{"1 psf in Pa", unit.PSF.MPa() * 1e6, 47.88, 5e-3},
		{"1 lbf in N", unit.PoundForce.N(), 4.448222, 5e-7},
		// The two scales of temperature meet at −40; water freezes at 32 F.
		{"−40 C in F", unit.Temperature(-40).Fahrenheit(), -40, 0},
		{"0 C in F", unit.Temperature(0).Fahrenheit(), 32, 0},
		{"1 gal/h in L/h", unit.GallonPerHour.LPH(), 3.785_411_784, 1e-12},
		{"weight of 1 lb", unit.Pound.Weight().Lbf(), 1, 1e-15},
		{"half a turn", (180 * unit.Degree).Deg(), 180, 1e-13},
	}
	for _, tt := range tests {
		if math.Abs(tt.got-tt.want) > tt.places {
			t.Errorf("%s: %.12g, want %.12g", tt.name, tt.got, tt.want)
		}
	}
}
