package metrics

import "math"

const (
	// segmentPAIMost bounds how dark a segment can count: no measured orchard
	// canopy is denser (common practice, 8 to 10).
	segmentPAIMost = 9.0
	// DarkSegment of sunlit floor: a segment under it gets no fleck worth the name.
	DarkSegment = 0.05
)

// Dapple says how evenly the sun is spread over the segments of a floor, which are
// about ten leaf widths, 1 m, across: three trees can all show 20 % and be quite
// different.
type Dapple struct {
	// Clumping is Omega = ln(mean P) / mean(ln P), 1 for even dapple, less for a few
	// bright holes in a dark floor. (Lang and Xiang 1986, Agric. For. Meteorol.
	// 37:229-243, from memory.) NaN for a floor all lit or all dark.
	Clumping float64
	// DarkShare is the share of segments less than DarkSegment sunlit.
	DarkShare float64
	Segments  int
	// Floored counts the segments darker than the densest canopy would leave them,
	// raised to that for Clumping, which would else be nought.
	Floored int
}

// DappleOf judges the sunlit shares (0..1) of a floor's segments under a sun at a
// zenith in degrees. Without segments all is nought and Clumping NaN.
func DappleOf(shares []float64, zenithDeg float64) Dapple {
	d := Dapple{Segments: len(shares), Clumping: math.NaN()}
	if len(shares) == 0 {
		return d
	}
	least := GapFraction(segmentPAIMost, zenithDeg, SphericalX)
	var sum, logs, dark float64
	for _, p := range shares {
		if p < DarkSegment {
			dark++
		}
		if p < least {
			p = least
			d.Floored++
		}
		sum += math.Min(p, 1)
		logs += math.Log(math.Min(p, 1))
	}
	n := float64(len(shares))
	d.DarkShare = dark / n
	if d.Floored < len(shares) && logs < 0 {
		d.Clumping = math.Log(sum/n) / (logs / n)
	}
	return d
}

// ShadeShiftM is how far from a leaf at a height (m) its shade falls on level
// ground, directed away from the sun: h tan(zenith). Zenith in degrees, under 90.
func ShadeShiftM(heightM, zenithDeg float64) float64 {
	return heightM * math.Tan(zenithDeg*radiansPerDegree)
}
