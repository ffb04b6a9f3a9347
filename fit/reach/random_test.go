package reach

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
)

// drawn returns a plan drawn at random: a cabinet with an opening, a few boxes
// in it and one place.
func drawn(r *rand.Rand) string {
	whole := func(low, high int) int { return low + r.IntN(high-low+1) }
	w, d, h := whole(350, 1100), whole(300, 1000), whole(350, 800)
	ow, oh := whole(50, w-40), whole(50, h-60)
	var b strings.Builder
	fmt.Fprintf(&b, "format: 1\nunits: mm\ntape: %d\n", r.IntN(3))
	fmt.Fprintf(&b, "room: {front: %d, ceiling: 2400}\n", whole(900, 1500))
	fmt.Fprintf(&b, "cabinet:\n  size: [%d, %d, %d]\n  wall: 18\n  bottom: {up: 40, thickness: 18}\n", w, d, h)
	fmt.Fprintf(&b, "  openings: [{name: hole, side: front, at: {left: %d, up: %d}, size: [%d, %d]}]\n",
		whole(20, w-ow-20), whole(40, h-oh-20), ow, oh)
	inside := [3]int{w - 36, d - 36, h - 58}
	b.WriteString("equipment:\n")
	for i := range whole(1, 4) {
		s := [3]int{whole(10, inside[0]*2/3), whole(10, inside[1]*2/3), whole(20, inside[2]*3/4)}
		fmt.Fprintf(&b, "  - {name: box %d, size: [%d, %d, %d], at: {left: %d, front: %d, up: %d}}\n", i, s[0], s[1], s[2],
			whole(0, inside[0]-s[0]), whole(0, inside[1]-s[1]), []int{0, 0, whole(0, inside[2]-s[2])}[r.IntN(3)])
	}
	fmt.Fprintf(&b, "reach: [{name: place, at: {left: %d, front: %d, up: %d}, task: %s}]\n",
		whole(5, inside[0]-5), whole(5, inside[1]-5), whole(5, inside[2]-5),
		[]string{scene.TaskPress, scene.TaskGrip, scene.TaskPlug, scene.TaskTurn}[r.IntN(4)])
	return b.String()
}

// overlaps reports, by points alone and without any distance query, whether a
// ball goes deeper than slack into a box.
func overlaps(b r3.Box, c r3.Vec, radius, slack float64) bool {
	d := r3.Vec{
		X: max(b.Min.X-c.X, c.X-b.Max.X, 0), Y: max(b.Min.Y-c.Y, c.Y-b.Max.Y, 0), Z: max(b.Min.Z-c.Z, c.Z-b.Max.Z, 0),
	}
	return r3.Norm2(d) < (radius-slack)*(radius-slack)
}

// certainBoxes are the boxes that are surely there.
func certainBoxes(s *scene.Scene, at scene.Place) (boxes []r3.Box, tape float64) {
	parts, _ := certain(s, nil, at)
	for _, p := range parts {
		boxes = append(boxes, p.Sure.Bounds())
	}
	return boxes, s.Tape.MM()
}

// anyPosture tries a grid of postures of an arm made of the balls that a refusal
// looks at, straight to the elbow and straight from there, and returns one that
// overlaps nothing and comes outside.
func anyPosture(s *scene.Scene, at scene.Place, p *person, g *grasp, r *rand.Rand, tries int) bool {
	boxes, tape := certainBoxes(s, at)
	out := r3.Box{Max: r3.Vec{X: s.Cabinet.Width.MM(), Y: s.Cabinet.Depth.MM(), Z: s.Cabinet.Height.MM()}}
	blocked := func(c r3.Vec, radius float64) bool {
		for _, b := range boxes {
			if overlaps(b, c, radius, tape) {
				return true
			}
		}
		return false
	}
	// Fingers are thin, and still go through no wall.
	within := func(c r3.Vec) bool {
		for _, b := range boxes {
			if c.X > b.Min.X+tape && c.X < b.Max.X-tape && c.Y > b.Min.Y+tape && c.Y < b.Max.Y-tape && c.Z > b.Min.Z+tape && c.Z < b.Max.Z-tape {
				return true
			}
		}
		return false
	}
	// From the place to the shoulder.
	free := func(from, dir r3.Vec, s0, s1 float64) (outside, ok bool) {
		for l := s0; l <= s1; l += 5 {
			c := r3.Add(from, r3.Scale(l-s0, dir))
			if l < g.near/2 && l < g.wrist {
				if within(c) {
					return false, false
				}
				continue
			}
			radius := p.inside(g, l)
			if l < g.wrist {
				radius = max(radius, g.ball)
			}
			if blocked(c, radius) {
				return false, false
			}
			if !holds(out, c) {
				return true, true
			}
		}
		return false, true
	}
	for range tries {
		d := r3.Unit(r3.Vec{X: r.NormFloat64() * 0.7, Y: -math.Abs(r.NormFloat64()), Z: r.NormFloat64() * 0.7})
		outside, ok := free(at.At, d, 0, g.wrist+p.fore)
		if !ok {
			continue
		}
		if outside {
			return true
		}
		elbow := r3.Add(at.At, r3.Scale(g.wrist+p.fore, d))
		for range 4 {
			u := r3.Unit(r3.Vec{X: r.NormFloat64() * 0.7, Y: -math.Abs(r.NormFloat64()), Z: r.NormFloat64() * 0.7})
			if outside, ok := free(elbow, u, g.wrist+p.fore, p.length(g)); ok && outside {
				return true
			}
		}
	}
	return false
}

