package passage_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// plank is longer than the opening is wide, and too long to turn behind it.
func plank() *scene.Scene {
	s := with(cabinet(300, 300), 700, 150, 280)
	s.Cabinet.Depth, s.Cabinet.Height = 230, 438
	s.Sump.Box = box(150, 40, 100, 850, 190, 380)
	return s
}

// locked is a box that goes in on end, and does not turn to stand inside; at each depth
// it may be turned in some way.
func locked() *scene.Scene {
	s := with(cabinet(440, 470), 660, 290, 380)
	s.Cabinet.Depth = 420
	return s
}

// parted is a box that goes through its opening, but for a stile in it.
func parted() *scene.Scene {
	s := with(cabinet(700, 500), 600, 300, 400)
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "stile", Bodies: []scene.Body{{Solid: solid.Box(box(480, 0, 0, 520, 18, 900))}}}}
	return s
}

// tooLarge does not pass its opening, however turned.
func tooLarge() *scene.Scene { return with(cabinet(330, 330), 600, 250, 450) }

// boarded goes through its opening and past no board.
func boarded() *scene.Scene {
	s := with(cabinet(700, 500), 600, 200, 400)
	s.Cabinet.Depth = 700
	s.Sump.Box = box(200, 450, 100, 800, 650, 500)
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "board", Bodies: []scene.Body{{Solid: solid.Box(box(18, 200, 240, 982, 220, 600))}}}}
	return s
}

// filed decides a scene and returns what it rests on as a file.
func filed(t *testing.T, s *scene.Scene) (*passage.Way, []byte) {
	t.Helper()
	w := sumpJob(s).Decide(t.Context())
	if s.Cabinet.Height == plank().Cabinet.Height {
		w = passage.ByCells(t.Context(), sumpJob(s))
	}
	if !w.Proved() {
		t.Fatalf("%v %q: nothing is proved", w.Verdict, w.Reason)
	}
	data, err := w.File()
	if err != nil {
		t.Fatal(err)
	}
	return &w, data
}

func TestFilesHold(t *testing.T) {
	t.Parallel()
	lifted := with(cabinet(940, 410), 930, 400, 400)
	lifted.Cabinet.Openings[0].Door = &scene.Door{Hinge: scene.HingePair, Thickness: 18, Opens: 90, LiftsOff: true}
	for _, c := range []struct {
		name  string
		scene *scene.Scene
		kind  string // of the proof of a no
		claim string
	}{
		{"pushed straight", with(cabinet(700, 500), 600, 300, 400), "", "sump goes in through doors, with nothing else in place, "},
		{"touching", with(cabinet(700, 400), 600, 414, 400), "", "at least 0 mm to spare"},
		{"tipped", with(cabinet(700, 330), 600, 300, 400), "", "sump goes in through doors, "},
		{"with the door off", lifted, "", "sump goes in through doors with its door off, "},
		{"a ball", boarded(), "ball", "sump does not go in through doors"},
		{"a slice", tooLarge(), "slice", "sump does not go in through doors"},
		{"cells", plank(), "cells", "sump does not go in through doors"},
		{"bands", locked(), "bands", "sump does not go in through doors"},
		{"a stile", parted(), "bands", "sump does not go in through doors"},
		{"an overlap", with(cabinet(900, 600), 970, 300, 400), "", "it overlaps"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w, data := filed(t, c.scene)
			if w.Proof != c.kind {
				t.Errorf("shown by %q, want %q", w.Proof, c.kind)
			}
			claim, err := passage.Recheck(c.scene, data)
			if err != nil || !strings.Contains(claim, c.claim) {
				t.Errorf("%q: %v", claim, err)
			}
			again, err := w.File()
			if err != nil || !bytes.Equal(data, again) {
				t.Errorf("written twice it differs, or %v", err)
			}
			t.Logf("%d bytes: %s", len(data), claim)
		})
	}
}

