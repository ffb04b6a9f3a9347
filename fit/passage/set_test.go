package passage_test

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// The set: scenes drawn at random, the same every time. Those with something in
// the way besides panel and door are crowded, and near the limit; the planted
// ones were drawn round a way in.
const (
	plainScenes, crowdedScenes, plantedScenes = 400, 100, 60
	setSeed                                   = 2027
)

// drawn is one scene of the set.
type drawn struct {
	name  string // kind and index
	thing string
	*scene.Scene
}

// job asks for the first opening.
func (d drawn) job(tb testing.TB) *passage.Job {
	tb.Helper()
	return d.through(tb, 0)
}

func (d drawn) through(tb testing.TB, opening int) *passage.Job {
	tb.Helper()
	t, ok := d.Thing(d.thing)
	if !ok {
		tb.Fatalf("%s has no %s", d.name, d.thing)
	}
	return passage.JobOf(d.Scene, t, t.Groups[0], &d.Cabinet.Openings[opening])
}

// dice draws what scenes are made of.
type dice struct{ *rand.Rand }

func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }
func (d dice) often(share float64) bool       { return d.Float64() < share }
func (d dice) length(lo, hi float64) unit.Length {
	return unit.Length(math.Round(2*d.between(lo, hi)) / 2)
}

func diceOf(kind string, i int) dice {
	seed := uint64(setSeed)
	for _, c := range kind {
		seed = seed*131 + uint64(c)
	}
	return dice{rand.New(rand.NewPCG(seed, uint64(i)))}
}

// cabinetOf draws a cabinet with one opening.
func (d dice) cabinetOf(side scene.Face) *scene.Scene {
	s := &scene.Scene{Units: unit.Millimetres, Carry: 6}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = d.length(450, 1400), d.length(320, 650), d.length(500, 900)
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = d.length(6, 30)
	}
	if d.often(0.8) {
		c.Bottom = &scene.InsideBottom{Up: d.length(20, 120), Thickness: 18}
	}
	c.Openings = []scene.Opening{{Name: "doors", Side: side, Hole: d.hole(c, side)}}
	return s
}

// hole draws a hole in a side, somewhere in the part of it that the inside is
// behind.
func (d dice) hole(c *scene.Cabinet, side scene.Face) r3.Box {
	in := c.Inside()
	span := func(lo, hi float64) (a, b float64) {
		size := (hi - lo) * d.between(0.35, 0.98)
		a = math.Round(d.between(lo, hi-size))
		return a, a + math.Round(size)
	}
	x0, x1 := span(in.Min.X, in.Max.X)
	y0, y1 := span(in.Min.Y, in.Max.Y)
	z0, z1 := span(in.Min.Z, in.Max.Z)
	w, dep, h := c.Width.MM(), c.Depth.MM(), c.Height.MM()
	return map[scene.Face]r3.Box{
		scene.Front: box(x0, 0, z0, x1, in.Min.Y, z1),
		scene.Back:  box(x0, in.Max.Y, z0, x1, dep, z1),
		scene.Left:  box(0, y0, z0, in.Min.X, y1, z1),
		scene.Right: box(in.Max.X, y0, z0, w, y1, z1),
		scene.Top:   box(x0, y0, in.Max.Z, x1, y1, h),
	}[side]
}

func (d dice) side() scene.Face {
	if d.often(0.6) {
		return scene.Front
	}
	return []scene.Face{scene.Back, scene.Left, scene.Right, scene.Top}[d.IntN(4)]
}

func (d dice) door() *scene.Door {
	out := &scene.Door{
		Hinge:     []scene.Hinge{scene.HingeLeft, scene.HingeRight, scene.HingePair, scene.HingeTop}[d.IntN(4)],
		Thickness: d.length(12, 22), Opens: unit.Angle(d.between(80, 170)) * unit.Degree,
	}
	if d.often(0.5) {
		out.Overlay, out.Overlap = true, d.length(4, 20)
	}
	return out
}

