package sensitivity_test

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"undercroft/assets"
	"undercroft/fit/gap"
	"undercroft/fit/passage"
	"undercroft/fit/sensitivity"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// A box stands 20 mm from the right wall: 1000 − 2·20 − 640 − 300 mm.
const shelf = `
format: 1
units: mm
tape: 0
gaps: {default: %s}
cabinet:
  size: [1000, 400, 800]
  wall: 20
  openings: [{name: hole, side: front, at: {left: 100, up: 0}, size: [800, 700]}]
equipment:
  - {name: box, kind: box, at: {left: 640, front: 100}, size: [300, 200, 300], turn: 0, mass: 6}
`

// table reads a plan, judges it and returns what errors cost in it.
func table(tb testing.TB, text string) (*sensitivity.Table, *plan.Draft, []verdict.Finding) {
	tb.Helper()
	return tableOf(tb, text, checked)
}

func tableOf(tb testing.TB, text string, checked func(*scene.Scene) []verdict.Finding) (*sensitivity.Table, *plan.Draft, []verdict.Finding) {
	tb.Helper()
	d, err := plan.NewDraft("plan.yaml", []byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	s, err := d.Read()
	if err != nil {
		tb.Fatal(err)
	}
	found := checked(s)
	t, err := sensitivity.Of(context.Background(), d, s, found)
	if err != nil {
		tb.Fatal(err)
	}
	return t, d, found
}

func checked(s *scene.Scene) []verdict.Finding {
	return slices.Concat(passage.Check(context.Background(), s).Checks, gap.Check(s).Checks, water.Check(s).Checks)
}

func effect(t *sensitivity.Table, key, id string) (sensitivity.Effect, bool) {
	for _, m := range t.Measurements {
		for _, e := range m.Effects {
			if m.Key == key && e.ID == id {
				return e, true
			}
		}
	}
	return sensitivity.Effect{}, false
}

// The room to the right wall is the inside width less where the box stands and how
// wide it is. The walls count twice.
func TestRoomAtRest(t *testing.T) {
	t.Parallel()
	tab, _, _ := table(t, fmt.Sprintf(shelf, "5"))
	if tab.Step != unit.Millimetre {
		t.Errorf("a step is %v", tab.Step)
	}
	for key, want := range map[string]struct {
		lost   float64
		larger bool
	}{
		"cabinet.size[0]":      {1, false},
		"cabinet.wall":         {2, true},
		"equipment[0].at.left": {1, true},
		"equipment[0].size[0]": {1, true},
		"cabinet.size[1]":      {0, false},
		"cabinet.size[2]":      {0, false},
		"equipment[0].size[2]": {0, false},
	} {
		e, _ := effect(tab, key, "gap/box/cabinet")
		if math.Abs(e.Lost.MM()-want.lost) > 1e-9 || want.lost > 0 && e.Larger != want.larger {
			t.Errorf("%s: %v mm are lost where it is larger: %v; want %v, %v", key, e.Lost.MM(), e.Larger, want.lost, want.larger)
		}
		if e.AtMost {
			t.Errorf("%s: a room at rest is exact", key)
		}
	}
	for _, m := range tab.Measurements {
		if strings.Contains(m.Key, "turn") || strings.Contains(m.Key, "mass") || strings.Contains(m.Key, "gaps") {
			t.Errorf("%s is taken for a length of the tape", m.Key)
		}
	}
}

// A step turns a verdict exactly where less than a step is over what is wanted.
func TestDecides(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		wanted string
		turned verdict.Verdict
		larger bool
		turns  bool
	}{
		{"18.5", verdict.OK, false, false},
		{"19.5", verdict.Tight, true, true},
		{"20.5", verdict.OK, false, true}, // it is tight, and ok where the box is narrower
		{"21.5", verdict.Tight, false, false},
	} {
		tab, _, _ := table(t, fmt.Sprintf(shelf, tc.wanted))
		for _, m := range tab.Measurements {
			if m.Key != "equipment[0].size[0]" {
				continue
			}
			e, ok := effect(tab, m.Key, "gap/box/cabinet")
			if !ok || m.Decides() != tc.turns || e.Turned != tc.turned || e.TurnedLarger != tc.larger {
				t.Errorf("wanted %s: turns %v, to %v where larger: %v; want %v, %v, %v",
					tc.wanted, m.Decides(), e.Turned, e.TurnedLarger, tc.turns, tc.turned, tc.larger)
			}
		}
	}
}

// The brim is the glass top: a sump lower by a step holds a step less.
func TestWater(t *testing.T) {
	t.Parallel()
	text, _ := assets.Demo("fits")
	tab, _, _ := tableOf(t, string(text), func(s *scene.Scene) []verdict.Finding { return water.Check(s).Checks })
	e, ok := effect(tab, "sump.size[2]", "water/pump off")
	if !ok || math.Abs(e.Lost.MM()-25.4/16) > 1e-6 || e.Larger || e.AtMost {
		t.Errorf("%+v, %v", e, ok)
	}
	if _, ok := effect(tab, "room.ceiling", "water/pump off"); ok {
		t.Error("the ceiling has a part in the water")
	}
}

