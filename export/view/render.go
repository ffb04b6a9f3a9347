package view

import (
	"cmp"
	"image"
	"image/color"
	"math"
	"slices"

	"github.com/fogleman/fauxgl"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene"
)

// A raster draws shapes into a frame.
type raster struct {
	dc     *fauxgl.Context
	shader *fauxgl.SolidColorShader
	cam    camera
	ss     int
	perMM  float64 // depth of a mm
	lo, hi float64 // of all that is drawn, toward the eye, mm
}

// pad is how many pixels a raster is larger than what is kept of it, on every
// side. The rasterizer lets wide lines that leave on the right come in on the
// left; they end in the padding.
const pad = 16

// render returns what cam sees of shapes, as large as cam's frame.
func render(shapes []shape, cam camera, ss int) *image.RGBA {
	w, h := int(math.Round(cam.frame.w())), int(math.Round(cam.frame.h()))
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, s := range shapes {
		for _, f := range s.facets {
			for _, p := range f.pts {
				d := r3.Dot(p, cam.eye)
				lo, hi = min(lo, d), max(hi, d)
			}
		}
	}
	if len(shapes) == 0 {
		lo, hi = 0, 0
	}
	m, perMM := cam.matrix(ss, pad, lo, hi)
	r := &raster{
		dc:     fauxgl.NewContext(w*ss+2*pad, h*ss+2*pad),
		shader: fauxgl.NewSolidColorShader(m, fauxgl.Color{}),
		cam:    cam, ss: ss, perMM: perMM, lo: lo, hi: hi,
	}
	r.dc.Shader = r.shader
	// An opaque ground: the rasterizer blends wrongly onto a clear one.
	r.dc.ClearColorBufferWith(rgba(paper, 1))
	r.dc.Cull = fauxgl.CullNone // faces turned away are left out here

	var solid, sheer []shape
	for _, s := range shapes {
		if s.look.alpha >= 1 {
			solid = append(solid, s)
		} else {
			sheer = append(sheer, s)
		}
	}
	for i, s := range nearestFirst(solid, cam.eye) {
		// Where faces of overlapping solids lie in one plane, as those of a stile
		// let into a wall, the wall is not seen, and of others the one that is
		// drawn later is.
		r.dc.DepthBias = -1e-3 * float64(i) * perMM
		if s.part.Role == scene.RolePanel || s.part.Role == scene.RoleRoom {
			r.dc.DepthBias = 1e-3 * perMM
		}
		r.faces(s)
	}
	r.dc.DepthBias = 0
	r.dc.WriteDepth = false
	edges := make([][]edge, len(shapes))
	for i, s := range shapes {
		edges[i] = s.edges(cam.eye)
		if s.part.Role == scene.RolePanel || s.part.Role == scene.RoleTrim {
			edges[i] = seamless(shapes, i, edges[i])
		}
	}
	r.dc.ReadDepth = false
	for i, s := range shapes {
		if s.look.hidden {
			r.lines(edges[i], mix(s.look.line, paper, 0.3), 0.22, 0.8*s.look.width, 0)
		}
	}
	r.dc.ReadDepth = true
	r.dc.DepthBias = -0.2 * perMM // water touches glass, glass touches trim
	for _, i := range backToFront(sheer, cam.eye) {
		r.faces(sheer[i])
	}
	for _, s := range shapes {
		r.hatch(s)
	}
	for i, s := range shapes {
		r.lines(edges[i], s.look.line, 1, s.look.width, 0.6)
	}
	return r.shrink(w, h)
}

// nearestFirst returns opaque shapes in the order in which they are drawn: what
// the nearer ones hide costs little then.
func nearestFirst(solid []shape, eye r3.Vec) []shape {
	type ranked struct {
		shape
		near float64
	}
	all := make([]ranked, len(solid))
	for i, s := range solid {
		all[i] = ranked{s, foremost([]shape{s}, eye)}
	}
	slices.SortStableFunc(all, func(a, b ranked) int { return cmp.Compare(b.near, a.near) })
	out := make([]shape, len(all))
	for i, a := range all {
		out[i] = a.shape
	}
	return out
}

// rgba returns c with the given alpha for the rasterizer.
func rgba(c color.RGBA, alpha float64) fauxgl.Color {
	return fauxgl.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255, A: alpha}
}

