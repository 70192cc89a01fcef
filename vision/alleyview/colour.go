package alleyview

import (
	"math"

	"rowlight/vision"
)

const (
	// skyBlue: sky, blue or white, sends about as much blue as green; leaf, soil
	// and bark send clearly less (reflectance rises from blue to red; leaves peak
	// in the green).
	skyBlue = 0.85
	// skyLight: open sky is at least this share of the brightest tenth above the
	// horizon; clearly blue light (skyVeryBlue) may be darker, down to skyDark.
	skyLight    = 0.35
	skyVeryBlue = 1.25
	skyDark     = 0.08
	darkFloor   = 1e-3 // keeps logarithms finite: 8-bit's third step
	pseudoCount = 2e-5 // a colour never seen votes for neither class
	mostOdds    = 4.0  // a single pixel never decides more than e^4 : 1
	leastSeed   = 200  // pixels of each class to learn from
)

// colourBins is the histogram of colour: ln(R/G) and ln(B/G) in steps of 0.1,
// ln(luminance) in steps of 0.75.
func colourBins() vision.ColourBins {
	return vision.ColourBins{
		Dark: darkFloor,
		Red:  vision.Bins{Low: -1.0, PerStep: 1 / 0.1, N: 24},
		Blue: vision.Bins{Low: -2.2, PerStep: 1 / 0.1, N: 24},
		Lum:  vision.Bins{Low: -6.0, PerStep: 1 / 0.75, N: 8},
	}
}

// findSky marks open sky above the horizon and near it, all of which lies in over; bright is
// the luminance that a tenth of the pixels above the horizon exceed.
func (v *View) findSky(over []zone, bright float64) {
	vision.RaiseSky(v.lin, vision.OpenSky{
		Blue: skyBlue, Lum: notOver(skyLight * bright), VeryBlue: skyVeryBlue, VeryBlueLum: notOver(skyDark * bright),
	}, below, aboveSky-above, over)
}

// notOver is the largest float32 that is not over a number: what exceeds one exceeds
// the other.
func notOver(x float64) float32 {
	f := float32(x)
	if float64(f) > x {
		f = math.Nextafter32(f, float32(math.Inf(-1)))
	}
	return f
}

// learnFloor learns how each colour votes below the horizon: the floor's colours are
// learned from the seed before the camera and from what is commoner below the horizon
// than above it, the canopy's from what stands above the horizon.
func (v *View) learnFloor() {
	count := vision.CountCells(v.zones, v.cell, int(zoneCount), colourBins().Cells())
	floor, nFloor := numbers(count[seed])
	canopy, nCanopy := numbers(count[above])
	low, _ := numbers(count[below])
	if nFloor < leastSeed || nCanopy < leastSeed {
		return
	}
	blurCells(floor)
	blurCells(canopy)
	blurCells(low)
	nSeed := nFloor
	nFloor += addShadedFloor(floor, canopy, low)
	v.vote = make([]float32, len(floor))
	var rightFloor, rightCanopy float64
	for c := range v.vote {
		odds := math.Log((canopy[c]/nCanopy + pseudoCount) / (floor[c]/nFloor + pseudoCount))
		v.vote[c] = float32(math.Max(-mostOdds, math.Min(mostOdds, odds)))
		switch {
		case v.vote[c] < 0:
			rightFloor += float64(count[seed][c])
		case v.vote[c] > 0:
			rightCanopy += float64(count[above][c])
		}
	}
	v.Separation = math.Max(0, rightFloor/nSeed+rightCanopy/nCanopy-1)
}

// numbers are counts and their sum.
func numbers(counts []uint32) (out []float64, sum float64) {
	out = make([]float64, len(counts))
	for i, n := range counts {
		out[i] = float64(n)
		sum += out[i]
	}
	return out, sum
}

// blurCells smooths the histogram by (1 2 1)/4 along each axis: neighbouring
// colours are one material.
func blurCells(h []float64) {
	src, bins := make([]float64, len(h)), colourBins()
	for _, axis := range [3]struct{ stride, n int }{{1, bins.Lum.N}, {bins.Lum.N, bins.Blue.N}, {bins.Lum.N * bins.Blue.N, bins.Red.N}} {
		copy(src, h)
		for line := 0; line < len(h); line += axis.stride * axis.n {
			for k := range axis.n {
				at := line + k*axis.stride
				back, on := at, at
				if k > 0 {
					back -= axis.stride
				}
				if k < axis.n-1 {
					on += axis.stride
				}
				for c := range axis.stride {
					h[at+c] = (src[back+c] + 2*src[at+c] + src[on+c]) / 4
				}
			}
		}
	}
}
