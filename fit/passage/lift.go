package passage

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A lifter moves a way that was found, pose by pose, to where it keeps more room.
// A search sees a lattice of turns and depths, and of those the ways that keep much
// less than there is; from one of these to the best near by it is uphill all along.
// What it comes to has to be verified like every way.
type lifter struct {
	*easer
	room   float64                // wanted; what is needed of a leg is less by rounding
	bodies [2][]*solid.Polyhedron // round what moves: as carried, and as it stands open
	others [2][]*solid.Polyhedron // round what each keeps clear of
	arm    float64                // mm that a turn by 1 rad counts as
	ways   []step                 // at right angles to each other, in which it moves and turns
	ends   bool                   // it looks for an end, near to rest
}

// lifter returns a lifter to where this much room is kept, which turns about these axes.
func (p *posed) lifter(room float64, axes []int) *lifter {
	l := &lifter{easer: p.easer(room - rounding), room: room, arm: p.body.Radius()}
	l.ways = []step{{1}, {0, 1}, {0, 0, 1}}
	for k := range 3 {
		if slices.Contains(axes, k) || len(axes) > 1 {
			s := step{}
			s[3+k] = 1
			l.ways = append(l.ways, s)
		}
	}
	n := len(p.Parts)
	l.bodies = [2][]*solid.Polyhedron{p.outer[:n], p.outer[n:]}
	for i, others := range [2][]solid.Solid{p.others, p.reaching} {
		for _, o := range others {
			l.others[i] = append(l.others[i], outerPolyhedron(o))
		}
	}
	return l
}

// raised returns the way f, or one near by that keeps more, up to most: in ever
// longer steps up, and where there is no such way in shorter ones. It turns about
// these axes, or where they are several about any.
func (p *posed) raised(ctx context.Context, f found, most float64, axes []int) found {
	const first, last = 1.0, 0.02 // mm
	poses := p.inFrameAll(f.path.Poses[:len(f.path.Poses)-1])
	best, low := poses, f.clear.Low
	for gain := first; gain > last && low < most && ctx.Err() == nil && p.steps < p.most; {
		l := p.lifter(min(low+gain, most), axes)
		way, ok := l.lift(best)
		if !ok {
			gain /= 2
			continue
		}
		best, low = l.shortened(way), l.room
		gain *= 2
	}
	if low == f.clear.Low {
		return f
	}
	if g, ok := p.verified(p.easer(low-rounding), solid.Path{Ref: p.ref, Poses: best}, low); ok {
		g.axes = axes
		return g
	}
	return f
}

// inFrameAll returns poses of the scene as poses of the frame.
func (p *posed) inFrameAll(poses []solid.Pose) []solid.Pose {
	out := make([]solid.Pose, len(poses))
	for i, q := range poses {
		turn := quat.Mul(quat.Mul(p.frame.Turn, q.Turn), p.back.Turn)
		at := p.frame.Apply(q.Apply(p.back.Apply(p.ref)))
		out[i] = p.placed(at, turn)
	}
	return out
}

// placed returns the pose in which the reference point is at a place, and all turned.
func (p *posed) placed(at r3.Vec, turn quat.Number) solid.Pose {
	q := solid.Pose{Turn: quat.Scale(1/quat.Abs(turn), turn)}
	q.Shift = r3.Sub(at, q.Rotate(p.ref))
	return q
}

// lift returns a way near the one through poses that keeps what is needed.
func (l *lifter) lift(poses []solid.Pose) ([]solid.Pose, bool) {
	last := len(poses) - 1
	ends := l.endsBy(poses[last])
	if len(ends) == 0 {
		return nil, false
	}
	first, ok := l.climb(poses[0], l.across(step{}))
	reach := func(q solid.Pose) float64 { return solid.BoundsOf(l.at(q)...).Max.Y }
	if !ok || reach(first) > max(l.outside, reach(poses[0]))+rounding { // uphill leads into the opening
		return nil, false
	}
	out := []solid.Pose{first}
	for i := 1; i < last; i++ {
		// One that is in a dead end is left out.
		q, ok := l.climb(poses[i], l.across(l.between(poses[i-1], poses[i+1])))
		if !ok {
			continue
		}
		if out, ok = l.bridge(out, q, bridges); !ok {
			return nil, false
		}
	}
	for _, end := range ends {
		if way, ok := l.bridge(slices.Clip(out), end, bridges); ok {
			return way, true
		}
	}
	return nil, false
}

