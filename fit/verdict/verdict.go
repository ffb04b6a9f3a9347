// Package verdict holds what every family of checks returns: a verdict, the
// interval it rests on, and the finding that tells a person about it.
package verdict

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Verdict is the answer of a check.
type Verdict int

// The verdicts. Unsure is the zero value.
const (
	Unsure Verdict = iota // not decided: input missing, out of range, or budget spent
	OK                    // proved: meets what is wanted
	Tight                 // proved to go, with less than what is wanted
	No                    // proved not to go
)

// String returns the verdict as it stands in the verdict file.
func (v Verdict) String() string { return [...]string{"unsure", "ok", "tight", "no"}[v] }

// MarshalText implements encoding.TextMarshaler.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// Rank orders verdicts from the best, 0, to the worst: ok, tight, unsure, no.
func (v Verdict) Rank() int { return [...]int{Unsure: 2, OK: 0, Tight: 1, No: 3}[v] }

// Worst returns the worst of vs: no, unsure, tight, ok; OK for none.
func Worst(vs ...Verdict) Verdict {
	w := OK
	for _, v := range vs {
		if v.Rank() > w.Rank() {
			w = v
		}
	}
	return w
}

// Contact is how near zero a distance counts as touching.
const Contact unit.Length = 1e-3

// Resolution is how near a threshold a number may come before a check stops
// with Unsure: a tape cannot tell them apart.
const Resolution unit.Length = 0.01

// A Margin is an interval that holds the true value of what a check measures.
// An end that was not shown is infinite.
type Margin struct{ Lo, Hi unit.Length }

// Exactly is the margin of a number that is known.
func Exactly(l unit.Length) Margin { return Margin{l, l} }

// Judge compares m with the room wanted and with what the tape can vouch for.
// A NaN judges as Unsure.
func (m Margin) Judge(wanted, tape unit.Length) Verdict {
	switch {
	case m.Lo >= max(wanted, tape)-Contact:
		return OK
	case m.Lo >= -Contact:
		return Tight
	case m.Hi < -tape-Contact:
		return No
	}
	return Unsure
}

// JudgeRatio judges a ratio of what is to what is allowed: up to 0.9 is ok, up
// to 1 tight, above no; NaN is unsure.
func JudgeRatio(r float64) Verdict {
	switch {
	case r <= 0.9:
		return OK
	case r <= 1:
		return Tight
	case r > 1:
		return No
	}
	return Unsure
}

// A Measure is one number, text or list of a finding, by its key in the
// verdict file. Keys of numbers name their unit (_mm, _kg, _l, …). A nil value,
// a NaN or an infinity was not shown and is written as null.
type Measure struct {
	Key   string
	Value any
}

// Measures keep their order.
type Measures []Measure

// MarshalJSON writes ms as one object, in order.
func (ms Measures) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range ms {
		if i > 0 {
			b.WriteByte(',')
		}
		k, err := json.Marshal(m.Key)
		if err != nil {
			return nil, err
		}
		v, err := json.Marshal(shown(m.Value))
		if err != nil {
			return nil, fmt.Errorf("measure %s: %w", m.Key, err)
		}
		b.Write(k)
		b.WriteByte(':')
		b.Write(v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// shown rounds numbers to a millionth, so that the same plan gives the same
// bytes on machines that round products differently, and turns what is not a
// number into nil.
func shown(v any) any {
	switch v := v.(type) {
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
		return math.Round(v*1e6)/1e6 + 0
	case []float64:
		out := make([]any, len(v))
		for i, f := range v {
			out[i] = shown(f)
		}
		return out
	}
	return v
}

// A Finding is one conclusion of one check.
type Finding struct {
	ID       string // as "gap/skimmer/sump"
	Verdict  Verdict
	Summary  string // one sentence with its numbers, in the plan's units
	Measures Measures
	Assumed  []string // what the plan does not give and took part in the verdict
	Source   []string // publications or tables used

	// Again names the measurement worth taking again and how far it is from
	// turning the verdict, or else what to allow more of; "" where there is none.
	Again string
	// Room is how far the verdict is from the next worse or better one in mm,
	// for choosing the least sure finding; NaN for pure figures.
	Room float64

	Marks   []scene.Mark   // places to show in pictures
	Shapes  []scene.Part   // what else its pictures show: an arm that reaches for a place
	Instead []scene.Part   // parts that stand otherwise there than at rest: a leaf on its turn
	Motions []scene.Motion // verified ways, for pictures and models

	Evidence []Evidence // what it rests on, to be kept and checked again
}

// AtRest tells that f is about things where they stand, the doors closed; other
// findings are about ways and hands, for which they are open.
func (f *Finding) AtRest() bool { return strings.HasPrefix(f.ID, "gap/") }

// Evidence is a verified way, or a proof that there is none.
type Evidence interface {
	// Title says in a few words what is shown.
	Title() string
	// File returns a form of it that can be checked again from the plan.
	File() ([]byte, error)
}

// A LeftOut is a check that lacks data, with the key to add.
type LeftOut struct {
	ID  string `json:"id"`
	Add string `json:"add"`
}

// Findings is what a family returns.
type Findings struct {
	Checks   []Finding
	LeftOut  []LeftOut
	Cautions []string
}

// Add appends what another family found; cautions are kept once.
func (f *Findings) Add(g Findings) {
	f.Checks = append(f.Checks, g.Checks...)
	f.LeftOut = append(f.LeftOut, g.LeftOut...)
next:
	for _, c := range g.Cautions {
		for _, have := range f.Cautions {
			if have == c {
				continue next
			}
		}
		f.Cautions = append(f.Cautions, c)
	}
}
