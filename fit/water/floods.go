package water

import (
	"fmt"
	"math"
	"strings"

	"undercroft/fit/verdict"
	"undercroft/fit/water/internal/basin"
	"undercroft/scene"
	"undercroft/scene/unit"
)

func (c *checker) pumpOff() {
	if lacks := c.lacking(keyLevel, keyFlow, keyDisplay, keyDrops); len(lacks) > 0 {
		c.lack(idPumpOff, lacks...)
		return
	}
	s := c.stopped
	room := outcome{
		c.nom.stillRoom(s.nom.Spilled, s.nom.Heights),
		c.high.stillRoom(s.high.Spilled, s.high.Heights),
		c.low.stillRoom(s.low.Spilled, s.low.Heights),
	}
	f := verdict.Finding{ID: idPumpOff, Assumed: c.drainAssumed(), Source: c.flowSources()}
	f.Verdict, f.Room = room.judge(Freeboard)
	f.Source = append(f.Source, sourceFreeboard)
	f.Measures = verdict.Measures{
		{Key: "drained_l", Value: c.Drained.Litres()},
		{Key: "chamber_level_mm", Value: c.chambers(mm(c.PumpOff.Depth))},
		{Key: "spare_to_brim_mm", Value: room.nom},
		{Key: "spilled_l", Value: c.PumpOff.Spilled.Litres()},
		{Key: "spare_low_mm", Value: room.lo},
		{Key: "spare_high_mm", Value: room.hi},
		{Key: "wanted_mm", Value: Freeboard.MM()},
		{Key: "chamber_level_high_mm", Value: c.chambers(c.high.depthsOf(s.high.Heights))},
	}
	n := len(c.Spaces) - 1
	f.Marks = []scene.Mark{c.mark(n, c.PumpOff.Depth[n].MM(), c.Brim.MM(), "pump off: "+c.say.Length(c.Brim-c.PumpOff.Depth[n])+" to the brim")}
	f.Summary = fmt.Sprintf("%s come down when the pump stops; ", c.say.Volume(*c.Drained))
	switch {
	case c.PumpOff.Spilled > 0:
		f.Summary += fmt.Sprintf("%s run over the sump's brim", c.say.Volume(c.PumpOff.Spilled))
	default:
		f.Summary += fmt.Sprintf("the water stops %s below the sump's brim", c.say.Length(unit.Length(room.nom)))
	}
	switch f.Verdict {
	case verdict.Unsure:
		f.Summary += c.couldBe(room)
		f.Again = "how far the display falls (display.drops)"
	case verdict.No:
		f.Again = "how far the display falls (display.drops)"
	case verdict.Tight:
		f.Summary += fmt.Sprintf(" (%s is the usual room)", c.say.Length(Freeboard))
		f.Again = "how far the display falls (display.drops)"
	case verdict.OK:
	}
	if c.scene.Water.CheckValve {
		f.Summary += "; the check valve is not counted on"
	}
	c.muddled(&f)
	c.add(f)
}

// couldBe tells of an interval that holds both signs.
func (c *checker) couldBe(o outcome) string {
	return fmt.Sprintf("; by tape and formulas it could be %s more or %s less",
		c.say.Length(unit.Length(max(0, o.hi-o.nom))), c.say.Length(unit.Length(max(0, o.nom-o.lo))))
}

// drainAssumed lists what the drain-down took for granted.
func (c *checker) drainAssumed() []string {
	out := c.assumed("sump.glass", "display.glass")
	switch {
	case c.pipesFromBodies:
		out = append(out, fmt.Sprintf("pipes and hoses hold what their outsides enclose, %s", c.say.Volume(c.Pipes)))
	case c.scene.Water.Pipes == nil:
		out = append(out, fmt.Sprintf("pipes and hoses hold up to %s", c.say.Volume(unit.Volume(c.high.pipes()))))
	}
	return out
}

// returnPumps returns the pumps in the last chamber.
func returnPumps(s *scene.Scene, last int) []*scene.Equipment {
	var out []*scene.Equipment
	for i := range s.Equipment {
		if e := &s.Equipment[i]; e.Kind == "pump" && e.Chamber == last && len(e.Bodies) > 0 {
			out = append(out, e)
		}
	}
	return out
}

// foot and head return the lowest and the highest z of a thing.
func foot(e *scene.Equipment) float64 {
	z := math.Inf(1)
	for _, b := range e.Bodies {
		z = min(z, b.Solid.Bounds().Min.Z)
	}
	return z
}

