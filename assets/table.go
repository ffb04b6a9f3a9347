package assets

import (
	"encoding/csv"
	"fmt"
	"iter"
	"strconv"
	"strings"
)

// A row is one line of a table, by column name.
type row struct {
	name    string
	columns map[string]int
	fields  []string
}

// table reads an embedded table; its first line names the columns. The tables
// are part of the program, so a fault in one is a fault of the program: it
// panics, and the tests read every table.
func table(name, text string) iter.Seq[row] {
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("assets: %s: %v", name, err))
	}
	columns := make(map[string]int, len(records[0]))
	for i, c := range records[0] {
		columns[c] = i
	}
	return func(yield func(row) bool) {
		for _, f := range records[1:] {
			if !yield(row{name, columns, f}) {
				return
			}
		}
	}
}

// text returns the field of a column.
func (r row) text(column string) string {
	i, ok := r.columns[column]
	if !ok {
		panic(fmt.Sprintf("assets: %s: no column %s", r.name, column))
	}
	return r.fields[i]
}

// number returns the field of a column as a number, 0 where it is empty.
func (r row) number(column string) float64 {
	t := r.text(column)
	if t == "" {
		return 0
	}
	f, err := strconv.ParseFloat(t, 64)
	if err != nil {
		panic(fmt.Sprintf("assets: %s: %v", r.name, err))
	}
	return f
}
