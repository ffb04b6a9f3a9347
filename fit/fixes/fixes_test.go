package fixes_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"undercroft/fit"
	"undercroft/fit/fixes"
	"undercroft/fit/verdict"
	"undercroft/scene/plan"
)

// small is a cabinet in which little is to be searched for.
const small = `format: 1
units: in
tape: 1/16
room: {front: 40, ceiling: 96}
cabinet:
  size: [30, 18, 30]
  wall: 3/4
  bottom: {up: 4, thickness: 3/4}
`

// cases are plans in which one check comes out as no or tight, and what helps.
var cases = []struct {
	name, plan, id string
	effort         fixes.Effort
	text           string // part of what is said
	after          verdict.Verdict
}{
	{
		name: "the leaves are in the way", id: "passage/sump", effort: fixes.DoorOff, text: "off its hinges", after: verdict.OK,
		plan: `format: 1
units: in
room: {front: 54, back: 1, ceiling: 96}
cabinet:
  size: [20, 28, 30]
  wall: 3/4
  bottom: {up: 3 1/2, thickness: 3/4}
  openings:
    - {name: doors, side: front, at: {left: 2 1/4, sill: 0}, size: [15 1/2, 24], door: {hinge: pair, mount: inset, thickness: 3/4, opens: 90}}
sump: {size: [14 1/2, 24, 16], glass: 5/16, at: {left: 2, front: 1 1/2}, inlet: back}
`,
	},
	{
		name: "too near a pipe stub", id: "gap/sump/stub", effort: fixes.Move, text: "move the sump 1/8 in to the right", after: verdict.OK,
		plan: `  fixtures: [{name: stub, size: [2, 2, 20], at: {left: 3, back: 5}, bears: no, comes-out: no}]
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 5 1/8}, inlet: left}
`,
	},
	{
		name: "between two boards, with little room to choose", id: "gap/heater/left board", effort: fixes.Move, text: "move heater 9/16 in to the right", after: verdict.OK,
		plan: `  fixtures:
    - {name: left board, size: [2, 16 1/2, 20], at: {left: 0}, bears: no, comes-out: no}
    - {name: right board, size: [2, 16 1/2, 20], at: {left: 5 1/4}, bears: no, comes-out: no}
equipment: [{name: heater, kind: heater, round: 1, height: 8, at: {left: 2 7/16}}]
gaps: {heater: 1}
`,
	},
	{
		name: "just above the cabinet bottom", id: "gap/sump/cabinet", effort: fixes.Move, text: "move the sump 1/8 in down", after: verdict.OK,
		plan: `sump: {size: [15, 12, 12], glass: 1/4, at: {left: 5, up: 1/8}, inlet: left}
`,
	},
	{
		name: "another thing lies across its place", id: "passage/jug", effort: fixes.Turn, text: "turn rod by 60°", after: verdict.OK,
		plan: `  openings: [{name: front, side: front, at: {left: 3/4, sill: 0}, size: [28 1/2, 20]}]
equipment:
  - {name: rod, size: [11, 1, 2], at: {left: 1, front: 4}, turn: 30}
  - {name: jug, size: [6, 8, 8], at: {left: 6, front: 6}}
`,
	},
	{
		name: "a shelf that is screwed on", id: "gap/sump/shelf", effort: fixes.Unscrew, text: "screw shelf off", after: verdict.OK,
		plan: `  fixtures: [{name: shelf, size: [28, 16, 3/4], at: {up: 11}, bears: no, comes-out: screws}]
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 5}, inlet: left}
`,
	},
	{
		name: "the sump is too high for the shelf", id: "gap/sump/shelf", effort: fixes.LowerWall, text: "13 3/4 in high instead of 14 in", after: verdict.OK,
		plan: `  fixtures: [{name: shelf, size: [28, 16, 3/4], at: {up: 14}, bears: no, comes-out: no}]
sump: {size: [15, 12, 14], glass: 1/4, at: {left: 5}, inlet: left}
`,
	},
	{
		name: "a box across another", id: "gap/long box/jug", effort: fixes.Turn, text: "turn long box by 90°", after: verdict.OK,
		plan: `equipment:
  - {name: long box, size: [14, 4, 6], at: {left: 1, front: 1}}
  - {name: jug, size: [6, 6, 8], at: {left: 8, front: 1}}
`,
	},
	{
		name: "the skimmer stands too deep", id: "water/depth/skimmer", effort: fixes.Move, text: "on a block", after: verdict.OK,
		plan: filled("1/2", "10", "8"),
	},
	{
		name: "a baffle is too high for the skimmer", id: "water/depth/skimmer", effort: fixes.Baffle, text: "make baffle 2 end", after: verdict.OK,
		plan: filled("1/2", "10", "6"),
	},
	{
		name: "too full to take what drains down", id: "water/pump off", effort: fixes.Level, text: "keep the water in the last chamber at", after: verdict.Tight,
		plan: filled("3", "8", "7 1/2"),
	},
	{
		name: "too much drains down", id: "water/pump off", effort: fixes.Drop, text: "let the display fall no more than", after: verdict.OK,
		plan: filled("3", "8", "7 1/2"),
	},
	{
		name: "the rim is too wide", id: "gap/sump/right stub", effort: fixes.RimOff, text: "take the rim off", after: verdict.OK,
		plan: `  fixtures:
    - {name: left stub, size: [2, 2, 20], at: {left: 3, back: 5}, bears: no, comes-out: no}
    - {name: right stub, size: [2, 2, 20], at: {left: 21, back: 5}, bears: no, comes-out: no}
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 5 1/2, front: 2}, inlet: left, rim: {height: 1, out: 7/16, in: 1/4}}
`,
	},
	{
		name: "the tank is too high for the shelf", id: "gap/sump/shelf", effort: fixes.OtherTank, text: "take the trade size", after: verdict.OK,
		plan: `  fixtures: [{name: shelf, size: [28, 16, 3/4], at: {up: 14}, bears: no, comes-out: no}]
sump: {stock: "20 high", inlet: left}
`,
	},
	{
		name: "the sump lies across", id: "gap/sump/cabinet", effort: fixes.Turn, text: "turn the sump by 90°", after: verdict.OK,
		plan: `sump: {size: [12, 20, 12], glass: 1/4, at: {left: 2}, inlet: left}
`,
	},
	{
		name: "the cord is too short", id: "service/cord pump", effort: fixes.Longer, text: "a cord of pump that is", after: verdict.OK,
		plan: `  fixtures: [{name: outlet, size: [2, 2, 4], at: {right: 0, up: 20, front: 3}, bears: no, comes-out: no}]
equipment: [{name: pump, kind: pump, size: [4, 4, 4], at: {left: 1}, cord: {length: 20, to: outlet}}]
`,
	},
	{
		name: "the strip hangs below the rim", id: "service/strip outlets", effort: fixes.Move, text: "hang outlets 2 9/16 in higher", after: verdict.OK,
		plan: `  fixtures: [{name: outlets, size: [2, 10, 2], at: {right: 0, up: 9 1/2, front: 3}, bears: no, comes-out: no}]
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 2}, inlet: left}
equipment: [{name: pump, kind: pump, size: [4, 4, 4], at: {right: 3, front: 1}, cord: {length: 60, to: outlets}}]
`,
	},
	{
		name: "the strip hangs too far down", id: "service/strip outlets", effort: fixes.Move, text: "hang outlets 1 5/16 in higher", after: verdict.OK,
		plan: `  fixtures: [{name: outlets, size: [2, 10, 2], at: {right: 0, down: 12 1/2, front: 3}, bears: no, comes-out: no}]
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 2}, inlet: left}
equipment: [{name: pump, kind: pump, size: [4, 4, 4], at: {right: 3, front: 1}, cord: {length: 60, to: outlets}}]
`,
	},
	{
		name: "the strip is a thing of its own", id: "service/strip strip", effort: fixes.Move, text: "hang strip ", after: verdict.OK,
		plan: `sump: {size: [15, 12, 12], glass: 1/4, at: {left: 2}, inlet: left}
equipment: [{name: strip, kind: power, size: [2, 10, 2], at: {right: 0, up: 9 1/2, front: 3}}]
`,
	},
	{
		name: "the glass is too thin", id: "glass/long pane", effort: fixes.Thicker, text: "make the sump of glass", after: verdict.OK,
		plan: `sump: {size: [26, 14, 20], glass: 3/16, at: {left: 1, front: 1}, inlet: left, flow: 300, baffles: [{at: 13, top: 16, gap: 1}], level: 15}
`,
	},
	{
		name: "the joists are bent where it stands", id: "floor/joists", effort: fixes.Elsewhere, text: "nearer to where the joists rest", after: verdict.OK,
		plan: `display: {size: [30, 18, 24], glass: 3/8, water: {below-top: 1}, drops: 1, standing: dry}
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 5 1/2, front: 2}, inlet: left, level: 6}
floor: {joists: {size: 2x8, species: spruce-pine-fir, grade: 2, spacing: 16, span: 11 ft, run: front-back, support: 20, offset: 5}, sheathing: 3/4}
`,
	},
	{
		name: "in pieces it goes in easily", id: "passage/tower", effort: fixes.Pieces, text: "by itself, and put it on inside", after: verdict.OK,
		plan: `  openings: [{name: hole, side: front, at: {left: 2, sill: 0}, size: [26, 12]}]
equipment:
  - name: tower
    at: {left: 15 1/2, front: 2}
    parts:
      - {name: base, size: [11 3/4, 11 3/4, 6], at: {left: 0, front: 0}}
      - {name: top, size: [11 3/4, 11 3/4, 5 3/4], at: {left: 0, front: 0, up: 6}}
carry: 1/4
`,
	},
	{
		name: "posts bar the way", id: "passage/chest", effort: fixes.LiftOut, text: "; and lift ", after: verdict.OK,
		plan: `  openings: [{name: hole, side: front, at: {left: 2, sill: 0}, size: [26, 22]}]
  fixtures:
    - {name: left post, size: [1, 1, 25 1/4], at: {left: 7, front: 0, up: 0}, bears: no, comes-out: lifts}
    - {name: middle post, size: [1, 1, 25 1/4], at: {left: 13 3/4, front: 0, up: 0}, bears: no, comes-out: lifts}
    - {name: right post, size: [1, 1, 25 1/4], at: {left: 20 1/2, front: 0, up: 0}, bears: no, comes-out: lifts}
equipment: [{name: chest, size: [14, 13 1/2, 14], at: {back: 1, left: 4}}]
`,
	},
	{
		name: "the second bars the first", id: "passage/chest", effort: fixes.Sooner, text: "bring chest in before board", after: verdict.OK,
		plan: `  openings: [{name: hole, side: front, at: {left: 2, sill: 0}, size: [26, 22]}]
equipment:
  - {name: board, size: [27, 1, 18], at: {front: 2}, order: 1}
  - {name: chest, size: [20, 8, 12], at: {back: 1}, order: 2}
`,
	},
}

