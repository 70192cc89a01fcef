package vision

// #include "sky.h"
import "C"

import "unsafe"

func boolsOf(p []bool) *C.uchar { return (*C.uchar)(unsafe.Pointer(&p[0])) }

func doublesOf(p []float64) *C.double { return (*C.double)(unsafe.Pointer(&p[0])) }

// SumCells adds up, for each cell of cellPx x cellPx pixels of a raster w wide, how many
// of its pixels are marked, and of each of three planes what the marked ones hold (a
// row's part of a cell to a float's precision).
func SumCells(marked []bool, planes [3][]float32, w, cellPx int) (n []float64, sums [3][]float64) {
	h := len(marked) / w
	cells := (w + cellPx - 1) / cellPx * ((h + cellPx - 1) / cellPx)
	n = make([]float64, cells)
	for k := range sums {
		sums[k] = make([]float64, cells)
	}
	C.rl_sum_cells(boolsOf(marked), floatsOf(planes[0]), floatsOf(planes[1]), floatsOf(planes[2]), C.int(w), C.int(h), C.int(cellPx),
		doublesOf(n), doublesOf(sums[0]), doublesOf(sums[1]), doublesOf(sums[2]))
	return n, sums
}

// BlurGrid convolves a small grid w wide by one kernel along its rows and by another down
// its columns; both are symmetric, given whole. Outside the grid is nothing.
func BlurGrid(v []float64, w int, along, down []float64) []float64 {
	h := len(v) / w
	mid, out := make([]float64, len(v)), make([]float64, len(v))
	C.rl_blur_grid(doublesOf(v), C.int(w), C.int(h), doublesOf(along), C.int(len(along)), 0, doublesOf(mid))
	C.rl_blur_grid(doublesOf(mid), C.int(w), C.int(h), doublesOf(down), C.int(len(down)), 1, doublesOf(out))
	return out
}

// SpreadCells lays a row of cells of three numbers each out over the pixels under them,
// cellPx (even) to a cell, straight from each cell's middle to the next; the three of out are
// as long as the row of pixels.
func SpreadCells(cells [][3]float32, cellPx int, out [3][]float32) {
	C.rl_spread_cells((*C.float)(unsafe.Pointer(&cells[0])), C.int(len(cells)), C.int(cellPx),
		floatsOf(out[0]), floatsOf(out[1]), floatsOf(out[2]), C.int(len(out[0])))
}

// SkyLimits are what the logarithms of a pixel's light, less those of the sky behind it,
// are held against. Green and red are counted over blue.
type SkyLimits struct {
	MinBlue, LowBlue, HighBlue, MostGreen, MostRed, NearGreen, NearRed float32
}

// MatchSky marks, of the pixels that may be sky, those that are (bluer light than MinBlue,
// no greener and redder than the limits) and those near it: within all the near limits, or
// in seed. light and behind are ln R, ln G, ln B.
func MatchSky(may, seed []bool, light, behind [3][]float32, m SkyLimits, sky, near []bool) {
	limits := C.rl_sky_limits{C.float(m.MinBlue), C.float(m.LowBlue), C.float(m.HighBlue), C.float(m.MostGreen), C.float(m.MostRed), C.float(m.NearGreen), C.float(m.NearRed)}
	C.rl_match_sky(boolsOf(may), boolsOf(seed), floatsOf(light[0]), floatsOf(light[1]), floatsOf(light[2]),
		floatsOf(behind[0]), floatsOf(behind[1]), floatsOf(behind[2]), &limits, boolsOf(sky), boolsOf(near), C.int(len(may)))
}
