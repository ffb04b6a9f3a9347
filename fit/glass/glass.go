// Package glass lists the panes to cut for the sump and judges how they bend
// under water.
package glass

import (
	"fmt"
	"math"

	"undercroft/assets"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Piece is one pane for the glass shop: annealed float glass, all edges
// seamed.
type Piece struct {
	Name      string      // as "baffle 1"
	Width     unit.Length // across the flow
	Height    unit.Length
	Thickness unit.Length
	Area      float64 // m²
	Edge      float64 // m of seamed edge
	Mass      unit.Mass
	Raised    bool        // water passes under it
	At        unit.Length // its near face from the inside of the inlet end
	Up        unit.Length // its lower edge above the inside bottom
}

// A List is what goes to the glass shop.
type List struct {
	Pieces    []Piece
	Allowance unit.Length // taken off the inside width, both sides together
	Inside    unit.Length // the inside width across the flow
	Length    unit.Length // the inside length along the flow
	Height    unit.Length // the inside height
	Area      float64     // m², all pieces
	Edge      float64     // m, all pieces
	Mass      unit.Mass   // all pieces
	Assumed   []string
	Notes     []string
}

// DefaultAllowance is what is taken off the inside width of a sump for a baffle
// and its silicone, both sides together: common practice, no source.
const DefaultAllowance = unit.Inch / 8

// notes go with every list: common practice, no source.
var notes = []string{
	"Annealed float glass, all edges seamed. Never drill or cut a tempered pane, nor a tank's tempered bottom.",
	"Measure the inside width where each pane goes, at the bottom and at the top; the smaller one counts.",
	"Silicone that is safe for aquariums, without mould inhibitor; no pane touches glass, the allowance is for the bead.",
	"Let it cure at least 48 hours, then fill it to the brim on the bench for 24 hours before it goes in.",
	"Two people lift glass, with gloves on cut edges.",
}

// Cut returns the panes to cut for the sump's baffles, from the inlet on; none
// without a sump.
func Cut(s *scene.Scene) List {
	l := List{Allowance: DefaultAllowance}
	if s.Shop.Allowance != nil {
		l.Allowance = *s.Shop.Allowance
	} else {
		l.Assumed = append(l.Assumed, fmt.Sprintf("%s taken off the inside width for silicone", s.Units.Length(l.Allowance)))
	}
	if s.Sump == nil {
		return l
	}
	l.Notes = notes
	in := s.Sump.Inside()
	l.Inside, l.Length, l.Height = unit.Length(in.Max.Y-in.Min.Y), s.Sump.Length(), unit.Length(in.Max.Z-in.Min.Z)
	if s.Sump.Inlet == scene.Front || s.Sump.Inlet == scene.Back {
		l.Inside = unit.Length(in.Max.X - in.Min.X)
	}
	if s.Sump.GlassAssumed {
		for _, a := range s.Assumed {
			if a.Key == "sump.glass" {
				l.Assumed = append(l.Assumed, a.Text)
			}
		}
	}
	glass, _ := assets.Material("glass")
	n := 0
	for _, sp := range s.Sump.Spaces() {
		if sp.In == nil {
			continue
		}
		n++
		b := sp.In
		p := Piece{
			Name: fmt.Sprintf("baffle %d", n), Width: max(0, l.Inside-l.Allowance), Height: b.Top - b.Gap,
			Thickness: b.Thickness, Raised: b.Gap > 0, At: b.At, Up: b.Gap,
		}
		p.Area = p.Width.M() * p.Height.M()
		p.Edge = 2 * (p.Width.M() + p.Height.M())
		p.Mass = glass.Density.Of(unit.Volume(p.Width.MM() * p.Height.MM() * p.Thickness.MM()))
		l.Pieces = append(l.Pieces, p)
		l.Area += p.Area
		l.Edge += p.Edge
		l.Mass += p.Mass
	}
	return l
}

// A Price is what one shop asks for the list, and what everything costs then.
type Price struct {
	Shop  string
	Glass float64
	All   float64 // with the rest of the shopping list
}

// Prices compares the shops of a plan, in its order; none where it gives none.
func Prices(s *scene.Scene) (prices []Price, rest float64) {
	l := Cut(s)
	for _, g := range s.Shop.Goods {
		rest += float64(g.Count) * g.Price
	}
	for _, q := range s.Shop.Quotes {
		p := Price{Shop: q.Shop}
		if q.Total != nil {
			p.Glass = *q.Total
		} else {
			p.Glass = q.Area*l.Area + q.Piece*float64(len(l.Pieces)) + q.Seam*l.Edge
		}
		p.Glass = math.Round(p.Glass*100) / 100
		p.All = p.Glass + rest
		prices = append(prices, p)
	}
	return prices, rest
}
