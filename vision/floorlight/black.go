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
)

// black marks patches too dark to be floor, by the light that the codes stand for
// without the camera's curve: turned round, a curve's toe lifts black to grey.
func (s *scene) black(centre calibrate.Pixel, tone toneCurve) *vision.Mask {
	lum := s.smoothed(s.lum, s.grain)
	out := vision.NewMask(s.w, s.h)
	reach := referenceGrains * s.grain
	var near []float32
	for i, m := range s.mask.v {
		if m > 0 && math.Hypot(float64(i%s.w)-centre.X, float64(i/s.w)-centre.Y) < reach {
			near = append(near, lum.v[i])
		}
	}
	if float64(len(near)) < referenceLeast*s.grain*s.grain {
		return out
	}
	dark := float64(inOrder(near, int(darkQuantile*float64(len(near))))[0])
	least := float32(tone.curved(tone.plain(dark) / mostContrast))
	for i, m := range s.mask.v {
		out.In[i] = m > 0 && lum.v[i] < least
	}
	return grown(largeParts(out, int(strangeLeast*s.grain*s.grain)), int(math.Round(s.grain)))
}
