package stand

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/beam"
	"undercroft/fit/internal/wood"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A frame is the timbers of a stand and what carries what.
type frame struct {
	s     *scene.Scene
	reach float64 // how far two faces may be apart by the tape and still touch
	nodes []*node
	order []*node // every level member before what carries it
	// lost is a burdened member of which it is not seen where its load goes; any
	// upright may have to carry that.
	lost string
}

// A node is one member in the frame.
type node struct {
	m       scene.Member
	timber  wood.Timber
	section wood.Section
	err     error // why nothing can be said of it

	onFloor  bool
	supports []support
	// base of an upright: the level member under its foot; nil on the floor.
	base *node

	// What the current way of bearing brings.
	dead, added []beam.Load // along a level member, from its lower end
	pressed     float64     // on an upright, permanent
	seats       []pressed   // what stands on a level member
	burdened    bool        // something did, in one way of bearing

	// trials judge another timber in its place, one for each way of bearing.
	trials []func(wood.Timber, wood.Section) (map[string]wood.Ratio, error)
	result result
}

// A support holds a level member at a place along it.
type support struct {
	at   float64
	seat wood.Seat // of no length where screws hold the member
	by   *node     // nil: a foot on the house floor
}

// pressed is a force on a seat.
type pressed struct {
	seat  wood.Seat
	force float64
}

// A result gathers what a member has to bear over all ways of bearing.
type result struct {
	set      bool
	overall  wood.Ratio
	governs  string
	parts    map[string]wood.Ratio
	carries  float64 // N, the largest
	sag      float64
	lasting  float64
	screws   float64 // largest force at a place where only screws hold, N
	screwsAt string
}

// note takes in one way of bearing: the high ratio is the worst of all ways, the
// low one the best, as only one of them is true.
func (r *result) note(ratios map[string]wood.Ratio, carries, sag, lasting float64) {
	worst, governs := wood.Ratio{}, ""
	for _, name := range []string{wood.Bending, wood.Shear, wood.Bearing, wood.Deflection, wood.Compression} {
		q, ok := ratios[name]
		if !ok {
			continue
		}
		if governs == "" || q.High > worst.High {
			governs = name
		}
		worst = worst.Worse(q)
	}
	if !r.set {
		*r = result{set: true, overall: worst, governs: governs, parts: ratios, carries: carries, sag: sag, lasting: lasting, screws: r.screws, screwsAt: r.screwsAt}
		return
	}
	if worst.High > r.overall.High {
		r.governs = governs
	}
	r.overall = wood.Ratio{Low: min(r.overall.Low, worst.Low), High: max(r.overall.High, worst.High)}
	for name, q := range ratios {
		r.parts[name] = wood.Ratio{Low: min(r.parts[name].Low, q.Low), High: max(r.parts[name].High, q.High)}
	}
	r.carries = max(r.carries, carries)
	r.sag = max(r.sag, sag)
	r.lasting = max(r.lasting, lasting)
}

func (r *result) fastened(force float64, where string) {
	if force > r.screws {
		r.screws, r.screwsAt = force, where
	}
}

// section returns how the load meets a member.
func section(m scene.Member) wood.Section {
	plies := max(m.Plies, 1)
	if m.Run != scene.AlongZ && m.Flat {
		return wood.Section{Width: m.Depth.MM() * float64(plies), Height: m.Thickness.MM(), Plies: plies}
	}
	return wood.Section{Width: m.Thickness.MM() * float64(plies), Height: m.Depth.MM(), Plies: plies}
}

func newFrame(s *scene.Scene) *frame {
	f := &frame{s: s, reach: max(1, 2*s.Tape.MM())}
	for _, m := range s.Stand.Members {
		n := &node{m: m, section: section(m), onFloor: m.Box.Min.Z <= f.reach}
		n.timber, n.err = wood.Look(m.Timber, n.section, wood.Service{Damp: s.Stand.Damp})
		f.nodes = append(f.nodes, n)
	}
	for _, n := range f.nodes {
		if n.m.Run == scene.AlongZ {
			f.standOn(n)
		} else if !n.onFloor {
			f.hold(n)
		}
	}
	f.sort()
	return f
}

