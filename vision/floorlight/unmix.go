package floorlight

import (
	"math"

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
	if s.count == 0 {
		return 1
	}
	light, part := s.plane(0), s.plane(1)
	for i, in := range s.floor {
		light[i], part[i] = 0, 0
		if in {
			light[i], part[i] = s.lin.Lum(i), 1
		}
	}
	radii := boxRadii(patchGrains * s.grain)
	vision.BoxBlur(light, s.w, radii[:])
	vision.BoxBlur(part, s.w, radii[:])
	for i, in := range s.floor {
		if in { // a pixel of the floor has itself in reach
			light[i] /= part[i]
		}
	}
	vision.LnAll(light, blackLight, light)
	t := vision.NewTally(blackLow, 0)
	t.Add(light, s.floor)
	at := func(q float64) float64 { return math.Exp(t.Rank(int(q * float64(s.count-1)))) }
	return at(patchHigh) / max(at(patchLow), blackLight)
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
	v.TwoLights, v.Contrast = true, s.blended()
	shade, _ := s.nearShade(s.lin.G, s.kg, s.lin.B, s.kb)
	smooth := s.plane(0)
	s.smooth(1, s.light(smooth, 0))
	v.Lit = vision.NewMask(v.W, v.H)
	u := vision.Unmixing{KG: s.kg, KB: s.kb, Shade: shade, Contrast: v.Contrast, Half: halfSun}
	first, second := u.Unmix(s.lin, s.floor, smooth, s.mixFrac, smooth, v.Lit.In)
	first, second = first/float64(s.count), second/float64(s.count)
	v.ShadeSpread = math.Sqrt(math.Max(second-first*first, 0)) / max(first, 1e-9)
	v.Fraction, v.Linear = &vision.Raster{W: v.W, H: v.H, V: s.mixFrac}, &vision.Raster{W: v.W, H: v.H, V: smooth}
}
