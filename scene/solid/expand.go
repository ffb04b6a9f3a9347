package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A polytope grows inside the difference b − a of two cores, seen from outside
// counter-clockwise, its faces linked across their edges.
type polytope struct {
	points int
	w      [maxPoints]r3.Vec
	n      int
	faces  [2 * maxPoints]facet
	border int
	edges  [maxPoints]edge
	spare  int // dead faces to use again
	spares [2 * maxPoints]int16
	// starts has, for each point of the last border, the face it starts.
	starts [maxPoints]struct{ face, of int16 }
}

// maxPoints bounds the polytope. It grows near one point of the surface only,
// where each few points make its error four times smaller.
const maxPoints = 250

type facet struct {
	v, next [3]int16
	normal  r3.Vec
	height  float64 // of the origin's plane below it: the distance of the face
	dead    bool
}

// An edge of the border of what a point sees: face inside, and its side.
type edge struct{ face, side int16 }

// expand finds the gap between cores that touch or overlap: the face of the
// difference nearest the origin, by a polytope inside of it that grows where it
// is nearest. High is its distance, Low that of a plane that supports b − a.
func expand(a, b *body) Gap {
	g := Gap{Low: math.Inf(-1), High: math.Inf(1)}
	var p polytope
	tiny, ok := p.begin(a, b)
	if !ok {
		return g
	}
	for p.points < maxPoints {
		k := -1
		for i := range p.n {
			if f := &p.faces[i]; !f.dead && (k < 0 || f.height < p.faces[k].height) {
				k = i
			}
		}
		f := p.faces[k]
		g.High = min(g.High, -f.height)
		w := difference(a, b, f.normal)
		out := r3.Dot(w, f.normal)
		if -out > g.Low {
			g.Low, g.Normal = -out, r3.Scale(-1, f.normal)
		}
		if g.High-g.Low <= 16*tiny || !p.add(w, int16(k), tiny) {
			break
		}
	}
	return g.settled(a, b)
}

// difference returns the point of b − a farthest along d.
func difference(a, b *body, d r3.Vec) r3.Vec {
	return r3.Sub(b.support(d), a.support(r3.Scale(-1, d)))
}

// begin makes a tetrahedron of points of b − a that are far apart. It returns
// the size of rounding; ok is false if b − a is flat.
func (p *polytope) begin(a, b *body) (tiny float64, ok bool) {
	// The pair of extremes farthest apart of those along three axes.
	far := -1.0
	for _, d := range [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		u, v := difference(a, b, d), difference(a, b, r3.Scale(-1, d))
		if l := r3.Norm2(r3.Sub(u, v)); l > far {
			far = l
			p.w[0], p.w[1] = u, v
		}
	}
	tiny = rounding * (absSum(a.middle()) + absSum(b.middle()) + math.Sqrt(far))
	along := r3.Unit(r3.Sub(p.w[1], p.w[0]))
	u, v := across(along)
	far = -1
	for _, d := range [4]r3.Vec{u, v, r3.Scale(-1, u), r3.Scale(-1, v)} {
		w := difference(a, b, d)
		if l := r3.Norm2(r3.Cross(along, r3.Sub(w, p.w[0]))); l > far {
			far, p.w[2] = l, w
		}
	}
	if math.Sqrt(far) <= tiny {
		return tiny, false
	}
	n := r3.Unit(r3.Cross(r3.Sub(p.w[1], p.w[0]), r3.Sub(p.w[2], p.w[0])))
	up, down := difference(a, b, n), difference(a, b, r3.Scale(-1, n))
	hu, hd := r3.Dot(n, r3.Sub(up, p.w[0])), r3.Dot(n, r3.Sub(p.w[0], down))
	p.w[3] = down
	if hu > hd {
		p.w[3] = up
		p.w[1], p.w[2] = p.w[2], p.w[1]
	}
	if max(hu, hd) <= tiny {
		return tiny, false
	}
	p.points, p.n = 4, 4
	for i, f := range [4]facet{
		{v: [3]int16{0, 1, 2}, next: [3]int16{2, 3, 1}},
		{v: [3]int16{0, 2, 3}, next: [3]int16{0, 3, 2}},
		{v: [3]int16{0, 3, 1}, next: [3]int16{1, 3, 0}},
		{v: [3]int16{1, 3, 2}, next: [3]int16{2, 1, 0}},
	} {
		p.faces[i] = f
		p.measure(&p.faces[i])
	}
	return tiny, true
}

// measure finds the normal and height of f.
func (p *polytope) measure(f *facet) {
	o := p.w[f.v[0]]
	n := r3.Cross(r3.Sub(p.w[f.v[1]], o), r3.Sub(p.w[f.v[2]], o))
	l := math.Sqrt(r3.Norm2(n))
	f.normal, f.height = r3.Scale(1/l, n), r3.Dot(o, n)/l
	if !(l > 0) {
		// A sliver bounds nothing.
		f.normal, f.height = r3.Vec{}, math.Inf(1)
	}
}

// add grows the polytope to w, which face k sees, unless rounding gets in the way.
func (p *polytope) add(w r3.Vec, k int16, tiny float64) bool {
	p.border = 0
	p.bury(k)
	for side := range int16(3) {
		if !p.look(w, k, side, tiny) {
			return false
		}
	}
	if p.border < 3 || p.n+p.border-p.spare > len(p.faces) {
		return false
	}
	of := int16(p.points)
	p.w[of] = w
	p.points++
	for _, e := range p.edges[:p.border] {
		// The edge as the seen face on its other side had it.
		f := &p.faces[e.face]
		from, to := f.v[(e.side+1)%3], f.v[e.side]
		i := int16(p.n)
		if p.spare > 0 {
			p.spare--
			i = p.spares[p.spare]
		} else {
			p.n++
		}
		if p.starts[from].of == of {
			return false // the border meets itself
		}
		p.starts[from] = struct{ face, of int16 }{i, of}
		f.next[e.side] = i
		p.faces[i] = facet{v: [3]int16{from, to, of}, next: [3]int16{e.face}}
		p.measure(&p.faces[i])
	}
	for _, e := range p.edges[:p.border] {
		i := p.faces[e.face].next[e.side]
		n := p.starts[p.faces[i].v[1]]
		if n.of != of {
			return false // the border is in pieces
		}
		p.faces[i].next[1], p.faces[n.face].next[2] = n.face, i
	}
	return true
}

// bury marks face k as dead.
func (p *polytope) bury(k int16) {
	p.faces[k].dead = true
	p.spares[p.spare] = k
	p.spare++
}

// look goes from face k across its side and marks what w sees from there.
func (p *polytope) look(w r3.Vec, k, side int16, tiny float64) bool {
	n := p.faces[k].next[side]
	f := &p.faces[n]
	if f.dead {
		return true
	}
	back := int16(0)
	for f.next[back] != k {
		back++
	}
	if !(r3.Dot(f.normal, w)-f.height > tiny/16) || math.IsInf(f.height, 1) {
		if p.border == len(p.edges) {
			return false
		}
		p.edges[p.border] = edge{n, back}
		p.border++
		return true
	}
	p.bury(n)
	return p.look(w, n, (back+1)%3, tiny) && p.look(w, n, (back+2)%3, tiny)
}
