package space

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Gate is a hole in a wall beside the inside, which reaches to no edge of the wall:
// what is inside may reach out through it, up to where it is too wide for the hole.
// While the reference point of a convex body is in the cabinet, whatever of it is
// outside is joined to that point through a hole of a wall. Where it is, the body meets
// the wall's face in the hole, and with all that it has there; so nothing of it is out
// there that is nearer to the reference point than where the body gets narrow enough.
type Gate struct {
	Out r3.Vec // the side: ±X or ±Z
	// Deep and Across are the sizes of the hole in depth and in the other direction;
	// infinite where there is no wall.
	Deep, Across float64
	// Beyond is how far past the wall's inner face the reference point may be.
	Beyond float64
	// Y0 and Y1 are the depths from the first hole to the last.
	Y0, Y1 float64
}

// within returns points that hold what surely is inside of all gates, of a convex set
// that is given by points in the same way; and for each gate up to what distance from
// the reference point that goes. It counts in the depths of the cabinet.
func within(ps []r3.Vec, gates []Gate) (in []r3.Vec, levels []float64) {
	levels = make([]float64, len(gates))
	for i, g := range gates {
		levels[i] = max(-g.Beyond, g.wide(ps))
	}
	for i, g := range gates {
		ps = cut(ps, g.Out, levels[i])
	}
	return ps, levels
}

// wide returns up to what distance to its side a convex set is wider than the gate,
// beginning where the gate's wall may be nearest; −Inf where it is not wider there.
func (g *Gate) wide(ps []r3.Vec) float64 {
	return max(
		wider(ps, g.Out, r3.Vec{Y: 1}, g.Deep+margin, -g.Beyond),
		wider(ps, g.Out, r3.Vec{X: g.Out.Z, Z: g.Out.X}, g.Across+margin, -g.Beyond),
	)
}

// wider returns how far along out a convex set goes on from the given distance with
// more than a width in the direction side.
func wider(ps []r3.Vec, out, side r3.Vec, width, from float64) float64 {
	if len(ps) == 0 || math.IsInf(width, 1) {
		return math.Inf(-1)
	}
	seen := make([]point, len(ps))
	for i, p := range ps {
		seen[i] = point{r3.Dot(p, out), r3.Dot(p, side)}
	}
	o := hullOf(seen)
	more := func(y float64) float64 {
		a := o.across(y, y)
		return a.hi - a.lo - width // −Inf where there is nothing
	}
	last := more(from)
	if !(last > 0) {
		return math.Inf(-1)
	}
	// Its width is concave, and straight between corners.
	ys := []float64{}
	for _, p := range o {
		if p.y > from {
			ys = append(ys, p.y)
		}
	}
	slices.Sort(ys)
	at := from
	for _, y := range slices.Compact(ys) {
		now := more(y)
		if !(now > 0) {
			return at + (y-at)*(last/(last-now))
		}
		at, last = y, now
	}
	return at
}

// cut returns points in whose hull is what of that of ps is up to a distance along n.
func cut(ps []r3.Vec, n r3.Vec, most float64) []r3.Vec {
	var in, edge []r3.Vec
	for _, p := range ps {
		if r3.Dot(p, n) <= most {
			in = append(in, p)
		}
	}
	if len(in) == len(ps) {
		return in
	}
	for _, q := range ps {
		to := r3.Dot(q, n)
		if to <= most {
			continue
		}
		for _, p := range in {
			from := r3.Dot(p, n)
			edge = append(edge, r3.Add(p, r3.Scale((most-from)/(to-from), r3.Sub(q, p))))
		}
	}
	return append(in, corners(edge, n)...)
}

// corners returns those of points in a plane across n, which is along an axis, that
// their hull has at its corners.
func corners(ps []r3.Vec, n r3.Vec) []r3.Vec {
	if len(ps) < 4 {
		return ps
	}
	flat := func(p r3.Vec) point {
		switch {
		case n.X != 0:
			return point{p.Y, p.Z}
		case n.Y != 0:
			return point{p.X, p.Z}
		}
		return point{p.Y, p.X}
	}
	seen := make([]point, len(ps))
	for i, p := range ps {
		seen[i] = flat(p)
	}
	hull := hullOf(seen)
	out := make([]r3.Vec, 0, len(hull))
	for _, p := range ps {
		if i := slices.Index(hull, flat(p)); i >= 0 {
			out = append(out, p)
			hull = slices.Delete(hull, i, i+1)
		}
	}
	return out
}

// leave marks the corners that may be out by a gate, and notes where they surely are in:
// where a corner and the other end of one of its edges, which is in, both are deeper than
// the holes, or less deep, the edge does not lead through one.
func (p *part) leave(cs []corner, gates []Gate, levels []float64) {
	for k := range cs {
		c := &cs[k]
		before, behind := math.Inf(1), math.Inf(-1)
		for i := range gates {
			g := &gates[i]
			if !g.beyond(c, levels[i]) {
				continue
			}
			c.out = true
			toBefore, toBehind := math.Inf(-1), math.Inf(1)
			for _, e := range p.edges {
				if e[0] != k && e[1] != k {
					continue
				}
				if w := &cs[e[0]+e[1]-k]; !g.beyond(w, levels[i]) {
					toBefore = max(toBefore, g.Y0-max(c.at.Y+c.play.Y, w.at.Y+w.play.Y))
					toBehind = min(toBehind, g.Y1-min(c.at.Y-c.play.Y, w.at.Y-w.play.Y))
				}
			}
			before, behind = min(before, toBefore), max(behind, toBehind)
		}
		plane := c.play.Y - c.at.Y // where it is in the plane of the opening
		c.in = [2]span{{plane + margin, before - margin}, {max(plane, behind) + margin, math.Inf(1)}}
	}
}

// beyond tells whether a corner may be beyond a level.
func (g *Gate) beyond(c *corner, level float64) bool {
	return r3.Dot(c.at, g.Out)+math.Abs(r3.Dot(c.play, g.Out)) > level
}

// held returns the depths of the reference point at which the corner is in.
func (c *corner) held() [2]span {
	if c.out {
		return c.in
	}
	return [2]span{{math.Inf(-1), math.Inf(1)}, noSpan}
}
