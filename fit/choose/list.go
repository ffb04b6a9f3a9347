package choose

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"undercroft/assets"
	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// A Size is a tank that could be the sump.
type Size struct {
	Name  string
	Stock bool // a common trade size, which a plan names by stock:
	// Long, Across and High are the outside of its glass, Across the shorter of
	// the horizontal two.
	Long, Across, High unit.Length
	Glass              unit.Length // thickness; 0: not known
	Rim, Foot          *Trim       // nil: none
	Mass               *unit.Mass  // empty; nil: not known
	Price              string      // as the list gives it
	Source             string
}

// A Trim runs round the glass at its top or bottom.
type Trim struct {
	Height            unit.Length // of the glass it covers
	OutLong, OutCross unit.Length // beyond the glass at the ends, and at the long sides
	In                unit.Length // into the tank
	Beyond            unit.Length // beyond the glass's end
	Assumed           bool        // only its outside is known, not Height and In
}

const (
	// What is taken of trim of which only the outside is known: common practice,
	// no source.
	trimHeight = 3 * unit.Inch / 4
	trimIn     = unit.Inch / 4
	// assumedGlass is what is taken where a list does not give the glass.
	assumedGlass = unit.Inch / 4
)

// TradeSizes returns the common trade sizes, smallest nominal volume first, with
// the trim they are sold with.
func TradeSizes() []Size {
	var out []Size
	for _, t := range assets.Tanks() {
		s := Size{
			Name: t.Name, Stock: true, Long: t.GlassLong, Across: t.GlassAcross, High: t.GlassHigh, Glass: t.Pane, Source: t.Source,
		}
		if t.TrimHigh > t.GlassHigh {
			trim := Trim{
				Height: trimHeight, In: trimIn, Beyond: (t.TrimHigh - t.GlassHigh) / 2, Assumed: true,
				OutLong: (t.TrimLong - t.GlassLong) / 2, OutCross: (t.TrimAcross - t.GlassAcross) / 2,
			}
			foot := trim
			foot.In = 0
			s.Rim, s.Foot = &trim, &foot
		}
		out = append(out, s)
	}
	return out
}

// A ListError is one mistake in a list of sizes.
type ListError struct {
	File         string
	Line, Column int // from 1, the column in characters
	Message      string
}

// Error implements error.
func (e *ListError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Message)
}

// largestList is how many bytes and mostSizes how many tanks a list may have.
const (
	largestList = 1 << 20
	mostSizes   = 500
)

// column names of a list; the first four are read as lengths.
const (
	colName  = "name"
	colSize  = "size"
	colRim   = "rim"
	colGlass = "glass"
	colPrice = "price"
	colMass  = "mass"
)

var columns = []string{colName, colSize, colRim, colGlass, colPrice, colMass}

