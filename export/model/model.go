// Package model writes a scene as a 3D model: a binary glTF 2.0 file (GLB) in
// metres with Y up, with a named tree of nodes, materials, edges, cameras,
// marked places, and verified ways as animations.
package model

import (
	"errors"
	"io"

	"undercroft/scene"
)

// Options is what goes into the model beside the scene itself.
type Options struct {
	// Motions are verified ways; each becomes one animation.
	Motions []scene.Motion
	// Marks are places to show; each becomes one node under "marks".
	Marks []scene.Mark
}

// Write writes s to w as a GLB file, in one write. It refuses, before anything
// is written, a scene without parts, a part without faces, and any number that
// is not finite.
func Write(w io.Writer, s *scene.Scene, o Options) error {
	_, _, _ = w, s, o
	return errors.New("not written yet")
}
