// Package balls proves that no arm gets from a place to the outside of a box.
//
// An arm is followed from the place on: a ball of radius Radius(s) with its
// middle s along it is inside of it, or would be. The room is cut into cubes. A
// cube is left out where no point of it has room for the ball of the shortest
// arm that could be there; what is left is more than there is. On its corners
// stands a number u, as a front would arrive that walks through the cubes; its
// slope in each of six tetrahedra of each cube is then measured, so that the
// length of any way is at least what u rises by divided by the slope. However u
// came about, that bound holds. Millimetres.
package balls

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Query is one question.
type Query struct {
	// Solids are what is certainly there, each with how much farther away it may
	// be than measured.
	Solids []solid.Solid
	Tape   []float64
	// Box is what the arm must come out of.
	Box r3.Box
	// Zone is where the place may be. The first ball, of radius First, has its
	// middle not farther than Near from it, in a straight line from it that
	// passes through no solid.
	Zone        r3.Box
	Near, First float64
	// Radius does not fall with the distance along the arm, from the place on.
	Radius func(s float64) float64
	// Length is how long the arm is. Longer ways are not told apart.
	Length float64
	// Hand is how far along the arm the wrist is; 0: it is not asked where that may be.
	Hand float64
}

// An Answer is what was proved.
type Answer struct {
	// Room tells that the first ball may have room.
	Room bool
	// Least is proved: no arm that comes out is shorter. It is +Inf where none
	// comes out however long, and not told apart above Length.
	Least float64
	// Short is by how much the ball that came nearest to going on was too large,
	// Between the solids next to it, the nearest first: indices, -1 for none.
	Short   float64
	Between [2]int
	// Stopped has for each solid how many cubes beside it stopped the front.
	Stopped []int
	// Wrists hold the wrist of every arm; nil where it was not asked for.
	Wrists []r3.Box
}

const (
	// edge is the edge of a cube: less than the least radius of a palm, so that no
	// cube that a wall goes through has room for one.
	edge = 12.0
	// fine is how often a cube is cut into eight to see whether it has room, finest
	// the same for the first ball.
	fine, finest = 3, 6
	// slack is how much farther than an arm is long the front goes: the length
	// that is proved is a little less than how far it went.
	slack = 1.12
)

// earliest is what is taken for the length of an arm where u is what it is, until
// the slope is known. Where that was too much nothing is proved.
func earliest(u float64) float64 { return max(0, 0.86*u-2*edge) }

// Prove answers q.
func Prove(q Query) Answer {
	g := newGrid(q)
	g.start()
	out := Answer{Room: g.begun, Least: math.Inf(1), Short: g.short, Between: g.between, Stopped: g.stopped}
	if !g.begun {
		return out
	}
	if q.Hand > 0 {
		out.Wrists = g.wrists()
		g.forget()
	}
	g.march()
	out.Short, out.Between = g.short, g.between
	if math.IsInf(g.level, 1) {
		return out
	}
	length, ok := g.lengthAt(g.level)
	if !ok {
		length = 0
	}
	out.Least = length
	return out
}

type grid struct {
	Query
	isFlat     []bool
	bounds     []r3.Box
	origin     r3.Vec
	nx, ny, nz int // corners
	u          []float64
	settled    []bool
	cell       []cellState
	queue      heap
	begun      bool
	first      []int // the cubes of the first ball
	stopped    []int
	far        float64 // how far the front goes
	level      float64 // u where the front first came outside, or to the end of the grid
	short      float64
	between    [2]int
	near       []int // scratch
}

type cellState uint8

const (
	unknown cellState = iota
	open
	shut
)

