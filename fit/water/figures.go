package water

import (
	"math"

	"undercroft/assets"
	"undercroft/fit/water/internal/basin"
	"undercroft/scene"
	"undercroft/scene/seawater"
	"undercroft/scene/unit"
)

// Levels is where the water stands in the sump at one moment.
type Levels struct {
	// Depth is the depth in the middle of each space, in the order of
	// scene.Sump.Spaces.
	Depth []unit.Length
	// Volume is the water of each space, with what stands over and under the
	// baffle behind it.
	Volume []unit.Volume
	Total  unit.Volume // all of it
	// Spilled is what has run over the brim.
	Spilled unit.Volume
}

// Figures are what the water does, as the plan is written, for other checks and
// for drawings. A nil pointer is not known: Missing tells what to add.
type Figures struct {
	Density unit.Density
	Spaces  []scene.Space // of the sump; none without one
	Brim    unit.Length   // of the sump, above its inside bottom

	Running  *Levels // while the pump runs
	PumpOff  *Levels // after it stopped
	BrimFull *Levels // the sump full to the brim
	// ToppedOff is after the pump stopped with the whole reservoir added; nil
	// also where there is no reservoir.
	ToppedOff *Levels
	// Blocked is once the pump has lifted all it gets into the display, with the
	// drain blocked.
	Blocked *Levels
	// Still tells that the plan gives no flow: the running levels are those of
	// water that just does not move.
	Still bool

	// Display is the water in the display at those moments, without sand and
	// rock, with the water between their grains.
	Display struct{ Running, PumpOff, BrimFull *unit.Volume }
	// Pipes is what pipes and hoses hold while the pump runs.
	Pipes unit.Volume
	// Drained is what comes down when the pump stops.
	Drained *unit.Volume

	// Mark is the greatest running depth in the last chamber at which nothing
	// spills when the pump stops, exactly. SafeMark has freeboard, tape and
	// slope taken off; MarkOff and SafeOff are the depths there after the pump
	// stopped on them.
	Mark, SafeMark, MarkOff, SafeOff *unit.Length
}

// Freeboard is how far below its lowest edge a sump is filled at most: common
// practice, no source.
const Freeboard = 1 * unit.Inch

// Compute returns the figures of a scene, with everything that is known.
func Compute(s *scene.Scene) Figures { return newStudy(s).Figures }

// A study is everything the checks look at.
type study struct {
	Figures
	scene           *scene.Scene
	nom, high, low  *model // nil without a sump
	running         *flows // nil where not known
	stopped         *stills
	densityInRange  bool
	pipesFromBodies bool
}

// flows and stills are one moment in the three readings.
type (
	flows  struct{ nom, high, low basin.Flowing }
	stills struct{ nom, high, low basin.Still }
)

func newStudy(s *scene.Scene) *study {
	st := &study{scene: s}
	st.Density, st.densityInRange = seawater.Density(s.Brine.Salinity, s.Brine.Temperature)
	st.displayWater()
	if s.Sump == nil {
		return st
	}
	st.Spaces = s.Sump.Spaces()
	in := s.Sump.Inside()
	st.Brim = unit.Length(in.Max.Z - in.Min.Z)
	st.nom, st.high, st.low = newModel(s, nominal), newModel(s, high), newModel(s, low)
	st.Pipes = unit.Volume(st.nom.pipes())
	st.pipesFromBodies = s.Water.Pipes == nil && st.Pipes > 0
	if !math.IsNaN(st.nom.drain) {
		v := unit.Volume(st.nom.drain)
		st.Drained = &v
	}
	brim := make([]float64, len(st.Spaces))
	for i := range brim {
		brim[i] = st.nom.tank.Brim()
	}
	st.BrimFull = st.levels(brim, 0)
	st.Still = s.Sump.Flow == nil && len(s.Sump.Baffles) > 0
	if s.Sump.Level != nil {
		st.running = &flows{st.nom.run(st.nom.last), st.high.run(st.high.last), st.low.run(st.low.last)}
		st.Running = st.levels(st.running.nom.Heights, 0)
		if !st.Still {
			_, left := st.nom.blocked(st.running.nom, st.nom.height(len(st.Spaces)-1, st.intake(0)))
			st.Blocked = st.levels(left.Heights, 0)
		}
		if st.Drained != nil {
			st.stopped = &stills{
				st.nom.stop(st.running.nom, st.nom.drain), st.high.stop(st.running.high, st.high.drain), st.low.stop(st.running.low, st.low.drain),
			}
			st.PumpOff = st.levels(st.stopped.nom.Heights, st.stopped.nom.Spilled)
			if holds, _, found := reserve(s); found {
				running, over := st.nom.toppedUp(st.running.nom, holds)
				off := st.nom.stop(running, st.nom.drain)
				st.ToppedOff = st.levels(off.Heights, off.Spilled+over)
			}
		}
	}
	if st.Drained != nil && !st.Still {
		st.marks()
	}
	return st
}

