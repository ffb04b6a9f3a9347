package plan_test

import (
	"bytes"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"undercroft/scene"
	"undercroft/scene/plan"
)

// seed adds all plans of testdata that have the extension, good and wrong.
func seed(f *testing.F, ext string) {
	f.Helper()
	for name, data := range goodPlans(f) {
		if filepath.Ext(name) == ext {
			f.Add(data)
		}
	}
	for _, a := range archives(f) {
		for _, p := range wrongPlans(f, a) {
			if filepath.Ext(p.name) == ext {
				f.Add([]byte(p.text))
			}
		}
	}
}

// read reads whatever bytes: there is a scene that holds finite numbers, or there
// are errors, each at a place of the file, in its order.
func read(t *testing.T, name string, data []byte) *scene.Scene {
	t.Helper()
	s, err := plan.Read(name, data)
	if err == nil {
		for _, p := range s.AtRest() {
			b := p.Solid.Bounds()
			for _, x := range []float64{b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z} {
				if !(math.Abs(x) < 1e7) {
					t.Fatalf("%s is at %v", p.Name, b)
				}
			}
		}
		s.Describe()
		return s
	}
	var all plan.Errors
	if s != nil || !errors.As(err, &all) || len(all) == 0 {
		t.Fatalf("got %v, %v", s, err)
	}
	lines := 1 // as YAML counts them
	for _, end := range []string{"\n", "\r", "\u0085", "\u2028", "\u2029"} {
		lines += bytes.Count(data, []byte(end))
	}
	for i, e := range all {
		if e.File != name || e.Line < 1 || e.Line > lines || e.Column < 1 || e.Message == "" {
			t.Errorf("no place or no message: %+v", *e)
		}
		if i > 0 && (e.Line < all[i-1].Line || e.Line == all[i-1].Line && e.Column < all[i-1].Column) {
			t.Errorf("out of order: %v after %v", e, all[i-1])
		}
	}
	return nil
}

func FuzzReadYAML(f *testing.F) {
	seed(f, ".yaml")
	f.Fuzz(func(t *testing.T, data []byte) { read(t, "plan.yaml", data) })
}

func FuzzReadTOML(f *testing.F) {
	seed(f, ".toml")
	f.Fuzz(func(t *testing.T, data []byte) { read(t, "plan.toml", data) })
}

// What the reader takes the schema takes too.
func FuzzReadJSON(f *testing.F) {
	seed(f, ".json")
	schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(plan.Schema()))
	if err != nil {
		f.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("plan.schema.json", schema); err != nil {
		f.Fatal(err)
	}
	compiled, err := c.Compile("plan.schema.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if read(t, "plan.json", data) == nil {
			return
		}
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
		if err != nil {
			t.Fatal(err)
		}
		if err := compiled.Validate(v); err != nil {
			t.Errorf("read without an error, and the schema says %v", err)
		}
	})
}

// A good plan with one line changed is read, or fails with an error that knows
// where: whatever the line becomes.
func TestBrokenLines(t *testing.T) {
	t.Parallel()
	plans := goodPlans(t)
	var names []string
	for name := range plans {
		names = append(names, name)
	}
	schema := compileSchema(t)
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom(sorted(names)).Draw(rt, "plan")
		lines := strings.Split(string(plans[name]), "\n")
		i := rapid.IntRange(0, len(lines)-1).Draw(rt, "line")
		value := rapid.OneOf(
			rapid.StringMatching(`[0-9]{0,3}( ?-?[0-9]/[0-9])?( ?(in|mm|cm|ft|"|'|lb|kg|L|gph))?`),
			rapid.SampledFrom([]string{"", "[]", "{}", "[1, 2]", "yes", "none", "open", "left", "sump 1", "-3", "~", "&a b", "*a", "<<", "\t", "'", "{a: b}"}),
			rapid.String(),
		).Draw(rt, "value")
		switch rapid.IntRange(0, 3).Draw(rt, "change") {
		case 0: // another value
			if key, _, found := strings.Cut(lines[i], ":"); found {
				lines[i] = key + ": " + value
			} else if key, _, found := strings.Cut(lines[i], "="); found {
				lines[i] = key + "= " + value
			}
		case 1: // gone
			lines = append(lines[:i:i], lines[i+1:]...)
		case 2: // twice
			lines = append(lines[:i+1:i+1], lines[i:]...)
		case 3: // indented
			lines[i] = "  " + lines[i]
		}
		data := []byte(strings.Join(lines, "\n"))
		if read(t, name, data) == nil {
			return
		}
		if v, ok := asJSON(t, name, data); ok {
			if err := schema.Validate(v); err != nil {
				rt.Fatalf("read without an error, and the schema says %v:\n%s", err, data)
			}
		}
	})
}
