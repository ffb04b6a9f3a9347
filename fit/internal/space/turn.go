package space

import (
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// The turns of a body are unit quaternions up to sign. Each lies in one of four
// cubes: the one of its component of greatest size, which is scaled to one; the
// other three, in order, are the cube's coordinates from −1 to 1. Straight lines
// in a cube are turns at a fixed axis, so that a leg between two turns of a cell
// stays in the cell.

// cubes is the number of cubes.
const cubes = 4

// quaternion returns the quaternion, not of unit length, at coordinates a of a cube.
func quaternion(cube int, a [3]float64) [4]float64 {
	var q [4]float64
	k := 0
	for i := range q {
		if i == cube {
			q[i] = 1
			continue
		}
		q[i] = a[k]
		k++
	}
	return q
}

// Turn returns the unit quaternion at coordinates a of a cube.
func Turn(cube int, a [3]float64) quat.Number {
	q := quaternion(cube, a)
	n := 1 / math.Sqrt(q[0]*q[0]+q[1]*q[1]+q[2]*q[2]+q[3]*q[3])
	return quat.Number{Real: q[0] * n, Imag: q[1] * n, Jmag: q[2] * n, Kmag: q[3] * n}
}

// coordinates returns the coordinates of q in a cube; q's component of that
// cube must not be zero.
func coordinates(cube int, q [4]float64) [3]float64 {
	var a [3]float64
	k := 0
	for i, c := range q {
		if i != cube {
			a[k] = c / q[cube]
			k++
		}
	}
	return a
}

// halfTurned returns q after the body is first turned half about its axis i (1
// to 3), which changes nothing on a box: q times the conjugate of the unit i.
// Its component 0 is q's component i.
func halfTurned(q [4]float64, i int) [4]float64 {
	w, x, y, z := q[0], q[1], q[2], q[3]
	switch i {
	case 1:
		return [4]float64{x, -w, -z, y}
	case 2:
		return [4]float64{y, z, -w, -x}
	case 3:
		return [4]float64{z, -y, x, -w}
	}
	return q
}

// swing is how far the turns of a cell are from its middle: for every turn, the
// quaternion (1, u) leads there from the middle, and u is in the hull of the ends.
type swing struct {
	middle solid.Pose // turn only
	ends   []r3.Vec   // nil for the middle alone
	square float64    // bound of |u|²
	room   *[8]r3.Vec // for the ends
}

// set makes s the swing of the box of turns from lo to hi in a cube. The map from the
// cube to u takes straight lines to straight lines, so that its corners are the ends.
func (s *swing) set(cube int, lo, hi [3]float64) {
	var mid [3]float64
	for i := range mid {
		mid[i] = (lo[i] + hi[i]) / 2
	}
	m := Turn(cube, mid)
	*s = swing{middle: solid.Pose{Turn: m}, room: s.room}
	if lo == hi {
		return
	}
	back := quat.Conj(m)
	if s.room == nil {
		s.room = new([8]r3.Vec)
	}
	s.ends = s.room[:0]
	for c := range 8 {
		var a [3]float64
		for i := range a {
			a[i] = lo[i]
			if c>>i&1 != 0 {
				a[i] = hi[i]
			}
		}
		d := quat.Mul(Turn(cube, a), back)
		u := r3.Vec{X: d.Imag / d.Real, Y: d.Jmag / d.Real, Z: d.Kmag / d.Real}
		s.ends = append(s.ends, u)
		s.square = max(s.square, r3.Norm2(u))
	}
}

// grain is above the rounding of the products that lead to what the ends come to, for
// bodies of some metres.
const grain = 1e-11

// shift bounds how far, in each coordinate, the turns of the cell move the point
// v (as it is at the middle) from where it is: v + 2/(1+u²)(u×v + u×(u×v)).
func (s *swing) shift(v r3.Vec) r3.Vec {
	if s.ends == nil {
		return r3.Vec{}
	}
	var x, y, z float64
	for i := range s.ends {
		u := &s.ends[i]
		x = max(x, math.Abs(u.Y*v.Z-u.Z*v.Y))
		y = max(y, math.Abs(u.Z*v.X-u.X*v.Z))
		z = max(z, math.Abs(u.X*v.Y-u.Y*v.X))
	}
	second := 2*s.square*norm(v) + grain
	return r3.Vec{X: 2*x + second, Y: 2*y + second, Z: 2*z + second}
}

// least bounds from below what d·(v − m) − slope·v.Y comes to at any turn of the cell,
// for points that are at v and m at the middle.
func (s *swing) least(v, m, d r3.Vec, slope float64) float64 {
	own := r3.Sub(v, m)
	c := r3.Sub(r3.Cross(own, d), r3.Cross(v, r3.Vec{Y: slope}))
	most := 0.0
	for i := range s.ends {
		u := &s.ends[i]
		most = max(most, math.Abs(u.X*c.X+u.Y*c.Y+u.Z*c.Z))
	}
	second := 2*s.square*(norm(own)+math.Abs(slope)*norm(v)) + grain*(1+math.Abs(slope))
	return r3.Dot(own, d) - slope*v.Y - 2*most - second
}

// along bounds the greatest value of n·v' over all v' to which a turn of the
// cell, or its reverse, takes v; n of unit length, length that of v. It loses
// nothing where v is along n. With v = (n·v)n + w, the second term of the turn is
// at most |u|²|w| for n·v ≥ 0, and 2|u|²|n·v| more below.
func (s *swing) along(n, v r3.Vec, length float64) float64 {
	h := n.X*v.X + n.Y*v.Y + n.Z*v.Z
	w := r3.Vec{X: v.X - h*n.X, Y: v.Y - h*n.Y, Z: v.Z - h*n.Z}
	c := r3.Vec{X: w.Y*n.Z - w.Z*n.Y, Y: w.Z*n.X - w.X*n.Z, Z: w.X*n.Y - w.Y*n.X}
	most := 0.0
	for i := range s.ends {
		u := &s.ends[i]
		most = max(most, math.Abs(u.X*c.X+u.Y*c.Y+u.Z*c.Z))
	}
	b := h + 2*most + s.square*norm(w)
	if h < 0 {
		b -= 2 * s.square * h
	}
	return min(b, length)
}

// norm is the length of v; coordinates here are far from overflow.
func norm(v r3.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }
