package vision

// #include "ink.h"
import "C"

import (
	"image/color"
	"unsafe"
)

// LayInk lays ink on the first pixels of R, G, B, A bytes, one for each column: of pixel
// x the amount at column[x], 0 none and 1 full (those beyond taken for these). Columns
// never fall from left to right, so that a stretch without ink is told by its amounts.
func LayInk(rgba []uint8, ink color.NRGBA, amounts []float32, column []int32) {
	if len(column) == 0 {
		return
	}
	_ = rgba[4*len(column)-1]
	rgb := [3]float32{float32(ink.R), float32(ink.G), float32(ink.B)}
	C.rl_lay_ink(bytesAt(rgba, 0), C.int(len(column)), floatsOf(rgb[:]), C.float(float32(ink.A)/255), floatsOf(amounts),
		(*C.int32_t)(unsafe.Pointer(&column[0])))
}
