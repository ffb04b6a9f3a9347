package scene

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Describe says in plain words and in the plan's units how the plan was read,
// a sentence a line, before any verdict: room, cabinet, openings and doors,
// fixtures, display, sump and its chambers, equipment by place, places for a
// hand, and what was assumed.
func (s *Scene) Describe() []string {
	a := account{Scene: s}
	a.room()
	a.cabinet()
	for i := range s.Cabinet.Openings {
		a.opening(&s.Cabinet.Openings[i])
	}
	for i := range s.Cabinet.Holes {
		a.hole(&s.Cabinet.Holes[i])
	}
	for i := range s.Cabinet.Fixtures {
		f := &s.Cabinet.Fixtures[i]
		a.say("%s, built in: %s.", a.name(f.Name), a.place(boundsOf(f.Parts()), s.Cabinet.Inside(), a.ground(), f.From))
	}
	a.display()
	a.sump()
	a.equipment()
	a.reach()
	a.stand()
	a.floor()
	for _, as := range s.Assumed {
		a.say("Assumed: %s (%s).", as.Text, as.Key)
	}
	return a.lines
}

// An account gathers the sentences of Describe.
type account struct {
	*Scene
	lines []string
}

func (a *account) say(format string, args ...any) {
	a.lines = append(a.lines, fmt.Sprintf(format, args...))
}

// length prints l in the plan's units.
func (a *account) length(l unit.Length) string { return a.Units.Length(l) }

// size prints the size of a box: width, depth, height.
func (a *account) size(b r3.Box) string {
	return a.Units.Size(unit.Length(b.Max.X-b.Min.X), unit.Length(b.Max.Y-b.Min.Y), unit.Length(b.Max.Z-b.Min.Z))
}

// name begins a sentence with a name.
func (a *account) name(n string) string {
	r, size := utf8.DecodeRuneInString(n)
	return string(unicode.ToUpper(r)) + n[size:]
}

// ground is what things in the cabinet stand on.
func (a *account) ground() string {
	if a.Cabinet.Bottom == nil {
		return "house floor"
	}
	return "cabinet bottom"
}

// list joins what is there as "a, b and c".
func list(items ...string) string {
	if len(items) < 2 {
		return strings.Join(items, "")
	}
	last := len(items) - 1
	return strings.Join(items[:last], ", ") + " and " + items[last]
}

// boundsOf returns the box round parts.
func boundsOf(parts []Part) r3.Box {
	solids := make([]solid.Solid, len(parts))
	for i, p := range parts {
		solids[i] = p.Solid
	}
	return solid.BoundsOf(solids...)
}

// place says how large b is and where it stands within in.
func (a *account) place(b, in r3.Box, ground string, from []Face) string {
	return a.size(b) + ", " + a.where(b, in, ground, from)
}

// where says where b stands within in: from the faces it was measured from, or
// from the nearer ones, and above the ground of that name.
func (a *account) where(b, in r3.Box, ground string, from []Face) string {
	across := func(low, high Face) string {
		f := nearer(low, high, b, in, from)
		d := away(f, b, in)
		switch {
		case same(d, 0):
			return "against the " + f.String()
		case !slices.Contains(from, f) && same(d, away(opposite(f), b, in)):
			return fmt.Sprintf("midway between %s and %s", low, high)
		}
		return a.length(unit.Length(d)) + " from the " + f.String()
	}
	up, down := away(Bottom, b, in), away(Top, b, in)
	height := a.length(unit.Length(up)) + " above the " + ground
	switch {
	case same(up, 0):
		height = "on the " + ground
	case same(down, 0):
		height = "right at the top"
	case slices.Contains(from, Top):
		height = a.length(unit.Length(down)) + " below the top"
	}
	return strings.Join([]string{across(Left, Right), across(Front, Back), height}, ", ")
}

// verySame is the difference in mm below which two distances read alike: finer
// than any tape prints.
const verySame = 0.01

