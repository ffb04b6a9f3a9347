package service_test

import (
	"bytes"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/service"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func box(x0, y0, z0, x1, y1, z1 float64) r3.Box {
	return r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
}

// A grid is a cabinet with an open front, seen from above: rows from front to back
// of letters that stand for things and dots where there is nothing. Things are as
// high as the cabinet and nearly as wide as their cells, so that they go from cell
// to cell along the sides and cannot turn: what comes out past what is known without
// any geometry.
type grid []string

const (
	cell  = 150.0 // mm
	play  = 6.0   // each thing is smaller than its cells by this on every side
	thick = 18.0  // of the cabinet's walls
)

// scene returns the cabinet with its things named by their letters, in the order of
// the alphabet.
func (g grid) scene() *scene.Scene {
	wide, deep := cell*float64(len(g[0])), cell*float64(len(g))
	s := &scene.Scene{Units: unit.Millimetres, Tape: 0.5}
	c := &s.Cabinet
	c.Width, c.Depth, c.Height = unit.Length(wide+2*thick), unit.Length(deep+2*thick), 300
	for _, p := range []*scene.Panel{&c.Front, &c.Back, &c.Left, &c.Right, &c.Lid} {
		p.Thickness = thick
	}
	c.Openings = []scene.Opening{{Name: "front", Side: scene.Front, Hole: box(thick, 0, 0, thick+wide, thick, 300-thick)}}
	for _, t := range g.things() {
		e := scene.Equipment{Name: t.name, Kind: "box"}
		x0, y0, x1, y1 := 1e9, 1e9, 0.0, 0.0
		for _, at := range t.cells {
			x, y := thick+cell*float64(at[0]), thick+cell*float64(at[1])
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x+cell), max(y1, y+cell)
		}
		e.Bodies = []scene.Body{{Solid: solid.Box(box(x0+play, y0+play, 3, x1-play, y1-play, 300-thick-3))}}
		s.Equipment = append(s.Equipment, e)
	}
	return s
}

type gridThing struct {
	name  string
	cells [][2]int // column, row
}

func (g grid) things() []gridThing {
	var out []gridThing
	for y, row := range g {
		for x, c := range row {
			if c == '.' {
				continue
			}
			i := slices.IndexFunc(out, func(t gridThing) bool { return t.name == string(c) })
			if i < 0 {
				out, i = append(out, gridThing{name: string(c)}), len(out)
			}
			out[i].cells = append(out[i].cells, [2]int{x, y})
		}
	}
	slices.SortFunc(out, func(a, b gridThing) int { return strings.Compare(a.name, b.name) })
	return out
}

// free tells whether a thing gets out past those of there, a set of bits, by moving
// from cell to cell.
func (g grid) free(ts []gridThing, i int, there uint) bool {
	taken := map[[2]int]bool{}
	for j, t := range ts {
		if j != i && there&(1<<j) != 0 {
			for _, c := range t.cells {
				taken[c] = true
			}
		}
	}
	seen := map[[2]int]bool{{}: true}
	for queue := [][2]int{{}}; len(queue) > 0; queue = queue[1:] {
		by := queue[0]
		outside := true
		for _, c := range ts[i].cells {
			outside = outside && c[1]+by[1] < 0
		}
		if outside {
			return true
		}
	next:
		for _, step := range [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			to := [2]int{by[0] + step[0], by[1] + step[1]}
			if seen[to] {
				continue
			}
			for _, c := range ts[i].cells {
				x, y := c[0]+to[0], c[1]+to[1]
				if x < 0 || x >= len(g[0]) || y >= len(g) || taken[[2]int{x, y}] {
					continue next
				}
			}
			seen[to] = true
			queue = append(queue, to)
		}
	}
	return false
}

// fewest returns how many others must come out before thing i at least, by trying
// all sets in all orders; −1 where none does.
func (g grid) fewest(ts []gridThing, i int) int {
	all := uint(1)<<len(ts) - 1
	// Reached are the sets that can be out, thing i still in.
	reached := map[uint]bool{0: true}
	best := -1
	for queue := []uint{0}; len(queue) > 0; queue = queue[1:] {
		out := queue[0]
		if g.free(ts, i, all&^out) {
			if n := bits.OnesCount(out); best < 0 || n < best {
				best = n
			}
			continue
		}
		for j := range ts {
			if next := out | 1<<j; j != i && next != out && !reached[next] && g.free(ts, j, all&^out) {
				reached[next] = true
				queue = append(queue, next)
			}
		}
	}
	return best
}

func finding(tb testing.TB, fs verdict.Findings, id string) verdict.Finding {
	tb.Helper()
	for _, f := range fs.Checks {
		if f.ID == id {
			return f
		}
	}
	tb.Fatalf("no finding %s among %d", id, len(fs.Checks))
	return verdict.Finding{}
}

