package fixes

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/fit"
	"undercroft/fit/glass"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// makers are the changes that are tried, in the order of their effort.
var makers = []func(*task){
	(*task).doorOff, (*task).doorAngle, (*task).sooner, (*task).displayOff, (*task).liftOut, (*task).turn, (*task).move,
	(*task).raise, (*task).longer, (*task).level, (*task).unscrew, (*task).pieces, (*task).drop, (*task).elsewhere, (*task).rimOff,
	(*task).baffle, (*task).otherTank, (*task).lowerWall, (*task).thicker, (*task).timber, (*task).cut,
}

// moves tells whether the check is about something on its way.
func (t *task) moves() bool { return t.kind == "" && t.in(fit.Passage, fit.Service) }

// doorOff takes a door off for the move, unless the plan says that it does not come
// off.
func (t *task) doorOff() {
	if !t.moves() {
		return
	}
	for i := range t.scene.Cabinet.Openings {
		o := &t.scene.Cabinet.Openings[i]
		at := key("cabinet.openings", i) + ".door.lifts-off"
		if o.Door == nil || o.Door.LiftsOff || t.given(at) {
			continue
		}
		t.change(Fix{
			Effort: DoorOff, Text: "take the door of " + o.Name + " off its hinges for the move",
			Edits: []plan.Edit{{Key: at, Value: "yes"}},
		})
	}
}

// anglesApart is the step in degrees in which doors are opened farther.
const anglesApart = 5

// doorAngle opens a door farther, for what moves and for hands, or less far where
// it strikes something. Where the plan tells how wide the open door leaves the
// opening, that is how far it goes.
func (t *task) doorAngle() {
	if !t.moves() && !t.in(fit.Reach, fit.Gap) {
		return
	}
	for i := range t.scene.Cabinet.Openings {
		o := &t.scene.Cabinet.Openings[i]
		if o.Door == nil || o.Door.Clear != nil {
			continue
		}
		strikes := t.in(fit.Gap) && t.about[0] == o.Name+" door"
		if t.in(fit.Gap) && !strikes {
			continue
		}
		now := t.scene.DoorAngle(o).Deg()
		at := func(n int) int {
			if strikes {
				return int(math.Ceil(now/anglesApart))*anglesApart - n*anglesApart
			}
			return int(math.Floor(now/anglesApart))*anglesApart + n*anglesApart
		}
		const flat, little = 180, 30 // beyond flat against the front, and as good as closed
		most, how := (flat-at(0))/anglesApart, "let the door of %s open as far as %d° (it opens %.0f° now): other hinges, or no stop"
		if strikes {
			most, how = (at(0)-little)/anglesApart, "stop the door of %s at %d° (it opens %.0f° now)"
		}
		edits := func(n int) []plan.Edit {
			return []plan.Edit{{Key: key("cabinet.openings", i) + ".door.opens", Value: strconv.Itoa(at(n))}}
		}
		// A door that is open far is no more in the way than one that is off.
		off := []plan.Edit{{Key: key("cabinet.openings", i) + ".door", Value: "none"}}
		if !strikes && !t.reaches(t.enough(), off) {
			continue
		}
		first := most // the farther open, the less it is in the way
		if strikes {
			first = 1
		}
		t.pull(lever{first: first, most: most, edits: edits, steady: true, fix: func(n int) Fix {
			return Fix{Effort: DoorAngle, Text: fmt.Sprintf(how, o.Name, at(n), now)}
		}})
	}
}

// enough is the least that a fix must come to.
func (t *task) enough() verdict.Verdict {
	if t.was == verdict.No {
		return verdict.Tight
	}
	return verdict.OK
}

// sooner brings a thing in before others, as few as will do.
func (t *task) sooner() {
	if !t.in(fit.Passage) {
		return
	}
	if _, _, ok := t.item(t.about[0]); !ok {
		return
	}
	var order []int // of the equipment, as it goes in
	for i := range t.scene.Equipment {
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return t.scene.Equipment[a].Order - t.scene.Equipment[b].Order })
	at := slices.IndexFunc(order, func(i int) bool { return t.scene.Equipment[i].Name == t.about[0] })
	edits := func(n int) []plan.Edit {
		next := slices.Clone(order)
		next = slices.Insert(slices.Delete(next, at, at+1), at-n, order[at])
		var out []plan.Edit
		for k, i := range next {
			if t.scene.Equipment[i].Order != k+1 {
				out = append(out, plan.Edit{Key: key("equipment", i) + ".order", Value: strconv.Itoa(k + 1)})
			}
		}
		return out
	}
	t.pull(lever{first: at, most: at, edits: edits, steady: true, fix: func(n int) Fix {
		return Fix{Effort: Sooner, Text: "bring " + t.about[0] + " in before " + t.scene.Equipment[order[at-n]].Name}
	}})
}

