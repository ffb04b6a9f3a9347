package passage

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/human"
	"undercroft/fit/internal/verify"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// Where hands hold a thing on its way, in mm: common practice, no source.
const (
	grip    = 60.0  // of a thing that is outside, for a hand to hold it there
	besides = 60.0  // between a thing and the edge of the opening, for a flat hand to go in beside it
	resting = 15.0  // above what is below it, a thing that is lowered no more slides
	breadth = 90.0  // of a hand
	fingers = 60.0  // length that holds on to a side
	handful = 150.0 // what is no wider is held from above, round its body
)

// looks is at how many moments after the first of each leg it is asked where the hands are.
const looks = 4

// handsOf says for each move of a way where the hands are; nothing where that is as
// for the move before.
func handsOf(s *scene.Scene, w *Way, moves int, of []int) []scene.Hands {
	out := make([]scene.Hands, moves)
	if moves == 0 {
		return out
	}
	h := w.holder(s)
	var last scene.Hands
	for move := range out {
		var holds []hold
		for leg, m := range of {
			for i := 0; m == move && i <= looks; i++ {
				holds = append(holds, h.at(w.Path.At(leg, float64(i)/looks)))
			}
		}
		if holds == nil { // how it is turned where the way begins
			holds = append(holds, h.at(w.Path.Poses[0]))
		}
		text := h.told(holds)
		if move == moves-1 && !w.job.roomForFingers(s.Fingers.MM()) {
			text = scene.Hands{
				Text:  "no room for fingers at two opposite sides: let it down with straps, or slide it the last bit",
				Short: "no room for fingers: straps",
			}
		}
		if text.Text != last.Text {
			out[move].Text = text.Text
		}
		if text.Short != last.Short {
			out[move].Short = text.Short
		}
		last = text
	}
	return out
}

// sentences returns what handsOf says in full.
func sentences(hands []scene.Hands) []string {
	out := make([]string, len(hands))
	for i, h := range hands {
		out[i] = h.Text
	}
	return out
}

// A hold is where the hands are at one moment.
type hold struct {
	end     string   // of the thing, which is outside, as "its front"; "" where both ends are inside
	whole   bool     // all of the thing is outside
	short   bool     // one hand holds all of it
	leading []r3.Vec // where a closed hand holds the leading end, where one is to hold it and none from this opening does
	beside  bool     // a hand from this opening is to hold the leading end, and does
	thing   []solid.Solid
}

// A holder tells where the hands are on a way.
type holder struct {
	*Way
	frame   solid.Pose
	hole    r3.Box // in the frame
	rest    r3.Box // round the thing
	own     *arms
	helpers []*arms
}

func (w *Way) holder(s *scene.Scene) *holder {
	j := w.job
	h := &holder{Way: w, frame: frameOf(j.Cabinet, j.Opening.Side), rest: solid.BoundsOf(solidsOf(j.Parts)...)}
	h.hole = solid.Box(j.Opening.Hole).Moved(h.frame).Bounds()
	h.own = armsThrough(j, j.Opening, j.Others)
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		if o.Name == j.Opening.Name || o.BeforeDisplay && j.there.Display || j.roomAt(o.Side) < human.Depth {
			continue
		}
		// Its door is open meanwhile.
		others := slices.DeleteFunc(slices.Clone(j.Others), func(p scene.Part) bool { return p.Role == scene.RoleLeaf && p.Of == o.Name })
		a := armsThrough(j, o, others)
		a.leaves = s.Leaves(o, s.DoorAngle(o))
		a.add(a.leaves)
		h.helpers = append(h.helpers, a)
	}
	return h
}

// ends names the ends of a thing, as it will stand, by where they are.
var ends = []struct {
	to   r3.Vec
	name string
}{
	{r3.Vec{X: -1}, "left end"},
	{r3.Vec{X: 1}, "right end"},
	{r3.Vec{Y: -1}, "front"},
	{r3.Vec{Y: 1}, "back"},
	{r3.Vec{Z: -1}, "bottom"},
	{r3.Vec{Z: 1}, "top"},
}