// A file that speaks of another scene is checked against this one.
func TestFilesOfOtherScenes(t *testing.T) {
	t.Parallel()
	_, way := filed(t, with(cabinet(700, 500), 600, 300, 400))
	_, slice := filed(t, tooLarge())
	_, cells := filed(t, plank())
	_, bands := filed(t, locked())
	_, ball := filed(t, boarded())
	_, overlap := filed(t, with(cabinet(900, 600), 970, 300, 400))
	withLeaf := with(cabinet(700, 500), 600, 300, 400)
	withLeaf.Cabinet.Openings[0].Door = &scene.Door{Hinge: scene.HingeLeft, Thickness: 18, Opens: 0.3}
	deep := plank()
	deep.Cabinet.Depth = 1500
	boardless := boarded()
	boardless.Cabinet.Fixtures = nil
	holed := boarded()
	holed.Cabinet.Openings = append(holed.Cabinet.Openings, scene.Opening{Name: "side", Side: scene.Left, Hole: box(0, 20, 100, 18, 680, 780)})
	loose := with(cabinet(900, 600), 970, 300, 400)
	loose.Sump.Assumed = true
	inexact := tooLarge()
	inexact.Tape = 5
	piped := with(cabinet(700, 500), 600, 300, 400) // into which a pipe hangs
	over := piped.Sump.Box
	x, y := (over.Min.X+over.Max.X)/2, (over.Min.Y+over.Max.Y)/2
	piped.Cabinet.Fixtures = []scene.Fixture{{Name: "pipe", Bodies: []scene.Body{{
		Solid: solid.Box(box(x-15, y-15, over.Max.Z-60, x+15, y+15, over.Max.Z+60)),
	}}}}
	unplaced := boarded()
	unplaced.Cabinet.Openings[0].PlaceAssumed = true
	for _, c := range []struct {
		name  string
		data  []byte
		scene *scene.Scene
	}{
		{"a smaller opening", way, with(cabinet(590, 500), 600, 300, 400)},
		{"a wider sump", way, with(cabinet(700, 500), 698, 300, 400)},
		{"a leaf in the way", way, withLeaf},
		{"a wider opening", slice, with(cabinet(470, 330), 600, 250, 450)},
		{"a smaller sump", slice, with(cabinet(330, 330), 320, 250, 450)},
		{"a tape that may be off by more", slice, inexact},
		{"a deeper cabinet", cells, deep},
		{"a deeper cabinet", bands, deep},
		{"a pipe that hangs into it", way, piped},
		{"an opening of which nobody measured the place", ball, unplaced},
		{"no board", ball, boardless},
		{"a hole in a side", ball, holed},
		{"a sump that fits", overlap, with(cabinet(900, 600), 960, 300, 400)},
		{"an overlap that is assumed", overlap, loose},
	} {
		claim, err := passage.Recheck(c.scene, c.data)
		if err == nil {
			t.Errorf("%s: holds: %s", c.name, claim)
		} else if errors.Is(err, passage.ErrFile) || claim == "" {
			t.Errorf("%s: taken for no proof: %v", c.name, err)
		}
	}
}

