package model_test

import (
	"bytes"
	"math"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/export/model"
	"undercroft/scene"
	"undercroft/scene/plan"
)

// A reporter is a test, a benchmark or one case of a property.
type reporter interface {
	Helper()
	Fatalf(format string, args ...any)
}

func write(tb reporter, s *scene.Scene, o model.Options) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := model.Write(&b, s, o); err != nil {
		tb.Fatalf("Write: %v", err)
	}
	return b.Bytes()
}

// demo reads one of the demo plans.
func demo(tb reporter, name string) *scene.Scene {
	tb.Helper()
	data, ok := assets.Demo(name)
	if !ok {
		tb.Fatalf("no demo plan %s", name)
	}
	s, err := plan.Read(name+".yaml", data)
	if err != nil {
		tb.Fatalf("%v", err)
	}
	return s
}

func decode(tb reporter, file []byte) *gltf.Document {
	tb.Helper()
	doc := new(gltf.Document)
	if err := gltf.NewDecoder(bytes.NewReader(file)).Decode(doc); err != nil {
		tb.Fatalf("decoding what Write wrote: %v", err)
	}
	return doc
}

func read[T any](tb reporter, doc *gltf.Document, accessor int) T {
	tb.Helper()
	data, err := modeler.ReadAccessor(doc, doc.Accessors[accessor], nil)
	if err != nil {
		tb.Fatalf("accessor %d: %v", accessor, err)
	}
	list, ok := data.(T)
	if !ok {
		tb.Fatalf("accessor %d holds %T", accessor, data)
	}
	return list
}

func extra(n *gltf.Node, key string) any {
	m, ok := n.Extras.(map[string]any)
	if !ok {
		return nil
	}
	return m[key]
}

// parents returns the parent of each node, -1 for the root.
func parents(doc *gltf.Document) []int {
	up := make([]int, len(doc.Nodes))
	for i := range up {
		up[i] = -1
	}
	for i, n := range doc.Nodes {
		for _, c := range n.Children {
			up[c] = i
		}
	}
	return up
}

// A stance is where a node stands in its parent.
type stance struct {
	shift r3.Vec
	turn  quat.Number
	scale r3.Vec
}

// apply takes a point of the node to its parent: scale, turn, shift (glTF 2.0,
// section 3.5.3).
func (s stance) apply(v r3.Vec) r3.Vec {
	v = r3.Vec{X: v.X * s.scale.X, Y: v.Y * s.scale.Y, Z: v.Z * s.scale.Z}
	q := quat.Mul(quat.Mul(s.turn, quat.Number{Imag: v.X, Jmag: v.Y, Kmag: v.Z}), quat.Conj(s.turn))
	return r3.Add(r3.Vec{X: q.Imag, Y: q.Jmag, Z: q.Kmag}, s.shift)
}

func stanceOf(n *gltf.Node) stance {
	t, r, s := n.TranslationOrDefault(), n.RotationOrDefault(), n.ScaleOrDefault()
	return stance{
		r3.Vec{X: t[0], Y: t[1], Z: t[2]},
		quat.Number{Real: r[3], Imag: r[0], Jmag: r[1], Kmag: r[2]},
		r3.Vec{X: s[0], Y: s[1], Z: s[2]},
	}
}

// world takes a point of a node to the world. played overrides where nodes are.
func world(doc *gltf.Document, up []int, node int, v r3.Vec, played map[int]stance) r3.Vec {
	for n := node; n >= 0; n = up[n] {
		s, ok := played[n]
		if !ok {
			s = stanceOf(doc.Nodes[n])
		}
		v = s.apply(v)
	}
	return v
}

// A player plays an animation by the rules of glTF 2.0, section 3.11 and
// appendix C, and nothing else.
type player struct {
	tb       reporter
	doc      *gltf.Document
	channels []channel
}

type channel struct {
	node   int
	path   gltf.TRSProperty
	step   bool
	times  []float32
	values [][4]float64
}

func play(tb reporter, doc *gltf.Document, a *gltf.Animation) player {
	tb.Helper()
	p := player{tb: tb, doc: doc}
	for _, c := range a.Channels {
		s := a.Samplers[c.Sampler]
		ch := channel{
			node: *c.Target.Node, path: c.Target.Path, step: s.Interpolation == gltf.InterpolationStep,
			times: read[[]float32](tb, doc, s.Input),
		}
		if c.Target.Path == gltf.TRSRotation {
			for _, v := range read[[][4]float32](tb, doc, s.Output) {
				ch.values = append(ch.values, [4]float64{float64(v[0]), float64(v[1]), float64(v[2]), float64(v[3])})
			}
		} else {
			for _, v := range read[[][3]float32](tb, doc, s.Output) {
				ch.values = append(ch.values, [4]float64{float64(v[0]), float64(v[1]), float64(v[2])})
			}
		}
		if len(ch.values) != len(ch.times) {
			tb.Fatalf("%d values for %d times", len(ch.values), len(ch.times))
		}
		p.channels = append(p.channels, ch)
	}
	return p
}

// at returns where the nodes are at a time.
func (p player) at(time float64) map[int]stance {
	out := map[int]stance{}
	for _, c := range p.channels {
		s, ok := out[c.node]
		if !ok {
			s = stanceOf(p.doc.Nodes[c.node])
		}
		k := 0
		for k < len(c.times)-2 && float64(c.times[k+1]) <= time {
			k++
		}
		from, to := float64(c.times[k]), float64(c.times[k+1])
		t := min(max((time-from)/(to-from), 0), 1)
		a, b := c.values[k], c.values[k+1]
		if c.step {
			t = 0
		}
		switch c.path {
		case gltf.TRSTranslation, gltf.TRSScale:
			v := r3.Vec{X: (1-t)*a[0] + t*b[0], Y: (1-t)*a[1] + t*b[1], Z: (1-t)*a[2] + t*b[2]}
			if c.path == gltf.TRSScale {
				s.scale = v
			} else {
				s.shift = v
			}
		case gltf.TRSRotation:
			d := a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3]
			angle := math.Acos(min(math.Abs(d), 1))
			wa, wb := 1-t, t
			if math.Sin(angle) > 0 {
				wa, wb = math.Sin(angle*(1-t))/math.Sin(angle), math.Sin(angle*t)/math.Sin(angle)
			}
			if d < 0 {
				wb = -wb
			}
			q := quat.Number{
				Imag: wa*a[0] + wb*b[0], Jmag: wa*a[1] + wb*b[1], Kmag: wa*a[2] + wb*b[2], Real: wa*a[3] + wb*b[3],
			}
			s.turn = quat.Scale(1/quat.Abs(q), q)
		case gltf.TRSWeights:
			p.tb.Fatalf("an animation of weights")
		}
		out[c.node] = s
	}
	return out
}
