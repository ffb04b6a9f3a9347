package unit

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Longest is the greatest length a plan may hold: nothing in a house is longer.
const Longest = 100 * Metre

// A ParseError tells what is wrong with a text and what would be right.
type ParseError struct {
	Text string // as it was found
	What string // what it should be, as "a length"
	Why  string // what is wrong with it; "" where it is none at all
	Hint string // what would be right, as "write 20 1/4 in"
}

// Problem returns what was found and what is wrong with it, without the hint.
func (e *ParseError) Problem() string {
	p := fmt.Sprintf("%s is not %s", Quote(e.Text), e.What)
	if e.Why != "" {
		p += ": " + e.Why
	}
	return p
}

// Error implements error.
func (e *ParseError) Error() string { return e.Problem() + "; " + e.Hint }

// Quote quotes text for a message, cut where it is long, with what cannot be
// printed escaped.
func Quote(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most]) + "…"
	}
	// A double quote is the inch mark here: it stays as it is.
	var b strings.Builder
	for _, r := range text {
		if unicode.IsPrint(r) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return `"` + b.String() + `"`
}

// ParseLength reads a length: a bare number is in the unit of s; else a decimal
// number, fraction or mixed number (20 1/4, 20-1/4, 20¼) with its unit: mm, cm,
// m, in, ", ft, ', or feet and inches (1' 8 1/4", 1 ft 8 1/4 in). A leading minus
// is read. The text is taken exactly and rounded once, to the nearest whole
// nanometre. Longer than Longest either way is an error. An error is a
// *ParseError.
func ParseLength(text string, s System) (Length, error) {
	hint := map[System]string{
		Inches:      `write 20 1/4, 20.25, 1' 8 1/4" or 514 mm`,
		Millimetres: `write 514, 514 mm, 51.4 cm or 20 1/4 in`,
		Centimetres: `write 51.4, 51.4 cm, 514 mm or 20 1/4 in`,
	}[s]
	fail := func(why string) (Length, error) {
		return 0, &ParseError{Text: text, What: "a length", Why: why, Hint: hint}
	}
	sc, why := newScanner(text)
	if why != "" {
		return fail(why)
	}
	negative := sc.sign()
	total, why := sc.number()
	if why != "" {
		return fail(why)
	}
	word := sc.lengthUnit()
	factor, known := lengths[word]
	switch {
	case word == "":
		factor = lengths[s.String()]
	case !known:
		return fail(unknown(word, "length"))
	}
	total.Mul(total, factor)
	sc.spaces()
	if !sc.done() && factor.Cmp(lengths["ft"]) == 0 {
		sc.accept('-') // 1'-8 1/4"
		sc.spaces()
		inches, why := sc.number()
		if why != "" {
			return fail(why)
		}
		if w := sc.lengthUnit(); lengths[w] == nil || lengths[w].Cmp(lengths["in"]) != 0 {
			return fail("after the feet stand inches")
		}
		if inches.Cmp(big.NewRat(12, 1)) >= 0 {
			return fail("the inches beside feet are less than 12")
		}
		total.Add(total, inches.Mul(inches, lengths["in"]))
		sc.spaces()
	}
	if !sc.done() {
		return fail(sc.leftOver())
	}
	if total.Cmp(new(big.Rat).SetFloat64(float64(Longest))) > 0 {
		return fail("it is more than 100 m")
	}
	if negative {
		total.Neg(total)
	}
	return nanometres(total), nil
}

// nanometres rounds a length in mm to the nearest whole nanometre, halves away
// from zero. The result is the float64 nearest to that decimal number.
func nanometres(mm *big.Rat) Length {
	// round(x) = sign · floor(|2x·10⁶| + 1, in halves)
	n := new(big.Int).Mul(new(big.Int).Abs(mm.Num()), big.NewInt(2_000_000))
	n.Add(n, mm.Denom())
	n.Quo(n, new(big.Int).Mul(mm.Denom(), big.NewInt(2)))
	if mm.Sign() < 0 {
		n.Neg(n)
	}
	// At most 10¹¹: exact in a float64, so that the quotient is rounded once.
	return Length(float64(n.Int64()) / 1e6)
}

// ParseMass reads a mass that is not negative: a bare number is in lb where s is
// Inches, else in kg; or with a unit: lb, oz, kg, g. An error is a *ParseError.
func ParseMass(text string, s System) (Mass, error) {
	bare, hint := "kg", "write 18, 18 kg or 40 lb"
	if s == Inches {
		bare, hint = "lb", "write 40, 40 lb or 18 kg"
	}
	x, err := masses.parse(text, bare, hint)
	return Mass(x), err
}

