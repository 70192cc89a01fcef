package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// lights draws n values about each mean with a standard deviation.
func lights(rng *rand.Rand, sd float64, n int, means ...float64) []float64 {
	var out []float64
	for _, m := range means {
		for range n {
			out = append(out, m+sd*rng.NormFloat64())
		}
	}
	return out
}

func TestSunCutPartsSunFromShade(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	// Light 1 : 6, reflectance by a factor of 1.35 either way: few on the wrong side.
	cut, ok := SunCut(lights(rng, 0.3, 2000, -math.Log(6), 0))
	if !ok || math.Abs(cut+math.Log(6)/2) > 0.15 {
		t.Errorf("cut at %.2f (%v), want %.2f", cut, ok, -math.Log(6)/2)
	}
}

func TestSunCutOfOneLightIsNone(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for name, ln := range map[string][]float64{
		"none": nil, "one": {1}, "even": make([]float64, 500),
		"litter": lights(rng, 0.4, 4000, -1), "grass beside soil": lights(rng, 0.2, 2000, -1, -0.5),
	} {
		if cut, ok := SunCut(ln); ok {
			t.Errorf("%s: parted at %.2f", name, cut)
		}
	}
}
