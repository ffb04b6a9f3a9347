package page

import "image"

// Tints is how many colours a picture keeps.
const Tints = tints

// Reduce gives a picture few colours.
func Reduce(img image.Image, most int) *image.Paletted { return reduce(img, most) }
