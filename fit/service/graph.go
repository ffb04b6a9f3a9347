package service

import (
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A piece is what comes out as one rigid body: a thing, a part of it that travels
// apart, or a fixture that can be taken out.
type piece struct {
	scene.Group
	thing   scene.Thing
	fixture bool
	stays   bool // never comes out
	// doubtful tells that the plan does not say whether the fixture may be taken
	// out: that counts for a proof of no, and for nothing else.
	doubtful bool
	// needs are the pieces that must be out before: parts that travel apart, what
	// stands in the sump or on the thing.
	needs set
	// rests are its parts as they stand, where they differ from those it is
	// carried as.
	rests []scene.Part
	paths []knownWay
	facts []fact
}

// A knownWay is a way in that was verified once.
type knownWay struct {
	opening string
	path    solid.Path
	doorOff bool
	out     set          // what was not there then
	clear   *unit.Length // what it kept clear then; nil: not looked up yet
}

// A set tells of each piece whether it is in it.
type set []bool

// within tells whether all of a are in b.
func (a set) within(b set) bool {
	for i, in := range a {
		if in && !b[i] {
			return false
		}
	}
	return true
}

// meets tells whether a and b have one in common.
func (a set) meets(b set) bool {
	for i, in := range a {
		if in && b[i] {
			return true
		}
	}
	return false
}

func (a set) count() int {
	n := 0
	for _, in := range a {
		if in {
			n++
		}
	}
	return n
}

// A fact is what was decided about a piece once, with some others out.
type fact struct {
	out     set
	display bool // it stands
	long    bool // it was looked for thoroughly
	answer
}

// An answer is what is known about taking out one piece.
type answer struct {
	verdict verdict.Verdict
	margin  verdict.Margin
	wanted  unit.Length  // the room that it was judged by
	way     *passage.Way // the way in whose reverse it is; nil where there is none
	reason  string
	// used are the pieces of which one has to be out for the proof of a no to
	// fall; without any the no stands whatever else is taken out.
	used set
	// try are the pieces that may help where no proof tells: those that a known way
	// runs into.
	try set
	// unasked tells that nobody looked: all that is known is that the ways found so
	// far are not free.
	unasked bool
	// with names what stays and takes part in a no.
	with []string
}

func (a *answer) going() bool { return a.way != nil }

// A graph is all that can be taken out, and what is known about it.
type graph struct {
	// ask looks for a way in, briefly or thoroughly, for as long as there is time.
	ask    func(job *passage.Job, long bool) passage.Way
	s      *scene.Scene
	pieces []piece
	ways   []scene.Motion // verified ways in
	known  []verdict.Finding
	hand   *hand
	// questions is how many ways may still be looked for only to find out more than
	// is known; long tells that they are looked for thoroughly.
	questions int
	long      bool
	allowed   int // of all questions for smaller sets, what is left
	// amply tells that ways that are looked for to find a smaller set are of use only
	// where they keep what is wanted.
	amply bool
}

// newGraph gathers the pieces of s, as groups says, and the ways that are known.
func newGraph(
	s *scene.Scene, groups func(scene.Thing) []scene.Group, ways []scene.Motion,
	ask func(*passage.Job, bool) passage.Way, hand *hand,
) *graph {
	g := &graph{s: s, ways: ways, ask: ask, hand: hand, allowed: allQuestions}
	for _, t := range s.Things() {
		if t.Soft {
			continue
		}
		for _, group := range groups(t) {
			p := piece{Group: group, thing: t, stays: t.Fixed, rests: group.Parts}
			if t.Item == nil {
				p.rests = t.Parts
			}
			g.pieces = append(g.pieces, p)
		}
	}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		if f.ComesOut != scene.ComesOutScrews && f.ComesOut != scene.ComesOutLifts {
			continue
		}
		parts := f.Parts()
		t := scene.Thing{Name: f.Name, Kind: "fixture", Parts: parts, Tape: f.Tape}
		g.pieces = append(g.pieces, piece{
			Group: scene.Group{Name: f.Name, Parts: parts}, thing: t, fixture: true, rests: parts,
			stays:    s.Display != nil && f.Bears == scene.Yes,
			doubtful: s.Display != nil && f.Bears == scene.Unknown,
		})
	}
	g.merge()
	for i := range g.pieces {
		g.pieces[i].needs = g.needs(i)
	}
	for _, m := range ways {
		g.learn(m)
	}
	return g
}

// asCarried returns what of t is brought in by itself.
func asCarried(t scene.Thing) []scene.Group { return t.Groups }

// asTakenOut returns what of t comes out by itself: what lifts off does, even
// where it was brought in with the rest.
func asTakenOut(t scene.Thing) []scene.Group {
	if t.Item == nil {
		return t.Groups
	}
	main := scene.Group{Name: t.Name}
	var apart []scene.Group
	for i, p := range t.Parts {
		switch b := t.Item.Bodies[i]; {
		case len(t.Parts) == 1:
			return []scene.Group{{Name: t.Name, Parts: t.Parts, Lifts: b.Lifts}}
		case b.Apart || b.Lifts > 0:
			apart = append(apart, scene.Group{Name: p.Name, Parts: []scene.Part{p}, Lifts: b.Lifts})
		default:
			main.Parts = append(main.Parts, p)
		}
	}
	if len(main.Parts) == 0 {
		return apart
	}
	return append([]scene.Group{main}, apart...)
}

