package stereo

import (
	"math"

	"rowlight/vision"
)

// alikeHalfPx is the half width of the neighbourhood that is compared: half a leaf
// at 6 m.
const alikeHalfPx = 3

// Alike returns how well each pixel's neighbourhood matches that at its disparity in
// the second view: the correlation of their codes, -1 to 1; NaN without a disparity
// or at the edge. What one view alone sees, beside what hides it from the other, has
// no match, and the disparity that a matcher gives it for its neighbours' sake
// correlates with nothing.
func Alike(first, second *Grey, d *vision.Raster, rightward bool) *vision.Raster {
	out := vision.NewRaster(first.W, first.H)
	for y := range first.H {
		for x := range first.W {
			i := y*first.W + x
			move := -math.Round(float64(d.V[i]))
			if rightward {
				move = -move
			}
			out.V[i] = float32(correlation(first, second, x, y, move))
		}
	}
	return out
}

// correlation compares the neighbourhood of a pixel with that moved along the row.
func correlation(a, b *Grey, x, y int, move float64) float64 {
	const h = alikeHalfPx
	if math.IsNaN(move) || y < h || y >= a.H-h || x < h || x >= a.W-h {
		return math.NaN()
	}
	to := x + int(move)
	if to < h || to >= b.W-h {
		return math.NaN()
	}
	var n, sa, sb, saa, sbb, sab int
	for dy := -h; dy <= h; dy++ {
		ra, rb := a.Pix[(y+dy)*a.W+x-h:][:2*h+1], b.Pix[(y+dy)*b.W+to-h:][:2*h+1]
		for k := range ra {
			u, v := int(ra[k]), int(rb[k])
			sa, sb, saa, sbb, sab = sa+u, sb+v, saa+u*u, sbb+v*v, sab+u*v
		}
		n += len(ra)
	}
	va, vb := float64(n*saa-sa*sa), float64(n*sbb-sb*sb)
	if va <= 0 || vb <= 0 {
		return 0
	}
	return float64(n*sab-sa*sb) / math.Sqrt(va*vb)
}
