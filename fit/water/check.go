// Package water tells where the water stands: while the pump runs, when it
// stops, and when something goes wrong.
//
// Every check reads the plan three times: as written, and with each measured
// length off by the tape and each formula taken so that the water stands as high
// or as low as it can. What holds for the highest water is ok, what fails for
// the lowest is no.
package water

import (
	"fmt"
	"math"
	"strings"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// The checks of the family.
const (
	idLevels   = "water/levels"
	idPumpOff  = "water/pump off"
	idMark     = "water/fill line"
	idBlocked  = "water/drain blocked"
	idTopOff   = "water/top-off"
	idStart    = "water/start"
	idVolumes  = "water/volumes"
	idDepth    = "water/depth/"
	idBaffle   = "water/baffle "
	idSiphon   = "water/siphon/"
	keySump    = "sump"
	keyLevel   = "sump.level"
	keyFlow    = "sump.flow"
	keyDisplay = "display"
	keyWater   = "display.water"
	keyDrops   = "display.drops"
)

// The publications behind the figures.
const (
	sourceDensity   = "density: EOS-80, UNESCO Technical Papers in Marine Science 44 (1983)"
	sourceWeir      = "head over a crest: Kindsvater and Carter (1959), Rehbock (1929), as in Blevins (1984), for heads over 30 mm"
	sourceLowHead   = "below that range: from a nappe that clings to one on a broad edge, Bos (1989), from memory"
	sourceDrowned   = "drowned crest: Villemonte (1947), from memory"
	sourceGap       = "gap under a pane: orifice, USBR Water Measurement Manual (2001), from memory"
	sourceFreeboard = "1 in of freeboard: common practice, no source"
)

// Check reports levels, floods, pen marks, depths and volumes. What the plan
// does not give is left out with the key to add.
func Check(s *scene.Scene) verdict.Findings {
	c := &checker{study: newStudy(s), say: s.Units}
	if s.Sump == nil {
		c.lack(idLevels, keySump)
		return c.Findings
	}
	c.levels()
	c.pumpOff()
	c.fillLine()
	c.start()
	c.drainBlocked()
	c.topOff()
	c.depths()
	c.baffles()
	c.volumes()
	c.siphons()
	c.Cautions = append(c.Cautions, "Water and power: plugs, strips and bricks above every level named here, cords with a drip loop.")
	return c.Findings
}

type checker struct {
	verdict.Findings
	*study
	say unit.System
}

func (c *checker) lack(id string, keys ...string) {
	for _, k := range keys {
		c.LeftOut = append(c.LeftOut, verdict.LeftOut{ID: id, Add: k})
	}
}

// lacking returns those of the keys that the plan does not give.
func (c *checker) lacking(keys ...string) []string {
	s, d := c.scene.Sump, c.scene.Display
	given := map[string]bool{
		keyLevel: s.Level != nil, keyFlow: !c.Still, keyDisplay: d != nil,
		keyWater: d == nil || d.Water != nil, keyDrops: d == nil || c.Drained != nil,
	}
	var out []string
	for _, k := range keys {
		if !given[k] {
			out = append(out, k)
		}
	}
	return out
}

// assumed returns what the plan leaves out under keys and everything below them.
func (c *checker) assumed(keys ...string) []string {
	var out []string
	for _, a := range c.scene.Assumed {
		for _, k := range keys {
			if a.Key == k || strings.HasPrefix(a.Key, k+".") || strings.HasPrefix(a.Key, k+"[") {
				out = append(out, a.Text)
			}
		}
	}
	return out
}

func (c *checker) add(f verdict.Finding) { c.Checks = append(c.Checks, f) }

// An outcome is a length that should not be negative, in the three readings.
type outcome struct{ nom, lo, hi float64 }

func (o outcome) judge(wanted unit.Length) (verdict.Verdict, float64) {
	m := verdict.Margin{Lo: unit.Length(o.lo), Hi: unit.Length(o.hi)}
	v := m.Judge(wanted, 0) // the tape is in both ends
	switch v {
	case verdict.OK:
		return v, o.lo - wanted.MM()
	case verdict.Tight:
		return v, min(o.lo, wanted.MM()-o.lo)
	case verdict.No:
		return v, -o.hi
	case verdict.Unsure:
	}
	return v, math.NaN()
}

func mm(ls []unit.Length) []float64 {
	out := make([]float64, len(ls))
	for i, l := range ls {
		out[i] = l.MM()
	}
	return out
}

// chambers picks what belongs to the chambers out of a list over all spaces.
func (c *checker) chambers(of []float64) []float64 {
	var out []float64
	for i, sp := range c.Spaces {
		if sp.Number > 0 {
			out = append(out, of[i])
		}
	}
	return out
}

// depthsOf turns heights into depths in the middle of each space.
func (m *model) depthsOf(heights []float64) []float64 {
	out := make([]float64, len(heights))
	for i, h := range heights {
		out[i] = max(0, m.depth(i, h))
	}
	return out
}

func litres(vs []unit.Volume) []float64 {
	out := make([]float64, len(vs))
	for i, v := range vs {
		out[i] = v.Litres()
	}
	return out
}

// name calls a space as a person would.
func (c *checker) name(space int) string {
	sp := c.Spaces[space]
	switch {
	case sp.Number == 0:
		return "the bubble trap"
	case len(c.chambers(make([]float64, len(c.Spaces)))) == 1:
		return "the sump"
	case space == len(c.Spaces)-1:
		return "the last chamber"
	}
	return fmt.Sprintf("chamber %d", sp.Number)
}

// mark measures from one depth to another in the middle of a space.
func (c *checker) mark(space int, from, to float64, label string, parts ...string) scene.Mark {
	a := c.nom.middle(space)
	b := a
	a.Z += from
	b.Z += to
	return scene.Mark{From: a, To: b, Label: label, Parts: parts}
}

// least returns how far the water stays below the brim at least, over all
// spaces.
func (m *model) least(heights []float64) float64 {
	room := math.Inf(1)
	for i, h := range heights {
		room = min(room, m.tank.SpaceBrim(i)-h)
	}
	return room
}

// stillRoom is least for water at rest; what has run over counts as negative
// room: how much higher the water would stand within higher walls.
func (m *model) stillRoom(spilled float64, heights []float64) float64 {
	if spilled > 0 {
		return -spilled / m.area
	}
	return m.least(heights)
}

func (c *checker) levels() {
	if lacks := c.lacking(keyLevel, keyFlow); len(lacks) > 0 {
		c.lack(idLevels, lacks...)
		return
	}
	r := c.running
	lo, hi := c.low.depthsOf(r.low.Heights), c.high.depthsOf(r.high.Heights)
	f := verdict.Finding{ID: idLevels, Assumed: c.assumed("sump.glass", "display.salinity", "display.temperature")}
	room := outcome{c.nom.least(r.nom.Heights), c.high.least(r.high.Heights), c.low.least(r.low.Heights)}
	f.Verdict, f.Room = room.judge(0)
	density := float64(c.Density)
	if !c.densityInRange {
		density = math.NaN()
		f.Verdict = verdict.Worst(f.Verdict, verdict.Unsure)
	}
	f.Measures = verdict.Measures{
		{Key: "density_kg_m3", Value: density},
		{Key: "chamber_level_mm", Value: c.chambers(mm(c.Running.Depth))},
		{Key: "chamber_l", Value: c.chambers(litres(c.Running.Volume))},
		{Key: "chamber_level_low_mm", Value: c.chambers(lo)},
		{Key: "chamber_level_high_mm", Value: c.chambers(hi)},
		{Key: "space_level_mm", Value: mm(c.Running.Depth)},
		{Key: "head_mm", Value: r.nom.Heads},
		{Key: "spare_to_brim_mm", Value: room.nom},
	}
	var parts []string
	for i, sp := range c.Spaces {
		if sp.Number == 0 {
			continue
		}
		text := fmt.Sprintf("%s stands %s deep", c.name(i), c.say.Length(c.Running.Depth[i]))
		if hi[i]-lo[i] > 1 {
			text += fmt.Sprintf(" (%s)", c.say.Between(unit.Length(lo[i]), unit.Length(hi[i])))
		}
		parts = append(parts, text)
	}
	f.Summary = strings.Join(parts, ", ")
	if n := len(r.nom.Drowned); n > 0 && r.nom.Drowned[n-1] {
		f.Summary += "; the level in the last chamber is above the edge before it"
	}
	if !c.densityInRange {
		f.Summary += "; salinity or temperature is outside of the range in which its density is known"
	}
	switch f.Verdict {
	case verdict.No:
		f.Summary += "; it runs over the brim while the pump runs"
	case verdict.Unsure, verdict.Tight, verdict.OK:
	}
	f.Source = c.flowSources(sourceDensity)
	c.muddled(&f)
	c.add(f)
}

// flowSources lists the formulas that took part in the running levels.
func (c *checker) flowSources(first ...string) []string {
	out := first
	crest, extrapolated, drowned, gap := false, false, false, false
	for i, sp := range c.Spaces[1:] {
		if sp.In.Gap > 0 {
			gap = true
			continue
		}
		crest = true
		extrapolated = extrapolated || c.running != nil && !c.running.nom.InRange[i]
		drowned = drowned || c.running != nil && c.running.nom.Drowned[i]
	}
	for _, s := range []struct {
		used bool
		text string
	}{{crest, sourceWeir}, {crest && extrapolated, sourceLowHead}, {drowned, sourceDrowned}, {gap, sourceGap}} {
		if s.used {
			out = append(out, s.text)
		}
	}
	return out
}

// muddled takes the verdict back where things overlap in the water.
func (c *checker) muddled(f *verdict.Finding) {
	if !c.nom.tank.Muddled {
		return
	}
	f.Verdict = verdict.Unsure
	f.Summary += "; things in the water take up each other's place, so its volume is not known"
}
