// Package sheet draws sheets for printing: SVG pages to scale, one unit of the
// viewBox to the millimetre of paper.
package sheet

import (
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Measure returns the measuring sheet, one SVG page after the other: what to
// measure, in which order, with lettered drawings and blanks in the units of
// sys. Each page prints whole on A4 and on Letter. With a plan (s not nil) it
// shows in each blank what the plan says, with room to measure again.
//
// Pages are files of their own because browsers do not agree on where an SVG
// file taller than the paper is cut.
func Measure(s *scene.Scene, sys unit.System) ([][]byte, error) {
	m := measuring{s: s, sys: sys}
	return m.form().finish()
}

// form returns the sheet before its foot.
func (m measuring) form() *form {
	s, sys := m.s, m.sys
	f := &form{name: "Measuring sheet", units: sys.String()}
	if s != nil {
		f.about = s.Title
	}

	f.newPage("1  Cabinet and room")
	m.howTo(f)
	f.add(m.cabinet())
	f.add(m.room())

	f.newPage("2  Openings, doors, built-in things")
	for _, part := range m.openings() {
		f.add(part)
	}
	f.add(m.fixtures())

	f.newPage("3  Display and sump")
	f.add(m.display())
	f.add(m.sump())
	f.add(m.baffles())

	f.newPage("4  Equipment, hands, house floor")
	f.add(m.equipment())
	f.add(m.places())
	f.add(m.floor())
	return f
}

// measuring fills in the sections of the measuring sheet.
type measuring struct {
	s   *scene.Scene // nil: blank
	sys unit.System
	// decides tells of blanks, by their keys in the plan's lists, whether an error
	// there turns a verdict.
	decides map[blankKey]bool
}

// A blankKey is a blank of the sheet: its key, and which thing and which part of
// it a row is about, where there are several.
type blankKey struct {
	key        string
	item, part int
}

// at returns a blank that shows whether it decides.
func (m measuring) at(key string, item, part int, value string) cell {
	c := blank(value)
	c.wide = m.decides[blankKey{key, item, part}]
	return c
}

// marked is at for the cells of a row, one key after the other.
func (m measuring) marked(keys []string, item, part int, cells []cell) []cell {
	for i := range cells {
		cells[i].wide = m.decides[blankKey{keys[i], item, part}]
	}
	return cells
}

// Which of two measures to write down: the one that cannot deceive. A room
// taken too small or a thing taken too large never makes a false yes.
const (
	useSmaller = "use the smaller of the two"
	useLarger  = "sizes: use the larger of the two"
	useBoth    = "rooms: use the smaller of the two; boards: the larger"
)

// howTo writes the habits of measuring over the first page.
func (m measuring) howTo(f *form) {
	example := map[unit.System]string{
		unit.Inches:      "in inches and fractions, as 20 1/4",
		unit.Millimetres: "in millimetres, as 514",
		unit.Centimetres: "in centimetres, as 51.4",
	}[m.sys]
	offset := map[unit.System]string{
		unit.Inches: "1 in", unit.Millimetres: "100 mm", unit.Centimetres: "10 cm",
	}[m.sys]
	const size, apart = normal, 3.9
	column := func(x, wide float64, paragraphs ...string) float64 {
		p := f.page().draw("How to measure", border+x, f.y)
		y := 3.0
		for _, text := range paragraphs {
			p.text(0, y, size, left, "•")
			for _, line := range wrap(text, size, wide-3) {
				p.text(3, y, size, left, line)
				y += apart
			}
		}
		return y
	}
	half := (bodyWidth - gutter) / 2.0
	leave := "Leave blank what you cannot reach or do not have. The check then leaves that out and says so."
	if m.s != nil {
		leave = "Small figures are the plan’s; a question mark means it was assumed. Write over them where the tape says otherwise."
	}
	end := max(
		column(
			0, half,
			"Go from A to J. Write what the tape reads, "+example+".",
			"Measure twice, at both ends of a thing: boards bow, corners are not square. Each part says which of the two to use.",
			leave,
		),
		column(
			half+gutter, half,
			"Hook the tape on the far edge, pull it tight, and read with your eye straight over the mark.",
			"Where the hook is in the way, start at the "+offset+" line and take that off again. Where the tape must bend into a corner, measure from both sides to a pencil mark.",
			"Left and right are yours as you stand before the cabinet’s front. Pull the plugs before your hands go in.",
		),
	)
	f.y += end + 1
}

// rowHigh is the height of a row in mm: room for two lines of print or one of
// handwriting.
const rowHigh = 6.9

// A line is one thing to measure: its key, how, and what the plan says.
type line struct{ key, how, value string }

// lines makes the table of things to measure once each.
func (m measuring) lines(list ...line) table {
	t := table{high: rowHigh, columns: []column{{width: 8}, {head: "what to measure"}, {"at one end", 21}, {"at the other", 21}}}
	for _, l := range list {
		t.rows = append(t.rows, row{named(l.key), says(l.how), m.at(l.key, 0, 0, l.value), blank("")})
	}
	return t
}

// length prints a length as a tape reads, without its unit, which is the same
// for all of the sheet.
func (m measuring) length(l unit.Length) string {
	return strings.TrimSuffix(m.sys.Length(l), " "+m.sys.String())
}

// given prints a length; nil is blank.
func (m measuring) given(l *unit.Length) string {
	if l == nil {
		return ""
	}
	return m.length(*l)
}

// known prints a length, with a question mark where the plan does not give it.
func (m measuring) known(l unit.Length, assumed bool) string {
	return m.length(l) + doubt(assumed)
}

func doubt(assumed bool) string {
	if assumed {
		return "?"
	}
	return ""
}

// panel prints a wall of the cabinet.
func (m measuring) panel(p scene.Panel) string {
	if p.Open {
		return "open"
	}
	return m.known(p.Thickness, p.Assumed)
}

func (m measuring) cabinet() section {
	var v [10]string
	if m.s != nil {
		c := &m.s.Cabinet
		v = [10]string{
			m.length(c.Width), m.length(c.Depth), m.length(c.Height), m.panel(c.Left), m.panel(c.Back), m.panel(c.Lid), m.panel(c.Front),
		}
		if b := c.Bottom; b != nil {
			v[7], v[8] = m.length(b.Up), m.known(b.Thickness, b.Assumed)
		}
		v[9] = m.length(span(c.Inside()).width)
	}
	return section{
		title: "A  Cabinet", note: useBoth,
		drawings: []drawing{
			{"The cabinet from the front: A1 is its width, A3 its height, A4 the thickness of a side wall, A10 the width inside, B5 the height of the room.", 59, drawFront},
			{"The cabinet cut from front to back: A2 is its depth, A5 to A7 and A9 the thickness of its boards, A8 the height of the cabinet bottom.", 57, drawSection},
		},
		table: m.lines(
			line{"A1", "hook the tape on the left outside edge, read at the right one", v[0]},
			line{"A2", "hook it on the front face, without the doors; read at the back", v[1]},
			line{"A3", "from the house floor to the surface the display stands on", v[2]},
			line{"A4", "side walls, left and right: thickness, at an edge you can see", v[3]},
			line{"A5", "back: thickness; “open” where there is none", v[4]},
			line{"A6", "top: thickness; “open” where there is none", v[5]},
			line{"A7", "front: thickness of the frame or board round the doors", v[6]},
			line{"A8", "from the house floor to the upper face of the cabinet bottom", v[7]},
			line{"A9", "cabinet bottom: thickness of the board, if an edge shows", v[8]},
			line{"A10", "inside, from side wall to side wall: A1 less A4 twice, or measure those again", v[9]},
		),
	}
}

func (m measuring) room() section {
	var v [5]string
	if m.s != nil {
		r := m.s.Room
		for i, l := range []*unit.Length{r.Front, r.Left, r.Right, r.Back, r.Ceiling} {
			v[i] = m.given(l)
		}
	}
	return section{
		title: "B  Room round the cabinet", note: useSmaller,
		drawings: []drawing{{"The cabinet in its room from above: B1 to B4 are the free distances to what stands round it.", 56, drawRoom}},
		table: m.lines(
			line{"B1", "from the cabinet’s face to what stands opposite: sofa, wall", v[0]},
			line{"B2", "from the left outside to the wall; blank: nothing there", v[1]},
			line{"B3", "from the right outside to the wall; blank: nothing there", v[2]},
			line{"B4", "from the back outside to the wall", v[3]},
			line{"B5", "from the house floor to the ceiling", v[4]},
		),
	}
}

// openingsAside is how many openings one table has room for.
const openingsAside = 3

// openings returns the tables of the openings, some side by side.
func (m measuring) openings() []section {
	var list []scene.Opening
	if m.s != nil {
		list = m.s.Cabinet.Openings
	}
	var sections []section
	for first := 0; first == 0 || first < len(list); first += openingsAside {
		t := table{high: rowHigh, columns: []column{{width: 9}, {head: "for each hole"}}}
		var of [openingsAside][]string
		for i := range openingsAside {
			head := "opening " + strconv.Itoa(first+i+1)
			if first+i < len(list) {
				of[i] = m.opening(&list[first+i])
			} else {
				of[i] = make([]string, len(openingKeys))
			}
			t.columns = append(t.columns, column{head, 21})
		}
		for k, how := range openingKeys {
			r := row{named("C" + strconv.Itoa(k+1)), says(how)}
			for i := range of {
				r = append(r, m.at("C"+strconv.Itoa(k+1), first+i, 0, of[i][k]))
			}
			t.rows = append(t.rows, r)
		}
		s := section{title: "C  Openings and doors", note: "measure at both ends, write the smaller", table: t}
		if first == 0 {
			s.drawings = []drawing{
				{"An opening from the front: C3 to C6 place and size, C13 to C15 a hinge in it.", 61, drawOpening},
				{"Doors from above: an inset pair and an overlay leaf, closed and open.", 62, drawDoors},
			}
		}
		sections = append(sections, s)
	}
	return sections
}

// openingKeys is what to measure of an opening.
var openingKeys = []string{
	"its name, as “doors”",
	"in front, back, left, right or top",
	"cabinet’s left edge to the hole, as you face that side",
	"cabinet bottom to lower edge (top: front edge to the hole)",
	"width of the bare hole",
	"height of the bare hole (top: depth)",
	"hinges left, right, top, bottom, or a pair of doors",
	"inset, or overlay: how far it laps",
	"thickness of a leaf",
	"opens how far; 90° is square",
	"narrowest width, doors wide open",
	"hinges: how many on a leaf",
	"a hinge sticks into the hole by",
	"height of a hinge",
	"middles of the hinges above the hole’s lower edge",
	"leaf lifts off? a way in only before the display stands?",
}

// opening prints what the plan says of an opening, in the order of openingKeys.
func (m measuring) opening(o *scene.Opening) []string {
	c := &m.s.Cabinet
	h, size := o.Hole, span(o.Hole)
	fromLeft, fromBottom := unit.Length(h.Min.X), unit.Length(h.Min.Z-c.Inside().Min.Z)
	wide, high := size.width, size.height
	switch o.Side {
	case scene.Front, scene.Bottom:
	case scene.Top:
		fromBottom, high = 0, size.depth
	case scene.Back:
		fromLeft = c.Width - unit.Length(h.Max.X)
	case scene.Left:
		fromLeft, wide = c.Depth-unit.Length(h.Max.Y), size.depth
	case scene.Right:
		fromLeft, wide = unit.Length(h.Min.Y), size.depth
	}
	bottom := m.length(fromBottom)
	if o.Side == scene.Top {
		bottom = "front " + m.length(unit.Length(h.Min.Y))
	}
	v := []string{o.Name, o.Side.String(), m.length(fromLeft), bottom, m.length(wide), m.length(high)}
	v = append(v, make([]string, len(openingKeys)-len(v))...)
	var notes []string
	if d := o.Door; d == nil {
		v[6] = "no door"
	} else {
		v[6] = [...]string{
			scene.HingeLeft: "left", scene.HingeRight: "right", scene.HingeTop: "top", scene.HingeBottom: "bottom", scene.HingePair: "pair",
		}[d.Hinge]
		v[7] = "inset"
		if d.Overlay {
			v[7] = "overlay " + m.length(d.Overlap)
		}
		v[8] = m.known(d.Thickness, d.AssumedThickness)
		if d.Clear != nil {
			v[10] = m.length(*d.Clear)
		} else {
			v[9] = d.Opens.String() + doubt(d.AssumedOpens)
		}
		if g := d.Hinges; g != nil {
			v[11] = strconv.Itoa(len(g.Up))
			v[12], v[13] = m.length(g.SticksIn), m.length(g.Tall)
			var up []string
			for _, l := range g.Up {
				up = append(up, m.length(l))
			}
			v[14] = strings.Join(up, ", ")
		}
		if d.LiftsOff {
			notes = append(notes, "lifts off")
		}
	}
	if o.BeforeDisplay {
		notes = append(notes, "before display")
	}
	v[15] = strings.Join(notes, ", ")
	return v
}

// extent is the size of a box.
type extent struct{ width, depth, height unit.Length }

func span(b r3.Box) extent {
	return extent{unit.Length(b.Max.X - b.Min.X), unit.Length(b.Max.Y - b.Min.Y), unit.Length(b.Max.Z - b.Min.Z)}
}

// rowsOf pads a list to a number of rows on a blank sheet, and to one spare row
// on a filled one.
func rowsOf(rows []row, least, cells int) []row {
	empty := make(row, cells)
	for i := range empty {
		empty[i] = blank("")
	}
	for spare := true; spare || len(rows) < least; spare = false {
		rows = append(rows, empty)
	}
	return rows
}

// size returns the boxes of a body's width, depth and height. A round thing
// that stands or lies along the cabinet tells its diameter and its length.
func (m measuring) size(s solid.Solid) []cell {
	e := span(s.Bounds())
	width, depth, height := m.length(e.width), m.length(e.depth), m.length(e.height)
	if c, ok := s.(*solid.Cylinder); ok {
		across := "ø " + m.length(unit.Length(2*c.Radius))
		switch axis := r3.Sub(c.B, c.A); {
		case axis.X == 0 && axis.Y == 0:
			width, depth = across, "round"
		case axis.Y == 0 && axis.Z == 0:
			depth, height = across, "lying"
		case axis.X == 0 && axis.Z == 0:
			width, height = across, "lying"
		}
	}
	return []cell{blank(width), blank(depth), blank(height)}
}

// from returns the boxes of where a body stands in a room: from its left, its
// front and its bottom.
func (m measuring) from(s solid.Solid, in r3.Box) []cell {
	b := s.Bounds()
	var out []cell
	for _, v := range []float64{b.Min.X - in.Min.X, b.Min.Y - in.Min.Y, b.Min.Z - in.Min.Z} {
		out = append(out, blank(m.length(unit.Length(v))))
	}
	return out
}

// bodyName names a body of a thing.
func bodyName(thing string, b scene.Body) string {
	if b.Name == "" {
		return thing
	}
	return thing + ": " + b.Name
}

func (m measuring) fixtures() section {
	t := table{high: rowHigh, columns: []column{
		{head: "name"},
		{"D1 width", 15},
		{"D2 depth", 15},
		{"D3 height", 15},
		{"D4 left", 15},
		{"D5 front", 15},
		{"D6 bottom", 15},
	}}
	if m.s != nil {
		for i, f := range m.s.Cabinet.Fixtures {
			for j, b := range f.Bodies {
				cells := append(m.size(b.Solid), m.from(b.Solid, m.s.Cabinet.Inside())...)
				cells = m.marked([]string{"D1", "D2", "D3", "D4", "D5", "D6"}, i, j, cells)
				t.rows = append(t.rows, append(row{blank(bodyName(f.Name, b))}, cells...))
			}
		}
	}
	t.rows = rowsOf(t.rows, 8, len(t.columns))
	return section{
		title: "D  Built-in things: pipe stubs, stile, braces, shelf, outlets", note: "from the inside faces; round: diameter under D1",
		drawings: []drawing{{"The inside of the cabinet from the front and from above: D1 to D3 are the size of a thing, D4 to D6 its place.", 60, drawFixtures}},
		table:    t,
	}
}

func (m measuring) display() section {
	var v [8]string
	if m.s != nil && m.s.Display != nil {
		d := m.s.Display
		e := span(d.Box)
		v = [8]string{m.length(e.width), m.length(e.depth), m.length(e.height), m.known(d.Glass, d.GlassAssumed)}
		if d.Water != nil {
			v[4] = m.length(e.height - d.Glass - *d.Water)
		}
		v[5] = m.given(d.Drops)
		v[6] = m.length(d.Sand)
		v[7] = [...]string{scene.NotYet: "not yet", scene.Dry: "dry", scene.Full: "full"}[d.Standing]
	}
	return section{
		title: "E  Display", note: useLarger,
		drawings: []drawing{{"The display from the front and from above: E1 to E3 its size, E4 the glass, E5 to E7 water and sand.", 59, drawDisplay}},
		table: m.lines(
			line{"E1", "width, outside glass", v[0]},
			line{"E2", "depth, outside glass", v[1]},
			line{"E3", "height of the glass, without the stand", v[2]},
			line{"E4", "thickness of the glass, at the top edge", v[3]},
			line{"E5", "from the top edge down to the water, pump running", v[4]},
			line{"E6", "how far the water falls: mark it, stop the pump, wait, read", v[5]},
			line{"E7", "depth of the sand", v[6]},
			line{"E8", "is it full, dry, or not there yet?", v[7]},
		),
	}
}

func (m measuring) sump() section {
	var v [11]string
	if m.s != nil && m.s.Sump != nil {
		p := m.s.Sump
		e := span(p.Box)
		v = [11]string{m.length(e.width), m.length(e.depth), m.length(e.height), m.known(p.Glass, p.GlassAssumed)}
		if r := p.Rim; r != nil {
			v[4], v[5], v[6] = m.length(r.Height), m.length(r.Out), m.length(r.In)
		}
		var all []solid.Solid
		for _, part := range p.Panes() {
			all = append(all, part.Solid)
		}
		b, in := solid.BoundsOf(all...), m.s.Cabinet.Inside()
		v[7], v[8] = m.length(unit.Length(b.Min.X-in.Min.X)), m.length(unit.Length(b.Min.Y-in.Min.Y))
		v[9] = p.Inlet.String()
		v[10] = m.given(p.Level)
	}
	return section{
		title: "F  Sump, as it stands in the cabinet", note: useLarger,
		drawings: []drawing{
			{"The sump cut along its length: F1 and F3 its size, F11 the water, F12 to F15 the baffles. Below it the rim, larger.", 61, drawSump},
			{"The sump in the cabinet from above: F2 its depth, F8 and F9 its place, F10 where the water comes in.", 41, drawSumpPlace},
		},
		table: m.lines(
			line{"F1", "left to right, outside glass", v[0]},
			line{"F2", "front to back, outside glass", v[1]},
			line{"F3", "height of the glass", v[2]},
			line{"F4", "thickness of the glass", v[3]},
			line{"F5", "rim: how much of the glass it covers, from the top down", v[4]},
			line{"F6", "rim: beyond the outside of the glass", v[5]},
			line{"F7", "rim: inside the glass", v[6]},
			line{"F8", "from the cabinet’s left inside face to the sump or its rim", v[7]},
			line{"F9", "from the cabinet’s front inside face to the sump or its rim", v[8]},
			line{"F10", "the end where water comes in: left, right, front or back", v[9]},
			line{"F11", "water in the last chamber, above the inside bottom", v[10]},
		),
	}
}

func (m measuring) baffles() section {
	t := table{high: 6.5, columns: []column{
		{"", 20},
		{head: "F12 inlet end to near face"},
		{head: "F13 bottom to top edge"},
		{head: "F14 gap under; 0: stands"},
		{"F15 thickness", 30},
	}}
	if m.s != nil && m.s.Sump != nil {
		for i, b := range m.s.Sump.Baffles {
			t.rows = append(t.rows, row{
				named("baffle " + strconv.Itoa(i+1)), m.at("F12", i, 0, m.length(b.At)), m.at("F13", i, 0, m.length(b.Top)),
				m.at("F14", i, 0, m.length(b.Gap)), m.at("F15", i, 0, m.length(b.Thickness)),
			})
		}
	}
	for spare := true; spare || len(t.rows) < 4; spare = false {
		t.rows = append(t.rows, row{named("baffle " + strconv.Itoa(len(t.rows)+1)), blank(""), blank(""), blank(""), blank("")})
	}
	return section{title: "F  Baffles, in the order the water meets them", note: "inside the sump", table: t}
}

func (m measuring) equipment() section {
	t := table{high: rowHigh, columns: []column{
		{head: "name, part and kind"},
		{"in cabinet, sump 1", 25},
		{"G1 width", 16},
		{"G2 depth", 16},
		{"G3 height", 16},
		{"G4 left", 16},
		{"G5 front", 16},
		{"G6 bottom", 16},
		{"G7 lifts", 16},
		{"weight", 16},
	}}
	if m.s != nil {
		for i := range m.s.Equipment {
			e := &m.s.Equipment[i]
			in, room := "cabinet", m.s.Cabinet.Inside()
			if e.Chamber > 0 {
				in = "sump " + strconv.Itoa(e.Chamber)
				if m.s.Sump != nil {
					if ch, ok := m.s.Sump.Chamber(e.Chamber); ok {
						room = ch.Box
					}
				}
			}
			for j, b := range e.Bodies {
				cells := append(m.size(b.Solid), m.from(b.Solid, room)...)
				cells = m.marked([]string{"G1", "G2", "G3", "G4", "G5", "G6"}, i, j, cells)
				r := append(row{blank(bodyName(e.Name, b)), blank(in)}, cells...)
				lifts, mass := "", ""
				if b.Lifts > 0 {
					lifts = m.length(b.Lifts)
				}
				if j == 0 && e.Mass != nil {
					mass = m.sys.Mass(*e.Mass)
				}
				t.rows = append(t.rows, append(r, m.at("G7", i, j, lifts), blank(mass)))
			}
		}
	}
	t.rows = rowsOf(t.rows, 7, len(t.columns))
	return section{
		title: "G  What goes in: skimmer, pumps, heater, socks, reservoir", note: "write the larger; round: diameter under G1", above: true,
		drawings: []drawing{
			{"A skimmer from the front: G1 width, G3 height, G7 how far its cup must rise to come off.", 42, drawThing},
			{"A thing in its chamber from above: G2 its depth, G4 and G5 its place from the chamber’s inside.", 42, drawChamber},
			{"A place for a hand in the cabinet: H1 from the left, H3 above the bottom.", 42, drawHand},
		},
		table: t,
	}
}

func (m measuring) places() section {
	t := table{high: rowHigh, columns: []column{
		{head: "what the hand closes on: cup, valve, plug"},
		{"task: press, turn, grip, plug, lift", 46},
		{"H1 left", 18},
		{"H2 front", 18},
		{"H3 bottom", 18},
	}}
	if m.s != nil {
		in := m.s.Cabinet.Inside()
		for _, p := range m.s.Reach {
			r := row{blank(p.Name), blank(p.Task)}
			for _, v := range []float64{p.At.X - in.Min.X, p.At.Y - in.Min.Y, p.At.Z - in.Min.Z} {
				r = append(r, blank(m.length(unit.Length(v))))
			}
			t.rows = append(t.rows, r)
		}
	}
	t.rows = rowsOf(t.rows, 3, len(t.columns))
	return section{title: "H  Places a hand must get to", note: "from the cabinet’s inside faces", table: t}
}

func (m measuring) floor() section {
	var v [9]string
	if m.s != nil && m.s.Floor != nil {
		f := m.s.Floor
		if f.Slab {
			v[0] = "slab"
		}
		if j := f.Joists; j != nil {
			v[0], v[1] = m.length(j.Thickness), m.length(j.Depth)
			v[2] = strings.TrimSpace(j.Species + " " + j.Grade + j.Class)
			v[3], v[4] = m.length(j.Spacing), m.length(j.Span)
			v[5] = "front to back"
			if j.LeftRight {
				v[5] = "left to right"
			}
			v[6], v[7] = m.length(j.Support), m.length(j.Offset)
		}
		v[8] = m.given(f.Sheathing)
	}
	t := m.lines(
		line{"J1", "joist: thickness; write “slab” on concrete", v[0]},
		line{"J2", "joist: depth, from under the boards down", v[1]},
		line{"J3", "what is stamped on the wood: species, grade", v[2]},
		line{"J4", "from joist to joist, middle to middle", v[3]},
		line{"J5", "free length of the joists, from support to support", v[4]},
		line{"J6", "they run front to back, or left to right?", v[5]},
		line{"J7", "from their near support (behind, or left) to the cabinet", v[6]},
		line{"J8", "from the cabinet’s left (back) edge to the first joist’s middle", v[7]},
		line{"J9", "boards on the joists: thickness", v[8]},
	)
	return section{
		title: "J  House floor under the cabinet", note: "joists show from the cellar, or by their nails",
		drawings: []drawing{{"Joists under the cabinet from above, and one of them cut.", 58, drawFloor}},
		table:    t,
	}
}
