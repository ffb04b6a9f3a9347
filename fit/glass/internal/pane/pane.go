// Package pane bends an upright glass pane that is held at its foot and along
// both sides and free at its top, with water against one face.
//
// Numbers are bare float64 in N and mm. Theory: thin plates with deflections
// small against the thickness, by M. Lévy's single series (S. Timoshenko and
// S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd edition, articles 33
// and 41 to 43); the held edges do not sink and are free to turn, as in a bead of
// silicone, which gives more stress in the field than edges that hold it.
package pane

import "math"

// A Pane is Width wide and Height high.
type Pane struct {
	Width, Height float64
	Poisson       float64
}

// A Load is the pressure on a pane: Uniform all over it, and Foot at its foot
// falling evenly to nothing at Depth, at most the height of the pane.
type Load struct{ Uniform, Foot, Depth float64 }

// A Bend is what a load does to a pane. Stress is 6·Moment/t², deflection
// Sag/D with D = E t³/12(1 − ν²).
type Bend struct {
	Moment float64 // largest principal moment per length, N
	Free   float64 // moment along the free edge in its middle, N
	Sag    float64 // D times the deflection in the middle of the free edge, N mm²
}

const (
	// halfWaves is how many terms of the series are summed: the last is below a
	// millionth of the first.
	halfWaves = 25
	// across and up are how many places of half the pane are looked at for the
	// largest moment; it is flat there, and finer grids change it by less than a
	// thousandth.
	across, up = 16, 40
)

// Bend returns how p bends under l.
func (p Pane) Bend(l Load) Bend {
	var waves [halfWaves]wave
	var sin, cos [halfWaves][across + 1]float64
	for k := range waves {
		waves[k] = p.wave(2*k+1, l)
		for i := range sin[k] {
			sin[k][i], cos[k][i] = math.Sincos(waves[k].a * p.Width / 2 * float64(i) / across)
		}
	}
	var b Bend
	for j := range up + 1 {
		y := p.Height * float64(j) / up
		var f [halfWaves][4]float64
		for k := range waves {
			f[k] = waves[k].of(y)
		}
		for i := range across + 1 {
			var mx, my, mxy, sag float64
			for k := range waves {
				aa := waves[k].a * waves[k].a
				mx += aa * (f[k][0] - p.Poisson*f[k][2]) * sin[k][i]
				my += aa * (p.Poisson*f[k][0] - f[k][2]) * sin[k][i]
				mxy -= aa * (1 - p.Poisson) * f[k][1] * cos[k][i]
				sag += f[k][0] * sin[k][i]
			}
			b.Moment = max(b.Moment, math.Abs(mx+my)/2+math.Hypot((mx-my)/2, mxy))
			if j == up && i == across {
				b.Free, b.Sag = mx, sag
			}
		}
	}
	return b
}

// A wave is one term of the series: D w = Y(y) sin(a x), with Y in one or two
// pieces, below and above the water.
type wave struct {
	a      float64
	pieces []piece
}

// A piece is Y between two heights: a line, which carries the load, and four
// functions that carry none.
type piece struct {
	lo, hi float64
	a      float64
	c      [4]float64
	at     float64 // the line at lo
	slope  float64 // the line's growth with a·y
}

// of returns Y and its derivatives to a·y, up to the third.
func (w *wave) of(y float64) [4]float64 {
	for _, p := range w.pieces {
		if y <= p.hi {
			return p.of(y)
		}
	}
	return w.pieces[len(w.pieces)-1].of(y)
}

func (p piece) of(y float64) (f [4]float64) {
	b := p.basis(y)
	for k := range f {
		for i := range p.c {
			f[k] += p.c[i] * b[i][k]
		}
	}
	f[0] += p.at + p.slope*p.a*(y-p.lo)
	f[1] += p.slope
	return f
}