// displayOff brings things in before the display stands, or while a dry one is
// off again. A filled one stays where it is.
func (t *task) displayOff() {
	d := t.scene.Display
	if !t.moves() || d == nil || t.full() {
		return
	}
	for i := range t.scene.Cabinet.Openings {
		o := &t.scene.Cabinet.Openings[i]
		switch {
		case d.Standing == scene.Dry && o.BeforeDisplay:
			t.change(Fix{
				Effort: DisplayOff, Text: "lift the dry display off the cabinet first, and use " + o.Name,
				Edits:   []plan.Edit{{Key: "display.standing", Value: "not yet"}},
				Caution: "Glass is lifted by two people or more. Later nothing comes out that way.",
			})
		case d.Standing == scene.NotYet && !o.BeforeDisplay && o.Side == scene.Top && !o.OpenFace:
			t.change(Fix{
				Effort: DisplayOff, Text: "use " + o.Name + " before the display stands on the cabinet",
				Edits:   []plan.Edit{{Key: key("cabinet.openings", i) + ".when", Value: "before display"}},
				Caution: "Later nothing comes out that way.",
			})
		}
	}
}

func (t *task) liftOut() { t.fixtureOut(scene.ComesOutLifts, LiftOut, "lift %s out, and leave it out") }

func (t *task) unscrew() {
	t.fixtureOut(scene.ComesOutScrews, Unscrew, "screw %s off, and leave it off")
}

// fixtureOut takes out a fixture that comes out. One of which the plan does not say
// that it holds up nothing stays; where it would help, it is named.
func (t *task) fixtureOut(how scene.ComesOut, effort Effort, text string) {
	if !t.moves() && !t.in(fit.Gap, fit.Reach) {
		return
	}
	for i := range t.scene.Cabinet.Fixtures {
		x := &t.scene.Cabinet.Fixtures[i]
		if x.ComesOut != how {
			continue
		}
		edits := []plan.Edit{{Key: key("cabinet.fixtures", i)}}
		switch x.Bears {
		case scene.No:
			t.change(Fix{Effort: effort, Text: fmt.Sprintf(text, x.Name), Edits: edits})
		case scene.Unknown:
			if t.promising(edits, verdict.No) {
				t.bears = append(t.bears, x.Name)
			}
		case scene.Yes:
		}
	}
}

// turn turns a thing where it stands.
func (t *task) turn() {
	if !t.moves() && !t.in(fit.Gap) {
		return
	}
	for _, name := range append(slices.Clone(t.about), t.overlapped()...) {
		if name == sump {
			t.turnSump()
			continue
		}
		e, at, ok := t.item(name)
		if !ok || t.given(at+".from") || t.touched(e.Name) {
			continue
		}
		now := 0.0
		if text, given := t.draft.Value(at + ".turn"); given {
			a, err := unit.ParseAngle(text)
			if err != nil {
				continue
			}
			now = a.Deg()
		}
		turns := []float64{90, 180, 270}
		if askew := math.Mod(now, 90); askew != 0 { // along the walls, too
			turns = []float64{90 - askew, 90, 180 - askew, 180, 270 - askew, 270, 360 - askew}
		}
		for _, by := range turns {
			to := math.Mod(now+by, 360)
			done := t.offer(Fix{
				Effort: Turn, Text: fmt.Sprintf("turn %s by %s°, counter-clockwise seen from above", e.Name, strconv.FormatFloat(by, 'f', -1, 64)),
				Edits: []plan.Edit{{Key: at + ".turn", Value: strconv.FormatFloat(to, 'f', -1, 64)}},
			})
			if done {
				break
			}
		}
	}
}

