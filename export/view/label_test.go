package view

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"undercroft/scene"
)

func testSheet(w, h int) *sheet { return newSheet(Options{Width: w, Height: h, Supersample: 1}) }

// Labels lie in the area and on no other label.
func TestLabelsKeepApart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := testSheet(800, 600)
		p := &placer{area: rect{20, 20, 780, 560}}
		n := rapid.IntRange(1, 12).Draw(t, "labels")
		tags := make([]tag, n)
		for i := range tags {
			at := point{rapid.Float64Range(20, 780).Draw(t, "x"), rapid.Float64Range(20, 560).Draw(t, "y")}
			half := rapid.Float64Range(0, 90).Draw(t, "half")
			tags[i] = tag{text: strings.Repeat("w", rapid.IntRange(1, 18).Draw(t, "long")), at: at, in: rect{at.x - half, at.y - half, at.x + half, at.y + half}, tone: ink}
		}
		s.write(p, tags)
		labels := p.taken[n:] // after the dots of the leaders
		for i, a := range labels {
			if !p.area.holds(a) {
				t.Fatalf("label %v leaves the area", a)
			}
			for _, b := range labels[i+1:] {
				if a.meets(b) {
					t.Fatalf("labels %v and %v overlap", a, b)
				}
			}
		}
	})
}

// Wherever on the drawing a mark is, its label is within the frame.
func TestMarkIsLabelledWithinTheFrame(t *testing.T) {
	t.Parallel()
	for _, x := range []float64{-90, -40, 0, 60, 90} {
		for _, z := range []float64{-70, 0, 70} {
			t.Run(fmt.Sprint(x, z), func(t *testing.T) {
				t.Parallel()
				s := testSheet(800, 600)
				cam := lookFrom(r3.Vec{Y: -1})
				cam.frame, cam.scale = rect{10, 10, 610, 510}, 3
				area := cam.frame.grow(-5)
				p := &placer{area: area}
				m := scene.Mark{From: r3.Vec{X: x, Z: z}, To: r3.Vec{X: x + 2, Z: z}, Label: "between 3/16 and 1/4 in to spare"}
				s.marks(cam, Place{Verdict: "tight", Marks: []scene.Mark{m}}, p)
				if len(p.taken) != 2 {
					t.Fatalf("%d places taken, want ring and label", len(p.taken))
				}
				c := cam.px(r3.Vec{X: x + 1, Z: z})
				for _, way := range []point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					q := c.add(way.scale(52 * s.unit))
					if got := s.img.RGBAAt(int(q.x), int(q.y)); apart3(got, orange) > 60 && p.area.has(q) {
						t.Errorf("colour %v at %v, want the ring round the place", got, q)
					}
				}
				label := p.taken[1]
				if !area.holds(label) {
					t.Errorf("label %v leaves %v", label, area)
				}
				if label.meets(p.taken[0]) {
					t.Errorf("label %v covers the place %v", label, p.taken[0])
				}
			})
		}
	}
}

func TestLinesOfMeasureKeepApart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := testSheet(1600, 1200)
		n := rapid.IntRange(1, 25).Draw(t, "marks")
		marks := make([]scene.Mark, n)
		num := func(name string, hi float64) float64 { return math.Round(rapid.Float64Range(0, hi).Draw(t, name)) }
		for i := range marks {
			a := r3.Vec{X: num("x", 1000), Y: num("y", 500)}
			b := a
			if rapid.Bool().Draw(t, "across") {
				b.X = num("to", 1000)
			} else {
				b.Y = num("to", 500)
			}
			marks[i] = scene.Mark{From: a, To: b, Label: fmt.Sprintf("%g mm", r3.Norm(r3.Sub(a, b)))}
		}
		pts := []r3.Vec{{}, {X: 1000, Y: 500}}
		frame := rect{20, 20, 1580, 1000}
		cam, ms, left := s.dimensioned(lookFrom(r3.Vec{Z: 1}), pts, frame, marks)
		outline := cam.extent(pts)
		if len(ms)+left > n {
			t.Fatalf("%d drawn and %d left out of %d", len(ms), left, n)
		}
		for i, a := range ms {
			for _, b := range ms[i+1:] {
				sa, sb := s.span(cam, a, outline), s.span(cam, b, outline)
				if a.side == b.side && a.level == b.level && sa.lo < sb.hi && sb.lo < sa.hi {
					t.Fatalf("%q and %q lie on one another", a.mark.Label, b.mark.Label)
				}
			}
			off := (first + apart*float64(a.level)) * s.unit
			if !frame.holds(outline.grow(0)) || off > [4]float64{outline.y0 - frame.y0, frame.y1 - outline.y1, outline.x0 - frame.x0, frame.x1 - outline.x1}[a.side] {
				t.Fatalf("%q is drawn beyond the frame", a.mark.Label)
			}
		}
	})
}

