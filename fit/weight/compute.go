package weight

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/seawater"
	"undercroft/scene/unit"
)

// Compute returns the masses of everything the scene holds, in all states.
//
// Glass is taken by pane, panels and doors by the stand's board (plywood where
// the plan does not say), water by salinity and temperature, sand as quartz sand
// with water between its grains, rock with water in its pores, equipment by its
// mass (where it is not given: by the water it takes up).
func Compute(s *scene.Scene) Loads {
	c := &computer{scene: s, water: water.Compute(s)}
	c.cabinet()
	c.display()
	c.sump()
	c.equipment()
	c.pipes()
	return c.Loads
}

type computer struct {
	Loads
	scene *scene.Scene
	water water.Figures
}

// always is in every state.
func always(m unit.Mass) (out [states]unit.Mass) {
	for i := range out {
		out[i] = m
	}
	return out
}

func everywhere(p r3.Vec) (out [states]r3.Vec) {
	for i := range out {
		out[i] = p
	}
	return out
}

func known() (out [states]bool) {
	for i := range out {
		out[i] = true
	}
	return out
}

// fixed adds an item that is the same in every state.
func (c *computer) fixed(name, of string, on Place, m unit.Mass, at r3.Vec) {
	c.Items = append(c.Items, Item{Name: name, Of: of, On: on, Mass: always(m), At: everywhere(at), Known: known()})
}

func (c *computer) assume(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(c.Assumed, text) {
		c.Assumed = append(c.Assumed, text)
	}
}

func (c *computer) lack(key string) {
	if l := (verdict.LeftOut{ID: idSystem, Add: key}); !slices.Contains(c.LeftOut, l) {
		c.LeftOut = append(c.LeftOut, l)
	}
}

// body adds up solids of one density.
type body struct {
	mass  unit.Mass
	first r3.Vec // kg mm
}

func (b *body) add(p scene.Part, d unit.Density) {
	m := d.Of(unit.Volume(p.Solid.Volume()))
	b.mass += m
	b.first = r3.Add(b.first, r3.Scale(m.KG(), p.Solid.Centroid()))
}

func (b *body) at() r3.Vec {
	if b.mass <= 0 {
		return r3.Vec{}
	}
	return r3.Scale(1/b.mass.KG(), b.first)
}

// substance returns the density of a material of the table.
func substance(name string) unit.Density {
	m, _ := assets.Material(name)
	return m.Density
}

// defaultBoard is what a cabinet is made of where the plan does not say.
const defaultBoard = "plywood"

func (c *computer) cabinet() {
	board := ""
	if c.scene.Stand != nil {
		board = c.scene.Stand.Board
	}
	density := substance(board)
	if density == 0 { // not given or unknown
		density = substance(defaultBoard)
		c.assume("cabinet of %s", defaultBoard)
	}
	for _, a := range c.scene.Assumed {
		if strings.HasPrefix(a.Key, "cabinet.") && strings.Contains(a.Text, "thick") {
			c.assume("%s", a.Text)
		}
	}
	// Every wall is one row, however many pieces its openings leave of it.
	var names []string
	walls := map[string]*body{}
	for _, p := range c.scene.Cabinet.Panels() {
		name := wallOf(p.Name)
		if walls[name] == nil {
			walls[name] = &body{}
			names = append(names, name)
		}
		walls[name].add(p, density)
	}
	for _, name := range names {
		c.fixed("cabinet "+name, "cabinet", OfItself, walls[name].mass, walls[name].at())
	}
	var doors body
	for i := range c.scene.Cabinet.Openings {
		for _, p := range c.scene.Leaves(&c.scene.Cabinet.Openings[i], 0) {
			doors.add(p, density)
		}
	}
	if doors.mass > 0 {
		c.fixed("cabinet doors", "cabinet", OfItself, doors.mass, doors.at())
	}
	var frame body
	for _, p := range c.scene.StandParts() {
		frame.add(p, c.timber(p.Name, density))
	}
	if frame.mass > 0 {
		c.fixed("stand frame", "cabinet", OfItself, frame.mass, frame.at())
	}
	var fixtures body
	for _, p := range c.scene.Fixtures() {
		fixtures.add(p, substance("softwood"))
	}
	if fixtures.mass > 0 {
		c.assume("fixtures of softwood")
		c.fixed("fixtures", "cabinet", OfItself, fixtures.mass, fixtures.at())
	}
}

