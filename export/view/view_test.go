package view_test

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/assets"
	"undercroft/export/view"
	"undercroft/scene"
	"undercroft/scene/plan"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// small keeps pictures quick where tests run with the race detector.
var small = view.Options{Width: 400, Height: 320, Supersample: 1}

func decode(t *testing.T, p view.Picture) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(p.PNG))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func TestSameBytes(t *testing.T) {
	t.Parallel()
	s := subject()
	for name, draw := range draws() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var both [2]view.Picture // drawn at the same time
			var errs [2]error
			var wg sync.WaitGroup
			for i := range both {
				wg.Go(func() { both[i], errs[i] = draw(s, small) })
			}
			wg.Wait()
			if err := errors.Join(errs[:]...); err != nil {
				t.Fatal(err)
			}
			first := both[0]
			if !bytes.Equal(first.PNG, both[1].PNG) {
				t.Error("two runs give two pictures")
			}
			if first.Name == "" || first.Title == "" || strings.ContainsAny(first.Name, "/ ") {
				t.Errorf("named %q, titled %q", first.Name, first.Title)
			}
			if got := decode(t, first).Bounds(); got.Dx() != small.Width || got.Dy() != small.Height {
				t.Errorf("size %v", got)
			}
		})
	}
}

// Look at what these write: VIEW_OUT=folder go test ./export/view.
func TestDrawsDemos(t *testing.T) {
	t.Parallel()
	for i, name := range assets.Demos() {
		if i%3 != 0 && os.Getenv("VIEW_OUT") == "" {
			continue // the first and the last do where nobody looks
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			data, ok := assets.Demo(name)
			if !ok {
				t.Fatal("no such demo")
			}
			sc, err := plan.Read(name+".yaml", data)
			if err != nil {
				t.Fatal(err)
			}
			s := view.Of(sc, caution, nil)
			for _, draw := range []func(view.Subject, view.Options) (view.Picture, error){view.Understood, view.Front, view.Side, view.ThreeQuarter} {
				p, err := draw(s, options(t))
				if err != nil {
					t.Fatal(err)
				}
				p.Name = name + "-" + p.Name
				keep(t, p)
				// The border is paper on every side, and what is within is not.
				img := decode(t, p)
				b := img.Bounds()
				paper := img.At(0, 0)
				for i := range b.Dx() {
					if img.At(i, 0) != paper || img.At(i, b.Max.Y-1) != paper {
						t.Fatalf("%s: column %d is drawn up to the border", p.Name, i)
					}
				}
				for i := range b.Dy() {
					if img.At(0, i) != paper || img.At(b.Max.X-1, i) != paper {
						t.Fatalf("%s: row %d is drawn up to the border", p.Name, i)
					}
				}
			}
		})
	}
}

// count returns how many pixels are near a colour.
func count(img image.Image, c color.RGBA) int {
	n := 0
	b := img.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := img.At(x, y).RGBA()
			near := func(a uint32, b uint8) bool { return math.Abs(float64(a>>8)-float64(b)) <= 8 }
			if near(r, c.R) && near(g, c.G) && near(bl, c.B) {
				n++
			}
		}
	}
	return n
}

// Verdict marks in the palette's colours.
var (
	orange     = color.RGBA{0xe6, 0x9f, 0x00, 0xff}
	vermillion = color.RGBA{0xd5, 0x5e, 0x00, 0xff}
)

