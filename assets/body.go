package assets

import (
	_ "embed"
	"sync"

	"undercroft/scene/unit"
)

//go:embed body.csv
var bodyCSV string

// A BodySize is one dimension of the human body over a population. Figures the
// source does not give are 0.
//
// ANSUR II measured soldiers, not the general public.
type BodySize struct {
	Dimension string
	Who       string // man, woman or anyone
	Mean, SD  unit.Length
	P5, P50   unit.Length // percentiles
	P95, P99  unit.Length
	Source    string
}

// BodySizes returns the table of body sizes.
var BodySizes = sync.OnceValue(func() []BodySize {
	var out []BodySize
	for r := range table("body.csv", bodyCSV) {
		mm := func(column string) unit.Length { return unit.Length(r.number(column)) }
		out = append(out, BodySize{
			Dimension: r.text("dimension"), Who: r.text("who"),
			Mean: mm("mean_mm"), SD: mm("sd_mm"),
			P5: mm("p5_mm"), P50: mm("p50_mm"), P95: mm("p95_mm"), P99: mm("p99_mm"),
			Source: r.text("source"),
		})
	}
	return out
})

// Body returns one dimension, as Body("hand breadth", "man").
func Body(dimension, who string) (BodySize, bool) {
	for _, b := range BodySizes() {
		if b.Dimension == dimension && b.Who == who {
			return b, true
		}
	}
	return BodySize{}, false
}
