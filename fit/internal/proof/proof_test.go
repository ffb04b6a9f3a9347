package proof_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// question is a room and a body, as the search and as the checker know them.
type question struct {
	hull space.Hull
	room proof.Room
	body proof.Body
	move space.Body
	glue space.Glue
}

func ask(hull space.Hull, ref r3.Vec, parts ...*solid.Polyhedron) *question {
	q := &question{hull: hull, body: proof.Body{Ref: ref, Parts: parts}, move: space.NewBody(ref, parts), glue: space.FourCubes}
	if q.move.IsBox() {
		q.glue = space.BoxCube
	}
	q.room = proof.Room{Boxes: hull.Boxes, First: hull.First, Last: hull.Last, End: hull.End}
	for _, l := range hull.Layers {
		m := proof.Layer{Y0: l.Y0, Y1: l.Y1}
		for _, h := range l.Holes {
			m.Holes = append(m.Holes, proof.Rect(h))
		}
		q.room.Layers = append(q.room.Layers, m)
	}
	return q
}

// proof returns trees of the search as a proof.
func (q *question) proof(kind proof.Kind, y0, y1 float64, trees [][]space.Node) *proof.Proof {
	p := &proof.Proof{
		Thing: "thing", Opening: "hole", Erosion: 1, Kind: kind,
		Y: y0, Y0: y0, Y1: y1, Quotient: q.glue == space.BoxCube,
	}
	for _, tree := range trees {
		var nodes []proof.Node
		for _, n := range tree {
			m := proof.Node{Axis: n.Axis}
			for _, b := range n.Bands {
				label := proof.Inside
				switch {
				case b.Shut:
					label = proof.Shut
				case b.Outside:
					label = proof.Outside
				}
				m.Bands = append(m.Bands, proof.Band{To: b.To, Label: label})
			}
			for i, r := range n.Rects {
				m.Pieces = append(m.Pieces, proof.Piece{Rect: proof.Rect(r), Outside: n.Outside[i]})
			}
			nodes = append(nodes, m)
		}
		p.Trees = append(p.Trees, nodes)
	}
	return p
}

func (q *question) slice(tb testing.TB, y float64) *proof.Proof {
	tb.Helper()
	trees, n, ok := space.Cover(tb.Context(), &q.move, q.glue, &q.hull, y, 200000)
	if !ok {
		tb.Fatalf("no slice found in %d cells", n)
	}
	return q.proof(proof.Slice, y, y, trees)
}

func (q *question) cells(tb testing.TB, far float64) *proof.Proof {
	tb.Helper()
	s := space.Search{Body: &q.move, Glue: q.glue, Rooms: &q.hull, Finest: 1e-3, Steps: 60000}
	y0 := -q.move.Radius() - 1
	if o := s.Run(tb.Context(), space.Roots(q.glue, y0, far)); o != space.None {
		tb.Fatalf("no proof over cells: outcome %v after %d", o, s.Used)
	}
	return q.proof(proof.Cells, y0, far, s.Trees())
}

var inf = math.Inf(1)

// cabinet is a front with a hole, an inside, and a floor.
func cabinet(hole, inside space.Rect, deep float64, end r3.Vec) space.Hull {
	near := r3.Vec{X: 20, Y: 20, Z: 20}
	return space.Hull{
		First: -900, Last: deep,
		Layers: []space.Layer{
			{Y0: 0, Y1: 18, Holes: []space.Rect{hole}},
			{Y0: 18, Y1: deep, Holes: []space.Rect{inside}},
			{Y0: math.Inf(-1), Y1: inf, Holes: []space.Rect{{X0: -inf, X1: inf, Z0: 0, Z1: inf}}},
		},
		End: r3.Box{Min: r3.Sub(end, near), Max: r3.Add(end, near)},
	}
}

// tooTall is a box that is too large for a hole in every turn.
func tooTall() *question {
	hull := cabinet(space.Rect{X0: 300, X1: 700, Z0: 100, Z1: 450}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 780}, 430, r3.Vec{X: 500, Y: 225, Z: 300})
	return ask(hull, r3.Vec{X: 500, Y: 225, Z: 300}, solid.Box(box(200, 55, 110, 800, 395, 530)))
}

// long is a plank that passes the hole endways, but cannot turn inside of it.
func long() *question {
	hull := cabinet(space.Rect{X0: 350, X1: 650, Z0: 100, Z1: 400}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 420}, 200, r3.Vec{X: 500, Y: 110, Z: 250})
	return ask(hull, r3.Vec{X: 500, Y: 110, Z: 250}, solid.Box(box(150, 35, 110, 850, 185, 390)))
}

// behind is a box that a board in the inside keeps from its place.
func behind() *question {
	hull := cabinet(space.Rect{X0: 290, X1: 710, Z0: 100, Z1: 420}, space.Rect{X0: 280, X1: 720, Z0: 90, Z1: 430}, 700, r3.Vec{X: 500, Y: 500, Z: 260})
	hull.Boxes = []r3.Box{box(200, 24, 0, 800, 300, 560)}
	return ask(hull, r3.Vec{X: 500, Y: 500, Z: 260}, solid.Box(box(300, 400, 110, 700, 600, 410)))
}

