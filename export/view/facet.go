package view

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// near is the distance in mm within which points of one solid count as one:
// far below what a picture shows, far above rounding.
const near = 1e-5

// A facet is a flat convex polygon, counter-clockwise seen from outside.
type facet struct {
	pts    []r3.Vec
	normal r3.Vec  // unit
	off    float64 // normal·p = off on the facet's plane
	cut    bool    // made by a cut
}

// A shape is a convex part ready to be drawn.
type shape struct {
	part   scene.Part
	facets []facet
	centre r3.Vec
	look   look
}

// shapeOf returns the shape of a part.
func shapeOf(p scene.Part, l look) shape {
	s := shape{part: p, look: l}
	for _, pts := range p.Solid.Faces() {
		if f, ok := facetOf(pts); ok {
			s.facets = append(s.facets, f)
		}
	}
	s.centre = p.Solid.Centroid()
	return s
}

// facetOf returns the facet through pts, false if it has no area to draw.
func facetOf(pts []r3.Vec) (facet, bool) {
	var n, c r3.Vec
	for i, p := range pts {
		// Newell's sum, from the first point to keep the terms small.
		a, b := r3.Sub(p, pts[0]), r3.Sub(pts[(i+1)%len(pts)], pts[0])
		n = r3.Add(n, r3.Cross(a, b))
		c = r3.Add(c, p)
	}
	area := r3.Norm(n)
	if !(area > near*near) {
		return facet{}, false
	}
	n = r3.Scale(1/area, n)
	return facet{pts: pts, normal: n, off: r3.Dot(n, c) / float64(len(pts))}, true
}

// cut returns what of s lies where n·p ≤ d, closed by a facet in the plane,
// and false if nothing does.
func (s shape) cut(n r3.Vec, d float64) (shape, bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, f := range s.facets {
		for _, p := range f.pts {
			h := r3.Dot(n, p) - d
			lo, hi = min(lo, h), max(hi, h)
		}
	}
	switch {
	case !(lo < -near):
		return shape{}, false
	case hi <= near:
		return s, true
	}
	out := s
	out.facets = nil
	var rim []r3.Vec
	for _, f := range s.facets {
		var kept []r3.Vec
		for i, a := range f.pts {
			b := f.pts[(i+1)%len(f.pts)]
			ha, hb := r3.Dot(n, a)-d, r3.Dot(n, b)-d
			if ha <= near {
				kept = append(kept, a)
				if ha >= -near {
					rim = append(rim, a)
				}
			}
			if (ha < -near && hb > near) || (ha > near && hb < -near) {
				p := crossing(a, b, ha, hb)
				kept, rim = append(kept, p), append(rim, p)
			}
		}
		if len(kept) < 3 {
			continue
		}
		if g, ok := facetOf(kept); ok {
			g.cut = f.cut
			out.facets = append(out.facets, g)
		}
	}
	if f, ok := facetOf(around(rim, n)); ok {
		f.cut = true
		out.facets = append(out.facets, f)
	}
	return out, true
}

// crossing returns the point between a and b whose height is 0, the same for
// both directions of the edge.
func crossing(a, b r3.Vec, ha, hb float64) r3.Vec {
	if a.X > b.X || a.X == b.X && (a.Y > b.Y || a.Y == b.Y && a.Z > b.Z) {
		a, b, ha, hb = b, a, hb, ha
	}
	return r3.Add(a, r3.Scale(ha/(ha-hb), r3.Sub(b, a)))
}

