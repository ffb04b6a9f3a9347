package solid_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

func hull(t *testing.T, points ...r3.Vec) *solid.Polyhedron {
	t.Helper()
	p, err := solid.Hull(points)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestDistanceClosedForm(t *testing.T) {
	t.Parallel()
	cube := box(-1, -1, -1, 1, 1, 1)
	quarter := func(axis r3.Vec, s solid.Solid) solid.Solid {
		return s.Moved(solid.Pose{Turn: solid.Turned(axis, math.Pi/4)})
	}
	shifted := func(x, y, z float64, s solid.Solid) solid.Solid {
		p := solid.Rest
		p.Shift = vec(x, y, z)
		return s.Moved(p)
	}
	ball := func(x, y, z, r float64) solid.Solid { return &solid.Ball{Centre: vec(x, y, z), Radius: r} }
	cylinder := func(a, b r3.Vec, r float64) solid.Solid { return &solid.Cylinder{A: a, B: b, Radius: r} }
	capsule := func(a, b r3.Vec, r float64) solid.Solid { return &solid.Capsule{A: a, B: b, Radius: r} }
	up := cylinder(vec(0, 0, 0), vec(0, 0, 4), 1)
	top := &solid.Cone{B: vec(0, 0, 4), RadiusA: 3}
	r2, r3rd := math.Sqrt2, math.Sqrt(3)
	for name, c := range map[string]struct {
		a, b   solid.Solid
		dist   float64
		normal r3.Vec // zero where there are several
	}{
		"boxes face to face":               {cube, box(3, -1, -1, 5, 1, 1), 2, vec(1, 0, 0)},
		"boxes edge to edge":               {cube, box(4, 5, -1, 6, 7, 1), 5, vec(0.6, 0.8, 0)},
		"boxes corner to corner":           {cube, box(2, 3, 3, 4, 4, 4), 3, vec(1.0/3, 2.0/3, 2.0/3)},
		"boxes that share a face":          {cube, box(1, -1, -1, 3, 1, 1), 0, vec(1, 0, 0)},
		"boxes that share half a face":     {cube, box(1, 0, -3, 3, 5, 3), 0, vec(1, 0, 0)},
		"boxes that share an edge":         {cube, box(1, 1, -1, 3, 3, 1), 0, r3.Vec{}},
		"boxes that share a corner":        {cube, box(1, 1, 1, 3, 3, 3), 0, r3.Vec{}},
		"boxes overlapping":                {cube, box(0.5, -3, -2, 5, 1, 1), -0.5, vec(1, 0, 0)},
		"a box in a box":                   {box(0, 0, 0, 10, 10, 10), box(4, 4, 1, 5, 5, 2), -2, vec(0, 0, -1)},
		"one box twice":                    {box(0, 0, 0, 3, 2, 4), box(0, 0, 0, 3, 2, 4), -2, r3.Vec{}},
		"box under a box on its edge":      {cube, shifted(0, 0, 1+r2+0.5, quarter(vec(1, 0, 0), cube)), 0.5, vec(0, 0, 1)},
		"box pierced by the edge of one":   {cube, shifted(0, 0, 1+r2-0.5, quarter(vec(1, 0, 0), cube)), -0.5, vec(0, 0, 1)},
		"crossed edges":                    {quarter(vec(0, 1, 0), cube), shifted(0, 0, 2*r2+1, quarter(vec(1, 0, 0), cube)), 1, vec(0, 0, 1)},
		"crossed edges that touch":         {quarter(vec(0, 1, 0), cube), shifted(0, 0, 2*r2, quarter(vec(1, 0, 0), cube)), 0, vec(0, 0, 1)},
		"crossed edges, cutting in":        {quarter(vec(0, 1, 0), cube), shifted(0, 0, 2*r2-0.1, quarter(vec(1, 0, 0), cube)), -0.1, vec(0, 0, 1)},
		"balls":                            {ball(0, 0, 0, 1), ball(6, 8, 0, 2), 7, vec(0.6, 0.8, 0)},
		"balls of one centre":              {ball(1, 2, 3, 1), ball(1, 2, 3, 2), -3, r3.Vec{}},
		"ball over a face":                 {ball(0.3, 0.4, 3, 1), cube, 1, vec(0, 0, -1)},
		"ball at a corner":                 {ball(2, 3, 3, 1), cube, 2, vec(-1.0/3, -2.0/3, -2.0/3)},
		"ball in a box":                    {ball(0.5, 0, 0.25, 0.1), cube, -0.6, vec(-1, 0, 0)},
		"ball in a hull":                   {ball(0.1, 0.1, 0.1, 0.1), hull(t, vec(0, 0, 0), vec(1, 0, 0), vec(0, 1, 0), vec(0, 0, 1)), -0.2, r3.Vec{}},
		"ball beside a cylinder":           {ball(4, 0, 1, 1), up, 2, vec(-1, 0, 0)},
		"ball over a cylinder":             {ball(0.5, 0, 6, 1), up, 1, vec(0, 0, -1)},
		"ball at a cylinder's rim":         {ball(4, 0, 8, 1), up, 4, vec(-0.6, 0, -0.8)},
		"ball on a cylinder's axis":        {ball(0, 0, 2, 0.5), up, -1.5, r3.Vec{}},
		"ball in a cylinder, near its end": {ball(0, 0, 3.8, 0.1), up, -0.3, vec(0, 0, -1)},
		"ball over a cone's slant":         {ball(3+2*0.8, 0, 2*0.6, 1), top, 1, vec(-0.8, 0, -0.6)},
		"ball at a cone's point":           {ball(0, 0, 6, 1), top, 1, vec(0, 0, -1)},
		"ball at a cone's rim":             {ball(7, 0, -3, 1), top, 4, vec(-0.8, 0, 0.6)},
		"ball in a cone":                   {ball(0, 0, 1, 0.5), top, -1.5, vec(0, 0, 1)},
		"capsules crossed":                 {capsule(vec(-5, 0, 0), vec(5, 0, 0), 1), capsule(vec(0, -5, 4), vec(0, 5, 4), 1), 2, vec(0, 0, 1)},
		"capsules through each other":      {capsule(vec(-5, 0, 0), vec(5, 0, 0), 1), capsule(vec(0, -5, 0), vec(0, 5, 0), 1), -2, r3.Vec{}},
		"capsules side by side":            {capsule(vec(0, 0, 0), vec(9, 0, 0), 1), capsule(vec(5, 3, 0), vec(20, 3, 0), 1), 1, vec(0, 1, 0)},
		"capsules on one line":             {capsule(vec(0, 0, 0), vec(9, 0, 0), 1), capsule(vec(13, 0, 0), vec(20, 0, 0), 1), 2, vec(1, 0, 0)},
		"capsules along each other":        {capsule(vec(0, 0, 0), vec(9, 0, 0), 1), capsule(vec(5, 0, 0), vec(20, 0, 0), 1), -2, r3.Vec{}},
		"capsule end to a face":            {capsule(vec(0, 0, 4), vec(2, 0, 9), 1), cube, 2, vec(0, 0, -1)},
		"capsule through a box":            {capsule(vec(-9, 0, 0), vec(9, 0, 0), 0.5), box(-4, -1, -2, 4, 1, 2), -1.5, r3.Vec{}},
		"cylinders side by side":           {up, cylinder(vec(6, 8, 1), vec(6, 8, 9), 2), 7, vec(0.6, 0.8, 0)},
		"cylinders above each other":       {up, cylinder(vec(1, 0, 9), vec(1, 0, 6), 1), 2, vec(0, 0, 1)},
		"cylinders rim to rim":             {up, cylinder(vec(6, 0, 8), vec(6, 0, 9), 2), 5, vec(0.6, 0, 0.8)},
		"cylinders on one axis":            {up, cylinder(vec(0, 0, 1), vec(0, 0, 2), 5), -2, r3.Vec{}},
		"cylinders that touch":             {up, cylinder(vec(3, 0, 1), vec(3, 0, 2), 2), 0, vec(1, 0, 0)},
		"cylinder standing on one":         {up, cylinder(vec(0.5, 0, 4), vec(0.5, 0, 5), 2), 0, vec(0, 0, 1)},
		"cylinders pushed in":              {up, cylinder(vec(2.5, 0, 1), vec(2.5, 0, 2), 2), -0.5, vec(1, 0, 0)},
		"cylinders crossed":                {up, cylinder(vec(4, -9, 2), vec(4, 9, 2), 2), 1, vec(1, 0, 0)},
		"cylinders crossed, cutting in":    {up, cylinder(vec(2.5, -9, 2), vec(2.5, 9, 2), 2), -0.5, vec(1, 0, 0)},
		"cylinder beside a box":            {up, box(3, -5, 1, 4, 5, 2), 2, vec(1, 0, 0)},
		"cylinder at a box's edge":         {up, box(3, 4, 1, 4, 5, 2), 4, vec(0.6, 0.8, 0)},
		"cylinder at a box's corner":       {up, box(3, 4, 7, 4, 5, 8), 5, vec(0.48, 0.64, 0.6)},
		"cylinder on a box":                {up, box(-5, -5, -1, 5, 5, 0), 0, vec(0, 0, -1)},
		"cylinder in a box":                {up, box(-5, -6, -7, 3, 5, 5), -4, vec(-1, 0, 0)},
		"cylinder lying over a box":        {cylinder(vec(-9, 0, 4), vec(9, 0, 4), 2), cube, 1, vec(0, 0, -1)},
		"cylinder lying on a box":          {cylinder(vec(-9, 0, 3), vec(9, 0, 3), 2), cube, 0, vec(0, 0, -1)},
		"cylinder leaning over a box": {
			cylinder(vec(0, 0, 1+r2), vec(5, 0, 6+r2), 1), box(-9, -9, -1, 9, 9, 1), r2 / 2, vec(0, 0, -1),
		},
		"cylinder leaning into a box": {
			cylinder(vec(0, 0, 0.2+r2/2), vec(5, 0, 5.2+r2/2), 1), box(-9, -9, -1, 9, 9, 1), -0.8, vec(0, 0, -1),
		},
		"cone's point under a box":   {top, box(-9, -9, 6, 9, 9, 7), 2, vec(0, 0, 1)},
		"cone's slant beside a ball": {top, ball(3+3*0.8, 0, 3*0.6, 1), 2, vec(0.8, 0, 0.6)},
		"corner to a slanted face": {
			hull(t, vec(3, 0, 0), vec(0, 3, 0), vec(0, 0, 3), vec(3, 3, 3)), box(-1, -1, -1, 0, 0, 0), r3rd, vec(-1/r3rd, -1/r3rd, -1/r3rd),
		},
		"plates of a micrometre a metre apart":      {box(0, 0, 0, 2000, 2000, 1e-3), box(0, 0, 1000, 2000, 2000, 1000.001), 999.999, vec(0, 0, 1)},
		"plates of a micrometre that touch":         {box(0, 0, 0, 2000, 2000, 1e-3), box(700, 300, 1e-3, 2700, 2300, 2e-3), 0, vec(0, 0, 1)},
		"plates of a micrometre in each other":      {box(0, 0, 0, 2000, 2000, 1e-3), box(700, 300, 0.5e-3, 2700, 2300, 1.5e-3), -0.5e-3, vec(0, 0, 1)},
		"plates that cross":                         {box(0, 0, 0, 2000, 2000, 1e-3), box(1000, 0, -500, 1000.001, 2000, 500), -500, vec(0, 0, -1)},
		"cylinder through a plate of a micrometre":  {cylinder(vec(0, 0, -300), vec(0, 100, 300), 50), box(-900, -900, 0, 900, 900, 1e-3), 0, r3.Vec{}},
		"a nanometre between two faces of a metre":  {box(0, 0, 0, 1000, 1000, 1000), box(1000.000001, 0, 0, 2000, 1000, 1000), 1e-6, vec(1, 0, 0)},
		"a nanometre between a cylinder and a face": {cylinder(vec(0, 0, 0), vec(0, 0, 1000), 400), box(400.000001, -500, 0, 900, 500, 1000), 1e-6, vec(1, 0, 0)},
	} {
		if name == "cylinder through a plate of a micrometre" {
			// The shortest way out is along the plate's normal, past the lower
			// rim: half of the cylinder's extent along it.
			c.dist = math.Max(
				solid.Separation(c.a, c.b, vec(0, 0, 1)), solid.Separation(c.a, c.b, vec(0, 0, -1)))
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			check := func(a, b solid.Solid, normal r3.Vec) {
				g := solid.Distance(a, b)
				if math.Abs(g.Dist-c.dist) > 1e-9 || g.Low > c.dist+1e-9 || g.High < c.dist-1e-9 || g.High-g.Low > 2e-8 {
					t.Errorf("distance %.12g in %.12g … %.12g, want %.12g", g.Dist, g.Low, g.High, c.dist)
				}
				if normal != (r3.Vec{}) && !near(g.Normal, normal, 1e-5) {
					t.Errorf("normal %v, want %v", g.Normal, normal)
				}
				witnesses(t, a, b, g)
			}
			check(c.a, c.b, c.normal)
			check(c.b, c.a, r3.Scale(-1, c.normal))
		})
	}
}

