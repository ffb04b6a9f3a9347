package proof_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

func (q *question) bands(tb testing.TB, far float64) *proof.Proof {
	tb.Helper()
	s := space.Search{Body: &q.move, Glue: q.glue, Rooms: &q.hull, Bands: true, Finest: 1e-3, Steps: 60000}
	y0 := -q.move.Radius() - 1
	if o := s.Run(tb.Context(), space.Roots(q.glue, y0, far)); o != space.None {
		tb.Fatalf("no proof by bands: outcome %v after %d", o, s.Used)
	}
	return q.proof(proof.Bands, y0, far, s.Trees())
}

// parted is a box that two holes beside each other both are too narrow for, and that
// the hole of the panel would let through.
func parted() *question {
	hull := cabinet(space.Rect{X0: 300, X1: 700, Z0: 100, Z1: 500}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 780}, 430, r3.Vec{X: 500, Y: 225, Z: 300})
	hull.Layers = append(hull.Layers, space.Layer{Y0: 0, Y1: 18, Holes: []space.Rect{{X0: 300, X1: 480, Z0: 100, Z1: 500}, {X0: 520, X1: 700, Z0: 100, Z1: 500}}})
	return ask(hull, r3.Vec{X: 500, Y: 225, Z: 300}, solid.Box(box(400, 75, 110, 600, 375, 490)))
}

// narrowed is a box that the hole would let through, and a board before it does not.
func narrowed() *question {
	hull := cabinet(space.Rect{X0: 300, X1: 700, Z0: 100, Z1: 500}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 780}, 430, r3.Vec{X: 500, Y: 225, Z: 300})
	hull.Boxes = []r3.Box{box(280, -30, 150, 340, -20, 450)}
	return ask(hull, r3.Vec{X: 500, Y: 225, Z: 300}, solid.Box(box(310, 35, 105, 690, 415, 495)))
}

func TestAcceptsBands(t *testing.T) {
	t.Parallel()
	for name, q := range map[string]*question{"too tall": tooTall(), "a plank": long(), "two parts": handled(), "two holes": parted(), "a board": narrowed()} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := q.bands(t, q.hull.Last+20)
			if err := proof.Check(&q.room, &q.body, p); err != nil {
				t.Error(err)
			}
			if err := proof.Check(&q.room, &q.body, reread(t, p)); err != nil {
				t.Errorf("read again: %v", err)
			}
		})
	}
}

func TestRejectsChangedBands(t *testing.T) {
	t.Parallel()
	for name, q := range map[string]*question{"a plank": long(), "two parts": handled(), "two holes": parted(), "a board": narrowed()} {
		good := q.bands(t, q.hull.Last+20)
		if err := proof.Check(&q.room, &q.body, good); err != nil {
			t.Fatal(err)
		}
		reject := func(what string, l leaf, change func(n *proof.Node)) {
			t.Helper()
			p := copied(good)
			change(&p.Trees[l.cube][l.node])
			if proof.Check(&q.room, &q.body, p) == nil {
				t.Errorf("%s: accepts a proof with %s in leaf %+v: %+v", name, what, l, good.Trees[l.cube][l.node].Bands)
			}
		}
		counts := map[string]int{}
		for i, l := range leavesOf(good) {
			bands := good.Trees[l.cube][l.node].Bands
			y := good.Y0
			for k, b := range bands {
				from := y
				y = b.To
				if i%4 > 0 {
					continue
				}
				// The checker may know a little more than the search did.
				closed := func(y0, y1 float64) bool {
					ok, err := proof.Closed(&q.room, &q.body, l.cube, [3]float64(l.lo[:3]), [3]float64(l.hi[:3]), y0, y1)
					if err != nil {
						t.Fatal(err)
					}
					return ok
				}
				switch {
				case b.Label != proof.Shut && !closed(from, b.To):
					counts["free"]++
					reject("a free band shut", l, func(n *proof.Node) { n.Bands[k].Label = proof.Shut })
				case b.Label == proof.Shut && k+1 < len(bands) && bands[k+1].Label != proof.Shut && bands[k+1].To-b.To > 2 && !closed(from, b.To+1):
					counts["longer"]++
					reject("a shut band that reaches into a free one", l, func(n *proof.Node) { n.Bands[k].To++ })
				}
				if k == 0 && b.Label == proof.Outside {
					counts["outside"]++
					reject("what is outside inside", l, func(n *proof.Node) { n.Bands[0].Label = proof.Inside })
				}
				if b.Label == proof.Inside {
					counts["inside"]++
				}
			}
			if i == 0 {
				reject("no bands", l, func(n *proof.Node) { n.Bands = nil })
				reject("a band less", l, func(n *proof.Node) { n.Bands = n.Bands[:len(n.Bands)-1] })
				reject("a band beyond", l, func(n *proof.Node) { n.Bands[len(n.Bands)-1].To++ })
				reject("no label", l, func(n *proof.Node) { n.Bands[0].Label = "" })
				reject("a depth that is none", l, func(n *proof.Node) { n.Bands[0].To = math.NaN() })
				reject("pieces beside", l, func(n *proof.Node) { n.Pieces = []proof.Piece{{}} })
			}
		}
		for what, least := range map[string]int{"free": 2, "longer": 1, "outside": 1} {
			if counts[what] < least {
				t.Errorf("%s: only %d bands of kind %q", name, counts[what], what)
			}
		}
		p := copied(good)
		for _, tree := range p.Trees {
			for i := range tree {
				for k := range tree[i].Bands {
					if tree[i].Bands[k].Label == proof.Inside {
						tree[i].Bands[k].Label = proof.Outside
					}
				}
			}
		}
		if proof.Check(&q.room, &q.body, p) == nil {
			t.Errorf("%s: accepts a proof in which all is outside", name)
		}
		t.Log(name, counts)
	}
}

