package assets

import (
	_ "embed"
	"strings"
	"sync"

	"undercroft/scene/unit"
)

//go:embed lumber.csv
var lumberCSV string

//go:embed lumber_size.csv
var lumberSizeCSV string

//go:embed lumber_factor.csv
var lumberFactorCSV string

//go:embed lumber_density.csv
var lumberDensityCSV string

//go:embed timber_class.csv
var timberClassCSV string

//go:embed panel.csv
var panelCSV string

// Lumber holds reference design values of North American dimension lumber.
type Lumber struct {
	Species, Grade string // lower case, as in the plan
	// Width is the nominal width in inches for which the values hold with the
	// size factor built in; 0: any, the size factor still to be applied.
	Width int

	Bending       unit.Pressure // Fb
	Shear         unit.Pressure // Fv
	BearingAcross unit.Pressure // Fc⊥
	Compression   unit.Pressure // Fc, along the grain
	E, Emin       unit.Pressure

	Source string
}

// LumberTable returns the rows of the lumber table in its order.
var LumberTable = sync.OnceValue(func() []Lumber {
	var out []Lumber
	for r := range table("lumber.csv", lumberCSV) {
		out = append(out, Lumber{
			Species: r.text("species"), Grade: r.text("grade"), Width: int(r.number("nominal_width_in")),
			Bending:       unit.Pressure(r.number("fb_psi")) * unit.PSI,
			Shear:         unit.Pressure(r.number("fv_psi")) * unit.PSI,
			BearingAcross: unit.Pressure(r.number("fc_across_psi")) * unit.PSI,
			Compression:   unit.Pressure(r.number("fc_psi")) * unit.PSI,
			E:             unit.Pressure(r.number("e_psi")) * unit.PSI,
			Emin:          unit.Pressure(r.number("emin_psi")) * unit.PSI,
			Source:        r.text("source"),
		})
	}
	return out
})

// LumberSpecies returns the species of the lumber table, each once, in its order.
func LumberSpecies() []string {
	return firsts(LumberTable(), func(l Lumber) string { return l.Species })
}

// LumberGrades returns the grades of the lumber table, each once, in its order.
func LumberGrades() []string {
	return firsts(LumberTable(), func(l Lumber) string { return l.Grade })
}

