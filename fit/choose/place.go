package choose

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// A spot is where the left front corner of the box round a sump may be, seen from
// above, in mm.
type spot struct{ x, y float64 }

// A rect is a rectangle of spots.
type rect struct{ x0, x1, y0, y1 float64 }

// inside tells whether p is in r, its border not counted.
func (r rect) inside(p spot) bool { return p.x > r.x0 && p.x < r.x1 && p.y > r.y0 && p.y < r.y1 }

// A standing is the question where a sump may stand: on the plan's height, not
// turned. For boxes the answer is exact: what it must not stand in forbids a
// rectangle of spots for each of its parts.
type standing struct {
	sump   *scene.Sump // the box round it with its corner at (0, 0)
	size   r3.Vec      // of that box
	domain rect        // where that box is within the cabinet
	open   []scene.Part
	closed bool // nothing may reach into it, and open is it as it is carried
	others []obstacle
}

// An obstacle is what stands in the cabinet already, in boxes that together hold it, and
// the room wanted to it.
type obstacle struct {
	scene.Part
	boxes  []r3.Box
	wanted float64
}

// stands returns the question for a sump whose box has its corner at z.
func (b *Base) stands(s *scene.Sump, z float64) *standing {
	at := put(s, r3.Vec{Z: z})
	box := round(at)
	q := &standing{sump: at, size: r3.Sub(box.Max, box.Min), open: at.Panes()}
	c := &b.scene.Cabinet
	q.domain = rect{0, c.Width.MM() - q.size.X, 0, c.Depth.MM() - q.size.Y}
	add := func(kind string, parts []scene.Part) {
		for _, p := range parts {
			// What it stands on, and what is below that, is in no way.
			if p.Solid.Bounds().Max.Z <= z+verdict.Contact.MM() {
				continue
			}
			q.others = append(q.others, obstacle{p, pieces(p.Solid), b.scene.Gaps.For("sump", kind).MM()})
		}
	}
	add("", c.Panels())
	add("", b.bare.StandParts())
	add("", b.bare.Fixtures())
	for i := range c.Openings {
		add("", b.bare.Leaves(&c.Openings[i], 0))
		add("", b.bare.Hinges(&c.Openings[i]))
	}
	if b.bare.Display != nil {
		add("", b.bare.Display.Panes())
	}
	for _, t := range b.bare.Things() {
		if t.Name != "sump" {
			add(t.Kind, t.Parts)
		}
	}
	return q
}

// forbidden returns the spots at which a part of the sump would be nearer to
// something than the share of the room wanted there, reckoned with boxes round
// both.
func (q *standing) forbidden(share float64) []rect {
	var out []rect
	for _, a := range q.open {
		p := a.Solid.Bounds()
		for _, o := range q.others {
			for _, b := range o.boxes {
				if r, ok := conflict(p, b, max(0, share*o.wanted)); ok {
					out = append(out, r)
				}
			}
		}
	}
	return out
}

// surely returns the spots at which a part of the sump, smaller by e on every
// side, would overlap what is sure to be there, reckoned with boxes inside both.
func (q *standing) surely(e float64) []rect {
	var out []rect
	for _, a := range q.open {
		p, ok := solid.Inscribed(a.Sure)
		if !ok {
			continue
		}
		for _, o := range q.others {
			for _, b := range q.inscribed(o.Sure, p.Min.Z+e, p.Max.Z-e) {
				if r, ok := conflict(p, b, -e); ok {
					out = append(out, r)
				}
			}
		}
	}
	return out
}

// inscribed returns boxes that lie in s, where s stands along the axes: of a closed sump,
// of which there are few parts, several in an upright round, from broad to deep, so that
// hardly anything of it is left out to any side. Of any other s they are its footprints: what
// reaches from the height lo to hi and stands on one of them is in the way of s, too.
func (q *standing) inscribed(s solid.Solid, lo, hi float64) []r3.Box {
	b, ok := solid.Inscribed(s)
	if !ok {
		return footprints(s, lo, hi)
	}
	out := []r3.Box{b}
	if c, round := s.(*solid.Cylinder); round && q.closed {
		const boxes = 8
		for i := range boxes {
			sin, cos := math.Sincos((float64(i) + 0.5) / boxes * math.Pi / 2)
			x, y := cos*c.Radius-tiny, sin*c.Radius-tiny
			b.Min.X, b.Max.X, b.Min.Y, b.Max.Y = c.A.X-x, c.A.X+x, c.A.Y-y, c.A.Y+y
			out = append(out, b)
		}
	}
	return out
}

// shut returns the question for the sump as it is carried, into which nothing reaches.
func (q *standing) shut() *standing {
	out := *q
	out.open, out.closed = q.sump.Carried(), true
	return &out
}

// without returns the question where some fixtures are gone.
func (q *standing) without(gone []string) *standing {
	out := *q
	out.others = slices.DeleteFunc(slices.Clone(q.others), func(o obstacle) bool {
		return o.Role == scene.RoleFixture && slices.Contains(gone, o.Of)
	})
	return &out
}

// conflict returns the spots at which a box that is at p for the spot (0, 0) is
// nearer to o than gap along some axis of every pair; of a negative gap the box is
// smaller by as much.
func conflict(p, o r3.Box, gap float64) (rect, bool) {
	if p.Max.X-p.Min.X <= -2*gap || p.Max.Y-p.Min.Y <= -2*gap || p.Max.Z-p.Min.Z <= -2*gap {
		return rect{}, false
	}
	if o.Min.Z-p.Max.Z >= gap-tiny || p.Min.Z-o.Max.Z >= gap-tiny {
		return rect{}, false
	}
	return rect{o.Min.X - gap - p.Max.X, o.Max.X + gap - p.Min.X, o.Min.Y - gap - p.Max.Y, o.Max.Y + gap - p.Min.Y}, true
}

