package arrange_test

import (
	"context"
	"math"
	"testing"

	"pgregory.net/rapid"

	"undercroft/fit/internal/arrange"
)

const mm = 1_000_000

// box returns what stands on the floor between two corners, in mm.
func box(x0, y0, x1, y1 int64) arrange.Box {
	return arrange.Box{Min: [3]int64{x0 * mm, y0 * mm, 0}, Max: [3]int64{x1 * mm, y1 * mm, 100 * mm}}
}

// A floor is a problem of boxes on the floor of a room, in mm.
type floor struct {
	w, d   int64
	bodies [][2]int64 // width and depth
	there  [][4]int64 // x0, y0, x1, y1
	room   int64      // wanted
	counts bool
}

func (f *floor) problem() *arrange.Problem {
	p := &arrange.Problem{Bodies: len(f.bodies)}
	walls := []arrange.Box{
		box(-9, -9, 0, f.d+9), box(f.w, -9, f.w+9, f.d+9),
		box(-9, -9, f.w+9, 0), box(-9, f.d, f.w+9, f.d+9),
	}
	for _, t := range f.there {
		walls = append(walls, box(t[0], t[1], t[2], t[3]))
	}
	for i, b := range f.bodies {
		for axis, most := range []int64{f.w - b[0], f.d - b[1], 0} {
			p.Bounds = append(p.Bounds, arrange.Bound{Axis: axis, From: arrange.Fixed, To: i, Least: -9 * mm},
				arrange.Bound{Axis: axis, From: i, To: arrange.Fixed, Least: -(most + 9) * mm})
		}
		p.Bounds = append(p.Bounds, arrange.Bound{Axis: 2, From: arrange.Fixed, To: i}, arrange.Bound{Axis: 2, From: i, To: arrange.Fixed})
		own := box(0, 0, b[0], b[1])
		for _, w := range walls {
			p.Pairs = append(p.Pairs, arrange.Pair{A: i, B: arrange.Fixed, BoxA: own, BoxB: w, Room: f.room * mm, Counts: f.counts})
		}
		for j, c := range f.bodies[:i] {
			p.Pairs = append(p.Pairs, arrange.Pair{A: j, B: i, BoxA: box(0, 0, c[0], c[1]), BoxB: own, Room: f.room * mm, Counts: f.counts})
		}
	}
	return p
}

const steps = 60_000

// TestMiddles: closed forms.
func TestMiddles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		floor  floor
		at     [][2]float64 // the corners in mm
		beyond float64
	}{
		{"one box in a room stands in the middle", floor{w: 100, d: 60, bodies: [][2]int64{{20, 20}}, counts: true}, [][2]float64{{40, 20}}, 20},
		{"beside what stands there it is the middle of the rest", floor{w: 100, d: 60, bodies: [][2]int64{{20, 20}}, there: [][4]int64{{0, 0, 30, 60}}, counts: true}, [][2]float64{{55, 20}}, 20},
		{"two in a row leave thirds", floor{w: 100, d: 10, bodies: [][2]int64{{20, 10}, {20, 10}}, counts: true}, nil, 0},
		{"in a square room two squares stand across", floor{w: 100, d: 100, bodies: [][2]int64{{20, 20}, {20, 20}}, counts: true}, nil, math.Sqrt2 * 60 / (1 + 2*math.Sqrt2)},
		{"what is wanted counts off", floor{w: 100, d: 60, bodies: [][2]int64{{20, 20}}, room: 15, counts: true}, [][2]float64{{40, 20}}, 5},
		{"less than wanted is less than none", floor{w: 100, d: 30, bodies: [][2]int64{{20, 20}}, room: 15, counts: true}, [][2]float64{{40, 5}}, -10},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			a, state := arrange.NewSearch([]*arrange.Problem{c.floor.problem()}, steps).Best(t.Context())
			if state != arrange.Found {
				t.Fatalf("state %v", state)
			}
			// A corner is taken for one direction where its sector is narrow.
			if got := float64(a.Beyond) / mm; got < 0.995*c.beyond-0.01 && c.beyond > 0 || got > c.beyond*1.001+0.01 {
				t.Errorf("room %v, want %v", got, c.beyond)
			}
			for i, at := range c.at {
				if x, y := float64(a.At[i][0])/mm, float64(a.At[i][1])/mm; math.Hypot(x-at[0], y-at[1]) > 0.01 {
					t.Errorf("body %d at %v, %v, want %v", i, x, y, at)
				}
			}
		})
	}
}

