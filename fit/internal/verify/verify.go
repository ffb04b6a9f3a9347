// Package verify proves that a rigid body keeps clear of solids all along a
// path, between the poses as well as at them.
//
// It trusts nothing of a search. A leg is split into pieces, and each piece of
// each pair of solids rests on one direction that separates them, fixed in the
// room or in the body: along it the gap is computed from support functions alone,
// which needs no distance query. Where such a direction came from does not matter;
// a bad one proves less, never something false. Millimetres and radians.
//
// On a piece every point of the body moves straight and on an arc round that. How far
// it goes along a direction is then, but for what is linear in time, a sinusoid of the
// angle, whose second derivative is minus itself: it lies above its chord by no more
// than its greatest value there times (Δθ)²/2·s(1−s), s from 0 to 1 on the piece, and
// not at all where it is negative.
package verify

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Clear is what was proved of a path.
type Clear struct {
	// Low is proved: all along the path every solid of the body keeps at least
	// this distance from every other. It is negative where they may overlap by
	// as much, and +Inf where there is nothing else.
	Low float64
	// Leg and T tell where on the path the body came nearest of all places
	// looked at, Body and Other which solids did; -1 where there is nothing.
	Leg         int
	T           float64
	Body, Other int
}

// resolution is how near Low comes to the truth where nothing else stops it: half of
// what counts as touching. Where a threshold is asked for, what comes nearer to it than
// finest counts as less.
const resolution, finest = 5e-4, 1e-5

// deepest bounds how often a piece of a leg is halved.
const deepest = 40

// unitTolerance is how far from length one a quaternion may be. Poses further
// off are not rigid, and nothing is proved of them.
const unitTolerance = 1e-9

// Measure proves how clear the body stays of others along path. Values above
// enough need not be told apart: a Low of enough or more is not narrowed.
func Measure(body []solid.Solid, path solid.Path, others []solid.Solid, enough float64) (Clear, error) {
	return New(body, others).Measure(path, enough)
}

// Keeps returns nil if it proved that the body keeps at least need from others
// all along path. Overlapping by up to −need counts as kept where need is
// negative. It stops at the first place where less is kept.
func Keeps(body []solid.Solid, path solid.Path, others []solid.Solid, need float64) error {
	return New(body, others).Keeps(path, need)
}

// A Verifier looks at many paths of one body among the same solids. What separated two
// of them last is tried first the next time. It serves one goroutine at a time.
type Verifier struct {
	body, others []shape
	ref          r3.Vec // the point that the body turns about
	hints        []side // by pair
	near         int    // the pair that came too near last
	legs         []leg
	queue        []piece
}

// shape is a solid as it is at rest.
type shape struct {
	solid.Solid
	bounds r3.Box
	verts  []r3.Vec // of a polyhedron
	// Of one that moves how far it goes from the reference point, and the corners of a
	// polyhedron from there.
	reach   float64
	corners []corner
}

// corner is a corner, and how far off it is.
type corner struct {
	at  r3.Vec
	off float64
}

// New returns a verifier for a body among others.
func New(body, others []solid.Solid) *Verifier {
	return &Verifier{
		body: shapes(body), others: shapes(others),
		hints: make([]side, len(body)*len(others)), ref: r3.Vec{X: math.NaN()},
	}
}

func shapes(solids []solid.Solid) []shape {
	out := make([]shape, len(solids))
	for i, s := range solids {
		out[i] = shape{Solid: s, bounds: s.Bounds()}
		if p, ok := s.(*solid.Polyhedron); ok {
			out[i].verts = p.Vertices()
		}
	}
	return out
}

// about makes ref the point that the body turns about.
func (v *Verifier) about(ref r3.Vec) {
	if v.ref == ref {
		return
	}
	v.ref = ref
	for i := range v.body {
		s := &v.body[i]
		s.reach = farthestCorner(s.bounds, ref)
		s.corners = s.corners[:0]
		for _, p := range s.verts {
			at := r3.Sub(p, ref)
			s.corners = append(s.corners, corner{at, r3.Norm(at)})
		}
	}
}

// Measure is like the function of this name.
func (v *Verifier) Measure(path solid.Path, enough float64) (Clear, error) {
	return v.measure(path, enough, false)
}

// Keeps is like the function of this name.
func (v *Verifier) Keeps(path solid.Path, need float64) error {
	c, err := v.measure(path, need, true)
	if err != nil {
		return err
	}
	if !(c.Low >= need) {
		return fmt.Errorf("leg %d: solid %d comes nearer to solid %d than %.4f mm", c.Leg, c.Body, c.Other, need)
	}
	return nil
}