func TestCloseMarksThePlace(t *testing.T) {
	t.Parallel()
	s := subject()
	mark := func(label string, a, b r3.Vec, parts ...string) []scene.Mark {
		return []scene.Mark{{From: a, To: b, Label: label, Parts: parts}}
	}
	for _, c := range []struct {
		place view.Place
		tone  color.RGBA
	}{
		{view.Place{
			Title: "Heater and back pane", Verdict: "tight", Summary: "3 in between the heater and the sump's back pane, 4 in wanted",
			Marks: mark("3 in", inches(10.75, 14.375, 9), inches(10.75, 17.375, 9), "heater", "sump/back pane"),
		}, orange},
		{view.Place{
			Title: "Skimmer and jug", Verdict: "no", Summary: "the skimmer's body is 1/8 in in the jug",
			Marks: mark("1/8 in too much", inches(22.125, 9.125, 10), inches(22, 9.125, 10), "skimmer/body", "top-off jug"),
		}, vermillion},
		{view.Place{
			Title: "Skimmer on the bottom", Verdict: "tight", Summary: "touches",
			Marks: mark("touches", inches(19.125, 9.125, 4.375), inches(19.125, 9.125, 4.375), "skimmer/body", "sump/bottom pane"),
		}, orange},
		{view.Place{
			Title: "Jug and floor", Verdict: "no", Summary: "a place by the room's floor",
			Marks: mark("4 in", inches(45, 10, 4), inches(45, 10, 0), "top-off jug", "room/floor"),
		}, vermillion},
	} {
		t.Run(c.place.Title, func(t *testing.T) {
			t.Parallel()
			o := options(t)
			if o == small { // too small for whole lines
				o.Width, o.Height = 640, 480
			}
			p, err := view.Close(s, c.place, o)
			if err != nil {
				t.Fatal(err)
			}
			keep(t, p)
			if n := count(decode(t, p), c.tone); n < 100 {
				t.Errorf("%d pixels in the colour of the verdict: ring and sign are not there", n)
			}
		})
	}
}

// A wall between the eye and the place is cut away, from wherever it is seen.
func TestCloseOpensWhatHidesThePlace(t *testing.T) {
	t.Parallel()
	b := func(x, y, z, w, d, h float64) solid.Solid {
		return solid.Box(r3.Box{Min: r3.Vec{X: x, Y: y, Z: z}, Max: r3.Vec{X: x + w, Y: y + d, Z: z + h}})
	}
	s := view.Subject{Parts: []scene.Part{
		{Name: "left", Of: "left", Role: scene.RoleEquipment, Solid: b(100, 100, 100, 100, 100, 100)},
		{Name: "right", Of: "right", Role: scene.RoleEquipment, Solid: b(210, 100, 100, 100, 100, 100)},
	}}
	place := view.Place{Title: "between", Verdict: "tight", Marks: []scene.Mark{
		{From: r3.Vec{X: 200, Y: 150, Z: 150}, To: r3.Vec{X: 210, Y: 150, Z: 150}, Parts: []string{"left", "right"}},
	}}
	// A closed chest of six walls round both.
	for i, w := range []solid.Solid{
		b(0, 0, 0, 400, 10, 300), b(0, 290, 0, 400, 10, 300), b(0, 10, 0, 10, 280, 300),
		b(390, 10, 0, 10, 280, 300), b(10, 10, 0, 380, 280, 10), b(10, 10, 290, 380, 280, 10),
	} {
		s.Parts = append(s.Parts, scene.Part{Name: "cabinet/" + string(rune('a'+i)), Of: "cabinet", Role: scene.RolePanel, Solid: w})
	}
	p, err := view.Close(s, place, small)
	if err != nil {
		t.Fatal(err)
	}
	// Each part takes up more than a tenth of the drawing.
	if blue, purple := tinted(decode(t, p)); blue < 4000 || purple < 4000 {
		t.Errorf("the parts are seen in %d and %d pixels", blue, purple)
	}
}

// tinted returns how many pixels have the colours of the first two parts that a
// mark is about.
func tinted(img image.Image) (blue, purple int) {
	size := img.Bounds()
	for y := range size.Dy() {
		for x := range size.Dx() {
			r, g, b, _ := img.At(x, y).RGBA()
			r, g, b = r>>8, g>>8, b>>8
			switch {
			case b > r+60 && b > g:
				blue++
			case r > g+20 && b > g+15:
				purple++
			}
		}
	}
	return blue, purple
}

