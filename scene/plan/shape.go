package plan

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"undercroft/scene/unit"
)

// A reader gathers what is wrong with one plan.
type reader struct {
	file string
	sys  unit.System
	errs Errors
	lost int // errors beyond those that are kept
	// values counts the values of the file while it is parsed.
	values int
	// homes returns the tables in which a key is known.
	homes func(key string) []string
}

// A where is a place in the plan: a position and a key path.
type where struct {
	pos
	path string
}

func (w where) place() Place { return Place{w.line, w.column, w.path} }

// fail notes an error at a place; also are other places that take part.
func (r *reader) fail(at where, message, hint string, also ...where) {
	if len(r.errs) == keptErrors {
		r.lost++
		return
	}
	e := &Error{File: r.file, Place: at.place(), Message: message, Hint: hint}
	for _, w := range also {
		// What the plan does not give has no place.
		if w.line > 0 && !slices.Contains(e.Also, w.place()) {
			e.Also = append(e.Also, w.place())
		}
	}
	r.errs = append(r.errs, e)
}

// A val is the value of a key, where it stands, and whether it could be read.
type val[T any] struct {
	v     T
	at    where // of the value; of the key where there is no value
	given bool  // the key is there, well or ill
	ok    bool  // the key is there and its value was understood
}

// or returns the value, or another where there is none.
func (v val[T]) or(otherwise T) T {
	if v.ok {
		return v.v
	}
	return otherwise
}

// pointer returns the value; nil where there is none.
func (v val[T]) pointer() *T {
	if !v.ok {
		return nil
	}
	return &v.v
}

// usable reports whether the value was understood or left out: a value that is
// wrong has its own error already, and no others are to follow from it.
func (v val[T]) usable() bool { return v.ok || !v.given }

// A shape says what a value may be: it reads one and describes itself for the
// schema.
type shape[T any] struct {
	// what names it for messages, as "a length".
	what string
	kind kind
	// example says what to write instead of something of another kind; "":
	// what.
	example string
	// read returns the value of a node that is not empty and of the right kind;
	// false after noting an error.
	read func(r *reader, n *node, at where) (T, bool)
	// describe returns the schema of the value.
	describe func() *schema
}

// value reads a node by a shape.
func (s shape[T]) value(r *reader, n *node, at where) (v T, ok bool) {
	switch {
	case n.bad:
		return v, false
	case n.null:
		r.fail(at, "no value", fmt.Sprintf("write %s, or take the key out", s.what))
		return v, false
	case n.kind != s.kind && s.kind != anyKind:
		hint := s.example
		if hint == "" {
			hint = "write " + s.what
		}
		r.fail(at, fmt.Sprintf("%s, not %s", n.quote(), s.what), hint)
		return v, false
	}
	return s.read(r, n, at)
}

// anyKind is the kind of shapes that look at the node's kind themselves.
const anyKind kind = -1

// A field is one key of a table that is read into a T.
type field[T any] struct {
	key, doc string
	hint     string // where the key cannot be left out: what to write
	read     func(r *reader, n *node, at where, into *T)
	given    func(*T) bool
	describe func() *schema
}

// key is the key of that name; its value goes where get points.
func key[T, V any](name string, get func(*T) *val[V], s shape[V], doc string) field[T] {
	return field[T]{
		key: name, doc: doc,
		read: func(r *reader, n *node, at where, into *T) {
			v := get(into)
			v.given, v.at = true, at
			v.v, v.ok = s.value(r, n, at)
		},
		given:    func(t *T) bool { return get(t).given },
		describe: s.describe,
	}
}

// needed makes f a key that cannot be left out; hint says what to write.
func (f field[T]) needed(hint string) field[T] {
	f.hint = hint
	return f
}

// within makes fields of a U fields of the T that holds one.
func within[T, U any](get func(*T) *U, fields []field[U]) []field[T] {
	out := make([]field[T], len(fields))
	for i, f := range fields {
		out[i] = field[T]{
			key: f.key, doc: f.doc, hint: f.hint, describe: f.describe,
			read:  func(r *reader, n *node, at where, into *T) { f.read(r, n, at, get(into)) },
			given: func(t *T) bool { return f.given(get(t)) },
		}
	}
	return out
}

// object is a table with the given keys, called what in messages.
func object[T any](what string, all ...field[T]) shape[*T] {
	return shape[*T]{
		what: what, kind: table, example: "write keys below it: " + strings.Join(names(all), ", "),
		read: func(r *reader, n *node, at where) (*T, bool) {
			into := new(T)
			for _, e := range n.entries {
				f := find(all, e.key)
				if f == nil {
					r.unknownKey(where{e.pos, join(at.path, e.key)}, e.key, names(all))
					continue
				}
				value := where{e.value.pos, join(at.path, e.key)}
				if e.value.null {
					value.pos = e.pos
				}
				f.read(r, e.value, value, into)
			}
			for _, f := range all {
				if f.hint != "" && !f.given(into) && !n.partly {
					r.fail(where{at.pos, join(at.path, f.key)}, "missing", f.hint)
				}
			}
			return into, true
		},
		describe: func() *schema {
			s := &schema{Type: "object", AdditionalProperties: new(bool)}
			for _, f := range all {
				p := f.describe()
				p.Description = f.doc
				s.Properties = append(s.Properties, property{f.key, p})
				if f.hint != "" {
					s.Required = append(s.Required, f.key)
				}
			}
			return s
		},
	}
}

