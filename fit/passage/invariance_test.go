package passage_test

import (
	"context"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/fit/internal/verify"
	"undercroft/fit/passage"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// moved returns a scene with every point where a map takes it, which maps boxes
// along the axes to such, and sides to sides. A mirrored door hangs on its other
// side.
func moved(s *scene.Scene, to func(r3.Vec) r3.Vec, sides map[scene.Face]scene.Face, mirrored bool) *scene.Scene {
	side := func(f scene.Face) scene.Face {
		if g, ok := sides[f]; ok {
			return g
		}
		return f
	}
	boxed := func(b r3.Box) r3.Box {
		p, q := to(b.Min), to(b.Max)
		return box(min(p.X, q.X), min(p.Y, q.Y), min(p.Z, q.Z), max(p.X, q.X), max(p.Y, q.Y), max(p.Z, q.Z))
	}
	body := func(b scene.Body) scene.Body {
		if c, ok := b.Solid.(*solid.Cylinder); ok {
			b.Solid = &solid.Cylinder{A: to(c.A), B: to(c.B), Radius: c.Radius}
		} else {
			b.Solid = solid.Box(boxed(b.Solid.Bounds()))
		}
		return b
	}
	out := *s
	c := &out.Cabinet
	panel := func(f scene.Face) scene.Panel { return s.Cabinet.Wall(side(f)) } // each map undoes itself
	c.Front, c.Back, c.Left, c.Right = panel(scene.Front), panel(scene.Back), panel(scene.Left), panel(scene.Right)
	walls := map[scene.Face]*unit.Length{scene.Front: s.Room.Front, scene.Back: s.Room.Back, scene.Left: s.Room.Left, scene.Right: s.Room.Right}
	out.Room.Front, out.Room.Back = walls[side(scene.Front)], walls[side(scene.Back)]
	out.Room.Left, out.Room.Right = walls[side(scene.Left)], walls[side(scene.Right)]
	c.Openings = slices.Clone(c.Openings)
	for i := range c.Openings {
		o := &c.Openings[i]
		o.Side, o.Hole = side(o.Side), boxed(o.Hole)
		if o.Door != nil && mirrored {
			d := *o.Door
			switch d.Hinge {
			case scene.HingeLeft:
				d.Hinge = scene.HingeRight
			case scene.HingeRight:
				d.Hinge = scene.HingeLeft
			case scene.HingePair, scene.HingeTop, scene.HingeBottom:
			}
			o.Door = &d
		}
	}
	c.Fixtures = slices.Clone(c.Fixtures)
	for i := range c.Fixtures {
		c.Fixtures[i].Bodies = []scene.Body{body(c.Fixtures[i].Bodies[0])}
	}
	if s.Sump != nil {
		p := *s.Sump
		p.Box = boxed(p.Box)
		out.Sump = &p
	}
	out.Equipment = slices.Clone(s.Equipment)
	for i := range out.Equipment {
		e := &out.Equipment[i]
		e.Bodies = slices.Clone(e.Bodies)
		for k := range e.Bodies {
			e.Bodies[k] = body(e.Bodies[k])
		}
	}
	return &out
}

func mirrored(s *scene.Scene) *scene.Scene {
	w := s.Cabinet.Width.MM()
	return moved(s, func(v r3.Vec) r3.Vec { v.X = w - v.X; return v },
		map[scene.Face]scene.Face{scene.Left: scene.Right, scene.Right: scene.Left}, true)
}

func fromBehind(s *scene.Scene) *scene.Scene {
	w, d := s.Cabinet.Width.MM(), s.Cabinet.Depth.MM()
	return moved(s, func(v r3.Vec) r3.Vec { v.X, v.Y = w-v.X, d-v.Y; return v },
		map[scene.Face]scene.Face{
			scene.Left: scene.Right, scene.Right: scene.Left, scene.Front: scene.Back, scene.Back: scene.Front,
		}, false)
}

// smaller returns a scene in which the thing is smaller by what by says, within
// what it was.
func smaller(d drawn, by func(side float64) float64) *scene.Scene {
	out := *d.Scene
	cut := func(b r3.Box) r3.Box {
		b.Min.X += by(b.Max.X - b.Min.X)
		b.Max.X -= by(b.Max.X - b.Min.X)
		b.Min.Y += by(b.Max.Y - b.Min.Y)
		b.Max.Z -= by(b.Max.Z - b.Min.Z)
		return b
	}
	if d.thing == "sump" {
		p := *out.Sump
		p.Box = cut(p.Box)
		out.Sump = &p
		return &out
	}
	out.Equipment = slices.Clone(out.Equipment)
	last := &out.Equipment[len(out.Equipment)-1]
	last.Bodies = slices.Clone(last.Bodies)
	for k := range last.Bodies {
		last.Bodies[k].Solid = solid.Box(cut(last.Bodies[k].Solid.Bounds()))
	}
	return &out
}

// bare returns a scene without fixtures, doors and what else stands there.
func bare(d drawn) *scene.Scene {
	out := *d.Scene
	out.Cabinet.Fixtures = nil
	out.Cabinet.Openings = slices.Clone(out.Cabinet.Openings)
	out.Cabinet.Openings[0].Door = nil
	if d.thing != "sump" {
		out.Equipment = out.Equipment[len(out.Equipment)-1:]
	}
	return &out
}

// TestInvariances has no answer about a scene contradict that about its like. Not
// all are decided in the little time they get; what was shown must agree.
func TestInvariances(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, 1e6).Draw(t, "scene")
		var d drawn
		if rapid.Bool().Draw(t, "crowded") {
			d = crowded(i)
		} else {
			d = plain(i)
		}
		far := unit.Length(rapid.Float64Range(400, 3000).Draw(t, "room"))
		d.Room.Front, d.Room.Back = &far, &far
		if o := &d.Cabinet.Openings[0]; o.Side == scene.Top {
			o.Door = nil // its hinges are named as seen from the front
		}
		answer := func(s *scene.Scene) passage.Way {
			ctx, done := context.WithTimeout(context.Background(), 12*time.Millisecond)
			defer done()
			th, ok := s.Thing(d.thing)
			if !ok {
				t.Fatalf("%s has no %s", d.name, d.thing)
			}
			return passage.JobOf(s, th, th.Groups[0], &s.Cabinet.Openings[0]).Decide(ctx)
		}
		const same = 1e-3 // mm; the proofs and ways give away more
		here := answer(d.Scene)
		by := rapid.Float64Range(0, 0.2).Draw(t, "by")
		var like *scene.Scene
		alike := false // or with at least as much room to spare
		what := rapid.SampledFrom([]string{"mirrored", "from behind", "smaller", "bare"}).Draw(t, "like")
		switch what {
		case "mirrored":
			like, alike = mirrored(d.Scene), true
		case "from behind":
			like, alike = fromBehind(d.Scene), true
		case "smaller":
			like = smaller(d, func(side float64) float64 { return side * by })
		case "bare":
			like = bare(d)
		}
		there := answer(like)
		if here.Margin.Lo > there.Margin.Hi+same || alike && there.Margin.Lo > here.Margin.Hi+same {
			t.Fatalf("%s: room to spare %v, and %s %v", d.name, here.Margin, what, there.Margin)
		}
		if here.Going() {
			reversed(t, d, &here)
		}
	})
}

// reversed tells whether the way out, which is the way in from end to start, keeps
// what the way in does.
func reversed(t *rapid.T, d drawn, w *passage.Way) {
	th, _ := d.Thing(d.thing)
	j := passage.JobOf(d.Scene, th, th.Groups[0], &d.Cabinet.Openings[0])
	poses := slices.Clone(w.Path.Poses[:len(w.Path.Poses)-1])
	slices.Reverse(poses)
	out := solid.Path{Ref: w.Path.Ref, Poses: poses}
	if err := verify.Keeps(solids(j.Parts), out, solids(j.Others), w.Margin.Lo.MM()-0.01); err != nil {
		t.Fatalf("%s: on the way out: %v", d.name, err)
	}
}
