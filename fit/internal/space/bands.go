package space

import (
	"math"
	"slices"
)

// In a room of layers alone what is free of places (x, z) is, at each turn and depth
// of the reference point, a rectangle, or none. So ways are told apart by turns and
// depths alone; and as what is shut at a turn is shut over whole intervals of
// depths, cells need to be of turns only. Each has its depths in bands. What boxes part
// is taken to be one there.

// A band is an interval of depths of a cell of turns.
type band struct {
	y0, y1 float64
	kind   bandKind
}

type bandKind int

const (
	shut  bandKind = iota // nothing is free at any turn of the cell
	known                 // something is free at every turn
	maybe
	unlikely // maybe, but not at the turn in the middle
)

// pieces returns the bands that are known to be free and those that may be.
func pieces(bands []band) (free, perhaps []Piece) {
	for _, b := range bands {
		p := Piece{Rect: Everywhere, Y0: b.y0, Y1: b.y1}
		switch b.kind {
		case known:
			free = append(free, p)
		case maybe:
			perhaps = append(perhaps, p)
		case unlikely:
			p.Unlikely = true
			perhaps = append(perhaps, p)
		case shut:
		}
	}
	return free, perhaps
}

// A Band of a leaf reaches from where the last one ends down to the depth To.
type Band struct {
	To float64
	// Shut tells that nothing is free there, Outside that what is may be joined to the
	// outside.
	Shut, Outside bool
}

// labels returns the bands of a leaf as a proof has them.
func (s *Search) labels(l *leaf) []Band {
	var out []Band
	free, _ := pieces(l.bands)
	sure, perhaps := l.first, l.first+int32(len(free))
	for _, b := range l.bands {
		band := Band{To: b.y1}
		switch b.kind {
		case known:
			band.Outside = s.outside(sure)
			sure++
		case maybe, unlikely:
			band.Outside = s.outside(perhaps)
			perhaps++
		case shut:
			band.Shut = true
		}
		if n := len(out); n > 0 && !band.Shut && !out[n-1].Shut {
			out[n-1] = band // which are joined, and have one label
			continue
		}
		out = append(out, band)
	}
	return out
}

// margin is by how much more than a hole a part has to be for a band to be shut, in
// mm: above all rounding, here and in whatever checks it.
const margin = 1e-6

// mostChoices bounds the ways to choose a hole in each layer that are told apart.
const mostChoices = 16

// bands divides the depths y0 to y1 at the turns of t, which are about those of middle.
func (m *Hull) bands(t, middle *turned, y0, y1 float64) []band {
	choices := m.choices()
	cores := t.cores()
	profiles := m.profiles(cores, t)
	surely := m.blocking(cores, profiles, t, choices)
	out := split(band{y0, y1, maybe}, surely, shut)
	if !perhaps(out) {
		return out
	}
	if m.besides(surely, &cores[0], profiles, choices, out) {
		out = split(band{y0, y1, maybe}, surely, shut)
	}
	if !perhaps(out) {
		return out
	}
	exact := middle.cores()
	profiles = m.profiles(exact, middle)
	there := m.blocking(exact, profiles, middle, choices)
	var all []band
	for _, b := range out {
		if b.kind == maybe {
			all = append(all, split(b, there, unlikely)...)
		} else {
			all = append(all, b)
		}
	}
	if !perhaps(all) {
		return all
	}
	wide := t.outlines()
	blocked := m.blocking(wide, m.profiles(wide, nil), nil, choices)
	for k := range blocked {
		for i := range wide { // beside a box nothing is known
			for _, b := range m.Boxes {
				blocked[k] = append(blocked[k], span{b.Min.Y - wide[i].coreDepth.hi, b.Max.Y - wide[i].coreDepth.lo})
			}
		}
	}
	return divide(all, blocked)
}

// perhaps tells whether something may be free, and is not unlikely to be.
func perhaps(bands []band) bool {
	return slices.ContainsFunc(bands, func(b band) bool { return b.kind == maybe })
}

// split divides a band into what every list has an interval for, which is of the given
// kind, and the rest.
func split(b band, lists [][]span, kind bandKind) []band {
	var out []band
	for y := b.y0; y < b.y1; {
		if to := together(lists, y); to > y {
			out = append(out, band{y, min(to, b.y1), kind})
			y = to
			continue
		}
		next := b.y1
		for _, list := range lists {
			for _, s := range list {
				if s.lo > y && s.lo < next && together(lists, s.lo) > s.lo {
					next = s.lo
				}
			}
		}
		out = append(out, band{y, next, b.kind})
		y = next
	}
	return out
}

// together returns how far all of the lists have an interval each from y on; y where
// one has none.
func together(lists [][]span, y float64) float64 {
	to := math.Inf(1)
	for _, list := range lists {
		end := y
		for _, s := range list {
			if s.lo <= y {
				end = max(end, s.hi)
			}
		}
		to = min(to, end)
	}
	return to
}

