package proof_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
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
	return ask(hull, r3.Vec{X: 500, Y: 225, Z: 300}, solid.Box(box(200, 40, 110, 800, 410, 490)))
}

// long is a plank that passes the hole endways, but cannot turn inside of it.
func long() *question {
	hull := cabinet(space.Rect{X0: 350, X1: 650, Z0: 100, Z1: 400}, space.Rect{X0: 18, X1: 982, Z0: 100, Z1: 420}, 200, r3.Vec{X: 500, Y: 110, Z: 250})
	return ask(hull, r3.Vec{X: 500, Y: 110, Z: 250}, solid.Box(box(150, 35, 110, 850, 185, 390)))
}

// behind is a box that a rail in the inside keeps from its place.
func behind() *question {
	hull := cabinet(space.Rect{X0: 300, X1: 700, Z0: 100, Z1: 500}, space.Rect{X0: 280, X1: 720, Z0: 90, Z1: 520}, 430, r3.Vec{X: 500, Y: 330, Z: 300})
	hull.Boxes = []r3.Box{box(280, 60, 280, 720, 100, 340)}
	return ask(hull, r3.Vec{X: 500, Y: 330, Z: 300}, solid.Box(box(360, 240, 150, 640, 420, 450)))
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
		make func(*question) *proof.Proof
	}{
		"slice of a box":           {tooTall(), func(q *question) *proof.Proof { return q.slice(t, 9) }},
		"slice at the inside face": {tooTall(), func(q *question) *proof.Proof { return q.slice(t, 18) }},
		"slice of two parts":       {handled(), func(q *question) *proof.Proof { return q.slice(t, 9) }},
		"cells of a box":           {tooTall(), func(q *question) *proof.Proof { return q.cells(t, 450) }},
		"cells of a plank":         {long(), func(q *question) *proof.Proof { return q.cells(t, 450) }},
		"cells with a rail":        {behind(), func(q *question) *proof.Proof { return q.cells(t, 450) }},
		"cells of two parts":       {handled(), func(q *question) *proof.Proof { return q.cells(t, 450) }},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := c.make(c.q)
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

var _ = rand.New
var _ = slices.Sort[[]int]
var _ = strings.Contains
var _ = quat.Mul
