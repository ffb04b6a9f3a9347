package sheet

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// Views are parallel projections along an axis of the cabinet (ISO 128-3). What
// hides what is computed exactly for convex solids: the part of an edge that one
// hides is one interval. Coordinates are bare mm.

// A frame is how a view is looked at: right and up on paper, out toward the eye.
type frame struct{ right, up, out r3.Vec }

// frameOf returns the frame of someone who stands before a face of the cabinet;
// above it they look down with its front below.
func frameOf(side scene.Face) frame {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	back := func(v r3.Vec) r3.Vec { return r3.Scale(-1, v) }
	switch side {
	case scene.Front:
		return frame{x, z, back(y)}
	case scene.Back:
		return frame{back(x), z, y}
	case scene.Left:
		return frame{back(y), z, back(x)}
	case scene.Right:
		return frame{y, z, x}
	case scene.Top:
		return frame{x, y, z}
	case scene.Bottom:
		return frame{x, back(y), back(z)}
	}
	return frame{x, z, back(y)}
}

// of returns a point's coordinates: to the right, up, and toward the eye. They
// are those of the scene but for order and sign.
func (f frame) of(v r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(v, f.right), Y: r3.Dot(v, f.up), Z: r3.Dot(v, f.out)}
}

// box returns the extent of a box in the frame.
func (f frame) box(b r3.Box) r3.Box {
	p, q := f.of(b.Min), f.of(b.Max)
	return r3.Box{
		Min: r3.Vec{X: min(p.X, q.X), Y: min(p.Y, q.Y), Z: min(p.Z, q.Z)},
		Max: r3.Vec{X: max(p.X, q.X), Y: max(p.Y, q.Y), Z: max(p.Z, q.Z)},
	}
}

// An edge is a line of an object, in a frame.
type edge struct{ a, b r3.Vec }

// roundSides is how many sides stand for a round thing: of one 1 m across they
// are nowhere off by more than 0.3 mm.
const roundSides = 96

// A cover is a convex solid that hides what is behind it: n·x ≤ d for each of
// its faces.
type cover struct {
	planes []plane
	box    r3.Box
}

type plane struct {
	n r3.Vec
	d float64
}

// facesOf returns the faces of a solid in a frame.
func facesOf(s solid.Solid, f frame) [][]r3.Vec {
	faces := s.Faces()
	if c, ok := s.(*solid.Cylinder); ok {
		faces = c.Outer(roundSides).Faces()
	}
	out := make([][]r3.Vec, len(faces))
	for i, face := range faces {
		for _, v := range face {
			out[i] = append(out[i], f.of(v))
		}
	}
	return out
}

// outwardOf returns the outward normal of a face by Newell's sum, which the corners
// that lie in line do not spoil.
func outwardOf(face []r3.Vec) r3.Vec {
	var n r3.Vec
	for i, a := range face {
		b := face[(i+1)%len(face)]
		n = r3.Add(n, r3.Cross(r3.Sub(a, face[0]), r3.Sub(b, face[0])))
	}
	return r3.Unit(n)
}

// coverOf returns what a solid hides.
func coverOf(faces [][]r3.Vec) cover {
	c := cover{box: r3.Box{
		Min: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)},
		Max: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)},
	}}
	for _, face := range faces {
		n := outwardOf(face)
		p := plane{n: n, d: math.Inf(-1)}
		for _, v := range face {
			p.d = max(p.d, r3.Dot(n, v))
			c.box.Min = r3.Vec{X: min(c.box.Min.X, v.X), Y: min(c.box.Min.Y, v.Y), Z: min(c.box.Min.Z, v.Z)}
			c.box.Max = r3.Vec{X: max(c.box.Max.X, v.X), Y: max(c.box.Max.Y, v.Y), Z: max(c.box.Max.Z, v.Z)}
		}
		c.planes = append(c.planes, p)
	}
	return c
}

// grazing is how deep in mm a line of sight must pass through a solid to be
// hidden by it: a hundredth of a millimetre, far less than a tape tells and far
// more than rounding.
const grazing = 0.01

// An interval is part of an edge, from 0 at a to 1 at b.
type interval struct{ from, to float64 }

// hides returns which part of an edge the cover hides.
//
// The points a + t(b−a) + s·out that are in the solid form a convex region in t
// and s; what is hidden is its shadow on t.
func (c *cover) hides(e edge) (interval, bool) {
	if max(e.a.X, e.b.X) < c.box.Min.X || min(e.a.X, e.b.X) > c.box.Max.X ||
		max(e.a.Y, e.b.Y) < c.box.Min.Y || min(e.a.Y, e.b.Y) > c.box.Max.Y || min(e.a.Z, e.b.Z) > c.box.Max.Z {
		return interval{}, false
	}
	far := c.box.Max.Z - min(e.a.Z, e.b.Z) + 1
	var space [2][16]point
	region, spare := append(space[0][:0], point{0, 0}, point{1, 0}, point{1, far}, point{0, far}), space[1][:0]
	d := r3.Sub(e.b, e.a)
	for _, p := range c.planes {
		region, spare = clipped(spare[:0], region, r3.Dot(p.n, d), p.n.Z, p.d-grazing-r3.Dot(p.n, e.a)), region
		if len(region) < 3 {
			return interval{}, false
		}
	}
	i := interval{1, 0}
	for _, q := range region {
		i.from, i.to = min(i.from, q.x), max(i.to, q.x)
	}
	return i, i.to > i.from
}

// clipped appends to out the part of a convex outline where u·x + v·y ≤ w.
func clipped(out, outline []point, u, v, w float64) []point {
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		da, db := u*a.x+v*a.y-w, u*b.x+v*b.y-w
		if da <= 0 {
			out = append(out, a)
		}
		if (da < 0) != (db < 0) && da != db {
			t := da / (da - db)
			if t > 0 && t < 1 {
				out = append(out, point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)})
			}
		}
	}
	return out
}

