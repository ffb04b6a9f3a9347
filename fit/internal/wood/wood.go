// Package wood holds what timber may bear: design values with their adjustment
// factors, stability of columns and beams, and the ratio of what is to what is
// allowed for a beam and for a column.
//
// North American lumber follows the NDS (National Design Specification for Wood
// Construction, 2018 edition, allowable stress design); EN 338 classes follow
// EN 1995-1-1 with recommended values, all of that from memory. Which of the
// two holds is the timber's own matter: it has a species or a class.
//
// Numbers are bare float64 in N, mm and N/mm².
package wood

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/assets"
	"undercroft/scene"
)

// Unknown is the species or grade of timber nobody could read a stamp on.
const Unknown = "unknown"

// A Code is a design standard.
type Code int

// The design standards.
const (
	NDS Code = iota
	Eurocode
)

// A Section is the cross-section of a timber as it stands: Width across the
// load, Height along it. Plies are counted across Width.
type Section struct {
	Width, Height float64
	Plies         int
}

// Area returns the area of the section.
func (s Section) Area() float64 { return s.Width * s.Height }

// Modulus returns the elastic section modulus S.
func (s Section) Modulus() float64 { return s.Width * s.Height * s.Height / 6 }

// Inertia returns the second moment of area I.
func (s Section) Inertia() float64 { return s.Width * s.Height * s.Height * s.Height / 12 }

// Service is how a timber is used.
type Service struct {
	// Damp: over 19 % moisture (NDS), service class 3 (EN 1995-1-1).
	Damp bool
	// Shared: one of at least three bending members not more than 24 in apart
	// that a floor joins, so that a weak one gets help.
	Shared bool
}

// Values are what a timber may bear in its section and service, before the
// factor for the duration of the load.
type Values struct {
	Code       Code
	Bending    float64 // without lateral buckling
	Shear      float64
	Across     float64 // bearing across the grain, without the bearing area factor
	Along      float64 // compression along the grain, without buckling
	E          float64 // for deflection
	Emin       float64 // for buckling
	AlongRef   float64 // compression along the grain without any factor (EN: fc,0,k)
	BendingRef float64 // bending without any factor (EN: fm,k)
	Creep      float64 // lasting deflection over the first one, under a permanent load
	Source     string
}

// A Timber is what is known of a timber's values: the same in Weak and Strong
// where the plan says what it is, the ends of what it may be where it does not.
type Timber struct {
	Weak, Strong Values
	Sources      []string
	// Assumed says in words what was not known; "" where all was.
	Assumed string
}

// ErrRange marks a timber or a size for which the standard gives no values.
var ErrRange = errors.New("outside the tables")

// Plain says for people what an error of this package means.
func Plain(err error) string {
	if errors.Is(err, ErrRange) {
		return strings.TrimSuffix(err.Error(), ": "+ErrRange.Error()) + ", " + ErrRange.Error()
	}
	return err.Error()
}

// Look returns the values of a timber in a section and service.
//
// Range: NDS Supplement 2018, Tables 4A and 4B: dimension lumber 2 to 4 in
// thick (1 1/2 to 4 in as measured) and up to 14 in wide (southern pine: 12 in).
// EN 338:2016: the classes in the table of timber classes.
// Outside of it the error is ErrRange.
func Look(t scene.Timber, sec Section, use Service) (Timber, error) {
	if t.Class != "" {
		return lookClass(t.Class, sec, use)
	}
	species, grade := normal(t.Species), normal(t.Grade)
	var all []Values
	var sources []string
	for _, row := range assets.LumberTable() {
		if species != Unknown && row.Species != species || grade != Unknown && row.Grade != grade {
			continue
		}
		v, ok := lumber(row, sec, use)
		if !ok {
			continue
		}
		all = append(all, v)
		if !slices.Contains(sources, row.Source) {
			sources = append(sources, row.Source)
		}
	}
	if len(all) == 0 {
		return Timber{}, fmt.Errorf("%s, grade %s, %.4g × %.4g in: %w", t.Species, t.Grade, sec.thin()/25.4, sec.wide()/25.4, ErrRange)
	}
	out := Timber{Weak: all[0], Strong: all[0], Sources: append(sources, "NDS 2018")}
	for _, v := range all[1:] {
		out.Weak = out.Weak.with(v, math.Min)
		out.Strong = out.Strong.with(v, math.Max)
	}
	switch {
	case species == Unknown && grade == Unknown:
		out.Assumed = "species and grade unknown: the weakest counts"
	case species == Unknown:
		out.Assumed = "species unknown: the weakest counts"
	case grade == Unknown:
		out.Assumed = "grade unknown: the weakest counts"
	}
	return out, nil
}

