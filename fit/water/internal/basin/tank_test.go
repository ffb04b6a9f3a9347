package basin_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/water/internal/basin"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A pane is one wall of a tank under test, by its near face along the flow.
type pane struct{ at, thick, gap, top float64 }

// build returns a tank of length l along x, width w and height h from the origin.
func build(l, w, h float64, panes []pane, solids []solid.Solid, tilt [2]float64) *basin.Tank {
	var spaces []basin.Space
	space := func(from, to float64) basin.Space {
		return basin.Space{
			Box:    r3.Box{Min: r3.Vec{X: from}, Max: r3.Vec{X: to, Y: w, Z: h}},
			Middle: r3.Vec{X: (from + to) / 2, Y: w / 2},
		}
	}
	var walls []basin.Wall
	from := 0.0
	for _, p := range panes {
		spaces = append(spaces, space(from, p.at))
		walls = append(walls, basin.Wall{
			Box:    r3.Box{Min: r3.Vec{X: p.at, Z: p.gap}, Max: r3.Vec{X: p.at + p.thick, Y: w, Z: p.top}},
			Raised: p.gap > 0,
		})
		from = p.at + p.thick
	}
	spaces = append(spaces, space(from, l))
	return basin.New(spaces, walls, true, solids, tilt)
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g; want %.9g", what, got, want)
	}
}

func TestTwoBasinsFill(t *testing.T) {
	t.Parallel()
	// 100 mm and 300 mm long, 200 wide, 300 high, a pane 10 thick and 120 high.
	tank := build(410, 200, 300, []pane{{100, 10, 0, 120}}, nil, [2]float64{})
	for _, c := range []struct {
		name    string
		poured  float64 // into the first
		levels  [2]float64
		spilled float64
	}{
		{"below the pane", 100 * 200 * 50, [2]float64{50, 0}, 0},
		{"just at the pane", 100 * 200 * 120, [2]float64{120, 0}, 0},
		{"over the pane", 100*200*120 + 300*200*70, [2]float64{120, 70}, 0},
		{"both full to the pane", 400 * 200 * 120, [2]float64{120, 120}, 0},
		{"one level above the pane", 400*200*120 + 410*200*30, [2]float64{150, 150}, 0},
		{"to the brim", 400*200*120 + 410*200*180, [2]float64{300, 300}, 0},
		{"over the brim", 400*200*120 + 410*200*180 + 5000, [2]float64{300, 300}, 5000},
	} {
		s := tank.Settle([]float64{c.poured, 0})
		near(t, c.name+": first level", s.Heights[0], c.levels[0], 1e-8)
		near(t, c.name+": second level", s.Heights[1], c.levels[1], 1e-8)
		near(t, c.name+": spilled", s.Spilled, c.spilled, 1e-6)
	}
	// Poured into the second one, the water runs back over the pane.
	s := tank.Settle([]float64{0, 300*200*120 + 100*200*40})
	near(t, "backward: first level", s.Heights[0], 40, 1e-8)
	near(t, "backward: second level", s.Heights[1], 120, 1e-8)
}

func TestWaterPassesThroughAFullBasin(t *testing.T) {
	t.Parallel()
	// Three basins of 100 x 100; the first runs over into the second, which is
	// over-full when the water comes, but has its lower edge to the third. The
	// first stays full to its edge.
	tank := build(320, 100, 300, []pane{{100, 10, 0, 80}, {210, 10, 0, 40}}, nil, [2]float64{})
	s := tank.Settle([]float64{100 * 100 * 90, 100 * 100 * 85, 0})
	near(t, "first", s.Heights[0], 80, 1e-8)
	// 55 go on from the second: 40 fill the third, 15 rise over both and the pane.
	near(t, "second", s.Heights[1], 40+15.0*100/210, 1e-8)
	near(t, "third", s.Heights[2], s.Heights[1], 0)
}

