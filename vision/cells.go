package vision

// #include "cells.h"
import "C"

import "unsafe"

// Bins cut a line into N pieces, PerStep to one, from Low on; what lies beyond either end
// falls in the last piece there.
type Bins struct {
	Low, PerStep float64
	N            int
}

func (b Bins) c() C.rl_bins {
	return C.rl_bins{low: C.double(b.Low), per: C.double(b.PerStep), count: C.int(b.N)}
}

// ColourBins are the cells of a histogram of colour: ln(R/G), ln(B/G) and ln(luminance),
// Dark added to each light to keep them finite. Cells number at most 65536.
type ColourBins struct {
	Dark           float32
	Red, Blue, Lum Bins
}

// Cells is how many cells there are.
func (c ColourBins) Cells() int { return c.Red.N * c.Blue.N * c.Lum.N }

// Of finds each pixel's cell, numbered by red, blue and luminance, the last one fastest;
// and the thousandths of its luminance, rounded down, 1000 for light of 1 and more.
func (c ColourBins) Of(l *Linear) (cell, thousandths []uint16) {
	n := l.W * l.H
	cell, thousandths = make([]uint16, n), make([]uint16, n)
	if n > 0 {
		red, blue, lum := c.Red.c(), c.Blue.c(), c.Lum.c()
		C.rl_colour_cells(floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), C.int(n), C.float(c.Dark), &red, &blue, &lum, codesOf(cell), codesOf(thousandths))
	}
	return cell, thousandths
}

func codesOf(p []uint16) *C.uint16_t { return (*C.uint16_t)(unsafe.Pointer(&p[0])) }

// Bands numbers the pixels of a raster h rows high by two lines that cross all of its columns:
// 0 over the row first[x] of column x, 1 from it on, 2 from second[x] on.
func Bands(first, second []int16, h int) []uint8 {
	band := make([]uint8, len(first)*h)
	if len(band) > 0 {
		C.rl_bands((*C.int16_t)(unsafe.Pointer(&first[0])), (*C.int16_t)(unsafe.Pointer(&second[0])), C.int(len(first)), C.int(h), bytesAt(band, 0))
	}
	return band
}

// OpenSky is what open sky sends: blue light over Blue times its green and its red with
// luminance over Lum, or the like for VeryBlue.
type OpenSky struct{ Blue, Lum, VeryBlue, VeryBlueLum float32 }

// RaiseSky adds by to the kind of each pixel of open sky whose kind is under below.
func RaiseSky(l *Linear, s OpenSky, below, by uint8, kind []uint8) {
	if len(kind) > 0 {
		limits := C.rl_open_sky{blue: C.float(s.Blue), lum: C.float(s.Lum), veryBlue: C.float(s.VeryBlue), veryBlueLum: C.float(s.VeryBlueLum)}
		C.rl_raise_sky(floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), C.int(len(kind)), &limits, C.uint8_t(below), C.uint8_t(by), bytesAt(kind, 0))
	}
}

// CountCells counts the pixels of each kind, under kinds, in each cell, under cells.
func CountCells(kind []uint8, cell []uint16, kinds, cells int) [][]uint32 {
	all := make([]uint32, kinds*cells)
	if len(kind) > 0 {
		C.rl_count_cells(bytesAt(kind, 0), codesOf(cell), C.int(len(kind)), C.int(cells), (*C.uint32_t)(unsafe.Pointer(&all[0])))
	}
	out := make([][]uint32, kinds)
	for k := range out {
		out[k] = all[k*cells : (k+1)*cells]
	}
	return out
}
