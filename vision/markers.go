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
	// polyRate is OpenCV's own default.
	polyRate = 0.03
)

// Markers finds the survey boards' markers in a photo: every sighting, in the
// photo's own pixel space, corners refined to sub-pixel. No marker is no error.
func Markers(p *Photo) ([]calibrate.MarkerSighting, error) {
	full, err := greyMat(p)
	if err != nil {
		return nil, err
	}
	defer full.Close()
	light, err := newLightPlane(full)
	if err != nil {
		return nil, err
	}
	small := gocv.NewMat()
	defer small.Close()
	s := math.Min(1, searchLongPx/math.Max(float64(p.W), float64(p.H)))
	gocv.Resize(full, &small, image.Point{}, s, s, gocv.InterpolationArea)
	raw, err := findMarkers(small, minPerimeterPx/math.Max(float64(small.Cols()), float64(small.Rows())), polyRate)
	if err != nil {
		return nil, err
	}
	out := make([]calibrate.MarkerSighting, 0, len(raw))
	for _, m := range raw {
		var c [4]calibrate.Pixel
		for i, q := range m.corners {
			c[i] = calibrate.Pixel{X: (float64(q[0])+0.5)/s - 0.5, Y: (float64(q[1])+0.5)/s - 0.5}
		}
		c, _ = light.refineQuad(c)
		out = append(out, calibrate.MarkerSighting{ID: m.id, Corners: c})
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
