package proof_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/space"
	"undercroft/scene/solid"
)

// TestLeavesAreCheckedAlone has a checker look at one leaf after the other: what it keeps of
// those before changes nothing of what it says.
func TestLeavesAreCheckedAlone(t *testing.T) {
	t.Parallel()
	var r random
	for name, draw := range map[string]func() (proof.Room, proof.Body){
		"rooms of all kinds": func() (proof.Room, proof.Body) {
			ref, parts := r.body()
			q := ask(r.hull(ref, parts), ref, parts...)
			return q.room, q.body
		},
		"beside boxes": func() (proof.Room, proof.Body) {
			half := r3.Vec{X: r.between(100, 200), Y: r.between(20, 60), Z: r.between(40, 80)}
			play := r3.Vec{X: r.between(2, 30), Z: r.between(2, 30)}
			hole := space.Rect{X0: -half.X - play.X, X1: half.X + play.X, Z0: -half.Z - play.Z, Z1: half.Z + play.Z}
			hull := space.Hull{First: -inf, Last: inf, Layers: []space.Layer{{Y1: r.between(1, 20), Holes: []space.Rect{hole}}}}
			for _, x := range []float64{-1, 1} {
				at := x * (half.X + play.X*r.between(-3, 1))
				b := box(min(at, x*300), r.between(-30, 0), -half.Z+r.between(-40, 20), max(at, x*300), 0, half.Z+r.between(-20, 40))
				b.Max.Y = b.Min.Y + r.between(1, 40)
				hull.Boxes = append(hull.Boxes, b)
			}
			q := ask(hull, r3.Vec{}, solid.Box(box(-half.X, -half.Y, -half.Z, half.X, half.Y, half.Z)))
			return q.room, q.body
		},
		"gates": func() (proof.Room, proof.Body) {
			p := r.pierced()
			return p.room, proof.Body{Parts: []*solid.Polyhedron{solid.Box(r3.Box{Min: r3.Scale(-1, p.half), Max: p.half})}}
		},
	} {
		r = newRandom(41)
		shut, open := 0, 0
		for range 120 {
			room, body := draw()
			looker, err := proof.NewLooker(&room, &body)
			if err != nil {
				t.Fatal(err)
			}
			ys := []float64{r.between(-200, 200), r.between(-200, 200), r.between(-60, 200), r.between(-60, 200)}
			slices.Sort(ys)
			for range 8 {
				var lo, hi [3]float64
				size := math.Pow(2, -float64(3+r.IntN(6)))
				for k := range lo {
					lo[k] = r.between(-0.3, 0.3-size)
					hi[k] = lo[k] + size
				}
				got, err := looker.Closed(0, lo, hi, ys...)
				if err != nil {
					t.Fatal(err)
				}
				for i, closed := range got {
					alone, err := proof.Closed(&room, &body, 0, lo, hi, ys[i], ys[i+1])
					if err != nil {
						t.Fatal(err)
					}
					if closed != alone {
						t.Errorf("%s: turns %v to %v, depths %v to %v: shut %v after others, %v alone", name, lo, hi, ys[i], ys[i+1], closed, alone)
					}
					if alone {
						shut++
					} else {
						open++
					}
				}
				a, b := [4]float64{lo[0], lo[1], lo[2], ys[0]}, [4]float64{hi[0], hi[1], hi[2], ys[0] + 1}
				alone, err := proof.Free(&room, &body, 0, a, b)
				if err != nil {
					t.Fatal(err)
				}
				if free := looker.Free(0, a, b); !slices.Equal(free, alone) {
					t.Errorf("%s: turns %v to %v, depth %v: %v free after others, %v alone", name, lo, hi, ys[0], free, alone)
				}
			}
		}
		if shut < 60 || open < 60 {
			t.Errorf("%s: only %d bands shut and %d not", name, shut, open)
		}
		t.Logf("%s: %d bands shut, %d not", name, shut, open)
	}
}
