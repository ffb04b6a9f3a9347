package place

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

const (
	sump  = "sump"
	power = "power"
)

// A mover is a thing that is to be given a place.
type mover struct {
	name, key string
	kind      string
	index     int // of the equipment; -1 for the sump
	chamber   int // 0: in the cabinet
	turned    bool
	thing     scene.Thing
	room      r3.Box // from whose faces its place counts, as first read
	stances   []stance
}

// A stance is one way in which a thing may stand or hang, wherever that is.
type stance struct {
	turn  int          // degrees
	walls []scene.Face // that it hangs on, or touches
	hangs bool         // at any height
	adds  bool         // the plan does not say yet that it is on the wall
	on    string       // thing or fixture that it stands on; "" for the bottom
	z     float64      // of its lowest point, in mm; where it hangs the least
	size  r3.Vec       // of the box that its place is told by
	parts []scene.Part // with the corner of that box at the origin
}

// up is how high a stance is above the bottom of what it stands in.
func (m *mover) up(s *stance) float64 { return s.z - m.ground() }

// ground is where the thing stands unless the plan says more.
func (m *mover) ground() float64 {
	if m.index < 0 {
		return solid.BoundsOf(solidsOf(m.thing.Groups[0].Parts)...).Min.Z
	}
	return m.room.Min.Z
}

func solidsOf(parts []scene.Part) []solid.Solid {
	out := make([]solid.Solid, len(parts))
	for i := range parts {
		out[i] = parts[i].Solid
	}
	return out
}

// A Left is a thing without a place for which none is looked for.
type Left struct{ Name, Why string }

// without finds the things that the plan gives no place, and those of them for
// which none can be looked for.
func without(d *plan.Draft, s *scene.Scene) (movers []mover, left []Left) {
	given := func(key string) bool { _, ok := d.Value(key); return ok }
	if s.Sump != nil && !given("sump.at") {
		movers = append(movers, mover{name: sump, key: sump, kind: sump, index: -1})
	}
	for i := range s.Equipment {
		e := &s.Equipment[i]
		key := "equipment[" + strconv.Itoa(i) + "]"
		if given(key+".at") || given(key+".from") {
			continue
		}
		switch {
		case e.Kind == "pipe" || e.Kind == "hose" || e.Soft:
			left = append(left, Left{e.Name, "it bends, or leads on to elsewhere"})
		case slices.Contains(e.On, "rim of sump"):
			left = append(left, Left{e.Name, "how it hangs on the sump's rim only you can tell"})
		default:
			movers = append(movers, mover{name: e.Name, key: key, kind: e.Kind, index: i, chamber: e.Chamber, turned: given(key + ".turn")})
		}
	}
	return movers, left
}

// first returns the changes that put all movers into a corner of what they stand
// in, turned so far.
func first(movers []mover, at string, turn int) []plan.Edit {
	var out []plan.Edit
	for i := range movers {
		m := &movers[i]
		out = append(out, plan.Edit{Key: m.key + ".at", Value: at})
		if turn != 0 && !m.turned && m.index >= 0 {
			out = append(out, plan.Edit{Key: m.key + ".turn", Value: strconv.Itoa(turn)})
		}
	}
	return out
}

func read(d *plan.Draft, edits []plan.Edit) (*scene.Scene, error) {
	d, err := d.With(edits...)
	if err != nil {
		return nil, err
	}
	return d.Read()
}

// stand fills in how the movers may stand, and returns the plan as it was read for
// that: all of them in the left front corner.
func stand(d *plan.Draft, movers []mover) (*scene.Scene, error) {
	var base *scene.Scene
	for _, turn := range []int{0, 90, 180, 270} {
		s, err := read(d, first(movers, "{left: 0, front: 0}", turn))
		if err != nil {
			return nil, err
		}
		far, err := read(d, first(movers, "{right: 0, back: 0}", turn))
		if err != nil {
			return nil, err
		}
		if base == nil {
			base = s
			for i := range movers {
				movers[i].thing, _ = s.Thing(movers[i].name)
			}
			for i := range movers {
				movers[i].room = roomOf(s, movers[i].chamber)
			}
		}
		for i := range movers {
			if m := &movers[i]; turn == 0 || !m.turned && m.index >= 0 {
				m.shape(s, far, turn)
			}
		}
	}
	for i := range movers {
		movers[i].grounds(base, movers)
	}
	return base, nil
}

