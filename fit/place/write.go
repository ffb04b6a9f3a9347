package place

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/arrange"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// A spot is where a mover is, as a plan tells it.
type spot struct {
	faces [2]scene.Face // left or right, front or back
	off   [3]int64      // where whole steps of the tape count from
}

// spots tells from which faces the places are measured: the nearer ones, or the
// walls that a thing is on.
func (t *trial) spots(at [][3]int64) []spot {
	out := make([]spot, len(at))
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	// What stands in the sump counts from where that is.
	home := t.at(t.home())
	if home >= 0 {
		order[0], order[home] = order[home], order[0]
	}
	for _, i := range order {
		s := t.stances[i]
		room := t.roomAt(i, at)
		lo, hi := [2]float64{room.Min.X, room.Min.Y}, [2]float64{room.Max.X, room.Max.Y}
		size := [2]float64{s.size.X, s.size.Y}
		for axis, f := range [][2]scene.Face{{scene.Left, scene.Right}, {scene.Front, scene.Back}} {
			x := mm(at[i][axis])
			far := hi[axis] - size[axis]
			face, off := f[0], lo[axis]
			if far-x < x-lo[axis] && !slices.Contains(s.walls, f[0]) || slices.Contains(s.walls, f[1]) {
				face, off = f[1], far
			}
			out[i].faces[axis], out[i].off[axis] = face, nm(off)
			if home >= 0 && t.movers[t.who[i]].chamber > 0 {
				out[i].off[axis] += out[home].off[axis] - at[home][axis]
			}
		}
		out[i].off[2] = nm(s.z)
		if s.hangs {
			out[i].off[2] = nm(room.Min.Z)
		}
	}
	return out
}

// roomAt returns from whose faces the place of a mover counts, with the movers at
// their places.
func (t *trial) roomAt(i int, at [][3]int64) r3.Box {
	m := &t.movers[t.who[i]]
	home := t.home()
	k := t.at(home)
	if m.chamber == 0 || home < 0 || k < 0 {
		return m.room
	}
	c := t.corner(home)
	by := r3.Sub(r3.Vec{X: mm(at[k][0]), Y: mm(at[k][1]), Z: mm(at[k][2])}, c)
	return r3.Box{Min: r3.Add(m.room.Min, by), Max: r3.Add(m.room.Max, by)}
}

// A Placed is a thing with the place that was found for it.
type Placed struct {
	Name string
	Key  string // of the thing in the plan
	// At says where it is, Turn how far it is turned; Wall on which wall it hangs
	// where the plan did not say so, On what it stands on where that is not the
	// bottom.
	At   string
	Turn int
	Wall string
	On   string
	// Stand is how high what it stands on has to be, so that it stands as deep in
	// the water as it works.
	Stand unit.Length
	// Spare is the least room round it, and Near to what.
	Spare unit.Length
	Near  string
	Edits []plan.Edit
}

// placed says where the movers are, as the plan is to say it.
func (t *trial) placed(at [][3]int64, spots []spot) []Placed {
	sys := t.scene.Units
	out := make([]Placed, len(at))
	for i := range at {
		m, s := &t.movers[t.who[i]], t.stances[i]
		room := t.roomAt(i, at)
		lo, hi := [2]float64{room.Min.X, room.Min.Y}, [2]float64{room.Max.X, room.Max.Y}
		size := [2]float64{s.size.X, s.size.Y}
		var keys []string
		for axis := range 2 {
			f := spots[i].faces[axis]
			d := mm(at[i][axis]) - lo[axis]
			if f == scene.Right || f == scene.Back {
				d = hi[axis] - size[axis] - mm(at[i][axis])
			}
			keys = append(keys, f.String()+": "+written(sys, unit.Length(d)))
		}
		p := Placed{Name: m.name, Key: m.key, On: s.on}
		up := mm(at[i][2]) - room.Min.Z
		if s.hangs || m.index >= 0 && math.Abs(m.up(s)) > tiny {
			if m.chamber > 0 {
				up = m.up(s)
				p.Stand = unit.Length(up)
			}
			keys = append(keys, "up: "+written(sys, unit.Length(up)))
		}
		p.At = strings.Join(keys, ", ")
		p.Edits = []plan.Edit{{Key: m.key + ".at", Value: "{" + p.At + "}"}}
		if s.turn != 0 && !m.turned {
			p.Turn = s.turn
			p.Edits = append(p.Edits, plan.Edit{Key: m.key + ".turn", Value: strconv.Itoa(s.turn)})
		}
		if s.adds {
			p.Wall = s.walls[0].String() + " wall"
			p.Edits = append(p.Edits, plan.Edit{Key: m.key + ".on", Value: listed(m.thing.On, p.Wall)})
		}
		out[i] = p
	}
	return out
}

// tiny is what rounding may do to a place in mm.
const tiny = 1e-6

// listed returns names as a plan lists them.
func listed(names []string, more string) string {
	if len(names) == 0 {
		return more
	}
	quoted := make([]string, 0, len(names)+1)
	for _, n := range append(slices.Clip(names), more) {
		quoted = append(quoted, strconv.Quote(n))
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}

// written returns a length as it stands in a plan: as a tape reads where that is
// exact.
func written(sys unit.System, l unit.Length) string {
	l = unit.Length(mm(nm(l.MM())))
	text := strings.TrimSuffix(sys.Fine(l), " "+sys.String())
	if back, err := unit.ParseLength(text, sys); err == nil && back == l {
		return text
	}
	return strconv.FormatFloat(l.MM(), 'f', -1, 64) + " mm"
}

// onTape moves the places of an answer to where a tape can tell them.
func (t *trial) onTape(search *arrange.Search, a arrange.Answer) ([]Placed, bool) {
	spots := t.spots(a.At)
	offs := make([][3]int64, len(spots))
	for i := range spots {
		offs[i] = spots[i].off
	}
	at, ok := search.OnGrid(a, nm(step(t.scene.Units).MM()), offs)
	if !ok {
		return nil, false
	}
	return t.placed(at, spots), true
}
