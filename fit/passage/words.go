package passage

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// describe puts what was found about a thing, or about what is named of it, into
// a finding.
func describe(s *scene.Scene, t scene.Thing, what string, ways []Way) verdict.Finding {
	best := &ways[0]
	f := verdict.Finding{Verdict: best.Verdict, Room: math.NaN()}
	each := make([]verdict.Measures, len(ways))
	for i := range ways {
		each[i] = measuresOf(s, &ways[i])
	}
	f.Measures = append(measuresOf(s, best), verdict.Measure{Key: "ways", Value: each})
	f.Assumed = assumed(s)
	f.Source = []string{"verified way in, or proof of none, computed here"}
	whose := ""
	if what != "" {
		whose = strings.TrimSpace(what) + ": "
	}
	door := best.Opening
	switch {
	case best.Going():
		if best.DoorOff {
			door += " with its door off"
		}
		n := 1
		if what != "" {
			n = len(best.job.Parts)
		}
		f.Summary = what + numbered(n, "goes", "go") + " in through " + door + ", " + manner(best) + "; " + spareText(s, best)
		f.Room = math.Abs(best.Margin.Lo.MM() - max(best.Wanted, best.job.Tape).MM())
		if mark, ok := best.narrowest(); ok {
			mark.Label = best.Shown(s)
			f.Marks = []scene.Mark{mark}
			f.Again = "measure again where it is narrowest: " + readable(mark.Parts[0]) + " to " + readable(mark.Parts[1])
		}
		for i := range s.Cabinet.Openings {
			if o := &s.Cabinet.Openings[i]; o.Name == best.Opening && o.BeforeDisplay {
				f.Summary += "; only before the display stands: it cannot come out this way later"
			}
		}
	case best.Verdict == verdict.No && best.Proof != "":
		f.Summary = whose + notIn(s, t, ways)
		mark, _, past := best.barrier(s, t)
		f.Again = "measure the free width and height of " + best.Opening + " again"
		if mark.From.Z != mark.To.Z {
			f.Again = "measure the room over the sump's wall again, and " + t.Name + " where it is thinnest"
		}
		if past != nil {
			f.Again = "measure again where " + listed(past) + " and " + t.Name + " are to stand"
		}
		f.Marks = []scene.Mark{mark}
	case best.Verdict == verdict.No:
		f.Summary = whose + notIn(s, t, ways)
		if best.job == nil { // no way once the display stands
			break
		}
		f.Again = "measure again where " + t.Name + " is to stand"
		if a, b, gap := best.job.deepest(); gap.High < 0 {
			f.Marks = []scene.Mark{{
				From: gap.OnA, To: gap.OnB, Label: "overlap " + s.Units.Fine(-best.Margin.Lo), Parts: []string{a.Name, b.Name},
			}}
			f.Again += ", and where " + readable(b.Name) + " is"
		}
	case best.Verdict == verdict.OK || best.Verdict == verdict.Tight || best.Verdict == verdict.Unsure:
		f.Summary = whose + notIn(s, t, ways)
		f.Again = settles(ways)
	}
	return f
}

// narrowPlace marks where a thing that does not go in would have to get through:
// for what stands in the sump and is too thick for the room above its wall that,
// otherwise the opening, from side to side, or with its leaves where they are
// what narrows it. It tells whether the thing is thicker than that at its
// thinnest.
func narrowPlace(s *scene.Scene, t scene.Thing, w *Way) (mark scene.Mark, told bool) {
	main := w.job.Parts[0]
	mark.Parts = []string{main.Name}
	thin := thinnest(w.job)
	if t.Item != nil && t.Item.Chamber > 0 && w.Proof == "ball" && s.Sump != nil {
		mark.From = middle(main.Solid.Bounds())
		mark.To = mark.From
		mark.From.Z, mark.To.Z = s.Sump.Box.Max.Z, s.Cabinet.Inside().Max.Z
		told = mark.To.Z-mark.From.Z < thin
	}
	if !told {
		var leaves []string
		mark.From, mark.To, leaves = w.job.freeWidth()
		mark.Parts = append(mark.Parts, leaves...)
		told = r3.Norm(r3.Sub(mark.To, mark.From)) < thin
	}
	mark.Label = s.Units.Length(unit.Length(r3.Norm(r3.Sub(mark.To, mark.From))))
	return mark, told
}

