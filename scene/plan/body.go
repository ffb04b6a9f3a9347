package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// rawItem is what a plan says about a thing or a fixture alike.
type rawItem struct {
	name   val[string]
	at     val[*rawAt]
	turn   val[unit.Angle]
	body   rawBody
	parts  val[[]val[*rawPart]]
	lifts  val[unit.Length]
	within val[unit.Length]
}

// rawBody is a box, a round, or a pipe from one point to another.
type rawBody struct {
	size     val[[]unit.Length]
	round    val[rawRound]
	height   val[unit.Length]
	along    val[axis]
	from, to val[*rawAt]
}

// rawRound is a diameter, as measured or of a trade size.
type rawRound struct {
	diameter unit.Length
	trade    string // "" where measured
}

type rawPart struct {
	name  val[string]
	at    val[*rawAt]
	body  rawBody
	lifts val[unit.Length]
	apart val[bool]
}

// An axis is how a round thing lies; upright is the zero value.
type axis int

const (
	upright axis = iota
	leftRight
	frontBack
)

var bodyKeys = []field[rawBody]{
	key("size", func(b *rawBody) *val[[]unit.Length] { return &b.size }, boxSize,
		"Of a box: width, depth, height."),
	key("round", func(b *rawBody) *val[rawRound] { return &b.round }, roundShape,
		"Of a round: its diameter, or a trade size as 1 in pipe."),
	key("height", func(b *rawBody) *val[unit.Length] { return &b.height }, size,
		"Of a round: its height, or its length where it lies."),
	key("along", func(b *rawBody) *val[axis] { return &b.along }, choice("a direction",
		option[axis]{"left-right", leftRight}, option[axis]{"front-back", frontBack}),
		"How a round lies; left out: it stands."),
	key("from", func(b *rawBody) *val[*rawAt] { return &b.from }, pointShape,
		"Of a pipe: the middle of one end."),
	key("to", func(b *rawBody) *val[*rawAt] { return &b.to }, pointShape,
		"Of a pipe: the middle of the other end."),
}

var itemKeys = append(append([]field[rawItem]{
	key("name", func(i *rawItem) *val[string] { return &i.name }, name,
		"What it is called.").needed("write name: with a word of your own"),
	key("at", func(i *rawItem) *val[*rawAt] { return &i.at }, atShape,
		"Where it stands, by the nearest faces of the box round it."),
	key("turn", func(i *rawItem) *val[unit.Angle] { return &i.turn }, turning,
		"How far it is turned about the vertical, counter-clockwise seen from above, in degrees."),
}, within(func(i *rawItem) *rawBody { return &i.body }, bodyKeys)...),
	key("parts", func(i *rawItem) *val[[]val[*rawPart]] { return &i.parts }, listOf("a list of parts", 1, partShape),
		"Its parts, where one body does not tell it."),
	key("lifts", func(i *rawItem) *val[unit.Length] { return &i.lifts }, distance,
		"How far it must rise to come off."),
	key("within", func(i *rawItem) *val[unit.Length] { return &i.within }, distance,
		"How far its measures may be off, where it is not the plan's tape."),
)

var partShape = object("a part", append(append([]field[rawPart]{
	key("name", func(p *rawPart) *val[string] { return &p.name }, name, "What the part is called.").
		needed("write name: with a word of your own"),
	key("at", func(p *rawPart) *val[*rawAt] { return &p.at }, atShape,
		"Where the part is in the box of its thing."),
}, within(func(p *rawPart) *rawBody { return &p.body }, bodyKeys)...),
	key("lifts", func(p *rawPart) *val[unit.Length] { return &p.lifts }, distance,
		"How far it must rise to come off."),
	key("apart", func(p *rawPart) *val[bool] { return &p.apart }, yesNo,
		"Whether it travels by itself and is put together inside."),
)...).described(embodied)

