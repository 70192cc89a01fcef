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
	// Histogram of colour: ln(R/G), ln(B/G) and ln(luminance) in steps, each
	// from its low end; values beyond fall in the end bins.
	ratioBins, lumBins = 24, 8
	redLow, redStep    = -1.0, 0.1
	blueLow, blueStep  = -2.2, 0.1
	lumLow, lumStep    = -6.0, 0.75
	darkFloor          = 1e-3 // keeps logarithms finite: 8-bit's third step
	cellCount          = ratioBins * ratioBins * lumBins
	blurPasses         = 1
	pseudoCount        = 2e-5 // a colour never seen votes for neither class
	mostOdds           = 4.0  // a single pixel never decides more than e^4 : 1
	oddsHalfPx         = 1    // votes are pooled over 3 x 3 px, under a leaf's width
	leastSeed          = 200  // pixels of each class to learn from
)

// findSky marks open sky above the horizon and near it.
func findSky(l *vision.Linear, z []zone) []bool {
	bright := topTenth(l, z)
	sky := make([]bool, len(z))
	for i := range z {
		if z[i] != above && z[i] != near {
			continue
		}
		r, g, b, lum := l.R[i], l.G[i], l.B[i], float64(l.Lum(i))
		white := b > skyBlue*g && b > skyBlue*r && lum > skyLight*bright
		blue := b > skyVeryBlue*g && b > skyVeryBlue*r && lum > skyDark*bright
		sky[i] = white || blue
	}
	return sky
}

// topTenth is the luminance that a tenth of the pixels above the horizon exceed.
func topTenth(l *vision.Linear, z []zone) float64 {
	const bins = 1000
	var hist [bins + 1]int
	n := 0
	for i := range z {
		if z[i] == above {
			hist[int(float64(min(1, l.Lum(i)))*bins)]++
			n++
		}
	}
	seen := 0
	for b := bins; b > 0; b-- {
		if seen += hist[b]; seen > n/10 {
			return float64(b) / bins
		}
	}
	return 0
}

// learnFloor fills Odds below the horizon: the floor's colours are learned from
// the seed before the camera and from what is commoner below the horizon than
// above it, the canopy's from what stands above the horizon.
func (v *View) learnFloor(cell []int32, z []zone, sky []bool) {
	floor, canopy, low := make([]float64, cellCount), make([]float64, cellCount), make([]float64, cellCount)
	var nFloor, nCanopy float64
	for i := range z {
		switch {
		case z[i] == seed:
			floor[cell[i]]++
			nFloor++
		case z[i] == above && !sky[i]:
			canopy[cell[i]]++
			nCanopy++
		case z[i] == below:
			low[cell[i]]++
		}
	}
	if nFloor < leastSeed || nCanopy < leastSeed {
		return
	}
	for range blurPasses {
		blurCells(floor)
		blurCells(canopy)
		blurCells(low)
	}
	nSeed := nFloor
	nFloor += addShadedFloor(floor, canopy, low)
	vote := make([]float32, cellCount)
	for c := range vote {
		odds := math.Log((canopy[c]/nCanopy + pseudoCount) / (floor[c]/nFloor + pseudoCount))
		vote[c] = float32(math.Max(-mostOdds, math.Min(mostOdds, odds)))
	}
	for i := range z {
		if z[i] != above && z[i] != sheet {
			v.Odds[i] = vote[cell[i]]
		}
	}
	vision.BoxMean(v.Odds, v.W, oddsHalfPx)
	var right float64
	for i := range z {
		switch {
		case z[i] == seed && vote[cell[i]] < 0:
			right += 0.5 / nSeed
		case z[i] == above && !sky[i] && vote[cell[i]] > 0:
			right += 0.5 / nCanopy
		}
	}
	v.Separation = math.Max(0, 2*right-1)
}

// logs are a picture's ln R, ln G, ln B and ln luminance, dark added to keep them finite.
type logs struct{ r, g, b, lum []float32 }

func logsOf(l *vision.Linear, dark float32) logs {
	n := len(l.G)
	out := logs{make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)}
	vision.LnAll(l.R, dark, out.r)
	vision.LnAll(l.G, dark, out.g)
	vision.LnAll(l.B, dark, out.b)
	for i := range out.lum {
		out.lum[i] = l.Lum(i)
	}
	vision.LnAll(out.lum, dark, out.lum)
	return out
}

// colourCells finds each pixel's cell in the histogram of colour.
func colourCells(l *vision.Linear) []int32 {
	ln := logsOf(l, darkFloor)
	cell := make([]int32, len(l.G))
	for i, g := range ln.g {
		r, b := bin(float64(ln.r[i]-g), redLow, 1/redStep, ratioBins), bin(float64(ln.b[i]-g), blueLow, 1/blueStep, ratioBins)
		cell[i] = int32((r*ratioBins+b)*lumBins + bin(float64(ln.lum[i]), lumLow, 1/lumStep, lumBins))
	}
	return cell
}

func bin(v, low, perStep float64, n int) int {
	return min(max(int((v-low)*perStep), 0), n-1) // under the low end it rounds up to 0, the same bin
}

// blurCells smooths the histogram by (1 2 1)/4 along each axis: neighbouring
// colours are one material.
func blurCells(h []float64) {
	for _, axis := range [3]struct{ stride, n int }{{1, lumBins}, {lumBins, ratioBins}, {lumBins * ratioBins, ratioBins}} {
		src := append([]float64(nil), h...)
		for c := range h {
			k := c / axis.stride % axis.n
			lo, hi := c, c
			if k > 0 {
				lo = c - axis.stride
			}
			if k < axis.n-1 {
				hi = c + axis.stride
			}
			h[c] = (src[lo] + 2*src[c] + src[hi]) / 4
		}
	}
}
