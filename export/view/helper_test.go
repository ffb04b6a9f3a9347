package view_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/export/view"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

const in = unit.Inch

// box returns the box with its near lower left corner and size in inches.
func box(x, y, z, w, d, h float64) r3.Box {
	return r3.Box{Min: inches(x, y, z), Max: inches(x+w, y+d, z+h)}
}

// inches returns a point given in inches, in whole nanometres as plans have it.
func inches(x, y, z float64) r3.Vec {
	nm := func(v float64) float64 { return math.Round(v*25.4e6) / 1e6 }
	return r3.Vec{X: nm(x), Y: nm(y), Z: nm(z)}
}

// upright returns an upright round body, inches.
func upright(x, y, z, round, h float64) solid.Solid {
	a := inches(x, y, z)
	return &solid.Cylinder{A: a, B: r3.Add(a, r3.Vec{Z: 25.4 * h}), Radius: 12.7 * round}
}

// hall is a cabinet with double doors, a display and a sump with a skimmer, a
// heater, a pump and a jug beside it.
func hall() *scene.Scene {
	water := 20.25 * in
	wall := scene.Panel{Thickness: 0.75 * in}
	return &scene.Scene{
		Title: "Hall lagoon", Units: unit.Inches, Tape: in / 16,
		Cabinet: scene.Cabinet{
			Width: 50 * in, Depth: 22 * in, Height: 36 * in,
			Front: wall, Left: wall, Right: wall, Lid: wall, Back: scene.Panel{Thickness: 0.5 * in},
			Bottom: &scene.InsideBottom{Up: 4 * in, Thickness: 0.75 * in},
			Openings: []scene.Opening{{
				Name: "doors", Side: scene.Front, Hole: box(2, 0, 4.25, 46, 0.75, 28),
				Door: &scene.Door{Hinge: scene.HingePair, Overlay: true, Overlap: 0.5 * in, Thickness: 0.75 * in, Opens: 105 * unit.Degree},
			}},
			Fixtures: []scene.Fixture{
				{Name: "drain stub", Bodies: []scene.Body{{Solid: upright(10.9, 17.3, 30.25, 2.375, 5)}}},
				{Name: "return stub", Bodies: []scene.Body{{Solid: upright(34.6, 17.8, 31.25, 1.3125, 4)}}},
				{Name: "outlet strip", Bodies: []scene.Body{{Solid: solid.Box(box(47.75, 8.5, 28, 1.5, 11, 2.5))}}},
			},
		},
		Display: &scene.Display{Box: box(1, 1, 36, 48, 20, 22), Glass: in / 2, Water: &water, Sand: in},
		Sump: &scene.Sump{
			Box: box(6.75, 2.75, 4, 34, 15, 15), Glass: 0.375 * in, Inlet: scene.Left,
			Rim: &scene.Trim{Height: 1 * in, Out: in / 8, In: in / 4},
			Baffles: []scene.Baffle{
				{At: 18.5 * in, Top: 13 * in, Gap: 1.5 * in, Thickness: 0.375 * in},
				{At: 20.75 * in, Top: 9 * in, Thickness: 0.375 * in},
			},
		},
		Equipment: []scene.Equipment{
			{Name: "skimmer", Kind: "skimmer", Bodies: []scene.Body{
				{Name: "body", Solid: upright(19.125, 9.125, 4.375, 6, 10)},
				{Name: "cup", Solid: upright(19.125, 9.125, 14.375, 5, 4.5)},
			}},
			{Name: "heater", Kind: "heater", Bodies: []scene.Body{{Solid: upright(10.75, 13.75, 4.375, 1.25, 8)}}},
			{Name: "return pump", Kind: "pump", Bodies: []scene.Body{{Solid: solid.Box(box(32.25, 8.1, 4.375, 4.25, 3, 4.5))}}},
			{Name: "top-off jug", Kind: "reservoir", Bodies: []scene.Body{{Solid: solid.Box(box(42.75, 3.75, 4, 5.5, 13, 16))}}},
		},
	}
}

// levels is the water in the sump of hall, a body for each space between panes
// and baffles.
func levels() []scene.Part {
	var parts []scene.Part
	for _, w := range []struct {
		name           string
		x, width, high float64
	}{
		{"chamber 1", 7.125, 18.5, 9.6}, {"slot", 26, 1.875, 9.6}, {"chamber 2", 28.25, 12.125, 7},
	} {
		s := solid.Box(box(w.x+0.01, 3.135, 4.385, w.width-0.02, 14.23, w.high))
		parts = append(parts, scene.Part{Name: "sump/water " + w.name, Of: "sump", Role: scene.RoleWater, Solid: s})
	}
	return parts
}

const caution = "Planning figures. Local codes and licensed professionals decide. Two people lift glass; never move a sump with water in it or by its rim."

// subject is hall with everything.
func subject() view.Subject {
	s := view.Of(hall(), caution, levels())
	return s
}

// keep writes a picture where VIEW_OUT says, to be looked at.
func keep(tb testing.TB, p view.Picture) {
	tb.Helper()
	dir := os.Getenv("VIEW_OUT")
	if dir == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(dir, p.Name+".png"), p.PNG, 0o600); err != nil {
		tb.Fatal(err)
	}
}

// wayIn is a way of the sump of hall through its doors: turned, tipped, slid in
// and set down.
func wayIn() scene.Motion {
	ref := inches(23.75, 10.25, 11.5)
	at := func(y, z, tip, turn float64) solid.Pose {
		q := quat.Mul(solid.Turned(r3.Vec{Z: 1}, turn), solid.Turned(r3.Vec{Y: 1}, tip))
		p := solid.About(ref, q)
		p.Shift = r3.Add(p.Shift, inches(0, y, z))
		return p
	}
	return scene.Motion{
		Thing: "sump", Through: "doors", Parts: []string{"sump/outside"},
		Path: solid.Path{Ref: ref, Poses: []solid.Pose{
			at(-30, 6, 0, 0.5), at(-30, 6, 0, 0), at(-28, 3, 0.2, 0), at(-1, 3, 0.2, 0), at(0, 1, 0, 0), solid.Rest,
		}},
		Moves:  []string{"turn it straight", "tip the right end up 11° and come down to the sill", "slide 27 in in", "level it", "set it down"},
		MoveOf: []int{0, 1, 2, 3, 4},
	}
}

// options are those of small pictures, or of full ones where they are kept to be
// looked at.
func options(tb testing.TB) view.Options {
	tb.Helper()
	if os.Getenv("VIEW_OUT") != "" {
		return view.Options{}
	}
	return small
}
