package space

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// apart bounds from below how far, at any turn of the cell, two points of the body are
// apart along d, one of the axes, that are so at the middle.
func (s *swing) apart(v, d r3.Vec) float64 {
	c := r3.Cross(v, d)
	most := 0.0
	for i := range s.ends {
		u := &s.ends[i]
		most = max(most, math.Abs(u.X*c.X+u.Y*c.Y+u.Z*c.Z))
	}
	return r3.Dot(v, d) - 2*most - 2*s.square*norm(v) - grain
}

// spread appends the depths at which corners of two parts, or of one, are farther apart to
// a side than width, the farther one in layer a and the other in layer b. Two corners turn
// as one: how far they are apart changes by less than what each goes to its side.
func spread(out []span, p, q *turnedPart, side int, a, b *Layer, width float64) []span {
	d := directions[side]
	most := q.farthest(r3.Scale(-1, d))
	if p.farthest(d)+most <= width {
		return out
	}
	for i := range p.corners {
		k := &p.corners[i]
		if r3.Dot(k.at, d)+most <= width {
			continue
		}
		for j := range q.corners {
			l := &q.corners[j]
			between := r3.Sub(k.at, l.at)
			if r3.Dot(between, d) <= width {
				continue
			}
			s := span{
				max(a.Y0-k.at.Y+k.play.Y, b.Y0-l.at.Y+l.play.Y) + margin,
				min(a.Y1-k.at.Y-k.play.Y, b.Y1-l.at.Y-l.play.Y) - margin,
			}
			if !(s.lo < s.hi) || p.swing.apart(between, d) <= width+margin {
				continue
			}
			for _, f := range k.held() {
				for _, g := range l.held() {
					if h := s.meet(f).meet(g); h.lo < h.hi {
						out = append(out, h)
					}
				}
			}
		}
	}
	return out
}

// farthest returns how far the corners go along d at the middle of the cell.
func (p *turnedPart) farthest(d r3.Vec) float64 {
	most := math.Inf(-1)
	for i := range p.corners {
		most = max(most, r3.Dot(p.corners[i].at, d))
	}
	return most
}
