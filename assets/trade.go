package assets

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"undercroft/scene/unit"
)

//go:embed tanks.csv
var tanksCSV string

//go:embed rounds.csv
var roundsCSV string

// A TankSize is a common trade size of glass tank. Long, across and high are
// outside sizes.
type TankSize struct {
	Name                              string // as in `stock:`, "20 high"
	GlassLong, GlassAcross, GlassHigh unit.Length
	TrimLong, TrimAcross, TrimHigh    unit.Length // with the plastic trim at top and bottom
	Pane                              unit.Length // thickness of the glass
	Nominal                           unit.Volume // what the trade calls it, not what it holds
	Source                            string
}

// Tanks returns the common trade sizes, smallest nominal volume first.
//
// Range of use: a first guess for a tank that cannot be measured yet; makers
// differ by up to an inch.
var Tanks = sync.OnceValue(func() []TankSize {
	var out []TankSize
	for r := range table("tanks.csv", tanksCSV) {
		inches := func(column string) unit.Length { return unit.Length(r.number(column)) * unit.Inch }
		out = append(out, TankSize{
			Name:      r.text("name"),
			GlassLong: inches("glass_long_in"), GlassAcross: inches("glass_across_in"), GlassHigh: inches("glass_high_in"),
			TrimLong: inches("trim_long_in"), TrimAcross: inches("trim_across_in"), TrimHigh: inches("trim_high_in"),
			Pane:    inches("pane_in"),
			Nominal: unit.Volume(r.number("nominal_gal")) * unit.USGallon,
			Source:  r.text("source"),
		})
	}
	return out
})

// Tank returns the trade size of that name; "20 gal high" and "20 High" are
// "20 high".
func Tank(name string) (TankSize, bool) {
	words := slices.DeleteFunc(strings.Fields(strings.ToLower(name)), func(w string) bool {
		return w == "gal" || w == "gallon" || w == "gallons"
	})
	name = strings.Join(words, " ")
	for _, t := range Tanks() {
		if t.Name == name {
			return t, true
		}
	}
	return TankSize{}, false
}

// A RoundSize is a trade size of pipe or fitting, seen as the round it needs.
type RoundSize struct {
	Size     string      // "1 1/4 in" (schedule 40 nominal) or "32 mm" (metric, outside)
	Kind     string      // pipe, elbow, union, bulkhead or valve
	Diameter unit.Length // outside; of a valve the circle its handle sweeps
	Source   string
}

// Name returns the name in a plan's `round:`, as "1 1/4 in pipe".
func (r RoundSize) Name() string { return r.Size + " " + r.Kind }

// Rounds returns the trade sizes of pipes and fittings: by kind, inch sizes
// before metric ones, smallest first.
//
// Range of use: room for plumbing that is not bought yet; of fittings only the
// pipe's own diameter is standardized.
var Rounds = sync.OnceValue(func() []RoundSize {
	var out []RoundSize
	for r := range table("rounds.csv", roundsCSV) {
		u := unit.Inch
		if r.text("unit") == "mm" {
			u = unit.Millimetre
		}
		out = append(out, RoundSize{
			Size: r.text("size") + " " + r.text("unit"), Kind: r.text("kind"),
			Diameter: unit.Length(r.number("diameter")) * u, Source: r.text("source"),
		})
	}
	return out
})

// RoundOf returns the outside diameter of a pipe or fitting by its name, as
// "1 in pipe", `1-1/4" union` or "32mm valve".
func RoundOf(name string) (unit.Length, bool) {
	name = strings.NewReplacer(`"`, " in ", "-", " ", "mm", " mm ", "inch", "in").Replace(strings.ToLower(name))
	name = strings.Join(strings.Fields(name), " ")
	for _, r := range Rounds() {
		if r.Name() == name {
			return r.Diameter, true
		}
	}
	return 0, false
}
