package reach

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/scene/solid"
)

// A walk takes hand and forearm from the place out to where they can be drawn
// straight away: steps of the hand's point in the upright plane of the forearm,
// and of the forearm's rise. Each step is verified before it is taken.
const (
	walkStep = 20.0         // mm
	walkTurn = math.Pi / 18 // of the forearm's rise
	mostWalk = 400          // steps looked at
	// mostRefused is how many ways out may prove to be none for the upper arm.
	mostRefused = 4
	walkRoom    = 3.0           // room wanted at each step, in mm, where the end has as much
	turnCosts   = 2 * 180 / 3.1 // mm of way that a turn by one radian counts as
	eager       = 1.6           // how much what is still to go counts against what was gone
)

// at is where a walk is: steps out, up and of turn from its end.
type at [3]int

// A pace is one place of a walk.
type pace struct {
	at   at
	from *pace
	pose solid.Pose
	// uppers are directions in which the upper arm has room from here to the end,
	// moved along with the elbow without turning.
	uppers []r3.Vec
	gone   float64
	weight float64
	number int
}

type paces []*pace

// Len, Less, Swap, Push and Pop implement heap.Interface, the least weight first.
func (p *paces) Len() int { return len(*p) }

func (p *paces) Less(i, j int) bool {
	a, b := (*p)[i], (*p)[j]
	return a.weight < b.weight || a.weight == b.weight && a.number < b.number
}

func (p *paces) Swap(i, j int) { (*p)[i], (*p)[j] = (*p)[j], (*p)[i] }

func (p *paces) Push(x any) {
	if q, ok := x.(*pace); ok {
		*p = append(*p, q)
	}
}

func (p *paces) Pop() any {
	q := (*p)[len(*p)-1]
	*p = (*p)[:len(*p)-1]
	return q
}

// walked returns the posture f with a walk into it; nil where it finds none.
func (k *seeker) walked(ctx context.Context, f *final) *posture {
	a := &f.arm
	w := walker{seeker: k, end: a, rise: f.rise, level: k.slant(0, f.aside), seen: map[at]bool{}}
	w.turn = quat.Conj(quat.Mul(solid.Turned(a.axis, a.roll), upright(a.axis)))
	w.wanted = min(walkRoom, max(0, f.room.free))
	w.add(&pace{pose: solid.Rest, uppers: f.towards()})
	refused := 0
	for range mostWalk {
		if w.open.Len() == 0 || ctx.Err() != nil {
			return nil
		}
		p, ok := heap.Pop(&w.open).(*pace)
		if !ok {
			return nil
		}
		if p.from != nil && !w.steps(p) {
			delete(w.seen, p.at) // another step may lead there
			continue
		}
		if path, out := w.away(p); out {
			if p := k.finishWith(f.uppers, a, path, f.room); p != nil {
				p.over, p.bent = true, true
				return p
			}
			if refused++; refused == mostRefused {
				return nil
			}
			continue
		}
		w.around(p)
	}
	return nil
}

type walker struct {
	*seeker
	end    *arm
	turn   quat.Number // back from the end's turn
	rise   float64     // of the end, in degrees
	level  r3.Vec      // the direction out
	wanted float64
	open   paces
	seen   map[at]bool
	made   int
}

// arm returns hand and forearm at a place of the walk.
func (w *walker) arm(p at, travel float64) (arm, bool) {
	rise := w.rise*math.Pi/180 - float64(p[2])*walkTurn
	if rise > math.Pi/2+1e-9 || rise < -math.Pi/6 {
		return arm{}, false
	}
	sin, cos := math.Sincos(rise)
	axis := r3.Add(r3.Scale(cos, w.level), r3.Vec{Z: sin})
	point := r3.Add(w.end.point, r3.Add(r3.Scale(walkStep*float64(p[0]), w.level), r3.Vec{Z: walkStep * float64(p[1])}))
	g := w.grasp
	if r3.Norm(r3.Sub(point, w.end.point)) >= opening {
		g = g.closed()
	}
	return w.person.hold(g, point, axis, w.end.roll, travel), true
}

// poseOf returns the pose in which the end's arm is a.
func (w *walker) poseOf(a *arm) solid.Pose {
	p := solid.Pose{Turn: quat.Mul(quat.Mul(solid.Turned(a.axis, a.roll), upright(a.axis)), w.turn)}
	p.Shift = r3.Sub(a.point, p.Rotate(w.end.point))
	return p
}

func (w *walker) add(p *pace) {
	w.seen[p.at] = true
	w.made++
	p.number = w.made
	heap.Push(&w.open, p)
}

// around looks at the places one step away.
func (w *walker) around(p *pace) {
	for out := -1; out <= 1; out++ {
		for up := -1; up <= 1; up++ {
			for turn := -1; turn <= 1; turn++ {
				n := at{p.at[0] + out, p.at[1] + up, p.at[2] + turn}
				if w.seen[n] {
					continue
				}
				a, ok := w.arm(n, 1)
				if !ok {
					continue
				}
				uppers, free := w.free(&a, n, p.uppers)
				if !free {
					continue
				}
				step := math.Hypot(float64(out), float64(up))*walkStep + math.Abs(float64(turn))*walkTurn*turnCosts
				q := &pace{at: n, from: p, pose: w.poseOf(&a), uppers: uppers, gone: p.gone + step}
				q.weight = q.gone + eager*w.left(&a)
				w.add(q)
			}
		}
	}
}