// changed returns a file with one of its values replaced; the path leads to it.
func changed(t *testing.T, data []byte, value any, path ...any) []byte {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var root any
	if err := d.Decode(&root); err != nil {
		t.Fatal(err)
	}
	at := root
	for i, step := range path {
		last := i == len(path)-1
		switch step := step.(type) {
		case string:
			if last {
				at.(map[string]any)[step] = value
			} else {
				at = at.(map[string]any)[step]
			}
		case int:
			if last {
				at.([]any)[step] = value
			} else {
				at = at.([]any)[step]
			}
		}
	}
	out, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestChangedFiles(t *testing.T) {
	t.Parallel()
	scenes := map[string]*scene.Scene{
		"way": with(cabinet(700, 330), 600, 300, 400), "slice": tooLarge(), "cells": plank(), "bands": locked(), "ball": boarded(),
		"overlap": with(cabinet(900, 600), 970, 300, 400),
	}
	files := map[string][]byte{}
	for name, s := range scenes {
		_, files[name] = filed(t, s)
		if _, err := passage.Recheck(s, changed(t, files[name], "sump", "thing")); err != nil {
			t.Fatalf("%s, as it was: %v", name, err)
		}
	}
	for _, c := range []struct {
		of    string
		what  string
		value any
		path  []any
		none  bool // it is to be no proof at all
	}{
		{"way", "more clear than it is", 24, []any{"way", "clear_mm"}, false},
		{"way", "less than nothing clear", -1, []any{"way", "clear_mm"}, false},
		{"way", "a start inside", []any{1, 0, 0, 0, 0, 0, 1}, []any{"way", "poses", 0}, false},
		{"way", "no move but inside", []any{
			[]any{1, 0, 0, 0, 0, 0, 8}, []any{1, 0, 0, 0, 0, 0, 7}, []any{1, 0, 0, 0, 0, 0, 0},
		}, []any{"way", "poses"}, false},
		{"way", "a pose through the front", []any{1, 0, 0, 0, 40, -400, 300}, []any{"way", "poses", 1}, false},
		{"way", "a stretched turn", []any{1.1, 0, 0, 0, 0, -2000, 0}, []any{"way", "poses", 0}, false},
		{"way", "no poses", []any{}, []any{"way", "poses"}, false},
		{"way", "another point", []any{0, 0, 0}, []any{"way", "about_mm"}, false},
		{"slice", "no erosion", 0, []any{"proof", "erosion"}, false},
		{"slice", "more erosion", 60, []any{"proof", "erosion"}, false},
		{"ball", "more erosion", 60, []any{"proof", "erosion"}, false},
		{"cells", "more erosion", 60, []any{"proof", "erosion"}, false},
		{"slice", "another depth", 200, []any{"proof", "y"}, false},
		{"slice", "a depth before the panel", -1, []any{"proof", "y"}, false},
		{"slice", "another thing in it", "skimmer", []any{"proof", "thing"}, true},
		{"slice", "no trees", []any{}, []any{"proof", "trees"}, false},
		{"slice", "a kind of its own", "belief", []any{"proof", "kind"}, false},
		{"cells", "a cut tree", []any{[]any{}}, []any{"proof", "trees"}, false},
		{"bands", "more erosion", 60, []any{"proof", "erosion"}, false},
		{"bands", "a cut tree", []any{[]any{}}, []any{"proof", "trees"}, false},
		{"bands", "another kind", "cells", []any{"proof", "kind"}, false},
		{"bands", "a late start", 0, []any{"proof", "y0"}, false},
		{"cells", "another coordinate", 2, []any{"proof", "trees", 0, 0}, false},
		{"ball", "a larger ball", 500, []any{"proof", "pocket", "radius"}, false},
		{"ball", "a ball elsewhere", []any{0, 0, 0}, []any{"proof", "pocket", "middle"}, false},
		{"ball", "no cubes", []any{}, []any{"proof", "pocket", "runs"}, false},
		{"ball", "a moved grid", 30, []any{"proof", "pocket", "from", 1}, false},
		{"ball", "larger cubes", 40, []any{"proof", "pocket", "edge"}, false},
		{"ball", "another part", 1, []any{"proof", "pocket", "part"}, false},
		{"ball", "no pocket", nil, []any{"proof", "pocket"}, false},
		{"overlap", "a greater depth", 300, []any{"overlap", "depth_mm"}, false},
		{"overlap", "no depth", 0, []any{"overlap", "depth_mm"}, false},
		{"overlap", "with what it does not", "cabinet/top", []any{"overlap", "with"}, false},
		{"way", "another thing", "skimmer", []any{"thing"}, true},
		{"way", "another group", "cup", []any{"group"}, true},
		{"way", "another opening", "window", []any{"opening"}, true},
		{"way", "a door that is not there off", true, []any{"door_off"}, true},
		{"way", "a display that is not there", true, []any{"display"}, true},
		{"way", "a part that is not there", []any{"skimmer"}, []any{"in_place"}, true},
		{"way", "itself in place", []any{"sump/front pane"}, []any{"in_place"}, true},
		{"way", "a fixture that is not there", []any{"shelf"}, []any{"taken_out"}, true},
		{"way", "another format", 2, []any{"format"}, true},
		{"way", "a key of its own", 2, []any{"colour"}, true},
		{"way", "two claims", map[string]any{}, []any{"overlap"}, true},
		{"way", "no claim", nil, []any{"way"}, true},
		{"slice", "a proof of another form", map[string]any{"format": 7}, []any{"proof"}, true},
	} {
		_, err := passage.Recheck(scenes[c.of], changed(t, files[c.of], c.value, c.path...))
		if err == nil {
			t.Errorf("%s with %s holds", c.of, c.what)
		} else if errors.Is(err, passage.ErrFile) != c.none {
			t.Errorf("%s with %s: %v; no proof at all: %v", c.of, c.what, err, c.none)
		}
	}
}

// A way begins with all of the thing outside, and ends with a short move straight to rest,
// which overlaps nothing either.
func TestWaysEndNearRest(t *testing.T) {
	t.Parallel()
	s := with(cabinet(700, 500), 600, 300, 400)
	b := s.Sump.Box
	s.Cabinet.Fixtures = []scene.Fixture{{Name: "nub", Bodies: []scene.Body{{
		Solid: solid.Box(box(b.Max.X+1, b.Min.Y+100, b.Min.Z, b.Max.X+11, b.Min.Y+120, b.Min.Z+20)),
	}}}}
	_, data := filed(t, s)
	at := func(x, y, z float64) []any { return []any{1, 0, 0, 0, x, y, z} }
	out, half := at(0, -900, 25), at(0, -(b.Min.Y+b.Max.Y)/2-10, 25)
	for _, c := range []struct {
		what        string
		first, last []any // from rest
		ok          bool
	}{
		{"straight from above", out, at(0, 0, 25), true},
		{"from the left, no farther than it may", out, at(-35, 0, 35), true},
		{"from farther", out, at(-36, 0, 36), false},
		{"turned a little", out, []any{0.999999995, 0.0001, 0, 0, 0, 0, 25}, false},
		{"past what is beside it", out, at(30, 0, 25), false},
		{"half inside to begin with", half, at(0, 0, 25), false},
	} {
		in := changed(t, data, []any{c.first, c.last, at(0, 0, 0)}, "way", "poses")
		in = changed(t, in, 0, "way", "clear_mm")
		if claim, err := passage.Recheck(s, in); (err == nil) != c.ok {
			t.Errorf("%s: %s: %v", c.what, claim, err)
		}
	}
}

// What was shown of one opening is not taken for another, nor what goes with less
// in place for what goes with more.
func TestFilesOfOtherQuestions(t *testing.T) {
	t.Parallel()
	s := tooLarge()
	wide := scene.Opening{Name: "gate", Side: scene.Left, Hole: box(0, 20, 100, 18, 430, 780)}
	s.Cabinet.Openings = append(s.Cabinet.Openings, wide)
	w := sumpJob(s).Decide(t.Context())
	if w.Verdict != verdict.No || w.Proof != "slice" {
		t.Fatalf("%v by %q", w.Verdict, w.Proof)
	}
	data, err := w.File()
	if err != nil {
		t.Fatal(err)
	}
	other := bytes.ReplaceAll(data, []byte(`"opening":"doors"`), []byte(`"opening":"gate"`))
	if claim, err := passage.Recheck(s, other); err == nil {
		t.Errorf("holds: %s", claim)
	}

	s = with(cabinet(300, 500), 200, 200, 300)
	beside := scene.Opening{Name: "hatch", Side: scene.Front, Hole: box(700, 0, 100, 950, 18, 600)}
	s.Cabinet.Openings = append(s.Cabinet.Openings, beside)
	_, data = filed(t, s)
	if claim, err := passage.Recheck(s, changed(t, data, "hatch", "opening")); err == nil {
		t.Errorf("holds: %s", claim)
	}

	s = with(cabinet(700, 500), 200, 200, 300)
	s.Equipment = []scene.Equipment{{Name: "crate", Kind: "box", Order: 1, Bodies: []scene.Body{{Solid: solid.Box(box(300, 20, 100, 700, 110, 560))}}}}
	_, data = filed(t, s)
	if claim, err := passage.Recheck(s, data); err != nil || !strings.Contains(claim, "with nothing else in place") {
		t.Errorf("%q: %v", claim, err)
	}
	claim, err := passage.Recheck(s, changed(t, data, []any{"crate"}, "in_place"))
	if err == nil || !strings.Contains(claim, "with crate in place") {
		t.Errorf("a way through a crate holds: %q, %v", claim, err)
	}
}

func FuzzRecheck(f *testing.F) {
	s := tooLarge()
	w := sumpJob(s).Decide(f.Context())
	data, err := w.File()
	if err != nil || w.Verdict != verdict.No {
		f.Fatal(w.Verdict, err)
	}
	f.Add(data)
	f.Add([]byte(`{"format":1,"thing":"sump","group":"sump","opening":"doors","way":{"about_mm":[0,0,0],"poses":[[1,0,0,0,0,-900,0],[1,0,0,0,0,-1,0],[1,0,0,0,0,0,0]],"clear_mm":0}}`))
	f.Add([]byte(`{"format":1,"thing":"sump","group":"sump","opening":"doors","overlap":{"part":"sump","with":"cabinet/left side","depth_mm":2}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		// The sump does not go in: a way can never hold, nor is there an overlap.
		claim, err := passage.Recheck(s, data)
		if err == nil && !strings.Contains(claim, "does not go in") {
			t.Errorf("holds: %s\n%s", claim, data)
		}
	})
}

// To check a file again must not take longer than to find what it holds.
func BenchmarkRecheck(b *testing.B) {
	for _, c := range []struct {
		name   string
		scene  *scene.Scene
		decide func(context.Context, *passage.Job) passage.Way
	}{
		{"way", with(cabinet(700, 330), 600, 300, 400), decided},
		{"slice", tooLarge(), decided},
		{"ball", boarded(), decided},
		{"cells", plank(), passage.ByCells},
	} {
		find := func() []byte {
			w := c.decide(b.Context(), sumpJob(c.scene))
			data, err := w.File()
			if err != nil {
				b.Fatal(err)
			}
			return data
		}
		b.Run("find "+c.name, func(b *testing.B) {
			for b.Loop() {
				find()
			}
		})
		data := find()
		b.Run("check "+c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := passage.Recheck(c.scene, data); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func decided(ctx context.Context, j *passage.Job) passage.Way { return j.Decide(ctx) }