// handled is a box with a cross piece, of other shape than a box.
func handled() *question {
	hull := cabinet(space.Rect{X0: 350, X1: 650, Z0: 100, Z1: 360}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 780}, 430, r3.Vec{X: 500, Y: 225, Z: 300})
	return ask(hull, r3.Vec{X: 500, Y: 225, Z: 300},
		solid.Box(box(330, 60, 130, 670, 390, 470)), solid.Box(box(300, 200, 280, 700, 250, 320)))
}

func TestAccepts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		q    *question
		make func(*testing.T, *question) *proof.Proof
	}{
		"slice of a box":           {tooTall(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.slice(t, 9) }},
		"slice at the inside face": {tooTall(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.slice(t, 18) }},
		"slice of two parts":       {handled(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.slice(t, 9) }},
		"cells of a box":           {tooTall(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.cells(t, q.hull.Last+20) }},
		"cells of a plank":         {long(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.cells(t, q.hull.Last+20) }},
		"cells with a board":       {behind(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.cells(t, q.hull.Last+20) }},
		"cells of two parts":       {handled(), func(t *testing.T, q *question) *proof.Proof { t.Helper(); return q.cells(t, q.hull.Last+20) }},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := c.make(t, c.q)
			if err := proof.Check(&c.q.room, &c.q.body, p); err != nil {
				t.Error(err)
			}
			n := 0
			for _, tree := range p.Trees {
				n += len(tree)
			}
			t.Logf("%d nodes", n)
		})
	}
}

// leaf is a leaf of a proof's tree, with its cell.
type leaf struct {
	cube, node int
	lo, hi     [4]float64
}

// leavesOf returns the leaves of a proof.
func leavesOf(p *proof.Proof) []leaf {
	var out []leaf
	for cube, nodes := range p.Trees {
		next := 0
		var walk func(l leaf)
		walk = func(l leaf) {
			l.node = next
			n := nodes[next]
			next++
			if n.Axis < 0 {
				out = append(out, l)
				return
			}
			a, b := l, l
			m := (l.lo[n.Axis] + l.hi[n.Axis]) / 2
			a.hi[n.Axis], b.lo[n.Axis] = m, m
			walk(a)
			walk(b)
		}
		walk(leaf{cube: cube, lo: [4]float64{-1, -1, -1, p.Y0}, hi: [4]float64{1, 1, 1, p.Y1}})
	}
	return out
}

// copied returns a copy of p that may be changed.
func copied(p *proof.Proof) *proof.Proof {
	q := *p
	q.Trees = nil
	for _, tree := range p.Trees {
		tree = slices.Clone(tree)
		for i := range tree {
			tree[i].Pieces, tree[i].Bands = slices.Clone(tree[i].Pieces), slices.Clone(tree[i].Bands)
		}
		q.Trees = append(q.Trees, tree)
	}
	return &q
}

// free returns what the checker takes to be maybe free in a leaf.
func (q *question) free(t *testing.T, l leaf) []proof.Rect {
	t.Helper()
	free, err := proof.Free(&q.room, &q.body, l.cube, l.lo, l.hi)
	if err != nil {
		t.Fatal(err)
	}
	return free
}

func TestRejectsChangedLeaves(t *testing.T) {
	t.Parallel()
	q := long()
	good := q.cells(t, q.hull.Last+20)
	if err := proof.Check(&q.room, &q.body, good); err != nil {
		t.Fatal(err)
	}
	reject := func(what string, l leaf, change func(n *proof.Node)) {
		t.Helper()
		p := copied(good)
		change(&p.Trees[l.cube][l.node])
		if proof.Check(&q.room, &q.body, p) == nil {
			t.Errorf("accepts a proof with %s in leaf %+v: %+v", what, l, good.Trees[l.cube][l.node])
		}
	}
	changed, ends, relabelled := 0, 0, 0
	for i, l := range leavesOf(good) {
		pieces := good.Trees[l.cube][l.node].Pieces
		rest := l.cube == 0
		for k := range 3 {
			rest = rest && l.lo[k] <= 0 && l.hi[k] >= 0
		}
		for k := range pieces {
			e := q.room.End
			if p := pieces[k]; rest && l.lo[3] <= e.Max.Y && l.hi[3] >= e.Min.Y && p.X0 <= e.Max.X && p.X1 >= e.Min.X && p.Z0 <= e.Max.Z && p.Z1 >= e.Min.Z {
				ends++
				reject("its end outside", l, func(n *proof.Node) { n.Pieces[k].Outside = true })
			}
		}
		if i%20 > 0 {
			continue
		}
		free := q.free(t, l)
		if len(free) == 0 || len(pieces) == 0 {
			continue
		}
		changed++
		reject("no pieces", l, func(n *proof.Node) { n.Pieces = nil })
		if len(pieces) > 1 {
			continue
		}
		x1, z0 := math.Inf(-1), inf
		for _, f := range free {
			x1, z0 = max(x1, f.X1), min(z0, f.Z0)
		}
		reject("a piece cut at its right", l, func(n *proof.Node) { n.Pieces[0].X1 = min(x1, 1e9) - 1e-5 })
		reject("a piece cut below", l, func(n *proof.Node) { n.Pieces[0].Z0 = z0 + 1e-5 })
		reject("a piece in two that do not overlap", l, func(n *proof.Node) {
			a := n.Pieces[0]
			b := a
			a.X1, b.X0 = min(x1, 1e9)-1, min(x1, 1e9)-1
			b.Outside = !a.Outside
			n.Pieces = []proof.Piece{a, b}
		})
		reject("NaN", l, func(n *proof.Node) { n.Pieces[0].X0 = math.NaN() })
		if pieces[0].Outside && math.IsInf(pieces[0].X0, -1) {
			relabelled++
			reject("another label", l, func(n *proof.Node) { n.Pieces[0].Outside = false })
		}
	}
	if changed < 10 || ends < 1 || relabelled < 1 {
		t.Errorf("only %d leaves changed, %d ends, %d relabelled", changed, ends, relabelled)
	}
	t.Logf("%d leaves changed, %d ends, %d relabelled", changed, ends, relabelled)
}

