package basin

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Space is one room of a tank.
type Space struct {
	Box r3.Box // from the floor to the brim
	// Middle is the place on its floor where its level counts.
	Middle r3.Vec
}

// A Wall stands across the flow between two spaces.
type Wall struct {
	Box    r3.Box // of the pane itself
	Raised bool   // water passes under it, from the floor to Box.Min.Z
}

// A Tank is an open tank of spaces in the order the water meets them, with a
// wall between each two.
type Tank struct {
	spaces []space
	walls  []wall
	up     r3.Vec // up·p is the height of p
	origin float64
	width  float64 // across the flow
	// Muddled tells that the things standing in the tank leave a space no
	// increasing volume: they overlap, or are larger than the space.
	Muddled bool
}

type space struct {
	floor float64 // height of the middle of its floor
	brim  float64 // lowest height of its upper edge
	room  column
	stuff []column
}

type wall struct {
	raised    bool
	crest     float64 // height of the middle of its top edge
	low       float64 // lowest height of its top edge
	top, gap  float64 // above the floor, in mm
	thick     float64
	over      column // the room above it
	under     column // the room below it; nil where it stands on the floor
	overStuff []column
}

// New returns the tank with these spaces, all with one floor and one brim, the
// walls between them, and the solids that stand in it. alongX tells that the
// water runs left to right or back. tilt is how much the height of a point grows
// with x and with y; it must be small against 1.
func New(spaces []Space, walls []Wall, alongX bool, solids []solid.Solid, tilt [2]float64) *Tank {
	t := &Tank{up: r3.Vec{X: tilt[0], Y: tilt[1], Z: 1}}
	all := spaces[0].Box
	for _, s := range spaces[1:] {
		all = hull(all, s.Box)
	}
	t.width = all.Max.Y - all.Min.Y
	if !alongX {
		t.width = all.Max.X - all.Min.X
	}
	mid := r3.Scale(0.5, r3.Add(all.Min, all.Max))
	mid.Z = all.Min.Z
	// Heights are counted from the middle of the tank's floor.
	t.origin = r3.Dot(t.up, mid)
	for _, sp := range spaces {
		b := sp.Box
		s := space{room: t.column(solid.Box(b), b), brim: t.lowest(b, b.Max.Z), floor: t.height(sp.Middle)}
		for _, body := range solids {
			if c := t.column(body, b); c != nil {
				s.stuff = append(s.stuff, c)
			}
		}
		t.spaces = append(t.spaces, s)
	}
	for _, w := range walls {
		top := r3.Scale(0.5, r3.Add(w.Box.Min, w.Box.Max))
		top.Z = w.Box.Max.Z
		v := wall{
			raised: w.Raised, crest: t.height(top), low: t.lowest(w.Box, w.Box.Max.Z),
			top: w.Box.Max.Z - all.Min.Z, gap: w.Box.Min.Z - all.Min.Z,
		}
		v.thick = w.Box.Max.X - w.Box.Min.X
		if !alongX {
			v.thick = w.Box.Max.Y - w.Box.Min.Y
		}
		over, under := w.Box, w.Box
		over.Min.Z, over.Max.Z = w.Box.Max.Z, all.Max.Z
		under.Min.Z, under.Max.Z = all.Min.Z, w.Box.Min.Z
		if over.Max.Z > over.Min.Z {
			v.over = t.column(solid.Box(over), over)
			for _, body := range solids {
				if c := t.column(body, over); c != nil {
					v.overStuff = append(v.overStuff, c)
				}
			}
		}
		if w.Raised && under.Max.Z > under.Min.Z {
			v.under = t.column(solid.Box(under), under)
		}
		t.walls = append(t.walls, v)
	}
	for i := range t.spaces {
		t.Muddled = t.Muddled || !t.spaces[i].rises()
	}
	return t
}

// column returns the part of s in box with heights counted from the tank's.
func (t *Tank) column(s solid.Solid, box r3.Box) column {
	c := columnOf(s, box, t.up)
	if c == nil {
		return nil
	}
	return shifted{c, t.origin}
}

// shifted counts the heights of a column from another origin.
type shifted struct {
	column
	origin float64
}

func (s shifted) below(h float64) float64 { return s.column.below(h + s.origin) }

func (s shifted) kinks() []float64 {
	ks := s.column.kinks()
	for i := range ks {
		ks[i] -= s.origin
	}
	return ks
}

// height returns the height of p above the middle of the tank's floor.
func (t *Tank) height(p r3.Vec) float64 { return r3.Dot(t.up, p) - t.origin }

