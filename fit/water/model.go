package water

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/water/internal/basin"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A reading is one way to take the plan: as written, or with every measured
// length off by the tape and every formula read so that the water stands as
// high, or as low, as it can.
type reading struct {
	// worse is +1 for the highest water, -1 for the lowest, 0 as written.
	worse float64
	// levels is how the formulas are read.
	levels basin.Reading
}

var (
	nominal = reading{0, basin.Nominal}
	high    = reading{1, basin.High}
	low     = reading{-1, basin.Low}
)

// A model is the plan as the kernel takes it, in one reading.
type model struct {
	scene  *scene.Scene
	sump   *scene.Sump
	spaces []scene.Space
	tank   *basin.Tank
	read   reading
	flow   float64 // mm³/s
	last   float64 // height of the running level in the last space; NaN where not given
	drain  float64 // mm³ that come down when the pump stops; NaN where not given
	area   float64 // of the sump's inside, mm²
}

// newModel returns the model of a scene with a sump.
func newModel(s *scene.Scene, read reading) *model {
	if read.worse < 0 && s.Sump.GlassAssumed {
		s = wider(s)
	}
	m := &model{scene: s, sump: s.Sump, spaces: s.Sump.Spaces(), read: read, last: math.NaN()}
	err := read.worse * s.Sump.Tape.MM()
	in := s.Sump.Inside()
	// Water stands higher in a smaller sump with a lower brim and higher edges.
	inner := in
	inner.Min.X, inner.Max.X = in.Min.X+err/2, in.Max.X-err/2
	inner.Min.Y, inner.Max.Y = in.Min.Y+err/2, in.Max.Y-err/2
	inner.Max.Z = in.Max.Z - err
	m.area = (inner.Max.X - inner.Min.X) * (inner.Max.Y - inner.Min.Y)
	alongX := s.Sump.Inlet == scene.Left || s.Sump.Inlet == scene.Right
	spaces := make([]basin.Space, len(m.spaces))
	for i, sp := range m.spaces {
		spaces[i] = basin.Space{Box: fitted(sp.Box, in, inner), Middle: m.middle(i)}
	}
	var walls []basin.Wall
	for i := 1; i < len(spaces); i++ {
		edge := m.spaces[i].In
		b := fitted(gapBox(m.spaces[i-1], m.spaces[i]), in, inner)
		b.Min.Z = in.Min.Z + edge.Gap.MM()
		b.Max.Z = in.Min.Z + max(edge.Top.MM()+err, edge.Gap.MM())
		by := err
		if read.worse < 0 && edge.Assumed { // a guess takes up no room
			by = -edge.Thickness.MM() / 2
		}
		thicken(&b, &spaces[i-1].Box, &spaces[i].Box, by, alongX)
		walls = append(walls, basin.Wall{Box: b, Raised: edge.Gap > 0})
	}
	m.tank = basin.New(spaces, walls, alongX, m.standing(), m.tilt())
	if s.Sump.Flow != nil {
		m.flow = float64(*s.Sump.Flow)
	}
	if s.Sump.Level != nil {
		m.last = m.height(len(m.spaces)-1, max(0, s.Sump.Level.MM()+err))
	}
	m.drain = m.drained()
	return m
}

// wider returns the scene with a sump whose sides have no thickness: glass that
// the plan does not give takes up no room where a flood is to be shown.
func wider(s *scene.Scene) *scene.Scene {
	wide, sump, g := *s, *s.Sump, s.Sump.Glass.MM()
	sump.Box.Min.X, sump.Box.Min.Y = sump.Box.Min.X-g, sump.Box.Min.Y-g
	sump.Box.Max.X, sump.Box.Max.Y = sump.Box.Max.X+g, sump.Box.Max.Y+g
	wide.Sump = &sump
	return &wide
}

