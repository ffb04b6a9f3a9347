package verify_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/scene/solid"
)

func box(x0, y0, z0, x1, y1, z1 float64) solid.Solid {
	return solid.Box(r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}})
}

func moved(v r3.Vec) solid.Pose { return solid.Pose{Turn: solid.Rest.Turn, Shift: v} }

func TestMeasure(t *testing.T) {
	t.Parallel()
	turn := func(deg float64) solid.Pose {
		return solid.Pose{Turn: solid.Turned(r3.Vec{Z: 1}, deg*math.Pi/180)}
	}
	bar := box(-100, -5, -5, 100, 5, 5)
	wall := box(-500, 130, -500, 500, 150, 500)
	for _, c := range []struct {
		name         string
		body, others []solid.Solid
		poses        []solid.Pose
		want         float64
	}{
		{
			"pushed past a post",
			[]solid.Solid{box(0, 0, 0, 10, 10, 10)},
			[]solid.Solid{box(13, 50, 0, 20, 60, 10)},
			[]solid.Pose{solid.Rest, moved(r3.Vec{Y: 200})},
			3,
		},
		{
			// Beside the wall at both ends, its corners nearest at atan(5/100) past upright.
			"a bar that turns before a wall",
			[]solid.Solid{bar},
			[]solid.Solid{wall},
			[]solid.Pose{turn(0), turn(90), turn(179)},
			130 - math.Hypot(100, 5),
		},
		{
			"a disc that turns in its own round",
			[]solid.Solid{&solid.Cylinder{A: r3.Vec{Z: -5}, B: r3.Vec{Z: 5}, Radius: 100}},
			[]solid.Solid{wall},
			[]solid.Pose{turn(0), turn(120)},
			30,
		},
		{
			"into the wall",
			[]solid.Solid{bar},
			[]solid.Solid{wall},
			[]solid.Pose{solid.Rest, moved(r3.Vec{Y: 126})},
			-1,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := verify.Measure(c.body, solid.Path{Poses: c.poses}, c.others, 1000)
			if err != nil {
				t.Fatal(err)
			}
			if got.Low > c.want+1e-9 || got.Low < c.want-6e-4 {
				t.Errorf("Measure shows %v clear, want %v, less at most 0.0005", got.Low, c.want)
			}
		})
	}
}

// A path that is clear at its poses and not between them is refused.
func TestKeepsBetweenPoses(t *testing.T) {
	t.Parallel()
	bar := box(-100, -5, -5, 100, 5, 5)
	wall := box(-500, 95, -500, 500, 150, 500)
	at := func(deg float64) solid.Pose {
		return solid.Pose{Turn: solid.Turned(r3.Vec{Z: 1}, deg*math.Pi/180)}
	}
	path := solid.Path{Poses: []solid.Pose{at(20), at(160)}}
	for _, p := range path.Poses {
		if d := solid.Distance(bar.Moved(p), wall).Dist; d < 1 {
			t.Fatalf("the poses themselves are to be clear, they have %v", d)
		}
	}
	if err := verify.Keeps([]solid.Solid{bar}, path, []solid.Solid{wall}, 0); err == nil {
		t.Error("a bar turned through a wall was found clear")
	}
	if err := verify.Keeps([]solid.Solid{bar}, path, []solid.Solid{wall}, -10); err != nil {
		t.Errorf("it goes 5 mm into the wall, and 10 were allowed: %v", err)
	}
}

func TestNoPath(t *testing.T) {
	t.Parallel()
	bar := []solid.Solid{box(-100, -5, -5, 100, 5, 5)}
	half := solid.Pose{Turn: solid.Turned(r3.Vec{Z: 1}, math.Pi)}
	long := solid.Pose{Turn: quat.Number{Real: 1.001}}
	for name, poses := range map[string][]solid.Pose{
		"one pose":        {solid.Rest},
		"half a turn":     {solid.Rest, half},
		"stretched":       {solid.Rest, long},
		"not a number":    {solid.Rest, moved(r3.Vec{X: math.NaN()})},
		"to the far side": {solid.Rest, moved(r3.Vec{X: math.Inf(1)})},
	} {
		if _, err := verify.Measure(bar, solid.Path{Poses: poses}, bar, 1); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// What is proved of random paths is never more than a dense sample shows, and
// hardly less.
func TestMeasureAgainstSamples(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 7))
	vec := func(s float64) r3.Vec {
		return r3.Vec{X: s * (r.Float64() - 0.5), Y: s * (r.Float64() - 0.5), Z: s * (r.Float64() - 0.5)}
	}
	loose := 0
	for i := range 300 {
		a := box(-30-r.Float64()*50, -20, -10, 40, 30*r.Float64()+5, 20)
		if i%3 == 0 {
			a = &solid.Cylinder{A: vec(60), B: vec(60), Radius: 5 + 20*r.Float64()}
		}
		b := box(80, -60, -60, 120, 60, 60).Moved(solid.Pose{Turn: solid.Turned(vec(1), 3*r.Float64()), Shift: vec(40)})
		if i%4 == 1 {
			b = &solid.Cylinder{A: r3.Add(r3.Vec{X: 90}, vec(90)), B: r3.Add(r3.Vec{X: 90}, vec(90)), Radius: 5 + 30*r.Float64()}
		}
		path := solid.Path{Ref: vec(50)}
		for range 3 {
			path.Poses = append(path.Poses, solid.Pose{Turn: solid.Turned(vec(1), 2*r.Float64()), Shift: vec(120)})
		}
		c, err := verify.Measure([]solid.Solid{a}, path, []solid.Solid{b}, 1000)
		if err != nil {
			t.Fatal(err)
		}
		least := math.Inf(1)
		for leg := range 2 {
			for k := range 201 {
				least = min(least, solid.Distance(a.Moved(path.At(leg, float64(k)/200)), b).Dist)
			}
		}
		if c.Low > least+1e-6 {
			t.Fatalf("path %d: proved %v clear, a sample shows %v", i, c.Low, least)
		}
		if c.Low < least-0.3 {
			loose++
		}
	}
	if loose > 3 {
		t.Errorf("%d of 300 paths are shown far less clear than they are", loose)
	}
}

