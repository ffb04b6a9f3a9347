package passage

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/space"
	"undercroft/fit/internal/verify"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// A found way: in the scene's frame, its last leg the straight move to rest.
type found struct {
	path  solid.Path
	clear verify.Clear // of all legs but the last
	axes  []int        // about which it is turned, for a search
	swept []int        // those of the sweep that it is near by a way of
}

// A sweep is which turns a search looks at, and how densely.
type sweep struct {
	axes   [][]int // each the axes about which the thing is turned one after the other
	turn   float64 // radians between turns
	stride float64 // mm between depths
	most   int     // pairs of a turn and a depth to look at for each of axes
}

// Turns about fewer axes are easier to carry out, and quicker to look through.
var (
	oneTurn  = [][]int{nil, {0}, {1}, {2}}
	twoTurns = [][]int{{0, 1}, {1, 0}, {0, 2}, {2, 0}, {1, 2}, {2, 1}}
	anyTurns = [][]int{{0, 1, 2}, {2, 0, 1}}

	oneCoarse = sweep{oneTurn, 3 * math.Pi / 180, 12, 50_000}
	oneMedium = sweep{oneTurn, 1.5 * math.Pi / 180, 6, 100_000}
	oneFine   = sweep{oneTurn, 0.5 * math.Pi / 180, 2, 100_000}
	twoCoarse = sweep{twoTurns, 4.5 * math.Pi / 180, 15, 50_000}
	twoMedium = sweep{twoTurns, 2.25 * math.Pi / 180, 8, 100_000}
	twoClose  = sweep{twoTurns, 2 * math.Pi / 180, 6, 80_000}
	anyCoarse = sweep{anyTurns, 4.5 * math.Pi / 180, 15, 80_000}
)

// about returns the sweep for turns about these axes alone.
func (s sweep) about(axes []int) sweep {
	s.axes = [][]int{axes}
	return s
}

// search looks for a way on which everything keeps at least spare, in mm. A way it
// returns is verified.
func (p *posed) search(ctx context.Context, spare float64, s sweep) (found, bool) {
	rooms := p.rooms(spare)
	rooms.Ends = p.endsIn(rooms)
	if len(rooms.Ends) == 0 {
		return found{}, false
	}
	return p.swept(ctx, rooms, s, func(axes []int, way []space.Cross, by float64) (found, bool) {
		e := p.easer(spare - rounding)
		f, ok := p.verified(e, p.straightened(e, rooms, way, by), spare)
		f.axes = axes
		return f, ok
	})
}

// swept returns the first way that try makes of what a sweep comes upon in rooms, about
// one choice of axes after the other; by is how far it may end from an end in depth.
func (p *posed) swept(ctx context.Context, rooms *space.Blocks, s sweep, try func(axes []int, way []space.Cross, by float64) (found, bool)) (found, bool) {
	for _, axes := range s.axes {
		if ctx.Err() != nil {
			break
		}
		l := s.lattice(p, rooms, axes)
		way := l.Find()
		p.steps += l.Used
		if way == nil {
			continue
		}
		if f, ok := try(axes, way, l.Stride/2); ok {
			return f, true
		}
	}
	return found{}, false
}

// lattice returns what the sweep looks at in rooms, of turns about axes.
func (s sweep) lattice(p *posed, rooms *space.Blocks, axes []int) *space.Lattice {
	return &space.Lattice{
		Body: &p.body, Rooms: rooms, Axes: axes, Turn: math.Pi / 2, Step: s.turn,
		Near: p.near, Far: p.far, Stride: s.stride, Most: s.most,
	}
}

// spot is a pose on a way: a turn and the place of the reference point.
type spot struct {
	turn quat.Number
	at   r3.Vec
}

// poseAt returns the pose of a spot.
func (p *posed) poseAt(s spot) solid.Pose { return p.placed(s.at, s.turn) }

// halvings bounds how often the stretch between two spots is halved.
const halvings = 6