// lowest returns the lowest height of the corners of b at z.
func (t *Tank) lowest(b r3.Box, z float64) float64 {
	low := math.Inf(1)
	for _, x := range []float64{b.Min.X, b.Max.X} {
		for _, y := range []float64{b.Min.Y, b.Max.Y} {
			low = min(low, t.height(r3.Vec{X: x, Y: y, Z: z}))
		}
	}
	return low
}

func hull(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y), Z: min(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y), Z: max(a.Max.Z, b.Max.Z)},
	}
}

// net returns the water below height h in a space.
func (s *space) net(h float64) float64 {
	v := s.room.below(h)
	for _, c := range s.stuff {
		v -= c.below(h)
	}
	return v
}

// rises tells whether more water always means a higher level, tested where the
// volume bends. Above the lowest place of the brim no water stands: out of level
// a rim may fill all that is left there. Nor does any below the lowest place that
// is free: a thing may fill the lowest corner.
func (s *space) rises() bool {
	ks := s.room.kinks()
	for _, c := range s.stuff {
		ks = append(ks, c.kinks()...)
	}
	slices.Sort(ks)
	bottom := slices.Min(s.room.kinks())
	last, at := 0.0, bottom
	drop := rounding * s.room.below(s.brim)
	for _, k := range ks {
		if k = min(k, s.brim); k-at < fine {
			continue
		}
		v := s.net(k)
		if v < last-drop || v <= last && v > drop {
			return false
		}
		last, at = v, k
	}
	return last > drop
}

// Spaces returns how many spaces the tank has.
func (t *Tank) Spaces() int { return len(t.spaces) }

// HeightAt returns the height of a depth of water at a place of the scene; the z
// of the place is what the depth is measured from.
func (t *Tank) HeightAt(place r3.Vec, depth float64) float64 { return t.height(place) + depth }

// DepthAt returns the depth of water at a place of the scene at a height.
func (t *Tank) DepthAt(place r3.Vec, height float64) float64 { return height - t.height(place) }

// Brim returns the lowest height of the tank's upper edge.
func (t *Tank) Brim() float64 {
	low := math.Inf(1)
	for i := range t.spaces {
		low = min(low, t.spaces[i].brim)
	}
	return low
}

// Crest returns the lowest height of the top edge of a wall.
func (t *Tank) Crest(wall int) float64 { return t.walls[wall].low }

// Volume returns the water in a space at a height.
func (t *Tank) Volume(space int, height float64) float64 { return t.spaces[space].net(height) }

// water returns the water over a wall and under it at a height.
func (w *wall) water(h float64) float64 {
	v := 0.0
	if w.over != nil {
		v += w.over.below(h)
		for _, c := range w.overStuff {
			v -= c.below(h)
		}
	}
	if w.under != nil {
		v += w.under.below(h)
	}
	return v
}

// Held returns the water in the tank when the spaces stand at these heights.
// Over and under a wall it stands as in the space before the wall.
func (t *Tank) Held(heights []float64) float64 {
	v := 0.0
	for i := range t.spaces {
		v += t.Part(i, heights[i])
	}
	return v
}

// A pool is a run of spaces with one level.
type pool struct {
	first, last int
	volume      float64
}

// below returns the water below height h in a pool.
func (t *Tank) below(p pool, h float64) float64 {
	v := 0.0
	for i := p.first; i <= p.last; i++ {
		v += t.spaces[i].net(h)
		if i < p.last {
			v += t.walls[i].water(h)
		}
	}
	return v
}

// level returns the height at which a pool holds its volume, up to its brim.
func (t *Tank) level(p pool) float64 {
	lo, hi := math.Inf(1), t.brim(p)
	for i := p.first; i <= p.last; i++ {
		lo = min(lo, slices.Min(t.spaces[i].room.kinks()))
	}
	return root(lo, hi, 1e-13*p.volume, func(h float64) float64 { return t.below(p, h) - p.volume })
}

func (t *Tank) brim(p pool) float64 {
	low := math.Inf(1)
	for i := p.first; i <= p.last; i++ {
		low = min(low, t.spaces[i].brim)
	}
	return low
}

// Still is water at rest.
type Still struct {
	Heights []float64 // of the surface in each space
	Volumes []float64 // in each pool of spaces that share a level, counted at its last space; 0 at the others
	Spilled float64   // over the brim
	Sunk    float64   // into the last pool, where that was asked to take all
}

