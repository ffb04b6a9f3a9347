package unit_test

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/scene/unit"
)

func TestParseLength(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text string
		sys  unit.System
		mm   float64
	}{
		// As a person reads them off a tape in inches.
		{"20.25", unit.Inches, 514.35},
		{"20 1/4", unit.Inches, 514.35},
		{"20-1/4", unit.Inches, 514.35},
		{"20-1/4 in", unit.Inches, 514.35},
		{`20 1/4"`, unit.Inches, 514.35},
		{"20¼", unit.Inches, 514.35},
		{"20 ¼ in", unit.Inches, 514.35},
		{"20 1⁄4", unit.Inches, 514.35},
		{"½", unit.Inches, 12.7},
		{"¾″", unit.Inches, 19.05},
		{"3/4", unit.Inches, 19.05},
		{"5/4 in", unit.Inches, 31.75},
		{"0", unit.Inches, 0},
		{".5", unit.Inches, 12.7},
		{"20.", unit.Inches, 508},
		{"48", unit.Inches, 1219.2}, // in binary 48 × 25.4 is 1219.1999999999998
		{"1e1", unit.Inches, 254},   // as programs write numbers
		{"2.5E-1", unit.Inches, 6.35},
		// Feet and inches.
		{`1' 8 1/4"`, unit.Inches, 514.35},
		{`1'8 1/4"`, unit.Inches, 514.35},
		{`1'-8 1/4"`, unit.Inches, 514.35},
		{"1′ 8¼″", unit.Inches, 514.35},
		{"1’ 8 1/4”", unit.Inches, 514.35},
		{"1' 8 1/4''", unit.Inches, 514.35},
		{"1 ft 8 1/4 in", unit.Inches, 514.35},
		{"1 foot 8 inches", unit.Inches, 508},
		{"12 ft", unit.Inches, 3657.6},
		{"5'", unit.Millimetres, 1524},
		// Metric.
		{"514 mm", unit.Inches, 514},
		{"514mm", unit.Inches, 514},
		{"51.4 cm", unit.Inches, 514},
		{"1.2 m", unit.Inches, 1200},
		{"514", unit.Millimetres, 514},
		{"51.4", unit.Centimetres, 514},
		{"20 1/4 in", unit.Millimetres, 514.35},
		{"6 MM", unit.Inches, 6},
		// Places past a face.
		{"-1/4", unit.Inches, -6.35},
		{"−6 mm", unit.Inches, -6},
		{"-20 1/4", unit.Inches, -514.35},
		{"+3", unit.Millimetres, 3},
		// Rounded once, to the nearest whole nanometre, halves away from zero.
		{"1/3 mm", unit.Inches, 0.333333},
		{"2/3 mm", unit.Inches, 0.666667},
		{"0.0000005 mm", unit.Inches, 0.000001},
		{"-0.0000005 mm", unit.Inches, -0.000001},
		{"0.0000004999 mm", unit.Inches, 0},
		{"1/64", unit.Inches, 0.396875},
		{"100 m", unit.Inches, 100_000},
	}
	for _, tt := range tests {
		got, err := unit.ParseLength(tt.text, tt.sys)
		if err != nil || got.MM() != tt.mm {
			t.Errorf("ParseLength(%q, %v) = %v mm, %v; want %v mm", tt.text, tt.sys, got.MM(), err, tt.mm)
		}
	}
}

func TestParseLengthRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct{ text, want string }{
		{"", `"" is not a length: it is empty`},
		{"   ", `it is empty`},
		{"20 1/", `"20 1/" is not a length: the fraction has nothing under the line`},
		{"1/0", `nothing can be divided by 0`},
		{"20 1/0", `nothing can be divided by 0`},
		{"3 apples", `"apples" is no unit of length here`},
		{"12 furlongs", `"furlongs" is no unit of length here`},
		{"apples", `it does not start with a number`},
		{"20,25", `a decimal point is a point, not a comma`},
		{"1.000,5", `it has two decimal points`},
		{"20,5 mm", `a decimal point is a point, not a comma`},
		{"1.2.3", `it has two decimal points`},
		{"1/2/3", `it has two fraction lines`},
		{"1.5/2", `a fraction is of whole numbers`},
		{"1/2.5", `a fraction is of whole numbers`},
		{"20 5/4", `the fraction beside a whole number is less than 1`},
		{"1' 8", `after the feet stand inches`},
		{"1' 8 mm", `after the feet stand inches`},
		{`1' 12"`, `the inches beside feet are less than 12`},
		{`1" 2'`, `"2'" is left over`},
		{"20 in 30", `"30" is left over`},
		{"20 1", `"1" is left over`},
		{"--3", `it does not start with a number`},
		{"1' -8\"", ``}, // the dash of carpenters
		{"NaN", `it must be finite`},
		{"inf", `it must be finite`},
		{"-.Inf", `it must be finite`},
		{"infinity", `it must be finite`},
		{"100.001 m", `it is more than 100 m`},
		{"-101 m", `it is more than 100 m`},
		{"1e99", `it is more than 100 m`},
		{"1e999", `it is out of range`},
		{"0x1F", `"x" is no unit of length here`},
		{strings.Repeat("9", 61), `it is too long`},
		{strings.Repeat("9", 10_000), `it is too long`},
		{"٣ in", `it does not start with a number`}, // another script's digits
	}
	for _, tt := range tests {
		got, err := unit.ParseLength(tt.text, unit.Inches)
		if tt.want == "" {
			if err != nil {
				t.Errorf("ParseLength(%q) = %v", tt.text, err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("ParseLength(%q) = %v, %v; want an error with %q", tt.text, got, err, tt.want)
			continue
		}
		var bad *unit.ParseError
		if !errors.As(err, &bad) || !strings.Contains(bad.Hint, "20 1/4") {
			t.Errorf("ParseLength(%q): the error %q does not say what would be right", tt.text, err)
		}
	}
}

// A length is taken exactly: against an independent sum in fractions.
func TestParseLengthIsExact(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.IntRange(0, 3000).Draw(t, "whole")
		den := rapid.IntRange(1, 200).Draw(t, "under the line")
		num := rapid.IntRange(0, den-1).Draw(t, "over the line")
		unitOf := rapid.SampledFrom([]struct {
			name string
			mm   *big.Rat
		}{
			{" in", big.NewRat(254, 10)}, {`"`, big.NewRat(254, 10)}, {" mm", big.NewRat(1, 1)}, {"cm", big.NewRat(10, 1)},
		}).Draw(t, "unit")
		text := big.NewInt(int64(whole)).String() + " " + big.NewInt(int64(num)).String() + "/" + big.NewInt(int64(den)).String() + unitOf.name
		got, err := unit.ParseLength(text, unit.Inches)
		if err != nil {
			t.Fatalf("ParseLength(%q): %v", text, err)
		}
		want := new(big.Rat).Add(big.NewRat(int64(whole), 1), big.NewRat(int64(num), int64(den)))
		want.Mul(want, unitOf.mm)
		off := new(big.Rat).Sub(want, new(big.Rat).SetFloat64(got.MM()))
		if off.Abs(off); off.Cmp(big.NewRat(501, 1_000_000_000)) > 0 { // half a nanometre, and the last place of a float64
			t.Fatalf("ParseLength(%q) = %v mm, off by %s mm", text, got.MM(), off.FloatString(9))
		}
		if nm := got.MM() * 1e6; math.Abs(nm-math.Round(nm)) > 1e-4 {
			t.Fatalf("ParseLength(%q) = %v mm is no whole nanometre", text, got.MM())
		}
	})
}

