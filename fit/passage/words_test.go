package passage_test

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// stance is how somebody stands before a side: where their right is, and what is away.
type stance struct{ right, away r3.Vec }

var stances = map[scene.Face]stance{
	scene.Front: {r3.Vec{X: 1}, r3.Vec{Y: 1}},
	scene.Back:  {r3.Vec{X: -1}, r3.Vec{Y: -1}},
	scene.Left:  {r3.Vec{Y: -1}, r3.Vec{X: 1}},
	scene.Right: {r3.Vec{Y: 1}, r3.Vec{X: -1}},
	scene.Top:   {r3.Vec{X: 1}, r3.Vec{Y: 1}},
}

var (
	tips   = regexp.MustCompile(`tip the (far edge|near edge|left end|right end) up (\d+)°`)
	swings = regexp.MustCompile(`swing the (left|right) end away from you (\d+)°`)
	shifts = regexp.MustCompile(`([\d.]+) mm (in|out|left|right|back|forward)`)
	rises  = regexp.MustCompile(`(lift|lower) ([\d.]+) mm`)
)

// directions returns which way each word points.
func (p stance) directions(side scene.Face) map[string]r3.Vec {
	up := r3.Vec{Z: 1}
	d := map[string]r3.Vec{
		"right": p.right, "left": r3.Scale(-1, p.right), "right end": p.right, "left end": r3.Scale(-1, p.right),
		"far edge": p.away, "near edge": r3.Scale(-1, p.away), "in": p.away, "out": r3.Scale(-1, p.away),
		"lift": up, "lower": r3.Scale(-1, up),
	}
	if side == scene.Top {
		d["back"], d["forward"] = p.away, r3.Scale(-1, p.away)
	}
	return d
}

// turned returns the turn that a text tells, one turn after the other, by words alone:
// what is tipped goes toward up, what is swung toward away.
func (p stance) turned(t *testing.T, side scene.Face, text string) quat.Number {
	t.Helper()
	q := solid.Rest.Turn
	for part := range strings.SplitSeq(text, ", then ") {
		for _, m := range tips.FindAllStringSubmatch(part, -1) {
			q = quat.Mul(toward(t, p.directions(side)[m[1]], r3.Vec{Z: 1}, m[2]), q)
		}
		for _, m := range swings.FindAllStringSubmatch(part, -1) {
			q = quat.Mul(toward(t, p.directions(side)[m[1]], p.away, m[2]), q)
		}
	}
	return q
}