// firsts returns what key gives for each row, each once.
func firsts[T any](rows []T, key func(T) string) []string {
	var out []string
	seen := map[string]bool{}
	for _, r := range rows {
		if k := key(r); !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	return out
}

// A SizeFactor holds the factors of one nominal width of dimension lumber.
type SizeFactor struct {
	Width       int         // nominal, inches
	Dressed     unit.Length // dry
	Bending     float64     // CF for Fb, 2 and 3 in thick
	Bending4    float64     // CF for Fb, 4 in thick
	Compression float64     // CF for Fc
	FlatUse     float64     // Cfu, 2 and 3 in thick
	Source      string
}

// SizeFactors returns the factors by nominal width, narrowest first. They hold
// for grades ss, 1, 2 and 3 of the species whose values have no width.
var SizeFactors = sync.OnceValue(func() []SizeFactor {
	var out []SizeFactor
	for r := range table("lumber_factor.csv", lumberFactorCSV) {
		nominal := r.text("nominal_width_in")
		dressed, _ := dressedSide(nominal, "width")
		out = append(out, SizeFactor{
			Width: int(r.number("nominal_width_in")), Dressed: dressed,
			Bending: r.number("cf_fb_2_3_thick"), Bending4: r.number("cf_fb_4_thick"),
			Compression: r.number("cf_fc"), FlatUse: r.number("cfu_2_3_thick"),
			Source: r.text("source"),
		})
	}
	return out
})

// DressedLumber returns the dry dressed thickness and width of a nominal size
// such as "2x10"; ok is false for a size that is not sold.
//
// Source: PS 20, as in NDS Supplement, Table 1A.
func DressedLumber(nominal string) (thickness, width unit.Length, ok bool) {
	a, b, found := strings.Cut(strings.ReplaceAll(strings.ToLower(nominal), " ", ""), "x")
	if !found {
		return 0, 0, false
	}
	thickness, ok = dressedSide(a, "thickness")
	if !ok {
		return 0, 0, false
	}
	width, ok = dressedSide(b, "width")
	if !ok || width < thickness {
		return 0, 0, false
	}
	return thickness, width, true
}

var lumberSizes = sync.OnceValue(func() map[[2]string]unit.Length {
	out := map[[2]string]unit.Length{}
	for r := range table("lumber_size.csv", lumberSizeCSV) {
		out[[2]string{r.text("nominal_in"), r.text("side")}] = unit.Length(r.number("dressed_in")) * unit.Inch
	}
	return out
})

func dressedSide(nominal, side string) (unit.Length, bool) {
	l, ok := lumberSizes()[[2]string{nominal, side}]
	return l, ok
}

var lumberDensities = sync.OnceValue(func() map[string]unit.Density {
	out := map[string]unit.Density{}
	for r := range table("lumber_density.csv", lumberDensityCSV) {
		// lb/ft³ to kg/m³
		const pcf = 0.45359237 / (0.3048 * 0.3048 * 0.3048)
		out[r.text("species")] = unit.Density(r.number("pcf") * pcf)
	}
	return out
})

// TimberDensity returns the mean density of a North American species or an
// EN 338 class; for anything else, as "unknown", that of the heaviest species.
//
// Sources: AWC, Wood Structural Design Data, 1992 revisions; EN 338:2016, Table 1.
func TimberDensity(speciesOrClass string) unit.Density {
	for _, c := range TimberClasses() {
		if c.Name == speciesOrClass {
			return c.Density
		}
	}
	if d, ok := lumberDensities()[speciesOrClass]; ok {
		return d
	}
	var heaviest unit.Density
	for _, d := range lumberDensities() {
		heaviest = max(heaviest, d)
	}
	return heaviest
}

// A TimberClass holds the characteristic values of an EN 338 strength class.
type TimberClass struct {
	Name          string        // as "C24"
	Bending       unit.Pressure // fm,k
	Compression   unit.Pressure // fc,0,k
	BearingAcross unit.Pressure // fc,90,k
	Shear         unit.Pressure // fv,k
	E, E05        unit.Pressure // mean and 5 % value
	Density       unit.Density  // mean
	Source        string
}

// TimberClasses returns the EN 338 classes that the program knows, weakest first
// among softwoods.
var TimberClasses = sync.OnceValue(func() []TimberClass {
	var out []TimberClass
	for r := range table("timber_class.csv", timberClassCSV) {
		out = append(out, TimberClass{
			Name:          r.text("class"),
			Bending:       unit.Pressure(r.number("fm_mpa")),
			Compression:   unit.Pressure(r.number("fc0_mpa")),
			BearingAcross: unit.Pressure(r.number("fc90_mpa")),
			Shear:         unit.Pressure(r.number("fv_mpa")),
			E:             unit.Pressure(r.number("e_mean_mpa")),
			E05:           unit.Pressure(r.number("e05_mpa")),
			Density:       unit.Density(r.number("rho_mean_kg_m3")),
			Source:        r.text("source"),
		})
	}
	return out
})

// A Panel holds the characteristic values of a board material in its weaker
// direction, and the factors by which they shrink under a permanent load.
type Panel struct {
	Name        string
	Bending     unit.Pressure // fm,k
	Compression unit.Pressure // fc,k in the plane
	ShearEdge   unit.Pressure // fv,k, load in the plane
	ShearFlat   unit.Pressure // fv,k, load across the plane
	E           unit.Pressure // mean
	Density     unit.Density
	// KMod and KDef hold for a permanent load in dry rooms; the damp ones are 0
	// for materials that must not get wet.
	KMod, KDef         float64
	KModDamp, KDefDamp float64
	GammaM             float64
	Source             string
}

// Panels returns the board materials.
var Panels = sync.OnceValue(func() []Panel {
	var out []Panel
	for r := range table("panel.csv", panelCSV) {
		out = append(out, Panel{
			Name:        r.text("board"),
			Bending:     unit.Pressure(r.number("fm_mpa")),
			Compression: unit.Pressure(r.number("fc_mpa")),
			ShearEdge:   unit.Pressure(r.number("fv_edge_mpa")),
			ShearFlat:   unit.Pressure(r.number("fv_flat_mpa")),
			E:           unit.Pressure(r.number("e_mean_mpa")),
			Density:     unit.Density(r.number("density_kg_m3")),
			KMod:        r.number("kmod_dry"), KDef: r.number("kdef_dry"),
			KModDamp: r.number("kmod_damp"), KDefDamp: r.number("kdef_damp"),
			GammaM: r.number("gamma_m"), Source: r.text("source"),
		})
	}
	return out
})
