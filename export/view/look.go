package view

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// Colours of paper, ink and what is drawn faintly.
var (
	paper = color.RGBA{0xfc, 0xfb, 0xf8, 0xff}
	ink   = color.RGBA{0x1e, 0x28, 0x30, 0xff}
	soft  = color.RGBA{0x5c, 0x67, 0x70, 0xff}
	faint = color.RGBA{0xb4, 0xba, 0xbf, 0xff}
)

// A look is how a shape is drawn.
type look struct {
	fill   color.RGBA
	alpha  float64 // of faces; 1 is opaque
	line   color.RGBA
	width  float64 // of edges, px
	hidden bool    // edges that others hide are drawn faintly
	cut    cutLook
}

// A cutLook is how a face is drawn that a section makes.
type cutLook int

const (
	cutPlain    cutLook = iota // as the other faces
	cutHatched                 // lines at 45°
	cutHatched2                // lines the other way
	cutSolid                   // filled with the colour of the lines: what is too thin to hatch
)

// lookOf returns how a part is drawn by its role. The members of a stand, which
// are fixtures of the cabinet itself, look like its walls.
func lookOf(p scene.Part) look {
	r := p.Role
	if r == scene.RoleFixture && p.Of == "cabinet" {
		r = scene.RolePanel
	}
	switch r {
	case scene.RolePanel:
		return look{fill: color.RGBA{0xf4, 0xee, 0xe1, 0xff}, alpha: 1, line: ink, width: 1.7, cut: cutHatched}
	case scene.RoleLeaf:
		return look{fill: color.RGBA{0xea, 0xe0, 0xcd, 0xff}, alpha: 1, line: ink, width: 1.7, cut: cutHatched2}
	case scene.RoleHinge:
		return look{fill: color.RGBA{0x8b, 0x92, 0x98, 0xff}, alpha: 1, line: ink, width: 1.3, hidden: true, cut: cutSolid}
	case scene.RoleFixture:
		return look{fill: color.RGBA{0xd3, 0xd4, 0xd2, 0xff}, alpha: 1, line: ink, width: 1.5, hidden: true, cut: cutHatched2}
	case scene.RoleGlass:
		return look{fill: color.RGBA{0x86, 0xc2, 0xbb, 0xff}, alpha: 0.12, line: color.RGBA{0x3c, 0x70, 0x6c, 0xff}, width: 1.3, hidden: true, cut: cutSolid}
	case scene.RoleBaffle:
		return look{fill: color.RGBA{0x5f, 0xa8, 0xa0, 0xff}, alpha: 0.3, line: color.RGBA{0x2f, 0x62, 0x5e, 0xff}, width: 1.4, hidden: true, cut: cutSolid}
	case scene.RoleTrim:
		return look{fill: color.RGBA{0xa9, 0xb1, 0xb6, 0xff}, alpha: 1, line: ink, width: 1.2, cut: cutSolid}
	case scene.RoleEquipment:
		return look{fill: color.RGBA{0xc3, 0xcd, 0xd8, 0xff}, alpha: 1, line: ink, width: 1.7, hidden: true, cut: cutHatched2}
	case scene.RoleRoom:
		return look{fill: color.RGBA{0xf1, 0xef, 0xea, 0xff}, alpha: 1, line: soft, width: 1.2, cut: cutHatched}
	case scene.RoleWater:
		return look{fill: color.RGBA{0x5a, 0xa9, 0xdb, 0xff}, alpha: 0.2, line: color.RGBA{0x3f, 0x86, 0xb8, 0xff}, width: 1.1, cut: cutPlain}
	case scene.RoleArm:
		return look{fill: color.RGBA{0xe8, 0xc9, 0xb3, 0xff}, alpha: 0.55, line: color.RGBA{0xb9, 0x8e, 0x74, 0xff}, width: 0.9, cut: cutPlain}
	case scene.RoleSand:
		return look{fill: color.RGBA{0xe9, 0xdc, 0xb8, 0xff}, alpha: 1, line: soft, width: 1.1, cut: cutPlain}
	}
	return look{fill: faint, alpha: 1, line: ink, width: 1.5}
}

// clear returns l as a body one can look through, of which mostly the edges
// are seen.
func (l look) clear(alpha float64) look {
	l.alpha = min(l.alpha, alpha)
	l.line, l.width, l.hidden = faint, 1.1, false
	return l
}

// pale returns l moved toward the paper, for what only surrounds the point.
func (l look) pale() look {
	l.fill, l.line = mix(l.fill, paper, 0.55), mix(l.line, paper, 0.4)
	l.width *= 0.8
	return l
}

// tinted returns l in another colour, with strong edges.
func (l look) tinted(c color.RGBA) look {
	l.fill, l.line, l.width, l.hidden = mix(l.fill, c, 0.55), mix(c, ink, 0.55), 2.4, true
	l.alpha = max(l.alpha, 0.3)
	return l
}

// mix returns a moved toward b by t.
func mix(a, b color.RGBA, t float64) color.RGBA {
	f := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + t*(float64(b)-float64(a)))) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 0xff}
}

// lit returns c as a face with normal n shows it. The light stands with the
// cabinet: tops are lightest, then fronts, then the left, the right darkest,
// so that a face keeps its tone in every view.
func lit(c color.RGBA, n r3.Vec) color.RGBA {
	b := 0.93 + 0.07*n.Z - 0.02*n.Y - 0.045*n.X
	f := func(a uint8) uint8 { return uint8(min(255, math.Round(float64(a)*b))) }
	return color.RGBA{f(c.R), f(c.G), f(c.B), 0xff}
}

// Marks of verdicts, from the palette of Okabe and Ito, "Color Universal
// Design" (2008), whose colours stay apart for the colour-blind. Each has a
// shape and its word as well.
var (
	bluishGreen = color.RGBA{0x00, 0x9e, 0x73, 0xff}
	orange      = color.RGBA{0xe6, 0x9f, 0x00, 0xff}
	vermillion  = color.RGBA{0xd5, 0x5e, 0x00, 0xff}
	blue        = color.RGBA{0x00, 0x72, 0xb2, 0xff}
	skyBlue     = color.RGBA{0x56, 0xb4, 0xe9, 0xff}
	purple      = color.RGBA{0xcc, 0x79, 0xa7, 0xff}
)

// verdictColour returns the colour of a verdict's mark.
func verdictColour(v string) color.RGBA {
	switch v {
	case "ok":
		return bluishGreen
	case "tight":
		return orange
	case "no":
		return vermillion
	case "unsure":
		return skyBlue
	}
	return soft
}
