package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A Place is a place in a plan file. Line and Column count from 1, the column
// in characters.
type Place struct {
	Line, Column int
	Key          string // key path, as "cabinet.openings[0].at.left"; "" for the whole file
}

// An Error is one thing that is wrong with a plan.
type Error struct {
	File string
	Place
	Message string  // what was found and what is wrong with it
	Hint    string  // what would be right; may be ""
	Also    []Place // other places that take part
}

// Error returns the position, key path and message, then the hint and the other
// places on lines of their own.
func (e *Error) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: ", e.File, e.Line, e.Column)
	if e.Key != "" {
		fmt.Fprintf(&b, "%s: ", onOneLine(e.Key))
	}
	b.WriteString(e.Message)
	for _, p := range e.Also {
		fmt.Fprintf(&b, "\n\tsee %s:%d:%d: %s", e.File, p.Line, p.Column, onOneLine(p.Key))
	}
	if e.Hint != "" {
		fmt.Fprintf(&b, "\n\thint: %s", e.Hint)
	}
	return b.String()
}

// onOneLine makes a key path fit for a message, whatever the file holds: what
// cannot be printed is escaped, and what is long is cut.
func onOneLine(key string) string {
	const most = 200
	if len(key) > most {
		key = strings.ToValidUTF8(key[:most], "") + "…"
	}
	quoted := strconv.Quote(key)
	if quoted == `"`+key+`"` {
		return key
	}
	return quoted
}

// Errors is everything that is wrong with a plan, by position.
type Errors []*Error

// Error returns all errors, one after the other.
func (es Errors) Error() string {
	out := make([]string, len(es))
	for i, e := range es {
		out[i] = e.Error()
	}
	return strings.Join(out, "\n")
}

const (
	// mostErrors is how many errors are told: nobody reads more.
	mostErrors = 100
	// keptErrors is how many are kept until they are sorted by position.
	keptErrors = 1000
)

// sorted returns the errors by position, each once, cut after mostErrors; lost is
// how many more there were.
func (es Errors) sorted(lost int) Errors {
	slices.SortStableFunc(es, func(a, b *Error) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), cmp.Compare(a.Key, b.Key))
	})
	es = slices.CompactFunc(es, func(a, b *Error) bool {
		return a.Place == b.Place && a.Message == b.Message
	})
	if len(es) > mostErrors {
		last := *es[mostErrors]
		last.Message = fmt.Sprintf("and %d more errors from here on", len(es)-mostErrors+lost)
		last.Key, last.Hint, last.Also = "", "", nil
		es = append(es[:mostErrors:mostErrors], &last)
	}
	return es
}