// holeOf returns the two sides of the first opening, in ascending order.
func holeOf(s *scene.Scene) (small, large float64) {
	e := s.Cabinet.Openings[0].Hole.Size()
	v := []float64{e.X, e.Y, e.Z}
	switch s.Cabinet.Openings[0].Side {
	case scene.Left, scene.Right:
		v = []float64{e.Y, e.Z}
	case scene.Top:
		v = []float64{e.X, e.Y}
	case scene.Front, scene.Back, scene.Bottom:
		v = []float64{e.X, e.Z}
	}
	slices.Sort(v)
	return v[0], v[1]
}

// size draws the size of a thing: far from the limit, or with its two smaller
// sides about those of the hole.
func (d dice) size(s *scene.Scene) r3.Vec {
	in := s.Cabinet.Inside().Size()
	v := r3.Vec{X: in.X * d.between(0.3, 0.95), Y: in.Y * d.between(0.3, 0.95), Z: in.Z * d.between(0.25, 0.9)}
	if d.often(0.5) {
		return v
	}
	small, large := holeOf(s)
	sides := []float64{small * d.between(0.8, 1.03), large * d.between(0.8, 1.03), d.between(large*0.7, large*1.6)}
	d.Shuffle(3, func(i, j int) { sides[i], sides[j] = sides[j], sides[i] })
	return r3.Vec{X: min(sides[0], in.X*0.98), Y: min(sides[1], in.Y*0.98), Z: min(sides[2], in.Z*0.98)}
}

// place stands a box of a size on the inside bottom.
func (d dice) place(s *scene.Scene, size r3.Vec) r3.Box {
	in := s.Cabinet.Inside()
	at := r3.Vec{X: d.between(in.Min.X, in.Max.X-size.X), Y: d.between(in.Min.Y, in.Max.Y-size.Y), Z: in.Min.Z}
	return r3.Box{Min: at, Max: r3.Add(at, size)}
}

func plain(i int) drawn {
	d := diceOf("plain", i)
	s := d.cabinetOf(d.side())
	o := &s.Cabinet.Openings[0]
	if d.often(0.4) {
		o.Door = d.door()
	}
	if d.often(0.5) {
		front := d.length(500, 1600)
		s.Room.Front = &front
	}
	if d.often(0.3) {
		s.Tape = 1.5
	}
	at := d.place(s, d.size(s))
	out := drawn{fmt.Sprintf("plain %d", i), "sump", s}
	if d.often(0.85) {
		s.Sump = &scene.Sump{Box: at, Glass: 6}
		if d.often(0.3) { // another opening, which is not to be taken for this one
			if side := d.side(); side != o.Side {
				s.Cabinet.Openings = append(s.Cabinet.Openings, scene.Opening{Name: "gate", Side: side, Hole: d.hole(&s.Cabinet, side)})
			}
		}
		return out
	}
	// Two parts: a body, and one that sticks out of it to a side or up.
	body, more := at, at
	switch d.IntN(2) {
	case 0:
		cut := d.between(0.4, 0.8)
		body.Max.Z = at.Min.Z + (at.Max.Z-at.Min.Z)*cut
		more.Min.Z = body.Max.Z
		more.Max.X = at.Min.X + (at.Max.X-at.Min.X)*d.between(0.2, 0.6)
	case 1:
		cut := d.between(0.4, 0.8)
		body.Max.X = at.Min.X + (at.Max.X-at.Min.X)*cut
		more.Min.X = body.Max.X
		more.Max.Z = at.Min.Z + (at.Max.Z-at.Min.Z)*d.between(0.2, 0.6)
	}
	out.thing = "reactor"
	s.Equipment = []scene.Equipment{{Name: "reactor", Kind: "reactor", Bodies: []scene.Body{
		{Name: "body", Solid: solid.Box(body)}, {Name: "pump", Solid: solid.Box(more)},
	}}}
	return out
}