// stop is a spot on a way, and where the reference point is free across it at the same
// turn and depth.
type stop struct {
	spot
	free space.Rect
}

// stops returns those of a way, from outside to an end place no farther in depth than by:
// looked for backward from there, each as near to the next as it can be.
func (p *posed) stops(rooms *space.Blocks, way []space.Cross, by float64) []stop {
	last := way[len(way)-1]
	now := stop{spot{solid.Rest.Turn, rooms.Ends[0]}, last.Rect}
	for _, end := range rooms.Ends {
		if math.Abs(end.Y-last.Y) <= by && last.Rect.Has(end.X, end.Z) {
			now.at = end
			break
		}
	}
	out := []stop{now}
	for _, w := range slices.Backward(way) {
		next := stop{spot{w.Turn, r3.Vec{Y: w.Y}}, w.Rect}
		next.at.X, next.at.Z = w.Rect.Inset(1).Near(now.at.X, now.at.Z)
		if next.spot != now.spot {
			out, now = append(out, next), next
		}
	}
	slices.Reverse(out)
	return out
}

// straightened turns a way into poses in the frame: from each stop to the
// farthest that can be reached straight, and where not even the next one can by spots
// between the two.
func (p *posed) straightened(e *easer, rooms *space.Blocks, way []space.Cross, by float64) solid.Path {
	stops := p.stops(rooms, way, by)
	poses := make([]solid.Pose, len(stops))
	for i, s := range stops {
		poses[i] = p.poseAt(s.spot)
	}
	first := p.lastOutside(poses)
	stops, poses = stops[first:], poses[first:]
	out := poses[:1:1]
	for i := 0; i < len(poses)-1; {
		next := e.farthest(poses, i)
		if next == i+1 {
			out = p.aside(out, e, rooms, stops[i], stops[next])
		} else {
			out = append(out, poses[next])
		}
		i = next
	}
	return solid.Path{Ref: p.ref, Poses: out}
}

// aside appends the poses that lead from the stop a to b next to it: out of a deep place
// first to what both have in common, then on.
func (p *posed) aside(poses []solid.Pose, e *easer, rooms *space.Blocks, a, b stop) []solid.Pose {
	both := a.free.Meet(b.free)
	if both.Empty() || e.clear(p.poseAt(a.spot), p.poseAt(b.spot)) {
		return p.join(poses, e, rooms, a.spot, b.spot, halvings)
	}
	x, z := both.Inset(1).Near(b.at.X, b.at.Z)
	from, to := a.spot, b.spot
	from.at.X, from.at.Z, to.at.X, to.at.Z = x, z, x, z
	if from != a.spot {
		poses = p.join(poses, e, rooms, a.spot, from, halvings)
	}
	poses = p.join(poses, e, rooms, from, to, halvings)
	if to != b.spot {
		poses = p.join(poses, e, rooms, to, b.spot, halvings)
	}
	return poses
}

// join appends the poses that lead from the spot a to b, with others between them
// where the straight leg is not clear.
func (p *posed) join(poses []solid.Pose, e *easer, rooms *space.Blocks, a, b spot, depth int) []solid.Pose {
	q := p.poseAt(b)
	if depth == 0 || e.clear(p.poseAt(a), q) {
		return append(poses, q)
	}
	leg := solid.Path{Ref: p.ref, Poses: []solid.Pose{p.poseAt(a), q}}
	mid := spot{leg.At(0, 0.5).Turn, r3.Scale(0.5, r3.Add(a.at, b.at))}
	best := math.Inf(1)
	at := mid.at
	for _, r := range rooms.At(&p.body, mid.turn, mid.at.Y) {
		x, z := r.Inset(0.2).Near(mid.at.X, mid.at.Z)
		if d := math.Hypot(x-mid.at.X, z-mid.at.Z); d < best {
			best, at.X, at.Z = d, x, z
		}
	}
	mid.at = at
	poses = p.join(poses, e, rooms, a, mid, depth-1)
	return p.join(poses, e, rooms, mid, b, depth-1)
}