func find[T any](fields []field[T], name string) *field[T] {
	for i := range fields {
		if fields[i].key == name {
			return &fields[i]
		}
	}
	return nil
}

func names[T any](fields []field[T]) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = f.key
	}
	return out
}

// unknownKey notes a key that is not in the table: with the nearest one that is,
// or else where it belongs, or else all that could stand there.
func (r *reader) unknownKey(at where, key string, known []string) {
	if len(r.errs) == keptErrors {
		r.lost++
		return
	}
	if near := nearest(key, known); near != "" {
		r.fail(at, "unknown key", fmt.Sprintf("did you mean %s?", near))
		return
	}
	if homes := r.homes(key); len(homes) > 0 {
		r.fail(at, "unknown key here", fmt.Sprintf("%s belongs under %s", key, oneOf(homes)))
		return
	}
	r.fail(at, "unknown key", "here can stand "+strings.Join(known, ", "))
}

// listOf is a list of any length, from least on.
func listOf[T any](what string, least int, s shape[T]) shape[[]val[T]] {
	return shape[[]val[T]]{
		what: what, kind: list, example: "begin each item with -, even if there is one alone",
		read: func(r *reader, n *node, at where) ([]val[T], bool) {
			if len(n.items) < least {
				r.fail(at, fmt.Sprintf("a list of %d, too short", len(n.items)), "write "+what)
				return nil, false
			}
			out := make([]val[T], len(n.items))
			for i, c := range n.items {
				out[i] = val[T]{given: true, at: where{c.pos, item(at.path, i)}}
				out[i].v, out[i].ok = s.value(r, c, out[i].at)
			}
			return out, true
		},
		describe: func() *schema {
			out := &schema{Type: "array", Items: s.describe()}
			if least > 0 {
				out.MinItems = &least
			}
			return out
		},
	}
}

// fixed is a list of as many values as there are names, as "width, depth,
// height".
func fixed[T any](s shape[T], example string, names ...string) shape[[]T] {
	n := len(names)
	what := strings.Join(names, ", ")
	return shape[[]T]{
		what: fmt.Sprintf("a list: %s", what), kind: list, example: "write " + example,
		read: func(r *reader, list *node, at where) ([]T, bool) {
			if len(list.items) != n {
				r.fail(at, fmt.Sprintf("a list of %d, not of %d: %s", len(list.items), n, what), "write "+example)
				return nil, false
			}
			out, all := make([]T, n), true
			for i, c := range list.items {
				v, ok := s.value(r, c, where{c.pos, item(at.path, i)})
				out[i], all = v, all && ok
			}
			return out, all
		},
		describe: func() *schema {
			return &schema{Type: "array", Items: s.describe(), MinItems: &n, MaxItems: &n}
		},
	}
}

// mapped turns what s reads into something else.
func mapped[T, U any](s shape[T], turn func(T) U) shape[U] {
	return shape[U]{
		what: s.what, kind: s.kind, example: s.example, describe: s.describe,
		read: func(r *reader, n *node, at where) (U, bool) {
			v, ok := s.value(r, n, at)
			return turn(v), ok
		},
	}
}

// either is one shape or another, told apart by what the node is.
func either[T any](what string, shapes ...shape[T]) shape[T] {
	return shape[T]{
		what: what, kind: anyKind,
		read: func(r *reader, n *node, at where) (v T, ok bool) {
			for _, s := range shapes {
				if s.kind == n.kind {
					return s.value(r, n, at)
				}
			}
			r.fail(at, fmt.Sprintf("%s, not %s", n.quote(), what), "write "+what)
			return v, false
		},
		describe: func() *schema {
			out := &schema{}
			for _, s := range shapes {
				out.AnyOf = append(out.AnyOf, s.describe())
			}
			return out
		},
	}
}

// only is one word beside a shape of another kind; what names that.
func only[T any](word, what string, meaning T, hint string) shape[T] {
	return shape[T]{
		what: word + ", or " + what, kind: scalar,
		read: func(r *reader, n *node, at where) (v T, ok bool) {
			if !strings.EqualFold(strings.TrimSpace(n.text), word) {
				r.fail(at, fmt.Sprintf("%s is not %s", n.quote(), what), hint)
				return v, false
			}
			return meaning, true
		},
		describe: func() *schema { return &schema{Enum: []any{word}} },
	}
}

// wordOr is a word with a meaning of its own, or else another scalar.
func wordOr[T any](word string, meaning T, s shape[T]) shape[T] {
	return shape[T]{
		what: s.what + " or " + word, kind: scalar,
		read: func(r *reader, n *node, at where) (T, bool) {
			if strings.EqualFold(n.text, word) {
				return meaning, true
			}
			before := len(r.errs)
			v, ok := s.value(r, n, at)
			for _, e := range r.errs[before:] {
				e.Hint += ", or " + word
			}
			return v, ok
		},
		describe: func() *schema {
			return &schema{AnyOf: []*schema{{Enum: []any{word}}, s.describe()}}
		},
	}
}

// notParsed notes the error of a parser of scene/unit.
func (r *reader) notParsed(at where, err error) {
	if bad, ok := errors.AsType[*unit.ParseError](err); ok {
		r.fail(at, bad.Problem(), bad.Hint)
		return
	}
	r.fail(at, err.Error(), "")
}
