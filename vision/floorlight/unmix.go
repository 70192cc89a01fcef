package floorlight

import (
	"sort"

	"rowlight/vision"
)

// Without two lights, how far the floor's light differs: between the patchLow
// and patchHigh quantiles of the light smoothed over patchGrains (50 mm, the
// size of a full fleck).
const (
	patchGrains         = 5.0
	patchLow, patchHigh = 0.10, 0.99
)

func (s *scene) broadContrast() float64 {
	smooth := s.lum.smoothed(s.mask, patchGrains*s.grain)
	on := make([]float64, 0, s.count)
	for i, m := range s.mask.v {
		if m > 0 {
			on = append(on, float64(smooth.v[i]))
		}
	}
	if len(on) == 0 {
		return 1
	}
	sort.Float64s(on)
	at := func(q float64) float64 { return on[int(q*float64(len(on)-1))] }
	return at(patchHigh) / max(at(patchLow), 1e-6)
}

// unmix fills the view's rasters from the scene's two lights.
func (v *View) unmix(s *scene) {
	l, ok := s.findLevels()
	if !ok {
		v.Contrast = s.broadContrast()
		return
	}
	v.TwoLights, v.Contrast = true, l.contrast
	v.ShadeSpread, v.SunSpread = l.shadeSpread, l.sunSpread
	v.CoreShade, v.CoreSun = l.coreShade, l.coreSun
	v.Unmixed, v.Fraction, v.Mixture = vision.NewRaster(v.W, v.H), vision.NewRaster(v.W, v.H), vision.NewRaster(v.W, v.H)
	v.Lit = vision.NewMask(v.W, v.H)
	smooth := s.light.smoothed(s.mask, s.grain)
	for i, m := range s.mask.v {
		if m == 0 {
			continue
		}
		shade, gap := l.shade.v[i], l.sun.v[i]-l.shade.v[i]
		if least := float32(LeastContrast-1) * shade; gap < least {
			gap = least // a region whose few core pixels mislead
		}
		v.Unmixed.V[i] = (s.light.v[i] - shade) / gap
		f := (smooth.v[i] - shade) / gap
		v.Fraction.V[i] = min(max(f, 0), 1)
		v.Lit.In[i] = f > 0.5
		v.Mixture.V[i] = s.mixFrac.v[i]
	}
}
