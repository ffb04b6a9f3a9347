package view

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// backToFront returns the order in which clear shapes are laid over each other
// for an eye in direction eye: what is behind first, else the farther first.
// It is right for solids that do not overlap and do not hide each other in a
// ring; of a ring the farthest is taken first.
func backToFront(shapes []shape, eye r3.Vec) []int {
	cam := lookFrom(eye)
	n := len(shapes)
	pts := make([][]r3.Vec, n)
	seen := make([][]point, n)
	for i, s := range shapes {
		pts[i] = pointsOf(shapes[i : i+1])
		flat := make([]point, 0, len(pts[i]))
		for _, p := range pts[i] {
			flat = append(flat, cam.px(p))
		}
		if len(s.facets) > 0 {
			seen[i] = hull(flat)
		}
	}
	waits := make([]int, n) // how many are to be laid before it
	after := make([][]int, n)
	for i := range n {
		for j := i + 1; j < n; j++ {
			// Only of what overlaps on paper does every parting face tell the same.
			if !overlap(seen[i], seen[j]) {
				continue
			}
			switch before(shapes[i], pts[i], shapes[j], pts[j], eye) {
			case -1:
				after[i] = append(after[i], j)
				waits[j]++
			case 1:
				after[j] = append(after[j], i)
				waits[i]++
			}
		}
	}
	out := make([]int, 0, n)
	done := make([]bool, n)
	for len(out) < n {
		best, least, far := -1, 0, 0.0
		for i := range n {
			if done[i] {
				continue
			}
			w, d := min(waits[i], 1), r3.Dot(shapes[i].centre, eye)
			if best < 0 || w < least || w == least && d < far {
				best, least, far = i, w, d
			}
		}
		done[best] = true
		out = append(out, best)
		for _, j := range after[best] {
			waits[j]--
		}
	}
	return out
}

// overlap reports whether two convex outlines have more in common than borders.
func overlap(a, b []point) bool {
	const touch = 1e-6 // mm
	for _, pair := range [2][2][]point{{a, b}, {b, a}} {
		for i, p := range pair[0] {
			n := pair[0][(i+1)%len(pair[0])].sub(p).left()
			if n.norm() < touch {
				continue // too short to have a direction
			}
			side := func(r point) float64 { d := r.sub(p); return (d.x*n.x + d.y*n.y) / n.norm() }
			// One outline lies on one side of each of its lines.
			own, other := 0.0, math.Inf(1)
			for _, r := range pair[0] {
				if d := side(r); math.Abs(d) > math.Abs(own) {
					own = d
				}
			}
			for _, r := range pair[1] {
				other = min(other, -side(r)*math.Copysign(1, own))
			}
			if other > -touch {
				return false
			}
		}
	}
	return true
}

// before returns -1 if a is behind b, 1 if b is behind a, and 0 if neither hides
// the other or no face of one parts them.
func before(a shape, aPts []r3.Vec, b shape, bPts []r3.Vec, eye r3.Vec) int {
	if s, ok := parted(a, bPts, eye); ok {
		return s
	}
	s, _ := parted(b, aPts, eye)
	return -s
}

// parted looks for a face of a with all of pts beyond it and returns whether a
// is behind them (-1), before them (1) or beside them (0).
func parted(a shape, pts []r3.Vec, eye r3.Vec) (int, bool) {
	const touch = 1e-4 // mm by which touching solids may seem to overlap
	for _, f := range a.facets {
		low := math.Inf(1)
		for _, p := range pts {
			low = min(low, r3.Dot(f.normal, p)-f.off)
			if low < -touch {
				break
			}
		}
		if low < -touch {
			continue
		}
		switch c := r3.Dot(f.normal, eye); {
		case c > 1e-9:
			return -1, true
		case c < -1e-9:
			return 1, true
		}
		return 0, true
	}
	return 0, false
}
