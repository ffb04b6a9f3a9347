package passage

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/fit/verdict"
	"undercroft/scene/solid"
)

// easer makes a way easy for a person: few moves, each along one axis or about
// one, as far as everything keeps clear by need.
type easer struct {
	*posed
	need   float64
	looked map[[2]solid.Pose]bool // legs, and whether they are clear
}

// easer returns one that keeps need, in mm.
func (p *posed) easer(need float64) *easer {
	return &easer{posed: p, need: need, looked: map[[2]solid.Pose]bool{}}
}

// clear tells whether the leg from a to b keeps clear.
func (e *easer) clear(a, b solid.Pose) bool {
	leg := [2]solid.Pose{a, b}
	ok, known := e.looked[leg]
	if !known {
		ok = e.keeps(e.need, a, b)
		e.looked[leg] = ok
	}
	return ok
}

// ease is quick: it is done to every way that is found.
func (e *easer) ease(path solid.Path) solid.Path {
	poses := e.shortened(path.Poses)
	poses = e.plain(poses)
	poses = e.shortened(poses)
	poses = e.plain(poses)
	return e.fromOutside(solid.Path{Ref: e.ref, Poses: e.soonDown(poses)})
}

// easier is ease of a way that was eased before, as far as it goes.
func (e *easer) easier(path solid.Path) solid.Path {
	poses := e.plain(e.divided(path.Poses))
	for {
		n := len(poses)
		if poses = e.soonDown(e.fewest(e.aligned(poses))); len(poses) >= n {
			return e.fromOutside(solid.Path{Ref: e.ref, Poses: poses})
		}
	}
}

// soonDown leaves out the last poses that only lower a thing from where it comes straight
// to rest: it is not lowered a little and then set down.
func (e *easer) soonDown(poses []solid.Pose) []solid.Pose {
	for n := len(poses); n > 2; n-- {
		over, last := poses[n-2], poses[n-1]
		at := over.Apply(e.ref)
		down := e.back.Rotate(r3.Sub(last.Apply(e.ref), at))
		only := math.Hypot(down.X, down.Y) <= unmoved && down.Z < 0 && e.same(over, solid.Rest, 3)
		if !only || r3.Norm(r3.Sub(at, e.ref)) > near || !e.setsDown(at) {
			break
		}
		poses = poses[:n-1]
	}
	return poses
}

// divided cuts legs that are more than one move at a time into short ones, of which each
// may be clear as moves one after the other.
func (e *easer) divided(poses []solid.Pose) []solid.Pose {
	const pieces = 8
	out := poses[:1:1]
	for i, q := range poses[1:] {
		leg := solid.Path{Ref: e.ref, Poses: poses[i : i+2]}
		for n := 1; n < pieces && e.differ(poses[i], q) > 1; n++ {
			out = append(out, leg.At(0, float64(n)/pieces))
		}
		out = append(out, q)
	}
	return out
}

// atOnce is how many moves one along or about several axes counts as besides as many
// as these.
const atOnce = 2

// fewest leads through those of the poses between which the moves are fewest.
func (e *easer) fewest(poses []solid.Pose) []solid.Pose {
	type reached struct {
		moves, from int
		by          []solid.Pose
	}
	best := make([]reached, len(poses))
	for j := range best[1:] {
		best[j+1].moves = math.MaxInt
	}
	for i := range poses {
		for j := i + 1; j < len(poses); j++ {
			differ := e.differ(poses[i], poses[j])
			if best[i].moves+differ >= best[j].moves {
				continue
			}
			by := e.split(poses[i], poses[j])
			moves := len(by)
			if differ > moves {
				moves = differ + atOnce
			}
			// Of moves that are not split only those to the next pose are known to be clear.
			if best[i].moves+moves < best[j].moves && (moves <= differ && differ > 1 || j == i+1 || e.clear(poses[i], poses[j])) {
				best[j] = reached{best[i].moves + moves, i, by}
			}
		}
	}
	var out []solid.Pose
	for j := len(poses) - 1; j > 0; j = best[j].from {
		for _, q := range slices.Backward(best[j].by) {
			out = append(out, q)
		}
	}
	out = append(out, poses[0])
	slices.Reverse(out)
	return out
}

