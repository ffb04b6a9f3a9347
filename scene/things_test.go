package scene_test

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

func partNames(parts []scene.Part) []string {
	out := make([]string, len(parts))
	for i, p := range parts {
		out[i] = p.Name
	}
	return out
}

func TestThingsInPlanOrderTheSumpFirst(t *testing.T) {
	t.Parallel()
	s := landing()
	var got []string
	for _, thing := range s.Things() {
		got = append(got, thing.Name)
	}
	if want := []string{"sump", "skimmer", "heater", "power strip"}; !slices.Equal(got, want) {
		t.Errorf("things %v, want %v", got, want)
	}
	s.Sump, s.Equipment = nil, s.Equipment[:1]
	if got := s.Things(); len(got) != 1 || got[0].Name != "skimmer" {
		t.Errorf("without a sump: %v, want the skimmer alone", got)
	}
}

func TestGroupsTravelApart(t *testing.T) {
	t.Parallel()
	s := landing()
	skimmer, ok := s.Thing("skimmer")
	if !ok {
		t.Fatal("no skimmer")
	}
	if got, want := partNames(skimmer.Parts), []string{"skimmer/body", "skimmer/cup"}; !slices.Equal(got, want) {
		t.Errorf("parts at rest %v, want %v", got, want)
	}
	g := skimmer.Groups
	if len(g) != 2 || g[0].Name != "skimmer" || g[1].Name != "skimmer/cup" || g[1].Lifts != 3*unit.Inch {
		t.Fatalf("groups %+v, want the body and a cup that lifts 3 in", g)
	}
	if got, want := partNames(g[0].Parts), []string{"skimmer/body"}; !slices.Equal(got, want) {
		t.Errorf("main body %v, want %v", got, want)
	}
	if skimmer.Order != 2 || skimmer.Item == nil || skimmer.Item.Chamber != 1 {
		t.Errorf("order %d, item %v", skimmer.Order, skimmer.Item)
	}
	sump, _ := s.Thing("sump")
	if got, want := partNames(sump.Groups[0].Parts), []string{"sump/outside", "sump/rim"}; !slices.Equal(got, want) {
		t.Errorf("the sump is carried as %v, want %v", got, want)
	}
	if _, ok := s.Thing("reactor"); ok {
		t.Error("found a reactor that the plan does not have")
	}
}

func TestPartNames(t *testing.T) {
	t.Parallel()
	box := solid.Box(in(1, 1, 1, 2, 2, 2))
	for name, tt := range map[string]struct {
		bodies []scene.Body
		want   []string
	}{
		"one body":            {[]scene.Body{{Solid: box}}, []string{"stile"}},
		"one body with name":  {[]scene.Body{{Name: "post", Solid: box}}, []string{"stile/post"}},
		"bodies without name": {[]scene.Body{{Solid: box}, {Name: "post", Solid: box}, {Solid: box}}, []string{"stile/part 1", "stile/post", "stile/part 3"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := scene.Fixture{Name: "stile", Bodies: tt.bodies}
			if got := partNames(f.Parts()); !slices.Equal(got, tt.want) {
				t.Errorf("parts %v, want %v", got, tt.want)
			}
		})
	}
}

func TestPlaceMeasuredFromAnAssumedWallIsNotSure(t *testing.T) {
	t.Parallel()
	box := solid.Box(in(1, 1, 1, 2, 2, 2))
	f := scene.Fixture{Name: "stile", Bodies: []scene.Body{{Solid: box}, {Solid: box, Assumed: true}}}
	if p := f.Parts(); p[0].Sure == nil || p[1].Sure != nil {
		t.Errorf("sure: %v and %v, want the first alone", p[0].Sure, p[1].Sure)
	}
}

// At rest everything is there once, under a name of its own, and what the
// example says about it holds.
func TestAtRest(t *testing.T) {
	t.Parallel()
	s := landing()
	parts := s.AtRest()
	seen := map[string]bool{}
	for _, p := range parts {
		if seen[p.Name] {
			t.Errorf("%s stands twice", p.Name)
		}
		seen[p.Name] = true
		if p.Solid.Volume() <= 0 {
			t.Errorf("%s has no inside", p.Name)
		}
	}
	for _, name := range []string{
		"room/floor", "room/ceiling", "cabinet/left", "doors/left leaf", "doors/right leaf hinge 2",
		"bulkhead and stub", "display/front pane", "sump/baffle 3", "sump/rim left", "skimmer/cup", "heater", "power strip",
	} {
		if !seen[name] {
			t.Errorf("%s is missing", name)
		}
	}
	// Nothing of the cabinet's walls and closed doors overlaps.
	var shut []scene.Part
	for _, p := range parts {
		if p.Role == scene.RolePanel || p.Role == scene.RoleLeaf {
			shut = append(shut, p)
		}
	}
	if a, b, bad := overlapping(shut); bad {
		t.Errorf("%s and %s overlap", a, b)
	}
}

