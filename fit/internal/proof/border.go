package proof

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// place is a depth and how far something goes there in one direction across.
type place struct{ y, e float64 }

// chain is a concave line, the upper border of a convex outline: how far it goes
// in one direction across, over depth.
type chain []place

// with returns the border of c and of a place no less deep than what c has.
func (c chain) with(p place) chain {
	if n := len(c); n > 0 && c[n-1].y == p.y {
		if c[n-1].e >= p.e {
			return c
		}
		c = c[:n-1]
	}
	for len(c) >= 2 {
		a, b := c[len(c)-2], c[len(c)-1]
		if (b.e-a.e)*(p.y-a.y) > (p.e-a.e)*(b.y-a.y) {
			break
		}
		c = c[:len(c)-1]
	}
	return append(c, p)
}

// top returns where c goes farthest.
func (c chain) top() int {
	top := 0
	for top+1 < len(c) && c[top+1].e > c[top].e {
		top++
	}
	return top
}

// farthest returns the greatest value over depths from a to b, −Inf where c has
// none of them.
func (c chain) farthest(a, b float64) float64 { return c.within(a, b, c.top()) }

// within is farthest, where the top is known.
func (c chain) within(a, b float64, top int) float64 {
	n := len(c)
	if n == 0 || a > b || c[n-1].y < a || c[0].y > b {
		return math.Inf(-1)
	}
	y := min(max(c[top].y, a), b)
	i := top
	for i > 0 && c[i].y > y {
		i--
	}
	for i+1 < n && c[i+1].y <= y {
		i++
	}
	if i+1 == n || c[i].y >= y {
		return c[i].e
	}
	p, q := c[i], c[i+1]
	return p.e + (q.e-p.e)*((y-p.y)/(q.y-p.y))
}

// places are some of what something goes to; it goes as far as the lines between them.
type places []place

func (ps places) with(y, e float64) places {
	if math.IsInf(e, -1) {
		return ps
	}
	return append(ps, place{y, e})
}

// sort puts ps in the order of their depths.
func (ps places) sort() {
	slices.SortFunc(ps, func(a, b place) int { return cmp.Compare(a.y, b.y) })
}

// at returns how far it goes at a depth, −Inf where no places are on both sides.
//
// From one line over the depth it steps to another that is farther there, to an end
// beyond the line, until there is none. What any of them has holds.
func (ps places) at(y float64) float64 {
	a, b := -1, -1 // ends of the line
	for i := range ps {
		p := &ps[i]
		if p.y <= y && (a < 0 || p.e > ps[a].e) {
			a = i
		}
		if p.y >= y && (b < 0 || p.e > ps[b].e) {
			b = i
		}
	}
	if a < 0 || b < 0 {
		return math.Inf(-1)
	}
	p, q := ps[a], ps[b]
	for range ps { // as many steps as there are never are needed, but for rounding
		stepped := false
		for i := range ps {
			r := ps[i]
			if (r.e-p.e)*(q.y-p.y) <= (q.e-p.e)*(r.y-p.y)+rounding*(q.y-p.y) {
				continue
			}
			if stepped = true; r.y <= y {
				p = r
			} else {
				q = r
			}
		}
		if !stepped {
			break
		}
	}
	if p.y >= y {
		return p.e
	}
	if q.y <= y {
		return q.e
	}
	return p.e + (q.e-p.e)*((y-p.y)/(q.y-p.y))
}

// order is the places of points in the order of how far they are along an axis. It is kept
// from cell to cell: what is beside each other has much the same.
type order struct {
	of  []int
	key []float64
}

// sort puts points in order.
func (o *order) sort(points []r3.Vec, axis r3.Vec) []int {
	o.key = o.key[:0]
	for i := range points {
		o.key = append(o.key, dot(points[i], axis))
	}
	kept := o.of[:0]
	for _, i := range o.of {
		if i < len(points) {
			kept = append(kept, i)
		}
	}
	for i := len(kept); i < len(points); i++ {
		kept = append(kept, i)
	}
	for n := 1; n < len(kept); n++ {
		i, k := kept[n], n
		for ; k > 0 && o.key[kept[k-1]] > o.key[i]; k-- {
			kept[k] = kept[k-1]
		}
		kept[k] = i
	}
	o.of = kept
	return kept
}
