package model_test

import (
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// corner is a cabinet with a pair of doors, a display on it, a sump with a
// bubble trap in it, and four things in that.
func corner() *scene.Scene {
	wall := scene.Panel{Thickness: 18}
	return &scene.Scene{
		Title: "Corner reef", Units: unit.Millimetres, Tape: 1,
		Cabinet: scene.Cabinet{
			Width: 1100, Depth: 480, Height: 820,
			Front: wall, Left: wall, Right: wall, Lid: wall, Back: scene.Panel{Thickness: 6},
			Bottom: &scene.InsideBottom{Up: 100, Thickness: 18},
			Openings: []scene.Opening{{
				Name: "doors", Side: scene.Front, Hole: box(60, 0, 112, 1040, 18, 760),
				Door: &scene.Door{
					Hinge: scene.HingePair, Thickness: 18, Opens: 100 * unit.Degree,
					Hinges: &scene.HingeHardware{Kind: "cup", Up: []unit.Length{80, 560}, Tall: 60, SticksIn: 18},
				},
			}},
			Fixtures: []scene.Fixture{
				{Name: "drain", Bodies: []scene.Body{{Solid: &solid.Cylinder{
					A: r3.Vec{X: 220, Y: 420, Z: 700}, B: r3.Vec{X: 220, Y: 420, Z: 802}, Radius: 38,
				}}}},
				{Name: "top brace", Bodies: []scene.Body{{Solid: solid.Box(box(18, 210, 783, 1082, 260, 802))}}},
			},
		},
		Display: &scene.Display{
			Box: box(10, 10, 820, 1090, 470, 1330), Glass: 10, Water: new(unit.Length(450)), Sand: 40, Standing: scene.Dry,
		},
		Sump: &scene.Sump{
			Box: box(120, 60, 100, 870, 400, 500), Glass: 6, Inlet: scene.Left,
			Rim: &scene.Trim{Height: 25, Out: 3, In: 6},
			Baffles: []scene.Baffle{
				{At: 400, Top: 240, Thickness: 6},
				{At: 440, Top: 300, Gap: 30, Thickness: 6},
				{At: 480, Top: 210, Thickness: 6},
			},
		},
		Equipment: []scene.Equipment{
			{Name: "skimmer", Kind: "skimmer", Chamber: 1, Bodies: []scene.Body{
				{Name: "body", Solid: &solid.Cylinder{A: r3.Vec{X: 250, Y: 230, Z: 106}, B: r3.Vec{X: 250, Y: 230, Z: 390}, Radius: 65}},
				{Name: "pump", Solid: solid.Box(box(320, 180, 106, 400, 280, 186))},
				{Name: "cup", Lifts: 80, Apart: true, Solid: &solid.Cylinder{A: r3.Vec{X: 250, Y: 230, Z: 390}, B: r3.Vec{X: 250, Y: 230, Z: 540}, Radius: 70}},
			}},
			{Name: "return pump", Kind: "pump", Chamber: 2, Bodies: []scene.Body{{Solid: solid.Box(box(700, 180, 106, 820, 270, 226))}}},
			{Name: "heater", Kind: "heater", Chamber: 2, Bodies: []scene.Body{{Solid: &solid.Cylinder{
				A: r3.Vec{X: 630, Y: 100, Z: 140}, B: r3.Vec{X: 630, Y: 360, Z: 140}, Radius: 15,
			}}}},
			{Name: "float", Kind: "sensor", Chamber: 2, Bodies: []scene.Body{{Solid: &solid.Ball{Centre: r3.Vec{X: 840, Y: 350, Z: 280}, Radius: 18}}}},
		},
	}
}

// water is the water of corner.
func water() []scene.Part {
	return []scene.Part{
		{Name: "display/water", Of: "display", Role: scene.RoleWater, Solid: solid.Box(box(20, 20, 870, 1080, 460, 1280))},
		{Name: "sump/water 1", Of: "sump", Role: scene.RoleWater, Solid: solid.Box(box(126, 66, 106, 526, 394, 340))},
		{Name: "sump/water 2", Of: "sump", Role: scene.RoleWater, Solid: solid.Box(box(612, 66, 106, 864, 394, 290))},
	}
}

// pose returns the pose that turns by angle (degrees) about an axis through ref
// and then shifts.
func pose(ref, axis r3.Vec, angle float64, shift r3.Vec) solid.Pose {
	p := solid.Rest
	if angle != 0 {
		p = solid.About(ref, solid.Turned(axis, angle*math.Pi/180))
	}
	p.Shift = r3.Add(p.Shift, shift)
	return p
}

// motions are ways of corner's things, as a passage check would hand them over.
func motions() []scene.Motion {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	sump, skimmer, cup := r3.Vec{X: 495, Y: 230, Z: 300}, r3.Vec{X: 315, Y: 230, Z: 250}, r3.Vec{X: 250, Y: 230, Z: 465}
	half := pose(cup, x, 180, r3.Vec{Y: -500})
	half.Turn = quat.Scale(-1, half.Turn) // the same pose, written the other way
	return []scene.Motion{
		{
			Thing: "sump", Through: "doors", Parts: []string{"sump/outside", "sump/rim"},
			Absent: []string{"skimmer", "return pump", "heater", "float", "display"},
			Path: solid.Path{Ref: sump, Poses: []solid.Pose{
				pose(sump, y, 0, r3.Vec{Y: -700, Z: 60}),
				pose(sump, y, 25, r3.Vec{Y: -700, Z: 60}),
				pose(sump, y, 25, r3.Vec{X: 10, Y: -20, Z: 60}),
				pose(sump, y, 0, r3.Vec{Y: -20, Z: 60}),
				pose(sump, y, 0, r3.Vec{Z: 60}),
				solid.Rest,
			}},
			Moves:  []string{"tip the right end down 25°", "slide it in", "level it", "set it down"},
			MoveOf: []int{0, 1, 2, 3, 3},
		},
		{
			Thing: "skimmer", Through: "doors", Parts: []string{"skimmer/body", "skimmer/pump"},
			Absent: []string{"skimmer/cup", "heater"},
			Path: solid.Path{Ref: skimmer, Poses: []solid.Pose{
				pose(skimmer, x, 100, r3.Vec{Y: -600, Z: 200}),
				pose(skimmer, x, 100, r3.Vec{Y: -100, Z: 200}),
				pose(skimmer, z, 0, r3.Vec{Y: -10, Z: 200}),
				solid.Rest,
			}},
		},
		{
			Thing: "skimmer/cup", Through: "doors", Parts: []string{"skimmer/cup"},
			Path: solid.Path{Ref: cup, Poses: []solid.Pose{
				pose(cup, z, 20, r3.Vec{Y: -900}),
				half,
				pose(cup, z, 170, r3.Vec{Y: -10, Z: 90}),
				pose(cup, z, 0, r3.Vec{Z: 90}),
				solid.Rest,
			}},
		},
	}
}

func marks() []scene.Mark {
	return []scene.Mark{
		{From: r3.Vec{X: 315, Y: 230, Z: 540}, To: r3.Vec{X: 315, Y: 230, Z: 802}, Label: "262 mm over the cup", Parts: []string{"skimmer/cup"}},
		{From: r3.Vec{X: 78, Y: 5, Z: 200}, To: r3.Vec{X: 78, Y: 5, Z: 200}},
	}
}