// crowded draws a scene near the limit with hinges, pipes, braces, a stile or
// equipment in place.
func crowded(i int) drawn {
	d := diceOf("crowded", i)
	s := d.cabinetOf(scene.Front)
	c := &s.Cabinet
	o := &c.Openings[0]
	out := drawn{fmt.Sprintf("crowded %d", i), "sump", s}
	small, large := holeOf(s)
	sides := []float64{small * d.between(0.85, 1), large * d.between(0.85, 1), large * d.between(0.5, 1.2)}
	d.Shuffle(3, func(i, j int) { sides[i], sides[j] = sides[j], sides[i] })
	in := c.Inside()
	size := r3.Vec{X: min(sides[0], in.Size().X*0.95), Y: min(sides[1], in.Size().Y*0.95), Z: min(sides[2], in.Size().Z*0.95)}
	at := d.place(s, size)
	// free tells whether a box keeps off the place of the thing.
	free := func(b r3.Box) bool { return solid.Distance(solid.Box(b), solid.Box(at)).Dist > 1 }
	fixture := func(name string, sol solid.Solid) {
		if free(sol.Bounds()) {
			c.Fixtures = append(c.Fixtures, scene.Fixture{Name: name, Bodies: []scene.Body{{Solid: sol}}})
		}
	}
	if d.often(0.6) {
		o.Door = d.door()
		if d.often(0.7) {
			o.Door.Hinges = &scene.HingeHardware{Kind: "cup", Up: []unit.Length{d.length(50, 100), d.length(200, 300)}, Tall: d.length(40, 70), SticksIn: d.length(5, 25)}
		}
	}
	if d.often(0.5) { // a pipe across the top, or down the back
		y, z := d.between(in.Min.Y+40, in.Max.Y-40), in.Max.Z-d.between(30, 120)
		r := d.between(10, 40)
		if d.often(0.5) {
			fixture("pipe", &solid.Cylinder{A: r3.Vec{X: in.Min.X + 1, Y: y, Z: z}, B: r3.Vec{X: in.Max.X - 1, Y: y, Z: z}, Radius: r})
		} else {
			x := d.between(in.Min.X+50, in.Max.X-50)
			fixture("stub", &solid.Cylinder{A: r3.Vec{X: x, Y: y, Z: in.Max.Z}, B: r3.Vec{X: x, Y: y, Z: in.Max.Z - d.between(40, 200)}, Radius: r})
		}
	}
	if d.often(0.5) { // a brace under the top
		y := d.between(in.Min.Y, in.Max.Y-60)
		fixture("brace", solid.Box(box(in.Min.X, y, in.Max.Z-d.between(15, 90), in.Max.X, y+d.between(15, 60), in.Max.Z)))
	}
	if d.often(0.3) { // a stile in the opening
		x := d.between(o.Hole.Min.X+50, o.Hole.Max.X-90)
		fixture("stile", solid.Box(box(x, 0, o.Hole.Min.Z, x+d.between(18, 45), o.Hole.Max.Y, o.Hole.Max.Z)))
	}
	if d.often(0.4) { // equipment stands there already
		out.thing = "reservoir"
		e := d.place(s, r3.Vec{X: d.between(60, 250), Y: d.between(60, 200), Z: d.between(80, 350)})
		e.Max.Z = min(e.Max.Z, in.Max.Z-1)
		if free(e) {
			s.Equipment = append(s.Equipment, scene.Equipment{Name: "heater", Kind: "heater", Bodies: []scene.Body{{Solid: solid.Box(e)}}})
		}
		s.Equipment = append(s.Equipment, scene.Equipment{Name: "reservoir", Kind: "reservoir", Order: 1, Bodies: []scene.Body{{Solid: solid.Box(at)}}})
		return out
	}
	s.Sump = &scene.Sump{Box: at, Glass: 6}
	return out
}