func same(a, b float64) bool { return math.Abs(a-b) < verySame }

func (a *account) room() {
	var there []string
	for _, w := range []struct {
		away  *unit.Length
		where string
	}{
		{a.Room.Front, "before it"},
		{a.Room.Left, "to its left"},
		{a.Room.Right, "to its right"},
		{a.Room.Back, "behind it"},
	} {
		if w.away != nil {
			there = append(there, a.length(*w.away)+" "+w.where)
		}
	}
	if len(there) > 0 {
		a.say("Round the cabinet there are %s.", list(there...))
	}
	if a.Room.Front == nil {
		a.say("Nothing is given before the cabinet: %s are taken to be free there.", a.length(AssumedFront))
	}
	if a.Room.Ceiling != nil {
		a.say("The ceiling is %s above the house floor.", a.length(*a.Room.Ceiling))
	}
}

func (a *account) cabinet() {
	c := &a.Cabinet
	a.say("The cabinet is %s outside (width x depth x height).", a.Units.Size(c.Width, c.Depth, c.Height))
	var walls, open []string
	for _, f := range []Face{Front, Back, Left, Right, Top} {
		switch w := c.Wall(f); {
		case w.Open:
			open = append(open, f.String())
		default:
			walls = append(walls, f.String()+" "+a.length(w.Thickness))
		}
	}
	line := "Its walls: " + list(walls...)
	if len(open) > 0 {
		line += "; open at the " + list(open...)
	}
	a.say("%s.", line)
	if c.Bottom != nil {
		a.say("The cabinet bottom is %s above the house floor.", a.length(c.Bottom.Up))
	} else {
		a.say("There is no cabinet bottom: things stand on the house floor.")
	}
	a.say("That leaves %s inside.", a.size(c.Inside()))
}

func (a *account) opening(o *Opening) {
	hole := facingOf(o.Side).of(o.Hole)
	size := a.Units.Size(unit.Length(hole.Max.X-hole.Min.X), unit.Length(hole.Max.Y-hole.Min.Y))
	line := fmt.Sprintf("Way in %q, the %s: %s", o.Name, o.Side, size)
	if !o.OpenFace {
		left := hole.Min.X - facingOf(o.Side).of(a.outside()).Min.X
		line += fmt.Sprintf(", %s from the left edge", a.length(unit.Length(left)))
		switch sill := a.sill(o); {
		case o.Side == Top:
			line += fmt.Sprintf(", %s from the front edge", a.length(unit.Length(o.Hole.Min.Y)))
		case same(sill.MM(), 0):
			line += ", its lower edge level with the " + a.ground()
		default:
			line += fmt.Sprintf(", its lower edge %s above the %s", a.length(sill), a.ground())
		}
	}
	if o.BeforeDisplay {
		line += ", a way only before the display stands on the cabinet"
	}
	a.say("%s.", line)
	if o.Door != nil {
		a.door(o)
	}
}

// sill returns how far the lower edge of o is above what things stand on.
func (s *Scene) sill(o *Opening) unit.Length {
	up := unit.Length(o.Hole.Min.Z)
	if s.Cabinet.Bottom != nil {
		up -= s.Cabinet.Bottom.Up
	}
	return unit.Length(nanometre(up.MM()))
}

// outside returns the outside box of the cabinet.
func (s *Scene) outside() r3.Box {
	return boxOf(0, 0, 0, s.Cabinet.Width, s.Cabinet.Depth, s.Cabinet.Height)
}

