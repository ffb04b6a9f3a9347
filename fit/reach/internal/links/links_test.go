package links_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/reach/internal/links"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

func point(x, y, z float64) r3.Box { return box(x, y, z, x, y, z) }

// outer is a cabinet of 600 by 400 by 500 with walls of 20, and its front.
var outer = box(0, 0, 0, 600, 400, 500)

// shell is that cabinet, open in front from z0 to z1.
func shell(z0, z1 float64) []r3.Box {
	return []r3.Box{
		box(0, 0, 0, 600, 400, 20), box(0, 0, 480, 600, 400, 500), box(0, 0, 0, 20, 400, 500),
		box(580, 0, 0, 600, 400, 500), box(0, 380, 0, 600, 400, 500),
		box(0, 0, 0, 600, 20, z0), box(0, 0, z1, 600, 20, 500),
	}
}

func query(zone r3.Box, hand, fore, upper float64, solids []r3.Box) links.Query {
	return links.Query{
		Solids: solids, Tape: make([]float64, len(solids)), Box: outer, Zone: zone,
		Hand: hand, Fore: fore, Upper: upper, Wrist: 20, Elbow: 40, Most: 200_000,
	}
}

// Cases in which the answer follows by hand.
func TestKnown(t *testing.T) {
	t.Parallel()
	open := shell(20, 480)
	// A wall from side to side at y 100 to 110, as high as z.
	behind := func(z float64) []r3.Box { return append(shell(20, 480), box(20, 100, 20, 580, 110, z)) }
	for _, c := range []struct {
		name  string
		query links.Query
		want  bool
	}{
		{"straight out, long enough", query(point(300, 300, 250), 100, 100, 102, open), false},
		{"straight out, too short", query(point(300, 300, 250), 100, 100, 90, open), true},
		// From the bottom of the well the elbow comes to z 250 + 50 at most, and has to
		// be 40 above the wall's edge, or the upper arm does, which rises over it.
		{"over a low wall", query(point(300, 200, 60), 40, 200, 300, behind(150)), false},
		{"over a wall higher than the elbow comes", query(point(300, 200, 60), 40, 200, 300, behind(400)), true},
		{"over no wall, through no hole", query(point(300, 200, 60), 40, 200, 300, shell(20, 20)), true},
		// The upper arm is 80 thick.
		{"through a gap it is thinner than", query(point(300, 300, 250), 60, 150, 300, shell(200, 290)), false},
		{"through a gap it is thicker than", query(point(300, 300, 250), 60, 150, 300, shell(200, 270)), true},
		{"the forearm alone is out, through a gap that the upper arm is thicker than", query(point(300, 150, 250), 100, 200, 10, shell(220, 280)), false},
		{"the hand may be outside", query(point(300, 30, 250), 60, 10, 10, shell(200, 210)), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := links.Impossible(c.query); got != c.want {
				t.Errorf("shown impossible: %v, want %v", got, c.want)
			}
		})
	}
}

// The hand alone goes through walls, unless it is known where the wrist may be.
func TestKnownWrists(t *testing.T) {
	t.Parallel()
	wall := append(shell(20, 480), box(20, 100, 20, 580, 110, 480))
	q := query(point(300, 150, 250), 80, 200, 300, wall)
	for _, c := range []struct {
		name   string
		wrists []r3.Box
		want   bool
	}{
		{"anywhere", nil, false},
		{"behind the wall", []r3.Box{box(220, 130, 170, 380, 190, 330), box(220, 190, 170, 380, 230, 330)}, true},
		{"behind it or in one place before it", []r3.Box{box(220, 130, 170, 380, 190, 330), box(290, 70, 240, 310, 80, 260)}, false},
		{"nowhere", []r3.Box{}, true},
	} {
		q.Wrists = c.wrists
		if got := links.Impossible(q); got != c.want {
			t.Errorf("wrist %s: shown impossible: %v, want %v", c.name, got, c.want)
		}
	}
}

// What the tape may be off by is given to the arm.
func TestTape(t *testing.T) {
	t.Parallel()
	q := query(point(300, 300, 250), 60, 150, 300, shell(200, 270))
	for i := range q.Tape {
		q.Tape[i] = 8
	}
	if links.Impossible(q) {
		t.Error("a gap of 70 that may be 86 is said not to let 80 through")
	}
}