// turnSump turns an empty sump by a quarter. What stands in one stands where it does
// as its walls run.
func (t *task) turnSump() {
	own := t.scene.Sump
	if own == nil || slices.ContainsFunc(t.scene.Equipment, func(e scene.Equipment) bool { return e.Chamber > 0 }) || len(own.Braces) > 0 {
		return
	}
	wide, ok := t.draft.Value("sump.size[0]")
	deep, also := t.draft.Value("sump.size[1]")
	if !ok || !also {
		return
	}
	edits := []plan.Edit{{Key: "sump.size[0]", Value: deep}, {Key: "sump.size[1]", Value: wide}}
	if t.given("sump.inlet") {
		turned := map[scene.Face]scene.Face{scene.Left: scene.Front, scene.Front: scene.Right, scene.Right: scene.Back, scene.Back: scene.Left}
		edits = append(edits, plan.Edit{Key: "sump.inlet", Value: turned[own.Inlet].String()})
	}
	t.offer(Fix{Effort: Turn, Text: "turn the sump by 90°, counter-clockwise seen from above", Edits: edits})
}

// touched tells whether the plan has places on a thing, which would turn with it.
func (t *task) touched(name string) bool {
	return slices.ContainsFunc(t.scene.Reach, func(p scene.Place) bool { return p.On == name })
}

// A direction is one in which things are moved.
type direction struct {
	low, high, to string // faces, and where it goes in words
	sign          unit.Length
}

// along are those along the cabinet bottom, upright the others.
var (
	along = []direction{
		{"left", "right", "to the left", -1},
		{"left", "right", "to the right", 1},
		{"front", "back", "to the front", -1},
		{"front", "back", "to the back", 1},
	}
	upright = []direction{
		{"up", "down", "down", -1},
		{"up", "down", "up", 1},
	}
)

// of returns a coordinate along the direction.
func (d direction) of(v r3.Vec) float64 {
	switch d.low {
	case "left":
		return v.X
	case "front":
		return v.Y
	}
	return v.Z
}

// onBlock goes with a thing that then stands higher.
const onBlock = "Where it stands, stand it on a block that salt water does not hurt."

// move moves a thing along the cabinet bottom, or what is too near to another up or
// down, as little as will do.
func (t *task) move() {
	var names []string
	directions := along
	first, most := 1, t.inches(12)
	switch {
	case t.in(fit.Gap):
		names, directions = t.about, slices.Concat(along, upright)
	case t.moves():
		names, first, most = append(slices.Clone(t.about), t.overlapped()...), t.inches(0.5), t.inches(4)
	case t.in(fit.Reach):
		names, first, most = []string{sump}, t.inches(0.5), t.inches(2)
		for _, p := range t.scene.Places() {
			if p.Name == t.about[0] && p.On != "" && p.On != sump {
				names = append([]string{p.On}, names...)
			}
		}
	}
	vain := 0
	if t.shutNear() {
		vain = int(passage.Near / t.grain())
	}
	for _, name := range names {
		for _, d := range directions {
			edits := func(n int) []plan.Edit { return t.shift(name, d, t.step(n)) }
			if edits(1) == nil {
				continue
			}
			t.pull(lever{first: first, most: most, vain: vain, edits: edits, fix: func(n int) Fix {
				x := Fix{Effort: Move, Text: "move " + article(name) + " " + t.said(t.step(n)) + " " + d.to}
				if d.to == "up" {
					x.Caution = onBlock
				}
				return x
			}})
		}
	}
}

// shutNear tells whether a thing is shown not to go in to any place near its own
// either, past what stays where it is when the thing is moved.
func (t *task) shutNear() bool {
	thing, ok := t.scene.Thing(t.about[0])
	if !ok || !t.in(fit.Passage) || t.was != verdict.No {
		return false
	}
	moves := func(name string) bool { return name == thing.Name || thing.Name == sump }
	return slices.ContainsFunc(thing.Groups, func(g scene.Group) bool {
		return !slices.ContainsFunc(t.ways(thing, g), func(w passage.Way) bool {
			return w.Proof == "" || slices.ContainsFunc(w.Used, moves)
		})
	})
}

// overlapped returns what a thing overlaps where it is to stand, so that it does not
// go in whatever its way.
func (t *task) overlapped() []string {
	var names []string
	thing, ok := t.scene.Thing(t.about[0])
	if !ok || !t.in(fit.Passage) || t.was != verdict.No {
		return nil
	}
	for _, g := range thing.Groups {
		for _, w := range t.ways(thing, g) {
			for _, n := range w.Used {
				if w.Verdict == verdict.No && w.Proof == "" && n != thing.Name && !slices.Contains(names, n) {
					names = append(names, n)
				}
			}
		}
	}
	return names
}

