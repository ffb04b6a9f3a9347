package place_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit"
	"undercroft/fit/gap"
	"undercroft/fit/place"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
)

func find(t *testing.T, text string) *place.Result {
	t.Helper()
	r, err := place.Find(t.Context(), "plan.yaml", []byte(text), place.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// boxOf returns the box round a thing.
func boxOf(t *testing.T, s *scene.Scene, name string) r3.Box {
	t.Helper()
	thing, ok := s.Thing(name)
	if !ok {
		t.Fatalf("there is no %s", name)
	}
	solids := make([]solid.Solid, len(thing.Parts))
	for i, p := range thing.Parts {
		solids[i] = p.Solid
	}
	return solid.BoundsOf(solids...)
}

// room is a cabinet without doors, 20 in wide and 10 in deep inside.
const room = `format: 1
cabinet: {size: [21, 11, 21], wall: 1/2, bottom: {up: 1/2}}
`

const inch = 25.4

// TestMiddle: closed forms, to the step of a tape.
func TestMiddle(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, things string
		want         map[string][2]float64 // from the inside left and front, in in
	}{
		{"one box stands in the middle", "  - {name: a, size: [4, 4, 4]}\n", map[string][2]float64{"a": {8, 3}}},
		{
			"beside what stands there it is the middle of the rest",
			"  - {name: fixed, size: [6, 10, 4], at: {left: 0, front: 0}, on: [left wall, front wall, back wall]}\n  - {name: a, size: [4, 4, 4]}\n",
			map[string][2]float64{"fixed": {0, 0}, "a": {11, 3}},
		},
		{
			"two in a row leave thirds",
			"  - {name: a, size: [4, 9, 4], turn: 0}\n  - {name: b, size: [4, 9, 4], turn: 0}\n",
			map[string][2]float64{"a": {4, 0.5}, "b": {12, 0.5}},
		},
		{"one box fits only turned", "  - {name: a, size: [5, 16, 4]}\n", map[string][2]float64{"a": {2, 2.5}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := find(t, room+"gaps: {default: 1/4}\nequipment:\n"+c.things)
			if !r.Found() || r.Verdict != verdict.OK {
				t.Fatalf("%v, found %v: %+v", r.Verdict, r.Found(), r.Open)
			}
			inside := r.Scene.Cabinet.Inside()
			var xs []float64 // things that are alike may change places
			for name, want := range c.want {
				b := boxOf(t, r.Scene, name)
				x, y := (b.Min.X-inside.Min.X)/inch, (b.Min.Y-inside.Min.Y)/inch
				if math.Abs(y-want[1]) > 1.01/16 {
					t.Errorf("%s is %v in from the front, want %v", name, y, want[1])
				}
				xs = append(xs, x-want[0])
				if len(c.want) == 1 || name == "fixed" {
					continue
				}
				xs[len(xs)-1] = math.Min(math.Abs(x-want[0]), math.Abs(x-(16-want[0])))
			}
			for _, d := range xs {
				if math.Abs(d) > 1.01/16 {
					t.Errorf("off by %v in", d)
				}
			}
		})
	}
}

// hall is a cabinet with all that goes with a sump, of which nothing has a place.
const hall = `# my hall
format: 1
cabinet:
  size: [38, 17, 32]
  wall: 3/4
  bottom: {up: 3 1/2, thickness: 3/4}
  openings:
    - {name: doors, side: front, at: {left: 2, sill: 1/4}, size: [34, 25]}
sump:
  size: [25, 10 1/2, 10] # outside
  glass: 3/16
  inlet: left
  flow: 300
  baffles: [{at: 13 1/2, top: 8}]
  level: 4 3/4
equipment:
  - name: skimmer
    kind: skimmer
    in: sump 1
    round: 4 1/2
    height: 9
    stands-in: [5, 8]
  - {name: pump, kind: pump, in: sump last, size: [3 1/2, 2 1/2, 3 1/2], at: {left: 2, front: 3}}
  - {name: jug, size: [4, 9, 11]}
  - {name: strip, kind: power, size: [1 1/2, 9, 2 1/4]}
  - {name: return hose, kind: hose, round: 1, height: 6, on: pump}
`

// TestHall: everything finds a place; the rest of the file stays as it is, what has a
// place keeps it, and the plan as written is what the report says of it.
func TestHall(t *testing.T) {
	t.Parallel()
	text := strings.Replace(hall, "  - {name: return hose, kind: hose, round: 1, height: 6, on: pump}\n", "", 1)
	r := find(t, text)
	if !r.Found() || !r.Kept || r.Verdict == verdict.No || r.Verdict == verdict.Unsure {
		t.Fatalf("found %v, kept %v, %v: %+v %+v", r.Found(), r.Kept, r.Verdict, r.Open, r.Apart)
	}
	for line := range strings.SplitSeq(text, "\n") {
		if key, _, _ := strings.Cut(line, "}"); !strings.Contains(string(r.Text), line) && !strings.Contains(key, "name:") {
			t.Errorf("the line %q is gone", line)
		}
	}
	s, err := plan.Read("again.yaml", r.Text)
	if err != nil {
		t.Fatalf("the completed plan cannot be read: %v\n%s", err, r.Text)
	}
	again := fit.Check(t.Context(), s, fit.Options{})
	for i, c := range again.Checks {
		if o := r.Report.Checks[i]; o.ID != c.ID || o.Verdict != c.Verdict || o.Summary != c.Summary {
			t.Errorf("promised %s %s %q, checked again %s %s %q", o.ID, o.Verdict, o.Summary, c.ID, c.Verdict, c.Summary)
		}
	}
	// The pump keeps its place in the sump, wherever that went.
	p, last := boxOf(t, s, "pump"), s.Sump.Spaces()[1].Box
	if d := r3.Sub(p.Min, last.Min); math.Abs(d.X-2*inch) > 1e-6 || math.Abs(d.Y-3*inch) > 1e-6 {
		t.Errorf("the pump moved to %v", d)
	}
	strip, rim, water := boxOf(t, s, "strip"), s.Sump.Box.Max.Z, s.Sump.Inside()
	if strip.Min.Z < rim+inch/16 || strip.Max.X > water.Min.X && strip.Min.X < water.Max.X && strip.Max.Y > water.Min.Y && strip.Min.Y < water.Max.Y {
		t.Errorf("the strip hangs at %v, over or below the sump at %v", strip, s.Sump.Box)
	}
}

// TestLeft: for what leads on to elsewhere no place is looked for.
func TestLeft(t *testing.T) {
	t.Parallel()
	r := find(t, room+"equipment:\n  - {name: hose, kind: hose, round: 1, height: 6}\n")
	if len(r.Left) != 1 || r.Left[0].Name != "hose" || r.Found() || r.Report != nil {
		t.Errorf("%+v", r)
	}
}

// TestStand: a skimmer that would stand too deep gets a stand under it.
func TestStand(t *testing.T) {
	t.Parallel()
	r := find(t, `format: 1
cabinet: {size: [30, 16, 30], wall: 1/2, bottom: {up: 1}}
sump: {size: [24, 10, 14], glass: 1/4, inlet: left, at: {left: 2}, flow: 200, level: 9}
equipment: [{name: skimmer, kind: skimmer, in: sump 1, round: 4, height: 12, stands-in: [5, 7]}]
`)
	if len(r.Placed) != 1 || math.Abs(r.Placed[0].Stand.In()-3) > 0.07 {
		t.Errorf("%+v %+v, want a stand of 3 in", r.Placed, r.Open)
	}
}

// TestStrip: what plugs are in hangs beside the water, though over it there is more
// room.
func TestStrip(t *testing.T) {
	t.Parallel()
	r := find(t, `format: 1
cabinet: {size: [30, 25, 30], wall: 1/2, bottom: {up: 1}}
sump: {size: [24, 10, 10], glass: 1/4, inlet: left, at: {left: 1/4, back: 1}}
equipment: [{name: strip, kind: power, size: [1 1/2, 9, 2 1/4], on: left wall}]
`)
	if !r.Found() || r.Verdict != verdict.OK {
		t.Fatalf("%v, found %v: %+v", r.Verdict, r.Found(), r.Open)
	}
	strip, water := boxOf(t, r.Scene, "strip"), r.Scene.Sump.Inside()
	if strip.Max.Y > water.Min.Y-inch/16 || strip.Min.Z < r.Scene.Sump.Box.Max.Z+inch/16 || math.Abs(strip.Min.X-inch/2) > 1e-6 {
		t.Errorf("the strip is at %v, the water at %v", strip, water)
	}
	if edits := r.Placed[0].Edits; len(edits) != 1 {
		t.Errorf("%+v: the plan said the wall already", edits)
	}
}

// TestGrounds: what a thing stands on is found, or is what the plan says; a thing that
// touches a wall touches it.
func TestGrounds(t *testing.T) {
	t.Parallel()
	const shelf = "cabinet: {size: [21, 11, 21], wall: 1/2, bottom: {up: 1/2}, fixtures: [{name: shelf, size: [8, 10, 1/2], at: {left: 0, up: 10}}]}\n"
	const full = "  - {name: full, size: [20, 10, 6], at: {left: 0}, on: [left wall, right wall, front wall, back wall]}\n"
	for _, c := range []struct {
		name, plan string
		up         float64 // of a above the inside bottom, in in
		on         string
		over       [4]float64 // within which it stands, from the inside left and front
	}{
		{"a shelf where the bottom is full", shelf + "equipment:\n" + full + "  - {name: a, size: [4, 4, 4]}\n", 10.5, "shelf", [4]float64{0, 0, 8, 10}},
		{"the shelf that the plan says", shelf + "equipment:\n  - {name: a, size: [4, 4, 4], on: shelf}\n", 10.5, "shelf", [4]float64{0, 0, 8, 10}},
		{"the bottom where the shelf is too small", shelf + "equipment:\n  - {name: a, size: [9, 9, 4], turn: 0}\n", 0, "", [4]float64{0, 0, 20, 10}},
		{
			"on a thing that stands beside it in the list of those to be placed",
			"cabinet: {size: [21, 11, 21], wall: 1/2, bottom: {up: 1/2}}\nequipment:\n  - {name: a, size: [2, 2, 4], on: chest}\n  - {name: chest, size: [16, 8, 6], turn: 0}\n",
			6, "chest",
			[4]float64{2, 1, 18, 9},
		},
		{
			"on a thing that had more room on a shelf",
			strings.Replace(shelf, "[8, 10, 1/2]", "[12, 10, 1/2]", 1) + "equipment:\n  - {name: a, size: [2, 2, 4], on: tray}\n  - {name: tray, size: [8, 6, 1]}\n" +
				"  - {name: there, size: [11, 10, 6], at: {right: 0}, on: [right wall, front wall, back wall]}\n",
			1, "tray",
			[4]float64{0, 0, 9, 10},
		},
		{
			"on a thing beside which there is more room",
			"cabinet: {size: [21, 11, 21], wall: 1/2, bottom: {up: 1/2}}\nequipment:\n  - {name: a, size: [2, 2, 4], on: chest}\n  - {name: chest, size: [6, 8, 6], turn: 0}\n" +
				"  - {name: there, size: [13, 10, 5], at: {right: 0}, on: [right wall, front wall, back wall]}\n",
			6, "chest",
			[4]float64{0, 0, 7, 10},
		},
		{"against a wall", "cabinet: {size: [21, 11, 21], wall: 1/2, bottom: {up: 1/2}}\nequipment:\n  - {name: a, kind: bottle, size: [4, 4, 4], on: right wall}\n", 0, "", [4]float64{16, 0, 20, 10}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := find(t, "format: 1\n"+c.plan)
			if !r.Found() || r.Verdict == verdict.No || r.Verdict == verdict.Unsure {
				t.Fatalf("%v, found %v: %+v", r.Verdict, r.Found(), r.Open)
			}
			a, in := boxOf(t, r.Scene, "a"), r.Scene.Cabinet.Inside()
			if up := (a.Min.Z - in.Min.Z) / inch; math.Abs(up-c.up) > 1e-6 || r.Placed[0].On != c.on {
				t.Errorf("it stands %v in up on %q", up, r.Placed[0].On)
			}
			if _, is := r.Scene.Thing(c.on); is {
				if b := boxOf(t, r.Scene, c.on); math.Abs(a.Min.Z-b.Max.Z) > 1e-6 || a.Min.X < b.Min.X-1e-6 || a.Max.X > b.Max.X+1e-6 {
					t.Errorf("it stands at %v, and what it is on at %v", a, b)
				}
			}
			at := [4]float64{(a.Min.X - in.Min.X) / inch, (a.Min.Y - in.Min.Y) / inch, (a.Max.X - in.Min.X) / inch, (a.Max.Y - in.Min.Y) / inch}
			const touching = 1e-6
			if at[0] < c.over[0]-touching || at[1] < c.over[1]-touching || at[2] > c.over[2]+touching || at[3] > c.over[3]+touching {
				t.Errorf("it stands from %v, on %v", at, c.over)
			}
		})
	}
}