func TestThreeBasinsWithTrapAndThings(t *testing.T) {
	t.Parallel()
	// Chamber 200, pane 10 to 150, slot 30, raised pane 10 from 40 to 220, slot
	// 30, pane 10 to 100, chamber 210; 100 wide, 260 high. A box of 50 x 60 x 80
	// stands in the first chamber, an upright cylinder of radius 20 in the last,
	// from 30 above the floor.
	things := []solid.Solid{
		solid.Box(r3.Box{Min: r3.Vec{X: 20, Y: 20}, Max: r3.Vec{X: 70, Y: 80, Z: 80}}),
		&solid.Cylinder{A: r3.Vec{X: 400, Y: 50, Z: 30}, B: r3.Vec{X: 400, Y: 50, Z: 500}, Radius: 20},
	}
	tank := build(500, 100, 260, []pane{{200, 10, 0, 150}, {240, 10, 40, 220}, {280, 10, 0, 100}}, things, [2]float64{})
	round := math.Pi * 400
	first := 200.0*100*150 - 50*60*80
	slots := (30+30)*100*100 + 10*100*40.0 // to the top of the last pane, with what is under the raised one
	last := 210.0*100*60 - round*30
	s := tank.Settle([]float64{first + slots + last, 0, 0, 0})
	for i, want := range []float64{150, 100, 100, 60} {
		near(t, "level", s.Heights[i], want, 1e-7)
	}
	near(t, "held", tank.Held(s.Heights), first+slots+last, 1e-3)
	// All of it at 170: over the first and the last pane, not over the raised one.
	all := 200.0*100*170 - 50*60*80 + (10*20+30+30+0)*0 +
		10*100*20 + 60*100*170 + 10*100*40 + 10*100*70 + 210*100*170 - round*140
	s = tank.Settle([]float64{0, 0, 0, all})
	for i := range s.Heights {
		near(t, "common level", s.Heights[i], 170, 1e-7)
	}
}

func TestDrainLeavesWhatStandsBehindPanes(t *testing.T) {
	t.Parallel()
	tank := build(500, 100, 260, []pane{{200, 10, 0, 150}, {240, 10, 40, 220}, {280, 10, 0, 100}}, nil, [2]float64{})
	// Levels as when it runs: what stands above the edges goes, and so does the
	// last chamber.
	v := []float64{200 * 100 * 160, 30 * 100 * 110, 30*100*110 + 10*100*40, 210 * 100 * 70}
	s := tank.Drain(v)
	want := 200*100*10 + 2*30*100*10 + 210*100*70.0
	near(t, "pumped out", s.Sunk, want, 1e-6)
	near(t, "first level", s.Heights[0], 150, 1e-8)
	near(t, "trap level", s.Heights[2], 100, 1e-8)
}

