package model_test

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/qmuntal/gltf"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/export/model"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func all() model.Options {
	return model.Options{Water: water(), Motions: motions(), Marks: marks()}
}

func TestTree(t *testing.T) {
	t.Parallel()
	doc := decode(t, write(t, corner(), all()))
	up := parents(doc)
	got := map[string]bool{}
	for i, n := range doc.Nodes {
		path := n.Name
		for k := up[i]; k >= 0; k = up[k] {
			path = doc.Nodes[k].Name + "/" + path
		}
		if got[path] {
			t.Errorf("two nodes are at %s", path)
		}
		got[path] = true
	}
	for _, want := range []string{
		"undercroft/cabinet/left", "undercroft/cabinet/inside bottom", "undercroft/cabinet/drain/drain",
		"undercroft/cabinet/top brace/top brace",
		"undercroft/doors/doors/left leaf", "undercroft/doors/doors/right leaf hinge 2",
		"undercroft/display/front pane", "undercroft/display/sand",
		"undercroft/sump/baffle 2", "undercroft/sump/rim left", "undercroft/sump/left pane",
		"undercroft/equipment/skimmer/cup", "undercroft/equipment/skimmer/body + pump/pump",
		"undercroft/equipment/heater/heater",
		"undercroft/water/water", "undercroft/water/water 2",
		"undercroft/marks/262 mm over the cup", "undercroft/marks/mark 2",
		"undercroft/front camera", "undercroft/side camera", "undercroft/three-quarter camera",
	} {
		if !got[want] {
			t.Errorf("there is no node %s", want)
		}
	}
	if len(doc.Scenes[0].Nodes) != 1 {
		t.Errorf("the scene has %d roots, want 1", len(doc.Scenes[0].Nodes))
	}
}

// extent returns the ends of the box round the mesh of a node, as it is played.
func extent(t *testing.T, doc *gltf.Document, node int, played map[int]stance) (lo, hi r3.Vec) {
	t.Helper()
	lo, hi = inf(1), inf(-1)
	up := parents(doc)
	for _, v := range read[[][3]float32](t, doc, doc.Meshes[*doc.Nodes[node].Mesh].Primitives[0].Attributes[gltf.POSITION]) {
		w := world(doc, up, node, r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}, played)
		lo = r3.Vec{X: min(lo.X, w.X), Y: min(lo.Y, w.Y), Z: min(lo.Z, w.Z)}
		hi = r3.Vec{X: max(hi.X, w.X), Y: max(hi.Y, w.Y), Z: max(hi.Z, w.Z)}
	}
	return lo, hi
}

// metres returns the ends of the box round a solid in glTF's frame.
func metres(s solid.Solid) (lo, hi r3.Vec) {
	b := solid.BoundsOf(s)
	return r3.Vec{X: b.Min.X / 1000, Y: b.Min.Z / 1000, Z: -b.Max.Y / 1000},
		r3.Vec{X: b.Max.X / 1000, Y: b.Max.Z / 1000, Z: -b.Min.Y / 1000}
}

