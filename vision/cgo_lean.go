//go:build customenv

package vision

// The tag is gocv's: with it, neither gocv nor we name OpenCV's libraries by
// pkg-config, and the program starts without the ones it never calls (Makefile).
// Calls of gocv that need others (windows, films, picture files) do not link.

// #cgo LDFLAGS: -Wl,--as-needed -lopencv_aruco -lopencv_objdetect -lopencv_calib3d
// #cgo LDFLAGS: -lopencv_dnn -lopencv_features2d -lopencv_photo -lopencv_video
// #cgo LDFLAGS: -lopencv_imgproc -lopencv_core
import "C"
