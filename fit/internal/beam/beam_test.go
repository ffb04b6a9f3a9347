package beam_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"undercroft/fit/internal/beam"
)

func solve(t *testing.T, b beam.Beam, loads ...beam.Load) *beam.Solution {
	t.Helper()
	s, err := b.Solve(loads)
	if err != nil {
		t.Fatalf("Solve(%v, %v): %v", b, loads, err)
	}
	return s
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, within)
	}
}

// TestPublishedPartialLoads checks partial loads on a simple span against AWC
// Design Aid 6 (figure 2, quoted in a second text) and a published table of
// beam formulas (uniform load over one end).
func TestPublishedPartialLoads(t *testing.T) {
	t.Parallel()
	t.Run("load over the middle", func(t *testing.T) {
		t.Parallel()
		// l 72 in, a 12, b 36, w 10 lb/in: R1 210 lb, R2 150 lb, Mmax 4725 lb·in at 33 in.
		s := solve(t, beam.Beam{Length: 72, Supports: []float64{0, 72}, Stiffness: 1}, beam.Uniform(12, 48, 10))
		near(t, "R1", s.Reactions[0], 210, 1e-9)
		near(t, "R2", s.Reactions[1], 150, 1e-9)
		m, _ := s.Moments()
		near(t, "Mmax", m.Value, 4725, 1e-8)
		near(t, "place of Mmax", m.X, 33, 1e-8)
	})
	t.Run("load over one end", func(t *testing.T) {
		t.Parallel()
		const l, a, w, ei = 100.0, 37.0, 3.0, 7.0
		s := solve(t, beam.Beam{Length: l, Supports: []float64{0, l}, Stiffness: ei}, beam.Uniform(0, a, w))
		r1 := w * a * (2*l - a) / (2 * l)
		near(t, "R1", s.Reactions[0], r1, 1e-9)
		near(t, "R2", s.Reactions[1], w*a*a/(2*l), 1e-9)
		m, _ := s.Moments()
		near(t, "Mmax", m.Value, r1*r1/(2*w), 1e-8)
		for _, x := range []float64{5, 20, a, 50, 80} {
			want := w * a * a * (l - x) / (24 * ei * l) * (4*x*l - 2*x*x - a*a)
			if x < a {
				want = w * x / (24 * ei * l) * (a*a*(2*l-a)*(2*l-a) - 2*a*x*x*(2*l-a) + l*x*x*x)
			}
			near(t, "deflection", s.Deflection(x), want, 1e-9*math.Abs(want))
		}
	})
}

