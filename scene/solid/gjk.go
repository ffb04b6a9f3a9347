package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A simplex has up to four points of the difference b − a, each with the points
// of a and b it comes from, and the weights of its point nearest the origin.
type simplex struct {
	n       int
	w, a, b [4]r3.Vec
	k       [4]float64
}

func (s *simplex) push(a, b r3.Vec) {
	s.w[s.n], s.a[s.n], s.b[s.n] = r3.Sub(b, a), a, b
	s.n++
}

// has tells whether the last point is there twice.
func (s *simplex) has() bool {
	for i := range s.n - 1 {
		if s.w[i] == s.w[s.n-1] {
			return true
		}
	}
	return false
}

// mean returns the weighted mean of p.
func (s *simplex) mean(p *[4]r3.Vec) (m r3.Vec) {
	for i := range s.n {
		m.X += s.k[i] * p[i].X
		m.Y += s.k[i] * p[i].Y
		m.Z += s.k[i] * p[i].Z
	}
	return m
}

// reduce finds the weights and drops the points that have none. It returns true
// if the origin is inside a tetrahedron.
func (s *simplex) reduce() (inside bool) {
	switch s.n {
	case 1:
		s.k[0] = 1
	case 2:
		s.k[0], s.k[1] = nearSegment(s.w[0], s.w[1])
	case 3:
		s.k[0], s.k[1], s.k[2] = nearTriangle(s.w[0], s.w[1], s.w[2])
	case 4:
		if s.tetrahedron() {
			return true
		}
	}
	n := 0
	for i := range s.n {
		if s.k[i] > 0 {
			s.w[n], s.a[n], s.b[n], s.k[n] = s.w[i], s.a[i], s.b[i], s.k[i]
			n++
		}
	}
	s.n = n
	return false
}

// nearSegment returns the weights of the point of pq nearest the origin.
func nearSegment(p, q r3.Vec) (kp, kq float64) {
	d := r3.Sub(q, p)
	t := -r3.Dot(p, d)
	l := r3.Norm2(d)
	switch {
	case t <= 0:
		return 1, 0
	case t >= l:
		return 0, 1
	}
	return 1 - t/l, t / l
}

// nearTriangle returns the weights of the point of pqr nearest the origin.
func nearTriangle(p, q, r r3.Vec) (kp, kq, kr float64) {
	u, v := r3.Sub(q, p), r3.Sub(r, p)
	n := r3.Cross(u, v)
	area := r3.Norm2(n)
	kq, kr = r3.Dot(n, r3.Cross(v, p)), r3.Dot(n, r3.Cross(p, u))
	kp = area - kq - kr
	if kp > 0 && kq > 0 && kr > 0 {
		return kp / area, kq / area, kr / area
	}
	// Nearest on an edge the origin is beyond.
	far := math.Inf(1)
	var bp, bq, br float64
	if kr <= 0 {
		x, y := nearSegment(p, q)
		bp, bq, far = x, y, mixed(x, p, y, q)
	}
	if kq <= 0 {
		x, y := nearSegment(p, r)
		if m := mixed(x, p, y, r); m < far {
			bp, bq, br, far = x, 0, y, m
		}
	}
	if kp <= 0 {
		x, y := nearSegment(q, r)
		if m := mixed(x, q, y, r); m < far {
			bp, bq, br = 0, x, y
		}
	}
	return bp, bq, br
}

// mixed returns |xp + yq|².
func mixed(x float64, p r3.Vec, y float64, q r3.Vec) float64 {
	return r3.Norm2(r3.Vec{X: x*p.X + y*q.X, Y: x*p.Y + y*q.Y, Z: x*p.Z + y*q.Z})
}

