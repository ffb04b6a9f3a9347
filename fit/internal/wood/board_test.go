package wood_test

import (
	"errors"
	"math"
	"testing"

	"undercroft/assets"
	"undercroft/fit/internal/beam"
	"undercroft/fit/internal/wood"
)

func sheet(t *testing.T, name string) wood.Sheet {
	t.Helper()
	s, err := wood.LookSheet(name, false)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestSheetDesignValues checks characteristic values times kmod over γM.
func TestSheetDesignValues(t *testing.T) {
	t.Parallel()
	for _, p := range assets.Panels() {
		s := sheet(t, p.Name)
		near(t, p.Name, s.Weak.Bending, p.Bending.MPa()*p.KMod/p.GammaM, 1e-12)
		if s.Weak != s.Strong || s.Assumed != "" {
			t.Errorf("%s is known: %+v", p.Name, s)
		}
		u := sheet(t, "unknown")
		if u.Weak.Bending > s.Weak.Bending || u.Weak.E > s.Weak.E || u.Weak.Creep < s.Weak.Creep || u.Strong.Bending < s.Weak.Bending || u.Assumed == "" {
			t.Errorf("%s is outside of unknown: %+v, %+v", p.Name, s.Weak, u)
		}
	}
	if _, err := wood.LookSheet("mdf", true); !errors.Is(err, wood.ErrRange) {
		t.Errorf("damp MDF: %v", err)
	}
	if _, err := wood.LookSheet("cardboard", false); !errors.Is(err, wood.ErrRange) {
		t.Errorf("cardboard: %v", err)
	}
}

// TestStrip checks a rail over a door by the formulas for a uniform load, M =
// wl²/8 and δ = 5wl⁴/384EI, and that held ends bend no more than two thirds.
func TestStrip(t *testing.T) {
	t.Parallel()
	s := sheet(t, "plywood")
	const width, height, span, w = 18.0, 100.0, 900.0, 1.2
	r, err := s.Strip(width, height, span, true, []beam.Load{beam.Uniform(0, span, w)})
	if err != nil {
		t.Fatal(err)
	}
	stress := 1.35 * w * span * span / 8 / (width * height * height / 6)
	near(t, "bending", r.Ratios[wood.Bending].High, stress/s.Weak.Bending, 1e-9)
	near(t, "bending, ends held", r.Ratios[wood.Bending].Low, stress/s.Weak.Bending*2/3, 1e-9)
	sag := 5 * w * math.Pow(span, 4) / (384 * s.Weak.E * width * height * height * height / 12)
	near(t, "sag", r.Sag, sag, 1e-9)
	near(t, "deflection", r.Ratios[wood.Deflection].High, max(sag*360/span, sag*s.Weak.Creep*240/span), 1e-9)
	near(t, "shear", r.Ratios[wood.Shear].High, 1.35*1.5*w*span/2/(width*height)/s.Weak.ShearEdge, 1e-9)
	// Held at both ends: wl²/12 and wl⁴/384EI (published with the others).
	if low := 1.35 * w * span * span / 12 / (width * height * height / 6) / s.Weak.Bending; r.Ratios[wood.Bending].Low > low*(1+1e-9) {
		t.Errorf("low ratio %v, ends held fast %v", r.Ratios[wood.Bending].Low, low)
	}
}

// TestSlab holds that a load on a part of a board bends it between the two ends
// that are given, and that both grow with the load.
func TestSlab(t *testing.T) {
	t.Parallel()
	s := sheet(t, "mdf")
	whole := s.Slab(800, 400, 19, 0.004, 0, 800, 0, 400)
	part := s.Slab(800, 400, 19, 0.004, 200, 500, 100, 300)
	for name, q := range part.Ratios {
		if q.Low > q.High || q.Low > whole.Ratios[name].Low+1e-12 {
			t.Errorf("%s: part %v, whole %v", name, q, whole.Ratios[name])
		}
	}
	// Timoshenko and Woinowsky-Krieger, table 8, sides 1:2: β 0.1017, α 0.01013.
	near(t, "bending", whole.Ratios[wood.Bending].High, 1.35*0.1017*0.004*400*400/(19*19/6.)/s.Weak.Bending, 0.005*whole.Ratios[wood.Bending].High)
	rigid := s.Weak.E * 19 * 19 * 19 / (12 * (1 - 0.09))
	near(t, "sag", whole.Sag, 0.01013*0.004*math.Pow(400, 4)/rigid, 0.005*whole.Sag)
	thicker := s.Slab(800, 400, 25, 0.004, 0, 800, 0, 400)
	if a, _ := thicker.Overall(); a.High >= whole.Ratios[wood.Deflection].High {
		t.Errorf("25 mm %v, 19 mm %v", a, whole.Ratios[wood.Deflection])
	}
}

// TestWall checks the ends of a side in compression: a low one by its strength, a
// tall thin one by Euler's load, within the imperfection that the code counts;
// and that a wall held at its edges is never worse than one held by nothing.
func TestWall(t *testing.T) {
	t.Parallel()
	s := sheet(t, "plywood")
	const thick, length, force = 18.0, 450.0, 3000.0
	stress := 1.35 * force / (thick * length)
	near(t, "low wall", s.Wall(thick, length, 60, force).Ratios[wood.Compression].High, stress/s.Weak.Compression, 1e-9)
	const height = 2000.0
	lambda := height / (thick / math.Sqrt(12))
	euler := math.Pi * math.Pi * 0.8 * s.Weak.E / (lambda * lambda) * s.Weak.Compression / s.Weak.CompressionRef
	got := s.Wall(thick, length, height, force).Ratios[wood.Compression]
	if got.High < stress/euler || got.High > 1.15*stress/euler {
		t.Errorf("tall wall %v, Euler %v", got.High, stress/euler)
	}
	for h := 100.0; h < 2500; h += 100 {
		if q := s.Wall(thick, length, h, force).Ratios[wood.Compression]; q.Low > q.High {
			t.Errorf("height %v: low %v over high %v", h, q.Low, q.High)
		}
	}
}
