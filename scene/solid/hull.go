package solid

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// ErrFlat is the error of points that span no volume.
var ErrFlat = errors.New("points span no volume")

// gridBits is the number of bits of a coordinate on the grid of a hull, and of
// differences between two; determinants of three differences have 123.
const gridBits = 40

// Hull returns the convex hull of points; it is an error if they span no volume
// or one is not finite.
//
// The faces are decided exactly on a grid of 2⁻⁴⁰ of the points' extent. What is
// flat but for 16 of its units, or the rounding of the coordinates, is one face,
// and a point that sticks out by no more than that may be dropped. Corners keep
// their coordinates.
func Hull(points []r3.Vec) (*Polyhedron, error) {
	h, err := newHull(points)
	if err != nil {
		return nil, err
	}
	for i := range h.grid {
		h.add(i)
	}
	return h.polyhedron(), nil
}

// A hull grows by one point after another.
type hull struct {
	points []r3.Vec
	grid   [][3]int64
	unit   float64 // size of the grid
	// flat is how far, in units of the grid, a point may be beside a face and
	// still belong to it. The corners of a turned body are off their common
	// plane by the rounding of the turn.
	flat  float64
	faces []triangular
	// fresh is, for each point of the horizon, the new face that starts there.
	fresh []int
}

// A triangular face of the growing hull. Its normal is in units of the grid;
// wide is the same with all products counted as positive.
type triangular struct {
	v            [3]int // counter-clockwise seen from outside
	next         [3]int // the faces across the edges from v[i] to v[i+1]
	normal, wide r3.Vec
	dead         bool
}

func newHull(points []r3.Vec) (*hull, error) {
	if len(points) == 0 {
		return nil, ErrFlat
	}
	b := BoundsOfPoints(points)
	size := max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Max.Z-b.Min.Z)
	if math.IsNaN(size) || math.IsInf(size, 0) {
		return nil, fmt.Errorf("points between %v and %v: not finite", b.Min, b.Max)
	}
	h := &hull{points: points, grid: make([][3]int64, len(points)), fresh: make([]int, len(points))}
	_, exp := math.Frexp(size)
	h.unit = math.Ldexp(1, exp-gridBits)
	h.flat = 16 + 8*0x1p-52*(absSum(b.Min)+absSum(b.Max))/h.unit
	for i, p := range points {
		d := r3.Scale(1/h.unit, r3.Sub(p, b.Min))
		h.grid[i] = [3]int64{int64(math.Round(d.X)), int64(math.Round(d.Y)), int64(math.Round(d.Z))}
	}
	// Four points far apart: a first tetrahedron.
	farthest := func(measure func(d r3.Vec) float64) (int, float64) {
		k, far := 0, 0.0
		for i := range points {
			if m := measure(h.between(0, i)); m > far {
				k, far = i, m
			}
		}
		return k, far
	}
	p, length := farthest(r3.Norm)
	along := r3.Unit(h.between(0, p))
	q, width := farthest(func(d r3.Vec) float64 { return r3.Norm(r3.Cross(along, d)) })
	normal := r3.Unit(r3.Cross(along, h.between(0, q)))
	r, height := farthest(func(d r3.Vec) float64 { return math.Abs(r3.Dot(normal, d)) })
	if !(length > h.flat && width > h.flat && height > h.flat) {
		return nil, ErrFlat
	}
	if h.height(h.face(0, p, q), r) > 0 {
		p, q = q, p
	}
	h.faces = []triangular{h.face(0, p, q), h.face(0, q, r), h.face(0, r, p), h.face(p, r, q)}
	for i, next := range [][3]int{{2, 3, 1}, {0, 3, 2}, {1, 3, 0}, {2, 1, 0}} {
		h.faces[i].next = next
	}
	return h, nil
}

// between returns the way from point a to point b, exact, in units of the grid.
func (h *hull) between(a, b int) r3.Vec {
	p, q := h.grid[a], h.grid[b]
	return r3.Vec{X: float64(q[0] - p[0]), Y: float64(q[1] - p[1]), Z: float64(q[2] - p[2])}
}

