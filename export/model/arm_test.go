package model_test

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/export/model"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// An arm that reaches for a place is a node of its own, with its parts below.
func TestArms(t *testing.T) {
	t.Parallel()
	part := func(of, name string, y float64) scene.Part {
		s := &solid.Capsule{A: r3.Vec{X: 100, Y: y, Z: 200}, B: r3.Vec{X: 100, Y: y + 200, Z: 200}, Radius: 40}
		return scene.Part{Name: of + "/" + name, Of: of, Role: scene.RoleArm, Solid: s, Sure: s}
	}
	doc := decode(t, write(t, corner(), model.Options{Shapes: []scene.Part{
		part("arm at cup", "hand", 0), part("arm at cup", "forearm", -200), part("arm at dial", "hand", 100),
	}}))
	children := map[string]int{}
	for _, n := range doc.Nodes {
		children[n.Name] = len(n.Children)
	}
	if children["arms"] != 2 || children["arm at cup"] != 2 {
		t.Errorf("arms has %d nodes below it, want 2; arm at cup %d, want 2", children["arms"], children["arm at cup"])
	}
	byPart(t, doc, "arm at cup/forearm")
}
