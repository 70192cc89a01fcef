package calibrate

import (
	"fmt"
	"math"
)

// Camera is a pinhole with the Brown-Conrady distortion of OpenCV's manual
// (k1, k2, p1, p2, k3), for the oriented photo.
type Camera struct {
	WidthPx, HeightPx  int
	FPx                float64 // focal length in pixels, across
	FyRel              float64 // the focal length down over that across; 0 is 1, square pixels
	FRelSD             float64 // one standard deviation of FPx, relative
	CxPx, CyPx         float64 // principal point
	K1, K2, P1, P2, K3 float64
	Source             string // where the focal length came from, for the record
	// Spread is how well board photos fixed the rest; nil for a lens not calibrated,
	// whose principal point and distortion are taken as they stand.
	Spread *LensSpread
}

// fullFrameWidthMM and fullFrameDiagonalMM are the 36 x 24 mm frame that "35 mm
// equivalent" refers to. Makers scale by either: on a 4:3 sensor the two are
// 4.0 % apart.
const (
	fullFrameWidthMM    = 36.0
	fullFrameDiagonalMM = 43.266615305567875
	// equivalentRelSD: the two readings lie 2 % to either side of their mean;
	// EXIF also rounds the equivalent to whole millimetres (0.5/26 = 1.9 % at
	// most, 1.1 % as a standard deviation).
	equivalentRelSD = 0.023
	// widestSensor: sensors are 4:3 or 3:2; a picture wider than that (16:9) is cut
	// from one in its height, and keeps the equivalent of the whole.
	widestSensor = 1.55
	// unknownF35MM and unknownRelSD: main cameras of phones lie between 23 and
	// 30 mm equivalent (common practice). Without EXIF this is all one knows.
	unknownF35MM = 26.5
	unknownRelSD = 0.12
)

// PriorCamera returns the camera that EXIF leads one to expect: the 35 mm
// equivalent f35MM read half-way between its two conventions (width, diagonal).
// f35MM <= 0 means unknown. The long side of the photo is the sensor's width.
func PriorCamera(widthPx, heightPx int, f35MM float64) Camera {
	cam := Camera{
		WidthPx: widthPx, HeightPx: heightPx,
		CxPx: float64(widthPx-1) / 2, CyPx: float64(heightPx-1) / 2,
		FRelSD: equivalentRelSD,
		Source: fmt.Sprintf("35 mm equivalent %g mm from EXIF", f35MM),
	}
	if f35MM <= 0 || math.IsNaN(f35MM) || math.IsInf(f35MM, 0) {
		f35MM, cam.FRelSD = unknownF35MM, unknownRelSD
		cam.Source = "no focal length in EXIF: a phone's main camera assumed"
	}
	long := math.Max(float64(widthPx), float64(heightPx))
	diag := math.Hypot(float64(widthPx), float64(heightPx))
	if short := math.Min(float64(widthPx), float64(heightPx)); long > widestSensor*short {
		diag = long * math.Hypot(1, 3.0/4) // cut from a 4:3 sensor's full width
	}
	byWidth := f35MM / fullFrameWidthMM * long
	byDiagonal := f35MM / fullFrameDiagonalMM * diag
	cam.FPx = (byWidth + byDiagonal) / 2
	return cam
}

// Scaled returns the camera of the same photo resampled by s (0.5 halves it),
// pixel centres on whole numbers before and after.
func (c Camera) Scaled(s float64) Camera {
	out := c
	out.WidthPx = int(math.Round(float64(c.WidthPx) * s))
	out.HeightPx = int(math.Round(float64(c.HeightPx) * s))
	out.FPx = c.FPx * s
	out.CxPx = (c.CxPx+0.5)*s - 0.5
	out.CyPx = (c.CyPx+0.5)*s - 0.5
	return out
}

// leastDepthM before the camera a point must lie to show.
const leastDepthM = 1e-9

// Project returns the pixel of a point in the camera frame; ok is false for a
// point at or behind the camera.
func (c Camera) Project(p Vec3) (px Pixel, ok bool) {
	if p[2] <= leastDepthM {
		return Pixel{}, false
	}
	x, y := c.distort(p[0]/p[2], p[1]/p[2])
	return Pixel{c.FPx*x + c.CxPx, c.FyPx()*y + c.CyPx}, true
}

// Ray returns the direction (z = 1, camera frame) seen by a pixel.
func (c Camera) Ray(p Pixel) Vec3 {
	xd, yd := (p.X-c.CxPx)/c.FPx, (p.Y-c.CyPx)/c.FyPx()
	if c.Undistorted() {
		return Vec3{xd, yd, 1}
	}
	x, y := xd, yd
	for range 20 { // fixed-point iteration; converges for ordinary lenses
		dx, dy := c.distort(x, y)
		x, y = x+xd-dx, y+yd-dy
	}
	return Vec3{x, y, 1}
}

// FyPx is the focal length down the picture, pixels.
func (c Camera) FyPx() float64 {
	if c.FyRel == 0 {
		return c.FPx
	}
	return c.FPx * c.FyRel
}

// Undistorted says that the lens bends nothing.
func (c Camera) Undistorted() bool {
	return c.K1 == 0 && c.K2 == 0 && c.P1 == 0 && c.P2 == 0 && c.K3 == 0
}

func (c Camera) distort(x, y float64) (float64, float64) {
	if c.Undistorted() {
		return x, y
	}
	r2 := x*x + y*y
	radial := 1 + r2*(c.K1+r2*(c.K2+r2*c.K3))
	return x*radial + 2*c.P1*x*y + c.P2*(r2+2*x*x),
		y*radial + c.P1*(r2+2*y*y) + 2*c.P2*x*y
}
