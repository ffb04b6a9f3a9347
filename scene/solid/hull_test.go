package solid_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// counts returns the numbers of corners, edges and faces.
func counts(p *solid.Polyhedron) (corners, edges, faces int) {
	for _, f := range p.Faces() {
		faces++
		edges += len(f)
	}
	return len(p.Vertices()), edges / 2, faces
}

func TestHullOfKnownShapes(t *testing.T) {
	t.Parallel()
	cube := box(-1, -1, -1, 1, 1, 1)
	var ring, grid []r3.Vec
	for i := range 64 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 64)
		ring = append(ring, vec(100*cos, 100*sin, 0), vec(100*cos, 100*sin, 300))
	}
	for i := range 125 {
		grid = append(grid, vec(float64(i%5), float64(i/5%5), float64(i/25)))
	}
	inner := append(append([]r3.Vec{}, cube.Vertices()...), vec(0, 0, 0), vec(0.5, 0.2, 0.9), vec(1, 0, 0), vec(1, 1, 0), vec(1, 1, 1), vec(0, -1, 0))
	for name, c := range map[string]struct {
		points                []r3.Vec
		corners, edges, faces int
		volume                float64
	}{
		"tetrahedron": {[]r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}}, 4, 6, 4, 1.0 / 6},
		"cube":        {cube.Vertices(), 8, 12, 6, 8},
		"cube with points in it, on its faces, edges and corners": {inner, 8, 12, 6, 8},
		"grid":                  {grid, 8, 12, 6, 64},
		"octahedron":            {[]r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}, 6, 12, 8, 4.0 / 3},
		"pyramid":               {[]r3.Vec{{}, {X: 2}, {X: 2, Y: 2}, {Y: 2}, {X: 1, Y: 1, Z: 3}}, 5, 8, 5, 4},
		"prism of 64 sides":     {ring, 128, 192, 66, 32 * 1e4 * math.Sin(2*math.Pi/64) * 300},
		"plate of a micrometre": {box(0, 0, 0, 2000, 1000, 1e-3).Vertices(), 8, 12, 6, 2000},
		"far from the origin":   {box(9e4, 9e4, 9e4, 9e4+1, 9e4+1, 9e4+1).Vertices(), 8, 12, 6, 1},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRandom(20)
			for i := range 20 {
				pose := solid.Rest
				if i > 0 {
					pose = solid.Pose{Turn: r.turn(), Shift: r.vec(100)}
				}
				points := make([]r3.Vec, len(c.points))
				for j, k := range r.Perm(len(points)) {
					points[j] = pose.Apply(c.points[k])
				}
				p := hull(t, points...)
				corners, edges, faces := counts(p)
				if corners != c.corners || edges != c.edges || faces != c.faces {
					t.Errorf("turn %d: %d corners, %d edges, %d faces; want %d, %d, %d", i, corners, edges, faces, c.corners, c.edges, c.faces)
				}
				if v := p.Volume(); math.Abs(v-c.volume) > 1e-6*c.volume {
					t.Errorf("turn %d: volume %v, want %v", i, v, c.volume)
				}
			}
		})
	}
}

func TestHullErrors(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for name, points := range map[string][]r3.Vec{
		"none": nil, "one": {{X: 1}}, "one many times": {{X: 1}, {X: 1}, {X: 1}, {X: 1}, {X: 1}},
		"a line":             {{}, {X: 1, Y: 1, Z: 1}, {X: 2, Y: 2, Z: 2}, {X: 3, Y: 3, Z: 3}},
		"a rectangle":        {{}, {X: 1}, {Y: 2}, {X: 1, Y: 2}},
		"a slanted triangle": {{X: 1}, {Y: 1}, {Z: 1}, {X: 1.0 / 3, Y: 1.0 / 3, Z: 1.0 / 3}, {X: 0.5, Y: 0.5}},
	} {
		if p, err := solid.Hull(points); !errors.Is(err, solid.ErrFlat) {
			t.Errorf("%s: %v, %v; want %v", name, p, err, solid.ErrFlat)
		}
	}
	for name, v := range map[string]float64{"not a number": nan, "infinite": inf, "overflowing": math.MaxFloat64} {
		if p, err := solid.Hull([]r3.Vec{{}, {X: v}, {Y: 1}, {Z: 1}, {X: -v}}); err == nil {
			t.Errorf("%s: no error but %v", name, p.Vertices())
		}
	}
}

