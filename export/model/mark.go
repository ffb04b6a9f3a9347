package model

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// markSize is how far the corners of a mark's sign are from its middle in mm:
// small beside a hand's width, easy to see beside a cabinet.
const markSize = 8.0

// markInfo is what a program that reads the model learns of a mark.
type markInfo struct {
	Role   string     `json:"role"`
	Name   string     `json:"name"`
	Parts  []string   `json:"parts,omitempty"`
	FromMM [3]float64 `json:"from_mm"` // in the cabinet's frame
	ToMM   [3]float64 `json:"to_mm"`
}

// marks adds a node for each mark: an eight-sided sign at both ends, and the
// line between them.
func (b *builder) marks(list []scene.Mark) {
	if len(list) == 0 {
		return
	}
	on := b.node(place{node: b.root}, "marks", r3.Vec{}, info{Role: "group", Name: "marks"})
	for i, m := range list {
		name := m.Label
		if name == "" {
			name = numbered("mark", i+1)
		}
		middle := r3.Scale(0.5, r3.Add(m.From, m.To))
		n := b.node(on, name, middle, markInfo{
			Role: "mark", Name: name, Parts: m.Parts,
			FromMM: [3]float64{m.From.X, m.From.Y, m.From.Z}, ToMM: [3]float64{m.To.X, m.To.Y, m.To.Z},
		})
		sign := newMesh(octahedron(m.From), middle)
		if m.To != m.From {
			sign = sign.with(newMesh(octahedron(m.To), middle))
		}
		sign.edges = nil
		if m.To != m.From {
			sign.edges = []r3.Vec{r3.Sub(m.From, middle), r3.Sub(m.To, middle)}
		}
		b.doc.Nodes[n.node].Mesh = new(b.mesh(name, sign, vermilion, vermilion))
	}
}

// octahedron returns the faces of the sign at a point.
func octahedron(at r3.Vec) [][]r3.Vec {
	corner := func(axis int, sign float64) r3.Vec {
		var v [3]float64
		v[axis] = sign * markSize
		return r3.Add(at, r3.Vec{X: v[0], Y: v[1], Z: v[2]})
	}
	var faces [][]r3.Vec
	for _, x := range []float64{1, -1} {
		for _, y := range []float64{1, -1} {
			for _, z := range []float64{1, -1} {
				f := []r3.Vec{corner(0, x), corner(1, y), corner(2, z)}
				if x*y*z < 0 { // keep it counter-clockwise from outside
					f[1], f[2] = f[2], f[1]
				}
				faces = append(faces, f)
			}
		}
	}
	return faces
}

// numbered returns "name 2".
func numbered(name string, n int) string { return name + " " + strconv.Itoa(n) }
