package solid

import (
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// A Pose is a rigid motion: p ↦ Turn·p + Shift. Turn is a unit quaternion.
type Pose struct {
	Turn  quat.Number
	Shift r3.Vec
}

// Rest is the pose that leaves everything where it is.
var Rest = Pose{Turn: quat.Number{Real: 1}}

// Apply returns where p moves the point v.
func (p Pose) Apply(v r3.Vec) r3.Vec { return r3.Add(p.Rotate(v), p.Shift) }

// Rotate returns the direction v after the turn of p.
func (p Pose) Rotate(v r3.Vec) r3.Vec {
	// v + 2w(q×v) + 2q×(q×v), for unit quaternions only.
	q := r3.Vec{X: p.Turn.Imag, Y: p.Turn.Jmag, Z: p.Turn.Kmag}
	t := r3.Scale(2, r3.Cross(q, v))
	return r3.Add(v, r3.Add(r3.Scale(p.Turn.Real, t), r3.Cross(q, t)))
}

// Unrotate returns the direction that p's turn takes to v.
func (p Pose) Unrotate(v r3.Vec) r3.Vec { return Pose{Turn: quat.Conj(p.Turn)}.Rotate(v) }

// Turned returns the quaternion of a turn by angle about axis (any length).
func Turned(axis r3.Vec, angle float64) quat.Number {
	sin, cos := math.Sincos(angle / 2)
	u := r3.Unit(axis)
	return quat.Number{Real: cos, Imag: sin * u.X, Jmag: sin * u.Y, Kmag: sin * u.Z}
}

// About returns the pose that turns by q about the point c.
func About(c r3.Vec, q quat.Number) Pose {
	p := Pose{Turn: q}
	p.Shift = r3.Sub(c, p.Rotate(c))
	return p
}

// A Path is a motion of one rigid body through poses, leg by leg.
//
// All poses act on the body as it stands at rest. On a leg the reference point
// Ref (given at rest) moves straight at constant rate while the body turns at
// a constant rate about it, by the short way: exactly what a linear animation
// of a model node with its origin at Ref does.
type Path struct {
	Ref   r3.Vec
	Poses []Pose // the first outside, the last at rest
}

// At returns the pose at fraction t (0 to 1) of leg i, from Poses[i] to Poses[i+1].
func (p Path) At(i int, t float64) Pose {
	a, b := p.Poses[i], p.Poses[i+1]
	turn := slerp(a.Turn, b.Turn, t)
	from, to := a.Apply(p.Ref), b.Apply(p.Ref)
	ref := r3.Add(r3.Scale(1-t, from), r3.Scale(t, to))
	q := Pose{Turn: turn}
	q.Shift = r3.Sub(ref, q.Rotate(p.Ref))
	return q
}

// Angle returns the angle in radians (0 to π) by which leg i turns.
func (p Path) Angle(i int) float64 {
	return AngleBetween(p.Poses[i].Turn, p.Poses[i+1].Turn)
}

// AngleBetween returns the angle in radians (0 to π) of the turn from a to b.
func AngleBetween(a, b quat.Number) float64 {
	d := quat.Mul(b, quat.Conj(a))
	v := math.Sqrt(d.Imag*d.Imag + d.Jmag*d.Jmag + d.Kmag*d.Kmag)
	return 2 * math.Atan2(v, math.Abs(d.Real))
}

// slerp turns from a to b at constant rate by the short way; t from 0 to 1.
func slerp(a, b quat.Number, t float64) quat.Number {
	d := quat.Mul(b, quat.Conj(a))
	if d.Real < 0 {
		d = quat.Scale(-1, d)
	}
	axis := r3.Vec{X: d.Imag, Y: d.Jmag, Z: d.Kmag}
	n := r3.Norm(axis)
	if n == 0 {
		return a
	}
	return quat.Mul(Turned(axis, t*2*math.Atan2(n, d.Real)), a)
}
