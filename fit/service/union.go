package service

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// aboveRim is how far above the sump's rim a union goes, so that a hand gets round
// its nut: common practice, no source.
const aboveRim = 2 * unit.Inch

// hardPipe says where a pump is on hard pipe and nothing lets go of it.
func (g *graph) hardPipe(f *verdict.Finding, t scene.Thing) {
	if t.Kind != "pump" || len(t.Item.HeldBy) > 0 {
		return
	}
	for _, q := range g.s.Things() {
		if q.Kind != "pipe" || q.Soft || len(q.Item.HeldBy) > 0 || !joined(t, q) {
			continue
		}
		at, above := g.unionAt(q)
		f.Verdict = verdict.Worst(f.Verdict, verdict.Tight)
		f.Summary += "; " + q.Name + " is hard pipe without a union, so it has to be cut first: put a union into it "
		if above > 0 {
			f.Summary += g.s.Units.Length(above) + " above the sump's rim"
		} else {
			f.Summary += "where it is marked, and name it under held-by"
		}
		f.Measures = append(f.Measures, verdict.Measure{Key: "union_mm", Value: []float64{at.X, at.Y, at.Z}})
		f.Marks = append(f.Marks, scene.Mark{From: at, To: at, Label: "union", Parts: []string{q.Parts[0].Name}})
		return
	}
}

// joined tells whether a pump is on a pipe: they touch within the tape, or one
// names the other.
func joined(pump, pipe scene.Thing) bool {
	if slices.Contains(pump.On, pipe.Name) || slices.Contains(pipe.On, pump.Name) {
		return true
	}
	for _, a := range pump.Parts {
		for _, b := range pipe.Parts {
			if solid.Distance(a.Solid, b.Solid).Dist <= max(pump.Tape, pipe.Tape, verdict.Contact).MM() {
				return true
			}
		}
	}
	return false
}

// unionAt returns where a union would go into a pipe: where it rises past the
// height at which a hand gets round it, else in the middle of its longest run.
// Above is how far over the sump's rim that is; 0 where it is not.
func (g *graph) unionAt(pipe scene.Thing) (at r3.Vec, above unit.Length) {
	longest := 0.0
	for _, p := range pipe.Parts {
		c, ok := p.Solid.(*solid.Cylinder)
		if !ok {
			if longest == 0 {
				at = middle(p.Solid.Bounds())
			}
			continue
		}
		if g.s.Sump != nil {
			h := rimTop(g.s.Sump) + aboveRim.MM()
			if t := (h - c.A.Z) / (c.B.Z - c.A.Z); t >= 0 && t <= 1 && !math.IsInf(t, 0) {
				return r3.Add(c.A, r3.Scale(t, r3.Sub(c.B, c.A))), aboveRim
			}
		}
		if l := r3.Norm(r3.Sub(c.B, c.A)); l > longest {
			longest, at = l, r3.Scale(0.5, r3.Add(c.A, c.B))
		}
	}
	return at, 0
}

// rimTop returns the height of the sump's upper edge, its rim included.
func rimTop(s *scene.Sump) float64 { return boundsOf(s.Carried()).Max.Z }