// basis returns the four functions that carry no load, each with its first three
// derivatives to a·y: two that fade from the lower end and two from the upper.
func (p piece) basis(y float64) [4][4]float64 {
	s, t := p.a*(y-p.lo), p.a*(p.hi-y)
	e, g := math.Exp(-s), math.Exp(-t)
	return [4][4]float64{
		{e, -e, e, -e},
		{s * e, (1 - s) * e, (s - 2) * e, (3 - s) * e},
		{g, g, g, g},
		{t * g, -(1 - t) * g, (t - 2) * g, -(3 - t) * g},
	}
}

// wave solves the term with m half waves.
func (p Pane) wave(m int, l Load) wave {
	a := float64(m) * math.Pi / p.Width
	// The term's share of a pressure q, over D a⁴: its line.
	share := 4 / (float64(m) * math.Pi) / (a * a * a * a)
	w := wave{a: a}
	depth := min(l.Depth, p.Height)
	const film = 1e-9 // of the height: less is no piece of its own
	switch {
	case l.Foot == 0 || depth <= film*p.Height:
		w.pieces = []piece{{lo: 0, hi: p.Height, a: a, at: share * l.Uniform}}
	default:
		slope := -share * l.Foot / (a * l.Depth)
		w.pieces = []piece{{lo: 0, hi: depth, a: a, at: share * (l.Uniform + l.Foot), slope: slope}}
		if depth < p.Height*(1-film) {
			w.pieces = append(w.pieces, piece{lo: depth, hi: p.Height, a: a, at: share * l.Uniform})
		}
	}
	w.solve(p.Poisson)
	return w
}

// solve finds what makes the foot and the free edge what they are and the pieces
// one.
func (w *wave) solve(nu float64) {
	n := 4 * len(w.pieces)
	rows := make([][]float64, 0, n)
	// condition adds one equation: the sum of factors times Y's derivatives at
	// the given places is nothing.
	type term struct {
		piece  int
		y      float64
		factor [4]float64
	}
	condition := func(terms ...term) {
		row := make([]float64, n+1)
		for _, t := range terms {
			p := w.pieces[t.piece]
			b := p.basis(t.y)
			line := [4]float64{p.at + p.slope*p.a*(t.y-p.lo), p.slope}
			for k, f := range t.factor {
				for i := range b {
					row[4*t.piece+i] += f * b[i][k]
				}
				row[n] -= f * line[k]
			}
		}
		rows = append(rows, row)
	}
	last := len(w.pieces) - 1
	foot, top := w.pieces[0].lo, w.pieces[last].hi
	condition(term{0, foot, [4]float64{1}})                    // does not sink
	condition(term{0, foot, [4]float64{0, 0, 1}})              // free to turn
	condition(term{last, top, [4]float64{-nu, 0, 1}})          // no moment
	condition(term{last, top, [4]float64{0, -(2 - nu), 0, 1}}) // no shear
	for i := range last {
		y := w.pieces[i].hi
		for k := range 4 {
			var below, above [4]float64
			below[k], above[k] = 1, -1
			condition(term{i, y, below}, term{i + 1, y, above})
		}
	}
	x := eliminate(rows)
	for i := range w.pieces {
		copy(w.pieces[i].c[:], x[4*i:])
	}
}

// eliminate solves linear equations given as rows with their right side last, by
// Gauss with the largest pivot of each column.
func eliminate(rows [][]float64) []float64 {
	n := len(rows)
	for i := range n {
		best := i
		for j := i; j < n; j++ {
			if math.Abs(rows[j][i]) > math.Abs(rows[best][i]) {
				best = j
			}
		}
		rows[i], rows[best] = rows[best], rows[i]
		for j := i + 1; j < n; j++ {
			f := rows[j][i] / rows[i][i]
			for k := i; k <= n; k++ {
				rows[j][k] -= f * rows[i][k]
			}
		}
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		x[i] = rows[i][n]
		for k := i + 1; k < n; k++ {
			x[i] -= rows[i][k] * x[k]
		}
		x[i] /= rows[i][i]
	}
	return x
}
