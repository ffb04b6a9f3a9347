package view_test

import (
	"sync"
	"testing"

	"undercroft/export/view"
	"undercroft/scene"
)

// draws are all kinds of pictures, of the hall.
func draws() map[string]func(view.Subject, view.Options) (view.Picture, error) {
	place := view.Place{
		Title: "Room round the heater", Verdict: "tight", Summary: "3 in between the heater and the sump's back pane.",
		Marks: []scene.Mark{{From: inches(10.75, 14.375, 9), To: inches(10.75, 17.375, 9), Label: "3 in", Parts: []string{"heater", "sump/back pane"}}},
	}
	return map[string]func(view.Subject, view.Options) (view.Picture, error){
		"understood": view.Understood, "front": view.Front, "side": view.Side, "three-quarter": view.ThreeQuarter,
		"close": func(s view.Subject, o view.Options) (view.Picture, error) { return view.Close(s, place, o) },
		"strip": func(s view.Subject, o view.Options) (view.Picture, error) { return view.Strip(s, wayIn(), o) },
		"narrowest": func(s view.Subject, o view.Options) (view.Picture, error) {
			return view.Narrowest(s, wayIn(), 2, 0.4, place, o)
		},
	}
}

// BenchmarkPicture draws each kind at 1600 by 1200, supersampled 2 by 2.
func BenchmarkPicture(b *testing.B) {
	s := subject()
	for name, draw := range draws() {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := draw(s, view.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkFive draws five pictures, two at a time.
func BenchmarkFive(b *testing.B) {
	s := subject()
	all := draws()
	b.ReportAllocs()
	for b.Loop() {
		jobs := make(chan string)
		var wg sync.WaitGroup
		for range 2 {
			wg.Go(func() {
				for name := range jobs {
					if _, err := all[name](s, view.Options{}); err != nil {
						b.Error(err)
					}
				}
			})
		}
		for _, name := range []string{"understood", "front", "side", "three-quarter", "close"} {
			jobs <- name
		}
		close(jobs)
		wg.Wait()
	}
}