// divide tells what is known to be free in the bands that may be: where for some
// choice nothing may be blocked.
func divide(bands []band, perhaps [][]span) []band {
	var out []band
	for _, b := range bands {
		if b.kind != maybe {
			out = append(out, b)
			continue
		}
		cuts := []float64{b.y0, b.y1}
		for _, list := range perhaps {
			for _, s := range list {
				for _, y := range [2]float64{s.lo, s.hi} {
					if y > b.y0 && y < b.y1 {
						cuts = append(cuts, y)
					}
				}
			}
		}
		slices.Sort(cuts)
		for i := 1; i < len(cuts); i++ {
			piece := band{cuts[i-1], cuts[i], maybe}
			for _, list := range perhaps {
				if !slices.ContainsFunc(list, func(s span) bool { return s.lo < piece.y1 && s.hi > piece.y0 }) {
					piece.kind = known
				}
			}
			if n := len(out); n > 0 && out[n-1].kind == piece.kind && i > 1 {
				out[n-1].y1 = piece.y1
			} else {
				out = append(out, piece)
			}
		}
	}
	return out
}

// choices returns the ways to choose a hole in each layer.
func (m *Hull) choices() [][]Rect {
	if m.chosen != nil {
		return m.chosen
	}
	out := [][]Rect{nil}
	for i := range m.Layers {
		var next [][]Rect
		for _, c := range out {
			for _, h := range m.Layers[i].Holes {
				next = append(next, append(slices.Clone(c), h))
			}
		}
		if len(next) > mostChoices {
			next = next[:0]
			for _, c := range out {
				next = append(next, append(slices.Clone(c), Everywhere))
			}
		}
		out = next
	}
	m.chosen = out
	return out
}

// cores returns the parts with what is in them at every turn.
func (t *turned) cores() []seen {
	out := make([]seen, len(t.parts))
	for i := range t.parts {
		out[i] = t.parts[i].seen()
	}
	return out
}

// outlines returns the parts as what they are in at every turn.
func (t *turned) outlines() []seen {
	out := make([]seen, len(t.parts))
	for i := range t.parts {
		p := &t.parts[i]
		w := p.out()
		wide := &turnedPart{part: p.part, coreX: w.x, coreZ: w.z, coreDepth: w.depth}
		out[i] = wide.seen()
	}
	return out
}

// profiles returns how far the parts go within each layer. With t only what t says to
// count does. They hold until it is called again.
func (m *Hull) profiles(parts []seen, t *turned) [][][sides]profile {
	out := make([][][sides]profile, len(m.Layers))
	n := 0
	for i := range parts {
		n += parts[i].most()
	}
	if n *= len(m.Layers); n > len(m.room) {
		m.room = make([]point, n)
	}
	room := m.room
	for l := range m.Layers {
		layer := &m.Layers[l]
		out[l] = make([][sides]profile, len(parts))
		for i := range parts {
			if t != nil && !t.holds(i, layer) {
				continue
			}
			for side := range sides {
				if layer.bounds(side) {
					out[l][i][side], room = parts[i].profile(side, layer.Y0, layer.Y1, room)
				}
			}
		}
	}
	return out
}

// holds tells whether part i is held to the holes of a layer. Through several holes each
// part may go its own way: only the main one is held to any.
func (t *turned) holds(i int, l *Layer) bool { return i == 0 || len(l.Holes) == 1 }

// bounds tells whether the layer bounds what is in it to a side.
func (l *Layer) bounds(side int) bool {
	return slices.ContainsFunc(l.Holes, func(h Rect) bool {
		return !math.IsInf([sides]float64{sideX0: h.X0, sideX1: h.X1, sideZ0: h.Z0, sideZ1: h.Z1}[side], 0)
	})
}

// blocking returns for each choice of holes the depths at which the parts do not
// go in them, each interval by one pair of borders. With t only what t says to
// count does.
func (m *Hull) blocking(parts []seen, profiles [][][sides]profile, t *turned, choices [][]Rect) [][]span {
	var depths []span
	from := make([]float64, len(parts)) // where what a part is held to begins to count
	for i := range parts {
		from[i] = math.Inf(-1)
		if t != nil && i > 0 {
			from[i] = -t.meets[i].hi
			if t.meets[i].empty() {
				from[i] = math.Inf(1)
			}
		}
		d := parts[i].depth()
		if d.empty() {
			continue
		}
		depths = append(depths, span{max(m.Last-d.hi+margin, from[i]), math.Inf(1)})
		if i == 0 || math.IsInf(from[i], -1) {
			depths = append(depths, span{math.Inf(-1), m.First - d.lo - margin})
		}
	}
	out := make([][]span, len(choices))
	for k, choice := range choices {
		out[k] = slices.Clone(depths)
		for _, axis := range [2][2]int{{sideX0, sideX1}, {sideZ0, sideZ1}} {
			for l, a := range choice {
				for n, b := range choice {
					width := b.X1 - a.X0
					if axis[0] == sideZ0 {
						width = b.Z1 - a.Z0
					}
					if math.IsInf(width, 1) {
						continue
					}
					for i := range parts {
						for j := range parts {
							s := over(profiles[l][i][axis[0]], profiles[n][j][axis[1]], width+margin-apartTo(axis[0], &parts[i], &parts[j]))
							s.lo = max(s.lo, from[i], from[j])
							if s.lo < s.hi {
								out[k] = append(out[k], s)
							}
							if t == nil || !t.holds(i, &m.Layers[l]) || !t.holds(j, &m.Layers[n]) {
								continue
							}
							first := len(out[k])
							out[k] = spread(out[k], parts[j].turnedPart, parts[i].turnedPart, axis[1], &m.Layers[n], &m.Layers[l], width)
							for at := first; at < len(out[k]); at++ {
								out[k][at].lo = max(out[k][at].lo, from[i], from[j])
							}
						}
					}
				}
			}
		}
	}
	return out
}
