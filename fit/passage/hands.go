package passage

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// Where hands hold a thing on its way, in mm: common practice, no source.
const (
	grip    = 60.0  // of a thing that is outside, for a hand to hold it there
	besides = 60.0  // between a thing and the edge of the opening, for a hand to go in beside it
	resting = 15.0  // above what is below it, a thing that is lowered no more slides
	breadth = 90.0  // of a hand
	fingers = 60.0  // length that holds on to a side
	handful = 150.0 // what is no wider is held from above, round its body
)

// handsOf says for each move of a way where the hands are; "" where that is as
// for the move before.
func handsOf(s *scene.Scene, w *Way, moves int, of []int) []string {
	out := make([]string, moves)
	last := ""
	for move := range out {
		leg := -1 // none: how it is turned where the way begins
		for i, m := range of {
			if m == move {
				leg = i
			}
		}
		text := w.hands(s, w.Path.Poses[leg+1])
		if move == moves-1 && !w.job.roomForFingers(s.Fingers.MM()) {
			text = "no room for fingers at two opposite sides: let it down with straps, or slide it the last bit"
		}
		if text != last {
			out[move], last = text, text
		}
	}
	return out
}

// hands says where the hands are at a pose at the end of a move.
func (w *Way) hands(s *scene.Scene, at solid.Pose) string {
	j := w.job
	frame := frameOf(j.Cabinet, j.Opening.Side)
	b := solid.BoundsOf(moved(moved(solidsOf(j.Parts), at), frame)...)
	switch {
	case b.Max.Y <= 0:
		return "hands at both ends, outside"
	case b.Min.Y > -grip:
		return "both hands inside"
	}
	text := "hold it by the end that is outside"
	if j.Opening.Side == scene.Top {
		text = "hold it from above"
	}
	if b.Max.Y-b.Min.Y <= handful || w.rests(at) {
		return text
	}
	hole := solid.Box(j.Opening.Hole).Moved(frame).Bounds()
	if max(b.Min.X-hole.Min.X, hole.Max.X-b.Max.X, b.Min.Z-hole.Min.Z, hole.Max.Z-b.Max.Z) >= besides {
		return text + ", one hand in beside it under the end that is inside"
	}
	for i := range s.Cabinet.Openings {
		if o := &s.Cabinet.Openings[i]; o.Name != j.Opening.Name {
			return text + "; needs a helper at " + o.Name + ", no hand can hold the end that is inside"
		}
	}
	return text + "; no hand can hold the end that is inside: hang it in a strap"
}

// rests tells whether the thing is so low over what is below it that it can be
// let down and slid there.
func (w *Way) rests(at solid.Pose) bool {
	down := solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Vec{Z: -resting}}
	for _, p := range w.job.Parts {
		low := p.Solid.Moved(at).Moved(down)
		for _, o := range w.job.Others {
			if o.Role == scene.RolePanel && solid.Distance(low, o.Solid).Dist < 0 {
				return true
			}
		}
	}
	return false
}

// roomForFingers tells whether where the thing stands fingers that are so thick
// have room at the upper edges of two opposite sides, to let go of it. A thing
// that a hand goes round is held from above.
func (j *Job) roomForFingers(thick float64) bool {
	b := solid.BoundsOf(solidsOf(j.Parts)...)
	size := r3.Sub(b.Max, b.Min)
	if min(size.X, size.Y) <= handful {
		return true
	}
	free := func(box r3.Box) bool {
		hand := solid.Box(box)
		for _, o := range j.Others {
			if solid.Distance(hand, o.Solid).Dist < 0 {
				return false
			}
		}
		return true
	}
	c := middle(b)
	z0 := b.Max.Z - math.Min(fingers, size.Z)
	left := r3.Box{Min: r3.Vec{X: b.Min.X - thick, Y: c.Y - breadth/2, Z: z0}, Max: r3.Vec{X: b.Min.X, Y: c.Y + breadth/2, Z: b.Max.Z}}
	right := r3.Box{Min: r3.Vec{X: b.Max.X, Y: c.Y - breadth/2, Z: z0}, Max: r3.Vec{X: b.Max.X + thick, Y: c.Y + breadth/2, Z: b.Max.Z}}
	front := r3.Box{Min: r3.Vec{X: c.X - breadth/2, Y: b.Min.Y - thick, Z: z0}, Max: r3.Vec{X: c.X + breadth/2, Y: b.Min.Y, Z: b.Max.Z}}
	back := r3.Box{Min: r3.Vec{X: c.X - breadth/2, Y: b.Max.Y, Z: z0}, Max: r3.Vec{X: c.X + breadth/2, Y: b.Max.Y + thick, Z: b.Max.Z}}
	return free(left) && free(right) || free(front) && free(back)
}