// wet is a sump with two chambers below a display, and a skimmer in it.
const wet = small + `display: {size: [30, 18, 18], glass: 3/8, water: {below-top: 1}, drops: DROPS}
sump:
  size: [22, 12, 14]
  glass: 1/4
  at: {left: 3}
  inlet: left
  flow: 300
  baffles: [{at: 10, top: 11, gap: 1}, {at: 11 1/2, top: TOP}]
  level: LEVEL
equipment:
  - {name: skimmer, kind: skimmer, in: sump 1, at: {left: 2, front: 2}, round: 4, height: 10, stands-in: [6, 8]}
`

// filled returns wet with its numbers.
func filled(drops, top, level string) string {
	return strings.NewReplacer("DROPS", drops, "TOP", top, "LEVEL", level).Replace(wet)
}

func find(t *testing.T, text string) (*plan.Draft, fixes.List) {
	t.Helper()
	d, err := plan.NewDraft("plan.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	l, err := fixes.Find(context.Background(), d, fixes.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d, l
}

func answer(t *testing.T, l fixes.List, id string) fixes.Answer {
	t.Helper()
	for _, a := range l.Answers {
		if a.Finding.ID == id {
			return a
		}
	}
	t.Fatalf("nothing is said of %s", id)
	return fixes.Answer{}
}

func TestFixes(t *testing.T) {
	t.Parallel()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			text := c.plan
			if !strings.HasPrefix(text, "format") {
				text = small + text
			}
			d, l := find(t, text)
			keeps(t, d, l)
			a := answer(t, l, c.id)
			for _, x := range a.Fixes {
				if x.Effort == c.effort && strings.Contains(x.Text, c.text) && x.After == c.after {
					return
				}
			}
			t.Errorf("%s (%s): %q is not offered, but %s", c.id, a.Finding.Summary, c.text, told(a))
		})
	}
}

