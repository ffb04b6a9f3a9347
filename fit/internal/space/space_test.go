package space

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

func boxBody(x, y, z float64) Body {
	h := r3.Vec{X: x / 2, Y: y / 2, Z: z / 2}
	return NewBody(r3.Vec{}, []*solid.Polyhedron{solid.Box(r3.Box{Min: r3.Scale(-1, h), Max: h})})
}

// fits is Carver's condition for a p × q rectangle in an a × b one, with the
// condition q ≤ b that its usual printing leaves out. W. B. Carver, "Solution to
// problem E1225", American Mathematical Monthly 64 (1957), as given by
// J. E. Wetzel, "Rectangles in rectangles", Mathematics Magazine 73 (2000).
func fits(p, q, a, b float64) bool {
	p, q = max(p, q), min(p, q)
	a, b = max(a, b), min(a, b)
	if p <= a && q <= b {
		return true
	}
	return p > a && q <= b && b >= (2*p*q*a+(p*p-q*q)*math.Sqrt(p*p+q*q-a*a))/(p*p+q*q)
}

// A box much longer than the hole is wide has to go through with its smallest
// face: what is proved impossible is what Carver's condition says.
func TestCoverAgainstCarver(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1957, 2000))
	shown, possible := 0, 0
	for range 16 {
		a, b := 200+300*r.Float64(), 200+300*r.Float64()
		p, q := 200+350*r.Float64(), 100+250*r.Float64()
		body := boxBody(p, 2000, q)
		hull := &Hull{
			Layers: []Layer{{-1, 1, []Rect{{-a / 2, a / 2, -b / 2, b / 2}}}},
			First:  math.Inf(-1), Last: math.Inf(1),
		}
		_, _, no := Cover(t.Context(), &body, BoxCube, hull, 0, 20000)
		switch {
		case no && fits(p, q, a, b):
			t.Errorf("a %.1f x %.1f face is shown not to go through %.1f x %.1f, and it does", p, q, a, b)
		case no:
			shown++
		case !fits(p*0.97, q*0.97, a, b):
			t.Errorf("a %.1f x %.1f face clearly does not go through %.1f x %.1f, and that was not shown", p, q, a, b)
		default:
			possible++
		}
	}
	if shown < 3 || possible < 3 {
		t.Errorf("the cases are lopsided: %d shown impossible, %d not", shown, possible)
	}
}

// Whatever is free at a turn and depth of a cell lies in what the cell calls
// maybe free, and what it calls known to be free is.
func TestCellsHoldTheirTurns(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 5))
	hull := &Hull{
		Layers: []Layer{
			{0, 18, []Rect{{-350, 350, -250, 250}}},
			{18, 400, []Rect{{-480, 480, -260, 420}}},
		},
		Boxes: []r3.Box{
			{Min: r3.Vec{X: -350, Y: -300, Z: -250}, Max: r3.Vec{X: -332, Y: 0, Z: 250}},
			{Min: r3.Vec{X: 100, Y: 200, Z: 300}, Max: r3.Vec{X: 140, Y: 240, Z: 420}},
		},
		First: math.Inf(-1), Last: 400,
	}
	rim := solid.Box(r3.Box{Min: r3.Vec{X: -310, Y: -155, Z: 180}, Max: r3.Vec{X: 310, Y: 155, Z: 200}})
	main := solid.Box(r3.Box{Min: r3.Vec{X: -300, Y: -150, Z: -200}, Max: r3.Vec{X: 300, Y: 150, Z: 200}})
	bodies := []Body{boxBody(600, 300, 400), boxBody(250, 90, 700), NewBody(r3.Vec{}, []*solid.Polyhedron{main, rim})}
	free := 0
	for i := range 900 {
		body := &bodies[i%len(bodies)]
		c := Cell{Cube: r.IntN(4)}
		size := 0.02 + 0.2*r.Float64()*r.Float64()
		for k := range 3 {
			c.Lo[k] = -1 + (2-size)*r.Float64()
			c.Hi[k] = c.Lo[k] + size
		}
		c.Lo[3] = -300 + 600*r.Float64()
		c.Hi[3] = c.Lo[3] + 60*r.Float64()
		lo, hi := c.turns()
		whole := body.at(c.Cube, lo, hi)
		known, maybe := hull.pieces(c, whole)
		var a [3]float64
		for k := range a {
			a[k] = c.Lo[k] + (c.Hi[k]-c.Lo[k])*r.Float64()
		}
		y := c.Lo[3] + (c.Hi[3]-c.Lo[3])*r.Float64()
		exact := body.at(c.Cube, a, a)
		for _, q := range hull.subset(exact, y, y) {
			free++
			left := []Rect{q}
			for _, ps := range [][]Piece{known, maybe} {
				for _, m := range ps {
					left = without(left, m.Rect)
				}
			}
			for _, l := range left {
				if l.X1-l.X0 > 1e-6 && l.Z1-l.Z0 > 1e-6 {
					t.Fatalf("cell %v, turn %v at y %v: %v is free and not among %v", c, a, y, l, maybe)
				}
			}
		}
		for _, k := range known {
			left := []Rect{k.Rect}
			for _, m := range hull.superset(exact, y, y) {
				left = without(left, m)
			}
			for _, l := range left {
				if l.X1-l.X0 > 1e-6 && l.Z1-l.Z0 > 1e-6 {
					t.Fatalf("cell %v, turn %v at y %v: %v is called free and is not", c, a, y, l)
				}
			}
		}
	}
	if free < 100 {
		t.Errorf("only %d free places came up", free)
	}
}