func (h *hull) face(a, b, c int) triangular {
	// Across the two shorter edges: the cross product loses least.
	u, v, w := h.between(a, b), h.between(b, c), h.between(c, a)
	switch lu, lv, lw := r3.Norm2(u), r3.Norm2(v), r3.Norm2(w); {
	case lu >= lv && lu >= lw:
		u, v = v, w
	case lv >= lw:
		u, v = w, u
	}
	return triangular{
		v:      [3]int{a, b, c},
		normal: r3.Cross(u, v),
		wide: r3.Vec{
			X: math.Abs(u.Y*v.Z) + math.Abs(u.Z*v.Y),
			Y: math.Abs(u.Z*v.X) + math.Abs(u.X*v.Z),
			Z: math.Abs(u.X*v.Y) + math.Abs(u.Y*v.X),
		},
	}
}

// height returns the sign of the height of point p over f, exact on the grid.
func (h *hull) height(f triangular, p int) int {
	// Each of the nine products and sums on the way to the determinant is off
	// by at most 2⁻⁵³ of its size; five of them act on one term.
	const bound = 8 * 0x1p-53
	d := h.between(f.v[0], p)
	det := r3.Dot(f.normal, d)
	if e := bound * (f.wide.X*math.Abs(d.X) + f.wide.Y*math.Abs(d.Y) + f.wide.Z*math.Abs(d.Z)); math.Abs(det) > e {
		return cmp.Compare(det, 0)
	}
	return h.exact(f.v, p)
}

// exact returns the sign of the determinant of the ways from v[0] to v[1], v[2]
// and p.
func (h *hull) exact(v [3]int, p int) int {
	var m [3][3]int64
	for i, q := range [3]int{v[1], v[2], p} {
		for j := range 3 {
			m[i][j] = h.grid[q][j] - h.grid[v[0]][j]
		}
	}
	var sum wide
	for j := range 3 {
		k, l := (j+1)%3, (j+2)%3
		sum = sum.plus(product(m[0][k], m[1][l]).minus(product(m[0][l], m[1][k])).times(m[2][j]))
	}
	return sum.sign()
}

// A wide is a whole number of 128 bits in two's complement.
type wide struct{ hi, lo uint64 }

func product(a, b int64) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	// Seen as unsigned, a negative factor is 2⁶⁴ too large.
	if a < 0 {
		hi -= uint64(b)
	}
	if b < 0 {
		hi -= uint64(a)
	}
	return wide{hi, lo}
}

func (w wide) times(a int64) wide {
	hi, lo := bits.Mul64(w.lo, uint64(a))
	hi += w.hi * uint64(a)
	if a < 0 {
		hi -= w.lo
	}
	return wide{hi, lo}
}

func (w wide) plus(v wide) wide {
	lo, carry := bits.Add64(w.lo, v.lo, 0)
	hi, _ := bits.Add64(w.hi, v.hi, carry)
	return wide{hi, lo}
}

func (w wide) minus(v wide) wide {
	lo, borrow := bits.Sub64(w.lo, v.lo, 0)
	hi, _ := bits.Sub64(w.hi, v.hi, borrow)
	return wide{hi, lo}
}

func (w wide) sign() int {
	switch {
	case w.hi>>63 != 0:
		return -1
	case w.hi|w.lo != 0:
		return 1
	}
	return 0
}

// add grows the hull to point p.
func (h *hull) add(p int) {
	outside := false
	for i := range h.faces {
		if f := &h.faces[i]; h.height(*f, p) > 0 {
			f.dead, outside = true, true
		}
	}
	if !outside {
		return
	}
	// The faces that p sees go; each edge of their border makes a new one with p.
	old := len(h.faces)
	for i := range old {
		f := h.faces[i]
		if !f.dead {
			continue
		}
		for j, n := range f.next {
			if h.faces[n].dead {
				continue
			}
			a, b := f.v[j], f.v[(j+1)%3]
			g := h.face(a, b, p)
			g.next[0] = n
			for k, c := range h.faces[n].v {
				if c == b {
					h.faces[n].next[k] = len(h.faces)
				}
			}
			h.fresh[a] = len(h.faces)
			h.faces = append(h.faces, g)
		}
	}
	for i := old; i < len(h.faces); i++ {
		n := h.fresh[h.faces[i].v[1]]
		h.faces[i].next[1], h.faces[n].next[2] = n, i
	}
	h.bury()
}

