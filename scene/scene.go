// Package scene describes what stands where: cabinet, openings, doors,
// fixtures, display, sump and equipment, as a person measured them, and derives
// the convex parts they are made of.
//
// Every place is in the cabinet's frame: x to the right, y from front to back,
// z up, millimetres, origin at the cabinet's outside front left corner on the
// room floor. A scene holds no verdict and no required result; it is built by
// scene/plan and read only after that.
package scene

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A Scene is one plan, with every position resolved.
type Scene struct {
	Title string
	Units unit.System
	// Tape is how far each measured length may be off, either way.
	Tape      unit.Length
	Room      Room
	Cabinet   Cabinet
	Display   *Display // nil: the plan has none
	Brine     Brine
	Sump      *Sump // nil: the plan has none
	Equipment []Equipment
	Reach     []Place // those of the plan; Places has the derived ones too
	Hand      Hand
	// Carry is the room wanted on every side of a thing on its way in.
	Carry unit.Length
	// CarryTurned is the room wanted where it is lifted or turned on the way.
	CarryTurned unit.Length
	// Fingers is the room wanted for them where a thing is let down.
	Fingers unit.Length
	Gaps    Gaps
	Floor   *Floor // nil: the plan has none
	Stand   *Stand // nil: the plan does not describe it
	Water   Water  // what else the plan says about the water
	Shop    Shop   // what the plan says about cutting and prices

	// Assumed lists what the plan does not give and the program filled in.
	Assumed []Assumption
}

// An Assumption is a default that took the place of a missing key.
type Assumption struct {
	Key  string // key path in the plan, as "cabinet.wall"
	Text string // for people, as "cabinet walls 3/4 in thick"
}

// Room is what stands round the cabinet. A nil distance is not given.
type Room struct {
	Front, Left, Right, Back *unit.Length // from the cabinet's outside face to the wall
	Ceiling                  *unit.Length // above the room floor
}

// A Face is a face of the cabinet or of a thing, as seen from the front.
type Face int

// The faces.
const (
	Front Face = iota
	Back
	Left
	Right
	Top
	Bottom
)

// A Panel is one wall of the cabinet.
type Panel struct {
	Thickness unit.Length
	Open      bool // there is no wall; Thickness is 0
	Assumed   bool // the plan does not give the thickness
}

// Cabinet is the stand: its outside box from the origin, its walls, and what
// is built into it.
type Cabinet struct {
	Width, Depth, Height          unit.Length   // outside
	Front, Back, Left, Right, Lid Panel         // Lid is the top
	Bottom                        *InsideBottom // nil: things stand on the room floor
	Openings                      []Opening
	Fixtures                      []Fixture
	Holes                         []Hole // for cords and hoses
}

// InsideBottom is the board things stand on.
type InsideBottom struct {
	Up        unit.Length // upper face above the room floor
	Thickness unit.Length
	Assumed   bool // the plan does not give the thickness
}

// An Opening is a hole in one side of the cabinet through which things go.
type Opening struct {
	Name string
	Side Face
	// Hole is the free hole without door and hinges, through the whole
	// thickness of its panel (for an open face: the inside cross-section, with
	// no thickness).
	Hole          r3.Box
	Door          *Door // nil: none
	OpenFace      bool  // the whole side is open
	BeforeDisplay bool  // a way only while the display is not yet on the cabinet
	PlaceAssumed  bool  // nobody measured where along its side the hole is
	Tape          unit.Length
}

// Hinge says where a leaf turns.
type Hinge int

// The hinge sides. HingePair is two leaves of half the width.
const (
	HingeLeft Hinge = iota
	HingeRight
	HingeTop
	HingeBottom
	HingePair
)

// A Door closes an opening with one leaf or two.
type Door struct {
	Hinge     Hinge
	Overlay   bool        // in front of the panel; otherwise inset in the hole
	Overlap   unit.Length // overlay: beyond the hole on every side
	Thickness unit.Length
	Opens     unit.Angle   // how far the leaf opens
	Clear     *unit.Length // narrowest width with the doors open; overrides Opens
	Hinges    *HingeHardware
	LiftsOff  bool
	// AssumedThickness and AssumedOpens tell which of the two the plan does
	// not give.
	AssumedThickness, AssumedOpens bool
}

// HingeHardware is what sticks into an opening at the hinge side.
type HingeHardware struct {
	Kind     string
	Up       []unit.Length // middle of each above the hole's lower edge (left edge for top and bottom hinges)
	Tall     unit.Length
	SticksIn unit.Length
}

// Answer is yes, no or unknown.
type Answer int

// The answers; unknown is the zero value.
const (
	Unknown Answer = iota
	Yes
	No
)

// ComesOut says how a fixture leaves.
type ComesOut int

// The ways a fixture leaves.
const (
	ComesOutUnknown ComesOut = iota
	ComesOutNo
	ComesOutScrews
	ComesOutLifts
)

// A Fixture is a solid thing that is there from the start.
type Fixture struct {
	Name     string
	Bodies   []Body
	From     []Face // as for Equipment
	Bears    Answer
	ComesOut ComesOut
	Tape     unit.Length
}

// A Body is one convex solid of a thing or fixture, where it stands at rest.
type Body struct {
	Name  string // "" where the thing is one body
	Solid solid.Solid
	Lifts unit.Length // must rise this far to come off
	Apart bool        // travels by itself and is put together inside
	// Assumed tells that the place was measured from a face whose own place the
	// plan does not give, as the inside of a wall of assumed thickness.
	Assumed bool
}

// Standing is the state of the display.
type Standing int

