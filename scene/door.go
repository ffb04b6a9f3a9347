package scene

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A facing is the frame of a person who stands before one side of the cabinet:
// right and up as they see it, out toward them. For the top, seen from the
// front, up is toward the back. right × up = out.
type facing struct{ right, up, out r3.Vec }

func facingOf(side Face) facing {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	minus := func(v r3.Vec) r3.Vec { return r3.Scale(-1, v) }
	switch side {
	case Front:
		return facing{x, z, minus(y)}
	case Back:
		return facing{minus(x), z, y}
	case Left:
		return facing{minus(y), z, minus(x)}
	case Right:
		return facing{y, z, x}
	case Top:
		return facing{x, y, z}
	case Bottom:
		return facing{x, minus(y), minus(z)}
	}
	return facing{}
}

// at returns the point with these coordinates along right, up and out.
func (f facing) at(right, up, out float64) r3.Vec {
	return r3.Add(r3.Scale(right, f.right), r3.Add(r3.Scale(up, f.up), r3.Scale(out, f.out)))
}

// of returns b's extent in the frame.
func (f facing) of(b r3.Box) r3.Box {
	return spanned(
		r3.Vec{X: r3.Dot(b.Min, f.right), Y: r3.Dot(b.Min, f.up), Z: r3.Dot(b.Min, f.out)},
		r3.Vec{X: r3.Dot(b.Max, f.right), Y: r3.Dot(b.Max, f.up), Z: r3.Dot(b.Max, f.out)},
	)
}

// box returns the box of the scene whose extent in the frame is b.
func (f facing) box(b r3.Box) r3.Box {
	return rounded(spanned(f.at(b.Min.X, b.Min.Y, b.Min.Z), f.at(b.Max.X, b.Max.Y, b.Max.Z)))
}

// spanned returns the box between two opposite corners in any order.
func spanned(a, b r3.Vec) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)},
		Max: r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)},
	}
}

// A leaf is one leaf of a door, closed.
type leaf struct {
	name  string
	hinge Hinge  // not a pair
	box   r3.Box // in the frame of who faces the opening
}

// leaves returns the leaves of o's door, which must have one, closed.
func (o *Opening) leaves() []leaf {
	d := o.Door
	b := facingOf(o.Side).of(o.Hole)
	face := b.Max.Z // the cabinet's outside face
	b.Min.Z = face - d.Thickness.MM()
	if d.Overlay {
		over := d.Overlap.MM()
		b.Min = r3.Vec{X: b.Min.X - over, Y: b.Min.Y - over, Z: face}
		b.Max = r3.Vec{X: b.Max.X + over, Y: b.Max.Y + over, Z: face + d.Thickness.MM()}
	}
	if d.Hinge != HingePair {
		return []leaf{{"leaf", d.Hinge, b}}
	}
	left, right := b, b
	middle := (b.Min.X + b.Max.X) / 2
	left.Max.X, right.Min.X = middle, middle
	return []leaf{{"left leaf", HingeLeft, left}, {"right leaf", HingeRight, right}}
}

// pivot returns the edge about which l turns, as a point on it and the
// direction about which a positive angle opens the leaf outward.
func (l leaf) pivot(f facing) (point, axis r3.Vec) {
	b := l.box
	switch l.hinge {
	case HingeLeft:
		return f.at(b.Min.X, b.Min.Y, b.Max.Z), r3.Scale(-1, f.up)
	case HingeRight:
		return f.at(b.Max.X, b.Min.Y, b.Max.Z), f.up
	case HingeTop:
		return f.at(b.Min.X, b.Max.Y, b.Max.Z), r3.Scale(-1, f.right)
	case HingeBottom:
		return f.at(b.Min.X, b.Min.Y, b.Max.Z), f.right
	case HingePair:
	}
	return r3.Vec{}, r3.Vec{}
}

// opened returns the motion that opens l by an angle.
func (l leaf) opened(f facing, at unit.Angle) solid.Pose {
	point, axis := l.pivot(f)
	return solid.About(point, solid.Turned(axis, float64(at)))
}

// Leaves returns the leaves of o's door, opened by an angle (0: closed); nil
// where it has no door. A leaf turns about its outer front edge on the hinge
// side: for an inset leaf the edge of the hole in the cabinet's outside face,
// for an overlay leaf the edge of the leaf in its own front face.
//
// Sure is what holds whatever the plan leaves out: nothing of an open leaf whose
// angle is not known, and only the measured face of a leaf with an assumed
// thickness.
func (s *Scene) Leaves(o *Opening, at unit.Angle) []Part {
	d := o.Door
	if d == nil {
		return nil
	}
	f := facingOf(o.Side)
	g := gathering{of: o.Name}
	for _, l := range o.leaves() {
		sure := l.box
		switch {
		case !d.AssumedThickness:
		case d.Overlay: // its back lies on the cabinet
			sure.Max.Z = sure.Min.Z + sliver
		default: // its front is flush with the cabinet
			sure.Min.Z = sure.Max.Z - sliver
		}
		g.add(l.name, RoleLeaf, f.box(l.box), f.box(sure))
		if at == 0 || len(g.parts) == 0 {
			continue
		}
		p := &g.parts[len(g.parts)-1]
		turn := l.opened(f, at)
		p.Solid = p.Solid.Moved(turn)
		// An overlay leaf turns about its front, which its thickness places.
		if o.angleKnown() && (!d.AssumedThickness || !d.Overlay) {
			p.Sure = p.Sure.Moved(turn)
		} else {
			p.Sure = nil
		}
	}
	return g.parts
}