func TestRejectsChangedTrees(t *testing.T) {
	t.Parallel()
	for name, q := range map[string]*question{"one cube": long(), "four cubes": handled()} {
		good := q.cells(t, q.hull.Last+20)
		for what, change := range map[string]func(p *proof.Proof){
			"nothing in a tree":   func(p *proof.Proof) { p.Trees[0] = nil },
			"a missing half":      func(p *proof.Proof) { p.Trees[0] = p.Trees[0][:len(p.Trees[0])/2] },
			"a missing leaf":      func(p *proof.Proof) { p.Trees[0] = p.Trees[0][:len(p.Trees[0])-1] },
			"a node too many":     func(p *proof.Proof) { p.Trees[0] = append(p.Trees[0], proof.Node{Axis: -1}) },
			"no coordinate 4":     func(p *proof.Proof) { p.Trees[0][0].Axis = 4 },
			"another coordinate":  func(p *proof.Proof) { p.Trees[0][0].Axis = (p.Trees[0][0].Axis + 1) % 4 },
			"no trees":            func(p *proof.Proof) { p.Trees = nil },
			"other joints":        func(p *proof.Proof) { p.Quotient = !p.Quotient },
			"other joints, cubes": func(p *proof.Proof) { p.Quotient = !p.Quotient; p.Trees = slices.Repeat(p.Trees[:1], 5-len(p.Trees)) },
			"a late start":        func(p *proof.Proof) { p.Y0 = -100 },
			"an early end":        func(p *proof.Proof) { p.Y1 = 60 },
			"depths of nothing":   func(p *proof.Proof) { p.Y0 = math.NaN() },
			"no erosion":          func(p *proof.Proof) { p.Erosion = 0 },
			"another kind":        func(p *proof.Proof) { p.Kind = proof.Slice },
			"no kind":             func(p *proof.Proof) { p.Kind = "" },
			"a cell halved for ever": func(p *proof.Proof) {
				p.Trees[0] = append(slices.Repeat([]proof.Node{{Axis: 0}}, 3000), p.Trees[0]...)
			},
		} {
			p := copied(good)
			change(p)
			if proof.Check(&q.room, &q.body, p) == nil {
				t.Errorf("%s: accepts a proof with %s", name, what)
			}
		}
	}
}

func TestRejectsOtherRooms(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		q      *question
		change func(q *question)
	}{
		"a wider hole":    {long(), func(q *question) { q.room.Layers[0].Holes[0].X0 = 100 }},
		"a deeper inside": {long(), func(q *question) { q.room.Layers[1].Y1, q.room.Last = 900, 900 }},
		"a hole more": {long(), func(q *question) {
			q.room.Layers[0].Holes = append(q.room.Layers[0].Holes, proof.Rect{X0: 0, X1: 300, Z0: 0, Z1: 500})
		}},
		"holes that touch": {long(), func(q *question) {
			q.room.Layers[0].Holes = append(q.room.Layers[0].Holes, proof.Rect{X0: 650, X1: 700, Z0: 400, Z1: 500})
		}},
		"no hole":                     {long(), func(q *question) { q.room.Layers[0].Holes = nil }},
		"no front":                    {long(), func(q *question) { q.room.Layers = q.room.Layers[1:] }},
		"no back":                     {long(), func(q *question) { q.room.Last = inf }},
		"an end outside":              {long(), func(q *question) { q.room.End.Min.Y, q.room.End.Max.Y = -300, -200 }},
		"a shorter plank":             {long(), func(q *question) { q.body.Parts[0] = solid.Box(box(400, 35, 110, 600, 185, 390)) }},
		"no board":                    {behind(), func(q *question) { q.room.Boxes = nil }},
		"a box round another point":   {long(), func(q *question) { q.body.Ref.X += 1e-3 }},
		"a box with a knob":           {long(), func(q *question) { q.body.Parts = append(q.body.Parts, solid.Box(box(400, 100, 300, 420, 120, 380))) }},
		"no body":                     {long(), func(q *question) { q.body.Parts = nil }},
		"an end at the other side":    {long(), func(q *question) { q.room.End.Min.Y, q.room.End.Max.Y = -900, -800 }},
		"a coordinate that is no one": {long(), func(q *question) { q.room.Layers[0].Y0 = math.NaN() }},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := c.q.cells(t, c.q.hull.Last+20)
			if err := proof.Check(&c.q.room, &c.q.body, p); err != nil {
				t.Fatal(err)
			}
			c.change(c.q)
			if proof.Check(&c.q.room, &c.q.body, p) == nil {
				t.Error("accepted")
			}
		})
	}
}

