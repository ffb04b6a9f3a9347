package proof

import (
	"cmp"
	"errors"
	"math"
	"slices"

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

// play bounds how far, in each coordinate, the turns of the cell take the point
// that is at v at the middle.
func (s *swing) play(v r3.Vec) r3.Vec {
	second := s.second*norm(v) + rounding
	return r3.Vec{
		X: 2*s.most(r3.Vec{Y: v.Z, Z: -v.Y}) + second,
		Y: 2*s.most(r3.Vec{Z: v.X, X: -v.Z}) + second,
		Z: 2*s.most(r3.Vec{X: v.Y, Y: -v.X}) + second,
	}
}

// most returns the greatest size of u·v: u is in the hull of the ends.
func (s *swing) most(v r3.Vec) float64 {
	most := 0.0
	for i := range s.ends {
		most = max(most, math.Abs(dot(s.ends[i], v)))
	}
	return most
}

// leans bounds from below how far, at any turn of the cell, d·p − slope·q.Y goes for
// points that are at p and q at the middle.
func (s *swing) leans(p, q, d r3.Vec, slope float64) float64 {
	// What a small turn u changes is u·(p×d) − slope·u·(q×Y) twice, and more by its square.
	first := r3.Sub(r3.Cross(p, d), r3.Scale(slope, r3.Cross(q, r3.Vec{Y: 1})))
	size := norm(p) + math.Abs(slope)*norm(q)
	return dot(p, d) - slope*q.Y - 2*s.most(first) - s.second*size - rounding*(1+math.Abs(slope))
}

// toward bounds how far along the normal n of a face a turn of the cell, or its
// reverse, takes the end v of a ray. Two bounds hold; which is less depends on how
// unequal the components of reach are.
//
// By the angle: a turn by θ brings v nearer to n by θ at most. By components: let
// v = a·n + w. Then n·(u×v) = u·(w×n), and n·(u×(u×v)) is −a(u² − (u·n)²) +
// (u·n)(u·w), whose last term is at most ½u²|w|; the one before is not
// positive unless a is negative.
func (s *swing) toward(n, v r3.Vec, f facing, length float64) float64 {
	angle := length
	if f.along < length*s.cos {
		angle = f.along*s.cos + f.beside*s.sin
	}
	cross := s.most(r3.Vec{X: v.Y*n.Z - v.Z*n.Y, Y: v.Z*n.X - v.X*n.Z, Z: v.X*n.Y - v.Y*n.X})
	b := f.along + 2*cross + s.square*f.beside
	if f.along < 0 {
		b -= s.second * f.along
	}
	return min(b, angle)
}

// spot is a point at a depth, with how far it goes in each direction across.
type spot struct {
	y   float64
	far [directions]float64
}

// place is a depth and how far something goes there in one direction across.
type place struct{ y, e float64 }

// chain is a concave line, the upper border of a convex outline: how far it goes
// in one direction across, over depth.
type chain []place

// set makes c the border of spots, which are in the order of their depths.
func (c *chain) set(spots []spot, direction int) {
	*c = (*c)[:0]
	for i := range spots {
		*c = c.with(place{spots[i].y, spots[i].far[direction]})
	}
}

// with returns the border of c and of a place no less deep than what c has.
func (c *chain) with(p place) chain {
	h := *c
	if n := len(h); n > 0 && h[n-1].y == p.y {
		if h[n-1].e >= p.e {
			return h
		}
		h = h[:n-1]
	}
	for len(h) >= 2 {
		a, b := h[len(h)-2], h[len(h)-1]
		if (b.e-a.e)*(p.y-a.y) > (p.e-a.e)*(b.y-a.y) {
			break
		}
		h = h[:len(h)-1]
	}
	return append(h, p)
}

// farthest returns the greatest value over depths from a to b, −Inf where c has
// none of them.
func (c *chain) farthest(a, b float64) float64 {
	line := *c
	n := len(line)
	if n == 0 || a > b || line[n-1].y < a || line[0].y > b {
		return math.Inf(-1)
	}
	top := 0
	for top+1 < n && line[top+1].e > line[top].e {
		top++
	}
	y := min(max(line[top].y, a), b)
	i := top
	for i > 0 && line[i].y > y {
		i--
	}
	for i+1 < n && line[i+1].y <= y {
		i++
	}
	if i+1 == n || line[i].y >= y {
		return line[i].e
	}
	p, q := line[i], line[i+1]
	return p.e + (q.e-p.e)*((y-p.y)/(q.y-p.y))
}

// turned is what is known of a part over all turns of a cell, about the
// reference point.
type turned struct {
	middle, play r3.Vec
	core         [directions]chain // about middle, in the part at every turn
	low, high    float64           // depth the core has
	corners      []corner
	most         [directions]float64 // how far these go from the middle, at the middle of the cell
	// outline holds the part at every turn; it is computed where boxes ask for it.
	outline [directions]chain
	points  []r3.Vec
	rim     []r3.Vec // once asked for
	// smallest is by what the corners are scaled at least to be in the part at every turn.
	smallest float64
	spots    []spot
	normals  []r3.Vec

	part   *part
	swing  *swing
	passed [directions][]passes // once asked for
}

// corner is a corner of the part at the middle of the cell, and how far off it
// may be.
type corner struct {
	at, play r3.Vec
	own      r3.Vec // how far off it may be about the middle of its part
	// out tells that it may be outside, by a gate, but with the reference point no deeper
	// than before, or at least as deep as behind.
	out            bool
	before, behind float64
}

// set computes t, of what surely is inside of the gates of a room, if it has some.
func (t *turned) set(p *part, s *swing, room *Room, outline bool) {
	t.part, t.swing, t.passed = p, s, [directions][]passes{}
	t.middle = s.turn(p.middle)
	t.play = s.play(t.middle)
	t.normals = t.normals[:0]
	for i := range p.faces {
		t.normals = append(t.normals, s.turn(p.faces[i].n))
	}
	t.points, t.smallest = t.points[:0], 1
	for i := range p.rays {
		r := &p.rays[i]
		v := s.turn(r.to)
		scale := 1.0
		// The point at scale is in the part at every turn where every reverse of
		// one, from the middle, leaves it behind every face.
		for _, f := range r.facing {
			if b := s.toward(t.normals[f.face], v, f, r.length); b*scale > p.faces[f.face].h {
				scale = p.faces[f.face].h / b
			}
		}
		t.points = append(t.points, r3.Scale(scale, v))
		if i < len(p.verts) { // a corner
			t.smallest = min(t.smallest, scale)
		}
	}
	t.points = append(t.points, p.ball...)
	points, levels := t.points, []float64(nil)
	if len(room.Gates) > 0 {
		points, levels = room.inside(points)
		t.smallest = 0 // corners may be beyond
	}
	t.spots = t.spots[:0]
	for _, v := range points {
		t.spots = append(t.spots, spot{v.Y, along(v)})
	}
	t.chains(&t.core)
	t.points, t.rim = points, nil
	t.low, t.high = math.Inf(1), math.Inf(-1)
	for i := range t.spots {
		t.low, t.high = min(t.low, t.spots[i].y), max(t.high, t.spots[i].y)
	}
	t.low, t.high = t.low+t.middle.Y+t.play.Y, t.high+t.middle.Y-t.play.Y
	t.corners = t.corners[:0]
	for _, v := range p.verts {
		c := corner{at: s.turn(v), own: s.play(s.turn(r3.Sub(v, p.middle)))}
		c.play = s.play(c.at)
		t.corners = append(t.corners, c)
	}
	room.outside(t, levels)
	t.most = [directions]float64{}
	for i := range t.corners {
		c := &t.corners[i]
		for d, e := range along(r3.Sub(c.at, t.middle)) {
			t.most[d] = max(t.most[d], e)
		}
		if !c.out {
			t.low, t.high = min(t.low, c.at.Y+c.play.Y), max(t.high, c.at.Y-c.play.Y)
		}
	}
	if !outline {
		return
	}
	t.spots = t.spots[:0]
	for _, v := range p.verts {
		at := s.turn(v)
		c := corner{at: at, play: s.play(at)}
		far := along(c.at)
		for d, by := range [directions]float64{c.play.X, c.play.X, c.play.Z, c.play.Z} {
			far[d] += by
		}
		t.spots = append(t.spots, spot{c.at.Y - c.play.Y, far}, spot{c.at.Y + c.play.Y, far})
	}
	t.chains(&t.outline)
}

func (t *turned) chains(out *[directions]chain) {
	slices.SortFunc(t.spots, func(a, b spot) int { return cmp.Compare(a.y, b.y) })
	for d := range out {
		out[d].set(t.spots, d)
	}
}

// reach returns how far from the reference point, in each direction, the part
// surely goes within the slab from l0 to l1, at every turn of the cell and every
// depth from y0 to y1. Seen from its middle the slab takes a range of places, and
// how far a concave border goes within a window is concave in where the window
// is: so the first and the last place decide.
func (t *turned) reach(l0, l1, y0, y1 float64) [directions]float64 {
	first, last := y1+t.middle.Y+t.play.Y, y0+t.middle.Y-t.play.Y
	far := along(t.middle)
	for d, by := range [directions]float64{t.play.X, t.play.X, t.play.Z, t.play.Z} {
		c := t.core[d]
		far[d] += min(c.farthest(l0-first, l1-first), c.farthest(l0-last, l1-last)) - by
	}
	for i := range t.corners {
		c := &t.corners[i]
		if c.out || y0+c.at.Y-c.play.Y < l0 || y1+c.at.Y+c.play.Y > l1 {
			continue
		}
		far[0] = max(far[0], c.at.X-c.play.X)
		far[1] = max(far[1], -c.at.X-c.play.X)
		far[2] = max(far[2], c.at.Z-c.play.Z)
		far[3] = max(far[3], -c.at.Z-c.play.Z)
	}
	return far
}