// ParseVolume reads a volume that is not negative: a bare number is in US gal
// where s is Inches, else in L; or with a unit: gal, L, ml. An error is a
// *ParseError.
func ParseVolume(text string, s System) (Volume, error) {
	bare, hint := "l", "write 45, 45 L or 12 gal"
	if s == Inches {
		bare, hint = "gal", "write 12, 12 gal or 45 L"
	}
	x, err := volumes.parse(text, bare, hint)
	return Volume(x), err
}

// ParseFlow reads a flow that is not negative: a bare number is in US gal/h where
// s is Inches, else in L/h; or with a unit: gph, gal/h, gpm, L/h, L/min. An error
// is a *ParseError.
func ParseFlow(text string, s System) (Flow, error) {
	bare, hint := "l/h", "write 1500, 1500 L/h or 400 gph"
	if s == Inches {
		bare, hint = "gph", "write 400, 400 gph or 1500 L/h"
	}
	x, err := flows.parse(text, bare, hint)
	return Flow(x), err
}

// ParsePressure reads a pressure that is not negative, with its unit: psf, psi,
// Pa, kPa, MPa, kN/m², N/mm². An error is a *ParseError.
func ParsePressure(text string) (Pressure, error) {
	x, err := pressures.parse(text, "", "write 40 psf or 2 kPa")
	return Pressure(x), err
}

// ParseAngle reads an angle in degrees, up to 360 either way: 95, -15, 95°, 95
// deg. An error is a *ParseError.
func ParseAngle(text string) (Angle, error) {
	x, err := angles.parse(text, "deg", "write degrees, as 95")
	return Angle(x) * Degree, err
}

// ParseTemperature reads a temperature with its unit: 77 F, 25 C, with or without
// a degree sign; not below absolute zero nor above 1000 C. An error is a
// *ParseError.
func ParseTemperature(text string) (Temperature, error) {
	fail := func(why string) (Temperature, error) {
		return 0, &ParseError{Text: text, What: "a temperature", Why: why, Hint: "write 77 F or 25 C"}
	}
	sc, why := newScanner(text)
	if why != "" {
		return fail(why)
	}
	negative := sc.sign()
	x, why := sc.number()
	if why != "" {
		return fail(why)
	}
	if negative {
		x.Neg(x)
	}
	switch word := strings.ToLower(strings.TrimSpace(strings.TrimPrefix(sc.rest(), "°"))); word {
	case "f":
		x.Mul(x.Sub(x, big.NewRat(32, 1)), big.NewRat(5, 9))
	case "c":
	case "":
		return fail("it has no unit")
	default:
		return fail(unknown(word, "temperature"))
	}
	if x.Cmp(big.NewRat(-27315, 100)) < 0 || x.Cmp(big.NewRat(1000, 1)) > 0 {
		return fail("no water is that cold or hot")
	}
	c, _ := x.Float64()
	return Temperature(c), nil
}

// ParseNumber reads a plain number without a unit, decimal or fraction, with or
// without a leading minus, up to a million either way. An error is a *ParseError.
func ParseNumber(text string) (float64, error) {
	fail := func(why string) (float64, error) {
		return 0, &ParseError{Text: text, What: "a number", Why: why, Hint: "write digits, as 35 or 1.026"}
	}
	sc, why := newScanner(text)
	if why != "" {
		return fail(why)
	}
	negative := sc.sign()
	x, why := sc.number()
	switch {
	case why != "":
		return fail(why)
	case sc.rest() != "":
		return fail("it takes no unit")
	case x.Cmp(big.NewRat(1_000_000, 1)) > 0:
		return fail("it is more than a million")
	}
	f, _ := x.Float64()
	if negative && f != 0 {
		f = -f
	}
	return f, nil
}

// lengths holds the units of length in mm.
var lengths = map[string]*big.Rat{
	"mm": rat("1"), "millimetre": rat("1"), "millimetres": rat("1"), "millimeter": rat("1"), "millimeters": rat("1"),
	"cm": rat("10"), "centimetre": rat("10"), "centimetres": rat("10"), "centimeter": rat("10"), "centimeters": rat("10"),
	"m": rat("1000"), "metre": rat("1000"), "metres": rat("1000"), "meter": rat("1000"), "meters": rat("1000"),
	"in": rat("25.4"), "inch": rat("25.4"), "inches": rat("25.4"), `"`: rat("25.4"),
	"ft": rat("304.8"), "foot": rat("304.8"), "feet": rat("304.8"), "'": rat("304.8"),
}

// LengthUnits lists the units of length that ParseLength knows, sorted. In these
// lists capitals do not matter but in MPa.
func LengthUnits() []string { return slices.Sorted(maps.Keys(lengths)) }

// MassUnits lists units of mass.
func MassUnits() []string { return slices.Sorted(maps.Keys(masses.units)) }

// VolumeUnits lists units of volume.
func VolumeUnits() []string { return slices.Sorted(maps.Keys(volumes.units)) }

// FlowUnits lists units of flow.
func FlowUnits() []string { return slices.Sorted(maps.Keys(flows.units)) }

