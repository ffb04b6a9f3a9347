package plan

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"undercroft/scene/unit"
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
	AllOf                []*schema  `json:"allOf,omitempty"`
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

const (
	// A number as people write it: decimal, fraction or mixed. The reader takes
	// no more than this; the pattern may.
	numberPattern = `(?:[0-9]+(?:\s*[-–‑]?\s*[0-9]+\s*)?[/⁄]0*[1-9][0-9]*|[0-9]*\s*[-–‑]?\s*[½¼¾⅛⅜⅝⅞]|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+−]?[0-9]{1,2})?)`
	signPattern   = `[-+−–‑]?`
	inchPattern   = `(?:["″”“]|''|′′|’’|[iI][nN](?:[cC][hH](?:[eE][sS])?)?)`
)

// lengthSchema describes lengths of a sign: numbers, or text with a unit or
// without.
func lengthSchema(s sign) func() *schema {
	return func() *schema {
		number := &schema{Type: "number"}
		start := `^\s*\+?`
		zero, most := 0.0, 100_000.0 // 100 m in mm; in other units the reader decides
		number.Maximum = &most
		switch s {
		case positive:
			number.ExclusiveMinimum = &zero
		case notNegative:
			number.Minimum = &zero
		case anySign:
			start = `^\s*` + signPattern
		}
		pattern := start + numberPattern + `\s*(?:["″”“]|''|′′|’’|['′’‘]|` + foldedUnits(unit.LengthUnits()) + `)?\s*` +
			`(?:[-–‑]?\s*` + numberPattern + `\s*` + inchPattern + `)?\s*$`
		return &schema{AnyOf: []*schema{number, {Type: "string", Pattern: pattern}}}
	}
}

// foldedUnits is a pattern for names of units in small letters and capitals.
func foldedUnits(names []string) string {
	out := make([]string, 0, len(names))
	for _, n := range names {
		var b strings.Builder
		for _, r := range n {
			switch up, low := unicode.ToUpper(r), unicode.ToLower(r); {
			case up != low:
				b.WriteString("[" + string(up) + string(low) + "]")
			default:
				b.WriteString(regexp.QuoteMeta(string(r)))
			}
		}
		out = append(out, b.String())
	}
	return strings.Join(out, "|")
}

// unitsSchema describes a quantity with one of the units, or none where bare
// numbers have a meaning.
func unitsSchema(s sign, bare bool, units func() []string) func() *schema {
	return func() *schema {
		start, zero := `^\s*\+?`, 0.0
		number := &schema{Type: "number", Minimum: &zero}
		if s == anySign {
			start, number = `^\s*`+signPattern, &schema{Type: "number"}
		}
		written := &schema{Type: "string", Pattern: start + numberPattern + `\s*(?:` + foldedUnits(units()) + `)\s*$`}
		if !bare {
			return written
		}
		written.Pattern = strings.TrimSuffix(written.Pattern, `\s*$`) + `?\s*$`
		return &schema{AnyOf: []*schema{number, written}}
	}
}

// numberSchema describes a number without a unit.
func numberSchema() *schema { return unitsSchema(notNegative, true, noUnits)() }

func noUnits() []string { return []string{""} }

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