// sharp is the cosine above which two faces count as one that is bent.
var sharp = math.Cos(15 * math.Pi / 180)

// edgesOf returns the edges of a convex solid that are drawn: where its faces
// meet at an angle, and its contour.
func edgesOf(faces [][]r3.Vec) []edge {
	type side struct {
		e edge
		n r3.Vec
	}
	var open []side
	var out []edge
	for _, face := range faces {
		n := outwardOf(face)
		for i, a := range face {
			b := face[(i+1)%len(face)]
			k := slices.IndexFunc(open, func(o side) bool { return o.e.a == b && o.e.b == a })
			if k < 0 {
				open = append(open, side{edge{a, b}, n})
				continue
			}
			const level = 1e-9
			contour := n.Z > level && open[k].n.Z < -level || n.Z < -level && open[k].n.Z > level
			if contour || r3.Dot(n, open[k].n) < sharp {
				out = append(out, edge{a, b})
			}
			open = slices.Delete(open, k, k+1)
		}
	}
	return out
}

// boxEdges returns the edges of the object that boxes form together: not the
// seams between them.
func boxEdges(boxes []r3.Box) []edge {
	var out []edge
	for axis := range 3 {
		out = append(out, edgesAlong(boxes, axis)...)
	}
	return out
}

// coordinate returns coordinate k of a point; get and set turn the axes so that
// one is the first.
func coordinate(v r3.Vec, k int) float64 { return [3]float64{v.X, v.Y, v.Z}[k%3] }

func edgesAlong(boxes []r3.Box, axis int) []edge {
	type line struct{ u, v float64 }
	var all []line
	for _, b := range boxes {
		for _, u := range []float64{coordinate(b.Min, axis+1), coordinate(b.Max, axis+1)} {
			for _, v := range []float64{coordinate(b.Min, axis+2), coordinate(b.Max, axis+2)} {
				all = append(all, line{u, v})
			}
		}
	}
	slices.SortFunc(all, func(a, b line) int { return cmp.Or(cmp.Compare(a.u, b.u), cmp.Compare(a.v, b.v)) })
	all = slices.Compact(all)
	const beside = 1e-3 // mm; a thousand times the rounding of a plan's lengths
	var out []edge
	for _, l := range all {
		var stops []float64
		for _, b := range boxes {
			if l.u >= coordinate(b.Min, axis+1) && l.u <= coordinate(b.Max, axis+1) &&
				l.v >= coordinate(b.Min, axis+2) && l.v <= coordinate(b.Max, axis+2) {
				stops = append(stops, coordinate(b.Min, axis), coordinate(b.Max, axis))
			}
		}
		slices.Sort(stops)
		stops = slices.Compact(stops)
		from := math.NaN()
		for i := 1; i < len(stops); i++ {
			mid := (stops[i-1] + stops[i]) / 2
			filled := func(du, dv float64) bool {
				return slices.ContainsFunc(boxes, func(b r3.Box) bool {
					return mid > coordinate(b.Min, axis) && mid < coordinate(b.Max, axis) &&
						l.u+du > coordinate(b.Min, axis+1) && l.u+du < coordinate(b.Max, axis+1) &&
						l.v+dv > coordinate(b.Min, axis+2) && l.v+dv < coordinate(b.Max, axis+2)
				})
			}
			pp, pm, mp, mm := filled(beside, beside), filled(beside, -beside), filled(-beside, beside), filled(-beside, -beside)
			// A flat face, the inside and the outside have pairs of quarters alike.
			edged := (pp != pm || mp != mm) && (pp != mp || pm != mm)
			if edged && math.IsNaN(from) {
				from = stops[i-1]
			}
			if !math.IsNaN(from) && (!edged || i == len(stops)-1) {
				to := stops[i]
				if !edged {
					to = stops[i-1]
				}
				out = append(out, edge{along(axis, from, l.u, l.v), along(axis, to, l.u, l.v)})
				from = math.NaN()
			}
		}
	}
	return out
}

// along returns the point with a coordinate on an axis and two on those after it.
func along(axis int, t, u, v float64) r3.Vec {
	switch axis {
	case 0:
		return r3.Vec{X: t, Y: u, Z: v}
	case 1:
		return r3.Vec{Z: u, X: v, Y: t}
	}
	return r3.Vec{Z: t, X: u, Y: v}
}

// parts returns an edge cut into what is seen and what is hidden by covers.
func (e edge) parts(covers []cover) (seen, behind []edge) {
	var dark []interval
	for i := range covers {
		if v, ok := covers[i].hides(e); ok {
			dark = append(dark, v)
		}
	}
	slices.SortFunc(dark, func(a, b interval) int { return cmp.Compare(a.from, b.from) })
	length := math.Hypot(e.b.X-e.a.X, e.b.Y-e.a.Y)
	at := func(t float64) r3.Vec { return r3.Add(e.a, r3.Scale(t, r3.Sub(e.b, e.a))) }
	add := func(to *[]edge, i interval) {
		if (i.to-i.from)*length > grazing*3 {
			*to = append(*to, edge{at(i.from), at(i.to)})
		}
	}
	done := 0.0
	for k := 0; k < len(dark); {
		i := dark[k]
		for k++; k < len(dark) && dark[k].from <= i.to; k++ {
			i.to = max(i.to, dark[k].to)
		}
		add(&seen, interval{done, i.from})
		add(&behind, interval{max(done, i.from), i.to})
		done = i.to
	}
	add(&seen, interval{done, 1})
	return seen, behind
}