func head(e *scene.Equipment) float64 {
	z := math.Inf(-1)
	for _, b := range e.Bodies {
		z = max(z, b.Solid.Bounds().Max.Z)
	}
	return z
}

// pumps returns the return pumps of the plan.
func (st *study) pumps() []*scene.Equipment {
	return returnPumps(st.scene, st.Spaces[len(st.Spaces)-1].Number)
}

// intake returns the depth above the inside bottom down to which the pump draws:
// its foot, or for the lowest water its top; the bottom itself where no pump is
// drawn.
func (st *study) intake(worse float64) float64 {
	bottom := st.scene.Sump.Inside().Min.Z
	z := math.Inf(1)
	for _, e := range st.pumps() {
		if worse < 0 {
			z = min(z, head(e)-bottom)
		} else {
			z = min(z, foot(e)-bottom)
		}
	}
	if math.IsInf(z, 1) {
		return 0
	}
	return max(0, z)
}

func (c *checker) drainBlocked() {
	if lacks := c.lacking(keyLevel, keyFlow, keyDisplay, keyWater); len(lacks) > 0 {
		c.lack(idBlocked, lacks...)
		return
	}
	d := c.scene.Display
	of := func(m *model, f basin.Flowing) (pumped, space, area float64) {
		err := m.read.worse * c.scene.Tape.MM()
		n := len(c.Spaces) - 1
		pumped, _ = m.blocked(f, m.height(n, c.intake(m.read.worse)))
		area = displayArea(d, -err)
		if m.read.worse < 0 && d.GlassAssumed { // or thinner than thought
			area = displayArea(d, -err+2*d.Glass.MM())
		}
		in := d.Inside()
		return pumped, area * max(0, in.Max.Z-in.Min.Z-d.Water.MM()-err), area
	}
	spare := func(m *model, f basin.Flowing) float64 {
		pumped, space, area := of(m, f)
		return (space - pumped) / area
	}
	o := outcome{spare(c.nom, c.running.nom), spare(c.high, c.running.high), spare(c.low, c.running.low)}
	pumped, space, area := of(c.nom, c.running.nom)
	f := verdict.Finding{ID: idBlocked, Assumed: c.assumed("sump.glass", "display.glass"), Source: c.flowSources()}
	f.Verdict, f.Room = o.judge(0)
	over := max(0, pumped-space)
	f.Measures = verdict.Measures{
		{Key: "pumped_l", Value: unit.Volume(pumped).Litres()},
		{Key: "display_room_l", Value: unit.Volume(space).Litres()},
		{Key: "display_level_mm", Value: d.Water.MM() + min(pumped, space)/area},
		{Key: "chamber_level_mm", Value: c.chambers(mm(c.Blocked.Depth))},
		{Key: "spare_to_brim_mm", Value: o.nom},
		{Key: "spilled_l", Value: unit.Volume(over).Litres()},
	}
	f.Summary = fmt.Sprintf("with the drain blocked the pump lifts %s; ", c.say.Volume(unit.Volume(pumped)))
	if over > 0 {
		f.Summary += fmt.Sprintf("the display has room for %s, %s end on the house floor",
			c.say.Volume(unit.Volume(space)), c.say.Volume(unit.Volume(over)))
	} else {
		f.Summary += fmt.Sprintf("the display takes it with %s to its brim", c.say.Length(unit.Length(o.nom)))
	}
	if len(c.pumps()) == 0 {
		f.Assumed = append(f.Assumed, "the return pump, which the plan does not draw, empties the last chamber")
		if f.Verdict == verdict.No { // it may leave as much as is too much
			f.Verdict, f.Room = verdict.Unsure, math.NaN()
		}
	}
	switch f.Verdict {
	case verdict.Unsure:
		f.Summary += c.couldBe(o)
		f.Again = "the display's water below its brim (display.water) and the level in the last chamber (sump.level)"
		if len(c.pumps()) == 0 {
			f.Again = "how high the return pump draws: add it to the plan, in the last chamber"
		}
	case verdict.No:
		f.Again = "the level in the last chamber (sump.level)"
	case verdict.OK, verdict.Tight:
	}
	if dry := c.dry(); dry != "" {
		f.Summary += "; " + dry + " then stands dry"
	}
	c.muddled(&f)
	c.add(f)
}

// dry lists the heaters that look out of what the pump leaves with the drain
// blocked, and did not before.
func (c *checker) dry() string {
	var names []string
	for i := range c.scene.Equipment {
		e := &c.scene.Equipment[i]
		space, in := c.spaceOf(e.Chamber)
		if e.Kind != "heater" || !in || len(e.Bodies) == 0 {
			continue
		}
		top := footPoint(e)
		top.Z = head(e)
		left := c.nom.tank.DepthAt(top, c.nom.height(space, c.Blocked.Depth[space].MM()))
		if left < 0 && c.nom.tank.DepthAt(top, c.running.nom.Heights[space]) >= 0 {
			names = append(names, e.Name)
		}
	}
	return strings.Join(names, ", ")
}