// at tells where the hands are at a pose.
func (h *holder) at(pose solid.Pose) hold {
	k := hold{thing: moved(solidsOf(h.job.Parts), pose)}
	b := solid.BoundsOf(moved(k.thing, h.frame)...)
	outer, inner, least, most := 0, 0, math.Inf(1), math.Inf(-1)
	for i := range ends {
		y := h.frame.Apply(pose.Apply(onBox(h.rest, ends[i].to))).Y
		if y < least {
			outer, least = i, y
		}
		if y > most {
			inner, most = i, y
		}
	}
	k.whole, k.short = b.Max.Y <= 0, b.Max.Y-b.Min.Y <= handful
	outside := b.Min.Y <= -grip
	if outside {
		k.end = "its " + ends[outer].name
		if solid.AngleBetween(pose.Turn, solid.Rest.Turn) > level {
			k.end = "what will be " + k.end
		}
	}
	// What is short, rests on something or is mostly outside is held without a hand at
	// the leading end, and so is what hangs from hands above it.
	if h.job.Opening.Side == scene.Top && b.Min.Y <= armLength() {
		return k
	}
	if k.whole || k.short || outside && b.Min.Y+b.Max.Y <= 0 || h.rests(pose) {
		return k
	}
	leading := holdsOf(h.rest, ends[inner].to, pose)
	beside := max(b.Min.X-h.hole.Min.X, h.hole.Max.X-b.Max.X, b.Min.Z-h.hole.Min.Z, h.hole.Max.Z-b.Max.Z)
	if outside {
		k.beside = b.Max.Y <= human.Hand() && beside >= besides || h.own.holds(leading, k.thing)
	} else {
		k.beside = b.Max.Y <= armLength()
	}
	if !k.beside {
		k.leading = leading
	}
	return k
}

// told puts into words where the hands are on a move.
func (h *holder) told(holds []hold) scene.Hands {
	var lacking []hold
	end, beside := "", false // end is outside at some moment, and held then
	for _, k := range holds {
		if k.end != "" && !k.short {
			end = k.end
			beside = beside || k.beside
		}
		if k.leading != nil {
			lacking = append(lacking, k)
		}
	}
	both := "both hands inside"
	told, last := scene.Hands{Text: both, Short: both}, &holds[len(holds)-1]
	switch {
	case last.whole:
		return scene.Hands{Text: "hands at both ends, outside", Short: "both hands outside"}
	case last.end != "":
		told = scene.Hands{Text: "hold it by " + last.end + ", outside", Short: "held by " + last.end}
		if beside {
			told.Text += ", one hand in beside it at the leading end"
		}
	case end != "":
		if beside {
			end += ", one hand in beside it at the leading end,"
		}
		told.Text = "hold it by " + end + " until that is in, then " + both
	}
	switch helper := h.helper(lacking); {
	case helper != "":
		told.Text += "; needs a helper at " + helper + ", who holds the leading end"
		told.Short += ", helper at " + helper
	case len(lacking) > 0:
		told.Text += "; no way was found for a hand to the leading end: hang it in a strap"
		told.Short += ", leading end in a strap"
	}
	return told
}

// helper names the opening through which someone else holds the leading end at all of
// some moments; "" where there is none. Of several it is the nearest at the last moment.
func (h *holder) helper(at []hold) string {
	name, nearest := "", math.Inf(1)
	for _, a := range h.helpers {
		length, ok := math.Inf(1), len(at) > 0
		for i := 0; ok && i < len(at); i++ {
			length, ok = a.hold(at[i].leading, at[i].thing)
		}
		if ok && length < nearest && a.keptClear(h.Way) {
			name, nearest = a.opening.Name, length
		}
	}
	return name
}

