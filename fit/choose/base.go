package choose

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// A Direction is how the long side of a sump runs.
type Direction int

// The directions.
const (
	LeftRight Direction = iota
	FrontBack
)

// String returns the direction as a plan writes it.
func (d Direction) String() string { return [...]string{"left-right", "front-back"}[d] }

// MarshalText implements encoding.TextMarshaler.
func (d Direction) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// A Base is a plan in which other sumps are tried.
type Base struct {
	draft *plan.Draft
	// scene is the plan as it is; where the plan has no sump, with a small one.
	scene *scene.Scene
	own   bool // the plan has a sump
	// bare is the scene without what stands in the sump.
	bare *scene.Scene
}

// NewBase reads a plan to try sumps in. A plan need not have a sump. The error is
// that of reading it.
func NewBase(d *plan.Draft) (*Base, error) {
	b := &Base{draft: d}
	_, b.own = d.Value("sump")
	if !b.own {
		// A sump that says nothing but its size, so that the rest can be read.
		var err error
		if d, err = d.With(plan.Edit{Key: "sump.size", Value: "[4 in, 4 in, 4 in]"}); err != nil {
			return nil, err
		}
		b.draft = d
	}
	var err error
	if b.scene, err = d.Read(); err != nil {
		return nil, err
	}
	bare := *b.scene
	bare.Reach = nil
	bare.Equipment = slices.DeleteFunc(slices.Clone(b.scene.Equipment), func(e scene.Equipment) bool { return e.Chamber > 0 })
	b.bare = &bare
	return b, nil
}

// Scene returns the plan as it is; where it has no sump, with a small one.
func (b *Base) Scene() *scene.Scene { return b.scene }

// along returns how long z is from left to right and from front to back.
func (z *Size) along(d Direction) (x, y unit.Length) {
	if d == FrontBack {
		return z.Across, z.Long
	}
	return z.Long, z.Across
}

// trim returns a trim of z for the scene.
func (t *Trim) trim(d Direction) *scene.Trim {
	if t == nil {
		return nil
	}
	x, y := t.OutLong, t.OutCross
	if d == FrontBack {
		x, y = y, x
	}
	// Of trim of which only the outside is known no more than that is sure.
	return &scene.Trim{Height: t.Height, Out: x, More: y - x, In: t.In, Beyond: t.Beyond, Assumed: t.Assumed}
}

// sump returns z as an empty sump of the scene, the box round it with its lower
// left front corner at the origin.
func (b *Base) sump(z *Size, d Direction) *scene.Sump {
	s := &scene.Sump{
		Glass: z.glass(), GlassAssumed: z.Glass == 0, Rim: z.Rim.trim(d), Foot: z.Foot.trim(d), Empty: z.Mass,
		Inlet: scene.Left, Tape: b.scene.Sump.Tape, Under: b.scene.Sump.Under,
	}
	if d == FrontBack {
		s.Inlet = scene.Front
	}
	x, y := z.along(d)
	var low r3.Vec
	for _, t := range []*scene.Trim{s.Rim, s.Foot} {
		if t != nil {
			low.X, low.Y = max(low.X, t.Out.MM()), max(low.Y, (t.Out+t.More).MM())
		}
	}
	if s.Foot != nil {
		low.Z = s.Foot.Beyond.MM()
	}
	s.Box = r3.Box{Min: low, Max: r3.Add(low, r3.Vec{X: x.MM(), Y: y.MM(), Z: z.High.MM()})}
	return s
}

// round returns the box round a sump, trim included.
func round(s *scene.Sump) r3.Box { return boundsOf(s.Carried()) }

func boundsOf(parts []scene.Part) r3.Box {
	solids := make([]solid.Solid, len(parts))
	for i, p := range parts {
		solids[i] = p.Solid
	}
	return solid.BoundsOf(solids...)
}

