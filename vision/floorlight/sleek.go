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
// burnt out, they have none. Things in the shade are standing's. It gives nil without any.
func (s *scene) sleek(centre calibrate.Pixel, sum vision.FloorLights) []bool {
	least := referenceLeast * s.grain * s.grain
	if float64(min(sum.Count[0], sum.Count[1])) < least {
		return nil
	}
	texture := s.texture()
	shade, sun := vision.NewTally(textureLow, textureHigh), vision.NewTally(textureLow, textureHigh)
	sun.AddBetween(texture, s.floor, s.mixFrac, halfSun, math.MaxFloat32)
	s.near(centre, referenceGrains*s.grain, func(from, to int) {
		shade.AddBetween(texture[from:to], s.floor[from:to], s.mixFrac[from:to], below, sureShade)
	})
	inShade, inSun := shade.Count(), sun.Count()
	if float64(min(inShade, inSun)) < least {
		return nil
	}
	limit := min(shade.Rank(inShade/2)-math.Log(sleekShade), sun.Rank(int(sleekQuantile*float64(inSun)))-math.Log(sleekSun))
	n := vision.Mark(texture, vision.Range{Over: below, Under: float32(limit)}, s.mixFrac, vision.Range{Over: shadeOf, Under: math.MaxFloat32}, s.floor, s.mask(0))
	return s.large(n, sleekLeast, sleekGrown, s.mask(2))
}