// levels returns the levels of heights as written.
func (st *study) levels(heights []float64, spilled float64) *Levels {
	l := &Levels{Spilled: unit.Volume(spilled)}
	for i, h := range heights {
		l.Depth = append(l.Depth, unit.Length(max(0, st.nom.depth(i, h))))
		v := unit.Volume(max(0, st.nom.tank.Part(i, h)))
		l.Volume = append(l.Volume, v)
		l.Total += v
	}
	return l
}

// slopeDrop returns how much nearer to the lowest corner of the brim the water
// can stand than at any other place of the sump, for a cabinet out of level.
func (st *study) slopeDrop() unit.Length {
	b, sl, c := st.scene.Sump.Box, st.scene.Water.Slope, st.scene.Cabinet
	return unit.Length(math.Abs(sl.LeftRight.MM())*(b.Max.X-b.Min.X)/c.Width.MM() +
		math.Abs(sl.FrontBack.MM())*(b.Max.Y-b.Min.Y)/c.Depth.MM())
}

// marks finds the pen marks.
func (st *study) marks() {
	n := len(st.Spaces) - 1
	depth := func(h float64) *unit.Length {
		l := unit.Length(st.nom.depth(n, h))
		return &l
	}
	if h, ok := st.nom.mark(0); ok {
		st.Mark = depth(h)
		st.MarkOff = depth(st.nom.stop(st.nom.run(h), st.nom.drain).Heights[n])
	}
	// Freeboard and slope lower the brim; the tape is taken off twice: in the
	// lengths that the highest water is reckoned with, and where the pen goes.
	lower := Freeboard + st.slopeDrop()
	if h, ok := st.high.mark(lower.MM()); ok {
		safe := unit.Length(st.high.depth(n, h)) - st.scene.Sump.Tape
		if safe > 0 {
			st.SafeMark = &safe
			h = st.nom.height(n, safe.MM())
			st.SafeOff = depth(st.nom.stop(st.nom.run(h), st.nom.drain).Heights[n])
		}
	}
}

// displayWater fills in what the display holds.
func (st *study) displayWater() {
	d := st.scene.Display
	if d == nil {
		return
	}
	in := d.Inside()
	area := displayArea(d, 0)
	at := func(depth float64) *unit.Volume {
		v := unit.Volume(max(0, area*max(0, depth)) - grains(d, depth))
		v = max(0, v)
		return &v
	}
	st.Display.BrimFull = at(in.Max.Z - in.Min.Z)
	if d.Water == nil {
		return
	}
	st.Display.Running = at(d.Water.MM())
	if d.Drops != nil || d.Mouth != nil {
		st.Display.PumpOff = at(d.Water.MM() - fall(d))
	}
}

// Sand and rock as they are taken: the grains of reef rock are aragonite, and
// its pores fill with water; sand counts as quartz sand, the heavier of the two
// kinds sold.
const (
	sandBulk   = "quartz sand"
	sandGrain  = "quartz"
	rockGrain  = "aragonite"
	sourceSand = "quartz sand, dry bulk: NEN-EN 1991 Annex A; quartz grains: from memory"
	sourceRock = "aragonite, mineral density: secondary copies"
)

// SandMass returns the dry mass of the sand of a display.
func SandMass(d *scene.Display) unit.Mass {
	m, _ := assets.Material(sandBulk)
	return m.Density.Of(unit.Volume(displayArea(d, 0) * d.Sand.MM()))
}

// grains returns the room that grains of sand and rock take up below a depth,
// in mm³. Rock is taken to lie under water whole.
func grains(d *scene.Display, depth float64) float64 {
	bulk, _ := assets.Material(sandBulk)
	grain, _ := assets.Material(sandGrain)
	sand := displayArea(d, 0) * min(d.Sand.MM(), max(0, depth)) * float64(bulk.Density) / float64(grain.Density)
	return sand + rockVolume(d)
}

// rockVolume returns the room that the grains of the rock take up, in mm³.
func rockVolume(d *scene.Display) float64 {
	rock, _ := assets.Material(rockGrain)
	return d.Rock.KG() / float64(rock.Density) * 1e9
}