// ways returns what was found about each opening for a group of a thing that does not
// go in; it was decided before.
func (t *task) ways(thing scene.Thing, g scene.Group) []passage.Way {
	var out []passage.Way
	for i := range t.scene.Cabinet.Openings {
		o := &t.scene.Cabinet.Openings[i]
		if t.scene.Display == nil || !o.BeforeDisplay || t.scene.Display.Standing == scene.NotYet {
			out = append(out, passage.JobOf(t.scene, thing, g, o).Decide(t.ctx))
		}
	}
	return out
}

// article names a thing in a sentence.
func article(name string) string {
	if name == sump {
		return "the sump"
	}
	return name
}

// shift moves the sump or a thing, and with it the places on it; nil where its
// place is not one that can be moved.
func (t *task) shift(name string, d direction, by unit.Length) []plan.Edit {
	at, low, ok := t.placeOf(name, d)
	if !ok {
		return nil
	}
	if d.low == "up" && low+d.sign*by < -verdict.Contact {
		return nil // into what it stands on
	}
	out := []plan.Edit{t.moved(at, d, by, low)}
	for i := range t.scene.Reach {
		p := &t.scene.Reach[i]
		on := p.On == name
		if e, _, is := t.item(p.On); is && name == sump {
			on = e.Chamber > 0
		}
		if on {
			out = append(out, t.moved(key("reach", i)+".at", d, by, 0))
		}
	}
	if slices.ContainsFunc(out, func(e plan.Edit) bool { return e.Key == "" }) {
		return nil
	}
	return out
}

// placeOf returns the key of a thing's place and how far it is from the low face of
// what it stands in.
func (t *task) placeOf(name string, d direction) (at string, low unit.Length, ok bool) {
	in := t.scene.Cabinet.Inside()
	if name == sump && t.scene.Sump != nil {
		return "sump.at", unit.Length(d.of(t.scene.Sump.Box.Min) - d.of(in.Min)), true
	}
	e, at, found := t.item(name)
	// Of a thing with a size and parts the parts do not tell where its box is.
	if !found || e.Fixed || t.given(at+".from") || t.given(at+".size") && t.given(at+".parts") {
		return "", 0, false
	}
	if e.Chamber > 0 {
		space, has := t.scene.Sump.Chamber(e.Chamber)
		if !has {
			return "", 0, false
		}
		in = space.Box
	}
	least := math.Inf(1)
	for _, b := range e.Bodies {
		least = min(least, d.of(b.Solid.Bounds().Min)-d.of(in.Min))
	}
	return at + ".at", unit.Length(least), true
}

// moved is the change that moves a place along an axis; one without a key where it
// cannot be written.
func (t *task) moved(at string, d direction, by, low unit.Length) plan.Edit {
	by *= d.sign
	for _, face := range []struct {
		name string
		sign unit.Length
	}{{d.low, 1}, {d.high, -1}} {
		if !t.given(at + "." + face.name) {
			continue
		}
		now, ok := t.length(at + "." + face.name)
		if !ok {
			return plan.Edit{}
		}
		return plan.Edit{Key: at + "." + face.name, Value: t.written(now + face.sign*by)}
	}
	return plan.Edit{Key: at + "." + d.low, Value: t.written(low + by)}
}

// raise stands a thing higher, for the depth of the water that it works in.
func (t *task) raise() {
	if t.kind == strip {
		t.higher()
		return
	}
	if !t.in(fit.Water) || len(t.about) < 2 {
		return
	}
	e, at, ok := t.item(t.about[len(t.about)-1])
	if !ok || e.Fixed || t.given(at+".from") || t.given(at+".at.down") || t.touched(e.Name) {
		return
	}
	up := at + ".at.up"
	now, ok := t.length(up)
	if !ok && t.given(up) {
		return
	}
	edits := func(n int) []plan.Edit { return []plan.Edit{{Key: up, Value: t.written(now + t.step(n))}} }
	t.pull(lever{first: 1, most: t.inches(8), edits: edits, fix: func(n int) Fix {
		return Fix{Effort: Move, Text: "stand " + e.Name + " " + t.said(t.step(n)) + " higher, on a block that salt water does not hurt"}
	}})
}