// planted draws a cabinet round a way in: the thing, turned in some way, slides
// straight through a hole that is larger by little, and turns in the middle of
// an inside that is large enough to turn in however it likes.
func planted(i int) (drawn, solid.Path) {
	d := diceOf("planted", i)
	half := r3.Vec{X: d.between(40, 250), Y: d.between(40, 250), Z: d.between(40, 250)}
	axis := r3.Vec{X: d.NormFloat64(), Y: d.NormFloat64(), Z: d.NormFloat64()}
	switch i % 3 {
	case 0:
		axis = r3.Vec{X: 1}
	case 1:
		axis = []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[d.IntN(3)]
	}
	turn := solid.Turned(axis, d.between(-math.Pi/2, math.Pi/2))
	r := r3.Norm(half)
	s := &scene.Scene{Units: unit.Millimetres, Carry: 6}
	c := &s.Cabinet
	const wall = 18
	room := 2*r + 20
	c.Width, c.Depth, c.Height = unit.Length(room+2*wall), unit.Length(room+2*wall), unit.Length(room+wall+100)
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = wall
	}
	c.Bottom = &scene.InsideBottom{Up: 100, Thickness: 18}
	in := c.Inside()
	middle := r3.Scale(0.5, r3.Add(in.Min, in.Max))
	rest := middle
	rest.Z = in.Min.Z + half.Z
	b := r3.Box{Min: r3.Sub(rest, half), Max: r3.Add(rest, half)}
	s.Sump = &scene.Sump{Box: b, Glass: 6}
	turned := solid.About(rest, turn)
	e := solid.Box(b).Moved(turned).Bounds().Size()
	spare := []float64{0.1, 0.5, 3}[d.IntN(3)]
	x, z := e.X/2+spare, e.Z/2+spare
	c.Openings = []scene.Opening{{Name: "doors", Side: scene.Front, Hole: box(middle.X-x, 0, middle.Z-z, middle.X+x, wall, middle.Z+z)}}
	at := func(p solid.Pose, to r3.Vec) solid.Pose {
		p.Shift = r3.Add(p.Shift, r3.Sub(to, rest))
		return p
	}
	outside := middle
	outside.Y = -r - 1
	above := rest
	above.Z += min(spare, middle.Z-rest.Z)
	return drawn{fmt.Sprintf("planted %d", i), "sump", s}, solid.Path{Ref: rest, Poses: []solid.Pose{
		at(turned, outside), at(turned, middle), at(solid.Rest, middle), at(solid.Rest, above), solid.Rest,
	}}
}

// all tells whether the environment asks for the whole set.
func all() bool { return os.Getenv("UNDERCROFT_SCENES") == "all" }

// chosen tells which scenes of a kind are looked at: a tenth, or all.
func chosen(n int) []int {
	step := 10
	if all() {
		step = 1
	}
	var out []int
	for i := 0; i < n; i += step {
		out = append(out, i)
	}
	return out
}

// sampled measures the least distance along a path by exact distances at many
// places, with nothing of the verifier.
func sampled(parts, others []solid.Solid, path solid.Path, per int) float64 {
	least := math.Inf(1)
	for leg := range len(path.Poses) - 1 {
		for k := range per + 1 {
			p := path.At(leg, float64(k)/float64(per))
			for _, a := range parts {
				a = a.Moved(p)
				for _, b := range others {
					if solid.Lower(a, b) < least {
						least = min(least, solid.Distance(a, b).Dist)
					}
				}
			}
		}
	}
	return least
}

func solids(parts []scene.Part) []solid.Solid {
	var out []solid.Solid
	for _, p := range parts {
		out = append(out, p.Solid)
	}
	return out
}

