package sideview

import (
	"math"
	"slices"

	"rowlight/vision"
)

// skyField is the sky's colour (ln R, ln G, ln B) at every pixel, also behind
// the leaves: the mean of the sky pixels around, from a coarse grid. A sky's
// colour changes with height above the horizon much faster than along it, so
// the means reach six times farther along the rows than across them.
type skyField struct {
	w, h   int
	gw, gh int
	cell   [][3]float32
}

const (
	cellPx = 16
	// leastSupport is the share of a cell's weight that must be sky before its
	// mean is believed; else the next wider mean is taken.
	leastSupport = 0.02
	alongAcross  = 6.0
	leastAcross  = 0.6 // cells
	widestAlong  = 64  // cells; 1024 px, past the picture's half
)

type cellSums struct {
	gw, gh int
	n      []float64
	c      [3][]float64
}

// newSkyField makes the field of the picture's upper h rows.
func newSkyField(w, h int, support []bool, light [3][]float32) *skyField {
	f := &skyField{w: w, h: h, gw: (w + cellPx - 1) / cellPx, gh: (h + cellPx - 1) / cellPx}
	f.cell = make([][3]float32, f.gw*f.gh)
	s := sumCells(f, support, light)
	have := make([]bool, len(f.cell))
	for along := 1.0; along <= widestAlong && slices.Contains(have, false); along *= 2 {
		across := math.Max(leastAcross, along/alongAcross)
		t := s.blurred(along, across)
		for i := range f.cell {
			if have[i] || t.n[i] <= leastSupport*cellPx*cellPx {
				continue
			}
			have[i] = true
			for k := range 3 {
				f.cell[i][k] = float32(t.c[k][i] / t.n[i])
			}
		}
	}
	f.fillFromAbove(have)
	return f
}

// sumCells adds up the support's pixels by cells.
func sumCells(f *skyField, support []bool, light [3][]float32) *cellSums {
	s := &cellSums{gw: f.gw, gh: f.gh}
	s.n, s.c = vision.SumCells(support[:f.w*f.h], light, f.w, cellPx)
	return s
}

// blurred returns the sums blurred by a Gauss of the given widths, in cells;
// weights add to 1, so that n stays a number of pixels per cell.
func (s *cellSums) blurred(along, across float64) *cellSums {
	out := &cellSums{gw: s.gw, gh: s.gh}
	a, b := gaussKernel(along), gaussKernel(across)
	out.n = vision.BlurGrid(s.n, s.gw, a, b)
	for k := range s.c {
		out.c[k] = vision.BlurGrid(s.c[k], s.gw, a, b)
	}
	return out
}

// fillFromAbove gives cells without any sky near them the colour of the cell
// above, the top ones that of the first believed cell.
func (f *skyField) fillFromAbove(have []bool) {
	var first [3]float32
	for i, ok := range have {
		if ok {
			first = f.cell[i]
			break
		}
	}
	for i := range f.cell {
		switch {
		case have[i]:
		case i >= f.gw:
			f.cell[i] = f.cell[i-f.gw]
		default:
			f.cell[i] = first
		}
	}
}

// row fills the field's cells interpolated for pixel row y.
func (f *skyField) row(y int, cells [][3]float32) {
	g := (float64(y)+0.5)/cellPx - 0.5
	y0 := min(max(int(math.Floor(g)), 0), f.gh-1)
	y1 := min(y0+1, f.gh-1)
	t := float32(math.Min(1, math.Max(0, g-float64(y0))))
	for x := range cells {
		a, b := f.cell[y0*f.gw+x], f.cell[y1*f.gw+x]
		for k := range 3 {
			cells[x][k] = a[k] + t*(b[k]-a[k])
		}
	}
}
