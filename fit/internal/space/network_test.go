package space

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawnGraph is a graph of places small enough to try all barriers of it.
type drawnGraph struct {
	ways
	grades []grade
	nodes  []crossing // what may be shut, by number, or may not
	price  []int64    // of each; 0 where nothing shuts it
	next   [][]int
}

func drawGraph(t *rapid.T) *drawnGraph {
	g := &drawnGraph{}
	depth := rapid.IntRange(0, 9)
	n := rapid.IntRange(2, 7).Draw(t, "places")
	for i := range n {
		y0 := float64(depth.Draw(t, "y0"))
		p := place{Piece: Piece{Everywhere, y0, y0 + float64(rapid.IntRange(1, 6).Draw(t, "deep"))}, grade: int32(len(g.grades))}
		if p.grades = int32(rapid.IntRange(0, 2).Draw(t, "grades")); p.grades > 0 {
			from := p.Y0
			for k := range p.grades {
				to := p.Y0 + (p.Y1-p.Y0)*float64(k+1)/float64(p.grades)
				price := rapid.Int32Range(1, 9).Draw(t, "price")
				g.grades = append(g.grades, grade{to, price})
				g.nodes, g.price = append(g.nodes, crossing{int32(i), from, to}), append(g.price, int64(price))
				from = to
			}
		} else {
			g.nodes, g.price = append(g.nodes, crossing{int32(i), p.Y0, p.Y1}), append(g.price, 0)
		}
		g.add(p, toll{from: i == 0, to: i == n-1})
	}
	for b := range int32(n) {
		for a := range b {
			if rapid.Bool().Draw(t, "joined") {
				g.link(a, b)
			}
		}
	}
	g.next = make([][]int, len(g.nodes))
	for i, a := range g.nodes {
		for j, b := range g.nodes {
			joined := a.place == b.place
			for _, m := range g.joints.of(a.place) {
				joined = joined || m == b.place
			}
			if i != j && joined && a.y0 <= b.y1 && b.y0 <= a.y1 {
				g.next[i] = append(g.next[i], j)
			}
		}
	}
	return g
}

// open tells whether a way leads from the first place to the last past what is shut.
func (g *drawnGraph) open(shut func(i int) bool) bool {
	seen := make([]bool, len(g.nodes))
	var queue []int
	reach := func(i int) {
		if !seen[i] && !shut(i) {
			seen[i] = true
			queue = append(queue, i)
		}
	}
	for i, c := range g.nodes {
		if g.tolls[c.place].from {
			reach(i)
		}
	}
	for k := 0; k < len(queue); k++ {
		i := queue[k]
		if g.tolls[g.nodes[i].place].to {
			return true
		}
		for _, j := range g.next[i] {
			reach(j)
		}
	}
	return false
}

// A barrier parts the outside from the end, and no other one takes less to shut.
func TestBarrierIsTheCheapest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		g := drawGraph(t)
		least := int64(math.MaxInt64)
		for set := range 1 << len(g.nodes) {
			sum := int64(0)
			for i := range g.nodes {
				if set>>i&1 != 0 {
					if sum += g.price[i]; g.price[i] == 0 {
						sum = math.MaxInt64
						break
					}
				}
			}
			if sum < least && !g.open(func(i int) bool { return set>>i&1 != 0 }) {
				least = sum
			}
		}
		var f network
		got := f.barrier(&g.ways, g.grades)
		if least == math.MaxInt64 {
			if got != nil {
				t.Fatalf("a way leads past all that may be shut, and %v are a barrier", got)
			}
			return
		}
		sum := int64(0)
		shut := map[int]bool{}
		for _, c := range got {
			for i, n := range g.nodes {
				if n == c {
					shut[i] = true
					sum += g.price[i]
				}
			}
		}
		if len(shut) != len(got) || g.open(func(i int) bool { return shut[i] }) {
			t.Fatalf("%v are no barrier", got)
		}
		if sum != least {
			t.Fatalf("a barrier of %d, where %d is enough", sum, least)
		}
	})
}
