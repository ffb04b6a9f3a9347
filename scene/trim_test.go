package scene_test

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// A trim that reaches past the ends of the glass is part of the sump's outside,
// as it stands and as it is carried, and of the trim of a trade size only the
// outer faces are sure.
func TestTrimBeyondTheGlass(t *testing.T) {
	t.Parallel()
	s := &scene.Sump{
		Box:   r3.Box{Min: r3.Vec{X: 100, Y: 100, Z: 10}, Max: r3.Vec{X: 700, Y: 400, Z: 410}},
		Glass: 6, Inlet: scene.Left,
		Rim:  &scene.Trim{Height: 20, Out: 3, More: 2, In: 6, Beyond: 9, Assumed: true},
		Foot: &scene.Trim{Height: 20, Out: 3, More: 2, Beyond: 10, Assumed: true},
	}
	want := r3.Box{Min: r3.Vec{X: 97, Y: 95, Z: 0}, Max: r3.Vec{X: 703, Y: 405, Z: 419}}
	for name, parts := range map[string][]scene.Part{"standing": s.Panes(), "carried": s.Carried()} {
		var all []solid.Solid
		for _, p := range parts {
			all = append(all, p.Solid)
			if p.Role == scene.RoleTrim && p.Sure != nil {
				if b := p.Sure.Bounds(); b.Max.Z-b.Min.Z > 0.01 {
					t.Errorf("%s: %s is sure over %g mm of its height, which is assumed", name, p.Name, b.Max.Z-b.Min.Z)
				}
			}
		}
		if got := solid.BoundsOf(all...); got != want {
			t.Errorf("%s: the sump with its trim is %v, want %v", name, got, want)
		}
	}
	// What stands does not overlap: the volumes of glass and trim add up.
	var volume float64
	for _, p := range s.Panes() {
		volume += p.Solid.Volume()
	}
	panes := 600.0*300*400 - 588*288*394
	outside := (606*310 - 600*300) * (29.0 + 30)
	inside := (588*288 - 576*276) * 20.0
	over := (600*300 - 576*276) * 9.0
	under := (600*300 - 588*288) * 10.0
	if want := panes + outside + inside + over + under; volume < want-1 || volume > want+1 {
		t.Errorf("glass and trim are %g mm³, want %g", volume, want)
	}
}
