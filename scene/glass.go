package scene

import (
	"cmp"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/unit"
)

// insideOf returns the room within the glass of an open tank.
func insideOf(outside r3.Box, glass unit.Length) r3.Box {
	t := glass.MM()
	return boxOf(unit.Length(outside.Min.X+t), unit.Length(outside.Min.Y+t), unit.Length(outside.Min.Z+t),
		unit.Length(outside.Max.X-t), unit.Length(outside.Max.Y-t), unit.Length(outside.Max.Z))
}

// panesOf returns the five panes of an open tank: the bottom under all of the
// others, front and back as wide as the tank, left and right between them. Of a
// pane with an assumed thickness only the outside face is sure.
func panesOf(of string, outside r3.Box, glass unit.Length, assumed bool) []Part {
	outside = rounded(outside)
	in := insideOf(outside, glass)
	bottom, front, back, left, right := outside, outside, outside, outside, outside
	bottom.Max.Z = in.Min.Z
	front.Min.Z, front.Max.Y = in.Min.Z, in.Min.Y
	back.Min.Z, back.Min.Y = in.Min.Z, in.Max.Y
	left.Min, left.Max = in.Min, r3.Vec{X: in.Min.X, Y: in.Max.Y, Z: in.Max.Z}
	left.Min.X = outside.Min.X
	right.Min, right.Max = r3.Vec{X: in.Max.X, Y: in.Min.Y, Z: in.Min.Z}, in.Max
	right.Max.X = outside.Max.X
	g := gathering{of: of}
	for _, p := range []struct {
		face Face
		box  r3.Box
	}{{Bottom, bottom}, {Front, front}, {Back, back}, {Left, left}, {Right, right}} {
		sure := p.box
		if assumed {
			sure = face(sure, p.face)
		}
		g.add(p.face.String()+" pane", RoleGlass, p.box, sure)
	}
	return g.parts
}

// Inside returns the room within the display's glass, up to its brim.
func (d *Display) Inside() r3.Box { return insideOf(d.Box, d.Glass) }

// Panes returns the display's five panes.
func (d *Display) Panes() []Part { return panesOf("display", d.Box, d.Glass, d.GlassAssumed) }

// Contents returns the display's sand and the water above it, for pictures.
func (d *Display) Contents() []Part {
	sand := d.Inside()
	sand.Max.Z = nanometre(sand.Min.Z + d.Sand.MM())
	g := gathering{of: "display"}
	g.add("sand", RoleSand, sand, sand)
	if d.Water != nil {
		water := d.Inside()
		water.Max.Z = nanometre(water.Min.Z + d.Water.MM())
		water.Min.Z = sand.Max.Z
		g.add("water", RoleWater, water, water)
	}
	return g.parts
}

// Inside returns the room within the sump's glass, up to its brim.
func (s *Sump) Inside() r3.Box { return insideOf(s.Box, s.Glass) }

// across returns the slice of the sump's inside between two distances from the
// inside of the inlet end.
func (s *Sump) across(from, to unit.Length) r3.Box {
	b := s.Inside()
	switch s.Inlet {
	case Left:
		b.Min.X, b.Max.X = b.Min.X+from.MM(), b.Min.X+to.MM()
	case Right:
		b.Min.X, b.Max.X = b.Max.X-to.MM(), b.Max.X-from.MM()
	case Front:
		b.Min.Y, b.Max.Y = b.Min.Y+from.MM(), b.Min.Y+to.MM()
	case Back:
		b.Min.Y, b.Max.Y = b.Max.Y-to.MM(), b.Max.Y-from.MM()
	case Top, Bottom:
	}
	return rounded(b)
}

// Length returns the inside length of the sump along the flow.
func (s *Sump) Length() unit.Length {
	b := s.Inside()
	if s.Inlet == Left || s.Inlet == Right {
		return unit.Length(nanometre(b.Max.X - b.Min.X))
	}
	return unit.Length(nanometre(b.Max.Y - b.Min.Y))
}

