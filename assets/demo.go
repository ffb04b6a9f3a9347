package assets

import (
	"embed"
	"io/fs"
)

//go:embed demo/*.yaml
var demos embed.FS

// Demos are the names of the demo plans: two in which everything fits, and two
// that fail on purpose, each in inches and in millimetres.
func Demos() []string {
	return []string{"fits", "fits-metric", "fails", "fails-metric"}
}

// Demo returns the demo plan of that name as a plan file; ok is false for an
// unknown name.
func Demo(name string) (plan []byte, ok bool) {
	plan, err := fs.ReadFile(demos, "demo/"+name+".yaml")
	return plan, err == nil
}