func newGrid(q Query) *grid {
	g := &grid{Query: q, short: math.Inf(1), level: math.Inf(1), between: [2]int{-1, -1}, stopped: make([]int, len(q.Solids))}
	for _, s := range q.Solids {
		b := s.Bounds()
		g.bounds = append(g.bounds, b)
		d := r3.Sub(b.Max, b.Min)
		v := d.X * d.Y * d.Z
		g.isFlat = append(g.isFlat, math.Abs(s.Volume()-v) <= 1e-9*v)
	}
	g.far = slack*q.Length + 4*edge
	lo := func(box, zone float64) float64 { return max(box-edge, zone-g.far) }
	hi := func(box, zone float64) float64 { return min(box+edge, zone+g.far) }
	low := r3.Vec{X: lo(q.Box.Min.X, q.Zone.Min.X), Y: lo(q.Box.Min.Y, q.Zone.Min.Y), Z: lo(q.Box.Min.Z, q.Zone.Min.Z)}
	high := r3.Vec{X: hi(q.Box.Max.X, q.Zone.Max.X), Y: hi(q.Box.Max.Y, q.Zone.Max.Y), Z: hi(q.Box.Max.Z, q.Zone.Max.Z)}
	g.origin = low
	n := func(l float64) int { return max(1, int(math.Ceil(l/edge))) + 1 }
	g.nx, g.ny, g.nz = n(high.X-low.X), n(high.Y-low.Y), n(high.Z-low.Z)
	all := g.nx * g.ny * g.nz
	g.u, g.settled, g.cell = make([]float64, all), make([]bool, all), make([]cellState, all)
	for i := range g.u {
		g.u[i] = math.Inf(1)
	}
	return g
}

// index numbers corners, and cubes by their low corner.
func (g *grid) index(i, j, k int) int { return (k*g.ny+j)*g.nx + i }

func (g *grid) parts(n int) (i, j, k int) {
	return n % g.nx, n / g.nx % g.ny, n / g.nx / g.ny
}

func (g *grid) corner(i, j, k int) r3.Vec {
	return r3.Vec{X: g.origin.X + edge*float64(i), Y: g.origin.Y + edge*float64(j), Z: g.origin.Z + edge*float64(k)}
}

func (g *grid) cube(i, j, k int) r3.Box {
	return r3.Box{Min: g.corner(i, j, k), Max: g.corner(i+1, j+1, k+1)}
}

// room returns the room round p that the solids leave, of those listed; all for
// nil.
func (g *grid) room(p r3.Vec, among []int) (d float64, nearest int) {
	d, nearest = math.Inf(1), -1
	at := func(i int) {
		b := &g.bounds[i]
		x := max(b.Min.X-p.X, p.X-b.Max.X)
		y := max(b.Min.Y-p.Y, p.Y-b.Max.Y)
		z := max(b.Min.Z-p.Z, p.Z-b.Max.Z)
		var l float64
		if x <= 0 && y <= 0 && z <= 0 {
			l = max(x, y, z)
			if !g.isFlat[i] {
				l = math.Inf(-1)
			}
		} else {
			x, y, z = max(x, 0), max(y, 0), max(z, 0)
			l = math.Sqrt(x*x + y*y + z*z)
		}
		if l+g.Tape[i] >= d {
			return
		}
		if !g.isFlat[i] {
			// High is never less than the distance there is.
			l = solid.Distance(&solid.Ball{Centre: p}, g.Solids[i]).High
		}
		if l += g.Tape[i]; l < d {
			d, nearest = l, i
		}
	}
	if among == nil {
		for i := range g.bounds {
			at(i)
		}
		return d, nearest
	}
	for _, i := range among {
		at(i)
	}
	return d, nearest
}

// admits reports whether some point of the cube may have room for a ball of
// radius r, looking so many times finer.
func (g *grid) admits(b r3.Box, r float64, finer int) bool {
	middle := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	half := (b.Max.X - b.Min.X) / 2
	c, nearest := g.room(middle, nil)
	if c >= r {
		return true
	}
	ok := c+half*math.Sqrt(3) >= r
	if ok {
		// Only what is near counts anywhere in the cube.
		g.near = g.near[:0]
		for i := range g.bounds {
			if outsideBy(middle, g.bounds[i])+g.Tape[i] < c+2*half*math.Sqrt(3) {
				g.near = append(g.near, i)
			}
		}
		ok = g.admitsPart(middle, half, r, finer)
	}
	if !ok && nearest >= 0 {
		g.stopped[nearest]++
		if r-c < g.short {
			g.short, g.between = r-c, [2]int{nearest, g.second(middle, nearest)}
		}
	}
	return ok
}

func (g *grid) admitsPart(middle r3.Vec, half, r float64, finer int) bool {
	c, _ := g.room(middle, g.near)
	switch {
	case c >= r:
		return true
	case c+half*math.Sqrt(3) < r:
		return false
	case finer == 0:
		return true
	}
	q := half / 2
	for o := range 8 {
		s := [2]float64{-q, q}
		m := r3.Add(middle, r3.Vec{X: s[o&1], Y: s[o>>1&1], Z: s[o>>2&1]})
		if g.admitsPart(m, q, r, finer-1) {
			return true
		}
	}
	return false
}

