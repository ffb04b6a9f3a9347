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
	need float64
}

// clear tells whether the leg from a to b keeps clear.
func (e *easer) clear(a, b solid.Pose) bool {
	leg := solid.Path{Ref: e.ref, Poses: []solid.Pose{a, b}}
	return verify.Keeps(e.moving(), leg, e.others, e.need) == nil &&
		verify.Keeps(e.standing(), leg, e.reaching, e.need) == nil
}

func (e *easer) ease(path solid.Path) solid.Path {
	poses := e.shortened(path.Poses)
	poses = e.plain(poses)
	poses = e.shortened(poses)
	poses = e.plain(poses)
	return e.fromOutside(solid.Path{Ref: e.ref, Poses: poses})
}

// shortened leaves out poses: from each the farthest that can be reached
// straight, looked for in ever longer strides.
func (e *easer) shortened(poses []solid.Pose) []solid.Pose {
	out := []solid.Pose{poses[0]}
	for i := 0; i < len(poses)-1; {
		next := i + 1
		for stride := len(poses) - 1 - i; stride > 1; stride = stride * 2 / 3 {
			if e.clear(poses[i], poses[i+stride]) {
				next = i + stride
				break
			}
		}
		out = append(out, poses[next])
		i = next
	}
	return out
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

// split returns the poses after from that lead to to.
func (e *easer) split(from, to solid.Pose) []solid.Pose {
	const still = 1e-9
	a, b := from.Apply(e.ref), to.Apply(e.ref)
	d := r3.Sub(b, a)
	var moves []int // 0 to 2: along an axis, 3: the turn
	for k, v := range [3]float64{d.X, d.Y, d.Z} {
		if math.Abs(v) > still {
			moves = append(moves, k)
		}
	}
	if solid.AngleBetween(from.Turn, to.Turn) > still {
		moves = append(moves, 3)
	}
	if len(moves) < 2 {
		return []solid.Pose{to}
	}
	for order := range permutations(moves) {
		at, turn := a, from.Turn
		pose := from
		var poses []solid.Pose
		ok := true
		for i, m := range order {
			switch m {
			case 0:
				at.X = b.X
			case 1:
				at.Y = b.Y
			case 2:
				at.Z = b.Z
			case 3:
				turn = to.Turn
			}
			next := solid.Pose{Turn: turn}
			next.Shift = r3.Sub(at, next.Rotate(e.ref))
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
