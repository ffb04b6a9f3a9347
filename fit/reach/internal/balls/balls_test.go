package balls_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/reach/internal/balls"
	"undercroft/scene/solid"
)

func box(x0, y0, z0, x1, y1, z1 float64) solid.Solid {
	return solid.Box(r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}})
}

// shell is a closed box of 600 by 400 by 500 with walls of 20, open in front
// between x0 and x1, z0 and z1.
func shell(x0, x1, z0, z1 float64) []solid.Solid {
	return []solid.Solid{
		box(0, 0, 0, 600, 400, 20), box(0, 0, 480, 600, 400, 500), box(0, 0, 0, 20, 400, 500),
		box(580, 0, 0, 600, 400, 500), box(0, 380, 0, 600, 400, 500),
		box(0, 0, 0, x0, 20, 500), box(x1, 0, 0, 600, 20, 500), box(x0, 0, 0, x1, 20, z0), box(x0, 0, z1, x1, 20, 500),
	}
}

// at is a place in the middle between left and right.
func at(y, z float64) r3.Box {
	p := r3.Vec{X: 300, Y: y, Z: z}
	return r3.Box{Min: p, Max: p}
}

func ask(zone r3.Box, thin float64, solids ...solid.Solid) balls.Answer {
	return balls.Prove(balls.Query{
		Solids: solids, Tape: make([]float64, len(solids)),
		Box:  r3.Box{Max: r3.Vec{X: 600, Y: 400, Z: 500}},
		Zone: zone, Near: 60, First: thin, Radius: func(float64) float64 { return thin }, Length: 900,
	})
}

// The length that is proved is never more than the shortest way there is, known
// here from a taut string, and not much less.
func TestLengthAgainstTautStrings(t *testing.T) {
	t.Parallel()
	open := shell(20, 580, 20, 480)
	// A wall across all of the box at y 200 to 210, up to z 400.
	wall := box(20, 200, 20, 580, 210, 400)
	const ball = 15
	for _, c := range []struct {
		name   string
		zone   r3.Box
		solids []solid.Solid
		want   float64
	}{
		{"straight out", at(330, 250), open, 330},
		{
			"over a wall", at(330, 100), append(open, wall),
			// Up past the edges of the wall, which a ball of 15 keeps away from, and
			// level on.
			math.Hypot(330-210, 400+ball-100) + 210,
		},
		{"from a zone", r3.Box{Min: r3.Vec{X: 250, Y: 300, Z: 200}, Max: r3.Vec{X: 350, Y: 350, Z: 300}}, open, 300},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := ask(c.zone, ball, c.solids...)
			if !got.Room || got.Least > c.want || got.Least < 0.88*c.want-25 {
				t.Errorf("shown %.1f mm at least (room %v), the shortest way is %.1f", got.Least, got.Room, c.want)
			}
		})
	}
}

func TestClosed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		width float64
		ball  float64
		out   bool
	}{
		{"no hole", 0, 15, false},
		{"a hole wider than the ball", 34, 15, true},
		{"a hole narrower than the ball", 27, 15, false},
		{"a hole for a forearm", 100, 45, true},
		{"a hole too narrow for a forearm", 84, 45, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := ask(at(200, 250), c.ball, shell(300-c.width/2, 300+c.width/2, 250-c.width/2, 250+c.width/2)...)
			if out := !math.IsInf(got.Least, 1); out != c.out {
				t.Errorf("comes out %v, want %v", out, c.out)
			}
			if !c.out && c.width > 0 && !(got.Short > 0 && got.Short < c.ball) {
				t.Errorf("too large by %v", got.Short)
			}
		})
	}
}

// A ball has no room in a slot narrower than itself, and has in one that is
// hardly wider; a round pillar counts as round.
func TestRoomAtThePlace(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		slot float64
		room bool
	}{{"wider", 30.6, true}, {"narrower", 27, false}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			for side, slab := range map[string][2]solid.Solid{
				"plates":  {box(100, 21, 30, 300-c.slot/2, 379, 470), box(300+c.slot/2, 21, 30, 500, 379, 470)},
				"pillars": {&solid.Cylinder{A: r3.Vec{X: 300 - c.slot/2 - 200, Y: 200, Z: 30}, B: r3.Vec{X: 300 - c.slot/2 - 200, Y: 200, Z: 470}, Radius: 200}, box(300+c.slot/2, 21, 30, 500, 379, 470)},
			} {
				got := balls.Prove(balls.Query{
					Solids: append(shell(20, 580, 20, 480), slab[0], slab[1]), Tape: make([]float64, 11),
					Box: r3.Box{Max: r3.Vec{X: 600, Y: 400, Z: 500}}, Zone: at(200, 250), Near: 5, First: 15,
					Radius: func(float64) float64 { return 15 }, Length: 900,
				})
				if got.Room != c.room {
					t.Errorf("%s: room %v, want %v", side, got.Room, c.room)
				}
			}
		})
	}
}

// A thin pane between hand and place hides it, as long as the hand does not
// reach past its edge.
func TestThroughGlass(t *testing.T) {
	t.Parallel()
	pane := box(20, 200, 20, 580, 205, 480) // all across
	place := at(230, 250)
	if got := ask(place, 15, append(shell(20, 580, 20, 480), pane)...); !math.IsInf(got.Least, 1) {
		t.Errorf("a hand goes through glass: %+v", got)
	}
	half := box(20, 200, 20, 580, 205, 270)
	if got := ask(place, 15, append(shell(20, 580, 20, 480), half)...); math.IsInf(got.Least, 1) {
		t.Errorf("a hand does not go over the edge of glass: %+v", got)
	}
}

