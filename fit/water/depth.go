package water

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// spaceOf returns the index of the space of a chamber.
func (c *checker) spaceOf(chamber int) (int, bool) {
	for i, sp := range c.Spaces {
		if sp.Number == chamber && chamber > 0 {
			return i, true
		}
	}
	return 0, false
}

// footPoint returns the middle of a thing at its foot: where its depth is
// measured.
func footPoint(e *scene.Equipment) r3.Vec {
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, b := range e.Bodies {
		x := b.Solid.Bounds()
		lo = r3.Vec{X: min(lo.X, x.Min.X), Y: min(lo.Y, x.Min.Y), Z: min(lo.Z, x.Min.Z)}
		hi = r3.Vec{X: max(hi.X, x.Max.X), Y: max(hi.Y, x.Max.Y), Z: max(hi.Z, x.Max.Z)}
	}
	return r3.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2, Z: lo.Z}
}

// mustBeCovered are the kinds that stand under water up to their top where the
// plan does not say what they stand in.
func mustBeCovered(kind string) bool { return kind == "heater" || kind == "pump" }

// depths reports how deep each thing stands in the water.
func (c *checker) depths() {
	for i := range c.scene.Equipment {
		e := &c.scene.Equipment[i]
		space, in := c.spaceOf(e.Chamber)
		if !in || len(e.Bodies) == 0 {
			continue
		}
		id := idDepth + e.Name
		if e.StandsIn == nil && !mustBeCovered(e.Kind) {
			if e.Kind == "skimmer" {
				c.lack(id, fmt.Sprintf("stands-in of %s", e.Name))
			}
			continue
		}
		if lacks := c.lacking(keyLevel, keyFlow); len(lacks) > 0 {
			c.lack(id, lacks...)
			continue
		}
		c.depth(id, e, space)
	}
}

func (c *checker) depth(id string, e *scene.Equipment, space int) {
	at := footPoint(e)
	d := outcome{
		c.nom.tank.DepthAt(at, c.running.nom.Heights[space]),
		c.low.tank.DepthAt(at, c.running.low.Heights[space]),
		c.high.tank.DepthAt(at, c.running.high.Heights[space]),
	}
	f := verdict.Finding{ID: id, Assumed: c.assumed("sump.glass"), Source: c.flowSources(), Room: math.NaN()}
	least, most := head(e)-at.Z, math.Inf(1)
	if e.StandsIn != nil {
		least, most = e.StandsIn[0].MM(), e.StandsIn[1].MM()
	} else {
		f.Assumed = append(f.Assumed, fmt.Sprintf("%s is to be covered up to its top", e.Name))
	}
	inside := func(x float64) float64 { return min(x-least, most-x) }
	// The best and the worst that a depth within the band can be.
	best := d.hi - least
	if !math.IsInf(most, 1) {
		best = inside(min(max((least+most)/2, d.lo), d.hi))
	}
	worst := min(inside(d.lo), inside(d.hi))
	switch {
	case worst >= 0:
		f.Verdict, f.Room = verdict.OK, worst
	case inside(d.nom) >= 0:
		f.Verdict, f.Room = verdict.Tight, inside(d.nom)
	case best < 0 && e.StandsIn != nil:
		f.Verdict, f.Room = verdict.No, -best
	default:
		f.Verdict = verdict.Unsure
	}
	f.Measures = verdict.Measures{
		{Key: "depth_mm", Value: d.nom},
		{Key: "depth_low_mm", Value: d.lo},
		{Key: "depth_high_mm", Value: d.hi},
		{Key: "least_mm", Value: least},
		{Key: "most_mm", Value: most},
	}
	say := func(x float64) string { return c.say.Length(unit.Length(x)) }
	top := at
	top.Z += d.nom
	f.Marks = []scene.Mark{{From: at, To: top, Label: say(d.nom) + " of water", Parts: partsOf(c.scene, e.Name)}}
	f.Summary = fmt.Sprintf("stands in %s of water", say(d.nom))
	switch {
	case e.StandsIn != nil:
		f.Summary += fmt.Sprintf("; it works in %s to %s", say(least), say(most))
	case inside(d.nom) >= 0:
		f.Summary += fmt.Sprintf(", %s over its top", say(d.nom-least))
	default:
		f.Summary += fmt.Sprintf(", %s short of its top", say(least-d.nom))
	}
	// What would put it right: a stand under it, or another edge behind it.
	stand := math.NaN()
	switch {
	case d.nom > most:
		stand = d.nom - (least+most)/2
		f.Summary += fmt.Sprintf("; a stand of %s under it puts it in the middle of that, or the level that much lower (%s)",
			say(stand), c.governs(space))
	case d.nom < least && e.StandsIn != nil:
		f.Summary += fmt.Sprintf("; the level must be %s higher (%s)", say(least-d.nom), c.governs(space))
	case d.nom < least:
		f.Summary += fmt.Sprintf("; lay it down or raise the level by so much (%s); where it may look out write stands-in", c.governs(space))
	}
	f.Measures = append(f.Measures, verdict.Measure{Key: "stand_mm", Value: stand}, verdict.Measure{Key: "level_change_mm", Value: c.change(d.nom, least, most)})
	if f.Verdict != verdict.OK {
		f.Again = c.governs(space)
	}
	c.restart(&f, e, space, at, most)
	c.muddled(&f)
	c.add(f)
}