// TestPublishedCases checks whole-span loads against the published table of
// beam formulas that is named at each.
func TestPublishedCases(t *testing.T) {
	t.Parallel()
	const l, w, p, ei = 2.0, 3.0, 5.0, 11.0
	simple := beam.Beam{Length: l, Supports: []float64{0, l}, Stiffness: ei}
	for _, c := range []struct {
		name        string
		load        beam.Load
		moment, sag float64
	}{
		{"uniform, simple span: M wl²/8, δ 5wl⁴/384EI", beam.Uniform(0, l, w), w * l * l / 8, 5 * w * l * l * l * l / 384 / ei},
		{"centre point, simple span: M Fl/4, δ Fl³/48EI", beam.Point(l/2, p), p * l / 4, p * l * l * l / 48 / ei},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := solve(t, simple, c.load)
			m, _ := s.Moments()
			d, _ := s.Deflections()
			near(t, "M", m.Value, c.moment, 1e-12)
			near(t, "δ", d.Value, c.sag, 1e-12)
		})
	}
	t.Run("three equal spans, uniform: R 0.400 and 1.100 wL, M 0.080 and -0.100 wL², δ 0.0069 wL⁴/EI at 0.446 L", func(t *testing.T) {
		t.Parallel()
		s := solve(t, beam.Beam{Length: 3, Supports: []float64{0, 1, 2, 3}, Stiffness: 1}, beam.Uniform(0, 3, 1))
		for i, want := range []float64{0.4, 1.1, 1.1, 0.4} {
			near(t, "R", s.Reactions[i], want, 1e-12)
		}
		big, small := s.Moments()
		near(t, "field moment", big.Value, 0.080, 1e-12)
		near(t, "support moment", small.Value, -0.100, 1e-12)
		near(t, "middle moment", s.Moment(1.5), 0.025, 1e-12)
		d, _ := s.Deflections()
		near(t, "δ", d.Value, 0.0069, 0.00005)
		if d.X > 1.5 {
			d.X = 3 - d.X
		}
		near(t, "place of δ", d.X, 0.446, 0.0005)
		near(t, "shear", math.Abs(s.MaxShear(0).Value), 0.600, 1e-12)
		near(t, "shear 0.1 off the supports", math.Abs(s.MaxShear(0.1).Value), 0.500, 1e-12)
	})
	t.Run("two equal spans, uniform: R 3/8, 10/8, 3/8, M -1/8 and 9/128 (propped cantilever, by symmetry)", func(t *testing.T) {
		t.Parallel()
		s := solve(t, beam.Beam{Length: 2, Supports: []float64{0, 1, 2}, Stiffness: 1}, beam.Uniform(0, 2, 1))
		for i, want := range []float64{3. / 8, 10. / 8, 3. / 8} {
			near(t, "R", s.Reactions[i], want, 1e-12)
		}
		big, small := s.Moments()
		near(t, "field moment", big.Value, 9./128, 1e-12)
		near(t, "support moment", small.Value, -1./8, 1e-12)
		near(t, "δ at the middle of a span, 2wl⁴/384EI", s.Deflection(0.5), 2./384, 1e-12)
	})
	t.Run("overhang, tip load: δ Fa²(l+a)/3EI, support pulls down", func(t *testing.T) {
		t.Parallel()
		s := solve(t, beam.Beam{Length: 3, Supports: []float64{0, 2}, Stiffness: 1}, beam.Point(3, 1))
		near(t, "tip", s.Deflection(3), 1, 1e-12)
		near(t, "R", s.Reactions[0], -0.5, 1e-12)
	})
}

// random returns a beam of two to five supports with up to six loads. Places
// are thousandths of the length: elements much shorter than that cost the
// stiffness matrix its digits.
func random(r *rand.Rand) (beam.Beam, []beam.Load) {
	l := 200 + 6000*r.Float64()
	place := func() float64 { return l * float64(r.IntN(1001)) / 1000 }
	b := beam.Beam{Length: l, Stiffness: math.Pow(10, 9+4*r.Float64())}
	for range 2 + r.IntN(4) {
		b.Supports = append(b.Supports, place())
	}
	slices.Sort(b.Supports)
	// Supports nearer than a fortieth of the beam are no beam anybody builds and
	// make any solver lose digits.
	b.Supports = slices.CompactFunc(b.Supports, func(x, y float64) bool { return math.Abs(y-x) < l/40 })
	if len(b.Supports) < 2 {
		b.Supports = []float64{0, l}
	}
	var loads []beam.Load
	for range 1 + r.IntN(6) {
		x, y := place(), place()
		switch q := 10 * r.Float64(); r.IntN(3) {
		case 0:
			loads = append(loads, beam.Point(x, 100*q))
		case 1:
			loads = append(loads, beam.Uniform(min(x, y), max(x, y), q))
		case 2:
			loads = append(loads, beam.Load{From: min(x, y), To: max(x, y), Start: q, End: 10 * r.Float64()})
		}
	}
	return b, loads
}

// matrix solves the beam by the direct stiffness method with elements between
// all breakpoints and further random nodes. Its equivalent nodal loads come
// from Gauss quadrature of the load times the cubic shape functions, exact for
// these loads, so that displacements and end moments at nodes are exact too.
type matrix struct {
	nodes, sag, moment, reactions []float64
}

