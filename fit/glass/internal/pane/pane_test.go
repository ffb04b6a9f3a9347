package pane_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"undercroft/fit/glass/internal/pane"
)

func within(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s = %.6g; want %.6g", what, got, want)
	}
}

func TestPublishedCoefficients(t *testing.T) {
	t.Parallel()
	// Three edges held, free to turn, the fourth free, ν = 0.3: Timoshenko and
	// Woinowsky-Krieger, Theory of Plates and Shells, the table for a uniform
	// load on such plates, from memory: w = α q b⁴/D and M = β q b² in the middle
	// of the free edge, b its length. The last digit is 1 in 100 of the smallest.
	for _, c := range []struct{ ratio, alpha, beta float64 }{
		{0.5, 0.00710, 0.060}, {2.0 / 3, 0.00968, 0.083}, {1, 0.01286, 0.112}, {2, 0.01507, 0.132},
	} {
		const b = 1000.0
		got := pane.Pane{Width: b, Height: c.ratio * b, Poisson: 0.3}.Bend(pane.Load{Uniform: 1e-3})
		within(t, "sag", got.Sag/(1e-3*math.Pow(b, 4)), c.alpha, 0.005)
		within(t, "moment", got.Free/(1e-3*b*b), c.beta, 0.01)
	}
	// A strip that is held at its sides only, far from its foot: the free edge of
	// a long plate, α = 0.01522, β = 0.133 there.
	got := pane.Pane{Width: 1000, Height: 8000, Poisson: 0.3}.Bend(pane.Load{Uniform: 1e-3})
	within(t, "sag of a long plate", got.Sag/1e9, 0.01522, 0.003)
	within(t, "moment of a long plate", got.Free/1e3, 0.1330, 0.005)
}

func TestAgainstRitz(t *testing.T) {
	t.Parallel()
	// An independent solution: the least energy over polynomials, which knows
	// nothing of the series or of the free edge.
	for _, c := range []struct {
		name      string
		p         pane.Pane
		l         pane.Load
		sag, free float64 // shares they may differ by
	}{
		{"square, water to the top", pane.Pane{300, 300, 0.2}, pane.Load{Foot: 3e-3, Depth: 300}, 1e-3, 5e-3},
		{"wide, water to the top", pane.Pane{700, 390, 0.2}, pane.Load{Foot: 4e-3, Depth: 390}, 1e-3, 5e-3},
		{"very wide", pane.Pane{1200, 300, 0.2}, pane.Load{Foot: 3e-3, Depth: 300}, 2e-3, 1e-2},
		{"tall, half full", pane.Pane{300, 400, 0.2}, pane.Load{Foot: 2e-3, Depth: 200}, 5e-3, 2e-2},
		{"uniform", pane.Pane{500, 400, 0.25}, pane.Load{Uniform: 1e-3}, 1e-3, 5e-3},
	} {
		got := c.p.Bend(c.l)
		sag, free := ritz(c.p, c.l)
		within(t, c.name+": sag", got.Sag, sag, c.sag)
		within(t, c.name+": moment in the free edge", got.Free, free, c.free)
		if got.Moment < got.Free {
			t.Errorf("%s: the largest moment %v is below that in the free edge, %v", c.name, got.Moment, got.Free)
		}
	}
}

