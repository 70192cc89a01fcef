package floorlight

import (
	"math"

	"rowlight/vision"
)

const (
	// coldMost: what is as bright as the sunlit floor but hardly warmer than the
	// shaded one is of another stuff: a limb in the sun near the lens. Half-way
	// between no difference and the least that the sun makes (leastWarmth).
	coldMost = 0.13
	// coldGrains smooths colour before it is judged: two fleck edges.
	coldGrains = 2.0
	// coldLeast is the least area left out, in square grains: 0.04 m2, a limb and no
	// handful of pale litter.
	coldLeast = 400.0
	// coldBurnt: all channels beyond it have no colour to judge.
	coldBurnt = 0.9
)

// cold marks large bright things of a colour that the sun does not give this
// floor. Where no floor is warm it marks nothing: then there is no sun. It gives nil
// without any.
func (s *scene) cold(sum vision.FloorLights) []bool {
	if float64(sum.Count[1]) < coldLeast*s.grain*s.grain {
		return nil // not so much of anything is bright
	}
	tint := s.warmthMap(sum)
	if tint == nil {
		return nil
	}
	out, bright := s.mask(0), vision.Range{Over: halfSun, Under: math.MaxFloat32}
	warm := vision.Mark(tint, vision.Range{Over: leastWarmth, Under: math.MaxFloat32}, s.mixFrac, bright, s.floor, out)
	if float64(warm) < coreLeast*s.grain*s.grain {
		return nil
	}
	n := vision.Mark(tint, vision.Range{Over: below, Under: coldMost}, s.mixFrac, bright, s.floor, out)
	for i, o := range out {
		if o && min(s.lin.R[i], s.lin.G[i], s.lin.B[i]) >= coldBurnt {
			out[i] = false
			n--
		}
	}
	return s.large(n, coldLeast, 1, s.mask(1))
}

// warmthMap is the log of red to blue over the same in all of the sure shade; nil
// without shade.
func (s *scene) warmthMap(sum vision.FloorLights) []float32 {
	r, b := sum.ShadeRed, sum.ShadeBlue
	if r <= 0 || b <= 0 {
		return nil
	}
	const dark = 1e-4
	red, blue := s.plane(0), s.plane(1)
	s.smooth(coldGrains, one(s.lin.R, red, dark), one(s.lin.B, blue, dark))
	all := float32(math.Log(b / r))
	for i := range red {
		red[i] += all - blue[i]
	}
	return red
}
