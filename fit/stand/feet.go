package stand

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/ground"
	"undercroft/fit/verdict"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Stance is how the filled system presses on the house floor.
type Stance struct {
	Contacts []scene.Contact
	Bed      ground.Bed
	Force    unit.Force // all of it
	Assumed  []string
}

// Stand returns the stance under the heavier of running and pump off. known is
// false where the plan does not give what the weight needs; the error says that
// the weight is not over the feet.
func Stand(s *scene.Scene, l weight.Loads) (st Stance, known bool, err error) {
	var described bool
	if st.Contacts, described = s.Contacts(); !described {
		st.Assumed = []string{"the stand is not described: the cabinet bears along its two sides"}
	}
	var at r3.Vec
	known = true
	for _, state := range []weight.State{weight.Running, weight.PumpOff} {
		m, where, ok := l.Total(state)
		known = known && ok
		if f := m.Weight(); f > st.Force {
			st.Force, at = f, where
		}
	}
	if st.Force == 0 {
		return st, false, nil
	}
	st.Bed, err = ground.Settle(patches(st.Contacts), st.Force.N(), at.X, at.Y)
	return st, known, err
}

func patches(cs []scene.Contact) []ground.Patch {
	out := make([]ground.Patch, len(cs))
	for i, c := range cs {
		out[i] = ground.Of(c)
	}
	return out
}

// softFloor is the pressure from which soft coverings, as vinyl, cork and
// carpet, keep a dent: common practice, no source.
const softFloor = 1 * unit.MegaPascal

// checkFeet reports the force and pressure under each foot and how far the stand
// may lean.
func checkFeet(s *scene.Scene, l weight.Loads) ([]verdict.Finding, []verdict.LeftOut) {
	st, known, err := Stand(s, l)
	if !known {
		return nil, missing("weight/feet", l)
	}
	f := verdict.Finding{ID: "weight/feet", Room: math.NaN(), Assumed: slices.Concat(st.Assumed, l.Assumed)}
	if err != nil {
		f.Verdict = verdict.No
		f.Summary = "the weight is not over the feet: the stand tips by itself"
		f.Measures = verdict.Measures{{Key: "largest_n", Value: nil}, {Key: "pressure_kpa", Value: nil}, {Key: "tip_deg", Value: 0.0}}
		return []verdict.Finding{f}, nil
	}
	f.Verdict = verdict.OK
	f.Source = []string{"stiff stand on equal springs that only push (Winkler)"}
	var largest, pressure, perMetre float64
	heaviest := ""
	names := make([]string, len(st.Contacts))
	forces, pressures := make([]float64, len(st.Contacts)), make([]float64, len(st.Contacts))
	for i, c := range st.Contacts {
		names[i], forces[i] = c.Name, st.Bed.Force(ground.Of(c))
		pressures[i] = unit.Pressure(st.Bed.Peak(ground.Of(c))).KPa()
		if forces[i] > largest {
			largest, heaviest = forces[i], c.Name
		}
		pressure = max(pressure, st.Bed.Peak(ground.Of(c)))
		if c.Long() {
			p := ground.Of(c)
			perMetre = max(perMetre, forces[i]/max(p.X1-p.X0, p.Y1-p.Y0)*1000)
		}
	}
	tips := leaning(s, l, st.Contacts)
	f.Measures = verdict.Measures{
		{Key: "largest_n", Value: largest},
		{Key: "pressure_kpa", Value: unit.Pressure(pressure).KPa()},
		{Key: "tip_deg", Value: tips.least},
		{Key: "foot", Value: names},
		{Key: "foot_n", Value: forces},
		{Key: "foot_kpa", Value: pressures},
	}
	f.Summary = fmt.Sprintf("%s presses hardest, with %s (%s on the house floor)", heaviest, mass(s, largest), PressureText(s, pressure))
	if perMetre > 0 {
		f.Measures = append(f.Measures, verdict.Measure{Key: "per_metre_n", Value: perMetre})
		length := unit.Length(1000)
		if s.Units == unit.Inches {
			length = unit.Foot
		}
		f.Summary += fmt.Sprintf(", %s on each %s of it", mass(s, perMetre*length.M()), s.Units.Length(length))
	}
	if off, name, ok := oneOff(st); ok {
		f.Measures = append(f.Measures, verdict.Measure{Key: "largest_one_off_n", Value: off})
		f.Summary += fmt.Sprintf("; with one foot off the floor, %s takes %s", name, mass(s, off))
	}
	for _, t := range tips.states {
		key := states[t.state]
		f.Measures = append(f.Measures,
			verdict.Measure{Key: "tip_" + key + "_deg", Value: t.angle},
			verdict.Measure{Key: "push_" + key + "_n", Value: t.push})
	}
	if t, ok := tips.of(weight.Running); ok {
		f.Summary += fmt.Sprintf("; it tips %s at a lean of %.0f°, or by a push of %s at the top edge", t.way, math.Floor(t.angle), mass(s, t.push))
		if e, ok := tips.of(weight.Empty); ok {
			f.Summary += fmt.Sprintf(" (empty: %.0f°, %s)", math.Floor(e.angle), mass(s, e.push))
		}
	}
	if t, ok := tips.falls(); ok && t.inside < s.Tape {
		f.Verdict = verdict.Unsure
		if t.inside < -s.Tape && len(f.Assumed) == 0 {
			f.Verdict = verdict.No
		}
		f.Summary = states[t.state] + ", its weight is over the edge of the feet: a touch tips it " + t.way
		if t.inside < -s.Tape {
			f.Summary = fmt.Sprintf("%s, its weight is %s outside of the feet: it tips %s by itself", states[t.state], s.Units.Length(-t.inside), t.way)
		}
		f.Again = "measure again where the feet are"
		return []verdict.Finding{f}, nil
	}
	if pressure > softFloor.MPa() {
		f.Summary += "; a soft floor (vinyl, cork, carpet) keeps dents: spread the load with plates"
	}
	return []verdict.Finding{f}, nil
}

