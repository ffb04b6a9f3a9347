package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// known returns the gap of a closed form.
func known(dist float64, onA, onB, normal r3.Vec) Gap {
	return Gap{Dist: dist, Low: dist, High: dist, OnA: onA, OnB: onB, Normal: normal}
}

// between returns the gap from point p to point q. Where they are one but for
// rounding, across is the normal.
func between(p, q, across r3.Vec) Gap {
	d := r3.Sub(q, p)
	l := math.Sqrt(r3.Norm2(d))
	if l > rounding*(absSum(p)+absSum(q)) {
		return known(l, p, q, r3.Scale(1/l, d))
	}
	return known(r3.Dot(d, across), p, q, across)
}

// fromPoint returns the gap from a point to the core of b; ok is false where
// there is no closed form.
func fromPoint(p r3.Vec, b *body) (g Gap, ok bool) {
	switch b.form {
	case point:
		return between(p, b.a, r3.Vec{X: 1}), true
	case stick:
		u, _ := across(r3.Unit(r3.Sub(b.b, b.a)))
		return pointStick(p, b, u), true
	case discs:
		return pointDiscs(p, b), true
	case oblong:
		return pointBox(p, b, -1), true
	case cornered, foreign:
	}
	return g, false
}

// pointBox returns the gap from a point to a box, or to the box without end
// along its axis free, where that is not −1.
func pointBox(p r3.Vec, b *body, free int) Gap {
	d := r3.Sub(p, b.a)
	var way, face r3.Vec // out to p; out of the face nearest p
	outside := 0.0
	depth := math.Inf(-1)
	for i, h := range b.half {
		if i == free {
			continue
		}
		l := math.Sqrt(r3.Norm2(h))
		u := r3.Scale(1/l, h)
		x := r3.Dot(d, u)
		if x < 0 {
			x, u = -x, r3.Scale(-1, u)
		}
		x -= l
		if x > 0 {
			outside += x * x
			way = r3.Add(way, r3.Scale(x, u))
		}
		if x > depth {
			depth, face = x, u
		}
	}
	if outside > 0 {
		depth = math.Sqrt(outside)
		face = r3.Scale(1/depth, way)
	}
	return known(depth, p, r3.Sub(p, r3.Scale(depth, face)), r3.Scale(-1, face))
}

func pointDiscs(p r3.Vec, b *body) Gap {
	d := r3.Sub(p, b.a)
	z := r3.Dot(d, b.axis)
	side := acrossPart(d, b.axis)
	y := math.Sqrt(r3.Norm2(side))
	out, _ := across(b.axis)
	if y > rounding*absSum(d) {
		out = r3.Scale(1/y, side)
	}
	// In the half plane of the axis and p the core is a trapezium.
	l := r3.Norm(r3.Sub(b.b, b.a))
	length := math.Hypot(l, b.rb-b.ra)
	nz, ny := (b.ra-b.rb)/length, l/length
	slant := z*nz + (y-b.ra)*ny
	along := z*ny - (y-b.ra)*nz
	facing := func(height, z, y float64) Gap {
		n := r3.Add(r3.Scale(z, b.axis), r3.Scale(y, out))
		return known(height, p, r3.Sub(p, r3.Scale(height, n)), r3.Scale(-1, n))
	}
	switch {
	case z <= 0 && y <= b.ra:
		return facing(-z, -1, 0)
	case z >= l && y <= b.rb:
		return facing(z-l, 1, 0)
	case slant >= 0 && along >= 0 && along <= length:
		return facing(slant, nz, ny)
	case slant < 0 && z > 0 && z < l:
		switch max(slant, -z, z-l) {
		case slant:
			return facing(slant, nz, ny)
		case -z:
			return facing(-z, -1, 0)
		}
		return facing(z-l, 1, 0)
	}
	ez, ey := z, y-b.ra
	if along > length/2 {
		ez, ey = z-l, y-b.rb
	}
	e := math.Hypot(ez, ey)
	return facing(e, ez/e, ey/e)
}

// pointStick returns the gap from a point to a segment. Where they touch, across
// is the normal.
func pointStick(p r3.Vec, b *body, across r3.Vec) Gap {
	k, l := nearSegment(r3.Sub(b.a, p), r3.Sub(b.b, p))
	q := r3.Add(r3.Scale(k, b.a), r3.Scale(l, b.b))
	g := between(p, q, across)
	if k > 0 && l > 0 {
		// What rounding left along the segment would count at its ends.
		d := r3.Sub(b.b, b.a)
		g.Normal = r3.Unit(r3.Sub(g.Normal, r3.Scale(r3.Dot(g.Normal, d)/r3.Norm2(d), d)))
	}
	return g
}