func normal(name string) string {
	if name = strings.ToLower(strings.TrimSpace(name)); name != "" {
		return name
	}
	return Unknown
}

// with combines the strengths of v and w by pick; the creep is the same for all.
func (v Values) with(w Values, pick func(a, b float64) float64) Values {
	v.Bending = pick(v.Bending, w.Bending)
	v.Shear = pick(v.Shear, w.Shear)
	v.Across = pick(v.Across, w.Across)
	v.Along = pick(v.Along, w.Along)
	v.E = pick(v.E, w.E)
	v.Emin = pick(v.Emin, w.Emin)
	v.AlongRef = pick(v.AlongRef, w.AlongRef)
	v.BendingRef = pick(v.BendingRef, w.BendingRef)
	return v
}

// thin and wide are the sides of one ply.
func (s Section) thin() float64 { return min(s.Width/float64(max(s.Plies, 1)), s.Height) }
func (s Section) wide() float64 { return max(s.Width/float64(max(s.Plies, 1)), s.Height) }

// flat tells that one ply is loaded on its wide face.
func (s Section) flat() bool { return s.Height < s.Width/float64(max(s.Plies, 1)) }

// measured is how far a tape may read above a dressed size.
const measured = 25.4 / 16

// lumber applies the factors of NDS 4.3 to one row of the tables; ok is false
// where the row does not hold for the section.
//
//   - CF, size: Supplement Table 4A, by the next wider nominal width; built
//     into Table 4B. Grade stud: 1.1 for Fb and 1.05 for Fc up to 4 in wide, 1.0
//     up to 6 in; wider stud is not in the table.
//   - Cfu, flat use: Table 4A, for 2 and 3 in thick loaded on the wide face.
//   - Cr = 1.15, repetitive members (4.3.9).
//   - CM, over 19 % moisture: Fb 0.85, Fv 0.97, Fc⊥ 0.67, Fc 0.8, E 0.9; 1.0
//     where Fb·CF is up to 1150 psi or Fc·CF up to 750 psi (from memory).
//   - Creep: 1.5 dry and 2.0 damp (3.5.2, from memory).
func lumber(row assets.Lumber, sec Section, use Service) (Values, bool) {
	const inch = 25.4
	if sec.thin() < 1.5*inch-measured || sec.thin() > 4*inch+measured {
		return Values{}, false
	}
	factors := assets.SizeFactors()
	i := slices.IndexFunc(factors, func(f assets.SizeFactor) bool { return sec.wide() <= f.Dressed.MM()+measured })
	if i < 0 {
		return Values{}, false
	}
	f := factors[i]
	bend, press := f.Bending, f.Compression
	if sec.thin() > 2.5*inch+measured {
		bend = f.Bending4
	}
	switch {
	case row.Width != 0: // the size is built in
		if row.Width != max(f.Width+f.Width%2, 4) { // 3 and 5 in count as the next wider
			return Values{}, false
		}
		bend, press = 1, 1
	case row.Grade == "stud":
		if f.Width > 6 {
			return Values{}, false
		}
		bend, press = 1.0, 1.0
		if f.Width <= 4 {
			bend, press = 1.1, 1.05
		}
	}
	if sec.flat() && sec.thin() <= 2.5*inch+measured {
		bend *= f.FlatUse
	}
	v := Values{
		Code:       NDS,
		Bending:    row.Bending.MPa() * bend,
		Shear:      row.Shear.MPa(),
		Across:     row.BearingAcross.MPa(),
		Along:      row.Compression.MPa() * press,
		E:          row.E.MPa(),
		Emin:       row.Emin.MPa(),
		AlongRef:   row.Compression.MPa(),
		BendingRef: row.Bending.MPa(),
		Creep:      1.5,
		Source:     row.Source,
	}
	if use.Damp {
		const psi = 4.4482216152605 / (inch * inch)
		if v.Bending > 1150*psi {
			v.Bending *= 0.85
		}
		if v.Along > 750*psi {
			v.Along *= 0.8
		}
		v.Shear *= 0.97
		v.Across *= 0.67
		v.E *= 0.9
		v.Emin *= 0.9
		v.Creep = 2
	}
	if use.Shared {
		v.Bending *= 1.15
	}
	return v, true
}