func TestImmersedVolumes(t *testing.T) {
	t.Parallel()
	// How much of a body is under water at a height, out of level or not,
	// counted on a grid: 15e-3 of the body is what that leaves.
	turned := func(axis r3.Vec, angle float64) solid.Pose {
		return solid.About(r3.Vec{X: 250, Y: 250, Z: 150}, solid.Turned(axis, angle))
	}
	block := solid.Box(r3.Box{Min: r3.Vec{X: 200, Y: 220, Z: 100}, Max: r3.Vec{X: 300, Y: 280, Z: 200}})
	rod := &solid.Cylinder{A: r3.Vec{X: 200, Y: 250, Z: 150}, B: r3.Vec{X: 300, Y: 250, Z: 150}, Radius: 30}
	post := &solid.Cylinder{A: r3.Vec{X: 250, Y: 250, Z: 100}, B: r3.Vec{X: 250, Y: 250, Z: 200}, Radius: 30}
	ball := &solid.Ball{Centre: r3.Vec{X: 250, Y: 250, Z: 150}, Radius: 40}
	for _, c := range []struct {
		name  string
		solid solid.Solid
		in    func(p r3.Vec) bool
	}{
		{"block", block, inBlock(solid.Rest)},
		{"turned block", block.Moved(turned(r3.Vec{X: 1, Y: 2, Z: 3}, 0.8)), inBlock(turned(r3.Vec{X: 1, Y: 2, Z: 3}, 0.8))},
		{"rod", rod, inCylinder(rod)},
		{"leaning rod", rod.Moved(turned(r3.Vec{X: 1, Y: 2}, 0.4)), inCylinder(rod.Moved(turned(r3.Vec{X: 1, Y: 2}, 0.4)).(*solid.Cylinder))},
		{"post", post, inCylinder(post)},
		{"ball", ball, func(p r3.Vec) bool { return r3.Norm(r3.Sub(p, ball.Centre)) <= ball.Radius }},
	} {
		for _, tilt := range [][2]float64{{}, {0.02, -0.01}, {0.3, 0.2}} {
			empty := build(500, 500, 400, nil, nil, tilt)
			tank := build(500, 500, 400, nil, []solid.Solid{c.solid}, tilt)
			for _, h := range []float64{60, 105, 130, 150, 171, 199, 260} {
				got := empty.Volume(0, h) - tank.Volume(0, h)
				want := grid(c.in, func(p r3.Vec) bool {
					return p.Z+tilt[0]*(p.X-250)+tilt[1]*(p.Y-250) <= h
				})
				if math.Abs(got-want) > 15e-3*c.solid.Volume() {
					t.Errorf("%s, tilt %v, height %v: %.0f mm³ under water; the grid gives %.0f", c.name, tilt, h, got, want)
				}
			}
			near(t, c.name+": all of it", empty.Volume(0, 399.9-120)-tank.Volume(0, 399.9-120), c.solid.Volume(), 1e-6*c.solid.Volume())
		}
	}
}

// grid counts the volume in which both hold in the middle 120 mm of the test
// tank, on a grid of 2 x 2 x 1 mm.
func grid(a, b func(p r3.Vec) bool) float64 {
	n := 0
	for x := 181.0; x < 320; x += 2 {
		for y := 181.0; y < 320; y += 2 {
			for z := 80.5; z < 220; z++ {
				if p := (r3.Vec{X: x, Y: y, Z: z}); a(p) && b(p) {
					n++
				}
			}
		}
	}
	return 4 * float64(n)
}

func inBlock(p solid.Pose) func(r3.Vec) bool {
	back := solid.Pose{Turn: quat.Conj(p.Turn)}
	return func(v r3.Vec) bool {
		v = back.Rotate(r3.Sub(v, p.Shift))
		return v.X >= 200 && v.X <= 300 && v.Y >= 220 && v.Y <= 280 && v.Z >= 100 && v.Z <= 200
	}
}

func inCylinder(c *solid.Cylinder) func(r3.Vec) bool {
	axis := r3.Unit(r3.Sub(c.B, c.A))
	length := r3.Norm(r3.Sub(c.B, c.A))
	return func(v r3.Vec) bool {
		d := r3.Sub(v, c.A)
		along := r3.Dot(d, axis)
		return along >= 0 && along <= length && r3.Norm(r3.Sub(d, r3.Scale(along, axis))) <= c.Radius
	}
}

func TestLyingPipeClosedForm(t *testing.T) {
	t.Parallel()
	// A pipe along the flow through a pane's place: each space holds its share,
	// half of it at the height of its axis.
	pipe := &solid.Cylinder{A: r3.Vec{X: -50, Y: 50, Z: 200}, B: r3.Vec{X: 450, Y: 50, Z: 200}, Radius: 20}
	tank := build(410, 100, 300, []pane{{100, 10, 0, 120}}, []solid.Solid{pipe}, [2]float64{})
	near(t, "first space", tank.Volume(0, 200), 100*100*200-math.Pi*200*100, 1e-6)
	near(t, "second space", tank.Volume(1, 200), 300*100*200-math.Pi*200*300, 1e-6)
	near(t, "all of it", tank.Held([]float64{230, 230}), 400*100*230+10*100*110-math.Pi*400*410, 1e-3)
}