// Every part is where the scene has it, in metres with y up, whichever node it
// hangs on.
func TestPartsStandWhereTheyAre(t *testing.T) {
	t.Parallel()
	s := corner()
	doc := decode(t, write(t, s, all()))
	up := parents(doc)
	want := s.AtRest()
	for i := range s.Cabinet.Openings {
		o := &s.Cabinet.Openings[i]
		want = append(s.Leaves(o, s.DoorAngle(o)), want...) // before the closed ones
	}
	seen := map[string]bool{}
	for _, p := range append(want, water()...) {
		if p.Role == scene.RoleRoom || seen[p.Name] {
			continue
		}
		seen[p.Name] = true
		node := byPart(t, doc, p.Name)
		lo, hi := extent(t, doc, node, nil)
		// A round part's faces are inscribed: 64 sides lose r(1 − cos(π/64)),
		// at the joints of a ball a little more; 0.3 mm at these sizes.
		wantLo, wantHi := metres(p.Solid)
		tolerance := 1e-6
		if _, flat := p.Solid.(*solid.Polyhedron); !flat {
			tolerance = 3e-4
		}
		if away := max(r3.Norm(r3.Sub(lo, wantLo)), r3.Norm(r3.Sub(hi, wantHi))); away > tolerance {
			t.Errorf("%s stands from %v to %v m, want %v to %v", p.Name, lo, hi, wantLo, wantHi)
		}
	}
	// One number a person can check: the return pump's box is 120 mm wide from
	// x = 700 mm, its back 270 mm from the front, its top 226 mm up.
	node := byPart(t, doc, "return pump")
	acc := doc.Accessors[doc.Meshes[*doc.Nodes[node].Mesh].Primitives[0].Attributes[gltf.POSITION]]
	corner := world(doc, up, node, r3.Vec{X: acc.Max[0], Y: acc.Max[1], Z: acc.Min[2]}, nil)
	if r3.Norm(r3.Sub(corner, r3.Vec{X: 0.820, Y: 0.226, Z: -0.270})) > 1e-6 {
		t.Errorf("the return pump's top back right corner is at %v m, want (0.82, 0.226, -0.27)", corner)
	}
	if size := extra(doc.Nodes[node], "size_mm"); !slices.Equal(size.([]any), []any{120.0, 90.0, 120.0}) {
		t.Errorf("the return pump's size_mm is %v", size)
	}
}

func inf(sign int) r3.Vec {
	return r3.Vec{X: math.Inf(sign), Y: math.Inf(sign), Z: math.Inf(sign)}
}

// byPart returns the node with the mesh of a part.
func byPart(tb reporter, doc *gltf.Document, name string) int {
	tb.Helper()
	for i, n := range doc.Nodes {
		if extra(n, "name") == name && n.Mesh != nil {
			return i
		}
	}
	tb.Fatalf("no node shows part %q", name)
	return 0
}

func TestSurfaces(t *testing.T) {
	t.Parallel()
	doc := decode(t, write(t, corner(), all()))
	for i, m := range doc.Meshes {
		p := m.Primitives[0]
		pos := read[[][3]float32](t, doc, p.Attributes[gltf.POSITION])
		norm := read[[][3]float32](t, doc, p.Attributes[gltf.NORMAL])
		idx := read[[]uint16](t, doc, *p.Indices)
		volume := 0.0
		for k := 0; k < len(idx); k += 3 {
			var v, n [3]r3.Vec
			for j := range 3 {
				v[j], n[j] = vec(pos[idx[k+j]]), vec(norm[idx[k+j]])
			}
			face := r3.Cross(r3.Sub(v[1], v[0]), r3.Sub(v[2], v[0]))
			volume += r3.Dot(v[0], r3.Cross(v[1], v[2])) / 6
			for j := range 3 {
				if math.Abs(r3.Norm(n[j])-1) > 1e-6 {
					t.Fatalf("mesh %s: a normal of length %v", doc.Meshes[i].Name, r3.Norm(n[j]))
				}
				if r3.Dot(n[j], face) < 0.8*r3.Norm(face) {
					t.Fatalf("mesh %s: a normal that does not look out of its triangle", doc.Meshes[i].Name)
				}
			}
		}
		if volume <= 0 {
			t.Errorf("mesh %s: volume %v m³: its triangles look inward", doc.Meshes[i].Name, volume)
		}
	}

	lines := func(part string) int {
		m := doc.Meshes[*doc.Nodes[byPart(t, doc, part)].Mesh]
		if len(m.Primitives) < 2 {
			return 0
		}
		if m.Primitives[1].Mode != gltf.PrimitiveLines {
			t.Errorf("%s: edges are drawn as %v", part, m.Primitives[1].Mode)
		}
		return doc.Accessors[m.Primitives[1].Attributes[gltf.POSITION]].Count / 2
	}
	for _, tc := range []struct {
		part string
		want int
	}{
		{"return pump", 12},   // a box's edges
		{"heater", 2 * 64},    // the two ends of a cylinder, not its sides
		{"float", 0},          // a ball has no edge
		{"sump/baffle 1", 12}, //
	} {
		if got := lines(tc.part); got != tc.want {
			t.Errorf("%s has %d lines, want %d", tc.part, got, tc.want)
		}
	}
}

