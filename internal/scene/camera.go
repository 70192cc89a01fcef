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
	cx, cy := c.Centre()
	return cx + c.FocalPx*l.X/l.Z, cy + c.FocalPx*l.Y/l.Z, true
}

// ray returns the direction through a pixel, with length 1 along Ahead.
func (c *Camera) ray(x, y float64) Vec3 {
	cx, cy := c.Centre()
	return c.Ahead.Add(c.Right.Scale((x - cx) / c.FocalPx)).Add(c.Down.Scale((y - cy) / c.FocalPx))
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