// Panes returns the sump as it stands: panes, baffles, braces, rim and foot,
// which do not overlap. Baffles are counted in the order the water meets them.
//
// Without a measured glass thickness nothing inside is sure, since places there
// are measured from the inside faces. Of a baffle with an assumed thickness only
// the face toward the inlet is sure, of such a brace the upper one.
func (s *Sump) Panes() []Part {
	g := gathering{of: "sump", parts: panesOf("sump", s.Box, s.Glass, s.GlassAssumed)}
	in := s.Inside()
	inside := func(r region, role Role, measured Face, assumed bool) {
		sure := r.box
		switch {
		case s.GlassAssumed:
			sure = r3.Box{}
		case assumed:
			sure = face(sure, measured)
		}
		g.add(r.name, role, r.box, sure)
	}
	var crossing []region // what the rim inside is cut for
	for i, f := range s.inOrder() {
		b := s.across(f.At, f.At+f.Thickness)
		b.Min.Z, b.Max.Z = nanometre(in.Min.Z+f.Gap.MM()), nanometre(in.Min.Z+f.Top.MM())
		r := region{"baffle " + strconv.Itoa(i+1), b}
		inside(r, RoleBaffle, s.Inlet, f.Assumed)
		crossing = append(crossing, r)
	}
	for i, f := range s.Braces {
		b := s.across(f.At, f.At+f.Width)
		b.Min.Z = nanometre(b.Max.Z - f.Thickness.MM())
		r := region{"brace " + strconv.Itoa(i+1), b}
		inside(r, RoleTrim, Top, f.Assumed)
		crossing = append(crossing, r)
	}
	if s.Rim != nil {
		outer, glass, inner, hole := s.trimmed(*s.Rim, Top), rounded(s.Box), in, in
		glass.Min.Z, inner.Min.Z = outer.Min.Z, outer.Min.Z
		hole.Min.X, hole.Min.Y = nanometre(in.Min.X+s.Rim.In.MM()), nanometre(in.Min.Y+s.Rim.In.MM())
		hole.Max.X, hole.Max.Y = nanometre(in.Max.X-s.Rim.In.MM()), nanometre(in.Max.Y-s.Rim.In.MM())
		for _, r := range ring("rim", outer, glass) {
			g.add(r.name, RoleTrim, r.box, s.Rim.sure(r.box, Top))
		}
		within := func(r region) {
			if s.Rim.Assumed {
				g.add(r.name, RoleTrim, r.box, r3.Box{})
				return
			}
			inside(r, RoleTrim, Top, false)
		}
		for _, r := range ring("rim inside", inner, hole) {
			for _, piece := range r.without(crossing...) {
				within(piece)
			}
		}
		glass.Min.Z, glass.Max.Z = glass.Max.Z, outer.Max.Z
		hole.Min.Z, hole.Max.Z = glass.Min.Z, glass.Max.Z
		for _, r := range ring("rim over the glass", glass, hole) {
			within(r)
		}
	}
	if s.Foot != nil {
		outer, glass := s.trimmed(*s.Foot, Bottom), rounded(s.Box)
		glass.Max.Z = outer.Max.Z
		for _, r := range ring("foot", outer, glass) {
			g.add(r.name, RoleTrim, r.box, s.Foot.sure(r.box, Bottom))
		}
		glass.Min.Z, glass.Max.Z = outer.Min.Z, glass.Min.Z
		hole := in
		hole.Min.Z, hole.Max.Z = glass.Min.Z, glass.Max.Z
		for _, r := range ring("foot under the glass", glass, hole) {
			g.add(r.name, RoleTrim, r.box, r3.Box{})
		}
	}
	return s.placed(g.parts)
}

// sure returns what is known of a piece b of the trim's outside: the face at its
// end alone where the trim is assumed.
func (t *Trim) sure(b r3.Box, end Face) r3.Box {
	if t.Assumed {
		return face(b, end)
	}
	return b
}

// placed returns parts with nothing sure where the sump's place is assumed.
func (s *Sump) placed(parts []Part) []Part {
	if s.Assumed {
		for i := range parts {
			parts[i].Sure = nil
		}
	}
	return parts
}

