package solid_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func box(x0, y0, z0, x1, y1, z1 float64) *solid.Polyhedron {
	return solid.Box(r3.Box{Min: vec(x0, y0, z0), Max: vec(x1, y1, z1)})
}

// random draws solids and poses from a fixed seed.
type random struct{ *rand.Rand }

func newRandom(seed uint64) random { return random{rand.New(rand.NewPCG(seed, 1))} }

// within returns a coordinate between −s and s.
func (r random) within(s float64) float64 { return (2*r.Float64() - 1) * s }

func (r random) vec(s float64) r3.Vec { return vec(r.within(s), r.within(s), r.within(s)) }

// size spreads from fractions of a millimetre to metres.
func (r random) size() float64 { return 30 * math.Exp(r.NormFloat64()) }

func (r random) turn() quat.Number {
	q := quat.Number{Real: r.NormFloat64(), Imag: r.NormFloat64(), Jmag: r.NormFloat64(), Kmag: r.NormFloat64()}
	return quat.Scale(1/quat.Abs(q), q)
}

func (r random) direction() r3.Vec {
	return r3.Unit(vec(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()))
}

// pose turns every way; one in four leaves the axes as they are.
func (r random) pose(s float64) solid.Pose {
	p := solid.Pose{Turn: r.turn(), Shift: r.vec(s)}
	if r.IntN(4) == 0 {
		p.Turn = solid.Rest.Turn
	}
	return p
}

func (r random) cloud(n int) []r3.Vec {
	s := r.size()
	points := make([]r3.Vec, n)
	for i := range points {
		points[i] = r.vec(s)
	}
	return points
}

// kinds makes one solid of each kind.
var kinds = []struct {
	name string
	make func(r random) solid.Solid
}{
	{"box", func(r random) solid.Solid { return box(0, 0, 0, r.size(), r.size(), r.size()) }},
	{"hull", func(r random) solid.Solid {
		p, err := solid.Hull(r.cloud(5 + r.IntN(30)))
		if err != nil {
			panic(err)
		}
		return p
	}},
	{"cylinder", func(r random) solid.Solid { return &solid.Cylinder{B: vec(0, 0, r.size()), Radius: r.size()} }},
	{"cone", func(r random) solid.Solid {
		return &solid.Cone{B: vec(0, 0, r.size()), RadiusA: r.size(), RadiusB: max(0, r.size()-10)}
	}},
	{"capsule", func(r random) solid.Solid { return &solid.Capsule{B: vec(0, 0, r.size()), Radius: r.size()} }},
	{"ball", func(r random) solid.Solid { return &solid.Ball{Radius: r.size()} }},
}

// height returns how far p is outside of s, or minus how far it is inside, as
// its definition has it; outside it may be too small, but not zero or less.
func height(t *testing.T, s solid.Solid, p r3.Vec) float64 {
	t.Helper()
	discs := func(a, b r3.Vec, ra, rb float64) float64 {
		axis := r3.Sub(b, a)
		l := r3.Norm(axis)
		axis = r3.Scale(1/l, axis)
		d := r3.Sub(p, a)
		z := r3.Dot(d, axis)
		y := r3.Norm(r3.Sub(d, r3.Scale(z, axis)))
		return max(-z, z-l, ((y-ra)*l+z*(ra-rb))/math.Hypot(l, ra-rb))
	}
	switch s := s.(type) {
	case *solid.Polyhedron:
		out := math.Inf(-1)
		for _, f := range s.Faces() {
			out = max(out, r3.Dot(newell(f), r3.Sub(p, f[0])))
		}
		return out
	case *solid.Cylinder:
		return discs(s.A, s.B, s.Radius, s.Radius)
	case *solid.Cone:
		return discs(s.A, s.B, s.RadiusA, s.RadiusB)
	case *solid.Capsule:
		d := r3.Sub(s.B, s.A)
		k := min(1, max(0, r3.Dot(r3.Sub(p, s.A), d)/r3.Norm2(d)))
		return r3.Norm(r3.Sub(p, r3.Add(s.A, r3.Scale(k, d)))) - s.Radius
	case *solid.Ball:
		return r3.Norm(r3.Sub(p, s.Centre)) - s.Radius
	}
	t.Fatalf("no definition of %T", s)
	return math.NaN()
}

