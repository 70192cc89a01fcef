package floorlight

import "math"

// dawn is how colour goes from shade to sun: by it the rim of a fleck, where a little
// sun has come into the shade, differs from the floor and is floor nonetheless.
type dawn struct {
	red, blue float64 // log of red and of blue to green, the sun's less the shade's
	most      float64 // how far along it a pixel in the shade can be
}

// dawn reads both lights' colours; without two lights it is zero.
func (s *scene) dawn() dawn {
	sum := s.shadeAndSun().colour
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

// takenOut takes from red and blue, the first two features, what a little sun explains.
func (d dawn) takenOut(look []feature, shade []int) {
	square := d.red*d.red + d.blue*d.blue
	if square == 0 {
		return
	}
	red, blue := look[0].v.v, look[1].v.v
	for _, i := range shade {
		along := (float64(red[i])*d.red + float64(blue[i])*d.blue) / square
		along = math.Max(0, math.Min(d.most, along))
		red[i] -= float32(along * d.red)
		blue[i] -= float32(along * d.blue)
	}
}
