package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// deepest finds the gap of solids that touch or overlap.
func deepest(a, b Solid) Gap {
	// The polytope grows inside b − a, from a double tetrahedron, where it is
	// nearest the origin (expanding polytope).
	type face struct {
		v [3]corner
		n r3.Vec
		d float64
	}
	make3 := func(p, q, r corner) face {
		n := r3.Unit(r3.Cross(r3.Sub(q.w, p.w), r3.Sub(r.w, p.w)))
		f := face{v: [3]corner{p, q, r}, n: n, d: r3.Dot(n, p.w)}
		if math.IsNaN(f.d) {
			f.d = math.Inf(1)
		}
		return f
	}
	at := func(x, y, z float64) corner { return cornerOf(a, b, r3.Unit(r3.Vec{X: -x, Y: -y, Z: -z})) }
	xp, xn, yp, yn, zp, zn := at(1, 0, 0), at(-1, 0, 0), at(0, 1, 0), at(0, -1, 0), at(0, 0, 1), at(0, 0, -1)
	faces := []face{
		make3(xp, yp, zp), make3(yp, xn, zp), make3(xn, yn, zp), make3(yn, xp, zp),
		make3(yp, xp, zn), make3(xn, yp, zn), make3(yn, xn, zn), make3(xp, yn, zn),
	}
	best := Gap{Low: math.Inf(-1)}
	var f face
	for range 256 {
		k := 0
		for i := range faces {
			if faces[i].d < faces[k].d {
				k = i
			}
		}
		f = faces[k]
		c := cornerOf(a, b, r3.Scale(-1, f.n))
		out := r3.Dot(c.w, f.n)
		if -out > best.Low {
			best.Low, best.Normal = -out, r3.Scale(-1, f.n)
		}
		best.High = -f.d
		if out-f.d < 1e-10 {
			break
		}
		type edge struct{ p, q corner }
		var horizon []edge
		kept := faces[:0:0]
		for _, g := range faces {
			if math.IsInf(g.d, 1) || r3.Dot(g.n, c.w)-g.d <= 1e-12 {
				kept = append(kept, g)
				continue
			}
		next:
			for i := range 3 {
				e := edge{g.v[i], g.v[(i+1)%3]}
				for j, h := range horizon {
					if h.p.w == e.q.w && h.q.w == e.p.w {
						horizon = append(horizon[:j], horizon[j+1:]...)
						continue next
					}
				}
				horizon = append(horizon, e)
			}
		}
		faces = kept
		for _, e := range horizon {
			faces = append(faces, make3(e.p, e.q, c))
		}
	}
	t := triangle(f.v[0], f.v[1], f.v[2])
	best.OnA, best.OnB = t.witness()
	best.Dist = best.Low
	return best
}