// exit returns the lowest edge of pool i and the pool behind it; -1 for the
// brim.
func (t *Tank) exit(pools []pool, i int) (edge float64, to int) {
	p := pools[i]
	edge, to = t.brim(p), -1
	if i > 0 {
		if c := t.walls[p.first-1].low; c <= edge {
			edge, to = c, i-1
		}
	}
	if i < len(pools)-1 {
		if c := t.walls[p.last].low; c <= edge {
			edge, to = c, i+1
		}
	}
	return edge, to
}

// Settle returns how water at rest stands when these volumes are put into the
// spaces: over each wall that stands on the floor water spills into the lower
// pool, and pools that are full to the wall between them are one from there.
// Where two edges are equally low the way of the flow comes first and the brim
// last. All of the water is in a pool or spilled.
func (t *Tank) Settle(volumes []float64) Still { return t.settle(volumes, false) }

// Drain returns how water at rest stands when the last pool is pumped out as
// fast as it fills.
func (t *Tank) Drain(volumes []float64) Still { return t.settle(volumes, true) }

func (t *Tank) settle(volumes []float64, drain bool) Still {
	still := Still{Heights: make([]float64, len(t.spaces)), Volumes: make([]float64, len(t.spaces))}
	// Spaces joined under raised walls are one pool from the floor up.
	pools := []pool{{volume: volumes[0]}}
	for i := range t.walls {
		last := &pools[len(pools)-1]
		if t.walls[i].raised {
			last.last = i + 1
			last.volume += volumes[i+1]
			continue
		}
		pools = append(pools, pool{i + 1, i + 1, volumes[i+1]})
	}
	sink := func(i int) bool { return drain && i == len(pools)-1 }
	// Each round moves the water that runs over on from every pool, or joins two
	// pools that would each run over into the other. Where pools run over into one
	// another in a row the water passes at most all of them between two joints, so
	// the rounds are bounded by the spaces squared.
	for again, rounds := true, 0; again && rounds <= 4*len(t.spaces)*len(t.spaces)+8; rounds++ {
		again = false
		for i := 0; i < len(pools); i++ {
			if sink(i) {
				continue
			}
			edge, to := t.exit(pools, i)
			holds := t.below(pools[i], edge)
			over := pools[i].volume - holds
			if over <= 0 {
				continue
			}
			again = true
			if to >= 0 && !sink(to) {
				_, back := t.exit(pools, to)
				if back == i && pools[to].volume >= t.below(pools[to], edge) {
					a, b := min(i, to), max(i, to)
					pools[a] = pool{pools[a].first, pools[b].last, pools[a].volume + pools[b].volume}
					pools = slices.Delete(pools, b, b+1)
					i = a - 1
					continue
				}
			}
			pools[i].volume = holds
			if to < 0 {
				still.Spilled += over
			} else {
				pools[to].volume += over
			}
		}
	}
	for i, p := range pools {
		if sink(i) {
			still.Sunk, p.volume = p.volume, 0
		}
		h := t.level(p)
		for j := p.first; j <= p.last; j++ {
			still.Heights[j] = h
		}
		still.Volumes[p.last] = p.volume
	}
	return still
}

// Part returns the water in a space at a height together with what stands over
// and under the wall behind it. The parts of all spaces are what Held counts.
func (t *Tank) Part(space int, height float64) float64 {
	v := t.spaces[space].net(height)
	if space < len(t.walls) {
		v += t.walls[space].water(height)
	}
	return v
}

// SpaceBrim returns the lowest height of the upper edge of one space.
func (t *Tank) SpaceBrim(space int) float64 { return t.spaces[space].brim }

// Pool returns the water below a height in all spaces that are joined to one
// from the floor up.
func (t *Tank) Pool(space int, height float64) float64 {
	p := pool{first: space, last: space}
	for p.first > 0 && t.walls[p.first-1].raised {
		p.first--
	}
	for p.last < len(t.walls) && t.walls[p.last].raised {
		p.last++
	}
	return t.below(p, height)
}

// Above returns the volume of the part of s above z.
func Above(s solid.Solid, z float64) float64 {
	up := r3.Vec{Z: 1}
	b := s.Bounds()
	switch {
	case b.Min.Z >= z:
		return s.Volume()
	case b.Max.Z <= z:
		return 0
	}
	c := columnOf(s, b, up)
	if c == nil {
		return 0
	}
	return max(0, s.Volume()-c.below(z))
}

// Root returns the height between lo and hi at which the increasing function f
// is 0, with f within tol of it.
func Root(lo, hi, tol float64, f func(float64) float64) float64 { return root(lo, hi, tol, f) }
