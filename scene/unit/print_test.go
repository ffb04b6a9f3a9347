package unit_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/scene/unit"
)

func TestPrintLength(t *testing.T) {
	t.Parallel()
	tests := []struct {
		sys        unit.System
		l          unit.Length
		tape, fine string
	}{
		{unit.Inches, 514.35, "20 1/4 in", "20 1/4 in"},
		{unit.Inches, 0, "0 in", "0 in"},
		{unit.Inches, 0.1, "0 in", "0 in"},
		{unit.Inches, -0.1, "0 in", "0 in"},
		{unit.Inches, -0.3, "0 in", "-1/64 in"},
		{unit.Inches, 6.35, "1/4 in", "1/4 in"},
		{unit.Inches, -1.5875, "-1/16 in", "-1/16 in"},
		{unit.Inches, -28.575, "-1 1/8 in", "-1 1/8 in"},
		{unit.Inches, 25.39, "1 in", "1 in"},
		{unit.Inches, 6, "1/4 in", "15/64 in"},
		{unit.Inches, 1219.2, "48 in", "48 in"},
		{unit.Millimetres, 514.35, "514.5 mm", "514.4 mm"}, // halves away from zero: 514.35 is 5143.5 tenths
		{unit.Millimetres, 0.04, "0 mm", "0 mm"},
		{unit.Millimetres, -0.04, "0 mm", "0 mm"},
		{unit.Millimetres, 1.5875, "1.5 mm", "1.6 mm"},
		{unit.Millimetres, 1200, "1200 mm", "1200 mm"},
		{unit.Centimetres, 514, "51.4 cm", "51.4 cm"},
		{unit.Centimetres, 514.35, "51.45 cm", "51.44 cm"},
		{unit.Centimetres, -5, "-0.5 cm", "-0.5 cm"},
		{unit.Inches, unit.Length(math.NaN()), "unknown", "unknown"},
		{unit.Inches, unit.Length(math.Inf(1)), "out of range", "out of range"},
	}
	for _, tt := range tests {
		if got := tt.sys.Length(tt.l); got != tt.tape {
			t.Errorf("%v.Length(%v mm) = %q, want %q", tt.sys, tt.l.MM(), got, tt.tape)
		}
		if got := tt.sys.Fine(tt.l); got != tt.fine {
			t.Errorf("%v.Fine(%v mm) = %q, want %q", tt.sys, tt.l.MM(), got, tt.fine)
		}
	}
}