func toward(t *testing.T, from, to r3.Vec, degrees string) quat.Number {
	t.Helper()
	return solid.Turned(r3.Cross(from, to), number(t, degrees)*math.Pi/180)
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// follows holds that each move in words does what the path does meanwhile.
func follows(t *testing.T, side scene.Face, m *scene.Motion) {
	t.Helper()
	const degree = math.Pi / 180
	p := stances[side]
	directions := p.directions(side)
	first := 0
	for i, text := range m.Moves {
		from, to := solid.Rest, m.Path.Poses[0]
		legs := 0
		for leg, of := range m.MoveOf {
			if of == i {
				if legs == 0 {
					first = leg
				}
				legs++
			}
		}
		begins := i == 0 && legs == 0
		if !begins {
			from, to = m.Path.Poses[first], m.Path.Poses[first+legs]
		}
		does := quat.Mul(to.Turn, quat.Conj(from.Turn))
		if off := solid.AngleBetween(does, p.turned(t, side, text)); off > 1.2*degree {
			t.Errorf("%q: the thing is turned otherwise by %.1f°", text, off/degree)
		}
		if begins || strings.HasPrefix(text, "set down") {
			continue
		}
		var told r3.Vec
		for _, s := range shifts.FindAllStringSubmatch(text, -1) {
			told = r3.Add(told, r3.Scale(number(t, s[1]), directions[s[2]]))
		}
		for _, s := range rises.FindAllStringSubmatch(text, -1) {
			told = r3.Add(told, r3.Scale(number(t, s[2]), directions[s[1]]))
		}
		if off := r3.Norm(r3.Sub(r3.Sub(to.Apply(m.Path.Ref), from.Apply(m.Path.Ref)), told)); off > 5 {
			t.Errorf("%q: the thing is moved otherwise by %.1f mm", text, off)
		}
	}
}

// cube is a cabinet as wide as deep as high, with one hole in a side, by its width and
// height as seen from there.
func cube(side scene.Face, wide, high float64) *scene.Scene {
	s := cabinet(100, 100)
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = 762, 762, 762
	at, to, up := 381-wide/2, 381+wide/2, 115.0
	hole := map[scene.Face]r3.Box{
		scene.Front: box(at, 0, up, to, 18, up+high), scene.Back: box(at, 744, up, to, 762, up+high),
		scene.Left: box(0, at, up, 18, to, up+high), scene.Right: box(744, at, up, 762, to, up+high),
		scene.Top: box(at, 381-high/2, 744, to, 381+high/2, 762),
	}
	c.Openings[0].Side, c.Openings[0].Hole = side, hole[side]
	return s
}

// What a way says in words is what it does, whichever side it leads through: also how the
// thing is turned where it begins, without which none of the rest would do. Where left and
// right are not those of the front, one move says whose they are.
func TestWordsFollowTheWay(t *testing.T) {
	t.Parallel()
	from := map[scene.Face]string{
		scene.Left: ", as seen from the left side", scene.Right: ", as seen from the right side", scene.Back: ", as seen from the back",
	}
	for side := range stances {
		t.Run(side.String(), func(t *testing.T) {
			t.Parallel()
			s := with(cube(side, 355, 508), 457, 457, 280)
			aside := r3.Vec{X: 70, Y: 60}
			s.Sump.Box.Min, s.Sump.Box.Max = r3.Add(s.Sump.Box.Min, aside), r3.Add(s.Sump.Box.Max, aside)
			f := told(t, s)
			if len(f.Motions) != 1 {
				t.Fatalf("%v: %s", f.Verdict, f.Summary)
			}
			m := &f.Motions[0]
			follows(t, side, m)
			begins := m.Begins()
			if angle := solid.AngleBetween(m.Path.Poses[0].Turn, solid.Rest.Turn); (angle > 0.01) != (begins != "") || side != scene.Top && angle < 1 {
				t.Errorf("it begins turned by %.2f, and says %q", angle, begins)
			}
			th := s.Things()[0]
			w := passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[0]).Decide(t.Context())
			out := w.Taken(s.Units, th, th.Groups[0], 0)
			follows(t, side, &out)
			for _, moves := range [][]string{m.Moves, out.Moves} {
				for i, move := range moves {
					sided := strings.Contains(move, "left") || strings.Contains(move, "right")
					if i > 0 {
						before := strings.Join(moves[:i], "")
						sided = sided && !strings.Contains(before, "left") && !strings.Contains(before, "right")
					}
					if want := from[side]; want != "" && sided != strings.HasSuffix(move, want) || want == "" && strings.Contains(move, "as seen") {
						t.Errorf("%q among %q", move, moves)
					}
				}
			}
			for _, ms := range f.Measures {
				if ms.Key == "hands" && begins != "" && ms.Value.([]string)[0] != "hands at both ends, outside" {
					t.Errorf("hands %q while it is turned outside", ms.Value)
				}
			}
		})
	}
}

