//go:build matprofile

package vision

import (
	"testing"

	"gocv.io/x/gocv"
)

// Run with -tags matprofile: every Mat opened on the way from bytes to markers,
// cards and blur is closed, on good photos and on refused ones.
func TestNoMatLeaks(t *testing.T) {
	d := standing(t, 580, 420, seenAskew())
	d.sigmaPx = 0.8
	board := d.draw(t)
	bare := &Photo{W: 400, H: 400, Pix: make([]uint8, 3*400*400)}
	jpg := withOrientation(jpegBytes(t, quadrants(480, 360)), 7)
	before := gocv.MatProfile.Count()
	for range 3 {
		for _, data := range [][]byte{jpg, jpg[:len(jpg)/2], pngBytes(t, quadrants(340, 330)), declaring(500, 500), nil} {
			_, _ = Decode(data)
		}
		for _, p := range []*Photo{board, bare, {}} {
			seen, _ := Markers(p)
			_, _ = EdgeBlurPx(p, seen)
			_, _ = Cards(p)
		}
	}
	if after := gocv.MatProfile.Count(); after != before {
		t.Errorf("%d Mats were left open", after-before)
	}
}
