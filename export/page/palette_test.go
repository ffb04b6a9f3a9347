package page_test

import (
	"image"
	"image/color"
	"testing"

	"undercroft/export/page"
)

func TestFewColoursStay(t *testing.T) {
	t.Parallel()
	img := image.NewRGBA(image.Rect(0, 0, 40, 30))
	for y := range 30 {
		for x := range 40 {
			img.SetRGBA(x, y, color.RGBA{uint8(x / 8 * 50), uint8(y / 10 * 80), 0x80, 0xff})
		}
	}
	got := page.Reduce(img, page.Tints)
	for y := range 30 {
		for x := range 40 {
			if want := img.RGBAAt(x, y); got.At(x, y) != want {
				t.Fatalf("(%d, %d) became %v, was %v", x, y, got.At(x, y), want)
			}
		}
	}
}

// A mark of a few pixels in a strong colour must not become paper, and no colour
// may go far.
func TestManyColoursComeNear(t *testing.T) {
	t.Parallel()
	img := image.NewRGBA(image.Rect(0, 0, 256, 256))
	for y := range 256 {
		for x := range 256 {
			img.SetRGBA(x, y, color.RGBA{uint8(200 + x/6), uint8(200 + y/6), uint8(180 + (x+y)/10), 0xff})
		}
	}
	vermilion := color.RGBA{0xd5, 0x5e, 0x00, 0xff}
	for i := range 6 {
		img.SetRGBA(100+i, 40, vermilion)
	}
	got := page.Reduce(img, page.Tints)
	if n := len(got.Palette); n > page.Tints {
		t.Errorf("%d colours, at most %d wanted", n, page.Tints)
	}
	if got.At(102, 40) != vermilion {
		t.Errorf("the mark became %v", got.At(102, 40))
	}
	// 40 by 40 by 50 steps of colour in 95 boxes: none is wider than some 16.
	const far = 16
	for y := range 256 {
		for x := range 256 {
			a, b := img.RGBAAt(x, y), got.At(x, y).(color.RGBA)
			if d := max(apart(a.R, b.R), apart(a.G, b.G), apart(a.B, b.B)); d > far {
				t.Fatalf("(%d, %d) became %v, was %v", x, y, b, a)
			}
		}
	}
}

func apart(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }
