package scene

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/unit"
)

// A Hole is for cords and hoses alone: for everything else, on its way as at
// rest, the wall it is in counts as closed.
type Hole struct {
	Name string
	Side Face
	// Box is the box round the hole, through the whole thickness of its wall.
	Box r3.Box
	// Round tells that the hole is round; otherwise it is all of Box.
	Round bool
	Tape  unit.Length
}

// Size returns the hole's width and height, as seen from before its side; for a
// round hole both are its diameter.
func (h *Hole) Size() (width, height unit.Length) {
	d := r3.Sub(h.Box.Max, h.Box.Min)
	switch h.Side {
	case Left, Right:
		return unit.Length(d.Y), unit.Length(d.Z)
	case Top, Bottom:
		return unit.Length(d.X), unit.Length(d.Y)
	case Front, Back:
	}
	return unit.Length(d.X), unit.Length(d.Z)
}

// Middle returns the middle of the hole.
func (h *Hole) Middle() r3.Vec { return r3.Scale(0.5, r3.Add(h.Box.Min, h.Box.Max)) }

// Hole returns the hole of that name.
func (c *Cabinet) Hole(name string) (*Hole, bool) {
	for i := range c.Holes {
		if c.Holes[i].Name == name {
			return &c.Holes[i], true
		}
	}
	return nil, false
}

// A Cord is the cord or the hose of a thing.
type Cord struct {
	Hose    bool
	Length  *unit.Length    // nil: not given
	Plug    *[3]unit.Length // the box round it; nil: not given
	Brick   *[3]unit.Length // transformer; nil: none, or not given
	Barb    *unit.Length    // a hose's end, across; nil: not given
	Round   *unit.Length    // across cord or hose; nil: not given
	Through []string        // holes it is led through, from the thing on
	To      string          // thing or fixture it is plugged into; "" where it goes on outside
}

// hole tells of a hole for cords and hoses.
func (a *account) hole(h *Hole) {
	w, up := h.Size()
	size := a.Units.Size(w, up)
	if h.Round {
		size = a.length(w) + " round"
	}
	m := h.Middle()
	across := facingOf(h.Side).of(h.Box).Min.X - facingOf(h.Side).of(a.outside()).Min.X
	line := fmt.Sprintf("Hole %q for cords and hoses, the %s: %s, %s from the left edge", h.Name, h.Side, size, a.length(unit.Length(across)))
	if h.Side == Top {
		line += fmt.Sprintf(", %s from the front edge", a.length(unit.Length(h.Box.Min.Y)))
	} else {
		line += fmt.Sprintf(", its middle %s above the house floor", a.length(unit.Length(m.Z)))
	}
	a.say("%s.", line)
}

// cord tells of the cord or hose of a thing.
func (a *account) cord(c *Cord) string {
	if c == nil {
		return ""
	}
	line := "; its cord"
	if c.Hose {
		line = "; its hose"
	}
	if c.Length != nil {
		line += " of " + a.length(*c.Length)
	}
	if len(c.Through) > 0 {
		line += " goes through " + list(c.Through...)
	}
	switch c.To {
	case "":
	case "sump":
		line += " to the sump"
	default:
		line += " to " + c.To
	}
	return line
}