func (a *account) door(o *Opening) {
	d := o.Door
	mount := "inset"
	if d.Overlay {
		mount = "overlay (" + a.length(d.Overlap) + " over the edge)"
	}
	kind := map[Hinge]string{
		HingeLeft:   "one " + mount + " leaf hinged at its left",
		HingeRight:  "one " + mount + " leaf hinged at its right",
		HingeTop:    "one " + mount + " leaf hinged at its top",
		HingeBottom: "one " + mount + " leaf hinged at its bottom",
		HingePair:   "a pair of " + mount + " leaves",
	}[d.Hinge]
	line := fmt.Sprintf("Door of %q: %s, %s thick, opens to %s", o.Name, kind, a.length(d.Thickness), a.DoorAngle(o))
	if d.Clear != nil {
		line += fmt.Sprintf(", at which %s are clear", a.length(*d.Clear))
	}
	if n := len(a.Hinges(o)); n > 0 {
		line += fmt.Sprintf("; %s into the way", counted(n, "hinge sticks ", "hinges stick ")+a.length(d.Hinges.SticksIn))
	}
	if d.LiftsOff {
		line += "; it lifts off"
	}
	a.say("%s.", line)
}

// counted prints n with the word for one or for several.
func counted(n int, one, several string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + several
}

func (a *account) display() {
	d := a.Display
	if d == nil {
		return
	}
	state := [...]string{NotYet: "not standing yet", Dry: "standing, dry", Full: "standing, full"}[d.Standing]
	line := fmt.Sprintf("The display is %s of %s glass, %s", a.size(d.Box), a.Units.Fine(d.Glass), state)
	if d.Water != nil {
		line += fmt.Sprintf("; water %s deep", a.length(*d.Water))
		if d.Drops != nil {
			line += fmt.Sprintf(", falling %s when the pump stops", a.length(*d.Drops))
		}
	}
	if d.Sand > 0 {
		line += fmt.Sprintf("; sand %s deep", a.length(d.Sand))
	}
	if d.Rock > 0 {
		line += fmt.Sprintf("; %s of rock", a.Units.Mass(d.Rock))
	}
	a.say("%s.", line)
}

func (a *account) sump() {
	s := a.Sump
	if s == nil {
		return
	}
	a.say("The sump is %s of %s glass.", a.size(s.Box), a.Units.Fine(s.Glass))
	whole := "It"
	round := boundsOf(s.Carried())
	if s.Rim != nil || s.Foot != nil {
		whole = "With its trim it is " + a.size(round) + " and"
	}
	a.say("%s stands %s.", whole, a.where(round, a.Cabinet.Inside(), a.ground(), s.From))
	across := s.Inside()
	wide := unit.Length(across.Max.Y - across.Min.Y)
	if s.Inlet == Front || s.Inlet == Back {
		wide = unit.Length(across.Max.X - across.Min.X)
	}
	spaces := s.Spaces()
	var chambers, traps []string
	number := 0
	for _, sp := range spaces {
		number = max(number, sp.Number)
	}
	for i := 0; i < len(spaces); i++ {
		sp := spaces[i]
		if sp.Number > 0 {
			chambers = append(chambers, fmt.Sprintf("%d%s %s long", sp.Number, role(sp.Number, number), a.length(sp.To-sp.From)))
			continue
		}
		from := sp.From
		if sp.In != nil {
			from = sp.In.At
		}
		for i+1 < len(spaces) && spaces[i+1].Number == 0 {
			i++
		}
		to := spaces[i].To
		if out := spaces[i].Out; out != nil {
			to = out.At + out.Thickness
		}
		start := strings.TrimSuffix(a.length(from), " "+a.Units.String())
		traps = append(traps, "between "+start+" and "+a.length(to))
	}
	line := fmt.Sprintf("I read %s: %s", counted(number, "chamber", "chambers"), strings.Join(chambers, ", "))
	if len(traps) > 0 {
		line += "; " + counted(len(traps), "bubble trap ", "bubble traps ") + list(traps...)
	}
	a.say("%s.", line)
	a.say("Chambers are counted from the %s, where the water comes in; the sump is %s wide across the flow.", s.Inlet, a.length(wide))
	a.baffles()
	var water []string
	if s.Flow != nil {
		water = append(water, a.Units.Flow(*s.Flow)+" arrive")
	}
	if s.Level != nil {
		water = append(water, fmt.Sprintf("the last chamber is kept %s deep", a.length(*s.Level)))
	}
	if len(water) > 0 {
		a.say("While the pump runs, %s.", list(water...))
	}
}