// What a box has that is without end to the sides, in depths that the body does not come
// to, shuts nothing.
func TestBoxesWithoutEnd(t *testing.T) {
	t.Parallel()
	for name, b := range map[string]r3.Box{
		"far behind": box(-inf, 500, -120, inf, 510, 120),
		"far before": box(-120, -510, -inf, 120, -500, inf),
	} {
		hull := space.Hull{First: -inf, Last: 200, Boxes: []r3.Box{b}, Layers: []space.Layer{{Y0: 0, Y1: 10, Holes: []space.Rect{{X0: -100, X1: 100, Z0: -100, Z1: 100}}}}}
		q := ask(hull, r3.Vec{}, solid.Box(box(-50, -50, -50, 50, 50, 50)))
		const small = 1e-3
		if closed, err := proof.Closed(&q.room, &q.body, 0, [3]float64{-small, -small, -small}, [3]float64{small, small, small}, 4, 6); err != nil || closed {
			t.Errorf("%s: closed %v, %v", name, closed, err)
		}
	}
}

// A proof by bands of another room or body does not hold.
func TestRejectsBandsOfOtherRooms(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		q      *question
		change func(q *question)
	}{
		"a wider hole":         {long(), func(q *question) { q.room.Layers[0].Holes[0].X0 = 100 }},
		"a deeper inside":      {long(), func(q *question) { q.room.Layers[1].Y1, q.room.Last = 900, 900 }},
		"a shorter plank":      {long(), func(q *question) { q.body.Parts[0] = solid.Box(box(400, 35, 110, 600, 185, 390)) }},
		"a wider hole of two":  {parted(), func(q *question) { q.room.Layers[3].Holes[0].X1 = 515 }},
		"two holes without it": {parted(), func(q *question) { q.room.Layers = q.room.Layers[:3] }},
		"an end outside":       {long(), func(q *question) { q.room.End.Min.Y, q.room.End.Max.Y = -300, -200 }},
		"no back":              {long(), func(q *question) { q.room.Last = inf }},
		"no board":             {narrowed(), func(q *question) { q.room.Boxes = nil }},
		"a narrower board":     {narrowed(), func(q *question) { q.room.Boxes[0].Max.X = 315 }},
		"a low board":          {narrowed(), func(q *question) { q.room.Boxes[0].Max.Z = 155 }},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := c.q.bands(t, c.q.hull.Last+20)
			c.change(c.q)
			if proof.Check(&c.q.room, &c.q.body, p) == nil {
				t.Error("accepted")
			}
		})
	}
}