// TestThirds: in a row as deep as they are, two boxes leave the length in thirds,
// though nothing is left before and behind them.
func TestThirds(t *testing.T) {
	t.Parallel()
	f := floor{w: 100, d: 10, bodies: [][2]int64{{20, 10}, {20, 10}}, counts: true}
	a, state := arrange.NewSearch([]*arrange.Problem{f.problem()}, steps).Best(t.Context())
	if state != arrange.Found {
		t.Fatalf("state %v", state)
	}
	lo, hi := min(a.At[0][0], a.At[1][0]), max(a.At[0][0], a.At[1][0])
	if math.Abs(float64(lo)/mm-20) > 0.01 || math.Abs(float64(hi)/mm-60) > 0.01 {
		t.Errorf("at %v and %v mm, want 20 and 60", float64(lo)/mm, float64(hi)/mm)
	}
}

// TestSecond: where one body has a millimetre wherever it stands, the others still
// have as much room as can be: here beyond the wall, not beside it.
func TestSecond(t *testing.T) {
	t.Parallel()
	for _, mirrored := range []bool{false, true} {
		f := floor{w: 100, d: 30, bodies: [][2]int64{{34, 28}, {6, 6}}, there: [][4]int64{{40, 0, 44, 30}}, counts: true}
		if mirrored {
			f.there = [][4]int64{{56, 0, 60, 30}}
		}
		a, state := arrange.NewSearch([]*arrange.Problem{f.problem()}, steps).Best(t.Context())
		if state != arrange.Found {
			t.Fatalf("state %v", state)
		}
		one := floor{w: f.w, d: f.d, bodies: f.bodies[1:], there: append(f.there, [4]int64{a.At[0][0] / mm, 1, a.At[0][0]/mm + 34, 29})}
		at := [][2]float64{{float64(a.At[1][0]) / mm, float64(a.At[1][1]) / mm}}
		if got := one.least(at); a.Beyond != mm || got < 11.9 {
			t.Errorf("the second keeps %v at %v, 12 can be had; the first %v", got, at, a.Beyond)
		}
	}
}

// drawn draws a small room with boxes.
func drawn(t *rapid.T) floor {
	f := floor{
		w: rapid.Int64Range(8, 24).Draw(t, "w"), d: rapid.Int64Range(8, 24).Draw(t, "d"),
		room: rapid.Int64Range(0, 2).Draw(t, "room"), counts: true,
	}
	side := rapid.Int64Range(2, 9)
	for range rapid.IntRange(1, 3).Draw(t, "bodies") {
		f.bodies = append(f.bodies, [2]int64{side.Draw(t, "width"), side.Draw(t, "depth")})
	}
	for range rapid.IntRange(0, 2).Draw(t, "there") {
		x, y := rapid.Int64Range(0, f.w-1).Draw(t, "x"), rapid.Int64Range(0, f.d-1).Draw(t, "y")
		f.there = append(f.there, [4]int64{x, y, x + rapid.Int64Range(1, 5).Draw(t, "over"), y + rapid.Int64Range(1, 5).Draw(t, "up")})
	}
	return f
}

// least returns the least room of boxes placed on the floor.
func (f *floor) least(at [][2]float64) float64 {
	room := math.Inf(1)
	gap := func(a, b [4]float64) {
		dx, dy := max(b[0]-a[2], a[0]-b[2]), max(b[1]-a[3], a[1]-b[3])
		d := max(dx, dy)
		if dx > 0 && dy > 0 {
			d = math.Hypot(dx, dy)
		}
		room = min(room, d)
	}
	boxes := make([][4]float64, len(at))
	for i, c := range at {
		boxes[i] = [4]float64{c[0], c[1], c[0] + float64(f.bodies[i][0]), c[1] + float64(f.bodies[i][1])}
		room = min(room, boxes[i][0], boxes[i][1], float64(f.w)-boxes[i][2], float64(f.d)-boxes[i][3])
		for _, o := range f.there {
			gap(boxes[i], [4]float64{float64(o[0]), float64(o[1]), float64(o[2]), float64(o[3])})
		}
		for j := range i {
			gap(boxes[i], boxes[j])
		}
	}
	return room
}

// grid tries all places a millimetre apart and returns the best least room; negative
// where all overlap.
func (f *floor) grid() float64 {
	best := math.Inf(-1)
	at := make([][2]float64, 0, len(f.bodies))
	var go1 func()
	go1 = func() {
		if len(at) > 0 {
			if r := f.least(at); r < 0 || r <= best {
				return // more boxes never leave more room
			} else if len(at) == len(f.bodies) {
				best = r
				return
			}
		}
		b := f.bodies[len(at)]
		for x := int64(0); x <= f.w-b[0]; x++ {
			for y := int64(0); y <= f.d-b[1]; y++ {
				at = append(at, [2]float64{float64(x), float64(y)})
				go1()
				at = at[:len(at)-1]
			}
		}
	}
	go1()
	return best
}