// A place between two parts, one behind the other, is looked at so that both are
// seen on either side of it.
func TestCloseLooksBetween(t *testing.T) {
	t.Parallel()
	b := func(y float64) solid.Solid {
		return solid.Box(r3.Box{Min: r3.Vec{X: 0, Y: y, Z: 0}, Max: r3.Vec{X: 300, Y: y + 40, Z: 300}})
	}
	s := view.Subject{Parts: []scene.Part{
		{Name: "before", Of: "before", Role: scene.RoleGlass, Solid: b(0)}, // clear: nothing hides the place
		{Name: "behind", Of: "behind", Role: scene.RoleEquipment, Solid: b(60)},
	}}
	at := r3.Vec{X: 150, Y: 50, Z: 150}
	p, err := view.Close(s, view.Place{Title: "hand", Verdict: "no", Marks: []scene.Mark{
		{From: at, To: at, Label: "tap", Parts: []string{"before", "behind"}},
	}}, small)
	if err != nil {
		t.Fatal(err)
	}
	blue, purple := tinted(decode(t, p))
	if blue < 1500 || purple < 4500 { // of the clear one edge and labels are as blue
		t.Errorf("the parts are seen in %d and %d pixels", blue, purple)
	}
}

// Leaves that a mark is about stand open where that is said: seen from the front
// they are then as wide as they are thick.
func TestCloseWithDoorsOpen(t *testing.T) {
	t.Parallel()
	s := subject()
	place := view.Place{Title: "between the leaves", Verdict: "no", Marks: []scene.Mark{
		{From: inches(4, -5, 16), To: inches(46, -5, 16), Label: "42 in", Parts: []string{"sump", "doors/left leaf"}},
	}}
	var wide [2]int
	for i := range wide {
		place.Open = i == 1
		p, err := view.Close(s, place, small)
		if err != nil {
			t.Fatal(err)
		}
		_, wide[i] = tinted(decode(t, p))
	}
	if wide[1] < 20 || wide[0] < 4*wide[1] {
		t.Errorf("the leaf takes up %d pixels closed and %d open", wide[0], wide[1])
	}
}

func TestWays(t *testing.T) {
	t.Parallel()
	s := subject()
	p, err := view.Strip(s, wayIn(), options(t))
	if err != nil {
		t.Fatal(err)
	}
	keep(t, p)
	p, err = view.Narrowest(s, wayIn(), 3, 0.1, view.Place{
		Title: "The narrowest moment", Verdict: "tight", Summary: "4 7/8 in between the sump and the right leaf",
		Marks: []scene.Mark{{From: inches(41.4, -1.5, 12), To: inches(46.3, -1.5, 12), Label: "4 7/8 in", Parts: []string{"sump/outside", "doors/right leaf"}}},
	}, options(t))
	if err != nil {
		t.Fatal(err)
	}
	keep(t, p)
}

// Things that are absent during a motion are not drawn.
func TestAbsentThingsAreLeftOut(t *testing.T) {
	t.Parallel()
	s, m := subject(), wayIn()
	with, err := view.Strip(s, m, small)
	if err != nil {
		t.Fatal(err)
	}
	m.Absent = []string{"skimmer", "top-off jug"}
	without, err := view.Strip(s, m, small)
	if err != nil {
		t.Fatal(err)
	}
	s.Parts = slices.DeleteFunc(s.Parts, func(p scene.Part) bool { return slices.Contains(m.Absent, p.Of) })
	m.Absent = nil
	never, err := view.Strip(s, m, small)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(with.PNG, without.PNG) || !bytes.Equal(without.PNG, never.PNG) {
		t.Error("what is absent is not drawn as if it were not in the plan")
	}
}

