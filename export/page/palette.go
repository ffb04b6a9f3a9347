package page

import (
	"cmp"
	"image"
	"image/color"
	"math"
	"slices"
)

// tints is how many colours a picture keeps.
const tints = 96

// A swatch is a colour of a picture and how many pixels have it.
type swatch struct {
	c [3]uint8
	n int
}

// reduce returns the picture in at most so many colours, found by halving the
// box of all its colours again and again at the median of its longest side.
//
// Source: Heckbert, "Color image quantization for frame buffer display",
// Computer Graphics (SIGGRAPH) 16 (1982).
func reduce(img image.Image, most int) *image.Paletted {
	size := img.Bounds()
	pixels := make([][3]uint8, 0, size.Dx()*size.Dy())
	count := map[[3]uint8]int{}
	for y := size.Min.Y; y < size.Max.Y; y++ {
		for x := size.Min.X; x < size.Max.X; x++ {
			r, g, b, _ := img.At(x, y).RGBA()
			c := [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}
			pixels = append(pixels, c)
			count[c]++
		}
	}
	all := make([]swatch, 0, len(count))
	for c, n := range count {
		all = append(all, swatch{c, n})
	}
	slices.SortFunc(all, func(a, b swatch) int { return slices.Compare(a.c[:], b.c[:]) })

	boxes := [][]swatch{all}
	for len(boxes) < most {
		i, axis := widest(boxes)
		if i < 0 {
			break
		}
		lower, upper := halve(boxes[i], axis)
		boxes[i] = lower
		boxes = append(boxes, upper)
	}
	out := image.NewPaletted(image.Rect(0, 0, size.Dx(), size.Dy()), nil)
	index := make(map[[3]uint8]uint8, len(all))
	for i, box := range boxes {
		out.Palette = append(out.Palette, middle(box))
		for _, s := range box {
			index[s.c] = uint8(i)
		}
	}
	for i, c := range pixels {
		out.Pix[i] = index[c]
	}
	return out
}

// widest returns the box whose colours matter most: that with the longest side,
// weighed by its pixels; -1 where every box is one colour.
func widest(boxes [][]swatch) (at, axis int) {
	at, most := -1, 0.0
	for i, box := range boxes {
		n := 0
		lo, hi := box[0].c, box[0].c
		for _, s := range box {
			n += s.n
			for k := range 3 {
				lo[k], hi[k] = min(lo[k], s.c[k]), max(hi[k], s.c[k])
			}
		}
		for k := range 3 {
			side := float64(hi[k] - lo[k])
			// The fourth root keeps a few pixels of a strong colour, such as
			// the mark of a verdict, from drowning in paper.
			if weight := side * math.Sqrt(math.Sqrt(float64(n))); side > 0 && weight > most {
				at, axis, most = i, k, weight
			}
		}
	}
	return at, axis
}

// halve parts a box at the median of one axis; both halves hold a colour.
func halve(box []swatch, axis int) (lower, upper []swatch) {
	box = slices.Clone(box)
	slices.SortStableFunc(box, func(a, b swatch) int { return cmp.Compare(a.c[axis], b.c[axis]) })
	n := 0
	for _, s := range box {
		n += s.n
	}
	sum, cut := 0, 1
	for i, s := range box[:len(box)-1] {
		sum += s.n
		cut = i + 1
		if 2*sum >= n {
			break
		}
	}
	return box[:cut], box[cut:]
}

// middle returns the mean colour of a box.
func middle(box []swatch) color.RGBA {
	var sum [3]int
	n := 0
	for _, s := range box {
		for k := range 3 {
			sum[k] += int(s.c[k]) * s.n
		}
		n += s.n
	}
	f := func(k int) uint8 { return uint8((sum[k] + n/2) / n) }
	return color.RGBA{f(0), f(1), f(2), 0xff}
}