// A turn is told as those about the axes of who stands there that make it, as few as can
// be, the one after the other.
func TestHowItBeginsIsTold(t *testing.T) {
	t.Parallel()
	const degree = math.Pi / 180
	about := func(axis r3.Vec, degrees float64) quat.Number { return solid.Turned(axis, degrees*degree) }
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	for _, c := range []struct {
		side scene.Face
		turn quat.Number
		want string
	}{
		{scene.Front, solid.Rest.Turn, ""},
		{scene.Front, about(x, 0.1), ""},
		{scene.Front, about(x, 80), "outside, tip the far edge up 80°"},
		{scene.Front, about(x, -90), "outside, tip the near edge up 90°"},
		{scene.Front, about(y, 12), "outside, tip the left end up 12°"},
		{scene.Front, about(y, -12), "outside, tip the right end up 12°"},
		{scene.Front, about(z, 135), "outside, swing the right end away from you 135°"},
		{scene.Front, about(z, -5), "outside, swing the left end away from you 5°"},
		{scene.Top, about(x, 30), "outside, tip the far edge up 30°"},
		{scene.Top, about(z, 30), "outside, swing the right end away from you 30°"},
		{scene.Left, about(y, -80), "outside, tip the far edge up 80°"},
		{scene.Left, about(x, 80), "outside, tip the left end up 80°"},
		{scene.Right, about(y, 80), "outside, tip the far edge up 80°"},
		{scene.Right, about(x, 80), "outside, tip the right end up 80°"},
		{scene.Back, about(x, 80), "outside, tip the near edge up 80°"},
		{scene.Back, about(y, 80), "outside, tip the right end up 80°"},
		{scene.Front, quat.Mul(about(x, 50), about(z, 30)), "outside, swing the right end away from you 30°, then tip the far edge up 50°"},
		{scene.Front, quat.Mul(about(z, -30), about(x, 50)), "outside, tip the far edge up 50°, then swing the left end away from you 30°"},
		{scene.Front, quat.Scale(-1, about(x, 80)), "outside, tip the far edge up 80°"},
	} {
		if got := passage.BeginText(c.side, c.turn); got != c.want {
			t.Errorf("%v, turned by %v: %q, want %q", c.side, c.turn, got, c.want)
		}
	}
	r := rand.New(rand.NewPCG(7, 1))
	for range 2000 {
		q := quat.Number{Real: r.NormFloat64(), Imag: r.NormFloat64(), Jmag: r.NormFloat64(), Kmag: r.NormFloat64()}
		q = quat.Scale(1/quat.Abs(q), q)
		for side, p := range stances {
			text := passage.BeginText(side, q)
			if off := solid.AngleBetween(q, p.turned(t, side, text)); off > 1.6*degree {
				t.Fatalf("%v: %q is off by %.1f°", side, text, off/degree)
			}
		}
	}
}

// What a move does at once is one sentence, and so is what else the last one does.
func TestMovesInOneSentence(t *testing.T) {
	t.Parallel()
	j := sumpJob(with(cabinet(700, 500), 600, 300, 400))
	path := solid.Path{Ref: r3.Vec{X: 500, Y: 225, Z: 300}}
	for _, at := range []r3.Vec{{X: 30, Y: -600, Z: 20}, {X: 30, Y: -115, Z: 20}, {X: 10, Y: -15, Z: 10}, {}} {
		path.Poses = append(path.Poses, solid.Pose{Turn: solid.Rest.Turn, Shift: at})
	}
	w := j.Along(path, false)
	want := []string{"slide 485 mm in", "lower 10 mm and slide 100 mm in and 20 mm left", "set down, sliding 15 mm in and 10 mm left"}
	if got := passage.Moves(&w); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// A piece of a wall, named after the hole it lies beside, is told as one.
func TestPartsReadable(t *testing.T) {
	t.Parallel()
	for part, want := range map[string]string{
		"cabinet/left before end":   "the cabinet's left wall before end",
		"cabinet/front above doors": "the cabinet's front wall above doors",
		"cabinet/top left of hole":  "the cabinet's top board left of hole",
		"cabinet/back":              "the cabinet's back",
		"cabinet/inside bottom":     "the cabinet's inside bottom",
		"room/floor":                "the room's floor",
		"sump/rim left":             "sump's rim left",
		"skimmer":                   "skimmer",
	} {
		if got := passage.Readable(part); got != want {
			t.Errorf("%s: %q, want %q", part, got, want)
		}
	}
}