func TestCylindricalWedge(t *testing.T) {
	t.Parallel()
	// A surface through the middle of a post's foot, sloping by 0.3, cuts off a
	// cylindrical wedge of (2/3) r² times its height 0.3 r.
	post := &solid.Cylinder{A: r3.Vec{X: 250, Y: 250, Z: 100}, B: r3.Vec{X: 250, Y: 250, Z: 200}, Radius: 30}
	tilt := [2]float64{0.3, 0}
	empty, tank := build(500, 500, 400, nil, nil, tilt), build(500, 500, 400, nil, []solid.Solid{post}, tilt)
	near(t, "wedge", empty.Volume(0, 100)-tank.Volume(0, 100), 2.0/3*30*30*0.3*30, 1e-6)
	near(t, "without the wedge at its head", empty.Volume(0, 200)-tank.Volume(0, 200),
		post.Volume()-2.0/3*30*30*0.3*30, 1e-5)
}

func TestOutOfLevel(t *testing.T) {
	t.Parallel()
	// 400 long, the right end 8 mm lower: the brim's lowest corner is 4 mm lower
	// than its middle, and the pane's low end counts for what spills.
	tank := build(400, 200, 300, []pane{{95, 10, 0, 100}}, nil, [2]float64{-0.02, 0.01})
	near(t, "brim", tank.Brim(), 300-4-1, 1e-9)
	near(t, "crest", tank.Crest(0), 100-0.02*(100-200+5)-1, 1e-9)
	near(t, "depth in the first space", tank.DepthAt(r3.Vec{X: 47.5, Y: 100}, 50), 50+0.02*(47.5-200), 1e-9)
	// Above the highest point of the floor a space holds its area times the depth
	// in its middle.
	near(t, "volume", tank.Volume(1, 60), 295*200*tank.DepthAt(r3.Vec{X: 252.5, Y: 100}, 60), 1e-5)
}

func TestMuddled(t *testing.T) {
	t.Parallel()
	box := func(x float64) solid.Solid {
		return solid.Box(r3.Box{Min: r3.Vec{X: x, Y: 1, Z: 1}, Max: r3.Vec{X: x + 60, Y: 99, Z: 150}})
	}
	if tank := build(200, 100, 200, nil, []solid.Solid{box(1), box(100)}, [2]float64{}); tank.Muddled {
		t.Error("two boxes beside each other are taken for a muddle")
	}
	if tank := build(200, 100, 200, nil, []solid.Solid{box(1), box(5), box(9), box(100)}, [2]float64{}); !tank.Muddled {
		t.Error("boxes in each other's place leave water that is not there, unnoticed")
	}
}

func lph(q float64) float64 { return float64(unit.Flow(q) * unit.LitrePerHour) }