func TestRejectsOtherSlices(t *testing.T) {
	t.Parallel()
	sound := tooTall()
	good := sound.slice(t, 9)
	if err := proof.Check(&sound.room, &sound.body, good); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(q *question, p *proof.Proof){
		"a depth not passed":   func(_ *question, p *proof.Proof) { p.Y = -300 },
		"a depth behind rest":  func(_ *question, p *proof.Proof) { p.Y = 300 },
		"a depth that is none": func(_ *question, p *proof.Proof) { p.Y = math.NaN() },
		"a free depth":         func(_ *question, p *proof.Proof) { p.Y = 200 },
		"places":               func(_ *question, p *proof.Proof) { p.Trees[0][len(p.Trees[0])-1].Pieces = []proof.Piece{{}} },
		"depth halved":         func(_ *question, p *proof.Proof) { p.Trees[0][0].Axis = 3 },
		"coarser cells": func(_ *question, p *proof.Proof) { // the last node that has two leaves becomes one
			n := len(p.Trees[0])
			p.Trees[0] = append(p.Trees[0][:n-3], proof.Node{Axis: -1})
		},
		"a missing half": func(_ *question, p *proof.Proof) { p.Trees[0] = p.Trees[0][:len(p.Trees[0])/2] },
		"a larger hole":  func(q *question, _ *proof.Proof) { q.room.Layers[0].Holes[0].X0 = 200 },
		"a smaller body": func(q *question, _ *proof.Proof) { q.body.Parts[0] = solid.Box(box(200, 55, 150, 800, 395, 490)) },
		"a main part beside": func(q *question, p *proof.Proof) {
			q.body.Ref.Y, p.Quotient, p.Trees = 0, false, slices.Repeat(p.Trees, 4)
		},
	} {
		q, p := tooTall(), copied(good)
		change(q, p)
		if proof.Check(&q.room, &q.body, p) == nil {
			t.Errorf("accepts a slice with %s", name)
		}
	}
}

// TestRejectsAcrossCubes has a body that is shut out in every cube, and is labelled
// as being inside in one and outside in another: only where these two are joined is
// that false.
func TestRejectsAcrossCubes(t *testing.T) {
	t.Parallel()
	hull := cabinet(space.Rect{X0: 400, X1: 500, Z0: 100, Z1: 200}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 780}, 500, r3.Vec{X: 500, Y: 250, Z: 300})
	ref := hull.End.Min
	ref = r3.Add(ref, r3.Vec{X: 20, Y: 20, Z: 20})
	q := ask(hull, ref, solid.Box(box(ref.X-100, ref.Y-100, ref.Z-100, ref.X+100, ref.Y+100, ref.Z+100)))
	q.glue = space.FourCubes
	good := q.cells(t, 520)
	if err := proof.Check(&q.room, &q.body, good); err != nil {
		t.Fatal(err)
	}
	for cube := 1; cube < 4; cube++ {
		p := copied(good)
		turned := 0
		for _, n := range p.Trees[cube] {
			for i := range n.Pieces {
				if !n.Pieces[i].Outside {
					turned++
				}
				n.Pieces[i].Outside = true
			}
		}
		if turned == 0 || proof.Check(&q.room, &q.body, p) == nil {
			t.Errorf("accepts cube %d all outside, %d pieces turned", cube, turned)
		}
	}
}

// TestRejectsWaysRound has proofs that are right in all their cells, and miss the
// depths that a way takes.
func TestRejectsWaysRound(t *testing.T) {
	t.Parallel()
	const anywhere, outside, inside = 0, 1, 2
	for name, c := range map[string]struct {
		kind         proof.Kind
		y0, y1, last float64
		label        int
	}{
		"an end beyond the last cell":     {proof.Cells, -200, 500, inf, outside},
		"a start before the first cell":   {proof.Cells, 200, 2000, 1500, inside},
		"a slice before where they start": {proof.Slice, -300, -300, 1500, anywhere},
		"a slice behind where they end":   {proof.Slice, 1800, 1800, 1500, anywhere},
	} {
		at := r3.Vec{X: 500, Y: 1000, Z: 300}
		q := ask(space.Hull{First: -100, Last: c.last, End: r3.Box{Min: at, Max: at}}, at, solid.Box(box(450, 950, 250, 550, 1050, 350)))
		n := proof.Node{Axis: -1}
		if c.label != anywhere {
			n.Pieces = []proof.Piece{{Rect: proof.Rect{X0: -inf, X1: inf, Z0: -inf, Z1: inf}, Outside: c.label == outside}}
		}
		p := &proof.Proof{Erosion: 1, Kind: c.kind, Y: c.y0, Y0: c.y0, Y1: c.y1, Quotient: true, Trees: [][]proof.Node{{n}}}
		if proof.Check(&q.room, &q.body, p) == nil {
			t.Errorf("accepts a proof with %s", name)
		}
	}
}

// TestRejectsWayBehind has a plank that goes in endways, on through the open back,
// turns there and comes back to its place. Cells that end before there do not see that.
func TestRejectsWayBehind(t *testing.T) {
	t.Parallel()
	q := long()
	hull := q.hull
	hull.Last, hull.Layers[1].Y1 = inf, inf
	q = ask(hull, q.body.Ref, q.body.Parts...)
	if proof.Check(&q.room, &q.body, q.cells(t, 131)) == nil {
		t.Error("accepted")
	}
}

