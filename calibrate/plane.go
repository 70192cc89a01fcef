package calibrate

import "math"

// Plane is the set of points X of the camera frame with Normal.X = D; Normal has
// length 1 and, for a ground plane, points up.
type Plane struct {
	Normal Vec3
	D      float64
}

// FlatGround is the ground under a board that lies on it, printed side up.
func (b *BoardPose) FlatGround() Plane {
	up := b.R.Col(2).Scale(-1)
	return Plane{up, up.Dot(b.T)}
}

// UprightGround is the ground before a plumb board whose bottom edge is level
// and standM metres above it. The ground is taken as level.
func (b *BoardPose) UprightGround(standM float64) Plane {
	up := b.R.Col(1).Scale(-1)
	foot := b.ToCamera(Vec3{0, SheetHeightMM/mmPerM + standM, 0})
	return Plane{up, up.Dot(foot)}
}

// Face is the plane of the board's printed side, its normal toward the reader.
func (b *BoardPose) Face() Plane {
	n := b.R.Col(2).Scale(-1)
	return Plane{n, n.Dot(b.T)}
}

// Intersect returns where a ray from the camera (any length) meets the plane;
// ok is false for rays that run beside it or away from it.
func (p Plane) Intersect(ray Vec3) (Vec3, bool) {
	den := p.Normal.Dot(ray)
	if math.Abs(den) < 1e-12 {
		return Vec3{}, false
	}
	s := p.D / den
	if s <= 0 {
		return Vec3{}, false
	}
	return ray.Scale(s), true
}

// CameraHeightM is the camera's height above a plane whose normal points up.
func (p Plane) CameraHeightM() float64 { return -p.D }

// AreaPerPixelM2 is how much of the plane one pixel shows: s^3/(f^2 |D|) with s
// the depth (z) of the point seen, from the volume of the pixel's pyramid. Zero
// where the pixel does not see the plane. A lens that distorts shows more or less in
// a pixel, by how much its ray's slopes change from pixel to pixel.
func (p Plane) AreaPerPixelM2(cam Camera, px Pixel) float64 {
	hit, ok := p.Intersect(cam.Ray(px))
	if !ok || p.D == 0 {
		return 0
	}
	return hit[2] * hit[2] * hit[2] * cam.slopeArea(px) / math.Abs(p.D)
}

// GroundSeen is what a pixel shows of a plane.
type GroundSeen struct {
	At     Vec3    // camera frame, m
	AreaM2 float64 // of the plane within the pixel; 0 where it does not see the plane
}

// SeenAlong is Intersect and AreaPerPixelM2 for the first pixels of a picture's row, as
// many as out holds.
func (p Plane) SeenAlong(cam Camera, row int, out []GroundSeen) {
	plain, perF, area := cam.Undistorted(), 1/cam.FPx, 1/(cam.FPx*cam.FyPx()*math.Abs(p.D))
	y := (float64(row) - cam.CyPx) / cam.FyPx()
	for x := range out {
		ray := Vec3{(float64(x) - cam.CxPx) * perF, y, 1}
		px := Pixel{float64(x), float64(row)}
		if !plain {
			ray = cam.Ray(px)
		}
		hit, ok := p.Intersect(ray)
		switch {
		case !ok || p.D == 0:
			out[x] = GroundSeen{}
		case plain:
			out[x] = GroundSeen{hit, hit[2] * hit[2] * hit[2] * area}
		default:
			out[x] = GroundSeen{hit, p.AreaPerPixelM2(cam, px)}
		}
	}
}

// Chart lays the pixels of a straight lens out on a plane: w = W.(x, y, 1), and where D/w is
// over 0 the pixel sees the point whose metres from the chart's origin, along its two
// directions, are U.(x, y, 1)/w and V.(x, y, 1)/w, and shows AreaM2 times (D/w)^3 of the plane.
type Chart struct {
	U, V, W Vec3
	D       float64
	AreaM2  float64
}

// Chart charts the plane about a point in it, along two directions in it (camera frame; a
// direction's length is how many to the metre). ok is false for a lens that distorts and for
// a plane through the lens: SeenAlong serves those.
func (p Plane) Chart(cam Camera, origin, right, down Vec3) (c Chart, ok bool) {
	if !cam.Undistorted() || p.D == 0 {
		return Chart{}, false
	}
	// along is how a vector's product with a pixel's ray goes with the pixel's place.
	along := func(v Vec3) Vec3 {
		x, y := v[0]/cam.FPx, v[1]/cam.FyPx()
		return Vec3{x, y, v[2] - x*cam.CxPx - y*cam.CyPx}
	}
	w := along(p.Normal)
	return Chart{
		U: along(right).Scale(p.D).Sub(w.Scale(right.Dot(origin))),
		V: along(down).Scale(p.D).Sub(w.Scale(down.Dot(origin))),
		W: w, D: p.D, AreaM2: 1 / (cam.FPx * cam.FyPx() * math.Abs(p.D)),
	}, true
}
