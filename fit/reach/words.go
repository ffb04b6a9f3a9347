package reach

import (
	"cmp"
	"context"
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

// cautionWet goes with every place a hand gets to; that the power is off before
// is among the cautions of every report.
const cautionWet = "Wet glass is slippery and cuts: no weight on a rim, and no hand under a thing that hangs."

// rimRoom is the room above the sump's rim a hand wants: common practice, no source.
const rimRoom = 6 * unit.Inch

type worstKey struct{}

// WorstOnly returns a context for who asks whether hands get to all places: one that
// none gets to is enough, and of the others Check tells nothing then. Once it has not
// decided one, of the others it looks for a no only, since a way does not change the
// answer any more, and leaves out those of which none is shown.
func WorstOnly(ctx context.Context) context.Context {
	return context.WithValue(ctx, worstKey{}, true)
}

func worstOnly(ctx context.Context) bool { return ctx.Value(worstKey{}) != nil }

// Check answers for every place of s, derived ones as well, and for the room
// above the sump's rim.
func Check(ctx context.Context, s *scene.Scene) verdict.Findings {
	var fs verdict.Findings
	places := s.Places()
	switch {
	case len(places) == 0:
		fs.LeftOut = append(fs.LeftOut, verdict.LeftOut{ID: "reach", Add: "reach"})
	case len(s.Cabinet.Openings) == 0:
		fs.LeftOut = append(fs.LeftOut, verdict.LeftOut{ID: "reach", Add: "cabinet.openings"})
	default:
		q := asked{s: s, worlds: worldsOf(s, nil)}
		if worstOnly(ctx) {
			fs.Checks = q.worst(ctx, places)
			break
		}
		for _, p := range places {
			fs.Checks = append(fs.Checks, q.finding(ctx, p))
		}
	}
	if len(fs.Checks) > 0 {
		fs.Cautions = []string{cautionWet}
	}
	if s.Sump != nil {
		fs.Checks = append(fs.Checks, aboveRim(s))
	}
	return fs
}

// worst judges places as WorstOnly says: those that are likely to be hard to reach
// first.
func (q *asked) worst(ctx context.Context, places []scene.Place) []verdict.Finding {
	p := q.person()
	order := make([]int, len(places))
	hard := make([]float64, len(places))
	for i := range places {
		order[i] = i
		hard[i] = q.straight(places[i]) - p.length(&p.grasps(places[i])[0])
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(hard[j], hard[i]) })
	// What one quick proof shows of a place comes before any search.
	for _, i := range order {
		if q.stiff(places[i], &p) {
			q.noOnly = true
			return []verdict.Finding{q.finding(ctx, places[i])}
		}
	}
	found := make([]*verdict.Finding, len(places))
	for _, i := range order {
		f := q.finding(ctx, places[i])
		if f.Verdict == verdict.No {
			return []verdict.Finding{f}
		}
		if f.Verdict == verdict.Unsure && q.noOnly {
			continue
		}
		found[i] = &f
		q.noOnly = q.noOnly || f.Verdict == verdict.Unsure
	}
	var out []verdict.Finding
	for _, f := range found {
		if f != nil {
			out = append(out, *f)
		}
	}
	return out
}

// straight returns about how far a place is from the nearest opening, up and over the
// sump's wall where it is in the sump.
func (q *asked) straight(at scene.Place) float64 {
	least := math.Inf(1)
	for _, w := range q.worlds {
		least = min(least, max(0, apart(r3.Box{Min: at.At, Max: at.At}, w.opening.Hole)))
	}
	if sump := q.s.Sump; sump != nil {
		if in := sump.Inside(); holds(in, at.At) {
			least += in.Max.Z - at.At.Z
		}
	}
	return least
}

// finding judges one place.
func (q *asked) finding(ctx context.Context, at scene.Place) verdict.Finding {
	ctx, done := verdict.Limited(ctx)
	defer done()
	r := q.decide(ctx, at, q.person())
	f := verdict.Finding{
		ID: "reach/" + at.Name, Verdict: r.Verdict, Source: sources(q.own()), Shapes: r.Shapes,
		Measures: verdict.Measures{
			{Key: "spare_mm", Value: r.Spare.MM()},
			{Key: "arm_used_mm", Value: r.ArmUsed.MM()},
			{Key: "arm_mm", Value: r.Arm.MM()},
			{Key: "way", Value: text(r.Way)},
			{Key: "seen", Value: flag(r.Seen)},
			{Key: "opening", Value: text(r.Opening)},
			{Key: "hands", Value: at.Hands},
			{Key: "blocks", Value: r.Blocks},
		},
		Room: q.distance(r),
	}
	if r.bend {
		f.Source = append(f.Source, "how far a wrist bends: D. C. Boone and S. P. Azen, Journal of Bone and Joint Surgery 61-A (1979), from memory")
	}
	f.Summary = q.summary(at, r)
	if q.own() {
		other := q.decide(ctx, at, anyone())
		f.Measures = append(f.Measures, verdict.Measure{Key: "anyone", Value: other.Verdict.String()})
		f.Summary = "for you: " + f.Summary + "; for anyone: " + q.short(other)
	}
	if at.For != "" {
		f.Assumed = append(f.Assumed, fmt.Sprintf("where on %s a hand goes for %s: write reach: to say where", strings.ReplaceAll(at.On, "/", " "), at.For))
	}
	f.Assumed = append(f.Assumed, q.assumed(r)...)
	f.Marks = []scene.Mark{{From: at.At, To: at.At, Label: at.Name, Parts: q.marked(at, r)}}
	if r.Verdict != verdict.OK {
		f.Again = q.again(at, r)
	}
	return f
}