// witnesses checks that the answer proves itself: the witness points lie on
// their solids, their distance is the answer, and the support functions along
// the normal give it too.
func witnesses(t *testing.T, a, b solid.Solid, g solid.Gap) {
	t.Helper()
	size := r3.Norm(a.Bounds().Size()) + r3.Norm(b.Bounds().Size()) + r3.Norm(g.OnA)
	eps := 1e-9 * size // of what converges
	exact := 1e-11 * size
	for _, w := range []struct {
		s solid.Solid
		p r3.Vec
	}{{a, g.OnA}, {b, g.OnB}} {
		h := height(t, w.s, w.p)
		if g.Dist > 0 && math.Abs(h) > exact || g.Dist <= 0 && math.Abs(h) > eps {
			t.Errorf("witness point %v is %g off %#v", w.p, h, w.s)
		}
	}
	if d := r3.Norm(r3.Sub(g.OnB, g.OnA)); math.Abs(d-math.Abs(g.Dist)) > eps {
		t.Errorf("witness points are %.12g apart, not %.12g:\n%#v\n%#v", d, g.Dist, a, b)
	}
	if l := r3.Norm(g.Normal); math.Abs(l-1) > 1e-12 {
		t.Errorf("normal %v is %v long", g.Normal, l)
	}
	if s := solid.Separation(a, b, g.Normal); math.Abs(s-g.Low) > exact || g.Dist-s > eps {
		t.Errorf("the normal %v separates by %.12g, not %.12g:\n%#v\n%#v", g.Normal, s, g.Dist, a, b)
	}
	if !(g.Low <= g.Dist && g.Dist <= g.High) && !(g.High-g.Low < exact) {
		t.Errorf("%.12g is not in %.12g … %.12g", g.Dist, g.Low, g.High)
	}
	if low := solid.Lower(a, b); low > g.Dist+exact {
		t.Errorf("the lower bound %v is above %v", low, g.Dist)
	}
}

