package floorlight

import "rowlight/vision"

// scene is the floor's light, ready to be split.
type scene struct {
	w, h    int
	grain   float64            // px of 10 mm
	mask    *plane             // 1 on floor
	masks   map[float64]*plane // mask, blurred by sigma
	grained *plane             // texture, while the mask stays
	count   int
	light   *plane // green and blue, each over its mean on the floor, averaged
	lum     *plane // luminance
	logV    *plane // log of light smoothed at the grain's scale
	mix     mixture
	lin     *vision.Linear
	mixFrac *plane // the mixture's expected fraction
}

// logFloor keeps the log of black finite: 1/500 of the floor's mean light.
const logFloor = 0.002

func newScene(lin *vision.Linear, floor *vision.Mask, grain float64) *scene {
	s := &scene{lin: lin, w: lin.W, h: lin.H, grain: grain, light: newPlane(lin.W, lin.H), lum: newPlane(lin.W, lin.H)}
	s.restrict(floor)
	var g, b float64
	for i, m := range s.mask.v {
		if m > 0 {
			g += float64(lin.G[i])
			b += float64(lin.B[i])
		}
	}
	if s.count == 0 || g == 0 || b == 0 {
		s.count = 0
		return s
	}
	kg, kb := float32(0.5*float64(s.count)/g), float32(0.5*float64(s.count)/b)
	for i := range s.light.v {
		s.light.v[i] = kg*lin.G[i] + kb*lin.B[i]
		s.lum.v[i] = lin.Lum(i)
	}
	return s
}

// restrict sets what counts as floor.
func (s *scene) restrict(floor *vision.Mask) {
	s.mask, s.masks, s.grained, s.count = newPlane(s.w, s.h), map[float64]*plane{}, nil, 0
	for i, in := range floor.In {
		if in {
			s.mask.v[i] = 1
			s.count++
		}
	}
}

// fitGrains is what the light is smoothed over before it is fitted, in grains. More
// lets the rims of flecks pass for penumbra (practice photos, mean error: 2.4 points at
// 1.6 grains, 1.4 at 0.7, 1.2 here).
const fitGrains = 0.45

// smooth takes the light that is fitted.
func (s *scene) smooth() {
	s.logV = s.smoothed(s.light, fitGrains*s.grain)
	vision.LnAll(s.logV.v, logFloor, s.logV.v)
}

// smoothed returns the mean of a over the floor under a gaussian; where there is no
// floor in reach it is 0.
func (s *scene) smoothed(a *plane, sigma float64) *plane {
	den := s.masks[sigma]
	if den == nil {
		den = s.mask.blurred(sigma)
		s.masks[sigma] = den
	}
	num := a.times(s.mask)
	num.blur(sigma)
	return num.over(den)
}

// fit splits the smoothed light into shade, sun and penumbra; the second round
// measures each pixel against the shade near it.
func (s *scene) fit() {
	level := newPlane(s.w, s.h)
	for round := range fitRounds {
		on := make([]float32, 0, s.count)
		for i, v := range s.logV.v {
			if s.mask.v[i] > 0 {
				on = append(on, v-level.v[i])
			}
		}
		s.mix = fitMixture(on)
		table := s.mix.table()
		s.mixFrac = newPlane(s.w, s.h)
		for i, v := range s.logV.v {
			s.mixFrac.v[i] = table.at(v - level.v[i])
		}
		if round+1 < fitRounds {
			level = s.shadeLevel()
		}
	}
}

// fitRounds: the shade's own unevenness is known after one.
const fitRounds = 2

// shadeLevel is the log of the shade's light near each pixel over its mean.
func (s *scene) shadeLevel() *plane {
	num, den := newPlane(s.w, s.h), newPlane(s.w, s.h)
	var sum, n float64
	for i, m := range s.mask.v {
		f := s.mixFrac.v[i]
		if m == 0 || f > sureShade {
			continue
		}
		den.v[i] = 1
		num.v[i] = s.logV.v[i]
		sum, n = sum+float64(s.logV.v[i]), n+1
	}
	if n == 0 {
		return newPlane(s.w, s.h)
	}
	mean := float32(sum / n)
	sigma := regionGrains * s.grain
	num.blur(sigma)
	den.blur(sigma)
	for i, d := range den.v {
		num.v[i] = (num.v[i]+regionPrior*mean)/(d+regionPrior) - mean
	}
	return num
}
