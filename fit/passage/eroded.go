package passage

import (
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// eroded returns convex solids that lie in the thing with its faces moved in by e: in a
// thing that is smaller by e on every side. It is nil where nothing is left of the main
// part, which is the first of them.
func (p *posed) eroded(e float64) []*solid.Polyhedron {
	var solids []*solid.Polyhedron
	var main solid.Solid
	for i := range p.Parts {
		s := shape(&p.Parts[i])
		if s != nil {
			s = s.Moved(p.frame)
		}
		if i == 0 {
			main = s
		}
		q, ok := insetOf(s, e)
		if !ok && i == 0 {
			return nil
		}
		if i > 0 && s != nil && isBox(main) && isBox(s) {
			if b, all, crosses := joint(main.Bounds(), s.Bounds(), e); crosses {
				solids = append(solids, solid.Box(b))
				ok = ok && !all
			}
		}
		if ok {
			solids = append(solids, q)
		}
	}
	return solids
}

// insetOf returns what surely lies in s with its faces moved in by e; ok is false where
// that is nothing.
func insetOf(s solid.Solid, e float64) (q *solid.Polyhedron, ok bool) {
	if s == nil {
		return nil, false
	}
	if q = solid.Within(s, sidesInner); q == nil {
		return nil, false
	}
	return inset(q, e)
}

// joint returns a box in what is left of two boxes that meet, with their common faces
// moved in by e, which reaches from one end of both to the other along an axis; all
// tells that it has all that is left of the second, and ok that there is one. Where one
// box stands on the other each alone would lose e at the face between them, and nothing
// would hold them together.
func joint(a, b r3.Box, e float64) (out r3.Box, all, ok bool) {
	lo, hi := [2]*[3]float64{}, [2]*[3]float64{}
	for i, box := range [2]r3.Box{a, b} {
		lo[i] = &[3]float64{box.Min.X, box.Min.Y, box.Min.Z}
		hi[i] = &[3]float64{box.Max.X, box.Max.Y, box.Max.Z}
	}
	most := 0.0
	for axis := range 3 {
		if lo[0][axis] > hi[1][axis] || lo[1][axis] > hi[0][axis] {
			return r3.Box{}, false, false // apart
		}
		var from, to [3]float64
		within := true
		for k := range 3 {
			if k == axis {
				from[k], to[k] = min(lo[0][k], lo[1][k])+e, max(hi[0][k], hi[1][k])-e
				continue
			}
			from[k], to[k] = max(lo[0][k], lo[1][k])+e, min(hi[0][k], hi[1][k])-e
			within = within && lo[0][k] <= lo[1][k] && hi[1][k] <= hi[0][k]
		}
		c := r3.Box{Min: r3.Vec{X: from[0], Y: from[1], Z: from[2]}, Max: r3.Vec{X: to[0], Y: to[1], Z: to[2]}}
		if v := boxVolume(c); v > most {
			most, out, all, ok = v, c, within, true
		}
	}
	return out, all, ok
}

// shape returns what is known of a part of the thing, wherever that is: of trim, whose
// height may be assumed, what is sure.
func shape(p *scene.Part) solid.Solid {
	if p.Role == scene.RoleTrim {
		return p.Sure
	}
	return p.Solid
}

// inset returns p with its faces moved in by e.
func inset(p *solid.Polyhedron, e float64) (*solid.Polyhedron, bool) {
	out := p
	for _, f := range p.Faces() {
		n := r3.Vec{}
		for i := 2; i < len(f); i++ {
			n = r3.Add(n, r3.Cross(r3.Sub(f[i-1], f[0]), r3.Sub(f[i], f[0])))
		}
		n = r3.Unit(n)
		cut, ok := out.Clip(solid.Plane{Normal: n, Offset: r3.Dot(n, f[0]) - e})
		if !ok {
			return nil, false
		}
		out = cut
	}
	return out, true
}
