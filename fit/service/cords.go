package service

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Wanted of cords, each common practice, no source.
const (
	// dripLoop is how far a cord hangs below its outlet before it rises to it, so
	// that water that runs along it drips off.
	dripLoop = 2 * unit.Inch
	// slack is how much longer than its way a cord is wanted, so that a thing can be
	// lifted out before it is unplugged.
	slack = 6 * unit.Inch
)

const sourceCord = "drip loop of 2 in, slack of 6 in, strips above the rim: common practice, no source"

// Cords is the part of Check that looks for nothing: it judges every cord, hose and
// power strip that the plan tells of.
func Cords(s *scene.Scene) verdict.Findings {
	var out verdict.Findings
	for i := range s.Equipment {
		e := &s.Equipment[i]
		if e.Cord == nil {
			continue
		}
		for _, f := range passes(s, e) {
			out.Add(f)
		}
		out.Add(length(s, e))
	}
	for _, p := range strips(s) {
		out.Checks = append(out.Checks, strip(s, p))
	}
	return out
}

// word is what the finding calls a cord.
func word(c *scene.Cord) string {
	if c.Hose {
		return "hose"
	}
	return "cord"
}

// passes judges what is on a cord against each hole it is led through.
func passes(s *scene.Scene, e *scene.Equipment) []verdict.Findings {
	c := e.Cord
	var out []verdict.Findings
	for _, name := range c.Through {
		h, ok := s.Cabinet.Hole(name)
		if !ok {
			continue
		}
		id := "service/" + word(c) + " " + e.Name + "/" + name
		var f verdict.Findings
		if c.Plug == nil && c.Barb == nil && c.Round == nil && c.Brick == nil {
			key := "cord: {plug: …} of " + e.Name
			if c.Hose {
				key = "hose: {barb: …} of " + e.Name
			}
			f.LeftOut = append(f.LeftOut, verdict.LeftOut{ID: id, Add: key})
			out = append(out, f)
			continue
		}
		f.Checks = []verdict.Finding{through(s, e, h, id)}
		out = append(out, f)
	}
	return out
}

// An end is something on a cord that has to pass a hole.
type end struct {
	what  string
	sizes string
	fit   fit
}

// ends returns what has to pass a hole.
func ends(s *scene.Scene, c *scene.Cord, h *scene.Hole) []end {
	var out []end
	box := func(what string, size *[3]unit.Length) {
		if size != nil {
			out = append(out, end{what, s.Units.Size(size[:]...), boxThrough(*size, h)})
		}
	}
	round := func(what string, d *unit.Length, long bool) {
		if d != nil {
			out = append(out, end{what, s.Units.Length(*d) + " across", roundThrough(*d, long, h)})
		}
	}
	box("plug", c.Plug)
	box("transformer", c.Brick)
	round("end", c.Barb, false)
	round(word(c), c.Round, true)
	return out
}

// through judges one cord against one hole: what passes worst counts.
func through(s *scene.Scene, e *scene.Equipment, h *scene.Hole, id string) verdict.Finding {
	tape := max(s.Tape, e.Tape, h.Tape)
	f := verdict.Finding{ID: id, Room: math.NaN(), Source: []string{"rectangle in a rectangle: W. B. Carver, American Mathematical Monthly 64 (1957)"}}
	var worst end
	var v verdict.Verdict
	for i, x := range ends(s, e.Cord, h) {
		j := x.fit.spare.Judge(0, tape)
		if i == 0 || j.Rank() > v.Rank() || j == v && x.fit.spare.Lo < worst.fit.spare.Lo {
			worst, v = x, j
		}
	}
	f.Verdict = v
	w, ht := h.Size()
	hole := s.Units.Size(w, ht)
	if h.Round {
		hole = s.Units.Length(w) + " round"
	}
	what := fmt.Sprintf("the %s of %s (%s)", worst.what, e.Name, worst.sizes)
	switch v {
	case verdict.No:
		f.Summary = fmt.Sprintf("%s does not pass %s (%s), however it is turned: shown impossible", what, h.Name, hole)
	case verdict.Unsure:
		f.Summary = fmt.Sprintf("%s does not pass %s (%s) pushed straight, and is not shown not to pass it tilted", what, h.Name, hole)
		if worst.fit.spare.Hi <= 0 {
			f.Summary = fmt.Sprintf("whether %s passes %s (%s) is too close to call", what, h.Name, hole)
		}
	case verdict.OK, verdict.Tight:
		how := "pushed straight"
		if worst.fit.turned {
			how = "pushed straight, turned askew"
		}
		f.Summary = fmt.Sprintf("%s passes %s (%s) %s, %s to spare on every side", what, h.Name, hole, how, s.Units.AtLeast(max(0, worst.fit.spare.Lo)))
	}
	f.Measures = verdict.Measures{
		{Key: "spare_low_mm", Value: worst.fit.spare.Lo.MM()},
		{Key: "spare_high_mm", Value: worst.fit.spare.Hi.MM()},
		{Key: "hole", Value: h.Name},
		{Key: "what", Value: worst.what},
	}
	if v != verdict.OK {
		f.Again = "measure the hole and the " + worst.what + " again"
		m := h.Middle()
		f.Marks = []scene.Mark{{From: m, To: m, Label: hole, Parts: wallOf(s, h)}}
	}
	f.Room = math.Abs(worst.fit.spare.Lo.MM() - tape.MM())
	return f
}