// embodied tells that a body is a box, a standing or lying round, or a pipe.
func embodied(s *schema) {
	s.AnyOf = append(s.AnyOf, has("size"), has("round", "height"), has("round", "from", "to"))
}

// roundShape is a diameter, or a trade size.
var roundShape = shape[rawRound]{
	what: "a diameter", kind: scalar,
	read: func(r *reader, n *node, at where) (rawRound, bool) {
		words := strings.Fields(n.text)
		if len(words) > 1 && isFitting(words[len(words)-1]) {
			d, ok := assets.RoundOf(n.text)
			if !ok {
				r.fail(at, n.quote()+" is no trade size of the tables", "write the diameter you measured, or "+oneOf(sizesOf(words[len(words)-1])))
			}
			return rawRound{toNanometre(d), strings.Join(words, " ")}, ok
		}
		before := len(r.errs)
		d, ok := size.read(r, n, at)
		for _, e := range r.errs[before:] {
			e.Hint += ", or a trade size as 1 in pipe"
		}
		return rawRound{diameter: d}, ok
	},
	describe: func() *schema {
		s := size.describe()
		s.AnyOf = append(s.AnyOf, &schema{Type: "string", Pattern: `(?:` + foldedUnits(fittings()) + `)\s*$`})
		return s
	},
}

// fittings lists the kinds of pipe and fitting.
func fittings() []string {
	var out []string
	for _, r := range assets.Rounds() {
		if !slices.Contains(out, r.Kind) {
			out = append(out, r.Kind)
		}
	}
	return out
}

// isFitting reports whether word names a kind of pipe or fitting.
func isFitting(word string) bool {
	return slices.Contains(fittings(), strings.ToLower(word))
}

// sizesOf lists the trade sizes of a kind of fitting.
func sizesOf(kind string) []string {
	var out []string
	for _, r := range assets.Rounds() {
		if strings.EqualFold(kind, r.Kind) {
			out = append(out, r.Name())
		}
	}
	return out
}

// A form is one convex body in the box of its thing, before the thing is placed.
type form struct {
	at    where
	body  scene.Body  // without its solid
	box   r3.Box      // of a box, or round a round
	a, b  r3.Vec      // the ends of a round's axis
	r     float64     // its radius; 0 for a box
	askew solid.Solid // the solid itself, once it is turned by no quarter turns
}

// solid returns the body as it stands.
func (f form) solid() solid.Solid {
	switch {
	case f.askew != nil:
		return f.askew
	case f.r > 0:
		return &solid.Cylinder{A: f.a, B: f.b, Radius: f.r}
	}
	return solid.Box(f.box)
}

// moved returns f shifted by v.
func (f form) moved(v r3.Vec) form {
	if f.askew != nil {
		pose := solid.Rest
		pose.Shift = v
		f.askew = f.askew.Moved(pose)
		f.box = f.askew.Bounds()
		return f
	}
	f.box = r3.Box{Min: rounded(r3.Add(f.box.Min, v)), Max: rounded(r3.Add(f.box.Max, v))}
	f.a, f.b = rounded(r3.Add(f.a, v)), rounded(r3.Add(f.b, v))
	return f
}

// turned returns f turned about the vertical through the origin. Quarter turns
// are exact.
func (f form) turned(by unit.Angle) form {
	quarters := by.Deg() / 90
	if near := math.Round(quarters); math.Abs(quarters-near) < 1e-9 {
		turn := func(v r3.Vec) r3.Vec {
			for range (int(near)%4 + 4) % 4 {
				v.X, v.Y = -v.Y, v.X
			}
			return v
		}
		p, q := turn(f.box.Min), turn(f.box.Max)
		f.box = r3.Box{
			Min: r3.Vec{X: min(p.X, q.X), Y: min(p.Y, q.Y), Z: p.Z},
			Max: r3.Vec{X: max(p.X, q.X), Y: max(p.Y, q.Y), Z: q.Z},
		}
		f.a, f.b = turn(f.a), turn(f.b)
		return f
	}
	f.askew = f.solid().Moved(solid.Pose{Turn: solid.Turned(r3.Vec{Z: 1}, float64(by))})
	f.box = f.askew.Bounds()
	return f
}