// contradiction returns what is wrong with an answer, as far as dense samples and
// a second check of what it rests on can tell; "" where they find nothing.
func contradiction(tb testing.TB, d drawn, j *passage.Job, w *passage.Way) string {
	tb.Helper()
	if w.Margin.Lo > w.Margin.Hi {
		return fmt.Sprintf("room to spare from %v to %v", w.Margin.Lo, w.Margin.Hi)
	}
	if w.Proved() {
		data, err := w.File()
		if err != nil {
			return err.Error()
		}
		if claim, err := passage.Recheck(d.Scene, data); err != nil {
			return fmt.Sprintf("%s: %v", claim, err)
		}
	}
	if !w.Going() {
		return ""
	}
	n := len(w.Path.Poses)
	for _, p := range j.Parts {
		start := p.Solid.Moved(w.Path.Poses[0]).Bounds()
		hole := j.Opening.Hole
		outside := map[scene.Face]bool{
			scene.Front: start.Max.Y <= hole.Min.Y+1e-6, scene.Back: start.Min.Y >= hole.Max.Y-1e-6,
			scene.Left: start.Max.X <= hole.Min.X+1e-6, scene.Right: start.Min.X >= hole.Max.X-1e-6,
			scene.Top: start.Min.Z >= hole.Max.Z-1e-6,
		}
		if !outside[j.Opening.Side] {
			return fmt.Sprintf("the way starts inside, at %v", start)
		}
	}
	if w.Path.Poses[n-1] != solid.Rest {
		return "the way does not end at rest"
	}
	way := solid.Path{Ref: w.Path.Ref, Poses: w.Path.Poses[:n-1]}
	if least := sampled(solids(j.Parts), solids(j.Others), way, 60); least < w.Margin.Lo.MM()-1e-6 {
		return fmt.Sprintf("the way keeps %v at a sample, %v were shown", least, w.Margin.Lo)
	}
	last := solid.Path{Ref: w.Path.Ref, Poses: w.Path.Poses[n-2:]}
	if least := sampled(solids(j.Parts), solids(j.Others), last, 60); least < -2*verdict.Contact.MM() {
		return fmt.Sprintf("the move to rest overlaps by %v", -least)
	}
	return ""
}

// decide answers a job. It gets little time unless all scenes are asked for: what
// then is not decided on a slow machine is open, and no contradiction.
func (d drawn) decide(t *testing.T, j *passage.Job) *passage.Way {
	t.Helper()
	ctx, done := context.WithTimeout(t.Context(), patience())
	defer done()
	w := j.Decide(ctx)
	return &w
}

func patience() time.Duration {
	if all() {
		return time.Minute
	}
	return 80 * time.Millisecond
}

// refuted looks for a proof that there is no way where there is one.
func refuted(t *testing.T, j *passage.Job) string {
	t.Helper()
	ctx, done := context.WithTimeout(t.Context(), patience())
	defer done()
	return passage.Refuted(ctx, j)
}

// misjudged tells how what is known of the room to spare of a way contradicts itself
// once it is known more closely; "" where it does not.
func misjudged(t *testing.T, d drawn, j *passage.Job, w passage.Way) string {
	t.Helper()
	before := w
	w.Narrow(t.Context(), 1000)
	room := w.Room()
	if room.Lo > room.Hi || room.Lo < before.Margin.Lo-verdict.Resolution || before.Verdict == verdict.OK && w.Verdict != verdict.OK {
		return fmt.Sprintf("%v with %v to spare, and then %v with %v, of %v", before.Verdict, before.Margin, w.Verdict, w.Margin, room)
	}
	if wrong := contradiction(t, d, j, &w); wrong != "" || w.Wider == nil {
		return wrong
	}
	return contradiction(t, d, j, w.Wider)
}