// bury takes the dead faces out.
func (h *hull) bury() {
	to := make([]int, len(h.faces))
	n := 0
	for i, f := range h.faces {
		if !f.dead {
			h.faces[n], to[i] = f, n
			n++
		}
	}
	h.faces = h.faces[:n]
	for i := range h.faces {
		for j, k := range h.faces[i].next {
			h.faces[i].next[j] = to[k]
		}
	}
}

// polyhedron merges the triangles that lie in one plane.
func (h *hull) polyhedron() *Polyhedron {
	group := h.groups()
	var loops [][]int
	for g := range h.faces {
		loop, edges := h.border(group, g)
		if len(loop) != edges {
			// The border is in several pieces: rounding tore a thin face.
			for i := range group {
				if group[i] == g {
					loops = append(loops, slices.Clone(h.faces[i].v[:]))
				}
			}
			continue
		}
		if edges > 0 {
			loops = append(loops, loop)
		}
	}
	loops = straighten(loops, len(h.points))
	var verts []r3.Vec
	index := make([]int, len(h.points))
	for _, loop := range loops {
		for i, v := range loop {
			if index[v] == 0 {
				verts = append(verts, h.points[v])
				index[v] = len(verts)
			}
			loop[i] = index[v] - 1
		}
	}
	return polyhedron(verts, loops)
}

// groups gives each face the number of one in whose plane it lies, the largest
// ones choosing first.
func (h *hull) groups() []int {
	order := make([]int, len(h.faces))
	group := make([]int, len(h.faces))
	for i := range order {
		order[i], group[i] = i, -1
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(r3.Norm2(h.faces[j].normal), r3.Norm2(h.faces[i].normal))
	})
	for _, seed := range order {
		if group[seed] >= 0 {
			continue
		}
		s := h.faces[seed]
		normal := r3.Unit(s.normal)
		group[seed] = seed
		for todo := []int{seed}; len(todo) > 0; {
			f := h.faces[todo[0]]
			todo = todo[1:]
			for _, n := range f.next {
				if group[n] >= 0 {
					continue
				}
				in := true
				for _, v := range h.faces[n].v {
					in = in && math.Abs(r3.Dot(normal, h.between(s.v[0], v))) <= h.flat
				}
				if in {
					group[n] = seed
					todo = append(todo, n)
				}
			}
		}
	}
	return group
}

// border returns the corners round group g and the number of its border edges.
func (h *hull) border(group []int, g int) (loop []int, edges int) {
	follows := map[int]int{}
	start := -1
	for i, f := range h.faces {
		if group[i] != g {
			continue
		}
		for j, n := range f.next {
			if group[n] != g {
				follows[f.v[j]] = f.v[(j+1)%3]
				start = f.v[j]
				edges++
			}
		}
	}
	if edges == 0 {
		return nil, 0
	}
	for v := start; ; {
		loop = append(loop, v)
		if v = follows[v]; v == start || len(loop) > edges {
			return loop, edges
		}
	}
}

// straighten drops corners that only two faces have, which lie in the middle of
// an edge, and faces that are left with no area.
func straighten(loops [][]int, points int) [][]int {
	for {
		count := make([]int, points)
		for _, loop := range loops {
			for _, v := range loop {
				count[v]++
			}
		}
		changed := false
		kept := loops[:0]
		for _, loop := range loops {
			n := len(loop)
			loop = slices.DeleteFunc(loop, func(v int) bool { return count[v] < 3 })
			changed = changed || len(loop) < n
			if len(loop) > 2 {
				kept = append(kept, loop)
			}
		}
		loops = kept
		if !changed {
			return loops
		}
	}
}