// wallOf returns the part of the cabinet that a hole is in.
func wallOf(s *scene.Scene, h *scene.Hole) []string {
	m := h.Middle()
	for _, p := range s.Cabinet.Panels() {
		b := p.Solid.Bounds()
		if m.X >= b.Min.X && m.X <= b.Max.X && m.Y >= b.Min.Y && m.Y <= b.Max.Y && m.Z >= b.Min.Z && m.Z <= b.Max.Z {
			return []string{p.Name}
		}
	}
	return nil
}

// A line is the points that a cord is led along, from the thing on.
type line []r3.Vec

func (l line) length() unit.Length {
	sum := 0.0
	for i := 1; i < len(l); i++ {
		sum += r3.Norm(r3.Sub(l[i], l[i-1]))
	}
	return unit.Length(sum)
}

// length judges how long a cord is against its way: straight from place to place
// is the least it can be; led up and over, along, and down in a drip loop is what
// it is wanted to be.
func length(s *scene.Scene, e *scene.Equipment) verdict.Findings {
	c := e.Cord
	id := "service/" + word(c) + " " + e.Name
	if c.To == "" && len(c.Through) == 0 {
		return verdict.Findings{LeftOut: []verdict.LeftOut{{ID: id, Add: word(c) + ": {to: …} of " + e.Name}}}
	}
	if c.Length == nil {
		return verdict.Findings{LeftOut: []verdict.LeftOut{{ID: id, Add: word(c) + ": {length: …} of " + e.Name}}}
	}
	stops, names := stopsOf(s, c)
	led := ledAlong(s, e, stops)
	wanted := slack
	loop := unit.Length(0)
	if !c.Hose && c.To != "" {
		loop = dripOf(led)
		wanted += loop
	}
	long := *c.Length
	m := verdict.Margin{Lo: long - led.length(), Hi: long - shortest(e, stops)}
	tape := max(s.Tape, e.Tape)
	f := verdict.Finding{
		ID: id, Verdict: m.Judge(wanted, tape), Source: []string{sourceCord},
		Room: math.Abs(m.Lo.MM() - wanted.MM()),
		Measures: verdict.Measures{
			{Key: "length_mm", Value: long.MM()},
			{Key: "way_mm", Value: (led.length() + loop).MM()},
			{Key: "shortest_mm", Value: (long - m.Hi).MM()},
			{Key: "slack_mm", Value: (m.Lo - loop).MM()},
			{Key: "drip_loop_mm", Value: loop.MM()},
		},
	}
	if slices.ContainsFunc(e.Bodies, func(b scene.Body) bool { return b.Assumed }) && f.Verdict == verdict.No {
		f.Verdict = verdict.Unsure // nobody measured where it stands
	}
	name := "the " + word(c) + " of " + e.Name
	to := list(names)
	switch sys := s.Units; f.Verdict {
	case verdict.OK:
		f.Summary = fmt.Sprintf("%s (%s) reaches %s, led over and along, with %s to spare", name, sys.Length(long), to, sys.AtLeast(m.Lo-loop))
		if loop > 0 {
			f.Summary += " beside a drip loop of " + sys.Length(dripLoop)
		}
	case verdict.Tight:
		f.Summary = fmt.Sprintf("%s (%s) reaches %s, but with %s to spare where %s are wanted", name, sys.Length(long), to, sys.AtLeast(m.Lo), sys.Length(wanted))
		if m.Lo < loop {
			f.Summary = fmt.Sprintf("%s (%s) reaches %s, but not with a drip loop of %s below the outlet", name, sys.Length(long), to, sys.Length(dripLoop))
		}
	case verdict.No:
		f.Summary = fmt.Sprintf("%s (%s) does not reach %s: straight from place to place it is %s", name, sys.Length(long), to, sys.AtLeast(long-m.Hi))
	case verdict.Unsure:
		f.Summary = fmt.Sprintf("%s (%s) reaches %s only pulled straighter than %s, over and along", name, sys.Length(long), to, sys.AtMost(led.length()))
	}
	if f.Verdict != verdict.OK {
		f.Again = "measure the " + word(c) + " of " + e.Name + " again"
		f.Marks = []scene.Mark{{From: led[0], To: led[len(led)-1], Label: s.Units.Length(long), Parts: []string{partName(e)}}}
	}
	return verdict.Findings{Checks: []verdict.Finding{f}}
}

