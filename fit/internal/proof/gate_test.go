package proof_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/scene/solid"
)

// pierced is a cabinet with a hole in its front and holes in other sides, and a box.
type pierced struct {
	walls []solid.Solid
	room  proof.Room
	outer r3.Box
	half  r3.Vec
}

func (r random) pierced() pierced {
	const thick, thin = 80, 10
	p := pierced{outer: box(0, 0, 0, r.between(250, 700), r.between(200, 600), r.between(250, 700))}
	sides := []float64{r.between(80, 450), r.between(10, 160), r.between(10, 80)}
	r.Shuffle(3, func(i, j int) { sides[i], sides[j] = sides[j], sides[i] })
	p.half = r3.Vec{X: sides[0], Y: sides[1], Z: sides[2]}
	o := p.outer
	in := r3.Box{
		Min: r3.Vec{X: r.between(thin, thick), Y: r.between(thin, thick), Z: r.between(thin, thick)},
		Max: r3.Sub(o.Max, r3.Vec{X: r.between(thin, thick), Y: r.between(thin, thick), Z: r.between(thin, thick)}),
	}
	span := func(lo, hi float64) (a, b float64) {
		size := (hi - lo) * r.between(0.3, 1)
		a = r.between(lo, hi-size)
		return a, a + size
	}
	hole := func(slab r3.Box, axis int) r3.Box {
		h := slab
		if axis != 0 {
			h.Min.X, h.Max.X = span(in.Min.X, in.Max.X)
		}
		if axis != 1 {
			h.Min.Y, h.Max.Y = span(in.Min.Y, in.Max.Y)
		}
		if axis != 2 {
			h.Min.Z, h.Max.Z = span(in.Min.Z, in.Max.Z)
		}
		return h
	}
	// wall adds what is left of a slab round a hole.
	wall := func(s, h r3.Box, axis int) {
		for k := range 3 {
			if k == axis {
				continue
			}
			lower, upper := s, s
			switch k {
			case 0:
				lower.Max.X, upper.Min.X = h.Min.X, h.Max.X
				s.Min.X, s.Max.X = h.Min.X, h.Max.X
			case 1:
				lower.Max.Y, upper.Min.Y = h.Min.Y, h.Max.Y
				s.Min.Y, s.Max.Y = h.Min.Y, h.Max.Y
			case 2:
				lower.Max.Z, upper.Min.Z = h.Min.Z, h.Max.Z
				s.Min.Z, s.Max.Z = h.Min.Z, h.Max.Z
			}
			p.walls = append(p.walls, solid.Box(lower), solid.Box(upper))
		}
	}
	front := o
	front.Max.Y = in.Min.Y
	door := hole(front, 1)
	wall(front, door, 1)
	across := func(b r3.Box) []proof.Rect { return []proof.Rect{{X0: b.Min.X, X1: b.Max.X, Z0: b.Min.Z, Z1: b.Max.Z}} }
	p.room = proof.Room{
		First: math.Inf(-1), Last: in.Max.Y, Inward: true, Deepest: o.Max.Y, End: box(0, 0, 0, 1, 1, 1),
		Layers: []proof.Layer{{Y0: 0, Y1: in.Min.Y, Holes: across(door)}, {Y0: in.Min.Y, Y1: in.Max.Y, Holes: across(in)}},
	}
	back := o
	back.Min.Y = in.Max.Y
	if r.IntN(3) == 0 {
		h := hole(back, 1)
		wall(back, h, 1)
		p.room.Last = inf
		p.room.Layers = append(p.room.Layers, proof.Layer{Y0: in.Max.Y, Y1: o.Max.Y, Holes: across(h)})
	} else {
		p.walls = append(p.walls, solid.Box(back))
	}
	gates := r.IntN(4)
	for i, out := range []r3.Vec{{X: -1}, {X: 1}, {Z: -1}, {Z: 1}} {
		slab, axis, beyond := o, 0, 0.0
		switch i {
		case 0:
			slab.Max.X, beyond = in.Min.X, in.Min.X
		case 1:
			slab.Min.X, beyond = in.Max.X, o.Max.X-in.Max.X
		case 2:
			slab.Max.Z, axis, beyond = in.Min.Z, 2, in.Min.Z
		case 3:
			slab.Min.Z, axis, beyond = in.Max.Z, 2, o.Max.Z-in.Max.Z
		}
		if i != gates && r.IntN(4) > 0 {
			p.walls = append(p.walls, solid.Box(slab))
			continue
		}
		h := hole(slab, axis)
		wall(slab, h, axis)
		size := h.Size()
		p.room.Gates = append(p.room.Gates, proof.Gate{Out: out, Deep: size.Y, Across: math.Abs(size.X*out.Z + size.Z*out.X), Beyond: beyond, Y0: h.Min.Y, Y1: h.Max.Y})
	}
	return p
}

