// Package ground finds how a stiff stand presses on a floor through its feet.
//
// Numbers are bare float64 in N and mm; pressures in N/mm². The floor gives
// everywhere alike and only pushes (Winkler's bed of springs without tension),
// so that under a stiff stand the pressure is a plane cut off at zero; feet of
// one size are equal springs.
package ground

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"undercroft/scene"
)

// A Patch is a rectangle where the stand touches the floor.
type Patch struct{ X0, X1, Y0, Y1 float64 }

// Of returns the patch of a contact.
func Of(c scene.Contact) Patch {
	return Patch{c.Box.Min.X, c.Box.Max.X, c.Box.Min.Y, c.Box.Max.Y}
}

// Area returns the area of p.
func (p Patch) Area() float64 { return (p.X1 - p.X0) * (p.Y1 - p.Y0) }

// Corners returns the corners of p, one after the other round it.
func (p Patch) Corners() [4][2]float64 {
	return [4][2]float64{{p.X0, p.Y0}, {p.X1, p.Y0}, {p.X1, p.Y1}, {p.X0, p.Y1}}
}

// A Bed is the pressure on the floor: A + B·x + C·y where that is positive.
type Bed struct{ A, B, C float64 }

// At returns the pressure of the plane at a place, negative where the stand is
// off the floor.
func (b Bed) At(x, y float64) float64 { return b.A + b.B*x + b.C*y }

// Peak returns the largest pressure under p.
func (b Bed) Peak(p Patch) float64 {
	peak := 0.0
	for _, c := range p.Corners() {
		peak = max(peak, b.At(c[0], c[1]))
	}
	return peak
}

// Least returns the smallest value of the plane under p; below zero p is lifted
// there.
func (b Bed) Least(p Patch) float64 {
	least := math.Inf(1)
	for _, c := range p.Corners() {
		least = min(least, b.At(c[0], c[1]))
	}
	return least
}

// Force returns the force on p.
func (b Bed) Force(p Patch) float64 {
	m := b.moments(p)
	return b.A*m.one + b.B*m.x + b.C*m.y
}

// moments are integrals over the part of a patch that is pressed.
type moments struct{ one, x, y, xx, xy, yy float64 }

// moments cuts p at the line of no pressure and adds up triangles, exactly.
func (b Bed) moments(p Patch) moments {
	corners := p.Corners()
	var kept [][2]float64
	for i, c := range corners {
		d := corners[(i+1)%4]
		pc, pd := b.At(c[0], c[1]), b.At(d[0], d[1])
		if pc > 0 {
			kept = append(kept, c)
		}
		if pc > 0 != (pd > 0) {
			t := pc / (pc - pd)
			kept = append(kept, [2]float64{c[0] + t*(d[0]-c[0]), c[1] + t*(d[1]-c[1])})
		}
	}
	var m moments
	for i := 2; i < len(kept); i++ {
		u, v, w := kept[0], kept[i-1], kept[i]
		area := ((v[0]-u[0])*(w[1]-u[1]) - (w[0]-u[0])*(v[1]-u[1])) / 2
		sx, sy := u[0]+v[0]+w[0], u[1]+v[1]+w[1]
		m.one += area
		m.x += area * sx / 3
		m.y += area * sy / 3
		// The integral of a product of linear functions over a triangle.
		m.xx += area / 12 * (u[0]*u[0] + v[0]*v[0] + w[0]*w[0] + sx*sx)
		m.yy += area / 12 * (u[1]*u[1] + v[1]*v[1] + w[1]*w[1] + sy*sy)
		m.xy += area / 12 * (u[0]*u[1] + v[0]*v[1] + w[0]*w[1] + sx*sy)
	}
	return m
}

func size3(v [3]float64) float64 { return math.Hypot(v[0], math.Hypot(v[1], v[2])) }

// ErrTips says that the force falls outside of what stands on the floor.
var ErrTips = errors.New("the weight is not over the feet")

// Settle returns the pressure that balances a force at (x, y). It is the least
// of a convex energy, found by Newton's method with exact integrals; the result
// is checked for balance.
func Settle(patches []Patch, force, x, y float64) (Bed, error) {
	// Places are taken from the force and divided by the size of the whole.
	size := 0.0
	for _, p := range patches {
		for _, c := range p.Corners() {
			size = max(size, math.Abs(c[0]-x), math.Abs(c[1]-y))
		}
	}
	if size == 0 || !(force > 0) {
		return Bed{}, ErrTips
	}
	local := make([]Patch, len(patches))
	area := 0.0
	for i, p := range patches {
		local[i] = Patch{(p.X0 - x) / size, (p.X1 - x) / size, (p.Y0 - y) / size, (p.Y1 - y) / size}
		area += local[i].Area()
	}
	b := Bed{A: 1 / area} // of a unit force
	energy := func(b Bed) (e float64, g [3]float64, m moments) {
		for _, p := range local {
			n := b.moments(p)
			m.one += n.one
			m.x += n.x
			m.y += n.y
			m.xx += n.xx
			m.xy += n.xy
			m.yy += n.yy
		}
		g = [3]float64{
			b.A*m.one + b.B*m.x + b.C*m.y - 1,
			b.A*m.x + b.B*m.xx + b.C*m.xy,
			b.A*m.y + b.B*m.xy + b.C*m.yy,
		}
		return (b.A*(g[0]-1) + b.B*g[1] + b.C*g[2]) / 2, g, m
	}
	const steps, balanced = 200, 1e-11
	e, g, m := energy(b)
	for range steps {
		if size3(g) < balanced {
			return Bed{(b.A - (b.B*x+b.C*y)/size) * force / (size * size), b.B * force / (size * size * size), b.C * force / (size * size * size)}, nil
		}
		h := mat.NewSymDense(3, []float64{m.one, m.x, m.y, m.x, m.xx, m.xy, m.y, m.xy, m.yy})
		var step mat.VecDense
		if err := step.SolveVec(h, mat.NewVecDense(3, g[:])); err != nil {
			return Bed{}, ErrTips
		}
		length := 1.0
		for {
			next := Bed{b.A - length*step.AtVec(0), b.B - length*step.AtVec(1), b.C - length*step.AtVec(2)}
			ne, ng, nm := energy(next)
			if nm.one > 0 && (ne <= e || size3(ng) < size3(g)) {
				b, e, g, m = next, ne, ng, nm
				break
			}
			if length /= 2; length < 1e-12 {
				return Bed{}, ErrTips
			}
		}
	}
	return Bed{}, ErrTips
}