// rooms returns what the search moves in, with all grown by spare.
func (p *posed) rooms(spare float64) *space.Blocks {
	hole, outer := p.inFrame(p.Opening.Hole), p.inFrame(outerBox(p.Cabinet))
	across := func(b r3.Box) space.Rect { return space.Rect{X0: b.Min.X, X1: b.Max.X, Z0: b.Min.Z, Z1: b.Max.Z} }
	return &space.Blocks{
		Outside: p.outside, Domain: p.domain(), Blocks: p.blocks(spare),
		Hole: across(hole), Thick: hole.Max.Y, Inside: across(outer), Scratch: &p.scratch,
	}
}

// domain returns where a way is looked for: before the cabinet and in it, with
// room to swing round its edges.
func (p *posed) domain() space.Rect {
	b := p.inFrame(r3.Box{Max: r3.Vec{X: p.Cabinet.Width.MM(), Y: p.Cabinet.Depth.MM(), Z: p.Cabinet.Height.MM()}})
	r := p.body.Radius() + near
	return space.Rect{X0: b.Min.X - r, X1: b.Max.X + r, Z0: b.Min.Z - r, Z1: b.Max.Z + r}
}

// blocks returns what stands in the way as boxes, grown by spare; where that is negative
// what is thinner is flat.
func (p *posed) blocks(spare float64) []space.Block {
	if p.boxes == nil {
		p.boxes = p.boxed()
	}
	out := slices.Clone(p.boxes)
	for i := range out {
		b := grown(out[i].Box, spare)
		flat := middle(b)
		b.Min = r3.Vec{X: min(b.Min.X, flat.X), Y: min(b.Min.Y, flat.Y), Z: min(b.Min.Z, flat.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, flat.X), Y: max(b.Max.Y, flat.Y), Z: max(b.Max.Z, flat.Z)}
		out[i].Box = b
	}
	return out
}

// boxed covers what stands in the way with boxes.
func (p *posed) boxed() []space.Block {
	var out []space.Block
	carried, all := len(p.Parts), len(p.Parts)+len(p.Open)
	for _, s := range p.others {
		for _, b := range outerBoxes(s) {
			out = append(out, space.Block{Box: b, First: 0, Past: carried})
		}
	}
	for _, s := range p.reaching {
		for _, b := range outerBoxes(s) {
			out = append(out, space.Block{Box: b, First: carried, Past: all})
		}
	}
	return out
}

// mostEnds is how many places near rest a search may end at.
const mostEnds = 6

// endsIn returns places near rest, turned as at rest, that are free in rooms and
// from which the straight move to rest is free: nearest first.
func (p *posed) endsIn(rooms *space.Blocks) []r3.Vec {
	var candidates []r3.Vec
	for _, y := range p.restDepths(rooms.Blocks) {
		for _, r := range rooms.At(&p.body, solid.Rest.Turn, y) {
			for _, in := range [2]float64{6, 0} {
				x, z := r.Inset(in).Near(p.ref.X, p.ref.Z)
				candidates = append(candidates, r3.Vec{X: x, Y: y, Z: z})
			}
		}
	}
	slices.SortStableFunc(candidates, func(a, b r3.Vec) int {
		da, db := r3.Norm(r3.Sub(a, p.ref)), r3.Norm(r3.Sub(b, p.ref))
		switch {
		case da < db:
			return -1
		case da > db:
			return 1
		}
		return 0
	})
	var out []r3.Vec
	for _, c := range candidates {
		if r3.Norm(r3.Sub(c, p.ref)) > near || len(out) == mostEnds {
			break
		}
		if p.setsDown(c) {
			out = append(out, c)
		}
	}
	return out
}