// A way was proved with the other doors closed, and is drawn so.
func TestOtherDoorsAreClosedOnTheWay(t *testing.T) {
	t.Parallel()
	draw := func(opens unit.Angle, through string, narrowest bool) []byte {
		sc := hall()
		sc.Cabinet.Openings = append(sc.Cabinet.Openings, scene.Opening{
			Name: "hatch", Side: scene.Right, Hole: box(49.25, 3, 8, 0.75, 16, 20),
			Door: &scene.Door{Hinge: scene.HingeRight, Overlay: true, Overlap: 0.5 * in, Thickness: 0.75 * in, Opens: opens},
		})
		s, m := view.Of(sc, caution, nil), wayIn()
		m.Through = through
		var p view.Picture
		var err error
		if narrowest {
			at := view.Place{Title: "there", Marks: []scene.Mark{{From: inches(49, 10, 15), To: inches(52, 10, 15), Label: "3 in", Parts: []string{"hatch/leaf"}}}}
			p, err = view.Narrowest(s, m, 0, 0.5, at, small)
		} else {
			p, err = view.Strip(s, m, small)
		}
		if err != nil {
			t.Fatal(err)
		}
		return p.PNG
	}
	for _, narrowest := range []bool{false, true} {
		if !bytes.Equal(draw(0, "doors", narrowest), draw(90*unit.Degree, "doors", narrowest)) {
			t.Errorf("narrowest %v: a door is drawn open that was closed", narrowest)
		}
		if bytes.Equal(draw(0, "hatch", narrowest), draw(90*unit.Degree, "hatch", narrowest)) {
			t.Errorf("narrowest %v: the door that the way leads through is drawn closed", narrowest)
		}
	}
}

func TestRefused(t *testing.T) {
	t.Parallel()
	s := subject()
	mark := []scene.Mark{{To: r3.Vec{X: 1}}}
	nan := subject()
	nan.Parts = append(nan.Parts, scene.Part{Name: "void", Role: scene.RoleEquipment, Solid: &solid.Cylinder{B: r3.Vec{Z: math.NaN()}, Radius: 1}})
	for _, c := range []struct {
		name string
		draw func() (view.Picture, error)
		want string
	}{
		{"nothing there", func() (view.Picture, error) { return view.Front(view.Subject{}, small) }, "nothing to draw"},
		{"too small", func() (view.Picture, error) { return view.Front(s, view.Options{Width: 100}) }, "320 to 8000"},
		{"too fine", func() (view.Picture, error) { return view.Front(s, view.Options{Supersample: 9}) }, "1 to 4"},
		{"no number", func() (view.Picture, error) { return view.Front(nan, small) }, "void"},
		{"no mark", func() (view.Picture, error) { return view.Close(s, view.Place{Title: "x"}, small) }, "no mark"},
		{"mark far off", func() (view.Picture, error) {
			return view.Close(s, view.Place{Title: "x", Marks: []scene.Mark{{From: r3.Vec{X: math.Inf(1)}}}}, small)
		}, "out of range"},
		{"no way", func() (view.Picture, error) { return view.Strip(s, scene.Motion{Thing: "sump"}, small) }, "no leg"},
		{"nobody", func() (view.Picture, error) {
			m := wayIn()
			m.Thing, m.Parts = "piano", nil
			return view.Strip(s, m, small)
		}, "piano"},
		{"no such leg", func() (view.Picture, error) {
			return view.Narrowest(s, wayIn(), 99, 0, view.Place{Marks: mark}, small)
		}, "leg 99"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := c.draw()
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want one with %q", err, c.want)
			}
		})
	}
}

// Any text is taken for title, caution and summary.
func TestAnyText(t *testing.T) {
	t.Parallel()
	s := subject()
	s.Title = strings.Repeat("<b>Größe</b> \x00\n日本 ", 30)
	s.Caution = strings.Repeat("a caution that goes on ", 30)
	place := view.Place{
		Title: s.Title, Verdict: "perhaps", Summary: strings.Repeat("Donaudampfschifffahrt", 20),
		Marks: []scene.Mark{{From: inches(10, 14, 9), To: inches(10, 17, 9), Label: strings.Repeat("long ", 40)}},
	}
	if _, err := view.Close(s, place, small); err != nil {
		t.Error(err)
	}
	if _, err := view.Understood(s, small); err != nil {
		t.Error(err)
	}
}
