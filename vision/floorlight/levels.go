package floorlight

import "math"

const (
	// sureShade: patches whose mixture says no more than this are all shade.
	sureShade = 0.10
	// halfSun: more than this is more sun than shade.
	halfSun = 0.5
	// coreLeast is the least area of sun (and of shade) to tell two lights by, in
	// square grains: 25 cm2, one full fleck of the smallest gap that lets the whole
	// sun through a canopy of 4 to 5 m (37 to 47 mm across, and as much again of
	// penumbra; trade notes 1.6).
	coreLeast = 25.0
	// regionGrains is the reach of a region's own shade: 0.3 m, over which shade
	// and floor differ by little. regionPrior is what the photo's mean weighs
	// against it, as a share of the region's pixels.
	regionGrains = 30.0
	regionPrior  = 0.02
	// LeastContrast: below about 3 there is no direct sun to speak of, only haze or
	// cloud (trade notes 1.5).
	LeastContrast = 2.8
	// leastWarmth: direct sun is warmer than what lights the shade, and a camera's
	// white balance moves both alike. The sun at 5000 to 5800 K beside a clear sky
	// of 10 000 K and more, or a hazy one of 7000 K, gives a log ratio of red to blue
	// of 0.4 to 1.0 between them; a cloud's light has one colour (0.2 by the green
	// of leaves above, the brown of bark beside).
	leastWarmth = 0.27
	// warmMost: light beyond it is on the curve's shoulder and has lost its colour.
	warmMost = 0.85
)

// lights are what the mixture found, counted and coloured.
type lights struct {
	shade, sun int     // pixels of sure shade and of more sun than shade
	contrast   float64 // sun over shade
	warmth     float64 // log of red to blue in the sun over the same in the shade
}

// shadeAndSun are sums over the pixels of sure shade and of more sun than shade.
type shadeAndSun struct {
	count  [2]int
	colour [2][3]float64 // red, green, blue, of what has not lost its colour
}

// shadeAndSun parts the fitted floor's two lights.
func (s *scene) shadeAndSun() (sum shadeAndSun) {
	for i, m := range s.mask.v {
		if m == 0 {
			continue
		}
		k := 0
		switch f := s.mixFrac.v[i]; {
		case f < sureShade:
		case f > halfSun:
			k = 1
		default:
			continue
		}
		sum.count[k]++
		r, g, b := s.lin.R[i], s.lin.G[i], s.lin.B[i]
		if max(r, g, b) < warmMost {
			c := &sum.colour[k]
			c[0], c[1], c[2] = c[0]+float64(r), c[1]+float64(g), c[2]+float64(b)
		}
	}
	return sum
}

// lights counts the two lights of the fitted floor.
func (s *scene) lights() lights {
	sum := s.shadeAndSun()
	const dark = 1e-3
	shade, sun := sum.colour[0], sum.colour[1]
	return lights{
		shade: sum.count[0], sun: sum.count[1],
		contrast: math.Exp(s.mix.sun - s.mix.shade),
		warmth:   math.Log((sun[0] + dark) / (sun[2] + dark) * (shade[2] + dark) / (shade[0] + dark)),
	}
}

// two tells whether sun and shade are both there.
func (l lights) two(grain float64) bool {
	return float64(min(l.shade, l.sun)) >= coreLeast*grain*grain && l.contrast >= LeastContrast && l.warmth >= leastWarmth
}

// regional returns the mean light of the shade near each pixel, drawn to the
// photo's mean where there is little, and its relative spread over the floor.
func (s *scene) regional() (*plane, float64) {
	core, light := newPlane(s.w, s.h), newPlane(s.w, s.h)
	var sum, n float64
	for i, m := range s.mask.v {
		if m > 0 && s.mixFrac.v[i] < sureShade {
			core.v[i], light.v[i] = 1, s.light.v[i]
			sum, n = sum+float64(s.light.v[i]), n+1
		}
	}
	sigma := regionGrains * s.grain
	light.blur(sigma)
	core.blur(sigma)
	num, den := light, core
	mean := sum / max(n, 1)
	var first, second float64
	for i, d := range den.v {
		num.v[i] = (num.v[i] + float32(regionPrior*mean)) / (d + regionPrior)
		if s.mask.v[i] > 0 {
			v := float64(num.v[i])
			first, second = first+v, second+v*v
		}
	}
	first, second = first/float64(s.count), second/float64(s.count)
	return num, math.Sqrt(math.Max(second-first*first, 0)) / max(first, 1e-9)
}
