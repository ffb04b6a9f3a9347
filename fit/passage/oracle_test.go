package passage_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A planner is slow and simple: it knows nothing but exact distances, and walks
// over a grid of places and of turns about one axis. Two poses that are neighbours
// are joined where both keep clear by half of how far any point of the thing moves
// between them; so a way that it finds is one.
type planner struct {
	parts, others []solid.Solid
	ref           r3.Vec
	axis          r3.Vec
	step, turn    float64 // mm, radians
	need          float64 // what a pose has to keep clear
	lo, hi        [3]int  // of the places, in steps from rest
}

// node is a pose of the grid: places in steps from rest, then turns.
type node [4]int

func newPlanner(j *passage.Job, axis r3.Vec, step, turn float64) *planner {
	p := &planner{parts: solids(j.Parts), others: solids(j.Others), axis: axis, step: step, turn: turn}
	b := solid.BoundsOf(p.parts...)
	p.ref = r3.Scale(0.5, r3.Add(b.Min, b.Max))
	far := 0.0 // of any point of the thing from the axis
	for _, s := range p.parts {
		for _, v := range solid.Box(s.Bounds()).Vertices() {
			far = max(far, r3.Norm(r3.Cross(axis, r3.Sub(v, p.ref))))
		}
	}
	p.need = max(step, far*turn)/2 + 1e-6
	c := j.Cabinet
	r := r3.Norm(b.Size())
	for k, e := range [3][2]float64{
		{-p.ref.X, c.Width.MM() - p.ref.X}, {-p.ref.Y - r, c.Depth.MM() - p.ref.Y}, {-p.ref.Z, c.Height.MM() - p.ref.Z},
	} {
		p.lo[k], p.hi[k] = int(math.Floor(e[0]/step)), int(math.Ceil(e[1]/step))
	}
	return p
}

func (p *planner) pose(n node) solid.Pose {
	q := solid.About(p.ref, solid.Turned(p.axis, float64(n[3])*p.turn))
	q.Shift = r3.Add(q.Shift, r3.Scale(p.step, r3.Vec{X: float64(n[0]), Y: float64(n[1]), Z: float64(n[2])}))
	return q
}

// clear tells whether all keeps off everything at a pose by what is needed.
func (p *planner) clear(n node) bool {
	q := p.pose(n)
	for _, a := range p.parts {
		a = a.Moved(q)
		for _, b := range p.others {
			if solid.Lower(a, b) < p.need && solid.Distance(a, b).Low < p.need {
				return false
			}
		}
	}
	return true
}

// starts returns the poses over the place at rest, turned as there, from which the
// thing can be set straight down: all of its boxes, drawn out to there, overlap
// nothing.
func (p *planner) starts() []node {
	var out []node
	for k := 0; k <= p.hi[2]; k++ {
		for _, s := range p.parts {
			b := s.Bounds()
			b.Max.Z += float64(k) * p.step
			for _, o := range p.others {
				if solid.Distance(solid.Box(b), o).Dist < -verdict.Contact.MM() {
					return out
				}
			}
		}
		if n := (node{0, 0, k, 0}); p.clear(n) {
			out = append(out, n)
		}
	}
	return out
}

