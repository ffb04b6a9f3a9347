package scene

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// String returns the face as a plan writes it.
func (f Face) String() string {
	return [...]string{"front", "back", "left", "right", "top", "bottom"}[f]
}

// Inside returns the room between the cabinet's walls: down to the inside
// bottom, or to the room floor where there is none, and up to the underside of
// the top. An open face bounds it where the outside is.
func (c *Cabinet) Inside() r3.Box {
	b := boxOf(c.Left.Thickness, c.Front.Thickness, 0,
		c.Width-c.Right.Thickness, c.Depth-c.Back.Thickness, c.Height-c.Lid.Thickness)
	if c.Bottom != nil {
		b.Min.Z = nanometre(c.Bottom.Up.MM())
	}
	return b
}

// Panels returns the cabinet's walls, top and inside bottom with the holes of
// the openings cut out: boxes that do not overlap. Front and back cover the
// edges of the sides, the top covers all of them, and the inside bottom lies
// between the walls.
//
// Of a wall with an assumed thickness only the outside face is sure, of an
// inside bottom only the upper face. Behind a hole in such a wall nothing is:
// the hole may go on where another panel is drawn.
func (c *Cabinet) Panels() []Part {
	w, d, h := c.Width, c.Depth, c.Height-c.Lid.Thickness
	front, back := c.Front.Thickness, d-c.Back.Thickness
	walls := []struct {
		face    Face
		box     r3.Box
		assumed bool
	}{
		{Front, boxOf(0, 0, 0, w, front, h), c.Front.Assumed},
		{Back, boxOf(0, back, 0, w, d, h), c.Back.Assumed},
		{Left, boxOf(0, front, 0, c.Left.Thickness, back, h), c.Left.Assumed},
		{Right, boxOf(w-c.Right.Thickness, front, 0, w, back, h), c.Right.Assumed},
		{Top, boxOf(0, 0, h, w, d, c.Height), c.Lid.Assumed},
	}
	holes := make([]region, len(c.Openings))
	for i := range c.Openings {
		holes[i] = region{c.Openings[i].Name, rounded(c.Openings[i].Hole)}
	}
	open := c.behindAssumed()
	g := gathering{of: "cabinet"}
	add := func(r region, measured Face, assumed bool) {
		for _, piece := range r.without(holes...) {
			sure := piece.box
			switch {
			case slices.ContainsFunc(open, func(b r3.Box) bool { return overlap(b, piece.box) }):
				sure = r3.Box{}
			case assumed:
				sure = common(sure, face(r.box, measured))
			}
			g.add(piece.name, RolePanel, piece.box, sure)
		}
	}
	for _, wall := range walls {
		add(region{wall.face.String(), wall.box}, wall.face, wall.assumed)
	}
	if c.Bottom != nil {
		b := c.Inside()
		b.Max.Z = b.Min.Z
		b.Min.Z = nanometre((c.Bottom.Up - c.Bottom.Thickness).MM())
		add(region{"inside bottom", b}, Top, c.Bottom.Assumed)
	}
	return g.parts
}

// behindAssumed returns the holes in walls of assumed thickness, prolonged to the
// middle of the cabinet.
func (c *Cabinet) behindAssumed() []r3.Box {
	middle := r3.Vec{X: c.Width.MM() / 2, Y: c.Depth.MM() / 2, Z: c.Height.MM() / 2}
	var out []r3.Box
	for i := range c.Openings {
		o := &c.Openings[i]
		if !c.Wall(o.Side).Assumed {
			continue
		}
		f := facingOf(o.Side)
		b := f.of(o.Hole)
		b.Min.Z = r3.Dot(middle, f.out)
		out = append(out, f.box(b))
	}
	return out
}

// Fixed reports whether a place measured from these inside faces is known: not
// where one of their walls has an assumed thickness. An axis without a face is
// centred between two walls, or on the ground, which was measured.
func (c *Cabinet) Fixed(from []Face) bool {
	used := slices.Clone(from)
	for _, axis := range [][2]Face{{Left, Right}, {Front, Back}} {
		if !slices.Contains(from, axis[0]) && !slices.Contains(from, axis[1]) {
			used = append(used, axis[:]...)
		}
	}
	return !slices.ContainsFunc(used, func(f Face) bool { return c.Wall(f).Assumed })
}

// Wall returns the panel on a side; there is none at the bottom, where
// InsideBottom is.
func (c *Cabinet) Wall(side Face) Panel {
	switch side {
	case Front:
		return c.Front
	case Back:
		return c.Back
	case Left:
		return c.Left
	case Right:
		return c.Right
	case Top:
		return c.Lid
	case Bottom:
	}
	return Panel{Open: true}
}

// Opening returns the opening of that name.
func (c *Cabinet) Opening(name string) (*Opening, bool) {
	for i := range c.Openings {
		if c.Openings[i].Name == name {
			return &c.Openings[i], true
		}
	}
	return nil, false
}
