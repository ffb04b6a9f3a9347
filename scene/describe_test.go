package scene_test

import (
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/unit"
)

func TestDescribe(t *testing.T) {
	t.Parallel()
	want := []string{
		"Round the cabinet there are 52 in before it, 4 in to its left, 30 in to its right and 1 in behind it.",
		"The ceiling is 96 in above the house floor.",
		"The cabinet is 42 1/4 x 18 1/2 x 32 in outside (width x depth x height).",
		"Its walls: front 3/4 in, back 1/4 in, left 3/4 in, right 3/4 in and top 3/4 in.",
		"The cabinet bottom is 4 in above the house floor.",
		"That leaves 40 3/4 x 17 1/2 x 27 1/4 in inside.",
		`Way in "doors", the front: 37 3/4 x 24 1/2 in, 2 1/4 in from the left edge, its lower edge 1/2 in above the cabinet bottom.`,
		`Door of "doors": a pair of inset leaves, 3/4 in thick, opens to 100°; 4 hinges stick 3/4 in into the way.`,
		"Bulkhead and stub, built in: 3 x 3 x 4 in, 8 in from the left, 4 in from the back, right at the top.",
		"The display is 42 x 18 x 20 in of 3/8 in glass, not standing yet; water 18 1/8 in deep, falling 1 1/8 in when the pump stops; sand 1 1/2 in deep; 35 lb of rock.",
		"The sump is 28 x 13 x 15 1/2 in of 15/64 in glass.",
		"With its trim it is 28 1/4 x 13 1/4 x 15 1/2 in and stands 4 in from the left, 1 1/2 in from the front, on the cabinet bottom.",
		"I read 2 chambers: 1 (inlet) 16 in long, 2 (return) 8 5/16 in long; 1 bubble trap between 16 and 19 1/4 in.",
		"Chambers are counted from the left, where the water comes in; the sump is 12 1/2 in wide across the flow.",
		"The water goes over baffle 1 at 16 in (9 1/2 in high), under baffle 2 at 17 1/2 in (1 1/4 in free below it) and over baffle 3 at 19 in (8 1/4 in high).",
		"While the pump runs, 300 gal/h arrive and the last chamber is kept 7 in deep.",
		"Skimmer in chamber 1: 5 1/2 x 5 1/2 x 17 in, 3 1/4 in from the right, 2 3/4 in from the front, on the sump's bottom; goes in as 2 pieces.",
		"Heater in chamber 2: 1 x 1 x 10 in, against the right, 5 in from the front, 3/4 in above the sump's bottom; touches right wall on purpose.",
		"Power strip (power) in the cabinet: 1 1/2 x 2 x 8 in, against the left, 7 1/4 in from the front, 16 in above the cabinet bottom; touches left wall on purpose.",
		"A hand must get to cup on skimmer, to lift: 14 1/4 in from the left, 7 1/4 in from the front, 16 1/2 in above the cabinet bottom.",
		"Assumed: the display is not standing yet (display.standing).",
	}
	got := landing().Describe()
	for i := range max(len(got), len(want)) {
		switch {
		case i >= len(want):
			t.Errorf("more than wanted: %s", got[i])
		case i >= len(got):
			t.Errorf("missing: %s", want[i])
		case got[i] != want[i]:
			t.Errorf("line %d\n got %s\nwant %s", i, got[i], want[i])
		}
	}
}

