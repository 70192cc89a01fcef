package stereo

/*
#cgo CXXFLAGS: -std=c++14
#include "shim.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"unsafe"
)

const shimErrBytes = 512

// shimError turns the shim's message into a Go error.
func shimError(code C.int, msg *[shimErrBytes]C.char, verb string) error {
	if code == 0 {
		return nil
	}
	return fmt.Errorf("vision/stereo: %s: %w", verb, errors.New(C.GoString(&msg[0])))
}

func bytesOf(g *Grey) *C.uchar { return (*C.uchar)(unsafe.Pointer(&g.Pix[0])) }

// features returns the places (x, y) and descriptors of a picture's features.
func features(g *Grey) (xy []float32, desc []byte, err error) {
	if len(g.Pix) == 0 {
		return nil, nil, nil
	}
	var msg [shimErrBytes]C.char
	var found C.int
	xy, desc = make([]float32, 2*mostFeatures), make([]byte, descriptorBytes*mostFeatures)
	code := C.rl_features(bytesOf(g), C.int(g.W), C.int(g.H), mostFeatures, featureContrast,
		(*C.float)(unsafe.Pointer(&xy[0])), (*C.uchar)(unsafe.Pointer(&desc[0])), &found, &msg[0], shimErrBytes)
	if err := shimError(code, &msg, "find features"); err != nil {
		return nil, nil, err
	}
	return xy[:2*int(found)], desc[:descriptorBytes*int(found)], nil
}

// disparities returns sixteenths of a pixel.
func disparities(left, right *Grey, s Search) ([]int16, error) {
	var msg [shimErrBytes]C.char
	out := make([]int16, left.W*left.H)
	code := C.rl_disparity(bytesOf(left), bytesOf(right), C.int(left.W), C.int(left.H),
		C.int(s.Least), C.int(s.Count), blockPx, stepPenalty, jumpPenalty, uniquePercent,
		(*C.short)(unsafe.Pointer(&out[0])), &msg[0], shimErrBytes)
	return out, shimError(code, &msg, "find disparities")
}
