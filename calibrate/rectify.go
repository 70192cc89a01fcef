package calibrate

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoStep marks a pair that cannot be laid side by side.
var ErrNoStep = errors.New("the two photos were not taken a step to the side of each other")

const (
	// mostForwardDeg: a step that points farther than this from straight across
	// leaves too little of the scene in both rectified photos.
	mostForwardDeg = 35.0
)

// Rectified lays both photos of a pair side by side: two views, turned so that a
// point lies on one row in both, farther left in the right one by its disparity.
// Rectified frame: x from the left camera to the right one, z ahead, metres,
// origin at the left camera.
type Rectified struct {
	Pair      *PairPose
	FirstLeft bool    // the first photo is the left view
	Camera    Camera  // of both views, undistorted
	BaselineM float64 // length of the step
	toFirst   Mat3    // rectified frame to the first camera's, rotation
	toSecond  Mat3
}

// Rectify lays the pair side by side, reduced by s (0.5 halves the photos).
// Fusiello, Trucco and Verri 2000 (Machine Vision and Applications 12:16): x
// along the step, z the mean of both lines of sight, squared with it.
func (p *PairPose) Rectify(s float64) (*Rectified, error) {
	step := p.Step()
	rel, _ := p.Relative()
	b := step.Norm()
	if b == 0 {
		return nil, fmt.Errorf("calibrate: rectify pair: %w", ErrNoStep)
	}
	x := step.Unit()
	firstLeft := x[0] > 0
	if !firstLeft {
		x = x.Scale(-1)
	}
	ahead := Vec3{0, 0, 1}.Add(rel.T().MulVec(Vec3{0, 0, 1})).Unit()
	across := ahead.Sub(x.Scale(ahead.Dot(x)))
	if off := math.Asin(clamp(ahead.Dot(x), -1, 1)) * degreesPerRadian; math.Abs(off) > mostForwardDeg || math.Abs(x[1]) > math.Sin(mostForwardDeg/degreesPerRadian) {
		return nil, fmt.Errorf("calibrate: rectify pair: step %.2f m right, %.2f m down, %.2f m ahead: %w", step[0], step[1], step[2], ErrNoStep)
	}
	z := across.Unit()
	toFirst := FromCols(x, z.Cross(x), z)
	cam := Camera{
		WidthPx: p.First.Camera.WidthPx, HeightPx: p.First.Camera.HeightPx,
		FPx: p.First.Camera.FPx, CxPx: p.First.Camera.CxPx, CyPx: p.First.Camera.CyPx,
	}
	return &Rectified{
		Pair: p, FirstLeft: firstLeft, Camera: cam.Scaled(s), BaselineM: b,
		toFirst: toFirst, toSecond: rel.Mul(toFirst),
	}, nil
}

// FirstPixel is where a pixel of the view that the first photo makes lies in that
// photo; ok is false behind the camera.
func (r *Rectified) FirstPixel(p Pixel) (Pixel, bool) {
	return r.Pair.First.Camera.Project(r.toFirst.MulVec(r.Camera.Ray(p)))
}

// SecondPixel is the same for the second photo.
func (r *Rectified) SecondPixel(p Pixel) (Pixel, bool) {
	return r.Pair.Second.Camera.Project(r.toSecond.MulVec(r.Camera.Ray(p)))
}

// Point is the point, in the first camera's frame (m), that the left view shows
// at p and the right one disparityPx farther left. disparityPx must be above 0.
func (r *Rectified) Point(p Pixel, disparityPx float64) Vec3 {
	q := r.Camera.Ray(p).Scale(r.Camera.FPx * r.BaselineM / disparityPx)
	if !r.FirstLeft {
		q[0] -= r.BaselineM // the left camera stands that far left of the first
	}
	return r.toFirst.MulVec(q)
}

// DepthSDM is a point's standard deviation along the line of sight from the noise
// of its disparity: z^2/(f b) sd.
func (r *Rectified) DepthSDM(depthM, disparitySDPx float64) float64 {
	return depthM * depthM / (r.Camera.FPx * r.BaselineM) * disparitySDPx
}

// Locate is where both views show a point of the first camera's frame: in the
// left view, and how far left of there in the right one.
func (r *Rectified) Locate(q Vec3) (left Pixel, disparityPx float64, ok bool) {
	v := r.toFirst.T().MulVec(q)
	if !r.FirstLeft {
		v[0] += r.BaselineM
	}
	left, ok = r.Camera.Project(v)
	if !ok {
		return Pixel{}, 0, false
	}
	return left, r.Camera.FPx * r.BaselineM / v[2], true
}
