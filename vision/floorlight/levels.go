package floorlight

import (
	"math"

	"rowlight/vision"
)

const (
	// sureShade: patches whose mixture says no more than this are all shade.
	sureShade = 0.10
	// halfSun: more than this is more sun than shade.
	halfSun = 0.5
	// coreLeast is the least area of sun (and of shade) to tell two lights by, in
	// square grains: 25 cm2, one full fleck of the smallest gap that lets the whole
	// sun through a canopy of 4 to 5 m (37 to 47 mm across, and as much again of
	// penumbra; trade notes 1.6).
	coreLeast = 25.0
	// regionGrains is the reach of a region's own shade: 0.3 m, over which shade
	// and floor differ by little. regionPrior is what the photo's mean weighs
	// against it, as a share of the region's pixels.
	regionGrains = 30.0
	regionPrior  = 0.02
	// LeastContrast: below about 3 there is no direct sun to speak of, only haze or
	// cloud (trade notes 1.5).
	LeastContrast = 2.8
	// leastWarmth: direct sun is warmer than what lights the shade, and a camera's
	// white balance moves both alike. The sun at 5000 to 5800 K beside a clear sky
	// of 10 000 K and more, or a hazy one of 7000 K, gives a log ratio of red to blue
	// of 0.4 to 1.0 between them; a cloud's light has one colour (0.2 by the green
	// of leaves above, the brown of bark beside).
	leastWarmth = 0.27
	// warmMost: light beyond it is on the curve's shoulder and has lost its colour.
	warmMost = 0.85
)

// lights are what the mixture found, counted and coloured.
type lights struct {
	shade, sun int     // pixels of sure shade and of more sun than shade
	contrast   float64 // sun over shade
	warmth     float64 // log of red to blue in the sun over the same in the shade
}

// sums adds up the fitted floor's shade and sun.
func (s *scene) sums() vision.FloorLights {
	return s.lin.FloorLights(s.floor, s.mixFrac, sureShade, halfSun, warmMost)
}

// lights counts the two lights of the fitted floor.
func (s *scene) lights() lights {
	sum := s.sums()
	const dark = 1e-3
	shade, sun := sum.Colour[0], sum.Colour[1]
	return lights{
		shade: sum.Count[0], sun: sum.Count[1],
		contrast: math.Exp(s.mix.sun - s.mix.shade),
		warmth:   math.Log((sun[0] + dark) / (sun[2] + dark) * (shade[2] + dark) / (shade[0] + dark)),
	}
}

// two tells whether sun and shade are both there.
func (l lights) two(grain float64) bool {
	return l.shown(grain) && l.contrast >= LeastContrast && l.warmth >= leastWarmth
}

// shown tells whether there is enough of both.
func (l lights) shown(grain float64) bool {
	return float64(min(l.shade, l.sun)) >= coreLeast*grain*grain
}