// way tells whether there is a way, to where the whole thing is before the front;
// it looks at no more than most poses.
func (p *planner) way(most int) bool {
	seen := map[node]bool{}
	// The poses to go on from, by how far in they are: those near the front first.
	waiting := make([][]node, p.hi[1]-p.lo[1]+1)
	visit := func(n node) {
		for k := range 3 {
			if n[k] < p.lo[k] || n[k] > p.hi[k] {
				return
			}
		}
		if n[3] < -int(math.Pi/2/p.turn) || n[3] > int(math.Pi/2/p.turn) || seen[n] {
			return
		}
		seen[n] = true
		if p.clear(n) {
			waiting[n[1]-p.lo[1]] = append(waiting[n[1]-p.lo[1]], n)
		}
	}
	for _, n := range p.starts() {
		visit(n)
	}
	for len(seen) < most {
		i := slices.IndexFunc(waiting, func(w []node) bool { return len(w) > 0 })
		if i < 0 {
			return false
		}
		last := len(waiting[i]) - 1
		n := waiting[i][last]
		waiting[i] = waiting[i][:last]
		q := p.pose(n)
		before := true
		for _, s := range p.parts {
			before = before && s.Moved(q).Bounds().Max.Y <= 0
		}
		if before {
			return true
		}
		for k := range n {
			for _, d := range [2]int{-1, 1} {
				next := n
				next[k] += d
				visit(next)
			}
		}
	}
	return false
}

// small draws a small scene with little in the way.
func small(i int) drawn {
	d := diceOf("small", i)
	s := &scene.Scene{Units: unit.Millimetres, Carry: 6}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = d.length(160, 260), d.length(140, 240), d.length(160, 240)
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = 8
	}
	front := unit.Length(400)
	s.Room.Front = &front
	in := c.Inside()
	wide, high := in.Size().X*d.between(0.4, 0.9), in.Size().Z*d.between(0.4, 0.9)
	x, z := d.between(in.Min.X, in.Max.X-wide), d.between(in.Min.Z, in.Max.Z-high)
	c.Openings = []scene.Opening{{Name: "doors", Side: scene.Front, Hole: box(x, 0, z, x+wide, 8, z+high)}}
	size := r3.Vec{X: in.Size().X * d.between(0.3, 0.9), Y: in.Size().Y * d.between(0.3, 0.8), Z: in.Size().Z * d.between(0.3, 0.8)}
	at := d.place(s, size)
	if d.often(0.5) {
		y := d.between(in.Min.Y, in.Max.Y-20)
		brace := box(in.Min.X, y, in.Max.Z-d.between(10, 60), in.Max.X, y+15, in.Max.Z)
		if d.often(0.5) {
			brace = box(in.Min.X, y, in.Min.Z, in.Min.X+d.between(10, 100), y+10, in.Max.Z)
		}
		if solid.Distance(solid.Box(brace), solid.Box(at)).Dist > 0 {
			c.Fixtures = []scene.Fixture{{Name: "brace", Bodies: []scene.Body{{Solid: solid.Box(brace)}}}}
		}
	}
	s.Sump = &scene.Sump{Box: at, Glass: 6}
	return drawn{"small", "sump", s}
}

// No scene is shown impossible in which the slow planner finds a way, and it finds
// one, sometimes, where one was shown that keeps well clear.
func TestSlowPlanner(t *testing.T) {
	t.Parallel()
	const step, turn, most = 6, 4 * math.Pi / 180, 40000
	n := 8
	if all() {
		n = 200
	}
	ways, both, noes := 0, 0, 0
	for i := range n {
		d := small(i)
		j := d.job(t)
		w := d.decide(t, j)
		found := false
		for _, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			if p := newPlanner(j, axis, step, turn); p.way(most) {
				found = true
				break
			}
		}
		if found {
			ways++
			if w.Going() {
				both++
			}
		}
		if w.Verdict == verdict.No {
			noes++
			if found {
				t.Errorf("scene %d: shown impossible by %q, and the slow planner finds a way", i, w.Proof)
			}
		}
		if found && !w.Going() {
			if kind := refuted(t, j); kind != "" {
				t.Errorf("scene %d: the slow planner finds a way, and it is shown impossible by %q", i, kind)
			}
		}
		if wrong := contradiction(t, d, j, w); wrong != "" {
			t.Errorf("scene %d: %s", i, wrong)
		}
	}
	t.Logf("%d scenes: the slow planner finds %d ways, %d of them were shown; %d shown impossible", n, ways, both, noes)
	if ways == 0 {
		t.Error("the slow planner finds nothing")
	}
}