// partName returns the name of a thing's first part.
func partName(e *scene.Equipment) string {
	switch b := e.Bodies[0]; {
	case b.Name != "":
		return e.Name + "/" + b.Name
	case len(e.Bodies) > 1:
		return e.Name + "/part 1"
	}
	return e.Name
}

// stopsOf returns where a cord is led: the holes, then what it ends at.
func stopsOf(s *scene.Scene, c *scene.Cord) (stops []r3.Box, names []string) {
	for _, n := range c.Through {
		if h, ok := s.Cabinet.Hole(n); ok {
			stops, names = append(stops, h.Box), append(names, n)
		}
	}
	if b, ok := boxNamed(s, c.To); ok {
		to := c.To
		if to == sumpName {
			to = "the sump"
		}
		stops, names = append(stops, b), append(names, to)
	}
	return stops, names
}

// boxNamed returns the box round a thing, a fixture or a part.
func boxNamed(s *scene.Scene, name string) (r3.Box, bool) {
	var parts []scene.Part
	for _, p := range s.AtRest() {
		if name != "" && (p.Name == name || p.Of == name) {
			parts = append(parts, p)
		}
	}
	return boundsOf(parts), len(parts) > 0
}

// ledAlong returns the way of a cord that is led as people do: straight up from the
// top of the thing, out over the sump's rim, along the walls, and up or down to each
// stop.
func ledAlong(s *scene.Scene, e *scene.Equipment, stops []r3.Box) line {
	b := boundsOfBodies(e)
	at := middle(b)
	at.Z = b.Max.Z
	l := line{at}
	height := at.Z
	for _, stop := range stops {
		to := middle(stop)
		if inSump(s, at) || inSump(s, to) {
			height = max(height, rimTop(s.Sump))
		}
		for _, p := range []r3.Vec{
			{X: at.X, Y: at.Y, Z: height}, {X: to.X, Y: at.Y, Z: height}, {X: to.X, Y: to.Y, Z: height}, to,
		} {
			if p != l[len(l)-1] {
				l = append(l, p)
			}
		}
		at, height = to, to.Z
	}
	return l
}

// inSump tells whether a point is between the walls of the sump.
func inSump(s *scene.Scene, p r3.Vec) bool {
	if s.Sump == nil {
		return false
	}
	b := s.Sump.Box
	return p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y && p.Z < rimTop(s.Sump)
}

// dripOf returns how much longer a way gets by a drip loop at its end: down below
// the outlet and up again, unless it comes from as far below as it is.
func dripOf(l line) unit.Length {
	n := len(l)
	below := 0.0
	if n > 1 {
		below = l[n-1].Z - l[n-2].Z
	}
	return 2 * max(0, dripLoop-unit.Length(max(0, below)))
}

