// Package sensitivity tells what an error of the tape costs: how much room a
// finding loses when one measurement of the plan is off by a step, and which
// measurements turn a verdict.
//
// Each measurement is changed in the plan by a step either way, the plan is read
// anew, so that all that hangs on it moves with it, and what can be judged exactly
// again in little time is: rooms at rest and water. Of a way in, the way that was
// found is measured again in the changed plan, and where it loses room, another is
// looked for, briefly: what is lost then is an upper bound. What has no such
// answer is listed with the reason.
package sensitivity

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
	"golang.org/x/sync/errgroup"

	"undercroft/fit/gap"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// Step is the error that is asked about: what a tape tells apart in a system of
// units, 1/16 in or 1 mm.
func Step(u unit.System) unit.Length {
	if u == unit.Inches {
		return unit.Inch / 16
	}
	return unit.Millimetre
}

// A Measurement is one length of a plan with what an error of it costs.
type Measurement struct {
	Key     string // key path in the plan
	Value   unit.Length
	Effects []Effect // the greatest loss first
	// Untried tells that nobody looked what an error of it costs, or not to the end.
	Untried bool
}

// Decides tells whether a step turns a verdict.
func (m *Measurement) Decides() bool {
	return slices.ContainsFunc(m.Effects, func(e Effect) bool { return e.Turned != e.Is })
}

// An Effect is what an error of one measurement does to one finding.
type Effect struct {
	ID   string          // of the finding
	Is   verdict.Verdict // as the plan stands
	Lost unit.Length     // room lost by a step the wrong way; 0 where none is
	// Larger tells that room is lost where the true length is larger than
	// measured, otherwise where it is smaller.
	Larger bool
	// Turned is the verdict after a step either way that changes it, the worse
	// one where both do; as Is where neither does. TurnedLarger tells which way.
	Turned       verdict.Verdict
	TurnedLarger bool
	// AtMost tells that Lost is that of the way in that was found: another way may
	// lose less, and what is Turned is about that way alone.
	AtMost bool
}

// An Unknown is a finding for which it is not known what an error costs.
type Unknown struct{ ID, Why string }

// A Table is what errors cost in a plan.
type Table struct {
	Step         unit.Length
	Measurements []Measurement // in the order of the plan; those without effect too
	Unknown      []Unknown     // in the order of the findings
}

// Stopped returns the measurements that were left untried when a context ended.
func (t *Table) Stopped() []Measurement {
	return slices.DeleteFunc(slices.Clone(t.Measurements), func(m Measurement) bool { return !m.Untried })
}

