package vision

// #cgo LDFLAGS: -ljpeg -ldl
// #include "jpeg.h"
import "C"

import "unsafe"

// decodePixels decodes a photo as its header declares it, R G B row by row, not
// turned. JPEGs go straight to libjpeg: OpenCV would hold the photo two more
// times on the way, and opening its codecs takes longer than the decoding.
func decodePixels(data []byte, head fileHeader) ([]uint8, error) {
	pix := make([]uint8, 3*head.w*head.h)
	var msg [shimErrBytes]C.char
	in, out := (*C.uchar)(unsafe.Pointer(&data[0])), (*C.uchar)(unsafe.Pointer(&pix[0]))
	w, h := C.int(head.w), C.int(head.h)
	if head.format == formatJPEG {
		code := C.rl_decode_jpeg(in, C.size_t(len(data)), out, w, h, &msg[0], shimErrBytes)
		return pix, shimError(code, &msg, "decode JPEG")
	}
	code := C.rl_decode_other(in, C.size_t(len(data)), out, w, h, &msg[0], shimErrBytes)
	return pix, shimError(code, &msg, "decode photo")
}