func BenchmarkMeasure(b *testing.B) {
	body := []solid.Solid{box(0, 0, 0, 600, 300, 400)}
	var others []solid.Solid
	for i := range 30 {
		others = append(others, box(620+float64(i), float64(i*20), 0, 640+float64(i), float64(i*20)+15, 500))
	}
	path := solid.Path{Poses: []solid.Pose{solid.Rest, moved(r3.Vec{Y: 400}), {Turn: solid.Turned(r3.Vec{X: 1}, 0.3), Shift: r3.Vec{Y: 500}}}}
	for b.Loop() {
		if _, err := verify.Measure(body, path, others, 25); err != nil {
			b.Fatal(err)
		}
	}
}

// A path on which one point of the body, for one moment, is in something tiny is
// refused, wherever that is.
func TestTinyObstacles(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(11, 4))
	vec := func(s float64) r3.Vec {
		return r3.Vec{X: s * (r.Float64() - 0.5), Y: s * (r.Float64() - 0.5), Z: s * (r.Float64() - 0.5)}
	}
	kept := 0
	for i := range 300 {
		b := r3.Box{Min: r3.Vec{X: -40 - 60*r.Float64(), Y: -30, Z: -20}, Max: r3.Vec{X: 50, Y: 20 + 50*r.Float64(), Z: 30}}
		body := solid.Box(b)
		path := solid.Path{Ref: vec(80)}
		for range 3 {
			path.Poses = append(path.Poses, solid.Pose{Turn: solid.Turned(vec(1), 2.5*r.Float64()), Shift: vec(400)})
		}
		leg, at := r.IntN(2), r.Float64()
		v := body.Vertices()[r.IntN(8)]
		p := path.At(leg, at).Apply(v)
		d := 0.05 + 0.2*r.Float64()
		tiny := box(p.X-d, p.Y-d, p.Z-d, p.X+d, p.Y+d, p.Z+d)
		for _, need := range []float64{0, -d / 4} {
			if err := verify.Keeps([]solid.Solid{body}, path, []solid.Solid{tiny}, need); err == nil {
				t.Errorf("path %d: a corner is in a box of %.2f mm at %.4f of leg %d, and %v are kept", i, 2*d, at, leg, need)
			}
		}
		if err := verify.Keeps([]solid.Solid{body}, path, []solid.Solid{tiny}, -300); err == nil {
			kept++
		}
	}
	if kept == 0 {
		t.Error("nothing is ever found clear")
	}
}

// What a verifier has seen on other paths, about other points, does not change what it
// shows of one.
func TestVerifierTwice(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 8))
	vec := func(s float64) r3.Vec {
		return r3.Vec{X: s * (r.Float64() - 0.5), Y: s * (r.Float64() - 0.5), Z: s * (r.Float64() - 0.5)}
	}
	body := []solid.Solid{box(-30, -20, -10, 40, 30, 20), &solid.Cylinder{A: vec(60), B: vec(60), Radius: 8}}
	others := []solid.Solid{box(80, -60, -60, 120, 60, 60), box(-200, -60, 90, 120, 60, 99), &solid.Ball{Centre: r3.Vec{Y: -120}, Radius: 40}}
	v := verify.New(body, others)
	kept := 0
	for i := range 100 {
		path := solid.Path{Ref: vec(50)}
		for range 3 {
			path.Poses = append(path.Poses, solid.Pose{Turn: solid.Turned(vec(1), 2*r.Float64()), Shift: vec(90)})
		}
		once, err := verify.Measure(body, path, others, 1000)
		if err != nil {
			t.Fatal(err)
		}
		again, err := v.Measure(path, 1000)
		if err != nil || math.Abs(again.Low-once.Low) > 6e-4 {
			t.Errorf("path %d: %v clear, and %v to one that saw others before: %v", i, once.Low, again.Low, err)
		}
		for _, need := range []float64{once.Low - 0.01, once.Low + 0.01} {
			if got := v.Keeps(path, need) == nil; got != (need < once.Low) {
				t.Errorf("path %d keeps %v: %v; it is %v clear", i, need, got, once.Low)
			}
		}
		if once.Low > 0 {
			kept++
		}
	}
	if kept == 0 || kept == 100 {
		t.Errorf("%d of 100 paths are clear", kept)
	}
}