// TestGatesHoldNothingFree draws cabinets with holes in several sides, and boxes that
// are free in them, with their middle inside and some of them outside: the checker
// takes none of these places to be shut. Of those that are not free some are shut because
// of how deep the holes are alone.
func TestGatesHoldNothingFree(t *testing.T) {
	t.Parallel()
	r := newRandom(29)
	const cabinets = 2000
	free, out, shut, deep := 0, 0, 0, 0
	for i := range cabinets {
		p := r.pierced()
		o := p.outer.Max
		body := &proof.Body{Parts: []*solid.Polyhedron{solid.Box(r3.Box{Min: r3.Scale(-1, p.half), Max: p.half})}}
		for n := range 100 {
			q := quat.Number{Real: r.NormFloat64(), Imag: r.NormFloat64(), Jmag: r.NormFloat64(), Kmag: r.NormFloat64()}
			q = quat.Scale(1/quat.Abs(q), q)
			pose := solid.Pose{Turn: q, Shift: r3.Vec{X: r.between(0, o.X), Y: r.between(0, o.Y), Z: r.between(0, o.Z)}}
			if n%2 == 0 { // half outside, where what is before the front is free
				pose.Shift.Y *= 0.2
			}
			moved := body.Parts[0].Moved(pose)
			apart := !slices.ContainsFunc(p.walls, func(w solid.Solid) bool {
				return solid.Lower(moved, w) <= 0 && solid.Distance(moved, w).Dist < 1e-6
			})
			if !apart && (i%10 > 0 || n > 9) {
				continue
			}
			cube, lo, hi := cellOf(q, math.Pow(2, -r.between(3, 14)))
			from, to := max(0, pose.Shift.Y-r.between(0, 1)), pose.Shift.Y
			closed, err := proof.Closed(&p.room, body, cube, lo, hi, from, to)
			if err != nil {
				t.Fatal(err)
			}
			if !apart {
				if closed {
					shut++
					anywhere := p.room
					anywhere.Gates = slices.Clone(p.room.Gates)
					for i := range anywhere.Gates {
						anywhere.Gates[i].Y0, anywhere.Gates[i].Y1 = -inf, inf
					}
					if closed, err := proof.Closed(&anywhere, body, cube, lo, hi, from, to); err != nil || !closed {
						deep++
					}
				}
				continue
			}
			free++
			if b := moved.Bounds(); b.Min.X < 0 || b.Min.Z < 0 || b.Max.X > o.X || b.Max.Z > o.Z {
				out++
			}
			if closed {
				t.Fatalf("free, and said to be shut: half %v at %v in %+v", p.half, pose, p.room)
			}
		}
	}
	t.Logf("%d free places, at %d of which it reaches out to a side; of others %d shut, %d by the holes' depths", free, out, shut, deep)
	if free < 1000 || out < 200 || shut < 100 || deep < 30 {
		t.Errorf("only %d free places, at %d of which it reaches out; %d shut, %d by the holes' depths", free, out, shut, deep)
	}
}

// cellOf returns a cell of about a size that holds a turn.
func cellOf(q quat.Number, size float64) (cube int, lo, hi [3]float64) {
	c := [4]float64{q.Real, q.Imag, q.Jmag, q.Kmag}
	for i := range c {
		if math.Abs(c[i]) > math.Abs(c[cube]) {
			cube = i
		}
	}
	k := 0
	for i := range c {
		if i != cube {
			a := c[i] / c[cube]
			lo[k], hi[k] = max(-1, a-0.7*size), min(1, a+size)
			k++
		}
	}
	return cube, lo, hi
}

// A bar longer than the inside is wide reaches out by a hole that is as large as it is, and by
// none that is smaller.
func TestReachesOutByWhatIsLarge(t *testing.T) {
	t.Parallel()
	bar := &proof.Body{Parts: []*solid.Polyhedron{solid.Box(box(-250, -40, -40, 250, 40, 40))}}
	for _, c := range []struct {
		deep, across float64
		shut         bool
	}{{81, 81, false}, {79, 81, true}, {81, 79, true}} {
		room := proof.Room{
			First: math.Inf(-1), Last: 320, Inward: true, Deepest: 340, End: box(0, 0, 0, 1, 1, 1),
			Layers: []proof.Layer{{Y0: 20, Y1: 320, Holes: []proof.Rect{{X0: 20, X1: 420, Z0: 20, Z1: 420}}}},
			Gates:  []proof.Gate{{Out: r3.Vec{X: 1}, Deep: c.deep, Across: c.across, Beyond: 20, Y0: 100, Y1: 100 + c.deep}},
		}
		shut, err := proof.Closed(&room, bar, 0, [3]float64{}, [3]float64{}, 140, 140.5)
		if err != nil || shut != c.shut {
			t.Errorf("by a hole of %v x %v: shut %v, %v", c.deep, c.across, shut, err)
		}
	}
}