// merge makes what is fixed in the sump a part of it: it is carried with it.
func (g *graph) merge() {
	sump := slices.IndexFunc(g.pieces, func(p piece) bool { return p.thing.Name == sumpName })
	if sump < 0 {
		return
	}
	g.pieces = slices.DeleteFunc(g.pieces, func(p piece) bool {
		if !p.stays || p.fixture || !standsIn(p.thing) {
			return false
		}
		s := &g.pieces[sump] // the sump is the first: nothing before it goes
		s.Parts = append(slices.Clip(s.Parts), p.Parts...)
		s.rests = append(slices.Clip(s.rests), p.Parts...)
		return true
	})
}

const sumpName = "sump"

// standsIn tells whether t stands in the sump.
func standsIn(t scene.Thing) bool { return t.Item != nil && t.Item.Chamber > 0 }

// needs returns the pieces that must be out before piece i is moved.
func (g *graph) needs(i int) set {
	p := &g.pieces[i]
	out := g.none()
	for j := range g.pieces {
		q := &g.pieces[j]
		switch {
		case i == j || q.stays:
		case q.thing.Name == p.thing.Name:
			// What travels apart comes off before the main body.
			out[j] = p.Name == p.thing.Name
		case p.thing.Name == sumpName && p.thing.Item == nil && !p.fixture:
			out[j] = standsIn(q.thing) || hangsOn(q.thing)
		default:
			out[j] = bearsOn(q, p)
		}
	}
	return out
}

// hangsOn tells whether t hangs on the sump.
func hangsOn(t scene.Thing) bool {
	return slices.ContainsFunc(t.On, func(n string) bool {
		return n == sumpName || n == "rim of sump" || strings.HasPrefix(n, "baffle ")
	})
}

// bearsOn tells whether p stands on q, as the plan says by `on`: its lowest point
// is where q is highest, within what a tape tells.
func bearsOn(p, q *piece) bool {
	named := slices.ContainsFunc(p.thing.On, func(n string) bool {
		return n == q.thing.Name || n == q.Name || slices.ContainsFunc(q.Parts, func(part scene.Part) bool { return part.Name == n })
	})
	if !named {
		return false
	}
	low, high := boundsOf(p.Parts).Min.Z, boundsOf(q.Parts).Max.Z
	return low >= high-max(p.thing.Tape, q.thing.Tape).MM()-verdict.Contact.MM()
}

func boundsOf(parts []scene.Part) r3.Box {
	solids := make([]solid.Solid, len(parts))
	for i, p := range parts {
		solids[i] = p.Solid
	}
	return solid.BoundsOf(solids...)
}

// learn notes a verified way in.
func (g *graph) learn(m scene.Motion) {
	if m.Out || len(m.Path.Poses) < 3 {
		return
	}
	for i := range g.pieces {
		p := &g.pieces[i]
		if p.thing.Name == m.Thing && p.Lifts == 0 && slices.Contains(m.Parts, p.Parts[0].Name) {
			out := g.none()
			for j := range g.pieces {
				q := &g.pieces[j]
				out[j] = slices.Contains(m.Absent, q.thing.Name) || slices.Contains(m.Absent, q.Name)
			}
			p.paths = append(p.paths, knownWay{opening: m.Through, path: m.Path, doorOff: slices.Contains(m.Absent, m.Through), out: out})
		}
	}
}

func (g *graph) none() set { return make(set, len(g.pieces)) }

// of returns the pieces of the thing or fixture of that name.
func (g *graph) of(name string) set {
	out := g.none()
	for i := range g.pieces {
		out[i] = g.pieces[i].thing.Name == name
	}
	return out
}

// present returns what stands there while piece i moves and those of out are out.
func (g *graph) present(i int, out set, display bool) passage.Present {
	there := passage.Present{Display: display}
	for j := range g.pieces {
		q := &g.pieces[j]
		switch {
		case q.fixture && (j == i || out[j]):
			there.Gone = append(there.Gone, q.Name)
		case !q.fixture && j != i && !out[j]:
			there.Parts = append(there.Parts, q.rests...)
		}
	}
	return there
}

// raised returns a group lifted straight up.
func raised(g scene.Group, by unit.Length) scene.Group {
	up := solid.Pose{Turn: solid.Rest.Turn, Shift: r3.Vec{Z: by.MM()}}
	g.Parts = slices.Clone(g.Parts)
	for i, p := range g.Parts {
		g.Parts[i].Solid = p.Solid.Moved(up)
		if p.Sure != nil {
			g.Parts[i].Sure = p.Sure.Moved(up)
		}
	}
	return g
}
