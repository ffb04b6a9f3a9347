// Package model writes a scene as a 3D model: a binary glTF 2.0 file (GLB) with
// a named tree of nodes, materials, edges, cameras, marked places, and verified
// ways as animations.
//
// The scene's frame (millimetres, x right, y back, z up) becomes glTF's (metres,
// x right, y up, z to the viewer) in axes, as a number enters the file; all
// before it is in the scene's frame. Doors stand as far open as they do on the
// way in; an animation closes those that its way does not lead through. The walls
// and the floor of the room are left out: they have no ends.
//
// Source: Khronos Group, glTF 2.0 Specification, version 2.0.1 (2021).
package model

import (
	"bytes"
	"fmt"
	"io"

	"github.com/qmuntal/gltf"

	"undercroft/scene"
)

// Options is what goes into a model beside the scene.
type Options struct {
	// Water is the water of display and sump, where it is known.
	Water []scene.Part
	// Motions are verified ways; each becomes one animation. Its parts are
	// named as they stand or as they are carried.
	Motions []scene.Motion
	// Marks are places to show; each becomes one node.
	Marks []scene.Mark
	// Shapes are what else is shown, as arms that reach for a place; those that
	// belong to one another become one node.
	Shapes []scene.Part
}

// Write writes s to w as a GLB file, in one write. It refuses, before anything
// is written, a scene with nothing to show, a part whose faces close no solid,
// a motion that is not at rest inside or names what is not there, and every
// number that is not finite.
//
// The same input gives the same bytes.
func Write(w io.Writer, s *scene.Scene, o Options) error {
	groups := contents(s, o)
	ways, err := resolve(s, groups, o.Motions)
	if err == nil {
		err = check(groups, o)
	}
	if err != nil {
		return fmt.Errorf("model: %w", err)
	}

	b := newBuilder(s)
	b.tree(groups, ways)
	b.marks(o.Marks)
	b.cameras(groups)
	b.animations(groups, ways)

	var file bytes.Buffer
	if err := gltf.NewEncoder(&file).Encode(b.doc); err != nil {
		return fmt.Errorf("model: %w", err)
	}
	if _, err := w.Write(file.Bytes()); err != nil {
		return fmt.Errorf("model: %w", err)
	}
	return nil
}
