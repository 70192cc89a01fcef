package calibrate

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoStep marks a pair that cannot be laid side by side.
var ErrNoStep = errors.New("the two photos were not taken a step to the side of each other")

// mostForwardDeg: a step that points farther than this from straight across leaves
// too little of the scene in both turned views.
const mostForwardDeg = 35.0

// Rectified lays both photos of a pair side by side: two views, turned so that a
// point lies on one row in both, moved along it by its disparity. The view of the
// first photo is the one that is measured in. Its frame has its origin at the first
// camera, x along the step to the right, z ahead; metres.
type Rectified struct {
	Pair *PairPose
	// SecondRight: the second camera stands right of the first, so that points lie
	// farther left in its view.
	SecondRight bool
	Camera      Camera  // of both views, undistorted
	BaselineM   float64 // length of the step
	toFirst     Mat3    // the views' frame to the first camera's, rotation
	toSecond    Mat3
}

// Rectify lays the pair side by side, reduced by s (0.5 halves the photos): x along
// the step, z the mean of both lines of sight squared with it (after Fusiello,
// Trucco and Verri 2000, Machine Vision and Applications 12:16-22).
func (p *PairPose) Rectify(s float64) (*Rectified, error) {
	step := p.Step()
	rel, _ := p.Relative()
	x := step.Unit()
	right := x[0] > 0
	if !right {
		x = x.Scale(-1)
	}
	ahead := Vec3{0, 0, 1}.Add(rel.T().MulVec(Vec3{0, 0, 1})).Unit()
	most := math.Sin(mostForwardDeg / degreesPerRadian)
	if step.Norm() == 0 || math.Abs(ahead.Dot(x)) > most || math.Abs(x[1]) > most {
		return nil, fmt.Errorf("calibrate: rectify pair: step of %.2f m right, %.2f m down, %.2f m ahead: %w", step[0], step[1], step[2], ErrNoStep)
	}
	z := ahead.Sub(x.Scale(ahead.Dot(x))).Unit()
	toFirst := FromCols(x, z.Cross(x), z)
	first := p.First.Camera
	cam := Camera{WidthPx: first.WidthPx, HeightPx: first.HeightPx, FPx: first.FPx, CxPx: first.CxPx, CyPx: first.CyPx}
	return &Rectified{
		Pair: p, SecondRight: right, Camera: cam.Scaled(s), BaselineM: step.Norm(),
		toFirst: toFirst, toSecond: rel.Mul(toFirst),
	}, nil
}

// FirstPixel is where a pixel of the first photo's view lies in that photo; ok is
// false behind the camera.
func (r *Rectified) FirstPixel(p Pixel) (Pixel, bool) {
	return r.Pair.First.Camera.Project(r.toFirst.MulVec(r.Camera.Ray(p)))
}

// SecondPixel is the same for the second photo.
func (r *Rectified) SecondPixel(p Pixel) (Pixel, bool) {
	return r.Pair.Second.Camera.Project(r.toSecond.MulVec(r.Camera.Ray(p)))
}

// Sight is the direction that a pixel of the first photo's view sees, in the first
// camera's frame, 1 m deep in the views' frame.
func (r *Rectified) Sight(p Pixel) Vec3 { return r.toFirst.MulVec(r.Camera.Ray(p)) }

// DepthM is how many times Sight a point lies off that moves by disparityPx (above
// 0) between the views.
func (r *Rectified) DepthM(disparityPx float64) float64 {
	return r.Camera.FPx * r.BaselineM / disparityPx
}

// DisparityPx is the inverse of DepthM.
func (r *Rectified) DisparityPx(depthM float64) float64 {
	return r.Camera.FPx * r.BaselineM / depthM
}

// Locate is where the first photo's view shows a point of the first camera's frame,
// and how far it moves between the views; ok is false behind the camera.
func (r *Rectified) Locate(q Vec3) (at Pixel, disparityPx float64, ok bool) {
	v := r.toFirst.T().MulVec(q)
	if at, ok = r.Camera.Project(v); !ok {
		return Pixel{}, 0, false
	}
	return at, r.DisparityPx(v[2]), true
}
