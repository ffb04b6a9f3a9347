package sheet

import (
	"cmp"
	"math"
	"slices"
)

// Dimensions of a view stand in lanes beside it, the shorter ones nearer to it,
// so that their lines do not cross more than they must. A dimension gives one
// distance, and no distance is given twice on one set of drawings.

// A measured is a distance to be given: between two points of the view, along x
// or along y. Points are on paper, the distance in mm of the thing itself.
type measured struct {
	what    string // for people, as "width of the sump"
	a, b    point
	upright bool // along y
	text    string
	far     bool // beyond the view on the right or below, not on the left or above
}

// A block is a rectangle on paper.
type block struct{ x1, y1, x2, y2 float64 }

func (b block) meets(o block) bool { return b.x1 < o.x2 && o.x1 < b.x2 && b.y1 < o.y2 && o.y1 < b.y2 }

// textBlock is what a line of text covers: capitals and digits over its foot,
// the tails of letters below.
func textBlock(x, y, size float64, a anchor, s string) block {
	w := width(s, size)
	switch a {
	case left:
	case centre:
		x -= w / 2
	case right:
		x -= w
	}
	return block{x, y - 0.75*size, x + w, y + 0.22*size}
}

// upwardBlock is the same for text that is read from the right.
func upwardBlock(x, y, size float64, s string) block {
	w := width(s, size)
	return block{x - 0.75*size, y - w/2, x + 0.22*size, y + w/2}
}

const (
	firstLane = 8.0 // from the view to the first dimension line
	laneApart = 6.5 // from one to the next
	head      = 2.4 // length of an arrowhead
	over      = 0.8 // from a dimension line to the foot of its number
)

// A placedDimension is a dimension with its line and number where they go.
type placedDimension struct {
	measured
	at       float64 // of its line: y, or x where it is upright
	lo, hi   float64 // along the line
	outside  bool    // arrows from outside
	numberAt float64 // middle of the number along the line
	lineFrom float64 // ends of the dimension line
	lineTo   float64
	number   block
}

// arranged places dimensions round a block that the view covers, so that no
// number lies on another.
func arranged(all []measured, view block) []placedDimension {
	var out []placedDimension
	for _, upright := range []bool{false, true} {
		for _, far := range []bool{false, true} {
			var side []measured
			for _, m := range all {
				if m.upright == upright && m.far == far {
					side = append(side, m)
				}
			}
			out = lanesOf(out, side, view)
		}
	}
	return out
}

// ends returns where a dimension's extension lines are, along its line.
func (m measured) ends() (lo, hi float64) {
	if m.upright {
		return min(m.a.y, m.b.y), max(m.a.y, m.b.y)
	}
	return min(m.a.x, m.b.x), max(m.a.x, m.b.x)
}

// lanesOf adds the dimensions of one side to those that are placed.
func lanesOf(out []placedDimension, side []measured, view block) []placedDimension {
	length := func(m measured) float64 { lo, hi := m.ends(); return hi - lo }
	slices.SortStableFunc(side, func(a, b measured) int {
		lo, _ := a.ends()
		other, _ := b.ends()
		return cmp.Or(cmp.Compare(length(a), length(b)), cmp.Compare(lo, other))
	})
	var taken [][]interval // of each lane
	for _, m := range side {
		p := m.placed()
		half := width(p.text, normal) / 2
		covers := interval{min(p.lineFrom, p.numberAt-half), max(p.lineTo, p.numberAt+half)}
		for k := 0; ; k++ {
			if k == len(taken) {
				taken = append(taken, nil)
			}
			p.inLane(k, view)
			if !slices.ContainsFunc(taken[k], func(o interval) bool { return covers.from < o.to-0.01 && o.from < covers.to-0.01 }) &&
				!slices.ContainsFunc(out, func(o placedDimension) bool { return o.number.meets(p.number) }) {
				taken[k] = append(taken[k], covers)
				break
			}
		}
		out = append(out, p)
	}
	return out
}