// What may be farther away by the tape's error leaves so much more room.
func TestTape(t *testing.T) {
	t.Parallel()
	solids := shell(286, 314, 236, 264) // a hole of 28
	tape := make([]float64, len(solids))
	for i := range tape {
		tape[i] = 2
	}
	q := balls.Query{
		Solids: solids, Tape: tape, Box: r3.Box{Max: r3.Vec{X: 600, Y: 400, Z: 500}}, Zone: at(200, 250),
		Near: 60, First: 15, Radius: func(float64) float64 { return 15 }, Length: 900,
	}
	if got := balls.Prove(q); math.IsInf(got.Least, 1) {
		t.Error("a hole of 28 ± 2 on every side is refused for a ball of 30")
	}
}

// holding asks for where the wrist may be, so far along an arm that is 30 thick.
func holding(zone r3.Box, hand float64, solids ...solid.Solid) []r3.Box {
	return balls.Prove(balls.Query{
		Solids: solids, Tape: make([]float64, len(solids)), Box: r3.Box{Max: r3.Vec{X: 600, Y: 400, Z: 500}},
		Zone: zone, Near: hand + 10, First: 28, Radius: func(float64) float64 { return 15 }, Length: hand + 10, Hand: hand,
	}).Wrists
}

func inOne(boxes []r3.Box, p r3.Vec) bool {
	return slices.ContainsFunc(boxes, func(b r3.Box) bool {
		return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y && p.Z >= b.Min.Z && p.Z <= b.Max.Z
	})
}

// The wrist is on this side of glass, unless there is a way round its edge as short as a
// hand.
func TestWristsBehindGlass(t *testing.T) {
	t.Parallel()
	open := shell(20, 580, 20, 480)
	behind := r3.Vec{X: 300, Y: 180, Z: 250}
	for _, c := range []struct {
		name string
		edge float64
		want bool
	}{{"all across", 480, false}, {"far below its edge", 400, false}, {"at its edge", 240, true}} {
		got := holding(at(230, 250), 60, append(open, box(20, 200, 20, 580, 205, c.edge))...)
		if inOne(got, behind) != c.want {
			t.Errorf("%s: the wrist may be behind the glass: %v, want %v", c.name, !c.want, c.want)
		}
		if before := (r3.Vec{X: 300, Y: 280, Z: 250}); !inOne(got, before) {
			t.Errorf("%s: the wrist may not be before the glass", c.name)
		}
	}
}

// The wrist may be in a tube that the hand is too thick for, whichever way that runs.
func TestWristsInTubes(t *testing.T) {
	t.Parallel()
	const from, to, inner, outer = 32, 75, 18, 70
	middle := r3.Vec{X: 300, Y: 200, Z: 250}
	for axis := range 3 {
		for _, sign := range []float64{-1, 1} {
			toward := func(along, one, other float64) r3.Vec {
				c := [3]float64{}
				c[axis], c[(axis+1)%3], c[(axis+2)%3] = sign*along, one, other
				return r3.Add(middle, r3.Vec{X: c[0], Y: c[1], Z: c[2]})
			}
			solids := shell(20, 580, 20, 480)
			for _, side := range [][4]float64{{inner, outer, -outer, outer}, {-outer, -inner, -outer, outer}, {-inner, inner, inner, outer}, {-inner, inner, -outer, -inner}} {
				solids = append(solids, solid.Box(solid.BoundsOf(
					&solid.Ball{Centre: toward(from, side[0], side[2])}, &solid.Ball{Centre: toward(to, side[1], side[3])})))
			}
			if wrist := toward(55, 0, 0); !inOne(holding(at(200, 250), 60, solids...), wrist) {
				t.Errorf("axis %d, %+g: the wrist may not be at %v", axis, sign, wrist)
			}
		}
	}
}

// The wrist of any hand that is drawn free, in two straight pieces, is where it is said
// to be.
func TestWristsHoldDrawnHands(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		within := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
		solids := shell(20, 580, 20, 480)
		for range rapid.IntRange(1, 5).Draw(t, "boxes") {
			x, y, z := within("x", 220, 350), within("y", 130, 260), within("z", 170, 300)
			solids = append(solids, box(x, y, z, x+within("wide", 2, 60), y+within("deep", 2, 60), z+within("high", 2, 60)))
		}
		zone := at(200, 250)
		place := zone.Min
		number := rapid.Float64Range(-1, 1)
		toward := func(from r3.Vec, length float64) r3.Vec {
			d := r3.Vec{X: number.Draw(t, "dx"), Y: number.Draw(t, "dy"), Z: number.Draw(t, "dz")}
			return r3.Add(from, r3.Scale(length/max(1, r3.Norm(d)), d))
		}
		first := toward(place, 34)
		wrist := toward(first, 34-r3.Norm(r3.Sub(first, place)))
		free := func(a, b r3.Vec, radius float64) bool {
			line := &solid.Capsule{A: a, B: b, Radius: radius}
			return !slices.ContainsFunc(solids, func(s solid.Solid) bool { return solid.Distance(line, s).Low < 0.1 })
		}
		if !free(place, first, 0) || !free(first, first, 28) || !free(first, wrist, 15) {
			return
		}
		if got := holding(zone, 35, solids...); !inOne(got, wrist) {
			t.Fatalf("a free hand from %v over %v has its wrist at %v, which is said to be none", place, first, wrist)
		}
	})
}

func BenchmarkProve(b *testing.B) {
	solids := append(shell(20, 580, 20, 480), box(20, 200, 20, 580, 210, 400))
	for b.Loop() {
		if got := ask(at(330, 100), 15, solids...); !got.Room {
			b.Fatal("no room")
		}
	}
}