// onBox returns the middle of the side of b in one direction along the axes.
func onBox(b r3.Box, to r3.Vec) r3.Vec {
	half := r3.Scale(0.5, r3.Sub(b.Max, b.Min))
	return r3.Add(middle(b), r3.Vec{X: to.X * half.X, Y: to.Y * half.Y, Z: to.Z * half.Z})
}

// An arm is as thick as a closed hand or the forearm, whichever is thicker, all along.
func armRadius() float64 {
	return max(human.FistBreadth/2., human.Round("forearm circumference, flexed"))
}

// armLength returns how far inside a hand holds something, the shoulder outside.
func armLength() float64 { return human.Grip() + human.Fore() + human.Upper() }

// holdsOf returns where the middle of a closed hand is that holds the end of a box in one
// direction: before the end, and beside it.
func holdsOf(b r3.Box, to r3.Vec, pose solid.Pose) []r3.Vec {
	var out []r3.Vec
	r := armRadius()
	end := onBox(b, to)
	for _, e := range ends {
		if along := r3.Dot(e.to, to); along > 0 {
			out = append(out, pose.Apply(r3.Add(end, r3.Scale(r, to))))
		} else if along == 0 {
			edge := r3.Add(end, r3.Sub(onBox(b, e.to), middle(b)))
			out = append(out,
				pose.Apply(r3.Add(edge, r3.Add(r3.Scale(r, to), r3.Scale(-r, e.to)))), // before it, near its edge
				pose.Apply(r3.Add(edge, r3.Add(r3.Scale(-fingers, to), r3.Scale(r, e.to)))))
		}
	}
	return out
}

// arms are straight arms through one opening, among what is there.
type arms struct {
	opening *scene.Opening
	job     *Job
	leaves  []scene.Part // of a helper's door, open
	others  []solid.Solid
	boxes   []r3.Box
	back    solid.Pose // from the frame of who stands before the opening
	hole    r3.Box     // in that, where the middle of an arm passes the opening
	clear   *bool      // the leaves keep clear of the way, once asked for
}

func armsThrough(j *Job, o *scene.Opening, others []scene.Part) *arms {
	a := &arms{opening: o, job: j}
	a.add(others)
	a.add(j.Reaching)
	frame := frameOf(j.Cabinet, o.Side)
	a.back = inverse(frame)
	a.hole = solid.Box(o.Hole).Moved(frame).Bounds()
	r := armRadius() + max(j.Tape, o.Tape).MM()
	for _, d := range []struct{ lo, hi *float64 }{{&a.hole.Min.X, &a.hole.Max.X}, {&a.hole.Min.Z, &a.hole.Max.Z}} {
		*d.lo, *d.hi = min(*d.lo+r, (*d.lo+*d.hi)/2), max(*d.hi-r, (*d.lo+*d.hi)/2)
	}
	return a
}

// through returns where an arm may pass the opening's outside on its way to a hand:
// straight before it, or else over a grid.
func (a *arms) through(hand r3.Vec) []r3.Vec {
	at, b := inverse(a.back).Apply(hand), a.hole
	if at.Y <= b.Min.Y { // it is outside
		return nil
	}
	out := []r3.Vec{{X: min(max(at.X, b.Min.X), b.Max.X), Y: b.Min.Y, Z: min(max(at.Z, b.Min.Z), b.Max.Z)}}
	c := middle(b)
	for _, x := range []float64{c.X, b.Min.X, b.Max.X} {
		for _, z := range []float64{c.Z, b.Min.Z, b.Max.Z} {
			out = append(out, r3.Vec{X: x, Y: b.Min.Y, Z: z})
		}
	}
	for i := range out {
		out[i] = a.back.Apply(out[i])
	}
	return out
}

// add puts parts among what is there.
func (a *arms) add(parts []scene.Part) {
	for _, p := range parts {
		a.others = append(a.others, p.Solid)
		a.boxes = append(a.boxes, p.Solid.Bounds())
	}
}