// TestDistanceProvesItself draws pairs of all kinds, apart and overlapping.
func TestDistanceProvesItself(t *testing.T) {
	t.Parallel()
	r := newRandom(8)
	apart, overlap := 0, 0
	for i, k := range kinds {
		for _, l := range kinds[i:] {
			for range 1000 {
				a, b := k.make(r).Moved(r.pose(150)), l.make(r).Moved(r.pose(100))
				g := solid.Distance(a, b)
				witnesses(t, a, b, g)
				size := r3.Norm(a.Bounds().Size()) + r3.Norm(b.Bounds().Size()) + 200
				same := func(what string, h solid.Gap) {
					if math.Abs(h.Dist-g.Dist) > 1e-9*size {
						t.Errorf("%s, the distance is %.12g, not %.12g:\n%#v\n%#v", what, h.Dist, g.Dist, a, b)
					}
				}
				same("swapped", solid.Distance(b, a))
				p := r.pose(100)
				same("moved together", solid.Distance(a.Moved(p), b.Moved(p)))
				if g.Dist > 0 {
					apart++
				} else {
					overlap++
				}
				if t.Failed() {
					t.Fatalf("%s and %s", k.name, l.name)
				}
			}
		}
	}
	if apart < 10000 || overlap < 1000 {
		t.Errorf("only %d pairs apart and %d overlapping", apart, overlap)
	}
}