// TestDoorway: a thing stands in a doorway only where it stands nowhere else.
func TestDoorway(t *testing.T) {
	t.Parallel()
	const open = `format: 1
cabinet: {size: [21, 11, 21], wall: 1, bottom: {up: 1/2}, openings: [{name: doorway, side: front, at: {left: 2, sill: 0}, size: [17, 19]}]}
gaps: {default: 1/8}
equipment: [{name: a, size: [4, %s, 4], turn: 0}]
`
	for depth, within := range map[string]bool{"8": true, "9 1/4": false} {
		r := find(t, fmt.Sprintf(open, depth))
		if !r.Found() {
			t.Fatalf("%s: %+v", depth, r.Open)
		}
		if y := (boxOf(t, r.Scene, "a").Min.Y - r.Scene.Cabinet.Inside().Min.Y) / inch; y > -1e-6 != within {
			t.Errorf("%s deep, it stands %v in behind the front", depth, y)
		}
	}
}

// TestApart: what cannot be had together is told in the smallest sets, each of whose
// parts finds a place, and shown where it is; nothing is written.
func TestApart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, things string
		want         []place.Set
	}{
		{"one is larger than the room", "  - {name: a, size: [21, 4, 4]}\n  - {name: b, size: [2, 2, 2]}\n", []place.Set{{Names: []string{"a"}, Shown: true}}},
		{"two do not stand beside each other", "  - {name: a, size: [12, 8, 4]}\n  - {name: b, size: [12, 8, 4]}\n  - {name: c, size: [2, 2, 2]}\n", []place.Set{{Names: []string{"a", "b"}, Shown: true}}},
		{"any two of three", "  - {name: a, size: [9, 8, 4]}\n  - {name: b, size: [9, 8, 4]}\n  - {name: c, size: [9, 8, 4]}\n", []place.Set{{Names: []string{"a", "b", "c"}, Shown: true}}},
		{"what is there counts", "  - {name: there, size: [12, 10, 4], at: {left: 0}, on: [left wall, front wall, back wall]}\n  - {name: a, size: [9, 9, 4]}\n", []place.Set{{Names: []string{"a"}, Shown: true}}},
		{
			"two rounds that stand across, where boxes round them do not",
			"  - {name: there, size: [10, 10, 4], at: {left: 0}, on: [left wall, front wall, back wall]}\n  - {name: a, round: 5 3/4, height: 4}\n  - {name: b, round: 5 3/4, height: 4}\n",
			[]place.Set{{Names: []string{"a", "b"}}},
		},
		{"within the tape's error nothing is shown", "  - {name: a, size: [20 1/16, 4, 4]}\n", []place.Set{{Names: []string{"a"}}}},
		{"how high it would stand is not known", "  - {name: strip, kind: light, size: [4, 1, 2], on: back wall}\n  - {name: a, size: [2, 1, 2], on: strip}\n", []place.Set{{Names: []string{"strip", "a"}}}},
		// The circle in a square hole of its width less two tapes: no box shows it.
		{"a round is not shown", "  - {name: a, round: 10 1/4, height: 4}\n", []place.Set{{Names: []string{"a"}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := find(t, room+"equipment:\n"+c.things)
			if r.Found() || r.Report != nil {
				t.Fatalf("found %+v", r.Placed)
			}
			if !slices.EqualFunc(r.Apart, c.want, func(a, b place.Set) bool {
				return slices.Equal(a.Names, b.Names) && a.Shown == b.Shown && a.Tight == b.Tight
			}) {
				t.Fatalf("%+v, want %+v", r.Apart, c.want)
			}
			for _, set := range r.Apart {
				for _, left := range set.Names {
					var rest strings.Builder
					for line := range strings.Lines(c.things) {
						name, _, _ := strings.Cut(strings.TrimPrefix(line, "  - {name: "), ",")
						if name != left && (slices.Contains(set.Names, name) || strings.Contains(line, "at:")) {
							rest.WriteString(line)
						}
					}
					if !strings.Contains(rest.String(), "size") || strings.Contains(c.things, "on: "+left+"}") {
						continue
					}
					if sub := find(t, room+"equipment:\n"+rest.String()); !sub.Found() && len(sub.Apart) > 0 {
						t.Errorf("without %s the others find no places either", left)
					}
				}
			}
		})
	}
}

