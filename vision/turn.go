package vision

// #include "turn.h"
import "C"

import "unsafe"

// turnStripes turns a stored picture, a byte longer than it needs be, some rows at once.
func turnStripes(stored []uint8, w, h, orientation, rows int, upright []uint8) {
	for y := 0; y < h; y += rows {
		C.rl_turn((*C.uchar)(unsafe.Pointer(&stored[3*w*y])), C.int(y), C.int(min(rows, h-y)), C.int(w), C.int(h),
			C.int(orientation), (*C.uchar)(unsafe.Pointer(&upright[0])))
	}
}
