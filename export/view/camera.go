package view

import (
	"math"

	"github.com/fogleman/fauxgl"
	"gonum.org/v1/gonum/spatial/r3"
)

// A point is a place on paper: pixels from the top left corner, y down.
type point struct{ x, y float64 }

func (p point) add(q point) point       { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point       { return point{p.x - q.x, p.y - q.y} }
func (p point) scale(f float64) point   { return point{p.x * f, p.y * f} }
func (p point) norm() float64           { return math.Hypot(p.x, p.y) }
func (p point) unit() point             { return p.scale(1 / p.norm()) }
func (p point) left() point             { return point{p.y, -p.x} } // a quarter turn to the left, as seen
func (p point) dist(q point) float64    { return p.sub(q).norm() }
func mid(p, q point) point              { return p.add(q).scale(0.5) }
func along(p, q point, t float64) point { return p.add(q.sub(p).scale(t)) }

// A rect is an upright rectangle on paper.
type rect struct{ x0, y0, x1, y1 float64 }

func (r rect) w() float64          { return r.x1 - r.x0 }
func (r rect) h() float64          { return r.y1 - r.y0 }
func (r rect) middle() point       { return point{(r.x0 + r.x1) / 2, (r.y0 + r.y1) / 2} }
func (r rect) grow(d float64) rect { return rect{r.x0 - d, r.y0 - d, r.x1 + d, r.y1 + d} }
func (r rect) inset(l, t, rr, b float64) rect {
	return rect{r.x0 + l, r.y0 + t, r.x1 - rr, r.y1 - b}
}
func (r rect) has(p point) bool { return p.x >= r.x0 && p.x <= r.x1 && p.y >= r.y0 && p.y <= r.y1 }
func (r rect) holds(q rect) bool {
	return q.x0 >= r.x0 && q.x1 <= r.x1 && q.y0 >= r.y0 && q.y1 <= r.y1
}

func (r rect) meets(q rect) bool {
	return r.x0 < q.x1 && q.x0 < r.x1 && r.y0 < q.y1 && q.y0 < r.y1
}

func (r rect) clip(q rect) rect {
	return rect{max(r.x0, q.x0), max(r.y0, q.y0), min(r.x1, q.x1), min(r.y1, q.y1)}
}

func (r rect) join(q rect) rect {
	return rect{min(r.x0, q.x0), min(r.y0, q.y0), max(r.x1, q.x1), max(r.y1, q.y1)}
}

// A camera looks at the scene from far away, so that parallel lines stay so
// and lengths across the line of sight are true.
type camera struct {
	right, up, eye r3.Vec // unit; eye points from the scene to the viewer
	frame          rect   // on paper
	room           rect   // within frame, less margins
	at             r3.Vec // comes to the middle of frame
	scale          float64
	limit          float64 // of scale; 0 for none
}

// lookFrom returns a camera with the eye in direction eye and z, or y where
// the eye is straight above, upward. It looks at the origin, 1 px for a mm.
func lookFrom(eye r3.Vec) camera {
	eye = r3.Unit(eye)
	up := r3.Vec{Z: 1}
	if math.Abs(eye.Z) > 0.999 {
		up = r3.Vec{Y: math.Copysign(1, eye.Z)}
	}
	right := r3.Unit(r3.Cross(up, eye))
	return camera{right: right, up: r3.Cross(eye, right), eye: eye, scale: 1}
}

// px returns where p comes to on paper.
func (c camera) px(p r3.Vec) point {
	q, m := r3.Sub(p, c.at), c.frame.middle()
	return point{m.x + c.scale*r3.Dot(q, c.right), m.y - c.scale*r3.Dot(q, c.up)}
}

// scene returns the point that comes to q on paper and lies as deep as c.at.
func (c camera) scene(q point) r3.Vec {
	d := q.sub(c.frame.middle()).scale(1 / c.scale)
	return r3.Add(c.at, r3.Sub(r3.Scale(d.x, c.right), r3.Scale(d.y, c.up)))
}

// extent returns the rectangle round pts on paper.
func (c camera) extent(pts []r3.Vec) rect {
	r := rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		q := c.px(p)
		r = r.join(rect{q.x, q.y, q.x, q.y})
	}
	return r
}

// fit returns a camera that shows pts, as large as possible, within frame less
// the margins in px on its left, top, right and bottom.
func (c camera) fit(pts []r3.Vec, frame rect, left, top, right, bottom float64) camera {
	c.frame, c.at, c.scale = frame, r3.Vec{}, 1
	e := c.extent(pts)
	room := frame.inset(left, top, right, bottom)
	c.room = room
	c.scale = min(room.w()/max(e.w(), 1), room.h()/max(e.h(), 1))
	c.scale = max(c.scale, 1e-6)
	if c.limit > 0 {
		c.scale = min(c.scale, c.limit)
	}
	m, want := e.middle(), room.middle()
	o := frame.middle()
	// At scale 1 with at = 0 the middle of the points lies at m.
	dx := (m.x - o.x) - (want.x-o.x)/c.scale
	dy := (m.y - o.y) - (want.y-o.y)/c.scale
	c.at = r3.Add(r3.Scale(dx, c.right), r3.Scale(-dy, c.up))
	return c
}

// matrix returns the transform from the scene to a raster that shows the frame
// ss times as large with pad pixels round it, and how much depth (0 to 1) of
// the raster a mm is. lo and hi bound the depth p·eye of all that is drawn.
func (c camera) matrix(ss, pad int, lo, hi float64) (m fauxgl.Matrix, perMM float64) {
	w := c.frame.w()*float64(ss) + 2*float64(pad)
	h := c.frame.h()*float64(ss) + 2*float64(pad)
	kx, ky := 2*c.scale*float64(ss)/w, 2*c.scale*float64(ss)/h
	// The rasterizer draws a pixel whose middle lies exactly on a shared border
	// twice; lines of a plan fall on whole pixels easily, so all is shifted by
	// an odd part of a pixel.
	const shiftX, shiftY = 0.137, 0.22
	half := (hi-lo)/2 + 1
	z := (hi + lo) / 2
	m = fauxgl.Matrix{
		X00: kx * c.right.X, X01: kx * c.right.Y, X02: kx * c.right.Z, X03: -kx*r3.Dot(c.right, c.at) + 2*shiftX/w,
		X10: ky * c.up.X, X11: ky * c.up.Y, X12: ky * c.up.Z, X13: -ky*r3.Dot(c.up, c.at) - 2*shiftY/h,
		X20: -c.eye.X / half, X21: -c.eye.Y / half, X22: -c.eye.Z / half, X23: z / half,
		X33: 1,
	}
	return m, 0.5 / half
}