// The states of the display; not yet is the default.
const (
	NotYet Standing = iota
	Dry
	Full
)

// Display is the tank on top of the cabinet.
type Display struct {
	Box          r3.Box // outside glass
	Glass        unit.Length
	GlassAssumed bool
	Water        *unit.Length // depth above the inside bottom; nil: not given
	Drops        *unit.Length // how far it falls when the pump stops; nil: not given
	Mouth        *unit.Length // lowest mouth of the return below the running water; nil: not given
	Sand         unit.Length  // depth
	Rock         unit.Mass
	Standing     Standing
}

// Brine is the water of the system.
type Brine struct {
	Salinity    float64 // practical salinity
	Temperature unit.Temperature
	Assumed     bool // the plan gives neither
}

// Sump is the glass tank in the cabinet.
type Sump struct {
	Box          r3.Box // outside glass, as it stands
	Glass        unit.Length
	GlassAssumed bool
	Rim          *Trim // top trim
	Foot         *Trim // bottom trim; In is 0
	Braces       []Brace
	Empty        *unit.Mass // nil: compute it
	Inlet        Face       // Left, Right, Front or Back
	Flow         *unit.Flow
	Baffles      []Baffle
	Level        *unit.Length // kept in the last chamber, above the inside bottom
	Under        unit.Length  // mat under the sump; Box stands on it
	From         []Face       // as for Equipment, to the box round glass and trim
	Assumed      bool         // as for a Body: its place hangs on what the plan does not give
	Tape         unit.Length
}

// Trim runs round the glass at the top or bottom.
type Trim struct {
	Height  unit.Length // of the glass it covers
	Out, In unit.Length // past the glass outside and inside
	More    unit.Length // at front and back, past Out; less where negative
	Beyond  unit.Length // past the glass's end: a rim above the glass top, a foot under the glass
	Assumed bool        // only its outer faces are known, as of a trade size: not Height and In
}

// A Brace lies across the top of the sump, across the flow.
type Brace struct {
	At        unit.Length // near edge from the inside of the inlet end
	Width     unit.Length // along the flow
	Thickness unit.Length // downward from the glass top
	Assumed   bool        // the plan does not give the thickness
}

// A Baffle stands across the flow.
type Baffle struct {
	At        unit.Length // near face from the inside of the inlet end
	Top       unit.Length // top edge above the inside bottom
	Gap       unit.Length // under a raised baffle; 0: it stands on the bottom
	Thickness unit.Length
	Assumed   bool // the plan does not give the thickness
}

// Equipment is one thing that goes into the cabinet or the sump.
type Equipment struct {
	Name     string
	Kind     string // as in the plan: skimmer, pump, heater, …
	Chamber  int    // 1 is the first after the inlet; 0: in the cabinet
	Bodies   []Body
	From     []Face // inside faces its place was measured from; an axis without one is centred, or on the ground
	Mass     *unit.Mass
	Holds    *unit.Volume    // what a reservoir holds; nil: not given
	Outlet   *unit.Length    // z of the end of a reservoir's hose; nil: not given
	StandsIn *[2]unit.Length // least and greatest depth of water it works in
	Order    int             // goes in after lower numbers
	Fixed    bool
	Soft     bool     // bends aside on the way, counts at rest
	On       []string // touches these on purpose
	HeldBy   []string // must be undone before it comes out
	Cord     *Cord    // its cord or hose; nil: the plan says nothing of it
	Tape     unit.Length
}

// A Place is a point a hand must get to.
type Place struct {
	Name  string
	On    string // thing or fixture the hand may touch; "" for none
	At    r3.Vec
	Task  string // press, turn, grip, plug or lift
	Hands int
	Size  unit.Length // what the hand closes round; 0: not given
	// Swing is how far round At a handle that the hand turns goes; 0: none.
	Swing unit.Length
	// For is what a place that the plan does not give is derived for, as "its
	// union"; "" for a place of the plan.
	For string
	// Zone is where a derived place may be; for one of the plan it is not used.
	Zone r3.Box
}

// Gaps is the room wanted between things at rest.
type Gaps struct {
	Default        unit.Length
	DefaultAssumed bool
	ByKind         map[string]unit.Length
}

// For returns the room wanted between things of two kinds; a kind may be "".
func (g Gaps) For(a, b string) unit.Length {
	of := func(kind string) unit.Length {
		if w, ok := g.ByKind[kind]; ok {
			return w
		}
		return g.Default
	}
	return max(of(a), of(b))
}

// Floor is the house floor under the cabinet.
type Floor struct {
	Slab      bool
	Joists    *Joists // nil for a slab
	Sheathing *unit.Length
	Ordinary  unit.Pressure // live load beside the cabinet
	Dead      unit.Pressure
}

// Joists carry a timber floor. Thickness and Depth are as dressed.
type Joists struct {
	Thickness, Depth unit.Length
	Nominal          string // as "2x10"; "" where measured
	Species, Grade   string // North American; "" where Class is given
	Class            string // EN 338 class; "" where Species is given
	Spacing, Span    unit.Length
	LeftRight        bool        // run left to right; otherwise front to back
	Support          unit.Length // from the near support to the cabinet
	Offset           unit.Length // from the cabinet's left (or back) edge to the first joist's middle
	// Doubled lists the joists that are two side by side: 1 is the one at
	// Offset, higher numbers follow to the right (or to the front).
	Doubled []int
	// Bearing is how much of a joist lies on its support; nil: not measured.
	Bearing *unit.Length
	// Damp tells that the wood stays wet (over 19 % moisture).
	Damp bool
}
