package sideview

import (
	"math"

	"rowlight/vision"
)

// boxMean averages v in place over (2 half + 1)^2 pixels, fewer at the edges.
func boxMean(v []float32, w, h, half int) {
	kernel := make([]float32, half+1)
	for i := range kernel {
		kernel[i] = 1 / float32(2*half+1)
	}
	vision.Convolve(v, w, kernel)
	for d := range half { // what lies outside was taken for nothing
		kx, ky := missing(w, half, d), missing(h, half, d)
		for y := range h {
			v[y*w+min(d, w-1)] *= kx
			if w-1-d > d {
				v[y*w+w-1-d] *= kx
			}
		}
		for x := range w {
			v[min(d, h-1)*w+x] *= ky
			if h-1-d > d {
				v[(h-1-d)*w+x] *= ky
			}
		}
	}
}

// missing is the width of a box over what of it lies in a line of n, d pixels from its end.
func missing(n, half, d int) float32 {
	if d >= n {
		return 1
	}
	return float32(2*half+1) / float32(min(n-1, d+half)-max(0, d-half)+1)
}

// gaussKernel reaches three standard deviations, its middle at len/2.
func gaussKernel(sd float64) []float64 {
	half := int(math.Ceil(3 * sd))
	k := make([]float64, 2*half+1)
	for i := range k {
		d := float64(i-half) / sd
		k[i] = math.Exp(-d * d / 2)
	}
	return k
}