func TestPrintOtherQuantities(t *testing.T) {
	t.Parallel()
	in, mm := unit.Inches, unit.Millimetres
	tests := []struct{ got, want string }{
		{in.Mass(40 * unit.Pound), "40 lb"},
		{mm.Mass(40 * unit.Pound), "18.1 kg"},
		{in.Mass(6.6 * unit.Pound), "6.6 lb"},
		{mm.Mass(0.25), "0.25 kg"},
		{mm.Mass(487.6), "488 kg"},
		{in.Volume(12 * unit.USGallon), "12 gal"},
		{mm.Volume(12 * unit.USGallon), "45.4 L"},
		{in.Flow(400 * unit.GallonPerHour), "400 gal/h"},
		{unit.Centimetres.Flow(1500 * unit.LitrePerHour), "1500 L/h"},
		{in.Temperature(25), "77 F"},
		{mm.Temperature(25), "25 C"},
		{in.Pressure(40 * unit.PSF), "40 psf"},
		{mm.Pressure(40 * unit.PSF), "1.9 kPa"},
		{(95 * unit.Degree).String(), "95°"},
		{in.Size(711.2, 330.2, 393.7), "28 x 13 x 15 1/2 in"},
		{mm.Size(711, 330), "711 x 330 mm"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}

func TestBetween(t *testing.T) {
	t.Parallel()
	in, mm := unit.Inches, unit.Millimetres
	tests := []struct{ got, want string }{
		{in.Between(4.7625, 6.35), "between 3/16 and 1/4 in"},
		{in.Between(4.8, 6.3), "between 3/16 and 1/4 in"}, // outward
		{in.Between(6.35, 6.35), "1/4 in"},
		{in.Between(4.7625, 5.2), "between 3/16 and 7/32 in"}, // closer than a tape reads
		{in.Between(-1, 0.6), "between -1/16 and 1/16 in"},
		{mm.Between(4.6, 4.8), "between 4.6 and 4.8 mm"},
		{mm.Between(4.6, 12), "between 4.5 and 12 mm"},
		{in.From(24.7, 200), "15/16 in"}, // the lower end as Between has it
		{in.From(24.7, unit.Length(math.Inf(1))), "31/32 in"},
		{in.From(4.7625, 5.2), "3/16 in"},
		{mm.From(13.14, 236), "13 mm"},
		{in.AtLeast(6.3), "15/64 in"},
		{in.AtMost(6.3), "1/4 in"},
		{mm.AtLeast(4.68), "4.6 mm"},
		{mm.AtMost(4.62), "4.7 mm"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}

// A printed length below the limit of 100 m (rounding up leads over it) reads back
// to within half of what a tape shows, and one that
// a tape shows reads back as it is.
func TestPrintThenParse(t *testing.T) {
	t.Parallel()
	half := map[unit.System][2]float64{
		unit.Inches: {25.4 / 32, 25.4 / 128}, unit.Millimetres: {0.25, 0.05}, unit.Centimetres: {0.25, 0.05},
	}
	rapid.Check(t, func(t *rapid.T) {
		sys := rapid.SampledFrom(unit.Systems()).Draw(t, "system")
		l := unit.Length(float64(rapid.Int64Range(-99_999_000_000, 99_999_000_000).Draw(t, "nanometres")) / 1e6)
		for i, text := range []string{sys.Length(l), sys.Fine(l)} {
			got, err := unit.ParseLength(text, sys)
			if err != nil || math.Abs(float64(got-l)) > half[sys][i]+1e-6 {
				t.Fatalf("%v mm prints as %q in %v and reads as %v mm, %v", l.MM(), text, sys, got.MM(), err)
			}
			if again := []string{sys.Length(got), sys.Fine(got)}[i]; again != text {
				t.Fatalf("%q reads as %v mm and prints as %q", text, got.MM(), again)
			}
		}
	})
}

// An interval and its bounds never promise more than was shown.
func TestBetweenIsOutward(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sys := rapid.SampledFrom(unit.Systems()).Draw(t, "system")
		lo := unit.Length(float64(rapid.Int64Range(-50_000_000, 50_000_000).Draw(t, "lo, nanometres")) / 1e6)
		hi := lo + unit.Length(float64(rapid.Int64Range(0, 20_000_000).Draw(t, "width, nanometres"))/1e6)
		text := sys.Between(lo, hi)
		from, to := text, text
		if ends, found := strings.CutPrefix(text, "between "); found {
			a, b, _ := strings.Cut(ends, " and ")
			from, to = a+" "+sys.String(), b
		}
		bounds := []struct {
			text string
			ok   func(unit.Length) bool
		}{
			// The slack is a ten-thousandth of a step of at most 1/16 in.
			{from, func(l unit.Length) bool { return l <= lo+2e-4 }},
			{to, func(l unit.Length) bool { return l >= hi-2e-4 }},
			{sys.AtLeast(lo), func(l unit.Length) bool { return l <= lo+2e-4 }},
			{sys.AtMost(hi), func(l unit.Length) bool { return l >= hi-2e-4 }},
		}
		for _, b := range bounds {
			l, err := unit.ParseLength(b.text, sys)
			if err != nil || !b.ok(l) {
				t.Fatalf("[%v, %v] mm prints as %q, in which %q is %v mm, %v", lo.MM(), hi.MM(), text, b.text, l.MM(), err)
			}
		}
	})
}
