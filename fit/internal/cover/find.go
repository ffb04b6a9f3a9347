package cover

import "gonum.org/v1/gonum/spatial/r3"

// Find returns nodes that show that boxes cover whole; ok is false where they do not
// cover it, or Most are not enough.
func Find(whole r3.Box, boxes []r3.Box) (nodes []Node, ok bool) {
	f := finder{boxes: boxes}
	ok = f.part(whole)
	return f.nodes, ok
}

type finder struct {
	boxes []r3.Box
	nodes []Node
}

// part appends the nodes of one part: it is cut along the sides of the box that has most
// of it.
func (f *finder) part(b r3.Box) bool {
	best, most := -1, 0.0
	for i, box := range f.boxes {
		if within(b, box) {
			f.nodes = append(f.nodes, Node{Axis: -1, In: i})
			return len(f.nodes) <= Most
		}
		if v := shared(b, box); v > most {
			best, most = i, v
		}
	}
	if best < 0 || len(f.nodes) >= Most {
		return false
	}
	box := f.boxes[best]
	for axis, ends := range [3][2]float64{{box.Min.X, box.Max.X}, {box.Min.Y, box.Max.Y}, {box.Min.Z, box.Max.Z}} {
		for _, at := range ends {
			if lower, upper, ok := parted(b, axis, at); ok {
				f.nodes = append(f.nodes, Node{Axis: axis, At: at})
				return f.part(lower) && f.part(upper)
			}
		}
	}
	return false
}

// shared returns the volume of what two boxes have in common.
func shared(a, b r3.Box) float64 {
	x := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	y := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	z := min(a.Max.Z, b.Max.Z) - max(a.Min.Z, b.Min.Z)
	return max(x, 0) * max(y, 0) * max(z, 0)
}
