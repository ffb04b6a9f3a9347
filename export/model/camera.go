package model

import (
	"math"

	"github.com/qmuntal/gltf"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// aspect is width to height of what the cameras see, that of the pictures.
const aspect = 4.0 / 3

// cameras adds three that see all of the scene: straight from the front, from
// the right, and in perspective from the front right corner above.
func (b *builder) cameras(groups []group) {
	var solids []solid.Solid
	for _, g := range groups {
		for _, p := range g.parts {
			solids = append(solids, p.Solid)
		}
	}
	box := solid.BoundsOf(solids...)
	middle := r3.Scale(0.5, r3.Add(box.Min, box.Max))
	size := r3.Sub(box.Max, box.Min)
	radius := r3.Norm(size) / 2

	x, z := r3.Vec{X: 1}, r3.Vec{Z: 1}
	const border = 1.08 // of what is seen
	flat := func(name string, wide, high float64, q quat.Number) {
		half := border / 2 * max(high, wide/aspect) / 1000
		b.camera(name, middle, 2*radius, q, &gltf.Camera{Orthographic: &gltf.Orthographic{
			Xmag: half * aspect, Ymag: half, Znear: radius / 1000 / 2, Zfar: 4 * radius / 1000,
		}})
	}
	// A camera looks along its own -z with y up: in the scene's frame along y
	// with z up, so that the one before the front is not turned.
	flat("front", size.X, size.Z, quat.Number{Real: 1})
	flat("side", size.Y, size.Z, solid.Turned(z, math.Pi/2))

	const field, round, down = 30 * math.Pi / 180, 24 * math.Pi / 180, 20 * math.Pi / 180
	look := quat.Mul(solid.Turned(z, round), solid.Turned(x, -down))
	far := border * radius / math.Sin(field/2)
	b.camera("three-quarter", middle, far, look, &gltf.Camera{Perspective: &gltf.Perspective{
		AspectRatio: new(aspect), Yfov: field,
		Znear: radius / 1000 / 50, Zfar: new(10 * radius / 1000),
	}})
}

// camera adds a camera that looks at a point from a distance, turned by q from
// looking straight to the back.
func (b *builder) camera(name string, at r3.Vec, distance float64, q quat.Number, c *gltf.Camera) {
	c.Name = name
	c.Type = "perspective"
	if c.Orthographic != nil {
		c.Type = "orthographic"
	}
	back := solid.Pose{Turn: q}.Rotate(r3.Vec{Y: -distance})
	p := b.node(place{node: b.root}, name+" camera", r3.Add(at, back), info{Role: "camera", Name: name})
	n := b.doc.Nodes[p.node]
	n.Rotation = turn(q)
	n.Camera = new(len(b.doc.Cameras))
	b.doc.Cameras = append(b.doc.Cameras, c)
}
