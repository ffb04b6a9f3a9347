package fixes_test

import (
	"context"
	"testing"

	"undercroft/assets"
	"undercroft/fit/fixes"
	"undercroft/scene/plan"
)

func BenchmarkFind(b *testing.B) {
	for _, name := range []string{"fails", "fails-metric"} {
		b.Run(name, func(b *testing.B) {
			data, ok := assets.Demo(name)
			if !ok {
				b.Fatal("no such demo")
			}
			d, err := plan.NewDraft(name+".yaml", data)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := fixes.Find(context.Background(), d, fixes.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
