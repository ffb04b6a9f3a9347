package model

import (
	"math"
	"slices"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// How fast a thing goes in: slow enough to follow by eye, whichever of the two
// takes longer on a leg.
const (
	speed     = 150.0                     // mm/s of the reference point
	turnSpeed = float64(30 * unit.Degree) // rad/s
	// shortest is the time in seconds of a leg that goes nowhere: times must
	// rise, and up to two hours a float32 tells such times apart.
	shortest = 1e-3
)

// maxTurn is how far two neighbouring keyframes turn at most. Half a turn has
// two short ways, and near it rounding decides which of them a viewer takes; at
// a quarter there is no doubt.
const maxTurn = math.Pi / 2

// A frame is one keyframe.
type frame struct {
	time float64 // s
	pose solid.Pose
}

// frames returns the keyframes of a path and the time at which each leg ends.
// Between two of them, straight and at a constant rate of turn, is the path's
// own motion: they are its poses, and points on the legs that turn far.
func frames(p solid.Path) (list []frame, ends []float64) {
	list = []frame{{0, p.Poses[0]}}
	now := 0.0
	for leg := range len(p.Poses) - 1 {
		a, b := p.Poses[leg], p.Poses[leg+1]
		angle := p.Angle(leg)
		move := r3.Norm(r3.Sub(b.Apply(p.Ref), a.Apply(p.Ref)))
		takes := max(move/speed, angle/turnSpeed, shortest)
		pieces := max(1, int(math.Ceil(angle/maxTurn-1e-9)))
		for i := 1; i < pieces; i++ {
			t := float64(i) / float64(pieces)
			list = append(list, frame{now + t*takes, p.At(leg, t)})
		}
		now += takes
		list = append(list, frame{now, b})
		ends = append(ends, now)
	}
	return list, ends
}

// turn returns a rotation in glTF's frame as x, y, z, w.
func turn(q quat.Number) [4]float64 {
	v := axes(r3.Vec{X: 1000 * q.Imag, Y: 1000 * q.Jmag, Z: 1000 * q.Kmag})
	return [4]float64{v[0], v[1], v[2], q.Real}
}

// A move is one part of a way in words, and when it happens.
type move struct {
	Text string  `json:"text"`
	From float64 `json:"from_s"`
	To   float64 `json:"to_s"`
}

// wayInfo is what a program that reads the model learns of a way.
type wayInfo struct {
	Thing   string   `json:"thing"`
	Through string   `json:"through"`
	Out     bool     `json:"out,omitempty"` // it is taken out, not brought in
	Parts   []string `json:"parts"`
	Absent  []string `json:"absent,omitempty"`
	Moves   []move   `json:"moves,omitempty"`
}

// movesOf returns the moves of a way with their times. Neighbouring legs of one
// move are told as one; how it is turned where it begins takes none.
func movesOf(m scene.Motion, ends []float64) []move {
	var moves []move
	if begins := m.Begins(); begins != "" {
		moves = append(moves, move{Text: begins})
	}
	for leg, i := range m.MoveOf {
		if leg > 0 && m.MoveOf[leg-1] == i {
			moves[len(moves)-1].To = ends[leg]
			continue
		}
		start := 0.0
		if leg > 0 {
			start = ends[leg-1]
		}
		moves = append(moves, move{m.Moves[i], start, ends[leg]})
	}
	return moves
}

// animations adds one animation for each way.
func (b *builder) animations(groups []group, ways []way) {
	named := map[string]int{}
	for i, w := range ways {
		list, ends := frames(w.Path)
		a := &gltf.Animation{
			Name:   w.Thing + " through " + w.Through,
			Extras: wayInfo{w.Thing, w.Through, w.Out, w.Parts, w.Absent, movesOf(w.Motion, ends)},
		}
		if w.Out {
			a.Name = w.Thing + " out through " + w.Through
		}
		named[a.Name]++
		if n := named[a.Name]; n > 1 {
			a.Name = numbered(a.Name, n)
		}
		times := b.times(list)
		turns := b.turns(list)
		for _, p := range b.drives[i] {
			shifts := make([][3]float32, len(list))
			for j, f := range list {
				shifts[j] = axes32(r3.Sub(f.pose.Apply(w.Path.Ref), p.above))
			}
			b.channel(a, p.node, gltf.TRSTranslation, gltf.InterpolationLinear, times,
				modeler.WriteAccessor(b.doc, gltf.TargetNone, shifts))
			b.channel(a, p.node, gltf.TRSRotation, gltf.InterpolationLinear, times, turns)
		}
		whole := []frame{list[0], list[len(list)-1]}
		b.shut(a, groups, w, whole)
		if hide := b.hidden(w); len(hide) > 0 {
			span := b.times(whole)
			none := modeler.WriteAccessor(b.doc, gltf.TargetNone, make([][3]float32, 2))
			for _, node := range hide {
				// A node without size is how glTF 2.0 animates what can be seen
				// (section 3.7.3.1, note on scale).
				b.channel(a, node, gltf.TRSScale, gltf.InterpolationStep, span, none)
			}
		}
		b.doc.Animations = append(b.doc.Animations, a)
	}
}

// shut closes all doors but the one that a way leads through, as it was proved. Nothing
// else drives a leaf, whose node stands in the scene's origin.
func (b *builder) shut(a *gltf.Animation, groups []group, w way, whole []frame) {
	for i, g := range groups {
		for j := range g.shut {
			if g.name == w.Through || g.shut[j] == solid.Rest {
				continue
			}
			held := []frame{{whole[0].time, g.shut[j]}, {whole[1].time, g.shut[j]}}
			shift := axes32(g.shut[j].Shift)
			span, node := b.times(held), b.parts[at{i, j}]
			b.channel(a, node, gltf.TRSTranslation, gltf.InterpolationStep, span,
				modeler.WriteAccessor(b.doc, gltf.TargetNone, [][3]float32{shift, shift}))
			b.channel(a, node, gltf.TRSRotation, gltf.InterpolationStep, span, b.turns(held))
		}
	}
}

// channel lets an animation drive one property of a node.
func (b *builder) channel(a *gltf.Animation, node int, path gltf.TRSProperty, how gltf.Interpolation, in, out int) {
	a.Channels = append(a.Channels, &gltf.AnimationChannel{
		Sampler: len(a.Samplers),
		Target:  gltf.AnimationChannelTarget{Node: new(node), Path: path},
	})
	a.Samplers = append(a.Samplers, &gltf.AnimationSampler{Input: in, Output: out, Interpolation: how})
}

// times writes the times of keyframes.
func (b *builder) times(list []frame) int {
	times := make([]float32, len(list))
	for i, f := range list {
		times[i] = float32(f.time)
	}
	i := modeler.WriteAccessor(b.doc, gltf.TargetNone, times)
	b.doc.Accessors[i].Min = []float64{float64(times[0])}
	b.doc.Accessors[i].Max = []float64{float64(times[len(times)-1])}
	return i
}

// turns writes the rotations of keyframes. A quaternion and its negative are
// one rotation; each is the one nearer to the one before, so that the short way
// between them is the way.
func (b *builder) turns(list []frame) int {
	turns := make([][4]float32, len(list))
	var before [4]float64
	for i, f := range list {
		q := turn(quat.Scale(1/quat.Abs(f.pose.Turn), f.pose.Turn))
		if q[0]*before[0]+q[1]*before[1]+q[2]*before[2]+q[3]*before[3] < 0 {
			for j := range q {
				q[j] = -q[j]
			}
		}
		before = q
		for j, x := range q {
			turns[i][j] = float32(x + 0)
		}
	}
	return modeler.WriteAccessor(b.doc, gltf.TargetNone, turns)
}

// hidden returns the nodes of what is away during a way: a group's where all of
// it is, else those of its parts.
func (b *builder) hidden(w way) []int {
	var nodes []int
	for i, node := range b.groups {
		var parts []int
		all := true
		for j := 0; ; j++ {
			part, ok := b.parts[at{i, j}]
			if !ok {
				break
			}
			if slices.Contains(w.absent, at{i, j}) && !slices.Contains(w.moves, at{i, j}) {
				parts = append(parts, part)
			} else {
				all = false
			}
		}
		if all {
			parts = []int{node}
		}
		nodes = append(nodes, parts...)
	}
	return nodes
}