// longer takes a longer cord or hose.
func (t *task) longer() {
	if t.kind != cord && t.kind != hose {
		return
	}
	_, at, ok := t.item(t.about[0])
	if !ok {
		return
	}
	at += "." + t.kind + ".length"
	now, ok := t.length(at)
	if !ok {
		return
	}
	caution := ""
	if t.kind == cord {
		caution = "Where no longer cord is to be had: an outlet nearer by, not a second cord on the floor."
	}
	edits := func(n int) []plan.Edit { return []plan.Edit{{Key: at, Value: t.written(now + t.step(n))}} }
	t.pull(lever{first: 1, most: t.inches(120), edits: edits, steady: true, fix: func(n int) Fix {
		return Fix{
			Effort: Longer, Text: fmt.Sprintf("a %s of %s that is %s long (now %s)", t.kind, t.about[0], t.said(now+t.step(n)), t.said(now)),
			Caution: caution,
		}
	}})
}

// higher hangs a power strip higher.
func (t *task) higher() {
	at := ""
	if e, k, ok := t.item(t.about[0]); ok && !t.touched(e.Name) {
		at = k
	}
	for i := range t.scene.Cabinet.Fixtures {
		if t.scene.Cabinet.Fixtures[i].Name == t.about[0] {
			at = key("cabinet.fixtures", i)
		}
	}
	now, ok := t.length(at + ".at.up")
	sign := 1
	if !ok {
		if now, ok = t.length(at + ".at.down"); !ok {
			return
		}
		at, sign = at+".at.down", -1
	} else {
		at += ".at.up"
	}
	edits := func(n int) []plan.Edit {
		to := now + t.step(sign*n)
		if to < 0 {
			return nil
		}
		return []plan.Edit{{Key: at, Value: t.written(to)}}
	}
	t.pull(lever{first: 1, most: t.inches(24), edits: edits, fix: func(n int) Fix {
		return Fix{Effort: Move, Text: "hang " + t.about[0] + " " + t.said(t.step(n)) + " higher"}
	}})
}

// elsewhere stands the whole stand nearer to where the joists rest, unless it is
// filled.
func (t *task) elsewhere() {
	const at = "floor.joists.support"
	now, ok := t.length(at)
	if !t.in(fit.Floor) || !ok || t.full() {
		return
	}
	edits := func(n int) []plan.Edit {
		if now < t.step(n) {
			return nil
		}
		return []plan.Edit{{Key: at, Value: t.written(now - t.step(n))}}
	}
	most := int(now / t.grain())
	t.pull(lever{first: most, most: most, edits: edits, fix: func(n int) Fix {
		return Fix{
			Effort: Elsewhere, Text: "stand it " + t.said(t.step(n)) + " nearer to where the joists rest: " + t.said(now-t.step(n)) + " from there (now " + t.said(now) + ")",
			Caution: "Whether the joists rest there on a wall that carries on down, a licensed professional has to see.",
		}
	}})
}

// thicker makes a pane of thicker glass, as it is sold.
func (t *task) thicker() {
	if !t.in(fit.Glass) || t.scene.Sump == nil {
		return
	}
	at, now, what := "sump.glass", t.scene.Sump.Glass, "the sump"
	var i int
	if n, err := fmt.Sscanf(t.about[0], "baffle %d", &i); n == 1 && err == nil && i >= 1 && i <= len(t.scene.Sump.Baffles) {
		at, now, what = key("sump.baffles", i-1)+".thickness", t.scene.Sump.Baffles[i-1].Thickness, t.about[0]
	}
	sold := slices.DeleteFunc(glass.Thicknesses(t.scene.Units), func(l unit.Length) bool { return l <= now })
	edits := func(n int) []plan.Edit { return []plan.Edit{{Key: at, Value: t.written(sold[n-1])}} }
	t.pull(lever{first: 1, most: len(sold), edits: edits, steady: true, fix: func(n int) Fix {
		return Fix{Effort: Thicker, Text: "make " + what + " of glass " + t.said(sold[n-1]) + " thick (now " + t.said(now) + ")"}
	}})
}

// level keeps the water in the last chamber lower or higher.
func (t *task) level() {
	if !t.in(fit.Water) || t.scene.Sump == nil || t.scene.Sump.Level == nil {
		return
	}
	t.lengthen("sump.level", Level, 8, func(to unit.Length) string {
		return "keep the water in the last chamber at " + t.said(to) + " (now " + t.said(*t.scene.Sump.Level) + ")"
	}, "Mark the new level, and set the float switch to it.")
}

