package passage_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"undercroft/fit/passage"
	"undercroft/scene"
)

// snug is as wide as its opening but for 9 mm, deep as deep as the inside but for 10.
func snug() *scene.Scene {
	s := closedBox([3]float64{640, 420, 400}, 309, 320)
	s.Sump = &scene.Sump{Box: box(25, 30, 0, 325, 330, 300), Glass: 6}
	return s
}

func deep() *scene.Scene {
	s := closedBox([3]float64{800, 410, 500}, 600, 450)
	s.Sump = &scene.Sump{Box: box(210, 26, 0, 710, 426, 300), Glass: 6}
	return s
}

// capped decides a scene, looks for the most room, and returns what shows that there is no
// more as a file.
func capped(ctx context.Context, tb testing.TB, s *scene.Scene, thing string, steps int) (*passage.Way, []byte) {
	tb.Helper()
	d := drawn{thing, thing, s}
	w := d.job(tb).Decide(ctx)
	w.Narrow(ctx, steps)
	if w.Most == nil {
		tb.Fatalf("%s %v: nothing is shown of how much room there is", w.Verdict, w.Room())
	}
	data, err := w.Most.File()
	if err != nil {
		tb.Fatal(err)
	}
	return &w, data
}

// What shows that no way keeps more is kept, and holds for this plan alone.
func TestMostFiles(t *testing.T) {
	t.Parallel()
	looser := snug()
	looser.Cabinet.Openings[0].Hole.Max.X += 2
	roomier := deep()
	roomier.Cabinet.Depth += 3
	wide := plain(100)
	wide.Cabinet.Depth += 4
	for _, c := range []struct {
		name  string
		thing string
		scene *scene.Scene
		steps int
		kind  string
		claim string
		other *scene.Scene // in which it does not hold
	}{
		{"in the opening", "sump", snug(), 30_000, `"proof":`, "sump has not more than 4.", looser},
		{"at rest", "sump", deep(), 1, `"rest":`, "sump has not more than 5.1 mm to spare through doors", roomier},
		{"two parts at rest", "reactor", plain(100).Scene, 1, `"rest":`, "reactor has not more than 3.5 mm to spare through doors", wide.Scene},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w, data := capped(t.Context(), t, c.scene, c.thing, c.steps)
			if !strings.Contains(string(data), c.kind) {
				t.Errorf("it is no %s: %.200s", c.kind, data)
			}
			claim, err := passage.Recheck(c.scene, data)
			if err != nil || !strings.Contains(claim, c.claim) {
				t.Errorf("%q: %v; %v to spare", claim, err, w.Room())
			}
			if claim, err := passage.Recheck(c.other, data); err == nil || errors.Is(err, passage.ErrFile) {
				t.Errorf("holds where there is more room: %q, %v", claim, err)
			}
		})
	}
}

func TestChangedMostFiles(t *testing.T) {
	t.Parallel()
	scenes := map[string]*scene.Scene{"opening": snug(), "rest": deep()}
	files := map[string][]byte{}
	for name, s := range scenes {
		_, files[name] = capped(t.Context(), t, s, "sump", 30_000)
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
		{"opening", "less than it shows", 1, []any{"room", "most_mm"}, false},
		{"opening", "thinner walls", 1, []any{"room", "around_mm"}, false},
		{"opening", "walls thinner than they are", -3, []any{"room", "around_mm"}, false},
		{"opening", "more erosion", 60, []any{"room", "proof", "erosion"}, false},
		{"opening", "no erosion", 0, []any{"room", "proof", "erosion"}, false},
		{"opening", "another thing in it", "skimmer", []any{"room", "proof", "thing"}, true},
		{"opening", "a part that is not brought in", "sump/pump", []any{"room", "part"}, true},
		{"opening", "no proof", nil, []any{"room", "proof"}, true},
		{"opening", "nothing that bars it", []any{}, []any{"room", "rest"}, false},
		{"opening", "two claims", map[string]any{}, []any{"overlap"}, true},
		{"rest", "less than it shows", 1, []any{"room", "most_mm"}, false},
		{"rest", "thinner walls", 1, []any{"room", "around_mm"}, false},
		{"rest", "nothing that bars it", []any{}, []any{"room", "rest"}, false},
		{"rest", "one thing that bars it all", []any{map[string]any{"axis": -1}}, []any{"room", "rest"}, false},
		{"rest", "no kind of proof", nil, []any{"room", "rest"}, true},
		{"rest", "a cut elsewhere", 1e6, []any{"room", "rest", 0, "at"}, false},
	} {
		claim, err := passage.Recheck(scenes[c.of], changed(t, files[c.of], c.value, c.path...))
		if err == nil {
			t.Errorf("%s with %s holds: %s", c.of, c.what, claim)
		} else if errors.Is(err, passage.ErrFile) != c.none {
			t.Errorf("%s with %s: %v; no proof at all: %v", c.of, c.what, err, c.none)
		}
	}
}
