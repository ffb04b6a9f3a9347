package reach

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/reach/internal/balls"
	"undercroft/fit/reach/internal/links"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A refusal is a proof that no hand gets to a place.
type refusal struct {
	room   bool    // the hand may have room at the place
	least  float64 // no way out is shorter; +Inf: there is none
	stiff  bool    // forearm and upper arm, each straight, do not come out
	short  float64 // by how much what came nearest to going on was too thick
	blocks []string
}

// certain returns what is there whatever the plan leaves out and whatever can be
// moved aside: no doors, nothing that bends, nothing the place is on.
func certain(s *scene.Scene, gone []string, at scene.Place) (parts []scene.Part, tapes []float64) {
	add := func(tape unit.Length, ps ...scene.Part) {
		for _, p := range ps {
			if p.Sure == nil || on(at, p) || slices.Contains(gone, p.Of) || slices.Contains(gone, p.Name) {
				continue
			}
			parts, tapes = append(parts, p), append(tapes, tape.MM())
		}
	}
	add(s.Tape, s.Cabinet.Panels()...)
	add(s.Tape, s.StandParts()...)
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		if o.Door != nil && !o.Door.LiftsOff {
			add(max(s.Tape, o.Tape), s.Hinges(o)...)
		}
	}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		add(max(s.Tape, f.Tape), f.Parts()...)
	}
	if s.Display != nil {
		add(s.Tape, s.Display.Panes()...)
	}
	add(s.Tape, s.RoomParts()...)
	for _, t := range s.Things() {
		if !t.Soft {
			add(max(s.Tape, t.Tape), t.Parts...)
		}
	}
	return parts, tapes
}

// refuse tries to prove that a person's hand does not get to the place.
func refuse(s *scene.Scene, gone []string, at scene.Place, p *person, g *grasp) refusal {
	parts, tapes := certain(s, gone, at)
	q := balls.Query{
		Box:  r3.Box{Max: r3.Vec{X: s.Cabinet.Width.MM(), Y: s.Cabinet.Depth.MM(), Z: s.Cabinet.Height.MM()}},
		Zone: zone(s, at), Near: g.near, First: g.ball, Tape: tapes,
		Radius: func(l float64) float64 { return p.inside(g, l) },
		Length: p.length(g) + s.Tape.MM(), Hand: g.wrist + s.Tape.MM(),
	}
	for _, part := range parts {
		q.Solids = append(q.Solids, part.Sure)
	}
	a := balls.Prove(q)
	r := refusal{room: a.Room, least: a.Least, short: a.Short}
	if !r.no(q.Length) {
		r.stiff = stiff(s, at, p, g, parts, tapes, a.Wrists)
		return r
	}
	if of := culprit(q, a, parts); of != "" {
		r.blocks = []string{of}
		return r
	}
	if r.room {
		return r // no one thing: it is the cabinet, or several
	}
	for _, i := range a.Between {
		if i >= 0 && !slices.Contains(r.blocks, parts[i].Name) {
			r.blocks = append(r.blocks, parts[i].Name)
		}
	}
	return r
}

// mostPairs bounds a proof by links.
const mostPairs = 300_000

// stiff tries to prove that forearm and upper arm, each straight, do not come out of
// the cabinet from a hand that is at the place, the wrist in one of some boxes; nil:
// anywhere.
func stiff(s *scene.Scene, at scene.Place, p *person, g *grasp, parts []scene.Part, tapes []float64, wrists []r3.Box) bool {
	off := s.Tape.MM()
	q := links.Query{
		Box:  r3.Box{Max: r3.Vec{X: s.Cabinet.Width.MM(), Y: s.Cabinet.Depth.MM(), Z: s.Cabinet.Height.MM()}},
		Zone: zone(s, at), Hand: g.wrist + off, Fore: p.fore + off, Upper: p.upper + off, Wrists: wrists,
		Wrist: oval * p.wrist, Elbow: oval * min(p.forearm, p.upperArm), Most: mostPairs,
	}
	for i, part := range parts {
		if box := part.Sure.Bounds(); isBox(part.Sure, box) {
			q.Solids, q.Tape = append(q.Solids, box), append(q.Tape, tapes[i])
		}
	}
	return links.Impossible(q)
}

