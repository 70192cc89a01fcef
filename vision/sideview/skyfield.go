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
	gw, gh int
	cell   [][3]float32
}

const (
	// leastSupport is the share of a cell's weight that must be sky before its
	// mean is believed; else the next wider mean is taken.
	leastSupport = 0.02
	alongAcross  = 6.0
	leastAcross  = 0.6 // cells
	widestAlong  = 64  // cells; 1024 px, past the picture's half
)

// newSkyField makes the field of the picture's upper h rows from what stands for sky.
func newSkyField(w, h int, support *vision.CellSums) *skyField {
	const cellPx = vision.SkyCellPx
	f := &skyField{gw: (w + cellPx - 1) / cellPx, gh: (h + cellPx - 1) / cellPx}
	f.cell = make([][3]float32, f.gw*f.gh)
	have := make([]bool, len(f.cell))
	for along := 1.0; along <= widestAlong && slices.Contains(have, false); along *= 2 {
		across := math.Max(leastAcross, along/alongAcross)
		t := blurred(support, f.gw, along, across)
		for i := range f.cell {
			if have[i] || t.N[i] <= leastSupport*cellPx*cellPx {
				continue
			}
			have[i] = true
			for k := range 3 {
				f.cell[i][k] = float32(t.C[k][i] / t.N[i])
			}
		}
	}
	f.fillFromAbove(have)
	return f
}

// blurred returns sums blurred by a Gauss of the given widths, in cells; weights add
// to 1, so that N stays a number of pixels per cell.
func blurred(s *vision.CellSums, gw int, along, across float64) *vision.CellSums {
	a, b := gaussKernel(along), gaussKernel(across)
	out := &vision.CellSums{N: vision.BlurGrid(s.N, gw, a, b)}
	for k := range s.C {
		out.C[k] = vision.BlurGrid(s.C[k], gw, a, b)
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