// TestGrid: what a grid finds is never said to be impossible, and has no more room
// than what is found here, but for the grid's step.
func TestGrid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawn(t)
		best := f.grid()
		plain := f
		plain.room, plain.counts = 0, false
		_, state := arrange.NewSearch([]*arrange.Problem{plain.problem()}, steps).Next(context.Background())
		if best >= 0 && state == arrange.None {
			t.Fatalf("%+v: shown impossible, and the grid finds places with %v", f, best)
		}
		a, state := arrange.NewSearch([]*arrange.Problem{f.problem()}, steps).Best(context.Background())
		if state != arrange.Found {
			if best >= 0 {
				t.Fatalf("%+v: nothing found, and the grid finds places with %v", f, best)
			}
			return
		}
		at := make([][2]float64, len(a.At))
		for i := range at {
			at[i] = [2]float64{float64(a.At[i][0]) / mm, float64(a.At[i][1]) / mm}
		}
		got := f.least(at)
		if got < float64(a.Beyond)/mm+float64(f.room)-1e-4 || got < -1e-4 {
			t.Fatalf("%+v: places %v keep %v, and %v is promised", f, at, got, float64(a.Beyond)/mm+float64(f.room))
		}
		if got < best-1 {
			t.Fatalf("%+v: room %v at %v, and the grid finds %v", f, got, at, best)
		}
	})
}

// TestBetter: where the first places that are found are not the best, better ones are
// found.
func TestBetter(t *testing.T) {
	t.Parallel()
	f := floor{w: 20, d: 19, bodies: [][2]int64{{4, 5}, {7, 9}, {4, 4}}, there: [][4]int64{{7, 1, 9, 4}}, counts: true}
	a, state := arrange.NewSearch([]*arrange.Problem{f.problem()}, steps).Best(t.Context())
	if best := f.grid(); state != arrange.Found || float64(a.Beyond)/mm < best-0.01 {
		t.Errorf("room %v, and the grid finds %v", float64(a.Beyond)/mm, best)
	}
}

// TestAvoid: answers go on with places elsewhere, until there are none.
func TestAvoid(t *testing.T) {
	t.Parallel()
	f := floor{w: 100, d: 20, bodies: [][2]int64{{20, 20}}, counts: true}
	s := arrange.NewSearch([]*arrange.Problem{f.problem()}, steps)
	var xs []int64
	for {
		a, state := s.Best(t.Context())
		if state != arrange.Found {
			if state != arrange.None {
				t.Errorf("state %v after %v", state, xs)
			}
			break
		}
		x := a.At[0][0]
		for _, y := range xs {
			if x-y < 25*mm && y-x < 25*mm {
				t.Fatalf("at %v after %v", x, xs)
			}
		}
		xs = append(xs, x)
		s.Avoid(0, arrange.Clause{
			{From: arrange.Fixed, To: 0, Least: x + 25*mm},
			{From: 0, To: arrange.Fixed, Least: 25*mm - x},
		})
	}
	if len(xs) != 3 { // the middle, and one to each side
		t.Errorf("places at %v", xs)
	}
}

// TestOnGrid: places on a grid keep what is wanted where the grid allows it.
func TestOnGrid(t *testing.T) {
	t.Parallel()
	f := floor{w: 47, d: 23, bodies: [][2]int64{{20, 20}, {19, 20}}, room: 1, counts: true}
	s := arrange.NewSearch([]*arrange.Problem{f.problem()}, steps)
	a, state := s.Best(t.Context())
	if state != arrange.Found {
		t.Fatalf("state %v", state)
	}
	at, ok := s.OnGrid(a, 2*mm, [][3]int64{{mm, mm, 0}, {0, mm, 0}})
	if !ok {
		t.Fatal("no places on the grid")
	}
	found := make([][2]float64, len(at))
	for i := range at {
		found[i] = [2]float64{float64(at[i][0]) / mm, float64(at[i][1]) / mm}
		for k, o := range []int64{1 - int64(i), 1} {
			if (at[i][k]-o*mm)%(2*mm) != 0 {
				t.Errorf("body %d axis %d at %d is off the grid", i, k, at[i][k])
			}
		}
	}
	if got := f.least(found); got < 1-1e-6 {
		t.Errorf("room %v at %v, 1 wanted", got, found)
	}
}
