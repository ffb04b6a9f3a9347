package reach

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/human"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// An obstacle is what a hand must not touch.
type obstacle struct {
	scene.Part
	box  r3.Box // round its solid
	tape float64
}

// A world is what is there while a hand reaches through one opening: its doors
// open, the others closed.
type world struct {
	opening        *scene.Opening
	right, up, out r3.Vec // as a person sees it who stands before the opening
	outside        r3.Box // the cabinet's outside
	zone           r3.Box // that and the open doors, as far as a hand comes from straight before them
	obstacles      []obstacle
	// last is the obstacle that was last too near: it is looked at first.
	last   int
	bounds []float64 // how near each may be, while one solid is looked at
}

// worldsOf returns a world for each opening a hand can use.
func worldsOf(s *scene.Scene, gone []string) []*world {
	var out []*world
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		if o.BeforeDisplay && s.Display != nil {
			continue // the display stands while things are lived with
		}
		out = append(out, worldOf(s, o, gone))
	}
	return out
}

func worldOf(s *scene.Scene, o *scene.Opening, gone []string) *world {
	w := &world{opening: o, outside: r3.Box{Max: r3.Vec{X: s.Cabinet.Width.MM(), Y: s.Cabinet.Depth.MM(), Z: s.Cabinet.Height.MM()}}}
	w.right, w.up, w.out = before(o.Side)
	parts := append(s.RoomParts(), s.Cabinet.Panels()...)
	w.zone = w.outside
	for i := range s.Cabinet.Openings {
		c := &s.Cabinet.Openings[i]
		var leaves []scene.Part
		if c == o {
			leaves = s.Leaves(c, s.DoorAngle(c))
			for _, l := range leaves {
				w.zone = around(w.zone, l.Solid.Bounds())
			}
		} else {
			leaves = s.Leaves(c, 0)
		}
		parts = append(append(parts, leaves...), s.Hinges(c)...)
	}
	w.zone = w.reachable(s, w.zone)
	parts = append(append(parts, s.StandParts()...), s.Fixtures()...)
	if s.Display != nil {
		parts = append(parts, s.Display.Panes()...)
	}
	tapes := map[string]unit.Length{o.Name: o.Tape}
	for i := range s.Cabinet.Fixtures {
		tapes[s.Cabinet.Fixtures[i].Name] = s.Cabinet.Fixtures[i].Tape
	}
	for _, t := range s.Things() {
		if t.Soft {
			continue // it bends aside
		}
		tapes[t.Name] = t.Tape
		parts = append(parts, t.Parts...)
	}
	for _, p := range parts {
		if slices.Contains(gone, p.Of) || slices.Contains(gone, p.Name) {
			continue
		}
		w.obstacles = append(w.obstacles, obstacle{Part: p, box: p.Solid.Bounds(), tape: max(s.Tape, tapes[p.Of]).MM()})
	}
	return w
}

// before returns the frame of who stands before a side of the cabinet; above
// its top, as seen from the front.
func before(side scene.Face) (right, up, out r3.Vec) {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	minus := func(v r3.Vec) r3.Vec { return r3.Scale(-1, v) }
	switch side {
	case scene.Front:
		return x, z, minus(y)
	case scene.Back:
		return minus(x), z, y
	case scene.Left:
		return minus(y), z, minus(x)
	case scene.Right:
		return y, z, x
	case scene.Top:
		return x, y, z
	case scene.Bottom:
	}
	return x, minus(y), minus(z)
}

// around returns the box round a and b.
func around(a, b r3.Box) r3.Box {
	return solid.BoundsOf(solid.Box(a), solid.Box(b))
}

// reachable cuts off of zone what is nearer to the wall opposite than a person
// takes up.
func (w *world) reachable(s *scene.Scene, zone r3.Box) r3.Box {
	or := func(l *unit.Length, otherwise unit.Length) float64 {
		if l != nil {
			otherwise = *l
		}
		return max(0, otherwise.MM()-human.Depth)
	}
	const far = 10 * unit.Metre
	zone.Min.Y = max(zone.Min.Y, w.outside.Min.Y-or(s.Room.Front, scene.AssumedFront))
	zone.Max.Y = min(zone.Max.Y, w.outside.Max.Y+or(s.Room.Back, far))
	zone.Min.X = max(zone.Min.X, w.outside.Min.X-or(s.Room.Left, far))
	zone.Max.X = min(zone.Max.X, w.outside.Max.X+or(s.Room.Right, far))
	return zone
}

// on reports whether p belongs to what a place is on, which a hand may touch.
func on(at scene.Place, p scene.Part) bool {
	if at.On == "" {
		return false
	}
	thing, _, _ := strings.Cut(at.On, "/")
	return p.Of == thing || p.Name == at.On
}

// A room is what a part of the arm has to everything else.
type room struct {
	// beyond is the least that is left of any distance once the tape's error is
	// taken off; free is the least distance itself.
	beyond, free float64
	nearest      *obstacle
}

var allFree = room{beyond: math.Inf(1), free: math.Inf(1)}

// and returns the less of both.
func (r room) and(o room) room {
	if o.beyond < r.beyond {
		r.beyond = o.beyond
		if o.nearest != nil {
			r.nearest = o.nearest
		}
	}
	r.free = min(r.free, o.free)
	return r
}

// about returns the room about s, or something below enough once it is clear
// that there is less. What skip says is not there.
func (w *world) about(s solid.Solid, enough float64, skip func(scene.Part) bool) room {
	r := allFree
	b := s.Bounds()
	w.bounds = w.bounds[:0]
	for i := range w.obstacles {
		w.bounds = append(w.bounds, apart(b, w.obstacles[i].box))
	}
	// The obstacle that was last too near first, then whichever may be nearest.
	for next := w.last; next >= 0; {
		i, bound := next, w.bounds[next]
		w.bounds[i] = math.Inf(1)
		o := &w.obstacles[i]
		if bound < max(r.free, r.beyond+o.tape) && (skip == nil || !skip(o.Part)) {
			d := solid.Distance(s, o.Solid).Low
			r = r.and(room{d - o.tape, d, o})
			if r.beyond < enough {
				w.last = i
				return r
			}
		}
		next = -1
		for j, v := range w.bounds {
			if v < r.free || v < r.beyond+w.obstacles[j].tape {
				if next < 0 || v < w.bounds[next] {
					next = j
				}
			}
		}
	}
	return r
}

// apart returns a lower bound of the signed distance of what is in two boxes.
func apart(p, q r3.Box) float64 {
	x := max(q.Min.X-p.Max.X, p.Min.X-q.Max.X)
	y := max(q.Min.Y-p.Max.Y, p.Min.Y-q.Max.Y)
	z := max(q.Min.Z-p.Max.Z, p.Min.Z-q.Max.Z)
	if m := max(x, y, z); m <= 0 {
		return math.Inf(-1)
	}
	x, y, z = max(x, 0), max(y, 0), max(z, 0)
	return math.Sqrt(x*x + y*y + z*z)
}
