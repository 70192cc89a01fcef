package vision

// #include "jpeg.h"
import "C"

import (
	"fmt"
	"image"
	"io"
	"unsafe"
)

// EncodeJPEG writes a picture without transparency as JPEG (4:2:0), quality 1 to 100:
// image/jpeg's work in a sixth of the time.
func EncodeJPEG(w io.Writer, m *image.NRGBA, quality int) error {
	width, height := m.Rect.Dx(), m.Rect.Dy()
	if width <= 0 || height <= 0 || m.Stride != 4*width {
		return fmt.Errorf("vision: encode JPEG: a picture of %d x %d pixels in rows of %d bytes", width, height, m.Stride)
	}
	var (
		msg  [shimErrBytes]C.char
		data *C.uchar
		n    C.size_t
	)
	code := C.rl_encode_jpeg((*C.uchar)(unsafe.Pointer(&m.Pix[0])), C.int(width), C.int(height), C.int(quality), &data, &n, &msg[0], shimErrBytes)
	if err := shimError(code, &msg, "encode JPEG"); err != nil {
		return err
	}
	defer C.rl_free(unsafe.Pointer(data))
	_, err := w.Write(unsafe.Slice((*byte)(data), int(n)))
	return err
}
