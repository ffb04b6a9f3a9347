// Package links proves that no arm of three straight links reaches from a place to the
// outside of a box.
//
// The links are a hand, a forearm and an upper arm, one after the other from the place
// on. Of the hand nothing counts but how long it is, and where its wrist may be as far as
// that is known; forearm and upper arm are straight lines of at most so much length, with
// room of some radius round them. Where the last of them ends outside, one of them goes
// through the box's surface. Cells of the room for wrist and elbow, and of the surface,
// are split until each pair of them is shown to be blocked. That rests on one fact: the
// points that a convex solid hides from a point are convex. So where one solid meets each
// line between the corners of two boxes, it meets every line between the boxes.
// Millimetres.
package links

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Query is one question.
type Query struct {
	// Solids are boxes that are certainly there, each with how much farther away it
	// may be than measured.
	Solids []r3.Box
	Tape   []float64
	// Box is what the arm must come out of.
	Box r3.Box
	// Zone is where the place may be.
	Zone r3.Box
	// Hand, Fore and Upper are how long the links are at most.
	Hand, Fore, Upper float64
	// Wrists hold the wrist wherever it may be, as far as somebody knows; nil: anywhere.
	Wrists []r3.Box
	// Wrist and Elbow are the radii of balls that are inside of the forearm all along
	// it, and of the upper arm all along it, elbow and shoulder with them.
	Wrist, Elbow float64
	// Most is how many pairs of cells are looked at.
	Most int
}

// contact is what counts as touching, in mm: that is no harm.
const contact = 1e-3

// least is the edge in mm below which a cell is not split.
const least = 6.0

// Impossible reports whether it is proved that no such arm comes out.
func Impossible(q Query) bool {
	wrists := around(q.Zone, q.Hand)
	if q.Wrists != nil {
		wrists = meet(wrists, round(q.Wrists))
		if empty(wrists) {
			return true // there is no room for any
		}
	}
	if meet(wrists, q.Box) != wrists {
		return false // the hand alone may be outside
	}
	p := prover{Query: q}
	p.wrist, p.elbow = p.grown(q.Wrist), p.grown(q.Elbow)
	root := p.cell(wrists, q.Wrists)
	return p.wristsStay(root) && p.elbowsStay(meet(around(q.Zone, q.Hand+q.Fore), q.Box), root)
}

// grownBoxes are boxes that a line with room of some radius round it must not meet.
type grownBoxes struct {
	solids []grownBox
	last   int // the solid that blocked last: it is looked at first
}

// A grownBox is boxes that lie in one that is grown and rounded, and the one round
// them.
type grownBox struct {
	round r3.Box
	in    []r3.Box
}

// A wristCell is a part of where the wrist may be, with its halves once asked for.
type wristCell struct {
	box, mid   r3.Box
	known      []r3.Box // those of Wrists that it meets; nil: all of it may be
	none       bool     // the wrist is not in it
	noMid      bool     // nor is it in its middle
	whole      bool     // it is not split
	low, above *wristCell
}

type prover struct {
	Query
	wrist, elbow grownBoxes
	looked       int
}

// cell returns a part of where the wrist may be, known those of Wrists that what it is a
// part of meets.
func (p *prover) cell(box r3.Box, known []r3.Box) *wristCell {
	c := &wristCell{box: box, mid: point(box)}
	c.none = empty(box) || p.noWrist(box)
	c.noMid = c.none || p.noWrist(c.mid)
	if known == nil || c.none {
		return c
	}
	mid := false
	for _, b := range known {
		if apart(b, box) == 0 {
			c.known = append(c.known, b)
			mid = mid || apart(b, c.mid) == 0
		}
	}
	c.none, c.noMid = c.known == nil, c.noMid || !mid
	return c
}

// halves returns the halves of a cell, where it is to be split.
func (p *prover) halves(c *wristCell) (low, above *wristCell, ok bool) {
	if c.low == nil && !c.whole {
		a, b, ok := halves(c.box)
		if c.whole = !ok; ok {
			c.low, c.above = p.cell(a, c.known), p.cell(b, c.known)
		}
	}
	return c.low, c.above, !c.whole
}

// spent counts what is looked at, and reports whether that is enough.
func (p *prover) spent() bool {
	p.looked++
	return p.looked > p.Most
}

