package scene

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A Stand is what carries the display, as far as the plan describes it: a frame
// of timber members, a cabinet of boards, or both.
type Stand struct {
	Bears Bears
	// Damp tells that the wood stays wet (over 19 % moisture), so that lower
	// design values hold.
	Damp bool
	// Uneven is the widest gap under a foot while the stand is empty; nil: not
	// measured.
	Uneven *unit.Length
	// Members are the timbers of a frame.
	Members []Member
	// Board is what the cabinet's panels are made of: plywood, osb, mdf,
	// particleboard, board or unknown; "" where the plan describes no boards.
	Board    string
	Dividers []Board // upright boards between the sides
	Plinth   []Board // boards on the house floor under the inside bottom
	Feet     []Foot  // none: members, sides and plinth stand on the house floor
}

// Bears says how the display stands on what is under it.
type Bears int

// The ways a display bears.
const (
	BearsUnknown Bears = iota // the worst of the others counts
	BearsRim                  // along its four edges
	BearsBottom               // on its whole bottom
	BearsMat                  // on its whole bottom, over a soft mat
)

// An Axis is a direction of the cabinet.
type Axis int

// The axes: left to right, front to back, upward.
const (
	AlongX Axis = iota
	AlongY
	AlongZ
)

// A Member is one straight timber of the stand. A level one carries what lies
// on it to the uprights under it and the level ones it is fastened to.
type Member struct {
	Name string
	Run  Axis
	Box  r3.Box // where it stands
	// Nominal is the size as sold, as "2x6"; "" where measured. Thickness and
	// Depth are as dressed, of one ply; Depth is the larger.
	Nominal          string
	Thickness, Depth unit.Length
	// Flat tells that the thickness of a level member is upright.
	Flat  bool
	Plies int // pieces side by side, nailed together; at least 1
	Timber
	// AssumedLength tells that the plan does not give the length.
	AssumedLength bool
}

// Timber is a kind of structural timber.
type Timber struct {
	Species, Grade string // North American; "" where Class is given
	Class          string // EN 338 class; "" where Species is given
}

// A Board is one upright board of the stand that is no wall of the cabinet.
type Board struct {
	Name string
	Box  r3.Box
}

// A Foot is where the stand touches the house floor.
type Foot struct {
	Name  string
	Box   r3.Box // from the house floor up; no height where the plan gives none
	Round bool   // a disc in Box instead of a rectangle
}

// A Contact is one place where the stand touches the house floor.
type Contact struct {
	Name string
	Box  r3.Box // in plan; a disc as the square of the same area
}

// Long tells that a contact is a strip and not a foot.
func (c Contact) Long() bool {
	w, d := c.Box.Max.X-c.Box.Min.X, c.Box.Max.Y-c.Box.Min.Y
	return max(w, d) > 4*min(w, d)
}

// Contacts returns where the stand touches the house floor: the feet that the
// plan gives, or else the timbers and boards that reach the floor. Where the plan
// does not describe the stand, described is false and the cabinet bears along its
// two sides.
func (s *Scene) Contacts() (contacts []Contact, described bool) {
	st := s.Stand
	if st == nil {
		return s.sides(), false
	}
	for _, f := range st.Feet {
		b := f.Box
		if f.Round {
			half := (b.Max.X - b.Min.X) / 2 * math.Sqrt(math.Pi) / 2
			m := r3.Scale(0.5, r3.Add(b.Min, b.Max))
			b.Min.X, b.Max.X, b.Min.Y, b.Max.Y = m.X-half, m.X+half, m.Y-half, m.Y+half
		}
		contacts = append(contacts, Contact{f.Name, b})
	}
	if len(contacts) > 0 {
		return contacts, true
	}
	reach := max(1, s.Tape.MM()) // nearer to the floor than this is on it
	for _, m := range st.Members {
		if m.Box.Min.Z <= reach {
			contacts = append(contacts, Contact{m.Name, m.Box})
		}
	}
	framed := len(contacts) > 0
	for _, b := range slices.Concat(st.Plinth, st.Dividers) {
		if b.Box.Min.Z <= reach {
			contacts = append(contacts, Contact(b))
		}
	}
	if framed {
		return contacts, true
	}
	return append(contacts, s.sides()...), st.Board != ""
}

// sides returns the lower edges of the cabinet's two sides.
func (s *Scene) sides() []Contact {
	c := &s.Cabinet
	return []Contact{
		{"left side", boxOf(0, 0, 0, c.Left.Thickness, c.Depth, 0)},
		{"right side", boxOf(c.Width-c.Right.Thickness, 0, 0, c.Width, c.Depth, 0)},
	}
}

// Line returns the middle line of a joist from its near support to its far one,
// on the house floor: number 1 is the one at Offset.
func (j *Joists) Line(c *Cabinet, number int) (from, to r3.Vec) {
	across := (j.Offset + unit.Length(number-1)*j.Spacing).MM()
	near, far := j.Support.MM(), (j.Span - j.Support).MM()
	if j.LeftRight {
		y := c.Depth.MM() - across
		return r3.Vec{X: -near, Y: y}, r3.Vec{X: far, Y: y}
	}
	y := c.Depth.MM()
	return r3.Vec{X: across, Y: y + near}, r3.Vec{X: across, Y: y - far}
}

// StandParts returns the solids of the stand's members, boards and feet. The
// cabinet's own walls are not among them.
func (s *Scene) StandParts() []Part {
	if s.Stand == nil {
		return nil
	}
	var parts []Part
	add := func(name string, body solid.Solid, sure bool) {
		p := Part{Name: "stand/" + name, Of: "cabinet", Role: RoleFixture, Solid: body}
		if sure {
			p.Sure = body
		}
		parts = append(parts, p)
	}
	for _, m := range s.Stand.Members {
		add(m.Name, solid.Box(m.Box), !m.AssumedLength)
	}
	for _, b := range s.Stand.Dividers {
		add(b.Name, solid.Box(b.Box), true)
	}
	for _, b := range s.Stand.Plinth {
		add(b.Name, solid.Box(b.Box), true)
	}
	for _, f := range s.Stand.Feet {
		if f.Box.Max.Z <= f.Box.Min.Z {
			continue
		}
		if f.Round {
			low := r3.Scale(0.5, r3.Add(f.Box.Min, f.Box.Max))
			high := low
			low.Z, high.Z = f.Box.Min.Z, f.Box.Max.Z
			add(f.Name, &solid.Cylinder{A: low, B: high, Radius: (f.Box.Max.X - f.Box.Min.X) / 2}, true)
			continue
		}
		add(f.Name, solid.Box(f.Box), true)
	}
	return parts
}
