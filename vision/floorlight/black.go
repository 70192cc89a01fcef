package floorlight

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	// mostContrast: the deepest shade that a clear day leaves under a dense canopy
	// is 1/31 of the sun (trade notes 1.5, the darkest case). A patch darker than
	// that against the darker floor at the board, which at best is in the sun, is
	// lit by nothing: the near side of a limb or of a leaf before the lens.
	mostContrast = 35.0
	// darkQuantile of the floor at the board stands for its darker parts.
	darkQuantile = 0.25
	// blackLight keeps the log of no light finite; blackLow is that log.
	blackLight = 1e-6
	blackLow   = -14.0
)

// black marks patches too dark to be floor, by the light that the codes stand for
// without the camera's curve: turned round, a curve's toe lifts black to grey. It gives
// nil without any.
func (s *scene) black(centre calibrate.Pixel, tone toneCurve) []bool {
	lum := s.plane(0)
	s.smooth(1, s.lum(lum, blackLight))
	t := vision.NewTally(blackLow, 0)
	s.near(centre, referenceGrains*s.grain, func(from, to int) { t.Add(lum[from:to], s.floor[from:to]) })
	n := t.Count()
	if float64(n) < referenceLeast*s.grain*s.grain {
		return nil
	}
	dark := math.Exp(t.Rank(int(darkQuantile*float64(n)))) - blackLight
	least := math.Log(tone.curved(tone.plain(dark)/mostContrast) + blackLight)
	return s.large(vision.Mark(lum, vision.Range{Over: below, Under: float32(least)}, lum, anything, s.floor, s.mask(0)), strangeLeast, 1, s.mask(1))
}

// below lies under every light, and anything holds all of it.
const below = -math.MaxFloat32

var anything = vision.Range{Over: below, Under: math.MaxFloat32}

// large takes the large parts of the first mask to work in, n marks of it, and swells
// them into out: least in square grains, swell in grains. It gives nil without any.
func (s *scene) large(n int, least, swell float64, out []bool) []bool {
	leastPx := int(least * s.grain * s.grain)
	if n == 0 || n < leastPx || !grownParts(s.mask(0), s.w, leastPx, int(math.Round(swell*s.grain)), out) {
		return nil
	}
	return out
}
