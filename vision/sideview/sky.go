package sideview

import (
	"math"
	"slices"

	"rowlight/vision"
)

const (
	// seedSmooth is the most that the logarithm of blue light may vary (standard
	// deviation over 5 x 5 px) in open sky: a clear or clouded sky changes by a
	// few per cent there, leaves by a factor.
	seedSmooth = 0.06
	seedHalfPx = 2
	// seedBlue: sky, blue or white, sends at least about as much blue as green
	// or red; leaf, soil and bark send less (reflectance rises from blue to red,
	// leaves peak in the green).
	seedBlue = 0.85
	// skyHalf: a pixel that holds more than half the blue light of the sky behind
	// it is more sky than leaf: linear unmixing of a leaf that is nearly black in
	// the blue (about 5 % reflectance) against a bright sky.
	skyHalf = 0.5
	// skyGreener and skyRedder: the most that ln(G/B), ln(R/B) may exceed the
	// sky's. A sunlit leaf is above by 1 and more; mixed pixels lie between.
	skyGreener, skyRedder = 0.5, 0.8
	// Support of the next, better sky field: pixels close to the present one.
	nearLow, nearHigh  = 0.75, 1.6
	nearGreen, nearRed = 0.3, 0.45
	skyRounds          = 4
	leastSeedShare     = 0.002 // of the pixels above the horizon; fewer are glints, posts, labels
	darkFloor          = 1e-4  // keeps logarithms finite; a third of 8-bit's first step
)

// findSky marks the sky's pixels and returns the share of open sky.
func findSky(l *vision.Linear, z []zone, ln *vision.Ln) (sky []bool, seedShare float64) {
	sky = make([]bool, l.W*l.H)
	seed, lb := seedsOf(l, z, ln)
	n, all := 0, 0
	for i := range seed {
		if z[i] == above {
			all++
			if seed[i] {
				n++
			}
		}
	}
	if all == 0 || float64(n) < leastSeedShare*float64(all) {
		return sky, 0
	}
	lr, lg := logOf(l.R[:len(lb)], ln), logOf(l.G[:len(lb)], ln)
	support := seed
	for range skyRounds {
		field := newSkyField(l.W, len(lb)/l.W, support, lr, lg, lb)
		support = matchSky(field, seed, sky, z, lr, lg, lb)
	}
	return sky, float64(n) / float64(all)
}

// matchSky fills sky from the field, and returns the pixels that the next field
// may stand on.
func matchSky(f *skyField, seed, sky []bool, z []zone, lr, lg, lb []float32) []bool {
	next := make([]bool, len(sky))
	minB, lowB, highB := float32(math.Log(skyHalf)), float32(math.Log(nearLow)), float32(math.Log(nearHigh))
	between := f.between()
	cells := make([][3]float32, f.gw)
	for y := range f.h {
		f.row(y, cells)
		for x := range f.w {
			i := y*f.w + x
			if z[i] != above {
				continue
			}
			m := between[x].of(cells)
			b := lb[i] - m[2]
			green, red := lg[i]-m[1]-b, lr[i]-m[0]-b
			sky[i] = b > minB && green < skyGreener && red < skyRedder
			next[i] = seed[i] || (b > lowB && b < highB && abs32(green) < nearGreen && abs32(red) < nearRed)
		}
	}
	return next
}

func abs32(v float32) float32 {
	if v < 0 {
		return -v
	}
	return v
}

func logOf(v []float32, ln *vision.Ln) []float32 {
	out := make([]float32, len(v))
	for i, x := range v {
		out[i] = float32(ln.Of(float64(x) + darkFloor))
	}
	return out
}

// skyRows is how many rows of the picture, from its top, may hold sky, and a cell
// of the sky's field more.
func skyRows(l *vision.Linear, z []zone) int {
	for i := len(z) - 1; i >= 0; i-- {
		if z[i] == above {
			return min(i/l.W+1+cellPx, l.H)
		}
	}
	return 0
}

// seedsOf marks smooth, not green pixels above the horizon. lb is ln B, of the rows
// that were looked at.
func seedsOf(l *vision.Linear, z []zone, ln *vision.Ln) (seed []bool, lb []float32) {
	rows := skyRows(l, z)
	lb = logOf(l.B[:rows*l.W], ln)
	mean, mean2 := slices.Clone(lb), make([]float32, len(lb))
	for i, v := range lb {
		mean2[i] = v * v
	}
	boxMean(mean, l.W, rows, seedHalfPx)
	boxMean(mean2, l.W, rows, seedHalfPx)
	seed = make([]bool, len(z))
	for i := range lb {
		v := mean2[i] - mean[i]*mean[i]
		seed[i] = z[i] == above && v < seedSmooth*seedSmooth &&
			l.B[i] > seedBlue*l.G[i] && l.B[i] > seedBlue*l.R[i]
	}
	return seed, lb
}