// faces draws the faces of s that are turned to the eye.
func (r *raster) faces(s shape) {
	for _, f := range s.facets {
		if r3.Dot(f.normal, r.cam.eye) <= 1e-9 {
			continue
		}
		c, alpha := lit(s.look.fill, f.normal), s.look.alpha
		if f.cut {
			switch s.look.cut {
			case cutPlain:
				c = s.look.fill
			case cutHatched, cutHatched2:
				c = mix(s.look.fill, paper, 0.5)
			case cutSolid:
				c, alpha = mix(s.look.line, paper, 0.25), 1
			}
		}
		if alpha >= 1 { // a little darker with the distance, as inside a cabinet
			c = mix(c, ink, 0.075*(r.hi-r3.Dot(f.middle(), r.cam.eye))/(r.hi-r.lo+1))
		}
		r.shader.Color = rgba(c, alpha)
		for i := 2; i < len(f.pts); i++ {
			// One triangle at a time: the rasterizer's own lists are drawn in
			// changing order.
			r.dc.DrawTriangle(&fauxgl.Triangle{V1: vertex(f.pts[0]), V2: vertex(f.pts[i-1]), V3: vertex(f.pts[i])})
		}
	}
}

// lines draws edges, width in px of the finished picture, lifted toward the eye
// by lift in mm so that they are not lost in the faces they bound.
func (r *raster) lines(edges []edge, c color.RGBA, alpha, width, lift float64) {
	r.shader.Color = rgba(c, alpha)
	// Beside the middle of a line the face may already be nearer to the eye.
	r.dc.DepthBias = -(lift + width/r.cam.scale) * r.perMM
	if lift == 0 {
		r.dc.DepthBias = 0
	}
	for _, e := range edges {
		w := width
		if e.cut {
			w *= 1.5
		}
		r.dc.LineWidth = w * float64(r.ss)
		if r.cam.px(e.a).dist(r.cam.px(e.b)) < 0.05 {
			continue // seen along its length; a line without direction has no sides
		}
		r.dc.DrawLine(&fauxgl.Line{V1: vertex(e.a), V2: vertex(e.b)})
	}
}

// hatch draws lines over the cut faces of s.
func (r *raster) hatch(s shape) {
	if s.look.cut != cutHatched && s.look.cut != cutHatched2 {
		return
	}
	const apart, width = 11, 0.9 // px
	step := apart / r.cam.scale
	tilt := 1.0
	if s.look.cut == cutHatched2 {
		tilt = -1
	}
	across := r3.Unit(r3.Add(r.cam.right, r3.Scale(-tilt, r.cam.up)))
	for _, f := range s.facets {
		if !f.cut || r3.Dot(f.normal, r.cam.eye) < 0.5 {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range f.pts {
			h := r3.Dot(across, p)
			lo, hi = min(lo, h), max(hi, h)
		}
		var lines []edge
		for h := math.Ceil(lo/step) * step; h < hi; h += step {
			var ends []r3.Vec
			for i, a := range f.pts {
				b := f.pts[(i+1)%len(f.pts)]
				ha, hb := r3.Dot(across, a)-h, r3.Dot(across, b)-h
				if (ha < 0) != (hb < 0) {
					ends = append(ends, crossing(a, b, ha, hb))
				}
			}
			if len(ends) == 2 {
				lines = append(lines, edge{a: ends[0], b: ends[1]})
			}
		}
		r.lines(lines, mix(s.look.line, paper, 0.35), 1, width, 0.3)
	}
}

func vertex(p r3.Vec) fauxgl.Vertex {
	return fauxgl.Vertex{Position: fauxgl.Vector{X: p.X, Y: p.Y, Z: p.Z}}
}

// shrink averages the raster down to w by h pixels.
func (r *raster) shrink(w, h int) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	src, ss := r.dc.ColorBuffer, r.ss
	n := uint32(ss * ss)
	for y := range h {
		for x := range w {
			var sum [3]uint32
			for dy := range ss {
				o := src.PixOffset(x*ss+pad, y*ss+dy+pad)
				for dx := range ss {
					p := src.Pix[o+4*dx : o+4*dx+3 : o+4*dx+3]
					sum[0] += uint32(p[0])
					sum[1] += uint32(p[1])
					sum[2] += uint32(p[2])
				}
			}
			o := out.PixOffset(x, y)
			out.Pix[o] = uint8((sum[0] + n/2) / n)
			out.Pix[o+1] = uint8((sum[1] + n/2) / n)
			out.Pix[o+2] = uint8((sum[2] + n/2) / n)
			out.Pix[o+3] = 0xff
		}
	}
	return out
}
