//go:build !customenv

package vision

// #cgo pkg-config: opencv4
// #cgo CXXFLAGS: -std=c++14
import "C"