// TestSet decides scenes of the set and looks for contradictions. It fails on
// nothing else: what stays open is only told.
func TestSet(t *testing.T) {
	t.Parallel()
	var open []string
	counts := map[verdict.Verdict]int{}
	look := func(d drawn, opening int) *passage.Way {
		j := d.through(t, opening)
		w := d.decide(t, j)
		counts[w.Verdict]++
		if w.Verdict == verdict.Unsure {
			open = append(open, d.name)
		}
		if wrong := contradiction(t, d, j, w); wrong != "" {
			t.Errorf("%s: %s", d.name, wrong)
		}
		if w.Going() {
			if kind := refuted(t, j); kind != "" {
				t.Errorf("%s: a way that keeps %v, and shown impossible by %q", d.name, w.Margin.Lo, kind)
			}
			if wrong := misjudged(t, d, j, *w); wrong != "" {
				t.Errorf("%s: %s", d.name, wrong)
			}
		}
		return w
	}
	for _, i := range chosen(plainScenes) {
		d := plain(i)
		for opening := range d.Cabinet.Openings {
			look(d, opening)
		}
	}
	for _, i := range chosen(crowdedScenes) {
		look(crowded(i), 0)
	}
	for _, i := range chosen(plantedScenes) {
		d, path := planted(i)
		j := d.job(t)
		n := len(path.Poses)
		if least := sampled(solids(j.Parts), solids(j.Others), solid.Path{Ref: path.Ref, Poses: path.Poses[:n-1]}, 200); least < 0.09 {
			t.Fatalf("%s: the planted way keeps %v", d.name, least)
		}
		w := look(d, 0)
		if w.Verdict == verdict.No {
			t.Errorf("%s: shown impossible by %q, and there is a way", d.name, w.Proof)
		}
	}
	t.Logf("%v; open: %s", counts, strings.Join(open, ", "))
}

// spent is the processor time that this process has used.
func spent(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// closely is how many steps the benchmark takes to know the room to spare of one way.
const closely = 2_000_000

// garbage is by how many percent the command lets the memory in use grow before what nobody
// needs is collected, memory how many bytes it means to get by with.
const garbage, memory = 300, 350 << 20

// BenchmarkSet decides the set once and reports how many scenes were decided, and
// how soon, in processor time; and of those with a way in how many have their room to
// spare known to half a millimetre, and how soon.
func BenchmarkSet(b *testing.B) {
	type result struct {
		name     string
		time     time.Duration // to decide it
		narrowed time.Duration // to know the room to spare as well
		way      passage.Way
	}
	defer debug.SetGCPercent(debug.SetGCPercent(garbage))
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(memory))
	for _, kind := range []struct {
		name string
		n    int
		draw func(int) drawn
	}{
		{"plain", plainScenes, plain},
		{"crowded", crowdedScenes, crowded},
		{"planted", plantedScenes, func(i int) drawn { d, _ := planted(i); return d }},
	} {
		b.Run(kind.name, func(b *testing.B) {
			var results []result
			for b.Loop() {
				results = results[:0]
				for _, i := range chosen(kind.n) {
					d := kind.draw(i)
					j := d.job(b)
					before := spent(b)
					r := result{name: d.name, way: j.Decide(b.Context())}
					r.time = spent(b) - before
					r.way.Narrow(b.Context(), closely)
					r.narrowed = spent(b) - before
					results = append(results, r)
				}
			}
			slices.SortStableFunc(results, func(x, y result) int { return cmp.Compare(x.time, y.time) })
			share := func(fits func(r *result) bool) float64 {
				n := 0
				for i := range results {
					if fits(&results[i]) {
						n++
					}
				}
				return 100 * float64(n) / float64(len(results))
			}
			// As measured: whether it does where the tape is off is another question.
			decided := func(r *result) bool { return r.way.Verdict != verdict.Unsure || r.way.Margin.Hi < 0 }
			within := func(most time.Duration) float64 {
				return share(func(r *result) bool { return decided(r) && r.time <= most })
			}
			b.ReportMetric(within(time.Second), "%decided/1s")
			b.ReportMetric(within(10*time.Second), "%decided/10s")
			b.ReportMetric(within(time.Minute), "%decided/60s")
			var going, wide, known int
			var loose []string
			for i := range results {
				r := &results[i]
				if !r.way.Going() {
					continue
				}
				going++
				room := r.way.Room()
				switch {
				// Above what anybody needs to know, room need not be known.
				case room.Hi-room.Lo > 0.5 && room.Lo < passage.Ample:
					wide++
					loose = append(loose, fmt.Sprintf("%s [%.2f, %.2f]", r.name, room.Lo.MM(), room.Hi.MM()))
				case r.narrowed <= 5*time.Second:
					known++
				}
			}
			b.ReportMetric(100*float64(known)/float64(max(going, 1)), "%within-0.5mm/5s")
			b.ReportMetric(100*float64(going-wide)/float64(max(going, 1)), "%within-0.5mm")
			slices.Sort(loose)
			b.Logf("%d with a way in; room to spare not known closely: %s", going, strings.Join(loose, ", "))
			b.ReportMetric(float64(results[len(results)/2].time.Microseconds())/1000, "median-ms")
			b.ReportMetric(float64(results[len(results)-1].time.Milliseconds()), "longest-ms")
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(m.Sys)/(1<<20), "MB-of-memory")
			counts := map[verdict.Verdict]int{}
			var open []string
			for i := range results {
				r := &results[i]
				counts[r.way.Verdict]++
				if !decided(r) {
					open = append(open, fmt.Sprintf("%s (%v)", r.name, r.time.Round(time.Millisecond)))
				}
			}
			slices.Sort(open)
			b.Logf("seed %d, %d scenes: %v; open: %s", setSeed, len(results), counts, strings.Join(open, ", "))
		})
	}
}