// second returns which solid is next nearest to p but for one.
func (g *grid) second(p r3.Vec, but int) int {
	rest := make([]int, 0, len(g.bounds))
	for i := range g.bounds {
		if i != but {
			rest = append(rest, i)
		}
	}
	_, n := g.room(p, rest)
	return n
}

// outsideBy returns how far p is outside of b, 0 where it is inside.
func outsideBy(p r3.Vec, b r3.Box) float64 {
	x := max(b.Min.X-p.X, p.X-b.Max.X, 0)
	y := max(b.Min.Y-p.Y, p.Y-b.Max.Y, 0)
	z := max(b.Min.Z-p.Z, p.Z-b.Max.Z, 0)
	return math.Sqrt(x*x + y*y + z*z)
}

// between returns the distance of two boxes.
func between(p, q r3.Box) float64 {
	x := max(q.Min.X-p.Max.X, p.Min.X-q.Max.X, 0)
	y := max(q.Min.Y-p.Max.Y, p.Min.Y-q.Max.Y, 0)
	z := max(q.Min.Z-p.Max.Z, p.Min.Z-q.Max.Z, 0)
	return math.Sqrt(x*x + y*y + z*z)
}

// start puts the first ball wherever it may be.
func (g *grid) start() {
	for k := range g.nz - 1 {
		for j := range g.ny - 1 {
			for i := range g.nx - 1 {
				b := g.cube(i, j, k)
				if between(b, g.Zone) > g.Near || g.hidden(b) || !g.admits(b, g.First, finest) {
					continue
				}
				g.begun = true
				g.first = append(g.first, g.index(i, j, k))
				for o := range 8 {
					ci, cj, ck := i+o&1, j+o>>1&1, k+o>>2&1
					n := g.index(ci, cj, ck)
					if d := outsideBy(g.corner(ci, cj, ck), g.Zone); d < g.u[n] {
						g.u[n] = d
						g.queue.push(d, n)
					}
				}
			}
		}
	}
	if g.begun {
		g.forget()
	}
}

// forget begins anew with what is counted of cubes that have no room.
func (g *grid) forget() {
	g.short, g.between = math.Inf(1), [2]int{-1, -1}
	clear(g.stopped)
}

// hidden reports whether one solid is between every point of the zone and every
// point of b. From any point what a convex solid hides is convex, so that the
// corners are enough.
func (g *grid) hidden(b r3.Box) bool {
	hull := r3.Box{Min: least(b.Min, g.Zone.Min), Max: most(b.Max, g.Zone.Max)}
	for i := range g.bounds {
		if !g.isFlat[i] {
			continue
		}
		o, t := g.bounds[i], g.Tape[i]
		o.Min, o.Max = r3.Add(o.Min, r3.Vec{X: t, Y: t, Z: t}), r3.Sub(o.Max, r3.Vec{X: t, Y: t, Z: t})
		if o.Min.X >= o.Max.X || o.Min.Y >= o.Max.Y || o.Min.Z >= o.Max.Z || between(hull, o) > 0 ||
			between(g.Zone, o) == 0 { // what the place itself is in says nothing
			continue
		}
		if g.hides(o, b) {
			return true
		}
	}
	return false
}

func (g *grid) hides(o, b r3.Box) bool {
	point := g.Zone.Min == g.Zone.Max
	for p := range 8 {
		from := solid.Corner(g.Zone, p)
		for q := range 8 {
			if !hits(o, from, solid.Corner(b, q)) {
				return false
			}
		}
		if point {
			break
		}
	}
	return true
}

func least(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
}

func most(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
}

// hits reports whether the segment from p to q meets the box.
func hits(b r3.Box, p, q r3.Vec) bool {
	t0, t1 := 0.0, 1.0
	for _, c := range [3][4]float64{
		{p.X, q.X, b.Min.X, b.Max.X}, {p.Y, q.Y, b.Min.Y, b.Max.Y}, {p.Z, q.Z, b.Min.Z, b.Max.Z},
	} {
		d := c[1] - c[0]
		if d == 0 {
			if c[0] < c[2] || c[0] > c[3] {
				return false
			}
			continue
		}
		a, z := (c[2]-c[0])/d, (c[3]-c[0])/d
		if a > z {
			a, z = z, a
		}
		t0, t1 = max(t0, a), min(t1, z)
	}
	return t0 <= t1
}

