package model

import (
	"math"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/ext/unlit"

	"undercroft/scene"
)

// A look is how a kind of part is shown. Colours are sRGB, as screens and the
// pictures have them.
type look struct {
	name    string
	r, g, b uint8
	alpha   float64 // 1: opaque
	rough   float64
	unlit   bool
}

// The looks. Vermilion, for marked places, is of the palette of Okabe and Ito
// (2008), which people with every kind of colour vision can tell apart.
var (
	wood      = look{name: "wood", r: 0xd9, g: 0xc3, b: 0xa3, alpha: 1, rough: 0.8}
	door      = look{name: "door", r: 0xcd, g: 0xb4, b: 0x92, alpha: 1, rough: 0.8}
	metal     = look{name: "metal", r: 0x8c, g: 0x8f, b: 0x92, alpha: 1, rough: 0.5}
	fixture   = look{name: "fixture", r: 0xb9, g: 0xb4, b: 0xa8, alpha: 1, rough: 0.8}
	glass     = look{name: "glass", r: 0xc4, g: 0xe0, b: 0xdc, alpha: 0.22, rough: 0.1}
	baffle    = look{name: "baffle", r: 0xa6, g: 0xcf, b: 0xc9, alpha: 0.4, rough: 0.1}
	trim      = look{name: "trim", r: 0x3b, g: 0x3f, b: 0x44, alpha: 1, rough: 0.7}
	equipment = look{name: "equipment", r: 0xa9, g: 0xb4, b: 0xc4, alpha: 1, rough: 0.6}
	water     = look{name: "water", r: 0x8f, g: 0xbf, b: 0xdd, alpha: 0.28, rough: 0.2}
	arm       = look{name: "arm", r: 0xe0, g: 0xb8, b: 0x9c, alpha: 1, rough: 0.8}
	sand      = look{name: "sand", r: 0xe2, g: 0xd6, b: 0xb8, alpha: 1, rough: 1}
	ink       = look{name: "edge", r: 0x33, g: 0x33, b: 0x33, alpha: 1, unlit: true}
	vermilion = look{name: "mark", r: 0xd5, g: 0x5e, b: 0x00, alpha: 1, unlit: true}
)

// lookOf returns the look of a role.
func lookOf(r scene.Role) look {
	return [...]look{
		scene.RolePanel:     wood,
		scene.RoleLeaf:      door,
		scene.RoleHinge:     metal,
		scene.RoleFixture:   fixture,
		scene.RoleGlass:     glass,
		scene.RoleBaffle:    baffle,
		scene.RoleTrim:      trim,
		scene.RoleEquipment: equipment,
		scene.RoleWater:     water,
		scene.RoleSand:      sand,
		scene.RoleArm:       arm,
	}[r]
}

// material returns the index of a look's material, which it adds at first use.
func (b *builder) material(l look) int {
	if i, ok := b.materials[l.name]; ok {
		return i
	}
	m := &gltf.Material{
		Name: l.name,
		PBRMetallicRoughness: &gltf.PBRMetallicRoughness{
			BaseColorFactor: &[4]float64{linear(l.r), linear(l.g), linear(l.b), l.alpha},
			MetallicFactor:  new(0.0), // left out it would be 1, a mirror
			RoughnessFactor: new(l.rough),
		},
	}
	if l.alpha < 1 {
		m.AlphaMode = gltf.AlphaBlend
	}
	if l.unlit {
		m.PBRMetallicRoughness.RoughnessFactor = nil
		m.Extensions = gltf.Extensions{unlit.ExtensionName: unlit.Unlit{}}
		if len(b.doc.ExtensionsUsed) == 0 {
			b.doc.ExtensionsUsed = []string{unlit.ExtensionName}
		}
	}
	i := len(b.doc.Materials)
	b.doc.Materials = append(b.doc.Materials, m)
	b.materials[l.name] = i
	return i
}

// linear turns one sRGB channel into the linear value that glTF wants, rounded
// to what tells two of 256 steps apart.
//
// Source: IEC 61966-2-1:1999, the sRGB transfer function.
func linear(c uint8) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		v /= 12.92
	} else {
		v = math.Pow((v+0.055)/1.055, 2.4)
	}
	return math.Round(v*1e5) / 1e5
}