// TestDepthSeparates moves solids that overlap by their depth: then they touch,
// and by a little less they still overlap.
func TestDepthSeparates(t *testing.T) {
	t.Parallel()
	r := newRandom(9)
	seen := 0
	for i, k := range kinds {
		for _, l := range kinds[i:] {
			for range 300 {
				a, b := k.make(r).Moved(r.pose(40)), l.make(r).Moved(r.pose(40))
				g := solid.Distance(a, b)
				if g.Dist > -1e-3 {
					continue
				}
				seen++
				size := r3.Norm(a.Bounds().Size()) + r3.Norm(b.Bounds().Size()) + 100
				for _, c := range []struct{ part, left float64 }{{1, 0}, {0.999, 0.001}, {0.5, 0.5}} {
					p := solid.Rest
					p.Shift = r3.Scale(-g.Dist*c.part, g.Normal)
					h := solid.Distance(a, b.Moved(p))
					// On a shorter way out, it has at most the rest left to go.
					if h.Dist > g.Dist*c.left+1e-9*size || c.part == 1 && h.Dist < -1e-9*size {
						t.Errorf("moved by %v of its depth %.12g, the distance is %.12g:\n%#v\n%#v", c.part, g.Dist, h.Dist, a, b)
					}
				}
			}
		}
	}
	if seen < 1000 {
		t.Errorf("only %d pairs overlap", seen)
	}
}