// ring returns the four bars between two boxes of one height: left and right
// as long as the outer box, front and back between them.
func ring(name string, outer, inner r3.Box) []region {
	left, right, front, back := outer, outer, outer, outer
	left.Max.X, right.Min.X = inner.Min.X, inner.Max.X
	front.Min.X, front.Max.X, front.Max.Y = inner.Min.X, inner.Max.X, inner.Min.Y
	back.Min.X, back.Max.X, back.Min.Y = inner.Min.X, inner.Max.X, inner.Max.Y
	return []region{{name + " front", front}, {name + " back", back}, {name + " left", left}, {name + " right", right}}
}

// trimmed returns the box round a trim at the top or bottom of the sump.
func (s *Sump) trimmed(t Trim, at Face) r3.Box {
	b, x, y := s.Box, t.Out.MM(), (t.Out + t.More).MM()
	if at == Top {
		b.Min.Z, b.Max.Z = b.Max.Z-t.Height.MM(), b.Max.Z+t.Beyond.MM()
	} else {
		b.Min.Z, b.Max.Z = b.Min.Z-t.Beyond.MM(), b.Min.Z+t.Height.MM()
	}
	return boxOf(unit.Length(b.Min.X-x), unit.Length(b.Min.Y-y), unit.Length(b.Min.Z),
		unit.Length(b.Max.X+x), unit.Length(b.Max.Y+y), unit.Length(b.Max.Z))
}

// Carried returns the sump as it is carried in: its outside box, rim and foot,
// each solid and closed. They overlap each other.
func (s *Sump) Carried() []Part {
	g := gathering{of: "sump"}
	box := rounded(s.Box)
	g.add("outside", RoleGlass, box, box)
	if s.Rim != nil {
		b := s.trimmed(*s.Rim, Top)
		g.add("rim", RoleTrim, b, s.Rim.sure(b, Top))
	}
	if s.Foot != nil {
		b := s.trimmed(*s.Foot, Bottom)
		g.add("foot", RoleTrim, b, s.Foot.sure(b, Bottom))
	}
	return s.placed(g.parts)
}

// A Space is one room of the sump between two baffles or a baffle and an end.
type Space struct {
	Number   int         // of the chamber, from the inlet; 0 for a slot of a bubble trap
	From, To unit.Length // from the inside of the inlet end
	Box      r3.Box      // inside, from the inside bottom to the brim
	In, Out  *Baffle     // where water comes in and leaves; nil at an end of the sump
}

// slot is the length below which a space beside a raised baffle is a slot of a
// bubble trap: 3 in, counted as 75 mm so that either rule of thumb reads alike.
const slot = 75 * unit.Millimetre

// inOrder returns the baffles in the order the water meets them.
func (s *Sump) inOrder() []Baffle {
	return slices.SortedStableFunc(slices.Values(s.Baffles), func(a, b Baffle) int { return cmp.Compare(a.At, b.At) })
}

// Spaces returns the spaces between the baffles in the order the water meets
// them. One under 3 in (75 mm) long beside a raised baffle is a slot of a bubble
// trap; every other one is a chamber, numbered from the inlet.
func (s *Sump) Spaces() []Space {
	baffles := s.inOrder()
	var spaces []Space
	chambers := 0
	for i := range len(baffles) + 1 {
		sp := Space{To: s.Length()}
		if i > 0 {
			sp.In = &baffles[i-1]
			sp.From = sp.In.At + sp.In.Thickness
		}
		if i < len(baffles) {
			sp.Out = &baffles[i]
			sp.To = sp.Out.At
		}
		if sp.To <= sp.From {
			continue
		}
		raised := sp.In != nil && sp.In.Gap > 0 || sp.Out != nil && sp.Out.Gap > 0
		if !raised || sp.To-sp.From >= slot {
			chambers++
			sp.Number = chambers
		}
		sp.Box = s.across(sp.From, sp.To)
		spaces = append(spaces, sp)
	}
	return spaces
}

// Chamber returns the chamber of that number, the first after the inlet being 1.
func (s *Sump) Chamber(number int) (Space, bool) {
	for _, sp := range s.Spaces() {
		if number > 0 && sp.Number == number {
			return sp, true
		}
	}
	return Space{}, false
}