// measure is Measure; where keep is set it gives up with a Low of −Inf once less than
// enough is kept.
func (v *Verifier) measure(path solid.Path, enough float64, keep bool) (Clear, error) {
	if err := sound(path); err != nil {
		return Clear{}, err
	}
	if math.IsNaN(enough) {
		return Clear{}, errors.New("nothing is to be shown")
	}
	v.about(path.Ref)
	m := measurer{
		Verifier: v, path: path, enough: enough, keep: keep,
		clear: Clear{Low: math.Inf(1), Leg: -1, Body: -1, Other: -1}, seen: math.Inf(1),
	}
	m.spread()
	for n := 0; n < len(v.queue); n++ {
		if !m.look(v.queue[n]) {
			m.clear.Low = math.Inf(-1)
			break
		}
	}
	return m.clear, nil
}

// sound tells whether path is a motion of a rigid body at all.
func sound(path solid.Path) error {
	if len(path.Poses) < 2 {
		return errors.New("a path needs two poses")
	}
	for i, p := range path.Poses {
		if !(math.Abs(quat.Abs(p.Turn)-1) <= unitTolerance) {
			return fmt.Errorf("pose %d: the turn is no unit quaternion", i)
		}
		if !(r3.Norm(p.Shift) < 1e6) {
			return fmt.Errorf("pose %d: the shift is not finite", i)
		}
		if i > 0 && path.Angle(i-1) > math.Pi-1e-6 {
			return fmt.Errorf("leg %d: half a turn has no short way", i-1)
		}
	}
	return nil
}

func farthestCorner(b r3.Box, from r3.Vec) float64 {
	d := r3.Vec{
		X: max(math.Abs(b.Min.X-from.X), math.Abs(b.Max.X-from.X)),
		Y: max(math.Abs(b.Min.Y-from.Y), math.Abs(b.Max.Y-from.Y)),
		Z: max(math.Abs(b.Min.Z-from.Z), math.Abs(b.Max.Z-from.Z)),
	}
	return r3.Norm(d)
}

// measurer looks at one path.
type measurer struct {
	*Verifier
	path   solid.Path
	enough float64
	keep   bool // enough is to be kept: to come nearer ends it
	clear  Clear
	seen   float64 // least distance seen at any pose
}

// leg is by how much the body turns on a leg, and about which axis of it as it is at rest.
type leg struct {
	angle float64
	axis  r3.Vec
}

// piece is the part t0 to t1 of a leg, for one pair.
type piece struct {
	pair, leg int
	t0, t1    float64
	p0, p1    solid.Pose
	low       float64 // the gap is shown to be at least this along dir
	dir       side
	depth     int
}

// side is a direction of unit length from the body to another solid: in the room, or
// turning with the body, where it is that of it as it is at rest.
type side struct {
	r3.Vec
	turns bool
}

// spread puts whole legs into the queue, for each pair that boxes do not show to be
// apart: first what they show least of, so that what is nearest is soon seen.
func (m *measurer) spread() {
	m.legs, m.queue = m.legs[:0], m.queue[:0]
	for n := range len(m.path.Poses) - 1 {
		whole := piece{leg: n, t1: 1, p0: m.path.At(n, 0), p1: m.path.At(n, 1)}
		l := leg{angle: m.path.Angle(n)}
		d := quat.Mul(quat.Conj(whole.p0.Turn), whole.p1.Turn)
		axis := r3.Vec{X: d.Imag, Y: d.Jmag, Z: d.Kmag}
		if size := r3.Norm(axis); size > 0 {
			l.axis = r3.Scale(1/size, axis)
		}
		m.legs = append(m.legs, l)
		for i := range m.body {
			box := m.swept(i, &whole)
			for j := range m.others {
				p := whole
				p.pair = i*len(m.others) + j
				p.low, p.dir.Vec = between(&box, &m.others[j].bounds)
				if p.low >= m.enough {
					m.clear.Low = min(m.clear.Low, p.low)
					continue
				}
				m.queue = append(m.queue, p)
			}
		}
	}
	slices.SortStableFunc(m.queue, func(a, b piece) int {
		switch {
		case m.keep && a.pair == m.near && b.pair != m.near:
			return -1
		case m.keep && b.pair == m.near && a.pair != m.near:
			return 1
		}
		return cmp.Compare(a.low, b.low)
	})
}

// need is what is to be shown of a piece: no more than enough, and hardly less than
// what was seen.
func (m *measurer) need() float64 {
	if m.keep {
		return m.enough
	}
	return min(m.enough, m.seen-resolution)
}