// pointsIn returns points of a solid: of its surface, and between them and its
// middle.
func pointsIn(s solid.Solid, r *rand.Rand, n int) []r3.Vec {
	out := []r3.Vec{s.Centroid()}
	for range n {
		d := r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}
		p, q := s.Support(d), s.Support(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
		t, u := r.Float64(), r.Float64()
		out = append(out, p, r3.Add(r3.Scale(t, p), r3.Scale(1-t, q)), r3.Add(r3.Scale(u, p), r3.Scale(1-u, out[0])))
	}
	return out
}

// contradicted returns an obstacle that a dense sample of the way and the
// posture is inside of; "" for none.
func contradicted(p *posture, at scene.Place, r *rand.Rand) string {
	inside := func(q r3.Vec, forHand bool) string {
		for i := range p.world.obstacles {
			o := &p.world.obstacles[i]
			if forHand && on(at, o.Part) {
				continue
			}
			const tiny = 0.01
			b := o.box
			if q.X > b.Min.X+tiny && q.X < b.Max.X-tiny && q.Y > b.Min.Y+tiny && q.Y < b.Max.Y-tiny && q.Z > b.Min.Z+tiny && q.Z < b.Max.Z-tiny {
				return o.Name
			}
		}
		return ""
	}
	check := func(s solid.Solid, hand bool, pose solid.Pose) string {
		for _, q := range pointsIn(s, r, 12) {
			if name := inside(pose.Apply(q), hand); name != "" {
				return name
			}
		}
		return ""
	}
	for leg := range len(p.path.Poses) - 1 {
		for i := range 31 {
			pose := p.path.At(leg, float64(i)/30)
			for _, s := range p.hand {
				if n := check(s, true, pose); n != "" {
					return "the hand is in " + n
				}
			}
			for _, s := range p.fore {
				if n := check(s, false, pose); n != "" {
					return "the forearm is in " + n
				}
			}
		}
	}
	for _, s := range p.upper {
		for range 20 {
			if n := check(s, false, solid.Rest); n != "" {
				return "the upper arm is in " + n
			}
		}
	}
	if holds(p.world.outside, p.shoulder) {
		return "the shoulder is inside"
	}
	for _, s := range p.shut {
		// One with the wrist bent comes across, so that all of it has to be outside.
		if b := s.Moved(p.path.Poses[0]).Bounds(); p.bend != 0 && apart(b, p.world.outside) <= 0 {
			return "the hand begins inside"
		}
	}
	wrist := p.at(p.wrist)
	d := r3.Scale(1/r3.Norm(r3.Sub(p.elbow, wrist)), r3.Sub(p.elbow, wrist))
	if bend := math.Acos(min(1, r3.Dot(d, p.axis))); bend > 45.01*math.Pi/180 {
		return "the wrist is bent too far"
	}
	return ""
}

// TestRandomScenes compares answers with a grid of postures and dense samples: a
// no stands only where no posture is found, an ok only where no sample
// contradicts. UNDERCROFT_SCENES=all draws 510 scenes.
func TestRandomScenes(t *testing.T) {
	t.Parallel()
	n := 16
	if os.Getenv("UNDERCROFT_SCENES") == "all" {
		n = 510
	}
	count := map[verdict.Verdict]int{}
	withBent := 0
	who := anyone()
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 11))
		text := drawn(r)
		s, err := plan.Read("drawn.yaml", []byte(text))
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		q := asked{s: s, worlds: worldsOf(s, nil)}
		at := s.Reach[0]
		gs := who.grasps(at)
		best := q.best(context.Background(), at, &who, gs)
		var res Result
		if best != nil {
			q.tell(&res, best, &who, at)
		} else if q.within(at) == "" {
			q.deny(&res, at, &who, gs)
		}
		count[res.Verdict]++
		bent := q.wristBent(context.Background(), at, &who, gs)
		if bent != nil {
			withBent++
		}
		for _, p := range []*posture{best, bent} {
			if p == nil {
				continue
			}
			if why := contradicted(p, at, r); why != "" {
				t.Errorf("seed %d: there is a posture, but %s\n%s", seed, why, text)
			}
			// What is shown to be possible must not be refused.
			for _, g := range gs {
				if g.wrist != p.wrist {
					continue
				}
				if f := refuse(s, nil, at, &who, &g); f.no(who.length(&g) + s.Tape.MM()) {
					t.Errorf("seed %d: a posture was verified, and refused: %+v\n%s", seed, f, text)
				}
			}
		}
		switch res.Verdict {
		case verdict.OK, verdict.Tight:
		case verdict.No:
			for _, g := range gs {
				if anyPosture(s, at, &who, &g, r, 3000) {
					t.Errorf("seed %d: no (%s), but a posture was found\n%s", seed, res.Reason, text)
				}
			}
		case verdict.Unsure:
		}
	}
	t.Logf("of %d scenes: ok %d, tight %d, no %d, unsure %d; with the wrist bent %d", n, count[verdict.OK], count[verdict.Tight], count[verdict.No], count[verdict.Unsure], withBent)
	if n >= 40 && (count[verdict.OK] == 0 || count[verdict.No] == 0 || withBent == 0) {
		t.Error("the scenes say little: one of the answers is not among them")
	}
}