// TestShutHoldsNothingFree draws cells of turns, and in them turns and depths for which
// what is free is known exactly: where the checker takes a band to be shut there is
// nothing.
func TestShutHoldsNothingFree(t *testing.T) {
	t.Parallel()
	r := newRandom(17)
	for name, draw := range map[string]func(i int) *question{
		"rooms of all kinds": func(i int) *question {
			ref, parts := r.body()
			hull := r.hull(ref, parts)
			hull.Boxes = nil
			if i%2 == 0 { // then the middles of parts move as the body turns
				ref = r3.Add(ref, r3.Vec{X: r.between(-300, 300), Y: r.between(-300, 300), Z: r.between(-300, 300)})
			}
			return ask(hull, ref, parts...)
		},
		// Only both parts together are too long for the room.
		"two parts in a row": func(int) *question {
			ref := r3.Vec{X: r.between(-200, 200), Y: r.between(-200, 200), Z: r.between(-200, 200)}
			x := r.between(300, 505)
			hull := space.Hull{First: -inf, Last: inf, Layers: []space.Layer{{Y0: r.between(-300, -100), Y1: r.between(100, 300), Holes: []space.Rect{{X0: 0, X1: x, Z0: -inf, Z1: inf}}}}}
			return ask(hull, ref, solid.Box(box(-250, -3, -3, 10, 3, 3)), solid.Box(box(0, -3, -3, 250, 3, 3)))
		},
		// Holes would let the body through, and boxes beside them do not.
		"past boxes": func(int) *question {
			half := r3.Vec{X: r.between(50, 200), Y: r.between(20, 200), Z: r.between(50, 200)}
			play := r3.Vec{X: r.between(2, 60), Z: r.between(2, 60)}
			if r.IntN(2) == 0 { // above and below in place of beside
				half.X, half.Z, play.X, play.Z = half.Z, half.X, play.Z, play.X
			}
			hole := space.Rect{X0: -half.X - play.X, X1: half.X + play.X, Z0: -half.Z - play.Z, Z1: half.Z + play.Z}
			hull := space.Hull{First: -inf, Last: inf, Layers: []space.Layer{{Y0: r.between(-10, 0), Y1: r.between(1, 60), Holes: []space.Rect{hole}}}}
			for range 1 + r.IntN(2) {
				b := box(hole.X0-30, r.between(-60, 10), hole.Z0-r.between(-60, 30), hole.X0+play.X*r.between(0, 3), 0, hole.Z1+r.between(-60, 30))
				b.Max.Y = b.Min.Y + r.between(0, 60)
				if r.IntN(2) == 0 {
					b.Min.X, b.Max.X = -b.Max.X, -b.Min.X
				}
				if play.X > play.Z {
					b.Min.X, b.Min.Z, b.Max.X, b.Max.Z = b.Min.Z, b.Min.X, b.Max.Z, b.Max.X
				}
				if b.Min.X < b.Max.X && b.Min.Z < b.Max.Z {
					hull.Boxes = append(hull.Boxes, b)
				}
			}
			return ask(hull, r3.Vec{}, solid.Box(box(-half.X, -half.Y, -half.Z, half.X, half.Y, half.Z)))
		},
		// Too wide for what a high box and a lower one across from it leave, which it may pass
		// over where it is tilted.
		"past two boxes": func(i int) *question {
			half := r3.Vec{X: r.between(100, 200), Y: r.between(20, 60), Z: r.between(40, 80)}
			play := r3.Vec{X: r.between(2, 30), Z: r.between(30, 70)}
			hole := space.Rect{X0: -half.X - play.X, X1: half.X + play.X, Z0: -half.Z - play.Z, Z1: half.Z + play.Z}
			hull := space.Hull{First: -inf, Last: inf, Layers: []space.Layer{{Y0: 0, Y1: r.between(1, 20), Holes: []space.Rect{hole}}}}
			y, deep := r.between(-20, 0), r.between(0, 20)
			high := box(hole.X0-30, y, hole.Z0-30, hole.X0+play.X*r.between(1, 3), y+deep, hole.Z1+30)
			low := box(hole.X1-play.X*r.between(1, 3), y, hole.Z0-30, hole.X1+30, y+deep, -half.Z+play.Z+r.between(0, 60))
			hull.Boxes = []r3.Box{high, low}
			if i%2 == 0 {
				hull.Boxes = []r3.Box{low, high}
			}
			return ask(hull, r3.Vec{}, solid.Box(box(-half.X, -half.Y, -half.Z, half.X, half.Y, half.Z)))
		},
	} {
		shut, byBoxes, draws := 0, 0, 1500
		if name == "past two boxes" { // of which nearly half are shut
			draws = 300
		}
		for i := range draws {
			q := draw(i)
			var lo, hi [3]float64
			size := math.Pow(2, -float64(2+r.IntN(6)))
			if name == "past two boxes" {
				size /= 4
			}
			for k := range 3 {
				lo[k] = max(-1, -1+(2-2*size)*r.Float64())
				switch name {
				case "two parts in a row":
					lo[k] = r.between(-0.4, 0.3)
				case "past boxes", "past two boxes":
					lo[k] = r.between(-0.15, 0.1)
				}
				hi[k] = lo[k] + 2*size
			}
			y0 := r.between(-300, min(q.room.Last, 300))
			if name == "two parts in a row" {
				y0 /= 2
			}
			y1 := y0 + r.between(0, 200)*r.Float64()
			if name == "past two boxes" {
				y0, y1 = y0/6, y1/6
			}
			cube := r.IntN(4)
			if name != "rooms of all kinds" {
				cube = 0
			}
			closed, err := proof.Closed(&q.room, &q.body, cube, lo, hi, y0, y1)
			if err != nil {
				t.Fatal(err)
			}
			if closed {
				shut++
				bare := q.room
				bare.Boxes = nil
				if ok, err := proof.Closed(&bare, &q.body, cube, lo, hi, y0, y1); err != nil || !ok {
					byBoxes++
				}
				q.nothingFree(t, r, cube, lo, hi, y0, y1)
			}
		}
		if strings.HasPrefix(name, "past") && byBoxes < 60 {
			t.Errorf("%s: only %d bands are shut by these", name, byBoxes)
		}
		if shut < 60 {
			t.Errorf("%s: only %d bands are shut", name, shut)
		}
		t.Logf("%s: %d bands are shut", name, shut)
	}
}