func told(a fixes.Answer) string {
	var out []string
	for _, x := range a.Fixes {
		out = append(out, x.Text+" → "+x.After.String())
	}
	return strings.Join(out, "; ")
}

// keeps makes every change that is offered to the plan, writes it down, and checks
// it from scratch: the check says what was promised, no other one comes out as no
// that did not, and the least effort comes first.
func keeps(t *testing.T, d *plan.Draft, l fixes.List) {
	t.Helper()
	was := map[string]verdict.Verdict{}
	s, err := d.Read()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range fit.Check(context.Background(), s, fit.Options{}).Checks {
		was[c.ID] = c.Verdict
	}
	checked := map[string][]verdict.Finding{} // several checks may be helped by one change
	for _, a := range l.Answers {
		least := fixes.DoorOff
		for _, x := range a.Fixes {
			if x.Effort < least {
				t.Errorf("%s: %q comes after what is more effort", a.Finding.ID, x.Text)
			}
			least = x.Effort
			if x.After.Rank() >= a.Finding.Verdict.Rank() {
				t.Errorf("%s: %q makes it %s, which it was", a.Finding.ID, x.Text, x.After)
			}
			changed, err := d.With(x.Edits...)
			if err != nil {
				t.Fatal(err)
			}
			written, err := changed.YAML()
			if err != nil {
				t.Fatal(err)
			}
			after, done := checked[string(written)]
			if !done {
				s, err := plan.Read("changed.yaml", written)
				if err != nil {
					t.Fatalf("%q: %v\n%s", x.Text, err, written)
				}
				after = fit.Check(context.Background(), s, fit.Options{}).Checks
				checked[string(written)] = after
			}
			worse := map[string]bool{}
			for _, w := range x.Worse {
				worse[w.ID] = true
			}
			for _, c := range after {
				before, there := was[c.ID]
				if !there {
					before = verdict.OK
				}
				switch {
				case c.ID == a.Finding.ID && c.Verdict.Rank() > x.After.Rank():
					t.Errorf("%s: after %q it is %s, not %s: %s", c.ID, x.Text, c.Verdict, x.After, c.Summary)
				case c.ID != a.Finding.ID && c.Verdict == verdict.No && before != verdict.No:
					t.Errorf("%s: %q makes %s a no", a.Finding.ID, x.Text, c.ID)
				case c.ID != a.Finding.ID && c.Verdict.Rank() > before.Rank() && !worse[c.ID]:
					t.Errorf("%s: %q makes %s worse and does not say so", a.Finding.ID, x.Text, c.ID)
				}
			}
		}
	}
}

