package proof_test

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

// well is a shaft, open at its front, with a lid that leaves a gap: a ball of more
// than half of that does not get out.
func well(gap float64) []r3.Box {
	return []r3.Box{
		box(-20, 0, -20, 0, 420, 420), box(300, 0, -20, 320, 420, 420), // left and right
		box(0, 0, -20, 300, 420, 0), box(0, 0, 300, 300, 420, 320), // below and above
		box(0, 400, 0, 300, 420, 300),      // behind
		box(0, 0, 0, 300, 20, 300-gap),     // before, up to the gap
		box(0, -400, 290, 300, -300, 1000), // and something outside
	}
}

// pocketed is a cube in a well, and the pocket of its ball on a grid of edges h.
func pocketed(tb testing.TB, h float64) (*proof.Room, *proof.Body, *proof.Proof) {
	tb.Helper()
	const r, gap = 60.0, 100.0
	at := r3.Vec{X: 150, Y: 210, Z: 150}
	near := r3.Vec{X: 20, Y: 20, Z: 20}
	half := r3.Vec{X: r, Y: r, Z: r}
	room := &proof.Room{
		Boxes: well(gap), First: math.Inf(-1), Last: math.Inf(1),
		End: r3.Box{Min: r3.Sub(at, near), Max: r3.Add(at, near)},
	}
	body := &proof.Body{Ref: at, Parts: []*solid.Polyhedron{solid.Box(r3.Box{Min: r3.Sub(at, half), Max: r3.Add(at, half)})}}
	domain := box(-20, 0, -20, 320, 420, 420)
	cubes, ok := space.Flood(domain, room.End, room.Boxes, r, h, 1e6)
	if !ok {
		tb.Fatal("no pocket found")
	}
	p := &proof.Pocket{Middle: [3]float64{at.X, at.Y, at.Z}, Radius: r, From: [3]float64{-20, 0, -20}, Edge: h}
	p.Hold(cubes)
	return room, body, &proof.Proof{Erosion: 1, Kind: proof.Ball, Pocket: p}
}

func TestPocket(t *testing.T) {
	t.Parallel()
	room, body, good := pocketed(t, 5)
	if err := proof.Check(room, body, good); err != nil {
		t.Fatal(err)
	}
	data, err := proof.Marshal(good)
	if err != nil {
		t.Fatal(err)
	}
	back, err := proof.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	if err := proof.Check(room, body, back); err != nil {
		t.Error(err)
	}
	if again, err := proof.Marshal(back); err != nil || !bytes.Equal(data, again) {
		t.Error("a pocket read and written again is another one")
	}
	for what, change := range map[string]func(m *proof.Room, b *proof.Body, p *proof.Pocket){
		"nothing in it":                   func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Hold(nil) },
		"no runs":                         func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Runs = nil },
		"a run too many":                  func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Runs = append(p.Runs, 1) },
		"a negative run":                  func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Runs[0] = -1 },
		"a missing cube":                  func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { without(p) },
		"a shifted grid":                  func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.From[0] -= 12 },
		"a grid shifted toward the front": func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.From[1] -= 15 },
		"a grid that reaches outside":     func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.From[1] -= 300 },
		"other cubes":                     func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Edge *= 1.02 },
		"cubes of no size":                func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Edge = 0 },
		"rows of another length": func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) {
			p.Count[0], p.Count[1] = p.Count[1], p.Count[0]
		},
		"a grid of nothing":    func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Count[2] = -1 },
		"a grid too large":     func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Count = [3]int{1 << 20, 1 << 20, 1 << 30} },
		"a place that is none": func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.From[2] = math.NaN() },
		"a larger ball":        func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Radius += 1e-3 },
		"a ball of no size":    func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Radius = math.NaN() },
		"a smaller ball":       func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Radius = 45 },
		"a ball beside":        func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Middle[0]++ },
		"another part":         func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Part = 1 },
		"no part":              func(_ *proof.Room, _ *proof.Body, p *proof.Pocket) { p.Part = -1 },
		"a wider gap":          func(m *proof.Room, _ *proof.Body, _ *proof.Pocket) { m.Boxes[5].Max.Z -= 30 },
		"no lid":               func(m *proof.Room, _ *proof.Body, _ *proof.Pocket) { m.Boxes = slices.Delete(m.Boxes, 3, 4) },
		"a larger end":         func(m *proof.Room, _ *proof.Body, _ *proof.Pocket) { m.End.Max.Z = 500 },
		"an end outside":       func(m *proof.Room, _ *proof.Body, _ *proof.Pocket) { m.End.Min.Y, m.End.Max.Y = -300, -250 },
		"an end of all": func(m *proof.Room, _ *proof.Body, _ *proof.Pocket) {
			m.End.Min.X, m.End.Max.X = math.Inf(-1), math.Inf(1)
		},
		"a smaller body": func(_ *proof.Room, b *proof.Body, _ *proof.Pocket) {
			b.Parts[0] = solid.Box(box(100, 160, 100, 200, 260, 200))
		},
		"a body elsewhere": func(_ *proof.Room, b *proof.Body, _ *proof.Pocket) {
			b.Parts[0] = solid.Box(box(190, 150, 90, 310, 270, 210))
		},
	} {
		room, body, pocket := *room, *body, *good.Pocket
		room.Boxes, body.Parts, pocket.Runs = slices.Clone(room.Boxes), slices.Clone(body.Parts), slices.Clone(pocket.Runs)
		change(&room, &body, &pocket)
		if proof.Check(&room, &body, &proof.Proof{Erosion: 1, Kind: proof.Ball, Pocket: &pocket}) == nil {
			t.Errorf("accepts a pocket with %s", what)
		}
	}
	good.Pocket = nil
	if proof.Check(room, body, good) == nil {
		t.Error("accepts a ball without a pocket")
	}
}

