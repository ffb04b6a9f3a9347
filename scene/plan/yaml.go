package plan

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"undercroft/scene/unit"
)

// A lineReader hands out a file line by line and counts. The YAML library reads
// only as far as it must, so that the count tells where it stopped; the lines in
// its own messages are those where the group began that it could not end.
type lineReader struct {
	rest  []byte
	lines int
}

// Read implements io.Reader.
func (l *lineReader) Read(p []byte) (int, error) {
	if len(l.rest) == 0 {
		return 0, io.EOF
	}
	n := min(len(p), len(l.rest))
	if i := bytes.IndexByte(l.rest[:n], '\n'); i >= 0 {
		n = i + 1
		l.lines++
	} else if n == len(l.rest) {
		l.lines++
	}
	copy(p, l.rest[:n])
	l.rest = l.rest[n:]
	return n, nil
}

// parseYAML reads one YAML document.
func (r *reader) parseYAML(data []byte) *node {
	// The library ends lines at these too; so that both count alike, all end alike.
	data = bytes.ReplaceAll(bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n"))
	in := &lineReader{rest: data}
	dec := yaml.NewDecoder(in)
	var doc yaml.Node
	err := dec.Decode(&doc)
	if errors.Is(err, io.EOF) {
		return &node{null: true, pos: pos{1, 1}}
	}
	if err != nil {
		r.failYAML(newLines(data), in.lines, err)
		return nil
	}
	root := r.fromYAML(doc.Content[0], "", 0)
	var second yaml.Node
	switch err := dec.Decode(&second); {
	case errors.Is(err, io.EOF):
	case err != nil:
		r.failYAML(newLines(data), in.lines, err)
		return nil
	default:
		r.fail(where{pos: pos{second.Line, second.Column}}, "a second document starts here",
			"one file holds one plan: take out the line ---")
	}
	return root
}

var (
	yamlProblem = regexp.MustCompile(`^yaml: (?:line (\d+): )?`)
	// A quoted value with more behind it.
	afterQuote = regexp.MustCompile(`[:\[,-]\s*("[^"]*"|'[^']*')\s*[^\s,\]}#:]`)
)

// failYAML tells a mistake in the YAML itself; read is how many lines were read
// until it was met.
func (r *reader) failYAML(l lines, read int, err error) {
	prefix := yamlProblem.FindStringSubmatch(err.Error())
	what := strings.TrimPrefix(err.Error(), prefix[0])
	hint := "look at this line and the one before it"
	at := l.line(read)
	has := func(text string) bool { return strings.Contains(what, text) }
	switch {
	case has("unexpected end of stream"):
		// Here alone the library names the better line: where the quote opens.
		if n, err := strconv.Atoi(prefix[1]); err == nil {
			at = l.line(n)
		}
		what, hint = "a quote is opened here and not closed", "close it, or leave quotes out"
	case has("tab character") || strings.ContainsRune(l.indent(at.line), '\t'):
		what, hint = "this line is indented with a tab", "indent with spaces"
	case has("character that cannot start any token"):
		what, hint = "a character stands here that cannot begin a value", "put text that starts with a mark in quotes"
	case has("mapping values are not allowed"):
		what, hint = "a key stands where none can be", "is the line indented like its neighbours? put text with a colon in quotes"
	case has("did not find expected key"):
		what, hint = "this line does not belong to the keys above it", "is it indented like its neighbours?"
		for n := max(1, at.line-1); n <= at.line; n++ {
			if m := afterQuote.FindStringSubmatchIndex(l.text(n)); m != nil {
				at = pos{n, utf8.RuneCountInString(l.text(n)[:m[2]]) + 1}
				what, hint = "something stands behind a closing quote", `put the whole value in quotes: '20 1/4"'`
			}
		}
	case has("could not find expected ':'"):
		what, hint = "here, or just before, is a key without a colon", "write key: value; an item of a list begins with -"
	case has("expected ',' or"):
		what, hint = "a comma or a closing bracket is missing before this", "write [1, 2, 3] or {key: value, key: value}"
	case has("expected '-' indicator"):
		what, hint = "this line does not belong to the list above it", "begin it with - like the others, or indent it"
	case has("node content"):
		what, hint = "a value is missing here", "write a value, or take the line out"
	case has("exceeded max depth"):
		what, hint = tooDeep, shallower
	}
	r.fail(where{pos: at}, what, hint)
}

// fromYAML turns a YAML node into a node of ours; a bad one where it holds what a
// plan may not.
func (r *reader) fromYAML(y *yaml.Node, path string, depth int) *node {
	at := where{pos{y.Line, y.Column}, path}
	n := &node{pos: at.pos, bad: true}
	r.values++
	switch {
	case r.values > mostValues:
		if r.values == mostValues+1 {
			r.fail(at, tooMany, "")
		}
		return n
	case depth > deepest:
		r.fail(at, tooDeep, shallower)
		return n
	case y.Anchor != "":
		r.fail(at, fmt.Sprintf("an anchor (%s) stands here", unit.Quote("&"+y.Anchor)), "write the value out wherever it is needed")
		return n
	case y.Style&yaml.TaggedStyle != 0:
		r.fail(at, fmt.Sprintf("a tag (%s) stands here", unit.Quote(y.Tag)), "take it out")
		return n
	case y.Kind == yaml.AliasNode:
		r.fail(at, fmt.Sprintf("an alias (%s) stands here", unit.Quote("*"+y.Value)), "write the value out wherever it is needed")
		return n
	}
	n.bad = false
	switch y.Kind {
	case yaml.ScalarNode:
		n.text = y.Value
		n.null = y.Tag == "!!null" || y.Value == ""
	case yaml.SequenceNode:
		n.kind = list
		for i, c := range y.Content {
			n.items = append(n.items, r.fromYAML(c, item(path, i), depth+1))
		}
	case yaml.MappingNode:
		n.kind = table
		for i := 0; i+1 < len(y.Content); i += 2 {
			k, v := y.Content[i], y.Content[i+1]
			at := where{pos{k.Line, k.Column}, path}
			switch {
			case k.Tag == "!!merge":
				r.fail(at, "a merge key (<<) stands here", "write the keys out wherever they are needed")
				n.partly = true
			case k.Kind != yaml.ScalarNode || k.Anchor != "" || k.Style&yaml.TaggedStyle != 0:
				r.fail(at, "a key is a plain word here", "write key: value")
				n.partly = true
			default:
				r.put(n, path, entry{k.Value, at.pos, r.fromYAML(v, join(path, k.Value), depth+1)})
			}
		}
	case yaml.DocumentNode, yaml.AliasNode: // handled before
	}
	return n
}

// item appends an index to a key path.
func item(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }
