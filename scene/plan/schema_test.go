package plan_test

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"

	"undercroft/scene/plan"
)

func compileSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(plan.Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("plan.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("plan.schema.json")
	if err != nil {
		t.Fatalf("the schema is no JSON schema: %v", err)
	}
	return s
}

// asJSON returns a plan file as the values a schema is held against, the way
// another program reads it; false where it does not.
func asJSON(t *testing.T, name string, data []byte) (any, bool) {
	t.Helper()
	var v any
	var err error
	switch filepath.Ext(name) {
	case ".toml":
		err = toml.Unmarshal(data, &v)
	case ".json":
		err = json.Unmarshal(data, &v)
	default:
		err = yaml.Unmarshal(data, &v)
	}
	if err != nil {
		return nil, false
	}
	again, err := json.Marshal(v)
	if err != nil { // NaN, keys that are no text
		return nil, false
	}
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(again))
	return out, err == nil
}

func TestSchemaAcceptsGoodPlans(t *testing.T) {
	t.Parallel()
	s := compileSchema(t)
	for name, data := range goodPlans(t) {
		v, ok := asJSON(t, name, data)
		if !ok {
			t.Errorf("%s is read by plan.Read and by no one else", name)
			continue
		}
		if err := s.Validate(v); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What a schema can say it says: keys that are missing or unknown, values of the
// wrong kind, words that cannot stand there. What keys say together it cannot.
func TestSchemaRejectsWrongPlans(t *testing.T) {
	t.Parallel()
	s := compileSchema(t)
	rejected, accepted := map[string]int{}, map[string][]string{}
	for _, archive := range archives(t) {
		family := strings.TrimSuffix(filepath.Base(archive), ".txtar")
		for _, p := range wrongPlans(t, archive) {
			v, ok := asJSON(t, p.name, []byte(p.text))
			if !ok {
				continue // no values to hold against a schema
			}
			if s.Validate(v) != nil {
				rejected[family]++
			} else {
				accepted[family] = append(accepted[family], p.name)
			}
		}
	}
	// Of the family of keys only what another reader changes before the schema
	// sees it may pass.
	if len(accepted["keys"]) > 0 {
		t.Errorf("the schema accepts %q", accepted["keys"])
	}
	for family, least := range map[string]int{"keys": 29, "quantities": 13, "cabinet": 10, "bodies": 6, "tanks": 5, "things": 10} {
		if rejected[family] < least {
			t.Errorf("of the wrong plans in %s the schema rejects %d, want at least %d; it accepts %q", family, rejected[family], least, accepted[family])
		}
	}
}

// The schema is draft 7, which editors know, and the same on every run.
func TestSchemaDraft(t *testing.T) {
	t.Parallel()
	a, b := plan.Schema(), plan.Schema()
	if !bytes.Equal(a, b) {
		t.Error("two runs give two schemas")
	}
	var head struct {
		Schema     string         `json:"$schema"`
		Properties map[string]any `json:"properties"`
	}
	if err := json.Unmarshal(a, &head); err != nil || head.Schema != "http://json-schema.org/draft-07/schema#" || len(head.Properties) < 13 {
		t.Errorf("got %+v, %v", head, err)
	}
}

// Every key tells in the schema what it is for.
func TestSchemaDescribesEveryKey(t *testing.T) {
	t.Parallel()
	var doc any
	if err := json.Unmarshal(plan.Schema(), &doc); err != nil {
		t.Fatal(err)
	}
	keys := 0
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			if ps, ok := v["properties"].(map[string]any); ok {
				for k, p := range ps {
					keys++
					d, _ := p.(map[string]any)["description"].(string)
					if !strings.HasSuffix(d, ".") && path != "/properties/gaps" {
						t.Errorf("%s/%s: description %q", path, k, d)
					}
				}
			}
			for k, c := range v {
				walk(path+"/"+k, c)
			}
		case []any:
			for _, c := range v {
				walk(path, c)
			}
		}
	}
	walk("", doc)
	if keys < 150 {
		t.Errorf("%d keys were looked at, want all", keys)
	}
}