// stiff reports whether it is shown so of all hands that do the task at a place.
func (q *asked) stiff(at scene.Place, p *person) bool {
	parts, tapes := certain(q.s, q.gone, at)
	for _, g := range slices.Backward(p.grasps(at)) { // the longest last
		if !stiff(q.s, at, p, &g, parts, tapes, nil) {
			return false
		}
	}
	return true
}

// isBox reports whether a solid is all of the box round it.
func isBox(s solid.Solid, round r3.Box) bool {
	_, flat := s.(*solid.Polyhedron)
	d := r3.Sub(round.Max, round.Min)
	v := d.X * d.Y * d.Z
	return flat && math.Abs(v-s.Volume()) <= 1e-9*v
}

// mostTried is how many things are taken away one by one to see which of them is
// in the way.
const mostTried = 3

// culprit returns the one thing or fixture without which a no does not hold; ""
// where there is none, or the place itself has no room.
func culprit(q balls.Query, a balls.Answer, parts []scene.Part) string {
	if !a.Room {
		return ""
	}
	stops := map[string]int{}
	var owners []string
	for i, n := range a.Stopped {
		of := parts[i].Of
		if n == 0 || of == "cabinet" || of == "room" || of == "display" {
			continue
		}
		if stops[of] == 0 {
			owners = append(owners, of)
		}
		stops[of] += n
	}
	slices.SortStableFunc(owners, func(x, y string) int { return stops[y] - stops[x] })
	for _, of := range owners[:min(len(owners), mostTried)] {
		without := q
		without.Solids, without.Tape = nil, nil
		for i, p := range parts {
			if p.Of != of {
				without.Solids, without.Tape = append(without.Solids, p.Sure), append(without.Tape, q.Tape[i])
			}
		}
		if b := balls.Prove(without); b.Room && b.Least <= q.Length {
			return of
		}
	}
	return ""
}

// beyond reports whether r gets farther than o before it is refused.
func (r refusal) beyond(o refusal) bool {
	return r.room && !o.room || r.room == o.room && r.least < o.least
}

// no reports whether r proves that an arm of that length does not get there.
func (r refusal) no(length float64) bool { return !r.room || r.stiff || r.least > length }

// zone returns where the place may be: a measured one but for the tape's error.
func zone(s *scene.Scene, at scene.Place) r3.Box {
	if at.For != "" {
		return at.Zone
	}
	t := r3.Vec{X: s.Tape.MM(), Y: s.Tape.MM(), Z: s.Tape.MM()}
	return r3.Box{Min: r3.Sub(at.At, t), Max: r3.Add(at.At, t)}
}

// clearness of what the eye looks through.
func opaque(p scene.Part) bool {
	return p.Role != scene.RoleGlass && p.Role != scene.RoleBaffle && p.Role != scene.RoleWater
}

// seen tells whether the eye of somebody outside sees the place: true where a
// straight line was found, false where every line through every opening is shown
// to be blocked by one certain thing, nil where neither was shown. Glass is
// looked through.
func seen(s *scene.Scene, worlds []*world, gone []string, at scene.Place) *bool {
	for _, w := range worlds {
		if w.sees(at.At) {
			yes := true
			return &yes
		}
	}
	if hidden(s, gone, at) {
		no := false
		return &no
	}
	return nil
}

// An eye is this far before the opening, and so high above the floor, in mm.
const (
	eyeBefore           = 350
	lowestEye, highestE = 200, 1650
)

// sees looks for a straight line from an eye outside to p.
func (w *world) sees(p r3.Vec) bool {
	k := seeker{world: w}
	for i := range aimsAcross {
		for j := range aimsUp {
			t := k.target([2]float64{(float64(i) + 0.5) / aimsAcross, (float64(j) + 0.5) / aimsUp})
			d := r3.Sub(t, p)
			l := r3.Norm(d)
			if l < 1 {
				continue
			}
			eye := r3.Add(p, r3.Scale((l+eyeBefore)/l, d))
			if eye.Z < lowestEye || eye.Z > highestE {
				continue
			}
			if w.lineIsFree(p, eye) {
				return true
			}
		}
	}
	return false
}