// ReadList reads a list of tanks in CSV (RFC 4180). The first line names the
// columns, in any order: name, size (outside glass, length x width x height), and
// if wanted rim (height x how far it reaches past the glass), glass, price and
// mass. Lengths and masses without a unit are in the system of sys; lines that
// begin with # are skipped. The error joins a *ListError for each mistake.
func ReadList(file string, data []byte, sys unit.System) ([]Size, error) {
	if len(data) > largestList {
		return nil, &ListError{file, 1, 1, "the list is larger than 1 MB"}
	}
	if !utf8.Valid(data) {
		return nil, &ListError{file, 1, 1, "the list is not UTF-8 text: save it as UTF-8"}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // the byte order mark that some spreadsheets write
	r := &listReader{file: file, sys: sys, csv: csv.NewReader(bytes.NewReader(data)), lines: bytes.Split(data, []byte("\n"))}
	r.csv.Comment, r.csv.FieldsPerRecord, r.csv.TrimLeadingSpace = '#', -1, true
	head, ok := r.record()
	if !ok {
		if len(r.errs) == 0 {
			r.fail(1, 1, "the list is empty: begin it with name,size,rim,glass,price,mass")
		}
		return nil, errors.Join(r.errs...)
	}
	at := r.heading(head)
	if len(r.errs) > 0 {
		return nil, errors.Join(r.errs...)
	}
	var out []Size
	for {
		fields, ok := r.record()
		if !ok {
			break
		}
		if len(fields) != len(head) {
			line, column := r.csv.FieldPos(0)
			r.fail(line, column, fmt.Sprintf("%d columns, not %d as in the first line", len(fields), len(head)))
			continue
		}
		if s, ok := r.size(fields, at); ok {
			if slices.ContainsFunc(out, func(o Size) bool { return o.Name == s.Name }) {
				r.failAt(at[colName], fmt.Sprintf("the name %s is given twice", unit.Quote(s.Name)))
			}
			out = append(out, s)
		}
		if len(out) > mostSizes {
			line, _ := r.csv.FieldPos(0)
			r.fail(line, 1, fmt.Sprintf("more than %d tanks", mostSizes))
			break
		}
	}
	if len(r.errs) == 0 && len(out) == 0 {
		r.fail(1, 1, "the list has no tank in it")
	}
	return out, errors.Join(r.errs...)
}

// A listReader reads a list record by record and gathers what is wrong.
type listReader struct {
	file  string
	sys   unit.System
	csv   *csv.Reader
	lines [][]byte
	errs  []error
}

func (r *listReader) fail(line, column int, message string) {
	r.errs = append(r.errs, &ListError{r.file, line, column, message})
}

// failAt notes a mistake in a field of the record that was read last.
func (r *listReader) failAt(field int, message string) {
	line, column := r.csv.FieldPos(field)
	r.fail(line, r.characters(line, column), message)
}

// characters turns a column in bytes into one in characters.
func (r *listReader) characters(line, column int) int {
	if line < 1 || line > len(r.lines) || column-1 > len(r.lines[line-1]) {
		return column
	}
	return utf8.RuneCount(r.lines[line-1][:column-1]) + 1
}

// record reads the next record; false at the end, or where the rest is no CSV.
func (r *listReader) record() ([]string, bool) {
	fields, err := r.csv.Read()
	switch {
	case errors.Is(err, io.EOF):
		return nil, false
	case err != nil:
		line, column, message := 1, 1, err.Error()
		if p, ok := errors.AsType[*csv.ParseError](err); ok {
			line, column, message = p.Line, p.Column, p.Err.Error()
		}
		r.fail(line, r.characters(line, column), message)
		return nil, false
	}
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	return fields, true
}

// heading returns where each column is.
func (r *listReader) heading(head []string) map[string]int {
	at := map[string]int{}
	for i, name := range head {
		name = strings.ToLower(name)
		switch _, twice := at[name]; {
		case !slices.Contains(columns, name):
			r.failAt(i, fmt.Sprintf("no column is called %s: there are %s", unit.Quote(name), strings.Join(columns, ", ")))
		case twice:
			r.failAt(i, fmt.Sprintf("the column %s stands here a second time", name))
		default:
			at[name] = i
		}
	}
	for _, name := range []string{colName, colSize} {
		if _, ok := at[name]; !ok && len(r.errs) == 0 {
			r.failAt(0, "the column "+name+" is missing: begin the list with name,size,rim,glass,price,mass")
		}
	}
	return at
}

// size reads one tank; false after noting what is wrong.
func (r *listReader) size(fields []string, at map[string]int) (Size, bool) {
	errs := len(r.errs)
	field := func(name string) string {
		if i, ok := at[name]; ok {
			return fields[i]
		}
		return ""
	}
	s := Size{Name: field(colName), Price: field(colPrice), Source: r.file}
	if s.Name == "" {
		r.failAt(at[colName], "a tank without a name")
	}
	if ls := r.lengths(at[colSize], fields, 3, "length x width x height, as 24 x 12 x 16"); ls != nil {
		s.Long, s.Across, s.High = max(ls[0], ls[1]), min(ls[0], ls[1]), ls[2]
	}
	if field(colGlass) != "" {
		if ls := r.lengths(at[colGlass], fields, 1, "a thickness, as 1/4"); ls != nil {
			s.Glass = ls[0]
		}
	}
	if field(colRim) != "" && field(colRim) != "none" {
		if ls := r.lengths(at[colRim], fields, 2, "height x how far it reaches past the glass, as 1 x 1/8"); ls != nil {
			s.Rim = &Trim{Height: ls[0], OutLong: ls[1], OutCross: ls[1], In: trimIn}
		}
	}
	if text := field(colMass); text != "" {
		m, err := unit.ParseMass(text, r.sys)
		switch {
		case err != nil:
			r.failAt(at[colMass], err.Error())
		case m <= 0:
			r.failAt(at[colMass], unit.Quote(text)+" is not more than 0")
		default:
			s.Mass = &m
		}
	}
	if len(r.errs) > errs {
		return s, false
	}
	if g := s.glass(); 2*g >= s.Across || g >= s.High {
		r.failAt(at[colSize], fmt.Sprintf("panes of %s leave nothing between them", r.sys.Fine(g)))
	} else if t := s.Rim; t != nil && (t.Height > s.High || 2*(g+t.In) >= s.Across) {
		r.failAt(at[colRim], "a rim larger than its tank")
	}
	return s, len(r.errs) == errs
}

// lengths reads n positive lengths with an x between them from a field.
func (r *listReader) lengths(field int, fields []string, n int, what string) []unit.Length {
	ls, err := plan.Lengths(fields[field], r.sys, n, what)
	if err != nil {
		r.failAt(field, err.Error())
		return nil
	}
	return ls
}

// glass returns the thickness of the panes, as far as it is known.
func (s *Size) glass() unit.Length {
	if s.Glass > 0 {
		return s.Glass
	}
	return assumedGlass
}

// exact writes a length for a plan so that it is read as it is.
func exact(l unit.Length) string {
	return strconv.FormatFloat(float64(int64(l.MM()*1e6+0.5))/1e6, 'f', -1, 64) + " mm"
}
