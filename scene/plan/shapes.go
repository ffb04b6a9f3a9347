package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undercroft/scene/unit"
)

// A sign says which lengths a key takes.
type sign int

const (
	anySign     sign = iota // a place: past a face it is negative
	notNegative             // room to something
	positive                // a size
)

// signed tells whether a minus stands before a number, even before a 0, which the
// schema refuses as well.
func signed(text string) bool {
	return strings.IndexFunc(strings.TrimSpace(text), func(r rune) bool { return strings.ContainsRune("-−–‑", r) }) == 0
}

// quantity is a scalar that a parser of scene/unit reads.
func quantity[T ~float64](what string, s sign, parse func(string, unit.System) (T, error), d func() *schema) shape[T] {
	return shape[T]{
		what: what, kind: scalar, describe: d,
		read: func(r *reader, n *node, at where) (T, bool) {
			v, err := parse(n.text, r.sys)
			switch {
			case err != nil:
				r.notParsed(at, err)
			case s != anySign && (v < 0 || signed(n.text)):
				r.fail(at, fmt.Sprintf("%s is negative", n.quote()), map[sign]string{notNegative: "write 0 or more", positive: "write a size more than 0"}[s])
			case s == positive && v == 0:
				r.fail(at, fmt.Sprintf("%s is nothing", n.quote()), "write a size more than 0, or take the key out")
			default:
				return v, true
			}
			return 0, false
		},
	}
}

var (
	// size is a length more than 0, distance one that is not negative, offset
	// any length.
	size     = quantity("a length", positive, unit.ParseLength, lengthSchema(positive))
	distance = quantity("a length", notNegative, unit.ParseLength, lengthSchema(notNegative))
	offset   = quantity("a length", anySign, unit.ParseLength, lengthSchema(anySign))

	mass        = quantity("a mass", notNegative, unit.ParseMass, unitsSchema(notNegative, true, unit.MassUnits))
	volume      = quantity("a volume", notNegative, unit.ParseVolume, unitsSchema(notNegative, true, unit.VolumeUnits))
	flow        = quantity("a flow", notNegative, unit.ParseFlow, unitsSchema(notNegative, true, unit.FlowUnits))
	temperature = quantity("a temperature", anySign, unitless(unit.ParseTemperature), unitsSchema(anySign, false, temperatureUnits))
	pressure    = quantity("a pressure", notNegative, unitless(unit.ParsePressure), unitsSchema(notNegative, false, unit.PressureUnits))

	// opening is how far a door opens, turning how far a thing is turned.
	opening = quantity("an angle", positive, unitless(unit.ParseAngle), unitsSchema(notNegative, true, unit.AngleUnits))
	turning = quantity("an angle", anySign, unitless(unit.ParseAngle), unitsSchema(anySign, true, unit.AngleUnits))

	// number is a number that is not negative.
	number = quantity("a number", notNegative, unitless(unit.ParseNumber), numberSchema)
)

func temperatureUnits() []string {
	return []string{"°f", "°c", "ºf", "ºc", "° f", "° c", "f", "c"}
}

// unitless makes a parser that needs no system one that takes it.
func unitless[T any](parse func(string) (T, error)) func(string, unit.System) (T, error) {
	return func(text string, _ unit.System) (T, error) { return parse(text) }
}

// whole is a whole number from least to most.
func whole(least, most int) shape[int] {
	return shape[int]{
		what: "a whole number", kind: scalar,
		read: func(r *reader, n *node, at where) (int, bool) {
			v, err := strconv.Atoi(strings.TrimSpace(n.text))
			if err != nil || v < least || v > most {
				r.fail(at, fmt.Sprintf("%s is no whole number from %d to %d", n.quote(), least, most), "write digits alone, as "+strconv.Itoa(max(least, 1)))
				return 0, false
			}
			return v, true
		},
		describe: func() *schema {
			lo, hi := float64(least), float64(most)
			return &schema{Type: "integer", Minimum: &lo, Maximum: &hi}
		},
	}
}

// text is any text.
var text = shape[string]{
	what: "a text", kind: scalar, describe: textSchema,
	read: func(r *reader, n *node, at where) (string, bool) {
		t := strings.TrimSpace(n.text)
		if t == "" {
			r.fail(at, "an empty text", "write something, or take the key out")
			return "", false
		}
		return t, true
	},
}

// reserved are the names that mean something by themselves.
var reserved = []string{"sump", "display", "cabinet", "room"}

// name is the name of a thing, part, fixture, opening or place.
var name = shape[string]{
	what: "a name", kind: scalar,
	describe: func() *schema {
		return &schema{Type: []string{"string", "number", "boolean"}, Pattern: `^[^/]*[^/\s][^/]*$`, Not: &schema{Enum: anys(reserved)}}
	},
	read: func(r *reader, n *node, at where) (string, bool) {
		t, ok := text.read(r, n, at)
		switch {
		case !ok:
			return "", false
		case strings.Contains(t, "/"):
			r.fail(at, n.quote()+" holds a /", "names hold no /: it parts a thing from its part")
			return "", false
		case slices.Contains(reserved, t):
			r.fail(at, n.quote()+" is taken", "sump, display, cabinet and room mean those themselves: choose another name")
			return "", false
		case slices.Contains(walls, t) || t == rimOfSump:
			r.fail(at, n.quote()+" is taken", "in `on` this means a wall or the rim: choose another name")
			return "", false
		}
		return t, true
	},
}

// An option is a word and what it means.
type option[T any] struct {
	word string
	v    T
}

// choice is one of several words.
func choice[T any](what string, options ...option[T]) shape[T] {
	words := make([]string, len(options))
	for i, o := range options {
		words[i] = o.word
	}
	return shape[T]{
		what: what, kind: scalar,
		read: func(r *reader, n *node, at where) (v T, ok bool) {
			t := strings.ToLower(strings.TrimSpace(n.text))
			if b, is := booleans[t]; is {
				t = b
			}
			for _, o := range options {
				if strings.EqualFold(o.word, t) {
					return o.v, true
				}
			}
			hint := "write " + oneOf(words)
			if near := nearest(t, words); near != "" {
				hint = fmt.Sprintf("did you mean %s? It can be %s", near, oneOf(words))
			}
			r.fail(at, fmt.Sprintf("%s is not %s", n.quote(), what), hint)
			return v, false
		},
		describe: func() *schema {
			enum := anys(words)
			for _, w := range words {
				switch w {
				case "yes":
					enum = append(enum, true)
				case "no":
					enum = append(enum, false)
				}
				if n, err := strconv.Atoi(w); err == nil {
					enum = append(enum, n)
				}
			}
			return &schema{Enum: enum}
		},
	}
}

// booleans are the ways to write yes and no in the formats of plans.
var booleans = map[string]string{"true": "yes", "false": "no"}

// words makes a choice whose values are the words themselves.
func words(what string, all ...string) shape[string] {
	options := make([]option[string], len(all))
	for i, w := range all {
		options[i] = option[string]{w, w}
	}
	return choice(what, options...)
}

// yesNo is yes or no.
var yesNo = choice("yes or no", option[bool]{"yes", true}, option[bool]{"no", false})

// oneOf lists words as "a, b or c".
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

func anys(words []string) []any {
	out := make([]any, len(words))
	for i, w := range words {
		out[i] = w
	}
	return out
}

// Box sizes, as every tape gives them.
var (
	boxSize  = fixed(size, "[42 1/4, 18 1/2, 32]", "width", "depth", "height")
	holeSize = fixed(size, "[37 3/4, 24 1/2]", "width", "height")
)