// newell returns the unit normal of a polygon, by the method of Newell, as
// described by Sutherland, Sproull and Schumacker, ACM Computing Surveys 6 (1974).
func newell(f []r3.Vec) r3.Vec {
	var n r3.Vec
	for i, p := range f {
		n = r3.Add(n, r3.Cross(r3.Sub(p, f[0]), r3.Sub(f[(i+1)%len(f)], f[0])))
	}
	return r3.Unit(n)
}

// TestSupport holds the support functions against points of the solids.
func TestSupport(t *testing.T) {
	t.Parallel()
	for i, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel()
			r := newRandom(uint64(200 + i))
			for range 100 {
				s := k.make(r).Moved(r.pose(200))
				size, faces := r3.Norm(s.Bounds().Size()), s.Faces()
				for range 20 {
					d := r3.Scale(r.size(), r.direction())
					if r.IntN(3) == 0 { // straight along the solid's own faces
						d = newell(faces[r.IntN(len(faces))])
					}
					p := s.Support(d)
					if h := height(t, s, p); math.Abs(h) > 1e-11*size {
						t.Fatalf("%#v: support along %v is %g off the surface", s, d, h)
					}
					for _, f := range faces {
						for _, q := range f {
							if over := r3.Dot(r3.Sub(q, p), r3.Unit(d)); over > 1e-11*size {
								t.Fatalf("%#v: %v is %g farther along %v than the support", s, q, over, d)
							}
						}
					}
				}
			}
		})
	}
}

// TestFaces holds the faces of every kind: they close the solid, face outward,
// and enclose its volume about its centroid.
func TestFaces(t *testing.T) {
	t.Parallel()
	for i, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel()
			r := newRandom(uint64(300 + i))
			for range 50 {
				s := k.make(r).Moved(r.pose(200))
				faces := s.Faces()
				type edge struct{ from, to r3.Vec }
				edges := map[edge]int{}
				var volume float64
				var first r3.Vec
				o := s.Centroid()
				for _, f := range faces {
					if h := r3.Dot(newell(f), r3.Sub(o, f[0])); h >= 0 {
						t.Fatalf("%#v: face %v looks inward", s, f)
					}
					for i, p := range f {
						edges[edge{p, f[(i+1)%len(f)]}]++
						if i > 1 {
							a, b, c := r3.Sub(f[0], o), r3.Sub(f[i-1], o), r3.Sub(p, o)
							v := r3.Dot(a, r3.Cross(b, c)) / 6
							volume += v
							first = r3.Add(first, r3.Scale(v/4, r3.Add(a, r3.Add(b, c))))
						}
					}
				}
				for e, n := range edges {
					if n != 1 || edges[edge{e.to, e.from}] != 1 {
						t.Fatalf("%#v: edge %v has no face across", s, e)
					}
				}
				// Drawn with 32 sides or more, a round solid loses less than 2 %.
				if volume > s.Volume()*(1+1e-9) || volume < 0.98*s.Volume() {
					t.Errorf("%#v: faces enclose %g of %g", s, volume, s.Volume())
				}
				if off := r3.Norm(first) / volume; off > 0.01*r3.Norm(s.Bounds().Size()) {
					t.Errorf("%#v: centroid is off by %g", s, off)
				}
			}
		})
	}
}