func vec(v [3]float32) r3.Vec { return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])} }

func TestMaterials(t *testing.T) {
	t.Parallel()
	doc := decode(t, write(t, corner(), all()))
	of := func(part string) *gltf.Material {
		return doc.Materials[*doc.Meshes[*doc.Nodes[byPart(t, doc, part)].Mesh].Primitives[0].Material]
	}
	for _, tc := range []struct {
		part, material string
		clear          bool
	}{
		{"cabinet/left", "wood", false},
		{"sump/front pane", "glass", true},
		{"sump/baffle 1", "baffle", true},
		{"display/water", "water", true},
		{"display/sand", "sand", false},
		{"skimmer/body", "equipment", false},
		{"doors/left leaf", "door", false},
	} {
		m := of(tc.part)
		if m.Name != tc.material || (m.AlphaMode == gltf.AlphaBlend) != tc.clear {
			t.Errorf("%s is of %s, alpha mode %v; want %s, clear: %v", tc.part, m.Name, m.AlphaMode, tc.material, tc.clear)
		}
		if m.PBRMetallicRoughness.MetallicFactorOrDefault() != 0 {
			t.Errorf("%s is a mirror", tc.part)
		}
		if a := m.PBRMetallicRoughness.BaseColorFactorOrDefault()[3]; (a < 1) != tc.clear {
			t.Errorf("%s has alpha %v", tc.part, a)
		}
	}
	// sRGB 0xd9 is 0.6939 linear: ((0.85098+0.055)/1.055)^2.4.
	if got := of("cabinet/left").PBRMetallicRoughness.BaseColorFactorOrDefault()[0]; math.Abs(got-0.6939) > 1e-3 {
		t.Errorf("wood is %v red, want 0.694 (linear)", got)
	}
}

// Every camera sees all of the scene, and not from far off.
func TestCameras(t *testing.T) {
	t.Parallel()
	s := corner()
	doc := decode(t, write(t, s, model.Options{}))
	up := parents(doc)
	for i, n := range doc.Nodes {
		if n.Camera == nil {
			continue
		}
		c := doc.Cameras[*n.Camera]
		pose := stanceOf(n)
		back := stance{turn: quat.Conj(pose.turn), scale: r3.Vec{X: 1, Y: 1, Z: 1}}
		most := 0.0
		for k, other := range doc.Nodes {
			if other.Mesh == nil {
				continue
			}
			for _, v := range read[[][3]float32](t, doc, doc.Meshes[*other.Mesh].Primitives[0].Attributes[gltf.POSITION]) {
				w := back.apply(r3.Sub(world(doc, up, k, vec(v), nil), pose.shift))
				var x, y, near, far float64
				if o := c.Orthographic; o != nil {
					x, y, near, far = w.X/o.Xmag, w.Y/o.Ymag, o.Znear, o.Zfar
				} else {
					o := c.Perspective
					tan := math.Tan(o.Yfov / 2)
					x, y, near, far = w.X/-w.Z/tan/(*o.AspectRatio), w.Y/-w.Z/tan, o.Znear, *o.Zfar
				}
				if -w.Z < near || -w.Z > far || math.Abs(x) > 1 || math.Abs(y) > 1 {
					t.Fatalf("camera %s does not see %v of %s", c.Name, v, other.Name)
				}
				most = max(most, math.Abs(x), math.Abs(y))
			}
		}
		if most < 0.5 {
			t.Errorf("camera %s (node %d) shows the scene on %v of its picture", c.Name, i, most)
		}
	}
	if len(doc.Cameras) != 3 {
		t.Errorf("%d cameras, want 3", len(doc.Cameras))
	}
}

