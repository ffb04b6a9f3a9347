package passage

import (
	"fmt"
	"os"
	"testing"
	"time"

	"undercroft/scene/plan"
)

func TestDemo(t *testing.T) {
	data, _ := os.ReadFile("../../assets/demo/fails.yaml")
	s, err := plan.Read("fails.yaml", data)
	if err != nil {
		t.Fatal(err)
	}
	for _, th := range s.Things()[:1] {
		for _, g := range th.Groups {
			j := JobOf(s, th, g, &s.Cabinet.Openings[0])
			p := j.pose()
			for _, m := range []mesh{coarse, medium, fine} {
				t0 := time.Now()
				_, ok := p.search(t.Context(), 0.02, m)
				fmt.Println(g.Name, ok, time.Since(t0), len(p.blocks(1)))
			}
			for _, b := range []budget{{6000, 30000}, {6000, 100000}} {
				t0 := time.Now()
				r, ok := p.refute(t.Context(), 1.6, b)
				bb := p.bounds()
				fmt.Println(g.Name, ok, r.kind, r.y, r.cells, time.Since(t0), len(bb.boxes), bb.closed)
			}
		}
	}
}
