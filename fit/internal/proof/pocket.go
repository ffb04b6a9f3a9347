package proof

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Pocket is a proof by one ball that lies in a part and goes wherever the part
// goes: it names the cubes of a grid that the middle of the ball cannot leave.
// The grid has Count cubes along x, y and z, with edges of Edge, from the corner
// From.
type Pocket struct {
	Part   int        `json:"part"`
	Middle [3]float64 `json:"middle"` // of the ball while the body is at rest
	Radius float64    `json:"radius"`
	From   [3]float64 `json:"from"`
	Edge   float64    `json:"edge"`
	Count  [3]int     `json:"count"`
	// Runs goes through the grid along x, then y, then z: how many cubes are not of
	// the pocket, how many then are, and so on by turns.
	Runs []int `json:"runs"`
}

// mostCubes bounds the grid of a pocket, of which each cube takes a byte.
const mostCubes = 1 << 26

// Hold makes p the pocket of these cubes of the grid that begins at From, and its
// grid as small as holds them.
func (p *Pocket) Hold(cubes [][3]int) {
	lo, hi := [3]int{}, [3]int{-1, -1, -1}
	for i, c := range cubes {
		for k := range c {
			if i == 0 {
				lo[k], hi[k] = c[k], c[k]
			}
			lo[k], hi[k] = min(lo[k], c[k]), max(hi[k], c[k])
		}
	}
	for k := range lo {
		p.From[k] += float64(lo[k]) * p.Edge
		p.Count[k] = hi[k] - lo[k] + 1
	}
	in := make([]bool, p.Count[0]*p.Count[1]*p.Count[2])
	for _, c := range cubes {
		in[p.index([3]int{c[0] - lo[0], c[1] - lo[1], c[2] - lo[2]})] = true
	}
	p.Runs = nil
	now, run := false, 0
	for _, b := range in {
		if b != now {
			p.Runs = append(p.Runs, run)
			now, run = b, 0
		}
		run++
	}
	p.Runs = append(p.Runs, run)
}

func (p *Pocket) index(c [3]int) int { return (c[2]*p.Count[1]+c[1])*p.Count[0] + c[0] }

// spread returns which cubes of the grid are of the pocket.
func (p *Pocket) spread() ([]bool, error) {
	total := 1
	for _, n := range p.Count {
		if n < 0 || n > mostCubes || total*n > mostCubes {
			return nil, errors.New("the grid has too many cubes")
		}
		total *= n
	}
	in := make([]bool, 0, total)
	for i, run := range p.Runs {
		if run < 0 || run > total-len(in) {
			return nil, errors.New("the runs do not fill the grid")
		}
		for range run {
			in = append(in, i%2 == 1)
		}
	}
	if len(in) != total {
		return nil, errors.New("the runs do not fill the grid")
	}
	return in, nil
}

// pocket tells whether p shows that no way leads to the end.
//
// The middle of the ball is outside of all cubes of the pocket where a way begins,
// for the part is before y = 0 there, and in one of them where it ends. So it
// passes their border, and where it does, one that is not of the pocket has the
// place as well and shares a face with one that is: of the cubes that meet at the
// place, some are of the pocket and some are not, and one gets from any of them
// to any other across faces. That cube is shut: from every place of it the ball
// overlaps one box.
func (c *checker) pocket(p *Pocket) error {
	if p == nil {
		return errors.New("no pocket")
	}
	if p.Part < 0 || p.Part >= len(c.parts) {
		return fmt.Errorf("there is no part %d", p.Part)
	}
	if !(p.Radius > 0 && p.Radius <= Farthest && p.Edge > 0 && p.Edge <= Greatest) {
		return errors.New("no ball, or no grid")
	}
	for k := range 3 {
		if !(math.Abs(p.From[k]) <= Greatest && math.Abs(p.Middle[k]) <= Greatest && float64(p.Count[k])*p.Edge <= Greatest) {
			return errors.New("the grid is too large")
		}
	}
	middle := r3.Vec{X: p.Middle[0], Y: p.Middle[1], Z: p.Middle[2]}
	part := &c.parts[p.Part]
	from := r3.Sub(r3.Sub(middle, c.ref), part.middle)
	for _, f := range part.faces {
		if !(dot(f.n, from)+p.Radius <= f.h+rounding) {
			return fmt.Errorf("the ball is not in part %d", p.Part)
		}
	}
	in, err := p.spread()
	if err != nil {
		return err
	}
	has := func(at [3]int) bool {
		for k := range at {
			if at[k] < 0 || at[k] >= p.Count[k] {
				return false
			}
		}
		return in[p.index(at)]
	}
	strides := [3]int{1, p.Count[0], p.Count[0] * p.Count[1]}
	for i, b := range in {
		if !b {
			continue
		}
		at := [3]int{i % p.Count[0], i / strides[1] % p.Count[1], i / strides[2]}
		if !(p.From[1]+float64(at[1])*p.Edge > -p.Radius+rounding) {
			return errors.New("the pocket holds places outside")
		}
		for k := range at {
			for _, step := range [2]int{-1, 1} {
				beside := at
				beside[k] += step
				inGrid := beside[k] >= 0 && beside[k] < p.Count[k]
				held := inGrid && in[i+step*strides[k]]
				if !held && !c.shut(p, beside) {
					return fmt.Errorf("the pocket is open from cube %v to %v", at, beside)
				}
			}
		}
	}
	return c.filled(p, middle, has)
}

// filled tells whether the cubes where a way may end are of the pocket, or shut.
func (c *checker) filled(p *Pocket, middle r3.Vec, has func([3]int) bool) error {
	off := r3.Sub(middle, c.ref)
	e := r3.Box{Min: r3.Add(c.room.End.Min, off), Max: r3.Add(c.room.End.Max, off)}
	lo, hi := [3]float64{e.Min.X, e.Min.Y, e.Min.Z}, [3]float64{e.Max.X, e.Max.Y, e.Max.Z}
	var first, last [3]int
	total := 1.0
	for k := range lo {
		a, b := math.Floor((lo[k]-give-p.From[k])/p.Edge), math.Floor((hi[k]+give-p.From[k])/p.Edge)
		total *= b - a + 1
		if !(total <= mostCubes) {
			return errors.New("a way may end in too many cubes")
		}
		first[k], last[k] = int(a), int(b)
	}
	for z := first[2]; z <= last[2]; z++ {
		for y := first[1]; y <= last[1]; y++ {
			for x := first[0]; x <= last[0]; x++ {
				if at := [3]int{x, y, z}; !has(at) && !c.shut(p, at) {
					return fmt.Errorf("a way may end in cube %v, which is not of the pocket", at)
				}
			}
		}
	}
	return nil
}

// shut tells whether the ball overlaps one box from every place of a cube: of
// these the corner that is farthest from it is farthest away.
func (c *checker) shut(p *Pocket, at [3]int) bool {
	var lo, hi [3]float64
	for k := range at {
		lo[k] = p.From[k] + float64(at[k])*p.Edge
		hi[k] = lo[k] + p.Edge
	}
	reach := p.Radius + give
	for i := range c.room.Boxes {
		b := &c.room.Boxes[i]
		x := max(b.Min.X-lo[0], 0, hi[0]-b.Max.X)
		y := max(b.Min.Y-lo[1], 0, hi[1]-b.Max.Y)
		z := max(b.Min.Z-lo[2], 0, hi[2]-b.Max.Z)
		if x*x+y*y+z*z <= reach*reach {
			return true
		}
	}
	return false
}
