package model

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
	"undercroft/scene/solid"
)

// atRest is how far, in millimetres or radians, the pose of a way at rest, the
// last one on the way in and the first one on the way out, may be from rest: the rounding of a long chain of poses, and far below what a float32
// in metres tells apart.
const atRest = 1e-6

// nothing is the volume in mm³ below which faces close no solid: a speck of a
// hundredth of a millimetre.
const nothing = 1e-6

// check refuses what would make a broken file.
func check(groups []group, o Options) error {
	if len(groups) == 0 {
		return errors.New("there is nothing to show")
	}
	for _, g := range groups {
		for _, p := range g.parts {
			if err := checkSolid(p.Solid); err != nil {
				return fmt.Errorf("part %q: %w", p.Name, err)
			}
		}
	}
	for _, m := range o.Marks {
		if !finite(m.From, m.To) {
			return fmt.Errorf("mark %q: its place is not finite", m.Label)
		}
	}
	for _, m := range o.Motions {
		if err := checkMotion(m); err != nil {
			return fmt.Errorf("way of %q through %q: %w", m.Thing, m.Through, err)
		}
	}
	return nil
}

func checkSolid(s solid.Solid) error {
	if s == nil {
		return errors.New("it has no solid")
	}
	faces := s.Faces()
	for _, f := range faces {
		if !finite(f...) {
			return errors.New("a corner is not finite")
		}
	}
	if newMesh(faces, r3.Vec{}).volume() < nothing {
		return errors.New("its faces close no solid")
	}
	return nil
}

func checkMotion(m scene.Motion) error {
	poses := m.Path.Poses
	if len(poses) < 2 {
		return errors.New("it has fewer than two poses")
	}
	if len(m.Parts) == 0 {
		return errors.New("it moves no part")
	}
	if !finite(m.Path.Ref) {
		return errors.New("its reference point is not finite")
	}
	for i, p := range poses {
		if !finite(p.Shift) || !(math.Abs(quat.Abs(p.Turn)-1) < 1e-6) { // also NaN
			return fmt.Errorf("pose %d is no rigid motion", i)
		}
	}
	rest, end := poses[len(poses)-1], "end"
	if m.Out {
		rest, end = poses[0], "start"
	}
	if r3.Norm(r3.Sub(rest.Apply(m.Path.Ref), m.Path.Ref)) > atRest ||
		solid.AngleBetween(rest.Turn, solid.Rest.Turn) > atRest {
		return errors.New("it does not " + end + " at rest")
	}
	if len(m.MoveOf) > 0 && len(m.MoveOf) != len(poses)-1 {
		return fmt.Errorf("it has %d legs and moves for %d", len(poses)-1, len(m.MoveOf))
	}
	for leg, i := range m.MoveOf {
		if i < 0 || i >= len(m.Moves) {
			return fmt.Errorf("leg %d belongs to move %d, of %d", leg, i, len(m.Moves))
		}
	}
	return nil
}

func finite(vs ...r3.Vec) bool {
	for _, v := range vs {
		for _, x := range [...]float64{v.X, v.Y, v.Z} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return false
			}
		}
	}
	return true
}
