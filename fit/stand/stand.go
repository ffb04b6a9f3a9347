// Package stand judges what carries the display: each timber and board of the
// stand against the load on it, and the feet on the house floor.
package stand

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/fit/internal/wood"
	"undercroft/fit/verdict"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// The cautions of everything that speaks of what carries the tank.
const (
	CautionCarry = "Stand and floor: planning figures. Local codes and a licensed engineer decide."
	CautionLook  = "Look at the real wood: notches, rot, splits, knots and wiring holes are not in these figures."
	CautionSway  = "Joints and sideways sway are not judged: glue and screw the stand, and brace it or close its back."
)

const standard = unit.StandardGravity

// Check judges every member of the stand (stand/MEMBER), the edges of the
// display on it (stand/edges) and the feet (weight/feet).
func Check(s *scene.Scene) verdict.Findings {
	var out verdict.Findings
	l := weight.Compute(s)
	switch {
	case s.Stand == nil || len(s.Stand.Members) == 0 && s.Stand.Board == "":
		out.LeftOut = append(out.LeftOut, verdict.LeftOut{ID: "stand", Add: "stand"})
	case s.Display == nil:
		out.LeftOut = append(out.LeftOut, verdict.LeftOut{ID: "stand", Add: "display"})
	default:
		force, known := onTop(l)
		if !known {
			out.LeftOut = append(out.LeftOut, missing("stand", l)...)
			break
		}
		if len(s.Stand.Members) > 0 {
			out.Checks = append(out.Checks, frameFindings(s, l, force)...)
		} else {
			out.Checks = append(out.Checks, boardFindings(s, l, force)...)
		}
		out.Checks = append(out.Checks, level(s, out.Checks))
	}
	feet, left := checkFeet(s, l)
	out.Checks = append(out.Checks, feet...)
	out.LeftOut = append(out.LeftOut, left...)
	if len(out.Checks) > 0 {
		out.Cautions = []string{CautionCarry, CautionLook, CautionSway}
	}
	return out
}