// TestCrowded: what stands, but without the room that is wanted, is told, too.
func TestCrowded(t *testing.T) {
	t.Parallel()
	r := find(t, room+"gaps: {default: 1}\nequipment:\n  - {name: a, size: [9, 8, 4]}\n  - {name: b, size: [9, 8, 4]}\n")
	if !r.Found() || r.Verdict != verdict.Tight {
		t.Fatalf("%v, found %v", r.Verdict, r.Found())
	}
	if len(r.Apart) != 1 || !r.Apart[0].Tight || r.Apart[0].Shown || len(r.Apart[0].Names) != 2 {
		t.Errorf("%+v", r.Apart)
	}
}

// TestNext: the widest place has no way in: it is given up for another.
func TestNext(t *testing.T) {
	t.Parallel()
	r := find(t, `format: 1
cabinet:
  size: [40, 16, 20]
  wall: 1/2
  bottom: {up: 1/2}
  openings: [{name: door, side: front, at: {left: 27, sill: 0}, size: [12, 18]}]
  fixtures: [{name: divider, size: [1, 15, 18 1/2], at: {right: 13, front: 0}}]
equipment: [{name: jug, size: [6, 6, 8]}]
`)
	if !r.Found() || r.Verdict != verdict.OK {
		t.Fatalf("%v, found %v: %+v", r.Verdict, r.Found(), r.Open)
	}
	if b := boxOf(t, r.Scene, "jug"); b.Min.X < 26*inch || r.Tried < 2 {
		t.Errorf("the jug is at %v after %d tries", b, r.Tried)
	}
}