// tetrahedron finds the weights of four points, or that the origin is inside.
func (s *simplex) tetrahedron() (inside bool) {
	inside = true
	far := math.Inf(1)
	var best [4]float64
	for out := range 4 {
		i, j, l := (out+1)&3, (out+2)&3, (out+3)&3
		p, q, r := s.w[i], s.w[j], s.w[l]
		n := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
		if -r3.Dot(n, p)*r3.Dot(n, r3.Sub(s.w[out], p)) > 0 {
			continue // on the inner side of this face
		}
		inside = false
		x, y, z := nearTriangle(p, q, r)
		m := r3.Norm2(r3.Vec{
			X: x*p.X + y*q.X + z*r.X, Y: x*p.Y + y*q.Y + z*r.Y, Z: x*p.Z + y*q.Z + z*r.Z,
		})
		if m < far {
			far = m
			best = [4]float64{}
			best[i], best[j], best[l] = x, y, z
		}
	}
	s.k = best
	return inside
}

// rounding is the relative error of coordinates that queries reckon with: a few
// hundred times that of one operation.
const rounding = 1e-13

// closest finds the gap between the cores of a and of b, the latter shifted, if
// they are apart, starting with the direction v from a to b.
//
// It is the algorithm of Gilbert, Johnson and Keerthi (A fast procedure for
// computing the distance between complex objects in three-dimensional space,
// IEEE Journal of Robotics and Automation 4, 1988): High is the distance of a
// simplex in b − a from the origin, Low that of a plane that supports b − a.
func closest(a, b *body, shift, v r3.Vec) (g Gap, apart bool) {
	const steps = 100
	g.Low, g.High = math.Inf(-1), math.Inf(1)
	n := math.Sqrt(r3.Norm2(v))
	if n == 0 {
		v, n = r3.Vec{X: 1}, 1
	}
	var s, t simplex
	var tiny float64
	for range steps {
		d := r3.Scale(1/n, v)
		p, q := a.support(d), r3.Add(shift, b.support(r3.Scale(-1, d)))
		t = s
		t.push(p, q)
		w := t.w[t.n-1]
		if tiny == 0 {
			tiny = rounding * (absSum(p) + absSum(q) + absSum(w))
		}
		if low := r3.Dot(w, d); low > g.Low {
			g.Low, g.Normal = low, d
		}
		if g.High-g.Low <= 1e-2*tiny || t.has() {
			break
		}
		if t.reduce() {
			if g.Low <= tiny {
				return g, false
			}
			break // rounding of a flat tetrahedron: a plane lies between a and b
		}
		u := t.mean(&t.w)
		m := math.Sqrt(r3.Norm2(u))
		if m <= tiny && g.Low <= tiny {
			return g, false
		}
		if m >= g.High {
			break
		}
		s, v, n, g.High = t, u, m, m
	}
	g.OnA, g.OnB = s.mean(&s.a), s.mean(&s.b)
	if g.High-g.Low > tiny {
		g = g.straightened(a, b, shift, &t)
	}
	g.Dist = g.High
	return g, true
}

// straightened raises Low by the normals of the faces of t. Between faces that
// are nearly in contact they are known much better than the way between two
// witness points.
func (g Gap) straightened(a, b *body, shift r3.Vec, t *simplex) Gap {
	for out := range t.n {
		if t.n == 3 && out > 0 {
			break
		}
		i, j, l := (out+1)&3, (out+2)&3, (out+3)&3
		if t.n == 3 {
			i, j, l = 0, 1, 2
		}
		n := r3.Unit(r3.Cross(r3.Sub(t.w[j], t.w[i]), r3.Sub(t.w[l], t.w[i])))
		if r3.Dot(n, g.Normal) < 0 {
			n = r3.Scale(-1, n)
		}
		if low := r3.Dot(shift, n) + separation(a, b, n); low > g.Low {
			g.Low, g.Normal = low, n
		}
	}
	return g
}

// absSum returns the sum of the absolute coordinates of v.
func absSum(v r3.Vec) float64 { return math.Abs(v.X) + math.Abs(v.Y) + math.Abs(v.Z) }
