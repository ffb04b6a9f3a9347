package view_test

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/export/view"
	"undercroft/scene"
)

func TestLook(t *testing.T) {
	s := subject()
	for name, draw := range map[string]func(view.Subject, view.Options) (view.Picture, error){
		"understood": view.Understood, "front": view.Front, "side": view.Side, "three": view.ThreeQuarter,
	} {
		p, err := draw(s, view.Options{})
		if err != nil {
			t.Fatal(name, err)
		}
		keep(t, p)
	}
}

func TestPlaces(t *testing.T) {
	s := subject()
	mark := func(label string, a, b r3.Vec, parts ...string) []scene.Mark {
		return []scene.Mark{{From: a, To: b, Label: label, Parts: parts}}
	}
	for _, p := range []view.Place{
		{Title: "Room round the heater", Verdict: "tight", Summary: "3/4 in between heater and the sump's back pane; 1 in is wanted round a heater.",
			Marks: mark("3/4 in", inches(10.75, 14.375, 9), inches(10.75, 17.375, 9), "heater", "sump/back pane")},
		{Title: "Skimmer and rim", Verdict: "no", Summary: "The skimmer's cup overlaps the sump's rim by 1/8 in.",
			Marks: mark("1/8 in too much", inches(19.125, 6.7, 18.5), inches(19.125, 6.575, 18.5), "skimmer/cup", "sump/rim inside front")},
		{Title: "Jug under the outlet strip", Verdict: "ok", Summary: "The jug stands 8 in below the outlet strip.",
			Marks: mark("8 in", inches(48, 12, 20), inches(48, 12, 28), "top-off jug", "outlet strip")},
		{Title: "Pump and baffle", Verdict: "unsure", Summary: "The return pump stands between 3 15/16 and 4 in from the second baffle: too close to call, measure the pump's place again.",
			Marks: mark("4 in", inches(28.25, 9.6, 6), inches(32.25, 9.6, 6), "return pump", "sump/baffle 2")},
		{Title: "Skimmer on its stand", Verdict: "tight", Summary: "touches", Marks: mark("touches", inches(19.125, 9.125, 4.375), inches(19.125, 9.125, 4.375), "skimmer/body", "sump/bottom pane")},
	} {
		pic, err := view.Close(s, p, view.Options{})
		if err != nil {
			t.Fatal(p.Title, err)
		}
		keep(t, pic)
	}
}

func TestWays(t *testing.T) {
	s := subject()
	m := wayIn()
	pic, err := view.Strip(s, m, view.Options{})
	if err != nil {
		t.Fatal(err)
	}
	keep(t, pic)
	pic, err = view.Narrowest(s, m, 2, 0.4, view.Place{
		Title: "The narrowest moment of the way in", Verdict: "tight", Summary: "1/2 in between the sump and the right leaf, 1 in wanted",
		Marks: []scene.Mark{{From: inches(40.75, -2, 12), To: inches(45.6, -2, 12), Label: "4 7/8 in", Parts: []string{"sump/right pane", "doors/right leaf"}}},
	}, view.Options{})
	if err != nil {
		t.Fatal(err)
	}
	keep(t, pic)
}
