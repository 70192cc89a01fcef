package vision

// #include "pixels.h"
// #include "quads.h"
import "C"

import (
	"unsafe"

	"rowlight/calibrate"
)

// greyCopy is a reduced grey copy of a photo.
type greyCopy struct {
	w, h, factor int
	codes        []uint8
}

// quad is a four-sided shape, clockwise as seen, in the photo's own pixels.
type quad [4]calibrate.Pixel

// quads finds dark four-sided shapes by what is darker than the mean over windowPx.
func (g *greyCopy) quads(windowPx int, minSidePx, polyRate float64) ([]quad, error) {
	const most = 1024
	var (
		msg     [shimErrBytes]C.char
		corners = make([]C.float, 8*most)
		found   C.int
	)
	code := C.rl_find_quads((*C.uchar)(unsafe.Pointer(&g.codes[0])), C.int(g.w), C.int(g.h), C.int(windowPx), C.double(minSidePx), C.double(polyRate),
		&corners[0], most, &found, &msg[0], shimErrBytes)
	if err := shimError(code, &msg, "find quads"); err != nil {
		return nil, err
	}
	out := make([]quad, min(int(found), most))
	for i := range out {
		for k := range out[i] {
			out[i][k] = g.photoPixel(float64(corners[8*i+2*k]), float64(corners[8*i+2*k+1]))
		}
	}
	return out, nil
}

// photoPixel is where a place of the copy lies in the photo.
func (g *greyCopy) photoPixel(x, y float64) calibrate.Pixel {
	f := float64(g.factor)
	return calibrate.Pixel{X: (x+0.5)*f - 0.5, Y: (y+0.5)*f - 0.5}
}

// markerCodes are the inner modules of all markers, a bit each (quads.h).
func markerCodes() ([markerCount]uint32, error) {
	var (
		msg   [shimErrBytes]C.char
		codes [markerCount]C.uint
		out   [markerCount]uint32
	)
	if err := shimError(C.rl_marker_codes(markerCount, &codes[0], &msg[0], shimErrBytes), &msg, "read marker codes"); err != nil {
		return out, err
	}
	for i, c := range codes {
		out[i] = uint32(c)
	}
	return out, nil
}

// markerCount is the size of DICT_5X5_100.
const markerCount = 100

// reducedGrey makes a grey copy of whole blocks of pixels.
func reducedGrey(p *Photo, factor int) *greyCopy {
	factor = min(factor, p.W, p.H)
	g := &greyCopy{w: p.W / factor, h: p.H / factor, factor: factor}
	g.codes = make([]uint8, g.w*g.h)
	sums := make([]uint16, 3*factor*g.w)
	C.rl_reduce_grey(bytesAt(p.Pix, 0), C.int(3*p.W), C.int(factor), C.int(g.w), C.int(g.h), bytesAt(g.codes, 0), codesOf(sums))
	return g
}

// halved averages two by two pixels.
func (g *greyCopy) halved() *greyCopy {
	out := &greyCopy{w: g.w / 2, h: g.h / 2, factor: 2 * g.factor, codes: make([]uint8, g.w/2*(g.h/2))}
	if len(out.codes) > 0 {
		C.rl_halve(bytesAt(g.codes, 0), C.int(g.w), C.int(out.w), C.int(out.h), bytesAt(out.codes, 0))
	}
	return out
}
