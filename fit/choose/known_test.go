package choose_test

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/choose"
	"undercroft/scene"
)

// What does not go in because of trim that was measured shows nothing of a sump whose
// trim is only assumed to be as high.
func TestShownBy(t *testing.T) {
	t.Parallel()
	sump := func(size float64, rim scene.Trim) *scene.Sump {
		return &scene.Sump{Box: r3.Box{Max: r3.Vec{X: size, Y: size, Z: 400}}, Glass: 6, Rim: &rim}
	}
	measured, assumed := scene.Trim{Height: 30, Out: 5}, scene.Trim{Height: 30, Out: 5, Assumed: true}
	for _, c := range []struct {
		name         string
		small, large scene.Trim
		want         bool
	}{
		{"both measured", measured, measured, true},
		{"both assumed", assumed, assumed, true},
		{"the smaller assumed", assumed, measured, true},
		{"the larger assumed", measured, assumed, false},
	} {
		if got := choose.ShownBy(sump(300, c.small), sump(305, c.large)); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}

	// Of what hangs from the top, with its bottom elsewhere, it shows nothing.
	lower := sump(305, measured)
	lower.Box.Min.Z, lower.Box.Max.Z = lower.Box.Min.Z-10, lower.Box.Max.Z-10
	if choose.ShownBy(sump(300, measured), lower) {
		t.Error("it is shown of a place at another height")
	}
}