// lookClass applies the factors of EN 1995-1-1, from memory: kh = (150/h)^0.2,
// at most 1.3, for bending members under 150 mm (3.2); ksys = 1.1 (6.6); kcr =
// 0.67 for shear (6.1.7); kdef 0.6 dry and 2.0 in service class 3 (3.1.4).
func lookClass(class string, sec Section, use Service) (Timber, error) {
	classes := assets.TimberClasses()
	i := slices.IndexFunc(classes, func(c assets.TimberClass) bool { return strings.EqualFold(c.Name, class) })
	if i < 0 {
		return Timber{}, fmt.Errorf("class %s: %w", class, ErrRange)
	}
	c := classes[i]
	kh := 1.0
	if sec.Height < 150 {
		kh = min(math.Pow(150/sec.Height, 0.2), 1.3)
	}
	v := Values{
		Code:       Eurocode,
		Bending:    c.Bending.MPa() * kh,
		Shear:      c.Shear.MPa() * 0.67,
		Across:     c.BearingAcross.MPa(),
		Along:      c.Compression.MPa(),
		E:          c.E.MPa(),
		Emin:       c.E05.MPa(),
		AlongRef:   c.Compression.MPa(),
		BendingRef: c.Bending.MPa(),
		Creep:      1.6,
		Source:     c.Source,
	}
	if use.Damp {
		v.Creep = 3
	}
	if use.Shared {
		v.Bending *= 1.1
	}
	return Timber{Weak: v, Strong: v, Sources: []string{c.Source, "EN 1995-1-1 (from memory)"}}, nil
}

// A Combination is a set of loads that act together, each with its factor, and
// the share of a strength that holds for so long a load.
type Combination struct {
	Name            string
	Permanent, Live float64 // factors on the loads
	Strength        float64 // on bending, shear and compression along the grain
	Across          float64 // on bearing across the grain
}

// Combinations returns what has to be checked. A tank that stays full is a
// permanent load.
//
// NDS 2.3.2 and Table 2.3.2: CD = 0.9 for permanent loads alone and 1.0 with the
// ordinary floor load; the shortest load of a combination decides. CD is not
// applied to bearing across the grain. EN 1990 and EN 1995-1-1, recommended
// values from memory: γG 1.35, γQ 1.5, γM 1.3, kmod 0.6 permanent and 0.8 medium
// term (service class 3: 0.5 and 0.65).
func Combinations(c Code, damp bool) []Combination {
	switch c {
	case NDS:
		return []Combination{
			{"permanent", 1, 0, 0.9, 1},
			{"with the ordinary floor load", 1, 1, 1, 1},
		}
	case Eurocode:
		permanent, medium := 0.6/1.3, 0.8/1.3
		if damp {
			permanent, medium = 0.5/1.3, 0.65/1.3
		}
		return []Combination{
			{"permanent", 1.35, 0, permanent, permanent},
			{"with the ordinary floor load", 1.35, 1.5, medium, medium},
		}
	}
	return nil
}
