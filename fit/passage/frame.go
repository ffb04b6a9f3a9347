package passage

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// frameOf returns the motion that turns the scene so that a person before the
// side looks along y: x to their right, the side's outside face at y = 0, the
// cabinet behind it. Before the top they stand at its front and look down, with
// the cabinet's back up.
func frameOf(c *scene.Cabinet, side scene.Face) solid.Pose {
	z, x := r3.Vec{Z: 1}, r3.Vec{X: 1}
	w, d, h := c.Width.MM(), c.Depth.MM(), c.Height.MM()
	switch side {
	case scene.Front:
		return solid.Rest
	case scene.Back:
		return solid.Pose{Turn: solid.Turned(z, math.Pi), Shift: r3.Vec{X: w, Y: d}}
	case scene.Left: // x' = d − y, y' = x
		return solid.Pose{Turn: solid.Turned(z, math.Pi/2), Shift: r3.Vec{X: d}}
	case scene.Right: // x' = y, y' = w − x
		return solid.Pose{Turn: solid.Turned(z, -math.Pi/2), Shift: r3.Vec{Y: w}}
	case scene.Top: // y' = h − z, z' = y
		return solid.Pose{Turn: solid.Turned(x, math.Pi/2), Shift: r3.Vec{Y: h}}
	case scene.Bottom:
	}
	return solid.Rest
}

// inverse returns the motion that undoes p.
func inverse(p solid.Pose) solid.Pose {
	q := solid.Pose{Turn: p.Turn}
	q.Turn.Imag, q.Turn.Jmag, q.Turn.Kmag = -p.Turn.Imag, -p.Turn.Jmag, -p.Turn.Kmag
	q.Shift = r3.Scale(-1, q.Rotate(p.Shift))
	return q
}

// moved returns solids after a motion.
func moved(solids []solid.Solid, p solid.Pose) []solid.Solid {
	out := make([]solid.Solid, len(solids))
	for i, s := range solids {
		out[i] = s.Moved(p)
	}
	return out
}

// grown returns b with by more on every side.
func grown(b r3.Box, by float64) r3.Box {
	d := r3.Vec{X: by, Y: by, Z: by}
	return r3.Box{Min: r3.Sub(b.Min, d), Max: r3.Add(b.Max, d)}
}

// middle returns the middle of b.
func middle(b r3.Box) r3.Vec { return r3.Scale(0.5, r3.Add(b.Min, b.Max)) }

// boxVolume returns the volume of b, 0 where it is empty.
func boxVolume(b r3.Box) float64 {
	return max(0, b.Max.X-b.Min.X) * max(0, b.Max.Y-b.Min.Y) * max(0, b.Max.Z-b.Min.Z)
}

// isBox tells whether s is a box along the axes.
func isBox(s solid.Solid) bool {
	v := boxVolume(s.Bounds())
	_, flat := s.(*solid.Polyhedron)
	return flat && math.Abs(v-s.Volume()) <= 1e-9*v
}