// march lets the front go on through the cubes that have room, until it comes to
// one that goes beyond the box, or farther than an arm could be long.
func (g *grid) march() {
	for math.IsInf(g.level, 1) {
		u, n, ok := g.queue.pop()
		if !ok {
			return
		}
		if g.settled[n] || u > g.u[n] {
			continue
		}
		g.settled[n] = true
		i, j, k := g.parts(n)
		// Beyond the grid, where that ends inside the box, ways are longer still.
		if g.look(i, j, k, u) || u > g.far || g.ends(i, j, k) {
			g.level = u
		}
		for _, d := range steps {
			g.arrive(i+d[0], j+d[1], k+d[2])
		}
	}
}

// ends reports whether a corner is where the grid ends.
func (g *grid) ends(i, j, k int) bool {
	return i == 0 || j == 0 || k == 0 || i == g.nx-1 || j == g.ny-1 || k == g.nz-1
}

var steps = [6][3]int{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}

// look decides of each cube round a corner whether it is open when the front
// gets to it first, and reports whether one that is goes beyond the box.
func (g *grid) look(i, j, k int, u float64) (outside bool) {
	for o := range 8 {
		ci, cj, ck := i-o&1, j-o>>1&1, k-o>>2&1
		if ci < 0 || cj < 0 || ck < 0 || ci >= g.nx-1 || cj >= g.ny-1 || ck >= g.nz-1 {
			continue
		}
		n, b := g.index(ci, cj, ck), g.cube(ci, cj, ck)
		if g.cell[n] == unknown {
			g.cell[n] = shut
			if g.admits(b, g.Radius(earliest(u)), fine) {
				g.cell[n] = open
			}
		}
		outside = outside || g.cell[n] == open && (b.Min.X < g.Box.Min.X || b.Min.Y < g.Box.Min.Y || b.Min.Z < g.Box.Min.Z ||
			b.Max.X > g.Box.Max.X || b.Max.Y > g.Box.Max.Y || b.Max.Z > g.Box.Max.Z)
	}
	return outside
}

// passes reports whether the edge from one corner along an axis is an edge of an
// open cube.
func (g *grid) passes(i, j, k, axis int) bool {
	for o := range 4 {
		c := [3]int{i, j, k}
		c[(axis+1)%3] -= o & 1
		c[(axis+2)%3] -= o >> 1 & 1
		if c[0] < 0 || c[1] < 0 || c[2] < 0 || c[0] >= g.nx-1 || c[1] >= g.ny-1 || c[2] >= g.nz-1 {
			continue
		}
		if g.cell[g.index(c[0], c[1], c[2])] == open {
			return true
		}
	}
	return false
}

// arrive computes when the front gets to a corner from the settled ones beside
// it: the solution of Σ max(0, u − uᵢ)² = edge² over the three axes.
func (g *grid) arrive(i, j, k int) {
	if i < 0 || j < 0 || k < 0 || i >= g.nx || j >= g.ny || k >= g.nz {
		return
	}
	n := g.index(i, j, k)
	if g.settled[n] {
		return
	}
	from := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}
	for axis := range 3 {
		for _, side := range [2]int{-1, 1} {
			c := [3]int{i, j, k}
			c[axis] += side
			if c[axis] < 0 || c[axis] >= [3]int{g.nx, g.ny, g.nz}[axis] {
				continue
			}
			m := g.index(c[0], c[1], c[2])
			low := [3]int{i, j, k}
			low[axis] = min(low[axis], c[axis])
			if g.settled[m] && g.u[m] < from[axis] && g.passes(low[0], low[1], low[2], axis) {
				from[axis] = g.u[m]
			}
		}
	}
	if u := eikonal(from); u < g.u[n] {
		g.u[n] = u
		g.queue.push(u, n)
	}
}

// eikonal solves Σ max(0, u − aᵢ)² = edge² for u.
func eikonal(a [3]float64) float64 {
	if a[0] > a[1] {
		a[0], a[1] = a[1], a[0]
	}
	if a[1] > a[2] {
		a[1], a[2] = a[2], a[1]
	}
	if a[0] > a[1] {
		a[0], a[1] = a[1], a[0]
	}
	u := a[0] + edge
	sum, squares := 0.0, 0.0
	for n, v := range a {
		if v >= u {
			break
		}
		sum += v
		squares += v * v
		c := float64(n + 1)
		u = (sum + math.Sqrt(max(0, sum*sum-c*(squares-edge*edge)))) / c
	}
	return u
}

