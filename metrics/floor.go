package metrics

import "fmt"

// FloorPixels is a photo's floor, one entry a pixel, all slices of one length.
type FloorPixels struct {
	// Fraction is the share of the sun's disc seen from the floor, 0..1, as a
	// mixture of shade, penumbra and sun expects it.
	Fraction []float32
	// Linear is the linear unmixing between shade (0) and sun (1), not clamped;
	// Lit the plain half-way threshold.
	Linear []float32
	Lit    []bool
	// Usable marks floor that can be judged.
	Usable []bool
	// AreaM2 is the floor's area in each pixel; 0 outside the ring that is meant.
	AreaM2 []float32
}

// FloorShares are area-weighted means over the judged floor, 0..1 (Linear may
// leave that range by noise and is clamped).
type FloorShares struct {
	Fraction, Linear, Binary float64
	AreaM2                   float64 // judged
	LeftOutM2                float64 // within the ring but not usable
}

// Shares weighs each pixel by the ground it shows. Without judged floor all is
// 0, AreaM2 too. With Fraction nil (one light only) just the areas are filled.
func (p FloorPixels) Shares() FloorShares {
	var s FloorShares
	for i, area := range p.AreaM2 {
		if area == 0 {
			continue
		}
		a := float64(area)
		if !p.Usable[i] {
			s.LeftOutM2 += a
			continue
		}
		s.AreaM2 += a
		if p.Fraction == nil {
			continue
		}
		s.Fraction += a * float64(p.Fraction[i])
		s.Linear += a * float64(p.Linear[i])
		if p.Lit[i] {
			s.Binary += a
		}
	}
	if s.AreaM2 > 0 {
		for _, v := range []*float64{&s.Fraction, &s.Linear, &s.Binary} {
			*v = max(0, min(1, *v/s.AreaM2))
		}
	}
	return s
}

// Limits a floor photo must keep.
const (
	// SunLeastDeg: lower, the sun's path through the canopy is over twice the
	// canopy's depth, so hardly a fleck is left and it comes from another tree.
	SunLeastDeg = 30.0
	// BurntMost of the floor may be burnt out in every channel: what is burnt
	// out has no level left to unmix (common practice).
	BurntMost = 0.02
	// FloorBlurMostMM on the ground, 10 to 90 %: the grain that the light is
	// judged at; more melts flecks of 40 mm into the shade.
	FloorBlurMostMM = 10.0
	// FloorLeastM2 of floor must be judged: under it a fleck is several percent.
	FloorLeastM2 = 0.5
)

// FloorConditions is what must hold before a floor photo is measured. Nil means
// that it could not be told.
type FloorConditions struct {
	SunElevationDeg *float64
	BlurMM          *float64 // 10-90 % edge width on the ground
	BurntShare      float64
	AreaM2          float64 // judged floor
}

// Check returns an *Unusable for the first limit that is broken, else nil.
func (c FloorConditions) Check() error {
	switch {
	case c.SunElevationDeg != nil && *c.SunElevationDeg < SunLeastDeg:
		return &Unusable{
			Reason: fmt.Sprintf("sun %.0f degrees above the horizon, %.0f needed", *c.SunElevationDeg, SunLeastDeg),
			Mend:   "come back nearer to noon, when the sun is higher",
		}
	case c.BlurMM != nil && *c.BlurMM > FloorBlurMostMM:
		return &Unusable{
			Reason: fmt.Sprintf("blurred: edges are %.0f mm wide on the floor, %.0f allowed", *c.BlurMM, FloorBlurMostMM),
			Mend:   "hold the phone still and touch the board on the screen to focus",
		}
	case c.AreaM2 < FloorLeastM2:
		return &Unusable{
			Reason: fmt.Sprintf("only %.1f m2 of floor shows near the board, %.1f needed", c.AreaM2, FloorLeastM2),
			Mend:   "hold the phone higher, straight down, with leaves and limbs out of the picture",
		}
	case c.BurntShare > BurntMost:
		return &Unusable{
			Reason: fmt.Sprintf("%.1f %% of the floor is burnt out, %.0f %% allowed", 100*c.BurntShare, 100*BurntMost),
			Mend:   "turn the exposure down by 1 to 2 steps, HDR off, and take it again",
		}
	}
	return nil
}
