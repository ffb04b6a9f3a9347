package stand

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/beam"
	"undercroft/fit/weight"
	"undercroft/scene"
)

// A strip is a load on a straight line in plan, from From to To along an axis
// at the place At across it; its intensity in N/mm is given at breakpoints.
type strip struct {
	along    scene.Axis // AlongX or AlongY
	at, wide float64    // middle and width across
	loads    []beam.Load
}

// A field is a rectangle in plan under an even pressure in N/mm².
type field struct {
	box      r3.Box
	pressure float64
}

// A bearing is one way in which the display may press on what is under it. The
// strips are its edges, or else the field is its whole bottom.
type bearing struct {
	name   string
	strips []strip
	whole  *field
}

// bearings returns the ways that the plan leaves open for a display of the given
// weight. On its rim, glass tanks press somewhere between two ends: evenly along
// all edges, as a stiff box does, and by the areas that lie nearest to each edge
// (45° lines from the corners), as a bottom that bends does. Both are common
// practice for panels on four edges; every member has to bear both.
func bearings(s *scene.Scene, force float64) []bearing {
	if s.Display == nil {
		return nil
	}
	box, mode := s.Display.Box, scene.BearsUnknown
	if s.Stand != nil {
		mode = s.Stand.Bears
	}
	w, d := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y
	var out []bearing
	if mode == scene.BearsRim || mode == scene.BearsUnknown {
		g := s.Display.Glass.MM()
		edges := func(load func(along scene.Axis, from, to float64) []beam.Load) []strip {
			return []strip{
				{scene.AlongX, box.Min.Y + g/2, g, load(scene.AlongX, box.Min.X, box.Max.X)},
				{scene.AlongX, box.Max.Y - g/2, g, load(scene.AlongX, box.Min.X, box.Max.X)},
				{scene.AlongY, box.Min.X + g/2, g, load(scene.AlongY, box.Min.Y, box.Max.Y)},
				{scene.AlongY, box.Max.X - g/2, g, load(scene.AlongY, box.Min.Y, box.Max.Y)},
			}
		}
		even := force / (2 * (w + d))
		short := min(w, d)
		peak := force / (w * d) * short / 2
		out = append(out,
			bearing{name: "evenly along the rim", strips: edges(func(_ scene.Axis, from, to float64) []beam.Load {
				return []beam.Load{beam.Uniform(from, to, even)}
			})},
			bearing{name: "by the nearest edge of the rim", strips: edges(func(_ scene.Axis, from, to float64) []beam.Load {
				loads := []beam.Load{{From: from, To: from + short/2, Start: 0, End: peak}}
				if to-from > short {
					loads = append(loads, beam.Uniform(from+short/2, to-short/2, peak))
				}
				return append(loads, beam.Load{From: to - short/2, To: to, Start: peak, End: 0})
			})})
	}
	if mode != scene.BearsRim {
		out = append(out, bearing{name: "on its whole bottom", whole: &field{box, force / (w * d)}})
	}
	return out
}

// onTop returns the weight in N that the display brings, the larger of running
// and pump off.
func onTop(l weight.Loads) (force float64, known bool) {
	return heaviest(l, weight.OnTop)
}

func heaviest(l weight.Loads, place weight.Place) (force float64, known bool) {
	known = true
	for _, st := range []weight.State{weight.Running, weight.PumpOff} {
		m, _, ok := l.On(place, st)
		known = known && ok
		force = max(force, m.Weight().N())
	}
	return force, known
}

// inside returns what stands in the cabinet as an even pressure: under the
// sump where there is one, else over the whole inside.
func inside(s *scene.Scene, l weight.Loads) (field, bool) {
	force, known := heaviest(l, weight.OnBottom)
	if force == 0 {
		return field{}, known
	}
	box := s.Cabinet.Inside()
	if s.Sump != nil {
		box = s.Sump.Box
	}
	return field{box, force / ((box.Max.X - box.Min.X) * (box.Max.Y - box.Min.Y))}, known
}

// edgeNames are those of the display's edges in the order of bearings.
var edgeNames = [...]string{"front", "back", "left", "right"}

// span returns the extent of a box along an axis.
func span(b r3.Box, a scene.Axis) (lo, hi float64) {
	switch a {
	case scene.AlongX:
		return b.Min.X, b.Max.X
	case scene.AlongY:
		return b.Min.Y, b.Max.Y
	case scene.AlongZ:
		return b.Min.Z, b.Max.Z
	}
	return math.NaN(), math.NaN()
}

// across returns the other level axis.
func across(a scene.Axis) scene.Axis {
	if a == scene.AlongX {
		return scene.AlongY
	}
	return scene.AlongX
}

// shared returns the overlap of two boxes along an axis; hi < lo where they are
// apart.
func shared(a, b r3.Box, axis scene.Axis) (lo, hi float64) {
	a0, a1 := span(a, axis)
	b0, b1 := span(b, axis)
	return max(a0, b0), min(a1, b1)
}