// endsBy returns poses to end at, the best to come to from q first: uphill from there, what
// is near to rest, and uphill from where much room is known to be.
func (l *lifter) endsBy(q solid.Pose) []solid.Pose {
	var out []solid.Pose
	if e, ok := l.ended(q); ok {
		out = append(out, e)
	}
	at := q.Apply(l.ref)
	places := l.endsIn(l.rooms(l.room))
	slices.SortStableFunc(places, func(a, b r3.Vec) int {
		return cmp.Compare(r3.Norm(r3.Sub(a, at)), r3.Norm(r3.Sub(b, at)))
	})
	for _, e := range places[:min(len(places), 2)] {
		out = append(out, l.placed(e, solid.Rest.Turn))
	}
	if e, ok := l.endRoomy(); ok {
		out = append(out, e)
	}
	return out
}

// ended returns a pose to end at, uphill from q and no farther from rest than near.
func (l *lifter) ended(q solid.Pose) (solid.Pose, bool) {
	held := *l
	held.ends = true
	e, ok := held.climb(q, l.ways[:3])
	at := e.Apply(l.ref)
	return e, ok && r3.Norm(r3.Sub(at, l.ref)) <= near && l.setsDown(at)
}

// endRoomy returns a pose to end at, where much room is known to be or uphill from there.
func (l *lifter) endRoomy() (solid.Pose, bool) {
	for _, at := range slices.Backward(l.roomy) {
		if e, ok := l.ended(l.placed(at, solid.Rest.Turn)); ok {
			return e, true
		}
	}
	return solid.Pose{}, false
}

// bridges bounds how often the stretch between two poses is halved.
const bridges = 7

// bridge appends the poses that lead from the last of poses to q, with others
// between them where the straight leg is not clear.
func (l *lifter) bridge(poses []solid.Pose, q solid.Pose, depth int) ([]solid.Pose, bool) {
	p := poses[len(poses)-1]
	l.steps += 4
	if l.clear(p, q) {
		return append(poses, q), true
	}
	if depth == 0 {
		return nil, false
	}
	mid := solid.Path{Ref: l.ref, Poses: []solid.Pose{p, q}}.At(0, 0.5)
	mid, ok := l.climb(mid, l.across(l.between(p, q)))
	if !ok {
		return nil, false
	}
	if poses, ok = l.bridge(poses, mid, depth-1); !ok {
		return nil, false
	}
	return l.bridge(poses, q, depth-1)
}

// A step is a small motion: a move of the reference point, and a turn about it,
// in mm at the length of the arm.
type step [6]float64

func (s step) dot(t step) float64 {
	sum := 0.0
	for i := range s {
		sum += s[i] * t[i]
	}
	return sum
}

func (s step) times(f float64) step {
	for i := range s {
		s[i] *= f
	}
	return s
}

// between returns the step from p to q.
func (l *lifter) between(p, q solid.Pose) step {
	m := r3.Sub(q.Apply(l.ref), p.Apply(l.ref))
	d := quat.Mul(q.Turn, quat.Conj(p.Turn))
	if d.Real < 0 {
		d = quat.Scale(-1, d)
	}
	w := r3.Vec{X: d.Imag, Y: d.Jmag, Z: d.Kmag}
	if n := r3.Norm(w); n > 0 {
		w = r3.Scale(l.arm*2*math.Atan2(n, d.Real)/n, w)
	}
	return step{m.X, m.Y, m.Z, w.X, w.Y, w.Z}
}

// after returns the pose p after a step.
func (l *lifter) after(p solid.Pose, s step) solid.Pose {
	turn := p.Turn
	if w := (r3.Vec{X: s[3], Y: s[4], Z: s[5]}); r3.Norm(w) > 0 {
		turn = quat.Mul(solid.Turned(w, r3.Norm(w)/l.arm), turn)
	}
	return l.placed(r3.Add(p.Apply(l.ref), r3.Vec{X: s[0], Y: s[1], Z: s[2]}), turn)
}

