package view

import (
	"fmt"
	"slices"

	"undercroft/scene"
	"undercroft/scene/unit"
)

// A Picture is one finished drawing.
type Picture struct {
	Name  string // for a file, without suffix: lower-case words joined by hyphens
	Title string // for people
	PNG   []byte
}

// Options say how large and how fine a picture is. A zero field stands for the
// default: 1600 by 1200 pixels, supersampled 2 by 2.
type Options struct {
	Width, Height int // pixels, 320 to 8000
	Supersample   int // 1 to 4
}

// A Subject is what pictures are made of.
type Subject struct {
	Title   string // the plan's
	Units   unit.System
	Caution string // goes to the foot of every picture
	// Parts is everything as it stands, with the doors closed. Water and sand
	// are parts as well.
	Parts []scene.Part
	// Open is the door leaves as far open as they go; they take the place of
	// the leaves among Parts where doors are shown open.
	Open []scene.Part
	// Openings are those of the cabinet: a section from above is laid under the
	// highest head.
	Openings []scene.Opening
	// Dimensions are the plan's own measures.
	Dimensions []scene.Mark
}

// A Place is what a close view is about.
type Place struct {
	Name    string // of the picture's file; made from Title where empty
	Title   string
	Verdict string // ok, tight, no or unsure; "" draws no verdict
	Summary string // one sentence with its numbers
	Marks   []scene.Mark
	// Open tells that the doors stand open at this place, as on the way of a
	// thing or a hand.
	Open bool
}

// Of returns what pictures of a plan are made of. Extra is what does not belong
// to the plan itself, such as the water in the sump at its level; it is drawn
// besides, and in place of parts of the same name.
func Of(sc *scene.Scene, caution string, extra []scene.Part) Subject {
	s := Subject{
		Title: sc.Title, Units: sc.Units, Caution: caution,
		Parts: sc.AtRest(), Openings: sc.Cabinet.Openings, Dimensions: sc.Dimensions(),
	}
	if sc.Display != nil {
		s.Parts = append(s.Parts, sc.Display.Contents()...)
	}
	s = s.With(extra...)
	for i := range sc.Cabinet.Openings {
		o := &sc.Cabinet.Openings[i]
		s.Open = append(s.Open, sc.Leaves(o, sc.DoorAngle(o))...)
	}
	return s
}

// With returns s with parts as well, in place of those of the same name.
func (s Subject) With(parts ...scene.Part) Subject {
	s.Parts = slices.DeleteFunc(slices.Clone(s.Parts), func(p scene.Part) bool {
		return slices.ContainsFunc(parts, func(q scene.Part) bool { return q.Name == p.Name })
	})
	s.Parts = append(s.Parts, parts...)
	return s
}

// resolve fills in defaults and refuses sizes that cannot be drawn.
func (o Options) resolve() (Options, error) {
	if o.Width == 0 {
		o.Width = 1600
	}
	if o.Height == 0 {
		o.Height = 1200
	}
	if o.Supersample == 0 {
		o.Supersample = 2
	}
	if min(o.Width, o.Height) < 320 || max(o.Width, o.Height) > 8000 {
		return o, fmt.Errorf("a picture of %d x %d pixels: each side must be 320 to 8000", o.Width, o.Height)
	}
	if o.Supersample < 1 || o.Supersample > 4 {
		return o, fmt.Errorf("supersampling by %d: must be 1 to 4", o.Supersample)
	}
	return o, nil
}