// TestHullIsConvexAndTight draws clouds: every point is inside, every corner is
// a point, the faces are flat, convex and closed, and the volume is that of the
// tetrahedra between the faces and a point inside.
func TestHullIsConvexAndTight(t *testing.T) {
	t.Parallel()
	r := newRandom(21)
	for i := range 1500 {
		points := r.cloud(4 + r.IntN(60))
		switch i % 4 {
		case 1: // on a ball: all are corners
			for j := range points {
				points[j] = r3.Scale(50, r.direction())
			}
		case 2: // on a coarse grid: many in one plane
			for j := range points {
				points[j] = vec(float64(r.IntN(4)), float64(r.IntN(4)), float64(r.IntN(4)))
			}
		case 3: // what a box sweeps in a small turn
			points = nil
			b := kinds[0].make(r)
			turn := solid.Turned(vec(0, 0, 1), 0.1*r.Float64())
			for _, s := range []solid.Solid{b, b.Moved(solid.Pose{Turn: turn}), b.Moved(solid.Pose{Turn: turn, Shift: vec(0, 0, r.size())})} {
				points = append(points, s.(*solid.Polyhedron).Vertices()...)
			}
			p := r.pose(100)
			for j := range points {
				points[j] = p.Apply(points[j])
			}
		}
		p, err := solid.Hull(points)
		if errors.Is(err, solid.ErrFlat) && i%4 == 2 {
			continue
		}
		if err != nil {
			t.Fatalf("%v: %v", points, err)
		}
		size := r3.Norm(p.Bounds().Size())
		eps := 1e-10 * size
		given := map[r3.Vec]bool{}
		for _, q := range points {
			given[q] = true
			if h := height(t, p, q); h > eps {
				t.Errorf("hull of %v: point %v is %g outside", points, q, h)
			}
		}
		for _, v := range p.Vertices() {
			if !given[v] {
				t.Errorf("hull of %v: corner %v is no point", points, v)
			}
		}
		for _, f := range p.Faces() {
			n := newell(f)
			for j, a := range f {
				b, c := f[(j+1)%len(f)], f[(j+2)%len(f)]
				if h := r3.Dot(n, r3.Sub(a, f[0])); math.Abs(h) > 4*eps {
					t.Errorf("hull of %v: corner %v is %g off its face", points, a, h)
				}
				if turn := r3.Dot(n, r3.Cross(r3.Sub(b, a), r3.Sub(c, b))); turn < -eps*size {
					t.Errorf("hull of %v: face %v is not convex", points, f)
				}
			}
		}
		if corners, edges, faces := counts(p); corners-edges+faces != 2 {
			t.Errorf("hull of %v: %d corners, %d edges, %d faces do not close", points, corners, edges, faces)
		}
		if t.Failed() {
			t.FailNow()
		}
	}
}

// TestHullOfTetrahedra compares volume and centroid with the closed forms.
func TestHullOfTetrahedra(t *testing.T) {
	t.Parallel()
	r := newRandom(22)
	for range 2000 {
		p := r.cloud(4)
		h, err := solid.Hull(p)
		if err != nil {
			t.Fatal(err)
		}
		volume := math.Abs(r3.Dot(r3.Sub(p[1], p[0]), r3.Cross(r3.Sub(p[2], p[0]), r3.Sub(p[3], p[0])))) / 6
		centroid := r3.Scale(0.25, r3.Add(r3.Add(p[0], p[1]), r3.Add(p[2], p[3])))
		size := r3.Norm(h.Bounds().Size())
		if math.Abs(h.Volume()-volume) > 1e-12*size*size*size {
			t.Errorf("%v: volume %v, want %v", p, h.Volume(), volume)
		}
		// Of a flat one the centroid is worth as much as its volume.
		if off := r3.Norm(r3.Sub(h.Centroid(), centroid)); off*volume > 1e-12*size*size*size*size {
			t.Errorf("%v: centroid %v, want %v", p, h.Centroid(), centroid)
		}
	}
}

