package vision

// #cgo CXXFLAGS: -O3
// #include "pixels.h"
import "C"

import (
	"image"
	"unsafe"
)

func bytesAt(p []uint8, at int) *C.uint8_t { return (*C.uint8_t)(unsafe.Pointer(&p[at])) }

func floatsOf(p []float32) *C.float { return (*C.float)(unsafe.Pointer(&p[0])) }

// averageLight fills out, which has pixels, from blocks of factor x factor.
func averageLight(p *Photo, factor int, lut *[256]float32, out *Linear) {
	C.rl_linear(bytesAt(p.Pix, 0), C.int(3*p.W), C.int(factor), C.int(out.W), C.int(out.H),
		floatsOf(lut[:]), floatsOf(out.R), floatsOf(out.G), floatsOf(out.B))
}

// ReducedCodes averages the codes of factor x factor pixels of part of an 8-bit R G B
// picture w pixels wide (row by row), as a drawing to be looked at wants them; light
// is not what it averages. part lies in the picture and is at least factor wide and
// high; pixels over at its right and bottom edge are dropped.
func ReducedCodes(w int, rgb []uint8, part image.Rectangle, factor int) *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, part.Dx()/factor, part.Dy()/factor))
	sums := make([]uint16, 3*factor*out.Rect.Dx())
	C.rl_reduce(bytesAt(rgb, 3*(part.Min.Y*w+part.Min.X)), C.int(3*w), C.int(factor), C.int(out.Rect.Dx()), C.int(out.Rect.Dy()),
		bytesAt(out.Pix, 0), (*C.uint16_t)(unsafe.Pointer(&sums[0])))
	return out
}
