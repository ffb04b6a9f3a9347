// Package seawater gives the density of fresh and salt water at the surface.
package seawater

import (
	"math"
	"slices"

	"undercroft/scene/unit"
)

// The range in which the one-atmosphere equation of state was fitted: practical
// salinity and temperature in °C. Below 0 °C it holds for sea water only.
const (
	maxSalinity    = 42
	minTemperature = -2
	maxTemperature = 40
)

// Density returns the density of water of practical salinity s at temperature t
// (ITS-90) and one atmosphere, and whether both lie in the range in which the
// formula was fitted: salinity 0 to 42, -2 °C to 40 °C. Outside of it the number
// is an extrapolation.
//
// Source: the one-atmosphere international equation of state of sea water 1980
// (EOS-80): UNESCO Technical Papers in Marine Science 44 (1983), equations 13
// and 14; Millero and Poisson, Deep-Sea Research 28A (1981) 625.
func Density(s float64, t unit.Temperature) (d unit.Density, inRange bool) {
	c := t.Celsius()
	inRange = s >= 0 && s <= maxSalinity && c >= minTemperature && c <= maxTemperature
	c *= 1.00024 // to IPTS-68, in which the equation is written
	pure := poly(c, 999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
	a := poly(c, 8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
	b := poly(c, -5.72466e-3, 1.0227e-4, -1.6546e-6)
	s = max(s, 0)
	return unit.Density(pure + a*s + b*s*math.Sqrt(s) + 4.8314e-4*s*s), inRange
}

// poly returns c[0] + c[1] x + c[2] x² + …
func poly(x float64, c ...float64) float64 {
	y := 0.0
	for _, c := range slices.Backward(c) {
		y = y*x + c
	}
	return y
}

// Salinity returns the practical salinity of water whose density at t is
// gravity times that of fresh water at the same temperature, and whether one
// was found between 0 and 42. Hydrometers state their own reference
// temperature; between 15 °C and 30 °C this moves the result by less than 1.
func Salinity(gravity float64, t unit.Temperature) (s float64, found bool) {
	fresh, _ := Density(0, t)
	lo, hi := 0.0, float64(maxSalinity)
	top, _ := Density(hi, t)
	if !(gravity >= 1) || float64(top) < gravity*float64(fresh) {
		return math.NaN(), false
	}
	for range 60 { // halves 42 to below the last bit
		mid := (lo + hi) / 2
		if d, _ := Density(mid, t); float64(d) < gravity*float64(fresh) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, true
}
