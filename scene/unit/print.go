package unit

import (
	"math"
	"strconv"
	"strings"
)

// String returns s as it stands in a plan: "in", "mm" or "cm".
func (s System) String() string { return [...]string{"in", "mm", "cm"}[s] }

// Systems lists the systems in the order of their constants.
func Systems() []System { return []System{Inches, Millimetres, Centimetres} }

// ParseSystem reads the `units` of a plan: in, mm or cm.
func ParseSystem(text string) (System, error) {
	for _, s := range Systems() {
		if text == s.String() {
			return s, nil
		}
	}
	return 0, &ParseError{Text: text, What: "a system of units", Hint: "write in, mm or cm"}
}

// Length prints l as a tape reads: to the nearest sixteenth of an inch
// ("20 1/4 in") or the nearest half millimetre ("514.5 mm", "51.45 cm").
// Halves are rounded away from zero. Parsing the text gives l back to within
// half of that step.
func (s System) Length(l Length) string { return s.steps(l, tape, math.Round) }

// Fine prints l finer than a tape reads, for room to spare: to the nearest 1/64
// of an inch or the nearest tenth of a millimetre.
func (s System) Fine(l Length) string { return s.steps(l, fine, math.Round) }

// Between prints the interval from lo to hi, rounded outward so that it never
// promises more than was shown: "between 3/16 and 1/4 in", or one length where
// both ends print alike. It uses the steps of a tape where the interval is at
// least as wide as one, else those of Fine. Both ends must be finite.
func (s System) Between(lo, hi Length) string {
	from := s.From(lo, hi)
	to := s.steps(hi, s.grain(lo, hi), up)
	if from == to {
		return to
	}
	return "between " + strings.TrimSuffix(from, " "+s.String()) + " and " + to
}

// From prints the lower end of the interval from lo to hi as Between does, and as
// AtLeast where hi is infinite.
func (s System) From(lo, hi Length) string { return s.steps(lo, s.grain(lo, hi), down) }

// grain is how finely an interval is printed.
func (s System) grain(lo, hi Length) grain {
	if w := hi - lo; w >= s.step(tape) && !math.IsInf(float64(w), 0) {
		return tape
	}
	return fine
}

// AtLeast prints l rounded down to the steps of Fine, AtMost rounded up: what
// may be said of a bound.
func (s System) AtLeast(l Length) string { return s.steps(l, fine, down) }

// AtMost prints l rounded up to the steps of Fine.
func (s System) AtMost(l Length) string { return s.steps(l, fine, up) }

// Size prints lengths that belong together with the unit once, as
// "28 x 13 x 15 1/2 in".
func (s System) Size(ls ...Length) string {
	out := make([]string, len(ls))
	for i, l := range ls {
		out[i] = strings.TrimSuffix(s.Length(l), " "+s.String())
	}
	return strings.Join(out, " x ") + " " + s.String()
}

// Mass prints m in pounds or kilograms.
func (s System) Mass(m Mass) string {
	if s == Inches {
		return figures(m.Lb()) + " lb"
	}
	return figures(m.KG()) + " kg"
}

// Volume prints v in US gallons or litres.
func (s System) Volume(v Volume) string {
	if s == Inches {
		return figures(v.Gallons()) + " gal"
	}
	return figures(v.Litres()) + " L"
}

// Flow prints q in US gallons or litres per hour.
func (s System) Flow(q Flow) string {
	if s == Inches {
		return figures(q.GPH()) + " gal/h"
	}
	return figures(q.LPH()) + " L/h"
}

// Temperature prints t in degrees Fahrenheit or Celsius.
func (s System) Temperature(t Temperature) string {
	if s == Inches {
		return figures(t.Fahrenheit()) + " F"
	}
	return figures(t.Celsius()) + " C"
}

// Pressure prints p in pounds-force per square foot or kilopascals.
func (s System) Pressure(p Pressure) string {
	if s == Inches {
		return figures(p.PSF()) + " psf"
	}
	return figures(p.KPa()) + " kPa"
}

// String prints a in degrees, as "95°".
func (a Angle) String() string { return figures(a.Deg()) + "°" }

// A grain is how finely a length is printed.
type grain int

const (
	tape grain = iota
	fine
)

// step returns the length of one step of g in s.
func (s System) step(g grain) Length {
	switch {
	case s == Inches && g == tape:
		return Inch / 16
	case s == Inches:
		return Inch / 64
	case g == tape:
		return Millimetre / 2
	}
	return Millimetre / 10
}

// slack is the part of a step by which a number may miss a step and still count
// as being on it: lengths are whole nanometres, a step is at least 0.1 mm.
const slack = 1e-4

func down(x float64) float64 { return math.Floor(x + slack) }
func up(x float64) float64   { return math.Ceil(x - slack) }

// steps prints l in whole steps of g, counted by round.
func (s System) steps(l Length, g grain, round func(float64) float64) string {
	n := round(float64(l / s.step(g)))
	switch {
	case math.IsNaN(n):
		return "unknown"
	case math.Abs(n) > 1e12:
		return "out of range"
	case s == Inches:
		return fraction(int64(n), int64(math.Round(float64(Inch/s.step(g))))) + " in"
	}
	x := n * float64(s.step(g))
	if s == Centimetres {
		x /= 10
	}
	return trim(x, 2) + " " + s.String()
}

// fraction prints n/d as a mixed number, reduced.
func fraction(n, d int64) string {
	var b strings.Builder
	if n < 0 {
		b.WriteByte('-')
		n = -n
	}
	whole, rest := n/d, n%d
	for rest%2 == 0 && d%2 == 0 && rest != 0 {
		rest, d = rest/2, d/2
	}
	if whole != 0 || rest == 0 {
		b.WriteString(strconv.FormatInt(whole, 10))
		if rest != 0 {
			b.WriteByte(' ')
		}
	}
	if rest != 0 {
		b.WriteString(strconv.FormatInt(rest, 10))
		b.WriteByte('/')
		b.WriteString(strconv.FormatInt(d, 10))
	}
	return b.String()
}

// figures prints x with the places a person reads: none from 100, one from 1,
// else two.
func figures(x float64) string {
	switch a := math.Abs(x); {
	case math.IsNaN(x):
		return "unknown"
	case a >= 99.95:
		return trim(x, 0)
	case a >= 0.995:
		return trim(x, 1)
	}
	return trim(x, 2)
}

// trim prints x with at most the given places, without idle zeros.
func trim(x float64, places int) string {
	t := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	if t == "-0" {
		return "0"
	}
	return t
}