// TestDistanceAgainstDirections compares with the greatest separation over many
// directions, which the signed distance is for convex solids.
func TestDistanceAgainstDirections(t *testing.T) {
	t.Parallel()
	// A spiral of Fibonacci: no direction is farther than spread from one of them.
	const n, spread = 4000, 0.045
	dirs := make([]r3.Vec, n)
	for i := range dirs {
		z := 1 - (2*float64(i)+1)/n
		sin, cos := math.Sincos(math.Pi * (3 - math.Sqrt(5)) * float64(i))
		dirs[i] = vec(math.Sqrt(1-z*z)*cos, math.Sqrt(1-z*z)*sin, z)
	}
	r := newRandom(10)
	for i, k := range kinds {
		for _, l := range kinds[i:] {
			for range 20 {
				a, b := k.make(r).Moved(r.pose(60)), l.make(r).Moved(r.pose(60))
				g := solid.Distance(a, b)
				most := math.Inf(-1)
				for _, d := range dirs {
					most = max(most, solid.Separation(a, b, d))
				}
				if most > g.High+1e-10*(1+math.Abs(g.High)) {
					t.Errorf("distance at most %.12g, but a direction separates by %.12g:\n%#v\n%#v", g.High, most, a, b)
				}
				// Turning a direction by an angle costs that part of the extent.
				size := r3.Norm(a.Bounds().Size()) + r3.Norm(b.Bounds().Size()) + math.Abs(g.Dist)
				if most < g.Low-spread*size {
					t.Errorf("distance at least %.12g, but no direction separates by more than %.12g:\n%#v\n%#v", g.Low, most, a, b)
				}
			}
		}
	}
}

// TestDistanceOnGrid has boxes with whole coordinates, most of which share
// planes, edges or corners, against the closed form for boxes along the axes;
// turned together they must keep their distance.
func TestDistanceOnGrid(t *testing.T) {
	t.Parallel()
	r := newRandom(11)
	contacts := 0
	for range 20000 {
		a, b := gridBox(r), gridBox(r)
		want := boxDistance(a, b)
		if want == 0 {
			contacts++
		}
		p := r.pose(1000)
		for _, q := range []solid.Pose{solid.Rest, p, {Turn: solid.Turned(vec(0, 0, 1), math.Pi/4)}} {
			x, y := solid.Box(a).Moved(q), solid.Box(b).Moved(q)
			g := solid.Distance(x, y)
			if math.Abs(g.Dist-want) > 1e-10 || g.High-g.Low > 1e-9 {
				t.Fatalf("boxes %v and %v after %v: distance %.12g in %.12g … %.12g, want %.12g", a, b, q, g.Dist, g.Low, g.High, want)
			}
			witnesses(t, x, y, g)
		}
	}
	if contacts < 1000 {
		t.Errorf("only %d contacts", contacts)
	}
}

