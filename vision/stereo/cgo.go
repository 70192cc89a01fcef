//go:build !customenv

package stereo

// With the tag the Makefile says where OpenCV is, and vision names its libraries.

// #cgo pkg-config: opencv4
import "C"