// follow compares an animation, played by glTF's rules, with the path at some
// fractions of every leg: the worst distance in mm of the sample points.
func follow(tb reporter, doc *gltf.Document, a *gltf.Animation, m scene.Motion, parts []string) float64 {
	tb.Helper()
	p := play(tb, doc, a)
	name := a.Name
	up := parents(doc)
	keys := p.channels[0].times
	ends := legTimes(tb, a)
	if keys[0] != 0 {
		tb.Fatalf("%s starts at %v s", a.Name, keys[0])
	}
	for i := 1; i < len(keys); i++ {
		if keys[i] <= keys[i-1] {
			tb.Fatalf("%s: time %v s after %v s", a.Name, keys[i], keys[i-1])
		}
	}
	// A viewer that mixes quaternions as they stand must go the short way, and
	// none may be in doubt which way that is.
	for _, c := range p.channels {
		for i := 1; i < len(c.values) && c.path == gltf.TRSRotation; i++ {
			a, b := c.values[i-1], c.values[i]
			if d := a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3]; d < 0.5 {
				tb.Fatalf("%s: keyframe %d turns by %v°", name, i, 2*math.Acos(d)*180/math.Pi)
			}
		}
	}
	worst := 0.0
	for leg := range m.Path.Poses[1:] {
		start := 0.0
		if leg > 0 {
			start = ends[leg-1]
		}
		for _, f := range []float64{0.003, 0.1, 0.37, 0.5, 0.501, 0.77, 0.98} {
			time := start + f*(ends[leg]-start)
			where := p.at(time)
			want := m.Path.At(leg, f)
			for _, name := range parts {
				node := byPart(tb, doc, name)
				acc := doc.Accessors[doc.Meshes[*doc.Nodes[node].Mesh].Primitives[0].Attributes[gltf.POSITION]]
				for _, v := range [][3]float64{{acc.Min[0], acc.Min[1], acc.Min[2]}, {acc.Max[0], acc.Max[1], acc.Min[2]}, {acc.Min[0], acc.Max[1], acc.Max[2]}} {
					at := r3.Vec{X: v[0], Y: v[1], Z: v[2]}
					rest := inPlan(world(doc, up, node, at, nil))
					got := inPlan(world(doc, up, node, at, where))
					worst = max(worst, r3.Norm(r3.Sub(got, want.Apply(rest))))
				}
			}
		}
	}
	return worst
}

// inPlan takes a point of glTF's frame to the scene's, in mm.
func inPlan(v r3.Vec) r3.Vec { return r3.Vec{X: 1000 * v.X, Y: -1000 * v.Z, Z: 1000 * v.Y} }

// legTimes returns when each leg ends; the motion must have one move a leg.
func legTimes(tb reporter, a *gltf.Animation) []float64 {
	tb.Helper()
	var ends []float64
	for _, m := range a.Extras.(map[string]any)["moves"].([]any) {
		ends = append(ends, m.(map[string]any)["to_s"].(float64))
	}
	return ends
}

// single gives a motion one move for each leg.
func single(m scene.Motion) scene.Motion {
	m.Moves, m.MoveOf = nil, nil
	for i := range m.Path.Poses[1:] {
		m.Moves = append(m.Moves, "move")
		m.MoveOf = append(m.MoveOf, i)
	}
	return m
}

// What float32 costs in mm: a shift of up to 4 m is held to 2.4e-4, a turn by a
// unit quaternion at an arm of 3 m to 4e-4, and a time of up to a minute to 2e-6 s,
// in which a thing goes 3e-4; two keyframes take part.
const rounding = 2e-3