func TestRoom(t *testing.T) {
	t.Parallel()
	s := landing()
	inner := map[string]struct {
		face func(r3.Box) float64
		at   float64 // inches
	}{
		"room/floor":      {func(b r3.Box) float64 { return b.Max.Z }, 0},
		"room/front wall": {func(b r3.Box) float64 { return b.Max.Y }, -52},
		"room/back wall":  {func(b r3.Box) float64 { return b.Min.Y }, 19.5},
		"room/left wall":  {func(b r3.Box) float64 { return b.Max.X }, -4},
		"room/right wall": {func(b r3.Box) float64 { return b.Min.X }, 72.25},
		"room/ceiling":    {func(b r3.Box) float64 { return b.Min.Z }, 96},
	}
	parts := s.RoomParts()
	if len(parts) != len(inner) {
		t.Errorf("%d parts, want %d", len(parts), len(inner))
	}
	for name, want := range inner {
		p, ok := find(parts, name)
		if !ok {
			t.Errorf("no %s", name)
			continue
		}
		if got := want.face(p.Solid.Bounds()); !near(got, want.at*25.4) {
			t.Errorf("%s at %v in, want %v", name, got/25.4, want.at)
		}
		if p.Sure != p.Solid {
			t.Errorf("%s was measured but is not sure", name)
		}
	}
	s.Room = scene.Room{}
	parts = s.RoomParts()
	if got, want := partNames(parts), []string{"room/floor", "room/front wall"}; !slices.Equal(got, want) {
		t.Fatalf("of a room that is not given: %v, want %v", got, want)
	}
	if front := parts[1]; front.Sure != nil || !near(front.Solid.Bounds().Max.Y, -48*25.4) {
		t.Errorf("front wall %v, sure %v, want one assumed 48 in away", front.Solid.Bounds(), front.Sure)
	}
}

// The room is closed: all that lies outside of it, beyond a face, an edge or a
// corner, is solid.
func TestRoomIsClosed(t *testing.T) {
	t.Parallel()
	parts := landing().RoomParts()
	for _, x := range []float64{-4.1, 20, 72.35} {
		for _, y := range []float64{-52.1, 9, 19.6} {
			for _, z := range []float64{-0.1, 50, 96.1} {
				v := r3.Vec{X: x * 25.4, Y: y * 25.4, Z: z * 25.4}
				outside := x != 20 || y != 9 || z != 50
				solid := slices.ContainsFunc(parts, func(p scene.Part) bool { return within(p.Solid.Bounds(), v) })
				if solid != outside {
					t.Errorf("(%v, %v, %v) in: solid is %v, outside the room is %v", x, y, z, solid, outside)
				}
			}
		}
	}
}

func TestTouchesOnPurpose(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name    string
		chamber int
		on      string
		want    []string // of the parts at rest
	}{
		{"wall of the cabinet", 0, "left wall", []string{"cabinet/left"}},
		{"wall with a hole", 0, "front wall", []string{
			"cabinet/front left of doors", "cabinet/front right of doors", "cabinet/front below doors", "cabinet/front above doors",
		}},
		{"pane of the sump", 2, "right wall", []string{"sump/right pane"}},
		{"pane at the back", 1, "back wall", []string{"sump/back pane"}},
		{"baffle that ends the chamber", 1, "right wall", []string{"sump/baffle 1"}},
		{"baffle that begins it", 2, "left wall", []string{"sump/baffle 3"}},
		{"baffle by number", 1, "baffle 2", []string{"sump/baffle 2"}},
		{"fixture", 0, "bulkhead and stub", []string{"bulkhead and stub"}},
		{"all of a thing", 0, "skimmer", []string{"skimmer/body", "skimmer/cup"}},
		{"one part of a thing", 0, "skimmer/cup", []string{"skimmer/cup"}},
		{"rim", 0, "rim of sump", []string{
			"sump/rim front", "sump/rim back", "sump/rim left", "sump/rim right",
			"sump/rim inside front", "sump/rim inside back", "sump/rim inside left", "sump/rim inside right",
		}},
		{"nothing of that name", 0, "ceiling", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := landing()
			s.Equipment[1].Chamber, s.Equipment[1].On = tt.chamber, []string{tt.on}
			heater, _ := s.Thing("heater")
			var got []string
			for _, p := range s.AtRest() {
				if s.Touches(heater, p) {
					got = append(got, p.Name)
				}
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("on %s touches %v, want %v", tt.on, got, tt.want)
			}
		})
	}
}

// A sump without trim has a rim all the same: the upper edge of its panes.
func TestRimOfABareSump(t *testing.T) {
	t.Parallel()
	s := landing()
	s.Sump.Rim = nil
	s.Equipment[2].On = []string{"rim of sump"}
	strip, _ := s.Thing("power strip")
	var got []string
	for _, p := range s.AtRest() {
		if s.Touches(strip, p) {
			got = append(got, p.Name)
		}
	}
	if want := []string{"sump/front pane", "sump/back pane", "sump/left pane", "sump/right pane"}; !slices.Equal(got, want) {
		t.Errorf("touches %v, want %v", got, want)
	}
}
