package plan

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"undercroft/scene/unit"
)

// A Question is one thing to ask who wants a plan.
type Question struct {
	ID      string // what is asked for, as "cabinet"
	Ask     string // the question, one line
	Help    string // how to measure or what to write, one line
	Default string // what an empty answer means
}

// An Interview asks for what a plan needs, one question after the other, and
// writes the plan. The zero value is ready for the first question.
type Interview struct {
	given []answer
}

type answer struct{ id, text string }

// none is the answer that leaves a thing out.
const none = "none"

// script is the questions in their order. Lengths in defaults are for inches and
// for millimetres.
var script = []struct {
	id, ask, help  string
	inches, metric string
	// skip tells whether the question is not asked, by the answers so far.
	skip func(*Interview) bool
}{
	{id: "units", ask: "Which units does your tape have?", help: "in, mm or cm", inches: "in", metric: "in"},
	{id: "title", ask: "What shall the plan be called?", help: "it stands on drawings and reports", inches: "My reef", metric: "My reef"},
	{
		id: "cabinet", ask: "How large is the cabinet outside?",
		help: "width x depth x height, from the house floor to the surface the tank stands on", inches: "36 x 18 x 30", metric: "900 x 450 x 760",
	},
	{
		id: "wall", ask: "How thick are its walls?",
		help: "measure at an open door", inches: "3/4", metric: "19",
	},
	{
		id: "bottom", ask: "How high above the house floor is the board that things stand on inside?",
		help: "its upper face; none where things stand on the house floor", inches: "4", metric: "100",
	},
	{
		id: "opening", ask: "How large is the hole in the front, without its doors?",
		help: "width x height; none where there is none", inches: "33 x 22", metric: "820 x 560",
	},
	{
		id: "left", ask: "How far is the hole's left edge from the cabinet's left edge?",
		help: "outside, as you stand in front of it; middle where both sides are alike", inches: "middle", metric: "middle", skip: withoutHole,
	},
	{
		id: "sill", ask: "How high above that board, or above the house floor, is the hole's lower edge?",
		help: "0 where nothing stands up", inches: "1", metric: "25", skip: withoutHole,
	},
	{
		id: "door", ask: "Which doors close it?",
		help: "left or right for one leaf by its hinges, pair for two, none", inches: "pair", metric: "pair", skip: withoutHole,
	},
	{
		id: "mount", ask: "Are the doors inset in the hole, or do they overlay the frame?",
		help: "inset, or by how much they reach past the hole", inches: "inset", metric: "inset",
		skip: func(v *Interview) bool { return withoutHole(v) || v.isNone("door") },
	},
	{
		id: "front", ask: "How far is it from the cabinet's face to what stands opposite?",
		help: "none where there is plenty of room", inches: none, metric: none,
	},
	{
		id: "display", ask: "How large is the tank on top, outside glass?",
		help: "width x depth x height; none", inches: "36 x 18 x 18", metric: "900 x 450 x 450",
	},
	{
		id: "sump", ask: "How large is the sump, outside glass, as it is to stand?",
		help: "width x depth x height", inches: "24 x 12 x 12", metric: "600 x 300 x 300",
	},
	{
		id: "skimmer", ask: "How wide and how tall is the skimmer?",
		help: "diameter x height; none", inches: none, metric: none,
	},
}

func withoutHole(v *Interview) bool { return v.isNone("opening") }

// Next returns the next question; false when there is none left.
func (v *Interview) Next() (Question, bool) {
	for _, q := range script {
		if v.asked(q.id) || q.skip != nil && q.skip(v) {
			continue
		}
		out := Question{ID: q.id, Ask: q.ask, Help: q.help, Default: q.metric}
		switch v.units() {
		case unit.Inches:
			out.Default = q.inches
		case unit.Centimetres:
			out.Default = starterNumber.ReplaceAllStringFunc(q.metric, inCentimetres)
		case unit.Millimetres:
		}
		return out, true
	}
	return Question{}, false
}

// Answer answers the question that Next returned; an empty text is its default.
// An error tells in plain words why the answer will not do; then Next asks the
// same again.
func (v *Interview) Answer(text string) error {
	q, ok := v.Next()
	if !ok {
		return errors.New("nothing more is asked")
	}
	text = strings.TrimSpace(text)
	if text == "" {
		text = q.Default
	}
	v.given = append(v.given, answer{q.ID, text})
	if err := v.check(); err != nil {
		v.given = v.given[:len(v.given)-1]
		return err
	}
	return nil
}

// check reads the plan so far.
func (v *Interview) check() error {
	text, err := v.text()
	if err != nil {
		return err
	}
	var all Errors
	if _, err := read("answers.yaml", text, true); errors.As(err, &all) {
		e := all[0]
		if e.Hint == "" {
			return errors.New(e.Message)
		}
		return fmt.Errorf("%s; %s", e.Message, e.Hint)
	}
	return nil
}