// kuhn are the six tetrahedra of a cube, as corners from 0 to 7 one axis after
// the other.
var kuhn = [6][4]int{{0, 1, 3, 7}, {0, 1, 5, 7}, {0, 2, 3, 7}, {0, 2, 6, 7}, {0, 4, 5, 7}, {0, 4, 6, 7}}

// lengthAt returns the least length of an arm that gets to where u is that high;
// false where the radii were taken from too long an arm on the way. Where u is
// higher, or was not computed, it counts as that high.
func (g *grid) lengthAt(level float64) (float64, bool) {
	const step = edge / 4
	slope := make([]float64, int(math.Ceil(level/step))+1)
	for n, state := range g.cell {
		if state != open {
			continue
		}
		i, j, k := g.parts(n)
		var u [8]float64
		for o := range u {
			u[o] = min(level, g.u[g.index(i+o&1, j+o>>1&1, k+o>>2&1)])
		}
		for _, t := range kuhn {
			a, b, c, d := u[t[0]], u[t[1]], u[t[2]], u[t[3]]
			s := math.Sqrt((b-a)*(b-a)+(c-b)*(c-b)+(d-c)*(d-c)) / edge
			for n := int(min(a, b, c, d) / step); n <= int(max(a, b, c, d)/step) && n < len(slope); n++ {
				slope[n] = max(slope[n], s)
			}
		}
	}
	// The first ball's middle is somewhere in a cube: u may be so much more there
	// than its distance from the place.
	length := -edge * math.Sqrt(3) / 2
	for n := range slope {
		from := float64(n) * step
		if from < level && g.Radius(max(0, length)) < g.Radius(earliest(from+step)) {
			return 0, false
		}
		length += max(0, min(step, level-from)) / max(1, slope[n])
	}
	return length, true
}

// wrists returns cubes that hold the wrist of every arm, those next to each other from left
// to right in one box: an arm goes from its first ball to there through cubes that have room
// for the least of its balls, and no farther from the place than hand and first ball may be.
func (g *grid) wrists() []r3.Box {
	far, r := max(g.Near, g.Hand), g.Radius(0)
	seen := make([]bool, len(g.cell))
	in := make([]bool, len(g.cell))
	todo := slices.Clone(g.first)
	for _, n := range todo {
		seen[n] = true
	}
	for len(todo) > 0 {
		n := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		i, j, k := g.parts(n)
		b := g.cube(i, j, k)
		if between(b, g.Zone) > far || !g.admits(b, r, fine) {
			continue
		}
		in[n] = between(b, g.Zone) <= g.Hand
		for o := range 27 {
			ci, cj, ck := i+o%3-1, j+o/3%3-1, k+o/9-1
			if ci < 0 || cj < 0 || ck < 0 || ci >= g.nx-1 || cj >= g.ny-1 || ck >= g.nz-1 {
				continue
			}
			if m := g.index(ci, cj, ck); !seen[m] {
				seen[m] = true
				todo = append(todo, m)
			}
		}
	}
	out := []r3.Box{} // that there are none is known, too
	for n := range in {
		if !in[n] {
			continue
		}
		i, j, k := g.parts(n)
		if c := g.cube(i, j, k); n > 0 && in[n-1] && i > 0 {
			out[len(out)-1].Max = c.Max
		} else {
			out = append(out, c)
		}
	}
	return out
}

// A heap holds corners by their u, the least first.
type heap []item

type item struct {
	u float64
	n int
}

func (h *heap) push(u float64, n int) {
	*h = append(*h, item{u, n})
	s := *h
	for i := len(s) - 1; i > 0; {
		p := (i - 1) / 2
		if !s[i].before(s[p]) {
			break
		}
		s[i], s[p] = s[p], s[i]
		i = p
	}
}

func (h *heap) pop() (u float64, n int, ok bool) {
	s := *h
	if len(s) == 0 {
		return 0, 0, false
	}
	top := s[0]
	last := len(s) - 1
	s[0] = s[last]
	s = s[:last]
	for i := 0; ; {
		c := 2*i + 1
		if c >= len(s) {
			break
		}
		if c+1 < len(s) && s[c+1].before(s[c]) {
			c++
		}
		if !s[c].before(s[i]) {
			break
		}
		s[i], s[c] = s[c], s[i]
		i = c
	}
	*h = s
	return top.u, top.n, true
}

func (a item) before(b item) bool { return a.u < b.u || a.u == b.u && a.n < b.n }