// TestAcrossIsTheSameTurn compares the turn at a border of a cube with that beyond.
func TestAcrossIsTheSameTurn(t *testing.T) {
	t.Parallel()
	r := newRandom(2)
	for range 200 {
		for cube := range 4 {
			for k := range 3 {
				for _, quotient := range []bool{false, true} {
					if quotient && cube > 0 {
						continue
					}
					a := [3]float64{r.between(-1, 1), r.between(-1, 1), r.between(-1, 1)}
					a[k] = float64(2*r.IntN(2) - 1)
					other, over := proof.Across(cube, k, quotient)
					b := over(a)
					// What the body's turn is after is half a turn about an axis, or nothing.
					d := quat.Mul(quat.Conj(turnAt(cube, a)), turnAt(other, b))
					want := quat.Number{Real: 1}
					if quotient {
						want = []quat.Number{{Imag: 1}, {Jmag: 1}, {Kmag: 1}}[k]
					}
					if same := math.Abs(d.Real*want.Real + d.Imag*want.Imag + d.Jmag*want.Jmag + d.Kmag*want.Kmag); same < 1-1e-12 {
						t.Fatalf("cube %d, %v goes on in cube %d at %v: the turns differ by %v", cube, a, other, b, d)
					}
					at := slices.IndexFunc(b[:], func(v float64) bool { return math.Abs(v) == 1 })
					if at < 0 {
						t.Fatalf("cube %d, %v goes on inside of cube %d, at %v", cube, a, other, b)
					}
				}
			}
		}
	}
}

// TestRejectsProofsOfWhatGoes makes proofs for bodies that go straight in, with cells
// that hold all that is free, and labels in several ways: no labels can be right.
func TestRejectsProofsOfWhatGoes(t *testing.T) {
	t.Parallel()
	r := newRandom(9)
	labelled := 0
	for i := range 20 {
		x, y, z := r.between(100, 500), r.between(60, 300), r.between(100, 400)
		rest := r3.Vec{X: 500, Y: 30 + y/2, Z: 100 + z/2}
		hull := cabinet(space.Rect{X0: 495 - x/2, X1: 505 + x/2, Z0: 98, Z1: 104 + z}, space.Rect{X0: 18, X1: 982, Z0: 95, Z1: 780}, 60+y, rest)
		half := r3.Vec{X: x / 2, Y: y / 2, Z: z / 2}
		parts := []*solid.Polyhedron{solid.Box(r3.Box{Min: r3.Sub(rest, half), Max: r3.Add(rest, half)})}
		if i%3 == 0 { // a second part within the outline of the first
			parts = append(parts, solid.Box(box(490, 30+y*0.7, 110, 510, 40+y, 160)))
		}
		q := ask(hull, rest, parts...)
		p := &proof.Proof{Erosion: 1, Kind: proof.Cells, Y0: -q.move.Radius() - 1, Y1: hull.Last + 1, Quotient: q.glue == space.BoxCube}
		var grow func(nodes []proof.Node, most int) []proof.Node
		grow = func(nodes []proof.Node, most int) []proof.Node {
			if most == 0 || r.IntN(8) == 0 {
				return append(nodes, proof.Node{Axis: -1})
			}
			axis := 3
			if r.IntN(2) == 0 {
				axis = r.IntN(3)
			}
			nodes = append(nodes, proof.Node{Axis: axis})
			return grow(grow(nodes, most-1), most-1)
		}
		for range 4 {
			p.Trees = append(p.Trees, grow(nil, 8))
			if p.Quotient {
				break
			}
		}
		before := r.between(-x, rest.Y)
		for _, l := range leavesOf(p) {
			n := &p.Trees[l.cube][l.node]
			for _, f := range q.free(t, l) {
				f = proof.Rect{X0: f.X0 - 1e-6, X1: f.X1 + 1e-6, Z0: f.Z0 - 1e-6, Z1: f.Z1 + 1e-6}
				n.Pieces = append(n.Pieces, proof.Piece{Rect: f})
			}
		}
		for how, outside := range map[string]func(l leaf) bool{
			"all inside":       func(leaf) bool { return false },
			"all outside":      func(leaf) bool { return true },
			"by depth":         func(l leaf) bool { return l.lo[3] < before },
			"by depth and end": func(l leaf) bool { return l.hi[3] < rest.Y-20 },
			"at random":        func(leaf) bool { return r.IntN(2) == 0 },
		} {
			c := copied(p)
			for _, l := range leavesOf(c) {
				for k := range c.Trees[l.cube][l.node].Pieces {
					labelled++
					c.Trees[l.cube][l.node].Pieces[k].Outside = outside(l)
				}
			}
			if proof.Check(&q.room, &q.body, c) == nil {
				t.Errorf("body %d: accepts cells labelled %s", i, how)
			}
		}
		c := copied(p)
		c.Kind, c.Y = proof.Slice, r.between(0, rest.Y-20)
		for _, tree := range c.Trees {
			for k := range tree {
				tree[k].Pieces = nil
				if tree[k].Axis == 3 {
					tree[k].Axis = 0
				}
			}
		}
		if proof.Check(&q.room, &q.body, c) == nil {
			t.Errorf("body %d: accepts a slice", i)
		}
	}
	if labelled < 500 {
		t.Errorf("only %d pieces labelled", labelled)
	}
}

// random is a source of rooms and bodies; the seed makes them the same every time.
type random struct{ *rand.Rand }

