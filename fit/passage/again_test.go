package passage_test

import (
	"context"
	"reflect"
	"testing"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
)

// upright is a sump that is tipped over to go in and stood up inside, so far from
// the middle.
func upright(aside float64) *scene.Scene {
	s := with(cabinet(700, 330), 600, 300, 400)
	s.Sump.Box.Min.X += aside
	s.Sump.Box.Max.X += aside
	return s
}

// What was found for a thing at one place is tried at another, once it was learned, and
// is verified there.
func TestLearned(t *testing.T) {
	t.Parallel()
	var m passage.Memory
	ctx := passage.Remembering(passage.Briefly(t.Context()), &m)
	first := sumpJob(upright(0)).Decide(ctx)
	if !first.Going() {
		t.Fatal(first.Reason)
	}
	// Nobody knows of it before.
	alone := sumpJob(upright(-20)).Decide(passage.Briefly(t.Context()))
	if got := sumpJob(upright(-20)).Decide(ctx); !reflect.DeepEqual(got.Path, alone.Path) || got.Margin != alone.Margin {
		t.Errorf("%v by %v before anything was learned, %v by %v alone", got.Margin, got.Path, alone.Margin, alone.Path)
	}
	if _, ok := sumpJob(upright(-20)).Known(ctx); ok {
		t.Error("a way is known before it was learned")
	}
	m.Learn()
	for _, c := range []struct {
		name  string
		scene *scene.Scene
		known bool // the known way does
	}{
		{"10 mm beside", upright(10), true},
		{"lower", with(cabinet(700, 330), 600, 300, 390), true},
		{"through a lower hole", with(cabinet(700, 250), 600, 300, 400), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			j := sumpJob(c.scene)
			w, ok := j.Known(ctx)
			if ok != c.known {
				t.Fatalf("a known way does: %v, want %v", ok, c.known)
			}
			if !ok {
				return
			}
			if again := j.Along(w.Path, w.DoorOff); !again.Going() || again.Margin.Lo < w.Margin.Lo-verdict.Contact {
				t.Errorf("it is said to keep %v, and keeps %v", w.Margin.Lo, again.Margin.Lo)
			}
		})
	}
}

// One proof speaks of all places that are asked for, and of none that it should not.
func TestNowhere(t *testing.T) {
	t.Parallel()
	j := sumpJob(with(cabinet(330, 550), 400, 350, 340))
	box := j.Parts[0].Solid.Bounds()
	in := j.Cabinet.Inside()
	everywhere := box
	everywhere.Min.X, everywhere.Max.X = in.Min.X-box.Min.X, in.Max.X-box.Max.X
	everywhere.Min.Y, everywhere.Max.Y = in.Min.Y-box.Min.Y, in.Max.Y-box.Max.Y
	everywhere.Min.Z, everywhere.Max.Z = 0, 0
	j.Places = &everywhere
	if !j.Nowhere(t.Context()) {
		t.Error("too wide and too high however it is turned, and not shown for all places")
	}
	// Half in the opening it is as far in as it comes.
	beside := everywhere
	beside.Min.Y = -2 * in.Max.Y
	j.Places = &beside
	if j.Nowhere(t.Context()) {
		t.Error("shown not to come to a place before the cabinet")
	}
	small := sumpJob(with(cabinet(700, 500), 600, 300, 400))
	small.Places = &everywhere
	if small.Nowhere(t.Context()) {
		t.Error("what goes in is shown not to")
	}
}

// What one round does not show a later one may, and no round shows what is not so.
func TestDenial(t *testing.T) {
	t.Parallel()
	tests := map[string]struct {
		job  *passage.Job
		want bool
	}{
		"too wide and too high however it is turned": {sumpJob(with(cabinet(330, 550), 400, 350, 340)), true},
		"goes in": {sumpJob(with(cabinet(700, 500), 600, 300, 400)), false},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d := tt.job.Deny()
			if d.Shown(t.Context(), 0) {
				t.Error("shown before anything was looked at")
			}
			got := false
			for rounds := 1; rounds <= passage.Rounds; rounds++ {
				was := got
				if got = d.Shown(t.Context(), rounds); was && !got {
					t.Errorf("shown, and after %d rounds no longer", rounds)
				}
			}
			if got != tt.want {
				t.Errorf("shown: %v", got)
			}
			stopped, stop := context.WithCancel(t.Context())
			stop()
			if tt.job.Deny().Shown(stopped, passage.Rounds) {
				t.Error("shown by who was stopped before")
			}
		})
	}
}

// A way that is known of a smaller thing is one of a larger, moved along: it is looked
// at anew, and where the larger is too large it is none.
func TestLike(t *testing.T) {
	t.Parallel()
	small := sumpJob(with(cabinet(700, 500), 600, 300, 400))
	w := small.Barely(t.Context(), 0)
	if !w.Going() {
		t.Fatal("the small one does not go in")
	}
	for high, want := range map[float64]bool{410: true, 600: false} {
		large := sumpJob(with(cabinet(700, 500), 600, 300, high))
		like := large.Like(w.Path, w.DoorOff)
		if like.Going() != want {
			t.Errorf("%g mm high it goes: %v", high, like.Going())
		}
		if again := large.Along(like.Path, like.DoorOff); want && (!again.Going() || again.Margin.Lo < 0) {
			t.Errorf("%g mm high it keeps %v", high, again.Margin.Lo)
		}
	}
}