// put returns s moved so that the box round it has its lower left front corner at
// the place.
func put(s *scene.Sump, at r3.Vec) *scene.Sump {
	out := *s
	by := r3.Sub(at, round(s).Min)
	out.Box = r3.Box{Min: nanometres(r3.Add(s.Box.Min, by)), Max: nanometres(r3.Add(s.Box.Max, by))}
	return &out
}

// nanometres rounds to whole nanometres, as lengths of a plan are.
func nanometres(v r3.Vec) r3.Vec {
	n := func(x float64) float64 { return math.Round(x*1e6) / 1e6 }
	return r3.Vec{X: n(v.X), Y: n(v.Y), Z: n(v.Z)}
}

// with returns the bare scene with s as its sump.
func (b *Base) with(s *scene.Sump) *scene.Scene {
	out := *b.bare
	out.Sump = s
	return &out
}

// wanted returns the place of a sump that the plan's own place tells: as far from
// the faces that it was measured from, else in the middle.
func (b *Base) wanted(s *scene.Sump) r3.Vec {
	own, size, in := round(b.scene.Sump), round(s), b.scene.Cabinet.Inside()
	d := r3.Sub(size.Max, size.Min)
	at := r3.Vec{X: (in.Min.X + in.Max.X - d.X) / 2, Y: (in.Min.Y + in.Max.Y - d.Y) / 2, Z: own.Min.Z}
	if !b.own {
		at.Z = in.Min.Z
	}
	for _, f := range b.scene.Sump.From {
		switch f {
		case scene.Left:
			at.X = own.Min.X
		case scene.Right:
			at.X = own.Max.X - d.X
		case scene.Front:
			at.Y = own.Min.Y
		case scene.Back:
			at.Y = own.Max.Y - d.Y
		case scene.Top:
			at.Z = own.Max.Z - d.Z
		case scene.Bottom:
		}
	}
	return at
}

// quarter maps faces of what is turned by a quarter, counter-clockwise seen from
// above.
var quarter = map[scene.Face]scene.Face{
	scene.Left: scene.Front, scene.Front: scene.Right, scene.Right: scene.Back, scene.Back: scene.Left,
	scene.Top: scene.Top, scene.Bottom: scene.Bottom,
}

// faceKeys are the keys of a place by the face they count from.
var faceKeys = map[scene.Face]string{
	scene.Left: "left", scene.Right: "right", scene.Front: "front", scene.Back: "back", scene.Top: "down", scene.Bottom: "up",
}

// quarters returns by how many quarter turns the plan's sump is turned so that the
// water runs along d: none where it does, else so that an inlet at an end on the
// left or right comes to the back, where drains come down.
func (b *Base) quarters(d Direction) int {
	inlet := b.scene.Sump.Inlet
	switch along := inlet == scene.Left || inlet == scene.Right; {
	case along == (d == LeftRight):
		return 0
	case inlet == scene.Left:
		return 3
	}
	return 1
}

// turned returns the face that f becomes after n quarter turns.
func turned(f scene.Face, n int) scene.Face {
	for range n {
		f = quarter[f]
	}
	return f
}

// A layoutError tells that the plan's baffles cannot be in a sump.
type layoutError struct{ why string }

func (e *layoutError) Error() string { return e.why }

// whole returns the plan with z as its sump at rest, baffles and equipment with
// it: chambers as long in proportion to the sump as the plan's, the slots of
// bubble traps as they are, edges and level lower where the sump is; what stands
// in a chamber as far from its walls as in the plan. It is a *layoutError where
// that cannot be.
func (b *Base) whole(z *Size, d Direction, at *scene.Sump) (*scene.Scene, error) {
	n := 0
	if b.own {
		n = b.quarters(d)
	}
	edits := b.glassEdits(z, d, at)
	if b.own {
		more, err := b.baffleEdits(at, n)
		if err != nil {
			return nil, err
		}
		edits = append(append(edits, more...), b.equipmentEdits(n)...)
	}
	draft, err := b.draft.With(edits...)
	if err != nil {
		return nil, err
	}
	s, err := draft.Read()
	if err != nil {
		if errs, ok := errors.AsType[plan.Errors](err); ok {
			return nil, &layoutError{errs[0].Message}
		}
		return nil, err
	}
	if have, want := chambers(s.Sump), chambers(b.scene.Sump); have != want {
		return nil, &layoutError{fmt.Sprintf("its baffles leave %d chambers, not %d as in the plan", have, want)}
	}
	// Trim that differs between ends and sides has no keys.
	s.Sump.Rim, s.Sump.Foot = at.Rim, at.Foot
	s.Sump.GlassAssumed = at.GlassAssumed
	b.moveReach(s, n)
	return s, nil
}

