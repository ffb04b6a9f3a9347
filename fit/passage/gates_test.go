package passage_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// reachingOut draws a way on which a box comes in through the front, moves and turns
// inside, and reaches out through a hole in another side meanwhile; and a cabinet
// whose holes are as large as that asks for, and hardly larger.
func reachingOut(t *testing.T, i int) (drawn, solid.Path) {
	t.Helper()
	d := diceOf("reaching out", i)
	half := r3.Vec{X: d.between(40, 250), Y: d.between(40, 250), Z: d.between(40, 250)}
	rest := r3.Vec{X: 1000, Y: 1000, Z: 1000}
	b := r3.Box{Min: r3.Sub(rest, half), Max: r3.Add(rest, half)}
	turn := solid.About(rest, solid.Turned(r3.Vec{X: d.NormFloat64(), Y: d.NormFloat64(), Z: d.NormFloat64()}, d.between(-math.Pi/2, math.Pi/2)))
	at := func(p solid.Pose, to r3.Vec) solid.Pose {
		p.Shift = r3.Add(p.Shift, r3.Sub(to, rest))
		return p
	}
	off := func(most float64) r3.Vec {
		return r3.Vec{X: d.between(-most, most), Y: d.between(-most, most), Z: d.between(0, most)}
	}
	const right, back, top = 0, 1, 2 // and the axis across each
	to := i % 3
	side := [...]scene.Face{right: scene.Right, back: scene.Back, top: scene.Top}[to]
	first, second := r3.Add(rest, off(80)), r3.Add(rest, off(80))
	switch to { // farther to the side that it reaches out of
	case right:
		second.X += d.between(0, 200)
	case top:
		second.Z += d.between(0, 200)
	}
	path := solid.Path{Ref: rest, Poses: []solid.Pose{
		at(turn, r3.Add(first, r3.Vec{X: d.between(-2000, 2000), Y: -3000, Z: d.between(0, 2000)})), at(turn, first), at(turn, second), at(solid.Rest, second), solid.Rest,
	}}
	// What it sweeps, and what of that lies behind the front, on its way through that and
	// after.
	const per, thick, play = 300, 18, 2
	in := r3.Box{Min: r3.Vec{Y: b.Min.Y - d.between(play, 60)}}
	var swept []*solid.Polyhedron
	enters, all := nothing, nothing
	for leg := range len(path.Poses) - 1 {
		for k := range per + 1 {
			p := solid.Box(b).Moved(path.At(leg, float64(k)/per)).(*solid.Polyhedron)
			swept = append(swept, p)
			q, ok := p.Clip(solid.Plane{Normal: r3.Vec{Y: -1}, Offset: thick - in.Min.Y + 1})
			if ok && leg == 0 {
				enters = round(enters, q.Bounds())
			}
			if ok {
				all = round(all, q.Bounds())
			}
		}
	}
	// The inside, which the box is wholly in at rest, and reaches out of to one side, but
	// not yet as it comes in through the front; before the front it goes as far as it
	// likes.
	in.Min.X, in.Min.Z = all.Min.X-play, all.Min.Z-play
	in.Max = r3.Add(all.Max, r3.Vec{X: play, Y: play, Z: play})
	share := d.between(0.05, 0.9)
	least := func(lo, most float64) float64 { return lo + share*max(0, most-lo) }
	switch to {
	case right:
		in.Max.X = least(max(b.Max.X, enters.Max.X, first.X, second.X)+play, all.Max.X)
	case top:
		in.Max.Z = least(max(b.Max.Z, enters.Max.Z, first.Z, second.Z)+play, all.Max.Z)
	case back:
		in.Max.Y = least(max(b.Max.Y+play, first.Y, second.Y), all.Max.Y)
	}
	outer := r3.Box{Min: r3.Sub(in.Min, r3.Vec{X: thick, Y: thick, Z: 100}), Max: r3.Add(in.Max, r3.Vec{X: thick, Y: thick, Z: thick})}
	// hole returns what of all that is swept lies in a slab of the cabinet.
	hole := func(slab r3.Box) r3.Box {
		h := nothing
		for _, p := range swept {
			ok := true
			for _, c := range []solid.Plane{
				{Normal: r3.Vec{X: 1}, Offset: slab.Max.X},
				{Normal: r3.Vec{X: -1}, Offset: -slab.Min.X},
				{Normal: r3.Vec{Y: 1}, Offset: slab.Max.Y},
				{Normal: r3.Vec{Y: -1}, Offset: -slab.Min.Y},
				{Normal: r3.Vec{Z: 1}, Offset: slab.Max.Z},
				{Normal: r3.Vec{Z: -1}, Offset: -slab.Min.Z},
			} {
				if p, ok = p.Clip(c); !ok {
					break
				}
			}
			if ok {
				h = round(h, p.Bounds())
			}
		}
		return h
	}
	const spare = 0.5
	opening := func(name string, side scene.Face, slab r3.Box, axis int) scene.Opening {
		// What is just before or behind a panel is to keep clear of its edges too.
		h := hole(r3.Box{Min: r3.Sub(slab.Min, r3.Vec{X: 1, Y: 1, Z: 1}), Max: r3.Add(slab.Max, r3.Vec{X: 1, Y: 1, Z: 1})})
		g := r3.Box{Min: r3.Sub(h.Min, r3.Vec{X: spare, Y: spare, Z: spare}), Max: r3.Add(h.Max, r3.Vec{X: spare, Y: spare, Z: spare})}
		// A hole that reached into another wall would leave less of that.
		if axis != 0 {
			g.Min.X, g.Max.X = max(g.Min.X, in.Min.X), min(g.Max.X, in.Max.X)
		}
		if axis != 1 {
			g.Min.Y, g.Max.Y = max(g.Min.Y, in.Min.Y), min(g.Max.Y, in.Max.Y)
		}
		if axis != 2 {
			g.Min.Z, g.Max.Z = max(g.Min.Z, in.Min.Z), min(g.Max.Z, in.Max.Z)
		}
		switch axis {
		case 0:
			g.Min.X, g.Max.X = slab.Min.X, slab.Max.X
		case 1:
			g.Min.Y, g.Max.Y = slab.Min.Y, slab.Max.Y
		case 2:
			g.Min.Z, g.Max.Z = slab.Min.Z, slab.Max.Z
		}
		g.Min, g.Max = r3.Sub(g.Min, outer.Min), r3.Sub(g.Max, outer.Min)
		return scene.Opening{Name: name, Side: side, Hole: g}
	}
	s := &scene.Scene{Units: unit.Millimetres}
	far := 5 * unit.Metre
	s.Room.Front = &far
	c := &s.Cabinet
	size := outer.Size()
	c.Width, c.Depth, c.Height = unit.Length(size.X), unit.Length(size.Y), unit.Length(size.Z)
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = thick
	}
	c.Bottom = &scene.InsideBottom{Up: 100, Thickness: 18}
	front, wall := outer, outer
	front.Max.Y = in.Min.Y
	switch to {
	case right:
		wall.Min.X = in.Max.X
	case top:
		wall.Min.Z = in.Max.Z
	case back:
		wall.Min.Y = in.Max.Y
	}
	c.Openings = []scene.Opening{opening("doors", scene.Front, front, 1)}
	if g := opening("gate", side, wall, to); g.Hole.Min.X < g.Hole.Max.X && g.Hole.Min.Y < g.Hole.Max.Y && g.Hole.Min.Z < g.Hole.Max.Z {
		c.Openings = append(c.Openings, g)
	}
	move := solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Scale(-1, outer.Min)}
	s.Sump = &scene.Sump{Box: r3.Box{Min: r3.Sub(b.Min, outer.Min), Max: r3.Sub(b.Max, outer.Min)}, Glass: 3}
	for k, p := range path.Poses {
		// move ∘ p ∘ move⁻¹
		q := solid.Pose{Turn: p.Turn}
		q.Shift = r3.Sub(move.Apply(p.Apply(rest)), q.Rotate(move.Apply(rest)))
		path.Poses[k] = q
	}
	path.Ref = move.Apply(rest)
	return drawn{fmt.Sprintf("reaching out %d, to %v", i, side), "sump", s}, path
}

