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
)

// standing marks shaded things that are not the floor near the board: another
// colour, or smoother than the floor is, as bark out of focus or a leaf near the
// lens. Colour is compared at the same brightness, by a robust line.
func (s *scene) standing(centre calibrate.Pixel, lin *vision.Linear) *vision.Mask {
	out := vision.NewMask(s.w, s.h)
	frac := s.smoothed(s.mixFrac, featureGrain*s.grain)
	var shade, ref []int
	reach := referenceGrains * s.grain
	for i, m := range s.mask.v {
		if m == 0 || frac.v[i] >= shadeOf {
			continue
		}
		shade = append(shade, i)
		if math.Hypot(float64(i%s.w)-centre.X, float64(i/s.w)-centre.Y) < reach {
			ref = append(ref, i)
		}
	}
	if float64(len(ref)) < referenceLeast*s.grain*s.grain {
		return out
	}
	strange := newPlane(s.w, s.h)
	look := s.features(lin)
	s.offLine(look, shade, ref)
	s.dawn().takenOut(look, shade)
	for _, f := range look {
		f.addStrange(strange, shade)
	}
	strange.blur(0.8 * s.grain)
	for _, i := range shade {
		out.In[i] = strange.v[i] > strangeZ*strangeZ
	}
	least := int(strangeLeast * s.grain * s.grain)
	return grown(largeParts(out, least), int(math.Round(s.grain)))
}

// feature is the log of a ratio, or of a texture, at each pixel.
type feature struct {
	v      *plane
	spread float64 // one SD, what is granted it and, after offLine, the reference's
	below  bool    // only less than expected is strange
}

func (s *scene) features(lin *vision.Linear) []feature {
	channel := func(v []float32) *plane { return s.smoothed(&plane{s.w, s.h, v}, featureGrain*s.grain) }
	red, green, blue := channel(lin.R), channel(lin.G), channel(lin.B)
	for _, c := range []*plane{red, green, blue} {
		vision.LnAll(c.v, logFloor, c.v)
	}
	for i, lg := range green.v {
		red.v[i] -= lg
		blue.v[i] -= lg
	}
	return []feature{{red, redSpread, false}, {blue, blueSpread, false}, {s.texture(), textureSpread, true}}
}

// texture is the log of the local SD of log light, finer than a grain.
func (s *scene) texture() *plane {
	if s.grained != nil {
		return s.grained
	}
	fine := s.smoothed(s.light, noiseGrain*s.grain)
	vision.LnAll(fine.v, logFloor, fine.v)
	base := s.smoothed(fine, featureGrain*s.grain)
	for i := range fine.v {
		d := fine.v[i] - base.v[i]
		base.v[i] = d * d
	}
	out := s.smoothed(base, textureGrain*s.grain)
	for i, v := range out.v {
		out.v[i] = float32(math.Sqrt(float64(max(v, 0))))
	}
	vision.LnAll(out.v, textureFloor, out.v)
	s.grained = out
	return out
}

// offLine leaves of each feature what it is off the reference's line.
func (s *scene) offLine(look []feature, shade, ref []int) {
	for k := range look {
		f := &look[k]
		line, spread := s.robustLine(f.v, ref)
		f.spread += spread
		for _, i := range shade {
			f.v.v[i] -= float32(line.at(float64(s.logV.v[i])))
		}
	}
}

// addStrange adds the squared robust z of one feature.
func (f *feature) addStrange(sum *plane, shade []int) {
	for _, i := range shade {
		z := float64(f.v.v[i]) / f.spread
		if f.below {
			z = math.Min(z, 0)
		}
		sum.v[i] += float32(z * z)
	}
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

// robustLine fits the feature against the log light over ref by reweighted
// least squares (Cauchy weights); spread is the residuals' MAD as an SD.
func (s *scene) robustLine(f *plane, ref []int) (clampedLine, float64) {
	stride := max(len(ref)/mostFit, 1)
	var xs, ys, ws []float64
	for k := 0; k < len(ref); k += stride {
		xs, ys, ws = append(xs, float64(s.logV.v[ref[k]])), append(ys, float64(f.v[ref[k]])), append(ws, 1)
	}
	n := len(xs)
	moved := append([]float64(nil), xs...)
	line := clampedLine{lo: vision.Nth(moved, n/50), hi: vision.Nth(moved, n-1-n/50)}
	spread := 0.0
	res := make([]float64, n)
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