func TestAnimationsPlayThePaths(t *testing.T) {
	t.Parallel()
	s := corner()
	var ways []scene.Motion
	for _, m := range motions() {
		ways = append(ways, single(m))
	}
	// A second way of the sump, about another point, and the whole skimmer.
	other := single(ways[0])
	other.Path = solid.Path{Ref: r3.Vec{X: 130, Y: 60, Z: 100}, Poses: []solid.Pose{
		pose(r3.Vec{X: 130, Y: 60, Z: 100}, r3.Vec{X: 1, Y: 1, Z: 1}, 120, r3.Vec{X: -300, Y: -900, Z: 10}), solid.Rest,
	}}
	whole := other
	whole.Thing, whole.Parts, whole.Absent = "skimmer", []string{"skimmer"}, nil
	out := whole // and taken out the way it came in
	out.Out, out.Path.Poses = true, slices.Clone(whole.Path.Poses)
	slices.Reverse(out.Path.Poses)
	ways = append(ways, single(other), single(whole), single(out))

	doc := decode(t, write(t, s, model.Options{Motions: ways}))
	moved := [][]string{
		{"sump/left pane", "sump/rim back", "sump/baffle 3"},
		{"skimmer/body", "skimmer/pump"},
		{"skimmer/cup"},
		{"sump/left pane", "sump/baffle 3"},
		{"skimmer/body", "skimmer/pump", "skimmer/cup"},
		{"skimmer/body", "skimmer/pump", "skimmer/cup"},
	}
	for i, a := range doc.Animations {
		if worst := follow(t, doc, a, ways[i], moved[i]); worst > rounding {
			t.Errorf("animation %q is up to %v mm off its path", a.Name, worst)
		}
		// What stays must stay.
		p := play(t, doc, a)
		up := parents(doc)
		for _, name := range []string{"cabinet/left", "doors/left leaf", "drain"} {
			node := byPart(t, doc, name)
			at := r3.Vec{X: 0.1, Y: 0.2, Z: 0.3}
			if world(doc, up, node, at, nil) != world(doc, up, node, at, p.at(0.3)) {
				t.Errorf("animation %q moves %s", a.Name, name)
			}
		}
		// At its end, or its start on the way out, everything that moves is
		// where it stands at rest.
		end := p.at(1e9)
		if ways[i].Out {
			end = p.at(0)
		}
		for _, name := range moved[i] {
			node := byPart(t, doc, name)
			for _, at := range []r3.Vec{{}, {X: 0.3}, {Y: -0.4, Z: 0.1}} {
				if d := r3.Norm(r3.Sub(world(doc, up, node, at, nil), world(doc, up, node, at, end))); d > 1e-7 {
					t.Errorf("animation %q ends %v m from rest", a.Name, d)
				}
			}
		}
	}
	if len(doc.Animations) != len(ways) {
		t.Fatalf("%d animations for %d ways", len(doc.Animations), len(ways))
	}
	names := map[string]bool{}
	for _, a := range doc.Animations {
		if names[a.Name] {
			t.Errorf("two animations are called %q", a.Name)
		}
		names[a.Name] = true
	}
}

// Whatever a way does, half turns and repeated poses among it, the animation
// plays it.
func TestAnyPathIsPlayed(t *testing.T) {
	t.Parallel()
	s := &scene.Scene{Equipment: corner().Equipment[:1]} // the skimmer alone
	rapid.Check(t, func(t *rapid.T) {
		coord := rapid.Float64Range(-900, 900)
		ref := r3.Vec{X: coord.Draw(t, "x"), Y: coord.Draw(t, "y"), Z: coord.Draw(t, "z")}
		var poses []solid.Pose
		for range rapid.IntRange(1, 6).Draw(t, "poses") {
			axis := rapid.SampledFrom([]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: 1, Y: 2, Z: -1}}).Draw(t, "axis")
			angle := rapid.OneOf(rapid.Float64Range(-180, 180), rapid.SampledFrom([]float64{0, 90, 180, -180})).Draw(t, "angle")
			p := pose(ref, axis, angle, r3.Vec{X: coord.Draw(t, "dx"), Y: coord.Draw(t, "dy"), Z: coord.Draw(t, "dz")})
			if rapid.Bool().Draw(t, "other sign") {
				p.Turn = quat.Scale(-1, p.Turn)
			}
			poses = append(poses, p)
			if rapid.Bool().Draw(t, "twice") {
				poses = append(poses, p)
			}
		}
		m := single(scene.Motion{
			Thing: "skimmer", Through: "doors", Parts: []string{"skimmer"},
			Path: solid.Path{Ref: ref, Poses: append(poses, solid.Rest)},
		})
		var b bytes.Buffer
		if err := model.Write(&b, s, model.Options{Motions: []scene.Motion{m}}); err != nil {
			t.Fatal(err)
		}
		doc := new(gltf.Document)
		if err := gltf.NewDecoder(&b).Decode(doc); err != nil {
			t.Fatal(err)
		}
		if worst := follow(t, doc, doc.Animations[0], m, []string{"skimmer/body", "skimmer/cup"}); worst > rounding {
			t.Fatalf("the animation is up to %v mm off its path", worst)
		}
	})
}