// states are those that a stand is to stand in, as keys name them and people do.
var states = map[weight.State]string{weight.Empty: "empty", weight.Running: "running", weight.Filling: "filling"}

// PressureText prints a pressure as people know it from tyres or tables.
func PressureText(s *scene.Scene, mpa float64) string {
	p := unit.Pressure(mpa)
	if s.Units == unit.Inches {
		return fmt.Sprintf("%.0f psi", math.Ceil(p.PSI()))
	}
	return fmt.Sprintf("%.0f kPa", math.Ceil(p.KPa()))
}

// oneOff returns the largest force under a foot when another is off the floor:
// for four feet or more, none of them a strip.
func oneOff(st Stance) (force float64, name string, ok bool) {
	if len(st.Contacts) < 4 || slices.ContainsFunc(st.Contacts, scene.Contact.Long) {
		return 0, "", false
	}
	// Where the weight acts, from the balance of the pressure.
	var x, y float64
	for _, c := range st.Contacts {
		p := ground.Of(c)
		share := st.Bed.Force(p) / st.Force.N()
		x += share * (p.X0 + p.X1) / 2
		y += share * (p.Y0 + p.Y1) / 2
	}
	for i := range st.Contacts {
		rest := slices.Delete(slices.Clone(st.Contacts), i, i+1)
		bed, err := ground.Settle(patches(rest), st.Force.N(), x, y)
		if err != nil {
			continue // it comes down on that foot
		}
		for _, c := range rest {
			if f := bed.Force(ground.Of(c)); f > force {
				force, name = f, c.Name
			}
		}
	}
	return force, name, force > 0
}

// A tip is how a stand tips in one state.
type tip struct {
	state weight.State
	angle float64 // degrees of lean at which it goes over
	push  float64 // N, level, at the top edge
	way   string  // which way it goes
	// inside is how far the weight is within the edge over which it goes; negative: it
	// goes over by itself.
	inside unit.Length
}

type tips struct {
	states []tip
	least  float64
}

func (t tips) of(st weight.State) (tip, bool) {
	i := slices.IndexFunc(t.states, func(x tip) bool { return x.state == st })
	if i < 0 {
		return tip{}, false
	}
	return t.states[i], true
}

// falls returns the state in which the weight is least within the feet.
func (t tips) falls() (tip, bool) {
	if len(t.states) == 0 {
		return tip{}, false
	}
	return slices.MinFunc(t.states, func(a, b tip) int { return cmp.Compare(a.inside, b.inside) }), true
}

// leaning finds for each state the edge over which the stand goes first: the
// angle is that between the plumb line and the line from the edge to the centre
// of gravity, and the push at the display's top edge (the cabinet's where there
// is none) is what lifts the other side. Water that moves is not in it.
//
// Source: statics of a stiff body on a level floor.
func leaning(s *scene.Scene, l weight.Loads, contacts []scene.Contact) tips {
	top := s.Cabinet.Height.MM()
	if s.Display != nil {
		top = s.Display.Box.Max.Z
	}
	hull := hullOf(contacts)
	out := tips{least: math.NaN()}
	for _, st := range []weight.State{weight.Empty, weight.Running, weight.Filling} {
		m, at, ok := l.Total(st)
		if !ok || m == 0 || at.Z <= 0 {
			continue
		}
		t := tip{state: st, angle: math.Inf(1)}
		for i, a := range hull {
			b := hull[(i+1)%len(hull)]
			e := r3.Sub(b, a)
			n := r3.Unit(r3.Vec{X: e.Y, Y: -e.X}) // outward of a counter-clockwise hull
			d := r3.Dot(n, r3.Sub(a, r3.Vec{X: at.X, Y: at.Y}))
			if angle := math.Atan2(d, at.Z) / float64(unit.Degree); angle < t.angle {
				t.angle = angle
				t.push = m.Weight().N() * max(0, d) / top
				t.way, t.inside = direction(n), unit.Length(d)
			}
		}
		if !math.IsInf(t.angle, 1) {
			out.states = append(out.states, t)
			if !(out.least <= t.angle) {
				out.least = t.angle
			}
		}
	}
	return out
}

// direction names the way of a level vector as one stands before the cabinet.
func direction(n r3.Vec) string {
	switch {
	case math.Abs(n.Y) >= math.Abs(n.X) && n.Y < 0:
		return "forward"
	case math.Abs(n.Y) >= math.Abs(n.X):
		return "backward"
	case n.X < 0:
		return "to the left"
	}
	return "to the right"
}

// hullOf returns the convex hull of contacts in plan, counter-clockwise seen from
// above.
func hullOf(contacts []scene.Contact) []r3.Vec {
	var pts []r3.Vec
	for _, c := range contacts {
		for _, p := range ground.Of(c).Corners() {
			pts = append(pts, r3.Vec{X: p[0], Y: p[1]})
		}
	}
	slices.SortFunc(pts, func(a, b r3.Vec) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	pts = slices.Compact(pts)
	half := func(pts []r3.Vec) []r3.Vec {
		var h []r3.Vec
		for _, p := range pts {
			for len(h) >= 2 && r3.Cross(r3.Sub(h[len(h)-1], h[len(h)-2]), r3.Sub(p, h[len(h)-1])).Z <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h[:len(h)-1]
	}
	lower := half(pts)
	slices.Reverse(pts)
	return append(lower, half(pts)...)
}
