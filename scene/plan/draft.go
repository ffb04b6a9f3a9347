package plan

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"undercroft/scene"
)

// A Draft is a plan that can be read with changes: every place that hangs on
// what was changed is derived anew, as if the file had said so. A draft never
// changes; it may be used from several goroutines at once.
type Draft struct {
	file string
	root *node
}

// An Edit is a change of one value of a plan.
type Edit struct {
	// Key is the key path, as sump.at, sump.at.left or equipment[2].turn. Tables
	// on the way to it that are not there are made; an index that is one past the
	// end of a list adds to it.
	Key string
	// Value is what stands there, as YAML: 20 1/4, [28, 13, 15 1/2] or {left: 4}.
	// "" takes the key, or the item of a list, out.
	Value string
}

// NewDraft parses a plan file. The name tells the format, as for Read. An error
// is of type Errors; what is wrong with the values is told by Draft.Read.
func NewDraft(name string, data []byte) (*Draft, error) {
	r := &reader{file: name}
	root := r.parse(data)
	if len(r.errs) > 0 {
		return nil, r.errs.sorted(r.lost)
	}
	return &Draft{name, root}, nil
}

// Read reads the draft into a scene, as Read reads a file. Errors tell positions
// in the file the draft was made from; what was changed has the position of what
// it took the place of, or of the table it was added to.
func (d *Draft) Read() (*scene.Scene, error) {
	r := newReader(d.file)
	return r.scene(d.root, false)
}

// With returns the draft with changes, made one after the other. It is an error
// if a key path leads nowhere or a value is no YAML.
func (d *Draft) With(edits ...Edit) (*Draft, error) {
	out := &Draft{d.file, d.root}
	for _, e := range edits {
		path, err := splitKey(e.Key)
		if err != nil {
			return nil, err
		}
		var value *node
		if e.Value != "" {
			if value, err = parseValue(e.Value); err != nil {
				return nil, fmt.Errorf("%s: %w", e.Key, err)
			}
		}
		if out.root, err = out.root.edited(path, value); err != nil {
			return nil, fmt.Errorf("%s: %w", e.Key, err)
		}
	}
	return out, nil
}

// Value returns what stands under a key path, as YAML on one line; false where
// nothing does.
func (d *Draft) Value(key string) (string, bool) {
	path, err := splitKey(key)
	if err != nil {
		return "", false
	}
	n := d.root
	for _, s := range path {
		if n = n.child(s); n == nil {
			return "", false
		}
	}
	out, err := yaml.Marshal(n.yaml(true))
	if err != nil {
		return "", false
	}
	return strings.TrimSpace(string(out)), true
}

// YAML returns the draft as a plan file in YAML. Comments of the file it was
// made from are not in it.
func (d *Draft) YAML() ([]byte, error) {
	var b strings.Builder
	enc := yaml.NewEncoder(&b)
	enc.SetIndent(2)
	if err := enc.Encode(d.root.yaml(false)); err != nil {
		return nil, err
	}
	if err := enc.Close(); err != nil {
		return nil, err
	}
	return []byte(b.String()), nil
}

// A step of a key path is a key, or an index where key is "".
type step struct {
	key   string
	index int
}

// splitKey splits a key path at its dots and brackets.
func splitKey(key string) ([]step, error) {
	var out []step
	for part := range strings.SplitSeq(key, ".") {
		name, rest, indexed := strings.Cut(part, "[")
		if name == "" {
			return nil, fmt.Errorf("%q is no key path", key)
		}
		out = append(out, step{key: name})
		for indexed {
			var number string
			var closed bool
			number, rest, closed = strings.Cut(rest, "]")
			i, err := strconv.Atoi(number)
			if err != nil || !closed || i < 0 {
				return nil, fmt.Errorf("%q is no key path", key)
			}
			out = append(out, step{index: i})
			if rest == "" {
				break
			}
			if rest, indexed = strings.CutPrefix(rest, "["); !indexed {
				return nil, fmt.Errorf("%q is no key path", key)
			}
		}
	}
	return out, nil
}

// parseValue parses one value written as YAML.
func parseValue(text string) (*node, error) {
	r := &reader{file: "value"}
	n := r.parseYAML([]byte(text))
	if len(r.errs) > 0 {
		return nil, errors.New(r.errs[0].Message)
	}
	return n, nil
}

// child returns what stands under a step of n; nil where nothing does.
func (n *node) child(s step) *node {
	switch {
	case n.kind == table && s.key != "":
		return n.value(s.key)
	case n.kind == list && s.key == "" && s.index < len(n.items):
		return n.items[s.index]
	}
	return nil
}

// edited returns n with value at path, or without what stands there where value
// is nil. What is not on the path is shared with n.
func (n *node) edited(path []step, value *node) (*node, error) {
	if len(path) == 0 {
		return value.placedAt(n.pos), nil
	}
	s := path[0]
	old := n.child(s)
	if old == nil {
		if value == nil {
			return n, nil // it is not there already
		}
		old = &node{kind: table, pos: n.pos}
		if len(path) > 1 && path[1].key == "" {
			old.kind = list
		}
	}
	next := value
	if len(path) > 1 || value != nil {
		var err error
		if next, err = old.edited(path[1:], value); err != nil {
			return nil, err
		}
	}
	out := &node{kind: n.kind, pos: n.pos}
	switch {
	case n.kind == table && s.key != "":
		for _, e := range n.entries {
			if e.key != s.key {
				out.add(e)
			} else if next != nil {
				out.add(entry{e.key, e.pos, next})
			}
		}
		if next != nil && n.find(s.key) < 0 {
			out.add(entry{s.key, n.pos, next})
		}
	case n.kind == list && s.key == "" && s.index <= len(n.items):
		out.items = slices.Clone(n.items)
		switch {
		case next == nil:
			out.items = slices.Delete(out.items, s.index, s.index+1)
		case s.index == len(n.items):
			out.items = append(out.items, next)
		default:
			out.items[s.index] = next
		}
	default:
		return nil, fmt.Errorf("it leads nowhere: %s stands there", n.kind)
	}
	return out, nil
}

// placedAt returns n with everything in it at one position.
func (n *node) placedAt(p pos) *node {
	out := &node{kind: n.kind, pos: p, text: n.text, null: n.null}
	for _, i := range n.items {
		out.items = append(out.items, i.placedAt(p))
	}
	for _, e := range n.entries {
		out.add(entry{e.key, p, e.value.placedAt(p)})
	}
	return out
}

// yaml returns n as the YAML library writes it: what holds single values only on
// one line, and everything where flow says so.
func (n *node) yaml(flow bool) *yaml.Node {
	out := &yaml.Node{}
	simple := true
	switch n.kind {
	case scalar:
		out.Kind, out.Value = yaml.ScalarNode, n.text
		switch strings.ToLower(n.text) {
		case "null", "~", "":
			out.Tag = "!!null"
			if !n.null {
				out.Tag, out.Style = "!!str", yaml.DoubleQuotedStyle
			}
		}
		return out
	case list:
		out.Kind = yaml.SequenceNode
		for _, i := range n.items {
			simple = simple && i.kind == scalar
			out.Content = append(out.Content, i.yaml(flow))
		}
	case table:
		out.Kind = yaml.MappingNode
		for _, e := range n.entries {
			simple = simple && e.value.kind == scalar
			out.Content = append(out.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: e.key}, e.value.yaml(flow))
		}
	case anyKind: // of shapes, not of nodes
	}
	// A long table reads better key by key.
	const few = 5
	if flow || simple && len(n.entries) < few {
		out.Style = yaml.FlowStyle
	}
	return out
}