// across returns directions of length 1, at right angles to each other and to a step
// that is one of the ways it goes: one fewer than these, or as many where it is none.
func (l *lifter) across(along step) []step {
	var basis []step
	if n := math.Sqrt(along.dot(along)); n > 1e-9 {
		basis = append(basis, along.times(1/n))
	}
	none := len(basis)
	for len(basis) < len(l.ways) {
		// Of the ways that one which is most at right angles to all so far.
		best, most := step{}, 0.0
		for _, s := range l.ways {
			for _, b := range basis {
				d := s.dot(b)
				for i := range s {
					s[i] -= d * b[i]
				}
			}
			if v := s.dot(s); v > most+1e-12 {
				best, most = s, v
			}
		}
		basis = append(basis, best.times(1/math.Sqrt(most)))
	}
	return basis[none:]
}

// climbed is by how much more than the room wanted a pose keeps that was moved to where it
// does, in mm: the legs between poses take that.
const climbed = 0.02

// climb moves a pose in the directions dirs until it keeps what is needed, and a
// little more.
func (l *lifter) climb(q solid.Pose, dirs []step) (solid.Pose, bool) {
	const (
		finest = 0.01 // mm of a step
		most   = 40   // steps
		beyond = 4.0  // mm of room to aim at, so that the next pose has some, too
	)
	need := l.room + climbed
	reach := 4.0
	rows, low := l.contacts(q, need+4*reach)
	if low >= need {
		return q, true
	}
	for range most {
		s, hope := uphill(rows, dirs, reach, need+beyond)
		if hope < low+1e-3 {
			return q, false
		}
		r := l.after(q, s)
		next, got := l.contacts(r, need+4*reach)
		switch {
		case got >= need:
			return r, true
		case got > low+0.1*(hope-low):
			q, rows, low = r, next, got
			reach = min(2*reach, 16)
		default:
			if reach /= 3; reach < finest {
				return q, false
			}
		}
	}
	return q, false
}

// A row bounds the room to spare near a pose: after a step s it is about
// gap + slope·s.
type row struct {
	gap   float64
	slope step
}

// contacts returns what bounds the room to spare near the pose q where that is less
// than within, and the room at q.
func (l *lifter) contacts(q solid.Pose, within float64) (rows []row, low float64) {
	low = math.Inf(1)
	at := q.Apply(l.ref)
	if d := r3.Sub(at, l.ref); l.ends && r3.Norm(d) > 0 {
		n := r3.Unit(d)
		low = l.room + climbed + near - r3.Norm(d)
		rows = append(rows, row{low, step{-n.X, -n.Y, -n.Z}})
	}
	for k, bodies := range l.bodies {
		for _, a := range bodies {
			m := a.Moved(q).(*solid.Polyhedron)
			for _, b := range l.others[k] {
				if solid.Lower(m, b) >= within {
					continue
				}
				g := solid.Distance(m, b)
				l.steps++
				low = min(low, g.Dist)
				if g.Dist < within {
					rows = l.touching(rows, m, b, g, at, within)
				}
			}
		}
	}
	return rows, low
}

// touching appends the rows of two solids with the gap g, a about the place at.
func (l *lifter) touching(rows []row, a, b *solid.Polyhedron, g solid.Gap, at r3.Vec, within float64) []row {
	const same = 1e-6
	n := g.Normal
	add := func(gap float64, p r3.Vec) {
		w := r3.Scale(-1/l.arm, r3.Cross(r3.Sub(p, at), n))
		rows = append(rows, row{gap, step{-n.X, -n.Y, -n.Z, w.X, w.Y, w.Z}})
	}
	aMost, bLeast := math.Inf(-1), math.Inf(1)
	for _, v := range a.Vertices() {
		aMost = max(aMost, r3.Dot(n, v))
	}
	for _, v := range b.Vertices() {
		bLeast = min(bLeast, r3.Dot(n, v))
	}
	onA, onB := 0, 0
	for _, v := range a.Vertices() {
		if r3.Dot(n, v) > aMost-same {
			onA++
		}
	}
	for _, v := range b.Vertices() {
		if r3.Dot(n, v) < bLeast+same {
			onB++
		}
	}
	switch {
	case onB > 2: // corners of a before a face of b
		for _, v := range a.Vertices() {
			if gap := bLeast - r3.Dot(n, v); gap < within {
				add(gap, v)
			}
		}
	case onA > 2: // corners of b before a face of a, which turns with it
		for _, v := range b.Vertices() {
			if gap := r3.Dot(n, v) - aMost; gap < within {
				add(gap, v)
			}
		}
	default:
		add(g.Dist, g.OnA)
	}
	return rows
}