// left guesses how much is still to go: until the hand is outside and the
// forearm level.
func (w *walker) left(a *arm) float64 {
	face := r3.Dot(w.target([2]float64{0.5, 0.5}), w.out)
	rise := math.Asin(max(-1, min(1, a.along.Z)))
	return max(0, face-r3.Dot(a.point, w.out))/2 + math.Abs(rise)*turnCosts
}

// mostUppers is how many directions of the upper arm are carried along on a walk.
const mostUppers = 6

// towards returns directions of the upper arm that have room: those with the most.
func (f *final) towards() []r3.Vec {
	ups := slices.Clone(f.uppers)
	slices.SortStableFunc(ups, func(a, b posture) int { return cmp.Compare(min(b.room.free, plenty), min(a.room.free, plenty)) })
	var out []r3.Vec
	for _, u := range ups[:min(len(ups), mostUppers)] {
		out = append(out, r3.Unit(r3.Sub(u.shoulder, u.elbow)))
	}
	return out
}

// free reports whether hand and forearm have room at a place, and the upper arm
// as long as the elbow is inside: in which of these directions.
func (w *walker) free(a *arm, n at, uppers []r3.Vec) ([]r3.Vec, bool) {
	k := *w.seeker
	if r3.Norm(r3.Sub(a.point, w.end.point)) > w.person.hand {
		k.place.On = "" // by now it is past what it may touch
	}
	if r := k.still(a, w.wanted); r.free < w.wanted && n != (at{}) {
		return nil, false
	}
	if !holds(w.outside, a.elbow) {
		return uppers, true
	}
	var left []r3.Vec
	face := r3.Dot(w.target([2]float64{0.5, 0.5}), w.out)
	for _, d := range uppers {
		b := w.person.raise(*a, d)
		if r3.Dot(b.shoulder, w.out) >= face-contact && w.upperRoom(&b, 0).free >= 0 {
			left = append(left, d)
		}
	}
	return left, len(left) > 0
}

// steps verifies the step to p.
func (w *walker) steps(p *pace) bool {
	path := solid.Path{Ref: w.end.point, Poses: []solid.Pose{p.pose, p.from.pose}}
	all := slices.Clone(w.more)
	for i := range w.obstacles {
		all = append(all, w.obstacles[i].Solid)
	}
	if verify.Keeps(w.end.fore, path, all, 0) != nil {
		return false
	}
	others := slices.Clone(w.more)
	for i := range w.obstacles {
		if !w.touched(w.obstacles[i].Part) {
			others = append(others, w.obstacles[i].Solid)
		}
	}
	shut, open := w.end.split(solid.Path{Ref: path.Ref, Poses: []solid.Pose{p.pose, p.from.pose}})
	if shut != nil && verify.Keeps(w.end.shut, *shut, others, 0) != nil || open != nil && verify.Keeps(w.end.hand, *open, others, 0) != nil {
		return false
	}
	// What may be touched at the place the hand does not go through.
	var touched []solid.Solid
	for i := range w.obstacles {
		if w.touched(w.obstacles[i].Part) {
			touched = append(touched, w.obstacles[i].Solid)
		}
	}
	return len(touched) == 0 || verify.Keeps([]solid.Solid{w.end.palm}, path, touched, 0) == nil
}

// away returns the whole way in where the arm can be drawn straight out of p.
func (w *walker) away(p *pace) (solid.Path, bool) {
	a, ok := w.arm(p.at, 1)
	if !ok || r3.Dot(a.along, w.out) < 0.2 {
		return solid.Path{}, false
	}
	travel := w.travel(a.point, a.along)
	a, _ = w.arm(p.at, travel)
	if w.behind(&a, 0).free < 0 {
		return solid.Path{}, false
	}
	first := a
	first.point = r3.Add(a.point, r3.Scale(travel+a.lead, a.along))
	if a.bend != 0 {
		// All of the hand, which is across.
		first.point = r3.Add(first.point, r3.Scale((a.lead+a.breadth)/r3.Dot(a.along, w.out), a.along))
		leg := solid.Path{Ref: w.end.point, Poses: []solid.Pose{w.poseOf(&first), p.pose}}
		if !w.keeps(append(slices.Clone(w.end.shut), w.end.fore...), leg) {
			return solid.Path{}, false
		}
	}
	path := solid.Path{Ref: w.end.point, Poses: []solid.Pose{w.poseOf(&first)}}
	for ; p != nil; p = p.from {
		path.Poses = append(path.Poses, p.pose)
	}
	if len(path.Poses) < 2 {
		return solid.Path{}, false
	}
	return path, true
}
