package floor

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"undercroft/fit/internal/beam"
	"undercroft/fit/internal/ground"
	"undercroft/fit/internal/wood"
	"undercroft/fit/stand"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A grid is the joists and what lies on them, in a frame of the floor's own: t
// across the joists from the cabinet's left (or back) edge, u along them from
// their near support.
type grid struct {
	joists   *scene.Joists
	span     float64
	at       []float64 // t of the joists' middles, ascending
	number   []int     // 1 is the one at Offset
	plies    []int
	posts    []float64 // further supports, u
	cabinet  ground.Patch
	contacts []ground.Patch
	bed      ground.Bed // in t and u
	ordinary float64    // N/mm²
	dead     float64
	bearing  float64 // length on the support, mm
}

// errBeyond says that the plan's span does not hold the cabinet.
var errBeyond = errors.New("the cabinet reaches beyond the span of the joists")

// newGrid lays the stance on the joists.
func newGrid(s *scene.Scene, st stand.Stance) (*grid, error) {
	j := s.Floor.Joists
	g := &grid{
		joists: j, span: j.Span.MM(),
		ordinary: s.Floor.Ordinary.MPa(), dead: s.Floor.Dead.MPa(),
		bearing: assumedBearing.MM(),
	}
	if j.Bearing != nil {
		g.bearing = j.Bearing.MM()
	}
	if j.Class != "" && assumed(s, "floor.ordinary") {
		g.ordinary = categoryA.MPa()
	}
	w, d, support := s.Cabinet.Width.MM(), s.Cabinet.Depth.MM(), j.Support.MM()
	turn := func(p ground.Patch) ground.Patch {
		if j.LeftRight {
			return ground.Patch{X0: d - p.Y1, X1: d - p.Y0, Y0: support + p.X0, Y1: support + p.X1}
		}
		return ground.Patch{X0: p.X0, X1: p.X1, Y0: support + d - p.Y1, Y1: support + d - p.Y0}
	}
	g.cabinet = turn(ground.Patch{X1: w, Y1: d})
	b := st.Bed
	if j.LeftRight { // x = u − support, y = d − t
		g.bed = ground.Bed{A: b.A - b.B*support + b.C*d, B: -b.C, C: b.B}
	} else { // x = t, y = support + d − u
		g.bed = ground.Bed{A: b.A + b.C*(support+d), B: b.B, C: -b.C}
	}
	for _, c := range st.Contacts {
		p := turn(ground.Of(c))
		switch {
		case g.bed.Peak(p) <= 0:
			continue // lifted
		case g.bed.Least(p) < -1e-9*g.bed.Peak(p):
			return nil, errors.New("a part of the stand lifts off the floor")
		}
		g.contacts = append(g.contacts, p)
	}
	if err := g.lay(); err != nil {
		return nil, err
	}
	return g, nil
}

// assumedBearing is the least length of a joist on wood or metal: IRC R502.6,
// quoted in a second text.
const assumedBearing = 1.5 * unit.Inch

// categoryA is the load of dwellings of EN 1991-1-1, table 6.2, recommended
// value, from memory.
const categoryA = 2 * unit.KiloPascal

// assumed tells whether the plan leaves out a key that has a default.
func assumed(s *scene.Scene, key string) bool {
	return slices.ContainsFunc(s.Assumed, func(a scene.Assumption) bool { return a.Key == key })
}

// lay places the joists that the cabinet can press on.
func (g *grid) lay() error {
	lo, hi := g.cabinet.X0, g.cabinet.X1
	for _, c := range g.contacts {
		lo, hi = min(lo, c.X0), max(hi, c.X1)
		if c.Y0 < -1 || c.Y1 > g.span+1 {
			return errBeyond
		}
	}
	spacing, offset := g.joists.Spacing.MM(), g.joists.Offset.MM()
	first := int(math.Floor((lo - offset) / spacing))
	last := int(math.Ceil((hi - offset) / spacing))
	g.at, g.number, g.plies = nil, nil, nil
	for k := first; k <= last; k++ {
		plies := 1
		if slices.Contains(g.joists.Doubled, k+1) {
			plies = 2
		}
		g.at = append(g.at, offset+float64(k)*spacing)
		g.number = append(g.number, k+1)
		g.plies = append(g.plies, plies)
	}
	return nil
}

// neighbours returns the middles of the joists before and after joist i.
func (g *grid) neighbours(i int) (before, after float64) {
	spacing := g.joists.Spacing.MM()
	before, after = g.at[i]-spacing, g.at[i]+spacing
	if i > 0 {
		before = g.at[i-1]
	}
	if i+1 < len(g.at) {
		after = g.at[i+1]
	}
	return before, after
}