// Swing returns the motion that opens the leaf of that part name by an angle, and closes
// it by a negative one; of another name nothing moves.
func (o *Opening) Swing(leaf string, by unit.Angle) solid.Pose {
	if o.Door != nil {
		for _, l := range o.leaves() {
			if o.Name+"/"+l.name == leaf {
				return l.opened(facingOf(o.Side), by)
			}
		}
	}
	return solid.Rest
}

// span returns the width of o's hole across the hinges.
func (o *Opening) span() unit.Length {
	b := facingOf(o.Side).of(o.Hole)
	if o.Door != nil && (o.Door.Hinge == HingeTop || o.Door.Hinge == HingeBottom) {
		return unit.Length(b.Max.Y - b.Min.Y)
	}
	return unit.Length(b.Max.X - b.Min.X)
}

// eaten returns how far each leaf reaches into the hole when the narrowest free
// width is o's clear.
func (o *Opening) eaten() unit.Length {
	c := max(0, o.span()-*o.Door.Clear)
	if o.Door.Hinge == HingePair {
		c /= 2
	}
	return c
}

// angleKnown reports whether the plan says how far the leaves open: by `opens`,
// or by a clear width that the leaves and nothing else make.
func (o *Opening) angleKnown() bool {
	d := o.Door
	if d.Clear == nil {
		return !d.AssumedOpens
	}
	if d.AssumedThickness {
		return false
	}
	c := o.eaten()
	if d.Hinges != nil && d.Hinges.SticksIn >= c {
		return false // the hinges may be what is narrow
	}
	return c > 0 || !d.Overlay // an overlay leaf may open further and leave all of the hole
}

// DoorAngle returns how far o's door stands open on the way in: the angle at
// which the narrowest free width is what `clear` says, else `opens`. Of several
// such angles it is the smallest; without a door it is 0.
//
// A leaf of length L and thickness t, opened by θ, reaches
// t·sin θ + L·max(cos θ, 0) across from its hinge edge, which falls from
// θ = atan(t/L) on.
func (s *Scene) DoorAngle(o *Opening) unit.Angle {
	d := o.Door
	if d == nil {
		return 0
	}
	if d.Clear == nil {
		return d.Opens
	}
	length := o.span().MM()
	if d.Hinge == HingePair {
		length /= 2
	}
	reach, thick := o.eaten().MM(), d.Thickness.MM()
	if d.Overlay {
		reach += d.Overlap.MM() // the hinge edge stands back from the hole
		length += d.Overlap.MM()
		if d.Hinge != HingePair {
			length += d.Overlap.MM()
		}
	}
	if reach < thick {
		return unit.Angle(math.Pi - math.Asin(reach/thick))
	}
	across := math.Hypot(length, thick)
	return unit.Angle(math.Atan2(thick, length) + math.Acos(min(1, reach/across)))
}

// Hinges returns what sticks into o's hole at the hinge side, through the whole
// thickness of the panel (of an open face: through that of the leaf); nil where
// there is nothing.
func (s *Scene) Hinges(o *Opening) []Part {
	d := o.Door
	if d == nil || d.Hinges == nil {
		return nil
	}
	f := facingOf(o.Side)
	hole := f.of(o.Hole)
	assumed := s.Cabinet.Wall(o.Side).Assumed
	if hole.Max.Z == hole.Min.Z {
		hole.Min.Z -= d.Thickness.MM()
		assumed = d.AssumedThickness
	}
	in, half := d.Hinges.SticksIn.MM(), d.Hinges.Tall.MM()/2
	g := gathering{of: o.Name}
	for _, l := range o.leaves() {
		for i, up := range d.Hinges.Up {
			b := hole
			along, across := up.MM()+hole.Min.Y, up.MM()+hole.Min.X
			switch l.hinge {
			case HingeLeft:
				b.Max.X = b.Min.X + in
				b.Min.Y, b.Max.Y = along-half, along+half
			case HingeRight:
				b.Min.X = b.Max.X - in
				b.Min.Y, b.Max.Y = along-half, along+half
			case HingeTop:
				b.Min.Y = b.Max.Y - in
				b.Min.X, b.Max.X = across-half, across+half
			case HingeBottom:
				b.Max.Y = b.Min.Y + in
				b.Min.X, b.Max.X = across-half, across+half
			case HingePair:
			}
			whole := f.box(b)
			sure := whole
			if assumed {
				sure = face(whole, o.Side)
			}
			g.add(l.name+" hinge "+strconv.Itoa(i+1), RoleHinge, whole, sure)
		}
	}
	return g.parts
}