var (
	inf     = math.Inf(1)
	nothing = r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
)

// round returns the box round two.
func round(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y), Z: min(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y), Z: max(a.Max.Z, b.Max.Z)},
	}
}

// Where there is a way on which a thing reaches out through a hole in another side,
// nothing shows that there is none.
func TestReachesOut(t *testing.T) {
	t.Parallel()
	n, out, ways := 30, 0, 0
	if all() {
		n = 600
	}
	for i := range n {
		d, path := reachingOut(t, i)
		j := d.job(t)
		if least := sampled(solids(j.Parts), solids(j.Others), solid.Path{Ref: path.Ref, Poses: path.Poses[:4]}, 150); least < 0.2 {
			continue // it would have to pass where two walls meet
		}
		ways++
		if len(d.Cabinet.Openings) > 1 {
			out++
		}
		if kind := passage.Refuted(t.Context(), j); kind != "" {
			t.Errorf("%s: shown impossible by %q, and there is a way", d.name, kind)
		}
	}
	t.Logf("%d of %d reach out", out, ways)
	if out < n/2 {
		t.Errorf("only %d of %d reach out", out, ways)
	}
}

// In a cabinet with a hole in another side, through which no more than a corner of it
// gets, a thing turns as little as in a closed one.
func TestShownPastAGate(t *testing.T) {
	t.Parallel()
	for name, hole := range map[string]scene.Opening{
		"a side":   {Name: "gate", Side: scene.Right, Hole: box(982, 134, 210, 1000, 400, 400)},
		"the top":  {Name: "gate", Side: scene.Top, Hole: box(300, 100, 782, 600, 300, 800)},
		"the back": {Name: "gate", Side: scene.Back, Hole: box(300, 402, 300, 600, 420, 500)},
	} {
		s := locked()
		s.Cabinet.Openings = append(s.Cabinet.Openings, hole)
		w := sumpJob(s).Decide(context.Background())
		if w.Verdict != verdict.No || w.Proof != "bands" {
			t.Errorf("%s: %v by %q (%s)", name, w.Verdict, w.Proof, w.Reason)
		}
	}
}