// TestStopped: what is stopped writes nothing and is no error.
func TestStopped(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	stop()
	r, err := place.Find(ctx, "plan.yaml", []byte(hall), place.Options{})
	if err != nil || !r.Stopped || r.Found() {
		t.Errorf("%+v %v", r, err)
	}
}

// TestPlanted: boxes are put into a cabinet and then lose their places; places for
// them are found, with as much room as they had, but for the tape's step. Their order
// and turns are drawn.
func TestPlanted(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w, d := rapid.IntRange(12, 30).Draw(t, "w"), rapid.IntRange(8, 16).Draw(t, "d")
		type planted struct{ x, y, w, d int } // in half inches
		var all []planted
		least := math.Inf(1)
		side := rapid.IntRange(3, 12)
		for range rapid.IntRange(1, 3).Draw(t, "things") {
			p := planted{w: side.Draw(t, "width"), d: side.Draw(t, "depth")}
			if 2*w-p.w < 0 || 2*d-p.d < 0 {
				continue
			}
			p.x, p.y = rapid.IntRange(0, 2*w-p.w).Draw(t, "x"), rapid.IntRange(0, 2*d-p.d).Draw(t, "y")
			free := float64(min(p.x, p.y, 2*w-p.x-p.w, 2*d-p.y-p.d))
			for _, o := range all {
				dx, dy := float64(max(o.x-p.x-p.w, p.x-o.x-o.w)), float64(max(o.y-p.y-p.d, p.y-o.y-o.d))
				gap := math.Max(dx, dy)
				if dx > 0 && dy > 0 {
					gap = math.Hypot(dx, dy)
				}
				free = math.Min(free, gap)
			}
			if free < 0 {
				continue
			}
			least = math.Min(least, free)
			all = append(all, p)
		}
		if len(all) == 0 {
			return
		}
		var b strings.Builder
		fmt.Fprintf(&b, "format: 1\ntape: 0\ngaps: {default: 0}\ncabinet: {size: [%d, %d, 21], wall: 1/2, bottom: {up: 1/2}}\nequipment:\n", w+1, d+1)
		for i, p := range all {
			x, y := p.w, p.d
			if rapid.Bool().Draw(t, "turned") {
				x, y = y, x
			}
			fmt.Fprintf(&b, "  - {name: thing %d, size: [%v, %v, 4]}\n", i, float64(x)/2, float64(y)/2)
		}
		r, err := place.Find(context.Background(), "plan.yaml", []byte(b.String()), place.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !r.Found() {
			t.Fatalf("%splanted at %+v, and nothing is found: %+v", b.String(), all, r.Apart)
		}
		got := math.Inf(1)
		for _, p := range r.Placed {
			if !math.IsNaN(p.Spare.MM()) {
				got = math.Min(got, p.Spare.In()*2)
			}
		}
		if got < least-2.01/16 {
			t.Fatalf("%splanted at %+v with %v half inches, found %v: %+v", b.String(), all, least, got, r.Placed)
		}
	})
}