func newRandom(seed uint64) random { return random{rand.New(rand.NewPCG(seed, 1))} }

func (r random) between(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// body draws one part or some, boxes or not, and its reference point.
func (r random) body() (ref r3.Vec, parts []*solid.Polyhedron) {
	size := func() float64 { return r.between(60, 400) }
	b := box(0, 0, 0, size(), size(), size())
	ref = r3.Scale(0.5, b.Max)
	switch r.IntN(4) {
	case 0:
		return ref, []*solid.Polyhedron{solid.Box(b)}
	case 1:
		c := box(-r.between(1, 150), b.Max.Y*0.6, b.Max.Z*0.2, b.Max.X*r.between(0.2, 1.5), b.Max.Y*r.between(0.7, 1.5), b.Max.Z*0.9)
		return ref, []*solid.Polyhedron{solid.Box(b), solid.Box(c)}
	case 2:
		var points []r3.Vec
		for range 9 {
			points = append(points, r3.Vec{X: size(), Y: size(), Z: size()})
		}
		h, err := solid.Hull(points)
		if err != nil {
			panic(err)
		}
		return r3.Add(h.Centroid(), r3.Vec{X: r.between(-9, 9)}), []*solid.Polyhedron{h}
	}
	tube := solid.Cylinder{B: r3.Vec{X: size(), Y: 40, Z: size()}, Radius: r.between(20, 120)}
	return tube.Centroid(), []*solid.Polyhedron{tube.Inner(12)}
}

// hull draws a room in which the body has some, but not much room.
func (r random) hull(ref r3.Vec, parts []*solid.Polyhedron) space.Hull {
	size := parts[0].Bounds().Size()
	x, z := size.X*r.between(0.5, 1.4), size.Z*r.between(0.5, 1.4)
	deep := 18 + size.Y*r.between(0.9, 2)
	h := cabinet(space.Rect{X0: ref.X - x/2, X1: ref.X + x/2, Z0: 60, Z1: 60 + z},
		space.Rect{X0: ref.X - x, X1: ref.X + x*r.between(0.5, 1), Z0: 40, Z1: 60 + 2*z}, deep, r3.Vec{X: ref.X, Y: 18 + size.Y/2, Z: 60 + z/2})
	if r.IntN(3) == 0 {
		h.Layers[0].Holes = append(h.Layers[0].Holes, space.Rect{X0: ref.X + x/2 + 20, X1: ref.X + x*1.5, Z0: 70, Z1: 60 + z})
	}
	h.First = r.between(-900, -200)
	for range r.IntN(3) {
		at := r3.Vec{X: ref.X + r.between(-x, x), Y: r.between(-100, deep), Z: r.between(0, z)}
		h.Boxes = append(h.Boxes, r3.Box{Min: at, Max: r3.Add(at, r3.Vec{X: r.between(5, x), Y: r.between(5, 90), Z: r.between(5, z)})})
	}
	return h
}

// turnAt returns the turn at coordinates of a cube, by the definition.
func turnAt(cube int, a [3]float64) quat.Number {
	q := slices.Insert(slices.Clone(a[:]), cube, 1)
	n := quat.Number{Real: q[0], Imag: q[1], Jmag: q[2], Kmag: q[3]}
	return quat.Scale(1/quat.Abs(n), n)
}

// cut returns the extents of what s has at depths y0 to y1.
func cut(s *solid.Polyhedron, y0, y1 float64) (r3.Box, bool) {
	for _, c := range []struct{ n, at float64 }{{1, y1}, {-1, -y0}} {
		if math.IsInf(c.at, 1) {
			continue
		}
		var ok bool
		if s, ok = s.Clip(solid.Plane{Normal: r3.Vec{Y: c.n}, Offset: c.at}); !ok {
			return r3.Box{}, false
		}
	}
	return s.Bounds(), true
}

// places returns where the reference point is free, at one turn and depth, of all
// but boxes, by cutting the parts at the borders of layers.
func (q *question) places(turn quat.Number, y float64) []proof.Rect {
	free := []proof.Rect{{X0: -inf, X1: inf, Z0: -inf, Z1: inf}}
	for i, s := range q.at(turn, r3.Vec{Y: y}) {
		if i > 0 && !q.reachesIn(turn, y) {
			continue
		}
		if b := s.Bounds(); b.Min.Y < q.room.First || b.Max.Y > q.room.Last {
			return nil
		}
		for _, l := range q.room.Layers {
			b, ok := cut(s, l.Y0, l.Y1)
			if !ok || i > 0 && len(l.Holes) > 1 {
				continue
			}
			var next []proof.Rect
			for _, h := range l.Holes {
				for _, r := range free {
					r = proof.Rect{
						X0: max(r.X0, h.X0-b.Min.X), X1: min(r.X1, h.X1-b.Max.X),
						Z0: max(r.Z0, h.Z0-b.Min.Z), Z1: min(r.Z1, h.Z1-b.Max.Z),
					}
					if r.X0 < r.X1 && r.Z0 < r.Z1 {
						next = append(next, r)
					}
				}
			}
			free = next
		}
	}
	return free
}

// at returns the parts turned, with the reference point at a place.
func (q *question) at(turn quat.Number, place r3.Vec) []*solid.Polyhedron {
	pose := solid.About(q.body.Ref, turn)
	pose.Shift = r3.Add(pose.Shift, r3.Sub(place, q.body.Ref))
	var out []*solid.Polyhedron
	for _, s := range q.body.Parts {
		out = append(out, s.Moved(pose).(*solid.Polyhedron))
	}
	return out
}

// reachesIn tells whether what two boxes share has points behind y = 0.
func (q *question) reachesIn(turn quat.Number, y float64) bool {
	a, b := q.body.Parts[0].Bounds(), q.body.Parts[1].Bounds()
	most := -inf
	for c := range 8 {
		v := r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)}
		if c&1 != 0 {
			v.X = min(a.Max.X, b.Max.X)
		}
		if c&2 != 0 {
			v.Y = min(a.Max.Y, b.Max.Y)
		}
		if c&4 != 0 {
			v.Z = min(a.Max.Z, b.Max.Z)
		}
		most = max(most, y+solid.Pose{Turn: turn}.Rotate(r3.Sub(v, q.body.Ref)).Y)
	}
	return most >= 0
}