// touches tells whether two faces are as near as the tape can tell.
func (f *frame) touches(a, b float64) bool { return math.Abs(a-b) <= f.reach }

// overlapping tells whether two members share more than a touch along an axis.
func (f *frame) overlapping(a, b *node, axis scene.Axis) bool {
	lo, hi := shared(a.m.Box, b.m.Box, axis)
	return hi-lo > f.reach
}

// standOn finds what is under an upright.
func (f *frame) standOn(n *node) {
	if n.onFloor {
		return
	}
	for _, foot := range f.s.Stand.Feet {
		if f.over(n, foot.Box) {
			n.onFloor = true
			return
		}
	}
	for _, o := range f.nodes {
		if o != n && o.m.Run != scene.AlongZ && f.over(n, o.m.Box) {
			n.base = o
			return
		}
	}
	n.err = errors.New("nothing is seen under its foot")
}

// over tells whether a member stands on a box.
func (f *frame) over(n *node, b r3.Box) bool {
	if !f.touches(b.Max.Z, n.m.Box.Min.Z) {
		return false
	}
	x0, x1 := shared(n.m.Box, b, scene.AlongX)
	y0, y1 := shared(n.m.Box, b, scene.AlongY)
	return x1-x0 > f.reach && y1-y0 > f.reach
}