// Of a box that is hardly in the inside yet, only corners are there at every turn of a
// cell. What they may each be off is more than by how much the box is too long; but turned
// as one they stay as far apart.
func TestCornersTurnAsOne(t *testing.T) {
	t.Parallel()
	for x, want := range map[float64]bool{395: true, 405: false} {
		hull := space.Hull{First: -inf, Last: inf, Layers: []space.Layer{{Y0: 20, Y1: 300, Holes: []space.Rect{{X0: 0, X1: x, Z0: -inf, Z1: inf}}}}}
		q := ask(hull, r3.Vec{}, solid.Box(box(-200, -50, -50, 200, 50, 50)))
		got, err := proof.Closed(&q.room, &q.body, 0, [3]float64{-0.03, -0.03, -0.03}, [3]float64{0.03, 0.03, 0.03}, 0, 10)
		if err != nil {
			t.Fatal(err)
		}
		if got != want {
			t.Errorf("a box of 400 mm between walls %v mm apart, turned by less than 6 degrees: shut %v, want %v", x, got, want)
		}
	}
}

// nothingFree looks for turns and depths at which something is free after all.
func (q *question) nothingFree(t *testing.T, r random, cube int, lo, hi [3]float64, y0, y1 float64) {
	t.Helper()
	const wide = 1e-5
	for s := range 30 {
		var a [3]float64
		for k := range a {
			a[k] = r.between(lo[k], hi[k])
			if s%3 == 0 {
				a[k] = []float64{lo[k], hi[k]}[r.IntN(2)]
			}
		}
		y := []float64{y0, y1, r.between(y0, y1)}[s%3]
		turn := turnAt(cube, a)
		past := func(f proof.Rect) bool { // clear of boxes, somewhere in f, which is finite then
			for n := range 20 {
				x, z := r.between(f.X0, f.X1), r.between(f.Z0, f.Z1)
				if n&1 != 0 {
					x = []float64{f.X0, f.X1}[n>>1&1]
				}
				if n&8 != 0 {
					z = []float64{f.Z0, f.Z1}[n>>2&1]
				}
				if !q.boxed(turn, r3.Vec{X: x, Y: y, Z: z}) {
					return true
				}
			}
			return false
		}
		if slices.ContainsFunc(q.places(turn, y), func(f proof.Rect) bool {
			return f.X1-f.X0 > wide && f.Z1-f.Z0 > wide && (len(q.room.Boxes) == 0 || past(f))
		}) {
			t.Fatalf("cube %d, %v to %v, depths %v to %v: something is free at %v, depth %v\n%+v\n%+v", cube, lo, hi, y0, y1, a, y, q.room, q.body)
		}
	}
}

