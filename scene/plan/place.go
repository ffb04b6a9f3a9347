package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawAt is a place by faces: of each axis one face or the other.
type rawAt struct{ left, right, front, back, up, down val[unit.Length] }

var (
	leftKey = key("left", func(a *rawAt) *val[unit.Length] { return &a.left }, offset,
		"From the left.")
	rightKey = key("right", func(a *rawAt) *val[unit.Length] { return &a.right }, offset,
		"From the right.")
	frontKey = key("front", func(a *rawAt) *val[unit.Length] { return &a.front }, offset,
		"From the front.")
	backKey = key("back", func(a *rawAt) *val[unit.Length] { return &a.back }, offset,
		"From the back.")
	upKey = key("up", func(a *rawAt) *val[unit.Length] { return &a.up }, offset,
		"From below.")
	downKey = key("down", func(a *rawAt) *val[unit.Length] { return &a.down }, offset,
		"From above.")
)

var (
	// atShape places a thing by the nearest faces of the box round it.
	atShape = object("a place by faces, as {left: 4, front: 1 1/2}",
		leftKey, rightKey, frontKey, backKey, upKey, downKey).checked(oneFacePerAxis).described(apart)
	// pointShape is a point: a face of each axis.
	pointShape = object("a point by faces, as {left: 4, front: 2, up: 10}",
		leftKey, rightKey, frontKey, backKey, upKey, downKey).checked(allAxes).described(eachAxis)
	// topAtShape places a thing that stands on something.
	topAtShape = object("a place by faces, as {left: 1/4, front: 1/4}",
		leftKey, rightKey, frontKey, backKey).checked(oneFacePerAxis).described(apart)
)

// checked looks at what was read for what its parts say together.
func (s shape[T]) checked(check func(r *reader, v T, at where) bool) shape[T] {
	read := s.read
	s.read = func(r *reader, n *node, at where) (T, bool) {
		v, ok := read(r, n, at)
		if ok {
			ok = check(r, v, at)
		}
		return v, ok
	}
	return s
}

// described adds to the schema what can be said there of how keys go together.
func (s shape[T]) described(more func(*schema)) shape[T] {
	describe := s.describe
	s.describe = func() *schema {
		out := describe()
		more(out)
		return out
	}
	return s
}

// has describes a table with these keys.
func has(keys ...string) *schema { return &schema{Required: keys} }

// apart tells that of two faces one is given at most.
func apart(s *schema) {
	for _, axis := range [][]string{{"left", "right"}, {"front", "back"}, {"up", "down"}} {
		s.AllOf = append(s.AllOf, &schema{Not: has(axis...)})
	}
}

// eachAxis tells that of two faces one is given.
func eachAxis(s *schema) {
	apart(s)
	for _, axis := range [][]string{{"left", "right"}, {"front", "back"}, {"up", "down"}} {
		s.AllOf = append(s.AllOf, &schema{AnyOf: []*schema{has(axis[0]), has(axis[1])}})
	}
}

func oneFacePerAxis(r *reader, a *rawAt, _ where) bool {
	ok := true
	for _, axis := range []struct {
		low, high val[unit.Length]
		names     string
	}{{a.left, a.right, "left and right"}, {a.front, a.back, "front and back"}, {a.up, a.down, "up and down"}} {
		if axis.low.given && axis.high.given {
			r.fail(axis.high.at, axis.names+" are both given", "keep the one you measured from", axis.low.at)
			ok = false
		}
	}
	return ok
}

func allAxes(r *reader, a *rawAt, at where) bool {
	ok := oneFacePerAxis(r, a, at)
	for _, axis := range []struct {
		low, high val[unit.Length]
		names     string
	}{{a.left, a.right, "left or right"}, {a.front, a.back, "front or back"}, {a.up, a.down, "up or down"}} {
		if !axis.low.given && !axis.high.given {
			r.fail(at, axis.names+" is missing", "a point needs all three, as {left: 4, front: 2, up: 10}")
			ok = false
		}
	}
	return ok
}

// nanometre rounds a coordinate in mm to whole nanometres, as lengths are read.
func nanometre(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }

// toNanometre rounds a length that was computed to whole nanometres.
func toNanometre(l unit.Length) unit.Length { return unit.Length(nanometre(l.MM())) }

func rounded(v r3.Vec) r3.Vec {
	return r3.Vec{X: nanometre(v.X), Y: nanometre(v.Y), Z: nanometre(v.Z)}
}

// place returns the lower left front corner of a box of the given size that
// stands in room as a says: on a horizontal axis left out it is centred, on the
// vertical one it stands on the room's bottom.
func (a *rawAt) place(room r3.Box, size r3.Vec) r3.Vec {
	along := func(low, high val[unit.Length], from, to, size, otherwise float64) float64 {
		switch {
		case low.ok:
			return from + low.v.MM()
		case high.ok:
			return to - high.v.MM() - size
		}
		return otherwise
	}
	return rounded(r3.Vec{
		X: along(a.left, a.right, room.Min.X, room.Max.X, size.X, (room.Min.X+room.Max.X-size.X)/2),
		Y: along(a.front, a.back, room.Min.Y, room.Max.Y, size.Y, (room.Min.Y+room.Max.Y-size.Y)/2),
		Z: along(a.up, a.down, room.Min.Z, room.Max.Z, size.Z, room.Min.Z),
	})
}

// faces returns the faces that a counts from, in the order left, right, front,
// back, top, bottom.
func (a *rawAt) faces() []scene.Face {
	var out []scene.Face
	for _, f := range []struct {
		v    val[unit.Length]
		face scene.Face
	}{
		{a.left, scene.Left},
		{a.right, scene.Right},
		{a.front, scene.Front},
		{a.back, scene.Back},
		{a.down, scene.Top},
		{a.up, scene.Bottom},
	} {
		if f.v.ok {
			out = append(out, f.face)
		}
	}
	return out
}

// point returns the point that a names in room.
func (a *rawAt) point(room r3.Box) r3.Vec { return a.place(room, r3.Vec{}) }

// vec returns width, depth and height as a vector.
func vec(size []unit.Length) r3.Vec {
	if len(size) != 3 {
		return r3.Vec{}
	}
	return r3.Vec{X: size[0].MM(), Y: size[1].MM(), Z: size[2].MM()}
}

// boxAt returns the box of that size with its lower left front corner there.
func boxAt(corner, size r3.Vec) r3.Box {
	return r3.Box{Min: rounded(corner), Max: rounded(r3.Add(corner, size))}
}