func byMatrix(b beam.Beam, loads []beam.Load, more []float64) matrix {
	nodes := append([]float64{0, b.Length}, more...)
	nodes = append(nodes, b.Supports...)
	for _, l := range loads {
		nodes = append(nodes, l.From, l.To)
	}
	slices.Sort(nodes)
	nodes = slices.CompactFunc(nodes, func(x, y float64) bool { return math.Abs(y-x) < 1e-9*b.Length })
	n := 2 * len(nodes)
	k := mat.NewDense(n, n, nil)
	f := mat.NewVecDense(n, nil)
	scale := b.Length     // rotations are times the beam's length, for conditioning
	type element struct { // stiffness and nodal loads
		k [4][4]float64
		f [4]float64
	}
	elements := make([]element, len(nodes)-1)
	for e := range elements {
		h := nodes[e+1] - nodes[e]
		c := b.Stiffness / (h * h * h)
		el := &elements[e]
		el.k = [4][4]float64{
			{12 * c, 6 * h * c, -12 * c, 6 * h * c},
			{6 * h * c, 4 * h * h * c, -6 * h * c, 2 * h * h * c},
			{-12 * c, -6 * h * c, 12 * c, -6 * h * c},
			{6 * h * c, 2 * h * h * c, -6 * h * c, 4 * h * h * c},
		}
		for _, l := range loads {
			if l.From == l.To || l.From > nodes[e]+1e-9*b.Length || l.To < nodes[e+1]-1e-9*b.Length {
				continue
			}
			// Three Gauss points integrate polynomials up to the fifth degree.
			for _, q := range [][2]float64{{-math.Sqrt(0.6), 5. / 9}, {0, 8. / 9}, {math.Sqrt(0.6), 5. / 9}} {
				xi := (q[0] + 1) / 2
				x := nodes[e] + xi*h
				load := (l.Start + (l.End-l.Start)*(x-l.From)/(l.To-l.From)) * q[1] * h / 2
				shape := [4]float64{1 - 3*xi*xi + 2*xi*xi*xi, h * xi * (1 - xi) * (1 - xi), xi * xi * (3 - 2*xi), h * xi * xi * (xi - 1)}
				for i, s := range shape {
					el.f[i] += load * s
				}
			}
		}
		for i := range 4 {
			si := [4]float64{1, 1 / scale, 1, 1 / scale}
			f.SetVec(2*e+i, f.AtVec(2*e+i)+el.f[i]*si[i])
			for j := range 4 {
				k.Set(2*e+i, 2*e+j, k.At(2*e+i, 2*e+j)+el.k[i][j]*si[i]*si[j])
			}
		}
	}
	at := func(x float64) int {
		i, _ := slices.BinarySearch(nodes, x-1e-9*b.Length)
		return i
	}
	for _, l := range loads {
		if l.From == l.To {
			i := 2 * at(l.From)
			f.SetVec(i, f.AtVec(i)+l.Start)
		}
	}
	var free []int
	fixed := map[int]bool{}
	for _, s := range b.Supports {
		fixed[2*at(s)] = true
	}
	for i := range n {
		if !fixed[i] {
			free = append(free, i)
		}
	}
	kk := mat.NewDense(len(free), len(free), nil)
	ff := mat.NewVecDense(len(free), nil)
	for i, a := range free {
		ff.SetVec(i, f.AtVec(a))
		for j, c := range free {
			kk.Set(i, j, k.At(a, c))
		}
	}
	var u mat.VecDense
	if err := u.SolveVec(kk, ff); err != nil {
		panic(err)
	}
	full := make([]float64, n)
	for i, a := range free {
		full[a] = u.AtVec(i)
	}
	m := matrix{nodes: nodes, sag: make([]float64, len(nodes)), moment: make([]float64, len(nodes))}
	for i := range nodes {
		m.sag[i] = full[2*i]
	}
	for e, el := range elements {
		d := [4]float64{full[2*e], full[2*e+1] / scale, full[2*e+2], full[2*e+3] / scale}
		var start, end float64
		for j := range 4 {
			start += el.k[1][j] * d[j]
			end += el.k[3][j] * d[j]
		}
		m.moment[e] = start - el.f[1]
		m.moment[e+1] = el.f[3] - end
	}
	for _, s := range b.Supports {
		i := 2 * at(s)
		r := -f.AtVec(i)
		for j := range n {
			r += k.At(i, j) * full[j]
		}
		m.reactions = append(m.reactions, -r)
	}
	return m
}

// TestAgainstStiffnessMatrix compares 1,000 random beams with an independent
// solution, to a millionth of the largest value on the beam.
func TestAgainstStiffnessMatrix(t *testing.T) {
	t.Parallel()
	const cases, within = 1000, 1e-6
	r := rand.New(rand.NewPCG(6, 1000))
	for i := range cases {
		b, loads := random(r)
		s := solve(t, b, loads...)
		more := make([]float64, 5)
		for j := range more {
			more[j] = b.Length * float64(r.IntN(1001)) / 1000
		}
		m := byMatrix(b, loads, more)
		compare := func(what string, got func(int) float64, want []float64) {
			size := 0.0
			for _, w := range want {
				size = max(size, math.Abs(w))
			}
			for j, w := range want {
				if g := got(j); !(math.Abs(g-w) <= within*size) {
					t.Fatalf("case %d, %+v %+v: %s %d = %v, by matrix %v", i, b, loads, what, j, g, w)
				}
			}
		}
		compare("reaction", func(j int) float64 { return s.Reactions[j] }, m.reactions)
		compare("deflection at node", func(j int) float64 { return s.Deflection(m.nodes[j]) }, m.sag)
		compare("moment at node", func(j int) float64 { return s.Moment(m.nodes[j]) }, m.moment)
	}
}

// TestProperties holds what is true of every beam: forces and moments balance,
// loads superpose, and no place is beyond what the extremes say.
func TestProperties(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 7))
	for i := range 300 {
		b, loads := random(r)
		s := solve(t, b, loads...)
		var up, down, turn, scale float64
		for j, f := range s.Reactions {
			up += f
			turn += f * b.Supports[j]
			scale += math.Abs(f)
		}
		for _, l := range loads {
			down += l.Total()
			centre := l.From
			if l.To > l.From && l.Start+l.End > 0 {
				centre += (l.To - l.From) / 3 * (l.Start + 2*l.End) / (l.Start + l.End)
			}
			turn -= l.Total() * centre
		}
		near(t, "forces", up-down, 0, 1e-9*scale)
		near(t, "moments", turn, 0, 1e-8*scale*b.Length)

		half := len(loads) / 2
		one, two := solve(t, b, loads[:half]...), solve(t, b, loads[half:]...)
		big, small := s.Moments()
		low, high := s.Deflections()
		shear := s.MaxShear(0)
		size := max(big.Value, -small.Value)
		bend := max(low.Value, -high.Value)
		for range 50 {
			x := b.Length * r.Float64()
			near(t, "superposed moment", one.Moment(x)+two.Moment(x), s.Moment(x), 1e-8*size)
			near(t, "superposed deflection", one.Deflection(x)+two.Deflection(x), s.Deflection(x), 1e-8*bend)
			if m := s.Moment(x); m > big.Value+1e-9*size || m < small.Value-1e-9*size {
				t.Fatalf("case %d: moment %v at %v is beyond %v to %v", i, m, x, small, big)
			}
			if d := s.Deflection(x); d > low.Value+1e-9*bend || d < high.Value-1e-9*bend {
				t.Fatalf("case %d: deflection %v at %v is beyond %v to %v", i, d, x, high, low)
			}
			if v := s.Shear(x); math.Abs(v) > math.Abs(shear.Value)*(1+1e-9) {
				t.Fatalf("case %d: shear %v at %v is beyond %v", i, v, x, shear)
			}
		}
		near(t, "moment at its extreme", s.Moment(big.X), big.Value, 1e-9*size)
		near(t, "deflection at its extreme", s.Deflection(low.X), low.Value, 1e-9*bend)
	}
}