// TestLeans turns points at random within cells: none goes less far than is said, and the
// least hardly farther.
func TestLeans(t *testing.T) {
	t.Parallel()
	r := newRandom(41)
	vec := func(most float64) r3.Vec {
		return r3.Vec{X: r.between(-most, most), Y: r.between(-most, most), Z: r.between(-most, most)}
	}
	for range 300 {
		var lo, hi [3]float64
		size := math.Pow(2, -r.between(3, 9))
		for k := range lo {
			lo[k] = r.between(-1, 1-size)
			hi[k] = lo[k] + size
		}
		cube, p, q, slope := r.IntN(4), vec(500), vec(500), r.between(-2, 2)
		d := []r3.Vec{{X: 1}, {X: -1}, {Z: 1}, {Z: -1}}[r.IntN(4)]
		said := proof.Leans(cube, lo, hi, p, q, d, slope)
		least := inf
		for n := range 60 {
			a := lo
			for k := range a {
				a[k] = r.between(lo[k], hi[k])
				if n < 8 {
					a[k] = []float64{lo[k], hi[k]}[n>>k&1]
				}
			}
			pose := solid.Pose{Turn: turnAt(cube, a)}
			least = min(least, r3.Dot(pose.Rotate(p), d)-slope*pose.Rotate(q).Y)
		}
		if least < said {
			t.Fatalf("cube %d, %v to %v: %v said, and %v at some turn", cube, lo, hi, said, least)
		}
		if wide := size * (r3.Norm(p) + math.Abs(slope)*r3.Norm(q)); least > said+8*size*wide+1e-6 {
			t.Fatalf("cube %d, %v to %v: %v said, and no less than %v", cube, lo, hi, said, least)
		}
	}
}

// A wedge on its edge, with its upper corners to both sides, does not get past a box that is
// lower than they are at every turn of a cell. It does beneath one that one of them is below
// once it is turned.
func TestCornersBelowBoxes(t *testing.T) {
	t.Parallel()
	wedge, err := solid.Hull([]r3.Vec{
		{Y: -20, Z: -50}, {Y: 20, Z: -50}, {X: -100, Y: -20, Z: 50}, {X: -100, Y: 20, Z: 50}, {X: 100, Y: -20, Z: 50}, {X: 100, Y: 20, Z: 50},
	})
	if err != nil {
		t.Fatal(err)
	}
	const turn = 0.005 // tan of half the angle: corners rise and fall by 1
	for z, want := range map[float64]bool{48.5: true, 49.5: false} {
		hull := space.Hull{
			First: -inf, Last: inf,
			Layers: []space.Layer{{Y0: -5, Y1: 5, Holes: []space.Rect{{X0: -101, X1: 101, Z0: -50.01, Z1: 60}}}},
			Boxes:  []r3.Box{box(-130, 10, z, -91, 30, 200)},
		}
		q := ask(hull, r3.Vec{}, wedge)
		lo, hi := [3]float64{-1e-6, -turn, -1e-6}, [3]float64{1e-6, turn, 1e-6}
		got, err := proof.Closed(&q.room, &q.body, 0, lo, hi, 0, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		if got != want {
			t.Errorf("a box %v mm up: shut %v, want %v", z, got, want)
		}
		free := !q.boxed(turnAt(0, [3]float64{0, -turn, 0}), r3.Vec{}) || !q.boxed(turnAt(0, [3]float64{0, turn, 0}), r3.Vec{})
		if free == want {
			t.Errorf("a box %v mm up: free %v where it is turned, shut %v", z, free, want)
		}
	}
}