// narrow is a box that goes in straight only, with 12 mm on either side.
const narrow = `
format: 1
units: mm
tape: 1
carry: 12
cabinet:
  size: [700, 400, 600]
  wall: 20
  bottom: {up: 100, thickness: 18}
  openings: [{name: hole, side: front, at: {left: 200, sill: 0}, size: [300, 320]}]
equipment:
  - {name: box, kind: box, at: {left: 192, front: 40}, size: [276, 276, 290]}
`

// What is lost on a way in is no less than what a search from scratch finds: the
// changed plan, checked anew, keeps at least what the table promises.
func TestWaysKeepWhatIsPromised(t *testing.T) {
	t.Parallel()
	tab, d, found := table(t, narrow)
	low := func(fs []verdict.Finding) float64 {
		for _, f := range fs {
			for _, m := range f.Measures {
				if v, ok := m.Value.(float64); ok && f.ID == "passage/box" && m.Key == "spare_low_mm" {
					return v
				}
			}
		}
		return math.NaN()
	}
	before := low(found)
	if !(before > 5) {
		t.Fatalf("%v mm to spare", before)
	}
	lossy := 0
	for _, m := range tab.Measurements {
		e, ok := effect(tab, m.Key, "passage/box")
		if !ok || e.Lost == 0 {
			continue
		}
		lossy++
		if !e.AtMost {
			t.Errorf("%s: a loss on a way is an upper bound", m.Key)
		}
		to := m.Value - tab.Step
		if e.Larger {
			to = m.Value + tab.Step
		}
		changed, err := d.With(plan.Edit{Key: m.Key, Value: fmt.Sprintf("%v mm", to.MM())})
		if err != nil {
			t.Fatal(err)
		}
		s, err := changed.Read()
		if err != nil {
			t.Fatal(err)
		}
		if after := low(checked(s)); !(after >= before-e.Lost.MM()-0.05) {
			t.Errorf("%s: %v mm to spare, then %v: more than %v are lost", m.Key, before, after, e.Lost.MM())
		}
	}
	if e, _ := effect(tab, "cabinet.openings[0].size[0]", "passage/box"); lossy == 0 || e.Lost <= 0 || e.Larger {
		t.Errorf("a narrower hole costs nothing: %+v of %d", e, lossy)
	}
}

// What cannot be told is listed, once, with the reason.
func TestUnknown(t *testing.T) {
	t.Parallel()
	tab, _, _ := table(t, strings.Replace(fmt.Sprintf(shelf, "5"), "size: [800, 700]", "size: [100, 100]", 1))
	if len(tab.Unknown) != 1 || tab.Unknown[0].ID != "passage/box" || tab.Unknown[0].Why == "" {
		t.Errorf("%+v", tab.Unknown)
	}
}

func TestSameTable(t *testing.T) {
	t.Parallel()
	first, _, _ := table(t, narrow)
	again, _, _ := table(t, narrow)
	if !reflect.DeepEqual(first, again) {
		t.Error("the same plan gives another table")
	}
}

// ending is a context that ends when it was asked for its error so many times.
type ending struct {
	context.Context

	left atomic.Int64
	done chan struct{}
}

func endsAfter(asked int64) *ending {
	e := &ending{Context: context.Background(), done: make(chan struct{})}
	e.left.Store(asked)
	return e
}

func (e *ending) Done() <-chan struct{} { return e.done }

func (e *ending) Err() error {
	switch left := e.left.Add(-1); {
	case left == -1:
		close(e.done)
		return context.Canceled
	case left < 0:
		return context.Canceled
	}
	return nil
}

// Who stops it gets what is known by then: of each measurement all there is to know,
// or that it was not tried.
func TestStopped(t *testing.T) {
	t.Parallel()
	whole, d, found := table(t, fmt.Sprintf(shelf, "5"))
	s, err := d.Read()
	if err != nil {
		t.Fatal(err)
	}
	for asked, some := range map[int64]bool{0: false, 16: true} {
		part, err := sensitivity.Of(endsAfter(asked), d, s, found)
		if err != nil {
			t.Fatal(err)
		}
		untried := len(part.Stopped())
		if untried == 0 || untried == len(part.Measurements) == some {
			t.Errorf("stopped after %d steps, %d of %d measurements were not tried", asked, untried, len(part.Measurements))
		}
		for i, m := range part.Measurements {
			if !m.Untried && !reflect.DeepEqual(m, whole.Measurements[i]) {
				t.Errorf("%s: %+v, not %+v as without a stop", m.Key, m, whole.Measurements[i])
			}
		}
	}
	if n := len(whole.Stopped()); n > 0 {
		t.Errorf("%d measurements were not tried, and nobody stopped it", n)
	}
}

func BenchmarkOf(b *testing.B) {
	text, _ := assets.Demo("fits")
	_, d, found := table(b, string(text))
	s, err := d.Read()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := sensitivity.Of(context.Background(), d, s, found); err != nil {
			b.Fatal(err)
		}
	}
}