// grown returns boxes inside of the solids grown by a radius, tape taken off: along
// one axis, and as far along two or three as their edges and corners are round.
func (p *prover) grown(radius float64) grownBoxes {
	var out grownBoxes
	two, three := 1/math.Sqrt2, 1/math.Sqrt(3)
	for i, b := range p.Solids {
		by := radius - p.Tape[i] - contact
		g := grownBox{round: around(b, by)}
		if empty(g.round) {
			continue
		}
		if by <= 0 {
			g.in = []r3.Box{g.round}
		} else {
			for _, d := range []r3.Vec{
				{X: 1}, {Y: 1}, {Z: 1}, {X: two, Y: two}, {Y: two, Z: two}, {X: two, Z: two}, {X: three, Y: three, Z: three},
			} {
				d = r3.Scale(by, d)
				g.in = append(g.in, r3.Box{Min: r3.Sub(b.Min, d), Max: r3.Add(b.Max, d)})
			}
		}
		out.solids = append(out.solids, g)
	}
	return out
}

// wristsStay shows that from no wrist in w a forearm leads out.
func (p *prover) wristsStay(w *wristCell) bool {
	if p.spent() {
		return false
	}
	if w.none {
		return true
	}
	if stay, _ := p.exits(w.box, &p.wrist, p.Fore); stay {
		return true
	}
	a, b, ok := p.halves(w)
	return ok && p.wristsStay(a) && p.wristsStay(b)
}

// noWrist shows that the wrist is nowhere in w.
func (p *prover) noWrist(w r3.Box) bool {
	return apart(w, p.Zone) > p.Hand || p.wrist.blocks(w, w)
}

// elbowsStay shows for each elbow in e that no upper arm leads out from it, or that
// no forearm leads to it from a wrist.
func (p *prover) elbowsStay(e r3.Box, wrists *wristCell) bool {
	if p.spent() {
		return false
	}
	if empty(e) || apart(e, p.Zone) > p.Hand+p.Fore || p.elbow.blocks(e, e) {
		return true
	}
	stay, out := p.exits(e, &p.elbow, p.Upper)
	if stay {
		return true
	}
	apart, in := p.noFore(e, wrists)
	if apart {
		return true
	}
	if c := point(e); out && in && !p.elbow.blocks(c, c) {
		return false // an arm that may be
	}
	a, b, ok := halves(e)
	return ok && p.elbowsStay(a, wrists) && p.elbowsStay(b, wrists)
}

// noFore shows that no forearm leads from a wrist in w to an elbow in e; free tells
// that one may lead to the middle of e.
func (p *prover) noFore(e r3.Box, w *wristCell) (shown, free bool) {
	if p.spent() {
		return false, false
	}
	if w.none || apart(w.box, e) > p.Fore || p.wrist.blocks(w.box, e) {
		return true, false
	}
	if me := point(e); !w.noMid && apart(w.mid, me) <= p.Fore && !p.wrist.blocks(w.mid, me) {
		return false, true
	}
	if longest(w.box) < longest(e) {
		return false, false // e is split first
	}
	a, b, ok := p.halves(w)
	if !ok {
		return false, false
	}
	if shown, free = p.noFore(e, a); !shown {
		return false, free
	}
	return p.noFore(e, b)
}

// exits shows that no link of some length leads from x through the box's surface;
// free tells that one may lead there from the middle of x.
func (p *prover) exits(x r3.Box, past *grownBoxes, length float64) (stay, free bool) {
	for axis := range 3 {
		for _, high := range [2]bool{false, true} {
			face := p.Box
			if high {
				*along(&face.Min, axis) = *along(&face.Max, axis)
			} else {
				*along(&face.Max, axis) = *along(&face.Min, axis)
			}
			if stay, free := p.exitsBy(x, face, past, length); !stay {
				return false, free
			}
		}
	}
	return true, false
}

func (p *prover) exitsBy(x, face r3.Box, past *grownBoxes, length float64) (stay, free bool) {
	if p.spent() {
		return false, false
	}
	if apart(x, face) > length || past.blocks(x, face) {
		return true, false
	}
	if mx, mf := point(x), point(face); apart(mx, mf) <= length && !past.blocks(mx, mf) {
		return false, true
	}
	if longest(face) < longest(x) {
		return false, false
	}
	a, b, ok := halves(face)
	if !ok {
		return false, false
	}
	if stay, free = p.exitsBy(x, a, past, length); !stay {
		return false, free
	}
	return p.exitsBy(x, b, past, length)
}

// blocks reports whether one of the boxes meets every line between a and b.
func (g *grownBoxes) blocks(a, b r3.Box) bool {
	if len(g.solids) == 0 {
		return false
	}
	ca, cb := corners(&a), corners(&b)
	if g.solids[g.last].between(&ca, &cb) {
		return true
	}
	for i := range g.solids {
		if i != g.last && g.solids[i].between(&ca, &cb) {
			g.last = i
			return true
		}
	}
	return false
}

