package scene

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/unit"
)

// Dimensions returns the plan's own measures as dimensions for a picture, each
// along one axis and labelled in the plan's units. The ones that matter most
// come first: a picture that has no room for all leaves the last ones out.
func (s *Scene) Dimensions() []Mark {
	d := dimensions{s.Units, nil}
	c := &s.Cabinet
	out := s.outside()
	d.box(out, nil)
	for i := range c.Openings {
		o := &c.Openings[i]
		f := facingOf(o.Side)
		h, edge := f.of(o.Hole), f.of(out)
		z := h.Max.Z
		parts := names(s.Leaves(o, 0))
		d.between(f.at(h.Min.X, h.Min.Y, z), f.at(h.Max.X, h.Min.Y, z), parts)
		d.between(f.at(h.Max.X, h.Min.Y, z), f.at(h.Max.X, h.Max.Y, z), parts)
		if o.OpenFace {
			continue
		}
		d.between(f.at(edge.Min.X, h.Min.Y, z), f.at(h.Min.X, h.Min.Y, z), parts)
		from := edge.Min.Y
		if c.Bottom != nil && o.Side != Top {
			from = c.Bottom.Up.MM()
		}
		d.between(f.at(h.Max.X, from, z), f.at(h.Max.X, h.Min.Y, z), parts)
	}
	if c.Bottom != nil {
		d.between(r3.Vec{}, r3.Vec{Z: c.Bottom.Up.MM()}, []string{"cabinet/inside bottom"})
	}
	if s.Sump != nil {
		d.sump(s.Sump, c.Inside())
	}
	if s.Display != nil {
		d.box(s.Display.Box, names(s.Display.Panes()))
	}
	for _, t := range s.Things() {
		if t.Item == nil || len(t.Parts) == 0 {
			continue
		}
		in := c.Inside()
		if s.Sump != nil && t.Item.Chamber > 0 {
			if sp, ok := s.Sump.Chamber(t.Item.Chamber); ok {
				in = sp.Box
			}
		}
		d.place(boundsOf(t.Parts), in, t.Item.From, names(t.Parts))
	}
	return d.marks
}

// dimensions gathers marks.
type dimensions struct {
	units unit.System
	marks []Mark
}

// between adds a dimension from one point to another; none where they are the
// same.
func (d *dimensions) between(from, to r3.Vec, parts []string) {
	if l := r3.Norm(r3.Sub(to, from)); l > verySame {
		d.marks = append(d.marks, Mark{From: from, To: to, Label: d.units.Length(unit.Length(l)), Parts: parts})
	}
}

// box adds width, depth and height of b along edges at its front and left.
func (d *dimensions) box(b r3.Box, parts []string) {
	lo, hi := b.Min, b.Max
	d.between(lo, r3.Vec{X: hi.X, Y: lo.Y, Z: lo.Z}, parts)
	d.between(lo, r3.Vec{X: lo.X, Y: hi.Y, Z: lo.Z}, parts)
	d.between(lo, r3.Vec{X: lo.X, Y: lo.Y, Z: hi.Z}, parts)
}

// place adds how far b stands from two faces of in: those it was measured from,
// or the nearer ones.
func (d *dimensions) place(b, in r3.Box, from []Face, parts []string) {
	start := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	for _, axis := range [][2]Face{{Left, Right}, {Front, Back}} {
		f := nearer(axis[0], axis[1], b, in, from)
		a, z := start, start
		if axis[0] == Left {
			a.X, z.X = outer(in, f), outer(b, f)
		} else {
			a.Y, z.Y = outer(in, f), outer(b, f)
		}
		d.between(a, z, parts)
	}
}

// sump adds the sump's size and place and its baffles.
func (d *dimensions) sump(s *Sump, in r3.Box) {
	parts := names(s.Carried())
	d.box(s.Box, parts)
	d.place(boundsOf(s.Carried()), in, s.From, parts)
	for i, f := range s.inOrder() {
		b := s.across(0, f.At)
		// On the inside of the front, or of the left end where the water runs
		// to the front or back.
		from, to := b.Min, r3.Vec{X: b.Max.X, Y: b.Min.Y, Z: b.Min.Z}
		if s.Inlet == Front || s.Inlet == Back {
			to = r3.Vec{X: b.Min.X, Y: b.Max.Y, Z: b.Min.Z}
		}
		if s.Inlet == Right || s.Inlet == Back {
			from, to = to, from
		}
		about := []string{"sump/baffle " + strconv.Itoa(i+1)}
		d.between(from, to, about)
		top := to
		top.Z += f.Top.MM()
		d.between(to, top, about)
		gap := to
		gap.Z += f.Gap.MM()
		d.between(to, gap, about)
	}
}

// names returns the names of parts.
func names(parts []Part) []string {
	out := make([]string, len(parts))
	for i, p := range parts {
		out[i] = p.Name
	}
	return out
}
