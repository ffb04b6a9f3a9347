package space

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Flood tells whether the middle of a ball of this radius, which must not overlap
// any of boxes, cannot get from the box end to the border of the box domain. It
// looks at a grid of cubes with edges h: a cube is shut where one box is so near
// its middle that the ball overlaps it from every place in the cube. From the
// open cubes that end meets all open cubes joined by a face are visited; none of
// them may reach the border. budget bounds their number. Where it does not get
// there, Flood returns the cubes it visited, by their place in the grid.
//
// What gets past cubes through their edges and corners only has no room to spare,
// so that for a ball that is smaller than the real one faces are enough.
func Flood(domain, end r3.Box, boxes []r3.Box, radius, h float64, budget int) (cubes [][3]int, ok bool) {
	cubes, how := flood(domain, end, boxes, radius-h*math.Sqrt(3)/2, h, budget)
	return cubes, how == kept
}

// Leaks tells whether the middle of the ball surely gets from end to the border,
// in steps from the middle of a cube to the next, so that no finer grid can show
// that it does not.
func Leaks(domain, end r3.Box, boxes []r3.Box, radius, h float64, budget int) bool {
	_, how := flood(domain, end, boxes, radius+h/2, h, budget)
	return how == out
}

// outcome is how a flood ended.
type outcome int

const (
	spent outcome = iota // the budget, or a grid that is none
	kept                 // within the domain
	out                  // at its border
)

// flood visits cubes from end on, but for those whose middle is as near as shut to
// a box.
func flood(domain, end r3.Box, boxes []r3.Box, shut, h float64, budget int) (cubes [][3]int, _ outcome) {
	size := r3.Sub(domain.Max, domain.Min)
	n := [3]int{int(math.Ceil(size.X / h)), int(math.Ceil(size.Y / h)), int(math.Ceil(size.Z / h))}
	for _, k := range n {
		if k < 1 || k > 4096 {
			return nil, spent
		}
	}
	// The cubes cover the domain and stick out on the far sides.
	lo := domain.Min
	if shut <= 0 {
		return nil, spent
	}
	open := func(c [3]int) bool {
		p := r3.Vec{X: lo.X + (float64(c[0])+0.5)*h, Y: lo.Y + (float64(c[1])+0.5)*h, Z: lo.Z + (float64(c[2])+0.5)*h}
		for i := range boxes {
			b := &boxes[i]
			x := max(b.Min.X-p.X, p.X-b.Max.X)
			y := max(b.Min.Y-p.Y, p.Y-b.Max.Y)
			z := max(b.Min.Z-p.Z, p.Z-b.Max.Z)
			if x > shut || y > shut || z > shut {
				continue
			}
			if x, y, z = max(x, 0), max(y, 0), max(z, 0); x*x+y*y+z*z <= shut*shut {
				return false
			}
		}
		return true
	}
	index := func(c [3]int) int { return (c[2]*n[1]+c[1])*n[0] + c[0] }
	seen := make([]uint64, n[0]*n[1]*n[2]/64+1)
	// Cubes to go on from, by their y: those toward the front first, where a ball
	// that gets out most often does.
	waiting, next := make([][][3]int, n[1]), n[1]
	// visit notes a cube; it returns false where that is at the border.
	visit := func(c [3]int) bool {
		for k := range c {
			if c[k] < 0 || c[k] >= n[k] {
				return false
			}
		}
		i := index(c)
		if seen[i/64]>>(i%64)&1 != 0 || !open(c) {
			return true
		}
		for k := range c {
			if c[k] == 0 || c[k] == n[k]-1 {
				return false
			}
		}
		seen[i/64] |= 1 << (i % 64)
		cubes = append(cubes, c)
		waiting[c[1]] = append(waiting[c[1]], c)
		next = min(next, c[1])
		return true
	}
	from, to := [3]int{}, [3]int{}
	for k, v := range [3][3]float64{
		{end.Min.X - lo.X, end.Max.X - lo.X}, {end.Min.Y - lo.Y, end.Max.Y - lo.Y}, {end.Min.Z - lo.Z, end.Max.Z - lo.Z},
	} {
		from[k], to[k] = int(math.Floor(v[0]/h)), int(math.Floor(v[1]/h))
	}
	for z := from[2]; z <= to[2]; z++ {
		for y := from[1]; y <= to[1]; y++ {
			for x := from[0]; x <= to[0]; x++ {
				if !visit([3]int{x, y, z}) {
					return nil, out
				}
			}
		}
	}
	for ; next < n[1]; next++ {
		for len(waiting[next]) > 0 {
			if len(cubes) > budget {
				return nil, spent
			}
			last := len(waiting[next]) - 1
			c := waiting[next][last]
			waiting[next] = waiting[next][:last]
			for k := range c {
				for _, step := range [2]int{-1, 1} {
					d := c
					d[k] += step
					if !visit(d) {
						return nil, out
					}
				}
			}
		}
	}
	return cubes, kept
}
