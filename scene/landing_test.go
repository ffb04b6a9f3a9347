package scene_test

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// in returns the box between two corners in inches.
func in(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: x0 * 25.4, Y: y0 * 25.4, Z: z0 * 25.4},
		Max: r3.Vec{X: x1 * 25.4, Y: y1 * 25.4, Z: z1 * 25.4},
	}
}

// upright returns an upright round in inches.
func upright(x, y, z, round, height float64) solid.Solid {
	a := r3.Vec{X: x * 25.4, Y: y * 25.4, Z: z * 25.4}
	b := a
	b.Z += height * 25.4
	return &solid.Cylinder{A: a, B: b, Radius: round / 2 * 25.4}
}

// landing is a cabinet with a pair of doors, a display, and a sump of two
// chambers with a bubble trap between them.
func landing() *scene.Scene {
	const inch = unit.Inch
	return &scene.Scene{
		Title: "Landing reef",
		Tape:  inch / 16,
		Room:  scene.Room{Front: new(52 * inch), Left: new(4 * inch), Right: new(30 * inch), Back: new(1 * inch), Ceiling: new(96 * inch)},
		Cabinet: scene.Cabinet{
			Width: 42.25 * inch, Depth: 18.5 * inch, Height: 32 * inch,
			Front: scene.Panel{Thickness: 0.75 * inch}, Back: scene.Panel{Thickness: 0.25 * inch},
			Left: scene.Panel{Thickness: 0.75 * inch}, Right: scene.Panel{Thickness: 0.75 * inch},
			Lid:    scene.Panel{Thickness: 0.75 * inch},
			Bottom: &scene.InsideBottom{Up: 4 * inch, Thickness: 0.75 * inch},
			Openings: []scene.Opening{{
				Name: "doors", Side: scene.Front, Hole: in(2.25, 0, 4.5, 40, 0.75, 29),
				Door: &scene.Door{
					Hinge: scene.HingePair, Thickness: 0.75 * inch, Opens: 100 * unit.Degree,
					Hinges: &scene.HingeHardware{Kind: "cup", Up: []unit.Length{3 * inch, 20 * inch}, Tall: 2.5 * inch, SticksIn: 0.75 * inch},
				},
			}},
			Fixtures: []scene.Fixture{{Name: "bulkhead and stub", Bodies: []scene.Body{{Solid: upright(10.25, 12.75, 27.25, 3, 4)}}}},
		},
		Display: &scene.Display{
			Box: in(0.125, 0.25, 32, 42.125, 18.25, 52), Glass: 0.375 * inch,
			Water: new(18.125 * inch), Drops: new(1.125 * inch), Sand: 1.5 * inch, Rock: 35 * unit.Pound,
		},
		Sump: &scene.Sump{
			Box: in(4.875, 2.375, 4, 32.875, 15.375, 19.5), Glass: 6,
			Rim:   &scene.Trim{Height: 1 * inch, Out: inch / 8, In: inch / 4},
			Inlet: scene.Left, Flow: new(300 * unit.GallonPerHour), Level: new(7 * inch),
			Baffles: []scene.Baffle{
				{At: 16 * inch, Top: 9.5 * inch, Thickness: 6},
				{At: 17.5 * inch, Top: 12 * inch, Gap: 1.25 * inch, Thickness: 6},
				{At: 19 * inch, Top: 8.25 * inch, Thickness: 6},
			},
		},
		Equipment: []scene.Equipment{
			{
				Name: "skimmer", Kind: "skimmer", Chamber: 1, Order: 2,
				Bodies: []scene.Body{
					{Name: "body", Solid: upright(15.125, 8.125, 4+6/25.4, 5, 11)},
					{Name: "cup", Solid: upright(15.125, 8.125, 15+6/25.4, 5.5, 6), Lifts: 3 * inch, Apart: true},
				},
			},
			{Name: "heater", Kind: "heater", Chamber: 2, On: []string{"right wall"}, Bodies: []scene.Body{{Solid: upright(32.375-6/25.4, 8.125, 5, 1, 10)}}},
			{Name: "power strip", Kind: "power", On: []string{"left wall"}, Bodies: []scene.Body{{Solid: solid.Box(in(0.75, 8, 20, 2.25, 10, 28))}}},
		},
		Reach: []scene.Place{{Name: "cup", On: "skimmer", At: r3.Vec{X: 381, Y: 203.2, Z: 520}, Task: "lift", Hands: 1}},
		Assumed: []scene.Assumption{{
			Key: "display.standing", Text: "the display is not standing yet",
		}},
	}
}

// find returns the part of that name.
func find(parts []scene.Part, name string) (scene.Part, bool) {
	for _, p := range parts {
		if p.Name == name {
			return p, true
		}
	}
	return scene.Part{}, false
}

// volume returns the volume of parts in mm³.
func volume(parts []scene.Part) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += p.Solid.Volume()
	}
	return sum
}

// boxVolume returns the volume of b.
func boxVolume(b r3.Box) float64 {
	s := r3.Sub(b.Max, b.Min)
	return s.X * s.Y * s.Z
}

// near reports whether a and b differ by rounding alone: by less than a
// billionth of what is compared, or a nanometre.
func near(a, b float64) bool {
	d := a - b
	if d < 0 {
		d = -d
	}
	return d <= 1e-6+1e-9*max(a, -a)
}

// sameBox reports whether two boxes differ by less than tol mm.
func sameBox(a, b r3.Box, tol float64) bool {
	return r3.Norm(r3.Sub(a.Min, b.Min)) <= tol && r3.Norm(r3.Sub(a.Max, b.Max)) <= tol
}

// overlapping returns the names of two parts whose boxes share more than a
// billionth of a millimetre, or nothing. The parts must be boxes.
func overlapping(parts []scene.Part) (string, string, bool) {
	const eps = 1e-9
	for i, p := range parts {
		a := p.Solid.Bounds()
		for _, q := range parts[:i] {
			b := q.Solid.Bounds()
			if min(a.Max.X, b.Max.X)-max(a.Min.X, b.Min.X) > eps &&
				min(a.Max.Y, b.Max.Y)-max(a.Min.Y, b.Min.Y) > eps &&
				min(a.Max.Z, b.Max.Z)-max(a.Min.Z, b.Min.Z) > eps {
				return q.Name, p.Name, true
			}
		}
	}
	return "", "", false
}
