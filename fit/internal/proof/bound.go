package proof

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// give is by how much what is in the way is taken to be larger than it is, in
// every coordinate: a tenth of Slack, so that what a body is refused for by this
// is a true overlap for the body grown by Slack. It lets a bound that another
// program computed with other rounding be met.
const give = Slack / 10

// rounding is above the error of any depth computed here: turning a point loses
// less than 2e-15 of at most Farthest, and each of a few sums 2⁻⁵³ of at most twice
// Greatest.
const rounding = 3e-11

// directions across the depth: +x, −x, +z, −z.
const directions = 4

// towards are the directions.
var towards = [directions]r3.Vec{{X: 1}, {X: -1}, {Z: 1}, {Z: -1}}

func along(v r3.Vec) [directions]float64 { return [directions]float64{v.X, -v.X, v.Z, -v.Z} }

// part is a convex polyhedron as at rest.
type part struct {
	middle r3.Vec   // from the reference point; inside the part
	verts  []r3.Vec // from the reference point
	edges  [][2]int // which of verts they join
	faces  []face
	rays   []ray
	ball   []r3.Vec // points of a ball round the middle, which holds them at every turn
}

// face is the half-space n·p ≤ h round the middle, n of unit length.
type face struct {
	n r3.Vec
	h float64
}

// ray leads from the middle to a point of the surface, near which the core is to
// have a point.
type ray struct {
	to     r3.Vec
	length float64
	facing []facing
}

// facing is how a ray stands to a face that a turn may bring it to: its part
// along the face's normal, and the size of the rest.
type facing struct {
	face          int
	along, beside float64
}

var errSurface = errors.New("a part has no closed convex surface")

// newPart returns s about ref.
func newPart(s *solid.Polyhedron, ref r3.Vec) (part, error) {
	const flat = 1e-7 // how far the corners of a face may be off its plane
	c := s.Centroid()
	p := part{middle: r3.Sub(c, ref)}
	for _, v := range s.Vertices() {
		p.verts = append(p.verts, r3.Sub(v, ref))
	}
	var to []r3.Vec
	for _, v := range s.Vertices() {
		to = append(to, r3.Sub(v, c))
	}
	edges := map[[2]r3.Vec]bool{}
	number := map[r3.Vec]int{}
	for i, v := range s.Vertices() {
		number[v] = i
	}
	for _, corners := range s.Faces() {
		var n r3.Vec
		for i := 2; i < len(corners); i++ {
			n = r3.Add(n, r3.Cross(r3.Sub(corners[i-1], corners[0]), r3.Sub(corners[i], corners[0])))
		}
		f := face{n: r3.Unit(n), h: math.Inf(-1)}
		for _, v := range s.Vertices() {
			f.h = max(f.h, r3.Dot(f.n, r3.Sub(v, c)))
		}
		if !(f.h > 0) {
			return part{}, errSurface
		}
		for i, v := range corners {
			w := corners[(i+1)%len(corners)]
			if edges[[2]r3.Vec{v, w}] || r3.Dot(f.n, r3.Sub(v, c)) < f.h-flat {
				return part{}, errSurface
			}
			edges[[2]r3.Vec{v, w}] = true
			if !edges[[2]r3.Vec{w, v}] {
				p.edges = append(p.edges, [2]int{number[v], number[w]})
				to = append(to, r3.Sub(r3.Scale(0.5, r3.Add(v, w)), c))
			}
		}
		p.faces = append(p.faces, f)
		to = append(to, r3.Scale(f.h, f.n)) // where the core loses nothing
	}
	for e := range edges {
		if !edges[[2]r3.Vec{e[1], e[0]}] {
			return part{}, errSurface
		}
	}
	if len(p.faces) < 4 {
		return part{}, errSurface
	}
	for _, v := range to {
		p.rays = append(p.rays, p.newRay(v))
	}
	r := math.Inf(1)
	for _, f := range p.faces {
		r = min(r, f.h)
	}
	for x := -1.0; x <= 1; x++ {
		for y := -1.0; y <= 1; y++ {
			for z := -1.0; z <= 1; z++ {
				if v := (r3.Vec{X: x, Y: y, Z: z}); v != (r3.Vec{}) {
					p.ball = append(p.ball, r3.Scale(r, r3.Unit(v)))
				}
			}
		}
	}
	return p, nil
}

func (p *part) newRay(v r3.Vec) ray {
	r := ray{to: v, length: norm(v)}
	for i, f := range p.faces {
		if f.h < r.length {
			r.facing = append(r.facing, facing{i, r3.Dot(f.n, v), norm(r3.Cross(f.n, v))})
		}
	}
	return r
}

// A quaternion has its components in the order 1, i, j, k.
type quaternion [4]float64

func (a quaternion) times(b quaternion) quaternion {
	return quaternion{
		a[0]*b[0] - a[1]*b[1] - a[2]*b[2] - a[3]*b[3],
		a[0]*b[1] + a[1]*b[0] + a[2]*b[3] - a[3]*b[2],
		a[0]*b[2] - a[1]*b[3] + a[2]*b[0] + a[3]*b[1],
		a[0]*b[3] + a[1]*b[2] - a[2]*b[1] + a[3]*b[0],
	}
}

// inCube returns the quaternion at coordinates a of a cube.
func inCube(cube int, a [3]float64) quaternion {
	q := quaternion{}
	q[cube] = 1
	copy(q[:cube], a[:cube])
	copy(q[cube+1:], a[cube:])
	return q
}