// TestRest holds what lying on supports means: every support pushes or is
// parted from, and forces balance.
func TestRest(t *testing.T) {
	t.Parallel()
	t.Run("far support lifts", func(t *testing.T) {
		t.Parallel()
		b := beam.Beam{Length: 3, Supports: []float64{0, 1, 3}, Stiffness: 1}
		s, err := b.Rest([]beam.Load{beam.Point(0.5, 2)})
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range []float64{1, 1, 0} {
			near(t, "R", s.Reactions[i], want, 1e-12)
		}
		// The free end turns up by Fl²/16EI of the loaded span.
		near(t, "free end", s.Deflection(3), -2*2./16, 1e-12)
	})
	t.Run("tips", func(t *testing.T) {
		t.Parallel()
		b := beam.Beam{Length: 3, Supports: []float64{0, 2}, Stiffness: 1}
		if s, err := b.Rest([]beam.Load{beam.Point(3, 1)}); err == nil {
			t.Errorf("a beam that tips has reactions %v", s.Reactions)
		}
	})
	t.Run("random", func(t *testing.T) {
		t.Parallel()
		r := rand.New(rand.NewPCG(8, 8))
		lifted := 0
		for i := range 500 {
			b, loads := random(r)
			b.Supports[0], b.Supports[len(b.Supports)-1] = 0, b.Length
			s, err := b.Rest(loads)
			if err != nil {
				t.Fatalf("case %d: %+v %+v: %v", i, b, loads, err)
			}
			var up, down float64
			for _, f := range s.Reactions {
				up += f
				if f < -1e-6*up {
					t.Fatalf("case %d: reactions %v", i, s.Reactions)
				}
				if f == 0 {
					lifted++
				}
			}
			for _, l := range loads {
				down += l.Total()
			}
			near(t, "forces", up, down, 1e-8*down)
		}
		if lifted == 0 {
			t.Error("no beam lifted off a support: the cases are too easy")
		}
	})
}

func TestRefusesWhatIsNoBeam(t *testing.T) {
	t.Parallel()
	good := beam.Beam{Length: 1, Supports: []float64{0, 1}, Stiffness: 1}
	for _, c := range []struct {
		name string
		beam beam.Beam
		load beam.Load
	}{
		{"one support", beam.Beam{Length: 1, Supports: []float64{0}, Stiffness: 1}, beam.Point(0.5, 1)},
		{"two supports in one place", beam.Beam{Length: 1, Supports: []float64{0.5, 0.5}, Stiffness: 1}, beam.Point(0.5, 1)},
		{"no stiffness", beam.Beam{Length: 1, Supports: []float64{0, 1}}, beam.Point(0.5, 1)},
		{"no number for a length", beam.Beam{Length: math.NaN(), Supports: []float64{0, 1}, Stiffness: 1}, beam.Point(0.5, 1)},
		{"load beyond the end", good, beam.Point(1.5, 1)},
		{"load that is no number", good, beam.Point(0.5, math.NaN())},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if _, err := c.beam.Solve([]beam.Load{c.load}); err == nil {
				t.Errorf("Solve(%v, %v) gave no error", c.beam, c.load)
			}
		})
	}
}

func BenchmarkSolve(b *testing.B) {
	joist := beam.Beam{Length: 3600, Supports: []float64{0, 3600}, Stiffness: 1e11}
	loads := []beam.Load{beam.Uniform(0, 3600, 0.8), {From: 200, To: 500, Start: 3, End: 4}, {From: 500, To: 800, Start: 4, End: 1}}
	for b.Loop() {
		s, err := joist.Solve(loads)
		if err != nil {
			b.Fatal(err)
		}
		s.Moments()
		s.Deflections()
	}
}