// hat returns the integrals from t0 to t1 of the share of joist i and of t times
// that share: 1 at the joist, falling in a straight line to 0 at its neighbours.
// That is the lever rule: the sheathing carries a load to the nearest two.
func (g *grid) hat(i int, t0, t1 float64) (whole, first float64) {
	before, after := g.neighbours(i)
	m := g.at[i]
	for _, side := range [][2]float64{{before, m}, {after, m}} {
		from, to := side[0], side[1]
		lo, hi := max(t0, min(from, to)), min(t1, max(from, to))
		if hi <= lo {
			continue
		}
		share := func(t float64) float64 { return (t - from) / (to - from) }
		a, b, h := share(lo), share(hi), hi-lo
		whole += h * (a + b) / 2
		first += h / 6 * (lo*(2*a+b) + hi*(a+2*b))
	}
	return whole, first
}

// tank returns what the stand brings on joist i.
func (g *grid) tank(i int) []beam.Load {
	var out []beam.Load
	for _, c := range g.contacts {
		whole, first := g.hat(i, c.X0, c.X1)
		u0, u1 := max(c.Y0, 0), min(c.Y1, g.span)
		if whole <= 0 || u1 <= u0 {
			continue
		}
		q := func(u float64) float64 { return (g.bed.A+g.bed.C*u)*whole + g.bed.B*first }
		out = append(out, beam.Load{From: u0, To: u1, Start: q(u0), End: q(u1)})
	}
	return out
}

// room returns the load of an ordinary room on joist i: everywhere but under the
// cabinet.
func (g *grid) room(i int) []beam.Load {
	before, after := g.neighbours(i)
	width := (after - before) / 2
	covered, _ := g.hat(i, g.cabinet.X0, g.cabinet.X1)
	u0, u1 := min(max(g.cabinet.Y0, 0), g.span), min(max(g.cabinet.Y1, 0), g.span)
	var out []beam.Load
	for _, l := range []beam.Load{
		beam.Uniform(0, u0, g.ordinary*width),
		beam.Uniform(u0, u1, g.ordinary*(width-covered)),
		beam.Uniform(u1, g.span, g.ordinary*width),
	} {
		if l.To > l.From && l.Start > 0 {
			out = append(out, l)
		}
	}
	return out
}

// A judged joist.
type judged struct {
	carries float64 // N of the tank
	result  wood.BeamResult
}

// judge solves every joist. lenient leaves out what the plan does not give, for
// the ratios that can prove a no.
func (g *grid) judge(ordinary, dead bool) ([]judged, wood.Timber, error) {
	j := g.joists
	kind := scene.Timber{Species: j.Species, Grade: j.Grade, Class: j.Class}
	shared := j.Spacing <= 24*unit.Inch+unit.Inch/16
	var timber wood.Timber
	out := make([]judged, len(g.at))
	for i := range g.at {
		sec := wood.Section{Width: j.Thickness.MM() * float64(g.plies[i]), Height: j.Depth.MM(), Plies: g.plies[i]}
		var err error
		timber, err = wood.Look(kind, sec, wood.Service{Damp: j.Damp, Shared: shared})
		if err != nil {
			return nil, timber, err
		}
		before, after := g.neighbours(i)
		loads := wood.Loads{Added: g.tank(i)}
		if dead && g.dead > 0 {
			loads.Dead = []beam.Load{beam.Uniform(0, g.span, g.dead*(after-before)/2)}
		}
		if ordinary {
			loads.Live = g.room(i)
		}
		for _, l := range loads.Added {
			out[i].carries += l.Total()
		}
		end := wood.Seat{Length: g.bearing, Width: sec.Width}
		use := wood.BeamUse{Section: sec, Length: g.span, Damp: j.Damp, Supports: []float64{0}, Seats: []wood.Seat{end}}
		for _, p := range g.posts {
			use.Supports = append(use.Supports, p)
			use.Seats = append(use.Seats, wood.Seat{})
			// Over a post the lower edge is pressed, and no sheathing holds it.
			use.Unheld = g.span
		}
		use.Supports = append(use.Supports, g.span)
		use.Seats = append(use.Seats, end)
		out[i].result, err = wood.CheckBeam(timber, use, loads, wood.DeflectionLimits(timber.Weak.Code))
		if err != nil {
			return nil, timber, fmt.Errorf("joist %d: %w", g.number[i], err)
		}
	}
	return out, timber, nil
}

// worst returns the largest high ratio of the joists that carry some of the
// tank; NaN where it is not to be had.
func (g *grid) worst() float64 {
	all, _, err := g.judge(true, true)
	if err != nil {
		return math.NaN()
	}
	worst := 0.0
	for _, j := range all {
		if j.carries > 0 {
			worst = max(worst, j.result.Overall.High)
		}
	}
	return worst
}

