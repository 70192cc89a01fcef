package vision

/*
#cgo CXXFLAGS: -std=c++14
#include "shim.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"unsafe"

	"gocv.io/x/gocv"
)

const shimErrBytes = 512

// shimError turns the shim's message into a Go error.
func shimError(code C.int, msg *[shimErrBytes]C.char, verb string) error {
	if code == 0 {
		return nil
	}
	return fmt.Errorf("vision: %s: %w", verb, errors.New(C.GoString(&msg[0])))
}

// SetThreads bounds the threads OpenCV spreads over by itself. The batch runs
// one worker a core, so it wants 1.
func SetThreads(n int) error {
	var msg [shimErrBytes]C.char
	return shimError(C.rl_set_threads(C.int(n), &msg[0], shimErrBytes), &msg, "set threads")
}

// OpenCVVersion is that of the OpenCV that is loaded, as 4.6.0.
func OpenCVVersion() (string, error) {
	const most = 32
	var (
		msg [shimErrBytes]C.char
		out [most]C.char
	)
	code := C.rl_opencv_version(&out[0], most, &msg[0], shimErrBytes)
	return C.GoString(&out[0]), shimError(code, &msg, "tell OpenCV's version")
}

type rawMarker struct {
	id      int
	corners [4][2]float32
}

// findMarkers runs the detector on a grey Mat. minPerimeterRate is the least
// perimeter of a marker over the longer side of the picture; polyRate how far a
// contour may stray from its four-sided outline, over its perimeter.
func findMarkers(grey gocv.Mat, minPerimeterRate, polyRate float64) ([]rawMarker, error) {
	const most = 256
	var (
		msg     [shimErrBytes]C.char
		corners [8 * most]C.float
		ids     [most]C.int
		found   C.int
	)
	code := C.rl_find_markers(unsafe.Pointer(grey.Ptr()), C.double(minPerimeterRate), C.double(polyRate), &corners[0], &ids[0], most, &found, &msg[0], shimErrBytes)
	if err := shimError(code, &msg, "find markers"); err != nil {
		return nil, err
	}
	out := make([]rawMarker, min(int(found), most))
	for i := range out {
		out[i].id = int(ids[i])
		for k := range 4 {
			out[i].corners[k] = [2]float32{float32(corners[8*i+2*k]), float32(corners[8*i+2*k+1])}
		}
	}
	return out, nil
}