// form reads one body. Points of a pipe count in room, everything else from the
// origin on. It returns false after noting an error.
func (b *builder) form(raw *rawBody, at where, room r3.Box) (form, bool) {
	f := form{at: at}
	conflict := func(v, other where, message, hint string) (form, bool) {
		b.fail(v, message, hint, other)
		return f, false
	}
	pipe := raw.from.given || raw.to.given
	switch {
	case raw.size.given && raw.round.given:
		return conflict(raw.round.at, raw.size.at, "size and round are both given", "a body is a box or a round; for both, write parts")
	case raw.size.given && raw.height.given:
		return conflict(raw.height.at, raw.size.at, "size and height are both given", "size holds the height: width, depth, height")
	case raw.size.given && pipe:
		return conflict(raw.size.at, first(raw.from.at, raw.to.at), "size and from, to are both given", "a pipe is round, from and to")
	case raw.size.given && raw.along.given:
		return conflict(raw.along.at, raw.size.at, "a box has no along", "give its size as it stands: width, depth, height")
	case pipe && raw.height.given:
		return conflict(raw.height.at, first(raw.from.at, raw.to.at), "height and from, to are both given", "a pipe is as long as from its one end to the other")
	case pipe && raw.along.given:
		return conflict(raw.along.at, first(raw.from.at, raw.to.at), "along and from, to are both given", "a pipe lies from its one end to the other")
	}
	lacks := func(what, hint string) (form, bool) {
		b.fail(where{at.pos, join(at.path, what)}, "missing", hint)
		return f, false
	}
	switch {
	case raw.size.given:
		f.box = r3.Box{Max: vec(raw.size.v)}
		return f, raw.size.ok
	case !raw.round.given && (pipe || raw.height.given || raw.along.given):
		return lacks("round", "write round: with its diameter")
	case !raw.round.given:
		return lacks("size", "write size: [width, depth, height], or round: and height:")
	case pipe && !raw.from.given:
		return lacks("from", "write from: with the middle of the other end")
	case pipe && !raw.to.given:
		return lacks("to", "write to: with the middle of the other end")
	case !pipe && !raw.height.given:
		return lacks("height", "write height: with how tall it is, or how long where it lies")
	}
	if raw.round.v.trade != "" {
		b.assume(join(at.path, "round"), "%s is %s across: trade size, measure yours", raw.round.v.trade, b.sys.Fine(raw.round.v.diameter))
	}
	d := raw.round.v.diameter.MM()
	f.r = d / 2
	if pipe {
		if !raw.round.ok || !raw.from.ok || !raw.to.ok {
			return f, false
		}
		f.a, f.b = raw.from.v.point(room), raw.to.v.point(room)
		if f.a == f.b {
			return conflict(raw.to.at, raw.from.at, "the pipe ends where it begins", "give the middles of its two ends")
		}
		f.box = f.solid().Bounds()
		return f, true
	}
	h := raw.height.v.MM()
	switch raw.along.v {
	case upright:
		f.box.Max = r3.Vec{X: d, Y: d, Z: h}
		f.a, f.b = r3.Vec{X: f.r, Y: f.r}, r3.Vec{X: f.r, Y: f.r, Z: h}
	case leftRight:
		f.box.Max = r3.Vec{X: h, Y: d, Z: d}
		f.a, f.b = r3.Vec{Y: f.r, Z: f.r}, r3.Vec{X: h, Y: f.r, Z: f.r}
	case frontBack:
		f.box.Max = r3.Vec{X: d, Y: h, Z: d}
		f.a, f.b = r3.Vec{X: f.r, Z: f.r}, r3.Vec{X: f.r, Y: h, Z: f.r}
	}
	return f, raw.round.ok && raw.height.ok && raw.along.usable()
}

