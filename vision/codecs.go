package vision

// #cgo LDFLAGS: -ljpeg -ldl
// #include "jpeg.h"
import "C"

import "unsafe"

// decodePixels decodes a photo as its header declares it, R G B row by row, turned
// upright by its orientation, into pix, which has the length for it. JPEGs go straight
// to libjpeg: OpenCV would hold the photo two more times on the way, and opening its
// codecs takes longer than the decoding.
func decodePixels(data []byte, head fileHeader, orientation int, pix []uint8) error {
	var msg [shimErrBytes]C.char
	in, out := (*C.uchar)(unsafe.Pointer(&data[0])), (*C.uchar)(unsafe.Pointer(&pix[0]))
	w, h, turn := C.int(head.w), C.int(head.h), C.int(orientation)
	if head.format == formatJPEG {
		code := C.rl_decode_jpeg(in, C.size_t(len(data)), out, w, h, turn, &msg[0], shimErrBytes)
		return shimError(code, &msg, "decode JPEG")
	}
	code := C.rl_decode_other(in, C.size_t(len(data)), out, w, h, turn, &msg[0], shimErrBytes)
	return shimError(code, &msg, "decode photo")
}