func TestRunningLevels(t *testing.T) {
	t.Parallel()
	tank := build(700, 318, 387, []pane{{400, 6, 0, 241}, {445, 6, 32, 305}, {483, 6, 0, 210}}, nil, [2]float64{})
	q := lph(1136)
	f := tank.Run(q, 178, basin.Nominal)
	last := basin.Crest{Width: 318, Height: 210, Thickness: 6}.Head(q, -1, basin.KindsvaterCarter)
	near(t, "second slot", f.Heights[2], 210+last, 1e-9)
	near(t, "first slot", f.Heights[1], f.Heights[2]+basin.Loss(q, 32*318, basin.Contraction), 1e-9)
	first := basin.Crest{Width: 318, Height: 241, Thickness: 6}.Head(q, -1, basin.KindsvaterCarter)
	near(t, "chamber", f.Heights[0], 241+first, 1e-9)
	if f.InRange[0] || f.InRange[2] {
		t.Error("a head of 12 mm is no range of a formula that begins at 30 mm")
	}
	lo, hi := tank.Run(q, 178, basin.Low), tank.Run(q, 178, basin.High)
	for i := range 3 {
		if !(lo.Heights[i] < f.Heights[i] && f.Heights[i] < hi.Heights[i]) {
			t.Errorf("space %d: %.2f does not lie between %.2f and %.2f", i, f.Heights[i], lo.Heights[i], hi.Heights[i])
		}
		if band := hi.Heights[i] - lo.Heights[i]; band > 8 {
			t.Errorf("space %d: the band is %.1f mm wide, of no use", i, band)
		}
	}
	// The next level above the edge drowns it.
	d := tank.Run(q, 230, basin.Nominal)
	if !d.Drowned[2] || d.Heights[2] <= 230 || d.Heights[2] > 235 {
		t.Errorf("drowned edge: %.2f before it with 230 behind it, drowned %v", d.Heights[2], d.Drowned[2])
	}
	// A narrow gap backs the water up until it passes over the pane too.
	tight := build(700, 318, 387, []pane{{400, 6, 0.5, 200}}, nil, [2]float64{})
	o := tight.Run(lph(3000), 150, basin.Nominal)
	if !o.Overtopped[0] || o.Heights[0] <= 200 {
		t.Errorf("strangled pane: %.2f before it, overtopped %v", o.Heights[0], o.Overtopped[0])
	}
}

// randomTank draws a tank with some panes and things that do not overlap.
func randomTank(t *rapid.T) (*basin.Tank, int) {
	l := rapid.Float64Range(150, 1200).Draw(t, "length")
	w := rapid.Float64Range(80, 600).Draw(t, "width")
	h := rapid.Float64Range(100, 600).Draw(t, "height")
	n := rapid.IntRange(0, 5).Draw(t, "panes")
	var panes []pane
	var solids []solid.Solid
	cell := l / float64(n+1)
	for i := range n + 1 {
		if i > 0 {
			p := pane{at: float64(i)*cell - 5, thick: rapid.Float64Range(2, 10).Draw(t, "thick")}
			p.top = rapid.Float64Range(0.05*h, 1.1*h).Draw(t, "top")
			if rapid.Bool().Draw(t, "raised") {
				p.gap = rapid.Float64Range(0.01, 0.9).Draw(t, "gap") * p.top
			}
			panes = append(panes, p)
		}
		if rapid.Bool().Draw(t, "thing") {
			x, y := (float64(i)+0.5)*cell, w/2
			r := rapid.Float64Range(1, 0.3*min(cell-20, w)).Draw(t, "size")
			z := rapid.Float64Range(-10, h).Draw(t, "up")
			tall := rapid.Float64Range(1, h).Draw(t, "tall")
			switch rapid.IntRange(0, 3).Draw(t, "form") {
			case 0:
				solids = append(solids, &solid.Cylinder{A: r3.Vec{X: x, Y: y, Z: z}, B: r3.Vec{X: x, Y: y, Z: z + tall}, Radius: r})
			case 1:
				solids = append(solids, &solid.Cylinder{A: r3.Vec{X: x, Y: y - r, Z: z}, B: r3.Vec{X: x + r/3, Y: y + r, Z: z + r}, Radius: r / 2})
			case 2:
				solids = append(solids, &solid.Ball{Centre: r3.Vec{X: x, Y: y, Z: z}, Radius: r})
			case 3:
				solids = append(solids, solid.Box(r3.Box{Min: r3.Vec{X: x - r, Y: y - r, Z: z}, Max: r3.Vec{X: x + r, Y: y + r, Z: z + tall}}).
					Moved(solid.About(r3.Vec{X: x, Y: y, Z: z}, solid.Turned(r3.Vec{X: 1, Y: 1, Z: 1}, rapid.Float64Range(0, 0.3).Draw(t, "turn")))))
			}
		}
	}
	tilt := [2]float64{}
	if rapid.Bool().Draw(t, "out of level") {
		tilt = [2]float64{rapid.Float64Range(-0.02, 0.02).Draw(t, "tilt x"), rapid.Float64Range(-0.02, 0.02).Draw(t, "tilt y")}
	}
	return build(l, w, h, panes, solids, tilt), n + 1
}

