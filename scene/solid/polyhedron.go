package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Polyhedron is a convex solid bounded by flat faces.
type Polyhedron struct {
	verts []r3.Vec
	*topology
}

// A topology is what stays when a polyhedron moves. Numbers are indices of
// vertices.
type topology struct {
	faces [][]int // counter-clockwise seen from outside
	// normals has three corners of each face, counter-clockwise; of parallel
	// faces only one.
	normals [][3]int
	// edges has the ends of the edges; of parallel ones only the longest.
	edges [][2]int
	// brick tells that the vertices are those of a box, in the order of Box.
	brick bool
}

// Box returns the box along the axes from b.Min to b.Max, which must differ in
// every coordinate.
func Box(b r3.Box) *Polyhedron {
	verts := make([]r3.Vec, 8)
	for i := range verts {
		verts[i] = Corner(b, i)
	}
	return &Polyhedron{verts, brick}
}

// Corner returns corner n, 0 to 7, of the box b: on its far side in x where bit 0
// of n is set, in y where bit 1 is, in z where bit 2 is.
func Corner(b r3.Box, n int) r3.Vec {
	v := b.Min
	if n&1 != 0 {
		v.X = b.Max.X
	}
	if n&2 != 0 {
		v.Y = b.Max.Y
	}
	if n&4 != 0 {
		v.Z = b.Max.Z
	}
	return v
}

var brick = &topology{
	faces: [][]int{
		{0, 4, 6, 2}, {1, 3, 7, 5}, // x-, x+
		{0, 1, 5, 4}, {2, 6, 7, 3}, // y-, y+
		{0, 2, 3, 1}, {4, 5, 7, 6}, // z-, z+
	},
	normals: [][3]int{{1, 3, 7}, {2, 6, 7}, {4, 5, 7}},
	edges:   [][2]int{{0, 1}, {0, 2}, {0, 4}},
	brick:   true,
}

// Prism returns the upright prism over a convex outline, given counter-clockwise
// seen from above (z of the points is not used), from z = lo to z = hi.
func Prism(outline []r3.Vec, lo, hi float64) *Polyhedron {
	bottom := make([]r3.Vec, len(outline))
	for i, v := range outline {
		bottom[i] = r3.Vec{X: v.X, Y: v.Y, Z: lo}
	}
	return prism(bottom, r3.Vec{Z: hi - lo})
}

// prism returns what a flat convex outline, counter-clockwise seen from where
// it goes, sweeps on the way along by.
func prism(outline []r3.Vec, by r3.Vec) *Polyhedron {
	n := len(outline)
	verts := make([]r3.Vec, 2*n)
	faces := make([][]int, 0, n+2)
	bottom, top := make([]int, n), make([]int, n)
	for i, v := range outline {
		verts[i], verts[n+i] = v, r3.Add(v, by)
		bottom[i], top[i] = n-1-i, n+i
		j := (i + 1) % n
		faces = append(faces, []int{i, j, n + j, n + i})
	}
	return polyhedron(verts, append(faces, bottom, top))
}

// parallel is the sine below which two directions count as one. Over a metre
// they part by no more than a nanometre.
const parallel = 1e-12

// polyhedron derives the topology of faces.
func polyhedron(verts []r3.Vec, faces [][]int) *Polyhedron {
	t := &topology{faces: faces}
	var normals, edges []r3.Vec
	among := func(dirs []r3.Vec, d r3.Vec) int {
		for i, e := range dirs {
			if r3.Norm2(r3.Cross(d, e)) <= parallel*parallel {
				return i
			}
		}
		return -1
	}
	for _, f := range faces {
		c := widest(verts, f)
		if n := r3.Unit(across3(verts, c)); among(normals, n) < 0 {
			normals, t.normals = append(normals, n), append(t.normals, c)
		}
		for i, v := range f {
			e := [2]int{v, f[(i+1)%len(f)]}
			if e[0] > e[1] {
				continue // its other face has it the right way round
			}
			d := r3.Sub(verts[e[1]], verts[e[0]])
			u := r3.Unit(d)
			switch k := among(edges, u); {
			case k < 0:
				edges, t.edges = append(edges, u), append(t.edges, e)
			case r3.Norm2(d) > r3.Norm2(r3.Sub(verts[t.edges[k][1]], verts[t.edges[k][0]])):
				edges[k], t.edges[k] = u, e
			}
		}
	}
	return &Polyhedron{verts, t}
}

// widest returns three corners of a face, in its order, that carry its plane
// well.
func widest(verts []r3.Vec, face []int) [3]int {
	k, far := 1, 0.0
	for i := 1; i < len(face); i++ {
		if d := r3.Norm2(r3.Sub(verts[face[i]], verts[face[0]])); d > far {
			k, far = i, d
		}
	}
	l, far := 0, -1.0
	for i := 1; i < len(face); i++ {
		if d := r3.Norm2(across3(verts, [3]int{face[0], face[k], face[i]})); d > far {
			l, far = i, d
		}
	}
	return [3]int{face[0], face[min(k, l)], face[max(k, l)]}
}