// Plan returns the plan, in YAML, of the answers so far. Once every question is
// answered it reads without an error.
func (v *Interview) Plan() ([]byte, error) { return v.text() }

func (v *Interview) asked(id string) bool {
	return slices.ContainsFunc(v.given, func(a answer) bool { return a.id == id })
}

// of returns the answer to a question; "" where it was not asked.
func (v *Interview) of(id string) string {
	for _, a := range v.given {
		if a.id == id {
			return a.text
		}
	}
	return ""
}

// isNone reports whether the answer to a question leaves the thing out.
func (v *Interview) isNone(id string) bool {
	return strings.EqualFold(v.of(id), none) || id == "bottom" && v.of(id) == "0"
}

// has reports whether a thing was asked for and is there.
func (v *Interview) has(id string) bool { return v.asked(id) && !v.isNone(id) }

func (v *Interview) units() unit.System {
	s, err := unit.ParseSystem(strings.ToLower(v.of("units")))
	if err != nil {
		return unit.Inches
	}
	return s
}

// text writes the plan of the answers so far.
func (v *Interview) text() ([]byte, error) {
	var out strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&out, format+"\n", args...) }
	size := func(id string, n int, what string) (string, error) {
		// The answer is kept as it was written, with its unit if it has one.
		if _, err := Lengths(v.of(id), v.units(), n, what); err != nil {
			return "", err
		}
		texts := shared(between.Split(v.of(id), -1))
		for i, t := range texts {
			texts[i] = quoted(t)
		}
		return strings.Join(texts, ", "), nil
	}
	line("# Written from the answers to `undercroft new --ask`.")
	line("format: 1")
	if v.asked("title") {
		line("title: %s", quoted(v.of("title")))
	}
	if v.asked("units") {
		line("units: %s", quoted(strings.ToLower(v.of("units"))))
	}
	if v.has("front") {
		line("\nroom:                           # left, right, back and ceiling too, where something is near")
		line("  front: %s", quoted(v.of("front")))
	}
	if v.asked("cabinet") {
		t, err := size("cabinet", 3, "width x depth x height")
		if err != nil {
			return nil, err
		}
		line("\ncabinet:")
		line("  size: [%s]          # outside: width, depth, height", t)
	} else {
		line("\ncabinet: {size: [100 m, 100 m, 100 m]}") // nothing is measured yet
	}
	if v.asked("wall") {
		line("  wall: %s", quoted(v.of("wall")))
	}
	if v.has("bottom") {
		line("  bottom: {up: %s}               # thickness too", quoted(v.of("bottom")))
	}
	if v.has("opening") {
		t, err := size("opening", 2, "width x height")
		if err != nil {
			return nil, err
		}
		line("  openings:\n    - name: opening\n      side: front\n      size: [%s]        # width, height, without doors", t)
		var at []string
		if v.asked("left") && !strings.EqualFold(v.of("left"), "middle") {
			at = append(at, "left: "+quoted(v.of("left")))
		}
		if v.asked("sill") {
			at = append(at, "sill: "+quoted(v.of("sill")))
		}
		if len(at) > 0 {
			line("      at: {%s}", strings.Join(at, ", "))
		}
		switch {
		case v.isNone("door"):
			line("      door: none")
		case v.asked("door"):
			mount := "mount: inset"
			if m := v.of("mount"); v.asked("mount") && !strings.EqualFold(m, "inset") {
				mount = "mount: overlay, overlap: " + quoted(m)
			}
			line("      door: {hinge: %s, %s}   # thickness and opens too, or clear: the width between the open doors", quoted(v.of("door")), mount)
		}
	}
	if v.has("display") {
		t, err := size("display", 3, "width x depth x height")
		if err != nil {
			return nil, err
		}
		line("\ndisplay:\n  size: [%s]          # glass, water, drops, sand and rock too", t)
	}
	if v.asked("sump") {
		t, err := size("sump", 3, "width x depth x height")
		if err != nil {
			return nil, err
		}
		line("\nsump:\n  size: [%s]          # glass, rim, at, inlet and baffles too", t)
	}
	if v.has("skimmer") {
		t, err := size("skimmer", 2, "diameter x height")
		if err != nil {
			return nil, err
		}
		d, h, _ := strings.Cut(t, ", ")
		line("\nequipment:\n  - {name: skimmer, kind: skimmer, in: sump 1, round: %s, height: %s}", d, h)
	}
	return []byte(out.String()), nil
}

// quoted writes a text as a YAML value on one line.
func quoted(text string) string {
	plain := text != ""
	for i, r := range text {
		letter := 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9'
		plain = plain && (letter || i > 0 && strings.ContainsRune(" ./-", r))
	}
	if plain && strings.TrimSpace(text) == text && !strings.EqualFold(text, "null") {
		return text
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 || r == 0xfeff || r >= 0x80 && r < 0xa0:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