// first returns the first place that the plan gives.
func first(all ...where) where {
	for _, w := range all {
		if w.line > 0 {
			return w
		}
	}
	return where{}
}

// A surrounding is what a thing stands in: the cabinet or a chamber.
type surrounding struct {
	r3.Box
	// fixed reports whether a place measured from these faces is known, whatever
	// the defaults hide.
	fixed func(from []scene.Face) bool
}

// faces returns the faces from which the place of a thing is measured.
func (i *rawItem) faces() []scene.Face {
	if !i.parts.given && i.body.from.ok && i.body.to.ok {
		out := i.body.from.v.faces()
		for _, f := range i.body.to.v.faces() {
			if !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
		return out
	}
	return i.at.or(&rawAt{}).faces()
}

// bodies returns the convex bodies of a thing as it stands in room; false after
// noting an error.
func (b *builder) bodies(raw *rawItem, at where, room surrounding) ([]scene.Body, bool) {
	out, ok := b.placedBodies(raw, at, room.Box)
	if ok && !room.fixed(raw.faces()) {
		for i := range out {
			out[i].Assumed = true
		}
	}
	return out, ok
}

func (b *builder) placedBodies(raw *rawItem, at where, room r3.Box) ([]scene.Body, bool) {
	single := raw.body
	var forms []form
	var whole form // the box round the thing
	switch {
	case !raw.parts.given:
		f, ok := b.form(&single, at, room)
		if !ok {
			return nil, false
		}
		f.body.Lifts = raw.lifts.v
		if single.from.given {
			for _, v := range []struct {
				given bool
				at    where
				name  string
			}{{raw.at.given, raw.at.at, "at"}, {raw.turn.given, raw.turn.at, "turn"}} {
				if v.given {
					b.fail(v.at, v.name+" and from, to are both given", "a pipe is where its ends are", single.from.at)
				}
			}
			f.body.Solid = f.solid()
			return []scene.Body{f.body}, true
		}
		forms, whole = []form{f}, f
	case raw.lifts.given:
		b.fail(raw.lifts.at, "lifts stands beside parts", "write lifts at the part that comes off", raw.parts.at)
		return nil, false
	default:
		var ok bool
		if forms, whole, ok = b.parts(raw, at); !ok {
			return nil, false
		}
	}
	if !raw.at.usable() || !raw.turn.usable() {
		return nil, false
	}
	if raw.turn.ok {
		for i := range forms {
			forms[i] = forms[i].turned(raw.turn.v)
		}
		if raw.body.size.ok {
			whole = whole.turned(raw.turn.v)
		} else {
			whole.box = boundsOf(forms)
		}
	}
	corner := raw.at.or(&rawAt{}).place(room, r3.Sub(whole.box.Max, whole.box.Min))
	out := make([]scene.Body, len(forms))
	for i, f := range forms {
		f = f.moved(r3.Sub(corner, whole.box.Min))
		out[i] = f.body
		out[i].Solid = f.solid()
	}
	return out, true
}

// beyond is how far a part may stand beyond the box of its thing, in mm: as much
// as counts as touching.
const beyond = 1e-3

// parts returns the parts of a thing in its own box, and that box: the one the
// plan gives, or the parts' extent.
func (b *builder) parts(raw *rawItem, at where) (forms []form, whole form, ok bool) {
	ok = true
	for _, v := range []struct {
		given bool
		at    where
		name  string
	}{
		{raw.body.round.given, raw.body.round.at, "round"},
		{raw.body.height.given, raw.body.height.at, "height"},
		{raw.body.along.given, raw.body.along.at, "along"},
		{raw.body.from.given, raw.body.from.at, "from"},
		{raw.body.to.given, raw.body.to.at, "to"},
	} {
		if v.given {
			b.fail(v.at, v.name+" stands beside parts", "give it to the part it belongs to", raw.parts.at)
			ok = false
		}
	}
	sized := raw.body.size.given
	box := r3.Box{Max: vec(raw.body.size.v)}
	have := map[string]where{}
	for _, v := range raw.parts.v {
		if !v.ok {
			ok = false
			continue
		}
		p := v.v
		b.unique(have, p.name)
		if !sized && !b.placed(p, v.at) {
			ok = false
			continue
		}
		f, good := b.form(&p.body, v.at, box)
		if !good || !p.at.usable() || !p.name.ok {
			ok = false
			continue
		}
		if p.body.from.given && p.at.given {
			b.fail(p.at.at, "at and from, to are both given", "a pipe is where its ends are", p.body.from.at)
			ok = false
			continue
		}
		if !p.body.from.given {
			f = f.moved(p.at.or(&rawAt{}).place(box, f.box.Max))
		}
		f.body = scene.Body{Name: p.name.v, Lifts: p.lifts.v, Apart: p.apart.v}
		forms = append(forms, f)
		if raw.body.size.ok && !inside(f.box, box) {
			b.fail(v.at, fmt.Sprintf("the part %s reaches beyond its thing's box", unit.Quote(p.name.v)),
				"size is the box round all parts; take it out and the parts make it", raw.body.size.at)
		}
	}
	if sized {
		return forms, form{box: box}, ok && raw.body.size.ok && len(forms) > 0
	}
	whole = form{at: at}
	if len(forms) > 0 {
		whole.box = boundsOf(forms)
	}
	return forms, whole, ok && len(forms) > 0
}

// placed checks that a part of a thing without size is placed from left, front
// and below: there is no other side to measure from.
func (b *builder) placed(p *rawPart, at where) bool {
	spots := []val[*rawAt]{p.body.from, p.body.to}
	if !p.body.from.given && !p.body.to.given {
		spots = []val[*rawAt]{p.at}
		if !p.at.given {
			b.fail(where{at.pos, join(at.path, "at")}, "missing",
				"write at: {left: 0, front: 0, up: 0}: where the part is, since the thing has no size")
			return false
		}
	}
	ok := true
	for _, s := range spots {
		if !s.ok {
			ok = ok && !s.given
			continue
		}
		for _, v := range []struct {
			v          val[unit.Length]
			name, want string
		}{{s.v.right, "right", "left"}, {s.v.back, "back", "front"}, {s.v.down, "down", "up"}} {
			if v.v.given {
				b.fail(v.v.at, v.name+" cannot be told", fmt.Sprintf("the thing has no size to measure from: write %s, or give the thing its size", v.want))
				ok = false
			}
		}
		for _, v := range []struct {
			low, high val[unit.Length]
			name      string
		}{{s.v.left, s.v.right, "left"}, {s.v.front, s.v.back, "front"}} {
			if !v.low.given && !v.high.given {
				b.fail(where{s.at.pos, join(s.at.path, v.name)}, "missing",
					"the thing has no size to be centred in: write left and front, or give the thing its size")
				ok = false
			}
		}
	}
	return ok
}

// inside reports whether a lies in b, to within what counts as touching.
func inside(a, b r3.Box) bool {
	return a.Min.X >= b.Min.X-beyond && a.Min.Y >= b.Min.Y-beyond && a.Min.Z >= b.Min.Z-beyond &&
		a.Max.X <= b.Max.X+beyond && a.Max.Y <= b.Max.Y+beyond && a.Max.Z <= b.Max.Z+beyond
}

// boundsOf returns the box round forms, of which there is at least one.
func boundsOf(forms []form) r3.Box {
	b := forms[0].box
	for _, f := range forms[1:] {
		b.Min = r3.Vec{X: min(b.Min.X, f.box.Min.X), Y: min(b.Min.Y, f.box.Min.Y), Z: min(b.Min.Z, f.box.Min.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, f.box.Max.X), Y: max(b.Max.Y, f.box.Max.Y), Z: max(b.Max.Z, f.box.Max.Z)}
	}
	return b
}
