package vision

// #include "gridblur.h"
// #include "sky.h"
// #include "tints.h"
import "C"

import (
	"runtime"
	"unsafe"
)

func boolsOf(p []bool) *C.uchar { return (*C.uchar)(unsafe.Pointer(&p[0])) }

func ucharsOf[T ~uint8](p []T) *C.uchar { return (*C.uchar)(unsafe.Pointer(&p[0])) }

func doublesOf(p []float64) *C.double { return (*C.double)(unsafe.Pointer(&p[0])) }

// SkyCellPx is the side, in pixels, of the cells that SkyLight is added up by.
const SkyCellPx = C.RL_SKY_CELL

// SkyLight is what is needed of the part of a picture that may be sky: ln R, ln G, ln B, and
// the pixels that are open sky beyond doubt. Cells whose pixels all are sky, or none of which
// can be, by the least and the most of their colours, are not looked at pixel by pixel.
type SkyLight struct {
	W, H int
	// Zone is ZoneAbove where a pixel may be sky.
	Zone    []Zone
	Seed    []bool
	r, g, b []float32
	cells   []C.rl_sky_cell
	scratch []float32
}

// OpenSkyLimits tell open sky: over a square of 2 Half + 1 pixels, Half 4 at most, ln B has a
// variance under Variance; blue light is over Blue times green and red.
type OpenSkyLimits struct {
	Half           int
	Variance, Blue float32
}

// NewSkyLight looks at the picture's first rows, at least one pixel; dark is added to all
// light to keep logarithms finite.
func NewSkyLight(l *Linear, rows int, zone []Zone, dark float32, m OpenSkyLimits) *SkyLight {
	if m.Half > C.RL_BOX_MOST {
		panic("vision: sky: seeds told over more pixels than there is room for")
	}
	n, grid := rows*l.W, (l.W+SkyCellPx-1)/SkyCellPx
	s := &SkyLight{
		W: l.W, H: rows, Zone: zone[:n], Seed: make([]bool, n), r: make([]float32, n), g: make([]float32, n), b: make([]float32, n),
		cells: make([]C.rl_sky_cell, grid*((rows+SkyCellPx-1)/SkyCellPx)), scratch: make([]float32, (3*SkyCellPx+1)*grid),
	}
	held := make([]float32, C.rl_sky_floats(C.int(l.W), C.int(m.Half)))
	s.with(func(p *C.rl_sky_light) {
		C.rl_sky_look(floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), C.float(dark), C.int(m.Half), C.float(m.Variance), C.float(m.Blue),
			p, &s.cells[0], floatsOf(held))
	})
	return s
}

// with hands the light over to C, which may be handed Go pointers in Go memory only where they
// are pinned.
func (s *SkyLight) with(f func(*C.rl_sky_light)) {
	var pin runtime.Pinner
	defer pin.Unpin()
	for _, plane := range [3][]float32{s.r, s.g, s.b} {
		pin.Pin(&plane[0])
	}
	pin.Pin(&s.Zone[0])
	pin.Pin(&s.Seed[0])
	f(&C.rl_sky_light{
		r: floatsOf(s.r), g: floatsOf(s.g), b: floatsOf(s.b), zone: ucharsOf(s.Zone), seed: boolsOf(s.Seed), w: C.int(s.W), h: C.int(s.H),
	})
}

// SkyLimits are what the logarithms of a pixel's light, less those of the sky behind it,
// are held against. Green and red are counted over blue.
type SkyLimits struct {
	MinBlue, LowBlue, HighBlue, MostGreen, MostRed, NearGreen, NearRed float32
}

func (m SkyLimits) c() *C.rl_sky_limits {
	return &C.rl_sky_limits{C.float(m.MinBlue), C.float(m.LowBlue), C.float(m.HighBlue), C.float(m.MostGreen), C.float(m.MostRed), C.float(m.NearGreen), C.float(m.NearRed)}
}

// CellSums are, by cells of SkyCellPx a side, a number of pixels and the sums of their ln R,
// ln G and ln B.
type CellSums struct {
	N []float64
	C [3][]float64
}

// Seeds adds up the seeds.
func (s *SkyLight) Seeds() *CellSums { return s.sum(nil, SkyLimits{}) }

// Unseed takes the seeds out of a cell.
func (s *SkyLight) Unseed(cell int) {
	grid := (s.W + SkyCellPx - 1) / SkyCellPx
	left, top := cell%grid*SkyCellPx, cell/grid*SkyCellPx
	for y := top; y < min(top+SkyCellPx, s.H); y++ {
		clear(s.Seed[y*s.W+left : y*s.W+min(left+SkyCellPx, s.W)])
	}
	s.cells[cell].seeds, s.cells[cell].sure = 0, [3]C.double{}
}

// Near holds the pixels against the sky behind them: its ln R, ln G, ln B at the middles of
// the cells, row by row, straight between these and level beyond the outermost. It adds up
// the pixels near it, within all the near limits, and the seeds. Only pixels that may be sky
// are either.
func (s *SkyLight) Near(behind [][3]float32, m SkyLimits) *CellSums { return s.sum(behind, m) }

func (s *SkyLight) sum(behind [][3]float32, m SkyLimits) *CellSums {
	out := &CellSums{N: make([]float64, len(s.cells))}
	for k := range out.C {
		out.C[k] = make([]float64, len(s.cells))
	}
	var at *C.float
	if behind != nil {
		at = skyOf(behind)
	}
	limits := m.c()
	s.with(func(p *C.rl_sky_light) {
		C.rl_sky_near(p, &s.cells[0], at, limits, doublesOf(out.N), doublesOf(out.C[0]), doublesOf(out.C[1]), doublesOf(out.C[2]), floatsOf(s.scratch))
	})
	return out
}

// Mark puts SkyMark to sky, which is clear, for those pixels that may be sky whose light over
// the sky behind them (Near) is bluer than MinBlue and no greener and redder than the limits.
func (s *SkyLight) Mark(behind [][3]float32, m SkyLimits, sky []SideClass) {
	limits := m.c()
	s.with(func(p *C.rl_sky_light) {
		C.rl_sky_mark(p, &s.cells[0], skyOf(behind), limits, ucharsOf(sky), floatsOf(s.scratch))
	})
}

func skyOf(behind [][3]float32) *C.float { return (*C.float)(unsafe.Pointer(&behind[0])) }

// BlurGrid convolves a small grid w wide by one kernel along its rows and by another down
// its columns; both are symmetric, given whole. Outside the grid is nothing.
func BlurGrid(v []float64, w int, along, down []float64) []float64 {
	h := len(v) / w
	mid, out, scratch := make([]float64, len(v)), make([]float64, len(v)), make([]float64, 3*w)
	C.rl_blur_grid(doublesOf(v), C.int(w), C.int(h), doublesOf(along), C.int(len(along)), 0, doublesOf(mid), doublesOf(scratch))
	C.rl_blur_grid(doublesOf(mid), C.int(w), C.int(h), doublesOf(down), C.int(len(down)), 1, doublesOf(out), nil)
	return out
}
