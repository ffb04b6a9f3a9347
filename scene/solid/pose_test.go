package solid_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

func near(p, q r3.Vec, eps float64) bool { return r3.Norm(r3.Sub(p, q)) <= eps }

func TestPoseTurns(t *testing.T) {
	t.Parallel()
	quarter := math.Pi / 2
	for name, c := range map[string]struct {
		pose solid.Pose
		at   r3.Vec
		want r3.Vec
	}{
		"rest":                         {solid.Rest, vec(1, 2, 3), vec(1, 2, 3)},
		"counter-clockwise from above": {solid.Pose{Turn: solid.Turned(vec(0, 0, 9), quarter)}, vec(1, 0, 5), vec(0, 1, 5)},
		"about a point":                {solid.About(vec(10, 0, 0), solid.Turned(vec(0, 0, 1), quarter)), vec(12, 0, 1), vec(10, 2, 1)},
		"the point itself":             {solid.About(vec(10, 3, 2), solid.Turned(vec(1, 2, 3), 1)), vec(10, 3, 2), vec(10, 3, 2)},
		"turn, then shift":             {solid.Pose{Turn: solid.Turned(vec(1, 0, 0), quarter), Shift: vec(0, 0, 7)}, vec(0, 1, 0), vec(0, 0, 8)},
	} {
		if got := c.pose.Apply(c.at); !near(got, c.want, 1e-12) {
			t.Errorf("%s: %v goes to %v, want %v", name, c.at, got, c.want)
		}
	}
	r := newRandom(6)
	for range 100 {
		p, v := r.pose(10), r.vec(10)
		if got := p.Unrotate(p.Rotate(v)); !near(got, v, 1e-12) {
			t.Errorf("turned to and fro, %v is %v", v, got)
		}
	}
}

// TestPathAt holds a leg's promise: straight and even for the reference point,
// an even turn about it by the short way, and the poses themselves at its ends.
func TestPathAt(t *testing.T) {
	t.Parallel()
	r := newRandom(7)
	for range 500 {
		p := solid.Path{Ref: r.vec(100), Poses: []solid.Pose{r.pose(100), r.pose(100), r.pose(100)}}
		if r.IntN(3) == 0 { // the same turn written the other way
			p.Poses[1].Turn = quat.Scale(-1, p.Poses[0].Turn)
		}
		body := []r3.Vec{r.vec(50), r.vec(50), r.vec(50)}
		for leg := range 2 {
			a, b := p.Poses[leg], p.Poses[leg+1]
			for _, v := range body {
				if got := p.At(leg, 0).Apply(v); !near(got, a.Apply(v), 1e-10) {
					t.Fatalf("leg %d of %+v begins with %v at %v, not %v", leg, p, v, got, a.Apply(v))
				}
				if got := p.At(leg, 1).Apply(v); !near(got, b.Apply(v), 1e-10) {
					t.Fatalf("leg %d of %+v ends with %v at %v, not %v", leg, p, v, got, b.Apply(v))
				}
			}
			whole := p.Angle(leg)
			if whole < 0 || whole > math.Pi+1e-12 {
				t.Fatalf("leg %d turns by %v", leg, whole)
			}
			from, to := a.Apply(p.Ref), b.Apply(p.Ref)
			for _, s := range []float64{0.1, 0.25, 0.5, 0.9} {
				q := p.At(leg, s)
				if want := r3.Add(from, r3.Scale(s, r3.Sub(to, from))); !near(q.Apply(p.Ref), want, 1e-10) {
					t.Errorf("at %v the reference point is at %v, want %v", s, q.Apply(p.Ref), want)
				}
				if turn := solid.AngleBetween(a.Turn, q.Turn); math.Abs(turn-s*whole) > 1e-7 {
					t.Errorf("at %v of %v it has turned by %v", s, whole, turn)
				}
				if rest := solid.AngleBetween(q.Turn, b.Turn); math.Abs(rest-(1-s)*whole) > 1e-7 {
					t.Errorf("at %v of %v it has %v left to turn", s, whole, rest)
				}
			}
		}
	}
}

func TestAngleBetween(t *testing.T) {
	t.Parallel()
	axis := vec(1, -2, 0.5)
	for _, c := range []struct{ from, to, want float64 }{
		{0, 0, 0}, {0, 1e-9, 1e-9}, {0, 1, 1}, {0.3, -0.3, 0.6}, {0, math.Pi, math.Pi}, {0, 2*math.Pi - 0.1, 0.1}, {0, 3, 3},
	} {
		got := solid.AngleBetween(solid.Turned(axis, c.from), solid.Turned(axis, c.to))
		if math.Abs(got-c.want) > 1e-12 {
			t.Errorf("from %v to %v: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}
