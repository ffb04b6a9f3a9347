package view

import "math"

// glyph draws the sign of a verdict round c: a disc with a tick for ok, a
// triangle with a stroke for tight, an octagon with a cross for no, a square on
// its corner with a question mark for unsure.
func (s *sheet) glyph(c point, r float64, verdict string) {
	tone := verdictColour(verdict)
	ring := func(n int, turn, r float64) []point {
		out := make([]point, n)
		for i := range out {
			sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
			out[i] = point{c.x + r*cos, c.y + r*sin}
		}
		return out
	}
	at := func(x, y float64) point { return point{c.x + x*r, c.y + y*r} }
	w := 0.2 * r
	switch verdict {
	case "ok":
		s.fill(tone, 1, circle(c, r))
		s.fill(paper, 1, bar(at(-0.5, 0.02), at(-0.12, 0.42), w), bar(at(-0.2, 0.42), at(0.5, -0.38), w))
	case "tight":
		s.fill(tone, 1, ring(3, -math.Pi/2, 1.2*r))
		s.fill(ink, 1, bar(at(0, -0.5), at(0, 0.12), w), bar(at(0, 0.26), at(0, 0.45), w))
	case "no":
		s.fill(tone, 1, ring(8, math.Pi/8, 1.05*r))
		s.fill(paper, 1, bar(at(-0.45, -0.45), at(0.45, 0.45), w), bar(at(-0.45, 0.45), at(0.45, -0.45), w))
	case "unsure":
		s.fill(tone, 1, ring(4, 0, 1.2*r))
		s.textIn(rect{c.x - r, c.y - r, c.x + r, c.y + r}, "?", typeface{true, 1.3 * r / s.unit}, ink)
	}
}