// look proves a lower bound for one piece, and splits it where that is worse than what
// is needed. It returns false where enough is to be kept and is not.
func (m *measurer) look(p piece) bool {
	i, j := p.pair/len(m.others), p.pair%len(m.others)
	a, b := &m.body[i], &m.others[j]
	ends, later := math.Inf(-1), false // the gap at its ends along dir, and where it is less
	try := func(d side) bool {
		var t rise // of what the body goes nearer along d
		if d.turns {
			t = m.nearer(a, b, &p, d.Vec)
		} else {
			least := b.least(d.Vec)
			t = m.most(a, &p, d.Vec)
			t = rise{t.first - least, t.last - least, t.top - least}
		}
		if -t.top > p.low {
			p.low, p.dir = -t.top, d
		}
		if gap := -max(t.first, t.last); gap > ends {
			ends, later = gap, t.last > t.first
		}
		return p.low >= m.need()
	}
	known := p.dir
	if p.low >= m.need() || p.depth == 0 && m.hints[p.pair] != (side{}) && try(m.hints[p.pair]) || try(known) {
		m.take(&p)
		return true
	}
	half := (p.t0 + p.t1) / 2
	mid := m.path.At(p.leg, half)
	// Where its ends are apart by enough, and what is in between is not known as closely,
	// shorter pieces will tell.
	if ends < m.need() || p.low > ends-finest || p.depth == deepest {
		own := math.Inf(1) // least distance seen on this piece
		at := func(q solid.Pose, t float64) (shown bool) {
			g := solid.Distance(a.Moved(q), b.Solid)
			own = min(own, g.Dist)
			if g.Dist < m.seen {
				m.seen, m.clear.Leg, m.clear.T, m.clear.Body, m.clear.Other = g.Dist, p.leg, t, i, j
			}
			n := r3.Norm(g.Normal)
			if !(n > 0) {
				return false
			}
			d := r3.Scale(1/n, g.Normal)
			return try(side{d, false}) || m.legs[p.leg].angle > 0 && try(side{q.Unrotate(d), true})
		}
		shown := at(mid, half)
		if !shown && !(m.keep && own < m.enough) {
			// Where it comes nearest at an end, what separates them there may do for all of it.
			if later {
				shown = at(p.p1, p.t1)
			} else {
				shown = at(p.p0, p.t0)
			}
		}
		if shown {
			m.take(&p)
			return true
		}
		// Less is kept, or it is and as good as all that there is was shown.
		if m.keep && (own < m.enough || p.low >= own-finest) || p.depth == deepest {
			m.near = p.pair
			m.clear.Low = min(m.clear.Low, p.low)
			return !m.keep
		}
	}
	m.queue = append(m.queue,
		piece{pair: p.pair, leg: p.leg, t0: p.t0, t1: half, p0: p.p0, p1: mid, low: math.Inf(-1), dir: p.dir, depth: p.depth + 1},
		piece{pair: p.pair, leg: p.leg, t0: half, t1: p.t1, p0: mid, p1: p.p1, low: math.Inf(-1), dir: p.dir, depth: p.depth + 1})
	return true
}

// take notes what is shown of a piece.
func (m *measurer) take(p *piece) {
	m.clear.Low = min(m.clear.Low, p.low)
	m.hints[p.pair] = p.dir
}

// between returns a lower bound of the distance of what is in two boxes, and the
// direction it is along: where they overlap, the axis along which they do so least.
func between(a, b *r3.Box) (float64, r3.Vec) {
	side := func(a0, a1, b0, b1 float64) (gap, sign float64) {
		if after, before := b0-a1, a0-b1; after < before {
			return before, -1
		}
		return b0 - a1, 1
	}
	x, sx := side(a.Min.X, a.Max.X, b.Min.X, b.Max.X)
	y, sy := side(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y)
	z, sz := side(a.Min.Z, a.Max.Z, b.Min.Z, b.Max.Z)
	most := max(x, y, z)
	switch {
	case most > 0:
		d := r3.Vec{X: max(x, 0), Y: max(y, 0), Z: max(z, 0)}
		n := r3.Norm(d)
		return n, r3.Vec{X: sx * d.X / n, Y: sy * d.Y / n, Z: sz * d.Z / n}
	case x == most:
		return most, r3.Vec{X: sx}
	case y == most:
		return most, r3.Vec{Y: sy}
	}
	return most, r3.Vec{Z: sz}
}

// swept returns a box round a solid of the body all along a piece.
func (m *measurer) swept(i int, p *piece) r3.Box {
	most := func(x, y, z float64) float64 { return m.most(&m.body[i], p, r3.Vec{X: x, Y: y, Z: z}).top }
	return r3.Box{
		Min: r3.Vec{X: -most(-1, 0, 0), Y: -most(0, -1, 0), Z: -most(0, 0, -1)},
		Max: r3.Vec{X: most(1, 0, 0), Y: most(0, 1, 0), Z: most(0, 0, 1)},
	}
}

