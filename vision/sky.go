package vision

// #include "sky.h"
import "C"

import "unsafe"

func boolsOf(p []bool) *C.uchar { return (*C.uchar)(unsafe.Pointer(&p[0])) }

func ucharsOf[T ~uint8](p []T) *C.uchar { return (*C.uchar)(unsafe.Pointer(&p[0])) }

func doublesOf(p []float64) *C.double { return (*C.double)(unsafe.Pointer(&p[0])) }

// SkyCellPx is the side, in pixels, of the cells that SkyLight is added up by.
const SkyCellPx = C.RL_SKY_CELL

// SkyLight is what is needed of the part of a picture that may be sky: ln R, ln G, ln B, and
// the pixels that are open sky beyond doubt.
type SkyLight struct {
	W, H int
	// Zone is ZoneAbove where a pixel may be sky.
	Zone    []Zone
	Seed    []bool
	r, g, b []float32
	scratch []float64
}

// OpenSkyLimits tell open sky: over a square of 2 Half + 1 pixels ln B has a variance under
// Variance; blue light is over Blue times green and red.
type OpenSkyLimits struct {
	Half           int
	Variance, Blue float32
}

// NewSkyLight looks at the picture's first rows, at least one pixel; dark is added to all
// light to keep logarithms finite.
func NewSkyLight(l *Linear, rows int, zone []Zone, dark float32, m OpenSkyLimits) *SkyLight {
	n, grid := rows*l.W, (l.W+SkyCellPx-1)/SkyCellPx
	s := &SkyLight{
		W: l.W, H: rows, Zone: zone[:n], Seed: make([]bool, n), r: make([]float32, n), g: make([]float32, n), b: make([]float32, n),
		scratch: make([]float64, (4*C.RL_SKY_LANES+2)*grid+8),
	}
	rowsHeld := make([]float32, C.rl_sky_floats(C.int(l.W), C.int(m.Half)))
	C.rl_sky_light(floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), ucharsOf(zone), C.int(l.W), C.int(rows), C.float(dark),
		C.int(m.Half), C.float(m.Variance), C.float(m.Blue), floatsOf(s.r), floatsOf(s.g), floatsOf(s.b), boolsOf(s.Seed), floatsOf(rowsHeld))
	return s
}

// SkyLimits are what the logarithms of a pixel's light, less those of the sky behind it,
// are held against. Green and red are counted over blue.
type SkyLimits struct {
	MinBlue, LowBlue, HighBlue, MostGreen, MostRed, NearGreen, NearRed float32
}

// CellSums are, by cells of SkyCellPx a side, a number of pixels and the sums of their ln R,
// ln G and ln B.
type CellSums struct {
	N []float64
	C [3][]float64
}

// Seeds adds up the seeds.
func (s *SkyLight) Seeds() *CellSums { return s.sum(nil, &C.rl_sky_limits{}, nil) }

// Match holds the pixels against the sky behind them: its ln R, ln G, ln B at the middles of
// the cells, row by row, straight between these and level beyond the outermost. It adds up
// the pixels near it, within all the near limits, and the seeds. Where sky is not nil SkyMark
// is put for, and 0 for all but, pixels of light bluer than MinBlue and no greener and redder than the limits.
// Only pixels that may be sky are either.
func (s *SkyLight) Match(behind [][3]float32, m SkyLimits, sky []SideClass) *CellSums {
	limits := C.rl_sky_limits{C.float(m.MinBlue), C.float(m.LowBlue), C.float(m.HighBlue), C.float(m.MostGreen), C.float(m.MostRed), C.float(m.NearGreen), C.float(m.NearRed)}
	return s.sum(behind, &limits, sky)
}

func (s *SkyLight) sum(behind [][3]float32, limits *C.rl_sky_limits, sky []SideClass) *CellSums {
	cells := (s.W + SkyCellPx - 1) / SkyCellPx * ((s.H + SkyCellPx - 1) / SkyCellPx)
	out := &CellSums{N: make([]float64, cells)}
	for k := range out.C {
		out.C[k] = make([]float64, cells)
	}
	var at *C.float
	if behind != nil {
		at = (*C.float)(unsafe.Pointer(&behind[0]))
	}
	var is *C.uchar
	if sky != nil {
		is = ucharsOf(sky)
	}
	C.rl_match_sky(floatsOf(s.r), floatsOf(s.g), floatsOf(s.b), ucharsOf(s.Zone), boolsOf(s.Seed), C.int(s.W), C.int(s.H), at, limits, is,
		doublesOf(out.N), doublesOf(out.C[0]), doublesOf(out.C[1]), doublesOf(out.C[2]), doublesOf(s.scratch))
	return out
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