func chambers(s *scene.Sump) int {
	n := 0
	for _, sp := range s.Spaces() {
		n = max(n, sp.Number)
	}
	return n
}

// glassEdits makes the plan's sump the glass of z where at stands.
func (b *Base) glassEdits(z *Size, d Direction, at *scene.Sump) []plan.Edit {
	in := b.scene.Cabinet.Inside()
	x, y := z.along(d)
	edits := []plan.Edit{
		{Key: "sump.stock"},
		{Key: "sump.long"},
		{Key: "sump.rim"},
		{Key: "sump.foot"},
		{Key: "sump.braces"},
		{Key: "sump.empty"},
		{Key: "sump.size", Value: "[" + exact(x) + ", " + exact(y) + ", " + exact(z.High) + "]"},
		{Key: "sump.glass", Value: exact(z.glass())},
		{Key: "sump.at", Value: fmt.Sprintf("{left: %s, front: %s, up: %s}", exact(unit.Length(at.Box.Min.X-in.Min.X)),
			exact(unit.Length(at.Box.Min.Y-in.Min.Y)), exact(unit.Length(at.Box.Min.Z-in.Min.Z)))},
	}
	if z.Mass != nil {
		edits = append(edits, plan.Edit{Key: "sump.empty", Value: strconv.FormatFloat(z.Mass.KG(), 'f', -1, 64) + " kg"})
	}
	return edits
}

// baffleEdits puts the plan's baffles into the sump at.
func (b *Base) baffleEdits(at *scene.Sump, n int) ([]plan.Edit, error) {
	own := b.scene.Sump
	lay := *at
	lay.Inlet = turned(own.Inlet, n)
	edits := []plan.Edit{{Key: "sump.inlet", Value: lay.Inlet.String()}}
	heights := 1.0
	if is, was := insideHeight(at), insideHeight(own); is < was {
		heights = float64(is / was)
	}
	lower := func(key string, l unit.Length) {
		if heights < 1 {
			edits = append(edits, plan.Edit{Key: key, Value: exact(l * unit.Length(heights))})
		}
	}
	if own.Level != nil {
		lower("sump.level", *own.Level)
	}
	places, err := spread(own, &lay)
	if err != nil {
		return nil, err
	}
	for i, f := range own.Baffles {
		key := fmt.Sprintf("sump.baffles[%d]", i)
		edits = append(edits, plan.Edit{Key: key + ".at", Value: exact(places[i])})
		lower(key+".top", f.Top)
	}
	return edits, nil
}

func insideHeight(s *scene.Sump) unit.Length {
	in := s.Inside()
	return unit.Length(in.Max.Z - in.Min.Z)
}

