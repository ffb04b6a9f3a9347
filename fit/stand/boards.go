package stand

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/beam"
	"undercroft/fit/internal/wood"
	"undercroft/fit/weight"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// A piece is one board of a cabinet and what it has to bear.
type piece struct {
	name      string
	thickness float64
	carries   float64 // N
	judge     func(thickness float64) (wood.SheetResult, error)
	assumed   []string
	hint      string // what would settle it
}

// A carcass is a cabinet of boards.
type carcass struct {
	s     *scene.Scene
	sheet wood.Sheet
	lid   float64 // thickness of the top; 0: none
	walls [4]r3.Box
	// carry tells which of the walls can carry an edge: in the order of edgeNames.
	carry [4]bool
}

// least is how thick a wall must be to count as carrying: common practice, no
// source.
const least = 12

func newCarcass(s *scene.Scene, sheet wood.Sheet) *carcass {
	c := &carcass{s: s, sheet: sheet, lid: s.Cabinet.Lid.Thickness.MM()}
	cab := &s.Cabinet
	w, d, h := cab.Width.MM(), cab.Depth.MM(), cab.Height.MM()-c.lid
	front, back := cab.Front.Thickness.MM(), cab.Back.Thickness.MM()
	c.walls = [4]r3.Box{
		{Max: r3.Vec{X: w, Y: front, Z: h}},
		{Min: r3.Vec{Y: d - back}, Max: r3.Vec{X: w, Y: d, Z: h}},
		{Max: r3.Vec{X: cab.Left.Thickness.MM(), Y: d, Z: h}},
		{Min: r3.Vec{X: w - cab.Right.Thickness.MM()}, Max: r3.Vec{X: w, Y: d, Z: h}},
	}
	for i, p := range []scene.Panel{cab.Front, cab.Back, cab.Left, cab.Right} {
		c.carry[i] = !p.Open && p.Thickness.MM() >= least
	}
	for _, o := range cab.Openings {
		if o.OpenFace {
			for i, f := range []scene.Face{scene.Front, scene.Back, scene.Left, scene.Right} {
				if o.Side == f {
					c.carry[i] = false
				}
			}
		}
	}
	return c
}

// under tells whether an edge of the display is over the wall of its side, or
// near enough inward for the top board to spread it there.
func (c *carcass) under(edge int, st strip) bool {
	lo, hi := span(c.walls[edge], across(st.along))
	if edge == 0 || edge == 2 {
		hi += c.lid
	} else {
		lo -= c.lid
	}
	return c.carry[edge] && st.at >= lo && st.at <= hi
}

// face returns the side of the cabinet on which a wall is.
func face(edge int) scene.Face {
	return [...]scene.Face{scene.Front, scene.Back, scene.Left, scene.Right}[edge]
}

// holes returns the openings in a wall.
func (c *carcass) holes(edge int) []scene.Opening {
	var out []scene.Opening
	for _, o := range c.s.Cabinet.Openings {
		if o.Side == face(edge) && !o.OpenFace {
			out = append(out, o)
		}
	}
	return out
}

// railOver returns the strip of the front wall over an opening: its height and
// span; ok is false where nothing worth the name is left.
func (c *carcass) railOver(o scene.Opening, edge int) (height, length float64, ok bool) {
	height = c.walls[edge].Max.Z - o.Hole.Max.Z
	lo, hi := o.Hole.Min.X, o.Hole.Max.X
	if edge >= 2 {
		lo, hi = o.Hole.Min.Y, o.Hole.Max.Y
	}
	return height, hi - lo, height >= least
}

// pieces returns the boards with their loads when the display bears in one way.
func (c *carcass) pieces(b bearing, l weight.Loads) []piece {
	own, _, _ := l.On(weight.OfItself, weight.Running)
	if b.whole != nil {
		return c.underBottom(*b.whole, own.Weight().N())
	}
	return c.underRim(b.strips, own.Weight().N())
}

