package model_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/export/model"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// asOthersRead is what .ci/check-model.mjs prints.
type asOthersRead struct {
	Validator struct {
		Errors, Warnings, Infos, Hints int
		Messages                       []json.RawMessage
	}
	Three struct {
		Box   struct{ Min, Max [3]float64 }
		Nodes []struct {
			Path []string
			Role string
		}
		Cameras []string
		Ways    []struct {
			Name     string
			Duration float64
			Samples  []struct {
				Time  float64
				Nodes []struct {
					Name         string
					Origin, X, Y [3]float64
				}
				Hidden []float64
			}
		}
	}
}

// others hands a file to programs that are not ours.
func others(t *testing.T, file []byte) asOthersRead {
	t.Helper()
	const tools = "../../.ci"
	if _, err := os.Stat(filepath.Join(tools, "node_modules")); err != nil {
		if os.Getenv("UNDERCROFT_CI") == "1" {
			t.Fatal("UNDERCROFT_CI is set, and .ci/node_modules is not there: run npm ci --prefix .ci")
		}
		t.Skip("needs Node and the tools of .ci: run npm ci --prefix .ci")
	}
	path := filepath.Join(t.TempDir(), "model.glb")
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), "node", filepath.Join(tools, "check-model.mjs"), path)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %v\n%s", cmd, err, stderr.Bytes())
	}
	if stderr.Len() > 0 {
		t.Errorf("loading the model warns:\n%s", stderr.Bytes())
	}
	var r asOthersRead
	if err := json.Unmarshal(out, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// The glTF validator of the Khronos Group has nothing to say.
func TestValidator(t *testing.T) {
	t.Parallel()
	bare := &scene.Scene{Sump: corner().Sump}
	demos := func(name string) []byte { return write(t, demo(t, name), model.Options{}) }
	for _, tc := range []struct {
		name string
		file []byte
	}{
		{"everything", write(t, corner(), all())},
		{"a sump alone", write(t, bare, model.Options{})},
		{"the demo that fits", demos("fits")},
		{"the demo that does not", demos("fails-metric")},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			v := others(t, tc.file).Validator
			if v.Errors+v.Warnings+v.Infos+v.Hints > 0 {
				t.Errorf("%d errors, %d warnings, %d infos, %d hints: %s", v.Errors, v.Warnings, v.Infos, v.Hints, v.Messages)
			}
		})
	}
}

// A widely used loader sees the same model: names, size in metres, cameras,
// and every way as the path has it.
func TestOtherLoader(t *testing.T) {
	t.Parallel()
	s := corner()
	o := model.Options{Water: water(), Marks: marks()}
	for _, m := range motions() {
		o.Motions = append(o.Motions, single(m))
	}
	file := write(t, s, o)
	three := others(t, file).Three

	var paths []string
	for _, n := range three.Nodes {
		paths = append(paths, strings.Join(n.Path, " > "))
	}
	for _, want := range []string{
		"cabinet > cabinet/left", "cabinet > drain > drain", "doors > doors > doors/left leaf",
		"equipment > skimmer > skimmer/cup", "sump > sump/baffle 2", "marks > 262 mm over the cup", "front",
	} {
		if !slices.Contains(paths, "undercroft > "+want) {
			t.Errorf("it does not see %s", want)
		}
	}
	slices.Sort(three.Cameras)
	if !slices.Equal(three.Cameras, []string{"front_camera", "side_camera", "three-quarter_camera"}) {
		t.Errorf("cameras %q", three.Cameras)
	}

	// The open leaves reach furthest to the front and the sides.
	var solids []solid.Solid
	for _, p := range append(s.AtRest(), s.Leaves(&s.Cabinet.Openings[0], s.DoorAngle(&s.Cabinet.Openings[0]))...) {
		if p.Role != scene.RoleRoom {
			solids = append(solids, p.Solid)
		}
	}
	b := solid.BoundsOf(solids...)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"left", three.Box.Min[0], b.Min.X / 1000},
		{"right", three.Box.Max[0], b.Max.X / 1000},
		{"bottom", three.Box.Min[1], b.Min.Z / 1000},
		{"top", three.Box.Max[1], 1.330},
		{"back", three.Box.Min[2], -0.480},
		{"front", three.Box.Max[2], -b.Min.Y / 1000},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("the %s is at %v m, want %v m", c.name, c.got, c.want)
		}
	}

	doc := decode(t, file)
	for i, w := range three.Ways {
		m := o.Motions[i]
		ends := legTimes(t, doc.Animations[i])
		far := 0.0
		for _, sample := range w.Samples {
			leg, start := 0, 0.0
			for leg < len(ends)-1 && sample.Time > ends[leg] {
				start = ends[leg]
				leg++
			}
			pose := m.Path.At(leg, min(1, (sample.Time-start)/(ends[leg]-start)))
			for _, n := range sample.Nodes {
				for _, c := range []struct{ got, rest [3]float64 }{
					{n.Origin, [3]float64{}}, {n.X, [3]float64{1, 0, 0}}, {n.Y, [3]float64{0, 1, 0}},
				} {
					rest := r3.Add(m.Path.Ref, inPlan(r3.Vec{X: c.rest[0], Y: c.rest[1], Z: c.rest[2]}))
					got := inPlan(r3.Vec{X: c.got[0], Y: c.got[1], Z: c.got[2]})
					// It mixes near quaternions without sines: up to 1e-2 mm off.
					if d := r3.Norm(r3.Sub(got, pose.Apply(rest))); d > 2e-2 {
						t.Errorf("%s at %v s: %s is %v mm off the path", w.Name, sample.Time, n.Name, d)
					}
					far = max(far, r3.Norm(r3.Sub(got, rest)))
				}
			}
			for _, scale := range sample.Hidden {
				if scale != 0 {
					t.Errorf("%s shows what is away", w.Name)
				}
			}
		}
		if far < 100 {
			t.Errorf("%s moves its thing by %v mm at most", w.Name, far)
		}
	}
}
