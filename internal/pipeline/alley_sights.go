package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision/alleyview"
)

const (
	// sightsAcross is how many sights are cast over the photo's longer side: one
	// for each 5 cm at the board, a third of a leaf.
	sightsAcross = 84
	// Sights within this of the level (metres up for each ahead) end so far off
	// that the row's end and other rows stand in them.
	sightLeastUp = 0.05
	// sightMostRight leaves out trees right beside the camera.
	sightMostRight = 0.75
	// Feet of trunks are looked for out to here, to each side and ahead.
	footFarAsideM, footFarAheadM   = 5.0, 18.0
	footNearAsideM, footNearAheadM = 0.6, 2.4
	footStepM, footStepAheadRel    = 0.05, 0.025
	// A trunk's width and how much of it shows under the skirt, as looked for.
	trunkWidthM, trunkShowsM = 0.15, 0.30
	// footLeast is the least score kept, ln(blue : green) above its surroundings';
	// footPlain makes a plain one.
	footLeast, footPlain = 0.10, 0.35
	// footOpen is the least share of open floor between a foot and the alley's
	// middle: the rest is fallen twigs and wrongly classed pixels.
	footOpen = 0.85
	// Two feet of one row are farther apart than this.
	footApartAsideM, footApartAheadRel = 0.30, 0.12
)

// sights casts lines of sight evenly over the photo.
func (c *alleyScene) sights(v *alleyview.View) []metrics.AlleyRay {
	var out []metrics.AlleyRay
	step := math.Max(float64(v.W), float64(v.H)) * float64(v.Factor) / sightsAcross
	for y := step / 2; y < float64(v.H*v.Factor); y += step {
		for x := step / 2; x < float64(v.W*v.Factor); x += step {
			p := calibrate.Pixel{X: math.Floor(x), Y: math.Floor(y)}
			class, ok := v.AtPhoto(p)
			if !ok || class == alleyview.Board {
				continue
			}
			right, up, ok := c.ray(p)
			if !ok || math.Abs(up) < sightLeastUp || math.Abs(right) > sightMostRight {
				continue
			}
			out = append(out, metrics.AlleyRay{Right: right, Up: up, Canopy: class == alleyview.Canopy})
		}
	}
	return out
}

// feet looks for the feet of trunks over the ground to both sides.
func (c *alleyScene) feet(v *alleyview.View) []metrics.AlleyFoot {
	var found []metrics.AlleyFoot
	for y := footNearAheadM; y < footFarAheadM; y *= 1 + footStepAheadRel {
		for x := footNearAsideM; x < footFarAsideM; x += footStepM {
			for _, side := range [2]float64{-1, 1} {
				if s, ok := c.footScore(v, side*x, y); ok && s > footLeast {
					found = append(found, metrics.AlleyFoot{RightM: side * x, AheadM: y, Score: s / footPlain})
				}
			}
		}
	}
	return bestFeet(found)
}

func (c *alleyScene) footScore(v *alleyview.View, xM, yM float64) (float64, bool) {
	foot, ok1 := c.pixel(xM, yM, 0)
	top, ok2 := c.pixel(xM, yM, trunkShowsM)
	if !ok1 || !ok2 {
		return 0, false
	}
	score, ok := v.FootScore(foot, top, trunkWidthM/yM*c.pose.Camera.FPx)
	if !ok || score < footLeast {
		return 0, false
	}
	// Only a foot of the alley's own rows has open floor before it all the way
	// from the alley's middle.
	middle, ok1 := c.pixel(c.boardXM, yM, 0)
	beside, ok2 := c.pixel(xM-math.Copysign(trunkWidthM, xM), yM, 0)
	if !ok1 || !ok2 || v.OpenShare(middle, beside) < footOpen {
		return 0, false
	}
	return score, true
}

// bestFeet keeps of each cluster the one with the highest score.
func bestFeet(found []metrics.AlleyFoot) []metrics.AlleyFoot {
	var out []metrics.AlleyFoot
	for i, f := range found {
		best := true
		for j, g := range found {
			near := math.Abs(f.RightM-g.RightM) < footApartAsideM && math.Abs(f.AheadM-g.AheadM) < footApartAheadRel*f.AheadM
			if near && (g.Score > f.Score || g.Score == f.Score && j < i) {
				best = false
				break
			}
		}
		if best {
			out = append(out, f)
		}
	}
	return out
}
