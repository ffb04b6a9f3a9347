package space

import "math"

// A barrier parts the outside from the end, through unlikely places at depths at which it
// would take least to shut them. What a search looks at more closely is on a barrier: what
// it does elsewhere may show that nothing is free there, and yet come to nothing. A barrier
// is only where to look; it proves nothing, and need not be the best.
type barrier struct {
	places []int32 // that are on it, or came of one that was by splitting
	next   float64 // how many cells are looked at before there is another one
}

// A grade is what it may take to shut an unlikely place at depths from where the last one
// ends down to the depth To.
type grade struct {
	to    float64
	price int32
}

// dearest is the price of what is hardly ever shut.
const dearest = math.MaxInt32

// price returns what it may take to shut what is not free in the middle of a cell, by how
// much too large the body is there, in mm, where the turns of the cell move it by size: how
// many cells it has to be split into, that are to be small for that. Small cells are dearer,
// as what is told by them is less: without that, a search would go on in the narrow places
// where it is, however often what was unlikely turns out to be free.
func price(excess, size float64) int32 {
	const (
		step  = 4          // from one price to the next
		small = 1000       // mm
		never = 1.0 / 1024 // of the size: free, for all that is known
	)
	r := excess / size
	if r < never {
		return dearest
	}
	r = math.Pow(step, math.Floor(math.Log(r)/math.Log(step)))
	return int32(min(math.Ceil(math.Pow(small/size, 1.5)*max(1, 1/(r*r*r))), dearest-1))
}

// grade finds the grades of unlikely bands, of a cell whose turns move the body by size.
// They hold until it is called again.
func (p *profiles) grade(bands []band, blocked [][]span, tight [][]pair, size float64) {
	const looks = 8 // at depths of a band
	p.grades = p.grades[:0]
	for i := range bands {
		b := &bands[i]
		if b.kind != unlikely {
			continue
		}
		first, step := len(p.grades), (b.y1-b.y0)/looks
		for k := range looks {
			g := grade{b.y0 + float64(k+1)*step, price(p.excess(blocked, tight, b.y0+(float64(k)+0.5)*step), size)}
			if n := len(p.grades); n > first && p.grades[n-1].price == g.price {
				p.grades[n-1].to = g.to
			} else {
				p.grades = append(p.grades, g)
			}
		}
		p.grades[len(p.grades)-1].to = b.y1
		b.grades = p.grades[first:]
	}
}

// onBarrier returns the leaves of those places at which the way to end gets across the
// barrier.
func (s *Search) onBarrier(end int32) []int32 {
	var ids []int32
	places := s.ways.places
	last := noPlace
	for n := end; n != noPlace; n = s.ways.tolls[n].prev {
		p := &places[n]
		if p.barred() {
			whole := span{p.Y0, p.Y1}
			in, out := whole, whole // the depths at which the way comes to it and leaves it
			if before := s.ways.tolls[n].prev; before != noPlace {
				in = whole.meet(span{places[before].Y0, places[before].Y1})
			}
			if last != noPlace {
				out = whole.meet(span{places[last].Y0, places[last].Y1})
			}
			if max(in.lo, out.lo) >= p.bar0 && min(in.hi, out.hi) <= p.bar1 {
				ids = append(ids, p.leaf)
			}
		}
		last = n
	}
	return ids
}

// atBarrier returns leaves to split: those of the way to end that are on the barrier, or all
// of the next barrier, if by then so much more is known that it may be another one.
func (s *Search) atBarrier(end int32) []int32 {
	const (
		more  = 1.3
		first = 300 // cells: of fewer a way is often soon found, and a proof as well
	)
	if float64(s.Used) < max(s.barrier.next, first) {
		return s.onBarrier(end)
	}
	s.barrier.next = more * float64(s.Used)
	for _, n := range s.barrier.places {
		p := &s.ways.places[n]
		p.bar0, p.bar1 = 0, 0
	}
	s.barrier.places = s.barrier.places[:0]
	var ids []int32
	for _, c := range s.network.barrier(&s.ways, s.grades) {
		p := &s.ways.places[c.place]
		if p.barred() { // at other depths, too
			p.bar0, p.bar1 = min(p.bar0, c.y0), max(p.bar1, c.y1)
			continue
		}
		p.bar0, p.bar1 = c.y0, c.y1
		p.smallest = s.leaves[p.leaf].size / 8
		s.barrier.places = append(s.barrier.places, c.place)
		ids = append(ids, p.leaf)
	}
	return ids
}

// inherit puts places on the barrier that came of those of leaf i by splitting it, until they
// are much smaller than what it was laid through: what is not shut by then may be free.
func (s *Search) inherit(i, first, past int32) {
	l := &s.leaves[i]
	for _, was := range s.ways.places[l.first:l.past] {
		if !was.barred() {
			continue
		}
		for n := first; n < past; n++ {
			p := &s.ways.places[n]
			y0, y1 := max(was.bar0, p.Y0), min(was.bar1, p.Y1)
			if p.grades == 0 || y0 >= y1 || s.leaves[p.leaf].size < was.smallest {
				continue
			}
			if !p.barred() {
				s.barrier.places = append(s.barrier.places, n)
			}
			p.bar0, p.bar1, p.smallest = y0, y1, was.smallest
		}
	}
}
