package scene

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// Role says what a part is, for checks and for pictures.
type Role int

// The roles of parts.
const (
	RolePanel     Role = iota // cabinet wall, top or inside bottom
	RoleLeaf                  // door leaf
	RoleHinge                 // hinge hardware
	RoleFixture               // fixture of the cabinet
	RoleGlass                 // pane of display or sump
	RoleBaffle                // baffle of the sump
	RoleTrim                  // rim, foot or brace of the sump
	RoleEquipment             // body of a thing
	RoleRoom                  // room floor, walls, ceiling
	RoleWater
	RoleSand
	RoleArm // a hand and arm that reach for a place, in pictures
)

// A Part is one convex solid of the scene, in the cabinet's frame.
type Part struct {
	Name  string // unique in the scene, as "sump/front pane" or "skimmer/cup"
	Of    string // what it belongs to: "cabinet", "display", "sump", "room", or the name of a thing, fixture or opening
	Role  Role
	Solid solid.Solid
	// Sure is the part of Solid that is there whatever the defaults hide: Solid
	// itself where all of it was measured, nil where nothing was. What stands
	// in the way for a no is Sure; what stands in the way for an ok is Solid.
	Sure solid.Solid
}

// A Mark is a neutral sign for pictures: a dimension between two points, or a
// point where both are the same.
type Mark struct {
	From, To r3.Vec
	Label    string
	Parts    []string // names of the parts it is about
}

// A Moment is a place on a way: the fraction T of a leg.
type Moment struct {
	Leg  int
	T    float64
	Mark Mark // the room to spare there
}

// Hands says where the hands are on a move, each "" where it is as on the move before: in a
// sentence, and in few words for a picture.
type Hands struct{ Text, Short string }

// A Motion is a thing's way, for pictures and models.
type Motion struct {
	Thing string
	// Out tells that the thing is taken out: the path starts at rest and ends
	// outside. Otherwise it is brought in, and the path ends at rest.
	Out   bool
	Parts []string // names of the parts that move
	Path  solid.Path
	Moves []string // one text a leg, or fewer where legs belong together
	// MoveOf gives for each leg the index of its move in Moves. A first move to which no
	// leg belongs tells how the thing is turned where its path begins.
	MoveOf []int
	// Hands tells for each move where the hands are; nil where nothing is said of that.
	Hands []Hands
	// Through is the name of the opening.
	Through string
	// Closest is where on the way the thing comes nearest to anything; nil where it
	// comes near to nothing.
	Closest *Moment
	// Absent names what is not there while the thing moves and stands in the
	// scene otherwise: things that go in later or came out before, the display
	// for a way before it, an opening whose leaves are off, a fixture.
	Absent []string
}

// Begins tells how the thing is turned where its path begins; "" where the moves do not
// say.
func (m *Motion) Begins() string {
	if len(m.MoveOf) > 0 && m.MoveOf[0] > 0 && m.MoveOf[0] <= len(m.Moves) {
		return m.Moves[0]
	}
	return ""
}
