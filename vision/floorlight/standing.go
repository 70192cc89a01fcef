package floorlight

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	// shadeOf: only pixels surely in shade are compared. In the sun the tone
	// curve eats texture and colour, and a lit patch must never be thrown out for
	// being lit.
	shadeOf = 0.15
	// referenceGrains about the board is floor: 0.7 m, where the board was laid
	// so that it shows.
	referenceGrains = 70.0
	// referenceLeast grains of it must be in shade to learn from.
	referenceLeast = 100.0
	// strangeZ: how far off the floor's colour and texture together, in robust
	// SDs of three features, something must be.
	strangeZ = 2.5
	// strangeLeast is the least area left out, in square grains: 80 cm2, a hand.
	// Smaller things hardly move a share and would be litter half the time.
	strangeLeast = 80.0
	featureGrain = 1.2
	textureGrain = 2.0
	// noiseGrain smooths the camera's noise before texture is read.
	noiseGrain = 0.3
	// The least spread granted to each feature (log ratios of colour, log of
	// texture): what white balance and local tone change across a photo.
	redSpread, blueSpread, textureSpread = 0.05, 0.06, 0.12
	textureFloor                         = 0.02
	// textureLow to textureHigh hold the log of a texture: its floor's, and of the whole
	// range of log light.
	textureLow, textureHigh = -4.0, 3.0
	// mostFit pixels fix the lines: more would not move them.
	mostFit = 20000
	// strangeGrain smooths strangeness before it is judged.
	strangeGrain = 0.8
)

// standing marks shaded things that are not the floor near the board: another
// colour, or smoother than the floor is, as bark out of focus or a leaf near the
// lens. Colour is compared at the same brightness, by a robust line. It gives nil without any.
func (s *scene) standing(board calibrate.Pixel) []bool {
	texture := s.texture()
	red, green, blue, frac := s.plane(0), s.plane(1), s.plane(2), s.plane(3)
	s.smooth(featureGrain, one(s.lin.R, red, logFloor), one(s.lin.G, green, logFloor), one(s.lin.B, blue, logFloor), one(s.mixFrac, frac, 0))
	shade := s.mask(0)
	vision.Mark(frac, vision.Range{Over: below, Under: shadeOf}, frac, anything, s.floor, shade)
	ref := s.reference(board, shade)
	if float64(len(ref)) < referenceLeast*s.grain*s.grain {
		return nil
	}
	ref = thinned(ref)
	light := pick(s.logV, nil, ref)
	low, high := ends(light)
	for i, v := range light {
		light[i] = max(low, min(high, v))
	}
	line := func(v, under []float32, granted float64) vision.FloorLine {
		l := vision.RobustLine(light, pick(v, under, ref))
		l.Spread += granted
		return l
	}
	dawn := s.dawn(s.sums())
	vision.Strange{
		Red: line(red, green, redSpread), Blue: line(blue, green, blueSpread), Texture: line(texture, nil, textureSpread),
		Low: float64(low), High: float64(high), DawnRed: dawn.red, DawnBlue: dawn.blue, DawnMost: dawn.most,
	}.Of(shade, red, green, blue, texture, s.logV, red)
	s.smoother.Smooth(nil, s.w, gaussian(strangeGrain*s.grain), one(red, red, 0))
	n := vision.Mark(red, vision.Range{Over: strangeZ * strangeZ, Under: math.MaxFloat32}, red, anything, shade, shade)
	return s.large(n, strangeLeast, 1, s.mask(1))
}

// reference are the shaded pixels near the board.
func (s *scene) reference(board calibrate.Pixel, shade []bool) (ref []int32) {
	ref = make([]int32, 0, 4*mostFit)
	s.near(board, referenceGrains*s.grain, func(from, to int) {
		for i, in := range shade[from:to] {
			if in {
				ref = append(ref, int32(from+i))
			}
		}
	})
	return ref
}

// thinned keeps mostFit of the pixels, or somewhat more, evenly.
func thinned(ref []int32) []int32 {
	stride := max(len(ref)/mostFit, 1)
	kept := ref[:0]
	for k := 0; k < len(ref); k += stride {
		kept = append(kept, ref[k])
	}
	return kept
}

// pick reads v, less under where that is given, at pixels.
func pick(v, under []float32, at []int32) []float32 {
	out := make([]float32, len(at))
	for k, i := range at {
		out[k] = v[i]
		if under != nil {
			out[k] -= under[i]
		}
	}
	return out
}

// ends are the values past which a fiftieth of v lies, at either end.
func ends(v []float32) (low, high float32) {
	moved, n := append([]float32(nil), v...), len(v)
	return vision.Nth(moved, n/50), vision.Nth(moved, n-1-n/50)
}

// texture is the log of the local SD of log light, finer than a grain.
func (s *scene) texture() []float32 {
	if s.grained != nil {
		return s.grained
	}
	if s.fine == nil {
		s.fine = make([]float32, s.w*s.h)
	}
	fine, base := s.fine, s.plane(0)
	s.smooth(noiseGrain, s.light(fine, logFloor))
	s.smooth(featureGrain, one(fine, base, 0))
	vision.SquareOff(fine, base, fine)
	s.smooth(textureGrain, one(fine, fine, 0))
	vision.LnRoot(fine, textureFloor, fine)
	s.grained = fine
	return fine
}