// freeWidth returns two points between which the opening is free from side to
// side, with its door open as it is, and the names of the leaves that narrow it.
func (j *Job) freeWidth() (from, to r3.Vec, leaves []string) {
	frame := frameOf(j.Cabinet, j.Opening.Side)
	b := solid.Box(grown(j.Opening.Hole, verdict.Contact.MM())).Moved(frame).Bounds()
	c := middle(b)
	x0, x1, y := b.Min.X, b.Max.X, c.Y
	for _, o := range j.Others {
		if !j.isLeaf(o) {
			continue
		}
		l := o.Solid.Moved(frame).Bounds()
		if l.Max.X-l.Min.X > (b.Max.X-b.Min.X)/2 || l.Max.X <= b.Min.X || l.Min.X >= b.Max.X {
			continue
		}
		leaves = append(leaves, o.Name)
		y = min(y, (l.Min.Y+l.Max.Y)/2)
		if middle(l).X < c.X {
			x0 = max(x0, l.Max.X)
		} else {
			x1 = min(x1, l.Min.X)
		}
	}
	back := inverse(frame)
	return back.Apply(r3.Vec{X: x0, Y: y, Z: c.Z}), back.Apply(r3.Vec{X: x1, Y: y, Z: c.Z}), leaves
}

// past marks what of the things and fixtures named is nearest to where the thing
// is to stand, and tells which they are; of is nil where there is none. The sump
// counts only where it is alone: what stands in it passes its wall anyway.
func (j *Job) past(names []string) (mark scene.Mark, of []string) {
	for _, n := range names {
		if n != "sump" || len(names) == 1 {
			of = append(of, n)
		}
	}
	near := math.Inf(1)
	for _, o := range j.Others {
		if !slices.Contains(of, o.Of) {
			continue
		}
		for _, p := range j.Parts {
			if g := solid.Distance(p.Solid, o.Solid); g.Dist < near {
				near = g.Dist
				mark = scene.Mark{From: g.OnB, To: g.OnB, Label: "in the way", Parts: []string{p.Name, o.Name}}
			}
		}
	}
	if math.IsInf(near, 1) {
		return mark, nil
	}
	return mark, of
}

