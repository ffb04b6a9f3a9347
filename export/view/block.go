package view

import (
	"math"

	"undercroft/scene/unit"
)

// A block is what stands at the foot of a picture.
type block struct {
	title   string  // the plan's
	name    string  // of the picture
	note    string  // how it is seen
	caution string  // "" for none
	scale   float64 // px per mm for a scale bar; 0 draws none
	units   unit.System
}

// layout returns the frame of the sheet, the lines of the caution, and how far
// down the block and its lower part begin.
func (s *sheet) layout(b block) (edge rect, caution []string, top, low float64) {
	u := s.unit
	edge = s.all().grow(-14 * u)
	caution = s.wrap(b.caution, typeface{false, sizeSmall}, edge.w()-28*u)
	low = edge.y1
	if len(caution) > 0 {
		low -= float64(len(caution))*27*u + 10*u
	}
	return edge, caution, low - 74*u, low
}

// room returns the room that b leaves for drawing, in whole pixels.
func (s *sheet) room(b block) rect {
	edge, _, top, _ := s.layout(b)
	r := rect{edge.x0, edge.y0, edge.x1, top}.grow(-4 * s.unit)
	return rect{math.Ceil(r.x0), math.Ceil(r.y0), math.Floor(r.x1), math.Floor(r.y1)}
}

// foot draws the frame and the block.
func (s *sheet) foot(b block) {
	u := s.unit
	edge, caution, top, low := s.layout(b)
	title, name, text := typeface{true, sizeText}, typeface{false, sizeText}, typeface{false, sizeSmall}
	pad := 14 * u
	s.box(edge, 1.4, ink)
	s.line(point{edge.x0, top}, point{edge.x1, top}, 1.4, ink)
	if len(caution) > 0 {
		s.line(point{edge.x0, low}, point{edge.x1, low}, 0.9, ink)
		for i, l := range caution {
			s.text(point{edge.x0 + pad, low + (26+27*float64(i))*u}, l, text, ink)
		}
	}
	right := edge.x1 - 330*u
	s.line(point{right, top}, point{right, low}, 0.9, ink)
	w := right - edge.x0 - 2*pad
	head := s.fitted(b.name, title, w)
	s.text(point{edge.x0 + pad, top + 30*u}, head, title, ink)
	if rest := w - s.width(head, title) - 26*u; rest > 80*u && b.title != "" {
		t := s.fitted(b.title, name, rest)
		s.text(point{right - pad - s.width(t, name), top + 30*u}, t, name, soft)
	}
	s.text(point{edge.x0 + pad, top + 60*u}, s.fitted(b.note, text, w), text, soft)

	lengths := "lengths in " + map[unit.System]string{unit.Inches: "inches", unit.Millimetres: "millimetres", unit.Centimetres: "centimetres"}[b.units]
	if b.scale == 0 {
		s.textIn(rect{right, top, edge.x1, low}, lengths, text, soft)
		return
	}
	s.text(point{right + pad, top + 60*u}, lengths, text, soft)
	length, label := scaleBar(b.units, 250*u/b.scale)
	x0, y := right+pad, top+22*u
	x1 := x0 + length*b.scale
	const parts = 2
	for i := range parts {
		a, c := x0+(x1-x0)*float64(i)/parts, x0+(x1-x0)*float64(i+1)/parts
		fill := paper
		if i%2 == 0 {
			fill = ink
		}
		s.fill(fill, 1, corners(rect{a, y - 4*u, c, y + 4*u}))
	}
	s.box(rect{x0, y - 4*u, x1, y + 4*u}, 1, ink)
	s.text(point{x1 + 8*u, y + 8*u}, label, text, ink)
}

// scaleBar returns a round length in the plan's units that is no longer than
// most mm, less the room for its label.
func scaleBar(units unit.System, most float64) (mm float64, label string) {
	one := unit.Millimetre
	if units == unit.Inches {
		one = unit.Inch
	}
	n := 0.8 * most / one.MM()
	step := math.Pow(10, math.Floor(math.Log10(n)))
	for _, f := range []float64{5, 2, 1} {
		if f*step <= n {
			step *= f
			break
		}
	}
	l := unit.Length(step) * one
	return l.MM(), units.Length(l)
}