// lengthen makes a length of the plan shorter or longer by up to so many inches, as
// little as will do.
func (t *task) lengthen(at string, effort Effort, inches float64, text func(unit.Length) string, caution string) {
	now, ok := t.length(at)
	if !ok {
		return
	}
	for _, sign := range []int{-1, 1} {
		to := func(n int) unit.Length { return now + t.step(sign*n) }
		edits := func(n int) []plan.Edit {
			if to(n) <= 0 {
				return nil
			}
			return []plan.Edit{{Key: at, Value: t.written(to(n))}}
		}
		t.pull(lever{first: 1, most: t.inches(inches), edits: edits, fix: func(n int) Fix {
			return Fix{Effort: effort, Text: text(to(n)), Caution: caution}
		}})
	}
}

// pieces lets a part of a thing travel by itself, unless the plan says that it does
// not.
func (t *task) pieces() {
	if !t.moves() {
		return
	}
	e, at, ok := t.item(t.about[0])
	if !ok || len(e.Bodies) < 2 {
		return
	}
	for i, b := range e.Bodies {
		apart := at + "." + key("parts", i) + ".apart"
		if b.Apart || t.given(apart) {
			continue
		}
		t.change(Fix{
			Effort: Pieces, Text: "bring " + b.Name + " of " + e.Name + " in by itself, and put it on inside",
			Edits: []plan.Edit{{Key: apart, Value: "yes"}}, Caution: "Whether the parts come apart, the thing itself has to tell.",
		})
	}
}

// drop lets less drain down from the display.
func (t *task) drop() {
	if !t.in(fit.Water) {
		return
	}
	now, ok := t.length("display.drops")
	if !ok {
		return
	}
	edits := func(n int) []plan.Edit {
		if now <= t.step(n) {
			return nil
		}
		return []plan.Edit{{Key: "display.drops", Value: t.written(now - t.step(n))}}
	}
	t.pull(lever{first: 1, most: t.inches(12), edits: edits, steady: true, fix: func(n int) Fix {
		return Fix{
			Effort: Drop, Text: "let the display fall no more than " + t.said(now-t.step(n)) + " when the pump stops (now " + t.said(now) + "): the return's mouth nearer to the surface",
			Caution: "A hole drilled against siphoning clogs: do not trust one alone.",
		}
	}})
}

// rimOff takes the rim off the sump.
func (t *task) rimOff() {
	if !t.sumps() && !t.in(fit.Gap) || !t.given("sump.rim") {
		return
	}
	t.change(Fix{
		Effort: RimOff, Text: "take the rim off the sump", Edits: []plan.Edit{{Key: "sump.rim"}},
		Caution: "Many tanks are built to hold only with their rim: ask who made it.",
	})
}

// baffle makes a baffle lower or higher.
func (t *task) baffle() {
	if !t.in(fit.Water) || t.scene.Sump == nil {
		return
	}
	for i := range t.scene.Sump.Baffles {
		b := &t.scene.Sump.Baffles[i]
		t.lengthen(key("sump.baffles", i)+".top", Baffle, 4, func(to unit.Length) string {
			return fmt.Sprintf("make baffle %d end %s above the inside bottom (now %s)", i+1, t.said(to), t.said(b.Top))
		}, "")
	}
}