// reserve returns what the reservoirs hold, whether the plan gives all of it,
// and whether there is one.
func reserve(s *scene.Scene) (holds float64, given, found bool) {
	given = true
	for _, e := range s.Equipment {
		if e.Kind != "reservoir" {
			continue
		}
		found = true
		if e.Holds != nil {
			holds += float64(*e.Holds)
			continue
		}
		given = false
		for _, b := range e.Bodies {
			holds += b.Solid.Volume()
		}
	}
	return holds, given, found
}

func (c *checker) topOff() {
	holds, given, found := reserve(c.scene)
	if !found {
		c.lack(idTopOff, "equipment: an item of kind reservoir")
		return
	}
	if lacks := c.lacking(keyLevel, keyFlow, keyDisplay, keyDrops); len(lacks) > 0 {
		c.lack(idTopOff, lacks...)
		return
	}
	run := func(m *model, f basin.Flowing) (running basin.Flowing, off basin.Still, over float64) {
		more := holds
		if m.read.worse < 0 && !given {
			more = 0
		}
		running, over = m.toppedUp(f, more)
		off = m.stop(running, m.drain)
		off.Spilled += over
		return running, off, over
	}
	nomRun, nomOff, over := run(c.nom, c.running.nom)
	_, highOff, _ := run(c.high, c.running.high)
	_, lowOff, _ := run(c.low, c.running.low)
	o := outcome{
		c.nom.stillRoom(nomOff.Spilled, nomOff.Heights),
		c.high.stillRoom(highOff.Spilled, highOff.Heights),
		c.low.stillRoom(lowOff.Spilled, lowOff.Heights),
	}
	f := verdict.Finding{ID: idTopOff, Assumed: c.drainAssumed(), Source: c.flowSources()}
	if !given {
		f.Assumed = append(f.Assumed, fmt.Sprintf("reservoir holds as much as its outside, %s", c.say.Volume(unit.Volume(holds))))
	}
	f.Verdict, f.Room = o.judge(0)
	f.Measures = verdict.Measures{
		{Key: "reservoir_l", Value: unit.Volume(holds).Litres()},
		{Key: "chamber_level_mm", Value: c.chambers(c.nom.depthsOf(nomRun.Heights))},
		{Key: "pump_off_level_mm", Value: c.chambers(c.nom.depthsOf(nomOff.Heights))},
		{Key: "spare_to_brim_mm", Value: o.nom},
		{Key: "spilled_l", Value: unit.Volume(nomOff.Spilled).Litres()},
	}
	f.Summary = fmt.Sprintf("top-off stuck open adds %s; ", c.say.Volume(unit.Volume(holds)))
	switch {
	case over > 0:
		f.Summary += fmt.Sprintf("%s run over while the pump runs, %s once it stops",
			c.say.Volume(unit.Volume(over)), c.say.Volume(unit.Volume(nomOff.Spilled)))
	case nomOff.Spilled > 0:
		f.Summary += fmt.Sprintf("when the pump then stops, %s end on the house floor", c.say.Volume(unit.Volume(nomOff.Spilled)))
	default:
		f.Summary += fmt.Sprintf("when the pump then stops, the water stays %s below the sump's brim", c.say.Length(unit.Length(o.nom)))
	}
	switch f.Verdict {
	case verdict.Unsure:
		f.Summary += c.couldBe(o)
		f.Again = "what the reservoir holds (holds)"
	case verdict.No:
		f.Again = "what the reservoir holds (holds)"
	case verdict.OK, verdict.Tight:
	}
	c.muddled(&f)
	c.add(f)
}

// toppedUp returns the running levels once more water has come into the tank,
// and what ran over the last space's brim.
func (m *model) toppedUp(f basin.Flowing, more float64) (running basin.Flowing, over float64) {
	n := len(m.spaces) - 1
	lo, hi := f.Heights[n], m.tank.SpaceBrim(n)
	want := f.Volume + more
	if full := m.run(hi); hi <= lo || full.Volume <= want {
		if hi <= lo {
			return f, more
		}
		return full, want - full.Volume
	}
	h := basin.Root(lo, hi, 1, func(x float64) float64 { return m.run(x).Volume - want })
	return m.run(h), 0
}