// hold tells whether an arm gets straight to one of the places of a hand where it holds
// the thing, and how long the shortest is that was found, from the hand to the opening.
func (a *arms) hold(hands []r3.Vec, thing []solid.Solid) (shortest float64, ok bool) {
	shortest = math.Inf(1)
	r, long := armRadius(), armLength()
	for _, hand := range hands {
		near := &solid.Ball{Centre: hand, Radius: r}
		if !slices.ContainsFunc(thing, func(s solid.Solid) bool { return solid.Distance(near, s).High <= fingers }) {
			continue // nothing of it is there
		}
		for _, hole := range a.through(hand) {
			d := r3.Sub(hole, hand)
			n := r3.Norm(d)
			if n >= shortest || n > long {
				continue
			}
			arm := &solid.Capsule{A: hand, B: r3.Add(hand, r3.Scale(long/n, d)), Radius: r}
			if a.free(arm, thing) {
				shortest = n
			}
		}
	}
	return shortest, shortest <= long
}

// holds tells whether an arm was found that holds the thing.
func (a *arms) holds(hands []r3.Vec, thing []solid.Solid) bool {
	_, ok := a.hold(hands, thing)
	return ok
}

// free tells whether an arm keeps clear of all that is there, as far as the tape may be
// off, and goes through nothing of the thing.
func (a *arms) free(arm solid.Solid, thing []solid.Solid) bool {
	for _, s := range thing {
		if solid.Distance(arm, s).Low < -verdict.Contact.MM() {
			return false
		}
	}
	tape := max(a.job.Tape, a.opening.Tape).MM()
	b := grown(arm.Bounds(), tape)
	for i, o := range a.boxes {
		if overlaps(b, o) && solid.Distance(arm, a.others[i]).Low < tape {
			return false
		}
	}
	return true
}

// overlaps tells whether two boxes have a point in common.
func overlaps(a, b r3.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y && a.Min.Z <= b.Max.Z && b.Min.Z <= a.Max.Z
}

// keptClear tells whether the helper's door can be open all along the way: it is shown to
// keep as far from it as the way was judged by, and stands in nothing else.
func (a *arms) keptClear(w *Way) bool {
	if a.clear == nil {
		kept := a.doorOpens() && keptBy(w, solidsOf(a.leaves))
		a.clear = &kept
	}
	return *a.clear
}

// doorOpens tells whether the open leaves are clear of room, other doors, and what stands
// in and on the cabinet.
func (a *arms) doorOpens() bool {
	for _, l := range a.leaves {
		for _, o := range a.job.Others {
			if o.Of != a.opening.Name && o.Role != scene.RolePanel && solid.Distance(l.Solid, o.Solid).Low < -verdict.Contact.MM() {
				return false
			}
		}
	}
	return true
}

// keptBy tells whether leaves leave the way the room that it was judged by, and are not
// met on its last move.
func keptBy(w *Way, leaves []solid.Solid) bool {
	n := len(w.Path.Poses)
	way := solid.Path{Ref: w.Path.Ref, Poses: w.Path.Poses[:n-1]}
	last := solid.Path{Ref: w.Path.Ref, Poses: w.Path.Poses[n-2:]}
	v := verify.New(solidsOf(w.job.Parts), leaves)
	need := min(w.Margin.Lo, max(w.Wanted, w.job.Tape)).MM()
	return v.Keeps(way, need) == nil && v.Keeps(last, -verdict.Contact.MM()) == nil
}

// rests tells whether the thing is so low over what is below it that it can be
// let down and slid there.
func (w *Way) rests(at solid.Pose) bool {
	down := solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Vec{Z: -resting}}
	for _, p := range w.job.Parts {
		low := p.Solid.Moved(at).Moved(down)
		for _, o := range w.job.Others {
			if o.Role == scene.RolePanel && solid.Distance(low, o.Solid).Dist < -verdict.Contact.MM() {
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