// swing is the turns of a cell, each as the turn at the cell's middle and one
// after it, which as a quaternion is (1, u) but for its size. Each u is in the hull of
// the ends, its square at most square.
//
// A turn (1, u) takes v to v + 2/(1+u²)·(u×v + u×(u×v)), with u = tan(θ/2) times
// the axis.
type swing struct {
	rows     [3]r3.Vec // of the turn at the middle
	ends     [8]r3.Vec
	square   float64
	cos, sin float64 // of the greatest θ
	second   float64 // 2u²/(1+u²) at its greatest
}

// newSwing bounds the turns from lo to hi of a cube. Quaternions of the cell that
// are scaled to have (1, u) before the middle are a projective image of it, so
// that its corners come to the ends: the component that is scaled to 1 is that of a
// corner c along the middle m, in proportion 1 + Σ cᵢmᵢ, and each cᵢmᵢ = c(c+d)/2
// with the other end d is at least −1/8.
func newSwing(cube int, lo, hi [3]float64) swing {
	var mid [3]float64
	for i := range mid {
		mid[i] = (lo[i] + hi[i]) / 2
	}
	m := inCube(cube, mid)
	s := swing{rows: m.rows()}
	back := quaternion{m[0], -m[1], -m[2], -m[3]}
	const steps = 1e-14 // rounding of the lines below
	for corner := range 8 {
		a := lo
		for i := range a {
			if corner>>i&1 != 0 {
				a[i] = hi[i]
			}
		}
		d := inCube(cube, a).times(back)
		s.ends[corner] = r3.Vec{X: d[1] / d[0], Y: d[2] / d[0], Z: d[3] / d[0]}
		s.square = max(s.square, r3.Norm2(s.ends[corner])+steps)
	}
	s.cos, s.sin = (1-s.square)/(1+s.square), 2*math.Sqrt(s.square)/(1+s.square)
	s.second = 2 * s.square / (1 + s.square)
	return s
}

// rows returns the rows of the matrix of a, of any size.
func (a quaternion) rows() [3]r3.Vec {
	w, x, y, z := a[0], a[1], a[2], a[3]
	f := 2 / (w*w + x*x + y*y + z*z)
	return [3]r3.Vec{
		{X: 1 - f*(y*y+z*z), Y: f * (x*y - w*z), Z: f * (x*z + w*y)},
		{X: f * (x*y + w*z), Y: 1 - f*(x*x+z*z), Z: f * (y*z - w*x)},
		{X: f * (x*z - w*y), Y: f * (y*z + w*x), Z: 1 - f*(x*x+y*y)},
	}
}

func (s *swing) turn(v r3.Vec) r3.Vec {
	return r3.Vec{X: dot(s.rows[0], v), Y: dot(s.rows[1], v), Z: dot(s.rows[2], v)}
}

// norm is the length of v; coordinates here are far from overflow.
func norm(v r3.Vec) float64 { return math.Sqrt(dot(v, v)) }

func dot(a, b r3.Vec) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

func cross(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: a.Y*b.Z - a.Z*b.Y, Y: a.Z*b.X - a.X*b.Z, Z: a.X*b.Y - a.Y*b.X}
}

// play bounds how far, in each coordinate, the turns of the cell take the point
// that is at v at the middle.
func (s *swing) play(v r3.Vec) r3.Vec {
	return r3.Vec{X: s.sway(v, r3.Vec{X: 1}), Y: s.sway(v, r3.Vec{Y: 1}), Z: s.sway(v, r3.Vec{Z: 1})}
}

// most returns the greatest size of u·v: u is in the hull of the ends.
func (s *swing) most(v r3.Vec) float64 {
	most := 0.0
	for i := range s.ends {
		most = max(most, math.Abs(dot(s.ends[i], v)))
	}
	return most
}

// sway bounds how far, along an axis, the turns of the cell take the point that is at v at
// the middle.
func (s *swing) sway(v, axis r3.Vec) float64 {
	return 2*s.most(cross(v, axis)) + s.second*norm(v) + rounding
}

// leans bounds from below how far, at any turn of the cell, d·p − slope·q.Y goes for
// points that are at p and q at the middle.
func (s *swing) leans(p, q, d r3.Vec, slope float64) float64 {
	// What a small turn u changes is u·(p×d) − slope·u·(q×Y) twice, and more by its square.
	first := r3.Sub(cross(p, d), r3.Scale(slope, cross(q, r3.Vec{Y: 1})))
	size := norm(p) + math.Abs(slope)*norm(q)
	return dot(p, d) - slope*q.Y - 2*s.most(first) - s.second*size - rounding*(1+math.Abs(slope))
}

// toward bounds how far along the normal n of a face a turn of the cell, or its
// reverse, takes the end v of a ray, as far as that is more than enough. Two bounds
// hold; which is less depends on how unequal the components of reach are.
//
// By the angle: a turn by θ brings v nearer to n by θ at most. By components: let
// v = a·n + w. Then n·(u×v) = u·(w×n), and n·(u×(u×v)) is −a(u² − (u·n)²) +
// (u·n)(u·w), whose last term is at most ½u²|w|; the one before is not
// positive unless a is negative.
func (s *swing) toward(n, v r3.Vec, f facing, length, enough float64) float64 {
	angle := length
	if f.along < length*s.cos {
		angle = f.along*s.cos + f.beside*s.sin
	}
	if angle <= enough { // as it is for most, the other bound takes longer
		return angle
	}
	b := f.along + 2*s.most(cross(v, n)) + s.square*f.beside
	if f.along < 0 {
		b -= s.second * f.along
	}
	return min(b, angle)
}
