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
	// A cell is open sky where its seeds fill openCell of it; seeds of less than seedLight
	// of the blue light that open sky has there are shaded leaves that mirror it.
	openCell, seedLight = 0.5, 1.0 / 3
	leastSeedShare      = 0.002 // of the pixels above the horizon; fewer are glints, posts, labels
	darkFloor           = 1e-4  // keeps logarithms finite; a third of 8-bit's first step
)

// findSky marks the sky's pixels in sky, which is clear, and returns the share of open sky.
func findSky(l *vision.Linear, zone []vision.Zone, sky []Class) (seedShare float64) {
	all := vision.CountMarks(zone, vision.ZoneAbove)
	if all == 0 {
		return 0
	}
	rows := skyRows(l, zone)
	light := vision.NewSkyLight(l, rows, zone, darkFloor, vision.OpenSkyLimits{Half: seedHalfPx, Variance: seedSmooth * seedSmooth, Blue: seedBlue})
	support, n := light.Seeds(), 0.0
	for _, seeds := range support.N {
		n += seeds
	}
	if n < leastSeedShare*float64(all) {
		return 0
	}
	dropLeaves(light, support)
	limits := vision.SkyLimits{
		MinBlue: float32(math.Log(skyHalf)), LowBlue: float32(math.Log(nearLow)), HighBlue: float32(math.Log(nearHigh)),
		MostGreen: skyGreener, MostRed: skyRedder, NearGreen: nearGreen, NearRed: nearRed,
	}
	for range skyRounds - 1 {
		support = light.Near(newSkyField(l.W, rows, support).cell, limits)
	}
	light.Mark(newSkyField(l.W, rows, support).cell, limits, sky)
	return n / float64(all)
}

// dropLeaves takes away the seeds, in their cells' sums, that are too dark to be sky. A crown near by
// shows many: its shaded leaves are smooth, and as blue as the sky that they mirror.
func dropLeaves(light *vision.SkyLight, seeds *vision.CellSums) {
	open, ok := openSky(seeds)
	if !ok {
		return
	}
	field := newSkyField(light.W, light.H, open)
	for i, n := range seeds.N {
		if n == 0 || lnBlue(seeds, i) >= float64(field.cell[i][2])+math.Log(seedLight) {
			continue
		}
		seeds.N[i] = 0
		for k := range seeds.C {
			seeds.C[k][i] = 0
		}
		light.Unseed(i)
	}
}

// openSky is of seeds those of cells that are open sky, and not dark beside the most of these; ok
// is false where there are none.
func openSky(seeds *vision.CellSums) (open *vision.CellSums, ok bool) {
	var blue []float64
	isOpen := func(i int) bool { return seeds.N[i] >= openCell*vision.SkyCellPx*vision.SkyCellPx }
	for i := range seeds.N {
		if isOpen(i) {
			blue = append(blue, lnBlue(seeds, i))
		}
	}
	if len(blue) == 0 {
		return nil, false
	}
	slices.Sort(blue)
	least := blue[len(blue)/2] + math.Log(seedLight)
	open = &vision.CellSums{N: make([]float64, len(seeds.N))}
	for k := range open.C {
		open.C[k] = make([]float64, len(seeds.N))
	}
	for i, n := range seeds.N {
		if !isOpen(i) || lnBlue(seeds, i) < least {
			continue
		}
		open.N[i] = n
		for k := range open.C {
			open.C[k][i] = seeds.C[k][i]
		}
	}
	return open, true
}

// lnBlue is the mean logarithm of blue light in a cell.
func lnBlue(s *vision.CellSums, cell int) float64 { return s.C[2][cell] / s.N[cell] }

// skyRows is how many rows of the picture, from its top, may hold sky, and a cell
// of the sky's field more.
func skyRows(l *vision.Linear, zone []vision.Zone) int {
	last := len(zone) - 1
	for last >= 0 && zone[last] != vision.ZoneAbove {
		last--
	}
	return min(last/l.W+1+vision.SkyCellPx, l.H)
}