// A change is something that could be done about a floor, with what it gives.
type change struct {
	key, text string
	ratio     float64
}

// changes computes what would change the worst joist, each by solving the floor
// anew.
func (g *grid) changes(s *scene.Scene) []change {
	var out []change
	add := func(key, text string, h *grid) {
		if h != nil {
			out = append(out, change{key, text, h.worst()})
		}
	}
	add("turned", "the cabinet turned a quarter", g.turned())
	h, by := g.moved(s)
	if h != nil {
		add("moved", "the cabinet moved "+s.Units.Length(unit.Length(by))+" toward the joists' support", h)
	}
	add("joists_added", "one more joist in each bay under the cabinet", g.added())
	add("joists_doubled", "the joists under the cabinet doubled", g.doubled())
	add("post", "a beam on posts under the middle of the cabinet", g.posted())
	return out
}

// copied returns a grid to change.
func (g *grid) copied() *grid {
	h := *g
	h.at, h.number, h.plies = slices.Clone(g.at), slices.Clone(g.number), slices.Clone(g.plies)
	h.contacts = slices.Clone(g.contacts)
	return &h
}

// turned turns the cabinet a quarter with its edge as far from the support as
// before and its middle over the same joists.
func (g *grid) turned() *grid {
	h := g.copied()
	ct, cu := (g.cabinet.X0+g.cabinet.X1)/2, (g.cabinet.Y0+g.cabinet.Y1)/2
	half := (g.cabinet.X1 - g.cabinet.X0) / 2
	mu := g.cabinet.Y0 + half // its new middle along the joists
	// (t, u) ↦ (ct − (u − cu), mu + (t − ct))
	turn := func(p ground.Patch) ground.Patch {
		return ground.Patch{X0: ct - (p.Y1 - cu), X1: ct - (p.Y0 - cu), Y0: mu + p.X0 - ct, Y1: mu + p.X1 - ct}
	}
	h.cabinet = turn(g.cabinet)
	for i, c := range h.contacts {
		h.contacts[i] = turn(c)
	}
	// The old place of a new one: t = u′ − mu + ct, u = cu − (t′ − ct).
	b := g.bed
	h.bed = ground.Bed{A: b.A + b.B*(ct-mu) + b.C*(cu+ct), B: -b.C, C: b.B}
	if h.lay() != nil {
		return nil
	}
	return h
}

// moved moves the cabinet along the joists toward their near support, as far as
// the wall allows.
func (g *grid) moved(s *scene.Scene) (*grid, float64) {
	by := g.cabinet.Y0
	wall := s.Room.Back
	if g.joists.LeftRight {
		wall = s.Room.Left
	}
	if wall != nil {
		by = min(by, wall.MM())
	}
	if by < unit.Inch.MM() {
		return nil, 0
	}
	h := g.copied()
	shift := func(p *ground.Patch) { p.Y0, p.Y1 = p.Y0-by, p.Y1-by }
	shift(&h.cabinet)
	for i := range h.contacts {
		shift(&h.contacts[i])
	}
	h.bed.A += h.bed.C * by
	return h, by
}

// touched tells whether joist i carries some of the tank.
func (g *grid) touched(i int) bool {
	return slices.ContainsFunc(g.contacts, func(c ground.Patch) bool {
		w, _ := g.hat(i, c.X0, c.X1)
		return w > 0
	})
}

// added puts one more joist into the middle of each bay that the cabinet covers.
func (g *grid) added() *grid {
	h := g.copied()
	h.at, h.number, h.plies = nil, nil, nil
	for i, t := range g.at {
		if i > 0 && g.at[i-1] < g.cabinet.X1 && t > g.cabinet.X0 {
			h.at = append(h.at, (g.at[i-1]+t)/2)
			h.number = append(h.number, g.number[i])
			h.plies = append(h.plies, 1)
		}
		h.at = append(h.at, t)
		h.number = append(h.number, g.number[i])
		h.plies = append(h.plies, g.plies[i])
	}
	return h
}

// doubled doubles every joist that carries some of the tank.
func (g *grid) doubled() *grid {
	h := g.copied()
	for i := range h.plies {
		if g.touched(i) {
			h.plies[i] = max(2, 2*g.plies[i])
		}
	}
	return h
}

// posted puts a beam on posts across the joists under the middle of the cabinet.
// The beam and its posts are taken as stiff and are not judged.
func (g *grid) posted() *grid {
	h := g.copied()
	mid := (g.cabinet.Y0 + g.cabinet.Y1) / 2
	least := 3 * g.joists.Depth.MM()
	if mid < least || mid > g.span-least {
		return nil // next to a support as it is
	}
	h.posts = []float64{mid}
	return h
}
