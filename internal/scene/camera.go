package scene

import "math"

// Lens35mm is the 35 mm equivalent focal length of the demo's phone; the frame's
// width stands for 36 mm, so f = 26/36 of the picture's longer side in pixels.
const Lens35mm = 26.0

// Camera is a pinhole with the principal point in the middle of the picture.
type Camera struct {
	Eye                Vec3
	Right, Down, Ahead Vec3 // unit vectors of the camera's frame
	WidthPx, HeightPx  int
	FocalPx            float64
	// K1 and K2 bend the rays as Brown's radial distortion does: a point at
	// radius r from the middle, in focal lengths, is shown at r(1 + K1 r2 + K2 r4).
	K1, K2 float64
}

// Aim returns a camera that looks from eye toward a point, rolled clockwise.
func Aim(eye, at Vec3, rollDeg float64, widthPx, heightPx int) Camera {
	ahead := at.Sub(eye).Unit()
	right := ahead.Cross(Vec3{0, 0, 1}).Unit()
	if right.Norm() == 0 { // straight down: any right will do
		right = Vec3{1, 0, 0}
	}
	down := ahead.Cross(right)
	s, c := math.Sincos(rollDeg * degree)
	long := math.Max(float64(widthPx), float64(heightPx))
	return Camera{
		Eye: eye, Ahead: ahead,
		Right:   right.Scale(c).Add(down.Scale(s)),
		Down:    down.Scale(c).Sub(right.Scale(s)),
		WidthPx: widthPx, HeightPx: heightPx,
		FocalPx: long * Lens35mm / 36,
	}
}

// Centre returns the principal point, pixels.
func (c *Camera) Centre() (x, y float64) {
	return float64(c.WidthPx-1) / 2, float64(c.HeightPx-1) / 2
}

// local returns a world point in the camera's frame: right, down, ahead.
func (c *Camera) local(p Vec3) Vec3 {
	d := p.Sub(c.Eye)
	return Vec3{d.Dot(c.Right), d.Dot(c.Down), d.Dot(c.Ahead)}
}

// Project returns the pixel of a world point; ok is false behind the lens.
func (c *Camera) Project(p Vec3) (x, y float64, ok bool) {
	l := c.local(p)
	if l.Z <= nearM {
		return 0, 0, false
	}
	x, y = c.film(l)
	return x, y, true
}

// ray returns the direction through a pixel, with length 1 along Ahead.
func (c *Camera) ray(x, y float64) Vec3 {
	cx, cy := c.Centre()
	u, v := c.unbend((x-cx)/c.FocalPx, (y-cy)/c.FocalPx)
	return c.Ahead.Add(c.Right.Scale(u)).Add(c.Down.Scale(v))
}

// nearM: nothing nearer to the lens is drawn.
const nearM = 0.05

// clipNear cuts a face in the camera's frame at the lens.
func clipNear(in []Vec3, out []Vec3) []Vec3 {
	a := in[len(in)-1]
	for _, b := range in {
		if (a.Z > nearM) != (b.Z > nearM) {
			t := (nearM - a.Z) / (b.Z - a.Z)
			out = append(out, a.Add(b.Sub(a).Scale(t)))
		}
		if b.Z > nearM {
			out = append(out, b)
		}
		a = b
	}
	return out
}

// film returns the pixel of a point in the camera's frame, in front of the lens.
func (c *Camera) film(l Vec3) (x, y float64) {
	cx, cy := c.Centre()
	u, v := l.X/l.Z, l.Y/l.Z
	k := c.bend(u*u + v*v)
	return cx + c.FocalPx*u*k, cy + c.FocalPx*v*k
}

// bendTo is the radius, in focal lengths, past which the lens bends no further: it
// lies outside every picture, and Brown's series runs wild there.
const bendTo = 1.3

// bend is the distortion's factor at a squared radius.
func (c *Camera) bend(r2 float64) float64 {
	r2 = min(r2, bendTo*bendTo)
	return 1 + r2*(c.K1+c.K2*r2)
}

// unbend turns a place on the film into the ray's slopes, by fixed-point steps:
// for the bends of camera lenses each step gains a digit or more.
func (c *Camera) unbend(x, y float64) (u, v float64) {
	u, v = x, y
	if c.K1 == 0 && c.K2 == 0 {
		return u, v
	}
	for range 8 {
		k := c.bend(u*u + v*v)
		u, v = x/k, y/k
	}
	return u, v
}