// missing names the keys without which a mass is not known.
func missing(id string, l weight.Loads) []verdict.LeftOut {
	if len(l.LeftOut) == 0 {
		return []verdict.LeftOut{{ID: id, Add: "display.water"}}
	}
	var out []verdict.LeftOut
	for _, m := range l.LeftOut {
		m.ID = id
		if !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	return out
}

// bearsAssumed says in words what is not known of how the display bears.
func bearsAssumed(s *scene.Scene) []string {
	if s.Stand.Bears == scene.BearsUnknown {
		return []string{"how the display bears is not given: on its rim and on its whole bottom, the worse counts"}
	}
	return nil
}

// frameFindings solves the frame for each way of bearing.
func frameFindings(s *scene.Scene, l weight.Loads, force float64) []verdict.Finding {
	f := newFrame(s)
	lid := s.Cabinet.Lid.Thickness.MM()
	tops := f.tops(s.Cabinet.Height.MM() - lid)
	own, _, _ := l.On(weight.OfItself, weight.Running)
	below, belowKnown := inside(s, l)
	var shelf []*node
	if b := s.Cabinet.Bottom; b != nil && belowKnown && below.pressure > 0 {
		shelf = f.tops((b.Up - b.Thickness).MM())
	}
	var edges edgeCheck
	for _, b := range bearings(s, force) {
		for _, axis := range f.ways(b, tops) {
			f.clear()
			f.own(tops, own.Weight().N())
			for i, st := range b.strips {
				unheld, overhang := f.lay(st, tops, lid)
				edges.note(i, unheld, overhang)
			}
			if b.whole != nil {
				f.spread(*b.whole, tops, axis)
			}
			for _, across := range []scene.Axis{axis, across(axis)} {
				if len(shelf) > 0 && f.spread(below, shelf, across) {
					break
				}
			}
			f.settle()
		}
	}
	var out []verdict.Finding
	for _, n := range f.nodes {
		out = append(out, f.finding(n))
	}
	if b := s.Cabinet.Bottom; b != nil && s.Stand.Board != "" && len(shelf) == 0 {
		out = append(out, boardsAlone(s, below)...)
	}
	if p, ok := f.topBoard(force, tops); ok {
		out = append(out, p)
	}
	if len(tops) > 0 {
		out = append(out, edges.finding(s))
	} else {
		out = append(out, verdict.Finding{
			ID: "stand/edges", Room: math.NaN(), Measures: verdict.Measures{{Key: "unheld_mm", Value: nil}},
			Summary: "no timber of the stand reaches the underside of the board under the display: is its place right?",
		})
	}
	for i := range out {
		out[i].Assumed = append(out[i].Assumed, bearsAssumed(s)...)
		out[i].Assumed = append(out[i].Assumed, l.Assumed...)
	}
	return out
}

// topBoard judges the board on a frame where the display bears on its whole
// bottom and the plan names the board.
func (f *frame) topBoard(force float64, tops []*node) (verdict.Finding, bool) {
	lid := f.s.Cabinet.Lid.Thickness.MM()
	if f.s.Stand.Bears == scene.BearsRim || f.s.Stand.Board == "" || lid == 0 {
		return verdict.Finding{}, false
	}
	sheet, err := wood.LookSheet(f.s.Stand.Board, f.s.Stand.Damp)
	if err != nil {
		return unshown("stand/top", "top: not shown: "+wood.Plain(err)), true
	}
	// The widest gap between rails that run along an axis.
	gap := func(along scene.Axis) float64 {
		var at []float64
		for _, n := range tops {
			if n.m.Run == along {
				lo, hi := span(n.m.Box, across(along))
				at = append(at, (lo+hi)/2)
			}
		}
		slices.Sort(at)
		widest := 0.0
		for i := 1; i < len(at); i++ {
			widest = max(widest, at[i]-at[i-1])
		}
		return widest
	}
	box := f.s.Display.Box
	c := newCarcass(f.s, sheet)
	p := c.bay("top", lid, force, force/((box.Max.X-box.Min.X)*(box.Max.Y-box.Min.Y)), gap(scene.AlongY), gap(scene.AlongX))
	if f.s.Cabinet.Lid.Assumed {
		p.assumed = []string{"top " + f.s.Units.Length(f.s.Cabinet.Lid.Thickness) + " thick"}
	}
	return c.finding([]piece{p}), true
}

// unshown is a finding without a ratio.
func unshown(id, summary string) verdict.Finding {
	return verdict.Finding{
		ID: id, Room: math.NaN(), Summary: summary,
		Measures: verdict.Measures{{Key: "ratio", Value: nil}, {Key: "governs", Value: nil}},
	}
}

// ways returns the axes along which the members under an even pressure may carry
// it; for strips there is one way.
func (f *frame) ways(b bearing, tops []*node) []scene.Axis {
	if b.whole == nil {
		return []scene.Axis{scene.AlongX}
	}
	var out []scene.Axis
	for _, axis := range []scene.Axis{scene.AlongX, scene.AlongY} {
		if slices.ContainsFunc(tops, func(n *node) bool { return n.m.Run == axis }) {
			out = append(out, axis)
		}
	}
	return out
}

// An edgeCheck gathers where the edges of the display lie on no wood.
type edgeCheck struct {
	rim      bool // the display may bear on them
	unheld   [4]float64
	overhang [4]float64
}

func (e *edgeCheck) note(i int, unheld, overhang float64) {
	e.rim = true
	e.unheld[i] = max(e.unheld[i], unheld)
	e.overhang[i] = max(e.overhang[i], overhang)
}

// finding is a warning where an edge is not over wood; a display that bears on
// its whole bottom has none to check but those beyond the cabinet.
func (e *edgeCheck) finding(s *scene.Scene) verdict.Finding {
	f := verdict.Finding{ID: "stand/edges", Verdict: verdict.OK, Room: math.NaN()}
	box, tape := s.Display.Box, 2*s.Tape.MM()
	beyond := [4]float64{
		-box.Min.Y, box.Max.Y - s.Cabinet.Depth.MM(), -box.Min.X, box.Max.X - s.Cabinet.Width.MM(),
	}
	var bad []string
	worst, out := 0.0, 0.0
	for i, name := range edgeNames {
		worst, out = max(worst, e.unheld[i]), max(out, beyond[i])
		say := func(how string, by float64) {
			bad = append(bad, fmt.Sprintf("the %s edge %s %s", name, how, s.Units.Length(unit.Length(by))))
		}
		switch {
		case beyond[i] > tape:
			say("stands beyond the cabinet by", beyond[i])
		case e.overhang[i] > tape:
			say("reaches past the last rail by", e.overhang[i])
		case e.unheld[i] > tape:
			say("has no rail or wall under it for", e.unheld[i])
		}
	}
	f.Measures = verdict.Measures{{Key: "unheld_mm", Value: worst}, {Key: "beyond_mm", Value: out}}
	switch {
	case len(bad) > 0:
		f.Verdict = verdict.Tight
		f.Summary = "warning: an edge of the display is not over wood: " + strings.Join(bad, "; ")
	case !e.rim:
		f.Summary = "the display bears on its whole bottom, and all of it is over the cabinet"
	default:
		f.Summary = "every edge of the display is over wood"
	}
	return f
}

// finding reports one timber.
func (f *frame) finding(n *node) verdict.Finding {
	out := verdict.Finding{ID: "stand/" + n.m.Name, Room: math.NaN(), Source: n.timber.Sources}
	if n.timber.Assumed != "" {
		out.Assumed = append(out.Assumed, n.m.Name+": "+n.timber.Assumed)
	}
	if n.m.AssumedLength {
		out.Assumed = append(out.Assumed, n.m.Name+": as long as the cabinet")
	}
	what := n.m.Name + " (" + n.describe(f.s) + ")"
	if n.err != nil && n.burdened {
		u := unshown(out.ID, what+": not shown: "+wood.Plain(n.err))
		u.Source, u.Assumed = out.Source, out.Assumed
		return u
	}
	r := n.result
	if f.lost != "" && n.m.Run == scene.AlongZ {
		u := unshown(out.ID, what+": not shown: it is not seen where the load of "+f.lost+" goes")
		u.Source, u.Assumed = out.Source, out.Assumed
		return u
	}
	out.Verdict = r.overall.Judge()
	if !r.set {
		out.Verdict = verdict.OK
		out.Summary = what + " carries nothing of the tank"
		out.Measures = verdict.Measures{{Key: "ratio", Value: 0.0}, {Key: "governs", Value: nil}}
		return out
	}
	out.Measures = measures(r.overall, r.governs, r.parts, r.carries)
	if n.m.Run != scene.AlongZ && !n.onFloor {
		out.Measures = append(out.Measures, verdict.Measure{Key: "deflection_mm", Value: r.sag}, verdict.Measure{Key: "lasting_mm", Value: r.lasting})
	}
	out.Summary = what + " " + f.say(r.overall, r.governs, r.carries)
	if r.sag > worthSaying {
		out.Summary += fmt.Sprintf("; sags %s, in the long run %s", f.s.Units.Fine(unit.Length(r.sag)), f.s.Units.Fine(unit.Length(r.lasting)))
	}
	if r.screws > 0 && r.carries > 0 { // its own weight screws do hold
		out.Measures = append(out.Measures, verdict.Measure{Key: "screws_n", Value: r.screws})
		out.Summary += fmt.Sprintf("; hangs on screws at %s with %s, which are not judged: set it on wood", r.screwsAt, f.mass(r.screws))
		if out.Verdict != verdict.No {
			out.Verdict = verdict.Unsure
		}
	}
	if out.Verdict == verdict.No && f.s.Stand.Board != "" {
		out.Verdict = verdict.Unsure
		out.Summary += "; the boards on the frame may help, which is not counted"
	}
	if r.overall.High > 0.9 {
		next := f.next(n)
		value := any(next)
		if next == "" {
			value = nil
			out.Summary += "; no larger size in the table would do"
		} else {
			out.Summary += "; " + next + " would do"
		}
		out.Measures = append(out.Measures, verdict.Measure{Key: "next_size", Value: value})
	}
	return out
}

// describe names a timber by its size and kind.
func (n *node) describe(s *scene.Scene) string {
	size := n.m.Nominal
	if size == "" {
		size = s.Units.Size(n.m.Thickness, n.m.Depth)
	}
	if n.m.Plies > 1 {
		size = fmt.Sprintf("%d × %s", n.m.Plies, size)
	}
	if n.m.Class != "" {
		return size + ", " + n.m.Class
	}
	grade := n.m.Grade
	if grade == "1" || grade == "2" || grade == "3" {
		grade = "No. " + grade
	}
	return strings.TrimSuffix(strings.Join([]string{size, n.m.Species, grade}, ", "), ", ")
}

// worthSaying is the sag in mm from which a rail's sag stands in its sentence.
const worthSaying = 0.2

func (f *frame) mass(force float64) string { return mass(f.s, force) }

// mass prints a force as the mass that weighs so much.
func mass(s *scene.Scene, force float64) string { return s.Units.Mass(unit.Mass(force / standard)) }

func (f *frame) say(r wood.Ratio, governs string, carries float64) string {
	return say(f.s, r, governs, carries)
}

// say puts a ratio in words.
func say(s *scene.Scene, r wood.Ratio, governs string, carries float64) string {
	if carries == 0 {
		return fmt.Sprintf("carries nothing of the tank, and its share of the cabinet with %s of what it may (%s)", wood.Percent(r.High), governs)
	}
	if r.High > 1 && r.Low <= 1 {
		return fmt.Sprintf("carries %s: between %s and %s of what it may (%s)", mass(s, carries), wood.Percent(r.Low), wood.Percent(r.High), governs)
	}
	return fmt.Sprintf("carries %s: %s of what it may (%s)", mass(s, carries), wood.Percent(r.High), governs)
}

// measures of a member, in the order of the keys.
func measures(overall wood.Ratio, governs string, parts map[string]wood.Ratio, carries float64) verdict.Measures {
	out := verdict.Measures{
		{Key: "ratio", Value: overall.High},
		{Key: "governs", Value: governs},
		{Key: "ratio_low", Value: overall.Low},
		{Key: "load_n", Value: carries},
	}
	for _, name := range []string{wood.Bending, wood.Shear, wood.Bearing, wood.Deflection, wood.Compression} {
		if r, ok := parts[name]; ok {
			out = append(out, verdict.Measure{Key: name + "_ratio", Value: r.High})
		}
	}
	return out
}

// boardFindings judges a cabinet of boards.
func boardFindings(s *scene.Scene, l weight.Loads, force float64) []verdict.Finding {
	sheet, err := wood.LookSheet(s.Stand.Board, s.Stand.Damp)
	if err != nil {
		return []verdict.Finding{unshown("stand/boards", "not shown: "+wood.Plain(err))}
	}
	c := newCarcass(s, sheet)
	byName := map[string][]piece{}
	var order []string
	note := func(p piece) {
		if byName[p.name] == nil {
			order = append(order, p.name)
		}
		byName[p.name] = append(byName[p.name], p)
	}
	var edges edgeCheck
	for _, b := range bearings(s, force) {
		for i, st := range b.strips {
			length := 0.0
			if !c.under(i, st) {
				length = st.loads[len(st.loads)-1].To - st.loads[0].From
			}
			edges.note(i, length, 0)
		}
		for _, p := range c.pieces(b, l) {
			note(p)
		}
	}
	if below, known := inside(s, l); known && below.pressure > 0 {
		if p, ok := c.bottom(below); ok {
			note(p)
		}
	}
	var out []verdict.Finding
	for _, name := range order {
		out = append(out, c.finding(byName[name]))
	}
	out = append(out, edges.finding(s))
	for i := range out {
		out[i].Assumed = append(out[i].Assumed, bearsAssumed(s)...)
		out[i].Assumed = append(out[i].Assumed, l.Assumed...)
	}
	return out
}

// boardsAlone judges the inside bottom of a frame's skin, where no timber is
// under it.
func boardsAlone(s *scene.Scene, below field) []verdict.Finding {
	sheet, err := wood.LookSheet(s.Stand.Board, s.Stand.Damp)
	if err != nil || below.pressure == 0 {
		return nil
	}
	c := newCarcass(s, sheet)
	p, ok := c.bottom(below)
	if !ok {
		return nil
	}
	return []verdict.Finding{c.finding([]piece{p})}
}

// boardSteps are thicknesses of boards as sold, common practice, no source.
func boardSteps(s *scene.Scene) []float64 {
	if s.Units == unit.Inches {
		return []float64{12.7, 15.875, 19.05, 25.4, 28.575, 31.75, 38.1} // 1/2, 5/8, 3/4, 1, 1 1/8, 1 1/4 and 1 1/2 in
	}
	return []float64{12, 15, 18, 19, 22, 25, 28, 30, 38, 40}
}

// finding reports one board, over the ways of bearing.
func (c *carcass) finding(ways []piece) verdict.Finding {
	p := ways[0]
	out := verdict.Finding{ID: "stand/" + p.name, Room: math.NaN(), Source: c.sheet.Sources}
	what := fmt.Sprintf("%s (%s %s)", p.name, c.s.Units.Length(unit.Length(p.thickness)), c.s.Stand.Board)
	var r result
	for _, way := range ways {
		for _, a := range way.assumed {
			if !slices.Contains(out.Assumed, a) {
				out.Assumed = append(out.Assumed, a)
			}
		}
		one, err := way.judge(way.thickness)
		if err != nil {
			return unshown(out.ID, what+": not shown: "+wood.Plain(err))
		}
		r.note(one.Ratios, way.carries, one.Sag, one.Lasting)
	}
	if c.sheet.Assumed != "" {
		out.Assumed = append(out.Assumed, c.sheet.Assumed)
	}
	out.Verdict = r.overall.Judge()
	if out.Verdict == verdict.No && len(out.Assumed) > 0 && p.assumed != nil {
		out.Verdict = verdict.Unsure // the thickness is a guess, and a guess proves nothing
	}
	out.Measures = measures(r.overall, r.governs, r.parts, r.carries)
	out.Summary = what + " " + say(c.s, r.overall, r.governs, r.carries)
	if r.sag > 0 {
		out.Measures = append(out.Measures, verdict.Measure{Key: "deflection_mm", Value: r.sag}, verdict.Measure{Key: "lasting_mm", Value: r.lasting})
		out.Summary += fmt.Sprintf("; sags %s, in the long run %s", c.s.Units.Fine(unit.Length(r.sag)), c.s.Units.Fine(unit.Length(r.lasting)))
	}
	if out.Verdict == verdict.Unsure && p.hint != "" {
		out.Summary += "; " + p.hint
	}
	if r.overall.High > 0.9 {
		next := any(nil)
		for _, thick := range boardSteps(c.s) {
			if thick > p.thickness && enough(ways, thick) {
				text := c.s.Units.Length(unit.Length(thick))
				out.Summary += "; " + text + " thick would do"
				next = text
				break
			}
		}
		if next == nil && p.hint == "" {
			out.Summary += "; no thicker board as sold would do: carry it at more places"
		}
		out.Measures = append(out.Measures, verdict.Measure{Key: "next_size", Value: next})
	}
	return out
}

// enough tells whether a thickness would do however the display bears.
func enough(ways []piece, thick float64) bool {
	for _, way := range ways {
		r, err := way.judge(thick)
		if err != nil {
			return false
		}
		if q, _ := r.Overall(); q.Judge() != verdict.OK {
			return false
		}
	}
	return true
}

// level tells how much out of plane the top gets: what sags between supports,
// and the gap under a foot, which the weight pushes shut.
func level(s *scene.Scene, checks []verdict.Finding) verdict.Finding {
	sag, open := 0.0, 0
	for _, f := range checks {
		for _, m := range f.Measures {
			v, ok := m.Value.(float64)
			switch {
			case !ok || m.Key != "lasting_mm" || f.ID == "stand/inside bottom":
			case f.Verdict == verdict.Unsure:
				open++
			default:
				sag = max(sag, v)
			}
		}
	}
	gap := 0.0
	text := "; measure the gap under each foot while the stand is empty"
	if s.Stand.Uneven != nil {
		gap = s.Stand.Uneven.MM()
		text = fmt.Sprintf("; the gap of %s under a foot goes into the top when the weight pushes it shut", s.Units.Fine(*s.Stand.Uneven))
	}
	f := verdict.Finding{
		ID: "stand/level", Verdict: verdict.OK, Room: math.NaN(),
		Source: []string{"common practice, no source: tanks crack on a top that is not flat"},
	}
	total := sag + gap
	f.Summary = fmt.Sprintf("the top gets up to %s out of plane", s.Units.Fine(unit.Length(total)))
	if open > 0 { // what sags there is not shown
		total, sag = math.NaN(), math.NaN()
		f.Verdict = verdict.Unsure
		f.Summary = "how far the top gets out of plane is not shown, as not every part of it is"
	}
	f.Measures = verdict.Measures{
		{Key: "out_of_plane_mm", Value: total}, {Key: "sag_mm", Value: sag}, {Key: "uneven_mm", Value: gap},
	}
	f.Summary += "; tanks crack on a top that is not flat" + text
	if s.Stand.Uneven == nil {
		f.Again = "stand.uneven"
	}
	return f
}