func gridBox(r random) r3.Box {
	at := func() float64 { return float64(r.IntN(9)) }
	b := r3.Box{Min: vec(at(), at(), at())}
	b.Max = r3.Add(b.Min, vec(1+at(), 1+at(), 1+at()))
	if r.IntN(4) == 0 {
		b.Max.Z = b.Min.Z + 1e-3
	}
	return b
}

// boxDistance returns the signed distance of boxes along the axes.
func boxDistance(a, b r3.Box) float64 {
	apart := func(a0, a1, b0, b1 float64) float64 { return max(b0-a1, a0-b1) }
	d := []float64{
		apart(a.Min.X, a.Max.X, b.Min.X, b.Max.X), apart(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y), apart(a.Min.Z, a.Max.Z, b.Min.Z, b.Max.Z),
	}
	if m := max(d[0], d[1], d[2]); m <= 0 {
		return m
	}
	return math.Sqrt(sq(max(d[0], 0)) + sq(max(d[1], 0)) + sq(max(d[2], 0)))
}

func sq(x float64) float64 { return x * x }

// TestConeLikeCylinder compares two ways: a cone whose ends differ by a
// nanometre takes the way for all convex solids, a cylinder a closed form.
func TestConeLikeCylinder(t *testing.T) {
	t.Parallel()
	r := newRandom(12)
	for range 3000 {
		at := func() float64 { return float64(r.IntN(40)) }
		c := &solid.Cylinder{A: vec(at(), at(), at()), Radius: 1 + at()}
		c.B = r3.Add(c.A, vec(0, 0, 1+at()))
		near := &solid.Cone{A: c.A, B: c.B, RadiusA: c.Radius, RadiusB: c.Radius - 1e-9}
		other := solid.Solid(solid.Box(gridBox(r)))
		if r.IntN(2) == 0 {
			other = &solid.Cylinder{A: vec(at(), at(), 0), B: vec(at(), at(), 1+at()), Radius: 1 + at()}
			other.(*solid.Cylinder).B.X, other.(*solid.Cylinder).B.Y = other.(*solid.Cylinder).A.X, other.(*solid.Cylinder).A.Y
		}
		p := r.pose(100)
		g := solid.Distance(c.Moved(p), other.Moved(p))
		h := solid.Distance(near.Moved(p), other.Moved(p))
		if math.Abs(g.Dist-h.Dist) > 5e-8 {
			t.Fatalf("%#v and %#v: %.12g in closed form, %.12g by search", c, other, g.Dist, h.Dist)
		}
	}
}

// boxlike is a solid the package does not know.
type boxlike struct{ solid.Solid }

func TestDistanceOfForeignSolid(t *testing.T) {
	t.Parallel()
	r := newRandom(13)
	for _, k := range kinds {
		for range 100 {
			a, b := k.make(r).Moved(r.pose(60)), kinds[0].make(r).Moved(r.pose(60))
			g, h := solid.Distance(a, b), solid.Distance(a, boxlike{b})
			if math.Abs(g.Dist-h.Dist) > 1e-8 {
				t.Errorf("%s: %.12g as a box, %.12g by its methods alone", k.name, g.Dist, h.Dist)
			}
		}
	}
}