// TestBoundHoldsWhatIsFree draws cells, and in them turns and depths, for which what
// is free is known exactly: all of it must lie in what the checker leaves.
func TestBoundHoldsWhatIsFree(t *testing.T) {
	t.Parallel()
	const inside = 1e-5 // of the border of what is free
	r := newRandom(3)
	seen, tight := 0, 0
	for range 500 {
		ref, parts := r.body()
		q := ask(r.hull(ref, parts), ref, parts...)
		var lo, hi [4]float64
		size := math.Pow(2, -float64(r.IntN(9)))
		for k := range 3 {
			lo[k] = -1 + (2-2*size)*r.Float64()
			if r.IntN(2) == 0 {
				lo[k] = -size * r.Float64() // near rest
			}
			hi[k] = lo[k] + 2*size
			if r.IntN(3) == 0 {
				hi[k] = lo[k] // so that one component of the swing counts for more
			}
		}
		for k := range 3 {
			lo[k], hi[k] = max(lo[k], -1), min(hi[k], 1)
		}
		lo[3] = r.between(-300, q.room.Last)
		hi[3] = lo[3] + r.between(0, 40)*float64(r.IntN(2))
		cube := r.IntN(4)
		if r.IntN(2) == 0 {
			cube = 0
		}
		free, err := proof.Free(&q.room, &q.body, cube, lo, hi)
		if err != nil {
			t.Fatal(err)
		}
		for s := range 12 {
			var a [3]float64
			for k := range a {
				a[k] = r.between(lo[k], hi[k])
				if s%3 == 0 {
					a[k] = lo[k]
					if r.IntN(2) == 0 {
						a[k] = hi[k]
					}
				}
			}
			y := r.between(lo[3], hi[3])
			if s%2 == 0 {
				y = lo[3]
			}
			turn := turnAt(cube, a)
			for _, f := range q.places(turn, y) {
				clamp := func(v float64) float64 { return min(max(v, -2000), 2000) }
				for c := range 5 {
					x, z := clamp(f.X0)+inside, clamp(f.Z0)+inside
					if c&1 != 0 {
						x = clamp(f.X1) - inside
					}
					if c&2 != 0 {
						z = clamp(f.Z1) - inside
					}
					if c == 4 {
						x, z = r.between(clamp(f.X0), clamp(f.X1)), r.between(clamp(f.Z0), clamp(f.Z1))
					}
					if x < f.X0+inside/2 || x > f.X1-inside/2 || z < f.Z0+inside/2 || z > f.Z1-inside/2 || q.boxed(turn, r3.Vec{X: x, Y: y, Z: z}) {
						continue
					}
					seen++
					if !slices.ContainsFunc(free, func(p proof.Rect) bool { return p.X0 <= x && x <= p.X1 && p.Z0 <= z && z <= p.Z1 }) {
						t.Fatalf("cube %d, %v to %v: at %v, depth %v, (%v, %v) is free but not in %v\n%+v\n%+v",
							cube, lo, hi, a, y, x, z, free, q.room, q.body)
					}
				}
			}
		}
		if len(free) == 0 || !math.IsInf(free[0].X0, -1) {
			tight++
		}
	}
	if seen < 5000 || tight < 200 {
		t.Errorf("%d free places seen, %d cells bounded", seen, tight)
	}
	t.Logf("%d free places seen, %d cells bounded", seen, tight)
}

// boxed tells whether the body overlaps a box, or nearly.
func (q *question) boxed(turn quat.Number, place r3.Vec) bool {
	for _, s := range q.at(turn, place) {
		for _, b := range q.room.Boxes {
			if solid.Distance(s, solid.Box(b)).Dist < 1e-5 {
				return true
			}
		}
	}
	return false
}