func TestVolumeIsConserved(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		tank, n := randomTank(t)
		conserve(t, tank, n, func(name string) float64 { return rapid.Float64Range(0, 3e7).Draw(t, name) })
	})
}

type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// conserve pours random volumes and fails where water is made or lost: more
// than 1e-9 of it, or a thousandth of a cubic millimetre, which is what a level
// found to 1e-10 mm leaves.
func conserve(t failer, tank *basin.Tank, n int, draw func(string) float64) {
	t.Helper()
	if tank.Muddled {
		return
	}
	poured := make([]float64, n)
	total := 0.0
	for i := range poured {
		poured[i] = draw("poured")
		total += poured[i]
	}
	s := tank.Settle(poured)
	sum := s.Spilled
	for _, v := range s.Volumes {
		sum += v
	}
	if math.Abs(sum-total) > 1e-9*total+1e-3 {
		t.Fatalf("poured %v, accounted for %v", total, sum)
	}
	if held := tank.Held(s.Heights); math.Abs(held+s.Spilled-total) > 1e-9*total+1e-3 {
		t.Fatalf("poured %v; the levels %v hold %v and %v spilled", total, s.Heights, held, s.Spilled)
	}
	for i, h := range s.Heights {
		if h > tank.Brim()+600 || math.IsNaN(h) {
			t.Fatalf("space %d stands at %v", i, h)
		}
	}
	d := tank.Drain(poured)
	sum = d.Spilled + d.Sunk
	for _, v := range d.Volumes {
		sum += v
	}
	if math.Abs(sum-total) > 1e-9*total+1e-3 {
		t.Fatalf("drain: poured %v, accounted for %v", total, sum)
	}
}

func BenchmarkTank(b *testing.B) {
	things := []solid.Solid{
		solid.Box(r3.Box{Min: r3.Vec{X: 20, Y: 20}, Max: r3.Vec{X: 70, Y: 80, Z: 80}}),
		&solid.Cylinder{A: r3.Vec{X: 400, Y: 50, Z: 30}, B: r3.Vec{X: 400, Y: 50, Z: 500}, Radius: 20},
	}
	for b.Loop() {
		tank := build(500, 100, 260, []pane{{200, 10, 0, 150}, {240, 10, 40, 220}, {280, 10, 0, 100}}, things, [2]float64{0.003, 0})
		tank.Settle([]float64{3e6, 1e6, 1e5, 1e6})
		tank.Run(lph(1000), 70, basin.Nominal)
	}
}

func TestTenThousandSumps(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 10))
	f := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	for range 10000 {
		l, w, h := f(150, 1200), f(80, 600), f(100, 600)
		n := rng.IntN(6)
		var panes []pane
		var solids []solid.Solid
		cell := l / float64(n+1)
		for i := range n + 1 {
			if i > 0 {
				p := pane{at: float64(i)*cell - 5, thick: f(2, 10), top: f(0.05*h, 1.1*h)}
				if rng.IntN(2) == 0 {
					p.gap = p.top * f(0.01, 0.9)
				}
				panes = append(panes, p)
			}
			x, r, z := (float64(i)+0.5)*cell, f(1, 0.3*min(cell-20, w)), f(-10, h)
			switch rng.IntN(4) {
			case 0:
				solids = append(solids, &solid.Cylinder{A: r3.Vec{X: x, Y: w / 2, Z: z}, B: r3.Vec{X: x, Y: w / 2, Z: z + f(1, h)}, Radius: r})
			case 1:
				if r *= 0.5; 2*r < h {
					z = f(r, h-r)
					solids = append(solids, &solid.Cylinder{A: r3.Vec{X: x - r, Y: w / 2, Z: z}, B: r3.Vec{X: x + r, Y: w / 2, Z: z}, Radius: r})
				}
			case 2:
				solids = append(solids, solid.Box(r3.Box{Min: r3.Vec{X: x - r, Y: w/2 - r, Z: z}, Max: r3.Vec{X: x + r, Y: w/2 + r, Z: z + f(1, h)}}))
			}
		}
		tilt := [2]float64{}
		if rng.IntN(3) == 0 {
			tilt = [2]float64{f(-0.02, 0.02), f(-0.02, 0.02)}
		}
		tank := build(l, w, h, panes, solids, tilt)
		conserve(t, tank, n+1, func(string) float64 { return f(0, 1.2*l*w*h/float64(n+1)) })
		run := tank.Run(lph(f(1, 8000)), f(0, h), basin.Nominal)
		for i, x := range run.Heights {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("running level of space %d is %v", i, x)
			}
		}
	}
}

