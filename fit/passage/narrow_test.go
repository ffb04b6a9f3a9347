package passage_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/passage"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// closedBox is a cabinet with an inside of this width, depth and height on the room
// floor, and an opening of a width and height at the inside's left bottom corner.
func closedBox(inside [3]float64, wide, high float64) *scene.Scene {
	const wall = 20
	s := &scene.Scene{Units: unit.Millimetres, Carry: 2}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = unit.Length(inside[0]+2*wall), unit.Length(inside[1]+2*wall), unit.Length(inside[2]+wall)
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = wall
	}
	front := unit.Length(2000)
	s.Room.Front = &front
	c.Openings = []scene.Opening{{Name: "doors", Side: scene.Front, Hole: box(wall, 0, 0, wall+wide, wall, high)}}
	return s
}

// silled returns a scene with its opening that much higher.
func silled(s *scene.Scene, by float64) *scene.Scene {
	s.Cabinet.Openings[0].Hole.Min.Z += by
	s.Cabinet.Openings[0].Hole.Max.Z += by
	return s
}

// doored returns a scene with a door at the left of its opening that stands out straight.
func doored(s *scene.Scene, thick unit.Length) *scene.Scene {
	s.Cabinet.Openings[0].Door = &scene.Door{Hinge: scene.HingeLeft, Thickness: thick, Opens: 90 * unit.Degree}
	return s
}

// near is how far from rest a way may end, in mm.
const near = 50

// The room to spare is known from both sides where a formula gives it.
func TestRoomToSpareByFormula(t *testing.T) {
	t.Parallel()
	const wall = 20
	for _, c := range []struct {
		name     string
		scene    *scene.Scene
		at, size [3]float64 // from the inside's front left bottom corner
		want     float64
		closely  float64
	}{
		{
			"as wide as the opening, as wide turned any way",
			closedBox([3]float64{640, 420, 400}, 309, 320),
			[3]float64{5, 10, 0},
			[3]float64{300, 300, 300},
			(309 - 300) / 2.0,
			0.3,
		},
		{
			"as high as the opening, as high turned any way",
			closedBox([3]float64{640, 420, 500}, 630, 307),
			[3]float64{20, 10, 0},
			[3]float64{300, 300, 300},
			(307 - 300) / 2.0,
			0.3,
		},
		{
			"as deep as the inside",
			closedBox([3]float64{800, 410, 500}, 600, 450),
			[3]float64{190, 6, 0},
			[3]float64{500, 400, 300},
			(410 - 400) / 2.0,
			0.3,
		},
		{
			// As far forward as a straight move from there is past the sill: that is lifted by
			// 30 while 5 are left before the front, and 50 from rest.
			"over a sill, from as near to rest as a way ends",
			silled(closedBox([3]float64{800, 410, 500}, 600, 430), 30),
			[3]float64{50, 5, 0},
			[3]float64{500, 400, 300},
			5 + near/math.Sqrt(1+6*6),
			0.3,
		},
		{
			"past an open door that stands in the opening",
			doored(closedBox([3]float64{640, 420, 400}, 327, 320), 18),
			[3]float64{25, 10, 0},
			[3]float64{300, 300, 300},
			(327 - 18 - 300) / 2.0,
			0.5,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			at := [3]float64{wall + c.at[0], wall + c.at[1], c.at[2]}
			c.scene.Sump = &scene.Sump{Box: box(at[0], at[1], at[2], at[0]+c.size[0], at[1]+c.size[1], at[2]+c.size[2]), Glass: 6}
			j := sumpJob(c.scene)
			w := j.Decide(t.Context())
			if !w.Going() {
				t.Fatalf("%v: %s", w.Verdict, w.Reason)
			}
			w.Narrow(t.Context(), 200_000)
			room := w.Room()
			if room.Lo.MM() > c.want+0.01 || room.Hi.MM() < c.want-0.01 {
				t.Errorf("between %v and %v to spare, and it is %v", room.Lo, room.Hi, c.want)
			}
			if room.Lo.MM() < c.want-0.1 || room.Hi.MM() > c.want+c.closely {
				t.Errorf("between %v and %v to spare is not close to %v", room.Lo, room.Hi, c.want)
			}
		})
	}
}

// Most scenes have their room to spare known to half a millimetre: where a search for a
// proof leads to a wider way, and where the end is what is narrow.
func TestRoomToSpareIsKnown(t *testing.T) {
	t.Parallel()
	for _, i := range []int{123, 129, 174, 209, 308} {
		d := plain(i)
		j := d.job(t)
		w := j.Decide(t.Context())
		w.Narrow(t.Context(), 300_000)
		room := w.Room()
		if room.Hi-room.Lo > 0.5 && room.Lo < passage.Ample {
			t.Errorf("%s: between %v and %v to spare", d.name, room.Lo, room.Hi)
		}
		if w.Most == nil {
			continue
		}
		data, err := w.Most.File()
		if err != nil {
			t.Fatal(err)
		}
		if claim, err := passage.Recheck(d.Scene, data); err != nil {
			t.Errorf("%s: %s: %v", d.name, claim, err)
		}
	}
}

