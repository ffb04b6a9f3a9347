package plan

import (
	"bytes"
	"slices"
	"strings"
	"unicode/utf8"
)

// Rewrite returns a plan file with changes, made one after the other. Where they
// only add keys to tables of a YAML file, the rest of it stays as it is, comments
// and all, and kept is true; else the whole plan is written anew as YAML, without
// comments. Errors are those of NewDraft and With.
func Rewrite(name string, data []byte, edits ...Edit) (text []byte, kept bool, err error) {
	d, err := NewDraft(name, data)
	if err != nil {
		return nil, false, err
	}
	if d, err = d.With(edits...); err != nil {
		return nil, false, err
	}
	if f, _ := formatOf(name); f == formatYAML {
		if text, ok := inserted(name, data, edits); ok {
			// What was put in must say what the changes say, and nothing else.
			if again, err := NewDraft(name, text); err == nil && again.root.same(d.root) {
				return text, true, nil
			}
		}
	}
	text, err = d.YAML()
	return text, false, err
}

// inserted puts keys into the text of a YAML file; false where that is not what the
// changes are.
func inserted(name string, data []byte, edits []Edit) ([]byte, bool) {
	mark := []byte("\xef\xbb\xbf")
	text, marked := bytes.CutPrefix(data, mark)
	for _, e := range edits {
		path, err := splitKey(e.Key)
		if err != nil || e.Value == "" || strings.ContainsAny(e.Value, "\r\n") {
			return nil, false
		}
		d, err := NewDraft(name, text)
		if err != nil {
			return nil, false
		}
		n := d.root
		for _, s := range path[:len(path)-1] {
			if n = n.child(s); n == nil {
				return nil, false
			}
		}
		last := path[len(path)-1]
		if n.kind != table || last.key == "" || n.find(last.key) >= 0 || len(n.entries) == 0 {
			return nil, false
		}
		at, line := n.room(text)
		text = slices.Concat(text[:at], []byte(strings.Replace(line, "\x00", last.key+": "+e.Value, 1)), text[at:])
	}
	if marked {
		text = append(mark, text...)
	}
	return text, true
}

// room returns where in the text a key of a table can be put in, behind its first
// one, and the text around what is put there, which is a zero byte in it.
func (n *node) room(text []byte) (at int, line string) {
	l := newLines(text)
	flow := n.offset(l) < len(text) && text[n.offset(l)] == '{'
	second := len(n.entries) > 1
	switch {
	case flow && second:
		return l.offset(n.entries[1].pos), "\x00, "
	case flow:
		return l.offset(n.entries[0].pos), "\x00, "
	}
	// On a line of its own, before the second key and what is said above that.
	row := n.entries[0].pos.line + 1
	if second {
		row = n.entries[1].pos.line
		for row-1 > n.entries[0].pos.line {
			if above := strings.TrimSpace(l.text(row - 1)); above != "" && !strings.HasPrefix(above, "#") {
				break
			}
			row--
		}
	}
	end := "\n"
	if bytes.Contains(text, []byte("\r\n")) {
		end = "\r\n"
	}
	line = strings.Repeat(" ", n.entries[0].pos.column-1) + "\x00" + end
	at = len(text)
	if row <= len(l.starts) {
		at = l.starts[row-1]
	} else if !bytes.HasSuffix(text, []byte("\n")) {
		line = end + line
	}
	return at, line
}

// offset returns where a node begins.
func (n *node) offset(l lines) int { return l.offset(n.pos) }

// offset returns the byte at a position.
func (l lines) offset(p pos) int {
	i := l.starts[max(0, min(p.line, len(l.starts))-1)]
	for range p.column - 1 {
		if i >= len(l.data) {
			break
		}
		_, size := utf8.DecodeRune(l.data[i:])
		i += size
	}
	return i
}

// same tells whether two trees say the same, in whatever order of keys.
func (n *node) same(m *node) bool {
	if n.kind != m.kind || n.text != m.text || n.null != m.null || len(n.items) != len(m.items) || len(n.entries) != len(m.entries) {
		return false
	}
	for i := range n.items {
		if !n.items[i].same(m.items[i]) {
			return false
		}
	}
	for _, e := range n.entries {
		if v := m.value(e.key); v == nil || !e.value.same(v) {
			return false
		}
	}
	return true
}