// thicken moves both faces of a wall out by a length, in where it is negative,
// and the spaces before and behind it with them: so neither is longer (or
// shorter) than its measured faces allow. A wall keeps a tenth of a millimetre,
// a space a tenth of its length.
func thicken(wall, before, behind *r3.Box, by float64, alongX bool) {
	of := func(b *r3.Box) (lo, hi *float64) {
		if alongX {
			return &b.Min.X, &b.Max.X
		}
		return &b.Min.Y, &b.Max.Y
	}
	lo, hi := of(wall)
	first, last := before, behind
	if a, _ := of(before); *a > *lo {
		first, last = behind, before
	}
	firstLo, firstHi := of(first)
	lastLo, lastHi := of(last)
	by = max(by, -(*hi-*lo-0.1)/2)
	by = min(by, 0.45*(*firstHi-*firstLo), 0.45*(*lastHi-*lastLo))
	*lo -= by
	*hi += by
	*firstHi, *lastLo = *lo, *hi
}

// middle returns the middle of a space's floor, where depths are told.
func (m *model) middle(space int) r3.Vec {
	b := m.spaces[space].Box
	p := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	p.Z = b.Min.Z
	return p
}

// height and depth turn depths in the middle of a space into heights and back.
func (m *model) height(space int, depth float64) float64 {
	return m.tank.HeightAt(m.middle(space), depth)
}

func (m *model) depth(space int, height float64) float64 {
	return m.tank.DepthAt(m.middle(space), height)
}

// fitted moves the sides of b that are sides of from to those of to.
func fitted(b, from, to r3.Box) r3.Box {
	move := func(at *float64, from, to float64) {
		if math.Abs(*at-from) < 1e-9 {
			*at = to
		}
	}
	move(&b.Min.X, from.Min.X, to.Min.X)
	move(&b.Max.X, from.Max.X, to.Max.X)
	move(&b.Min.Y, from.Min.Y, to.Min.Y)
	move(&b.Max.Y, from.Max.Y, to.Max.Y)
	move(&b.Max.Z, from.Max.Z, to.Max.Z)
	return b
}

// open tells of a kind that water passes through: it takes up next to no room.
func open(kind string) bool { return kind == "sock" || kind == "holder" }

// standing returns the solids that may stand in the water. A skimmer or a pump
// counts as solid: the water in it does not move with the level outside. What
// water passes through counts only for the highest water.
func (m *model) standing() []solid.Solid {
	var out []solid.Solid
	for _, e := range m.scene.Equipment {
		if open(e.Kind) && m.read.worse <= 0 {
			continue
		}
		for _, b := range e.Bodies {
			out = append(out, b.Solid)
		}
	}
	for _, f := range m.scene.Cabinet.Fixtures {
		for _, b := range f.Bodies {
			out = append(out, b.Solid)
		}
	}
	for _, p := range m.sump.Panes() {
		if p.Role == scene.RoleTrim { // what of it reaches inside
			out = append(out, p.Solid)
		}
	}
	return out
}

// tilt returns how heights grow with x and y.
func (m *model) tilt() [2]float64 {
	c, sl := m.scene.Cabinet, m.scene.Water.Slope
	return [2]float64{-sl.LeftRight.MM() / c.Width.MM(), -sl.FrontBack.MM() / c.Depth.MM()}
}

// drained returns the volume that comes down when the pump stops: the display
// falls to its drain, or to the mouth of the return where that is lower, and the
// pipes empty. No check valve is trusted.
func (m *model) drained() float64 {
	d := m.scene.Display
	if d == nil || d.Drops == nil && d.Mouth == nil {
		return math.NaN()
	}
	err := m.read.worse * m.scene.Tape.MM()
	area := displayArea(d, err)
	if m.read.worse < 0 && d.GlassAssumed { // it may be twice as thick
		area = displayArea(d, err-2*d.Glass.MM())
	}
	down := area * max(0, fall(d)+err)
	if m.read.worse < 0 && d.Water != nil && *d.Water > 0 {
		// Rock may reach up to the surface and take up its share there.
		down = max(0, down-rockVolume(d)*min(1, fall(d)/d.Water.MM()))
	}
	return down + m.pipes()
}

// fall returns how far the display falls, in mm.
func fall(d *scene.Display) float64 {
	f := 0.0
	if d.Drops != nil {
		f = d.Drops.MM()
	}
	if d.Mouth != nil {
		f = max(f, d.Mouth.MM())
	}
	return f
}

// displayArea returns the inside area of a display err larger each way.
func displayArea(d *scene.Display, err float64) float64 {
	in := d.Inside()
	return max(0, in.Max.X-in.Min.X+err) * max(0, in.Max.Y-in.Min.Y+err)
}

