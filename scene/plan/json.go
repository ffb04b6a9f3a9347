package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// parseJSON reads one JSON value.
func (r *reader) parseJSON(data []byte) *node {
	l := newLines(data)
	if len(bytes.TrimSpace(data)) == 0 {
		return &node{null: true, pos: pos{1, 1}}
	}
	// The whole text is checked first; after that no token can be wrong.
	var whole json.RawMessage
	if err := json.Unmarshal(data, &whole); err != nil {
		at, what := len(data), err.Error()
		var bad *json.SyntaxError
		if errors.As(err, &bad) {
			at = int(bad.Offset) - 1
		}
		if strings.Contains(what, "unexpected end") {
			what = "the file ends too early"
		}
		hint := "mind commas, quotes and brackets"
		if at < len(data) && bad != nil && !strings.HasPrefix(what, "the file") {
			c, _ := utf8.DecodeRune(data[at:])
			what = fmt.Sprintf("%q cannot stand here", c)
			switch {
			case c == '}' || c == ']':
				hint = "take out the comma before it, or write what is missing"
			case c == '/' || c == '#':
				hint = "JSON knows no comments"
			case strings.Contains(bad.Error(), "after top-level value"):
				what, hint = "something stands behind the end of the plan", "one file holds one plan"
			case strings.Contains(bad.Error(), "in string literal"):
				what, hint = "a quote is not closed on its line", "close it"
			}
		}
		r.fail(where{pos: l.at(at)}, "not JSON here: "+what, hint)
		return nil
	}
	j := &jsonReader{r: r, dec: json.NewDecoder(bytes.NewReader(data)), lines: l}
	j.dec.UseNumber()
	return j.value("", 0)
}

// A jsonReader turns the tokens of a valid JSON text into nodes.
type jsonReader struct {
	r     *reader
	dec   *json.Decoder
	lines lines
	stop  bool // too deep or too many
}

// next returns the next token and where it starts.
func (j *jsonReader) next() (json.Token, pos) {
	i := int(j.dec.InputOffset())
	for i < len(j.lines.data) && strings.IndexByte(" \t\r\n,:", j.lines.data[i]) >= 0 {
		i++
	}
	t, err := j.dec.Token()
	if err != nil { // cannot be: the text is valid
		j.stop = true
	}
	return t, j.lines.at(i)
}

// value reads the next value; a bad one where it lies too deep or is one too
// many.
func (j *jsonReader) value(path string, depth int) *node {
	t, at := j.next()
	n := &node{pos: at}
	j.r.values++
	switch {
	case depth > deepest:
		j.r.fail(where{at, path}, tooDeep, shallower)
		j.stop = true
	case j.r.values > mostValues:
		j.r.fail(where{at, path}, tooMany, "")
		j.stop = true
	}
	if j.stop {
		n.bad = true
		return n
	}
	switch t := t.(type) {
	case json.Delim:
		if t == '[' {
			n.kind = list
			for j.dec.More() && !j.stop {
				n.items = append(n.items, j.value(item(path, len(n.items)), depth+1))
			}
		} else {
			n.kind = table
			for j.dec.More() && !j.stop {
				k, at := j.next()
				key, _ := k.(string)
				j.r.put(n, path, entry{key, at, j.value(join(path, key), depth+1)})
			}
		}
		if !j.stop {
			j.next() // the closing bracket
		}
	case string:
		n.text, n.null = t, t == ""
	case json.Number:
		n.text = t.String()
	case bool:
		n.text = "false"
		if t {
			n.text = "true"
		}
	case nil:
		n.null = true
	}
	return n
}
