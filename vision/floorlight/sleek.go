package floorlight

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	// sleekShade and sleekSun: a limb in the sun near the lens shows bark out of
	// focus or hardly any grain at all. Its light varies this many times less than
	// the shaded floor's at the board, and than the coarser quarter of all that is
	// bright, which tells it from floor whose grain the sun has burnt out.
	sleekShade, sleekSun = 3.0, 3.0
	// sleekQuantile is where the coarser quarter of the bright begins.
	sleekQuantile = 0.75
	// sleekLeast is the least area left out, in square grains: 100 cm2 of a thing's
	// middle, without its edges.
	sleekLeast = 100.0
	// sleekGrown grains about it are its edges, whose texture is the step's.
	sleekGrown = 6.0
)

// sleek marks large bright things smoother than the floor is, of whatever colour:
// burnt out, they have none. Things in the shade are standing's.
func (s *scene) sleek(centre calibrate.Pixel) *vision.Mask {
	out := vision.NewMask(s.w, s.h)
	texture := s.texture()
	reach := referenceGrains * s.grain
	var shade, sun []float32
	for i, m := range s.mask.v {
		switch f := s.mixFrac.v[i]; {
		case m == 0:
		case f > halfSun:
			sun = append(sun, texture.v[i])
		case f < sureShade && math.Hypot(float64(i%s.w)-centre.X, float64(i/s.w)-centre.Y) < reach:
			shade = append(shade, texture.v[i])
		}
	}
	least := referenceLeast * s.grain * s.grain
	if float64(min(len(shade), len(sun))) < least {
		return out
	}
	inShade := float64(inOrder(shade, len(shade)/2)[0])
	inSun := float64(inOrder(sun, int(sleekQuantile*float64(len(sun))))[0])
	limit := float32(math.Min(inShade-math.Log(sleekShade), inSun-math.Log(sleekSun)))
	for i, m := range s.mask.v {
		out.In[i] = m > 0 && s.mixFrac.v[i] > shadeOf && texture.v[i] < limit
	}
	return grown(largeParts(out, int(sleekLeast*s.grain*s.grain)), int(math.Round(sleekGrown*s.grain)))
}