// roomOf returns from whose faces the place of a thing counts.
func roomOf(s *scene.Scene, chamber int) r3.Box {
	if chamber > 0 && s.Sump != nil {
		if sp, ok := s.Sump.Chamber(chamber); ok {
			return sp.Box
		}
	}
	return s.Cabinet.Inside()
}

// shape adds how the thing stands turned so far, unless it looks the same as before.
// It is read twice: in the left front corner of its room, and in the right back one,
// which tells the size of the box round it.
func (m *mover) shape(near, far *scene.Scene, turn int) {
	t, _ := near.Thing(m.name)
	u, _ := far.Thing(m.name)
	parts := t.Parts
	if m.index < 0 {
		// Where it stands is open, so it hangs on no assumed wall.
		free := *near.Sump
		free.Assumed = false
		parts = free.Panes()
	}
	a, b := roomOf(near, m.chamber), roomOf(far, m.chamber)
	from, to := t.Parts[0].Solid.Bounds().Min, u.Parts[0].Solid.Bounds().Min
	corner := r3.Vec{X: a.Min.X, Y: a.Min.Y, Z: m.ground()}
	s := stance{turn: turn, z: corner.Z, size: r3.Vec{
		X: (b.Max.X - b.Min.X) - ((to.X - b.Min.X) - (from.X - a.Min.X)),
		Y: (b.Max.Y - b.Min.Y) - ((to.Y - b.Min.Y) - (from.Y - a.Min.Y)),
		Z: solid.BoundsOf(solidsOf(t.Parts)...).Max.Z - corner.Z,
	}}
	s.parts = moved(parts, r3.Scale(-1, corner))
	if !slices.ContainsFunc(m.stances, func(o stance) bool { return alike(o.parts, s.parts) }) {
		m.stances = append(m.stances, s)
	}
}

// moved returns parts moved by a vector, what is sure of them with them.
func moved(parts []scene.Part, by r3.Vec) []scene.Part {
	pose := solid.Rest
	pose.Shift = by
	out := slices.Clone(parts)
	for i := range out {
		p := &out[i]
		whole := p.Sure != nil && p.Sure == p.Solid
		p.Solid = p.Solid.Moved(pose)
		switch {
		case whole:
			p.Sure = p.Solid
		case p.Sure != nil:
			p.Sure = p.Sure.Moved(pose)
		}
	}
	return out
}

// alike tells whether parts fill the same boxes.
func alike(a, b []scene.Part) bool {
	const same = 1e-6
	near := func(p, q r3.Vec) bool { return r3.Norm(r3.Sub(p, q)) < same }
	return len(a) == len(b) && !slices.ContainsFunc(a, func(p scene.Part) bool {
		x := p.Solid.Bounds()
		return !slices.ContainsFunc(b, func(q scene.Part) bool {
			y := q.Solid.Bounds()
			return q.Name == p.Name && near(x.Min, y.Min) && near(x.Max, y.Max)
		})
	})
}

var sides = []scene.Face{scene.Left, scene.Right, scene.Back, scene.Front}

// grounds makes of each shape what it may stand on or hang on.
func (m *mover) grounds(s *scene.Scene, movers []mover) {
	if m.index < 0 {
		return
	}
	var walls []scene.Face
	on := ""
	for _, name := range m.thing.On {
		wall := slices.IndexFunc(sides, func(f scene.Face) bool { return name == f.String()+" wall" })
		switch {
		case wall >= 0:
			walls = append(walls, sides[wall])
		case name != "cabinet" && name != sump && !strings.HasPrefix(name, "baffle "):
			on, _, _ = strings.Cut(name, "/")
		}
	}
	// What carries another thing stands where that counts on it.
	carries := slices.ContainsFunc(movers, func(o mover) bool { return slices.Contains(o.thing.On, m.name) })
	raised := 0.0
	if m.chamber > 0 && m.thing.Item.StandsIn != nil && !carries {
		raised = m.raised(s)
	}
	shapes := m.stances
	m.stances = nil
	add := func(c stance) { m.stances = append(m.stances, c) }
	for _, c := range shapes {
		c.walls = walls
		switch {
		case m.chamber > 0:
			add(c)
			if raised > 0 {
				c.z += raised
				add(c)
			}
		case len(walls) > 0 && on == "":
			stands, hangs := m.onWall()
			if stands {
				add(c)
			}
			if c.hangs = hangs; hangs && (m.turned || len(walls) > 1 || c.flat(walls[0])) {
				add(c)
			}
		case on != "":
			c.on = on
			if top, ok := topOf(s, movers, on); ok {
				c.z = top
				add(c)
			}
		case m.kind == power:
			for _, f := range []scene.Face{scene.Left, scene.Right, scene.Back} {
				if hung := c; !s.Cabinet.Wall(f).Open && (m.turned || c.flat(f)) {
					hung.walls, hung.hangs, hung.adds = []scene.Face{f}, true, true
					add(hung)
				}
			}
		default:
			add(c)
			for i := range s.Cabinet.Fixtures {
				if carries {
					break
				}
				if b, ok := shelf(&s.Cabinet.Fixtures[i]); ok && b.Max.Z > c.z && b.Max.X-b.Min.X >= c.size.X && b.Max.Y-b.Min.Y >= c.size.Y {
					up := c
					up.on, up.z = s.Cabinet.Fixtures[i].Name, b.Max.Z
					add(up)
				}
			}
		}
	}
	for i := range m.stances {
		if c := &m.stances[i]; c.hangs && s.Sump != nil && strips(s, m.kind, m.name) {
			c.z = max(c.z, s.Sump.Box.Max.Z+rimBeyond(s.Sump)+max(s.Tape, s.Sump.Tape).MM()+verdict.Contact.MM())
		}
	}
}