// Of computes the table of a plan: d is its draft, s what it reads as, found what
// was found about it. A context that ends leaves measurements untried.
func Of(ctx context.Context, d *plan.Draft, s *scene.Scene, found []verdict.Finding) (*Table, error) {
	all, err := lengths(d, s.Units)
	if err != nil {
		return nil, err
	}
	t := &Table{Step: Step(s.Units), Measurements: all}
	ways := waysOf(found)
	base := judge(ctx, s, ways, nil)
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range all {
		g.Go(func() error {
			var after [2]map[string]state
			for k, sign := range []unit.Length{-1, 1} {
				states, err := changed(ctx, d, &all[i], all[i].Value+sign*t.Step, ways, base)
				if err != nil {
					return err
				}
				if ended(ctx) { // what was searched meanwhile was not searched to its end
					all[i].Untried = true
					return nil
				}
				after[k] = states
			}
			all[i].Effects = effects(found, base, after)
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	t.Unknown = unknown(found, base)
	return t, nil
}

func ended(ctx context.Context) bool { return ctx.Err() != nil }

// A state is what matters of a finding: its verdict and its room. NaN is a room
// that is not known.
type state struct {
	verdict verdict.Verdict
	room    float64 // mm
	atMost  bool
}

// A way is one that was found, to be measured again.
type way struct {
	id     string
	motion scene.Motion
}

func waysOf(found []verdict.Finding) []way {
	var out []way
	for _, f := range found {
		if !strings.HasPrefix(f.ID, "passage/") {
			continue
		}
		for _, m := range f.Motions {
			out = append(out, way{f.ID, m})
		}
	}
	return out
}

// changed judges the plan with one measurement changed; nil where it cannot be
// read so.
func changed(ctx context.Context, d *plan.Draft, m *Measurement, to unit.Length, ways []way, base map[string]state) (map[string]state, error) {
	if ended(ctx) {
		return nil, nil //nolint:nilnil // the caller looks why
	}
	e, err := d.With(plan.Edit{Key: m.Key, Value: strconv.FormatFloat(to.MM(), 'f', -1, 64) + " mm"})
	if err != nil {
		return nil, err
	}
	s, err := e.Read()
	if err != nil {
		return nil, nil //nolint:nilerr,nilnil // a plan that this error would make impossible says nothing
	}
	return judge(ctx, s, ways, base), nil
}

// judge returns the states of what is judged anew. Ways that are worse than in
// base, where there is one, are looked for again.
func judge(ctx context.Context, s *scene.Scene, ways []way, base map[string]state) map[string]state {
	out := map[string]state{}
	for _, f := range slices.Concat(gap.Check(s).Checks, water.Check(s).Checks) {
		out[f.ID] = state{verdict: f.Verdict, room: room(&f)}
	}
	for _, w := range ways {
		was, compared := base[w.id]
		st := along(ctx, s, &w.motion, was, compared)
		if was, ok := out[w.id]; ok { // of the groups of a thing the worst counts
			st.verdict, st.room = verdict.Worst(was.verdict, st.verdict), min(was.room, st.room)
		}
		out[w.id] = st
	}
	return out
}

// room returns the room of a finding in mm.
func room(f *verdict.Finding) float64 {
	for _, key := range []string{"spare_mm", "spare_to_brim_mm"} {
		for _, m := range f.Measures {
			if v, ok := m.Value.(float64); ok && m.Key == key {
				return v
			}
		}
	}
	if f.Verdict == verdict.OK {
		return f.Room // how far it is from being worse
	}
	return math.NaN()
}

// along measures a known way in a scene, and looks for another where it is worse
// than it was. Where none keeps clear, the room is not known.
func along(ctx context.Context, s *scene.Scene, m *scene.Motion, was state, compared bool) state {
	t, ok := s.Thing(m.Thing)
	o, open := s.Cabinet.Opening(m.Through)
	if !ok || !open {
		return state{room: math.NaN(), atMost: true}
	}
	for _, g := range t.Groups {
		if len(g.Parts) == 0 || g.Parts[0].Name != m.Parts[0] {
			continue
		}
		job := passage.JobOf(s, t, g, o)
		w := job.Along(m.Path, slices.Contains(m.Absent, m.Through))
		st := stateOf(&w, job.Tape)
		if compared && !(st.room >= was.room-leastLoss && st.verdict.Rank() <= was.verdict.Rank()) {
			other := job.Decide(passage.Briefly(ctx))
			if o := stateOf(&other, job.Tape); o.verdict.Rank() < st.verdict.Rank() || !(o.room <= st.room) {
				st = o
			}
		}
		return st
	}
	return state{room: math.NaN(), atMost: true}
}

// stateOf returns the state of a way. Room beyond what is wanted is not counted: a
// search that has found enough leaves the rest to chance.
func stateOf(w *passage.Way, tape unit.Length) state {
	if !w.Going() {
		return state{verdict: w.Verdict, room: math.NaN(), atMost: true}
	}
	return state{verdict: w.Verdict, room: min(w.Margin.Lo, max(w.Wanted, tape)).MM(), atMost: true}
}

// leastLoss is the loss in mm below which a measurement has no part in a room:
// what the measuring of ways may be off by.
const leastLoss = 0.02

// effects compares the states after a step down and up with those before.
func effects(found []verdict.Finding, base map[string]state, after [2]map[string]state) []Effect {
	var out []Effect
	for _, f := range found {
		was, ok := base[f.ID]
		if !ok {
			continue
		}
		e := Effect{ID: f.ID, Is: was.verdict, Turned: was.verdict, AtMost: was.atMost}
		for k, states := range after {
			is, ok := states[f.ID]
			if !ok {
				continue
			}
			if lost := unit.Length(was.room - is.room); lost > max(e.Lost, leastLoss) {
				e.Lost, e.Larger = lost, k == 1
			}
			if is.verdict != was.verdict && (e.Turned == e.Is || is.verdict.Rank() > e.Turned.Rank()) {
				e.Turned, e.TurnedLarger = is.verdict, k == 1
			}
		}
		if e.Lost > 0 || e.Turned != e.Is {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b Effect) int { return cmp.Compare(b.Lost, a.Lost) })
	return out
}

// unknown lists the findings that rest on lengths but are not judged anew.
func unknown(found []verdict.Finding, base map[string]state) []Unknown {
	var out []Unknown
	for _, f := range found {
		family, _, _ := strings.Cut(f.ID, "/")
		_, judged := base[f.ID]
		switch {
		case judged:
		case family == "passage" && f.Verdict == verdict.No:
			out = append(out, Unknown{f.ID, "there is no way to measure; the proof would have to be found anew"})
		case family == "passage":
			out = append(out, Unknown{f.ID, "no way was found to measure"})
		case family == "service" && f.ID != "service/order":
			out = append(out, Unknown{f.ID, "taking out would have to be searched anew"})
		case family == "reach":
			out = append(out, Unknown{f.ID, "the hand’s way would have to be searched anew"})
		}
	}
	return out
}

// The tables of a plan whose lengths are measured with a tape in the cabinet, and
// the keys of lengths in them.
var (
	measured = []string{"room", "cabinet", "display", "sump", "equipment"}
	isLength = []string{
		"at", "back", "below-top", "bottom", "ceiling", "clear", "depth", "down", "drains-to", "drops", "foot", "front", "gap", "glass",
		"height", "in", "left", "level", "lifts", "out", "overlap", "right", "round", "sides", "sill", "size", "sticks-in", "tall",
		"thickness", "top", "up", "wall", "water", "width",
	}
)

// lengths lists the measurements of a plan in its order.
func lengths(d *plan.Draft, u unit.System) ([]Measurement, error) {
	text, err := d.YAML()
	if err != nil {
		return nil, err
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		return nil, err
	}
	var out []Measurement
	var walk func(n *yaml.Node, path, key string)
	walk = func(n *yaml.Node, path, key string) {
		switch n.Kind {
		case yaml.MappingNode:
			for i := 0; i+1 < len(n.Content); i += 2 {
				k := n.Content[i].Value
				switch {
				case path != "":
					walk(n.Content[i+1], path+"."+k, k)
				case slices.Contains(measured, k):
					walk(n.Content[i+1], k, k)
				}
			}
		case yaml.SequenceNode:
			for i, item := range n.Content {
				walk(item, path+"["+strconv.Itoa(i)+"]", key)
			}
		case yaml.ScalarNode:
			if !slices.Contains(isLength, key) {
				return
			}
			if l, err := unit.ParseLength(n.Value, u); err == nil {
				out = append(out, Measurement{Key: path, Value: l})
			}
		case yaml.DocumentNode, yaml.AliasNode:
		}
	}
	for _, n := range doc.Content {
		walk(n, "", "")
	}
	return out, nil
}