// around orders the corners of a convex polygon counter-clockwise about n and
// drops what is there twice.
func around(pts []r3.Vec, n r3.Vec) []r3.Vec {
	if len(pts) < 3 {
		return nil
	}
	var c r3.Vec
	for _, p := range pts {
		c = r3.Add(c, r3.Scale(1/float64(len(pts)), p))
	}
	u, v := frame(n)
	angle := func(p r3.Vec) float64 {
		q := r3.Sub(p, c)
		return math.Atan2(r3.Dot(q, v), r3.Dot(q, u))
	}
	slices.SortStableFunc(pts, func(a, b r3.Vec) int {
		switch x, y := angle(a), angle(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	out := pts[:0:0]
	for _, p := range pts {
		if len(out) == 0 || r3.Norm(r3.Sub(p, out[len(out)-1])) > 10*near {
			out = append(out, p)
		}
	}
	if len(out) > 1 && r3.Norm(r3.Sub(out[0], out[len(out)-1])) <= 10*near {
		out = out[:len(out)-1]
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

// frame returns two unit vectors that make a right-handed frame u, v, n.
func frame(n r3.Vec) (u, v r3.Vec) {
	helper := r3.Vec{X: 1}
	if math.Abs(n.X) > 0.9 {
		helper = r3.Vec{Y: 1}
	}
	u = r3.Unit(r3.Cross(helper, n))
	return u, r3.Cross(n, u)
}

// An edge is where two facets of a shape meet.
type edge struct {
	a, b  r3.Vec
	cut   bool  // borders a cut face
	faces []int // of the shape
}

// sharp is the cosine of the least angle between facets that makes an edge
// visible where it is no outline: 30°.
const sharp = 0.8660254037844386

// edges returns the edges of s to draw for an eye in direction eye: sharp ones
// and outlines, in the order of its facets.
func (s shape) edges(eye r3.Vec) []edge {
	var sides []edge
	at := map[[2]int]int{}
	id := merger{}
	for i, f := range s.facets {
		for j, p := range f.pts {
			q := f.pts[(j+1)%len(f.pts)]
			k := [2]int{id.of(p), id.of(q)}
			if k[0] == k[1] {
				continue
			}
			if k[0] > k[1] {
				k[0], k[1] = k[1], k[0]
			}
			m, ok := at[k]
			if !ok {
				m = len(sides)
				at[k] = m
				sides = append(sides, edge{a: p, b: q})
			}
			e := &sides[m]
			e.faces = append(e.faces, i)
			e.cut = e.cut || f.cut
		}
	}
	var out []edge
	for _, e := range sides {
		if len(e.faces) == 2 {
			f, g := s.facets[e.faces[0]], s.facets[e.faces[1]]
			outline := (r3.Dot(f.normal, eye) > 0) != (r3.Dot(g.normal, eye) > 0)
			if !outline && r3.Dot(f.normal, g.normal) > sharp {
				continue
			}
		}
		out = append(out, e)
	}
	return out
}

// A panel with a hole comes as several boxes side by side. seamless returns the
// edges of shapes[i] less those along which its face goes on in another box of
// the same panel.
func seamless(shapes []shape, i int, edges []edge) []edge {
	s := shapes[i]
	for j, t := range shapes {
		if j == i || t.part.Role != s.part.Role || t.part.Of != s.part.Of || !sameSlab(s, t) {
			continue
		}
		var rest []edge
		for _, e := range edges {
			rest = append(rest, s.without(e, t)...)
		}
		edges = rest
	}
	return edges
}

// sameSlab reports whether two shapes lie between the same two planes, as the
// pieces of one board do. Planes of a cut do not count.
func sameSlab(s, t shape) bool {
	var shared []r3.Vec
	for _, f := range s.facets {
		for _, g := range t.facets {
			if !f.cut && !g.cut && flush(f, g) {
				for _, n := range shared {
					if r3.Dot(n, f.normal) < -1+1e-9 {
						return true
					}
				}
				shared = append(shared, f.normal)
			}
		}
	}
	return false
}

// flush reports whether two facets lie in one plane and face the same way.
func flush(f, g facet) bool {
	return r3.Dot(f.normal, g.normal) > 1-1e-9 && math.Abs(f.off-g.off) < 10*near
}

// without returns what is left of an edge of s where none of its faces goes on
// in t.
func (s shape) without(e edge, t shape) []edge {
	const beyond = 0.01 // mm
	length := r3.Norm(r3.Sub(e.b, e.a))
	dir := r3.Scale(1/length, r3.Sub(e.b, e.a))
	left := [][2]float64{{0, length}}
	for _, i := range e.faces {
		f := s.facets[i]
		away := r3.Cross(dir, f.normal)
		if r3.Dot(away, r3.Sub(f.middle(), e.a)) > 0 {
			away = r3.Scale(-1, away)
		}
		from := r3.Add(e.a, r3.Scale(beyond, away))
		for _, g := range t.facets {
			if !flush(f, g) {
				continue
			}
			lo, hi := g.clip(from, dir)
			var rest [][2]float64
			for _, l := range left {
				if a := [2]float64{l[0], min(l[1], lo)}; a[1] > a[0]+near {
					rest = append(rest, a)
				}
				if b := [2]float64{max(l[0], hi), l[1]}; b[1] > b[0]+near {
					rest = append(rest, b)
				}
			}
			if lo < hi {
				left = rest
			}
		}
	}
	out := make([]edge, len(left))
	for i, l := range left {
		out[i] = e
		out[i].a, out[i].b = r3.Add(e.a, r3.Scale(l[0], dir)), r3.Add(e.a, r3.Scale(l[1], dir))
	}
	return out
}

// middle returns the mean of a facet's corners.
func (f facet) middle() r3.Vec {
	var c r3.Vec
	for _, p := range f.pts {
		c = r3.Add(c, r3.Scale(1/float64(len(f.pts)), p))
	}
	return c
}

// clip returns the part of the line p + t·dir, which runs in the facet's plane,
// within the facet; lo ≥ hi where there is none.
func (f facet) clip(p, dir r3.Vec) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for i, a := range f.pts {
		in := r3.Cross(f.normal, r3.Sub(f.pts[(i+1)%len(f.pts)], a)) // points into the facet
		h, v := r3.Dot(in, r3.Sub(p, a)), r3.Dot(in, dir)
		switch l := r3.Norm(in); {
		case v > 1e-9*l:
			lo = max(lo, -h/v)
		case v < -1e-9*l:
			hi = min(hi, -h/v)
		case h < 0:
			return 0, 0
		}
	}
	return lo, hi
}

// A merger numbers points; those within near get one number.
type merger struct {
	cells map[[3]int64][]int
	pts   []r3.Vec
}

func (m *merger) of(p r3.Vec) int {
	const cell = 4 * near
	k := [3]int64{int64(math.Floor(p.X / cell)), int64(math.Floor(p.Y / cell)), int64(math.Floor(p.Z / cell))}
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			for dz := int64(-1); dz <= 1; dz++ {
				for _, i := range m.cells[[3]int64{k[0] + dx, k[1] + dy, k[2] + dz}] {
					if r3.Norm(r3.Sub(m.pts[i], p)) <= near {
						return i
					}
				}
			}
		}
	}
	if m.cells == nil {
		m.cells = map[[3]int64][]int{}
	}
	m.cells[k] = append(m.cells[k], len(m.pts))
	m.pts = append(m.pts, p)
	return len(m.pts) - 1
}

// pierced returns where the line p + t·dir (unit) is inside s, as an interval
// of t that is empty (in ≥ out) where it misses s.
func (s shape) pierced(p, dir r3.Vec) (in, out float64) {
	in, out = math.Inf(-1), math.Inf(1)
	for _, f := range s.facets {
		h, v := r3.Dot(f.normal, p)-f.off, r3.Dot(f.normal, dir)
		switch {
		case v > 1e-12:
			out = min(out, -h/v)
		case v < -1e-12:
			in = max(in, -h/v)
		case h > 0:
			return 0, 0
		}
	}
	return in, out
}

// chord returns the length of the ray from p in direction dir (unit) inside s.
func (s shape) chord(p, dir r3.Vec) float64 {
	in, out := s.pierced(p, dir)
	return max(0, out-max(in, 0))
}