func TestWhatIsAwayIsNotSeen(t *testing.T) {
	t.Parallel()
	doc := decode(t, write(t, corner(), all()))
	up := parents(doc)
	seen := func(p player, part string) bool {
		node := byPart(t, doc, part)
		where := p.at(0.5)
		a, b := world(doc, up, node, r3.Vec{}, where), world(doc, up, node, r3.Vec{X: 1}, where)
		return r3.Norm(r3.Sub(a, b)) > 0.5
	}
	for _, tc := range []struct {
		animation int
		seen      []string
		away      []string
	}{
		{
			0,
			[]string{"sump/left pane", "cabinet/left", "drain", "doors/left leaf"},
			[]string{"skimmer/cup", "skimmer/body", "heater", "float", "return pump", "display/front pane", "display/water", "display/sand", "sump/water 1"},
		},
		{1, []string{"skimmer/body", "sump/left pane", "sump/water 1", "display/water"}, []string{"skimmer/cup", "heater"}},
		{2, []string{"skimmer/cup", "skimmer/body", "sump/water 1", "heater"}, nil},
	} {
		p := play(t, doc, doc.Animations[tc.animation])
		for _, part := range tc.seen {
			if !seen(p, part) {
				t.Errorf("animation %q hides %s", doc.Animations[tc.animation].Name, part)
			}
		}
		for _, part := range tc.away {
			if seen(p, part) {
				t.Errorf("animation %q shows %s, which is away", doc.Animations[tc.animation].Name, part)
			}
		}
	}
}

// A way was proved with the other doors closed, and is played so.
func TestOtherDoorsAreClosedOnTheWay(t *testing.T) {
	t.Parallel()
	s := corner()
	s.Cabinet.Openings = append(s.Cabinet.Openings, scene.Opening{
		Name: "hatch", Side: scene.Right, Hole: box(1082, 60, 200, 1100, 400, 600),
		Door: &scene.Door{Hinge: scene.HingeRight, Overlay: true, Overlap: 12, Thickness: 18, Opens: 110 * unit.Degree},
	})
	doc := decode(t, write(t, s, all()))
	p := play(t, doc, doc.Animations[0])
	for i, open := range []bool{true, false} {
		o := &s.Cabinet.Openings[i]
		at := unit.Angle(0)
		if open {
			at = s.DoorAngle(o)
		}
		for _, l := range s.Leaves(o, at) {
			lo, hi := extent(t, doc, byPart(t, doc, l.Name), p.at(0.5))
			wantLo, wantHi := metres(l.Solid)
			if away := max(r3.Norm(r3.Sub(lo, wantLo)), r3.Norm(r3.Sub(hi, wantHi))); away > 1e-6 {
				t.Errorf("%s stands from %v to %v m on the way, want %v to %v", l.Name, lo, hi, wantLo, wantHi)
			}
		}
	}
}