// shortened leaves out poses: from each the farthest that can be reached
// straight.
func (e *easer) shortened(poses []solid.Pose) []solid.Pose {
	out := []solid.Pose{poses[0]}
	for i := 0; i < len(poses)-1; {
		i = e.farthest(poses, i)
		out = append(out, poses[i])
	}
	return out
}

// farthest returns the number of the farthest pose that can be reached straight from
// pose i, looked for in ever shorter strides, or of the next one.
func (e *easer) farthest(poses []solid.Pose, i int) int {
	for stride := len(poses) - 1 - i; stride > 1; stride = stride * 2 / 3 {
		if e.clear(poses[i], poses[i+stride]) {
			return i + stride
		}
	}
	return i + 1
}

// plain splits legs that move along several axes or turn and move into moves one
// after the other, where such an order is clear.
func (e *easer) plain(poses []solid.Pose) []solid.Pose {
	out := []solid.Pose{poses[0]}
	for _, to := range poses[1:] {
		from := out[len(out)-1]
		out = append(out, e.split(from, to)...)
	}
	return out
}

// coordinates are what a way is eased in: the place of the reference point along each
// axis, and the turn.
const coordinates = 4

// unmoved is how much of a coordinate, in mm or radians, is rounding.
const unmoved = 1e-9

// same tells whether two poses have the same coordinate k.
func (e *easer) same(p, q solid.Pose, k int) bool {
	if k == 3 {
		return solid.AngleBetween(p.Turn, q.Turn) <= unmoved
	}
	d := r3.Sub(p.Apply(e.ref), q.Apply(e.ref))
	return math.Abs([3]float64{d.X, d.Y, d.Z}[k]) <= unmoved
}

// with returns the pose p with the coordinate k of q.
func (e *easer) with(p, q solid.Pose, k int) solid.Pose {
	at, to, turn := p.Apply(e.ref), q.Apply(e.ref), p.Turn
	switch k {
	case 0:
		at.X = to.X
	case 1:
		at.Y = to.Y
	case 2:
		at.Z = to.Z
	case 3:
		turn = q.Turn
	}
	return e.placed(at, turn)
}

// aligned leaves out moves along an axis, or turns, that are not needed: it gives poses
// one after the other that have a coordinate in common that of the pose before them or
// of the one after, the last ones that of rest, as far as all legs keep clear. Where
// the thing comes from is open.
func (e *easer) aligned(poses []solid.Pose) []solid.Pose {
	for again := true; again; {
		again = false
		for k := range coordinates {
			var fewer bool
			poses, fewer = e.alignedAlong(poses, k)
			again = again || fewer
		}
	}
	return poses
}

// alignedAlong is aligned along coordinate k alone, from the first pose to the last, and
// tells whether it came to anything.
func (e *easer) alignedAlong(poses []solid.Pose, k int) (_ []solid.Pose, fewer bool) {
	for first := 0; first < len(poses); {
		past := first + 1
		for past < len(poses) && e.same(poses[past-1], poses[past], k) {
			past++
		}
		moved, ok := e.alignedTo(poses, first, past, k)
		if !ok {
			first = past
			continue
		}
		// These are of one with the poses before them, or with those after.
		poses, fewer = moved, true
		first = max(first-1, 0)
		for first > 0 && e.same(poses[first-1], poses[first], k) {
			first--
		}
	}
	return poses, fewer
}