// numbered returns the form of a verb for so many.
func numbered(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// listed joins names, as "a, b and c".
func listed(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return names[0]
}

// thinnest returns the least extent of the main part along the axes.
func thinnest(j *Job) float64 {
	b := j.Parts[0].Solid.Bounds()
	return min(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Max.Z-b.Min.Z)
}

// measuresOf returns what the verdict file says about one way.
func measuresOf(s *scene.Scene, w *Way) verdict.Measures {
	moves, of := w.moves(s.Units)
	if moves == nil {
		moves = []string{}
	}
	m := verdict.Measures{
		{Key: "spare_low_mm", Value: w.Margin.Lo.MM()},
		{Key: "spare_high_mm", Value: w.Margin.Hi.MM()},
		{Key: "wanted_mm", Value: w.Wanted.MM()},
		{Key: "way", Value: w.Opening},
		{Key: "moves", Value: moves},
		{Key: "hands", Value: sentences(handsOf(s, w, len(moves), of))},
	}
	if w.Wider != nil {
		m = append(m, verdict.Measure{Key: "wider_low_mm", Value: w.Wider.Margin.Lo.MM()})
	}
	return m
}

// assumed lists what the plan does not give and takes part in ways.
func assumed(s *scene.Scene) []string {
	var out []string
	for _, a := range s.Assumed {
		for _, prefix := range []string{"carry", "tape", "room", "cabinet", "sump.glass"} {
			if strings.HasPrefix(a.Key, prefix) {
				out = append(out, a.Text)
				break
			}
		}
	}
	return out
}

// manner says how it goes in, in a word.
func manner(w *Way) string {
	if w.turns() {
		return "tilted or turned on the way"
	}
	return "pushed straight"
}

// turns tells whether the thing is turned on the way, by more than half a degree.
func (w *Way) turns() bool {
	for i := range len(w.Path.Poses) - 1 {
		if w.Path.Angle(i) > 0.5*math.Pi/180 {
			return true
		}
	}
	return false
}

// worth is how much more room, in mm, makes a harder way worth telling of.
const worth = 3

// wider returns the way that keeps more than w, where it is worth telling of.
func (w *Way) wider() *Way {
	if w.Wider == nil || w.Margin.Lo.MM() >= measured || (w.Wider.Margin.Lo-w.Margin.Lo).MM() < worth {
		return nil
	}
	return w.Wider
}

// Shown says how much room to spare was shown on the way, in sentences and on pictures
// alike.
func (w *Way) Shown(s *scene.Scene) string {
	switch {
	case w.Margin.Lo.MM() >= measured:
		return more(s)
	case w.wider() == nil && !math.IsInf(w.Margin.Hi.MM(), 0):
		return s.Units.Between(w.Margin.Lo, w.Margin.Hi)
	}
	return "at least " + s.Units.AtLeast(w.Margin.Lo)
}

// more says of room to spare that nobody needs to know it any closer.
func more(s *scene.Scene) string { return "more than " + s.Units.AtLeast(unit.Length(measured)) }

// spareText says how much room there is to spare on the way, and on a wider one.
func spareText(s *scene.Scene, w *Way) string {
	text := w.Shown(s) + " to spare"
	if w.Margin.Lo.MM() >= measured {
		return text
	}
	if mark, ok := w.narrowest(); ok {
		text += " at " + readable(mark.Parts[1])
	}
	if v := w.wider(); v != nil {
		room := more(s)
		if v.Margin.Lo.MM() < measured {
			room = "at least " + s.Units.AtLeast(v.Margin.Lo)
		}
		text += ", " + room + " on another way with more moves"
	}
	return text
}

// readable turns the name of a part into words.
func readable(part string) string {
	owner, name, ok := strings.Cut(part, "/")
	switch {
	case !ok:
		return part
	case owner == "cabinet":
		// A piece of a wall is named after the hole it lies beside.
		face, beside, piece := strings.Cut(name, " ")
		switch {
		case !piece || face == "inside":
		case face == "top":
			name = face + " board " + beside
		default:
			name = face + " wall " + beside
		}
		return "the cabinet's " + name
	case owner == "room":
		return "the room's " + name
	}
	return owner + "'s " + name
}

// motionOf returns the way in for pictures and models.
func motionOf(s *scene.Scene, t scene.Thing, g scene.Group, w *Way) scene.Motion {
	m := scene.Motion{Thing: t.Name, Path: w.Path, Through: w.Opening}
	for _, p := range g.Parts {
		m.Parts = append(m.Parts, p.Name)
	}
	m.Moves, m.MoveOf = w.moves(s.Units)
	m.Hands = handsOf(s, w, len(m.Moves), m.MoveOf)
	if mark, ok := w.narrowest(); ok && w.Margin.Lo.MM() < measured {
		mark.Label = w.Shown(s)
		m.Closest = &scene.Moment{Leg: w.Clear.Leg, T: w.Clear.T, Mark: mark}
	}
	there := before(s, t)
	for _, q := range s.Things() {
		if q.Name == t.Name || slices.ContainsFunc(there, func(b scene.Thing) bool { return b.Name == q.Name }) {
			continue
		}
		m.Absent = append(m.Absent, q.Name)
	}
	later := false // what travels apart is put together inside
	for _, own := range t.Groups {
		for _, p := range own.Parts {
			if later {
				m.Absent = append(m.Absent, p.Name)
			}
		}
		later = later || own.Name == g.Name
	}
	for i := range s.Cabinet.Openings {
		if o := &s.Cabinet.Openings[i]; o.Name == w.Opening && o.BeforeDisplay && s.Display != nil {
			m.Absent = append(m.Absent, "display")
		}
	}
	if w.DoorOff {
		m.Absent = append(m.Absent, w.Opening)
	}
	return m
}

// still is the move in mm, and level the turn in radians, below which a person
// would not speak of one.
const (
	still = 2
	level = 0.3 * math.Pi / 180
)

// moves tells a way in, for a person before the opening: how the thing is turned outside
// where the way begins, to which no leg belongs, then the moves of movesOf.
func (w *Way) moves(sys unit.System) (moves []string, of []int) {
	moves, of = movesOf(sys, w)
	if !w.Going() {
		return nil, nil
	}
	side := w.job.Opening.Side
	if len(moves) > 0 {
		if begin := beginText(w.Path.Poses[0], frameOf(w.job.Cabinet, side), side); begin != "" {
			moves = append([]string{begin}, moves...)
			for i := range of {
				of[i]++
			}
		}
	}
	return asSeen(moves, side), of
}

// asSeen returns moves of which the first that tells left from right says who sees it so,
// where that is not who stands before the front.
func asSeen(moves []string, side scene.Face) []string {
	from := ""
	switch side {
	case scene.Left, scene.Right:
		from = ", as seen from the " + side.String() + " side"
	case scene.Back:
		from = ", as seen from the back"
	case scene.Front, scene.Top, scene.Bottom:
		return moves
	}
	sided := func(move string) bool { return strings.Contains(move, "left") || strings.Contains(move, "right") }
	if i := slices.IndexFunc(moves, sided); i >= 0 {
		moves[i] += from
	}
	return moves
}

// movesOf puts the legs of a way into words; legs that are too small to speak of belong to
// the move before or after.
func movesOf(sys unit.System, w *Way) (moves []string, of []int) {
	if !w.Going() {
		return nil, nil
	}
	frame := frameOf(w.job.Cabinet, w.job.Opening.Side)
	legs := len(w.Path.Poses) - 1
	of = make([]int, legs)
	for i := 0; i < legs; {
		// Straight moves one after the other along one line are one move.
		past := i + 1
		for past < legs-1 && sameLine(w.Path, i, past) {
			past++
		}
		does := legDoes(sys, w.Path.Poses[i], w.Path.Poses[past], w.Path.Ref, frame, w.job.Opening.Side)
		text := does.text()
		// The last leg is the straight move to rest.
		if past == legs && (text == "" || strings.HasPrefix(does.rises, "lower ")) {
			text = "set down"
			if does.slides != "" {
				text += ", sliding " + does.slides
			}
			if does.turns != "" {
				text += " and " + does.turns
			}
		}
		if text != "" {
			moves = append(moves, text)
		}
		for ; i < past; i++ {
			of[i] = max(0, len(moves)-1)
		}
	}
	return moves, of
}

// sameLine tells whether legs a and b are moves without turning in one direction.
func sameLine(p solid.Path, a, b int) bool {
	const turn, slant = 1e-9, 1e-6
	if p.Angle(a) > turn || p.Angle(b) > turn {
		return false
	}
	way := func(i int) r3.Vec { return r3.Sub(p.Poses[i+1].Apply(p.Ref), p.Poses[i].Apply(p.Ref)) }
	u, v := way(a), way(b)
	return r3.Norm(r3.Cross(u, v)) <= slant*r3.Norm(u)*r3.Norm(v) && r3.Dot(u, v) > 0
}

// doing is what one move does, in words.
type doing struct {
	rises  string // or is lowered: "lift 1 in"
	slides string // where to, without the verb: "2 in in and 1 in left"
	turns  string
}

func (d doing) text() string {
	var parts []string
	if d.rises != "" {
		parts = append(parts, d.rises)
	}
	if d.slides != "" {
		parts = append(parts, "slide "+d.slides)
	}
	if d.turns != "" {
		parts = append(parts, d.turns)
	}
	if len(parts) == 0 {
		return ""
	}
	return listed(parts)
}

// legDoes tells what the move from a to b does.
func legDoes(sys unit.System, a, b solid.Pose, ref r3.Vec, frame solid.Pose, side scene.Face) doing {
	d := frame.Rotate(r3.Sub(b.Apply(ref), a.Apply(ref)))
	far := func(l float64, plus, minus string) string {
		switch {
		case l > still:
			return fmt.Sprintf(plus, sys.Length(unit.Length(l)))
		case l < -still:
			return fmt.Sprintf(minus, sys.Length(unit.Length(-l)))
		}
		return ""
	}
	var does doing
	var slides []string
	if side == scene.Top {
		does.rises = far(d.Y, "lower %s", "lift %s")
		slides = []string{far(d.X, "%s right", "%s left"), far(d.Z, "%s back", "%s forward")}
	} else {
		does.rises = far(d.Z, "lift %s", "lower %s")
		slides = []string{far(d.Y, "%s in", "%s out"), far(d.X, "%s right", "%s left")}
	}
	slides = slices.DeleteFunc(slides, func(s string) bool { return s == "" })
	does.slides = strings.Join(slides, " and ")
	if angle := solid.AngleBetween(a.Turn, b.Turn); angle > level {
		does.turns = turnText(seen(quat.Mul(b.Turn, quat.Conj(a.Turn)), frame, side))
	}
	return does
}

// seen returns a turn about the axes of a person before the opening: x to their right, y
// away from them, z up. Before the top they stand at the front.
func seen(turn quat.Number, frame solid.Pose, side scene.Face) quat.Number {
	axis := r3.Vec{X: turn.Imag, Y: turn.Jmag, Z: turn.Kmag}
	if side != scene.Top {
		axis = frame.Rotate(axis)
	}
	return quat.Number{Real: turn.Real, Imag: axis.X, Jmag: axis.Y, Kmag: axis.Z}
}

// turnText says which way a turn goes, about the axes of a person.
func turnText(q quat.Number) string {
	if q.Real < 0 {
		q = quat.Scale(-1, q)
	}
	v := r3.Vec{X: q.Imag, Y: q.Jmag, Z: q.Kmag}
	axis := r3.Unit(v)
	deg := "under 1°"
	if angle := 2 * math.Atan2(r3.Norm(v), q.Real) * 180 / math.Pi; angle >= 0.5 {
		deg = fmt.Sprintf("%.0f°", angle)
	}
	const mostly = 0.95
	switch {
	case axis.X > mostly:
		return "tip the far edge up " + deg
	case axis.X < -mostly:
		return "tip the near edge up " + deg
	case axis.Y > mostly:
		return "tip the left end up " + deg
	case axis.Y < -mostly:
		return "tip the right end up " + deg
	case axis.Z > mostly:
		return "swing the right end away from you " + deg
	case axis.Z < -mostly:
		return "swing the left end away from you " + deg
	}
	return "turn it " + deg + " about a slanting axis"
}

// beginText says how a thing is turned outside where its way begins at a pose, against how
// it stands at rest; "" where it is not. There is room for one turn after the other, each
// about one axis.
func beginText(at solid.Pose, frame solid.Pose, side scene.Face) string {
	var texts []string
	for _, q := range turnsTo(seen(at.Turn, frame, side)) {
		texts = append(texts, turnText(q))
	}
	if len(texts) == 0 {
		return ""
	}
	return "outside, " + strings.Join(texts, ", then ")
}

// turnsTo takes a turn apart into turns about single axes, one after the other, as few as
// will do; such as nobody would speak of are left out.
func turnsTo(q quat.Number) []quat.Number {
	const x, y, z = 0, 1, 2
	var fewest []quat.Number
	for k, order := range [][3]int{{z, x, y}, {z, y, x}, {x, z, y}, {x, y, z}, {y, z, x}, {y, x, z}} {
		turns := slices.DeleteFunc(inOrder(q, order), func(q quat.Number) bool {
			return solid.AngleBetween(q, solid.Rest.Turn) <= level
		})
		if k == 0 || len(turns) < len(fewest) {
			fewest = turns
		}
	}
	return fewest
}

// inOrder takes a turn apart into three about the axes i, then j, then k.
func inOrder(q quat.Number, axes [3]int) []quat.Number {
	units := [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	i, j, k := units[axes[0]], units[axes[1]], units[axes[2]]
	hand := r3.Dot(r3.Cross(i, j), k) // 1 or −1
	// The first turn leaves i where it is, and the third what it has along k.
	to := solid.Pose{Turn: q}.Rotate(i)
	a, b := r3.Dot(to, i), r3.Dot(to, j)
	third := solid.Turned(k, 0)
	if aside := math.Hypot(a, b); aside > 1e-9 {
		third = solid.Turned(k, hand*math.Atan2(b, a))
	}
	second := solid.Turned(j, -hand*math.Asin(max(-1, min(1, r3.Dot(to, k)))))
	return []quat.Number{quat.Mul(quat.Conj(quat.Mul(third, second)), q), second, third}
}
