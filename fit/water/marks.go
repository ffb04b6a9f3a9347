package water

import (
	"fmt"
	"math"

	"undercroft/fit/verdict"
	"undercroft/scene/unit"
)

// orNaN returns a length that may not be known, in mm.
func orNaN(l *unit.Length) float64 {
	if l == nil {
		return math.NaN()
	}
	return l.MM()
}

func (c *checker) fillLine() {
	if lacks := c.lacking(keyFlow, keyDisplay, keyDrops); len(lacks) > 0 {
		c.lack(idMark, lacks...)
		return
	}
	f := verdict.Finding{
		ID: idMark, Verdict: verdict.OK, Room: math.NaN(), Assumed: c.drainAssumed(), Source: append(c.flowSources(), sourceFreeboard),
	}
	f.Measures = verdict.Measures{
		{Key: "level_mm", Value: orNaN(c.Mark)},
		{Key: "level_safe_mm", Value: orNaN(c.SafeMark)},
		{Key: "pump_off_mm", Value: orNaN(c.MarkOff)},
		{Key: "pump_off_safe_mm", Value: orNaN(c.SafeOff)},
	}
	switch {
	case c.Mark == nil:
		f.Summary = "no level in the last chamber is low enough: what comes down alone runs over"
		f.Verdict = verdict.Unsure
		if _, ok := c.low.mark(0); !ok {
			f.Verdict = verdict.No
		}
	case c.SafeMark == nil:
		f.Summary = fmt.Sprintf("over %s in the last chamber it runs over when the pump stops; no level keeps %s of freeboard",
			c.say.Length(*c.Mark), c.say.Length(Freeboard))
		f.Verdict = verdict.Tight
	default:
		f.Summary = fmt.Sprintf("pen marks on the last chamber, from its inside bottom: pump running %s, pump off %s (over %s running it spills)",
			c.say.Length(*c.SafeMark), c.say.Length(*c.SafeOff), c.say.Length(*c.Mark))
		if in := c.Spaces[len(c.Spaces)-1].In; in != nil && in.Gap <= 0 && in.Top < *c.SafeMark {
			f.Summary += fmt.Sprintf("; over %s running it stands above the baffle before it", c.say.Length(in.Top))
		}
	}
	n := len(c.Spaces) - 1
	for _, m := range []struct {
		name string
		at   *unit.Length
	}{{"pump running", c.SafeMark}, {"pump off", c.SafeOff}} {
		if m.at != nil {
			f.Marks = append(f.Marks, c.mark(n, 0, m.at.MM(), m.name+" "+c.say.Length(*m.at)))
		}
	}
	if l := c.scene.Sump.Level; l != nil && c.Mark != nil {
		c.judgeLevel(&f, l.MM())
	}
	c.muddled(&f)
	c.add(f)
}

// judgeLevel judges the plan's level by the marks.
func (c *checker) judgeLevel(f *verdict.Finding, level float64) {
	n := len(c.Spaces) - 1
	mark := func(m *model) float64 {
		h, ok := m.mark(0)
		if !ok {
			return 0
		}
		return m.depth(n, h)
	}
	tape := c.scene.Sump.Tape.MM()
	o := outcome{c.Mark.MM() - level, mark(c.high) - tape - level, mark(c.low) + tape - level}
	switch {
	case c.SafeMark != nil && level <= c.SafeMark.MM():
		f.Verdict, f.Room = verdict.OK, c.SafeMark.MM()-level
	case o.lo >= 0:
		f.Verdict, f.Room = verdict.Tight, o.lo
		f.Summary += fmt.Sprintf("; the plan's %s is above the running mark", c.say.Length(unit.Length(level)))
	case o.hi < 0:
		f.Verdict, f.Room = verdict.No, -o.hi
		f.Summary += fmt.Sprintf("; the plan's %s spills", c.say.Length(unit.Length(level)))
	default:
		f.Verdict = verdict.Unsure
		f.Summary += fmt.Sprintf("; whether the plan's %s spills is too close to call", c.say.Length(unit.Length(level)))
		f.Again = "how far the display falls (display.drops)"
	}
}

// start reports how far the last chamber falls while the display fills, and
// whether the pump then draws bubbles. Nothing but the display and the edges
// takes up water on the way, and both only ever rise to what they hold while the
// pump runs: so the running level is the lowest.
func (c *checker) start() {
	if lacks := c.lacking(keyLevel, keyFlow, keyDisplay, keyDrops); len(lacks) > 0 {
		c.lack(idStart, lacks...)
		return
	}
	n := len(c.Spaces) - 1
	from, to := c.PumpOff.Depth[n], c.Running.Depth[n]
	f := verdict.Finding{ID: idStart, Assumed: c.drainAssumed(), Room: math.NaN(), Verdict: verdict.OK}
	f.Measures = verdict.Measures{{Key: "dip_mm", Value: (from - to).MM()}, {Key: "lowest_mm", Value: to.MM()}}
	f.Summary = fmt.Sprintf("while the display fills, the last chamber falls by %s to %s", c.say.Length(from-to), c.say.Length(to))
	pumps := c.pumps()
	if len(pumps) == 0 {
		c.lack(idStart, "equipment: the return pump in the last chamber")
		c.add(f)
		return
	}
	bottom := c.scene.Sump.Inside().Min.Z
	cover, measured := math.Inf(1), true
	for _, e := range pumps {
		need, given := head(e)-bottom, false
		if e.StandsIn != nil {
			need, given = foot(e)-bottom+e.StandsIn[0].MM(), true
		}
		if at := to.MM() - need; at < cover {
			cover, measured = at, given
		}
	}
	tape := c.scene.Sump.Tape.MM()
	o := outcome{cover, cover - tape, cover + tape}
	f.Verdict, f.Room = o.judge(0)
	if f.Verdict == verdict.No && !measured {
		f.Verdict = verdict.Unsure
	}
	f.Measures = append(f.Measures, verdict.Measure{Key: "cover_mm", Value: cover})
	if measured {
		f.Summary += fmt.Sprintf(", %s over what the pump needs", c.say.Length(unit.Length(cover)))
	} else {
		f.Assumed = append(f.Assumed, "the pump draws no bubbles while its top is covered")
		f.Summary += fmt.Sprintf(", %s over the pump's top", c.say.Length(unit.Length(cover)))
	}
	if cover < 0 {
		f.Summary = fmt.Sprintf("while the display fills, the last chamber falls to %s, %s less than the pump needs: it draws bubbles",
			c.say.Length(to), c.say.Length(unit.Length(-cover)))
		f.Again = "the level in the last chamber (sump.level)"
	}
	c.muddled(&f)
	c.add(f)
}