// rise is how far a solid goes along a direction: at the beginning and the end of a
// piece, and at most meanwhile.
type rise struct{ first, last, top float64 }

// most bounds how far a solid of the body goes along d, of unit length, on a piece.
func (m *measurer) most(a *shape, p *piece, d r3.Vec) rise {
	l := &m.legs[p.leg]
	d0, d1 := p.p0.Unrotate(d), p.p1.Unrotate(d)
	s0, s1 := r3.Dot(p.p0.Shift, d), r3.Dot(p.p1.Shift, d)
	half := l.angle * (p.t1 - p.t0) / 2
	square := half * half / 2
	if a.verts == nil {
		h0, h1 := r3.Dot(a.Support(d0), d0)+s0, r3.Dot(a.Support(d1), d1)+s1
		return rise{h0, h1, crest(h0, h1, a.reach*square)}
	}
	s0, s1 = s0+r3.Dot(m.ref, d0), s1+r3.Dot(m.ref, d1)
	level := r3.Dot(d0, l.axis)
	across := math.Sqrt(max(0, 1-level*level))
	r := rise{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for i := range a.corners {
		c := &a.corners[i]
		h0, h1 := r3.Dot(c.at, d0), r3.Dot(c.at, d1)
		bulge := 0.0
		if square > 0 {
			// Of the sinusoid, without what does not turn, the greatest value: it is no more
			// than how far it swings, and above its ends by no more than that times square.
			swing := c.off * across
			bulge = min(swing, max(0, max(h0, h1)-level*r3.Dot(c.at, l.axis)+swing*square)) * square
		}
		h0, h1 = h0+s0, h1+s1
		r.first, r.last, r.top = max(r.first, h0), max(r.last, h1), max(r.top, crest(h0, h1, bulge))
	}
	return r
}

// nearer bounds how much nearer than in contact the body comes to b along d, of unit
// length, which turns with it. How far it goes along d from the point that it turns about
// is then always the same. From there a point of b goes round the body and past it: along
// d, with all the turn of the piece as Δθ and its move as v, that is a sinusoid whose
// second derivative is minus itself but for 2·Δθ·v.
func (m *measurer) nearer(a, b *shape, p *piece, d r3.Vec) rise {
	l := &m.legs[p.leg]
	far := math.Inf(-1)
	for i := range a.corners {
		far = max(far, r3.Dot(a.corners[i].at, d))
	}
	if a.verts == nil {
		far = r3.Dot(r3.Sub(a.Support(d), m.ref), d)
	}
	d0, d1 := p.p0.Rotate(d), p.p1.Rotate(d)
	c0, c1 := p.p0.Apply(m.ref), p.p1.Apply(m.ref)
	angle := l.angle * (p.t1 - p.t0)
	past := 2 * angle * r3.Norm(r3.Sub(c1, c0))
	if b.verts == nil {
		off := max(farthestCorner(b.bounds, c0), farthestCorner(b.bounds, c1))
		h0, h1 := far-b.least(d0)+r3.Dot(c0, d0), far-b.least(d1)+r3.Dot(c1, d1)
		return rise{h0, h1, crest(h0, h1, (angle*angle*off+past)/8)}
	}
	axis := p.p0.Rotate(l.axis)
	level := r3.Dot(d, l.axis)
	r := rise{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, v := range b.verts {
		w0, w1 := r3.Sub(v, c0), r3.Sub(v, c1)
		h0, h1 := r3.Dot(w0, d0), r3.Dot(w1, d1)
		// Where it goes round on the side that d points to, it goes farther off meanwhile.
		off := max(r3.Norm(w0), r3.Norm(w1))
		round := min(h0-level*r3.Dot(w0, axis), h1-level*r3.Dot(w1, axis)) - (angle*angle*off+past)/8
		bulge := (angle*angle*max(0, -round) + past) / 8
		h0, h1 = far-h0, far-h1
		r.first, r.last, r.top = max(r.first, h0), max(r.last, h1), max(r.top, crest(h0, h1, bulge))
	}
	return r
}

// crest bounds what goes from h0 to h1 and is above a straight line meanwhile by at most
// 4·bulge·s·(1−s), s from 0 to 1.
func crest(h0, h1, bulge float64) float64 {
	rise := math.Abs(h1 - h0)
	if rise >= 4*bulge {
		return max(h0, h1)
	}
	return (h0+h1)/2 + bulge + rise*rise/(16*bulge)
}

// least returns how far a solid begins along d.
func (s *shape) least(d r3.Vec) float64 {
	if s.verts == nil {
		return r3.Dot(s.Support(r3.Scale(-1, d)), d)
	}
	least := math.Inf(1)
	for _, v := range s.verts {
		least = min(least, r3.Dot(v, d))
	}
	return least
}