// onWall tells whether a thing that is on a wall may stand there, or hang.
func (m *mover) onWall() (stands, hangs bool) {
	switch m.kind {
	case power, "light", "sensor", "valve":
		return false, true
	case "box":
		return true, true
	}
	return true, false
}

// flat tells whether a thing on a wall has its broad side to it.
func (c *stance) flat(wall scene.Face) bool {
	if wall == scene.Left || wall == scene.Right {
		return c.size.X <= c.size.Y
	}
	return c.size.Y <= c.size.X
}

func rimBeyond(s *scene.Sump) float64 {
	if s.Rim == nil {
		return 0
	}
	return s.Rim.Beyond.MM()
}

// shelf returns the box of a fixture that things may stand on.
func shelf(f *scene.Fixture) (r3.Box, bool) {
	if len(f.Bodies) != 1 {
		return r3.Box{}, false
	}
	if _, flat := f.Bodies[0].Solid.(*solid.Polyhedron); !flat {
		return r3.Box{}, false
	}
	return solid.Inscribed(f.Bodies[0].Solid)
}

// topOf returns the top of a thing or fixture; false where that may hang at any
// height.
func topOf(s *scene.Scene, movers []mover, name string) (float64, bool) {
	if i := slices.IndexFunc(movers, func(m mover) bool { return m.name == name }); i >= 0 {
		m := &movers[i]
		return m.ground() + m.stances[0].size.Z, m.kind != power && len(m.thing.On) == 0
	}
	if b, ok := boxOf(s, name); ok {
		return b.Max.Z, true
	}
	return 0, false
}

// boxOf returns the box round a thing or fixture.
func boxOf(s *scene.Scene, name string) (r3.Box, bool) {
	var solids []solid.Solid
	for _, p := range s.AtRest() {
		if p.Of == name {
			solids = append(solids, p.Solid)
		}
	}
	if len(solids) == 0 {
		return r3.Box{}, false
	}
	return solid.BoundsOf(solids...), true
}

// strips tells whether plugs are in what has that kind and name: then it has to be
// above the sump's rim and beside its water.
func strips(s *scene.Scene, kind, name string) bool {
	return kind == power || slices.ContainsFunc(s.Equipment, func(e scene.Equipment) bool {
		return e.Cord != nil && !e.Cord.Hose && e.Cord.To == name
	}) || slices.ContainsFunc(s.Places(), func(p scene.Place) bool {
		of, _, _ := strings.Cut(p.On, "/")
		return p.Task == scene.TaskPlug && of == name
	})
}

// raised returns how high a stand under a thing in water has to be, so that it is as
// deep in it as it works; 0 where it needs none.
func (m *mover) raised(s *scene.Scene) float64 {
	for _, f := range water.Check(s).Checks {
		if f.ID != "water/depth/"+m.name || f.Verdict == verdict.OK {
			continue
		}
		for _, v := range f.Measures {
			if up, ok := v.Value.(float64); ok && v.Key == "stand_mm" && up > 0 {
				step := step(s.Units).MM()
				return math.Round(up/step) * step
			}
		}
	}
	return 0
}

// step is what a tape tells.
func step(u unit.System) unit.Length {
	if u == unit.Inches {
		return unit.Inch / 16
	}
	return unit.Millimetre
}