// TestClip cuts polyhedra in two: the parts are on their sides, make up the
// whole, and share the cut.
func TestClip(t *testing.T) {
	t.Parallel()
	r := newRandom(23)
	cuts := 0
	for i := range 1000 {
		p := kinds[i%2].make(r).Moved(r.pose(100)).(*solid.Polyhedron)
		n := r.direction()
		if r.IntN(3) == 0 { // along a face
			f := p.Faces()
			n = newell(f[r.IntN(len(f))])
		}
		lo, hi := -r3.Dot(p.Support(r3.Scale(-1, n)), r3.Scale(-1, n)), r3.Dot(p.Support(n), n)
		at := lo + (hi-lo)*r.Float64()
		a, okA := p.Clip(solid.Plane{Normal: n, Offset: at})
		b, okB := p.Clip(solid.Plane{Normal: r3.Scale(-1, n), Offset: -at})
		if !okA || !okB {
			if min(at-lo, hi-at) > 1e-6*(hi-lo) {
				t.Errorf("%v cut at %v along %v: a part is missing", p.Vertices(), at, n)
			}
			continue
		}
		cuts++
		size := r3.Norm(p.Bounds().Size())
		if sum := a.Volume() + b.Volume(); math.Abs(sum-p.Volume()) > 1e-9*size*size*size {
			t.Errorf("parts of %v and %v make up %v", a.Volume(), b.Volume(), p.Volume())
		}
		for _, c := range []struct {
			part *solid.Polyhedron
			n    r3.Vec
			at   float64
		}{{a, n, at}, {b, r3.Scale(-1, n), -at}} {
			if over := r3.Dot(c.part.Support(c.n), c.n) - c.at; math.Abs(over) > 1e-10*size {
				t.Errorf("a part ends %g off the cut", over)
			}
			for _, v := range c.part.Vertices() {
				if h := height(t, p, v); h > 1e-10*size {
					t.Errorf("a part's corner is %g outside of the whole", h)
				}
			}
		}
	}
	if cuts < 900 {
		t.Errorf("only %d cuts", cuts)
	}

	cube := box(0, 0, 0, 2, 2, 2)
	for name, c := range map[string]struct {
		plane solid.Plane
		want  float64 // volume
	}{
		"half":               {solid.Plane{Normal: vec(0, 0, 1), Offset: 1}, 4},
		"normal of length 5": {solid.Plane{Normal: vec(0, 0, 5), Offset: 5}, 4},
		"a corner off":       {solid.Plane{Normal: vec(1, 1, 1), Offset: 5}, 8 - 1.0/6},
		"a corner left":      {solid.Plane{Normal: vec(1, 1, 1), Offset: 1}, 1.0 / 6},
		"along a diagonal":   {solid.Plane{Normal: vec(1, -1, 0), Offset: 0}, 4},
		"nothing off":        {solid.Plane{Normal: vec(0, 0, 1), Offset: 3}, 8},
		"nothing but a face": {solid.Plane{Normal: vec(0, 0, -1), Offset: 0}, 8},
		"all off":            {solid.Plane{Normal: vec(0, 0, 1), Offset: -1}, 0},
		"a face left":        {solid.Plane{Normal: vec(0, 0, 1), Offset: 0}, 0},
	} {
		got, ok := cube.Clip(c.plane)
		if ok != (c.want > 0) {
			t.Errorf("%s: something left: %v", name, ok)
		} else if ok && math.Abs(got.Volume()-c.want) > 1e-12 {
			t.Errorf("%s: %v left, want %v", name, got.Volume(), c.want)
		}
	}
}

func BenchmarkHull(b *testing.B) {
	r := newRandom(24)
	swept := func(poses int) []r3.Vec {
		var points []r3.Vec
		for i := range poses {
			turn := solid.Turned(vec(1, 2, 3), 0.02*float64(i))
			points = append(points, box(0, 0, 0, 300, 200, 100).Moved(solid.Pose{Turn: turn}).(*solid.Polyhedron).Vertices()...)
		}
		return points
	}
	for _, c := range []struct {
		name   string
		points []r3.Vec
	}{
		{"box", swept(1)},
		{"box swept in two poses", swept(2)},
		{"box swept in eight poses", swept(8)},
		{"cloud of 100", r.cloud(100)},
		{"prism of 64 sides", (&solid.Cylinder{B: vec(0, 0, 9), Radius: 5}).Outer(64).Vertices()},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := solid.Hull(c.points); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
