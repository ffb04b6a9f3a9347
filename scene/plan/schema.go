package plan

import (
	"bytes"
	"encoding/json"
	"slices"
)

// A schema is a JSON schema, draft 7, as far as plans need it.
type schema struct {
	Schema               string     `json:"$schema,omitempty"`
	Title                string     `json:"title,omitempty"`
	Description          string     `json:"description,omitempty"`
	Type                 any        `json:"type,omitempty"` // a string or several
	Const                any        `json:"const,omitempty"`
	Enum                 []any      `json:"enum,omitempty"`
	Pattern              string     `json:"pattern,omitempty"`
	Minimum              *float64   `json:"minimum,omitempty"`
	ExclusiveMinimum     *float64   `json:"exclusiveMinimum,omitempty"`
	Maximum              *float64   `json:"maximum,omitempty"`
	Items                *schema    `json:"items,omitempty"`
	MinItems             *int       `json:"minItems,omitempty"`
	MaxItems             *int       `json:"maxItems,omitempty"`
	Properties           properties `json:"properties,omitempty"`
	Required             []string   `json:"required,omitempty"`
	AdditionalProperties *bool      `json:"additionalProperties,omitempty"`
	AnyOf                []*schema  `json:"anyOf,omitempty"`
	Not                  *schema    `json:"not,omitempty"`
}

// A property is a key of an object.
type property struct {
	key    string
	schema *schema
}

// properties keep the order of the table of keys.
type properties []property

// MarshalJSON writes the properties as one object, in order.
func (ps properties) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, p := range ps {
		if i > 0 {
			b.WriteByte(',')
		}
		k, err := json.Marshal(p.key)
		if err != nil {
			return nil, err
		}
		v, err := json.Marshal(p.schema)
		if err != nil {
			return nil, err
		}
		b.Write(k)
		b.WriteByte(':')
		b.Write(v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// Schema returns the JSON schema of plans, draft 7, from the same table of keys
// that Read uses. It holds what a schema can say: keys, kinds of values, words to
// choose from and signs; not what keys say together.
func Schema() []byte {
	s := planShape.describe()
	s.Schema = "http://json-schema.org/draft-07/schema#"
	s.Title = "undercroft plan"
	s.AnyOf = []*schema{{Required: []string{"sump"}}, {Required: []string{"equipment"}}}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		panic("plan: the schema is strings and numbers: " + err.Error())
	}
	return b.Bytes()
}

// lengthSchema describes lengths of a sign: numbers, or text that begins like
// one.
func lengthSchema(s sign) func() *schema {
	return func() *schema {
		number := &schema{Type: "number"}
		pattern := unsignedPattern
		zero, most := 0.0, 100_000.0 // 100 m in mm; in other units the reader decides
		number.Maximum = &most
		switch s {
		case positive:
			number.ExclusiveMinimum = &zero
		case notNegative:
			number.Minimum = &zero
		case anySign:
			pattern = signedPattern
		}
		return &schema{AnyOf: []*schema{number, {Type: "string", Pattern: pattern}}}
	}
}

const (
	// A quantity is a number, decimal, fraction or mixed, and a unit that needs
	// not be there.
	unsignedPattern = `^\s*\+?[0-9.½¼¾⅛⅜⅝⅞]`
	signedPattern   = `^\s*[-+−–]?[0-9.½¼¾⅛⅜⅝⅞]`
)

func quantitySchema() *schema {
	zero := 0.0
	return &schema{AnyOf: []*schema{{Type: "number", Minimum: &zero}, {Type: "string", Pattern: unsignedPattern}}}
}

func signedSchema() *schema {
	return &schema{AnyOf: []*schema{{Type: "number"}, {Type: "string", Pattern: signedPattern}}}
}

// unitSchema describes a quantity that needs its unit.
func unitSchema() *schema {
	return &schema{Type: "string", Pattern: signedPattern + `.*[A-Za-z²2]\s*$`}
}

// textSchema describes any text that is not empty; a number or a yes is text too.
func textSchema() *schema {
	return &schema{Type: []string{"string", "number", "boolean"}, Pattern: `\S`}
}

// homesOf returns the tables of s in which a key is known, as
// "cabinet.openings", the first three.
func homesOf(s *schema, key string) []string {
	var homes []string
	var walk func(path string, s *schema)
	walk = func(path string, s *schema) {
		for _, p := range s.Properties {
			if p.key == key && path != "" && !slices.Contains(homes, path) {
				homes = append(homes, path)
			}
			walk(join(path, p.key), p.schema)
		}
		if s.Items != nil {
			walk(path, s.Items)
		}
		for _, a := range s.AnyOf {
			walk(path, a)
		}
	}
	walk("", s)
	return homes[:min(len(homes), 3)]
}