// wallOf returns the wall that a piece of the cabinet belongs to.
func wallOf(part string) string {
	name := strings.TrimPrefix(part, "cabinet/")
	for _, wall := range []string{"inside bottom", "front", "back", "left", "right", "top"} {
		if strings.HasPrefix(name, wall) {
			return wall
		}
	}
	return name
}

// timber returns the density of a part of the stand: of its species where it is
// a member, else of the board.
func (c *computer) timber(part string, board unit.Density) unit.Density {
	for _, m := range c.scene.Stand.Members {
		if part != "stand/"+m.Name {
			continue
		}
		if m.Class != "" {
			return assets.TimberDensity(m.Class)
		}
		return assets.TimberDensity(m.Species)
	}
	return board
}

func (c *computer) display() {
	d := c.scene.Display
	if d == nil {
		return
	}
	glass := substance("glass")
	for _, p := range d.Panes() {
		var b body
		b.add(p, glass)
		c.fixed("display "+strings.TrimPrefix(p.Name, "display/"), "display", OnTop, b.mass, b.at())
	}
	if d.GlassAssumed {
		c.assumed("display.glass")
	}
	in := d.Inside()
	middle := r3.Scale(0.5, r3.Add(in.Min, in.Max))
	at := func(from, to float64) r3.Vec {
		p := middle
		p.Z = in.Min.Z + (from+to)/2
		return p
	}
	brim := in.Max.Z - in.Min.Z
	// The water: what the states hold, as high as it stands in each.
	w := Item{Name: "display water", Of: "display", On: OnTop, Known: known()}
	fill := func(st State, v *unit.Volume, depth *unit.Length, less float64) {
		if v == nil || depth == nil {
			w.Known[st] = false
			w.At[st] = at(0, brim)
			return
		}
		w.Mass[st] = c.water.Density.Of(*v)
		w.At[st] = at(0, max(0, depth.MM()-less))
	}
	whole := unit.Length(brim)
	w.At[Empty] = at(0, brim)
	fall := 0.0
	if v := c.water.Display; v.Running != nil && v.PumpOff != nil {
		fall = float64(*v.Running-*v.PumpOff) / ((in.Max.X - in.Min.X) * (in.Max.Y - in.Min.Y))
	}
	filling := c.water.Display.PumpOff
	if filling == nil {
		filling = c.water.Display.Running
	}
	fill(Filling, filling, d.Water, fall)
	fill(Running, c.water.Display.Running, d.Water, 0)
	fill(PumpOff, c.water.Display.PumpOff, d.Water, fall)
	fill(BrimFull, c.water.Display.BrimFull, &whole, 0)
	if d.Water == nil {
		c.lack("display.water")
	} else if c.water.Display.PumpOff == nil {
		c.lack("display.drops")
	}
	c.Items = append(c.Items, w)
	if c.scene.Brine.Assumed {
		c.assumed("display.salinity", "display.temperature", "display.specific-gravity")
	}
	lay := func(name string, m unit.Mass, from, to float64) {
		i := Item{Name: name, Of: "display", On: OnTop, Mass: always(m), At: everywhere(at(from, to)), Known: known()}
		i.Mass[Empty] = 0
		c.Items = append(c.Items, i)
	}
	sand := d.Sand.MM()
	if sand > 0 {
		c.assume("sand weighs as quartz sand does, dry 1650 kg/m³")
		lay("display sand", water.SandMass(d), 0, sand)
	}
	if d.Rock > 0 {
		// Rock is heaped from the sand to half the height that is left.
		lay("display rock", d.Rock, sand, sand+(brim-sand)/2)
	}
}

// assumed lists what the plan did not give under keys.
func (c *computer) assumed(keys ...string) {
	for _, a := range c.scene.Assumed {
		for _, k := range keys {
			if a.Key == k {
				c.assume("%s", a.Text)
			}
		}
	}
}

