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
	line := func(v, under []float32, granted float64) vision.FloorLine {
		l, spread := robustLine(light, pick(v, under, ref), low, high)
		return vision.FloorLine{A: l.a, B: l.b, Spread: granted + spread}
	}
	dawn := s.dawn(s.sums())
	vision.Strange{
		Red: line(red, green, redSpread), Blue: line(blue, green, blueSpread), Texture: line(texture, nil, textureSpread),
		Low: low, High: high, DawnRed: dawn.red, DawnBlue: dawn.blue, DawnMost: dawn.most,
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
func pick(v, under []float32, at []int32) []float64 {
	out := make([]float64, len(at))
	for k, i := range at {
		out[k] = float64(v[i])
		if under != nil {
			out[k] -= float64(under[i])
		}
	}
	return out
}

// ends are the values past which a fiftieth of v lies, at either end.
func ends(v []float64) (low, high float64) {
	moved, n := append([]float64(nil), v...), len(v)
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

// clampedLine is a + b x, held at its ends.
type clampedLine struct{ a, b, lo, hi float64 }

func (l clampedLine) at(x float64) float64 { return l.a + l.b*math.Max(l.lo, math.Min(l.hi, x)) }

const (
	robustRounds = 6
	// cauchyScale: residuals beyond 1.5 robust SDs lose their say.
	cauchyScale = 1.5
	madToSD     = 1.4826
	mostFit     = 20000 // more pixels would not move the line
)

// robustLine fits ys against xs, clamped to low and high, by reweighted least squares
// (Cauchy weights); spread is the residuals' MAD as an SD.
func robustLine(xs, ys []float64, low, high float64) (line clampedLine, spread float64) {
	n := len(xs)
	line = clampedLine{lo: low, hi: high}
	res, moved, ws := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range ws {
		ws[i] = 1
	}
	for range robustRounds {
		line.fit(xs, ys, ws)
		for i := range xs {
			res[i] = math.Abs(ys[i] - line.at(xs[i]))
		}
		copy(moved, res)
		spread = madToSD*vision.Nth(moved, n/2) + 1e-6
		for i, r := range res {
			z := r / (cauchyScale * spread)
			ws[i] = 1 / (1 + z*z)
		}
	}
	return line, spread
}

func (l *clampedLine) fit(xs, ys, ws []float64) {
	var w, x, y, xx, xy float64
	for i := range xs {
		c := math.Max(l.lo, math.Min(l.hi, xs[i]))
		w += ws[i]
		x += ws[i] * c
		y += ws[i] * ys[i]
		xx += ws[i] * c * c
		xy += ws[i] * c * ys[i]
	}
	l.b = 0
	if det := w*xx - x*x; det > 1e-9*w*w {
		l.b = (w*xy - x*y) / det
	}
	l.a = (y - l.b*x) / w
}