// without takes the cube out of a pocket that the middle of the ball is in at rest.
func without(p *proof.Pocket) {
	var at [3]int
	for k := range at {
		at[k] = int((p.Middle[k] - p.From[k]) / p.Edge)
	}
	before := (at[2]*p.Count[1]+at[1])*p.Count[0] + at[0]
	for i, n := range p.Runs {
		if before < n {
			p.Runs = slices.Replace(p.Runs, i, i+1, before, 1, n-before-1)
			return
		}
		before -= n
	}
}

// The ball gets out of the gap where it is wide enough, so that no pocket at all
// may be accepted: neither all cubes that are open, nor parts of them.
func TestPocketsOfWhatGetsOut(t *testing.T) {
	t.Parallel()
	r := newRandom(17)
	room, body, p := pocketed(t, 5)
	for i := range 30 {
		const h = 10
		radius := r.between(30, 49)
		half := r3.Vec{X: radius, Y: radius, Z: radius}
		body.Parts[0] = solid.Box(r3.Box{Min: r3.Sub(body.Ref, half), Max: r3.Add(body.Ref, half)})
		var cubes [][3]int
		cut := r.IntN(5)
		for z := range 44 {
			for y := -3; y < 42; y++ {
				for x := range 34 {
					c := [3]int{x, y, z}
					switch {
					case y < 3-cut, r.IntN(200) == 0 && cut == 4:
					case z > 30 && y > 2: // over the lid
					default:
						cubes = append(cubes, c)
					}
				}
			}
		}
		p.Pocket.Radius, p.Pocket.Edge, p.Pocket.From = radius, h, [3]float64{-20, 0, -20}
		p.Pocket.Hold(cubes)
		if proof.Check(room, body, p) == nil {
			t.Errorf("pocket %d: a ball of %v mm is kept in, and the gap is 100", i, 2*radius)
		}
	}
}

// What lies in a closed room with all that is outside is no pocket.
func TestPocketOfAllThereIs(t *testing.T) {
	t.Parallel()
	const h, radius = 20, 40.0
	room, body, p := pocketed(t, 5)
	half := r3.Vec{X: radius, Y: radius, Z: radius}
	body.Parts[0] = solid.Box(r3.Box{Min: r3.Sub(body.Ref, half), Max: r3.Add(body.Ref, half)})
	room.Boxes = []r3.Box{
		box(-400, -400, -400, -300, 800, 800), box(700, -400, -400, 800, 800, 800),
		box(-400, -400, -400, 800, -300, 800), box(-400, 700, -400, 800, 800, 800),
		box(-400, -400, -400, 800, 800, -300), box(-400, -400, 700, 800, 800, 800),
	}
	for name, first := range map[string]int{"from before the front": 0, "from the front on": 10} {
		var cubes [][3]int
		for z := range 50 {
			for y := first; y < 50; y++ {
				for x := range 50 {
					cubes = append(cubes, [3]int{x, y, z})
				}
			}
		}
		p.Pocket.Radius, p.Pocket.Edge, p.Pocket.From = radius, h, [3]float64{-300, -300, -300}
		p.Pocket.Hold(cubes)
		if proof.Check(room, body, p) == nil {
			t.Errorf("accepts a pocket of all there is, %s", name)
		}
	}
}

func BenchmarkCheckPocket(b *testing.B) {
	room, body, p := pocketed(b, 3)
	for b.Loop() {
		if err := proof.Check(room, body, p); err != nil {
			b.Fatal(err)
		}
	}
}