// A way that keeps much more than the one that was found may be near one that overlaps.
func TestWiderWaysAreNearOthers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		scene   int
		overlap float64 // mm
		steps   int     // uphill from the way that was found, before
	}{{79, passage.Slight, 0}, {294, passage.Deep, 20_000}} {
		d := plain(c.scene)
		j := d.job(t)
		w := j.Decide(t.Context())
		w.Narrow(t.Context(), c.steps)
		before := w.Room().Lo
		passage.Nearer(t.Context(), &w, c.overlap)
		if room := w.Room(); room.Lo < before+5 {
			t.Errorf("%s: keeps %v, and %v before", d.name, room.Lo, before)
		}
		if wrong := contradiction(t, d, j, &w); wrong != "" {
			t.Errorf("%s: %s", d.name, wrong)
		}
	}
}

// A way in is few moves, one after the other.
func TestFewMoves(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		d    drawn
		most int
	}{
		{"pushed through a wide opening", drawn{"wide", "sump", with(cabinet(700, 500), 500, 300, 300)}, 3},
		{"tipped to be no higher than the opening", plain(140), 6},
		{"turned on its side", plain(30), 6},
		{"tipped in a low inside", plain(45), 7},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			thing, _ := c.d.Thing(c.d.thing)
			f := passage.Check(t.Context(), &scene.Scene{
				Units: c.d.Units, Cabinet: c.d.Cabinet, Room: c.d.Room, Sump: c.d.Sump, Carry: c.d.Carry, Tape: c.d.Tape,
			}).Checks[0]
			if len(f.Motions) == 0 {
				t.Fatalf("%s does not go in: %s", thing.Name, f.Summary)
			}
			moves := f.Motions[0].Moves
			if f.Motions[0].Begins() != "" { // turned outside, before the way
				moves = moves[1:]
			}
			if len(moves) > c.most {
				t.Errorf("%d moves, %d are enough:\n%s", len(moves), c.most, strings.Join(moves, "\n"))
			}
			for _, m := range moves[:len(moves)-1] {
				if strings.Contains(m, " and ") {
					t.Errorf("more than one move at a time: %s", m)
				}
			}
		})
	}
}

// No small step is better than the one uphill.
func TestUphillIsBest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-1, 1)
		vector := func(name string) (v [6]float64) {
			for i := range v {
				v[i] = number.Draw(t, name)
			}
			return v
		}
		dot := func(a, b [6]float64) (sum float64) {
			for i := range a {
				sum += a[i] * b[i]
			}
			return sum
		}
		const reach = 2.0
		enough := rapid.Float64Range(0.5, 8).Draw(t, "enough")
		var gaps []float64
		var slopes [][6]float64
		for range rapid.IntRange(1, 12).Draw(t, "rows") {
			gaps, slopes = append(gaps, rapid.Float64Range(0, 3).Draw(t, "gap")), append(slopes, vector("slope"))
		}
		var dirs [][6]float64
		for k := range rapid.IntRange(1, 6).Draw(t, "directions") {
			var d [6]float64
			d[k] = 1
			dirs = append(dirs, d)
		}
		after := func(s [6]float64) float64 {
			least := enough
			for i := range gaps {
				least = min(least, gaps[i]+dot(slopes[i], s))
			}
			return least
		}
		s, got := passage.Uphill(gaps, slopes, dirs, reach, enough)
		if math.Abs(after(s)-got) > 1e-6 {
			t.Fatalf("after %v it is %v, not %v", s, after(s), got)
		}
		for k, v := range s {
			if math.Abs(v) > reach+1e-6 || k >= len(dirs) && v != 0 {
				t.Fatalf("%v goes farther than %v, or another way than %d", s, reach, len(dirs))
			}
		}
		for range 50 {
			var other [6]float64
			for k := range dirs {
				other[k] = reach * number.Draw(t, "step")
			}
			if after(other) > got+1e-6 {
				t.Fatalf("%v comes to %v, %v to %v only", other, after(other), s, got)
			}
		}
	})
}

// Where what stands opposite leaves too little room before the opening, uphill leads into
// that: it is no way.
func TestUphillBeginsOutside(t *testing.T) {
	t.Parallel()
	s := with(cabinet(700, 560), 600, 300, 400)
	for more, want := range map[unit.Length]bool{1: true, -10: false} {
		depth := unit.Length(sumpJob(s).Parts[0].Solid.Bounds().Size().Y)
		front := depth + more
		s.Room.Front = &front
		within, ok := passage.Lifted(sumpJob(s), 40)
		if ok != want || ok && within > 0.001 {
			t.Errorf("%v more than it is deep before the opening: a way %v, want %v; it begins %v mm within", more, ok, want, within)
		}
	}
}

// A way to one of many places tells nothing of how much room there is at most: beside what
// stands next to rest there is more.
func TestManyPlaces(t *testing.T) {
	t.Parallel()
	s := closedBox([3]float64{640, 420, 400}, 640, 320)
	s.Sump = &scene.Sump{Box: box(23, 60, 0, 123, 360, 200), Glass: 6}
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "board", Bodies: []scene.Body{{Solid: solid.Box(box(126, 20, 0, 132, 440, 390))}}}}
	j := sumpJob(s)
	j.Places = &r3.Box{Max: r3.Vec{X: 400}}
	w := j.Decide(t.Context())
	if w.Narrow(t.Context(), 30_000); !w.Going() || w.Most != nil || w.Room().Hi.MM() < 100 {
		t.Errorf("%s: %v to spare, at most so much: %v", w.Verdict, w.Room(), w.Most != nil)
	}
}