// sticks returns the gap between two segments.
func sticks(a, b *body) Gap {
	u, v, w := r3.Sub(a.b, a.a), r3.Sub(b.b, b.a), r3.Sub(b.a, a.a)
	uu, vv := r3.Norm2(u), r3.Norm2(v)
	n := r3.Cross(u, v)
	nn := r3.Norm2(n)
	normal, _ := across(r3.Unit(u))
	if nn > parallel*parallel*uu*vv {
		normal = r3.Scale(1/math.Sqrt(nn), n)
		// Where the lines are nearest, if that is on both segments.
		s, t := r3.Dot(r3.Cross(w, v), n)/nn, r3.Dot(r3.Cross(w, u), n)/nn
		if s > 0 && s < 1 && t > 0 && t < 1 {
			d := r3.Dot(w, normal)
			if d < 0 {
				d, normal = -d, r3.Scale(-1, normal)
			}
			p := r3.Add(a.a, r3.Scale(s, u))
			return known(d, p, r3.Add(p, r3.Scale(d, normal)), normal)
		}
	}
	// Otherwise an end of one is nearest.
	best := pointStick(a.a, b, normal)
	for _, g := range [3]Gap{
		pointStick(a.b, b, normal), pointStick(b.a, a, normal).swapped(), pointStick(b.b, a, normal).swapped(),
	} {
		if g.Dist < best.Dist {
			best = g
		}
	}
	return best
}

// upright returns the gap between a cylinder and a cylinder or box with the
// same axis; ok is false for others. Both are then a cross-section times a
// length, and the gaps across and along the axis are independent.
func upright(a, b *body) (g Gap, ok bool) {
	if a.ra != a.rb {
		return g, false
	}
	// along and over are the gaps along the axis, going up, and across it, going
	// sideways. in is how far sideways from a's axis both have a point, if they
	// overlap across it.
	var lo, hi, over, in float64
	var side r3.Vec
	switch b.form {
	case discs:
		if b.ra != b.rb || math.Abs(r3.Norm2(r3.Cross(a.axis, b.axis))) > aligned*aligned {
			return g, false
		}
		lo, hi = r3.Dot(b.a, a.axis), r3.Dot(b.b, a.axis)
		lo, hi = min(lo, hi), max(lo, hi)
		d := acrossPart(r3.Sub(b.a, a.a), a.axis)
		l := math.Sqrt(r3.Norm2(d))
		side, _ = across(a.axis)
		if l > rounding*(absSum(a.a)+absSum(b.a)) {
			side = r3.Scale(1/l, d)
		}
		over, in = l-a.ra-b.ra, max(0, l-b.ra)
	case oblong:
		k := -1
		for i, h := range b.half {
			if r3.Norm2(r3.Cross(a.axis, h)) <= aligned*aligned*r3.Norm2(h) {
				k = i
			}
		}
		if k < 0 {
			return g, false
		}
		m, h := r3.Dot(b.a, a.axis), math.Sqrt(r3.Norm2(b.half[k]))
		lo, hi = m-h, m+h
		q := pointBox(a.a, b, k)
		side = q.Normal
		over, in = q.Dist-a.ra, max(0, q.Dist)
	case point, stick, cornered, foreign:
		return g, false
	}
	za, zb := r3.Dot(a.a, a.axis), r3.Dot(a.b, a.axis)
	up, end := a.axis, a.b
	along := lo - zb
	if za-hi > along {
		along, up, end = za-hi, r3.Scale(-1, a.axis), a.a
	}
	switch {
	case along > 0 && over > 0:
		d := math.Hypot(along, over)
		n := r3.Add(r3.Scale(along/d, up), r3.Scale(over/d, side))
		p := r3.Add(end, r3.Scale(a.ra, side))
		return known(d, p, r3.Add(p, r3.Scale(d, n)), n), true
	case along >= over:
		p := r3.Add(end, r3.Scale(in, side))
		return known(along, p, r3.Add(p, r3.Scale(along, up)), up), true
	}
	z := (max(za, lo)+min(zb, hi))/2 - za
	p := r3.Add(a.a, r3.Add(r3.Scale(z, a.axis), r3.Scale(a.ra, side)))
	return known(over, p, r3.Add(p, r3.Scale(over, side)), side), true
}

// aligned is the sine below which two axes count as one: rounding of a turn.
const aligned = 4e-15
