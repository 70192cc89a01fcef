package vision

import (
	"strings"
	"testing"

	"gocv.io/x/gocv"
)

// OpenCV throws on these; the shim must hand the exception over as an error.
func TestShimTurnsExceptionsIntoErrors(t *testing.T) {
	empty := gocv.NewMat()
	defer empty.Close()
	if _, err := findMarkers(empty, 0.03, polyRate); err == nil || !strings.HasPrefix(err.Error(), "vision: find markers: ") {
		t.Errorf("empty Mat: error %v", err)
	}
	floats := gocv.NewMatWithSize(40, 40, gocv.MatTypeCV32FC1)
	defer floats.Close()
	if _, err := findMarkers(floats, 0.03, polyRate); err == nil {
		t.Error("a Mat of floats: no error")
	}
	grey := gocv.NewMatWithSize(40, 40, gocv.MatTypeCV8UC1)
	defer grey.Close()
	if found, err := findMarkers(grey, 0.03, polyRate); err != nil || len(found) != 0 {
		t.Errorf("a bare Mat: %d markers, error %v", len(found), err)
	}
}

func TestSetThreads(t *testing.T) {
	if err := SetThreads(1); err != nil {
		t.Error(err)
	}
}