// otherTank takes the largest trade size with which the check comes out well, the
// plan's baffles in proportion.
func (t *task) otherTank() {
	own := t.scene.Sump
	if !t.sumps() || t.in(fit.Reach) {
		return
	}
	tanks := slices.Clone(assets.Tanks())
	volume := func(z *assets.TankSize) float64 { return z.GlassLong.MM() * z.GlassAcross.MM() * z.GlassHigh.MM() }
	slices.SortStableFunc(tanks, func(a, b assets.TankSize) int { return int(math.Copysign(1, volume(&b)-volume(&a))) })
	is := [3]float64{own.Box.Max.X - own.Box.Min.X, own.Box.Max.Y - own.Box.Min.Y, own.Box.Max.Z - own.Box.Min.Z}
	along, long := is[0], "left-right"
	if own.Inlet == scene.Front || own.Inlet == scene.Back {
		along, long = is[1], "front-back"
	}
	tried := 0
	for i := range tanks {
		z := &tanks[i]
		if volume(z) > is[0]*is[1]*is[2] || tried >= mostTanks {
			continue // what is larger is no smaller change
		}
		edits := []plan.Edit{
			{Key: "sump.size"},
			{Key: "sump.rim"},
			{Key: "sump.foot"},
			{Key: "sump.braces"},
			{Key: "sump.empty"},
			{Key: "sump.glass"},
			{Key: "sump.stock", Value: `"` + z.Name + `"`},
			{Key: "sump.long", Value: long},
		}
		if long == "front-back" || t.given("sump.at") {
			edits = append(edits, plan.Edit{Key: "sump.at"}) // in the middle
		}
		share := (z.GlassLong - 2*z.Pane).MM() / (along - 2*own.Glass.MM())
		high := min(1, (z.GlassHigh-z.Pane).MM()/(is[2]-own.Glass.MM()))
		for k := range own.Baffles {
			b, at := &own.Baffles[k], key("sump.baffles", k)
			edits = append(edits, plan.Edit{Key: at + ".at", Value: t.rough(b.At * unit.Length(share))})
			if high < 1 {
				edits = append(edits, plan.Edit{Key: at + ".top", Value: t.rough(b.Top * unit.Length(high))})
			}
		}
		if own.Level != nil && high < 1 {
			edits = append(edits, plan.Edit{Key: "sump.level", Value: t.rough(*own.Level * unit.Length(high))})
		}
		if t.promising(edits, verdict.No, verdict.Unsure) {
			tried++
			done := t.decided(edits) && t.offer(Fix{
				Effort: OtherTank, Edits: edits,
				Text:    "take the trade size " + z.Name + " as the sump (" + t.scene.Units.Size(z.GlassLong, z.GlassAcross, z.GlassHigh) + "), in the middle, its baffles in proportion",
				Caution: "Trade sizes differ from maker to maker by up to an inch: measure the tank before you buy it, rim and foot too.",
			})
			if done {
				return
			}
		}
	}
}

// decided tells whether a change leaves decided, also by brief searches, what is
// decided in the plan: long searches for a tank that may not do are not worth it.
func (t *task) decided(edits []plan.Edit) bool {
	r := t.check(edits, true)
	return r != nil && !t.spoiled(r.Checks, verdict.Unsure)
}

// mostTanks is how many trade sizes are checked whole at most.
const mostTanks = 2

// rough rounds a length to the grid, for the plan.
func (t *task) rough(l unit.Length) string {
	g := grid(t.scene.Units)
	return t.written(unit.Length(math.Round(float64(l/g))) * g)
}

// lowerWall makes the sump lower, as little as will do.
func (t *task) lowerWall() {
	if !t.sumps() && !t.in(fit.Gap) {
		return
	}
	now, ok := t.length("sump.size[2]")
	if !ok {
		return
	}
	alone := func(n int) []plan.Edit {
		if now <= t.step(n) {
			return nil
		}
		return []plan.Edit{{Key: "sump.size[2]", Value: t.written(now - t.step(n))}}
	}
	most := int(float64(now/t.grain()) / 2)
	limit := least(1, most, doubling, func(n int) bool { return t.read(alone(n)) == nil }) // the first that its baffles or level do not let be
	// From there on those go down with it.
	lower := func(n int) (edits []plan.Edit, all bool) {
		edits = alone(n)
		if limit == 0 || n < limit || edits == nil {
			return edits, false
		}
		by := t.step(n - limit + 1)
		for i := range t.scene.Sump.Baffles {
			edits = append(edits, plan.Edit{Key: key("sump.baffles", i) + ".top", Value: t.written(t.scene.Sump.Baffles[i].Top - by)})
		}
		if l := t.scene.Sump.Level; l != nil {
			edits = append(edits, plan.Edit{Key: "sump.level", Value: t.written(*l - by)})
		}
		return edits, true
	}
	edits := func(n int) []plan.Edit { e, _ := lower(n); return e }
	if n := least(1, most, doubling, func(n int) bool { return t.read(edits(n)) == nil }); n > 0 {
		most = n - 1
	}
	t.pull(lever{
		// The lower, the less in the way; who orders a lower one orders it low enough.
		first: most, most: most, edits: edits, steady: !t.in(fit.Water), whole: t.moves(),
		fix: func(n int) Fix {
			text := "have the sump " + t.said(now-t.step(n)) + " high instead of " + t.said(now)
			if _, all := lower(n); all {
				text += ", its baffles and its level lower with it"
			}
			return Fix{Effort: LowerWall, Text: text}
		},
	})
}