// PressureUnits lists units of pressure.
func PressureUnits() []string { return slices.Sorted(maps.Keys(pressures.units)) }

// AngleUnits lists units of angle.
func AngleUnits() []string { return slices.Sorted(maps.Keys(angles.units)) }

// A scale is a kind of quantity: its units, spelt in lower case unless case
// matters, each in the unit its Go type is kept in.
type scale struct {
	what   string
	signed bool // may be negative
	units  map[string]*big.Rat
	most   *big.Rat // in the unit of the Go type
	over   string   // why more than most is refused
}

var masses = scale{
	what: "a mass",
	units: map[string]*big.Rat{
		"kg": rat("1"), "g": rat("0.001"),
		"lb": rat("0.45359237"), "lbs": rat("0.45359237"), "pound": rat("0.45359237"), "pounds": rat("0.45359237"),
		"oz": rat("0.028349523125"), // 1/16 lb
	},
	most: rat("1000000"), over: "it is more than 1000 t",
}

var volumes = scale{
	what: "a volume",
	units: map[string]*big.Rat{
		"l": rat("1000000"), "litre": rat("1000000"), "litres": rat("1000000"), "liter": rat("1000000"), "liters": rat("1000000"),
		"ml":  rat("1000"),
		"gal": rat("3785411.784"), "us gal": rat("3785411.784"), "gallon": rat("3785411.784"), "gallons": rat("3785411.784"),
	},
	most: rat("1000000000000"), over: "it is more than 1000 m³",
}

var flows = scale{
	what: "a flow",
	units: map[string]*big.Rat{
		"l/h": rat("1000000/3600"), "lph": rat("1000000/3600"),
		"l/min": rat("1000000/60"), "lpm": rat("1000000/60"),
		"gal/h": rat("3785411.784/3600"), "gph": rat("3785411.784/3600"),
		"gal/min": rat("3785411.784/60"), "gpm": rat("3785411.784/60"),
	},
	most: rat("1000000000"), over: "it is more than 1 m³ a second",
}

var pressures = scale{
	what: "a pressure",
	units: map[string]*big.Rat{
		"pa": rat("0.000001"), "kpa": rat("0.001"), "kn/m2": rat("0.001"), "kn/m²": rat("0.001"),
		"MPa": rat("1"), "n/mm2": rat("1"), "n/mm²": rat("1"), // mPa would be a thousandth of a pascal
		"psi": rat("4.4482216152605/645.16"), "psf": rat("4.4482216152605/92903.04"),
		"lb/ft2": rat("4.4482216152605/92903.04"), "lb/ft²": rat("4.4482216152605/92903.04"),
	},
	most: rat("100000"), over: "it is more than 100 000 MPa",
}

var angles = scale{
	what: "an angle", signed: true,
	units: map[string]*big.Rat{"deg": rat("1"), "degree": rat("1"), "degrees": rat("1"), "°": rat("1")},
	most:  rat("360"), over: "it is more than 360 degrees",
}

// rat returns the number a/b or a, both decimal, exactly.
func rat(text string) *big.Rat {
	a, b, found := strings.Cut(text, "/")
	x, ok := new(big.Rat).SetString(a)
	if found && ok {
		var d *big.Rat
		if d, ok = new(big.Rat).SetString(b); ok {
			x.Quo(x, d)
		}
	}
	if !ok {
		panic("unit: bad factor " + text)
	}
	return x
}

// parse reads a number with a unit of sc; bare is the unit of a number without
// one, "" where a unit is required. The value is rounded once, to a float64.
func (sc scale) parse(text, bare, hint string) (float64, error) {
	fail := func(why string) (float64, error) {
		return 0, &ParseError{Text: text, What: sc.what, Why: why, Hint: hint}
	}
	s, why := newScanner(text)
	if why != "" {
		return fail(why)
	}
	negative := s.sign()
	x, why := s.number()
	if why != "" {
		return fail(why)
	}
	if negative && x.Sign() != 0 {
		if !sc.signed {
			return fail("it is negative")
		}
		x.Neg(x)
	}
	word := s.rest()
	if word == "" {
		if bare == "" {
			return fail("it has no unit")
		}
		word = bare
	}
	factor, ok := sc.units[word]
	if !ok {
		factor, ok = sc.units[strings.ToLower(word)]
	}
	if !ok {
		return fail(unknown(word, strings.TrimPrefix(strings.TrimPrefix(sc.what, "an "), "a ")))
	}
	x.Mul(x, factor)
	if new(big.Rat).Abs(x).Cmp(sc.most) > 0 {
		return fail(sc.over)
	}
	f, _ := x.Float64()
	return f, nil
}

func unknown(word, kind string) string {
	return fmt.Sprintf("%s is no unit of %s here", Quote(word), kind)
}