// underRim hands each edge of the display to the wall under it. The sides have
// to bear their own edge and half of front and back, should those give way.
func (c *carcass) underRim(strips []strip, own float64) []piece {
	var total [4]float64
	for i, st := range strips {
		for _, load := range st.loads {
			total[i] += load.Total()
		}
	}
	var out []piece
	for edge, st := range strips {
		side := edge >= 2
		force := total[edge]
		if side {
			force += (total[0] + total[1] + own) / 2
		}
		switch {
		case !c.under(edge, st):
			out = append(out, c.bridge(edge, total[edge]))
			if !side {
				continue
			}
		case !side:
			out = append(out, c.rails(edge, st)...)
		}
		if edge == 0 {
			continue // the front stands as stiles, which the rails press on the sides
		}
		out = append(out, c.wall(edge, st, force))
	}
	for _, d := range c.s.Stand.Dividers {
		share := c.dividerShare(d)
		out = append(out, c.divider(d, share*(total[0]+total[1])))
	}
	return out
}

// wall judges a wall in compression over the length of the edge on it, less the
// holes in it.
func (c *carcass) wall(edge int, st strip, force float64) piece {
	box := c.walls[edge]
	lo, hi := span(box, st.along)
	lo, hi = max(lo, st.loads[0].From), min(hi, st.loads[len(st.loads)-1].To)
	length := hi - lo
	for _, o := range c.holes(edge) {
		a, b := span(o.Hole, st.along)
		length -= max(0, min(b, hi)-max(a, lo))
	}
	height := box.Max.Z
	a, b := span(box, across(st.along))
	p := piece{name: edgeNames[edge] + " side", thickness: b - a, carries: force}
	if edge == 1 {
		p.name = "back"
	}
	p.judge = func(thickness float64) (wood.SheetResult, error) {
		if length <= 0 {
			return wood.SheetResult{}, fmt.Errorf("the holes leave nothing of it under the edge")
		}
		return c.sheet.Wall(thickness, length, height, force), nil
	}
	p.assumed = c.assumedWall(edge)
	return p
}

func (c *carcass) assumedWall(edge int) []string {
	cab := c.s.Cabinet
	if p := []scene.Panel{cab.Front, cab.Back, cab.Left, cab.Right}[edge]; p.Assumed {
		return []string{fmt.Sprintf("%s wall %s thick", edgeNames[edge], c.s.Units.Length(p.Thickness))}
	}
	return nil
}

// rails judges the strips over the openings of a wall as beams on edge.
func (c *carcass) rails(edge int, st strip) []piece {
	var out []piece
	for _, o := range c.holes(edge) {
		height, length, ok := c.railOver(o, edge)
		lo, _ := span(o.Hole, st.along)
		var loads []beam.Load
		force := 0.0
		for _, load := range st.loads {
			if part, ok := clip(load, lo, lo+length); ok {
				part.From, part.To = part.From-lo, part.To-lo
				loads = append(loads, part)
				force += part.Total()
			}
		}
		a, b := span(c.walls[edge], across(st.along))
		p := piece{name: "rail over " + o.Name, thickness: b - a, carries: force, assumed: c.assumedWall(edge)}
		p.judge = func(thickness float64) (wood.SheetResult, error) {
			if !ok {
				return wood.SheetResult{}, fmt.Errorf("only %s of wood is left over %s", c.s.Units.Length(unit.Length(max(0, height))), o.Name)
			}
			r, err := c.sheet.Strip(thickness, height, length, true, loads)
			if err == nil && c.lid > 0 {
				// The top board may be glued on and help: that counts in the low ratios.
				stronger, stiffer := flanged(thickness, height, c.s.Cabinet.Depth.MM()/2, c.lid)
				r.Ratios[wood.Bending] = wood.Ratio{Low: r.Ratios[wood.Bending].Low / stronger, High: r.Ratios[wood.Bending].High}
				r.Ratios[wood.Deflection] = wood.Ratio{Low: r.Ratios[wood.Deflection].Low / stiffer, High: r.Ratios[wood.Deflection].High}
			}
			return r, err
		}
		p.hint = "a taller rail, or one of timber behind it, would settle it"
		out = append(out, p)
	}
	return out
}

// flanged returns how many times stronger and stiffer a rail of the given width
// and height is with a board of another width and thickness glued on top: the
// section moduli at the lower edge and the second moments of area, by Steiner's
// theorem.
func flanged(width, height, flange, thickness float64) (stronger, stiffer float64) {
	a, b := width*height, flange*thickness
	middle := (a*height/2 + b*(height+thickness/2)) / (a + b)
	inertia := width*height*height*height/12 + a*(middle-height/2)*(middle-height/2) +
		flange*thickness*thickness*thickness/12 + b*(height+thickness/2-middle)*(height+thickness/2-middle)
	alone := width * height * height * height / 12
	return inertia / middle / (alone / (height / 2)), inertia / alone
}

