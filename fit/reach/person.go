package reach

import (
	"math"

	"undercroft/fit/internal/human"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A person is a hand and an arm, in mm: sections for what must pass, lengths
// for what must reach.
type person struct {
	// flats are the sections, breadth by thickness, in which a flat hand passes:
	// the thumb beside the palm, and the thumb under it.
	flats [2][2]float64
	// fist is the section of a closed hand with little in it.
	fist [2]float64
	// fingers is the section of a hand that holds something by the fingers.
	fingers [2]float64
	// Radii of round sections of the same girth.
	wrist, forearm, upperArm float64
	// Lengths: wrist to fingertip and to the root of the fingers, wrist to the middle of what the hand holds,
	// wrist to elbow, elbow to shoulder.
	hand, palmLength, grip, fore, upper float64
	// palm and closed are the radii of balls that are inside of a flat hand's
	// palm and of a closed hand.
	palm, closed float64
}

// Figures that are in no table of measured people.
const (
	// largeObject is what a hand closes round before it needs objectRoom on
	// every side of it: MIL-STD-1472, arm and hand access, from memory.
	largeObject, objectRoom = 25, 45
	// A flat hand to the wrist, the fingers bent a little: the same figure, from
	// memory; and what two fingers need round what they turn.
	fingersBreadth, fingersThickness, fingersRoom = 100, 55, 50
	// fingertip is how far fingertips go past what they hold: from memory.
	fingertip = 15
	// A closed hand is at least its palm and the bent fingers before it thick: from
	// memory.
	closedThickness = 64
	// oval is how much thinner than round a limb of the same girth may be across:
	// an ellipse of seven to ten is 0.81 of it.
	oval = 0.8
	// The forearm is thickest this far from the wrist to the elbow, the upper arm
	// this far from the elbow to the shoulder; from memory. For an ok both stay
	// so thick from there on.
	foreBelly, upperBelly = 0.65, 0.5
)

// anyone passes as large as a man of the 95th percentile and reaches as far as a
// woman of the 5th, which is the rule of EN 547.
func anyone() person {
	p := person{
		flats: [2][2]float64{
			{human.Either("hand breadth with thumb"), human.Either("hand thickness at palm")},
			{human.Large("hand breadth"), human.Either("hand thickness at thumb")},
		},
		fist:    [2]float64{human.FistBreadth, human.FistThickness},
		fingers: [2]float64{fingersBreadth, fingersThickness},
		wrist:   human.Round("wrist circumference"), forearm: human.Round("forearm circumference, flexed"),
		upperArm: human.Round("biceps circumference, flexed"),
		hand:     human.Hand(), palmLength: human.Short("palm length"), grip: human.Grip(), fore: human.Fore(), upper: human.Upper(),
		closed: closedThickness / 2.,
	}
	p.palm = p.flats[0][1] / 2
	return p
}

// of returns p with the sections and lengths of a person's own measures.
func (p *person) of(h scene.Hand) person {
	thick, long := 1.0, 1.0
	if h.Knuckles != nil {
		thick = h.Knuckles.MM() / p.flats[0][0]
	}
	if h.Elbow != nil {
		long = h.Elbow.MM() / human.Short("forearm-hand length")
	}
	o := *p
	for _, section := range []*[2]float64{&o.flats[0], &o.flats[1], &o.fist, &o.fingers} {
		section[0], section[1] = section[0]*thick, section[1]*thick
	}
	for _, r := range []*float64{&o.wrist, &o.forearm, &o.upperArm, &o.palm, &o.closed} {
		*r *= thick
	}
	for _, l := range []*float64{&o.hand, &o.palmLength, &o.grip, &o.fore, &o.upper} {
		*l *= long
	}
	return o
}

// A grasp is the hand as it is at a place, along the axis of the forearm: it
// begins lead before the point and ends at the wrist behind it.
type grasp struct {
	lead, wrist        float64
	breadth, thickness float64
	round              bool // turns about the forearm: as a cylinder of breadth
	// fingers is how far behind the point fingers of breadth tip, no more than the
	// hand's, reach to the hand; 0: all of it is one section.
	fingers, tip float64
	// closed is how far from the point a ball of radius ball, inside the hand,
	// has its middle at most.
	ball, near float64
	// touch is how far round the point the hand may be in what the place is on.
	touch float64
	// shut is the hand before it opens for what it holds, no larger than it is then.
	shut section
	// bend is by how much the wrist is bent, toward palm or back of the hand.
	bend float64
}

// A section is a box round a hand, that begins lead before its point.
type section struct{ lead, breadth, thickness float64 }

// opens reports whether the hand is larger at the place than on its way there.
func (g *grasp) opens() bool { return g.shut != section{g.lead, g.breadth, g.thickness} }

// closed returns g with the hand shut at the place, too.
func (g *grasp) closed() grasp {
	c := *g
	c.lead, c.breadth, c.thickness = g.shut.lead, g.shut.breadth, g.shut.thickness
	return c
}

// opening is how near to what it holds a hand opens for it, in mm: common practice,
// no source.
const opening = 40.0

// grasps returns the hands that do the task at p, the likeliest first.
func (p *person) grasps(at scene.Place) []grasp {
	switch at.Task {
	case scene.TaskPress:
		var gs []grasp
		for _, f := range p.flats {
			gs = append(gs, grasp{
				wrist: p.hand, breadth: f[0], thickness: f[1],
				ball: p.palm, near: p.hand, touch: f[1], shut: section{0, f[0], f[1]},
			})
		}
		return gs
	case scene.TaskTurn, scene.TaskGrip, scene.TaskPlug, scene.TaskLift:
	}
	g := grasp{
		breadth: p.fist[0], thickness: p.fist[1], wrist: p.grip, lead: p.grip,
		ball: p.closed, near: 2 * p.closed, touch: p.fist[1] / 2, round: at.Task == scene.TaskTurn,
		shut: section{p.grip, p.fist[0], p.fist[1]},
	}
	// Round a handle that swings the hand needs room as round an object so large.
	size := max(at.Size, at.Swing).MM()
	if size > largeObject {
		g.thickness = max(g.thickness, size+2*objectRoom)
		g.breadth = max(g.breadth, g.thickness)
		g.lead = max(g.lead, size/2+objectRoom)
		g.touch = max(g.touch, size/2+objectRoom)
		g.near += size / 2
	}
	gs := []grasp{g}
	// Small things are turned and held by the fingertips, plugs and what lifts off
	// by the fingers.
	small := size <= largeObject && (size > 0 || at.Task == scene.TaskGrip)
	if small || at.Task == scene.TaskPlug || at.Task == scene.TaskLift {
		f := grasp{
			breadth: p.fingers[0], thickness: max(p.fingers[1], size+fingersRoom),
			wrist: p.hand - fingertip, lead: fingertip, round: at.Task == scene.TaskTurn,
			ball: p.palm, near: p.hand, touch: p.hand - p.palmLength,
			fingers: p.hand - p.palmLength - fingertip, tip: min(p.fingers[0], size+fingersRoom),
		}
		f.shut = section{fingertip, f.breadth, p.fingers[1]}
		gs = append(gs, f)
	}
	return gs
}

// bends are by how much a wrist is bent that is: of healthy men it bends by 75 degrees
// either way. Source: D. C. Boone, S. P. Azen, Journal of Bone and Joint Surgery 61-A
// (1979), from memory.
var bends = []float64{-25 * math.Pi / 180, -45 * math.Pi / 180}

// bent returns those of some hands that do not turn about the forearm, with the wrist bent.
func bent(gs []grasp) []grasp {
	var out []grasp
	for _, g := range gs {
		for _, b := range bends {
			if !g.round {
				g.bend = b
				out = append(out, g)
			}
		}
	}
	return out
}

// length returns how much arm there is from the point of g to the shoulder.
func (p *person) length(g *grasp) float64 { return g.wrist + p.fore + p.upper }

// inside returns the radius of a ball that is inside the arm with its middle at
// distance s from the point, or at any greater one.
func (p *person) inside(g *grasp, s float64) float64 {
	wrist, belly, upper := g.wrist, g.wrist+foreBelly*p.fore, g.wrist+p.fore+upperBelly*p.upper
	w, f, u := oval*p.wrist, oval*p.forearm, oval*p.upperArm
	switch {
	case s < wrist:
		return min(g.ball, w)
	case s < belly:
		return w + (f-w)*(s-wrist)/(belly-wrist)
	case s < upper:
		return f
	}
	return max(f, u)
}

// who names what a person's sizes rest on, for the list of sources.
func sources(own bool) []string {
	out := []string{
		"ANSUR II (US Army survey of 2012), public data",
		"EN 547-3 and MIL-STD-1472, thickness of hands and of a closed hand, from memory",
	}
	if own {
		return append(out, "your own hand and forearm; the rest in proportion")
	}
	return append(out, "as large as a 95th percentile man, as short as a 5th percentile woman: the rule of EN 547")
}

// mm is a kernel's number as a length.
func mm(x float64) unit.Length { return unit.Length(x) }