func (c *computer) sump() {
	s := c.scene.Sump
	if s == nil {
		return
	}
	panes := s.Panes()
	var whole body
	rows := map[string]*body{}
	var names []string
	for _, p := range panes {
		name, d := strings.TrimPrefix(p.Name, "sump/"), substance("glass")
		switch {
		case strings.HasPrefix(name, "rim"):
			name, d = "rim", substance("pvc")
		case strings.HasPrefix(name, "foot"):
			name, d = "foot", substance("pvc")
		}
		if rows[name] == nil {
			rows[name] = &body{}
			names = append(names, name)
		}
		rows[name].add(p, d)
		whole.add(p, d)
	}
	if s.Empty != nil {
		c.fixed("sump, empty", "sump", OnBottom, *s.Empty, whole.at())
	} else {
		for _, name := range names {
			c.fixed("sump "+name, "sump", OnBottom, rows[name].mass, rows[name].at())
		}
		if s.GlassAssumed {
			c.assumed("sump.glass")
		}
		if s.Rim != nil || s.Foot != nil {
			c.assume("trim of the sump of PVC")
		}
	}
	w := Item{Name: "sump water", Of: "sump", On: OnBottom, Known: known()}
	in := s.Inside()
	w.At = everywhere(r3.Scale(0.5, r3.Add(in.Min, in.Max)))
	w.fill(Running, c.water, c.water.Running)
	w.fill(PumpOff, c.water, c.water.PumpOff)
	w.fill(BrimFull, c.water, c.water.BrimFull)
	switch {
	case s.Level == nil:
		c.lack("sump.level")
	case c.water.PumpOff == nil && c.scene.Display == nil:
		c.lack("display")
	case c.water.PumpOff == nil:
		c.lack("display.drops")
	}
	if c.water.Running != nil && c.water.Still {
		c.assume("the sump's water up to its baffles' edges: no flow is given")
	}
	c.Items = append(c.Items, w)
}

// fill sets mass and centre of the sump's water in a state. Its centre is taken
// as if nothing stood in it.
func (i *Item) fill(st State, f water.Figures, l *water.Levels) {
	if l == nil {
		i.Known[st] = false
		return
	}
	i.Mass[st] = f.Density.Of(l.Total)
	var first r3.Vec
	for k, sp := range f.Spaces {
		p := r3.Scale(0.5, r3.Add(sp.Box.Min, sp.Box.Max))
		p.Z = sp.Box.Min.Z + l.Depth[k].MM()/2
		first = r3.Add(first, r3.Scale(float64(l.Volume[k]), p))
	}
	if l.Total > 0 {
		i.At[st] = r3.Scale(1/float64(l.Total), first)
	}
}

// reservoir is the kind of equipment that holds fresh water for topping off.
const reservoir = "reservoir"

func (c *computer) equipment() {
	fresh, _ := seawater.Density(0, c.scene.Brine.Temperature)
	for _, e := range c.scene.Equipment {
		var b body
		for i := range e.Bodies {
			b.add(scene.Part{Name: e.Name, Solid: e.Bodies[i].Solid}, fresh)
		}
		m := b.mass
		switch {
		case e.Mass != nil:
			m = *e.Mass
		case e.Kind == reservoir:
			m = 0
			c.assume("%s: mass not given, counted with its water only", e.Name)
		default:
			c.assume("%s: mass not given, counted as the water it takes up", e.Name)
		}
		if m > 0 {
			c.fixed(e.Name, e.Name, OnBottom, m, b.at())
		}
		if e.Kind != reservoir {
			continue
		}
		full := b.mass
		if e.Holds != nil {
			full = fresh.Of(*e.Holds)
		} else {
			c.assume("%s holds as much as its outside", e.Name)
		}
		i := Item{Name: e.Name + " water", Of: e.Name, On: OnBottom, Mass: always(full), At: everywhere(b.at()), Known: known()}
		i.Mass[Empty], i.Mass[Filling] = 0, 0
		c.Items = append(c.Items, i)
	}
}

// pipeWater is the row of the water in pipes and hoses.
const pipeWater = "water in pipes"

// pipes adds the water that stands in pipes and hoses while the pump runs.
func (c *computer) pipes() {
	if c.water.Pipes <= 0 {
		return
	}
	m := c.water.Density.Of(c.water.Pipes)
	in := c.scene.Cabinet.Inside()
	i := Item{
		Name: pipeWater, Of: "cabinet", On: OfItself,
		At: everywhere(r3.Scale(0.5, r3.Add(in.Min, in.Max))), Known: known(),
	}
	i.Mass[Running], i.Mass[BrimFull] = m, m
	c.Items = append(c.Items, i)
}
