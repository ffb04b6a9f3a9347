package plan

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// Sizes are the few measures with which a check can be made without a plan.
// Lengths are text as in a plan; a size is lengths with an x between them, as
// 35x17x25 or 35 x 17 x 25 1/2.
type Sizes struct {
	Units   unit.System
	Inside  string // between the cabinet's walls: width x depth x height
	Opening string // the hole in the front: width x height; "" for none
	Sill    string // the hole's lower edge above the cabinet bottom; "" for 0
	Sump    string // outside: width x depth x height
}

// A SizeError tells which of Sizes is wrong.
type SizeError struct {
	Name string // inside, opening, sill or sump
	Err  error
}

// Error implements error.
func (e *SizeError) Error() string { return e.Name + ": " + e.Err.Error() }

// Unwrap implements errors.
func (e *SizeError) Unwrap() error { return e.Err }

// FromSizes builds a scene, through the text of a plan, and returns both. What
// the sizes do not tell is in the scene's list of assumptions. Only inside faces
// of the cabinet are known: the front has an assumed thickness, which proves no
// `no`; that of the other walls is outside of them and takes part in nothing.
// Errors are of type *SizeError.
func FromSizes(z Sizes) (*scene.Scene, []byte, error) {
	var out strings.Builder
	fmt.Fprintf(&out, "format: 1\ntitle: Check by sizes\nunits: %s\n", z.Units)
	inside, err := Lengths(z.Inside, z.Units, 3, "width x depth x height")
	if err != nil {
		return nil, nil, &SizeError{"inside", err}
	}
	w := defaultWall
	fmt.Fprintf(&out, "cabinet:\n  size: %s\n", exactly(inside[0]+2*w, inside[1]+2*w, inside[2]+w))
	for _, wall := range []string{"sides", "back", "top"} {
		fmt.Fprintf(&out, "  %s: %s\n", wall, exact(w))
	}
	if z.Opening != "" {
		hole, err := Lengths(z.Opening, z.Units, 2, "width x height")
		if err != nil {
			return nil, nil, &SizeError{"opening", err}
		}
		var sill unit.Length
		if z.Sill != "" {
			if sill, err = unit.ParseLength(z.Sill, z.Units); err != nil {
				return nil, nil, &SizeError{"sill", err}
			}
		}
		fmt.Fprintf(&out, "  openings:\n    - {name: opening, side: front, at: {sill: %s}, size: %s, door: none}\n",
			exact(sill), exactly(hole...))
	} else if z.Sill != "" {
		return nil, nil, &SizeError{"sill", errors.New("there is no opening to have one: give its width x height too")}
	}
	sump, err := Lengths(z.Sump, z.Units, 3, "width x depth x height")
	if err != nil {
		return nil, nil, &SizeError{"sump", err}
	}
	// In the middle, told from the back: its inside face is known.
	fmt.Fprintf(&out, "sump:\n  size: %s\n  at: {back: %s}\n", exactly(sump...), exact((inside[1]-sump[1])/2))
	text := []byte(out.String())
	s, err := Read("sizes.yaml", text)
	if err != nil {
		return nil, nil, sizeError(err)
	}
	// The reader assumed the front alone; say what it stands for here.
	assumed := []scene.Assumption{
		{Key: "cabinet.bottom", Text: "things stand on the house floor, or on a bottom at the foot of the inside"},
		{Key: "cabinet.fixtures", Text: "nothing built in inside the cabinet"},
		{Key: "sump.at", Text: "the sump stands in the middle"},
		{Key: "sump.rim", Text: "no rim beyond the sump's size"},
	}
	if z.Opening != "" {
		s.Cabinet.Openings[0].PlaceAssumed = true
		assumed = append(assumed,
			scene.Assumption{Key: "cabinet.openings[0].at.left", Text: "the opening is in the middle of the front"},
			scene.Assumption{Key: "cabinet.openings[0].door", Text: "no door, or its leaves and hinges are off"})
	}
	s.Sump.Assumed = true
	s.Assumed = append(s.Assumed, assumed...)
	return s, text, nil
}

// sizeError turns the first error of a plan made from sizes into one of the
// size that it is about.
func sizeError(err error) error {
	var all Errors
	if !errors.As(err, &all) {
		return err
	}
	e := all[0]
	name := "inside"
	switch {
	case strings.HasSuffix(e.Key, ".sill"):
		name = "sill"
	case strings.HasPrefix(e.Key, "cabinet.openings"):
		name = "opening"
	case strings.HasPrefix(e.Key, "sump"):
		name = "sump"
	}
	return &SizeError{name, errors.New(e.Message)}
}

var (
	between  = regexp.MustCompile(`\s*[xX×*]\s*`)
	unitTail = regexp.MustCompile(`[0-9.½¼¾⅛⅜⅝⅞]\s*(\p{L}+|["″”'′’]+)$`)
)

// Lengths reads n positive lengths with an x between them, as 35 x 17 x 25 1/2;
// what says what they are, for errors. A unit behind the last alone holds for all.
func Lengths(text string, sys unit.System, n int, what string) ([]unit.Length, error) {
	texts := between.Split(strings.TrimSpace(text), -1)
	if len(texts) != n {
		return nil, fmt.Errorf("%s is not %s", unit.Quote(text), what)
	}
	out := make([]unit.Length, n)
	for i, t := range shared(texts) {
		l, err := unit.ParseLength(t, sys)
		switch {
		case err != nil:
			return nil, err
		case l <= 0:
			return nil, fmt.Errorf("%s is not more than 0: write %s", unit.Quote(t), what)
		}
		out[i] = l
	}
	return out, nil
}

// shared gives all of texts the unit behind the last, where the others have none.
func shared(texts []string) []string {
	last := len(texts) - 1
	tail := unitTail.FindStringSubmatch(texts[last])
	if tail == nil || slices.ContainsFunc(texts[:last], unitTail.MatchString) {
		return texts
	}
	out := slices.Clone(texts)
	for i := range out[:last] {
		out[i] += " " + tail[1]
	}
	return out
}

// exact writes a length for a plan so that it is read as it is: in millimetres
// with all its places.
func exact(l unit.Length) string { return fmt.Sprintf("%g mm", nanometre(l.MM())) }

// exactly writes a list of lengths.
func exactly(ls ...unit.Length) string {
	out := make([]string, len(ls))
	for i, l := range ls {
		out[i] = exact(l)
	}
	return "[" + strings.Join(out, ", ") + "]"
}