// A sump a little higher than the doors has to be tipped, and its upper edge to rise out
// by a hole in the top: where the hole ends before the edge it does not, which how large the
// hole is does not tell.
func TestHoleInTheTopEndsBeforeTheEdge(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		y0, y1 float64
		parted bool // into two holes with nothing between them
		no     bool
	}{
		{"before the edge", 38, 372, false, true},
		{"behind it", 20, 430, false, false},
		{"behind it, in two", 20, 430, true, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := with(cabinet(600, 664), 550, 408, 672)
			holes := []r3.Box{box(100, c.y0, 782, 900, c.y1, 800)}
			if c.parted {
				middle := (c.y0 + c.y1) / 2
				holes = []r3.Box{box(100, c.y0, 782, 900, middle, 800), box(100, middle, 782, 900, c.y1, 800)}
			}
			for _, h := range holes {
				s.Cabinet.Openings = append(s.Cabinet.Openings, scene.Opening{Name: "gate", Side: scene.Top, Hole: h})
			}
			w := sumpJob(s).Decide(t.Context())
			if no := w.Verdict == verdict.No; no != c.no {
				t.Errorf("%v by %q (%s), want no: %v", w.Verdict, w.Proof, w.Reason, c.no)
			}
		})
	}
}

// Two holes between which rounding alone leaves something are as one: nothing shows that
// what is wider than each does not go through.
func TestNothingBetweenHoles(t *testing.T) {
	t.Parallel()
	for between, no := range map[float64]bool{0: false, 1e-9: false, 5: true} {
		s := with(cabinet(700, 500), 550, 300, 400)
		o := &s.Cabinet.Openings[0]
		other := *o
		other.Name = "other"
		middle := (o.Hole.Min.X + o.Hole.Max.X) / 2
		o.Hole.Max.X, other.Hole.Min.X = middle, middle+between
		s.Cabinet.Openings = []scene.Opening{*o, other}
		if got := sumpJob(s).Deny().Shown(t.Context(), passage.Rounds); got != no {
			t.Errorf("%g mm between the holes: shown impossible: %v, want %v", between, got, no)
		}
	}
}

