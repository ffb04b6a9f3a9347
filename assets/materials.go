package assets

import (
	_ "embed"
	"strings"
	"sync"

	"undercroft/scene/unit"
)

//go:embed materials.csv
var materialsCSV string

// A Substance is what something is made of.
type Substance struct {
	Name string
	// Density is that of the dry body with its pores, Least and Greatest the
	// band the sources give for it.
	Density, Least, Greatest unit.Density
	// Porosity is the share of the volume that fills with water, from least to
	// greatest; 0 for what is solid.
	Porosity [2]float64
	E        unit.Pressure // Young's modulus; 0: not in the table
	Poisson  float64       // 0: not in the table
	Source   string
}

// Materials returns the materials that are not timber: those of its own table
// by name, then the boards of Panels.
var Materials = sync.OnceValue(func() []Substance {
	var out []Substance
	for r := range table("materials.csv", materialsCSV) {
		out = append(out, Substance{
			Name:     r.text("name"),
			Density:  unit.Density(r.number("density_kg_m3")),
			Least:    unit.Density(r.number("least_kg_m3")),
			Greatest: unit.Density(r.number("greatest_kg_m3")),
			Porosity: [2]float64{r.number("porosity_least"), r.number("porosity_greatest")},
			E:        unit.Pressure(r.number("e_mpa")),
			Poisson:  r.number("poisson"),
			Source:   r.text("source"),
		})
	}
	for _, p := range Panels() {
		out = append(out, Substance{
			Name: p.Name, Density: p.Density, Least: p.Density, Greatest: p.Density, E: p.E, Source: p.Source,
		})
	}
	return out
})

// Material returns the material of that name: acrylic, aragonite, aragonite
// sand, glass, hardwood, limestone, mdf, osb, particleboard, plywood, pvc,
// quartz, quartz sand, reef rock, softwood or steel.
func Material(name string) (Substance, bool) {
	name = strings.ToLower(name)
	for _, m := range Materials() {
		if m.Name == name {
			return m, true
		}
	}
	return Substance{}, false
}