// What a search takes for shown its checker has to accept: both bound the same, by code
// of their own.
func TestCheckerAgrees(t *testing.T) {
	t.Parallel()
	for _, i := range []int{41, 109, 416, 516, 951} { // two parts, another side's hole
		d := plain(i)
		if _, refused := passage.Shown(t.Context(), d.job(t), 1500); refused {
			t.Errorf("%s: the checker refuses what the search found", d.name)
		}
	}
}

// A search looks where it takes least to shut what may be free: of things that are too
// large by little it needs half of the cells that it would by looking along the way.
func TestProofsInFewCells(t *testing.T) {
	t.Parallel()
	for i, cells := range map[int]int{6: 3200, 64: 1500, 319: 4300, 360: 700} {
		d := plain(i)
		if shown, _ := passage.Shown(t.Context(), d.job(t), cells); !shown {
			t.Errorf("%s: not shown impossible by %d cells", d.name, cells)
		}
	}
}

// What a search for a proof comes upon where there is none is a way, in rooms of layers
// alone.
func TestProofsComeUponWays(t *testing.T) {
	t.Parallel()
	for i, cells := range map[int]int{34: 1000, 43: 250, 123: 250, 240: 300} {
		d := plain(i)
		if _, holds := passage.Led(t.Context(), d.job(t), cells, false); !holds {
			t.Errorf("%s: comes upon no way that holds by %d cells", d.name, cells)
		}
	}
}

// Ways too narrow for a coarse sweep are near by such as it sees where things may overlap
// a little.
func TestNarrowWaysAreNearOthers(t *testing.T) {
	t.Parallel()
	for _, i := range []int{40, 69, 88, 136} {
		d := plain(i)
		j := d.job(t)
		swept, w := passage.Nearly(t.Context(), j)
		if swept || !w.Going() {
			t.Errorf("%s: swept %v, near by %v", d.name, swept, w.Going())
			continue
		}
		w.Margin.Hi = w.Margin.Lo
		if wrong := contradiction(t, d, j, &w); wrong != "" {
			t.Errorf("%s: %s", d.name, wrong)
		}
	}
}

// With little room before the door the thing would begin its way in the opening: a way
// begins outside.
func TestWaysBeginOutside(t *testing.T) {
	t.Parallel()
	held := 0
	for _, i := range []int{28, 78, 269} {
		d := plain(i)
		for _, k := range []float64{1.02, 1.06, 1.1} {
			j := d.job(t)
			size := j.Parts[0].Solid.Bounds().Size()
			front := unit.Length(k * size.X)
			d.Room.Front = &front
			j = d.job(t)
			path, holds := passage.Led(t.Context(), j, 600, false)
			if !holds {
				continue
			}
			held++
			for _, p := range j.Parts {
				if out := p.Solid.Moved(path.Poses[0]).Bounds().Max.Y; out > verdict.Contact.MM() {
					t.Errorf("%s, %v before it: begins %v mm within", d.name, front, out)
				}
			}
		}
	}
	if held < 2 {
		t.Errorf("only %d ways are found", held)
	}
}
