package plan

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"undercroft/scene/unit"
)

// A kind is what a node is.
type kind int

const (
	scalar kind = iota // a word, number or text
	list
	table // keys with values
)

// String returns the kind in plain words.
func (k kind) String() string {
	return [...]string{"a single value", "a list", "a group of keys"}[k]
}

// A node is one value of a plan file, whatever its format.
type node struct {
	kind    kind
	pos     pos
	text    string         // of a scalar, as it is written, without quotes
	null    bool           // a scalar without a value
	items   []*node        // of a list
	entries []entry        // of a table
	index   map[string]int // of entries, once there are many
	bad     bool           // has its error already: nothing more is said about it
	partly  bool           // a table of which a key could not be read
}

// An entry is a key of a table with its value.
type entry struct {
	key   string
	pos   pos
	value *node
}

// A pos is a line and a column, from 1.
type pos struct{ line, column int }

// value returns the value of a key of a table; nil where there is none.
func (n *node) value(key string) *node {
	if i := n.find(key); i >= 0 {
		return n.entries[i].value
	}
	return nil
}

// many is the number of keys from which on they are looked up in an index.
const many = 32

// find returns the index of a key's entry in a table; -1 where there is none.
func (n *node) find(key string) int {
	if n.index != nil {
		if i, ok := n.index[key]; ok {
			return i
		}
		return -1
	}
	return slices.IndexFunc(n.entries, func(e entry) bool { return e.key == key })
}

// add appends an entry to a table, under a key that it has not yet.
func (n *node) add(e entry) {
	n.entries = append(n.entries, e)
	switch {
	case n.index != nil:
		n.index[e.key] = len(n.entries) - 1
	case len(n.entries) == many:
		n.index = map[string]int{}
		for i, e := range n.entries {
			n.index[e.key] = i
		}
	}
}

const (
	// largest is how large a plan file may be: a plan fills some hundred lines.
	largest = 1 << 20
	// deepest is how deep its values may lie one inside the other; the keys go
	// down to 7.
	deepest = 24
	// mostValues is how many values there may be: a plan has some hundreds.
	mostValues = 10_000
)

const (
	tooDeep   = "values lie too deep one inside the other"
	shallower = "no key of a plan lies that deep: mind brackets and indents"
	tooMany   = "there are too many values for a plan from here on"
)

// A format is a way to write a plan file.
type format int

const (
	formatYAML format = iota
	formatTOML
	formatJSON
)

// formatOf returns the format that a file name tells.
func formatOf(name string) (format, bool) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".yaml", ".yml":
		return formatYAML, true
	case ".toml":
		return formatTOML, true
	case ".json":
		return formatJSON, true
	}
	return 0, false
}

// parse reads a plan file into a tree; nil where it could not be read. What is
// wrong with it is left in r.
func (r *reader) parse(data []byte) *node {
	whole := where{pos: pos{1, 1}}
	f, known := formatOf(r.file)
	switch {
	case !known:
		r.fail(whole, "the file's name does not tell its format", "name it .yaml, .toml or .json")
		return nil
	case len(data) > largest:
		r.fail(whole, fmt.Sprintf("the file is %d kB long, too large for a plan", len(data)/1024),
			"a plan is at most 1 MB")
		return nil
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // the byte order mark that some editors write
	if i := invalidUTF8(data); i >= 0 {
		r.fail(where{pos: newLines(data).at(i)}, "the file is not UTF-8 text here", "save it as UTF-8")
		return nil
	}
	var root *node
	switch f {
	case formatYAML:
		root = r.parseYAML(data)
	case formatTOML:
		root = r.parseTOML(data)
	case formatJSON:
		root = r.parseJSON(data)
	}
	switch {
	case root == nil:
		return nil
	case root.kind == table:
		return root
	case root.kind == scalar && root.null:
		r.fail(whole, "the plan is empty", "write one with `undercroft new FILE`")
	default:
		r.fail(where{pos: root.pos}, fmt.Sprintf("the plan is %s", root.kind),
			"a plan starts with the key format: 1")
	}
	return nil
}

// invalidUTF8 returns where data stops being UTF-8 text; -1 where it is.
func invalidUTF8(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	i := 0
	for i < len(data) {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			break
		}
		i += n
	}
	return i
}

// put adds an entry to the table n. A key that is there already is an error and
// is left out.
func (r *reader) put(n *node, path string, e entry) {
	if i := n.find(e.key); i >= 0 {
		path = join(path, e.key)
		r.fail(where{e.pos, path}, "the key stands here a second time", "keep one of the two", where{n.entries[i].pos, path})
		return
	}
	n.add(e)
}

// join appends a key to a key path.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// lines tells the position of a byte in a file.
type lines struct {
	data   []byte
	starts []int
}

func newLines(data []byte) lines {
	l := lines{data, []int{0}}
	for i, c := range data {
		if c == '\n' {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// at returns the position of the byte at offset i, which may be the end.
func (l lines) at(i int) pos {
	i = max(0, min(i, len(l.data)))
	n, found := slices.BinarySearch(l.starts, i)
	if !found {
		n--
	}
	return pos{n + 1, utf8.RuneCount(l.data[l.starts[n]:i]) + 1}
}

// text returns a line, counted from 1.
func (l lines) text(n int) string {
	n = max(1, min(n, len(l.starts)))
	end := len(l.data)
	if n < len(l.starts) {
		end = l.starts[n]
	}
	return strings.TrimRight(string(l.data[l.starts[n-1]:end]), "\r\n")
}

// indent returns the spaces and tabs at the start of a line.
func (l lines) indent(n int) string {
	t := l.text(n)
	return t[:len(t)-len(strings.TrimLeft(t, " \t"))]
}

// line returns the position of the first character of a line, counted from 1,
// that is no space.
func (l lines) line(n int) pos {
	n = max(1, min(n, len(l.starts)))
	return pos{n, len(l.indent(n)) + 1}
}

// quote shows a node in a message.
func (n *node) quote() string {
	if n.kind != scalar {
		return n.kind.String()
	}
	return unit.Quote(n.text)
}