// What a cell of turns calls shut has nothing free at any of its turns, and what it
// calls known has something at each.
func TestBandsHoldTheirTurns(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 7))
	hull := &Hull{
		Layers: []Layer{
			{0, 18, []Rect{{-350, 350, -250, 250}}},
			{18, 400, []Rect{{-480, 480, -260, 420}}},
			{0, 18, []Rect{{-350, 20, -250, 250}, {60, 350, -250, 250}}},
		},
		First: math.Inf(-1), Last: 400,
	}
	rim := solid.Box(r3.Box{Min: r3.Vec{X: -310, Y: -155, Z: 180}, Max: r3.Vec{X: 310, Y: 155, Z: 200}})
	main := solid.Box(r3.Box{Min: r3.Vec{X: -300, Y: -150, Z: -200}, Max: r3.Vec{X: 300, Y: 150, Z: 200}})
	bodies := []Body{boxBody(600, 300, 400), boxBody(250, 90, 700), NewBody(r3.Vec{X: 120, Y: -60}, []*solid.Polyhedron{main, rim})}
	seen := map[bandKind]int{}
	for i := range 600 {
		body := &bodies[i%len(bodies)]
		c := Cell{Cube: r.IntN(4)}
		size := 0.02 + 0.2*r.Float64()*r.Float64()
		for k := range 3 {
			c.Lo[k] = -1 + (2-size)*r.Float64()
			c.Hi[k] = c.Lo[k] + size
		}
		lo, hi := c.turns()
		mid := c.middle()
		last := -700.0
		for _, b := range hull.bands(body.at(c.Cube, lo, hi), body.at(c.Cube, mid, mid), -700, 450, 100) {
			if b.y0 != last || b.y1 <= b.y0 {
				t.Fatalf("cell %v: a band from %v to %v after %v", c, b.y0, b.y1, last)
			}
			last = b.y1
			for n := range 6 {
				var a [3]float64
				for k := range a {
					a[k] = c.Lo[k] + (c.Hi[k]-c.Lo[k])*r.Float64()
				}
				if n == 0 {
					a = mid
				}
				exact := body.at(c.Cube, a, a)
				y := b.y0 + (b.y1-b.y0)*r.Float64()
				wide := slices.ContainsFunc(hull.subset(exact, y, y), func(q Rect) bool { return q.X1-q.X0 > 1e-5 && q.Z1-q.Z0 > 1e-5 })
				switch {
				case b.kind == shut && wide, b.kind == unlikely && n == 0 && wide:
					t.Fatalf("cell %v, turn %v at y %v: something is free in a band of kind %d", c, a, y, b.kind)
				case b.kind == known && len(hull.superset(exact, y, y)) == 0:
					t.Fatalf("cell %v, turn %v at y %v: nothing is free, and the band is called known", c, a, y)
				}
				seen[b.kind]++
			}
		}
		if last != 450 {
			t.Fatalf("cell %v: the bands end at %v", c, last)
		}
	}
	for _, k := range []bandKind{shut, known, maybe, unlikely} {
		if seen[k] < 200 {
			t.Errorf("only %d looks at bands of kind %d", seen[k], k)
		}
	}
}