// alignedTo gives the poses from first on, before past, the coordinate k of the one before
// them or of the one after, or of rest, if all legs then keep clear.
func (e *easer) alignedTo(poses []solid.Pose, first, past, k int) ([]solid.Pose, bool) {
	last := len(poses) - 1
	var values []solid.Pose
	if first > 0 && past <= last {
		values = append(values, poses[first-1])
	}
	switch {
	case past <= last:
		values = append(values, poses[past])
	case !e.same(poses[last], solid.Rest, k):
		values = append(values, solid.Rest) // to be set down straight
	}
	for _, v := range values {
		moved := slices.Clone(poses)
		for i := first; i < past; i++ {
			moved[i] = e.with(poses[i], v, k)
		}
		ok := first > 0 || solid.BoundsOf(e.at(moved[0])...).Max.Y <= e.outside
		for i := max(first-1, 0); ok && i < min(past, last); i++ {
			ok = e.clear(moved[i], moved[i+1])
		}
		ok = ok && (past <= last || e.setsDown(moved[last].Apply(e.ref)))
		if ok {
			return e.apart(moved), true
		}
	}
	return poses, false
}

// at returns what moves in the pose q.
func (e *easer) at(q solid.Pose) []solid.Solid { return moved(e.moving(), q) }

// apart leaves out poses that are the same as the one before.
func (e *easer) apart(poses []solid.Pose) []solid.Pose {
	return slices.CompactFunc(poses, func(p, q solid.Pose) bool { return e.differ(p, q) == 0 })
}

// differ returns how many coordinates of two poses differ.
func (e *easer) differ(p, q solid.Pose) int {
	n := 0
	for k := range coordinates {
		if !e.same(p, q, k) {
			n++
		}
	}
	return n
}

// split returns the poses after from that lead to to.
func (e *easer) split(from, to solid.Pose) []solid.Pose {
	var moves []int
	for k := range coordinates {
		if !e.same(from, to, k) {
			moves = append(moves, k)
		}
	}
	if len(moves) < 2 {
		return []solid.Pose{to}
	}
	for order := range permutations(moves) {
		pose := from
		var poses []solid.Pose
		ok := true
		for i, k := range order {
			next := e.with(pose, to, k)
			if i == len(order)-1 {
				next = to
			}
			if ok = e.clear(pose, next); !ok {
				break
			}
			poses = append(poses, next)
			pose = next
		}
		if ok {
			return poses
		}
	}
	return []solid.Pose{to}
}

// permutations yields the orders of items, always in the same sequence.
func permutations(items []int) func(yield func([]int) bool) {
	return func(yield func([]int) bool) {
		var place func(k int) bool
		p := slices.Clone(items)
		place = func(k int) bool {
			if k == len(p) {
				return yield(p)
			}
			for i := k; i < len(p); i++ {
				p[k], p[i] = p[i], p[k]
				if !place(k + 1) {
					return false
				}
				p[k], p[i] = p[i], p[k]
			}
			return true
		}
		place(0)
	}
}

// lifted is how far a move may raise or lower a thing, in mm, before that counts
// as lifting it rather than sliding it.
const lifted = 50.0

// keepsTurned tells whether everything keeps the room that is wanted on those
// legs of a way, all but the move to rest, on which the thing is lifted or turned.
func (j *Job) keepsTurned(path solid.Path) bool {
	need := max(j.WantedTurned, j.Tape) - verdict.Contact
	for i := range len(path.Poses) - 2 {
		a, b := path.Poses[i], path.Poses[i+1]
		if path.Angle(i) <= level && math.Abs(b.Apply(path.Ref).Z-a.Apply(path.Ref).Z) <= lifted {
			continue
		}
		leg := solid.Path{Ref: path.Ref, Poses: []solid.Pose{a, b}}
		if verify.Keeps(solidsOf(j.Parts), leg, solidsOf(j.Others), need.MM()) != nil ||
			verify.Keeps(solidsOf(j.Open), leg, solidsOf(j.Reaching), need.MM()) != nil {
			return false
		}
	}
	return true
}
