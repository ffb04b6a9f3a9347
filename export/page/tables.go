package page

import (
	"strconv"

	"undercroft/fit/glass"
	"undercroft/fit/water"
	"undercroft/fit/weight"
	"undercroft/scene/unit"
)

// A table is figures under headings; the first cell of a row names it.
type table struct {
	Caption string
	Head    []string
	Rows    [][]string
	Note    string
}

// unknown stands in a cell for what the plan does not tell.
const unknown = "not known"

func (b *builder) tables() []table {
	var ts []table
	if t := b.volumes(); len(t.Rows) > 0 {
		ts = append(ts, t)
	}
	if t := b.weights(); len(t.Rows) > 0 {
		ts = append(ts, t)
	}
	return ts
}

// volumes tells how deep the water stands and how much of it there is.
func (b *builder) volumes() table {
	s, f := b.Scene, water.Compute(b.Scene)
	t := table{
		Caption: "Water, depth over the inside bottom and volume",
		Head:    []string{"where", "pump running", "pump off", "full to the brim"},
	}
	volume := func(v *unit.Volume) string {
		if v == nil {
			return unknown
		}
		return s.Units.Volume(*v)
	}
	cell := func(l *water.Levels, i int) string {
		if l == nil {
			return unknown
		}
		return s.Units.Length(l.Depth[i]) + ", " + s.Units.Volume(l.Volume[i])
	}
	trap := 0
	for i, sp := range f.Spaces {
		name := "chamber " + strconv.Itoa(sp.Number)
		if sp.Number == 0 {
			trap++
			name = "bubble trap, slot " + strconv.Itoa(trap)
		}
		t.Rows = append(t.Rows, []string{name, cell(f.Running, i), cell(f.PumpOff, i), cell(f.BrimFull, i)})
	}
	if len(f.Spaces) > 0 {
		total := func(l *water.Levels) string {
			if l == nil {
				return unknown
			}
			return s.Units.Volume(l.Total)
		}
		t.Rows = append(t.Rows, []string{"all of the sump", total(f.Running), total(f.PumpOff), total(f.BrimFull)})
	}
	if s.Display != nil {
		t.Rows = append(t.Rows, []string{"display", volume(f.Display.Running), volume(f.Display.PumpOff), volume(f.Display.BrimFull)})
	}
	if f.Drained != nil {
		t.Note = s.Units.Volume(*f.Drained) + " come down when the pump stops."
	}
	return t
}

// weights tells what everything weighs in each state.
func (b *builder) weights() table {
	s, l := b.Scene, weight.Compute(b.Scene)
	t := table{Caption: "Weight", Head: []string{"what"}}
	for _, st := range weight.States {
		t.Head = append(t.Head, st.String())
	}
	row := func(name string, mass func(weight.State) (unit.Mass, bool)) {
		cells := []string{name}
		for _, st := range weight.States {
			if m, known := mass(st); known {
				cells = append(cells, s.Units.Mass(m))
			} else {
				cells = append(cells, unknown)
			}
		}
		t.Rows = append(t.Rows, cells)
	}
	names := []string{"cabinet"}
	if s.Display != nil {
		names = append(names, "display")
	}
	for _, thing := range s.Things() {
		names = append(names, thing.Name)
	}
	for _, n := range names {
		row(n, func(st weight.State) (unit.Mass, bool) {
			m, _, known := l.Of(n, st)
			return m, known
		})
	}
	row("all", func(st weight.State) (unit.Mass, bool) {
		m, _, known := l.Total(st)
		return m, known
	})
	if len(l.LeftOut) > 0 {
		t.Note = "Where a weight is not known, the plan lacks"
		for i, left := range l.LeftOut {
			if i > 0 {
				t.Note += ","
			}
			t.Note += " " + left.Add
		}
		t.Note += "."
	}
	return t
}

// A cutList is what goes to the glass shop.
type cutList struct {
	Table table
	Notes []string
}

func (b *builder) cutList() *cutList {
	s, l := b.Scene, glass.Cut(b.Scene)
	if len(l.Pieces) == 0 {
		return nil
	}
	t := table{Caption: "Panes, annealed float glass, all edges seamed", Head: []string{"pane", "width", "height", "thickness", "from the inlet end", "lower edge"}}
	for _, p := range l.Pieces {
		up := "on the bottom"
		if p.Raised {
			up = s.Units.Length(p.Up) + " above the bottom"
		}
		t.Rows = append(t.Rows, []string{p.Name, s.Units.Length(p.Width), s.Units.Length(p.Height), glass.Name(s.Units, p.Thickness), s.Units.Length(p.At), up})
	}
	t.Note = s.Units.Mass(l.Mass) + " of glass; " + s.Units.Length(l.Allowance) + " off the inside width of " + s.Units.Length(l.Inside) + " for the silicone."
	return &cutList{t, l.Notes}
}