func TestParseOtherQuantities(t *testing.T) {
	t.Parallel()
	// Factors: NIST Handbook 44 (2017), appendix C.
	const lb, gal = 0.45359237, 3.785411784
	near := func(got, want float64) bool { return math.Abs(got-want) <= 1e-12*math.Abs(want) }
	tests := []struct {
		name string
		got  func() (float64, error)
		want float64
	}{
		{"40 lb by default in inches", func() (float64, error) { m, err := unit.ParseMass("40", unit.Inches); return m.KG(), err }, 40 * lb},
		{"kg by default in mm", func() (float64, error) { m, err := unit.ParseMass("18", unit.Millimetres); return m.KG(), err }, 18},
		{"40 lb", func() (float64, error) { m, err := unit.ParseMass("40 lb", unit.Millimetres); return m.KG(), err }, 40 * lb},
		{"8 oz", func() (float64, error) { m, err := unit.ParseMass("8 oz", unit.Inches); return m.KG(), err }, lb / 2},
		{"500 g", func() (float64, error) { m, err := unit.ParseMass("500 g", unit.Inches); return m.KG(), err }, 0.5},
		{"1 1/2 kg", func() (float64, error) { m, err := unit.ParseMass("1 1/2 kg", unit.Inches); return m.KG(), err }, 1.5},
		{"12 gal", func() (float64, error) {
			v, err := unit.ParseVolume("12 gal", unit.Millimetres)
			return v.Litres(), err
		}, 12 * gal},
		{"gal by default", func() (float64, error) { v, err := unit.ParseVolume("12", unit.Inches); return v.Litres(), err }, 12 * gal},
		{"45 L", func() (float64, error) { v, err := unit.ParseVolume("45 L", unit.Inches); return v.Litres(), err }, 45},
		{"250 ml", func() (float64, error) { v, err := unit.ParseVolume("250 mL", unit.Inches); return v.Litres(), err }, 0.25},
		{"400 gph", func() (float64, error) { q, err := unit.ParseFlow("400 gph", unit.Millimetres); return q.LPH(), err }, 400 * gal},
		{"400 gal/h", func() (float64, error) { q, err := unit.ParseFlow("400 gal/h", unit.Millimetres); return q.LPH(), err }, 400 * gal},
		{"1500 L/h", func() (float64, error) { q, err := unit.ParseFlow("1500 L/h", unit.Inches); return q.LPH(), err }, 1500},
		{"L/h by default", func() (float64, error) { q, err := unit.ParseFlow("1500", unit.Centimetres); return q.LPH(), err }, 1500},
		{"77 F", func() (float64, error) { c, err := unit.ParseTemperature("77 F"); return c.Celsius(), err }, 25},
		{"77 °F", func() (float64, error) { c, err := unit.ParseTemperature("77 °F"); return c.Celsius(), err }, 25},
		{"25 C", func() (float64, error) { c, err := unit.ParseTemperature("25 C"); return c.Celsius(), err }, 25},
		{"-2C", func() (float64, error) { c, err := unit.ParseTemperature("-2C"); return c.Celsius(), err }, -2},
		{"40 psf", func() (float64, error) { p, err := unit.ParsePressure("40 psf"); return p.KPa(), err }, 40 * lb * 9.80665 / 0.3048 / 0.3048 / 1000},
		{"10 psi", func() (float64, error) { p, err := unit.ParsePressure("10 psi"); return p.MPa(), err }, 10 * lb * 9.80665 / 25.4 / 25.4},
		{"2 kPa", func() (float64, error) { p, err := unit.ParsePressure("2 kPa"); return p.KPa(), err }, 2},
		{"2 kN/m²", func() (float64, error) { p, err := unit.ParsePressure("2 kN/m²"); return p.KPa(), err }, 2},
		{"6 MPa", func() (float64, error) { p, err := unit.ParsePressure("6 MPa"); return p.MPa(), err }, 6},
		{"95", func() (float64, error) { a, err := unit.ParseAngle("95"); return a.Deg(), err }, 95},
		{"95°", func() (float64, error) { a, err := unit.ParseAngle("95°"); return a.Deg(), err }, 95},
		{"-15 deg", func() (float64, error) { a, err := unit.ParseAngle("-15 deg"); return a.Deg(), err }, -15},
		{"1.026", func() (float64, error) { return unit.ParseNumber("1.026") }, 1.026},
		{"-1/2", func() (float64, error) { return unit.ParseNumber("-1/2") }, -0.5},
	}
	for _, tt := range tests {
		if got, err := tt.got(); err != nil || !near(got, tt.want) {
			t.Errorf("%s: got %v, %v; want %v", tt.name, got, err, tt.want)
		}
	}
}