// timber doubles a timber of the stand, or replaces it by the next size that would
// do, those level with it too, so that what stands under them becomes shorter alike.
func (t *task) timber() {
	if !t.in(fit.Stand) || t.full() || t.scene.Stand == nil {
		return
	}
	i := slices.IndexFunc(t.scene.Stand.Members, func(m scene.Member) bool { return m.Name == t.about[0] })
	if i < 0 {
		return
	}
	m, at := &t.scene.Stand.Members[i], key("stand.members", i)
	const mostPlies = 4
	if m.Run != scene.AlongZ {
		t.pull(lever{
			first: 1, most: mostPlies - m.Plies, steady: true,
			edits: func(n int) []plan.Edit {
				return []plan.Edit{{Key: at + ".plies", Value: strconv.Itoa(m.Plies + n)}}
			},
			fix: func(n int) Fix {
				return Fix{Effort: Timber, Text: fmt.Sprintf("make %s of %d pieces side by side, nailed together (now %d)", m.Name, m.Plies+n, m.Plies)}
			},
		})
	}
	next := ""
	for _, m := range t.found.Measures {
		if text, ok := m.Value.(string); ok && m.Key == "next_size" {
			next = text
		}
	}
	if next == "" {
		return
	}
	size := next
	if a, b, measured := strings.Cut(next, " x "); measured {
		u := " " + t.scene.Units.String()
		size = "[" + strings.TrimSuffix(a, u) + u + ", " + strings.TrimSuffix(b, u) + u + "]"
	}
	edits := []plan.Edit{{Key: at + ".size", Value: size}}
	text := "make " + m.Name + " of " + next + " in place of what the plan has"
	if with := t.levelWith(i, edits); len(with) > 0 {
		edits, text = append(edits, with...), text+", and those level with it; what stands under them is shorter by as much"
	}
	t.change(Fix{Effort: Timber, Text: text, Edits: edits})
}

// levelWith returns what else changes where a level timber becomes deeper: the size
// of those level with it, and the length of what stands under one of them.
func (t *task) levelWith(i int, edits []plan.Edit) []plan.Edit {
	all := t.scene.Stand.Members
	m := &all[i]
	s := t.read(edits)
	if m.Run == scene.AlongZ || s == nil {
		return nil
	}
	is := s.Stand.Members[i].Box
	deeper := unit.Length((is.Max.Z - is.Min.Z) - (m.Box.Max.Z - m.Box.Min.Z))
	const same = 0.1 // mm
	if deeper.MM() < same {
		return nil
	}
	var out []plan.Edit
	for k := range all {
		o := &all[k]
		at := key("stand.members", k)
		switch {
		case o.Run == scene.AlongZ && math.Abs(o.Box.Max.Z-m.Box.Min.Z) < same && !o.AssumedLength:
			out = append(out, plan.Edit{Key: at + ".length", Value: t.written(unit.Length(o.Box.Max.Z-o.Box.Min.Z) - deeper)})
		case o.Run != scene.AlongZ && k != i && math.Abs(o.Box.Min.Z-m.Box.Min.Z) < same && math.Abs(o.Box.Max.Z-m.Box.Max.Z) < same:
			out = append(out, plan.Edit{Key: at + ".size", Value: edits[0].Value})
		}
	}
	return out
}

// cut makes an opening wider or higher, as little as will do. What is cut may hold
// the tank up.
func (t *task) cut() {
	if !t.moves() && !t.in(fit.Reach) || t.full() {
		return
	}
	for i := range t.scene.Cabinet.Openings {
		o := &t.scene.Cabinet.Openings[i]
		if o.OpenFace {
			continue
		}
		for axis, how := range []string{"wide", "high"} {
			at := key("cabinet.openings", i) + "." + key("size", axis)
			now, ok := t.length(at)
			if !ok {
				continue
			}
			edits := func(n int) []plan.Edit { return []plan.Edit{{Key: at, Value: t.written(now + t.step(n))}} }
			most := t.inches(4) // or as far as there is a wall to cut
			if n := least(1, most, doubling, func(n int) bool { return t.read(edits(n)) == nil }); n > 0 {
				most = n - 1
			}
			t.pull(lever{first: most, most: most, edits: edits, steady: true, fix: func(n int) Fix {
				return Fix{Effort: Cut, Text: "cut " + o.Name + " " + t.said(now+t.step(n)) + " " + how + " (now " + t.said(now) + ")"}
			}})
		}
	}
}
