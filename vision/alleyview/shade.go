package alleyview

import (
	"cmp"
	"math"
	"slices"

	"rowlight/calibrate"
)

// addShadedFloor adds to the floor's colours those that are not in its seed
// (litter under the trees, shade): canopy has about the same colours under the
// level line as over it, so what lies under the line in excess of the canopy's
// colours is floor. It returns how much was added.
//
// With low = floor + s canopy, s is taken at the canopy's commonest colours as if
// no floor had them: too much, so that less is added to the floor rather than more.
func addShadedFloor(floor, canopy, low []float64) float64 {
	s := medianRatio(low, canopy)
	var added float64
	for c := range floor {
		if more := low[c] - s*canopy[c]; more > 0 {
			floor[c] += more
			added += more
		}
	}
	return added
}

// medianRatio is the median of a over b, weighted by b.
func medianRatio(a, b []float64) float64 {
	type cell struct{ ratio, weight float64 }
	var cells []cell
	var sum float64
	for c := range b {
		if b[c] > 0 {
			cells = append(cells, cell{a[c] / b[c], b[c]})
			sum += b[c]
		}
	}
	slices.SortFunc(cells, func(p, q cell) int { return cmp.Compare(p.ratio, q.ratio) })
	var seen float64
	for _, c := range cells {
		if seen += c.weight; seen >= sum/2 {
			return c.ratio
		}
	}
	return 0
}

// FloorLight is the ln luminance of the floor round a pixel of the photo, averaged
// over halfPx to each side; ok is false where it shows no floor.
func (v *View) FloorLight(p calibrate.Pixel, halfPx float64) (ln float64, ok bool) {
	if c, ok := v.AtPhoto(p); !ok || c != Floor {
		return 0, false
	}
	perPx := 1 / float64(v.Factor)
	x, y := (p.X+0.5)*perPx, int(math.Floor((p.Y+0.5)*perPx))
	lo, hi := int(math.Floor(x-halfPx*perPx)), int(math.Floor(x+halfPx*perPx))
	if y < 1 || y >= v.H-1 || lo < 0 || hi >= v.W {
		return 0, false
	}
	rows := v.rows(y - 1)
	for row := y - 1; row <= y+1; row++ {
		ln += rows.MeanLight(row, lo, hi) / 3
	}
	return ln, true
}