// Each change to a plan shows in what is said about it.
func TestDescribeSays(t *testing.T) {
	t.Parallel()
	inch := unit.Inch
	tests := map[string]struct {
		change func(*scene.Scene)
		want   string
	}{
		"metric": {
			func(s *scene.Scene) { s.Units = unit.Millimetres },
			"The cabinet is 1073 x 470 x 813 mm outside (width x depth x height).",
		},
		"centimetres": {
			func(s *scene.Scene) { s.Units = unit.Centimetres },
			"I read 2 chambers: 1 (inlet) 40.65 cm long, 2 (return) 21.05 cm long; 1 bubble trap between 40.65 and 48.85 cm.",
		},
		"open faces": {
			func(s *scene.Scene) { s.Cabinet.Back, s.Cabinet.Lid = scene.Panel{Open: true}, scene.Panel{Open: true} },
			"Its walls: front 3/4 in, left 3/4 in and right 3/4 in; open at the back and top.",
		},
		"no cabinet bottom": {
			func(s *scene.Scene) { s.Cabinet.Bottom = nil },
			"There is no cabinet bottom: things stand on the house floor.",
		},
		"sill without a cabinet bottom": {
			func(s *scene.Scene) { s.Cabinet.Bottom = nil },
			`Way in "doors", the front: 37 3/4 x 24 1/2 in, 2 1/4 in from the left edge, its lower edge 4 1/2 in above the house floor.`,
		},
		"open face": {
			func(s *scene.Scene) {
				s.Cabinet.Openings[0] = scene.Opening{Name: "open back", Side: scene.Back, Hole: in(0.75, 18.5, 4, 41.5, 18.5, 31.25), OpenFace: true}
			},
			`Way in "open back", the back: 40 3/4 x 27 1/4 in.`,
		},
		"a hole in the back is seen from behind": {
			func(s *scene.Scene) {
				s.Cabinet.Openings[0] = scene.Opening{Name: "hatch", Side: scene.Back, Hole: in(2.25, 18.25, 4, 12.25, 18.5, 14), BeforeDisplay: true}
			},
			`Way in "hatch", the back: 10 x 10 in, 30 in from the left edge, its lower edge level with the cabinet bottom, a way only before the display stands on the cabinet.`,
		},
		"a hole in the top": {
			func(s *scene.Scene) {
				s.Cabinet.Openings[0] = scene.Opening{Name: "lid", Side: scene.Top, Hole: in(5, 3, 31.25, 25, 13, 32)}
			},
			`Way in "lid", the top: 20 x 10 in, 5 in from the left edge, 3 in from the front edge.`,
		},
		"a clear width": {
			func(s *scene.Scene) {
				d := s.Cabinet.Openings[0].Door
				d.Clear, d.Hinges, d.LiftsOff, d.Overlay, d.Overlap = new(36.25*inch), nil, true, true, inch/2
			},
			`Door of "doors": a pair of overlay (1/2 in over the edge) leaves, 3/4 in thick, opens to 88.5°, at which 36 1/4 in are clear; it lifts off.`,
		},
		"a bare sump in the middle": {
			func(s *scene.Scene) { s.Sump.Rim, s.Sump.Box = nil, in(7.125, 3, 4, 35.125, 16, 19.5) },
			"It stands midway between left and right, midway between front and back, on the cabinet bottom.",
		},
		"a place told from the faces it was measured from": {
			func(s *scene.Scene) {
				s.Cabinet.Fixtures[0].From = []scene.Face{scene.Right, scene.Front, scene.Top}
				s.Cabinet.Fixtures[0].Bodies[0].Solid = upright(10.25, 12.75, 26.25, 3, 4)
			},
			"Bulkhead and stub, built in: 3 x 3 x 4 in, 29 3/4 in from the right, 10 1/2 in from the front, 1 in below the top.",
		},
		"a room without a wall in front": {
			func(s *scene.Scene) { s.Room.Front = nil },
			"Nothing is given before the cabinet: 48 in are taken to be free there.",
		},
		"one chamber": {
			func(s *scene.Scene) { s.Sump.Baffles, s.Sump.Inlet = nil, scene.Back },
			"I read 1 chamber: 1 (inlet and return) 12 1/2 in long.",
		},
		"across the flow": {
			func(s *scene.Scene) { s.Sump.Baffles, s.Sump.Inlet = nil, scene.Back },
			"Chambers are counted from the back, where the water comes in; the sump is 27 1/2 in wide across the flow.",
		},
		"two bubble traps": {
			func(s *scene.Scene) {
				s.Sump.Baffles = []scene.Baffle{
					{At: 6 * inch, Top: 9 * inch, Thickness: inch / 4},
					{At: 8 * inch, Top: 11 * inch, Gap: inch, Thickness: inch / 4},
					{At: 18 * inch, Top: 11 * inch, Gap: inch, Thickness: inch / 4},
					{At: 20 * inch, Top: 8 * inch, Thickness: inch / 4},
				}
			},
			"I read 3 chambers: 1 (inlet) 6 in long, 2 (middle) 9 3/4 in long, 3 (return) 7 1/4 in long; 2 bubble traps between 6 and 8 1/4 in and between 18 and 20 1/4 in.",
		},
		"a name in another script": {
			func(s *scene.Scene) {
				s.Equipment[1].Name, s.Equipment[1].Kind, s.Equipment[1].On = "éponge", "sock", nil
			},
			"Éponge (sock) in chamber 2: 1 x 1 x 10 in, against the right, 5 in from the front, 3/4 in above the sump's bottom.",
		},
		"a thing that stays": {
			func(s *scene.Scene) { s.Equipment[2].Fixed, s.Equipment[2].Soft, s.Equipment[2].On = true, true, nil },
			"Power strip (power) in the cabinet: 1 1/2 x 2 x 8 in, against the left, 7 1/4 in from the front, 16 in above the cabinet bottom; never comes out; bends aside on the way.",
		},
		"a slab": {
			func(s *scene.Scene) { s.Floor = &scene.Floor{Slab: true} },
			"The house floor is a slab.",
		},
		"joists": {
			func(s *scene.Scene) {
				s.Floor = &scene.Floor{Joists: &scene.Joists{Thickness: 1.5 * inch, Depth: 9.25 * inch, Spacing: 16 * inch, Span: 144 * inch, LeftRight: true}}
			},
			"Under the house floor: joists 1 1/2 x 9 1/4 in, 16 in apart, 144 in from support to support, running left to right.",
		},
		"a stand": {
			func(s *scene.Scene) {
				s.Stand = &scene.Stand{Board: "plywood", Feet: make([]scene.Foot, 4), Members: make([]scene.Member, 1)}
			},
			"The stand has 1 timber, panels of plywood and 4 feet.",
		},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := landing()
			tt.change(s)
			if got := s.Describe(); !slices.Contains(got, tt.want) {
				t.Errorf("nothing says\n%s\nin\n%s", tt.want, strings.Join(got, "\n"))
			}
		})
	}
}

