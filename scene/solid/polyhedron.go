package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Polyhedron is a convex solid bounded by flat faces.
type Polyhedron struct {
	verts []r3.Vec
	faces [][]int // into verts, counter-clockwise seen from outside
}

// Box returns the box along the axes from b.Min to b.Max, which must differ in
// every coordinate.
func Box(b r3.Box) *Polyhedron {
	p := &Polyhedron{verts: make([]r3.Vec, 8), faces: boxFaces}
	for i := range p.verts {
		v := b.Min
		if i&1 != 0 {
			v.X = b.Max.X
		}
		if i&2 != 0 {
			v.Y = b.Max.Y
		}
		if i&4 != 0 {
			v.Z = b.Max.Z
		}
		p.verts[i] = v
	}
	return p
}

var boxFaces = [][]int{
	{0, 4, 6, 2}, {1, 3, 7, 5}, // x-, x+
	{0, 1, 5, 4}, {2, 6, 7, 3}, // y-, y+
	{0, 2, 3, 1}, {4, 5, 7, 6}, // z-, z+
}

// Prism returns the upright prism over a convex outline, given counter-clockwise
// seen from above (z of the points is not used), from z = lo to z = hi.
func Prism(outline []r3.Vec, lo, hi float64) *Polyhedron {
	n := len(outline)
	p := &Polyhedron{verts: make([]r3.Vec, 2*n), faces: make([][]int, 0, n+2)}
	bottom, top := make([]int, n), make([]int, n)
	for i, v := range outline {
		p.verts[i] = r3.Vec{X: v.X, Y: v.Y, Z: lo}
		p.verts[n+i] = r3.Vec{X: v.X, Y: v.Y, Z: hi}
		bottom[i], top[i] = n-1-i, n+i
		j := (i + 1) % n
		p.faces = append(p.faces, []int{i, j, n + j, n + i})
	}
	p.faces = append(p.faces, bottom, top)
	return p
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
func (p *Polyhedron) Bounds() r3.Box {
	b := r3.Box{Min: p.verts[0], Max: p.verts[0]}
	for _, v := range p.verts[1:] {
		b.Min = r3.Vec{X: min(b.Min.X, v.X), Y: min(b.Min.Y, v.Y), Z: min(b.Min.Z, v.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, v.X), Y: max(b.Max.Y, v.Y), Z: max(b.Max.Z, v.Z)}
	}
	return b
}

// Moved implements Solid.
func (p *Polyhedron) Moved(pose Pose) Solid {
	q := &Polyhedron{verts: make([]r3.Vec, len(p.verts)), faces: p.faces}
	for i, v := range p.verts {
		q.verts[i] = pose.Apply(v)
	}
	return q
}

// Volume implements Solid.
func (p *Polyhedron) Volume() float64 {
	v, _ := p.moments()
	return v
}

// Centroid implements Solid.
func (p *Polyhedron) Centroid() r3.Vec {
	v, m := p.moments()
	return r3.Scale(1/v, m)
}

// moments returns the volume and the volume times the centroid, by tetrahedra
// from one corner, which keeps the terms small wherever the solid stands.
func (p *Polyhedron) moments() (volume float64, first r3.Vec) {
	o := p.verts[0]
	for _, f := range p.faces {
		a := p.verts[f[0]]
		for i := 2; i < len(f); i++ {
			b, c := p.verts[f[i-1]], p.verts[f[i]]
			v := r3.Dot(r3.Sub(a, o), r3.Cross(r3.Sub(b, o), r3.Sub(c, o))) / 6
			volume += v
			first = r3.Add(first, r3.Scale(v/4, r3.Add(r3.Add(o, a), r3.Add(b, c))))
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
