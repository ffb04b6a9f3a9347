package choose_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"undercroft/assets"
	"undercroft/fit/choose"
	"undercroft/scene/unit"
)

// step is to what limits are told in these plans, in mm.
const step = 5

// agree compares limits with a condition that a box must meet to go in: each that is
// told meets it, and what is shown impossible does not. It returns how many steps in
// the first direction lie between a limit that counts and the condition's at most, and
// how many count.
func agree(t *testing.T, limits []choose.Limit, counts, goes func(w, d, h float64) bool) (off, counted int) {
	t.Helper()
	hair := choose.Hair.MM()
	for i := range limits {
		l := &limits[i]
		is := [3]float64{l.Width.MM(), l.Depth.MM(), l.Height.MM()}
		if !counts(is[0], is[1], is[2]) {
			continue
		}
		if !goes(is[0]-hair, is[1]-hair, is[2]-hair) {
			t.Errorf("%g x %g x %g is told to go, which is impossible", is[0], is[1], is[2])
		}
		for k, b := range l.Beyond {
			next := is
			next[k] = b.MM()
			if b > 0 && next[0] <= 595 && next[1] <= 395 && next[2] <= 495 && goes(next[0], next[1], next[2]) {
				t.Errorf("%g x %g x %g is said to be impossible, and goes", next[0], next[1], next[2])
			}
		}
		n := 0
		for goes(is[0]+step*float64(n+1), is[1]-hair, is[2]-hair) {
			n++
		}
		off, counted = max(off, n), counted+1
	}
	return off, counted
}

// A narrow way that no sweep sees makes a limit larger: by more than what is shown
// impossible, it does not.
func TestNextStepIsLookedAtClosely(t *testing.T) {
	t.Parallel()
	text, _ := assets.Demo("fails-metric")
	b := baseOf(t, string(text))
	for _, c := range []struct {
		height unit.Length
		goes   bool
	}{{620, true}, {635, false}} {
		if goes := b.Closely(t.Context(), 440, 195, c.height); goes != c.goes {
			t.Errorf("%v high it is found to go: %v, want %v", c.height, goes, c.goes)
		}
	}
}

// A box nearly as deep as the cabinet goes through the hole as its front does, which
// is a flat face: by Carver's condition. It takes a minute.
func TestLimitsAgreeWithCarver(t *testing.T) {
	t.Parallel()
	if os.Getenv("UNDERCROFT_SCENES") != "all" {
		t.Skip("set UNDERCROFT_SCENES=all for the limits by Carver's condition")
	}
	const wide, high = 300, 280
	b := baseOf(t, hall(wide, high, ""))
	got, err := b.Limits(t.Context(), choose.Options{})
	if err != nil {
		t.Fatal(err)
	}
	turned := false
	off, n := agree(t, got.Sumps, func(_, d, _ float64) bool { return d > 380 }, func(w, _, h float64) bool {
		turned = turned || w > wide || h > high
		return carver(max(w, h), min(w, h), wide, high)
	})
	if off > 1 || n == 0 || !turned {
		t.Errorf("the limits end %d steps before what is possible, past the hole's own size: %v", off, turned)
	}
}

// A box that fills the height of a corridor, and of a cabinet across its end, goes in
// if and only if a rectangle of its width and depth gets round the corner: if it is
// no longer than the least of (x sin θ + y cos θ − w)/(sin θ cos θ): contest problem
// 2438, Hangzhou Dianzi University, "Turn the corner" (Asia regional contest, Harbin,
// 2008).
func TestLimitsRoundTheCorner(t *testing.T) {
	t.Parallel()
	const x, y = 300.0, 200.0
	b := baseOf(t, fmt.Sprintf(`
format: 1
units: mm
tape: 0
carry: 0
gaps: {default: 0}
room: {front: 2000}
cabinet:
  size: [840, 820, 156]
  wall: 20
  front: 600
  bottom: {up: 10, thickness: 10}
  openings:
    - {name: corridor, side: front, at: {left: 20, sill: 0}, size: [%g, 124], door: none}
`, x))
	got, err := b.Limits(t.Context(), choose.Options{})
	if err != nil {
		t.Fatal(err)
	}
	longest := func(w float64) float64 {
		l := math.Inf(1)
		for i := 1; i < 9000; i++ {
			sin, cos := math.Sincos(float64(i) * math.Pi / 18000)
			l = min(l, (x*sin+y*cos-w)/(sin*cos))
		}
		return l
	}
	off, n := agree(t, got.Sumps, func(w, _, _ float64) bool { return w > x }, func(w, d, h float64) bool { return w <= longest(d) && h <= 124 })

	for i := range got.Sumps {
		l := &got.Sumps[i]
		for k, is := range []unit.Length{l.Width, l.Depth, l.Height} {
			if l.Beyond[k] == 0 || l.Beyond[k] > is+2*step {
				t.Errorf("beyond %v x %v x %v it is shown impossible from %v on", l.Width, l.Depth, l.Height, l.Beyond)
			}
		}
	}
	if off > 1 || n == 0 {
		t.Errorf("the limits end %d steps before what gets round the corner: %+v", off, got.Sumps)
	}
}

// Of a skimmer that is too large for the hole a shorter one is looked for: here one
// that is no longer than the hole is wide.
func TestTallestIsShorter(t *testing.T) {
	t.Parallel()
	b := baseOf(t, hall(300, 300, `
sump: {size: [100, 100, 100], glass: 5, at: {left: 0, back: 0}, inlet: left}
equipment: [{name: skimmer, kind: skimmer, size: [350, 200, 318], at: {right: 0, back: 0}}]
`))
	things := b.LargestThings(t.Context())
	if len(things) != 1 {
		t.Fatalf("%d things", len(things))
	}
	l := things[0]
	if h := l.Most[2].MM(); h < 300-2*step || h > 300 {
		t.Errorf("the tallest is %g mm high, want hardly less than 300", h)
	}
	if h := l.Next[2].MM(); h <= 300 || h > 300+2*step {
		t.Errorf("shown impossible from %g mm on, want hardly more than 300", h)
	}
}

// A pipe that hangs from the top reaches into each sump that is higher than its end and
// too wide to stand beside it; the pipe in the corner does so to one that fills the
// cabinet.
func TestOnlyWith(t *testing.T) {
	t.Parallel()
	b := baseOf(t, `
format: 1
units: mm
tape: 0
cabinet:
  size: [340, 340, 520]
  wall: 20
  bottom: {up: 100}
  openings: [{name: front, side: front, at: {left: 20, sill: 0}, size: [300, 400], door: none}]
  fixtures:
    - {name: corner pipe, round: 20, height: 100, at: {left: 5, back: 5, down: 0}}
    - {name: middle pipe, round: 40, height: 100, at: {left: 130, back: 130, down: 0}}
`)
	for _, c := range []struct {
		name                 string
		width, depth, height unit.Length
		want                 []string
	}{
		{"below both", 290, 290, 299, nil},
		{"beside both", 128, 250, 320, nil},
		{"hardly too wide", 133, 250, 320, []string{"middle pipe"}},
		{"under the middle or both", 270, 270, 320, []string{"middle pipe"}},
	} {
		if got := b.OnlyWith(c.width, c.depth, c.height); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