// shortest returns a length that no way of the cord is shorter than: straight from
// the thing to each stop.
func shortest(e *scene.Equipment, stops []r3.Box) unit.Length {
	sum := 0.0
	from := boundsOfBodies(e)
	for _, to := range stops {
		sum += apart(from, to)
		from = to
	}
	return unit.Length(sum)
}

// apart returns the distance between two boxes.
func apart(a, b r3.Box) float64 {
	gap := func(a0, a1, b0, b1 float64) float64 { return max(0, b0-a1, a0-b1) }
	return r3.Norm(r3.Vec{
		X: gap(a.Min.X, a.Max.X, b.Min.X, b.Max.X),
		Y: gap(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y),
		Z: gap(a.Min.Z, a.Max.Z, b.Min.Z, b.Max.Z),
	})
}

func boundsOfBodies(e *scene.Equipment) r3.Box {
	solids := make([]solid.Solid, len(e.Bodies))
	for i, b := range e.Bodies {
		solids[i] = b.Solid
	}
	return solid.BoundsOf(solids...)
}

// strips returns the names of what plugs are in: things of kind power, what cords
// end at, and fixtures at which a hand plugs something in.
func strips(s *scene.Scene) []string {
	if s.Sump == nil {
		return nil
	}
	var names []string
	add := func(n string) {
		if n != "" && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	for i := range s.Equipment {
		e := &s.Equipment[i]
		if e.Kind == "power" {
			add(e.Name)
		}
		if e.Cord != nil && !e.Cord.Hose {
			add(e.Cord.To)
		}
	}
	for _, p := range s.Places() {
		if p.Task == scene.TaskPlug {
			of, _, _ := strings.Cut(p.On, "/")
			add(of)
		}
	}
	return names
}

// strip judges whether what cords are plugged into is above the sump's rim and
// beside its open water.
func strip(s *scene.Scene, name string) verdict.Finding {
	b, _ := boxNamed(s, name)
	above := unit.Length(b.Min.Z - rimTop(s.Sump))
	water := s.Sump.Inside()
	if r := s.Sump.Rim; r != nil { // it covers as much of the water
		in := r3.Vec{X: r.In.MM(), Y: r.In.MM()}
		water.Min, water.Max = r3.Add(water.Min, in), r3.Sub(water.Max, in)
	}
	beside := unit.Length(max(b.Min.X-water.Max.X, water.Min.X-b.Max.X, b.Min.Y-water.Max.Y, water.Min.Y-b.Max.Y))
	tape := max(s.Tape, s.Sump.Tape)
	f := verdict.Finding{
		ID: "service/strip " + name, Room: math.Abs(min(above, beside).MM()),
		Source: []string{sourceCord},
		Measures: verdict.Measures{
			{Key: "above_rim_mm", Value: above.MM()},
			{Key: "beside_mm", Value: beside.MM()},
		},
	}
	f.Verdict = verdict.Worst(verdict.Exactly(above).Judge(0, tape), verdict.Exactly(beside).Judge(0, tape))
	if f.Verdict == verdict.No && (s.Sump.Assumed || assumedPlace(s, name)) {
		f.Verdict = verdict.Unsure
	}
	how := func(l unit.Length, yes, no string) string {
		if l >= 0 {
			return s.Units.AtLeast(l) + " " + yes
		}
		return s.Units.AtLeast(-l) + " " + no
	}
	f.Summary = "hangs " + how(above, "above the sump's rim", "below the sump's rim") + " and " + how(beside, "beside its open water", "over its open water")
	if f.Verdict != verdict.OK {
		f.Summary += "; it should hang above the rim and beside the water"
		f.Again = "measure again where " + name + " and the sump are"
		m := middle(b)
		f.Marks = []scene.Mark{{From: m, To: m, Label: name, Parts: partsNamed(s, name)}}
	}
	return f
}

func partsNamed(s *scene.Scene, name string) []string {
	var out []string
	for _, p := range s.AtRest() {
		if p.Name == name || p.Of == name {
			out = append(out, p.Name)
		}
	}
	return out
}

// assumedPlace tells whether something of a name stands where nobody measured.
func assumedPlace(s *scene.Scene, name string) bool {
	return slices.ContainsFunc(s.AtRest(), func(p scene.Part) bool {
		return (p.Name == name || p.Of == name) && p.Sure == nil
	})
}