// Nothing is shown with a hole that reaches to the edge of a wall that has no other
// beside it: what sticks out there comes in past the edge; nor of a thing whose middle is
// over the top.
func TestReachesToNoEdge(t *testing.T) {
	t.Parallel()
	open := func(s *scene.Scene) {
		s.Cabinet.Lid = scene.Panel{Open: true}
		s.Cabinet.Openings = append(s.Cabinet.Openings, scene.Opening{Name: "open top", Side: scene.Top, Hole: box(18, 18, 800, 982, 402, 800), OpenFace: true})
	}
	side := func(b r3.Box) scene.Opening { return scene.Opening{Name: "gate", Side: scene.Right, Hole: b} }
	for _, c := range []struct {
		name    string
		change  func(s *scene.Scene)
		through int
		counts  bool
	}{
		{"a hole in a side", func(s *scene.Scene) {
			s.Cabinet.Openings = append(s.Cabinet.Openings, side(box(982, 134, 210, 1000, 400, 400)))
		}, 0, true},
		{"a hole up to the lid", func(s *scene.Scene) {
			s.Cabinet.Openings = append(s.Cabinet.Openings, side(box(982, 134, 210, 1000, 400, 782)))
		}, 0, true},
		{"an open top", open, 0, true},
		{"a hole up to an open top", func(s *scene.Scene) {
			open(s)
			s.Cabinet.Openings = append(s.Cabinet.Openings, side(box(982, 134, 210, 1000, 400, 800)))
		}, 0, false},
		{"through an open top, past a hole below it", func(s *scene.Scene) {
			open(s)
			s.Cabinet.Openings = append(s.Cabinet.Openings, side(box(982, 134, 210, 1000, 400, 790)))
		}, 1, true},
		{"through an open top, past a hole up to it", func(s *scene.Scene) {
			open(s)
			s.Cabinet.Openings = append(s.Cabinet.Openings, side(box(982, 134, 210, 1000, 400, 800)))
		}, 1, false},
		{"doors as wide as the cabinet, and a hole in a side", func(s *scene.Scene) {
			s.Cabinet.Openings[0].Hole.Min.X, s.Cabinet.Openings[0].Hole.Max.X = 0, 1000
			s.Cabinet.Openings = append(s.Cabinet.Openings, side(box(982, 134, 210, 1000, 400, 400)))
		}, 0, false},
		{"a thing twice as high as the cabinet", func(s *scene.Scene) {
			open(s)
			s.Sump.Box.Max.Z = 1700
		}, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := locked()
			c.change(s)
			th := s.Things()[0]
			j := passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[c.through])
			if counts := passage.PastGates(j); counts != c.counts {
				t.Errorf("holes of other sides are reckoned with: %v, want %v", counts, c.counts)
			}
		})
	}
}

// How high the trim of a trade size is nobody knows: that it does not go in as high as
// it is assumed shows nothing.
func TestAssumedTrimShowsNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		rim     scene.Trim
		refuted bool
	}{
		{"measured, as high as the sump", scene.Trim{Height: 300, Out: 160}, true},
		{"assumed as high as the sump", scene.Trim{Height: 300, Out: 160, Assumed: true}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := with(cabinet(250, 410), 100, 100, 300)
			s.Cabinet.Depth = 600
			s.Sump.Box.Min.Y, s.Sump.Box.Max.Y = 250, 350
			s.Sump.Rim = &c.rim
			if kind := passage.Refuted(t.Context(), sumpJob(s)); kind != "" != c.refuted {
				t.Errorf("shown impossible by %q, want that: %v", kind, c.refuted)
			}
		})
	}
}

// Nor does it that trim overlaps something where it stands, but for its outer face.
func TestAssumedTrimOverlaps(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		assumed bool
		up      float64 // of the block's top, from the top of the rim
		want    verdict.Verdict
	}{
		{"measured, into a block under its top", false, -20, verdict.No},
		{"assumed, into a block under its top", true, -20, verdict.Unsure},
		{"assumed, into a block over its top", true, 20, verdict.No},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := with(cabinet(900, 600), 300, 200, 300)
			b := s.Sump.Box
			s.Sump.Rim = &scene.Trim{Height: 60, Out: 40, Assumed: c.assumed}
			// Beside the glass and under the rim.
			s.Cabinet.Fixtures = []scene.Fixture{{Name: "block", Bodies: []scene.Body{{Solid: solid.Box(box(b.Max.X+10, b.Min.Y, b.Max.Z-100, b.Max.X+200, b.Max.Y, b.Max.Z+c.up))}}}}
			j := sumpJob(s)
			j.Others, j.Reaching = append(j.Others, j.Reaching...), nil
			w := j.Decide(t.Context())
			if w.Verdict != c.want {
				t.Errorf("%v by %q (%v), want %v", w.Verdict, w.Reason, w.Margin, c.want)
			}
		})
	}
}