// role says which chamber is the first and which the last.
func role(number, of int) string {
	switch {
	case of == 1:
		return " (inlet and return)"
	case number == 1:
		return " (inlet)"
	case number == of:
		return " (return)"
	}
	return " (middle)"
}

func (a *account) baffles() {
	var way []string
	for i, f := range a.Sump.inOrder() {
		if f.Gap > 0 {
			way = append(way, fmt.Sprintf("under baffle %d at %s (%s free below it)", i+1, a.length(f.At), a.length(f.Gap)))
		} else {
			way = append(way, fmt.Sprintf("over baffle %d at %s (%s high)", i+1, a.length(f.At), a.length(f.Top)))
		}
	}
	if len(way) > 0 {
		a.say("The water goes %s.", list(way...))
	}
}

// equipment goes by place: along the sump from the inlet, then the cabinet.
func (a *account) equipment() {
	tell := func(t Thing, where string, in r3.Box, ground string) {
		line := a.name(t.Name)
		if t.Kind != t.Name {
			line += " (" + t.Kind + ")"
		}
		line += " in " + where + ": " + a.place(boundsOf(t.Parts), in, ground, t.Item.From)
		if len(t.On) > 0 {
			line += "; touches " + list(t.On...) + " on purpose"
		}
		if n := len(t.Groups); n > 1 {
			line += "; goes in as " + strconv.Itoa(n) + " pieces"
		}
		if t.Fixed {
			line += "; never comes out"
		}
		if t.Soft {
			line += "; bends aside on the way"
		}
		line += a.cord(t.Item.Cord)
		a.say("%s.", line)
	}
	things := a.Things()
	if a.Sump != nil {
		for _, sp := range a.Sump.Spaces() {
			for _, t := range things {
				if t.Item != nil && sp.Number > 0 && t.Item.Chamber == sp.Number {
					tell(t, "chamber "+strconv.Itoa(sp.Number), sp.Box, "sump's bottom")
				}
			}
		}
	}
	for _, t := range things {
		if t.Item != nil && t.Item.Chamber == 0 {
			tell(t, "the cabinet", a.Cabinet.Inside(), a.ground())
		}
	}
}

func (a *account) reach() {
	for _, p := range a.Reach {
		line := "A hand must get to " + p.Name
		if p.On != "" {
			line += " on " + p.On
		}
		a.say("%s, to %s: %s.", line, p.Task, a.where(r3.Box{Min: p.At, Max: p.At}, a.Cabinet.Inside(), a.ground(), nil))
	}
}

func (a *account) stand() {
	s := a.Stand
	if s == nil {
		return
	}
	var has []string
	if n := len(s.Members); n > 0 {
		has = append(has, counted(n, "timber", "timbers"))
	}
	if s.Board != "" {
		has = append(has, "panels of "+s.Board)
	}
	if n := len(s.Dividers); n > 0 {
		has = append(has, counted(n, "divider", "dividers"))
	}
	if n := len(s.Plinth); n > 0 {
		has = append(has, counted(n, "plinth board", "plinth boards"))
	}
	if n := len(s.Feet); n > 0 {
		has = append(has, counted(n, "foot", "feet"))
	}
	if len(has) > 0 {
		a.say("The stand has %s.", list(has...))
	}
}

func (a *account) floor() {
	f := a.Floor
	switch {
	case f == nil:
	case f.Slab:
		a.say("The house floor is a slab.")
	case f.Joists != nil:
		j := f.Joists
		run := "front to back"
		if j.LeftRight {
			run = "left to right"
		}
		a.say("Under the house floor: joists %s, %s apart, %s from support to support, running %s.",
			a.Units.Size(j.Thickness, j.Depth), a.length(j.Spacing), a.length(j.Span), run)
	}
}
