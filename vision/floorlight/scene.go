package floorlight

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// scene is the floor's light, ready to be split. Rasters are plain slices of w x h; what
// lies off the floor in them means nothing.
type scene struct {
	w, h     int
	grain    float64 // px of 10 mm
	floor    []bool
	count    int // of floor
	lin      *vision.Linear
	kg, kb   float32   // of green and blue in the light: each over its mean on the floor, averaged
	logV     []float32 // log of light smoothed at the grain's scale
	mix      mixture
	mixFrac  []float32 // the mixture's expected fraction
	fine     []float32 // room for the texture
	grained  []float32 // that texture, while the floor stays
	smoother vision.Smoother
	work     [workPlanes][]float32
	marks    [3][]bool
}

// workPlanes are rasters to work in, taken when first wanted: whoever calls another that
// works in them has taken what it needs from its own.
const workPlanes = 4

// logFloor keeps the log of black finite: 1/500 of the floor's mean light.
const logFloor = 0.002

func newScene(lin *vision.Linear, floor *vision.Mask, ends vision.FloorEnds, grain float64) *scene {
	s := &scene{lin: lin, w: lin.W, h: lin.H, grain: grain, floor: floor.In, count: ends.Count}
	if s.count == 0 || ends.Green == 0 || ends.Blue == 0 {
		s.count = 0
		return s
	}
	s.kg, s.kb = float32(0.5*float64(s.count)/ends.Green), float32(0.5*float64(s.count)/ends.Blue)
	s.mixFrac, s.logV = make([]float32, s.w*s.h), make([]float32, s.w*s.h)
	return s
}

// plane is the k-th raster to work in.
func (s *scene) plane(k int) []float32 {
	if s.work[k] == nil {
		s.work[k] = make([]float32, s.w*s.h)
	}
	return s.work[k]
}

// mask is the k-th set of pixels to work in.
func (s *scene) mask(k int) []bool {
	if s.marks[k] == nil {
		s.marks[k] = make([]bool, s.w*s.h)
	}
	return s.marks[k]
}

// light is the floor's light, to be smoothed into out.
func (s *scene) light(out []float32, above float32) vision.Source {
	return vision.Source{Plane: [3][]float32{s.lin.G, s.lin.B}, K: [3]float32{s.kg, s.kb}, LnAbove: above, Out: out}
}

// lum is its luminance.
func (s *scene) lum(out []float32, above float32) vision.Source {
	return vision.Source{Plane: [3][]float32{s.lin.R, s.lin.G, s.lin.B}, K: [3]float32{vision.LumaR, vision.LumaG, vision.LumaB}, LnAbove: above, Out: out}
}

// one is a raster by itself.
func one(v, out []float32, above float32) vision.Source {
	return vision.Source{Plane: [3][]float32{v}, K: [3]float32{1}, LnAbove: above, Out: out}
}

// smooth takes means over the floor under a gaussian of sigma grains.
func (s *scene) smooth(grains float64, of ...vision.Source) {
	s.smoother.Smooth(s.floor, s.w, gaussian(grains*s.grain), of...)
}

// fitGrains is what the light is smoothed over before it is fitted, in grains. More
// lets the rims of flecks pass for penumbra (practice photos, mean error: 2.4 points at
// 1.6 grains, 1.4 at 0.7, 1.2 here).
const fitGrains = 0.45

// fittedLight takes the light that is fitted.
func (s *scene) fittedLight() { s.smooth(fitGrains, s.light(s.logV, logFloor)) }

// fit splits the smoothed light into shade, sun and penumbra; the second round
// measures each pixel against the shade near it.
func (s *scene) fit() {
	even := s.logV
	for round := range fitRounds {
		t := vision.NewTally(logLow, logHigh)
		t.Add(even, s.floor)
		s.mix = fitMixture(t)
		s.mix.table().fractions(even, s.mixFrac)
		if round+1 < fitRounds {
			if level := s.shadeLevel(s.logV); level != nil {
				even = s.plane(0)
				vision.LessBroad(s.logV, level, s.w, even)
			}
		}
	}
}

const (
	// fitRounds: the shade's own unevenness is known after one.
	fitRounds = 2
	// logLow to logHigh holds the log light of a floor, whose mean is 1, and what the
	// shade's unevenness adds; counted in steps of 1/293, it moves by 0.2 % at most.
	logLow, logHigh = -7.5, 6.5
)

// shadeLevel is a log of the shade's light near each cell over its mean; nil without
// shade.
func (s *scene) shadeLevel(log []float32) []float32 {
	level, mean := s.nearShade(log, 1, log, 0)
	if level == nil {
		return nil
	}
	for i := range level {
		level[i] -= mean
	}
	return level
}

// nearShade is the mean of ka a + kb b over the sure shade near each cell, drawn to the
// mean of all of it where there is little, and that mean; nil without shade.
func (s *scene) nearShade(a []float32, ka float32, b []float32, kb float32) ([]float32, float32) {
	counts, sums := vision.BroadSums(s.floor, s.mixFrac, sureShade, a, ka, b, kb, s.w)
	var sum, n float64
	for i := range counts {
		sum, n = sum+float64(sums[i]), n+float64(counts[i])
	}
	if n == 0 {
		return nil, 0
	}
	mean := float32(sum / n)
	cellsW, _ := vision.BroadSize(s.w, s.h)
	for _, kernel := range broadBoxes(regionGrains * s.grain) {
		vision.Convolve(sums, cellsW, kernel)
		vision.Convolve(counts, cellsW, kernel)
	}
	const prior = regionPrior * vision.BroadCell * vision.BroadCell
	for i, n := range counts {
		sums[i] = (sums[i] + prior*mean) / (n + prior)
	}
	return sums, mean
}

// near hands over, row by row, from which pixel to which the raster lies within reach of a
// place.
func (s *scene) near(place calibrate.Pixel, reach float64, do func(from, to int)) {
	for y := range s.h {
		dy := float64(y) - place.Y
		half := math.Sqrt(reach*reach - dy*dy)
		if !(half > 0) {
			continue
		}
		x0, x1 := max(int(math.Ceil(place.X-half)), 0), min(int(math.Floor(place.X+half))+1, s.w)
		if x0 < x1 {
			do(y*s.w+x0, y*s.w+x1)
		}
	}
}