func TestParseOtherQuantitiesRefuses(t *testing.T) {
	t.Parallel()
	second := func(_ any, err error) error { return err }
	tests := []struct {
		name string
		err  error
		want string
	}{
		{"mass, negative", second(unit.ParseMass("-3", unit.Inches)), "it is negative"},
		{"mass, a length", second(unit.ParseMass("3 mm", unit.Inches)), `"mm" is no unit of mass here; write 40, 40 lb or 18 kg`},
		{"mass, too much", second(unit.ParseMass("1001000", unit.Centimetres)), "it is more than 1000 t"},
		{"volume, infinite", second(unit.ParseVolume("inf", unit.Inches)), "it must be finite"},
		{"volume, comma", second(unit.ParseVolume("4,5 L", unit.Inches)), "a decimal point is a point"},
		{"flow, a volume", second(unit.ParseFlow("400 gal", unit.Inches)), `"gal" is no unit of flow here`},
		{"temperature, bare", second(unit.ParseTemperature("77")), "it has no unit; write 77 F or 25 C"},
		{"temperature, kelvin", second(unit.ParseTemperature("300 K")), `"k" is no unit of temperature here`},
		{"temperature, below absolute zero", second(unit.ParseTemperature("-300 C")), "no water is that cold or hot"},
		{"pressure, bare", second(unit.ParsePressure("40")), "it has no unit; write 40 psf or 2 kPa"},
		{"pressure, a thousandth of a pascal", second(unit.ParsePressure("6 mPa")), `"mPa" is no unit of pressure here`},
		{"angle, too wide", second(unit.ParseAngle("361")), "it is more than 360 degrees"},
		{"angle, empty", second(unit.ParseAngle("")), "it is empty"},
		{"number, with a unit", second(unit.ParseNumber("35 ppt")), "it takes no unit"},
		{"number, huge", second(unit.ParseNumber("1e9")), "it is more than a million"},
		{"system", second(unit.ParseSystem("inch")), "write in, mm or cm"},
	}
	for _, tt := range tests {
		if tt.err == nil || !strings.Contains(tt.err.Error(), tt.want) {
			t.Errorf("%s: got %v, want an error with %q", tt.name, tt.err, tt.want)
		}
	}
}

// Whatever stands in a plan: no panic, and nothing but a finite length of at most
// 100 m comes out, which prints as a text that gives it back.
func FuzzParseLength(f *testing.F) {
	for _, s := range []string{
		"20 1/4", `1' 8 1/4"`, "1 ft 8 1/4 in", "51.4 cm", "-1/4", "1/0", "20,25", "NaN", "1e99", "½", "20-1/4 in", "0x1F",
		"1'-8¼″", "٣", "\xff", "1/99999999999999999999", "9e-99 m", "’", "--", "+", "1 2 3/4", "100.0000000001 m",
	} {
		f.Add(s, 0)
	}
	f.Fuzz(func(t *testing.T, text string, s int) {
		sys := unit.Systems()[uint(s)%3]
		l, err := unit.ParseLength(text, sys)
		if err != nil {
			if l != 0 || err.Error() == "" {
				t.Errorf("ParseLength(%q) = %v beside the error %q", text, l, err)
			}
			return
		}
		if !(math.Abs(float64(l)) <= float64(unit.Longest)) {
			t.Fatalf("ParseLength(%q) = %v mm", text, l.MM())
		}
		again, err := unit.ParseLength(sys.Length(l), sys)
		if err != nil || math.Abs(float64(again-l)) > 25.4/32+1e-6 {
			t.Errorf("%q is %v mm, printed %q, read again %v mm, %v", text, l.MM(), sys.Length(l), again.MM(), err)
		}
	})
}

func BenchmarkParseLength(b *testing.B) {
	for b.Loop() {
		if _, err := unit.ParseLength(`1' 8 1/4"`, unit.Inches); err != nil {
			b.Fatal(err)
		}
	}
}