// Of more measures than there is room for the first are drawn.
func TestFirstMeasuresMatterMost(t *testing.T) {
	t.Parallel()
	s := testSheet(1600, 1200)
	var marks []scene.Mark
	for i := range 60 {
		w := 900 - float64(i)
		marks = append(marks, scene.Mark{From: r3.Vec{X: 50}, To: r3.Vec{X: 50 + w}, Label: fmt.Sprint(i)})
	}
	_, ms, left := s.dimensioned(lookFrom(r3.Vec{Z: 1}), []r3.Vec{{}, {X: 1000, Y: 500}}, rect{20, 20, 1580, 1000}, marks)
	if left == 0 || len(ms) < 8 {
		t.Fatalf("%d drawn, %d left out", len(ms), left)
	}
	for i, m := range ms {
		if m.mark.Label != fmt.Sprint(i) {
			t.Fatalf("measure %d is %q: an earlier one was left out for it", i, m.mark.Label)
		}
	}
}

func TestTextKeepsItsWidth(t *testing.T) {
	t.Parallel()
	s := testSheet(1600, 1200)
	face := typeface{false, sizeText}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		width := rapid.Float64Range(60, 600).Draw(t, "width")
		lines := s.wrap(text, face, width)
		for _, l := range lines {
			if s.width(l, face) > width+0.5 {
				t.Fatalf("line %q is %g px wide, want at most %g", l, s.width(l, face), width)
			}
		}
		squeeze := func(text string) string { return strings.ReplaceAll(clean(text), " ", "") }
		if got, want := squeeze(strings.Join(lines, "")), squeeze(text); got != want {
			t.Fatalf("text came back as %q, want %q", got, want)
		}
		if got := s.fitted(text, face, width); s.width(got, face) > width+0.5 {
			t.Fatalf("%q is too wide", got)
		}
	})
}

// Signs of verdicts differ in shape, not only in colour.
func TestVerdictsDifferWithoutColour(t *testing.T) {
	t.Parallel()
	grey := func(verdict string) []int {
		s := testSheet(320, 320)
		s.glyph(point{160, 160}, 100, verdict)
		out := make([]int, 0, 320*320)
		for i := 0; i < len(s.img.Pix); i += 4 {
			dark := 0
			if s.img.Pix[i+2] < 0xe0 || s.img.Pix[i] < 0xe0 { // anything but paper
				dark = 1
			}
			out = append(out, dark)
		}
		return out
	}
	all := []string{"ok", "tight", "no", "unsure"}
	for i, a := range all {
		for _, b := range all[i+1:] {
			differ := 0
			ga, gb := grey(a), grey(b)
			for k := range ga {
				if ga[k] != gb[k] {
					differ++
				}
			}
			if differ < 2000 { // of some 30,000 that a sign covers
				t.Errorf("%s and %s differ in %d pixels by shape", a, b, differ)
			}
		}
	}
}

func TestWordsForParts(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"skimmer/cup": "skimmer (cup)", "sump/front pane": "sump front pane", "top-off jug": "top-off jug",
		"cabinet/inside bottom": "cabinet bottom", "cabinet/front left of doors": "cabinet front wall", "cabinet/top": "cabinet top",
		"room/floor": "house floor", "doors/left leaf": "left door", "hatch/leaf": "hatch", "doors/right leaf hinge 2": "hinge",
		"jug left of pump": "jug left of pump",
	} {
		if got := words(name); got != want {
			t.Errorf("words(%q) = %q, want %q", name, got, want)
		}
	}
}