// TestNeverShown: things that stand somewhere, overlapping by no more than the tape's
// error, are never shown to stand nowhere. They are drawn in a row that is about as
// long as the cabinet, boxes, rounds and things of two parts, some of them fixed, some
// in a sump.
func TestNeverShown(t *testing.T) {
	t.Parallel()
	told, apart := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		quarters := func(label string, least, most int) float64 {
			return float64(rapid.IntRange(4*least, 4*most).Draw(t, label)) / 4
		}
		inSump := rapid.Bool().Draw(t, "in a sump")
		apartBy := rapid.SampledFrom([]float64{-0.5, -0.25, -0.25, 0, 0.25})
		x := apartBy.Draw(t, "before")
		var with, without []string
		free := false
		for i := range rapid.IntRange(1, 2).Draw(t, "things") {
			w, d, h := quarters("width", 2, 6), quarters("depth", 2, 7), quarters("height", 2, 6)
			var body string
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				body = fmt.Sprintf("size: [%v, %v, %v]", w, d, h)
			case 1:
				body = fmt.Sprintf("round: %v, height: %v", w, h)
			case 2:
				body = fmt.Sprintf("parts: [{name: low, size: [%v, %v, 1], at: {left: 0, front: 0, up: 0}}, {name: high, round: 1, height: %v, at: {left: %v, front: 0, up: 1}}]", w, d, h, w-1)
			}
			y := quarters("front", 0, 8) - 0.5
			place := fmt.Sprintf(", at: {left: %v, front: %v}", x, y)
			item := fmt.Sprintf("  - {name: thing %d, %s", i, body)
			if inSump {
				item += ", in: sump 1"
			}
			with = append(with, item+place+"}\n")
			if i > 0 && rapid.Bool().Draw(t, "fixed") {
				without = append(without, item+place+"}\n")
			} else {
				without, free = append(without, item+"}\n"), true
			}
			x += w + apartBy.Draw(t, "between")
		}
		if !free {
			return
		}
		x = math.Round(4*x) / 4
		head := fmt.Sprintf("format: 1\ntape: 1/2\ncabinet: {size: [%v, 9, 21], wall: 1/2, bottom: {up: 1/2}}\n", x+1)
		if inSump {
			head = fmt.Sprintf("format: 1\ntape: 1/2\ncabinet: {size: [%v, 12, 21], wall: 1/2, bottom: {up: 1/2}}\nsump: {size: [%v, 8 1/2, 9], glass: 1/4, inlet: left", x+3.5, x+0.5)
			if rapid.Bool().Draw(t, "sump stands") {
				head += ", at: {left: 1, front: 1}"
			}
			head += "}\n"
		}
		head += "equipment:\n"
		planted := strings.Replace(head, "inlet: left}", "inlet: left, at: {left: 1, front: 1}}", 1) + strings.Join(with, "")
		s, err := plan.Read("planted.yaml", []byte(planted))
		if err != nil {
			t.Fatalf("%v\n%s", err, planted)
		}
		for _, f := range gap.Check(s).Checks {
			if f.Verdict == verdict.No {
				return
			}
		}
		told++
		r, err := place.Find(context.Background(), "plan.yaml", []byte(head+strings.Join(without, "")), place.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, set := range r.Apart {
			apart++
			if set.Shown {
				t.Fatalf("%v are shown to stand nowhere, and stand there within the tape's error:\n%s", set.Names, planted)
			}
		}
	})
	t.Logf("%d plans, %d sets", told, apart)
}