// across3 returns the normal of a triangle, as long as twice its area.
func across3(verts []r3.Vec, c [3]int) r3.Vec {
	o := verts[c[0]]
	return r3.Cross(r3.Sub(verts[c[1]], o), r3.Sub(verts[c[2]], o))
}

// Vertices returns the corners of p; the caller must not change them.
func (p *Polyhedron) Vertices() []r3.Vec { return p.verts }

// Support implements Solid.
func (p *Polyhedron) Support(dir r3.Vec) r3.Vec {
	best, far := p.verts[0], math.Inf(-1)
	for _, v := range p.verts {
		if d := r3.Dot(v, dir); d > far {
			best, far = v, d
		}
	}
	return best
}

// Bounds implements Solid.
func (p *Polyhedron) Bounds() r3.Box { return BoundsOfPoints(p.verts) }

// BoundsOfPoints returns the box along the axes round points, of which there is one at
// least; in mm.
func BoundsOfPoints(points []r3.Vec) r3.Box {
	b := r3.Box{Min: points[0], Max: points[0]}
	for _, v := range points[1:] {
		b.Min = r3.Vec{X: min(b.Min.X, v.X), Y: min(b.Min.Y, v.Y), Z: min(b.Min.Z, v.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, v.X), Y: max(b.Max.Y, v.Y), Z: max(b.Max.Z, v.Z)}
	}
	return b
}

// Moved implements Solid.
func (p *Polyhedron) Moved(pose Pose) Solid {
	verts := make([]r3.Vec, len(p.verts))
	for i, v := range p.verts {
		verts[i] = pose.Apply(v)
	}
	return &Polyhedron{verts, p.topology}
}

// Volume implements Solid.
func (p *Polyhedron) Volume() float64 {
	v, _ := p.moments()
	return v
}

// Centroid implements Solid.
func (p *Polyhedron) Centroid() r3.Vec {
	v, m := p.moments()
	return r3.Add(p.verts[0], r3.Scale(1/v, m))
}

// moments returns the volume and the volume times the centroid, seen from the
// first corner, by tetrahedra that have it as their apex: so the terms stay
// small wherever the solid stands.
func (p *Polyhedron) moments() (volume float64, first r3.Vec) {
	o := p.verts[0]
	for _, f := range p.faces {
		a := r3.Sub(p.verts[f[0]], o)
		for i := 2; i < len(f); i++ {
			b, c := r3.Sub(p.verts[f[i-1]], o), r3.Sub(p.verts[f[i]], o)
			v := r3.Dot(a, r3.Cross(b, c)) / 6
			volume += v
			first = r3.Add(first, r3.Scale(v/4, r3.Add(a, r3.Add(b, c))))
		}
	}
	return volume, first
}

// Faces implements Solid.
func (p *Polyhedron) Faces() [][]r3.Vec {
	out := make([][]r3.Vec, len(p.faces))
	for i, f := range p.faces {
		out[i] = make([]r3.Vec, len(f))
		for j, k := range f {
			out[i][j] = p.verts[k]
		}
	}
	return out
}

// A Plane is the set of points x with Normal·x = Offset; its half-space is
// where Normal·x ≤ Offset.
type Plane struct {
	Normal r3.Vec
	Offset float64
}

// Clip returns the part of p in the half-space of plane; ok is false if that is
// flat or empty.
func (p *Polyhedron) Clip(plane Plane) (part *Polyhedron, ok bool) {
	height := make([]float64, len(p.verts))
	var keep []r3.Vec
	for i, v := range p.verts {
		height[i] = r3.Dot(plane.Normal, v) - plane.Offset
		if height[i] <= 0 {
			keep = append(keep, v)
		}
	}
	if len(keep) == len(p.verts) {
		return p, true
	}
	for _, f := range p.faces {
		for i, a := range f {
			// Each edge has two faces; the one that goes down has it here.
			b := f[(i+1)%len(f)]
			if height[a] > 0 && height[b] < 0 {
				t := height[a] / (height[a] - height[b])
				keep = append(keep, r3.Add(r3.Scale(1-t, p.verts[a]), r3.Scale(t, p.verts[b])))
			}
		}
	}
	part, err := Hull(keep)
	return part, err == nil
}

// Outer returns a prism of n sides (at least 3) round c: it contains all of c
// and sticks out by at most Radius·(1/cos(π/n) − 1).
func (c *Cylinder) Outer(n int) *Polyhedron {
	return c.prism(n, c.Radius/math.Cos(math.Pi/float64(n)))
}

// Inner returns a prism of n sides (at least 3) in c: c contains all of it and
// sticks out by at most Radius·(1 − cos(π/n)).
func (c *Cylinder) Inner(n int) *Polyhedron { return c.prism(n, c.Radius) }

func (c *Cylinder) prism(n int, radius float64) *Polyhedron {
	by := r3.Sub(c.B, c.A)
	u, v := across(r3.Unit(by))
	outline := make([]r3.Vec, n)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		outline[i] = r3.Add(c.A, r3.Scale(radius, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))
	}
	return prism(outline, by)
}