// bridge is an edge that no wall carries: the top board alone would have to, over
// the width of the cabinet, and how wide a strip of it helps nobody can say.
func (c *carcass) bridge(edge int, force float64) piece {
	p := piece{name: "top under the " + edgeNames[edge] + " edge", thickness: c.lid, carries: force}
	p.judge = func(float64) (wood.SheetResult, error) {
		if c.lid == 0 {
			return wood.SheetResult{}, fmt.Errorf("no board and no wall is under the %s edge of the display", edgeNames[edge])
		}
		return wood.SheetResult{}, fmt.Errorf("the %s edge of the display lies on the top board alone; a rail or a wall under it would carry it", edgeNames[edge])
	}
	return p
}

// dividerShare returns the share of a line load from left to right that goes to
// a divider, by the lever rule between it and its neighbours.
func (c *carcass) dividerShare(d scene.Board) float64 {
	width := c.s.Cabinet.Width.MM()
	xs := []float64{0, width}
	for _, o := range c.s.Stand.Dividers {
		xs = append(xs, (o.Box.Min.X+o.Box.Max.X)/2)
	}
	slices.Sort(xs)
	m := (d.Box.Min.X + d.Box.Max.X) / 2
	i := slices.Index(xs, m)
	if i == 0 || i == len(xs)-1 {
		return 0 // it stands outside of the sides
	}
	box := c.s.Display.Box
	return hatWidth(box.Min.X, box.Max.X, xs[i-1], m, xs[i+1]) / (box.Max.X - box.Min.X)
}

func (c *carcass) divider(d scene.Board, force float64) piece {
	p := piece{name: d.Name, thickness: d.Box.Max.X - d.Box.Min.X, carries: force}
	p.judge = func(thickness float64) (wood.SheetResult, error) {
		return c.sheet.Wall(thickness, d.Box.Max.Y-d.Box.Min.Y, d.Box.Max.Z-d.Box.Min.Z, force), nil
	}
	return p
}

// underBottom hands an even pressure to the top board, and that to sides and
// dividers.
func (c *carcass) underBottom(f field, own float64) []piece {
	total := f.pressure * (f.box.Max.X - f.box.Min.X) * (f.box.Max.Y - f.box.Min.Y)
	out := []piece{c.top(f, total)}
	shares := total
	for _, d := range c.s.Stand.Dividers {
		share := c.dividerShare(d) * total
		shares -= share
		out = append(out, c.divider(d, share))
	}
	for edge := 2; edge <= 3; edge++ {
		lo, hi := f.box.Min.Y, f.box.Max.Y
		st := strip{along: scene.AlongY, loads: []beam.Load{beam.Uniform(lo, hi, 1)}}
		out = append(out, c.wall(edge, st, (shares+own)/2))
	}
	return out
}

// top judges the top board in its widest bay between sides and dividers.
func (c *carcass) top(f field, total float64) piece {
	xs := []float64{c.walls[2].Max.X, c.walls[3].Min.X}
	for _, d := range c.s.Stand.Dividers {
		xs = append(xs, (d.Box.Min.X+d.Box.Max.X)/2)
	}
	slices.Sort(xs)
	from, to := xs[0], xs[1]
	for i := 2; i < len(xs); i++ {
		if xs[i]-xs[i-1] > to-from {
			from, to = xs[i-1], xs[i]
		}
	}
	return c.board("top", c.lid, total, f, from, to, c.walls[0].Max.Y, c.walls[1].Min.Y, c.carry[0] && c.frontRail(), c.carry[1])
}

// frontRail tells whether wood is left over every opening of the front.
func (c *carcass) frontRail() bool {
	for _, o := range c.holes(0) {
		if _, _, ok := c.railOver(o, 0); !ok {
			return false
		}
	}
	return true
}

