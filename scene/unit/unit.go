// Package unit holds the quantities of a plan, each a float64 in one fixed
// unit, with exact factors between the units people write.
//
// Outside of geometry kernels every exported length, mass or flow is one of
// these types; conversions happen only here. Factors are those of NIST
// Handbook 44 (2017), appendix C.
package unit

import "math"

// Length is a length in millimetres.
type Length float64

// Lengths to multiply by, as in 600*unit.Millimetre.
const (
	Millimetre Length = 1
	Centimetre        = 10 * Millimetre
	Metre             = 1000 * Millimetre
	Inch              = 25.4 * Millimetre // exact since 1959
	Foot              = 12 * Inch
)

// MM returns l in millimetres.
func (l Length) MM() float64 { return float64(l) }

// M returns l in metres.
func (l Length) M() float64 { return float64(l / Metre) }

// In returns l in inches.
func (l Length) In() float64 { return float64(l / Inch) }

// Volume is a volume in cubic millimetres.
type Volume float64

// Volumes to multiply by.
const (
	CubicMillimetre Volume = 1
	Litre                  = 1e6 * CubicMillimetre
	USGallon               = 3.785411784 * Litre // 231 in³, exact
)

// Litres returns v in litres.
func (v Volume) Litres() float64 { return float64(v / Litre) }

// Gallons returns v in US gallons.
func (v Volume) Gallons() float64 { return float64(v / USGallon) }

// Mass is a mass in kilograms.
type Mass float64

// Masses to multiply by.
const (
	Kilogram Mass = 1
	Gram          = Kilogram / 1000
	Pound         = 0.45359237 * Kilogram // exact
)

// KG returns m in kilograms.
func (m Mass) KG() float64 { return float64(m) }

// Lb returns m in pounds.
func (m Mass) Lb() float64 { return float64(m / Pound) }

// StandardGravity is the standard acceleration of gravity in m/s², exact by
// definition (3rd CGPM, 1901).
const StandardGravity = 9.80665

// Weight returns the force of gravity on m.
func (m Mass) Weight() Force { return Force(float64(m) * StandardGravity) }

// Force is a force in newtons.
type Force float64

// Forces to multiply by.
const (
	Newton     Force = 1
	PoundForce       = 4.4482216152605 * Newton // lb × standard gravity, exact
)

// N returns f in newtons.
func (f Force) N() float64 { return float64(f) }

// Lbf returns f in pounds-force.
func (f Force) Lbf() float64 { return float64(f / PoundForce) }

// Pressure is a pressure or a stress in N/mm² (MPa).
type Pressure float64

// Pressures to multiply by.
const (
	MegaPascal Pressure = 1
	KiloPascal          = MegaPascal / 1000
	PSI                 = Pressure(float64(PoundForce)) / (25.4 * 25.4)
	PSF                 = PSI / 144
)

// MPa returns p in N/mm².
func (p Pressure) MPa() float64 { return float64(p) }

// KPa returns p in kN/m².
func (p Pressure) KPa() float64 { return float64(p / KiloPascal) }

// PSI returns p in pounds-force per square inch.
func (p Pressure) PSI() float64 { return float64(p / PSI) }

// PSF returns p in pounds-force per square foot.
func (p Pressure) PSF() float64 { return float64(p / PSF) }

// Density is a density in kg/m³.
type Density float64

// Of returns the mass of volume v at density d.
func (d Density) Of(v Volume) Mass { return Mass(float64(d) * float64(v) / 1e9) }

// Angle is an angle in radians.
type Angle float64

// Degree is one degree.
const Degree Angle = math.Pi / 180

// Deg returns a in degrees.
func (a Angle) Deg() float64 { return float64(a / Degree) }

// Flow is a volume flow in mm³/s.
type Flow float64

// Flows to multiply by.
const (
	LitrePerHour  = Flow(Litre) / 3600
	GallonPerHour = Flow(USGallon) / 3600
)

// LPH returns q in litres per hour.
func (q Flow) LPH() float64 { return float64(q / LitrePerHour) }

// GPH returns q in US gallons per hour.
func (q Flow) GPH() float64 { return float64(q / GallonPerHour) }

// Temperature is a temperature in degrees Celsius.
type Temperature float64

// Celsius returns t in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) }

// Fahrenheit returns t in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return float64(t)*9/5 + 32 }

// A System is the way a plan writes bare numbers and gets its answers printed.
type System int

// The systems of a plan's `units`.
const (
	Inches System = iota // in, lb, US gal, gal/h
	Millimetres
	Centimetres
)
