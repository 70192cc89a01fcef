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
func findSky(l *vision.Linear, z []zone) (sky []bool, seedShare float64) {
	sky = make([]bool, l.W*l.H)
	seed, lb := seedsOf(l, z)
	may := make([]bool, len(z))
	n, all := 0, 0
	for i := range seed {
		if z[i] == above {
			may[i] = true
			all++
			if seed[i] {
				n++
			}
		}
	}
	if all == 0 || float64(n) < leastSeedShare*float64(all) {
		return sky, 0
	}
	light := [3][]float32{logOf(l.R[:len(lb)]), logOf(l.G[:len(lb)]), lb}
	support := seed
	for range skyRounds {
		field := newSkyField(l.W, len(lb)/l.W, support, light)
		support = matchSky(field, seed, sky, may, light)
	}
	return sky, float64(n) / float64(all)
}

// matchSky fills sky from the field, and returns the pixels that the next field
// may stand on.
func matchSky(f *skyField, seed, sky, may []bool, light [3][]float32) []bool {
	next := make([]bool, len(sky))
	limits := vision.SkyLimits{
		MinBlue: float32(math.Log(skyHalf)), LowBlue: float32(math.Log(nearLow)), HighBlue: float32(math.Log(nearHigh)),
		MostGreen: skyGreener, MostRed: skyRedder, NearGreen: nearGreen, NearRed: nearRed,
	}
	cells := make([][3]float32, f.gw)
	var behind, here [3][]float32
	for k := range behind {
		behind[k] = make([]float32, f.w)
	}
	for y := range f.h {
		f.row(y, cells)
		vision.SpreadCells(cells, cellPx, behind)
		lo, hi := y*f.w, (y+1)*f.w
		for k := range light {
			here[k] = light[k][lo:hi]
		}
		vision.MatchSky(may[lo:hi], seed[lo:hi], here, behind, limits, sky[lo:hi], next[lo:hi])
	}
	return next
}

func logOf(v []float32) []float32 {
	out := make([]float32, len(v))
	vision.LnAll(v, darkFloor, out)
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
func seedsOf(l *vision.Linear, z []zone) (seed []bool, lb []float32) {
	rows := skyRows(l, z)
	lb = logOf(l.B[:rows*l.W])
	mean, mean2 := slices.Clone(lb), make([]float32, len(lb))
	for i, v := range lb {
		mean2[i] = v * v
	}
	vision.BoxMean(mean, l.W, seedHalfPx)
	vision.BoxMean(mean2, l.W, seedHalfPx)
	seed = make([]bool, len(z))
	for i := range lb {
		v := mean2[i] - mean[i]*mean[i]
		seed[i] = z[i] == above && v < seedSmooth*seedSmooth &&
			l.B[i] > seedBlue*l.G[i] && l.B[i] > seedBlue*l.R[i]
	}
	return seed, lb
}
