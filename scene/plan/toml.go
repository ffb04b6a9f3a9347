package plan

import (
	"bytes"
	"errors"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// parseTOML reads one TOML document.
func (r *reader) parseTOML(data []byte) *node {
	l := newLines(data)
	if len(bytes.TrimSpace(data)) == 0 {
		return &node{null: true, pos: pos{1, 1}}
	}
	// The library calls itself for every bracket, and compares every key with
	// those before it: a file of brackets alone would use up the stack, one of
	// keys alone a minute.
	if at, what := tooMuch(data); what != "" {
		r.fail(where{pos: l.at(at)}, what, "")
		return nil
	}
	// The library judges the text whole, its tables and keys too; the pass below
	// gathers positions, also those of what stands twice, which the library does
	// not tell.
	var whole map[string]any
	err := toml.Unmarshal(data, &whole)
	if bad, ok := errors.AsType[*toml.DecodeError](err); ok {
		line, column := bad.Position()
		r.fail(where{pos: pos{line, column}}, "not TOML here: "+strings.TrimPrefix(err.Error(), "toml: "),
			"lengths with a fraction or a unit go in quotes")
		return nil
	}
	t := &tomlReader{r: r, lines: l, headed: map[*node]where{}}
	root := t.read(data)
	if err != nil && len(r.errs) == 0 {
		r.fail(where{pos: pos{1, 1}}, "not TOML: "+strings.TrimPrefix(err.Error(), "toml: "), "each key and each table stands once")
	}
	return root
}

// read gathers the tree of a text.
func (t *tomlReader) read(data []byte) *node {
	t.parser.Reset(data)
	root := &node{kind: table, pos: pos{1, 1}}
	group := root // what key = value lines are put into
	var path string
	for t.parser.NextExpression() && !t.stop {
		e := t.parser.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			t.keyValue(group, path, e, 1)
		case unstable.Table:
			keys := t.keys(e.Key())
			group, path = t.group(root, "", keys)
			at := where{keys[len(keys)-1].pos, path}
			if first, again := t.headed[group]; again {
				t.r.fail(at, "the table stands here a second time", "keep one of the two", first)
			}
			t.headed[group] = at
		case unstable.ArrayTable:
			keys := t.keys(e.Key())
			last := keys[len(keys)-1]
			group, path = t.group(root, "", keys[:len(keys)-1])
			next := &node{kind: table, pos: last.pos}
			items := group.value(last.name)
			if items == nil {
				items = &node{kind: list, pos: last.pos}
				group.add(entry{last.name, last.pos, items})
			}
			items.items = append(items.items, next)
			group, path = next, item(join(path, last.name), len(items.items)-1)
		case unstable.Invalid, unstable.Comment, unstable.Key, unstable.Array, unstable.InlineTable, unstable.String,
			unstable.Bool, unstable.Float, unstable.Integer, unstable.LocalDate, unstable.LocalTime,
			unstable.LocalDateTime, unstable.DateTime: // these do not stand on a line of their own
		}
	}
	return root
}

// tooMuch returns where brackets outside of strings and comments lie deeper than
// a plan needs, or where there are more keys and values, and which of the two.
func tooMuch(data []byte) (at int, what string) {
	depth, values := 0, 0
	for i := 0; i < len(data); i++ {
		switch data[i] {
		case '[', '{', '=', ',', '.':
			if values++; values > mostValues {
				return i, tooMany
			}
		}
		switch data[i] {
		case '[', '{':
			if depth++; depth > deepest {
				return i, tooDeep
			}
		case ']', '}':
			depth--
		case '#':
			if n := bytes.IndexByte(data[i:], '\n'); n >= 0 {
				i += n
			} else {
				return 0, ""
			}
		case '"', '\'':
			i = stringEnd(data, i)
		}
	}
	return 0, ""
}

// stringEnd returns the index of the last byte of the TOML string that starts at
// i, or of the last byte of data where the string does not end.
func stringEnd(data []byte, i int) int {
	mark := data[i : i+1]
	if long := bytes.Repeat(mark, 3); bytes.HasPrefix(data[i:], long) {
		mark = long
	}
	for k := i + len(mark); k < len(data); k++ {
		switch {
		case data[k] == '\\' && mark[0] == '"':
			k++
		case data[k] == '\n' && len(mark) == 1: // not TOML: the reader will say so
			return k
		case bytes.HasPrefix(data[k:], mark):
			return k + len(mark) - 1
		}
	}
	return len(data) - 1
}

// A tomlReader turns the expressions of a valid TOML text into nodes.
type tomlReader struct {
	r      *reader
	lines  lines
	parser unstable.Parser
	headed map[*node]where // tables that a [header] began, and where
	stop   bool            // too deep
}

// A tomlKey is one part of a dotted key.
type tomlKey struct {
	name string
	pos  pos
}

func (t *tomlReader) keys(it unstable.Iterator) []tomlKey {
	var out []tomlKey
	for it.Next() {
		n := it.Node()
		out = append(out, tomlKey{string(n.Data), t.lines.at(int(n.Raw.Offset))})
	}
	return out
}

// group returns the table at the end of keys, made where it is missing; of a
// list of tables its last.
func (t *tomlReader) group(n *node, path string, keys []tomlKey) (*node, string) {
	if len(keys) > deepest {
		t.r.fail(where{keys[deepest].pos, path}, tooDeep, shallower)
		t.stop = true
		keys = keys[:deepest]
	}
	for _, k := range keys {
		next := n.value(k.name)
		if next == nil {
			next = &node{kind: table, pos: k.pos}
			n.add(entry{k.name, k.pos, next})
		}
		path = join(path, k.name)
		if next.kind == list && len(next.items) > 0 {
			path = item(path, len(next.items)-1)
			next = next.items[len(next.items)-1]
		}
		n = next
	}
	return n, path
}

// keyValue puts the value of a line, or of a pair in braces, into the table n.
func (t *tomlReader) keyValue(n *node, path string, e *unstable.Node, depth int) {
	keys := t.keys(e.Key())
	last := keys[len(keys)-1]
	n, path = t.group(n, path, keys[:len(keys)-1])
	t.r.put(n, path, entry{last.name, last.pos, t.value(e.Value(), last.pos, depth)})
}

// value turns a value into a node; at is where it stands if the library does
// not tell.
func (t *tomlReader) value(v *unstable.Node, at pos, depth int) *node {
	n := &node{pos: at}
	if v.Raw.Length > 0 {
		n.pos = t.lines.at(int(v.Raw.Offset))
	}
	switch v.Kind {
	case unstable.Array:
		n.kind = list
		for it := v.Children(); it.Next(); {
			n.items = append(n.items, t.value(it.Node(), n.pos, depth+1))
		}
		if len(n.items) > 0 {
			n.pos = n.items[0].pos
		}
	case unstable.InlineTable:
		n.kind = table
		for it := v.Children(); it.Next(); {
			t.keyValue(n, "", it.Node(), depth+1)
		}
	case unstable.String:
		n.text = string(v.Data)
		n.null = n.text == ""
	case unstable.Integer, unstable.Float:
		n.text = strings.ReplaceAll(string(v.Data), "_", "")
	case unstable.Bool, unstable.LocalDate, unstable.LocalTime, unstable.LocalDateTime, unstable.DateTime:
		n.text = string(v.Data)
		n.pos = t.lines.at(int(t.parser.Range(v.Data).Offset))
	case unstable.Invalid, unstable.Comment, unstable.Key, unstable.KeyValue, unstable.Table, unstable.ArrayTable:
		n.bad = true // these are no values
	}
	return n
}