func measure[T any](tb testing.TB, f verdict.Finding, key string) T {
	tb.Helper()
	for _, m := range f.Measures {
		if m.Key == key {
			v, ok := m.Value.(T)
			if !ok {
				tb.Fatalf("%s: %s is %T", f.ID, key, m.Value)
			}
			return v
		}
	}
	tb.Fatalf("%s: no measure %s", f.ID, key)
	var none T
	return none
}

// checkGrid holds the findings against trying everything out.
func checkGrid(t *testing.T, g grid) {
	t.Helper()
	fs := service.Check(t.Context(), g.scene(), nil)
	ts := g.things()
	all := uint(1)<<len(ts) - 1
	index := func(name string) int {
		return slices.IndexFunc(ts, func(t gridThing) bool { return t.name == name })
	}
	for i, thing := range ts {
		f := finding(t, fs, "service/"+thing.name)
		want := g.fewest(ts, i)
		if want < 0 {
			if f.Verdict != verdict.No {
				t.Errorf("%q: %s: %v, want no: %s", g, thing.name, f.Verdict, f.Summary)
			}
			continue
		}
		first := measure[[]string](t, f, "first")
		if f.Verdict != verdict.OK && f.Verdict != verdict.Tight || len(first) != want {
			t.Errorf("%q: %s: %v after %q, want %d others out at least: %s", g, thing.name, f.Verdict, first, want, f.Summary)
			continue
		}
		if want > 0 && f.Verdict != verdict.Tight {
			t.Errorf("%q: %s: %v after %q, want tight", g, thing.name, f.Verdict, first)
		}
		there := all
		for _, n := range append(slices.Clone(first), thing.name) {
			if j := index(n); !g.free(ts, j, there) {
				t.Errorf("%q: %s after %q: %s does not come out by then", g, thing.name, first, n)
			} else {
				there &^= 1 << j
			}
		}
	}
	order := finding(t, fs, "service/order")
	there := uint(0)
	for _, n := range measure[[]string](t, order, "goes_in") {
		there |= 1 << index(n)
		if !g.free(ts, index(n), there) {
			t.Errorf("%q: %s does not go in when it is its turn: %s", g, n, order.Summary)
		}
	}
	if there != all {
		t.Errorf("%q: not everything is brought in: %s", g, order.Summary)
	}
}

func TestGrids(t *testing.T) {
	t.Parallel()
	for name, g := range map[string]grid{
		"one alone":                       {"a", "."},
		"a chain of two":                  {"b", "a"},
		"a chain of three":                {"c", "b", "a"},
		"round through an empty cell":     {"b.", "a."},
		"behind two side by side":         {"bc", "aa"},
		"the shorter of two ways out":     {"bcd", "a.f", "e.."},
		"one behind is in nobody's way":   {"a.", "bc"},
		"a wide one that is itself stuck": {"dcc", "bba", "..a"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			checkGrid(t, g)
		})
	}
}

// Chains have one order only.
func TestChains(t *testing.T) {
	t.Parallel()
	for n := 2; n <= 3; n++ {
		t.Run(strconv.Itoa(n), func(t *testing.T) {
			t.Parallel()
			var g grid
			var want []string
			for i := n - 1; i >= 0; i-- {
				name := fmt.Sprint(string(rune('a' + i)))
				g = append(g, name)
				if i > 0 {
					want = append(want, name)
				}
			}
			fs := service.Check(t.Context(), g.scene(), nil)
			if got := measure[[]string](t, finding(t, fs, "service/a"), "first"); !slices.Equal(got, want) {
				t.Errorf("before the one at the back come out %q, want %q", got, want)
			}
			if got := measure[[]string](t, finding(t, fs, "service/order"), "goes_in"); got[0] != "a" || got[n-1] != want[0] {
				t.Errorf("brought in in the order %q, want from the back", got)
			}
		})
	}
}

// Grids drawn at random, of things of one cell each.
func TestRandomGrids(t *testing.T) {
	t.Parallel()
	grids := 6
	if os.Getenv("UNDERCROFT_SCENES") == "all" {
		grids = 60
	}
	r := rand.New(rand.NewPCG(2, 71))
	for range grids {
		rows := make([][]byte, 2+r.IntN(2))
		columns, next := 2+r.IntN(2), byte('a')
		for y := range rows {
			rows[y] = bytes.Repeat([]byte{'.'}, columns)
			for x := range rows[y] {
				if next <= 'f' && r.IntN(4) > 0 {
					rows[y][x] = next
					next++
				}
			}
		}
		var g grid
		for _, row := range rows {
			g = append(g, string(row))
		}
		t.Run(strings.Join(g, "-"), func(t *testing.T) {
			t.Parallel()
			checkGrid(t, g)
		})
	}
}