// ritz returns D times the deflection and the moment in the middle of the free
// edge of the polynomial with the least energy.
func ritz(p pane.Pane, l pane.Load) (sag, free float64) {
	const nx, ny, points = 5, 9, 24
	b, a, nu := p.Width, p.Height, p.Poisson
	// Terms ξ(1-ξ) (ξ-½)^2i · η η^j, with ξ = x/b and η = y/a.
	type jet struct{ w, xx, yy, xy float64 }
	side := func(i int, x float64) (f, d, dd float64) {
		u := x - 0.5
		k := float64(2 * i)
		q, dq, ddq := 0.25-u*u, -2*u, -2.0
		r, dr, ddr := math.Pow(u, k), 0.0, 0.0
		if i > 0 {
			dr, ddr = k*math.Pow(u, k-1), k*(k-1)*math.Pow(u, k-2)
		}
		return q * r, dq*r + q*dr, ddq*r + 2*dq*dr + q*ddr
	}
	rise := func(j int, y float64) (f, d, dd float64) {
		k := float64(j + 1)
		f, d = math.Pow(y, k), k*math.Pow(y, k-1)
		if j > 0 {
			dd = k * (k - 1) * math.Pow(y, k-2)
		}
		return f, d, dd
	}
	at := func(n int, x, y float64) jet {
		f, fd, fdd := side(n%nx, x)
		g, gd, gdd := rise(n/nx, y)
		return jet{f * g, fdd * g / (b * b), f * gdd / (a * a), fd * gd / (a * b)}
	}
	const n = nx * ny
	stiff, force := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	nodes, weights := gauss(points)
	// Two bands of height, so that the end of the water is no kink within one.
	split := 1.0
	if l.Foot > 0 {
		split = min(1, l.Depth/a)
	}
	for _, band := range [][2]float64{{0, split}, {split, 1}} {
		for iy, v := range nodes {
			y := band[0] + (band[1]-band[0])*(v+1)/2
			q := l.Uniform
			if l.Foot > 0 {
				q += l.Foot * max(0, 1-y*a/l.Depth)
			}
			for ix, u := range nodes {
				x := (u + 1) / 2
				w := weights[ix] * weights[iy] / 4 * (band[1] - band[0]) * a * b
				jets := make([]jet, n)
				for k := range jets {
					jets[k] = at(k, x, y)
				}
				for k, e := range jets {
					force.SetVec(k, force.AtVec(k)+w*q*e.w)
					for m := k; m < n; m++ {
						f := jets[m]
						s := (e.xx+e.yy)*(f.xx+f.yy) - (1-nu)*(e.xx*f.yy+e.yy*f.xx-2*e.xy*f.xy)
						stiff.SetSym(k, m, stiff.At(k, m)+w*s)
					}
				}
			}
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(stiff, force); err != nil {
		if _, ill := errors.AsType[mat.Condition](err); !ill { // many terms are ill conditioned, and good enough
			panic(err)
		}
	}
	for k := range n {
		e := at(k, 0.5, 1)
		sag += x.AtVec(k) * e.w
		free -= x.AtVec(k) * (e.xx + nu*e.yy)
	}
	return sag, free
}

// gauss returns the nodes and weights of Gauss and Legendre on -1 to 1.
func gauss(n int) (nodes, weights []float64) {
	for i := range n {
		x := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		var d float64
		for range 50 {
			p0, p1 := 1.0, x
			for k := 2; k <= n; k++ {
				p0, p1 = p1, ((2*float64(k)-1)*x*p1-(float64(k)-1)*p0)/float64(k)
			}
			d = float64(n) * (x*p1 - p0) / (x*x - 1)
			x -= p1 / d
		}
		nodes, weights = append(nodes, x), append(weights, 2/((1-x*x)*d*d))
	}
	return nodes, weights
}

func TestLoadsAddUp(t *testing.T) {
	t.Parallel()
	p := pane.Pane{Width: 500, Height: 350, Poisson: 0.2}
	water := pane.Load{Foot: 3e-3, Depth: 350}
	both := p.Bend(pane.Load{Uniform: 1e-3, Foot: 3e-3, Depth: 350})
	sum := p.Bend(water).Sag + p.Bend(pane.Load{Uniform: 1e-3}).Sag
	within(t, "sum", both.Sag, sum, 1e-9)
	// Water to just below the top is water to the top.
	near := p.Bend(pane.Load{Foot: 3e-3 * 349.999 / 350, Depth: 349.999})
	within(t, "two pieces", near.Sag, p.Bend(water).Sag, 1e-4)
	last := 0.0
	for d := 50.0; d <= 350; d += 50 {
		b := p.Bend(pane.Load{Foot: 1e-5 * d, Depth: d})
		if !(b.Moment > last) {
			t.Errorf("deeper water, %v mm, bends less: %v after %v", d, b.Moment, last)
		}
		last = b.Moment
	}
}

func BenchmarkBend(b *testing.B) {
	p := pane.Pane{Width: 500, Height: 350, Poisson: 0.2}
	for b.Loop() {
		p.Bend(pane.Load{Foot: 3e-3, Depth: 200})
	}
}