// lineIsFree reports whether nothing opaque is on the line from p to an eye,
// but for what p itself is in.
func (w *world) lineIsFree(p, eye r3.Vec) bool {
	const thick = 0.1
	start := r3.Add(p, r3.Scale(1, r3.Unit(r3.Sub(eye, p))))
	line := &solid.Capsule{A: start, B: eye, Radius: thick}
	b := line.Bounds()
	for i := range w.obstacles {
		o := &w.obstacles[i]
		if !opaque(o.Part) || apart(b, o.box) > 0 {
			continue
		}
		if solid.Distance(&solid.Ball{Centre: p}, o.Solid).High < -1 {
			continue
		}
		if solid.Distance(line, o.Solid).Low <= 0 {
			return false
		}
	}
	return true
}

// finestLook is the size in mm below which a part of an opening is not looked at
// in halves.
const finestLook = 6

// hidden proves that no line from the place through any opening is free. What a
// convex solid hides from one point is convex, so that a piece of an opening is
// hidden where its corners are.
func hidden(s *scene.Scene, gone []string, at scene.Place) bool {
	parts, tapes := certain(s, gone, scene.Place{})
	z := zone(s, at)
	var blocks []solid.Solid
	var grown []float64
	for i, p := range parts {
		inside := false
		for c := range 8 {
			ball := &solid.Ball{Centre: solid.Corner(z, c)}
			inside = inside || solid.Distance(ball, p.Sure).Low < tapes[i]
		}
		if opaque(p) && !inside {
			blocks, grown = append(blocks, p.Sure), append(grown, tapes[i])
		}
	}
	if !holdsBox(r3.Box{Max: r3.Vec{X: s.Cabinet.Width.MM(), Y: s.Cabinet.Depth.MM(), Z: s.Cabinet.Height.MM()}}, z) {
		return false
	}
	for i := range s.Cabinet.Openings {
		if !hiddenIn(z, s.Cabinet.Openings[i].Hole, s.Cabinet.Openings[i].Side, blocks, grown) {
			return false
		}
	}
	return true
}

// hiddenIn reports whether every line from the zone to a hole's outer face is
// shown to be blocked.
func hiddenIn(zone, hole r3.Box, side scene.Face, blocks []solid.Solid, grown []float64) bool {
	switch side {
	case scene.Front:
		hole.Max.Y = hole.Min.Y
	case scene.Back:
		hole.Min.Y = hole.Max.Y
	case scene.Left:
		hole.Max.X = hole.Min.X
	case scene.Right:
		hole.Min.X = hole.Max.X
	case scene.Top:
		hole.Min.Z = hole.Max.Z
	case scene.Bottom:
		hole.Max.Z = hole.Min.Z
	}
	for i, b := range blocks {
		if behind(zone, hole, b, grown[i]) {
			return true
		}
	}
	d := r3.Sub(hole.Max, hole.Min)
	l := max(d.X, d.Y, d.Z)
	if l < finestLook {
		return false
	}
	low, high := hole, hole
	switch l {
	case d.X:
		low.Max.X = hole.Min.X + l/2
		high.Min.X = low.Max.X
	case d.Y:
		low.Max.Y = hole.Min.Y + l/2
		high.Min.Y = low.Max.Y
	default:
		low.Max.Z = hole.Min.Z + l/2
		high.Min.Z = low.Max.Z
	}
	return hiddenIn(zone, low, side, blocks, grown) && hiddenIn(zone, high, side, blocks, grown)
}

// behind reports whether every line between two boxes goes at least tape deep
// through a solid.
func behind(a, b r3.Box, s solid.Solid, tape float64) bool {
	for i := range 8 {
		if i > 0 && a.Min == a.Max {
			break
		}
		for j := range 8 {
			line := &solid.Capsule{A: solid.Corner(a, i), B: solid.Corner(b, j)}
			if line.A == line.B || solid.Distance(line, s).High > -tape-1e-6 {
				return false
			}
		}
	}
	return true
}

func holdsBox(outer, inner r3.Box) bool {
	return holds(outer, inner.Min) && holds(outer, inner.Max)
}

// never is what stands for a number that was not shown.
var never = unit.Length(math.NaN())