// pipes returns what pipes and hoses let down: what the plan says they hold, or
// the outside volume of those it draws above the sump's brim, which is more than
// they hold. Where it has neither, nothing; for the highest water two pipes of
// 1 in bore from the sump to the display's brim. For the lowest water only what
// the plan says counts.
func (m *model) pipes() float64 {
	if m.scene.Water.Pipes != nil {
		return float64(*m.scene.Water.Pipes)
	}
	if m.read.worse < 0 {
		return 0
	}
	drawn := float64(drawnPipes(m.scene))
	if drawn == 0 && m.read.worse > 0 && m.scene.Display != nil {
		const bore = 25.4
		return 2 * math.Pi / 4 * bore * bore * max(0, m.scene.Display.Box.Max.Z-m.sump.Box.Max.Z)
	}
	return drawn
}

func drawnPipes(s *scene.Scene) unit.Volume {
	v := 0.0
	for _, e := range s.Equipment {
		switch e.Kind {
		case "pipe", "hose", "valve":
		default:
			continue
		}
		for _, b := range e.Bodies {
			v += basin.Above(b.Solid, s.Sump.Inside().Max.Z)
		}
	}
	return unit.Volume(v)
}

// run returns the running levels with the last space at a height.
func (m *model) run(last float64) basin.Flowing { return m.tank.Run(m.flow, last, m.read.levels) }

// volumes returns the water of each space as it runs; what stands over and under
// a wall counts to the space before it.
func (m *model) volumes(f basin.Flowing) []float64 {
	v := make([]float64, len(f.Heights))
	for i := range v {
		v[i] = max(0, m.tank.Part(i, f.Heights[i]))
	}
	return v
}

// stop returns the water at rest after the pump stopped on f, with more poured
// in.
func (m *model) stop(f basin.Flowing, more float64) basin.Still {
	v := m.volumes(f)
	v[0] += more
	return m.tank.Settle(v)
}

// room returns how much more than drained could come down at the inlet before
// the brim runs over, when the pump stops with the last space at a height:
// negative where it runs over, also where it does so while the pump runs.
func (m *model) room(last float64) float64 {
	f := m.run(last)
	// What runs over from here on runs over for ever: a flood shows how much of
	// it found a place.
	const flood = 1e11
	still := m.stop(f, flood)
	room := flood - still.Spilled - m.drain
	for i, h := range f.Heights {
		room = min(room, (m.tank.SpaceBrim(i)-h)*m.area)
	}
	return room
}

// mark returns the greatest height of the last space at which nothing runs over,
// and whether there is one above its floor.
func (m *model) mark(lower float64) (height float64, found bool) {
	n := len(m.spaces) - 1
	floor, brim := m.height(n, 0), m.tank.SpaceBrim(n)
	// A lower brim is the same as more water under it only in a plain tank: so
	// the tank itself is made lower.
	t := m
	if lower > 0 {
		t = m.lowered(lower)
		brim -= lower
	}
	if !(t.room(floor) > 0) {
		return 0, false
	}
	if t.room(brim) >= 0 {
		return brim, true
	}
	// A thousandth of a cubic millimetre is less than a millionth of a
	// millimetre of height, and so much is taken off: rounding must not make it
	// the first drop that runs over.
	const tol, drop = 1e-3, 1e-6
	h := basin.Root(floor, brim, tol, func(x float64) float64 { return -t.room(x) })
	return max(floor, h-drop), true
}

// lowered returns the model of a sump whose walls end that much lower.
func (m *model) lowered(by float64) *model {
	s := *m.scene
	sump := *m.scene.Sump
	sump.Box.Max.Z -= by
	s.Sump = &sump
	return newModel(&s, m.read)
}

// blocked returns what the pump lifts into the display when nothing comes back
// down, all that gets to it, down to a height of its own; and the water that then
// stays in the sump.
func (m *model) blocked(f basin.Flowing, intake float64) (pumped float64, left basin.Still) {
	n := len(m.spaces) - 1
	d := m.tank.Drain(m.volumes(f))
	pumped = max(0, d.Sunk-m.tank.Pool(n, intake))
	d.Volumes[n] = d.Sunk - pumped
	return pumped, m.tank.Settle(d.Volumes)
}