// between reports whether one of the boxes meets every line between corners a of one
// box and b of another.
func (g *grownBox) between(a, b *[8]r3.Vec) bool {
	if !meets(&g.round, a[0], b[7]) || !meets(&g.round, a[7], b[0]) {
		return false
	}
	for i := range g.in {
		if all(&g.in[i], a, b) {
			return true
		}
	}
	return false
}

// all reports whether k meets every line between corners a and b.
func all(k *r3.Box, a, b *[8]r3.Vec) bool {
	// The outer corners first: they are missed first.
	if !meets(k, a[0], b[7]) || !meets(k, a[7], b[0]) {
		return false
	}
	for _, p := range a {
		for _, q := range b {
			if !meets(k, p, q) {
				return false
			}
		}
	}
	return true
}

func corners(b *r3.Box) (out [8]r3.Vec) {
	for i := range out {
		out[i] = solid.Corner(*b, i)
	}
	return out
}

// meets reports whether the line from p to q meets the box k.
func meets(k *r3.Box, p, q r3.Vec) bool {
	t0, t1 := 0.0, 1.0
	return clip(p.X, q.X, k.Min.X, k.Max.X, &t0, &t1) && clip(p.Y, q.Y, k.Min.Y, k.Max.Y, &t0, &t1) &&
		clip(p.Z, q.Z, k.Min.Z, k.Max.Z, &t0, &t1)
}

// clip narrows t0 and t1 to where p + t (q − p) lies between lo and hi, and reports
// whether anything is left.
func clip(p, q, lo, hi float64, t0, t1 *float64) bool {
	d := q - p
	if d == 0 {
		return lo <= p && p <= hi
	}
	a, b := (lo-p)/d, (hi-p)/d
	if a > b {
		a, b = b, a
	}
	*t0, *t1 = max(*t0, a), min(*t1, b)
	return *t0 <= *t1
}

// halves splits b in the middle of its longest edge, where that is long enough.
func halves(b r3.Box) (low, high r3.Box, ok bool) {
	axis, length := 0, 0.0
	for k := range 3 {
		if l := *along(&b.Max, k) - *along(&b.Min, k); l > length {
			axis, length = k, l
		}
	}
	if length < 2*least {
		return b, b, false
	}
	low, high = b, b
	mid := (*along(&b.Min, axis) + *along(&b.Max, axis)) / 2
	*along(&low.Max, axis), *along(&high.Min, axis) = mid, mid
	return low, high, true
}

func along(v *r3.Vec, axis int) *float64 {
	return [...]*float64{&v.X, &v.Y, &v.Z}[axis]
}

func longest(b r3.Box) float64 {
	d := r3.Sub(b.Max, b.Min)
	return max(d.X, d.Y, d.Z)
}

// point returns the middle of b as a box.
func point(b r3.Box) r3.Box {
	m := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	return r3.Box{Min: m, Max: m}
}

// apart returns the distance between two boxes, 0 where they meet.
func apart(a, b r3.Box) float64 {
	x := max(0, b.Min.X-a.Max.X, a.Min.X-b.Max.X)
	y := max(0, b.Min.Y-a.Max.Y, a.Min.Y-b.Max.Y)
	z := max(0, b.Min.Z-a.Max.Z, a.Min.Z-b.Max.Z)
	return math.Sqrt(x*x + y*y + z*z)
}

// around returns b with by more on every side.
func around(b r3.Box, by float64) r3.Box {
	d := r3.Vec{X: by, Y: by, Z: by}
	return r3.Box{Min: r3.Sub(b.Min, d), Max: r3.Add(b.Max, d)}
}

func meet(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)},
	}
}

// round returns the box round some boxes, an empty one for none.
func round(boxes []r3.Box) r3.Box {
	inf := math.Inf(1)
	out := r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
	for _, b := range boxes {
		out.Min = r3.Vec{X: min(out.Min.X, b.Min.X), Y: min(out.Min.Y, b.Min.Y), Z: min(out.Min.Z, b.Min.Z)}
		out.Max = r3.Vec{X: max(out.Max.X, b.Max.X), Y: max(out.Max.Y, b.Max.Y), Z: max(out.Max.Z, b.Max.Z)}
	}
	return out
}

func empty(b r3.Box) bool {
	return slices.Max([]float64{b.Min.X - b.Max.X, b.Min.Y - b.Max.Y, b.Min.Z - b.Max.Z}) > 0
}
