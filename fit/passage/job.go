package passage

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/space"
	"undercroft/fit/internal/verify"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A Job is one question: can a rigid thing come from outside through an opening
// to where it stands at rest?
type Job struct {
	Thing  string       // for people and motions
	Parts  []scene.Part // as carried, at rest; the first is the main one
	Others []scene.Part // what the parts must keep clear of
	// Open is the thing as it stands, where it is more open than as carried, and
	// Reaching what stands inside of it at rest: pipes into the open sump.
	Open, Reaching []scene.Part

	Cabinet *scene.Cabinet
	Opening *scene.Opening
	Room    *scene.Room

	// RestAssumed tells that nobody measured where the thing is to stand: that it
	// does not get there proves no no.
	RestAssumed bool

	// Places are shifts from rest: a proof that the thing does not go in is to hold
	// for each of them. It is nil where it is to hold for rest alone.
	Places *r3.Box

	// Wanted is the room wanted on every side, WantedTurned that on moves on which
	// the thing is lifted or turned; less than Wanted counts as Wanted.
	Wanted, WantedTurned, Tape unit.Length

	group string // what of the thing travels by itself
	there Present
}

// near is how far from rest a passage may end, in mm.
const near = 50.0

// measured is the room to spare, an inch, above which nobody needs to know more.
const measured = 25.4

// bodies returns the solids that move: as carried, then as they stand open.
func (j *Job) bodies() []solid.Solid {
	return append(solidsOf(j.Parts), solidsOf(j.Open)...)
}

func solidsOf(parts []scene.Part) []solid.Solid {
	out := make([]solid.Solid, len(parts))
	for i, p := range parts {
		out[i] = p.Solid
	}
	return out
}

// reference returns the point about which the thing turns: the middle of its
// main part.
func (j *Job) reference() r3.Vec { return middle(j.Parts[0].Solid.Bounds()) }

// posed is a job in the frame of who stands before the opening.
type posed struct {
	*Job
	frame, back solid.Pose
	ref         r3.Vec // in the frame
	body        space.Body
	outer       []*solid.Polyhedron // round what moves, in the frame
	others      []solid.Solid       // in the frame
	reaching    []solid.Solid
	// carried looks at legs of what moves among the others, standing at those of what
	// stands open among what reaches into it.
	carried, standing *verify.Verifier
	boxes             []space.Block // that cover these, once asked for
	scratch           space.Scratch // of the rooms of these
	outside           float64       // y before which the whole thing is outside
	fromSide          bool          // it comes from a side, beside the open door
	near, far         float64       // y between which a search looks
	// steps counts what was looked at, as Narrow does; most is where that stops.
	steps, most int
	searches    map[begun]*space.Search // for proofs, that more steps may bring to an end
	stays       [][]space.Stay          // of the ways that they came upon, not tried yet
	roomy       []r3.Vec                // places near rest with much room, once asked for
	anyhow      bool                    // nobody asks what a proof could do without
	wayless     bool                    // as measured the thing was shown not to go in
	// sliced has how many cells were looked at in vain in slices.
	sliced map[walls]int
	// leaks has for a thing smaller by so much the thickest walls, by how much more than
	// they are, between which balls were found to get in.
	leaks map[float64]float64
}

func (j *Job) pose() *posed {
	p := &posed{Job: j, frame: frameOf(j.Cabinet, j.Opening.Side), searches: map[begun]*space.Search{}, sliced: map[walls]int{}, leaks: map[float64]float64{}}
	p.back = inverse(p.frame)
	p.ref = p.frame.Apply(j.reference())
	for _, s := range moved(j.bodies(), p.frame) {
		p.outer = append(p.outer, outerPolyhedron(s))
	}
	p.body = space.NewBody(p.ref, p.outer)
	p.others = moved(solidsOf(j.Others), p.frame)
	p.reaching = moved(solidsOf(j.Reaching), p.frame)
	p.carried = verify.New(p.moving(), p.others)
	p.standing = verify.New(moved(solidsOf(j.Open), p.frame), p.reaching)
	depth := j.Cabinet.Depth.MM()
	switch j.Opening.Side {
	case scene.Left, scene.Right:
		depth = j.Cabinet.Width.MM()
	case scene.Top:
		depth = j.Cabinet.Height.MM()
	case scene.Front, scene.Back, scene.Bottom:
	}
	p.outside, p.fromSide = p.before()
	p.near, p.far = p.outside-p.body.Radius()-near, depth
	return p
}

// before returns the depth before which the whole thing is outside, clear of the open door.
// Where the room does not let it stand there it comes from a side, and is before the
// opening's plane.
func (p *posed) before() (outside float64, aside bool) {
	size := solid.BoundsOf(p.moving()...).Size()
	reach := p.doorReach()
	if reach > 0 && reach > p.roomBefore()-min(size.X, size.Y, size.Z)-2*near {
		return 0, true
	}
	return -reach, false
}

// doorReach returns how far before the opening's plane the open door reaches.
func (p *posed) doorReach() float64 {
	reach := 0.0
	for _, o := range p.Others {
		if o.Role == scene.RoleLeaf && o.Of == p.Opening.Name {
			reach = max(reach, -o.Solid.Moved(p.frame).Bounds().Min.Y)
		}
	}
	return reach
}

// roomBefore returns the distance from the opening's side to what stands
// opposite, as it is assumed for a way where the plan does not give it.
func (p *posed) roomBefore() float64 { return p.roomAt(p.Opening.Side) }

// roomAt is roomBefore for a side.
func (j *Job) roomAt(side scene.Face) float64 {
	or := func(l *unit.Length, otherwise unit.Length) float64 {
		if l != nil {
			return l.MM()
		}
		return otherwise.MM()
	}
	const unlimited = 10 * unit.Metre
	switch side {
	case scene.Front:
		return or(j.Room.Front, scene.AssumedFront)
	case scene.Back:
		return or(j.Room.Back, unlimited)
	case scene.Left:
		return or(j.Room.Left, unlimited)
	case scene.Right:
		return or(j.Room.Right, unlimited)
	case scene.Top:
		if j.Room.Ceiling != nil {
			return (*j.Room.Ceiling - j.Cabinet.Height).MM()
		}
	case scene.Bottom:
	}
	return unlimited.MM()
}
