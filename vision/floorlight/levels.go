package floorlight

import "math"

const (
	// sureShade and sureSun bound the mixture's fraction, averaged over
	// coreSigma grains, of patches that count as all shade or all sun. The
	// average keeps the choice from picking light and dark leaves.
	sureShade, sureSun = 0.10, 0.85
	// coreLeast is the least area of sure sun (and of sure shade), in square
	// grains: 25 cm2, one full fleck of the smallest gap that lets the whole sun
	// through a canopy of 4 to 5 m (37 to 47 mm across, and as much again of
	// penumbra; trade notes 1.6).
	coreLeast = 25.0
	// regionGrains is the reach of a region's own levels: 0.3 m, over which
	// shade and floor differ by little. regionPrior is what the photo's mean
	// level weighs against it, as a share of the region's pixels.
	regionGrains = 30.0
	regionPrior  = 0.02
	// LeastContrast: below 3 to 4 there is no direct sun to speak of, only haze or
	// cloud (trade notes 1.5). Light leaves and dark ones lift what is measured by
	// a little, hence not the lower end.
	LeastContrast = 3.5
)

// coreSigmas are the reaches of the average, in grains, tried in turn: flecks
// too small for the first may show at the second.
func coreSigmas() []float64 { return []float64{1.5, 0.8} }

// levels are the light of shade and of sun at each pixel.
type levels struct {
	shade, sun             *plane
	meanShade, meanSun     float64
	coreShade, coreSun     int
	contrast               float64 // of luminance
	shadeSpread, sunSpread float64
}

// findLevels returns the two lights; ok is false where one of them has no patch
// that is surely it, or the two are not LeastContrast apart.
func (s *scene) findLevels() (l levels, ok bool) {
	for _, sigma := range coreSigmas() {
		shade, sun := s.cores(sigma * s.grain)
		l.coreShade, l.coreSun = shade.count(), sun.count()
		least := coreLeast * s.grain * s.grain
		if float64(min(l.coreShade, l.coreSun)) < least {
			continue
		}
		l.meanShade, l.meanSun = s.light.mean(shade), s.light.mean(sun)
		l.contrast = s.lum.mean(sun) / math.Max(s.lum.mean(shade), 1e-6)
		if l.meanSun < LeastContrast*l.meanShade || l.contrast < LeastContrast {
			continue
		}
		l.shade, l.shadeSpread = s.regional(shade, l.meanShade)
		l.sun, l.sunSpread = s.regional(sun, l.meanSun)
		return l, true
	}
	return l, false
}

// cores returns the patches that are surely shade and surely sun.
func (s *scene) cores(sigma float64) (shade, sun *plane) {
	mean := s.mixFrac.smoothed(s.mask, sigma)
	shade, sun = newPlane(s.w, s.h), newPlane(s.w, s.h)
	for i, f := range mean.v {
		switch {
		case s.mask.v[i] == 0:
		case f < sureShade:
			shade.v[i] = 1
		case f > sureSun:
			sun.v[i] = 1
		}
	}
	return shade, sun
}

// regional returns the light of the patches near each pixel, drawn to the
// photo's mean where there are few, and its relative spread over the floor.
func (s *scene) regional(core *plane, mean float64) (*plane, float64) {
	sigma := regionGrains * s.grain
	num, den := s.light.times(core).blurred(sigma), core.blurred(sigma)
	var sum, square, n float64
	for i, d := range den.v {
		num.v[i] = (num.v[i] + float32(regionPrior*mean)) / (d + regionPrior)
		if s.mask.v[i] > 0 {
			v := float64(num.v[i])
			sum, square, n = sum+v, square+v*v, n+1
		}
	}
	if n == 0 || sum == 0 {
		return num, 0
	}
	m := sum / n
	return num, math.Sqrt(math.Max(square/n-m*m, 0)) / m
}

func (a *plane) count() int {
	n := 0
	for _, v := range a.v {
		if v > 0 {
			n++
		}
	}
	return n
}

// mean returns a's mean over the pixels of core; 0 without any.
func (a *plane) mean(core *plane) float64 {
	var sum, n float64
	for i, c := range core.v {
		if c > 0 {
			sum += float64(a.v[i])
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}