func TestMovesHaveTheirTimes(t *testing.T) {
	t.Parallel()
	doc := decode(t, write(t, corner(), all()))
	a := doc.Animations[0]
	moves := a.Extras.(map[string]any)["moves"].([]any)
	want := motions()[0].Moves
	if len(moves) != len(want) {
		t.Fatalf("%d moves, want %d", len(moves), len(want))
	}
	now := 0.0
	for i, m := range moves {
		m := m.(map[string]any)
		if m["text"] != want[i] || m["from_s"] != now || m["to_s"].(float64) <= now {
			t.Errorf("move %d is %v, want %q from %v s", i, m, want[i], now)
		}
		now = m["to_s"].(float64)
	}
	acc := doc.Accessors[a.Samplers[0].Input]
	if math.Abs(acc.Max[0]-now) > 1e-5 {
		t.Errorf("the animation ends at %v s, its last move at %v s", acc.Max[0], now)
	}
	// 700 mm at 150 mm/s, the longest straight move.
	if took := moves[1].(map[string]any)["to_s"].(float64) - moves[1].(map[string]any)["from_s"].(float64); took < 4 || took > 5 {
		t.Errorf("sliding 680 mm in takes %v s", took)
	}
}

// How a thing is turned where its way begins is told before the first move, and takes no
// time: what is played is the way.
func TestHowAWayBeginsTakesNoTime(t *testing.T) {
	t.Parallel()
	ways := motions()
	m := &ways[0]
	m.Moves = append([]string{"outside, tip the far edge up 80°"}, m.Moves...)
	m.MoveOf = slices.Clone(m.MoveOf)
	for i := range m.MoveOf {
		m.MoveOf[i]++
	}
	opts := all()
	plain := decode(t, write(t, corner(), opts))
	opts.Motions = ways
	turned := decode(t, write(t, corner(), opts))
	told := func(a *gltf.Animation) []any { return a.Extras.(map[string]any)["moves"].([]any) }
	was, is := told(plain.Animations[0]), told(turned.Animations[0])
	if len(is) != len(was)+1 || !reflect.DeepEqual(is[1:], was) {
		t.Fatalf("moves %v, want one more than %v", is, was)
	}
	if first := is[0].(map[string]any); first["text"] != m.Moves[0] || first["from_s"] != 0.0 || first["to_s"] != 0.0 {
		t.Errorf("first %v, want how it begins, at once", first)
	}
	if a, b := plain.Animations[0], turned.Animations[0]; !reflect.DeepEqual(a.Channels, b.Channels) || !reflect.DeepEqual(a.Samplers, b.Samplers) {
		t.Error("something else is played")
	}
}