func FuzzDistance(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 0.0, uint8(0))
	f.Add(1.0, 1.0, 0.0, 1e-3, 2000.0, 2000.0, math.Pi/4, uint8(1))
	f.Add(1.0, 0.0, 0.0, 1.0, 1.0, 1.0, math.Pi/2, uint8(2))
	f.Add(0.5, 0.5, 0.5, 1.0, 1.0, 1e-3, math.Pi, uint8(3))
	f.Fuzz(func(t *testing.T, x, y, z, w, d, h, turn float64, kind uint8) {
		for _, v := range []float64{x, y, z, turn} {
			if !(math.Abs(v) <= 1e4) {
				t.Skip()
			}
		}
		for _, v := range []float64{w, d, h} {
			if !(v >= 1e-3 && v <= 1e4) {
				t.Skip()
			}
		}
		a := box(0, 0, 0, 1, 1, 1)
		var b solid.Solid = box(x, y, z, x+w, y+d, z+h)
		switch kind % 4 {
		case 1:
			b = &solid.Cylinder{A: vec(x, y, z), B: vec(x, y, z+h), Radius: w}
		case 2:
			b = &solid.Cone{A: vec(x, y, z), B: vec(x, y, z+h), RadiusA: w, RadiusB: d}
		case 3:
			b = &solid.Capsule{A: vec(x, y, z), B: vec(x, y, z+h), Radius: w}
		}
		b = b.Moved(solid.About(vec(x, y, z), solid.Turned(vec(1, 1, 0), turn)))
		g := solid.Distance(a, b)
		size := 1 + math.Abs(x) + math.Abs(y) + math.Abs(z) + w + d + h
		loose := 1e-9 * size
		if g.Dist < 0 {
			loose = 1e-3 * size // as for cones on one axis
		}
		if !(g.High-g.Low <= loose) || math.Abs(solid.Separation(a, b, g.Normal)-g.Low) > 1e-10*size {
			t.Errorf("%#v: %+v", b, g)
		}
	})
}

func BenchmarkDistance(b *testing.B) {
	turn := solid.Turned(vec(1, 2, 3), 0.7)
	put := func(s solid.Solid, x float64) solid.Solid {
		return s.Moved(solid.Pose{Turn: turn, Shift: vec(x, 20, 30)})
	}
	flat, long := box(0, 0, 0, 300, 200, 20), box(0, 0, 0, 40, 500, 60)
	round := &solid.Cylinder{B: vec(0, 0, 200), Radius: 60}
	leaning := (&solid.Cylinder{B: vec(0, 0, 150), Radius: 40}).Moved(solid.Pose{Turn: solid.Turned(vec(1, 0, 0), 0.3)})
	for _, c := range []struct {
		name string
		a, b solid.Solid
	}{
		{"boxes apart", flat, put(long, 700)},
		{"boxes along the axes", flat, box(400, 0, 0, 500, 100, 100)},
		{"boxes overlapping", flat, put(long, 200)},
		{"box and cylinder apart", put(long, 700), round},
		{"box and cylinder upright", flat, &solid.Cylinder{A: vec(500, 0, 0), B: vec(500, 0, 90), Radius: 30}},
		{"box and cylinder overlapping", put(long, 20), round},
		{"cylinders apart", put(leaning, 400), round},
		{"cylinders upright", round, &solid.Cylinder{A: vec(500, 0, 0), B: vec(500, 0, 90), Radius: 30}},
		{"cylinders overlapping", put(leaning, 20), round},
		{"ball and box", &solid.Ball{Centre: vec(500, 0, 0), Radius: 9}, put(long, 20)},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				solid.Distance(c.a, c.b)
			}
		})
	}
	b.Run("separation of boxes", func(b *testing.B) {
		x, d := put(long, 700), vec(1, 0, 0)
		for b.Loop() {
			solid.Separation(flat, x, d)
		}
	})
	b.Run("lower bound of boxes", func(b *testing.B) {
		x := put(long, 700)
		for b.Loop() {
			solid.Lower(flat, x)
		}
	})
}

// TestDistanceAllocatesNothing holds the promise that a search relies on.
func TestDistanceAllocatesNothing(t *testing.T) {
	r := newRandom(14)
	for i, k := range kinds {
		for _, l := range kinds[i:] {
			a, b, c := k.make(r).Moved(r.pose(20)), l.make(r).Moved(r.pose(20)), l.make(r).Moved(solid.Pose{Turn: r.turn(), Shift: vec(900, 0, 0)})
			if n := testing.AllocsPerRun(10, func() { solid.Distance(a, b); solid.Distance(a, c) }); n != 0 {
				t.Errorf("%s and %s: %v allocations", k.name, l.name, n)
			}
		}
	}
}
