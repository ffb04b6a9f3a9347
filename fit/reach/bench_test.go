package reach_test

import (
	"fmt"
	"strings"
	"testing"

	"undercroft/assets"
	"undercroft/fit/reach"
)

// BenchmarkDemo answers for every place of the demo in which everything fits.
func BenchmarkDemo(b *testing.B) {
	text, ok := assets.Demo("fits")
	if !ok {
		b.Fatal("no demo")
	}
	s := read(b, string(text))
	for b.Loop() {
		reach.Check(b.Context(), s)
	}
}

// BenchmarkManyPlaces answers for twenty places among thirty things.
func BenchmarkManyPlaces(b *testing.B) {
	var t strings.Builder
	t.WriteString(`
format: 1
units: mm
room: {front: 1300}
cabinet:
  size: [1500, 500, 800]
  wall: 18
  bottom: {up: 80, thickness: 18}
  openings: [{name: doors, side: front, at: {left: 60, sill: 0}, size: [1380, 620], door: {hinge: pair, mount: inset, thickness: 18, opens: 100}}]
sump: {size: [800, 300, 350], glass: 8, at: {left: 100, front: 80}, inlet: left, baffles: [{at: 400, top: 260}]}
equipment:
`)
	for i := range 30 {
		fmt.Fprintf(&t, "  - {name: thing %d, size: [60, 60, %d], at: {left: %d, %s: 20}}\n", i, 60+7*i, 940+i%6*85, []string{"front", "back"}[i/6%2])
	}
	t.WriteString("reach:\n")
	for i := range 20 {
		fmt.Fprintf(&t, "  - {name: place %d, at: {left: %d, front: %d, up: %d}, task: %s}\n", i, 130+i*60, 120+i*37%280, 150+i*97%420,
			[]string{"press", "grip", "plug", "turn"}[i%4])
	}
	s := read(b, t.String())
	for b.Loop() {
		reach.Check(b.Context(), s)
	}
}