func TestRefused(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	way := func(change func(*scene.Motion)) model.Options {
		m := motions()[0]
		m.Path.Poses = slices.Clone(m.Path.Poses)
		change(&m)
		return model.Options{Motions: []scene.Motion{m}}
	}
	for _, tc := range []struct {
		name   string
		scene  func(*scene.Scene)
		option model.Options
		says   string
	}{
		{name: "nothing at all", scene: func(s *scene.Scene) { *s = scene.Scene{} }, says: "nothing to show"},
		{name: "a size that is no number", scene: func(s *scene.Scene) {
			s.Equipment[1].Bodies[0].Solid = solid.Box(box(nan, 0, 0, 1, 1, 1))
		}, says: `part "return pump": a corner is not finite`},
		{name: "an endless pipe", scene: func(s *scene.Scene) {
			s.Equipment[1].Bodies[0].Solid = solid.Box(box(0, 0, 0, 1, 1, math.Inf(1)))
		}, says: `part "return pump": a corner is not finite`},
		{name: "no thickness", scene: func(s *scene.Scene) {
			s.Equipment[1].Bodies[0].Solid = solid.Box(box(5, 0, 0, 5, 1, 1))
		}, says: `part "return pump": its faces close no solid`},
		{name: "no solid", scene: func(s *scene.Scene) { s.Equipment[1].Bodies[0].Solid = nil }, says: "it has no solid"},
		{name: "a mark nowhere", option: model.Options{Marks: []scene.Mark{{Label: "here", To: r3.Vec{Y: nan}}}}, says: `mark "here"`},
		{name: "an unknown part", option: way(func(m *scene.Motion) { m.Parts = []string{"sump/lid"} }), says: `no part "sump/lid"`},
		{name: "an unknown absentee", option: way(func(m *scene.Motion) { m.Absent = []string{"cat"} }), says: `no "cat" to be away`},
		{name: "nothing moves", option: way(func(m *scene.Motion) { m.Parts = nil }), says: "moves no part"},
		{name: "one pose", option: way(func(m *scene.Motion) { m.Path.Poses = m.Path.Poses[:1] }), says: "fewer than two poses"},
		{name: "not at rest", option: way(func(m *scene.Motion) { m.Path.Poses = m.Path.Poses[:4] }), says: "does not end at rest"},
		{name: "turned at the end", option: way(func(m *scene.Motion) {
			m.Path.Poses[5] = pose(m.Path.Ref, r3.Vec{Z: 1}, 180, r3.Vec{})
		}), says: "does not end at rest"},
		{name: "taken out from elsewhere", option: way(func(m *scene.Motion) { m.Out = true }), says: "does not start at rest"},
		{name: "a pose that stretches", option: way(func(m *scene.Motion) { m.Path.Poses[2].Turn.Real *= 2 }), says: "pose 2 is no rigid motion"},
		{name: "a pose that is no number", option: way(func(m *scene.Motion) { m.Path.Poses[1].Turn.Kmag = nan }), says: "pose 1 is no rigid motion"},
		{name: "no reference point", option: way(func(m *scene.Motion) { m.Path.Ref.X = nan }), says: "reference point"},
		{name: "a leg without a move", option: way(func(m *scene.Motion) { m.MoveOf = m.MoveOf[:2] }), says: "5 legs"},
		{name: "a move that is not there", option: way(func(m *scene.Motion) { m.MoveOf = []int{0, 1, 2, 3, 4} }), says: "move 4"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := corner()
			if tc.scene != nil {
				tc.scene(s)
			}
			var b bytes.Buffer
			err := model.Write(&b, s, tc.option)
			if err == nil || !strings.Contains(err.Error(), tc.says) {
				t.Errorf("Write says %v, want %q", err, tc.says)
			}
			if b.Len() > 0 {
				t.Errorf("Write wrote %d bytes of what it refuses", b.Len())
			}
		})
	}
}

type full struct{}

var errFull = errors.New("no space left")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestFullDisk(t *testing.T) {
	t.Parallel()
	if err := model.Write(full{}, corner(), all()); !errors.Is(err, errFull) {
		t.Errorf("Write on a full disk says %v", err)
	}
}

func TestSameBytes(t *testing.T) {
	t.Parallel()
	first := write(t, corner(), all())
	for range 3 {
		if !bytes.Equal(first, write(t, corner(), all())) {
			t.Fatal("the same scene gives other bytes")
		}
	}
}

// Names go through unharmed, and a plan with only a cabinet gives a model.
func TestAnyName(t *testing.T) {
	t.Parallel()
	s := corner()
	s.Title = "<script>\u2028\"\\ \x00"
	s.Equipment[1].Name = `</script><b>"pump" & co 🐠`
	doc := decode(t, write(t, s, model.Options{}))
	byPart(t, doc, s.Equipment[1].Name)
	if got := extra(doc.Nodes[doc.Scenes[0].Nodes[0]], "title"); got != s.Title {
		t.Errorf("the title came back as %q", got)
	}
	decode(t, write(t, &scene.Scene{Cabinet: s.Cabinet}, model.Options{}))
}

// The demo's model must be there in under 50 ms.
func BenchmarkWrite(b *testing.B) {
	for _, bench := range []struct {
		name string
		s    *scene.Scene
		o    model.Options
	}{
		{"demo", demo(b, "fits"), model.Options{}},
		{"three ways", corner(), all()},
	} {
		b.Run(bench.name, func(b *testing.B) {
			for b.Loop() {
				write(b, bench.s, bench.o)
			}
		})
	}
}