// uphill returns a step along dirs, of at most reach along each, after which the
// least of the rows is as great as it can be, up to enough, and what it is then.
// Along directions that do not matter it does not go.
func uphill(rows []row, dirs []step, reach, enough float64) (step, float64) {
	// The variables are how far it goes along each direction, how far against each,
	// and by how much the least row is more than now.
	n := 2*len(dirs) + 1
	low := enough
	for i := range rows {
		low = min(low, rows[i].gap)
	}
	var t tableau
	for i := range rows {
		r := make([]float64, n+1)
		for k, d := range dirs {
			v := rows[i].slope.dot(d)
			r[2*k], r[2*k+1] = -v, v
		}
		r[n-1], r[n] = 1, rows[i].gap-low
		t.rows = append(t.rows, r)
	}
	for k := range n {
		r := make([]float64, n+1)
		r[k], r[n] = 1, reach
		t.rows = append(t.rows, r)
	}
	t.rows[len(t.rows)-1][n] = enough - low
	t.gain = make([]float64, n+1)
	t.gain[n-1] = 1
	x := t.solve(n)
	var s step
	for k, d := range dirs {
		for i := range s {
			s[i] += (x[2*k] - x[2*k+1]) * d[i]
		}
	}
	return s, x[n-1] + low
}

// A tableau is a linear program in the form of the simplex method: the rows are
// limits of sums of variables, the last number of each the limit, at least 0; gain
// is what is to be as great as can be.
type tableau struct {
	rows [][]float64
	gain []float64
}

// solve returns the values of the first n variables. It is the simplex method with
// slack variables kept in the columns of those they change places with (G. B.
// Dantzig, Linear Programming and Extensions, Princeton 1963, from memory), by
// R. G. Bland's rule, which does not go round in circles (Mathematics of Operations
// Research 2, 1977, from memory).
func (t *tableau) solve(n int) []float64 {
	const zero = 1e-8 // far above what exchanges lose, and no step goes far enough for it to count
	basic, free := make([]int, len(t.rows)), make([]int, n)
	for i := range basic {
		basic[i] = n + i
	}
	for k := range free {
		free[k] = k
	}
	const most = 200 // exchanges; what is reached by then is allowed, too
	for range most {
		in := -1
		for k := range free {
			if t.gain[k] > zero && (in < 0 || free[k] < free[in]) {
				in = k
			}
		}
		if in < 0 {
			break
		}
		out := -1
		for i, r := range t.rows {
			if r[in] <= zero {
				continue
			}
			if out < 0 {
				out = i
				continue
			}
			d := r[n]/r[in] - t.rows[out][n]/t.rows[out][in]
			if d < 0 || d == 0 && basic[i] < basic[out] {
				out = i
			}
		}
		if out < 0 {
			break
		}
		t.exchange(out, in)
		basic[out], free[in] = free[in], basic[out]
	}
	x := make([]float64, n)
	for i, v := range basic {
		if v < n {
			x[v] = t.rows[i][n]
		}
	}
	return x
}

// exchange makes the variable of a column basic in a row, and that of the row free.
func (t *tableau) exchange(out, in int) {
	r := t.rows[out]
	by := 1 / r[in]
	for k := range r {
		r[k] *= by
	}
	r[in] = by
	cleared := func(q []float64) {
		f := q[in]
		if f == 0 {
			return
		}
		q[in] = 0
		for k := range q {
			q[k] -= f * r[k]
		}
	}
	for i, q := range t.rows {
		if i != out {
			cleared(q)
		}
	}
	cleared(t.gain)
}