// hold finds what carries a level member: what it lies on, and where it lies on
// nothing, what its ends or sides are fastened to.
func (f *frame) hold(n *node) {
	axis := n.m.Run
	start, end := span(n.m.Box, axis)
	var fastened []support
	for _, foot := range f.s.Stand.Feet {
		if f.over(n, foot.Box) {
			lo, hi := shared(n.m.Box, foot.Box, axis)
			a, b := shared(n.m.Box, foot.Box, across(axis))
			n.supports = append(n.supports, support{at: (lo+hi)/2 - start, seat: wood.Seat{Length: hi - lo, Width: b - a, Gap: min(lo-start, end-hi)}})
		}
	}
	for _, o := range f.nodes {
		if o == n {
			continue
		}
		lo, hi := shared(n.m.Box, o.m.Box, axis)
		a, b := shared(n.m.Box, o.m.Box, across(axis))
		under := f.touches(o.m.Box.Max.Z, n.m.Box.Min.Z)
		switch {
		case under && hi-lo > f.reach && b-a > f.reach:
			n.supports = append(n.supports, support{
				at:   (lo+hi)/2 - start,
				seat: wood.Seat{Length: hi - lo, Width: b - a, Gap: min(lo-start, end-hi)},
				by:   o,
			})
		case !f.overlapping(n, o, scene.AlongZ):
		case b-a > f.reach && o.m.Run != axis && f.touches(hi, lo): // its end meets a side
			fastened = append(fastened, support{at: min(max((lo+hi)/2-start, 0), end-start), by: o})
		case hi-lo > f.reach && o.m.Run == scene.AlongZ && f.touches(a, b): // an upright at its side
			fastened = append(fastened, support{at: (lo+hi)/2 - start, by: o})
		}
	}
	for _, s := range fastened {
		near := slices.ContainsFunc(n.supports, func(t support) bool {
			return math.Abs(t.at-s.at) <= max(t.seat.Length, n.section.Height)
		})
		if !near {
			n.supports = append(n.supports, s)
		}
	}
	slices.SortFunc(n.supports, func(a, b support) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	if n.err != nil {
		return
	}
	switch len(n.supports) {
	case 0:
		n.err = errors.New("nothing is seen under its ends or beside them that carries it: are its place and the length of the legs right?")
	case 1:
		n.err = errors.New("only one place is seen that carries it, and it needs two")
	}
}

// sort orders the level members so that each comes before what carries it.
func (f *frame) sort() {
	const fresh, open, done = 0, 1, 2
	state := map[*node]int{}
	var post []*node
	var visit func(n *node) bool
	visit = func(n *node) bool {
		switch state[n] {
		case open:
			return false
		case done:
			return true
		}
		state[n] = open
		ok := true
		for _, s := range n.supports {
			ok = (s.by == nil || visit(s.by)) && ok
		}
		if n.base != nil {
			ok = visit(n.base) && ok
		}
		state[n] = done
		post = append(post, n)
		return ok
	}
	for _, n := range f.nodes {
		if state[n] == fresh && !visit(n) && n.err == nil {
			n.err = errors.New("the members carry each other in a circle")
		}
	}
	slices.Reverse(post)
	f.order = post
}

// tops returns the level members on which a board at the given height lies, with
// how far the board spreads a load beyond them.
func (f *frame) tops(height float64) []*node {
	var out []*node
	for _, n := range f.nodes {
		if n.m.Run != scene.AlongZ && f.touches(n.m.Box.Max.Z, height) {
			out = append(out, n)
		}
	}
	return out
}

// clear empties the loads.
func (f *frame) clear() {
	for _, n := range f.nodes {
		n.dead, n.added, n.pressed, n.seats = nil, nil, 0, nil
	}
}

// settle solves the frame under the loads that lie on it.
func (f *frame) settle() {
	for _, n := range f.order {
		if n.m.Run == scene.AlongZ {
			f.settleUpright(n)
		} else {
			f.settleLevel(n)
		}
	}
}

// put lays a load on a level member or an upright's head.
func (n *node) put(at float64, force float64, seat wood.Seat) {
	if force <= 0 {
		return
	}
	if n.m.Run == scene.AlongZ {
		n.pressed += force
		return
	}
	start, end := span(n.m.Box, n.m.Run)
	n.added = append(n.added, beam.Point(min(max(at-start, 0), end-start), force))
	n.seats = append(n.seats, pressed{seat, force})
}

func (f *frame) settleLevel(n *node) {
	carries := 0.0
	for _, l := range n.added {
		carries += l.Total()
	}
	if carries == 0 && len(n.dead) == 0 {
		return
	}
	n.burdened = true
	if n.err != nil {
		f.doubtBelow(n)
		return
	}
	start, end := span(n.m.Box, n.m.Run)
	use := wood.BeamUse{Length: end - start, Damp: f.s.Stand.Damp}
	for i, s := range n.supports {
		use.Supports = append(use.Supports, s.at)
		use.Seats = append(use.Seats, s.seat)
		if i > 0 {
			use.Unheld = max(use.Unheld, s.at-n.supports[i-1].at)
		}
	}
	loads, seats, onFloor, damp := wood.Loads{Dead: n.dead, Added: n.added}, n.seats, n.onFloor, f.s.Stand.Damp
	check := func(timber wood.Timber, sec wood.Section) (r wood.BeamResult, err error) {
		if !onFloor {
			use := use
			use.Section = sec
			r, err = wood.CheckBeam(timber, use, loads, wood.DeflectionLimits(timber.Weak.Code))
		}
		for _, p := range seats {
			r.Bearing = r.Bearing.Worse(permanentBearing(timber, p, damp))
		}
		return r, err
	}
	r, err := check(n.timber, n.section)
	if err != nil {
		n.err = err
		f.doubtBelow(n)
		return
	}
	n.trials = append(n.trials, func(timber wood.Timber, sec wood.Section) (map[string]wood.Ratio, error) {
		r, err := check(timber, sec)
		return ratios(r), err
	})
	n.result.note(ratios(r), carries, r.Sag, r.Lasting)
	for i, s := range n.supports {
		if n.onFloor {
			break
		}
		if s.by == nil {
			continue
		}
		if s.seat.Length == 0 {
			n.result.fastened(r.Permanent[i], s.by.m.Name)
		}
		at := start + s.at
		if s.by.m.Run != n.m.Run {
			lo, hi := span(n.m.Box, across(n.m.Run))
			at = (lo + hi) / 2
		}
		s.by.put(at, r.Permanent[i], f.seatOn(s.by, n, s))
	}
}

func ratios(r wood.BeamResult) map[string]wood.Ratio {
	return map[string]wood.Ratio{
		wood.Bending: r.Bending, wood.Shear: r.Shear, wood.Bearing: r.Bearing, wood.Deflection: r.Deflection,
	}
}

// permanentBearing judges a permanent force on a seat.
func permanentBearing(t wood.Timber, p pressed, damp bool) wood.Ratio {
	var out wood.Ratio
	for _, c := range wood.Combinations(t.Weak.Code, damp) {
		if c.Live == 0 {
			out = out.Worse(wood.BearingRatio(t, p.seat, p.force*c.Permanent, c))
		}
	}
	return out
}

// seatOn returns the seat of a member on a level one that carries it, as that
// one sees it.
func (f *frame) seatOn(lower, upper *node, s support) wood.Seat {
	if lower.m.Run == scene.AlongZ || s.seat.Length == 0 {
		return wood.Seat{}
	}
	return f.footprint(lower, upper)
}

// footprint returns the seat of one member on a level one under it.
func (f *frame) footprint(lower, upper *node) wood.Seat {
	lo, hi := shared(lower.m.Box, upper.m.Box, lower.m.Run)
	a, b := shared(lower.m.Box, upper.m.Box, across(lower.m.Run))
	start, end := span(lower.m.Box, lower.m.Run)
	return wood.Seat{Length: hi - lo, Width: b - a, Gap: min(lo-start, end-hi)}
}

func (f *frame) settleUpright(n *node) {
	if n.pressed == 0 {
		return
	}
	n.burdened = true
	if n.err != nil {
		f.doubtBelow(n)
		return
	}
	lo, hi := span(n.m.Box, scene.AlongZ)
	force, damp := n.pressed, f.s.Stand.Damp
	check := func(timber wood.Timber, sec wood.Section) (map[string]wood.Ratio, error) {
		r, err := wood.CheckColumn(timber, wood.ColumnUse{Section: sec, Length: hi - lo, Damp: damp}, force, 0)
		return map[string]wood.Ratio{wood.Compression: r}, err
	}
	r, err := check(n.timber, n.section)
	if err != nil {
		n.err = err
		f.doubtBelow(n)
		return
	}
	n.trials = append(n.trials, check)
	n.result.note(r, force, 0, 0)
	if n.base != nil {
		c0, c1 := span(n.m.Box, n.base.m.Run)
		n.base.put((c0+c1)/2, force, f.footprint(n.base, n))
	}
}

// doubtBelow marks what carries a member of which nothing can be said: what it
// carries goes somewhere, but nobody can say how much where.
func (f *frame) doubtBelow(n *node) {
	below := make([]*node, 0, len(n.supports)+1)
	for _, s := range n.supports {
		if s.by != nil {
			below = append(below, s.by)
		}
	}
	if n.base != nil {
		below = append(below, n.base)
	}
	if f.lost == "" && !n.onFloor && (len(below) == 0 || n.m.Run != scene.AlongZ && len(n.supports) < 2) {
		f.lost = n.m.Name
	}
	for _, b := range below {
		b.burdened = true
		if b.err == nil {
			b.err = fmt.Errorf("what %s brings is not known", n.m.Name)
			f.doubtBelow(b)
		}
	}
}

// lay puts a strip on the level members under it, those along it before those
// across. Where a piece of it lies on nothing, its load goes to the members at
// either end of that piece by the lever; beyond the last one it goes to that. It
// returns how much of its length lies on nothing, and how much of that hangs over
// the last member.
func (f *frame) lay(st strip, tops []*node, spread float64) (unheld, overhang float64) {
	from, to := st.loads[0].From, st.loads[len(st.loads)-1].To
	cuts := []float64{from, to}
	for _, n := range tops {
		lo, hi := span(n.m.Box, st.along)
		cuts = append(cuts, min(max(lo, from), to), min(max(hi, from), to))
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	type piece struct {
		lo, hi float64
		on     *node
	}
	var pieces []piece
	for i := 1; i < len(cuts); i++ {
		on := under(st, tops, spread, (cuts[i-1]+cuts[i])/2)
		if last := len(pieces) - 1; last >= 0 && pieces[last].on == on {
			pieces[last].hi = cuts[i]
			continue
		}
		pieces = append(pieces, piece{cuts[i-1], cuts[i], on})
	}
	put := func(n *node, l beam.Load) {
		start, end := span(n.m.Box, n.m.Run)
		if n.m.Run == st.along {
			l.From, l.To = l.From-start, l.To-start
			n.added = append(n.added, l)
			return
		}
		n.added = append(n.added, beam.Point(min(max(st.at-start, 0), end-start), l.Total()))
	}
	for i, p := range pieces {
		var left, right *node
		if i > 0 {
			left = pieces[i-1].on
		}
		if i+1 < len(pieces) {
			right = pieces[i+1].on
		}
		if p.on == nil {
			unheld += p.hi - p.lo
			if left == nil || right == nil {
				overhang += p.hi - p.lo
			}
		}
		for _, whole := range st.loads {
			l, ok := clip(whole, p.lo, p.hi)
			if !ok {
				continue
			}
			total := l.Total()
			share := (centre(l) - p.lo) / (p.hi - p.lo)
			switch {
			case p.on != nil:
				put(p.on, l)
			case left != nil && right != nil:
				put(left, beam.Point(p.lo, total*(1-share)))
				put(right, beam.Point(p.hi, total*share))
			case left != nil:
				put(left, beam.Point(p.lo, total))
			case right != nil:
				put(right, beam.Point(p.hi, total))
			}
		}
	}
	return unheld, overhang
}

// under returns the member that carries a strip at a place along it: one right
// under it before one that only the board's spread reaches, and one along it
// before one across; nil for none.
func under(st strip, tops []*node, spread, x float64) *node {
	var best *node
	rank := 5
	for _, n := range tops {
		lo, hi := span(n.m.Box, st.along)
		a, b := span(n.m.Box, across(st.along))
		if x < lo || x > hi {
			continue
		}
		r := 1
		switch {
		case st.at >= a && st.at <= b:
		case st.at+st.wide/2 >= a-spread && st.at-st.wide/2 <= b+spread:
			r = 3
		default:
			continue
		}
		if n.m.Run != st.along {
			r++
		}
		if r < rank {
			best, rank = n, r
		}
	}
	return best
}

// clip returns the part of a load between lo and hi.
func clip(l beam.Load, lo, hi float64) (beam.Load, bool) {
	lo, hi = max(lo, l.From), min(hi, l.To)
	if hi <= lo {
		return beam.Load{}, false
	}
	at := func(x float64) float64 { return l.Start + (l.End-l.Start)*(x-l.From)/(l.To-l.From) }
	return beam.Load{From: lo, To: hi, Start: at(lo), End: at(hi)}, true
}

// centre returns where a load acts.
func centre(l beam.Load) float64 {
	if l.To == l.From || l.Start+l.End == 0 {
		return (l.From + l.To) / 2
	}
	return l.From + (l.To-l.From)/3*(l.Start+2*l.End)/(l.Start+l.End)
}

// spread lays an even pressure on the members that run along one axis, by the
// lever rule between each two neighbours; a field beyond the outermost goes to
// that, but for a wide one whose edge two members across hold up: of that it has
// the half next to it, and the other is in the way in which those carry all. It
// returns false where no member runs that way.
func (f *frame) spread(p field, tops []*node, along scene.Axis) bool {
	var rails []*node
	for _, n := range tops {
		if n.m.Run == along {
			rails = append(rails, n)
		}
	}
	middle := func(n *node) float64 {
		lo, hi := span(n.m.Box, across(along))
		return (lo + hi) / 2
	}
	slices.SortStableFunc(rails, func(a, b *node) int {
		switch {
		case middle(a) < middle(b):
			return -1
		case middle(a) > middle(b):
			return 1
		}
		return 0
	})
	if len(rails) == 0 {
		return false
	}
	c0, c1 := span(p.box, across(along))
	u0, u1 := span(p.box, along)
	first, last := math.Inf(-1), math.Inf(1) // what the outermost rails have beside them
	const wide = 0.25                        // of the field's width
	if middle(rails[0])-c0 > wide*(c1-c0) && f.heldAcross(tops, along, c0) {
		first = c0
	}
	if c1-middle(rails[len(rails)-1]) > wide*(c1-c0) && f.heldAcross(tops, along, c1) {
		last = c1
	}
	for i, n := range rails {
		left, right := first, last
		if i > 0 {
			left = middle(rails[i-1])
		}
		if i+1 < len(rails) {
			right = middle(rails[i+1])
		}
		width := hatWidth(c0, c1, left, middle(n), right)
		lo, hi := span(n.m.Box, along)
		a, b := max(u0, lo), min(u1, hi)
		if width <= 0 || b <= a {
			continue
		}
		// A rail shorter than the field takes all of the field's length.
		n.added = append(n.added, beam.Uniform(a-lo, b-lo, p.pressure*width*(u1-u0)/(b-a)))
	}
	return true
}

// heldAcross tells whether two members across an axis reach to a place there.
func (f *frame) heldAcross(tops []*node, along scene.Axis, at float64) bool {
	n := 0
	for _, m := range tops {
		lo, hi := span(m.m.Box, across(along))
		if m.m.Run == across(along) && at >= lo-m.section.Height && at <= hi+m.section.Height {
			n++
		}
	}
	return n >= 2
}

// hatWidth returns the integral from c0 to c1 of the share that goes to a rail at
// m with neighbours at l and r: 1 at m, falling to 0 at each neighbour, and 1
// outward where there is none.
func hatWidth(c0, c1, l, m, r float64) float64 {
	side := func(lo, hi, from, to float64) float64 { // share rises from 0 at from to 1 at to
		lo, hi = max(lo, min(from, to)), min(hi, max(from, to))
		if hi <= lo {
			return 0
		}
		at := func(x float64) float64 { return (x - from) / (to - from) }
		return (hi - lo) * (at(lo) + at(hi)) / 2
	}
	w := 0.0
	if math.IsInf(l, -1) {
		w += max(0, min(c1, m)-c0)
	} else {
		w += side(c0, c1, l, m)
	}
	if math.IsInf(r, 1) {
		w += max(0, c1-max(c0, m))
	} else {
		w += side(c0, c1, r, m)
	}
	return w
}

// own lays the weight of the cabinet on the top members, by their length: a
// frame carries its skin.
func (f *frame) own(tops []*node, force float64) {
	total := 0.0
	for _, n := range tops {
		lo, hi := span(n.m.Box, n.m.Run)
		total += hi - lo
	}
	if total == 0 {
		return
	}
	for _, n := range tops {
		lo, hi := span(n.m.Box, n.m.Run)
		n.dead = append(n.dead, beam.Uniform(0, hi-lo, force/total))
	}
}

// next returns the first larger size that would do for a member, as text, under
// the loads it has now; "" where none does.
func (f *frame) next(n *node) string {
	for _, size := range wood.Sizes(n.m.Timber) {
		m := n.m
		m.Thickness, m.Depth = unit.Length(size.Thickness), unit.Length(size.Depth)
		sec := section(m)
		if sec.Area() <= n.section.Area() && sec.Modulus() <= n.section.Modulus() {
			continue
		}
		timber, err := wood.Look(m.Timber, sec, wood.Service{Damp: f.s.Stand.Damp})
		if err != nil || !f.does(n, timber, sec) {
			continue
		}
		if size.Nominal != "" {
			return size.Nominal
		}
		return f.s.Units.Size(m.Thickness, m.Depth)
	}
	return ""
}

// does tells whether a timber would do in the place of a member, however the
// display bears.
func (f *frame) does(n *node, timber wood.Timber, sec wood.Section) bool {
	for _, trial := range n.trials {
		ratios, err := trial(timber, sec)
		if err != nil {
			return false
		}
		for _, r := range ratios {
			if r.Judge() != verdict.OK {
				return false
			}
		}
	}
	return len(n.trials) > 0
}