// partsOf returns the names of a thing's parts.
func partsOf(s *scene.Scene, thing string) []string {
	t, _ := s.Thing(thing)
	names := make([]string, len(t.Parts))
	for i, p := range t.Parts {
		names[i] = p.Name
	}
	return names
}

// change returns by how much the level would have to rise (or fall: negative)
// for a depth to be inside of its range; 0 where it is.
func (c *checker) change(depth, least, most float64) float64 {
	switch {
	case depth < least:
		return least - depth
	case depth > most:
		return most - depth
	}
	return 0
}

// governs names what sets the level in a space.
func (c *checker) governs(space int) string {
	for i := space; i < len(c.Spaces)-1; i++ {
		if out := c.Spaces[i].Out; out != nil && out.Gap <= 0 {
			return fmt.Sprintf("top of baffle %d", i+1)
		}
	}
	return "the level in the last chamber"
}

// restart tells where the water that comes down drowns a thing.
func (c *checker) restart(f *verdict.Finding, e *scene.Equipment, space int, at r3.Vec, most float64) {
	if c.stopped == nil || math.IsInf(most, 1) {
		return
	}
	off := c.nom.tank.DepthAt(at, c.stopped.nom.Heights[space])
	f.Measures = append(f.Measures, verdict.Measure{Key: "pump_off_depth_mm", Value: off})
	if off <= most || e.Kind != "skimmer" {
		return
	}
	if f.Verdict == verdict.OK {
		f.Verdict, f.Room = verdict.Tight, off-most
	}
	f.Summary += fmt.Sprintf("; with the pump off it stands in %s: it may foam over when the pump starts again", c.say.Length(unit.Length(off)))
}

// baffles reports each raised baffle: whether water goes over it, whether it
// dips in, and what the gap costs.
func (c *checker) baffles() {
	for i := range c.Spaces {
		w := c.Spaces[i].In
		if w == nil || w.Gap <= 0 {
			continue
		}
		id := fmt.Sprintf("%s%d", idBaffle, i)
		if lacks := c.lacking(keyLevel, keyFlow); len(lacks) > 0 {
			c.lack(id, lacks...)
			continue
		}
		c.baffle(id, i)
	}
}

const (
	// paneFreeboard is how far a raised pane stands out of the water before it:
	// common practice, no source.
	paneFreeboard = 1 * unit.Inch
	// strangled is the loss under a pane from which the gap is too small: common
	// practice, no source.
	strangled = 6 * unit.Millimetre
)

func (c *checker) baffle(id string, i int) {
	w := c.Spaces[i].In
	tape := c.scene.Sump.Tape.MM()
	top := w.Top.MM()
	before := func(m *model, heights []float64) float64 { return m.depth(i-1, heights[i-1]) }
	o := outcome{
		top - before(c.nom, c.running.nom.Heights),
		top - tape - before(c.high, c.running.high.Heights),
		top + tape - before(c.low, c.running.low.Heights),
	}
	f := verdict.Finding{ID: id, Assumed: c.assumed("sump.glass"), Source: append(c.flowSources(), "1 in over the water: common practice, no source")}
	f.Verdict, f.Room = o.judge(paneFreeboard)
	loss := c.running.nom.Heads[i-1]
	dips := c.Running.Depth[i].MM() - w.Gap.MM()
	speed := c.nom.flow / (c.gapWidth() * w.Gap.MM())
	f.Measures = verdict.Measures{
		{Key: "spare_to_top_mm", Value: o.nom},
		{Key: "loss_mm", Value: loss},
		{Key: "dips_mm", Value: dips},
		{Key: "speed_mm_s", Value: speed},
	}
	say := func(x float64) string { return c.say.Length(unit.Length(x)) }
	f.Marks = []scene.Mark{c.mark(i-1, top-o.nom, top, say(math.Abs(o.nom)), fmt.Sprintf("sump/baffle %d", i))}
	if o.nom >= 0 {
		f.Summary = fmt.Sprintf("its top is %s above the water before it", say(o.nom))
	} else {
		f.Summary = fmt.Sprintf("water goes over it, %s deep", say(-o.nom))
	}
	if dips < 0 {
		f.Verdict = verdict.Worst(f.Verdict, verdict.Tight)
		f.Summary += "; the water behind it does not reach its lower edge: bubbles pass under it"
	}
	if loss > strangled.MM() {
		f.Verdict = verdict.Worst(f.Verdict, verdict.Tight)
		f.Summary += fmt.Sprintf("; its gap is too small: it backs the water up by %s", say(loss))
	}
	if f.Verdict != verdict.OK {
		f.Again = fmt.Sprintf("top and gap of baffle %d", i)
	}
	c.muddled(&f)
	c.add(f)
}

// gapWidth returns the inside width of the sump across the flow, in mm.
func (c *checker) gapWidth() float64 {
	in := c.scene.Sump.Inside()
	if c.scene.Sump.Inlet == scene.Left || c.scene.Sump.Inlet == scene.Right {
		return in.Max.Y - in.Min.Y
	}
	return in.Max.X - in.Min.X
}
