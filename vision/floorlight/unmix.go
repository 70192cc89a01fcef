package floorlight

import "rowlight/vision"

// Without two lights, how far the floor's light differs: between the patchLow
// and patchHigh quantiles of the light smoothed over patchGrains (50 mm, the
// size of a full fleck).
const (
	patchGrains         = 5.0
	patchLow, patchHigh = 0.10, 0.99
)

func (s *scene) broadContrast() float64 {
	smooth := s.smoothed(s.lum, patchGrains*s.grain)
	on := make([]float32, 0, s.count)
	for i, m := range s.mask.v {
		if m > 0 {
			on = append(on, smooth.v[i])
		}
	}
	if len(on) == 0 {
		return 1
	}
	rank := func(q float64) int { return int(q * float64(len(on)-1)) }
	at := inOrder(on, rank(patchLow), rank(patchHigh))
	return float64(at[1]) / max(float64(at[0]), 1e-6)
}

// patchyLeast of the floor in the sun by the mixture, but no warmer than the rest:
// light of one colour falls here unevenly, or the floor is of two kinds.
const patchyLeast = 0.02

// unmix fills the view's rasters from the scene's two lights.
func (v *View) unmix(s *scene) {
	l := s.lights()
	v.CoreShade, v.CoreSun, v.Warmth = l.shade, l.sun, l.warmth
	if !l.two(s.grain) {
		v.Contrast = s.broadContrast()
		v.Patchy = float64(l.sun) > patchyLeast*float64(s.count)
		return
	}
	v.TwoLights, v.Contrast = true, l.contrast
	v.Fraction, v.Linear = vision.NewRaster(v.W, v.H), vision.NewRaster(v.W, v.H)
	v.Lit = vision.NewMask(v.W, v.H)
	shade, spread := s.regional()
	v.ShadeSpread = spread
	smooth := s.smoothed(s.light, s.grain)
	for i, m := range s.mask.v {
		if m == 0 {
			continue
		}
		gap := float32(l.contrast-1) * shade.v[i]
		v.Fraction.V[i] = s.mixFrac.v[i]
		v.Linear.V[i] = (s.light.v[i] - shade.v[i]) / gap
		v.Lit.In[i] = (smooth.v[i]-shade.v[i])/gap > halfSun
	}
}
