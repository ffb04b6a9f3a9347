package reach

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// An arm is a posture. Every solid contains what it stands for.
type arm struct {
	grasp
	point r3.Vec // what the hand closes on
	axis  r3.Vec // from the point along the hand to the wrist, of unit length
	roll  float64
	// along is where the forearm goes on from there to the elbow: as axis, where the
	// wrist is not bent.
	along r3.Vec

	hand  []solid.Solid
	shut  []solid.Solid // the hand as it is on its way until it is near
	palm  solid.Solid   // the part of the hand that may not be in what the place is on
	comes []solid.Solid // where the hand was on its way, behind where it ends; none with the wrist bent
	fore  []solid.Solid
	elbow r3.Vec

	shoulder r3.Vec
	upper    [2]solid.Solid
}

// hold returns hand and forearm of p at a point, that came straight along axis
// from travel farther out.
func (p *person) hold(g grasp, point, axis r3.Vec, roll, travel float64) arm {
	a := arm{grasp: g, point: point, axis: axis, roll: roll}
	pose := solid.Pose{Turn: quat.Mul(solid.Turned(axis, roll), upright(axis)), Shift: point}
	along := func(from, to, breadth, thickness float64) solid.Solid {
		if g.round {
			return &solid.Cylinder{A: a.at(from), B: a.at(to), Radius: breadth / 2}
		}
		b, t := breadth/2, thickness/2
		return solid.Box(r3.Box{Min: r3.Vec{X: -b, Y: -t, Z: from}, Max: r3.Vec{X: b, Y: t, Z: to}}).Moved(pose)
	}
	hand := func(s section) []solid.Solid {
		if g.fingers > 0 {
			return []solid.Solid{
				along(-s.lead, g.fingers, g.tip, min(g.tip, s.thickness)), along(g.fingers, g.wrist, s.breadth, s.thickness),
			}
		}
		return []solid.Solid{along(-s.lead, g.wrist, s.breadth, s.thickness)}
	}
	a.hand = hand(section{g.lead, g.breadth, g.thickness})
	a.shut = a.hand
	end := g.wrist + max(travel, 1)
	if !g.opens() {
		a.comes = []solid.Solid{along(g.wrist, end, g.breadth, g.thickness)}
	} else {
		a.shut = hand(g.shut)
		near := min(end, g.wrist+opening)
		a.comes = []solid.Solid{along(g.wrist, near, g.breadth, g.thickness)}
		if near < end {
			a.comes = append(a.comes, along(near, end, g.shut.breadth, g.shut.thickness))
		}
	}
	a.palm = &solid.Capsule{A: a.at(min(g.touch+p.palm, g.wrist-1)), B: a.at(g.wrist), Radius: p.palm}
	wrist, belly := a.at(g.wrist), a.at(g.wrist+foreBelly*p.fore)
	a.along, a.elbow = axis, a.at(g.wrist+p.fore)
	if g.bend != 0 {
		sin, cos := math.Sincos(g.bend)
		a.along = pose.Rotate(r3.Vec{Y: sin, Z: cos})
		belly, a.elbow = r3.Add(wrist, r3.Scale(foreBelly*p.fore, a.along)), r3.Add(wrist, r3.Scale(p.fore, a.along))
		a.comes = nil
	}
	a.fore = []solid.Solid{
		&solid.Cone{A: wrist, B: belly, RadiusA: p.wrist, RadiusB: p.forearm},
		&solid.Capsule{A: belly, B: a.elbow, Radius: p.forearm},
	}
	if g.bend != 0 {
		a.fore = append(a.fore, &solid.Ball{Centre: wrist, Radius: p.wrist}) // between hand and forearm
	}
	return a
}

// at returns the point s along the axis.
func (a *arm) at(s float64) r3.Vec { return r3.Add(a.point, r3.Scale(s, a.axis)) }

