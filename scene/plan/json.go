package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
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
		r.fail(where{pos: l.at(at)}, "not JSON here: "+what, "mind commas, quotes and brackets; JSON knows no comments")
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
	stop  bool // too deep
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

// value reads the next value; nil where it lies too deep.
func (j *jsonReader) value(path string, depth int) *node {
	t, at := j.next()
	n := &node{pos: at}
	if depth > deepest {
		j.r.fail(where{at, path}, "values lie too deep one inside the other", "")
		j.stop = true
	}
	if j.stop {
		return nil
	}
	switch t := t.(type) {
	case json.Delim:
		if t == '[' {
			n.kind = list
			for j.dec.More() && !j.stop {
				if v := j.value(item(path, len(n.items)), depth+1); v != nil {
					n.items = append(n.items, v)
				}
			}
		} else {
			n.kind = table
			for j.dec.More() && !j.stop {
				k, at := j.next()
				key, _ := k.(string)
				if v := j.value(join(path, key), depth+1); v != nil {
					j.r.put(n, path, entry{key, at, v})
				}
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