// The label of a dimension is the distance it spans.
func TestDimensionsMeasureWhatTheySay(t *testing.T) {
	t.Parallel()
	for _, sys := range unit.Systems() {
		s := landing()
		s.Units = sys
		known := map[string]bool{}
		for _, p := range s.AtRest() {
			known[p.Name] = true
		}
		for _, p := range s.Sump.Carried() {
			known[p.Name] = true
		}
		for _, m := range s.Dimensions() {
			d := r3.Sub(m.To, m.From)
			if got := sys.Length(unit.Length(r3.Norm(d))); got != m.Label {
				t.Errorf("from %v to %v are %s, labelled %s", m.From, m.To, got, m.Label)
			}
			along := 0
			for _, c := range []float64{d.X, d.Y, d.Z} {
				if c != 0 {
					along++
				}
			}
			if along != 1 {
				t.Errorf("from %v to %v is not along one axis", m.From, m.To)
			}
			for _, p := range m.Parts {
				if !known[p] {
					t.Errorf("%s is about %q, which is not there", m.Label, p)
				}
			}
		}
	}
}

// A dimension runs from the face the tape was laid on to the face it reached.
func TestDimensionsLieWhereTheyWereMeasured(t *testing.T) {
	t.Parallel()
	type span struct{ from, to r3.Vec }
	at := func(x, y, z float64) r3.Vec { return in(x, y, z, 0, 0, 0).Min }
	const glass = 6 / 25.4
	tests := map[string]struct {
		change func(*scene.Scene)
		label  string
		want   span
	}{
		"width of the cabinet": {func(*scene.Scene) {}, "42 1/4 in", span{at(0, 0, 0), at(42.25, 0, 0)}},
		"width of the doors":   {func(*scene.Scene) {}, "37 3/4 in", span{at(2.25, 0, 4.5), at(40, 0, 4.5)}},
		"doors from the left":  {func(*scene.Scene) {}, "2 1/4 in", span{at(0, 0, 4.5), at(2.25, 0, 4.5)}},
		"sill":                 {func(*scene.Scene) {}, "1/2 in", span{at(40, 0, 4), at(40, 0, 4.5)}},
		"sill without a cabinet bottom": {
			func(s *scene.Scene) { s.Cabinet.Bottom = nil }, "4 1/2 in", span{at(40, 0, 0), at(40, 0, 4.5)},
		},
		"cabinet bottom": {func(*scene.Scene) {}, "4 in", span{at(0, 0, 0), at(0, 0, 4)}},
		"a hole in the back, from the left as seen from behind": {
			func(s *scene.Scene) {
				s.Cabinet.Openings[0] = scene.Opening{Name: "hatch", Side: scene.Back, Hole: in(2.25, 18.25, 5, 12.25, 18.5, 15)}
			}, "30 in", span{at(42.25, 18.5, 5), at(12.25, 18.5, 5)},
		},
		"sump from the left":  {func(*scene.Scene) {}, "4 in", span{at(0.75, 8.875, 11.75), at(4.75, 8.875, 11.75)}},
		"sump from the front": {func(*scene.Scene) {}, "1 1/2 in", span{at(18.875, 0.75, 11.75), at(18.875, 2.25, 11.75)}},
		"sump from the right": {
			func(s *scene.Scene) { s.Sump.Box = in(12.375, 2.375, 4, 40.375, 15.375, 19.5) },
			"1 in",
			span{at(41.5, 8.875, 11.75), at(40.5, 8.875, 11.75)},
		},
		"sump from the right, where it was measured, though the left is nearer": {
			func(s *scene.Scene) { s.Sump.From = []scene.Face{scene.Right} },
			"8 1/2 in",
			span{at(41.5, 8.875, 11.75), at(33, 8.875, 11.75)},
		},
		"baffle from the inlet at the left": {
			func(*scene.Scene) {}, "16 in",
			span{at(4.875+glass, 2.375+glass, 4+glass), at(20.875+glass, 2.375+glass, 4+glass)},
		},
		"baffle from the inlet at the right": {
			func(s *scene.Scene) { s.Sump.Inlet = scene.Right }, "16 in",
			span{at(32.875-glass, 2.375+glass, 4+glass), at(16.875-glass, 2.375+glass, 4+glass)},
		},
		"gap under a raised baffle": {
			func(*scene.Scene) {}, "1 1/4 in",
			span{at(22.375+glass, 2.375+glass, 4+glass), at(22.375+glass, 2.375+glass, 5.25+glass)},
		},
		"display's height": {func(*scene.Scene) {}, "20 in", span{at(0.125, 0.25, 32), at(0.125, 0.25, 52)}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := landing()
			tt.change(s)
			marks := s.Dimensions()
			if !slices.ContainsFunc(marks, func(m scene.Mark) bool {
				// Rounding alone, of coordinates under a metre.
				return m.Label == tt.label && r3.Norm(r3.Sub(m.From, tt.want.from)) < 1e-6 && r3.Norm(r3.Sub(m.To, tt.want.to)) < 1e-6
			}) {
				t.Errorf("no dimension of %s from %v to %v among %v", tt.label, tt.want.from, tt.want.to, marks)
			}
		})
	}
}
