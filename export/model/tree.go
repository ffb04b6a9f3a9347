package model

import (
	"math"
	"slices"
	"strings"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// axes returns a point or direction of the scene in glTF's frame and unit.
func axes(v r3.Vec) [3]float64 {
	return [3]float64{v.X / 1000, v.Z / 1000, 0 - v.Y/1000} // 0 - 0 is 0, -0 is not
}

func axes32(v r3.Vec) [3]float32 {
	a := axes(v)
	return [3]float32{float32(a[0]), float32(a[1]), float32(a[2])}
}

// A builder puts a document together.
type builder struct {
	doc       *gltf.Document
	root      int
	materials map[string]int
	groups    []int      // the node that holds all of a group
	parts     map[at]int // the node of each part
	// drives lists the nodes that a way moves.
	drives [][]place
}

// A place is a node and where its origin stands at rest, in the scene's frame.
type place struct {
	node   int
	origin r3.Vec
	above  r3.Vec // origin of the node it hangs on
}

// info is what a program that reads the model learns of a node.
type info struct {
	Role string `json:"role"`
	// Name is what the plan calls it: viewers may change the names of nodes.
	Name   string      `json:"name"`
	Of     string      `json:"of,omitempty"`
	SizeMM *[3]float64 `json:"size_mm,omitempty"` // width, depth and height at rest
}

func newBuilder(s *scene.Scene) *builder {
	b := &builder{doc: gltf.NewDocument(), materials: map[string]int{}, parts: map[at]int{}}
	b.doc.Asset.Generator = "undercroft"
	b.doc.Scenes[0].Name = "scene"
	b.root = len(b.doc.Nodes)
	b.doc.Nodes = append(b.doc.Nodes, &gltf.Node{Name: "undercroft", Extras: map[string]any{
		"role": "plan", "name": "undercroft", "title": s.Title, "doors": "open as on the way in", "frame": "metres, y up",
	}})
	b.doc.Scenes[0].Nodes = []int{b.root}
	return b
}

// node hangs a new node on another.
func (b *builder) node(on place, name string, origin r3.Vec, extras any) place {
	n := &gltf.Node{Name: name, Extras: extras}
	// Rounded as in an animation's data, so that the last keyframe is the rest.
	for i, x := range axes32(r3.Sub(origin, on.origin)) {
		n.Translation[i] = float64(x)
	}
	p := place{len(b.doc.Nodes), origin, on.origin}
	b.doc.Nodes = append(b.doc.Nodes, n)
	above := b.doc.Nodes[on.node]
	above.Children = append(above.Children, p.node)
	return p
}

// tree adds everything that stands in the scene. What moves gets a node whose
// origin is the way's reference point.
func (b *builder) tree(groups []group, ways []way) {
	b.drives = make([][]place, len(ways))
	branches := map[string]place{}
	for i, g := range groups {
		branch, ok := branches[g.branch]
		switch {
		case ok:
		case g.name == "": // the group is the branch itself
			branch = place{node: b.root}
		default:
			branch = b.node(place{node: b.root}, g.branch, r3.Vec{}, info{Role: "group", Name: g.branch})
			branches[g.branch] = branch
		}
		p := b.group(i, g, branch, ways)
		b.groups = append(b.groups, p.node)
		if g.name == "" {
			branches[g.branch] = p
		}
	}
}

// group adds one group. Ways that move all of it drive its own node; the parts
// that other ways move hang below, those that always move together on one node.
func (b *builder) group(index int, g group, on place, ways []way) place {
	of := make([][]int, len(g.parts)) // the ways that move each part
	for i, w := range ways {
		for _, m := range w.moves {
			if m.group == index {
				of[m.part] = append(of[m.part], i)
			}
		}
	}
	var whole []int
	for _, i := range of[0] {
		if !slices.ContainsFunc(of, func(list []int) bool { return !slices.Contains(list, i) }) {
			whole = append(whole, i)
		}
	}
	solids := make([]solid.Solid, len(g.parts))
	for i, p := range g.parts {
		solids[i] = p.Solid
	}
	size := sizeOf(solids...)
	own := b.carried(on, g.title(), info{Role: g.role, Name: g.title(), SizeMM: &size}, whole, ways)
	if len(whole) == 0 {
		own = b.node(on, g.title(), r3.Vec{}, info{Role: g.role, Name: g.title(), SizeMM: &size})
	}

	done := make([]bool, len(g.parts))
	for i := range g.parts {
		if done[i] {
			continue
		}
		some := slices.DeleteFunc(slices.Clone(of[i]), func(w int) bool { return slices.Contains(whole, w) })
		if len(some) == 0 {
			b.part(at{index, i}, g.parts[i], b.node(own, short(g.parts[i]), own.origin, nil))
			continue
		}
		var together []int
		var names []string
		for j := i; j < len(g.parts); j++ {
			if slices.Equal(of[j], of[i]) {
				together = append(together, j)
				names = append(names, short(g.parts[j]))
				done[j] = true
			}
		}
		if len(together) == 1 {
			b.part(at{index, i}, g.parts[i], b.carried(own, short(g.parts[i]), nil, some, ways))
			continue
		}
		both := strings.Join(names, " + ")
		carrier := b.carried(own, both, info{Role: "group", Name: both, Of: g.title()}, some, ways)
		for _, j := range together {
			b.part(at{index, j}, g.parts[j], b.node(carrier, short(g.parts[j]), carrier.origin, nil))
		}
	}
	return own
}

// carried adds the nodes that ways drive, one inside the other where their
// reference points differ, and returns the innermost.
func (b *builder) carried(on place, name string, extras any, drivers []int, ways []way) place {
	var nodes []place
	for _, w := range drivers {
		ref := ways[w].Path.Ref
		i := slices.IndexFunc(nodes, func(p place) bool { return p.origin == ref })
		if i < 0 {
			i = len(nodes)
			title := name
			if i > 0 {
				title = name + " through " + ways[w].Through
			}
			on = b.node(on, title, ref, extras)
			nodes = append(nodes, on)
			extras = nil
		}
		b.drives[w] = append(b.drives[w], nodes[i])
	}
	return on
}

// part puts one part on a node.
func (b *builder) part(which at, p scene.Part, on place) {
	size := sizeOf(p.Solid)
	n := b.doc.Nodes[on.node]
	n.Extras = info{Role: roleName(p.Role), Name: p.Name, Of: p.Of, SizeMM: &size}
	n.Mesh = new(b.mesh(p.Name, newMesh(p.Solid.Faces(), on.origin), lookOf(p.Role), ink))
	b.parts[which] = on.node
}

// roleName returns how the model names a role.
func roleName(r scene.Role) string {
	return [...]string{
		scene.RolePanel: "panel", scene.RoleLeaf: "leaf", scene.RoleHinge: "hinge", scene.RoleFixture: "fixture",
		scene.RoleGlass: "glass", scene.RoleBaffle: "baffle", scene.RoleTrim: "trim", scene.RoleEquipment: "equipment",
		scene.RoleRoom: "room", scene.RoleWater: "water", scene.RoleSand: "sand",
		scene.RoleArm: "arm",
	}[r]
}

// short returns the name of a part without that of its thing.
func short(p scene.Part) string { return strings.TrimPrefix(p.Name, p.Of+"/") }

// sizeOf returns the sides of the box round solids in mm, to a ten-thousandth.
func sizeOf(solids ...solid.Solid) [3]float64 {
	d := solid.BoundsOf(solids...)
	round := func(x float64) float64 { return math.Round(x*1e4) / 1e4 }
	return [3]float64{round(d.Max.X - d.Min.X), round(d.Max.Y - d.Min.Y), round(d.Max.Z - d.Min.Z)}
}

// mesh adds a surface with its edges.
func (b *builder) mesh(name string, m mesh, surface, line look) int {
	corners, normals := make([][3]float32, len(m.corners)), make([][3]float32, len(m.corners))
	for i := range m.corners {
		corners[i] = axes32(m.corners[i])
		normals[i] = axes32(r3.Scale(1000, m.normals[i])) // a direction has no unit
	}
	out := &gltf.Mesh{Name: name, Primitives: []*gltf.Primitive{{
		Attributes: gltf.PrimitiveAttributes{
			gltf.POSITION: modeler.WritePosition(b.doc, corners),
			gltf.NORMAL:   modeler.WriteNormal(b.doc, normals),
		},
		Indices:  new(b.indices(m.triangles, len(corners))),
		Material: new(b.material(surface)),
	}}}
	if len(m.edges) > 0 {
		out.Primitives = append(out.Primitives, b.lines(m.edges, line))
	}
	b.doc.Meshes = append(b.doc.Meshes, out)
	return len(b.doc.Meshes) - 1
}

// lines returns lines between pairs of points.
func (b *builder) lines(ends []r3.Vec, l look) *gltf.Primitive {
	points := make([][3]float32, len(ends))
	for i, v := range ends {
		points[i] = axes32(v)
	}
	return &gltf.Primitive{
		Mode:       gltf.PrimitiveLines,
		Attributes: gltf.PrimitiveAttributes{gltf.POSITION: modeler.WritePosition(b.doc, points)},
		Material:   new(b.material(l)),
	}
}

// indices writes indices in the narrowest type that holds them.
func (b *builder) indices(list []uint32, corners int) int {
	if corners > math.MaxUint16 { // 65535 itself is no index
		return modeler.WriteIndices(b.doc, list)
	}
	narrow := make([]uint16, len(list))
	for i, x := range list {
		narrow[i] = uint16(x)
	}
	return modeler.WriteIndices(b.doc, narrow)
}
