package floorlight

import (
	"math"

	"rowlight/vision"
)

// dawn is how colour goes from shade to sun: by it the rim of a fleck, where a little
// sun has come into the shade, differs from the floor and is floor nonetheless.
type dawn struct {
	red, blue float64 // log of red and of blue to green, the sun's less the shade's
	most      float64 // how far along it a pixel in the shade can be
}

// dawn reads both lights' colours; without two lights it is zero.
func (s *scene) dawn(lights vision.FloorLights) dawn {
	sum := lights.Colour
	for _, l := range sum {
		if min(l[0], l[1], l[2]) <= 0 {
			return dawn{}
		}
	}
	ratio := func(c int) float64 { return math.Log(sum[1][c] / sum[1][1] * sum[0][1] / sum[0][c]) }
	over := (math.Exp(s.mix.sun-s.mix.shade) - 1) * shadeOf
	d := dawn{red: ratio(0), blue: ratio(2), most: over / (1 + over)}
	if d.red-d.blue < leastWarmth {
		return dawn{}
	}
	return d
}
