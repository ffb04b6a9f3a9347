package plate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"undercroft/fit/internal/plate"
)

// TestUniformLoad checks the published coefficients for plates on four edges
// under a uniform load: w = α q b⁴/D and M = β q b² with ν = 0.3 and b the
// shorter side. α: Timoshenko and Woinowsky-Krieger, table 8 (quoted in a second
// text). β: the same table, from memory and by an independent sum. All within
// half a percent.
func TestUniformLoad(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ ratio, alpha, short, long float64 }{
		{1.0, .00406, .0479, .0479},
		{1.2, .00564, .0627, .0501},
		{1.4, .00705, 0, 0},
		{1.5, .00772, .0812, .0498},
		{1.6, .00830, 0, 0},
		{1.8, .00931, 0, 0},
		{2.0, .01013, .1017, .0464},
		{3.0, .01223, .1189, .0406},
		{4.0, .01282, 0, 0},
		{5.0, .01297, 0, 0},
	} {
		p := plate.Plate{A: c.ratio * 300, B: 300, Thickness: 18, E: 3000, Nu: 0.3}
		const q = 0.004
		got := p.Uniform(q)
		check := func(what string, got, want float64) {
			t.Helper()
			if want != 0 && math.Abs(got/want-1) > 0.005 {
				t.Errorf("sides 1:%v: %s = %.5f, published %.5f", c.ratio, what, got, want)
			}
		}
		check("α", got.Sag*p.Rigidity()/(q*math.Pow(p.B, 4)), c.alpha)
		check("β along the short side", got.AlongB/(q*p.B*p.B), c.short)
		check("β along the long side", got.AlongA/(q*p.B*p.B), c.long)
	}
}

// TestStress checks Roark's Formulas for Stress and Strain, table 11.4, case 1a:
// σ = β q b²/t² and y = α q b⁴/Et³ (α within half a percent).
func TestStress(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ ratio, beta, alpha float64 }{
		{1, .2874, .0444},
		{1.2, .3762, .0616},
		{1.4, .4530, .0770},
		{1.6, .5172, .0906},
		{1.8, .5688, .1017},
		{2, .6102, .1110},
		{3, .7134, .1335},
		{4, .7410, .1400},
		{5, .7476, .1417},
	} {
		p := plate.Plate{A: c.ratio, B: 1, Thickness: 0.1, E: 1, Nu: 0.3}
		got := p.Uniform(1)
		if beta := got.AlongB * 6; math.Abs(beta/c.beta-1) > 0.005 {
			t.Errorf("sides 1:%v: β = %.4f, published %.4f", c.ratio, beta, c.beta)
		}
		if alpha := got.Sag * 1e-3; math.Abs(alpha/c.alpha-1) > 0.005 {
			t.Errorf("sides 1:%v: α = %.4f, published %.4f", c.ratio, alpha, c.alpha)
		}
	}
}

// TestPatches holds that patches add up to the whole, that what acts at one place
// on another acts the same the other way round, and that a patch bends less than
// the whole plate under the same pressure.
func TestPatches(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 3))
	p := plate.Plate{A: 900, B: 400, Thickness: 19, E: 3500, Nu: 0.3}
	for range 20 {
		x, y := p.A*(0.1+0.8*r.Float64()), p.B*(0.1+0.8*r.Float64())
		cut := p.A * (0.2 + 0.6*r.Float64())
		whole := p.Patch(1, 0, p.A, 0, p.B, x, y)
		left, right := p.Patch(1, 0, cut, 0, p.B, x, y), p.Patch(1, cut, p.A, 0, p.B, x, y)
		if d := left.Sag + right.Sag - whole.Sag; math.Abs(d) > 1e-12*whole.Sag {
			t.Errorf("halves at %v sag %v, the whole %v", cut, left.Sag+right.Sag, whole.Sag)
		}
		if left.Sag <= 0 || left.Sag >= whole.Sag {
			t.Errorf("a part sags %v, the whole %v", left.Sag, whole.Sag)
		}
		u, v := p.A*(0.1+0.8*r.Float64()), p.B*(0.1+0.8*r.Float64())
		const h = 4
		there := p.Patch(1, x-h, x+h, y-h, y+h, u, v).Sag
		back := p.Patch(1, u-h, u+h, v-h, v+h, x, y).Sag
		if math.Abs(there/back-1) > 0.02 {
			t.Errorf("load at (%v, %v) sags (%v, %v) by %v, the other way round %v", x, y, u, v, there, back)
		}
	}
}

func BenchmarkPatch(b *testing.B) {
	p := plate.Plate{A: 900, B: 400, Thickness: 19, E: 3500, Nu: 0.3}
	for b.Loop() {
		p.Patch(1, 100, 600, 50, 350, 350, 200)
	}
}
