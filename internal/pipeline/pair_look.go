package pipeline

import (
	"errors"
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/stereo"
)

const (
	// pairNearM and pairFarM bound where features of the scene are looked for along
	// their sights.
	pairNearM, pairFarM = 1.2, 1000.0
	// Features are matched twice: within looseRad of where the boards alone put
	// them (three standard deviations of a relative turn of 0.4 degrees), then within
	// tightRad of where the first matches do.
	looseRad, tightRad = 0.017, 0.0025
	// pairLeastStepM and pairMostStepM: a shorter step gives no depth, and a longer
	// one leaves the photos too little to share.
	pairLeastStepM, pairMostStepM = 0.25, 1.40
	// pairWorkPx is the longer side of the views that are compared: a leaf at 6 m
	// is 20 x 7 px there.
	pairWorkPx = 1200
	// pairClosestM: disparities are looked for from far away to here, and beside a tree
	// to sideClosest of the way to its board: no crown hangs nearer, and the matcher's
	// time goes with them.
	pairClosestM, sideClosest = 2.0, 0.5
	// patchStepPx: neighbouring pixels of one leaf move alike to within this.
	patchStepPx = 1.0
)

const stepMend = "take the second photo a step (0.4 to 0.7 m) to the side of the first, with the same board in it"

// pairLook is what two photos show together: how they stand to each other, and
// how far off each pixel of the first one's view is.
type pairLook struct {
	pose  *calibrate.PairPose
	rect  *calibrate.Rectified
	disp  *vision.Raster // px; NaN where unknown
	patch []int32        // pixels that hang together
	seen  []bool         // where the first photo reaches
	view  [2]*stereo.Grey
}

// lookAtPair compares two photos of one board.
func lookAtPair(first, second Shot, board int, opt calibrate.PoseOptions) (*pairLook, error) {
	if err := sharedBoard(second, board); err != nil {
		return nil, err
	}
	pose, err := pairPose(first, second, board, opt)
	if err != nil {
		return nil, err
	}
	if b := pose.Step().Norm(); b < pairLeastStepM || b > pairMostStepM {
		return nil, &metrics.Unusable{
			Reason: fmt.Sprintf("the two photos were taken %.2f m apart, %.2f to %.2f m can be used", b, pairLeastStepM, pairMostStepM),
			Mend:   stepMend,
		}
	}
	return comparePair(first, second, pose)
}

// sharedBoard refuses a second photo that does not show the first one's board.
func sharedBoard(second Shot, board int) error {
	if n := len(second.Boards[board]); n < minMarkers {
		return &metrics.Unusable{
			Reason: fmt.Sprintf("%d markers of board %d were found in the second photo, %d needed", n, board, minMarkers),
			Mend:   stepMend,
		}
	}
	return nil
}

// pairPose matches features of both photos and lays the photos to each other.
func pairPose(first, second Shot, board int, opt calibrate.PoseOptions) (*calibrate.PairPose, error) {
	a, err := stereo.Find(first.Photo)
	if err != nil {
		return nil, err
	}
	b, err := stereo.Find(second.Photo)
	if err != nil {
		return nil, err
	}
	var matches []calibrate.Match
	var pose *calibrate.PairPose
	for _, slackRad := range [4]float64{0, looseRad, looseRad, tightRad} {
		if pose != nil {
			slackPx := slackRad * pose.First.Camera.FPx
			matches = stereo.Match(a, b, func(p calibrate.Pixel) (stereo.Reach, bool) {
				near, far, ok := pose.Across(p, pairNearM, pairFarM)
				return stereo.Reach{From: near, To: far, SlackPx: slackPx}, ok
			})
		}
		if pose, err = calibrate.SolvePair(first.Camera, first.Boards[board], second.Boards[board], matches, opt); err != nil {
			return nil, fmt.Errorf("pipeline: pair: %w", err)
		}
	}
	return pose, nil
}

// comparePair turns both photos side by side and matches every pixel.
func comparePair(first, second Shot, pose *calibrate.PairPose) (*pairLook, error) {
	long := math.Max(float64(first.Photo.W), float64(first.Photo.H))
	scale := math.Min(1, pairWorkPx/long)
	rect, err := pose.Rectify(scale)
	if errors.Is(err, calibrate.ErrNoStep) {
		return nil, &metrics.Unusable{Reason: "the second photo was not taken from the side of the first", Mend: stepMend}
	}
	if err != nil {
		return nil, err
	}
	l := &pairLook{pose: pose, rect: rect}
	w, h := rect.Camera.WidthPx, rect.Camera.HeightPx
	a, seen := stereo.Turned(first.Photo, w, h, 1/scale, rect.FirstPixel)
	b, _ := stereo.Turned(second.Photo, w, h, 1/scale, rect.SecondPixel)
	l.seen = seen
	l.view = [2]*stereo.Grey{stereo.Evened(a), stereo.Evened(b)}
	closest := pairClosestM
	if first.Kind == orchard.Side {
		closest = math.Max(closest, sideClosest*pose.First.T.Norm())
	}
	l.disp, err = stereo.Disparities(l.view[0], l.view[1], stereo.Search{
		Count: int(math.Ceil(rect.DisparityPx(closest))), Rightward: !rect.SecondRight,
	})
	if err != nil {
		return nil, err
	}
	l.patch = stereo.Patches(l.disp, patchStepPx)
	return l, nil
}

// alike is how well each pixel's surroundings match at its disparity.
func (l *pairLook) alike() *vision.Raster {
	return stereo.Alike(l.view[0], l.view[1], l.disp, !l.rect.SecondRight)
}
