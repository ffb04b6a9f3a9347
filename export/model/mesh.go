package model

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// smooth is the cosine of the angle up to which two faces are shaded as one
// curved surface and their common edge is not drawn: between the 5.6° of a
// cylinder's 64 sides and the 45° of a chamfer.
const smooth = 0.866 // cos 30°

// weld is the length in millimetres within which two corners are one.
const weld = 1e-5

// A mesh is the surface of one solid, in millimetres about an origin.
type mesh struct {
	corners, normals []r3.Vec
	triangles        []uint32 // three to a triangle, into corners
	edges            []r3.Vec // two to a line
}

// volume returns the volume that m encloses in mm³, by tetrahedra from its
// first corner; negative where the faces look inward.
func (m mesh) volume() float64 {
	v := 0.0
	for i := 0; i < len(m.triangles); i += 3 {
		a := r3.Sub(m.corners[m.triangles[i]], m.corners[0])
		b := r3.Sub(m.corners[m.triangles[i+1]], m.corners[0])
		c := r3.Sub(m.corners[m.triangles[i+2]], m.corners[0])
		v += r3.Dot(a, r3.Cross(b, c)) / 6
	}
	return v
}

// newMesh returns the surface of a solid closed by faces, with normals that are
// smooth across blunt edges: faces that meet there share corners. Faces without
// area are left out.
func newMesh(faces [][]r3.Vec, origin r3.Vec) mesh {
	type corner [3]int64
	at := func(v r3.Vec) corner {
		return corner{int64(math.Round(v.X / weld)), int64(math.Round(v.Y / weld)), int64(math.Round(v.Z / weld))}
	}
	type edge struct {
		a, b  r3.Vec
		sharp bool
		face  int // the first that has it
	}
	var m mesh
	normals := make([]r3.Vec, len(faces))
	around := map[corner][]int{}
	edges := make([]edge, 0, 2*len(faces))
	edgeOf := map[[2]corner]int{}
	for i, f := range faces {
		normals[i] = normal(f)
		if normals[i] == (r3.Vec{}) {
			continue
		}
		for j, v := range f {
			w := f[(j+1)%len(f)]
			a, b := at(v), at(w)
			around[a] = append(around[a], i)
			if a == b {
				continue
			}
			if e, ok := edgeOf[[2]corner{b, a}]; ok {
				edges[e].sharp = r3.Dot(normals[edges[e].face], normals[i]) < smooth
				continue
			}
			edgeOf[[2]corner{a, b}] = len(edges)
			// An edge that no second face shares is drawn.
			edges = append(edges, edge{a: v, b: w, sharp: true, face: i})
		}
	}
	type vertex struct {
		at     corner
		normal r3.Vec
	}
	indexOf := map[vertex]uint32{}
	for i, f := range faces {
		if normals[i] == (r3.Vec{}) {
			continue
		}
		index := make([]uint32, len(f))
		for j, v := range f {
			var n r3.Vec
			for _, k := range around[at(v)] {
				if r3.Dot(normals[i], normals[k]) >= smooth {
					n = r3.Add(n, normals[k])
				}
			}
			shared := vertex{at(v), r3.Unit(n)}
			k, ok := indexOf[shared]
			if !ok {
				k = uint32(len(m.corners))
				indexOf[shared] = k
				m.corners = append(m.corners, r3.Sub(v, origin))
				m.normals = append(m.normals, shared.normal)
			}
			index[j] = k
			if j >= 2 {
				m.triangles = append(m.triangles, index[0], index[j-1], k)
			}
		}
	}
	for _, e := range edges {
		if e.sharp {
			m.edges = append(m.edges, r3.Sub(e.a, origin), r3.Sub(e.b, origin))
		}
	}
	return m
}

// normal returns the outward unit normal of a flat polygon; the zero vector
// where it has no area. It sums over all corners, so that it does not hang on
// three of them that may be nearly in line.
func normal(f []r3.Vec) r3.Vec {
	if len(f) < 3 {
		return r3.Vec{}
	}
	var n r3.Vec
	for i := 2; i < len(f); i++ {
		n = r3.Add(n, r3.Cross(r3.Sub(f[i-1], f[0]), r3.Sub(f[i], f[0])))
	}
	if r3.Norm(n) < weld*weld {
		return r3.Vec{}
	}
	return r3.Unit(n)
}

// with returns the surfaces of m and n as one.
func (m mesh) with(n mesh) mesh {
	first := uint32(len(m.corners))
	m.corners = append(m.corners, n.corners...)
	m.normals = append(m.normals, n.normals...)
	for _, i := range n.triangles {
		m.triangles = append(m.triangles, first+i)
	}
	m.edges = append(m.edges, n.edges...)
	return m
}