func TestLevelsRise(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		tank, n := randomTank(t)
		if tank.Muddled {
			return
		}
		v := make([]float64, n)
		at := rapid.IntRange(0, n-1).Draw(t, "where")
		for i := range v {
			v[i] = rapid.Float64Range(0, 1e7).Draw(t, "poured")
		}
		before := tank.Settle(v)
		v[at] += rapid.Float64Range(0, 1e7).Draw(t, "more")
		after := tank.Settle(v)
		for i := range v {
			// 1e-6 mm: levels are found to 1e-10, volumes to 1e-13 of themselves.
			if after.Heights[i] < before.Heights[i]-1e-6 {
				t.Fatalf("more water in space %d lowers space %d from %v to %v", at, i, before.Heights[i], after.Heights[i])
			}
		}
		last := rapid.Float64Range(0, 300).Draw(t, "last level")
		q := rapid.Float64Range(1, 4000).Draw(t, "flow")
		more := q * rapid.Float64Range(1, 3).Draw(t, "times")
		a, b := tank.Run(lph(q), last, basin.Nominal), tank.Run(lph(more), last, basin.Nominal)
		for i := range v {
			if b.Heights[i] < a.Heights[i]-1e-6 {
				t.Fatalf("%v L/h instead of %v lowers space %d from %v to %v", more, q, i, a.Heights[i], b.Heights[i])
			}
		}
	})
}

func TestOutOfLevelNothingIsMuddled(t *testing.T) {
	t.Parallel()
	block := func(x, y, z, w, d, h float64) solid.Solid {
		return solid.Box(r3.Box{Min: r3.Vec{X: x, Y: y, Z: z}, Max: r3.Vec{X: x + w, Y: y + d, Z: z + h}})
	}
	for _, c := range []struct {
		name   string
		solids []solid.Solid
	}{
		// Where the low end's water is at the brim, only the rim is higher.
		{"a rim round the top", []solid.Solid{
			block(0, 0, 280, 6, 100, 20), block(394, 0, 280, 6, 100, 20), block(6, 0, 280, 388, 6, 20), block(6, 94, 280, 388, 6, 20),
		}},
		{"a thing in the lowest corner", []solid.Solid{block(350, 0, 0, 50, 100, 80)}},
		{"a thing from side to side to the brim", []solid.Solid{block(380, 0, 0, 20, 100, 300)}},
	} {
		for _, tilt := range [][2]float64{{}, {-0.01, 0}, {0.01, 0.004}} {
			tank := build(400, 100, 300, nil, c.solids, tilt)
			if tank.Muddled {
				t.Errorf("%s, tilt %v: taken for things in each other's place", c.name, tilt)
				continue
			}
			// A litre that is there is found again.
			still := tank.Settle([]float64{1e6})
			near(t, c.name+": held", tank.Held(still.Heights), 1e6, 1e-2)
		}
	}
}