// upright returns the shortest turn that takes z to axis, of unit length.
func upright(axis r3.Vec) quat.Number {
	z := r3.Vec{Z: 1}
	across := r3.Cross(z, axis)
	if r3.Norm(across) < 1e-9 {
		if axis.Z > 0 {
			return solid.Rest.Turn
		}
		return solid.Turned(r3.Vec{X: 1}, math.Pi)
	}
	return solid.Turned(across, math.Atan2(r3.Norm(across), axis.Z))
}

// upward returns the roll in which the hand's breadth lies level, so that the wrist bends
// up and down.
func upward(axis r3.Vec) float64 {
	if across := r3.Cross(r3.Vec{Z: 1}, axis); r3.Norm(across) > 1e-9 {
		return math.Atan2(across.Y, across.X)
	}
	return 0
}

// lower returns hand and forearm.
func (a *arm) lower() []solid.Solid { return append(slices.Clone(a.hand), a.fore...) }

// split cuts a path to where the arm is into that on which the hand is shut and the
// rest, on which it is as it is at the place; nil for none.
func (a *arm) split(path solid.Path) (shut, open *solid.Path) {
	if !a.opens() {
		return nil, &path
	}
	n, away := 0, func(i int) float64 { return r3.Norm(r3.Sub(path.Poses[i].Apply(path.Ref), a.point)) }
	for i := range path.Poses {
		if away(i) >= opening-contact {
			n = i
		}
	}
	last := len(path.Poses) - 1
	if n == last { // it never comes so near
		return &path, nil
	}
	poses := slices.Clone(path.Poses[:n+1])
	from, to := path.Poses[n], path.Poses[n+1]
	if d := away(n); d > opening+contact && away(n+1) < contact && path.Angle(n) == 0 {
		// It opens on the straight way there.
		mid := to
		mid.Shift = r3.Add(to.Shift, r3.Scale(opening/d, r3.Sub(from.Shift, to.Shift)))
		poses = append(poses, mid)
		open = &solid.Path{Ref: path.Ref, Poses: append([]solid.Pose{mid}, path.Poses[n+1:]...)}
	} else {
		open = &solid.Path{Ref: path.Ref, Poses: path.Poses[n:]}
	}
	if len(poses) > 1 {
		shut = &solid.Path{Ref: path.Ref, Poses: poses}
	}
	return shut, open
}

// raise adds the upper arm, from the elbow in direction toward of unit length.
func (p *person) raise(a arm, toward r3.Vec) arm {
	a.shoulder = r3.Add(a.elbow, r3.Scale(p.upper, toward))
	belly := r3.Add(a.elbow, r3.Scale(upperBelly*p.upper, toward))
	a.upper[0] = &solid.Cone{A: a.elbow, B: belly, RadiusA: p.forearm, RadiusB: p.upperArm}
	a.upper[1] = &solid.Capsule{A: belly, B: a.shoulder, Radius: p.upperArm}
	return a
}

// used returns how much of the arm from the point on is inside of box.
func (a *arm) used(box r3.Box) float64 {
	used := 0.0
	from := a.point
	joints := []r3.Vec{a.elbow, a.shoulder}
	if a.bend != 0 {
		joints = append([]r3.Vec{a.at(a.wrist)}, joints...)
	}
	for _, to := range joints {
		l := r3.Norm(r3.Sub(to, from))
		used += l * leaves(box, from, to)
		from = to
		if !holds(box, to) {
			break
		}
	}
	return used
}

// leaves returns the fraction of the way from a to b at which it leaves box.
func leaves(box r3.Box, a, b r3.Vec) float64 {
	t := 1.0
	for _, c := range [3][4]float64{
		{a.X, b.X, box.Min.X, box.Max.X}, {a.Y, b.Y, box.Min.Y, box.Max.Y}, {a.Z, b.Z, box.Min.Z, box.Max.Z},
	} {
		from, d := c[0], c[1]-c[0]
		switch {
		case d < 0:
			t = min(t, max(0, (c[2]-from)/d))
		case d > 0:
			t = min(t, max(0, (c[3]-from)/d))
		}
	}
	return t
}

func holds(b r3.Box, p r3.Vec) bool {
	return p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y && p.Z > b.Min.Z && p.Z < b.Max.Z
}