// board judges a level board from x0 to x1 between what carries it left and
// right, and where front and back carry it too, as lying on all four edges.
func (c *carcass) board(name string, thickness, total float64, f field, x0, x1, y0, y1 float64, front, back bool) piece {
	p := piece{name: name, thickness: thickness, carries: total}
	if !front || !back {
		p.hint = "a rail under its front and back edge would settle it"
	}
	ax0, ax1 := max(f.box.Min.X, x0)-x0, min(f.box.Max.X, x1)-x0
	ay0, ay1 := max(f.box.Min.Y, y0)-y0, min(f.box.Max.Y, y1)-y0
	p.judge = func(thickness float64) (wood.SheetResult, error) {
		if thickness <= 0 {
			return wood.SheetResult{}, fmt.Errorf("there is no board")
		}
		if ax1 <= ax0 || ay1 <= ay0 {
			return wood.SheetResult{Ratios: map[string]wood.Ratio{}}, nil
		}
		r, err := c.sheet.Strip(1, thickness, x1-x0, false, []beam.Load{beam.Uniform(ax0, ax1, f.pressure)})
		if err != nil {
			return r, err
		}
		slab := c.sheet.Slab(x1-x0, y1-y0, thickness, f.pressure, ax0, ax1, ay0, ay1)
		if front && back {
			return r.Better(slab), nil
		}
		// What may help that is not sure to be there counts in the low ratios.
		for k, q := range r.Ratios {
			q.Low = min(q.Low, slab.Ratios[k].Low)
			r.Ratios[k] = q
		}
		return r, nil
	}
	return p
}

// bottom judges the inside bottom under what stands on it.
func (c *carcass) bottom(f field) (piece, bool) {
	b := c.s.Cabinet.Bottom
	if b == nil || (b.Up-b.Thickness).MM() <= math.Max(1, c.s.Tape.MM()) {
		return piece{}, false // it lies on the house floor
	}
	total := f.pressure * (f.box.Max.X - f.box.Min.X) * (f.box.Max.Y - f.box.Min.Y)
	held := [2]bool{}
	for i := range held {
		at := []float64{c.walls[0].Max.Y, c.walls[1].Min.Y}[i]
		for _, p := range c.s.Stand.Plinth {
			mid := (p.Box.Min.Y + p.Box.Max.Y) / 2
			if p.Box.Max.X-p.Box.Min.X > p.Box.Max.Y-p.Box.Min.Y && math.Abs(mid-at) < c.s.Cabinet.Depth.MM()/4 {
				held[i] = true
			}
		}
		if c.carry[i] && !slices.ContainsFunc(c.holes(i), func(o scene.Opening) bool {
			return o.Hole.Min.Z < (b.Up - b.Thickness).MM()
		}) {
			held[i] = true
		}
	}
	p := c.board("inside bottom", b.Thickness.MM(), total, f, c.walls[2].Max.X, c.walls[3].Min.X, c.walls[0].Max.Y, c.walls[1].Min.Y, held[0], held[1])
	if !held[0] || !held[1] {
		p.hint = "a strip of wood under its front and back edge would settle it"
	}
	if b.Assumed {
		p.assumed = []string{"inside bottom " + c.s.Units.Length(b.Thickness) + " thick"}
	}
	return p, true
}

// bay judges a board on a grid of rails under an even pressure: across the widest
// gap between rails one way, or the other, or as lying on rails all round, as far
// as there are such.
func (c *carcass) bay(name string, thickness, total, pressure, gapX, gapY float64) piece {
	p := piece{name: name, thickness: thickness, carries: total}
	p.judge = func(thickness float64) (wood.SheetResult, error) {
		var best wood.SheetResult
		for _, gap := range []float64{gapX, gapY} {
			if gap == 0 {
				continue
			}
			r, err := c.sheet.Strip(1, thickness, gap, false, []beam.Load{beam.Uniform(0, gap, pressure)})
			if err != nil {
				return r, err
			}
			if best.Ratios == nil {
				best = r
			} else {
				best = best.Better(r)
			}
		}
		if best.Ratios == nil {
			return best, fmt.Errorf("no two rails are seen under it")
		}
		if gapX > 0 && gapY > 0 {
			best = best.Better(c.sheet.Slab(gapX, gapY, thickness, pressure, 0, gapX, 0, gapY))
		}
		return best, nil
	}
	return p
}
