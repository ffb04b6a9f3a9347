package view

import (
	"image"
	"image/color"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// block100 is a box of 100 mm with its near lower left corner at a point.
func block100(name string, r scene.Role, x, y, z float64) shape {
	lo := r3.Vec{X: x, Y: y, Z: z}
	p := scene.Part{Name: name, Of: name, Role: r, Solid: solid.Box(r3.Box{Min: lo, Max: r3.Add(lo, r3.Vec{X: 100, Y: 100, Z: 100})})}
	return shapeOf(p, lookOf(p))
}

// apart returns the largest difference of a channel.
func apart3(a, b color.RGBA) int {
	d := func(x, y uint8) int { return max(int(x)-int(y), int(y)-int(x)) }
	return max(d(a.R, b.R), d(a.G, b.G), d(a.B, b.B))
}

func at(img *image.RGBA, cam camera, p r3.Vec) color.RGBA {
	q := cam.px(p).sub(point{cam.frame.x0, cam.frame.y0})
	return img.RGBAAt(int(q.x), int(q.y))
}

func TestPartsAreWhereTheyProject(t *testing.T) {
	t.Parallel()
	wall, pump, glass := block100("wall", scene.RolePanel, 0, 0, 0), block100("pump", scene.RoleEquipment, 150, 0, 50), block100("pane", scene.RoleGlass, 300, 0, 100)
	shapes := []shape{wall, pump, glass}
	cam := lookFrom(r3.Vec{Y: -1}).fit(pointsOf(shapes), rect{10, 20, 330, 220}, 10, 10, 10, 10)
	img := render(shapes, cam, 2)
	front := r3.Vec{Y: -1}
	for _, c := range []struct {
		name string
		p    r3.Vec
		want color.RGBA
	}{
		{"wall", r3.Vec{X: 50, Z: 30}, lit(wall.look.fill, front)},
		{"pump", r3.Vec{X: 200, Z: 110}, lit(pump.look.fill, front)},
		{"pane", r3.Vec{X: 350, Z: 160}, mix(paper, lit(glass.look.fill, front), glass.look.alpha)},
		{"nothing", r3.Vec{X: 125, Z: 100}, paper},
	} {
		if got := at(img, cam, c.p); apart3(got, c.want) > 6 { // 6 of 255: the tone of depth and rounding
			t.Errorf("%s: colour %v, want %v", c.name, got, c.want)
		}
	}
	edge := at(img, cam, r3.Vec{X: 100, Z: 60})
	if edge.R > 140 {
		t.Errorf("the wall's edge is drawn as %v, want ink", edge)
	}
}

// What an opaque part hides shows at most as faint lines.
func TestHiddenPartIsNotSeen(t *testing.T) {
	t.Parallel()
	wall, pump := block100("wall", scene.RolePanel, 0, 0, 0), block100("pump", scene.RoleEquipment, 0, 200, 0)
	cam := lookFrom(r3.Vec{Y: -1}).fit(pointsOf([]shape{wall}), rect{0, 0, 200, 200}, 20, 20, 20, 20)
	for _, c := range []struct {
		name   string
		shapes []shape
	}{{"hidden drawn first", []shape{pump, wall}}, {"hidden drawn last", []shape{wall, pump}}} {
		img := render(c.shapes, cam, 1)
		for z := 10.0; z <= 90; z += 5 {
			if got, want := at(img, cam, r3.Vec{X: 50, Z: z}), lit(wall.look.fill, r3.Vec{Y: -1}); apart3(got, want) > 6 {
				t.Fatalf("%s: at %g mm up the colour is %v, want the wall's %v", c.name, z, got, want)
			}
		}
	}
	small := pump
	small.facets = shapeOf(scene.Part{Solid: solid.Box(r3.Box{Min: r3.Vec{X: 30, Y: 200, Z: 30}, Max: r3.Vec{X: 70, Y: 250, Z: 70}})}, pump.look).facets
	img := render([]shape{wall, small}, cam, 2)
	got, want := at(img, cam, r3.Vec{X: 30, Z: 50}), lit(wall.look.fill, r3.Vec{Y: -1})
	if d := apart3(got, want); d == 0 || d > 80 {
		t.Errorf("a hidden edge is drawn as %v on %v: want it faint", got, want)
	}
}

// Water in glass is seen behind the pane, whichever comes first.
func TestClearBodiesLieOverEachOther(t *testing.T) {
	t.Parallel()
	pane, water := block100("pane", scene.RoleGlass, 0, 0, 0), block100("water", scene.RoleWater, 0, 150, 0)
	cam := lookFrom(r3.Vec{Y: -1}).fit(pointsOf([]shape{pane}), rect{0, 0, 120, 120}, 10, 10, 10, 10)
	front := r3.Vec{Y: -1}
	want := mix(mix(paper, lit(water.look.fill, front), water.look.alpha), lit(pane.look.fill, front), pane.look.alpha)
	for _, shapes := range [][]shape{{pane, water}, {water, pane}} {
		if got := at(render(shapes, cam, 1), cam, r3.Vec{X: 40, Z: 60}); apart3(got, want) > 3 {
			t.Errorf("colour %v, want %v", got, want)
		}
	}
}

// The rasterizer lets wide lines that leave on the right come in on the left.
func TestNothingComesInOnTheOtherSide(t *testing.T) {
	t.Parallel()
	s := block100("bar", scene.RoleEquipment, 0, 0, 0)
	s.look.width = 6
	cam := lookFrom(threeQuarter)
	cam.frame, cam.scale = rect{0, 0, 200, 150}, 1
	// The bar's left end is in the middle of the frame, the rest beyond its right.
	long := scene.Part{Solid: solid.Box(r3.Box{Max: r3.Vec{X: 4000, Y: 50, Z: 50}})}
	s.facets = shapeOf(long, s.look).facets
	img := render([]shape{s}, cam, 2)
	for y := range 150 {
		for x := range 40 {
			if got := img.RGBAAt(x, y); got != paper {
				t.Fatalf("pixel %d,%d is %v, want paper", x, y, got)
			}
		}
	}
	if img.RGBAAt(150, 75) == paper {
		t.Error("the bar itself is not in the picture")
	}
}

// A stile let into a wall shares its face and is seen all over.
func TestFlushFacesDoNotMix(t *testing.T) {
	t.Parallel()
	wall := block100("wall", scene.RolePanel, 0, 0, 0)
	stile := scene.Part{Name: "stile", Of: "stile", Role: scene.RoleFixture, Solid: solid.Box(r3.Box{Min: r3.Vec{X: 30, Z: 10}, Max: r3.Vec{X: 70, Y: 40, Z: 90}})}
	s := shapeOf(stile, lookOf(stile))
	s.look.hidden = false
	for _, eye := range []r3.Vec{{Y: -1}, threeQuarter} {
		cam := lookFrom(eye).fit(pointsOf([]shape{wall}), rect{0, 0, 200, 200}, 10, 10, 10, 10)
		img := render([]shape{s, wall}, cam, 1)
		for z := 15.0; z <= 85; z += 2 {
			if got, want := at(img, cam, r3.Vec{X: 50, Z: z}), lit(s.look.fill, r3.Vec{Y: -1}); apart3(got, want) > 8 {
				t.Fatalf("from %v, %g mm up: colour %v, want the stile's %v", eye, z, got, want)
			}
		}
	}
}

// A pixel on the line between the two triangles of a pane is drawn once.
func TestPaneIsEven(t *testing.T) {
	t.Parallel()
	pane := block100("pane", scene.RoleGlass, 0, 0, 0)
	pane.look.hidden = false
	cam := lookFrom(r3.Vec{Y: -1})
	cam.frame, cam.scale, cam.at = rect{0, 0, 120, 120}, 1, r3.Vec{X: 50, Z: 50}
	img := render([]shape{pane}, cam, 1)
	want := img.RGBAAt(60, 40)
	for y := 15; y < 105; y++ {
		for x := 15; x < 105; x++ {
			if got := img.RGBAAt(x, y); got != want {
				t.Fatalf("pixel %d,%d of the pane is %v, others are %v", x, y, got, want)
			}
		}
	}
}
