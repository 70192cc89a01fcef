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
	plain, perF, area := cam.undistorted(), 1/cam.FPx, 1/(cam.FPx*cam.fy()*math.Abs(p.D))
	y := (float64(row) - cam.CyPx) / cam.fy()
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