// assumed lists what the plan does not give and a way rests on.
func (q *asked) assumed(r Result) []string {
	var out []string
	o, ok := q.s.Cabinet.Opening(r.Opening)
	if !ok {
		return nil
	}
	if d := o.Door; d != nil && d.AssumedOpens && d.Clear == nil {
		out = append(out, fmt.Sprintf("%s open by %.0f degrees", o.Name, float64(d.Opens)*180/math.Pi))
	}
	if o.Side == scene.Front && q.s.Room.Front == nil {
		out = append(out, q.s.Units.Length(scene.AssumedFront)+" of room before the cabinet")
	}
	return out
}

// text is a measure that is null where there is none.
func text(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func flag(b *bool) any {
	if b == nil {
		return nil
	}
	return *b
}

// marked names the parts a place's mark is about.
func (q *asked) marked(at scene.Place, r Result) []string {
	parts := slices.Clone(r.Blocks)
	for _, p := range r.Shapes {
		if !slices.Contains(parts, p.Of) {
			parts = append(parts, p.Of)
		}
	}
	for _, p := range q.s.AtRest() {
		if on(at, p) && !slices.Contains(parts, p.Name) {
			parts = append(parts, p.Name)
		}
	}
	return parts
}

// distance is how far a result is from another verdict, in mm.
func (q *asked) distance(r Result) float64 {
	tape := q.s.Tape.MM()
	switch r.Verdict {
	case verdict.OK:
		return min(r.Spare.MM()-tape, (r.Arm-r.ArmUsed).MM()-tape)
	case verdict.Tight:
		return max(0, tape-r.Spare.MM())
	case verdict.No:
		if !math.IsNaN(r.Spare.MM()) && !math.IsInf(r.Spare.MM(), 0) {
			return -r.Spare.MM()
		}
		if !math.IsNaN(r.ArmUsed.MM()) {
			return (r.ArmUsed - r.Arm).MM() - tape
		}
	case verdict.Unsure:
	}
	return 0
}

// summary says in a sentence how a hand gets to a place.
func (q *asked) summary(at scene.Place, r Result) string {
	u := q.s.Units
	hand := "a hand"
	if at.Hands > 1 {
		hand = "both hands"
	}
	switch r.Verdict {
	case verdict.OK, verdict.Tight:
		gets := "gets"
		if at.Hands > 1 {
			gets = "get"
		}
		spare := u.AtLeast(r.Spare) + " to spare"
		if r.Spare >= mm(plenty) {
			spare = u.AtLeast(r.Spare) + " or more to spare"
		}
		if len(r.Blocks) > 0 && r.Spare < mm(plenty) {
			spare += " at " + q.words(r.Blocks[0])
		}
		if r.Spare < q.s.Tape {
			spare += fmt.Sprintf(", and a measurement may be off by %s", u.Fine(q.s.Tape))
		}
		text := fmt.Sprintf("%s %s to it %s; %s; %s of %s of arm inside", hand, gets, r.Way, spare, u.Length(r.ArmUsed), u.Length(r.Arm))
		return text + q.eye(r)
	case verdict.No:
		return hand + " does not get to it: " + q.reason(r) + q.eye(r)
	case verdict.Unsure:
	}
	return r.Reason + q.eye(r)
}

// short says a result in a few words.
func (q *asked) short(r Result) string {
	switch r.Verdict {
	case verdict.OK, verdict.Tight:
		return r.Verdict.String() + ", " + q.s.Units.AtLeast(r.Spare) + " to spare"
	case verdict.No:
		return "no, " + q.reason(r)
	case verdict.Unsure:
	}
	return "unsure"
}

// reason says why a hand does not get to a place, with its numbers.
func (q *asked) reason(r Result) string {
	u := q.s.Units
	text := r.Reason
	var names []string
	for _, b := range r.Blocks {
		if w := q.words(b); !slices.Contains(names, w) {
			names = append(names, w)
		}
	}
	switch len(names) {
	case 1:
		text += ", at " + names[0]
	case 2:
		text += ", between " + names[0] + " and " + names[1]
	}
	switch {
	case !math.IsNaN(r.ArmUsed.MM()):
		text += fmt.Sprintf(", at least %s by the shortest way, and the arm is %s", u.Length(r.ArmUsed), u.Length(r.Arm))
	case r.Spare < 0 && !math.IsInf(r.Spare.MM(), 0):
		text += fmt.Sprintf("; %s more room all round would be the least", u.AtLeast(-r.Spare))
	}
	return text
}

// eye says whether the place can be seen.
func (q *asked) eye(r Result) string {
	switch {
	case r.Seen == nil:
		return ""
	case *r.Seen:
		return "; the eye sees it"
	}
	return "; out of sight: by feel"
}

// words names a part for people.
func (q *asked) words(part string) string {
	of, name, _ := strings.Cut(part, "/")
	if of == "cabinet" || of == "sump" || of == "display" || of == "room" {
		return "the " + of + "'s " + name
	}
	if name == "" {
		return of
	}
	if _, door := q.s.Cabinet.Opening(of); door {
		return "the " + name + " of the " + of
	}
	return of + "'s " + name
}

// again names the measurement worth taking again.
func (q *asked) again(at scene.Place, r Result) string {
	switch {
	case r.Verdict == verdict.No && !math.IsNaN(r.ArmUsed.MM()):
		return "measure how far in " + at.Name + " is"
	case len(r.Blocks) > 0:
		return "measure the room beside " + q.words(r.Blocks[0])
	}
	return "measure where " + at.Name + " is, and try it with a hand"
}

// way says how the arm comes in.
func (q *asked) way(p *posture, at scene.Place) string {
	words := []string{"through the " + p.world.opening.Name}
	if sump := q.s.Sump; sump != nil {
		in := sump.Inside()
		if holds(in, at.At) && at.At.Z < in.Max.Z {
			words = append(words, "over the sump wall")
		}
	}
	if n := p.room.nearest; n != nil && p.room.free < plenty && (n.Role == scene.RoleEquipment || n.Role == scene.RoleFixture) && !on(at, n.Part) {
		words = append(words, "past "+q.words(n.Name))
	}
	if p.over {
		words = append(words, "then turned to it")
	}
	switch {
	case p.bent && p.bend != 0:
		words = append(words, "wrist and elbow bent")
	case p.bent:
		words = append(words, "elbow bent")
	default:
		words = append(words, "arm straight")
	}
	if p.kneel {
		words = append(words, "kneeling")
	} else {
		words = append(words, "standing")
	}
	return strings.Join(words, ", ")
}

// aboveRim judges the room above the sump's rim.
func aboveRim(s *scene.Scene) verdict.Finding {
	top := solid.BoundsOf(solid.Box(s.Sump.Box))
	for _, p := range s.Sump.Panes() {
		top.Max.Z = max(top.Max.Z, p.Solid.Bounds().Max.Z)
	}
	// Everything over the sump's inside that is fixed to the cabinet.
	column := s.Sump.Inside()
	column.Min.Z, column.Max.Z = top.Max.Z, top.Max.Z+10*unit.Metre.MM()
	room, nearest, over := math.Inf(1), "", column
	for _, p := range append(append(s.Cabinet.Panels(), s.Fixtures()...), s.StandParts()...) {
		b := p.Solid.Bounds()
		if p.Solid == nil || !meets(b, column) {
			continue
		}
		if d := max(0, b.Min.Z-top.Max.Z); d < room {
			room, nearest = d, p.Name
			over = r3.Box{
				Min: r3.Vec{X: max(b.Min.X, column.Min.X), Y: max(b.Min.Y, column.Min.Y)},
				Max: r3.Vec{X: min(b.Max.X, column.Max.X), Y: min(b.Max.Y, column.Max.Y)},
			}
		}
	}
	u := s.Units
	f := verdict.Finding{
		ID: "reach/room above the sump", Verdict: verdict.OK, Source: []string{"6 in above the rim for hands: common practice, no source"},
		Measures: verdict.Measures{{Key: "spare_mm", Value: room}, {Key: "wanted_mm", Value: rimRoom.MM()}},
		Room:     math.Abs(room - rimRoom.MM()),
	}
	if math.IsInf(room, 1) {
		f.Summary = "nothing of the cabinet is above the sump"
		f.Room = math.NaN()
		return f
	}
	q := asked{s: s}
	f.Summary = fmt.Sprintf("%s above the sump's rim for hands and for what lifts out, up to %s; %s wanted",
		u.Length(mm(room)), q.words(nearest), u.Length(rimRoom))
	middle := r3.Scale(0.5, r3.Add(over.Min, over.Max))
	f.Marks = []scene.Mark{{
		From: r3.Vec{X: middle.X, Y: middle.Y, Z: top.Max.Z}, To: r3.Vec{X: middle.X, Y: middle.Y, Z: top.Max.Z + room},
		Label: u.Length(mm(room)), Parts: []string{nearest},
	}}
	if mm(room) < rimRoom {
		f.Verdict = verdict.Tight
		f.Again = "measure from the sump's rim up to " + q.words(nearest)
	}
	return f
}

// meets reports whether two boxes share more than a face.
func meets(a, b r3.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y && a.Min.Z < b.Max.Z && b.Min.Z < a.Max.Z
}