// narrow is a plan in which only a larger opening helps.
const narrow = small + `  openings: [{name: hole, side: front, at: {left: 8, sill: 0}, size: [13 1/2, 22]}]
display: {size: [30, 18, 18], glass: 3/8, water: {below-top: 1}, drops: 1, standing: STANDING}
equipment: [{name: chest, size: [14, 14, 14], at: {left: 6}}]
`

// What holds the tank up stays as it is while a filled display stands on it; else a
// change of it comes with the stand judged again, and with a caution.
func TestWhatHoldsTheTank(t *testing.T) {
	t.Parallel()
	for standing, offered := range map[string]bool{"full": false, "dry": true} {
		t.Run(standing, func(t *testing.T) {
			t.Parallel()
			d, l := find(t, strings.Replace(narrow, "STANDING", standing, 1))
			keeps(t, d, l)
			cut := false
			for _, a := range l.Answers {
				for _, x := range a.Fixes {
					if x.Effort != fixes.Cut && x.Effort != fixes.Timber {
						continue
					}
					cut = true
					switch {
					case !strings.Contains(x.Caution, "licensed professional"):
						t.Errorf("%q comes without the caution", x.Text)
					case x.Stand == nil || *x.Stand != verdict.Unsure:
						t.Errorf("%q: the plan tells nothing of the stand, which is not unsure", x.Text)
					}
				}
			}
			if cut != offered {
				t.Errorf("an opening is cut: %v, want %v", cut, offered)
			}
		})
	}
}

// frame is a stand of rails that are too weak for a tall display.
const frame = `format: 1
cabinet:
  size: [42 1/4, 18 1/2, 32]
  wall: 3/4
  bottom: {up: 4, thickness: 3/4}
display: {size: [42, 18, 40], glass: 3/8, water: {below-top: 1 1/2}, drops: 1 1/8, standing: STANDING}
sump: {size: [28, 13, 15 1/2], glass: 6 mm, inlet: left, flow: 300, level: 7}
stand:
  bears: rim
  species: hem-fir
  grade: 2
  members:
    - {name: front rail, size: 2x2, run: left-right, at: {front: 0, down: 3/4}, length: 42 1/4}
    - {name: back rail, size: 2x2, run: left-right, at: {back: 0, down: 3/4}, length: 42 1/4}
    - {name: left rail, size: 2x2, run: front-back, at: {left: 0, down: 3/4}, length: 15 1/2}
    - {name: right rail, size: 2x2, run: front-back, at: {right: 0, down: 3/4}, length: 15 1/2}
    - {name: left front leg, size: 4x4, run: up, at: {left: 0, front: 0}, length: 29 3/4}
    - {name: right front leg, size: 4x4, run: up, at: {right: 0, front: 0}, length: 29 3/4}
    - {name: left back leg, size: 4x4, run: up, at: {left: 0, back: 0}, length: 29 3/4}
    - {name: right back leg, size: 4x4, run: up, at: {right: 0, back: 0}, length: 29 3/4}
`