// spread returns where the baffles of the sump own stand in another.
func spread(own, other *scene.Sump) ([]unit.Length, error) {
	order := make([]int, len(own.Baffles))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch x, y := own.Baffles[a].At, own.Baffles[b].At; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	thickness := func(i int, s *scene.Sump) unit.Length {
		if f := own.Baffles[i]; !f.Assumed {
			return f.Thickness
		}
		return s.Glass
	}
	slot := func(from unit.Length) bool {
		for _, sp := range own.Spaces() {
			if sp.From == from {
				return sp.Number == 0
			}
		}
		return true // baffles that touch
	}
	// kept is what does not stretch, here and there.
	var keptOwn, keptOther unit.Length
	end := unit.Length(0)
	for _, i := range order {
		f := own.Baffles[i]
		keptOwn += thickness(i, own)
		keptOther += thickness(i, other)
		if slot(end) {
			keptOwn += f.At - end
			keptOther += f.At - end
		}
		end = f.At + thickness(i, own)
	}
	if slot(end) && end < own.Length() {
		keptOwn += own.Length() - end
		keptOther += own.Length() - end
	}
	stretch := float64((other.Length() - keptOther) / (own.Length() - keptOwn))
	if !(stretch > 0) {
		return nil, &layoutError{"it is too short for the plan's baffles"}
	}
	places := make([]unit.Length, len(own.Baffles))
	end = 0
	at := unit.Length(0)
	for _, i := range order {
		long := own.Baffles[i].At - end
		if !slot(end) {
			long *= unit.Length(stretch)
		}
		at += long
		places[i] = at
		at += thickness(i, other)
		end = own.Baffles[i].At + thickness(i, own)
	}
	return places, nil
}

// equipmentEdits turns what stands in the sump along with it.
func (b *Base) equipmentEdits(n int) []plan.Edit {
	if n == 0 {
		return nil
	}
	var edits []plan.Edit
	for i := range b.scene.Equipment {
		e := &b.scene.Equipment[i]
		if e.Chamber == 0 {
			continue
		}
		key := fmt.Sprintf("equipment[%d]", i)
		var at []string
		for _, f := range []scene.Face{scene.Left, scene.Right, scene.Front, scene.Back, scene.Top, scene.Bottom} {
			if v, ok := b.draft.Value(key + ".at." + faceKeys[f]); ok {
				at = append(at, faceKeys[turned(f, n)]+": "+v)
			}
		}
		if len(at) > 0 {
			edits = append(edits, plan.Edit{Key: key + ".at", Value: "{" + strings.Join(at, ", ") + "}"})
		}
		turn := 90 * float64(n)
		if v, ok := b.draft.Value(key + ".turn"); ok {
			if a, err := unit.ParseAngle(strings.Trim(v, `"'`)); err == nil {
				turn += a.Deg()
			}
		}
		edits = append(edits, plan.Edit{Key: key + ".turn", Value: strconv.FormatFloat(math.Mod(turn, 360), 'f', -1, 64)})
		if len(e.On) > 0 {
			on := make([]string, len(e.On))
			for k, name := range e.On {
				on[k] = strconv.Quote(turnedWall(name, n))
			}
			edits = append(edits, plan.Edit{Key: key + ".on", Value: "[" + strings.Join(on, ", ") + "]"})
		}
	}
	return edits
}

// turnedWall returns the name of a wall after n quarter turns; other names stay.
func turnedWall(name string, n int) string {
	for f := range quarter {
		if name == f.String()+" wall" {
			return turned(f, n).String() + " wall"
		}
	}
	return name
}

// moveReach moves the places of s that are on something in the sump with it.
func (b *Base) moveReach(s *scene.Scene, n int) {
	s.Reach = slices.Clone(s.Reach)
	for i := range s.Reach {
		p := &s.Reach[i]
		was, is := body(b.scene, p.On), body(s, p.On)
		if was == nil || is == nil {
			continue
		}
		d := r3.Sub(p.At, middle(*was))
		for range n {
			d.X, d.Y = -d.Y, d.X
		}
		p.At = nanometres(r3.Add(middle(*is), d))
	}
}

// body returns the box round a thing in the sump; nil where none has that name.
func body(s *scene.Scene, name string) *r3.Box {
	for _, t := range s.Things() {
		if t.Name == name && t.Item != nil && t.Item.Chamber > 0 {
			b := boundsOf(t.Parts)
			return &b
		}
	}
	return nil
}

func middle(b r3.Box) r3.Vec { return r3.Scale(0.5, r3.Add(b.Min, b.Max)) }
