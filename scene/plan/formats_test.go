package plan_test

import (
	"encoding/json"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"go.yaml.in/yaml/v3"

	"undercroft/scene/plan"
)

// Every plan that reads is the same scene in each of the three formats.
func TestEveryPlanInThreeFormats(t *testing.T) {
	t.Parallel()
	for name, data := range goodPlans(t) {
		if filepath.Ext(name) != ".yaml" {
			continue
		}
		want, err := plan.Read(name, data)
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := yaml.Unmarshal(data, &v); err != nil {
			t.Fatal(err)
		}
		for ext, marshal := range map[string]func(any) ([]byte, error){".json": json.Marshal, ".toml": toml.Marshal} {
			text, err := marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			got, err := plan.Read(name+ext, text)
			if err != nil {
				t.Errorf("%v\n%s", err, text)
			} else if !reflect.DeepEqual(got, want) {
				t.Errorf("%s reads as\n%s\nin YAML, and%s\n%s", name, strings.Join(want.Describe(), "\n"), ext, strings.Join(got.Describe(), "\n"))
			}
		}
	}
}

// faces are the keys of places, the same wherever one is given; TestPlaces has
// them.
var faces = []string{"left", "right", "front", "back", "up", "down"}

// Every key of the schema stands in a plan that the tests read.
func TestEveryKeyIsRead(t *testing.T) {
	t.Parallel()
	type object = map[string]any
	var top object
	if err := json.Unmarshal(plan.Schema(), &top); err != nil {
		t.Fatal(err)
	}
	unused := map[string]bool{}
	var list func(path string, s object)
	list = func(path string, s object) {
		each(s, func(key string, p object) {
			if !slices.Contains(faces, key) {
				unused[path+"."+key] = true
			}
			list(path+"."+key, p)
		}, func(p object) { list(path+"[]", p) })
	}
	list("", top)
	total := len(unused)
	var use func(path string, s object, v any)
	use = func(path string, s object, v any) {
		each(s, func(key string, p object) {
			if m, ok := v.(object); ok && m[key] != nil {
				delete(unused, path+"."+key)
				use(path+"."+key, p, m[key])
			}
		}, func(p object) {
			items, _ := v.([]any)
			for _, item := range items {
				use(path+"[]", p, item)
			}
		})
	}
	for name, data := range goodPlans(t) {
		v, ok := asJSON(t, name, data)
		if !ok {
			t.Fatalf("%s is read by plan.Read and by no one else", name)
		}
		use("", top, v)
	}
	if len(unused) > 0 || total < 200 {
		t.Errorf("%d of %d keys stand in no plan:\n%s", len(unused), total, strings.Join(slices.Sorted(maps.Keys(unused)), "\n"))
	}
}

// each calls key for each key that a schema knows, and item for what stands in a
// list, also where one of several kinds of value is meant.
func each(s map[string]any, key func(string, map[string]any), item func(map[string]any)) {
	properties, _ := s["properties"].(map[string]any)
	for k, p := range properties {
		key(k, p.(map[string]any))
	}
	if i, ok := s["items"].(map[string]any); ok {
		item(i)
	}
	for _, of := range []string{"anyOf", "allOf"} {
		kinds, _ := s[of].([]any)
		for _, k := range kinds {
			each(k.(map[string]any), key, item)
		}
	}
}
