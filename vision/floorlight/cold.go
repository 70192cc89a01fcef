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
// floor. Where no floor is warm it marks nothing: then there is no sun.
func (s *scene) cold() *vision.Mask {
	out := vision.NewMask(s.w, s.h)
	tint, ok := s.warmthMap()
	if !ok {
		return out
	}
	warm := 0
	for i, m := range s.mask.v {
		if m == 0 || s.mixFrac.v[i] <= halfSun {
			continue
		}
		if tint.v[i] >= leastWarmth {
			warm++
		}
		out.In[i] = tint.v[i] < coldMost && min(s.lin.R[i], s.lin.G[i], s.lin.B[i]) < coldBurnt
	}
	if float64(warm) < coreLeast*s.grain*s.grain {
		return vision.NewMask(s.w, s.h)
	}
	return grown(largeParts(out, int(coldLeast*s.grain*s.grain)), int(math.Round(s.grain)))
}

// warmthMap is the log of red to blue over the same in all of the sure shade; ok
// is false without shade.
func (s *scene) warmthMap() (*plane, bool) {
	channel := func(v []float32) *plane { return s.smoothed(&plane{s.w, s.h, v}, coldGrains*s.grain) }
	red, blue := channel(s.lin.R), channel(s.lin.B)
	var r, b float64
	for i, m := range s.mask.v {
		if m > 0 && s.mixFrac.v[i] < sureShade {
			r, b = r+float64(s.lin.R[i]), b+float64(s.lin.B[i])
		}
	}
	if r <= 0 || b <= 0 {
		return nil, false
	}
	const dark = 1e-4
	vision.LnAll(red.v, dark, red.v)
	vision.LnAll(blue.v, dark, blue.v)
	all := float32(math.Log(b / r))
	for i := range red.v {
		red.v[i] += all - blue.v[i]
	}
	return red, true
}