// tiny is what rounding may do to a place in mm.
const tiny = 1e-6

// An arrangement is a domain cut up by the edges of forbidden rectangles.
type arrangement struct {
	domain    rect
	forbidden []rect
	xs, ys    []float64
}

func arrange(domain rect, forbidden []rect, extra ...spot) *arrangement {
	a := &arrangement{domain: domain}
	a.xs, a.ys = []float64{domain.x0, domain.x1}, []float64{domain.y0, domain.y1}
	for _, r := range forbidden {
		if r.x1 <= domain.x0 || r.x0 >= domain.x1 && domain.x1 > domain.x0 || r.y1 <= domain.y0 || r.y0 >= domain.y1 && domain.y1 > domain.y0 {
			continue
		}
		a.forbidden = append(a.forbidden, r)
		a.xs, a.ys = append(a.xs, r.x0, r.x1), append(a.ys, r.y0, r.y1)
	}
	for _, p := range extra {
		a.xs, a.ys = append(a.xs, p.x), append(a.ys, p.y)
	}
	a.xs, a.ys = between(a.xs, domain.x0, domain.x1), between(a.ys, domain.y0, domain.y1)
	return a
}

// between returns the sorted values from lo to hi, each once.
func between(vs []float64, lo, hi float64) []float64 {
	vs = slices.DeleteFunc(vs, func(v float64) bool { return v < lo || v > hi })
	slices.Sort(vs)
	return slices.Compact(vs)
}

func (a *arrangement) free(p spot) bool {
	return !slices.ContainsFunc(a.forbidden, func(r rect) bool { return r.inside(p) })
}

// nearest returns the free spot nearest to p along the axes; false where nothing
// is free.
func (a *arrangement) nearest(p spot) (spot, bool) {
	if a.domain.x1 < a.domain.x0 || a.domain.y1 < a.domain.y0 {
		return spot{}, false
	}
	var all []spot
	for _, x := range a.xs {
		for _, y := range a.ys {
			all = append(all, spot{x, y})
		}
	}
	slices.SortStableFunc(all, func(s, t spot) int {
		return cmp.Compare(math.Abs(s.x-p.x)+math.Abs(s.y-p.y), math.Abs(t.x-p.x)+math.Abs(t.y-p.y))
	})
	for _, s := range all {
		if a.free(s) {
			return s, true
		}
	}
	return spot{}, false
}

// none tells whether nothing at all is free. The rectangles are open, so that the edges
// of what the left and right sides cut the domain into and the middles between them stand
// for everything: on each of these lines the rectangles have to leave no gap.
func (a *arrangement) none() bool {
	if a.domain.x1 < a.domain.x0 || a.domain.y1 < a.domain.y0 {
		return true
	}
	upward := slices.Clone(a.forbidden)
	slices.SortFunc(upward, func(r, s rect) int { return cmp.Compare(r.y0, s.y0) })
	for _, x := range withMiddles(a.xs) {
		y := a.domain.y0 // all below it is forbidden
		for _, r := range upward {
			if x <= r.x0 || x >= r.x1 || y >= r.y1 {
				continue
			}
			if r.y0 >= y {
				break
			}
			y = r.y1
		}
		if y <= a.domain.y1 {
			return false
		}
	}
	return true
}

func withMiddles(vs []float64) []float64 {
	out := slices.Clone(vs)
	for i := range len(vs) - 1 {
		out = append(out, (vs[i]+vs[i+1])/2)
	}
	return out
}

// place returns the spot nearest to the one wanted that keeps as much as possible
// of the room wanted, up to all of it; false where no spot keeps clear, reckoned
// with boxes.
func (q *standing) place(wanted spot) (spot, bool) {
	if !q.lowEnough(0) {
		return spot{}, false
	}
	at := func(share float64) (spot, bool) {
		return arrange(q.domain, q.forbidden(share), wanted).nearest(wanted)
	}
	if s, ok := at(1); ok {
		return s, true
	}
	best, ok := at(0)
	if !ok {
		return spot{}, false
	}
	lo, hi := 0.0, 1.0
	const halvings = 7
	for range halvings {
		mid := (lo + hi) / 2
		if s, ok := at(mid); ok {
			lo, best = mid, s
		} else {
			hi = mid
		}
	}
	return best, true
}

// nowhere tells whether it is shown that a sump smaller by the tape's error cannot
// stand anywhere within d.
func (q *standing) nowhere(d rect) bool {
	e := q.sump.Tape.MM()
	return !q.lowEnough(e) || d.x1 < d.x0 || d.y1 < d.y0 || arrange(d, q.surely(e)).none()
}

// lowEnough tells whether a sump lower by e at the top ends below the cabinet's
// top outside.
func (q *standing) lowEnough(e float64) bool {
	top := round(q.sump).Max.Z
	for _, o := range q.others {
		if o.Role == scene.RolePanel && o.Name == "cabinet/top" {
			return top-e <= o.Solid.Bounds().Max.Z+tiny
		}
	}
	return true
}

// at returns the sump at a spot.
func (q *standing) at(s spot) *scene.Sump {
	return put(q.sump, r3.Vec{X: s.x, Y: s.y, Z: round(q.sump).Min.Z})
}