// TestAcceptsWhatSearchFinds has the checker's bounds as strong as the search's.
func TestAcceptsWhatSearchFinds(t *testing.T) {
	t.Parallel()
	r := newRandom(5)
	slices, cells := 0, 0
	for i := range 32 {
		ref, parts := r.body()
		q := ask(r.hull(ref, parts), ref, parts...)
		y := r.between(0, 18)
		if trees, _, ok := space.Cover(t.Context(), &q.move, q.glue, &q.hull, y, 600); ok && y <= q.room.End.Min.Y {
			slices++
			if err := proof.Check(&q.room, &q.body, q.proof(proof.Slice, y, y, trees)); err != nil {
				t.Fatalf("room %d: %v\n%+v", i, err, q.room)
			}
		}
		if i%3 != 0 {
			continue
		}
		s := space.Search{Body: &q.move, Glue: q.glue, Rooms: &q.hull, Finest: 1e-3, Steps: 600}
		y0, far := -q.move.Radius()-1, q.hull.Last+1
		if s.Run(t.Context(), space.Roots(q.glue, y0, far)) == space.None {
			cells++
			if err := proof.Check(&q.room, &q.body, q.proof(proof.Cells, y0, far, s.Trees())); err != nil {
				t.Fatalf("room %d: %v\n%+v", i, err, q.room)
			}
		}
	}
	if slices < 5 || cells < 1 {
		t.Errorf("only %d slices and %d proofs over cells", slices, cells)
	}
	t.Logf("%d slices and %d proofs over cells", slices, cells)
}

// reread returns a proof as it comes back from its file, which written again is the
// same.
func reread(t *testing.T, p *proof.Proof) *proof.Proof {
	t.Helper()
	data, err := proof.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	back, err := proof.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	again, err := proof.Marshal(back)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(data, again) {
		t.Error("a proof read and written again is another one")
	}
	return back
}

func TestFile(t *testing.T) {
	t.Parallel()
	q := handled()
	good := q.cells(t, q.hull.Last+20)
	if err := proof.Check(&q.room, &q.body, reread(t, good)); err != nil {
		t.Error(err)
	}
	data, err := proof.Marshal(good)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"format":1`, `"thing":"thing"`, `"opening":"hole"`, `"erosion":1`, `"kind":"cells"`, `null`} {
		if !bytes.Contains(data, []byte(want)) {
			t.Errorf("%s is not in the file", want)
		}
	}
	for _, bad := range []string{
		``, `{}`, `{"format":2}`, `{"format":1,"more":1}`, `{"format":1,"trees":[[[[1,2,3]]]]}`,
		`{"format":1,"trees":[[[[1,2,3,"4",true]]]]}`, `{"format":1,"trees":[[{}]]}`, `{"format":1} {"format":1}`,
	} {
		if p, err := proof.Read([]byte(bad)); err == nil {
			t.Errorf("reads %s as %+v", bad, p)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"format":1,"thing":"a","opening":"b","erosion":1,"kind":"cells","y":0,"y0":-9,"y1":9,"quotient":true,"trees":[[3,[],[[null,1,0.5,null,true]]]]}`))
	f.Add([]byte(`{"format":1,"trees":[[-1,4,[[1e400,0,0,0,false]]]]}`))
	q := long()
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := proof.Read(data)
		if err != nil {
			return
		}
		if proof.Check(&q.room, &q.body, p) == nil && len(p.Trees[0]) < 100 {
			t.Errorf("a proof out of nothing: %s", data)
		}
		again, err := proof.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		back, err := proof.Read(again)
		if err != nil {
			t.Fatalf("does not read what it wrote: %v\n%s", err, again)
		}
		if once, err := proof.Marshal(back); err != nil || !bytes.Equal(again, once) {
			t.Errorf("written twice: %s and %s", again, once)
		}
	})
}

// The check of a proof must not take longer than to find it.

func BenchmarkFindSlice(b *testing.B) {
	q := tooTall()
	for b.Loop() {
		q.slice(b, 9)
	}
}

func BenchmarkCheckSlice(b *testing.B) {
	check(b, tooTall(), func(q *question) *proof.Proof { return q.slice(b, 9) })
}

func BenchmarkFindCells(b *testing.B) {
	q := long()
	for b.Loop() {
		q.cells(b, 220)
	}
}

func BenchmarkCheckCells(b *testing.B) {
	check(b, long(), func(q *question) *proof.Proof { return q.cells(b, 220) })
}

func BenchmarkFindCellsPastBoxes(b *testing.B) {
	q := behind()
	for b.Loop() {
		q.cells(b, 720)
	}
}

func BenchmarkCheckCellsPastBoxes(b *testing.B) {
	check(b, behind(), func(q *question) *proof.Proof { return q.cells(b, 720) })
}

func check(b *testing.B, q *question, find func(*question) *proof.Proof) {
	b.Helper()
	p := find(q)
	for b.Loop() {
		if err := proof.Check(&q.room, &q.body, p); err != nil {
			b.Fatal(err)
		}
	}
}

// Beside a box that is as high as can be a part is free as near as it touches.
func TestFreeBesideABox(t *testing.T) {
	t.Parallel()
	room := proof.Room{First: -inf, Last: inf, End: box(0, 0, 0, 1, 1, 1), Boxes: []r3.Box{box(100, -40, -9000, 120, 40, 9000)}}
	body := &proof.Body{Parts: []*solid.Polyhedron{solid.Box(box(-50, -60, -70, 50, 60, 70))}}
	free, err := proof.Free(&room, body, 0, [4]float64{}, [4]float64{})
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range []proof.Rect{{X0: -inf, X1: 50, Z0: -inf, Z1: inf}, {X0: 170, X1: inf, Z0: -inf, Z1: inf}} {
		if !slices.ContainsFunc(free, func(r proof.Rect) bool {
			near := func(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-6 }
			return near(r.X0, side.X0) && near(r.X1, side.X1) && r.Z0 == side.Z0 && r.Z1 == side.Z1
		}) {
			t.Errorf("not free at %v, only at %v", side, free)
		}
	}
}
