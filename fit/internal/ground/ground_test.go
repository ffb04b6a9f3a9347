package ground_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"undercroft/fit/internal/ground"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, within)
	}
}

func settle(t *testing.T, patches []ground.Patch, force, x, y float64) ground.Bed {
	t.Helper()
	b, err := ground.Settle(patches, force, x, y)
	if err != nil {
		t.Fatalf("Settle(%v, %v, %v, %v): %v", patches, force, x, y, err)
	}
	return b
}

// foot returns a small square foot at (x, y).
func foot(x, y float64) ground.Patch { return ground.Patch{X0: x - 2, X1: x + 2, Y0: y - 2, Y1: y + 2} }

// TestFourFeet checks the closed form of a stiff table on four equal springs:
// W/4·(1 ± 2ex/a ± 2ey/b).
func TestFourFeet(t *testing.T) {
	t.Parallel()
	const a, c, w, ex, ey = 1000.0, 400.0, 6000.0, 60.0, -30.0
	feet := []ground.Patch{foot(0, 0), foot(a, 0), foot(0, c), foot(a, c)}
	b := settle(t, feet, w, a/2+ex, c/2+ey)
	for i, f := range feet {
		sx, sy := float64(i%2*2-1), float64(i/2*2-1)
		near(t, "foot", b.Force(f), w/4*(1+sx*2*ex/a+sy*2*ey/c), 0.001*w)
	}
}

// TestOneFootOff checks what is left when one of four feet is off the floor: its
// two neighbours carry half each, and the one across nothing.
func TestOneFootOff(t *testing.T) {
	t.Parallel()
	feet := []ground.Patch{foot(0, 0), foot(1000, 0), foot(0, 400)}
	b := settle(t, feet, 6000, 500, 200)
	near(t, "neighbour", b.Force(feet[1]), 3000, 20)
	near(t, "neighbour", b.Force(feet[2]), 3000, 20)
	near(t, "across", b.Force(feet[0]), 0, 40)
}

// TestStripWithGap checks the middle third rule: a strip loaded outside of it
// lifts off, its pressure is a triangle over three times the distance to the
// edge, and the peak 2W/(3·distance·width).
func TestStripWithGap(t *testing.T) {
	t.Parallel()
	strip := []ground.Patch{{X0: 0, X1: 20, Y0: 0, Y1: 600}}
	b := settle(t, strip, 1000, 10, 100)
	near(t, "peak", b.Peak(strip[0]), 2*1000/(3*100*20.), 1e-9)
	near(t, "pressure at 300", b.At(10, 300), 0, 1e-9)
	near(t, "force", b.Force(strip[0]), 1000, 1e-6)
	if b.Least(strip[0]) >= 0 {
		t.Error("the far end is not lifted")
	}
}

func TestTips(t *testing.T) {
	t.Parallel()
	feet := []ground.Patch{foot(0, 0), foot(1000, 0), foot(0, 400), foot(1000, 400)}
	for _, at := range [][2]float64{{-10, 200}, {500, 410}, {1010, 410}} {
		if b, err := ground.Settle(feet, 1, at[0], at[1]); !errors.Is(err, ground.ErrTips) {
			t.Errorf("a weight at %v settles as %v, %v", at, b, err)
		}
	}
}

// TestBalance holds for random feet that forces and moments balance, and that
// the force of each is that of a fine sum over its pressure.
func TestBalance(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 4))
	lifted := 0
	for i := range 300 {
		var feet []ground.Patch
		for range 3 + r.IntN(5) {
			x, y := 1000*r.Float64(), 500*r.Float64()
			feet = append(feet, ground.Patch{X0: x, X1: x + 10 + 200*r.Float64(), Y0: y, Y1: y + 10 + 200*r.Float64()})
		}
		// A weight over one point of one foot and one of another is over the feet.
		p, q := feet[0], feet[1]
		s := r.Float64()
		x := s*(p.X0+p.X1)/2 + (1-s)*(q.X0+q.X1)/2
		y := s*(p.Y0+p.Y1)/2 + (1-s)*(q.Y0+q.Y1)/2
		b := settle(t, feet, 100, x, y)
		var w, mx, my float64
		for _, f := range feet {
			const n = 200
			var force float64
			dx, dy := (f.X1-f.X0)/n, (f.Y1-f.Y0)/n
			for j := range n {
				for k := range n {
					u, v := f.X0+(float64(j)+0.5)*dx, f.Y0+(float64(k)+0.5)*dy
					df := max(0, b.At(u, v)) * dx * dy
					force += df
					mx += df * (u - x)
					my += df * (v - y)
				}
			}
			if b.Least(f) < 0 {
				lifted++
			}
			near(t, "force", b.Force(f), force, 0.02)
			w += b.Force(f)
		}
		near(t, "weight", w, 100, 1e-8)
		near(t, "moment", math.Hypot(mx, my), 0, 20)
		if t.Failed() {
			t.Fatalf("case %d: %v, weight at %v %v", i, feet, x, y)
		}
	}
	if lifted == 0 {
		t.Error("no foot lifted: the cases are too easy")
	}
}
