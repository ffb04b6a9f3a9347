package glass

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Ways decides for each baffle, glued in from the inlet on, whether it can be
// brought from above through the rim and past braces and the baffles before it:
// the sump on the bench as a cabinet that is open at its top. A context that
// ends leaves the rest unsure; the longest searches are left out, as a pane that
// does not go in is glued earlier.
func Ways(ctx context.Context, s *scene.Scene) verdict.Findings {
	var f verdict.Findings
	if s.Sump == nil {
		return f
	}
	l := Cut(s)
	ctx = passage.Briefly(ctx)
	for i, p := range l.Pieces {
		for _, c := range passage.Check(ctx, bench(s, l, i)).Checks {
			f.Checks = append(f.Checks, way(l, p, c))
		}
	}
	return f
}

// way says of a baffle what was found for it on the bench, in words that fit a
// sump.
func way(l List, p Piece, c verdict.Finding) verdict.Finding {
	f := verdict.Finding{
		ID: "glass/way/" + p.Name, Verdict: c.Verdict, Room: c.Room, Source: c.Source, Assumed: slices.Concat(l.Assumed, c.Assumed),
	}
	var moves []string
	for _, m := range c.Measures {
		switch v := m.Value.(type) {
		case []string:
			if m.Key == "moves" {
				moves = v
				f.Measures = append(f.Measures, m)
			}
		case float64:
			f.Measures = append(f.Measures, m)
		}
	}
	switch f.Verdict {
	case verdict.OK, verdict.Tight:
		f.Summary = "goes in from above: " + strings.Join(moves, ", ")
	case verdict.No:
		f.Summary = "shown impossible to bring in from above past the rim and what is glued in before it: glue it first, or have it cut in two"
	case verdict.Unsure:
		f.Summary = "no way in from above was found past the rim and what is glued in before it: try it with cardboard of its size before you order"
		f.Again = "the opening between rim and braces"
	}
	return f
}

// bench returns the sump by itself as a cabinet that is open at its top, with
// the baffles before one glued in and that one to be brought in.
func bench(s *scene.Scene, l List, k int) *scene.Scene {
	sump := *s.Sump
	box := sump.Box
	sump.Box = r3.Box{Max: r3.Sub(box.Max, box.Min)}
	in, wall := sump.Inside(), scene.Panel{Thickness: sump.Glass, Assumed: sump.GlassAssumed}
	b := &scene.Scene{
		Units: s.Units,
		Cabinet: scene.Cabinet{
			Width: unit.Length(sump.Box.Max.X), Depth: unit.Length(sump.Box.Max.Y), Height: unit.Length(sump.Box.Max.Z),
			Front: wall, Back: wall, Left: wall, Right: wall, Lid: scene.Panel{Open: true},
			Bottom: &scene.InsideBottom{Up: sump.Glass, Thickness: sump.Glass},
		},
	}
	hole := scene.Opening{Name: "the sump's top", Side: scene.Top, Hole: in, OpenFace: true}
	hole.Hole.Min.Z = in.Max.Z
	if r := sump.Rim; r != nil && r.In > 0 {
		b.Cabinet.Lid = scene.Panel{Thickness: r.Height}
		hole.OpenFace = false
		hole.Hole.Min = r3.Vec{X: in.Min.X + r.In.MM(), Y: in.Min.Y + r.In.MM(), Z: in.Max.Z - r.Height.MM()}
		hole.Hole.Max.X, hole.Hole.Max.Y = in.Max.X-r.In.MM(), in.Max.Y-r.In.MM()
	}
	b.Cabinet.Openings = []scene.Opening{hole}
	sump.Rim, sump.Foot = nil, nil
	for i := range sump.Braces {
		body := fixed(&sump, fmt.Sprintf("sump/brace %d", i+1))
		b.Cabinet.Fixtures = append(b.Cabinet.Fixtures, scene.Fixture{Name: fmt.Sprintf("brace %d", i+1), Bodies: body})
	}
	for i := range k {
		b.Cabinet.Fixtures = append(b.Cabinet.Fixtures, scene.Fixture{
			Name: l.Pieces[i].Name, Bodies: []scene.Body{{Solid: pieceAt(&sump, l.Pieces[i])}},
		})
	}
	b.Equipment = []scene.Equipment{{Name: l.Pieces[k].Name, Kind: "box", Bodies: []scene.Body{{Solid: pieceAt(&sump, l.Pieces[k])}}}}
	return b
}

// fixed returns the body of a part of the sump.
func fixed(s *scene.Sump, name string) []scene.Body {
	for _, p := range s.Panes() {
		if p.Name == name {
			return []scene.Body{{Solid: p.Solid}}
		}
	}
	return nil
}

// pieceAt returns a pane where it is glued in, in the middle between the sides.
func pieceAt(s *scene.Sump, p Piece) solid.Solid {
	in := s.Inside()
	b := r3.Box{Min: in.Min, Max: in.Max}
	b.Min.Z = in.Min.Z + p.Up.MM()
	b.Max.Z = b.Min.Z + p.Height.MM()
	near, far := p.At.MM(), (p.At + p.Thickness).MM()
	across := func(lo, hi *float64) {
		mid := (*lo + *hi) / 2
		*lo, *hi = mid-p.Width.MM()/2, mid+p.Width.MM()/2
	}
	switch s.Inlet {
	case scene.Left:
		b.Min.X, b.Max.X = in.Min.X+near, in.Min.X+far
		across(&b.Min.Y, &b.Max.Y)
	case scene.Right:
		b.Min.X, b.Max.X = in.Max.X-far, in.Max.X-near
		across(&b.Min.Y, &b.Max.Y)
	case scene.Front:
		b.Min.Y, b.Max.Y = in.Min.Y+near, in.Min.Y+far
		across(&b.Min.X, &b.Max.X)
	case scene.Back, scene.Top, scene.Bottom:
		b.Min.Y, b.Max.Y = in.Max.Y-far, in.Max.Y-near
		across(&b.Min.X, &b.Max.X)
	}
	return solid.Box(b)
}