// inLane puts the dimension into a lane beside a view.
func (p *placedDimension) inLane(k int, view block) {
	off := firstLane + laneApart*float64(k)
	switch {
	case p.upright && p.far:
		p.at = view.x2 + off
	case p.upright:
		p.at = view.x1 - off
	case p.far:
		p.at = view.y2 + off
	default:
		p.at = view.y1 - off
	}
	if p.upright {
		p.number = upwardBlock(p.at-over, p.numberAt, normal, p.text)
		return
	}
	p.number = textBlock(p.numberAt, p.at-over, normal, centre, p.text)
}

// placed decides where arrows and number of a dimension are along its line:
// between the extension lines where there is room, else beyond them, on the side
// on which a line of text goes on.
func (m measured) placed() placedDimension {
	lo, hi := m.ends()
	p := placedDimension{measured: m, lo: lo, hi: hi, lineFrom: lo, lineTo: hi, numberAt: (lo + hi) / 2}
	w := width(m.text, normal)
	if hi-lo >= max(w+1, 2*head+2) {
		return p
	}
	p.outside = true
	p.lineFrom, p.lineTo = lo-lead, hi+lead
	if hi-lo >= w+0.6 {
		return p
	}
	if m.upright { // read from the right, text goes on upward
		p.lineFrom = lo - head - 1 - w
		p.numberAt = lo - head - 0.6 - w/2
	} else {
		p.lineTo = hi + head + 1 + w
		p.numberAt = hi + head + 0.6 + w/2
	}
	return p
}

// draw draws the dimension. Its extension lines keep off the numbers of others.
func (p *placedDimension) draw(to pen, numbers []block) {
	on := func(t float64) point {
		if p.upright {
			return point{p.at, t}
		}
		return point{t, p.at}
	}
	for _, from := range []point{p.a, p.b} {
		t := from.x
		if p.upright {
			t = from.y
		}
		end := on(t)
		d := point{end.x - from.x, end.y - from.y}
		n := math.Hypot(d.x, d.y)
		if n < 0.01 {
			continue
		}
		end = point{end.x + d.x/n*past, end.y + d.y/n*past}
		for _, piece := range offBlocks(from, end, numbers) {
			to.lines(narrow, piece[0], piece[1])
		}
	}
	lo, hi := on(p.lineFrom), on(p.lineTo)
	to.line(narrow, lo.x, lo.y, hi.x, hi.y)
	sign := 1.0
	if p.outside {
		sign = -1
	}
	a, b := on(p.lo), on(p.hi)
	if p.upright {
		to.arrow(a.x, a.y, 0, -sign)
		to.arrow(b.x, b.y, 0, sign)
		to.upward(p.at-over, p.numberAt, normal, centre, p.text)
		return
	}
	to.arrow(a.x, a.y, -sign, 0)
	to.arrow(b.x, b.y, sign, 0)
	to.text(p.numberAt, p.at-over, normal, centre, p.text)
}

// offBlocks returns what of a line is not in any block, with a little room about
// each.
func offBlocks(a, b point, blocks []block) [][2]point {
	var dark []interval
	for _, o := range blocks {
		const room = 0.4
		if i := inBlock(a, b, block{o.x1 - room, o.y1 - room, o.x2 + room, o.y2 + room}); i.to > i.from {
			dark = append(dark, i)
		}
	}
	var out [][2]point
	for _, i := range without([]interval{{0, 1}}, merged(dark)) {
		out = append(out, [2]point{between(a, b, i.from), between(a, b, i.to)})
	}
	return out
}

// inBlock returns which part of a line is in a block: none where its end is not
// after its start.
func inBlock(a, b point, o block) interval {
	i := interval{0, 1}
	for _, s := range [][3]float64{ // start, way and width of the block along x and y
		{a.x - o.x1, b.x - a.x, o.x2 - o.x1},
		{a.y - o.y1, b.y - a.y, o.y2 - o.y1},
	} {
		start, way, long := s[0], s[1], s[2]
		if way == 0 {
			if start < 0 || start > long {
				return interval{1, 0}
			}
			continue
		}
		t, u := -start/way, (long-start)/way
		i.from, i.to = max(i.from, min(t, u)), min(i.to, max(t, u))
	}
	return i
}
