package vision

import (
	"fmt"
	"image"
	"math"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

const (
	// searchLongPx: the detector runs on a copy no longer than this; corners
	// are refined on the full photo. A marker of 100 mm at 8 m from a 26 mm
	// lens still has 22 px there, above the 7 modules x 3 px the code needs.
	searchLongPx = 2400
	// minPerimeterPx is the least perimeter of a marker in the search copy.
	minPerimeterPx = 56
	// Sub-pixel windows: half-size in px, a share of the marker's side within
	// these ends. Between 5 and 9 gave 0.15-0.23 px rms on print.
	subPixMin, subPixMax = 2, 9
	subPixShare          = 0.10
)

// Markers finds the survey boards' markers in a photo: every sighting, in the
// photo's own pixel space, corners refined to sub-pixel. No marker is no error.
func Markers(p *Photo) ([]calibrate.MarkerSighting, error) {
	full, err := greyMat(p)
	if err != nil {
		return nil, err
	}
	defer full.Close()
	small := gocv.NewMat()
	defer small.Close()
	s := math.Min(1, searchLongPx/math.Max(float64(p.W), float64(p.H)))
	gocv.Resize(full, &small, image.Point{}, s, s, gocv.InterpolationArea)
	raw, err := findMarkers(small, minPerimeterPx/math.Max(float64(small.Cols()), float64(small.Rows())))
	if err != nil {
		return nil, err
	}
	out := make([]calibrate.MarkerSighting, 0, len(raw))
	for _, m := range raw {
		out = append(out, refineMarker(full, m, s))
	}
	return out, nil
}

// greyMat returns the photo as a grey Mat; the caller closes it.
func greyMat(p *Photo) (gocv.Mat, error) {
	rgb, err := gocv.NewMatFromBytes(p.H, p.W, gocv.MatTypeCV8UC3, p.Pix)
	if err != nil {
		return gocv.Mat{}, fmt.Errorf("vision: grey copy: %w", err)
	}
	defer rgb.Close()
	grey := gocv.NewMat()
	gocv.CvtColor(rgb, &grey, gocv.ColorRGBToGray)
	return grey, nil
}

// refineMarker maps a marker from the search copy (scale s) to the full photo
// and moves its corners onto the print's own corners.
func refineMarker(full gocv.Mat, m rawMarker, s float64) calibrate.MarkerSighting {
	out := calibrate.MarkerSighting{ID: m.id}
	pts := gocv.NewMatWithSize(4, 1, gocv.MatTypeCV32FC2)
	defer pts.Close()
	var corners [4]calibrate.Pixel
	for i, c := range m.corners {
		corners[i] = calibrate.Pixel{X: (float64(c[0])+0.5)/s - 0.5, Y: (float64(c[1])+0.5)/s - 0.5}
		pts.SetFloatAt(i, 0, float32(corners[i].X))
		pts.SetFloatAt(i, 1, float32(corners[i].Y))
	}
	side := corners[0].Dist(corners[1])
	win := int(math.Round(math.Max(subPixMin, math.Min(subPixMax, side*subPixShare))))
	crit := gocv.NewTermCriteria(gocv.Count|gocv.EPS, 40, 0.005)
	gocv.CornerSubPix(full, &pts, image.Pt(win, win), image.Pt(-1, -1), crit)
	for i := range 4 {
		got := calibrate.Pixel{X: float64(pts.GetFloatAt(i, 0)), Y: float64(pts.GetFloatAt(i, 1))}
		if got.Dist(corners[i]) > 2*float64(win) { // it ran off to another edge
			got = corners[i]
		}
		out.Corners[i] = got
	}
	return out
}