// TestCentroid has the centroids and volumes of textbooks.
func TestCentroid(t *testing.T) {
	t.Parallel()
	tetrahedron, err := solid.Hull([]r3.Vec{{}, {X: 4}, {Y: 8}, {Z: 12}})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		s        solid.Solid
		volume   float64
		centroid r3.Vec
	}{
		"box far away":       {box(1e5, 1e5, 1e5, 1e5+2, 1e5+4, 1e5+6), 48, vec(1e5+1, 1e5+2, 1e5+3)},
		"tetrahedron":        {tetrahedron, 64, vec(1, 2, 3)},
		"prism":              {solid.Prism([]r3.Vec{{}, {X: 3}, {Y: 3}}, 1, 3), 9, vec(1, 1, 2)},
		"cylinder":           {&solid.Cylinder{A: vec(1, 0, 0), B: vec(5, 0, 0), Radius: 2}, 16 * math.Pi, vec(3, 0, 0)},
		"cone to a point":    {&solid.Cone{B: vec(0, 0, 8), RadiusA: 3}, 24 * math.Pi, vec(0, 0, 2)},
		"cone from a point":  {&solid.Cone{B: vec(0, 0, 8), RadiusB: 3}, 24 * math.Pi, vec(0, 0, 6)},
		"cone as a cylinder": {&solid.Cone{B: vec(0, 0, 8), RadiusA: 3, RadiusB: 3}, 72 * math.Pi, vec(0, 0, 4)},
		"capsule":            {&solid.Capsule{B: vec(0, 6, 0), Radius: 3}, 90 * math.Pi, vec(0, 3, 0)},
		"ball":               {&solid.Ball{Centre: vec(1, 2, 3), Radius: 3}, 36 * math.Pi, vec(1, 2, 3)},
	} {
		if v := c.s.Volume(); math.Abs(v-c.volume) > 1e-9*c.volume {
			t.Errorf("%s: volume %v, want %v", name, v, c.volume)
		}
		if p := c.s.Centroid(); r3.Norm(r3.Sub(p, c.centroid)) > 1e-9*(1+r3.Norm(c.centroid)) {
			t.Errorf("%s: centroid %v, want %v", name, p, c.centroid)
		}
	}
}

// TestMovedAgain turns twice as once by the product.
func TestMovedAgain(t *testing.T) {
	t.Parallel()
	r := newRandom(4)
	for range 200 {
		p, q := r.pose(100), r.pose(100)
		both := solid.Pose{Turn: quat.Mul(q.Turn, p.Turn), Shift: q.Apply(p.Shift)}
		for _, k := range kinds {
			s := k.make(r)
			a, b := s.Moved(p).Moved(q), s.Moved(both)
			d := r.direction()
			if x, y := r3.Dot(a.Support(d), d), r3.Dot(b.Support(d), d); math.Abs(x-y) > 1e-9 {
				t.Errorf("%s: moved twice it reaches %v along %v, at once %v", k.name, x, d, y)
			}
		}
	}
}

func TestBoundsOf(t *testing.T) {
	t.Parallel()
	got := solid.BoundsOf(box(0, 0, 0, 1, 1, 1), &solid.Cylinder{A: vec(5, 0, 0), B: vec(5, 9, 0), Radius: 2}, &solid.Ball{Centre: vec(0, 0, -3), Radius: 1})
	want := r3.Box{Min: vec(-1, -1, -4), Max: vec(7, 9, 2)}
	if got != want {
		t.Errorf("got %v, want %v", got, want)
	}
	if b := solid.BoundsOf(); b != (r3.Box{}) {
		t.Errorf("nothing has bounds %v", b)
	}
	if l := solid.Extent(box(0, 0, 0, 3, 4, 5), vec(0.6, 0.8, 0)); math.Abs(l-5) > 1e-12 {
		t.Errorf("extent along the diagonal of 3 by 4 is %v", l)
	}
}

// TestOuterInner holds the prisms against the cylinder's support function.
func TestOuterInner(t *testing.T) {
	t.Parallel()
	for _, n := range []int{3, 4, 7, 64} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			t.Parallel()
			r := newRandom(uint64(500 + n))
			for range 100 {
				c := &solid.Cylinder{A: r.vec(100), B: r.vec(100), Radius: r.size()}
				outer, inner := c.Outer(n), c.Inner(n)
				if len(outer.Faces()) != n+2 || len(inner.Faces()) != n+2 {
					t.Fatalf("%d and %d faces", len(outer.Faces()), len(inner.Faces()))
				}
				cos := math.Cos(math.Pi / float64(n))
				axis := r3.Unit(r3.Sub(c.B, c.A))
				reach := func(s solid.Solid, d r3.Vec) float64 { return r3.Dot(s.Support(d), d) }
				for range 50 {
					d := r.direction()
					round, out, in := reach(c, d), reach(outer, d), reach(inner, d)
					across := c.Radius * r3.Norm(r3.Cross(axis, d))
					const eps = 1e-9
					if out < round-eps || out > round+across*(1/cos-1)+eps {
						t.Errorf("outer prism reaches %v where the cylinder reaches %v", out, round)
					}
					if in > round+eps || in < round-across*(1-cos)-eps {
						t.Errorf("inner prism reaches %v where the cylinder reaches %v", in, round)
					}
				}
			}
		})
	}
}