// Half a turn of a box about its own axis joins the faces of its cube: the two
// sides of a joint are the same turn of the box.
func TestBeyondIsTheSameTurn(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(8, 9))
	corners := solid.Box(r3.Box{Min: r3.Vec{X: -3, Y: -2, Z: -1}, Max: r3.Vec{X: 3, Y: 2, Z: 1}})
	for range 200 {
		k, end := r.IntN(3), float64(2*r.IntN(2)-1)
		var c Cell
		for i := range 3 {
			c.Lo[i] = 2*r.Float64() - 1
			c.Hi[i] = c.Lo[i]
		}
		c.Lo[k], c.Hi[k] = end, end
		for _, g := range []Glue{FourCubes, BoxCube} {
			lo, hi, cube := g.beyond(c, k, end)
			if lo != hi {
				t.Fatalf("a point came out as %v to %v", lo, hi)
			}
			from, _ := c.turns()
			here := corners.Moved(solid.Pose{Turn: Turn(c.Cube, from)})
			there := corners.Moved(solid.Pose{Turn: Turn(cube, lo)})
			for _, f := range there.Faces() {
				for _, v := range f {
					if d := r3.Dot(r3.Sub(here.Support(v), v), v); d < -1e-9 || d > 1e-9 {
						t.Fatalf("%v at %v: the box beyond is not where it was", g, c)
					}
				}
			}
		}
	}
}

// A ball gets through a gap that is wider than it and not through one that is
// narrower.
func TestFlood(t *testing.T) {
	t.Parallel()
	domain := r3.Box{Max: r3.Vec{X: 200, Y: 200, Z: 200}}
	end := r3.Box{Min: r3.Vec{X: 98, Y: 98, Z: 40}, Max: r3.Vec{X: 102, Y: 102, Z: 44}}
	well := func(gap float64) []r3.Box {
		return []r3.Box{
			{Min: r3.Vec{X: 0, Y: 0, Z: 0}, Max: r3.Vec{X: 200, Y: 200, Z: 10}},
			{Min: r3.Vec{X: 0, Y: 0, Z: 10}, Max: r3.Vec{X: 100 - gap/2, Y: 200, Z: 150}},
			{Min: r3.Vec{X: 100 + gap/2, Y: 0, Z: 10}, Max: r3.Vec{X: 200, Y: 200, Z: 150}},
			{Min: r3.Vec{X: 0, Y: 0, Z: 10}, Max: r3.Vec{X: 200, Y: 10, Z: 150}},
			{Min: r3.Vec{X: 0, Y: 190, Z: 10}, Max: r3.Vec{X: 200, Y: 200, Z: 150}},
			{Min: r3.Vec{X: 0, Y: 0, Z: 150}, Max: r3.Vec{X: 80, Y: 200, Z: 200}},
			{Min: r3.Vec{X: 118, Y: 0, Z: 150}, Max: r3.Vec{X: 200, Y: 200, Z: 200}},
		}
	}
	if _, shut := Flood(domain, end, well(50), 18, 2, 1e6); shut {
		t.Error("a ball of 36 mm is shown not to get through 38 mm, and it does")
	}
	if _, shut := Flood(domain, end, well(50), 22, 2, 1e6); !shut {
		t.Error("a ball of 44 mm is not shown to be locked in by 38 mm")
	}
}

func BenchmarkCover(b *testing.B) {
	body := boxBody(520, 2000, 230)
	hull := &Hull{
		Layers: []Layer{{-1, 1, []Rect{{-225, 225, -160, 160}}}},
		First:  math.Inf(-1), Last: math.Inf(1),
	}
	for b.Loop() {
		Cover(b.Context(), &body, BoxCube, hull, 0, 20000)
	}
}

// A way of a box through the one cube that half turns leave of all turns goes on as the
// thing does, by whichever of the four turns that look the same is near.
func TestNearestOfHalfTurns(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 1))
	for range 500 {
		to := quat.Number{Real: r.NormFloat64(), Imag: r.NormFloat64(), Jmag: r.NormFloat64(), Kmag: r.NormFloat64()}
		to = quat.Scale(1/quat.Abs(to), to)
		best := to
		for _, half := range []quat.Number{{Imag: 1}, {Jmag: 1}, {Kmag: 1}} {
			if q := quat.Mul(to, half); math.Abs(q.Real) > math.Abs(best.Real) {
				best = q
			}
		}
		const small = 1e-6
		var c Cell
		for i, v := range [3]float64{best.Imag, best.Jmag, best.Kmag} {
			c.Lo[i], c.Hi[i] = v/best.Real-small, v/best.Real+small
		}
		if off := solid.AngleBetween((&Search{Glue: BoxCube}).nearest(c, c.middle(), to), to); off > 1e-5 {
			t.Fatalf("%v: off by %v", to, off)
		}
	}
}