// A timber that is too weak is replaced with those level with it, and what stands
// under them cut shorter; not under a filled display.
func TestTimber(t *testing.T) {
	t.Parallel()
	for standing, offered := range map[string]bool{"full": false, "dry": true} {
		d, l := find(t, strings.Replace(frame, "STANDING", standing, 1))
		keeps(t, d, l)
		a := answer(t, l, "stand/front rail")
		if len(a.Fixes) > 0 != offered {
			t.Errorf("%s: %s", standing, told(a))
		}
		for _, x := range a.Fixes {
			if x.Effort != fixes.Timber || x.After != verdict.OK || x.Stand == nil || *x.Stand != verdict.OK || x.Caution != fixes.CautionBears {
				t.Errorf("%s: %q: after it %s, the stand %v, with the caution %q", standing, x.Text, x.After, x.Stand, x.Caution)
			}
		}
	}
}

// A fixture is taken out only where the plan says that it holds up nothing, and
// that it comes out.
func TestFixtureThatMayBear(t *testing.T) {
	t.Parallel()
	for says, want := range map[string]struct{ offered, named bool }{
		"bears: no, comes-out: screws":      {true, false},
		"bears: yes, comes-out: screws":     {false, false},
		"bears: unknown, comes-out: screws": {false, true},
		"comes-out: lifts":                  {false, true},
		"bears: no, comes-out: no":          {false, false},
		"bears: no":                         {false, false},
	} {
		t.Run(says, func(t *testing.T) {
			t.Parallel()
			_, l := find(t, small+`  fixtures: [{name: shelf, size: [28, 16, 3/4], at: {up: 11}, `+says+`}]
sump: {size: [15, 12, 12], glass: 1/4, at: {left: 5}, inlet: left}
`)
			a := answer(t, l, "gap/sump/shelf")
			offered := false
			for _, x := range a.Fixes {
				for _, e := range x.Edits {
					offered = offered || e.Key == "cabinet.fixtures[0]"
				}
			}
			if offered != want.offered || len(a.Bears) > 0 != want.named {
				t.Errorf("offered %v, named %v, want %v", offered, a.Bears, want)
			}
		})
	}
}

// A plan that is wrong is told so.
func TestWrongPlan(t *testing.T) {
	t.Parallel()
	d, err := plan.NewDraft("plan.yaml", []byte("format: 1\ncabinet: {size: [1, 2]}\n"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = fixes.Find(context.Background(), d, fixes.Options{})
	if _, ok := errors.AsType[plan.Errors](err); !ok {
		t.Errorf("got %v, want errors of the plan", err)
	}
}

// A search that is stopped says so, and promises nothing that it did not see.
func TestStopped(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	d, err := plan.NewDraft("plan.yaml", []byte(small+cases[1].plan))
	if err != nil {
		t.Fatal(err)
	}
	l, err := fixes.Find(ctx, d, fixes.Options{})
	if err != nil || !l.Stopped {
		t.Fatalf("stopped %v, error %v", l.Stopped, err)
	}
	for _, a := range l.Answers {
		if len(a.Fixes) > 0 || !a.Stopped {
			t.Errorf("%s: %s", a.Finding.ID, told(a))
		}
	}
}

// What is found does not depend on how many look for it.
func TestWorkers(t *testing.T) {
	t.Parallel()
	text := small + cases[1].plan
	var all []string
	for _, n := range []int{1, 4} {
		d, err := plan.NewDraft("plan.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		l, err := fixes.Find(context.Background(), d, fixes.Options{Workers: n})
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		for _, a := range l.Answers {
			out.WriteString(a.Finding.ID + ": " + told(a) + "\n")
		}
		all = append(all, out.String())
	}
	if all[0] != all[1] {
		t.Errorf("one worker:\n%s\nfour:\n%s", all[0], all[1])
	}
}