// What is shown impossible no arm does that is drawn at random: its middle line is
// walked along in small steps, with no box of the proof.
func TestAgainstDrawnArms(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		within := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
		z0 := within("sill", 20, 300)
		solids := shell(z0, z0+within("height", 60, 180))
		for range rapid.IntRange(0, 3).Draw(t, "boxes") {
			x, y, z := within("x", 20, 500), within("y", 20, 360), within("z", 20, 450)
			solids = append(solids, box(x, y, z, x+within("wide", 5, 300), y+within("deep", 5, 100), z+within("high", 5, 400)))
		}
		q := query(point(within("place x", 60, 540), within("place y", 110, 340), within("place z", 60, 440)),
			within("hand", 20, 100), within("fore", 50, 250), within("upper", 50, 300), solids)
		q.Most = 20_000
		for range rapid.IntRange(0, 3).Draw(t, "known") {
			x, y, z := within("x", 20, 500), within("y", 20, 360), within("z", 20, 450)
			q.Wrists = append(q.Wrists, box(x, y, z, x+within("wide", 5, 300), y+within("deep", 5, 200), z+within("high", 5, 300)))
		}
		if !links.Impossible(q) {
			return
		}
		const between = 2 // mm, more than half a step of free
		number := rapid.Float64Range(-1, 1)
		toward := func(from r3.Vec, length float64, name string) r3.Vec {
			d := r3.Vec{X: number.Draw(t, name+" x"), Y: number.Draw(t, name+" y"), Z: number.Draw(t, name+" z")}
			if n := r3.Norm(d); n > 0.1 {
				d = r3.Scale(length/n, d)
			}
			return r3.Add(from, d)
		}
		for range 20 {
			wrist := toward(q.Zone.Min, q.Hand, "wrist")
			elbow := toward(wrist, q.Fore, "elbow")
			shoulder := toward(elbow, q.Upper, "shoulder")
			known := q.Wrists == nil || slices.ContainsFunc(q.Wrists, func(b r3.Box) bool { return holds(b, wrist) })
			if known && free(solids, wrist, elbow, q.Wrist+between) && free(solids, elbow, shoulder, q.Elbow+between) && !holds(outer, shoulder) {
				t.Fatalf("shown impossible, but %v, %v, %v lies free", wrist, elbow, shoulder)
			}
		}
	})
}

// free walks along a line with a ball and tells whether that touches nothing.
func free(solids []r3.Box, from, to r3.Vec, radius float64) bool {
	const steps = 100
	for i := range steps + 1 {
		c := r3.Add(from, r3.Scale(float64(i)/steps, r3.Sub(to, from)))
		for _, b := range solids {
			d := r3.Vec{
				X: max(b.Min.X-c.X, c.X-b.Max.X, 0), Y: max(b.Min.Y-c.Y, c.Y-b.Max.Y, 0), Z: max(b.Min.Z-c.Z, c.Z-b.Max.Z, 0),
			}
			if r3.Norm(d) < radius {
				return false
			}
		}
	}
	return true
}

func holds(b r3.Box, p r3.Vec) bool {
	return p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y && p.Z > b.Min.Z && p.Z < b.Max.Z
}

// An arm that comes out is never shown not to: the place is put where a free arm that
// was drawn begins.
func TestNeverRefusesAnArm(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		within := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
		shoulder := r3.Vec{X: within("x", 100, 500), Y: -within("out", 1, 100), Z: within("z", 100, 400)}
		elbow := r3.Vec{X: within("elbow x", 100, 500), Y: within("elbow y", 50, 300), Z: within("elbow z", 100, 400)}
		wrist := r3.Vec{X: within("wrist x", 60, 540), Y: within("wrist y", 110, 340), Z: within("wrist z", 60, 440)}
		solids := shell(60, 440)
		for range rapid.IntRange(1, 4).Draw(t, "boxes") {
			x, y, z := within("x", 20, 500), within("y", 20, 360), within("z", 20, 450)
			b := box(x, y, z, x+within("wide", 5, 300), y+within("deep", 5, 100), z+within("high", 5, 400))
			if free([]r3.Box{b}, wrist, elbow, 25) && free([]r3.Box{b}, elbow, shoulder, 45) {
				solids = append(solids, b)
			}
		}
		if !free(solids, wrist, elbow, 25) || !free(solids, elbow, shoulder, 45) {
			return
		}
		hand := within("hand", 20, 100)
		place := r3.Add(wrist, r3.Vec{Z: -hand})
		q := query(point(place.X, place.Y, place.Z), hand, math.Ceil(r3.Norm(r3.Sub(elbow, wrist))), math.Ceil(r3.Norm(r3.Sub(shoulder, elbow))), solids)
		q.Most = 20_000
		if links.Impossible(q) {
			t.Fatalf("shown impossible: %v, %v, %v from %v", wrist, elbow, shoulder, place)
		}
	})
}
