package choose

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// pieces returns boxes that together hold s: one for what stands or lies along the axes, and
// slices of what is slanted or turned.
func pieces(s solid.Solid) []r3.Box {
	var p *solid.Polyhedron
	switch s := s.(type) {
	case *solid.Polyhedron:
		if _, box := solid.Inscribed(s); !box {
			p = s
		}
	case *solid.Cylinder:
		const sides = 32
		if d := r3.Sub(s.B, s.A); d.X*d.X+d.Y*d.Y > 0 && d.Y*d.Y+d.Z*d.Z > 0 && d.Z*d.Z+d.X*d.X > 0 {
			p = s.Outer(sides)
		}
	}
	whole := s.Bounds()
	if p == nil {
		return []r3.Box{whole}
	}
	const many = 12
	along, lo, hi := func(v r3.Vec) float64 { return v.X }, whole.Min.X, whole.Max.X
	if whole.Max.Y-whole.Min.Y > hi-lo {
		along, lo, hi = func(v r3.Vec) float64 { return v.Y }, whole.Min.Y, whole.Max.Y
	}
	var out []r3.Box
	faces := p.Faces()
	for i := range many {
		from, to := lo+(hi-lo)*float64(i)/many, lo+(hi-lo)*float64(i+1)/many
		corners := cut(faces, along, from-tiny, to+tiny)
		out = append(out, solid.BoundsOfPoints(corners))
	}
	return out
}

// footprints returns boxes of which every upright line through one comes to a point of s
// between the heights lo and hi. They are strips of what s covers of the ground there, from
// side to side and from front to back, and miss of it what a strip's slanted ends are.
func footprints(s solid.Solid, lo, hi float64) []r3.Box {
	p := solid.Within(s, sidesOfRounds)
	if lo, hi = lo+tiny, hi-tiny; p == nil || hi <= lo {
		return nil
	}
	faces := p.Faces()
	var out []r3.Box
	for _, r := range strips(faces, lo, hi, func(v r3.Vec) (along, across float64) { return v.X, v.Y }) {
		out = append(out, r3.Box{Min: r3.Vec{X: r.x0, Y: r.y0, Z: lo}, Max: r3.Vec{X: r.x1, Y: r.y1, Z: hi}})
	}
	for _, r := range strips(faces, lo, hi, func(v r3.Vec) (along, across float64) { return v.Y, v.X }) {
		out = append(out, r3.Box{Min: r3.Vec{X: r.y0, Y: r.x0, Z: lo}, Max: r3.Vec{X: r.y1, Y: r.x1, Z: hi}})
	}
	return out
}

// sidesOfRounds is how many sides stand for a round: hardly anything of it is left out.
const sidesOfRounds = 64

// strips returns rectangles in what a polyhedron covers of the ground with what of it is
// between the heights lo and hi; they lie along x0 to x1 and touch each other at y0 and y1.
// Strips as long as the one before are one with it.
func strips(faces [][]r3.Vec, lo, hi float64, of func(r3.Vec) (along, across float64)) []rect {
	const most = 16
	height := func(v r3.Vec) float64 { return v.Z }
	y, end := math.Inf(1), math.Inf(-1)
	for _, v := range cut(faces, height, lo, hi) {
		_, at := of(v)
		y, end = min(y, at), max(end, at)
	}
	if y >= end {
		return nil
	}
	// chord returns from where to where it reaches at some y: its section there is convex,
	// with one side in each face that it goes through.
	across := func(v r3.Vec) float64 { _, at := of(v); return at }
	chord := func(y float64) (x0, x1 float64) {
		x0, x1 = math.Inf(1), math.Inf(-1)
		for _, f := range faces {
			for _, v := range cut([][]r3.Vec{cut([][]r3.Vec{f}, across, y, y)}, height, lo, hi) {
				x, _ := of(v)
				x0, x1 = min(x0, x), max(x1, x)
			}
		}
		return x0, x1
	}
	var out []rect
	step := (end - y) / most
	x0, x1 := chord(y)
	for range most {
		next0, next1 := chord(y + step)
		r := rect{x0: max(x0, next0) + tiny, x1: min(x1, next1) - tiny, y0: y + tiny, y1: y + step - tiny}
		y, x0, x1 = y+step, next0, next1
		if !(r.x0 <= r.x1) {
			continue
		}
		if n := len(out) - 1; n >= 0 && math.Abs(out[n].x0-r.x0) < tiny && math.Abs(out[n].x1-r.x1) < tiny {
			out[n].x0, out[n].x1, out[n].y1 = max(out[n].x0, r.x0), min(out[n].x1, r.x1), r.y1
			continue
		}
		out = append(out, r)
	}
	return out
}

// cut returns the corners of polygons where they are from lo to hi, and the points at
// which their edges come to there.
func cut(polygons [][]r3.Vec, of func(r3.Vec) float64, lo, hi float64) []r3.Vec {
	var out []r3.Vec
	for _, f := range polygons {
		for i, a := range f {
			b := f[(i+1)%len(f)]
			from, to := of(a), of(b)
			if from >= lo && from <= hi {
				out = append(out, a)
			}
			for _, end := range [2]float64{lo, hi} {
				if (from < end) != (to < end) && from != end && to != end {
					t := (end - from) / (to - from)
					out = append(out, r3.Add(r3.Scale(1-t, a), r3.Scale(t, b)))
				}
			}
		}
	}
	return out
}
