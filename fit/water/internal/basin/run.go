package basin

import "math"

// A Reading is how the formulas are read: which one, and how much of a gap's
// area passes water.
type Reading struct {
	Formula     Formula
	Contraction float64
}

// The readings. High gives the highest levels, Low the lowest; between the two
// lies what is published. They are far apart only outside the formulas' range.
var (
	Nominal = Reading{KindsvaterCarter, Contraction}
	High    = Reading{BroadCrested, Contraction}
	Low     = Reading{Clinging, leastContracted}
)

// Flowing is water that runs through the tank.
type Flowing struct {
	Heights []float64 // of the surface in each space
	Heads   []float64 // over each wall, or lost under it, in mm
	InRange []bool    // for each wall: the formula's range holds
	Drowned []bool    // for each wall: the water behind stands above its top edge
	// Overtopped tells for each raised wall that water passes over it.
	Overtopped []bool
	Volume     float64 // held in the tank
}

// Run returns the levels at which the flow q in mm³/s passes through the tank
// while its last space is kept at the height last. Each level follows from the
// one after it: over a wall by its crest, under a raised wall by its gap and,
// where that backs up so far, over it as well. The reading chooses the formula;
// inside of its range Kindsvater and Carter and Rehbock bound each other.
func (t *Tank) Run(q, last float64, r Reading) Flowing {
	n := len(t.spaces)
	f := Flowing{
		Heights: make([]float64, n), Heads: make([]float64, len(t.walls)), InRange: make([]bool, len(t.walls)),
		Drowned: make([]bool, len(t.walls)), Overtopped: make([]bool, len(t.walls)),
	}
	f.Heights[n-1] = last
	for i := n - 2; i >= 0; i-- {
		w, after := &t.walls[i], f.Heights[i+1]
		if w.raised {
			f.Heights[i] = t.under(i, q, after, r)
			f.Heads[i] = f.Heights[i] - after
			f.Overtopped[i] = f.Heights[i] > w.crest
			f.InRange[i] = !f.Overtopped[i] && after-t.spaces[i+1].floor >= w.gap
			f.Drowned[i] = after > w.crest
			continue
		}
		f.Drowned[i] = after > w.crest
		f.Heads[i], f.InRange[i] = t.head(w, q, after-w.crest, r.Formula)
		f.Heights[i] = w.crest + f.Heads[i]
	}
	f.Volume = t.Held(f.Heights)
	return f
}

// head returns the head over a wall and whether the formula's range holds.
func (t *Tank) head(w *wall, q, behind float64, by Formula) (float64, bool) {
	c := Crest{t.width, w.top, w.thick}
	kc := c.Head(q, behind, KindsvaterCarter)
	if behind > 0 || !c.InRange(kc) {
		return c.Head(q, behind, by), false
	}
	switch by {
	case Clinging, Rehbock:
		return min(kc, c.Head(q, behind, Rehbock)), true
	case BroadCrested:
		return max(kc, c.Head(q, behind, Rehbock)), true
	case KindsvaterCarter:
	}
	return kc, true
}

// under returns the height before a raised wall.
func (t *Tank) under(i int, q, after float64, r Reading) float64 {
	w, floor := &t.walls[i], t.spaces[i+1].floor
	// Where the water behind is shallow it leaves the gap like a stream: with the
	// critical depth of what the contraction leaves of the width. A deeper one
	// behind it never lowers the level before it.
	least := min(w.gap, Critical(q, r.Contraction*t.width))
	if !(least > fine) {
		return after // next to nothing flows
	}
	back := max(after, floor+least)
	open := min(w.gap, back-floor)
	h := back + Loss(q, open*t.width, r.Contraction)
	if h <= w.crest {
		return h
	}
	// The rest goes over it.
	c := Crest{t.width, w.top, w.thick}
	return root(max(w.crest, after), h, 1e-12*q, func(x float64) float64 {
		below := r.Contraction * open * t.width * math.Sqrt(2*gravity*max(0, x-back))
		over := c.Flow(x-w.crest, r.Formula) * drowned(x-w.crest, after-w.crest)
		return below + over - q
	})
}