// restDepths returns depths near rest, of which for boxes turned as at rest some are
// free among the blocks if any are: what is beside them changes only where one begins
// to reach into the depths of a block, or ceases to.
func (p *posed) restDepths(blocks []space.Block) []float64 {
	ys := []float64{p.ref.Y}
	for _, s := range p.stretches(blocks) {
		for _, in := range [...]float64{6, near} {
			in = min(in, (s[1]-s[0])/2)
			ys = append(ys, max(s[0]+in, min(s[1]-in, p.ref.Y)))
		}
	}
	slices.Sort(ys)
	return slices.Compact(ys)
}

// stretches returns the intervals of depths near rest between those at which a part
// that is turned as at rest begins or ceases to reach into the depths of a block.
func (p *posed) stretches(blocks []space.Block) [][2]float64 {
	at := p.ref.Y
	cuts := []float64{at - near, at + near}
	for _, b := range blocks {
		for _, s := range p.outer[b.First:b.Past] {
			e := s.Bounds()
			for _, y := range [2]float64{at + b.Box.Min.Y - e.Max.Y, at + b.Box.Max.Y - e.Min.Y} {
				if math.Abs(y-at) < near {
					cuts = append(cuts, y)
				}
			}
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	var out [][2]float64
	for i := range len(cuts) - 1 {
		out = append(out, [2]float64{cuts[i], cuts[i+1]})
	}
	return out
}

// setsDown tells whether the straight move from the place c to rest overlaps
// nothing.
func (p *posed) setsDown(c r3.Vec) bool {
	from := solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Sub(c, p.ref)}
	return p.keeps(-verdict.Contact.MM(), from, solid.Rest)
}

// keeps tells whether all keep so much room, in mm, on the legs between these poses.
func (p *posed) keeps(need float64, poses ...solid.Pose) bool {
	path := solid.Path{Ref: p.ref, Poses: poses}
	return p.carried.Keeps(path, need) == nil && (len(p.reaching) == 0 || p.standing.Keeps(path, need) == nil)
}

// moving returns the solids as carried, in the frame.
func (p *posed) moving() []solid.Solid { return moved(solidsOf(p.Parts), p.frame) }

// rounding is what a way may fall short of the room it was looked for with.
const rounding = 1e-6

// verified eases a way to the end place, adds the move to rest, and returns it
// in the scene's frame if it keeps spare all along.
func (p *posed) verified(e *easer, path solid.Path, spare float64) (found, bool) {
	way, ok := p.brought(e, e.ease(p.fromOutside(path)))
	if !ok {
		return found{}, false
	}
	return p.proved(way, spare)
}

// retreats are how far back from the opening, in mm, a thing is brought along its side.
var retreats = [...]float64{0, 10, 50, 200}

// brought returns a way that begins beside the open door with how the thing comes there: from
// beyond the cabinet and all that stands before it, to the left, to the right or from above.
func (p *posed) brought(e *easer, path solid.Path) (solid.Path, bool) {
	first := path.Poses[0]
	at := solid.BoundsOf(e.at(first)...)
	if !p.fromSide || at.Max.Y <= -p.doorReach() {
		return path, true
	}
	around := p.inFrame(outerBox(p.Cabinet))
	for _, o := range p.Others {
		if o.Role == scene.RoleLeaf || o.Role == scene.RoleHinge || o.Role == scene.RoleFixture {
			b := o.Solid.Moved(p.frame).Bounds()
			around = solid.BoundsOf(solid.Box(around), solid.Box(b))
		}
	}
	if at.Max.X <= around.Min.X+rounding || at.Min.X >= around.Max.X-rounding || at.Min.Z >= around.Max.Z-rounding {
		return path, true // it comes from there
	}
	for _, back := range retreats {
		by := r3.Vec{Y: -back}
		for _, from := range []r3.Vec{{X: around.Min.X - at.Max.X}, {X: around.Max.X - at.Min.X}, {Z: around.Max.Z - at.Min.Z}} {
			beside := shiftedBy(first, by)
			poses := []solid.Pose{shiftedBy(beside, from), beside}
			if back > 0 {
				poses = append(poses, first)
			}
			free := true
			for i := 1; i < len(poses); i++ {
				free = free && e.clear(poses[i-1], poses[i])
			}
			if free {
				return solid.Path{Ref: path.Ref, Poses: append(poses[:len(poses)-1], path.Poses...)}, true
			}
		}
	}
	return solid.Path{}, false
}

// shiftedBy returns the pose q moved by d.
func shiftedBy(q solid.Pose, d r3.Vec) solid.Pose {
	q.Shift = r3.Add(q.Shift, d)
	return q
}

// proved adds the move to rest to a way to the end place, and returns it in the scene's
// frame if it keeps spare all along.
func (p *posed) proved(path solid.Path, spare float64) (found, bool) {
	out := solid.Path{Ref: p.back.Apply(p.ref)}
	for _, q := range append(path.Poses, solid.Rest) {
		out.Poses = append(out.Poses, p.inScene(q))
	}
	f := found{path: out}
	var err error
	if f.clear, err = p.prove(out); err != nil || !(f.clear.Low >= spare-verdict.Resolution.MM()) {
		return found{}, false
	}
	// How much it keeps at least is known a little less closely than that it keeps this.
	if need := spare - rounding; f.clear.Low < need && p.keeps(need, path.Poses...) {
		f.clear.Low = need
	}
	return f, true
}

// inScene returns the pose q of the frame as a pose of the scene.
func (p *posed) inScene(q solid.Pose) solid.Pose {
	// back ∘ q ∘ frame
	turn := quat.Mul(quat.Mul(p.back.Turn, q.Turn), p.frame.Turn)
	turn = quat.Scale(1/quat.Abs(turn), turn)
	ref := p.back.Apply(q.Apply(p.ref))
	out := solid.Pose{Turn: turn}
	out.Shift = r3.Sub(ref, out.Rotate(p.back.Apply(p.ref)))
	return out
}

// prove verifies a way in the scene's frame against everything, from the solids
// of the scene themselves: all but its last leg for what it keeps clear, the
// last one for overlapping nothing.
func (j *Job) prove(path solid.Path) (verify.Clear, error) {
	if err := j.enters(path); err != nil {
		return verify.Clear{}, err
	}
	n := len(path.Poses)
	way := solid.Path{Ref: path.Ref, Poses: path.Poses[:n-1]}
	last := solid.Path{Ref: path.Ref, Poses: path.Poses[n-2:]}
	// Nobody needs to know more than is wanted, or ample; a search asks for no more
	// than that and a little.
	enough := max(measured, j.Wanted.MM(), j.WantedTurned.MM(), j.Tape.MM()) + 2*closed
	c, err := verify.Measure(solidsOf(j.Parts), way, solidsOf(j.Others), enough)
	if err != nil {
		return c, err
	}
	inner, err := verify.Measure(solidsOf(j.Open), way, solidsOf(j.Reaching), enough)
	if err != nil {
		return c, err
	}
	if inner.Low < c.Low {
		inner.Body += len(j.Parts)
		inner.Other += len(j.Others)
		c = inner
	}
	if err := verify.Keeps(solidsOf(j.Parts), last, solidsOf(j.Others), -verdict.Contact.MM()); err != nil {
		return c, err
	}
	return c, verify.Keeps(solidsOf(j.Open), last, solidsOf(j.Reaching), -verdict.Contact.MM())
}

// fromOutside drops the poses of a way before the last one at which the whole
// thing is still outside: where it comes from is open.
func (p *posed) fromOutside(path solid.Path) solid.Path {
	return solid.Path{Ref: path.Ref, Poses: path.Poses[p.lastOutside(path.Poses):]}
}

// lastOutside returns the number of the last pose, of those at the beginning, at which
// the whole thing is outside; 0 where there is none.
func (p *posed) lastOutside(poses []solid.Pose) int {
	solids := p.moving()
	first := 0
	for i, q := range poses {
		if b := solid.BoundsOf(moved(solids, q)...); b.Max.Y > p.outside {
			break
		}
		first = i
	}
	return first
}
