package view

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

func TestStepsOfAWay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		moves int
		legs  int // of each move
		want  int
	}{
		{"a single push", 1, 1, 4},
		{"two moves", 2, 1, 4},
		{"three moves", 3, 4, 4},
		{"four moves", 4, 2, 6},
		{"six moves", 6, 2, 8},
		{"seven moves", 7, 1, 8},
		{"twenty moves", 20, 3, 8},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m := scene.Motion{Thing: "sump"}
			pose := solid.Rest
			m.Path.Poses = append(m.Path.Poses, pose)
			for i := range c.moves {
				m.Moves = append(m.Moves, fmt.Sprintf("move %c", 'a'+i))
				for range c.legs {
					pose.Shift = r3.Add(pose.Shift, r3.Vec{Y: 10 + float64(i%5)})
					m.Path.Poses = append(m.Path.Poses, pose)
					m.MoveOf = append(m.MoveOf, i)
				}
			}
			got := steps(m)
			if len(got) != c.want {
				t.Fatalf("%d steps, want %d", len(got), c.want)
			}
			if got[0].at != 0 || got[len(got)-1].at != float64(c.moves*c.legs) {
				t.Errorf("from %g to %g, want the whole way", got[0].at, got[len(got)-1].at)
			}
			said := ""
			for i, s := range got {
				if i > 0 && s.at <= got[i-1].at {
					t.Errorf("step %d at %g is no later than the one before", i, s.at)
				}
				said += s.text + "|"
			}
			for _, move := range m.Moves {
				if !strings.Contains(said, move) {
					t.Errorf("%q is not said: %s", move, said)
				}
			}
		})
	}
}

// How a thing is turned where its way begins is said of the first picture, which shows it
// so, and of no other; no picture more is drawn for it.
func TestStripTellsHowItBegins(t *testing.T) {
	t.Parallel()
	m := scene.Motion{MoveOf: []int{0, 1, 2}, Moves: []string{"slide in", "turn", "set down"}}
	for y := range 4 {
		m.Path.Poses = append(m.Path.Poses, solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Vec{Y: float64(100 * y)}})
	}
	plain := steps(m)
	m.Moves = append([]string{"outside, tip the far edge up 80°"}, m.Moves...)
	for i := range m.MoveOf {
		m.MoveOf[i]++
	}
	turned := steps(m)
	if plain[0].text != "start outside" || turned[0].text != m.Moves[0] {
		t.Errorf("the first pictures are %q and %q", plain[0].text, turned[0].text)
	}
	if !slices.Equal(plain[1:], turned[1:]) {
		t.Errorf("the others are %v, want %v", turned[1:], plain[1:])
	}
}

// Where the hands are is told with the move, of moves that are joined one after the other.
func TestStepsTellOfHands(t *testing.T) {
	t.Parallel()
	m := scene.Motion{Thing: "sump", Path: solid.Path{Poses: []solid.Pose{solid.Rest}}}
	pose := solid.Rest
	for i := range 9 { // one more than there are pictures for, with the start: two are joined twice
		pose.Shift = r3.Add(pose.Shift, r3.Vec{Y: 10 + 90*float64(min(i, 1))})
		m.Path.Poses = append(m.Path.Poses, pose)
		m.MoveOf = append(m.MoveOf, i)
		m.Moves = append(m.Moves, fmt.Sprintf("move %d", i))
		m.Hands = append(m.Hands, scene.Hands{})
	}
	m.Hands[0].Short, m.Hands[1].Short, m.Hands[8].Short = "both hands outside", "helper at hatch", "both hands inside"
	got := steps(m)
	if want := "both hands outside, then helper at hatch"; got[1].hands != want {
		t.Errorf("%q with %q, want %q", got[1].text, got[1].hands, want)
	}
	if last := got[len(got)-1]; last.hands != "both hands inside" {
		t.Errorf("%q with %q", last.text, last.hands)
	}
}
